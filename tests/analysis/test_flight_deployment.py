"""Height and speed as the parachute comes out, against closed forms of the coast.

Constant mass, thrust and density (derived): with v_t = sqrt(2 m g / (rho C_D A)) the speed t after burnout is
v_t tan(atan(v_b / v_t) - g t / v_t); past the apogee v_t tanh(g t / v_t), the height less by
v_t^2 / g ln cosh(g t / v_t). Without drag it is a parabola. The steps of the flight are held to 1e-10, so 1e-6 of a
figure is left for them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest

from ferrule.analysis.drag_curve import stated_drag
from ferrule.analysis.flight.deployment import (
    COUNTED,
    deployment,
    deployments,
    expected,
    moment,
    nearest,
    tolerance_of,
    window,
)
from ferrule.analysis.flight.fly import fly
from ferrule.analysis.flight.result import Flight
from ferrule.analysis.flight.vehicle import Vehicle
from ferrule.analysis.launch import Launch
from ferrule.analysis.motor import Thrust
from ferrule.analysis.rail_exit import GRAVITY
from ferrule.parts.errors import PartError

AREA = math.pi * 33.0**2


@dataclass(frozen=True)
class EvenAir:
    """Air of sea level at every height."""

    def density_and_sound(self, height: float) -> tuple[float, float]:
        return 1.225 + 0.0 * height, 340.294


def flown(drag: float = 0.5, burn: float = 2.0, thrust: float = 90.0) -> Flight:
    vehicle = Vehicle(1500.0, 0.0, Thrust((0.0, burn), (thrust, thrust)), stated_drag(drag, AREA, "closed form"))
    found = fly(vehicle, Launch(), EvenAir(), rtol=1e-10)
    assert isinstance(found, Flight)
    return found


WITH_DRAG, PARABOLA = flown(), flown(drag=0.0)
TERMINAL = math.sqrt(1.5 * GRAVITY / (0.5 * 1.225 * 0.5 * AREA * 1e-6))


def test_the_wanted_delay_is_the_coast_in_closed_form() -> None:
    """8.22385646696 s and 459.037635567 m for this case (derived)."""
    assert WITH_DRAG.coast_time == pytest.approx(8.22385646696, rel=1e-6)
    at_apogee = moment(WITH_DRAG, WITH_DRAG.coast_time)
    assert at_apogee.height == pytest.approx(459.037635567, rel=1e-6)
    assert at_apogee.speed == pytest.approx(0.0, abs=1e-4)
    assert at_apogee.words == "at the apogee, 459 m"


@pytest.mark.parametrize("early", [0.5, 1.0, 2.0, 5.0])
def test_early_it_still_climbs(early: float) -> None:
    found = moment(WITH_DRAG, WITH_DRAG.coast_time - early)
    assert found.rising
    assert found.speed == pytest.approx(TERMINAL * math.tan(GRAVITY * early / TERMINAL), rel=1e-5)
    # The way that is left to climb: v_t^2 / 2 g ln(1 + (v / v_t)^2).
    left = TERMINAL**2 / (2.0 * GRAVITY) * math.log1p((found.speed / TERMINAL) ** 2)
    assert found.height == pytest.approx(459.037635567 - left, rel=1e-5)
    assert "rising" in found.words


@pytest.mark.parametrize("late", [0.5, 1.0, 2.0, 5.0])
def test_late_it_falls_without_a_parachute(late: float) -> None:
    found = moment(WITH_DRAG, WITH_DRAG.coast_time + late)
    assert not found.rising
    assert found.speed == pytest.approx(TERMINAL * math.tanh(GRAVITY * late / TERMINAL), rel=1e-5)
    fallen = TERMINAL**2 / GRAVITY * math.log(math.cosh(GRAVITY * late / TERMINAL))
    assert found.height == pytest.approx(459.037635567 - fallen, rel=1e-5)
    assert "falling" in found.words


def test_too_late_it_lies_on_the_ground() -> None:
    found = moment(WITH_DRAG, 60.0)
    assert found.on_the_ground
    assert found.height == 0.0
    assert found.words == "on the ground before that"
    assert found.height_words == "on the ground before 60.0 s"


def test_the_speed_across_adds_at_right_angles() -> None:
    early = PARABOLA.coast_time - 3.0 / GRAVITY
    assert moment(PARABOLA, early).speed == pytest.approx(3.0, rel=1e-5)
    assert moment(PARABOLA, early, 4.0).speed == pytest.approx(5.0, rel=1e-5)


def test_seconds_count_from_burnout() -> None:
    assert moment(WITH_DRAG, 3.0).time == pytest.approx(5.0, rel=1e-12)
    assert COUNTED == "seconds count from burnout, not ignition; trim only with the maker's tool"


def test_the_usual_tolerance_is_the_greater_of_two() -> None:
    """Common practice: 1.5 s or a fifth."""
    assert [tolerance_of(delay).seconds for delay in (0.0, 4.0, 7.5, 10.0)] == [1.5, 1.5, 1.5, 2.0]
    assert "common practice" in tolerance_of(8.0).mark
    assert (tolerance_of(10.0, 0.5).seconds, tolerance_of(10.0, 0.5).mark) == (0.5, "stated")


def test_a_delay_and_its_tolerance() -> None:
    found = deployment(PARABOLA, PARABOLA.coast_time + 1.0, 0.5)
    assert found.nominal.speed == pytest.approx(GRAVITY, rel=1e-5)
    assert found.early.speed == pytest.approx(0.5 * GRAVITY, rel=1e-5)
    assert found.late.speed == pytest.approx(1.5 * GRAVITY, rel=1e-5)
    assert found.fastest is found.late
    assert found.lowest is found.late
    early = deployment(PARABOLA, 0.3)
    assert early.early.delay == 0.0
    assert early.fastest is early.lowest is early.early


@pytest.mark.parametrize("limit", [5.0, 15.0, 20.0])
def test_the_window_of_a_parabola(limit: float) -> None:
    """Without drag the speed is g times the time from the apogee, so the window is limit / g to each side."""
    found = window(PARABOLA, limit, 0.4)
    assert found is not None
    half = limit / GRAVITY
    # The ends are sought to a thousandth of a second.
    assert found.earliest == pytest.approx(PARABOLA.coast_time - half, abs=1.1e-3)
    assert found.latest == pytest.approx(PARABOLA.coast_time + half, abs=1.1e-3)
    assert found.least is not None
    assert found.most is not None
    assert found.least == pytest.approx(found.earliest + 0.4)
    assert found.most == pytest.approx(found.latest - 0.4)
    for delay in (found.least, found.most):
        assert deployment(PARABOLA, delay, 0.4).fastest.speed <= limit + 1e-6


def test_the_window_within_the_usual_tolerance() -> None:
    """Half of the window is 15 / g = 1.53 s, the tolerance of 10 s or so a fifth of it: no delay is sure."""
    found = window(PARABOLA, 15.0)
    assert found is not None
    assert found.least is found.most is None
    assert "no delay stays in that" in found.words


@pytest.mark.parametrize(("flight", "limit"), [(WITH_DRAG, 25.0), (PARABOLA, 30.0)])
def test_a_wide_window_is_as_wide_as_the_usual_tolerance_lets_it(flight: Flight, limit: float) -> None:
    """Of the first 1.5 s decide at the early end, of the second a fifth of 9 s; both late ends are by the fifth."""
    wide = window(flight, limit)
    assert wide is not None
    assert wide.least is not None
    assert wide.most is not None
    assert deployment(flight, wide.least).fastest.speed <= limit + 1e-6
    assert deployment(flight, wide.most).fastest.speed <= limit + 1e-6
    assert deployment(flight, wide.least - 0.01).fastest.speed > limit
    assert deployment(flight, wide.most + 0.01).fastest.speed > limit
    assert "also within their tolerance" in wide.words


def test_where_speed_across_is_too_fast_there_is_no_window() -> None:
    assert window(PARABOLA, 15.0, 0.4, sideways=15.5) is None
    across = window(PARABOLA, 15.0, 0.4, sideways=9.0)
    assert across is not None
    assert across.latest == pytest.approx(PARABOLA.coast_time + 12.0 / GRAVITY, abs=1.1e-3)


def test_a_window_ends_on_the_ground_and_at_burnout() -> None:
    """A hop of some metres never reaches 20 m/s: its window is from burnout to the ground."""
    hop = flown(drag=0.0, burn=0.5, thrust=40.0)
    found = window(hop, 20.0, 0.1)
    assert found is not None
    assert found.earliest == 0.0
    assert found.least == 0.0
    fall = math.sqrt(2.0 * hop.apogee.height / GRAVITY)
    assert found.latest == pytest.approx(hop.coast_time + fall, abs=1.1e-3)


def test_rows_stand_around_the_wanted_delay_and_at_those_stated() -> None:
    found = deployments(WITH_DRAG, (6.0, 10.0))
    wanted = WITH_DRAG.coast_time
    delays = [row.nominal.delay for row in found]
    assert delays == sorted([wanted - 2.0, wanted - 1.0, wanted, wanted + 1.0, wanted + 2.0, 6.0, 10.0])
    hop = flown(drag=0.0, burn=0.5, thrust=40.0)
    assert all(row.nominal.delay >= 0.0 for row in deployments(hop, ()))


def test_the_nearest_delay_is_taken() -> None:
    assert nearest(WITH_DRAG, (4.0, 8.0, 10.0)) == 8.0
    assert nearest(WITH_DRAG, (WITH_DRAG.coast_time - 1.0, WITH_DRAG.coast_time + 1.0)) == WITH_DRAG.coast_time + 1.0
    assert nearest(WITH_DRAG, ()) is None
    assert expected(WITH_DRAG, (4.0, 10.0)).nominal.delay == 10.0
    assert expected(WITH_DRAG, ()).nominal.delay == WITH_DRAG.coast_time


def test_values_that_cannot_be_are_refused() -> None:
    with pytest.raises(PartError, match="delay: must be 0 s or more, got -1 s"):
        moment(WITH_DRAG, -1.0)
    with pytest.raises(PartError, match="delay: must be 0 s or more, got nan s"):
        deployment(WITH_DRAG, math.nan)
    with pytest.raises(PartError, match="delay_tolerance: must be 0 s or more, got -1 s"):
        tolerance_of(5.0, -1.0)
