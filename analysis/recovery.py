"""Recovery: what opens, what holds the sections to the parachute, and what closes the bay that opens them.

The checks print what is stated and what is missing; none of them clears a rocket to fly.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from .gas_bay import CLOSED, HOLES, gas_bay_checks
from .joints import MEETING, Joint, Section, State, airframe, gap, groups, locked, sections
from .limits import Check
from .rocket import Rocket

__all__ = ["Anchor", "Harness", "Joint", "Parachute", "Recovery", "State", "locked", "recovery_checks"]

_PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class Anchor:
    """What a harness is tied to.

    Attributes:
        name: what the design calls it.
        on: name of the item that it goes through.
        metal: True for an eyebolt, a U-bolt or the like of metal.
        material: what it is made of; None where it is not stated.
    """

    name: str
    on: str
    metal: bool
    material: str | None = None


@dataclass(frozen=True, slots=True)
class Harness:
    """One unbroken harness.

    Attributes:
        name: what the design calls it.
        anchors: names of the anchors that it is tied to.
    """

    name: str
    anchors: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Parachute:
    """A parachute.

    Attributes:
        name: what the design calls it.
        harness: name of the harness that it hangs on; None where it is not stated.
    """

    name: str
    harness: str | None = None


@dataclass(frozen=True, slots=True)
class Recovery:
    """Everything that is stated of a rocket's recovery."""

    joints: tuple[Joint, ...] = ()
    anchors: tuple[Anchor, ...] = ()
    harnesses: tuple[Harness, ...] = ()
    parachutes: tuple[Parachute, ...] = ()

    @property
    def tied(self) -> bool:
        """True where anything is stated of what holds the sections together."""
        return bool(self.anchors or self.harnesses or self.parachutes)


def recovery_checks(rocket: Rocket, recovery: Recovery) -> Iterator[Check]:
    """All checks of the recovery of a rocket with one parachute that comes out at one joint.

    Args:
        rocket: the parts in place.
        recovery: what is stated of its recovery.
    """
    if len(airframe(rocket)) < 2 and not recovery.joints and not recovery.tied:
        return
    names = {item.name for item in rocket.items}
    yield from _slips(names, recovery)
    joints = tuple(joint for joint in recovery.joints if len(names.intersection(joint.between)) == 2)
    yield from _apart(rocket, joints)
    releasing = tuple(joint for joint in joints if joint.state == "releases")
    yield _one_releases(rocket, joints, releasing)
    yield from _not_joined(rocket, joints)
    parted = sections(rocket, joints)
    yield from _still_held(releasing, parted)
    yield from _anchors(rocket, recovery, _separated(rocket, joints, releasing, parted))
    if len(releasing) == 1 and _parts(releasing[0], parted):
        yield from gas_bay_checks(rocket, releasing[0], parted, [anchor.on for anchor in recovery.anchors])
    else:
        needs = "needs exactly one joint that releases"
        yield Check(CLOSED, "not-stated", None, "a disc at each end of the bay", _PRACTICE, needs)
        yield Check(HOLES, "not-stated", None, "one vent and no other hole", _PRACTICE, needs)


def _slips(names: set[str], recovery: Recovery) -> Iterator[Check]:
    """Names that name nothing, and joints of an item with itself."""

    def slip(name: str, note: str) -> Check:
        return Check(name, "fail", None, "every name is that of something in the design", "the design file", note)

    anchors = {anchor.name for anchor in recovery.anchors}
    harnesses = {harness.name for harness in recovery.harnesses}
    for joint in recovery.joints:
        unknown = [name for name in joint.between if name not in names]
        if unknown:
            yield slip(f"joint {joint.words}", f"nothing is called {' or '.join(unknown)}")
        elif joint.between[0] == joint.between[1]:
            yield slip(f"joint {joint.words}", "a joint is between two items")
    for anchor in recovery.anchors:
        if anchor.on not in names:
            yield slip(f"{anchor.name}: what it is on", f"nothing is called {anchor.on}")
    for harness in recovery.harnesses:
        for name in harness.anchors:
            if name not in anchors:
                yield slip(f"{harness.name}: tied to {name}", f"no anchor is called {name}")
    for parachute in recovery.parachutes:
        if parachute.harness is not None and parachute.harness not in harnesses:
            yield slip(f"{parachute.name}: on its harness", f"no harness is called {parachute.harness}")


def _apart(rocket: Rocket, joints: tuple[Joint, ...]) -> Iterator[Check]:
    """Joints between items that do not touch."""
    items = {item.name: item for item in rocket.items}
    for joint in joints:
        free = gap(*(items[name] for name in joint.between))
        if free > MEETING:
            yield Check(
                f"joint {joint.words}",
                "fail",
                f"{free:.2f} mm apart",
                f"items that are joined meet or overlap within {MEETING:g} mm",
                _PRACTICE,
                "they do not touch; look at their stations, or at what is named in the joint",
            )


def _one_releases(rocket: Rocket, joints: tuple[Joint, ...], releasing: tuple[Joint, ...]) -> Check:
    name, limit = "one joint releases", "exactly one, for one parachute"
    if not joints:
        return Check(name, "not-stated", None, limit, _PRACTICE, "enter the joints, and which of them releases")
    words = ", ".join(joint.words for joint in releasing)
    if len(releasing) == 1:
        return Check(name, "pass", words, limit, _PRACTICE)
    if releasing:
        note = "the sections may part at the wrong one; let one release and fix the others"
        return Check(name, "fail", f"{len(releasing)}: {words}", limit, _PRACTICE, note)
    note = locked(rocket, joints) or "the parachute cannot come out; say which joint releases"
    return Check(name, "fail", "none", limit, _PRACTICE, note)


def _not_joined(rocket: Rocket, joints: tuple[Joint, ...]) -> Iterator[Check]:
    """Groups of the airframe that no stated joint connects with the rest."""
    if not joints:
        return
    frame = [item.name for item in airframe(rocket)]
    for group in _connected(rocket, joints)[1:]:
        loose = [name for name in group if name in frame]
        if loose:
            yield Check(
                f"{_listed(loose)}: joint",
                "not-stated",
                None,
                "a joint for every item of the airframe",
                _PRACTICE,
                f"say what {_listed(loose)} {'is' if len(loose) == 1 else 'are'} joined to, and how",
            )


def _connected(rocket: Rocket, joints: tuple[Joint, ...]) -> tuple[Section, ...]:
    """Groups connected by joints of any state; first the one that comes apart, or else the foremost."""
    frame = [item.name for item in airframe(rocket)]
    named = [item.name for item in rocket.items if any(item.name in joint.between for joint in joints)]
    found = groups(dict.fromkeys([*frame, *named]), (joint.between for joint in joints))
    opening = {name for joint in joints if joint.state == "releases" for name in joint.between}
    return tuple(sorted(found, key=lambda group: not opening.intersection(group)))


def _parts(joint: Joint, parted: tuple[Section, ...]) -> bool:
    return not any(set(joint.between) <= set(section) for section in parted)


def _still_held(releasing: tuple[Joint, ...], parted: tuple[Section, ...]) -> Iterator[Check]:
    for joint in releasing:
        if not _parts(joint, parted):
            yield Check(
                f"joint {joint.words} parts",
                "fail",
                None,
                "nothing else holds its two sides together",
                _PRACTICE,
                "other joints still hold the two together when this one has released",
            )


def _separated(
    rocket: Rocket, joints: tuple[Joint, ...], releasing: tuple[Joint, ...], parted: tuple[Section, ...]
) -> tuple[Section, ...]:
    """The sections that come down separately; those that no stated joint connects with them are left out."""
    if not releasing:
        return ()
    together = set(_connected(rocket, joints)[0])
    return tuple(section for section in parted if together.intersection(section))


def _anchors(rocket: Rocket, recovery: Recovery, parted: tuple[Section, ...]) -> Iterator[Check]:
    limit = "a metal anchor on each section that comes apart, all on the harness that holds the parachute"
    if not recovery.tied or not parted:
        needs = "enter the anchors, the harness and the parachute" if parted else "needs the joint that releases"
        for name in [_anchor_name(rocket, section) for section in parted] or ["anchor on each section"]:
            yield Check(name, "not-stated", None, limit, _PRACTICE, needs)
        return
    harness = _main_harness(recovery, parted)
    for section in parted:
        yield _anchor(rocket, recovery, section, harness, limit)
    name = "parachute on one harness"
    if not recovery.parachutes:
        yield Check(name, "not-stated", None, limit, _PRACTICE, "enter the parachute and the harness that it hangs on")
    for parachute in recovery.parachutes:
        several = len(recovery.parachutes) > 1
        yield _hanging(f"{parachute.name}: on one harness" if several else name, parachute, harness, limit)


def _hanging(name: str, parachute: Parachute, harness: Harness | None, limit: str) -> Check:
    if parachute.harness is None:
        return Check(name, "fail", None, limit, _PRACTICE, f"say which harness {parachute.name} hangs on")
    if harness is None or parachute.harness != harness.name:
        note = f"{parachute.name} must hang on a harness that is tied to every section"
        return Check(name, "fail", f"{parachute.name} on {parachute.harness}", limit, _PRACTICE, note)
    return Check(name, "pass", f"{parachute.name} on {harness.name}", limit, _PRACTICE)


def _main_harness(recovery: Recovery, parted: tuple[Section, ...]) -> Harness | None:
    """The harness that holds a parachute; of several, the one that is tied to most sections."""
    on = {anchor.name: anchor.on for anchor in recovery.anchors}
    holding = {parachute.harness for parachute in recovery.parachutes}

    def sections_tied(harness: Harness) -> int:
        places = {on.get(name) for name in harness.anchors}
        return sum(1 for section in parted if places.intersection(section))

    return max((item for item in recovery.harnesses if item.name in holding), key=sections_tied, default=None)


def _anchor_name(rocket: Rocket, section: Section) -> str:
    frame = [item.name for item in airframe(rocket) if item.name in section]
    return f"anchor on {_listed(frame or section)}"


def _anchor(rocket: Rocket, recovery: Recovery, section: Section, harness: Harness | None, limit: str) -> Check:
    name = _anchor_name(rocket, section)
    here = [anchor for anchor in recovery.anchors if anchor.on in section]
    metal = [anchor for anchor in here if anchor.metal]
    if not here:
        note = "no anchor is on this section; name a metal one and the part that it goes through"
        return Check(name, "fail", None, limit, _PRACTICE, note)
    if not metal:
        unknown = next((anchor for anchor in here if anchor.material is None), None)
        if unknown:
            note = f"enter the `material` of {unknown.name}; an anchor is metal"
            return Check(name, "not-stated", f"{unknown.name} on {unknown.on}", limit, _PRACTICE, note)
        what = f" of {here[0].material}" if here[0].material else ""
        note = "it is not metal: take an eyebolt or U-bolt through plywood; a printed loop is no anchor"
        return Check(name, "fail", f"{here[0].name}{what} on {here[0].on}", limit, _PRACTICE, note)
    tied = [anchor for anchor in metal if harness and anchor.name in harness.anchors]
    value = f"{(tied or metal)[0].name} on {(tied or metal)[0].on}"
    if tied and harness:
        return Check(name, "pass", f"{value}, {harness.name}", limit, _PRACTICE)
    if not recovery.parachutes:
        return Check(
            name, "not-stated", value, limit, _PRACTICE, "enter the parachute and the harness that it hangs on"
        )
    if harness is None:
        return Check(name, "fail", value, limit, _PRACTICE, "no harness holds the parachute")
    other = next((item.name for item in recovery.harnesses if metal[0].name in item.anchors), None)
    why = f"it is on {other}, and the parachute on {harness.name}" if other else f"{harness.name} is not tied to it"
    return Check(name, "fail", value, limit, _PRACTICE, f"{why}; one harness must hold every section")


def _listed(names: tuple[str, ...] | list[str]) -> str:
    """Names in a sentence: `nose, tube and coupler`."""
    return " and ".join(part for part in (", ".join(names[:-1]), names[-1]) if part)
