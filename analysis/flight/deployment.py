"""The moment at which the parachute comes out: how high, how fast, and which delays keep it slow.

The delay's seconds count from burnout. A maker's tolerance is taken where it is stated; else the usual one, 1.5 s or a
fifth of the delay, whichever is more (from memory; common practice).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ...parts.errors import PartError
from .result import Flight

COUNTED = "seconds count from burnout, not ignition; trim only with the maker's tool"
"""Stands wherever delays are told."""

FORMULA = "time = burnout + delay; height and speed of the flight at that time"

USUAL_TOLERANCE = 1.5
"""Least tolerance of a delay while its maker's is not stated [s] (common practice)."""

USUAL_SHARE = 0.2
"""The same as a part of the delay [-] (common practice)."""

AROUND = (-2.0, -1.0, 0.0, 1.0, 2.0)
"""Delays that are told, less the one that is wanted [s] (common practice)."""

FALLING = "past the apogee it falls straight down without its parachute"

_STILL = 0.05
_GROUND = 1e-3
_STEP = 0.25
_LONGEST = 600.0


@dataclass(frozen=True, slots=True)
class Turned:
    """The apogee of a flight from a leaning rail or in a wind, which comes sooner and lower than upright in still air.

    Attributes:
        wind: the steady wind [m/s].
        coast: from burnout to the apogee [s].
        height: height of the apogee above the ground [m].
        air_speed: speed through the air there, all of it across [m/s].
        way: how far from the pad it is, over the ground [m].
    """

    wind: float
    coast: float
    height: float
    air_speed: float
    way: float


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment at which the parachute may come out.

    Attributes:
        delay: seconds after burnout [s].
        time: time of the thrust table [s].
        height: height above the ground [m]; 0 where it has come down by then.
        speed: speed through the air, without its direction [m/s].
        rising: whether it still rises.
    """

    delay: float
    time: float
    height: float
    speed: float
    rising: bool

    @property
    def on_the_ground(self) -> bool:
        """True where the rocket has come down before the delay is over."""
        return self.height <= 0.0

    @property
    def words(self) -> str:
        """Speed, direction and height in words."""
        if self.on_the_ground:
            return "on the ground before that"
        if self.speed < _STILL:
            return f"at the apogee, {self.height:.0f} m"
        return f"{self.speed:.1f} m/s, {'rising' if self.rising else 'falling'}, at {self.height:.0f} m"

    @property
    def height_words(self) -> str:
        """Height and delay in words."""
        height = "on the ground before" if self.on_the_ground else f"{self.height:.0f} m at"
        return f"{height} {self.delay:.1f} s"


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far a delay may be off, either way.

    Attributes:
        seconds: by how much [s].
        mark: who says so.
    """

    seconds: float
    mark: str


@dataclass(frozen=True, slots=True)
class Deployment:
    """One delay and its tolerance.

    Attributes:
        nominal: at the delay itself.
        early: at the least that the tolerance allows.
        late: at the most.
        tolerance: the tolerance.
    """

    nominal: Moment
    early: Moment
    late: Moment
    tolerance: Tolerance

    @property
    def fastest(self) -> Moment:
        """The fastest of the three; between them it is no faster."""
        return max(self.nominal, self.early, self.late, key=lambda moment: moment.speed)

    @property
    def in_the_air(self) -> tuple[Moment, ...]:
        """Those of the three at which it has not come down yet."""
        return tuple(one for one in (self.nominal, self.early, self.late) if not one.on_the_ground)

    @property
    def lowest(self) -> Moment:
        """The lowest of the three."""
        return min(self.nominal, self.early, self.late, key=lambda moment: moment.height)


@dataclass(frozen=True, slots=True)
class Window:
    """Delays at which the speed stays within a limit.

    Attributes:
        limit: the limit [m/s].
        earliest: least such delay [s].
        latest: greatest such delay [s].
        least: least delay that stays in it within its tolerance [s]; None where no delay does.
        most: greatest such delay [s].
    """

    limit: float
    earliest: float
    latest: float
    least: float | None
    most: float | None

    @property
    def words(self) -> str:
        """The window in words."""
        told = f"{self.earliest:.1f} to {self.latest:.1f} s keep it within {self.limit:g} m/s"
        if self.least is None or self.most is None:
            return f"{told}, and no delay stays in that within its tolerance"
        return f"{told}, and {self.least:.1f} to {self.most:.1f} s also within their tolerance"


def tolerance_of(delay: float, stated: float | None = None) -> Tolerance:
    """Tolerance of a delay.

    Args:
        delay: the delay [s].
        stated: tolerance by the motor's maker [s]; None where it is not stated.

    Raises:
        PartError: a delay or a tolerance below 0.
    """
    if not 0.0 <= delay < math.inf:
        raise PartError(f"delay: must be 0 s or more, got {delay:g} s")
    if stated is None:
        usual = max(USUAL_TOLERANCE, USUAL_SHARE * delay)
        return Tolerance(
            usual, f"{USUAL_TOLERANCE:g} s or {100.0 * USUAL_SHARE:.0f} %, whichever is more, common practice"
        )
    if not 0.0 <= stated < math.inf:
        raise PartError(f"delay_tolerance: must be 0 s or more, got {stated:g} s")
    return Tolerance(stated, "stated")


def wanted_delay(flight: Flight, turned: Turned | None = None) -> float:
    """The delay that ends at the apogee [s]; below 0 where the motor still burns there.

    Args:
        flight: the flight, upright in still air.
        turned: the apogee as a leaning rail or a wind makes it; None for that of the flight.
    """
    return flight.coast_time if turned is None else turned.coast


def moment(flight: Flight, delay: float, sideways: float = 0.0, turned: Turned | None = None) -> Moment:
    """Height and speed at a delay.

    With an apogee of its own the speed upward or downward is that of the upright flight as long before or after its
    apogee, the height as far below it, and the speed across that of the apogee.

    Args:
        flight: the flight.
        delay: seconds after burnout [s], 0 or more.
        sideways: speed across, which a wind or a leaning rail leaves it at the apogee [m/s].
        turned: the apogee as a leaning rail or a wind makes it, in place of `sideways`; None for that of the flight.

    Raises:
        PartError: a delay below 0.
    """
    if not 0.0 <= delay < math.inf:
        raise PartError(f"delay: must be 0 s or more, got {delay:g} s")
    time = flight.burnout.time + delay
    if turned is None:
        height, speed = flight.height_speed_at(time)
    else:
        same = max(flight.apogee.time + delay - turned.coast, flight.burnout.time)
        height, speed = flight.height_speed_at(same)
        # The upright flight comes down last, and what it does from then on tells nothing.
        height = height - flight.apogee.height + turned.height if height > _GROUND else 0.0
        sideways = turned.air_speed
    above = height if height > _GROUND else 0.0
    return Moment(delay, time, above, math.hypot(speed, sideways), delay < wanted_delay(flight, turned))


def deployment(
    flight: Flight,
    delay: float,
    stated_tolerance: float | None = None,
    sideways: float = 0.0,
    turned: Turned | None = None,
) -> Deployment:
    """A delay and what its tolerance leaves open.

    Args:
        flight: the flight.
        delay: seconds after burnout [s], 0 or more.
        stated_tolerance: tolerance by the motor's maker [s]; None where it is not stated.
        sideways: speed across at the apogee [m/s].
        turned: the apogee as a leaning rail or a wind makes it, in place of `sideways`; None for that of the flight.

    Raises:
        PartError: a value below 0.
    """
    tolerance = tolerance_of(delay, stated_tolerance)
    ends = (max(delay - tolerance.seconds, 0.0), delay + tolerance.seconds)
    early, late = (moment(flight, end, sideways, turned) for end in ends)
    return Deployment(moment(flight, delay, sideways, turned), early, late, tolerance)


def deployments(
    flight: Flight,
    delays: Sequence[float],
    stated_tolerance: float | None = None,
    sideways: float = 0.0,
    turned: Turned | None = None,
) -> tuple[Deployment, ...]:
    """A row for each delay around the wanted one and for each that the motor's maker states, the shortest first.

    Args:
        flight: the flight.
        delays: delays that the motor is to be had with [s].
        stated_tolerance: tolerance by the motor's maker [s]; None where it is not stated.
        sideways: speed across at the apogee [m/s].
        turned: the apogee as a leaning rail or a wind makes it, in place of `sideways`; None for that of the flight.

    Raises:
        PartError: a value below 0.
    """
    wanted = wanted_delay(flight, turned)
    around = [wanted + step for step in AROUND if wanted + step >= 0.0]
    return tuple(deployment(flight, delay, stated_tolerance, sideways, turned) for delay in sorted({*around, *delays}))


def nearest(flight: Flight, delays: Sequence[float], turned: Turned | None = None) -> float | None:
    """The stated delay that is nearest to the wanted one, of two the longer [s]; None where none is stated.

    Args:
        flight: the flight.
        delays: delays that the motor is to be had with [s].
        turned: the apogee as a leaning rail or a wind makes it; None for that of the flight.
    """
    wanted = wanted_delay(flight, turned)
    return min(delays, key=lambda delay: (abs(delay - wanted), -delay), default=None)


def expected(
    flight: Flight,
    delays: Sequence[float],
    stated_tolerance: float | None = None,
    sideways: float = 0.0,
    turned: Turned | None = None,
) -> Deployment:
    """Deployment at the nearest delay that is stated, or else at the one that is wanted.

    Args:
        flight: the flight.
        delays: delays that the motor is to be had with [s].
        stated_tolerance: tolerance by the motor's maker [s]; None where it is not stated.
        sideways: speed across at the apogee [m/s].
        turned: the apogee as a leaning rail or a wind makes it, in place of `sideways`; None for that of the flight.

    Raises:
        PartError: a value below 0.
    """
    chosen = nearest(flight, delays, turned)
    delay = max(wanted_delay(flight, turned), 0.0) if chosen is None else chosen
    return deployment(flight, delay, stated_tolerance, sideways, turned)


def window(
    flight: Flight,
    limit: float,
    stated_tolerance: float | None = None,
    sideways: float = 0.0,
    turned: Turned | None = None,
) -> Window | None:
    """Delays at which the speed stays within a limit; None where it does not even at the apogee.

    Args:
        flight: the flight.
        limit: most speed that the parachute may come out at [m/s].
        stated_tolerance: tolerance by the motor's maker [s]; None where it is not stated.
        sideways: speed across at the apogee [m/s].
        turned: the apogee as a leaning rail or a wind makes it, in place of `sideways`; None for that of the flight.

    Raises:
        PartError: a tolerance below 0.
    """

    def slow(delay: float) -> bool:
        found = moment(flight, delay, sideways, turned)
        return found.speed <= limit and not found.on_the_ground

    wanted = max(wanted_delay(flight, turned), 0.0)
    if not slow(wanted):
        return None
    # It only slows down from burnout to the apogee, so one change from fast to slow lies between them.
    earliest = 0.0 if slow(0.0) else _change(slow, wanted, 0.0)
    latest = wanted
    while latest < wanted + _LONGEST and slow(latest + _STEP):
        latest += _STEP
    latest = _change(slow, latest, latest + _STEP)
    least, most = _within_tolerance(earliest, latest, stated_tolerance)
    return Window(limit, earliest, latest, *((least, most) if least <= most else (None, None)))


def _change(holds: Callable[[float], bool], inside: float, outside: float) -> float:
    """The last value that holds on the way from one that does to one that does not, to a thousandth of a second."""
    while abs(outside - inside) > 1e-3:
        middle = (inside + outside) / 2.0
        inside, outside = (middle, outside) if holds(middle) else (inside, middle)
    return inside


def _within_tolerance(earliest: float, latest: float, stated: float | None) -> tuple[float, float]:
    """Delays whose early and late ends both lie between two; the first above the second where there is none."""
    if stated is not None:
        return (earliest + tolerance_of(earliest, stated).seconds if earliest > 0.0 else 0.0), latest - stated
    # d - max(1.5, d / 5) >= earliest and d + max(1.5, d / 5) <= latest, each solved for d.
    least = max(earliest + USUAL_TOLERANCE, earliest / (1.0 - USUAL_SHARE)) if earliest > 0.0 else 0.0
    return least, min(latest - USUAL_TOLERANCE, latest / (1.0 + USUAL_SHARE))
