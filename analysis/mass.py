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
    does, as if it were all of one. A measured centre of gravity takes the place of the computed one along the axis; the
    inertia about it stays as computed.
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
    x, y, z = found.centroid
    if item.balance is not None:
        x, how = sum(item.stations) / len(item.stations) + item.balance, f"{how}, CG along the axis as balanced"
    return MassProperties(mass, (x, y, z), _tensor(inertia), f"{found.method}, {how}", basis)


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
        inertia += _about(part, cg)
    bases = {part.basis for part in parts}
    basis = "weighed" if bases == {"weighed"} else "estimated" if "estimated" in bases else "stated"
    x, y, z = (float(value) for value in cg)
    return MassProperties(mass, (x, y, z), _tensor(inertia), "sum of the items, parallel-axis theorem", basis)


def inertia_about(part: MassProperties, point: Vector) -> Tensor:
    """Inertia tensor of a body about a point, its axes those of the rocket's frame [g mm2].

    Source: parallel-axis theorem (any mechanics textbook), J = I + m (d.d 1 - d d), d from the point to the centre of
    gravity [mm]. Off the diagonal stands minus the product of inertia.

    Args:
        part: mass properties of the body.
        point: the point, in the same frame [mm].
    """
    return _tensor(_about(part, np.array(point)))


def _about(part: MassProperties, point: Floats) -> Floats:
    away = np.array(part.cg) - point
    return np.asarray(np.array(part.inertia) + part.mass * (away @ away * np.eye(3) - np.outer(away, away)))


def _tensor(matrix: Floats) -> Tensor:
    rows = [(float(row[0]), float(row[1]), float(row[2])) for row in matrix]
    return rows[0], rows[1], rows[2]


_NONE: Tensor = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
