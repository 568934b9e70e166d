"""What every method gives: a normal-force coefficient slope and where it acts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class NormalForce:
    """Normal force of something at small angles of attack.

    Attributes:
        slope: normal-force coefficient slope CN_alpha on the stated reference area [1/rad].
        station: centre of pressure [mm]; None where the slope is zero.
        method: name and source of the method.
        notes: what limits it here.
    """

    slope: float
    station: float | None
    method: str
    notes: tuple[str, ...] = ()


def combined(parts: Iterable[NormalForce]) -> NormalForce:
    """All of them together: slopes add, stations weigh by slope (1966 report, equations 79 and 80)."""
    parts = tuple(parts)
    slope = sum(part.slope for part in parts)
    moment = sum(part.slope * part.station for part in parts if part.station is not None)
    notes = tuple(dict.fromkeys(note for part in parts for note in part.notes))
    station = moment / slope if slope != 0.0 else None
    return NormalForce(slope, station, "sum of the items (J. S. and J. A. Barrowman 1966, eq. 79-80)", notes)
