"""The kinds of parts: one file each; importing this package registers them all."""

from ..part import KINDS, Part
from .bulkhead import Bulkhead
from .centering_ring import CenteringRing
from .coupler import Coupler
from .fillet import Fillet
from .fin import Fin
from .fin_can import FinCan
from .motor_mount import MotorMount
from .nose_cone import NoseCone
from .rail_button import RailButton
from .transition import Transition
from .tube import Tube

__all__ = [
    "Bulkhead",
    "CenteringRing",
    "Coupler",
    "Fillet",
    "Fin",
    "FinCan",
    "MotorMount",
    "NoseCone",
    "Part",
    "RailButton",
    "Transition",
    "Tube",
    "in_bench_order",
]


def in_bench_order() -> tuple[type[Part], ...]:
    """Every kind, in the order in which a builder meets the parts on the bench."""
    return tuple(sorted(KINDS.values(), key=lambda kind: kind.bench_order))
