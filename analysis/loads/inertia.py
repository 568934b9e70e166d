"""Bulkheads and rings while the motor burns: what lies on them and hangs on them presses them aft, an even load."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from ...parts.kinds import Bulkhead, MotorMount
from ..demands import Demands
from ..joints import Section
from ..limits import Check, Limit
from ..recovery import Recovery
from ..rocket import Item, Rocket
from .anchors import Seat, seat_of
from .held import STATICS, TEXTBOOK, Sum, held, not_stated
from .plates import POISSON, even_strip, round_plate
from .sharing import Web, web


def inertia_checks(
    rocket: Rocket, recovery: Recovery, demands: Demands, rules: Mapping[str, Limit], after: str = ""
) -> Iterator[Check]:
    """Each bulkhead, and each ring on which something lies or hangs, at the greatest acceleration.

    Args:
        rocket: the parts in place, without a motor.
        recovery: joints and anchors.
        demands: what the flight asks.
        rules: limits by name.
        after: what every name ends in.
    """
    whole = web(rocket, recovery, demands.motor_liftoff_mass, opened=False)
    for item in rocket.items:
        seat = seat_of(item, None)
        if seat is None or isinstance(item.part, MotorMount):
            # A mount stands on the motor: what it carries is the thrust.
            continue
        carried = whole.alone(item.name, whole=True)[0]
        if isinstance(item.part, Bulkhead) or len(carried) > 1:
            yield _check(item, seat, whole, carried, demands, rules["structure_margin"], after)


def _check(item: Item, seat: Seat, whole: Web, carried: Section, demands: Demands, limit: Limit, after: str) -> Check:
    mass, missing = whole.mass(carried), whole.missing(carried)
    load = mass / 1000.0 * demands.acceleration
    name = f"{item.name} bent in the burn{after}"
    of_each = ", all on one of them" if len(item.stations) > 1 else ""
    inputs: tuple[str, ...] = (
        f"{mass:.0f} g: {', '.join(carried)}{of_each}",
        f"{demands.acceleration:.0f} m/s2 at most, as felt",
    )
    if seat.bore:
        formula = "strips of ring from bore to rim under an even load p = F / A, F = m a: 0.75 p L2 / t2 supported"
        source = STATICS
    else:
        formula = "round plate under an even load F / pi a2, F = m a: 6 M / t2, rim supported and clamped"
        source = TEXTBOOK
    row = seat.strength
    if row is None or row.bending is None or missing or load <= 0.0:
        note = f"enter the mass of {missing}" if missing else f"enter the `material` of {item.name}"
        return not_stated(name, load, limit, Sum(formula, inputs, source), note)
    if seat.bore:
        web_width, area = seat.radius - seat.bore, math.pi * (seat.radius**2 - seat.bore**2)
        bent = even_strip(load / area, web_width, seat.thicknesses[0])
        sizes: tuple[str, ...] = (f"web {web_width:.1f} mm, thickness {seat.thicknesses[0]:g} mm",)
    else:
        bent = round_plate(load, seat.radius, seat.radius, seat.thicknesses)
        sizes = (
            f"radius {seat.radius:.1f} mm, thickness {' and '.join(f'{t:g}' for t in seat.thicknesses)} mm",
            f"Poisson's ratio {POISSON:g} (common practice)",
        )
    inputs = (
        f"stress {bent.supported:.2f} MPa supported, which counts, {bent.clamped:.2f} MPa clamped",
        *inputs,
        *sizes,
        f"{seat.material}: {row.bending:g} MPa in bending ({row.source}; {row.mark})",
    )
    found = Sum(formula, inputs, source)
    return held(name, load, load * row.bending / bent.supported, limit, found, "take thicker plywood")
