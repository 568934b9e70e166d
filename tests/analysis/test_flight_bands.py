"""Bands of a flight against closed forms of a flight without drag, and their sums by hand.

Constant thrust T for a time b and mass m, no drag (derived): v = (T / m - g) b, apogee v b / 2 + v^2 / 2 g, and
coast v / g.
"""

from __future__ import annotations

import math

import pytest

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.drag_curve import stated_drag
from ferrule.analysis.flight.bands import (
    APOGEE,
    COAST,
    DESCENT,
    EXIT,
    SPEED,
    Effect,
    FlightBands,
    flight_bands,
    mass_band,
)
from ferrule.analysis.flight.canopy import Canopy
from ferrule.analysis.flight.fly import fly
from ferrule.analysis.flight.result import Flight
from ferrule.analysis.flight.vehicle import Vehicle
from ferrule.analysis.launch import Launch
from ferrule.analysis.motor import Thrust
from ferrule.analysis.rail_exit import GRAVITY
from ferrule.parts.errors import PartError

MASS, THRUST, BURN = 1.5, 90.0, 2.0
CANOPY = Canopy("main", 760.0, 0.8, "constructed")


def flown(drag: float = 0.0, thrust: float = THRUST, travel: float | None = None) -> Flight:
    vehicle = Vehicle(
        1000.0 * MASS, 0.0, Thrust((0.0, BURN), (thrust, thrust)), stated_drag(drag, 3421.0, "closed form"), travel
    )
    found = fly(vehicle, Launch(), Atmosphere())
    assert isinstance(found, Flight)
    return found


def speed(mass: float = MASS, thrust: float = THRUST) -> float:
    return (thrust / mass - GRAVITY) * BURN


def apogee(mass: float = MASS, thrust: float = THRUST) -> float:
    v = speed(mass, thrust)
    return v * BURN / 2.0 + v**2 / (2.0 * GRAVITY)


def effects(bands: FlightBands, quantity: str) -> dict[str, Effect]:
    row = bands.row(quantity)
    assert row is not None
    return {effect.cause.split()[0]: effect for effect in row.effects}


BANDS = flight_bands(flown(travel=1500.0), (1400.0, 1650.0))


@pytest.mark.parametrize(
    ("quantity", "figure"),
    [(APOGEE, apogee), (SPEED, speed), (COAST, lambda mass=MASS, thrust=THRUST: speed(mass, thrust) / GRAVITY)],
)
def test_single_effects_are_the_closed_form(quantity: str, figure: object) -> None:
    assert callable(figure)
    row, base = effects(BANDS, quantity), figure()
    # The flight's own steps are held to 1e-6 of its figures, an effect to ten times that of the figure.
    near = {"abs": 1e-5 * base}
    assert row["mass"].at_low == pytest.approx(figure(mass=1.4) - base, **near)
    assert row["mass"].at_high == pytest.approx(figure(mass=1.65) - base, **near)
    assert row["thrust"].at_low == pytest.approx(figure(thrust=0.9 * THRUST) - base, **near)
    assert row["thrust"].at_high == pytest.approx(figure(thrust=1.1 * THRUST) - base, **near)
    assert row["C_D"].at_low == pytest.approx(0.0, **near)


def test_the_band_is_the_root_of_the_squares() -> None:
    row = BANDS.row(APOGEE)
    assert row is not None
    assert row.above == pytest.approx(
        math.hypot(apogee(mass=1.4) - apogee(), apogee(thrust=1.1 * THRUST) - apogee()), rel=1e-4
    )
    assert row.below == pytest.approx(
        math.hypot(apogee(mass=1.65) - apogee(), apogee(thrust=0.9 * THRUST) - apogee()), rel=1e-4
    )
    assert row.least == row.value - row.below
    assert row.greatest == row.value + row.above


def test_the_speed_off_the_rail() -> None:
    """Speed sqrt(2 (T / m - g) s) without drag: 12.27 m/s after 1.5 m (derived)."""
    row = BANDS.row(EXIT)
    assert row is not None
    assert row.value == pytest.approx(math.sqrt(2.0 * (THRUST / MASS - GRAVITY) * 1.5), rel=1e-5)
    strong = math.sqrt(2.0 * (1.1 * THRUST / MASS - GRAVITY) * 1.5)
    assert row.effects[2].at_high == pytest.approx(strong - row.value, rel=1e-3)
    assert flight_bands(flown()).row(EXIT) is None


def test_more_drag_flies_lower() -> None:
    found = effects(flight_bands(flown(drag=0.6), drag_spread=0.3), APOGEE)
    low, high = found["C_D"].at_low, found["C_D"].at_high
    assert low is not None
    assert high is not None
    assert low > 0.0 > high
    assert low == pytest.approx(flown(drag=0.42).apogee.height - flown(drag=0.6).apogee.height, rel=1e-6)
    assert found["C_D"].cause == "C_D 30 % either way"


def test_a_mass_band_that_is_not_known_is_said() -> None:
    found = flight_bands(flown())
    assert "the spread of the mass is not stated" in found.notes[0]
    assert "mass" not in effects(found, APOGEE)
    assert BANDS.notes == ()


def test_the_descent_rate_goes_with_the_roots() -> None:
    """It goes with sqrt(m / C_D) (by hand): 10 % more mass is 4.9 % more, 20 % less C_D 11.8 % more."""
    found = flight_bands(flown(), (1350.0, 1633.0), canopies=(CANOPY,), descending=1330.0).row(DESCENT)
    assert found is not None
    mass, drag = found.effects
    assert mass.at_high == pytest.approx(found.value * (math.sqrt(1463.0 / 1330.0) - 1.0), rel=1e-9)
    assert mass.at_low == pytest.approx(found.value * (math.sqrt(1180.0 / 1330.0) - 1.0), rel=1e-9)
    assert drag.at_low == pytest.approx(found.value * (math.sqrt(1.0 / 0.8) - 1.0), rel=1e-9)
    assert drag.at_high == pytest.approx(found.value * (math.sqrt(1.0 / 1.2) - 1.0), rel=1e-9)
    assert mass.at_high is not None
    assert drag.at_low is not None
    assert found.above == pytest.approx(math.hypot(mass.at_high, drag.at_low))
    assert flight_bands(flown(), descending=1330.0).row(DESCENT) is None
    assert flight_bands(flown(), canopies=(CANOPY,)).row(DESCENT) is None


def test_where_it_does_not_fly_at_one_end_there_is_no_band() -> None:
    """15.5 N lift 1.5 kg (14.7 N), and a tenth less does not."""
    row = flight_bands(flown(thrust=15.5)).row(APOGEE)
    assert row is not None
    assert row.effects[1].at_low is None
    assert row.below is row.above is row.least is row.greatest is None


def test_the_mass_band_takes_all_estimates_at_once() -> None:
    """1500 g with 100 g from 80 to 130 g and 40 g from 20 to 60 g: 1460 to 1550 g (by hand)."""
    assert mass_band(1500.0, ((100.0, 80.0, 130.0), (40.0, 20.0, 60.0))) == (1460.0, 1550.0)
    assert mass_band(1500.0, ()) == (1500.0, 1500.0)


def test_values_that_cannot_be_are_refused() -> None:
    with pytest.raises(PartError, match="drag_spread: must be from 0 to below 1, got 1"):
        flight_bands(flown(), drag_spread=1.0)
    with pytest.raises(PartError, match=r"thrust_spread: must be from 0 to below 1, got -0\.1"):
        flight_bands(flown(), thrust_spread=-0.1)
    with pytest.raises(PartError, match="mass: must be a least and a greatest around 1500 g, got 1600 and 1700 g"):
        flight_bands(flown(), (1600.0, 1700.0))
    with pytest.raises(PartError, match="mass: must be"):
        flight_bands(flown(), (1300.0, 1400.0))
