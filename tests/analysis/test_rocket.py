"""Items in their places: rolls, extents, the reference diameter and the length; by hand from the frames of design."""

from __future__ import annotations

import math

import numpy as np
import pytest
from rocket_samples import fin_part, nose_part, ring_part, rocket, tube_part

from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.kinds import Fillet
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


CANT = math.radians(2.0)


def canted(count: int = 4) -> Item:
    return Item("fins", (780.0,), fin_part(cant="2 deg"), count, 33.0)


def test_a_canted_fin_turns_about_the_radius_through_the_middle_of_its_root() -> None:
    """Its leading edge goes towards greater roll, clockwise seen from behind; the middle of its root stays."""
    for roll, placement in zip(canted().rolls(), canted().placements(), strict=True):
        front, middle, rear, above = placement.apply(
            np.array([[0.0, 0.0, 0.0], [60.0, 0.0, 0.0], [120.0, 0.0, 0.0], [60.0, 70.0, 0.0]])
        )
        radial = np.array([0.0, math.cos(roll), -math.sin(roll)])
        onwards = np.array([0.0, -math.sin(roll), -math.cos(roll)])
        assert middle == pytest.approx(np.array([840.0, 0.0, 0.0]) + 33.0 * radial, abs=1e-12)
        assert above - middle == pytest.approx(70.0 * radial, abs=1e-12)
        assert (front - middle) @ onwards == pytest.approx(60.0 * math.sin(CANT))
        assert (rear - middle) @ onwards == pytest.approx(-60.0 * math.sin(CANT))
        assert front[0] == pytest.approx(840.0 - 60.0 * math.cos(CANT))
        angle = math.atan2(-float(front[2]), float(front[1])) % math.tau
        assert angle > roll


def test_cant_changes_neither_volume_nor_balance_along_the_axis_by_much() -> None:
    """The centroid of the fin lies 8.89 mm from the radius that it turns about: 8.89 (1 - cos 2 deg) forward."""
    plain, turned = (Item("fins", (780.0,), fin_part(cant=cant), 4, 33.0) for cant in ("0 deg", "2 deg"))
    before, after = plain.volume_moments(), turned.volume_moments()
    assert after.volume == pytest.approx(before.volume, rel=1e-12)
    off = before.centroid[0] - 840.0
    assert after.centroid[0] == pytest.approx(840.0 + off * math.cos(CANT), rel=1e-12)


def test_what_a_canted_fin_brings_along_turns_with_it() -> None:
    """A fillet along part of the root: its ends lie on the line of the canted root."""
    part = Fillet.build(radius="6 mm", length="80 mm", fin_thickness="3 mm", surface_diameter="66 mm")
    owner = canted()
    glue = Item("fins fillets", (800.0,), part, 4, 33.0, beside=owner)
    for fin, laid in zip(owner.placements(), glue.placements(), strict=True):
        along = np.array([[20.0, 0.0, 0.0], [100.0, 0.0, 0.0]])
        ends = np.array([[0.0, 0.0, 0.0], [80.0, 0.0, 0.0]])
        assert laid.apply(ends) == pytest.approx(fin.apply(along), abs=1e-12)


def test_fin_sets_say_where_fins_meet_the_air() -> None:
    whole = rocket(4)
    (fins,) = whole.fin_sets
    assert (fins.name, fins.count, fins.station, fins.root_end, fins.radius) == ("fins", 4, 780.0, 900.0, 33.0)
    assert fins.thickness == 3.0
    assert fins.rolls == whole.fins[0].rolls()
    assert fins.aft_end == 900.0
    twice = Item("fins", (300.0, 780.0), fin_part(), 3, 33.0)
    assert [one.station for one in Rocket("two", (twice,)).fin_sets] == [300.0, 780.0]
