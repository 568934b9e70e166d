"""A rocket as it leaves the launch rail: with each of its motors, on each rail."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .balance_test import aft_end
from .loading import LIFTOFF, Loading
from .motor import Motor
from .rail_exit import MOST_PROPELLANT, Rail, Release, drag_share, first_push, lifts_off, release, thrust_to_weight
from .rocket import Rocket

HIGH_DRAG = 0.75
"""A high drag coefficient, to say what drag takes at most or so [-] (common practice)."""

AIR = 1.225
"""Density of the air at sea level in the US Standard Atmosphere, 1976 [kg/m3]."""

LEFT_OUT = (
    "an upright rail, no drag and no friction: buttons that bind take more, and nothing states how much",
    "the propellant is the motor's loaded mass less its empty mass, and burns in proportion to the thrust",
    "a button leaves the rail as its middle passes the end; the rocket turns about the aft one until that leaves too",
)

NO_LIFTOFF = "does not lift off: the thrust never exceeds the weight"
STOPS = "does not leave the rail: it stops before the forward button comes to its end"


@dataclass(frozen=True, slots=True)
class Leaving:
    """A rocket with one motor on one rail.

    Attributes:
        motor: name of the motor.
        rail: the rail.
        mass: everything at liftoff [g]; None while the mass of an item is not stated.
        button: station of the forward button [mm]; None without one.
        travel: how far it runs up the rail until the forward button leaves it [mm].
        forward: the forward button's release, which the speeds are held to; None where there is none.
        aft: the aft button's release.
        mean_ratio: mean thrust over weight at liftoff [-].
        first_ratio: mean thrust of the first 0.3 s over weight at liftoff [-].
        drag_share: about what drag takes of the speed at a high drag coefficient [-].
        reason: why there is no speed; None where there is one.
        is_held: True where the motor or the rail is the reason, and nothing is missing.
    """

    motor: str
    rail: Rail
    mass: float | None
    button: float | None
    travel: float | None
    forward: Release | None = None
    aft: Release | None = None
    mean_ratio: float | None = None
    first_ratio: float | None = None
    drag_share: float | None = None
    reason: str | None = None
    is_held: bool = False


def button_stations(rocket: Rocket) -> tuple[float, ...]:
    """Stations of the middles of the rail buttons, from forward to aft [mm]."""
    return tuple(sorted(station for item in rocket.items if item.kind == "rail-button" for station in item.stations))


def leaving_the_rail(
    rocket: Rocket, loaded: Iterable[Loading], motors: Sequence[Motor], rails: Sequence[Rail]
) -> tuple[Leaving, ...]:
    """The rocket with each motor on each rail; by motor, then by rail.

    Args:
        rocket: the parts in place, without a motor.
        loaded: its loadings, whose mass at liftoff counts.
        motors: the motors to fly with, one at a time.
        rails: the rails.
    """
    masses = {one.motor: one.mass.mass for one in loaded if one.name == LIFTOFF and one.mass is not None}
    return tuple(_leaving(rocket, motor, masses.get(motor.name), rail) for motor in motors for rail in rails)


def _leaving(rocket: Rocket, motor: Motor, mass: float | None, rail: Rail) -> Leaving:
    thrust, buttons, foot = motor.thrust, button_stations(rocket), aft_end(rocket, motor)
    button = buttons[0] if buttons else None
    travel = None if button is None or foot is None else rail.travel(foot - button)
    if thrust is None:
        return Leaving(motor.name, rail, mass, button, travel, reason="needs the motor's thrust table as `thrust`")
    if mass is None:
        return Leaving(motor.name, rail, mass, button, travel, reason="needs the mass of every item")
    if motor.loaded_mass - motor.empty_mass > MOST_PROPELLANT * mass:
        return Leaving(
            motor.name, rail, mass, button, travel, reason="the mass as balanced is less than the propellant"
        )
    propellant, diameter = motor.loaded_mass - motor.empty_mass, rocket.reference_diameter
    mean, first = (thrust_to_weight(force, mass) for force in (thrust.mean, first_push(thrust)))
    forward, aft, reason, held = None, None, None, False
    if not lifts_off(thrust, mass, propellant):
        reason, held = NO_LIFTOFF, True
    elif foot is None or button is None or travel is None:
        reason = 'needs rail buttons: a [[part]] of kind "rail-button" with its stations'
    elif travel <= 0.0:
        reason = f"the forward button is {-travel:.0f} mm above the end of the rail, so that nothing guides it"
        held = True
    else:
        forward, aft = (
            release(thrust, mass, propellant, rail.travel(foot - one)) if rail.travel(foot - one) > 0.0 else None
            for one in (buttons[0], buttons[-1])
        )
        if forward is None:
            reason, held = STOPS, True
    taken = None
    if forward is not None and diameter is not None:
        taken = drag_share(HIGH_DRAG, math.pi * diameter**2 / 4.0, AIR, mass, forward.travel)
    return Leaving(motor.name, rail, mass, button, travel, forward, aft, mean, first, taken, reason, held)
