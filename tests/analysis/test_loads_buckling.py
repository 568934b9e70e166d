"""Buckling of walls by hand.

Sources: NASA SP-8007, 1968, and NASA SP-8019, 1968 (both from memory); numbers worked from their formulas by hand. The
classical stress of a cylinder, 0.605 E t / R at a Poisson's ratio of 0.3, stands in any handbook of shells.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from airframe_samples import DEMANDS, MOTOR, airframe_rocket, named, nose, with_part
from rocket_samples import tube_part

from ferrule.analysis.air_stream import air_stream
from ferrule.analysis.demands import Demands
from ferrule.analysis.limits import Check, limits
from ferrule.analysis.loads.bending import Gust, bent
from ferrule.analysis.loads.buckling import (
    buckling_checks,
    cone_force,
    cone_pressure,
    cylinder_stress,
    knock_down,
)
from ferrule.analysis.loads.walls import walls
from ferrule.analysis.rocket import Rocket


def found_for(rocket: Rocket, demands: Demands = DEMANDS, gust: Gust = Gust()) -> tuple[Check, ...]:
    air = air_stream(rocket)
    assert air is not None
    return tuple(buckling_checks(rocket, air, MOTOR, demands, limits(), gust))


def test_the_knock_down_of_cylinders() -> None:
    # R / t = 256: sqrt 16, 1 - 0.901 (1 - 1 / e) = 0.43046.
    assert knock_down(256.0) == pytest.approx(1.0 - 0.901 * (1.0 - math.exp(-1.0)), rel=1e-12)
    assert knock_down(256.0) == pytest.approx(0.43046, abs=5e-6)
    assert knock_down(256.0, bending=True) == pytest.approx(0.53792, abs=5e-6)
    assert knock_down(25.0) > knock_down(100.0) > knock_down(1000.0)


def test_the_stress_of_a_cylinder() -> None:
    # 0.605 E t / R (three digits), times the knock-down: E 2000 MPa, R 32.5, t 1 mm.
    found = cylinder_stress(2000.0, 32.5, 1.0)
    assert found / knock_down(32.5) == pytest.approx(0.605 * 2000.0 / 32.5, rel=1e-3)


def test_the_force_of_a_cone() -> None:
    # 0.33 x 2 pi x 1500 x 1.6^2 x cos(10 deg)^2 / sqrt(2.73), worked by hand: 4673.9 N.
    found = cone_force(1500.0, 33.0, 1.6, math.radians(10.0))
    by_hand = 0.33 * 6.283185307 * 1500.0 * 2.56 * 0.969846310 / 1.652271164
    assert found == pytest.approx(by_hand, rel=1e-8)
    # A thin one is held to the cylinder's knock-down, which is less there.
    assert cone_force(1500.0, 800.0, 1.0, 0.1) < 0.33 / 0.3 * cone_force(1500.0, 33.0, 1.0, 0.1)


def test_the_pressure_of_a_cone() -> None:
    # r = 32.2 / (2 cos a), tan a = 32.2 / 200: r = 16.3073; L / r = 12.2644; (r / 1.6)^2.5 = 331.63.
    found = cone_pressure(1500.0, 32.2, 1.6, 200.0)
    mean = 32.2 / 2.0 * math.sqrt(1.0 + (32.2 / 200.0) ** 2)
    assert mean == pytest.approx(16.3073, abs=1e-4)
    assert found == pytest.approx(0.92 * 0.75 * 1500.0 / (200.0 / mean * (mean / 1.6) ** 2.5), rel=1e-12)
    assert cone_pressure(1500.0, 32.2, 3.2, 200.0) == pytest.approx(2.0**2.5 * found, rel=1e-12)


def test_load_of_a_tube_by_hand() -> None:
    rocket = airframe_rocket()
    air = air_stream(rocket)
    assert air is not None
    gust = bent(rocket, air, MOTOR, DEMANDS)
    assert gust is not None
    tube = next(wall for wall in walls(rocket) if wall.name == "booster tube")
    worst = gust.worst(tube, DEMANDS)
    load = worst.along + 2.0 * worst.moment / 32.5
    bears = cylinder_stress(2000.0, 32.5, 1.0) * 2.0 * math.pi * 32.5
    check = named(found_for(rocket), "booster tube: buckling")
    assert check.value == f"{load:.0f} N of {bears:.0f} N: {bears / load:.1f} times"
    assert check.status == "pass"


def test_nothing_ahead_of_a_place_is_heavier_than_all() -> None:
    """Compression is at most the whole rocket without its motor, sped up, and the drag."""
    rocket = airframe_rocket()
    air = air_stream(rocket)
    assert air is not None
    gust = bent(rocket, air, MOTOR, DEMANDS)
    assert gust is not None
    whole = sum(one.total for one in gust.hung)
    for wall in walls(rocket):
        assert 15.0 <= gust.worst(wall, DEMANDS).along <= whole * 0.1 + 15.0 + 1e-9


@pytest.mark.parametrize(("acceleration", "status"), [(100.0, "pass"), (4000.0, "warn"), (12000.0, "fail")])
def test_statuses_of_a_tube(acceleration: float, status: str) -> None:
    found = found_for(airframe_rocket(), replace(DEMANDS, acceleration=acceleration))
    assert named(found, "booster tube: buckling").status == status


@pytest.mark.parametrize(("pressure", "status"), [(8700.0, "pass"), (9e4, "warn"), (2e5, "fail")])
def test_statuses_of_a_nose(pressure: float, status: str) -> None:
    found = found_for(airframe_rocket(), replace(DEMANDS, dynamic_pressure=pressure))
    assert named(found, "nose: buckling under the air's pressure").status == status


def test_a_solid_nose_has_no_wall() -> None:
    solid = nose(body="solid").part
    found = found_for(with_part(airframe_rocket(), "nose", solid))
    for name in ("nose, body: buckling", "nose, shoulder: buckling", "nose: buckling under the air's pressure"):
        assert (named(found, name).status, named(found, name).value) == ("pass", "solid")


def test_a_wall_thinner_than_the_tests_were_warns() -> None:
    rocket = airframe_rocket()
    thin = tube_part(length="450 mm", inside_diameter="65.96 mm", material="steel")
    check = named(found_for(with_part(rocket, "booster tube", thin)), "booster tube: buckling")
    assert check.status == "warn"
    assert "beyond the 1500" in check.note


def test_not_stated() -> None:
    rocket = airframe_rocket()
    weighed = replace(rocket, items=tuple(replace(one, stated_mass=60.0) for one in rocket.items))
    bare = with_part(with_part(weighed, "nose", nose(material=None).part), "payload tube", tube_part(length="250 mm"))
    found = found_for(bare)
    assert [one.name for one in found if one.status == "not-stated"] == [
        "nose, body: buckling, small",
        "nose, shoulder: buckling, small",
        "payload tube: buckling, small",
        "nose: buckling under the air's pressure, small",
    ]
    assert "enter `material` for nose" in named(found, "nose, body: buckling").note
    stormy = found_for(rocket, gust=Gust(60.0, "a storm"))
    assert "beyond 15 deg" in named(stormy, "booster tube: buckling").note
