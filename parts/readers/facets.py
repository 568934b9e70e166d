"""Polylines that stand for the pieces of a section or outline, placed so that facets cost neither volume nor fit.

Two rules. On `fit` faces no facet may add material: outside vertices lie on the true surface, bore facets touch it with
their middles. On all other faces the vertices share the chord error so that area and volume are true.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ..curve import Arc, Floats, Line, Piece, gauss, normals


@dataclass(frozen=True, slots=True)
class Fineness:
    """How far a mesh may lie from the surface [mm].

    Attributes:
        deviation: on ordinary faces.
        fit_deviation: on fit faces.
        hold_fit: False makes fit faces volume-true like all others (for integrals).
    """

    deviation: float = 0.02
    fit_deviation: float = 0.01
    hold_fit: bool = True


def ring_count(radius: float, fit_radius: float, fineness: Fineness) -> int:
    """Facets round the axis for a turned solid, a multiple of 4 [-].

    A polygon whose vertices lie on the circle is R (1 - cos(pi/n)) inside it; a polygon of equal area departs by about
    R (pi/n)^2 / 3. Ordinary faces spend half of their deviation on the ring and half along the section.
    """
    ordinary = math.pi * math.sqrt(max(radius, 1e-9) / (1.5 * fineness.deviation))
    fit = math.pi / math.acos(1.0 - min(fineness.fit_deviation / fit_radius, 1.0)) if fit_radius > 0.0 else 0.0
    return max(16, 4 * math.ceil(max(ordinary, fit) / 4.0))


def area_factor(count: int) -> float:
    """Area of a regular polygon over that of its circumscribed circle [-]: sin(2 pi/n) / (2 pi/n)."""
    return math.sin(math.tau / count) / (math.tau / count)


def parameters(piece: Piece, chord_error: float) -> Floats:
    """Parameters (n,) [-] that cut a piece into chords within an error of it [mm].

    The chord over an arc length h errs by h^2 k / 8 at curvature k, so stations are spread evenly in the integral of
    sqrt(k); that also holds where the curvature is without bound but the tangent is not, as at a Haack tip.
    """
    if isinstance(piece, Line):
        return np.array([0.0, 1.0])
    if isinstance(piece, Arc):
        step = 2.0 * math.acos(1.0 - min(chord_error / piece.radius, 1.0))
        return np.linspace(0.0, 1.0, max(2, math.ceil(abs(piece.sweep) / step)) + 1)
    t = np.linspace(0.0, 1.0, 2001)
    points, normal = piece.at(t), normals(piece, t)
    run = np.hypot(*np.diff(points, axis=0).T)
    turn = np.abs(np.arcsin(np.clip(normal[:-1, 0] * normal[1:, 1] - normal[:-1, 1] * normal[1:, 0], -1.0, 1.0)))
    spread = np.concatenate([[0.0], np.cumsum(np.sqrt(turn * run))])
    count = max(2, math.ceil(spread[-1] / math.sqrt(8.0 * chord_error)))
    return np.interp(np.linspace(0.0, spread[-1], count + 1), spread, t)


def true_points(
    piece: Piece, chord_error: float, measure: Callable[[Floats], float], exact: float
) -> tuple[Floats, float]:
    """Polyline for a piece whose inner points are moved along the normals until a measure of it is exact.

    Args:
        piece: the piece.
        chord_error: largest distance of a plain chord from the piece [mm].
        measure: what must come out right, from points (n, 2): an area or a volume under the polyline.
        exact: its exact value for the piece.

    Returns:
        Points (n, 2) [mm] with both ends untouched, and how far the inner ones were moved [mm].
    """
    t = parameters(piece, chord_error)
    points, normal = piece.at(t), normals(piece, t)
    points[0], points[-1] = piece.start, piece.end
    normal[0] = normal[-1] = 0.0
    if len(t) == 2:
        return points, 0.0
    shift, step = 0.0, chord_error
    error = measure(points) - exact
    for _ in range(4):
        slope = (measure(points + (shift + step) * normal) - measure(points + shift * normal)) / step
        if slope == 0.0:
            break
        shift -= error / slope
        error = measure(points + shift * normal) - exact
        step = chord_error * 0.1
    return points + shift * normal, shift


def swept_area(points: Floats) -> float:
    """Area between a polyline and the origin by the shoelace rule [mm2]."""
    x, y = points[:, 0], points[:, 1]
    return float(x[:-1] @ y[1:] - x[1:] @ y[:-1]) / 2.0


def turned_volume(points: Floats) -> float:
    """Volume under a polyline of (x, r) turned about the axis, over pi [mm3]."""
    x, r = points[:, 0], points[:, 1]
    return float(np.diff(x) @ (r[:-1] ** 2 + r[:-1] * r[1:] + r[1:] ** 2)) / 3.0


def exact_swept_area(piece: Piece) -> float:
    """Area between a piece and the origin [mm2]."""
    return _quadrature(piece, lambda p, d: (p[:, 0] * d[:, 1] - p[:, 1] * d[:, 0]) / 2.0)


def exact_turned_volume(piece: Piece) -> float:
    """Volume under a piece of (x, r) turned about the axis, over pi [mm3]."""
    return _quadrature(piece, lambda p, d: p[:, 1] ** 2 * d[:, 0])


def _quadrature(piece: Piece, integrand: Callable[[Floats, Floats], Floats]) -> float:
    nodes, weights = gauss(32)
    panels = 4
    t = ((np.arange(panels)[:, None] + nodes) / panels).ravel()
    return float(integrand(piece.at(t), piece.slope(t)) @ np.tile(weights, panels)) / panels


def outline_points(piece: Piece, is_fit: bool, fineness: Fineness) -> Floats:
    """Points (n, 2) [mm] for one piece of an outline whose material lies to its left, last point left out.

    Full circles keep their symmetry; other pieces keep their ends.
    """
    hold = is_fit and fineness.hold_fit
    if isinstance(piece, Line):
        return np.array([piece.start])
    error = fineness.fit_deviation if hold else fineness.deviation
    if isinstance(piece, Arc) and abs(piece.sweep) == math.tau:
        count = max(16, 4 * math.ceil(math.pi / math.acos(1.0 - min(error / piece.radius, 1.0)) / 4.0))
        bulging = piece.sweep > 0.0
        factor = (1.0 if bulging else 1.0 / math.cos(math.pi / count)) if hold else area_factor(count) ** -0.5
        around = Arc(piece.centre, piece.radius * factor, piece.start_angle, piece.sweep)
        return around.at(np.arange(count) / count)
    if hold and not _bulges(piece):
        # Facets whose middles touch the surface: half steps at the ends, so that the corners stay where they are.
        return np.vstack([piece.at(np.array([0.0])), _where_tangents_meet(piece, parameters(piece, error))])
    if hold:
        return piece.at(parameters(piece, error)[:-1])
    points, _ = true_points(piece, error, swept_area, exact_swept_area(piece))
    return points[:-1]


def _bulges(piece: Piece) -> bool:
    """True where the material, to the left, lies on the inside of the curve."""
    ends = piece.slope(np.array([0.0, 0.5]))
    return bool(ends[0, 0] * ends[1, 1] - ends[0, 1] * ends[1, 0] > 0.0)


def _where_tangents_meet(piece: Piece, t: Floats) -> Floats:
    """Where the tangents at neighbouring parameters `t` (n,) [-] cross, shape (n - 1, 2) [mm]."""
    points, normal = piece.at(t), normals(piece, t)
    chord = np.diff(points, axis=0)
    turn = normal[:-1, 0] * normal[1:, 1] - normal[:-1, 1] * normal[1:, 0]
    ahead = np.einsum("ij,ij->i", chord, normal[1:])
    straight = np.abs(turn) < 1e-9
    run = np.where(straight, 0.0, ahead / np.where(straight, 1.0, turn))
    tangent = np.column_stack([normal[:-1, 1], -normal[:-1, 0]])
    crossing = points[:-1] - run[:, None] * tangent
    return np.where(straight[:, None], points[:-1] + chord / 2.0, crossing)
