"""Drawings and papers of a turned part: its section with every size, what is held against it or wrapped round it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from ..parts.writers.files import write_text
from .job import TURNING_TABLE, Job, Proof
from .names import slug
from .paper_choice import AGAIN, USUAL, PaperChoice


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
    measures = job.part.measures()
    if not measures or not wanted & {"pdf", "svg"}:
        return
    from ..parts.sheets.paper import A4  # noqa: PLC0415  only for what is turned
    from ..parts.sheets.section import section_sheets  # noqa: PLC0415
    from ..parts.sheets.section_block import SectionLabel  # noqa: PLC0415
    from ..parts.writers.drawing_svg import write_sheet_svg  # noqa: PLC0415
    from ..parts.writers.pdf import write_pdf  # noqa: PLC0415

    label = SectionLabel(
        design=job.design or job.part.kind,
        part=job.name,
        material=job.part.material,
        fingerprint=job.fingerprint,
        revision=job.state_words,
        notes=job.notes,
    )
    title = f"{job.design or job.part.kind}: {job.name}, section"
    for word, paper in choice.drawings():
        sheets = section_sheets(job.part.shape(), measures, label=label, paper=paper, failed_checks=failed)
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


def _papers(
    job: Job, folder: Path, wanted: set[str], failed: tuple[str, ...], choice: PaperChoice
) -> Iterator[tuple[str, Path, Proof]]:
    if not wanted & {"pdf", "svg", "dxf"} or not job.part.skin():
        return
    from ..parts.sheets.block import TemplateLabel  # noqa: PLC0415  only for what is turned
    from .part_papers import patterns, turning_rows  # noqa: PLC0415
    from .pattern_files import pattern_files  # noqa: PLC0415

    for paper in patterns(job.name, job.part):
        name, stem = f"{job.name}, {paper.word}", f"{job.stem}-{slug(paper.word)}"
        lines = (f"{job.design}: {name}" if job.design else name, f"fingerprint {job.fingerprint}", *job.dated)
        label = TemplateLabel(
            design=job.design or job.part.kind,
            part=name,
            fingerprint=job.fingerprint,
            revision=job.state_words,
            notes=(*paper.notes, *job.notes),
            stock=paper.stock,
            again=AGAIN if job.design else None,
        )
        yield from pattern_files(paper, folder / stem, label, lines, wanted, failed, choice=choice)
    rows = turning_rows(job.part)
    if rows is not None and "pdf" in wanted:
        path = folder / f"{job.stem}-turning-table.csv"
        write_text(path, rows)
        yield TURNING_TABLE, path, {"rows": rows.count("\n") - 1}
