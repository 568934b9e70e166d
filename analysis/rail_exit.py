"""Speed at which a rocket leaves a vertical rail, by its motor's thrust table, without drag and without friction.

With the impulse I delivered so far, the propellant p and the total impulse J, the mass is m - c I with c = p / J: the
propellant burns at a rate in proportion to the thrust. Then the integral of thrust over mass is known, and from one
point of the table to the next (derived)

    v = v0 + ln(m0 / m) / c - g t,

where I is a square of t between two points that a straight line joins. Only the way up the rail is a numerical
integral, of a smooth function on each of the straight pieces, which are cut where the thrust passes the weight.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ..parts.errors import PartError
from .motor import Thrust

GRAVITY = 9.80665
"""Standard gravity [m/s2] (ISO 80000-3)."""

STAND_OFF = 150.0
"""Height of the rocket's aft end over the foot of the rail [mm], while it is not stated (common practice)."""

USUAL_LENGTHS = (1800.0, 2400.0, 3000.0)
"""Lengths of rail that are shown while none is stated [mm] (common practice)."""

METHOD = "the thrust table's straight pieces on a vertical rail, mass falling with the impulse delivered (derived)"

MOST_PROPELLANT = 0.99
"""Most of the mass that may be propellant [-]: with more, the last of the burn is lost in rounding."""

FIRST_MOMENT = 0.3
"""How long the first push lasts that thrust over weight is told of [s] (common practice)."""


@dataclass(frozen=True, slots=True)
class Rail:
    """A launch rail, upright.

    Attributes:
        length: its length [mm], above 0.
        stand_off: its foot to the rocket's aft end as it stands [mm].
        is_stated: whether it is that of the design, or one of the usual ones.

    Raises:
        PartError: a length not above 0, or a stand-off below 0.
    """

    length: float
    stand_off: float = STAND_OFF
    is_stated: bool = False

    def __post_init__(self) -> None:
        if not 0.0 < self.length < math.inf:
            raise PartError(f"length: must be above 0 mm, got {self.length:g} mm")
        if not 0.0 <= self.stand_off < math.inf:
            raise PartError(f"stand_off: must be 0 mm or more, got {self.stand_off:g} mm")

    def travel(self, height: float) -> float:
        """How far a button runs up the rail until its middle leaves it [mm]; not above 0 where it is not on it.

        Args:
            height: the rocket's aft end to the middle of the button [mm].
        """
        return self.length - self.stand_off - height


def usual_rails(stand_off: float = STAND_OFF) -> tuple[Rail, ...]:
    """The rails that are shown while none is stated, the shortest first."""
    return tuple(Rail(length, stand_off) for length in USUAL_LENGTHS)


@dataclass(frozen=True, slots=True)
class Release:
    """The moment at which a button leaves the rail.

    Attributes:
        travel: how far the rocket has come [mm].
        time: time of the thrust table [s].
        speed: its speed [m/s].
        thrust: thrust at that moment [N].
        mass: mass at that moment [g].
    """

    travel: float
    time: float
    speed: float
    thrust: float
    mass: float


def lifts_off(thrust: Thrust, mass: float, propellant: float) -> bool:
    """Whether the thrust ever exceeds the weight.

    Args:
        thrust: the motor's thrust.
        mass: everything at liftoff [g], above 0.
        propellant: what the motor burns of it [g], from 0 to 99 % of the mass.

    Raises:
        PartError: a mass out of its range.
    """
    return any(piece.rises for piece in _pieces(thrust, mass, propellant))


def release(thrust: Thrust, mass: float, propellant: float, travel: float) -> Release | None:
    """The moment at which a rocket has come so far up a vertical rail.

    It stands until its thrust exceeds its weight. What drag and the buttons' friction take is left out.

    Args:
        thrust: the motor's thrust.
        mass: everything at liftoff [g], above 0.
        propellant: what the motor burns of it [g], from 0 to 99 % of the mass.
        travel: how far it runs up the rail [mm], above 0.

    Returns:
        The moment, its speed good to 1e-9 of itself; None where it does not come so far.

    Raises:
        PartError: a mass or a travel out of its range.
    """
    if not 0.0 < travel < math.inf:
        raise PartError(f"travel: must be above 0 mm, got {travel:g} mm")
    speed, left, moving = 0.0, travel / 1000.0, False
    last = None
    for piece in _pieces(thrust, mass, propellant):
        moving = moving or piece.rises
        if not moving:
            continue
        last = piece
        stops = speed + piece.gain(piece.duration) < 0.0
        end = piece.standstill(speed) if stops else piece.duration
        if piece.way(end, speed) >= left:
            moment = piece.arrival(left, speed, end)
            return Release(
                travel,
                piece.start + moment,
                speed + piece.gain(moment),
                piece.thrust + piece.slope * moment,
                1000.0 * (piece.mass - piece.rate * piece.impulse(moment)),
            )
        if stops:
            return None
        left -= piece.way(end, speed)
        speed += piece.gain(end)
    if last is None or speed**2 <= 2.0 * GRAVITY * left:
        return None
    # Burnt out on the rail: it coasts along the rest of it.
    after = math.sqrt(speed**2 - 2.0 * GRAVITY * left)
    burnt_out = 1000.0 * (last.mass - last.rate * last.impulse(last.duration))
    return Release(travel, thrust.times[-1] + (speed - after) / GRAVITY, after, 0.0, burnt_out)


def thrust_to_weight(force: float, mass: float) -> float:
    """Thrust over weight [-].

    Args:
        force: thrust [N].
        mass: everything at liftoff [g], above 0.
    """
    return force / (mass / 1000.0 * GRAVITY)


def first_push(thrust: Thrust, lasts: float = FIRST_MOMENT) -> float:
    """Mean thrust over the first moment from where thrust begins [N]; over the burn where that is shorter.

    Args:
        thrust: the motor's thrust.
        lasts: how long that moment is [s], above 0.

    Raises:
        PartError: a moment not above 0.
    """
    if not 0.0 < lasts < math.inf:
        raise PartError(f"lasts: must be above 0 s, got {lasts:g} s")
    begin = next(time for time, pair in zip(thrust.times, pairwise(thrust.thrusts), strict=False) if any(pair))
    end = begin + min(lasts, thrust.burn_time)
    times = [begin, *(time for time in thrust.times if begin < time < end), end]
    forces = np.interp(times, thrust.times, thrust.thrusts)
    return float(np.trapezoid(forces, times)) / (end - begin)


def needed_ratio(speed: float, travel: float) -> float:
    """Constant thrust over constant weight that gives a speed: 1 + v^2 / (2 g s) [-].

    Args:
        speed: the speed [m/s].
        travel: how far it runs up the rail [mm], above 0.
    """
    return 1.0 + speed**2 / (2.0 * GRAVITY * travel / 1000.0)


def drag_share(coefficient: float, area: float, density: float, mass: float, travel: float) -> float:
    """About what drag takes of the exit speed: rho C_d A s / (4 m) [-].

    The square of the speed grows in proportion to the way at constant acceleration, so drag takes half of its last
    value times the way, rho C_d A v^2 s / 4, of the energy m v^2 / 2, and half of that share of the speed (derived).

    Args:
        coefficient: drag coefficient [-].
        area: area that it is on [mm2].
        density: density of the air [kg/m3].
        mass: mass of the rocket [g], above 0.
        travel: how far it runs up the rail [mm].
    """
    return density * coefficient * (area * 1e-6) * (travel / 1000.0) / (4.0 * mass / 1000.0)


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch of the table on which the thrust is a straight line and does not pass the weight; SI units."""

    start: float
    duration: float
    thrust: float
    slope: float
    mass: float
    rate: float

    @property
    def rises(self) -> bool:
        """Whether the thrust exceeds the weight."""
        return self.excess(self.duration / 2.0) > 0.0

    def impulse(self, time: float) -> float:
        return self.thrust * time + self.slope * time**2 / 2.0

    def excess(self, time: float) -> float:
        return self.thrust + self.slope * time - GRAVITY * (self.mass - self.rate * self.impulse(time))

    def gain(self, time: float) -> float:
        """What is gained in speed since its start [m/s]."""
        return float(self._gains(np.array([time]))[0])

    def way(self, time: float, speed: float) -> float:
        """How far it has come since its start [m], with the speed that it had there."""
        width = time / _PARTS
        middles = width * (np.arange(_PARTS) + 0.5)
        times = (middles[:, None] + width / 2.0 * _NODES[None, :]).ravel()
        return speed * time + float(self._gains(times) @ np.tile(_WEIGHTS, _PARTS)) * width / 2.0

    def standstill(self, speed: float) -> float:
        """When it has come to rest since its start [s]; within a piece the speed only rises or only falls."""
        return _last_moment(lambda time: speed + self.gain(time) >= 0.0, self.duration)

    def arrival(self, left: float, speed: float, end: float) -> float:
        """When it has come so far [m] since its start [s], which it has by the end."""
        return _last_moment(lambda time: self.way(time, speed) <= left, end)

    def _gains(self, times: np.ndarray) -> np.ndarray:
        impulse = self.thrust * times + self.slope * times**2 / 2.0
        share = self.rate * impulse / self.mass
        # ln(m0 / m) / c, written so that little or no propellant is no loss of figures.
        small = np.abs(share) < 1e-9
        factor = np.where(small, 1.0 + share / 2.0, -np.log1p(-share) / np.where(small, 1.0, share))
        return np.asarray(impulse / self.mass * factor - GRAVITY * times)


_PARTS = 4
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)


def _pieces(thrust: Thrust, mass: float, propellant: float) -> Iterator[_Piece]:
    """The straight pieces, cut where the thrust passes the weight.

    Raises:
        PartError: a mass out of its range.
    """
    if not 0.0 < mass < math.inf:
        raise PartError(f"mass: must be above 0 g, got {mass:g} g")
    most = MOST_PROPELLANT * mass
    if not 0.0 <= propellant <= most:
        raise PartError(f"propellant: must be from 0 to {most:g} g of a mass of {mass:g} g, got {propellant:g} g")
    impulse, now = thrust.total_impulse, mass / 1000.0
    # A thrust so small that its impulse vanishes burns nothing that could be told.
    rate = propellant / 1000.0 / impulse if impulse > 0.0 else 0.0
    for (start, end), (first, last) in zip(pairwise(thrust.times), pairwise(thrust.thrusts), strict=True):
        whole = _Piece(start, end - start, first, (last - first) / (end - start), now, rate)
        for begin, stop in pairwise((0.0, *_passes(whole), whole.duration)):
            left = now - rate * whole.impulse(begin)
            yield _Piece(start + begin, stop - begin, first + whole.slope * begin, whole.slope, left, rate)
        now -= rate * whole.impulse(whole.duration)


def _passes(piece: _Piece) -> tuple[float, ...]:
    """Moments within a piece at which the thrust is the weight [s]."""
    square = GRAVITY * piece.rate * piece.slope / 2.0
    linear = piece.slope + GRAVITY * piece.rate * piece.thrust
    constant = piece.thrust - GRAVITY * piece.mass
    inside = linear * linear - 4.0 * square * constant
    if inside < 0.0:
        return ()
    # The form without a difference of nearly equal values, which also holds where the square vanishes.
    half = -(linear + math.copysign(math.sqrt(inside), linear)) / 2.0
    roots = [constant / half] if half else []
    roots += [half / square] if square else []
    return tuple(sorted({root for root in roots if 0.0 < root < piece.duration}))


def _last_moment(holds: Callable[[float], bool], end: float) -> float:
    """The last moment up to which something holds that holds at 0 and then at some time no more."""
    low, high = 0.0, end
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
