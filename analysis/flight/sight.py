"""Whether a rocket may leave sight: how large it looks from the pad, at its greatest height and as it drifts away.

An eye of visual acuity 1.0 tells details of one arc minute apart: that is how the scale is made (ISO 8596 and Snellen's
charts, from memory). What is so small is seen by area times contrast rather than by its shape (Ricco's law, from
memory), so the size here is that of a square of the same side view, side on. A moving thing in a bright sky has first
to be found: the limit stands in the limits' data and is twice the acuity (common practice, no source). Haze, sun,
colour and glasses are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...parts.errors import PartError

ACUITY = 1.0
"""Detail that an eye of visual acuity 1.0 tells [arc minutes] (ISO 8596 and Snellen's charts, from memory)."""

FORMULA = "angle = 2 atan(size / 2 / distance), size = sqrt(length x diameter), distance = sqrt(height^2 + way^2)"

NOT_MODELLED = "haze, cloud, sun, colour and glasses are left out"


@dataclass(frozen=True, slots=True)
class Sight:
    """How large something looks.

    Attributes:
        distance: from the eye to it [m].
        size: side of a square of the same side view [mm].
        angle: angle that it is seen under [arc minutes].
    """

    distance: float
    size: float
    angle: float


def seen(length: float, diameter: float, height: float, way: float = 0.0) -> Sight:
    """How large a body looks side on, from the pad.

    Args:
        length: its length [mm], above 0.
        diameter: its diameter [mm], above 0; for a canopy the same as its length.
        height: height above the ground [m], 0 or more.
        way: distance over the ground [m].

    Raises:
        PartError: a size that is not above 0, or neither height nor way.
    """
    if not (0.0 < length < math.inf and 0.0 < diameter < math.inf):
        raise PartError(f"length and diameter: must be above 0 mm, got {length:g} mm and {diameter:g} mm")
    distance = math.hypot(height, way)
    if not 0.0 < distance < math.inf:
        raise PartError(f"distance: must be above 0 m, got {distance:g} m")
    size = math.sqrt(length * diameter)
    return Sight(distance, size, arc_minutes(size, distance))


def arc_minutes(size: float, distance: float) -> float:
    """Angle that a size is seen under [arc minutes].

    Args:
        size: size across the line of sight [mm].
        distance: distance [m], above 0.
    """
    return math.degrees(2.0 * math.atan2(size / 2000.0, distance)) * 60.0


def sight_distance(length: float, diameter: float, angle: float) -> float:
    """Distance at which a body looks as large as an angle [m].

    Args:
        length: its length [mm], above 0.
        diameter: its diameter [mm], above 0.
        angle: angle [arc minutes], above 0.

    Raises:
        PartError: a value that is not above 0.
    """
    if not (length > 0.0 and diameter > 0.0 and angle > 0.0):
        raise PartError(f"length, diameter and angle: must be above 0, got {length:g}, {diameter:g} and {angle:g}")
    return math.sqrt(length * diameter) / 2000.0 / math.tan(math.radians(angle / 60.0) / 2.0)
