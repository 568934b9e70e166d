"""The stream past a rocket at one speed: what every term of drag asks of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...parts.errors import PartError
from ..aero.compressibility import HIGHEST_MACH
from ..atmosphere import Air
from .compressibility import BEYOND, face_factor, friction_factor, suction_factor
from .skin_friction import LOWEST_REYNOLDS, is_rough, rough, turbulent


@dataclass(frozen=True, slots=True)
class Flow:
    """Air that streams past at one speed.

    Attributes:
        mach: Mach number [-].
        per_length: Reynolds number for each unit of length [1/mm].
        roughness: height of the grains on every surface [mm].
        on_friction: what the Mach number does to friction [-].
        on_faces: what it does to pressure on faces [-].
        on_suction: what it does to suction on bases [-].
    """

    mach: float
    per_length: float
    roughness: float
    on_friction: float
    on_faces: float
    on_suction: float

    def reynolds(self, length: float) -> float:
        """Reynolds number by a length [mm], at least that down to which friction is told of [-]."""
        return max(self.per_length * length, LOWEST_REYNOLDS)

    def friction(self, length: float) -> float:
        """Mean friction coefficient of a surface of some length [mm], turbulent or rough, whichever is more [-]."""
        return self.on_friction * max(turbulent(self.reynolds(length)), rough(length, self.roughness))

    def friction_law(self, length: float) -> str:
        """Which law that is, in words."""
        if is_rough(self.per_length * length, length, self.roughness):
            return f"(1.89 + 1.62 lg(l/k))^-2.5 of the rough plate, l {length:.0f} mm, k {1000.0 * self.roughness:g} um"
        return f"0.455 / (lg Re)^2.58 turbulent from the front, Re {self.reynolds(length):.3g}"

    def in_layer(self, height: float, station: float) -> float:
        """Mean dynamic pressure over a height above the skin, in the boundary layer, over that of the stream [-].

        The turbulent layer is 0.37 x / Re^0.2 thick (Schlichting, from memory), and its speed goes with the seventh
        root of the height: the mean up to h is then 7/9 (h/d)^(2/7), and 1 - 2/9 d/h above the layer (derived).

        Args:
            height: height of what stands on the skin [mm], above 0.
            station: its distance from the nose tip [mm].
        """
        layer = float(0.37 * max(station, 0.0) / self.reynolds(station) ** 0.2)
        if height >= layer:
            return 1.0 - 2.0 / 9.0 * layer / height
        return float(7.0 / 9.0 * (height / layer) ** (2.0 / 7.0))

    def notes(self) -> tuple[str, ...]:
        """What is outside of every term's range."""
        return (BEYOND,) if self.mach > HIGHEST_MACH else ()


def flow_at(speed: float, air: Air, roughness: float) -> Flow:
    """The stream at a speed.

    Args:
        speed: speed through the air [m/s], 0 or more.
        air: the air.
        roughness: height of the grains on every surface [mm].

    Raises:
        PartError: a speed below 0 or not finite.
    """
    if not 0.0 <= speed < math.inf:
        raise PartError(f"speed: must be 0 m/s or more, got {speed:g} m/s")
    mach = speed / air.sound
    held = min(mach, HIGHEST_MACH)
    # Beyond the range the coefficients stay as they are at its end, the Reynolds number with them.
    per_length = held * air.sound * air.density / air.viscosity / 1000.0
    return Flow(mach, per_length, roughness, friction_factor(held), face_factor(held), suction_factor(held))
