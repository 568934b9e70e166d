"""Centering ring: the disc that holds the motor tube in the middle of the airframe."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar

from pydantic import Field

from ..curve import Line
from ..errors import PartError
from ..fit import Derived, MeasuredTube, ring_bore, ring_outside
from ..marks import CentreMark, Diameter, Guide, Label, Mark
from ..params import Angle, Length
from ..part import Part, register
from ..poses import FLAT
from ..shape import Outline, Placement, Plate, circle, hole

_LEAST_WEB = 1.0
"""Material that must stay between any hole and an edge [mm]; less would not survive sawing (common practice)."""


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
    hole_diameter: Annotated[Length | None, Field(gt=0, le=200, description="diameter of each hole")] = None
    hole_circle_diameter: Annotated[
        Length | None, Field(gt=0, le=500, description="diameter of the circle through the middles of the holes")
    ] = None
    hole_rolls: Annotated[
        tuple[Angle, ...], Field(max_length=72, description="where the holes are, clockwise from the rail line")
    ] = ()

    @classmethod
    def derived(
        cls, stated: frozenset[str], fits: MeasuredTube | None, around: MeasuredTube | None
    ) -> dict[str, Derived]:
        """Rim from the airframe's inside, bore from the motor tube's outside."""
        found = super().derived(stated, fits, around)
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
        holes = tuple(hole(self._hole_radius(), centre, "fit") for centre in self._hole_centres())
        return Outline(
            circle(self.outside_diameter / 2.0, role="fit"), (hole(self.inside_diameter / 2.0, role="fit"), *holes)
        )

    def _hole_radius(self) -> float:
        return (self.hole_diameter or 0.0) / 2.0

    def _hole_centres(self) -> tuple[tuple[float, float], ...]:
        if not self.hole_rolls:
            return ()
        if self.hole_diameter is None or self.hole_circle_diameter is None:
            missing = "hole_diameter" if self.hole_diameter is None else "hole_circle_diameter"
            raise PartError(f"{missing}: is needed for the holes and not stated")
        middle, radius = self.hole_circle_diameter / 2.0, self.hole_diameter / 2.0
        web = min(middle - radius - self.inside_diameter / 2.0, self.outside_diameter / 2.0 - middle - radius)
        if web < _LEAST_WEB:
            raise PartError(
                f"hole_circle_diameter: holes of {self.hole_diameter:g} mm on a circle of "
                f"{self.hole_circle_diameter:g} mm leave {web:.3g} mm to the nearer edge; at least {_LEAST_WEB:g} mm "
                "must stay"
            )
        rolls = sorted(roll % math.tau for roll in self.hole_rolls)
        for first, second in zip(rolls, (*rolls[1:], rolls[0] + math.tau), strict=True):
            between = 2.0 * middle * abs(math.sin((second - first) / 2.0)) - 2.0 * radius
            if len(rolls) > 1 and between < _LEAST_WEB:
                raise PartError(
                    f"hole_rolls: two holes leave {between:.3g} mm between them; at least {_LEAST_WEB:g} mm"
                )
        return tuple((middle * math.sin(roll), middle * math.cos(roll)) for roll in self.hole_rolls)

    def shape(self) -> Plate:
        """The ring as a plate, forward face at the origin; roll 0 on the +y side."""
        # The template is seen from behind with the rail line upwards: template x is -z of the part, template y is +y.
        return Plate(_from_behind(self.template()), self.thickness)

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
        rim, bore = self.outside_diameter / 2.0, self.inside_diameter / 2.0
        found: list[Mark] = [
            CentreMark((0.0, 0.0), rim + 4.0),
            Label("RAIL LINE", (0.0, rim + 7.5)),
            Guide((Line((0.0, bore), (0.0, rim)),)),
            Diameter((0.0, 0.0), rim, math.radians(315.0), 9.0, "rim"),
            Diameter((0.0, 0.0), bore, math.radians(225.0), rim - bore + 9.0, "bore"),
        ]
        centres = self._hole_centres()
        if centres:
            angle = math.atan2(centres[0][1], centres[0][0])
            reach = rim - (self.hole_circle_diameter or 0.0) / 2.0 - self._hole_radius() + 9.0
            found.append(Diameter(centres[0], self._hole_radius(), angle, reach, f"{len(centres)} holes"))
            found.extend(CentreMark(centre, self._hole_radius() + 2.0) for centre in centres)
        return tuple(found)


def _from_behind(template: Outline) -> Outline:
    """The template's (x, y) as the plate's (y, z): seen from behind, up is +y and right is -z."""
    return template.placed(0.0, 0.0, -math.pi / 2.0)
