"""The title block at the foot of every sheet: what the part is, from which design, how to read the lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..curve import Point
from ..errors import PartError
from ..marks import SMALLEST_TYPE, Pen
from ..quantity import inches_64, millimetres
from .drawing import HATCH, measured
from .hatch import followed, hatched
from .letters import DESCENT, LEADING, POINT, cut_to_fit, printable, size_to_fit, width
from .marks import CAUTIONS, paragraph
from .paper import AREA_WIDTH, Paper
from .sheet import Box, Item, Text, Trace, line, rectangle

NOT_STATED = "not stated"

HIGHEST_BLOCK = 110.0
"""Highest title block [mm] that leaves room for a part: the check bars need the rest."""

READING = {
    Pen.CUT: "cut line: leave the whole line on the part; the outer edge of the line is the size",
    Pen.CENTRE_LINE: "centre line",
    Pen.REFERENCE: "reference: mark it, do not cut",
    Pen.LIMIT: "limit: bevel or rounding starts here",
    Pen.GLUE: "glue area: keep bare, no bevel, no paint",
    Pen.VIEW: "thin line: only to look at, not to be cut",
    Pen.SEAM: "seam: trim the paper here",
    Pen.DIMENSION: "dimension: mm above, inches below",
}
"""What each line of the drawing means, in the words of the sheet."""

IN_A_HOLE = " (in a hole, its inner edge)"
"""Added where the part has holes: there the waste is inside."""

_NAME_ROW = 12.5
_CELL_ROW = 10.0
_PAD = 2.0
_LARGE = 24.0
_SAMPLE = 11.0
_STRIP = 1.1
_LEGEND_WIDTH = 100.0


@dataclass(frozen=True, slots=True)
class TemplateLabel:
    """What a template says about its part.

    Attributes:
        design: name of the design.
        part: name of the part, printed large.
        quantity: how many to make [-].
        material: what to cut it from, or None: not stated.
        thickness: thickness of the sheet [mm], or None: not stated.
        thickness_measured: whether the thickness was measured; else it is nominal.
        fingerprint: printed form of the part's fingerprint.
        revision: revision or date, or None: not stated.
        notes: sentences for the bench.
        stock: what a paper that is itself the piece is made of, or glued to; stands in place of material and thickness.
        again: how sheets that are put right for a printer are asked for, in few words; None where they cannot be.

    Raises:
        PartError: the quantity is below 1.
    """

    design: str
    part: str
    quantity: int = 1
    material: str | None = None
    thickness: float | None = None
    thickness_measured: bool = False
    fingerprint: str = NOT_STATED
    revision: str | None = None
    notes: tuple[str, ...] = ()
    stock: str | None = None
    again: str | None = None

    def __post_init__(self) -> None:
        if self.quantity < 1:
            raise PartError(f"quantity: {self.quantity} must be at least 1")

    def thickness_words(self) -> str:
        """Thickness in mm and in inches, and whether it was measured."""
        if self.thickness is None:
            return NOT_STATED
        how = "measured" if self.thickness_measured else "nominal"
        return f"{millimetres(self.thickness)} ({inches_64(self.thickness)}), {how}"


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """The block as items, and its height [mm] from the foot of the area."""

    items: tuple[Item, ...]
    height: float


def title_block(
    label: TemplateLabel,
    paper: Paper,
    page: str,
    pens: Sequence[Pen],
    has_holes: bool,
    wide: float | None = None,
) -> TitleBlock:
    """Draw the title block.

    Args:
        label: what it says.
        paper: what it is printed on.
        page: which sheet of how many.
        pens: the pens that the legend explains.
        has_holes: whether the part has holes.
        wide: width of it [mm]; that of the paper's usual block if not stated.

    Raises:
        PartError: the notes leave no room for the part, or a letter cannot be printed.
    """
    wide = wide or paper.block_width
    stretch = wide / AREA_WIDTH
    middle = _LEGEND_WIDTH * stretch
    legend, legend_height = _legend(pens, has_holes, middle)
    cautions, cautions_height = _column(CAUTIONS, Box(middle + _PAD, 0.0, wide - _PAD, 0.0))
    notes, notes_height = _notes(label.notes, paper, wide)
    foot = max(legend_height, cautions_height) + 2.0
    height = foot + notes_height + 2.0 * _CELL_ROW + _NAME_ROW
    if height > HIGHEST_BLOCK:
        raise PartError(
            f"notes: they take {notes_height:.0f} mm of the template, which has room for "
            f"{HIGHEST_BLOCK - height + notes_height:.0f} mm; shorten them"
        )
    items: list[Item] = [rectangle(Box(0.0, 0.0, wide, height), Pen.FRAME)]
    items += [item.placed(0.0, foot - 1.0) for item in (*legend, *cautions)]
    items.append(line((middle, 0.0), (middle, foot), Pen.FRAME))
    items += [item.placed(0.0, foot + notes_height - 1.0) for item in notes]
    level = foot + notes_height
    if notes:
        items.append(line((0.0, foot), (wide, foot), Pen.FRAME))
    rows = (
        (
            ("Fingerprint", label.fingerprint, 44.0),
            ("Revision", label.revision or NOT_STATED, 46.0),
            ("Paper", paper.words, 60.0),
            ("Sheet", page, 40.0),
        ),
        (
            ("Design", label.design, 65.0),
            *_made_of(label),
        ),
    )
    for row in rows:
        items.append(line((0.0, level), (wide, level), Pen.FRAME))
        items += _cells(row, level, stretch)
        level += _CELL_ROW
    items.append(line((0.0, level), (wide, level), Pen.FRAME))
    items += _name(label, level, wide)
    return TitleBlock(tuple(items), height)


def _name(label: TemplateLabel, level: float, right: float) -> list[Item]:
    make = f"make {label.quantity}"
    make_width = width(make, _LARGE, bold=True)
    room = right - make_width - 4.0 * _PAD
    name = printable(label.part, "part name")
    size = size_to_fit(name, room, _LARGE, SMALLEST_TYPE, bold=True)
    base = level + DESCENT * _LARGE * POINT + 1.2
    return [
        Text(cut_to_fit(name, room, size, bold=True), (_PAD, base), size, bold=True),
        Text(make, (right - _PAD - make_width, base), _LARGE, bold=True),
    ]


def _made_of(label: TemplateLabel) -> tuple[tuple[str, str, float], ...]:
    if label.stock is not None:
        return (("Print on, or glue to", label.stock, 125.0),)
    return (("Material", label.material or NOT_STATED, 65.0), ("Thickness", label.thickness_words(), 60.0))


def _cells(row: Sequence[tuple[str, str, float]], level: float, stretch: float) -> list[Item]:
    items: list[Item] = []
    left = 0.0
    for title, value, share in row:
        wide = share * stretch
        words = printable(value, title.lower())
        room = wide - 2.0 * _PAD
        size = size_to_fit(words, room, 11.0, SMALLEST_TYPE, bold=True)
        items.append(Text(title, (left + _PAD, level + 6.2)))
        items.append(Text(cut_to_fit(words, room, size, bold=True), (left + _PAD, level + 1.5), size, bold=True))
        if left:
            items.append(line((left, level), (left, level + _CELL_ROW), Pen.FRAME))
        left += wide
    return items


def _legend(pens: Sequence[Pen], has_holes: bool, right: float) -> tuple[list[Item], float]:
    items: list[Item] = []
    used = 0.0
    for pen, words in READING.items():
        if pen not in pens:
            continue
        more = IN_A_HOLE if pen == Pen.CUT and has_holes else ""
        texts, after = paragraph(words + more, Box(_PAD + _SAMPLE + 2.0, 0.0, right - 1.0, 0.0), first=used)
        middle = -used - SMALLEST_TYPE * LEADING * POINT * 0.5
        ends = (_PAD, middle), (_PAD + _SAMPLE, middle)
        items += _sample(pen, *ends)
        items += texts
        used = after
    return items, used


def _sample(pen: Pen, start: Point, end: Point) -> tuple[Item, ...]:
    """A stroke of a pen as the drawing has it: a dimension with its heads, hatching as a strip of it."""
    if pen == Pen.DIMENSION:
        return measured(start, end, "").lines
    if pen == Pen.GLUE:
        box = Box(start[0], start[1] - _STRIP, end[0], end[1] + _STRIP)
        strip = followed(rectangle(box, pen).pieces)
        return (rectangle(box, pen), *(Trace((piece,), pen) for piece in hatched([strip], HATCH / 2.0)))
    return (line(start, end, pen),)


def _column(sentences: Sequence[str], box: Box, used: float = 0.0) -> tuple[list[Item], float]:
    items: list[Item] = []
    for sentence in sentences:
        texts, used = paragraph(sentence, box, first=used)
        items += texts
    return items, used


def _notes(notes: Sequence[str], paper: Paper, right: float) -> tuple[list[Item], float]:
    """Sentences for the bench; what the sheet was corrected for stands before them."""
    box = Box(_PAD, 0.0, right - _PAD, 0.0)
    items: list[Item] = []
    used = 0.0
    if paper.printed is not None:
        words, used = paragraph(paper.printed.sentence, box, bold=True)
        items += words
    texts, used = _column([printable(note, "notes") for note in notes], box, used)
    items += texts
    return items, used + 2.0 if items else 0.0
