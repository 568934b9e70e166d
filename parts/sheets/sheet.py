"""What one printed page holds: plain values that a writer draws and a test can measure.

Positions are in [mm] from the lower left corner of the drawn area (see `paper`), +x to the right and +y up the page.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import NamedTuple, TypeAlias

from ..curve import Line, Piece, Point, bounds
from ..marks import SMALLEST_TYPE, Pen
from ..shape import Outline
from .letters import ASCENT, DESCENT, POINT, width
from .paper import Paper

WIDTHS = {
    Pen.CUT: 0.35,
    Pen.CENTRE_LINE: 0.13,
    Pen.DIMENSION: 0.13,
    Pen.REFERENCE: 0.18,
    Pen.LIMIT: 0.25,
    Pen.GLUE: 0.13,
    Pen.VIEW: 0.18,
    Pen.SEAM: 0.18,
    Pen.BAR: 0.25,
    Pen.FRAME: 0.13,
    Pen.HEAVY_FRAME: 0.6,
}
"""Width of each pen [mm], from the widths of ISO 128-2."""

DASHES: dict[Pen, tuple[float, ...]] = {
    Pen.CENTRE_LINE: (6.0, 1.2, 1.2, 1.2),
    Pen.REFERENCE: (2.4, 1.2),
    Pen.LIMIT: (0.5, 1.0),
    Pen.SEAM: (6.0, 1.0, 0.6, 1.0, 0.6, 1.0),
}
"""Lengths of dash and gap [mm] of the pens that are not solid."""


class Box(NamedTuple):
    """An upright rectangle [mm]."""

    left: float
    low: float
    right: float
    high: float

    def grown(self, by: float) -> Box:
        """The rectangle with `by` [mm] more on every side."""
        return Box(self.left - by, self.low - by, self.right + by, self.high + by)

    def holds(self, other: Box) -> bool:
        """Whether another rectangle lies wholly inside."""
        return (
            self.left <= other.left and self.low <= other.low and self.right >= other.right and self.high >= other.high
        )

    def meets(self, other: Box) -> bool:
        """Whether the two have some area in common."""
        return self.left < other.right and other.left < self.right and self.low < other.high and other.low < self.high


def around(boxes: list[Box]) -> Box:
    """Smallest rectangle that holds all the others."""
    return Box(
        min(box.left for box in boxes),
        min(box.low for box in boxes),
        max(box.right for box in boxes),
        max(box.high for box in boxes),
    )


@dataclass(frozen=True, slots=True)
class CutLine:
    """The outline to cut.

    The line lies on the part, with its waste-side edge on the size: a saw that leaves the whole line leaves the size.
    """

    outline: Outline

    def box(self) -> Box:
        """Rectangle round the outline [mm]."""
        return Box(*self.outline.box())

    def placed(self, dx: float, dy: float) -> CutLine:
        """Moved by (dx, dy) [mm]."""
        return CutLine(self.outline.placed(dx, dy))


@dataclass(frozen=True, slots=True)
class Trace:
    """Connected pieces drawn with a pen centred on them."""

    pieces: tuple[Piece, ...]
    pen: Pen

    def box(self) -> Box:
        """Rectangle round the middle of the line [mm]."""
        return around([Box(*bounds(piece)) for piece in self.pieces])

    def placed(self, dx: float, dy: float) -> Trace:
        """Moved by (dx, dy) [mm]."""
        return Trace(tuple(piece.placed(dx, dy) for piece in self.pieces), self.pen)


@dataclass(frozen=True, slots=True)
class Solid:
    """A filled polygon, for arrowheads."""

    corners: tuple[Point, ...]

    def box(self) -> Box:
        """Rectangle round the polygon [mm]."""
        xs, ys = zip(*self.corners, strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))

    def placed(self, dx: float, dy: float) -> Solid:
        """Moved by (dx, dy) [mm]."""
        return Solid(tuple((x + dx, y + dy) for x, y in self.corners))


@dataclass(frozen=True, slots=True)
class Text:
    """One line of words.

    Attributes:
        words: what it says.
        position: left end of the line on which the letters stand [mm].
        size: size of the type [pt], at least 9.
        bold: whether the type is bold.
        turn: direction in which it reads [rad] anticlockwise.
    """

    words: str
    position: Point
    size: float = SMALLEST_TYPE
    bold: bool = False
    turn: float = 0.0

    @property
    def width(self) -> float:
        """Width of the words [mm]."""
        return width(self.words, self.size, self.bold)

    def corners(self) -> tuple[Point, Point, Point, Point]:
        """Corners of the rectangle that the letters fill [mm], anticlockwise from the lower left of the words."""
        high, low, long = ASCENT * self.size * POINT, -DESCENT * self.size * POINT, self.width
        c, s = math.cos(self.turn), math.sin(self.turn)
        x0, y0 = self.position
        a, b, p, q = (
            (x0 + c * x - s * y, y0 + s * x + c * y) for x, y in ((0.0, low), (long, low), (long, high), (0.0, high))
        )
        return a, b, p, q

    def box(self) -> Box:
        """Upright rectangle round the letters [mm]."""
        xs, ys = zip(*self.corners(), strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))

    def placed(self, dx: float, dy: float) -> Text:
        """Moved by (dx, dy) [mm]."""
        return replace(self, position=(self.position[0] + dx, self.position[1] + dy))


Item: TypeAlias = CutLine | Trace | Solid | Text


def line(start: Point, end: Point, pen: Pen) -> Trace:
    """One straight line [mm]."""
    return Trace((Line(start, end),), pen)


def rectangle(box: Box, pen: Pen) -> Trace:
    """The border of a rectangle [mm]."""
    corners = ((box.left, box.low), (box.right, box.low), (box.right, box.high), (box.left, box.high))
    return Trace(tuple(Line(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)), pen)


def centred(words: str, middle: Point, size: float = SMALLEST_TYPE, bold: bool = False, turn: float = 0.0) -> Text:
    """Words whose rectangle has its middle at a point [mm]."""
    long = width(words, size, bold)
    drop = (ASCENT - DESCENT) / 2.0 * size * POINT
    c, s = math.cos(turn), math.sin(turn)
    x, y = middle[0] - c * long / 2.0 + s * drop, middle[1] - s * long / 2.0 - c * drop
    return Text(words, (x, y), size, bold, turn)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page.

    Attributes:
        paper: what it is printed on.
        title: what the page is, for the list of pages in a viewer.
        window: the part of the area in which the outline is drawn [mm]; the outline is clipped to it.
        art: outline and marks, clipped to the window.
        furniture: everything else on the page.
        bars: the check bars, which are drawn too: 100 mm across, 100 mm up, 4 in across, 4 in up; none on a page that
            is not to be measured.
        tile: name of the tile such as A1, empty where the outline fits on one page.
        art_shift: how far the outline was moved from its place on tile A1's own coordinates [mm].
    """

    paper: Paper
    title: str
    window: Box
    art: tuple[Item, ...]
    furniture: tuple[Item, ...]
    bars: tuple[Line, ...]
    tile: str = ""
    art_shift: Point = (0.0, 0.0)

    def texts(self) -> tuple[Text, ...]:
        """All words on the page."""
        return tuple(item for item in (*self.art, *self.furniture) if isinstance(item, Text))
