"""The chart of a motor's thrust table, with its mean and its impulse."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from ..analysis.motor import Thrust
from ..analysis.rail_exit import FIRST_MOMENT, first_push
from ..parts.marks import Pen
from ..parts.sheets import sheet
from ..parts.sheets.sheet import Box, line
from .chart_page import EDGE, ChartPage
from .strips import HEAD, LEFT, SCALE, Strip, beside
from .ticks import around, within

_WORDS = 62.0
"""Width at the right of the strip for the names of lines [mm]."""


@dataclass(frozen=True, slots=True)
class ThrustChart:
    """What is drawn.

    Attributes:
        thrust: the motor's thrust.
        page: what stands round the strip.
    """

    thrust: Thrust
    page: ChartPage

    def items(self) -> tuple[sheet.Item, ...]:
        """Everything on the sheet, in [mm] from its lower left corner."""
        return (*self.page.items(), *self._drawn())

    def strip(self) -> Strip:
        """The strip of the thrust."""
        low = self.page.bottom + SCALE + 2.0
        frame = Box(EDGE + LEFT, low, self.page.width - EDGE - _WORDS, self.page.top - HEAD - 1.0)
        across = within(min(self.thrust.times[0], 0.0), self.thrust.times[-1], 12)
        return Strip("Thrust [N]", frame, across, around(0.0, self.thrust.greatest, 8))

    def _drawn(self) -> Iterator[sheet.Item]:
        thrust, strip = self.thrust, self.strip()
        begin, end = _burn(thrust)
        yield from strip.paper()
        yield from strip.scale("Time after ignition [s]")
        y = strip.y(thrust.mean)
        yield line((strip.x(begin), y), (strip.x(end), y), Pen.REFERENCE)
        if strip.frame.right - strip.x(end) > 0.05:
            yield line((strip.x(end), y), (strip.frame.right, y), Pen.DIMENSION)
        yield strip.curve(thrust.times, thrust.thrusts)
        peak = thrust.times[thrust.thrusts.index(thrust.greatest)]
        yield from strip.greatest(peak, thrust.greatest, f"greatest {thrust.greatest:,.1f} N at {peak:.2f} s")
        area = (strip.y(thrust.mean / 2.0), f"area: {thrust.total_impulse:,.1f} N s, total impulse")
        yield from beside(strip, [area, (y, f"mean of the burn {thrust.mean:,.1f} N")], _WORDS)


def told(thrust: Thrust) -> str:
    """The table in a sentence: impulse, burn time, mean, and the mean of the first moment."""
    first = min(FIRST_MOMENT, thrust.burn_time)
    return (
        f"Total impulse {thrust.total_impulse:,.1f} N s, burn time {thrust.burn_time:.2f} s, mean {thrust.mean:,.1f} "
        f"N, in the first {first:.2g} s {first_push(thrust):,.1f} N; straight between {len(thrust.times)} points."
    )


def _burn(thrust: Thrust) -> tuple[float, float]:
    """First and last moment with thrust [s]."""
    steps = [step for step, forces in zip(pairwise(thrust.times), pairwise(thrust.thrusts), strict=True) if any(forces)]
    return steps[0][0], steps[-1][1]
