"""How a rocket swings about its centre of gravity when it is turned out of its path, and how fast that dies out.

Derived for small angles and a steady speed: an angle of attack makes each item push with its slope at its station, and
a turning rate w adds the angle w (x - x_cg) / V there. The moments of both give

    I a'' + C a' + K a = 0,   K = q A sum CN_alpha (x - x_cg),   C = q A / V sum CN_alpha (x - x_cg)^2,

the equation of a swing with damping (any text on vibrations). Fins that are small beside their lever are right in it;
of the body a force at one place for each stretch is the usual approximation: the momentum of the air along a slender
body, with its base, gave 1 to 9 per cent less of the whole on a rocket of 17 calibres (derived). What the jet of a
burning motor adds to the damping is left out, and so is the drag of the body turning across the air: both damp, so
leaving them off is careful.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from ...parts.errors import PartError
from .normal_force import NormalForce, combined

METHOD = "small swings at steady speed, restoring moment and damping of each item at its station (derived)"

LEFT_OUT = "the damping of the motor's jet is left out"
APPROXIMATE = "the body's share of the damping is approximate: the whole may be up to about a tenth less"
UNSTABLE = "not stated: the centre of pressure is not behind the centre of gravity, nothing turns it back"
CREEPING = "damped so much that it does not swing: it creeps back"


@dataclass(frozen=True, slots=True)
class Swing:
    """How the rocket answers to being turned out of its path.

    Attributes:
        restoring: moment that turns it back for each radian [N m/rad]; below zero it turns it away.
        damping: moment against a turning rate [N m s/rad].
        inertia: transverse moment of inertia about the centre of gravity [kg m2].
        speed: speed of the flight [m/s].
        moment_slope: restoring moment as a coefficient on area and diameter, CN_alpha times calibres [1/rad].
        notes: what limits it here.
    """

    restoring: float
    damping: float
    inertia: float
    speed: float
    moment_slope: float
    notes: tuple[str, ...] = ()
    method: str = METHOD

    @property
    def frequency(self) -> float | None:
        """Natural frequency, without damping [Hz]; None where nothing turns it back."""
        return math.sqrt(self.restoring / self.inertia) / math.tau if self.restoring > 0.0 else None

    @property
    def damping_ratio(self) -> float | None:
        """Damping over that which just lets it swing no more [-]; None where nothing turns it back."""
        return self.damping / (2.0 * math.sqrt(self.restoring * self.inertia)) if self.restoring > 0.0 else None

    @property
    def damped_frequency(self) -> float | None:
        """Frequency at which it swings [Hz]; None where it does not swing."""
        if self.frequency is None or self.damping_ratio is None or self.damping_ratio >= 1.0:
            return None
        return self.frequency * math.sqrt(1.0 - self.damping_ratio**2)

    @property
    def swing_length(self) -> float | None:
        """Distance flown in one swing at the natural frequency [m]; in the same air the same at every speed."""
        return None if self.frequency is None else self.speed / self.frequency


def swing(
    forces: Iterable[NormalForce],
    cg: float,
    transverse_inertia: float,
    speed: float,
    density: float,
    reference_diameter: float,
) -> Swing:
    """Restoring moment, damping and natural frequency in pitch, the same in yaw.

    Args:
        forces: normal force of each item on the area of the reference diameter.
        cg: station of the centre of gravity [mm].
        transverse_inertia: moment of inertia across the axis about the centre of gravity [g mm2], above 0.
        speed: speed through the air [m/s], above 0.
        density: density of the air [kg/m3], above 0.
        reference_diameter: diameter of the reference area [mm], above 0.

    Returns:
        The swing. Range: small angles, subsonic, steady speed and mass.

    Raises:
        PartError: a value that must be above zero and is not.
    """
    for name, value, unit in (
        ("transverse_inertia", transverse_inertia, "g mm2"),
        ("speed", speed, "m/s"),
        ("density", density, "kg/m3"),
        ("reference_diameter", reference_diameter, "mm"),
    ):
        if not 0.0 < value < math.inf:
            raise PartError(f"{name}: must be above 0 {unit}, got {value:g} {unit}")
    forces = tuple(forces)
    whole = combined(forces)
    lever = (whole.moment - whole.slope * cg) / 1000.0
    second = sum(force.slope * (force.station - cg) ** 2 for force in forces if force.station is not None) / 1e6
    area, pressure = math.pi * (reference_diameter / 1000.0) ** 2 / 4.0, density * speed**2 / 2.0
    found = Swing(
        pressure * area * lever,
        pressure * area * second / speed,
        transverse_inertia * 1e-9,
        speed,
        lever * 1000.0 / reference_diameter,
    )
    if found.damping_ratio is None:
        notes: tuple[str, ...] = (UNSTABLE,)
    else:
        creeping = (CREEPING,) if found.damping_ratio >= 1.0 else ()
        notes = (LEFT_OUT, APPROXIMATE, *creeping)
    return replace(found, notes=notes)
