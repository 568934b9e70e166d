"""The margin at the rail's exit in a wind: plain trigonometry, and the forces that tests/validation holds."""

from __future__ import annotations

import math

import pytest
from rocket_samples import rocket

from ferrule.analysis.aero.at_angle import BEYOND
from ferrule.analysis.aero.cross_flow import CrossFlow
from ferrule.analysis.air_stream import air_stream
from ferrule.analysis.pressure_curve import force_at
from ferrule.analysis.wind_at_exit import (
    HIGHEST_WIND,
    LENGTH_FACTOR,
    wind_at_exit,
    wind_for_margin,
    winds_to,
)
from ferrule.parts.errors import PartError

_FOUND = air_stream(rocket())
assert _FOUND is not None
AIR = _FOUND
CG, SPEED = 540.0, 20.0


def test_in_no_wind_it_is_the_static_margin() -> None:
    """Centre of pressure 675.89397524098 mm (derived from the 1966 report in exact arithmetic)."""
    still = wind_at_exit(AIR, CG, SPEED).rows[0]
    assert (still.wind, still.angle) == (0.0, 0.0)
    assert still.station == pytest.approx(675.89397524098, rel=1e-9)
    assert still.margin == pytest.approx(675.89397524098 - CG, rel=1e-8)
    assert still.margin_calibres == pytest.approx((675.89397524098 - CG) / 66.0, rel=1e-8)


def test_a_wind_of_6_at_20_8_is_sixteen_degrees_and_not_stated() -> None:
    (row,) = wind_at_exit(AIR, CG, 20.8, (6.0,)).rows
    assert math.degrees(row.angle) == pytest.approx(16.09, abs=0.01)
    assert row.station is row.margin is row.margin_calibres is None
    assert BEYOND in row.notes


def test_each_wind_has_its_angle_and_its_margin() -> None:
    found = wind_at_exit(AIR, CG, SPEED, (1.0, 3.0, 5.0))
    for row in found.rows:
        assert math.tan(row.angle) == pytest.approx(row.wind / SPEED, rel=1e-12)
        assert row.station == force_at(AIR, row.angle).station
        assert row.notes == ()
    margins = [row.margin for row in found.rows if row.margin is not None]
    assert margins == sorted(margins, reverse=True)
    assert len(margins) == 3
    assert found.stated_to == pytest.approx(5.35898, abs=1e-5)  # 20 tan 15 deg


def test_winds_go_up_to_twenty_miles_an_hour() -> None:
    """19 CCR 1036: no launch above 20 mph (looked up); a mile is 1,609.344 m."""
    assert pytest.approx(20.0 * 1609.344 / 3600.0, rel=1e-9) == HIGHEST_WIND
    assert winds_to() == (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, HIGHEST_WIND)
    assert winds_to(4.0, 2.0) == (0.0, 2.0, 4.0)
    assert winds_to(0.0) == (0.0,)
    assert [row.wind for row in wind_at_exit(AIR, CG, SPEED).rows] == list(winds_to())


@pytest.mark.parametrize(("cg", "calibres"), [(540.0, 2.0), (540.0, 1.5), (580.0, 1.0)])
def test_the_wind_for_a_margin_has_that_margin(cg: float, calibres: float) -> None:
    wind = wind_for_margin(AIR, cg, SPEED, calibres)
    assert wind is not None
    (row,) = wind_at_exit(AIR, cg, SPEED, (wind,)).rows
    assert row.margin_calibres == pytest.approx(calibres, abs=1e-9)
    twice = wind_for_margin(AIR, cg, 2.0 * SPEED, calibres)
    assert twice == pytest.approx(2.0 * wind, rel=1e-9)


def test_a_margin_that_is_never_or_always_there() -> None:
    assert wind_for_margin(AIR, CG, SPEED, 3.0) == 0.0
    assert wind_for_margin(AIR, CG, SPEED, -3.0) is None


def test_a_centre_of_gravity_ahead_of_the_body_s_middle_says_so() -> None:
    assert LENGTH_FACTOR not in wind_at_exit(AIR, CG, SPEED).notes
    assert LENGTH_FACTOR in wind_at_exit(AIR, 400.0, SPEED).notes


@pytest.mark.parametrize(("cg", "more"), [(400.0, True), (540.0, False)])
def test_what_the_note_says_is_so(cg: float, more: bool) -> None:
    """The whole flow across turns the rocket back more than a part of it does, where it acts behind the CG."""
    for angle in (0.05, 0.1, 0.2):
        whole, part = (force_at(AIR, angle, flow=CrossFlow(length_factor=factor)) for factor in (1.0, 0.6))
        turning = [stated(one.moment) - cg * stated(one.slope) for one in (whole, part)]
        assert (turning[0] > turning[1]) == more


def stated(value: float | None) -> float:
    assert value is not None
    return value


@pytest.mark.parametrize(
    ("speed", "winds", "words"),
    [
        (0.0, (1.0,), "exit_speed: must be above 0 m/s, got 0 m/s"),
        (math.nan, (1.0,), "exit_speed"),
        (20.0, (-1.0,), "wind: must be 0 m/s or more, got -1 m/s"),
        (20.0, (math.inf,), "wind"),
    ],
)
def test_no_such_exit(speed: float, winds: tuple[float, ...], words: str) -> None:
    with pytest.raises(PartError, match=words):
        wind_at_exit(AIR, CG, speed, winds)


def test_no_such_speed_for_a_margin() -> None:
    with pytest.raises(PartError, match="exit_speed"):
        wind_for_margin(AIR, CG, -1.0, 1.0)


@pytest.mark.parametrize(("highest", "step"), [(-1.0, 1.0), (math.nan, 1.0), (9.0, 0.0), (9.0, 1e-6), (0.0, 0.0)])
def test_no_such_winds(highest: float, step: float) -> None:
    with pytest.raises(PartError, match="must be"):
        winds_to(highest, step)
