"""What is to be marked on the outside of each airframe tube before it is cut, drilled and glued: lines and places.

A slot is wider than the fin's sheet and longer than its tab by what glue and a blade guided by hand need (common
practice).

A canted fin stands in the plane through the radius at the middle of its root, turned by the cant c; u from there along
the root it meets a tube of radius R at the roll asin(u sin c / R) from that radius. Between the ends of a slot, at
their true rolls, the slot is marked straight: with v the reach of an end to the side, it departs from that by at most
v^3 / (9 sqrt(3) R^2) (expansion of the arc sine) - 0.07 mm for 240 mm at 5 deg on a tube of 66 mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

from ..parts.errors import PartError
from ..parts.hardware import ClearanceHole, sized
from ..parts.kinds import CenteringRing, Coupler, Fin, FinCan, MotorMount, NoseCone, RailButton, Transition, Tube
from ..parts.part import Part
from ..parts.shape import between_rolls
from .loading import LIFTOFF, WITHOUT_MOTOR, Loading
from .rocket import FinsInPlace, Item, Rocket
from .wall_holes import cut_through, diameter_of, middle_of

SLOT_OVER_THICKNESS = 0.5
"""Width of a fin slot over the thickness of the fin [mm]: 0.4 to 0.8 (common practice)."""

SLOT_OVER_TAB = 1.0
"""Length of a fin slot over that of the tab, half of it at each end [mm] (common practice)."""

_SAME = 1e-6
_AT_ITS_ORIGIN: tuple[float, ...] = (0.0,)

What: TypeAlias = Literal["slot", "root", "ring", "vent", "screw", "shear pin", "hole", "button", "balance"]
"""What is marked: `root` is the root of a fin without a tab, `balance` a centre of gravity or of pressure."""


@dataclass(frozen=True, slots=True)
class TubeMark:
    """One thing to mark on a tube.

    Attributes:
        what: what it is.
        name: the item that it is for, or which centre of gravity or pressure it is.
        first: tube's forward end to its forward end, of a hole to its middle [mm].
        last: tube's forward end to its aft end, of a hole to its middle [mm].
        roll: roll of its middle [rad], 0 to a full turn; None for what runs all round the tube.
        size: width of a slot or diameter of a hole [mm]; 0 for all others.
        lean: by how much the roll of its forward end is the greater one of its two ends [rad]; of canted fins alone.
    """

    what: What
    name: str
    first: float
    last: float
    roll: float | None = None
    size: float = 0.0
    lean: float = 0.0


@dataclass(frozen=True, slots=True)
class TubeMarks:
    """Everything to mark on one tube.

    Attributes:
        name: what the design calls the tube.
        diameter: its mean outside diameter [mm].
        length: its length [mm].
        station: station of its forward end [mm].
        fin_rolls: rolls of the fins that stand on it, from fin 1 [rad].
        marks: what is to be marked, from forward to aft.
    """

    name: str
    diameter: float
    length: float
    station: float
    fin_rolls: tuple[float, ...]
    marks: tuple[TubeMark, ...]


def tube_marks(
    rocket: Rocket, loadings: Iterable[Loading] = (), slot_clearance: float = SLOT_OVER_THICKNESS
) -> tuple[TubeMarks, ...]:
    """What is to be marked on each airframe tube, from forward to aft.

    Roll is 0 on the rail line and positive clockwise seen from behind; the rail line is mid-way between two fins.

    Args:
        rocket: the parts in place.
        loadings: states whose centres of gravity are marked, without a motor and at liftoff, and that of pressure.
        slot_clearance: width of a slot over the thickness of its fin [mm], 0 to 2.

    Raises:
        PartError: the clearance is out of its range, or a part cannot exist.
    """
    if not 0.0 <= slot_clearance <= 2.0:
        raise PartError(f"slot_clearance: {slot_clearance:g} mm over the fin's thickness; it must be from 0 to 2 mm")
    points = tuple(balance_points(loadings))
    found = [
        _of(rocket, item, item.part, station, points, slot_clearance)
        for item in rocket.items
        if isinstance(item.part, Tube) and item.part.use == "airframe"
        for station in item.stations
    ]
    return tuple(sorted(found, key=lambda one: one.station))


def balance_points(loadings: Iterable[Loading]) -> Iterator[tuple[str, float]]:
    """Names and stations [mm] of the centres of gravity that can be checked on the bench, and of that of pressure."""
    pressure: float | None = None
    for state in loadings:
        pressure = state.centre_of_pressure if pressure is None else pressure
        if state.mass is not None and state.name in (WITHOUT_MOTOR, LIFTOFF):
            words = f"with {state.motor}" if state.motor else WITHOUT_MOTOR
            yield f"CG {words}", state.mass.cg[0]
    if pressure is not None:
        yield "CP", pressure


def _of(
    rocket: Rocket, item: Item, tube: Tube, station: float, points: tuple[tuple[str, float], ...], slot_clearance: float
) -> TubeMarks:
    low, high = station, station + tube.length
    marks = [*_vents(item, tube), *slots_on(rocket, low, high, slot_clearance), *_rings(rocket, low, high)]
    marks += [*_buttons(rocket, low, high), *_joining(rocket, low, high)]
    marks += [TubeMark("balance", name, x - low, x - low) for name, x in points if low <= x <= high]
    marks.sort(key=lambda mark: (mark.first, mark.last, mark.what, mark.name, mark.roll or 0.0))
    rolls: list[float] = []
    for fins in rocket.fin_sets:
        if _on(fins, low, high):
            rolls += [roll for roll in fins.rolls if all(between_rolls(roll, other) > _SAME for other in rolls)]
    return TubeMarks(item.name, tube.outside_diameter, tube.length, station, tuple(sorted(rolls)), tuple(marks))


def _vents(item: Item, tube: Tube) -> Iterator[TubeMark]:
    for place in tube.hole_positions:
        yield TubeMark("vent", item.name, place, place, tube.hole_roll % math.tau, tube.hole_diameter or 0.0)


def _on(fins: FinsInPlace, low: float, high: float) -> bool:
    """Whether the root of fins lies on a tube, in part at least."""
    return min(fins.root_end, high) - max(fins.station, low) > _SAME


def slots_on(rocket: Rocket, low: float, high: float, clearance: float = SLOT_OVER_THICKNESS) -> Iterator[TubeMark]:
    """Slots for tabs, cut off where the tube ends; of fins without a tab, where their roots stand.

    Args:
        rocket: the parts in place.
        low: station of the tube's forward end [mm].
        high: station of its aft end [mm].
        clearance: width of a slot over the thickness of its fin [mm].
    """
    for item in rocket.fins:
        fin = item.part
        for fins in item.fin_sets() if isinstance(fin, Fin) else ():
            if not isinstance(fin, Fin) or not _on(fins, low, high):
                continue
            if fin.tab_length:
                what: What = "slot"
                first, wide = fin.tab_position - SLOT_OVER_TAB / 2.0, fin.through_thickness() + clearance
                last = first + fin.tab_length + SLOT_OVER_TAB
            else:
                what, wide, first, last = "root", 0.0, 0.0, fins.root_chord
            # From the radius that the fin is canted about.
            pivot, along, aside = fins.root_chord / 2.0, math.cos(fins.cant), math.sin(fins.cant)
            middle = fins.station + pivot
            first, last = (middle + (end - pivot) * along for end in (first, last))
            first, last = max(first, low), min(last, high)
            if last - first > _SAME:
                ahead, behind = (
                    -math.asin(min(max((end - middle) / along * aside / fins.radius, -1.0), 1.0)) if aside else 0.0
                    for end in (first, last)
                )
                for roll in fins.rolls:
                    at = roll + (ahead + behind) / 2.0
                    yield TubeMark(what, item.name, first - low, last - low, at, wide, ahead - behind)


def _rings(rocket: Rocket, low: float, high: float) -> Iterator[TubeMark]:
    """Forward and aft face of each ring, also of those on a motor mount."""
    for item in rocket.items:
        part, places = item.part, _AT_ITS_ORIGIN
        if isinstance(part, CenteringRing):
            name, thickness = item.name, part.thickness
        elif isinstance(part, MotorMount):
            name, thickness, places = f"{item.name} ring", part.ring_thickness, part.ring_positions
        else:
            continue
        for station in item.stations:
            for place in places:
                first = station + place
                last = first + thickness
                if low <= (first + last) / 2.0 <= high:
                    yield TubeMark("ring", name, max(first, low) - low, min(last, high) - low)


def _buttons(rocket: Rocket, low: float, high: float) -> Iterator[TubeMark]:
    for item in rocket.items:
        if isinstance(item.part, RailButton):
            for station in item.stations:
                if low <= station <= high:
                    yield TubeMark("button", item.name, station - low, station - low, 0.0, item.part.screw_diameter)


def _joining(rocket: Rocket, low: float, high: float) -> Iterator[TubeMark]:
    """Holes of shoulders, couplers and sleeves that go on through the wall of the tube round them, or in them."""
    over = rocket.sleeves
    for item in rocket.items:
        part = item.part
        coupling = isinstance(part, Tube) and part.use == "coupler"
        if part is None or not (coupling or isinstance(part, NoseCone | Transition | Coupler | FinCan)):
            continue
        for feature, count in cut_through(part.shape()):
            diameter = diameter_of(feature)
            if diameter is None:
                continue
            what, diameter = _purpose(item, count, feature.roll, diameter)
            for station in item.stations:
                place = station + middle_of(feature)
                if low < place < high and (item in over or not _in_skin(item, place)):
                    for index in range(count):
                        roll = (feature.roll + math.tau * index / count) % math.tau
                        yield TubeMark(what, item.name, place - low, place - low, roll, diameter)


def _in_skin(item: Item, station: float) -> bool:
    """Whether a station lies on the part's own skin, where no tube is round it."""
    first, last = item.skin_range()
    return first < station < last


def _purpose(item: Item, count: int, roll: float, diameter: float) -> tuple[What, float]:
    """What a ring of holes is for, and the diameter of the hole in the tube round it [mm].

    A screw passes freely through the tube even where it goes into an insert, whose own hole is wider.
    """
    alike = [
        what
        for what, number, first, wide in _rows(item.part)
        if number == count and abs(wide - diameter) < _SAME and between_rolls(first, roll) < _SAME
    ]
    if len(alike) != 1:
        return "hole", diameter
    part = item.part
    if alike[0] == "screw" and isinstance(part, NoseCone) and part.screw_into == "insert":
        return "screw", sized(ClearanceHole, part.screw_size).medium
    return alike[0], diameter


def _rows(part: Part | None) -> Iterator[tuple[What, int, float, float]]:
    """Rings of holes of a part: what for, how many, roll of the first and diameter."""
    if isinstance(part, NoseCone | Coupler):
        yield "screw", part.screws, part.screw_roll, part.screw_hole
        yield "shear pin", part.shear_pin_count, part.shear_pin_roll, part.shear_pin_diameter
    if isinstance(part, Coupler) and part.vent_diameter is not None:
        yield "vent", part.vent_count, 0.0, part.vent_diameter
    if isinstance(part, FinCan) and part.screw_count:
        yield "screw", part.screw_count, part.screw_rolls()[0], part.screw_diameter
    if isinstance(part, Transition):
        counts = dict.fromkeys((part.forward_screw_count, part.aft_screw_count))
        yield from (("screw", count, part.screw_roll, part.screw_diameter) for count in counts)
