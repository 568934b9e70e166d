"""The chart of what each item adds: its bars and figures as another reader finds them, and nothing beside the page."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from lxml import etree
from rocket_samples import rocket
from svgpathtools import svg2paths

from ferrule.analysis.contributions import contributions
from ferrule.analysis.rocket import Item, Rocket
from ferrule.app.contribution_chart import ContributionChart, contribution_chart, make_chart
from ferrule.app.design import Design
from ferrule.app.design_file import load, parse
from ferrule.app.job import FORMATS
from ferrule.app.lengths import Lengths
from ferrule.app.make_design import make_design
from ferrule.app.side_view import HEIGHT, WIDTH
from ferrule.app.summary import failed_checks, summary
from ferrule.parts.errors import DesignError
from ferrule.parts.marks import SMALLEST_TYPE
from ferrule.parts.sheets.sheet import Box, Solid, Text

ROOT = Path(__file__).resolve().parents[2]
MARRAM = ROOT / "examples" / "marram" / "marram.toml"
SPACE = "{http://www.w3.org/2000/svg}"
HALF = """
format = 1
name = "Half"

[[tube]]
name = "body"
outside_mm = [66.0, 66.1]
inside_mm = [64.0, 64.1]
length = "700 mm"
station = "0 mm"

[[part]]
name = "ring"
kind = "centering-ring"
station = "600 mm"
outside_diameter = "64 mm"
inside_diameter = "42 mm"
thickness = "6 mm"
"""
"""Without a mass, a nose or fins."""

PAGE = Box(0.0, 0.0, WIDTH, HEIGHT)


def words(chart: ContributionChart) -> list[str]:
    return [item.words for item in chart.items() if isinstance(item, Text)]


def chart_of(made: Rocket, stamp: str = "", unit: Any = "mm") -> ContributionChart:
    return ContributionChart(contributions(made), made.name, ("fingerprint 0",), stamp, Lengths(unit))


def check_page(chart: ContributionChart) -> None:
    """Everything lies on the page, no words on others, and none smaller than 9 pt."""
    items = chart.items()
    assert all(PAGE.holds(item.box()) for item in items)
    texts = [item for item in items if isinstance(item, Text)]
    assert all(text.size >= SMALLEST_TYPE for text in texts)
    # Letters of two rows may touch each other's rectangle by the depth of a g, never more.
    boxes = [text.box().grown(-0.4) for text in texts]
    for index, box in enumerate(boxes):
        assert not any(box.meets(other) for other in boxes[index + 1 :]), texts[index].words
    bars = [item.box() for item in items if isinstance(item, Solid)]
    assert not any(bar.meets(box) for bar in bars for box in boxes)


@pytest.fixture(scope="module")
def marram() -> Design:
    return load(MARRAM)


def test_the_demo_as_another_reader_finds_it(marram: Design, tmp_path: Path) -> None:
    figures = summary(marram)
    (made,) = make_chart(marram, figures, tmp_path, FORMATS, (), lambda _: None)
    assert made.file == "marram-contributions.svg"
    root = etree.parse(tmp_path / made.file).getroot()
    assert (root.get("width"), root.get("height")) == ("297mm", "210mm")
    told = ["".join(text.itertext()) for text in root.iter(f"{SPACE}text")]
    assert f"fingerprint {figures['fingerprint']}, revision A" in told
    assert "Marram" in told
    for row in marram.contributions.rows:
        assert row.name in told
        assert f"{row.mass:.1f}" in told
    found = marram.contributions
    assert {f"{found.mass:.1f}", f"at {found.cg:.1f}", f"{found.slope:.2f}", f"at {found.cp:.1f}"} <= set(told)
    paths, attributes = svg2paths(str(tmp_path / made.file))
    boxes = [path.bbox() for path, about in zip(paths, attributes, strict=True) if "points" in about]
    # Bars of the first column start at one line and are as long as the masses, whatever the scale.
    left = min(box[0] for box in boxes)
    lengths = sorted(box[1] - box[0] for box in boxes if box[0] == pytest.approx(left, abs=1e-3))
    masses = sorted(row.mass for row in found.rows if row.mass is not None)
    scale = lengths[-1] / masses[-1]
    drawn = [mass for mass in masses if mass * scale > 0.05]
    assert lengths == pytest.approx([mass * scale for mass in drawn], abs=2e-3)
    # No colour: black, white and nothing else.
    colours = {one.get(key) for one in root.iter() for key in ("fill", "stroke")} - {None, "none"}
    assert colours <= {"#000000", "#ffffff"}


def test_bars_point_the_way_that_the_station_moves() -> None:
    """Of nose, tube, fins and payload the nose pulls both stations forward; fins pull the CP aft."""
    chart = chart_of(rocket())
    bars = [item.box() for item in chart.items() if isinstance(item, Solid)]
    rows, columns = chart.rows(), chart.columns()
    reach = {
        column.head: [column.value(row) for row in rows if column.value(row)] for column in columns if column.moves
    }
    assert [value > 0.0 for value in reach["Moves the CP [mm]"] if value] == [False, True]
    wide = (WIDTH - 28.0 - 61.0) / 4
    for index in (1, 3):
        left, right = 75.0 + wide * index, 75.0 + wide * (index + 1)
        ends = sorted({round(side, 4) for bar in bars if left < bar.left < right for side in (bar.left, bar.right)})
        (zero,) = [
            x
            for x in ends
            if all(abs(x - bar.left) < 1e-3 or abs(x - bar.right) < 1e-3 for bar in bars if left < bar.left < right)
        ]
        signs = [bar.left > zero - 1e-3 for bar in sorted(bars, key=lambda bar: -bar.high) if left < bar.left < right]
        assert signs == [value > 0.0 for value in reach[columns[index].head] if value]


@pytest.mark.parametrize("count", [0, 20, 21, 22, 60])
@pytest.mark.parametrize("stamps", [0, 2, 40])
def test_everything_has_its_place_however_much_there_is(count: int, stamps: int) -> None:
    made = rocket()
    more = tuple(Item(f"{'W' * 70} {n}", (300.0,), stated_mass=10.0 + n) for n in range(count))
    chart = chart_of(Rocket("W" * 80, (*made.items, *more)), "; ".join(f"nose number {n}" for n in range(stamps)))
    check_page(chart)
    rows = chart.rows()
    assert sum(row.mass or 0.0 for row in rows) == pytest.approx(chart.found.mass)
    if count == 60:
        assert rows[-1].name == f"others ({len(made.items) + count - len(rows) + 1})"


def test_more_failed_checks_than_there_is_room_for_end_in_an_ellipsis() -> None:
    chart = chart_of(rocket(), "; ".join(f"nose number {n}" for n in range(60)))
    stamps = [item for item in chart.items() if isinstance(item, Text) and item.bold and item.size == 12.0]
    assert [stamp.words[-1] == "…" for stamp in stamps] == [False, False, True]


def test_what_is_not_stated_is_a_dash_that_is_explained() -> None:
    design = parse(HALF)
    chart = contribution_chart(design, summary(design), ())
    assert any(line.endswith("A figure that is not stated is -.") for line in words(chart))
    assert "-" in words(chart)
    check_page(chart)


def test_inches_come_where_they_are_asked_for() -> None:
    found = words(chart_of(rocket(), unit="in"))
    assert "Moves the CG [in]" in found
    at = contributions(rocket()).cg
    assert at is not None
    assert f"at {at / 25.4:.3f}" in found


def test_another_format_makes_no_chart(marram: Design, tmp_path: Path) -> None:
    assert make_chart(marram, summary(marram), tmp_path, ("pdf", "step"), (), lambda _: None) == []
    assert list(tmp_path.iterdir()) == []


def test_a_run_of_some_parts_leaves_no_chart_of_another_state(tmp_path: Path) -> None:
    """The chart comes with the whole and the format svg; a later run throws an older one away."""
    design, out = parse(HALF), tmp_path / "out"
    make_design(design, out, (), ("svg",))
    listed = {one["file"]: one for one in json.loads((out / "manifest.json").read_text())["files"]}
    assert listed["half-contributions.svg"]["kind"] == "contributions"
    assert listed["half-contributions.svg"]["self_check"] == {"rows": 2, "items": 2}
    assert make_design(design, out, ("ring",), ("svg",)).removed == ()
    assert (out / "half-contributions.svg").exists(), "of the same state it stays"
    changed = parse(HALF.replace("700 mm", "701 mm"))
    assert "half-contributions.svg" in make_design(changed, out, ("ring",), ("svg",)).removed
    assert not (out / "half-contributions.svg").exists()


def test_a_failed_check_is_stamped_on_it(marram: Design) -> None:
    chart = contribution_chart(marram, summary(marram), ("static margin, DEMO-29 at liftoff",))
    assert "CHECK FAILED: static margin, DEMO-29 at liftoff" in words(chart)
    assert failed_checks(summary(marram)) == ()


def test_a_part_of_that_name_would_take_its_file() -> None:
    text = MARRAM.read_text(encoding="utf-8").replace('name = "rail button"', 'name = "contributions"')
    with pytest.raises(DesignError, match="contributions"):
        parse(text, str(MARRAM))
