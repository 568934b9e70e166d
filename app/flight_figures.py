"""Figures of a design's flights as plain data, units in the names of the keys; what is not stated is None."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from ..analysis.drag.term import DragTerm
from ..analysis.flight.bands import FlightBands
from ..analysis.flight.deployment import COUNTED, Deployment, Window
from ..analysis.flight.descent import Descent
from ..analysis.flight.drift import DriftRow
from ..analysis.flight.events import Event, Greatest
from ..analysis.flight.result import Flight, NotFlown
from ..analysis.rail_exit import FIRST_MOMENT, GRAVITY, first_push, thrust_to_weight

_EVENTS = ("burnout", "apogee", "forward_button", "aft_button")
_GREATEST = {
    "greatest_speed": "m_per_s",
    "greatest_mach": "",
    "greatest_acceleration": "m_per_s2",
    "greatest_deceleration": "m_per_s2",
    "greatest_dynamic_pressure": "pa",
}
"""Greatest values of a flight by their field, with their unit."""


def flight_figures(flights: Mapping[str, Flight | NotFlown]) -> list[dict[str, Any]]:
    """One for each motor, with the same keys whether it flies or not.

    Args:
        flights: the flights by the motor's name.
    """
    return [_figures(motor, flown) for motor, flown in flights.items()]


def _figures(motor: str, flown: Flight | NotFlown) -> dict[str, Any]:
    flight = flown if isinstance(flown, Flight) else None
    vehicle = flight.vehicle if flight else None
    drag = vehicle.drag if vehicle else None
    figures: dict[str, Any] = {
        "motor": motor,
        "not_stated": flown.reason if isinstance(flown, NotFlown) else None,
        "liftoff_mass_g": vehicle.mass if vehicle else None,
        "burnout_mass_g": vehicle.mass - vehicle.propellant if vehicle else None,
        "mean_thrust_to_weight": thrust_to_weight(vehicle.thrust.mean, vehicle.mass) if vehicle else None,
        "first_thrust_to_weight": thrust_to_weight(first_push(vehicle.thrust), vehicle.mass) if vehicle else None,
        "first_moment_s": FIRST_MOMENT,
        "forward_button_travel_mm": vehicle.travel_forward if vehicle else None,
        "aft_button_travel_mm": vehicle.travel_aft if vehicle else None,
    }
    events = (flight.burnout, flight.apogee, flight.exit, flight.aft_exit) if flight else (None,) * len(_EVENTS)
    for word, event in zip(_EVENTS, events, strict=True):
        figures |= _event(word, event)
    for field, unit in _GREATEST.items():
        figures |= _greatest(field, unit, getattr(flight, field) if flight else None)
    for word in ("acceleration", "deceleration"):
        value = figures[f"greatest_{word}_m_per_s2"]
        figures[f"greatest_{word}_g"] = None if value is None else value / GRAVITY
    launch = flight.launch if flight else None
    return figures | {
        "coast_time_s": flight.coast_time if flight else None,
        # A charge that is to wait for a time below 0 does not exist.
        "delay_wanted_s": flight.coast_time if flight and flight.coast_time >= 0.0 else None,
        "delay_counts": COUNTED,
        "events": [_moment(event) for event in flight.events] if flight else [],
        "reference_area_mm2": drag.reference_area if drag else None,
        "drag_source": drag.source if drag else None,
        "drag_notes": list(drag.notes) if drag else [],
        "launch_altitude_m": launch.altitude if launch else None,
        "launch_temperature_k": launch.temperature if launch else None,
        "launch_tilt_deg": math.degrees(launch.tilt) if launch else None,
        "method": flight.method if flight else None,
        "notes": list(flight.notes) if flight else [],
    }


def _event(word: str, event: Event | None) -> dict[str, float | None]:
    return {
        f"{word}_time_s": event.time if event else None,
        f"{word}_height_m": event.height if event else None,
        f"{word}_speed_m_per_s": event.speed if event else None,
    }


def _greatest(word: str, unit: str, found: Greatest | None) -> dict[str, float | None]:
    return {
        "_".join(filter(None, (word, unit))): found.value if found else None,
        f"{word}_time_s": found.time if found else None,
        f"{word}_height_m": found.height if found else None,
    }


def _moment(event: Event) -> dict[str, Any]:
    return {"name": event.name, "time_s": event.time, "height_m": event.height, "speed_m_per_s": event.speed}


def delay_figures(
    motor: str, found: Sequence[Deployment], stated: Sequence[float] = (), window: Window | None = None
) -> dict[str, Any]:
    """Delays of a motor and what the parachute meets at each.

    Args:
        motor: name of the motor.
        found: the delays.
        stated: those that the motor is to be had with [s].
        window: delays that keep the speed within a limit.
    """
    return {
        "motor": motor,
        "counts": COUNTED,
        "window": window.words if window else None,
        "rows": [
            {
                "delay_s": one.nominal.delay,
                "stated": one.nominal.delay in stated,
                "time_s": one.nominal.time,
                "height_m": one.nominal.height,
                "speed_m_per_s": one.nominal.speed,
                "rising": one.nominal.rising,
                "on_the_ground": one.nominal.on_the_ground,
                "tolerance_s": one.tolerance.seconds,
                "tolerance_source": one.tolerance.mark,
                "fastest_m_per_s": one.fastest.speed,
                "lowest_m": one.lowest.height,
            }
            for one in found
        ],
    }


def descent_figures(motor: str, found: Descent | None, missing: str | None = None) -> dict[str, Any]:
    """The way down under the parachutes.

    Args:
        motor: name of the motor.
        found: the descent; None where it is not stated.
        missing: what is missing then.
    """
    return {
        "motor": motor,
        "not_stated": None if found else missing,
        "mass_g": found.mass if found else None,
        "drag_area_m2": found.effective_area if found else None,
        "height_m": found.height if found else None,
        "first_speed_m_per_s": found.first_speed if found else None,
        "speed_m_per_s": found.speed if found else None,
        "time_s": found.time if found else None,
        "energy_j": found.energy if found else None,
    }


def drift_figures(motor: str, found: Sequence[DriftRow]) -> dict[str, Any]:
    """Drift in each wind.

    Args:
        motor: name of the motor.
        found: a row for each wind.
    """
    return {
        "motor": motor,
        "rows": [
            {
                "wind_m_per_s": one.wind,
                "under_parachute_m": one.under_parachute,
                "before_m": one.before,
                "radius_m": one.radius,
            }
            for one in found
        ],
    }


def band_figures(motor: str, found: FlightBands) -> dict[str, Any]:
    """What the spread of mass, drag and thrust leaves open.

    Args:
        motor: name of the motor.
        found: the bands.
    """
    return {
        "motor": motor,
        "notes": list(found.notes),
        "rows": [
            {
                "quantity": row.quantity,
                "unit": row.unit,
                "value": row.value,
                "least": row.least,
                "greatest": row.greatest,
                "effects": [{"cause": one.cause, "at_low": one.at_low, "at_high": one.at_high} for one in row.effects],
            }
            for row in found.rows
        ],
    }


def drag_figures(motor: str, speed: float, burning: bool, found: Sequence[DragTerm]) -> dict[str, Any]:
    """The terms of the drag at one speed.

    Args:
        motor: name of the motor.
        speed: speed through the air [m/s].
        burning: whether the motor burns.
        found: the terms.
    """
    return {
        "motor": motor,
        "speed_m_per_s": speed,
        "burning": burning,
        "coefficient": sum(term.coefficient for term in found),
        "rows": [
            {
                "name": term.name,
                "item": term.item,
                "coefficient": term.coefficient,
                "formula": term.formula,
                "source": term.source,
                "range": term.range,
                "notes": list(term.notes),
            }
            for term in found
        ],
    }
