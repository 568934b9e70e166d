"""The lowest of several curves over the axis: how a cavity is limited by several things at once.

A wall, a thicker stretch, the bore of a shoulder and the collar of a joint each say how wide the inside may be at most;
the inside is what lies under all of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import combinations, pairwise

import numpy as np

from .chain import Chain, started_at
from .curve import Floats, Line, Piece, bisect, crowded, parameters_at

_SHORTEST = 1e-5
"""Stretches shorter than this along the axis [mm] are none: they would be sliver faces."""

_SAME = 1e-9
"""Radii that differ by less than this [mm] are the same."""

_CROWDED = crowded(65)
"""Crowded towards the ends, where a curve may stand upright [-]."""


def lowest(chains: Sequence[Chain]) -> Chain:
    """What lies lowest at every station, as pieces of the chains themselves.

    Args:
        chains: curves in the (x, r) plane that run aft [mm]; each holds over its own stations and limits nothing
            beyond them. Between them they cover one unbroken stretch of the axis.

    Returns:
        The chain from the first station covered to the last; where it jumps, a line across the axis joins its ends.
    """
    pieces = [piece for chain in chains for piece in chain if piece.end[0] - piece.start[0] > _SAME]
    ends = {x for piece in pieces for x in (piece.start[0], piece.end[0])}
    stations = _apart(ends | {x for piece, other in combinations(pieces, 2) for x in _meetings(piece, other)})
    chosen: list[tuple[Piece, float, float]] = []
    for first, last in pairwise(stations):
        low = _lowest_at((first + last) / 2.0, pieces, chosen[-1][0] if chosen else None)
        if chosen and chosen[-1][0] is low:
            chosen[-1] = (low, chosen[-1][1], last)
        else:
            chosen.append((low, first, last))
    return tuple(_joined([_between(*stretch) for stretch in chosen]))


def radius_at(chain: Chain, x: float) -> float:
    """Radius [mm] of a chain that runs aft at one station [mm]; the smaller one where it jumps there.

    Raises:
        ValueError: the chain does not reach that station.
    """
    found = [_height(piece, x) for piece in chain if piece.start[0] - _SAME <= x <= piece.end[0] + _SAME]
    if not found:
        raise ValueError(f"the chain does not reach the station {x:g} mm")
    return min(found)


def _height(piece: Piece, x: float) -> float:
    if piece.end[0] - piece.start[0] <= _SAME:
        return min(piece.start[1], piece.end[1])
    return float(piece.at(parameters_at(piece, np.array([x])))[0, 1])


def _meetings(piece: Piece, other: Piece) -> Iterator[float]:
    """Stations at which two pieces pass through each other."""
    first, last = max(piece.start[0], other.start[0]), min(piece.end[0], other.end[0])
    if last - first < _SHORTEST:
        return
    if isinstance(piece, Line) or isinstance(other, Line):
        line, curve = (piece, other) if isinstance(piece, Line) else (other, piece)
        yield from (x for x in _through(line, curve) if first < x < last)
        return
    x = first + (last - first) * _CROWDED
    between = _difference(piece, other, x)
    between[np.abs(between) < _SAME] = 0.0
    for i in np.flatnonzero(between[:-1] * between[1:] < 0.0):
        yield bisect(partial(_difference_at, piece, other), float(x[i]), float(x[i + 1]))
    # Where they touch at a sample there is a crossing too.
    yield from x[1:-1][(between[1:-1] == 0.0) & (between[:-2] * between[2:] < 0.0)].tolist()


def _through(line: Piece, curve: Piece) -> Iterator[float]:
    """Stations at which a curve passes through a line, found along the curve's own parameter, to the last bit.

    Where the two only touch there is none: what is less than `_SAME` beside the line is on neither side of it.
    """
    (x0, r0), (x1, r1) = line.start, line.end
    slope = (r1 - r0) / (x1 - x0)

    def above(t: float) -> float:
        x, r = curve.at(np.array([t]))[0].tolist()
        return float(r - r0 - slope * (x - x0))

    points = curve.at(_CROWDED)
    away = points[:, 1] - r0 - slope * (points[:, 0] - x0)
    clear = np.flatnonzero(np.abs(away) >= _SAME)
    for i, j in pairwise(clear.tolist()):
        if away[i] * away[j] < 0.0:
            t = bisect(above, float(_CROWDED[i]), float(_CROWDED[j]))
            yield float(curve.at(np.array([t]))[0, 0])


def _difference(piece: Piece, other: Piece, x: Floats) -> Floats:
    return np.asarray(piece.at(parameters_at(piece, x))[:, 1] - other.at(parameters_at(other, x))[:, 1])


def _difference_at(piece: Piece, other: Piece, x: float) -> float:
    return float(_difference(piece, other, np.array([x]))[0])


def _apart(stations: set[float]) -> list[float]:
    """The stations in order without those that are too near to the one before, keeping both ends."""
    ordered = sorted(stations)
    kept = ordered[:1]
    for x in ordered[1:-1]:
        if x - kept[-1] >= _SHORTEST and ordered[-1] - x >= _SHORTEST:
            kept.append(x)
    return [*kept, ordered[-1]]


def _lowest_at(x: float, pieces: list[Piece], before: Piece | None) -> Piece:
    over = [(_height(piece, x), piece) for piece in pieces if piece.start[0] <= x <= piece.end[0]]
    low = min(radius for radius, _ in over)
    same = [piece for radius, piece in over if radius - low < _SAME]
    return next((piece for piece in same if piece is before), same[0])


def _between(piece: Piece, first: float, last: float) -> Piece:
    start = 0.0 if first - piece.start[0] < _SHORTEST else float(parameters_at(piece, np.array([first]))[0])
    end = 1.0 if piece.end[0] - last < _SHORTEST else float(parameters_at(piece, np.array([last]))[0])
    return piece if (start, end) == (0.0, 1.0) else piece.part(start, end)


def _joined(pieces: list[Piece]) -> Iterator[Piece]:
    """The pieces with their ends brought together, and lines across the axis where they jump."""
    yield pieces[0]
    before = pieces[0].end
    for piece in pieces[1:]:
        start = piece.start
        if abs(start[1] - before[1]) > _SHORTEST:
            # The line stands upright: what lies between the two stations is less than the shortest stretch.
            start = (before[0], start[1])
            yield Line(before, start)
        else:
            start = before
        yield started_at(piece, start)
        before = piece.end
