"""The greatest values of a flight, also between the steps."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ..rail_exit import GRAVITY
from .events import Greatest
from .path import Path
from .vehicle import Column

_PARTS = 24
"""Parts that a step is looked at in; a parabola through the best three finds the top between them."""


Now = tuple[float, float, float]
"""Way [m], speed [m/s] and acceleration [m/s2]."""


def greatest(path: Path, of: Callable[[Now], float]) -> Greatest:
    """The greatest value of something along a path, and where it is.

    Args:
        path: the path.
        of: the value at a way, speed and acceleration.
    """
    values = list(map(of, zip(path.ways, path.speeds, path.accelerations, strict=True)))
    best = int(np.argmax(values))
    top, moment = values[best], path.times[best]
    for step in (best - 1, best):
        if not 0 <= step < len(path.times) - 1 or path.times[step] == path.times[step + 1]:
            continue
        times = np.linspace(path.times[step], path.times[step + 1], _PARTS + 1).tolist()
        # The ends are known, and may be sides of a jump that the polynomial does not know of.
        within = [of(path.within(step, time)) for time in times[1:-1]]
        found = [values[step], *within, values[step + 1]]
        middle = int(np.argmax(within)) + 1
        before, here, after = found[middle - 1 : middle + 2]
        bend = before - 2.0 * here + after
        if here <= top or not bend < 0.0:
            continue
        time = times[middle] + (before - after) / (2.0 * bend) * (times[1] - times[0])
        value = of(path.within(step, time))
        top, moment = (value, time) if value > here else (here, times[middle])
    return Greatest(top, moment, *path.at(moment))


class Tops:
    """The greatest values of one flight.

    Args:
        path: the flight from the pad to the apogee.
        air: the air.
    """

    def __init__(self, path: Path, air: Column) -> None:
        self.path, self.air = path, air

    def speed(self) -> Greatest:
        """Greatest speed [m/s]."""
        return greatest(self.path, lambda now: now[1])

    def mach(self) -> Greatest:
        """Greatest Mach number [-]."""
        return greatest(self.path, lambda now: now[1] / self.air.density_and_sound(now[0])[1])

    def acceleration(self) -> Greatest:
        """Greatest acceleration as it is felt, thrust less drag over mass [m/s2]."""
        return greatest(self.path, lambda now: now[2] + GRAVITY)

    def deceleration(self) -> Greatest:
        """Greatest deceleration as it is felt, drag less thrust over mass [m/s2]."""
        return greatest(self.path, lambda now: max(-GRAVITY - now[2], 0.0))

    def dynamic_pressure(self) -> Greatest:
        """Greatest dynamic pressure [Pa]."""
        return greatest(self.path, lambda now: self.air.density_and_sound(now[0])[0] * now[1] ** 2 / 2.0)
