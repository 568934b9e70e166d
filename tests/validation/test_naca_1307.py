"""Lift that fins and body give each other, against slender-body theory.

Source: W. C. Pitts, J. N. Nielsen and G. E. Kaattari, NACA Report 1307, 1957: factors K_W(B) and K_B(W) (derived: the
formula was recalled and each row integrated anew from the potential of a flat wing on a round body). The table is
printed to eight digits, so 1e-6 is what its rounding leaves and room.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from published import as_published, by_row, rows
from rocket_samples import trapezoid
from scipy.integrate import quad

from ferrule.analysis.aero.body import Skin, body_normal_force
from ferrule.analysis.aero.carry_over import (
    COUNTED,
    LIFT_WITHIN,
    SAME_STATION,
    STATION_WITHIN,
    carry_over,
    fins_on_body,
)
from ferrule.analysis.aero.fins import fin_set
from ferrule.analysis.aero.interference import body_interference
from ferrule.analysis.aero.normal_force import combined
from ferrule.analysis.aero.planform import planform
from ferrule.parts.errors import PartError
from ferrule.parts.profiles import Profile

TABLE = rows("naca_1307.json")
FIN_A = planform(trapezoid(120.0, 60.0, 70.0, 50.0))
SET_A = fin_set(FIN_A, 3, 33.0, 780.0, 66.0)

RADII = [0.5, 5.0, 33.0, 34.2, 120.0]


def test_the_table_has_both_factors_at_the_same_ratios() -> None:
    names = [row["id"].split("_") for row in TABLE]
    assert [ratio for factor, ratio in names if factor == "kwb"] == [r for factor, r in names if factor == "kbw"]
    assert len(TABLE) == 20


@by_row(TABLE)
def test_the_factors_are_those_of_the_table(row: dict[str, Any]) -> None:
    found = carry_over(row["ratio"] * 100.0, (1.0 - row["ratio"]) * 100.0)
    assert found.ratio == pytest.approx(row["ratio"], abs=1e-15)
    assert (found.fins if row["id"].startswith("kwb") else found.body) == as_published(row)


@pytest.mark.parametrize("radius", RADII)
def test_the_factors_are_the_integrals_of_the_potential(radius: float) -> None:
    """Slender-body theory by quadrature: with axis-to-tip distance b, mapped to a flat plate of half-width b + r^2 / b.

    The potential on fin and body is the root of that width squared less the mapped y squared; the body by itself has
    2 sqrt(r^2 - y^2), the fins by themselves a half-ellipse of the width s on each side (derived).
    """
    span = 58.0
    tip = radius + span
    width = tip + radius**2 / tip
    # y = r + s sin(p) takes the root out of the tip.
    fin, _ = quad(
        lambda p: (
            math.sqrt(max(width**2 - (y := radius + span * math.sin(p)) ** 2 - 2.0 * radius**2 - radius**4 / y**2, 0.0))
            * span
            * math.cos(p)
        ),
        0.0,
        math.pi / 2.0,
        epsabs=0.0,
        epsrel=1e-11,
    )
    body, _ = quad(
        lambda y: math.sqrt(width**2 - 4.0 * y**2) - 2.0 * math.sqrt(radius**2 - y**2),
        0.0,
        radius,
        epsabs=0.0,
        epsrel=1e-9,
    )
    alone = math.pi * span**2 / 4.0
    found = carry_over(radius, span)
    assert found.fins == pytest.approx(fin / alone, rel=1e-7)
    assert found.body == pytest.approx(body / alone, rel=1e-7)


@pytest.mark.parametrize("radius", RADII)
def test_both_together_are_the_square_of_the_older_factor(radius: float) -> None:
    """Slender-body theory: lift of fins on a body over that of the fins alone is (1 + r / (r + s))^2 (derived)."""
    found = carry_over(radius, 58.0)
    assert found.total == pytest.approx(body_interference(radius, 58.0) ** 2, rel=1e-14)
    # Near the axis K_W(B) = 1 + (2 - 4/pi) t + ...: below 1 + t, as the report of 1966 takes it.
    assert 1.0 < found.fins < body_interference(radius, 58.0)


def test_without_a_body_the_fins_are_alone() -> None:
    none = carry_over(0.0, 70.0)
    assert (none.fins, none.body) == (pytest.approx(1.0, rel=1e-15), pytest.approx(0.0, abs=1e-15))
    thin = carry_over(1e-3, 70.0)
    ratio = thin.ratio
    # First order in the ratio, from the formula's series (derived).
    assert thin.fins == pytest.approx(1.0 + (2.0 - 4.0 / math.pi) * ratio, abs=5.0 * ratio**2)
    assert thin.body == pytest.approx(4.0 / math.pi * ratio, abs=5.0 * ratio**2)


def test_fins_that_are_short_beside_the_body_carry_twice_and_again_twice() -> None:
    """At the ratio 1 the flow at the root is that beside a cylinder, twice as fast (derived)."""
    found = carry_over(1000.0, 1.0)
    assert found.fins == pytest.approx(2.0, abs=0.003)
    assert found.body == pytest.approx(2.0, abs=0.003)


def test_rocket_a_with_both_factors() -> None:
    (row,) = [row for row in rows("rockets.json") if row["id"] == "rocketA_cna_1307"]
    found = fins_on_body(SET_A, 33.0, 70.0)
    nose = body_normal_force(Skin(Profile("tangent-ogive", 200.0, 33.0).chain()), None, math.pi * 33.0**2)
    assert combined((nose, found.both)).slope == as_published(row)
    assert combined((nose, found.fins, found.body)).slope == as_published(row)


def test_the_shares_stand_where_the_fins_do_and_say_so() -> None:
    found = fins_on_body(SET_A, 33.0, 70.0)
    assert found.fins.station == found.body.station == SET_A.station
    assert found.both.station == pytest.approx(SET_A.station, rel=1e-12)
    assert found.by_1966 == SET_A
    assert found.gain == pytest.approx(SET_A.slope * (body_interference(33.0, 70.0) - 1.0), rel=1e-12)
    assert {SAME_STATION, COUNTED} <= set(found.both.notes)
    assert "1307" in found.both.method


def test_two_fins_get_nothing_here_either() -> None:
    pair = fin_set(FIN_A, 2, 33.0, 780.0, 66.0)
    found = fins_on_body(pair, 33.0, 70.0)
    assert found.both.slope == found.gain == 0.0
    assert found.both.station is None
    assert found.both.notes == pair.notes


def test_the_accuracy_is_that_of_the_report() -> None:
    """Its summary (looked up): lift within 10 per cent, centre of pressure within 0.02 of the body's length."""
    assert (LIFT_WITHIN, STATION_WITHIN) == (0.10, 0.02)


@pytest.mark.parametrize(
    ("radius", "span", "words"),
    [
        (-1.0, 70.0, "body_radius: must be 0 mm or more, got -1 mm"),
        (math.nan, 70.0, "body_radius"),
        (33.0, 0.0, "semi_span: must be above 0 mm, got 0 mm"),
        (33.0, math.inf, "semi_span"),
    ],
)
def test_sizes_that_no_fin_has(radius: float, span: float, words: str) -> None:
    with pytest.raises(PartError, match=words):
        carry_over(radius, span)
