"""Painted area and its centroid against closed forms (geometry of solids; areas of noses derived)."""

from __future__ import annotations

import math
from typing import Any

import pytest
from rocket_samples import fin_part, nose_part, ring_part, tube_part

from ferrule.analysis.allowances import paint_item, painted_skin
from ferrule.analysis.mass import mass_properties
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.errors import PartError
from ferrule.parts.kinds import Transition

EXACT = 1e-10


def found_for(*items: Item) -> tuple[float, float]:
    found = painted_skin(Rocket("painted", items))
    assert found is not None
    return found


def test_a_cylinder() -> None:
    found = found_for(Item("tube", (200.0,), tube_part()))
    assert found == pytest.approx((math.tau * 33.0 * 700.0, 550.0), rel=EXACT)


def test_a_cone() -> None:
    """Slant area pi R sqrt(R^2 + L^2), its centroid two thirds of the way from the tip."""
    found = found_for(Item("nose", (10.0,), nose_part(profile="cone")))
    assert found == pytest.approx((math.pi * 33.0 * math.hypot(33.0, 200.0), 10.0 + 400.0 / 3.0), rel=EXACT)


def test_a_frustum() -> None:
    """54 to 75 mm over 60 mm; its centroid L (R1 + 2 R2) / (3 (R1 + R2)) from the small end."""
    part = Transition.build(forward_diameter="54 mm", aft_diameter="75 mm", length="60 mm")
    area, centroid = found_for(Item("transition", (500.0,), part))
    assert area == pytest.approx(math.pi * (27.0 + 37.5) * math.hypot(60.0, 10.5), rel=EXACT)
    assert centroid == pytest.approx(500.0 + 20.0 * (27.0 + 75.0) / 64.5, rel=EXACT)


def test_a_hemisphere() -> None:
    """The half ellipsoid as long as its radius: 2 pi R^2, and by Archimedes its centroid half way."""
    found = found_for(Item("nose", (0.0,), nose_part(profile="half-ellipsoid", length="33 mm")))
    assert found == pytest.approx((math.tau * 33.0**2, 16.5), rel=1e-9)


@pytest.mark.parametrize(
    ("profile", "area"),
    [
        # Wetted areas of noses 200 x 66 mm (derived in closed form; Haack by quadrature to 60 digits).
        ({"profile": "tangent-ogive"}, 28094.7223021),
        ({"profile": "half-ellipsoid"}, 32958.8332012),
        ({"profile": "power-law", "power_exponent": "0.5"}, 27913.2199401),
        ({"profile": "von-karman"}, 27271.6617541),
        ({"profile": "haack", "haack_constant": str(1 / 3)}, 29332.0775667),
    ],
)
def test_noses(profile: dict[str, Any], area: float) -> None:
    # The chain follows the formula within a micrometre or so, 1e-7 of the radius.
    assert found_for(Item("nose", (0.0,), nose_part(**profile)))[0] == pytest.approx(area, rel=1e-6)


@pytest.mark.parametrize("count", [3, 4])
def test_fins_with_both_faces_and_the_rim_outside_the_body(count: int) -> None:
    """Trapezoid 120/60 x 70 mm: area 6300 mm2, centroid 68.888888889 mm; a tab inside the tube is not painted."""
    rows = [(2.0 * 6300.0, 68.888888888889)]
    for start, end in (((0.0, 0.0), (50.0, 70.0)), ((50.0, 70.0), (110.0, 70.0)), ((110.0, 70.0), (120.0, 0.0))):
        rows.append((3.0 * math.dist(start, end), (start[0] + end[0]) / 2.0))
    area = sum(row[0] for row in rows)
    centroid = sum(row[0] * row[1] for row in rows) / area
    for part in (fin_part(), fin_part(tab_length="80 mm", tab_depth="17 mm", tab_position="20 mm")):
        found = found_for(Item("fins", (780.0,), part, count, 33.0))
        assert found == pytest.approx((count * area, 780.0 + centroid), rel=EXACT)


def test_a_half_round_fin_has_two_half_circles_and_their_rim() -> None:
    """Root 140 mm, semi-span 70 mm: twice pi r^2 / 2, and a rim of pi r by 3 mm, all balanced at the middle."""
    part = fin_part(planform="elliptic", root_chord="140 mm", tip_chord=None, sweep_length=None)
    area = math.pi * 70.0**2 + math.pi * 70.0 * 3.0
    found = found_for(Item("fins", (780.0,), part, 3, 33.0))
    assert found == pytest.approx((3.0 * area, 850.0), rel=EXACT)


def test_two_sets_of_fins_have_twice_the_paint_mid_way() -> None:
    one = found_for(Item("fins", (780.0,), fin_part(), 3, 33.0))
    two = found_for(Item("fins", (300.0, 780.0), fin_part(), 3, 33.0))
    assert two == pytest.approx((2.0 * one[0], one[1] - 240.0), rel=EXACT)


def test_a_whole_rocket_is_the_sum_and_what_is_inside_is_not_painted() -> None:
    tube, nose = Item("tube", (200.0,), tube_part()), Item("nose", (0.0,), nose_part(profile="cone"))
    inside = Item("ring", (600.0,), ring_part())
    rows = (found_for(tube), found_for(nose))
    area = rows[0][0] + rows[1][0]
    centroid = (rows[0][0] * rows[0][1] + rows[1][0] * rows[1][1]) / area
    assert found_for(nose, tube, inside, Item("mass", (3.0,), stated_mass=5.0)) == pytest.approx((area, centroid))


def test_paint_is_an_estimated_mass_at_the_middle_of_the_skin() -> None:
    design = Rocket("tube", (Item("tube", (200.0,), tube_part()),))
    item = paint_item(design, 150.0)
    assert item is not None
    assert item.kind == "paint"
    found = mass_properties(item)
    assert found is not None
    # 0.14514158 m2 at 150 g/m2.
    assert found.mass == pytest.approx(math.tau * 33.0 * 700.0 * 1e-6 * 150.0, rel=EXACT)
    assert found.mass == pytest.approx(21.77, abs=0.005)
    assert found.cg == pytest.approx((550.0, 0.0, 0.0))
    assert found.basis == "estimated"


def test_nothing_outside_takes_no_paint() -> None:
    design = Rocket("inside", (Item("ring", (600.0,), ring_part()),))
    assert painted_skin(design) is None
    assert paint_item(design, 150.0) is None


@pytest.mark.parametrize("areal_mass", [0.0, -1.0, math.inf, math.nan])
def test_an_areal_mass_that_cannot_be_is_refused(areal_mass: float) -> None:
    with pytest.raises(PartError, match=r"^areal_mass: must be above 0 g/m2"):
        paint_item(Rocket("tube", (Item("tube", (200.0,), tube_part()),)), areal_mass)
