"""Words sunk into what is printed: which state of the part this is, so that two revisions cannot be mixed.

The letters go where they touch nothing: into the bore of a shoulder or a coupler, near its aft edge, on the
rail line. The exact solid stays plain; only the mesh that is printed has them.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace

from ..parts.compensate import compensated
from ..parts.emboss import OnWall, embossed
from ..parts.errors import PartError
from ..parts.kinds import Coupler, NoseCone, Transition
from ..parts.machine import Printer
from ..parts.part import Part
from ..parts.shape import Array, Cut, RadialFeature, Shape

HEIGHT = 4.0
"""Height of the capitals [mm]: legible in a print of 0.2 mm layers (common practice)."""

DEPTH = 0.4
"""How deep the letters go in [mm]: two layers or lines (common practice)."""

_CLEAR = 1.0
"""Between the letters and a hole [mm]."""

_EDGE = 3.0
"""From the aft edge to the letters, clear of its chamfer [mm]."""


def with_words(part: Part, words: str, printer: Printer | None = None) -> tuple[Shape, str]:
    """The shape to print, and the words that are sunk into it; plain and no words where there is no room.

    Args:
        part: the part.
        words: what it is to say.
        printer: what it is compensated for; None for nominal sizes.

    Raises:
        PartError: the compensation leaves nothing of the part.
    """
    shape, place = part.shape(), _place(part)
    if printer is not None:
        # Faces are moved before the letters are sunk, so that they are as deep as they shall be; all shrinks together.
        shape = compensated(shape, replace(printer, shrinkage={}), part.material, part.pose())
    sunk = ""
    if place is not None and part.may_be_printed:
        with suppress(PartError):  # the letters are too large for the curve or the wall: it stays plain
            shape, sunk = embossed(shape, words, _moved(place, part, printer), DEPTH, raised=False), words
    if printer is not None:
        shape = compensated(shape, replace(printer, outside=0.0, hole=0.0), part.material, part.pose())
    return shape, sunk


def _moved(place: OnWall, part: Part, printer: Printer | None) -> OnWall:
    """Where the face is when it is compensated; the bore of a coupler fits, that of a shoulder does not."""
    if printer is None:
        return place
    out = printer.hole if isinstance(part, Coupler) else 0.0
    return replace(place, radius=place.radius + out, wall=max(place.wall - out - printer.outside, 0.0))


def _aft_edges(part: Coupler) -> Iterator[float]:
    """How far aft each ring of holes in a coupler reaches, from its forward end [mm]."""
    shape = part.shape()
    for tool in shape.tools if isinstance(shape, Cut) else ():
        one = tool.shape if isinstance(tool, Array) else tool
        if isinstance(one, RadialFeature):
            yield one.station + one.outline.box()[2]


def _place(part: Part) -> OnWall | None:
    """Where the words go; None for parts without a bore that is theirs to mark."""
    if isinstance(part, NoseCone) and part.body == "hollow" and part.shoulder_diameter:
        bore, wall = part.shoulder_diameter / 2.0 - part.shoulder_wall, part.shoulder_wall
        end, length = part.length + part.shoulder_length, part.shoulder_length
        screws = part.shoulder_length / 2.0 if part.screw_distance is None else part.screw_distance
        if part.screw_count and screws + part.screw_diameter / 2.0 > length - _EDGE - HEIGHT - _CLEAR:
            return None
    elif isinstance(part, Transition) and part.body == "hollow" and part.aft_shoulder_diameter:
        bore, wall = part.aft_shoulder_diameter / 2.0 - part.shoulder_wall, part.shoulder_wall
        end, length = part.length + part.aft_shoulder_length, part.aft_shoulder_length
    elif isinstance(part, Coupler) and part.seat_station is None and part.vent_diameter is None:
        bore, wall, end, length = part.inside_diameter / 2.0, part.wall, part.length, part.length / 4.0
        if any(hole > part.length - _EDGE - HEIGHT - _CLEAR for hole in _aft_edges(part)):
            return None
    else:
        return None
    clear = 2.0 * (HEIGHT + _EDGE)
    return OnWall(bore, wall, HEIGHT, end - _EDGE - HEIGHT / 2.0, inside=True) if length > clear else None
