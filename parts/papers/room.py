"""Words on an unrolled cone, set where nothing else is: along the skin or along its rims."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from ..curve import Line, Point
from ..marks import Arrow, Guide, Label
from .development import Development
from .pattern import TYPE_HEIGHT, long, longest_that_fits

_AIR = 1.0
"""Room kept round words [mm]."""

_EDGE = 1.5
"""Room kept between words and a rim [mm]."""

_ARROW = 25.0
"""Usual length of the arrow that points forward [mm]."""

_SHORTEST_ARROW = 6.0
"""Shortest arrow that is still seen as one [mm]."""

_SHARES = (0.5, 0.6, 0.4, 0.7, 0.3, 0.8, 0.2, 0.85, 0.15)
"""Where along the skin words are tried [-]."""

_Taken = tuple[float, float, float, float]
"""From u to u, from v to v."""


class Room:
    """The places on an unrolled cone that are taken."""

    def __init__(self, flat: Development) -> None:
        """Start with an empty one."""
        self._flat = flat
        self._taken: list[_Taken] = []

    def line(self, u: float, ends: tuple[float, float]) -> Guide:
        """A line along the skin between two distances from the forward rim [mm]."""
        self._taken.append((u, u, *ends))
        return Guide((Line(self._flat.at(u, ends[0]), self._flat.at(u, ends[1])),))

    def beside(self, u: float, words: tuple[str, ...], on_the_left: bool = True) -> Iterator[Label]:
        """The fullest of some wordings that finds room along a line, close beside it."""
        for choice in words:
            half = long(choice) / 2.0
            for share in _SHARES:
                v = share * self._flat.slant
                narrow = self._narrow(v - half, v + half)
                away = (TYPE_HEIGHT / 2.0 + _AIR) / narrow if narrow > 0.0 else 1.0
                centre = u - away if on_the_left else u + away
                box = self._free(centre, v, TYPE_HEIGHT / 2.0, half)
                if box:
                    self._taken.append(box)
                    dx, dy = self._flat.forward(u)
                    off = (TYPE_HEIGHT / 2.0 + _AIR) * (1.0 if on_the_left else -1.0)
                    yield Label(choice, _step(self._flat.at(u, v), -dy, dx, off), math.atan2(dy, dx))
                    return

    def words(self, choices: tuple[str, ...], places: Iterable[float]) -> Iterator[Label]:
        """The fullest of some wordings that finds room along the skin or along the rims, near some values of u [-]."""
        at = tuple(places)
        for choice in choices:
            half = long(choice) / 2.0
            for u in at:
                for v in (share * self._flat.slant for share in _SHARES):
                    box = self._free(u, v, TYPE_HEIGHT / 2.0, half)
                    if box:
                        self._taken.append(box)
                        yield self._along(choice, u, v)
                        return
                    box = self._free(u, v, half, TYPE_HEIGHT / 2.0 + self._sag(v, half))
                    if box:
                        self._taken.append(box)
                        yield self._across(choice, u, v)
                        return

    def at_rim(self, lines: tuple[str, str], aft: bool, places: Iterable[float]) -> Iterator[Label]:
        """Two lines one below the other, along the rim that they speak of; none where they find no room."""
        half = max(long(words) for words in lines) / 2.0
        high = 2.0 * TYPE_HEIGHT + 1.0
        slant = self._flat.slant
        for near in (_EDGE + 0.5, 4.0, 8.0):
            depth = near + high / 2.0
            v = slant - depth if aft else depth
            sag = self._sag(v, half)
            v += -sag if aft else sag
            for u in places:
                box = self._free(u, v, half, high / 2.0 + sag)
                if box:
                    self._taken.append(box)
                    step = (TYPE_HEIGHT + 1.0) / 2.0
                    # Where the sheet turns words over, the first of them reads first all the same.
                    over = -math.pi / 2.0 < self._across_turn(u) <= math.pi / 2.0
                    first, second = lines if over else lines[::-1]
                    yield self._across(first, u, v - step)
                    yield self._across(second, u, v + step)
                    return

    def arrow(self, words: str, places: Iterable[float]) -> Iterator[Arrow]:
        """An arrow that points forward, with its words where there is room for them."""
        at = tuple(places)
        for length in (_ARROW, long(words) + 2.0, (_ARROW + _SHORTEST_ARROW) / 2.0, _SHORTEST_ARROW):
            said = longest_that_fits((words,), length - 1.0)
            for u in at:
                for v in (share * self._flat.slant for share in _SHARES):
                    # The words may stand on either side, as the sheet is turned.
                    box = self._free(u, v, (TYPE_HEIGHT + _AIR) if said else _AIR, length / 2.0)
                    if box:
                        self._taken.append(box)
                        middle, (dx, dy) = self._flat.at(u, v), self._flat.forward(u)
                        yield Arrow(said, _step(middle, dx, dy, -length / 2.0), _step(middle, dx, dy, length / 2.0))
                        return

    def take(self, u: float, width: float) -> None:
        """Take a stretch `width` [mm] wide, on both sides of a line along the skin."""
        narrow = min(self._flat.girth(0.0), self._flat.girth(self._flat.slant))
        part = width / narrow if narrow > 0.0 else 0.25
        self._taken.append((u - part, u + part, 0.0, self._flat.slant))

    def _free(self, u: float, v: float, half_across: float, half_along: float) -> _Taken | None:
        """The place that a rectangle takes, if it lies on the skin and everything else lies clear of it."""
        low, high = v - half_along, v + half_along
        if low < _EDGE or high > self._flat.slant - _EDGE:
            return None
        part = (half_across + _AIR * 0.8) / self._narrow(low, high)
        left, right = u - part, u + part
        if left < 0.0 or right > 1.0:
            return None
        low, high = low - _AIR, high + _AIR
        if any(left < other[1] and other[0] < right and low < other[3] and other[2] < high for other in self._taken):
            return None
        return left, right, low, high

    def _narrow(self, low: float, high: float) -> float:
        return min(self._flat.girth(low), self._flat.girth(high))

    def _sag(self, v: float, half: float) -> float:
        """How far the ends of straight words stand off the arc through their middle [mm]; infinite beyond it."""
        bend = self._flat.bend(v)
        if math.isinf(bend):
            return 0.0
        return bend - math.sqrt(bend**2 - half**2) if bend > half else math.inf

    def _along(self, words: str, u: float, v: float) -> Label:
        dx, dy = self._flat.forward(u)
        return Label(words, self._flat.at(u, v), math.atan2(dy, dx))

    def _across(self, words: str, u: float, v: float) -> Label:
        return Label(words, self._flat.at(u, v), self._across_turn(u))

    def _across_turn(self, u: float) -> float:
        dx, dy = self._flat.forward(u)
        return math.atan2(-dx, dy)


def _step(point: Point, dx: float, dy: float, by: float) -> Point:
    return (point[0] + dx * by, point[1] + dy * by)
