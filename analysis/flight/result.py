"""What a flight was: its path, its events in words, and its greatest values."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..launch import Launch
from .events import AFT_LEAVES, APOGEE, BURNOUT, FORWARD_LEAVES, GREATEST_SPEED, LEAVES_PAD, Event, Greatest
from .fall import Fall
from .path import Path
from .vehicle import Column, Vehicle

__all__ = [
    "AFT_LEAVES",
    "APOGEE",
    "BURNOUT",
    "FORWARD_LEAVES",
    "GREATEST_SPEED",
    "LEAVES_PAD",
    "Event",
    "Flight",
    "Greatest",
    "NotFlown",
    "Vehicle",
]


@dataclass(frozen=True, slots=True)
class NotFlown:
    """No flight, and why.

    Attributes:
        reason: why, for the reader.
        is_held: True where the rocket and its motor are the reason, and nothing that is missing.
    """

    reason: str
    is_held: bool = False


@dataclass(frozen=True, eq=False)
class Flight:
    """An upright flight in still air from the table's first moment to the apogee.

    The arrays are rising in time, one value for each step of the integrator; a moment at which the acceleration jumps
    stands twice, with the value before it and after it. `height_speed_at` is good between them.

    Attributes:
        vehicle: what flew.
        launch: from where.
        atmosphere: through what air.
        times: times of the thrust table [s].
        heights: heights above where it stood [m].
        speeds: speeds upward [m/s].
        accelerations: accelerations upward [m/s2]; what is felt along the axis is that and standard gravity.
        thrusts: thrusts [N].
        events: the moments that have a name, in the order of time; burnout after the apogee where it burns longer.
        greatest_speed: greatest speed [m/s].
        greatest_mach: greatest Mach number [-].
        greatest_acceleration: greatest acceleration as felt while the motor burns, thrust less drag over mass [m/s2].
        greatest_deceleration: greatest deceleration as felt, drag less thrust over mass [m/s2]; mostly at burnout.
        greatest_dynamic_pressure: greatest dynamic pressure [Pa].
        burnout: the motor's last moment with thrust.
        apogee: the greatest height.
        exit: the forward button's release, which the limit of the rail speed is held to; None where there is none.
        method: how it was worked out.
        notes: what limits it.
    """

    vehicle: Vehicle
    launch: Launch
    atmosphere: Column
    times: np.ndarray
    heights: np.ndarray
    speeds: np.ndarray
    accelerations: np.ndarray
    thrusts: np.ndarray
    events: tuple[Event, ...]
    greatest_speed: Greatest
    greatest_mach: Greatest
    greatest_acceleration: Greatest
    greatest_deceleration: Greatest
    greatest_dynamic_pressure: Greatest
    burnout: Event
    apogee: Event
    exit: Event | None
    method: str
    notes: tuple[str, ...] = ()

    @property
    def coast_time(self) -> float:
        """From burnout to the apogee [s]: the delay that is wanted; below 0 where it still burns at the apogee."""
        return self.apogee.time - self.burnout.time

    @property
    def aft_exit(self) -> Event | None:
        """The aft button's release, for information; None where there is none."""
        return next((event for event in self.events if event.name == AFT_LEAVES), None)

    def height_speed_at(self, time: float) -> tuple[float, float]:
        """Height [m] and speed [m/s] at a moment, also past the apogee.

        Past the apogee it falls upright without a parachute, at its drag coefficient of the coast: a careful speed
        for a deployment that comes late. From the ground on the height is 0 and the speed that of the impact.

        Args:
            time: time of the thrust table [s]; seconds after burnout are to be added to `burnout.time`.

        Returns:
            Height above where it stood, and speed, positive upward and negative while it falls.
        """
        return self._rise.at(time) if time <= self.apogee.time else self._fall.at(time)

    @cached_property
    def _rise(self) -> Path:
        return Path(self.times, self.heights, self.speeds, self.accelerations)

    @cached_property
    def _fall(self) -> Fall:
        return Fall(self.vehicle, self.atmosphere, self.apogee.time, self.apogee.height)
