"""What a part wants drawn on its paper template besides its outline, in the outline's own coordinates.

A kind says *what* is marked and where on the part; how it is drawn (pens, arrowheads, the size of letters, on which
page of a large template it lands) is decided by the sheets. Lengths in [mm], angles in [rad] anticlockwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, TypeAlias

from .curve import Piece, Point
from .shape import Outline

SMALLEST_TYPE = 9.0
"""Smallest type on a sheet [pt]: it can be read at arm's length over a bench (common practice)."""

SIDE_A = "SIDE A"
"""What the face of a part says that is seen in its own coordinates: a bevel of one side alone is on this one."""

SIDE_B = "SIDE B"
"""What the other face says, on a page that is printed as in a mirror."""


class Pen(StrEnum):
    """The lines of a drawing by their meaning; none of them needs colour to be told from the others."""

    CUT = "cut"
    CENTRE_LINE = "centre line"
    DIMENSION = "dimension"
    REFERENCE = "reference"
    LIMIT = "limit"
    GLUE = "glue area"
    VIEW = "view"
    SEAM = "seam"
    BAR = "check bar"
    FRAME = "frame"
    HEAVY_FRAME = "heavy frame"


@dataclass(frozen=True, slots=True)
class Label:
    """Words centred on a position, such as ROOT or LEADING EDGE.

    Raises:
        ValueError: the type is smaller than can be read at arm's length.

    Attributes:
        words: what it says.
        position: middle of the words [mm].
        turn: direction in which they read [rad]; the sheet turns them over when they would stand on their head.
        size: height of the type [pt], at least 9.
        bold: whether the type is bold.
    """

    words: str
    position: Point
    turn: float = 0.0
    size: float = SMALLEST_TYPE
    bold: bool = False

    def __post_init__(self) -> None:
        if self.size < SMALLEST_TYPE:
            raise ValueError(f"the label {self.words!r} is {self.size:g} pt high; a sheet needs {SMALLEST_TYPE:g} pt")


@dataclass(frozen=True, slots=True)
class Arrow:
    """A straight arrow with its words along it, such as the way the grain runs or which way is forward.

    Attributes:
        words: what it says, set along the line on its upper side.
        start: tail [mm].
        end: head [mm].
        heads: 1 for a direction, 2 where both ways are the same (grain) [-].
    """

    words: str
    start: Point
    end: Point
    heads: Literal[1, 2] = 1


@dataclass(frozen=True, slots=True)
class Guide:
    """A line to see or to mark, not to cut: a centre line, a limit for bevels, the line of the tube's surface.

    Attributes:
        pieces: the line.
        pen: centre line, limit of what is worked, view for what is drawn beside the part, or reference.
        words: what it is, set beside its middle on the left of the way it runs; empty when it needs none.
    """

    pieces: tuple[Piece, ...]
    pen: Literal[Pen.CENTRE_LINE, Pen.REFERENCE, Pen.LIMIT, Pen.VIEW] = Pen.REFERENCE
    words: str = ""


@dataclass(frozen=True, slots=True)
class Dimension:
    """A distance that a ruler can verify, printed in mm and in inches to the nearest 1/64.

    Attributes:
        start: first point measured [mm].
        end: second point measured [mm].
        away: how far the dimension line lies from the points, to the left of the way from start to end [mm];
            negative for the right.
        words: what is measured, printed before the figure; empty when that is plain.
        along: `own` way from start to end, or its part `across` (x) or `up` (y) alone.
        scale: mm drawn for one of the part, where the part is drawn smaller; the figure is the part's [-].
    """

    start: Point
    end: Point
    away: float = 8.0
    words: str = ""
    along: Literal["own", "across", "up"] = "own"
    scale: float = 1.0


@dataclass(frozen=True, slots=True)
class Diameter:
    """The diameter of a circle, printed on a leader that points at it.

    Attributes:
        centre: centre of the circle [mm].
        radius: half the diameter [mm].
        turn: where on the circle the leader touches it [rad].
        reach: length of the leader outwards from the circle [mm]; negative leads it inwards.
        words: what it is, printed before the figure.
        scale: mm drawn for one of the part, where the part is drawn smaller; the figure is the part's [-].
    """

    centre: Point
    radius: float
    turn: float = 0.7853981633974483
    reach: float = 8.0
    words: str = ""
    scale: float = 1.0


@dataclass(frozen=True, slots=True)
class CentreMark:
    """Two centre lines crossing at a centre [mm], each reaching `reach` [mm] to both sides."""

    centre: Point
    reach: float


@dataclass(frozen=True, slots=True)
class Note:
    """Words at the end of a leader that points at something.

    Attributes:
        target: what the leader points at [mm].
        elbow: where the leader bends and its words begin [mm]; they run on to the side away from the target.
        above: words above the line on which they stand.
        below: words below it; empty for none.
    """

    target: Point
    elbow: Point
    above: str
    below: str = ""


@dataclass(frozen=True, slots=True)
class Area:
    """A region of the part that is treated in its own way, hatched on paper and never engraved: where glue goes.

    Attributes:
        outline: the region [mm].
    """

    outline: Outline


PlainMark: TypeAlias = Label | Arrow | Guide | Dimension | Diameter | CentreMark | Note | Area
"""A mark that is drawn as it stands."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Several ways to say one thing, the best first; of these a sheet draws the first that has room.

    Only a sheet knows how wide its words are. Choices are settled in their order, so the one that matters more comes
    first.

    Raises:
        ValueError: there is no way.

    Attributes:
        ways: marks that are drawn together, for each way.
        must: whether the way that takes the least of what is there already is drawn where none has room; else the
            thing is left unsaid.
        apart: whether it is a picture of its own, with nothing else in the rectangle round it.
    """

    ways: tuple[tuple[PlainMark, ...], ...]
    must: bool = False
    apart: bool = False

    def __post_init__(self) -> None:
        if not self.ways:
            raise ValueError("a choice of marks needs a way to be drawn")


Mark: TypeAlias = PlainMark | Choice
