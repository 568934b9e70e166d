"""The blocks of a book as flowables of reportlab: words, tables, boxes to tick, lines to write on, pictures."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, assert_never
from xml.sax.saxutils import escape

from ..sheets.blocks import (
    Blanks,
    Block,
    Bullets,
    Cell,
    Drawing,
    DrawnPage,
    Figures,
    Heading,
    NewPage,
    Picture,
    SheetPage,
    SideBySide,
    Table,
    Together,
    Words,
)
from ..sheets.letters import POINT, plain, size_to_fit, width
from .pdf import FONTS, PageArt

BODY, SMALL, LARGE, LABEL = 9.5, 9.0, 14.0, 9.0
"""Sizes of type [pt]: nothing that a builder reads at the bench is smaller than 9."""

_HEADINGS = {1: (18.0, 0.0, 9.0), 2: (13.0, 11.0, 5.0), 3: (10.5, 8.0, 3.0)}
"""Size of a heading by its level, and the room before and after it [pt]."""

_LEADING = 1.28
_PAD = 1.1
"""Room beside and over the words of a cell [mm]."""
_GUTTER = 5.0
_CELL_PAD = 1.8
_BOX = 3.4
"""Side of a box to tick [mm]."""
_GREY = 0.90
_SPELLED = {ord(sign): words for sign, words in (("≥", ">="), ("≤", "<="), ("−", "-"), ("→", "->"), ("α", "alpha"))}
_RULE = 0.13


@dataclass(frozen=True, slots=True)
class Flow:
    """A flowable and the block that it is of."""

    flowable: Any
    block: Block


def flows(block: Block, wide: float, canvas: Any) -> list[Flow]:  # noqa: ANN401  reportlab has no types
    """A block as flowables.

    Args:
        block: what is to be laid out; not a page of its own.
        wide: width of the text [pt].
        canvas: what it will be drawn on.
    """
    return [Flow(flowable, one) for one, flowable in _flowables(block, wide, canvas)]


def _flowables(block: Block, wide: float, canvas: Any) -> Iterator[tuple[Block, Any]]:  # noqa: ANN401
    match block:
        case Heading():
            yield block, _heading(block)
        case Words():
            yield block, _words(block, wide)
        case Bullets():
            for number, text in enumerate(block.texts, 1):
                yield block, _bullet(text, block.mark, number)
        case Picture() | Drawing():
            for part in _figure(block, wide):
                yield block, part
        case Table():
            yield block, _table(block, wide)
        case Figures():
            yield block, _figures(block, wide)
        case Blanks():
            yield block, _blanks(block, wide)
        case Together():
            for one in block.blocks:
                yield from _flowables(one, wide, canvas)
        case SideBySide():
            yield block, _side_by_side(block, wide, canvas)
        case NewPage() | SheetPage() | DrawnPage():
            raise TypeError("a page of its own is no part of a page of text")
        case _:
            assert_never(block)


def spelled(words: str) -> str:
    """Words with the signs spelled out that the type has not."""
    return words.translate(_SPELLED)


def _style(size: float, bold: bool = False, **more: Any) -> Any:  # noqa: ANN401
    from reportlab.lib.styles import ParagraphStyle

    name = FONTS[bold][0]
    return ParagraphStyle(name, fontName=name, fontSize=size, leading=_LEADING * size, splitLongWords=1, **more)


def _paragraph(text: str, style: Any) -> Any:  # noqa: ANN401
    from reportlab.platypus import Paragraph

    return Paragraph("<br/>".join(escape(plain(spelled(line))) for line in text.split("\n")), style)


def _heading(block: Heading) -> Any:  # noqa: ANN401
    size, before, after = _HEADINGS[block.level]
    return _paragraph(block.text, _style(size, bold=True, spaceBefore=before, spaceAfter=after))


def _words(block: Words, wide: float) -> Any:  # noqa: ANN401
    match block.style:
        case "body":
            return _paragraph(block.text, _style(BODY, spaceAfter=4.0))
        case "small":
            return _paragraph(block.text, _style(SMALL, spaceAfter=3.0))
        case "strong":
            return _paragraph(block.text, _style(BODY, bold=True, spaceAfter=4.0))
        case "large":
            return _paragraph(block.text, _style(LARGE, bold=True, spaceAfter=5.0))
        case "caution":
            inside = _paragraph(block.text, _style(BODY, bold=True))
            frame = [("BOX", (0, 0), (-1, -1), 0.6 / POINT, _black())]
            return _grid([[inside]], [wide], frame, 2.0)
        case _:
            assert_never(block.style)


def _black() -> Any:  # noqa: ANN401
    from reportlab.lib.colors import black

    return black


def _grid(
    rows: Sequence[Sequence[Any]],
    widths: Sequence[float],
    more: Sequence[Any],
    pad: float = _PAD,
    heights: Sequence[float | None] | None = None,
    heads: int = 0,
) -> Any:  # noqa: ANN401
    from reportlab.platypus import Table as Grid

    style = [
        ("FONTNAME", (0, 0), (-1, -1), FONTS[False][0]),  # also of empty cells, or another type is named in the file
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), pad / POINT),
        ("RIGHTPADDING", (0, 0), (-1, -1), pad / POINT),
        ("TOPPADDING", (0, 0), (-1, -1), pad / POINT),
        ("BOTTOMPADDING", (0, 0), (-1, -1), pad / POINT),
        *more,
    ]
    return Grid(
        rows,
        colWidths=widths,
        rowHeights=heights,
        repeatRows=heads,
        style=style,
        spaceBefore=3.0,
        spaceAfter=7.0,
        hAlign="LEFT",
    )


def _bullet(text: str, mark: str, number: int) -> Any:  # noqa: ANN401
    from reportlab.platypus import Flowable

    class _Marked(Flowable):  # type: ignore[misc]  # reportlab has no types
        """A paragraph with its mark; a box is drawn, because no type has one that prints everywhere."""

        def __init__(self) -> None:
            super().__init__()
            self.spaceAfter = 3.0
            self._indent = (_BOX + 2.2) / POINT if mark == "box" else 5.0 / POINT
            self._inside = _paragraph(text, _style(BODY))

        def wrap(self, wide: float, high: float) -> tuple[float, float]:
            _, self.height = self._inside.wrap(wide - self._indent, high)
            return wide, self.height

        def draw(self) -> None:
            self._inside.drawOn(self.canv, self._indent, 0.0)
            top = self.height - _LEADING * BODY
            if mark == "box":
                side = _BOX / POINT
                self.canv.setLineWidth(0.25 / POINT)
                self.canv.rect(0.0, top + 0.5, side, side, stroke=1, fill=0)
            else:
                self.canv.setFont(FONTS[False][0], BODY)
                self.canv.drawString(0.0, top + 0.26 * BODY, f"{number}." if mark == "number" else "–")

    return _Marked()


def _art(items: Any, wide: float, high: float) -> Any:  # noqa: ANN401
    from reportlab.platypus import Flowable

    class _Art(Flowable):  # type: ignore[misc]  # reportlab has no types
        """Items of a sheet at true size."""

        def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
            return wide, high

        def draw(self) -> None:
            self.canv.saveState()
            PageArt(self.canv).items(items)
            self.canv.restoreState()

    return _Art()


def _one(cell: Picture | Drawing, wide: float) -> Any:  # noqa: ANN401
    from reportlab.platypus import Image

    if isinstance(cell, Drawing):
        return _art(cell.items, cell.width / POINT, cell.height / POINT)
    # Its bytes and not its path: reportlab names a picture by its path, which differs from run to run.
    content = io.BytesIO(cell.path.read_bytes())
    return Image(content, min(cell.width / POINT, wide), cell.height / POINT, kind="proportional")


def _figure(block: Picture | Drawing, wide: float) -> Iterator[Any]:
    found = _one(block, wide)
    found.hAlign = "LEFT"
    yield found
    if block.words:
        yield _paragraph(block.words, _style(SMALL, spaceBefore=2.0, spaceAfter=6.0))


def _table(block: Table, wide: float) -> Any:  # noqa: ANN401
    from reportlab.lib.colors import Color

    widths = _shared(block, wide)
    body = [
        [_cell(cell, index, block, row, widths[index]) for index, cell in enumerate(cells)]
        for row, cells in enumerate(block.rows)
    ]
    more: list[Any] = [("LINEBELOW", (0, 0), (-1, -1), _RULE / POINT, _black())]
    if block.head:
        bold = [
            _paragraph(text, _style(SMALL, bold=True, alignment=2 if i in block.right else 0))
            for i, text in enumerate(block.head)
        ]
        body = [bold, *body]
        more += [
            ("BACKGROUND", (0, 0), (-1, 0), Color(_GREY, _GREY, _GREY)),
            ("LINEABOVE", (0, 0), (-1, 0), 0.35 / POINT, _black()),
            ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ]
    heights = [None] * bool(block.head) + [_row_height(row, widths, block.high) for row in body[bool(block.head) :]]
    return _grid(body, widths, more, heights=heights if block.high else None, heads=int(bool(block.head)))


def _row_height(row: Sequence[Any], widths: Sequence[float], least: float) -> float:
    """Height of a row [pt]: what its words need, and no less than is asked for [mm]."""
    needed = [cell.wrap(wide - 2.0 * _PAD / POINT, 1e6)[1] for cell, wide in zip(row, widths, strict=True)]
    return float(max(least / POINT, max(needed) + 2.0 * _PAD / POINT))


def _cell(cell: Cell, index: int, block: Table, row: int, wide: float) -> Any:  # noqa: ANN401
    if isinstance(cell, str):
        return _paragraph(cell, _style(SMALL, bold=row in block.strong, alignment=2 if index in block.right else 0))
    return _one(cell, wide - 2.0 * _PAD / POINT)


def _shared(block: Table, wide: float) -> list[float]:
    """Widths of the columns [pt]: as stated, or what each needs, and the rest to those that would run over."""
    if block.shares:
        whole = sum(block.shares)
        return [wide * share / whole for share in block.shares]
    columns = list(zip(*(((block.head,) if block.head else ()) + block.rows), strict=True))
    longest = [max(_natural(cell) for cell in column) for column in columns]
    least = [max(_narrowest(cell) for cell in column) for column in columns]
    if sum(longest) <= wide:
        spare = (wide - sum(longest)) / len(longest)
        return [one + spare for one in longest]
    room = wide - sum(least)
    if room <= 0.0:
        return [wide * one / sum(least) for one in least]
    wanted = [max(0.0, one - low) for one, low in zip(longest, least, strict=True)]
    # The root keeps one long sentence from taking the room of all the other columns.
    roots = [one**0.5 for one in wanted]
    return [low + room * root / (sum(roots) or 1.0) for low, root in zip(least, roots, strict=True)]


def _natural(cell: Cell) -> float:
    if not isinstance(cell, str):
        return (cell.width + 2.0 * _PAD) / POINT
    lines = plain(cell).split("\n")
    return (max(width(line, SMALL, bold=True) for line in lines) + 2.0 * _PAD + 0.3) / POINT


def _narrowest(cell: Cell) -> float:
    if not isinstance(cell, str):
        return (cell.width + 2.0 * _PAD) / POINT
    words = plain(cell).split() or [""]
    return (min(max(width(word, SMALL, bold=True) for word in words), 45.0) + 2.0 * _PAD + 0.3) / POINT


def _figures(block: Figures, wide: float) -> Any:  # noqa: ANN401
    columns = block.columns
    room = wide * POINT / columns - 2.0 * _CELL_PAD
    sizes = [size_to_fit(plain(spelled(value)), room, LARGE, BODY, bold=True) for _, value in block.cells]
    # All in the size of the longest: figures of one grid that differ in size would look as if they differed in weight.
    cells: list[Any] = [
        [_paragraph(label, _style(LABEL)), _paragraph(value, _style(min(sizes), bold=True))]
        for label, value in block.cells
    ]
    cells += [""] * (-len(cells) % columns)
    rows = [cells[index : index + columns] for index in range(0, len(cells), columns)]
    return _grid(
        rows,
        [wide / columns] * columns,
        [("INNERGRID", (0, 0), (-1, -1), _RULE / POINT, _black()), ("BOX", (0, 0), (-1, -1), 0.35 / POINT, _black())],
        1.8,
    )


def _blanks(block: Blanks, wide: float) -> Any:  # noqa: ANN401
    columns = block.columns
    cells: list[Any] = [_paragraph(label, _style(SMALL)) for label in block.labels]
    cells += [""] * (-len(cells) % columns)
    rows = [cells[index : index + columns] for index in range(0, len(cells), columns)]
    lines = [("LINEBELOW", (0, 0), (-1, -1), _RULE / POINT, _black()), ("VALIGN", (0, 0), (-1, -1), "BOTTOM")]
    return _grid(rows, [wide / columns] * columns, lines, heights=[block.high / POINT] * len(rows))


def _side_by_side(block: SideBySide, wide: float, canvas: Any) -> Any:  # noqa: ANN401
    gutter = _GUTTER / POINT
    left = (wide - gutter) * block.share
    right = wide - gutter - left
    stacks = [
        [flowable for one in some for _, flowable in _flowables(one, room, canvas)]
        for some, room in ((block.left, left), (block.right, right))
    ]
    return _grid([[stacks[0], "", stacks[1]]], [left, gutter, right], [], 0.0)
