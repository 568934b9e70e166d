"""One load against what is borne, as a check: how it is worded and when it passes."""

from __future__ import annotations

from dataclasses import dataclass

from ..limits import Check, Limit

TEXTBOOK = "Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, from memory"
STATICS = "statics"


@dataclass(frozen=True, slots=True)
class Sum:
    """How a load, or what is borne, was found.

    Attributes:
        formula: the sum in words and letters.
        inputs: what went into it, each with its unit and where it comes from.
        source: who says so.
    """

    formula: str
    inputs: tuple[str, ...]
    source: str = STATICS


def newtons(force: float) -> str:
    """A force in words [N], to three figures."""
    return f"{force:.0f} N" if abs(force) >= 100.0 else f"{force:.3g} N"


def times(ratio: float) -> str:
    """A ratio in words."""
    return f"{ratio:.3g} times" if ratio < 1000.0 else "over 1000 times"


def held(name: str, load: float, borne: float, limit: Limit, found: Sum, note: str, word: str = "borne") -> Check:
    """A check of a load against what is borne.

    Args:
        name: name of the check.
        load: the load [N].
        borne: what is borne [N].
        limit: least that the one may be over the other.
        found: how they were found.
        note: what to do where it does not pass.
        word: what is said of what is borne.
    """
    if load <= 0.0:
        status, value = limit.status(float("inf")), "no load"
    else:
        status = limit.status(borne / load)
        value = f"load {newtons(load)} against {newtons(borne)} {word}, {times(borne / load)}"
    note = "" if status == "pass" else note
    return Check(name, status, value, limit.words(), _sources(limit, found), note, found.formula, found.inputs)


def not_stated(name: str, load: float | None, limit: Limit, found: Sum, note: str) -> Check:
    """A check that lacks what is borne, or the load.

    Args:
        name: name of the check.
        load: the load [N]; None where that is not known either.
        limit: what it would be held to.
        found: how the load was found.
        note: what is missing, and what to enter.
    """
    value = None if load is None else f"load {newtons(load)}, what is borne is not stated"
    return Check(name, "not-stated", value, limit.words(), _sources(limit, found), note, found.formula, found.inputs)


def _sources(limit: Limit, found: Sum) -> str:
    return limit.source if limit.source.startswith(found.source) else f"{limit.source}; {found.source}"
