"""Placing an outline and its marks on one page.

A part that fits is worth one page even where its figures, set where the kind put them, would stick out: those that do
are drawn closer, on the other side of what they measure, or slid along their line.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ..curve import Point
from ..marks import Diameter, Dimension, Mark
from ..shape import Outline
from .drawing import Drawn, draw
from .sheet import Box, around
from .space import WORDS, Space

EDGE = 1.0
"""Room kept between the drawing and the border of its window [mm]."""

_CLOSE = 6.0
_SLIDE = 4.0
_FURTHEST = 15


@dataclass(frozen=True, slots=True)
class Drawing:
    """An outline and its marks, turned as they will be printed, about their own origin.

    Attributes:
        outline: the outline, turned.
        sources: the marks as the kind gave them.
        turn: the turn [rad].
        marks: the marks as they are drawn, turned; marks of nothing left out.
    """

    outline: Outline
    sources: tuple[Mark, ...]
    turn: float
    marks: tuple[Drawn, ...]

    def box(self) -> Box:
        """Rectangle round the outline and all marks, with a little room [mm]."""
        return around([Box(*self.outline.box()), *(mark.box() for mark in self.marks)]).grown(EDGE)


def drawing(outline: Outline, marks: Sequence[Mark], turn: float) -> Drawing:
    """Turn an outline and draw its marks.

    Raises:
        PartError: words that cannot be printed.
    """
    pairs = [(mark, draw(mark, turn)) for mark in marks]
    seen = [(mark, drawn) for mark, drawn in pairs if drawn.lines or drawn.words]
    return Drawing(
        outline.placed(0.0, 0.0, turn),
        tuple(mark for mark, _ in seen),
        turn,
        tuple(drawn for _, drawn in seen),
    )


def centred_in(part: Drawing, window: Box) -> Point | None:
    """Move [mm] that puts outline and marks in the middle of a window, or None: they do not fit as they are."""
    box = part.box()
    if box.right - box.left > window.right - window.left or box.high - box.low > window.high - window.low:
        return None
    return (window.left + window.right - box.left - box.right) / 2.0, (
        window.low + window.high - box.low - box.high
    ) / 2.0


@dataclass(frozen=True, slots=True)
class Squeezed:
    """A drawing with marks drawn anew where they would stick out of a window.

    Attributes:
        part: the drawing.
        move: move into the window [mm].
        redrawn: how many marks were drawn anew [-].
    """

    part: Drawing
    move: Point
    redrawn: int


def squeezed(part: Drawing, window: Box) -> Squeezed | None:
    """The drawing squeezed into a window, or None where the outline itself does not fit, or a mark finds no room."""
    whole, alone = part.box(), Box(*part.outline.box()).grown(EDGE)
    if alone.right - alone.left > window.right - window.left or alone.high - alone.low > window.high - window.low:
        return None
    dx = _near_middle(whole.left, whole.right, alone.left, alone.right, window.left, window.right)
    dy = _near_middle(whole.low, whole.high, alone.low, alone.high, window.low, window.high)
    room = Box(window.left - dx, window.low - dy, window.right - dx, window.high - dy)
    stays = [room.holds(mark.box()) for mark in part.marks]
    space = Space(part.outline, [mark for mark, stay in zip(part.marks, stays, strict=True) if stay])
    marks = list(part.marks)
    for index, (source, stay) in enumerate(zip(part.sources, stays, strict=True)):
        if stay:
            continue
        found = _redrawn(source, part.turn, room, space)
        if found is None:
            return None
        marks[index] = found
        space.add(found)
    return Squeezed(replace(part, marks=tuple(marks)), (dx, dy), stays.count(False))


def _near_middle(first: float, last: float, inner: float, outer: float, low: float, high: float) -> float:
    """Move that centres the whole between low and high as far as the outline alone, inner to outer, stays there."""
    wish = (low + high - first - last) / 2.0
    return min(max(wish, low - inner), high - outer)


def _redrawn(source: Mark, turn: float, room: Box, space: Space) -> Drawn | None:
    best: Drawn | None = None
    least = float(WORDS)
    for other in _others(source):
        drawn = draw(other, turn)
        if any(not room.holds(item.box()) for item in drawn.lines):
            continue
        along = (math.cos(drawn.turn), math.sin(drawn.turn))
        for step in range(2 * _FURTHEST + 1):
            by = (step + 1) // 2 * (_SLIDE if step % 2 else -_SLIDE)
            words = tuple(text.placed(along[0] * by, along[1] * by) for text in drawn.words)
            if all(room.holds(text.box()) for text in words):
                # Figures far from their own line are as bad as figures with another line through them.
                cost = sum(space.hits_of(text) for text in words) + abs(by)
                if cost < least:
                    best, least = replace(drawn, words=words), cost
    return best


def _others(source: Mark) -> Iterator[Mark]:
    """Ways to draw a mark, the best first."""
    yield source
    if isinstance(source, Dimension):
        side = math.copysign(1.0, source.away)
        for away in (_CLOSE * side, -_CLOSE * side, -2.0 * _CLOSE * side, -source.away):
            yield replace(source, away=away)
    elif isinstance(source, Diameter):
        for step in range(1, 12):
            turned = source.turn + (step + 1) // 2 * math.radians(30.0) * (1.0 if step % 2 else -1.0)
            for reach in (source.reach, -source.reach):
                yield replace(source, turn=turned, reach=reach)
