"""The files of one paper: its outline to cut, and its sheets."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from ..parts.marks import Mark
from ..parts.papers.pattern import Pattern
from ..parts.sheets.block import TemplateLabel
from ..parts.sheets.paper import Paper
from ..parts.sheets.sheet import Sheet
from .job import Proof
from .paper_choice import USUAL, PaperChoice


def pattern_files(
    pattern: Pattern,
    stem: Path,
    label: TemplateLabel,
    lines: tuple[str, ...],
    wanted: set[str],
    failed: tuple[str, ...],
    cut_marks: tuple[Mark, ...] = (),
    choice: PaperChoice = USUAL,
) -> Iterator[tuple[str, Path, Proof]]:
    """Write one paper in the formats that are wanted.

    Args:
        pattern: the paper.
        stem: folder and start of the names of its files.
        label: what its sheets say; the part in it names the paper.
        lines: lines of words in its cut files.
        wanted: formats that are wanted: `pdf` of the sheets, `dxf` and `svg` of the outline.
        failed: names of failed checks, stamped on every sheet.
        cut_marks: marks that its cut files have too.
        choice: how the sheets are printed; mirrored they would be of no use.

    Yields:
        Kind of file, the file, and what was found when it was read back.

    Raises:
        FerruleError: a file could not be made.
    """
    name = label.part
    if "dxf" in wanted:
        from ..parts.writers.dxf import write_dxf  # noqa: PLC0415  loads ezdxf only where it is needed

        path = stem.with_name(f"{stem.name}.dxf")
        dxf = write_dxf(path, pattern.outline, title=name, marks=cut_marks, words=lines, failed_checks=failed)
        yield "dxf", path, {"contours": dxf.contours, "area_mm2": dxf.area, "reference_square_mm": 100.0}
    if "svg" in wanted:
        from ..parts.writers.svg import write_svg  # noqa: PLC0415

        path = stem.with_name(f"{stem.name}.svg")
        svg = write_svg(path, pattern.outline, title=name, marks=cut_marks, words=lines, failed_checks=failed)
        yield "svg", path, {"contours": svg.contours, "area_mm2": svg.area, "reference_square_mm": 100.0}
    if "pdf" in wanted:
        from ..parts.writers.pdf import write_pdf  # noqa: PLC0415

        for end, size in choice.laid_out():
            sheets = pattern_pages(pattern, label, size, failed)
            path = stem.with_name(f"{stem.name}-{end}.pdf")
            write_pdf(path, sheets, f"{label.design}: {name}, {sheets[0].paper.words}")
            yield "pdf", path, choice.proof(sheets)


def pattern_pages(pattern: Pattern, label: TemplateLabel, size: Paper, failed: tuple[str, ...]) -> tuple[Sheet, ...]:
    """The pages of one paper.

    Args:
        pattern: the paper.
        label: what its sheets say.
        size: what they are printed on.
        failed: names of failed checks, stamped on every sheet.

    Raises:
        FerruleError: a page cannot be laid out.
    """
    from ..parts.sheets.pattern import pattern_sheets  # noqa: PLC0415  only where sheets are wanted

    return tuple(
        pattern_sheets(
            pattern.outline, label=label, paper=size, marks=pattern.marks, fixed=pattern.fixed, failed_checks=failed
        )
    )
