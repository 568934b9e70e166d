"""What is usual in printing, each row with its reason and how far it may be trusted."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files


@dataclass(frozen=True, slots=True)
class PrintDefault:
    """One value that is usual in printing.

    Attributes:
        name: name in the table.
        amount: the value to use, in the row's unit.
        low: lowest usual value; None where the row has none.
        high: highest usual value; None where the row has none.
        unit: `mm`, `degrees`, or `share` of a whole [-].
        reason: what it is, in words.
        mark: how far it may be trusted.
    """

    name: str
    amount: float
    low: float | None
    high: float | None
    unit: str
    reason: str
    mark: str


@lru_cache(maxsize=1)
def print_defaults() -> dict[str, PrintDefault]:
    """All rows by name."""
    text = files(__package__).joinpath("data").joinpath("print_defaults.csv").read_text(encoding="utf-8")
    return {
        row["name"]: PrintDefault(
            row["name"],
            float(row["amount"]),
            float(row["low"]) if row["low"] else None,
            float(row["high"]) if row["high"] else None,
            row["unit"],
            row["reason"],
            row["mark"],
        )
        for row in csv.DictReader(text.splitlines())
    }
