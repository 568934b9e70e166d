"""What a person measures on a transition, for its section drawing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..curve import Arc, Line
from ..errors import PartError
from ..measures import (
    AngleToAxis,
    AxialLength,
    Chamfer,
    Detail,
    DiameterAt,
    Measure,
    RadiusOf,
    holes_of,
    meridian_of,
    wall_at,
)
from ..shape import Array, Cut, RadialFeature
from .transition_inside import End

if TYPE_CHECKING:
    from .transition import Transition

_REACH = 9.0
"""Radius of what a detail of a step shows [mm]."""


def transition_measures(part: Transition) -> tuple[Measure, ...]:
    """Every size of a transition that calipers reach, and what lies inside it."""
    return (*_outside(part), *_inside(part), *_motor_bore(part), *_holes(part), *_details(part))


def _outside(part: Transition) -> Iterator[Measure]:
    skin = part.skin()
    start, end = skin[0].start, skin[-1].end
    yield AxialLength(start, end, "length")
    yield DiameterAt(start, "forward end")
    yield DiameterAt(end, "aft end")
    if isinstance(skin[0], Arc):
        yield RadiusOf(skin[0], "arc", share=0.25)
    elif isinstance(skin[0], Line) and start[1] != end[1]:
        yield AngleToAxis(start, end)
    for shoulder, plane, tip in _shoulders(part):
        radius = shoulder.shoulder_radius
        yield AxialLength((plane, radius), (tip, radius), f"{shoulder.word} shoulder")
        yield DiameterAt((plane + 0.75 * (tip - plane), radius), f"{shoulder.word} shoulder")
        if part.bed_chamfer and (shoulder.word == "forward") == part.narrows:
            along = part.bed_chamfer if tip < plane else -part.bed_chamfer
            yield Chamfer((tip + along, radius), (tip, radius - part.bed_chamfer))
    first, last = part.extent()
    if last - first > part.length:
        yield AxialLength((first, start[1]), (last, end[1]), "overall")


def _shoulders(part: Transition) -> Iterator[tuple[End, float, float]]:
    """Each shoulder with the station of its end of the skin and of its own end [mm]."""
    first, last = part.extent()
    for end, plane, tip in zip(part.ends(), (0.0, part.length), (first, last), strict=True):
        if end.shoulder_length:
            yield end, plane, tip


def _inside(part: Transition) -> Iterator[Measure]:
    if part.body == "solid":
        return
    body = meridian_of(part.shape())
    for share in (0.6, 0.4, 0.7):
        try:
            wall = wall_at(body, part.length * share)
        except PartError:  # solid there
            continue
        # Of a filled one the next face inwards is the motor bore.
        if part.motor_bore_diameter is None or wall.inside[1] > part.motor_bore_diameter / 2.0 + part.bore_wall + 1e-6:
            yield wall
        break
    for shoulder, plane, tip in _shoulders(part):
        bore = shoulder.shoulder_radius - part.shoulder_wall
        if part.is_open_at(plane + 0.6 * (tip - plane), bore):
            yield DiameterAt((plane + 0.6 * (tip - plane), bore), f"{shoulder.word} bore")


def _motor_bore(part: Transition) -> Iterator[Measure]:
    if part.motor_bore_diameter is None:
        return
    first, last = part.extent()
    radius = part.motor_bore_diameter / 2.0
    middle = (first + last) / 2.0
    yield DiameterAt((middle, radius), "motor bore")
    cavity = part.cavity_stations()
    if cavity is not None:
        begin, end = cavity
        yield DiameterAt((begin + 0.3 * (end - begin), radius + part.bore_wall), "sleeve")
    if part.retainer_recess_diameter is not None and part.retainer_recess_depth is not None:
        across, floor = part.retainer_recess_diameter / 2.0, last - part.retainer_recess_depth
        yield DiameterAt((last - part.retainer_recess_depth / 2.0, across), "recess")
        yield AxialLength((floor, across), (last, across), "recess")


def _holes(part: Transition) -> Iterator[Measure]:
    shape = part.shape()
    for tool in shape.tools if isinstance(shape, Cut) else ():
        one = tool.shape if isinstance(tool, Array) else tool
        if not isinstance(tool, Array | RadialFeature) or not isinstance(one, RadialFeature):
            continue
        shoulder = next((end for end, *ends in _shoulders(part) if min(ends) < one.station < max(ends)), None)
        plane = part.length if shoulder is not None and shoulder.word == "aft" else 0.0
        surface = shoulder.shoulder_radius if shoulder else part.radius_at(one.station)
        word = "screw" if shoulder else "vent"
        yield holes_of(tool, surface, word)
        yield AxialLength(
            (plane, surface), (one.station, surface), f"{'skin' if shoulder else 'forward end'} to {word}"
        )


def _details(part: Transition) -> Iterator[Measure]:
    if part.body == "hollow":
        for shoulder, plane, _ in _shoulders(part):
            yield Detail((plane, shoulder.shoulder_radius), _REACH, f"{shoulder.word} step")
