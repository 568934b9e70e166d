"""Motion along a straight line through the air: up a rail, upright to the apogee, and down again.

With the way s along a line that leans from upright by the angle a, the mass m and the thrust F of the moment

    m s'' = F - rho C_d A |u| u / 2 - m g cos(a),    u = s' + w sin(a),

where w is the wind that blows against the lean. The rail takes everything across the line, without friction.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from ..rail_exit import GRAVITY
from .burn import Stretch
from .path import Path
from .stepping import Slopes, Steps
from .vehicle import Column, Vehicle

Acceleration = Callable[[float, float, float], float]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line, and the wind along it.

    Attributes:
        lean: from upright [rad].
        wind: wind against the lean [m/s].
    """

    lean: float = 0.0
    wind: float = 0.0


UPRIGHT = Line()


class Trace:
    """The steps of a way: time [s], way [m], speed [m/s], acceleration [m/s2] and thrust [N] of each."""

    def __init__(self) -> None:
        self.rows: list[tuple[float, float, float, float, float]] = []

    def add(self, time: float, way: float, speed: float, acceleration: float, thrust: float) -> None:
        """One more step."""
        self.rows.append((time, way, speed, acceleration, thrust))

    def begin(self, time: float, way: float, speed: float, acceleration: float, thrust: float) -> None:
        """The first step of a stretch, which the last of the stretch before it is, unless the acceleration jumps."""
        if not self.rows or not math.isclose(self.rows[-1][3], acceleration, rel_tol=1e-9, abs_tol=1e-9):
            self.add(time, way, speed, acceleration, thrust)

    def path(self) -> Path:
        """Its steps as a path."""
        return Path(*list(zip(*self.rows, strict=True))[:4])

    def cut(self, passes: Callable[[tuple[float, float, float]], float], one: Stretch, pushed: Acceleration) -> None:
        """Moves its last step back to the moment at which something passes 0, which it does in that step."""
        last = Path(*list(zip(*self.rows[-2:], strict=True))[:4])
        moment = last.crossing(0, passes)
        way, speed, _ = last.within(0, moment)
        self.rows[-1] = (moment, way, speed, pushed(moment, way, speed), one.force(moment))


def acceleration(one: Stretch, vehicle: Vehicle, air: Column, line: Line = UPRIGHT) -> Acceleration:
    """Acceleration along the line [m/s2] at a time [s], way [m] and speed [m/s] of a stretch."""
    # All that does not change is bound here: a flight asks for hundreds of these.
    start, thrust, slope, mass, rate, burns = one.start, one.thrust, one.slope, one.mass, one.rate, one.burns
    half_area, coefficient = vehicle.drag.reference_area * 1e-6 / 2.0, vehicle.drag.coefficient
    density, upward = air.density_and_sound, math.cos(line.lean)
    pull, headwind = GRAVITY * upward, line.wind * math.sin(line.lean)

    def found(time: float, way: float, speed: float) -> float:
        since = time - start
        through = speed + headwind
        fast = abs(through)
        drag = half_area * density(way * upward)[0] * coefficient(fast, burns) * fast * through
        now = mass - rate * (thrust + slope * since / 2.0) * since
        return (thrust + slope * since - drag) / now - pull

    return found


def run(
    burn: Sequence[Stretch],
    vehicle: Vehicle,
    air: Column,
    steps: Steps,
    state: tuple[float, float],
    ends: Callable[[tuple[float, float, float]], float],
    line: Line = UPRIGHT,
    trace: Trace | None = None,
) -> Trace:
    """Follows the line from the start of the first stretch until something falls below 0, or through all of them.

    Args:
        burn: the stretches, one after the other; the last may be endless where something ends the way.
        vehicle: what moves.
        air: the air.
        steps: the steps to take.
        state: way [m] and speed [m/s] at the start.
        ends: something of way, speed and acceleration that ends the way as it falls below 0.
        line: the line.
        trace: what the steps are added to, so that the caller has them whatever happens; None for a new one.

    Raises:
        TooManyStepsError: it cannot be followed.
    """
    trace = Trace() if trace is None else trace
    way, speed = state
    for one in burn:
        pushed = acceleration(one, vehicle, air, line)
        for time, now, rates in steps.follow(_slopes(pushed), one.start, (way, speed), one.end, speed):
            (way, speed), bend = now, rates[1]
            if time == one.start:
                trace.begin(time, way, speed, bend, one.thrust)
                continue
            trace.add(time, way, speed, bend, one.force(time))
            if ends((way, speed, bend)) < 0.0:
                trace.cut(ends, one, pushed)
                return trace
    return trace


def _slopes(pushed: Acceleration) -> Slopes:
    def slopes(time: float, state: np.ndarray) -> tuple[float, float]:
        way, speed = state.tolist()
        return speed, pushed(time, way, speed)

    return slopes
