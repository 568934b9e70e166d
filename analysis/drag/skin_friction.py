"""Mean skin friction of a plate along the stream: laminar, in transition, turbulent, and rough.

Used for drag is the turbulent plate from the very front, or the rough one where that is more. Joints, vents, tape,
spiral seams, print lines and square edges of fins trip the layer within the first centimetres, and nobody can count on
a laminar run in the field. Laminar and transitional friction are here to show what that takes: a bound from below.

Sources, with Re the Reynolds number by the length l of the plate and k the height of sand grains:

    laminar       1.328 / sqrt(Re)                             Blasius; Cengel and Cimbala, Fluid Mechanics, table 10-4
    turbulent     0.455 / (lg Re)^2.58                         Prandtl and Schlichting; from memory
    transition    turbulent - 1700 / Re, turning at 500,000    Schlichting, Boundary-Layer Theory; from memory
    rough         (1.89 + 1.62 lg(l / k))^-2.5                 Schlichting, the same; from memory
"""

from __future__ import annotations

import math
from types import MappingProxyType

LOWEST_REYNOLDS = 1.0e4
"""Below this Reynolds number friction is taken as at it [-]: the force is nothing there, and no law is meant for it."""

TURNS = 5.0e5
"""Reynolds number up to which the layer on a smooth plate may stay laminar [-] (from memory)."""

ROUGHNESSES = MappingProxyType(
    {
        "polished": 1.0,
        "paint sprayed at its best and rubbed down": 5.0,
        "paint sprayed in series": 20.0,
        "bare kraft tube, brushed paint": 50.0,
        "print lines, not filled": 100.0,
        "raw wood": 500.0,
    }
)
"""Heights of sand grains that rub as much as a surface does [micrometres]: S. F. Hoerner, Fluid-Dynamic Drag, chapter 5
(from memory), tube, brush and print lines by common practice."""

USUAL_ROUGHNESS = ROUGHNESSES["paint sprayed in series"]
"""Roughness of a rocket that is painted with care out of a can [micrometres] (from memory)."""

_SMOOTH = 1e-6
"""Grains of no more than a nanometre reach out of no layer [mm]."""


def laminar(reynolds: float) -> float:
    """Friction coefficient of a laminar plate [-] at a Reynolds number above 0; range: up to 500,000."""
    return 1.328 / math.sqrt(reynolds)


def turbulent(reynolds: float) -> float:
    """Friction coefficient of a smooth plate, turbulent from its front [-]; range: 500,000 to 1,000,000,000.

    Args:
        reynolds: Reynolds number by the plate's length [-], above 1.
    """
    return float(0.455 / math.log10(reynolds) ** 2.58)


def transition(reynolds: float) -> float:
    """Friction coefficient of a smooth plate in clean air, laminar up to 500,000 [-]; never below the laminar one."""
    return max(laminar(reynolds), turbulent(reynolds) - 1700.0 / reynolds)


def rough(length: float, height: float) -> float:
    """Friction coefficient of a fully rough plate [-], which no longer falls with speed.

    Args:
        length: length of the plate [mm], above 0.
        height: height of the grains [mm]; 0 for a smooth plate, which has no such limit.
    """
    if height <= _SMOOTH:
        return 0.0
    # A plate shorter than ten grains is none.
    return float((1.89 + 1.62 * math.log10(max(length / height, 10.0))) ** -2.5)


def is_rough(reynolds: float, length: float, height: float) -> bool:
    """Whether the grains set the friction, and not the Reynolds number [-]; lengths in [mm]."""
    return rough(length, height) > turbulent(max(reynolds, LOWEST_REYNOLDS))
