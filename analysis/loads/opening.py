"""The load when the parachute opens: what is assumed, and what the canopy's own formula gives.

Source of the formula: T. W. Knacke, Parachute Recovery Systems Design Manual, NWC TP 6575, 1991 (from memory):
F = C_D S q C_x X1, with the opening force coefficient C_x = 1.7 of a flat circular canopy and X1 = 1, a load so heavy
that it is not slowed while the canopy fills; a light rocket is, so that it errs to the safe side.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass

from ..demands import Demands
from ..flight.deployment import COUNTED
from ..limits import Check
from ..rail_exit import GRAVITY
from .held import Sum, newtons
from .stated import Canopy, StatedLoads

USUAL_FACTORS = (30.0, 50.0)
"""Opening load over the weight that hangs on the parachute [-], usual assumptions (common practice)."""

OPENING_COEFFICIENT = 1.7
"""C_x of a flat circular canopy of solid cloth [-]; conical ones have up to 1.8 (from memory)."""

DELAY_ASSUMED = "the delay that is wanted is assumed, because the motor has none stated"

KNACKE = "T. W. Knacke, NWC TP 6575, 1991, from memory"


@dataclass(frozen=True, slots=True)
class Opening:
    """The load that everything between the parachute and the sections is held to.

    Attributes:
        force: the load [N]: the larger of the two.
        assumed: the stated or usual factor times the weight [N].
        canopy: by the canopy's formula [N]; None where canopy or speed is not stated.
        is_stated: whether the factor was stated.
        found: how it was found.
        usual: the greatest usual factor times the weight [N].
        delay_assumed: whether the speed at deployment is that of a delay that nobody has stated.
    """

    force: float
    assumed: float
    canopy: float | None
    is_stated: bool
    found: Sum
    usual: float = 0.0
    delay_assumed: bool = False

    @property
    def short(self) -> tuple[str, ...]:
        """The load and where it comes from, as one of the inputs of another check."""
        if self.canopy is not None and self.canopy > self.assumed:
            how = "by the canopy's formula"
        else:
            how = "the stated factor" if self.is_stated else f"{USUAL_FACTORS[-1]:g} times the weight (common practice)"
        return (f"opening load {newtons(self.force)}: {how}",)


def canopy_force(canopy: Canopy, speed: float, density: float) -> float:
    """Greatest force of a canopy that opens at a speed [N]: C_D S q C_x, X1 = 1.

    Args:
        canopy: the canopy.
        speed: speed of the air [m/s].
        density: density of the air [kg/m3].
    """
    area = math.pi / 4.0 * (canopy.diameter / 1000.0) ** 2
    return canopy.drag_coefficient * area * 0.5 * density * speed**2 * OPENING_COEFFICIENT


def opening_load(demands: Demands, stated: StatedLoads, parachutes: Collection[str] = ()) -> Opening:
    """The load as the parachute opens, on the rocket after burnout.

    Args:
        demands: what the flight asks.
        stated: the factor, where one is stated, and the canopies, which all open at once.
        parachutes: names of all parachutes; the formula is left out where the canopy of one is not stated.
    """
    weight = demands.burnout_mass / 1000.0 * GRAVITY
    factor = USUAL_FACTORS[-1] if stated.opening_factor is None else stated.opening_factor
    assumed = factor * weight
    inputs = [f"{demands.burnout_mass:.0f} g after burnout"]
    if stated.opening_factor is None:
        rows = ", ".join(f"{one:g} times the weight: {newtons(one * weight)}" for one in USUAL_FACTORS)
        inputs.append(f"no factor stated; usual are {rows} (common practice); the larger counts")
    else:
        inputs.append(f"{factor:g} times the weight, as stated: {newtons(assumed)}")
    canopy: float | None = None
    if stated.canopies and stated.canopies.keys() >= set(parachutes) and demands.deployment_speed is not None:
        speed, density = demands.deployment_speed, demands.deployment_density
        canopy = sum(canopy_force(one, speed, density) for one in stated.canopies.values())
        inputs += [
            f"{name}: diameter {one.diameter:.0f} mm, C_D {one.drag_coefficient:g}"
            for name, one in stated.canopies.items()
        ]
        inputs += [
            f"{speed:.1f} m/s at deployment in air of {density:.3f} kg/m3",
            *((DELAY_ASSUMED,) if demands.deployment_assumed else ()),
            f"C_x {OPENING_COEFFICIENT:g} of a flat circular canopy; conical ones up to 1.8 (from memory)",
            "X1 1, a load that is not slowed while the canopy fills",
            f"canopy's formula: {newtons(canopy)}",
        ]
    formula = "factor x m g; C_D S q C_x X1; the larger counts"
    found = Sum(formula, tuple(inputs), KNACKE if canopy is not None else "common practice")
    usual = USUAL_FACTORS[-1] * weight
    is_stated, guessed = stated.opening_factor is not None, canopy is not None and demands.deployment_assumed
    return Opening(max(assumed, canopy or 0.0), assumed, canopy, is_stated, found, usual, guessed)


def opening_check(name: str, opening: Opening) -> Check:
    """Whether what is assumed covers what the canopy can do.

    Args:
        name: name of the check.
        opening: the load.
    """
    limit = "the canopy's formula gives no more than is assumed; the larger is what parts are held to"
    source = "common practice: 30 to 50 times the weight; " + KNACKE
    inputs, formula = opening.found.inputs, opening.found.formula
    how = "as stated" if opening.is_stated else "as usual"
    if opening.canopy is None:
        note = (
            f"taken as {newtons(opening.assumed)}, {how}; enter the diameter and drag coefficient of the parachute, "
            f"and a motor with its delay, for the canopy's own formula; {COUNTED}"
        )
        return Check(name, "not-stated", f"{newtons(opening.assumed)} assumed", limit, source, note, formula, inputs)
    value = f"{newtons(opening.canopy)} by the canopy against {newtons(opening.assumed)} assumed, {how}"
    if opening.canopy > opening.assumed:
        fast = opening.canopy > opening.usual
        words = ["it comes out fast: look at the delay and at the wind"] if fast else []
        words.append("parts are held to what the canopy gives")
        words += [DELAY_ASSUMED] if opening.delay_assumed else []
        words += [COUNTED] if fast or opening.delay_assumed else []
        note = "; ".join(words)
        return Check(name, "warn", value, limit, source, note, formula, inputs)
    if opening.delay_assumed:
        note = f"{DELAY_ASSUMED}: enter the motor's delays; {COUNTED}"
        return Check(name, "not-stated", value, limit, source, note, formula, inputs)
    return Check(name, "pass", value, limit, source, "", formula, inputs)
