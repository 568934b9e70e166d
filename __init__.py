"""Ferrule: measured tubes and one design file in; every part of a hobby high-power airframe, and its stability, out.

Example:
    >>> import ferrule
    >>> nose = ferrule.NoseCone.build(profile="tangent-ogive", length="200 mm", base_diameter="66 mm", wall="2 mm")
    >>> round(ferrule.moments(nose.shape()).volume / 1000.0, 1)
    54.8
"""

from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.stability import Stability, stability
from ferrule.app.design import Design
from ferrule.app.design_file import load
from ferrule.parts.errors import DesignError, FerruleError, PartError, QuantityError, WriteError
from ferrule.parts.kinds import (
    Bulkhead,
    CenteringRing,
    Coupler,
    Fin,
    FinCan,
    MotorMount,
    NoseCone,
    RailButton,
    Transition,
    Tube,
)
from ferrule.parts.quantity import deg, g, inch, kg_per_m3, mm, oz
from ferrule.parts.readers.integrals import moments

__version__ = "0.1.0"

__all__ = [
    "Bulkhead",
    "CenteringRing",
    "Coupler",
    "Design",
    "DesignError",
    "FerruleError",
    "Fin",
    "FinCan",
    "Item",
    "MotorMount",
    "NoseCone",
    "PartError",
    "QuantityError",
    "RailButton",
    "Rocket",
    "Stability",
    "Transition",
    "Tube",
    "WriteError",
    "deg",
    "g",
    "inch",
    "kg_per_m3",
    "load",
    "mm",
    "moments",
    "oz",
    "stability",
]
