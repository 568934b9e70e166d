"""Glue lines: what each glued joint carries while the motor burns and when the parachute opens.

Only the cylinders that two parts share count, in shear; what is glued flat onto the end of a tube may peel off and is
left out, and so are fillets.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from ...parts.glue_strengths import GLUE_LINE, glue_strengths
from ...parts.kinds import MotorMount
from ...parts.tables import materials
from ..bonded_area import BondedJoint, bonded_joints
from ..demands import Demands
from ..limits import Check, Limit
from ..recovery import Recovery
from ..rocket import Rocket
from .held import Sum, held, newtons, not_stated
from .opening import Opening
from .sharing import MOTOR, Web, motor_tube, pulled, smaller, spent_motor, web
from .stated import StatedLoads


@dataclass(frozen=True, slots=True)
class Glue:
    """Shear that glue lines are taken to bear.

    Attributes:
        shear: shear [MPa].
        words: where that comes from.
    """

    shear: float
    words: str


def glue(stated: StatedLoads) -> Glue:
    """Shear that glue lines bear: as stated, else that of a poor joint."""
    if stated.glue_shear is not None:
        return Glue(stated.glue_shear, f"glue line {stated.glue_shear:g} MPa in shear (stated)")
    row = glue_strengths()[GLUE_LINE]
    return Glue(row.shear, f"glue line {row.shear:g} MPa in shear, none stated: {row.source} ({row.mark})")


def prints(rocket: Rocket, names: Iterable[str]) -> tuple[str, ...]:
    """Those of several items that are made of plastic, where they are glued."""
    wanted, rows = set(names), materials()
    found = []
    for item in rocket.items:
        part = item.part
        made_of = part.ring_material if isinstance(part, MotorMount) else part.material if part else None
        if item.name in wanted and made_of in rows and rows[made_of].is_plastic:
            found.append(item.name)
    return tuple(found)


def on_prints(names: Iterable[str], load: float) -> str:
    """What to do where glue on prints is to bear a load [N]."""
    return (
        f"glue on prints is not known ({', '.join(names)}): scuff it, and test it by pulling to {newtons(2.0 * load)}, "
        "or bolt through; then enter what the glue bears"
    )


@lru_cache(maxsize=8)
def bonded(rocket: Rocket, recovery: Recovery) -> tuple[BondedJoint, ...]:
    """Every glued joint with its faces; several loads ask for them, and with each motor again."""
    return bonded_joints(rocket, recovery.joints)


def cylinders(joint: BondedJoint) -> float:
    """Area of a glued joint that bears along the axis [mm2]: all of its faces but those across it."""
    return sum(face.area for face in joint.faces if not face.words.startswith("pi / 4"))


def glue_checks(
    rocket: Rocket,
    recovery: Recovery,
    opening: Opening,
    demands: Demands,
    stated: StatedLoads,
    rules: Mapping[str, Limit],
    carrying: Iterable[str] = (),
    after: str = "",
) -> Iterator[Check]:
    """Each glued joint that is not wholly in the path of the thrust, under the larger of its two loads.

    Args:
        rocket: the parts in place, without a motor.
        recovery: joints and anchors.
        opening: the load as the parachute opens.
        demands: what the flight asks.
        stated: what the glue bears, where that is stated.
        rules: limits by name.
        carrying: rings that carry the thrust, whose glue lines have checks of their own.
        after: what every name ends in.
    """
    seat = motor_tube(rocket)
    boost = web(rocket, recovery, demands.motor_liftoff_mass, opened=False)
    opened = web(rocket, recovery, spent_motor(demands), opened=True)
    anchored = {anchor.on for anchor in recovery.anchors}
    thrust, names = set(carrying), {item.name for item in rocket.items}
    for joint in bonded(rocket, recovery):
        if not names.issuperset(joint.between):
            continue
        inner = set(joint.between) & thrust
        is_seat = seat is not None and seat.name in joint.between and seat.name not in anchored
        if (inner and not inner & anchored) or (thrust and is_seat):
            continue
        yield _check(rocket, joint, boost, opened, anchored, opening, demands, stated, rules["structure_margin"], after)


def _check(
    rocket: Rocket,
    joint: BondedJoint,
    boost: Web,
    opened: Web,
    anchored: set[str],
    opening: Opening,
    demands: Demands,
    stated: StatedLoads,
    limit: Limit,
    after: str,
) -> Check:
    name, bears = f"glue line, {joint.words}{after}", glue(stated)
    group = _hanging(rocket, boost, joint)
    hanging, missing = boost.mass(group), boost.missing(group)
    thrown = hanging / 1000.0 * demands.acceleration
    share = pulled(rocket, opened, joint.between, anchored, opening.force)
    load = max(thrown, share.force or 0.0)
    inputs = [
        f"{newtons(thrown)} in the burn: {hanging:.0f} g hang on it, at {demands.acceleration:.0f} m/s2 as felt",
        share.words,
        bears.words,
        *((_RETAINER,) if MOTOR in opened.part_of(joint.between[0]) else ()),
    ]
    area = cylinders(joint)
    found = Sum("F / A; F = m a in the burn, or its share of the opening load", (*inputs, *opening.short))
    if area <= 0.0:
        note = "the two share no cylinder that is known: look at their sizes and stations; a butt joint bears little"
        return not_stated(name, load, limit, found, note)
    if missing:
        return not_stated(name, load, limit, found, f"enter the mass of {missing}, which hangs on it in the burn")
    area_words = f"area {area:.0f} mm2: {joint.sum}" + (
        ", without what lies across the axis" if area < joint.area else ""
    )
    plastic = prints(rocket, joint.between) if stated.glue_shear is None else ()
    if plastic:
        found = Sum(
            found.formula, tuple(one for one in (area_words, *found.inputs) if one != bears.words), found.source
        )
        return not_stated(name, load, limit, found, on_prints(plastic, load))
    stress = f"shear {load / area:.3f} MPa"
    found = Sum(found.formula, (stress, area_words, *found.inputs), found.source)
    return held(name, load, area * bears.shear, limit, found, "make the joint longer, or add fillets and a second ring")


_RETAINER = "what the motor pulls on its retainer at opening is not looked at"


def _hanging(rocket: Rocket, whole: Web, joint: BondedJoint) -> tuple[str, ...]:
    """The side of a joint on which the motor is not; where others bridge it, what hangs on the smaller part alone."""
    sides = whole.sides(joint.between, whole=True)
    if sides is None:
        return whole.alone(smaller(rocket, joint.between), whole=True)[0]
    return sides[1] if MOTOR in sides[0] else sides[0] if MOTOR in sides[1] else min(sides, key=whole.mass)
