"""Speed at the rail's exit against closed forms, an integrator of SciPy's, and the energy along the rail."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import simpson, solve_ivp

from ferrule.analysis.motor import Thrust, read_thrust
from ferrule.analysis.rail_exit import (
    GRAVITY,
    Rail,
    drag_share,
    first_push,
    lifts_off,
    needed_ratio,
    release,
    thrust_to_weight,
    usual_rails,
)
from ferrule.parts.errors import PartError

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram"
DEMO = read_thrust((MARRAM / "demo-29.csv").read_text(encoding="utf-8"))
STEADY = Thrust((0.0, 2.0), (90.0, 90.0))
MASS, BURNT, WAY = 1225.0, 90.0, 2015.0


def speed_of(thrust: Thrust, mass: float, propellant: float, travel: float) -> float:
    found = release(thrust, mass, propellant, travel)
    assert found is not None
    return found.speed


def test_constant_thrust_and_mass() -> None:
    """Speed sqrt(2 (T/m - g) s): 90 N, 1.5 kg, 1.5 m give 12.27110631 m/s (derived)."""
    found = release(STEADY, 1500.0, 0.0, 1500.0)
    assert found is not None
    assert found.speed == pytest.approx(12.27110631, abs=5e-9)
    assert found.speed == pytest.approx(math.sqrt(2.0 * (90.0 / 1.5 - GRAVITY) * 1.5), rel=1e-12)
    assert found.time == pytest.approx(math.sqrt(2.0 * 1.5 / (90.0 / 1.5 - GRAVITY)), rel=1e-12)
    assert (found.thrust, found.mass, found.travel) == (90.0, 1500.0, 1500.0)


@pytest.mark.parametrize(
    ("travel", "ratio", "speed"),
    [(1800.0, 5.0, 11.9), (2400.0, 5.0, 13.7), (3000.0, 5.0, 15.3), (1200.0, 10.0, 14.6), (1500.0, 3.0, 7.7)],
)
def test_the_table_of_thrust_over_weight(travel: float, ratio: float, speed: float) -> None:
    """Speed sqrt(2 (n - 1) g s) to 0.1 m/s (derived): five times the weight is too little on a short rail."""
    mass = 1500.0
    force = ratio * mass / 1000.0 * GRAVITY
    assert thrust_to_weight(force, mass) == pytest.approx(ratio, rel=1e-12)
    assert speed_of(Thrust((0.0, 9.0), (force, force)), mass, 0.0, travel) == pytest.approx(speed, abs=0.05)


@pytest.mark.parametrize(("travel", "ratio"), [(1200.0, 10.6), (1800.0, 7.4), (2400.0, 5.8), (3000.0, 4.8)])
def test_the_ratio_that_a_speed_needs(travel: float, ratio: float) -> None:
    """The last column of the same table, for 15 m/s; and back again."""
    found = needed_ratio(15.0, travel)
    assert found == pytest.approx(ratio, abs=0.05)
    force = found * GRAVITY
    assert speed_of(Thrust((0.0, 9.0), (force, force)), 1000.0, 0.0, travel) == pytest.approx(15.0, rel=1e-10)


def test_tsiolkovsky_with_gravity() -> None:
    """Exhaust at 2,000 m/s, 1.6 to 1.5 kg in 2 s: 109.463742275 m/s at 108.075431746 m (derived)."""
    found = release(Thrust((0.0, 2.0), (100.0, 100.0)), 1600.0, 100.0, 108_075.431746 - 1e-3)
    assert found is not None
    assert found.speed == pytest.approx(109.463742275, rel=1e-7)
    assert found.time == pytest.approx(2.0, rel=1e-7)
    assert found.mass == pytest.approx(1500.0, rel=1e-7)


def test_it_stands_until_the_thrust_exceeds_the_weight() -> None:
    """Thrust from 0 to twice the weight in 1 s: v = g t^2 and s = g t^3 / 3 from half a second on (derived)."""
    found = release(Thrust((0.0, 1.0), (0.0, 2.0 * GRAVITY)), 1000.0, 0.0, 300.0)
    assert found is not None
    since = (3.0 * 0.3 / GRAVITY) ** (1.0 / 3.0)
    assert found.time == pytest.approx(0.5 + since, rel=1e-11)
    assert found.speed == pytest.approx(GRAVITY * since**2, rel=1e-11)


def by_scipy(thrust: Thrust, mass: float, propellant: float, travel: float) -> tuple[float, float]:
    """Time and speed by an integrator that knows nothing of logarithms; piece by piece, so that no kink is inside.

    Raises:
        AssertionError: it does not arrive.
    """
    flow = propellant / 1000.0 / thrust.total_impulse
    state, before = np.array([0.0, 0.0, mass / 1000.0]), False

    def slopes(time: float, now: np.ndarray) -> list[float]:
        force = float(np.interp(time, thrust.times, thrust.thrusts))
        pushed = force / now[2] - GRAVITY
        return [now[1], pushed if pushed > 0.0 or now[1] > 0.0 or before else 0.0, -flow * force]

    def arrives(_: float, now: np.ndarray) -> float:
        return float(now[0] - travel / 1000.0)

    arrives.terminal = True  # type: ignore[attr-defined]
    for span in pairwise(thrust.times):
        found = solve_ivp(slopes, span, state, "DOP853", events=arrives, rtol=1e-12, atol=1e-13, max_step=1e-3)
        if found.t_events[0].size:
            return float(found.t_events[0][0]), float(found.y_events[0][0][1])
        state, before = found.y[:, -1], bool(found.y[1, -1] > 0.0)
    raise AssertionError("did not arrive")


@pytest.mark.parametrize("travel", [200.0, 1415.0, WAY, 2615.0])
def test_the_demo_by_an_integrator(travel: float) -> None:
    time, speed = by_scipy(DEMO, MASS, BURNT, travel)
    found = release(DEMO, MASS, BURNT, travel)
    assert found is not None
    # The moment of liftoff is within a step of the integrator, whose error there is of the order of 1e-8.
    assert found.speed == pytest.approx(speed, rel=1e-6)
    assert found.time == pytest.approx(time, rel=1e-6)


def test_a_heavy_one_on_a_thrust_that_falls_below_its_weight_by_an_integrator() -> None:
    thrust = Thrust((0.0, 0.1, 0.5, 4.0), (0.0, 260.0, 120.0, 30.0))
    time, speed = by_scipy(thrust, 9000.0, 900.0, 14_000.0)
    found = release(thrust, 9000.0, 900.0, 14_000.0)
    assert found is not None
    assert found.thrust < found.mass / 1000.0 * GRAVITY
    assert (found.time, found.speed) == pytest.approx((time, speed), rel=1e-6)


def by_small_steps(thrust: Thrust, mass: float, propellant: float, travel: float) -> float | None:
    """Speed by trapezoids in 200,000 even steps, and free flight after the table; None where it stops."""
    times = np.linspace(0.0, thrust.times[-1], 200_001)
    step, forces = times[1], np.interp(times, thrust.times, thrust.thrusts)

    def grown(values: np.ndarray) -> np.ndarray:
        return np.concatenate(([0.0], np.cumsum((values[1:] + values[:-1]) / 2.0 * step)))

    pushed = forces / ((mass - propellant * grown(forces) / thrust.total_impulse) / 1000.0) - GRAVITY
    if not np.any(pushed > 0.0):
        return None
    first = int(np.argmax(pushed > 0.0))
    speeds = np.concatenate((np.zeros(first), grown(pushed[first:])))
    ways = grown(speeds)
    stops = first + 1 + int(np.argmax(speeds[first + 1 :] < 0.0)) if np.any(speeds[first + 1 :] < 0.0) else None
    if np.any(ways[:stops] >= travel / 1000.0):
        return float(np.interp(travel / 1000.0, ways[:stops], speeds[:stops]))
    left = speeds[-1] ** 2 - 2.0 * GRAVITY * (travel / 1000.0 - ways[-1])
    return math.sqrt(left) if stops is None and left > 0.0 else None


def test_random_tables_by_small_steps() -> None:
    random, left = np.random.default_rng(7), 0
    for _ in range(40):
        count = int(random.integers(2, 7))
        times = np.concatenate(([0.0], np.cumsum(random.uniform(0.02, 0.6, count))))
        forces = random.choice([0.0, 1.0, 1.0, 1.0], count + 1) * random.uniform(1.0, 120.0, count + 1)
        mass, travel = float(random.uniform(500.0, 6000.0)), float(random.uniform(300.0, 5000.0))
        propellant = float(random.choice([0.0, 0.05, 0.3, 0.9])) * mass
        if not forces.any():
            continue
        thrust = Thrust(tuple(map(float, times)), tuple(map(float, forces)))
        found, expected = release(thrust, mass, propellant, travel), by_small_steps(thrust, mass, propellant, travel)
        assert (found is None) == (expected is None)
        if found is not None:
            left += 1
            assert found.speed == pytest.approx(expected, rel=1e-6)
    assert 10 < left < 38


def test_the_smallest_and_the_greatest_thrusts_are_no_traceback() -> None:
    for forces in ((1e-300, 1e-300), (0.0, 1e-320), (1e6, 0.0)):
        for mass, propellant in ((1e6, 1.0), (1.0, 0.99)):
            assert release(Thrust((0.0, 1e-9), forces), mass, propellant, 2000.0) is None
    # A milligram thrown by 1e-3 N s goes at 1,000 m/s.
    thrown = release(Thrust((0.0, 1e-9), (1e6, 1e6)), 1e-3, 0.0, 2000.0)
    assert thrown is not None
    assert thrown.speed == pytest.approx(1000.0, rel=1e-4)


def test_energy_along_the_rail() -> None:
    """Per mass, v^2 / 2 + g s grows by thrust over mass along the way (derived), whatever the thrust does."""
    ways = np.linspace(100.0, 2900.0, 401)
    found = [release(DEMO, MASS, BURNT, float(way)) for way in ways]
    pushed = [one.thrust / one.mass for one in found if one is not None]
    work = float(simpson(pushed, x=ways))  # N/g times mm is J/kg
    first, last = found[0], found[-1]
    assert first is not None
    assert last is not None
    gained = (last.speed**2 - first.speed**2) / 2.0 + GRAVITY * (last.travel - first.travel) / 1000.0
    assert gained == pytest.approx(work, rel=1e-6)


def test_the_demo_as_it_was_worked_by_hand() -> None:
    """2.4 m rail, stand-off 0.15 m, 1,151 g: about 20.8 m/s, worked by hand once; to a figure of its last place."""
    assert speed_of(DEMO, 1151.0, BURNT, WAY) == pytest.approx(20.8, abs=0.05)


def test_lighter_or_farther_is_faster() -> None:
    speeds = [speed_of(DEMO, mass, BURNT, 2000.0) for mass in (900.0, 1200.0, 1500.0)]
    assert speeds == sorted(speeds, reverse=True)
    assert speed_of(DEMO, MASS, BURNT, 2000.0) < speed_of(DEMO, MASS, BURNT, 2001.0)
    # What is burnt on the way makes it lighter.
    assert speed_of(DEMO, MASS, 0.0, 2000.0) < speed_of(DEMO, MASS, BURNT, 2000.0)


def test_little_propellant_is_no_loss_of_figures() -> None:
    none = speed_of(DEMO, MASS, 0.0, WAY)
    for propellant in (1e-300, 1e-9, 1e-6, 1e-4):
        assert speed_of(DEMO, MASS, propellant, WAY) == pytest.approx(none, rel=1e-8)


def test_a_thrust_below_the_weight_lifts_nothing() -> None:
    weight = 1.5 * GRAVITY
    below, above = (Thrust((0.0, 2.0), (share * weight,) * 2) for share in (0.99, 1.01))
    assert not lifts_off(below, 1500.0, 0.0)
    assert release(below, 1500.0, 0.0, 1000.0) is None
    assert lifts_off(above, 1500.0, 0.0)
    # It burns itself light enough: 0.99 of the weight, a tenth of it propellant.
    assert lifts_off(below, 1500.0, 150.0)


def test_a_short_burn_coasts_up_the_rail_or_stops_on_it() -> None:
    """100 N for 0.05 s on 1.5 kg: v and s at burnout and the height of the throw by the closed forms of free fall."""
    thrust = Thrust((0.0, 0.05), (100.0, 100.0))
    push = 100.0 / 1.5 - GRAVITY
    speed, way = push * 0.05, push * 0.05**2 / 2.0
    top = way + speed**2 / (2.0 * GRAVITY)
    found = release(thrust, 1500.0, 0.0, 300.0)
    assert found is not None
    assert found.speed == pytest.approx(math.sqrt(speed**2 - 2.0 * GRAVITY * (0.3 - way)), rel=1e-11)
    assert found.time == pytest.approx(0.05 + (speed - found.speed) / GRAVITY, rel=1e-11)
    assert found.thrust == 0.0
    assert release(thrust, 1500.0, 0.0, 1000.0 * top + 0.01) is None
    almost = release(thrust, 1500.0, 0.0, 1000.0 * top - 0.01)
    assert almost is not None
    assert almost.speed < 0.02


def test_a_thrust_too_weak_to_go_on_stops_it_on_the_rail() -> None:
    """50 N for 0.1 s, then 10 N, on 1.5 kg: it stops after s1 + v^2 / (2 (g - T/m)), about 1 m."""
    thrust = Thrust((0.0, 0.1, 0.1 + 1e-9, 5.0), (50.0, 50.0, 10.0, 10.0))
    push, pull = 50.0 / 1.5 - GRAVITY, GRAVITY - 10.0 / 1.5
    speed, way = push * 0.1, push * 0.1**2 / 2.0
    top = 1000.0 * (way + speed**2 / (2.0 * pull))
    assert release(thrust, 1500.0, 0.0, top + 0.01) is None
    found = release(thrust, 1500.0, 0.0, top - 100.0)
    assert found is not None
    assert found.speed == pytest.approx(math.sqrt(2.0 * pull * 0.1), rel=1e-6)


def test_the_first_push() -> None:
    """By hand from the demo's table: 2.5 + 21.04 + 13.65 = 37.19 N s in 0.3 s; zeros ahead of it do not count."""
    assert first_push(DEMO) == pytest.approx(37.19 / 0.3, rel=1e-12)
    late = Thrust((0.0, *(1.0 + time for time in DEMO.times)), (0.0, *DEMO.thrusts))
    assert first_push(late) == pytest.approx(37.19 / 0.3, rel=1e-12)
    assert first_push(Thrust((0.0, 0.1), (80.0, 40.0))) == pytest.approx(60.0)


def test_what_drag_takes() -> None:
    """With drag, C_d 0.5 on 66 mm, 12.26468064 in the place of 12.27110631 m/s (derived, in closed form)."""
    area = math.pi * 66.0**2 / 4.0
    share = drag_share(0.5, area, 1.225, 1500.0, 1500.0)
    assert share == pytest.approx(1.0 - 12.26468064 / 12.27110631, rel=1e-3)


def test_guided_travel() -> None:
    """1.8 m of rail, 0.15 m of stand-off, a button 0.05 m up: 1.6 m (derived)."""
    assert Rail(1800.0).travel(50.0) == pytest.approx(1600.0)
    assert Rail(1800.0, 0.0).travel(50.0) == pytest.approx(1750.0)
    assert [(rail.length, rail.stand_off, rail.is_stated) for rail in usual_rails(100.0)] == [
        (1800.0, 100.0, False),
        (2400.0, 100.0, False),
        (3000.0, 100.0, False),
    ]


@pytest.mark.parametrize("length", [0.0, -1.0, math.inf, math.nan])
def test_no_rail_has_such_a_length(length: float) -> None:
    with pytest.raises(PartError, match="length: must be above 0 mm"):
        Rail(length)


@pytest.mark.parametrize("stand_off", [-1.0, math.inf, math.nan])
def test_no_rail_has_such_a_stand_off(stand_off: float) -> None:
    with pytest.raises(PartError, match="stand_off: must be 0 mm or more"):
        Rail(1800.0, stand_off)


@pytest.mark.parametrize(
    ("mass", "propellant", "travel", "message"),
    [
        (0.0, 0.0, 1.0, "mass: must be above 0 g, got 0 g"),
        (math.nan, 0.0, 1.0, "mass: must be above 0 g"),
        (100.0, 99.5, 1.0, "propellant: must be from 0 to 99 g of a mass of 100 g, got 99.5 g"),
        (100.0, -1.0, 1.0, "propellant: must be from 0"),
        (100.0, 1.0, 0.0, "travel: must be above 0 mm, got 0 mm"),
        (100.0, 1.0, math.inf, "travel: must be above 0 mm"),
    ],
)
def test_what_is_out_of_range_is_said(mass: float, propellant: float, travel: float, message: str) -> None:
    with pytest.raises(PartError, match=message):
        release(STEADY, mass, propellant, travel)


@pytest.mark.parametrize("lasts", [0.0, -1.0, math.inf, math.nan])
def test_a_first_moment_lasts(lasts: float) -> None:
    with pytest.raises(PartError, match="lasts: must be above 0 s"):
        first_push(DEMO, lasts)
