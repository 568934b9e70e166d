"""A printed ring that slides on a tube, with notches in its faces and words sunk into its outside."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..emboss import OnWall, embossed
from ..errors import PartError
from ..shape import Edge, Meridian, Outline, RadialFeature, Revolved, Role, Shape, polygon
from .jig import length

WALL = 4.0
"""Wall of a ring on the radius [mm]: stiff enough to be round (common practice)."""

CHAMFER = 0.6
"""Chamfer at both ends of the bore [mm], which leaves the spread first layer off the tube (common practice)."""

DEEP = 0.5
"""How deep words are sunk into a wall [mm]."""

SMALLEST = 10.0
"""Smallest tube for a ring [mm]: on less there is no room for what it says."""

_HEIGHTS = (5.0, 4.5, 4.0, 3.5, 3.0, 2.5)
_PAST = 1.0


@dataclass(frozen=True, slots=True)
class Collar:
    """A plain ring about the axis, its forward face on x = 0.

    Attributes:
        bore: diameter of its bore [mm].
        length: length along the tube [mm].

    Raises:
        PartError: it is too small.
    """

    bore: float
    length: float

    def __post_init__(self) -> None:
        if self.bore < SMALLEST:
            raise PartError(f"outside: a ring is for tubes of at least {SMALLEST:g} mm, got {self.bore:.4g} mm")

    @property
    def inner(self) -> float:
        """Radius of the bore [mm]."""
        return self.bore / 2.0

    @property
    def outer(self) -> float:
        """Radius of the outside [mm]."""
        return self.inner + WALL

    def shape(self) -> Revolved:
        """The ring without anything."""
        inner, outer, long = self.inner, self.outer, self.length
        corners: tuple[tuple[tuple[float, float], Role], ...] = (
            ((0.0, inner + CHAMFER), ""),
            ((0.0, outer), ""),
            ((long, outer), ""),
            ((long, inner + CHAMFER), ""),
            ((long - CHAMFER, inner), "fit"),
            ((CHAMFER, inner), ""),
        )
        loop = polygon(tuple(point for point, _ in corners))
        return Revolved(Meridian(tuple(Edge(edge.piece, role) for edge, (_, role) in zip(loop, corners, strict=True))))

    def through(self, outline: Outline, roll: float, station: float = 0.0, outwards: float = _PAST) -> RadialFeature:
        """What cuts an outline through the wall, from inside the bore to beyond the outside [mm].

        Raises:
            PartError: the outline is too wide for the bore.
        """
        _, low, _, high = outline.box()
        half = max(-low, high)
        if half >= 0.9 * self.inner:
            raise PartError(f"size: {2.0 * half:g} mm does not go through the wall of a tube of {self.bore:.4g} mm")
        # A flat end inside the bore: its corners lie farther out than its middle.
        return RadialFeature(station, roll, outline, 0.9 * math.sqrt(self.inner**2 - half**2), self.outer + outwards)

    def notch(self, roll: float, half: float, deep: float, aft: bool = False, outwards: float = _PAST) -> RadialFeature:
        """A V in the forward or the aft face.

        Args:
            roll: where its apex lies [rad].
            half: half its width at the face [mm].
            deep: its depth [mm].
            aft: True for the aft face.
            outwards: how far beyond the ring's outside it goes [mm].
        """
        over = half * (1.0 + _PAST / deep)
        if aft:
            points = ((self.length - deep, 0.0), (self.length + _PAST, -over), (self.length + _PAST, over))
        else:
            points = ((deep, 0.0), (-_PAST, over), (-_PAST, -over))
        return self.through(Outline(polygon(points)), roll, outwards=outwards)

    def written(self, shape: Shape, words: str, station: float, roll: float, long: float, high: float) -> Shape:
        """A shape with words round its outside, as large as there is room; without them where there is too little.

        Args:
            shape: the ring with all that is done to it.
            words: one line.
            station: station of their middle [mm].
            roll: roll of their middle [rad].
            long: length of the room round the outside [mm].
            high: height of the room along the axis [mm].
        """
        for height in _HEIGHTS:
            if length(words, height) > long or height > high:
                continue
            try:
                return embossed(shape, words, OnWall(self.outer, WALL, height, station, roll), DEEP, raised=False)
            except PartError:
                # The wall is too curved for letters of this height.
                continue
        return shape


def gaps(rolls: Sequence[float]) -> tuple[tuple[float, float], ...]:
    """The gaps between rolls round the axis: roll of the middle and width of each [rad], from the first roll on."""
    ordered = sorted(roll % math.tau for roll in rolls)
    if not ordered:
        return ((math.pi, math.tau),)
    return tuple(
        ((first + last) / 2.0, last - first)
        for first, last in zip(ordered, (*ordered[1:], ordered[0] + math.tau), strict=True)
    )
