"""Wraps of tape on a part: how many full ones leave play."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .tables import Thickness, tapes

_NO_PLAY = 0.005
"""Less than this [mm] is printed as 0.00 and is no play."""


@dataclass(frozen=True, slots=True)
class Wraps:
    """Full wraps of one tape in a clearance.

    Attributes:
        tape: the tape.
        clearance: clearance on diameter before any tape [mm].
        number: most full wraps that leave play, or none of it [-].
    """

    tape: Thickness
    clearance: float
    number: int

    def adds(self, number: int) -> float:
        """What a number of wraps adds on diameter [mm]."""
        return 2.0 * number * self.tape.amount

    def play(self, number: int) -> float:
        """What is left of the clearance [mm] over a number of wraps; below 0 it is tight."""
        return self.clearance - self.adds(number)

    def words(self, bare: float, on: str = "") -> str:
        """What each wrap does, up to the first that leaves no play.

        Args:
            bare: diameter on which the tape is wound [mm].
            on: what that is, where it is not the part itself.
        """
        steps: list[str] = []
        for number in range(max(1, self.number), self.number + 2):
            play = self.play(number)
            left = "no play" if abs(play) <= _NO_PLAY else f"play {play:.2f}" if play > 0.0 else f"{-play:.2f} tight"
            what = f"{number} wrap{'s' if number > 1 else ''}"
            if not steps:
                wound = f" {on}" if on else ""
                what += f" of {self.tape.amount:.2f} mm tape{wound} ({self.tape.mark}) "
                what += f"add{'' if number > 1 else 's'} {self.adds(number):.2f} on diameter"
            steps.append(f"{what}: {bare + self.adds(number):.2f}, {left}")
        return "; ".join(steps)


def wraps(clearance: float, tape: str = "masking") -> Wraps:
    """How many full wraps of a tape leave play in a clearance on diameter [mm]."""
    row = tapes()[tape]
    return Wraps(row, clearance, max(0, math.ceil((clearance - _NO_PLAY) / (2.0 * row.amount)) - 1))
