"""A book as one PDF: pages of text and tables, with templates and drawings at true size between them.

The layout of words and tables is reportlab's; the pages are broken here, because a page of text and a sheet that is
measured stand side by side in one file, and both must come out the same every time.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..errors import WriteError
from ..sheets.blocks import Block, Book, DrawnPage, Heading, NewPage, SheetPage, Together
from ..sheets.letters import POINT, cut_to_fit, plain, size_to_fit, width
from ..sheets.paper import Paper
from ..sheets.sheet import Sheet
from .book_blocks import Flow, flows, spelled
from .files import replace
from .pdf import FONTS, PageArt, hold_to_sheet, new_canvas, page_size

MARGIN = 15.0
"""Room beside, above and below the text [mm]."""

NARROW = 9.0
"""The same on paper smaller than A4 [mm], which is carried in a pocket and not filed."""

_SMALL_PAPER = 200.0
"""Paper narrower than this [mm] has the narrow margin."""

_SMALLEST_FOOT = 5.0
"""The same on narrow paper [pt], where its caution counts for more than its size."""

_FOOT_LINE, _FOOT_ROOM = 3.6, 6.0
"""From the foot's own words up to the line over them, and to the text [mm]."""

_FOOT_SIZE = 7.5
"""Type of the foot [pt]: it says which file a page is of, and is read with the page in the hand."""

_EDGE = 5.0
"""From the lower edge of a page that a sheet fills to its foot [mm]: below all that the sheet draws."""

_STAMP = 7.0
"""Room for the stamp above the text [mm]."""

_STAMP_SIZE = 11.0

_AFTER_HEADING = 22.0
"""What must still find room under a heading [mm], or it goes to the next page."""


@dataclass(frozen=True, slots=True)
class BookProof:
    """What was found in a book that was read back.

    Attributes:
        pages: number of pages.
        outline: titles in its outline, in order.
        sheets: number of pages at true size whose check bars were measured.
    """

    pages: int
    outline: tuple[str, ...]
    sheets: int


def margin_of(paper: Paper) -> float:
    """Room beside, above and below the text on a paper [mm]."""
    return MARGIN if paper.width >= _SMALL_PAPER else NARROW


def write_book(path: Path, book: Book) -> BookProof:
    """Write a book, read the file back, and only then put it in place.

    Args:
        path: the file.
        book: what it holds.

    Raises:
        WriteError: the file cannot be written, a block does not fit a page, or the file does not read back with its
            pages, its outline and the check bars of its sheets.
    """
    # Once to know how many pages there are, for the foot of each.
    pages = _Layout(book, io.BytesIO(), 0).run().number
    found: list[BookProof] = []

    def draw(target: Path) -> None:
        laid = _Layout(book, str(target), pages).run()
        found.append(BookProof(laid.number, tuple(laid.outline), len(laid.sheets)))
        sheets.extend(laid.sheets)

    sheets: list[tuple[int, Sheet]] = []
    replace(path, draw, lambda target: _read_back(target, found[-1], sheets, path.name))
    return found[-1]


class _Layout:
    """Lays a book out on a canvas, page by page."""

    def __init__(self, book: Book, target: Any, pages: int) -> None:  # noqa: ANN401  a name or a stream
        self._book, self._pages, self._paper = book, pages, book.paper
        self._canvas = new_canvas(target, page_size(book.paper), plain(book.title))
        self._frame: Any = None
        self._level = -1
        self.number = 0
        self.outline: list[str] = []
        self.sheets: list[tuple[int, Sheet]] = []

    def run(self) -> _Layout:
        """Everything, from the first page to the last."""
        for block in self._book.blocks:
            self._block(block)
        self._end()
        self._canvas.save()
        return self

    # --- pages --------------------------------------------------------------------------------------------------------

    def _begin(self) -> None:
        """A page of text, unless one is open."""
        from reportlab.platypus import Frame

        if self._frame is not None:
            return
        self.number += 1
        paper, margin = self._paper, margin_of(self._paper)
        self._canvas.setPageSize(page_size(paper))
        top = _STAMP if self._book.stamp else 0.0
        self._frame = Frame(
            margin / POINT,
            (margin + _FOOT_ROOM) / POINT,
            (paper.width - 2.0 * margin) / POINT,
            (paper.height - 2.0 * margin - _FOOT_ROOM - top) / POINT,
            leftPadding=0,
            rightPadding=0,
            topPadding=0,
            bottomPadding=0,
        )
        self._furniture()

    def _furniture(self) -> None:
        canvas, paper, book, margin = self._canvas, self._paper, self._book, margin_of(self._paper)
        canvas.setLineWidth(0.18 / POINT)
        rule = (margin + _FOOT_LINE) / POINT
        canvas.line(margin / POINT, rule, (paper.width - margin) / POINT, rule)
        self._foot(paper.width, margin, margin)
        if book.stamp:
            canvas.setFont(FONTS[True][0], _STAMP_SIZE)
            words = cut_to_fit(plain(spelled(book.stamp)), paper.width - 2.0 * margin, _STAMP_SIZE, bold=True)
            canvas.drawString(margin / POINT, (paper.height - margin - 4.0) / POINT, words)

    def _foot(self, wide: float, margin: float, low: float) -> None:
        """What every page says at its foot: which design, in which state, and which page of how many."""
        canvas, page = self._canvas, f"page {self.number} of {self._pages}"
        canvas.setFont(FONTS[False][0], _FOOT_SIZE)
        canvas.drawRightString((wide - margin) / POINT, low / POINT, page)
        room, foot = wide - 2.0 * margin - width(page, _FOOT_SIZE) - 5.0, plain(spelled(self._book.foot))
        size = size_to_fit(foot, room, _FOOT_SIZE, _SMALLEST_FOOT)
        canvas.setFont(FONTS[False][0], size)
        words = cut_to_fit(foot, room, size)
        canvas.drawString(margin / POINT, low / POINT, words)

    def _end(self) -> None:
        if self._frame is not None:
            self._canvas.showPage()
            self._frame = None

    # --- what stands on them ------------------------------------------------------------------------------------------

    def _block(self, block: Block) -> None:
        match block:
            case SheetPage():
                self._sheet(block)
            case DrawnPage():
                self._drawn(block)
            case NewPage():
                self._end()
                self._paper = block.paper or self._paper
            case Heading(level=1):
                self._end()
                self._place(block)
            case _:
                self._place(block)

    def _sheet(self, page: SheetPage) -> None:
        def draw() -> None:
            PageArt(self._canvas).draw(page.sheet)

        self._alone(page.sheet.title if page.level else "", page_size(page.sheet.paper), draw)
        self.sheets.append((self.number, page.sheet))

    def _drawn(self, page: DrawnPage) -> None:
        def draw() -> None:
            from reportlab.lib.utils import ImageReader

            for path, box in page.pictures:
                left, low, right, high = (edge / POINT for edge in box)
                content = ImageReader(io.BytesIO(path.read_bytes()))
                self._canvas.drawImage(content, left, low, right - left, high - low)
            PageArt(self._canvas).items(page.items)

        self._alone(page.title, (page.width / POINT, page.height / POINT), draw)

    def _alone(self, title: str, size: tuple[float, float], draw: Callable[[], None]) -> None:
        self._end()
        self.number += 1
        self._canvas.setPageSize(size)
        if title:
            self._listed(title, 1)
        self._canvas.saveState()
        draw()
        self._canvas.restoreState()
        self._foot(size[0] * POINT, MARGIN, _EDGE)
        self._canvas.showPage()

    def _listed(self, title: str, level: int) -> None:
        """Into the outline; a viewer refuses a level that skips one."""
        level = min(level, self._level + 1)
        self._level = level
        key = f"place-{len(self.outline) + 1}"
        self._canvas.bookmarkPage(key)
        self._canvas.addOutlineEntry(plain(spelled(title)), key, level)
        self.outline.append(plain(spelled(title)))

    def _place(self, block: Block) -> None:
        self._begin()
        found = flows(block, (self._paper.width - 2.0 * margin_of(self._paper)) / POINT, self._canvas)
        if isinstance(block, Together) or getattr(block, "whole", False):
            needed = sum(self._height(flow) for flow in found)
            if needed > self._left() and needed <= self._whole():
                self._end()
                self._begin()
        for flow in found:
            if isinstance(flow.block, Heading):
                if self._height(flow) + _AFTER_HEADING / POINT > self._left():
                    self._end()
                    self._begin()
                if flow.block.level < 3:
                    self._listed(flow.block.text, flow.block.level - 1)
            self._add(flow.flowable)

    def _add(self, flowable: Any) -> None:  # noqa: ANN401  reportlab has no types
        waiting = [flowable]
        while waiting:
            first = waiting.pop(0)
            if self._frame.add(first, self._canvas):
                continue
            parts = self._frame.split(first, self._canvas)
            if len(parts) > 1:
                if not self._frame.add(parts[0], self._canvas):
                    raise WriteError(f"{self._book.title}: a part of a block does not fit its page")
                waiting = [*parts[1:], *waiting]
                self._next()
                continue
            if self._frame._atTop:
                raise WriteError(f"{self._book.title}: a block does not fit a page of {self._paper.words}")
            waiting.insert(0, first)
            self._next()

    def _next(self) -> None:
        self._end()
        self._begin()

    def _left(self) -> float:
        return float(self._frame._y - self._frame._y1p)

    def _whole(self) -> float:
        return float(self._frame._height)

    def _height(self, flow: Flow) -> float:
        _, high = flow.flowable.wrap(self._frame._width, self._whole())
        return float(high) + float(flow.flowable.getSpaceBefore()) + float(flow.flowable.getSpaceAfter())


def _read_back(path: Path, proof: BookProof, sheets: Sequence[tuple[int, Sheet]], name: str) -> None:
    from pypdf import PdfReader
    from pypdf.errors import PyPdfError

    try:
        reader = PdfReader(path)
        pages = list(reader.pages)
        outline = _titles(reader.outline)
    except (PyPdfError, ValueError, KeyError) as error:
        raise WriteError(f"{name} does not read back as a PDF: {error}") from None
    if len(pages) != proof.pages:
        raise WriteError(f"{name} reads back with {len(pages)} pages instead of {proof.pages}")
    if outline != list(proof.outline):
        raise WriteError(f"{name} reads back with another outline than was written")
    for number, sheet in sheets:
        hold_to_sheet(pages[number - 1], reader, sheet, f"{name}: page {number}")


def _titles(outline: Any) -> list[str]:  # noqa: ANN401  pypdf gives lists in lists
    found: list[str] = []
    for one in outline:
        if isinstance(one, list):
            found += _titles(one)
        else:
            found.append(str(one.title))
    return found
