"""What flies: mass, thrust, drag, and how far the rail guides it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

from ...parts.errors import PartError
from ..drag_curve import DragCurve
from ..motor import Thrust


class Column(Protocol):
    """The column of air over the launch site, as far as a flight needs it."""

    def density_and_sound(self, height: float) -> tuple[float, float]:
        """Density [kg/m3] and speed of sound [m/s] at a height above the ground [m]."""


@dataclass(frozen=True, slots=True)
class Vehicle:
    """A rocket with one motor, as a point that flies.

    Attributes:
        mass: everything at liftoff [g], above 0.
        propellant: what the motor burns of it [g], 0 or more.
        thrust: the motor's thrust.
        drag: its drag coefficient with thrust and without, on a stated area.
        travel_forward: how far it runs up the rail until the forward button leaves it [mm]; not above 0 where that
            button is not on the rail; None where no rail or no button is stated.
        travel_aft: the same for the aft button.

    Raises:
        PartError: a value out of its range.
    """

    mass: float
    propellant: float
    thrust: Thrust
    drag: DragCurve
    travel_forward: float | None = None
    travel_aft: float | None = None

    def __post_init__(self) -> None:
        if not 0.0 < self.mass < math.inf:
            raise PartError(f"mass: must be above 0 g, got {self.mass:g} g")
        if not 0.0 <= self.propellant < math.inf:
            raise PartError(f"propellant: must be 0 g or more, got {self.propellant:g} g")
        for field in ("travel_forward", "travel_aft"):
            travel = getattr(self, field)
            if travel is not None and not math.isfinite(travel):
                raise PartError(f"{field}: must be a length, got {travel:g} mm")
