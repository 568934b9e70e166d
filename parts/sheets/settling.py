"""Which way to say a thing has room on a sheet: a part's choices of marks, settled one after the other.

Nothing is moved: each way is looked at where the kind put it, against the outline, the marks that have no choice, and
the choices settled before. Hatching is in nobody's way, because it is broken off around words.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ..curve import Floats, Line
from ..marks import Choice, Mark, Pen, PlainMark
from ..shape import Outline
from .drawing import Drawn, draw, together
from .hatch import Face, less, union
from .sheet import Box, Solid, Text, Trace
from .space import EDGE, WORDS, dotted

_AIR = 0.5
"""Room kept between words and anything else [mm]."""

_SPLIT = 1e4
"""What words cost that are cut by a seam [-]."""

_OVERPRINTED = 3
"""How much worse words on words are than a line through words [-]: neither can be read."""

_OUT = 1e6
"""What it costs to reach out of the room there is [-]: more than anything that may be crossed."""


@dataclass(frozen=True, slots=True)
class Settled:
    """A mark as it is drawn.

    Attributes:
        mark: the mark.
        drawn: its lines and words.
        choice: number among the part's marks of the choice that it comes from; None for none.
        redrawn: whether it was drawn otherwise than it was given, for want of room.
    """

    mark: PlainMark
    drawn: Drawn
    choice: int | None = None
    redrawn: bool = False


def settle(outline: Outline, marks: Sequence[Mark], turn: float) -> tuple[Settled, ...]:
    """The marks of a part with its choices settled, turned about the origin by `turn` [rad]; marks of nothing left out.

    Raises:
        PartError: words that cannot be printed.
    """
    return _settle(outline, tuple(marks), turn)


@lru_cache(maxsize=32)
def _settle(outline: Outline, marks: tuple[Mark, ...], turn: float) -> tuple[Settled, ...]:
    plain = [(mark, draw(mark, turn)) for mark in marks if not isinstance(mark, Choice)]
    found = [Settled(mark, drawn) for mark, drawn in plain if drawn.lines or drawn.words]
    taken = Taken(outline.placed(0.0, 0.0, turn), [one.drawn for one in found])
    for number, mark in enumerate(marks):
        if isinstance(mark, Choice):
            found += settled_choice(mark, number, turn, taken) or ()
    return tuple(found)


def settled_choice(
    choice: Choice, number: int, turn: float, taken: Taken, room: Room | None = None
) -> tuple[Settled, ...] | None:
    """The first way of a choice that has room, whose places are taken then.

    Args:
        choice: the choice.
        number: its number among the marks of the part.
        turn: turn of the drawing about its origin [rad].
        taken: what is there already.
        room: where it has to lie; None for anywhere.

    Returns:
        Its marks, none where it is left out, or None where it must be drawn and reaches out of the room in every way.
    """
    best, least = None, math.inf
    for way in choice.ways:
        drawn = [draw(mark, turn) for mark in way]
        seen = [(mark, one) for mark, one in zip(way, drawn, strict=True) if one.lines or one.words]
        if not seen:
            return ()  # a length of nothing has nothing to say
        cost = taken.cost(together([one for _, one in seen]), choice.apart, room, least)
        if cost < least:
            best, least = seen, cost
        if cost == 0.0:
            break
    if best is None or (least > 0.0 and not choice.must):
        return ()
    if least >= _OUT:
        return None
    for _, drawn_mark in best:
        taken.add(drawn_mark)
    return tuple(Settled(mark, one, number) for mark, one in best)


@dataclass(frozen=True, slots=True)
class Room:
    """Where marks have to lie.

    Attributes:
        whole: rectangle for all of it [mm].
        cells: rectangles of which one has to hold each word, such as tiles less their seams [mm]; none for no seams.
    """

    whole: Box
    cells: tuple[Box, ...] = ()

    def cost(self, drawn: Drawn) -> float:
        """What it costs that a drawing lies where it does [-]."""
        if not all(self.whole.holds(item.box()) for item in (*drawn.lines, *drawn.words)):
            return _OUT
        if not self.cells:
            return 0.0
        return _SPLIT * sum(not any(cell.holds(text.box()) for cell in self.cells) for text in drawn.words)


class Taken:
    """The places taken by an outline and by what is drawn already."""

    def __init__(self, outline: Outline, drawn: Iterable[Drawn]) -> None:
        """Take the places of an outline and of drawings."""
        self._edge = dotted(edge.piece for loop in outline.loops for edge in loop)
        self._points: Floats = np.empty((0, 2))
        self._words: list[Text] = []
        self._boxes: Floats = np.empty((0, 4))
        for one in drawn:
            self.add(one)

    def add(self, drawn: Drawn) -> None:
        """Take the places of one more drawing."""
        self._points = np.vstack([self._points, _dots(drawn)])
        self._words += drawn.words
        self._boxes = np.vstack([self._boxes, *(np.array([text.box()]) for text in drawn.words)])

    def cost(self, drawn: Drawn, apart: bool, room: Room | None, most: float = math.inf) -> float:
        """What is in the way of a drawing [-]: dots of lines that words cross, words that weigh as much as many dots.

        Args:
            drawn: the drawing.
            apart: whether anything in the rectangle round it is in its way.
            room: where it has to lie.
            most: a cost from which on it need not be known.
        """
        cost = room.cost(drawn) if room else 0.0
        if cost >= _OUT:
            return cost
        if apart:
            box = drawn.box().grown(2.0 * _AIR)
            for points in (self._edge, self._points):
                cost += np.count_nonzero(_in_box(points, box))
            cost += WORDS * len(self._near(box))
            if cost:
                return float(cost)
        dots = _dots(drawn)
        for text in drawn.words:
            if cost >= most:
                return cost
            cost += np.count_nonzero(_under(text, self._points)) + EDGE * np.count_nonzero(_under(text, self._edge))
            cost += _OVERPRINTED * WORDS * sum(_meet(text, other) for other in self._near(text.box()))
        if len(dots):
            low, high = dots.min(axis=0).tolist(), dots.max(axis=0).tolist()
            for other in self._near(Box(*low, *high)):
                cost += WORDS if np.any(_under(other, dots)) else 0.0
        return float(cost)

    def _near(self, box: Box) -> list[Text]:
        """Words whose upright rectangles meet another."""
        a = self._boxes
        left, low, right, high = box.grown(_AIR)
        meets = (a[:, 0] < right) & (a[:, 2] > left) & (a[:, 1] < high) & (a[:, 3] > low)
        return [self._words[k] for k in np.nonzero(meets)[0].tolist()]


def crossed(drawn: Sequence[Drawn]) -> int:
    """How many words of drawings have words or lines of others on them [-]; hatching is broken off around words."""
    texts = [(number, text, text.box()) for number, one in enumerate(drawn) for text in one.words]
    dots = [_dots(one) for one in drawn]
    return sum(
        any(first != second and box.meets(other) and _meet(text, beside) for second, beside, other in texts)
        or any(first != second and bool(_under(text, points).any()) for second, points in enumerate(dots))
        for first, text, box in texts
    )


def spared(drawn: Sequence[Drawn]) -> tuple[Drawn, ...]:
    """Drawings whose hatching is broken off around all words, so that these can be read."""
    words = [text for one in drawn for text in one.words]
    return tuple(_broken(one, words) if _is_hatching(one) else one for one in drawn)


def _is_hatching(drawn: Drawn) -> bool:
    return any(isinstance(item, Trace) and item.pen == Pen.GLUE for item in drawn.lines)


def _broken(hatching: Drawn, words: Sequence[Text]) -> Drawn:
    lines = [part for item in hatching.lines if isinstance(item, Trace) for part in _off_words(item, words)]
    return Drawn(tuple(lines), hatching.words, hatching.turn)


def _off_words(trace: Trace, words: Sequence[Text]) -> list[Trace]:
    """What is left of a straight line where it runs under words."""
    (start, end), box = (trace.pieces[0].start, trace.pieces[-1].end), trace.box()
    long = math.dist(start, end)
    direction = ((end[0] - start[0]) / long, (end[1] - start[1]) / long)
    near = [Face(_frame(text, 2.0 * _AIR)) for text in words if box.meets(text.box().grown(2.0 * _AIR))]
    spans = less([(0.0, long)], union(face.spans(start, direction) for face in near))
    places = [tuple((start[0] + direction[0] * s, start[1] + direction[1] * s) for s in span) for span in spans]
    return [Trace((Line(a, b),), trace.pen) for a, b in places if math.dist(a, b) > _AIR]


def _frame(text: Text, air: float) -> Floats:
    """The closed rectangle round words with some air [mm], shape (5, 2)."""
    a, b, c, d = (np.array(corner) for corner in text.corners())
    along, up = (b - a) / np.hypot(*(b - a)) * air, (d - a) / np.hypot(*(d - a)) * air
    return np.array([a - along - up, b + along - up, c + along + up, d - along + up, a - along - up])


def _dots(drawn: Drawn) -> Floats:
    """Points along the lines of a drawing, hatching left out, shape (n, 2) [mm]."""
    traces = [item for item in drawn.lines if isinstance(item, Trace) and item.pen != Pen.GLUE]
    heads = [corner for item in drawn.lines if isinstance(item, Solid) for corner in item.corners]
    lines = dotted(piece for trace in traces for piece in trace.pieces)
    return np.vstack([lines, np.array(heads).reshape(-1, 2)])


def _in_box(points: Floats, box: Box) -> NDArray[np.bool_]:
    x, y = points[:, 0], points[:, 1]
    return np.asarray((x > box.left) & (x < box.right) & (y > box.low) & (y < box.high))


def _under(text: Text, points: Floats) -> NDArray[np.bool_]:
    """Which of some points (n, 2) lie under words or within the air round them."""
    near = _in_box(points, text.box().grown(2.0 * _AIR))
    if not near.any():
        return near
    a, b, _, d = (np.array(corner) for corner in text.corners())
    found = near.copy()
    away = points[near] - a
    for side in (b - a, d - a):
        long = float(np.hypot(*side))
        along = away @ side / long
        found[near] &= (along > -_AIR) & (along < long + _AIR)
    return found


def _meet(one: Text, other: Text) -> bool:
    """Whether two slanted rectangles of words, with air round the first, share some area: no side parts them."""
    first, second = _frame(one, 2.0 * _AIR)[:4], _frame(other, 0.0)[:4]
    for corners in (first, second):
        for side in (corners[1] - corners[0], corners[2] - corners[1]):
            a, b = first @ side, second @ side
            if a.max() <= b.min() or b.max() <= a.min():
                return False
    return True
