"""What a person measures on a turned part, for its section drawing, in the (x, r) plane of its meridian.

A kind says *what* is measured and between which points; the figure follows from the points alone, and where it stands
on the sheet is decided by the sheets. Lengths in [mm], angles in [rad]. x runs aft from the part's origin, r outwards.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from .chain import crossings
from .curve import Arc, Floats, Line, Point, normals
from .errors import PartError
from .shape import Array, Cut, Meridian, RadialFeature, Revolved

_NOTHING = 1e-6
"""Lengths below this [mm] are none."""


@dataclass(frozen=True, slots=True)
class AxialLength:
    """A distance along the axis between two points of the section [mm].

    Extension lines start at the points, so a point on the outside keeps them out of the part.

    Attributes:
        start: one point (x, r) [mm].
        end: the other point (x, r) [mm].
        words: what it is, such as `shoulder`.
    """

    start: Point
    end: Point
    words: str = ""

    @property
    def value(self) -> float:
        """The distance [mm]."""
        return abs(self.end[0] - self.start[0])


@dataclass(frozen=True, slots=True)
class DiameterAt:
    """The diameter through one point (x, r) of the section [mm], outside or inside.

    It stands beside the view where nothing is in the way from the point to an end of the part; else a leader points at
    the point from above, which is plainer off a corner.

    Attributes:
        point: the point (x, r) [mm].
        words: what it is.
        is_round: False where the section is one across something flat, and the size a thickness about its middle.
    """

    point: Point
    words: str = ""
    is_round: bool = True

    @property
    def value(self) -> float:
        """The diameter [mm]."""
        return 2.0 * self.point[1]

    @property
    def sign(self) -> str:
        """What stands before the figure."""
        return "Ø" if self.is_round else ""


@dataclass(frozen=True, slots=True)
class Wall:
    """A wall from a point of the outside to the one of the inside that is square to it [mm]; see `wall_at`."""

    outside: Point
    inside: Point
    words: str = "wall"

    @property
    def value(self) -> float:
        """The wall [mm]."""
        return math.dist(self.outside, self.inside)


@dataclass(frozen=True, slots=True)
class RadiusOf:
    """The radius of an arc of the section, such as a rounded tip.

    Attributes:
        arc: the arc.
        words: what it is.
        share: where on the arc the leader points, from 0 at its start to 1 at its end [-].
    """

    arc: Arc
    words: str = "radius"
    share: float = 0.5

    @property
    def value(self) -> float:
        """The radius [mm]."""
        return self.arc.radius

    @property
    def point(self) -> Point:
        """The point (x, r) that the leader points at [mm]."""
        (x, r), *_ = self.arc.at(np.array([self.share])).tolist()
        return (x, r)


@dataclass(frozen=True, slots=True)
class AngleToAxis:
    """The angle that a straight stretch between two points (x, r) [mm] makes with the axis."""

    start: Point
    end: Point
    words: str = "angle to the axis"

    @property
    def value(self) -> float:
        """The angle [rad], 0 to pi/2."""
        return _lean(self.start, self.end)

    @property
    def point(self) -> Point:
        """The point (x, r) that the leader points at [mm]: off the middle, where walls are often measured."""
        (x0, r0), (x1, r1) = self.start, self.end
        return (x0 + 0.7 * (x1 - x0), r0 + 0.7 * (r1 - r0))


@dataclass(frozen=True, slots=True)
class Chamfer:
    """A bevelled corner between two points (x, r) [mm], given by its length along the axis and its angle to it."""

    start: Point
    end: Point
    words: str = "chamfer"

    @property
    def value(self) -> float:
        """Length along the axis [mm]."""
        return abs(self.end[0] - self.start[0])

    @property
    def angle(self) -> float:
        """Angle to the axis [rad], 0 to pi/2."""
        return _lean(self.start, self.end)


@dataclass(frozen=True, slots=True)
class Holes:
    """One radial hole, slot or boss, or several evenly round the axis.

    Attributes:
        feature: the first of them.
        surface: radius of the surface that it opens in [mm], where the leader points.
        words: what they are, such as `screw hole`.
        count: how many [-].
    """

    feature: RadialFeature
    surface: float
    words: str = "hole"
    count: int = 1

    @property
    def diameter(self) -> float | None:
        """Diameter [mm] where the outline is one circle, else None."""
        first, *more = self.feature.outline.outer
        round_one = not more and isinstance(first.piece, Arc) and not self.feature.outline.holes
        return 2.0 * first.piece.radius if round_one and isinstance(first.piece, Arc) else None

    @property
    def size(self) -> tuple[float, float]:
        """Size along the axis and across it [mm]."""
        left, low, right, high = self.feature.outline.box()
        return right - left, high - low

    @property
    def rolls(self) -> tuple[float, ...]:
        """Where they are round the axis, clockwise seen from behind [rad], 0 to below a full turn."""
        return tuple(sorted((self.feature.roll + math.tau * i / self.count) % math.tau for i in range(self.count)))


@dataclass(frozen=True, slots=True)
class Remark:
    """Words that point at one point (x, r) of the section [mm]."""

    point: Point
    words: str


@dataclass(frozen=True, slots=True)
class Detail:
    """A part of the section that is drawn once more, larger, where the scale makes its walls too thin to see.

    Attributes:
        centre: middle (x, r) [mm].
        reach: radius of the circle that is drawn [mm].
        words: what it shows.
    """

    centre: Point
    reach: float
    words: str = ""


Measure: TypeAlias = AxialLength | DiameterAt | Wall | RadiusOf | AngleToAxis | Chamfer | Holes | Remark | Detail


def _lean(start: Point, end: Point) -> float:
    """Angle to the axis of the straight line between two points [rad], 0 to pi/2."""
    return math.atan2(abs(end[1] - start[1]), abs(end[0] - start[0]))


def meridian_of(shape: Revolved | Cut) -> Meridian:
    """Section of a turned body, before anything is cut from it.

    Args:
        shape: the body, or what is left of it.

    Raises:
        PartError: what is cut is no turned body.
    """
    base = shape if isinstance(shape, Revolved) else shape.base
    if not isinstance(base, Revolved):
        raise PartError(f"a {type(base).__name__.lower()} is no turned body, so nothing is measured on its section")
    return base.meridian


def wall_at(meridian: Meridian, station: float, words: str = "wall") -> Wall:
    """The wall under the outside of a turned part at a station, square to the outside.

    Args:
        meridian: the part's section.
        station: where on the outside [mm].
        words: what the wall is.

    Raises:
        PartError: the part does not reach the station, or is solid there.
    """
    pieces = [edge.piece for edge in meridian.edges]

    def past(points: Floats) -> Floats:
        return np.asarray(points[:, 0] - station)

    found = [(pieces[index], np.array([t])) for index, t in crossings(pieces, past)]
    if not found:
        raise PartError(f"station: {station:g} mm is not between the ends of the part, so it has no wall there")
    piece, t = max(found, key=lambda place: float(place[0].at(place[1])[0, 1]))
    start = piece.at(t)[0]
    # The outside runs aft with the part on its right.
    inwards = -normals(piece, t)[0]

    def beside(points: Floats) -> Floats:
        away = points - start
        return np.asarray(away[:, 0] * inwards[1] - away[:, 1] * inwards[0])

    ends = [(other, other.at(np.array([s]))[0]) for i, s in crossings(pieces, beside) for other in (pieces[i],)]
    ahead = [(float((end - start) @ inwards), other, end) for other, end in ends]
    depth, other, end = min(
        (place for place in ahead if place[0] > _NOTHING), key=lambda place: place[0], default=(0.0, piece, start)
    )
    on_axis = isinstance(other, Line) and max(abs(other.start[1]), abs(other.end[1])) < _NOTHING
    if not depth or on_axis:
        raise PartError(f"station: the part is solid at {station:g} mm, so it has no wall there")
    return Wall((float(start[0]), float(start[1])), (float(end[0]), float(end[1])), words)


def holes_of(shape: Array | RadialFeature, surface: float, words: str = "hole") -> Holes:
    """What is measured of a radial feature, or of one that is repeated about the axis.

    Args:
        shape: the feature, or the array of it.
        surface: radius of the surface that it opens in [mm].
        words: what it is.

    Raises:
        PartError: what is repeated is no radial feature.
    """
    if isinstance(shape, RadialFeature):
        return Holes(shape, surface, words)
    if not isinstance(shape.shape, RadialFeature):
        raise PartError(f"a {type(shape.shape).__name__.lower()} that is repeated is no radial hole")
    return Holes(shape.shape, surface, words, shape.count)
