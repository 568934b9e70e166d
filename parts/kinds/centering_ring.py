"""Centering ring: the disc that holds the motor tube in the middle of the airframe."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import Field

from ..errors import PartError
from ..fit import Derived, Surroundings, ring_bore, ring_outside
from ..marks import Mark
from ..params import Length
from ..part import Part, register
from ..poses import FLAT
from ..shape import Outline, Placement, Plate
from .hole_circle import Disc, HoleCircle, HoleCircleDiameter, HoleDiameter, HoleRolls, from_behind


@register
class CenteringRing(Part):
    r"""A flat ring, with holes for anchors where wanted.

    ::

              .-'''''-.        roll 0, the rail line, is at the top;
           .-'    o    '-.     rolls count clockwise seen from behind
          /     .---.     \
         |  o  (     )  o  |   inside_diameter: the bore over the motor tube
          \     '---'     /    outside_diameter: the rim in the airframe
           '-.    o    .-'     o: holes on hole_circle_diameter at hole_rolls
              '-.....-'
    """

    kind: ClassVar[str] = "centering-ring"
    bench_order: ClassVar[int] = 20
    example: ClassVar[dict[str, object]] = {
        "outside_diameter": "65.7 mm",
        "inside_diameter": "31.2 mm",
        "thickness": "6 mm",
        "hole_diameter": "5.5 mm",
        "hole_circle_diameter": "48.4 mm",
        "hole_rolls": ("20 deg", "70 deg"),
        "material": "birch-plywood",
    }

    outside_diameter: Annotated[Length, Field(gt=0, le=500, description="diameter of the rim")]
    inside_diameter: Annotated[Length, Field(gt=0, le=500, description="diameter of the bore")]
    thickness: Annotated[Length, Field(gt=0, le=100, description="thickness of the sheet, as measured")]
    hole_diameter: HoleDiameter = None
    hole_circle_diameter: HoleCircleDiameter = None
    hole_rolls: HoleRolls = ()

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Rim from the airframe's inside, bore from the motor tube's outside."""
        found = super().derived(stated, near)
        fits, around = near.fits, near.around
        if fits and "outside_diameter" not in stated:
            found["outside_diameter"] = ring_outside(fits)
        if around and "inside_diameter" not in stated:
            found["inside_diameter"] = ring_bore(around)
        return found

    def template(self) -> Outline:
        """Rim, bore and holes seen from behind, the rail line upwards.

        Raises:
            PartError: the bore or a hole leaves no material.
        """
        if self.inside_diameter >= self.outside_diameter:
            raise PartError(
                f"inside_diameter: the bore of {self.inside_diameter:g} mm is not smaller than the outside, "
                f"{self.outside_diameter:g} mm"
            )
        return self._disc().outline()

    def _disc(self) -> Disc:
        holes = HoleCircle(self.hole_diameter, self.hole_circle_diameter, self.hole_rolls)
        return Disc(self.outside_diameter / 2.0, self.inside_diameter / 2.0, holes)

    def shape(self) -> Plate:
        """The ring as a plate, forward face at the origin; roll 0 on the +y side."""
        return Plate(from_behind(self.template()), self.thickness)

    def pose(self) -> Placement:
        """Flat on the table, aft face up, the rail line in the +x direction."""
        return FLAT

    def extent(self) -> tuple[float, float]:
        """Forward face and aft face."""
        return 0.0, self.thickness

    def sheet_thickness(self) -> float:
        """Thickness of the sheet [mm]."""
        return self.thickness

    def marks(self) -> tuple[Mark, ...]:
        """Centre lines, the rail line, diameters."""
        return self._disc().marks("rim", "bore")
