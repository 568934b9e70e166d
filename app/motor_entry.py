"""A `[[motor]]` of a design file, with the file that holds its thrust and what its maker states of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..analysis.motor import Motor
from ..parts.errors import DesignError, PartError, Problem
from ..parts.quantity import Dimension, Quantity, show
from .entries import MotorEntry
from .motor_file import SAME, MotorFile, read_motor_file
from .reading import Path_, Reading
from .toml_text import text_of

_FROM_FILE: Mapping[str, Dimension] = {
    "diameter": "length",
    "length": "length",
    "loaded_mass": "mass",
    "empty_mass": "mass",
    "delay_tolerance": "time",
}
"""Fields that the motor's file may state as well, with what they measure."""

_STAND_IN = {"diameter": 1.0, "length": 1.0, "loaded_mass": 2.0, "empty_mass": 1.0}
"""In place of what a file would state that cannot be read; no motor is made of them."""


def read_motor(
    reading: Reading, data: Mapping[str, Any], path: Path_, compare: bool = True
) -> tuple[MotorEntry, Motor | None] | None:
    """A motor by its table and its file.

    Args:
        reading: what is told of faults.
        data: the table.
        path: where it stands.
        compare: whether the table must agree with the file where both state the same; not where a value of the table
            is moved to see what that does.

    Returns:
        The table with what its file states, and the motor, None where that cannot be; None where the table is wrong.
    """
    named = data.get("thrust")
    file = _file(reading, named, (*path, "thrust")) if isinstance(named, str) else None
    stated = {} if file is None else _stated(file)
    unread = isinstance(named, str) and file is None
    if unread:
        # What the file may state is not missing: the file is the fault.
        stated = {name: Quantity(value, _FROM_FILE[name]) for name, value in _STAND_IN.items()}
    filled = {**stated, **data}
    entry = reading.entry("motor", MotorEntry, filled, path)
    if entry is None:
        return None
    if file is not None and compare:
        _agree(reading, data, entry, file, str(named), path)
    if unread and not set(_STAND_IN) <= set(data):
        return entry, None
    if entry.aft_end < entry.length:
        reading.fault(
            (*path, "aft_end"),
            f"{entry.aft_end:g} mm leaves no room for a motor of {entry.length:g} mm behind the nose tip",
        )
    try:
        motor = Motor(
            entry.name,
            entry.diameter,
            entry.length,
            entry.loaded_mass,
            entry.empty_mass,
            entry.aft_end,
            file.thrust if file else None,
            entry.loaded_cg,
            entry.empty_cg,
            entry.delays,
            entry.delay_tolerance,
            file.sheet.data if file else None,
        )
    except PartError as error:
        field, _, rule = str(error).partition(": ")
        reading.fault((*path, field), rule)
        return entry, None
    return entry, motor


def _stated(file: MotorFile) -> dict[str, Any]:
    """What a motor's file states, as fields of its table."""
    found: dict[str, Any] = {}
    for name, dimension in _FROM_FILE.items():
        value = _of_file(file, name)
        if value is not None:
            found[name] = Quantity(value, dimension)
    if file.sheet.delays:
        found["delays"] = [Quantity(delay, "time") for delay in file.sheet.delays]
    return found


def _of_file(file: MotorFile, name: str) -> float | None:
    found: float | None = file.empty_mass if name == "empty_mass" else getattr(file.sheet, name)
    return found


def _agree(
    reading: Reading, data: Mapping[str, Any], entry: MotorEntry, file: MotorFile, named: str, path: Path_
) -> None:
    """Says where the table and the file contradict each other."""
    for name, dimension in _FROM_FILE.items():
        here, there = getattr(entry, name), _of_file(file, name)
        if name not in data or there is None or abs(here - there) <= SAME * max(here, there):
            continue
        word = "propellant_mass" if name == "empty_mass" else name
        told = f"{show(here, dimension)} here and {show(there, dimension)}"
        less = " by loaded_mass less propellant_mass" if name == "empty_mass" else ""
        reading.fault(
            (*path, name),
            f"{told} in {named}, line {file.lines[word]}{less}: the two must agree within {100.0 * SAME:g} %; put one "
            "right, or leave it out here",
        )
    if "delays" in data and file.sheet.delays and entry.delays != file.sheet.delays:
        ours, theirs = (", ".join(f"{delay:g}" for delay in one.delays) for one in (entry, file.sheet))
        reading.fault(
            (*path, "delays"),
            f"{ours} s here and {theirs} s in {named}, line {file.lines['delays']}: the two must be the same; put one "
            "right, or leave it out here",
        )


def _file(reading: Reading, named: str, path: Path_) -> MotorFile | None:
    """The file that a motor names; what is wrong in a line of it is said with its own line."""
    try:
        return read_motor_file(text_of(reading.folder / named, "thrust table"))
    except DesignError as error:
        for one in error.problems:
            if one.line is None:
                reading.fault(path, f"{one.file or named}: {one.message}")
            else:
                reading.elsewhere.append(Problem(one.message, one.field, one.file or named, one.line, one.column))
    return None
