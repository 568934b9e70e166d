"""The pages of a 1:1 template: one where the outline fits, tiles where it does not.

Foot of the page: title block. Above it the check bars, in an L round the lower left corner of the window in which the
part lies, so that the bars are true exactly where the part is. A template of a part that fails a check says so above.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..curve import Line, Point
from ..marks import Diameter, Dimension, Mark, Pen
from ..shape import Outline
from .block import READING, TemplateLabel, TitleBlock, title_block
from .drawing import Drawn, overall
from .fitting import EDGE, Drawing, centred_in, drawing, squeezed
from .letters import LEADING, POINT, printable, width, wrap
from .marks import BARS_DEPTH, GOOD, INCH_BAR, MEASURE, bar_scales, check_bars, paragraph
from .paper import AREA_HEIGHT, AREA_WIDTH, Paper
from .sheet import Box, CutLine, Item, Sheet, Text, Trace, around, centred, rectangle
from .space import Space, dotted
from .tiling import Seam, Tile, count, seams, slid, tiles

_BARS_LEFT = 14.5
_BARS_GAP = 2.0
_GAP = 3.0
_STRIP = 20.0
_STAMP_SIZE = 13.0
_STAMP_LINES = 4
_TILE_SIZE = 28.0


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where things go on every page of one template."""

    window: Box
    strip: Box
    items: tuple[Item, ...]
    bars: tuple[Line, Line, Line, Line]


def template_sheets(
    outline: Outline,
    *,
    label: TemplateLabel,
    paper: Paper,
    marks: tuple[Mark, ...] = (),
    failed_checks: tuple[str, ...] = (),
) -> tuple[Sheet, ...]:
    """Lay an outline out at 1:1.

    The outline is turned by a quarter turn where that saves pages. A part that brings no figures of its own gets its
    width and height.

    Args:
        outline: what to cut [mm].
        label: what the sheets say about it.
        paper: what they are printed on.
        marks: what else is drawn, in the outline's coordinates.
        failed_checks: names of the checks that the part fails, stamped on every page.

    Returns:
        The pages, in order.

    Raises:
        PartError: words that cannot be printed, notes too long, or an outline too large to tile.
    """
    if not any(isinstance(mark, (Dimension, Diameter)) for mark in marks):
        marks = (*marks, *overall(outline))
    stamp = _stamp(failed_checks)
    parts = [drawing(outline, marks, turn) for turn in (0.0, math.pi / 2.0)]
    pens = _ordered([item.pen for mark in parts[0].marks for item in mark.lines if isinstance(item, Trace)])
    holes = bool(outline.holes)
    single = _window(title_block(label, paper, "", pens, holes), stamp, 0.0)
    for part in parts:
        move = centred_in(part, single)
        if move:
            return (_one_page(part, move, label, paper, stamp, pens),)
    found = [result for part in parts if (result := squeezed(part, single))]
    if found:
        best = min(found, key=lambda result: result.redrawn)
        return (_one_page(best.part, best.move, label, paper, stamp, pens),)
    tiled_pens = _ordered([*pens, Pen.SEAM, Pen.DIMENSION])
    window = _window(title_block(label, paper, "", tiled_pens, holes), stamp, _STRIP)
    return _tiled(min(parts, key=lambda part: _pages(part, window)), label, paper, stamp, tiled_pens)


def _pages(part: Drawing, window: Box) -> int:
    box = part.box()
    return count(box.right - box.left, window.right - window.left) * count(box.high - box.low, window.high - window.low)


def _ordered(pens: Sequence[Pen]) -> tuple[Pen, ...]:
    return tuple(pen for pen in READING if pen in {Pen.CUT, *pens})


def _one_page(
    part: Drawing, move: Point, label: TemplateLabel, paper: Paper, stamp: tuple[Text, ...], pens: Sequence[Pen]
) -> Sheet:
    frame = _frame(title_block(label, paper, "1 of 1", pens, bool(part.outline.holes)), stamp, 0.0)
    art: list[Item] = [CutLine(part.outline.placed(*move))]
    for mark in part.marks:
        placed = mark.placed(*move)
        art += [*placed.lines, *placed.words]
    title = printable(f"{label.part}, sheet 1 of 1", "part name")
    return Sheet(paper, title, frame.window, tuple(art), frame.items, frame.bars, "", move)


def _tiled(
    part: Drawing, label: TemplateLabel, paper: Paper, stamp: tuple[Text, ...], pens: Sequence[Pen]
) -> tuple[Sheet, ...]:
    holes = bool(part.outline.holes)
    window = _window(title_block(label, paper, "", pens, holes), stamp, _STRIP)
    grid = tiles(part.box(), part.outline, window.right - window.left, window.high - window.low)
    marks = slid(part.marks, grid)
    joints = seams(grid, Space(part.outline, marks))
    sheets = []
    for number, tile in enumerate(grid, 1):
        page = f"{number} of {len(grid)}, tile {tile.name}"
        frame = _frame(title_block(label, paper, page, pens, holes), stamp, _STRIP)
        dx, dy = frame.window.left - tile.window.left, frame.window.low - tile.window.low
        art = [item.placed(dx, dy) for item in _tile_art(tile, part, marks, joints)]
        furniture = [
            *frame.items,
            rectangle(frame.window, Pen.FRAME),
            *_strip(tile, grid, part.outline, frame.strip),
        ]
        title = printable(f"{label.part}, sheet {page}", "part name")
        sheets.append(Sheet(paper, title, frame.window, tuple(art), tuple(furniture), frame.bars, tile.name, (dx, dy)))
    return tuple(sheets)


def _tile_art(tile: Tile, part: Drawing, marks: Sequence[Drawn], joints: Sequence[Seam]) -> list[Item]:
    art: list[Item] = [CutLine(part.outline)]
    for mark in marks:
        art += [item for item in mark.lines if tile.window.meets(item.box().grown(EDGE))]
        art += [text for text in mark.words if tile.window.holds(text.box())]
    for joint in joints:
        if tile in (joint.first, joint.second):
            art += joint.shared
            art += joint.on_first if tile == joint.first else joint.on_second
    return art


def _strip(tile: Tile, grid: Sequence[Tile], outline: Outline, strip: Box) -> list[Item]:
    """Over the window of a tile: its name, how the tiles are joined, and a plan of all of them."""
    plan, plan_left = _plan(tile, grid, outline, strip)
    name_width = width(tile.name, _TILE_SIZE, bold=True)
    middle = (strip.low + strip.high) / 2.0
    items: list[Item] = [centred(tile.name, (name_width / 2.0, middle), _TILE_SIZE, bold=True), *plan]
    words = (
        "Where it says trim, cut the paper along the seam and lay it over its neighbour, crosses in line. "
        "Before you glue, measure 100.0 mm across every seam."
    )
    room = Box(name_width + 5.0, strip.low, plan_left - 5.0, strip.high)
    _, used = paragraph(words, room)
    texts, _ = paragraph(words, room, first=(strip.high - strip.low - used) / 2.0)
    return [*items, *texts]


def _plan(tile: Tile, grid: Sequence[Tile], outline: Outline, strip: Box) -> tuple[list[Item], float]:
    whole = around([other.window for other in grid])
    scale = min((strip.high - strip.low) / (whole.high - whole.low), 62.0 / (whole.right - whole.left))
    left = AREA_WIDTH - scale * (whole.right - whole.left)
    low = strip.high - scale * (whole.high - whole.low)

    def small(x: float, y: float) -> tuple[float, float]:
        return (left + scale * (x - whole.left), low + scale * (y - whole.low))

    items: list[Item] = []
    for loop in outline.loops:
        dots = [small(x, y) for x, y in dotted(edge.piece for edge in loop)[::4].tolist()]
        lines = tuple(Line(a, b) for a, b in zip(dots, (*dots[1:], dots[0]), strict=True) if a != b)
        items.append(Trace(lines, Pen.DIMENSION))
    for other in grid:
        # The cells of the plan meet in the middle of the strips: on the assembled template there is one line there.
        cell = _halfway(other.window, other.own)
        x0, y0 = small(cell.left, cell.low)
        x1, y1 = small(cell.right, cell.high)
        items.append(rectangle(Box(x0, y0, x1, y1), Pen.HEAVY_FRAME if other == tile else Pen.FRAME))
        name = centred(other.name, ((x0 + x1) / 2.0, (y0 + y1) / 2.0), bold=other == tile)
        if Box(x0, y0, x1, y1).holds(name.box().grown(0.5)):
            items.append(name)
    return items, left


def _halfway(window: Box, own: Box) -> Box:
    return Box(*((a + b) / 2.0 for a, b in zip(window, own, strict=True)))


def _stamp(failed: Sequence[str]) -> tuple[Text, ...]:
    """The words of the stamp, set from the top of the area; empty where every check passes."""
    if not failed:
        return ()
    words = printable(f"CHECK FAILED: {', '.join(failed)}", "failed check")
    lines = wrap(words, AREA_WIDTH - 6.0, _STAMP_SIZE, bold=True)
    if len(lines) > _STAMP_LINES:
        lines = (*lines[: _STAMP_LINES - 1], f"and more: {len(failed)} checks failed in all")
    step = _STAMP_SIZE * LEADING * POINT
    return tuple(
        centred(part, (AREA_WIDTH / 2.0, AREA_HEIGHT - 2.0 - step * (row + 0.5)), _STAMP_SIZE, bold=True)
        for row, part in enumerate(lines)
    )


def _stamp_height(stamp: Sequence[Text]) -> float:
    return len(stamp) * _STAMP_SIZE * LEADING * POINT + 4.0 + _GAP if stamp else 0.0


def _window(block: TitleBlock, stamp: Sequence[Text], strip: float) -> Box:
    low = block.height + _BARS_GAP + BARS_DEPTH + _GAP
    high = AREA_HEIGHT - _stamp_height(stamp) - (strip + _GAP if strip else 0.0)
    return Box(_BARS_LEFT + _GAP, low, AREA_WIDTH, high)


def _frame(block: TitleBlock, stamp: tuple[Text, ...], strip: float) -> _Frame:
    window = _window(block, stamp, strip)
    corner = (_BARS_LEFT, block.height + _BARS_GAP + BARS_DEPTH)
    bars = check_bars(corner)
    beside = Box(corner[0] + INCH_BAR + 5.0, block.height, AREA_WIDTH, corner[1] + 1.0)
    measure, used = paragraph(MEASURE, beside, bold=True)
    good, _ = paragraph(GOOD, beside, first=used)
    items: list[Item] = [*block.items, *bar_scales(bars), *measure, *good, *stamp]
    if stamp:
        high = AREA_HEIGHT - 0.5
        low = AREA_HEIGHT - _stamp_height(stamp) + _GAP
        items.append(rectangle(Box(0.5, low, AREA_WIDTH - 0.5, high), Pen.HEAVY_FRAME))
    top = AREA_HEIGHT - _stamp_height(stamp)
    return _Frame(window, Box(0.0, top - strip, AREA_WIDTH, top), tuple(items), bars)
