"""Checks and the limits they hold values to; limits are data with a source each."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Literal

Status = Literal["pass", "warn", "fail", "not-stated"]


@dataclass(frozen=True, slots=True)
class Check:
    """One check of a design.

    Attributes:
        name: short name, unique in a report.
        status: pass, warn, fail, or not-stated where an input is missing.
        value: what was found, with its unit; None where it is not stated.
        limit: what it was held to, in words.
        source: who says so.
        note: what to do about it, or what is missing.
    """

    name: str
    status: Status
    value: str | None
    limit: str
    source: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Limit:
    """Bounds of one quantity, with the reason for them."""

    quantity: str
    unit: str
    source: str
    fail_below: float | None = None
    warn_below: float | None = None
    warn_above: float | None = None

    def status(self, value: float) -> Status:
        """Status of a value in the limit's unit."""
        if self.fail_below is not None and value < self.fail_below:
            return "fail"
        low = self.warn_below is not None and value < self.warn_below
        high = self.warn_above is not None and value > self.warn_above
        return "warn" if low or high else "pass"

    def words(self) -> str:
        """The bounds in words."""
        words = (
            ("fails below", self.fail_below),
            ("warns below", self.warn_below),
            ("warns above", self.warn_above),
        )
        return f"{', '.join(f'{word} {limit:g}' for word, limit in words if limit is not None)} {self.unit}"


@lru_cache(maxsize=8)
def limits(profile: str = "common-practice") -> dict[str, Limit]:
    """The limits of one rule profile by name."""
    text = files(__package__).joinpath("data/limits").joinpath(f"{profile}.toml").read_text(encoding="utf-8")
    return {name: Limit(**entry) for name, entry in tomllib.loads(text).items() if isinstance(entry, dict)}
