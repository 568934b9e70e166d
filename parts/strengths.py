"""Reads the table of what materials bear; every row has a source and a mark, as in `tables`."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files


@dataclass(frozen=True, slots=True)
class Strength:
    """What a material bears, each value the low one of its range, in [MPa]; None where nothing citable was found.

    Attributes:
        name: name of the material, as in the table of densities.
        modulus: modulus of elasticity in bending.
        shear_modulus_low: shear modulus in the plane of the sheet, low.
        shear_modulus_high: the same, high.
        bending: strength in bending.
        shear: strength in shear through the thickness.
        compression: strength in compression along the axis of a tube or the layers of a print.
        tension: strength in tension, for printed parts across the layers.
        source: where the numbers come from.
        mark: how far they may be trusted.
    """

    name: str
    modulus: float | None
    shear_modulus_low: float | None
    shear_modulus_high: float | None
    bending: float | None
    shear: float | None
    compression: float | None
    tension: float | None
    source: str
    mark: str


@lru_cache(maxsize=1)
def strengths() -> dict[str, Strength]:
    """All rows by the name of the material."""
    text = files(__package__).joinpath("data/strengths.csv").read_text(encoding="utf-8")
    return {
        row["name"]: Strength(
            row["name"],
            _value(row, "modulus_MPa"),
            _value(row, "shear_modulus_low_MPa"),
            _value(row, "shear_modulus_high_MPa"),
            _value(row, "bending_MPa"),
            _value(row, "shear_MPa"),
            _value(row, "compression_MPa"),
            _value(row, "tension_MPa"),
            row["source"],
            row["mark"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def _value(row: dict[str, str], column: str) -> float | None:
    return float(row[column]) if row[column] else None


def strength(material: str | None) -> Strength | None:
    """What a material bears; None where the table has no row for it."""
    return None if material is None else strengths().get(material)
