"""The errors that Ferrule raises on purpose: one family, one clear sentence each.

Each is also the built-in error that it resembles, so that a caller may catch either.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


class FerruleError(Exception):
    """Something that the person at the keyboard can put right; its text is one clear message.

    Attributes:
        exit_code: what the command line returns after printing the message [-].
    """

    exit_code = 2


class QuantityError(FerruleError, ValueError):
    """A text or value that is not a quantity of the expected dimension."""


class PartError(FerruleError, ValueError):
    """A part that cannot exist; the message names the field, the rule and the value: `wall: 40 mm leaves no room`."""


class WriteError(FerruleError, OSError):
    """A file that could not be written, or that did not read back as it was meant."""


_LONGEST = 2000
"""Longest piece of a message that is told whole [-]."""


def _shown(text: str) -> str:
    """A text as it can be printed on one line: control characters escaped, no middle where a page was pasted."""
    if len(text) > _LONGEST:
        half = _LONGEST // 4
        text = f"{text[:half]} ... ({len(text) - 2 * half} letters) ... {text[-half:]}"
    # What a file holds shall not steer the terminal that it is told on.
    return text if text.isprintable() else "".join(one if one.isprintable() else repr(one)[1:-1] for one in text)


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a design, and where it stands; what is not known stays None.

    Attributes:
        message: what is wrong, in words.
        field: path of the field, such as `part[2].wall`.
        file: name of the file.
        line: line in the file, counted from 1 [-].
        column: column in the line, counted from 1 [-].

    Example:
        >>> print(Problem("must be above 0 mm, got -3 mm", field="nose.wall", file="demo.toml", line=7, column=1))
        demo.toml:7:1: nose.wall: must be above 0 mm, got -3 mm
    """

    message: str
    field: str | None = None
    file: str | None = None
    line: int | None = None
    column: int | None = None

    def __str__(self) -> str:
        """`file:line:column: field: message`, without what is not known, as it can be printed on one line."""
        place = ":".join(str(item) for item in (self.file, self.line, self.column) if item is not None)
        return ": ".join(_shown(item) for item in (place, self.field, self.message) if item)


class DesignError(FerruleError):
    """Everything that is wrong with a design, at once.

    Attributes:
        problems: one entry for each fault, in the order of the file.
    """

    problems: tuple[Problem, ...]

    def __init__(self, problems: Iterable[Problem]) -> None:
        """Keep the problems; the text of the error is one line for each."""
        self.problems = tuple(problems)
        super().__init__(self.problems)

    def __str__(self) -> str:
        """One line for each problem."""
        return "\n".join(str(problem) for problem in self.problems)
