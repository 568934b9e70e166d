"""How far a rocket drifts: the wind times the time under the parachute, and the way that it came before.

A parachute moves with the air around it. A steady wind, the same at all heights, is taken; a real one is stronger
higher up and gusts, which is left out, and said so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ...parts.errors import PartError

FORMULA = "drift = wind x time under the parachute; radius = drift + way over the ground before it opens"

SOURCE = "a parachute moves with the air around it; the wind steady and the same at all heights (common practice)"

NOT_MODELLED = "a wind that is stronger higher up, gusts and thermals are left out: they carry it farther"


@dataclass(frozen=True, slots=True)
class DriftRow:
    """Drift in one wind.

    Attributes:
        wind: the wind [m/s].
        under_parachute: what the wind adds while the parachute is open [m].
        before: how far upwind of the pad it is as the parachute opens [m]; None where it is not known.
        radius: how far from the pad it may land [m]: the sizes of both ways, whichever way the first one went.
    """

    wind: float
    under_parachute: float
    before: float | None
    radius: float

    @property
    def downwind(self) -> float | None:
        """How far downwind of the pad it lands if it went upwind as computed [m]; None where that is not known."""
        return None if self.before is None else self.under_parachute - self.before


def drift(time: float, winds: Sequence[float], before: float | Sequence[float] | None = None) -> tuple[DriftRow, ...]:
    """Drift in each wind.

    Args:
        time: time under the parachute [s], 0 or more.
        winds: steady winds [m/s], 0 or more.
        before: way upwind until the parachute opens [m], one for all winds or one for each; its sign does not count for
            the radius, because the wind may turn and the rocket may turn into it less than computed.

    Raises:
        PartError: a value out of its range, or not one way for each wind.
    """
    if not 0.0 <= time < math.inf:
        raise PartError(f"time: must be 0 s or more, got {time:g} s")
    for wind in winds:
        if not 0.0 <= wind < math.inf:
            raise PartError(f"wind: must be 0 m/s or more, got {wind:g} m/s")
    ways: list[float | None]
    if before is None or isinstance(before, int | float):
        ways = [None if before is None else float(before)] * len(winds)
    else:
        ways = [float(way) for way in before]
    if len(ways) != len(winds):
        raise PartError(f"before: must be one for each of {len(winds)} winds, got {len(ways)}")
    return tuple(
        DriftRow(wind, wind * time, way, wind * time + abs(way or 0.0)) for wind, way in zip(winds, ways, strict=True)
    )


def time_within(radius: float, wind: float) -> float | None:
    """Longest time under the parachute that keeps it within a radius [s]; None in no wind, when any does.

    Args:
        radius: radius of the field [m], 0 or more.
        wind: steady wind [m/s], 0 or more.

    Raises:
        PartError: a value below 0.
    """
    if radius < 0.0 or wind < 0.0:
        raise PartError(f"radius and wind: must be 0 or more, got {radius:g} m and {wind:g} m/s")
    return None if wind == 0.0 else radius / wind
