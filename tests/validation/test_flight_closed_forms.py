"""Flights against closed forms: boost and coast on constant density, exhaust speed, exponential density.

Source: tests/validation/data/flight.json, whose rows give the formula of each value (all derived).
"""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import pytest
from flight_samples import Exponential, Uniform, flown, no_drag
from published import as_published, by_row, rows

from ferrule.analysis.drag_curve import DragCurve, stated_drag
from ferrule.analysis.flight.result import Event, Flight
from ferrule.analysis.flight.vehicle import Vehicle
from ferrule.analysis.motor import Thrust
from ferrule.analysis.rail_exit import GRAVITY

ROWS = rows("flight.json")

AREA = math.pi * 33.0**2
STEADY = Thrust((0.0, 2.0), (90.0, 90.0))
TIGHT = 1e-12
"""Tolerance of a step, so that the integrator is well within the tolerance of the values."""


@cache
def boost(coefficient: float) -> Flight:
    drag = stated_drag(coefficient, AREA, "invented")
    return flown(Vehicle(1500.0, 0.0, STEADY, drag, 1500.0, 1700.0), Uniform(), TIGHT)


def exit_of(flight: Flight) -> Event:
    assert flight.exit is not None
    return flight.exit


def boosted() -> dict[str, float]:
    """Each quantity as the flight has it; k and the terminal speed by the drag that it feels at burnout."""
    real, ideal = boost(0.5), boost(0.0)
    felt = real.greatest_deceleration
    assert felt.time == 2.0
    return {
        "k": 1.5 * felt.value / felt.speed**2,
        "burnout speed": real.burnout.speed,
        "burnout height": real.burnout.height,
        "terminal speed": felt.speed * math.sqrt(GRAVITY / felt.value),
        "coast time": real.coast_time,
        "coast height": real.apogee.height - real.burnout.height,
        "apogee": real.apogee.height,
        "apogee time": real.apogee.time,
        "burnout speed without drag": ideal.burnout.speed,
        "apogee without drag": ideal.apogee.height,
        "rail speed without drag": exit_of(ideal).speed,
        "rail speed": exit_of(real).speed,
    }


def exhausted() -> dict[str, float]:
    """100 g at 2000 m/s in 2 s are 100 N."""
    flight = flown(Vehicle(1600.0, 100.0, Thrust((0.0, 2.0), (100.0, 100.0)), no_drag()), Uniform(), TIGHT)
    return {
        "ideal speed": flight.burnout.speed + GRAVITY * flight.burnout.time,
        "burnout speed": flight.burnout.speed,
        "burnout height": flight.burnout.height,
    }


def coasted() -> dict[str, float]:
    """Brought to 200 m/s in 0.1 s without drag while it burns, which takes 10 m; then with drag."""
    force = 1.5 * (200.0 / 0.1 + GRAVITY)
    drag = DragCurve(AREA, (0.0,), (0.0,), (0.5,), "invented")
    vehicle = Vehicle(1500.0, 0.0, Thrust((0.0, 0.1), (force, force)), drag)
    found = {}
    for name, air in (("constant density", Uniform()), ("exponential density", Exponential(1.225, 8500.0, 10.0))):
        flight = flown(vehicle, air, TIGHT)
        assert (flight.burnout.height, flight.burnout.speed) == pytest.approx((10.0, 200.0), rel=1e-12)
        found[name] = flight.apogee.height - flight.burnout.height
    return found


CASES = {"boost": boosted, "exhaust": exhausted, "coast": coasted}


@by_row(ROWS)
def test_closed_form(row: dict[str, Any]) -> None:
    assert CASES[row["case"]]()[row["quantity"]] == as_published(row)


def test_closed_forms_at_the_usual_tolerance() -> None:
    """What `rtol` promises: 1e-5 of the apogee and better."""
    flight = flown(Vehicle(1500.0, 0.0, STEADY, stated_drag(0.5, AREA, "invented"), 1500.0), Uniform())
    assert flight.apogee.height == pytest.approx(459.03763556712, rel=1e-6)
    assert flight.coast_time == pytest.approx(8.223856466965, rel=1e-6)


@pytest.mark.parametrize("late", [0.5, 1.0, 2.0, 5.0])
def test_the_fall_from_the_apogee(late: float) -> None:
    """Speed v_t tanh(g t / v_t) and way (v_t^2 / g) ln cosh(g t / v_t) from rest (derived)."""
    flight = boost(0.5)
    terminal = math.sqrt(1.5 * GRAVITY / (1.225 * 0.5 * AREA * 1e-6 / 2.0))
    height, speed = flight.height_speed_at(flight.apogee.time + late)
    assert speed == pytest.approx(-terminal * math.tanh(GRAVITY * late / terminal), rel=1e-6)
    fallen = terminal**2 / GRAVITY * math.log(math.cosh(GRAVITY * late / terminal))
    assert flight.apogee.height - height == pytest.approx(fallen, rel=1e-6)


def test_the_ground_ends_the_fall() -> None:
    """Speed v_t sqrt(1 - exp(-2 g h / v_t^2)) after a fall of h (derived)."""
    flight = boost(0.5)
    terminal = math.sqrt(1.5 * GRAVITY / (1.225 * 0.5 * AREA * 1e-6 / 2.0))
    height, speed = flight.height_speed_at(1000.0)
    assert height == pytest.approx(0.0, abs=1e-9)
    expected = -terminal * math.sqrt(1.0 - math.exp(-2.0 * GRAVITY * flight.apogee.height / terminal**2))
    assert speed == pytest.approx(expected, rel=1e-6)
