"""Nose cone: every profile family, solid or hollow, joined to its tube, with what it carries, whole or in sections."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import ClassVar, NamedTuple

import numpy as np

from ..chain import Chain, reverse
from ..curve import Line
from ..errors import PartError
from ..fit import Derived, Surroundings, nose_base, shoulder
from ..infill import around, core
from ..joint import Joint
from ..measures import Measure
from ..part import Body, Carried, Printed, register
from ..poses import STANDING
from ..shape import Cut, Edge, Loop, Meridian, Placement, RadialFeature, Revolved, Shape, edges
from ..split import Section, sections
from .cavity import bored, with_bores
from .joining import Joining
from .nose_body import NoseBody
from .nose_infill import NoseInfill
from .nose_inside import cavity_of
from .nose_measures import nose_measures
from .nose_recovery import Bore, NoseRecovery
from .nose_sections import NoseSections


class Built(NamedTuple):
    """A nose as worked out from its fields.

    Attributes:
        outer: edges from the tip over the skin and the rear to the rear opening, or to the axis when solid.
        cavity: the inside without what is bored on the axis, from its forward end to the rear; empty when solid.
        inside: the same with what is bored on the axis.
        bores: the holes on the axis, the rod's first.
        way_in: the cavity before sections are joined, through which rod and ballast are put in.
        tools: what is cut out of the turned body.
        joints: joints between print sections, forward one first.
        sections: the print sections; none where it is printed in one.
        body: the turned body, before anything is cut out of its wall.
        shape: the whole nose.
        carried: rod and ballast.
    """

    outer: Loop
    cavity: Chain
    inside: Chain
    bores: tuple[Bore, ...]
    way_in: Chain
    tools: tuple[Shape, ...]
    joints: tuple[Joint, ...]
    sections: tuple[Section, ...]
    body: Revolved
    shape: Revolved | Cut
    carried: tuple[Carried, ...]


_THINNEST = 0.5
"""Least material between inside and outside anywhere [mm]; less is no line of a print (common practice)."""


@register
class NoseCone(NoseInfill, NoseSections, NoseRecovery, Joining, NoseBody):
    r"""A turned nose with a shoulder that enters the tube.

    ::

                          ___..---''''|       <- base_diameter, the skin ends here
               __..--'''              |____
           _-'                        |    |  <- shoulder_diameter
          <  - - - - - - - - - - - - -|- - |
           '-_                        |____|
               ''--..___              |
                        '''---....____|
          <---------- length --------><---->
          tip to base, the finished     shoulder_length
          length: no shoulder in it

          |----|                 |----|----|
          solid_tip              thick_length: as thick as the shoulder, opening into
          printed solid          the body at 45 degrees

    The profile's formula r(x), with L the length, R the base radius and x from the tip:

    - cone: R x/L
    - tangent-ogive: arc of radius (R^2 + L^2) / (2 R), tangent to the tube
    - secant-ogive: arc of `arc_radius` through tip and base rim
    - half-ellipsoid: R sqrt(1 - (1 - x/L)^2)
    - parabola: R (2 x/L - K (x/L)^2) / (2 - K), K the `parabola_constant`
    - power-law: R (x/L)^n, n the `power_exponent`
    - haack: R sqrt((t - sin(2 t)/2 + C sin(t)^3) / pi), cos(t) = 1 - 2 x/L, C the `haack_constant`
    - von-karman: the Haack body with C = 0
    - table: `point_stations` and `point_radii`, joined by cubics that never swing beyond their points

    All are the standard definitions as elementary geometry; the Haack series after W. Haack, 1941 (from memory).

    A round tip is a sphere tangent to the profile, a flat one a disc; `length` stays the finished length, and L of the
    formula, to the sharp tip that is no more, is solved for.

    Held by screws through the shoulder, or released by tape or shear pins: never both. Ahead of the cavity a
    `solid_tip` holds a rod on the axis, bedded in epoxy with dowels across; ballast sits on the rod as washers, or in a
    pocket. A plywood plate closes the rear. Harness anchors are metal, on that rod or through that plate: a printed
    loop is no anchor. Taller than `section_height`, it is printed in sections that plug into each other.
    """

    kind: ClassVar[str] = "nose-cone"
    bench_order: ClassVar[int] = 50
    example: ClassVar[dict[str, str]] = {
        "profile": "von-karman",
        "length": "250 mm",
        "base_diameter": "68.3 mm",
        "shoulder_length": "68 mm",
        "shoulder_diameter": "65.3 mm",
        "joining": "held",
        "material": "petg",
    }

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Base from the tube's outside, shoulder from its inside."""
        found = super().derived(stated, near)
        fits = near.fits
        if fits and "base_diameter" not in stated:
            found["base_diameter"] = nose_base(fits)
        if fits and "shoulder_length" in stated and "shoulder_diameter" not in stated:
            found["shoulder_diameter"] = shoulder(fits, near.choice)
        return found

    def shape(self) -> Revolved | Cut:
        """The nose about its axis, tip at the origin.

        Raises:
            PartError: the wall, the shoulder, what it carries or its joints do not fit the body.
        """
        return self.built().shape

    def built(self) -> Built:
        """Outside, inside, holes and joints.

        Raises:
            PartError: the wall, the shoulder, what it carries or its joints do not fit the body.
        """
        return _built(self)

    def printed_pieces(self) -> tuple[Printed, ...]:
        """The sections, each standing on its aft end, tip up."""
        found = self.built().sections
        if not found:
            return super().printed_pieces()
        return tuple(Printed(f"{one.number} of {one.count}", one.shape, STANDING.at(one.last)) for one in found)

    def measures(self) -> tuple[Measure, ...]:
        """Every size that calipers reach, and what lies inside."""
        return nose_measures(self)

    def bodies(self) -> tuple[Body, ...]:
        """One body; of a solid print that is filled in part its shell, and its core at the share that is filled."""
        density, core = self.density_in_use(), self.core()
        if core is None:
            return (Body(self.shape(), density),)
        built = self.built()
        shell: Shape = around(built.body.meridian, core)
        inner: Shape = Revolved(core)
        if built.tools:
            shell, inner = Cut(shell, built.tools), Cut(inner, built.tools)
        filled = None if density is None else density * (self.infill or 0.0)
        return (Body(shell, density), Body(inner, filled))

    def core(self) -> Meridian | None:
        """Section of what is filled in part; None for a hollow nose, or one that is printed full."""
        if self.infill is None or self.body != "solid":
            return None
        inside = self.built().inside
        rear = tuple(edge.piece for edge in self.rear_edges(inside[-1].end[1] if inside else 0.0))
        return core(self.skin(), self.shell, rear, self.top_bottom, bore=inside)

    def carried(self) -> tuple[Carried, ...]:
        """Rod and ballast."""
        return self.built().carried

    def pose(self) -> Placement:
        """Tip up, the rear end on the bed."""
        return STANDING.at(self.rear)

    def extent(self) -> tuple[float, float]:
        """Tip and the end of the shoulder."""
        return 0.0, self.rear

    def kept_clear(self, opening: float, thick: float, rear: float) -> tuple[tuple[float, float], ...]:
        """Tip with what is on the axis there, base step and shoulder, and the vent hole."""
        found = [(0.0, opening if self.body == "hollow" else 0.0), (thick - self.shoulder_wall, rear)]
        ends = [x + (self.dowel_diameter or 0.0) / 2.0 for x in self.dowel_distances]
        found[0] = (0.0, max(found[0][1], *ends, 0.0))
        if self.vent_hole_diameter is not None:
            middle, radius = self.length - self.vent_hole_distance, self.vent_hole_diameter / 2.0
            found.append((middle - radius, middle + radius))
        return tuple(found)

    def fastened(self) -> Iterator[tuple[float, float]]:
        """Stretches of the shoulder in which screws or pins are, with their ring: first and last station [mm]."""
        sleeve = self.sleeve()
        boss = self.boss(sleeve)
        if boss is not None:
            deep = self.shoulder_radius - self.shoulder_wall - boss.radius
            yield boss.station - boss.half_length - deep, boss.station + boss.half_length + deep
        for array in self.fasteners(sleeve):
            hole = array.shape
            if isinstance(hole, RadialFeature):
                low, _, high, _ = hole.outline.box()
                yield hole.station + low, hole.station + high

    def taken_in_shoulder(self) -> Iterator[tuple[float, float]]:
        """Stretches of the shoulder's bore in which something is: screws, pins, their ring, the seat of a plate."""
        yield from self.fastened()
        if self.plate_seat is not None:
            ledge = 2.0 * self.seat_width if self.plate_seat == "ledge" else 0.0
            yield self.rear - (self.plate_thickness or 0.0) - ledge, self.rear

    # --- outside -----------------------------------------------------------------------------------------------------

    def check_shoulder(self) -> None:
        """Whether the shoulder is wholly stated, and goes with the body.

        Raises:
            PartError: it is not, or does not.
        """
        base = self.base_diameter
        self.check_joining(self.shoulder_length)
        self.check_seat(self.shoulder_length)
        if self.shoulder_length == 0.0:
            if self.shoulder_diameter is not None:
                raise PartError("shoulder_length: is needed for a shoulder and not stated")
            return
        if self.shoulder_diameter is None:
            raise PartError("shoulder_diameter: is needed for a shoulder and not stated")
        if self.shoulder_diameter >= base:
            raise PartError(
                f"shoulder_diameter: {self.shoulder_diameter:g} mm is not smaller than the base, {base:g} mm, so it "
                "cannot enter the tube that the base sits on"
            )
        if self.body == "solid" and self.screws and self.screw_into != "insert":
            raise PartError(
                f"screw_into: a {self.screw_into} needs a bore that is reached from inside, and the body is solid; "
                "take screw_into = insert"
            )
        if self.body == "hollow" and self.shoulder_wall >= self.shoulder_radius:
            raise PartError(
                f"shoulder_wall: {self.shoulder_wall:g} mm is not less than the shoulder's radius, "
                f"{self.shoulder_radius:g} mm; make the body solid instead"
            )
        thickness = self.shoulder_wall if self.body == "hollow" else self.shoulder_radius
        if self.plate_seat == "recess" and self.body == "hollow":
            radius, _ = self.seat(self.shoulder_radius, self.shoulder_radius - self.shoulder_wall)
            thickness = self.shoulder_radius - radius
        if self.bed_chamfer >= min(thickness, self.shoulder_length):
            raise PartError(
                f"bed_chamfer: {self.bed_chamfer:g} mm leaves nothing of the shoulder's end, {thickness:g} mm thick"
            )


@lru_cache(maxsize=128)
def _built(nose: NoseCone) -> Built:
    """Worked out once: every check, figure and file asks for it again.

    Raises:
        PartError: something does not go with the body.
    """
    nose.check_shoulder()
    nose.check_infill(nose.body)
    skin = nose.skin()
    cavity: Chain = ()
    if nose.body == "hollow":
        cavity = cavity_of(nose, skin)
    elif nose.solid_tip:
        raise PartError("solid_tip: the body is solid throughout; leave it out")
    elif nose.plate_seat is not None:
        raise PartError("plate_seat: a solid nose has no bore for a plate to close; leave it out")
    way_in = cavity
    bores = nose.bores(skin, cavity, nose.rear, nose.wall)
    if bores and not cavity and (nose.section_height or nose.joint_stations):
        field = "section_height" if nose.section_height else "joint_stations"
        raise PartError(
            f"{field}: the spigots of a solid nose are plugs, and a hole on the axis goes through them; make it hollow "
            "with a solid_tip, or leave out rod_size and pocket_diameter"
        )
    opening = cavity[0].start[0] if cavity else nose.rear
    # Under the roof of a solid tip the cavity is narrower than its wall leaves it.
    free = cavity[0].end[0] if opening == nose.solid_tip else opening
    thick = nose.length - nose.thick_length
    joints = nose.section_joints(skin, free, thick, nose.rear, nose.wall, nose.body == "solid")
    if joints and cavity:
        cavity = cavity_of(nose, skin, joints)
    inside = with_bores(cavity, bores) if cavity else bored(nose.rear, bores)
    tools: tuple[Shape, ...] = (*nose.fasteners(nose.sleeve()), *nose.vent(skin), *nose.dowels(skin, opening))
    outer = (*edges(skin, "wetted"), *nose.rear_edges(inside[-1].end[1] if inside else 0.0))
    _check_walls(nose, outer, inside)
    carried = nose.carried_items(bores, cavity, way_in, nose.rear)
    inner = edges(reverse(inside))
    if nose.plate_seat is not None:
        # The plate fits into its seat, the last stretch of the inside.
        inner = (Edge(inner[0].piece, "fit"), *inner[1:])
    pieces = sections(outer, inner, tools, joints) if joints else ()
    last = inner[-1].piece.end if inner else outer[-1].piece.end
    body = Revolved(Meridian((*outer, *inner, Edge(Line(last, outer[0].piece.start)))))
    shape = Cut(body, tools) if tools else body
    return Built(outer, cavity, inside, bores, way_in, tools, joints, pieces, body, shape, carried)


def _check_walls(nose: NoseCone, outer: Loop, inside: Chain) -> None:
    """Whether something is left between the inside and the outside everywhere.

    Raises:
        PartError: it is not; the field to blame is that of what lies there.
    """
    if not inside:
        return
    t = np.linspace(0.0, 1.0, 60)
    # The last edge of the outside is the end in which the inside opens.
    skin = np.vstack([edge.piece.at(t) for edge in outer[:-1]])
    points = np.vstack([piece.at(t) for piece in inside])
    away = np.hypot(points[:, None, 0] - skin[None, :, 0], points[:, None, 1] - skin[None, :, 1]).min(axis=1)
    thinnest = int(away.argmin())
    if away[thinnest] >= min(_THINNEST, nose.wall):
        return
    x = float(points[thinnest, 0])
    if nose.pocket_diameter is not None:
        field = "pocket_diameter"
    elif nose.rod_size is not None and x < nose.length:
        field = "rod_start"
    else:
        field = "bed_chamfer" if x > nose.length else "wall"
    raise PartError(
        f"{field}: {away[thinnest]:.2g} mm are left between inside and outside at {x:.4g} mm from the tip; at least "
        f"{min(_THINNEST, nose.wall):g} mm must stay"
    )
