"""Room for words on a strip of paper: where nothing else is, or else a long line is left open round them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from ..curve import Line, Point
from ..marks import Arrow, Guide, Label, Pen
from ..sheets.sheet import Box
from .pattern import TYPE_HEIGHT, long, longest_that_fits

ONE_SHEET, TWO_SHEETS = 140.0, 240.0
"""Longest strips [mm] that go on one sheet and on two; between them a seam lies to the right of the middle."""

_NEAR_SEAM = 10.0
_AIR = 0.5
_STEP = 2.0
_UPRIGHT = math.pi / 2.0


class StripRoom:
    """What lies on a strip and the words that found room on it.

    Attributes:
        wide: width of the strip in which words may stand [mm].
        low: lowest line on which they may stand [mm].
        high: highest one [mm].
        labels: the words in their places.
    """

    def __init__(self, wide: float, low: float, high: float) -> None:
        """Start with an empty one."""
        self.wide, self.low, self.high = wide, low, high
        self.labels: list[Label] = []
        self._words: list[Box] = []
        self._solid: list[Box] = []
        self._windows: list[Box] = []
        self._long: list[tuple[Line, bool]] = []

    def line(self, start: Point, end: Point, centre: bool = False) -> None:
        """Draw a level or upright line, which words may interrupt."""
        self._long.append((Line(start, end), centre))

    def take(self, box: Box) -> None:
        """Keep words off a rectangle."""
        self._solid.append(box)

    def open_window(self, box: Box) -> bool:
        """Cut a rectangle out, which interrupts the lines that cross it; False where it meets another one."""
        self.take(box)
        if any(box.grown(_AIR).meets(other) for other in self._windows):
            return False
        self._windows.append(box)
        return True

    def put(self, words: str, middle: Point, turn: float = 0.0) -> None:
        """Set words at a place, whatever lies there."""
        self.labels.append(Label(words, middle, turn))
        self._words.append(_around(words, middle, turn))

    def upright(self, choices: Sequence[str], x: float, low: float, high: float) -> bool:
        """The fullest wording that finds room along the strip's height at x, between two heights [mm]."""
        for crossing in (False, True):
            for words in choices:
                half = long(words) / 2.0
                span = max(high - low - 2.0 * half, 0.0)
                for step in range(int(span / _STEP) + 1):
                    y = (low + high) / 2.0 + (step + 1) // 2 * (_STEP if step % 2 else -_STEP)
                    if self._try(words, (x, y), _UPRIGHT, crossing):
                        return True
        return False

    def level(self, choices: Sequence[str], heights: Sequence[float]) -> bool:
        """The fullest wording that finds room at one of some heights [mm], as far to the left as it can."""
        for crossing in (False, True):
            for words in choices:
                half = long(words) / 2.0
                for height in heights:
                    x = half + 1.5
                    while x + half <= self.wide - 1.5:
                        if self._try(words, (x, height), 0.0, crossing):
                            return True
                        x += _STEP
        return False

    def beside(self, choices: Sequence[str], x: float, y: float, reach: float) -> bool:
        """The fullest wording that finds room beside a mark that reaches `reach` [mm] to all sides of (x, y).

        Level with it or a line higher or lower; else along the strip's height beside the mark's own line; else across
        other lines.
        """
        off, shifts = TYPE_HEIGHT / 2.0 + 1.0, (0.0, reach + 1.2, -reach - 1.2)
        # To the left where a strip of two sheets has its seam on the right.
        near_seam = ONE_SHEET < self.wide < TWO_SHEETS and -_NEAR_SEAM < x - self.wide / 2.0 < 3.0 * _NEAR_SEAM
        sides = (-1.0, 1.0) if near_seam else (1.0, -1.0)
        for crossing, upright in ((False, False), (False, True), (True, False), (True, True)):
            for words in choices:
                away = long(words) / 2.0 + reach + 0.6
                if upright:
                    places = [(x + side * off, y + way * away) for way in (1.0, -1.0) for side in sides]
                else:
                    places = [(x + side * away, y + shift) for shift in shifts for side in sides]
                if any(self._try(words, middle, _UPRIGHT if upright else 0.0, crossing) for middle in places):
                    return True
        return False

    def _try(self, words: str, middle: tuple[float, float], turn: float, crossing: bool) -> bool:
        box = _around(words, middle, turn)
        if not Box(1.0, self.low, self.wide - 1.0, self.high).holds(box):
            return False
        if self._meets(box, not crossing):
            return False
        self.put(words, middle, turn)
        return True

    def _meets(self, box: Box, lines: bool) -> bool:
        """Whether a rectangle meets what is there, with long lines or without."""
        near = box.grown(_AIR)
        if any(near.meets(other) for other in (*self._words, *self._solid)):
            return True
        return lines and any(near.meets(_line_box(line)) for line, _ in self._long)

    def arrow(self, word: str, shares: Iterable[float]) -> Iterator[Arrow]:
        """An upward arrow with its word where it fits, near some parts of the width [-]; none without a free column."""
        at = tuple(shares)
        for tall in (25.0, 17.0, 10.0, 6.0):
            words = longest_that_fits((word,), tall - 1.0)
            half = TYPE_HEIGHT + 1.5 if words else 1.0
            for share in at:
                x, y = share * self.wide, self.high - tall - 1.0
                while y >= self.low + 1.0:
                    if not self._meets(Box(x - half, y, x + half, y + tall), lines=True):
                        yield Arrow(words, (x, y), (x, y + tall))
                        return
                    y -= _STEP

    def lines(self) -> Iterator[Guide]:
        """The long lines, left open where words stand on them."""
        for line, centre in self._long:
            yield from (Guide((part,), Pen.CENTRE_LINE if centre else Pen.REFERENCE) for part in self._opened(line))

    def _opened(self, line: Line) -> Iterator[Line]:
        """A level or upright line without the stretches on which words stand."""
        upright = line.start[0] == line.end[0]
        at = line.start[0] if upright else line.start[1]
        ends = sorted((line.start[1], line.end[1]) if upright else (line.start[0], line.end[0]))
        gaps = []
        for box, air in (*((box, _AIR) for box in self._words), *((box, 0.0) for box in self._windows)):
            near, far = (box.left, box.right) if upright else (box.low, box.high)
            low, high = (box.low, box.high) if upright else (box.left, box.right)
            if near - air < at < far + air and low - air < ends[1] and high + air > ends[0]:
                gaps.append((low - air, high + air))
        start = ends[0]
        for low, high in sorted(gaps):
            if low > start:
                yield _straight(at, start, low, upright)
            start = max(start, high)
        if start < ends[1]:
            yield _straight(at, start, ends[1], upright)


def _straight(at: float, start: float, end: float, upright: bool) -> Line:
    return Line((at, start), (at, end)) if upright else Line((start, at), (end, at))


def _around(words: str, middle: tuple[float, float], turn: float) -> Box:
    half, tall = long(words) / 2.0, TYPE_HEIGHT / 2.0
    wide, high = (tall, half) if turn else (half, tall)
    return Box(middle[0] - wide, middle[1] - high, middle[0] + wide, middle[1] + high)


def _line_box(line: Line) -> Box:
    (x0, y0), (x1, y1) = line.start, line.end
    return Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
