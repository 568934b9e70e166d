"""Divergence of fins: a fin that bends or twists into the air that bends it.

A fin swept back turns its outer part out of the wind as it bends, and does not diverge; one swept forward turns into
it (R. L. Bisplinghoff, H. Ashley, R. L. Halfman, Aeroelasticity, 1955, chapter 8, from memory). What is not swept can
diverge by twisting. For a uniform plate clamped at its root, with the lift at the quarter chord and the axis of twist
in the middle of the chord (the same book, from memory), the dynamic pressure is

    q = (pi / (2 s))^2 G J / (c e k),  J = c t^3 / 3,  e = c / 4,  k = 2 pi A / (2 + sqrt(4 + A^2))

with the mean chord c = S / s, and for k Diederich's slope of a wing without sweep, which is equation 57 of the report
of 1966, at the aspect ratio A = 2 s^2 / S of the fin and its image in the body.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from ...parts.strengths import Strength, strength
from ..aero.planform import planform
from ..demands import Demands
from ..limits import Check, Limit
from ..rocket import FinsInPlace, Rocket
from .flutter import Panel, named_sets, panel_of, shear_moduli

SOURCE = "R. L. Bisplinghoff, H. Ashley, R. L. Halfman, Aeroelasticity, 1955 (from memory)"

FORMULA = "q = (pi / (2 s))^2 G (c t^3 / 3) / (c (c / 4) k), k = 2 pi A / (2 + sqrt(4 + A^2)), V = sqrt(2 q / density)"

SWEPT_BACK = math.radians(10.0)
"""Sweep of the middles of the chords from which a fin is taken not to diverge (common practice) [rad]."""

_STRAIGHT = 1e-9
_HEAT_RATIO = 1.4
_MPA = 1e6


def divergence_pressure(panel: Panel, shear_modulus: float) -> float:
    """Dynamic pressure at which the fin, not swept, diverges by twisting [MPa].

    Args:
        panel: the fin; its mean chord stands for all of it.
        shear_modulus: shear modulus of its sheet [MPa].
    """
    chord = panel.area / panel.semi_span
    twist = shear_modulus * chord * panel.thickness**3 / 3.0
    return (math.pi / (2.0 * panel.semi_span)) ** 2 * twist / (chord * chord / 4.0 * lift_slope(panel))


def lift_slope(panel: Panel) -> float:
    """Slope of the lift of a fin without sweep, on its own area [1/rad]."""
    aspect = 2.0 * panel.aspect_ratio
    return math.tau * aspect / (2.0 + math.sqrt(4.0 + aspect**2))


def divergence_speed(panel: Panel, shear_modulus: float, density: float) -> float:
    """Speed at that dynamic pressure [m/s].

    Args:
        panel: the fin.
        shear_modulus: shear modulus of its sheet [MPa].
        density: density of the air [kg/m3].
    """
    return math.sqrt(2.0 * divergence_pressure(panel, shear_modulus) * _MPA / density)


def divergence_checks(rocket: Rocket, demands: Demands, rules: Mapping[str, Limit]) -> Iterator[Check]:
    """For each set of fins whether its sweep keeps it from diverging, and else at which speed it would.

    Args:
        rocket: the parts in place.
        demands: the greatest values of the flight.
        rules: limits by name; `divergence_margin` is used.
    """
    materials = {item.name: item.part.material for item in rocket.items if item.part is not None}
    limit = rules["divergence_margin"]
    for name, fins in named_sets(rocket):
        called = f"{name}: divergence, {demands.motor}"
        sweep = math.atan(planform(fins.planform).mid_chord_slope)
        words = f"swept {'forward' if sweep < -_STRAIGHT else 'back'} by {math.degrees(abs(sweep)):.1f} deg"
        if sweep >= SWEPT_BACK:
            yield Check(
                called,
                "pass",
                words,
                f"swept back by {math.degrees(SWEPT_BACK):g} deg or more, along the middles of its chords",
                SOURCE,
                "a fin that is swept back turns out of the wind as it bends",
                "sweep of the straight line nearest to the middles of the chords",
                (f"sweep {math.degrees(sweep):.2f} deg, from the outline",),
            )
        else:
            yield _unswept(called, words, sweep, fins, strength(materials[fins.name]), demands, limit)


def _unswept(
    name: str, words: str, sweep: float, fins: FinsInPlace, row: Strength | None, demands: Demands, limit: Limit
) -> Check:
    source = f"{limit.source}; {SOURCE}"
    moduli = shear_moduli(row)
    if row is None or moduli is None:
        note = f"enter `material` for {fins.name}, one of the table of strengths"
        return Check(name, "not-stated", None, limit.words(), source, note, FORMULA)
    panel = panel_of(fins)
    density = _HEAT_RATIO * demands.pressure / demands.sound**2
    speed = divergence_speed(panel, moduli[0], density)
    margin = speed / demands.speed if demands.speed > 0.0 else math.inf
    found = limit.status(margin)
    forward = sweep < -_STRAIGHT
    note = (
        "swept forward it turns into the wind as it bends and diverges at less speed than this: sweep it back"
        if forward
        else "hardly swept: this is its speed without any sweep"
    )
    return Check(
        name,
        "warn" if forward and found == "pass" else found,
        f"{words}; without sweep {speed:.0f} m/s, {margin:.2f} times {demands.speed:.0f} m/s",
        limit.words(),
        source,
        note,
        FORMULA,
        (
            f"mean chord c {panel.area / panel.semi_span:.2f} mm, semi-span s {panel.semi_span:.2f} mm, "
            f"thickness t {panel.thickness:.2f} mm, slope k {lift_slope(panel):.3f} per rad",
            f"shear modulus G of {row.name} {moduli[0]:g} MPa, the low one ({row.mark})",
            f"density of the air {density:.4f} kg/m3, 1.4 p / a^2 at {demands.speed_height:.0f} m",
        ),
    )
