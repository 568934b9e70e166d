"""Reads the committed tables of published and derived values that the validation tests check against.

Every row says where its value comes from (`source`) and how (`mark`: derived here in closed form, looked up in the
source, or from memory), its unit and the tolerance within which the value itself is known.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

DATA = Path(__file__).parent / "validation" / "data"
MARKS = {"derived", "looked up", "from memory"}


def rows(name: str) -> list[dict[str, Any]]:
    """The rows of one table, each with a source, a mark and a tolerance."""
    found: list[dict[str, Any]] = json.loads((DATA / name).read_text(encoding="ascii"))["rows"]
    assert len({row["id"] for row in found}) == len(found), "every row has a name of its own"
    for row in found:
        assert row["source"], row
        assert row["mark"] in MARKS, row
        assert row["tolerance"].keys() <= {"rel", "abs"}, row
    return found


def by_row(found: list[dict[str, Any]]) -> pytest.MarkDecorator:
    """One test for every row, none left out."""
    return pytest.mark.parametrize("row", found, ids=[row["id"] for row in found])


def as_published(row: dict[str, Any]) -> Any:
    """The value of a row within its own tolerance and no other."""
    return pytest.approx(row["value"], rel=row["tolerance"].get("rel", 0.0), abs=row["tolerance"].get("abs", 0.0))
