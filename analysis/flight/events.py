"""The moments of a flight that have a name, and the greatest values with their place."""

from __future__ import annotations

from dataclasses import dataclass

LEAVES_PAD = "leaves the pad"
FORWARD_LEAVES = "forward button leaves the rail"
AFT_LEAVES = "aft button leaves the rail"
GREATEST_SPEED = "greatest speed"
BURNOUT = "burnout"
APOGEE = "apogee"


@dataclass(frozen=True, slots=True)
class Event:
    """A moment of the flight.

    Attributes:
        name: what happens, as one of the names of this module.
        time: time of the thrust table [s].
        height: height above where it stood [m].
        speed: speed, positive upward [m/s].
    """

    name: str
    time: float
    height: float
    speed: float


@dataclass(frozen=True, slots=True)
class Greatest:
    """The greatest value of one quantity, and where.

    Attributes:
        value: the value, in the unit of the quantity.
        time: time of the thrust table [s].
        height: height above where it stood [m].
        speed: speed there, positive upward [m/s].
    """

    value: float
    time: float
    height: float
    speed: float
