"""In which order to put a rocket together, where the glue goes, and what must stay dry meanwhile.

What lies inside is finished before it goes into what is around it. Words and lengths alone; the parts and their joints
say which steps there are.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..parts.kinds import Bulkhead, CenteringRing, Fillet, Fin, MotorMount, NoseCone, RailButton, Transition, Tube
from .build_step import NO_GLUE, Step
from .joints import MEETING, Joint, holder, is_coupler
from .mass import mass_properties
from .motor import Motor
from .nose_steps import nose_steps
from .recovery import Anchor, Recovery
from .rocket import Item, Rocket


def build_steps(rocket: Rocket, recovery: Recovery, motors: tuple[Motor, ...] = ()) -> tuple[Step, ...]:
    """Steps from the motor mount to the balance; only for what the design has.

    Args:
        rocket: the parts in place.
        recovery: joints, anchors and harnesses.
        motors: the motors to fly with, for the balance.
    """
    bench = _Bench(rocket, recovery, motors)
    steps = (
        *bench.mounts(),
        *bench.fins(),
        *bench.discs_in_tubes(),  # a coupler's bore lets none of them pass
        *bench.couplers(),
        *bench.ends(),
        *bench.buttons(),
        *bench.vents(),
        *bench.balance(),
    )
    return tuple(replace(step, number=number) for number, step in enumerate(steps, 1))


@dataclass(frozen=True, slots=True)
class _Disc:
    """One copy of a ring or bulkhead: its item, what to call it, both faces and the radius of its rim [mm]."""

    item: Item
    word: str
    first: float
    last: float
    rim: float

    @property
    def thickness(self) -> float:
        return self.last - self.first

    @property
    def names(self) -> tuple[str, ...]:
        return (self.item.name,)


class _Bench:
    def __init__(self, rocket: Rocket, recovery: Recovery, motors: tuple[Motor, ...]) -> None:
        self.rocket, self.recovery, self.motors = rocket, recovery, motors
        self.airframe = [item for item in rocket.items if isinstance(item.part, Tube) and item.part.use == "airframe"]
        self.motor_tubes = [
            item
            for item in rocket.items
            if isinstance(item.part, MotorMount) or (isinstance(item.part, Tube) and item.part.use == "motor")
        ]
        self.tabbed = [item for item in rocket.fins if isinstance(item.part, Fin) and item.part.tab_length]
        self.anchored: set[str] = set()

    # --- the motor mount ----------------------------------------------------------------------------------------------

    def mounts(self) -> Iterator[Step]:
        for tube in self.motor_tubes:
            rings = self._rings_on(tube)
            aft = self._left_dry(rings)
            for index, ring in enumerate(ring for ring in rings if ring is not aft):
                yield from self._anchors_on(ring, _dry_fit(tube))
                yield self._ring_on_tube(ring, tube, rings, first=index == 0)
            if aft:
                yield from self._anchors_on(aft, _dry_fit(tube))
                yield self._aft_ring_dry(aft, tube)
            yield from self._mount_into_airframe(tube, rings, aft)

    def _rings_on(self, tube: Item) -> list[_Disc]:
        """Rings on a motor tube from forward to aft, those of a mount among them."""
        start, end = _span(tube)
        found: list[_Disc] = []
        part = tube.part
        if isinstance(part, MotorMount):
            places = sorted(part.ring_positions)
            found += [
                _Disc(tube, f"ring {number} of {tube.name}", start + at, start + at + part.ring_thickness, 0.0)
                for number, at in enumerate(places, 1)
            ]
            found = [replace(ring, rim=part.ring_diameter / 2.0) for ring in found]
        found += [ring for ring in self._discs() if _is_ring(ring) and ring.first < end and ring.last > start]
        return sorted(found, key=lambda ring: ring.first)

    def _left_dry(self, rings: list[_Disc]) -> _Disc | None:
        """The ring behind the fins' tabs, which stays off until the fillets inside are done."""
        if len(rings) < 2:
            return None
        ends = [
            station + item.part.tab_position + item.part.tab_length
            for item in self.tabbed
            if isinstance(item.part, Fin)
            for station in item.stations
        ]
        aft = rings[-1]
        inside = [end for end in ends if rings[0].last < end <= aft.first + MEETING]
        return aft if inside else None

    def _ring_on_tube(self, ring: _Disc, tube: Item, rings: list[_Disc], first: bool) -> Step:
        start, _ = _span(tube)
        area = _area(_tube_radius(tube), ring.thickness)
        before = [one for one in rings if one.last <= ring.first]
        gauge = self._gauge(before[-1], ring) if before else ""
        dry = [f"the bore of {tube.name}", *self._tied(ring)]
        return Step(
            f"Glue {ring.word} on {tube.name}",
            (*ring.names, tube.name),
            f"{_faces(ring)}; forward face {ring.first - start:.2f} mm from the forward end of {tube.name}",
            self._glue(
                (ring.item.name, tube.name), f"{ring.thickness:.2f} mm all round the tube, {area}, and a fillet"
            ),
            tuple(dry),
            " ".join(filter(None, ("Ring square to the tube all round, distance marked on the tube.", gauge))),
            "Scuff the tube's glossy skin where the glue goes; it does not hold on gloss."
            if first
            else "A ring that sets askew cannot be turned true; look along the tube until the glue has gelled.",
        )

    def _gauge(self, ahead: _Disc, ring: _Disc) -> str:
        for item in self.tabbed:
            part = item.part
            for station in item.stations if isinstance(part, Fin) else ():
                if isinstance(part, Fin) and ahead.last <= station + part.tab_position + MEETING <= ring.first:
                    return f"A tab of {item.name} between the two rings is the gauge."
        return ""

    def _aft_ring_dry(self, ring: _Disc, tube: Item) -> Step:
        _, end = _span(tube)
        return Step(
            f"Slide {ring.word} on {tube.name} without glue",
            (*ring.names, tube.name),
            f"{_faces(ring)}; {tube.name} stands out behind it by {end - ring.last:.2f} mm",
            keep_dry=(ring.word, f"{tube.name} behind the tabs", f"the bore of {tube.name}"),
            check="What stands out is what the retainer needs, by its own sheet; clips or inserts are fitted now.",
            caution="It must come off again: through its place the fillets inside are made. A tag of tape pulls it.",
        )

    def _mount_into_airframe(self, tube: Item, rings: list[_Disc], aft: _Disc | None) -> Iterator[Step]:
        home = self._tube_at((rings[0].first + rings[0].last) / 2.0 if rings else _span(tube)[0])
        if home is None:
            return
        glued = [ring for ring in rings if ring is not aft]
        areas = sum(math.tau * ring.rim * ring.thickness for ring in glued)
        end = home.skin_range()[1]
        names = tuple(dict.fromkeys([tube.name, *(ring.item.name for ring in rings), home.name]))
        sliding = [f"the wall of {home.name} where {item.name} slides" for item in self._sliding_in(home)]
        length = ", ".join(f"{ring.word} {ring.thickness:.2f} mm" for ring in glued)
        words = f"rims of {length}, {_cm2(areas)}" if glued else "no ring holds it; say how it is held"
        state = self._joint_of([ring.item.name for ring in glued], home.name)
        way = "; the slots must show the way down to the motor tube" if self.tabbed else ""
        dry_run = f"Push it in dry to a mark first{way}."
        yield Step(
            f"Put {tube.name} into {home.name}",
            names,
            f"aft end of {tube.name} at {_span(tube)[1]:.2f} mm, {_level(_span(tube)[1], end, home.name)}",
            _by_state(state, words),
            (
                *([f"the rim of {aft.word}, which comes off again"] if aft else []),
                f"the bore of {tube.name}",
                *([f"the slots in {home.name}"] if self.tabbed else []),
                *(word for ring in glued for word in self._tied(ring)),
                *sliding,
            ),
            " ".join(filter(None, (dry_run, self._blocks(rings)))),
            "A ring jams half-way on glue that grabs: slow glue, one push, laid inside ahead of each ring's place.",
            photograph=f"{tube.name} with its rings, glue and anchors, from both ends, a rule beside it",
        )

    def _blocks(self, rings: list[_Disc]) -> str:
        """What must be behind the wall before the mount closes the room round the motor tube."""
        behind = [
            f"{item.name} at {station:.2f} mm"
            for item in self.rocket.items
            if isinstance(item.part, RailButton)
            for station in item.stations
            if rings and station >= rings[0].first
        ]
        return f"Blocks or nuts for {' and '.join(behind)} are in first: no hand reaches them later." if behind else ""

    def _sliding_in(self, tube: Item) -> list[Item]:
        """What slides out of a tube in flight."""
        found = []
        for joint in self.recovery.joints:
            if joint.state == "releases" and tube.name in joint.between:
                other = joint.between[1] if joint.between[0] == tube.name else joint.between[0]
                found += [item for item in self.rocket.items if item.name == other]
        return found

    # --- fins ---------------------------------------------------------------------------------------------------------

    def fins(self) -> Iterator[Step]:
        aft = [ring for tube in self.motor_tubes if (ring := self._left_dry(self._rings_on(tube))) is not None]
        for item in self.rocket.fins:
            yield from self._dry_and_tack(item)
        for item in self.tabbed:
            yield self._inside_fillets(item, aft)
        for ring in aft:
            yield self._aft_ring_glued(ring)
        for item in self.rocket.fins:
            yield self._outside_fillets(item)
        for item in self.rocket.sleeves:
            yield from self._sleeve(item)

    def _fin_where(self, item: Item) -> str:
        at = ", ".join(f"{station:.2f} mm" for station in item.stations)
        spaced = f", {item.count} every {360.0 / item.count:.5g} deg" if item.count > 1 else ""
        return f"root leading edge at {at}{spaced}, the rail line mid-way between two"

    def _dry_and_tack(self, item: Item) -> Iterator[Step]:
        part, home = item.part, self._tube_at(item.stations[0])
        if not isinstance(part, Fin):
            return
        names = (item.name, *([home.name] if home else []))
        yield Step(
            f"Fit {item.name} dry",
            names,
            self._fin_where(item),
            check="Every fin stands in the jig, leading edge forward, and its tab reaches down to the motor tube."
            if item in self.tabbed
            else "Every fin stands in the jig, leading edge forward, its root on the tube all along.",
            caution="Number fins and slots, and weigh the fins: alike within 2 to 3 %. It also goes in back to front.",
        )
        length = part.tab_length if item in self.tabbed else part.root_chord
        under = "along the tab's lower edge" if item in self.tabbed else "along the root"
        yield Step(
            f"Tack {item.name}",
            names,
            self._fin_where(item),
            f"a thin line {under}, {length:.2f} mm on each of {item.quantity}",
            ("the slots' ends", *(ring.word for ring in self._all_dry())),
            "Angle and spacing in the jig, and each fin straight along the axis, before the glue gels.",
            "A tack holds a fin in place and nothing else; do not lift the tube by it.",
        )

    def _all_dry(self) -> list[_Disc]:
        return [ring for tube in self.motor_tubes if (ring := self._left_dry(self._rings_on(tube))) is not None]

    def _inside_fillets(self, item: Item, aft: list[_Disc]) -> Step:
        part = item.part
        assert isinstance(part, Fin)  # noqa: S101  chosen so; this tells the type checker
        off = f"Pull off {aft[0].word} first. " if aft else ""
        whole = 2.0 * part.tab_length * item.quantity
        tubes = [tube.name for tube in self.motor_tubes]
        return Step(
            f"Fillets inside, along the tabs of {item.name}",
            (item.name, *self._laid(item, outside=False), *tubes),
            f"on {' and '.join(tubes) or 'the wall'} and on the wall, beside each tab of {part.tab_length:.2f} mm",
            f"both sides of {item.quantity} tabs, {whole:.0f} mm on the tube and as much on the wall"
            + self._radius(self._laid(item, outside=False)),
            (
                *(f"the seat of {ring.word} on tube and wall, from {ring.first:.2f} mm" for ring in aft),
                *(f"the aft end and the bore of {name}" for name in tubes),
            ),
            f"{off}Tacks have set; weigh the rocket before and after: the difference is the glue.",
            "Fillets run: two at a time, upwards, the tube level. Glue poured in here moves the balance aft.",
        )

    def _aft_ring_glued(self, ring: _Disc) -> Step:
        tube = next(tube for tube in self.motor_tubes if ring in self._rings_on(tube))
        home = self._tube_at((ring.first + ring.last) / 2.0)
        joint = self._joint_of([ring.item.name], tube.name) or self._joint_of(
            [ring.item.name], home.name if home else ""
        )
        rim = math.tau * ring.rim * ring.thickness
        bore = math.tau * _tube_radius(tube) * ring.thickness
        words = f"bore and rim, {ring.thickness:.2f} mm all round, {_cm2(rim + bore)}"
        return Step(
            f"Glue {ring.word} in",
            (*ring.names, tube.name, *([home.name] if home else [])),
            _faces(ring),
            words if ring.item is tube else _by_state(joint, words),
            (f"the end of {tube.name} where the retainer goes", f"the bore of {tube.name}"),
            "It bears on the ends of the tabs, and is square to the tube; the retainer still goes on.",
            "Glue on the end of the motor tube keeps the retainer from its seat.",
            photograph="the fillets inside, along both sides of every tab, from behind",
        )

    def _outside_fillets(self, item: Item) -> Step:
        part, home = item.part, self._tube_at(item.stations[0])
        assert isinstance(part, Fin)  # noqa: S101  chosen so; this tells the type checker
        return Step(
            f"Fillets outside, along the roots of {item.name}",
            (item.name, *self._laid(item, outside=True), *([home.name] if home else [])),
            f"from {item.stations[0]:.2f} to {item.stations[0] + part.root_chord:.2f} mm",
            f"both sides of {item.quantity} roots, {2.0 * part.root_chord * item.quantity:.0f} mm in all"
            + self._radius(self._laid(item, outside=True)),
            ("the rail line, where buttons go", "the aft end of the motor tube"),
            "Fins still straight and evenly spaced; mask the edges of the fillets.",
            "Two at a time, the valley level, and turn the tube only when they have gelled.",
        )

    def _sleeve(self, item: Item) -> Iterator[Step]:
        """A fin can goes on when the tube under it is finished."""
        home = self._tube_at(item.stations[0])
        if home is None:
            return
        first, last = item.skin_range()
        joint = self._joint(item.name, home.name)
        yield Step(
            f"{_verb(joint)} {item.name} over {home.name}",
            (item.name, home.name),
            f"from {first:.2f} to {last:.2f} mm, the rail line mid-way between two fins",
            _by_state(joint, f"the bore, over {last - first:.2f} mm"),
            ("the rail line, where buttons go", f"the inside of {home.name}"),
            "It slides on dry all the way to a mark first, and the rail lines of sleeve and tube meet.",
            "What the sleeve's edge scrapes off holds nothing: lay the glue on the tube, and turn the sleeve home.",
        )

    def _laid(self, fins: Item, outside: bool) -> tuple[str, ...]:
        """Names of the fillets of fins that lie outside on the body, or of all that lie inside it."""
        return tuple(
            item.name
            for item in self.rocket.items
            if item.beside is not None
            and item.beside.name == fins.name
            and isinstance(item.part, Fillet)
            and (item.radius == fins.radius) == outside
        )

    def _radius(self, names: tuple[str, ...]) -> str:
        """Radius of fillets and what they weigh, where the design says so."""
        found = [item for item in self.rocket.items if item.name in names and isinstance(item.part, Fillet)]
        radii = sorted({f"{item.part.radius:g} mm" for item in found if isinstance(item.part, Fillet)})
        masses = [known.mass for item in found if (known := mass_properties(item)) is not None]
        return f"; radius {' and '.join(radii)}, about {sum(masses):.0f} g of glue" if found else ""

    # --- couplers, bulkheads and anchors ------------------------------------------------------------------------------

    def couplers(self) -> Iterator[Step]:
        for item in sorted(filter(is_coupler, self.rocket.items), key=lambda one: one.stations[0]):
            for disc in self._discs_in(item):
                yield from self._anchors_on(disc, "The eye stands square and its nut bears on a washer.")
                yield self._disc_into(disc, item)
            tubes = [tube for tube in self.airframe if _shared(item, tube) > MEETING]
            states = {tube.name: self._joint(item.name, tube.name) for tube in tubes}
            # What is fixed comes first; the side that opens is fitted when the other holds.
            for tube in sorted(tubes, key=lambda tube: _rank(states[tube.name])):
                yield self._coupler_in(item, tube, states)

    def _coupler_in(self, item: Item, tube: Item, states: dict[str, Joint | None]) -> Step:
        joint, depth = states[tube.name], _shared(item, tube)
        free = [name for name, other in states.items() if other is not None and other.state == "releases"]
        first, last = max(item.skin_extent()[0], tube.skin_range()[0]), min(item.skin_extent()[1], tube.skin_range()[1])
        where = f"from {first:.2f} to {last:.2f} mm: {depth:.2f} mm deep in {tube.name}"
        if joint is not None and joint.state == "releases":
            return Step(
                f"Fit {item.name} to slide in {tube.name}",
                (item.name, tube.name),
                where,
                f"{NO_GLUE}: {joint.by}" if joint.by else NO_GLUE,
                (f"{item.name} over its {depth:.2f} mm", f"the inside of {tube.name}"),
                "It slides all the way by hand. Tape, where it is used, in two rings apart, so that it does not rock.",
                "This is the joint that opens: no glue and no paint on it, and try it again after painting.",
            )
        radius = _outside(item)
        glue = f"inside {tube.name} over {depth:.2f} mm, {_area(radius, depth)}, along the whole length"
        return Step(
            f"{_verb(joint)} {item.name} in {tube.name}",
            (item.name, tube.name),
            where,
            _by_state(joint, glue),
            tuple(f"the side of {item.name} that slides in {name}" for name in free),
            f"A mark round {item.name} at {depth:.2f} mm shows when it is in; the tubes are in line on a flat table.",
            "Screw holes are drilled through both at once, and numbered."
            if joint is not None and joint.state == "screwed"
            else "Wipe off what is pushed ahead: glue on the free side locks the joint that must open.",
        )

    def discs_in_tubes(self) -> Iterator[Step]:
        for tube in self.airframe:
            for disc in self._discs_in(tube):
                yield from self._anchors_on(disc, "The eye stands square and its nut bears on a washer.")
                yield self._disc_into(disc, tube)

    def _discs_in(self, home: Item) -> list[_Disc]:
        """Bulkheads, and rings that hold no motor tube, in an item, foremost first."""
        on_motor_tubes = [(ring.item.name, ring.first) for tube in self.motor_tubes for ring in self._rings_on(tube)]
        found = [
            disc
            for disc in self._discs()
            if (disc.item.name, disc.first) not in on_motor_tubes and self._home(disc) == home.name
        ]
        return sorted(found, key=lambda disc: disc.first)

    def _home(self, disc: _Disc) -> str | None:
        joined = [
            name
            for joint in self.recovery.joints
            if disc.item.name in joint.between and joint.state != "releases"
            for name in joint.between
            if name != disc.item.name and any(item.name == name and is_coupler(item) for item in self.rocket.items)
        ]
        return joined[0] if joined and len(disc.item.stations) == 1 else holder(self.rocket, disc.item, disc.first)

    def _disc_into(self, disc: _Disc, home: Item) -> Step:
        first, last = home.skin_extent()
        part = disc.item.part
        enters, seated = disc.thickness, ""
        radius = disc.rim
        if isinstance(part, Bulkhead) and part.step_diameter and part.step_thickness:
            enters, radius = part.step_thickness, part.step_diameter / 2.0
            seated = f", and the end of {home.name} under the large disc"
        away = min(disc.first - first, last - disc.last)
        place = f"{away:.2f} mm inside the nearer end of {home.name}" if away >= 0.0 else f"on the end of {home.name}"
        return Step(
            f"{_verb(self._joint(disc.item.name, home.name))} {disc.word} in {home.name}",
            (*disc.names, home.name),
            f"{_faces(disc)}, {place}",
            self._glue((disc.item.name, home.name), f"{enters:.2f} mm all round, {_area(radius, enters)}{seated}"),
            (*self._tied(disc), f"the outside of {home.name}"),
            "Square to the axis; what must pass it (lines, wires, a vent) passes.",
            "A fillet on each side that can be reached; let it set before anything pulls on the anchor.",
            photograph=f"both faces of {disc.word} in its place",
        )

    def _anchors_on(self, disc: _Disc, check: str) -> Iterator[Step]:
        """Anchors that go through a disc, before it is out of reach; those of several copies in the foremost."""
        for anchor in self.recovery.anchors:
            if anchor.on != disc.item.name or anchor.name in self.anchored:
                continue
            self.anchored.add(anchor.name)
            tied = self._harnesses(anchor)
            tie = f" and tie {' and '.join(tied)} to it" if tied else ""
            yield Step(
                f"Fit {anchor.name} to {disc.word}{tie}",
                (anchor.name, *tied, *disc.names),
                f"through {disc.word}, {_faces(disc)}",
                f"{NO_GLUE} between them: nuts with washers, locked",
                tuple(tied),
                check,
                "Once the disc is glued in, nut and knot are out of reach."
                if anchor.metal
                else "It is not stated to be of metal: a harness is tied to metal through plywood.",
                photograph=f"nuts, washers and the knot at {anchor.name}, from both faces of {disc.word}",
            )

    def _harnesses(self, anchor: Anchor) -> list[str]:
        return [harness.name for harness in self.recovery.harnesses if anchor.name in harness.anchors]

    def _tied(self, disc: _Disc) -> list[str]:
        anchors = [anchor for anchor in self.recovery.anchors if anchor.on == disc.item.name]
        return list(dict.fromkeys(name for one in anchors for name in (one.name, *self._harnesses(one))))

    # --- nose, buttons, vents, balance --------------------------------------------------------------------------------

    def ends(self) -> Iterator[Step]:
        for item in self.rocket.items:
            part = item.part
            if not isinstance(part, NoseCone | Transition):
                continue
            for anchor in [one for one in self.recovery.anchors if one.on == item.name]:
                if anchor.name not in self.anchored:
                    self.anchored.add(anchor.name)
                    tied = self._harnesses(anchor)
                    yield Step(
                        f"Fit {anchor.name} to {item.name}",
                        (anchor.name, *tied, item.name),
                        f"in {item.name}",
                        f"{NO_GLUE} between them: nuts with washers, locked",
                        tuple(tied),
                        "The eye stands square and its nut bears on a washer.",
                        "A printed or moulded loop is no anchor.",
                        photograph=f"nuts and washers at {anchor.name}, inside {item.name}",
                    )
            if isinstance(part, NoseCone):
                yield from nose_steps(item, part)
            yield from self._shoulders(item, part)

    def _shoulders(self, item: Item, part: NoseCone | Transition) -> Iterator[Step]:
        first, last = item.skin_range()
        lengths = (item.skin_extent()[1] - last, first - item.skin_extent()[0])
        for tube in self.airframe:
            start, end = tube.skin_range()
            meets = [
                (mouth, length)
                for mouth, own, length in ((start, last, lengths[0]), (end, first, lengths[1]))
                if abs(mouth - own) <= MEETING
            ]
            for mouth, length in meets:
                joint = self._joint(item.name, tube.name)
                opens = joint is not None and joint.state == "releases"
                held = f"{NO_GLUE}: {joint.by}" if opens and joint and joint.by else NO_GLUE
                glue = f"the shoulder over {length:.2f} mm" if length > 0.0 else "the end of the tube"
                if isinstance(part, Transition) and part.motor_bore_diameter is not None:
                    glue += ", and the bore along the motor tube"
                yield Step(
                    f"{'Fit' if opens else _verb(joint)} {item.name} {'to slide in' if opens else 'in'} {tube.name}",
                    (item.name, tube.name),
                    f"{'base' if isinstance(part, NoseCone) else 'skin'} at {mouth:.2f} mm"
                    + (f", shoulder {length:.2f} mm deep" if length > 0.0 else ""),
                    held if opens else _by_state(joint, glue),
                    (f"the shoulder of {item.name}", f"the inside of {tube.name}") if opens else (),
                    "It seats all round without a step that a finger feels.",
                    "No paint on the shoulder, or it binds; try it again after painting.",
                )

    def buttons(self) -> Iterator[Step]:
        for item in self.rocket.items:
            if not isinstance(item.part, RailButton):
                continue
            home = self._tube_at(item.stations[0])
            joint = self._joint(item.name, home.name) if home else None
            at = ", ".join(f"{station:.2f} mm" for station in item.stations)
            yield Step(
                f"{_verb(joint)} {item.name} on the rail line",
                (item.name, *([home.name] if home else [])),
                f"middles at {at}, on one line along the tube",
                _by_state(joint, f"under each of {item.quantity} feet"),
                ("the screw's head and the sides of the button, which run in the rail",),
                "Both slide on a piece of the rail without binding; the fins clear it; no screw stands out inside.",
                "Harden the edge of the hole. A button that bottoms on its screw stays loose; one out of line jams.",
            )

    def vents(self) -> Iterator[Step]:
        for item in self.airframe:
            part = item.part
            if not isinstance(part, Tube) or not part.hole_positions:
                continue
            at = ", ".join(
                f"{item.stations[0] + place:.2f} mm, {place:.2f} mm from the forward end"
                for place in part.hole_positions
            )
            yield Step(
                f"Drill the vent in {item.name}"
                if len(part.hole_positions) == 1
                else f"Drill the vents in {item.name}",
                (item.name,),
                f"at {at}; {part.hole_diameter or 0.0:.2f} mm wide, {_roll(part.hole_roll)}",
                check="With everything in its place nothing inside covers it.",
                caution="Clear the edge inside, and look again after painting that it is open.",
            )

    def balance(self) -> Iterator[Step]:
        if not self.rocket.items:
            return
        names = " and with ".join(motor.name for motor in self.motors)
        loaded = f"with {names}, or a dummy of its mass and balance, parachute packed" if names else "as it will fly"
        yield Step(
            "Weigh and balance",
            tuple(item.name for item in self.rocket.items),
            f"the whole rocket: without a motor, and {loaded}",
            check="Write mass and balance point beside the predicted ones, and enter the masses that were weighed.",
            caution="Until then every figure is predicted; glue and paint move the balance aft.",
        )

    # --- looking things up --------------------------------------------------------------------------------------------

    def _discs(self) -> list[_Disc]:
        found: list[_Disc] = []
        for item in self.rocket.items:
            part = item.part
            if not isinstance(part, CenteringRing | Bulkhead):
                continue
            for station in sorted(item.stations):
                several = len(item.stations) > 1
                word = f"{item.name} at {station:.2f} mm" if several else item.name
                found.append(_Disc(item, word, station, station + part.extent()[1], part.outside_diameter / 2.0))
        return found

    def _tube_at(self, station: float) -> Item | None:
        return next((tube for tube in self.airframe if tube.skin_range()[0] <= station <= tube.skin_range()[1]), None)

    def _joint(self, first: str, second: str) -> Joint | None:
        return next((joint for joint in self.recovery.joints if set(joint.between) == {first, second}), None)

    def _joint_of(self, names: list[str], other: str) -> Joint | None:
        return next((joint for name in names if (joint := self._joint(name, other)) is not None), None)

    def _glue(self, names: tuple[str, str], words: str) -> str:
        # The rings of a mount are glued to its own tube.
        return words if names[0] == names[1] else _by_state(self._joint(*names), words)


def _dry_fit(tube: Item) -> str:
    return f"Slide the ring over {tube.name} dry: nuts and washers must clear the tube."


def _level(station: float, end: float, name: str) -> str:
    """Where a station lies from the aft end of an item, in words."""
    away = station - end
    if abs(away) < 0.005:
        return f"level with the end of {name}"
    return f"{abs(away):.2f} mm {'behind' if away > 0.0 else 'inside'} the end of {name}"


def _is_ring(disc: _Disc) -> bool:
    return isinstance(disc.item.part, CenteringRing)


def _span(item: Item) -> tuple[float, float]:
    return item.skin_extent()


def _shared(first: Item, second: Item) -> float:
    a, b = first.skin_extent(), second.skin_range()
    return min(a[1], b[1]) - max(a[0], b[0])


def _tube_radius(tube: Item) -> float:
    part = tube.part
    if isinstance(part, MotorMount):
        return part.tube_outside_diameter / 2.0
    return part.outside_diameter / 2.0 if isinstance(part, Tube) else 0.0


def _outside(item: Item) -> float:
    return float(getattr(item.part, "outside_diameter", 0.0)) / 2.0


def _faces(disc: _Disc) -> str:
    return f"faces at {disc.first:.2f} and {disc.last:.2f} mm"


def _cm2(area: float) -> str:
    return f"{area / 100.0:.1f} cm2"


def _area(radius: float, length: float) -> str:
    return _cm2(math.tau * radius * length)


def _roll(roll: float) -> str:
    degrees = math.degrees(roll) % 360.0
    return f"{degrees:.5g} deg past the rail line, clockwise from behind" if degrees > 1e-6 else "on the rail line"


def _rank(joint: Joint | None) -> int:
    return {"glued": 0, "screwed": 1, "releases": 3}[joint.state] if joint else 2


def _verb(joint: Joint | None) -> str:
    if joint is None:
        return "Fix"
    return {"glued": "Glue", "screwed": "Screw", "releases": "Fit"}[joint.state]


def _by_state(joint: Joint | None, words: str) -> str:
    """What to glue as the joint says; without one, what it would be."""
    if joint is None:
        return f"none until the joint is stated, for one of them must open; if it is to be glued: {words}"
    if joint.state == "glued":
        return f"{joint.by}: {words}" if joint.by else words
    return f"{NO_GLUE}: {joint.by}" if joint.by else NO_GLUE
