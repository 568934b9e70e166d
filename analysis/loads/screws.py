"""Screwed joints of the airframe under the opening load: what they carry; what they bear nobody states.

Screws shear through a thin wall or pull out of an insert long before they break, and nothing citable was found of
either: the load is told, for a pull with a scale on the bench.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..demands import Demands
from ..joints import airframe
from ..limits import Check, Limit
from ..recovery import Recovery
from ..rocket import Rocket
from .held import Sum, newtons, not_stated
from .opening import Opening
from .sharing import pulled, spent_motor, web


def screw_checks(
    rocket: Rocket,
    recovery: Recovery,
    opening: Opening,
    demands: Demands,
    rules: Mapping[str, Limit],
    after: str = "",
) -> Iterator[Check]:
    """Each screwed joint that the opening load goes through: of the airframe, and of what an anchor is on.

    Args:
        rocket: the parts in place, without a motor.
        recovery: joints and anchors.
        opening: the load as the parachute opens.
        demands: what the flight asks.
        rules: limits by name.
        after: what every name ends in.
    """
    frame, names = {item.name for item in airframe(rocket)}, {item.name for item in rocket.items}
    opened = web(rocket, recovery, spent_motor(demands), opened=True)
    anchored = {anchor.on for anchor in recovery.anchors}
    for joint in recovery.joints:
        two = set(joint.between)
        if joint.state != "screwed" or not two <= names or not (two <= frame or two & anchored):
            continue
        share = pulled(rocket, opened, joint.between, anchored, opening.force)
        if share.force is None:
            continue
        by = f", by {joint.by}" if joint.by else ""
        found = Sum("F m_dragged / m_section", (f"{share.words}{by}", *opening.short))
        note = (
            "what screws bear in this wall or insert is not known here: pull the joint with a scale to "
            f"{newtons(2.0 * share.force)}, twice the load, or put a ring of plywood under the screws"
        )
        name = f"screws, {joint.words}{after}"
        yield not_stated(name, share.force, rules["structure_margin"], found, note)
