"""How large things look: trigonometry by hand."""

from __future__ import annotations

import math

import pytest

from ferrule.analysis.flight.sight import ACUITY, arc_minutes, seen, sight_distance
from ferrule.parts.errors import PartError


def test_an_arc_minute_is_29_mm_at_100_m() -> None:
    """tan(1/60 deg) = 2.9089e-4 (tables)."""
    assert arc_minutes(29.0888, 100.0) == pytest.approx(1.0, rel=1e-5)
    assert ACUITY == 1.0


def test_the_disc_of_the_moon_is_half_a_degree() -> None:
    """3474.8 km at 384,400 km: 31.07 arc minutes (published mean values, from memory)."""
    assert arc_minutes(3_474_800e3, 384_400e3) == pytest.approx(31.07, abs=0.02)


def test_a_rocket_counts_by_its_patch() -> None:
    found = seen(900.0, 64.0, 300.0, 400.0)
    assert found.distance == 500.0
    assert found.size == 240.0
    assert found.angle == pytest.approx(0.240 / 500.0 * 180.0 / math.pi * 60.0, rel=1e-7)


def test_the_distance_is_the_inverse() -> None:
    far = sight_distance(900.0, 64.0, 2.0)
    assert seen(900.0, 64.0, far).angle == pytest.approx(2.0, rel=1e-9)
    assert far == pytest.approx(0.240 / 5.8178e-4, rel=1e-4)


def test_values_that_cannot_be_are_refused() -> None:
    with pytest.raises(PartError, match="length and diameter: must be above 0 mm"):
        seen(0.0, 64.0, 100.0)
    with pytest.raises(PartError, match="distance: must be above 0 m, got 0 m"):
        seen(900.0, 64.0, 0.0)
    with pytest.raises(PartError, match="length, diameter and angle: must be above 0"):
        sight_distance(900.0, 64.0, 0.0)
