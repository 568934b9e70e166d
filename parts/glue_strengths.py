"""Reads the table of what glue lines bear; every row has a source and a mark, as in `tables`."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

GLUE_LINE = "glue line"
"""The row that holds while nothing better is stated."""


@dataclass(frozen=True, slots=True)
class GlueStrength:
    """What a glue line bears.

    Attributes:
        name: name of the row.
        shear: shear that it bears [MPa].
        source: where the number comes from.
        mark: how far it may be trusted.
    """

    name: str
    shear: float
    source: str
    mark: str


@lru_cache(maxsize=1)
def glue_strengths() -> dict[str, GlueStrength]:
    """All rows by name."""
    text = files(__package__).joinpath("data/glue_strengths.csv").read_text(encoding="utf-8")
    return {
        row["name"]: GlueStrength(row["name"], float(row["shear_MPa"]), row["source"], row["mark"])
        for row in csv.DictReader(text.splitlines())
    }
