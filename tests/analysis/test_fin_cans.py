"""A fin can on a rocket: fit, holes in the tube under it, order of work, material, by hand from its sizes."""

from __future__ import annotations

import math
from typing import Any

import pytest
from rocket_samples import AIRFRAME, rocket, tube_part

from ferrule.analysis.build_order import build_steps
from ferrule.analysis.circumstances import Circumstances
from ferrule.analysis.fit_checks import fit_checks
from ferrule.analysis.interference import interference_checks
from ferrule.analysis.joints import Joint
from ferrule.analysis.limits import Check
from ferrule.analysis.material_checks import material_checks
from ferrule.analysis.motor import Motor
from ferrule.analysis.place_checks import place_checks
from ferrule.analysis.reach import reach_checks
from ferrule.analysis.recovery import Recovery
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.stability import stability
from ferrule.analysis.tube_marks import tube_marks
from ferrule.parts.fit import FitChoice, Surroundings
from ferrule.parts.kinds import FinCan

NOSE = rocket().items[0]
TUBE = Item("tube", (200.0,), tube_part())


def can(station: float = 780.0, **changes: Any) -> Item:
    """Sleeve of 120 mm from 66.4 mm bore and 2.4 mm wall: 71.2 mm outside."""
    return Item("can", (station,), FinCan.build(**{**FinCan.example, "bore_diameter": "66.4 mm", **changes}))


def with_can(**changes: Any) -> Rocket:
    return Rocket("can", (NOSE, TUBE, can(**changes)))


def by_name(checks: Any) -> dict[str, Check]:
    return {check.name: check for check in checks}


def test_its_fins_stabilise_and_its_sleeve_is_the_widest_of_the_body() -> None:
    found = stability(with_can())
    assert found is not None
    assert found.reference_diameter == pytest.approx(71.2)
    assert found.length == pytest.approx(900.0)
    assert found.notes == ()
    assert found.normal_force.station is not None
    assert found.normal_force.station > 500.0


@pytest.mark.parametrize(("bore", "status"), [("68.9 mm", "pass"), ("68.3 mm", "fail"), ("71 mm", "warn")])
def test_its_bore_is_held_to_a_sliding_fit_over_the_tube_as_measured(bore: str, status: str) -> None:
    """The largest reading of the tube is 68.4 mm."""
    around = Circumstances({"can": Surroundings(AIRFRAME, None, FitChoice())})
    (check,) = [one for one in fit_checks(with_can(bore_diameter=bore), around) if "bore over" in one.name]
    assert check.name == "can: bore over airframe"
    assert check.status == status


def test_its_screws_are_marked_on_the_tube_under_it() -> None:
    """Three at the rolls of the fins, 60, 180 and 300 deg, 14 mm behind the front of a can at 780 mm."""
    (tube,) = tube_marks(with_can(screw_distance="14 mm"))
    screws = [mark for mark in tube.marks if mark.what == "screw"]
    assert [round(math.degrees(mark.roll or 0.0)) for mark in screws] == [60, 180, 300]
    assert {mark.first for mark in screws} == {580.0 + 14.0}
    assert {mark.size for mark in screws} == {3.4}
    assert tube.fin_rolls == pytest.approx([math.pi / 3.0, math.pi, 5.0 * math.pi / 3.0])
    assert not [mark for mark in tube.marks if mark.what in ("slot", "root")]


def test_a_sound_one_raises_nothing() -> None:
    assert [check for check in place_checks(with_can()) if check.status != "pass"] == []
    assert list(interference_checks(with_can(), Circumstances())) == []


def test_one_with_too_small_a_bore_is_where_the_tube_is() -> None:
    (check,) = interference_checks(with_can(bore_diameter="65 mm"), Circumstances())
    assert check.status == "fail"
    assert check.name == "tube at 200 mm and can at 780 mm: same place"
    assert check.note.startswith("both are from 780.00 to 900.00 mm")


def test_fins_behind_the_airframe_are_told() -> None:
    far = with_can(sweep_length="90 mm")
    check = by_name(reach_checks(far, Circumstances()))["can: aft of the airframe"]
    assert check.status == "warn"
    assert check.value == "45.00 mm behind its end"


def test_it_goes_on_when_its_tube_is_finished() -> None:
    for state, words in (("glued", "Glue can over tube"), ("screwed", "Screw can over tube")):
        steps = build_steps(with_can(), Recovery((Joint(("can", "tube"), state),)))  # type: ignore[arg-type]
        (step,) = [one for one in steps if "over tube" in one.title]
        assert step.title == words
        assert "from 780.00 to 900.00 mm" in step.where


def test_what_it_is_printed_of_is_held_to_the_motor_beside_it() -> None:
    motor = Motor("M", 38.0, 150.0, 400.0, 200.0, 900.0)
    (check,) = material_checks(with_can(material="pla"), (motor,))
    assert check.name == "can: material beside M"
    assert check.status == "fail"
