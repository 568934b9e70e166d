"""Transition: a change of diameter between two tubes, or a boat tail behind the last, also round a motor tube."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from ..chain import Chain
from ..curve import Line, Point
from ..envelope import radius_at
from ..errors import PartError
from ..fit import Derived, Surroundings, nose_base, ring_bore, shoulder
from ..measures import Measure
from ..params import Angle, Count, Length
from ..part import Part, register
from ..poses import STANDING
from ..shape import (
    Cut,
    Edge,
    Loop,
    Meridian,
    Placement,
    Revolved,
    Role,
    backwards,
    edges,
)
from ..transition_profiles import TransitionFamily, TransitionProfile, turned_round
from .screws import ScrewDiameter, ScrewRoll
from .transition_holes import radial_holes
from .transition_inside import End, Inside, MotorBore, at_most, bored, cavity, ceiling, check_bore, hollow, solid
from .transition_measures import transition_measures

_LEAST_LAND = 0.2
"""What a chamfer must leave of the end that stands on the bed [mm]: half a usual nozzle (common practice)."""

_SAME = 1e-6
"""Lengths that differ by less than this [mm] are the same."""


@register
class Transition(Part):
    r"""A turned body between two diameters, with a shoulder at each end where wanted.

    ::

                                        ____|        ^
                           ____....-----    |____    |                  ^
              |____....----                 |    |   |                  |
          ____|                             |    |   | aft_diameter,    | aft_shoulder_
         |    |                             |    |   | of the skin      | diameter
         | - -|- - - - - - - - - - - - - - -|- - |   |                  |
         |____|                             |    |   |                  |
              |----....____                 |    |   |                  |
              |            ----....._____   |____|   |                  v
                                         ---|        v
              <---------- length ----------->
         <---> forward_shoulder_length      <----> aft_shoulder_length

    Station 0 is the forward end of the skin, which is what a builder measures; a forward shoulder reaches ahead of it.
    Either end may be the larger; with equal diameters it is a conical spacer, whose skin continues the tubes. It is
    printed standing on its larger end. Where the bore of a shoulder is narrower than the inside of the body, it opens
    into it at 45 degrees, which prints without support.

    The profile's formula, with u the distance from the smaller end over the length L, r the smaller radius and h the
    change of radius:

    - conical: r + h u
    - ogive: an arc of radius (h^2 + L^2) / (2 h), level at the larger end; L at least h; a flatter one by `arc_radius`
    - elliptic: r + h sqrt(1 - (1 - u)^2), level at the larger end and upright at the smaller, where its slope is
      infinite: the skin begins there as a small step

    A tail cone on a motor tube has a bore right through it::

                                        ____________
          ______________________________|           ^^^^-----_____
         |__________________________________________              ^^^---|  <- bore_web, at the smaller end
         |                                           ^^-- 45 deg  ______|
         |-------------------------------------------------------|      |  <- retainer_recess_diameter,
         |_____ bore_wall: sleeve on the motor tube _____________|______|     retainer_recess_depth
         |
         | - - - - - - - motor_bore_diameter - - - - - - - - - - - - - -

    Its cavity is open at the larger end and closes towards the smaller one at 45 degrees at most, as all of its inside:
    it prints without support. Where sleeve and skin leave less than 1 mm between them, it is solid.
    """

    kind: ClassVar[str] = "transition"
    bench_order: ClassVar[int] = 70
    origin: ClassVar[str] = "the forward end of the skin"
    example: ClassVar[dict[str, str]] = {
        "forward_diameter": "68.3 mm",
        "aft_diameter": "49.9 mm",
        "length": "80 mm",
        "wall": "2 mm",
        "forward_shoulder_length": "50 mm",
        "forward_shoulder_diameter": "65.4 mm",
        "material": "petg",
    }

    forward_diameter: Annotated[Length, Field(gt=0, le=500, description="outside diameter at the skin's forward end")]
    aft_diameter: Annotated[Length, Field(gt=0, le=500, description="outside diameter at the skin's aft end")]
    length: Annotated[
        Length, Field(gt=0, le=3000, description="length of the skin along the axis; the shoulders are extra")
    ]
    profile: Annotated[
        TransitionFamily,
        Field(
            description="conical; ogive: an arc level at the larger end; elliptic: a quarter ellipse, level at the "
            "larger end and upright at the smaller"
        ),
    ] = "conical"
    arc_radius: Annotated[
        Length | None,
        Field(
            gt=0, le=1e6, description="ogive: radius of an arc that is not level at the larger end; larger is flatter"
        ),
    ] = None
    body: Annotated[Literal["hollow", "solid"], Field(description="hollow with a wall, or solid throughout")] = "hollow"
    wall: Annotated[Length, Field(gt=0, le=100, description="wall of the body, square to the skin")] = 1.6
    forward_shoulder_length: Annotated[
        Length, Field(ge=0, le=1000, description="length of the forward shoulder, ahead of station 0; 0 for none")
    ] = 0.0
    forward_shoulder_diameter: Annotated[
        Length | None,
        Field(gt=0, le=500, description="outside diameter of the forward shoulder, which enters the tube ahead"),
    ] = None
    aft_shoulder_length: Annotated[
        Length, Field(ge=0, le=1000, description="length of the aft shoulder; 0 for none")
    ] = 0.0
    aft_shoulder_diameter: Annotated[
        Length | None,
        Field(gt=0, le=500, description="outside diameter of the aft shoulder, which enters the tube behind"),
    ] = None
    shoulder_wall: Annotated[Length, Field(gt=0, le=100, description="wall of the shoulders, on the radius")] = 2.4
    bed_chamfer: Annotated[
        Length,
        Field(
            ge=0,
            le=5,
            description="chamfer of 45 degrees round the shoulder that stands on the bed, at the larger end, so that a "
            "squashed first layer does not jam in the tube; 0 for none",
        ),
    ] = 0.6
    forward_screw_count: Annotated[
        Count, Field(ge=0, le=24, description="radial screw holes in the middle of the forward shoulder; 0 for none")
    ] = 0
    aft_screw_count: Annotated[
        Count, Field(ge=0, le=24, description="radial screw holes in the middle of the aft shoulder; 0 for none")
    ] = 0
    screw_diameter: ScrewDiameter = 3.4
    screw_roll: ScrewRoll = math.pi / 3.0
    motor_bore_diameter: Annotated[
        Length | None,
        Field(
            gt=0, le=400, description="bore right through, for a motor tube that it is glued onto; none if not stated"
        ),
    ] = None
    bore_wall: Annotated[
        Length,
        Field(gt=0, le=100, description="motor bore: wall of the sleeve round it, and least material beside it"),
    ] = 1.6
    bore_web: Annotated[
        Length,
        Field(gt=0, le=500, description="motor bore: length of the ring at the smaller end that ties sleeve to skin"),
    ] = 3.0
    retainer_recess_diameter: Annotated[
        Length | None,
        Field(gt=0, le=400, description="motor bore: diameter of a recess round its aft end, for the motor retainer"),
    ] = None
    retainer_recess_depth: Annotated[
        Length | None, Field(gt=0, le=500, description="motor bore: depth of that recess, from the aft end")
    ] = None
    vent_hole_diameter: Annotated[
        Length | None,
        Field(
            gt=0, le=50, description="diameter of one hole through the wall, to vent or drain it; none if not stated"
        ),
    ] = None
    vent_hole_distance: Annotated[
        Length | None,
        Field(
            gt=0, le=3000, description="forward end of the skin to the vent's middle; the skin's middle if not stated"
        ),
    ] = None
    vent_hole_roll: Annotated[
        Angle, Field(ge=-math.tau, le=math.tau, description="roll of the vent, clockwise from the rail line")
    ] = 0.0

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Forward end from the tube ahead, which it `fits`; aft end from the tube behind, named by `around`.

        Each end's skin follows from its tube's outside, and its shoulder, where it has one, from the tube's inside. A
        motor tube is not behind but in it: its bore follows from that.
        """
        found = super().derived(stated, near)
        fits, around = near.fits, near.around
        if around and near.around_use == "motor":
            if "motor_bore_diameter" not in stated:
                found["motor_bore_diameter"] = ring_bore(around, near.choice)
            around = None
        for end, tube in (("forward", fits), ("aft", around)):
            if tube and f"{end}_diameter" not in stated:
                found[f"{end}_diameter"] = nose_base(tube)
            if tube and f"{end}_shoulder_length" in stated and f"{end}_shoulder_diameter" not in stated:
                found[f"{end}_shoulder_diameter"] = shoulder(tube, near.choice)
        return found

    def outside(self) -> TransitionProfile:
        """The profile of the skin.

        Raises:
            PartError: the family has no such skin between these ends.
        """
        return TransitionProfile(
            self.profile, self.length, self.forward_diameter / 2.0, self.aft_diameter / 2.0, self.arc_radius
        )

    def skin(self) -> Chain:
        """The wetted skin from its forward end to its aft end."""
        return self.outside().chain()

    @property
    def narrows(self) -> bool:
        """True where the aft end is the smaller one; it is printed standing on the other."""
        return self.aft_diameter < self.forward_diameter

    def shape(self) -> Revolved | Cut:
        """The transition about its axis, forward end of the skin at the origin.

        Raises:
            PartError: the wall, a shoulder, the motor bore or a hole does not fit the body.
        """
        return _built(self)

    def _build(self) -> Revolved | Cut:
        skin, (forward, aft) = self.skin(), self.ends()
        found = self._inside(forward, aft)
        inner = _turned_round(found.loop, self.length) if self.narrows else found.loop
        front = self._over(forward, 0.0, inner[0].piece.start)
        # The aft end is the forward one seen in a mirror, run the other way.
        rear = backwards(self._over(aft, self.length, inner[-1].piece.end))
        body = Revolved(Meridian((*front, *edges(skin, "wetted"), *rear, *backwards(inner))))
        holes = radial_holes(self, found)
        return Cut(body, holes) if holes else body

    def radius_at(self, station: float) -> float:
        """Radius of the skin at a station from 0 to its length [mm]."""
        return float(self.outside().radius(np.array([station]))[0])

    def walls(self) -> Mapping[str, float]:
        """Body, shoulders and the sleeve of a motor bore of a hollow one."""
        if self.body == "solid":
            return {}
        return {
            "body": self.wall,
            **({"shoulder": self.shoulder_wall} if self.forward_shoulder_length or self.aft_shoulder_length else {}),
            **({"sleeve": self.bore_wall} if self.motor_bore_diameter is not None else {}),
        }

    def measures(self) -> tuple[Measure, ...]:
        """Every size that calipers reach, and what lies inside."""
        return transition_measures(self)

    def cavity_stations(self) -> tuple[float, float] | None:
        """First and last station of what is hollow, beside a motor bore [mm]; None where nothing is."""
        cavity = self._inside(*self.ends()).cavity
        if not cavity:
            return None
        first, last = cavity[0].start[0], cavity[-1].end[0]
        return (self.length - last, self.length - first) if self.narrows else (first, last)

    def is_open_at(self, station: float, radius: float) -> bool:
        """True where the cavity reaches a radius [mm] at a station [mm] and ends there."""
        cavity = self._inside(*self.ends()).cavity
        x = self.length - station if self.narrows else station
        within = cavity and cavity[0].start[0] <= x <= cavity[-1].end[0]
        return bool(within) and abs(radius_at(cavity, x) - radius) < _SAME

    # --- ends ---------------------------------------------------------------------------------------------------------

    def ends(self) -> tuple[End, End]:
        """Both ends, forward and aft.

        Raises:
            PartError: a shoulder is half stated, or does not go with its end.
        """
        forward = self._end("forward", self.forward_diameter, self.forward_shoulder_length)
        return forward, self._end("aft", self.aft_diameter, self.aft_shoulder_length)

    def _end(self, word: Literal["forward", "aft"], diameter: float, length: float) -> End:
        name = f"{word}_shoulder_diameter"
        outside: float | None = getattr(self, name)
        if length == 0.0:
            if outside is not None:
                raise PartError(f"{word}_shoulder_length: is needed for a shoulder and not stated")
            return End(word, diameter / 2.0, 0.0, 0.0)
        if outside is None:
            raise PartError(f"{name}: is needed for a shoulder and not stated")
        if outside >= diameter:
            raise PartError(
                f"{name}: {outside:g} mm is not smaller than the {word} end of the skin, {diameter:g} mm, so it cannot "
                "enter the tube that the skin meets"
            )
        if self.body == "hollow" and self.shoulder_wall >= outside / 2.0:
            raise PartError(
                f"shoulder_wall: {self.shoulder_wall:g} mm is not less than the {word} shoulder's radius, "
                f"{outside / 2.0:g} mm; make the body solid instead"
            )
        return End(word, diameter / 2.0, length, outside / 2.0)

    def _over(self, end: End, station: float, opening: Point) -> Loop:
        """From the opening (or the axis) outwards over the shoulder to the rim of the skin.

        Raises:
            PartError: the chamfer leaves nothing for the shoulder to stand on.
        """
        corners: list[tuple[Point, Role]] = [(opening, "" if end.shoulder_length else "seat")]
        if end.shoulder_length:
            first, radius = opening[0], end.shoulder_radius
            on_bed = (end.word == "forward") == self.narrows
            chamfer = self.bed_chamfer if on_bed else 0.0
            if chamfer:
                self._check_chamfer(end, radius - opening[1])
                corners += [
                    ((first, radius - chamfer), ""),
                    ((first + math.copysign(chamfer, station - first), radius), "fit"),
                ]
            else:
                corners += [((first, radius), "fit")]
            corners += [((station, radius), "seat")]
        stops = [point for point, _ in corners[1:]] + [(station, end.radius)]
        return tuple(Edge(Line(start, stop), role) for (start, role), stop in zip(corners, stops, strict=True))

    def _check_chamfer(self, end: End, thick: float) -> None:
        """The chamfer leaves something to stand on.

        Raises:
            PartError: it does not.
        """
        most = at_most(min(thick, end.shoulder_length) - _LEAST_LAND)
        if self.bed_chamfer > most + 1e-9:
            raise PartError(
                f"bed_chamfer: {self.bed_chamfer:g} mm does not leave {_LEAST_LAND:g} mm of the {end.word} shoulder, "
                f"{thick:.4g} mm thick and {end.shoulder_length:g} mm long; "
                + (f"at most {most:g} mm, or 0 for none" if most > 0.0 else "0 for none")
            )

    # --- inside -------------------------------------------------------------------------------------------------------

    def _inside(self, forward: End, aft: End) -> Inside:
        """The inside, from the smaller end of the skin at 0 to the larger.

        Raises:
            PartError: the wall leaves no opening at an end, or the motor bore no material.
        """
        small, large = (aft, forward) if self.narrows else (forward, aft)
        first, last = -small.shoulder_length, self.length + large.shoulder_length
        bore = self._motor_bore(forward, aft)
        if self.body == "solid":
            return bored((), bore, first, last) if bore else solid(first, last)
        profile = self.outside()
        if bore is None:
            self._check_openings(profile, forward, aft)
        above = ceiling(bore, first, last) if bore else ()
        found = cavity(profile.limits(self.wall), self.length, small, large, self.shoulder_wall, above)
        return bored(found, bore, first, last) if bore else hollow(found)

    def _check_openings(self, profile: TransitionProfile, forward: End, aft: End) -> None:
        """The wall leaves an opening at both ends.

        Raises:
            PartError: it does not.
        """
        openings = _openings(profile, self.wall)
        for end, radius in zip((forward, aft), reversed(openings) if self.narrows else openings, strict=True):
            if radius <= 0.0:
                most = at_most(_most_wall(profile, self.wall))
                raise PartError(
                    f"wall: {self.wall:g} mm, square to the skin, leaves no opening at the {end.word} end of "
                    f"{2.0 * end.radius:g} mm diameter; make the body solid instead, or take a wall of at most "
                    f"{most:g} mm"
                )

    def _motor_bore(self, forward: End, aft: End) -> MotorBore | None:
        """The motor bore with its recess; None where there is none.

        Raises:
            PartError: a size is missing, or leaves no material.
        """
        across, deep = self.retainer_recess_diameter, self.retainer_recess_depth
        if self.motor_bore_diameter is None:
            if across is not None or deep is not None:
                raise PartError("motor_bore_diameter: is needed for the retainer's recess and not stated")
            return None
        if (across is None) != (deep is None):
            missing = "retainer_recess_diameter" if across is None else "retainer_recess_depth"
            raise PartError(f"{missing}: is needed for the retainer's recess and not stated")
        radius, depth = (across or 0.0) / 2.0, deep or 0.0
        if depth and not self.narrows and self.body == "hollow":
            raise PartError(
                "retainer_recess_diameter: the aft end is the larger one here, where the sleeve stands free in the "
                "hollow body; make the body solid, or leave the recess out"
            )
        whole = forward.shoulder_length + self.length + aft.shoulder_length
        if depth and depth > whole - self.bore_web:
            raise PartError(
                f"retainer_recess_depth: {depth:g} mm does not leave the {self.bore_web:g} mm of bore_web ahead of it; "
                f"at most {at_most(whole - self.bore_web):g} mm"
            )
        ends = (aft, forward) if self.narrows else (forward, aft)
        bore = MotorBore(
            self.motor_bore_diameter / 2.0,
            self.bore_wall,
            self.bore_web,
            radius,
            depth,
            "small" if self.narrows else "large",
        )
        ahead = self.length - max(depth - aft.shoulder_length, 0.0)
        check_bore(bore, *ends, min(aft.least, self.radius_at(ahead)))
        return bore

    # --- place --------------------------------------------------------------------------------------------------------

    def pose(self) -> Placement:
        """Standing on its larger end; on its aft end where both are equal."""
        if not self.narrows:
            return STANDING.at(self.extent()[1])
        # Aft end up: +x points up, the roll 0 side stays at +y.
        up = (0.0, 0.0, -1.0, 0.0, 1.0, 0.0, 1.0, 0.0, 0.0)
        return Placement(turn=up, move=(0.0, 0.0, self.forward_shoulder_length))

    def extent(self) -> tuple[float, float]:
        """The ends of the shoulders; the first lies ahead of station 0 where there is a forward shoulder."""
        return -self.forward_shoulder_length, self.length + self.aft_shoulder_length


@lru_cache(maxsize=128)
def _built(part: Transition) -> Revolved | Cut:
    """Built once: every check and figure of a design asks for its shape again."""
    return part._build()


def _turned_round(loop: Loop, length: float) -> Loop:
    """Edges as seen from the other end of a length [mm], their roles kept."""
    return tuple(Edge(turned_round((edge.piece,), length)[0], edge.role) for edge in reversed(loop))


def _openings(profile: TransitionProfile, wall: float) -> tuple[float, float]:
    """Radius of the inside at the smaller end and at the larger [mm]."""
    limits = profile.limits(wall)
    at_small = [chain[0].start[1] for chain in limits if chain[0].start[0] <= 0.0]
    at_large = [chain[-1].end[1] for chain in limits if chain[-1].end[0] >= profile.length]
    return min(at_small), min(at_large)


def _most_wall(profile: TransitionProfile, too_thick: float) -> float:
    """The thickest wall that leaves an opening at both ends [mm], below one that does not."""
    low, high = 0.0, too_thick
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (middle, high) if min(_openings(profile, middle)) > 0.0 else (low, middle)
    return low
