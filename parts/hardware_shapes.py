"""Hardware as shapes, so that what a screw or an eye weighs and where it stands is read as that of any part.

Frame: the axis of the piece is +x. What bears on the part lies in x = 0, a shank runs towards +x, and a head, eye or
bend stands at -x; nuts and washers reach from x = 0 to their height. Threads are cylinders of the pitch diameter, on
which thread and groove balance; chamfers, knurls, prongs and run-outs are left out. Times the density of steel this
comes within a few per cent of published masses, except for eyebolts, whose forging is fuller than a plain ring.
"""

from __future__ import annotations

import math
from functools import singledispatch
from itertools import pairwise

from .curve import Arc, Line, Point
from .errors import PartError
from .hardware import (
    ButtonScrew,
    Eyebolt,
    Hardware,
    HeadedScrew,
    HexNut,
    Insert,
    OfLength,
    ThreadedRod,
    TNut,
    UBolt,
    UnifiedScrew,
    Washer,
    sized,
)
from .shape import (
    Cut,
    Edge,
    Fused,
    Meridian,
    Outline,
    Placed,
    Placement,
    Plate,
    Revolved,
    Shape,
    edges,
    hole,
    moved,
    polygon,
)

_ACROSS = Placement(turn=(0.0, 0.0, -1.0, 0.0, 1.0, 0.0, 1.0, 0.0, 0.0))
"""Turns what is made about x so that its axis is z."""


_FLAT = 0.65
"""Radius of the flat round the socket of a button screw, in widths of the socket [-]; its corners are at 0.577."""


@singledispatch
def hardware_shape(item: Hardware) -> Shape:
    """The solid of a piece of hardware.

    Raises:
        PartError: it has none (a clearance hole), or its length is needed and not stated.
    """
    raise PartError(f"{item.name}: is no solid")


@hardware_shape.register
def _(item: Washer) -> Shape:
    return _sleeve(item.outside_diameter, item.inside_diameter, 0.0, item.thickness)


@hardware_shape.register
def _(item: HexNut) -> Shape:
    bore = sized(ThreadedRod, item.size).pitch_diameter / 2.0
    return Plate(Outline(_hexagon(item.across_flats).outer, (hole(bore),)), item.height)


@hardware_shape.register
def _(item: HeadedScrew) -> Shape:
    """Head and shank in one, threaded to the head, with the socket cut into it."""
    length, radius = _length(item), sized(ThreadedRod, item.size).pitch_diameter / 2.0
    top, rim = -item.head_height, item.head_diameter / 2.0
    if isinstance(item, ButtonScrew):
        # A flat a little wider than the socket, then a sphere about a point of the axis down to the rim.
        flat = _FLAT * item.socket_across_flats
        middle = (rim**2 - flat**2 - top**2) / (-2.0 * top)
        start, end = math.atan2(flat, top - middle), math.atan2(rim, -middle)
        side: Line | Arc = Arc((middle, 0.0), math.hypot(rim, middle), start, end - start)
    else:
        flat, side = rim, Line((top, rim), (0.0, rim))
    head = edges((Line((top, 0.0), (top, flat)), side))
    rest: tuple[Point, ...] = ((0.0, rim), (0.0, radius), (length, radius), (length, 0.0), (top, 0.0))
    body = Revolved(Meridian((*head, *(Edge(Line(a, b)) for a, b in pairwise(rest)))))
    # The socket begins outside the head, so that no face of the tool lies in a face of the head.
    clear = 1.0
    socket = Plate(_hexagon(item.socket_across_flats), item.socket_depth + clear)
    return Cut(body, (Placed(socket, moved(top - clear)),))


@hardware_shape.register
def _(item: ThreadedRod) -> Shape:
    return _rod(item.pitch_diameter, 0.0, _length(item))


@hardware_shape.register
def _(item: UnifiedScrew) -> Shape:
    """Its shank alone, as of a screw whose head is cut off once it has cut its thread."""
    return _rod(item.pitch_diameter, 0.0, _length(item))


@hardware_shape.register
def _(item: Insert) -> Shape:
    return _sleeve(item.body_diameter, sized(ThreadedRod, item.size).pitch_diameter, 0.0, item.length)


@hardware_shape.register
def _(item: TNut) -> Shape:
    """Flange ahead of x = 0, barrel behind it; the prongs are left out."""
    bore, barrel = sized(ThreadedRod, item.size).pitch_diameter / 2.0, item.barrel_diameter / 2.0
    flange, front = item.flange_diameter / 2.0, -item.flange_thickness
    corners = (
        (front, bore),
        (front, flange),
        (0.0, flange),
        (0.0, barrel),
        (item.barrel_length, barrel),
        (item.barrel_length, bore),
    )
    return Revolved(Meridian(polygon(corners)))


@hardware_shape.register
def _(item: Eyebolt) -> Shape:
    """Collar and shank, and a plain ring that stands in the collar down to x = 0, as DIN 580 draws it."""
    collar, front = item.collar_diameter / 2.0, -item.collar_height
    shank = sized(ThreadedRod, item.size).pitch_diameter / 2.0
    corners = (
        (front, 0.0),
        (front, collar),
        (0.0, collar),
        (0.0, shank),
        (item.shank_length, shank),
        (item.shank_length, 0.0),
    )
    ring = _ring((item.eye_inside + item.rod_diameter) / 2.0, item.rod_diameter / 2.0)
    centre = -(item.eye_inside / 2.0 + item.rod_diameter)
    return Fused((Revolved(Meridian(polygon(corners))), Placed(ring, moved(centre).after(_ACROSS))))


@hardware_shape.register
def _(item: UBolt) -> Shape:
    """Legs from x = 0 aft, and half a ring ahead of it; the whole is the bar's diameter, threads and all."""
    radius, bar = item.hole_spacing / 2.0, item.rod_diameter / 2.0
    reach = radius + bar + 1.0
    behind = Plate(Outline(polygon(((-reach, -reach), (reach, -reach), (reach, reach), (-reach, reach)))), reach)
    bend = Cut(Placed(_ring(radius, bar), _ACROSS), (behind,))
    leg = _rod(item.rod_diameter, 0.0, item.leg_length)
    return Fused((bend, Placed(leg, moved(0.0, radius)), Placed(leg, moved(0.0, -radius))))


def _length(item: OfLength) -> float:
    if item.length is None:
        raise PartError(f"length: is needed for the shape of {item.name} and not stated; write `{_with_length(item)}`")
    return item.length


def _with_length(item: OfLength) -> str:
    return f"{item.size}x{'20' if item.size.startswith('M') else '3/4 in'} {item.word}"


def _hexagon(across_flats: float) -> Outline:
    """A hexagon with two of its corners on the z axis."""
    corner = across_flats / math.sqrt(3.0)
    return Outline(
        polygon(
            tuple(
                (corner * math.sin(-index * math.pi / 3.0), corner * math.cos(-index * math.pi / 3.0))
                for index in range(6)
            )
        )
    )


def _sleeve(outside: float, inside: float, first: float, last: float) -> Revolved:
    outer, inner = outside / 2.0, inside / 2.0
    return Revolved(Meridian(polygon(((first, inner), (first, outer), (last, outer), (last, inner)))))


def _rod(diameter: float, first: float, last: float) -> Revolved:
    radius = diameter / 2.0
    return Revolved(Meridian(polygon(((first, 0.0), (first, radius), (last, radius), (last, 0.0)))))


def _ring(radius: float, thickness: float) -> Revolved:
    """A round ring about x: `radius` to the middle of the bar, whose own radius is `thickness` [mm]."""
    return Revolved(Meridian(hole(thickness, (0.0, radius))))
