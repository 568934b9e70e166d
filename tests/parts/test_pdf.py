"""Written templates, measured on the page: by their paths (pdfplumber, pypdf) and by their ink (PDFium, Poppler).

Sources: 1 pt is 1/72 in and 1 in is 25.4 mm (ISO 32000-1 and the international inch); page sizes as in test_sheets.py;
areas of a polygon and of circles from first principles.
"""

from __future__ import annotations

import dataclasses
import hashlib
import io
import math
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pdfplumber
import pypdfium2
import pytest
from numpy.typing import NDArray
from PIL import Image
from printed_pages import MM, area, cut_loops, extent, segments
from pypdf import PdfReader
from pypdf.generic import ContentStream
from template_samples import (
    FIN_POINTS,
    PARTS,
    RING_BORE,
    RING_HOLE,
    RING_HOLE_AT,
    RING_OUTSIDE,
    large_fin,
    sheets,
)

from ferrule.parts.curve import Arc, Bezier, EllipseArc, Line, Piece, bernstein
from ferrule.parts.errors import WriteError
from ferrule.parts.shape import Outline, edges
from ferrule.parts.sheets.block import TemplateLabel
from ferrule.parts.sheets.paper import A4, AREA_HEIGHT, AREA_WIDTH, PAPERS, US_LETTER, Paper
from ferrule.parts.sheets.sheet import CutLine, Sheet
from ferrule.parts.sheets.template import template_sheets
from ferrule.parts.writers.cubic import NEAR, cubics
from ferrule.parts.writers.pdf import read_back, write_pdf

Floats = NDArray[np.float64]

every_paper = pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
every_template = pytest.mark.parametrize(
    ("name", "paper"), [(name, paper) for name in PARTS for paper in PAPERS], ids=lambda v: getattr(v, "name", v)
)


@cache
def printed(name: str, paper: Paper) -> tuple[tuple[Sheet, ...], bytes, pdfplumber.PDF]:
    """One of the samples: its pages, its file, and the file opened; each is laid out and parsed once."""
    pages = sheets(name, paper)
    with tempfile.TemporaryDirectory() as folder:
        content = written(Path(folder), pages).read_bytes()
    return pages, content, pdfplumber.open(io.BytesIO(content))


def written(folder: Path, pages: tuple[Sheet, ...], title: str = "Demo, fin template") -> Path:
    path = folder / "template.pdf"
    write_pdf(path, pages, title)
    return path


def ink(path: Path, page: int, dots_per_inch: int, folder: Path, by: str) -> NDArray[np.bool_]:
    """Where a page is darker than half black, row 0 at the top."""
    if by == "pdfium":
        document = pypdfium2.PdfDocument(path)
        grey = document[page].render(scale=dots_per_inch / 72.0, grayscale=True).to_numpy()
        dark = np.array(grey.reshape(grey.shape[:2]) < 128)
        document.close()
        return dark
    program = shutil.which("pdftoppm")
    assert program is not None
    target = folder / "page"
    number = str(page + 1)
    subprocess.run(
        [program, "-r", str(dots_per_inch), "-gray", "-singlefile", "-f", number, "-l", number, str(path), str(target)],
        check=True,
    )
    with Image.open(target.with_suffix(".pgm")) as image:
        return np.asarray(image) < 128


every_renderer = pytest.mark.parametrize(
    "by",
    [
        "pdfium",
        pytest.param(
            "poppler",
            marks=pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm (poppler-utils) is not here"),
        ),
    ],
)


def only_the_cut(sheet: Sheet) -> Sheet:
    """The page without marks and words, so that all ink but the bars is the cut line's."""
    return dataclasses.replace(sheet, art=tuple(i for i in sheet.art if isinstance(i, CutLine)), furniture=())


# Size


@every_template
def test_pages_have_the_size_of_their_paper(name: str, paper: Paper) -> None:
    pages, content, _ = printed(name, paper)
    reader = PdfReader(io.BytesIO(content))
    assert len(reader.pages) == len(pages) == (6 if name == "large fin" else 1)
    for page in reader.pages:
        assert float(page.mediabox.width) * MM == pytest.approx(paper.width, abs=1e-3)
        assert float(page.mediabox.height) * MM == pytest.approx(paper.height, abs=1e-3)


@every_template
def test_check_bars_are_100_mm_and_4_in_both_ways(name: str, paper: Paper) -> None:
    *_, document = printed(name, paper)
    for page in document.pages:
        ends = segments(page)
        inside = (
            (np.minimum(ends[:, 0], ends[:, 2]) > (paper.width - AREA_WIDTH) / 2.0)
            & (np.maximum(ends[:, 0], ends[:, 2]) < (paper.width + AREA_WIDTH) / 2.0)
            & (np.minimum(ends[:, 1], ends[:, 3]) > (paper.height - AREA_HEIGHT) / 2.0)
            & (np.maximum(ends[:, 1], ends[:, 3]) < (paper.height + AREA_HEIGHT) / 2.0)
        )
        across = np.abs(ends[:, 2] - ends[:, 0])
        up = np.abs(ends[:, 3] - ends[:, 1])
        for length, other in ((across, up), (up, across)):
            lengths = length[inside & (other < 1e-6)]
            assert np.any(np.abs(lengths - 100.0) < 0.001)
            assert np.any(np.abs(lengths - 101.6) < 0.001)


@every_paper
@every_renderer
def test_the_ink_of_the_bars_is_as_long_as_it_says(tmp_path: Path, paper: Paper, by: str) -> None:
    """Middle to middle of the end ticks is 100 mm; one dot at 600 dpi is 0.042 mm."""
    (sheet,) = sheets("fin", paper)
    dots = 600
    dark = ink(written(tmp_path, (sheet,)), 0, dots, tmp_path, by)
    step = 25.4 / dots
    across, up = sheet.bars[0], sheet.bars[1]
    x, y = across.start[0] + paper.corner[0], across.start[1] + paper.corner[1]
    row = round((paper.height - (y - 2.6)) / step)
    columns = np.flatnonzero(dark[row, round((x - 1.0) / step) : round((x + 103.0) / step)])
    assert (columns[-1] - columns[0] + 1) * step == pytest.approx(100.0 + 0.25, abs=2.0 * step)
    column = round((up.start[0] + paper.corner[0] - 2.6) / step)
    rows = np.flatnonzero(
        dark[round((paper.height - y - 103.0) / step) : round((paper.height - y + 1.0) / step), column]
    )
    assert (rows[-1] - rows[0] + 1) * step == pytest.approx(100.0 + 0.25, abs=2.0 * step)


@every_paper
def test_the_fin_has_its_size_and_area(paper: Paper) -> None:
    *_, document = printed("fin", paper)
    (loop,) = cut_loops(document.pages[0])
    points = np.array(FIN_POINTS)
    assert extent(loop) == pytest.approx((120.0, 76.4), abs=0.002)
    assert area(loop) == pytest.approx((120.0 + 60.0) / 2.0 * 58.0 + 90.0 * 18.4, abs=0.5)
    corners = loop - loop.min(axis=0) + points.min(axis=0)
    for point in points:
        assert np.hypot(*(corners - point).T).min() < 0.002


@every_paper
def test_the_ring_has_its_sizes_and_areas(paper: Paper) -> None:
    *_, document = printed("ring", paper)
    outer, bore, *holes = cut_loops(document.pages[0])
    assert len(holes) == 2
    centre = (outer.max(axis=0) + outer.min(axis=0)) / 2.0
    for loop, diameter, away in (
        (outer, RING_OUTSIDE, 0.0),
        (bore, RING_BORE, 0.0),
        (holes[0], RING_HOLE, RING_HOLE_AT),
        (holes[1], RING_HOLE, RING_HOLE_AT),
    ):
        assert extent(loop) == pytest.approx((diameter, diameter), abs=0.005)
        # The 200 chords that this test follows each cubic with lose less than 0.02 mm2.
        assert abs(area(loop)) == pytest.approx(math.pi / 4.0 * diameter**2, abs=0.02 * diameter)
        middle = (loop.max(axis=0) + loop.min(axis=0)) / 2.0
        assert math.dist(middle.tolist(), centre.tolist()) == pytest.approx(away, abs=0.005)


@every_renderer
def test_the_outer_edge_of_the_line_is_the_size(tmp_path: Path, by: str) -> None:
    """The rule printed in the legend, on the ink: all of it lies on the part; one dot at 600 dpi is 0.042 mm."""
    (sheet,) = sheets("ring", A4)
    dots = 600
    dark = ink(written(tmp_path, (only_the_cut(sheet),)), 0, dots, tmp_path, by)
    step = 25.4 / dots
    rows, columns = np.nonzero(dark)
    x, y = (columns + 0.5) * step - A4.corner[0], A4.height - (rows + 0.5) * step - A4.corner[1]
    within = (x > sheet.window.left) & (y > sheet.window.low)
    away = np.hypot(x[within] - sheet.art_shift[0], y[within] - sheet.art_shift[1])
    rim, bore = away[away > 31.0], away[away < 17.0]
    assert len(rim) > 1000
    assert len(bore) > 1000
    assert rim.max() == pytest.approx(RING_OUTSIDE / 2.0, abs=0.06)
    assert rim.min() == pytest.approx(RING_OUTSIDE / 2.0 - 0.35, abs=0.06)
    assert bore.min() == pytest.approx(RING_BORE / 2.0, abs=0.06)
    assert bore.max() == pytest.approx(RING_BORE / 2.0 + 0.35, abs=0.06)


# Tiles


@every_paper
def test_tiles_put_together_give_the_outline(paper: Paper) -> None:
    points = np.array([edge.piece.start for edge in large_fin()[0].outer])
    found = []
    pages, _, document = printed("large fin", paper)
    for page, sheet in zip(document.pages, pages, strict=True):
        (loop,) = cut_loops(page)
        found.append(loop - np.array(paper.corner) - np.array(sheet.art_shift))
    for loop in found:
        for point in points:
            assert np.hypot(*(loop - point).T).min() < 0.005


@every_renderer
def test_the_ink_of_the_tiles_together_is_the_outline(tmp_path: Path, by: str) -> None:
    """Every page printed, laid at its place, and compared with the outline; one dot at 400 dpi is 0.064 mm."""
    pages = sheets("large fin", A4)
    path = written(tmp_path, tuple(only_the_cut(page) for page in pages))
    dots = 400
    step = 25.4 / dots
    parts = []
    for number, sheet in enumerate(pages):
        rows, columns = np.nonzero(ink(path, number, dots, tmp_path, by))
        x, y = (columns + 0.5) * step - A4.corner[0], A4.height - (rows + 0.5) * step - A4.corner[1]
        box = sheet.window
        within = (x > box.left) & (x < box.right) & (y > box.low) & (y < box.high)
        parts.append(np.column_stack([x[within] - sheet.art_shift[0], y[within] - sheet.art_shift[1]]))
    together = np.vstack(parts)
    left, low, right, high = large_fin()[0].box()
    assert together.min(axis=0).tolist() == pytest.approx([left, low], abs=0.05 + step)
    assert together.max(axis=0).tolist() == pytest.approx([right, high], abs=0.05 + step)
    for edge in large_fin()[0].outer:
        start, end = np.array(edge.piece.start), np.array(edge.piece.end)
        along = (end - start) / math.dist(edge.piece.start, edge.piece.end)
        offset = together - start
        run, off = offset @ along, offset @ np.array([-along[1], along[0]])
        near = (run > 1.0) & (run < math.dist(edge.piece.start, edge.piece.end) - 1.0) & (np.abs(off) < 0.6)
        # The part lies to the left of its edges; the line is 0.35 mm wide from the size inwards.
        assert off[near].min() > -0.05 - step
        assert off[near].max() < 0.35 + 0.05 + step
        filled = np.unique(np.round(run[near] / 0.5))
        assert len(filled) >= (math.dist(edge.piece.start, edge.piece.end) - 3.0) / 0.5


@every_renderer
def test_neighbouring_tiles_both_show_the_strip_of_10_mm(tmp_path: Path, by: str) -> None:
    pages = {page.tile: page for page in sheets("large fin", A4)}
    names = ("B1", "B2")
    path = written(tmp_path, tuple(only_the_cut(pages[name]) for name in names))
    step = 25.4 / 400
    spans = []
    for number, name in enumerate(names):
        dark = ink(path, number, 400, tmp_path, by)
        sheet = pages[name]
        # The tab's edge runs level across this seam.
        level = -18.4 + 0.12 + sheet.art_shift[1] + A4.corner[1]
        columns = np.flatnonzero(dark[int((A4.height - level) / step)])
        x = (columns + 0.5) * step - A4.corner[0]
        x = x[x > sheet.window.left - 0.5] - sheet.art_shift[0]
        spans.append((float(x.min()), float(x.max())))
    assert spans[0][1] - spans[1][0] == pytest.approx(10.0, abs=0.15)


# Words on the page


@every_template
def test_words_on_the_page_are_where_the_layout_put_them(name: str, paper: Paper) -> None:
    pages, _, document = printed(name, paper)
    for page, sheet in zip(document.pages, pages, strict=True):
        letters = [letter for letter in page.chars if letter["text"].strip()]
        expected = "".join(text.words for text in sheet.texts()).replace(" ", "")
        assert sorted(letter["text"] for letter in letters) == sorted(expected)
        for letter in letters:
            assert letter["x0"] * MM >= paper.corner[0] - 0.01
            assert letter["x1"] * MM <= paper.corner[0] + AREA_WIDTH + 0.01
            assert letter["top"] * MM >= paper.corner[1] - 0.01
            assert letter["bottom"] * MM <= paper.corner[1] + AREA_HEIGHT + 0.01
        level = [text for text in sheet.texts() if text.turn == 0.0]
        for text in level:
            x0 = (text.position[0] + paper.corner[0]) / MM
            base = paper.height / MM - (text.position[1] + paper.corner[1]) / MM
            row = [
                letter
                for letter in letters
                if abs(letter["matrix"][5] - (paper.height / MM - base)) < 0.01
                and x0 - 0.1 < letter["x0"]
                and letter["x1"] < x0 + text.width / MM + 0.1
            ]
            assert "".join(letter["text"] for letter in row) == text.words.replace(" ", "")


@every_template
def test_no_type_on_the_page_is_below_9_pt(name: str, paper: Paper) -> None:
    _, content, _ = printed(name, paper)
    reader = PdfReader(io.BytesIO(content))
    for page in reader.pages:
        sizes = []
        for operands, operator in ContentStream(page.get_contents(), reader).operations:
            if operator == b"Tf":
                sizes.append(float(operands[1]))
            elif operator in (b"Tm", b"cm"):
                assert math.hypot(float(operands[0]), float(operands[1])) == pytest.approx(1.0, abs=1e-5)
        assert len(sizes) > 20
        # The page opens with reportlab's own choice of font, with which nothing is written.
        assert min(sizes) >= 9.0


@every_template
def test_no_two_letters_overlap(name: str, paper: Paper) -> None:
    """On the page, apart from words at a slant, whose upright rectangles overlap without meaning anything."""
    *_, document = printed(name, paper)
    for page in document.pages:
        letters = [
            letter
            for letter in page.chars
            if letter["text"].strip() and min(abs(letter["matrix"][0]), abs(letter["matrix"][1])) < 1e-6
        ]
        assert len(letters) > 300
        box = np.array([[item["x0"], item["top"], item["x1"], item["bottom"]] for item in letters])
        wide = np.minimum(box[:, None, 2], box[None, :, 2]) - np.maximum(box[:, None, 0], box[None, :, 0])
        high = np.minimum(box[:, None, 3], box[None, :, 3]) - np.maximum(box[:, None, 1], box[None, :, 1])
        both = (wide > 0.15) & (high > 0.15)
        np.fill_diagonal(both, val=False)
        pairs = [(letters[i]["text"], letters[j]["text"]) for i, j in np.argwhere(both)]
        assert not pairs


@every_template
def test_pages_are_numbered(name: str, paper: Paper) -> None:
    _, content, _ = printed(name, paper)
    reader = PdfReader(io.BytesIO(content))
    total = len(reader.pages)
    for number, page in enumerate(reader.pages, 1):
        assert re.search(rf"\b{number} of {total}\b", page.extract_text())


# The file


def test_the_file_asks_for_full_size_and_names_itself_and_its_pages(tmp_path: Path) -> None:
    pages = sheets("large fin", A4)
    reader = PdfReader(written(tmp_path, pages, "Marram, großer Fin"))
    root: Any = reader.trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert root["/Lang"] == "en"
    assert reader.metadata is not None
    assert reader.metadata.title == "Marram, großer Fin"
    assert set(reader.metadata) == {"/Title", "/Producer"}
    assert [item.title for item in reader.outline if not isinstance(item, list)] == [page.title for page in pages]


def test_all_type_is_embedded(tmp_path: Path) -> None:
    reader = PdfReader(written(tmp_path, sheets("fin", A4)))
    fonts: Any = reader.pages[0]["/Resources"]["/Font"]  # type: ignore[index]
    names = set()
    for font in fonts.values():
        descriptor = font.get_object()["/FontDescriptor"]
        assert "/FontFile2" in descriptor
        names.add(descriptor["/FontName"].split("+")[1])
    assert names == {"BitstreamVeraSans-Roman", "BitstreamVeraSans-Bold"}


def test_everything_is_black(tmp_path: Path) -> None:
    reader = PdfReader(written(tmp_path, sheets("large fin", A4, ("margin",))))
    for page in reader.pages:
        contents = page.get_contents()
        assert contents is not None
        colours = re.findall(rb"([\d. ]+) (?:rg|RG|g|G|k|K|sc|SC|scn|SCN)\b", contents.get_data())
        assert all(float(number) == 0.0 for colour in colours for number in colour.split())


def test_bytes_are_the_same_again_and_in_another_process(tmp_path: Path) -> None:
    digests = set()
    for run in ("one", "two"):
        (tmp_path / run).mkdir()
        path = written(tmp_path / run, sheets("large fin", US_LETTER))
        digests.add(hashlib.sha256(path.read_bytes()).hexdigest())
    code = (
        "import sys; from pathlib import Path; from template_samples import sheets; "
        "from ferrule.parts.sheets.paper import US_LETTER; from ferrule.parts.writers.pdf import write_pdf; "
        "write_pdf(Path(sys.argv[1]), sheets('large fin', US_LETTER), 'Demo, fin template')"
    )
    for seed in ("1", "2"):
        other = tmp_path / f"other-{seed}.pdf"
        environment = {
            **os.environ,
            "PYTHONPATH": os.pathsep.join(sys.path),
            "PYTHONHASHSEED": seed,
            "TZ": "Asia/Tokyo",
        }
        subprocess.run([sys.executable, "-c", code, str(other)], check=True, env=environment)
        digests.add(hashlib.sha256(other.read_bytes()).hexdigest())
    assert len(digests) == 1


def test_a_file_that_does_not_read_back_is_refused(tmp_path: Path) -> None:
    pages = sheets("large fin", A4)
    path = written(tmp_path, pages)
    read_back(path, pages, "fin.pdf")
    with pytest.raises(WriteError, match=r"fin\.pdf reads back with 6 pages instead of 5"):
        read_back(path, pages[:5], "fin.pdf")
    with pytest.raises(WriteError, match="page 1 is off the size of US Letter by"):
        read_back(path, sheets("large fin", US_LETTER), "fin.pdf")
    shrunk = dataclasses.replace(pages[0], bars=(pages[0].bars[0].part(0.0, 0.97), *pages[0].bars[1:]))
    with pytest.raises(WriteError, match=r"page 1 has no check bar of 97\.0 mm in its place"):
        read_back(path, (shrunk, *pages[1:]), "fin.pdf")
    path.write_bytes(path.read_bytes()[:2000])
    with pytest.raises(WriteError, match="does not read back as a PDF"):
        read_back(path, pages, "fin.pdf")


def test_nothing_is_left_behind_where_nothing_can_be_written(tmp_path: Path) -> None:
    (tmp_path / "a file").write_text("not a folder", encoding="utf-8")
    with pytest.raises(WriteError):
        write_pdf(tmp_path / "a file" / "template.pdf", sheets("fin", A4), "Fin")
    assert [path.name for path in tmp_path.iterdir()] == ["a file"]


# Curves


def _on_ellipse(piece: EllipseArc) -> Callable[[Floats], Floats]:
    def away(points: Floats) -> Floats:
        c, s = math.cos(-piece.tilt), math.sin(-piece.tilt)
        x, y = (points - np.array(piece.centre)).T
        u, v = (c * x - s * y) / piece.semi_x, (s * x + c * y) / piece.semi_y
        return np.abs(np.hypot(u, v) - 1.0) * max(piece.semi_x, piece.semi_y)

    return away


def _on_dots(piece: Piece) -> Callable[[Floats], Floats]:
    """Distance from the chords of a fine polygon along a piece, whose own sag is below 1e-5 mm here."""
    dots = piece.at(np.linspace(0.0, 1.0, 20001))

    def away(points: Floats) -> Floats:
        found = []
        for point in points:
            i = int(np.argmin(np.hypot(*(dots - point).T)))
            low, high = dots[max(i - 1, 0)], dots[min(i + 1, len(dots) - 1)]
            along = (high - low) / np.hypot(*(high - low))
            found.append(abs(float(along[0] * (point[1] - low[1]) - along[1] * (point[0] - low[0]))))
        return np.array(found)

    return away


CURVES: dict[str, tuple[Piece, Callable[[Floats], Floats]]] = {}
for _radius in (0.5, 30.0, 1200.0, 60000.0):
    _arc = Arc((3.0, -2.0), _radius, 0.4, math.tau)
    CURVES[f"circle {_radius:g}"] = (_arc, lambda p, r=_radius: np.abs(np.hypot(*(p - np.array([3.0, -2.0])).T) - r))
_ellipse = EllipseArc((1.0, 2.0), 120.0, 35.0, 0.2, -2.7, 0.6)
CURVES["ellipse"] = (_ellipse, _on_ellipse(_ellipse))
for _poles in (
    ((0.0, 0.0), (40.0, 60.0), (100.0, 0.0)),
    ((0.0, 0.0), (10.0, 60.0), (80.0, 70.0), (100.0, 0.0)),
    tuple((x * 30.0, 60.0 * math.sin(x * 1.1) + x * x) for x in range(10)),
):
    _bezier = Bezier(_poles)
    CURVES[f"degree {_bezier.degree}"] = (_bezier, _on_dots(_bezier))


@pytest.mark.parametrize("name", CURVES)
def test_cubics_are_within_a_micrometre_of_the_piece_and_join(name: str) -> None:
    piece, away = CURVES[name]
    found = cubics(piece)
    t = np.linspace(0.0, 1.0, 21)
    for cubic in found:
        assert away(bernstein(3, t) @ np.array(cubic)).max() <= 1e-3
    assert found[0][0] == pytest.approx(piece.start, abs=1e-9)
    assert found[-1][-1] == pytest.approx(piece.end, abs=1e-9)
    for one, other in pairwise(found):
        assert one[-1] == pytest.approx(other[0], abs=1e-9)
    assert NEAR <= 1e-3


def test_a_line_and_a_cubic_stay_what_they_are() -> None:
    assert cubics(Line((0.0, 0.0), (3.0, 6.0))) == (((0.0, 0.0), (1.0, 2.0), (2.0, 4.0), (3.0, 6.0)),)
    poles = ((0.0, 0.0), (10.0, 60.0), (80.0, 70.0), (100.0, 0.0))
    (found,) = cubics(Bezier(poles))
    assert np.allclose(found, poles, atol=1e-12)


def test_an_elliptical_part_keeps_its_area_on_paper(tmp_path: Path) -> None:
    """Area pi a b, from first principles."""
    label = TemplateLabel("Demo (invented)", "Elliptical plate")
    half = tuple(EllipseArc((0.0, 0.0), 70.0, 40.0, start, math.pi) for start in (0.0, math.pi))
    pages = template_sheets(Outline(edges(half)), label=label, paper=A4)
    with pdfplumber.open(written(tmp_path, pages)) as document:
        (found,) = cut_loops(document.pages[0])
    assert extent(found) == pytest.approx((140.0, 80.0), abs=0.002)
    assert area(found) == pytest.approx(math.pi * 70.0 * 40.0, abs=0.5)
