"""The tables of what materials and glue lines bear.

Values that were looked up, in the source's own unit: USDA Wood Handbook (basswood: modulus 1.46e6 psi, shear parallel
to the grain 990 psi), sheet data after MIL-I-24768/2 (G-10: modulus 2.2e6 psi, bending 45 ksi, shear 19 ksi); the table
rounds them to one in a hundred.
"""

from __future__ import annotations

import pytest

from ferrule.parts.glue_strengths import GLUE_LINE, glue_strengths
from ferrule.parts.strengths import strength, strengths
from ferrule.parts.tables import materials

PSI = 0.006894757293168
"""A pound-force on a square inch [MPa] (NIST SP 811)."""

MARKS = {"looked up", "derived", "common practice", "from memory"}


@pytest.mark.parametrize("name", sorted(strengths()))
def test_a_row_is_of_a_material_and_says_where_it_comes_from(name: str) -> None:
    row = strengths()[name]
    assert name in materials()
    assert row.mark in MARKS
    assert row.source
    values = (row.modulus, row.bending, row.shear, row.compression, row.tension, row.shear_modulus_low)
    assert all(value is None or value > 0.0 for value in values)
    if row.shear_modulus_low is not None and row.shear_modulus_high is not None and row.modulus is not None:
        # Below half of the modulus for any ratio of Poisson's that is not negative (any mechanics textbook).
        assert row.shear_modulus_low <= row.shear_modulus_high < row.modulus / 2.0


@pytest.mark.parametrize(
    ("name", "field", "psi"),
    [
        ("basswood", "modulus", 1.46e6),
        ("basswood", "shear", 990.0),
        ("g10", "modulus", 2.2e6),
        ("g10", "bending", 45e3),
        ("g10", "shear", 19e3),
    ],
)
def test_what_was_looked_up(name: str, field: str, psi: float) -> None:
    assert getattr(strengths()[name], field) == pytest.approx(psi * PSI, rel=0.012)


def test_plywood_is_low_for_both_directions() -> None:
    """Handbook of Finnish Plywood, bending of 6.5 mm: 51 MPa along, 29 across the face grain (from memory)."""
    assert strengths()["birch-plywood"].bending == min(51.0, 29.0)


def test_what_is_in_no_table_has_no_strength() -> None:
    assert strength(None) is None
    assert strength("moon cheese") is None


def test_the_glue_line_is_the_low_one() -> None:
    """A poor joint on wood bears 2 MPa (common practice)."""
    row = glue_strengths()[GLUE_LINE]
    assert (row.shear, row.mark) == (2.0, "common practice")
