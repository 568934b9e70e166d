"""Figures of the air and of what each item adds, as plain data for the summary."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from ..analysis.aero.carry_over import COUNTED, LIFT_WITHIN, STATION_WITHIN
from ..analysis.aero.carry_over import METHOD as CARRY_OVER
from ..analysis.aero.damping import METHOD as SWINGING
from ..analysis.aero.damping import swing
from ..analysis.aero.normal_force import combined
from ..analysis.air_stream import AirStream, with_carry_over
from ..analysis.contributions import Contribution, Contributions
from ..analysis.loading import BURNOUT, LIFTOFF, PREDICTED, Loading
from ..analysis.margin_bands import COUNTED as COUNTED_MASSES
from ..analysis.margin_bands import margin_bands
from ..analysis.motor import Motor
from ..analysis.motor_class import ABOVE, certification_band, impulse_class
from ..analysis.pressure_curve import MACHS, pressure_curve
from ..analysis.through_burn import EVENLY, through_burn
from .design import Design

ANGLES = (0.0, 5.0, 10.0, 15.0)
"""Angles of attack of the table [deg]."""

GROUND_AIR = 1.225
"""Density of the air at sea level in the US Standard Atmosphere, 1976 [kg/m3]."""

COMPARED = (
    f"{COUNTED}. The checks keep to the 1966 report. Of its own, NACA Report 1307 claims the lift within "
    f"{100.0 * LIFT_WITHIN:.0f} per cent and the station within {STATION_WITHIN:g} of the length (looked up)"
)
"""What to make of the second centre of pressure."""


def two_methods(air: AirStream | None) -> dict[str, Any]:
    """The centre of pressure by NACA Report 1307 beside that of the 1966 report, which all checks keep to."""
    if air is None or not air.fins:
        keys = ("cn_alpha_1307_per_rad", "cp_1307_mm", "cp_1307_less_1966_mm", "cp_1307_method", "cp_1307_note")
        return dict.fromkeys(keys)
    first, second = combined(air.forces), combined(with_carry_over(air).forces)
    apart = None if first.station is None or second.station is None else second.station - first.station
    return {
        "cn_alpha_1307_per_rad": second.slope,
        "cp_1307_mm": second.station,
        "cp_1307_less_1966_mm": apart,
        "cp_1307_method": CARRY_OVER,
        "cp_1307_note": COMPARED,
    }


def seen_from_the_side(air: AirStream | None) -> dict[str, Any]:
    """Area of the body without fins from the side, and where its middle lies."""
    return {
        "side_area_mm2": air.side.area if air else None,
        "side_centroid_mm": air.side.centroid if air else None,
    }


def pressure_table(air: AirStream | None, state: Loading) -> dict[str, Any] | None:
    """Normal force, centre of pressure and margin at some angles and Mach numbers; None without a body.

    Args:
        air: what the air meets.
        state: the rocket in the state that the margin is of.
    """
    if air is None:
        return None
    cg, diameter = state.mass.cg[0] if state.mass else None, air.reference_diameter
    found = pressure_curve(air, tuple(math.radians(angle) for angle in ANGLES), MACHS)
    return {
        "method": found.method,
        "motor": state.motor,
        "notes": list(found.notes),
        "points": [
            {
                "mach": point.mach,
                "angle_deg": angle,
                "cn": point.force.coefficient,
                "cn_over_sine_per_rad": point.force.slope,
                "cp_mm": place,
                "margin_cal": None if place is None or cg is None else (place - cg) / diameter,
            }
            for point, angle in zip(found.points, ANGLES * len(MACHS), strict=True)
            for place in (point.force.station,)
        ],
    }


def swinging(loading: Loading, air: AirStream | None) -> dict[str, Any]:
    """How strongly a rocket turns back, how far it flies in one swing, and how fast swings die out.

    The last two are the same at every speed, in air as at sea level.
    """
    figures: dict[str, Any] = {
        "restoring_slope_per_rad": loading.stability.restoring_slope if loading.stability else None,
        "swing_length_m": None,
        "damping_ratio": None,
        "swing_method": f"{SWINGING}, air of {GROUND_AIR:g} kg/m3",
        "swing_notes": [],
    }
    mass = loading.mass
    if air is None or mass is None:
        return figures
    across = (mass.inertia[1][1] + mass.inertia[2][2]) / 2.0
    if not across > 0.0:
        return figures
    found = swing(air.forces, mass.cg[0], across, 1.0, GROUND_AIR, air.reference_diameter)
    return figures | {
        "swing_length_m": found.swing_length,
        "damping_ratio": found.damping_ratio,
        "swing_notes": list(found.notes),
    }


def motor_class(motor: Motor) -> dict[str, Any]:
    """Class of a motor by the impulse of its thrust table, with the band that flyers are certified for."""
    keys = ("impulse_class", "impulse_class_share", "impulse_class_source", "certification_band")
    figures: dict[str, Any] = dict.fromkeys(keys)
    if motor.thrust is None:
        return figures
    found = impulse_class(motor.thrust.total_impulse)
    if found is None:
        return figures | {"impulse_class_source": ABOVE}
    return {
        "impulse_class": found.name,
        "impulse_class_share": found.share(motor.thrust.total_impulse),
        "impulse_class_source": found.source,
        "certification_band": asdict(certification_band(found)),
    }


def burn_figures(loadings: Sequence[Loading]) -> list[dict[str, Any]]:
    """The balance with each motor in steps of propellant burnt."""
    ends = {(one.motor, one.name): one for one in loadings}
    return [
        {
            "motor": liftoff.motor,
            "assumption": EVENLY,
            "steps": [
                {
                    "burnt": step.burnt,
                    "mass_g": step.mass,
                    "cg_mm": step.cg,
                    "margin_mm": step.margin,
                    "margin_cal": step.margin_calibres,
                    "margin_percent_of_length": step.margin_percent,
                }
                for step in through_burn(liftoff, ends[liftoff.motor, BURNOUT])
            ],
        }
        for liftoff in loadings
        if liftoff.name == LIFTOFF
    ]


def contribution_figures(found: Contributions) -> dict[str, Any]:
    """What each item adds, with the totals that the shares add up to, by the parts alone."""
    return {
        "motor": found.motor,
        "mass_g": found.mass,
        "cg_mm": found.cg,
        "cn_alpha_per_rad": found.slope,
        "cp_mm": found.cp,
        "items": [_row(row, found.reference_diameter) for row in found.rows],
    }


def _row(row: Contribution, diameter: float | None) -> dict[str, Any]:
    shift = row.margin_shift
    return {
        "name": row.name,
        "mass_g": row.mass,
        "mass_share": row.mass_share,
        "cg_mm": row.cg,
        "cg_share_mm": row.cg_share,
        "cg_shift_mm": row.cg_shift,
        "cn_alpha_per_rad": row.slope,
        "cn_alpha_share": row.slope_share,
        "cp_share_mm": row.cp_share,
        "cp_shift_mm": row.cp_shift,
        "margin_shift_cal": None if shift is None or diameter is None else shift / diameter,
    }


def margin_band_figures(design: Design) -> dict[str, Any] | None:
    """What estimated masses leave open of the margin; None while it is not stated, or once a balance has told it."""
    state = design.contributions
    found, diameter = margin_bands(design.rocket, state), state.reference_diameter
    if found is None or diameter is None or design.first_flown.basis != PREDICTED:
        return None
    return {
        "motor": state.motor,
        "counted": COUNTED_MASSES,
        "margin_least_cal": found.least / diameter,
        "margin_greatest_cal": found.greatest / diameter,
        "items": [
            {
                "name": row.name,
                "mass_g": row.mass,
                "mass_low_g": row.low,
                "mass_high_g": row.high,
                "share": row.share,
                "margin_gain_at_low_cal": row.at_low / diameter,
                "margin_gain_at_high_cal": row.at_high / diameter,
            }
            for row in found.rows
        ],
    }
