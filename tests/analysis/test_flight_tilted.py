"""The flight in one plane: the upright one without wind, closed forms, and another integrator."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from flight_samples import DEMO, ROCKET, Uniform, flown, no_drag
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.flight import tilted
from ferrule.analysis.flight.fly import fly
from ferrule.analysis.flight.result import NotFlown
from ferrule.analysis.flight.tilted import TiltedFlight, fly_tilted
from ferrule.analysis.flight.vehicle import Vehicle
from ferrule.analysis.launch import Launch
from ferrule.analysis.motor import Thrust
from ferrule.analysis.rail_exit import GRAVITY
from ferrule.parts.errors import PartError

AIR = Atmosphere()


def leaning(degrees: float, wind: float, vehicle: Vehicle = ROCKET, rtol: float = 1e-6) -> TiltedFlight:
    upright = flown(vehicle, AIR, launch=Launch(tilt=math.radians(degrees)))
    found = fly_tilted(upright, wind, rtol)
    assert isinstance(found, TiltedFlight), found
    return found


def test_no_tilt_and_no_wind_is_the_upright_flight() -> None:
    flight = leaning(0.0, 0.0)
    assert flight.loss == pytest.approx(0.0, abs=1e-3)
    assert flight.apogee.time == pytest.approx(flight.upright.apogee.time, abs=1e-3)
    assert (flight.downrange, flight.exit_angle, flight.air_speed) == (0.0, 0.0, 0.0)
    assert flight.upright.exit is not None
    assert flight.exit.speed == pytest.approx(flight.upright.exit.speed, rel=1e-9)


@pytest.mark.parametrize("degrees", [5.0, 20.0, 30.0])
def test_a_throw_without_air(degrees: float) -> None:
    """All thrust on the rail: then a parabola, v^2 cos^2 / 2g high and v^2 sin cos / g far (derived)."""
    vehicle = Vehicle(1000.0, 0.0, Thrust((0.0, 0.2), (500.0, 500.0)), no_drag(), 11_000.0)
    flight = leaning(degrees, 0.0, vehicle)
    tilt = math.radians(degrees)
    bend = 500.0 - GRAVITY * math.cos(tilt)
    burnt = bend * 0.2
    way = bend * 0.2**2 / 2.0
    speed = math.sqrt(burnt**2 - 2.0 * GRAVITY * math.cos(tilt) * (11.0 - way))
    assert flight.exit.speed == pytest.approx(speed, rel=1e-9)
    height = 11.0 * math.cos(tilt) + (speed * math.cos(tilt)) ** 2 / (2.0 * GRAVITY)
    assert flight.apogee.height == pytest.approx(height, rel=1e-9)
    far = 11.0 * math.sin(tilt) + speed**2 * math.sin(tilt) * math.cos(tilt) / GRAVITY
    assert flight.downrange == pytest.approx(far, rel=1e-9)
    assert flight.apogee.speed == pytest.approx(speed * math.sin(tilt), rel=1e-9)


def by_another_integrator(flight: TiltedFlight) -> tuple[float, float, float]:
    """Apogee [m], how far downrange and its time, in the frame that moves with the air, with small steps of order 8.

    From the rail's end on; the rail is `test_a_throw_without_air` and the upright flight.
    """
    vehicle, wind, tilt = flight.upright.vehicle, flight.wind, flight.tilt
    thrust, area = vehicle.thrust, vehicle.drag.reference_area * 1e-6
    start, speed = flight.exit.time, flight.exit.speed
    way = flight.exit.height / math.cos(tilt)
    grid = np.linspace(0.0, start, 20_001)
    burnt = float(np.trapezoid(np.interp(grid, thrust.times, thrust.thrusts), grid)) / thrust.total_impulse

    def slopes(time: float, now: np.ndarray) -> list[float]:
        _, height, along, climb, mass = now.tolist()
        met = math.hypot(along, climb)
        force = float(np.interp(time, thrust.times, thrust.thrusts, right=0.0))
        drag = 0.5 * AIR.density_and_sound(height)[0] * vehicle.drag.coefficient(met, True) * area * met**2
        push = (force - drag) / mass / met
        burns = vehicle.propellant / 1000.0 * force / thrust.total_impulse
        return [along, climb, push * along, push * climb - GRAVITY, -burns]

    def turns(_: float, now: np.ndarray) -> float:
        return float(now[3])

    turns.terminal, turns.direction = True, -1.0  # type: ignore[attr-defined]
    mass = (vehicle.mass - vehicle.propellant * burnt) / 1000.0
    state = np.array(
        [way * math.sin(tilt), way * math.cos(tilt), speed * math.sin(tilt) + wind, speed * math.cos(tilt), mass]
    )
    corners = [start, *(time for time in thrust.times if time > start), 1000.0]
    for span in pairwise(corners):
        found = solve_ivp(slopes, span, state, "DOP853", events=turns, rtol=1e-10, atol=1e-10, max_step=0.05)
        state = found.y[:, -1]
    time = float(found.t_events[0][0])
    # The air itself has moved back in the meantime.
    return float(state[1]), float(state[0]) - wind * (time - start), time


@pytest.mark.parametrize(("degrees", "wind"), [(0.0, 6.0), (5.0, 4.0), (10.0, -8.0), (20.0, 0.0)])
def test_another_integrator_in_the_frame_of_the_air(degrees: float, wind: float) -> None:
    flight = leaning(degrees, wind)
    height, downrange, time = by_another_integrator(flight)
    assert flight.apogee.height == pytest.approx(height, rel=1e-5)
    assert flight.downrange == pytest.approx(downrange, rel=1e-4)
    assert flight.apogee.time == pytest.approx(time, rel=1e-5)


def test_it_turns_into_the_wind_at_once() -> None:
    flight = leaning(0.0, 5.0)
    assert flight.exit_angle == pytest.approx(math.atan2(5.0, flight.exit.speed), rel=1e-12)
    assert flight.downrange > 0.0
    mirrored = leaning(0.0, -5.0)
    assert mirrored.downrange == pytest.approx(-flight.downrange, rel=1e-9)
    assert mirrored.loss == pytest.approx(flight.loss, rel=1e-9)
    assert tilted.TURNS_AT_ONCE in flight.notes


def test_what_is_lost_grows_with_wind_and_tilt() -> None:
    for flights in (
        [leaning(0.0, wind) for wind in (0.0, 2.0, 4.0, 8.0)],
        [leaning(tilt, 0.0) for tilt in (0.0, 5.0, 10.0, 20.0)],
    ):
        losses = [flight.loss for flight in flights]
        assert all(first < second for first, second in pairwise(losses))
    # Leaning into the wind adds to the turn into it, leaning away takes from it.
    assert leaning(5.0, 4.0).loss > leaning(0.0, 4.0).loss > leaning(5.0, -4.0).loss


def test_the_air_speed_at_the_apogee() -> None:
    """Over the ground it goes upwind; through the air that and the wind add up."""
    flight = leaning(0.0, 4.0)
    assert flight.air_speed == pytest.approx(flight.apogee.speed + 4.0, rel=1e-12)


def test_the_arrays() -> None:
    flight = leaning(5.0, 4.0)
    assert np.all(np.diff(flight.times) >= 0.0)
    on_rail = flight.times < flight.exit.time
    assert np.all(flight.angles[on_rail] == math.radians(5.0))
    assert flight.heights[-1] == flight.apogee.height
    assert flight.downranges[-1] == flight.downrange


def test_it_needs_a_rail() -> None:
    upright = flown(replace(ROCKET, travel_forward=None), AIR)
    assert fly_tilted(upright, 3.0) == NotFlown(tilted.NEEDS_RAIL)


def test_a_motor_that_burns_at_the_apogee() -> None:
    thrust = Thrust((0.0, 0.4, 0.5, 4.0), (120.0, 120.0, 5.0, 5.0))
    flight = leaning(10.0, 8.0, Vehicle(1500.0, 0.0, thrust, ROCKET.drag, 1000.0))
    assert tilted.BURNS_AT_APOGEE in flight.notes
    assert flight.apogee.time < 4.0


@pytest.mark.parametrize(("wind", "rtol", "said"), [(40.0, 1e-6, "wind"), (math.nan, 1e-6, "wind"), (1.0, 1.0, "rtol")])
def test_values_out_of_range(wind: float, rtol: float, said: str) -> None:
    with pytest.raises(PartError, match=said):
        fly_tilted(flown(ROCKET, AIR), wind, rtol)


@settings(max_examples=40)
@given(
    st.floats(0.0, 30.0),
    st.floats(-30.0, 30.0),
    st.floats(700.0, 12_000.0),
    st.floats(0.0, 0.9),
    st.floats(10.0, 5000.0),
)
def test_any_wind_and_tilt_has_an_end(degrees: float, wind: float, mass: float, burnt: float, travel: float) -> None:
    launch = Launch(tilt=math.radians(degrees))
    vehicle = Vehicle(mass, burnt * mass, DEMO, ROCKET.drag, travel)
    upright = fly(vehicle, launch, Uniform())
    if isinstance(upright, NotFlown):
        return
    found = fly_tilted(upright, wind)
    assert isinstance(found, TiltedFlight)
    for array in (found.times, found.heights, found.downranges, found.speeds, found.angles):
        assert np.all(np.isfinite(array))
    assert found.apogee.height >= found.heights.max()
