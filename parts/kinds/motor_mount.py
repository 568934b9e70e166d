"""Motor mount: the motor tube with its centering rings glued on, as one unit."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar, NamedTuple

from pydantic import Field

from ..curve import Point
from ..errors import PartError
from ..fingerprint import fingerprint
from ..fit import Derived, Surroundings, as_measured, ring_bore, ring_outside
from ..params import Density, Length
from ..part import Body, CutPiece, MaterialName, Part, register
from ..poses import STANDING
from ..shape import Cut, Edge, Loop, Meridian, Outline, Placed, Placement, Plate, Revolved, Role, moved, polygon
from ..tables import clearances, material
from .hole_circle import NO_HOLES, Disc, HoleCircle, HoleCircleDiameter, HoleDiameter, HoleRolls, from_behind
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

    o: anchor holes on hole_circle_diameter at hole_rolls, through the foremost ring and any that is glued to its face.
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
            found["ring_diameter"] = ring_outside(fits)
        if around:
            found["tube_outside_diameter"] = as_measured(around, "outside")
            found["tube_inside_diameter"] = as_measured(around, "inside")
            found["ring_inside_diameter"] = ring_bore(around)
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

    def _disc(self, bore: float, anchors: bool) -> Disc:
        """A ring of one bore [mm], with the anchor holes or without."""
        holes = HoleCircle(self.hole_diameter, self.hole_circle_diameter, self.hole_rolls) if anchors else NO_HOLES
        return Disc(self.ring_diameter / 2.0, bore / 2.0, holes)

    def shape(self) -> Revolved | Cut:
        """Tube and rings about the axis, forward end of the tube at the origin, the glue gap closed.

        Raises:
            PartError: tube and rings do not go together, or a hole leaves too little of the ring.
        """
        self._check()
        stacks = self._stacks()
        body = Revolved(Meridian(self._section(stacks)))
        # The bore that is cut says whether a hole leaves enough of the ring.
        holes = from_behind(self._disc(self._bore(), anchors=True).outline()).holes[1:]
        first = stacks[0]
        behind = min(_PAST, (stacks[1].first - first.last) / 2.0) if len(stacks) > 1 else _PAST
        tools = (Plate(Outline(_filled(one)), first.last - first.first + _PAST + behind) for one in holes)
        return Cut(body, tuple(Placed(tool, moved(first.first - _PAST)) for tool in tools)) if holes else body

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
        for index, stack in enumerate(self._stacks()):
            disc = self._disc(self.tube_outside_diameter, anchors=index == 0)
            ring = Plate(from_behind(disc.outline()), self.ring_thickness)
            found += [Body(Placed(ring, moved(position)), density) for position in stack.positions]
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
        """The rings to cut, seen from behind with the rail line upwards; those with anchor holes by themselves.

        Their bore is `ring_inside_diameter`; where that is not stated it is the tube's outside diameter and the
        clearance `ring-bore` of the table of fits, so that the ring slides over the tube with room for glue.
        """
        anchored = len(self._stacks()[0].positions) if self.hole_rolls else 0
        plain = len(self.ring_positions) - anchored
        found: list[CutPiece] = []
        for word, count in (("anchor ring", anchored), ("ring", plain)):
            if count:
                disc = self._disc(self._bore(), anchors=word == "anchor ring")
                found.append(CutPiece(word, disc.outline(), disc.marks("rim", "bore"), self.ring_thickness, count))
        return tuple(found)

    def pose(self) -> Placement:
        """Standing on its aft end."""
        return STANDING.at(self.tube_length)

    def extent(self) -> tuple[float, float]:
        """Forward end and aft end of the tube."""
        return 0.0, self.tube_length


def _filled(opening: Loop) -> Loop:
    """What was taken out where a hole is: the hole's loop run the other way."""
    return tuple(Edge(edge.piece.reversed(), edge.role) for edge in reversed(opening))
