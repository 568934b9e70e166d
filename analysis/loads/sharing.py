"""What hangs on what: which masses a joint carries while the motor burns, and when the parachute opens.

A loose thing, payload, harness or parachute, lies on the next disc behind it while the motor burns, and runs forward
onto the next one ahead as drag slows the rocket; at opening the payload goes with the airframe round it. An anchor goes
with what it goes through, all else without a joint with the item of the airframe that holds it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from ...parts.kinds import Bulkhead, CenteringRing, MotorMount, Tube
from ..demands import Demands
from ..joints import Joint, Section, airframe, groups, holder, sections
from ..mass import mass_properties
from ..recovery import Recovery
from ..rocket import Item, Rocket
from .held import newtons

LOOSE = ("payload", "harness", "parachute")
"""What lies in a bay and is fixed to nothing, as far as a design says."""

FREE = ("harness", "parachute")
"""What is out of its bay when the parachute opens."""

MOTOR = "the motor"
"""Name of the motor among the masses; no item is called so."""

Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Web:
    """Masses and what holds each to the others.

    Attributes:
        masses: mass of each item [g], without those that are not known.
        unknown: items whose mass is not known.
        lasting: pairs that stay together.
        releasing: pairs that come apart in flight.
    """

    masses: Mapping[str, float]
    unknown: tuple[str, ...]
    lasting: tuple[Pair, ...]
    releasing: tuple[Pair, ...]

    def mass(self, names: Iterable[str]) -> float:
        """Mass of several items [g], as far as it is known."""
        return sum(self.masses.get(name, 0.0) for name in names)

    def missing(self, names: Iterable[str]) -> str:
        """Those of several items whose mass is not known, in words; empty where all are."""
        return ", ".join(name for name in names if name in self.unknown)

    def part_of(self, name: str) -> Section:
        """Everything that stays together with an item."""
        return self._group(name, self.lasting)

    def sides(self, pair: Pair, *, whole: bool) -> tuple[Section, Section] | None:
        """What is left on either side of a joint when it is cut; None where other joints bridge it.

        Args:
            pair: the joint.
            whole: the rocket before it comes apart, else the section by itself.
        """
        pairs = (*self.lasting, *(self.releasing if whole else ()))
        left = tuple(one for one in pairs if set(one) != set(pair))
        first, second = (self._group(name, left) for name in pair)
        return None if set(first) == set(second) else (first, second)

    def alone(self, name: str, *, whole: bool) -> tuple[Section, Section]:
        """What hangs on one item alone, and what is left of the rest that it is held to.

        Args:
            name: the item.
            whole: the rocket before it comes apart, else the section by itself.
        """
        pairs = (*self.lasting, *(self.releasing if whole else ()))
        rest = next(section for section in groups(self._names(), pairs) if name in section)
        loose = [one for one in pairs if name in one and _hangs(one, name, pairs)]
        own = self._group(name, tuple(one for one in pairs if name not in one or one in loose))
        return own, tuple(other for other in rest if other not in own)

    def _group(self, name: str, pairs: tuple[Pair, ...]) -> Section:
        return next(section for section in groups(self._names(), pairs) if name in section)

    def _names(self) -> tuple[str, ...]:
        return tuple(
            dict.fromkeys((*self.masses, *self.unknown, *(n for pair in self.lasting + self.releasing for n in pair)))
        )


def _hangs(pair: Pair, name: str, pairs: tuple[Pair, ...]) -> bool:
    """Whether the other of a pair is held by nothing else."""
    other = pair[1] if pair[0] == name else pair[0]
    return sum(1 for one in pairs if other in one) == 1


def web(rocket: Rocket, recovery: Recovery, motor_mass: float, *, opened: bool) -> Web:
    """What hangs on what.

    Args:
        rocket: the parts in place, without a motor.
        recovery: joints and anchors.
        motor_mass: mass of the motor [g].
        opened: the parachute is out, else it lies in its bay.
    """
    tied = _ties(rocket, recovery, opened)
    seat = motor_tube(rocket)
    if seat is None or motor_mass <= 0.0:
        return tied
    return replace(tied, masses={**tied.masses, MOTOR: motor_mass}, lasting=(*tied.lasting, (MOTOR, seat.name)))


@lru_cache(maxsize=8)
def _ties(rocket: Rocket, recovery: Recovery, opened: bool) -> Web:
    """The same without the motor; every load asks for it, and with each motor again."""
    names = {item.name for item in rocket.items}
    joints = [joint for joint in recovery.joints if names.issuperset(joint.between)]
    lasting: list[Pair] = [joint.between for joint in joints if joint.state != "releases"]
    releasing: list[Pair] = [joint.between for joint in joints if joint.state == "releases"]
    named = {name for joint in joints for name in joint.between} | {item.name for item in airframe(rocket)}
    on = {anchor.name: anchor.on for anchor in recovery.anchors if anchor.on in names}
    for item in rocket.items:
        if item.name not in named and not (opened and item.what in FREE):
            lies_on = None if opened else _lies_on(rocket, joints, item)
            carrier = on.get(item.name) or lies_on or holder(rocket, item, item.stations[0])
            if carrier is not None and carrier != item.name:
                lasting.append((item.name, carrier))
    masses: dict[str, float] = {}
    unknown: list[str] = []
    for item in rocket.items:
        found = mass_properties(item)
        if opened and item.part is None and item.what in FREE:
            continue
        if found is None:
            unknown.append(item.name)
        else:
            masses[item.name] = found.mass
    return Web(masses, tuple(unknown), tuple(lasting), tuple(releasing))


def motor_tube(rocket: Rocket) -> Item | None:
    """The item that the motor pushes: a mount, else a tube for a motor."""
    mounts = [item for item in rocket.items if isinstance(item.part, MotorMount)]
    tubes = [item for item in rocket.items if isinstance(item.part, Tube) and item.part.use == "motor"]
    return next(iter((*mounts, *tubes)), None)


def _lies_on(rocket: Rocket, joints: list[Joint], item: Item) -> str | None:
    """The next disc behind a loose thing in the same section; None where there is none, or it is not loose."""
    if item.part is not None or item.what not in LOOSE:
        return None
    home = holder(rocket, item, item.stations[0])
    parted = sections(rocket, joints)
    section = next((one for one in parted if home in one), ())
    behind = [
        (station, disc.name)
        for disc in rocket.items
        if isinstance(disc.part, Bulkhead | CenteringRing | MotorMount) and disc.name in section
        for station in disc.stations
        if station >= item.stations[0]
    ]
    return min(behind)[1] if behind else None


def runs_forward(rocket: Rocket, ahead: Section) -> tuple[str, ...]:
    """What lies loose behind a joint and runs forward onto the section ahead of it as drag slows the rocket.

    Args:
        rocket: the parts in place.
        ahead: names of everything ahead of the joint; a disc of the rest that is ahead of a loose thing stops it.
    """
    discs = [
        station
        for disc in rocket.items
        if isinstance(disc.part, Bulkhead | CenteringRing | MotorMount) and disc.name not in ahead
        for station in disc.stations
    ]
    foremost = min(discs, default=float("inf"))
    return tuple(
        item.name
        for item in rocket.items
        if item.part is None and item.what in LOOSE and item.name not in ahead and item.stations[0] <= foremost
    )


def spent_motor(demands: Demands) -> float:
    """Mass of the motor after burnout [g]."""
    return demands.motor_liftoff_mass - (demands.liftoff_mass - demands.burnout_mass)


def smaller(rocket: Rocket, pair: Pair) -> str:
    """The one of two that is no tube of the airframe; the second where both are."""
    frame = {item.name for item in airframe(rocket)}
    return next((name for name in pair if name not in frame), pair[1])


@dataclass(frozen=True, slots=True)
class Share:
    """What a joint carries of the opening load.

    Attributes:
        force: the force [N]; None where no anchor is stated for its section.
        words: how it was found.
    """

    force: float | None
    words: str


def pulled(rocket: Rocket, opened: Web, pair: Pair, anchored: Collection[str], force: float) -> Share:
    """Share of the opening load that a joint carries: what it must drag along, of its section.

    The whole load counts on each section, for a harness may come taut on one first.

    Args:
        rocket: the parts in place.
        opened: what hangs on what as the parachute opens.
        pair: the two that are joined.
        anchored: names of what anchors go through.
        force: the opening load [N].
    """
    sides = opened.sides(pair, whole=False) or opened.alone(smaller(rocket, pair), whole=False)
    tied = [any(name in anchored for name in side) for side in sides]
    total = opened.mass(sides[0]) + opened.mass(sides[1])
    missing = opened.missing((*sides[0], *sides[1]))
    if not any(tied) or (total <= 0.0 and not missing):
        return Share(None, "opening load not known: no anchor is stated for its section")
    if all(tied):
        return Share(force, f"the whole opening load, {newtons(force)}: anchors are on both of its sides")
    if missing:
        return Share(force, f"the whole opening load, {newtons(force)}: the mass of {missing} is not known")
    dragged = opened.mass(sides[1] if tied[0] else sides[0])
    share = force * dragged / total
    words = f"{newtons(share)} at opening: its part of the load, for {dragged:.0f} g of a section of {total:.0f} g"
    return Share(share, words)
