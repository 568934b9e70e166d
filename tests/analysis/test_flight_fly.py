"""The upright flight: against the rail's own logarithms, another integrator, balances, and what never flies."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from flight_samples import BODY, DEMO, ROCKET, Exponential, flown, no_drag, not_flown
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.drag_curve import DragCurve, stated_drag
from ferrule.analysis.flight import fly as flying
from ferrule.analysis.flight.fly import fly
from ferrule.analysis.flight.result import (
    AFT_LEAVES,
    APOGEE,
    BURNOUT,
    FORWARD_LEAVES,
    GREATEST_SPEED,
    LEAVES_PAD,
    Flight,
    NotFlown,
)
from ferrule.analysis.flight.vehicle import Column, Vehicle
from ferrule.analysis.launch import Launch
from ferrule.analysis.motor import Thrust
from ferrule.analysis.rail_exit import GRAVITY, release
from ferrule.parts.errors import PartError

AIR = Atmosphere()

WAVY = DragCurve(
    math.pi * 34.2**2,
    (0.0, 20.0, 60.0, 100.0, 160.0),
    (0.6, 0.5, 0.45, 0.44, 0.5),
    (0.7, 0.6, 0.55, 0.54, 0.6),
    "made up",
)
"""Coefficients that differ by speed and by whether the motor burns; invented."""

RAMP = Thrust((0.0, 1.0, 3.0), (0.0, 40.0, 60.0))
TAIL = Thrust((0.0, 0.1, 0.5, 4.0), (0.0, 260.0, 120.0, 30.0))


@pytest.mark.parametrize(
    ("thrust", "mass", "propellant", "travel"),
    [
        (DEMO, 1225.0, 90.0, 1415.0),
        (DEMO, 1225.0, 90.0, 2015.0),
        (RAMP, 1500.0, 200.0, 2400.0),
        (TAIL, 9000.0, 900.0, 14_000.0),
        (Thrust((0.0, 0.2), (300.0, 300.0)), 2000.0, 0.0, 3300.0),
    ],
)
def test_the_rails_end_without_drag(thrust: Thrust, mass: float, propellant: float, travel: float) -> None:
    """The release by logarithms, which is good to 1e-9; the last of these comes after burnout."""
    flight = flown(Vehicle(mass, propellant, thrust, no_drag(), travel), AIR)
    expected = release(thrust, mass, propellant, travel)
    assert expected is not None
    assert flight.exit is not None
    assert flight.exit.speed == pytest.approx(expected.speed, rel=1e-6)
    assert flight.exit.time == pytest.approx(expected.time, rel=1e-6)
    assert flight.exit.height == pytest.approx(travel / 1000.0, rel=1e-9)


def by_another_integrator(vehicle: Vehicle, air: Column) -> tuple[float, float, float]:
    """Apogee [m], its time [s] and the greatest speed [m/s] with the mass as a third variable, in small steps.

    It shares nothing with the flight but the drag curve and the air: order 8, thrust by interpolation, a rule for the
    pad instead of a moment of liftoff.

    Raises:
        AssertionError: it does not come to an apogee.
    """
    thrust, area = vehicle.thrust, vehicle.drag.reference_area * 1e-6
    flow = vehicle.propellant / 1000.0 / thrust.total_impulse

    def slopes(time: float, now: np.ndarray) -> list[float]:
        height, speed, mass = now.tolist()
        force = float(np.interp(time, thrust.times, thrust.thrusts, left=0.0, right=0.0))
        coefficient = vehicle.drag.coefficient(abs(speed), not coasts)
        drag = 0.5 * air.density_and_sound(height)[0] * coefficient * area * speed * abs(speed)
        bend = (force - drag) / mass - GRAVITY
        return [speed, max(bend, 0.0) if height <= 0.0 else bend, -flow * force]

    def turns(_: float, now: np.ndarray) -> float:
        return float(now[1])

    turns.terminal, turns.direction = True, -1.0  # type: ignore[attr-defined]
    coasts = False
    state, fastest = np.array([0.0, 0.0, vehicle.mass / 1000.0]), 0.0
    for start, end in (*pairwise(thrust.times), (thrust.times[-1], 1000.0)):
        coasts = start == thrust.times[-1]
        found = solve_ivp(
            slopes,
            (start, end),
            state,
            "DOP853",
            events=turns if coasts else None,
            rtol=1e-11,
            atol=1e-11,
            max_step=0.01,
        )
        state, fastest = found.y[:, -1], max(fastest, float(found.y[1].max()))
        if coasts:
            return float(found.y_events[0][0][0]), float(found.t_events[0][0]), fastest
    raise AssertionError("no coast")


@pytest.mark.parametrize(
    ("vehicle", "air"),
    [
        (ROCKET, AIR),
        (replace(ROCKET, drag=WAVY), Atmosphere(1500.0, 305.0)),
        (Vehicle(9000.0, 900.0, TAIL, WAVY), Exponential(1.2, 9000.0)),
    ],
    ids=["demo", "wavy", "heavy"],
)
def test_another_integrator(vehicle: Vehicle, air: Column) -> None:
    apogee, time, fastest = by_another_integrator(vehicle, air)
    # Steps at the usual tolerance stride over the corners of a drag curve.
    for rtol, good in ((1e-6, 3e-5), (1e-10, 1e-8)):
        flight = flown(vehicle, air, rtol)
        assert flight.apogee.height == pytest.approx(apogee, rel=good)
        assert flight.apogee.time == pytest.approx(time, rel=good)
    # The other one knows its speed at steps of 0.01 s alone.
    assert flight.greatest_speed.value == pytest.approx(fastest, rel=1e-4)


def shares(flight: Flight) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Times, weights, thrusts, drags and masses at Gauss's points of every step, by the table and the drag curve."""
    nodes, weights = np.polynomial.legendre.leggauss(12)
    vehicle, thrust = flight.vehicle, flight.vehicle.thrust
    begins, ends = flight.times[:-1], flight.times[1:]
    halves = (ends - begins) / 2.0
    times = (begins + halves)[:, None] + halves[:, None] * nodes
    forces = np.interp(times, thrust.times, thrust.thrusts, right=0.0)
    # The impulse so far by trapezoids, exact on straight lines.
    corners = np.concatenate(
        ([0.0], np.cumsum(np.diff(thrust.times) * (np.array(thrust.thrusts[1:]) + thrust.thrusts[:-1]) / 2.0))
    )
    places = np.clip(np.searchsorted(thrust.times, times, side="right") - 1, 0, len(thrust.times) - 1)
    so_far = corners[places] + (np.array(thrust.thrusts)[places] + forces) / 2.0 * (
        times - np.array(thrust.times)[places]
    )
    so_far = np.where(times >= thrust.times[-1], thrust.total_impulse, so_far)
    masses = (vehicle.mass - vehicle.propellant * so_far / thrust.total_impulse) / 1000.0
    states = [flight.height_speed_at(time) for time in times.ravel()]
    drags = np.array(
        [
            0.5e-6
            * flight.atmosphere.density_and_sound(height)[0]
            * vehicle.drag.reference_area
            * vehicle.drag.coefficient(speed, time < flight.burnout.time)
            * speed**2
            for (height, speed), time in zip(states, times.ravel(), strict=True)
        ]
    ).reshape(times.shape)
    return times, halves[:, None] * weights, forces, drags, masses


@pytest.mark.parametrize("drag", [BODY, WAVY], ids=["one", "wavy"])
def test_energy_and_momentum(drag: DragCurve) -> None:
    """From liftoff to the apogee, with what the burnt propellant carries away (derived)."""
    flight = flown(replace(ROCKET, drag=drag), AIR, 1e-10)
    times, weights, forces, drags, masses = shares(flight)
    states = np.array([flight.height_speed_at(time) for time in times.ravel()])
    heights, speeds = (states[:, place].reshape(times.shape) for place in (0, 1))
    moving = times > flight.events[0].time
    rates = forces * ROCKET.propellant / 1000.0 / DEMO.total_impulse
    work = np.sum(weights * (forces - drags) * speeds)
    lost = np.sum(weights * rates * (speeds**2 / 2.0 + GRAVITY * heights))
    final = (ROCKET.mass - ROCKET.propellant) / 1000.0 * GRAVITY * flight.apogee.height
    assert work - lost == pytest.approx(final, rel=1e-6)
    pushed = np.sum((weights * (forces - drags - masses * GRAVITY - rates * speeds))[moving])
    assert pushed == pytest.approx(0.0, abs=1e-6 * DEMO.total_impulse)
    # Up to burnout, so that the two ends are not both at rest.
    burning = moving & (times < flight.burnout.time)
    pushed = np.sum((weights * (forces - drags - masses * GRAVITY - rates * speeds))[burning])
    assert pushed == pytest.approx((ROCKET.mass - ROCKET.propellant) / 1000.0 * flight.burnout.speed, rel=1e-6)


def test_the_error_falls_with_the_tolerance() -> None:
    """A step's error is held to rtol, so the whole falls in proportion to it: a slope of 1 in logarithms, about."""
    best = flown(ROCKET, AIR, 1e-12)
    tolerances = np.array([1e-5, 1e-6, 1e-7, 1e-8, 1e-9])
    errors = [
        abs(flight.apogee.height - best.apogee.height) + abs(flight.burnout.speed - best.burnout.speed)
        for flight in (flown(ROCKET, AIR, rtol) for rtol in tolerances)
    ]
    slope = float(np.polyfit(np.log(tolerances), np.log(errors), 1)[0])
    assert 0.7 <= slope <= 1.3, errors
    assert errors[1] < 1e-4
    assert errors[-1] < 1e-6


def test_the_events_in_order() -> None:
    flight = flown(ROCKET, AIR)
    names = [event.name for event in flight.events]
    assert names == [LEAVES_PAD, FORWARD_LEAVES, AFT_LEAVES, GREATEST_SPEED, BURNOUT, APOGEE]
    assert flight.exit == flight.events[1]
    assert flight.aft_exit == flight.events[2]
    assert flight.coast_time == flight.apogee.time - flight.burnout.time
    for event in flight.events:
        assert flight.height_speed_at(event.time) == pytest.approx((event.height, event.speed), abs=1e-6)


def test_the_greatest_values_by_looking_everywhere() -> None:
    flight = flown(replace(ROCKET, drag=WAVY), AIR)
    times = np.linspace(flight.times[0], flight.apogee.time, 40_001)
    states = [flight.height_speed_at(time) for time in times]
    airs = [AIR.at(height) for height, _ in states]
    speeds = np.array([speed for _, speed in states])
    assert flight.greatest_speed.value == pytest.approx(speeds.max(), rel=1e-7)
    machs = speeds / np.array([air.sound for air in airs])
    assert flight.greatest_mach.value == pytest.approx(machs.max(), rel=1e-7)
    pressures = np.array([air.density for air in airs]) * speeds**2 / 2.0
    assert flight.greatest_dynamic_pressure.value == pytest.approx(pressures.max(), rel=1e-7)
    _, _, forces, drags, masses = shares(flight)
    felt = (forces - drags) / masses
    # Gauss's points stay a little away from the corner that the greatest value is at.
    assert felt.max() <= flight.greatest_acceleration.value * (1.0 + 1e-6)
    assert flight.greatest_acceleration.value == pytest.approx(felt.max(), rel=2e-3)
    assert -felt.min() <= flight.greatest_deceleration.value * (1.0 + 1e-6)
    assert flight.greatest_deceleration.value == pytest.approx(-felt.min(), rel=5e-3)


def test_the_arrays() -> None:
    flight = flown(ROCKET, AIR)
    assert len({array.shape for array in (flight.times, flight.heights, flight.speeds, flight.thrusts)}) == 1
    assert np.all(np.diff(flight.times) >= 0.0)
    assert np.all(np.diff(flight.heights) >= 0.0)
    assert flight.times[0] == 0.0
    assert flight.times[-1] == flight.apogee.time
    # Drag jumps as the motor burns out: a curve that differs has that moment twice.
    wavy = flown(replace(ROCKET, drag=WAVY), AIR)
    before, after = wavy.accelerations[wavy.times == wavy.burnout.time]
    mass = (ROCKET.mass - ROCKET.propellant) / 1000.0
    density = AIR.at(wavy.burnout.height).density
    jump = 0.5e-6 * density * WAVY.reference_area * wavy.burnout.speed**2 * 0.1 / mass
    assert before - after == pytest.approx(jump, rel=1e-9)


def test_it_stands_until_the_thrust_exceeds_the_weight() -> None:
    """A ramp of 40 N/s under 1 kg: it leaves at g / 40 s, and v = 20 t^2 from there on (derived)."""
    flight = flown(Vehicle(1000.0, 0.0, Thrust((0.0, 1.0), (0.0, 40.0)), no_drag()), AIR)
    leaves = GRAVITY / 40.0
    assert flight.events[0].time == pytest.approx(leaves, rel=1e-12)
    assert flight.burnout.speed == pytest.approx(20.0 * (1.0 - leaves) ** 2, rel=1e-9)
    assert flight.height_speed_at(leaves / 2.0) == (0.0, 0.0)
    assert flight.height_speed_at(-1.0) == (0.0, 0.0)


def test_zeros_that_pad_a_table_and_a_later_start_change_nothing() -> None:
    plain = flown(ROCKET, AIR)
    padded = Thrust((0.0, 0.5, *(time + 0.5 for time in DEMO.times[1:]), 4.0), (0.0, *DEMO.thrusts, 0.0))
    later = flown(replace(ROCKET, thrust=padded), AIR)
    assert later.burnout.time == pytest.approx(plain.burnout.time + 0.5)
    assert later.apogee.height == pytest.approx(plain.apogee.height, rel=1e-6)
    assert later.coast_time == pytest.approx(plain.coast_time, rel=1e-6)


def test_thinner_air_and_a_lighter_rocket() -> None:
    low, high = flown(ROCKET, AIR), flown(ROCKET, Atmosphere(1500.0))
    assert high.apogee.height > low.apogee.height + 20.0
    assert flown(ROCKET, Atmosphere(0.0, 310.0)).apogee.height > low.apogee.height + 5.0
    assert flown(replace(ROCKET, travel_forward=None, travel_aft=None), AIR).exit is None
    assert flown(replace(ROCKET, travel_forward=-5.0), AIR).notes.count(flying.NOT_GUIDED) == 1


def test_what_does_not_fly() -> None:
    assert not_flown(replace(ROCKET, mass=20_000.0), AIR) == NotFlown(flying.NO_LIFTOFF, is_held=True)
    assert not_flown(replace(ROCKET, travel_forward=2e6), AIR) == NotFlown(flying.STOPS, is_held=True)
    assert not_flown(replace(ROCKET, mass=90.0), AIR) == NotFlown(flying.MOSTLY_PROPELLANT)
    hop = Thrust((0.0, 0.5, 0.6, 8.0), (20.0, 20.0, 1.0, 1.0))
    assert not_flown(Vehicle(1500.0, 0.0, hop, BODY), AIR) == NotFlown(flying.FALLS_BACK, is_held=True)
    wild = Vehicle(200.0, 10.0, Thrust((0.0, 20.0), (5e4, 5e4)), stated_drag(1e-3, 10.0, "made up"))
    assert not_flown(wild, AIR).reason.startswith("climbs above 80 km")
    feather = Vehicle(0.001, 0.0, Thrust((0.0, 900.0), (1.0, 1.0)), stated_drag(1.0, 1e9, "made up"))
    assert not_flown(feather, AIR) == NotFlown(flying.TOO_LIGHT)


def test_a_motor_that_burns_longer_than_it_climbs() -> None:
    """Thrust below the weight after the first push: the apogee comes before burnout, and the delay below 0."""
    flight = flown(Vehicle(1500.0, 0.0, Thrust((0.0, 0.25, 0.35, 4.0), (120.0, 120.0, 5.0, 5.0)), BODY), AIR)
    assert flight.coast_time < 0.0
    assert flight.burnout.time == 4.0
    assert flight.burnout.speed < 0.0
    assert flight.events[-1] == flight.burnout
    assert flying.BURNS_ON in flight.notes
    assert flight.height_speed_at(4.0) == (flight.burnout.height, flight.burnout.speed)


def test_a_hop_within_one_stretch_of_the_table() -> None:
    """Thrust from 2 g m to 0 in 2 s without drag: v = g t - g t^2 / 2, at rest at 2 s after 2 g / 3 (derived)."""
    thrust = Thrust((0.0, 2.0), (2.0 * GRAVITY, 0.0))
    flight = flown(Vehicle(1000.0, 0.0, thrust, no_drag()), AIR)
    assert flight.apogee.height == pytest.approx(2.0 * GRAVITY / 3.0, rel=1e-9)
    assert flight.apogee.time == pytest.approx(2.0, abs=1e-6)
    assert flight.greatest_speed.value == pytest.approx(GRAVITY / 2.0, rel=1e-9)


@pytest.mark.parametrize(
    ("field", "value"), [("mass", 0.0), ("mass", math.nan), ("propellant", -1.0), ("travel_forward", math.inf)]
)
def test_what_no_vehicle_has(field: str, value: float) -> None:
    with pytest.raises(PartError, match=field):
        replace(ROCKET, **{field: value})


def test_a_tolerance_out_of_range() -> None:
    with pytest.raises(PartError, match="rtol"):
        fly(ROCKET, Launch(), AIR, 0.1)


def test_a_rocket_as_it_is_told_of() -> None:
    """Common practice, no source, stated and not measured: about 1.45 kg, 230 N s in 0.9 s, 140 m/s, 22 g, 430 m, 7 s.

    One unknown, C_d times area, is fitted to four figures, which must all come out within a tenth at once. The fit is
    0.0055 m2: C_d 1.7 on 64 mm, 1.5 on 68.4 mm, 1.2 on 76 mm, 0.84 on 91 mm, 0.69 on 101 mm, 0.55 on 113 mm. The shape
    of the curve and the 115 g of propellant (2,000 m/s of exhaust) are made up, and move the fit little.
    """
    shape = Thrust((0.0, 0.03, 0.12, 0.5, 0.75, 0.9), (0.0, 1.2, 1.25, 1.1, 0.8, 0.0))
    thrust = Thrust(shape.times, tuple(230.0 / shape.total_impulse * force for force in shape.thrusts))

    def misses(area: float) -> np.ndarray:
        flight = flown(Vehicle(1450.0, 115.0, thrust, stated_drag(1.0, 1e6 * area, "fitted")), AIR)
        found = (
            flight.greatest_speed.value,
            flight.greatest_acceleration.value / GRAVITY,
            flight.apogee.height,
            flight.coast_time,
        )
        return np.array(found) / (140.0, 22.0, 430.0, 7.0) - 1.0

    fitted = minimize_scalar(lambda area: float(np.sum(misses(area) ** 2)), bounds=(0.001, 0.02), method="bounded")
    assert 0.0043 <= fitted.x <= 0.006
    assert np.abs(misses(fitted.x)).max() <= 0.10


def spread(low: float, high: float) -> st.SearchStrategy[float]:
    """Evenly in the logarithm."""
    return st.floats(math.log(low), math.log(high)).map(math.exp)


@st.composite
def curves(draw: st.DrawFn) -> Thrust:
    count = draw(st.integers(2, 12))
    times = np.cumsum([draw(spread(1e-4, 5.0)) for _ in range(count)])
    scale = draw(spread(1e-2, 1e5))
    shape = [draw(st.sampled_from([0.0, 1.0]) | st.floats(0.0, 1.0)) for _ in range(count)]
    shape[draw(st.integers(0, count - 1))] = 1.0
    return Thrust(tuple((times - times[0] * draw(st.booleans())).tolist()), tuple(scale * one for one in shape))


@st.composite
def vehicles(draw: st.DrawFn) -> Vehicle:
    mass = draw(spread(1.0, 1e6))
    area = draw(spread(1.0, 1e6))
    drag = draw(
        st.floats(0.0, 3.0).map(lambda value: stated_drag(value, area, "random"))
        | st.lists(st.floats(0.0, 3.0), min_size=3, max_size=3).map(
            lambda some: DragCurve(area, (10.0, 80.0, 300.0), tuple(some), tuple(reversed(some)), "random")
        )
    )
    travel = draw(st.none() | st.floats(-500.0, 6000.0))
    return Vehicle(
        mass, mass * draw(st.floats(0.0, 1.0)), draw(curves()), drag, travel, None if travel is None else travel + 600.0
    )


def check_any(vehicle: Vehicle, launch: Launch) -> None:
    found = fly(vehicle, launch, Atmosphere(launch.altitude, launch.temperature))
    if isinstance(found, NotFlown):
        assert found.reason
        return
    for array in (found.times, found.heights, found.speeds, found.accelerations, found.thrusts):
        assert np.all(np.isfinite(array))
    for event in found.events:
        assert all(map(math.isfinite, (event.time, event.height, event.speed)))
    for top in (
        found.greatest_speed,
        found.greatest_mach,
        found.greatest_acceleration,
        found.greatest_deceleration,
        found.greatest_dynamic_pressure,
    ):
        assert math.isfinite(top.value)
        assert top.value >= 0.0
    assert found.greatest_speed.value >= found.speeds.max()
    assert found.apogee.height >= found.heights.max()
    # No more than the whole impulse on the least mass without drag could give.
    least = (vehicle.mass - vehicle.propellant) / 1000.0
    assert found.greatest_speed.value <= vehicle.thrust.total_impulse / least * (1.0 + 1e-3)
    for late in (0.0, 1.0, 10.0):
        assert all(map(math.isfinite, found.height_speed_at(found.burnout.time + late)))


LAUNCHES = st.builds(
    Launch,
    altitude=st.floats(-500.0, 5000.0),
    temperature=st.none() | st.floats(240.0, 320.0),
    tilt=st.floats(0.0, 0.3),
)


@settings(max_examples=60)
@given(vehicles(), LAUNCHES)
def test_any_vehicle_flies_or_says_why(vehicle: Vehicle, launch: Launch) -> None:
    check_any(vehicle, launch)


@pytest.mark.search
@settings(max_examples=250)
@given(vehicles(), LAUNCHES)
def test_many_vehicles_fly_or_say_why(vehicle: Vehicle, launch: Launch) -> None:
    check_any(vehicle, launch)
