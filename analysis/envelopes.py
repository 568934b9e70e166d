"""The room that fittings take up which have no shape of their own, such as washers and nuts."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..parts.errors import PartError
from ..parts.kinds import Bulkhead, CenteringRing
from ..parts.kinds.disc_fields import u_bolt_holes
from ..parts.shape import Outline, Placed, Plate, Shape, circle, moved, rolled
from .rocket import Item


@dataclass(frozen=True, slots=True)
class Envelope:
    """The room that a fitting without a shape of its own takes up: a cylinder along the axis or beside it.

    Attributes:
        name: what the design calls it.
        station: station of the face that it stands on [mm].
        first: that face to its forward end [mm], below zero ahead of it.
        last: that face to its aft end [mm].
        radius: its radius [mm].
        offset_radius: the rocket's axis to its own [mm].
        roll: roll of its axis [rad], clockwise from the rail line seen from behind.

    Raises:
        PartError: it has no length or no radius.
    """

    name: str
    station: float
    first: float
    last: float
    radius: float
    offset_radius: float = 0.0
    roll: float = 0.0

    def __post_init__(self) -> None:
        if not all(math.isfinite(value) for value in (self.station, self.first, self.last, self.offset_radius)):
            raise PartError(f"{self.name}: its place must be finite lengths in mm")
        if not self.last > self.first:
            raise PartError(f"{self.name}: its aft end, {self.last:g} mm, is not aft of its forward, {self.first:g} mm")
        if not 0.0 < self.radius < math.inf:
            raise PartError(f"radius: must be above 0 mm, got {self.radius:g} mm")

    def shape(self) -> Shape:
        """The cylinder in the rocket's frame."""
        cylinder = Plate(Outline(circle(self.radius)), self.last - self.first)
        place = moved(self.station + self.first, self.offset_radius)
        return Placed(cylinder, rolled(self.roll).after(place) if self.offset_radius else place)


Place = tuple[float, float]
"""The rocket's axis to the middle of a hole [mm], and its roll [rad]."""


def bolt_places(item: Item) -> tuple[Place, ...]:
    """Where a ring or a bulkhead has holes for anchors: in its middle, for a U-bolt, on its hole circle."""
    part = item.part
    if not isinstance(part, CenteringRing | Bulkhead):
        return ()
    middle: tuple[Place, ...] = ((0.0, 0.0),) if isinstance(part, Bulkhead) and part.centre_hole_diameter else ()
    usual = (
        part.u_bolt_width if isinstance(part, Bulkhead) else part.outside_diameter / 2.0 + part.inside_diameter / 2.0
    )
    legs = u_bolt_holes(
        part.u_bolt_width, part.u_bolt_hole_diameter, part.u_bolt_circle_diameter, part.u_bolt_roll, usual
    )
    bent = tuple((math.hypot(*one.centre), math.atan2(*one.centre)) for one in legs)
    on_circle = tuple(((part.hole_circle_diameter or 0.0) / 2.0, roll) for roll in part.hole_rolls)
    return (*middle, *bent, *on_circle)


def nuts(
    name: str, item: Item, diameter: float, height: float, places: tuple[Place, ...] | None = None
) -> tuple[Envelope, ...]:
    """Washers and nuts of an anchor on both faces of the disc that it goes through.

    Args:
        name: name of the anchor.
        item: a ring or a bulkhead; of other items nothing is known.
        diameter: largest diameter of the washer or the nut [mm].
        height: how high washer, nut and thread stand on each face [mm].
        places: the holes that it goes through; where they are not given the one in the middle, or else all that there
            are for anchors.
    """
    part = item.part
    if not isinstance(part, CenteringRing | Bulkhead):
        return ()
    if places is None:
        found = bolt_places(item)
        # What has a hole in the middle is anchored there.
        places = found[:1] if found[:1] == ((0.0, 0.0),) else found
    length = part.extent()[1]
    return tuple(
        Envelope(name, station, first, last, diameter / 2.0, offset, roll)
        for station in item.stations
        for first, last in ((-height, 0.0), (length, length + height))
        for offset, roll in places
    )
