"""Placing an outline and its marks on one page.

A part that fits is worth one page even where its figures, set where the kind put them, would stick out: those that do
are drawn closer, on the other side of what they measure, or slid along their line.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ..curve import Point
from ..marks import Choice, Diameter, Dimension, Mark
from ..shape import Outline
from .drawing import Drawn, draw
from .settling import Room, Settled, Taken, crossed, settle, settled_choice, spared
from .sheet import Box, around
from .space import WORDS, Space

EDGE = 1.0
"""Room kept between the drawing and the border of its window [mm]."""

_CLOSE = 6.0
_SLIDE = 4.0
_FURTHEST = 15

_WAYS = 12
"""How many ways of a choice are tried to be drawn closer [-]: the best are the first."""

_ON_EDGE = 100.0
"""What it costs to stand on the cut line [-]: more than to stand anywhere else along a figure's own line."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """An outline and its marks, turned as they will be printed, about their own origin.

    Attributes:
        outline: the outline, turned.
        given: the marks as the kind gave them.
        settled: those that are drawn, in their places, with hatching unbroken.
        turn: the turn [rad].
    """

    outline: Outline
    given: tuple[Mark, ...]
    settled: tuple[Settled, ...]
    turn: float

    @property
    def marks(self) -> tuple[Drawn, ...]:
        """The marks as they are drawn, turned, with hatching broken off around words."""
        return spared([one.drawn for one in self.settled])

    def box(self) -> Box:
        """Rectangle round the outline and all marks, with a little room [mm]."""
        return around([Box(*self.outline.box()), *(one.drawn.box() for one in self.settled)]).grown(EDGE)


def drawing(outline: Outline, marks: Sequence[Mark], turn: float) -> Drawing:
    """Turn an outline and draw its marks.

    Raises:
        PartError: words that cannot be printed.
    """
    return Drawing(outline.placed(0.0, 0.0, turn), tuple(marks), settle(outline, marks, turn), turn)


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
        redrawn: how many marks were drawn otherwise than the kind gave them, or left out [-].
        crossed: how many words have others, or lines, on them all the same [-].
    """

    part: Drawing
    move: Point
    redrawn: int
    crossed: int


def squeezed(part: Drawing, window: Box) -> Squeezed | None:
    """The drawing squeezed into a window, or None where the outline itself does not fit, or a mark finds no room."""
    whole, alone = _needed(part).grown(EDGE), Box(*part.outline.box()).grown(EDGE)
    if alone.right - alone.left > window.right - window.left or alone.high - alone.low > window.high - window.low:
        return None
    dx = _near_middle(whole.left, whole.right, alone.left, alone.right, window.left, window.right)
    dy = _near_middle(whole.low, whole.high, alone.low, alone.high, window.low, window.high)
    room = Box(window.left - dx, window.low - dy, window.right - dx, window.high - dy)
    settled = _within(part, room)
    if settled is None:
        return None
    redrawn = sum(one.redrawn for one in settled)
    left_out = {one.choice for one in part.settled} - {one.choice for one in settled}
    return Squeezed(
        replace(part, settled=settled), (dx, dy), redrawn + len(left_out), crossed([one.drawn for one in settled])
    )


def without_pictures(part: Drawing) -> Drawing:
    """The drawing without what it can do without and what stands beside it, for where that takes another page."""
    apart = {number for number, mark in enumerate(part.given) if isinstance(mark, Choice) and mark.apart}
    return replace(part, settled=tuple(one for one in part.settled if one.choice not in apart))


def off_seams(part: Drawing, cells: Sequence[Box]) -> Drawing:
    """The drawing with its choices made so that seams cut no words, and no larger than before.

    Args:
        part: the drawing.
        cells: what each tile alone shows [mm].
    """
    room = Room(part.box(), tuple(cells))
    found = [one for one in part.settled if one.choice is None]
    taken = Taken(part.outline, [one.drawn for one in found])
    said = {one.choice for one in part.settled}
    for number, mark in enumerate(part.given):
        if isinstance(mark, Choice) and number in said:
            found += settled_choice(mark, number, part.turn, taken, room) or ()
    return replace(part, settled=tuple(found))


def _needed(part: Drawing) -> Box:
    """Rectangle round the outline and all marks that must be drawn [mm]."""
    kept = [one.drawn for one in part.settled if one.choice is None or _must(part.given[one.choice])]
    return around([Box(*part.outline.box()), *(drawn.box() for drawn in kept)])


def _must(mark: Mark) -> bool:
    return not isinstance(mark, Choice) or mark.must


def _within(part: Drawing, room: Box) -> tuple[Settled, ...] | None:
    """The marks of a drawing within some room, or None where one finds none."""
    plain = [one for one in part.settled if one.choice is None]
    stays = [room.holds(one.drawn.box()) for one in plain]
    space = Space(part.outline, [one.drawn for one, stay in zip(plain, stays, strict=True) if stay])
    edge = Space(part.outline, ())
    found: list[Settled] = []
    for one, stay in zip(plain, stays, strict=True):
        drawn = one.drawn if stay else _redrawn(one.mark, part.turn, room, space, edge)
        if drawn is None:
            return None
        if not stay:
            space.add(drawn)
        found.append(replace(one, drawn=drawn, redrawn=not stay))
    taken = Taken(part.outline, [one.drawn for one in found])
    for number, mark in enumerate(part.given):
        if isinstance(mark, Choice):
            chosen = settled_choice(mark, number, part.turn, taken, Room(room))
            if chosen is None:
                chosen = _closer(mark, number, part, room, [one.drawn for one in found])
                if chosen is None:
                    return None
                for one in chosen:
                    taken.add(one.drawn)
            found += chosen
    return tuple(found)


def _closer(
    choice: Choice, number: int, part: Drawing, room: Box, drawn: Sequence[Drawn]
) -> tuple[Settled, ...] | None:
    """The first way of a choice that can be drawn closer, or with its words slid along, where no way has room."""
    space, edge = Space(part.outline, drawn), Space(part.outline, ())
    for way in choice.ways[:_WAYS]:
        redrawn = [_redrawn(mark, part.turn, room, space, edge) for mark in way]
        if all(one is not None for one in redrawn):
            return tuple(
                Settled(mark, one, number, redrawn=True) for mark, one in zip(way, redrawn, strict=True) if one
            )
    return None


def _near_middle(first: float, last: float, inner: float, outer: float, low: float, high: float) -> float:
    """Move that centres the whole between low and high as far as the outline alone, inner to outer, stays there."""
    wish = (low + high - first - last) / 2.0
    return min(max(wish, low - inner), high - outer)


def _redrawn(source: Mark, turn: float, room: Box, space: Space, edge: Space) -> Drawn | None:
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
                cost += _ON_EDGE * sum(edge.hits_of(text) > 0 for text in words)
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
