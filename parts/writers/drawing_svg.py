"""A sheet as an SVG picture in true millimetres: the whole page, as the PDF has it."""

from __future__ import annotations

from pathlib import Path

from ..marks import Pen
from ..sheets.sheet import Item, Sheet, Trace
from .svg import write_drawing_svg


def on_page(sheet: Sheet) -> tuple[Item, ...]:
    """Everything on a sheet, check bars as well, in [mm] from the lower left corner of the page."""
    bars = tuple(Trace((bar,), Pen.BAR) for bar in sheet.bars)
    dx, dy = sheet.paper.corner
    return tuple(item.placed(dx, dy) for item in (*bars, *sheet.art, *sheet.furniture))


def write_sheet_svg(path: Path, sheet: Sheet, title: str) -> None:
    """Write one sheet, read the file back, and only then put it in place.

    Args:
        path: the file.
        sheet: the page; nothing of its art may reach out of its window, for nothing is clipped.
        title: title of the document.

    Raises:
        PartError: a letter cannot be printed.
        WriteError: the file cannot be written, or does not read back with every item.
    """
    write_drawing_svg(path, on_page(sheet), sheet.paper.width, sheet.paper.height, title)
