"""The burn as stretches on which the thrust is a straight line, the mass falling as the impulse is delivered."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from ..rail_exit import GRAVITY
from .vehicle import Vehicle

_LEAST_IMPULSE = 1e-9
"""Total impulse below which nothing is burnt that could be told [N s]."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of time on which the thrust is a straight line; SI units.

    Attributes:
        start: when it starts [s].
        end: when it ends [s]; infinite for the coast after the burn.
        thrust: thrust at its start [N].
        slope: what the thrust gains [N/s].
        mass: mass at its start [kg].
        rate: mass burnt for an impulse [kg/(N s)].
        burns: whether the motor burns in it, which is what base drag goes by.
    """

    start: float
    end: float
    thrust: float
    slope: float
    mass: float
    rate: float
    burns: bool

    def force(self, time: float) -> float:
        """Thrust at a moment [N]."""
        return self.thrust + self.slope * (time - self.start)

    def mass_at(self, time: float) -> float:
        """Mass at a moment [kg]."""
        since = time - self.start
        return self.mass - self.rate * (self.thrust + self.slope * since / 2.0) * since

    def from_moment(self, time: float) -> Stretch:
        """What is left of it from a moment on."""
        return replace(self, start=time, thrust=self.force(time), mass=self.mass_at(time))


def stretches(vehicle: Vehicle) -> tuple[Stretch, ...]:
    """The straight pieces of the thrust table up to burnout, and the coast after them."""
    thrust = vehicle.thrust
    impulse, mass = thrust.total_impulse, vehicle.mass / 1000.0
    rate = vehicle.propellant / 1000.0 / impulse if impulse > _LEAST_IMPULSE else 0.0
    pieces = list(zip(pairwise(thrust.times), pairwise(thrust.thrusts), strict=True))
    while not any(pieces[-1][1]):
        pieces.pop()
    found = []
    for (start, end), (first, last) in pieces:
        one = Stretch(start, end, first, (last - first) / (end - start), mass, rate, first > 0.0 or last > 0.0)
        mass = one.mass_at(end)
        found.append(one)
    return (*found, Stretch(pieces[-1][0][1], math.inf, 0.0, 0.0, mass, 0.0, burns=False))


def from_liftoff(burn: Sequence[Stretch], share: float = 1.0) -> tuple[Stretch, ...]:
    """The stretches from the moment at which the thrust exceeds the weight's part along the rail.

    They are cut where the two are equal, so that from rest no stretch holds both a rise and the fall after it.

    Args:
        burn: the stretches of the burn and the coast.
        share: part of the weight that pulls back along the rail [-]: the cosine of its tilt.

    Returns:
        The first of them begins at that moment; nothing where the thrust never exceeds it.
    """
    pieces = [piece for one in burn[:-1] for piece in _cut(one, share)]
    for index, one in enumerate(pieces):
        middle = (one.start + one.end) / 2.0
        if one.force(middle) > share * GRAVITY * one.mass_at(middle):
            return (*pieces[index:], burn[-1])
    return ()


def _cut(one: Stretch, share: float) -> Iterator[Stretch]:
    """A stretch of the burn in pieces on which the thrust stays above the weight's part or below it."""
    corners = (one.start, *(one.start + since for since in _balances(one, share)), one.end)
    for begin, end in pairwise(corners):
        # Two moments may round to the same.
        if begin < end:
            yield replace(one.from_moment(begin), end=end)


def _balances(one: Stretch, share: float) -> list[float]:
    """Moments after its start at which the thrust is the weight's part [s], rising."""
    pull = share * GRAVITY
    square = pull * one.rate * one.slope / 2.0
    linear = one.slope + pull * one.rate * one.thrust
    constant = one.thrust - pull * one.mass
    inside = linear * linear - 4.0 * square * constant
    if inside < 0.0:
        return []
    # The form without a difference of nearly equal values, which also holds where the square vanishes.
    half = -(linear + math.copysign(math.sqrt(inside), linear)) / 2.0
    roots = {constant / half} if half else set()
    roots |= {half / square} if square else set()
    return sorted(root for root in roots if 0.0 < root < one.end - one.start)
