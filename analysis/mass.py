"""Mass, centre of gravity and inertia of every item and of the rocket, from the exact shapes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..parts.curve import Floats
from .rocket import Item, Rocket

Vector = tuple[float, float, float]
Tensor = tuple[Vector, Vector, Vector]


@dataclass(frozen=True, slots=True)
class MassProperties:
    """Mass properties in the rocket's frame.

    Attributes:
        mass: mass [g].
        cg: centre of gravity [mm], station first.
        inertia: inertia tensor about that centre of gravity [g mm2].
        method: how they were found.
        basis: `weighed`, `stated` or `estimated`: where the mass comes from.
    """

    mass: float
    cg: Vector
    inertia: Tensor
    method: str
    basis: str


def mass_properties(item: Item) -> MassProperties | None:
    """Mass properties of an item, all copies together; None where its mass is not stated and cannot be found.

    A stated mass spreads over the part as its shape does: the centre of gravity is the shape's.
    """
    if item.part is None:
        if item.stated_mass is None:
            return None
        return MassProperties(item.stated_mass, (item.stations[0], 0.0, 0.0), _NONE, "mass at a place", "stated")
    found = item.volume_moments()
    density = item.part.density_in_use()
    if item.stated_mass is not None:
        mass, basis = item.stated_mass, "weighed" if item.weighed else "stated"
    elif density is not None:
        mass, basis = found.volume * density, "estimated"
    else:
        return None
    inertia = found.inertia() * (mass / found.volume)
    method = f"{found.method}, {'mass as given' if basis != 'estimated' else 'volume x density'}"
    return MassProperties(mass, found.centroid, _tensor(inertia), method, basis)


def total(rocket: Rocket) -> MassProperties | None:
    """Mass properties of everything together; None while the mass of an item is not stated."""
    found = [mass_properties(item) for item in rocket.items]
    known = [properties for properties in found if properties is not None]
    if len(known) < len(found) or not known:
        return None
    return combine(tuple(known))


def combine(parts: tuple[MassProperties, ...]) -> MassProperties:
    """Mass properties of several bodies as one, by the parallel-axis theorem."""
    mass = sum(part.mass for part in parts)
    cg = np.sum([np.array(part.cg) * part.mass for part in parts], axis=0) / mass
    inertia = np.zeros((3, 3))
    for part in parts:
        away = np.array(part.cg) - cg
        inertia += np.array(part.inertia) + part.mass * (away @ away * np.eye(3) - np.outer(away, away))
    basis = "weighed" if all(part.basis == "weighed" for part in parts) else "estimated"
    x, y, z = (float(value) for value in cg)
    return MassProperties(mass, (x, y, z), _tensor(inertia), "sum of the items, parallel-axis theorem", basis)


def _tensor(matrix: Floats) -> Tensor:
    rows = [(float(row[0]), float(row[1]), float(row[2])) for row in matrix]
    return rows[0], rows[1], rows[2]


_NONE: Tensor = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
