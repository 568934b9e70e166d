"""Items that occupy the same place.

What is turned about the axis is compared by its section, exactly and without a mesh; everything else by meshes, and
those only where the room that two solids take up meets.

How deep an overlap is: that of the deepest separate piece of the shared material, which is the smallest of the lengths
that it has. For two turned solids these are the greatest length of its section along the axis and along the radius, and
four areas of the section over its perimeter; for others its extent along the axis, its smallest width across the axis,
and six volumes over its surface. The last is at least the smallest side of any rectangle or box, and keeps a thin bent
sheet from counting as deep as its bends.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..parts.curve import Floats
from ..parts.kinds import Fin, RailButton, Tube
from ..parts.readers.integrals import box
from ..parts.readers.mesh import Mesh, shared_pieces
from ..parts.shape import Outline, Placed, Plate, Shape, circle, moved
from .bands import Band, Overlap, bands, turned_overlap
from .circumstances import Circumstances
from .joints import MEETING
from .limits import Check
from .motor import Motor
from .rocket import Item, Rocket

LEAST = 0.05
"""Overlaps that are not deeper than this [mm] are none: it is less than calipers tell apart."""

MOST = 100
"""Overlaps that are told [-]: where there are more, one slip is behind them, and each takes its time to find."""

_SOURCE = "sizes and stations of the design"


def interference_checks(rocket: Rocket, around: Circumstances) -> Iterator[Check]:
    """One failed check for each two things that occupy the same place; nothing where none do.

    A fin and the tube that it goes through by its tab share the slot that is still to be cut, which is no finding.
    Motors are cylinders, one of them at a time. Masses at a place have no shape, unless an envelope gives them one.

    Args:
        rocket: the parts in place.
        around: tubes, the motors to fly with, and the room that fittings such as washers and nuts take up.
    """
    worst: dict[tuple[str, str], tuple[Overlap, _Solid, _Solid]] = {}
    for first, second in _beside(tuple(_solids(rocket, around))):
        if len(worst) == MOST:
            break
        if _meant(first, second, around):
            continue
        found = _overlap(first, second)
        if found is None or found.depth <= LEAST or (_butting(first, second) and found.along <= MEETING):
            continue
        pair = (first.words, second.words)
        if pair not in worst or found.depth > worst[pair][0].depth:
            worst[pair] = (found, first, second)
    for found, first, second in worst.values():
        yield _finding(found, first, second)
    if len(worst) == MOST:
        limit = f"no overlap deeper than {LEAST:g} mm"
        note = "no more pairs were compared; put those above right first"
        yield Check("room for everything", "fail", f"{MOST} overlaps or more", limit, _SOURCE, note)


def overlap(first: Shape, second: Shape) -> Overlap | None:
    """What two shapes in one frame share; None where they share nothing.

    Args:
        first: a shape in the rocket's frame.
        second: another.
    """
    return _overlap(_Solid("", 0.0, first), _Solid("", 0.0, second))


@dataclass(frozen=True, eq=False)
class _Solid:
    """A solid in its place.

    Attributes:
        name: name of its item.
        station: where its origin lies [mm].
        shape: the solid in the rocket's frame.
        item: its item; None for a motor or an envelope.
        motor: True for a motor.
        low: how near to the axis it comes between two stations, (first, last, radius), each [mm], where that is known
            better than by its box.
    """

    name: str
    station: float
    shape: Shape
    item: Item | None = None
    motor: bool = False
    low: tuple[tuple[float, float, float], ...] = ()

    @property
    def words(self) -> str:
        return f"{self.name} at {self.station:.8g} mm"

    @cached_property
    def box(self) -> tuple[Floats, Floats]:
        return box(self.shape)

    @cached_property
    def bands(self) -> tuple[Band, ...] | None:
        return bands(self.shape)

    @cached_property
    def rooms(self) -> tuple[tuple[float, float, float, float], ...]:
        """Ranges that hold it, as first and last station, least and greatest radius [mm]."""
        if self.bands is not None:
            return tuple((band.first, band.last, min(band.inner), max(band.outer)) for band in self.bands)
        low, high = self.box
        nearest = np.maximum(np.maximum(low[1:], -high[1:]), 0.0)
        farthest = np.maximum(np.abs(low[1:]), np.abs(high[1:]))
        far = math.hypot(float(farthest[0]), float(farthest[1]))
        if self.low:
            return tuple((first, last, radius, far) for first, last, radius in self.low)
        return ((float(low[0]), float(high[0]), math.hypot(float(nearest[0]), float(nearest[1])), far),)


def _solids(rocket: Rocket, around: Circumstances) -> Iterator[_Solid]:
    for item in rocket.items:
        part = item.part
        if part is None:
            continue
        shape = part.shape()
        stations = [station for station in item.stations for _ in (item.rolls() if part.on_surface else (0.0,))]
        for station, placement in zip(stations, item.placements(), strict=True):
            low = _fin_rooms(part, station, item.radius) if isinstance(part, Fin) else ()
            yield _Solid(item.name, station, Placed(shape, placement), item, low=low)
    for motor in around.motors:
        yield _Solid(motor.name, motor.forward_end, _cylinder(motor), motor=True)
    for envelope in around.envelopes:
        yield _Solid(envelope.name, envelope.station, envelope.shape())


def _beside(solids: Sequence[_Solid]) -> Iterator[tuple[_Solid, _Solid]]:
    """Every two whose boxes meet, in their order."""
    if not solids:
        return
    low, high = (np.array([solid.box[side] for solid in solids]) for side in (0, 1))
    for index, first in enumerate(solids):
        rest = slice(index + 1, None)
        meet = np.all(np.minimum(high[index], high[rest]) - np.maximum(low[index], low[rest]) > 0.0, axis=1)
        for other in np.flatnonzero(meet):
            yield first, solids[index + 1 + int(other)]


def _cylinder(motor: Motor) -> Shape:
    return Placed(Plate(Outline(circle(motor.diameter / 2.0)), motor.length), moved(motor.forward_end))


def _fin_rooms(fin: Fin, station: float, radius: float) -> tuple[tuple[float, float, float], ...]:
    first, last = fin.extent()
    blade = (station + first, station + last, radius)
    start, end = station + fin.tab_position, station + fin.tab_position + fin.tab_length
    return (blade, (start, end, max(radius - fin.tab_depth, 0.0))) if fin.tab_length else (blade,)


def _meant(first: _Solid, second: _Solid, around: Circumstances) -> bool:
    """True for two that share a place on purpose, or never fly together."""
    if first.motor and second.motor:
        return True
    if _laid_on(first, second) or _laid_on(second, first):
        return True
    if first.item is None and second.item is None and first.name == second.name:
        return True
    return _through(first, second, around) or _through(second, first, around)


def _laid_on(glue: _Solid, other: _Solid) -> bool:
    """True for glue and what it is laid on, which it takes the form of: fins, tubes, rings, not another fillet."""
    item, on = glue.item, other.item
    if item is None or item.part is None or not item.part.laid_at_the_bench:
        return False
    if on is None or on.part is None or isinstance(on.part, RailButton):
        return False
    return not on.part.laid_at_the_bench or (item.beside is not None and item.beside is on.beside and item is not on)


def _through(fin: _Solid, tube: _Solid, around: Circumstances) -> bool:
    """True for a fin, or a button, and the tube that it stands on."""
    standing, held = fin.item, tube.item
    if standing is None or held is None or not isinstance(standing.part, Fin | RailButton):
        return False
    if not isinstance(held.part, Tube) or held.part.use != "airframe":
        return False
    near = around.fits.get(standing.name)
    if near is not None and near.fits is not None and isinstance(standing.part, Fin):
        return near.fits.name == held.name
    return abs(held.part.outside_diameter / 2.0 - standing.radius) <= MEETING


def _butting(first: _Solid, second: _Solid) -> bool:
    """True for two with skin in the air stream, whose ends meet within the precision of a station."""
    return all(one.item is not None and one.item.part is not None and one.item.part.skin() for one in (first, second))


def _finding(found: Overlap, first: _Solid, second: _Solid) -> Check:
    alike = first.words == second.words
    name = f"two of {first.words}" if alike else f"{first.words} and {second.words}"
    return Check(
        f"{name}: same place",
        "fail",
        f"{found.depth:.2f} mm",
        f"no overlap deeper than {LEAST:g} mm",
        _SOURCE,
        f"both are from {found.first:.2f} to {found.last:.2f} mm; move one of them, or change a size",
    )


def _overlap(first: _Solid, second: _Solid) -> Overlap | None:
    (low, high), (other_low, other_high) = first.box, second.box
    if bool(np.any(np.minimum(high, other_high) - np.maximum(low, other_low) <= 0.0)):
        return None
    if first.bands is not None and second.bands is not None:
        return turned_overlap(first.bands, second.bands)
    if not any(_meet(room, other) for room in first.rooms for other in second.rooms):
        return None
    return _meshed_overlap(first.shape, second.shape)


def _meet(room: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    along = min(room[1], other[1]) - max(room[0], other[0])
    across = min(room[3], other[3]) - max(room[2], other[2])
    return min(along, across) > LEAST


def _meshed_overlap(first: Shape, second: Shape) -> Overlap | None:
    found = [_piece_of_mesh(piece) for piece in shared_pieces(first, second)]
    return max(found, key=lambda one: one.depth, default=None)


def _piece_of_mesh(piece: Mesh) -> Overlap:
    points = piece.vertices
    first, last = float(points[:, 0].min()), float(points[:, 0].max())
    a, b, c = (points[piece.triangles[:, corner]] for corner in range(3))
    surface = float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()) / 2.0
    ball = 6.0 * piece.moments().volume / surface
    return Overlap(min(last - first, _width(points[:, 1:]), ball), last - first, first, last)


def _width(points: Floats) -> float:
    """Smallest distance between two parallel lines that hold the points (n, 2) between them [mm]."""
    hull = np.array(_hull(points))
    sides = np.roll(hull, -1, axis=0) - hull
    lengths = np.linalg.norm(sides, axis=1)
    if len(hull) < 3 or not lengths.all():
        return 0.0
    normals = np.column_stack([-sides[:, 1], sides[:, 0]]) / lengths[:, None]
    reach = hull @ normals.T
    return float((reach.max(axis=0) - reach.min(axis=0)).min())


def _hull(points: Floats) -> list[tuple[float, float]]:
    """Corners of the smallest convex polygon that holds the points (n, 2), anticlockwise (monotone chain)."""
    ordered = sorted({(float(x), float(y)) for x, y in points})
    sides: list[list[tuple[float, float]]] = []
    for run in (ordered, ordered[::-1]):
        side: list[tuple[float, float]] = []
        for x, y in run:
            while len(side) > 1:
                (x0, y0), (x1, y1) = side[-2:]
                if (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) > 0.0:
                    break
                side.pop()
            side.append((x, y))
        sides.append(side[:-1])
    return [*sides[0], *sides[1]]
