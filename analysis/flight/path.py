"""A way over time through the integrator's steps: polynomials of degree 5 by way, speed and acceleration at both ends.

Between two steps the error of the way falls with the sixth power of the step and that of the speed with the fifth, so
that neither is worse than the steps of a method of order 5 themselves.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence

import numpy as np

_SHORTEST = 1e-9
"""Shortest step that a polynomial is laid through [s]: below it, differences of ways are rounding."""


class Path:
    """A way over time.

    Args:
        times: times [s], rising; a moment at which the acceleration jumps stands twice.
        ways: way at each [m].
        speeds: speed at each [m/s].
        accelerations: acceleration at each [m/s2].
    """

    def __init__(
        self,
        times: Sequence[float] | np.ndarray,
        ways: Sequence[float] | np.ndarray,
        speeds: Sequence[float] | np.ndarray,
        accelerations: Sequence[float] | np.ndarray,
    ) -> None:
        # Plain floats, because they are asked for one at a time.
        self.times: list[float] = np.asarray(times, dtype=float).tolist()
        self.ways: list[float] = np.asarray(ways, dtype=float).tolist()
        self.speeds: list[float] = np.asarray(speeds, dtype=float).tolist()
        self.accelerations: list[float] = np.asarray(accelerations, dtype=float).tolist()

    def at(self, time: float) -> tuple[float, float]:
        """Way [m] and speed [m/s] at a moment; before the first and after the last those of the end."""
        if time <= self.times[0]:
            return self.ways[0], self.speeds[0]
        if time >= self.times[-1]:
            return self.ways[-1], self.speeds[-1]
        return self.within(bisect_right(self.times, time) - 1, time)[:2]

    def within(self, step: int, time: float) -> tuple[float, float, float]:
        """Way [m], speed [m/s] and acceleration [m/s2] at a moment of a step, numbered from 0."""
        start, lasts = self.times[step], self.times[step + 1] - self.times[step]
        way, speed, bend = self.ways[step], self.speeds[step], self.accelerations[step]
        if lasts < _SHORTEST:
            since = time - start
            return way + speed * since, speed + bend * since, bend
        share = (time - start) / lasts
        first, second = speed * lasts, bend * lasts * lasts
        missed = self.ways[step + 1] - way - first - second / 2.0
        missed_speed = self.speeds[step + 1] * lasts - first - second
        missed_bend = self.accelerations[step + 1] * lasts * lasts - second
        third = 10.0 * missed - 4.0 * missed_speed + missed_bend / 2.0
        fourth = -15.0 * missed + 7.0 * missed_speed - missed_bend
        fifth = 6.0 * missed - 3.0 * missed_speed + missed_bend / 2.0
        return (
            way + share * (first + share * (second / 2.0 + share * (third + share * (fourth + share * fifth)))),
            (first + share * (second + share * (3.0 * third + share * (4.0 * fourth + share * 5.0 * fifth)))) / lasts,
            (second + share * (6.0 * third + share * (12.0 * fourth + share * 20.0 * fifth))) / lasts**2,
        )

    def arrival(self, way: float) -> float | None:
        """First moment at which it has come so far [s], rising; None where it does not."""
        step = next((index for index, reached in enumerate(self.ways) if reached >= way), None)
        if step is None:
            return None
        return self.times[0] if step == 0 else self.crossing(step - 1, lambda now: now[0] - way)

    def crossing(self, step: int, of: Callable[[tuple[float, float, float]], float]) -> float:
        """Moment of a step at which something of way, speed and acceleration passes 0 [s].

        Args:
            step: number of the step, from 0.
            of: the thing, whose signs at the ends of the step are apart.
        """
        from scipy.optimize import brentq

        low, high = self.times[step], self.times[step + 1]
        # The ends count as they are known, not as the polynomial rounds them.
        ends = {
            self.times[place]: of((self.ways[place], self.speeds[place], self.accelerations[place]))
            for place in (step, step + 1)
        }
        if not ends[low] * ends[high] < 0.0:
            return low if ends[low] == 0.0 else high

        def value(time: float) -> float:
            known = ends.get(time)
            return of(self.within(step, time)) if known is None else known

        return float(brentq(value, low, high, xtol=1e-13))
