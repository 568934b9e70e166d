"""The text of a design file: read, parsed, and every fault put back at its line and column."""

from __future__ import annotations

import re
import stat
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from ..parts.errors import DesignError, Problem
from ..parts.params import Fault
from .positions import nearest, positions

LARGEST = 2_000_000
"""Largest file of text that is read [bytes]: a design of a thousand parts has a fifth of it."""

MOST = 2_000
"""Most tables of one name, and most names that messages are about, that a file may hold [-]."""

_DEEPEST = 20
_OUTLANDISH = f"is not a design: a whole number beyond 64 bits, or tables and lists nested more than {_DEEPEST} deep"


def text_of(path: Path, what: str = "design file") -> str:
    """The text of a file, line ends as plain ones.

    Raises:
        DesignError: the file cannot be read, is no text, or is larger than any that a person writes.
    """
    try:
        if stat.S_ISFIFO(path.stat().st_mode):
            # It would be waited for without end where nobody writes into it.
            raise DesignError((Problem(f"this is a pipe; save the {what} and name the file", file=str(path)),))
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
        if len(data) > LARGEST:
            message = f"is larger than {LARGEST / 1e6:g} MB, which no {what} is"
            raise DesignError((Problem(message, file=str(path)),))
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        message = f"byte {error.start + 1} is not UTF-8 text; save the {what} as UTF-8"
        raise DesignError((Problem(message, file=path.name, line=line),)) from None
    except FileNotFoundError:
        raise DesignError((Problem(f"there is no such {what}", file=str(path)),)) from None
    except IsADirectoryError:
        raise DesignError((Problem(f"this is a folder; name the {what} in it", file=str(path)),)) from None
    except (OSError, ValueError) as error:
        raise DesignError((Problem(f"cannot be read: {_reason(error)}", file=str(path)),)) from None


def _reason(error: OSError | ValueError) -> str:
    """What the system says, without the path, which is said already and may be very long."""
    return str(getattr(error, "strerror", None) or error)


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
    for name, tables in data.items():
        if isinstance(tables, list | dict) and len(tables) > MOST:
            raise DesignError((_too_many(name, len(tables), isinstance(tables, list), text, file),))
    return data


def _too_many(name: str, count: int, is_list: bool, text: str, file: str) -> Problem:
    """More than any design has; figures of things in one place grow with the square of their number."""
    head = f"[[{name}]]" if is_list else f"[{name}.NAME]"
    found = re.finditer(rf"^[ \t]*\[{{1,2}}[ \t]*\"?{re.escape(name)}\b", text, re.MULTILINE)
    over = next((match for number, match in enumerate(found) if number == MOST), None)
    line = None if over is None else text.count("\n", 0, over.start()) + 1
    return Problem(f"a file holds at most {MOST} of {head}, got {count}", name, file, line or 1)


def located(found: Iterable[Fault], text: str, file: str) -> tuple[Problem, ...]:
    """Faults with their lines and columns, in the order of the file; of very many the first `MOST`."""
    places = positions(text)
    problems = [
        Problem(fault.message, fault.field or None, file, *(nearest(places, fault.path) or (1, 1))) for fault in found
    ]
    problems.sort(key=lambda problem: (problem.line or 0, problem.column or 0))
    if len(problems) > MOST:
        more = Problem(f"and {len(problems) - MOST} more", None, file, problems[MOST].line, problems[MOST].column)
        problems = [*problems[:MOST], more]
    return tuple(problems)


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
