"""Paper: sheets that stand or lie, a roll cut off where the drawing ends, and what one printer makes of 100 mm on them.

A4 and US Letter share one area that every printer can reach on both, so that one layout fits both. A sheet that was
measured after printing is printed again with both of its axes put right; the axes are those of the paper as it goes
through the printer, not those in which a lying sheet reads.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ..curve import Point
from ..errors import PartError

MARGIN = 10.0
"""Strip along every edge of the paper that no printer needs to reach [mm] (common practice)."""

AREA_WIDTH = 190.0
"""Width [mm] of the area in which everything is drawn: A4 less 10 mm at each side. US Letter is wider."""

AREA_HEIGHT = 259.0
"""Height [mm] of that area: US Letter less 10 mm at each end, rounded down. A4 is taller."""

WIDEST_BLOCK = 277.0
"""Widest title block [mm]: A3 less 10 mm at each side; on wider paper it stands at the left."""

NARROWEST_ROLL, WIDEST_ROLL = 210.0, 1600.0
"""Widths of rolls [mm]: the title block needs as much as A4 has, and printers of 64 in are the widest."""

LONGEST_PAGE = 5000.0
"""Longest page of a roll [mm]; a page of a PDF can be no longer than 14400 pt, which is 5080 mm (ISO 32000-1)."""

BAR = 100.0
"""Length of the metric check bars [mm]."""

SHRUNK, GROWN = 90.0, 110.0
"""What a bar of 100 mm may measure on a print [mm] and still be put right; beyond that it was not printed at 100 %."""


@dataclass(frozen=True, slots=True)
class Printed:
    """What a printer makes of the check bars of 100 mm.

    Attributes:
        across: measured length of the bar X, along the short side of the paper or across a roll [mm], 90 to 110.
        up: measured length of the bar Y, along the long side of the paper or of the roll [mm], 90 to 110.

    Raises:
        PartError: a length is out of its range.
    """

    across: float
    up: float

    def __post_init__(self) -> None:
        for name, length in (("X", self.across), ("Y", self.up)):
            if not SHRUNK <= length <= GROWN:
                raise PartError(
                    f"printed: {name} of {length:g} mm must be from {SHRUNK:g} to {GROWN:g} mm; so far from 100 mm it "
                    "is the print dialog that scales: set it to 100 % (actual size) and measure again"
                )

    @property
    def scale(self) -> Point:
        """How much larger everything is put on the page along X and along Y [-], so that it prints true."""
        return (BAR / self.across, BAR / self.up)

    @property
    def words(self) -> str:
        """What was corrected, in words for the manifest."""
        return (
            f"corrected for a printer that prints 100 mm as {_figure(self.across)} mm across (X) and "
            f"{_figure(self.up)} mm up (Y)"
        )

    @property
    def sentence(self) -> str:
        """The same for a sheet, and for what it holds."""
        return f"{self.words[:1].upper()}{self.words[1:]}. Only for that printer, paper and setting."


@dataclass(frozen=True, slots=True)
class Paper:
    """Paper as a page reads on it.

    Attributes:
        name: short name.
        words: name and size as they are printed on the sheet.
        width: width [mm].
        height: height [mm]; of a roll that is not cut off yet the longest.
        area_width: width of the area in which everything is drawn [mm].
        area_height: height of it [mm].
        lies: whether a sheet lies on its long side.
        is_roll: whether it is cut off a roll where the drawing ends.
        printed: what the printer makes of 100 mm, which is put right; None to draw everything as it is.
    """

    name: str
    words: str
    width: float
    height: float
    area_width: float = AREA_WIDTH
    area_height: float = AREA_HEIGHT
    lies: bool = False
    is_roll: bool = False
    printed: Printed | None = None

    @property
    def scale(self) -> Point:
        """How much larger things are put on the page than they are, across it and up it [-]."""
        if self.printed is None:
            return (1.0, 1.0)
        x, y = self.printed.scale
        return (y, x) if self.lies else (x, y)

    @property
    def corner(self) -> Point:
        """Lower left corner of the drawn area on the page [mm]; the area is centred, so one layout fits every paper."""
        x, y = self.scale
        return ((self.width - self.area_width * x) / 2.0, (self.height - self.area_height * y) / 2.0)

    @property
    def block_width(self) -> float:
        """Width of the title block [mm]."""
        return min(self.area_width, WIDEST_BLOCK)

    def ways(self) -> tuple[Paper, ...]:
        """The paper as it can be laid out, the usual way first: upright and lying; a roll in one way alone."""
        return (self,) if self.is_roll else (self, lying(self))

    def cut_off(self, area_height: float) -> Paper:
        """A roll cut off where the drawing ends, on a whole millimetre; a sheet is what it is.

        Args:
            area_height: height that the drawing needs [mm], at most that of the paper.
        """
        if not self.is_roll:
            return self
        high = math.ceil(area_height * self.scale[1] + 2.0 * MARGIN - 1e-9)
        return replace(
            self,
            words=f"{_roll_words(self.width)} x {high} mm",
            height=float(high),
            area_height=(high - 2.0 * MARGIN) / self.scale[1],
        )


A4 = Paper("A4", "A4, 210 x 297 mm", 210.0, 297.0)
"""ISO 216."""

US_LETTER = Paper("US Letter", "US Letter, 8 1/2 x 11 in", 215.9, 279.4)
"""ASME Y14.1 size A: 8.5 x 11 in."""

A3 = Paper("A3", "A3, 297 x 420 mm", 297.0, 420.0, 277.0, 400.0)
"""ISO 216."""

A5 = Paper("A5", "A5, 148 x 210 mm", 148.0, 210.0, 128.0, 190.0)
"""ISO 216; for a card that is carried, not for templates."""

PAPERS = (A4, US_LETTER)
"""What everything is printed on where nothing else is asked for."""


def roll(width: float) -> Paper:
    """Paper from a roll, as long as a page of it can be until it is cut off.

    Args:
        width: its width [mm], 210 to 1600.

    Raises:
        PartError: the width is out of its range.
    """
    if not NARROWEST_ROLL <= width <= WIDEST_ROLL:
        raise PartError(
            f"roll: {width:g} mm wide must be from {NARROWEST_ROLL:g} to {WIDEST_ROLL:g} mm: the title block and the "
            "check bars need as much as A4 has"
        )
    wide = width - 2.0 * MARGIN
    return Paper(
        f"roll {width:g} mm",
        _roll_words(width),
        width,
        LONGEST_PAGE,
        wide,
        LONGEST_PAGE - 2.0 * MARGIN,
        is_roll=True,
    )


def lying(paper: Paper) -> Paper:
    """A sheet on its long side; its area is as wide as that of the upright one is high."""
    return replace(
        paper,
        name=f"{paper.name} lying",
        words=f"{paper.words}, lying",
        width=paper.height,
        height=paper.width,
        area_width=paper.area_height,
        area_height=paper.area_width,
        lies=True,
    )


def corrected(paper: Paper, printed: Printed) -> Paper:
    """Upright paper for one printer: everything is scaled so that it prints true, and stays within the same area.

    Where things are put larger on the page, fewer of them go into the area.

    Args:
        paper: the paper, upright.
        printed: what the printer makes of 100 mm on it.
    """
    x, y = (max(1.0, scale) for scale in printed.scale)
    return replace(paper, area_width=paper.area_width / x, area_height=paper.area_height / y, printed=printed)


def unnamed(paper: Paper) -> Paper:
    """The paper without what does not change a layout, so that one found for A4 is known to hold for US Letter."""
    return replace(paper, name="", words="", width=paper.area_width, height=paper.area_height)


def _roll_words(width: float) -> str:
    return f"Roll, {_figure(width)}"


def _figure(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if value % 1.0 else f"{value:.0f}"
