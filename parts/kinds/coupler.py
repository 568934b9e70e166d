"""Coupler: the sleeve inside two tubes that joins them, with its screws, shear pins, vents, ledge and switch band."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations, product
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from ..chain import Chain
from ..curve import Line, Point
from ..errors import PartError
from ..fit import Derived, Surroundings, as_measured, coupler
from ..measures import Measure
from ..params import Count, Length
from ..part import Part, register
from ..poses import STANDING
from ..shape import Array, Cut, Edge, Meridian, Placement, Revolved, Role, between_rolls, polygon
from ..tables import material
from .coupler_measures import coupler_measures
from .hole_circle import LEAST_WEB
from .screws import (
    ScrewCount,
    ScrewDiameter,
    ScrewRoll,
    ShearPinCount,
    ShearPinDiameter,
    ShearPinRoll,
    Sleeve,
    screw_holes,
)

Side = Literal["forward", "aft"]


@dataclass(frozen=True, slots=True)
class _Ring:
    """Radial holes evenly round the coupler; `field` is what the names of their fields begin with."""

    field: str
    words: str
    count: int
    diameter: float
    distance: float
    roll: float

    @property
    def span(self) -> tuple[float, float]:
        """First and last station of the holes [mm]."""
        return self.distance - self.diameter / 2.0, self.distance + self.diameter / 2.0

    def rolls(self) -> tuple[float, ...]:
        """Roll of each hole [rad]."""
        return tuple(self.roll + math.tau * index / self.count for index in range(self.count))


@register
class Coupler(Part):
    r"""A straight round sleeve, printed or cut from tube as its material is, with what joins and stiffens it.

    ::

          <---------------- length ---------------->
                          ___________                      ^
          _______________|           |______________       |             ^
         |____O_________________o______________v____|      | switch_     | outside_diameter,
         |              |__/                        | wall | band_       | in both tubes
         | - - - - - - - - - - - - - - - - - - - - -|      | diameter    |
         |              |__                         |      |             |
         |_________________\________________________|      |             |
         |_______________             ______________|      |             v
                         |___________|                     v
                         <-----------> switch_band_length, round the middle

         <----> screw_distance: forward end to the screws' middles (O)
         <------------------------------------> shear_pin_distance (v)
         <----------------------> vent_distance (o), the first vent on the rail line
         <--------------> seat_station: a ledge of seat_depth and seat_width in the bore

    The side that `separates` slides out of its tube in flight: screws go into the other side, shear pins into this one.
    A ply ring put in from the forward end rests on the ledge and stiffens the joint; the ledge's underside falls away
    at 45 degrees, which prints without support, so that only a printed coupler has one. A switch band is skin in the
    air stream between the two tubes: a ring of the airframe tube glued on, or printed in one with the rest, where its
    aft edge hangs over by its step and needs support.
    """

    kind: ClassVar[str] = "coupler"
    bench_order: ClassVar[int] = 40
    example: ClassVar[dict[str, str]] = {
        "outside_diameter": "65.5 mm",
        "wall": "2.4 mm",
        "length": "136 mm",
        "screw_count": "3",
        "material": "petg",
    }

    outside_diameter: Annotated[Length, Field(gt=0, le=500, description="outside diameter, which enters both tubes")]
    wall: Annotated[Length, Field(gt=0, le=100, description="wall, on the radius")]
    length: Annotated[Length, Field(gt=0, le=2000, description="length, end to end, in both tubes together")]
    separates: Annotated[
        Side | None, Field(description="side that slides out of its tube in flight; not stated where none is meant to")
    ] = None
    screw_count: ScrewCount = 0
    screw_diameter: ScrewDiameter = 3.4
    screw_distance: Annotated[
        Length | None,
        Field(
            gt=0,
            le=2000,
            description="forward end to the screws' middles; the middle of the side that stays if not stated",
        ),
    ] = None
    screw_roll: ScrewRoll = math.pi / 3.0
    shear_pin_count: ShearPinCount = 0
    shear_pin_diameter: ShearPinDiameter = 2.0
    shear_pin_distance: Annotated[
        Length | None,
        Field(
            gt=0,
            le=2000,
            description="forward end to the pins' middles; the middle of the side that separates if not stated",
        ),
    ] = None
    shear_pin_roll: ShearPinRoll = math.pi / 3.0
    vent_diameter: Annotated[
        Length | None, Field(gt=0, le=50, description="diameter of a vent; none if not stated")
    ] = None
    vent_distance: Annotated[
        Length | None,
        Field(
            gt=0, le=2000, description="forward end to the vents' middles; the middle of the switch band if not stated"
        ),
    ] = None
    vent_count: Annotated[Count, Field(ge=1, le=8, description="vents evenly round it, the first on the rail line")] = 1
    seat_station: Annotated[
        Length | None, Field(gt=0, le=2000, description="forward end to the ledge that a stiffening ring rests on")
    ] = None
    seat_depth: Annotated[
        Length | None, Field(gt=0, le=100, description="how far the ledge stands in from the bore, on the radius")
    ] = None
    seat_width: Annotated[Length | None, Field(gt=0, le=200, description="width of the ledge along the axis")] = None
    switch_band_length: Annotated[
        Length | None,
        Field(gt=0, le=2000, description="length of the switch band round the middle; none if not stated"),
    ] = None
    switch_band_diameter: Annotated[
        Length | None, Field(gt=0, le=500, description="outside diameter of the switch band, as the tubes beside it")
    ] = None

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Outside from the inside of the tube that it fits; the switch band, where it has one, from its outside."""
        found = super().derived(stated, near)
        fits = near.fits
        if fits and "outside_diameter" not in stated:
            found["outside_diameter"] = coupler(fits, near.choice)
        if fits and "switch_band_length" in stated and "switch_band_diameter" not in stated:
            found["switch_band_diameter"] = as_measured(fits, "outside")
        return found

    def walls(self) -> Mapping[str, float]:
        """One wall throughout."""
        return {"wall": self.wall}

    @property
    def screws(self) -> int:
        """Radial screws that it has [-]."""
        return self.screw_count

    @property
    def screw_hole(self) -> float:
        """Diameter of the hole for a screw [mm]."""
        return self.screw_diameter

    @property
    def inside_diameter(self) -> float:
        """Diameter of its bore [mm]."""
        return self.outside_diameter - 2.0 * self.wall

    @property
    def insertion(self) -> float:
        """Length of each side, measured from the switch band, or from the middle where there is none [mm]."""
        return (self.length - (self.switch_band_length or 0.0)) / 2.0

    @property
    def cut_from_tube(self) -> bool | None:
        """True where it is cut from tube, False where it is printed, None where its material is not stated."""
        return None if self.material is None else not material(self.material).is_plastic

    def side(self, word: Side) -> tuple[float, float]:
        """First and last station of one side [mm]."""
        return (0.0, self.insertion) if word == "forward" else (self.length - self.insertion, self.length)

    def shape(self) -> Revolved | Cut:
        """The coupler about its axis, forward end at the origin.

        Raises:
            PartError: the wall leaves no bore, or the band, the ledge or a hole does not go with the rest.
        """
        outer, inner = self.outside_diameter / 2.0, self.inside_diameter / 2.0
        if inner <= 0.0:
            raise PartError(f"wall: {self.wall:g} mm is not less than the outside radius, {outer:g} mm")
        corners: list[tuple[Point, Role]] = [((0.0, outer), "fit")]
        for line in self.skin():
            start, end = line.start[0], line.end[0]
            corners += [((start, outer), "seat"), (line.start, "wetted"), (line.end, "seat"), ((end, outer), "fit")]
        corners += [((self.length, outer), "seat"), ((self.length, inner), "fit")]
        if (ledge := self.ledge()) is not None:
            front, land, rear, rise = ledge
            top = inner - rise
            corners += [((rear, inner), ""), ((land, top), ""), ((front, top), "seat"), ((front, inner), "fit")]
        corners += [((0.0, inner), "seat")]
        loop = polygon(tuple(point for point, _ in corners))
        body = Revolved(Meridian(tuple(Edge(edge.piece, role) for edge, (_, role) in zip(loop, corners, strict=True))))
        holes = self._holes()
        return Cut(body, holes) if holes else body

    def skin(self) -> Chain:
        """The outside of the switch band; empty without one.

        Raises:
            PartError: the band is half stated, longer than the coupler, or not wider than it.
        """
        length, diameter = self.switch_band_length, self.switch_band_diameter
        if length is None and diameter is None:
            return ()
        if length is None or diameter is None:
            missing = "switch_band_length" if length is None else "switch_band_diameter"
            raise PartError(f"{missing}: is needed for the switch band and not stated")
        if length >= self.length:
            raise PartError(
                f"switch_band_length: {length:g} mm is not less than the coupler's length, {self.length:g} mm, so "
                "nothing enters the tubes"
            )
        if diameter <= self.outside_diameter:
            raise PartError(
                f"switch_band_diameter: {diameter:g} mm is not larger than the coupler, {self.outside_diameter:g} mm"
            )
        return (Line((self.insertion, diameter / 2.0), (self.insertion + length, diameter / 2.0)),)

    def ledge(self) -> tuple[float, float, float, float] | None:
        """Stations of the ledge's face, of the end of its land and of its underside, and how far it stands in [mm].

        Raises:
            PartError: the ledge is half stated, or has no place in the coupler.
        """
        names = ("seat_station", "seat_depth", "seat_width")
        missing = [name for name in names if getattr(self, name) is None]
        if len(missing) == len(names):
            return None
        if self.seat_station is None or self.seat_depth is None or self.seat_width is None:
            raise PartError(f"{missing[0]}: is needed for the ledge and not stated")
        if self.cut_from_tube:
            raise PartError(
                f"seat_station: a coupler of {self.material} is cut from tube and has no ledge; glue the ring in "
                "where it belongs"
            )
        if self.seat_depth >= self.inside_diameter / 2.0 - LEAST_WEB:
            raise PartError(
                f"seat_depth: {self.seat_depth:g} mm all but closes the bore of {self.inside_diameter:g} mm diameter"
            )
        land = self.seat_station + self.seat_width
        end = land + self.seat_depth
        if end >= self.length:
            raise PartError(
                f"seat_station: a ledge from {self.seat_station:g} mm, with its underside at 45 degrees, reaches to "
                f"{end:g} mm, not wholly in the coupler of {self.length:g} mm"
            )
        return self.seat_station, land, end, self.seat_depth

    def _rings(self) -> tuple[_Ring, ...]:
        """Every ring of holes that it has.

        Raises:
            PartError: a joint is made on the wrong side, or a place is not stated.
        """
        found: list[_Ring] = []
        if self.screw_count:
            found.append(self._screws())
        if self.shear_pin_count:
            found.append(self._shear_pins())
        if self.vent_diameter is not None:
            distance = self.vent_distance
            if distance is None and self.switch_band_length is None:
                raise PartError("vent_distance: is needed for the vents and not stated")
            middle = self.length / 2.0 if distance is None else distance
            found.append(_Ring("vent", "vents", self.vent_count, self.vent_diameter, middle, 0.0))
        elif self.vent_distance is not None:
            raise PartError("vent_diameter: is needed for the vents and not stated")
        return tuple(found)

    def _screws(self) -> _Ring:
        stays: Side = "aft" if self.separates == "forward" else "forward"
        distance = sum(self.side(stays)) / 2.0 if self.screw_distance is None else self.screw_distance
        ring = _Ring("screw", "screws", self.screw_count, self.screw_diameter, distance, self.screw_roll)
        if self.separates is not None and not _within(ring.span, self.side(stays)):
            first, last = self.side(stays)
            raise PartError(
                f"screw_distance: screws of {ring.diameter:g} mm at {distance:g} mm are not wholly in the {stays} "
                f"side, {first:g} to {last:g} mm from the forward end; the {self.separates} side separates, and screws "
                "in it would keep the parachute in"
            )
        return ring

    def _shear_pins(self) -> _Ring:
        if self.separates is None:
            raise PartError("separates: is needed for shear pins, which go into the side that separates; not stated")
        if self.shear_pin_count == 1:
            raise PartError(
                "shear_pin_count: one pin lets the joint tilt and jam, and is all that holds it; at least 2, or 0 for "
                "none"
            )
        first, last = self.side(self.separates)
        distance = (first + last) / 2.0 if self.shear_pin_distance is None else self.shear_pin_distance
        ring = _Ring(
            "shear_pin", "shear pins", self.shear_pin_count, self.shear_pin_diameter, distance, self.shear_pin_roll
        )
        if not _within(ring.span, (first, last)):
            raise PartError(
                f"shear_pin_distance: pins of {ring.diameter:g} mm at {distance:g} mm are not wholly in the "
                f"{self.separates} side, which separates, {first:g} to {last:g} mm from the forward end"
            )
        return ring

    def _holes(self) -> tuple[Array, ...]:
        """Every ring of holes as shapes.

        Raises:
            PartError: a hole leaves the coupler, or meets another, the ledge or the edge of the band.
        """
        rings, inner = self._rings(), self.inside_diameter / 2.0
        outside = max(self.outside_diameter, self.switch_band_diameter or 0.0) / 2.0
        sleeve = Sleeve("coupler", "the forward end", 0.0, self.length, outside, outside - inner)
        holes = tuple(
            screw_holes(sleeve, ring.count, ring.diameter, ring.distance, ring.roll, ring.field) for ring in rings
        )
        ledge = self.ledge()
        for ring in rings:
            first, last = ring.span
            if any(first < x < last for line in self.skin() for x in (line.start[0], line.end[0])):
                raise PartError(
                    f"{ring.field}_distance: the {ring.words} at {ring.distance:g} mm lie on an edge of the switch band"
                )
            if ledge is not None and first < ledge[2] and last > ledge[0]:
                raise PartError(
                    f"{ring.field}_distance: the {ring.words} at {ring.distance:g} mm run into the ledge, "
                    f"{ledge[0]:g} to {ledge[2]:g} mm"
                )
        for one, other in combinations(rings, 2):
            web = _apart(one, other, inner) - (one.diameter + other.diameter) / 2.0
            if web < LEAST_WEB:
                raise PartError(
                    f"{other.field}_distance: the {one.words} at {one.distance:g} mm and the {other.words} at "
                    f"{other.distance:g} mm leave {max(web, 0.0):.3g} mm between them; at least {LEAST_WEB:g} mm must "
                    "stay"
                )
        return holes

    def rings_of_holes(self) -> tuple[tuple[str, Array], ...]:
        """What each ring of holes is for, and the holes.

        Raises:
            PartError: they do not go with the coupler.
        """
        words = (ring.words if ring.count > 1 else ring.words.removesuffix("s") for ring in self._rings())
        return tuple(zip(words, self._holes(), strict=True))

    def measures(self) -> tuple[Measure, ...]:
        """Every size that calipers reach."""
        return coupler_measures(self)

    def pose(self) -> Placement:
        """Standing on its aft end."""
        return STANDING.at(self.length)

    def extent(self) -> tuple[float, float]:
        """Forward end and aft end."""
        return 0.0, self.length


def _within(span: tuple[float, float], room: tuple[float, float]) -> bool:
    return room[0] < span[0] and span[1] < room[1]


def _apart(one: _Ring, other: _Ring, bore: float) -> float:
    """Least distance between the middles of the holes of two rings, along the bore, where they are nearest [mm]."""
    turns = (between_rolls(a, b) for a, b in product(one.rolls(), other.rolls()))
    return math.hypot(one.distance - other.distance, bore * min(turns))
