"""What a radial feature shares with a turned wall, by quadrature.

In the feature's frame x runs along the axis, t along its radius and w across. For each (x, w) inside the outline the
wall holds the stretch from sqrt(ri^2 - w^2) to sqrt(ro^2 - w^2) of the radius; its moments along t are closed forms,
and the two others are Gauss rules in the sine of an angle, which takes the square-root ends of a round hole exactly
into a smooth integrand. The rule is split wherever the integrand has a corner: at the nodes of the meridian and of the
outline, where the outline passes the side of the bore, and where a flat end of the feature meets the wall.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache, partial
from itertools import pairwise

import numpy as np

from ..curve import Floats, Piece, bisect, gauss, monotone_parts, parameters_at
from ..shape import Loop, Meridian, RadialFeature, between_rolls, rolled
from .moments import NOTHING, Moments, from_arrays

_POINTS = (28, 20)
"""Gauss points along x and across w; the same sums with three quarters of them give the error estimate."""


def overlap(meridian: Meridian, feature: RadialFeature) -> Moments:
    """Moments of the material that a radial feature shares with a turned solid, about the solid's origin."""
    at_rest = _at_rest(meridian, replace(feature, roll=0.0))
    return at_rest if at_rest is NOTHING else at_rest.placed(rolled(feature.roll))


@lru_cache(maxsize=256)
def _at_rest(meridian: Meridian, feature: RadialFeature) -> Moments:
    """The same for a feature at roll 0: holes in a circle share one quadrature."""
    fine = _integrate(meridian, feature, *_POINTS)
    coarse = _integrate(meridian, feature, _POINTS[0] * 3 // 4, _POINTS[1] * 3 // 4)
    if fine[0, 0] <= 0.0:
        return NOTHING
    error = float(abs(fine[0, 0] - coarse[0, 0]) / fine[0, 0]) + 1e-13
    # `fine` holds the integrals of products of (1, x, t, w). At roll 0, t is +y and w is -z.
    to_part = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, -1.0]])
    first = to_part @ fine[0, 1:]
    second = to_part @ fine[1:, 1:] @ to_part.T
    return from_arrays(float(fine[0, 0]), first, second, "radial feature by quadrature", error)


def apart(meridian: Meridian, features: tuple[RadialFeature, ...], in_wall: bool) -> bool:
    """True where no two features can share material, so that each may be counted on its own.

    Args:
        meridian: the turned solid.
        features: the features.
        in_wall: True if only what lies in the wall counts, as for holes; False for what is added, bore and all.
    """
    spans = [_span(meridian, feature, in_wall) for feature in features]
    for i, (x0, x1, roll, half) in enumerate(spans):
        for y0, y1, other, other_half in spans[:i]:
            if x0 < y1 and y0 < x1 and between_rolls(roll, other) < half + other_half:
                return False
    return True


def _span(meridian: Meridian, feature: RadialFeature, in_wall: bool) -> tuple[float, float, float, float]:
    """Station range [mm], roll [rad] and half angle [rad] that a feature takes up in the wall."""
    u0, w0, u1, w1 = feature.outline.box()
    x0, x1 = feature.station + u0, feature.station + u1
    inside = [r for x in (x0, x1) for r in _innermost(meridian, x)]
    inside += [p[1] for e in meridian.edges for p in (e.piece.start, e.piece.end) if x0 <= p[0] <= x1]
    nearest = max(min(inside, default=0.0) if in_wall else 0.0, feature.from_radius)
    widest = max(abs(w0), abs(w1))
    half = math.asin(widest / nearest) if widest < nearest else math.pi
    return x0, x1, feature.roll, half


def _innermost(meridian: Meridian, x: float) -> list[float]:
    radii = _radii(_monotone(meridian.edges), np.array([x]))
    return [float(radii.min())] if radii.size else []


def _monotone(loop: Loop) -> tuple[Piece, ...]:
    return tuple(part for edge in loop for part in monotone_parts(edge.piece))


def _radii(pieces: tuple[Piece, ...], x: Floats) -> Floats:
    """Second coordinates at which the pieces pass the stations `x` (n,), ascending, shape (crossings, n)."""
    middle = float(x.mean())
    rows = [
        piece.at(parameters_at(piece, x))[:, 1]
        for piece in pieces
        if min(piece.start[0], piece.end[0]) < middle < max(piece.start[0], piece.end[0])
    ]
    return np.sort(np.array(rows), axis=0) if rows else np.empty((0, len(x)))


def _integrate(meridian: Meridian, feature: RadialFeature, along: int, across: int) -> Floats:
    wall, outline = _monotone(meridian.edges), tuple(p for loop in feature.outline.loops for p in _monotone(loop))
    u0, _, u1, _ = feature.outline.box()
    nodes = {u0, u1}
    nodes |= {x for p in outline for x in (p.start[0], p.end[0])}
    nodes |= {x - feature.station for p in wall for x in (p.start[0], p.end[0]) if u0 < x - feature.station < u1}
    for a, b in pairwise(sorted(nodes)):
        if b - a >= 1e-12:
            nodes |= _corners_between(wall, outline, feature, a, b)
    total = np.zeros((4, 4))
    for a, b in pairwise(sorted(nodes)):
        if b - a < 1e-12:
            continue
        u, weight = _sine_rule(a, b, along)
        sides, radii = _radii(outline, u), _radii(wall, u + feature.station)
        for i in range(0, len(sides) - 1, 2):
            for j in range(0, len(radii) - 1, 2):
                total += _strip(feature, u, weight, sides[i : i + 2], radii[j : j + 2], across)
    return total


def _corners_between(
    wall: tuple[Piece, ...], outline: tuple[Piece, ...], feature: RadialFeature, a: float, b: float
) -> set[float]:
    """Stations between two nodes where the outline passes the side of the bore, or a flat end meets the wall."""

    def heights(u: Floats) -> Floats:
        sides, radii = _radii(outline, u), _radii(wall, u + feature.station)
        flats = np.array([0.0, feature.from_radius, feature.to_radius])
        reach = (radii[:, None, :] ** 2 - flats[None, :, None] ** 2).reshape(-1, len(u))
        return np.concatenate([reach, *(reach - side**2 for side in sides)])

    def height(row: int, u: float) -> float:
        return float(heights(np.array([u]))[row, 0])

    u = (a + b) / 2.0 - (b - a) / 2.0 * np.cos(np.pi * (np.arange(64) + 0.5) / 64)
    values = heights(u)
    found: set[float] = set()
    for row, i in np.argwhere((values[:, :-1] < 0.0) != (values[:, 1:] < 0.0)):
        found.add(bisect(partial(height, int(row)), float(u[i]), float(u[i + 1])))
    return found


def _sine_rule(a: float, b: float, count: int) -> tuple[Floats, Floats]:
    """Nodes and weights between a and b, crowded towards both ends as the sine of evenly ruled angles."""
    nodes, weights = gauss(count)
    angle = math.pi * (nodes - 0.5)
    half = (b - a) / 2.0
    return (a + b) / 2.0 + half * np.sin(angle), weights * math.pi * half * np.cos(angle)


def _strip(feature: RadialFeature, u: Floats, weight: Floats, sides: Floats, radii: Floats, across: int) -> Floats:
    total = np.zeros((4, 4))
    for k in range(len(u)):
        corners = {float(sides[0, k]), float(sides[1, k])}
        for r in radii[:, k]:
            for flat in (0.0, feature.from_radius, feature.to_radius):
                if r > flat:
                    corner = math.sqrt(r * r - flat * flat)
                    corners |= {c for c in (corner, -corner) if sides[0, k] < c < sides[1, k]}
        stops = sorted(corners)
        for a, b in pairwise(stops):
            w, wide = _sine_rule(a, b, across)
            low = np.maximum(np.sqrt(np.maximum(radii[0, k] ** 2 - w**2, 0.0)), feature.from_radius)
            high = np.minimum(np.sqrt(np.maximum(radii[1, k] ** 2 - w**2, 0.0)), feature.to_radius)
            held = high > low
            if held.any():
                total += _moments_along(u[k] + feature.station, weight[k], w[held], wide[held], low[held], high[held])
    return total


def _moments_along(x: float, weight: float, w: Floats, wide: Floats, low: Floats, high: Floats) -> Floats:
    """Integrals of the products of (1, x, t, w) over one line of stretches from `low` to `high` along t."""
    length, square, cube = high - low, (high**2 - low**2) / 2.0, (high**3 - low**3) / 3.0
    m = wide * weight
    one, t, tt = float(m @ length), float(m @ square), float(m @ cube)
    s, ss, ts = float(m @ (length * w)), float(m @ (length * w * w)), float(m @ (square * w))
    return np.array(
        [
            [one, x * one, t, s],
            [x * one, x * x * one, x * t, x * s],
            [t, x * t, tt, ts],
            [s, x * s, ts, ss],
        ]
    )
