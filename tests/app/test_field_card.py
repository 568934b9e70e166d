"""The field card: two pages of A5 whatever the design, with what is measured told from what is predicted."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pytest
from book_samples import DEMO, NOSE, about, cells, demo_with, flat, texts, written

from ferrule.app.book.about import About
from ferrule.app.book.field_card import MOTORS, field_card
from ferrule.app.book.tape_fits import tape_fits
from ferrule.parts.sheets.blocks import Blanks, Figures, NewPage, Table, Words
from ferrule.parts.sheets.paper import A4, US_LETTER

MM = 25.4 / 72.0
A5 = (148.0, 210.0)
"""Width and height of A5 [mm] (ISO 216)."""

THREE = {"DEMO-29 half": 0.5, "DEMO-29 more": 1.2, "DEMO-29 most": 1.4}
BALANCE = """
[[balance]]
mass = "1241 g"
cg = "706 mm"
motor = "DEMO-29"
"""


@pytest.fixture(scope="module")
def demo() -> About:
    return about(DEMO)


@pytest.fixture(scope="module")
def four(tmp_path_factory: pytest.TempPathFactory) -> About:
    """The demo with four motors, balanced with the first."""
    return about(demo_with(tmp_path_factory.mktemp("four"), THREE, BALANCE), US_LETTER)


@pytest.fixture(scope="module")
def crowded(tmp_path_factory: pytest.TempPathFactory) -> About:
    """More motors, winds and joints of tape than there is room for, names as long as they may be, and a failure."""
    names = {_long(f"{number} a motor of an invented maker"): 0.5 + number / 10.0 for number in range(4)}
    path = demo_with(tmp_path_factory.mktemp("crowded"), names)
    text = path.read_text(encoding="utf-8")
    winds = ", ".join(f'"{wind} m/s"' for wind in range(1, 13))
    for old, new in (
        ('name = "Marram"', f'name = "{_long("Marram")}"'),
        ('winds = ["2 m/s", "4 m/s", "6 m/s", "8 m/s"]', f"winds = [{winds}]"),
        ('ceiling = "900 m"', 'ceiling = "100 m"'),
        ('[rail]\nlength = "2.4 m"\n', ""),
        ('by = "3 x M3 into inserts"', 'by = "3 x M3 into inserts, over tape"'),
        ('"payload tube"', f'"{_long("payload tube")}"'),
    ):
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    return about(path)


def _long(words: str) -> str:
    """A name of 80 letters, the most that there may be."""
    return f"{words} of a name that goes on and on {'m' * 80}"[:80]


def sizes(path: Path) -> list[tuple[float, float]]:
    with pdfplumber.open(path) as found:
        return [(float(page.width) * MM, float(page.height) * MM) for page in found.pages]


@pytest.mark.parametrize("name", ["demo", "four", "crowded"])
def test_it_is_two_pages_of_a5_and_no_word_leaves_them(
    name: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    told: About = request.getfixturevalue(name)
    path = written(told, field_card(told), tmp_path / "card.pdf")
    assert sizes(path) == [pytest.approx(A5, abs=0.1)] * 2
    with pdfplumber.open(path) as found:
        for page in found.pages:
            words = page.extract_words()
            assert min(word["x0"] for word in words) * MM >= 8.9
            assert max(word["x1"] for word in words) * MM <= A5[0] - 8.9
            assert max(word["bottom"] for word in words) * MM <= A5[1] - 8.0


def test_what_follows_it_in_a_book_has_the_paper_of_the_book_again(demo: About, four: About, tmp_path: Path) -> None:
    for told, paper in ((demo, A4), (four, US_LETTER)):
        path = written(told, (*field_card(told), Words("after the card")), tmp_path / f"{paper.name}.pdf")
        assert sizes(path)[2] == pytest.approx((paper.width, paper.height), abs=0.1)


def test_a_row_for_each_motor_with_the_figures_of_the_summary(four: About, tmp_path: Path) -> None:
    front, back = texts(written(four, field_card(four), tmp_path / "card.pdf"))
    table = next(block for block in flat(field_card(four)) if isinstance(block, Table))
    compared = {row["motor"]: row for row in four.figures["compared"]}
    assert [row[0] for row in table.rows] == list(compared)
    for row, flight in zip(table.rows, four.figures["flights"], strict=True):
        found = compared[str(row[0])]
        assert row[1] == f"{flight['liftoff_mass_g']:,.0f}"
        assert row[3] == f"{found['margin_at_liftoff_cal']:.2f}"
        assert row[4] == f"{found['mean_thrust_to_weight']:.1f}"
        assert row[5] == f"{found['exit_speeds'][1]['speed_m_per_s']:.1f}"  # the rail of 2.4 m
        assert row[6] == f"{found['apogee_m']:,.0f}"
        assert row[7] == f"{found['delay_wanted_s']:.1f}"
    for page in (front, back):
        assert "seconds count from burnout, not ignition; trim only with the maker's tool" in page
        assert "Not a clearance to fly" in page


def test_measured_and_predicted_are_told_apart(demo: About, four: About, tmp_path: Path) -> None:
    front = texts(written(demo, field_card(demo), tmp_path / "demo.pdf"))[0]
    assert "PREDICTED: BALANCE AND RE-MARK" in front
    assert "Mass and CG PREDICTED." in front
    assert "measured" not in front
    front = texts(written(four, field_card(four), tmp_path / "four.pdf"))[0]
    (grid,) = [dict(block.cells) for block in field_card(four) if isinstance(block, Figures)]
    assert grid["Mass, measured"] == "1,241 g"
    assert grid["CG from the nose tip, measured"] == "706.0 mm (27.795 in)"
    assert "PREDICTED: BALANCE AND RE-MARK: DEMO-29 half" in front
    assert "Mass and CG measured with DEMO-29 alone." in front


def test_wraps_are_those_that_leave_play(demo: About) -> None:
    """A coupler 0.40 mm smaller than its tube: one wrap of 0.13 mm tape adds 0.26 mm, two add 0.52 mm (arithmetic)."""
    found = tape_fits(demo.design)
    assert [(one.words, one.wraps.number, one.releases) for one in found] == [
        ("coupler in booster tube", 1, True),
        ("nose in payload tube", 1, False),
    ]
    words = cells(field_card(demo))
    at = words.index("coupler in booster tube")
    assert words[at : at + 4] == ["coupler in booster tube", "1", "0.14 mm play", "0.12 mm tight"]
    at = words.index("nose in payload tube")
    assert words[at : at + 4] == ["nose in payload tube", "1", "0.24 mm play", "0.02 mm tight"]


def test_the_back_has_drift_rail_and_whom_to_call(demo: About, tmp_path: Path) -> None:
    back = texts(written(demo, field_card(demo), tmp_path / "card.pdf"))[1]
    for row in demo.figures["drift"][0]["rows"]:
        assert f"{row['wind_m_per_s']:g} m/s {row['radius_m']:,.0f} m" in back
    assert "Rail: 2400 mm (94.5 in); aft end 150 mm (5.9 in) above its foot (stand-off)." in back
    labels = [label for block in field_card(demo) if isinstance(block, Blanks) for label in block.labels]
    for blank in ("Field", "Date, wind", "Flyer", "Phone", "If found, call", "CG today", "Mass today [g]"):
        assert blank in labels


def test_what_has_no_room_is_told(crowded: About, tmp_path: Path) -> None:
    front, back = texts(written(crowded, field_card(crowded), tmp_path / "card.pdf"))
    assert f"{len(crowded.figures['motors']) - MOTORS} more motor: see the build book." in front
    assert "7 more winds: see the build book." in back
    assert "CHECK FAILED" in front
    assert "CHECK FAILED" in back


def test_half_a_design_gives_a_card_that_makes_sense(tmp_path: Path) -> None:
    nose = about(NOSE)
    front, back = texts(written(nose, field_card(nose), tmp_path / "card.pdf"))
    assert "Motor: not stated." in front
    assert "not stated without a motor" in front
    assert "Not stated: it needs a flight and a parachute" in back
    assert "nose in tube" in back
    assert "Rail: not stated" in back


def test_it_begins_on_a_page_of_its_own(demo: About) -> None:
    assert isinstance(field_card(demo)[0], NewPage)
