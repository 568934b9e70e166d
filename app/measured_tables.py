"""Writes a `[[weighed]]` or `[[balance]]` table into the text of a design file; all else in it stays as it is."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import tomlkit
from tomlkit.exceptions import TOMLKitError

from ..parts.errors import DesignError, Problem, WriteError
from ..parts.writers.files import write_text
from .toml_text import tables_of, text_of


@dataclass(frozen=True, slots=True)
class Table:
    """A measurement as it is written.

    Attributes:
        name: which of the two tables.
        key: what tells it from the others of its name: the part, or the motor; empty for the rocket without a motor.
        values: the measured values as they were typed, by field.
        fingerprint: printed fingerprint of what was measured.
        date: date as it shall be printed; None for none.
    """

    name: Literal["weighed", "balance"]
    key: Mapping[str, str]
    values: Mapping[str, str | list[str]]
    fingerprint: str
    date: str | None = None

    def written(self) -> dict[str, str | list[str]]:
        """Its fields in the order in which they are written."""
        dated = {} if self.date is None else {"date": self.date}
        return {**self.key, **self.values, "fingerprint": self.fingerprint, **dated}


def with_table(text: str, table: Table, file: str) -> str:
    """The text with the table in it: in the place of the one for the same thing, else at its end.

    Args:
        text: the text of a design file, valid as TOML.
        table: what to write.
        file: name of the file, for messages.

    Raises:
        DesignError: the text cannot be read.
        WriteError: it cannot be changed without changing more than was asked for.
    """
    old = tables_of(text, file)
    written = old.get(table.name, [])
    same = [index for index, one in enumerate(written) if _is_same(one, table)]
    new = _changed(text, table, same[0], file) if same else f"{text.rstrip()}\n\n{_block(table)}"
    try:
        after = tables_of(new, file)
    except DesignError:
        after = {}
    others = [one for one in written if not _is_same(one, table)]
    left = [one for one in after.get(table.name, []) if not _is_same(one, table)]
    there = [one for one in after.get(table.name, []) if _is_same(one, table)]
    taken = len(there) == 1 and all(there[0].get(key) == value for key, value in table.written().items())
    plain = {key: value for key, value in old.items() if key != table.name}
    kept = left == others and plain == {key: value for key, value in after.items() if key != table.name}
    if not taken or not kept:
        raise WriteError(
            f"{file} cannot be changed without changing more than was asked for; write each {table.name} as a table of "
            f"its own, headed [[{table.name}]]"
        )
    return new


def _is_same(one: Any, table: Table) -> bool:  # noqa: ANN401  whatever stands in the file
    if not isinstance(one, dict):
        return False
    field = "part" if table.name == "weighed" else "motor"
    return bool(one.get(field) == table.key.get(field))


def _block(table: Table) -> str:
    lines = [f"{key} = {_as_toml(value)}" for key, value in table.written().items()]
    return "\n".join([f"[[{table.name}]]", *lines]) + "\n"


def _as_toml(value: str | list[str]) -> str:
    return str(tomlkit.item(value).as_string())


_HEADER = re.compile(r"\s*\[{1,2}\s*[\w\"'.\- ]+\]{1,2}\s*(#.*)?")


def _changed(text: str, table: Table, index: int, file: str) -> str:
    """The text with a table that is there already changed where it stands.

    tomlkit is given that table alone: of a whole file it moves tables of one name together, and puts a new field behind
    the comments of what follows.

    Raises:
        DesignError: it cannot be changed.
    """
    lines = text.split("\n")
    own = re.compile(rf"\s*\[\[\s*{table.name}\s*\]\]\s*(#.*)?")
    starts = [number for number, line in enumerate(lines) if own.fullmatch(line)]
    if index >= len(starts):
        return text  # not written as tables, which the caller notices
    start = starts[index]
    end = next((n for n in range(start + 1, len(lines)) if _HEADER.fullmatch(lines[n])), len(lines))
    while not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#"):
        end -= 1
    try:
        document: Any = tomlkit.parse("\n".join(lines[start:end]) + "\n")
        _renew(document[table.name][0], table)
        block = str(tomlkit.dumps(document)).rstrip("\n")
    except TOMLKitError as error:
        raise DesignError((Problem(f"cannot be changed: {error}", file=file),)) from None
    return "\n".join([*lines[:start], block, *lines[end:]])


def _renew(entry: Any, table: Table) -> None:  # noqa: ANN401  tomlkit's items share no useful type
    """Put the new values into a table; a balance point of another shape and a date of another day go."""
    fields = {**table.values, "fingerprint": table.fingerprint}
    gone = {"mass", "masses"} if table.name == "weighed" else set()
    if entry.get("fingerprint") != table.fingerprint:
        gone.add("balance")
    gone.add("date")
    if table.date is not None:
        fields["date"] = table.date
    for key in list(entry):
        if (key in gone or (table.name == "weighed" and key.startswith("masses_"))) and key not in fields:
            del entry[key]
    for key, value in fields.items():
        entry[key] = value


def save(path: Path, old: str, new: str) -> None:
    """Write the changed text over the design file; an interrupted run leaves the old one or the new one.

    Args:
        path: the design file; where it is a link, what it leads to.
        old: its text as it was read.
        new: its text now.

    Raises:
        WriteError: it has been changed meanwhile, or cannot be written; it stays as it is.
    """
    if text_of(path) != old:
        raise WriteError(f"{path} has been changed meanwhile, and stays as it is; measure again")
    target = path.resolve()
    mode, there = target.stat().st_mode, target.read_bytes()
    mark = "\N{ZERO WIDTH NO-BREAK SPACE}" if there.startswith(b"\xef\xbb\xbf") else ""
    write_text(target, mark + (new.replace("\n", "\r\n") if b"\r\n" in there else new))
    target.chmod(mode)
