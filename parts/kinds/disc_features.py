"""Openings of a flat round disc, what must stay between them, and the outline that they leave.

Seen from behind with the rail line upwards; rolls count clockwise from the rail line. Lengths in [mm].
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Literal, TypeAlias

from ..curve import Arc, Line, Point
from ..errors import PartError
from ..shape import Edge, Loop, Outline, Role, backwards, circle, hole, polygon
from .disc_gaps import Bone, farthest, gap
from .hole_circle import LEAST_WEB

NOTCH_WEB = 5.0
"""Material that must stay between a fin's notch and the edge across the web [mm] (common practice)."""

NUT_ROOM = 2.0
"""Room between a washer, or the nut on it, and the motor tube [mm] (common practice)."""

MIDDLE: Point = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Name:
    """What messages and the template call a feature.

    Attributes:
        word: name of all of its sort, such as `vent hole`.
        place: where this one is, such as `at 90 deg`; empty where there is one.
        field: the field that says how near to others it lies.
        spread: the field that says how near those of its sort lie to each other.
    """

    word: str
    place: str
    field: str
    spread: str

    def __str__(self) -> str:
        """Such as `the vent hole at 90 deg`."""
        return " ".join(filter(None, ("the", self.word, self.place)))


@dataclass(frozen=True, slots=True)
class Round:
    """A round opening, or the place of a washer.

    Attributes:
        name: what it is called.
        centre: its middle [mm].
        radius: half its diameter [mm].
        role: what its face is for.
        tube: True where a motor tube goes through it.
    """

    name: Name
    centre: Point
    radius: float
    role: Role = "fit"
    tube: bool = False

    @property
    def bones(self) -> tuple[Bone, ...]:
        """Its middle."""
        return (self.centre,)

    def holds(self, _point: Point) -> bool:
        """False: what lies in a circle is told by the gap."""
        return False

    def loop(self) -> Loop:
        """Its edge, clockwise."""
        return hole(self.radius, self.centre, self.role)


@dataclass(frozen=True, slots=True)
class Slot:
    """A slot of one width along a circle about the middle, its ends round.

    Attributes:
        name: what it is called.
        arc: line through its middle from the centre of one end to that of the other, anticlockwise.
        radius: half its width [mm].
    """

    name: Name
    arc: Arc
    radius: float

    @property
    def bones(self) -> tuple[Bone, ...]:
        """The line through its middle."""
        return (self.arc,)

    @property
    def middle(self) -> Point:
        """Half way along it [mm]."""
        return self.arc.part(0.0, 0.5).end

    def holds(self, _point: Point) -> bool:
        """False: what lies in a slot is told by the gap."""
        return False

    def loop(self) -> Loop:
        """Its edge, clockwise."""
        middle, first, last = self.arc.radius, self.arc.start_angle, self.arc.start_angle + self.arc.sweep
        return backwards(
            (
                Edge(Arc(MIDDLE, middle + self.radius, first, self.arc.sweep)),
                Edge(Arc(self.arc.end, self.radius, last, math.pi)),
                Edge(Arc(MIDDLE, middle - self.radius, last, -self.arc.sweep)),
                Edge(Arc(self.arc.start, self.radius, first + math.pi, math.pi)),
            )
        )


@dataclass(frozen=True, slots=True)
class Notch:
    """A notch in the rim or in the bore: two sides square to a flat floor, or a vee.

    Attributes:
        name: what it is called.
        roll: where its middle is [rad].
        half: half its width [mm].
        floor: distance of its floor, or of the tip of a vee, from the middle of the disc [mm].
        edge: radius of the edge that it opens [mm].
        side: which edge that is.
        vee: True for a vee.
    """

    name: Name
    roll: float
    half: float
    floor: float
    edge: float
    side: Literal["rim", "bore"] = "rim"
    vee: bool = False

    @property
    def radius(self) -> float:
        """0: its bones are its edge."""
        return 0.0

    @property
    def mouth(self) -> float:
        """Distance of its corners on the edge from the middle of the disc, along its own middle line [mm]."""
        return math.sqrt(self.edge**2 - self.half**2)

    @property
    def turn(self) -> float:
        """Half the angle that it takes out of the edge [rad]."""
        return math.asin(self.half / self.edge)

    @property
    def direction(self) -> float:
        """Direction of its middle line [rad], anticlockwise from the right."""
        return math.pi / 2.0 - self.roll

    def at(self, out: float, left: float) -> Point:
        """A point so far out along its middle line, and to the left of it [mm]."""
        c, s = math.cos(self.direction), math.sin(self.direction)
        return out * c - left * s, out * s + left * c

    def floor_points(self) -> tuple[Point, ...]:
        """Corners at its floor, anticlockwise about the middle of the disc."""
        if self.vee:
            return (self.at(self.floor, 0.0),)
        return self.at(self.floor, -self.half), self.at(self.floor, self.half)

    @property
    def bones(self) -> tuple[Bone, ...]:
        """Its sides and floor."""
        points = (self.at(self.mouth, -self.half), *self.floor_points(), self.at(self.mouth, self.half))
        return tuple(Line(a, b) for a, b in pairwise(points))

    def holds(self, point: Point) -> bool:
        """True for a point between its sides."""
        c, s = math.cos(self.direction), math.sin(self.direction)
        out, left = point[0] * c + point[1] * s, point[1] * c - point[0] * s
        share = (out - self.floor) / (self.mouth - self.floor) if self.vee else 1.0
        away = math.hypot(*point)
        if self.side == "rim":
            inside = self.floor < out and away < self.edge
        else:
            inside = 0.0 < out < self.floor and away > self.edge
        return inside and abs(left) < self.half * share

    def beyond(self, past: float) -> Outline:
        """What it takes out of the disc, and a little past the rim [mm], for the tool that cuts it."""
        out = self.edge + past
        half = self.half * (out - self.floor) / (self.mouth - self.floor) if self.vee else self.half
        corners = (self.at(out, half), *reversed(self.floor_points()), self.at(out, -half))
        return Outline(polygon(corners))


Opening: TypeAlias = Round | Slot
Feature: TypeAlias = Round | Slot | Notch

BORE = Name("bore", "", "inside_diameter", "inside_diameter")


@dataclass(frozen=True, slots=True)
class Disc:
    """A flat round disc, seen from behind.

    Attributes:
        rim: radius of the edge [mm].
        bore: radius of the bore in the middle, for the motor tube [mm]; 0 for none.
        openings: holes and slots.
        notches: notches in rim and bore.
        washers: where washers lie, which is marked and not cut.
    """

    rim: float
    bore: float = 0.0
    openings: tuple[Opening, ...] = ()
    notches: tuple[Notch, ...] = ()
    washers: tuple[Round, ...] = ()

    def check(self) -> None:
        """Enough material stays between every two openings, and between each and the edges.

        Raises:
            PartError: it does not; the message names both features, the web left and what must stay.
        """
        for item in (*self.openings, *self.notches, *self.washers):
            if isinstance(item, Notch) and item.side == "rim":
                continue
            web = self.rim - max(farthest(bone) for bone in item.bones) - item.radius
            _hold(item, "the rim", web, self._least(item, None), item.name.field)
        for first, second in combinations(self.features(), 2):
            if _belong(first, second):
                continue
            # A message names the field of the later one, which is the less important; never that of the bore.
            where = second.name.spread if first.name.word == second.name.word else second.name.field
            _hold(second, str(first.name), web_between(first, second), self._least(first, second), where)

    def features(self) -> tuple[Feature, ...]:
        """Everything that is opened or covered, from the middle on."""
        middle = (Round(BORE, MIDDLE, self.bore, tube=True),) if self.bore else ()
        return (*middle, *self.openings, *self.notches, *self.washers)

    def _least(self, first: Feature, second: Feature | None) -> float:
        """What must stay between two features, or between one and the rim [mm]."""
        pair = (first, second)
        if any(item in self.washers for item in pair):
            return NUT_ROOM if any(isinstance(item, Round) and item.tube for item in pair) else 0.0
        notches = [item for item in pair if isinstance(item, Notch) and not item.vee]
        across = second is None or any(isinstance(item, Round) and item.tube for item in pair)
        return NOTCH_WEB if notches and across else LEAST_WEB

    def outline(self) -> Outline:
        """What is left of the disc, the rail line upwards.

        Raises:
            PartError: too little material stays somewhere.
        """
        self.check()
        rim = [notch for notch in self.notches if notch.side == "rim"]
        bore = [notch for notch in self.notches if notch.side == "bore"]
        outer = _notched(self.rim, rim) if rim else circle(self.rim, role="fit")
        inner: tuple[Loop, ...] = ()
        if self.bore:
            inner = (backwards(_notched(self.bore, bore)) if bore else hole(self.bore, role="fit"),)
        return Outline(outer, (*inner, *(one.loop() for one in self.openings)))


def web_between(first: Feature, second: Feature) -> float:
    """Material between two features [mm]; negative where they run into each other."""
    near = min(gap(a, b) for a in first.bones for b in second.bones) - first.radius - second.radius
    inside = any(first.holds(point) for point in _points(second)) or any(
        second.holds(point) for point in _points(first)
    )
    return -abs(near) if inside else near


def _points(item: Feature) -> Iterator[Point]:
    for bone in item.bones:
        yield bone.start if isinstance(bone, Line | Arc) else bone


def _belong(first: Feature, second: Feature) -> bool:
    """True for a notch and the edge that it opens, and for a washer over its own hole."""
    pair = (first, second)
    for one, other in (pair, pair[::-1]):
        if isinstance(one, Notch) and one.side == "bore" and isinstance(other, Round) and other.centre == MIDDLE:
            return other.tube
    over = isinstance(first, Round) and isinstance(second, Round) and first.centre == second.centre
    return over and (first.name.word == "washer") != (second.name.word == "washer")


def _hold(item: Feature, other: str, web: float, least: float, where: str) -> None:
    if web >= least - 1e-9:
        return
    left = "run into each other" if web < 0.0 else f"leave {web:.3g} mm between them"
    must = f"at least {least:g} mm must stay" if least else "they must not overlap"
    raise PartError(f"{where}: {item.name} and {other} {left}; {must}")


def _notched(radius: float, notches: list[Notch]) -> Loop:
    """A circle with notches, anticlockwise."""
    ordered = sorted(notches, key=lambda notch: notch.direction % math.tau)
    found: list[Edge] = []
    arcs: list[Arc] = []
    for notch, after in zip(ordered, (*ordered[1:], ordered[0]), strict=True):
        first = notch.direction + notch.turn
        sweep = (after.direction - after.turn - first) % math.tau
        arcs.append(Arc(MIDDLE, radius, first, sweep))
    for index, notch in enumerate(ordered):
        # The corners on the circle are the ends of its arcs, so that the loop closes to the last digit.
        points = (arcs[index - 1].end, *notch.floor_points(), arcs[index].start)
        found += [Edge(Line(a, b), "fit") for a, b in pairwise(points)]
        found.append(Edge(arcs[index], "fit"))
    return tuple(found)


def filled(opening: Opening) -> Outline:
    """What was taken out where an opening is."""
    return Outline(backwards(opening.loop()))


def from_behind(template: Outline) -> Outline:
    """The template's (x, y) as the plate's (y, z): seen from behind, up is +y and right is -z."""
    return template.placed(0.0, 0.0, -math.pi / 2.0)
