"""Allowances for what is put on after the parts are made: paint, as a mass with a place."""

from __future__ import annotations

import math

import numpy as np

from ..parts.curve import Floats, gauss
from ..parts.errors import PartError
from ..parts.kinds import Fin
from .aero.body import Skin
from .rocket import Item, Rocket

_MM2 = 1e-6
"""One square millimetre in square metres."""


def painted_skin(rocket: Rocket) -> tuple[float, float] | None:
    """Area [mm2] of everything outside and the station [mm] of its centroid; None where there is nothing outside.

    The turned skins of the body, and of each fin both faces and the rim outside the body. Exact for the shapes: steps
    between two skins and the strips under the roots of the fins are left out, edges of fins count as cut square.
    """
    rows = [_turned(item) for item in rocket.body] + [_fins(item) for item in rocket.fins]
    area = sum(row[0] for row in rows)
    return (area, sum(row[0] * row[1] for row in rows) / area) if area else None


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


def _turned(item: Item) -> tuple[float, float]:
    area, centroid = Skin(item.part.skin() if item.part else ()).wetted()
    return area * len(item.stations), sum(item.stations) / len(item.stations) + centroid


def _fins(item: Item) -> tuple[float, float]:
    """Both faces and the rim of all fins of an item; the rim is what the fin's outline has in the air stream."""
    part = item.part
    if not isinstance(part, Fin):
        return 0.0, 0.0
    rim = [edge.piece for edge in part.template().outer if edge.role == "wetted"]
    face = face_moment = edge_area = edge_moment = 0.0
    nodes, weights = gauss(24)
    for piece in rim:
        p, d = piece.at(nodes), piece.slope(nodes)
        length: Floats = weights * np.hypot(d[:, 0], d[:, 1])
        # Green's theorem; the root closes the outline along y = 0 and adds nothing.
        face += float(weights @ (p[:, 0] * d[:, 1]))
        face_moment += float(weights @ (p[:, 0] ** 2 * d[:, 1])) / 2.0
        edge_area += part.thickness * float(length.sum())
        edge_moment += part.thickness * float(length @ p[:, 0])
    area = 2.0 * face + edge_area
    centroid = (2.0 * face_moment + edge_moment) / area
    return area * item.quantity, sum(item.stations) / len(item.stations) + centroid
