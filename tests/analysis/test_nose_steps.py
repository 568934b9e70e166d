"""What a nose of several prints is made of, in the order in which a hand still reaches in (common practice)."""

from __future__ import annotations

import math
from typing import Any

import pytest
from rocket_samples import nose_part

from ferrule.analysis.build_step import Step
from ferrule.analysis.nose_steps import nose_steps
from ferrule.analysis.rocket import Item

SHOULDER: dict[str, Any] = {
    "body": "hollow",
    "length": "250 mm",
    "base_diameter": "68.3 mm",
    "shoulder_length": "68 mm",
    "shoulder_diameter": "65.3 mm",
}


def steps(**changes: Any) -> list[Step]:
    part = nose_part(**{**SHOULDER, **changes})
    return list(nose_steps(Item("nose", (0.0,), part), part))


def test_a_nose_of_one_print_with_plain_holes_needs_none() -> None:
    assert steps(joining="held", screw_into="hole") == []


def test_inserts_and_nuts_go_in_first_then_the_rod_then_the_sections_are_glued() -> None:
    found = steps(
        joining="held",
        screw_into="insert",
        solid_tip="50 mm",
        rod_size="M5",
        washer_count=4,
        dowel_diameter="3 mm",
        dowel_distances=("34 mm", "42 mm"),
        section_height="210 mm",
    )
    assert [step.title for step in found] == [
        "Melt 3 M3 inserts into nose",
        "Bed the rod in nose",
        "Glue the 2 sections of nose",
    ]
    inserts, rod, sections = found
    assert "284.00 mm" in inserts.where
    assert "5.5 mm deep" in inserts.check
    assert "dowels across it at 34 mm, 42 mm" in rod.where
    assert "4 M5 washers, 4 mm" in rod.check
    assert "by nuts, never by glue alone" in rod.caution
    assert "one way only" in sections.check


def test_nuts_are_pressed_in() -> None:
    (step,) = steps(joining="held", screw_into="nut", screw_count=4, screw_size="M4")
    assert step.title == "Press 4 M4 nuts into nose"


def test_the_area_of_the_glue_is_that_of_the_spigots() -> None:
    """2 pi r times the length of each, in cm2."""
    part = nose_part(**SHOULDER, section_height="150 mm")
    joints = part.built().joints
    area = sum(math.tau * joint.spigot_radius * 15.0 for joint in joints) / 100.0
    (step,) = steps(section_height="150 mm")
    assert step.glue.endswith(f"{area:.0f} cm2")
    assert area == pytest.approx(float(step.glue.split()[-2]), abs=0.5)
