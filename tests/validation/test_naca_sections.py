"""The drawn four-digit section against the ordinates printed for it, its nose radius and its area.

Source: NACA Report 460, 1933, tables of ordinates (from memory); areas by integration of its law (derived). Each row of
the table names its own. The printed sections have no wedge: they are drawn with the trailing edge that the law leaves,
2.1 % of the thickness in their name, and with the largest thickness that the law has, found here by search. Tolerances
are those of the rows: the digits printed.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
import pytest
from published import as_published, by_row, rows
from scipy.optimize import minimize_scalar

from ferrule.parts.aerofoil import four_digit
from ferrule.parts.curve import Bezier, parameters_at
from ferrule.parts.shape import signed_area

SECTIONS = rows("naca_sections.json")

CHORD = 100.0
"""[mm], so that millimetres are percent of the chord."""


def half_thickness(section: int, x: float) -> float:
    """The law of the report, written a second time: half thickness [mm] at a station [mm]."""
    u = x / CHORD
    law = 0.2969 * u**0.5 - 0.1260 * u - 0.3516 * u**2 + 0.2843 * u**3 - 0.1015 * u**4
    return float(section / 20.0 * law * CHORD)


@lru_cache(maxsize=8)
def upper_side(section: int) -> Bezier:
    """The upper side as drawn, from the trailing edge to the leading edge."""
    piece = outline(section).outer[-1].piece
    assert isinstance(piece, Bezier)
    return piece


def outline(section: int) -> Any:
    found = minimize_scalar(
        lambda x: -half_thickness(section, x), bounds=(10.0, 60.0), method="bounded", options={"xatol": 1e-9}
    )
    return four_digit(CHORD, 2.0 * -float(found.fun), 2.0 * half_thickness(section, CHORD))


def as_drawn(row: dict[str, Any]) -> float:
    side = upper_side(row["section"])
    if row["id"].endswith("area"):
        return signed_area(outline(row["section"]).outer) / CHORD**2 * 100.0
    if row["id"].endswith("nose"):
        # A parabola z^2 = 2 r x stands for any smooth nose; so near to it that the next term is below a thousandth.
        x, z = side.at(np.array([1.0 - 1e-5]))[0]
        return float(z**2 / (2.0 * x))
    return float(side.at(parameters_at(side, np.array([row["x_percent"]])))[0, 1])


@by_row(SECTIONS)
def test_the_drawn_section_is_the_one_that_is_printed(row: dict[str, Any]) -> None:
    assert as_drawn(row) == as_published(row)


def test_the_nose_radius_is_that_of_the_report() -> None:
    """The report gives 1.1019 t^2 c (from memory), which is 1.4845^2 / 2 of its law; four digits after the point."""
    for section in (9, 12, 18):
        x, z = upper_side(section).at(np.array([1.0 - 1e-7]))[0]
        assert z**2 / (2.0 * x) / (section**2 / 100.0) == pytest.approx(1.1019, abs=5e-5)
