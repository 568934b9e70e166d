"""Parts on machines: any that has room, or the one that the part's files are made for; sizes by hand."""

from __future__ import annotations

from typing import Any

import pytest
from rocket_samples import fin_part, nose_part

from ferrule.analysis.circumstances import Circumstances
from ferrule.analysis.limits import Check
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.room_checks import room_checks

NOSE, FIN = Item("nose", (0.0,), nose_part()), Item("fin", (780.0,), fin_part(), 3, 33.0)
SMALL, TALL = (100.0, 100.0, 100.0), (220.0, 220.0, 250.0)
"""The nose is 66 mm wide and 200 mm tall, the fin 120 by 70 mm and 3 mm thick."""


def found(**around: Any) -> dict[str, Check]:
    return {one.name: one for one in room_checks(Rocket("sample", (NOSE, FIN)), Circumstances(**around))}


def test_nothing_is_said_without_machines() -> None:
    assert found() == {}


def test_one_machine_that_has_room_is_enough() -> None:
    checks = found(printers={"small": SMALL, "tall": TALL}, cutters={"laser": (71.0, 121.0)})
    assert {name: check.status for name, check in checks.items()} == {
        "nose: on a printer": "pass",
        "fin: on a cutter": "pass",
    }
    assert checks["nose: on a printer"].value == "66 x 66 x 200 mm, on tall"


@pytest.mark.parametrize(("machine", "status"), [("small", "warn"), ("tall", "pass")])
def test_a_part_is_held_to_the_machine_that_it_is_made_on(machine: str, status: str) -> None:
    checks = found(printers={"small": SMALL, "tall": TALL}, made_on={"nose": machine})
    assert checks["nose: on a printer"].status == status


@pytest.mark.parametrize(("machine", "status"), [("small", "warn"), ("tall", "pass")])
def test_a_fin_that_is_printed_is_held_to_its_printer(machine: str, status: str) -> None:
    checks = found(printers={"small": SMALL, "tall": TALL}, cutters={"laser": (600.0, 300.0)}, made_on={"fin": machine})
    assert checks["fin: on a printer"].status == status
    assert "fin: on a cutter" not in checks


@pytest.mark.parametrize(("bed", "status"), [((70.0, 120.0), "pass"), ((69.0, 120.0), "warn"), ((70.0, 119.0), "warn")])
def test_a_flat_piece_may_be_turned_on_the_bed(bed: tuple[float, float], status: str) -> None:
    assert found(cutters={"laser": bed})["fin: on a cutter"].status == status
