"""A part as it is seen from its other face: left and right change places, words stay readable.

Such a page is printed only when it is asked for, to mark the other face or to be ironed onto it. Whoever takes it for
the usual one cuts a part whose bevels are on the wrong face, so it says MIRRORED across its head and its border is
dashed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import assert_never

from ..curve import Piece, Point
from ..marks import (
    SIDE_A,
    SIDE_B,
    Area,
    Arrow,
    CentreMark,
    Choice,
    Diameter,
    Dimension,
    Guide,
    Label,
    Mark,
    Note,
    Pen,
    PlainMark,
)
from ..shape import Edge, Loop, Outline
from .sheet import Box, Trace, line, rectangle

MIRRORED = "MIRRORED"
"""What a mirrored page says across its head."""

MEANING = "Left and right are changed over: for the other face, or to be ironed onto the part. Not the usual template."
"""What that means for the one who holds it."""

_DASH, _BLANK = 6.0, 4.0


def mirrored_outline(outline: Outline) -> Outline:
    """An outline seen from its other face (x becomes -x), running anticlockwise again [mm]."""

    def across(loop: Loop) -> Loop:
        return tuple(Edge(_piece(edge.piece).reversed(), edge.role) for edge in reversed(loop))

    return Outline(across(outline.outer), tuple(across(hole) for hole in outline.holes))


def mirrored_mark(mark: Mark) -> Mark:
    """A mark seen from the other face; the words of one face become those of the other."""
    if isinstance(mark, Choice):
        return replace(mark, ways=tuple(tuple(_plain(one) for one in way) for way in mark.ways))
    return _plain(mark)


def _plain(mark: PlainMark) -> PlainMark:
    match mark:
        case Label():
            words = {SIDE_A: SIDE_B, SIDE_B: SIDE_A}.get(mark.words, mark.words)
            return replace(mark, words=words, position=_point(mark.position), turn=-mark.turn)
        case Arrow():
            return replace(mark, start=_point(mark.start), end=_point(mark.end))
        case Guide():
            # Run the other way, so that words to its left stay on the side of the part that they stand on.
            return replace(mark, pieces=tuple(_piece(piece).reversed() for piece in reversed(mark.pieces)))
        case Dimension():
            return replace(mark, start=_point(mark.start), end=_point(mark.end), away=-mark.away)
        case Diameter():
            return replace(mark, centre=_point(mark.centre), turn=math.pi - mark.turn)
        case CentreMark():
            return replace(mark, centre=_point(mark.centre))
        case Note():
            return replace(mark, target=_point(mark.target), elbow=_point(mark.elbow))
        case Area():
            return replace(mark, outline=mirrored_outline(mark.outline))
        case _:
            assert_never(mark)


def _point(point: Point) -> Point:
    return (-point[0], point[1])


def _piece(piece: Piece) -> Piece:
    """Mirrored in the y axis: in the x axis and turned half round."""
    return piece.mirrored().placed(0.0, 0.0, math.pi)


def dashed_border(box: Box) -> Iterator[Trace]:
    """The heavy dashed border of a rectangle [mm], whose corners are closed."""
    for side in rectangle(box, Pen.HEAVY_FRAME).pieces:
        count = math.ceil((side.length() - _DASH) / (_DASH + _BLANK))
        step = (side.length() - _DASH) / count
        (x0, y0), (x1, y1) = side.start, side.end
        along = ((x1 - x0) / side.length(), (y1 - y0) / side.length())
        for index in range(count + 1):
            first, last = step * index, step * index + _DASH
            yield line(
                (x0 + along[0] * first, y0 + along[1] * first),
                (x0 + along[0] * last, y0 + along[1] * last),
                Pen.HEAVY_FRAME,
            )
