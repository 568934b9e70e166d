"""The drawing of a flat face, to scale with its sizes, and of the same piece cut square to it.

The section stands beside the face, its axis level with the face's middle where it is of a turned body, or below it. The
scale is the largest reduction of ISO 5455 at which both go on one page, lying or upright; at most 1:1.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..errors import PartError
from ..flat_view import FlatView
from ..marks import Pen
from ..shape import Outline
from .fitting import Drawing, drawing
from .letters import printable
from .paper import Paper, lying
from .section import SCALES, scale_words
from .section_block import SectionLabel, area, frame
from .section_dimensions import main_view
from .section_places import Shown
from .section_scaling import scaled
from .section_view import Section, section_across, section_of
from .sheet import Box, Item, Sheet, Trace

_BETWEEN = 6.0
"""Room between the two views [mm]."""


@dataclass(frozen=True, slots=True)
class _Placed:
    """The face moved by (x, y) [mm], and the section with the place of its lower left corner; or one of them."""

    face: Drawing | None
    move: tuple[float, float]
    section: tuple[Shown, float, float] | None


def flat_sheets(
    view: FlatView, *, label: SectionLabel, paper: Paper, failed_checks: tuple[str, ...] = ()
) -> tuple[Sheet, ...]:
    """Draw a flat face.

    Args:
        view: the face, and what is cut square to it.
        label: what the sheets say about the part.
        paper: what they are printed on, upright; a sheet lies where that gives a larger scale.
        failed_checks: names of the checks that the part fails, stamped on every page.

    Returns:
        One page with both views, or one of each where they would be smaller together.

    Raises:
        PartError: the part is too large for any scale, or has words that cannot be printed.
    """
    section = _section(view)
    left, low, right, high = view.outline.box()
    longest, upright, lies = max(right - left, high - low), paper, lying(paper)
    # What is turned is read across from its face; what is cut across lies under it.
    ways = ((upright, False), (lies, False), (lies, True), (upright, True))
    ways = ways if isinstance(view.section, tuple) else (*ways[2:], *ways[:2])

    def sheet(one: Paper, scale: float, name: str, placed: _Placed) -> Sheet:
        around_it = frame(label, one, scale_words(scale), name, view.notes, failed_checks)
        title = printable(f"{label.part}, {label.view}, sheet {name}", "part name")
        return Sheet(one, title, area(one), tuple(_art(placed)), around_it.items, around_it.bars)

    windows = {
        one: frame(label, one, scale_words(SCALES[-1]), "1 of 1", view.notes, failed_checks).window
        for one in (upright, lies)
    }
    for scale in (one for one in SCALES if one <= 1.0 and longest * one < lies.area_width):
        face = drawing(_scaled(view.outline, scale), view.marks(scale), 0.0)
        for one, beside in ways:
            placed = _arranged(face, section, view, scale, windows[one], beside)
            if placed is not None:
                return (sheet(one, scale, "1 of 1", placed),)
        for one in (upright, lies):
            placed = _arranged(face, None, view, scale, windows[one], beside=False)
            if placed is not None and section is not None:
                other = _cut_alone(section, view, windows)
                if other is not None:
                    return sheet(one, scale, "1 of 2", placed), sheet(other[0], other[1], "2 of 2", other[2])
    raise PartError("the part is too large for a drawing: it does not go on a page at 1:100")


def _cut_alone(section: Section, view: FlatView, windows: dict[Paper, Box]) -> tuple[Paper, float, _Placed] | None:
    """The section on a page of its own, as large as it goes there."""
    for scale in SCALES:
        for paper, window in windows.items():
            found = main_view(section, view.measures, scale, window.right - window.left, ())
            if found is None:
                continue
            shown = Shown(found, view.section_words)
            long, tall = shown.size()
            left, low = (window.left + window.right - long) / 2.0, (window.low + window.high - tall) / 2.0
            if left >= window.left and low >= window.low:
                return paper, scale, _Placed(None, (0.0, 0.0), (shown, left, low))
    return None


def _section(view: FlatView) -> Section | None:
    """What is cut."""
    if view.section is None:
        return None
    return section_across(view.section) if isinstance(view.section, tuple) else section_of(view.section)


def _scaled(outline: Outline, by: float) -> Outline:
    loops = tuple(tuple(type(edge)(scaled(edge.piece, by), edge.role) for edge in loop) for loop in outline.loops)
    return Outline(loops[0], loops[1:])


def _arranged(
    face: Drawing, section: Section | None, view: FlatView, scale: float, window: Box, beside: bool
) -> _Placed | None:
    """Places for both views in a window, one beside the other or the section below; None where they do not go in."""
    box, wide, high = face.box(), window.right - window.left, window.high - window.low
    long, tall = box.right - box.left, box.high - box.low
    if long > wide or tall > high:
        return None
    if section is None:
        return _Placed(face, _move(box, window), None)
    room = wide - long - _BETWEEN if beside else wide
    flat = isinstance(view.section, tuple)
    # A cut across something thin is drawn larger where there is room.
    for larger in (2.0 * scale, scale) if flat else (scale,):
        found = main_view(section, view.measures, larger, room, ()) if room > 0.0 and larger in SCALES else None
        if found is None:
            continue
        shown = Shown(found, f"{view.section_words} ({scale_words(larger)})" if flat else view.section_words)
        placed = _beside(face, shown, window) if beside else _below(face, shown, window)
        if placed is not None:
            return placed
    return None


def _below(face: Drawing, shown: Shown, window: Box) -> _Placed | None:
    """The section under the face, both in the middle."""
    box, (long, tall) = face.box(), shown.size()
    spare = (window.high - window.low - (box.high - box.low) - tall - _BETWEEN) / 3.0
    if spare < 0.0 or long > window.right - window.left:
        return None
    low = window.low + spare
    above = Box(window.left, low + tall + _BETWEEN + spare, window.right, window.high - spare)
    return _Placed(face, _move(box, above), (shown, (window.left + window.right - long) / 2.0, low))


def _beside(face: Drawing, shown: Shown, window: Box) -> _Placed | None:
    """The section to the right of the face, its axis at the height of the face's middle."""
    box, mine = face.box(), shown.box()
    spare = (window.right - window.left) - (box.right - box.left) - (mine.right - mine.left) - _BETWEEN
    low, high = min(box.low, mine.low), max(box.high, mine.high)
    if spare < 0.0 or high - low > window.high - window.low:
        return None
    level = (window.low + window.high - low - high) / 2.0
    left = window.left + spare / 3.0
    at = left + (box.right - box.left) + _BETWEEN + spare / 3.0
    return _Placed(face, (left - box.left, level), (shown, at, level + mine.low))


def _move(box: Box, room: Box) -> tuple[float, float]:
    """The move that puts a box in the middle of some room [mm]."""
    return (room.left + room.right - box.left - box.right) / 2.0, (room.low + room.high - box.low - box.high) / 2.0


def _art(placed: _Placed) -> Iterator[Item]:
    face, (dx, dy) = placed.face, placed.move
    for loop in face.outline.loops if face else ():
        yield Trace(tuple(edge.piece for edge in loop), Pen.CUT).placed(dx, dy)
    for mark in face.marks if face else ():
        moved = mark.placed(dx, dy)
        yield from (*moved.lines, *moved.words)
    if placed.section is not None:
        shown, left, low = placed.section
        yield from shown.items(left, low)
