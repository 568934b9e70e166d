"""Transition: a conical change of diameter between two tubes, or a boat tail behind the last."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, ClassVar, Literal, NamedTuple

from pydantic import Field

from ..chain import Chain
from ..curve import Line, Point
from ..errors import PartError
from ..fit import Derived, Surroundings, nose_base, shoulder
from ..params import Length
from ..part import Part, register
from ..poses import STANDING
from ..shape import Edge, Loop, Meridian, Placement, Revolved, Role

_SHORTEST = 1e-6
"""Edges of the inside shorter than this [mm] are none."""


class _End(NamedTuple):
    """One end of the skin and its shoulder."""

    word: Literal["forward", "aft"]
    radius: float
    shoulder_length: float
    shoulder_radius: float


@register
class Transition(Part):
    r"""A turned cone between two diameters, with a shoulder at each end where wanted.

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
    Either end may be the larger; with equal diameters it is a spacer, whose skin continues the tubes. Where the bore of
    a shoulder is narrower than the inside of the body, it opens into it at 45 degrees, which prints without support.
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

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Forward end from the tube ahead, which it `fits`; aft end from the tube behind, named by `around`.

        Each end's skin follows from its tube's outside, and its shoulder, where it has one, from the tube's inside.
        """
        found = super().derived(stated, near)
        fits, around = near.fits, near.around
        for end, tube in (("forward", fits), ("aft", around)):
            if tube and f"{end}_diameter" not in stated:
                found[f"{end}_diameter"] = nose_base(tube)
            if tube and f"{end}_shoulder_length" in stated and f"{end}_shoulder_diameter" not in stated:
                found[f"{end}_shoulder_diameter"] = shoulder(tube, near.choice)
        return found

    def skin(self) -> Chain:
        """The wetted cone from its forward end to its aft end."""
        return (Line((0.0, self.forward_diameter / 2.0), (self.length, self.aft_diameter / 2.0)),)

    def shape(self) -> Revolved:
        """The transition about its axis, forward end of the skin at the origin.

        Raises:
            PartError: the wall or a shoulder does not fit the body.
        """
        forward, aft = self._ends()
        inside = self._inside(forward, aft) if self.body == "hollow" else self._axis(forward, aft)
        first, last = inside[0], inside[-1]
        front = _over(forward, 0.0, first)
        # The aft end is the forward one seen in a mirror, run the other way.
        rear = _reversed(_over(aft, self.length, last))
        bore = tuple(Edge(Line(b, a)) for a, b in reversed(list(pairwise(inside))))
        return Revolved(Meridian((*front, Edge(self.skin()[0], "wetted"), *rear, *bore)))

    def _ends(self) -> tuple[_End, _End]:
        """Both ends.

        Raises:
            PartError: a shoulder is half stated, or does not go with its end.
        """
        forward = self._end("forward", self.forward_diameter, self.forward_shoulder_length)
        return forward, self._end("aft", self.aft_diameter, self.aft_shoulder_length)

    def _end(self, word: Literal["forward", "aft"], diameter: float, length: float) -> _End:
        name = f"{word}_shoulder_diameter"
        outside: float | None = getattr(self, name)
        if length == 0.0:
            if outside is not None:
                raise PartError(f"{word}_shoulder_length: is needed for a shoulder and not stated")
            return _End(word, diameter / 2.0, 0.0, 0.0)
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
        return _End(word, diameter / 2.0, length, outside / 2.0)

    def _axis(self, forward: _End, aft: _End) -> tuple[Point, ...]:
        return (-forward.shoulder_length, 0.0), (self.length + aft.shoulder_length, 0.0)

    def _inside(self, forward: _End, aft: _End) -> tuple[Point, ...]:
        """Corners of the inside from its forward opening to its aft one [mm].

        The parallel of the skin, and on each side of a shoulder no wider than its bore, which opens at 45 degrees from
        a shoulder wall inside the body: the step from skin to shoulder hangs on the material between the two.

        Raises:
            PartError: the wall leaves no opening at an end.
        """
        lean = (aft.radius - forward.radius) / self.length
        drop = self.wall * math.hypot(1.0, lean)
        for end in (forward, aft):
            if drop >= end.radius:
                raise PartError(
                    f"wall: {self.wall:g} mm, square to the skin, leaves no opening at the {end.word} end of "
                    f"{2.0 * end.radius:g} mm diameter; make the body solid instead"
                )
        # Each limit is a line from `first` to `last`, as (first, radius there, slope, last).
        run_on = min(self.shoulder_wall, self.length / 4.0)
        limits = [(0.0, forward.radius - drop, lean, self.length)]
        if forward.shoulder_length:
            bore = forward.shoulder_radius - self.shoulder_wall
            limits += [(0.0, bore, 0.0, run_on), (run_on, bore, 1.0, self.length)]
        if aft.shoulder_length:
            bore, start = aft.shoulder_radius - self.shoulder_wall, self.length - run_on
            limits += [(0.0, bore + start, -1.0, start), (start, bore, 0.0, self.length)]
        corners = _lowest(limits)
        if forward.shoulder_length:
            corners = _led_in(corners, forward, self.shoulder_wall, -forward.shoulder_length)
        if aft.shoulder_length:
            opening = self.length + aft.shoulder_length
            corners = tuple(reversed(_led_in(tuple(reversed(corners)), aft, self.shoulder_wall, opening)))
        return corners

    def pose(self) -> Placement:
        """Standing on its larger end; on its aft end where both are equal."""
        if self.forward_diameter <= self.aft_diameter:
            return STANDING.at(self.extent()[1])
        # Aft end up: +x points up, the roll 0 side stays at +y.
        up = (0.0, 0.0, -1.0, 0.0, 1.0, 0.0, 1.0, 0.0, 0.0)
        return Placement(turn=up, move=(0.0, 0.0, self.forward_shoulder_length))

    def extent(self) -> tuple[float, float]:
        """The ends of the shoulders; the first lies ahead of station 0 where there is a forward shoulder."""
        return -self.forward_shoulder_length, self.length + self.aft_shoulder_length


def _over(end: _End, station: float, opening: Point) -> Loop:
    """From the opening (or the axis) outwards over the shoulder to the rim of the skin."""
    corners: list[tuple[Point, Role]] = [(opening, "" if end.shoulder_length else "seat")]
    if end.shoulder_length:
        corners += [((opening[0], end.shoulder_radius), "fit"), ((station, end.shoulder_radius), "seat")]
    stops = [point for point, _ in corners[1:]] + [(station, end.radius)]
    return tuple(Edge(Line(start, stop), role) for (start, role), stop in zip(corners, stops, strict=True))


def _reversed(loop: Loop) -> Loop:
    return tuple(Edge(edge.piece.reversed(), edge.role) for edge in reversed(loop))


def _lowest(limits: list[tuple[float, float, float, float]]) -> tuple[Point, ...]:
    """Corners of what lies under all of some lines over a range, each line as (first, value there, slope, last)."""

    def height(x: float) -> float:
        return min(value + slope * (x - first) for first, value, slope, last in limits if first <= x <= last)

    stations = {x for first, _, _, last in limits for x in (first, last)}
    for index, (first, value, slope, last) in enumerate(limits):
        for start, other, other_slope, stop in limits[:index]:
            if slope != other_slope:
                x = (other - value + slope * first - other_slope * start) / (slope - other_slope)
                stations |= {x} if max(first, start) < x < min(last, stop) else set()
    points = [(x, height(x)) for x in sorted(stations)]
    kept = points[:1]
    for point, after in pairwise(points[1:]):
        before = kept[-1]
        # A corner is where the slope changes; stations that are too near to each other are one.
        if min(point[0] - before[0], after[0] - point[0]) < _SHORTEST:
            continue
        turn = (after[1] - point[1]) * (point[0] - before[0]) - (point[1] - before[1]) * (after[0] - point[0])
        if abs(turn) > _SHORTEST * (after[0] - before[0]):
            kept.append(point)
    return (*kept, points[-1])


def _led_in(corners: tuple[Point, ...], end: _End, wall: float, opening: float) -> tuple[Point, ...]:
    """The corners with the bore of a shoulder put before them, over a step where the body is narrower than the bore."""
    bore, (station, radius) = end.shoulder_radius - wall, corners[0]
    if radius >= bore - _SHORTEST:
        level = len(corners) > 1 and abs(corners[1][1] - bore) < _SHORTEST
        rest = corners[1:] if level else ((station, bore), *corners[1:])
        return ((opening, bore), *((x, bore if abs(r - bore) < _SHORTEST else r) for x, r in rest))
    return ((opening, bore), (station, bore), *corners)
