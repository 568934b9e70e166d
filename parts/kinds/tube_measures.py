"""What a person measures on a tube, for its drawing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..measures import AxialLength, Detail, DiameterAt, Measure, Remark, holes_of, meridian_of, wall_at
from ..shape import Cut, RadialFeature

if TYPE_CHECKING:
    from .tube import Tube

_REACH = 6.0
"""Radius of what a detail of the wall shows [mm]."""

_EACH = 4
"""So many drilled holes have a length each [-]; of more the first and the last have one."""


def tube_measures(tube: Tube) -> tuple[Measure, ...]:
    """Length, both diameters, wall, and where it is drilled."""
    outside, inside, length = tube.outside_diameter / 2.0, tube.inside_diameter / 2.0, tube.length
    return (
        AxialLength((0.0, outside), (length, outside), "length"),
        DiameterAt((length, outside), "outside"),
        DiameterAt((length, inside), "inside"),
        wall_at(meridian_of(tube.shape()), max(length - 2.0, 0.75 * length)),
        Detail((length, (outside + inside) / 2.0), min(_REACH, length / 2.0), "aft end"),
        *_holes(tube, outside),
    )


def _holes(tube: Tube, outside: float) -> Iterator[Measure]:
    shape = tube.shape()
    tools = shape.tools if isinstance(shape, Cut) else ()
    holes = sorted((one for one in tools if isinstance(one, RadialFeature)), key=lambda one: one.station)
    if not holes:
        return
    yield holes_of(holes[0], outside, "drilled hole")
    for one in holes if len(holes) <= _EACH else (holes[0], holes[-1]):
        yield AxialLength((0.0, outside), (one.station, outside), "to hole")
    if len(holes) > _EACH:
        yield Remark((holes[-1].station, outside), f"{len(holes)} holes in a row, all alike")
