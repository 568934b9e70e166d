"""What a fin can is printed in: sectors where it is too wide for the bed, sections where it is too tall."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Annotated, Literal, NamedTuple

from pydantic import Field

from ..curve import Arc, Point, bounds
from ..errors import PartError
from ..params import Count, Length
from ..part import Printed
from ..poses import STANDING
from ..shape import (
    Array,
    Cut,
    Fused,
    Outline,
    Placed,
    Placement,
    Plate,
    RadialFeature,
    Revolved,
    Shape,
    between_rolls,
    moved,
    polygon,
    rolled,
)
from .fin_can_fins import FinCanFins
from .hole_circle import LEAST_WEB

STEEPEST = math.radians(45.0)
"""The lower edge of a fin that leans out no further than this prints without support [rad] (common practice)."""

_LEAST_ROOT = 5.0
"""A cut across leaves at least this much of the roots on both sides [mm] (common practice)."""

_BEYOND = 1.0
"""How far a cutting tool reaches past what it cuts [mm]."""

_ON_BED = 0.3
"""An edge that lies no further off the bed than this is on it [mm]: a layer or two, as a canted fin's are."""

_SAME = 1e-6
"""Lengths below this [mm] are none."""


class Sector(NamedTuple):
    """A part of the way round.

    Attributes:
        first: roll at which it begins [rad].
        last: roll at which it ends [rad].
        fins: rolls of its fins [rad].
    """

    first: float
    last: float
    fins: tuple[float, ...]

    @property
    def middle(self) -> float:
        """Roll of its middle [rad]."""
        return (self.first + self.last) / 2.0


class FinCanPieces(FinCanFins):
    """The fields of a fin can that is printed in pieces."""

    sectors: Annotated[
        Count, Field(ge=1, le=8, description="pieces round it, cut from end to end mid-way between fins; 1 for one")
    ] = 1
    section_height: Annotated[
        Length | None,
        Field(gt=0, le=3000, description="tallest piece that the printer takes; not cut across if not stated"),
    ] = None
    sector_gap: Annotated[
        Length, Field(ge=0.02, le=1.0, description="gap for glue between pieces, from face to face")
    ] = 0.1

    # --- what the kind says -------------------------------------------------------------------------------------------

    @property
    def bore_radius(self) -> float:
        """Radius of the bore [mm]."""
        raise NotImplementedError

    def sleeve(self) -> Revolved:
        """The sleeve without its fins."""
        raise NotImplementedError

    def screws(self) -> Array | None:
        """The holes for screws; None without."""
        raise NotImplementedError

    def screw_rolls(self) -> tuple[float, ...]:
        """Roll of each screw [rad]."""
        raise NotImplementedError

    # --- cuts ---------------------------------------------------------------------------------------------------------

    def sectors_round(self) -> tuple[Sector, ...]:
        """The sectors from the rail line on, with as many fins in each as there are, or one more."""
        return _shared_out(self.fin_count, self.sectors)

    def cuts_across(self) -> tuple[float, ...]:
        """Stations of the cuts across the axis, which make the fewest pieces of equal height [mm]."""
        first, last = self.extent()
        if self.section_height is None or last - first <= self.section_height:
            return ()
        count = math.ceil((last - first) / self.section_height - _SAME)
        return tuple(first + (last - first) * index / count for index in range(1, count))

    def check_pieces(self) -> None:
        """Whether it can be cut so.

        Raises:
            PartError: more sectors than fins, a cut through a screw, or one that leaves part of a fin without its root.
        """
        if self.sectors > self.fin_count:
            raise PartError(
                f"sectors: {self.sectors} is more than the {self.fin_count} fins, and each cut lies mid-way between two"
            )
        self._check_cuts_round()
        first, last = self.root_position, self.root_position + self.root_chord
        for cut in self.cuts_across():
            if not first + _LEAST_ROOT <= cut <= last - _LEAST_ROOT:
                raise PartError(
                    f"section_height: {self.section_height:g} mm cuts it at {cut:.4g} mm, and a cut must leave "
                    f"{_LEAST_ROOT:g} mm of the roots on both sides, which lie from {first:.4g} to {last:.4g} mm"
                )
            hole = self._hole()
            if hole is not None and abs(hole.station - cut) < hole.outline.box()[2] + self._beside():
                raise PartError(
                    f"screw_distance: the holes at {hole.station:g} mm lie on the cut across at {cut:.4g} mm, by the "
                    f"section_height of {self.section_height:g} mm"
                )

    def _check_cuts_round(self) -> None:
        hole = self._hole()
        if self.sectors == 1 or hole is None:
            return
        half = math.asin(min((hole.outline.box()[3] + self._beside()) / self.bore_radius, 1.0))
        for sector in self.sectors_round():
            for screw in self.screw_rolls():
                if between_rolls(screw, sector.first) < half:
                    raise PartError(
                        f"screw_roll: a screw at a roll of {math.degrees(screw):.4g} deg lies on the cut between "
                        f"sectors at {math.degrees(sector.first):.4g} deg"
                    )

    def _beside(self) -> float:
        """Between the rim of a hole and the middle of a cut [mm]."""
        return LEAST_WEB + self.sector_gap / 2.0

    def _hole(self) -> RadialFeature | None:
        holes = self.screws()
        return holes.shape if holes is not None and isinstance(holes.shape, RadialFeature) else None

    # --- pieces -------------------------------------------------------------------------------------------------------

    def pieces(self) -> tuple[Printed, ...]:
        """The pieces, forward ones first and in each section from the rail line on; none where it is printed in one."""
        first, last = self.extent()
        stops = (first, *self.cuts_across(), last)
        round_it = self.sectors_round()
        count = (len(stops) - 1) * len(round_it)
        if count == 1:
            return ()
        found: list[Printed] = []
        for ahead, behind in pairwise(stops):
            low, high = self._faces(ahead, behind)
            for sector in round_it:
                shape = self._piece(sector, low, high)
                pose = self.standing(low, high).after(rolled(-sector.middle if len(round_it) > 1 else 0.0))
                found.append(Printed(f"{len(found) + 1} of {count}", shape, pose))
        return tuple(found)

    def _faces(self, ahead: float, behind: float) -> tuple[float, float]:
        """First and last station of a section between two cuts or ends [mm], half the gap off each cut."""
        first, last = self.extent()
        half = self.sector_gap / 2.0
        return (ahead if ahead == first else ahead + half), (behind if behind == last else behind - half)

    def _piece(self, sector: Sector, low: float, high: float) -> Shape:
        """What of the whole lies in a sector and between two stations."""
        tools: list[Shape] = [*self._around(sector), *self._beyond(low, high)]
        hole = self._hole()
        for roll in self.screw_rolls() if hole is not None else ():
            turn = (roll - sector.first) % math.tau
            if hole is not None and low < hole.station < high and turn < sector.last - sector.first:
                tools.append(RadialFeature(hole.station, roll, hole.outline, hole.from_radius, hole.to_radius))
        return Cut(Fused((*self.fins_at(sector.fins), self.sleeve())), tuple(tools))

    def _around(self, sector: Sector) -> Iterator[Placed]:
        """The tool that takes away the rest of the way round."""
        if self.sectors == 1:
            return
        half, turn = self.sector_gap / 2.0, sector.last - sector.first
        far = 2.0 * (self.sleeve_radius + self.semi_span + self.thickness)

        def at(roll: float, radius: float, aside: float = 0.0) -> Point:
            """A point at a roll, moved square to its radius towards greater roll [mm]."""
            c, s = math.cos(roll), math.sin(roll)
            return (radius * c - aside * s, -radius * s - aside * c)

        # Anticlockwise in the (y, z) plane is the way of falling roll.
        steps = max(2, math.ceil((math.tau - turn) / (math.pi / 4.0)))
        back = (sector.first - (math.tau - turn) * index / steps for index in range(1, steps))
        corners = (
            at(sector.middle, half / math.sin(turn / 2.0)),
            at(sector.first, far, half),
            *(at(roll, far) for roll in back),
            at(sector.last, far, -half),
        )
        first, last = self.extent()
        yield Placed(Plate(Outline(polygon(corners)), last - first + 2.0 * _BEYOND), moved(first - _BEYOND))

    def _beyond(self, low: float, high: float) -> Iterator[Placed]:
        """The tools that take away what lies ahead and behind."""
        first, last = self.extent()
        far = self.sleeve_radius + self.semi_span + self.thickness
        block = Outline(polygon(((-far, -far), (far, -far), (far, far), (-far, far))))
        if low > first:
            yield Placed(Plate(block, low - first + _BEYOND), moved(first - _BEYOND))
        if high < last:
            yield Placed(Plate(block, last - high + _BEYOND), moved(high))

    # --- on the bed ---------------------------------------------------------------------------------------------------

    @property
    def stands_on(self) -> Literal["aft", "forward"]:
        """The end that it is printed on: the forward one where only that way no fin hangs in the air."""
        aft, forward = (self._carries_itself(end) for end in ("aft", "forward"))
        return "forward" if forward and not aft else "aft"

    @property
    def carries_itself(self) -> bool:
        """True where no fin hangs in the air as it is printed: its lower edge lies on the bed, or is steep enough."""
        return self._carries_itself(self.stands_on)

    def _carries_itself(self, end: str) -> bool:
        first, last = self.extent()
        root = self.root_position
        if end == "aft":
            rise, above = self.root_chord - self.sweep_length - self.tip_chord, last - root - self.root_chord
        else:
            rise, above = self.sweep_length, root - first
        on_bed = abs(above) < _ON_BED and abs(rise) < _ON_BED
        return on_bed or rise >= self.semi_span / math.tan(STEEPEST) - _SAME

    def standing(self, first: float, last: float) -> Placement:
        """Pose of a piece between two stations [mm], on the end that the whole is printed on."""
        if self.stands_on == "aft":
            return STANDING.at(last)
        # Aft end up: +x points up, the roll 0 side stays at +y.
        return Placement(turn=(0.0, 0.0, -1.0, 0.0, 1.0, 0.0, 1.0, 0.0, 0.0), move=(0.0, 0.0, -first))

    def sectors_for(self, bed_width: float, bed_depth: float) -> int | None:
        """The fewest sectors each of which goes on a bed as it lies there; None where not even single fins do.

        Args:
            bed_width: usable width of the bed [mm].
            bed_depth: usable depth [mm].
        """
        for count in range(1, self.fin_count + 1):
            sizes = [self._footprint(sector, count) for sector in _shared_out(self.fin_count, count)]
            if all(wide <= bed_width + _SAME and deep <= bed_depth + _SAME for wide, deep in sizes):
                return count
        return None

    def _footprint(self, sector: Sector, count: int) -> tuple[float, float]:
        """Width and depth on the bed of one of so many sectors, its middle to the back [mm]."""
        turn = sector.middle if count > 1 else 0.0
        start, sweep = math.pi / 2.0 + sector.first - turn, sector.last - sector.first
        # Seen from above its aft end, roll runs from the back of the bed, +y, towards one side; which, does not matter.
        xs: list[float] = []
        ys: list[float] = []
        for radius in (self.bore_radius, self.sleeve_radius):
            low_x, low_y, high_x, high_y = bounds(Arc((0.0, 0.0), radius, start, sweep))
            xs += [low_x, high_x]
            ys += [low_y, high_y]
        tip, half = self.sleeve_radius + self.semi_span, self._tip_half_width()
        for fin in sector.fins:
            c, s = math.cos(fin - turn), math.sin(fin - turn)
            xs += [k * half * c - tip * s for k in (-1.0, 1.0)]
            ys += [k * half * s + tip * c for k in (-1.0, 1.0)]
        return max(xs) - min(xs), max(ys) - min(ys)

    def _tip_half_width(self) -> float:
        """How far a tip reaches to either side of the radius through the middle of its root [mm]."""
        middle = self.root_chord / 2.0
        away = max(abs(self.sweep_length - middle), abs(self.sweep_length + self.tip_chord - middle))
        return self.thickness / 2.0 * math.cos(self.cant) + away * abs(math.sin(self.cant))


def _shared_out(fins: int, count: int) -> tuple[Sector, ...]:
    """So many fins in so many sectors; the cuts lie mid-way between fins, the first on the rail line."""
    stops = [index * fins // count for index in range(count + 1)]
    step = math.tau / fins
    return tuple(
        Sector(first * step, last * step, tuple((number + 0.5) * step for number in range(first, last)))
        for first, last in pairwise(stops)
    )
