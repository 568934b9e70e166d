"""The fall from the apogee without a parachute, upright and tail first, at the drag coefficient of the coast."""

from __future__ import annotations

from .burn import stretches
from .line import Trace, run
from .stepping import Steps, TooManyStepsError
from .vehicle import Column, Vehicle


class Fall:
    """The way down to the ground from rest; a motor that still burns goes on pushing upward.

    Something that floats rather than falls would take more steps than it is worth: after the last of them it goes on
    at the speed that it has, which is steady by then.

    Args:
        vehicle: what falls.
        air: the air.
        time: when it begins, time of the thrust table [s].
        height: from where [m].
        rtol: relative tolerance of a step [-].
    """

    def __init__(self, vehicle: Vehicle, air: Column, time: float, height: float, rtol: float = 1e-6) -> None:
        left = [one.from_moment(max(time, one.start)) for one in stretches(vehicle) if one.end > time]
        trace = Trace()
        self.floats = False
        try:
            run(left, vehicle, air, Steps(rtol), (height, 0.0), lambda now: now[0], trace=trace)
        except TooManyStepsError:
            self.floats = True
        self._path = trace.path()

    @property
    def end(self) -> float:
        """When it comes to the ground, or was followed to [s]."""
        return self._path.times[-1]

    def at(self, time: float) -> tuple[float, float]:
        """Height [m] and speed [m/s], negative while it falls; from the ground on 0 and the speed of the impact."""
        height, speed = self._path.at(time)
        if not self.floats or time <= self.end:
            return height, speed
        return max(height + speed * (time - self.end), 0.0), speed
