"""What a person measures on a nose cone, for its section drawing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from typing import TYPE_CHECKING

from ..curve import Arc
from ..envelope import radius_at
from ..errors import PartError
from ..measures import (
    AxialLength,
    Chamfer,
    Detail,
    DiameterAt,
    Measure,
    RadiusOf,
    Remark,
    holes_of,
    meridian_of,
    wall_at,
)
from ..shape import Array, RadialFeature

if TYPE_CHECKING:
    from .nose_cone import NoseCone

_REACH = 9.0
"""Radius of what a detail of the base step shows [mm]."""


def nose_measures(nose: NoseCone) -> tuple[Measure, ...]:
    """Every size of a nose that calipers reach, and what lies inside it."""
    return (*_outside(nose), *_inside(nose), *_on_the_axis(nose), *_holes(nose), *_joints(nose), *_details(nose))


def _outside(nose: NoseCone) -> Iterator[Measure]:
    base, rear = (nose.length, nose.base_radius), nose.rear
    yield AxialLength((0.0, 0.0), base, "length")
    yield DiameterAt(base, "base")
    tip = nose.skin()[0]
    if isinstance(tip, Arc) and nose.tip == "round" and len(nose.skin()) > 1:
        yield RadiusOf(tip, "tip")
    elif nose.tip == "flat":
        yield DiameterAt(tip.end, "flat tip")
    if nose.shoulder_length:
        outside = nose.shoulder_radius
        yield AxialLength(base, (rear, outside), "shoulder")
        yield AxialLength((0.0, 0.0), (rear, outside), "overall")
        yield DiameterAt((rear - nose.shoulder_length / 4.0, outside), "shoulder")
        if nose.bed_chamfer:
            yield Chamfer((rear - nose.bed_chamfer, outside), (rear, outside - nose.bed_chamfer))


def _inside(nose: NoseCone) -> Iterator[Measure]:
    cavity, body = nose.built().cavity, meridian_of(nose.shape())
    if not cavity:
        return
    x, r = cavity[0].start
    yield AxialLength((x, r), cavity[-1].end, "depth inside")
    for share in (0.5, 0.65, 0.4, 0.8, 0.3):
        station = nose.length * share
        if any(joint.front - 5.0 < station < joint.station + 15.0 for joint in nose.built().joints):
            continue
        with suppress(PartError):  # solid there
            yield wall_at(body, station)
            break
    if nose.shoulder_length:
        bore = nose.shoulder_radius - nose.shoulder_wall
        yield DiameterAt((nose.length + min(2.0, nose.shoulder_length / 8.0), bore), "bore")
        if 0.0 < nose.thick_length < nose.length and nose.shoulder_wall > nose.wall:
            start = nose.length - nose.thick_length
            yield AxialLength((start, radius_at(nose.skin(), start)), (nose.length, nose.base_radius), "thick")
        with suppress(PartError):  # something stands inside there
            yield wall_at(body, nose.length + 5.0, "shoulder wall")
    if nose.plate_seat is not None and nose.plate_thickness is not None:
        radius, rest = nose.seat(nose.shoulder_radius, nose.shoulder_radius - nose.shoulder_wall)
        shelf = nose.rear - nose.plate_thickness
        yield AxialLength((shelf, radius), (nose.rear, radius), "seat")
        yield DiameterAt((nose.rear - nose.plate_thickness / 2.0, radius), "seat")
        yield DiameterAt((shelf - nose.seat_width / 4.0, rest), "opening")
    boss = nose.boss(nose.sleeve())
    if boss is not None:
        yield DiameterAt((boss.station, boss.radius), f"ring for {nose.screw_size} {nose.screw_into}s")


def _on_the_axis(nose: NoseCone) -> Iterator[Measure]:
    for bore in nose.built().bores:
        word = "pocket" if 2.0 * bore.radius != nose.rod_hole else f"{nose.rod_size} rod"
        yield DiameterAt((bore.start + 1.0, bore.radius), word)
        yield AxialLength((0.0, 0.0), (bore.start, bore.radius), f"tip to {word}")
        if word == "pocket" and nose.pocket_length is not None:
            yield AxialLength((bore.start, bore.radius), (bore.start + nose.pocket_length, bore.radius), word)


def _holes(nose: NoseCone) -> Iterator[Measure]:
    for tool in nose.built().tools:
        if not isinstance(tool, Array) or not isinstance(tool.shape, RadialFeature):
            continue
        station = tool.shape.station
        in_skin = station < nose.length
        if tool.shape.to_radius < nose.shoulder_radius:
            yield holes_of(tool, nose.shoulder_radius - nose.shoulder_wall, f"pocket for an {nose.screw_size} nut")
            continue
        surface = radius_at(nose.skin(), station) if in_skin else nose.shoulder_radius
        screw = f"{nose.screw_size} insert" if nose.screw_into == "insert" else f"{nose.screw_size} screw"
        word = "vent" if in_skin else "shear pin" if nose.shear_pin_count else screw
        yield holes_of(tool, surface, word)
        yield AxialLength((nose.length, surface), (station, surface), f"base to {word}")
    for x in nose.dowel_distances:
        yield AxialLength((0.0, 0.0), (x, 0.0), "tip to dowel")
    if nose.dowel_distances and nose.dowel_diameter is not None:
        beside = "right across, beside the rod" if nose.rod_size else "right across the axis"
        yield Remark((nose.dowel_distances[0], 0.0), f"dowel hole Ø{nose.dowel_diameter:g} mm, {beside}")


def _joints(nose: NoseCone) -> Iterator[Measure]:
    for number, joint in enumerate(nose.built().joints, 1):
        yield AxialLength((0.0, 0.0), (joint.station, joint.spigot_radius), f"tip to joint {number}")
        words = f"joint {number}: spigot Ø{2.0 * joint.spigot_radius:.2f} x {joint.spigot_length:g} mm"
        yield Remark((joint.station, joint.spigot_radius), words)


def _details(nose: NoseCone) -> Iterator[Measure]:
    if nose.shoulder_length and nose.body == "hollow":
        yield Detail((nose.length, nose.shoulder_radius), _REACH, "base step")
        if nose.bed_chamfer:
            yield Detail((nose.rear, nose.shoulder_radius), _REACH / 2.0, "shoulder's end")
    if nose.tip == "round":
        yield Detail((3.0, 0.0), 6.0, "tip")
