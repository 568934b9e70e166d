"""The file of a motor: what its maker states of it, above the table of its thrust."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from pydantic import AfterValidator, Field, ValidationError

from ..analysis.motor import HEADER, MotorData, Thrust, read_thrust, table_rows
from ..analysis.motor_class import CLASSES, impulse_class
from ..parts.errors import DesignError, Problem
from ..parts.params import Mass, faults, near
from .entries import CaseDiameter, CaseLength, Delays, DelayTolerance, Entry, Line, LoadedMass

SAME = 0.005
"""By how much two statements of one size or mass may differ, of the greater one [-]."""


def _class(value: str) -> str:
    names = [one.name for one in CLASSES]
    if value not in names:
        raise ValueError(f"{value!r} is not one of {', '.join(names)}")
    return value


class MotorSheet(Entry):
    """What may stand above the table of the thrust; each in a line of its own, `loaded_mass,190 g`."""

    name: Annotated[Line | None, Field(min_length=1, max_length=80, description="what its maker calls it")] = None
    data: Annotated[MotorData | None, Field(description="invented, measured, or maker")] = None
    loaded_mass: LoadedMass | None = None
    propellant_mass: Annotated[Mass | None, Field(gt=0, le=1e5, description="what it burns")] = None
    diameter: CaseDiameter | None = None
    length: CaseLength | None = None
    delays: Delays = ()
    delay_tolerance: DelayTolerance = None
    impulse_class: Annotated[
        str | None, AfterValidator(_class), Field(description="class of its total impulse, a letter")
    ] = None


_WORDS: Mapping[str, str] = {"impulse_class": "class"}
"""Words of the file that are no names in Python."""

ROWS = tuple(_WORDS.get(name, name) for name in MotorSheet.model_fields)
"""The words that may start a line above the table."""


@dataclass(frozen=True, slots=True)
class MotorFile:
    """The file of a motor.

    Attributes:
        sheet: what stands above the table.
        thrust: its thrust curve.
        lines: line of each statement, by the word that starts it.
    """

    sheet: MotorSheet
    thrust: Thrust
    lines: Mapping[str, int]

    @property
    def empty_mass(self) -> float | None:
        """Mass after the burn [g]; None where loaded mass and propellant are not both stated."""
        loaded, burnt = self.sheet.loaded_mass, self.sheet.propellant_mass
        return None if loaded is None or burnt is None else loaded - burnt


def read_motor_file(text: str) -> MotorFile:
    r"""A motor from the text of its file; a table of thrust alone is one too.

    Args:
        text: lines of a word, a comma and its value (`ROWS`), then the table that `read_thrust` reads.

    Raises:
        DesignError: one problem for each thing that is wrong, with its line.

    Example:
        >>> found = read_motor_file("class,E\ndelays,3 s,5 s\ntime_s,thrust_N\n0,0\n0.1,50\n1.1,0\n")
        >>> found.sheet.delays, found.thrust.total_impulse
        ((3.0, 5.0), 27.5)
    """
    rows = table_rows(text)
    head = next((number for number, cells in rows if cells == HEADER), None)
    if head is None and not (rows and rows[0][1][0] in ROWS):
        return MotorFile(MotorSheet(), read_thrust(text), {})
    if head is None:
        raise DesignError([Problem(f"the line {','.join(HEADER)} is missing between what is stated and the points")])
    above = [(number, cells) for number, cells in rows if number < head]
    sheet, lines, problems = _sheet(above)
    thrust = None
    try:
        thrust = read_thrust(text)
    except DesignError as error:
        problems += error.problems
    if sheet is not None and thrust is not None:
        problems += _contradictions(sheet, thrust, lines)
    if problems or sheet is None or thrust is None:
        raise DesignError(sorted(problems, key=lambda problem: problem.line or 0))
    return MotorFile(sheet, thrust, lines)


def _sheet(
    rows: list[tuple[int, tuple[str, ...]]],
) -> tuple[MotorSheet | None, dict[str, int], list[Problem]]:
    problems: list[Problem] = []
    lines: dict[str, int] = {}
    values: dict[str, object] = {}
    for number, (word, *cells) in rows:
        while cells and not cells[-1]:
            cells.pop()
        if word not in ROWS:
            hint = near(word, ROWS) or f"; there are {', '.join(ROWS)}"
            problems.append(Problem(f"nothing is called {word!r} above the table{hint}", line=number))
        elif word in lines:
            problems.append(Problem(f"is stated already, in line {lines[word]}", word, line=number))
        elif not cells:
            problems.append(Problem("has no value; give it, or leave the line out", word, line=number))
        elif len(cells) > 1 and word != "delays":
            problems.append(Problem(f"takes one value, got {len(cells)}: {', '.join(cells)}", word, line=number))
        else:
            lines[word] = number
            values[_field(word)] = cells if word == "delays" else cells[0]
    try:
        return MotorSheet.model_validate(values), lines, problems
    except ValidationError as error:
        for fault in faults(error, MotorSheet):
            word = _WORDS.get(str(fault.path[0]), str(fault.path[0]))
            problems.append(Problem(fault.message, word, line=lines.get(word)))
        return None, lines, problems


def _field(word: str) -> str:
    return next((name for name, written in _WORDS.items() if written == word), word)


def _contradictions(sheet: MotorSheet, thrust: Thrust, lines: Mapping[str, int]) -> list[Problem]:
    found: list[Problem] = []
    loaded, burnt = sheet.loaded_mass, sheet.propellant_mass
    if loaded is not None and burnt is not None and burnt >= loaded:
        rule = f"{burnt:g} g is not less than the loaded mass, {loaded:g} g"
        found.append(Problem(rule, "propellant_mass", line=lines["propellant_mass"]))
    if any(first >= second for first, second in zip(sheet.delays, sheet.delays[1:], strict=False)):
        told = ", ".join(f"{delay:g}" for delay in sheet.delays)
        found.append(Problem(f"must rise, got {told} s", "delays", line=lines["delays"]))
    if sheet.impulse_class is not None:
        stated = next(one for one in CLASSES if one.name == sheet.impulse_class)
        if not stated.above < thrust.total_impulse <= stated.up_to:
            right = impulse_class(thrust.total_impulse)
            found.append(
                Problem(
                    f"{stated.name} is above {stated.above:g} and up to {stated.up_to:g} N s ({stated.source}), and "
                    f"the curve has {thrust.total_impulse:.2f} N s, "
                    f"{'above class O' if right is None else f'class {right.name}'}",
                    "class",
                    line=lines["class"],
                )
            )
    return found
