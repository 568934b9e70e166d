"""Diameters beside a view: upright dimension lines, the small ones near the view, after ISO 129-1.

Extension lines run along the axis, those of a larger diameter outside those of a smaller one, so that none crosses the
words or the line of another.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ..curve import Point
from ..marks import SMALLEST_TYPE, Pen
from .dimension_sizes import BESIDE, CLEAR, GAP, PAST
from .drawing import HEAD, Drawn, arrowhead
from .letters import LEADING, POINT, width
from .sheet import Item, centred, line

_FIRST = 5.0
"""Distance of the first diameter from the end of the view [mm]."""

_LINE = SMALLEST_TYPE * LEADING * POINT
"""Height of one line of words [mm]."""


@dataclass(frozen=True, slots=True)
class Across:
    """One diameter: its upper point on the paper [mm], above the axis, and its words in up to three lines.

    Attributes:
        point: upper point [mm]; the axis lies at y = 0.
        words: what it is; empty for nothing.
        figure: the figure in mm.
        inches: the same in inches.
        side: whether it stands left or right of the view.
    """

    point: Point
    words: str
    figure: str
    inches: str
    side: Literal["left", "right"]

    @property
    def lines(self) -> tuple[str, ...]:
        """Lines of words before the dimension line: one where it has room, else two."""
        one = " ".join(filter(None, (self.words, self.figure)))
        return (one,) if self._fits(one) or not self.words else (self.words, self.figure)

    def _fits(self, words: str) -> bool:
        return width(words, SMALLEST_TYPE) <= 2.0 * self.point[1] - 2.0 * CLEAR

    @property
    def has_room(self) -> bool:
        """Whether its words stand between its extension lines, and the heads as well."""
        return self.point[1] >= 2.0 * HEAD and all(self._fits(words) for words in (*self.lines, self.inches))

    @property
    def before(self) -> float:
        """Room that the words take before the line [mm]."""
        return BESIDE + _LINE * (len(self.lines) - 0.5)


def beside(several: Sequence[Across], left: float, right: float) -> tuple[Drawn, ...]:
    """Place diameters beside a view.

    Args:
        several: the diameters.
        left: left end of the view [mm].
        right: right end of the view [mm].

    Returns:
        One drawn diameter for each, in no order.
    """
    drawn: list[Drawn] = []
    for side in ("left", "right"):
        # Words read from the right, so what is above the line stands to its left.
        at = left - _FIRST if side == "left" else right + _FIRST
        for one in sorted((one for one in several if one.side == side), key=lambda one: one.point[1]):
            after = BESIDE + _LINE * 0.5 + CLEAR
            at += -after if side == "left" else one.before
            drawn.append(_drawn(one, at))
            at += -one.before - CLEAR if side == "left" else after
    return tuple(drawn)


def _drawn(one: Across, x: float) -> Drawn:
    from_, radius = one.point
    side = -1.0 if one.side == "left" else 1.0
    lines: list[Item] = [
        line((x, -radius), (x, radius), Pen.DIMENSION),
        arrowhead((x, radius), (0.0, 1.0)),
        arrowhead((x, -radius), (0.0, -1.0)),
    ]
    for y in (radius, -radius):
        lines.append(line((from_ + side * GAP, y), (x + side * PAST, y), Pen.DIMENSION))
    rows = [-BESIDE - _LINE * row for row in range(len(one.lines))]
    pairs = [*zip(reversed(one.lines), rows, strict=True), (one.inches, BESIDE)]
    words = tuple(centred(text, (x + by, 0.0), turn=math.pi / 2.0) for text, by in pairs if text)
    return Drawn(tuple(lines), words)
