"""A solid frustum against its closed forms.

Source: volume, centroid, slant area and axial inertia of the frustum of a cone (derived). Each row of the table names
its own; the tolerance is the row's, 1e-9: straight sections are exact.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from geometry_samples import section
from published import as_published, by_row, rows

from ferrule.parts.curve import Line
from ferrule.parts.readers.integrals import area, moments

FRUSTUM = rows("frustum.json")

SOLID = section(
    ((Line((0.0, 27.0), (60.0, 37.5)),), "wetted"),
    ((Line((60.0, 37.5), (60.0, 0.0)), Line((60.0, 0.0), (0.0, 0.0)), Line((0.0, 0.0), (0.0, 27.0))), ""),
)

READ: dict[str, Callable[[], float]] = {
    "frustum_V": lambda: moments(SOLID).volume,
    "frustum_xb": lambda: moments(SOLID).centroid[0],
    "frustum_S": lambda: area(SOLID.meridian, "wetted"),
    "frustum_Iax_unit_density": lambda: float(moments(SOLID).inertia()[0, 0]),
}


def test_every_row_of_the_table_is_read() -> None:
    assert [row["id"] for row in FRUSTUM] == list(READ)


@by_row(FRUSTUM)
def test_a_frustum_is_its_closed_form(row: dict[str, Any]) -> None:
    assert READ[row["id"]]() == as_published(row)
