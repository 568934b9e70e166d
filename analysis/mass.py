"""Mass, centre of gravity and inertia of every item and of the rocket, from the exact shapes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from ..parts.curve import Floats
from ..parts.readers.integrals import moments
from ..parts.readers.moments import NOTHING, Moments, from_arrays
from ..parts.shape import Placement, Shape
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


@lru_cache(maxsize=512)
def mass_properties(item: Item) -> MassProperties | None:
    """Mass properties of an item, all copies together; None where its mass is not stated and cannot be found.

    A stated mass spreads over the part as its materials do, where the density of each is known; else as its shape
    does, as if it were all of one.
    """
    if item.part is None:
        return _at_places(item)
    bodies = item.part.bodies()
    densities = tuple(body.density for body in bodies)
    if None not in densities:
        shapes = tuple((body.shape, body.density or 0.0) for body in bodies)
    elif item.stated_mass is not None:
        shapes = ((item.part.shape(), 1.0),)
    else:
        return None
    found = _weighted(shapes, item.placements())
    if item.stated_mass is None:
        mass, basis, how = found.volume, "estimated", "volume x density"
    else:
        mass, basis, how = item.stated_mass, _basis(item), "mass as given"
        if len(set(densities)) > 1:
            how += ", spread as volume x density" if None not in densities else ", spread as if all of one material"
    inertia = found.inertia() * (mass / found.volume)
    return MassProperties(mass, found.centroid, _tensor(inertia), f"{found.method}, {how}", basis)


def _at_places(item: Item) -> MassProperties | None:
    """A mass at a place; several alike along the axis share it evenly."""
    if item.stated_mass is None:
        return None
    share = item.stated_mass / len(item.stations)
    points = tuple(
        MassProperties(share, (station, 0.0, 0.0), _NONE, "mass at a place", _basis(item)) for station in item.stations
    )
    return points[0] if len(points) == 1 else replace(combine(points), method="masses at their places")


def _basis(item: Item) -> str:
    return "weighed" if item.weighed else "estimated" if item.estimate else "stated"


def _weighted(shapes: tuple[tuple[Shape, float], ...], placements: tuple[Placement, ...]) -> Moments:
    """Moments of shapes, each times its density, at every placement; the volume of the result is a mass."""
    own = NOTHING
    for shape, density in shapes:
        one = moments(shape)
        heavy = from_arrays(
            one.volume * density, np.array(one.first) * density, one.second_matrix * density, one.method, one.error
        )
        own = heavy if own is NOTHING else own + heavy
    found = NOTHING
    for placement in placements:
        one = own.placed(placement)
        found = one if found is NOTHING else found + one
    return found


def total(rocket: Rocket) -> MassProperties | None:
    """Mass properties of everything together; None while the mass of an item is not stated."""
    found = [mass_properties(item) for item in rocket.items]
    known = [properties for properties in found if properties is not None]
    if len(known) < len(found) or not known:
        return None
    return combine(tuple(known))


def combine(parts: tuple[MassProperties, ...]) -> MassProperties:
    """Mass properties of several bodies as one, by the parallel-axis theorem.

    The sum is weighed only if everything in it is, and estimated if anything in it is.
    """
    mass = sum(part.mass for part in parts)
    cg = np.sum([np.array(part.cg) * part.mass for part in parts], axis=0) / mass
    inertia = np.zeros((3, 3))
    for part in parts:
        away = np.array(part.cg) - cg
        inertia += np.array(part.inertia) + part.mass * (away @ away * np.eye(3) - np.outer(away, away))
    bases = {part.basis for part in parts}
    basis = "weighed" if bases == {"weighed"} else "estimated" if "estimated" in bases else "stated"
    x, y, z = (float(value) for value in cg)
    return MassProperties(mass, (x, y, z), _tensor(inertia), "sum of the items, parallel-axis theorem", basis)


def _tensor(matrix: Floats) -> Tensor:
    rows = [(float(row[0]), float(row[1]), float(row[2])) for row in matrix]
    return rows[0], rows[1], rows[2]


_NONE: Tensor = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
