"""Class letters from the total impulse.

Source: an encyclopedia's table of model rocket motor classes, A 1.26-2.50 N s to O 20,480.01-40,960 N s (looked up);
the fractions below A are from memory.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from ferrule.analysis.motor_class import BANDS, CLASSES, certification_band, impulse_class
from ferrule.parts.errors import PartError

TABLE = (
    ("A", 1.26, 2.50),
    ("B", 2.51, 5.00),
    ("C", 5.01, 10.0),
    ("D", 10.01, 20.0),
    ("E", 20.01, 40.0),
    ("F", 40.01, 80.0),
    ("G", 80.01, 160.0),
    ("H", 160.01, 320.0),
    ("I", 320.01, 640.0),
    ("J", 640.01, 1280.0),
    ("K", 1280.01, 2560.0),
    ("L", 2560.01, 5120.0),
    ("M", 5120.01, 10240.0),
    ("N", 10240.01, 20480.0),
    ("O", 20480.01, 40960.0),
    # From memory:
    ("micro", 0.01, 0.3125),
    ("1/4A", 0.3126, 0.625),
    ("1/2A", 0.626, 1.25),
)


def letter(total_impulse: float) -> str:
    found = impulse_class(total_impulse)
    assert found is not None
    return found.name


@pytest.mark.parametrize(("name", "first", "last"), TABLE)
def test_the_table_s_own_ends(name: str, first: float, last: float) -> None:
    assert letter(first) == letter(last) == name


def test_every_class_follows_the_one_before_it() -> None:
    assert CLASSES[0].above == 0.0
    for before, after in pairwise(CLASSES):
        assert after.above == before.up_to
        assert after.up_to == 2.0 * before.up_to
    assert len(CLASSES) == len(TABLE)


def test_how_far_into_a_class() -> None:
    """A motor of 168.1 N s is 8.1 of 160 N s into H."""
    found = impulse_class(168.1)
    assert found is not None
    assert found.share(168.1) == pytest.approx(8.1 / 160.0)
    assert found.share(320.0) == 1.0


def test_above_the_table_nothing_is_stated() -> None:
    assert impulse_class(40960.1) is None


@pytest.mark.parametrize("impulse", [0.0, -5.0, math.nan, math.inf])
def test_no_such_impulse(impulse: float) -> None:
    with pytest.raises(PartError, match="total_impulse: must be above 0 N s"):
        impulse_class(impulse)


@pytest.mark.parametrize(
    ("impulse", "band"),
    [
        (160.0, "below high power"),
        (160.01, "level 1"),
        (640.0, "level 1"),  # an association's text: level 1 covers up to 640 N s installed (looked up)
        (640.01, "level 2"),
        (5120.0, "level 2"),
        (5120.01, "level 3"),
        (40960.0, "level 3"),
        (0.1, "below high power"),
    ],
)
def test_bands(impulse: float, band: str) -> None:
    """Levels 2 and 3 are common practice."""
    found = impulse_class(impulse)
    assert found is not None
    assert certification_band(found).name == band


def test_every_class_is_in_one_band_and_every_band_says_where_it_is_from() -> None:
    assert {certification_band(one).name for one in CLASSES} == {band.name for band in BANDS}
    assert all(band.source and band.mark in ("looked up", "common practice", "from memory") for band in BANDS)
