"""Three flat fins on a body against the integrals of their trapezium.

Source: closed forms of the trapezium and the parallel-axis theorem (derived). Each row of the table names its own; the
tolerance is the row's, 1e-9: flat plates are exact.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from published import as_published, by_row, rows

from ferrule.parts.readers.integrals import moments
from ferrule.parts.shape import Array, Blade, Outline, Placed, moved, polygon

FINS = rows("fin_plates.json")

KILOGRAM_PER_MM3 = 1850.0 * 1e-9
FIN = Blade(Outline(polygon(((0.0, 0.0), (120.0, 0.0), (110.0, 70.0), (50.0, 70.0)))), 3.0)
SET = Array(Placed(FIN, moved(y=33.0)), 3)

READ: dict[str, Callable[[], float]] = {
    "fin_mass_each_kg": lambda: moments(FIN).volume * KILOGRAM_PER_MM3,
    "fin_xcg_from_rootLE": lambda: moments(FIN).centroid[0],
    "fin_ycg_from_root": lambda: moments(FIN).centroid[1],
    "finset_mass": lambda: moments(SET).volume * KILOGRAM_PER_MM3,
    "finset_Iax": lambda: float(moments(SET).inertia()[0, 0]) * KILOGRAM_PER_MM3,
    "finset_Itr": lambda: float(moments(SET).inertia()[1, 1]) * KILOGRAM_PER_MM3,
}


def test_every_row_of_the_table_is_read() -> None:
    assert [row["id"] for row in FINS] == list(READ)


@by_row(FINS)
def test_flat_fins_are_their_closed_forms(row: dict[str, Any]) -> None:
    assert READ[row["id"]]() == as_published(row)


def test_three_fins_balance_on_the_axis_and_are_round_to_roll() -> None:
    found = moments(SET)
    assert found.centroid[1:] == pytest.approx((0.0, 0.0), abs=1e-12)
    inertia = found.inertia()
    assert inertia[1, 1] == pytest.approx(inertia[2, 2], rel=1e-12)
    np.testing.assert_allclose(inertia - np.diag(np.diag(inertia)), 0.0, atol=1e-12 * inertia[0, 0])
