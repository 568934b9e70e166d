"""A parachute's canopy: its drag area, and whether its drag coefficient is one that such canopies have."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ...parts.errors import PartError

DragArea = Literal["constructed", "projected"]
"""What a drag coefficient refers to: the canopy's cloth as laid flat (nominal area), or its shadow when inflated."""


@dataclass(frozen=True, slots=True)
class CanopyType:
    """What canopies of one type reach, on their constructed area.

    Attributes:
        name: name of the type.
        low: least drag coefficient that is usual [-].
        high: greatest such coefficient [-].
        mark: how far the numbers may be trusted.
    """

    name: str
    low: float
    high: float
    mark: str = "from memory"


SOURCE = "T. W. Knacke, Parachute Recovery Systems Design Manual, NWC TP 6575, 1991, table 5-1 (from memory)"

CANOPY_TYPES = (
    CanopyType("flat circular", 0.75, 0.80),
    CanopyType("conical", 0.75, 0.90),
    CanopyType("tri-conical", 0.80, 0.96),
    CanopyType("extended skirt 10 % flat", 0.78, 0.87),
    CanopyType("hemispherical", 0.62, 0.77),
    CanopyType("annular", 0.85, 0.95),
    CanopyType("cross", 0.60, 0.85),
)
"""Ranges of the drag coefficient on the constructed area, by type (`SOURCE`)."""

FLAT = CANOPY_TYPES[0]
"""Flat sheets, which most hobby canopies are cut from."""

INFLATED = (0.67, 0.70)
"""Diameter of an inflated round canopy over that as laid flat [-] (the same table, flat circular, from memory)."""


@dataclass(frozen=True, slots=True)
class Canopy:
    """A parachute as it is stated; what is not stated is None.

    Attributes:
        name: what the design calls it.
        diameter: diameter of the area that the coefficient refers to [mm], above 0: laid flat, or inflated.
        drag_coefficient: drag coefficient on that area [-], above 0.
        drag_area: which area that is.

    Raises:
        PartError: a size or coefficient that is not above 0.
    """

    name: str
    diameter: float | None = None
    drag_coefficient: float | None = None
    drag_area: DragArea | None = None

    def __post_init__(self) -> None:
        if self.diameter is not None and not 0.0 < self.diameter < math.inf:
            raise PartError(f"diameter: must be above 0 mm, got {self.diameter:g} mm")
        if self.drag_coefficient is not None and not 0.0 < self.drag_coefficient < math.inf:
            raise PartError(f"drag_coefficient: must be above 0, got {self.drag_coefficient:g}")

    @property
    def area(self) -> float | None:
        """Area that the coefficient refers to [m2]; None while no diameter is stated."""
        return None if self.diameter is None else math.pi * (self.diameter / 1000.0) ** 2 / 4.0

    @property
    def effective_area(self) -> float | None:
        """Drag coefficient times its area [m2]; None while either is not stated."""
        return None if self.area is None or self.drag_coefficient is None else self.drag_coefficient * self.area

    @property
    def inflated_diameter(self) -> float | None:
        """Least diameter that the open canopy shows [mm]; None while it is not stated (`INFLATED`, from memory)."""
        if self.diameter is None or self.drag_area == "projected":
            return self.diameter
        return self.diameter * INFLATED[0]

    @property
    def missing(self) -> tuple[str, ...]:
        """Names of the fields that are not stated and that its drag needs."""
        fields = ("diameter", "drag_coefficient", "drag_area")
        values = (self.diameter, self.drag_coefficient, self.drag_area)
        return tuple(field for field, value in zip(fields, values, strict=True) if value is None)

    @property
    def words(self) -> str:
        """What is stated of it, with units."""
        told = [
            "diameter not stated" if self.diameter is None else f"{self.diameter:g} mm",
            "C_D not stated" if self.drag_coefficient is None else f"C_D {self.drag_coefficient:g}",
            "on an area that is not stated" if self.drag_area is None else f"on the {self.drag_area} area",
        ]
        return f"{self.name}: {', '.join(told)} (the design file)"

    def notes(self) -> tuple[str, ...]:
        """What is unusual of its coefficient; empty where it is as flat sheets have it."""
        if self.drag_coefficient is None:
            return ()
        said = f"C_D {self.drag_coefficient:g} of {self.name}"
        if self.drag_area is None:
            return (f"{said}: say in `drag_area` which area it refers to, constructed or projected",)
        low, high = usual_range(self.drag_area)
        if low - 1e-9 <= self.drag_coefficient <= high + 1e-9:
            return ()
        told = f"{said} lies outside {low:.2f} to {high:.2f}, which flat sheets have on the {self.drag_area} area"
        return (f"{told} ({SOURCE}); {_instead(self.drag_coefficient, self.drag_area)}",)


def usual_range(drag_area: DragArea) -> tuple[float, float]:
    """Least and greatest drag coefficient of flat sheets on an area [-].

    On the projected area it is that on the constructed one over the square of `INFLATED`; both from memory.
    """
    if drag_area == "constructed":
        return FLAT.low, FLAT.high
    return FLAT.low / INFLATED[1] ** 2, FLAT.high / INFLATED[0] ** 2


def _on_constructed(coefficient: float, drag_area: DragArea) -> tuple[float, float]:
    """Least and greatest coefficient that one may be on the constructed area [-]."""
    if drag_area == "constructed":
        return coefficient, coefficient
    return coefficient * INFLATED[0] ** 2, coefficient * INFLATED[1] ** 2


def _types(coefficient: float, drag_area: DragArea) -> list[str]:
    """Names of the types that have such a coefficient."""
    least, most = _on_constructed(coefficient, drag_area)
    return [one.name for one in CANOPY_TYPES if one.low <= most and least <= one.high]


def _instead(coefficient: float, drag_area: DragArea) -> str:
    """Which other canopies have such a coefficient, or what may be mistaken."""
    types = _types(coefficient, drag_area)
    if types:
        return f"it is usual for these types: {', '.join(types)}"
    if _on_constructed(coefficient, drag_area)[1] < min(one.low for one in CANOPY_TYPES):
        return "it is less than any type in that table has"
    more = "it is more than any type in that table has"
    return f"{more}: it may refer to the projected area" if drag_area == "constructed" else more


def is_unheard_of(canopy: Canopy) -> bool:
    """True where no type of canopy in the table has its drag coefficient: a figure or its area may be mistaken."""
    if canopy.drag_coefficient is None or canopy.drag_area is None:
        return False
    return not _types(canopy.drag_coefficient, canopy.drag_area)


def whole_effective_area(canopies: Sequence[Canopy]) -> float | None:
    """Drag coefficient times area of canopies that are open at once [m2]; None where one is not stated, or none is.

    They add up: what neighbours take from each other, a few per cent in a cluster (Knacke, from memory), is left out.
    """
    areas = [canopy.effective_area for canopy in canopies]
    stated = [area for area in areas if area is not None]
    return sum(stated) if stated and len(stated) == len(areas) else None


def inflated_to_constructed(diameter: float) -> tuple[float, float]:
    """Least and greatest diameter as laid flat of a round canopy with an inflated diameter [mm] (from memory).

    Args:
        diameter: diameter of the inflated canopy [mm].
    """
    return diameter / INFLATED[1], diameter / INFLATED[0]
