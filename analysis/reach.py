"""Whether things reach where they must, and no farther: shoulders, screws, the motor, the parachute, a hand."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain

from ..parts.kinds import Bulkhead, Coupler, Fin, MotorMount, NoseCone, RailButton, Transition, Tube
from ..parts.shape import RadialFeature
from .bands import Band, bands
from .circumstances import Circumstances
from .gas_bay import discs
from .joints import MEETING, Joint, airframe, holder, is_coupler, sections
from .limits import Check, Status
from .motor import Motor
from .packing import Packing
from .place_checks import rings
from .recovery import Recovery
from .rocket import Item, Rocket
from .wall_holes import cut_through, diameter_of, middle_of

_LEAST = 0.05
"""Lengths that are not more than this [mm] are none: it is less than calipers tell apart."""

HAND = 300.0
"""How far into a tube a hand still ties a knot [mm] (common practice)."""

OVERHANG = 20.0
"""Most that a motor stands out behind its tube [mm] (common practice): the lip of its case bears on the tube's end."""

SCREW_TO_FACE = 2.0
"""Least distance from the middle of a button's screw to the face of a ring [mm] (common practice)."""

_SIZES = "sizes and stations of the design"
_PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class Bay:
    """The room for the parachute.

    Attributes:
        first: station of what closes it forward [mm].
        last: station of the first thing that stands in it from behind [mm].
        bore: its narrowest diameter [mm].
    """

    first: float
    last: float
    bore: float

    @property
    def length(self) -> float:
        """Free length [mm]."""
        return self.last - self.first

    @property
    def volume(self) -> float:
        """Room through its narrowest bore [mm3]."""
        return math.pi / 4.0 * self.bore**2 * self.length


def reach_checks(rocket: Rocket, around: Circumstances) -> Iterator[Check]:
    """Every check of a reach.

    Args:
        rocket: the parts in place.
        around: motors, the tubes that they slide into, the recovery, and what is measured of parachute and screws.
    """
    turned = {item.name: _turned(item) for item in rocket.items}
    bay = parachute_bay(rocket, around.recovery, around.motors)
    yield from _inserts(rocket, around.recovery, turned)
    yield from _button_screws(rocket)
    yield from _screw_tips(rocket, bay, around.packing)
    yield from _motors(rocket, around, turned)
    yield from _parachute(around.recovery, bay, around.packing)
    yield from _hands(rocket, around.recovery)
    yield from _landing(rocket)


def parachute_bay(rocket: Rocket, recovery: Recovery, motors: Iterable[Motor] = ()) -> Bay | None:
    """The room between what closes the bay around the joint that releases; None where that is not stated.

    A motor tube or a motor that stands into it from behind ends it: the parachute is not pushed past it.

    Args:
        rocket: the parts in place.
        recovery: its joints.
        motors: the motors to fly with; the longest counts.
    """
    joint, items = _releasing(rocket, recovery)
    if joint is None:
        return None
    parted = sections(rocket, _known(rocket, recovery))
    ahead, behind = (next(section for section in parted if item.name in section) for item in items)
    if ahead == behind:
        return None
    first = max((disc.last for disc in discs(rocket, ahead, joint)), default=None)
    last = min((disc.first for disc in discs(rocket, behind, joint)), default=None)
    if first is None or last is None or last <= first:
        return None
    frame = {item.name for item in airframe(rocket)}
    for item in rocket.items:
        if isinstance(item.part, MotorMount) or (isinstance(item.part, Tube) and item.part.use == "motor"):
            last = min((station for station in item.stations if first < station < last), default=last)
    last = min((motor.forward_end for motor in motors if first < motor.forward_end < last), default=last)
    bores = [
        min(band.inner)
        for item in rocket.items
        if item.name in frame
        for band in _turned(item)
        if min(band.last, last) - max(band.first, first) > _LEAST and min(band.inner) > 0.0
    ]
    return Bay(first, last, 2.0 * min(bores)) if bores else None


def _known(rocket: Rocket, recovery: Recovery) -> tuple[Joint, ...]:
    names = {item.name for item in rocket.items}
    return tuple(joint for joint in recovery.joints if len(names.intersection(joint.between)) == 2)


def _releasing(rocket: Rocket, recovery: Recovery) -> tuple[Joint | None, tuple[Item, ...]]:
    """The one joint that releases and its two items from forward to aft."""
    found = [joint for joint in _known(rocket, recovery) if joint.state == "releases"]
    if len(found) != 1:
        return None, ()
    items = [item for item in rocket.items if item.name in found[0].between]
    return found[0], tuple(sorted(items, key=lambda item: item.skin_extent()))


def _turned(item: Item) -> tuple[Band, ...]:
    """Bands of an item turned about the axis, all copies, in the rocket's frame."""
    if item.part is None or item.part.on_surface:
        return ()
    own = bands(item.part.shape()) or ()
    return tuple(
        Band(station + band.first, station + band.last, band.inner, band.outer)
        for station in item.stations
        for band in own
    )


# --- what slides into a tube ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Insert:
    """What enters a tube.

    Attributes:
        item: the item that does.
        word: which shoulder or end of it.
        tube: the tube.
        mouth: station of the end at which it enters [mm].
        way: 1 where it goes aft, -1 where it goes forward.
        depth: how deep it goes [mm].
        bore: radius of its own bore [mm], past which slimmer things go by.
    """

    item: Item
    word: str
    tube: Item
    mouth: float
    way: int
    depth: float
    bore: float


def _inserts(rocket: Rocket, recovery: Recovery, turned: Mapping[str, tuple[Band, ...]]) -> Iterator[Check]:
    tubes = [item for item in rocket.items if isinstance(item.part, Tube) and item.part.use == "airframe"]
    for insert in chain.from_iterable(_entering(item, tubes) for item in rocket.items):
        fixed = _fixed_to(rocket, recovery, turned, insert)
        # What is glued to the end of a coupler goes in with it.
        ends = [
            insert.way * (end - insert.mouth)
            for item in rocket.items
            if item.name in fixed and item is not insert.item and not _goes_over(insert, turned[item.name])
            for band in turned[item.name]
            for end in (band.first, band.last)
        ]
        depth = max([insert.depth, *ends])
        free, what = _free(rocket, turned, insert, fixed)
        limit = f"no deeper than the free bore, {free:.2f} mm to {what}"
        name = f"{insert.item.name}: {insert.word}in {insert.tube.name} to {what}"
        if depth > free + _LEAST:
            note = f"it is {depth - free:.2f} mm too long, or {what} is that much too near"
            yield Check(name, "fail", f"{depth:.2f} mm", limit, _SIZES, note)
        else:
            yield Check(name, "pass", f"{depth:.2f} mm", limit, _SIZES)


def _goes_over(insert: _Insert, others: tuple[Band, ...]) -> bool:
    """True for a tail cone over a motor tube that is in its place already, and does not go in with it."""
    part = insert.item.part
    if not isinstance(part, Transition) or part.motor_bore_diameter is None:
        return False
    return all(max(band.outer) <= part.motor_bore_diameter / 2.0 + _LEAST for band in others)


def _entering(item: Item, tubes: list[Item]) -> Iterator[_Insert]:
    part, station = item.part, item.stations[0]
    shoulders: list[tuple[str, float, int, float, float]] = []
    if isinstance(part, NoseCone | Transition):
        own = bands(part.shape()) or ()
        first, last = min(band.first for band in own), max(band.last for band in own)
        if part.extent()[1] > part.length:
            bore = next(max(band.inner) for band in own if band.last == last)
            shoulders.append(("shoulder ", station + part.length, 1, last - part.length, bore))
        if first < 0.0:
            bore = next(max(band.inner) for band in own if band.first == first)
            shoulders.append(("forward shoulder ", station, -1, -first, bore))
    for word, mouth, way, depth, bore in shoulders:
        for tube in tubes:
            if abs(tube.skin_range()[0 if way > 0 else 1] - mouth) <= MEETING:
                yield _Insert(item, word, tube, mouth, way, depth, bore)
    if is_coupler(item) and isinstance(part, Coupler | Tube):
        first, last = item.skin_extent()
        for tube in tubes:
            start, end = tube.skin_range()
            if first < start < last:
                yield _Insert(item, "aft end ", tube, start, 1, last - start, part.inside_diameter / 2.0)
            if first < end < last:
                yield _Insert(item, "forward end ", tube, end, -1, end - first, part.inside_diameter / 2.0)


def _fixed_to(rocket: Rocket, recovery: Recovery, turned: Mapping[str, tuple[Band, ...]], insert: _Insert) -> set[str]:
    """Names of an insert and of what is joined to it for good or sits in its bore, airframe apart."""
    frame, own = {item.name for item in airframe(rocket)}, insert.item
    joined = {
        name
        for joint in recovery.joints
        if own.name in joint.between and joint.state != "releases"
        for name in joint.between
        if name not in frame
    }
    sitting = {
        item.name
        for item in rocket.items
        if item.name not in frame
        and any(max(band.outer) <= insert.bore + _LEAST for band in turned[item.name])
        and all(holder(rocket, item, station) == own.name for station in item.stations)
    }
    return {own.name} | joined | sitting


def _free(
    rocket: Rocket, turned: Mapping[str, tuple[Band, ...]], insert: _Insert, fixed: set[str]
) -> tuple[float, str]:
    """Free bore from the mouth of the tube [mm], and what ends it."""
    tube = insert.tube.part
    assert isinstance(tube, Tube)  # noqa: S101  chosen so; this tells the type checker
    found = [(tube.length, f"the end of {insert.tube.name}")]
    for item in rocket.items:
        if item.name in fixed or item is insert.tube:
            continue
        spans = [
            (band.first, band.last)
            for band in turned[item.name]
            if max(band.outer) > insert.bore + _LEAST and min(band.inner) < tube.inside_diameter / 2.0 - _LEAST
        ]
        if isinstance(item.part, Fin) and item.part.tab_length:
            first = item.part.tab_position
            spans += [(station + first, station + first + item.part.tab_length) for station in item.stations]
        for span in spans:
            near, far = sorted(insert.way * (end - insert.mouth) for end in span)
            if far > _LEAST and near < tube.length:
                found.append((max(near, 0.0), item.name))
    return min(found)


# --- screws -----------------------------------------------------------------------------------------------------------


def _button_screws(rocket: Rocket) -> Iterator[Check]:
    discs = [
        *rings(rocket),
        *(
            (station, station + item.part.extent()[1])
            for item in rocket.items
            if isinstance(item.part, Bulkhead)
            for station in item.stations
        ),
    ]
    for item in rocket.items:
        for station in item.stations if isinstance(item.part, RailButton) and discs else ():
            near = min(min(abs(station - face) for face in disc) for disc in discs)
            inside = any(first < station < last for first, last in discs)
            status: Status = "warn" if near < SCREW_TO_FACE else "pass"
            yield Check(
                f"{item.name} at {station:.8g} mm: screw and rings",
                status,
                f"{near:.2f} mm to the nearest face{', in a ring' if inside and status == 'pass' else ''}",
                f"at least {SCREW_TO_FACE:g} mm from the face of a ring or bulkhead, in it or beside it",
                _PRACTICE,
                "the screw breaks out of the face; move the button into the middle of the ring, or clear of it"
                if status == "warn"
                else "",
            )


def _screw_tips(rocket: Rocket, bay: Bay | None, packing: Packing) -> Iterator[Check]:
    """Screws in the wall of the parachute bay: their tips must not stand out inside."""
    if bay is None:
        return
    for item in rocket.items:
        for station, grip in _screws(rocket, item):
            if not bay.first < station < bay.last:
                continue
            name = f"{item.name}: screws at {station:.8g} mm in the parachute bay"
            limit = f"no longer than the {grip:.2f} mm that they go through"
            length = packing.screw_lengths.get(item.name)
            if length is None:
                yield Check(name, "not-stated", None, limit, _PRACTICE, "measure the screws under their heads")
            elif length > grip + _LEAST:
                note = f"they stand out by {length - grip:.2f} mm inside and snag the lines; take shorter ones"
                yield Check(name, "warn", f"{length:.2f} mm", limit, _PRACTICE, note)
            else:
                yield Check(name, "pass", f"{length:.2f} mm", limit, _PRACTICE)


def _screws(rocket: Rocket, item: Item) -> Iterator[tuple[float, float]]:
    """Station of the screws of an item, and the length that they go through from under their heads [mm]."""
    part, station = item.part, item.stations[0]
    if isinstance(part, RailButton):
        for place in item.stations:
            wall = _wall(rocket, place)
            if wall is not None:
                yield place, part.extent_outwards() + wall[0] - wall[1]
    elif isinstance(part, NoseCone | Coupler | Transition):
        own = bands(part.shape()) or ()
        for hole, count in cut_through(part.shape()):
            if not _for_screws(part, hole, count):
                continue
            place = middle_of(hole)
            sides = [band.at(place) for band in own if band.first <= place <= band.last]
            wall = _wall(rocket, station + place)
            outside = wall[0] if wall else max(outer for _, outer in sides)
            # A transition's screws do not reach the sleeve of a motor tube inside it.
            through = [max(sides, key=lambda side: side[1])] if isinstance(part, Transition) else sides
            yield station + place, outside - min(inner for inner, _ in through)


def _for_screws(part: NoseCone | Coupler | Transition, hole: RadialFeature, count: int) -> bool:
    """True for the holes of a part that screws go through, and not its vents and shear pins."""
    if isinstance(part, Transition):
        return not 0.0 <= middle_of(hole) <= part.length
    return count == part.screws > 0 and abs((diameter_of(hole) or 0.0) - part.screw_hole) <= 1e-6


def _wall(rocket: Rocket, station: float) -> tuple[float, float] | None:
    """Outside and inside radius of the airframe tube at a station [mm]."""
    for item in rocket.items:
        if isinstance(item.part, Tube) and item.part.use == "airframe":
            first, last = item.skin_range()
            if first <= station <= last:
                return item.part.outside_diameter / 2.0, item.part.inside_diameter / 2.0
    return None


# --- the motor --------------------------------------------------------------------------------------------------------


def _motors(rocket: Rocket, around: Circumstances, turned: Mapping[str, tuple[Band, ...]]) -> Iterator[Check]:
    for motor in around.motors:
        tube = _motor_tube(rocket, around, motor.name)
        radius = motor.diameter / 2.0
        ahead = [
            (band.last, name)
            for name, some in turned.items()
            for band in some
            if min(band.inner) < radius - _LEAST and band.first < motor.aft_end and (tube is None or name != tube[0])
        ]
        if ahead:
            end, what = max(ahead)
            gap = motor.forward_end - end
            status: Status = "fail" if gap < -_LEAST else "pass"
            note = f"{what} ends at {end:.2f} mm and the motor starts at {motor.forward_end:.2f} mm"
            limit = "ends behind whatever is narrower than it"
            yield Check(
                f"{motor.name}: room ahead", status, f"{gap:.2f} mm to {what}", limit, _SIZES, note if gap < 0 else ""
            )
        if tube:
            yield from _in_its_tube(motor.name, motor.forward_end, motor.aft_end, tube)


def _motor_tube(rocket: Rocket, around: Circumstances, motor: str) -> tuple[str, float, float] | None:
    """Name and both ends of the tube that a motor slides into [mm]; None where none or more than one may be meant."""
    named = around.motor_tubes.get(motor)
    found = [
        (item.name, station, station + item.part.extent()[1])
        for item in rocket.items
        if isinstance(item.part, MotorMount) or (isinstance(item.part, Tube) and item.part.use == "motor")
        for station in item.stations
        if item.part is not None
    ]
    mine = [one for one in found if named is not None and one[0] == named.name] or found
    return mine[0] if len(mine) == 1 else None


def _in_its_tube(motor: str, forward: float, aft: float, tube: tuple[str, float, float]) -> Iterator[Check]:
    name, first, last = tube
    over = aft - last
    note = ""
    if over < -_LEAST:
        note = "it ends inside the tube; the lip of its case, or its thrust ring, bears on the end of the tube"
    elif over > OVERHANG:
        note = "it stands far out; look at its aft end, or at where the tube ends"
    limit = f"0 to {OVERHANG:g} mm behind the tube"
    yield Check(f"{motor}: aft end behind {name}", "warn" if note else "pass", f"{over:.2f} mm", limit, _PRACTICE, note)
    if forward < first - _LEAST:
        yield Check(
            f"{motor}: forward end in {name}",
            "warn",
            f"{first - forward:.2f} mm ahead of it",
            "within the tube",
            _PRACTICE,
            "it stands out of the tube's forward end; look at what lies there: anchor, harness, parachute",
        )


# --- the parachute and the hand ---------------------------------------------------------------------------------------


def _parachute(recovery: Recovery, bay: Bay | None, packing: Packing) -> Iterator[Check]:
    if not recovery.parachutes:
        return
    name = "parachute bay: room"
    if bay is None:
        needs = "needs exactly one joint that releases, and a disc at each end of the bay"
        yield Check(name, "not-stated", None, "the packed parachute goes in", _SIZES, needs)
        return
    room = f"{bay.length:.0f} mm of {bay.bore:.1f} mm bore, {bay.volume / 1000.0:.0f} cm3"
    if packing.packed_length is None and packing.packed_volume is None:
        note = "pack the parachute with its protector and harness, and measure its length"
        yield Check(name, "not-stated", room, "the packed parachute goes in", _SIZES, note)
    for word, packed, free, unit, size in (
        ("length", packing.packed_length, bay.length, "mm", 1.0),
        ("volume", packing.packed_volume, bay.volume, "cm3", 1000.0),
    ):
        if packed is not None:
            status: Status = "pass" if packed <= free else "fail"
            note = "" if status == "pass" else "it does not go in; lengthen the bay or pack it smaller"
            limit = f"at most {free / size:.0f} {unit}: {room}"
            yield Check(f"parachute bay: {word}", status, f"{packed / size:.0f} {unit} packed", limit, _SIZES, note)


def _hands(rocket: Rocket, recovery: Recovery) -> Iterator[Check]:
    """The nearest anchor of each harness from the edge at which its section opens; the others are tied on the bench."""
    depths = dict(_anchor_depths(rocket, recovery))
    for harness in recovery.harnesses:
        found = {name: depths[name] for name in harness.anchors if name in depths}
        if not found:
            continue
        near = min(found, key=lambda name: found[name])
        far = [name for name, depth in found.items() if depth > HAND and name != near]
        status: Status = "warn" if found[near] > HAND else "pass"
        yield Check(
            f"{harness.name}: in reach",
            status,
            f"{near}, {found[near]:.0f} mm from the edge",
            f"one anchor at most {HAND:g} mm from the edge, so that a hand reaches it",
            _PRACTICE,
            f"tie the harness to {' and '.join(far) or near} before it goes in" if far or status == "warn" else "",
        )


def _anchor_depths(rocket: Rocket, recovery: Recovery) -> Iterator[tuple[str, float]]:
    """How far each anchor lies from the edge at which its section opens [mm]."""
    joint, items = _releasing(rocket, recovery)
    if joint is None:
        return
    parted = sections(rocket, _known(rocket, recovery))
    edges = (items[0].skin_extent()[1], items[1].skin_extent()[0])
    places = {item.name: item.stations for item in rocket.items}
    for anchor in recovery.anchors:
        stations = places.get(anchor.name, places.get(anchor.on, ()))
        for item, edge, way in zip(items, edges, (-1.0, 1.0), strict=True):
            section = next(section for section in parted if item.name in section)
            if anchor.on in section and stations:
                yield anchor.name, max(0.0, min(way * (station - edge) for station in stations))


def _landing(rocket: Rocket) -> Iterator[Check]:
    ends = [item.skin_range()[1] for item in rocket.body]
    fins: dict[str, float] = {}
    for one in rocket.fin_sets if ends else ():
        fins[one.name] = max(one.aft_end, fins.get(one.name, one.aft_end))
    for name, aft_end in fins.items():
        over = aft_end - max(ends)
        status: Status = "warn" if over > _LEAST else "pass"
        yield Check(
            f"{name}: aft of the airframe",
            status,
            f"{over:.2f} mm behind its end" if over > 0.0 else f"{abs(over):.2f} mm ahead of its end",
            "not behind the end of the airframe",
            _PRACTICE,
            "the rocket lands on its fins; sweep them less or move them forward" if status == "warn" else "",
        )
