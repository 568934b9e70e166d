"""Lengths as the design file wants them printed: millimetres or inches first."""

from __future__ import annotations

from dataclasses import dataclass

from ..parts.quantity import convert
from .entries import Unit

NOT_STATED = "not stated"
"""What stands for a value that is not there."""


@dataclass(frozen=True, slots=True)
class Lengths:
    """Prints lengths with one unit first.

    Attributes:
        first: the unit that comes first, or alone where there is room for one.
    """

    first: Unit = "mm"

    def number(self, value: float | None, digits: int = 1) -> str:
        """A length [mm] in the first unit, for a column that names it."""
        if value is None:
            return NOT_STATED
        if self.first == "mm":
            return f"{value:.{digits}f}"
        return f"{convert(value, 'length', 'in'):.{digits + 2 if digits else 1}f}"

    def one(self, value: float | None, digits: int = 1) -> str:
        """A length [mm] in the first unit, with it."""
        return NOT_STATED if value is None else f"{self.number(value, digits)} {self.first}"

    def both(self, value: float | None, digits: int = 1) -> str:
        """A length [mm] in both units, such as `859.7 mm (33.846 in)`."""
        if value is None:
            return NOT_STATED
        other = Lengths("in" if self.first == "mm" else "mm")
        return f"{self.one(value, digits)} ({other.one(value, digits)})"
