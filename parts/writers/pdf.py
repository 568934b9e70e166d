"""Sheets as a PDF that prints at 1:1: same bytes every time, the viewer asked for 100 %, its own type embedded."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

from ..curve import Line, Piece, Point
from ..errors import WriteError
from ..marks import Pen
from ..sheets.letters import POINT
from ..sheets.paper import Paper
from ..sheets.sheet import DASHES, WIDTHS, CutLine, Item, Sheet, Solid, Text, Trace
from .cubic import cubics
from .files import replace

FONTS = {False: ("Vera", "Vera.ttf"), True: ("VeraBd", "VeraBd.ttf")}
"""Name and file of the type, regular and bold."""

_PAGE_TOLERANCE = 0.01
_BAR_TOLERANCE = 0.001


def write_pdf(path: Path, sheets: Sequence[Sheet], title: str) -> None:
    """Write sheets, read the file back, and only then put it in place.

    Args:
        path: the file.
        sheets: its pages.
        title: title of the document.

    Raises:
        WriteError: the file cannot be written, or does not read back with its pages and check bars.
    """
    replace(path, lambda target: _draw(target, sheets, title), lambda target: read_back(target, sheets, path.name))


def _draw(path: Path, sheets: Sequence[Sheet], title: str) -> None:
    canvas = new_canvas(str(path), page_size(sheets[0].paper), title)
    for number, sheet in enumerate(sheets, 1):
        canvas.setPageSize(page_size(sheet.paper))
        canvas.bookmarkPage(f"sheet-{number}")
        canvas.addOutlineEntry(sheet.title, f"sheet-{number}", 0)
        PageArt(canvas).draw(sheet)
        canvas.showPage()
    canvas.save()


def new_canvas(target: Any, size: Point, title: str) -> Any:  # noqa: ANN401  reportlab has no types
    """A canvas that gives the same bytes every time, asks viewers for 100 % and embeds the type of the sheets.

    Args:
        target: the file's name, or a stream.
        size: width and height of its first page [pt].
        title: title of the document.
    """
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    for name, file in FONTS.values():
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, _font_file(file)))
    canvas = Canvas(
        target,
        pagesize=size,
        pageCompression=1,
        invariant=1,
        pdfVersion=(1, 7),
        initialFontName=FONTS[False][0],
        lang="en",
    )
    canvas.setTitle(title)
    _title_only(canvas)
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    return canvas


def _font_file(name: str) -> str:
    import reportlab

    return str(Path(reportlab.__file__).parent / "fonts" / name)


def _title_only(canvas: Any) -> None:  # noqa: ANN401  reportlab has no types
    """Leave out author, subject and dates: reportlab would write that the file is of 2000 and anonymous."""
    from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFString

    info = canvas._doc.info
    entries = {"Title": PDFString(info.title), "Producer": PDFString("ferrule")}
    info.format = PDFDictionary(entries).format


def page_size(paper: Paper) -> Point:
    """Width and height of a page [pt]."""
    return paper.width / POINT, paper.height / POINT


class PageArt:
    """Draws items on one page of a canvas, in black."""

    def __init__(self, canvas: Any) -> None:  # noqa: ANN401  reportlab has no types
        self._canvas = canvas
        self._corner = (0.0, 0.0)

    def items(self, some: Iterable[Item]) -> None:
        """Draw items whose origin is that of the canvas."""
        for item in some:
            self._item(item)

    def draw(self, sheet: Sheet) -> None:
        """Draw all that a sheet holds; the canvas stays moved to the sheet's own scale."""
        (left, low), (across, up) = sheet.paper.corner, sheet.paper.scale
        if (across, up) != (1.0, 1.0):
            # Everything is scaled, type and lines as well: it is what this printer scales back.
            self._canvas.transform(across, 0.0, 0.0, up, 0.0, 0.0)
        self._corner = (left / across, low / up)
        self._canvas.saveState()
        window = self._canvas.beginPath()
        box = sheet.window
        self._path(window, ((box.left, box.low), (box.right, box.low), (box.right, box.high), (box.left, box.high)))
        self._canvas.clipPath(window, stroke=0, fill=0)
        for item in sheet.art:
            self._item(item)
        self._canvas.restoreState()
        for item in (*(Trace((bar,), Pen.BAR) for bar in sheet.bars), *sheet.furniture):
            self._item(item)

    def _item(self, item: Item) -> None:
        if isinstance(item, CutLine):
            self._cut_line(item)
        elif isinstance(item, Trace):
            self._pen(item.pen)
            path = self._canvas.beginPath()
            self._run(path, item.pieces)
            self._canvas.drawPath(path, stroke=1, fill=0)
        elif isinstance(item, Solid):
            path = self._canvas.beginPath()
            self._path(path, item.corners)
            self._canvas.drawPath(path, stroke=0, fill=1)
        else:
            self._text(item)

    def _cut_line(self, item: CutLine) -> None:
        """A line twice as wide, clipped to the part: what is left lies on the part, its outer edge on the size."""
        canvas = self._canvas
        canvas.saveState()
        self._pen(Pen.CUT, 2.0)
        path = canvas.beginPath()
        for loop in item.outline.loops:
            self._run(path, tuple(edge.piece for edge in loop))
            path.close()
        # A clip holds from the next path on, so the path is drawn once to clip and once to be seen.
        canvas.clipPath(path, stroke=0, fill=0, fillMode=0)
        canvas.drawPath(path, stroke=1, fill=0)
        canvas.restoreState()

    def _text(self, text: Text) -> None:
        canvas = self._canvas
        x, y = self._at(text.position)
        c, s = math.cos(text.turn), math.sin(text.turn)
        words = canvas.beginText()
        words.setFont(FONTS[text.bold][0], text.size)
        words.setTextTransform(c, s, -s, c, x, y)
        words.textOut(text.words)
        canvas.drawText(words)

    def _pen(self, pen: Pen, times: float = 1.0) -> None:
        self._canvas.setLineWidth(WIDTHS[pen] * times / POINT)
        self._canvas.setDash([length / POINT for length in DASHES.get(pen, ())])
        self._canvas.setLineJoin(0)
        self._canvas.setLineCap(0)

    def _run(self, path: Any, pieces: Sequence[Piece]) -> None:  # noqa: ANN401  reportlab has no types
        path.moveTo(*self._at(pieces[0].start))
        for piece in pieces:
            if isinstance(piece, Line):
                path.lineTo(*self._at(piece.end))
                continue
            for _, first, last, end in cubics(piece):
                path.curveTo(*self._at(first), *self._at(last), *self._at(end))

    def _path(self, path: Any, corners: Sequence[Point]) -> None:  # noqa: ANN401  reportlab has no types
        path.moveTo(*self._at(corners[0]))
        for corner in corners[1:]:
            path.lineTo(*self._at(corner))
        path.close()

    def _at(self, point: Point) -> Point:
        return (point[0] + self._corner[0]) / POINT, (point[1] + self._corner[1]) / POINT


def read_back(path: Path, sheets: Sequence[Sheet], name: str) -> None:
    """Hold the written file to its pages, their size and their check bars.

    Args:
        path: where the file is now.
        sheets: what it should hold.
        name: what messages call it.

    Raises:
        WriteError: something is missing.
    """
    from pypdf import PdfReader
    from pypdf.errors import PyPdfError

    try:
        reader = PdfReader(path)
        pages = list(reader.pages)
        found = [_laid_out(page, reader) for page in pages]
    except (PyPdfError, ValueError, KeyError) as error:
        raise WriteError(f"{name} does not read back as a PDF: {error}") from None
    if len(found) != len(sheets):
        raise WriteError(f"{name} reads back with {len(found)} pages instead of {len(sheets)}")
    for number, (page, sheet) in enumerate(zip(found, sheets, strict=True), 1):
        _hold(page, sheet, f"{name}: page {number}")


def hold_to_sheet(page: Any, reader: Any, sheet: Sheet, name: str) -> None:  # noqa: ANN401  pypdf's own types
    """Hold one page of a file that was read to the size and the check bars of its sheet.

    Args:
        page: the page, as pypdf gives it.
        reader: the reader that it is of.
        sheet: what it should be.
        name: what messages call the page.

    Raises:
        WriteError: its size is another, or a bar is missing.
    """
    _hold(_laid_out(page, reader), sheet, name)


_LaidOut: TypeAlias = tuple[float, float, list[tuple[Point, Point]]]
"""Width and height of a page and its straight lines [pt]."""


def _laid_out(page: Any, reader: Any) -> _LaidOut:  # noqa: ANN401  pypdf's own types are not needed
    return float(page.mediabox.width), float(page.mediabox.height), _straight(page, reader)


def _hold(page: _LaidOut, sheet: Sheet, name: str) -> None:
    wide, high, lines = page
    off = max(abs(wide * POINT - sheet.paper.width), abs(high * POINT - sheet.paper.height))
    if off > _PAGE_TOLERANCE:
        raise WriteError(f"{name} is off the size of {sheet.paper.name} by {off:.3f} mm")
    for bar in sheet.bars:
        if not any(_same(bar, sheet.paper, line) for line in lines):
            raise WriteError(f"{name} has no check bar of {bar.length():.1f} mm in its place")


def _same(bar: Line, paper: Paper, found: tuple[Point, Point]) -> bool:
    (left, low), (across, up) = paper.corner, paper.scale
    return all(
        math.hypot(left + point[0] * across - x * POINT, low + point[1] * up - y * POINT) <= _BAR_TOLERANCE
        for point, (x, y) in zip((bar.start, bar.end), found, strict=True)
    )


def _straight(page: Any, reader: Any) -> list[tuple[Point, Point]]:  # noqa: ANN401  pypdf's own types are not needed
    """Every path of a page that is one straight line, by its ends [pt] where the page has them."""
    from pypdf.generic import ContentStream

    lines: list[tuple[Point, Point]] = []
    path: list[Point] = []
    axes = _Axes()
    saved: list[_Axes] = []
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        if operator in (b"m", b"l"):
            path.append(axes.at(float(operands[0]), float(operands[1])))
        elif operator == b"S" and len(path) == 2:
            lines.append((path[0], path[1]))
        elif operator == b"cm":
            axes = axes.then([float(number) for number in operands])
        elif operator == b"q":
            saved.append(axes)
        elif operator == b"Q":
            axes = saved.pop()
        if operator in (b"S", b"f", b"n", b"B", b"c"):
            path = []
    return lines


@dataclass(frozen=True, slots=True)
class _Axes:
    """Where the numbers of a page lie on it: the matrix a b c d e f of ISO 32000-1, 8.3.3."""

    matrix: tuple[float, ...] = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

    def at(self, x: float, y: float) -> Point:
        """A point of the page [pt]."""
        a, b, c, d, e, f = self.matrix
        return (a * x + c * y + e, b * x + d * y + f)

    def then(self, other: Sequence[float]) -> _Axes:
        """The axes after another matrix has been put before this one."""
        a, b, c, d, e, f = other
        (x0, y0), (x1, y1), (x2, y2) = self.at(0.0, 0.0), self.at(a, b), self.at(c, d)
        return _Axes((x1 - x0, y1 - y0, x2 - x0, y2 - y0, *self.at(e, f)))
