"""Motor mount: the motor tube with its centering rings glued on, as one unit."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from functools import partial
from itertools import groupby
from typing import Annotated, ClassVar, Literal, NamedTuple

from pydantic import Field

from ..curve import Point
from ..errors import PartError
from ..fingerprint import fingerprint
from ..fit import Derived, Surroundings, as_measured, ring_bore, ring_outside
from ..flat_view import FlatView
from ..measures import Measure
from ..params import Count, Density, Length
from ..part import Body, CutPiece, MaterialName, Part, register
from ..poses import STANDING
from ..shape import Cut, Edge, Loop, Meridian, Placed, Placement, Plate, Revolved, Role, Shape, moved, polygon
from ..tables import clearances, material
from .disc_features import Disc, Notch, Opening, Round, filled, from_behind
from .disc_fields import (
    AlignmentDepth,
    AlignmentWidth,
    NotchCount,
    NotchDepth,
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
    u_bolt_holes,
    washers,
)
from .disc_marks import disc_marks
from .disc_measures import disc_view
from .hole_circle import HoleCircleDiameter, HoleDiameter, HoleRolls
from .motor_mount_measures import motor_mount_measures, motor_mount_section
from .straight import straight_tube

_SHORTEST = 1e-6
"""Edges and gaps shorter than this [mm] are none."""

_PAST = 1.0
"""How far a hole runs past the faces of its rings [mm], where no other ring is in the way."""


class _Stack(NamedTuple):
    """Rings that lie face to face."""

    first: float
    last: float
    positions: tuple[float, ...]


@register
class MotorMount(Part):
    r"""A motor tube and its rings, as they go into the airframe together.

    ::

             ring_positions: tube's forward end to each ring's forward face
          <---->  (the first),  <----------------------->  (the second) ...
                 __                                  __      ^
                |  |                                |  |     |
                |o |                                |  |     |
         _______|__|________________________________|__|___  |     ^
        |_______ __ ________________________________ __ ___| |     |
                                                             |     | tube_outside_
        - - - - - - - - - - - - - - - - - - - - - - - - - -  |     | diameter
         _______ __ ________________________________ __ ___  |     |
        |_______|__|________________________________|__|___| |     v
                |  |                                |  |     | ring_diameter
                |__|                                |__|     v
                <--> ring_thickness
        <-------------------- tube_length ---------------->

    o: anchor holes, U-bolt and harness slot, through the foremost ring and any that is glued to its face. Retention
    holes go through the aftmost ring and any glued to it, vents and the vee at the rail line through all rings, and
    notches for fin tabs, from the rim, through `notched_rings`. Aft of the last ring retainer_overhang of tube stays.
    The glue gap between tube and rings counts as ring. Material and density of the part are the tube's.
    """

    kind: ClassVar[str] = "motor-mount"
    bench_order: ClassVar[int] = 80
    example: ClassVar[dict[str, object]] = {
        "tube_outside_diameter": "31 mm",
        "tube_inside_diameter": "29.2 mm",
        "tube_length": "150 mm",
        "ring_diameter": "65.7 mm",
        "ring_thickness": "6 mm",
        "ring_positions": ("10 mm", "46 mm", "142.7 mm"),
        "hole_diameter": "5.5 mm",
        "hole_circle_diameter": "48.4 mm",
        "hole_rolls": ("20 deg", "70 deg"),
        "material": "kraft-tube",
        "ring_material": "birch-plywood",
    }

    tube_outside_diameter: Annotated[
        Length, Field(gt=0, le=500, description="outside diameter of the motor tube, mean of the readings")
    ]
    tube_inside_diameter: Annotated[
        Length, Field(gt=0, le=500, description="inside diameter of the motor tube, mean of the readings")
    ]
    tube_length: Annotated[Length, Field(gt=0, le=3000, description="length of the motor tube, end to end")]
    ring_diameter: Annotated[Length, Field(gt=0, le=500, description="diameter of the rings' rims, in the airframe")]
    ring_thickness: Annotated[Length, Field(gt=0, le=100, description="thickness of the rings' sheet, as measured")]
    ring_positions: Annotated[
        tuple[Length, ...],
        Field(min_length=1, max_length=12, description="tube's forward end to the forward face of each ring"),
    ]
    ring_inside_diameter: Annotated[
        Length | None,
        Field(gt=0, le=500, description="bore to cut in the rings; the tube's outside and room for glue if not stated"),
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
    notch_roll: NotchRoll = None
    notched_rings: Annotated[
        tuple[Count, ...], Field(max_length=12, description="which rings have those notches, 1 for the foremost")
    ] = ()
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
    retainer_overhang: Annotated[
        Length | None,
        Field(ge=0, le=200, description="tube that the retainer needs aft of the last ring, which is checked"),
    ] = None
    motor_overhang: Annotated[
        Length | None,
        Field(ge=-200, le=200, description="how far the motor's case stands out of the tube aft; noted on the rings"),
    ] = None
    thrust_by: Annotated[
        Literal["retainer", "thrust-ring", "motor-lip"] | None,
        Field(description="what takes the thrust into the tube; noted on the rings, in no figure"),
    ] = None
    ring_material: Annotated[
        MaterialName | None, Field(description="what the rings are made of, by its name in the table")
    ] = None
    ring_density: Annotated[
        Density | None,
        Field(gt=0, le=2.5e-2, description="density of the rings, where the table's is not the one in hand"),
    ] = None

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Tube and rings' bore from the motor tube, named by `around`; rims from the airframe, which it `fits`."""
        found = super().derived(stated, near)
        fits, around = near.fits, near.around
        if fits:
            found["ring_diameter"] = ring_outside(fits, near.choice)
        if around:
            found["tube_outside_diameter"] = as_measured(around, "outside")
            found["tube_inside_diameter"] = as_measured(around, "inside")
            found["ring_inside_diameter"] = ring_bore(around, near.choice)
        return {name: size for name, size in found.items() if name not in stated}

    def _stacks(self) -> tuple[_Stack, ...]:
        """The rings from forward to aft, those that lie face to face together.

        Raises:
            PartError: a ring reaches beyond the tube, or into another.
        """
        thick, found = self.ring_thickness, list[_Stack]()
        for position in sorted(self.ring_positions):
            last = position + thick
            if position < 0.0 or last > self.tube_length + _SHORTEST:
                raise PartError(
                    f"ring_positions: a ring of {thick:g} mm at {position:g} mm is not wholly on the tube of "
                    f"{self.tube_length:g} mm"
                )
            # What ends a hair from the end of the tube ends there.
            first = 0.0 if position <= _SHORTEST else position
            last = self.tube_length if self.tube_length - last <= _SHORTEST else last
            gap = first - found[-1].last if found else math.inf
            if gap < -_SHORTEST:
                raise PartError(
                    f"ring_positions: the ring at {position:g} mm reaches into the one before it, which ends at "
                    f"{found[-1].last:g} mm"
                )
            if gap <= _SHORTEST:
                found[-1] = _Stack(found[-1].first, last, (*found[-1].positions, position))
            else:
                found.append(_Stack(first, last, (position,)))
        return tuple(found)

    def _bore(self) -> float:
        """Diameter of the bore to cut in the rings [mm]."""
        if self.ring_inside_diameter is not None:
            return self.ring_inside_diameter
        return self.tube_outside_diameter + clearances()["ring-bore"].amount

    def _check(self) -> None:
        tube, bore = self.tube_outside_diameter, self._bore()
        if self.tube_inside_diameter >= tube:
            raise PartError(
                f"tube_inside_diameter: {self.tube_inside_diameter:g} mm is not smaller than the outside diameter, "
                f"{tube:g} mm"
            )
        if bore < tube:
            raise PartError(f"ring_inside_diameter: the bore of {bore:g} mm does not go over the tube of {tube:g} mm")
        if bore >= self.ring_diameter:
            raise PartError(
                f"ring_diameter: {self.ring_diameter:g} mm is not larger than the bore of the rings, {bore:g} mm"
            )

    @property
    def overhang(self) -> float:
        """How far the tube stands out aft of the last ring [mm]."""
        return self.tube_length - max(self.ring_positions) - self.ring_thickness

    def _check_retention(self) -> None:
        """The retainer has the tube that it needs.

        Raises:
            PartError: it has not.
        """
        if self.retainer_overhang is not None and self.overhang < self.retainer_overhang - _SHORTEST:
            raise PartError(
                f"retainer_overhang: the tube ends {max(self.overhang, 0.0):.4g} mm aft of the last ring; the retainer "
                f"needs {self.retainer_overhang:g} mm"
            )

    def _bolts(self) -> tuple[Round, ...]:
        """Holes for what anchors the harness."""
        return (
            *bolt_holes(self.hole_diameter, self.hole_circle_diameter, self.hole_rolls),
            *u_bolt_holes(
                self.u_bolt_width,
                self.u_bolt_hole_diameter,
                self.u_bolt_circle_diameter,
                self.u_bolt_roll,
                self._mid_web(),
            ),
        )

    def _mid_web(self) -> float:
        """Diameter of the circle half way between rim and bore [mm]."""
        return (self.ring_diameter + self._bore()) / 2.0

    def _anchors(self) -> tuple[Opening, ...]:
        """What is opened in the foremost ring."""
        slot = harness_slot(
            self.harness_slot_width,
            self.harness_slot_length,
            self.harness_slot_circle_diameter,
            self.harness_slot_roll,
            self._mid_web(),
        )
        return (*self._bolts(), *slot)

    def _retention(self) -> tuple[Opening, ...]:
        """What is opened in the aftmost ring."""
        ring = Ring(
            self.retention_hole_count,
            self.retention_hole_diameter,
            self.retention_circle_diameter,
            self.retention_roll,
        )
        return even_holes("retention", ring)

    def _notches(self) -> tuple[Notch, ...]:
        """Notches for fin tabs.

        Raises:
            PartError: they are half stated, or a ring is not there.
        """
        wanted = "rim" if self.notch_count or self.notch_width or self.notch_depth else None
        rim = self.ring_diameter / 2.0
        found = fin_notches(self.notch_count, self.notch_width, self.notch_depth, wanted, self.notch_roll, (rim, 0.0))
        if bool(found) != bool(self.notched_rings):
            raise PartError(
                "notched_rings: is needed for the notches and not stated"
                if found
                else "notch_count: is needed for the notches and not stated"
            )
        for number in self.notched_rings:
            if not 1 <= number <= len(self.ring_positions):
                raise PartError(f"notched_rings: there is no ring {number}; there are {len(self.ring_positions)}")
        return found

    def _rings(self, bore: float) -> tuple[Disc, ...]:
        """Every ring from forward to aft, with one bore [mm].

        Raises:
            PartError: a feature is half stated.
        """
        stacks, count = self._stacks(), len(self.ring_positions)
        front, back = len(stacks[0].positions), count - len(stacks[-1].positions)
        anchors, retention, notches = self._anchors(), self._retention(), self._notches()
        vents = even_holes(
            "vent", Ring(self.vent_hole_count, self.vent_hole_diameter, self.vent_circle_diameter, self.vent_roll)
        )
        vee = alignment_notch(self.alignment_notch_width, self.alignment_notch_depth, self.ring_diameter / 2.0)
        covered = washers(self.washer_diameter, self._bolts())
        return tuple(
            Disc(
                self.ring_diameter / 2.0,
                bore / 2.0,
                (*(anchors if index < front else ()), *(retention if index >= back else ()), *vents),
                (*(notches if index + 1 in self.notched_rings else ()), *vee),
                covered if index < front else (),
            )
            for index in range(count)
        )

    def shape(self) -> Revolved | Cut:
        """Tube and rings about the axis, forward end of the tube at the origin, the glue gap closed.

        Raises:
            PartError: tube and rings do not go together, or a feature leaves too little of its ring.
        """
        self._check()
        stacks = self._stacks()
        self._check_retention()
        rings = self._rings(self._bore())
        for ring in rings:
            # The bore that is cut says whether enough of the ring is left.
            ring.check()
        body = Revolved(Meridian(self._section(stacks)))
        tools = tuple(self._tools(stacks, rings))
        return Cut(body, tools) if tools else body

    def _tools(self, stacks: tuple[_Stack, ...], rings: tuple[Disc, ...]) -> Iterator[Placed]:
        """A prism for each opening through rings that lie face to face and have it."""
        number = 0
        for index, stack in enumerate(stacks):
            before = stack.first - stacks[index - 1].last if index else math.inf
            after = stacks[index + 1].first - stack.last if index + 1 < len(stacks) else math.inf
            faces = [*stack.positions, stack.last]
            faces[0] = stack.first
            here = rings[number : number + len(stack.positions)]
            number += len(here)
            features = dict.fromkeys(item for ring in here for item in (*ring.openings, *ring.notches))
            for item in features:
                for have, run in groupby(enumerate(here), key=partial(_has, item)):
                    if not have:
                        continue
                    members = [member for member, _ in run]
                    first, last = faces[members[0]], faces[members[-1] + 1]
                    first -= min(_PAST, before / 2.0) if members[0] == 0 else 0.0
                    last += min(_PAST, after / 2.0) if members[-1] + 1 == len(here) else 0.0
                    outline = item.beyond(_PAST) if isinstance(item, Notch) else filled(item)
                    yield Placed(Plate(from_behind(outline), last - first), moved(first))

    def _section(self, stacks: tuple[_Stack, ...]) -> Loop:
        """The outside from forward to aft over the rings, and back along the bore."""
        end, tube, rim = self.tube_length, self.tube_outside_diameter / 2.0, self.ring_diameter / 2.0
        bore = self.tube_inside_diameter / 2.0
        corners: list[tuple[Point, Role]] = []
        if stacks[0].first > 0.0:
            corners.append(((0.0, tube), "fit"))
        for first, last, _ in stacks:
            if first > 0.0:
                corners.append(((first, tube), "seat"))
            corners += [((first, rim), "fit"), ((last, rim), "seat")]
            if last < end:
                corners.append(((last, tube), "fit"))
        if stacks[-1].last < end:
            corners.append(((end, tube), "seat"))
        corners += [((end, bore), "fit"), ((0.0, bore), "seat")]
        loop = polygon(tuple(point for point, _ in corners))
        return tuple(Edge(edge.piece, role) for edge, (_, role) in zip(loop, corners, strict=True))

    def bodies(self) -> tuple[Body, ...]:
        """The tube, and each ring on it."""
        tube = straight_tube(self.tube_outside_diameter / 2.0, self.tube_inside_diameter / 2.0, self.tube_length)
        density, found = self.ring_density_in_use(), [Body(tube, self.density_in_use())]
        rings = self._rings(self.tube_outside_diameter)
        for position, disc in zip(sorted(self.ring_positions), rings, strict=True):
            found.append(
                Body(Placed(Plate(from_behind(disc.outline()), self.ring_thickness), moved(position)), density)
            )
        return tuple(found)

    def ring_density_in_use(self) -> float | None:
        """Density of the rings [g/mm3]: the one stated, else their material's, else None: not stated."""
        if self.ring_density is not None:
            return self.ring_density
        return material(self.ring_material).density if self.ring_material else None

    def fingerprint(self) -> str:
        """Fingerprint of all fields and of the densities of both materials."""
        return fingerprint([super().fingerprint(), self.ring_density_in_use()])

    def cut_pieces(self) -> tuple[CutPiece, ...]:
        """The rings to cut, seen from behind with the rail line upwards, the foremost first; those alike together.

        Their bore is `ring_inside_diameter`; where that is not stated it is the tube's outside diameter and the
        clearance `ring-bore` of the table of fits, so that the ring slides over the tube with room for glue.
        """
        anchors, retention = set(self._anchors()), set(self._retention())
        return tuple(
            CutPiece(
                _ring_word(disc, anchors, retention),
                disc.outline(),
                disc_marks(disc, "rim", "bore", notes=self._notes()),
                self.ring_thickness,
                count,
            )
            for disc, count in Counter(self._rings(self._bore())).items()
        )

    def section_shape(self) -> Shape:
        """Tube and rings as bodies of their own."""
        return motor_mount_section(self)

    def measures(self) -> tuple[Measure, ...]:
        """The tube, and where each ring stands on it."""
        return motor_mount_measures(self)

    def flat_views(self) -> tuple[FlatView, ...]:
        """Each ring seen from behind, those alike once."""
        anchors, retention = set(self._anchors()), set(self._retention())
        stuff = self.ring_material or "not stated"
        return tuple(
            disc_view(
                _ring_word(disc, anchors, retention),
                disc,
                self.ring_thickness,
                ("rim", "bore"),
                material=stuff,
                count=count,
            )
            for disc, count in Counter(self._rings(self._bore())).items()
        )

    def _notes(self) -> tuple[str, ...]:
        """What the retention asks for, for the bench."""
        found = []
        if self.retainer_overhang is not None:
            found.append(f"tube stands {self.overhang:.4g} mm out of the last ring, for the retainer")
        if self.motor_overhang is not None:
            found.append(f"motor stands {self.motor_overhang:.4g} mm out of the tube")
        if self.thrust_by is not None:
            found.append(f"thrust by the {self.thrust_by.replace('-', ' ')}")
        return tuple(found)

    def pose(self) -> Placement:
        """Standing on its aft end."""
        return STANDING.at(self.tube_length)

    def extent(self) -> tuple[float, float]:
        """Forward end and aft end of the tube."""
        return 0.0, self.tube_length


def positions_for_tab(first: float, tab_length: float, gap: float, thickness: float) -> tuple[float, float]:
    """Where the rings before and behind a fin tab go, so that they locate it.

    Args:
        first: forward end of the tube to the forward face of the ring before the tab [mm].
        tab_length: length of the tab [mm].
        gap: room for the tab between the rings, both ends together [mm]; 0.5 to 1 is usual (common practice).
        thickness: thickness of the rings [mm].

    Returns:
        Forward faces of both rings, for `ring_positions` [mm].

    Raises:
        PartError: a length is below 0, or tab or ring have none.
    """
    for name, value in (("tab_length", tab_length), ("thickness", thickness)):
        if value <= 0.0:
            raise PartError(f"{name}: must be above 0 mm, got {value:g} mm")
    for name, value in (("first", first), ("gap", gap)):
        if value < 0.0:
            raise PartError(f"{name}: must be at least 0 mm, got {value:g} mm")
    return first, first + thickness + tab_length + gap


def _has(feature: Opening | Notch, numbered: tuple[int, Disc]) -> bool:
    ring = numbered[1]
    return feature in ring.openings or feature in ring.notches


def _ring_word(ring: Disc, anchors: set[Opening], retention: set[Opening]) -> str:
    """What a ring is called by what only some of them have."""
    opened = set(ring.openings)
    words = (
        "notched" if any(not notch.vee for notch in ring.notches) else "",
        "anchor" if opened & anchors else "",
        "aft" if opened & retention else "",
        "ring",
    )
    return " ".join(filter(None, words))
