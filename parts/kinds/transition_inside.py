"""The inside of a transition: its cavity, and the sleeve of a motor tube that passes through it.

Everything here runs from the smaller end of the skin, at 0, to the larger one, which stands on the bed: what rises aft
in these terms prints without support as long as it rises by no more than 45 degrees.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal, NamedTuple

from ..chain import Chain, crossings, cut
from ..curve import Line, Point
from ..envelope import lowest, radius_at
from ..errors import PartError
from ..shape import Edge, Loop, Role, edges

LEAST_GAP = 1.0
"""A gap round the sleeve that is narrower or shorter than this [mm] is filled: two lines of a 0.4 mm nozzle would touch
across it (common practice)."""

_SAME = 1e-5
"""Stations that differ by less than this [mm] are the same."""


class End(NamedTuple):
    """One end of the skin and its shoulder.

    Attributes:
        word: which end of the part it is.
        radius: of the skin [mm].
        shoulder_length: 0 for none [mm].
        shoulder_radius: of the shoulder's outside [mm]; 0 for none.
    """

    word: Literal["forward", "aft"]
    radius: float
    shoulder_length: float
    shoulder_radius: float

    @property
    def least(self) -> float:
        """The smaller radius of its outside [mm]."""
        return self.shoulder_radius or self.radius


@dataclass(frozen=True, slots=True)
class MotorBore:
    """A bore right through, and a wider recess at the aft end.

    Attributes:
        radius: of the bore [mm].
        wall: of the sleeve round it, and least material anywhere beside it [mm].
        web: thickness of the ring at the smaller end that ties the sleeve to the skin [mm].
        recess_radius: of the recess [mm]; 0 for none.
        recess_depth: along the axis [mm]; 0 for none.
        recess_at: which end of the skin is the aft one.
    """

    radius: float
    wall: float
    web: float
    recess_radius: float
    recess_depth: float
    recess_at: Literal["small", "large"]

    @property
    def sleeve(self) -> float:
        """Radius of the outside of the sleeve [mm]."""
        return self.radius + self.wall


@dataclass(frozen=True, slots=True)
class Inside:
    """What lies inside the outside.

    Attributes:
        loop: the inner side of the section from the smaller end's opening to the larger end's; a line on the axis where
            there is none.
        cavity: the outer side of what is hollow, from its first station to the larger end's opening; nothing where
            nothing is.
        core: radius of what fills the middle of the cavity: of the sleeve, or 0 [mm].
    """

    loop: Loop
    cavity: Chain
    core: float

    def open_to(self, first: float, last: float, half_width: float) -> float | None:
        """Radius that lies in the cavity over two stations and as far to each side [mm]; None where there is none."""
        if not self.cavity or first < self.cavity[0].start[0] or last > self.cavity[-1].end[0]:
            return None
        corners = [piece.start[0] for piece in self.cavity if first < piece.start[0] < last]
        roof = min(radius_at(self.cavity, x) for x in (first, *corners, last))
        clear = math.sqrt(max(roof**2 - half_width**2, 0.0))
        return (clear + self.core) / 2.0 if clear > self.core else None


def cavity(
    walls: Sequence[Chain],
    length: float,
    small: End,
    large: End,
    shoulder_wall: float,
    top: Chain = (),
) -> Chain:
    """The hollow inside from the opening at the smaller end to the one at the larger.

    The lowest of the walls of the skin, and on each side of a shoulder no wider than its bore, which opens at 45
    degrees from a shoulder wall inside the body: the step from skin to shoulder hangs on the material between the two.

    Args:
        walls: what the wall of the skin limits, from 0 to the length.
        length: of the skin [mm].
        small: the smaller end, at 0.
        large: the larger end.
        shoulder_wall: on the radius [mm].
        top: one more straight limit over all of it; none if empty.
    """
    limits = [*walls]
    # Of a short body no more than a quarter is kept at each end.
    run_on, last = min(shoulder_wall, length / 4.0), length + large.shoulder_length
    if small.shoulder_length:
        bore = small.shoulder_radius - shoulder_wall
        limits.append(_through((-small.shoulder_length, bore), (run_on, bore), (last, bore + last - run_on)))
    if large.shoulder_length:
        bore, start = large.shoulder_radius - shoulder_wall, length - run_on
        limits.append(_through((0.0, bore + start), (start, bore), (last, bore)))
        # A bore wider than the body narrows to it at 45 degrees too, for this end is the lower one.
        body = min(wall[-1].end[1] for wall in walls if wall[-1].end[0] >= length - _SAME)
        if body < bore:
            limits.append(_through((length, body), (last, body + large.shoulder_length)))
    if top:
        limits.append(top)
    return lowest(limits)


def hollow(found: Chain) -> Inside:
    """A cavity without anything in it."""
    return Inside(edges(found), found, 0.0)


def solid(first: float, last: float) -> Inside:
    """No cavity: the axis from end to end."""
    return Inside((Edge(Line((first, 0.0), (last, 0.0))),), (), 0.0)


def bored(roof: Chain, bore: MotorBore, first: float, last: float) -> Inside:
    """A bore right through, and round its sleeve what is left of a cavity.

    The cavity is closed by a ring at the smaller end, whose underside falls away at 45 degrees, and open at the larger
    one; where sleeve and skin leave less than `LEAST_GAP` between them there, it is filled.

    Args:
        roof: the cavity without the sleeve, under the ceiling of the bore; nothing for a solid body.
        bore: the bore.
        first: station of the smaller end of the part [mm].
        last: station of its larger end [mm].
    """
    at_small, at_large = (bore.recess_depth if bore.recess_at == end else 0.0 for end in ("small", "large"))
    corners: list[tuple[Point, Role]] = [((first, bore.radius), "fit")]
    if at_small:
        floor = first + at_small
        corners = [
            ((first, bore.recess_radius), "fit"),
            ((floor, bore.recess_radius), "seat"),
            ((floor, bore.radius), "fit"),
        ]
    if at_large:
        floor = last - at_large
        corners += [((floor, bore.radius), "seat"), ((floor, bore.recess_radius), "fit")]
    corners += [((last, bore.recess_radius if at_large else bore.radius), "")]
    through = tuple(Edge(Line(a, b), role) for (a, role), (b, _) in pairwise(corners))
    roof = _beyond(roof, bore.sleeve)
    if not roof:
        return Inside(through, (), bore.sleeve)
    open_end = (last, bore.sleeve)
    sleeve = (Line(corners[-1][0], open_end), Line(open_end, roof[0].start))
    return Inside((*through, *edges((*sleeve, *roof))), roof, bore.sleeve)


def ceiling(bore: MotorBore, first: float, last: float) -> Chain:
    """The underside of the ring at the smaller end, which rises from the sleeve at 45 degrees.

    Args:
        bore: the bore.
        first: station of the smaller end of the part [mm].
        last: station of its larger end [mm].
    """
    deep = bore.web + (bore.recess_depth if bore.recess_at == "small" else 0.0)
    start = bore.sleeve - deep
    return _through((first, start), (last, start + last - first))


def _beyond(roof: Chain, sleeve: float) -> Chain:
    """What of a cavity lies outside a sleeve and is open at the larger end; nothing where that is too little."""
    if not roof or roof[-1].end[1] < sleeve + LEAST_GAP:
        return ()
    leaves = crossings(roof, lambda points: points[:, 1] - sleeve)
    if not leaves:
        return ()
    first, *rest = cut(roof, leaves[-1], None)
    if roof[-1].end[0] - first.start[0] < LEAST_GAP:
        return ()
    place = (first.start[0], sleeve)
    return (replace(first, start=place) if isinstance(first, Line) else first, *rest)


def _through(*corners: Point) -> Chain:
    return tuple(Line(a, b) for a, b in pairwise(corners))


def check_bore(bore: MotorBore, small: End, large: End, radius_of_recess_end: float) -> None:
    """A motor bore and its recess leave material at both ends.

    Args:
        bore: the bore.
        small: the smaller end.
        large: the larger end.
        radius_of_recess_end: smallest radius of the outside over the depth of the recess [mm].

    Raises:
        PartError: they do not.
    """
    end = min((small, large), key=lambda one: one.least)
    if end.least - bore.radius < bore.wall - 1e-9:
        what = f"{end.word} {'shoulder' if end.shoulder_length else 'end'}"
        raise PartError(
            f"motor_bore_diameter: {2.0 * bore.radius:g} mm leaves {max(end.least - bore.radius, 0.0):.3g} mm of the "
            f"{what}, {2.0 * end.least:g} mm; with bore_wall {bore.wall:g} mm at most "
            f"{at_most(2.0 * (end.least - bore.wall)):g} mm"
        )
    if not bore.recess_radius:
        return
    if bore.recess_radius <= bore.radius:
        raise PartError(
            f"retainer_recess_diameter: {2.0 * bore.recess_radius:g} mm is not above motor_bore_diameter, "
            f"{2.0 * bore.radius:g} mm"
        )
    if radius_of_recess_end - bore.recess_radius < bore.wall - 1e-9:
        raise PartError(
            f"retainer_recess_diameter: {2.0 * bore.recess_radius:g} mm leaves "
            f"{max(radius_of_recess_end - bore.recess_radius, 0.0):.3g} mm of the outside over its depth; with "
            f"bore_wall {bore.wall:g} mm at most {at_most(2.0 * (radius_of_recess_end - bore.wall)):g} mm"
        )


def at_most(value: float) -> float:
    """A limit for a message, rounded down to what the reader can state and be within it [mm]; never below 0."""
    return max(math.floor(100.0 * value + 1e-7) / 100.0, 0.0)


def at_least(value: float) -> float:
    """The same for a lower limit, rounded up [mm]."""
    return math.ceil(100.0 * value - 1e-7) / 100.0
