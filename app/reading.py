"""Going through the tables of a design file: what is found, good and bad, all faults kept to be told at once."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any, TypeAlias, TypeVar

from pydantic import ValidationError

from ..parts.errors import Problem
from ..parts.params import Fault, faults, near
from .entries import Entry
from .list_units import as_written, with_units
from .names import slug

E = TypeVar("E", bound=Entry)
Path_: TypeAlias = tuple[str | int, ...]

_HINTS = 100
"""For how many faults it is looked what was meant [-]."""

_TOLD = 40
"""How many names are told of what there is [-]."""

_TAKEN = (
    "side-view",
    "contributions",
    "measuring-card",
    "gauge",
    "book",
    "inspection",
    "stickers",
    "margin-tape",
    "checklists",
    "build-record",
    "mentor-gates",
    "field-card",
    "whole",
    "exploded",
    "cutaway",
)
"""Names of files that are not those of a part."""


class Reading:
    """The tables of one file, the names that are taken, and the faults so far.

    Attributes:
        data: tables that are not read yet.
        folder: where the files lie that the design names.
        file: name of the design file, for messages.
        faults: what is wrong, by its path in the file.
        elsewhere: what is wrong in files that the design names, with their lines.
        entries: the tables as they were read, each with its number.
        names: every name of a thing, by the name that files take from it.
        refused: names of what was wrong; that they are missing is not said again.
    """

    def __init__(self, data: Mapping[str, Any], folder: Path, file: str) -> None:
        self.data, self.folder, self.file = dict(data), folder, file
        self.faults: list[Fault] = []
        self.elsewhere: list[Problem] = []
        self.entries: dict[str, list[tuple[int, Entry]]] = {}
        self.names: dict[str, str] = {}
        self.refused: set[str] = set()

    def fault(self, path: Path_, message: str) -> None:
        """Keep a fault."""
        self.faults.append(Fault(path, message))

    def tables(self, name: str) -> list[tuple[int, dict[str, Any]]]:
        """All tables of one name, with their numbers from 0."""
        found = self.data.pop(name, [])
        if not isinstance(found, list) or not all(isinstance(entry, dict) for entry in found):
            self.fault((name,), f"write each {name} as a table of its own, headed [[{name}]]")
            found = []
        return list(enumerate(found))

    def single(self, name: str, model: type[E], usual: bool = True) -> E | None:
        """A table that stands once; None where it is wrong.

        Args:
            name: its name.
            model: its fields.
            usual: whether what is not stated has its usual values. Else None where the table is not stated, and it is
                kept with what takes part in the fingerprint only where it is, so that older designs keep theirs.
        """
        if not usual and name not in self.data:
            return None
        found = self.data.pop(name, {})
        if not isinstance(found, dict):
            self.fault((name,), f"write the {name} as one table, headed [{name}]")
            return None
        if usual:
            return self.model(model, found, (name,))
        entry = self.model(model, with_units(found, (model,)), (name,), found)
        if entry is not None:
            self.entries[name] = [(0, entry)]
        return entry

    def model(
        self, model: type[E], data: Mapping[str, Any], path: Path_, written: Mapping[str, Any] | None = None
    ) -> E | None:
        """A table by its model; None where it is wrong.

        Args:
            model: its fields.
            data: the table.
            path: where it stands.
            written: the table as the file has it, where its keys were changed.
        """
        try:
            return model(**{str(key): value for key, value in data.items()})
        except ValidationError as error:
            for fault in faults(error, model):
                self.fault((*path, *as_written(fault.path, data if written is None else written)), fault.message)
            return None

    def entry(self, name: str, model: type[E], data: Mapping[str, Any], path: Path_) -> E | None:
        """An entry that takes part in no shape, kept for what is printed."""
        entry = self.model(model, with_units(data, (model,)), path, data)
        if entry is not None:
            self.entries.setdefault(name, []).append((int(path[-1]), entry))
        return entry

    def named(self, name: str, path: Path_) -> bool:
        """Whether a name is free and files can be named by it; it is taken from now on."""
        short = slug(name)
        if not short:
            self.fault((*path, "name"), f"{name!r} holds no letter or digit to name files by")
        elif short in _TAKEN:
            self.fault((*path, "name"), f"{name!r} is what another file of the design is called; take another name")
        elif short in self.names:
            self.fault((*path, "name"), f"{name!r} and {self.names[short]!r} would have the same file name")
        else:
            self.names[short] = name
            return True
        return False

    def known(self, name: str, known: Collection[str], what: str, path: Path_) -> bool:
        """Whether a name is that of something in the file; what was refused is not said twice."""
        if name in known or name in self.refused:
            return True
        # Where very much is wrong, looking for what was meant would take longer than all else.
        hint = near(name, known) if len(self.faults) < _HINTS else ""
        there = f"; there {'are' if len(known) > 1 else 'is'} {_listed(known)}"
        self.fault(path, f"there is no {what} {name!r}{hint}{there}")
        return False


def _listed(names: Collection[str]) -> str:
    """Names in a row; of very many the first."""
    told = ", ".join(list(names)[:_TOLD]) or "none"
    return told if len(names) <= _TOLD else f"{told} and {len(names) - _TOLD} more"
