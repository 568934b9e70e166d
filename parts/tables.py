"""Reads the data tables; every row has a source and a mark.

Marks: `looked up` (a published table was read), `derived`, `common practice` (no single source), `from memory` (not
checked; replace it by a measurement).
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from .errors import FerruleError
from .quantity import parse


@dataclass(frozen=True, slots=True)
class Material:
    """One material.

    Attributes:
        name: name in the table.
        family: what it is: polymer, wood, paper, composite, metal or resin.
        density: density [g/mm3].
        low: lowest usual density [g/mm3].
        high: highest usual density [g/mm3].
        source: where the numbers come from.
        mark: how far they may be trusted.
    """

    name: str
    family: str
    density: float
    low: float
    high: float
    source: str
    mark: str

    @property
    def is_plastic(self) -> bool:
        """Whether it is a plastic, as what is printed is."""
        return self.family == "polymer"


@dataclass(frozen=True, slots=True)
class Clearance:
    """One clearance of a fit, on diameter unless the row says otherwise.

    Attributes:
        name: name in the table.
        amount: clearance [mm].
        least: smallest that raises no warning [mm].
        most: largest that raises no warning [mm].
        reason: what it is for, in words.
        mark: how far it may be trusted.
        fit: the fit that it is of; for a place such as a ring's bore, the usual fit there, empty where a fit that is
            chosen changes nothing.
        process: how the part is made; empty where it is not stated.
        material: what it is printed in; empty where it is not stated.
    """

    name: str
    amount: float
    least: float
    most: float
    reason: str
    mark: str
    fit: str = ""
    process: str = ""
    material: str = ""


@dataclass(frozen=True, slots=True)
class Thickness:
    """One thickness, or how near a reading comes.

    Attributes:
        name: name in the table.
        amount: the value to use [mm].
        low: lowest usual value [mm].
        high: highest usual value [mm].
        source: what it is of.
        mark: how far it may be trusted.
    """

    name: str
    amount: float
    low: float
    high: float
    source: str
    mark: str


def _rows(table: str) -> list[dict[str, str]]:
    text = files(__package__).joinpath("data").joinpath(table).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@lru_cache(maxsize=1)
def materials() -> dict[str, Material]:
    """All materials by name."""
    return {
        row["name"]: Material(
            row["name"],
            row["family"],
            _density(row["density_kg_m3"]),
            _density(row["low_kg_m3"]),
            _density(row["high_kg_m3"]),
            row["source"],
            row["mark"],
        )
        for row in _rows("materials.csv")
    }


def _density(number: str) -> float:
    return parse(f"{number} kg/m3", "density")


def material(name: str) -> Material:
    """One material by its name.

    Raises:
        UnknownMaterialError: there is no such material; the message lists those that there are.
    """
    found = materials().get(name.strip().lower().replace(" ", "-"))
    if found is None:
        raise UnknownMaterialError(
            f"there is no material {name!r} in the table; it has {', '.join(materials())}; "
            "give `density` for one that is not there"
        )
    return found


class UnknownMaterialError(FerruleError, ValueError):
    """A material that the table does not have."""


@dataclass(frozen=True, slots=True)
class Softening:
    """Where a printed material begins to soften.

    Attributes:
        name: name of the material.
        temperature: its glass transition [°C].
        source: where the number comes from.
        mark: how far it may be trusted.
    """

    name: str
    temperature: float
    source: str
    mark: str


@lru_cache(maxsize=1)
def softening() -> dict[str, Softening]:
    """Where materials soften, by name; only of those that do."""
    return {
        row["name"]: Softening(row["name"], float(row["softens_c"]), row["source"], row["mark"])
        for row in _rows("softening.csv")
    }


@lru_cache(maxsize=1)
def clearances() -> dict[str, Clearance]:
    """All clearances by name."""
    return {
        row["name"]: Clearance(
            row["name"],
            float(row["amount_mm"]),
            float(row["least_mm"]),
            float(row["most_mm"]),
            row["reason"],
            row["mark"],
            row["fit"],
            row["process"],
            row["material"],
        )
        for row in _rows("fits.csv")
    }


@lru_cache(maxsize=1)
def tapes() -> dict[str, Thickness]:
    """All tapes by name, with their thickness."""
    return _thicknesses("tape.csv", "thickness_mm")


@lru_cache(maxsize=1)
def readings() -> dict[str, Thickness]:
    """What measuring itself brings in, by name: how near the calipers come, how thick a strip of paper is."""
    return _thicknesses("reading.csv", "amount_mm")


def _thicknesses(table: str, amount: str) -> dict[str, Thickness]:
    return {
        row["name"]: Thickness(
            row["name"],
            float(row[amount]),
            float(row["low_mm"]),
            float(row["high_mm"]),
            row["source"],
            row["mark"],
        )
        for row in _rows(table)
    }


@dataclass(frozen=True, slots=True)
class SizeStep:
    """One step of sizes of ISO 286-1 and what its tables say there.

    Attributes:
        over: the step begins above this size [mm].
        to: and ends with this one [mm].
        grades: standard tolerance of the grades 5 to 11 [um].
        deviations: amount of the fundamental deviation of each shaft letter [um].
    """

    over: float
    to: float
    grades: Mapping[int, int]
    deviations: Mapping[str, int]


@lru_cache(maxsize=1)
def iso_steps() -> tuple[SizeStep, ...]:
    """The steps of sizes of ISO 286-1 up to 500 mm, in order."""
    return tuple(
        SizeStep(
            float(row["over_mm"]),
            float(row["to_mm"]),
            {grade: int(row[f"it{grade}"]) for grade in range(5, 12)},
            {letter: int(row[letter]) for letter in "abcdefgkmnprs"},
        )
        for row in _rows("iso286.csv")
    )
