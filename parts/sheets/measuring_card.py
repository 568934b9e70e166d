"""The measuring card: a page to take to the tubes, with a box for every reading, at most two tubes a page."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..curve import Arc, Point
from ..errors import PartError
from ..marks import SMALLEST_TYPE, Pen
from ..tubes import ENDS, End, MeasuredTube
from .drawing import arrowhead
from .letters import LEADING, POINT, cut_to_fit, printable, size_to_fit, width
from .marks import BARS_DEPTH, INCH_BAR, bar_scales, check_bars, paragraph
from .paper import AREA_HEIGHT, AREA_WIDTH, Paper
from .sheet import Box, Item, Sheet, Solid, Text, Trace, centred, line, rectangle

TUBES_A_PAGE = 2
"""How many tubes share a page [-]."""

HOLDING = (
    "Mark the tube FWD and AFT and draw one pencil line along it. Direction 1 is through the line, 2 square to it.",
    "Calipers: 10 mm in from the rim, square to the tube, just touching: the tube must still turn between the jaws. "
    "Squeezed, a paper tube reads 0.1 to 0.3 mm small. Inside: rock the jaws and take the largest.",
    "Strip: wrap paper once round, prick both layers where they lap, lay it flat, measure from prick to prick.",
)
"""How to take the readings (common practice)."""

LAY = "Both bars are 100.0 mm; if not, print again at 100 %. Lay rule, calipers and strip on them."
"""What the check bars are for."""

_UNIT = "mm, or write the unit"
_LEFT = 18.0
_HEAD = 11.0
_CELLS = 13.0
_PANEL_GAP = 2.0
_PAD = 2.0
_NAME_ROW = 9.0
_BOX = 12.0
_BOX_WIDTH = 20.0
_ROW = 17.0
"""Height of a box and of what was entered before, under it [mm]."""

_NOTES = 8.0
_BETWEEN = 1.5
_LABEL = 14.5
_MIDDLE = 56.0
_RADIUS = 11.0
_BORE = 9.6
_STATION = 19.5
"""Height [mm] from the name row to the middle of the drawing."""

_DRAWING = 37.0
_SHORT: dict[End, str] = {"forward": "FWD", "aft": "AFT"}
_LINE = SMALLEST_TYPE * LEADING * POINT


def measuring_card(
    tubes: Sequence[MeasuredTube | str], paper: Paper, *, design: str = "", fingerprint: str = ""
) -> tuple[Sheet, ...]:
    """Lay out the card.

    Args:
        tubes: the tubes, or the names of those that have no reading yet; readings so far are printed by their boxes.
        paper: what it is printed on.
        design: name of the design; empty for none.
        fingerprint: printed form of the design's fingerprint; empty for none.

    Returns:
        The pages, in order; where the last one has room for a second tube it has a panel without a name.

    Raises:
        PartError: no tube, or words that cannot be printed.
    """
    if not tubes:
        raise PartError("tubes: a measuring card needs at least one tube, and none is named")
    pages = [tubes[first : first + TUBES_A_PAGE] for first in range(0, len(tubes), TUBES_A_PAGE)]
    return tuple(
        _page(page, paper, f"{number} of {len(pages)}", design, fingerprint) for number, page in enumerate(pages, 1)
    )


def _page(tubes: Sequence[MeasuredTube | str], paper: Paper, page: str, design: str, fingerprint: str) -> Sheet:
    corner = (_LEFT - 3.5, BARS_DEPTH)
    bars = check_bars(corner)
    items: list[Item] = [*bar_scales(bars), *_head(page, design, fingerprint)]
    words, _ = paragraph(LAY, Box(corner[0] + INCH_BAR + 5.0, 0.0, AREA_WIDTH, BARS_DEPTH - 1.0))
    items += words
    level = AREA_HEIGHT - _HEAD - _CELLS - 1.0
    used = 0.0
    for sentence in HOLDING:
        words, used = paragraph(sentence, Box(0.0, 0.0, AREA_WIDTH, level), first=used)
        items += words
    high = level - used - 2.0
    low = BARS_DEPTH + 3.0
    tall = (high - low - _PANEL_GAP * (TUBES_A_PAGE - 1)) / TUBES_A_PAGE
    for row in range(TUBES_A_PAGE):
        top = high - row * (tall + _PANEL_GAP)
        tube = tubes[row] if row < len(tubes) else None
        items += _panel(tube, Box(_LEFT, top - tall, AREA_WIDTH, top))
    title = printable(f"Measuring card, sheet {page}", "title")
    return Sheet(paper, title, Box(0.0, 0.0, AREA_WIDTH, AREA_HEIGHT), (), tuple(items), bars)


def _head(page: str, design: str, fingerprint: str) -> list[Item]:
    base = AREA_HEIGHT - 6.5
    title = Text("Measuring card", (0.0, base), 18.0, bold=True)
    sheet = f"sheet {page}"
    right = Text(sheet, (AREA_WIDTH - width(sheet, SMALLEST_TYPE), base))
    what = printable(" · ".join(word for word in (design, fingerprint) if word), "design")
    room = AREA_WIDTH - title.width - right.width - 12.0
    size = size_to_fit(what, room, 11.0, SMALLEST_TYPE)
    items: list[Item] = [title, right]
    if what:
        items.append(Text(cut_to_fit(what, room, size), (title.width + 6.0, base), size))
    left, level = 0.0, AREA_HEIGHT - _HEAD - _CELLS
    for name, wide in (
        ("Measured by", 52.0),
        ("Tool", 48.0),
        ("Date", 34.0),
        ("Temperature", 28.0),
        ("Humidity", 28.0),
    ):
        items.append(rectangle(Box(left, level, left + wide, level + _CELLS), Pen.BAR))
        items.append(Text(name, (left + 1.5, level + _CELLS - 3.8)))
        left += wide
    return items


def _panel(tube: MeasuredTube | str | None, box: Box) -> list[Item]:
    """Everything of one tube; of none, a panel that has its name still to be written."""
    items: list[Item] = [rectangle(box, Pen.HEAVY_FRAME), *_name(tube, box)]
    read = tube if isinstance(tube, MeasuredTube) else None
    top = box.high - _NAME_ROW
    middle = top - _STATION
    items += _without_end(read, Box(box.left + _PAD, top - _LINE, box.right - _PAD, top))
    wide = _LABEL + 2.0 * _BOX_WIDTH
    lefts: dict[End, float] = {"forward": box.left + _PAD, "aft": box.right - _PAD - wide}
    level = top - _DRAWING
    for end in ENDS:
        items += _end_view((lefts[end] + _LABEL + _BOX_WIDTH, middle))
        items.append(Text(_SHORT[end], (lefts[end], middle), 12.0, bold=True))
        items.append(Text("end", (lefts[end], middle - _LINE)))
        items += _end_boxes(read, end, lefts[end], level)
    centre = (box.left + box.right) / 2.0
    items += _side_view((centre, middle))
    items += _middle_boxes(read, centre - _MIDDLE / 2.0, level)
    return items


def _name(tube: MeasuredTube | str | None, box: Box) -> list[Item]:
    base = box.high - 6.4
    unit = Text(_UNIT, (box.right - _PAD - width(_UNIT, SMALLEST_TYPE), base))
    room = unit.position[0] - box.left - 3.0 * _PAD
    if tube is None:
        words = Text("Another tube:", (box.left + _PAD, base), 12.0)
        start = words.position[0] + words.width + _PAD
        return [unit, words, line((start, base - 0.5), (box.left + _PAD + room, base - 0.5), Pen.BAR)]
    name = printable(tube if isinstance(tube, str) else tube.name, "name of the tube")
    size = size_to_fit(name, room, 14.0, SMALLEST_TYPE, bold=True)
    return [unit, Text(cut_to_fit(name, room, size, bold=True), (box.left + _PAD, base), size, bold=True)]


def _without_end(tube: MeasuredTube | None, row: Box) -> list[Item]:
    """Readings so far that name no end, in one line."""
    sides = (("outside", tube.outside), ("inside", tube.inside)) if tube else ()
    words = ", ".join(f"{side} {' '.join(f'{value:.2f}' for value in values)}" for side, values in sides if values)
    if not words:
        return []
    words = f"Without an end, so far: {words}"
    return [Text(cut_to_fit(words, row.right - row.left, SMALLEST_TYPE), (row.left, row.low + 1.2))]


def _end_boxes(tube: MeasuredTube | None, end: End, left: float, level: float) -> list[Item]:
    """Outside and inside at one end, in both directions, under the directions' numbers."""
    items: list[Item] = []
    for column in range(2):
        at = left + _LABEL + (column + 0.5) * _BOX_WIDTH
        items.append(centred(f"{column + 1}", (at, level + 2.2), 11.0, bold=True))
    found = {"outside": tube.at("outside", end), "inside": tube.at("inside", end)} if tube else {}
    for row, side in enumerate(("outside", "inside")):
        high = level - row * _ROW
        items.append(Text(side, (left, high - _BOX / 2.0 - 1.1)))
        readings = found.get(side, ())
        for column in range(2):
            start = left + _LABEL + column * _BOX_WIDTH
            before = f"{readings[column]:.2f}" if column < len(readings) else ""
            items += _box(Box(start, high - _BOX, start + _BOX_WIDTH - _BETWEEN, high), before)
    high, start = level - 2.0 * _ROW, left + _LABEL
    items.append(Text("wall", (left, high - _BOX / 2.0 - 1.1)))
    # Walls are one list; where there are as many as ends they were most likely written in the order of the boxes.
    walls = tube.wall if tube else ()
    before = f"{walls[ENDS.index(end)]:.2f}" if len(walls) == len(ENDS) else ""
    return [*items, *_box(Box(start, high - _BOX, start + 2.0 * _BOX_WIDTH - _BETWEEN, high), before)]


def _middle_boxes(tube: MeasuredTube | None, left: float, level: float) -> list[Item]:
    """What is read once for the whole tube, and room for a note."""
    strip = tube.strip[0] if tube and len(tube.strip) == 1 else None
    thickness, length, mass = (tube.strip_thickness, tube.length, tube.mass) if tube else (None, None, None)
    blanks = (
        ("strip once round", strip, 1),
        ("strip thickness", thickness, 2),
        ("length", length, 1),
        ("mass, g", mass, 1),
    )
    wide = _MIDDLE / 2.0
    items: list[Item] = []
    for number, (title, before, digits) in enumerate(blanks):
        start, high = left + (number % 2) * wide + _BETWEEN / 2.0, level - (number // 2) * (_ROW + _LINE)
        items.append(Text(title, (start, high + 1.0)))
        words = "" if before is None else f"{before:.{digits}f}"
        items += _box(Box(start, high - _BOX, start + wide - _BETWEEN, high), words)
    low = level - 2.0 * _ROW - _BOX
    notes = Box(left + _BETWEEN / 2.0, low, left + _MIDDLE - _BETWEEN / 2.0, low + _NOTES)
    return [*items, rectangle(notes, Pen.FRAME), Text("notes", (notes.left + 1.0, notes.high - 3.6))]


def _box(box: Box, before: str) -> list[Item]:
    """A box to write in, clear inside; what was entered before stands under it."""
    items: list[Item] = [rectangle(box, Pen.BAR)]
    if before:
        items.append(Text(f"was {before}", (box.left + 0.5, box.low - 3.4)))
    return items


def _end_view(middle: Point) -> list[Item]:
    """An end as seen along the tube, with the pencil line at the top and the two directions across it."""
    x, y = middle
    reach = _RADIUS + 2.6
    items: list[Item] = [
        Trace((Arc((x, y), radius, 0.0, math.pi), Arc((x, y), radius, math.pi, math.pi)), Pen.BAR)
        for radius in (_RADIUS, _BORE)
    ]
    for word, (dx, dy) in (("1", (0.0, 1.0)), ("2", (1.0, 0.0))):
        tips = ((x - _RADIUS * dx, y - _RADIUS * dy), (x + _RADIUS * dx, y + _RADIUS * dy))
        items.append(line(*tips, Pen.DIMENSION))
        items += [arrowhead(tips[1], (dx, dy)), arrowhead(tips[0], (-dx, -dy))]
        at = (x + reach * dx, y + reach * dy) if dx else (x + 3.0, y + reach - 0.4)
        items.append(centred(word, at, 11.0, bold=True))
    mark = (x, y + _RADIUS)
    items.append(Solid((mark, (mark[0] - 1.1, mark[1] + 2.4), (mark[0] + 1.1, mark[1] + 2.4))))
    return items


def _side_view(middle: Point) -> list[Item]:
    """The tube from the side, its ends named, with the pencil line along it."""
    x, y = middle
    half, radius = _MIDDLE / 2.0 - 2.0, _RADIUS
    body = Box(x - half, y - radius, x + half, y + radius)
    inset = radius - _BORE
    return [
        rectangle(body, Pen.BAR),
        line((body.left, y + radius - inset), (body.right, y + radius - inset), Pen.REFERENCE),
        line((body.left, y - radius + inset), (body.right, y - radius + inset), Pen.REFERENCE),
        line((body.left, y), (body.right, y), Pen.CENTRE_LINE),
        centred("FWD", (body.left + 8.0, y + 4.0), 12.0, bold=True),
        centred("AFT", (body.right - 8.0, y + 4.0), 12.0, bold=True),
        centred("pencil line", (x, y - 3.5)),
        arrowhead((body.left - 1.0, y), (-1.0, 0.0)),
    ]
