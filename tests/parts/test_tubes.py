"""A tube by its readings: each figure against the sum by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ferrule.parts.errors import PartError
from ferrule.parts.tables import readings
from ferrule.parts.tubes import ENDS, MeasuredTube, Side

TUBE = MeasuredTube(
    "booster tube",
    outside_forward=(68.50, 68.30),
    outside_aft=(68.60, 68.20),
    inside_forward=(66.00, 65.80),
    inside_aft=(66.10, 65.90),
    wall=(1.24, 1.28),
    strip=(215.20, 215.40),
    strip_thickness=0.12,
    length=620.0,
    mass=155.0,
)


def test_the_first_three_are_a_name_and_readings_without_an_end() -> None:
    plain = MeasuredTube("payload tube", (68.4, 68.6), (65.9, 65.7))
    assert (plain.name, plain.outside, plain.inside) == ("payload tube", (68.4, 68.6), (65.9, 65.7))
    assert plain.ovality("outside", "forward") is None
    assert plain.taper("inside") is None
    assert plain.strip_outside is None
    assert plain.linear_density is None


def test_mean_smallest_and_largest_are_of_all_readings_wherever_they_were_taken() -> None:
    """By hand: (68.5 + 68.3 + 68.6 + 68.2) / 4 and (66 + 65.8 + 66.1 + 65.9) / 4; with a fifth of 68.9, 68.5."""
    assert TUBE.mean_outside == pytest.approx(68.40, abs=1e-12)
    assert TUBE.mean_inside == pytest.approx(65.95, abs=1e-12)
    assert (TUBE.smallest_outside, TUBE.largest_outside) == (68.20, 68.60)
    assert (TUBE.smallest_inside, TUBE.largest_inside) == (65.80, 66.10)
    more = MeasuredTube("x", (68.9,), (), TUBE.outside_forward, TUBE.outside_aft, TUBE.inside_forward)
    assert more.mean_outside == pytest.approx(68.50, abs=1e-12)
    assert more.largest_outside == 68.9


def test_ovality_is_of_an_end_or_of_all() -> None:
    assert TUBE.ovality("outside", "forward") == pytest.approx(0.2, abs=1e-12)
    assert TUBE.ovality("outside", "aft") == pytest.approx(0.4, abs=1e-12)
    assert TUBE.ovality("outside") == pytest.approx(0.4, abs=1e-12)
    assert TUBE.ovality("inside") == pytest.approx(0.3, abs=1e-12)
    assert MeasuredTube("x", (68.0,), (66.0,)).ovality("outside") is None


def test_taper_is_aft_less_forward() -> None:
    """By hand: (66.1 + 65.9) / 2 - (66.0 + 65.8) / 2."""
    assert TUBE.taper("inside") == pytest.approx(0.1, abs=1e-12)
    assert TUBE.taper("outside") == pytest.approx(0.0, abs=1e-12)


def test_the_wall_is_its_own_readings_else_half_the_difference() -> None:
    assert TUBE.mean_wall == pytest.approx(1.26, abs=1e-12)
    assert TUBE.wall_by_diameters == pytest.approx((68.40 - 65.95) / 2.0, abs=1e-12)
    assert MeasuredTube("x", (68.4,), (66.0,)).mean_wall == pytest.approx(1.2, abs=1e-12)


def test_linear_density_is_mass_over_length() -> None:
    assert TUBE.linear_density == pytest.approx(250.0, rel=1e-12)  # 155 g on 0.62 m


def test_the_strip_gives_the_outside_less_its_thickness() -> None:
    assert TUBE.strip_outside == pytest.approx(215.30 / math.pi - 0.12, abs=1e-12)
    paper = readings()["strip-thickness"].amount
    assert MeasuredTube("x", (68.4,), (66.0,), strip=(215.3,)).strip_outside == pytest.approx(
        215.3 / math.pi - paper, abs=1e-12
    )


@given(st.floats(20.0, 200.0), st.floats(0.0, 0.45), st.floats(0.05, 0.3))
def test_the_strip_is_honest_where_two_readings_of_an_oval_are_not(across: float, oval: float, paper: float) -> None:
    """The middle line of a strip round a round tube is pi (D + t); an ellipse's once-round by Ramanujan's formula."""
    a, b = (across + oval) / 2.0, (across - oval) / 2.0
    h = ((a - b) / (a + b)) ** 2
    once = math.pi * (a + b) * (1.0 + 3.0 * h / (10.0 + math.sqrt(4.0 - 3.0 * h)))
    tube = MeasuredTube("x", (across,), (across - 3.0,), strip=(once + math.pi * paper,), strip_thickness=paper)
    assert tube.strip_outside == pytest.approx(across, abs=1e-2)


def test_spread_is_of_the_readings_that_name_no_end() -> None:
    tube = MeasuredTube("x", (68.4, 68.5), (65.9, 65.79))
    assert tube.spread("outside") == pytest.approx(0.1, abs=1e-12)
    assert tube.within_tolerance("outside")  # 0.1 mm, common practice
    assert not tube.within_tolerance("inside")
    assert TUBE.spread("outside") == 0.0


IMPOSSIBLE: list[tuple[dict[str, Any], str]] = [
    ({"inside": (68.36,)}, r"inside: a reading of 68.36 mm is not below the outside reading of 68.36 mm"),
    ({"inside": (65.0, 70.0)}, r"inside: a reading of 70 mm is not below the outside reading of 68.36 mm"),
    (
        {"inside_aft": (68.5,), "outside_forward": (68.2,)},
        r"68.5 mm at the aft end is not below the outside reading of 68.2 mm at the forward end",
    ),
    ({"wall": (34.2,)}, r"wall: a reading of 34.2 mm is not below half the outside reading of 68.36 mm"),
    ({"strip": (200.0,)}, r"strip: a mean of 200 mm once round is 63.56 mm across, .* inside reading of 65.9 mm"),
    ({"outside": ()}, r"outside: at least one reading is needed"),
    ({"inside": ()}, r"inside: at least one reading is needed"),
    ({"inside": (65.9, -1.0)}, r"inside: a reading must be above 0 mm, got -1 mm"),
    ({"wall": (0.0,)}, r"wall: a reading must be above 0 mm, got 0 mm"),
    ({"strip": (215.0,), "strip_thickness": -0.1}, r"strip_thickness: must be at least 0 mm, got -0.1 mm"),
    ({"length": 0.0}, r"length: must be above 0 mm, got 0 mm"),
    ({"mass": -3.0}, r"mass: must be above 0 g, got -3 g"),
]


@pytest.mark.parametrize(("fields", "message"), IMPOSSIBLE)
def test_what_no_tube_can_have_is_refused_with_both_readings(fields: dict[str, Any], message: str) -> None:
    with pytest.raises(PartError, match=message):
        MeasuredTube(**({"name": "x", "outside": (68.4, 68.36), "inside": (65.9,)} | fields))


@given(
    st.lists(st.floats(66.5, 70.0), min_size=2, max_size=8),
    st.lists(st.floats(60.0, 66.0), min_size=2, max_size=8),
    st.integers(0, 2),
)
def test_it_does_not_matter_for_the_whole_at_which_end_a_reading_was_taken(
    outside: list[float], inside: list[float], cut: int
) -> None:
    plain = MeasuredTube("x", tuple(outside), tuple(inside))
    by_end = MeasuredTube(
        "x",
        outside_forward=tuple(outside[:cut]),
        outside_aft=tuple(outside[cut:]),
        inside_forward=tuple(inside[cut:]),
        inside_aft=tuple(inside[:cut]),
    )
    assert by_end.mean_outside == pytest.approx(plain.mean_outside, rel=1e-12)
    assert by_end.smallest_inside == plain.smallest_inside
    sides: tuple[Side, ...] = ("outside", "inside")
    for side in sides:
        assert by_end.ovality(side) == plain.ovality(side)
        for end in ENDS:
            oval = by_end.ovality(side, end)
            assert oval is None or oval <= (plain.ovality(side) or 0.0) + 1e-12
