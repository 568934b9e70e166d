"""Reads the table of nylon shear pins: two forces for each size, the least that it may hold and the most it may take.

Nylon has no one strength: makes differ, and moisture and sun weaken it. What must hold is held to the one, what must
open to the other.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files


@dataclass(frozen=True, slots=True)
class NylonPin:
    """A nylon screw used as a shear pin.

    Attributes:
        size: size of its thread, such as `#2-56`.
        minor_diameter: diameter at the root of its thread [in].
        hold: force that one may be counted on to hold [N].
        open: force that one may need to shear [N].
        source: where the numbers come from.
        mark: how far they may be trusted.
    """

    size: str
    minor_diameter: float
    hold: float
    open: float
    source: str
    mark: str

    def shear(self, strength: float) -> float:
        """Force that shears it once through the root of its thread [lbf].

        Args:
            strength: shear strength of the nylon [psi].
        """
        return math.pi / 4.0 * self.minor_diameter**2 * strength


@lru_cache(maxsize=1)
def nylon_pins() -> dict[str, NylonPin]:
    """All rows by the size of the thread."""
    text = files(__package__).joinpath("data/nylon_pins.csv").read_text(encoding="utf-8")
    return {
        row["size"]: NylonPin(
            row["size"],
            float(row["minor_diameter_in"]),
            float(row["hold_N"]),
            float(row["open_N"]),
            row["source"],
            row["mark"],
        )
        for row in csv.DictReader(text.splitlines())
    }
