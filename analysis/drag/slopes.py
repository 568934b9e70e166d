"""Where the body widens and narrows: pressure on slopes, and where the stream leaves a boat tail.

A nose or a transition that runs smoothly into the next stretch takes no pressure drag below the transonic range: what
pushes on its front is pulled back by the suction round its shoulder (d'Alembert). A corner where it ends spoils that.
Between a slender cone, which takes none, and a flat face, which takes 0.8 of its area (S. F. Hoerner, Fluid-Dynamic
Drag, 1965, chapter 3, from memory), the square of the sine of that corner's angle is laid, as the pressure on a slope
goes in Newton's theory (own interpolation).

Behind a boat tail of up to 8 degrees the stream stays on the skin, beyond 16 degrees it leaves at its forward end, and
between the two a share of the area (common practice: boat tails are drawn at 5 to 8 degrees, and diffusers stall so).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from ...parts.curve import Piece, monotone_parts
from ..aero.body import Skin
from .flow import Flow
from .term import DragTerm

FLAT_FACE = 0.8
"""Drag of a flat face ahead of a long body on its area [-]: Hoerner, chapter 3 (from memory)."""

AFT_FACE = 0.2
"""Drag of a step that faces aft on its area and the dynamic pressure there [-]: Hoerner, chapter 5 (from memory)."""

STAYS, LEAVES = math.radians(8.0), math.radians(16.0)
"""Slopes of a boat tail to which the stream stays on, and from which it leaves at the forward end [rad]."""

SOURCE = (
    "0.8 of a flat face: S. F. Hoerner, Fluid-Dynamic Drag, 1965, chapter 3 (from memory); sin^2 of the corner between "
    "(own interpolation, as in Newton's theory)"
)
BOAT_TAIL_SOURCE = (
    "0.2 on a step that faces aft: Hoerner, chapter 5 (from memory); the stream stays on up to 8 degrees and is off "
    "from 16 (common practice)"
)
RANGE = "up to Mach 0.8"

_LEVEL = 1e-9


@dataclass(frozen=True, slots=True)
class Run:
    """A length of skin over which the body only widens, or only narrows.

    Attributes:
        start: foremost point (station, radius) [mm].
        end: aftmost point [mm].
        end_angle: slope of the skin at its aft end [rad], positive outwards.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    end_angle: float

    @property
    def ring_area(self) -> float:
        """Change of the cross-section [mm2], positive where it widens."""
        return math.pi * (self.end[1] ** 2 - self.start[1] ** 2)

    @property
    def mean_angle(self) -> float:
        """Slope of the straight line from end to end [rad], positive outwards."""
        return math.atan2(self.end[1] - self.start[1], self.end[0] - self.start[0])


def runs(skin: Skin) -> tuple[Run, ...]:
    """The lengths of a skin over which it widens or narrows, from forward to aft; level ones are left out."""
    parts = [part for piece in skin.chain for part in monotone_parts(piece)]
    found = []
    for way, group in groupby(parts, key=_way):
        if way:
            some = list(group)
            first, last = some[0].start, some[-1].end
            found.append(
                Run((skin.station + first[0], first[1]), (skin.station + last[0], last[1]), _end_angle(some[-1]))
            )
    return tuple(found)


def _way(piece: Piece) -> int:
    rise = piece.end[1] - piece.start[1]
    return 0 if abs(rise) <= _LEVEL else int(math.copysign(1, rise))


def _end_angle(piece: Piece) -> float:
    # A hair before its end, where no piece has lost its slope.
    dx, dy = piece.slope(np.array([1.0 - 1e-7]))[0].tolist()
    return math.atan2(dy, dx)


def separated_share(angle: float) -> float:
    """Share of a boat tail's area along which the stream is off the skin [-].

    Args:
        angle: mean slope [rad], positive where it narrows.
    """
    return min(max((angle - STAYS) / (LEAVES - STAYS), 0.0), 1.0)


@dataclass(frozen=True, slots=True)
class Widening:
    """A nose or transition that ends in a corner, or a flat face.

    Attributes:
        item: name of the item.
        station: its aft end, where the corner is [mm].
        ring_area: how much the cross-section grows along it [mm2].
        angle: slope at its aft end [rad]; 90 degrees of a flat face.
    """

    item: str
    station: float
    ring_area: float
    angle: float

    def area(self, flow: Flow) -> float:
        """Drag over dynamic pressure [mm2]."""
        return flow.on_faces * FLAT_FACE * math.sin(self.angle) ** 2 * self.ring_area

    def term(self, flow: Flow, reference_area: float) -> DragTerm:
        """The term."""
        return DragTerm(
            "pressure on a slope",
            self.item,
            self.area(flow) / reference_area,
            f"0.8 sin^2 of the corner of {math.degrees(self.angle):.1f} deg where it ends, on {self.ring_area:.0f} mm2",
            SOURCE,
            RANGE,
            self.station,
            flow.notes(),
        )


@dataclass(frozen=True, slots=True)
class Narrowing:
    """A transition within the body that narrows too steeply for the stream.

    Attributes:
        item: name of the item.
        station: its forward end [mm].
        separated_area: area along which the stream is off the skin [mm2].
        angle: its mean slope [rad].
    """

    item: str
    station: float
    separated_area: float
    angle: float

    def area(self, flow: Flow) -> float:
        """Drag over dynamic pressure [mm2]."""
        return flow.on_suction * AFT_FACE * self.separated_area

    def term(self, flow: Flow, reference_area: float) -> DragTerm:
        """The term."""
        return DragTerm(
            "suction on a slope",
            self.item,
            self.area(flow) / reference_area,
            f"0.2 on {self.separated_area:.0f} mm2 along which the stream is off a slope of "
            f"{math.degrees(self.angle):.1f} deg",
            BOAT_TAIL_SOURCE,
            RANGE,
            self.station,
            flow.notes(),
        )


def widenings(item: str, skin: Skin) -> Iterator[Widening]:
    """Where a stretch widens into a corner; one that ends level takes nothing and is left out."""
    for run in runs(skin):
        if run.ring_area > 0.0 and math.sin(run.end_angle) ** 2 > 1e-6:
            yield Widening(item, run.end[0], run.ring_area, run.end_angle)


def narrowings(item: str, skin: Skin, end: float) -> Iterator[Narrowing]:
    """Where a stretch narrows too steeply; not the boat tail that ends with the body, which belongs to its base.

    Args:
        item: name of the item.
        skin: the stretch.
        end: aft end of the body [mm].
    """
    for run in runs(skin):
        share = separated_share(-run.mean_angle)
        if run.ring_area < 0.0 and share > 0.0 and run.end[0] < end - _LEVEL:
            yield Narrowing(item, run.start[0], -run.ring_area * share, -run.mean_angle)


def boat_tail(skin: Skin, end: float) -> float:
    """Area of a boat tail at the end of the body along which the stream is off the skin [mm2]; 0 without one."""
    for run in runs(skin):
        if run.ring_area < 0.0 and run.end[0] >= end - _LEVEL:
            return -run.ring_area * separated_share(-run.mean_angle)
    return 0.0
