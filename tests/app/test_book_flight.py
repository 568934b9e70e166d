"""The flight pages of the build book: every motor, every check with its source, and plain words where nothing is known.

Pages are read with pdfplumber, which knows nothing of how they were made; the figures on them are held to the summary
and to closed forms.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from book_samples import DEMO, NOSE, about, cells, demo_with, flat, texts, written

from ferrule.analysis.flight.deployment import COUNTED
from ferrule.app.book.about import About
from ferrule.app.book.check_rows import WORST_FIRST, check_tables, counted, flight_checks
from ferrule.app.book.flight_page import flight_pages
from ferrule.app.cautions import NOT_A_CLEARANCE
from ferrule.app.flight_tables import NOT_MODELLED
from ferrule.parts.sheets.blocks import DrawnPage, SideBySide, Table, Together
from ferrule.parts.sheets.paper import US_LETTER

GRAVITY = 9.80665
"""Standard gravity [m/s2] (ISO 80000-3)."""

NO_TABLE = """
[[motor]]
name = "BARE"
fits = "motor tube"
diameter = "29 mm"
length = "220 mm"
aft_end = "1158 mm"
loaded_mass = "190 g"
empty_mass = "100 g"
"""
WEAK = "DEMO-29 of half the thrust"


@pytest.fixture(scope="module")
def demo() -> About:
    return about(DEMO)


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> About:
    """The demo with a second motor, whose thrust is half of the first."""
    return about(demo_with(tmp_path_factory.mktemp("two"), {WEAK: 0.5}), US_LETTER)


@pytest.fixture(scope="module")
def nose() -> About:
    return about(NOSE)


def pages(told: About, folder: Path) -> list[str]:
    return texts(written(told, flight_pages(told), folder / "pages.pdf"))


@pytest.fixture(scope="module")
def demo_pages(demo: About, tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    return pages(demo, tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="module")
def two_pages(two: About, tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    return pages(two, tmp_path_factory.mktemp("two-pages"))


def test_a_page_that_tells_a_delay_says_from_when_its_seconds_count(
    demo_pages: list[str], two_pages: list[str]
) -> None:
    telling = [page for page in (*demo_pages, *two_pages) if "delay" in page.lower()]
    assert len(telling) >= 6
    for page in telling:
        # A table may stand between the words of the sentence on a line of a cell; its start and end are then enough.
        assert "seconds count from burnout" in page
        assert "trim only with the maker's tool" in page
    assert COUNTED == "seconds count from burnout, not ignition; trim only with the maker's tool"


def test_main_figures_are_those_of_the_summary(demo: About, demo_pages: list[str]) -> None:
    (flight,) = demo.figures["flights"]
    first = demo_pages[0]
    assert NOT_A_CLEARANCE in first
    # 1 ft is 0.3048 m, exactly (international foot, 1959).
    apogee = flight["apogee_height_m"]
    assert f"{apogee:,.0f} m ({apogee / 0.3048:,.0f} ft)" in first
    assert f"{flight['greatest_speed_m_per_s']:.0f} m/s, Mach {flight['greatest_mach']:.2f}" in first
    assert f"{flight['liftoff_mass_g']:,.0f} g" in first
    assert "Mass at liftoff, PREDICTED" in first


def test_charts_fill_pages_of_their_own(demo: About, two: About) -> None:
    for told in (demo, two):
        titles = [block.title for block in flight_pages(told) if isinstance(block, DrawnPage)]
        names = [one["name"] for one in told.figures["motors"]]
        assert titles == [
            title
            for name in names
            for title in (f"Flight with {name}, chart", f"Margin through the burn of {name}, chart")
        ]


def test_every_check_of_flight_and_loads_stands_there_with_its_limit_and_source(demo: About, two: About) -> None:
    for told in (demo, two):
        text = "\n".join(cells(flight_pages(told)))
        names = [one["name"] for one in told.figures["motors"]]
        made = [one for one in told.figures["checks"] if one["formula"]]
        assert len(made) > 25
        for one in made:
            motor = next((name for name in names if one["name"].endswith(f", {name}")), "")
            base = one["name"].removesuffix(f", {motor}") if motor else one["name"]
            assert base in text
            assert one["value"] is None or one["value"] in text
            assert f"Held to: {one['limit']}. Source: {one['source']}." in text
            assert f"Formula: {one['formula']}." in text
            assert all(word in text for word in one["inputs"])
        for start in ("static margin", "rail exit speed", "mean thrust over weight", "opening load", "fin: flutter"):
            assert start in text
        # What is checked of parts and tubes has its place elsewhere.
        assert "readings of the outside" not in text


def test_the_worst_check_comes_first(two: About) -> None:
    statuses = [WORST_FIRST.index(one["status"]) for one in flight_checks(two.figures)]
    assert statuses == sorted(statuses)
    assert statuses[0] == 0  # half the thrust leaves the rail too slowly
    heads = [block.head[0] for block in check_tables(flight_checks(two.figures)) if isinstance(block, Table)]
    words = ["Checks that fail", "Checks that warn", "Checks that are not stated", "Checks that pass"]
    assert [head.partition(":")[0] for head in heads] == words
    assert sum(int(head.rpartition(" ")[2]) for head in heads) == len(statuses)
    fails = statuses.count(0)
    assert counted(flight_checks(two.figures)).startswith("1 fails, " if fails == 1 else f"{fails} fail, ")


def test_the_two_rules_stand_beside_each_other_with_the_reason(demo: About, two: About) -> None:
    for told in (demo, two):
        found = [block for block in flight_pages(told) if isinstance(block, Together)]
        (rules,) = [one for one in found if any(isinstance(block, SideBySide) for block in one.blocks)]
        (beside,) = [block for block in rules.blocks if isinstance(block, SideBySide)]
        ratio, speed = cells(beside.left), cells(beside.right)
        for number, motor in enumerate(told.figures["motors"]):
            assert ratio[3 * number] == speed[3 * number] == motor["name"]
            assert ratio[3 * number + 1].endswith("times")
            assert "m/s from a rail of 2.4 m" in speed[3 * number + 1]
    weak = {one["name"]: one["status"] for one in two.figures["checks"]}
    # The rules contradict each other in this design: 4.4 times the weight warns, and the speed is a failure.
    assert weak[f"mean thrust over weight, {WEAK}"] == "warn"
    assert weak[f"rail exit speed, {WEAK}"] == "fail"


def test_the_reason_is_the_closed_form(demo_pages: list[str], demo: About) -> None:
    """Steady thrust of n times the weight over a way s: v = sqrt(2 (n - 1) g s) (elementary mechanics)."""
    (rail,) = demo.figures["rail_exits"]
    way = rail["guided_travel_mm"] / 1000.0
    text = " ".join(demo_pages)
    assert f"a steady 5 times the weight gives {math.sqrt(8.0 * GRAVITY * way):.1f} m/s" in text
    assert f"15 m/s asks for {1.0 + 15.0**2 / (2.0 * GRAVITY * way):.1f} times" in text


def test_several_motors_are_compared_before_anything_else(two: About, two_pages: list[str]) -> None:
    first = two_pages[0]
    assert first.index("Motors compared") < first.index("Flight with DEMO-29")
    rows = {row["motor"]: row for row in two.figures["compared"]}
    table = next(block for block in flat(flight_pages(two)) if isinstance(block, Table))
    assert [row[0] for row in table.rows] == list(rows)
    for row in table.rows:
        found = rows[str(row[0])]
        assert row[1] == f"{found['margin_at_liftoff_cal']:.2f}"
        assert row[4:7] == tuple(f"{one['speed_m_per_s']:.1f}" for one in found["exit_speeds"])
        assert row[8] == f"{found['delay_wanted_s']:.1f}"
    assert f"Flight with {WEAK}" in " ".join(two_pages)
    assert "CHECK FAILED: rail exit speed" in first


def test_what_is_a_bound_says_so_and_what_is_left_out_is_listed(demo_pages: list[str]) -> None:
    text = " ".join(demo_pages)
    assert "are bounds, no predictions" in text
    for words in NOT_MODELLED:
        assert words.lower() in text.lower()
    assert "Harness anchors are metal through plywood" in text


def test_without_a_motor_the_page_says_what_is_missing(nose: About, tmp_path: Path) -> None:
    (page,) = pages(nose, tmp_path)
    assert "Flight: not stated" in page
    assert "Enter the motor as [[motor]]" in page
    assert "NOT STATED" in page
    assert "static margin" in page
    assert "Motors compared" not in page
    assert "m/s at" not in page


def test_a_motor_without_a_thrust_table_is_told_of_with_what_is_missing(tmp_path: Path) -> None:
    told = about(demo_with(tmp_path, {}, NO_TABLE))
    blocks = flight_pages(told)
    found = " ".join(texts(written(told, blocks, tmp_path / "pages.pdf")))
    assert "Flight with BARE Flight not stated: needs the motor's thrust table as 'thrust'." in found
    compared = next(block for block in flat(blocks) if isinstance(block, Table))
    assert compared.rows[1][0] == "BARE"
    # Masses and places are stated, so that the margin is; nothing that needs the thrust is.
    assert "not stated" not in compared.rows[1][1:3]
    assert set(compared.rows[1][3:]) == {"not stated"}
    titles = [block.title for block in blocks if isinstance(block, DrawnPage)]
    assert "Flight with BARE, chart" not in titles
