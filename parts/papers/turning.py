"""The outline of a turned part at 1:1, with the diameter at every station: a template to turn by."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise

from ..chain import Chain, reverse
from ..curve import Line, Piece
from ..marks import Dimension, Guide, Label, Mark, Pen
from ..shape import Outline, edges
from .pattern import TYPE_HEIGHT, Pattern, figure, long
from .stations import STEP, Row, Turned, largest_radius, turning_table, widest

_BESIDE = TYPE_HEIGHT / 2.0 + 0.6
"""From a station line to the middle of the words along it [mm]."""

_EDGE = 1.5
"""From words to the cut line [mm]."""

_OUT = 3.0
"""From the cut line to words outside it [mm]."""

_CLOSEST = 6.0
"""Stations closer than this to an end [mm] stand in the table alone."""

_NOTHING = 0.05
"""A radius of no more than this [mm] is a point: its diameter is not said."""


def turning_template(turned: Turned) -> Pattern:
    """The whole outline, both sides of the axis, with its stations and diameters.

    Coordinates: x is the station, y the distance from the axis [mm]. Diameters stand above the axis, stations below
    it; where the part is too slim for them, outside.

    Args:
        turned: the outside of the part.
    """
    upper = _upper(turned)
    lower = tuple(piece.mirrored() for piece in upper)
    front = () if upper[0].start[1] < 1e-9 else (Line(upper[0].start, lower[0].start),)
    rear = () if upper[-1].end[1] < 1e-9 else (Line(lower[-1].end, upper[-1].end),)
    outline = Outline(edges((*lower, *rear, *reverse(upper), *front)))
    lines, numbers, reach = _scale(turned, upper)
    marks: tuple[Mark, ...] = (*lines, *_dimensions(turned, reach + 7.0))
    return Pattern("turning template", outline, marks, _notes(turned), "paper or card", numbers)


def _upper(turned: Turned) -> Chain:
    """The upper half from its forward end to its aft end, without the faces at its ends."""
    pieces: list[Piece] = list(turned.skin)
    ahead, behind = turned.forward_shoulder, turned.aft_shoulder
    if ahead:
        corner, rim = (turned.first, ahead.radius), turned.skin[0].start
        step = (Line(corner, rim),) if math.dist(corner, rim) > 1e-9 else ()
        pieces = [Line((turned.first - ahead.length, ahead.radius), corner), *step, *pieces]
    if behind:
        corner, rim = (turned.last, behind.radius), turned.skin[-1].end
        step = (Line(rim, corner),) if math.dist(corner, rim) > 1e-9 else ()
        pieces += [*step, Line(corner, (turned.last + behind.length, behind.radius))]
    return tuple(pieces)


def _scale(turned: Turned, upper: Chain) -> tuple[tuple[Guide, ...], tuple[Label, ...], float]:
    """The axis and the station lines, their numbers, and how far all of them reach from the axis [mm]."""
    ends = upper[0].start[0], upper[-1].end[0]
    lines = [Guide((Line((ends[0], 0.0), (ends[1], 0.0)),), Pen.CENTRE_LINE)]
    numbers: list[Label] = []
    reach = largest_radius(upper)
    for row in _shown(turned):
        for mark in _station(row, upper):
            if isinstance(mark, Label):
                numbers.append(mark)
                reach = max(reach, abs(mark.position[1]) + long(mark.words) / 2.0)
            else:
                lines.append(mark)
    return tuple(lines), tuple(numbers), reach


def _shown(turned: Turned) -> Iterator[Row]:
    """The rows of the table that are drawn: not those that stand too close to an end of the skin or to each other."""
    for row in turning_table(turned, STEP):
        if row.place == "skin":
            if min(row.station - turned.first, turned.last - row.station) >= _CLOSEST:
                yield row
        elif row.place.endswith("shoulder"):
            beyond = max(turned.first - row.station, row.station - turned.last)
            if beyond >= _CLOSEST:
                yield row
        else:
            yield row


def _station(row: Row, upper: Chain) -> Iterator[Guide | Label]:
    """A station line with its diameter above the axis and its station below it."""
    x, r = row.station, row.radius
    # Words stand ahead of their line, at a flat forward end behind it.
    side = 1.0 if x - upper[0].start[0] < 1e-9 < upper[0].start[1] else -1.0
    at = x + side * _BESIDE
    diameter, station = f"Ø{row.diameter:.1f}", f"{round(x, 1):g}"
    room = min(_radius_near(upper, x, at + side * TYPE_HEIGHT / 2.0), r) - 2.0 * _EDGE
    if room >= max(long(diameter), long(station)):
        middle = room / 2.0 + _EDGE
        if upper[0].start[0] < x < upper[-1].end[0]:
            yield Guide((Line((x, -r), (x, r)),))
        yield Label(diameter, (at, middle), math.pi / 2.0)
        yield Label(station, (at, -middle), math.pi / 2.0)
        return
    near = min(x, at - TYPE_HEIGHT / 2.0) - 0.5, max(x, at + TYPE_HEIGHT / 2.0) + 0.5
    foot = widest(upper, *near) + _OUT
    # At an end the cut line itself runs from the axis to the rim.
    start = 0.0 if upper[0].start[0] < x < upper[-1].end[0] else r
    if r > _NOTHING:
        yield Guide((Line((x, start), (x, foot + long(diameter))),))
        yield Label(diameter, (at, foot + long(diameter) / 2.0), math.pi / 2.0)
    yield Guide((Line((x, -start), (x, -foot - long(station))),))
    yield Label(station, (at, -foot - long(station) / 2.0), math.pi / 2.0)


def _radius_near(upper: Chain, x: float, other: float) -> float:
    """Smallest radius from a station line to the far side of its words [mm], beyond the ends none."""
    low, high = sorted((x, other))
    inner = [piece for piece in upper if piece.start[0] <= high and piece.end[0] >= low]
    if low < upper[0].start[0] or high > upper[-1].end[0]:
        return 0.0
    found = []
    for piece in inner:
        first, last = max(low, piece.start[0]), min(high, piece.end[0])
        if last - first > 1e-9:
            found += [widest((piece,), place, place) for place in (first, (first + last) / 2.0, last)]
    return min(found, default=0.0)


def _dimensions(turned: Turned, away: float) -> Iterator[Dimension]:
    """The lengths of skin and shoulders, below all of them; the diameters stand at the stations."""
    corners = [(turned.first, turned.skin[0].start[1]), (turned.last, turned.skin[-1].end[1])]
    if turned.forward_shoulder:
        corners.insert(0, (turned.first - turned.forward_shoulder.length, turned.forward_shoulder.radius))
    if turned.aft_shoulder:
        corners.append((turned.last + turned.aft_shoulder.length, turned.aft_shoulder.radius))
    for (x, r), (end_x, end_r) in pairwise(corners):
        yield Dimension((x, -r), (end_x, -end_r), r - away, along="across")


def _notes(turned: Turned) -> tuple[str, ...]:
    ends = [row for row in turning_table(turned, STEP) if row.place not in ("skin", "tip")]
    said = {row.place: f"{row.place} Ø{figure(row.diameter)}" for row in ends if row.radius > _NOTHING}
    origin = "the tip" if turned.skin[0].start[1] < 1e-9 else "the forward end of the skin"
    return (
        f"Diameters in mm stand above the axis, stations in mm from {origin} below it. {_sentence(said.values())}",
        "Foam and balsa give way under calipers: turn a little large and finish against the profile gauge.",
    )


def _sentence(words: Iterable[str]) -> str:
    text = "; ".join(words)
    return f"{text[:1].upper()}{text[1:]}." if text else ""
