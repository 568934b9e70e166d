"""Centering ring: the disc that holds the motor tube, or a cluster of them, in the airframe."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar

from pydantic import Field

from ..curve import Point
from ..errors import PartError
from ..fit import Derived, Surroundings, ring_bore, ring_outside
from ..flat_view import FlatView
from ..marks import Mark
from ..measures import Measure
from ..params import Angle, Count, Length
from ..part import CutPiece, Part, register
from ..poses import FLAT
from ..shape import Outline, Placement, Plate, Shape
from .disc_features import MIDDLE, Disc, Name, Round, from_behind
from .disc_fields import (
    AlignmentDepth,
    AlignmentWidth,
    NotchCount,
    NotchDepth,
    NotchFrom,
    NotchRoll,
    NotchWidth,
    RetentionCircleDiameter,
    RetentionHoleCount,
    RetentionHoleDiameter,
    RetentionRoll,
    Ring,
    SlotCircleDiameter,
    SlotLength,
    SlotRoll,
    SlotWidth,
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
    even_holes,
    fin_notches,
    harness_slot,
    place,
    point,
    u_bolt_holes,
    washers,
)
from .disc_marks import disc_marks
from .disc_measures import disc_measures, disc_section, disc_view
from .hole_circle import HoleCircleDiameter, HoleDiameter, HoleRolls


@register
class CenteringRing(Part):
    r"""A flat ring round one motor tube or several, with what is bolted, passed or let through it.

    ::

              .-'''V'''-.      roll 0, the rail line, is at the top, with a vee where wanted;
           .-'    o o    '-.   rolls count clockwise seen from behind
          /  =  .---.  =  \
         |  o  (     )  o  |   inside_diameter: the bore over the motor tube, or over each of
          \     '---'     /    motor_tube_count on motor_tube_circle_diameter
           [       o      ]    outside_diameter: the rim in the airframe
            '-.        .-'     o: holes, U-bolt, vents, retention;  =: harness slot along its arc
              '-.[].-'         []: notches for fin tabs, from the rim or from the bore

    Without a circle of their own, U-bolt and harness slot lie half way between bore and rim.
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
    inside_diameter: Annotated[
        Length,
        Field(gt=0, le=500, description="diameter of the bore over the motor tube, of each where there are several"),
    ]
    thickness: Annotated[Length, Field(gt=0, le=100, description="thickness of the ring, as measured")]
    layers: Annotated[Count, Field(ge=1, le=20, description="sheets of equal thickness that it is glued up from")] = 1
    motor_tube_count: Annotated[
        Count, Field(ge=1, le=12, description="motor tubes; more than one stand evenly on a circle")
    ] = 1
    motor_tube_circle_diameter: Annotated[
        Length | None, Field(gt=0, le=500, description="diameter of the circle through the middles of several tubes")
    ] = None
    motor_tube_roll: Annotated[
        Angle,
        Field(
            ge=-math.tau, le=math.tau, description="roll of the first of several tubes, clockwise from the rail line"
        ),
    ] = 0.0
    central_bore_diameter: Annotated[
        Length | None, Field(gt=0, le=500, description="bore over one more motor tube in the middle of several")
    ] = None
    hole_diameter: HoleDiameter = None
    hole_circle_diameter: HoleCircleDiameter = None
    hole_rolls: HoleRolls = ()
    u_bolt_width: UBoltWidth = None
    u_bolt_hole_diameter: UBoltHoleDiameter = None
    u_bolt_circle_diameter: UBoltCircleDiameter = None
    u_bolt_roll: UBoltRoll = 0.0
    washer_diameter: WasherDiameter = None
    harness_slot_width: SlotWidth = None
    harness_slot_length: SlotLength = None
    harness_slot_circle_diameter: SlotCircleDiameter = None
    harness_slot_roll: SlotRoll = 0.0
    notch_count: NotchCount = 0
    notch_width: NotchWidth = None
    notch_depth: NotchDepth = None
    notch_from: NotchFrom = None
    notch_roll: NotchRoll = None
    retention_hole_count: RetentionHoleCount = 0
    retention_hole_diameter: RetentionHoleDiameter = None
    retention_circle_diameter: RetentionCircleDiameter = None
    retention_roll: RetentionRoll = 0.0
    vent_hole_count: VentHoleCount = 0
    vent_hole_diameter: VentHoleDiameter = None
    vent_circle_diameter: VentCircleDiameter = None
    vent_roll: VentRoll = 0.0
    alignment_notch_width: AlignmentWidth = None
    alignment_notch_depth: AlignmentDepth = None

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Rim from the airframe's inside, bore from the motor tube's outside."""
        found = super().derived(stated, near)
        fits, around = near.fits, near.around
        if fits and "outside_diameter" not in stated:
            found["outside_diameter"] = ring_outside(fits, near.choice)
        if around and "inside_diameter" not in stated:
            found["inside_diameter"] = ring_bore(around, near.choice)
        return found

    def template(self) -> Outline:
        """Rim, bore and openings seen from behind, the rail line upwards.

        Raises:
            PartError: a feature is half stated, or leaves too little material.
        """
        return self._disc().outline()

    def tube_middles(self) -> tuple[Point, ...]:
        """Where the axes of its motor tubes go through it, seen from behind with the rail line upwards [mm]."""
        around = tuple(one.centre for one in self._motor_tubes())
        in_the_middle = self.central_bore_diameter is not None or not around
        return (*((MIDDLE,) if in_the_middle else ()), *around)

    def _motor_tubes(self) -> tuple[Round, ...]:
        """Bores of several motor tubes round the middle; none where one tube is in the middle.

        Raises:
            PartError: the cluster is half stated, or the bore is too large.
        """
        if self.motor_tube_count == 1:
            for name in ("motor_tube_circle_diameter", "central_bore_diameter"):
                if getattr(self, name) is not None:
                    raise PartError(f"{name}: is for several motor tubes, and motor_tube_count is 1")
            if self.inside_diameter >= self.outside_diameter:
                raise PartError(
                    f"inside_diameter: the bore of {self.inside_diameter:g} mm is not smaller than the outside, "
                    f"{self.outside_diameter:g} mm"
                )
            return ()
        if self.motor_tube_circle_diameter is None:
            raise PartError("motor_tube_circle_diameter: is needed for several motor tubes and not stated")
        middle, count = self.motor_tube_circle_diameter / 2.0, self.motor_tube_count
        rolls = [self.motor_tube_roll + math.tau * i / count for i in range(count)]
        name, spread = "motor_tube_circle_diameter", "motor_tube_count"
        return tuple(
            Round(
                Name("motor tube bore", place(roll), name, spread),
                point(middle, roll),
                self.inside_diameter / 2.0,
                tube=True,
            )
            for roll in rolls
        )

    def _disc(self) -> Disc:
        tubes, rim = self._motor_tubes(), self.outside_diameter / 2.0
        bore = (self.central_bore_diameter or 0.0) / 2.0 if tubes else self.inside_diameter / 2.0
        mid_web = None if tubes else rim + bore
        bolts = (
            *bolt_holes(self.hole_diameter, self.hole_circle_diameter, self.hole_rolls),
            *u_bolt_holes(
                self.u_bolt_width, self.u_bolt_hole_diameter, self.u_bolt_circle_diameter, self.u_bolt_roll, mid_web
            ),
        )
        retention = Ring(
            self.retention_hole_count,
            self.retention_hole_diameter,
            self.retention_circle_diameter,
            self.retention_roll,
        )
        vents = Ring(self.vent_hole_count, self.vent_hole_diameter, self.vent_circle_diameter, self.vent_roll)
        slot = harness_slot(
            self.harness_slot_width,
            self.harness_slot_length,
            self.harness_slot_circle_diameter,
            self.harness_slot_roll,
            mid_web,
        )
        notches = fin_notches(
            self.notch_count, self.notch_width, self.notch_depth, self.notch_from, self.notch_roll, (rim, bore)
        )
        return Disc(
            rim,
            bore,
            (*tubes, *bolts, *slot, *even_holes("retention", retention), *even_holes("vent", vents)),
            (*notches, *alignment_notch(self.alignment_notch_width, self.alignment_notch_depth, rim)),
            washers(self.washer_diameter, bolts),
        )

    def shape(self) -> Plate:
        """The ring as a plate, forward face at the origin; roll 0 on the +y side."""
        return Plate(from_behind(self.template()), self.thickness)

    def section_shape(self) -> Shape:
        """The ring as a turned body, with what is cut along the axis."""
        return disc_section(((self._disc(), self.thickness),))

    def measures(self) -> tuple[Measure, ...]:
        """Rim, bore and thickness."""
        return disc_measures((("", self._disc(), self.thickness),), *self._words())

    def has_section_file(self) -> bool:
        """False: its template has the sizes."""
        return False

    def flat_views(self) -> tuple[FlatView, ...]:
        """The ring seen from behind."""
        layers = f"Glued up from {self.layers} layers of {self.sheet_thickness():g} mm." if self.layers > 1 else ""
        return (disc_view("", self._disc(), self.thickness, self._words(), notes=(layers,) if layers else ()),)

    def _words(self) -> tuple[str, str]:
        """What its edge and the bore in its middle are called."""
        return "rim", "central bore" if self.motor_tube_count > 1 else "bore"

    def pose(self) -> Placement:
        """Flat on the table, aft face up, the rail line in the +x direction."""
        return FLAT

    def extent(self) -> tuple[float, float]:
        """Forward face and aft face."""
        return 0.0, self.thickness

    def sheet_thickness(self) -> float:
        """Thickness of the sheet [mm]: of one layer where it is glued up from several."""
        return self.thickness / self.layers

    def cut_pieces(self) -> tuple[CutPiece, ...]:
        """The ring, or its layers, which are all alike."""
        return (CutPiece("", self.template(), self.marks(), self.sheet_thickness(), self.layers),)

    def marks(self) -> tuple[Mark, ...]:
        """Centre lines, the rail line, which face is aft, names and sizes of what is cut."""
        return disc_marks(self._disc(), *self._words())
