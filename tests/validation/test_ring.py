"""A centering ring with four holes against closed forms.

Source: sums of circles and the parallel-axis theorem (derived); shear of the bore by statics, F / (pi d t) (derived).
Each row of the table names its own; the tolerance is the row's, 1e-9, where the shape is exact.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from geometry_samples import tube
from published import as_published, by_row, rows

from ferrule.parts.readers.integrals import area, moments
from ferrule.parts.shape import Array, Cut, Outline, Placed, Plate, circle, hole, moved

RING = rows("ring.json")
OUTSIDE, BORE, THICK = 98.0 / 2.0, 38.6 / 2.0, 6.0
CENTRES = tuple((34.15 * math.cos(a), 34.15 * math.sin(a)) for a in (0.0, math.pi / 2, math.pi, 3 * math.pi / 2))

PLATE = Plate(Outline(circle(OUTSIDE), (hole(BORE), *(hole(6.0, centre) for centre in CENTRES))), THICK)

READ: dict[str, Callable[[], float]] = {
    "volume": lambda: moments(PLATE).volume,
    "polar": lambda: float(moments(PLATE).inertia()[0, 0]) / THICK,
    "shear": lambda: 500.0 / area(tube(OUTSIDE, BORE, THICK, "", "joint").meridian, "joint"),
}


def test_every_row_of_the_table_is_read() -> None:
    assert [row["id"] for row in RING] == list(READ)


@by_row(RING)
def test_a_ring_with_four_holes_is_its_closed_form(row: dict[str, Any]) -> None:
    assert READ[row["id"]]() == as_published(row)


def test_the_same_ring_turned_and_drilled_agrees_within_its_stated_error() -> None:
    drill = Placed(Plate(Outline(circle(6.0, CENTRES[0])), THICK + 2.0), moved(-1.0))
    found = moments(Cut(tube(OUTSIDE, BORE, THICK), (Array(drill, 4),)))
    assert "mesh" in found.method
    assert 0.0 < found.error < 1e-4
    value = next(row["value"] for row in RING if row["id"] == "volume")
    assert found.volume == pytest.approx(value, rel=found.error)
