"""Drawings and papers of a turned part: its section with every size, what is held against it or wrapped round it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..parts.writers.files import write_text
from .job import TURNING_TABLE, Job, Proof
from .names import slug
from .paper_choice import AGAIN, USUAL, PaperChoice

if TYPE_CHECKING:
    from ..parts.papers.pattern import Pattern
    from ..parts.sheets.block import TemplateLabel
    from ..parts.sheets.paper import Paper
    from ..parts.sheets.sheet import Sheet


def turned_files(
    job: Job, folder: Path, wanted: set[str], failed: tuple[str, ...], paper: PaperChoice = USUAL
) -> Iterator[tuple[str, Path, Proof]]:
    """The section drawing, the papers and the turning table of a part; nothing for a part that has none.

    Args:
        job: what to make.
        folder: where to.
        wanted: formats that are wanted.
        failed: names of failed checks, stamped on every sheet.
        paper: how the sheets are printed; a mirrored one is of flat parts alone.

    Raises:
        FerruleError: a file could not be made.
    """
    yield from _section(job, folder, wanted, failed, paper)
    if not paper.mirrored:
        yield from _papers(job, folder, wanted, failed, paper)


def _section(
    job: Job, folder: Path, wanted: set[str], failed: tuple[str, ...], choice: PaperChoice
) -> Iterator[tuple[str, Path, Proof]]:
    if not job.part.has_section_file() or not wanted & {"pdf", "svg"} or not job.part.measures():
        return
    from ..parts.sheets.paper import A4  # noqa: PLC0415  only for what is turned
    from ..parts.writers.drawing_svg import write_sheet_svg  # noqa: PLC0415
    from ..parts.writers.pdf import write_pdf  # noqa: PLC0415

    title = f"{job.design or job.part.kind}: {job.name}, section"
    for word, paper in choice.drawings():
        sheets = section_pages(job, paper, failed)
        if "pdf" in wanted:
            path = folder / f"{job.stem}-section-{word}.pdf"
            write_pdf(path, sheets, f"{title}, {paper.words}")
            yield "pdf", path, {"pages": len(sheets), "check_bar_mm": 100.0, "paper": paper.words}
        if "svg" in wanted and paper is A4:
            for number, sheet in enumerate(sheets, 1):
                tail = f"-{number}" if len(sheets) > 1 else ""
                path = folder / f"{job.stem}-section{tail}.svg"
                write_sheet_svg(path, sheet, title)
                yield "svg", path, {"paper": paper.words}


def section_pages(job: Job, paper: Paper, failed: tuple[str, ...]) -> tuple[Sheet, ...]:
    """The pages of the section drawing of a part; none for a part that has none.

    Args:
        job: the part.
        paper: what they are printed on.
        failed: names of failed checks, stamped on every sheet.

    Raises:
        FerruleError: a page cannot be laid out.
    """
    from ..parts.sheets.section import section_sheets  # noqa: PLC0415  only for what is turned
    from ..parts.sheets.section_block import SectionLabel  # noqa: PLC0415

    measures = job.part.measures()
    if not measures:
        return ()
    label = SectionLabel(job.design or job.part.kind, job.name, **_said(job))
    return tuple(section_sheets(job.part.section_shape(), measures, label=label, paper=paper, failed_checks=failed))


def drawing_pages(job: Job, paper: Paper, failed: tuple[str, ...]) -> tuple[Sheet, ...]:
    """The dimensioned drawings of a part: its section, unless a flat view shows that too, and each flat view.

    Args:
        job: the part.
        paper: what they are printed on.
        failed: names of failed checks, stamped on every sheet.

    Raises:
        FerruleError: a page cannot be laid out.
    """
    from ..parts.sheets.section_block import SectionLabel  # noqa: PLC0415  only for what is drawn
    from ..parts.sheets.section_flat import flat_sheets  # noqa: PLC0415

    views = job.part.flat_views()
    shown = len(views) == 1 and views[0].section == job.part.section_shape()
    found = [] if shown else list(section_pages(job, paper, failed))
    for view in views:
        name = " ".join(filter(None, (job.name, view.word)))
        said = _said(job) | ({"material": view.material} if view.material else {})
        many = job.quantity * view.count
        label = SectionLabel(
            job.design or job.part.kind, name, view=f"drawing, make {many}" if many > 1 else "drawing", **said
        )
        found += flat_sheets(view, label=label, paper=paper, failed_checks=failed)
    return tuple(found)


def _said(job: Job) -> dict[str, Any]:
    """What the title block of every drawing of a part says."""
    return {
        "material": job.part.material,
        "fingerprint": job.fingerprint,
        "revision": job.state_words,
        "notes": job.notes,
    }


def labelled_papers(job: Job) -> Iterator[tuple[Pattern, TemplateLabel]]:
    """The papers of a turned part, each with what its sheets say; none for a part that has none."""
    from ..parts.sheets.block import TemplateLabel  # noqa: PLC0415  only for what is turned
    from .part_papers import patterns  # noqa: PLC0415

    for paper in patterns(job.name, job.part) if job.part.skin() else ():
        yield (
            paper,
            TemplateLabel(
                design=job.design or job.part.kind,
                part=f"{job.name}, {paper.word}",
                fingerprint=job.fingerprint,
                revision=job.state_words,
                notes=(*paper.notes, *job.notes),
                stock=paper.stock,
                again=AGAIN if job.design else None,
            ),
        )


def _papers(
    job: Job, folder: Path, wanted: set[str], failed: tuple[str, ...], choice: PaperChoice
) -> Iterator[tuple[str, Path, Proof]]:
    if not wanted & {"pdf", "svg", "dxf"} or not job.part.skin():
        return
    from .part_papers import turning_rows  # noqa: PLC0415  only for what is turned
    from .pattern_files import pattern_files  # noqa: PLC0415

    for paper, label in labelled_papers(job):
        name, stem = label.part, f"{job.stem}-{slug(paper.word)}"
        lines = (f"{job.design}: {name}" if job.design else name, f"fingerprint {job.fingerprint}", *job.dated)
        yield from pattern_files(paper, folder / stem, label, lines, wanted, failed, choice=choice)
    rows = turning_rows(job.part)
    if rows is not None and "pdf" in wanted:
        path = folder / f"{job.stem}-turning-table.csv"
        write_text(path, rows)
        yield TURNING_TABLE, path, {"rows": rows.count("\n") - 1}
