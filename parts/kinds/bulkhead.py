"""Bulkhead: a closed disc, or two discs glued together of which the smaller enters a coupler or tube."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from ..errors import PartError
from ..fit import Derived, Surroundings, bulkhead, large_disc
from ..flat_view import FlatView
from ..marks import Mark
from ..measures import Measure
from ..params import Angle, Count, Length
from ..part import CutPiece, Part, register
from ..poses import FLAT
from ..shape import Fused, Outline, Placed, Placement, Plate, Shape, moved
from ..tables import material
from .disc_features import MIDDLE, Disc, Name, Round, from_behind
from .disc_fields import (
    AlignmentDepth,
    AlignmentWidth,
    Ring,
    UBoltCircleDiameter,
    UBoltHoleDiameter,
    UBoltRoll,
    UBoltWidth,
    VentCircleDiameter,
    VentHoleCount,
    VentHoleDiameter,
    VentRoll,
    WasherDiameter,
    alignment_notch,
    bolt_holes,
    complete,
    even_holes,
    point,
    u_bolt_holes,
    washers,
)
from .disc_marks import Circle, disc_marks
from .disc_measures import disc_measures, disc_section, disc_view
from .hole_circle import LEAST_WEB, HoleCircleDiameter, HoleDiameter, HoleRolls


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

    The small disc, of `step_diameter`, enters a coupler or tube; the large one seats on its end. Holes go through both,
    and both have the vee at the rail line. A U-bolt without a circle of its own stands across the middle.
    Station 0 is the forward face, of whichever disc comes first. Printed, both discs are one piece.
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
    u_bolt_width: UBoltWidth = None
    u_bolt_hole_diameter: UBoltHoleDiameter = None
    u_bolt_circle_diameter: UBoltCircleDiameter = None
    u_bolt_roll: UBoltRoll = 0.0
    washer_diameter: WasherDiameter = None
    rod_hole_count: Annotated[Count, Field(ge=0, le=12, description="holes for threaded rods, evenly spaced")] = 0
    rod_hole_diameter: Annotated[Length | None, Field(gt=0, le=50, description="diameter of each rod's hole")] = None
    rod_circle_diameter: Annotated[
        Length | None, Field(gt=0, le=500, description="diameter of the circle through the middles of the rods")
    ] = None
    rod_roll: Annotated[
        Angle, Field(ge=-math.tau, le=math.tau, description="roll of the first rod, clockwise from the rail line")
    ] = math.pi / 2.0
    dowel_hole_count: Annotated[
        Count, Field(ge=0, le=12, description="holes for dowels or screws that hold the discs in line, evenly spaced")
    ] = 0
    dowel_hole_diameter: Annotated[Length | None, Field(gt=0, le=50, description="diameter of each dowel's hole")] = (
        None
    )
    dowel_circle_diameter: Annotated[
        Length | None, Field(gt=0, le=500, description="diameter of the circle through the middles of the dowels")
    ] = None
    dowel_roll: Annotated[
        Angle, Field(ge=-math.tau, le=math.tau, description="roll of the first dowel, clockwise from the rail line")
    ] = 0.0
    cable_hole_diameter: Annotated[
        Length | None, Field(gt=0, le=100, description="diameter of a hole that cables go through")
    ] = None
    cable_hole_distance: Annotated[
        Length | None, Field(gt=0, le=250, description="middle of the disc to the middle of the cables' hole")
    ] = None
    cable_hole_roll: Annotated[
        Angle, Field(ge=-math.tau, le=math.tau, description="roll of the cables' hole, clockwise from the rail line")
    ] = 0.0
    vent_hole_count: VentHoleCount = 0
    vent_hole_diameter: VentHoleDiameter = None
    vent_circle_diameter: VentCircleDiameter = None
    vent_roll: VentRoll = 0.0
    alignment_notch_width: AlignmentWidth = None
    alignment_notch_depth: AlignmentDepth = None
    made_by: Annotated[
        Literal["cutting", "printing"] | None,
        Field(description="how it is made; if not stated a polymer other than acrylic is printed, all else is cut"),
    ] = None

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
                found["outside_diameter"] = bulkhead(fits, near.choice)
            return found
        if fits and "step_diameter" not in stated:
            found["step_diameter"] = bulkhead(fits, near.choice)
        large = large_disc(fits, around, near.choice)
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
        eyebolt = Name("eyebolt", "", "centre_hole_diameter", "centre_hole_diameter")
        bolts = (
            *((Round(eyebolt, MIDDLE, opening / 2.0),) if opening else ()),
            *bolt_holes(self.hole_diameter, self.hole_circle_diameter, self.hole_rolls),
            *u_bolt_holes(
                self.u_bolt_width,
                self.u_bolt_hole_diameter,
                self.u_bolt_circle_diameter,
                self.u_bolt_roll,
                self.u_bolt_width,
            ),
            *even_holes(
                "rod", Ring(self.rod_hole_count, self.rod_hole_diameter, self.rod_circle_diameter, self.rod_roll)
            ),
        )
        dowels = Ring(self.dowel_hole_count, self.dowel_hole_diameter, self.dowel_circle_diameter, self.dowel_roll)
        vents = Ring(self.vent_hole_count, self.vent_hole_diameter, self.vent_circle_diameter, self.vent_roll)
        return Disc(
            diameter / 2.0,
            openings=(*bolts, *even_holes("dowel", dowels), *self._cables(), *even_holes("vent", vents)),
            notches=alignment_notch(self.alignment_notch_width, self.alignment_notch_depth, diameter / 2.0),
            washers=washers(self.washer_diameter, bolts),
        )

    def _cables(self) -> tuple[Round, ...]:
        fields = {"cable_hole_diameter": self.cable_hole_diameter, "cable_hole_distance": self.cable_hole_distance}
        if not complete("the cable hole", fields):
            return ()
        name = Name("cable hole", "", "cable_hole_distance", "cable_hole_distance")
        middle = point(self.cable_hole_distance or 0.0, self.cable_hole_roll)
        return (Round(name, middle, (self.cable_hole_diameter or 0.0) / 2.0, ""),)

    def is_printed(self) -> bool:
        """True where it is one print; else it is cut from sheet."""
        if self.made_by is not None:
            return self.made_by == "printing"
        return self.material not in (None, "acrylic") and material(self.material).is_plastic

    def outlines(self) -> tuple[Outline, ...]:
        """The disc, or the small and the large one, seen from behind, also where they are printed."""
        step = self._step()
        sizes = (self.outside_diameter,) if step is None else (step[0], self.outside_diameter)
        return tuple(self._disc(size).outline() for size in sizes)

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

    def stack(self) -> tuple[tuple[str, Disc, float], ...]:
        """What the discs are called, each disc and its thickness [mm], the forward one first."""
        step, large = self._step(), self._disc(self.outside_diameter)
        if step is None:
            return (("", large, self.thickness),)
        pair = (("small disc", self._disc(step[0]), step[1]), ("large disc", large, self.thickness))
        return pair if self.step_faces == "forward" else (pair[1], pair[0])

    def section_shape(self) -> Shape:
        """Both discs as turned bodies, with what is cut along the axis."""
        return disc_section(tuple((disc, thickness) for _, disc, thickness in self.stack()))

    def measures(self) -> tuple[Measure, ...]:
        """Diameters and thicknesses."""
        return disc_measures(self.stack())

    def has_section_file(self) -> bool:
        """Only of a print: what is cut has its templates."""
        return self.is_printed()

    def flat_views(self) -> tuple[FlatView, ...]:
        """Each disc seen from behind."""
        step = self._step()
        seats = {"large disc": (Circle("small disc", step[0] / 2.0),)} if step else {}
        return tuple(
            disc_view(word, disc, thickness, (word or "disc", ""), seats.get(word, ()))
            for word, disc, thickness in self.stack()
        )

    def pose(self) -> Placement:
        """Flat on the table, the large disc below where there are two."""
        if self.step_faces != "forward":
            return FLAT
        return Placement(turn=(0.0, 1.0, 0.0, 0.0, 0.0, -1.0, -1.0, 0.0, 0.0), move=(0.0, 0.0, self.extent()[1]))

    def extent(self) -> tuple[float, float]:
        """Forward face and aft face."""
        return 0.0, self.thickness + (self.step_thickness or 0.0)

    def template(self) -> Outline | None:
        """The outline of a plain disc seen from behind, the rail line upwards.

        A stepped bulkhead is cut in two pieces, and a printed one is not cut.
        """
        return None if self._step() or self.is_printed() else self._disc(self.outside_diameter).outline()

    def sheet_thickness(self) -> float | None:
        """Thickness of the sheet [mm]; None for a stepped one, each of whose discs has its own, and for a print."""
        return None if self._step() or self.is_printed() else self.thickness

    def marks(self) -> tuple[Mark, ...]:
        """Centre lines, the rail line, names and sizes on a plain disc."""
        if self._step() or self.is_printed():
            return ()
        return disc_marks(self._disc(self.outside_diameter), "disc", "")

    def cut_pieces(self) -> tuple[CutPiece, ...]:
        """The disc, or the small and the large one, each seen from behind with the rail line upwards.

        The large one shows where the small one is glued to it. A printed bulkhead has none: both discs are one print.
        """
        step = self._step()
        if step is None or self.is_printed():
            return super().cut_pieces()
        small, large = self._disc(step[0]), self._disc(self.outside_diameter)
        seat = (Circle("small disc", small.rim),)
        return (
            CutPiece("small disc", small.outline(), disc_marks(small, "small disc", ""), step[1]),
            CutPiece("large disc", large.outline(), disc_marks(large, "large disc", "", seat), self.thickness),
        )
