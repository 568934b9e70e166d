"""The rim of a flat region as short chords: which points lie within it, and how far from it.

Chords have the shape (n, 2, 2) [mm]: of each its start and its end. Those of holes count as those of the outside do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from .curve import Floats, Line
from .shape import Loop

_TABLE = 100_000
"""Entries of a table that is worked on at once [-]."""


def corners(loop: Loop, samples: int) -> Floats:
    """Points along a loop, none twice, shape (n, 2) [mm].

    Args:
        loop: the loop.
        samples: points on each piece that is not straight, its ends included [-].
    """
    ends = (np.linspace(0.0, 1.0, 2 if isinstance(edge.piece, Line) else samples) for edge in loop)
    return np.vstack([edge.piece.at(t)[:-1] for edge, t in zip(loop, ends, strict=True)])


def closed(points: Floats) -> Floats:
    """Chords from each corner of a polygon (n, 2) to the next, and from the last to the first."""
    return np.stack([points, np.roll(points, -1, axis=0)], axis=1)


def chords(loops: Iterable[Loop], samples: int) -> Floats:
    """Chords round loops; a piece that is not straight has one fewer than `samples` [-]."""
    return np.concatenate([closed(corners(loop, samples)) for loop in loops])


def inside(rim: Floats, points: Floats) -> NDArray[np.bool_]:
    """Which of some points (m, 2) lie within a rim: a ray to the right crosses it an odd number of times."""
    x, y = points.T
    found = np.zeros(len(points), dtype=np.bool_)
    # A level chord is crossed by no level ray.
    slanting = rim[rim[:, 0, 1] != rim[:, 1, 1]]
    for some in _blocks(slanting, len(points)):
        (x0, y0), (x1, y1) = some[:, :, :, None].transpose(1, 2, 0, 3)
        spans = (y0 > y) != (y1 > y)
        found ^= np.logical_xor.reduce(spans & (x < x0 + (y - y0) * ((x1 - x0) / (y1 - y0))), axis=0)
    return found


def distances(rim: Floats, points: Floats) -> Floats:
    """Distance of each of some points (m, 2) from the nearest chord, shape (m,) [mm]."""
    start, along = rim[:, 0], rim[:, 1] - rim[:, 0]
    square = np.maximum((along**2).sum(axis=1), 1e-300)
    found = [np.empty(0)]
    for some in _blocks(points, len(rim)):
        away = some[:, None] - start
        share = np.clip((away * along).sum(axis=2) / square, 0.0, 1.0)
        away -= along * share[:, :, None]
        found.append(np.hypot(away[:, :, 0], away[:, :, 1]).min(axis=1))
    return np.concatenate(found)


def _blocks(rows: Floats, each: int) -> Iterator[Floats]:
    """Rows some at a time, so that tables of `each` columns stay small enough to be quick."""
    step = max(1, _TABLE // max(each, 1))
    return (rows[first : first + step] for first in range(0, len(rows), step))
