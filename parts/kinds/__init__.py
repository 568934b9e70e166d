"""The kinds of parts: one file each; importing this package registers them all."""

from ..part import KINDS, Part
from .centering_ring import CenteringRing
from .fin import Fin
from .nose_cone import NoseCone
from .tube import Tube

__all__ = ["CenteringRing", "Fin", "NoseCone", "Part", "Tube", "in_bench_order"]


def in_bench_order() -> tuple[type[Part], ...]:
    """Every kind, in the order in which a builder meets the parts on the bench."""
    return tuple(sorted(KINDS.values(), key=lambda kind: kind.bench_order))
