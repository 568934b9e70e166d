"""Where and how a rocket is launched: the site, the tilt of its rail, the winds and the ceiling to tell figures for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..parts.errors import PartError

USUAL_WINDS = (2.0, 4.0, 6.0, 8.0)
"""Winds that drift is told for while none are stated [m/s] (common practice: from a breeze to a usual limit)."""

STEEPEST_TILT = math.radians(30.0)
"""Most that a rail may lean [rad]; 19 CCR 1036 allows 20 degrees, NFPA codes are said to allow 30 (from memory)."""


@dataclass(frozen=True, slots=True)
class Launch:
    """A launch.

    Attributes:
        altitude: ground above sea level [m], from -500 to 5000.
        temperature: air at the ground [K]; None for that of the standard atmosphere.
        tilt: how far the rail leans from upright [rad], from 0 to 30 degrees.
        winds: steady winds to tell figures for [m/s], rising.
        ceiling: height above the ground that may not be passed [m]; None where it is not stated.
        is_stated: False where nobody states a launch and everything here is as usual.
        winds_are_stated: False where the winds are the usual ones in a launch that states something else.

    Raises:
        PartError: a value out of its range.
    """

    altitude: float = 0.0
    temperature: float | None = None
    tilt: float = 0.0
    winds: tuple[float, ...] = USUAL_WINDS
    ceiling: float | None = None
    is_stated: bool = True
    winds_are_stated: bool = True

    def __post_init__(self) -> None:
        if not -500.0 <= self.altitude <= 5000.0:
            raise PartError(f"altitude: must be from -500 to 5000 m, got {self.altitude:g} m")
        if self.temperature is not None and not 230.0 <= self.temperature <= 330.0:
            raise PartError(f"temperature: must be from 230 to 330 K, got {self.temperature:g} K")
        if not 0.0 <= self.tilt <= STEEPEST_TILT + 1e-12:
            raise PartError(f"tilt: must be from 0 to 30 deg, got {math.degrees(self.tilt):g} deg")
        if any(not 0.0 <= wind <= 30.0 for wind in self.winds):
            raise PartError(f"winds: each must be from 0 to 30 m/s, got {', '.join(f'{one:g}' for one in self.winds)}")
        if self.ceiling is not None and not 0.0 < self.ceiling < math.inf:
            raise PartError(f"ceiling: must be above 0 m, got {self.ceiling:g} m")

    @property
    def has_usual_winds(self) -> bool:
        """True where nobody states the winds."""
        return not (self.is_stated and self.winds_are_stated)
