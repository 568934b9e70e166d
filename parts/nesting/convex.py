"""Convex parts of a polygon, and their sums: where one polygon may not lie for another.

The positions at which a polygon B meets a fixed polygon A are the Minkowski sum of A and B turned about its origin by
half a turn. The sum of convex polygons has the edges of both, in the order of their directions (a standard result of
computational geometry); that of others is the union of the sums of their convex parts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from ..curve import Floats

_DISC = 24
"""Corners of the polygon that stands for the disc of a gap [-]: it holds the disc, 0.9 % wider at its corners."""

_FLAT = 1e-7
"""Largest part of its area [-] by which a part may miss its convex hull."""


def convex_parts(polygon: Polygon) -> tuple[Floats, ...]:
    """Convex polygons (n, 2), anticlockwise, that together are the polygon."""
    whole = polygon.convex_hull
    if not polygon.interiors and whole.area - polygon.area <= _FLAT * polygon.area:
        return (corners(whole),)
    triangles = [corners(one) for one in shapely.constrained_delaunay_triangles(polygon).geoms]
    # Largest first, so that parts grow to the middle of the polygon; a tie is settled by place.
    waiting = sorted(triangles, key=lambda one: (-_area(one), one[:, 0].min(), one[:, 1].min()))
    ends = [_ends(one) for one in waiting]
    parts: list[Floats] = []
    while waiting:
        part, rim, place = waiting.pop(0), ends.pop(0), 0
        while place < len(waiting):
            # Only what shares an edge with it can be joined to it.
            if len(rim & ends[place]) >= 2 and (joined := _joined(part, waiting[place])) is not None:
                del waiting[place], ends[place]
                part, rim, place = joined, _ends(joined), 0
                continue
            place += 1
        parts.append(part)
    return tuple(parts)


def _joined(one: Floats, other: Floats) -> Floats | None:
    """Two convex polygons as one, where together they are convex."""
    hull = shapely.MultiPoint(np.vstack([one, other])).convex_hull
    total = _area(one) + _area(other)
    return corners(hull) if hull.area - total <= _FLAT * total else None


def _ends(points: Floats) -> set[tuple[float, ...]]:
    return {tuple(point) for point in points.tolist()}


def corners(polygon: BaseGeometry) -> Floats:
    """Corners of a polygon's rim (n, 2), anticlockwise, each once."""
    return np.asarray(shapely.get_coordinates(shapely.orient_polygons(polygon))[:-1])


def _area(points: Floats) -> float:
    x, y = points.T
    return float(x[:-1] @ y[1:] - x[1:] @ y[:-1] + x[-1] * y[0] - x[0] * y[-1]) / 2.0


def disc(radius: float) -> Floats:
    """A regular polygon that holds a disc about the origin [mm]."""
    angles = np.arange(_DISC) * (math.tau / _DISC)
    return np.asarray(np.column_stack([np.cos(angles), np.sin(angles)]) * (radius / math.cos(math.pi / _DISC)))


def convex_sum(one: Floats, other: Floats) -> Floats:
    """Minkowski sum of two convex polygons, anticlockwise."""
    one, other = _from_lowest(one), _from_lowest(other)
    edges = np.vstack([np.roll(one, -1, axis=0) - one, np.roll(other, -1, axis=0) - other])
    order = np.argsort(np.arctan2(edges[:, 1], edges[:, 0]) % math.tau, kind="stable")
    steps = np.cumsum(edges[order], axis=0)
    return np.asarray(one[0] + other[0] + np.vstack([np.zeros((1, 2)), steps[:-1]]))


def _from_lowest(points: Floats) -> Floats:
    return np.asarray(np.roll(points, -np.lexsort((points[:, 0], points[:, 1]))[0], axis=0))


def no_fit(fixed: Sequence[Floats], moving: Sequence[Floats], gap: float) -> BaseGeometry:
    """Where a moving polygon comes nearer to a fixed one than a gap, by the place of its origin.

    Args:
        fixed: convex parts of the fixed polygon [mm].
        moving: convex parts of the moving one, with its origin at (0, 0) [mm].
        gap: the gap [mm].
    """
    grown = [convex_sum(part, disc(gap)) for part in fixed] if gap > 0.0 else list(fixed)
    sums = [convex_sum(part, -other) for part in grown for other in moving]
    return shapely.union_all([Polygon(points) for points in sums]) if len(sums) > 1 else Polygon(sums[0])
