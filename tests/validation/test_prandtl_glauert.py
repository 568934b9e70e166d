"""Slope of fins at speed.

Sources: the form of J. S. Barrowman's thesis of 1967 (from memory, number worked from it); H. Glauert, The Effect of
Compressibility on the Lift of an Aerofoil, 1928, 1 / beta for a wing of infinite span, and the rule by which a whole
planform is stretched (any aerodynamics handbook, common practice).
"""

from __future__ import annotations

import math

import pytest
from published import as_published, rows
from rocket_samples import trapezoid

from ferrule.analysis.aero.compressibility import BEYOND, HIGHEST_MACH, SWEPT, at_mach, slope_factor
from ferrule.analysis.aero.fins import fin_set, one_fin_slope
from ferrule.analysis.aero.planform import Planform, planform
from ferrule.parts.errors import PartError

FIN_A = planform(trapezoid(120.0, 60.0, 70.0, 50.0))
SET_A = fin_set(FIN_A, 3, 33.0, 780.0, 66.0)


def factor(fin: Planform, mach: float) -> float:
    found = slope_factor(fin, mach).factor
    assert found is not None
    return found


def test_three_fins_at_mach_one_half() -> None:
    (row,) = rows("prandtl_glauert.json")
    found = at_mach(SET_A, FIN_A, 0.5)
    assert found is not None
    assert found.slope == as_published(row)
    assert found.station == SET_A.station
    assert found.method.startswith(SET_A.method)


def test_at_rest_nothing_changes() -> None:
    assert factor(FIN_A, 0.0) == 1.0


@pytest.mark.parametrize("mach", [0.2, 0.5, 0.8])
def test_a_straight_fin_is_the_stretched_one_at_low_speed(mach: float) -> None:
    """The rule: lift slope = that of the planform with its span shrunk by beta, at low speed, over beta.

    `one_fin_slope` has the fin's area in it, which shrinks by beta too, so its own ratio is over beta squared.
    """
    beta = math.sqrt(1.0 - mach**2)
    fin, shrunk = planform(trapezoid(120.0, 60.0, 70.0, 30.0)), planform(trapezoid(120.0, 60.0, 70.0 * beta, 30.0))
    expected = one_fin_slope(shrunk, 66.0) / one_fin_slope(fin, 66.0) / beta**2
    assert factor(fin, mach) == pytest.approx(expected, rel=1e-12)
    assert slope_factor(fin, mach).notes == ()


@pytest.mark.parametrize("mach", [0.3, 0.6, 0.8])
def test_a_swept_fin_says_what_the_stretched_one_has_less(mach: float) -> None:
    beta = math.sqrt(1.0 - mach**2)
    fin, shrunk = planform(trapezoid(120.0, 60.0, 70.0, 130.0)), planform(trapezoid(120.0, 60.0, 70.0 * beta, 130.0))
    stretched = one_fin_slope(shrunk, 66.0) / one_fin_slope(fin, 66.0) / beta**2
    less = 100.0 * (1.0 - stretched / factor(fin, mach))
    notes = slope_factor(fin, mach).notes
    assert less > 0.0
    assert notes == ((f"{SWEPT} {less:.1f} %",) if less > 2.0 else ())
    assert bool(notes) == (mach > 0.5)


def test_a_very_long_fin_has_the_rule_of_the_section_and_a_very_short_one_none() -> None:
    """Glauert 1928: 1 / beta at infinite span; slender-body theory: none at vanishing span."""
    long, short = planform(trapezoid(100.0, 100.0, 1e6, 0.0)), planform(trapezoid(100.0, 100.0, 0.01, 0.0))
    assert factor(long, 0.6) == pytest.approx(1.0 / 0.8, rel=1e-3)
    assert factor(short, 0.6) == pytest.approx(1.0, abs=1e-6)


def test_it_rises_with_speed_to_the_end_of_the_range_and_then_is_not_stated() -> None:
    machs = [index / 20.0 for index in range(17)]
    found = [factor(FIN_A, mach) for mach in machs]
    assert found == sorted(set(found))
    assert machs[-1] == HIGHEST_MACH
    for mach in (math.nextafter(HIGHEST_MACH, 1.0), 1.0, 2.0):
        beyond = slope_factor(FIN_A, mach)
        assert beyond.factor is None
        assert beyond.notes == (BEYOND,)
        assert at_mach(SET_A, FIN_A, mach) is None


@pytest.mark.parametrize("mach", [-0.1, math.nan, math.inf])
def test_no_such_speed(mach: float) -> None:
    with pytest.raises(PartError, match="mach: must be 0 or more"):
        slope_factor(FIN_A, mach)
