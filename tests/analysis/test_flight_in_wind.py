"""Delays and what parts must hold where the rail leans or the wind blows, against parabolas of a flight without drag.

After burnout without drag (derived): it reaches its apogee sqrt(2 (h_a - h_b) / g) after burnout, its speed across
stays, and t before or after the apogee its speed upward or downward is g t.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from airframe_samples import airframe_rocket

from ferrule.analysis.drag_curve import stated_drag
from ferrule.analysis.flight.bands import APOGEE, COAST, DESCENT, BandRow, FlightBands
from ferrule.analysis.flight.canopy import Canopy
from ferrule.analysis.flight.checks import flight_checks
from ferrule.analysis.flight.deployment import Turned, deployment, expected, moment, nearest, window
from ferrule.analysis.flight.flown import site_words
from ferrule.analysis.flight.result import Flight
from ferrule.analysis.flight.rocket_flights import Conditions, MotorFlight, rocket_flights, site_of
from ferrule.analysis.flight.tilted import TiltedFlight
from ferrule.analysis.launch import Launch
from ferrule.analysis.limits import Check, limits
from ferrule.analysis.loading import LIFTOFF, Loading
from ferrule.analysis.mass import MassProperties
from ferrule.analysis.motor import Motor, Thrust
from ferrule.analysis.rail_exit import GRAVITY, Rail
from ferrule.analysis.recovery import Recovery
from ferrule.analysis.rocket import Item
from ferrule.parts.kinds.rail_button import RailButton

MASS, BURN = 1200.0, 1.0
MOTOR = Motor("M", 29.0, 120.0, 120.0, 119.9, 905.0, Thrust((0.0, BURN), (90.0, 90.0)), None, None, (6.0,), 1.5)
BUTTON = RailButton.build(**RailButton.example)
ROCKET = replace(
    airframe_rocket(), items=(*airframe_rocket().items, Item("button", (500.0,), BUTTON), Item("aft", (850.0,), BUTTON))
)
CANOPY = Canopy("main", 900.0, 0.78, "constructed")
ROUND = ((1e5, 0.0, 0.0), (0.0, 1e7, 0.0), (0.0, 0.0, 1e7))
LOADED = Loading(LIFTOFF, "M", MassProperties(MASS, (600.0, 0.0, 0.0), ROUND, "stated", "stated"), None)


def flown(motor: Motor = MOTOR, **launch: Any) -> MotorFlight:
    (found,) = rocket_flights(ROCKET, [LOADED], [motor], Recovery(), conditions(**launch), limits())
    assert isinstance(found.flight, Flight)
    return found


def conditions(**launch: Any) -> Conditions:
    drag = stated_drag(0.0, 3421.0, "no air")
    return Conditions(Launch(**launch), (Rail(2000.0),), (CANOPY,), drag, field=None)


def check(name: str, one: MotorFlight, field: float | None = None, **launch: Any) -> Check:
    site = replace(site_of(ROCKET, conditions(**launch)), field=field)
    (found,) = (found for found in flight_checks([one.flown], site, limits()) if found.name == f"{name}, M")
    return found


def across(one: MotorFlight) -> TiltedFlight:
    (found,) = one.in_wind
    assert isinstance(found, TiltedFlight)
    return found


UPRIGHT, BLOWN = flown(winds=()), flown(winds=(2.0, 6.0))
TURNED = Turned(6.0, 4.0, 250.0, 20.0, 90.0)


def upright() -> Flight:
    assert isinstance(UPRIGHT.flight, Flight)
    return UPRIGHT.flight


def test_a_moment_around_an_apogee_of_its_own() -> None:
    """At it only the speed across is left; a second off it is g more, and g / 2 lower."""
    top, late = (moment(upright(), delay, turned=TURNED) for delay in (4.0, 5.0))
    assert top.height == pytest.approx(250.0)
    assert top.speed == pytest.approx(20.0)
    assert late.speed == pytest.approx(math.hypot(GRAVITY, 20.0), rel=1e-4)
    assert late.height == pytest.approx(250.0 - GRAVITY / 2.0, rel=1e-4)
    assert (late.rising, moment(upright(), 3.5, turned=TURNED).rising) == (False, True)
    assert moment(upright(), 30.0, turned=TURNED).on_the_ground
    assert nearest(upright(), (3.0, 4.4, 6.0), TURNED) == 4.4
    assert expected(upright(), (), 1.0, turned=TURNED).nominal.delay == 4.0
    assert window(upright(), 19.9, 1.0, turned=TURNED) is None
    found = window(upright(), 25.0, 0.5, turned=TURNED)
    assert found is not None
    # sqrt(25^2 - 20^2) = 15 m/s are 15 / g seconds either way.
    assert found.latest - 4.0 == pytest.approx(15.0 / GRAVITY, abs=5e-3)


def test_from_a_leaning_rail_its_own_apogee_is_waited_for() -> None:
    """The coast is that of a parabola: sqrt(2 (h_a - h_b) / g)."""
    tilt: dict[str, Any] = {"tilt": math.radians(25.0), "winds": (0.0,)}
    one = flown(**tilt)
    flight = across(one)
    rise = flight.apogee.height - float(np.interp(BURN, flight.times, flight.heights))
    coast = math.sqrt(2.0 * rise / GRAVITY)
    assert one.wanted_delay == pytest.approx(coast, rel=1e-3)
    assert UPRIGHT.wanted_delay is not None
    assert coast < UPRIGHT.wanted_delay - 0.3
    assert UPRIGHT.leaning is None
    delay = check("delay", one, **tilt)
    assert (delay.value or "").startswith(f"{coast:.1f} s wanted from the leaning rail in still air")
    assert not any("not stated" in line for line in delay.inputs)
    assert f"{flight.air_speed:.1f} m/s in still air (the flight from the leaning rail)" in delay.inputs[-1]


def test_parts_hold_the_fastest_opening_of_any_wind() -> None:
    """The late end of the tolerance in 6 m/s: g times the seconds past that apogee, and the air speed there."""
    demands, strongest = BLOWN.demands, BLOWN.in_wind[-1]
    assert demands is not None
    assert isinstance(strongest, TiltedFlight)
    off = max(abs(delay - (strongest.apogee.time - BURN)) for delay in (4.5, 7.5))
    assert demands.deployment_speed == pytest.approx(math.hypot(GRAVITY * off, strongest.air_speed), rel=2e-3)
    assert UPRIGHT.demands is not None
    still = deployment(upright(), 6.0, 1.5).fastest.speed
    assert UPRIGHT.demands.deployment_speed == still
    assert demands.deployment_speed is not None
    assert demands.deployment_speed > still
    assert not demands.deployment_assumed


def test_without_a_delay_the_wanted_one_is_assumed() -> None:
    found = flown(replace(MOTOR, delays=()), winds=()).demands
    assert found is not None
    assert found.deployment_assumed
    assert found.deployment_speed == pytest.approx(GRAVITY * 1.5, rel=1e-3)


def test_an_end_that_is_on_the_ground_is_left_out() -> None:
    """It is down long before 40 s; with 31 s of tolerance the early end at 9 s is still in the air."""
    found = flown(replace(MOTOR, delays=(40.0,), delay_tolerance=31.0), winds=()).demands
    assert found is not None
    assert UPRIGHT.wanted_delay is not None
    assert found.deployment_speed == pytest.approx(GRAVITY * abs(9.0 - UPRIGHT.wanted_delay), rel=1e-2)
    down = flown(replace(MOTOR, delays=(40.0,)), winds=()).demands
    assert down is not None
    assert down.deployment_speed is None


def test_the_checks_tell_the_strongest_wind_and_whose_it_is() -> None:
    launch: dict[str, Any] = {"winds": (2.0, 6.0)}
    strongest = BLOWN.flown.strongest
    assert strongest is not None
    assert strongest.wind == 6.0
    speed = check("speed at deployment", BLOWN, **launch)
    assert f"in a wind of 6 m/s up to {strongest.air_speed:.1f} m/s across (bound)" in (speed.value or "")
    assert "not counted" not in speed.formula
    assert "in 6 m/s (the strongest of the stated winds)" in speed.inputs[-1]
    assert f"{strongest.coast:.1f} s wanted in 6 m/s (bound)" in (check("delay", BLOWN, **launch).value or "")
    usual = flown(is_stated=False)
    assert "usual winds" in check("delay", usual, is_stated=False).inputs[-1]
    assert any("usual winds, none are stated" in line for line in check("drift", usual, is_stated=False).inputs)
    assert any("(the launch)" in line for line in check("drift", BLOWN, **launch).inputs)
    assert any("launch not stated: sea level" in line for line in check("apogee", usual, is_stated=False).inputs)
    assert "above sea level" in site_words(Launch(altitude=20.0))
    still = check("speed at deployment", UPRIGHT, winds=())
    assert "wind of" not in (still.value or "")
    assert "speed across is not counted" in still.formula


@pytest.mark.parametrize(("air_speed", "status"), [(19.9, "pass"), (20.1, "warn"), (200.0, "warn")])
def test_speed_across_only_warns(air_speed: float, status: str) -> None:
    one = replace(UPRIGHT.flown, delays=(UPRIGHT.wanted_delay or 0.0,), delay_tolerance=0.5)
    blown = replace(one, in_wind=(replace(TURNED, air_speed=air_speed),))
    site = site_of(ROCKET, conditions())
    found = {check.name: check for check in flight_checks([blown], site, limits())}
    assert found["speed at deployment, M"].status == status
    assert ("no delay does in a wind of 6 m/s" in found["delay, M"].note) == (status == "warn")


def test_low_in_a_wind_warns() -> None:
    one = replace(UPRIGHT.flown, delays=(4.0,), delay_tolerance=0.0, in_wind=(replace(TURNED, height=99.0),))
    site = site_of(ROCKET, conditions())
    (found,) = (one for one in flight_checks([one], site, limits()) if one.name == "height at deployment, M")
    assert found.status == "warn"
    assert "in a wind of 6 m/s 99 m at 4.0 s (bound)" in (found.value or "")


def test_the_spread_of_the_coast_stands_beside_the_tolerance() -> None:
    """6 s and 1.5 s either way, the coast 0.5 s less or 0.7 s more (by hand)."""
    wanted = UPRIGHT.wanted_delay or 0.0
    bands = FlightBands((BandRow(COAST, "s", wanted, (), 0.5, 0.7),))
    note = check("delay", replace(UPRIGHT, bands=bands), winds=()).note
    assert f"({wanted - 0.5:.1f} to {wanted + 0.7:.1f} s) and the tolerance of 1.5 s" in note
    ends = (4.5 - wanted - 0.7, 7.5 - wanted + 0.5)
    words = [f"{abs(end):.1f} s {'late' if end >= 0.0 else 'early'}" for end in ends]
    assert f"it comes {words[0]} to {words[1]} at the worst" in note


def test_drift_warns_where_the_spreads_pass_the_field() -> None:
    """A tenth higher and a fifth slower stays 1.1 / 0.8 as long in the air, and drifts as much farther."""
    one = BLOWN
    assert one.descent is not None
    assert isinstance(one.flight, Flight)
    height, speed = one.flight.apogee.height, one.descent.speed
    rows = (
        BandRow(APOGEE, "m", height, (), 0.1 * height, 0.1 * height),
        BandRow(DESCENT, "m/s", speed, (), 0.2 * speed, 0.2 * speed),
    )
    last = one.drift[-1]
    far = last.under_parachute * 1.1 / 0.8 + (last.before or 0.0)
    launch: dict[str, Any] = {"winds": (2.0, 6.0)}
    for field, status in ((far + 1.0, "pass"), (far - 1.0, "warn"), (last.radius + 1.0, "warn")):
        found = check("drift", replace(one, bands=FlightBands(rows)), field, **launch)
        assert found.status == status
        assert "a wind that is stronger higher up" in found.note
        assert (f"{far:.0f} m from the greatest apogee" in found.note) == (status == "warn")
    assert check("drift", replace(one, bands=FlightBands(())), last.radius + 1.0, **launch).status == "pass"


def test_sight_is_from_the_farther_apogee() -> None:
    """3 km off at 4 km of height are 5 km."""
    far = replace(UPRIGHT.flown, in_wind=(replace(TURNED, height=4000.0, way=3000.0),))
    site = site_of(ROCKET, conditions())
    (found,) = (one for one in flight_checks([far], site, limits()) if one.name == "may leave sight, M")
    assert "at the apogee in a wind of 6 m/s" in (found.value or "")
    assert "at 5000 m" in (found.value or "")
