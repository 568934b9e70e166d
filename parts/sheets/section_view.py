"""What is seen of a turned part that is cut along its axis: cut faces, their outlines, edges beyond the cut.

The upper half has the radial holes and bosses, each group turned into the plane of the section, as ISO 128-3 allows for
features on a circle about the axis; the lower half is without them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import pairwise

import numpy as np

from ..chain import crossings
from ..curve import Floats, Line, Piece, Point, normals
from ..errors import PartError
from ..shape import Array, Cut, Fused, Loop, Meridian, Placed, Plate, RadialFeature, Revolved, Shape, polygon
from .hatch import Face, Joined, Less, Region, Shared, followed, hatched, less, mirrored, union

_SIDE = 0.02
"""How far beside an edge its material is looked for [mm]: more than followed curves are off, less than any wall."""

_CORNER = math.radians(8.0)
"""Least turn of a meridian [rad] that is seen as an edge."""

_NOTHING = 1e-6
"""Lengths [mm] and cosines [-] that differ by less than this are the same."""


@dataclass(frozen=True, slots=True)
class Section:
    """A part cut along its axis, in the (x, y) plane of the section [mm], x aft, y up.

    Attributes:
        upper: cut face above the axis.
        lower: cut face below it.
        faces: both cut faces of each turned body, which share nothing; together they are the upper and the lower one.
        outlines: edges of the cut faces.
        beyond: edges that are seen beyond the cut.
        hole_axes: middles of the radial holes, across their walls.
        bore_axes: middles of the holes along the axis.
        turned: whether any radial feature is turned into the section.
        thickness: mean wall of the cut faces [mm].
        left_out: how many features are neither turned nor radial, and so not drawn [-].
    """

    upper: Region
    lower: Region
    faces: tuple[tuple[Region, ...], ...]
    outlines: tuple[Piece, ...]
    beyond: tuple[Piece, ...]
    hole_axes: tuple[Line, ...]
    turned: bool
    thickness: float
    left_out: int
    bore_axes: tuple[Line, ...] = ()

    def box(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y [mm]."""
        x0, _, x1, y1 = self.upper.box()
        return x0, -y1, x1, y1


@dataclass(slots=True)
class _Found:
    """What a shape is made of."""

    meridians: list[Meridian]
    slots: list[Loop]
    axes: list[Line]
    left_out: int = 0
    along: list[Line] = field(default_factory=list)


def section_of(shape: Shape) -> Section:
    """Cut a part along its axis.

    Args:
        shape: a turned body, or one with radial features fused to it or cut from it.

    Raises:
        PartError: it has no turned body.
    """
    found = _Found([], [], [])
    upper = _region(shape, 0.0, found)
    lower = _region(shape, 0.0, None)
    if upper is None or lower is None or not found.meridians:
        raise PartError("the part has no turned body, so it has no section along its axis")
    plain, lower = lower, mirrored(lower)
    bodies = [followed(edge.piece for edge in meridian.edges) for meridian in found.meridians]
    outlines, beyond = _edges(found, upper, bodies)
    below, _ = _edges(_Found(found.meridians, [], []), plain, bodies)
    return Section(
        upper,
        lower,
        tuple((_own(upper, bodies, i), mirrored(_own(plain, bodies, i))) for i in range(len(bodies))),
        (*outlines, *(piece.mirrored() for piece in below)),
        (*beyond, *_circles(found.meridians, plain)),
        tuple(_across_wall(axis, plain) for axis in found.axes),
        bool(found.slots),
        _thickness(plain, found.meridians),
        found.left_out,
        tuple(found.along),
    )


def section_across(loop: Sequence[Piece]) -> Section:
    """The section of something flat: one closed loop, its thickness about y = 0."""
    face = followed(loop)
    _, low, _, high = face.box()
    return Section(face, mirrored(face), ((face,),), tuple(loop), (), (), False, high - low, 0)


def _region(shape: Shape, shift: float, found: _Found | None) -> Region | None:
    """The cut face above the axis of a shape moved aft by `shift` [mm]; radial features only where `found` asks."""
    match shape:
        case Revolved():
            loop = tuple(edge.piece.placed(shift, 0.0) for edge in shape.meridian.edges)
            if found is not None:
                moved = tuple(
                    type(edge)(piece, edge.role) for edge, piece in zip(shape.meridian.edges, loop, strict=True)
                )
                found.meridians.append(Meridian(moved))
            return followed(loop)
        case RadialFeature():
            return _slot(shape, shift, found) if found is not None else None
        case Array(shape=RadialFeature() as one):
            return _region(one, shift, found)
        case Placed() if _stays_on_axis(shape):
            return _region(shape.shape, shift + shape.placement.move[0], found)
        case Fused():
            members = [region for one in shape.members if (region := _region(one, shift, found)) is not None]
            return Joined(tuple(members)) if members else None
        case Cut():
            base = _region(shape.base, shift, found)
            tools = [region for one in shape.tools if (region := _tool(one, shift, found)) is not None]
            return Less(base, tuple(tools)) if base is not None and tools else base
        case _:
            if found is not None:
                found.left_out += 1
            return None


def _tool(shape: Shape, shift: float, found: _Found | None) -> Region | None:
    """What a tool takes out of the cut face: a flat one cuts along the axis."""
    if isinstance(shape, Placed) and isinstance(shape.shape, Plate) and _stays_on_axis(shape):
        return _through(shape.shape, shift + shape.placement.move[0], found) if found is not None else None
    return _region(shape, shift, found)


def _through(plate: Plate, shift: float, found: _Found) -> Region | None:
    """A hole along the axis, cut along the radius through its middle; None where that cuts into one drawn already."""
    face = followed(edge.piece for edge in plate.outline.outer)
    x, y = face.points[:-1].mean(axis=0).tolist()
    away = math.hypot(x, y)
    out = (x / away, y / away) if away > _SIDE else (1.0, 0.0)
    low, high = max(0.0, min(a for a, _ in face.spans((0.0, 0.0), out))), max(b for _, b in face.spans((0.0, 0.0), out))
    x0, x1 = shift, shift + plate.thickness
    loop = polygon(((x0, low), (x1, low), (x1, high), (x0, high)))
    corners = [tuple(edge.piece.start for edge in slot) for slot in found.slots]
    for (left, foot), _, (right, top), _ in corners:
        if left < x1 and x0 < right and foot < high + _SIDE and low < top + _SIDE:
            return None
    found.slots.append(loop)
    found.along.append(Line((x0, (low + high) / 2.0), (x1, (low + high) / 2.0)))
    return followed(edge.piece for edge in loop)


def _stays_on_axis(placed: Placed) -> bool:
    turn, (_, y, z) = placed.placement.matrix, placed.placement.move
    return abs(turn[0, 0] - 1.0) < _NOTHING and max(abs(y), abs(z)) < _NOTHING


def _slot(feature: RadialFeature, shift: float, found: _Found) -> Region | None:
    """The middle of a radial feature in the plane of the section; None where its outline does not reach the plane."""
    spans = followed(edge.piece for edge in feature.outline.outer).spans((0.0, 0.0), (1.0, 0.0))
    holes = [followed(edge.piece for edge in hole).spans((0.0, 0.0), (1.0, 0.0)) for hole in feature.outline.holes]
    spans = less(spans, union(holes))
    low, high = feature.from_radius, feature.to_radius
    faces = []
    for a, b in spans:
        x0, x1 = feature.station + shift + a, feature.station + shift + b
        loop = polygon(((x0, low), (x1, low), (x1, high), (x0, high)))
        found.slots.append(loop)
        found.axes.append(Line(((x0 + x1) / 2.0, low), ((x0 + x1) / 2.0, high)))
        faces.append(followed(edge.piece for edge in loop))
    return Joined(tuple(faces)) if faces else None


def _across_wall(axis: Line, plain: Region) -> Line:
    """The middle of a hole as far as there is material beside it."""
    (x, low), (_, high) = axis.start, axis.end
    held = [(max(a, low), min(b, high)) for a, b in plain.spans((x, 0.0), (0.0, 1.0)) if b > low and a < high]
    return Line((x, held[0][0]), (x, held[-1][1])) if held else axis


def _thickness(plain: Region, meridians: Sequence[Meridian]) -> float:
    """Area of a half section over half of the way round it [mm]."""
    x0, y0, x1, y1 = plain.box()
    step = max(x1 - x0, y1 - y0) / 200.0
    area = sum(line.length() for line in hatched([plain], step)) * step
    pieces = [edge.piece for meridian in meridians for edge in meridian.edges]
    round_it = sum(piece.length() for piece in pieces if max(piece.start[1], piece.end[1]) > _NOTHING)
    return 2.0 * area / round_it


def _own(region: Region, bodies: Sequence[Face], number: int) -> Region:
    """What belongs to one of several bodies: what two share to the later one, bosses to the first."""
    later = tuple(bodies[number + 1 :])
    face = Shared(region, bodies[number]) if number else region
    return Less(face, later) if later else face


def _body_at(bodies: Sequence[Face], point: Point) -> int:
    """The last body at a point; the first where none is."""
    return max((i for i, body in enumerate(bodies) if _inside(body, point)), default=0)


def _edges(found: _Found, region: Region, bodies: Sequence[Face]) -> tuple[list[Piece], list[Piece]]:
    """Edges of the cut face above the axis, and those of the turned bodies that a hole leaves standing beyond it."""
    outlines: list[Piece] = []
    beyond: list[Piece] = []
    sides = [edge.piece for loop in found.slots for edge in loop]
    turned = [edge.piece for meridian in found.meridians for edge in meridian.edges]
    for index, piece in enumerate([*turned, *sides]):
        if max(abs(piece.start[1]), abs(piece.end[1])) < _NOTHING:
            continue
        for part in _split(piece, sides if index < len(turned) and len(bodies) == 1 else [*turned, *sides]):
            sides_of_it = _beside(part)
            one, other = (_inside(region, point) for point in sides_of_it)
            apart = one and other and index < len(turned) and len({_body_at(bodies, p) for p in sides_of_it}) == 2
            if one != other or apart:
                outlines.append(part)
            elif index < len(turned) and not one:
                beyond.append(part)
    return outlines, beyond


def _split(piece: Piece, others: Sequence[Piece]) -> list[Piece]:
    """A piece in parts that no straight line through one of the others' straight pieces, and no curve, cuts."""
    stops = {0.0, 1.0}
    for other in others:
        if other == piece:
            continue
        if isinstance(other, Line):
            stops |= {t for _, t in crossings((piece,), partial(_left_of, other))}
        elif isinstance(piece, Line):
            length = piece.length()
            for _, t in crossings((other,), partial(_left_of, piece)):
                (x, y), *_ = other.at(np.array([t])).tolist()
                stops.add(
                    (
                        (x - piece.start[0]) * (piece.end[0] - piece.start[0])
                        + (y - piece.start[1]) * (piece.end[1] - piece.start[1])
                    )
                    / length**2
                )
    inside = sorted(t for t in stops if 0.0 <= t <= 1.0)
    return [piece.part(a, b) for a, b in pairwise(inside) if (b - a) * piece.length() > _NOTHING]


def _left_of(line: Line, points: Floats) -> Floats:
    (x, y), (dx, dy) = line.start, np.subtract(line.end, line.start).tolist()
    return np.asarray((points[:, 1] - y) * dx - (points[:, 0] - x) * dy)


def _beside(piece: Piece) -> tuple[Point, Point]:
    half = np.array([0.5])
    (x, y), (nx, ny) = piece.at(half)[0].tolist(), normals(piece, half)[0].tolist()
    return (x + _SIDE * nx, y + _SIDE * ny), (x - _SIDE * nx, y - _SIDE * ny)


def _inside(region: Region, point: Point) -> bool:
    # Any direction will do; this one is along no edge that a part is likely to have.
    return any(a < 0.0 < b for a, b in region.spans(point, (math.cos(0.7), math.sin(0.7))))


def _circles(meridians: Sequence[Meridian], plain: Region) -> Iterator[Piece]:
    """The corners of the inside, which are circles beyond the cut and seen as straight lines across it."""
    for meridian in meridians:
        loop = [edge.piece for edge in meridian.edges]
        for before, after in pairwise((*loop, loop[0])):
            x, r = before.end
            if r < _SIDE or _turn(before, after) < _CORNER:
                continue
            low = min(_below(plain, x - _SIDE / 2.0, r), _below(plain, x + _SIDE / 2.0, r))
            if low >= r - 2.0 * _SIDE:
                continue
            if low:
                yield from (Line((x, low), (x, r)), Line((x, -r), (x, -low)))
            else:
                yield Line((x, -r), (x, r))


def _turn(before: Piece, after: Piece) -> float:
    (ax, ay), (bx, by) = normals(before, np.array([1.0]))[0].tolist(), normals(after, np.array([0.0]))[0].tolist()
    return abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by))


def _below(plain: Region, x: float, r: float) -> float:
    """Radius of the material next below a radius at a station [mm]; 0 where there is none down to the axis."""
    spans = plain.spans((x, 0.0), (0.0, 1.0))
    return max((min(b, r) for a, b in spans if a < r - _SIDE), default=0.0)
