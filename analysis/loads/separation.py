"""Drag separation: as the motor burns out the finned part is slowed more than the nose, which wants to run ahead.

With drag D on the whole mass m both sections slow by D / m while they stay together. The section ahead, of mass m_f,
needs the force m_f D / m for that. What lies loose behind it, of mass m_l, runs forward onto the disc ahead and pushes
with m_l D / m. The drag D_f on the section ahead gives a part of both, and the joint must pull back with the rest:
T = D (m_f + m_l) / m - D_f, a pull where it is above zero, a push else. No part of it is empirical (statics).
"""

from __future__ import annotations

from collections.abc import Mapping

from ..demands import Demands
from ..limits import Check, Limit
from .held import STATICS, Sum, held, newtons, not_stated
from .parting import Parting, holding
from .stated import StatedLoads


def separation_force(drag: float, mass_ahead: float, mass: float, share_ahead: float) -> float:
    """Force in a joint by drag [N]; a pull above zero.

    Args:
        drag: drag on the whole [N].
        mass_ahead: mass ahead of the joint, and what lies loose behind it and runs forward [g].
        mass: mass of the whole [g].
        share_ahead: part of the drag that acts ahead of the joint [-].
    """
    return drag * (mass_ahead / mass - share_ahead)


def separation_check(
    parting: Parting, demands: Demands, stated: StatedLoads, rules: Mapping[str, Limit], after: str = ""
) -> Check:
    """Whether the joint holds as the motor burns out.

    Args:
        parting: the joint.
        demands: what the flight asks.
        stated: what holds the joint.
        rules: limits by name.
        after: what the name ends in.
    """
    share = demands.nose_drag_share or 0.0
    pulls = parting.mass_ahead + parting.mass_loose
    load = separation_force(demands.drag_at_burnout, pulls, demands.burnout_mass, share)
    if demands.nose_drag_share is None:
        taken = "share of the drag ahead of the joint not known, taken as none: the most that it can be"
    else:
        taken = f"{100.0 * share:.0f} % of the drag acts ahead of the joint"
    bears = holding(stated, parting.joint)
    inputs = (
        *bears.words,
        f"drag at burnout {newtons(demands.drag_at_burnout)}",
        f"{parting.mass_ahead:.0f} g ahead of the joint, of {demands.burnout_mass:.0f} g after burnout",
        f"{parting.mass_loose:.0f} g loose behind it that run forward onto it: {', '.join(parting.loose) or 'nothing'}",
        taken,
    )
    found = Sum("T = D (m_ahead + m_loose) / m - D_ahead", inputs, STATICS)
    limit, name = rules["hold_margin"], f"joint {parting.joint.words}: drag separation{after}"
    if parting.unknown:
        return not_stated(name, None, limit, found, f"enter the mass of {parting.unknown}, which is ahead of the joint")
    if parting.unknown_loose:
        note = f"enter the mass of {parting.unknown_loose}, which runs forward and pushes the joint open"
        return not_stated(name, None, limit, found, note)
    if bears.force is None and load > 0.0:
        note = (
            f"enter the force that the joint holds, as pulled with a scale; it should hold twice the {newtons(load)} "
            "that pull on it at burnout, and twice the weight below it when lifted"
        )
        return not_stated(name, load, limit, found, note)
    if load <= 0.0:
        value = f"pushed together by {newtons(-load)}"
        return Check(name, "pass", value, limit.words(), STATICS, "", found.formula, found.inputs)
    return held(name, load, bears.force or 0.0, limit, found, "a tighter joint or pins; ask the mentor")
