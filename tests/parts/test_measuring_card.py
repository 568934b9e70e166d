"""The measuring card as someone with a pencil needs it, measured on its pages and on the written file.

Sources: paper sizes as in test_sheets.py; a reading with two decimals is written by hand in about 18 x 10 mm, and 9 pt
is read at arm's length (common practice).
"""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pdfplumber
import pytest

from ferrule.parts.errors import PartError
from ferrule.parts.marks import Pen
from ferrule.parts.sheets.measuring_card import measuring_card
from ferrule.parts.sheets.paper import AREA_HEIGHT, AREA_WIDTH, PAPERS, Paper
from ferrule.parts.sheets.sheet import Box, Sheet, Solid, Trace
from ferrule.parts.tubes import MeasuredTube
from ferrule.parts.writers.pdf import write_pdf

MM = 25.4 / 72.0
"""One point [mm]."""

PLAIN = MeasuredTube("payload tube", (68.42, 68.36, 68.44, 68.38), (65.92, 65.88, 65.94, 65.86))
FULL = MeasuredTube(
    "booster tube",
    outside_forward=(68.41, 68.35),
    outside_aft=(68.43, 68.37),
    inside_forward=(65.91, 65.87),
    inside_aft=(65.93, 65.85),
    wall=(1.25, 1.27),
    strip=(215.2,),
    strip_thickness=0.11,
    length=620.5,
    mass=171.3,
)
LONG = "a tube whose name is so long that nobody would write it down twice, but someone did"

every_paper = pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)


def pages(paper: Paper) -> tuple[Sheet, ...]:
    tubes: list[MeasuredTube | str] = [PLAIN, FULL, "motor tube", FULL, LONG]
    return measuring_card(tubes, paper, design="Marram (invented)", fingerprint="1a2b-3c4d-5e6f")


def words(sheet: Sheet) -> list[str]:
    return [text.words for text in sheet.texts()]


def rectangles(sheet: Sheet, pen: Pen) -> list[Box]:
    return [
        item.box() for item in sheet.furniture if isinstance(item, Trace) and item.pen == pen and len(item.pieces) == 4
    ]


def panels(sheet: Sheet) -> list[Box]:
    return rectangles(sheet, Pen.HEAVY_FRAME)


def to_write_in(sheet: Sheet, panel: Box) -> list[Box]:
    """The boxes for readings in a panel: all its rectangles but the side view, which has words in it."""
    found = [box for box in rectangles(sheet, Pen.BAR) if panel.holds(box)]
    return [box for box in found if not any(box.holds(text.box()) for text in sheet.texts())]


@every_paper
def test_there_are_two_tubes_a_page_and_a_panel_to_spare(paper: Paper) -> None:
    found = pages(paper)
    assert [len(panels(sheet)) for sheet in found] == [2, 2, 2]
    names = [("payload tube", "booster tube"), ("motor tube", "booster tube"), (LONG[:20], "Another tube:")]
    for sheet, pair in zip(found, names, strict=True):
        assert all(any(text.startswith(name) for text in words(sheet)) for name in pair)
        assert sheet.paper == paper
    assert [next(w for w in words(sheet) if w.startswith("sheet ")) for sheet in found] == [
        "sheet 1 of 3",
        "sheet 2 of 3",
        "sheet 3 of 3",
    ]


@every_paper
def test_every_reading_has_a_box_that_is_clear_and_large_enough(paper: Paper) -> None:
    """Outside and inside four times each, the wall at both ends, strip and its thickness, length, mass."""
    for sheet in pages(paper):
        for panel in panels(sheet):
            boxes = to_write_in(sheet, panel)
            assert len(boxes) == 4 + 4 + 2 + 2 + 1 + 1
            for box in boxes:
                assert box.right - box.left >= 18.0
                assert box.high - box.low >= 10.0
                inner = box.grown(-0.3)
                others = [item.box() for item in sheet.furniture]
                assert not any(inner.meets(other) for other in others if not other.holds(box)), box
            assert not any(a.meets(b) for a, b in combinations(boxes, 2))


@every_paper
def test_who_measured_with_what_and_when_has_room(paper: Paper) -> None:
    for sheet in pages(paper):
        for title in ("Measured by", "Tool", "Date", "Temperature", "Humidity"):
            text = next(text for text in sheet.texts() if text.words == title)
            cell = next(box for box in rectangles(sheet, Pen.BAR) if box.holds(text.box()))
            assert text.box().low - cell.low >= 7.0


@every_paper
def test_words_can_be_read_stay_on_the_page_and_off_each_other(paper: Paper) -> None:
    area = Box(0.0, 0.0, AREA_WIDTH, AREA_HEIGHT)
    for sheet in pages(paper):
        texts = sheet.texts()
        assert min(text.size for text in texts) >= 9.0
        assert all(area.holds(item.box()) for item in sheet.furniture)
        touching = [(a.words, b.words) for a, b in combinations(texts, 2) if a.box().meets(b.box())]
        assert touching == []
        for panel in panels(sheet):
            inside = [text for text in texts if panel.meets(text.box())]
            assert all(panel.holds(text.box()) for text in inside)


@every_paper
def test_ends_and_directions_are_named_and_the_calipers_explained(paper: Paper) -> None:
    for sheet in pages(paper):
        found = words(sheet)
        for panel in panels(sheet):
            inside = [text.words for text in sheet.texts() if panel.holds(text.box())]
            assert inside.count("FWD") == inside.count("AFT") == 2  # at the boxes and on the tube
            assert inside.count("1") == inside.count("2") == 4  # on each end and over the boxes
            for word in ("outside", "inside", "wall"):
                assert inside.count(word) == 2
            for word in ("strip once round", "strip thickness", "length", "mass, g"):
                assert inside.count(word) == 1
        assert any("just touching" in line for line in found)
        assert any("prick" in line for line in found)
        heads = [item for item in sheet.furniture if isinstance(item, Solid)]
        assert len(heads) == 2 * (2 * (4 + 1) + 1)  # both directions, the pencil line, and which way is forward


@every_paper
def test_readings_so_far_stand_under_their_boxes(paper: Paper) -> None:
    sheet = pages(paper)[0]
    top, low = sorted(panels(sheet), key=lambda panel: -panel.high)
    assert "Without an end, so far: outside 68.42 68.36 68.44 68.38, inside 65.92 65.88 65.94 65.86" in words(sheet)
    before = {text.words: text for text in sheet.texts() if text.words.startswith("was ")}
    assert set(before) == {
        *(f"was {value:.2f}" for value in (68.41, 68.35, 68.43, 68.37, 65.91, 65.87, 65.93, 65.85, 1.25, 1.27, 0.11)),
        "was 215.2",
        "was 620.5",
        "was 171.3",
    }
    middle = (low.left + low.right) / 2.0
    for text in before.values():
        assert low.holds(text.box())
        box = [box for box in to_write_in(sheet, low) if box.left <= text.position[0] <= box.right]
        assert any(0.0 <= other.low - text.box().high < 1.5 for other in box)
    # Forward readings are on the left, the first direction left of the second.
    xs = [before[f"was {value:.2f}"].position[0] for value in (68.41, 68.35, 68.43, 68.37)]
    assert xs == sorted(xs)
    assert xs[1] < middle < xs[2]
    assert before["was 65.85"].position[1] < before["was 68.37"].position[1]
    assert not any(top.holds(text.box()) for text in before.values())


@every_paper
def test_the_written_file_has_its_bars_at_full_size(paper: Paper, tmp_path: Path) -> None:
    path = tmp_path / "card.pdf"
    write_pdf(path, pages(paper), "Measuring card")
    with pdfplumber.open(path) as document:
        assert len(document.pages) == 3
        for page in document.pages:
            assert (page.width * MM, page.height * MM) == pytest.approx((paper.width, paper.height), abs=0.01)
            across = sorted(abs(item["x1"] - item["x0"]) * MM for item in page.lines if item["height"] < 1e-6)
            up = sorted(abs(item["bottom"] - item["top"]) * MM for item in page.lines if item["width"] < 1e-6)
            for lengths in (across, up):
                assert any(length == pytest.approx(100.0, abs=1e-3) for length in lengths)
                assert any(length == pytest.approx(101.6, abs=1e-3) for length in lengths)
            text = page.extract_text()
            assert "Measuring card" in text
            assert "Marram (invented)" in text


@every_paper
def test_the_bars_are_clear_of_everything_else(paper: Paper) -> None:
    for sheet in pages(paper):
        for bar in sheet.bars:
            (x0, y0), (x1, y1) = bar.start, bar.end
            box = Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)).grown(0.1)
            assert not any(box.meets(text.box()) for text in sheet.texts())
            assert not any(panel.meets(box) for panel in panels(sheet))


def test_a_card_without_a_tube_or_with_letters_that_cannot_be_printed_is_refused() -> None:
    with pytest.raises(PartError, match="tubes: a measuring card needs at least one tube"):
        measuring_card([], PAPERS[0])
    with pytest.raises(PartError, match=r"name of the tube: .* cannot print"):
        measuring_card(["管"], PAPERS[0])


def test_a_card_without_a_design_has_no_dangling_words() -> None:
    (sheet,) = measuring_card(["tube"], PAPERS[0])
    assert all(text.words.strip(" ·") for text in sheet.texts())
