"""The tab of a fin through the tube's wall: its corners, notches for rings, and how it stands off round tubes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ..curve import Line, Point
from ..errors import PartError
from ..shape import Edge, Loop, Role
from .fin_planform import SHORTEST
from .hole_circle import LEAST_WEB

SHORT_OF_TUBE = 2.0
"""A tab that ends further than this from the motor tube [mm] misses it: no fillet of glue bridges more (common
practice)."""


@dataclass(frozen=True, slots=True)
class Tab:
    """A tab below the root.

    Attributes:
        first: root leading edge to its forward end [mm].
        last: root leading edge to its aft end [mm].
        depth: tube's surface to its bottom edge [mm].
        notches: forward and aft side of each notch in its bottom edge, the foremost first [mm].
        notch_depth: bottom edge to the floor of a notch [mm].
    """

    first: float
    last: float
    depth: float
    notches: tuple[tuple[float, float], ...] = ()
    notch_depth: float = 0.0

    def corners(self) -> tuple[Point, Point, Point, Point]:
        """Corners from its forward end, at the surface, round its bottom [mm]."""
        return (self.first, 0.0), (self.first, -self.depth), (self.last, -self.depth), (self.last, 0.0)

    def rim(self) -> tuple[Point, ...]:
        """Corners from its forward end to its aft end, round the notches [mm]."""
        front, low_front, low_rear, rear = self.corners()
        floor = self.notch_depth - self.depth
        steps = [
            place
            for start, end in self.notches
            for place in ((start, -self.depth), (start, floor), (end, floor), (end, -self.depth))
        ]
        return (front, low_front, *steps, low_rear, rear)


def tab(root_chord: float, length: float, depth: float, position: float) -> Tab | None:
    """The tab without its notches; None where there is none.

    Args:
        root_chord: chord at the tube's surface [mm].
        length: along the root [mm].
        depth: below the surface [mm].
        position: root leading edge to its forward end [mm].

    Raises:
        PartError: it is half stated, or not under the root.
    """
    if length == 0.0 and depth == 0.0:
        return None
    if length == 0.0 or depth == 0.0:
        name = "tab_length" if length == 0.0 else "tab_depth"
        raise PartError(f"{name}: a tab needs both a length and a depth; {name} is not stated")
    # An edge shorter than any file can hold is none.
    first = position if position > SHORTEST else 0.0
    last = first + length
    last = root_chord if abs(last - root_chord) <= SHORTEST else last
    if last > root_chord:
        raise PartError(
            f"tab_position: the tab ends {last:g} mm aft of the root leading edge, beyond the root chord of "
            f"{root_chord:g} mm"
        )
    return Tab(first, last, depth)


def notched(plain: Tab | None, positions: Sequence[float], length: float | None, depth: float | None) -> Tab | None:
    """The tab with notches in its bottom edge, each for a ring.

    Args:
        plain: the tab; None where there is none.
        positions: root leading edge to the forward side of each notch [mm].
        length: along the tab, of each [mm].
        depth: from the bottom edge, of each [mm].

    Raises:
        PartError: half stated, beyond the tab, as deep as it, or so near each other that no web is left.
    """
    sizes = {"notch_length": length, "notch_depth": depth}
    if not positions:
        for name, size in sizes.items():
            if size is not None:
                raise PartError(f"{name}: is of notches in the tab, and notch_positions states none")
        return plain
    if plain is None:
        raise PartError("notch_positions: notches are cut into a tab, and the fin has none (tab_length)")
    for name, size in sizes.items():
        if size is None:
            raise PartError(f"{name}: is needed for the notches in the tab and not stated")
    assert length is not None and depth is not None  # noqa: PT018, S101  refused above
    if depth > plain.depth - LEAST_WEB:
        raise PartError(
            f"notch_depth: notches of {depth:g} mm leave less than {LEAST_WEB:g} mm of a tab of {plain.depth:g} mm"
        )
    notches = tuple((start, start + length) for start in sorted(positions))
    for start, end in notches:
        if start < plain.first + LEAST_WEB or end > plain.last - LEAST_WEB:
            raise PartError(
                f"notch_positions: the notch from {start:g} to {end:g} mm does not lie within the tab, which runs from "
                f"{plain.first:g} to {plain.last:g} mm, with {LEAST_WEB:g} mm left beside it"
            )
    for (start, end), (after, _) in pairwise(notches):
        if after < end + LEAST_WEB:
            raise PartError(
                f"notch_positions: the notches at {start:g} and {after:g} mm, each {length:g} mm long, leave less than "
                f"{LEAST_WEB:g} mm between them"
            )
    return Tab(plain.first, plain.last, plain.depth, notches, depth)


def bottom(root_chord: float, found: Tab | None) -> Loop:
    """The lower side of a fin from the root leading edge aft: its root, and the tab below it."""
    rim: list[tuple[Point, Role]] = [((0.0, 0.0), "seat")]
    if found is not None:
        round_tab = found.rim()
        rim += [(place, "fit") for place in round_tab[:-1]] + [(round_tab[-1], "seat")]
    starts = rim
    ends = [place for place, _ in rim[1:]] + [(root_chord, 0.0)]
    return tuple(Edge(Line(start, end), role) for (start, role), end in zip(starts, ends, strict=True) if start != end)


def stands_off(diameter: float, thickness: float) -> float:
    """How far the faces of a flat edge stand off a round tube that its middle touches [mm].

    Args:
        diameter: of the tube [mm].
        thickness: of the fin, below the diameter [mm].

    Source: elementary geometry, R - sqrt(R^2 - t^2 / 4).
    """
    radius = diameter / 2.0
    return radius - math.sqrt(radius**2 - thickness**2 / 4.0)


def check_reach(
    found: Tab | None, body_diameter: float | None, body_inside: float | None, motor_tube_diameter: float | None
) -> None:
    """Refuse tubes that do not go into each other, and a tab that is deeper than the room between them.

    Args:
        found: the tab; None for none.
        body_diameter: outside of the tube that the fin stands on [mm]; None where it is not stated.
        body_inside: inside of that tube [mm]; likewise.
        motor_tube_diameter: outside of the tube that the tab reaches down to [mm]; likewise.

    Raises:
        PartError: it is, or one of the tubes is not inside the other.
    """
    if body_diameter is None:
        return
    for name, diameter in (("body_inside_diameter", body_inside), ("motor_tube_diameter", motor_tube_diameter)):
        if diameter is not None and diameter >= body_diameter:
            raise PartError(f"{name}: {diameter:g} mm is not inside a body of {body_diameter:g} mm")
    if motor_tube_diameter is None or found is None:
        return
    room = (body_diameter - motor_tube_diameter) / 2.0
    if found.depth > room + SHORTEST:
        raise PartError(
            f"tab_depth: a tab of {found.depth:g} mm does not fit between the body of {body_diameter:g} mm and the "
            f"motor tube of {motor_tube_diameter:g} mm, which leave {room:g} mm"
        )


def short_of(found: Tab | None, body_diameter: float | None, motor_tube_diameter: float | None) -> float | None:
    """How far a tab ends from the motor tube [mm] where that is too far to glue it there; None where it is not."""
    if found is None or body_diameter is None or motor_tube_diameter is None:
        return None
    gap = (body_diameter - motor_tube_diameter) / 2.0 - found.depth
    return gap if gap > SHORT_OF_TUBE else None
