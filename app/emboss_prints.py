"""Words sunk into what is printed: which state of the part this is, so that two revisions cannot be mixed.

The letters go where they touch nothing: into the bore of a shoulder or a coupler, near its aft edge, or into the
socket of a section, on the rail line. The exact solid stays plain; only the mesh that is printed has them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from typing import NamedTuple

from ..parts.compensate import compensated
from ..parts.emboss import OnWall, embossed
from ..parts.errors import PartError
from ..parts.joint import Joint
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


def with_words(part: Part, words: str, printer: Printer | None = None, number: int = 0) -> tuple[Shape, str]:
    """The shape of a piece to print, and the words that are sunk into it; plain and no words where there is no room.

    Args:
        part: the part.
        words: what it is to say.
        printer: what it is compensated for; None for nominal sizes.
        number: which of its printed pieces, from 0.

    Raises:
        PartError: the compensation leaves nothing of the part.
    """
    piece, place = part.printed_pieces()[number], _place(part, number)
    shape = piece.shape
    if printer is not None:
        # Faces are moved before the letters are sunk, so that they are as deep as they shall be; all shrinks together.
        shape = compensated(shape, replace(printer, shrinkage={}), part.material, piece.pose)
    sunk = ""
    if place is not None and part.may_be_printed:
        with suppress(PartError):  # the letters are too large for the curve or the wall: it stays plain
            shape, sunk = embossed(shape, words, _moved(place, printer), DEPTH, raised=False), words
    if printer is not None:
        shape = compensated(shape, replace(printer, outside=0.0, hole=0.0), part.material, piece.pose)
    return shape, sunk


class _Place(NamedTuple):
    """Where words go, and whether the face there is of a fit, which is moved when a print is compensated."""

    wall: OnWall
    fits: bool = False


def _moved(place: _Place, printer: Printer | None) -> OnWall:
    """Where the face is when it is compensated; the bore of a coupler and of a socket fits, that of a shoulder not."""
    wall = place.wall
    if printer is None:
        return wall
    out = printer.hole if place.fits else 0.0
    return replace(wall, radius=wall.radius + out, wall=max(wall.wall - out - printer.outside, 0.0))


def _aft_edges(part: Coupler) -> Iterator[float]:
    """How far aft each ring of holes in a coupler reaches, from its forward end [mm]."""
    shape = part.shape()
    for tool in shape.tools if isinstance(shape, Cut) else ():
        one = tool.shape if isinstance(tool, Array) else tool
        if isinstance(one, RadialFeature):
            yield one.station + one.outline.box()[2]


def _place(part: Part, number: int) -> _Place | None:
    """Where the words go; None for pieces without a bore that is theirs to mark."""
    if isinstance(part, NoseCone):
        joints = part.built().joints
        if number < len(joints):
            return _in_socket(joints[number], part.wall)
        return _in_shoulder(part) if part.body == "hollow" and part.shoulder_diameter else None
    if isinstance(part, Transition) and part.body == "hollow" and part.aft_shoulder_diameter:
        bore, wall = part.aft_shoulder_diameter / 2.0 - part.shoulder_wall, part.shoulder_wall
        end, length, fits = part.length + part.aft_shoulder_length, part.aft_shoulder_length, False
        station = end - _EDGE - HEIGHT / 2.0
        screws = part.length + length / 2.0 + part.screw_diameter / 2.0 if part.aft_screw_count else -math.inf
        # Something may fill the bore there, such as the ring round a motor tube.
        if not part.is_open_at(station, bore) or screws > station - HEIGHT / 2.0 - _CLEAR:
            return None
    elif isinstance(part, Coupler) and part.seat_station is None and part.vent_diameter is None:
        bore, wall, end, length, fits = part.inside_diameter / 2.0, part.wall, part.length, part.length / 4.0, True
        if any(hole > part.length - _EDGE - HEIGHT - _CLEAR for hole in _aft_edges(part)):
            return None
    else:
        return None
    clear = 2.0 * (HEIGHT + _EDGE)
    if length <= clear:
        return None
    return _Place(OnWall(bore, wall, HEIGHT, end - _EDGE - HEIGHT / 2.0, inside=True), fits)


def _in_socket(joint: Joint, wall: float) -> _Place:
    """On the wall of a socket, behind its keys: hidden once it is glued, and read before."""
    station = joint.station - _EDGE - HEIGHT / 2.0
    return _Place(OnWall(joint.socket_radius, wall, HEIGHT, station, inside=True), fits=True)


def _in_shoulder(nose: NoseCone) -> _Place | None:
    """In the bore of the shoulder, at its end or behind the base, free of all else; None where there is no room."""
    taken = list(nose.taken_in_shoulder())
    half = _CLEAR + HEIGHT / 2.0
    for station in (nose.rear - _EDGE - HEIGHT / 2.0, nose.length + _EDGE + HEIGHT / 2.0):
        first, last = station - half, station + half
        if nose.length < first and last < nose.rear and not any(a < last and first < b for a, b in taken):
            bore = nose.shoulder_radius - nose.shoulder_wall
            return _Place(OnWall(bore, nose.shoulder_wall, HEIGHT, station, inside=True))
    return None
