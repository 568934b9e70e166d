"""Pages of a pattern whose numbers belong to their ticks: what is fixed is never slid off a seam.

Words that are slid off a seam may still be read as what they are, but a station beside the wrong tick is a wrong size.
Fixed words that meet a seam are printed on both tiles, so that they are whole again when the tiles are glued. Where the
drawing has play on its pages, it is moved until its seams cut the fewest of them and run along no line of its own.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np

from ..curve import Line, Point
from ..marks import Guide, Label, Mark, Pen
from ..shape import Outline
from .block import TemplateLabel
from .drawing import Drawn, draw
from .paper import Paper, unnamed
from .sheet import Box, CutLine, Item, Sheet, Text, Trace, around
from .space import Space
from .template import template_sheets

_SHIFTS = (8.0, -8.0, 16.0, -16.0)
"""By how much the drawing is made longer at one end [mm], which moves its seams by half of that: between stations that
stand 10 mm apart, to every second millimetre."""

_FEW = 4
"""On more pages [-] no shift suits all the seams, and each try takes its time."""

_DOT = 1e-4
"""Length of the line that makes it longer [mm]; it is taken off the pages again."""

_ALONG = 6.0
"""A line nearer to a seam than this [mm] and parallel to it runs through its words."""

_LONG = 15.0
"""A line with no more than this beside a seam [mm] does not run along it."""

_PARALLEL = 0.1
"""Largest sine of the angle between a line and the seam that it runs along [-]."""

_FURTHEST, _STEP = 60, 2.0
"""How many places are tried to each side for words that are slid [-], and how far from one to the next [mm]."""

_AIR = 0.8
"""Room kept round fixed words [mm]."""


def pattern_sheets(
    outline: Outline,
    *,
    label: TemplateLabel,
    paper: Paper,
    marks: tuple[Mark, ...] = (),
    fixed: tuple[Label, ...] = (),
    failed_checks: tuple[str, ...] = (),
) -> tuple[Sheet, ...]:
    """Lay a pattern out at 1:1 as a template, with its fixed words exactly in their places.

    Args:
        outline: what to cut [mm].
        label: what the sheets say about it.
        paper: what they are printed on.
        marks: what else is drawn, in the outline's coordinates.
        fixed: words that stand for their place; no other mark says the same.
        failed_checks: names of the checks that the part fails, stamped on every page.

    Returns:
        The pages, in order.

    Raises:
        PartError: words that cannot be printed, notes too long, or an outline too large to tile.
    """
    shift = _best_shift(outline, label, unnamed(paper), marks, fixed, failed_checks)
    return _laid_out(outline, label, paper, marks, fixed, failed_checks, shift)


def _laid_out(
    outline: Outline,
    label: TemplateLabel,
    paper: Paper,
    marks: tuple[Mark, ...],
    fixed: tuple[Label, ...],
    failed_checks: tuple[str, ...],
    shift: float,
) -> tuple[Sheet, ...]:
    more: tuple[Mark, ...] = ()
    if shift:
        first, last, y = _ends(outline, (*marks, *fixed))
        x = last + shift if shift > 0.0 else first + shift
        more = (Guide((Line((x, y), (x + _DOT, y)),)),)
    sheets = template_sheets(
        outline, label=label, paper=paper, marks=(*marks, *fixed, *more), failed_checks=failed_checks
    )
    turn = _turn(outline, sheets[0])
    words = tuple(text for mark in fixed for text in draw(mark, turn).words)
    return tuple(_restored(sheet, words) for sheet in sheets)


@lru_cache(maxsize=4)
def _best_shift(
    outline: Outline,
    label: TemplateLabel,
    paper: Paper,
    marks: tuple[Mark, ...],
    fixed: tuple[Label, ...],
    failed_checks: tuple[str, ...],
) -> float:
    """The shift that puts the seams where they do least harm [mm]; the same on every paper with the same drawn area."""
    said = {mark.words for mark in fixed}
    found = _laid_out(outline, label, paper, marks, fixed, failed_checks, 0.0)
    best, fewest = 0.0, _faults(found, said)
    for shift in _SHIFTS:
        if not 1 < len(found) <= _FEW or fewest == 0:
            break
        other = _laid_out(outline, label, paper, marks, fixed, failed_checks, shift)
        faults = _faults(other, said)
        if len(other) <= len(found) and faults < fewest:
            best, fewest = shift, faults
    return best


def _ends(outline: Outline, marks: tuple[Mark, ...]) -> tuple[float, float, float]:
    """First and last x of a drawing and a y within it [mm]."""
    left, low, right, high = outline.box()
    boxes = [drawn.box() for mark in marks if (drawn := draw(mark, 0.0)).lines or drawn.words]
    whole = around([Box(left, low, right, high), *boxes])
    return whole.left, whole.right, (low + high) / 2.0


def _turn(outline: Outline, sheet: Sheet) -> float:
    """The turn at which the outline was laid out [rad]."""
    cut = _cut_line(sheet).outline
    return min((0.0, math.pi / 2.0), key=lambda turn: _apart(outline.placed(*sheet.art_shift, turn), cut))


def _apart(one: Outline, other: Outline) -> float:
    pairs = zip(one.outer, other.outer, strict=True)
    return sum(math.dist(first.piece.start, second.piece.start) for first, second in pairs)


def _cut_line(sheet: Sheet) -> CutLine:
    (cut,) = [item for item in sheet.art if isinstance(item, CutLine)]
    return cut


def _faults(sheets: tuple[Sheet, ...], said: set[str]) -> int:
    """How many fixed words are cut by a seam, and how many lines run along one [-]."""
    faults = 0
    for sheet in sheets:
        seams = [item.box() for item in sheet.art if isinstance(item, Trace) and item.pen == Pen.SEAM]
        for seam in seams:
            near = seam.grown(_AIR)
            faults += sum(
                isinstance(item, Text) and item.words in said and near.meets(item.box()) for item in sheet.art
            )
            faults += sum(_runs_along(item, seam) for item in sheet.art)
    return faults


def _runs_along(item: Item, seam: Box) -> bool:
    """Whether a straight line lies so near to a seam, and so long beside it, that it is in its way."""
    if isinstance(item, CutLine):
        lines = [edge.piece for edge in item.outline.outer if isinstance(edge.piece, Line)]
    elif isinstance(item, Trace) and item.pen != Pen.SEAM:
        lines = [piece for piece in item.pieces if isinstance(piece, Line)]
    else:
        return False
    level = seam.right - seam.left > seam.high - seam.low
    near = seam.grown(_ALONG)
    return any(_leans(line, level) < _PARALLEL and _length_within(line, near) > _LONG for line in lines)


def _leans(line: Line, level: bool) -> float:
    """Sine of a line's angle to a level or an upright seam [-]."""
    return abs(line.end[1] - line.start[1] if level else line.end[0] - line.start[0]) / line.length()


def _length_within(line: Line, box: Box) -> float:
    """Length of a line inside a rectangle [mm], within a hundredth of its own."""
    points = line.at(np.linspace(0.0, 1.0, 101))
    inside = np.all((points > (box.left, box.low)) & (points < (box.right, box.high)), axis=1)
    return float(np.count_nonzero(inside)) / 101.0 * line.length()


def _restored(sheet: Sheet, words: tuple[Text, ...]) -> Sheet:
    """The page with its fixed words in their places, whatever the layout did with them, and all others off them."""
    said = {text.words for text in words}
    shown = [text for text in (text.placed(*sheet.art_shift) for text in words) if sheet.window.meets(text.box())]
    art = [item for item in sheet.art if not _is_dot(item) and not (isinstance(item, Text) and item.words in said)]
    taken = [text.box().grown(_AIR) for text in shown]
    for index, item in enumerate(art):
        if isinstance(item, Text) and any(item.box().meets(box) for box in taken):
            rest = [*art[:index], *art[index + 1 :], *shown]
            art[index] = _slid(item, rest, taken, sheet)
    return replace(sheet, art=(*art, *shown))


def _is_dot(item: Item) -> bool:
    return isinstance(item, Trace) and len(item.pieces) == 1 and item.pieces[0].length() < 2.0 * _DOT


def _slid(text: Text, rest: list[Item], taken: list[Box], sheet: Sheet) -> Text:
    """Words that stand where fixed ones belong, slid along themselves to where least else is."""
    lines = tuple(item for item in rest if isinstance(item, Trace))
    words = tuple(item for item in rest if isinstance(item, Text))
    space = Space(_cut_line(sheet).outline, (Drawn(lines, words),))
    along: Point = (math.cos(text.turn), math.sin(text.turn))
    best, least = text, math.inf
    for step in range(2 * _FURTHEST):
        by = (step + 1) // 2 * (_STEP if step % 2 else -_STEP)
        moved = text.placed(along[0] * by, along[1] * by)
        if not sheet.window.holds(moved.box()) or any(moved.box().meets(box) for box in taken):
            continue
        cost = space.hits_of(moved) + abs(by) / 100.0
        if cost < least:
            best, least = moved, cost
    return best
