"""Lengths under a view: dimension lines on tiers, the short ones near the view, after ISO 129-1.

Extension lines run down from the points to their tier and are interrupted where words would stand on them. They cross a
dimension line only where two lengths overlap so that one of them must be crossed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ..curve import Point
from ..marks import SMALLEST_TYPE, Pen
from .dimension_sizes import BESIDE, CLEAR, GAP, PAST, ROW
from .drawing import HEAD, Drawn, arrowhead
from .letters import POINT, width
from .sheet import Item, centred, line

FIRST = 7.0
"""Distance of the first tier from the view [mm]."""

_TAIL = 5.0
"""How far the line of a short length runs out beyond its heads [mm]."""

_BREAK = SMALLEST_TYPE * POINT + 1.2
"""How far over and under a dimension line an extension line is interrupted for words on it [mm]."""


@dataclass(frozen=True, slots=True)
class Span:
    """One length: the points that it is between [mm], the left one first, and its words above and below the line."""

    start: Point
    end: Point
    above: str
    below: str

    @property
    def long(self) -> float:
        """Its length on paper [mm]."""
        return self.end[0] - self.start[0]

    @property
    def width(self) -> float:
        """Width of the words [mm]."""
        return max(width(self.above, SMALLEST_TYPE), width(self.below, SMALLEST_TYPE))

    @property
    def is_short(self) -> bool:
        """Whether the heads stand outside and point inwards."""
        return self.long < 4.0 * HEAD

    @property
    def line(self) -> tuple[float, float]:
        """Ends of the dimension line without its words [mm]."""
        more = _TAIL if self.is_short else 0.0
        return self.start[0] - more, self.end[0] + more


@dataclass(frozen=True, slots=True)
class _Placed:
    """A length on its tier: the middle of its words [mm], and whether they stand on the line or beyond it."""

    span: Span
    middle: float
    tier: int

    @property
    def words(self) -> tuple[float, float]:
        return self.middle - self.span.width / 2.0, self.middle + self.span.width / 2.0

    @property
    def line(self) -> tuple[float, float]:
        """Ends of the line, which reaches under its words [mm]."""
        (a, b), (p, q) = self.span.line, self.words
        return min(a, p), max(b, q)


def tiered(spans: Sequence[Span], level: float, left: float, right: float) -> tuple[Drawn, ...]:
    """Place lengths under a view.

    Args:
        spans: the lengths.
        level: height of the foot of the view [mm].
        left: where words may begin [mm].
        right: where words must end [mm].

    Returns:
        One drawn length for each, in no order.
    """
    waiting = sorted(spans, key=lambda span: (span.long, span.start))
    placed: list[_Placed] = []
    tier = 0
    while waiting:
        on_tier: list[_Placed] = []
        for uncrossed, clear in ((True, True), (True, False), (False, True), (False, False)):
            if on_tier and not uncrossed:
                break
            for span in list(waiting):
                others = [other for other in waiting if other != span]
                if uncrossed and _crossed((span.start[0], span.end[0]), others):
                    continue
                found = _place(span, tier, on_tier, others if clear else [], (left, right))
                if found:
                    on_tier.append(found)
                    waiting.remove(span)
                    if not uncrossed:
                        break
        if not on_tier:
            span = waiting.pop(0)
            half = span.width / 2.0
            on_tier.append(_Placed(span, min(max(_middle(span), left + half), right - half), tier))
        placed += on_tier
        tier += 1
    return tuple(_drawn(one, placed, level) for one in placed)


def _middle(span: Span) -> float:
    return (span.start[0] + span.end[0]) / 2.0


def _feet(spans: Sequence[Span]) -> list[float]:
    return [x for span in spans for x in (span.start[0], span.end[0])]


def _crossed(stretch: tuple[float, float], others: Sequence[Span]) -> bool:
    """Whether an extension line of lengths on later tiers would cross a line."""
    return any(stretch[0] + 0.05 < x < stretch[1] - 0.05 for x in _feet(others))


def _place(
    span: Span, tier: int, taken: Sequence[_Placed], others: Sequence[Span], limits: tuple[float, float]
) -> _Placed | None:
    """A length on a tier, its words clear of what is there and of the extension lines of the others."""
    half = span.width / 2.0
    a, b = span.line
    middles = []
    if span.width <= span.long - 2.0 * HEAD:
        middles.append(_middle(span))
        gaps = [(max(p, a + HEAD), min(q, b - HEAD)) for p, q in pairwise(sorted({a, b, *_feet(others)}))]
        gaps = [(p, q) for p, q in gaps if q - p >= span.width + 2.0 * CLEAR]
        middles += [(p + q) / 2.0 for p, q in sorted(gaps, key=lambda gap: gap[0] - gap[1])]
    middles += [b + 1.5 + half, a - 1.5 - half]
    for middle in middles:
        one = _Placed(span, middle, tier)
        low, high = one.words
        if low < limits[0] or high > limits[1] or any(low - CLEAR < x < high + CLEAR for x in _feet(others)):
            continue
        if all(_are_apart(one, other) for other in taken):
            return one
    return None


def _are_apart(one: _Placed, other: _Placed) -> bool:
    """Lines may meet end to end where no heads stand outside; words keep off everything."""
    (a, b), (p, q) = one.line, other.line
    if a >= q - 1e-9 or p >= b - 1e-9:
        ends = one.words if one.words[0] < one.span.line[0] or one.words[1] > one.span.line[1] else None
        more = other.words if other.words[0] < other.span.line[0] or other.words[1] > other.span.line[1] else None
        reach = 2.0 if ends or more or one.span.is_short or other.span.is_short else 0.0
        return a >= q + reach - 1e-9 or p >= b + reach - 1e-9
    return False


def _unbroken(
    x: float, one: _Placed, placed: Sequence[_Placed], level: float, from_: float
) -> list[tuple[float, float]]:
    """Stretches of an extension line between its point and its tier, without those at words of others."""
    stretches: list[tuple[float, float]] = []
    high, low = from_ - GAP, level - FIRST - ROW * one.tier - PAST
    for other in sorted((other for other in placed if other.tier < one.tier), key=lambda other: other.tier):
        start, end = other.words
        if start - CLEAR < x < end + CLEAR:
            middle = level - FIRST - ROW * other.tier
            stretches.append((middle + _BREAK, high))
            high = middle - _BREAK
    return [(a, b) for a, b in (*stretches, (low, high)) if b > a]


def _drawn(one: _Placed, placed: Sequence[_Placed], level: float) -> Drawn:
    span, (a, b) = one.span, one.line
    y = level - FIRST - ROW * one.tier
    start, end = (span.start[0], y), (span.end[0], y)
    lines: list[Item] = [line((a, y), (b, y), Pen.DIMENSION)]
    lines += (
        [arrowhead(start, (1.0, 0.0)), arrowhead(end, (-1.0, 0.0))]
        if span.is_short
        else [arrowhead(start, (-1.0, 0.0)), arrowhead(end, (1.0, 0.0))]
    )
    for x, from_ in (span.start, span.end):
        lines += [line((x, high), (x, low), Pen.DIMENSION) for low, high in _unbroken(x, one, placed, level, from_)]
    words = tuple(
        centred(text, (one.middle, y + by)) for text, by in ((span.above, BESIDE), (span.below, -BESIDE)) if text
    )
    return Drawn(tuple(lines), words)
