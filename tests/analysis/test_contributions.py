"""What each item adds: sums by hand, and every shift by a rocket that is worked out anew without the item.

Closed forms are those of statics, and J. S. and J. A. Barrowman 1966, equations 79 and 80, for slopes and stations.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rocket_samples import fin_part, nose_part, rocket, tube_part

from ferrule.analysis.aero.normal_force import combined
from ferrule.analysis.contributions import Contribution, Contributions, contributions, gathered
from ferrule.analysis.mass import combine, mass_properties, total
from ferrule.analysis.motor import Motor
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.stability import normal_forces, stability
from ferrule.parts.kinds import Transition

MOTOR = Motor("M", 29.0, 200.0, 180.0, 95.0, 905.0)
SHARES = ("mass_share", "cg_share", "slope_share", "cp_share")

MASSES = st.tuples(*[st.floats(0.5, 5000.0)] * 4)


def shares(found: Contributions) -> list[float]:
    return [math.fsum(getattr(row, name) for row in found.rows) for name in SHARES]


@given(MASSES, st.sampled_from((3, 4, 6)), st.sampled_from((None, MOTOR)))
def test_the_rows_add_up_to_the_whole(masses: tuple[float, ...], count: int, motor: Motor | None) -> None:
    made = rocket(count, masses)
    found, force = contributions(made, motor), stability(made)
    bare = total(made)
    assert force is not None
    assert bare is not None
    whole = combine((bare, motor.properties(True))) if motor else bare
    assert (found.mass, found.cg) == (pytest.approx(whole.mass, rel=1e-12), pytest.approx(whole.cg[0], rel=1e-12))
    assert (found.slope, found.cp) == (force.normal_force.slope, force.normal_force.station)
    assert shares(found) == pytest.approx([1.0, found.cg, 1.0, found.cp], rel=1e-12)
    assert math.fsum(row.mass or 0.0 for row in found.rows) == pytest.approx(found.mass, rel=1e-12)
    assert math.fsum(row.slope for row in found.rows) == pytest.approx(found.slope, rel=1e-12)


@given(MASSES)
def test_a_shift_is_the_whole_less_the_whole_worked_out_without_the_item(masses: tuple[float, ...]) -> None:
    made = rocket(4, masses)
    found, forces = contributions(made), normal_forces(made)
    assert found.cg is not None
    assert found.cp is not None
    for row, item in zip(found.rows, made.items, strict=True):
        left = total(Rocket("rest", tuple(one for one in made.items if one is not item)))
        assert left is not None
        assert row.cg_shift == pytest.approx(found.cg - left.cg[0], abs=1e-7)
        air = combined(force for name, force in forces.items() if name != item.name)
        assert air.station is not None
        assert row.cp_shift == pytest.approx(found.cp - air.station, abs=1e-7)
        assert row.margin_shift == pytest.approx(found.cp - found.cg - (air.station - left.cg[0]), abs=1e-7)


def test_masses_on_a_lever_by_hand() -> None:
    """100 g at 0, 300 g at 400 mm: balance at 300 mm, all of it the second's moment; without it at 0 mm."""
    found = contributions(
        Rocket("beam", (Item("a", (0.0,), stated_mass=100.0), Item("b", (400.0,), stated_mass=300.0)))
    )
    assert (found.mass, found.cg, found.slope, found.cp) == (400.0, 300.0, 0.0, None)
    first, second = found.rows
    assert (first.mass_share, first.cg_share, first.cg_shift) == (0.25, 0.0, -100.0)
    assert (second.mass_share, second.cg_share, second.cg_shift) == (0.75, 300.0, 300.0)
    assert (first.slope_share, first.cp_share, first.cp_shift) == (None, None, None)


def test_what_stands_alone_moves_nothing() -> None:
    found = contributions(Rocket("one", (Item("nose", (0.0,), nose_part(), stated_mass=100.0),)))
    (row,) = found.rows
    assert (row.mass_share, row.slope_share) == (1.0, 1.0)
    assert (row.cg_shift, row.cp_shift, row.margin_shift) == (None, None, None)
    assert found.cp == row.cp_share


def test_a_nose_and_its_fins_pull_the_centre_of_pressure_apart() -> None:
    """By the lever law: with the slopes a and b of only two, the shifts are as the levers, and opposite."""
    found = contributions(rocket())
    nose, tube, fins, payload = found.rows
    assert nose.cp_shift is not None
    assert fins.cp_shift is not None
    assert nose.cp_shift < 0.0 < fins.cp_shift
    places = [force.station for force in normal_forces(rocket()).values() if force.slope]
    assert None not in places
    distance = (places[1] or 0.0) - (places[0] or 0.0)
    assert fins.cp_shift == pytest.approx(fins.slope / found.slope * distance, rel=1e-12)
    assert nose.cp_shift == pytest.approx(-nose.slope / found.slope * distance, rel=1e-12)
    assert (tube.slope, tube.cp_shift) == (0.0, 0.0)
    assert (payload.slope, payload.slope_share, payload.cp_share, payload.cp_shift) == (0.0, 0.0, 0.0, 0.0)


def test_a_mass_that_is_not_stated_leaves_the_air_as_it_is() -> None:
    found, full = contributions(rocket(masses=(100.0, None, 105.0, 500.0))), contributions(rocket())
    assert (found.mass, found.cg) == (None, None)
    assert [row.mass for row in found.rows] == [100.0, None, 105.0, 500.0]
    assert {getattr(row, name) for row in found.rows for name in ("mass_share", "cg_share", "cg_shift")} == {None}
    assert [row.cp_shift for row in found.rows] == [row.cp_shift for row in full.rows]
    assert {row.margin_shift for row in found.rows} == {None}


def test_a_tail_cone_takes_away_and_its_shares_are_below_zero() -> None:
    """Its slope is 2 (d2^2 - d1^2) / d^2 (J. S. and J. A. Barrowman 1966, equation 15)."""
    tail = Transition.build(
        profile="conical",
        length="100 mm",
        forward_diameter="66 mm",
        aft_diameter="20 mm",
        body="solid",
        forward_shoulder_length="0 mm",
        aft_shoulder_length="0 mm",
    )
    items = (
        Item("nose", (0.0,), nose_part(), stated_mass=100.0),
        Item("tube", (200.0,), tube_part(), stated_mass=200.0),
        Item("tail", (900.0,), tail, stated_mass=50.0),
        Item("fins", (780.0,), fin_part(), 3, 33.0, stated_mass=105.0),
    )
    found = contributions(Rocket("tailed", items))
    row = found.rows[2]
    assert row.slope == pytest.approx(2.0 * (20.0**2 - 66.0**2) / 66.0**2)
    assert row.slope_share is not None
    assert row.slope_share < 0.0
    assert shares(found) == pytest.approx([1.0, found.cg, 1.0, found.cp], rel=1e-12)
    assert row.cp_shift is not None
    assert row.cp_shift < 0.0, "a force that pulls at the tail brings the centre of pressure forward"


def test_the_motor_is_a_row_as_it_lifts_off() -> None:
    found = contributions(rocket(), MOTOR)
    row = found.rows[-1]
    assert (found.motor, row.name, row.mass, row.cg) == ("M", "M", 180.0, 805.0)
    assert found.mass == pytest.approx(905.0 + 180.0)
    # Its station behind the rest's balance, times its part of all the mass.
    rest = contributions(rocket()).cg
    assert rest is not None
    assert row.cg_shift == pytest.approx(180.0 / 1085.0 * (805.0 - rest), rel=1e-12)


# --- more rows than there is room for ---------------------------------------------------------------------------------


def many(count: int) -> Contributions:
    made = rocket()
    more = tuple(Item(f"screw {n}", (300.0 + 10.0 * n,), stated_mass=1.0 + 0.01 * n) for n in range(count))
    return contributions(replace(made, items=(*made.items, *more)), MOTOR)


@given(st.integers(0, 30), st.integers(2, 40))
def test_nothing_is_lost_where_rows_are_gathered(count: int, most: int) -> None:
    found = many(count)
    rows = gathered(found, most)
    assert len(rows) == min(most, len(found.rows))
    assert shares(replace(found, rows=rows)) == pytest.approx([1.0, found.cg, 1.0, found.cp], rel=1e-12)
    assert math.fsum(row.mass or 0.0 for row in rows) == pytest.approx(found.mass, rel=1e-12)
    names = [row.name for row in found.rows]
    kept = [names.index(row.name) for row in rows if row.name in names]
    assert kept == sorted(kept), "in the order of the design"


def test_what_is_gathered_is_the_least_and_moves_as_one() -> None:
    found = many(10)
    rows = gathered(found, 6)
    assert [row.name for row in rows] == ["nose", "tube", "fins", "payload", "M", "others (10)"]
    rest: Contribution = rows[-1]
    masses = [1.0 + 0.01 * n for n in range(10)]
    place = sum(mass * (300.0 + 10.0 * n) for n, mass in enumerate(masses)) / sum(masses)
    assert (rest.mass, rest.cg) == (pytest.approx(sum(masses)), pytest.approx(place))
    alone = contributions(rocket(), MOTOR).cg
    assert alone is not None
    assert found.cg is not None
    assert rest.cg_shift == pytest.approx(found.cg - alone, rel=1e-9)
    assert (rest.slope, rest.cp_shift) == (0.0, 0.0)


def test_what_is_not_stated_stays_so_where_it_is_gathered() -> None:
    made = rocket(masses=(100.0, None, 105.0, None))
    rest = gathered(contributions(made), 2)[-1]
    assert (rest.mass, rest.mass_share, rest.cg, rest.cg_share, rest.cg_shift) == (None,) * 5
    assert rest.slope_share is not None


def test_a_row_is_what_its_own_methods_say() -> None:
    made = rocket(4)
    for row, item in zip(contributions(made).rows, made.items, strict=True):
        weight, force = mass_properties(item), normal_forces(made).get(item.name)
        assert weight is not None
        assert (row.mass, row.cg) == (weight.mass, weight.cg[0])
        assert row.slope == (force.slope if force else 0.0)
