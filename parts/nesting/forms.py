"""A piece as it may lie on a sheet: one form for each turn that makes a difference."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeAlias

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.affinity import rotate, translate
from shapely.geometry.base import BaseGeometry

from ..curve import Floats, Line
from ..errors import PartError
from ..shape import Outline
from .around import containing
from .convex import convex_parts, corners, no_fit
from .pieces import NestPiece, SheetStock

_FILLED = 0.3
"""Depth [mm] up to which a hollow of a rim is filled in: a smooth hollow would be as many convex parts as chords."""

_SAME = 1e-3
"""Two forms are the same where they share all but this part of their area [-]."""

SLACK = 1e-5
"""By how much more than the gap pieces are kept apart [mm], against rounding."""


_Key: TypeAlias = tuple[int, float, float, bool]
"""Which piece lies beside another, turned by how much to it, with which gap, and whether it may go into its hole."""


@dataclass(eq=False)
class Form:
    """A piece turned about its outline's origin.

    Attributes:
        turn: the turn [rad].
        polygon: what holds the turned outline [mm].
        box: smallest x and y, largest x and y of the outline itself [mm].
        family: what all forms of the piece share: where others may not lie beside it, as found so far.
    """

    turn: float
    polygon: Polygon
    box: tuple[float, float, float, float]
    family: dict[_Key, BaseGeometry]
    _turned: dict[_Key, BaseGeometry] = field(default_factory=dict)

    @cached_property
    def rim(self) -> Polygon:
        """A polygon of fewer corners that holds it, its holes filled in."""
        return _filled(self.polygon)

    @cached_property
    def solid(self) -> tuple[Floats, ...]:
        """Convex parts of it, its holes filled in."""
        return convex_parts(self.rim)

    @cached_property
    def hollow(self) -> tuple[Floats, ...]:
        """Convex parts of it with its holes."""
        return convex_parts(Polygon(self.rim.exterior, self.polygon.interiors))

    @cached_property
    def holes(self) -> tuple[Polygon, ...]:
        """Its holes."""
        return tuple(Polygon(ring) for ring in self.polygon.interiors)

    @cached_property
    def inner(self) -> tuple[float, float]:
        """A point on its material [mm]."""
        point = self.polygon.representative_point()
        return point.x, point.y

    def closed_to(self, other: Form, gap: float) -> BaseGeometry:
        """Where the origin of another form may not lie beside this one, whose own origin is (0, 0)."""
        goes_in = any(_goes_in(hole, other, gap) for hole in self.holes)
        # Turned together, two pieces keep clear of each other in the same way.
        key = (id(other.family), round((other.turn - self.turn) % math.tau, 9), gap, goes_in)
        if key not in self.family:
            found = no_fit(self.hollow if goes_in else self.solid, other.solid, gap + SLACK)
            self.family[key] = rotate(found, -self.turn, origin=(0.0, 0.0), use_radians=True)
        if key not in self._turned:
            self._turned[key] = rotate(self.family[key], self.turn, origin=(0.0, 0.0), use_radians=True)
        return self._turned[key]

    def at(self, x: float, y: float) -> Polygon:
        """Its polygon in a place [mm]."""
        return translate(self.polygon, x, y)


def _filled(polygon: Polygon) -> Polygon:
    """The rim of a polygon with shallow hollows filled in, which therefore still holds it."""
    points = corners(Polygon(polygon.exterior))
    before, after = np.roll(points, 1, axis=0), np.roll(points, -1, axis=0)
    (ax, ay), (bx, by) = (points - before).T, (after - points).T
    bulges = np.flatnonzero(ax * by - ay * bx >= 0.0)
    kept: list[Floats] = []
    for first, last in zip(bulges, (*bulges[1:], bulges[0] + len(points)), strict=True):
        # Between two corners that stand out the rim is a hollow, if there is any corner at all.
        run = points[np.arange(first, last + 1) % len(points)]
        kept.append(np.asarray(LineString(run).simplify(_FILLED, preserve_topology=False).coords)[:-1])
    found = Polygon(np.vstack(kept))
    return found if found.is_valid else Polygon(polygon.exterior)


def _goes_in(hole: Polygon, form: Form, gap: float) -> bool:
    """Whether a form may go into a hole by its width and height."""
    left, foot, right, head = hole.bounds
    wide, high = form.box[2] - form.box[0], form.box[3] - form.box[1]
    return bool(wide + 2.0 * gap < right - left and high + 2.0 * gap < head - foot)


def turns(piece: NestPiece, stock: SheetStock) -> tuple[float, ...]:
    """The turns in which a piece may lie on a sheet [rad].

    One with a grain lies with it along that of the sheet, either way. Any other lies in quarter turns, and with its
    longest straight edge along a side.
    """
    if piece.grain is not None:
        first = (stock.grain_turn - piece.grain) % math.pi
        return _tidy([first, first + math.pi])
    quarters = [k * math.pi / 2.0 for k in range(4)]
    lines = [edge.piece for edge in piece.outline.outer if isinstance(edge.piece, Line)]
    if not lines:
        return _tidy(quarters)
    longest = max(lines, key=lambda one: round(one.length(), 6))
    run = math.atan2(longest.end[1] - longest.start[1], longest.end[0] - longest.start[0])
    return _tidy([*quarters, *(quarter - run for quarter in quarters)])


def _tidy(found: list[float]) -> tuple[float, ...]:
    """Turns within a full one, each once; nothing but rounding from a quarter turn is that quarter turn."""
    tidy: list[float] = []
    for turn in found:
        turn %= math.tau
        quarter = round(turn / (math.pi / 2.0))
        if abs(turn - quarter * math.pi / 2.0) < 1e-9:
            turn = quarter % 4 * math.pi / 2.0
        if all(abs(turn - other) > 1e-9 for other in tidy):
            tidy.append(turn)
    return tuple(tidy)


def forms(piece: NestPiece, stock: SheetStock) -> tuple[Form, ...]:
    """The forms of a piece on a sheet, those left out that look like another one.

    Raises:
        PartError: the outline crosses itself.
    """
    found: list[Form] = []
    family: dict[_Key, BaseGeometry] = {}
    for turn in turns(piece, stock):
        try:
            form = Form(turn, containing(piece.outline, turn), _box(piece.outline, turn), family)
        except PartError as error:
            raise PartError(f"{piece.name}: {error}") from None
        if not any(_alike(form, other) for other in found):
            found.append(form)
    return tuple(found)


def _box(outline: Outline, turn: float) -> tuple[float, float, float, float]:
    return outline.placed(0.0, 0.0, turn).box() if turn else outline.box()


def _alike(one: Form, other: Form) -> bool:
    """Whether two forms fill the same place, whatever their holes are."""
    sizes = np.subtract(one.box[2:], one.box[:2]), np.subtract(other.box[2:], other.box[:2])
    if float(np.max(np.abs(sizes[0] - sizes[1]))) > 1e-6:
        return False
    a, b = (translate(Polygon(form.polygon.exterior), -form.box[0], -form.box[1]) for form in (one, other))
    return bool(shapely.area(shapely.symmetric_difference(a, b)) <= _SAME * a.area)
