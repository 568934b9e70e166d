"""Radial holes evenly round a sleeve that enters a tube: screws in a shoulder or coupler, shear pins, vents."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from ..errors import PartError
from ..params import Angle, Count, Length
from ..shape import Array, Outline, RadialFeature, circle
from .hole_circle import LEAST_WEB

ScrewCount = Annotated[Count, Field(ge=0, le=24, description="radial screw holes, evenly round it; 0 for none")]
ScrewDiameter = Annotated[
    Length, Field(gt=0, le=50, description="diameter of a screw hole; 3.4 mm clears M3 (ISO 273 medium)")
]
ScrewRoll = Annotated[
    Angle, Field(ge=-math.tau, le=math.tau, description="roll of the first screw, clockwise from the rail line")
]

ShearPinCount = Annotated[
    Count, Field(ge=0, le=24, description="holes for shear pins in the side that separates, at least 2; 0 for none")
]
ShearPinDiameter = Annotated[
    Length, Field(gt=0, le=20, description="diameter of a shear pin's hole; 2 mm is drilled for nylon #2-56")
]
ShearPinRoll = Annotated[
    Angle, Field(ge=-math.tau, le=math.tau, description="roll of the first pin, clockwise from the rail line")
]


@dataclass(frozen=True, slots=True)
class Sleeve:
    """Where the holes sit.

    Attributes:
        word: what it is called in messages, such as `shoulder`.
        origin: what its holes are measured from, such as `the base`.
        start: station of that [mm].
        length: length of the sleeve from there [mm].
        outside: radius of its outside [mm].
        wall: its wall, on the radius [mm]; None where it is solid.
    """

    word: str
    origin: str
    start: float
    length: float
    outside: float
    wall: float | None


def screw_holes(
    sleeve: Sleeve, count: int, diameter: float, distance: float, roll: float, what: str = "screw"
) -> Array:
    """Holes for screws or the like evenly round a sleeve, with the field names of the kinds in the messages.

    Args:
        sleeve: where they sit.
        count: how many [-], at least 1.
        diameter: diameter of each [mm].
        distance: origin of the sleeve to their middles [mm].
        roll: roll of the first [rad].
        what: what they are for, as the names of their fields begin.

    Raises:
        PartError: the holes leave the sleeve, or run into each other.
    """
    radius, outside = diameter / 2.0, sleeve.outside
    if not radius + LEAST_WEB <= distance <= sleeve.length - radius - LEAST_WEB:
        raise PartError(
            f"{what}_distance: a hole of {diameter:g} mm at {distance:g} mm from {sleeve.origin} is not wholly in the "
            f"{sleeve.word} of {sleeve.length:g} mm, {LEAST_WEB:g} mm from its ends"
        )
    # A blind hole in a solid sleeve is as deep as the wall would be, so that holes never meet on the axis.
    depth = outside if sleeve.wall is not None else min(4.0 * diameter, outside / 2.0)
    if count * diameter * 1.5 > math.tau * (outside - (depth if sleeve.wall is None else sleeve.wall)):
        raise PartError(
            f"{what}_count: {count} holes of {diameter:g} mm do not leave half a hole between them round the "
            f"{sleeve.word}"
        )
    one = RadialFeature(
        sleeve.start + distance, roll, Outline(circle(radius, role="fit")), outside - depth, outside + 1.0
    )
    return Array(one, count)
