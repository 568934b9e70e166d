"""Tube: airframe, motor tube or coupler, as it lies on the bench, with the holes drilled in it."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from ..chain import Chain
from ..curve import Line
from ..errors import PartError
from ..measures import Measure
from ..params import Angle, Length
from ..part import Part, register
from ..poses import STANDING
from ..shape import Cut, Outline, Placement, RadialFeature, Revolved, circle
from .hole_circle import LEAST_WEB
from .straight import straight_tube


@register
class Tube(Part):
    r"""A straight round tube, with a row of drilled holes (vents) where wanted.

    ::

          <--------- length --------->
          ____o________________o______    o: holes at hole_positions, through this wall only
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
    hole_diameter: Annotated[Length | None, Field(gt=0, le=100, description="diameter of each drilled hole")] = None
    hole_positions: Annotated[
        tuple[Length, ...], Field(max_length=72, description="forward end to the middle of each drilled hole")
    ] = ()
    hole_roll: Annotated[
        Angle,
        Field(ge=-math.tau, le=math.tau, description="roll of the drilled holes, clockwise from the rail line"),
    ] = 0.0

    def shape(self) -> Revolved | Cut:
        """The tube about its axis, forward end at the origin.

        Raises:
            PartError: the bore is not smaller than the outside, or a hole leaves the tube or meets another.
        """
        if self.inside_diameter >= self.outside_diameter:
            raise PartError(
                f"inside_diameter: {self.inside_diameter:g} mm is not smaller than the outside diameter, "
                f"{self.outside_diameter:g} mm"
            )
        outer, inner = self.outside_diameter / 2.0, self.inside_diameter / 2.0
        body = straight_tube(outer, inner, self.length, "wetted" if self.use == "airframe" else "fit")
        holes = self._holes()
        return Cut(body, holes) if holes else body

    def _holes(self) -> tuple[RadialFeature, ...]:
        """The holes, each through the one wall at its roll.

        Raises:
            PartError: a hole leaves the tube or meets another.
        """
        if self.hole_diameter is None and not self.hole_positions:
            return ()
        if self.hole_diameter is None or not self.hole_positions:
            missing = "hole_diameter" if self.hole_diameter is None else "hole_positions"
            raise PartError(f"{missing}: is needed for the holes and not stated")
        diameter, radius, positions = self.hole_diameter, self.hole_diameter / 2.0, sorted(self.hole_positions)
        if diameter > self.inside_diameter / 2.0:
            raise PartError(
                f"hole_diameter: {diameter:g} mm is more than half the inside diameter, {self.inside_diameter:g} mm"
            )
        for position in positions:
            if min(position, self.length - position) - radius < LEAST_WEB:
                raise PartError(
                    f"hole_positions: a hole of {diameter:g} mm at {position:g} mm leaves less than {LEAST_WEB:g} mm "
                    f"to an end of the tube of {self.length:g} mm"
                )
        for first, second in pairwise(positions):
            if second - first - diameter < LEAST_WEB:
                raise PartError(
                    f"hole_positions: holes of {diameter:g} mm at {first:g} mm and {second:g} mm leave "
                    f"{second - first - diameter:.3g} mm between them; at least {LEAST_WEB:g} mm must stay"
                )
        outline, outside = Outline(circle(radius, role="fit")), self.outside_diameter / 2.0
        return tuple(
            RadialFeature(position, self.hole_roll, outline, 0.0, outside + 1.0) for position in self.hole_positions
        )

    def measures(self) -> tuple[Measure, ...]:
        """Length, both diameters, wall, and where it is drilled."""
        from .tube_measures import tube_measures  # noqa: PLC0415  it measures this kind, and so imports it

        return tube_measures(self)

    def has_section_file(self) -> bool:
        """False: a tube is not made, but measured."""
        return False

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
