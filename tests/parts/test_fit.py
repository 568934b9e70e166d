"""Measured tubes and the sizes that follow: each value against a sum by hand, clearances being common practice."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ferrule.parts.errors import PartError
from ferrule.parts.fit import (
    Derived,
    MeasuredTube,
    as_measured,
    bulkhead,
    coupler,
    large_disc,
    nose_base,
    ring_bore,
    ring_outside,
    shoulder,
    tab_depth,
)
from ferrule.parts.tables import clearances

TUBE = MeasuredTube("payload tube", (68.42, 68.36, 68.44, 68.38), (65.92, 65.88, 65.94, 65.86))
MOTOR = MeasuredTube("motor tube", (30.98, 31.02, 30.96, 31.00), (29.22, 29.18, 29.20, 29.20))

DERIVED = [
    # By hand: mean 68.40 less 0.1; smallest inside 65.86 less 0.5 and less 0.2; largest outside 31.02 and 0.2;
    # (68.40 - 31.02) / 2 less 0.3. A bulkhead as a ring; a coupler slides with 0.4.
    (nose_base(TUBE), 68.30),
    (shoulder(TUBE), 65.36),
    (ring_outside(TUBE), 65.66),
    (ring_bore(MOTOR), 31.22),
    (tab_depth(TUBE, MOTOR), 18.39),
    (bulkhead(TUBE), 65.66),
    (coupler(TUBE), 65.46),
]


def test_the_readings_give_mean_smallest_and_largest() -> None:
    assert TUBE.mean_outside == pytest.approx(68.40, abs=1e-12)
    assert TUBE.mean_inside == pytest.approx(65.90, abs=1e-12)
    assert TUBE.smallest_inside == 65.86
    assert TUBE.largest_outside == 68.44


@pytest.mark.parametrize(("derived", "by_hand"), DERIVED)
def test_a_derived_size_is_the_sum_by_hand(derived: Derived, by_hand: float) -> None:
    assert derived.value == pytest.approx(by_hand, abs=1e-9)


@pytest.mark.parametrize(("derived", "by_hand"), DERIVED)
def test_the_sum_in_words_adds_up_and_says_why(derived: Derived, by_hand: float) -> None:
    terms, result = derived.sum.rsplit(" = ", 1)
    numbers = [float(number) for number in re.findall(r"\d+\.\d\d", terms)]
    if " / 2 - " in terms:
        value = (numbers[0] - numbers[1]) / 2.0 - numbers[2]
    else:
        value = numbers[0] + numbers[1] * (1.0 if " + " in terms.partition("(")[0] else -1.0)
    assert value == pytest.approx(by_hand, abs=0.011)  # two digits are printed
    assert result == f"{by_hand:.2f} mm"
    assert any(f"{row.reason}; {row.mark}" in terms for row in clearances().values())


def test_a_size_as_measured_is_the_mean_of_its_readings() -> None:
    assert as_measured(MOTOR, "outside") == Derived(30.99, "mean outside of the motor tube as measured = 30.99 mm")
    assert as_measured(MOTOR, "inside") == Derived(29.2, "mean inside of the motor tube as measured = 29.20 mm")


def test_the_large_disc_is_flush_with_the_coupler_as_far_as_the_airframe_lets_it_in() -> None:
    """By hand: the airframe lets in 65.86 less 0.5 (common practice)."""
    slim, wide = MeasuredTube("coupler", (65.2, 65.3), (62.1,)), MeasuredTube("coupler", (65.5,), (62.1,))
    flush = large_disc(slim, TUBE)
    assert flush == Derived(65.25, "mean outside of the coupler as measured = 65.25 mm")
    assert large_disc(wide, None) == Derived(65.5, "mean outside of the coupler as measured = 65.50 mm")
    for disc in (large_disc(wide, TUBE), large_disc(None, TUBE)):
        assert disc is not None
        assert disc.value == pytest.approx(65.36, abs=1e-9)
        assert "smallest inside of the payload tube 65.86 - 0.50" in disc.sum
    held_back = large_disc(wide, TUBE)
    assert held_back is not None
    assert held_back.sum.endswith("= 65.36 mm, because the mean outside of the coupler, 65.50 mm, is more")
    assert large_disc(None, None) is None


@pytest.mark.parametrize("inside", [(68.41,), (65.9, 68.36), (68.36,), (70.0, 60.0)])
def test_an_inside_that_is_not_below_every_outside_is_refused_with_both_readings(inside: tuple[float, ...]) -> None:
    with pytest.raises(PartError, match=rf"{max(inside):g} mm is not below the outside reading of 68.36 mm"):
        MeasuredTube("x", TUBE.outside, inside)


readings = st.lists(st.floats(20.0, 30.0), min_size=1, max_size=6).map(tuple)


@given(readings, st.lists(st.floats(31.0, 40.0), min_size=1, max_size=6).map(tuple))
def test_what_follows_from_any_readings_goes_in(inside: tuple[float, ...], outside: tuple[float, ...]) -> None:
    tube = MeasuredTube("t", outside, inside)
    assert shoulder(tube).value < min(inside)
    assert ring_outside(tube).value < min(inside)
    assert bulkhead(tube).value < min(inside)
    assert coupler(tube).value < min(inside)
    assert ring_bore(tube).value > max(outside)
    assert min(outside) - 0.2 < nose_base(tube).value < max(outside)
