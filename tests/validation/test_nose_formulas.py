"""Noses of every family against what their formulas give in closed form or by quadrature in 60 digits.

Sources: the families' definitions as elementary geometry (derived); the series of the Haack bodies from memory; the
slender-body station is equation 29 of The Theoretical Prediction of the Center of Pressure, 1966. Each row of the
tables names its own. What is checked is the shape itself: profile, chain, turned solid, then the reader; nothing is
taken from the formulas on the way but r(x). Tolerances are those of the rows, 1e-9: a chain strays from its formula by
up to 1e-6 mm, both ways, over a base radius of 33 mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from geometry_samples import turned
from published import as_published, by_row, rows
from scipy.integrate import quad

from ferrule.parts.chain import FIT_TOLERANCE, reverse
from ferrule.parts.curve import Line, monotone_parts, parameters_at
from ferrule.parts.profiles import FAMILIES, Family, Profile
from ferrule.parts.readers.integrals import area, moments
from ferrule.parts.readers.moments import Moments
from ferrule.parts.shape import Outline, Plate, edges

NOSES = rows("nose_formulas.json")
SLENDER = rows("nose_slender_body.json")


def constant_of(row: dict[str, Any]) -> float | None:
    """The constant of the family; thirds are written as fractions in the tables."""
    return None if row["constant"] is None else float(Fraction(row["constant"]))


@lru_cache(maxsize=100)
def nose(family: Family, length: float, base: float, constant: float | None) -> Profile:
    return Profile(family, length, base, constant)


def solid(p: Profile) -> Moments:
    return moments(turned(p.chain(), "wetted"))


def side(p: Profile) -> Moments:
    """Half the side view, as a plate of 1 mm: under the chain, above the axis."""
    length, base = p.length, p.base_radius
    axis = (Line((0.0, 0.0), (length, 0.0)), Line((length, 0.0), (length, base)))
    back = reverse(p.chain())
    assert back[-1].end == pytest.approx((0.0, 0.0), abs=1e-9)
    return moments(Plate(Outline(edges((*axis, *back))), 1.0))


def radius_of_chain(p: Profile, x: float) -> float:
    """Radius at a station, from the piece of the chain that passes it."""
    (found,) = (
        float(part.at(parameters_at(part, np.array([x])))[0, 1])
        for piece in p.chain()
        for part in monotone_parts(piece)
        if part.start[0] <= x < part.end[0]
    )
    return found


def base_area(p: Profile) -> float:
    return math.pi * p.base_radius**2


READ: dict[str, Callable[[Profile], float]] = {
    "r50": lambda p: radius_of_chain(p, 50.0),
    "r100": lambda p: radius_of_chain(p, 100.0),
    "r150": lambda p: radius_of_chain(p, 150.0),
    "volume": lambda p: solid(p).volume,
    "centroid": lambda p: solid(p).centroid[0],
    "wetted": lambda p: area(turned(p.chain(), "wetted").meridian, "wetted"),
    "xcp": lambda p: p.length - solid(p).volume / base_area(p),
    "cp_fraction": lambda p: 1.0 - solid(p).volume / base_area(p) / p.length,
    "planform": lambda p: 2.0 * side(p).volume,
    "planform_centroid": lambda p: side(p).centroid[1],
    "I_axial": lambda p: float(solid(p).inertia()[0, 0]),
    "I_transverse": lambda p: float(solid(p).inertia()[1, 1]),
    "arc_radius": lambda p: p.tangent_arc_radius,
    "rmax": lambda p: turned(p.chain()).meridian.box()[2],
}


def test_every_row_of_the_table_is_read() -> None:
    # Thirteen noses by twelve quantities, the tangent arc radius and the largest radius of the bulging ogive.
    assert len(NOSES) == 13 * 12 + 2
    assert {row["quantity"] for row in NOSES} == set(READ)
    assert {row["family"] for row in NOSES} == set(FAMILIES)
    assert len({(row["family"], row["constant"]) for row in NOSES}) == 13
    assert len(SLENDER) == 14


@by_row(NOSES)
def test_a_nose_measures_what_its_formula_gives(row: dict[str, Any]) -> None:
    p = nose(row["family"], row["length_mm"], row["base_radius_mm"], constant_of(row))
    found = READ[row["quantity"]](p)
    if row["quantity"] in ("r50", "r100", "r150") and row["family"] in ("von-karman", "haack"):
        # At one place a fitted chain may be its whole tolerance away; the formula itself is held to the row below.
        assert found == pytest.approx(row["value"], abs=FIT_TOLERANCE)
    else:
        assert found == as_published(row)


@by_row([row for row in NOSES if row["quantity"] in ("r50", "r100", "r150")])
def test_the_formula_itself_gives_the_radius(row: dict[str, Any]) -> None:
    p = nose(row["family"], row["length_mm"], row["base_radius_mm"], constant_of(row))
    assert float(p.radius(np.array([float(row["quantity"][1:])]))[0]) == as_published(row)


def slender_station(row: dict[str, Any], volume: float, p: Profile) -> float:
    station = p.length - volume / base_area(p)
    return station / (2.0 * p.base_radius if row["quantity"] == "cp_over_diameter" else p.length)


@by_row(SLENDER)
def test_the_slender_body_station_follows_from_the_volume_of_the_shape(row: dict[str, Any]) -> None:
    p = nose(row["family"], 66.0 * row["fineness"], 33.0, constant_of(row))
    found = slender_station(row, solid(p).volume, p)
    if row["family"] == "haack":
        # The row is exact; a fitted chain is not, see above.
        assert found == pytest.approx(row["value"], rel=1e-9)
    else:
        assert found == as_published(row)


@by_row([row for row in SLENDER if row["family"] == "haack"])
def test_the_formula_of_a_haack_body_has_its_law_to_the_last_digit(row: dict[str, Any]) -> None:
    p = nose(row["family"], 66.0 * row["fineness"], 33.0, constant_of(row))
    # With x = L sin^2(a) the square of the radius is smooth in a, and its integral is good to rounding.
    volume, _ = quad(
        lambda a: (
            base_area(p)
            * float(p.radius(np.array([p.length * math.sin(a) ** 2]))[0] / p.base_radius) ** 2
            * p.length
            * math.sin(2.0 * a)
        ),
        0.0,
        math.pi / 2.0,
        epsabs=0.0,
        epsrel=1e-13,
    )
    assert slender_station(row, volume, p) == as_published(row)


def test_a_slender_tangent_ogive_tends_to_the_parabola() -> None:
    # 7/15 is its limit, approached as the inverse square of the fineness: twice as slender is four times nearer.
    misses = []
    for fineness in (5.0, 10.0, 20.0, 40.0):
        p = nose("tangent-ogive", 66.0 * fineness, 33.0, None)
        misses.append(7.0 / 15.0 - (1.0 - solid(p).volume / base_area(p) / p.length))
    for wide, slim in pairwise(misses):
        assert wide / slim == pytest.approx(4.0, rel=0.01)  # the next term is the fourth power: (1/5)^2 / 4


def test_volume_alone_does_not_tell_a_von_karman_body_from_a_paraboloid() -> None:
    # Both fill half of their cylinder; centroid and skin differ. A reader that mixed them up would pass by volume.
    haack, paraboloid = nose("von-karman", 200.0, 33.0, None), nose("power-law", 200.0, 33.0, 0.5)
    assert solid(haack).volume == pytest.approx(solid(paraboloid).volume, rel=1e-9)
    assert solid(haack).centroid[0] - solid(paraboloid).centroid[0] == pytest.approx(137.5 - 400.0 / 3.0, abs=1e-6)
