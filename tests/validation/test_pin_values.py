"""Nylon shear pins and lifting eyes against their sources.

Source: strength of nylon 6/6 in shear as quoted for shear pins, 9600 to 10500 psi, on the minor diameter of ASME B1.1;
DIN 580, Annex A, Table A.1. Each row of the table names its own and its tolerance. What a pin is taken to hold and to
need is common practice.
"""

from __future__ import annotations

from typing import Any

import pytest
from published import as_published, by_row, rows

from ferrule.parts.hardware import Eyebolt, UnifiedScrew, sized
from ferrule.parts.nylon_pins import nylon_pins

VALUES = rows("pin_values.json")
NYLON = [row for row in VALUES if row["id"].startswith("#")]
EYES = [row for row in VALUES if row["id"].startswith("M")]

NEWTONS = 4.4482216152605
"""A pound-force [N] (exact)."""


def test_every_row_of_the_table_is_read() -> None:
    assert [row["id"] for row in (*NYLON, *EYES)] == [row["id"] for row in VALUES]
    assert {row["id"] for row in NYLON} == nylon_pins().keys()


@by_row(NYLON)
def test_a_pin_shears_at_what_its_area_gives(row: dict[str, Any]) -> None:
    pin = nylon_pins()[row["id"]]
    assert [pin.shear(9600.0), pin.shear(10500.0)] == as_published(row)


@by_row(NYLON)
def test_the_minor_diameter_is_that_of_the_thread(row: dict[str, Any]) -> None:
    """ASME B1.1: d - 1.226869 P, which is 17/12 of the height of the sharp triangle; the table has eight decimals."""
    screw, pin = sized(UnifiedScrew, row["id"]), nylon_pins()[row["id"]]
    assert pin.minor_diameter == pytest.approx(
        screw.major_diameter / 25.4 - 1.226869 / screw.threads_per_inch, abs=1e-8
    )


@by_row(NYLON)
def test_what_a_pin_holds_and_needs_lie_outside_its_strengths(row: dict[str, Any]) -> None:
    """85 and 150 N for #2-56, the others by area: least rounded down, greatest up, by 1 N at most (common practice).

    Between them lie the strengths of the table; the greatest is passed by half a per cent, for 150 N is a round number.
    """
    first, pin = nylon_pins()["#2-56"], nylon_pins()[row["id"]]
    assert (first.hold, first.open) == (85.0, 150.0)
    share = (pin.minor_diameter / first.minor_diameter) ** 2
    assert 0.0 <= 85.0 * share - pin.hold < 1.0
    assert 0.0 <= pin.open - 150.0 * share < 1.0
    low, high = (NEWTONS * value for value in row["value"])
    assert pin.hold < low < high < 1.01 * pin.open


@by_row(EYES)
def test_an_eye_is_rated_as_printed(row: dict[str, Any]) -> None:
    eye = sized(Eyebolt, row["id"])
    assert eye.rated_load is not None
    assert eye.rated_load_45 is not None
    assert [eye.rated_load / 1000.0, eye.rated_load_45 / 1000.0] == as_published(row)


@pytest.mark.parametrize("size", ["M5", "M6"])
def test_no_standard_rates_a_smaller_eye(size: str) -> None:
    assert sized(Eyebolt, size).rated_load is None
