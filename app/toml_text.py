"""The text of a design file: read, parsed, and every fault put back at its line and column."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from ..parts.errors import DesignError, Problem
from ..parts.params import Fault
from .positions import nearest, positions

_DEEPEST = 20
_OUTLANDISH = f"is not a design: a whole number beyond 64 bits, or tables and lists nested more than {_DEEPEST} deep"


def text_of(path: Path, what: str = "design file") -> str:
    """The text of a file, line ends as plain ones.

    Raises:
        DesignError: the file cannot be read or is no text.
    """
    try:
        return path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        message = f"byte {error.start + 1} is not UTF-8 text; save the {what} as UTF-8"
        raise DesignError((Problem(message, file=path.name, line=line),)) from None
    except FileNotFoundError:
        raise DesignError((Problem(f"there is no such {what}", file=str(path)),)) from None
    except IsADirectoryError:
        raise DesignError((Problem(f"this is a folder; name the {what} in it", file=str(path)),)) from None
    except (OSError, ValueError) as error:
        raise DesignError((Problem(f"cannot be read: {error}", file=str(path)),)) from None


def tables_of(text: str, file: str) -> dict[str, Any]:
    """The tables of a TOML text.

    Raises:
        DesignError: it is not TOML, or holds what no message could show.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DesignError((_syntax_problem(error, text, file),)) from None
    except (ValueError, RecursionError):
        raise DesignError((Problem(_OUTLANDISH, file=file),)) from None
    if _outlandish(data):
        raise DesignError((Problem(_OUTLANDISH, file=file),))
    return data


def located(found: Iterable[Fault], text: str, file: str) -> tuple[Problem, ...]:
    """Faults with their lines and columns, in the order of the file."""
    places = positions(text)
    problems = [
        Problem(fault.message, fault.field or None, file, *(nearest(places, fault.path) or (1, 1))) for fault in found
    ]
    return tuple(sorted(problems, key=lambda problem: (problem.line or 0, problem.column or 0)))


def _syntax_problem(error: tomllib.TOMLDecodeError, text: str, file: str) -> Problem:
    message = str(error)
    message = f"is not TOML: {message[:1].lower()}{message[1:]}"
    place = re.search(r" \(at line (\d+), column (\d+)\)$", message)
    if not place:
        return Problem(message, file=file, line=text.count("\n") + 1)
    return Problem(message[: place.start()], None, file, int(place[1]), int(place[2]))


def _outlandish(data: object) -> bool:
    """True for what TOML lets a reader refuse and no message could show."""
    waiting = [(data, 0)]
    while waiting:
        value, depth = waiting.pop()
        if depth > _DEEPEST or (isinstance(value, int) and not -(2**63) <= value < 2**63):
            return True
        inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
        waiting += [(item, depth + 1) for item in inside]
    return False
