"""All checks of what parts, glue lines, harness and joints bear: one flight, or one for each motor.

They are data for who decides, never a clearance to fly.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..demands import Demands
from ..limits import Check, Limit, limits
from ..recovery import Recovery
from ..rocket import Rocket
from .anchors import anchor_checks
from .glue import glue_checks
from .harness import harness_checks
from .inertia import inertia_checks
from .opening import opening_check, opening_load
from .parting import partings
from .screws import screw_checks
from .separation import separation_check
from .shear_pins import lift_check, opening_side_check, pin_count_check
from .stated import StatedLoads
from .thrust_path import thrust_checks, thrust_lines
from .trapped_air import trapped_air_check


def structure_checks(
    rocket: Rocket,
    recovery: Recovery,
    demands: Sequence[Demands],
    stated: StatedLoads = StatedLoads(),
    rules: Mapping[str, Limit] | None = None,
) -> Iterator[Check]:
    """What the flight asks of the parts against what they bear.

    Args:
        rocket: the parts in place, without a motor.
        recovery: joints, anchors, harnesses and parachutes.
        demands: the greatest values of the flight with each motor; with several every name ends in the motor's.
        stated: strengths and forces that somebody stands for.
        rules: limits by name; those of common practice where none are stated.
    """
    held_to = limits() if rules is None else rules
    if not demands:
        limit = held_to["structure_margin"]
        note = "enter the motor as [[motor]]; thrust and acceleration are needed"
        yield Check("loads on the parts", "not-stated", None, limit.words(), limit.source, note)
    for one in demands:
        after = f", {one.motor}" if len(demands) > 1 else ""
        yield from _of_flight(rocket, recovery, one, stated, held_to, after)
    names = {item.name for item in rocket.items}
    for joint in recovery.joints:
        if joint.state == "releases" and names.issuperset(joint.between):
            yield from pin_count_check(joint, stated, held_to)
            yield opening_side_check(joint, stated, held_to)


def _of_flight(
    rocket: Rocket,
    recovery: Recovery,
    demands: Demands,
    stated: StatedLoads,
    rules: Mapping[str, Limit],
    after: str,
) -> Iterator[Check]:
    opening = opening_load(demands, stated, [one.name for one in recovery.parachutes])
    carrying = [line.item.name for line in thrust_lines(rocket, recovery)]
    yield from thrust_checks(rocket, recovery, demands, stated, rules, after)
    yield from inertia_checks(rocket, recovery, demands, rules, after)
    if recovery.tied or recovery.joints:
        yield opening_check(f"opening load{after}", opening)
    yield from glue_checks(rocket, recovery, opening, demands, stated, rules, carrying, after)
    yield from screw_checks(rocket, recovery, opening, demands, rules, after)
    yield from anchor_checks(rocket, recovery, opening, stated, rules, after)
    yield from harness_checks(recovery, opening, demands, stated, rules, after)
    for parting in partings(rocket, recovery, demands):
        yield lift_check(parting, demands, stated, rules, after)
        yield separation_check(parting, demands, stated, rules, after)
        yield trapped_air_check(rocket, recovery, parting, demands, stated, rules, after)
