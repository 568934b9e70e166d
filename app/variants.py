"""A design file with some values changed in its text: all else in it stays, to the last comment."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NoReturn, TypeAlias

from ..parts.errors import DesignError, FerruleError, Problem
from ..parts.quantity import show
from .design import Design
from .design_file import parse
from .machine_file import Machines
from .positions import positions
from .toml_text import tables_of

TomlPath: TypeAlias = tuple[str | int, ...]

_LITERAL = r"""(?:"(?:[^"\\\n]|\\.)*"|'[^'\n]*'|[^\s,\#\]}"'\[{]+)"""
_VALUE = re.compile(rf"""(?P<key>[^=\n]*=[ \t]*)(?P<value>{_LITERAL})""")

BESIDE = ("hardware", "payload", "mass", "parachute", "harness", "anchor", "part", "tube")
"""Tables behind which a new mass is written, the nearest in kind first."""


@dataclass(frozen=True, slots=True)
class Edit:
    """One value to write.

    Attributes:
        path: where it stands: table, number of the entry, key.
        value: as TOML has it: a text with its unit, or a number; None to make a comment of the line.
    """

    path: TomlPath
    value: str | int | float | None


@dataclass(frozen=True, slots=True)
class NewMass:
    """A `[[hardware]]` to add.

    Attributes:
        name: its name.
        mass: mass [g].
        station: nose tip to its centre of gravity [mm].
    """

    name: str
    mass: float
    station: float

    def lines(self) -> tuple[str, ...]:
        """Its lines in the file."""
        return (
            "[[hardware]]",
            f'name = "{self.name}"',
            f'mass = "{show(self.mass, "mass")}"',
            f'station = "{show(self.station, "length")}"',
        )


Change: TypeAlias = Edit | NewMass


@dataclass(frozen=True)
class Variants:
    """The text of a design file, and the designs that it gives with some values changed.

    Attributes:
        text: the file as it stands.
        file: name of the file.
        folder: where the thrust tables lie that it names.
        personal: the machines of who works with it.
    """

    text: str
    file: str = "design"
    folder: Path = Path()
    personal: Machines = field(default_factory=Machines)

    def __post_init__(self) -> None:
        """Find every key once; a search asks for many variants."""
        object.__setattr__(self, "tables", tables_of(self.text, self.file))
        object.__setattr__(self, "places", positions(self.text))
        object.__setattr__(self, "lines", tuple(self.text.split("\n")))

    tables: dict[str, Any] = field(init=False, repr=False)
    places: dict[TomlPath, tuple[int, int]] = field(init=False, repr=False)
    lines: tuple[str, ...] = field(init=False, repr=False)

    def design(self, changes: Iterable[Change] = ()) -> Design:
        """The design with changes.

        Raises:
            DesignError: it cannot be read, or there is no such design.
        """
        changed = tuple(changes)
        text = self.with_changes(changed) if changed else self.text
        return parse(text, self.file, self.folder, self.personal, compare=not changed)

    def with_changes(self, changes: Sequence[Change]) -> str:
        """The text with changes; everything else in it is as it was.

        Raises:
            DesignError: a value stands where it cannot be changed alone.
        """
        lines = list(self.lines)
        added: dict[int, list[str]] = {}
        for change in changes:
            if isinstance(change, NewMass):
                added.setdefault(self._end_beside(), []).extend(("", *change.lines()))
            elif change.path in self.places:
                row, column = self.places[change.path]
                line = _changed(lines[row - 1], column - 1, change)
                lines[row - 1] = self._refuse(change.path) if line is None else line
            elif change.value is not None:
                added.setdefault(self._end_of(change.path[:-1]), []).append(
                    f"{change.path[-1]} = {_toml(change.value)}"
                )
        for row in sorted(added, reverse=True):
            lines[row:row] = added[row]
        text = "\n".join(lines)
        self._check(text, changes)
        return text

    def line_of(self, change: Edit) -> int | None:
        """The line of a value that is in the file, counted from 1; None for one that is added."""
        return self.places[change.path][0] if change.path in self.places else None

    def _end_beside(self) -> int:
        """How many lines stand ahead of the place for a new mass."""
        for name in BESIDE:
            count = len(self.tables.get(name, ()))
            if count:
                return self._end_of((name, count - 1))
        return self._before(len(self.lines))

    def _end_of(self, table: TomlPath) -> int:
        """How many lines stand up to the last one of a table; the comments behind it belong to the next."""
        own = [row for path, (row, _) in self.places.items() if path[: len(table)] == table]
        if not own:
            self._refuse(table)
        behind = (row for path, (row, _) in self.places.items() if row > max(own) and path[: len(table)] != table)
        return self._before(min(behind, default=len(self.lines) + 1) - 1)

    def _before(self, count: int) -> int:
        """The same number of lines without the blank ones and the comments at their end."""
        while count and (not self.lines[count - 1].strip() or self.lines[count - 1].lstrip().startswith("#")):
            count -= 1
        return count

    def _refuse(self, path: TomlPath) -> NoReturn:
        """Never returns.

        Raises:
            DesignError: always.
        """
        words = ".".join(str(step + 1) if isinstance(step, int) else step for step in path)
        place = self.places.get(path)
        raise DesignError(
            (Problem("cannot be changed without changing more; edit it by hand", words, self.file, *(place or ())),)
        )

    def _check(self, text: str, changes: Sequence[Change]) -> None:
        """Refuse a text that changes more or less than was asked for.

        Raises:
            DesignError: it does.
        """
        path = next((change.path for change in changes if isinstance(change, Edit)), ("hardware",))
        before = tables_of(self.text, self.file)
        try:
            after = tables_of(text, self.file)
        except DesignError:
            self._refuse(path)
        for change in changes:
            if isinstance(change, NewMass):
                found = after.get("hardware", [])
                if found and found[-1].get("name") == change.name:
                    found.pop()
                if not found and "hardware" not in before:
                    after.pop("hardware", None)
                continue
            if _pop(after, change.path) != change.value:
                self._refuse(change.path)
            _pop(before, change.path)
        if before != after:
            self._refuse(path)


def _changed(line: str, column: int, change: Edit) -> str | None:
    """A line with another value, or made a comment; None where that would change more."""
    found = _VALUE.match(line, column)
    if found is None:
        return None
    if change.value is None:
        return f"# {line}" if not line[:column].strip() else None
    return f"{line[: found.start('value')]}{_toml(change.value)}{line[found.end('value') :]}"


def _toml(value: str | float) -> str:
    return f'"{value}"' if isinstance(value, str) else repr(value)


def _pop(data: Any, path: TomlPath) -> object:  # noqa: ANN401  what TOML holds
    for step in path[:-1]:
        data = data[step]
    return data.pop(path[-1], None)


def why_not(error: FerruleError, variants: Variants) -> str:
    """Why there is no such design, in the words of its first problem, the part by its name."""
    if not isinstance(error, DesignError) or not error.problems:
        return str(error)
    first = error.problems[0]
    named = re.match(r"(\w+)\[(\d+)\]\.?(.*)", first.field or "")
    if named is None:
        return ": ".join(filter(None, (first.field, first.message)))
    entries = variants.tables.get(named[1], [])
    number = int(named[2]) - 1
    name = entries[number].get("name", named[1]) if number < len(entries) else "ballast"
    return ": ".join(filter(None, (str(name), named[3], first.message)))
