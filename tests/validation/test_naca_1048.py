"""Normal force of a body at an angle of attack.

Source: H. J. Allen and E. W. Perkins, A Study of Effects of Viscosity on Flow over Slender Inclined Bodies of
Revolution, NACA Report 1048, 1951: form of the equation and of its moments (from memory; the numbers are worked from
it). Tolerance 1e-9: straight and round pieces are exact and the numbers are printed to 14 digits.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from published import as_published, by_row, rows

from ferrule.analysis.aero.at_angle import BEYOND, HIGHEST_ANGLE
from ferrule.analysis.aero.body import Skin, body_normal_force
from ferrule.analysis.aero.cross_flow import (
    CrossFlow,
    SideView,
    body_at_angle,
    cross_flow,
    side_view,
    slender_lift,
)
from ferrule.analysis.aero.normal_force import combined
from ferrule.parts.curve import Line
from ferrule.parts.errors import PartError
from ferrule.parts.profiles import Profile

AREA = math.pi * 33.0**2
NOSE = Skin(Profile("tangent-ogive", 200.0, 33.0).chain())
TUBE = Skin((Line((0.0, 33.0), (700.0, 33.0)),), 200.0)
BODY = (body_normal_force(NOSE, None, AREA), body_normal_force(TUBE, NOSE, AREA))
VIEW = side_view((NOSE, TUBE))
FIVE = math.radians(5.0)

TABLE = rows("naca_1048.json")
READ: dict[str, Callable[[], float | None]] = {
    "potential": lambda: slender_lift(BODY, FIVE).coefficient,
    "viscous": lambda: cross_flow(VIEW, AREA, FIVE).coefficient,
    "side_area": lambda: VIEW.area,
}


def stated(value: float | None) -> float:
    assert value is not None
    return value


def test_every_row_of_the_table_is_read() -> None:
    assert [row["id"] for row in TABLE] == list(READ)


@by_row(TABLE)
def test_the_case_at_five_degrees(row: dict[str, Any]) -> None:
    assert READ[row["id"]]() == as_published(row)


def test_the_centroid_is_that_of_the_closed_forms() -> None:
    """Centroid of the ogive's side view 124.72765316 mm on 8,847.7313116 mm2 (derived), and of a rectangle."""
    expected = (8847.7313116 * 124.72765316 + 46200.0 * 550.0) / (8847.7313116 + 46200.0)
    assert VIEW.centroid == pytest.approx(expected, rel=1e-9)


def test_each_term_acts_at_its_own_place() -> None:
    """Slender-body station 92.5073470849 mm of the ogive (derived); the drag across at the side view's centroid."""
    assert slender_lift(BODY, FIVE).station == pytest.approx(92.5073470849, rel=1e-9)
    assert cross_flow(VIEW, AREA, FIVE).station == pytest.approx(VIEW.centroid, rel=1e-12)
    both = body_at_angle(BODY, VIEW, AREA, FIVE)
    lift, drag = 0.17348290307908, 0.14666785323777
    assert both.coefficient == pytest.approx(lift + drag, rel=1e-9)
    assert both.station == pytest.approx((lift * 92.5073470849 + drag * VIEW.centroid) / (lift + drag), rel=1e-9)


def test_at_no_angle_it_is_slender_body_theory() -> None:
    found = body_at_angle(BODY, VIEW, AREA, 0.0)
    whole = combined(BODY)
    assert found.coefficient == 0.0
    assert found.slope == pytest.approx(whole.slope, rel=1e-12)
    assert found.slope == pytest.approx(2.0, rel=1e-9)
    assert found.station == pytest.approx(whole.station, rel=1e-12)


def test_the_slope_is_where_the_coefficient_starts() -> None:
    small = 1e-6
    found = body_at_angle(BODY, VIEW, AREA, small)
    assert stated(found.coefficient) / small == pytest.approx(2.0, rel=1e-4)


def test_a_boat_tail_counts_with_its_own_slope() -> None:
    """The equation's A_b is the base area: 2 A_b / A of the whole body (derived)."""
    tail = Skin((Line((0.0, 33.0), (60.0, 22.0)),), 900.0)
    found = slender_lift((*BODY, body_normal_force(tail, TUBE, AREA)), FIVE)
    expected = (22.0 / 33.0) ** 2 * math.sin(2.0 * FIVE) * math.cos(FIVE / 2.0)
    assert found.coefficient == pytest.approx(expected, rel=1e-9)


def test_a_waist_keeps_its_couple() -> None:
    waist = Skin((Line((0.0, 33.0), (60.0, 25.0)), Line((60.0, 25.0), (120.0, 33.0))), 900.0)
    force = body_normal_force(waist, TUBE, AREA)
    assert force.slope == 0.0
    found = slender_lift((*BODY, force), FIVE)
    assert found.moment == pytest.approx(combined((*BODY, force)).moment * math.cos(FIVE) * math.cos(FIVE / 2.0))
    assert stated(found.station) > stated(slender_lift(BODY, FIVE).station)


def test_the_flow_across_goes_with_its_coefficients() -> None:
    whole = stated(cross_flow(VIEW, AREA, FIVE).coefficient)
    part = cross_flow(VIEW, AREA, FIVE, CrossFlow(1.1, 0.7))
    assert part.coefficient == pytest.approx(whole * 1.1 * 0.7 / 1.2, rel=1e-12)
    assert "1.1" in part.notes[0]
    assert "0.7" in part.notes[0]


def test_beyond_the_range_nothing_is_stated() -> None:
    assert body_at_angle(BODY, VIEW, AREA, HIGHEST_ANGLE).coefficient is not None
    found = body_at_angle(BODY, VIEW, AREA, math.radians(15.1))
    assert found.coefficient is found.station is found.slope is found.moment is None
    assert BEYOND in found.notes


@pytest.mark.parametrize("angle", [-0.1, math.nan, 1.6])
def test_no_such_angle(angle: float) -> None:
    with pytest.raises(PartError, match="angle: must be from 0 to 90 deg"):
        body_at_angle(BODY, VIEW, AREA, angle)


@pytest.mark.parametrize(
    ("drag", "factor", "words"),
    [(-0.1, 1.0, "drag"), (2.1, 1.0, "drag"), (1.2, 0.0, "length_factor"), (1.2, 1.1, "length_factor")],
)
def test_no_such_flow(drag: float, factor: float, words: str) -> None:
    with pytest.raises(PartError, match=f"{words}: must be"):
        CrossFlow(drag, factor)


def test_a_body_has_skin() -> None:
    with pytest.raises(PartError, match="skins"):
        side_view(())
    assert isinstance(VIEW, SideView)
