"""The data tables: every row says where it comes from, and its numbers are of one order."""

from __future__ import annotations

from importlib.resources import files
from itertools import pairwise

import pytest

from ferrule.parts.errors import FerruleError
from ferrule.parts.fit import FITS, PROCESSES
from ferrule.parts.tables import (
    Thickness,
    UnknownMaterialError,
    clearances,
    iso_steps,
    material,
    materials,
    readings,
    tapes,
)

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


@pytest.mark.parametrize("name", [name for name in clearances() if name.partition("/")[0] in FITS])
def test_a_row_of_a_fit_is_named_by_fit_process_and_material_and_says_on_what_it_is_measured(name: str) -> None:
    row = clearances()[name]
    assert name == "/".join(filter(None, (row.fit, row.process, row.material)))
    assert row.process in ("", *PROCESSES)
    assert row.material == "" or (row.process == "printed" and row.material in materials())
    assert row.reason.startswith(f"{row.fit} fit, ")
    assert row.reason.endswith(", on diameter")


def test_every_clearance_says_on_what_it_is_measured() -> None:
    for row in clearances().values():
        assert any(words in row.reason for words in ("on diameter", "on the radius", "along the axis"))


def test_printed_clearances_lie_in_the_ranges_in_use() -> None:
    """Per side, as reported by builders (common practice); the table is on diameter, twice that.

    Press 0 to 0.1 mm in PLA and 0.05 to 0.15 in PETG and ABS, sliding 0.15 to 0.25 and 0.2 to 0.3, loose 0.3 to 0.4 and
    0.3 to 0.5; a bare slip fit of a shoulder 0.3 on diameter in PLA and 0.4 in PETG.
    """
    per_side = {
        "press": ((0.0, 0.1), (0.05, 0.15)),
        "slip": ((0.15, 0.25), (0.2, 0.3)),
        "free": ((0.3, 0.4), (0.3, 0.5)),
    }
    for fit, (pla, other) in per_side.items():
        for plastic in ("pla", "petg", "abs", "asa"):
            low, high = pla if plastic == "pla" else other
            row = clearances()[f"{fit}/printed/{plastic}"]
            assert 2.0 * low <= row.amount <= 2.0 * high
    assert clearances()["slip/printed/pla"].amount == 0.3
    assert clearances()["slip/printed/petg"].amount == 0.4


def test_a_tighter_fit_has_less_clearance_however_it_is_made() -> None:
    for how in ("", "/printed", "/printed/pla", "/printed/petg", "/laser", "/hand"):
        amounts = [clearances()[f"{fit}{how}"].amount for fit in ("press", "slip", "free")]
        assert amounts == sorted(set(amounts))


@pytest.mark.parametrize("row", [*tapes().values(), *readings().values()], ids=lambda row: row.name)
def test_a_thickness_has_a_source_a_mark_and_lies_in_its_range(row: Thickness) -> None:
    assert row.source.strip()
    assert row.mark in MARKS
    assert 0.0 < row.low <= row.amount <= row.high < 1.0


def test_steps_of_sizes_follow_each_other() -> None:
    steps = iso_steps()
    assert (steps[0].over, steps[-1].to) == (0.0, 500.0)
    for step, after in pairwise(steps):
        assert step.over < step.to == after.over
        for grade in range(6, 12):
            assert step.grades[grade - 1] < step.grades[grade] <= after.grades[grade]
        assert all(step.deviations[letter] <= after.deviations[letter] for letter in step.deviations)


def test_no_name_stands_twice() -> None:
    tables = (
        ("materials.csv", materials()),
        ("fits.csv", clearances()),
        ("tape.csv", tapes()),
        ("reading.csv", readings()),
        ("iso286.csv", iso_steps()),
    )
    for table, found in tables:
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
