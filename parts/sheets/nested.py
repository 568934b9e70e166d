"""The page that shows a nested sheet as a whole: drawn to scale, with a table of what lies on it.

It is no template, and says so: the sheet is cut from its DXF or SVG, or piece after piece from the single templates.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ..curve import Point
from ..errors import PartError
from ..marks import SMALLEST_TYPE, Arrow, Pen
from ..shape import Outline
from .drawing import draw
from .letters import LEADING, POINT, cut_to_fit, printable, size_to_fit
from .marks import CAUTIONS, paragraph
from .paper import A4, AREA_HEIGHT, AREA_WIDTH
from .section_scaling import scaled
from .sheet import Box, Item, Sheet, Text, Trace, centred, line, rectangle

SCALES = (2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 100.0)
"""How many times smaller than the sheet it is drawn [-]; never 1, so that nobody cuts along it."""

NOT_TO_CUT = "Not 1:1: cut from the DXF or SVG file of this sheet, or from the single templates."
"""What the page says of itself."""

_LEAST = 60.0
"""Height that the drawing keeps at least [mm]."""

_BESIDE = 9.0
_ROW = SMALLEST_TYPE * LEADING * POINT
_COLUMNS = (10.0, 14.0, 100.0, 66.0)
_HEADS = ("No.", "Pieces", "Part", "Fingerprint")


@dataclass(frozen=True, slots=True)
class Shown:
    """A piece on the page.

    Attributes:
        outline: its outline in the sheet's coordinates [mm].
        number: number of its row in the table [-].
        inner: a point on it [mm].
    """

    outline: Outline
    number: int
    inner: Point


@dataclass(frozen=True, slots=True)
class Row:
    """One kind of piece in the table: how many of it lie on the sheet, what it is called, and its state."""

    count: int
    name: str
    fingerprint: str


def overview(
    *,
    length: float,
    width_up: float,
    grain: Literal["length", "width"] | None,
    title: str,
    shown: Sequence[Shown],
    rows: Sequence[Row],
    words: Sequence[str],
    failed_checks: Sequence[str] = (),
) -> Sheet:
    """Lay out the page, on A4, whose area US Letter has as well.

    Args:
        length: side of the sheet along x [mm].
        width_up: side of the sheet along y [mm].
        grain: the side that its grain runs along.
        title: name of the sheet, printed large.
        shown: the pieces.
        rows: the table, in the order of the numbers, from 1.
        words: lines about the sheet, such as material and utilisation.
        failed_checks: names of the checks that the design fails.

    Raises:
        PartError: a size is not above 0, the words leave no room for the sheet, or a letter cannot be printed.
    """
    for name, size in (("length", length), ("width", width_up)):
        if not 0.0 < size < math.inf:
            raise PartError(f"{name}: {size:g} mm of the sheet must be above 0 mm")
    top = Box(0.0, 0.0, AREA_WIDTH, AREA_HEIGHT)
    items: list[Item] = []
    used = 0.0
    for sentence in failed_checks:
        stamp = printable(f"CHECK FAILED: {sentence}", "name of the check")
        texts, used = paragraph(stamp, top, 13.0, bold=True, first=used)
        items += texts
    size = size_to_fit(printable(title, "name of the sheet"), AREA_WIDTH, 20.0, 11.0, bold=True)
    texts, used = paragraph(printable(title, "name of the sheet"), top, size, bold=True, first=used)
    items += texts
    # The scale is known once all else has its place; its line is kept free.
    scale_at = used
    used += 12.0 * LEADING * POINT
    for sentence in (NOT_TO_CUT, *words, " ".join(CAUTIONS)):
        texts, used = paragraph(printable(sentence, "words of the sheet"), top, bold=sentence == NOT_TO_CUT, first=used)
        items += texts
    table, deep = _table(rows, AREA_HEIGHT - used - _LEAST - 2.0 * _BESIDE)
    items += table
    room = Box(_BESIDE, deep + _BESIDE, AREA_WIDTH, AREA_HEIGHT - used - 3.0)
    if room.high - room.low < _LEAST:
        raise PartError(f"words: they leave {room.high - room.low:.0f} mm for the sheet, which needs {_LEAST:g} mm")
    by = next(
        (s for s in SCALES if length / s <= room.right - room.left and width_up / s <= room.high - room.low), None
    )
    if by is None:
        raise PartError(f"length: a sheet of {length:g} x {width_up:g} mm is larger than the page can show")
    said = paragraph(f"scale 1:{by:g}", top, 12.0, bold=True, first=scale_at)[0]
    art = _drawn(length, width_up, grain, shown, by, room)
    return Sheet(A4, printable(title, "name of the sheet"), top, art, (*items, *said), ())


def _drawn(
    length: float, width_up: float, grain: str | None, shown: Sequence[Shown], by: float, room: Box
) -> tuple[Item, ...]:
    left = room.left + (room.right - room.left - length / by) / 2.0
    low = room.high - width_up / by
    items: list[Item] = [rectangle(Box(left, low, left + length / by, low + width_up / by), Pen.REFERENCE)]
    numbers: list[Item] = []
    for one in shown:
        for loop in one.outline.loops:
            pieces = tuple(scaled(edge.piece, 1.0 / by).placed(left, low) for edge in loop)
            items.append(Trace(pieces, Pen.BAR))
        numbers.append(centred(str(one.number), (left + one.inner[0] / by, low + one.inner[1] / by), 11.0, bold=True))
    items += numbers
    if grain is not None:
        along = grain == "length"
        middle = length / by / 2.0 if along else width_up / by / 2.0
        half = min(middle, 25.0)
        ends = [
            (left + middle + sign * half, low - 3.0) if along else (left - 3.0, low + middle + sign * half)
            for sign in (-1.0, 1.0)
        ]
        drawn = draw(Arrow("", ends[0], ends[1], 2), 0.0)
        items += drawn.lines
        words = (left + middle, low - 6.5) if along else (left - 6.5, low + middle)
        items.append(centred("GRAIN", words, turn=0.0 if along else math.pi / 2.0))
    return tuple(items)


def _table(rows: Sequence[Row], highest: float) -> tuple[list[Item], float]:
    """The table at the foot of the page; its items and its height [mm]."""
    most = max(int((highest - _ROW - 2.0) / _ROW), 1)
    kept = list(rows) if len(rows) <= most else list(rows[: most - 1])
    lines = [_HEADS, *((str(number), str(row.count), row.name, row.fingerprint) for number, row in enumerate(kept, 1))]
    if len(kept) < len(rows):
        lines.append(("", "", f"and {len(rows) - len(kept)} more kinds", ""))
    high = len(lines) * _ROW + 2.0
    items: list[Item] = []
    for place, cells in enumerate(lines):
        level = high - 1.0 - _ROW * (place + 0.8)
        left = 0.0
        for cell, wide in zip(cells, _COLUMNS, strict=True):
            words = cut_to_fit(printable(cell, "row of the table"), wide - 2.0, SMALLEST_TYPE, bold=place == 0)
            items.append(Text(words, (left + 1.0, level), SMALLEST_TYPE, bold=place == 0))
            left += wide
    items.append(rectangle(Box(0.0, 0.0, AREA_WIDTH, high), Pen.FRAME))
    items.append(line((0.0, high - 1.0 - _ROW), (AREA_WIDTH, high - 1.0 - _ROW), Pen.FRAME))
    return items, high
