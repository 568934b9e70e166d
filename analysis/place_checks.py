"""Checks of places along the rocket: tabs between rings, skins that meet, fins on the body, vents in the clear."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations, pairwise

from ..parts.curve import bounds
from ..parts.kinds import (
    Bulkhead,
    CenteringRing,
    Coupler,
    Fillet,
    Fin,
    MotorMount,
    NoseCone,
    RailButton,
    Transition,
    Tube,
)
from ..parts.tables import Clearance, clearances
from .joints import MEETING, Joint
from .limits import Check, Status, limits
from .rocket import Item, Rocket
from .tube_marks import TubeMark, slots_on

_SIZES = "sizes and stations of the design"

ROOT_OFF = 0.5
"""Most that the root of a canted fin stands off its tube at its ends [mm] (common practice)."""

_BEYOND = 60.0
"""How far beyond the body a mass may lie, such as a retainer's [mm] (common practice)."""


def place_checks(rocket: Rocket, joints: tuple[Joint, ...] = ()) -> Iterator[Check]:
    """Every check of a place.

    Args:
        rocket: the parts in place.
        joints: how they are held together.
    """
    yield from _separating_sides(rocket, joints)
    yield from _opening(rocket, joints)
    yield from _on_the_rocket(rocket)
    yield from _rail(rocket)
    yield from _tabs_between_rings(rocket)
    yield from _slots_apart(rocket)
    yield from _canted_roots(rocket)
    yield from _fillets_on_fins(rocket)
    yield from _along_the_body(rocket)
    yield from _vents(rocket)


def rings(rocket: Rocket) -> tuple[tuple[float, float], ...]:
    """Stations of the forward and the aft face of every ring, also of those on a motor mount [mm]."""
    found = [
        (station, station + item.part.thickness)
        for item in rocket.items
        if isinstance(item.part, CenteringRing)
        for station in item.stations
    ]
    found += [
        (station + place, station + place + item.part.ring_thickness)
        for item in rocket.items
        if isinstance(item.part, MotorMount)
        for station in item.stations
        for place in item.part.ring_positions
    ]
    return tuple(sorted(found))


def _tabs_between_rings(rocket: Rocket) -> Iterator[Check]:
    row, faces = clearances()["tab-between-rings"], rings(rocket)
    for item in rocket.fins:
        if not isinstance(item.part, Fin) or not item.part.tab_length or not faces:
            continue
        several = len(item.stations) > 1
        for station in item.stations:
            name = f"{item.name}{f' at {station:g} mm' if several else ''}: tab between rings"
            notches = [
                (station + at, station + at + (item.part.notch_length or 0.0)) for at in item.part.notch_positions
            ]
            outside = tuple(ring for ring in faces if not any(_within(ring, notch) for notch in notches))
            yield _tab_check(name, station + item.part.tab_position, item.part.tab_length, outside, row)


def _within(ring: tuple[float, float], notch: tuple[float, float]) -> bool:
    """Whether a ring lies in a notch of a tab."""
    return notch[0] - 1e-9 <= ring[0] and ring[1] <= notch[1] + 1e-9


def _tab_check(name: str, first: float, length: float, faces: tuple[tuple[float, float], ...], row: Clearance) -> Check:
    last = first + length
    limit = f"{row.least:g} to {row.most:g} mm ({row.reason})"
    hit = [ring for ring in faces if ring[0] < last - 1e-9 and ring[1] > first + 1e-9]
    ahead = [ring[1] for ring in faces if ring[1] <= first + 1e-9]
    behind = [ring[0] for ring in faces if ring[0] >= last - 1e-9]
    if hit:
        note = f"the ring at {hit[0][0]:.2f} to {hit[0][1]:.2f} mm is where the tab is ({first:.2f} to {last:.2f} mm)"
        return Check(name, "fail", "overlap", limit, row.mark, note)
    if not ahead or not behind:
        return Check(
            name, "warn", None, limit, row.mark, f"no ring {'behind' if ahead else 'ahead of'} the tab is stated"
        )
    gap = min(behind) - max(ahead) - length
    status: Status = "pass" if row.least - 1e-6 <= gap <= row.most + 1e-6 else "warn"
    return Check(name, status, f"{gap:.2f} mm", limit, row.mark)


def _slots_apart(rocket: Rocket) -> Iterator[Check]:
    """Slots of fins that run into each other: nothing would hold the wall between them."""
    for item in rocket.items:
        tube = item.part
        if not isinstance(tube, Tube) or tube.use != "airframe":
            continue
        low, high = item.stations[0], item.stations[0] + tube.length
        slots = [mark for mark in slots_on(rocket, low, high) if mark.what == "slot"]
        told: set[tuple[str, str]] = set()
        for (first, one), (second, other) in combinations(_numbered(slots), 2):
            wall = _wall_between(one, other, tube.outside_diameter / 2.0)
            if wall is not None and wall <= 0.0 and (one.name, other.name) not in told:
                told.add((one.name, other.name))
                start, end = max(one.first, other.first), min(one.last, other.last)
                yield Check(
                    f"{item.name}: slots of {first} and {second}",
                    "fail",
                    f"they share the wall from {low + start:.2f} to {low + end:.2f} mm",
                    "wall between two slots",
                    _SIZES,
                    "fewer fins, thinner ones, shorter tabs, or one of the sets farther along the tube",
                )


def _numbered(slots: list[TubeMark]) -> list[tuple[str, TubeMark]]:
    """Each slot with what its fin is called: fins count from the rail line."""
    seen: dict[tuple[str, float], int] = {}
    found = []
    for slot in slots:
        key = slot.name, slot.first
        seen[key] = seen.get(key, 0) + 1
        found.append((f"{slot.name} {seen[key]}", slot))
    return found


def _wall_between(one: TubeMark, other: TubeMark, radius: float) -> float | None:
    """Least wall between two slots round the tube [mm], below 0 where they overlap; None where no station has both."""
    start, end = max(one.first, other.first), min(one.last, other.last)
    if end - start <= 0.0:
        return None
    apart = [_turned_by(other, x) - _turned_by(one, x) for x in (start, end)]
    # The shorter way round at the forward end, and the same way at the aft end.
    apart = [angle - math.tau * round(apart[0] / math.tau) for angle in apart]
    least = 0.0 if apart[0] * apart[1] < 0.0 else min(abs(angle) for angle in apart)
    return least * radius - (one.size + other.size) / 2.0


def _turned_by(slot: TubeMark, place: float) -> float:
    """Roll of a slot's middle line at a place along the tube [rad]."""
    share = (place - slot.first) / (slot.last - slot.first)
    return (slot.roll or 0.0) + slot.lean * (0.5 - share)


def _canted_roots(rocket: Rocket) -> Iterator[Check]:
    """The straight root of a canted fin leaves a round tube towards both of its ends."""
    for fins in rocket.fin_sets:
        aside = abs(math.sin(fins.cant)) * fins.root_chord / 2.0
        if not aside or not fins.radius:
            continue
        off = fins.radius - math.sqrt(fins.radius**2 - aside**2) if aside < fins.radius else math.inf
        status: Status = "pass" if off <= ROOT_OFF else "warn" if off < fins.radius else "fail"
        yield Check(
            f"{fins.name}: canted root on the body",
            status,
            f"{off:.2f} mm off it at both ends" if off < math.inf else "beside it at both ends",
            f"at most {ROOT_OFF:g} mm, which glue fills",
            "common practice",
            "" if status == "pass" else "cant them less, or shape the root to the tube",
        )


def _fillets_on_fins(rocket: Rocket) -> Iterator[Check]:
    """Fillets outside that reach beyond the tip of their fin."""
    for item in rocket.items:
        sets = item.beside.fin_sets() if item.beside else ()
        if not sets or not isinstance(item.part, Fillet) or item.part.side == "inside" or item.radius != sets[0].radius:
            continue
        span = sets[0].planform.box()[3]
        if item.part.reach > span:
            yield Check(
                f"{item.name}: on the fin",
                "fail",
                f"{item.part.reach:.2f} mm up the fin",
                f"its semi-span of {span:.2f} mm",
                _SIZES,
                "they reach beyond its tip; take a smaller radius",
            )


def _along_the_body(rocket: Rocket) -> Iterator[Check]:
    """Skins that do not meet, and fins that stand on nothing: a slip in a station moves the centre of pressure."""
    over = rocket.sleeves
    ends = [(item, *item.skin_range()) for item in rocket.body if item not in over]
    for (ahead, _, end), (behind, start, _) in pairwise(ends):
        gap = start - end
        if abs(gap) > MEETING:
            what = "a gap between them" if gap > 0.0 else "they overlap"
            yield Check(
                f"{ahead.name} to {behind.name}",
                "fail",
                f"{gap:.2f} mm",
                f"ends meet within {MEETING:g} mm",
                "common practice",
                f"{what}: {ahead.name} ends at {end:.2f} mm and {behind.name} starts at {start:.2f} mm",
            )
    for fins in rocket.fin_sets if ends else ():
        if fins.station < ends[0][1] - MEETING or fins.root_end > ends[-1][2] + MEETING:
            yield Check(
                f"{fins.name}: on the body",
                "fail",
                f"root from {fins.station:.2f} to {fins.root_end:.2f} mm",
                f"the body from {ends[0][1]:.2f} to {ends[-1][2]:.2f} mm",
                "common practice",
                "the root of the fins reaches beyond the body",
            )


def _separating_sides(rocket: Rocket, joints: tuple[Joint, ...]) -> Iterator[Check]:
    """The side on which a coupler says that it separates against the joint that does."""
    for item in rocket.items:
        if not isinstance(item.part, Coupler) or item.part.separates is None:
            continue
        middle = item.stations[0] + item.part.length / 2.0
        for joint in joints:
            other = next((name for name in joint.between if name != item.name), None)
            if item.name not in joint.between or joint.state != "releases" or other is None:
                continue
            first, last = next(one.skin_extent() for one in rocket.items if one.name == other)
            side = "aft" if (first + last) / 2.0 > middle else "forward"
            status: Status = "pass" if side == item.part.separates else "fail"
            note = f"the coupler says `separates` {item.part.separates}, and {other} lies {side} of it"
            yield Check(
                f"{item.name}: separating side",
                status,
                side,
                "the side that the coupler is made for",
                _SIZES,
                "" if status == "pass" else note,
            )


def _opening(rocket: Rocket, joints: tuple[Joint, ...]) -> Iterator[Check]:
    """Screws through the stretch that slides open: of a coupler that is screwed there, or of a button."""
    for joint in joints:
        pair = [item for item in rocket.items if item.name in joint.between]
        if joint.state != "releases" or len(pair) != 2:
            continue
        first = max(item.skin_extent()[0] for item in pair)
        last = min(item.skin_extent()[1] for item in pair)
        for name, station in (*_coupler_screws(pair), *_button_screws(rocket)):
            if first < station < last:
                yield Check(
                    f"{name} at {station:g} mm: clear of the joint that opens",
                    "fail",
                    f"{station:.2f} mm",
                    f"not from {first:.2f} to {last:.2f} mm, where {joint.words} opens",
                    _SIZES,
                    "a screw there holds shut what must open",
                )


def _coupler_screws(pair: list[Item]) -> Iterator[tuple[str, float]]:
    for item in pair:
        if isinstance(item.part, Coupler) and item.part.screw_count:
            place = item.part.length / 4.0 if item.part.screw_distance is None else item.part.screw_distance
            yield f"{item.name}: screws", item.stations[0] + place


def _button_screws(rocket: Rocket) -> Iterator[tuple[str, float]]:
    for item in rocket.items:
        if isinstance(item.part, RailButton):
            yield from ((f"{item.name}: screw", station) for station in item.stations)


def _on_the_rocket(rocket: Rocket) -> Iterator[Check]:
    """Buttons and masses that lie beyond the body: a slip in a station."""
    ranges = [item.skin_range() for item in rocket.body]
    if not ranges:
        return
    first, last = min(one[0] for one in ranges), max(one[1] for one in ranges)
    for item in rocket.items:
        if item.part is not None and not isinstance(item.part, RailButton):
            continue
        for station in item.stations:
            if not first - _BEYOND <= station <= last + _BEYOND:
                yield Check(
                    f"{item.name} at {station:g} mm: on the rocket",
                    "fail" if item.part else "warn",
                    f"{station:.2f} mm",
                    f"the body from {first:.2f} to {last:.2f} mm",
                    _SIZES,
                    "look at its station: it is beyond the body",
                )


def _rail(rocket: Rocket) -> Iterator[Check]:
    """The rail's face runs past the whole rocket: nothing on the rail line may reach it."""
    buttons = [item for item in rocket.items if isinstance(item.part, RailButton)]
    widest = max(((_radius(item), item.name) for item in rocket.body), default=None)
    if not buttons or widest is None:
        return
    for item in buttons:
        if isinstance(item.part, RailButton):
            gap = item.part.clearance_radius(item.radius) - widest[0]
            note = "raise the buttons by `standoff`" if gap <= 0.0 else ""
            yield Check(
                f"{item.name}: body clear of the rail",
                "pass" if gap > 0.0 else "fail",
                f"{gap:.2f} mm to {widest[1]}",
                "above 0 mm along the whole body",
                _SIZES,
                note,
            )


def _radius(item: Item) -> float:
    return max(bounds(piece)[3] for piece in item.part.skin()) if item.part else 0.0


def _vents(rocket: Rocket) -> Iterator[Check]:
    """Each vent in the wall of a tube: clear of what closes the wall from the inside."""
    limit = limits()["vent_clearance"]
    for item in rocket.items:
        if not isinstance(item.part, Tube) or not item.part.hole_positions:
            continue
        radius = (item.part.hole_diameter or 0.0) / 2.0
        for place in item.part.hole_positions:
            station = item.stations[0] + place
            gaps = [
                (max(first - station, station - last) - radius, name)
                for other in rocket.items
                if other is not item
                for name, first, last in _closing(other)
            ]
            name = f"{item.name}: vent at {station:g} mm"
            if not gaps:
                continue
            gap, nearest = min(gaps)
            status: Status = "fail" if gap < 0.0 else limit.status(gap)
            note = f"{nearest} {'covers it' if gap < 0.0 else 'is beside it'}" if status != "pass" else ""
            yield Check(name, status, f"{gap:.1f} mm to {nearest}", limit.words(), limit.source, note)


def _closing(item: Item) -> Iterator[tuple[str, float, float]]:
    """Stretches [mm] in which a part lies on the inside of the tube's wall."""
    part = item.part
    for station in item.stations:
        if isinstance(part, NoseCone) and part.shoulder_length:
            base = station + part.length
            yield f"the shoulder of {item.name}", base, base + part.shoulder_length
        elif isinstance(part, Transition):
            first, last = part.extent()
            if part.forward_shoulder_length:
                yield f"the forward shoulder of {item.name}", station + first, station
            if part.aft_shoulder_length:
                yield f"the aft shoulder of {item.name}", station + part.length, station + last
        elif isinstance(part, Coupler | CenteringRing | Bulkhead):
            first, last = part.extent()
            yield item.name, station + first, station + last
        elif isinstance(part, MotorMount):
            for place in part.ring_positions:
                yield f"a ring of {item.name}", station + place, station + place + part.ring_thickness
        elif isinstance(part, Tube) and part.use == "coupler":
            yield item.name, station, station + part.length
