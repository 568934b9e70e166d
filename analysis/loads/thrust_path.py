"""The way of the thrust: from the motor tube through its glue into the rings, and through theirs into the airframe.

The whole thrust counts, the motor's own inertia not taken off, and the tabs of fins that are glued to the motor tube
carry none of it: both err to the safe side.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ...parts.kinds import CenteringRing, MotorMount
from ...parts.strengths import strength
from ..bonded_area import BondedJoint
from ..demands import Demands
from ..joints import airframe
from ..limits import Check, Limit
from ..recovery import Recovery
from ..rocket import Item, Rocket
from .glue import bonded, glue, on_prints, prints
from .held import STATICS, Sum, held, not_stated
from .plates import plug_shear
from .sharing import motor_tube
from .stated import StatedLoads


@dataclass(frozen=True, slots=True)
class Lines:
    """Glue lines of one item with rings.

    Attributes:
        item: the rings.
        inner: area of each glue line on the motor tube [mm2].
        outer: area of each glue line in the airframe [mm2].
        bore: diameter of the bore [mm].
        thickness: thickness of one ring [mm].
        material: what the rings are made of; None where it is not stated.
    """

    item: Item
    inner: tuple[float, ...]
    outer: tuple[float, ...]
    bore: float
    thickness: float
    material: str | None


def thrust_lines(rocket: Rocket, recovery: Recovery) -> tuple[Lines, ...]:
    """The rings that are glued to the motor tube and to the airframe, from the joints as stated."""
    seat = motor_tube(rocket)
    if seat is None:
        return ()
    frame = {item.name for item in airframe(rocket)}
    joints = bonded(rocket, recovery)
    if isinstance(seat.part, MotorMount):
        mount = seat.part
        rim = tuple(area for joint in joints for area in _areas(joint, seat.name, frame))
        bore = mount.ring_inside_diameter or mount.tube_outside_diameter
        each = math.pi * bore * mount.ring_thickness
        inner = tuple(each for _ in mount.ring_positions)
        return (Lines(seat, inner, rim, bore, mount.ring_thickness, mount.ring_material),) if rim else ()
    found = []
    for item in rocket.items:
        part = item.part
        if isinstance(part, CenteringRing):
            inner = tuple(area for joint in joints for area in _areas(joint, item.name, {seat.name}))
            rim = tuple(area for joint in joints for area in _areas(joint, item.name, frame - {seat.name}))
            if inner and rim:
                found.append(Lines(item, inner, rim, part.inside_diameter, part.thickness, part.material))
    return tuple(found)


def _areas(joint: BondedJoint, name: str, others: set[str]) -> tuple[float, ...]:
    """Faces of a joint between one item and one of several [mm2]."""
    if name not in joint.between or not others.intersection(joint.between):
        return ()
    return tuple(face.area for face in joint.faces)


def thrust_checks(
    rocket: Rocket,
    recovery: Recovery,
    demands: Demands,
    stated: StatedLoads,
    rules: Mapping[str, Limit],
    after: str = "",
) -> Iterator[Check]:
    """The thrust through all rings, and through the weakest alone.

    Args:
        rocket: the parts in place.
        recovery: the joints.
        demands: what the flight asks.
        stated: what the glue bears, where that is stated.
        rules: limits by name.
        after: what every name ends in.
    """
    limit, lines = rules["structure_margin"], thrust_lines(rocket, recovery)
    thrust = f"greatest thrust {demands.thrust:.0f} N"
    all_name, one_name = f"thrust through all rings{after}", f"thrust through one ring alone{after}"
    if not lines:
        note = "enter the joints of the motor tube with its rings, and of the rings with the airframe, as glued"
        found = Sum("F / A", (thrust,))
        yield not_stated(all_name, demands.thrust, limit, found, note)
        yield not_stated(one_name, demands.thrust, limit, found, note)
        return
    bears = glue(stated)
    inner, outer = sum(sum(line.inner) for line in lines), sum(sum(line.outer) for line in lines)
    names = ", ".join(f"{line.item.name} x {len(line.inner)}" for line in lines)
    left_out = _left_out(rocket, recovery, lines)
    inputs = (
        thrust,
        f"rings that carry it: {names}",
        f"on the motor tube {inner:.0f} mm2, {demands.thrust / inner:.3f} MPa",
        f"in the airframe {outer:.0f} mm2, {demands.thrust / outer:.3f} MPa",
        *((f"not counted, glued on one side only: {', '.join(left_out)}",) if left_out else ()),
        bears.words,
    )
    more = "add a ring, or take thicker ones"
    plastic = prints(rocket, _glued_in(rocket, recovery, lines)) if stated.glue_shear is None else ()
    if plastic:
        ask = on_prints(plastic, demands.thrust)
        yield not_stated(all_name, demands.thrust, limit, Sum("F / A of all rings", inputs[:-1]), ask)
        yield not_stated(one_name, demands.thrust, limit, Sum("F / (pi d t)", (thrust,)), ask)
        yield _ring(lines, demands, limit, after)
        return
    yield held(
        all_name, demands.thrust, min(inner, outer) * bears.shear, limit, Sum("F / A of all rings", inputs), more
    )
    least, weakest = min((min((*line.inner, *line.outer)), line.item.name) for line in lines)
    stress = f"least glue line of one ring, {weakest}: {least:.0f} mm2, {demands.thrust / least:.3f} MPa"
    inputs = (thrust, stress, bears.words)
    yield held(one_name, demands.thrust, least * bears.shear, limit, Sum("F / (pi d t)", inputs), more)
    yield _ring(lines, demands, limit, after)


def _glued_in(rocket: Rocket, recovery: Recovery, lines: tuple[Lines, ...]) -> set[str]:
    """The rings that carry the thrust, and what they are glued to on its way."""
    rings = {line.item.name for line in lines}
    seat = motor_tube(rocket)
    way = {item.name for item in airframe(rocket)} | ({seat.name} if seat else set())
    joined = [joint.between for joint in bonded(rocket, recovery) if rings.intersection(joint.between)]
    return rings | {name for pair in joined for name in pair if name in way}


def _left_out(rocket: Rocket, recovery: Recovery, lines: tuple[Lines, ...]) -> list[str]:
    """Rings that some joint names and that carry nothing."""
    counted = {line.item.name for line in lines}
    named = {name for joint in recovery.joints for name in joint.between}
    return [
        item.name
        for item in rocket.items
        if isinstance(item.part, CenteringRing) and item.name in named and item.name not in counted
    ]


def _ring(lines: tuple[Lines, ...], demands: Demands, limit: Limit, after: str) -> Check:
    """The sheet of one ring, sheared round the motor tube."""
    name = f"ring sheared round the motor tube, one alone{after}"
    rows = [(line, strength(line.material)) for line in lines]
    inputs: tuple[str, ...] = (f"greatest thrust {demands.thrust:.0f} N",)
    unknown = [line.item.name for line, row in rows if row is None or row.shear is None]
    if unknown:
        note = f"enter the material of {', '.join(unknown)}; the table of strengths has its shear"
        return not_stated(name, demands.thrust, limit, Sum("F / (pi d t)", inputs), note)
    found = [
        (demands.thrust * row.shear / plug_shear(demands.thrust, line.bore, line.thickness), line, row)
        for line, row in rows
        if row is not None and row.shear is not None
    ]
    borne, line, row = min(found, key=lambda one: one[0])
    stress = plug_shear(demands.thrust, line.bore, line.thickness)
    inputs = (
        *inputs,
        f"{line.item.name}: bore {line.bore:.2f} mm, thickness {line.thickness:g} mm, shear {stress:.3f} MPa",
        f"{line.material}: {row.shear:g} MPa in shear ({row.source}; {row.mark})",
    )
    return held(name, demands.thrust, borne, limit, Sum("F / (pi d t)", inputs, STATICS), "take a thicker ring")
