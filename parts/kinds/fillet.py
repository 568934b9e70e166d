"""Fillet: the two glue fillets along the root of a fin."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from ..curve import Arc, Line, Point
from ..errors import PartError
from ..fit import Derived, Surroundings, as_measured
from ..params import Length
from ..part import MaterialName, Part, register
from ..poses import STANDING
from ..shape import Edge, Fused, Loop, Outline, Placement, Plate, backwards


@register
class Fillet(Part):
    r"""Two fillets of glue, one on each side of a flat fin, along its root on a round tube; seen from behind.

    ::

                     |   |
                  :  |   |  :   radius of the free face, tangent to the fin and to the tube
                 .   |fin|   .
              . '    |   |    ' .
        __..--_______|___|_______--..__   the tube, of surface_diameter
                     <--->
                  fin_thickness                        (each runs for its length along the tube)

    On the outside of a tube the fin stands outwards from it; on the inside, the bore, it passes inwards through it.
    """

    kind: ClassVar[str] = "fillet"
    bench_order: ClassVar[int] = 61
    on_surface: ClassVar[bool] = True
    laid_at_the_bench: ClassVar[bool] = True
    spaced_round: ClassVar[bool] = True
    origin: ClassVar[str] = "the forward end, on the tube at the middle of the fin's thickness"
    example: ClassVar[dict[str, str]] = {
        "radius": "8 mm",
        "length": "120 mm",
        "fin_thickness": "4 mm",
        "surface_diameter": "78.7 mm",
    }

    radius: Annotated[Length, Field(gt=0, le=100, description="radius of the free face of each fillet")]
    length: Annotated[Length, Field(gt=0, le=3000, description="length along the root")]
    fin_thickness: Annotated[Length, Field(gt=0, le=50, description="thickness of the fin between the two")]
    surface_diameter: Annotated[
        Length, Field(gt=0, le=1000, description="diameter of the round surface that they lie on, outside or bore")
    ]
    side: Annotated[
        Literal["outside", "inside"],
        Field(description="whether they lie outside on a tube, or inside on its bore, where the fin passes inwards"),
    ] = "outside"
    material: Annotated[MaterialName | None, Field(description="what they are made of, by its name in the table")] = (
        "epoxy"
    )

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Diameter of the tube that they lie on outside; the bore that others lie on is stated."""
        found = super().derived(stated, near)
        if near.fits and not stated & {"surface_diameter", "side"}:
            found["surface_diameter"] = as_measured(near.fits, "outside")
        return found

    def shape(self) -> Fused:
        """Both fillets, each a plate along the root.

        Raises:
            PartError: the fin is thicker than the tube, or the fillets do not go into the bore.
        """
        section = self.section()
        return Fused(tuple(Plate(Outline(loop), self.length) for loop in (section, _other_side(section))))

    def section(self) -> Loop:
        """Section of the fillet on the +z side in the (y, z) plane: free face, tube, fin; y = 0 on the surface [mm].

        Raises:
            PartError: the fin is thicker than the tube, or the fillets do not go into the bore.
        """
        tube, half, r = self.surface_diameter / 2.0, self.fin_thickness / 2.0, self.radius
        if half >= tube:
            raise PartError(
                f"fin_thickness: {self.fin_thickness:g} mm must be below the diameter of the tube, "
                f"{self.surface_diameter:g} mm"
            )
        if self._apart <= half + r:
            raise PartError(
                f"radius: fillets of {r:g} mm do not go into a bore of {self.surface_diameter:g} mm beside a fin of "
                f"{self.fin_thickness:g} mm; below {(tube - half) / 2.0:g} mm they do"
            )
        way, aside, height = self._way, half + r, self._height
        root = math.sqrt(tube**2 - half**2)
        centre: Point = (height - tube, aside)
        lean, leaf = math.atan2(aside, height), math.atan2(half, root)
        on_fin: Point = (height - tube, half)
        # Seen from the centre of the free face the fin lies square below it, the tube towards the axis or away from it.
        to_tube = lean - math.pi if way > 0.0 else lean
        free = Arc(centre, r, -math.pi / 2.0, to_tube + math.pi / 2.0)
        on_tube = Arc((-tube, 0.0), tube, lean, leaf - lean)
        loop = (Edge(free), Edge(on_tube, "seat"), Edge(Line((root - tube, half), on_fin), "seat"))
        return loop if way > 0.0 else backwards(loop)

    @property
    def _way(self) -> float:
        return 1.0 if self.side == "outside" else -1.0

    @property
    def _apart(self) -> float:
        """Tube's axis to the axis of a free face [mm]: the face touches the tube on the line through both."""
        return self.surface_diameter / 2.0 + self._way * self.radius

    @property
    def _height(self) -> float:
        """Tube's axis to where a free face touches the fin [mm]: at the height of its own axis."""
        return math.sqrt(self._apart**2 - (self.fin_thickness / 2.0 + self.radius) ** 2)

    @property
    def reach(self) -> float:
        """How far they reach along the fin from the tube's surface [mm]."""
        return self._way * (self._height - self.surface_diameter / 2.0)

    def pose(self) -> Placement:
        """Standing, forward end up; nothing makes it in a pose."""
        return STANDING.at(self.length)

    def extent(self) -> tuple[float, float]:
        """First and last station from its forward end."""
        return 0.0, self.length


def _other_side(loop: Loop) -> Loop:
    """Mirrored to the other face of the fin, and run the same way round."""
    return backwards(tuple(Edge(edge.piece.mirrored(), edge.role) for edge in loop))
