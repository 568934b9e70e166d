"""The report's tables and the summary's figures of the air, against the functions they come from and by hand.

US Standard Atmosphere, 1976: 1.225 kg/m3 at sea level.
"""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from ferrule.analysis.aero.damping import swing
from ferrule.analysis.air_stream import with_carry_over
from ferrule.analysis.balance_test import BalanceTest
from ferrule.analysis.pressure_curve import force_at
from ferrule.app.aero_figures import ANGLES
from ferrule.app.check_text import check_text
from ferrule.app.design import Design
from ferrule.app.design_file import load, parse
from ferrule.app.report import report
from ferrule.app.summary import summary
from ferrule.parts.errors import DesignError

ROOT = Path(__file__).resolve().parents[2]
MARRAM = ROOT / "examples" / "marram" / "marram.toml"
TEXT = MARRAM.read_text(encoding="utf-8")

NOTHING = """
format = 1
name = "Weight"

[[mass]]
name = "weight"
mass = "50 g"
station = "10 mm"
"""


@pytest.fixture(scope="module")
def marram() -> Design:
    return load(MARRAM)


@pytest.fixture(scope="module")
def figures(marram: Design) -> dict[str, Any]:
    return summary(marram)


def changed(*pairs: tuple[str, str]) -> Design:
    text = TEXT
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return parse(text, "marram.toml", MARRAM.parent)


def rows(text: str, heading: str) -> list[list[str]]:
    """Cells of the table under a heading, without its head."""
    section = text.split(f"## {heading}\n\n", 1)[1].split("\n\n", 1)[0]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in section.splitlines()[2:]]


def near(cell: str, value: float, digits: int) -> bool:
    return abs(float(cell.replace(",", "")) - value) <= 0.5 * 10.0**-digits + 1e-9


def test_the_figures_are_plain_data(figures: dict[str, Any]) -> None:
    assert json.loads(json.dumps(figures, allow_nan=False))["contributions"]["motor"] == "DEMO-29"


def test_what_each_item_adds_is_in_the_report_and_adds_up(marram: Design, figures: dict[str, Any]) -> None:
    found = rows(report(marram, figures), "What each item adds")
    *items, whole = found
    assert [row[0] for row in items] == [*(item.name for item in marram.rocket.items), "DEMO-29"]
    for column, digits in ((1, 1), (2, 1), (3, 1), (5, 1), (6, 1)):
        shown = sum(float(row[column]) for row in items if row[column])
        assert shown == pytest.approx(float(whole[column].replace(",", "")), abs=0.5 * 10.0**-digits * len(items))
    liftoff = next(one for one in figures["loadings"] if one["name"] == "liftoff")
    assert near(whole[1], liftoff["mass_g"], 1)
    assert near(whole[3], liftoff["cg_mm"][0], 1)
    assert near(whole[6], figures["body"]["cp_mm"], 1)
    assert not any(cell == "-0.00" or cell == "-0.0" for row in found for cell in row[8:])


def test_an_item_that_is_left_out_of_the_file_changes_the_margin_by_what_its_row_says() -> None:
    """The payload mount stands alone in the file: without it the whole design is worked out anew."""
    with_it, table = summary(changed()), '[[payload]]\nname = "payload mount"'
    start = TEXT.index(table)
    end = TEXT.index("[[", start + 2)
    without = summary(parse(TEXT[:start] + TEXT[end:], "marram.toml", MARRAM.parent))
    (row,) = [one for one in with_it["contributions"]["items"] if one["name"] == "payload mount"]
    before, after = (
        next(one["margin_cal"] for one in found["loadings"] if one["name"] == "liftoff") for found in (without, with_it)
    )
    assert row["margin_shift_cal"] == pytest.approx(after - before, abs=1e-9)


def test_the_other_method_stands_beside_and_changes_no_check(marram: Design, figures: dict[str, Any]) -> None:
    """With fins at the tail, NACA Report 1307 has the centre of pressure aft of the 1966 report."""
    assert marram.air is not None
    body = figures["body"]
    slopes = [(force.slope, force.moment) for force in with_carry_over(marram.air).forces]
    station = sum(moment for _, moment in slopes) / sum(slope for slope, _ in slopes)
    assert body["cp_1307_mm"] == pytest.approx(station, rel=1e-12)
    assert body["cp_1307_less_1966_mm"] == pytest.approx(station - body["cp_mm"], rel=1e-12)
    assert body["cp_1307_less_1966_mm"] > 0.0
    assert "less careful" in body["cp_1307_note"]
    liftoff = next(one for one in figures["loadings"] if one["name"] == "liftoff")
    assert liftoff["cp_mm"] == body["cp_mm"]
    text = report(marram, figures)
    assert "CP with the factors of NACA Report 1307, for comparison" in text
    assert "for comparison" in check_text(figures)
    assert f"{body['cp_1307_mm']:.1f} mm" in check_text(figures)


def test_a_body_without_fins_has_one_method() -> None:
    design = load(ROOT / "examples" / "nose-only" / "nose.toml")
    figures = summary(design)
    assert figures["body"]["cp_1307_mm"] is None
    assert "NACA Report 1307" not in report(design, figures)
    assert "for comparison" not in check_text(figures)


def test_the_side_view_of_a_nose_and_a_tube(marram: Design, figures: dict[str, Any]) -> None:
    """Tubes of 900 mm together and a nose of 250 mm with 0.5 to 1 of its diameter: between 1025 and 1150 mm of it."""
    body = figures["body"]
    assert 1025.0 < body["side_area_mm2"] / body["reference_diameter_mm"] < 1150.0
    assert 1150.0 / 2.0 < body["side_centroid_mm"] < (250.0 + 1150.0) / 2.0
    assert f"{body['side_area_mm2'] / 100.0:.0f} cm2" in report(marram, figures)


def test_the_pressure_table_is_the_curve(marram: Design, figures: dict[str, Any]) -> None:
    assert marram.air is not None
    points = figures["pressure"]["points"]
    assert [(one["mach"], one["angle_deg"]) for one in points] == [
        (mach, angle) for mach in (0.0, 0.2, 0.4, 0.6, 0.8) for angle in (0.0, 5.0, 10.0, 15.0)
    ]
    liftoff = next(one for one in figures["loadings"] if one["name"] == "liftoff")
    for one in points:
        found = force_at(marram.air, math.radians(one["angle_deg"]), one["mach"])
        assert (one["cn"], one["cp_mm"]) == (found.coefficient, found.station)
        assert one["cp_mm"] is not None, "all of the table lies within the methods"
        margin = (one["cp_mm"] - liftoff["cg_mm"][0]) / figures["body"]["reference_diameter_mm"]
        assert one["margin_cal"] == pytest.approx(margin, rel=1e-12)
    first = points[0]
    assert first["cp_mm"] == pytest.approx(figures["body"]["cp_mm"], rel=1e-12)
    assert first["margin_cal"] == pytest.approx(liftoff["margin_cal"], rel=1e-9)
    shown = rows(report(marram, figures), "Angles and speeds")
    assert [float(row[0]) for row in shown] == list(ANGLES)
    by_place = {(one["angle_deg"], one["mach"]): one for one in points}
    for row, angle in zip(shown, ANGLES, strict=True):
        for column, mach in enumerate((0.0, 0.4, 0.8)):
            one = by_place[angle, mach]
            assert near(row[1 + column], one["cp_mm"], 1)
            assert near(row[4 + column], one["margin_cal"], 2)
            assert near(row[7 + column], one["cn"], 2)


def test_the_rocket_turns_back_the_same_way_at_every_speed(marram: Design, figures: dict[str, Any]) -> None:
    assert marram.air is not None
    for one, loading in zip(figures["loadings"], marram.loadings, strict=True):
        assert one["restoring_slope_per_rad"] == pytest.approx(
            figures["body"]["cn_alpha_per_rad"] * one["margin_cal"], rel=1e-12
        )
        assert loading.mass is not None
        across = (one["inertia_g_mm2"][1][1] + one["inertia_g_mm2"][2][2]) / 2.0
        for speed in (15.0, 90.0):
            found = swing(
                marram.air.forces, loading.mass.cg[0], across, speed, 1.225, figures["body"]["reference_diameter_mm"]
            )
            assert one["swing_length_m"] == pytest.approx(found.swing_length, rel=1e-12)
            assert one["damping_ratio"] == pytest.approx(found.damping_ratio, rel=1e-12)
            assert found.moment_slope == pytest.approx(one["restoring_slope_per_rad"], rel=1e-9)
    text = report(marram, figures)
    assert [row[0] for row in rows(text, "Turning back")] == [
        "without motor",
        "DEMO-29 at liftoff",
        "DEMO-29 at burnout",
    ]


def test_the_burn_ends_where_the_loadings_are(marram: Design, figures: dict[str, Any]) -> None:
    (burn,) = figures["burns"]
    states = {one["name"]: one for one in figures["loadings"]}
    for step, name in ((burn["steps"][0], "liftoff"), (burn["steps"][-1], "burnout")):
        assert step["mass_g"] == pytest.approx(states[name]["mass_g"], rel=1e-12)
        assert step["cg_mm"] == pytest.approx(states[name]["cg_mm"][0], rel=1e-12)
        assert step["margin_cal"] == pytest.approx(states[name]["margin_cal"], rel=1e-9)
    assert [row[1] for row in rows(report(marram, figures), "Balance through the burn")] == [
        "0",
        "25",
        "50",
        "75",
        "100",
    ]


def test_the_class_of_the_motor_is_told_with_its_source(marram: Design, figures: dict[str, Any]) -> None:
    """168.1 N s are class H, above 160 to 320 N s; level 1 in the one text that was read."""
    (motor,) = figures["motors"]
    assert motor["impulse_class"] == "H"
    assert motor["impulse_class_share"] == pytest.approx((motor["total_impulse_ns"] - 160.0) / 160.0)
    assert motor["certification_band"]["name"] == "level 1"
    (line,) = [line for line in report(marram, figures).splitlines() if "class H by its thrust table" in line]
    assert "looked up" in line
    assert line.endswith("The motor's label and the association's current code decide.")


def test_a_motor_without_a_thrust_table_has_no_class() -> None:
    design = changed(('thrust = "demo-29.csv"', ""))
    figures = summary(design)
    (motor,) = figures["motors"]
    assert [motor[key] for key in ("impulse_class", "impulse_class_source", "certification_band")] == [None] * 3
    assert "by its thrust table" not in report(design, figures)


def test_a_design_of_weights_says_nothing_of_the_air() -> None:
    design = parse(NOTHING)
    figures = summary(design)
    assert (figures["pressure"], figures["burns"], figures["margin_band"]) == (None, [], None)
    assert figures["body"]["side_area_mm2"] is None
    assert figures["loadings"][0]["restoring_slope_per_rad"] is None
    text = report(design, figures)
    for heading in ("Angles and speeds", "Turning back", "Balance through the burn", "What is not weighed yet"):
        assert f"## {heading}" not in text
    assert rows(text, "What each item adds")[0][1:4] == ["50.0", "100.0", "10.0"]


def test_what_is_not_weighed_yet_is_told_with_its_share_of_the_doubt(marram: Design, figures: dict[str, Any]) -> None:
    shown = rows(report(marram, figures), "What is not weighed yet")
    assert [row[0] for row in shown] == [one["name"] for one in figures["margin_band"]["items"]]
    assert {"nose", "fin", "glue", "paint"} <= {row[0] for row in shown}
    assert "humidity logger" not in {row[0] for row in shown}, "its mass is stated"
    assert sum(float(row[3]) for row in shown) == pytest.approx(100.0, abs=0.05 * len(shown))
    band, liftoff = figures["margin_band"], figures["loadings"][1]
    assert band["margin_least_cal"] < liftoff["margin_cal"] < band["margin_greatest_cal"]


def test_a_rocket_that_was_balanced_flies_as_measured(marram: Design) -> None:
    """The measured balance of 1,240 g at 700 mm takes the parts' place, but for what each of them adds."""
    balanced = replace(marram, balances=(BalanceTest(1240.0, 700.0, "DEMO-29"),))
    figures = summary(balanced)
    first = figures["pressure"]["points"][0]
    margin = (figures["body"]["cp_mm"] - 700.0) / figures["body"]["reference_diameter_mm"]
    assert first["margin_cal"] == pytest.approx(margin, rel=1e-9)
    assert figures["margin_band"] is None, "a measured margin leaves nothing open by density"
    start = figures["burns"][0]["steps"][0]
    assert (start["mass_g"], start["cg_mm"]) == (pytest.approx(1240.0), pytest.approx(700.0))
    assert figures["contributions"]["mass_g"] == pytest.approx(summary(marram)["contributions"]["mass_g"])
    assert "By the parts alone, as predicted." in report(balanced, figures)


# --- the rules that the margin is held to -----------------------------------------------------------------------------


def test_the_design_file_chooses_the_rules() -> None:
    """The demo's margin at liftoff, 2.18 calibres, passes by every profile; its 13 % of length as well."""
    design = changed(("[settings]", '[settings]\nlimits = "long-body"'))
    figures = summary(design)
    assert figures["limits"]["name"] == "long body"
    names = [check["name"] for check in figures["checks"]]
    assert "static margin, DEMO-29 at liftoff, by length" in names
    assert "- Limits of the margin: long body, " in report(design, figures)
    assert design.fingerprint != changed().fingerprint


def test_rules_that_nobody_has_are_refused_where_they_stand() -> None:
    with pytest.raises(DesignError, match=r"limits.*'two-calibers' is none of .*did you mean 'two-calibres'"):
        changed(("[settings]", '[settings]\nlimits = "two-calibers"'))


OWN = '\n[margin]\nfail_below = 1.2\nwarn_below = 2.5\nwarn_above = 4.0\nsource = "the club\'s sheet"\n'


def test_limits_of_ones_own_take_the_place_of_those_that_are_chosen() -> None:
    design = parse(TEXT + OWN, "demo.toml", MARRAM.parent)
    (check,) = [one for one in design.checks if one.name == "static margin, DEMO-29 at liftoff"]
    assert (check.status, check.source) == ("warn", "the club's sheet (stated in the design file)")
    assert "warns below 2.5" in check.limit
    assert "In place of those, the design's own: fails below 1.2" in report(design, summary(design), ())


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("fail_below = 1.2\n", "", "margin.fail_below: is needed and not stated"),
        ("warn_below = 2.5", "warn_below = 0.5", "margin.warn_below: 0.5 calibres is below `fail_below`, 1.2"),
        ("warn_above = 4.0", "warn_above = 2.5", "margin.warn_above: 2.5 calibres is not above 2.5"),
        ("source = ", "sources = ", "margin.source: is needed and not stated"),
    ],
)
def test_a_slip_in_limits_of_ones_own(old: str, new: str, message: str) -> None:
    with pytest.raises(DesignError, match=message):
        parse(TEXT + OWN.replace(old, new), "demo.toml", MARRAM.parent)
