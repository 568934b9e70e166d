"""Drift: plain products, by hand."""

from __future__ import annotations

import math

import pytest

from ferrule.analysis.flight.drift import drift, time_within
from ferrule.parts.errors import PartError


def test_500_m_at_6_m_s_in_4_m_s_of_wind_is_333_m() -> None:
    (row,) = drift(500.0 / 6.0, (4.0,))
    assert row.radius == row.under_parachute == pytest.approx(333.333333, abs=1e-5)
    assert row.before is None


def test_the_way_before_adds_whichever_way_it_went() -> None:
    into, away = drift(60.0, (0.0, 5.0), 40.0), drift(60.0, (0.0, 5.0), -40.0)
    assert [row.radius for row in into] == [row.radius for row in away] == [40.0, 340.0]
    assert [row.under_parachute for row in into] == [0.0, 300.0]
    assert [row.before for row in away] == [-40.0, -40.0]
    assert [row.downwind for row in into] == [-40.0, 260.0]
    assert [row.downwind for row in away] == [40.0, 340.0]
    assert drift(60.0, (5.0,))[0].downwind is None


def test_each_wind_may_have_its_own_way() -> None:
    rows = drift(10.0, (2.0, 4.0), (5.0, -12.0))
    assert [row.radius for row in rows] == [25.0, 52.0]
    assert drift(10.0, ()) == ()


def test_the_time_that_keeps_it_within_a_field() -> None:
    assert time_within(300.0, 5.0) == 60.0
    assert time_within(300.0, 0.0) is None
    time = time_within(250.0, 4.0)
    assert time is not None
    assert drift(time, (4.0,))[0].radius == pytest.approx(250.0)


def test_values_that_cannot_be_are_refused() -> None:
    with pytest.raises(PartError, match="time: must be 0 s or more, got -1 s"):
        drift(-1.0, (2.0,))
    with pytest.raises(PartError, match="wind: must be 0 m/s or more, got nan m/s"):
        drift(1.0, (math.nan,))
    with pytest.raises(PartError, match="before: must be one for each of 2 winds, got 1"):
        drift(1.0, (2.0, 4.0), (5.0,))
    with pytest.raises(PartError, match="radius and wind: must be 0 or more"):
        time_within(-1.0, 2.0)
