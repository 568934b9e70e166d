"""Round plates and strips of plate under a load: thin elastic plates in closed form.

Source: S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, sections 15 to 17 (from memory): a round
plate with a load spread evenly over a circle in its middle. With that circle as large as the plate they are the
textbook sums for an even pressure. Valid for a plate at least about four times as wide as thick that bends by less
than half of its thickness.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

POISSON = 0.3
"""Poisson's ratio taken for every sheet [-] (common practice); it changes a stress by a few per cent."""


@dataclass(frozen=True, slots=True)
class Bent:
    """What a load does to a plate.

    Attributes:
        clamped: greatest stress where the rim cannot turn [MPa].
        supported: greatest stress where the rim turns freely [MPa]; a glued one lies between the two.
    """

    clamped: float
    supported: float


def round_plate(load: float, over: float, radius: float, thicknesses: tuple[float, ...]) -> Bent:
    """Greatest bending stress of a round plate under a load in its middle.

    Moments per length, with P the load, c the radius that it is spread over and a that of the plate. With a free rim
    P / 4 pi ((1 + nu) ln(a / c) + 1 - (1 - nu) c2 / 4 a2) in the middle; with a clamped one
    P / 4 pi (1 + nu) (ln(a / c) + c2 / 4 a2) in the middle and P / 4 pi (1 - c2 / 2 a2) at the rim. Stress is 6 M / t2.
    Discs on top of each other share the moment as if they slid: the thickest has 6 M t / (sum of t3), the same for one.

    Args:
        load: the load [N], above 0.
        over: radius that it is spread over [mm], above 0; at most that of the plate counts.
        radius: radius of the plate to its support [mm].
        thicknesses: thickness of each disc [mm].
    """
    c, a = min(over, radius), radius
    share = (c / a) ** 2
    each = load / (4.0 * math.pi)
    free = each * ((1.0 + POISSON) * math.log(a / c) + 1.0 - (1.0 - POISSON) * share / 4.0)
    middle = each * (1.0 + POISSON) * (math.log(a / c) + share / 4.0)
    rim = each * (1.0 - share / 2.0)
    modulus = sum(t**3 for t in thicknesses) / (6.0 * max(thicknesses))
    return Bent(max(middle, rim) / modulus, free / modulus)


def round_plate_deflection(load: float, over: float, radius: float, thickness: float, elastic: float) -> Bent:
    """How far the middle of a round plate gives under a load there [mm], rim clamped and rim free.

    Args:
        load: the load [N].
        over: radius that it is spread over [mm], above 0; at most that of the plate counts.
        radius: radius of the plate to its support [mm].
        thickness: its thickness [mm].
        elastic: modulus of elasticity [MPa].
    """
    c, a, nu = min(over, radius), radius, POISSON
    stiffness = elastic * thickness**3 / (12.0 * (1.0 - nu**2))
    part = load / (64.0 * math.pi * stiffness)
    log = math.log(a / c)
    clamped = part * (4.0 * a**2 - 4.0 * c**2 * log - 3.0 * c**2)
    free = 4.0 * (3.0 + nu) / (1.0 + nu) * a**2 - 4.0 * c**2 * log - (7.0 + 3.0 * nu) / (1.0 + nu) * c**2
    return Bent(clamped, part * free)


def strip(load: float, span: float, width: float, thickness: float) -> Bent:
    """Greatest bending stress of a strip with a load in the middle of its span: 6 M / w t2, M = P L / 8 or P L / 4.

    Args:
        load: the load [N].
        span: free length between its supports [mm].
        width: its width [mm].
        thickness: its thickness [mm].
    """
    modulus = width * thickness**2 / 6.0
    return Bent(load * span / 8.0 / modulus, load * span / 4.0 / modulus)


def even_strip(pressure: float, span: float, thickness: float) -> Bent:
    """Greatest bending stress of a strip under an even pressure: 6 M / t2, M = p L2 / 12 or p L2 / 8 on each width.

    Args:
        pressure: the pressure [MPa].
        span: free length between its supports [mm].
        thickness: its thickness [mm].
    """
    return Bent(pressure * span**2 / 2.0 / thickness**2, 0.75 * pressure * span**2 / thickness**2)


def plug_shear(load: float, diameter: float, thickness: float) -> float:
    """Shear stress on a cylinder through a sheet, or on a glue line round it: P / (pi d t) [MPa] (statics).

    Args:
        load: the load [N].
        diameter: diameter of the cylinder [mm].
        thickness: its length [mm].
    """
    return load / (math.pi * diameter * thickness)
