"""Checks as they are printed: worst first, each with its limit, its source, its formula and what went into it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ...parts.sheets.blocks import Block, Heading, Table, Words
from ..lengths import NOT_STATED
from ..wording import capital
from .flown_with import spoken

WORST_FIRST = ("fail", "warn", "not-stated", "pass")
"""Statuses in the order in which they are read."""

TITLES = {
    "fail": "Checks that fail",
    "warn": "Checks that warn",
    "not-stated": "Checks that are not stated",
    "pass": "Checks that pass",
}

_STATUS = {"fail": "FAIL", "warn": "WARN", "not-stated": "NOT STATED", "pass": "pass"}
"""A status by its word: capitals where somebody has to do something, because no colour says so."""

_FIRST = "static margin"

_MOST_TOGETHER = 3
"""Most motors that one row tells of [-]: a row that is higher than a page could not be printed."""


def flight_checks(figures: Mapping[str, Any]) -> tuple[Mapping[str, Any], ...]:
    """The checks of balance, flight and loads of a summary, worst first and in the order of the work otherwise.

    Args:
        figures: the summary; its checks follow the order of the work, so that those of flight and loads stand behind
            the first of the margin.
    """
    checks: Sequence[Mapping[str, Any]] = figures["checks"]
    start = next((index for index, one in enumerate(checks) if one["name"].startswith(_FIRST)), len(checks))
    return worst_first(checks[start:])


def worst_first(checks: Sequence[Mapping[str, Any]]) -> tuple[Mapping[str, Any], ...]:
    """Checks by status, the worst first."""
    return tuple(sorted(checks, key=lambda one: WORST_FIRST.index(one["status"])))


def status_words(check: Mapping[str, Any]) -> str:
    """The status of a check as it is printed."""
    return _STATUS[check["status"]]


def counted(checks: Sequence[Mapping[str, Any]]) -> str:
    """How many checks have which status, such as `1 fails, 2 warn, 3 are not stated, 40 pass`."""
    counts = [sum(one["status"] == status for one in checks) for status in WORST_FIRST]
    words = (("fails", "fail"), ("warns", "warn"), ("is not stated", "are not stated"), ("passes", "pass"))
    told = [f"{count} {one if count == 1 else many}" for count, (one, many) in zip(counts, words, strict=True)]
    return ", ".join(told)


def check_tables(checks: Sequence[Mapping[str, Any]], motors: Sequence[str] = ()) -> Iterator[Block]:
    """A table for each status that occurs, the worst first.

    Args:
        checks: the checks, worst first.
        motors: names of the motors: what is checked with several and differs in its values alone is told once.
    """
    yield Heading("Every check of balance, flight and loads", 2)
    yield Words(
        "Worst first. Under each value: what it is held to and who says so, then how it was worked out and from what. "
        "A pass says that a figure keeps within a limit, and nothing more."
    )
    for status in WORST_FIRST:
        some = [one for one in checks if one["status"] == status]
        if some:
            # The title stands in the head, which comes again on each page and is never left alone at the foot of one.
            head = (f"{TITLES[status]}: {len(some)}", "Value; held to, source; formula, inputs")
            rows = tuple(
                (f"{_STATUS[status]}\n{group.name}", "\n".join(group.lines())) for group in _groups(some, motors)
            )
            yield Table(head, rows, shares=(0.22, 0.78))


@dataclass(frozen=True, slots=True)
class _Group:
    """One check, or the same one with several motors.

    Attributes:
        name: its name without a motor's, where there are several.
        members: each check, by the motor's name; an empty one where it is of none or the name has it.
    """

    name: str
    members: tuple[tuple[str, Mapping[str, Any]], ...]

    def lines(self) -> Iterator[str]:
        first = self.members[0][1]
        for motor, one in self.members:
            told = f"{motor}: {one['value'] or NOT_STATED}" if motor else one["value"] or capital(NOT_STATED)
            yield told
        yield from self._notes()
        yield f"Held to: {first['limit']}. Source: {first['source']}."
        told = f"Formula: {first['formula']}." if first["formula"] else ""
        common = [word for word in first["inputs"] if all(word in one["inputs"] for _, one in self.members)]
        told += f" Inputs: {'; '.join(common)}." if common else ""
        if told:
            yield told.strip()
        for motor, one in self.members:
            rest = [word for word in one["inputs"] if word not in common]
            if rest:
                yield f"Inputs, {motor}: {'; '.join(rest)}."

    def _notes(self) -> Iterator[str]:
        notes = {one["note"] for _, one in self.members}
        if len(notes) == 1:
            yield from (f"Note: {spoken(note)}." for note in notes if note)
            return
        for motor, one in self.members:
            if one["note"]:
                yield f"Note, {motor}: {spoken(one['note'])}."


def _groups(checks: Sequence[Mapping[str, Any]], motors: Sequence[str]) -> Iterator[_Group]:
    """Checks of one status, the same one with several motors together, in the order of the first."""
    found: dict[tuple[str, ...], list[tuple[str, Mapping[str, Any]]]] = {}
    for one in checks:
        motor = next((name for name in motors if one["name"].endswith(f", {name}")), "")
        base = one["name"].removesuffix(f", {motor}") if motor else one["name"]
        key = (base, one["limit"], one["source"], one["formula"])
        found.setdefault(key, []).append((motor, one))
    for (base, *_), members in found.items():
        if len(members) == 1:
            yield _Group(members[0][1]["name"], (("", members[0][1]),))
            continue
        for start in range(0, len(members), _MOST_TOGETHER):
            yield _Group(base, tuple(members[start : start + _MOST_TOGETHER]))
