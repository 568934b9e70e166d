"""The section drawing of a turned part: cut along its axis, to scale, with every size that a person would measure.

The part lies with its forward end to the left. The scale is the largest one of ISO 5455 at which the view and all its
dimensions go on one page, whether the paper lies or stands. Where that makes a wall too thin to see, the details that
the part names are drawn once more, larger, on the same page or on one more.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from ..errors import PartError
from ..measures import AxialLength, Detail, DiameterAt, Measure
from ..shape import Shape
from .letters import printable
from .paper import Paper, lying
from .section_block import TURNED, Frame, SectionLabel, area, frame
from .section_dimensions import detail_view, main_view, needs_details, of_detail
from .section_places import Placed, Shown, arranged
from .section_view import Section, section_of
from .sheet import Box, Sheet

SCALES = (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01)
"""Enlargements and reductions of ISO 5455, mm on paper for one of the part [-]."""

DETAIL_WIDTH = 44.0
"""Widest circle of a detail on paper [mm]."""

_MOST = 12
"""Fewer pages than this are tried before it is said that the part is too large [-]."""

_DETAIL_ROOM = 88.0
"""Width that a detail takes with its words [mm]: of the widest circle and as much again."""

_BETWEEN = 8.0
"""Room between views that stand beside each other [mm]."""


@dataclass(frozen=True, slots=True)
class _Page:
    """One page: its paper, its scale, and the views with the places of their lower left corners [mm]."""

    paper: Paper
    scale: float
    shown: tuple[Placed, ...]


def scale_words(scale: float) -> str:
    """A scale as it is written, such as 1:2 or 5:1; 0 for a page of details, each of which says its own."""
    if not scale:
        return "as shown"
    return f"{scale:g}:1" if scale >= 1.0 else f"1:{1.0 / scale:g}"


def section_sheets(
    shape: Shape,
    measures: Sequence[Measure],
    *,
    label: SectionLabel,
    paper: Paper,
    failed_checks: tuple[str, ...] = (),
) -> tuple[Sheet, ...]:
    """Draw a turned part cut along its axis.

    A part that brings no measures gets its length and its largest diameter.

    Args:
        shape: a turned body, or one with radial features fused to it or cut from it.
        measures: what is measured, in the part's own (x, r) [mm]; the figures follow from the points.
        label: what the sheets say about the part.
        paper: what they are printed on, upright; the sheets lie where that gives a larger scale.
        failed_checks: names of the checks that the part fails, stamped on every page.

    Returns:
        The pages, in order.

    Raises:
        PartError: the part has no turned body, is too large for any scale, or words that cannot be printed.
    """
    section = section_of(shape)
    if not any(isinstance(one, (AxialLength, DiameterAt)) for one in measures):
        measures = (*measures, *_overall(section))
    notes = _notes(section)
    windows = {
        one: frame(label, one, scale_words(SCALES[-1]), "10 of 10", notes, failed_checks).window
        for one in (lying(paper), paper)
    }
    pages = next(_arrangements(section, measures, windows), None)
    if pages is None:
        raise PartError("the part is too large for a drawing: it does not go on a page at 1:100")
    sheets = []
    for number, page in enumerate(pages, 1):
        name = f"{number} of {len(pages)}"
        sheets.append(
            _sheet(page, frame(label, page.paper, scale_words(page.scale), name, notes, failed_checks), label, name)
        )
    return tuple(sheets)


def _overall(section: Section) -> tuple[Measure, ...]:
    x0, _, x1, y1 = section.box()
    points = [point for piece in section.outlines for point in (piece.start, piece.end)]
    widest = max(points, key=lambda point: point[1])
    return AxialLength((x0, 0.0), (x1, 0.0), "length"), DiameterAt((widest[0], y1), "largest")


def _notes(section: Section) -> tuple[str, ...]:
    notes = [TURNED] if section.turned else []
    if section.left_out:
        what = "1 feature that is" if section.left_out == 1 else f"{section.left_out} features that are"
        notes.append(f"Not drawn: {what} neither turned nor radial.")
    return tuple(notes)


def _arrangements(
    section: Section, measures: Sequence[Measure], windows: dict[Paper, Box]
) -> Iterator[tuple[_Page, ...]]:
    """Ways to draw it, the best first: a large scale, then few pages, then lying paper."""
    for scale in SCALES:
        for several in (1, 2, 3):
            yield from _pages(section, measures, scale, windows, several)
    for several in range(4, _MOST):
        for scale in SCALES:
            yield from _pages(section, measures, scale, windows, several)


def _pages(
    section: Section, measures: Sequence[Measure], scale: float, windows: dict[Paper, Box], several: int
) -> Iterator[tuple[_Page, ...]]:
    """The part on `several` pages, each with its share of the dimensions, and where needed one more for details."""
    every = [one for one in measures if isinstance(one, Detail)]
    named = _named(every, scale) if needs_details(measures, scale) else []
    inside = {id(one) for _, detail, _ in named for one in of_detail(measures, detail)}
    apart = [_detail(section, measures, *one) for one in named]
    for *firsts, last in _shared_out([one for one in measures if id(one) not in inside], several):
        for paper, window in windows.items():
            before = [_alone(section, share, scale, paper, window, []) for share in firsts]
            if any(page is None for page in before):
                continue
            pages = tuple(page for page in before if page is not None)
            for room in _rooms(apart, window):
                view = main_view(section, last, scale, room, _letters(named))
                if view is not None and (placed := arranged(Shown(view), apart, window)):
                    yield (*pages, _Page(paper, scale, placed))
            if apart and (page := _alone(section, last, scale, paper, window, _letters(named))):
                yield (*pages, page, *_details_pages(apart, *next(iter(windows.items()))))


def _shared_out(measures: Sequence[Measure], several: int) -> Iterator[list[list[Measure]]]:
    """Ways to share the measures out to the pages: lengths, diameters and all others, together or each apart."""
    lengths: list[Measure] = [one for one in measures if isinstance(one, AxialLength)]
    across: list[Measure] = [one for one in measures if isinstance(one, DiameterAt)]
    others: list[Measure] = [one for one in measures if not isinstance(one, (AxialLength, DiameterAt))]
    if several == 1:
        yield [list(measures)]
    elif several == 2:
        yield [[*lengths, *across], others]
        yield [lengths, [*across, *others]]
    else:
        each = max(1, math.ceil(len(lengths) / (several - 2)))
        yield [*(lengths[first : first + each] for first in range(0, len(lengths), each)), across, others]


def _alone(
    section: Section,
    measures: Sequence[Measure],
    scale: float,
    paper: Paper,
    window: Box,
    letters: Sequence[tuple[str, Detail]],
) -> _Page | None:
    view = main_view(section, measures, scale, window.right - window.left, letters)
    placed = arranged(Shown(view), (), window) if view is not None else None
    return _Page(paper, scale, placed) if placed else None


def _rooms(apart: Sequence[Shown], window: Box) -> Iterator[float]:
    """Widths to lay the view out in [mm]: that of the page, and that with a column left for details."""
    yield window.right - window.left
    if apart:
        yield window.right - window.left - max(one.size()[0] for one in apart) - _BETWEEN


def _named(details: Sequence[Detail], scale: float) -> list[tuple[str, Detail, float]]:
    """The details with their letters and scales; one that would not be larger is left out."""
    found: list[tuple[str, Detail, float]] = []
    for detail in details:
        larger = next((one for one in SCALES if 2.0 * detail.reach * one <= DETAIL_WIDTH), SCALES[-1])
        if larger > scale:
            found.append((ascii_uppercase[len(found) % 26], detail, larger))
    return found


def _letters(named: Sequence[tuple[str, Detail, float]]) -> list[tuple[str, Detail]]:
    return [(letter, detail) for letter, detail, _ in named]


def _detail(section: Section, measures: Sequence[Measure], letter: str, detail: Detail, scale: float) -> Shown:
    view = detail_view(section, measures, scale, _DETAIL_ROOM, detail)
    words = f"{letter} ({scale_words(scale)}) {detail.words}".rstrip()
    return Shown(view, printable(words, "detail"), detail.centre)


def _details_pages(apart: Sequence[Shown], paper: Paper, window: Box) -> Iterator[_Page]:
    """Pages of details, as many in a row as go beside each other."""
    waiting = list(apart)
    while waiting:
        row: list[Shown] = []
        spare = window.right - window.left + _BETWEEN
        while waiting and (not row or waiting[0].size()[0] + _BETWEEN <= spare):
            spare -= waiting[0].size()[0] + _BETWEEN
            row.append(waiting.pop(0))
        placed, at = [], window.left
        for one in row:
            at += max(spare, 0.0) / (len(row) + 1)
            wide, high = one.size()
            placed.append((one, at, (window.low + window.high - high) / 2.0))
            at += wide + _BETWEEN
        yield _Page(paper, 0.0, tuple(placed))


def _sheet(page: _Page, around_it: Frame, label: SectionLabel, name: str) -> Sheet:
    art = tuple(item for shown, left, low in page.shown for item in shown.items(left, low))
    title = printable(f"{label.part}, section, sheet {name}", "part name")
    return Sheet(page.paper, title, area(page.paper), art, around_it.items, around_it.bars)
