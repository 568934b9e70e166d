"""The chart of the margin while the motor burns, between the limits that it is held to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ..analysis.limits import Limit
from ..analysis.motor import Thrust
from ..analysis.through_burn import BurnStep
from ..parts.curve import Floats
from ..parts.marks import Pen
from ..parts.sheets import sheet
from ..parts.sheets.sheet import Box, line
from .chart_page import EDGE, ChartPage
from .strips import HEAD, LEFT, SCALE, Flags, Moment, Strip, beside
from .ticks import Axis, around, within

STEPS = 200
"""Steps of the burn that the curve is drawn through [-]."""

_WORDS = 62.0
"""Width at the right of the strip for the names of limits [mm]."""
_OVER = 0.05
"""Least distance of the highest limit from the upper edge of the strip [calibres]."""
_BURNT = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Parts of the propellant burnt that are told above the strip [-]."""


@dataclass(frozen=True, slots=True)
class BurnChart:
    """What is drawn.

    Attributes:
        steps: the rocket in even steps of the burn, both ends included, each with a margin.
        thrust: the motor's thrust, by which the propellant burns; None where it is not stated.
        limit: what the margin is held to.
        page: what stands round the strip.
    """

    steps: tuple[BurnStep, ...]
    thrust: Thrust | None
    limit: Limit
    page: ChartPage

    def items(self) -> tuple[sheet.Item, ...]:
        """Everything on the sheet, in [mm] from its lower left corner."""
        return (*self.page.items(), *self._drawn())

    def places(self) -> Floats:
        """Where each step lies on the common scale (n,): time after ignition [s], or propellant burnt [%]."""
        burnt = np.array([one.burnt for one in self.steps])
        return 100.0 * burnt if self.thrust is None else burnt_at(self.thrust, burnt)

    def margins(self) -> Floats:
        """The margin at each step (n,) [calibres]."""
        return np.array([one.margin_calibres for one in self.steps], dtype=float)

    def strip(self) -> Strip:
        """The strip of the margin."""
        return self._strip(self._flags(self._strip(0.0)).height)

    def _strip(self, flags: float) -> Strip:
        margins, bounds = self.margins(), [value for _, value in self._bounds()]
        up = around(min(*margins, *bounds, 0.0), max(*margins, *bounds, 0.0) + _OVER, 8)
        if self.thrust is None:
            across = Axis(0.0, 100.0, 10.0)
        else:
            places = self.places()
            across = within(float(places[0]), float(places[-1]), 12)
        low = self.page.bottom + SCALE + 2.0
        frame = Box(EDGE + LEFT, low, self.page.width - EDGE - _WORDS, self.page.top - HEAD - flags)
        return Strip("Margin [calibres]", frame, across, up)

    def _bounds(self) -> list[tuple[str, float]]:
        limit = self.limit
        named = (
            ("fails below", limit.fail_below),
            ("warns below", limit.warn_below),
            ("warns above", limit.warn_above),
            ("fails above", limit.fail_above),
        )
        return [(f"{words} {value:g}", value) for words, value in named if value is not None]

    def _flags(self, strip: Strip) -> Flags:
        if self.thrust is None:
            return Flags(strip, (), EDGE + LEFT, self.page.width - EDGE)
        moments = []
        for share, time in zip(_BURNT, burnt_at(self.thrust, np.array(_BURNT)).tolist(), strict=True):
            margin = float(np.interp(share, [one.burnt for one in self.steps], self.margins()))
            moments.append(Moment(time, f"{100.0 * share:.0f} % burnt at {time:.2f} s: {margin:.2f}"))
        return Flags(strip, moments, EDGE + LEFT, self.page.width - EDGE)

    def _drawn(self) -> Iterator[sheet.Item]:
        strip, margins = self.strip(), self.margins()
        frame = strip.frame
        bounds = self._bounds()
        yield from strip.paper([value for _, value in bounds])
        yield from strip.scale("Propellant burnt [%]" if self.thrust is None else "Time after ignition [s]")
        yield from self._flags(strip).items((strip,), frame.high + 1.0)
        named = []
        for words, value in bounds:
            yield line((frame.left, strip.y(value)), (frame.right, strip.y(value)), Pen.REFERENCE)
            named.append((strip.y(value), words))
        named.append((strip.y(float(margins[-1])), f"{margins[-1]:.2f} at burnout, {margins[0]:.2f} at liftoff"))
        yield strip.curve(self.places(), margins)
        yield from beside(strip, named, _WORDS)


def burnt_at(thrust: Thrust, burnt: Floats) -> Floats:
    """Times at which parts of the propellant are burnt (n,) [s], which burns in proportion to the thrust.

    Args:
        thrust: the motor's thrust.
        burnt: parts of the propellant (n,) [-], from 0 to 1.
    """
    times, forces = np.asarray(thrust.times), np.asarray(thrust.thrusts)
    steps = np.diff(times)
    so_far = np.concatenate([[0.0], np.cumsum((forces[:-1] + forces[1:]) / 2.0 * steps)])
    found = []
    for share in np.asarray(burnt, dtype=float).tolist():
        wanted = share * so_far[-1]
        index = min(max(int(np.searchsorted(so_far, wanted, side="left")) - 1, 0), len(steps) - 1)
        left, start, slope = wanted - so_far[index], forces[index], (forces[index + 1] - forces[index]) / steps[index]
        # The smaller root of slope/2 t^2 + start t = left, in the form that holds for a level thrust as well.
        root = start + np.sqrt(max(start * start + 2.0 * slope * left, 0.0))
        since = 2.0 * left / root if root > 0.0 else 0.0
        found.append(float(times[index] + min(since, steps[index])))
    return np.array(found)
