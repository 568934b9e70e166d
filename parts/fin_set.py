"""Fins as the air meets them: what aerodynamics, wraps and jigs need to know of any part that has fins."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .shape import Outline


@dataclass(frozen=True, slots=True)
class FinSet:
    """The fins of one part, evenly spaced round the body with the rail line mid-way between two.

    Attributes:
        planform: one fin outside the body [mm]: the root on y = 0 with its leading edge at the origin, +x aft, +y
            outboard.
        thickness: largest thickness of one [mm].
        position: the part's own origin to the root leading edge, aft [mm].
        count: fins round the body [-]; None where the part is one fin and the design says how many stand there.
        radius: radius of the surface that the roots stand on [mm]; None where the tube says it.
        cant: turn of each fin about the radius through the middle of its root [rad]; positive turns the leading edge
            towards greater roll.
        fillet_radius: radius of the glue fillets outside, along both sides of each root [mm]; 0 where none are stated.
    """

    planform: Outline
    thickness: float
    position: float = 0.0
    count: int | None = None
    radius: float | None = None
    cant: float = 0.0
    fillet_radius: float = 0.0

    @property
    def semi_span(self) -> float:
        """Surface to the outermost point of one fin [mm]."""
        return self.planform.box()[3]

    @property
    def root_chord(self) -> float:
        """Length of the root on the surface [mm]."""
        ends = [
            x for edge in self.planform.outer for x, y in (edge.piece.start, edge.piece.end) if abs(y) <= _ON_SURFACE
        ]
        return max(ends) - min(ends)


def rolls_of(count: int) -> tuple[float, ...]:
    """Roll of each of some fins [rad], fin 1 first: evenly spaced, the rail line mid-way between the last and fin 1."""
    return tuple(math.tau * (index + 0.5) / count for index in range(count))


_ON_SURFACE = 1e-6
"""How far a point may lie off the surface and belong to the root [mm]."""
