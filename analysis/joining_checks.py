"""Checks whether a shoulder is joined to its tube as the design says: held or released, and never both."""

from __future__ import annotations

from collections.abc import Iterator

from ..parts.kinds import NoseCone
from .joints import Joint
from .limits import Check
from .rocket import Item, Rocket

_SOURCE = "common practice"


def joining_checks(rocket: Rocket, joints: tuple[Joint, ...]) -> Iterator[Check]:
    """What holds each nose with a shoulder, beside what the joints say of it.

    Args:
        rocket: the parts in place.
        joints: what is stated of its joints.
    """
    for item in rocket.items:
        if isinstance(item.part, NoseCone) and item.part.shoulder_length:
            yield _joined(item, item.part, [joint for joint in joints if item.name in joint.between])
            yield from _plate(item, item.part)


def _plate(item: Item, nose: NoseCone) -> Iterator[Check]:
    """Whether a plate that closes a nose stays in its seat, and whether the air behind it gets out."""
    if nose.plate_seat is None:
        return
    name, limit = f"{item.name}: plate in its seat", "a rod through the plate, with a nut behind it"
    if nose.rod_size is None:
        note = (
            "a harness pulls the plate out of its seat, and glue alone holds it: give the nose a rod, or tie elsewhere"
        )
        yield Check(name, "warn", "no rod", limit, _SOURCE, note)
    else:
        yield Check(name, "pass", f"{nose.rod_size} rod", limit, _SOURCE)
    name, limit = f"{item.name}: closed inside", "a hole of 2 to 3 mm that lets the air out as the rocket climbs"
    if nose.vent_hole_diameter is None:
        note = "give it vent_hole_diameter; shut in, the air pushes at plate and joints"
        yield Check(name, "warn", "no vent", limit, _SOURCE, note)
    else:
        yield Check(name, "pass", f"{nose.vent_hole_diameter:g} mm", limit, _SOURCE)


def _joined(item: Item, nose: NoseCone, joints: list[Joint]) -> Check:
    name, limit = f"{item.name}: held or released", "one of the two, the same in the part and in its joint"
    said = nose.joining or ("held" if nose.screws else "released" if nose.shear_pin_count else None)
    opens = {joint.state == "releases" for joint in joints}
    if said is None:
        hint = {frozenset({True}): "released", frozenset({False}): "held"}.get(frozenset(opens), "held or released")
        note = f"say whether it stays or comes off in flight: `joining` = {hint}"
        return Check(name, "not-stated", None, limit, _SOURCE, note)
    value = f"{said}, {_by(nose, said)}"
    clash = next((joint for joint in joints if (joint.state == "releases") != (said == "released")), None)
    if clash is not None:
        note = f"the joint between {clash.between[0]} and {clash.between[1]} says {clash.state}; change one of the two"
        return Check(name, "fail", value, limit, _SOURCE, note)
    if said == "held" and nose.screws and nose.screw_into == "hole":
        note = "a clearance hole holds nothing by itself: glue a plywood ring in behind it, or take inserts or nuts"
        return Check(name, "warn", value, limit, _SOURCE, note)
    return Check(name, "pass", value, limit, _SOURCE)


def _by(nose: NoseCone, said: str) -> str:
    if said == "released":
        return f"{nose.shear_pin_count} shear pins" if nose.shear_pin_count else "by its fit"
    if not nose.screws:
        return "by glue"
    into = {"hole": "", "insert": " into inserts", "nut": " into captive nuts"}[nose.screw_into]
    return f"{nose.screws} x {nose.screw_size}{into}"
