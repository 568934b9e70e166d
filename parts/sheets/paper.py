"""Paper sizes, and the area that every printer can reach on all of them."""

from __future__ import annotations

from dataclasses import dataclass

from ..curve import Point

AREA_WIDTH = 190.0
"""Width [mm] of the area in which everything is drawn: A4 less 10 mm at each side. US Letter is wider."""

AREA_HEIGHT = 259.0
"""Height [mm] of that area: US Letter less 10 mm at each end, rounded down. A4 is taller."""


@dataclass(frozen=True, slots=True)
class Paper:
    """One sheet of paper, upright.

    Attributes:
        name: short name.
        words: name and size as they are printed on the sheet.
        width: width [mm].
        height: height [mm].
    """

    name: str
    words: str
    width: float
    height: float

    @property
    def corner(self) -> Point:
        """Lower left corner of the drawn area on the page [mm]; the area is centred, so one layout fits every paper."""
        return ((self.width - AREA_WIDTH) / 2.0, (self.height - AREA_HEIGHT) / 2.0)


A4 = Paper("A4", "A4, 210 x 297 mm", 210.0, 297.0)
"""ISO 216."""

US_LETTER = Paper("US Letter", "US Letter, 8 1/2 x 11 in", 215.9, 279.4)
"""ASME Y14.1 size A: 8.5 x 11 in."""

PAPERS = (A4, US_LETTER)
