"""The title block of a section drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..curve import Line
from ..errors import PartError
from ..marks import SMALLEST_TYPE, Pen
from .block import NOT_STATED
from .letters import DESCENT, LEADING, POINT, cut_to_fit, printable, size_to_fit, width, wrap
from .marks import BARS_DEPTH, CAUTIONS, INCH_BAR, bar_scales, check_bars, paragraph
from .paper import Paper
from .sheet import Box, Item, Text, centred, line, rectangle

READING = "Sizes: mm above the line, inches to the nearest 1/64 below; {sizes}. Take sizes from the figures."
"""How to read the drawing."""

BARS = "Both bars are 100.0 mm; if not, print again at 100 %."

TURNED = "Holes are drawn turned into the upper half."

_NAME_ROW, _CELL_ROW = 11.0, 10.0
"""Heights of the row with the part's name and of a row of cells [mm]."""

_PAD = 2.0
"""Room between the side of a cell and its words [mm]."""

_LARGE, _STAMP_SIZE = 20.0, 13.0
"""Type sizes of the name and of the stamp [pt]."""

_STAMP_LINES = 3
"""Lines that the stamp takes at the most [-]."""

_BARS_LEFT = 14.5
"""Where the corner of the check bars lies [mm]; the upright bar in inches and its words stand left of it."""

_GAP = 3.0
"""Room round the window of the drawing [mm]."""

_LEAST = 90.0
"""Least height of the window [mm]."""


def area(paper: Paper) -> Box:
    """The area in which everything is drawn [mm]."""
    return Box(0.0, 0.0, paper.area_width, paper.area_height)


@dataclass(frozen=True, slots=True)
class SectionLabel:
    """What a section drawing says about its part.

    Attributes:
        design: name of the design.
        part: name of the part, printed large.
        material: what it is made of, or None: not stated.
        fingerprint: printed form of the part's fingerprint.
        revision: revision or date, or None: not stated.
        notes: sentences for the bench.
        sizes: which sizes the figures are, such as nominal.
        view: what of the part is drawn, after its name.
    """

    design: str
    part: str
    material: str | None = None
    fingerprint: str = NOT_STATED
    revision: str | None = None
    notes: tuple[str, ...] = ()
    sizes: str = "nominal, no allowance for a machine in them"
    view: str = "section"


@dataclass(frozen=True, slots=True)
class Frame:
    """What is the same on every page: items, check bars, and the window that is left for the drawing [mm]."""

    items: tuple[Item, ...]
    bars: tuple[Line, Line, Line, Line]
    window: Box


def frame(
    label: SectionLabel, paper: Paper, scale: str, page: str, notes: Sequence[str], failed_checks: Sequence[str]
) -> Frame:
    """Draw title block, check bars and stamp.

    Args:
        label: what the block says.
        paper: what it is printed on.
        scale: scale of the page's main view, in words.
        page: which sheet of how many.
        notes: sentences about the drawing itself.
        failed_checks: names of the checks that the part fails.

    Raises:
        PartError: the notes leave no room for the part, or a letter cannot be printed.
    """
    whole = area(paper)
    sentences = [READING.format(sizes=label.sizes), BARS, *notes, *label.notes, CAUTIONS[0]]
    words, used = _words(sentences, Box(_BARS_LEFT + INCH_BAR + 5.0, 0.0, whole.right, 0.0))
    items, height = _block(label, paper, scale, page)
    foot = height + max(BARS_DEPTH + 2.0, used + 2.0)
    bars = check_bars((_BARS_LEFT, height + 2.0 + BARS_DEPTH))
    items += bar_scales(bars)
    items += [text.placed(0.0, foot - 1.0) for text in words]
    stamp, deep = _stamp(failed_checks, whole)
    items += stamp
    window = Box(_BARS_LEFT + _GAP, max(foot, bars[0].start[1]) + 1.5, whole.right, whole.high - deep)
    if window.high - window.low < _LEAST:
        raise PartError(
            f"notes: they take {used:.0f} mm of the drawing and leave {window.high - window.low:.0f} mm for the part, "
            f"which needs {_LEAST:g} mm; shorten them"
        )
    return Frame(tuple(items), bars, window)


def _words(sentences: Sequence[str], box: Box) -> tuple[list[Text], float]:
    items: list[Text] = []
    used = 0.0
    for sentence in sentences:
        texts, used = paragraph(printable(sentence, "notes"), box, first=used)
        items += texts
    return items, used


def _block(label: SectionLabel, paper: Paper, scale: str, page: str) -> tuple[list[Item], float]:
    """Name and scale on top, cells under them, all across the foot of the page; its items and height [mm]."""
    wide = area(paper).right
    cells = (
        ("Design", label.design, 0.2),
        ("Material", label.material or NOT_STATED, 0.15),
        ("Fingerprint", label.fingerprint, 0.17),
        ("Revision", label.revision or NOT_STATED, 0.15),
        ("Paper", paper.words, 0.23),
        ("Sheet", page, 0.1),
    )
    rows = (cells,) if paper.lies else (cells[3:], cells[:3])
    items: list[Item] = []
    level = 0.0
    for row in rows:
        whole = sum(share for _, _, share in row)
        left = 0.0
        for title, value, share in row:
            room = wide * share / whole
            words = printable(value, title.lower())
            size = size_to_fit(words, room - 2.0 * _PAD, 11.0, SMALLEST_TYPE, bold=True)
            shown = cut_to_fit(words, room - 2.0 * _PAD, size, bold=True)
            items.append(Text(title, (left + _PAD, level + 6.2)))
            items.append(Text(shown, (left + _PAD, level + 1.5), size, bold=True))
            if left:
                items.append(line((left, level), (left, level + _CELL_ROW), Pen.FRAME))
            left += room
        level += _CELL_ROW
        items.append(line((0.0, level), (wide, level), Pen.FRAME))
    said = f"scale {scale}"
    scale_width = width(said, _LARGE, bold=True)
    name = printable(f"{label.part}, {label.view}", "part name")
    room = wide - scale_width - 4.0 * _PAD
    size = size_to_fit(name, room, _LARGE, SMALLEST_TYPE, bold=True)
    base = level + DESCENT * _LARGE * POINT + 1.0
    items.append(Text(cut_to_fit(name, room, size, bold=True), (_PAD, base), size, bold=True))
    items.append(Text(said, (wide - _PAD - scale_width, base), _LARGE, bold=True))
    items.append(rectangle(Box(0.0, 0.0, wide, level + _NAME_ROW), Pen.FRAME))
    return items, level + _NAME_ROW


def _stamp(failed: Sequence[str], whole: Box) -> tuple[list[Item], float]:
    """The names of failed checks at the top of the area; the items and the height that they take [mm]."""
    if not failed:
        return [], 0.0
    words = printable(f"CHECK FAILED: {', '.join(failed)}", "failed check")
    lines = wrap(words, whole.right - 6.0, _STAMP_SIZE, bold=True)
    if len(lines) > _STAMP_LINES:
        lines = (*lines[: _STAMP_LINES - 1], f"and more: {len(failed)} checks failed in all")
    step = _STAMP_SIZE * LEADING * POINT
    deep = len(lines) * step + 4.0
    items: list[Item] = [
        centred(text, (whole.right / 2.0, whole.high - 2.0 - step * (row + 0.5)), _STAMP_SIZE, bold=True)
        for row, text in enumerate(lines)
    ]
    items.append(rectangle(Box(0.5, whole.high - deep + 0.5, whole.right - 0.5, whole.high - 0.5), Pen.HEAVY_FRAME))
    return items, deep + _GAP
