"""Figures of the rail's exit as plain data: speeds, the wind there, and how fast the rocket swings."""

from __future__ import annotations

import math
from typing import Any

from ..analysis.aero.damping import swing
from ..analysis.leaving_the_rail import AIR, HIGH_DRAG, LEFT_OUT, Leaving
from ..analysis.loading import LIFTOFF
from ..analysis.mass import MassProperties
from ..analysis.rail_exit import METHOD, needed_ratio
from ..analysis.wind_at_exit import wind_at_exit, wind_for_margin
from .design import Design

USUAL_SPEED = 15.0
"""Speed that thrust over weight is told for [m/s] (from memory: the usual least speed at the rail's exit)."""

ONE_CALIBRE = 1.0
"""Margin whose wind is told [calibres] (common practice: the least)."""

TIMES_THE_WIND = 4.0
"""How many times the wind a rocket leaves the rail at, by another rule [-] (from memory)."""

NO_WIND = "needs a body, fins and the mass of every item"
"""Why nothing is said about the wind at the rail's exit where the speed is known."""

AT_BURNOUT = "swings a second and damping at burnout: the speed there is not reckoned"
"""What is not told of the swings."""


def rail_figures(design: Design) -> list[dict[str, Any]]:
    """The rocket with each motor on each rail; nothing without a motor."""
    masses = {one.motor: one.mass for one in design.loadings if one.name == LIFTOFF}
    return [_leaving(one) | _wind(design, one, masses.get(one.motor)) for one in design.leaving]


def _leaving(one: Leaving) -> dict[str, Any]:
    speed = one.forward.speed if one.forward else None
    on_it = one.travel is not None and one.travel > 0.0
    return {
        "motor": one.motor,
        "rail_length_mm": one.rail.length,
        "stand_off_mm": one.rail.stand_off,
        "rail_stated": one.rail.is_stated,
        "mass_g": one.mass,
        "forward_button_mm": one.button,
        "guided_travel_mm": one.travel,
        "exit_speed_m_per_s": speed,
        "exit_time_s": one.forward.time if one.forward else None,
        "aft_button_travel_mm": one.aft.travel if one.aft else None,
        "aft_button_speed_m_per_s": one.aft.speed if one.aft else None,
        "mean_thrust_to_weight": one.mean_ratio,
        "first_thrust_to_weight": one.first_ratio,
        "thrust_to_weight_for_15_m_per_s": needed_ratio(USUAL_SPEED, one.travel or 0.0) if on_it else None,
        "quarter_of_exit_speed_m_per_s": None if speed is None else speed / TIMES_THE_WIND,
        "drag_share": one.drag_share,
        "drag_coefficient_of_share": HIGH_DRAG,
        "not_stated": one.reason,
        "method": METHOD,
        "notes": list(LEFT_OUT),
    }


def _wind(design: Design, one: Leaving, mass: MassProperties | None) -> dict[str, Any]:
    """The margin at the exit in rising winds, and how fast the rocket swings there."""
    keys = ("wind_for_one_calibre_m_per_s", "wind_stated_to_m_per_s", "swings_per_s", "damping_ratio")
    figures: dict[str, Any] = dict.fromkeys(keys) | {
        "winds": [],
        "wind_not_stated": one.reason or NO_WIND,
        "wind_method": None,
        "wind_notes": [],
        "swing_notes": [],
    }
    air = design.air
    if one.forward is None or not one.forward.speed > 0.0 or air is None or mass is None or not air.fins:
        return figures
    speed, cg, across = one.forward.speed, mass.cg[0], (mass.inertia[1][1] + mass.inertia[2][2]) / 2.0
    found = wind_at_exit(air, cg, speed)
    figures |= {
        "winds": [
            {
                "wind_m_per_s": row.wind,
                "angle_deg": math.degrees(row.angle),
                "cp_mm": row.station,
                "margin_cal": row.margin_calibres,
                "notes": list(row.notes),
            }
            for row in found.rows
        ],
        "wind_for_one_calibre_m_per_s": wind_for_margin(air, cg, speed, ONE_CALIBRE),
        "wind_stated_to_m_per_s": found.stated_to,
        "wind_not_stated": None,
        "wind_method": found.method,
        "wind_notes": list(found.notes),
    }
    if across > 0.0:
        swings = swing(air.forces, cg, across, speed, AIR, air.reference_diameter)
        figures |= {
            "swings_per_s": swings.frequency,
            "damping_ratio": swings.damping_ratio,
            "swing_notes": [*swings.notes, AT_BURNOUT],
        }
    return figures
