"""Keys of a joint between two sections: ribs in the socket that go into slots of the spigot, in one way only."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from .curve import Floats, gauss
from .joint import KEY_LENGTH, LEAD_IN, THINNEST_SOCKET, Joint
from .shape import Cut, Fused, Loop, Meridian, Outline, RadialFeature, Revolved, polygon

ROLLS = (0.0, math.radians(110.0), math.radians(240.0))
"""Rolls of the keys from the rail line [rad]: uneven, so that two sections go together in one way only."""

WIDEST, DEEPEST = 4.0, 2.0
"""Largest width of a key, and how far it goes into a spigot whose wall is thicker [mm]."""

_BEYOND = 0.5
"""How far a tool reaches out of what it cuts [mm], so that no two faces lie on each other."""

_ANCHOR = 0.8
"""How far a key reaches into the wall of its socket [mm], so that it stays rooted there when a socket is widened."""


def width(joint: Joint) -> float:
    """Width of a key [mm]."""
    return min(WIDEST, joint.spigot_radius / 4.0)


def inner_radius(joint: Joint) -> float:
    """Radius to which a key reaches inwards [mm]: the bore of a thin spigot, else its own depth."""
    wall = joint.spigot_radius - joint.bore
    return joint.bore if wall < DEEPEST + joint.gap + THINNEST_SOCKET else joint.spigot_radius - DEEPEST


def through(joint: Joint) -> bool:
    """True where the slots for the keys go through the wall of the spigot."""
    return inner_radius(joint) == joint.bore


def slots(joint: Joint) -> tuple[RadialFeature, ...]:
    """What is cut from a spigot for the keys of its socket: open forward, the gap wider on each side."""
    half = width(joint) / 2.0 + joint.gap
    first, last = _slot_start(joint), joint.front + KEY_LENGTH + joint.gap
    outline = Outline(_rectangle(0.0, last - first, half))
    base = math.sqrt(joint.bore**2 - half**2) - _BEYOND if through(joint) else inner_radius(joint) - joint.gap
    return tuple(RadialFeature(first, roll, outline, base, joint.spigot_radius + _BEYOND) for roll in ROLLS)


def _slot_start(joint: Joint) -> float:
    """A station ahead of all of the spigot that a slot meets [mm]."""
    cone = DEEPEST + joint.gap if joint.solid else 0.0
    return joint.front - cone - _BEYOND


def keys(joint: Joint) -> Cut:
    """The ribs in a socket that go into the slots, their aft ends leaning at 45 degrees so that they print freely."""
    half = width(joint) / 2.0
    first, last = joint.front + LEAD_IN, joint.front + KEY_LENGTH
    outer = joint.socket_radius + _ANCHOR
    outline = Outline(_rectangle(0.0, last - first + 1.0, half))
    ribs = tuple(RadialFeature(first, roll, outline, inner_radius(joint), outer) for roll in ROLLS)
    low, high = inner_radius(joint) - _BEYOND, outer + 1.0
    # At 45 degrees through the socket's wall at the aft end of the key.
    rise = last - joint.socket_radius
    end = rise + high + 1.0
    corners = ((rise + low, low), (rise + high, high), (end, high), (end, low))
    return Cut(Fused(ribs), (Revolved(Meridian(polygon(corners))),))


def _rectangle(first: float, last: float, half: float) -> Loop:
    return polygon(((first, -half), (last, -half), (last, half), (first, half)), "fit")


def slots_volume(joint: Joint) -> float:
    """What the slots take from a spigot [mm3], in closed form along the axis and by a Gauss rule across it."""
    r, end = joint.spigot_radius, joint.front + KEY_LENGTH + joint.gap
    corner = r if joint.solid else r - LEAD_IN

    def inner(w: Floats) -> Floats:
        return np.sqrt(joint.bore**2 - w**2) if through(joint) else np.full_like(w, inner_radius(joint) - joint.gap)

    def length(radius: Floats) -> Floats:
        start = joint.front - (r - radius) if joint.solid else joint.front + np.maximum(radius - corner, 0.0)
        return np.asarray(end - start)

    return len(ROLLS) * _prism(width(joint) / 2.0 + joint.gap, inner, (corner, r), length)


def keys_volume(joint: Joint) -> float:
    """What the keys fill of the room inside a socket [mm3], in the same way."""
    r = joint.socket_radius
    first, last = joint.front + LEAD_IN, joint.front + KEY_LENGTH

    def inner(w: Floats) -> Floats:
        return np.full_like(w, inner_radius(joint))

    def length(radius: Floats) -> Floats:
        return np.asarray(last - (r - radius) - first)

    return len(ROLLS) * _prism(width(joint) / 2.0, inner, (r,), length)


def _prism(
    half: float, inner: Callable[[Floats], Floats], radii: tuple[float, ...], length: Callable[[Floats], Floats]
) -> float:
    """Volume [mm3] over a strip of one radius, from its inner end over some radii, of a length along the axis."""
    nodes, weights = gauss(24)
    w = half * (2.0 * nodes - 1.0)
    low, total = inner(w), np.zeros_like(w)
    for radius in radii:
        high = np.sqrt(radius**2 - w**2)
        t = low + np.outer(nodes, np.maximum(high - low, 0.0))
        total += (weights @ length(np.hypot(t, w))) * (high - low)
        low = high
    return float(2.0 * half * weights @ total)
