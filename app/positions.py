"""Where each key of a TOML text stands, for messages that show the line."""

from __future__ import annotations

import bisect
from collections.abc import Iterable
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, InlineTable, Null, Table

Path = tuple[str | int, ...]
Place = tuple[int, int]


def positions(text: str) -> dict[Path, Place]:
    """Line and column, both from 1, of every key of a valid TOML text, by its path of names and list positions.

    tomlkit keeps the text whole but not its places, so the text is walked once beside its tree.
    """
    try:
        return _Walk(text).run()
    except TOMLKitError:
        return {}  # the two readers of TOML differ over it; a message without its line is better than none


def nearest(places: dict[Path, Place], path: Path) -> Place | None:
    """The place of a path, or of the nearest table around it that has one."""
    while path:
        if path in places:
            return places[path]
        path = path[:-1]
    return None


class _Walk:
    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.found: dict[Path, Place] = {}
        self.starts = [0]
        for line in text.split("\n"):
            self.starts.append(self.starts[-1] + len(line) + 1)

    def run(self) -> dict[Path, Place]:
        self.body(tomlkit.parse(self.text).body, ())
        return self.found

    def seek(self, piece: str) -> Place:
        """Place of the next occurrence of a piece of text; the walk goes on behind it."""
        offset = self.text.find(piece, self.at)
        if offset >= 0:
            self.at = offset + len(piece)
        offset = max(offset, 0)
        line = bisect.bisect_right(self.starts, offset) - 1
        return line + 1, offset - self.starts[line] + 1

    def trailing(self, item: Any) -> None:  # noqa: ANN401  tomlkit's items share no useful type
        comment = getattr(item.trivia, "comment", "")
        if comment:
            self.seek(comment)

    def body(self, entries: Iterable[tuple[Any, Any]], path: Path) -> None:
        for key, item in entries:
            if isinstance(item, Null):
                continue
            if key is None:  # a blank line or a comment
                if item.as_string().strip():
                    self.seek(item.as_string())
                continue
            self.entry(key, item, (*path, key.key))

    def entry(self, key: Any, item: Any, path: Path) -> None:  # noqa: ANN401
        if isinstance(item, AoT):
            for number, table in enumerate(item.body):
                self.found[(*path, number)] = self.seek("[[")
                self.found.setdefault(path, self.found[(*path, number)])
                self.seek("]]")
                self.trailing(table)
                self.body(table.value.body, (*path, number))
        elif isinstance(item, Table):
            if not item.is_super_table():
                self.found[path] = self.seek("[")
                self.seek("]")
                self.trailing(item)
            self.body(item.value.body, path)
            inside = [place for other, place in self.found.items() if other[: len(path)] == path]
            if path not in self.found and inside:
                self.found[path] = min(inside)
        else:
            self.found[path] = self.seek(key.as_string())
            if isinstance(item, InlineTable):
                self.body(item.value.body, path)
            else:
                self.seek(item.as_string())
            self.trailing(item)
