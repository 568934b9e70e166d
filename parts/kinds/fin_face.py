"""The face of a fin as its template needs it: its middle, its glue area, and places on it and round it for words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from ..curve import Floats, Piece, Point, gauss, normals
from ..rim import closed, corners, distances, inside
from ..shape import Loop, Outline, polygon

_NOTHING = 1e-6
"""Points nearer than this are one [mm]."""

_SAMPLES = 65
"""Points on a curved piece [-]: their chords stay within 0.1 mm of a fin of half a metre."""

_ROWS = 9
"""Rows, and places in each, of the grid over a face [-]."""


def centre_of_area(loop: Loop) -> Point:
    """The middle of the region that a loop encloses [mm]: first moments over the area, by Gauss's rule on its rim."""
    area = x_moment = y_moment = 0.0
    nodes, weights = gauss(16)
    for edge in loop:
        for first in (0.0, 0.5):
            t = first + nodes / 2.0
            (x, y), (dx, dy) = edge.piece.at(t).T, edge.piece.slope(t).T
            area += float(weights @ (x * dy - y * dx)) / 4.0
            x_moment += float(weights @ (x * x * dy)) / 4.0
            y_moment -= float(weights @ (y * y * dx)) / 4.0
    return x_moment / area, y_moment / area


def glue_area(
    outline: Outline, root_chord: float, height: float, room: Sequence[tuple[Point, float]]
) -> Outline | None:
    """What goes into the tube, and on the root the strip that a fillet covers; None where there is neither.

    Args:
        outline: the fin with its tab.
        root_chord: length of the root [mm].
        height: height of the fillets over the root [mm]; 0 without.
        room: circles [mm] that are left out, by middle and radius, where they lie wholly inside.
    """
    points = followed(outline.outer)
    for normal, most in (((0.0, 1.0), height), ((1.0, 0.0), root_chord), ((-1.0, 0.0), 0.0)):
        points = _clipped(points, np.array(normal), most)
        if len(points) < 3:
            return None
    if _area(points) < 1.0:
        return None
    area = polygon(tuple((x, y) for x, y in points.tolist()))
    holes = [polygon(_round(middle, radius)) for middle, radius in room if _clear(points, middle) > radius]
    return Outline(area, tuple(holes))


def followed(loop: Loop) -> Floats:
    """Corners and points along a loop, none twice, shape (n, 2) [mm]."""
    return corners(loop, _SAMPLES)


def _clipped(points: Floats, normal: Floats, most: float) -> Floats:
    """What of a polygon lies at most so far along a direction [mm]; stretches along the cut may be run to and fro."""
    away = points @ normal - most
    found = []
    for k in range(len(points)):
        here, there = points[k], points[(k + 1) % len(points)]
        if away[k] <= 0.0:
            found.append(here)
        if (away[k] <= 0.0) != (away[(k + 1) % len(points)] <= 0.0):
            share = away[k] / (away[k] - away[(k + 1) % len(points)])
            found.append(here + (there - here) * share)
    kept = [p for p, q in zip(found, [*found[1:], *found[:1]], strict=True) if float(np.hypot(*(p - q))) > _NOTHING]
    return np.array(kept).reshape(-1, 2)


def _area(points: Floats) -> float:
    x, y = points.T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2.0


def _round(middle: Point, radius: float) -> tuple[Point, ...]:
    """A circle as a polygon, clockwise."""
    turns = np.linspace(math.tau, 0.0, 33)[:-1]
    return tuple((middle[0] + radius * math.cos(a), middle[1] + radius * math.sin(a)) for a in turns.tolist())


def _clear(points: Floats, place: Point) -> float:
    """Distance of a place inside a polygon from its rim [mm]; below 0 for one outside."""
    rim, where = closed(points), np.array([place])
    away = float(distances(rim, where)[0])
    return away if inside(rim, where)[0] else -away


def places_on(points: Floats, middle: Point) -> tuple[Point, ...]:
    """Places on a grid over a face, the nearest to a middle first [mm]."""
    (left, low), (right, high) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    xs, ys = np.meshgrid(np.linspace(left, right, _ROWS + 2)[1:-1], np.linspace(low, high, _ROWS + 2)[1:-1])
    grid = np.column_stack([xs.ravel(), ys.ravel()])
    found: list[Point] = [(x, y) for x, y in grid[inside(closed(points), grid)].tolist()]
    wide, tall = right - left, high - low
    return tuple(sorted(found, key=lambda p: math.hypot((p[0] - middle[0]) / wide, (p[1] - middle[1]) / tall)))


def places_round(box: tuple[float, float, float, float], near: Point, first: float = 6.0) -> tuple[Point, ...]:
    """Places round a rectangle (left, low, right, high) [mm], the nearest to a point first."""
    left, low, right, high = box
    found: list[Point] = []
    for away in (first, first + 9.0, first + 18.0, first + 28.0, first + 40.0):
        xs = np.linspace(left - away, right + away, 12).tolist()
        ys = np.linspace(low - away, high + away, 9).tolist()
        found += [(x, y) for x in xs for y in (low - away, high + away)]
        found += [(x, y) for y in ys for x in (left - away, right + away)]
    return tuple(sorted(found, key=lambda p: math.dist(p, near)))


def along(piece: Piece, share: float) -> tuple[Point, Point, float]:
    """A point of a piece [mm], the way to the right of its run there [-], and the way it runs [rad].

    Of an outline, which runs anticlockwise, the right is out of the material.
    """
    t = np.array([share])
    (x, y), (nx, ny), (dx, dy) = piece.at(t)[0].tolist(), normals(piece, t)[0].tolist(), piece.slope(t)[0].tolist()
    return (x, y), (-nx, -ny), math.atan2(dy, dx)


def stepped(start: Point, way: Point, by: float) -> Point:
    """A point moved along a direction [mm]."""
    return start[0] + way[0] * by, start[1] + way[1] * by


def spread() -> Iterator[float]:
    """Shares of a length, from its middle outwards [-]."""
    yield 0.5
    for off in (0.1, 0.2, 0.3, 0.38):
        yield 0.5 + off
        yield 0.5 - off
