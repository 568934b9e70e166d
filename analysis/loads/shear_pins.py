"""Shear pins: how many, and whether a joint that releases holds when lifted and opens when it shall.

What pushes the joint open is the figure of the motor's maker or of a test run by a mentor; none of it is computed here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ...parts.nylon_pins import nylon_pins
from ..demands import Demands
from ..joints import Joint
from ..limits import Check, Limit
from ..rail_exit import GRAVITY
from .held import STATICS, Sum, held, newtons, not_stated
from .parting import Parting, holding, pin, pin_words
from .stated import StatedLoads


def pin_count_check(joint: Joint, stated: StatedLoads, rules: Mapping[str, Limit]) -> Iterator[Check]:
    """Number and size of the pins of a joint; nothing where it has none.

    Args:
        joint: the joint.
        stated: its pins.
        rules: limits by name.
    """
    pins, row, limit = stated.pins.get(joint.words), pin(stated, joint), rules["shear_pin_count"]
    if pins is None:
        return
    name, value = f"joint {joint.words}: shear pins", f"{pins.count} x {pins.size}"
    if row is None:
        note = f"the table of nylon pins has {', '.join(nylon_pins())}; nothing is known of {pins.size}"
        yield Check(name, "not-stated", value, limit.words(), limit.source, note)
        return
    status = limit.status(pins.count)
    note = "" if status == "pass" else "take three, evenly round the joint"
    forces = f"hold {newtons(pins.count * row.hold)} at least, may take {newtons(pins.count * row.open)} to open"
    yield Check(
        name,
        status,
        f"{value}: {forces}",
        limit.words(),
        limit.source,
        note,
        "number x force of one",
        (pin_words(row),),
    )


def lift_check(
    parting: Parting, demands: Demands, stated: StatedLoads, rules: Mapping[str, Limit], after: str = ""
) -> Check:
    """Whether the joint holds twice what is below it, when the rocket is lifted by its nose.

    Args:
        parting: the joint.
        demands: what the flight asks.
        stated: what holds the joint.
        rules: limits by name.
        after: what the name ends in.
    """
    joint, limit = parting.joint, rules["lift_margin"]
    name = f"joint {joint.words}: lifted by the nose{after}"
    below = demands.liftoff_mass - parting.mass_ahead
    weight = below / 1000.0 * GRAVITY
    bears = holding(stated, joint)
    inputs = [
        *bears.words,
        f"{below:.0f} g below it: {demands.liftoff_mass:.0f} g at liftoff less {parting.mass_ahead:.0f} g ahead of it",
    ]
    if parting.unknown:
        inputs.append(f"the mass of {parting.unknown} is not known, and counts as below the joint")
    found = Sum("m g of what is below the joint", tuple(inputs), STATICS)
    twice = newtons(2.0 * weight)
    if bears.force is None:
        note = (
            f"lift the rocket by its nose: the joint holds, twice its weight below, {twice}, shown with a scale; "
            "and a hand still pulls it apart. Enter the force that it holds"
        )
        return not_stated(name, weight, limit, found, note)
    return held(name, weight, bears.force, limit, found, f"it must hold {twice}: add a turn of tape, or pins")


def opening_side_check(joint: Joint, stated: StatedLoads, rules: Mapping[str, Limit]) -> Check:
    """Whether the force that is stated opens the joint; not stated unless somebody stands for that force.

    Args:
        joint: the joint.
        stated: the force that opens it, its pins and its friction.
        rules: limits by name.
    """
    limit, name = rules["open_margin"], f"joint {joint.words}: opens"
    pins, row = stated.pins.get(joint.words), pin(stated, joint)
    friction = stated.holding_force.get(joint.words)
    takes, inputs = friction or 0.0, list[str]()
    if pins is not None and row is not None:
        takes += pins.count * row.open
        inputs += [f"{pins.count} pins may take {newtons(pins.count * row.open)}", pin_words(row)]
    inputs.append("friction not stated" if friction is None else f"friction {newtons(friction)} (stated)")
    inputs.append(_RETENTION)
    known = friction is not None if pins is None else row is not None
    found = Sum("force that opens it over pins and friction", tuple(inputs), "common practice")
    stands = stated.opening_force.get(joint.words)
    ask = (
        "enter the force that the motor's maker states, or that a test run by a mentor has shown, with who says so; "
        "nothing of it is computed here"
    )
    if stands is None or not stands.source.strip():
        what = "pins and friction" if pins and friction else "pins alone" if pins else "friction"
        needs = f"; {what} may take {newtons(takes)}" if known else ""
        return not_stated(name, None, limit, found, ask + needs)
    inputs.insert(0, f"{newtons(stands.force)} opens it ({stands.source})")
    found = Sum(found.formula, tuple(inputs), stands.source)
    if not known:
        what = (
            "the force at which it slides"
            if pins is None
            else f"pins of a size that is known: {', '.join(nylon_pins())}"
        )
        return not_stated(
            name, None, limit, found, f"enter {what}, as pulled with a scale" if pins is None else f"take {what}"
        )
    if friction is None and limit.status(stands.force / takes) == "pass":
        note = "enter the friction of the joint: the force at which it slides without its pins, as pulled with a scale"
        return not_stated(name, None, limit, found, f"{note}; the pins alone may take {newtons(takes)}")
    if takes <= 0.0:
        return held(name, 0.0, stands.force, limit, found, "", _OPENS)
    return held(name, takes, stands.force, limit, found, "fewer or thinner pins, less tape; ask the mentor", _OPENS)


_OPENS = "that opens it"
_RETENTION = "the motor's retainer must hold more than what opens the joint, or the motor comes out (common practice)"
