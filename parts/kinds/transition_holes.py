"""The radial holes of a transition: screws in its shoulders, and one that vents or drains what is hollow."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ..errors import PartError
from ..shape import Array, Outline, RadialFeature, circle
from .hole_circle import LEAST_WEB
from .screws import Sleeve, screw_holes
from .transition_inside import End, Inside, at_least, at_most

if TYPE_CHECKING:
    from .transition import Transition


def radial_holes(part: Transition, inside: Inside) -> tuple[Array | RadialFeature, ...]:
    """Every radial hole of a transition.

    Args:
        part: the transition.
        inside: what lies inside it.

    Raises:
        PartError: a hole has no place.
    """
    forward, aft = part.ends()
    return (*_screws(part, forward, inside), *_screws(part, aft, inside), *_vent(part, inside))


def _screws(part: Transition, end: End, inside: Inside) -> tuple[Array, ...]:
    """Screw holes in the middle of one shoulder.

    Raises:
        PartError: there is no shoulder, or no room in it.
    """
    count: int = getattr(part, f"{end.word}_screw_count")
    if not count:
        return ()
    length, radius = end.shoulder_length, part.screw_diameter / 2.0
    if not length:
        raise PartError(
            f"{end.word}_screw_count: the screws sit in the {end.word} shoulder, and there is none; give "
            f"{end.word}_shoulder_length"
        )
    if part.screw_diameter + 2.0 * LEAST_WEB > length:
        raise PartError(
            f"screw_diameter: holes of {part.screw_diameter:g} mm do not leave {LEAST_WEB:g} mm on both sides in "
            f"the {end.word} shoulder of {length:g} mm; at most {at_most(length - 2.0 * LEAST_WEB):g} mm"
        )
    start = -length if end.word == "forward" else part.length
    middle, word = start + length / 2.0, f"{end.word} shoulder"
    place = _open_to(part, inside, middle - radius, middle + radius, radius)
    through = place is not None
    sleeve = Sleeve(word, "its end", start, length, end.shoulder_radius, part.shoulder_wall if through else None)
    what = f"{end.word}_screw"
    holes = screw_holes(sleeve, count, part.screw_diameter, length / 2.0, part.screw_roll, what)
    one = holes.shape
    if part.motor_bore_diameter is None or not isinstance(one, RadialFeature):
        return (holes,)
    if place is None:
        place = max(one.from_radius, _blind_from(part, end, inside, middle - radius, middle + radius))
    return (replace(holes, shape=replace(one, from_radius=place)),)


def _blind_from(part: Transition, end: End, inside: Inside, first: float, last: float) -> float:
    """Radius that a hole may reach down to where it does not open into the cavity [mm].

    Raises:
        PartError: the cavity ends in the hole, or is too narrow for it.
    """
    if inside.cavity:
        begins, ends = inside.cavity[0].start[0], inside.cavity[-1].end[0]
        low, high = (part.length - last, part.length - first) if part.narrows else (first, last)
        if begins < high - 1e-6 and low < ends:
            at_ring = (end.word == "aft") == part.narrows
            deep = (end.shoulder_length + last - first) / 2.0 - (part.retainer_recess_depth or 0.0)
            blind = f"a bore_web of at least {at_least(deep):g} mm, which leaves them blind, "
            raise PartError(
                f"{end.word}_screw_count: holes of {part.screw_diameter:g} mm in the {end.word} shoulder would not "
                f"pass freely into the gap round the motor tube's sleeve; take {blind if at_ring else ''}a smaller "
                "screw_diameter, or a solid body"
            )
    core = inside.core
    if end.shoulder_radius - core < LEAST_WEB:
        raise PartError(
            f"{end.word}_screw_count: the motor bore leaves {end.shoulder_radius - core:.3g} mm of the {end.word} "
            f"shoulder beside its wall for screws; at least {LEAST_WEB:g} mm"
        )
    return core


def _open_to(part: Transition, inside: Inside, first: float, last: float, half_width: float) -> float | None:
    """Radius in the cavity over two stations of the part [mm]; None where it is not open so wide."""
    if part.narrows:
        first, last = part.length - last, part.length - first
    return inside.open_to(first, last, half_width)


def _vent(part: Transition, inside: Inside) -> tuple[RadialFeature, ...]:
    """The hole through the wall.

    Raises:
        PartError: there is nothing to vent at its place.
    """
    if part.vent_hole_diameter is None:
        if part.vent_hole_distance is not None:
            raise PartError("vent_hole_diameter: is needed for the vent and not stated")
        return ()
    radius = part.vent_hole_diameter / 2.0
    middle = part.length / 2.0 if part.vent_hole_distance is None else part.vent_hole_distance
    if not inside.cavity:
        raise PartError("vent_hole_diameter: there is no cavity to vent; leave it out, or make the body hollow")
    least, most = radius + LEAST_WEB, part.length - radius - LEAST_WEB
    if not least - 1e-9 <= middle <= most + 1e-9:
        low, high = at_least(least), at_most(most)
        rule = f"from {low:g} to {high:g} mm" if low <= high else "take a smaller vent_hole_diameter"
        raise PartError(
            f"vent_hole_distance: a hole of {part.vent_hole_diameter:g} mm at {middle:g} mm does not leave "
            f"{LEAST_WEB:g} mm to the ends of the skin of {part.length:g} mm; {rule}"
        )
    place = _open_to(part, inside, middle - radius, middle + radius, radius)
    if place is None:
        begins, ends = inside.cavity[0].start[0], inside.cavity[-1].end[0]
        low, high = (part.length - ends, part.length - begins) if part.narrows else (begins, ends)
        raise PartError(
            f"vent_hole_distance: a hole of {part.vent_hole_diameter:g} mm at {middle:g} mm does not lead into the "
            f"cavity, which reaches from {max(low, 0.0):.4g} to {min(high, part.length):.4g} mm and is narrow at "
            "its ends"
        )
    outside = max(part.forward_diameter, part.aft_diameter) / 2.0 + 1.0
    start = place if part.motor_bore_diameter is not None else 0.0
    return (RadialFeature(middle, part.vent_hole_roll, Outline(circle(radius)), start, outside),)
