"""What a scale and a balancing edge say of one item, and whether that is still true of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..parts.errors import PartError


@dataclass(frozen=True, slots=True)
class Weighing:
    """An item on the scale, one piece at a time.

    Attributes:
        masses: mass of each piece that was weighed [g]; at least one.
        balance: the part's own origin to its measured centre of gravity, aft [mm]; None where it was not balanced.
        made_for: printed fingerprint of what was weighed; None where it is not stated.
        now: printed fingerprint of what the design holds now.
        before: mass of all pieces by the item's own table [g]; None where that states none.
        estimated_before: True where that mass is an allowance or a table's.

    Raises:
        PartError: there is no mass, or one is not above 0 g.
    """

    masses: tuple[float, ...]
    balance: float | None = None
    made_for: str | None = None
    now: str = ""
    before: float | None = None
    estimated_before: bool = False

    def __post_init__(self) -> None:
        """Refuse a weighing without a mass.

        Raises:
            PartError: there is none, or one is not above 0 g.
        """
        if not self.masses:
            raise PartError("masses: at least one is needed, got none")
        for mass in self.masses:
            if not mass > 0.0:
                raise PartError(f"masses: must be above 0 g, got {mass:g} g")

    @property
    def is_current(self) -> bool:
        """False where the design has changed since: then it is shown and not used."""
        return self.made_for in (None, self.now)

    @property
    def mean(self) -> float:
        """Mass of one piece, the mean of all that were weighed [g]."""
        return math.fsum(self.masses) / len(self.masses)

    @property
    def spread(self) -> float:
        """Largest less smallest over the mean [-]; 0 for one."""
        return (max(self.masses) - min(self.masses)) / self.mean
