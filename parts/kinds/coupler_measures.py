"""What a person measures on a coupler, for its section drawing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..measures import AxialLength, Detail, DiameterAt, Measure, holes_of, meridian_of, wall_at

if TYPE_CHECKING:
    from .coupler import Coupler

_REACH = 8.0
"""Radius of what a detail of the wall shows [mm]."""


def coupler_measures(part: Coupler) -> tuple[Measure, ...]:
    """Every size of a coupler that calipers reach."""
    return (*_sleeve(part), *_band(part), *_ledge(part), *_holes(part))


def _sleeve(part: Coupler) -> Iterator[Measure]:
    outside, inside, length = part.outside_diameter / 2.0, part.inside_diameter / 2.0, part.length
    yield AxialLength((0.0, outside), (length, outside), "length")
    yield DiameterAt((length, outside), "outside")
    yield DiameterAt((length, inside), "bore")
    yield wall_at(meridian_of(part.shape()), max(length - 3.0, 0.75 * length))
    yield Detail((length, (outside + inside) / 2.0), min(_REACH, length / 4.0), "aft end")


def _band(part: Coupler) -> Iterator[Measure]:
    outside = part.outside_diameter / 2.0
    for line in part.skin():
        start, end = line.start, line.end
        yield AxialLength((0.0, outside), start, "forward side")
        yield AxialLength(start, end, "switch band")
        yield AxialLength(end, (part.length, outside), "aft side")
        yield DiameterAt(((start[0] + end[0]) / 2.0, start[1]), "switch band")


def _ledge(part: Coupler) -> Iterator[Measure]:
    ledge = part.ledge()
    if ledge is None:
        return
    front, land, _, rise = ledge
    bore = part.inside_diameter / 2.0
    yield AxialLength((0.0, bore), (front, bore), "to ledge")
    yield AxialLength((front, bore), (land, bore - rise), "ledge")
    yield DiameterAt(((front + land) / 2.0, bore - rise), "opening of the ledge")


def _holes(part: Coupler) -> Iterator[Measure]:
    surface = part.outside_diameter / 2.0
    for words, holes in part.rings_of_holes():
        measured = holes_of(holes, surface, words)
        station = measured.feature.station
        top = max([surface, *(line.start[1] for line in part.skin() if line.start[0] < station < line.end[0])])
        yield holes_of(holes, top, words)
        yield AxialLength((0.0, surface), (station, top), f"to {words}")
