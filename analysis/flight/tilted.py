"""A flight in the plane of a rail that leans and a steady wind: what leaning and turning into the wind take of apogee.

On the rail the rocket moves along it. From the forward button's release on it is a point mass whose axis lies at every
moment along its speed through the air: it turns into the wind at once, as a rocket with a very large margin would. A
real one turns more slowly and less while its motor burns, so that the apogee that is lost to the wind and the way
upwind under thrust are at most about those here. That is a usual bound (common practice), no prediction.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from ...parts.errors import PartError
from ..leaving_the_rail import NO_LIFTOFF, STOPS
from ..rail_exit import GRAVITY
from .burn import Stretch, from_liftoff, stretches
from .events import APOGEE, FORWARD_LEAVES, Event
from .line import Line, run
from .path import Path
from .result import Flight, NotFlown
from .stepping import Slopes, Steps, TooManyStepsError
from .vehicle import Column, Vehicle

METHOD = (
    "point mass in one plane, its axis along the air that it meets from the rail's end on; Dormand-Prince steps of "
    "order 5 (SciPy) in pieces between the corners of the thrust table"
)

TURNS_AT_ONCE = (
    "turns into the wind at once as it leaves the rail, which is about the most that it can: a bound, no prediction"
)

STEADY = "the wind is the same at every height, in the plane in which the rail leans; gusts and shear are left out"

NEEDS_RAIL = "needs a rail and rail buttons: without guidance nothing states where it points"

BURNS_AT_APOGEE = "still burns at the apogee: what follows is not stated"

STRONGEST_WIND = 30.0
"""Strongest wind [m/s]."""


@dataclass(frozen=True, eq=False)
class TiltedFlight:
    """A flight in one plane up to its apogee.

    Downrange is positive the way the rail leans, which is into a wind above 0. Arrays are rising in time, one value for
    each step of the integrator; a corner of the thrust table and the rail's end stand twice.

    Attributes:
        upright: the same flight upright in still air.
        tilt: how far the rail leans from upright [rad].
        wind: steady wind [m/s]: above 0 the rail leans into it, below 0 away from it.
        times: times of the thrust table [s].
        heights: heights above where it stood [m].
        downranges: how far downrange [m].
        speeds: speeds over the ground [m/s].
        angles: axis from upright [rad], positive downrange; at the rail's end before it turns, and again after.
        exit: the forward button's release; its speed is along the rail.
        exit_angle: axis from upright after it has turned into the wind there [rad].
        apogee: the greatest height; its speed is level.
        downrange: how far downrange the apogee is [m].
        air_speed: speed through the air at the apogee [m/s].
        method: how it was worked out.
        notes: what limits it.
    """

    upright: Flight
    tilt: float
    wind: float
    times: np.ndarray
    heights: np.ndarray
    downranges: np.ndarray
    speeds: np.ndarray
    angles: np.ndarray
    exit: Event
    exit_angle: float
    apogee: Event
    downrange: float
    air_speed: float
    method: str
    notes: tuple[str, ...]

    @property
    def loss(self) -> float:
        """Apogee that is lost against the upright flight in still air [m]."""
        return self.upright.apogee.height - self.apogee.height


def fly_tilted(upright: Flight, wind: float = 0.0, rtol: float = 1e-6) -> TiltedFlight | NotFlown:
    """The flight from a rail that leans as the launch states, in a steady wind.

    Args:
        upright: the same flight upright in still air, with its vehicle, launch and air.
        wind: steady wind [m/s], from -30 to 30: above 0 the rail leans into it, below 0 away from it.
        rtol: relative tolerance of a step [-], from 1e-12 to 1e-2.

    Returns:
        The flight, or why there is none. Range: as the upright flight, with the bound that the module states.

    Raises:
        PartError: a wind or a tolerance out of its range.
    """
    if not -STRONGEST_WIND <= wind <= STRONGEST_WIND:
        raise PartError(f"wind: must be from -{STRONGEST_WIND:g} to {STRONGEST_WIND:g} m/s, got {wind:g} m/s")
    if not 1e-12 <= rtol <= 1e-2:
        raise PartError(f"rtol: must be from 1e-12 to 0.01, got {rtol:g}")
    vehicle, air, tilt = upright.vehicle, upright.atmosphere, upright.launch.tilt
    if vehicle.travel_forward is None or vehicle.travel_forward <= 0.0:
        return NotFlown(NEEDS_RAIL)
    travel = vehicle.travel_forward / 1000.0
    burn = stretches(vehicle)
    rising = from_liftoff(burn, math.cos(tilt))
    if not rising:
        return NotFlown(NO_LIFTOFF, is_held=True)
    steps = Steps(rtol)
    try:
        rail = run(
            rising,
            vehicle,
            air,
            steps,
            (0.0, 0.0),
            lambda now: travel - now[0] if now[1] >= 0.0 else -1.0,
            Line(tilt, wind),
        )
        released, way, speed, *_ = rail.rows[-1]
        if way < travel * (1.0 - 1e-9):
            return NotFlown(STOPS, is_held=True)
        left = [one.from_moment(max(released, one.start)) for one in rising if one.end > released]
        free = _Free(vehicle, air, wind, tilt, steps)
        free.fly(left, way, speed)
    except TooManyStepsError as error:
        return NotFlown(str(error))
    rows = [
        *((time, way * math.sin(tilt), way * math.cos(tilt), speed, tilt) for time, way, speed, *_ in rail.rows),
        *(
            (time, across, height, math.hypot(fast, climb), free.angle(fast, climb))
            for time, across, height, fast, climb, *_ in free.rows
        ),
    ]
    columns = [np.array(column) for column in zip(*rows, strict=True)]
    for column in columns:
        column.setflags(write=False)
    times, downranges, heights, speeds, angles = columns
    first, last = free.rows[0], free.rows[-1]
    notes = [*upright.vehicle.drag.notes, TURNS_AT_ONCE, STEADY]
    if burn[-1].start > last[0]:
        notes.append(BURNS_AT_APOGEE)
    return TiltedFlight(
        upright,
        tilt,
        wind,
        times,
        heights,
        downranges,
        speeds,
        angles,
        Event(FORWARD_LEAVES, released, first[2], speed),
        free.angle(first[3], first[4]),
        Event(APOGEE, last[0], last[2], abs(last[3])),
        last[1],
        abs(last[3] + wind),
        METHOD,
        tuple(notes),
    )


_Row = tuple[float, float, float, float, float, float, float]
_Push = Callable[[float, float, float, float], tuple[float, float]]


class _Free:
    """Free flight in the plane; each row is time, downrange, height, and the speeds and accelerations of both."""

    def __init__(self, vehicle: Vehicle, air: Column, wind: float, tilt: float, steps: Steps) -> None:
        self.vehicle, self.air, self.wind, self.tilt, self.steps = vehicle, air, wind, tilt, steps
        self.rows: list[_Row] = []

    def angle(self, fast: float, climb: float) -> float:
        """Axis from upright at a speed downrange and upward [rad]; as on the rail where no air is met."""
        through = fast + self.wind
        return math.atan2(through, climb) if through or climb else self.tilt

    def fly(self, left: Sequence[Stretch], way: float, speed: float) -> None:
        """From the end of the rail to the apogee.

        Raises:
            TooManyStepsError: it cannot be followed.
        """
        lean, up = math.sin(self.tilt), math.cos(self.tilt)
        state = [way * lean, way * up, speed * lean, speed * up]
        for one in left:
            slopes = _slopes(self._acceleration(one))
            for time, now, rates in self.steps.follow(slopes, one.start, state, one.end, state[3]):
                state = now
                self.rows.append((time, now[0], now[1], now[2], now[3], rates[2], rates[3]))
                if state[3] < 0.0:
                    self._cut()
                    return

    def _acceleration(self, one: Stretch) -> _Push:
        half_area = self.vehicle.drag.reference_area * 1e-6 / 2.0
        coefficient, density = self.vehicle.drag.coefficient, self.air.density_and_sound
        wind, lean, up = self.wind, math.sin(self.tilt), math.cos(self.tilt)

        def found(time: float, height: float, fast: float, climb: float) -> tuple[float, float]:
            through = fast + wind
            met = math.hypot(through, climb)
            along, upward = (through / met, climb / met) if met else (lean, up)
            drag = half_area * density(height)[0] * coefficient(met, one.burns) * met * met
            push = (one.force(time) - drag) / one.mass_at(time)
            return push * along, push * upward - GRAVITY

        return found

    def _cut(self) -> None:
        """Moves the last step back to the apogee."""
        before, after = self.rows[-2:]
        times = (before[0], after[0])
        across, upward = (
            Path(times, *(tuple(row[place] for row in (before, after)) for place in places))
            for places in ((1, 3, 5), (2, 4, 6))
        )
        moment = upward.crossing(0, lambda now: now[1])
        (way, fast, bend), (height, climb, fall) = across.within(0, moment), upward.within(0, moment)
        self.rows[-1] = (moment, way, height, fast, climb, bend, fall)


def _slopes(pushed: _Push) -> Slopes:
    def slopes(time: float, state: np.ndarray) -> Sequence[float]:
        _, height, fast, climb = state.tolist()
        return (fast, climb, *pushed(time, height, fast, climb))

    return slopes
