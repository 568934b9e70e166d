"""Where a straight line runs through the material of a cut face, and the hatching that follows from it.

A cut face is put together as its part is: loops, what is fused to them, what is cut from them. Only one question is
asked of it, so that holes, bosses and overlaps need no other geometry.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from ..curve import Floats, Line, Piece, Point

Spans: TypeAlias = list[tuple[float, float]]
"""Stretches of a line by their distances [mm] from its origin, in order, apart from each other."""

ANGLE = math.pi / 4.0
"""Lean of the hatching [rad]: 45 degrees to the axis (ISO 128-3)."""

_SAMPLES = 200
"""Points on a curved piece [-]; its chords stay within 0.01 mm of a nose of 1 m and 0.025 mm of one of 3 m."""

_SHORTEST = 1e-3
"""Lines of the hatching shorter than this [mm] are left out."""


@dataclass(frozen=True, slots=True)
class Face:
    """One closed loop, followed by points (n, 2) [mm] of which the last is the first."""

    points: Floats

    def spans(self, origin: Point, direction: Point) -> Spans:
        """Where the line from an origin [mm] along a unit direction [-] runs inside."""
        away = self.points - np.asarray(origin)
        side = away[:, 1] * direction[0] - away[:, 0] * direction[1]
        along = away[:, 0] * direction[0] + away[:, 1] * direction[1]
        (i,) = np.nonzero((side[:-1] < 0.0) != (side[1:] < 0.0))
        share = side[i] / (side[i] - side[i + 1])
        places = np.sort(along[i] + share * (along[i + 1] - along[i])).tolist()
        return list(zip(places[0::2], places[1::2], strict=True))

    def box(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y [mm]."""
        (x0, y0), (x1, y1) = self.points.min(axis=0).tolist(), self.points.max(axis=0).tolist()
        return x0, y0, x1, y1


@dataclass(frozen=True, slots=True)
class Joined:
    """Faces that may overlap."""

    members: tuple[Region, ...]

    def spans(self, origin: Point, direction: Point) -> Spans:
        """Where the line from an origin [mm] along a unit direction [-] runs inside any of them."""
        return union(member.spans(origin, direction) for member in self.members)

    def box(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y [mm]."""
        boxes = np.array([member.box() for member in self.members])
        (x0, y0), (x1, y1) = boxes[:, :2].min(axis=0).tolist(), boxes[:, 2:].max(axis=0).tolist()
        return x0, y0, x1, y1


@dataclass(frozen=True, slots=True)
class Less:
    """A face less others."""

    base: Region
    tools: tuple[Region, ...]

    def spans(self, origin: Point, direction: Point) -> Spans:
        """Where the line from an origin [mm] along a unit direction [-] runs inside the base and no tool."""
        return less(self.base.spans(origin, direction), union(tool.spans(origin, direction) for tool in self.tools))

    def box(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y of the base [mm]."""
        return self.base.box()


@dataclass(frozen=True, slots=True)
class Shared:
    """What two faces have in common."""

    one: Region
    other: Region

    def spans(self, origin: Point, direction: Point) -> Spans:
        """Where the line from an origin [mm] along a unit direction [-] runs inside both."""
        return both(self.one.spans(origin, direction), self.other.spans(origin, direction))

    def box(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y of the first [mm]."""
        return self.one.box()


Region: TypeAlias = Face | Joined | Less | Shared


@dataclass(frozen=True, slots=True)
class Circle:
    """What a detail shows: everything inside, by its middle and radius [mm]."""

    centre: Point
    radius: float

    def spans(self, origin: Point, direction: Point) -> Spans:
        """Where the line from an origin [mm] along a unit direction [-] runs inside."""
        dx, dy = self.centre[0] - origin[0], self.centre[1] - origin[1]
        middle = dx * direction[0] + dy * direction[1]
        half = self.radius**2 - (dx * direction[1] - dy * direction[0]) ** 2
        return [(middle - math.sqrt(half), middle + math.sqrt(half))] if half > 0.0 else []

    def holds(self, point: Point) -> bool:
        """Whether a point [mm] lies inside."""
        return math.dist(point, self.centre) <= self.radius


def followed(pieces: Iterable[Piece]) -> Face:
    """A closed loop of pieces, followed by points."""
    rows: list[Floats] = []
    for piece in pieces:
        ends = np.linspace(0.0, 1.0, 2 if isinstance(piece, Line) else _SAMPLES)
        rows.append(piece.at(ends)[:-1])
    return Face(np.vstack([*rows, rows[0][:1]]))


def mirrored(region: Region) -> Region:
    """The other half: a region seen in a mirror on the axis."""
    match region:
        case Face():
            return Face(region.points * np.array([1.0, -1.0]))
        case Joined():
            return Joined(tuple(mirrored(member) for member in region.members))
        case Less():
            return Less(mirrored(region.base), tuple(mirrored(tool) for tool in region.tools))
        case Shared():
            return Shared(mirrored(region.one), mirrored(region.other))


def hatched(
    regions: Sequence[Region], spacing: float, clip: Circle | None = None, angle: float = ANGLE
) -> tuple[Line, ...]:
    """Parallel lines over regions that do not overlap.

    Args:
        regions: the faces; the lines run on from one into the next.
        spacing: distance of two lines, square to them [mm].
        clip: circle outside of which nothing is drawn.
        angle: their lean to the axis [rad].
    """
    c, s = math.cos(angle), math.sin(angle)
    boxes = [region.box() for region in regions]
    if clip:
        (x, y), r = clip.centre, clip.radius
        boxes = [(x - r, y - r, x + r, y + r)]
    # Distance of a corner from the line through the origin, to its left.
    off = [c * y - s * x for x0, y0, x1, y1 in boxes for x in (x0, x1) for y in (y0, y1)]
    first, last = math.ceil(min(off) / spacing), math.floor(max(off) / spacing)
    lines: list[Line] = []
    for number in range(first, last + 1):
        # Half a spacing off the origin, so that no line runs through a tip on the axis.
        origin = (-s * (number + 0.5) * spacing, c * (number + 0.5) * spacing)
        spans = union(region.spans(origin, (c, s)) for region in regions)
        for a, b in both(spans, clip.spans(origin, (c, s))) if clip else spans:
            if b - a > _SHORTEST:
                lines.append(Line((origin[0] + a * c, origin[1] + a * s), (origin[0] + b * c, origin[1] + b * s)))
    return tuple(lines)


def union(several: Iterable[Spans]) -> Spans:
    """Stretches that any has."""
    found: Spans = []
    for a, b in sorted(span for spans in several for span in spans):
        if found and a <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], b))
        else:
            found.append((a, b))
    return found


def less(spans: Spans, taken: Spans) -> Spans:
    """Stretches of the first without those of the second."""
    found: Spans = []
    for a, b in spans:
        stops = [a, *(min(max(x, a), b) for span in taken for x in span), b]
        found += [(p, q) for p, q in list(pairwise(stops))[::2] if q > p]
    return found


def both(one: Spans, other: Spans) -> Spans:
    """Stretches that both have."""
    return [(max(a, p), min(b, q)) for a, b in one for p, q in other if max(a, p) < min(b, q)]
