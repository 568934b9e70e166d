"""Allowances for what is put on after the parts are made: paint and films of glue, as masses with a place."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ..parts.curve import Floats, gauss, monotone_parts
from ..parts.errors import PartError
from .aero.body import Skin
from .bonded_area import BondedJoint
from .outer_skin import outer_skin
from .rocket import FinsInPlace, Item, Rocket

_MM2 = 1e-6
"""One square millimetre in square metres."""


@dataclass(frozen=True, slots=True)
class Painted:
    """What is painted of one item.

    Attributes:
        name: name of the item.
        what: `skin`, or how many fins.
        area: area [mm2].
        station: its centroid along the axis [mm].
    """

    name: str
    what: str
    area: float
    station: float


def painted_faces(rocket: Rocket) -> tuple[Painted, ...]:
    """Everything outside, from forward to aft: the body, then the fins.

    The turned skins of the body as far as no sleeve hides them, and of each fin both faces and the rim outside the
    body. Exact for the shapes: steps between two skins and the strips under the roots of the fins are left out, edges
    of fins count as cut square.
    """
    skins = [Painted(stretch.item.name, "skin", *_turned(stretch.skin)) for stretch in outer_skin(rocket)]
    fins = [
        Painted(fins.name, f"{fins.count} {'fins' if fins.count > 1 else 'fin'}", *_fins(fins))
        for fins in rocket.fin_sets
    ]
    return (*skins, *fins)


def painted_skin(rocket: Rocket) -> tuple[float, float] | None:
    """Area [mm2] of everything outside and the station [mm] of its centroid; None where there is nothing outside."""
    rows = painted_faces(rocket)
    area = sum(row.area for row in rows)
    return (area, sum(row.area * row.station for row in rows) / area) if area else None


def paint_item(rocket: Rocket, areal_mass: float) -> Item | None:
    """Paint on everything outside, as an estimate at its centre of gravity; None where there is nothing to paint.

    Args:
        rocket: the parts in place.
        areal_mass: mass of the dry paint on an area [g/m2].

    Raises:
        PartError: the areal mass is not above 0.
    """
    if not 0.0 < areal_mass < math.inf:
        raise PartError(f"areal_mass: must be above 0 g/m2, got {areal_mass:g} g/m2")
    found = painted_skin(rocket)
    if found is None:
        return None
    area, station = found
    return Item("paint", (station,), stated_mass=area * _MM2 * areal_mass, estimate=True, what="paint")


def glue_items(bonded: Iterable[BondedJoint], areal_mass: float) -> tuple[Item, ...]:
    """Glue as a film on the faces of each joint, as estimates at their centroids; none for a joint without faces.

    Args:
        bonded: the glued joints.
        areal_mass: mass of the set glue on an area [g/m2]; two faces that meet have one film between them.

    Raises:
        PartError: the areal mass is not above 0.
    """
    if not 0.0 < areal_mass < math.inf:
        raise PartError(f"areal_mass: must be above 0 g/m2, got {areal_mass:g} g/m2")
    return tuple(
        Item(glue_name(one), (one.station,), stated_mass=one.area * _MM2 * areal_mass, estimate=True, what="allowance")
        for one in bonded
        if one.station is not None
    )


def glue_name(joint: BondedJoint) -> str:
    """What the glue of a joint is called in the mass table."""
    return f"glue: {joint.words}"


def _turned(skin: Skin) -> tuple[float, float]:
    area, centroid = skin.wetted()
    return area, skin.station + centroid


def _fins(fins: FinsInPlace) -> tuple[float, float]:
    """Both faces and the rim of all fins of a set; the rim is all of the outline but the root."""
    face = face_moment = edge_area = edge_moment = 0.0
    nodes, weights = gauss(24)
    for edge in fins.planform.outer:
        for piece in monotone_parts(edge.piece):
            p, d = piece.at(nodes), piece.slope(nodes)
            # Green's theorem.
            face += float(weights @ (p[:, 0] * d[:, 1]))
            face_moment += float(weights @ (p[:, 0] ** 2 * d[:, 1])) / 2.0
            if float(np.abs(p[:, 1]).max()) > _ON_SURFACE:
                length: Floats = weights * np.hypot(d[:, 0], d[:, 1])
                edge_area += fins.thickness * float(length.sum())
                edge_moment += fins.thickness * float(length @ p[:, 0])
    area = 2.0 * face + edge_area
    return area * fins.count, fins.station + (2.0 * face_moment + edge_moment) / area


_ON_SURFACE = 1e-6
"""How far an edge may lie off the surface and be the root [mm]."""
