"""The swing of a rocket about its centre of gravity, by hand and by moving it step by step.

The equation of a swing with damping is in any text on vibrations; what it is fed with is derived from the velocity of
each item through the air, which the last test works out anew without making angles small.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from ferrule.analysis.aero.damping import APPROXIMATE, CREEPING, LEFT_OUT, UNSTABLE, Swing, swing
from ferrule.analysis.aero.normal_force import NormalForce
from ferrule.parts.errors import PartError

NOSE = NormalForce(2.0, 100.0, "invented")
FINS = NormalForce(8.0, 1000.0, "invented")
CG, INERTIA, DIAMETER = 700.0, 1.2e8, 66.0
"""Station [mm], 0.12 kg m2 in g mm2, and diameter [mm]."""

EXACT = 1e-12


def found(**changes: float) -> Swing:
    values = {"cg": CG, "transverse_inertia": INERTIA, "speed": 20.0, "density": 1.225, "reference_diameter": DIAMETER}
    return swing((NOSE, FINS), **{**values, **changes})


def stated(value: float | None) -> float:
    assert value is not None
    return value


def test_by_hand() -> None:
    """Pressure 245 Pa, area 3.4211944e-3 m2, levers -0.6 and 0.3 m.

    Sums: 2 (-0.6) + 8 x 0.3 = 1.2 m, 2 x 0.36 + 8 x 0.09 = 1.44 m2.
    """
    one = found()
    area = math.pi * 0.033**2
    assert one.restoring == pytest.approx(245.0 * area * 1.2, rel=EXACT)
    assert one.restoring == pytest.approx(1.0058311, rel=1e-7)
    assert one.damping == pytest.approx(245.0 * area * 1.44 / 20.0, rel=EXACT)
    assert one.inertia == pytest.approx(0.12, rel=EXACT)
    assert one.moment_slope == pytest.approx(1.2 / 0.066, rel=EXACT)
    natural = math.sqrt(1.0058311 / 0.12)
    assert one.frequency == pytest.approx(natural / math.tau, rel=1e-7)
    assert one.frequency == pytest.approx(0.46077, abs=1e-5)
    assert one.damping_ratio == pytest.approx(one.damping / (2.0 * 0.12 * natural), rel=1e-7)
    assert one.swing_length == pytest.approx(20.0 / 0.46077, rel=2e-5)
    assert one.notes == (LEFT_OUT, APPROXIMATE)


def test_speed_makes_it_faster_and_leaves_its_damping_and_its_length() -> None:
    slow, fast = found(speed=20.0), found(speed=60.0)
    assert stated(fast.frequency) == pytest.approx(3.0 * stated(slow.frequency), rel=EXACT)
    assert fast.damping_ratio == pytest.approx(slow.damping_ratio, rel=EXACT)
    assert fast.swing_length == pytest.approx(slow.swing_length, rel=EXACT)


def test_a_rocket_twice_as_large_swings_half_as_fast() -> None:
    """Moments grow with the third power of the size, inertia at the same density with the fifth."""
    large = swing(
        (replace(NOSE, station=200.0), replace(FINS, station=2000.0)), 2.0 * CG, 32.0 * INERTIA, 20.0, 1.225, 132.0
    )
    assert stated(large.frequency) == pytest.approx(stated(found().frequency) / 2.0, rel=EXACT)
    assert large.damping_ratio == pytest.approx(found().damping_ratio, rel=EXACT)


def test_what_coefficients_refer_to_does_not_matter() -> None:
    share = (66.0 / 80.0) ** 2
    other = swing((replace(NOSE, slope=2.0 * share), replace(FINS, slope=8.0 * share)), CG, INERTIA, 20.0, 1.225, 80.0)
    assert other.restoring == pytest.approx(found().restoring, rel=EXACT)
    assert other.damping == pytest.approx(found().damping, rel=EXACT)


def test_the_same_margin_on_small_fins_turns_back_less() -> None:
    """Why the moment is shown beside the margin: half of every slope has the same centre of pressure."""
    weak = swing((replace(NOSE, slope=1.0), replace(FINS, slope=4.0)), CG, INERTIA, 20.0, 1.225, DIAMETER)
    assert weak.restoring == pytest.approx(found().restoring / 2.0, rel=EXACT)
    assert stated(weak.frequency) == pytest.approx(stated(found().frequency) / math.sqrt(2.0), rel=EXACT)


@pytest.mark.parametrize("cg", [820.0, 900.0])
def test_without_a_margin_nothing_turns_it_back(cg: float) -> None:
    """Centre of pressure (2 x 100 + 8 x 1000) / 10 = 820 mm."""
    one = found(cg=cg)
    assert one.restoring == pytest.approx(245.0 * math.pi * 0.033**2 * 10.0 * (820.0 - cg) / 1000.0, abs=1e-12)
    if cg > 820.0:
        assert one.frequency is one.damping_ratio is one.damped_frequency is one.swing_length is None
        assert one.notes == (UNSTABLE,)


def test_a_light_rocket_in_thick_air_creeps_back() -> None:
    one = found(transverse_inertia=2e4)
    assert stated(one.damping_ratio) > 1.0
    assert one.damped_frequency is None
    assert one.notes == (LEFT_OUT, APPROXIMATE, CREEPING)


def test_a_couple_turns_and_damps_nothing() -> None:
    waist = NormalForce(0.0, None, "invented", (), 40.0)
    one = swing((NOSE, FINS, waist), CG, INERTIA, 20.0, 1.225, DIAMETER)
    area = math.pi * 0.033**2
    assert one.restoring == pytest.approx(245.0 * area * 1.24, rel=EXACT)
    assert one.damping == pytest.approx(found().damping, rel=EXACT)


@pytest.mark.parametrize("name", ["transverse_inertia", "speed", "density", "reference_diameter"])
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_values_that_cannot_be(name: str, value: float) -> None:
    with pytest.raises(PartError, match=f"{name}: must be above 0"):
        found(**{name: value})


def test_step_by_step() -> None:
    """Each item sees the air with its own velocity; a swing of 0.1 deg from rest gives period and damping.

    Angles of 0.1 deg leave the sines within 1e-6; the zeros are those of the integration, to 1e-8.
    """
    speed = 20.0
    items = tuple((force.slope, (stated(force.station) - CG) / 1000.0) for force in (NOSE, FINS))

    def motion(_: float, y: np.ndarray) -> list[float]:
        angle, rate = y
        moment = 0.0
        for slope, lever in items:
            across, along = speed * math.sin(angle) + rate * lever, speed * math.cos(angle)
            pressure = 0.5 * 1.225 * (across**2 + along**2)
            moment -= pressure * math.pi * 0.033**2 * slope * math.atan2(across, along) * lever
        return [rate, moment / 0.12]

    def middle(_: float, y: np.ndarray) -> float:
        return float(y[0])

    middle.direction = -1.0  # type: ignore[attr-defined]
    path = solve_ivp(motion, (0.0, 12.0), [math.radians(0.1), 0.0], events=middle, rtol=1e-10, atol=1e-14)
    times, rates = path.t_events[0], path.y_events[0][:, 1]
    one = found()
    period = float(np.mean(np.diff(times)))
    assert 1.0 / period == pytest.approx(stated(one.damped_frequency), rel=1e-5)
    decrement = math.log(float(rates[0] / rates[1]))
    ratio = decrement / math.hypot(decrement, math.tau)
    assert ratio == pytest.approx(stated(one.damping_ratio), rel=1e-4)
