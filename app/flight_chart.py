"""The chart of one flight: thrust, acceleration, speed and altitude as four strips over one time.

Every curve is drawn from the same steps and the same polynomials between them that the figures are read from.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ..analysis.flight.path import Path
from ..analysis.flight.result import Flight
from ..analysis.rail_exit import GRAVITY
from ..parts.curve import Floats
from ..parts.sheets import sheet
from ..parts.sheets.sheet import Box
from .chart_page import EDGE, ChartPage
from .strips import HEAD, LEFT, SCALE, Flags, Moment, Second, Strip, stacked
from .ticks import Axis, around, within

WIDTH, HEIGHT = 210.0, 297.0
"""The sheet [mm]: ISO A4, upright."""

_RIGHT = 13.0
"""Width at the right of the strips for the second scale [mm]."""
_FINEST = 600
"""Least points of a whole curve [-]: some four on each millimetre."""
_TIME_STEPS, _VALUE_STEPS = 12, 5
TIME = "Time after ignition [s]"
"""Name of the common scale: that of the thrust table."""

_AIR = 2.0
"""Between the foot and the scale above it [mm]."""


@dataclass(frozen=True, slots=True)
class Curves:
    """A flight as points, close enough for straight lines between them; the arrays are (n,).

    Attributes:
        times: times of the thrust table [s].
        thrusts: thrusts [N].
        accelerations: accelerations as felt along the axis [m/s2]: 1 g at rest, 0 in free fall.
        speeds: speeds upward [m/s].
        heights: heights above where it stood [m].
    """

    times: Floats
    thrusts: Floats
    accelerations: Floats
    speeds: Floats
    heights: Floats


def curves(flight: Flight) -> Curves:
    """The curves of a flight, up to the apogee."""
    path = Path(flight.times, flight.heights, flight.speeds, flight.accelerations)
    longest = (path.times[-1] - path.times[0]) / _FINEST
    rows: list[tuple[float, float, float, float, float]] = []
    thrusts = np.asarray(flight.thrusts, dtype=float)
    for step in range(len(path.times) - 1):
        start, end = path.times[step], path.times[step + 1]
        count = int(np.ceil((end - start) / longest)) if longest > 0.0 else 0
        for number in range(count + 1):
            share = number / max(count, 1)
            time = start + (end - start) * share
            height, speed, gain = path.within(step, time)
            # Within a step the thrust is a straight line: steps end at the corners of its table.
            force = float(thrusts[step] + (thrusts[step + 1] - thrusts[step]) * share)
            rows.append((time, force, gain + GRAVITY, speed, height))
    found = np.array(rows if rows else [(path.times[0], float(thrusts[0]), GRAVITY, 0.0, 0.0)])
    return Curves(*found.T)


@dataclass(frozen=True, slots=True)
class FlightChart:
    """What is drawn.

    Attributes:
        flight: the flight.
        page: what stands round the strips.
    """

    flight: Flight
    page: ChartPage

    def items(self) -> tuple[sheet.Item, ...]:
        """Everything on the sheet, in [mm] from its lower left corner."""
        return (*self.page.items(), *self._drawn())

    def strips(self) -> tuple[Strip, Strip, Strip, Strip]:
        """The strips of thrust, acceleration, speed and altitude, the highest first."""
        return self._strips(curves(self.flight))

    def _strips(self, found: Curves) -> tuple[Strip, Strip, Strip, Strip]:
        time = within(float(found.times[0]), float(found.times[-1]), _TIME_STEPS)
        box = self._box(0.0)
        flags = self._flags(Strip("", box, time, Axis(0.0, 1.0, 1.0)))
        frames = stacked(self._box(flags.height), 4)
        felt = _over(found.accelerations)
        felt_in_g = within(felt.low / GRAVITY, felt.high / GRAVITY, _VALUE_STEPS)
        return (
            Strip("Thrust [N]", frames[0], time, _over(found.thrusts)),
            Strip("Acceleration [m/s2]", frames[1], time, felt, Second("g", felt_in_g)),
            Strip("Speed [m/s]", frames[2], time, _over(found.speeds)),
            Strip("Altitude [m]", frames[3], time, _over(found.heights)),
        )

    def _box(self, flags: float) -> Box:
        low = self.page.bottom + SCALE + _AIR
        return Box(EDGE + LEFT, low, self.page.width - EDGE - _RIGHT, self.page.top - flags)

    def _flags(self, strip: Strip) -> Flags:
        moments = [Moment(event.time, f"{event.name}, {event.time:.2f} s") for event in self.flight.events]
        return Flags(strip, moments, EDGE + LEFT, self.page.width - EDGE)

    def _drawn(self) -> Iterator[sheet.Item]:
        found = curves(self.flight)
        strips = self._strips(found)
        thrust, felt, speed, altitude = strips
        for strip in strips:
            yield from strip.paper()
        yield from altitude.scale(TIME)
        yield from self._flags(thrust).items(strips, thrust.frame.high + HEAD)
        yield thrust.curve(found.times, found.thrusts)
        yield felt.curve(found.times, found.accelerations)
        yield speed.curve(found.times, found.speeds)
        yield altitude.curve(found.times, found.heights)
        yield from self._greatest(found, strips)

    def _greatest(self, found: Curves, strips: tuple[Strip, Strip, Strip, Strip]) -> Iterator[sheet.Item]:
        thrust, felt, speed, altitude = strips
        flight = self.flight
        index = int(np.argmax(found.thrusts))
        at, force = float(found.times[index]), float(found.thrusts[index])
        yield from thrust.greatest(at, force, f"greatest {force:,.1f} N at {at:.2f} s")
        top, slowed = flight.greatest_acceleration, flight.greatest_deceleration
        words = f"greatest {top.value:,.1f} m/s2 ({top.value / GRAVITY:.1f} g) at {top.time:.2f} s"
        if slowed.value > 0.0:
            words += f"; slowed by up to {slowed.value:,.1f} m/s2 ({slowed.value / GRAVITY:.1f} g) after burnout"
        yield from felt.greatest(top.time, top.value, words)
        fastest, mach = flight.greatest_speed, flight.greatest_mach
        words = f"greatest {fastest.value:.1f} m/s (Mach {mach.value:.2f}) at {fastest.time:.2f} s"
        yield from speed.greatest(fastest.time, fastest.value, words)
        apogee = flight.apogee
        coast = f", {flight.coast_time:.1f} s after burnout" if flight.coast_time >= 0.0 else ", before burnout"
        words = f"apogee {apogee.height:,.0f} m at {apogee.time:.2f} s{coast}"
        yield from altitude.greatest(apogee.time, apogee.height, words)


def _over(values: Floats) -> Axis:
    """A scale with 0 on it that holds all values."""
    return around(min(float(values.min()), 0.0), max(float(values.max()), 0.0), _VALUE_STEPS)
