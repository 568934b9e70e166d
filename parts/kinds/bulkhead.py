"""Bulkhead: a closed disc, or two discs glued together of which the smaller enters a coupler or tube."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from ..curve import Arc
from ..errors import PartError
from ..fit import Derived, Surroundings, bulkhead, large_disc
from ..marks import Diameter, Guide, Mark
from ..params import Length
from ..part import CutPiece, Part, register
from ..poses import FLAT
from ..shape import Fused, Outline, Placed, Placement, Plate, moved
from .hole_circle import LEAST_WEB, Disc, HoleCircle, HoleCircleDiameter, HoleDiameter, HoleRolls, from_behind


@register
class Bulkhead(Part):
    r"""A flat disc, plain or stepped, with a hole for an eyebolt and others where wanted.

    ::

          plain      step_faces = forward    step_faces = aft      forward is to the left
          _____            _____              _____
         |     |          |     |            |     |          ^
         |     |      ____|     |            |     |____      |                  ^
         |     |     |    |     |            |     |    |     |                  |
         |=====|     |====|=====|            |=====|====|     | outside_         | step_
         |     |     |____|     |            |     |____|     | diameter         | diameter
         |_____|          |_____|            |_____|          v                  v
         <-----> thickness      =: centre_hole_diameter <--> step_thickness

    The small disc, of `step_diameter`, enters a coupler or tube; the large one seats on its end. Holes go through both.
    Station 0 is the forward face, of whichever disc comes first.
    """

    kind: ClassVar[str] = "bulkhead"
    bench_order: ClassVar[int] = 30
    example: ClassVar[dict[str, object]] = {
        "outside_diameter": "65.3 mm",
        "thickness": "6 mm",
        "centre_hole_diameter": "6.4 mm",
        "hole_diameter": "3 mm",
        "hole_circle_diameter": "44 mm",
        "hole_rolls": ("90 deg", "270 deg"),
        "material": "birch-plywood",
    }

    outside_diameter: Annotated[
        Length, Field(gt=0, le=500, description="diameter of the disc; of the large one where it is stepped")
    ]
    thickness: Annotated[Length, Field(gt=0, le=100, description="thickness of that disc's sheet, as measured")]
    step_diameter: Annotated[
        Length | None, Field(gt=0, le=500, description="diameter of the small disc, which enters a coupler or tube")
    ] = None
    step_thickness: Annotated[
        Length | None, Field(gt=0, le=100, description="thickness of the small disc's sheet, as measured")
    ] = None
    step_faces: Annotated[
        Literal["forward", "aft"] | None, Field(description="side of the large disc on which the small one is")
    ] = None
    centre_hole_diameter: Annotated[
        Length | None, Field(gt=0, le=200, description="diameter of the hole in the middle, for an eyebolt")
    ] = None
    hole_diameter: HoleDiameter = None
    hole_circle_diameter: HoleCircleDiameter = None
    hole_rolls: HoleRolls = ()

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Sizes from the tube that it closes and the airframe that it must slide into.

        Plain: the disc from the inside of the tube that it fits. Stepped, which any stated field of the step makes it:
        the small disc from the inside of the coupler that it fits, the large one from that coupler's outside, but no
        larger than slides into the airframe, the tube `around`.
        """
        found = super().derived(stated, near)
        fits, around = near.fits, near.around
        if stated.isdisjoint({"step_diameter", "step_thickness", "step_faces"}):
            if fits and "outside_diameter" not in stated:
                found["outside_diameter"] = bulkhead(fits)
            return found
        if fits and "step_diameter" not in stated:
            found["step_diameter"] = bulkhead(fits)
        large = large_disc(fits, around)
        if large and "outside_diameter" not in stated:
            found["outside_diameter"] = large
        return found

    def _step(self) -> tuple[float, float] | None:
        """Diameter and thickness of the small disc [mm]; None for a plain bulkhead.

        Raises:
            PartError: the step is half stated, or not smaller than the disc.
        """
        fields = {name: getattr(self, name) for name in ("step_diameter", "step_thickness", "step_faces")}
        missing = [name for name, value in fields.items() if value is None]
        if len(missing) == len(fields):
            return None
        if missing:
            raise PartError(f"{missing[0]}: is needed for the step and not stated")
        diameter, thickness = float(fields["step_diameter"]), float(fields["step_thickness"])
        if diameter >= self.outside_diameter:
            raise PartError(
                f"step_diameter: {diameter:g} mm is not smaller than the large disc, {self.outside_diameter:g} mm"
            )
        return diameter, thickness

    def _disc(self, diameter: float) -> Disc:
        """One disc with the holes that go through it.

        Raises:
            PartError: the hole in the middle leaves too little of the disc.
        """
        opening = self.centre_hole_diameter or 0.0
        web = (diameter - opening) / 2.0
        if opening and web < LEAST_WEB:
            raise PartError(
                f"centre_hole_diameter: {opening:g} mm in a disc of {diameter:g} mm leaves {web:.3g} mm to the edge; "
                f"at least {LEAST_WEB:g} mm must stay"
            )
        holes = HoleCircle(self.hole_diameter, self.hole_circle_diameter, self.hole_rolls)
        return Disc(diameter / 2.0, opening / 2.0, holes)

    def shape(self) -> Plate | Fused:
        """The disc, or both, forward face at the origin; roll 0 on the +y side.

        Raises:
            PartError: the step or a hole does not go with the disc.
        """
        step = self._step()
        if step is None:
            return self._plate(self.outside_diameter, self.thickness)
        small, large = self._plate(*step), self._plate(self.outside_diameter, self.thickness)
        front, rear = (small, large) if self.step_faces == "forward" else (large, small)
        return Fused((front, Placed(rear, moved(front.thickness))))

    def _plate(self, diameter: float, thickness: float) -> Plate:
        return Plate(from_behind(self._disc(diameter).outline()), thickness)

    def pose(self) -> Placement:
        """Flat on the table, the large disc below where there are two."""
        if self.step_faces != "forward":
            return FLAT
        return Placement(turn=(0.0, 1.0, 0.0, 0.0, 0.0, -1.0, -1.0, 0.0, 0.0), move=(0.0, 0.0, self.extent()[1]))

    def extent(self) -> tuple[float, float]:
        """Forward face and aft face."""
        return 0.0, self.thickness + (self.step_thickness or 0.0)

    def template(self) -> Outline | None:
        """The outline of a plain disc seen from behind, the rail line upwards; a stepped one is cut in two pieces."""
        return self._disc(self.outside_diameter).outline() if self._step() is None else None

    def sheet_thickness(self) -> float | None:
        """Thickness of the sheet [mm]; None for a stepped bulkhead, each of whose discs has its own."""
        return self.thickness if self._step() is None else None

    def marks(self) -> tuple[Mark, ...]:
        """Centre lines, the rail line, diameters of a plain disc."""
        return self._disc(self.outside_diameter).marks("disc", "eyebolt") if self._step() is None else ()

    def cut_pieces(self) -> tuple[CutPiece, ...]:
        """The disc, or the small and the large one, each seen from behind with the rail line upwards.

        The large one shows where the small one is glued to it.
        """
        step = self._step()
        if step is None:
            return super().cut_pieces()
        small, large = self._disc(step[0]), self._disc(self.outside_diameter)
        middle, reach = (0.0, 0.0), large.rim - small.rim + 9.0
        seat = (
            Guide((Arc(middle, small.rim, 0.0, math.tau),)),
            Diameter(middle, small.rim, math.radians(135.0), reach, "small disc"),
        )
        return (
            CutPiece("small disc", small.outline(), small.marks("small disc", "eyebolt"), step[1]),
            CutPiece("large disc", large.outline(), (*large.marks("large disc", "eyebolt"), *seat), self.thickness),
        )
