"""Steady descent under a parachute: how fast, how long, and with what energy at the ground.

Weight and drag balance, v = sqrt(2 m g / (rho C_D S)) (Knacke ch. 4, in a copy of its text, and J. Potvin's page of
round canopies, both looked up). The air is thinner higher up, so a descent begins faster than it ends; the time is the
integral of dh / v over the height, by Gauss's rule. Left out: the moments in which the canopy opens and the fall comes
to its steady speed (about v / g, less than a second), updraughts, and what swinging takes from a canopy.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...parts.errors import PartError
from ..rail_exit import GRAVITY
from .canopy import Canopy, whole_effective_area
from .vehicle import Column

FORMULA = "v = sqrt(2 m g / (rho C_D S)), S = pi D^2 / 4"

TIME_FORMULA = "t = integral of dh / v(h), v(h) = sqrt(2 m g / (rho(h) C_D S)), Gauss's rule"

SOURCE = "Knacke, NWC TP 6575, ch. 4 (in a copy of its text) and J. Potvin's page of round canopies, looked up"

NOT_MODELLED = (
    "left out: opening, updraughts, swinging, and what several canopies take from each other (Knacke: a few per cent, "
    "from memory)"
)

_LAYER = 1000.0
"""Height of the layers that are integrated one by one [m]; the air's density is smooth in each."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(4)


@dataclass(frozen=True, slots=True)
class Descent:
    """A descent from a height to the ground.

    Attributes:
        mass: everything that comes down [g].
        effective_area: drag coefficient times area of all canopies [m2].
        height: height that it starts from [m].
        speed: descent rate at the ground [m/s].
        first_speed: descent rate at that height [m/s].
        time: time from there to the ground [s].
        energy: energy of everything at the ground [J].
    """

    mass: float
    effective_area: float
    height: float
    speed: float
    first_speed: float
    time: float
    energy: float


def descent_rate(mass: float, effective_area: float, density: float) -> float:
    """Steady descent rate [m/s].

    Args:
        mass: everything that hangs on the canopies [g], above 0.
        effective_area: drag coefficient times area [m2], above 0.
        density: density of the air [kg/m3], above 0.

    Raises:
        PartError: a value that is not above 0.
    """
    _above_zero(mass=(mass, "g"), effective_area=(effective_area, "m2"), density=(density, "kg/m3"))
    return math.sqrt(2.0 * mass / 1000.0 * GRAVITY / (density * effective_area))


def descent_time(mass: float, effective_area: float, height: float, air: Column) -> float:
    """Time of a steady descent from a height to the ground [s].

    Args:
        mass: everything that hangs on the canopies [g], above 0.
        effective_area: drag coefficient times area [m2], above 0.
        height: height above the ground [m], 0 or more.
        air: the air over the site.

    Raises:
        PartError: a value out of its range.
    """
    if not 0.0 <= height < math.inf:
        raise PartError(f"height: must be 0 m or more, got {height:g} m")
    layers = max(math.ceil(height / _LAYER), 1)
    step = height / layers
    time = 0.0
    for layer in range(layers):
        for node, weight in zip(_NODES.tolist(), _WEIGHTS.tolist(), strict=True):
            at = (layer + (1.0 + node) / 2.0) * step
            time += weight * step / 2.0 / descent_rate(mass, effective_area, air.density_and_sound(at)[0])
    return time


def descent(mass: float, canopies: Sequence[Canopy], height: float, air: Column) -> Descent | None:
    """A descent under canopies that are all open; None while a diameter or a drag coefficient is not stated.

    Args:
        mass: everything that comes down together [g], above 0.
        canopies: the canopies; their drag areas add up.
        height: height above the ground at which they are open [m], 0 or more.
        air: the air over the site.

    Raises:
        PartError: a value out of its range.
    """
    area = whole_effective_area(canopies)
    if area is None:
        return None
    speed = descent_rate(mass, area, air.density_and_sound(0.0)[0])
    first = descent_rate(mass, area, air.density_and_sound(height)[0])
    time = descent_time(mass, area, height, air)
    return Descent(mass, area, height, speed, first, time, touchdown_energy(mass, speed))


def touchdown_energy(mass: float, speed: float) -> float:
    """Energy of a mass that comes down at a speed [J].

    Args:
        mass: mass [g]: everything, or the heaviest section by itself.
        speed: its speed at the ground [m/s].
    """
    return 0.5 * mass / 1000.0 * speed**2


def diameter_for(mass: float, speed: float, drag_coefficient: float, density: float) -> float:
    """Diameter of the canopy for a wanted descent rate [mm], of the area that the coefficient refers to.

    With a coefficient on the constructed area, such as 0.75 of a flat sheet, it is the diameter as laid flat.

    Args:
        mass: everything that comes down [g], above 0.
        speed: wanted descent rate at the ground [m/s], above 0.
        drag_coefficient: drag coefficient of the canopy [-], above 0.
        density: density of the air at the ground [kg/m3], above 0.

    Raises:
        PartError: a value that is not above 0.
    """
    _above_zero(
        mass=(mass, "g"), speed=(speed, "m/s"), drag_coefficient=(drag_coefficient, ""), density=(density, "kg/m3")
    )
    return 1000.0 * math.sqrt(8.0 * mass / 1000.0 * GRAVITY / (math.pi * density * drag_coefficient * speed**2))


def coefficient_for(mass: float, speed: float, diameter: float, density: float) -> float:
    """Drag coefficient that a canopy must have had to come down at a measured speed [-].

    Args:
        mass: everything that came down [g], above 0.
        speed: its speed at the ground [m/s], above 0.
        diameter: diameter that the coefficient is to refer to [mm], above 0.
        density: density of the air [kg/m3], above 0.

    Raises:
        PartError: a value that is not above 0.
    """
    _above_zero(mass=(mass, "g"), speed=(speed, "m/s"), diameter=(diameter, "mm"), density=(density, "kg/m3"))
    return 8.0 * mass / 1000.0 * GRAVITY / (math.pi * density * (diameter / 1000.0) ** 2 * speed**2)


def _above_zero(**values: tuple[float, str]) -> None:
    for field, (value, unit) in values.items():
        if not 0.0 < value < math.inf:
            raise PartError(f"{field}: must be above 0 {unit}".rstrip() + f", got {value:g} {unit}".rstrip())
