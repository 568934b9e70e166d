"""A book reads back with its pages, its outline and its sheets at true size, and is the same every time.

Pages are measured with pdfplumber, which knows nothing of how they were made.
"""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pypdf
import pytest

from ferrule.parts.curve import Line
from ferrule.parts.errors import WriteError
from ferrule.parts.kinds import CenteringRing
from ferrule.parts.marks import Pen
from ferrule.parts.sheets.block import TemplateLabel
from ferrule.parts.sheets.blocks import (
    Blanks,
    Block,
    Book,
    Bullets,
    Drawing,
    DrawnPage,
    Figures,
    Heading,
    NewPage,
    SheetPage,
    SideBySide,
    Table,
    Together,
    Words,
)
from ferrule.parts.sheets.paper import A4, A5, US_LETTER, Paper
from ferrule.parts.sheets.sheet import Trace
from ferrule.parts.sheets.template import template_sheets
from ferrule.parts.writers.book import MARGIN, write_book

MM = 72.0 / 25.4


def book(*blocks: Block, paper: Paper = A4, stamp: str = "") -> Book:
    return Book("Tern: build book", paper, "Tern, fingerprint 0000-1111-2222", stamp, blocks)


def rows(count: int) -> tuple[tuple[str, ...], ...]:
    return tuple((f"row {number}", f"{number:d}.5") for number in range(count))


def texts(path: Path) -> list[str]:
    with pdfplumber.open(path) as found:
        return [page.extract_text() for page in found.pages]


@pytest.mark.parametrize("paper", [A4, US_LETTER], ids=lambda one: one.name)
def test_chapters_begin_pages_and_stand_in_the_outline_with_their_sections(tmp_path: Path, paper: Paper) -> None:
    blocks = (
        Heading("Cover", 1),
        Words("First words."),
        Heading("Balance", 1),
        Heading("Masses"),
        Heading("not listed", 3),
        Words("Second words."),
    )
    proof = write_book(tmp_path / "b.pdf", book(*blocks, paper=paper))
    assert (proof.pages, proof.outline) == (2, ("Cover", "Balance", "Masses"))
    reader = pypdf.PdfReader(tmp_path / "b.pdf")
    assert reader.metadata is not None
    assert reader.metadata.title == "Tern: build book"
    top = [one for one in reader.outline if not isinstance(one, list)]
    assert [reader.get_destination_page_number(one) for one in top] == [0, 1]
    first, second = texts(tmp_path / "b.pdf")
    assert "First words." in first
    assert "Second words." in second
    for number, text in enumerate((first, second), 1):
        assert f"page {number} of 2" in text
        assert "fingerprint 0000-1111-2222" in text


def test_a_long_table_runs_over_pages_with_its_head_and_loses_no_row(tmp_path: Path) -> None:
    table = Table(("Item", "Mass [g]"), rows(150), right=(1,))
    proof = write_book(tmp_path / "b.pdf", book(Heading("Masses", 1), table))
    found = texts(tmp_path / "b.pdf")
    assert proof.pages == len(found) > 2
    assert all("Item Mass [g]" in text for text in found)
    assert [f"row {n} {n}.5" for n in range(150)] == [
        line for text in found for line in text.split("\n") if line.startswith("row ")
    ]


def test_a_heading_does_not_stand_alone_at_the_foot_of_a_page(tmp_path: Path) -> None:
    for filler in range(34, 44):
        blocks = (*(Words("word") for _ in range(filler)), Heading("A section"), Words("what belongs to it"))
        write_book(tmp_path / "b.pdf", book(*blocks))
        of = [index for index, text in enumerate(texts(tmp_path / "b.pdf")) if "A section" in text]
        belonging = [index for index, text in enumerate(texts(tmp_path / "b.pdf")) if "what belongs to it" in text]
        assert of == belonging


def test_what_belongs_together_is_not_torn(tmp_path: Path) -> None:
    for filler in (20, 30, 36, 40):
        both = Together((Words("first of two"), Table((), rows(8)), Words("last of two")))
        write_book(tmp_path / "b.pdf", book(*(Words("word") for _ in range(filler)), both))
        holding = [text for text in texts(tmp_path / "b.pdf") if "first of two" in text]
        assert "last of two" in holding[0]


def test_a_drawing_and_a_sheet_come_out_at_true_size_beside_pages_of_text(tmp_path: Path) -> None:
    ring = CenteringRing.model_validate(dict(CenteringRing.example))
    piece = ring.cut_pieces()[0]
    sheets = template_sheets(piece.outline, label=TemplateLabel("Tern", "ring"), paper=A4, marks=piece.marks)
    tape = Drawing((Trace((Line((2.0, 3.0), (152.0, 3.0)),), Pen.CUT),), 160.0, 6.0, "the tape")
    page = DrawnPage((Trace((Line((10.0, 10.0), (210.0, 10.0)),), Pen.CUT),), 297.0, 210.0, "Side view")
    blocks = (Heading("Tape", 1), tape, *(SheetPage(one) for one in sheets), page, Heading("End", 1), Words("end"))
    proof = write_book(tmp_path / "b.pdf", book(*blocks))
    assert proof.sheets == len(sheets) == 1
    assert proof.outline == ("Tape", sheets[0].title, "Side view", "End")
    with pdfplumber.open(tmp_path / "b.pdf") as found:
        first, second, third, _ = found.pages
        (drawn,) = [one for one in first.lines if abs(one["width"] - 150.0 * MM) < 0.01]
        assert drawn["x0"] == pytest.approx((MARGIN + 2.0) * MM, abs=0.01)
        assert any(abs(one["width"] - 100.0 * MM) < 0.01 for one in second.lines)
        assert (float(third.width), float(third.height)) == pytest.approx((297.0 * MM, 210.0 * MM), abs=0.01)
        assert any(abs(one["width"] - 200.0 * MM) < 0.01 for one in third.lines)


def test_no_block_leaves_the_text_area_and_small_ones_are_all_there(tmp_path: Path) -> None:
    blocks = (
        Heading("Sheet", 1),
        Words("A caution that is framed.", "caution"),
        Words("large", "large"),
        Bullets(("tick this", "and that"), "box"),
        Bullets(("one", "two"), "number"),
        Figures((("mass", "1225 g"), ("margin", "2.18 calibres"), ("CP", "859.5 mm"), ("CG", "not stated"))),
        Blanks(("Flyer", "Date", "Mentor")),
        SideBySide((Words("to the left"),), (Words("to the right"), Bullets(("box",), "box"))),
        Table(("one", "long"), (("x" * 90, "word " * 80),)),
        NewPage(),
        Words("20 °C, ≥ 2 and <angle> & sign"),
    )
    write_book(tmp_path / "b.pdf", book(*blocks, stamp="CHECK FAILED: margin"))
    found = texts(tmp_path / "b.pdf")
    for words in ("framed", "tick this", "1. one", "2.18 calibres", "Mentor", "to the right", "CHECK FAILED: margin"):
        assert words in found[0]
    assert "20 °C, >= 2 and <angle> & sign" in found[1]
    with pdfplumber.open(tmp_path / "b.pdf") as pages:
        for page in pages.pages:
            for letter in page.chars:
                assert letter["x0"] >= MARGIN * MM - 0.1
                assert letter["x1"] <= float(page.width) - MARGIN * MM + 0.1
    assert {font.split("+")[-1] for font in _fonts(tmp_path / "b.pdf")} <= {
        "BitstreamVeraSans-Roman",
        "BitstreamVeraSans-Bold",
    }


def _fonts(path: Path) -> set[str]:
    with pdfplumber.open(path) as pages:
        return {letter["fontname"] for page in pages.pages for letter in page.chars}


def test_a_card_on_smaller_paper_follows_on_pages_of_its_own_size(tmp_path: Path) -> None:
    blocks = (
        Heading("Book", 1),
        Words("large page"),
        NewPage(A5),
        Heading("Card", 1),
        Words("small page"),
        NewPage(A4),
    )
    write_book(tmp_path / "b.pdf", book(*blocks, Heading("End", 1), Words("large again")))
    with pdfplumber.open(tmp_path / "b.pdf") as found:
        sizes = [(round(float(page.width) / MM), round(float(page.height) / MM)) for page in found.pages]
    assert sizes == [(210, 297), (148, 210), (210, 297)]


def test_the_same_book_has_the_same_bytes(tmp_path: Path) -> None:
    some = book(Heading("Cover", 1), Words("words"), Table(("a",), (("b",),)), stamp="CHECK FAILED: margin")
    for name in ("one.pdf", "two.pdf"):
        write_book(tmp_path / name, some)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_a_block_that_fits_no_page_is_told_and_nothing_is_written(tmp_path: Path) -> None:
    wide = Drawing((), 100.0, 400.0)
    with pytest.raises(WriteError, match="does not fit a page of A4"):
        write_book(tmp_path / "b.pdf", book(wide))
    assert not list(tmp_path.iterdir())
