"""Tables and figures of a report in Markdown."""

from __future__ import annotations

from collections.abc import Sequence

from .lengths import Lengths

NOT_STATED = "*not stated*"


def number(value: float | None, digits: int, unit: str = "") -> str:
    """A figure with its unit."""
    if value is None:
        return NOT_STATED
    return f"{value:,.{digits}f}{' ' + unit if unit else ''}"


def length(lengths: Lengths, value: float | None, digits: int = 1) -> str:
    """A length [mm] for a column that names its unit."""
    return NOT_STATED if value is None else lengths.number(value, digits)


def both(lengths: Lengths, value: float | None, digits: int = 1) -> str:
    """A length [mm] in both units."""
    return NOT_STATED if value is None else lengths.both(value, digits)


def table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    """A table; a bar within a cell does not end it."""
    lines = [head, tuple("---" for _ in head), *rows]
    return "\n".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines)
