"""Solids turned about the rocket's axis as rings of material, and what two of them share."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from ..parts.curve import Arc, Line, Piece, Point, bounds
from ..parts.readers.facets import parameters
from ..parts.shape import Array, Cut, Fused, Loop, Meridian, Placed, Placement, Plate, RadialFeature, Revolved, Shape

_NONE = 1e-9
"""Lengths below this [mm] are none."""

_CHORD = 0.001
"""How far the chords that stand for a curved section may lie from it [mm]."""


@dataclass(frozen=True, slots=True)
class Band:
    """A ring of material between two stations, its inside and outside straight in section.

    Attributes:
        first: station of its forward end [mm].
        last: station of its aft end [mm].
        inner: radius of its inside at both ends [mm].
        outer: radius of its outside at both ends [mm].
    """

    first: float
    last: float
    inner: tuple[float, float]
    outer: tuple[float, float]

    def at(self, station: float) -> tuple[float, float]:
        """Radius of the inside and of the outside at a station in the band [mm]."""
        share = (station - self.first) / (self.last - self.first)
        low, high = self.inner, self.outer
        return low[0] + share * (low[1] - low[0]), high[0] + share * (high[1] - high[0])


@dataclass(frozen=True, slots=True)
class Overlap:
    """What two solids share.

    Attributes:
        depth: how deep its deepest piece is [mm]; of a plain ring, the smaller of its length and its height.
        along: length of that piece along the axis [mm].
        first: its foremost station [mm].
        last: its aftmost station [mm].
    """

    depth: float
    along: float
    first: float
    last: float


def bands(shape: Shape) -> tuple[Band, ...] | None:
    """The material of a shape that is turned about the rocket's axis; None for any other.

    Holes and notches beside the axis count as closed: what they leave goes round at the same stations and radii. Exact
    for straight sections and flat discs; curved sections within a thousandth of a millimetre.
    """
    match shape:
        case Revolved():
            return _section(shape.meridian)
        case Plate():
            return _disc(shape)
        case Placed():
            placement, own = shape.placement, bands(shape.shape)
            shift = placement.move[0]
            on_axis = placement.turn[0] > 1.0 - _NONE and math.hypot(*placement.move[1:]) < _NONE
            if own is None or not on_axis:
                return None
            return tuple(Band(band.first + shift, band.last + shift, band.inner, band.outer) for band in own)
        case Fused():
            members = [bands(member) for member in shape.members]
            return None if None in members else tuple(band for some in members for band in some or ())
        case Cut():
            return bands(shape.base) if all(_beside(tool) for tool in shape.tools) else None
        case _:
            return None


def _beside(tool: Shape) -> bool:
    """True for a tool that takes no whole ring away: a hole in a wall, or one beside the axis."""
    match tool:
        case Array():
            return _beside(tool.shape)
        case RadialFeature():
            return True
        case Placed(shape=Plate() as plate, placement=Placement(move=move)):
            y0, z0, y1, z1 = plate.outline.box()
            return not (y0 + move[1] <= 0.0 <= y1 + move[1] and z0 + move[2] <= 0.0 <= z1 + move[2])
        case Plate():
            y0, z0, y1, z1 = tool.outline.box()
            return not (y0 <= 0.0 <= y1 and z0 <= 0.0 <= z1)
        case _:
            return False


def _disc(plate: Plate) -> tuple[Band, ...] | None:
    rim = _radius(plate.outline.outer)
    if rim is None:
        return None
    bore = max((radius for loop in plate.outline.holes if (radius := _radius(loop)) is not None), default=0.0)
    return (Band(0.0, plate.thickness, (bore, bore), (rim, rim)),)


def _radius(loop: Loop) -> float | None:
    """Radius of a loop that is a circle about the axis, but for notches in it [mm]; None for any other."""
    arcs = [piece for edge in loop if isinstance(piece := edge.piece, Arc) and math.hypot(*piece.centre) < _NONE]
    if len({round(arc.radius, 6) for arc in arcs}) != 1:
        return None
    boxes = [bounds(edge.piece) for edge in loop]
    # Wide notches may leave little of the circle; what goes round the axis is still no hole beside it.
    goes_round = all(min(box[axis] for box in boxes) < 0.0 < max(box[axis + 2] for box in boxes) for axis in (0, 1))
    return arcs[0].radius if goes_round else None


@lru_cache(maxsize=256)
def _section(meridian: Meridian) -> tuple[Band, ...]:
    """Bands of a section: between two neighbouring corners its edges lie in pairs, inside and outside."""
    lines = [line for edge in meridian.edges for line in _lines(edge.piece)]
    stations = sorted({x for start, end in lines for x in (start[0], end[0])})
    kept = stations[:1]
    kept += [x for before, x in pairwise(stations) if x - before > _NONE]
    found: list[Band] = []
    for first, last in pairwise(kept):
        middle = (first + last) / 2.0
        across = [line for line in lines if min(line[0][0], line[1][0]) < middle < max(line[0][0], line[1][0])]
        across.sort(key=lambda line: _height(line, middle))
        for low, high in zip(across[::2], across[1::2], strict=True):
            found.append(
                Band(
                    first, last, (_height(low, first), _height(low, last)), (_height(high, first), _height(high, last))
                )
            )
    return tuple(found)


def _lines(piece: Piece) -> Iterator[tuple[Point, Point]]:
    if isinstance(piece, Line):
        yield piece.start, piece.end
        return
    points = piece.at(parameters(piece, _CHORD))
    for start, end in pairwise(points.tolist()):
        yield (start[0], start[1]), (end[0], end[1])


def _height(line: tuple[Point, Point], station: float) -> float:
    (x0, r0), (x1, r1) = line
    return r0 + (r1 - r0) * (station - x0) / (x1 - x0)


@dataclass(frozen=True, slots=True)
class _Slice:
    """A stretch of what two sections share: straight sides at `low` and `high` between two stations, all [mm]."""

    first: float
    last: float
    low: tuple[float, float]
    high: tuple[float, float]

    def at_radius(self, radius: float) -> tuple[float, float] | None:
        """First and last station at which a radius lies within it."""
        start, end = 0.0, 1.0
        for sign, (at_first, at_last) in ((1.0, self.low), (-1.0, self.high)):
            # Inside where sign (radius - side) >= 0, which is linear along the slice.
            a, b = sign * (radius - at_first), sign * (radius - at_last)
            if a < 0.0 and b < 0.0:
                return None
            if a < 0.0:
                start = max(start, a / (a - b))
            elif b < 0.0:
                end = min(end, a / (a - b))
        length = self.last - self.first
        return (self.first + start * length, self.first + end * length) if end > start else None


def turned_overlap(some: tuple[Band, ...], others: tuple[Band, ...]) -> Overlap | None:
    """What two turned solids in one frame share; None where they share nothing."""
    slices = [piece for band in some for other in others for piece in _shared(band, other)]
    found = [_deep(piece) for piece in _pieces(slices)]
    return max(found, key=lambda one: one.depth, default=None)


def _shared(band: Band, other: Band) -> Iterator[_Slice]:
    """What two bands share, cut wherever the side that bounds it changes."""
    first, last = max(band.first, other.first), min(band.last, other.last)
    if last - first <= _NONE or max(*band.outer) <= min(other.inner) or max(*other.outer) <= min(band.inner):
        return
    ends = [(*band.at(x), *other.at(x)) for x in (first, last)]
    stations = {first, last}
    # The thickness is the least of four differences of straight sides; it turns only where two of them cross.
    for i, j in ((0, 2), (1, 3), (1, 2), (3, 0)):
        a, b = (end[i] - end[j] for end in ends)
        if a * b < 0.0:
            stations.add(first + (last - first) * a / (a - b))
    ordered = sorted(stations)
    for start, end in pairwise(ordered):
        sides = [(*band.at(x), *other.at(x)) for x in (start, end)]
        low = [max(inner, other_inner) for inner, _, other_inner, _ in sides]
        high = [min(outer, other_outer) for _, outer, _, other_outer in sides]
        if high[0] + high[1] > low[0] + low[1] + 2.0 * _NONE and end - start > _NONE:
            yield _Slice(start, end, (low[0], low[1]), (high[0], high[1]))


def _pieces(slices: list[_Slice]) -> list[list[_Slice]]:
    """Slices that hang together."""
    slices = sorted(slices, key=lambda one: one.first)
    found: list[list[_Slice]] = []
    for one in slices:
        touching = [piece for piece in found if any(_touch(one, other) for other in piece)]
        found = [piece for piece in found if piece not in touching]
        found.append([member for piece in touching for member in piece] + [one])
    return found


def _touch(one: _Slice, other: _Slice) -> bool:
    if abs(one.first - other.last) <= _NONE:
        return min(one.high[0], other.high[1]) - max(one.low[0], other.low[1]) > 0.0
    if min(one.last, other.last) - max(one.first, other.first) <= _NONE:
        return False
    return min(max(one.high), max(other.high)) - max(min(one.low), min(other.low)) >= -_NONE


def _deep(piece: list[_Slice]) -> Overlap:
    """Depth of a piece: its greatest lengths along radius and axis, but no more than four areas over its perimeter."""
    first, last = min(one.first for one in piece), max(one.last for one in piece)
    across = max(high - low for one in piece for low, high in zip(one.low, one.high, strict=True))
    radii = sorted({radius for one in piece for radius in (*one.low, *one.high)})
    middles = [(a + b) / 2.0 for a, b in pairwise(radii)]
    along = max(_longest(piece, radius) for radius in (*radii, *middles))
    area = sum((one.last - one.first) * (sum(one.high) - sum(one.low)) / 2.0 for one in piece)
    return Overlap(min(across, along, 4.0 * area / _perimeter(piece)), along, first, last)


def _perimeter(piece: list[_Slice]) -> float:
    """Length of the edge of a piece [mm]; where two slices meet there is none."""
    total = 0.0
    for one in piece:
        length = one.last - one.first
        total += math.hypot(length, one.low[1] - one.low[0]) + math.hypot(length, one.high[1] - one.high[0])
        total += one.high[0] - one.low[0] + one.high[1] - one.low[1]
        for other in piece:
            if abs(one.first - other.last) <= _NONE:
                total -= 2.0 * max(min(one.high[0], other.high[1]) - max(one.low[0], other.low[1]), 0.0)
    return total


def _longest(piece: list[_Slice], radius: float) -> float:
    """Longest unbroken stretch of a piece at a radius [mm]."""
    longest, start, end = 0.0, math.inf, -math.inf
    for first, last in sorted(span for one in piece if (span := one.at_radius(radius)) is not None):
        start = start if first <= end + _NONE else first
        end = max(end, last)
        longest = max(longest, end - start)
    return longest
