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
        """`file:line:column: field: message`, leaving out what is not known."""
        place = ":".join(str(item) for item in (self.file, self.line, self.column) if item is not None)
        return ": ".join(item for item in (place, self.field, self.message) if item)


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
