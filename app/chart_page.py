"""What stands round the strips of every chart: the name, words below it, a stamp not to be overlooked, a foot."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..parts.marks import SMALLEST_TYPE, Pen
from ..parts.sheets import sheet
from ..parts.sheets.letters import cut_to_fit, plain, width, wrap
from ..parts.sheets.sheet import Text, line

EDGE = 14.0
"""Room beside, above and below everything [mm]."""

LEADING = 4.2
"""Distance of two lines of words [mm]."""

_TITLE, _STAMP_TYPE = 16.0, 12.0
_TITLE_ROOM = 11.0
"""Height of the title [mm]."""
_STAMP = 5.5
"""Height of a line of the stamp [mm]."""
_STAMP_LINES = 3
"""Most lines of the stamp [-]."""
_ROWS = 3
"""Most rows of a sentence under the title [-]."""
_LEAST_TITLE = 40.0
"""What the design's name keeps of the width [mm], however long the words beside it are."""


@dataclass(frozen=True, slots=True)
class ChartPage:
    """The frame of a chart.

    Attributes:
        width: width of the sheet [mm].
        height: height of the sheet [mm].
        title: the design's name.
        what: what the chart shows, at the right of the title.
        lines: sentences under the title, each wrapped to at most three rows.
        stamp: words that nobody may overlook, such as failed checks; empty for none.
        foot: sentences at the foot, wrapped.
    """

    width: float
    height: float
    title: str
    what: str
    lines: tuple[str, ...] = ()
    stamp: str = ""
    foot: tuple[str, ...] = ()

    @property
    def room(self) -> float:
        """Width between the edges [mm]."""
        return self.width - 2.0 * EDGE

    @property
    def top(self) -> float:
        """Height on the sheet below which the head ends [mm]."""
        return self.height - EDGE - _TITLE_ROOM - LEADING * len(self._rows()) - _STAMP * len(self._stamp_lines())

    @property
    def bottom(self) -> float:
        """Height on the sheet above which the foot ends [mm]."""
        return EDGE + LEADING * len(self._foot_lines()) + 1.5

    def items(self) -> Iterator[sheet.Item]:
        """Head and foot, in [mm] from the lower left corner of the sheet."""
        top = self.height - EDGE
        what = cut_to_fit(plain(self.what), self.room - _LEAST_TITLE, _STAMP_TYPE)
        title = cut_to_fit(plain(self.title), self.room - width(what, _STAMP_TYPE) - 5.0, _TITLE, True)
        yield Text(title, (EDGE, top - 5.0), _TITLE, bold=True)
        yield Text(what, (self.width - EDGE - width(what, _STAMP_TYPE), top - 5.0), _STAMP_TYPE)
        rows = self._rows()
        for index, words in enumerate(rows):
            yield Text(words, (EDGE, top - 11.0 - LEADING * index))
        below = top - _TITLE_ROOM - LEADING * len(rows)
        for index, words in enumerate(self._stamp_lines()):
            yield Text(words, (EDGE, below - _STAMP * (index + 0.5)), _STAMP_TYPE, bold=True)
        foot = self._foot_lines()
        if foot:
            yield line((EDGE, self.bottom), (self.width - EDGE, self.bottom), Pen.DIMENSION)
        for index, words in enumerate(reversed(foot)):
            yield Text(words, (EDGE, EDGE + 0.8 + LEADING * index))

    def _rows(self) -> tuple[str, ...]:
        return tuple(
            row for words in self.lines for row in _at_most(_ROWS, plain(words), self.room, SMALLEST_TYPE, bold=False)
        )

    def _foot_lines(self) -> tuple[str, ...]:
        return tuple(row for words in self.foot for row in wrap(plain(words), self.room, SMALLEST_TYPE))

    def _stamp_lines(self) -> tuple[str, ...]:
        return _at_most(_STAMP_LINES, plain(self.stamp), self.room, _STAMP_TYPE, bold=True)


def _at_most(count: int, words: str, room: float, size: float, bold: bool) -> tuple[str, ...]:
    """Words in so many rows at most, an ellipsis at the end of the last where some are missing."""
    rows = wrap(words, room, size, bold)
    if len(rows) <= count:
        return rows
    return (*rows[: count - 1], cut_to_fit(f"{rows[count - 1]} {rows[count]}", room, size, bold))
