"""Checks and the limits they hold values to; limits are data with a source each."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Literal

from ..parts.errors import PartError
from ..parts.params import near

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
        formula: how the value was found, where it was computed.
        inputs: what went into it, each with its unit and where it comes from.
    """

    name: str
    status: Status
    value: str | None
    limit: str
    source: str
    note: str = ""
    formula: str = ""
    inputs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Limit:
    """Bounds of one quantity, with the reason for them."""

    quantity: str
    unit: str
    source: str
    fail_below: float | None = None
    warn_below: float | None = None
    warn_above: float | None = None
    fail_above: float | None = None

    def status(self, value: float) -> Status:
        """Status of a value in the limit's unit."""
        if self.fail_below is not None and value < self.fail_below:
            return "fail"
        if self.fail_above is not None and value > self.fail_above:
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
            ("fails above", self.fail_above),
        )
        return f"{', '.join(f'{word} {limit:g}' for word, limit in words if limit is not None)} {self.unit}"


@dataclass(frozen=True, slots=True)
class RuleProfile:
    """Limits that belong together, as one club or many flyers use them.

    Attributes:
        name: what it is called.
        date: when it was put down.
        note: what it is not.
        limits: its own limits by name.
    """

    name: str
    date: str
    note: str
    limits: Mapping[str, Limit]


COMMON = "common-practice"
"""The profile that holds where none is chosen, and for everything that a chosen one does not say."""


def profile_names() -> tuple[str, ...]:
    """Names of all rule profiles, in order."""
    return tuple(sorted(one.name.removesuffix(".toml") for one in _folder().iterdir() if one.name.endswith(".toml")))


@lru_cache(maxsize=8)
def rule_profile(name: str = COMMON) -> RuleProfile:
    """One rule profile by name.

    Raises:
        PartError: there is none of that name.
    """
    if name not in profile_names():
        raise PartError(f"limits: {name!r} is none of {', '.join(profile_names())}{near(name, profile_names())}")
    found = tomllib.loads(_folder().joinpath(f"{name}.toml").read_text(encoding="utf-8"))
    own = {key: Limit(**entry) for key, entry in found.items() if isinstance(entry, dict)}
    return RuleProfile(found["name"], found["date"], found["note"], own)


def limits(profile: str = COMMON) -> Mapping[str, Limit]:
    """The limits of a rule profile, over those of common practice.

    Raises:
        PartError: there is none of that name.
    """
    return {**rule_profile().limits, **rule_profile(profile).limits}


def _folder() -> Traversable:
    return files(__package__).joinpath("data/limits")
