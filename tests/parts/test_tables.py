"""The data tables: every row says where it comes from, and its numbers are of one order."""

from __future__ import annotations

from importlib.resources import files

import pytest

from ferrule.parts.errors import FerruleError
from ferrule.parts.tables import UnknownMaterialError, clearances, material, materials

MARKS = {"looked up", "derived", "common practice", "from memory"}


@pytest.mark.parametrize("name", materials())
def test_a_material_has_a_source_a_mark_and_a_density_within_its_range(name: str) -> None:
    row = materials()[name]
    assert row.name == name == name.strip().lower()
    assert row.family in {"polymer", "wood", "paper", "composite", "metal", "resin"}
    assert row.source.strip()
    assert row.mark in MARKS
    assert 0.0 < row.low <= row.density <= row.high < 2.5e-2


def test_densities_are_in_grams_per_cubic_millimetre() -> None:
    """Source: structural steel weighs 7.85 g/cm3 (any mechanics textbook's appendix)."""
    assert material("steel").density == pytest.approx(7.85e-3, rel=1e-12)


@pytest.mark.parametrize("name", clearances())
def test_a_clearance_has_a_reason_a_mark_and_an_amount_that_raises_no_warning(name: str) -> None:
    row = clearances()[name]
    assert row.reason.strip()
    assert row.mark in MARKS
    assert 0.0 <= row.least <= row.amount <= row.most


def test_no_name_stands_twice() -> None:
    for table, found in (("materials.csv", materials()), ("fits.csv", clearances())):
        lines = files("ferrule.parts").joinpath("data").joinpath(table).read_text(encoding="utf-8").splitlines()
        assert len([line for line in lines[1:] if line.strip()]) == len(found)


@pytest.mark.parametrize("name", ["birch-plywood", "Birch Plywood", " birch plywood "])
def test_a_material_is_found_however_it_is_typed(name: str) -> None:
    assert material(name).name == "birch-plywood"


def test_an_unknown_material_lists_those_that_there_are() -> None:
    with pytest.raises(UnknownMaterialError, match="no material 'unobtainium'") as caught:
        material("unobtainium")
    assert isinstance(caught.value, FerruleError)
    assert all(name in str(caught.value) for name in materials())
    assert "give `density`" in str(caught.value)
