"""Static margin as the rocket leaves the rail in a wind across it.

A wind w across a rocket that leaves the rail at speed V meets it at the angle atan(w / V). The flow across the body
then lifts on the body's middle, and the centre of pressure lies ahead of where it is at small angles.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..parts.errors import PartError
from .aero.at_angle import HIGHEST_ANGLE
from .aero.cross_flow import CrossFlow
from .air_stream import AirStream
from .pressure_curve import METHOD, force_at

HIGHEST_WIND = 8.9408
"""20 miles an hour, above which codes let nothing fly (19 CCR 1036, looked up) [m/s]."""

STRAIGHT = (
    "the wind is steady and square to the rail; a rail that leans into it, gusts, and what the rocket turns while its "
    "aft button is still on the rail are left out"
)

LENGTH_FACTOR = (
    "the middle of the body's side view lies behind the centre of gravity: the flow across the body turns the rocket "
    "back, and a smaller factor for the length is the careful one"
)

_STEPS = 120


@dataclass(frozen=True, slots=True)
class WindRow:
    """The rocket at the rail's exit in one wind.

    Attributes:
        wind: wind across the rail [m/s].
        angle: angle of attack [rad].
        station: centre of pressure [mm]; None where it is not stated.
        margin: centre of pressure behind the centre of gravity [mm]; None where it is not stated.
        margin_calibres: the same in reference diameters [-].
        notes: why it is not stated.
    """

    wind: float
    angle: float
    station: float | None
    margin: float | None
    margin_calibres: float | None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WindAtExit:
    """The rocket at the rail's exit in rising winds.

    Attributes:
        exit_speed: speed at which it leaves the rail [m/s].
        cg: station of the centre of gravity there [mm].
        rows: one for each wind.
        stated_to: wind up to which the methods state anything [m/s].
        notes: what limits all rows.
    """

    exit_speed: float
    cg: float
    rows: tuple[WindRow, ...]
    stated_to: float
    notes: tuple[str, ...]
    method: str = METHOD


def winds_to(highest: float = HIGHEST_WIND, step: float = 1.0) -> tuple[float, ...]:
    """Winds from none to the highest in even steps, and the highest itself [m/s].

    Raises:
        PartError: a wind below 0, or a step not above 0 or of less than a thousandth of the highest.
    """
    if not 0.0 <= highest < math.inf:
        raise PartError(f"highest: must be 0 m/s or more, got {highest:g} m/s")
    if not highest / 1000.0 <= step < math.inf or step <= 0.0:
        raise PartError(f"step: must be above 0 m/s and a thousandth of {highest:g} m/s or more, got {step:g} m/s")
    even = [step * index for index in range(math.ceil(highest / step))]
    return (*even, highest)


def wind_at_exit(
    air: AirStream,
    cg: float,
    exit_speed: float,
    winds: tuple[float, ...] | None = None,
    flow: CrossFlow = CrossFlow(),
) -> WindAtExit:
    """Angle of attack and margin at the rail's exit for each wind.

    Args:
        air: what the air meets.
        cg: station of the centre of gravity at liftoff [mm].
        exit_speed: speed at which the rocket leaves the rail [m/s], above 0.
        winds: winds across the rail [m/s]; None goes up to 20 miles an hour in steps of 1 m/s.
        flow: what the flow across the body does.

    Returns:
        A row for each wind; above 15 deg without a margin. Range: as `force_at`, at low speed.

    Raises:
        PartError: a speed not above 0, or a wind below 0.
    """
    _fast_enough(exit_speed)
    rows = tuple(_row(air, cg, exit_speed, wind, flow) for wind in (winds_to() if winds is None else winds))
    notes = (STRAIGHT, flow.words) if air.side.centroid <= cg else (STRAIGHT, flow.words, LENGTH_FACTOR)
    return WindAtExit(exit_speed, cg, rows, exit_speed * math.tan(HIGHEST_ANGLE), notes)


def wind_for_margin(
    air: AirStream, cg: float, exit_speed: float, calibres: float, flow: CrossFlow = CrossFlow()
) -> float | None:
    """Least wind across the rail at which the margin has come down to a number of calibres [m/s].

    0 where it is below it already in no wind; None where it stays above as far as the methods go, to 15 deg.

    Args:
        air: what the air meets.
        cg: station of the centre of gravity at liftoff [mm].
        exit_speed: speed at which the rocket leaves the rail [m/s], above 0.
        calibres: the margin to look for [-].
        flow: what the flow across the body does.

    Raises:
        PartError: a speed not above 0.
    """
    _fast_enough(exit_speed)

    def spare(angle: float) -> float:
        station = force_at(air, angle, flow=flow).station
        return -math.inf if station is None else (station - cg) / air.reference_diameter - calibres

    if spare(0.0) <= 0.0:
        return 0.0
    angles = [HIGHEST_ANGLE * index / _STEPS for index in range(_STEPS + 1)]
    below = next((index for index, angle in enumerate(angles) if spare(angle) <= 0.0), None)
    if below is None:
        return None
    low, high = angles[below - 1], angles[below]
    for _ in range(50):
        middle = (low + high) / 2.0
        low, high = (middle, high) if spare(middle) > 0.0 else (low, middle)
    return exit_speed * math.tan(high)


def _fast_enough(exit_speed: float) -> None:
    if not 0.0 < exit_speed < math.inf:
        raise PartError(f"exit_speed: must be above 0 m/s, got {exit_speed:g} m/s")


def _row(air: AirStream, cg: float, exit_speed: float, wind: float, flow: CrossFlow) -> WindRow:
    if not 0.0 <= wind < math.inf:
        raise PartError(f"wind: must be 0 m/s or more, got {wind:g} m/s")
    angle = math.atan2(wind, exit_speed)
    found = force_at(air, angle, flow=flow)
    if found.station is None:
        return WindRow(wind, angle, None, None, None, found.notes)
    margin = found.station - cg
    return WindRow(wind, angle, found.station, margin, margin / air.reference_diameter)
