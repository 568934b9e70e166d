"""Checks of the launch: rules of 19 CCR 1036 (20 degrees, 20 mph); margins are held to what finds them at the exit."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from ferrule.analysis.launch import Launch
from ferrule.analysis.launch_checks import launch_checks
from ferrule.analysis.limits import Check, limits
from ferrule.analysis.wind_at_exit import wind_at_exit
from ferrule.app.design import Design
from ferrule.app.design_file import load

MARRAM = Path(__file__).parents[2] / "examples" / "marram" / "marram.toml"
MARGIN = "margin in wind at the rail's exit, DEMO-29"


@cache
def design() -> Design:
    return load(MARRAM)


def found(launch: Launch) -> dict[str, Check]:
    one = design()
    return {check.name: check for check in launch_checks(launch, one.air, one.loadings, one.leaving, limits())}


@pytest.mark.parametrize(("degrees", "status"), [(5.0, "pass"), (20.0, "pass"), (20.5, "warn"), (30.0, "warn")])
def test_a_rail_that_leans_more_than_20_degrees_is_told(degrees: float, status: str) -> None:
    check = found(Launch(tilt=math.radians(degrees)))["tilt of the rail"]
    assert (check.status, check.value) == (status, f"{degrees:g} deg")
    assert "19 CCR 1036" in check.source


def test_an_upright_rail_needs_no_word() -> None:
    assert "tilt of the rail" not in found(Launch())


@pytest.mark.parametrize(("wind", "status"), [(8.9, "pass"), (9.0, "warn"), (12.0, "warn")])
def test_a_wind_above_20_mph_is_told(wind: float, status: str) -> None:
    assert pytest.approx(8.94, abs=0.001) == 20.0 * 0.44704
    assert found(Launch(winds=(2.0, wind)))["greatest wind to fly in"].status == status


def test_the_margin_in_a_stated_wind_is_that_of_the_exit_and_warns_below_a_calibre() -> None:
    one = design()
    cg = next(state.mass.cg[0] for state in one.loadings if state.name == "liftoff" and state.mass)
    forward = one.leaving[0].forward
    assert forward is not None
    assert one.air is not None
    rows = wind_at_exit(one.air, cg, forward.speed, (2.0, 4.0)).rows
    margins = [row.margin_calibres for row in rows]
    assert margins[0] is not None
    assert margins[1] is not None
    assert margins[0] > 1.0 > margins[1]
    light, strong = found(Launch(winds=(2.0,)))[MARGIN], found(Launch(winds=(2.0, 4.0)))[MARGIN]
    assert (light.status, strong.status) == ("pass", "warn")
    assert strong.value == f"{margins[0]:.2f} calibres in 2 m/s, {margins[1]:.2f} calibres in 4 m/s"
    assert strong.note.startswith("it may turn into the wind as it leaves the rail in 4 m/s")


def test_beyond_15_degrees_nothing_passes() -> None:
    check = found(Launch(winds=(2.0, 8.0)))[MARGIN]
    assert check.status == "warn"
    assert check.value is not None
    assert check.value.endswith("not known from 8 m/s, beyond 15 deg")


def test_a_launch_that_nobody_states_is_held_to_nothing_but_its_tilt() -> None:
    assert not found(Launch(is_stated=False))


def test_without_a_body_the_margin_is_not_stated() -> None:
    one = design()
    checks = {check.name: check for check in launch_checks(Launch(), None, one.loadings, one.leaving, limits())}
    assert checks[MARGIN].status == "not-stated"
    held = [replace(row, forward=None) for row in one.leaving]
    checks = {check.name: check for check in launch_checks(Launch(), one.air, one.loadings, held, limits())}
    assert checks[MARGIN].status == "not-stated"
