"""The chapter of dimensioned drawings: every part of a design is there, with its sums and the bounds of its sizes.

Pages are read by pdfplumber. General tolerances: ISO 2768-1, table 1, class m (from memory). Clearances are those of
the table of fits, added to the readings of the demo by hand.
"""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import pdfplumber
import pypdf
import pytest
from drawing_faults import faults

from ferrule.app.book.about import About
from ferrule.app.book.drawings import drawings
from ferrule.app.book.size_bounds import bounds_of
from ferrule.app.design import Design
from ferrule.app.design_file import load
from ferrule.app.summary import summary
from ferrule.parts.fit import FitChoice, Surroundings
from ferrule.parts.kinds import KINDS, FinCan, NoseCone
from ferrule.parts.sheets.blocks import Block, Book, Bullets, SheetPage, Table, Together
from ferrule.parts.sheets.paper import A4
from ferrule.parts.writers.book import write_book

DEMO = Path(__file__).parents[2] / "examples" / "marram" / "marram.toml"


@pytest.fixture(scope="module")
def design() -> Design:
    return load(DEMO)


@pytest.fixture(scope="module")
def about(design: Design) -> About:
    return About(design, summary(design), (), A4)


@pytest.fixture(scope="module")
def blocks(about: About) -> tuple[Block, ...]:
    return drawings(about)


def tables(blocks: tuple[Block, ...]) -> dict[str, Table]:
    """The table of sizes of each part, by the name of the part."""
    found = {}
    for block in blocks:
        if isinstance(block, Together):
            title, table, *_ = block.blocks
            assert isinstance(table, Table)
            found[getattr(title, "text", "").split(":")[0]] = table
    return found


def test_every_part_that_is_not_laid_at_the_bench_has_its_drawings(
    design: Design, blocks: tuple[Block, ...], tmp_path: Path
) -> None:
    wanted = {one.name for one in design.rocket.items if one.part is not None and not one.part.laid_at_the_bench}
    assert len(wanted) == 10
    titles = [one.sheet.title for one in blocks if isinstance(one, SheetPage)]
    assert all(any(title.startswith(name) for title in titles) for name in wanted)
    assert set(tables(blocks)) == wanted
    proof = write_book(tmp_path / "b.pdf", Book("Drawings", A4, "foot", "", blocks))
    assert proof.sheets == len(titles)
    reader = pypdf.PdfReader(tmp_path / "b.pdf")
    assert len(reader.pages) == proof.pages
    assert not reader.pages[1].images  # lines, and no picture of them
    with pdfplumber.open(tmp_path / "b.pdf") as document:
        said = " ".join(page.extract_text() for page in document.pages)
    for name in wanted:
        assert name in said
    for words in ("Good from, to", "As built", "smallest inside of the payload tube 65.86 - 0.50", "ISO 2768-1"):
        assert words in " ".join(said.split())


def test_words_on_the_drawings_stand_free(blocks: tuple[Block, ...]) -> None:
    for one in blocks:
        if isinstance(one, SheetPage):
            assert faults(one.sheet) == []


def test_each_derived_size_is_told_with_its_sum(design: Design, blocks: tuple[Block, ...]) -> None:
    told = [
        text
        for one in blocks
        if isinstance(one, Together)
        for b in one.blocks
        if isinstance(b, Bullets)
        for text in b.texts
    ]
    sums = [one.sum for fields in design.derived.values() for one in fields.values()]
    assert len(sums) > 10
    assert sorted(text.split(": ", 1)[1] for text in told) == sorted(sums)


def test_sizes_have_their_bounds_and_room_to_write(blocks: tuple[Block, ...]) -> None:
    """Ring: the smallest inside, 65.87 mm, less 0.1 to 0.5; 6 mm within 0.1 and 120 mm within 0.3 by the standard."""
    found = tables(blocks)
    ring = {row[0]: row[1:] for row in found["forward ring"].rows}
    assert ring["outside diameter"] == ("65.67 mm (2.5854 in)", "65.37 to 65.77", "play 0.1 to 0.5", "")
    assert ring["inside diameter"][1] == "31.12 to 31.52"  # 31.02 + 0.1 and + 0.5
    assert ring["thickness"][1:] == ("5.90 to 6.10", "general", "")
    fin = {row[0]: row[1:] for row in found["fin"].rows}
    assert fin["root chord"][1] == "119.70 to 120.30"
    # Outside 68.40, motor tube 31.02: 18.69 less 0.2 to 0.5.
    assert fin["tab depth"][1] == "18.19 to 18.49"
    tube = {row[0]: row[1:] for row in found["payload tube"].rows}
    assert tube["outside diameter"] == ("68.40 mm (2.6929 in)", "", "as measured", "")
    assert all(2 <= len(table.rows) <= 6 for table in found.values())


def test_inches_come_first_where_the_design_says_so_and_failed_checks_are_stamped(design: Design) -> None:
    settings = design.settings.model_copy(update={"units": "in"})
    turned = dataclasses.replace(design, settings=settings)
    found = drawings(About(turned, summary(design), ("shoulder in tube",), A4))
    row = tables(found)["forward ring"].rows[0]
    assert row[1] == "2.5854 in (65.67 mm)"
    assert row[2] == "2.5736 to 2.5894"  # 65.37 / 25.4 and 65.77 / 25.4
    pages = [one.sheet for one in found if isinstance(one, SheetPage)]
    assert len(pages) > 10
    assert all("CHECK FAILED: shoulder in tube" in {text.words for text in one.texts()} for one in pages)


# --- bounds -----------------------------------------------------------------------------------------------------------


def near(design: Design, name: str, **choice: Any) -> Surroundings:
    return Surroundings(design.tubes[name], choice=FitChoice(**choice))


def test_a_nose_is_flush_and_its_shoulder_enters(design: Design) -> None:
    """Payload tube: mean outside 68.40, smallest inside 65.86; base 0 to 0.3 under it, shoulder 0.2 to 1.0 less."""
    (nose,) = [one.part for one in design.rocket.items if one.kind == "nose-cone"]
    assert isinstance(nose, NoseCone)
    base = bounds_of(nose, "base_diameter", near(design, "payload tube"))
    shoulder = bounds_of(nose, "shoulder_diameter", near(design, "payload tube"))
    assert base is not None and shoulder is not None  # noqa: PT018
    assert (base.least, base.most) == pytest.approx((68.10, 68.40))
    assert (shoulder.least, shoulder.most) == pytest.approx((64.86, 65.66))


def test_a_fin_can_slides_over_its_tube(design: Design) -> None:
    """Booster tube: largest outside 68.44; a printed slip fit in PETG is 0.2 to 0.6 over it."""
    can = FinCan.build(**FinCan.example | {"bore_diameter": "68.84 mm"})
    found = bounds_of(can, "bore_diameter", near(design, "booster tube", material="petg"))
    assert found is not None
    assert (found.least, found.most) == pytest.approx((68.64, 69.04))


@pytest.mark.parametrize(
    ("length", "off"),
    [("5 mm", 0.1), ("29 mm", 0.2), ("31 mm", 0.3), ("300 mm", 0.5), ("900 mm", 0.8), ("1500 mm", 1.2)],
)
def test_general_tolerances_are_those_of_the_standard(length: str, off: float) -> None:
    """ISO 2768-1, table 1, class m (from memory)."""
    tube = KINDS["tube"].build(outside_diameter="20 mm", inside_diameter="18 mm", length=length)
    found = bounds_of(tube, "length", Surroundings())
    value = float(length.split()[0])
    assert found is not None
    assert (found.least, found.most) == pytest.approx((value - off, value + off))
