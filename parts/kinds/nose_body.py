"""The body of a nose: solid or hollow, its shoulder, the foot on the bed, and the vent in its skin."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field

from ..chain import Chain
from ..curve import Line, bounds
from ..errors import PartError
from ..inner_profile import inner_profile
from ..params import Angle, Length
from ..shape import Array, Edge, Loop, Outline, RadialFeature, circle
from .nose_skin import NoseSkin
from .screws import Sleeve

_TO_TUBE = 2.0
"""Least distance of the edge of a vent from the tube [mm] (common practice)."""


class NoseBody(NoseSkin):
    """The fields of a nose's body and shoulder, and what follows from them alone."""

    body: Annotated[Literal["hollow", "solid"], Field(description="hollow with a wall, or solid throughout")] = "hollow"
    wall: Annotated[Length, Field(gt=0, le=100, description="wall of the body, square to the skin")] = 1.6
    solid_tip: Annotated[
        Length, Field(ge=0, le=1000, description="length of the tip that is solid; as the wall leaves it if less")
    ] = 0.0
    shoulder_length: Annotated[Length, Field(ge=0, le=1000, description="length of the shoulder; 0 for none")] = 0.0
    shoulder_diameter: Annotated[
        Length | None, Field(gt=0, le=500, description="outside diameter of the shoulder, which enters the tube")
    ] = None
    shoulder_wall: Annotated[Length, Field(gt=0, le=100, description="wall of the shoulder, on the radius")] = 2.4
    thick_length: Annotated[
        Length,
        Field(ge=0, le=1000, description="how far ahead of the base the body is as thick as the shoulder's wall"),
    ] = 20.0
    bed_chamfer: Annotated[
        Length, Field(ge=0, le=5, description="chamfer of the shoulder's end, against an elephant's foot on the bed")
    ] = 0.6
    vent_hole_diameter: Annotated[
        Length | None, Field(gt=0, le=50, description="diameter of a hole in the skin that vents and drains the inside")
    ] = None
    vent_hole_distance: Annotated[
        Length, Field(gt=0, le=3000, description="base forward to the middle of that hole")
    ] = 30.0
    vent_hole_roll: Annotated[
        Angle, Field(ge=-math.tau, le=math.tau, description="roll of that hole, clockwise from the rail line")
    ] = 0.0

    @property
    def rear(self) -> float:
        """Last station of the nose [mm]."""
        return self.length + self.shoulder_length

    @property
    def shoulder_radius(self) -> float:
        """Radius of the shoulder's outside [mm]; 0 without one."""
        return (self.shoulder_diameter or 0.0) / 2.0

    def walls(self) -> Mapping[str, float]:
        """Body and shoulder of a hollow one."""
        if self.body == "solid":
            return {}
        return {"body": self.wall, **({"shoulder": self.shoulder_wall} if self.shoulder_length else {})}

    def sleeve(self) -> Sleeve:
        """The shoulder as what screws and pins sit in."""
        wall = self.shoulder_wall if self.body == "hollow" else None
        return Sleeve("shoulder", "the base", self.length, self.shoulder_length, self.shoulder_radius, wall)

    def rear_edges(self, opening: float) -> Loop:
        """From the base rim over the shoulder to the rear opening of radius `opening` [mm], or to the axis."""
        rim, base = self.base_radius, self.length
        if self.shoulder_length == 0.0:
            return (Edge(Line((base, rim), (base, opening)), "seat"),)
        outside, end, chamfer = self.shoulder_radius, self.rear, self.bed_chamfer
        found = [
            Edge(Line((base, rim), (base, outside)), "seat"),
            Edge(Line((base, outside), (end - chamfer, outside)), "fit"),
        ]
        if chamfer:
            found.append(Edge(Line((end - chamfer, outside), (end, outside - chamfer))))
        return (*found, Edge(Line((end, outside - chamfer), (end, opening))))

    def vent(self, skin: Chain) -> tuple[Array, ...]:
        """The hole through the skin, if it has one.

        Raises:
            PartError: it is not wholly in the skin of the cavity.
        """
        if self.vent_hole_diameter is None:
            return ()
        radius, station = self.vent_hole_diameter / 2.0, self.length - self.vent_hole_distance
        if self.body == "solid":
            raise PartError("vent_hole_diameter: a solid nose has nothing to vent; leave it out")
        inner = inner_profile(skin, self.wall)[0].start[0]
        if not max(self.solid_tip, inner) + 2.0 * radius < station <= self.length - radius - _TO_TUBE:
            raise PartError(
                f"vent_hole_distance: a hole of {self.vent_hole_diameter:g} mm at {self.vent_hole_distance:g} mm ahead "
                f"of the base is not wholly in the skin of the cavity, which begins {self.length - inner:.4g} mm ahead "
                f"of the base, or nearer to the tube than {_TO_TUBE:g} mm"
            )
        beyond = max(bounds(piece)[3] for piece in skin) + 1.0
        hole = RadialFeature(station, self.vent_hole_roll, Outline(circle(radius)), 0.0, beyond)
        return (Array(hole, 1),)
