"""Bending of the rocket as a free body.

Sources: closed forms of a uniform free beam (any mechanics textbook): a force P at one end of a beam of length L makes
the moment P x (1 - x / L)^2, greatest at L / 3 with 4 P L / 27; a force in the middle makes P L / 8 there.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from airframe_samples import DEMANDS, MOTOR, airframe_rocket, named, with_part
from rocket_samples import tube_part

from ferrule.analysis.air_stream import AirStream, air_stream
from ferrule.analysis.limits import limits
from ferrule.analysis.loads.airframe_loads import airframe_checks
from ferrule.analysis.loads.bending import Gust, bending_checks, bent, gust_angle, masses, massless, side_forces
from ferrule.analysis.loads.free_body import FreeBody, spread
from ferrule.analysis.loads.walls import Wall, walls
from ferrule.analysis.mass import combine, total
from ferrule.analysis.pressure_curve import force_at
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.errors import PartError

BEAM = spread("beam", 0.0, 900.0, 1500.0, 450.0)


def air_of(rocket: Rocket) -> AirStream:
    air = air_stream(rocket)
    assert air is not None
    return air


def test_a_force_at_the_end_of_a_uniform_free_beam() -> None:
    body = FreeBody((BEAM,), (spread("tip", 0.0, 0.0, 20.0, 0.0),))
    x = np.linspace(0.0, 900.0, 91)
    assert body.moment(x) == pytest.approx(20.0 * x * (1.0 - x / 900.0) ** 2, abs=1e-9)
    assert float(np.max(body.moment(x))) == pytest.approx(4.0 * 20.0 * 900.0 / 27.0, rel=1e-12)
    # F / m = 20 / 1.5; M / J = -20 x 450 / (1500 x 900^2 / 12), as 1e6 / s2.
    assert body.sideways == pytest.approx(20.0 / 1.5, rel=1e-12)
    assert body.turning == pytest.approx(-20.0 * 450.0 / (1500.0 * 900.0**2 / 12.0) * 1e6, rel=1e-12)


def test_a_force_in_the_middle_of_a_uniform_free_beam() -> None:
    body = FreeBody((BEAM,), (spread("middle", 450.0, 450.0, 20.0, 450.0),))
    assert body.turning == pytest.approx(0.0, abs=1e-9)
    # Half of the beam is held back by its own inertia: at the middle P / 2 x L / 4, of the other sign.
    assert float(body.moment(np.array([450.0]))[0]) == pytest.approx(-20.0 * 900.0 / 8.0, rel=1e-12)


def test_shear_is_the_slope_of_the_moment() -> None:
    body = FreeBody(
        (BEAM, spread("point", 100.0, 100.0, 300.0, 100.0), spread("lean", 200.0, 500.0, 90.0, 380.0)),
        (spread("nose", 0.0, 200.0, 5.0, 120.0), spread("fin", 800.0, 890.0, 17.0, 830.0)),
    )
    x = np.linspace(115.0, 885.0, 78)
    slope = (body.moment(x + 1e-3) - body.moment(x - 1e-3)) / 2e-3
    assert body.shear(x) == pytest.approx(slope, abs=1e-6)


def test_nothing_is_left_at_the_ends() -> None:
    rocket = airframe_rocket()
    found = bent(rocket, air_of(rocket), MOTOR, DEMANDS)
    assert found is not None
    ends = np.array([found.stations[0], found.stations[-1]])
    scale, force = found.greatest[0], sum(abs(one.total) for one in found.body.forces)
    assert np.abs(found.body.moment(ends)).max() <= 1e-9 * scale
    assert abs(float(found.body.shear(ends)[1])) <= 1e-9 * force


@pytest.mark.parametrize("middle", [10.0, 25.0, 33.0, 40.0, 50.0, 61.0, 70.0, 95.0])
def test_a_spread_keeps_its_total_and_its_middle(middle: float) -> None:
    one = spread("it", 0.0, 100.0, 7.0, middle)
    end = np.array([100.0])
    assert float(one.before(end)[0]) == pytest.approx(7.0, rel=1e-12)
    assert float(one.moment_before(end)[0]) == pytest.approx(7.0 * (100.0 - middle), rel=1e-12)
    assert np.all(np.diff(one.before(np.linspace(0.0, 100.0, 101))) >= -1e-12), "no negative density"


def test_the_second_moment_of_a_triangle() -> None:
    # A density that falls from its forward end to nothing over L: total L^2 / 18 about its middle, at L / 3.
    assert spread("it", 0.0, 90.0, 2.0, 30.0).second_moment(30.0) == pytest.approx(2.0 * 90.0**2 / 18.0, rel=1e-12)


def test_masses_are_those_of_the_rocket() -> None:
    rocket = airframe_rocket()
    whole = total(rocket)
    assert whole is not None
    loaded = combine((whole, MOTOR.properties(loaded=False)))
    body = FreeBody(masses(rocket, MOTOR), ())
    assert body.mass == pytest.approx(loaded.mass, rel=1e-9)
    assert body.cg == pytest.approx(loaded.cg[0], rel=1e-9)
    # The exact second moment along the axis is (Iyy + Izz - Ixx) / 2; straight densities are near it, not equal.
    along = (loaded.inertia[1][1] + loaded.inertia[2][2] - loaded.inertia[0][0]) / 2.0
    assert body.turning_inertia == pytest.approx(along, rel=0.01)


def test_copies_along_the_axis_lie_apart() -> None:
    items = (Item("rings", (100.0, 300.0), stated_mass=30.0), Item("tube", (0.0,), tube_part(), stated_mass=100.0))
    found = [one for one in masses(Rocket("two", items), None) if one.name == "rings"]
    assert [(one.station, one.total) for one in found] == [(100.0, 15.0), (300.0, 15.0)]


def test_forces_add_up_to_those_of_the_whole() -> None:
    rocket = airframe_rocket()
    air, angle, pressure = air_of(rocket), math.radians(4.0), 8700.0
    found = side_forces(rocket, air, angle, pressure)
    whole = force_at(air, angle)
    assert whole.coefficient is not None
    assert whole.station is not None
    force = sum(one.total for one in found)
    assert force == pytest.approx(pressure * 1e-6 * air.reference_area * whole.coefficient, rel=1e-9)
    assert sum(one.total * one.station for one in found) / force == pytest.approx(whole.station, rel=1e-9)


def test_angle_of_a_gust() -> None:
    assert math.tan(gust_angle(Gust(9.0, "stated"), DEMANDS)) == pytest.approx(9.0 / 120.0, rel=1e-12)


def test_a_ring_in_bending() -> None:
    # pi (R^4 - r^4) / (4 R) of 66/64 mm by hand: pi (33^4 - 32^4) / 132.
    wall = Wall("tube", 0.0, 100.0, 33.0, 32.0, 100.0, "kraft-tube")
    assert wall.modulus == pytest.approx(math.pi * (1185921.0 - 1048576.0) / 132.0, rel=1e-12)
    assert wall.area == pytest.approx(math.pi * 65.0, rel=1e-12)
    # Kraft tube: bending 10, compression 8, tension 10 MPa in the table.
    assert wall.bears == 8.0
    with pytest.raises(PartError, match="inside: 33 mm is not"):
        replace(wall, inside=33.0)


def test_walls_where_each_carries_alone() -> None:
    found = {wall.name: (wall.first, wall.last) for wall in walls(airframe_rocket())}
    assert found == {
        "nose, body": (200.0, 200.0),
        "nose, shoulder": (200.0, 200.0),
        "payload tube": (200.0, 450.0),
        "coupler": (450.0, 450.0),
        "booster tube": (450.0, 900.0),
    }


def test_stress_by_hand_from_moment_and_compression() -> None:
    rocket = airframe_rocket()
    air = air_of(rocket)
    found = bent(rocket, air, MOTOR, DEMANDS)
    assert found is not None
    coupler = next(wall for wall in walls(rocket) if wall.name == "coupler")
    moment = abs(float(found.body.moment(np.array([450.0]))[0]))
    # What hangs on 450 mm from ahead: nose, payload tube, payload and half of the coupler.
    ahead = sum(one.total for one in found.hung if one.name in ("nose", "payload tube", "payload"))
    ahead += 0.5 * next(one.total for one in found.hung if one.name == "coupler")
    along = ahead * 0.1 + 15.0
    modulus = math.pi * (32.0**4 - 30.0**4) / (4.0 * 32.0)
    stress = moment / modulus + along / (math.pi * (32.0**2 - 30.0**2))
    check = named(tuple(bending_checks(rocket, air, MOTOR, DEMANDS, limits())), "coupler: bending and crushing")
    assert found.worst(coupler, DEMANDS).moment == pytest.approx(moment, rel=1e-9)
    # The coupler's holes move its middle by less than a hundredth of a millimetre: 1e-3 of the load ahead.
    assert found.worst(coupler, DEMANDS).along == pytest.approx(along, rel=1e-3)
    assert f"{stress:.2f} MPa of 15 MPa" in (check.value or "")
    assert check.status == "pass"


def test_twice_the_gust_bends_about_twice_as_much() -> None:
    rocket = airframe_rocket()
    air = air_of(rocket)
    one, two = (bent(rocket, air, MOTOR, DEMANDS, Gust(speed, "stated")) for speed in (4.0, 8.0))
    assert one is not None
    assert two is not None
    # The flow across the body goes with the square and holds back at the tail; it is a small part of all.
    assert two.greatest[0] == pytest.approx(2.0 * one.greatest[0], rel=0.05)


def test_no_gust_leaves_compression_alone() -> None:
    rocket = airframe_rocket()
    found = bent(rocket, air_of(rocket), MOTOR, DEMANDS, Gust(0.0, "none"))
    assert found is not None
    assert found.greatest[0] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("acceleration", "status"), [(100.0, "pass"), (2000.0, "warn"), (6000.0, "fail")])
def test_statuses(acceleration: float, status: str) -> None:
    rocket = airframe_rocket()
    demands = replace(DEMANDS, acceleration=acceleration)
    found = tuple(bending_checks(rocket, air_of(rocket), MOTOR, demands, limits()))
    assert named(found, "payload tube: bending and crushing").status == status


def test_not_stated_says_what_to_enter() -> None:
    rocket = airframe_rocket()
    bare = with_part(rocket, "payload tube", tube_part(length="250 mm"))
    assert massless(bare) == ("payload tube",)
    found = tuple(bending_checks(bare, air_of(bare), MOTOR, DEMANDS, limits()))
    assert {one.status for one in found} == {"not-stated"}
    assert all("enter the mass or the material of payload tube" in one.note for one in found)
    strong = Gust(60.0, "a storm")
    found = tuple(bending_checks(rocket, air_of(rocket), MOTOR, DEMANDS, limits(), strong))
    assert all("beyond 15 deg" in one.note for one in found)
    fast = replace(DEMANDS, speed=300.0)
    found = tuple(bending_checks(rocket, air_of(rocket), MOTOR, fast, limits()))
    assert all("above Mach 0.8" in one.note for one in found)


def test_a_wall_of_unknown_strength_is_not_stated_alone() -> None:
    rocket = airframe_rocket()
    weighed = replace(rocket, items=tuple(replace(one, stated_mass=60.0) for one in rocket.items))
    bare = with_part(weighed, "payload tube", tube_part(length="250 mm"))
    found = tuple(bending_checks(bare, air_of(bare), MOTOR, DEMANDS, limits()))
    assert [one.name for one in found if one.status == "not-stated"] == ["payload tube: bending and crushing, small"]
    assert "enter `material` for payload tube" in named(found, "payload tube: bending and crushing").note


def test_a_body_of_one_point_is_refused() -> None:
    with pytest.raises(PartError, match="masses: a free body needs mass"):
        FreeBody((spread("it", 5.0, 5.0, 1.0, 5.0),), ())


def test_every_check_has_a_name_of_its_own_and_says_how_it_was_found() -> None:
    rocket = airframe_rocket()
    found = tuple(airframe_checks(rocket, air_of(rocket), MOTOR, DEMANDS, limits()))
    assert len({one.name for one in found}) == len(found)
    assert all(one.name.endswith(", small") for one in found)
    assert all(one.source and one.limit for one in found)
    assert all(one.formula and one.inputs for one in found if one.status in ("warn", "fail"))
