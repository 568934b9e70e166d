"""Strips of a chart, as a recorder's pen draws them: one quantity each against a common scale that runs to the right.

A strip has round numbers at its left edge, hairlines across at them, and above it the name of its greatest value, on a
leader that stands on the curve. Moments that have a name cross all strips as dotted lines; their words stand above,
each with its left or its right end on its own line, in rows such that no line crosses any words.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import count, pairwise

import numpy as np

from ..parts.curve import Floats, Line, Point
from ..parts.marks import SMALLEST_TYPE, Pen
from ..parts.sheets import sheet
from ..parts.sheets.letters import cut_to_fit, plain, width
from ..parts.sheets.sheet import Box, Text, Trace, centred, line, rectangle
from .side_view import spread
from .ticks import Axis

HEAD = 6.4
"""Height above a strip for the words of its greatest value [mm]."""

SCALE = 10.5
"""Height below the lowest strip for the common scale with its name [mm]."""

LEFT = 19.0
"""Width at the left of a strip for its name and its numbers [mm]."""

ROW = 4.4
"""Height of a row of words above the strips [mm]."""

_TICK = 1.4
_GAP = 1.2
_FAN = 4.0
"""Height in which the lines of moments that lie close together are led apart [mm]."""
_APART = 2.2
"""Least distance of two such lines [mm]."""
_BASE = 1.1
"""From the middle of a row down to where its letters stand [mm]."""
_FINE = 0.01
"""Points of a curve that lie closer together on paper are one [mm]."""


@dataclass(frozen=True, slots=True)
class Second:
    """Another scale of the same strip, at its right edge.

    Attributes:
        unit: what it counts, such as `g`, printed behind every number.
        axis: its scale, from the same low end to the same high end as the strip's own.
    """

    unit: str
    axis: Axis


@dataclass(frozen=True, slots=True)
class Strip:
    """One strip.

    Attributes:
        name: its quantity with the unit.
        frame: where it lies on the sheet [mm].
        across: the common scale.
        up: the scale of its quantity.
        second: another scale at its right edge; None for none.
    """

    name: str
    frame: Box
    across: Axis
    up: Axis
    second: Second | None = None

    def at(self, x: float, y: float) -> Point:
        """Where a value lies on the sheet [mm]."""
        return self.x(x), self.y(y)

    def x(self, value: float) -> float:
        """Where a value of the common scale lies [mm]."""
        return self.frame.left + self.across.share(value) * (self.frame.right - self.frame.left)

    def y(self, value: float) -> float:
        """Where a value of its own scale lies [mm]."""
        return self.frame.low + self.up.share(value) * (self.frame.high - self.frame.low)

    def paper(self, without: Sequence[float] = ()) -> Iterator[sheet.Item]:
        """The strip without a curve: frame, hairlines, numbers and names.

        Args:
            without: values at which another line is drawn, and no hairline.
        """
        frame = self.frame
        yield rectangle(frame, Pen.BAR)
        for mark in self.up.marks:
            y = self.y(mark)
            if frame.low + 0.05 < y < frame.high - 0.05 and not any(abs(self.y(one) - y) < 0.05 for one in without):
                yield line((frame.left, y), (frame.right, y), Pen.BAR if mark == 0.0 else Pen.DIMENSION)
            words = self.up.words(mark)
            yield line((frame.left - _TICK, y), (frame.left, y), Pen.BAR)
            yield Text(words, (frame.left - _TICK - 0.8 - width(words, SMALLEST_TYPE), y - _BASE))
        for mark in self.across.marks:
            x = self.x(mark)
            yield line((x, frame.low), (x, frame.low - _TICK), Pen.BAR)
        middle = (frame.low + frame.high) / 2.0
        room = frame.high - frame.low + HEAD
        name = cut_to_fit(plain(self.name), room, SMALLEST_TYPE, True)
        yield centred(name, (frame.left - LEFT + 2.2, middle), bold=True, turn=math.pi / 2.0)
        if self.second is None:
            return
        axis = self.second.axis
        for mark in axis.marks:
            y = frame.low + axis.share(mark) * (frame.high - frame.low)
            yield line((frame.right, y), (frame.right + _TICK, y), Pen.BAR)
            yield Text(f"{axis.words(mark)} {self.second.unit}", (frame.right + _TICK + 0.8, y - _BASE))

    def scale(self, name: str) -> Iterator[sheet.Item]:
        """Numbers of the common scale below the strip, and its name."""
        low = self.frame.low - _TICK
        for mark in self.across.marks:
            yield centred(self.across.words(mark), (self.x(mark), low - 2.2))
        words = plain(name)
        yield Text(words, (self.frame.right - width(words, SMALLEST_TYPE, True), low - 7.6), bold=True)

    def curve(self, xs: Floats | Sequence[float], ys: Floats | Sequence[float], pen: Pen = Pen.CUT) -> Trace:
        """A curve through points (n,) with straight lines between them."""
        frame = self.frame
        across = frame.left + (np.asarray(xs) - self.across.low) / (self.across.high - self.across.low) * (
            frame.right - frame.left
        )
        up = frame.low + (np.asarray(ys) - self.up.low) / (self.up.high - self.up.low) * (frame.high - frame.low)
        placed = list(zip(across.tolist(), up.tolist(), strict=True))
        kept = placed[:1]
        for point in placed[1:]:
            if math.dist(point, kept[-1]) > _FINE:
                kept.append(point)
        if len(kept) == 1:
            kept.append((kept[0][0] + _FINE, kept[0][1]))
        return Trace(tuple(Line(a, b) for a, b in pairwise(kept)), pen)

    def greatest(self, x: float, y: float, words: str) -> Iterator[sheet.Item]:
        """The name of the greatest value above the strip, and a leader from it down to the curve."""
        tip, frame = self.at(x, y), self.frame
        shown = cut_to_fit(plain(words), frame.right - frame.left, SMALLEST_TYPE)
        wide = width(shown, SMALLEST_TYPE)
        left = min(max(tip[0] - wide / 2.0, frame.left), frame.right - wide)
        low = frame.high + _GAP
        if low - 0.3 - tip[1] > _FINE:
            yield line(tip, (tip[0], low - 0.3), Pen.DIMENSION)
        yield Text(shown, (left, low + 0.6))


def stacked(box: Box, number: int) -> tuple[Box, ...]:
    """Frames of strips that lie one above the other in a box, the highest first, room for their heads between [mm]."""
    each = (box.high - box.low) / number
    return tuple(
        Box(box.left, box.high - each * (index + 1), box.right, box.high - each * index - HEAD)
        for index in range(number)
    )


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment that has a name.

    Attributes:
        x: where it lies on the common scale.
        words: what is printed.
    """

    x: float
    words: str


@dataclass(frozen=True, slots=True)
class _Flag:
    """The words of a moment.

    Attributes:
        x: where its line crosses the strips [mm].
        pole: where its line stands beside its words [mm].
        words: what is printed.
        left: where the words begin [mm].
        row: row of the words, from 0 for the lowest [-].
    """

    x: float
    pole: float
    words: str
    left: float
    row: int


class Flags:
    """The words of all moments above the strips, in rows.

    A line stands at one end of its words, which run to the right of it, or to the left where there is no room. Words
    stand above every line that they cover, which ends below them.

    Args:
        strip: any of the strips; all have the same scale.
        moments: the moments, in any order; those that are not on the scale are left out.
        low: where words may begin [mm].
        high: where words must end [mm].
    """

    def __init__(self, strip: Strip, moments: Sequence[Moment], low: float, high: float) -> None:
        shown = sorted((one for one in moments if -1e-9 <= strip.across.share(one.x) <= 1.0 + 1e-9), key=lambda m: m.x)
        places = [strip.x(one.x) for one in shown]
        poles = spread(places, _APART, strip.frame.left, strip.frame.right)
        self._flags = tuple(_in_rows(places, poles, [plain(one.words) for one in shown], low, high))
        self._left = strip.frame.left

    @property
    def height(self) -> float:
        """Height of the rows with the fan below them [mm]."""
        rows = max((flag.row for flag in self._flags), default=-1) + 1
        return _FAN + ROW * rows if rows else 0.0

    def items(self, strips: Sequence[Strip], base: float) -> Iterator[sheet.Item]:
        """Lines and words.

        Args:
            strips: the strips that the lines cross, between which they are not drawn.
            base: where the fan begins, above the words of the highest strip [mm].
        """
        for flag in self._flags:
            for strip in strips:
                yield line((flag.x, strip.frame.low), (flag.x, strip.frame.high), Pen.LIMIT)
            fan = base + _FAN
            top = fan + ROW * (flag.row + 0.85)
            if abs(flag.x - flag.pole) > _FINE:
                yield line((flag.x, base), (flag.pole, fan), Pen.DIMENSION)
                yield line((flag.pole, fan), (flag.pole, top), Pen.DIMENSION)
            else:
                yield line((flag.x, base), (flag.x, top), Pen.DIMENSION)
            yield Text(flag.words, (flag.left, fan + ROW * (flag.row + 0.5) - _BASE))


@dataclass(frozen=True, slots=True)
class _Laid:
    """Words beside their lines: where each begins and ends [mm], what is left of it, and its row."""

    spans: Mapping[int, tuple[float, float]]
    shown: Mapping[int, str]
    rows: Mapping[int, int]

    @property
    def letters(self) -> int:
        """How many letters are shown [-]."""
        return sum(len(words) for words in self.shown.values())


def _in_rows(
    places: Sequence[float], poles: Sequence[float], words: Sequence[str], low: float, high: float
) -> Iterator[_Flag]:
    """All to the right always finds its rows; where that cuts words, some to the left may cut fewer."""
    laid = _laid(poles, words, low, high, both_ways=False)
    other = _laid(poles, words, low, high, both_ways=True) if laid.letters < sum(map(len, words)) else laid
    if len(other.rows) == len(poles) and other.letters > laid.letters:
        laid = other
    for index, (start, _) in sorted(laid.spans.items()):
        left = start + (_GAP if start == poles[index] else 0.0)
        yield _Flag(places[index], poles[index], laid.shown[index], left, laid.rows[index])


def _laid(poles: Sequence[float], words: Sequence[str], low: float, high: float, both_ways: bool) -> _Laid:
    """Words run to the right of their line, or where they may to the left if there is no room at the right.

    Those that run to the left cover lines of earlier moments; none of these may reach back over the line of the later.
    """
    spans: dict[int, tuple[float, float]] = {}
    shown: dict[int, str] = {}
    for index in reversed(range(len(poles))):
        pole, whole = poles[index], width(words[index], SMALLEST_TYPE)
        limit = min(
            (poles[k] - _GAP for k, (start, _) in spans.items() if start - _GAP < pole < poles[k]), default=high
        )
        right, left = limit - pole - _GAP, pole - _GAP - low
        goes_right = whole <= right or right >= left or not both_ways
        shown[index] = cut_to_fit(words[index], right if goes_right else left, SMALLEST_TYPE)
        wide = _GAP + width(shown[index], SMALLEST_TYPE)
        spans[index] = (pole, pole + wide) if goes_right else (pole - wide, pole)
    return _Laid(spans, shown, _rows(poles, spans))


def _rows(poles: Sequence[float], spans: Mapping[int, tuple[float, float]]) -> dict[int, int]:
    """The lowest rows in which all words are above the lines that they cover, and none beside words that they meet.

    Fewer rows than words where some cover each other's lines.
    """
    covered = {
        one: {k for k, pole in enumerate(poles) if k != one and start - _GAP < pole < end + _GAP}
        for one, (start, end) in spans.items()
    }
    rows: dict[int, int] = {}
    while free := [k for k in spans if k not in rows and covered[k] <= rows.keys()]:
        one = max(free)
        row = max((rows[k] for k in covered[one]), default=-1) + 1
        start, end = spans[one]
        taken = {rows[k] for k in rows if spans[k][0] < end + _GAP and start < spans[k][1] + _GAP}
        rows[one] = next(number for number in count(row) if number not in taken)
    return rows


def beside(strip: Strip, named: Sequence[tuple[float, str]], room: float) -> Iterator[sheet.Item]:
    """Words at the right of a strip, each on a leader from a height on its right edge.

    Args:
        strip: the strip.
        named: heights on the sheet [mm] and the words.
        room: width that the words may take [mm].
    """
    ordered = sorted(named)
    places = spread([y for y, _ in ordered], ROW, strip.frame.low + 1.5, strip.frame.high - 1.5)
    right = strip.frame.right
    for (y, words), place in zip(ordered, places, strict=True):
        yield line((right, y), (right + 4.0, place), Pen.DIMENSION)
        yield Text(cut_to_fit(plain(words), room - 5.0, SMALLEST_TYPE), (right + 5.0, place - _BASE))
