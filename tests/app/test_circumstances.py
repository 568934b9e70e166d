"""The room that washers and nuts take: anchors on one part share its holes; sums by hand."""

from __future__ import annotations

import math
from pathlib import Path

from ferrule.app.circumstances import envelopes, packing
from ferrule.app.design import Design
from ferrule.app.design_file import parse

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml"
SECOND = """
[[anchor]]
name = "second eyebolt"
on = "bulkhead"
item = "M5 eyebolt"
material = "steel"
mass = "15 g"
station = "608 mm"
"""


def demo(**changes: str) -> Design:
    text = MARRAM.read_text(encoding="utf-8")
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    return parse(text, "demo.toml", MARRAM.parent)


def places(design: Design) -> dict[str, set[tuple[float, float]]]:
    found: dict[str, set[tuple[float, float]]] = {}
    for one in envelopes(design.rocket, design.entries):
        found.setdefault(one.name, set()).add((round(one.offset_radius, 3), round(math.degrees(one.roll), 1)))
    return found


def test_the_eyebolt_stands_in_the_middle_and_the_u_bolt_on_its_two_holes() -> None:
    assert places(demo()) == {"eyebolt": {(0.0, 0.0)}, "U-bolt": {(24.2, 20.6), (24.2, 69.4)}}


def test_a_washer_is_as_wide_as_its_standard_says() -> None:
    """ISO 7089 M5: 10 mm outside, 1 mm thick; ISO 4032 M5: 4.7 mm high (from memory); two turns of thread."""
    one = next(one for one in envelopes(demo().rocket, demo().entries) if one.name == "eyebolt")
    assert one.radius == 5.0
    assert one.last - one.first == 1.0 + 4.7 + 2.0


def test_two_anchors_do_not_stand_in_the_same_hole() -> None:
    holes = 'centre_hole_diameter = "5.5 mm" # M5 eyebolt'
    circle = 'hole_diameter = "5.5 mm"\nhole_circle_diameter = "30 mm"\nhole_rolls = ["90 deg", "270 deg"]'
    design = demo(**{holes: circle, "[[harness]]": SECOND + "\n[[harness]]"})
    found = places(design)
    assert found["eyebolt"] == {(15.0, 90.0)}
    assert found["second eyebolt"] == {(15.0, 270.0)}
    assert not [check.name for check in design.checks if "same place" in check.name]


def test_an_anchor_without_a_hole_left_takes_no_room() -> None:
    assert "second eyebolt" not in places(demo(**{"[[harness]]": SECOND + "\n[[harness]]"}))


def test_a_part_that_is_screwed_twice_is_held_to_the_longer_screws() -> None:
    text = MARRAM.read_text(encoding="utf-8")
    first, second = text.split('screw_length = "8 mm"', 2)[0], text.split('screw_length = "8 mm"', 2)[1:]
    longer = first + 'screw_length = "8 mm"' + second[0] + 'screw_length = "12 mm"' + second[1]
    found = packing(parse(longer, "demo.toml", MARRAM.parent).entries)
    assert found.screw_lengths == {"nose": 8.0, "payload tube": 12.0, "coupler": 12.0}
    assert found.packed_length == 220.0
