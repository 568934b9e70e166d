"""Templates, wraps, the measuring card and the sheets of the jigs: the same pages at true size as by themselves."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ...parts.errors import FerruleError
from ...parts.papers.tube_wrap import tube_wraps
from ...parts.sheets.blocks import Block, Heading, SheetPage, Table, Words
from ...parts.sheets.measuring_card import measuring_card
from ...parts.sheets.sheet import Sheet
from ..jig import bench_thing
from ..jigs_of import jigs_of
from ..make import template_pages
from ..make_design import jobs_of
from ..pattern_files import pattern_pages
from ..turned_sheets import labelled_papers
from ..wrap_sheets import marked_tubes, wrap_label
from .about import About


@dataclass(frozen=True, slots=True)
class Group:
    """Sheets that belong together: what they are for, and the pages."""

    title: str
    use: str
    sheets: tuple[Sheet, ...]


def papers(about: About) -> tuple[Block, ...]:
    """The chapter."""
    groups = tuple(group for group in _groups(about) if group.sheets)
    rows = tuple((group.title, group.use, str(len(group.sheets))) for group in groups)
    return (
        Heading("Templates, wraps, card and jigs", 1),
        Words(
            "The pages that follow are at true size. Print them at 100 % (actual size) and measure both check bars on "
            "each before cutting: 100.0 mm, good from 99.5 to 100.5 mm.",
            "strong",
        ),
        Table(("Sheet", "What it is for", "Pages"), rows, right=(2,)),
        *(SheetPage(sheet) for group in groups for sheet in group.sheets),
    )


def _groups(about: About) -> Iterator[Group]:
    design, paper, failed = about.design, about.paper, about.failed
    if design.measured_tubes:
        card = tuple(measuring_card(design.measured_tubes, paper, design=design.name))
        yield Group("Measuring card", "take it to the tubes: readings in and out, both ends, two directions", card)
    for job in jobs_of(design):
        for piece in job.part.cut_pieces():
            name = " ".join(filter(None, (job.name, piece.word)))
            many = job.quantity * piece.count
            use = f"cut {many}, {job.part.material or 'material not stated'} {about.lengths.both(piece.thickness)}"
            yield Group(f"{name}: template", use, template_pages(job, piece, paper, failed))
    for job in jobs_of(design):
        for pattern, label in labelled_papers(job):
            yield Group(label.part, "hold it against the part", pattern_pages(pattern, label, paper, failed))
    for tube in marked_tubes(design):
        for pattern in tube_wraps(tube, False):
            label = wrap_label(design, tube, pattern)
            yield Group(label.part, "lay it once round the tube", pattern_pages(pattern, label, paper, failed))
    yield from _jigs(about)


def _jigs(about: About) -> Iterator[Group]:
    """Nothing for a design that no jig is for."""
    try:
        found = jigs_of(about.design, None).made
    except FerruleError:
        return
    for jig in found:
        sheets = bench_thing(about.design, jig).pages(jig.mark, about.paper)
        yield Group(f"{jig.name}: jig", jig.title, sheets)
