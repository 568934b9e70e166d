"""The balance while the motor burns, between liftoff and burnout.

The propellant is taken to burn away evenly, so that what is left of it keeps its centre of gravity. Then with m and M
the mass and the moment of the rocket at liftoff, p the propellant's mass, x its station and f the part of it that is
burnt, the centre of gravity is (M - f p x) / (m - f p): a fraction of two straight lines in f, which rises or falls all
the way (derived). So the least margin of the burn is that of one of its two ends, and checks of both ends are checks
of the whole burn. A grain that burns from one end moves otherwise; nobody states that, and nothing here claims it.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..parts.errors import PartError
from .loading import Loading

STEPS = 4
"""Steps of the burn [-]."""

EVENLY = "propellant that burns evenly, its centre of gravity where it was; then the least margin is at one of the ends"


@dataclass(frozen=True, slots=True)
class BurnStep:
    """The rocket at one moment of the burn.

    Attributes:
        burnt: the part of the propellant that is burnt [-], from 0 at liftoff to 1 at burnout.
        mass: mass of everything [g].
        cg: station of the centre of gravity [mm].
        margin: centre of pressure behind it [mm]; None where there is none.
        margin_calibres: the same in reference diameters [-].
        margin_percent: the same in per cent of the length [-].
    """

    burnt: float
    mass: float
    cg: float
    margin: float | None
    margin_calibres: float | None
    margin_percent: float | None


def through_burn(liftoff: Loading, burnout: Loading, steps: int = STEPS) -> tuple[BurnStep, ...]:
    """Mass, centre of gravity and margin in even steps of propellant burnt, both ends included.

    Args:
        liftoff: the rocket with a motor as it lifts off.
        burnout: the same rocket with the same motor burnt out.
        steps: number of steps, 1 or more [-].

    Returns:
        One value more than there are steps; none while a mass is not stated.

    Raises:
        PartError: fewer than one step.
    """
    if steps < 1:
        raise PartError(f"steps: must be 1 or more, got {steps}")
    if liftoff.mass is None or burnout.mass is None:
        return ()
    found = []
    for index in range(steps + 1):
        burnt = index / steps
        parts = ((1.0 - burnt, liftoff.mass), (burnt, burnout.mass))
        mass = sum(share * one.mass for share, one in parts)
        cg = sum(share * one.mass * one.cg[0] for share, one in parts) / mass
        found.append(_step(liftoff, burnt, mass, cg))
    return tuple(found)


def _step(loading: Loading, burnt: float, mass: float, cg: float) -> BurnStep:
    station, body = loading.centre_of_pressure, loading.stability
    if station is None or body is None:
        return BurnStep(burnt, mass, cg, None, None, None)
    margin = station - cg
    return BurnStep(burnt, mass, cg, margin, margin / body.reference_diameter, 100.0 * margin / body.length)
