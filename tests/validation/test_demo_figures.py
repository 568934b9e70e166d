"""The figures of the demo, by hand and by other means than the product's: examples/marram/NOTES.md shows both.

By hand: the 1966 report's equations with rough masses, worked before the parts existed. The flight is integrated here
with scipy, drag after v^2 at constant coefficient, density by the scale height of 8.5 km (elementary physics).
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from ferrule.analysis.aero.fins import one_fin_slope
from ferrule.analysis.aero.interference import body_interference
from ferrule.analysis.aero.planform import planform
from ferrule.analysis.flight.result import Flight
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.stability import normal_forces
from ferrule.app.design import Design
from ferrule.app.design_file import load

FOLDER = Path(__file__).resolve().parents[2] / "examples" / "marram"
GRAVITY = 9.80665
RAIL, STAND_OFF = 2.4, 0.15
BY_HAND = {"bare": (961.0, 649.0), "liftoff": (1151.0, 715.0), "burnout": (1061.0, 687.0)}


@pytest.fixture(scope="module")
def design() -> Design:
    return load(FOLDER / "marram.toml")


def test_the_centre_of_pressure_is_that_by_hand(design: Design) -> None:
    """The hand figures take a sharp nose and one diameter of 68.4 mm.

    The tip rounded to 2 mm moves the nose's centre of pressure forward by 0.8 mm, and with it the whole one's by 0.2;
    the step of 0.1 mm to the tube moves it by 0.1 mm at most.
    """
    forces = normal_forces(design.rocket)
    nose = (forces["nose"], forces["payload tube"])
    assert sum(force.slope for force in nose) == pytest.approx(2.0, rel=1e-9)
    assert sum(force.moment for force in nose) / 2.0 == pytest.approx(125.0 - 0.8, abs=0.1)
    (fins,) = design.rocket.fin_sets
    assert one_fin_slope(planform(fins.planform), 68.4) == pytest.approx(2.6025, abs=5e-5)
    assert body_interference(34.2, 58.0) == pytest.approx(1.3709, abs=5e-5)
    assert forces["fin"].slope == pytest.approx(7.1358, abs=2e-4)
    assert forces["fin"].station == pytest.approx(1065.56, abs=0.01)
    assert design.stability is not None
    assert design.stability.normal_force.station == pytest.approx(859.65 - 0.18, abs=0.1)


def test_masses_and_margins_are_near_those_by_hand(design: Design) -> None:
    """Real parts weigh some 74 g more than the rough figures and balance 1 to 5 mm ahead of them: NOTES.md says why."""
    for loading, (mass, cg) in zip(design.loadings, BY_HAND.values(), strict=True):
        assert loading.mass is not None
        assert loading.mass.mass == pytest.approx(mass, abs=80.0)
        assert loading.mass.cg[0] == pytest.approx(cg, abs=6.0)
    bare, liftoff, burnout = design.loadings
    assert liftoff.margin_calibres == pytest.approx(2.1, abs=0.12)
    assert burnout.margin_calibres == pytest.approx(2.5, abs=0.12)
    assert bare.mass is not None
    assert liftoff.mass is not None
    assert burnout.mass is not None
    # The motor by hand: 190 g, 100 g after the burn, its middle at 1,158 - 110 mm.
    for loaded, motor in ((liftoff.mass, 190.0), (burnout.mass, 100.0)):
        together = bare.mass.mass + motor
        assert loaded.mass == pytest.approx(together, abs=1e-9)
        assert loaded.cg[0] == pytest.approx((bare.mass.mass * bare.mass.cg[0] + motor * 1048.0) / together, abs=1e-9)


def test_ten_grams_in_the_nose(design: Design) -> None:
    """By hand: 10 g at station 60 adds about 0.08 calibres, of a rocket of 1,151 g; this one is heavier."""
    before = design.loadings[1]
    ballast = Item("ballast", (60.0,), stated_mass=10.0)
    heavier = Rocket(design.name, (*design.rocket.items, ballast))
    from ferrule.analysis.loading import loadings

    after = loadings(heavier, design.motors)[1]
    assert after.margin_calibres is not None
    assert before.margin_calibres is not None
    assert after.margin_calibres - before.margin_calibres == pytest.approx(
        0.080 * 1161.0 / 1235.0 * 650.2 / 655.0, abs=0.004
    )


def test_impulse_and_mean_thrust(design: Design) -> None:
    """By hand: 168.1 N s over 1.6 s, a mean of 105 N; above 160 N s and 80 N it is high power (association codes)."""
    thrust = design.motors[0].thrust
    assert thrust is not None
    assert thrust.total_impulse == pytest.approx(168.1, abs=0.05)
    assert thrust.mean == pytest.approx(105.0, abs=0.2)


def flight(design: Design, liftoff: float, drag: float) -> dict[str, float]:
    """Straight up: speed as the forward button leaves the rail, highest speed, height, coast from burnout; SI units."""
    motor = design.motors[0]
    assert motor.thrust is not None
    times, thrusts = np.array(motor.thrust.times), np.array(motor.thrust.thrusts)
    total, area = float(np.trapezoid(thrusts, times)), math.pi * 0.0684**2 / 4.0
    fine = np.linspace(0.0, times[-1], 4001)
    spent = np.concatenate([[0.0], np.cumsum((f := np.interp(fine, times, thrusts))[1:] + f[:-1]) / 2.0 * fine[1]])

    def slope(t: float, y: np.ndarray) -> list[float]:
        mass = liftoff - 0.090 * float(np.interp(t, fine, spent)) / total
        push = float(np.interp(t, times, thrusts, right=0.0))
        pull = 0.5 * 1.225 * math.exp(-y[0] / 8500.0) * drag * area * y[1] * abs(y[1])
        rise = (push - pull) / mass - GRAVITY
        return [float(y[1]), 0.0 if y[0] <= 0.0 and rise < 0.0 else rise]

    burn = solve_ivp(slope, (0.0, times[-1]), [0.0, 0.0], max_step=0.002, rtol=1e-8)

    def apex(_: float, y: np.ndarray) -> float:
        return float(y[1])

    apex.terminal = True  # type: ignore[attr-defined]
    coast = solve_ivp(slope, (times[-1], 60.0), burn.y[:, -1], events=apex, rtol=1e-8)
    # The rocket stands on its aft end, 1,150 mm; the forward button sits at 920 mm.
    travel = RAIL - (1.150 - 0.920)
    return {
        "rail": float(np.interp(travel, burn.y[0], burn.y[1])),
        "rail with stand-off": float(np.interp(travel - STAND_OFF, burn.y[0], burn.y[1])),
        "highest speed": float(burn.y[1].max()),
        "height": float(coast.y[0, -1]),
        "coast": float(coast.t[-1] - times[-1]),
    }


@pytest.mark.parametrize(("drag", "speed", "height", "coast"), [(0.45, 126.0, 613.0, 9.3), (0.65, 123.0, 530.0, 8.4)])
def test_the_flight_by_hand_comes_out_again(
    design: Design, drag: float, speed: float, height: float, coast: float
) -> None:
    found = flight(design, 1.151, drag)
    assert found["highest speed"] == pytest.approx(speed, abs=0.6)
    assert found["height"] == pytest.approx(height, abs=1.0)
    assert found["coast"] == pytest.approx(coast, abs=0.06)
    assert found["rail with stand-off"] == pytest.approx(20.8, abs=0.1)
    assert found["rail"] == pytest.approx(21.6, abs=0.1)


def test_the_rail_exit_is_that_of_the_flight_with_drag(design: Design) -> None:
    """Buttons at 923 mm and an aft end at 1,158 mm, where the flight by hand has 920 and 1,150; drag takes 0.2 %."""
    (found,) = (one for one in design.leaving if one.rail.length == 2400.0)
    assert found.forward is not None
    assert found.mass is not None
    assert found.forward.speed == pytest.approx(
        flight(design, found.mass / 1000.0, 0.45)["rail with stand-off"], abs=0.1
    )


def descent(mass: float) -> float:
    """Steady speed under 0.90 m flat, coefficient 0.75 on its constructed area, at 1.225 kg/m3 [m/s]."""
    return math.sqrt(8.0 * mass * GRAVITY / (math.pi * 1.225 * 0.75 * 0.90**2))


def test_descent_and_wind() -> None:
    assert descent(1.061) == pytest.approx(6.0, abs=0.05)
    assert math.degrees(math.atan2(6.0, 20.8)) == pytest.approx(16.0, abs=0.2)


def test_the_note_beside_the_demo_says_what_is_found(design: Design) -> None:
    """Every number in the column of the note that is Ferrule's, and in that with Ferrule's masses."""
    text = (FOLDER / "NOTES.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| ([^|]+?) \| (?:[^|]*)\| ([^|]+?) \|", text, re.MULTILINE))
    last = dict(re.findall(r"^\| ([^|]+?) \| (?:[^|]*)\| (?:[^|]*)\| ([^|]+?) \|$", text, re.MULTILINE))
    assert design.stability is not None
    assert rows["CP of the whole"] == f"{design.stability.normal_force.station:.1f} mm"
    for name, loading in zip(("Without a motor", "At liftoff", "At burnout"), design.loadings, strict=True):
        assert loading.mass is not None
        assert rows[name] == f"{loading.mass.mass:,.0f} g at {loading.mass.cg[0]:.0f} mm"
    margins = [f"{loading.margin_calibres:.2f}" for loading in design.loadings[1:]]
    assert rows["Margin at liftoff, burnout"] == f"{', '.join(margins)} calibres"
    liftoff, burnout = (loading.mass.mass / 1000.0 for loading in design.loadings[1:] if loading.mass)
    slow, fast = flight(design, liftoff, 0.65), flight(design, liftoff, 0.45)
    for name, values, near in (
        ("Speed as the forward button leaves a 2.4 m rail", (fast["rail with stand-off"], fast["rail"]), 0.06),
        ("Descent under the parachute, after burnout", (descent(burnout),), 0.006),
        (
            "Highest speed at a drag coefficient of 0.45, 0.65",
            (fast["highest speed"], slow["highest speed"]),
            0.06,
        ),
        ("Height", (fast["height"], slow["height"]), 0.6),
        ("Coast from burnout", (fast["coast"], slow["coast"]), 0.06),
    ):
        written = [float(number) for number in re.findall(r"[0-9.]+", last[name])]
        assert written == pytest.approx(list(values), abs=near), name


def test_the_flight_from_the_geometry_lies_between_those_of_the_two_coefficients(design: Design) -> None:
    """Demo figures by hand take 0.45 to 0.65; the atmosphere of the test is another one, good to 2 m of the height."""
    (flown,) = design.flights
    assert isinstance(flown.flight, Flight)
    assert flown.descent is not None
    mass = flown.flight.vehicle.mass / 1000.0
    slow, fast = flight(design, mass, 0.65), flight(design, mass, 0.45)
    assert 0.45 < flown.flight.vehicle.drag.coefficient(100.0, burning=False) < 0.65
    assert slow["highest speed"] < flown.flight.greatest_speed.value < fast["highest speed"]
    assert slow["height"] < flown.flight.apogee.height < fast["height"]
    assert slow["coast"] < flown.flight.coast_time < fast["coast"]
    assert flown.flight.exit is not None
    text = (FOLDER / "NOTES.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| ([^|]+?) \| ([^|]+?) \|$", text, re.MULTILINE))
    assert rows["Speed as the forward button leaves the rail"] == f"{flown.flight.exit.speed:.1f} m/s"
    assert rows["Greatest speed"] == f"{flown.flight.greatest_speed.value:.1f} m/s"
    assert rows["Apogee"] == f"{flown.flight.apogee.height:.0f} m"
    assert rows["Coast from burnout, the delay that is wanted"] == f"{flown.flight.coast_time:.1f} s"
    assert rows["Descent at the ground"] == f"{flown.descent.speed:.2f} m/s"
