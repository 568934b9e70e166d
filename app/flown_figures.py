"""The flights of a design as plain data: what the summary, the report and other programs are told of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ..analysis.drag.terms import drag_terms
from ..analysis.flight.descent import Descent
from ..analysis.flight.result import Flight
from ..analysis.flight.rocket_flights import MotorFlight
from ..analysis.flight.tilted import METHOD, STEADY, TURNS_AT_ONCE, TiltedFlight
from ..analysis.leaving_the_rail import leaving_the_rail
from ..analysis.loading import BURNOUT, LIFTOFF
from ..analysis.rail_exit import usual_rails
from .circumstances import rails
from .design import Design
from .drag_chart import Term, stacked_terms
from .flight_figures import band_figures, delay_figures, descent_figures, drag_figures, drift_figures, flight_figures


def flown_figures(design: Design) -> dict[str, Any]:
    """Everything of the flights, one entry a motor in each list; lists are empty without a motor."""
    flights = design.flights
    return {
        "flights": [
            # From a rail that leans the apogee comes sooner than upright.
            figures | {"delay_wanted_s": one.wanted_delay}
            for one, figures in zip(
                flights, flight_figures({one.motor.name: one.flight for one in flights}), strict=True
            )
        ],
        "compared": list(_compared(design)),
        "delays": [delay_figures(one.motor.name, one.deployments, one.motor.delays, one.window) for one in flights],
        "descent": [descent_figures(one.motor.name, one.descent, _missing(one.descent, design)) for one in flights],
        "drift": [drift_figures(one.motor.name, one.drift) for one in flights],
        "in_wind": [_in_wind(one) for one in flights],
        "bands": [band_figures(one.motor.name, one.bands) for one in flights if one.bands is not None],
        "drag_terms": list(_drag_terms(design)),
    }


def stacks_of(design: Design) -> Mapping[str, tuple[Term, ...]]:
    """The terms of the drag with each motor, for its chart; none where a coefficient is stated."""
    return {
        one.motor.name: stacked_terms(one.drag, one.flight.vehicle.drag, design.site_air.at(0.0))
        for one in design.flights
        if one.drag is not None and isinstance(one.flight, Flight)
    }


def _missing(found: Descent | None, design: Design) -> str | None:
    if found is not None:
        return None
    if not design.conditions.canopies:
        return "enter the parachute as [[parachute]] with its `diameter` and `drag_coefficient`"
    return "needs the flight, and `diameter` and `drag_coefficient` of every parachute"


def _compared(design: Design) -> Iterator[dict[str, Any]]:
    """One row a motor, for who chooses among several: the usual rails stand beside each other."""
    stand_off = rails(design.entries)[0].stand_off
    usual = usual_rails(stand_off)
    leaving = leaving_the_rail(design.rocket, design.loadings, design.motors, usual)
    margins = {(one.motor, one.name): one.margin_calibres for one in design.loadings}
    for one in design.flights:
        name = one.motor.name
        flight = one.flight if isinstance(one.flight, Flight) else None
        exits = [row for row in leaving if row.motor == name]
        yield {
            "motor": name,
            "margin_at_liftoff_cal": margins.get((name, LIFTOFF)),
            "margin_at_burnout_cal": margins.get((name, BURNOUT)),
            "mean_thrust_to_weight": exits[0].mean_ratio if exits else None,
            "exit_speeds": [
                {
                    "rail_length_mm": row.rail.length,
                    "speed_m_per_s": row.forward.speed if row.forward else None,
                }
                for row in exits
            ],
            "apogee_m": flight.apogee.height if flight else None,
            "delay_wanted_s": one.wanted_delay,
            "delays_stated_s": list(one.motor.delays),
        }


def _in_wind(one: MotorFlight) -> dict[str, Any]:
    rows = []
    for wind, found in zip(one.flight.launch.winds, one.in_wind, strict=True) if isinstance(one.flight, Flight) else ():
        flown = found if isinstance(found, TiltedFlight) else None
        rows.append(
            {
                "wind_m_per_s": wind,
                "apogee_m": flown.apogee.height if flown else None,
                "apogee_lost_m": flown.upright.apogee.height - flown.apogee.height if flown else None,
                "upwind_m": flown.downrange if flown else None,
                "air_speed_at_apogee_m_per_s": flown.air_speed if flown else None,
                "not_stated": None if flown else getattr(found, "reason", None),
            }
        )
    return {"motor": one.motor.name, "rows": rows, "method": METHOD, "notes": [TURNS_AT_ONCE, STEADY]}


def _drag_terms(design: Design) -> Iterator[dict[str, Any]]:
    """Term by term at the greatest speed, coasting; nothing where a coefficient is stated."""
    for one in design.flights:
        if one.drag is None or not isinstance(one.flight, Flight):
            continue
        speed = one.flight.greatest_speed.value
        terms = drag_terms(one.drag, speed, design.site_air.at(0.0), burning=False)
        yield drag_figures(one.motor.name, speed, False, terms)
