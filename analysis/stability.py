"""Centre of pressure of the rocket and its static margin."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..parts.kinds import Fin
from .aero.body import Skin, body_normal_force
from .aero.fins import Trapezoid, fin_set
from .aero.normal_force import NormalForce, combined
from .mass import MassProperties, total
from .rocket import Item, Rocket

NO_FINS = "no fins are stated"
"""Note of a stability that was found without fins."""

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


def normal_forces(rocket: Rocket, reference_diameter: float | None = None) -> dict[str, NormalForce]:
    """Normal force of each item that meets the air, by name.

    Args:
        rocket: the parts in place.
        reference_diameter: diameter of the reference area [mm]; the rocket's own, its largest, if not stated.
    """
    diameter = reference_diameter or rocket.reference_diameter
    if diameter is None or not rocket.body:
        return {}
    area = math.pi * diameter**2 / 4.0
    found: dict[str, NormalForce] = {}
    ahead: Skin | None = None
    for item in rocket.body:
        skin = _skin(item)
        found[item.name] = body_normal_force(skin, ahead, area)
        ahead = skin
    for item in rocket.fins:
        fin = planform(item)
        found[item.name] = (
            combined(fin_set(fin, item.count, item.radius, station, diameter) for station in item.stations)
            if len(item.stations) > 1
            else fin_set(fin, item.count, item.radius, item.stations[0], diameter)
        )
    return found


def planform(item: Item) -> Trapezoid:
    """Planform of the fins of an item outside the body, read off the corners of their outline."""
    assert isinstance(item.part, Fin)  # noqa: S101  Rocket.fins holds no other; this tells the type checker
    front, rear, tip_rear, tip_front = item.part.corners()
    return Trapezoid(rear[0] - front[0], tip_rear[0] - tip_front[0], tip_front[1] - front[1], tip_front[0] - front[0])


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
    if not rocket.fins:
        notes.append(NO_FINS)
    return Stability(diameter, length, whole, total(rocket), tuple(notes))


def _skin(item: Item) -> Skin:
    return Skin(item.part.skin() if item.part else (), item.stations[0])
