"""What estimated masses leave open of the margin, against every corner of the bands worked out by itself."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rocket_samples import fin_part, nose_part, rocket, tube_part

from ferrule.analysis.contributions import contributions
from ferrule.analysis.margin_bands import ALLOWANCE, margin_bands
from ferrule.analysis.motor import Motor
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.tables import material

MOTOR = Motor("M", 29.0, 200.0, 180.0, 95.0, 905.0)


def estimated(glue: float, place: float) -> Rocket:
    """Nose, tube and fins by material, glue as an allowance, and a payload as stated."""
    return Rocket(
        "estimated",
        (
            Item("nose", (0.0,), nose_part(material="petg")),
            Item("tube", (200.0,), tube_part(material="kraft-tube")),
            Item("fins", (780.0,), fin_part(material="birch-plywood"), 3, 33.0),
            Item("glue", (place,), stated_mass=glue, estimate=True, what="allowance"),
            Item("payload", (350.0,), stated_mass=150.0),
        ),
    )


def margin(made: Rocket, masses: dict[str, float]) -> float:
    """Margin with the masses stated outright [mm]."""
    items = tuple(
        replace(item, stated_mass=masses[item.name], weighed=True) if item.name in masses else item
        for item in made.items
    )
    found = contributions(replace(made, items=items), MOTOR)
    assert found.cp is not None
    assert found.cg is not None
    return found.cp - found.cg


@given(st.floats(5.0, 400.0), st.floats(0.0, 900.0))
def test_both_ends_are_the_worst_and_the_best_of_all_corners(glue: float, place: float) -> None:
    made = estimated(glue, place)
    state = contributions(made, MOTOR)
    found = margin_bands(made, state)
    assert found is not None
    assert [row.name for row in found.rows] == ["nose", "tube", "fins", "glue"]
    corners = [
        margin(made, {row.name: mass for row, mass in zip(found.rows, masses, strict=True)})
        for masses in product(*((row.low, row.high) for row in found.rows))
    ]
    assert found.least == pytest.approx(min(corners), abs=1e-7)
    assert found.greatest == pytest.approx(max(corners), abs=1e-7)
    now = margin(made, {})
    for row in found.rows:
        assert row.at_low == pytest.approx(margin(made, {row.name: row.low}) - now, abs=1e-7)
        assert row.at_high == pytest.approx(margin(made, {row.name: row.high}) - now, abs=1e-7)
    assert sum(row.share for row in found.rows) == pytest.approx(1.0, rel=1e-12)


def test_bands_are_those_of_the_material_and_half_of_an_allowance() -> None:
    made = estimated(50.0, 800.0)
    found = margin_bands(made, contributions(made))
    assert found is not None
    nose, tube, fins, glue = found.rows
    for row, name in ((nose, "petg"), (tube, "kraft-tube"), (fins, "birch-plywood")):
        density = material(name)
        assert row.low / row.mass == pytest.approx(density.low / density.density)
        assert row.high / row.mass == pytest.approx(density.high / density.density)
    assert (glue.low, glue.mass, glue.high) == (25.0, 50.0, 75.0)
    assert ALLOWANCE == 0.5


def test_what_is_weighed_leaves_nothing_open() -> None:
    made = rocket()
    found, state = margin_bands(made, contributions(made)), contributions(made)
    assert found is not None
    assert found.rows == ()
    assert state.cp is not None
    assert state.cg is not None
    assert found.least == found.greatest == pytest.approx(state.cp - state.cg)


def test_nothing_is_said_while_a_mass_or_the_air_is_missing() -> None:
    missing = rocket(masses=(100.0, None, 105.0, 500.0))
    assert margin_bands(missing, contributions(missing)) is None
    weight = Rocket("weight", (Item("payload", (10.0,), stated_mass=5.0),))
    assert margin_bands(weight, contributions(weight)) is None
