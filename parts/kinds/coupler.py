"""Coupler: the sleeve inside two tubes that joins them, with screw holes where wanted."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar

from pydantic import Field

from ..errors import PartError
from ..fit import Derived, Surroundings, coupler
from ..params import Length
from ..part import Part, register
from ..poses import STANDING
from ..shape import Cut, Placement, Revolved
from .screws import ScrewCount, ScrewDiameter, ScrewRoll, Sleeve, screw_holes
from .straight import straight_tube


@register
class Coupler(Part):
    r"""A straight round sleeve, to be made; a coupler tube that lies on the bench is a tube of that use.

    ::

          <--------- length --------->
          ____________________________
         |_______O____________________|   wall      ^
                                                    | outside_diameter,
         - - - - - - - - - - - - - - -              | in both tubes
          ____________________________              |
         |____________________________|             v

         <-------> screw_distance: forward end to the screws' middles
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
    screw_count: ScrewCount = 0
    screw_diameter: ScrewDiameter = 3.4
    screw_distance: Annotated[
        Length | None,
        Field(gt=0, le=2000, description="forward end to the screws' middles; a quarter of the length if not stated"),
    ] = None
    screw_roll: ScrewRoll = math.pi / 3.0

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Outside from the inside of the tube that it fits."""
        found = super().derived(stated, near)
        fits = near.fits
        if fits and "outside_diameter" not in stated:
            found["outside_diameter"] = coupler(fits)
        return found

    @property
    def inside_diameter(self) -> float:
        """Diameter of its bore [mm]."""
        return self.outside_diameter - 2.0 * self.wall

    def shape(self) -> Revolved | Cut:
        """The coupler about its axis, forward end at the origin.

        Raises:
            PartError: the wall leaves no bore, or the screws are not in the coupler.
        """
        outer, inner = self.outside_diameter / 2.0, self.inside_diameter / 2.0
        if inner <= 0.0:
            raise PartError(f"wall: {self.wall:g} mm is not less than the outside radius, {outer:g} mm")
        body = straight_tube(outer, inner, self.length)
        if not self.screw_count:
            return body
        distance = self.length / 4.0 if self.screw_distance is None else self.screw_distance
        sleeve = Sleeve("coupler", "the forward end", 0.0, self.length, outer, self.wall)
        return Cut(body, (screw_holes(sleeve, self.screw_count, self.screw_diameter, distance, self.screw_roll),))

    def pose(self) -> Placement:
        """Standing on its aft end."""
        return STANDING.at(self.length)

    def extent(self) -> tuple[float, float]:
        """Forward end and aft end."""
        return 0.0, self.length
