"""A stretch of a print that hangs over nothing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Side = Literal["inside", "outside"]
Form = Literal["leaning", "ledge", "roof"]

SAME = 1e-6
"""Lengths below this [mm] are none."""

NUDGE = 1e-3
"""How far below a face it is asked whether it is inside [mm]."""


@dataclass(frozen=True, slots=True)
class Overhang:
    """A stretch of the surface that looks down and leans out further than the limit.

    Attributes:
        side: `inside` where there is material further out at the same height.
        form: `leaning`; `ledge` for a flat face that hangs on one side; `roof` for a face that closes an opening.
        low: height on the bed where it begins [mm].
        high: height on the bed where it ends [mm].
        angle: the furthest that it leans from the vertical [rad]; a flat one a quarter turn.
        across: width of a ledge or of what a roof closes, or how far a leaning stretch reaches out [mm].
        count: how many alike [-].
    """

    side: Side
    form: Form
    low: float
    high: float
    angle: float
    across: float
    count: int = 1


def in_order(found: Iterable[Overhang]) -> tuple[Overhang, ...]:
    """Overhangs from the bed upwards."""
    return tuple(sorted(found, key=lambda one: (one.low, one.high, one.side)))
