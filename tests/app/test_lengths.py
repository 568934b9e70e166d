"""Lengths with one unit first: against conversions done by hand, 25.4 mm to the inch (exact since 1959)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ferrule.app.entries import Unit
from ferrule.app.lengths import NOT_STATED, Lengths

MM, IN = Lengths("mm"), Lengths("in")


@pytest.mark.parametrize(
    ("value", "digits", "millimetres", "inches"),
    [
        (859.7, 1, "859.7 mm (33.846 in)", "33.846 in (859.7 mm)"),
        (1150.0, 0, "1150 mm (45.3 in)", "45.3 in (1150 mm)"),
        (68.4, 2, "68.40 mm (2.6929 in)", "2.6929 in (68.40 mm)"),
        (25.4, 1, "25.4 mm (1.000 in)", "1.000 in (25.4 mm)"),
        (-0.4, 2, "-0.40 mm (-0.0157 in)", "-0.0157 in (-0.40 mm)"),
        (0.0, 1, "0.0 mm (0.000 in)", "0.000 in (0.0 mm)"),
    ],
)
def test_both_units_stand_in_the_wanted_order(value: float, digits: int, millimetres: str, inches: str) -> None:
    assert MM.both(value, digits) == millimetres
    assert IN.both(value, digits) == inches
    assert MM.one(value, digits) == millimetres.partition(" (")[0]
    assert IN.one(value, digits) == inches.partition(" (")[0]
    assert MM.number(value, digits) == millimetres.partition(" ")[0]
    assert IN.number(value, digits) == inches.partition(" ")[0]


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_what_is_not_stated_is_said_and_has_no_unit(unit: Unit) -> None:
    lengths = Lengths(unit)
    assert (lengths.number(None), lengths.one(None), lengths.both(None)) == (NOT_STATED,) * 3
    assert NOT_STATED == "not stated"


@given(st.floats(-1e5, 1e5), st.integers(0, 3))
def test_both_numbers_are_the_same_length_to_the_last_digit_shown(value: float, digits: int) -> None:
    shown, inches = float(MM.number(value, digits)), float(IN.number(value, digits))
    # Half of the last digit, and as much for the last bits of the value itself.
    assert abs(shown - value) <= 0.5 * 10.0**-digits + 1e-9
    assert abs(inches * 25.4 - value) <= 25.4 * 0.5 * 10.0 ** -(digits + 2 if digits else 1) + 1e-9
