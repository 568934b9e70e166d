"""How the marks of a part are drawn: lines, arrowheads, figures that read from the bottom or from the right.

Dimension figures follow ISO 129-1: thin lines with filled heads, the figure along the line. The figure in mm stands
above the line and the one in inches below, so that neither can be taken for the other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import assert_never

import numpy as np

from ..curve import Piece, Point
from ..marks import (
    SMALLEST_TYPE,
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
)
from ..quantity import inches_64, millimetres
from ..shape import Outline
from .hatch import Less, followed, hatched
from .letters import POINT, printable
from .sheet import Box, Item, Solid, Text, Trace, around, centred, line

HEAD = 2.5
"""Length of an arrowhead [mm]."""

HATCH = 2.6
"""Distance of the lines that hatch an area [mm]."""

_HEAD_HALF = 0.42
_GAP = 1.0
_PAST = 1.5
_TAIL = 5.0
_CLOSE = 0.45
_NOTHING = 0.05


@dataclass(frozen=True, slots=True)
class Drawn:
    """One mark as it is drawn: its lines, and its words, which may be slid along `turn` [rad] off a seam."""

    lines: tuple[Item, ...]
    words: tuple[Text, ...] = ()
    turn: float = 0.0

    def box(self) -> Box:
        """Rectangle round all of it [mm]."""
        return around([item.box() for item in (*self.lines, *self.words)])

    def placed(self, dx: float, dy: float) -> Drawn:
        """Moved by (dx, dy) [mm]."""
        return Drawn(
            tuple(item.placed(dx, dy) for item in self.lines),
            tuple(text.placed(dx, dy) for text in self.words),
            self.turn,
        )


def upright(angle: float) -> float:
    """Direction of reading [rad] along a line: never on its head, and an upright line reads from the right."""
    angle = math.remainder(angle, math.pi)
    return angle + math.pi if angle < -math.pi / 2.0 + 1e-9 else angle


def overall(outline: Outline) -> tuple[Mark, ...]:
    """Width and height of an outline, for a part that brings no figures of its own."""
    left, low, right, high = outline.box()
    return (
        Dimension((left, low), (right, low), away=-8.0),
        Dimension((right, low), (right, high), away=-8.0),
    )


def together(several: Sequence[Drawn]) -> Drawn:
    """Drawings as one."""
    lines = tuple(item for drawn in several for item in drawn.lines)
    words = tuple(text for drawn in several for text in drawn.words)
    return Drawn(lines, words, several[0].turn if len(several) == 1 else 0.0)


@lru_cache(maxsize=8192)
def draw(mark: Mark, turn: float) -> Drawn:
    """Lines and words of a mark, all turned about the origin by `turn` [rad]; none for a length of nothing.

    Of a choice it is the first way; `settling` draws the one that has room.

    Raises:
        PartError: the words have a letter that cannot be printed.
    """
    match mark:
        case Label():
            return _label(mark, turn)
        case Arrow():
            return _arrow(mark, turn)
        case Guide():
            return _guide(mark, turn)
        case Dimension():
            return _dimension(mark, turn)
        case Diameter():
            return _diameter(mark, turn)
        case CentreMark():
            return _centre_mark(mark, turn)
        case Note():
            return _note(mark, turn)
        case Area():
            return _area(mark, turn)
        case Choice():
            return together([draw(one, turn) for one in mark.ways[0]])
        case _:
            assert_never(mark)


def arrowhead(tip: Point, direction: Point) -> Solid:
    """A filled head with its tip at a point [mm], pointing along a unit direction [-]."""
    (x, y), (dx, dy) = tip, direction
    back = (x - HEAD * dx, y - HEAD * dy)
    return Solid(
        (
            tip,
            (back[0] - _HEAD_HALF * dy, back[1] + _HEAD_HALF * dx),
            (back[0] + _HEAD_HALF * dy, back[1] - _HEAD_HALF * dx),
        )
    )


def measured(start: Point, end: Point, above: str, below: str = "", outwards: float = 1.0) -> Drawn:
    """A dimension line from start to end [mm] with a head at each end and its figures at its middle.

    Where there is no room between them the heads stand outside and point inwards; where there is none for the figures
    they stand square to the line, to its left where `outwards` [-] is positive, else to its right.
    """
    direction = _unit(start, end)
    back = (-direction[0], -direction[1])
    if math.dist(start, end) >= 4.0 * HEAD:
        lines: tuple[Item, ...] = (
            line(start, end, Pen.DIMENSION),
            arrowhead(start, back),
            arrowhead(end, direction),
        )
    else:
        lines = (
            line(_step(start, back, _TAIL), _step(end, direction, _TAIL), Pen.DIMENSION),
            arrowhead(start, direction),
            arrowhead(end, back),
        )
    turn = upright(math.atan2(direction[1], direction[0]))
    words = _beside(_middle(start, end), turn, above, below)
    long = max((text.width for text in words), default=0.0)
    if long + _CLOSE <= math.dist(start, end):
        return Drawn(lines, words, turn)
    sign = math.copysign(1.0, outwards)
    side = (-direction[1] * sign, direction[0] * sign)
    turn = upright(math.atan2(side[1], side[0]))
    return Drawn(
        lines, _beside(_step(_middle(start, end), side, long / 2.0 + _PAST + _CLOSE), turn, above, below), turn
    )


def _label(mark: Label, turn: float) -> Drawn:
    angle = upright(mark.turn + turn)
    words = printable(mark.words, "label on the template")
    return Drawn((), (centred(words, _turned(mark.position, turn), mark.size, mark.bold, angle),), angle)


def _arrow(mark: Arrow, turn: float) -> Drawn:
    start, end = _turned(mark.start, turn), _turned(mark.end, turn)
    if math.dist(start, end) < _NOTHING:
        return Drawn(())
    direction = _unit(start, end)
    lines: list[Item] = [line(start, end, Pen.DIMENSION), arrowhead(end, direction)]
    if mark.heads == 2:
        lines.append(arrowhead(start, (-direction[0], -direction[1])))
    angle = upright(math.atan2(direction[1], direction[0]))
    words = printable(mark.words, "arrow on the template")
    return Drawn(tuple(lines), _beside(_middle(start, end), angle, words), angle)


def _guide(mark: Guide, turn: float) -> Drawn:
    pieces: tuple[Piece, ...] = tuple(piece.placed(0.0, 0.0, turn) for piece in mark.pieces)
    lines = (Trace(pieces, Pen(mark.pen)),)
    if not mark.words:
        return Drawn(lines)
    middle = pieces[len(pieces) // 2]
    half = np.array([0.5])
    (x, y), (dx, dy) = middle.at(half)[0].tolist(), middle.slope(half)[0].tolist()
    run = math.atan2(dy, dx)
    angle = upright(run)
    words = printable(mark.words, "line on the template")
    on_the_left = math.cos(angle - run) > 0.0
    texts = _beside((x, y), angle, words) if on_the_left else _beside((x, y), angle, "", words)
    return Drawn(lines, texts, angle)


def _dimension(mark: Dimension, turn: float) -> Drawn:
    dx, dy = mark.end[0] - mark.start[0], mark.end[1] - mark.start[1]
    if mark.along == "across":
        unit, length = (math.copysign(1.0, dx), 0.0), abs(dx)
    elif mark.along == "up":
        unit, length = (0.0, math.copysign(1.0, dy)), abs(dy)
    else:
        length = math.hypot(dx, dy)
        unit = (dx / length, dy / length) if length else (1.0, 0.0)
    if length < _NOTHING:
        return Drawn(())
    left = (-unit[1], unit[0])
    first = _step(mark.start, left, mark.away)
    last = _step(first, unit, length)
    size = length / mark.scale
    words = printable(f"{mark.words} {millimetres(size)}", "dimension on the template")
    drawn = measured(_turned(first, turn), _turned(last, turn), words, inches_64(size), mark.away)
    extensions: list[Item] = []
    for point, foot in ((mark.start, first), (mark.end, last)):
        if math.dist(point, foot) > 2.0 * _GAP:
            towards = _unit(point, foot)
            from_, to = _step(point, towards, _GAP), _step(foot, towards, _PAST)
            extensions.append(line(_turned(from_, turn), _turned(to, turn), Pen.DIMENSION))
    return Drawn((*extensions, *drawn.lines), drawn.words, drawn.turn)


def _diameter(mark: Diameter, turn: float) -> Drawn:
    centre, angle = _turned(mark.centre, turn), mark.turn + turn
    out = (math.cos(angle), math.sin(angle))
    touch = _step(centre, out, mark.radius)
    elbow = _step(touch, out, mark.reach)
    size = 2.0 * mark.radius / mark.scale
    words = printable(f"{mark.words} Ø{millimetres(size)}", "diameter on the template")
    inwards = math.copysign(1.0, -mark.reach)
    return _led(touch, elbow, arrowhead(touch, (out[0] * inwards, out[1] * inwards)), words, inches_64(size))


def _note(mark: Note, turn: float) -> Drawn:
    target, elbow = _turned(mark.target, turn), _turned(mark.elbow, turn)
    if math.dist(target, elbow) < _NOTHING:
        return Drawn(())
    above, below = (printable(words, "note on the template") for words in (mark.above, mark.below))
    return _led(target, elbow, arrowhead(target, _unit(elbow, target)), above, below)


def _led(touch: Point, elbow: Point, head: Solid, above: str, below: str) -> Drawn:
    """A leader and its words, which run on level from its elbow to the side away from what it points at."""
    texts = _beside(elbow, 0.0, above, below)
    long = max(text.width for text in texts) + 1.0
    side = math.copysign(1.0, elbow[0] - touch[0])
    shelf = (elbow[0] + side * long, elbow[1])
    lines = (line(touch, elbow, Pen.DIMENSION), line(elbow, shelf, Pen.DIMENSION), head)
    return Drawn(lines, tuple(text.placed(side * long / 2.0, 0.0) for text in texts), 0.0)


def _area(mark: Area, turn: float) -> Drawn:
    outline = mark.outline.placed(0.0, 0.0, turn)
    outer, *holes = (followed(edge.piece for edge in loop) for loop in outline.loops)
    return Drawn(tuple(Trace((piece,), Pen.GLUE) for piece in hatched([Less(outer, tuple(holes))], HATCH)))


def _centre_mark(mark: CentreMark, turn: float) -> Drawn:
    centre = _turned(mark.centre, turn)
    arms = []
    for direction in ((math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))):
        arms.append(line(_step(centre, direction, -mark.reach), _step(centre, direction, mark.reach), Pen.CENTRE_LINE))
    return Drawn(tuple(arms))


def _beside(point: Point, turn: float, above: str, below: str = "") -> tuple[Text, ...]:
    """Words centred on a point of a line that runs along `turn`, above it and below it."""
    up = (-math.sin(turn), math.cos(turn))
    far = SMALLEST_TYPE * POINT / 2.0 + _CLOSE
    pairs = ((above, far), (below, -far))
    return tuple(centred(words, _step(point, up, by), turn=turn) for words, by in pairs if words)


def _turned(point: Point, turn: float) -> Point:
    c, s = math.cos(turn), math.sin(turn)
    return (c * point[0] - s * point[1], s * point[0] + c * point[1])


def _unit(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return ((end[0] - start[0]) / length, (end[1] - start[1]) / length)


def _step(point: Point, direction: Point, by: float) -> Point:
    return (point[0] + direction[0] * by, point[1] + direction[1] * by)


def _middle(start: Point, end: Point) -> Point:
    return ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
