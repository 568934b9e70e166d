"""What is looked for in a file, and what was found: proofs that hold, faults that do not, figures to tell."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


class NotReadableError(Exception):
    """A file that is not what its name says: cut short, of another format, or refused; its text says which."""


@dataclass(frozen=True, slots=True)
class Listed:
    """One file as the manifest lists it; nothing in it is taken on trust.

    Attributes:
        file: its name.
        kind: what the manifest calls it.
        size: its size [bytes].
        sha256: its hash.
        fingerprint: fingerprint of the part or design that it was made from.
        check: figures that were found when it was made.
    """

    file: str
    kind: str
    size: int
    sha256: str
    fingerprint: str
    check: Mapping[str, Any]

    @property
    def suffix(self) -> str:
        """What its name ends in, without the dot and in lower case."""
        return self.file.rpartition(".")[2].lower() if "." in self.file else ""

    def number(self, key: str) -> float | None:
        """A figure of the manifest; None where it lists none, or no finite number."""
        found = self.check.get(key)
        if isinstance(found, bool) or not isinstance(found, int | float):
            return None
        try:
            return float(found) if math.isfinite(found) else None
        except OverflowError:
            return None


@dataclass(slots=True)
class Findings:
    """What was found in files of one format.

    Attributes:
        proofs: how many things were held against what they should be, and were so [-].
        faults: what is not as it should be, in words.
        totals: counts of what was found [-].
        largest: the largest of each figure that was measured.
    """

    proofs: int = 0
    faults: list[str] = field(default_factory=list)
    totals: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    largest: dict[str, float] = field(default_factory=dict)

    def hold(self, true: bool, fault: str) -> bool:
        """Count one proof, or keep the fault."""
        if true:
            self.proofs += 1
        else:
            self.faults.append(fault)
        return true

    def most(self, name: str, value: float) -> None:
        """Keep the largest of a figure."""
        self.largest[name] = max(value, self.largest.get(name, value))

    def counted(self, listed: Listed, key: str, count: int, what: str) -> None:
        """Hold a count against that of the manifest, where it lists one, and add it to the totals."""
        self.totals[key] += count
        stated = listed.number(key)
        if stated is not None:
            self.hold(count == stated, f"{count} {what} where the manifest lists {stated:g}")

    def add(self, other: Findings) -> None:
        """Take in what was found in one file, all but its faults."""
        self.proofs += other.proofs
        for name, count in other.totals.items():
            self.totals[name] += count
        for name, value in other.largest.items():
            self.most(name, value)


def plural(count: int, one: str, many: str = "") -> str:
    """A count with its word: 1 page, 2 pages.

    >>> plural(1, "page"), plural(3, "page")
    ('1 page', '3 pages')
    """
    return f"{count:,} {one if count == 1 else many or one + 's'}"
