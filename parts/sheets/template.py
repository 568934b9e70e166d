"""The pages of a 1:1 template: one where the outline fits, tiles where it does not.

Foot of the page: title block. Above it the check bars, in an L round the lower left corner of the window in which the
part lies, so that the bars are true exactly where the part is. A template of a part that fails a check says so above,
and so does one that is mirrored. A sheet lies on its long side where that saves pages; a roll is cut off where the
drawing ends.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..curve import Line, Point
from ..marks import CentreMark, Diameter, Dimension, Guide, Mark, Pen
from ..shape import Outline
from .block import READING, TemplateLabel, TitleBlock, title_block
from .drawing import Drawn, draw, overall
from .fitting import EDGE, Drawing, centred_in, drawing, off_seams, squeezed, without_pictures
from .letters import LEADING, POINT, printable, width, wrap
from .marks import BARS_DEPTH, ELSE, GOOD, INCH_BAR, MEASURE, axes, bar_scales, check_bars, paragraph
from .mirror import MEANING, MIRRORED, dashed_border, mirrored_mark, mirrored_outline
from .paper import Paper
from .settling import spared
from .sheet import Box, CutLine, Item, Sheet, Trace, around, centred, rectangle
from .space import Space, dotted
from .tiling import OVERLAP, Seam, Tile, count, seams, slid, tiles

_BARS_LEFT = 14.5
_BARS_GAP = 2.0
_GAP = 3.0
_STRIP = 20.0
_STAMP_SIZE = 13.0
_STAMP_LINES = 4
_MIRRORED_SIZE = 30.0
_TILE_SIZE = 28.0

_END = 1.0
"""Room kept beyond the ends of the upright check bars [mm]."""

_INSIDE = 1.5
"""Room between the dashed border of a mirrored page and what is drawn within [mm]."""

_LEAST = INCH_BAR
"""Least height of the window on a roll [mm]: the upright check bars stand beside it."""

_LEAST_TILE = 70.0
"""Least height of the window of a tile [mm]: its crosses, its check distances and their words need it."""

_CLOSED = 1e-6
"""How far the ends of a line may be apart [mm] that is drawn round something."""

_WIDEST_HOLE = 60.0
"""Widest centre mark [mm] that a seam is kept off: a larger circle is cut on several tiles anyhow."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where things go on every page of one template."""

    window: Box
    strip: Box
    items: tuple[Item, ...]
    bars: tuple[Line, Line, Line, Line]


@dataclass(frozen=True, slots=True)
class _Banner:
    """What stands above everything else on every page, and how high it is with the room below it [mm]."""

    items: tuple[Item, ...]
    height: float


@dataclass(frozen=True, slots=True)
class _Look:
    """What is the same on every page of one template, whatever of the part it shows."""

    label: TemplateLabel
    paper: Paper
    failed: tuple[str, ...]
    pens: tuple[Pen, ...]
    holes: bool
    mirrored: bool

    def window(self, strip: float = 0.0) -> Box:
        """The room for the part below a strip of a height [mm]."""
        return self._laid_out("", strip)[1]

    def frame(self, page: str, strip: float = 0.0) -> _Frame:
        """Everything but the part on one page, which says which of how many it is."""
        paper, banner = self.paper, self._banner()
        block, window, bars = self._laid_out(page, strip)
        left, low = bars[0].start[0] + INCH_BAR + 5.0, block.height
        words, _ = self._measure(Box(left, low, paper.block_width, bars[0].start[1] + 1.0))
        items: list[Item] = [*block.items, *bar_scales(bars, axes(paper)), *words, *banner.items]
        if self.mirrored:
            items += dashed_border(window.grown(_INSIDE))
        top = paper.area_height - banner.height
        return _Frame(window, Box(0.0, top - strip, paper.block_width, top), tuple(items), bars)

    def cut_off(self, high: float, strip: float = 0.0) -> _Look:
        """The same on a roll that is cut off where a window of a height [mm] ends."""
        window = self.window(strip)
        spare = window.high - window.low - max(high, _LEAST)
        return replace(self, paper=self.paper.cut_off(self.paper.area_height - spare)) if spare > 0.0 else self

    def _laid_out(self, page: str, strip: float) -> tuple[TitleBlock, Box, tuple[Line, Line, Line, Line]]:
        """Title block, window and check bars.

        The bars start where the window's corner is. In a low window those up have no room above it: they then stand
        beside the block as well, which is narrower by that.
        """
        paper, left = self.paper, _BARS_LEFT + _GAP
        high = paper.area_height - self._banner().height - (strip + _GAP if strip else 0.0)
        block = title_block(self.label, paper, page, self.pens, self.holes)
        low = self._above(block, _BARS_LEFT)
        if low + INCH_BAR + _END <= high:
            return block, self._inside(Box(left, low + _GAP, paper.area_width, high)), check_bars((_BARS_LEFT, low))
        block = title_block(self.label, paper, page, self.pens, self.holes, paper.block_width - left)
        block = replace(block, items=tuple(item.placed(left, 0.0) for item in block.items))
        low = self._above(block, left)
        bars = check_bars((left, low), (_BARS_LEFT, high - INCH_BAR - _END))
        return block, self._inside(Box(left, low + _GAP, paper.area_width, high)), bars

    def _inside(self, room: Box) -> Box:
        """The window in the room that there is: clear of the border where there is one."""
        return room.grown(-_INSIDE) if self.mirrored else room

    def _above(self, block: TitleBlock, left: float) -> float:
        """Level of the bars across that start at `left` above the block, with room for their words beside them [mm]."""
        _, used = self._measure(Box(left + INCH_BAR + 5.0, 0.0, self.paper.block_width, 0.0))
        return block.height + max(_BARS_GAP + BARS_DEPTH, used)

    def _measure(self, box: Box) -> tuple[list[Item], float]:
        """What to do with the check bars, from the top of a box, and the height that it takes [mm]."""
        measure, used = paragraph(MEASURE, box, bold=True)
        again = None if self.paper.printed else self.label.again
        good, used = paragraph(ELSE.format(again=again) if again else GOOD, box, first=used)
        return [*measure, *good], used

    def _banner(self) -> _Banner:
        """MIRRORED where it is, and the names of the checks that fail; nothing where there is neither."""
        wide, high, items, used = self.paper.block_width, self.paper.area_height, list[Item](), 0.0
        if self.mirrored:
            deep = _MIRRORED_SIZE * POINT
            items.append(centred(MIRRORED, (wide / 2.0, high - deep * 0.6), _MIRRORED_SIZE, bold=True))
            texts, used = paragraph(MEANING, Box(0.0, 0.0, wide, high), bold=True, first=deep * 1.15)
            items += texts
            used += _GAP
        lines = _failed_lines(self.failed, wide - 6.0)
        if lines:
            step = _STAMP_SIZE * LEADING * POINT
            top = high - used
            items += [
                centred(part, (wide / 2.0, top - 2.0 - step * (row + 0.5)), _STAMP_SIZE, bold=True)
                for row, part in enumerate(lines)
            ]
            tall = len(lines) * step + 4.0
            items.append(rectangle(Box(0.5, top - tall, wide - 0.5, top - 0.5), Pen.HEAVY_FRAME))
            used += tall + _GAP
        return _Banner(tuple(items), used)


def template_sheets(
    outline: Outline,
    *,
    label: TemplateLabel,
    paper: Paper,
    marks: tuple[Mark, ...] = (),
    failed_checks: tuple[str, ...] = (),
    mirrored: bool = False,
) -> tuple[Sheet, ...]:
    """Lay an outline out at 1:1.

    The outline is turned by a quarter turn, and the paper laid on its long side, where that saves pages. A part that
    brings no figures of its own gets its width and height.

    Args:
        outline: what to cut [mm].
        label: what the sheets say about it.
        paper: what they are printed on, upright, or a roll.
        marks: what else is drawn, in the outline's coordinates.
        failed_checks: names of the checks that the part fails, stamped on every page.
        mirrored: whether it is drawn as seen from the other face.

    Returns:
        The pages, in order.

    Raises:
        PartError: words that cannot be printed, notes too long, or an outline too large to tile.
    """
    if not any(isinstance(mark, (Dimension, Diameter)) for mark in marks):
        marks = (*marks, *overall(outline))
    if mirrored:
        outline, marks = mirrored_outline(outline), tuple(mirrored_mark(mark) for mark in marks)
    parts = [drawing(outline, marks, turn) for turn in (0.0, math.pi / 2.0)]
    pens = _ordered([item.pen for mark in parts[0].marks for item in mark.lines if isinstance(item, Trace)])
    holes = bool(outline.holes)
    looks = [_Look(label, one, tuple(failed_checks), pens, holes, mirrored) for one in paper.ways()]
    for look in looks:
        sheet = _on_one_page(parts, look)
        if sheet is not None:
            return (sheet,)
    tiled = [replace(look, pens=_ordered([*pens, Pen.SEAM, Pen.DIMENSION])) for look in looks]
    ways = [(part, look) for look in tiled for part in (*parts, *map(without_pictures, parts))]
    return _tiled(*min(ways, key=lambda pair: _pages(*pair)))


def _ordered(pens: Sequence[Pen]) -> tuple[Pen, ...]:
    return tuple(pen for pen in READING if pen in {Pen.CUT, *pens})


def _on_one_page(parts: Sequence[Drawing], look: _Look) -> Sheet | None:
    """The part on one page as it is, else with marks drawn closer; None where it does not fit."""
    window = look.window()
    fit = [part for part in parts if centred_in(part, window)]
    # Upright with a choice made otherwise is better to read than turned; squeezing finds out.
    if fit and (look.paper.is_roll or fit[0] is parts[0]):
        # A roll is cut off, so that the lower of the two takes less of it.
        return _one_page(min(fit, key=_height) if look.paper.is_roll else fit[0], look)
    found = [result for part in parts if (result := squeezed(part, window))]
    if not found:
        return None
    best = min(found, key=lambda result: (result.crossed, result.redrawn))
    return _one_page(best.part, look, None if look.paper.is_roll else best.move)


def _height(part: Drawing) -> float:
    box = part.box()
    return box.high - box.low


def _one_page(part: Drawing, look: _Look, move: Point | None = None) -> Sheet:
    """A drawing moved into its window; where no move [mm] is given, into the middle of it."""
    look = look.cut_off(_height(part))
    frame = look.frame("1 of 1")
    move = move or centred_in(part, frame.window) or (0.0, 0.0)
    art: list[Item] = [CutLine(part.outline.placed(*move))]
    for mark in part.marks:
        placed = mark.placed(*move)
        art += [*placed.lines, *placed.words]
    title = printable(f"{look.label.part}, sheet 1 of 1", "part name")
    return Sheet(look.paper, title, frame.window, tuple(art), frame.items, frame.bars, "", move)


def _pages(part: Drawing, look: _Look) -> tuple[float, float]:
    """How many tiles a drawing takes [-], and how high those of a roll are together [mm]."""
    box, window = part.box(), look.window(_STRIP)
    if window.high - window.low < _LEAST_TILE:
        return math.inf, 0.0
    rows = count(box.high - box.low, window.high - window.low)
    number = count(box.right - box.left, window.right - window.left) * rows
    return number, number * _tile_height(box, rows) if look.paper.is_roll else 0.0


def _tile_height(box: Box, rows: int) -> float:
    """Height [mm] with which rows of tiles just cover a box."""
    return (box.high - box.low - OVERLAP) / rows + OVERLAP


def _tiled(part: Drawing, look: _Look) -> tuple[Sheet, ...]:
    box, window = part.box(), look.window(_STRIP)
    rows = count(box.high - box.low, window.high - window.low)
    look = look.cut_off(_tile_height(box, rows), _STRIP)
    window = look.window(_STRIP)
    grid = tiles(box, part.outline, window.right - window.left, window.high - window.low, _drilled(part))
    part = off_seams(part, [tile.own for tile in grid])
    given = [one.drawn for one in part.settled]
    marks = spared(slid(given, grid))
    # Whoever laid the sheet out may put words back to where they were.
    left = [replace(one, lines=()) for one, now in zip(given, marks, strict=True) if one.words != now.words]
    joints = seams(grid, Space(part.outline, (*marks, *left)))
    sheets = []
    for number, tile in enumerate(grid, 1):
        page = f"{number} of {len(grid)}, tile {tile.name}"
        frame = look.frame(page, _STRIP)
        dx, dy = frame.window.left - tile.window.left, frame.window.low - tile.window.low
        art = [item.placed(dx, dy) for item in _tile_art(tile, part, marks, joints)]
        furniture = [
            *frame.items,
            # A mirrored page has its dashed border there.
            *(() if look.mirrored else (rectangle(frame.window, Pen.FRAME),)),
            *_strip(tile, grid, part.outline, frame.strip),
        ]
        title = printable(f"{look.label.part}, sheet {page}", "part name")
        sheets.append(
            Sheet(look.paper, title, frame.window, tuple(art), tuple(furniture), frame.bars, tile.name, (dx, dy))
        )
    return tuple(sheets)


def _drilled(part: Drawing) -> list[Box]:
    """What is cut or drilled without being a hole of the outline: closed lines, and what has a small centre mark."""
    found = []
    for mark in part.given:
        if isinstance(mark, CentreMark) and mark.reach <= _WIDEST_HOLE / 2.0:
            drawn = draw(mark, part.turn)
        elif isinstance(mark, Guide) and math.dist(mark.pieces[0].start, mark.pieces[-1].end) < _CLOSED:
            drawn = draw(replace(mark, words=""), part.turn)
        else:
            continue
        found.append(drawn.box())
    return found


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
    left = strip.right - scale * (whole.right - whole.left)
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


def _failed_lines(failed: Sequence[str], wide: float) -> tuple[str, ...]:
    """The lines of the stamp; none where every check passes."""
    if not failed:
        return ()
    words = printable(f"CHECK FAILED: {', '.join(failed)}", "failed check")
    lines = wrap(words, wide, _STAMP_SIZE, bold=True)
    if len(lines) > _STAMP_LINES:
        lines = (*lines[: _STAMP_LINES - 1], f"and more: {len(failed)} checks failed in all")
    return lines
