"""The chart of a drag coefficient against speed, with its terms one upon the other and each named at the right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ..analysis.atmosphere import Air
from ..analysis.drag.body import DragBody
from ..analysis.drag.terms import drag_terms
from ..analysis.drag_curve import DragCurve
from ..parts.curve import Floats
from ..parts.marks import Pen
from ..parts.sheets import sheet
from ..parts.sheets.sheet import Box
from .chart_page import EDGE, ChartPage
from .strips import LEFT, SCALE, Strip, beside
from .ticks import around, within

_WORDS = 72.0
"""Width at the right of the strip for the names of terms [mm]."""
_THIN = 0.002
"""Terms that nowhere add as much as this to the coefficient are one with each other [-]."""
_NOTHING = 5e-4
"""What is less than this has no words [-]."""
SLOWEST = 0.05
"""Part of the greatest speed below which nothing is drawn: friction rises there, and hardly slows a rocket [-]."""


_OVER = 1.03
"""How much higher than the greatest coefficient the scale is at least [-]."""


@dataclass(frozen=True, slots=True)
class Term:
    """What one cause adds to the coefficient while the rocket coasts.

    Attributes:
        name: what causes it.
        values: what it adds at each speed of the curve [-].
    """

    name: str
    values: tuple[float, ...]


def stacked_terms(body: DragBody, drag: DragCurve, air: Air) -> tuple[Term, ...]:
    """The terms of a rocket's drag at the speeds of a curve, those of one name and one item in one.

    Args:
        body: the rocket as its drag sees it.
        drag: the curve.
        air: the air at the ground.
    """
    found: dict[str, list[float]] = {}
    for index, speed in enumerate(drag.speeds):
        for term in drag_terms(body, speed, air, burning=False):
            name = term.name if term.name == term.item else f"{term.name}, {term.item}"
            sums = found.setdefault(name, [0.0] * len(drag.speeds))
            sums[index] += term.coefficient * body.reference_area / drag.reference_area
    return tuple(Term(name, tuple(values)) for name, values in found.items())


@dataclass(frozen=True, slots=True)
class DragChart:
    """What is drawn.

    Attributes:
        drag: the coefficient.
        terms: its terms, the lowest first; none where a coefficient was stated.
        fastest: greatest speed that is shown [m/s]; where it is below the curve's last, the curve is cut there.
        page: what stands round the strip.
    """

    drag: DragCurve
    terms: tuple[Term, ...]
    fastest: float
    page: ChartPage

    def items(self) -> tuple[sheet.Item, ...]:
        """Everything on the sheet, in [mm] from its lower left corner."""
        return (*self.page.items(), *self._drawn())

    def speeds(self) -> tuple[float, ...]:
        """The speeds that the curves are drawn through [m/s]."""
        slowest = SLOWEST * self.fastest
        inside = [speed for speed in self.drag.speeds if slowest < speed < self.fastest]
        return (slowest, *inside, self.fastest)

    def strip(self) -> Strip:
        """The strip of the coefficient."""
        low = self.page.bottom + SCALE + 2.0
        frame = Box(EDGE + LEFT, low, self.page.width - EDGE - _WORDS, self.page.top - 2.0)
        greatest = max(*(max(self._of(burning)) for burning in (True, False)), *self._sums(), 1e-3)
        return Strip("Drag coefficient [-]", frame, within(0.0, self.fastest, 12), around(0.0, _OVER * greatest, 8))

    def _of(self, burning: bool) -> list[float]:
        return [self.drag.coefficient(speed, burning) for speed in self.speeds()]

    def _at(self, values: Sequence[float]) -> list[float]:
        return np.interp(self.speeds(), self.drag.speeds, values).tolist()

    def _sums(self) -> list[float]:
        return np.sum([self._at(term.values) for term in self.terms], axis=0).tolist() if self.terms else [0.0]

    def bands(self) -> Iterator[tuple[str, Floats]]:
        """Name of each term and what it adds at each speed (n,) [-]; at last those that are thin, in one."""
        thin = np.zeros(len(self.speeds()))
        for term in self.terms:
            values = np.array(self._at(term.values))
            if values.max() >= _THIN:
                yield term.name, values
            else:
                thin += values
        if thin.max() >= _NOTHING:
            yield "others", thin

    def _drawn(self) -> Iterator[sheet.Item]:
        strip, speeds = self.strip(), self.speeds()
        yield from strip.paper()
        yield from strip.scale("Speed through the air [m/s]")
        named = []
        below = np.zeros(len(speeds))
        for name, values in self.bands():
            top = below + values
            yield strip.curve(speeds, top, Pen.DIMENSION)
            named.append((strip.y(float(below[-1] + top[-1]) / 2.0), f"{name} {values[-1]:.3f}"))
            below = top
        coasting, powered = self._of(False), self._of(True)
        yield strip.curve(speeds, coasting)
        same = np.allclose(coasting, powered, atol=1e-9)
        if not same:
            yield strip.curve(speeds, powered, Pen.REFERENCE)
            named.append((strip.y(powered[-1]), f"while the motor burns {powered[-1]:.3f} (dashed)"))
        words = "with and without thrust" if same else "coasting, all of it"
        named.append((strip.y(coasting[-1]), f"{words} {coasting[-1]:.3f}"))
        yield from beside(strip, named, _WORDS)
