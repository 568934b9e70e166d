"""One part of the drag of a rocket, with what it was worked out from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from .flow import Flow


@dataclass(frozen=True, slots=True)
class DragTerm:
    """One part of the drag.

    Attributes:
        name: what it is, such as `friction` or `leading edges`.
        item: name of the item, or of both where two meet.
        coefficient: drag over dynamic pressure and reference area [-].
        formula: how it was worked out, in words.
        source: who says so.
        range: where the formula holds.
        station: where it acts [mm from the nose tip]; of what is spread along the body, its aft end.
        notes: what is outside the range here.
    """

    name: str
    item: str
    coefficient: float
    formula: str
    source: str
    range: str
    station: float
    notes: tuple[str, ...] = ()


class Element(Protocol):
    """Something of a rocket that the air drags on, at one place."""

    @property
    def station(self) -> float:
        """Where it acts [mm]."""
        ...

    def area(self, flow: Flow) -> float:
        """Its drag over dynamic pressure [mm2]."""
        ...

    def term(self, flow: Flow, reference_area: float) -> DragTerm:
        """The same as a coefficient on the reference area [mm2], with its words."""
        ...
