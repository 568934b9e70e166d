"""Centre of pressure of the rocket and its static margin."""

from __future__ import annotations

from dataclasses import dataclass

from .aero.body import METHOD
from .aero.normal_force import NormalForce, combined
from .air_stream import air_stream
from .mass import MassProperties, total
from .rocket import Rocket

NO_FINS = "no fins are stated"
"""Note of a stability that was found without fins."""

HIDDEN = "all of its skin lies under a sleeve"
"""Note of a tube that the air does not meet."""

SHORT_BODY = 10.0
"""Length over diameter below which the base of a rocket matters to its stability (common practice) [-]."""


@dataclass(frozen=True, slots=True)
class Stability:
    """Static stability at small angles of attack, low subsonic.

    Attributes:
        reference_diameter: diameter that calibres and coefficients refer to: the body's largest, unless another was
            asked for [mm].
        length: overall length [mm].
        normal_force: of the whole rocket, on the area of the reference diameter.
        mass: mass properties of everything; None while a mass is not stated.
        notes: what limits the figures.
    """

    reference_diameter: float
    length: float
    normal_force: NormalForce
    mass: MassProperties | None
    notes: tuple[str, ...]

    @property
    def margin(self) -> float | None:
        """Centre of pressure behind the centre of gravity [mm]; None where either is not stated."""
        if self.mass is None or self.normal_force.station is None:
            return None
        return self.normal_force.station - self.mass.cg[0]

    @property
    def margin_calibres(self) -> float | None:
        """Static margin in calibres of the reference diameter [-]."""
        return None if self.margin is None else self.margin / self.reference_diameter

    @property
    def margin_percent(self) -> float | None:
        """Static margin in per cent of the length [-]."""
        return None if self.margin is None else 100.0 * self.margin / self.length

    @property
    def restoring_slope(self) -> float | None:
        """Slope CN_alpha times the margin in calibres [1/rad]: what turns it back, on area and diameter.

        A large margin on small fins may still turn a rocket back weakly; this says how strongly.
        """
        return None if self.margin_calibres is None else self.normal_force.slope * self.margin_calibres


def normal_forces(rocket: Rocket, reference_diameter: float | None = None) -> dict[str, NormalForce]:
    """Normal force of each item that meets the air, by name.

    Args:
        rocket: the parts in place.
        reference_diameter: diameter of the reference area [mm]; the rocket's own, its largest, if not stated.
    """
    air = air_stream(rocket, reference_diameter) if rocket.body else None
    if air is None:
        return {}
    found: dict[str, list[NormalForce]] = {}
    for name, force in zip(air.stretches, air.body, strict=True):
        found.setdefault(name, []).append(force)
    for item in rocket.body:
        found.setdefault(item.name, [NormalForce(0.0, None, METHOD, (HIDDEN,))])
    for fins in air.fins:
        found.setdefault(fins.name, []).append(fins.force)
    return {name: forces[0] if len(forces) == 1 else combined(forces) for name, forces in found.items()}


def stability(rocket: Rocket, reference_diameter: float | None = None) -> Stability | None:
    """Centre of pressure and margin of a rocket; None without a body to find them for.

    Args:
        rocket: the parts in place.
        reference_diameter: diameter of the reference area [mm]; the rocket's own, its largest, if not stated. No
            station and no margin in [mm] depends on it.
    """
    widest, length = rocket.reference_diameter, rocket.length
    diameter = reference_diameter or widest
    forces = normal_forces(rocket, diameter)
    if diameter is None or widest is None or length is None or not forces:
        return None
    whole = combined(forces.values())
    notes = list(whole.notes)
    if length / widest < SHORT_BODY:
        notes.append(
            f"length is {length / widest:.1f} diameters, below {SHORT_BODY:g}: the method leaves out what the base "
            "does on a short body; have the margin looked at by someone who knows"
        )
    if not rocket.fin_sets:
        notes.append(NO_FINS)
    return Stability(diameter, length, whole, total(rocket), tuple(notes))
