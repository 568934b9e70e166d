"""What every method gives: a normal-force coefficient slope and where it acts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

ROUNDING = 1e-9
"""A sum smaller than this part of what it is made of is what rounding left of nothing [-]."""


@dataclass(frozen=True, slots=True)
class NormalForce:
    """Normal force of something at small angles of attack.

    Attributes:
        slope: normal-force coefficient slope CN_alpha on the stated reference area [1/rad].
        station: centre of pressure [mm]; None where the slope is zero.
        method: name and source of the method.
        notes: what limits it here.
        couple: where the slope is zero, the turning that is left: two forces that cancel at different stations still
            turn the body. Slope times station, so positive where it acts as a force behind does [mm/rad].
    """

    slope: float
    station: float | None
    method: str
    notes: tuple[str, ...] = ()
    couple: float = 0.0

    @property
    def moment(self) -> float:
        """Slope times station, couples included, about station 0 [mm/rad]."""
        return self.couple if self.station is None else self.slope * self.station + self.couple


def combined(parts: Iterable[NormalForce]) -> NormalForce:
    """All of them together: slopes add, stations weigh by slope (1966 report, equations 79 and 80).

    Moments are what adds, so that a part whose own slope is zero keeps its say in where the sum acts.
    """
    parts = tuple(parts)
    slope = sum(part.slope for part in parts)
    moment = sum(part.moment for part in parts)
    notes = tuple(dict.fromkeys(note for part in parts for note in part.notes))
    method = "sum of the items (J. S. and J. A. Barrowman 1966, eq. 79-80)"
    if abs(slope) <= ROUNDING * sum(abs(part.slope) for part in parts):
        return NormalForce(0.0, None, method, notes, moment)
    return NormalForce(slope, moment / slope, method, notes)
