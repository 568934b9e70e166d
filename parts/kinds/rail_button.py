"""Rail button: the turned guide that runs in the slot of the launch rail, screwed to the airframe."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import Field

from ..curve import Point
from ..errors import PartError
from ..measures import Measure
from ..params import Length
from ..part import Part, register
from ..shape import Edge, Meridian, Placed, Placement, Revolved, Role, Shape, polygon
from .rail_button_measures import rail_button_measures


@register
class RailButton(Part):
    r"""A button turned about +y, its foot on the tube, its head in the rail.

    ::

             <-- head_diameter -->
              ___________________     ^
             |        : :        |    | head_height, behind the lips of the rail
             |_____   : :   _____|    v
                   |  : :  |          ^
                   |  : :  |          | waist_height, between the lips (waist_diameter)
              _____|  : :  |_____     v
             |        : :        |    ^ foot_height (foot_diameter)
             |- - - - : : - - - -|    v
             |        : :        |    ^ standoff, a boss of the foot's diameter under it; 0 for none
         ____|________:_:________|____v___  outside of the tube, y = 0
                      <-> screw_diameter, through all of it

    Station 0 is its middle. The foot is flat, also under a boss: on a round tube it bears along one line, and its sides
    stand off; a foot of diameter d on a tube of radius R by R - sqrt(R^2 - d^2/4), to be filled with glue or sanded to
    the tube. A boss keeps the rail clear of whatever on the rocket is wider than the tube that the button stands on.
    The sizes of buttons, screws and rails differ by maker: take them from the part's own sheet, and try it in the rail.
    """

    kind: ClassVar[str] = "rail-button"
    bench_order: ClassVar[int] = 90
    on_surface: ClassVar[bool] = True
    origin: ClassVar[str] = "its middle"
    example: ClassVar[dict[str, str]] = {
        "foot_diameter": "10 mm",
        "foot_height": "2 mm",
        "waist_diameter": "5.6 mm",
        "waist_height": "3.2 mm",
        "head_diameter": "10 mm",
        "head_height": "2.4 mm",
        "screw_diameter": "4.5 mm",
        "density": "1.41 g/cm3",
    }

    foot_diameter: Annotated[Length, Field(gt=0, le=100, description="diameter of the foot, on the tube")]
    foot_height: Annotated[Length, Field(gt=0, le=100, description="height of the foot: tube to the rail's face")]
    standoff: Annotated[
        Length, Field(ge=0, le=200, description="height of a boss under the foot, of its diameter; 0 for none")
    ] = 0.0
    waist_diameter: Annotated[Length, Field(gt=0, le=100, description="diameter of the waist, between the rail's lips")]
    waist_height: Annotated[Length, Field(gt=0, le=100, description="height of the waist, over the rail's lips")]
    head_diameter: Annotated[Length, Field(gt=0, le=100, description="diameter of the head, behind the rail's lips")]
    head_height: Annotated[Length, Field(gt=0, le=100, description="height of the head")]
    screw_diameter: Annotated[Length, Field(gt=0, le=50, description="diameter of the hole for the screw")]

    def shape(self) -> Placed:
        """The button about +y, its foot on y = 0.

        Raises:
            PartError: the waist holds nothing, or the screw leaves none of it.
        """
        waist, screw = self.waist_diameter, self.screw_diameter
        for name in ("head", "foot"):
            if waist >= getattr(self, f"{name}_diameter"):
                raise PartError(
                    f"waist_diameter: {waist:g} mm is not smaller than the {name}, "
                    f"{getattr(self, f'{name}_diameter'):g} mm, so the rail does not hold it"
                )
        if screw >= waist:
            raise PartError(f"screw_diameter: {screw:g} mm is not smaller than the waist, {waist:g} mm")
        bore, narrow = screw / 2.0, waist / 2.0
        foot, head = self.foot_diameter / 2.0, self.head_diameter / 2.0
        low = self.rail_face()
        high, top = low + self.waist_height, self.extent_outwards()
        # A flat face is no fit, which is a matter of diameters.
        corners: tuple[tuple[Point, Role], ...] = (
            ((0.0, bore), "seat"),
            ((0.0, foot), ""),
            ((low, foot), "seat"),
            ((low, narrow), "fit"),
            ((high, narrow), "seat"),
            ((high, head), "fit"),
            ((top, head), ""),
            ((top, bore), "fit"),
        )
        loop = polygon(tuple(point for point, _ in corners))
        section = tuple(Edge(edge.piece, role) for edge, (_, role) in zip(loop, corners, strict=True))
        # Turned about x, then laid about y: x of the section points outwards.
        outwards = Placement(turn=(0.0, -1.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, 1.0))
        return Placed(Revolved(Meridian(section)), outwards)

    def rail_face(self) -> float:
        """How far from the tube the face of the rail is [mm]."""
        return self.standoff + self.foot_height

    def clearance_radius(self, tube_radius: float) -> float:
        """Distance from the axis of the airframe to the face of the rail [mm].

        Nothing of the rocket on the rail's side may reach as far, along all of its length: no wider tube, transition,
        boat tail, retainer or fin.

        Args:
            tube_radius: outside radius of the tube that the button stands on [mm].
        """
        return tube_radius + self.rail_face()

    def extent_outwards(self) -> float:
        """How far it stands out from the tube [mm]."""
        return self.rail_face() + self.waist_height + self.head_height

    def section_shape(self) -> Shape:
        """The button about x, its foot at the left."""
        return self.shape().shape

    def measures(self) -> tuple[Measure, ...]:
        """Every size that calipers reach."""
        return rail_button_measures(self)

    def pose(self) -> Placement:
        """Standing on its foot."""
        return Placement(turn=(1.0, 0.0, 0.0, 0.0, 0.0, -1.0, 0.0, 1.0, 0.0))

    def extent(self) -> tuple[float, float]:
        """Foremost and aftmost station of its largest diameter from its middle."""
        radius = max(self.foot_diameter, self.head_diameter) / 2.0
        return -radius, radius
