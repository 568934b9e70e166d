"""A rocket as a beam that nothing holds: forces of the air, and the inertia of what they speed up and turn.

Every force, and every mass, lies along the axis with a straight-line density that has its total and its middle. With
the total force F and its moment M about the centre of gravity c, a point at x is sped up sideways by
F / m + (M / J)(x - c), J the second moment of the masses along the axis about c (d'Alembert, any mechanics textbook).
What is left over at each place bends the beam, and both of its ends are free of moment and shear.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ...parts.curve import Floats, gauss
from ...parts.errors import PartError

_POINTS = 3
"""Points of the rule, exact to degree 5; straight densities times two arms have degree 3."""

_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Spread:
    """Something that lies along the axis from one station to another, in a straight-line density.

    Attributes:
        name: what it is.
        start: its forward end [mm].
        end: its aft end [mm]; the same for what is at a point.
        total: all of it, a mass [g] or a force [N].
        station: its middle [mm], in the middle third of its length.
    """

    name: str
    start: float
    end: float
    total: float
    station: float

    def before(self, x: Floats) -> Floats:
        """How much of it lies ahead of stations (n,)."""
        return self._sum(x, lambda at: np.ones_like(at))

    def moment_before(self, x: Floats) -> Floats:
        """What lies ahead of stations (n,), times its distance from there [mm]."""
        return self._sum(x, lambda at: x[:, None] - at)

    def second_moment(self, about: float) -> float:
        """All of it times the square of its distance from a station [mm2]."""
        far = np.array([max(self.end, about) + 1.0])
        return float(self._sum(far, lambda at: (at - about) ** 2)[0])

    def turned_before(self, x: Floats, about: float) -> Floats:
        """What lies ahead of stations (n,), times its distance from there and from `about` [mm2]."""
        return self._sum(x, lambda at: (x[:, None] - at) * (at - about))

    def _sum(self, x: Floats, integrand: Callable[[Floats], Floats]) -> Floats:
        """Integral of density times integrand from the forward end to each station."""
        length = self.end - self.start
        if length <= _SAME:
            inside = (x >= self.station).astype(float)
            return np.asarray(self.total * inside * integrand(np.full((len(x), 1), self.station))[:, 0])
        nodes, weights = gauss(_POINTS)
        reach = np.clip(x - self.start, 0.0, length)
        at = self.start + reach[:, None] * nodes
        middle = (self.start + self.end) / 2.0
        lean = 12.0 * (self.station - middle) / length**2
        density = self.total / length * (1.0 + lean * (at - middle))
        return np.asarray(reach * ((density * integrand(at)) @ weights))


def spread(name: str, first: float, last: float, total: float, station: float) -> Spread:
    """Something in a straight-line density over its length, or over less where its middle lies near one end.

    A density that is nowhere negative has its middle in the middle third. Nearer to an end it falls from there to
    nothing over three times that distance; beyond it, it is at a point.

    Args:
        name: what it is.
        first: its forward end [mm].
        last: its aft end [mm].
        total: all of it, a mass [g] or a force [N].
        station: its middle [mm].
    """
    ahead, behind = station - first, last - station
    third = (last - first) / 3.0
    if min(ahead, behind) <= _SAME:
        return Spread(name, station, station, total, station)
    if ahead < third:
        return Spread(name, first, first + 3.0 * ahead, total, station)
    if behind < third:
        return Spread(name, last - 3.0 * behind, last, total, station)
    return Spread(name, first, last, total, station)


@dataclass(frozen=True, slots=True)
class FreeBody:
    """The beam.

    Attributes:
        masses: everything that has mass [g].
        forces: everything that pushes it sideways [N].

    Raises:
        PartError: nothing has mass, or all of it lies at one station.
    """

    masses: tuple[Spread, ...]
    forces: tuple[Spread, ...]

    def __post_init__(self) -> None:
        if not self.mass > 0.0 or not self.turning_inertia > 0.0:
            raise PartError("masses: a free body needs mass at more than one station")

    @property
    def mass(self) -> float:
        """All of its mass [g]."""
        return sum(one.total for one in self.masses)

    @property
    def cg(self) -> float:
        """Station of its centre of gravity [mm]."""
        return sum(one.total * one.station for one in self.masses) / self.mass

    @property
    def turning_inertia(self) -> float:
        """Second moment of its masses along the axis about the centre of gravity [g mm2]."""
        centre = self.cg
        return sum(one.second_moment(centre) for one in self.masses)

    @property
    def sideways(self) -> float:
        """Acceleration of its centre of gravity [m/s2]."""
        return 1000.0 * sum(one.total for one in self.forces) / self.mass

    @property
    def turning(self) -> float:
        """Angular acceleration, positive where the nose goes against the forces [rad/s2]."""
        centre = self.cg
        # Newton times mm over g mm2 is 1e6 rad/s2.
        return 1e6 * sum(one.total * (one.station - centre) for one in self.forces) / self.turning_inertia

    def shear(self, x: Floats) -> Floats:
        """Force across the beam at stations (n,) [N]: what acts ahead less what that needs to be sped up."""
        centre, sideways, turning, rest = self.cg, self.sideways * 1e-3, self.turning * 1e-6, np.zeros(len(x))
        for one in self.forces:
            rest = rest + one.before(x)
        for one in self.masses:
            arm = x - centre
            turned = arm * one.before(x) - one.moment_before(x)
            rest = rest - one.before(x) * sideways - turned * turning
        return np.asarray(rest)

    def moment(self, x: Floats) -> Floats:
        """Bending moment at stations (n,) [N mm]."""
        centre, sideways, turning, found = self.cg, self.sideways * 1e-3, self.turning * 1e-6, np.zeros(len(x))
        for one in self.forces:
            found = found + one.moment_before(x)
        for one in self.masses:
            found = found - one.moment_before(x) * sideways - one.turned_before(x, centre) * turning
        return np.asarray(found)

    def stations(self, steps: int = 400) -> Floats:
        """Stations at which to look: ends of everything, and even steps between the outermost [mm]."""
        ends = [place for one in (*self.masses, *self.forces) for place in (one.start, one.end)]
        return np.unique([*ends, *np.linspace(min(ends), max(ends), steps + 1)])
