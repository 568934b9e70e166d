"""Larger paper, paper that lies, sheets put right for a printer, and mirrored ones: as numbers and as printed.

Sources: A3 is 297 x 420 mm (ISO 216); 1 in is 25.4 mm; a page of a PDF is at most 14400 pt long (ISO 32000-1, annex C);
a printer that makes X mm of 100 mm prints every length X/100 as long, from first principles. Margins of 10 mm, and that
half a per cent of a printer's error is put right by scaling each axis: common practice.
"""

from __future__ import annotations

import dataclasses
import io
import math
import shutil
import subprocess
import tempfile
from functools import cache
from pathlib import Path

import numpy as np
import pdfplumber
import pytest
from PIL import Image
from printed_pages import MM, Floats, area, cut_loops, extent, segments
from pypdf import PdfReader
from shapely.geometry import Polygon
from template_samples import FIN_POINTS, LABELS, PARTS, fin

from ferrule.parts.curve import Arc, EllipseArc, Line
from ferrule.parts.errors import PartError, WriteError
from ferrule.parts.marks import (
    SIDE_A,
    SIDE_B,
    Area,
    Arrow,
    CentreMark,
    Choice,
    Diameter,
    Dimension,
    Guide,
    Label,
    Mark,
    Note,
)
from ferrule.parts.shape import Outline, circle, edges, hole, polygon
from ferrule.parts.sheets.block import TemplateLabel
from ferrule.parts.sheets.drawing import draw
from ferrule.parts.sheets.mirror import mirrored_mark, mirrored_outline
from ferrule.parts.sheets.paper import (
    A3,
    A4,
    LONGEST_PAGE,
    MARGIN,
    PAPERS,
    US_LETTER,
    Paper,
    Printed,
    corrected,
    lying,
    roll,
)
from ferrule.parts.sheets.sheet import Box, CutLine, Sheet
from ferrule.parts.sheets.template import template_sheets
from ferrule.parts.writers.pdf import read_back, write_pdf

LABEL = TemplateLabel("Demo (invented)", "Part", again="--printed X Y")
LONG = TemplateLabel("Demo (invented)", "Part", notes=("Sand all fins as one stack so that they are the same.",) * 9)
PRINTED = Printed(99.2, 98.8)
SHRINKS, GROWS = Printed(90.0, 92.0), Printed(108.0, 110.0)
FAILED = ("static margin at liftoff",)


def rectangle(wide: float, high: float) -> Outline:
    return Outline(polygon(((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))))


STRIP = rectangle(225.0, 60.0)
"""What goes on one lying page and on two that stand."""

PAPER = {
    "A3": A3,
    "A4": A4,
    "US Letter": US_LETTER,
    "roll": roll(610.0),
    "A4 corrected": corrected(A4, PRINTED),
    "A4 shrinks": corrected(A4, SHRINKS),
    "US Letter grows": corrected(US_LETTER, GROWS),
    "roll corrected": corrected(roll(420.0), SHRINKS),
}
FINS = ("A3", "roll", "A4 corrected", "A4 shrinks", "US Letter grows", "roll corrected")
STRIPS = ("A4", "US Letter", "A4 corrected")
PAGES = (*(f"{part}, {name}" for part in ("fin", "large fin") for name in FINS), *(f"strip, {name}" for name in STRIPS))


@cache
def pages_of(name: str) -> tuple[Sheet, ...]:
    """A fin of a rocket that fails a check, a large one mirrored, and a strip, with long notes on US Letter."""
    part, paper = name.split(", ")
    if part == "strip":
        return template_sheets(STRIP, label=LONG if paper == "US Letter" else LABEL, paper=PAPER[paper])
    outline, marks = PARTS[part]()
    large = part == "large fin"
    return template_sheets(
        outline,
        label=dataclasses.replace(LABELS[part], again="--printed X Y"),
        paper=PAPER[paper],
        marks=marks,
        failed_checks=() if large else FAILED,
        mirrored=large,
    )


every_page = pytest.mark.parametrize("name", PAGES)


@cache
def content(name: str) -> bytes:
    return written(pages_of(name))


def written(pages: tuple[Sheet, ...]) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "template.pdf"
        write_pdf(path, pages, "Demo")
        return path.read_bytes()


def bars_on(page: pdfplumber.page.Page, paper: Paper) -> tuple[float, float]:
    """Length of the metric check bars across and up [mm], by the ends of their lines."""
    ends = segments(page, 0.25, paper.scale[0])
    across, up = np.abs(ends[:, 2] - ends[:, 0]), np.abs(ends[:, 3] - ends[:, 1])
    # Longer than half a bar, and not the bar of 4 in, which is the longest.
    return tuple(sorted(set(np.round(length[length > 80.0], 4)))[0] for length in (across, up))  # type: ignore[return-value]


# Sizes


def test_a3_is_the_standard_size_and_has_a_larger_area() -> None:
    assert (A3.width, A3.height) == (297.0, 420.0)
    assert (A3.area_width, A3.area_height) == (297.0 - 20.0, 420.0 - 20.0)


@pytest.mark.parametrize(
    "paper",
    [
        *(way for paper in (*PAPERS, A3, roll(610.0)) for way in paper.ways()),
        *(way for printed in (PRINTED, SHRINKS, GROWS) for way in corrected(A4, printed).ways()),
        roll(300.0).cut_off(456.7),
        corrected(roll(300.0), SHRINKS).cut_off(456.7),
    ],
    ids=lambda paper: f"{paper.words} {paper.scale}",
)
def test_the_area_as_it_is_put_on_the_page_keeps_10_mm_margins(paper: Paper) -> None:
    x, y = paper.corner
    assert min(x, y) >= MARGIN - 1e-9
    assert x + paper.area_width * paper.scale[0] == pytest.approx(paper.width - x)
    assert y + paper.area_height * paper.scale[1] == pytest.approx(paper.height - y)


def test_a_lying_paper_has_its_axes_changed_over() -> None:
    paper = corrected(A4, PRINTED)
    assert (lying(paper).width, lying(paper).height) == (297.0, 210.0)
    assert lying(paper).scale == paper.scale[::-1]
    assert (lying(paper).area_width, lying(paper).area_height) == (paper.area_height, paper.area_width)


def test_a_roll_is_cut_off_on_a_whole_millimetre() -> None:
    paper = roll(610.0).cut_off(300.2)
    assert (paper.width, paper.height, paper.words) == (610.0, 321.0, "Roll, 610 x 321 mm")
    assert roll(24.0 * 25.4).cut_off(300.0).words == "Roll, 609.6 x 320 mm"
    assert A4.cut_off(10.0) is A4
    assert LONGEST_PAGE / MM <= 14400.0


@pytest.mark.parametrize("width", [209.0, 1601.0, math.nan])
def test_a_roll_that_holds_no_title_block_or_does_not_exist_is_refused(width: float) -> None:
    with pytest.raises(PartError, match=r"roll: .* mm wide must be from 210 to 1600 mm"):
        roll(width)


@pytest.mark.parametrize(("across", "up", "axis"), [(89.9, 100.0, "X"), (100.0, 110.1, "Y"), (math.nan, 100.0, "X")])
def test_a_print_that_is_far_off_is_the_dialogs_doing(across: float, up: float, axis: str) -> None:
    with pytest.raises(PartError, match=rf"printed: {axis} of .* from 90 to 110 mm; .*set it to 100 % \(actual size\)"):
        Printed(across, up)


# Every page


@every_page
def test_words_are_inside_the_area_and_apart(name: str) -> None:
    for sheet in pages_of(name):
        whole = Box(0.0, 0.0, sheet.paper.area_width, sheet.paper.area_height)
        texts = sheet.texts()
        boxes = [Polygon(text.corners()) for text in texts]
        for text in texts:
            assert text.size >= 9.0, text
            assert whole.holds(text.box()), text
        for index, one in enumerate(boxes):
            assert not any(one.intersects(other) for other in boxes[:index]), texts[index].words


@every_page
def test_bars_are_inside_the_area_and_beside_the_window(name: str) -> None:
    for sheet in pages_of(name):
        whole = Box(0.0, 0.0, sheet.paper.area_width, sheet.paper.area_height)
        for bar, (dx, dy) in zip(sheet.bars, ((100.0, 0.0), (0.0, 100.0), (101.6, 0.0), (0.0, 101.6)), strict=True):
            assert bar.end[0] - bar.start[0] == pytest.approx(dx, abs=1e-9)
            assert bar.end[1] - bar.start[1] == pytest.approx(dy, abs=1e-9)
            place = Box(*bar.start, *bar.end)
            assert whole.holds(place.grown(0.9))
            assert not place.grown(0.9).meets(sheet.window)
        across, up, *_ = sheet.bars
        # A mirrored page has its border between them.
        assert across.start[1] == pytest.approx(sheet.window.low - (4.5 if name.startswith("large") else 3.0))
        assert up.start[1] <= across.start[1] < up.end[1]


@every_page
def test_every_page_is_as_large_as_it_says_and_asks_for_full_size(name: str) -> None:
    reader = PdfReader(io.BytesIO(content(name)))
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    for page, sheet in zip(reader.pages, pages_of(name), strict=True):
        assert float(page.mediabox.width) * MM == pytest.approx(sheet.paper.width, abs=1e-3)
        assert float(page.mediabox.height) * MM == pytest.approx(sheet.paper.height, abs=1e-3)
        said = page.extract_text()
        assert sheet.paper.words in said
        assert ("CHECK FAILED" in said) == name.startswith("fin")


@every_page
def test_everything_on_the_page_keeps_the_margins(name: str) -> None:
    with pdfplumber.open(io.BytesIO(content(name))) as document:
        for page, sheet in zip(document.pages, pages_of(name), strict=True):
            ends = segments(page)
            # The cut line runs on under the window's edge, where it is clipped; letters and straight lines do not.
            letters = [letter for letter in page.chars if letter["text"].strip()]
            for low, high, size in (
                (min(c["x0"] for c in letters), max(c["x1"] for c in letters), page.width),
                (min(c["top"] for c in letters), max(c["bottom"] for c in letters), page.height),
            ):
                assert low * MM >= MARGIN - 0.01
                assert high * MM <= float(size) * MM - MARGIN + 0.01
            bars = segments(page, 0.25, sheet.paper.scale[0])
            assert bars.min() >= MARGIN - 0.01
            assert len(ends) > len(bars)


# Larger paper


def test_larger_paper_takes_fewer_pages() -> None:
    outline, marks = PARTS["large fin"]()

    def count(paper: Paper) -> int:
        return len(template_sheets(outline, label=LABELS["large fin"], paper=paper, marks=marks))

    assert (count(A4), count(A3), count(roll(610.0))) == (6, 2, 1)


def test_a_roll_is_as_long_as_the_part_needs_and_the_part_lies_across_it() -> None:
    (upright,) = template_sheets(rectangle(120.0, 900.0), label=LABEL, paper=roll(610.0))
    assert 900.0 < upright.paper.height < 1100.0
    (across,) = template_sheets(rectangle(120.0, 500.0), label=LABEL, paper=roll(610.0))
    assert across.paper.height < 300.0
    assert across.window.right - across.window.left > 500.0


def test_what_is_wider_than_the_roll_is_tiled_along_it() -> None:
    pages = template_sheets(rectangle(700.0, 800.0), label=LABEL, paper=roll(610.0))
    assert [page.tile for page in pages] == ["A1", "A2"]
    assert {page.paper.height for page in pages} == {pages[0].paper.height}
    assert 800.0 < pages[0].paper.height < 1000.0


def test_what_is_longer_than_a_page_can_be_is_tiled_across_the_roll() -> None:
    pages = template_sheets(rectangle(100.0, 6000.0), label=LABEL, paper=roll(300.0))
    assert [page.tile for page in pages] == ["A1", "B1"]
    assert all(page.paper.height <= LONGEST_PAGE for page in pages)


# Lying


@pytest.mark.parametrize("paper", [A4, US_LETTER, A3], ids=lambda paper: paper.name)
def test_a_sheet_lies_where_that_saves_pages_and_only_then(paper: Paper) -> None:
    long = paper.area_height - 40.0
    (lies,) = template_sheets(rectangle(long, 60.0), label=LABEL, paper=paper)
    assert lies.paper == lying(paper)
    assert lies.window.holds(Box(*_cut(lies).box()))
    for wide, high in ((150.0, 150.0), (100.0, 170.0), (170.0, 100.0)):
        (stands,) = template_sheets(rectangle(wide, high), label=LABEL, paper=paper)
        assert stands.paper == paper


def test_lying_paper_is_laid_out_alike_on_a4_and_us_letter() -> None:
    (a4,), (letter,) = (template_sheets(STRIP, label=LABEL, paper=paper) for paper in PAPERS)
    assert a4.art == letter.art
    assert a4.bars == letter.bars


def test_the_bars_are_named_by_the_way_the_paper_goes_through_the_printer() -> None:
    for part, across, up in ((rectangle(100.0, 100.0), "X", "Y"), (STRIP, "Y", "X")):
        (sheet,) = template_sheets(part, label=LABEL, paper=A4)
        turns = {text.words: text.turn for text in sheet.texts() if text.words.startswith("100 mm (")}
        assert turns == {f"100 mm ({across})": 0.0, f"100 mm ({up})": pytest.approx(math.pi / 2.0)}


def _cut(sheet: Sheet) -> CutLine:
    (cut,) = [item for item in sheet.art if isinstance(item, CutLine)]
    return cut


# Put right for a printer


@pytest.mark.parametrize(
    ("name", "across", "up"),
    [
        ("fin, A4 corrected", 100.0 / 0.992, 100.0 / 0.988),
        ("fin, A4 shrinks", 100.0 / 0.9, 100.0 / 0.92),
        ("fin, US Letter grows", 100.0 / 1.08, 100.0 / 1.1),
        # A lying sheet reads across the long side, which the printer feeds.
        ("strip, A4 corrected", 100.0 / 0.988, 100.0 / 0.992),
        ("strip, A4", 100.0, 100.0),
        ("large fin, A3", 100.0, 100.0),
    ],
)
def test_bars_are_drawn_longer_by_what_the_printer_takes_away(name: str, across: float, up: float) -> None:
    with pdfplumber.open(io.BytesIO(content(name))) as document:
        for page, sheet in zip(document.pages, pages_of(name), strict=True):
            assert bars_on(page, sheet.paper) == pytest.approx((across, up), abs=0.001)


@pytest.mark.parametrize("printed", [PRINTED, SHRINKS, GROWS], ids=str)
def test_that_printer_makes_the_fin_of_it(printed: Printed) -> None:
    """The page as that printer prints it: x and y times what it makes of 100 mm."""
    pages = template_sheets(fin()[0], label=LABELS["fin"], paper=corrected(A4, printed))
    with pdfplumber.open(io.BytesIO(written(pages))) as document:
        (loop,) = cut_loops(document.pages[0], pages[0].paper.scale[0])
    paper: Floats = loop * np.array([printed.across, printed.up]) / 100.0
    assert extent(paper) == pytest.approx((120.0, 76.4), abs=0.005)
    assert area(paper) == pytest.approx((120.0 + 60.0) / 2.0 * 58.0 + 90.0 * 18.4, abs=1.0)
    corners = paper - paper.min(axis=0) + np.array(FIN_POINTS).min(axis=0)
    for point in np.array(FIN_POINTS):
        assert np.hypot(*(corners - point).T).min() < 0.005


def test_that_printer_makes_a_strip_of_it_on_a_lying_sheet() -> None:
    """The printer feeds the long side, along which this sheet reads."""
    with pdfplumber.open(io.BytesIO(content("strip, A4 corrected"))) as document:
        (loop,) = cut_loops(document.pages[0], 100.0 / PRINTED.up)
    assert extent(loop * np.array([PRINTED.up, PRINTED.across]) / 100.0) == pytest.approx((225.0, 60.0), abs=0.002)


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm (poppler-utils) is not here")
def test_the_ink_of_a_corrected_sheet_is_longer_by_the_same(tmp_path: Path) -> None:
    """The bar up a lying sheet and the height of its strip, by Poppler; one dot at 600 dpi is 0.042 mm."""
    (sheet,) = pages_of("strip, A4 corrected")
    path = tmp_path / "template.pdf"
    path.write_bytes(content("strip, A4 corrected"))
    dots, paper, step = 600, sheet.paper, 25.4 / 600
    up, cut = sheet.bars[1], _cut(sheet).box()
    for x, low, high, wide in (
        (up.start[0] - 2.6, up.start[1], up.end[1], 0.25),
        ((cut.left + cut.right) / 2.0 + 40.0, cut.low, cut.high, 0.0),
    ):
        column = round((paper.corner[0] + x * paper.scale[0]) / step)
        top = round((paper.height - paper.corner[1] - (high + 1.0) * paper.scale[1]) / step)
        tall = round((high - low + 2.0) * paper.scale[1] / step)
        box = ["-x", str(column), "-y", str(top), "-W", "1", "-H", str(tall)]
        target = tmp_path / "page"
        program = str(shutil.which("pdftoppm"))
        subprocess.run([program, "-r", str(dots), "-gray", "-singlefile", *box, str(path), str(target)], check=True)
        with Image.open(target.with_suffix(".pgm")) as image:
            rows = np.flatnonzero(np.asarray(image)[:, 0] < 128)
        length = (rows[-1] - rows[0] + 1) * step
        assert length == pytest.approx((high - low + wide) * 100.0 / 99.2, abs=2.0 * step)


def test_a_corrected_sheet_says_for_which_printer() -> None:
    words = PdfReader(io.BytesIO(content("fin, A4 corrected"))).pages[0].extract_text().replace("\n", " ")
    assert "Corrected for a printer that prints 100 mm as 99.2 mm across (X) and 98.8 mm up (Y)." in words
    assert "Only for that printer, paper and setting." in words
    assert "--printed" not in words, "what is corrected is not corrected once more"
    (other,) = template_sheets(STRIP, label=dataclasses.replace(LABEL, again=None), paper=A4)
    assert "Good: 99.5 to 100.5 mm." in {text.words for text in other.texts()}, "where it cannot be asked for"
    plain = PdfReader(io.BytesIO(content("strip, A4"))).pages[0].extract_text()
    assert "--printed X Y" in plain
    assert "Corrected" not in plain


def test_a_sheet_without_its_correction_is_refused_when_it_is_read_back(tmp_path: Path) -> None:
    (sheet,) = pages_of("strip, A4 corrected")
    path = tmp_path / "template.pdf"
    path.write_bytes(content("strip, A4 corrected"))
    read_back(path, (sheet,), "strip.pdf")
    # The same page, had the two axes been mistaken for each other.
    wrong = dataclasses.replace(sheet.paper, lies=False)
    with pytest.raises(WriteError, match=r"page 1 has no check bar of 100\.0 mm in its place"):
        read_back(path, (dataclasses.replace(sheet, paper=wrong),), "strip.pdf")


# Mirrored


def lopsided() -> tuple[Outline, tuple[Mark, ...]]:
    outline = Outline(
        polygon(((0.0, 0.0), (120.0, 0.0), (90.0, 60.0), (40.0, 60.0))),
        (hole(5.0, (70.0, 20.0)), hole(2.0, (40.0, 9.0))),
    )
    return outline, (
        Label(SIDE_A, (60.0, 45.0), size=14.0),
        Dimension((0.0, 0.0), (120.0, 0.0), away=-10.0, words="root"),
        Guide((Line((20.0, 5.0), (100.0, 5.0)),), words="above"),
    )


def test_a_mirrored_page_is_the_mirror_image_and_its_words_are_not() -> None:
    outline, marks = lopsided()
    usual, other = (
        template_sheets(outline, label=LABEL, paper=A4, marks=marks, mirrored=mirrored) for mirrored in (False, True)
    )
    loops = []
    for pages in (usual, other):
        with pdfplumber.open(io.BytesIO(written(pages))) as document:
            (page,) = document.pages
            outer, *_ = found = cut_loops(page)
            middle = outer.mean(axis=0) * 0.0 + (outer.max(axis=0) + outer.min(axis=0)) / 2.0
            loops.append([loop - middle for loop in found])
            # Type is never drawn backwards: its matrix keeps the sense of turning (ISO 32000-1, 9.4.4).
            for letter in page.chars:
                a, b, c, d, *_ = letter["matrix"]
                assert a * d - b * c > 0.0
    assert len(loops[0]) == 3
    for one, mirror in zip(*loops, strict=True):
        image = one * np.array([-1.0, 1.0])
        for point in mirror:
            assert np.hypot(*(image - point).T).min() < 0.005
        assert area(one) == pytest.approx(abs(area(mirror)) * np.sign(area(one)), abs=0.01)
    assert not any(np.hypot(*(loops[0][0] - point).T).min() < 0.5 for point in loops[1][0][2:3])


def test_a_mirrored_page_cannot_be_taken_for_the_usual_one() -> None:
    outline, marks = lopsided()
    (usual,), (other,) = (
        template_sheets(outline, label=LABEL, paper=A4, marks=marks, mirrored=mirrored) for mirrored in (False, True)
    )
    usual_words, words = ({text.words for text in sheet.texts()} for sheet in (usual, other))
    (large,) = [text for text in other.texts() if text.words == "MIRRORED"]
    assert large.size >= 24.0
    assert SIDE_B in words
    assert SIDE_A not in words
    assert SIDE_A in usual_words
    assert not any("MIRRORED" in said for said in usual_words)
    for pages in (pages_of("large fin, A3"), pages_of("large fin, A4 corrected")):
        assert all("MIRRORED" in {text.words for text in page.texts()} for page in pages)


def test_the_border_of_a_mirrored_page_is_dashed() -> None:
    (sheet,) = template_sheets(lopsided()[0], label=LABEL, paper=A4, mirrored=True)
    with pdfplumber.open(io.BytesIO(written((sheet,)))) as document:
        heavy = segments(document.pages[0], 0.6) - np.tile(A4.corner, 2)
    # Around the window, with a little air.
    window = sheet.window.grown(1.5)
    round_it = 2.0 * (window.right - window.left + window.high - window.low)
    assert np.hypot(*(heavy[:, 2:] - heavy[:, :2]).T).sum() == pytest.approx(0.6 * round_it, rel=0.05)
    for corner in ((window.left, window.low), (window.right, window.high)):
        assert np.hypot(*(heavy[:, :2] - corner).T).min() < 0.001


MARKS: tuple[Mark, ...] = (
    Label("ROOT", (30.0, 10.0), 0.4),
    Arrow("grain", (10.0, 5.0), (60.0, 30.0), 2),
    Guide(
        (
            Line((10.0, 10.0), (30.0, 10.0)),
            Arc((30.0, 20.0), 10.0, -math.pi / 2.0, math.pi),
            Line((30.0, 30.0), (25.0, 30.0)),
        ),
        words="limit",
    ),
    Guide((EllipseArc((5.0, 5.0), 20.0, 10.0, 0.3, 1.0, 0.2),)),
    Dimension((5.0, 5.0), (50.0, 25.0), 8.0, "own"),
    Dimension((5.0, 5.0), (50.0, 25.0), 8.0, "level", "across"),
    Dimension((5.0, 5.0), (50.0, 25.0), -8.0, "level", "up"),
    Diameter((20.0, 20.0), 6.0, 0.5, 8.0, "bore"),
    CentreMark((20.0, 20.0), 9.0),
    Note((20.0, 20.0), (35.0, 40.0), "pin"),
    Area(Outline(polygon(((0.0, 0.0), (20.0, 0.0), (10.0, 10.0))))),
    Choice(((Label("one", (5.0, 5.0)),), (Label("other", (9.0, 5.0)),))),
)


@pytest.mark.parametrize("mark", MARKS, ids=lambda mark: f"{type(mark).__name__}-{getattr(mark, 'along', '')}")
@pytest.mark.parametrize("turn", [0.0, math.pi / 2.0])
def test_every_mark_is_mirrored_with_its_figures(mark: Mark, turn: float) -> None:
    """Where a mark is drawn, left and right changed over; a second mirror brings the first back."""
    usual, other = draw(mark, turn), draw(mirrored_mark(mark), turn if turn == 0.0 else -turn)
    if not isinstance(mark, Area):
        # Hatching leans the same way on both faces.
        one, mirror = (np.array([item.box() for item in drawn.lines]).reshape(-1, 4) for drawn in (usual, other))
        wanted = one[:, [2, 1, 0, 3]] * np.array([-1.0, 1.0, -1.0, 1.0])
        for row in wanted:
            assert np.abs(mirror - row).max(axis=1).min() < 1e-9
    figures = {text.words: np.mean(text.corners(), axis=0) for text in usual.words}
    for text in other.words:
        x, y = figures[text.words]
        away = math.dist(np.mean(text.corners(), axis=0), (-x, y))
        # A figure stands above its line or below it, however the line leans; and it never stands on its head.
        assert away < 4.5
        assert math.cos(text.turn) > -1e-9
    again = draw(mirrored_mark(mirrored_mark(mark)), turn)
    assert np.allclose(usual.box(), again.box(), atol=1e-9)


def test_an_outline_mirrored_twice_is_the_same() -> None:
    outline = Outline(
        edges(
            (Line((0.0, 0.0), (30.0, 0.0)), Arc((0.0, 0.0), 30.0, 0.0, math.pi / 2.0), Line((0.0, 30.0), (0.0, 0.0)))
        ),
        (hole(3.0, (10.0, 12.0)),),
    )
    left, low, right, high = outline.box()
    other = mirrored_outline(outline)
    assert other.box() == pytest.approx((-right, low, -left, high), abs=1e-9)
    assert mirrored_outline(other).box() == pytest.approx(outline.box(), abs=1e-9)


# Curves


def test_arcs_are_printed_as_pieces_of_at_most_45_degrees() -> None:
    """Seen from the middle, from one end of each cubic on the page to the other."""
    pages = template_sheets(Outline(circle(80.0), (hole(0.4), hole(20.0, (40.0, 0.0)))), label=LABEL, paper=A4)
    with pdfplumber.open(io.BytesIO(written(pages))) as document:
        paths = [item["path"] for item in document.pages[0].curves if abs(item["linewidth"] * MM - 0.7) < 1e-3]
    assert len(paths) == 3
    for path in paths:
        poles = np.array([operands[-1] for command, *operands in path if command in ("m", "c")], dtype=float)
        middle = (poles.max(axis=0) + poles.min(axis=0)) / 2.0
        angles = np.unwrap(np.arctan2(*(poles - middle).T[::-1]))
        assert abs(angles[-1] - angles[0]) == pytest.approx(math.tau, abs=1e-3)
        assert np.degrees(np.abs(np.diff(angles))).max() <= 45.0
