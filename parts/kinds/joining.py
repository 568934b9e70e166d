"""How a shoulder is joined to its tube: held by radial screws, or released in flight; never both."""

from __future__ import annotations

import math
from typing import Annotated, Literal, NamedTuple

from pydantic import AfterValidator, Field

from ..errors import PartError
from ..hardware import ClearanceHole, HexNut, Insert, UnknownHardwareError, sized
from ..params import Count, Length
from ..part import Part
from ..shape import Array, Outline, RadialFeature, polygon
from .screws import (
    ScrewRoll,
    ShearPinCount,
    ShearPinDiameter,
    ShearPinRoll,
    Sleeve,
    screw_holes,
)

SCREWS = 3
"""Radial screws that hold a shoulder where no number is stated (common practice)."""

_THINNEST = 0.4
"""Thinnest wall that a screw's head and hole may bear on, as a part of the thread's diameter [-] (common practice)."""

_NUT_PLAY = 0.2
"""What a pocket is wider and deeper than the largest nut [mm] (common practice)."""

_BESIDE = 1.6
"""Material beside a nut's pocket [mm]: four lines of a 0.4 mm nozzle (common practice)."""


def _known_size(value: str) -> str:
    try:
        return sized(ClearanceHole, value).size
    except UnknownHardwareError as error:
        raise ValueError(str(error)) from None


class Boss(NamedTuple):
    """A ring inside the shoulder that screws go into: it prints standing without support, and stiffens the shoulder.

    Attributes:
        station: its middle [mm].
        radius: radius of its inside [mm].
        half_length: half the length of its inside along the axis [mm]; its flanks fall away at 45 degrees.
    """

    station: float
    radius: float
    half_length: float


class Joining(Part):
    """The fields of how a shoulder is joined to its tube."""

    joining: Annotated[
        Literal["held", "released"] | None,
        Field(description="held: stays on its tube, by screws; released: comes off in flight, by tape or shear pins"),
    ] = None
    screw_count: Annotated[
        Count | None,
        Field(ge=0, le=24, description="held: radial screws, evenly round the shoulder; 3 if not stated, 0 for glue"),
    ] = None
    screw_size: Annotated[
        str, AfterValidator(_known_size), Field(description="held: thread of the screws, such as M3")
    ] = "M3"
    screw_into: Annotated[
        Literal["hole", "insert", "nut"],
        Field(
            description="held: what the shoulder has for them: a clearance hole, a hole for a heat-set insert in a "
            "ring, or a pocket for a hexagon nut in a ring"
        ),
    ] = "insert"
    screw_diameter: Annotated[
        Length | None,
        Field(gt=0, le=50, description="held: diameter of the hole; that of the size in ISO 273, or of the insert"),
    ] = None
    screw_distance: Annotated[
        Length | None,
        Field(gt=0, le=1000, description="base to the screws' middles; the middle of the shoulder if not stated"),
    ] = None
    screw_roll: ScrewRoll = math.pi / 3.0
    shear_pin_count: ShearPinCount = 0
    shear_pin_diameter: ShearPinDiameter = 2.0
    shear_pin_distance: Annotated[
        Length | None,
        Field(gt=0, le=1000, description="base to the pins' middles; the middle of the shoulder if not stated"),
    ] = None
    shear_pin_roll: ShearPinRoll = math.pi / 3.0

    @property
    def screws(self) -> int:
        """Radial screws that it has [-]."""
        if self.screw_count is None:
            return SCREWS if self.joining == "held" else 0
        return self.screw_count

    @property
    def screw_hole(self) -> float:
        """Diameter of the hole for a screw [mm]: as stated, else of the insert, else ISO 273 medium.

        Raises:
            PartError: there is no insert of that size in the table.
        """
        if self.screw_diameter is not None:
            return self.screw_diameter
        return (
            self._insert().hole_diameter
            if self.screw_into == "insert"
            else sized(ClearanceHole, self.screw_size).medium
        )

    def _insert(self) -> Insert:
        try:
            return sized(Insert, self.screw_size)
        except UnknownHardwareError as error:
            raise PartError(f"screw_size: {error}") from None

    def check_joining(self, shoulder_length: float) -> None:
        """Held or released, and what goes with it.

        Raises:
            PartError: both at once, or something that does not go with the one chosen.
        """
        if self.joining == "released" and self.screws:
            raise PartError(
                f"joining: is `released`, and {self.screws} screws would keep the parachute in; leave out screw_count, "
                "or say joining = held"
            )
        if self.joining == "held" and self.shear_pin_count:
            raise PartError(
                "joining: is `held`, and shear pins are made to let go; leave out shear_pin_count, or say "
                "joining = released"
            )
        if self.screws and self.shear_pin_count:
            raise PartError(
                "joining: screws hold the shoulder and shear pins let it go; with both, the screws keep the parachute "
                "in: leave out screw_count or shear_pin_count"
            )
        if self.shear_pin_count == 1:
            raise PartError(
                "shear_pin_count: one pin lets the joint tilt and jam, and is all that holds it; at least 2, or 0 for "
                "none"
            )
        for field in ("screw_diameter", "screw_distance"):
            if not self.screws and getattr(self, field) is not None:
                raise PartError(f"{field}: there are no screws; say joining = held, or leave it out")
        if self.joining == "released" and shoulder_length == 0.0:
            raise PartError(
                "joining: a nose without a shoulder has nothing to slide out of a tube; give shoulder_length"
            )
        if shoulder_length == 0.0:
            for field, count in (("screw_count", self.screws), ("shear_pin_count", self.shear_pin_count)):
                if count:
                    word = "screws" if field == "screw_count" else "pins"
                    raise PartError(f"{field}: the {word} sit in the shoulder, and there is none; give shoulder_length")

    def boss(self, sleeve: Sleeve) -> Boss | None:
        """The ring that inserts or nuts go into; None where the screws only pass through, or the shoulder is solid.

        Raises:
            PartError: there is no such insert or nut, or no room for its ring.
        """
        if not self.screws or self.screw_into == "hole" or sleeve.wall is None:
            return None
        if self.screw_into == "insert":
            insert = self._insert()
            depth, across = insert.hole_depth, insert.boss_diameter
        else:
            nut = self._nut()
            depth = sleeve.wall + nut.height + _NUT_PLAY
            across = (nut.across_flats + _NUT_PLAY) / math.cos(math.pi / 6.0) + 2.0 * _BESIDE
        if depth >= sleeve.outside - across / 2.0:
            raise PartError(
                f"screw_into: a {self.screw_size} {self.screw_into} needs a ring {depth:g} mm thick, and the shoulder "
                f"has a radius of {sleeve.outside:g} mm; take a smaller screw_size, or screw_into = hole"
            )
        most = across - 2.0 * _BESIDE
        if self.screw_hole > most:
            raise PartError(
                f"screw_diameter: {self.screw_hole:g} mm leaves no {_BESIDE:g} mm of the ring for {self.screw_size} "
                f"{self.screw_into}s beside it; at most {most:g} mm"
            )
        distance = self.screw_place(sleeve)
        if not across / 2.0 + 1.0 <= distance <= sleeve.length - across / 2.0 - 1.0:
            raise PartError(
                f"screw_distance: the ring for {self.screw_size} {self.screw_into}s, {across:.3g} mm long, is not "
                f"wholly in the shoulder; from {across / 2.0 + 1.0:.4g} to "
                f"{sleeve.length - across / 2.0 - 1.0:.4g} mm from the base it is"
            )
        return Boss(sleeve.start + distance, sleeve.outside - max(depth, sleeve.wall), across / 2.0)

    def _nut(self) -> HexNut:
        try:
            return sized(HexNut, self.screw_size)
        except UnknownHardwareError as error:
            raise PartError(f"screw_size: {error}") from None

    def screw_place(self, sleeve: Sleeve) -> float:
        """Origin of a sleeve to the middles of the screws [mm]: as stated, else its middle."""
        return sleeve.length / 2.0 if self.screw_distance is None else self.screw_distance

    def fasteners(self, sleeve: Sleeve) -> tuple[Array, ...]:
        """Holes and pockets for screws or shear pins.

        Raises:
            PartError: they leave the shoulder, run into each other, or bear on too thin a wall.
        """
        found: list[Array] = []
        if self.screws:
            self._check_bearing(sleeve)
            found.append(screw_holes(sleeve, self.screws, self.screw_hole, self.screw_place(sleeve), self.screw_roll))
            boss = self.boss(sleeve)
            if boss is not None and self.screw_into == "nut":
                found.append(self._pockets(sleeve, boss))
        if self.shear_pin_count:
            distance = sleeve.length / 2.0 if self.shear_pin_distance is None else self.shear_pin_distance
            found.append(
                screw_holes(
                    sleeve, self.shear_pin_count, self.shear_pin_diameter, distance, self.shear_pin_roll, "shear_pin"
                )
            )
        return tuple(found)

    def _check_bearing(self, sleeve: Sleeve) -> None:
        """Whether the wall is thick enough for a screw to bear on.

        Raises:
            PartError: it is not.
        """
        if self.screw_into == "insert" or sleeve.wall is None:
            return
        least = math.ceil(10.0 * _THINNEST * float(self.screw_size.removeprefix("M"))) / 10.0
        if sleeve.wall < least:
            raise PartError(
                f"screw_size: {self.screw_size} screws need a wall of at least {least:g} mm to bear on, and "
                f"shoulder_wall is {sleeve.wall:g} mm; make it thicker, or take screw_into = insert, which has a ring"
            )

    def _pockets(self, sleeve: Sleeve, boss: Boss) -> Array:
        """Hexagon pockets open to the inside, a corner forward, so that their roofs print without support.

        Raises:
            PartError: they run into each other.
        """
        nut = self._nut()
        corner = (nut.across_flats + _NUT_PLAY) / 2.0 / math.cos(math.pi / 6.0)
        points = tuple(
            (corner * math.cos(angle), corner * math.sin(angle)) for angle in (i * math.pi / 3.0 for i in range(6))
        )
        if self.screws * 2.0 * (corner + _BESIDE) > math.tau * boss.radius:
            raise PartError(
                f"screw_count: {self.screws} pockets for {self.screw_size} nuts do not leave {2.0 * _BESIDE:g} mm "
                "between them round the shoulder"
            )
        inner = math.sqrt(max(boss.radius**2 - corner**2, 0.0))
        one = RadialFeature(
            boss.station,
            self.screw_roll,
            Outline(polygon(points, "fit")),
            max(inner - 1.0, 0.0),
            sleeve.outside - (sleeve.wall or 0.0),
        )
        return Array(one, self.screws)
