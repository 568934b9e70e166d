"""Items in their places: rolls, extents, the reference diameter and the length; by hand from the frames of design."""

from __future__ import annotations

import math

import numpy as np
import pytest
from rocket_samples import fin_part, nose_part, ring_part, rocket, tube_part

from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.readers.integrals import moments

FIN_AREA = (120.0 + 60.0) / 2.0 * 70.0
FIN_CENTROID = (70.0 / 3.0) * (120.0 + 2.0 * 60.0) / (120.0 + 60.0)
"""Centroid of the trapezoid above its root [mm]: any mechanics handbook."""


@pytest.mark.parametrize("count", [1, 2, 3, 4, 6])
def test_the_rail_line_is_mid_way_between_two_fins(count: int) -> None:
    rolls = Item("fins", (0.0,), fin_part(), count, 33.0).rolls()
    assert len(rolls) == count
    assert np.diff(rolls) == pytest.approx(math.tau / count)
    # The fins next to the rail line, one on either side of it.
    assert rolls[0] == pytest.approx(math.pi / count)
    assert math.tau - rolls[-1] == pytest.approx(math.pi / count)


def test_one_fin_stands_opposite_the_rail_line_on_the_surface() -> None:
    found = Item("fin", (780.0,), fin_part(), 1, 33.0).volume_moments()
    assert found.volume == pytest.approx(FIN_AREA * 3.0)
    assert found.centroid[1] == pytest.approx(-(33.0 + FIN_CENTROID))
    assert found.centroid[2] == pytest.approx(0.0, abs=1e-9)


def test_the_first_fin_is_clockwise_seen_from_behind() -> None:
    """From the rail line (+y) towards -z: the first of four fins lies at 45 degrees between the two."""
    four = Item("fins", (0.0,), fin_part(), 4, 33.0)
    blade = moments(fin_part().shape())
    radius = 33.0 + blade.centroid[1]
    roll = four.rolls()[0]
    assert (radius * math.cos(roll), -radius * math.sin(roll)) == pytest.approx((radius / 2**0.5, -radius / 2**0.5))
    # Of all copies together nothing is left off the axis.
    assert four.volume_moments().centroid[1:] == pytest.approx((0.0, 0.0), abs=1e-9)


def test_several_stations_are_several_copies() -> None:
    ring = ring_part()
    item = Item("rings", (600.0, 700.0, 890.0), ring)
    assert item.quantity == 3
    found = item.volume_moments()
    assert found.volume == pytest.approx(3.0 * math.pi * (32.0**2 - 21.0**2) * 6.0)
    assert found.centroid[0] == pytest.approx((600.0 + 700.0 + 890.0) / 3.0 + 3.0)
    assert item.skin_extent() == (600.0, 896.0)


def test_a_mass_at_a_place_has_no_volume() -> None:
    item = Item("battery", (300.0,), stated_mass=40.0)
    assert item.kind == "mass"
    assert item.quantity == 1
    assert item.volume_moments().volume == 0.0
    assert item.skin_extent() == (300.0, 300.0)


def test_only_skin_in_the_air_stream_is_body_in_order_from_the_nose() -> None:
    inside = (
        Item("motor tube", (600.0,), tube_part(outside_diameter="31 mm", inside_diameter="29 mm", use="motor")),
        Item("coupler", (400.0,), tube_part(outside_diameter="64 mm", inside_diameter="62 mm", use="coupler")),
        Item("ring", (650.0,), ring_part()),
    )
    mixed = Rocket("mixed", (*inside, *reversed(rocket().items)))
    assert [item.name for item in mixed.body] == ["nose", "tube"]
    assert [item.name for item in mixed.fins] == ["fins"]


def test_reference_diameter_is_the_largest_of_the_body() -> None:
    assert rocket().reference_diameter == pytest.approx(66.0)
    wide = Rocket("wide", (*rocket().items, Item("aft tube", (900.0,), tube_part(outside_diameter="75 mm"))))
    assert wide.reference_diameter == pytest.approx(75.0)
    # What is inside does not count, however wide it is stated.
    inside = Rocket(
        "inside", (*rocket().items, Item("coupler", (0.0,), tube_part(outside_diameter="80 mm", use="motor")))
    )
    assert inside.reference_diameter == pytest.approx(66.0)


def test_a_nose_that_bulges_past_its_base_has_the_largest_diameter() -> None:
    """Secant ogive with 0.75 of the tangent ogive's arc radius: its top is 33.7132495243 mm (derived)."""
    nose = nose_part(profile="secant-ogive", arc_radius="466.92045454545 mm")
    found = Rocket("bulge", (Item("nose", (0.0,), nose),)).reference_diameter
    assert found == pytest.approx(2.0 * 33.7132495243, rel=1e-11)  # printed to 12 digits


def test_length_runs_from_the_tip_to_the_aftmost_of_skin_and_fins() -> None:
    assert rocket().length == pytest.approx(900.0)
    # A shoulder lies inside the tube and is not length.
    nose = nose_part(shoulder_length="60 mm", shoulder_diameter="63 mm")
    assert Rocket("nose", (Item("nose", (0.0,), nose),)).length == pytest.approx(200.0)
    swept = Item("fins", (780.0,), fin_part(sweep_length="100 mm"), 3, 33.0)
    assert Rocket("swept", (*rocket().items[:2], swept)).length == pytest.approx(780.0 + 100.0 + 60.0)


def test_without_a_body_nothing_is_stated() -> None:
    nothing = Rocket("nothing", (Item("mass", (0.0,), stated_mass=1.0),))
    assert nothing.reference_diameter is None
    assert nothing.length is None
    assert nothing.body == nothing.fins == ()
