"""Tube: airframe, motor tube or coupler, as it lies on the bench."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from ..chain import Chain
from ..curve import Line
from ..errors import PartError
from ..params import Length
from ..part import Part, register
from ..poses import STANDING
from ..shape import Edge, Meridian, Placement, Revolved, polygon


@register
class Tube(Part):
    r"""A straight round tube.

    ::

          <--------- length --------->
          ____________________________
         |____________________________|   ^                ^
                                          | inside_        | outside_
         - - - - - - - - - - - - - - -    | diameter       | diameter
          ____________________________    v                |
         |____________________________|                    v
    """

    kind: ClassVar[str] = "tube"
    bench_order: ClassVar[int] = 10
    example: ClassVar[dict[str, str]] = {
        "outside_diameter": "68.4 mm",
        "inside_diameter": "65.9 mm",
        "length": "280 mm",
        "material": "kraft-tube",
    }

    outside_diameter: Annotated[Length, Field(gt=0, le=500, description="outside diameter, mean of the readings")]
    inside_diameter: Annotated[Length, Field(gt=0, le=500, description="inside diameter, mean of the readings")]
    length: Annotated[Length, Field(gt=0, le=5000, description="length, end to end")]
    use: Annotated[
        Literal["airframe", "motor", "coupler"],
        Field(description="airframe: its outside is skin in the air stream; motor and coupler: inside another tube"),
    ] = "airframe"

    def shape(self) -> Revolved:
        """The tube about its axis, forward end at the origin.

        Raises:
            PartError: the bore is not smaller than the outside.
        """
        if self.inside_diameter >= self.outside_diameter:
            raise PartError(
                f"inside_diameter: {self.inside_diameter:g} mm is not smaller than the outside diameter, "
                f"{self.outside_diameter:g} mm"
            )
        outer, inner = self.outside_diameter / 2.0, self.inside_diameter / 2.0
        top, aft, bore, front = polygon(((0.0, outer), (self.length, outer), (self.length, inner), (0.0, inner)))
        skin = Edge(top.piece, "wetted" if self.use == "airframe" else "fit")
        return Revolved(Meridian((skin, Edge(aft.piece, "seat"), Edge(bore.piece, "fit"), Edge(front.piece, "seat"))))

    def skin(self) -> Chain:
        """The outside of an airframe tube."""
        radius = self.outside_diameter / 2.0
        return (Line((0.0, radius), (self.length, radius)),) if self.use == "airframe" else ()

    def pose(self) -> Placement:
        """Standing on its aft end."""
        return STANDING.at(self.length)

    def extent(self) -> tuple[float, float]:
        """Forward end and aft end."""
        return 0.0, self.length
