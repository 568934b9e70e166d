"""PDF: pages of the size that they name, check bars measured where they are drawn, no scaling, its type inside.

ISO 32000-1: content streams in 7.8 and 8.2, matrices in 8.3, viewer preferences in 12.2, fonts in 9.9.
"""

from __future__ import annotations

import io
import itertools
import logging
import math
import re
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

from .findings import Findings, Listed, NotReadableError, plural

Point: TypeAlias = tuple[float, float]

_POINT = 25.4 / 72.0
"""One point [mm]."""

_SHEETS = {"A3": (297.0, 420.0), "A4": (210.0, 297.0), "A5": (148.0, 210.0), "US Letter": (215.9, 279.4)}
"""Sides of sheets [mm]: ISO 216, and ASME Y14.1 size A."""

_PAGE_TOLERANCE, _BAR_TOLERANCE = 0.02, 0.01
"""Largest difference of a page and of a bar from their sizes [mm]: no rule shows less."""

_BARS = (100.0, 101.6)
"""Lengths of the check bars across and up [mm]: 100 mm and 4 in."""

_BAR_WIDTH = 0.25
"""Width of the line of a bar [mm], by which it differs from other lines."""

_MOST_PAGES = 5000
_UPRIGHT = 1e-3


def prove(data: bytes, listed: Listed, found: Findings) -> None:
    """Hold a file to its pages, their sizes, their check bars and its type.

    Raises:
        NotReadableError: it is not a whole PDF.
    """
    from pypdf import PdfReader
    from pypdf.errors import PyPdfError

    logging.getLogger("pypdf").addHandler(logging.NullHandler())  # what it finds is told here, once
    try:
        reader = PdfReader(io.BytesIO(data), strict=True)
        if reader.is_encrypted:
            raise NotReadableError("it is locked with a password")
        count = len(reader.pages)
        if count > _MOST_PAGES:
            raise NotReadableError(f"it has {count} pages, more than are read")
        found.counted(listed, "pages", count, "pages")
        _scaling(reader, found)
        for number, page in enumerate(reader.pages, 1):
            _page(page, reader, f"page {number}: " if count > 1 else "", listed, found)
    except (PyPdfError, ArithmeticError, AssertionError, AttributeError, LookupError, TypeError, ValueError) as error:
        raise NotReadableError(f"not a whole PDF: {error}") from None
    except (OSError, RuntimeError, zlib.error) as error:  # nested without end, and the like
        raise NotReadableError(f"not a whole PDF: {error}") from None


def _scaling(reader: Any, found: Findings) -> None:  # noqa: ANN401  pypdf's own types are not needed
    wishes = reader.trailer["/Root"].get("/ViewerPreferences")
    asked = wishes.get_object().get("/PrintScaling") if wishes is not None else None
    found.hold(asked == "/None", "it does not ask for printing at 100 % (/PrintScaling /None)")


def _page(page: Any, reader: Any, of: str, listed: Listed, found: Findings) -> None:  # noqa: ANN401
    box = page.mediabox
    wide, high = float(box.width) * _POINT, float(box.height) * _POINT
    found.hold(float(page.get("/UserUnit", 1.0)) == 1.0, f"{of}its unit is not the point")
    _size(wide, high, of, listed, found)
    loose = sorted(_not_inside(page))
    found.hold(not loose, f"{of}the type {', '.join(loose)} is not inside the file")
    if listed.number("check_bar_mm") is not None:
        _bars(list(_lines(page, reader)), of, listed, found)


def _size(wide: float, high: float, of: str, listed: Listed, found: Findings) -> None:
    """Hold a page to the paper that the manifest names, upright or lying."""
    paper = str(listed.check.get("paper", "")).removesuffix(", lying")
    name = paper.partition(",")[0]
    size = f"{of}{wide:.1f} x {high:.1f} mm"
    if name in _SHEETS:
        off = max(abs(a - b) for a, b in zip(sorted((wide, high)), _SHEETS[name], strict=True))
        found.totals["on stated paper"] += found.hold(off <= _PAGE_TOLERANCE, f"{size} is not {name}")
    elif name == "Roll":
        across = re.match(r"Roll, ([\d.]+)", paper)
        stated = float(across[1]) if across else math.nan
        on_it = found.hold(abs(wide - stated) <= _PAGE_TOLERANCE, f"{size} is not of {paper[:40]}")
        found.totals["on stated paper"] += on_it
    elif paper:
        found.hold(False, f"the manifest names the paper {paper[:40]!r}, which is not known")


def _not_inside(page: Any) -> Iterator[str]:  # noqa: ANN401
    """Names of the type on a page that a viewer would have to find elsewhere."""
    fonts = page.get("/Resources", {}).get_object().get("/Font", {})
    for entry in fonts.get_object().values() if fonts else ():
        font = entry.get_object()
        for one in [below.get_object() for below in font.get("/DescendantFonts", ())] or [font]:
            about = one.get("/FontDescriptor")
            inside = about is not None and any(f"/FontFile{end}" in about.get_object() for end in ("", "2", "3"))
            if not inside and one.get("/Subtype") != "/Type3":
                yield str(one.get("/BaseFont", "without a name")).lstrip("/")[:40]


@dataclass(frozen=True, slots=True)
class _Pen:
    """What a line is drawn with: the matrix a b c d e f, its width in the page's own unit, whether it is dashed."""

    matrix: tuple[float, ...] = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    width: float = 1.0
    dashed: bool = False

    def at(self, x: float, y: float) -> Point:
        """A point of the page [mm]."""
        a, b, c, d, e, f = self.matrix
        return ((a * x + c * y + e) * _POINT, (b * x + d * y + f) * _POINT)

    def under(self, other: Sequence[float]) -> _Pen:
        """The pen after `cm`: the other matrix first, then the one before."""
        a, b, c, d, e, f = self.matrix
        p, q, r, s, t, u = other
        return replace(
            self,
            matrix=(a * p + c * q, b * p + d * q, a * r + c * s, b * r + d * s, a * t + c * u + e, b * t + d * u + f),
        )

    @property
    def drawn(self) -> float:
        """Width of its line [mm]."""
        a, b, c, d, *_ = self.matrix
        return self.width * math.sqrt(abs(a * d - b * c)) * _POINT


def _lines(page: Any, reader: Any) -> Iterator[tuple[Point, Point]]:  # noqa: ANN401
    """Ends [mm] of the single straight lines of a page that have the width of a check bar or nearly so."""
    from pypdf.generic import ContentStream

    pen, saved, path, curved = _Pen(), list[_Pen](), list[Point](), False
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        if operator in (b"m", b"l"):
            path.append(pen.at(float(operands[0]), float(operands[1])))
        elif operator in (b"c", b"v", b"y", b"h", b"re"):
            curved = True
        elif operator == b"w":
            pen = replace(pen, width=float(operands[0]))
        elif operator == b"d":
            pen = replace(pen, dashed=bool(operands[0]))
        elif operator == b"cm":
            pen = pen.under([float(value) for value in operands])
        elif operator == b"q":
            saved.append(pen)
        elif operator == b"Q":
            pen = saved.pop()
        elif operator in (b"S", b"s", b"f", b"F", b"f*", b"B", b"B*", b"b", b"b*", b"n"):
            is_bar = len(path) == 2 and not curved and not pen.dashed
            if operator == b"S" and is_bar and abs(pen.drawn / _BAR_WIDTH - 1.0) < 0.2:
                yield path[0], path[1]
            path, curved = [], False


def _bars(lines: list[tuple[Point, Point]], of: str, listed: Listed, found: Findings) -> None:
    """Hold the four check bars of a page to their lengths."""
    scales = listed.check.get("check_bars_drawn_mm", (100.0, 100.0))
    if not (
        isinstance(scales, list | tuple) and len(scales) == 2 and all(isinstance(one, int | float) for one in scales)
    ):
        found.hold(False, "the manifest lists bars that are no two lengths")
        return
    for axis, word in enumerate(("across", "up")):
        lengths = sorted(abs(b[axis] - a[axis]) for a, b in lines if abs(b[1 - axis] - a[1 - axis]) <= _UPRIGHT)
        for wanted, length in _paired([bar * float(scales[axis]) / 100.0 for bar in _BARS], lengths):
            if length is None:
                found.hold(False, f"{of}there is no check bar of {wanted:.1f} mm {word}")
                continue
            off = abs(length - wanted)
            found.hold(off <= _BAR_TOLERANCE, f"{of}the check bar {word} is {length:.2f} mm, not {wanted:.2f} mm")
            found.totals["bars"] += 1
            found.most("bar off", off)


def _paired(wanted: list[float], lengths: list[float]) -> list[tuple[float, float | None]]:
    """Each wanted length, ascending, with a line of its own that comes near: all together as near as can be."""
    near = [length for length in lengths if 0.9 * wanted[0] <= length <= 1.1 * wanted[-1]]
    if len(near) < len(wanted):
        lone = min(wanted, key=lambda one: abs(one - near[0])) if near else None
        return [(one, near[0] if one == lone else None) for one in wanted]
    chosen = min(
        itertools.combinations(near, len(wanted)),
        key=lambda some: sum((a - b) ** 2 for a, b in zip(wanted, some, strict=True)),
    )
    return list(zip(wanted, chosen, strict=True))


def told(found: Findings) -> str:
    """The proof of the files, in words."""
    pages, bars = plural(found.totals["pages"], "page"), found.totals["bars"]
    measured = f"; {bars} check bars within {found.largest['bar off']:.4f} mm of their lengths" if bars else ""
    of = " of the stated paper" if found.totals["on stated paper"] == found.totals["pages"] else ""
    return f"{pages}{of}, printed at 100 %, type inside{measured}"
