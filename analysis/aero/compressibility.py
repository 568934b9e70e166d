"""Slope of fins at speed, below the transonic range.

Source: the Prandtl-Glauert rule in Diederich's slope of finite wings, which is equation 57 of the 1966 report at low
speed: with beta = sqrt(1 - M^2) the slope is

    2 pi AR (A_fin / A) / (2 + sqrt(4 + (beta AR / cos Gamma)^2)),

as J. S. Barrowman, The Practical Calculation of the Aerodynamic Characteristics of Slender Finned Vehicles, 1967, has
it (from memory). It takes the sweep of the mid-chord line as drawn. Stretched with the whole planform, as the rule is
derived (Goethert's form), tan Gamma grows by 1 / beta: straight fins get the same, swept ones less, which a note says.
Slender-body theory has the body's own force, and what body and fins give each other, the same at any Mach number.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ...parts.errors import PartError
from .normal_force import NormalForce
from .planform import Planform

METHOD = "Prandtl-Glauert rule in Diederich's slope of finite wings"

HIGHEST_MACH = 0.8
"""Mach number up to which the rule is used (common practice) [-]."""

BEYOND = (
    "outside the method, not stated: above Mach 0.8 shocks form on fins and body, and slope and centre of pressure "
    "move in ways that no simple rule gives"
)
"""Note of a factor that is not stated for its Mach number."""


SWEPT = "the rule with its sweep as drawn; stretched with the whole planform, the fins' slope is less by"
"""Start of the note of fins whose sweep makes a difference."""

_NOTED = 0.02


@dataclass(frozen=True, slots=True)
class SlopeAtMach:
    """What speed does to the slope of a fin.

    Attributes:
        mach: Mach number [-].
        factor: on the slope at low speed [-]; None where the method does not state it.
        notes: what limits it here.
    """

    mach: float
    factor: float | None
    notes: tuple[str, ...] = ()


def within(mach: float) -> bool:
    """Whether the rule states anything at a Mach number [-].

    Raises:
        PartError: a Mach number below 0 or none at all.
    """
    if not 0.0 <= mach < math.inf:
        raise PartError(f"mach: must be 0 or more, got {mach:g}")
    return mach <= HIGHEST_MACH


def slope_factor(fin: Planform, mach: float) -> SlopeAtMach:
    """Factor on the slope of a fin at a Mach number.

    Args:
        fin: planform of one.
        mach: Mach number of the flight [-], from 0; above 0.8 nothing is stated.

    Raises:
        PartError: a Mach number below 0 or none at all.
    """
    if not within(mach):
        return SlopeAtMach(mach, None, (BEYOND,))
    straight, beta_squared = (fin.semi_span**2 / fin.area) ** 2, 1.0 - mach**2
    sweep = fin.mid_chord_slope**2
    still, drawn, stretched = (
        1.0 + math.sqrt(1.0 + straight * term)
        for term in (1.0 + sweep, beta_squared * (1.0 + sweep), beta_squared + sweep)
    )
    less = 1.0 - drawn / stretched
    notes = (f"{SWEPT} {100.0 * less:.1f} %",) if less > _NOTED else ()
    return SlopeAtMach(mach, still / drawn, notes)


def at_mach(force: NormalForce, fin: Planform, mach: float) -> NormalForce | None:
    """A set of fins at a Mach number; None where the method does not state it.

    Args:
        force: the set at low speed; its station stays, as it does on thin fins below the transonic range.
        fin: planform of one.
        mach: Mach number of the flight [-].

    Raises:
        PartError: a Mach number below 0 or none at all.
    """
    found = slope_factor(fin, mach)
    if found.factor is None:
        return None
    notes = (*force.notes, *found.notes)
    return replace(force, slope=force.slope * found.factor, method=f"{force.method}; {METHOD}", notes=notes)
