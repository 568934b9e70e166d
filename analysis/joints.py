"""What holds the items of a rocket together, and into which sections it comes apart."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from ..parts.kinds import Coupler, NoseCone, Tube
from .rocket import Item, Rocket

State = Literal["glued", "screwed", "releases"]
"""How a joint is made: for good, to be undone on the bench, or to come apart in flight."""

MEETING = 0.5
"""How far two items may be from each other along the axis and still meet [mm]."""


@dataclass(frozen=True, slots=True)
class Joint:
    """Two items that are held to each other.

    Attributes:
        between: names of the two.
        state: how they are held.
        by: what holds them, such as `3 x M3` or `tape fit`.
    """

    between: tuple[str, str]
    state: State
    by: str | None = None

    @property
    def words(self) -> str:
        """The joint by its two names."""
        return f"{self.between[0]} to {self.between[1]}"


Section = tuple[str, ...]
"""Names of the items that stay together, in the order of the rocket."""


def is_coupler(item: Item) -> bool:
    """True for a sleeve that joins two tubes."""
    return isinstance(item.part, Coupler) or (isinstance(item.part, Tube) and item.part.use == "coupler")


def airframe(rocket: Rocket) -> tuple[Item, ...]:
    """What carries the rocket from nose to tail: skins and couplers, from forward to aft; a sleeve is carried."""
    names = {item.name for item in rocket.body} - {item.name for item in rocket.sleeves}
    found = [item for item in rocket.items if item.name in names or is_coupler(item)]
    return tuple(sorted(found, key=lambda item: item.skin_extent()))


def gap(first: Item, second: Item) -> float:
    """Free length between two items along the axis [mm]; below zero where they overlap."""
    a, b = first.skin_extent(), second.skin_extent()
    return max(a[0], b[0]) - min(a[1], b[1])


def groups(names: Iterable[str], pairs: Iterable[tuple[str, str]]) -> tuple[Section, ...]:
    """Names that hang together by pairs, each group and all groups in the order of the names."""
    names = tuple(names)
    group = {name: {name} for name in names}
    for first, second in pairs:
        if group[first] is not group[second]:
            group[first] |= group[second]
            for name in group[second]:
                group[name] = group[first]
    found: dict[int, list[str]] = {}
    for name in names:
        found.setdefault(id(group[name]), []).append(name)
    return tuple(tuple(members) for members in found.values())


def sections(rocket: Rocket, joints: Iterable[Joint]) -> tuple[Section, ...]:
    """What stays together when the joints that release have come apart.

    An item that no joint names goes with the item of the airframe that holds it.

    Args:
        rocket: the parts in place.
        joints: joints between items of the rocket.
    """
    joints = tuple(joints)
    named = {name for joint in joints for name in joint.between} | {item.name for item in airframe(rocket)}
    pairs = [joint.between for joint in joints if joint.state != "releases"]
    held = {
        item.name: holding
        for item in rocket.items
        if item.name not in named and (holding := holder(rocket, item, item.stations[0])) is not None
    }
    names = [item.name for item in rocket.items if item.name in named or item.name in held]
    return groups(names, (*pairs, *held.items()))


def holder(rocket: Rocket, item: Item, station: float) -> str | None:
    """The item of the airframe that one copy of an item sits in or on; None where there is none.

    Of two that overlap there, such as a coupler in a tube, what is inside belongs to the inner one.

    Args:
        rocket: the parts in place.
        item: the item that is held.
        station: where the copy's own origin lies [mm].
    """
    first, last = item.part.extent() if item.part else (0.0, 0.0)
    outside = item.part is not None and item.part.on_surface
    best: tuple[int, float, str] | None = None
    for frame in airframe(rocket):
        if frame.name == item.name:
            continue
        for inner, low, high in _stretches(frame):
            shared = min(station + last, high) - max(station + first, low)
            if (inner and outside) or (shared < 0.0 if first == last else shared <= 1e-6):
                continue
            found = (0 if inner else 1, -shared, frame.name)
            best = found if best is None else min(best, found)
    return best[2] if best else None


def _stretches(item: Item) -> tuple[tuple[bool, float, float], ...]:
    """Stretches of an item of the airframe, each with whether it is inside another: couplers and shoulders are."""
    first, last = item.skin_extent()
    if item.part is None or not item.part.skin():
        return ((True, first, last),)
    start, end = item.skin_range()
    rows = ((False, start, end), (True, first, start), (True, end, last))
    return tuple(row for row in rows if row[2] - row[1] > 1e-9)


def locked(rocket: Rocket, joints: Iterable[Joint]) -> str | None:
    """Why nothing can ever open, as a sentence with what to change; None where something can, or is not stated yet.

    The nose is fixed to its tube and a coupler to the tubes at both of its ends, every item of the airframe has its
    joint, and none releases.

    Args:
        rocket: the parts in place.
        joints: what is stated of its joints.
    """
    joints = tuple(joints)
    if any(joint.state == "releases" for joint in joints):
        return None
    frame = airframe(rocket)
    names = {item.name for item in frame}
    pairs = [joint.between for joint in joints if names.issuperset(joint.between)]
    skins = {item.name for item in rocket.body}
    nose = next(
        (joint for item in frame if isinstance(item.part, NoseCone) for joint in _of(joints, item, skins)), None
    )
    ends = [held for item in frame if is_coupler(item) if len(held := _of(joints, item, skins)) > 1]
    if nose is None or not ends or len(groups(names, pairs)) > 1:
        return None
    # Of a coupler's joints the later one is as good as any to release.
    both = ends[0]
    return (
        f"nothing can open: {_held(nose)}, and {_held(both[0])} and {_held(both[1])}, so the parachute cannot come "
        f"out; let one of two joints release: {nose.words}, or {both[1].words}"
    )


def _of(joints: tuple[Joint, ...], item: Item, others: set[str]) -> list[Joint]:
    """The joints of an item with others, one for each of them."""
    found: dict[str, Joint] = {}
    for joint in joints:
        if item.name in joint.between:
            other = joint.between[1] if joint.between[0] == item.name else joint.between[0]
            if other in others:
                found.setdefault(other, joint)
    return list(found.values())


def _held(joint: Joint) -> str:
    by = f" by {joint.by}" if joint.by else ""
    return f"{joint.between[0]} is {joint.state} to {joint.between[1]}{by}"
