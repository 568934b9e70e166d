"""The build book: every chapter and every item, one fingerprint on every page, true size, and the same bytes twice.

Pages are read with pdfplumber and pypdf, which know nothing of how they were made.
"""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pdfplumber
import pypdf
import pytest
from PIL import Image
from typer.testing import CliRunner

from ferrule.app.book import make_book as module
from ferrule.app.book.make_book import BookMade, make_book, write_book_of
from ferrule.app.cli import app
from ferrule.app.design import Design
from ferrule.app.design_file import load, parse
from ferrule.app.picture import NoPictures
from ferrule.parts.errors import FerruleError
from ferrule.parts.fingerprint import short

MARRAM = Path(__file__).parents[2] / "examples" / "marram" / "marram.toml"
NOSE = MARRAM.parents[1] / "nose-only" / "nose.toml"
MM = 72.0 / 25.4

CHAPTERS = (
    "Marram: build book",
    "Parts, hardware, cut list, print list",
    "Dimensioned drawings",
    "Templates, wraps, card and jigs",
    "Assembly in order",
    "Mass and balance",
    "Flight and loads, with every limit's source",
    "Inspection sheet",
    "Checklists",
    "Margin tape",
    "Mentor gates",
    "Field card",
)

SMALL = """
format = 1
name = "Small"

[[tube]]
name = "tube"
outside_mm = [54.0, 54.1]
inside_mm = [52.0, 52.1]
length = "300 mm"
station = "100 mm"
material = "kraft-tube"

[[part]]
name = "disc"
kind = "bulkhead"
fits = "tube"
station = "200 mm"
thickness = "6 mm"
material = "birch-plywood"
"""


@pytest.fixture(scope="module")
def design() -> Design:
    return load(MARRAM)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[BookMade, Path]:
    out = tmp_path_factory.mktemp("book")
    return make_book(MARRAM, out, with_pictures=False), out


@pytest.fixture(scope="module")
def pages(made: tuple[BookMade, Path]) -> list[str]:
    """The words of each page in the order in which they were written, so that a cell's stay together."""
    command = ["pdftotext", "-raw", str(made[1] / "marram-book-a4.pdf"), "-"]  # poppler: quick, with so many pages
    text = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    return text.split("\f")[:-1]


def squeezed(words: str) -> str:
    """Words without blanks: names break between lines."""
    return re.sub(r"\s+", "", words)


def titles(outline: list[object], level: int = 0) -> Iterator[tuple[int, str]]:
    for one in outline:
        if isinstance(one, list):
            yield from titles(one, level + 1)
        else:
            yield level, str(one.title)  # type: ignore[attr-defined]


def test_every_chapter_is_a_bookmark_in_the_order_of_the_work(made: tuple[BookMade, Path]) -> None:
    reader = pypdf.PdfReader(made[1] / "marram-book-a4.pdf")
    assert len(reader.pages) == made[0].pages > 60
    found = list(titles(reader.outline))
    assert tuple(title for level, title in found if level == 0) == CHAPTERS
    below = [title for level, title in found if level == 1]
    assert any(title.startswith("fin, sheet 1") for title in below)
    assert reader.metadata is not None
    assert reader.metadata.title == "Marram: build book"
    assert reader.trailer["/Root"]["/Lang"] == "en"


def test_one_fingerprint_and_the_number_stand_on_every_page(pages: list[str], design: Design) -> None:
    print_of_it = short(design.fingerprint)
    for number, text in enumerate(pages, 1):
        assert print_of_it in text, number
        assert f"page {number} of {len(pages)}" in text


def test_every_item_every_motor_and_every_check_appears(pages: list[str], design: Design) -> None:
    text = squeezed("".join(pages))
    for item in design.rocket.items:
        assert squeezed(item.name) in text
    for motor in design.motors:
        assert motor.name in text
    told = [check for check in design.checks if check.formula]
    assert len(told) > 40
    for check in told:
        assert squeezed(check.name) in text, check.name


def test_type_is_embedded_and_its_signs_are_all_there(made: tuple[BookMade, Path], pages: list[str]) -> None:
    reader = pypdf.PdfReader(made[1] / "marram-book-a4.pdf")
    fonts = {font for page in reader.pages for font in page["/Resources"]["/Font"].values()}
    assert fonts
    for font in fonts:
        described = font.get_object()["/FontDescriptor"].get_object()
        assert "/FontFile2" in described
    # A question mark would stand for a sign that the type has not; the cautions and the lists ask no questions.
    assert not [line for text in pages for line in text.split("\n") if re.search(r"\d\?|\?\d|\s\?\s", line)]


def test_the_margin_tape_reads_in_calibres_at_true_size(made: tuple[BookMade, Path], design: Design) -> None:
    calibre = design.rocket.reference_diameter
    assert calibre is not None
    with pdfplumber.open(made[1] / "marram-margin-tape-a4.pdf") as found:
        (page,) = found.pages
        large = [word for word in page.extract_words(extra_attrs=["size"]) if word["size"] > 14.0]
        words = {word["text"]: word for word in large}
        middle = {text: (words[text]["x0"] + words[text]["x1"]) / 2.0 for text in ("CP", "1.0", "1.5", "2.0")}
        # The number stands in the middle under its tick, so that both are measured.
        ticks = [line["x0"] for line in page.lines if abs(line["x0"] - line["x1"]) < 0.01]
        bars = [line for line in page.lines if abs(line["width"] - 100.0 * MM) < 0.005]
    for text, margin in (("1.0", 1.0), ("1.5", 1.5), ("2.0", 2.0)):
        assert (middle["CP"] - middle[text]) / MM == pytest.approx(margin * calibre, abs=0.3)
        assert min(abs(tick - middle[text]) for tick in ticks) < 0.15 * MM
    assert len(bars) == 2  # under each piece of the tape


def test_no_sticker_states_a_balance_that_nobody_measured(made: tuple[BookMade, Path], design: Design) -> None:
    with pdfplumber.open(made[1] / "marram-stickers-a4.pdf") as found:
        text = found.pages[0].extract_text()
        drawn = (*found.pages[0].curves, *found.pages[0].rects)
        frames = [one for one in drawn if abs(one["width"] - 80.0 * MM) < 0.01]
    assert "PREDICTED: BALANCE AND RE-MARK" in text
    assert not design.is_balanced
    assert len(frames) == 2
    assert all(abs(one["height"] - 30.0 * MM) < 0.01 for one in frames)


def test_steps_glue_dry_marks_and_photographs_are_in_the_assembly(pages: list[str]) -> None:
    text = re.sub(r"\s+", " ", " ".join(pages))
    assert "1. Fit U-bolt to forward ring and tie harness to it" in text
    assert "Keep dry" in text
    assert "Step 5: motor tube with its rings, glue and anchors" in text


def test_the_field_card_is_one_sheet_of_a5_by_itself_too(made: tuple[BookMade, Path]) -> None:
    reader = pypdf.PdfReader(made[1] / "marram-field-card-a4.pdf")
    sizes = [(float(page.mediabox.width) / MM, float(page.mediabox.height) / MM) for page in reader.pages]
    assert sizes == [pytest.approx((148.0, 210.0), abs=0.01)] * 2


@pytest.mark.parametrize("with_pictures", [True, False])
def test_the_same_design_gives_the_same_bytes(tmp_path: Path, with_pictures: bool) -> None:
    small = parse(SMALL)
    for name in ("one", "two"):
        write_book_of(small, tmp_path / name, "letter", (), with_pictures)
    files = sorted(path.name for path in (tmp_path / "one").iterdir())
    assert files == sorted(path.name for path in (tmp_path / "two").iterdir())
    for name in files:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes(), name


def test_a_machine_without_graphics_gets_the_book_and_is_told_why_it_has_no_pictures(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "pictures_or_reason", lambda *_: NoPictures("no graphics here"))
    book = write_book_of(parse(SMALL), tmp_path)
    assert book.no_pictures == "no graphics here"
    with pdfplumber.open(tmp_path / "small-book-a4.pdf") as found:
        assert any("No pictures: no graphics here" in page.extract_text() for page in found.pages)


def test_a_design_of_a_nose_alone_has_a_book_that_says_what_is_not_stated(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["book", str(NOSE), "--out", str(tmp_path), "--paper", "letter", "--no-pictures"])
    assert result.exit_code == 0, result.output
    (file,) = tmp_path.glob("*-book-letter.pdf")
    with pdfplumber.open(file) as found:
        assert "not stated" in " ".join(page.extract_text() for page in found.pages)
        assert float(found.pages[0].width) == pytest.approx(215.9 * MM, abs=0.01)


def test_an_unknown_paper_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    with pytest.raises(FerruleError, match="--paper: 'a9' is not among a4, letter"):
        make_book(NOSE, tmp_path / "out", "a9")
    assert not (tmp_path / "out").exists()


GOLDEN = Path(__file__).parents[1] / "data" / "golden_pages"
DOTS = 24
"""Dots an inch: where words and lines stand shows, single letters do not."""


@pytest.mark.parametrize("chapter", ["Marram: build book", "Inspection sheet", "Margin tape", "Field card"])
def test_pages_look_as_they_did_when_somebody_looked_at_them(
    made: tuple[BookMade, Path], tmp_path: Path, chapter: str
) -> None:
    """Golden pictures of our own, held loosely; FERRULE_GOLDEN=write renews them, after a look at each page."""
    file = made[1] / "marram-book-a4.pdf"
    reader = pypdf.PdfReader(file)
    (first,) = [one for one in reader.outline if not isinstance(one, list) and one.title == chapter]
    number = str((reader.get_destination_page_number(first) or 0) + 1)
    command = ["pdftoppm", "-r", str(DOTS), "-gray", "-f", number, "-l", number, "-png", "-singlefile", str(file)]
    subprocess.run([*command, str(tmp_path / "page")], check=True)
    golden = GOLDEN / f"{re.sub(r'[^a-z]+', '-', chapter.lower())}.png"
    if os.environ.get("FERRULE_GOLDEN") == "write":
        golden.parent.mkdir(exist_ok=True)
        golden.write_bytes((tmp_path / "page.png").read_bytes())
    pages = []
    for path in (tmp_path / "page.png", golden):
        with Image.open(path) as image:
            pages.append(np.asarray(image.convert("L"), dtype=float) / 255.0)
    found, wanted = pages
    assert found.shape == wanted.shape
    assert found.min() < 0.6 < 0.99 < found.max()
    # Of the ink, where it lies: a block that moved or is missing shows, and a figure that changed does not.
    assert float(np.abs(found - wanted).mean()) < 0.25 * float((1.0 - wanted).mean())
