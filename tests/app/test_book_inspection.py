"""The inspection sheet: what an inspector asks for, what is measured and what is not, and what the flyer alone can say.

What is to be found on it is the list that such sheets have in common (common practice).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from book_samples import DEMO, NOSE, about, cells, demo_with, flat, texts, written

from ferrule.app.book.about import About
from ferrule.app.book.inspection import inspection
from ferrule.app.cautions import NOT_A_CLEARANCE
from ferrule.parts.sheets.blocks import Blanks, Bullets, Figures, Words

MOTORS = {"DEMO-29 half": 0.5, "DEMO-29 more": 1.2}
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
def balanced(tmp_path_factory: pytest.TempPathFactory) -> About:
    """The demo, balanced with the first of three motors in it."""
    return about(demo_with(tmp_path_factory.mktemp("balanced"), MOTORS, BALANCE))


@pytest.fixture(scope="module")
def demo_pages(demo: About, tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    return texts(written(demo, inspection(demo), tmp_path_factory.mktemp("demo") / "sheet.pdf"))


def figures(told: About) -> list[dict[str, str]]:
    return [dict(block.cells) for block in flat(inspection(told)) if isinstance(block, Figures)]


def test_the_first_page_has_what_is_asked_for_first(demo: About, demo_pages: list[str]) -> None:
    first, (flight,) = demo_pages[0], demo.figures["flights"]
    assert NOT_A_CLEARANCE in first
    assert f"Marram, fingerprint {demo.fingerprint}" in first
    body, state = demo.figures["body"], demo.figures["loadings"][1]
    # 1 in is 25.4 mm, exactly.
    for value, digits in ((body["cp_mm"], 1), (state["cg_mm"][0], 1), (body["length_mm"], 0)):
        assert f"{value:.{digits}f} mm ({value / 25.4:.{digits + 2 if digits else 1}f} in)" in first
    assert f"{flight['liftoff_mass_g']:,.0f} g" in first
    assert f"{state['margin_cal']:.2f}" in first
    assert "H, 168 N s" in first  # total impulse of the demo's table; class H is 160 to 320 N s
    assert f"{flight['apogee_height_m']:,.0f} m" in first
    assert "parachute, 900 mm (35.4 in); harness, 3500 mm (137.8 in)" in first
    for blank in ("Flyer", "Membership number", "Level held", "Colours of the rocket", "Certification team"):
        assert blank in first
    for question in ("First flight of this rocket", "Flight for a certification"):
        assert f"{question} yes no" in first


def test_what_only_the_flyer_knows_is_left_blank(demo: About) -> None:
    labels = [label for block in flat(inspection(demo)) if isinstance(block, Blanks) for label in block.labels]
    assert len(labels) == len(set(labels))
    assert all(": " not in label for label in labels)


def test_a_rocket_that_was_not_balanced_says_so(demo: About, demo_pages: list[str]) -> None:
    assert "PREDICTED: BALANCE AND RE-MARK" in demo_pages[0]
    assert "Mass and CG not measured: DEMO-29 at liftoff" in demo_pages[0]
    assert f"{demo.figures['loadings'][1]['mass_g']:,.0f} g" == figures(demo)[1]["Mass at liftoff, PREDICTED"]


def test_a_balanced_state_is_measured_and_the_others_are_not(balanced: About) -> None:
    rocket, own, half, more = figures(balanced)
    assert "Length" in rocket
    assert own["Mass at liftoff, measured"] == "1,241 g"
    assert own["CG from the nose tip, measured"] == "706.0 mm (27.795 in)"
    for other in (half, more):
        assert "Mass at liftoff, PREDICTED" in other
    (told,) = [
        block.text
        for block in flat(inspection(balanced))
        if isinstance(block, Words) and block.text.startswith("PREDICTED: BALANCE AND RE-MARK.")
    ]
    assert "DEMO-29 half at liftoff, DEMO-29 more at liftoff" in told
    assert "DEMO-29 at liftoff" not in told


def test_every_motor_and_every_open_check_is_there(balanced: About, tmp_path: Path) -> None:
    blocks = inspection(balanced)
    pages = texts(written(balanced, blocks, tmp_path / "sheet.pdf"))
    words = cells(blocks)
    for motor in balanced.figures["motors"]:
        assert f"With {motor['name']} " in " ".join(pages)
    for check in balanced.figures["checks"]:
        assert (check["name"] in words) == (check["status"] != "pass")
    failing = [check["name"] for check in balanced.figures["checks"] if check["status"] == "fail"]
    assert "rail exit speed, DEMO-29 half" in failing
    assert words.index("FAIL") < words.index("WARN") < words.index("NOT STATED")
    for page in pages:
        if "delay" in page.lower():
            assert "seconds count from burnout" in page


def test_ticks_are_only_for_what_the_design_has(demo: About) -> None:
    nose = about(NOSE)
    demo_ticks, nose_ticks = (
        " ".join(text for block in inspection(one) if isinstance(block, Bullets) for text in block.texts)
        for one in (demo, nose)
    )
    for words in (
        "Fins tight",
        "Rail buttons",
        "Harness, 3500 mm",
        "eyebolt through bulkhead",
        "Parachute whole",
        "coupler to booster tube",
        "Certified, in date",
        "payload tube at 440 mm",
    ):
        assert words in demo_ticks
        assert words not in nose_ticks
    assert "Sound as a whole" in nose_ticks


def test_stickers_and_the_build_record_follow(demo_pages: list[str]) -> None:
    text = " ".join(demo_pages)
    assert text.index("What fails, warns or is not stated") < text.index("Stickers for the hull")
    assert text.index("Stickers for the hull") < text.index("Build record: as built")


def test_half_a_design_gives_a_sheet_that_makes_sense(tmp_path: Path) -> None:
    nose = about(NOSE)
    first = texts(written(nose, inspection(nose), tmp_path / "sheet.pdf"))[0]
    assert "Motor: not stated" in first
    assert "not stated without a motor" in first
    assert "parachute not stated; harness not stated; the joint that opens not stated" in first
    assert "Delay wanted" not in first
