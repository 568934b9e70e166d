"""A fin can as the design file has it: its pieces follow from the printer, its notes say how they become one."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ferrule.app.design import Design
from ferrule.app.design_file import parse
from ferrule.app.job import Job
from ferrule.app.make_design import make_design
from ferrule.app.print_text import print_text
from ferrule.app.report import report
from ferrule.app.summary import summary
from ferrule.parts.kinds import FinCan

TUBE = """format = 1
name = "Demo"

[[tube]]
name = "body"
outside_mm = [66.0]
inside_mm = [63.5]
length = "900 mm"
station = "250 mm"
material = "kraft-tube"
"""
CAN = """
[[part]]
name = "can"
kind = "fin-can"
fits = "body"
station = "1000 mm"
length = "150 mm"
fin_count = 4
root_chord = "120 mm"
tip_chord = "60 mm"
semi_span = "70 mm"
sweep_length = "60 mm"
thickness = "5 mm"
material = "asa"
"""


def printer(bed: float, height: float) -> str:
    return f'\n[printer.bench]\nwidth = "{bed} mm"\ndepth = "{bed} mm"\nheight = "{height} mm"\n'


def can_of(text: str) -> tuple[Design, FinCan]:
    design = parse(text, "demo.toml")
    (part,) = [item.part for item in design.rocket.items if item.name == "can"]
    assert isinstance(part, FinCan)
    return design, part


@pytest.mark.parametrize(
    ("bed", "height", "sectors", "section"),
    [(220.0, 220.0, 1, None), (154.0, 220.0, 1, None), (150.0, 220.0, 4, None), (220.0, 110.0, 1, 100.0)],
)
def test_the_pieces_follow_from_the_printer(bed: float, height: float, sectors: int, section: float | None) -> None:
    """Tips reach 105.6 mm from the axis: fins at 45 degrees take 2 x 105.6 cos 45 + 5 cos 45 = 153 mm."""
    design, can = can_of(TUBE + CAN + printer(bed, height))
    assert (can.sectors, can.section_height) == (sectors, section)
    assert ("sectors" in design.derived["can"]) == (can.sectors > 1)
    (room,) = [check for check in design.checks if check.name == "can: on a printer"]
    assert room.status == "pass", room.value


def test_a_derived_sector_count_is_shown_with_its_reason() -> None:
    design, can = can_of(TUBE + CAN + printer(100.0, 220.0))
    assert f"{can.sectors} sectors are the fewest" in report(design, summary(design), ())


def test_what_is_stated_counts_more_than_the_printer() -> None:
    design, can = can_of(TUBE + CAN + "sectors = 4\n" + printer(220.0, 220.0))
    assert can.sectors == 4
    assert "sectors" not in design.derived["can"]


def test_a_bed_that_takes_no_single_fin_is_a_warning_and_no_refusal() -> None:
    design, can = can_of(TUBE + CAN + printer(40.0, 220.0))
    (room,) = [check for check in design.checks if check.name == "can: on a printer"]
    assert (can.sectors, room.status) == (1, "warn")


def test_the_notes_join_the_pieces_round_the_tube() -> None:
    _, can = can_of(TUBE + CAN + printer(150.0, 220.0))
    text = print_text(Job(can, "can", "demo"), (), ())
    assert "which lines them up" in text
    assert "spigot" not in text
    assert "forward end up" in text


def test_fins_that_hang_are_said_to_need_support() -> None:
    """Swept forward by more than it rises, neither end carries the tips."""
    text = CAN.replace('sweep_length = "60 mm"', 'sweep_length = "30 mm"')
    _, can = can_of(TUBE + text)
    assert not can.carries_itself
    assert "with support" in print_text(Job(can, "can", "demo"), (), ())


def test_make_writes_every_piece(tmp_path: Path) -> None:
    outcome = make_design(can_of(TUBE + CAN + printer(150.0, 220.0))[0], tmp_path, ["can"], ("stl",))
    pieces = [name for name in outcome.files if re.fullmatch(r"demo-can-\d-of-\d\.stl", name)]
    assert len(pieces) == int(pieces[0][-5]) > 1
