"""A shoulder is held or released, and its joint says the same (common practice)."""

from __future__ import annotations

from typing import Any

import pytest
from rocket_samples import nose_part

from ferrule.analysis.joining_checks import joining_checks
from ferrule.analysis.joints import Joint, State
from ferrule.analysis.rocket import Item, Rocket

SHOULDER: dict[str, Any] = {"body": "hollow", "shoulder_length": "60 mm", "shoulder_diameter": "63 mm"}


def found(state: State | None, **changes: Any) -> tuple[str, str | None, str]:
    items = (Item("nose", (0.0,), nose_part(**{**SHOULDER, **changes})),)
    joints = (Joint(("nose", "tube"), state, None),) if state else ()
    check, *_ = joining_checks(Rocket("r", items), joints)
    return check.status, check.value, check.note


@pytest.mark.parametrize(
    ("state", "fields", "status", "value"),
    [
        ("screwed", {"joining": "held", "screw_into": "nut"}, "pass", "held, 3 x M3 into captive nuts"),
        ("screwed", {"joining": "held", "screw_into": "hole"}, "warn", "held, 3 x M3"),
        ("screwed", {"joining": "held", "screw_into": "insert"}, "pass", "held, 3 x M3 into inserts"),
        ("glued", {"joining": "held", "screw_count": 0}, "pass", "held, by glue"),
        ("releases", {"joining": "released"}, "pass", "released, by its fit"),
        ("releases", {"joining": "released", "shear_pin_count": 2}, "pass", "released, 2 shear pins"),
        ("screwed", {"screw_count": 4}, "pass", "held, 4 x M3 into inserts"),
        ("releases", {"joining": "held"}, "fail", "held, 3 x M3 into inserts"),
        ("screwed", {"joining": "released"}, "fail", "released, by its fit"),
        (None, {"joining": "held"}, "pass", "held, 3 x M3 into inserts"),
    ],
)
def test_part_and_joint_say_the_same(state: State | None, fields: dict[str, Any], status: str, value: str) -> None:
    assert found(state, **fields)[:2] == (status, value)


@pytest.mark.parametrize(("state", "hint"), [("screwed", "held"), ("releases", "released"), (None, "held or released")])
def test_what_is_not_said_is_asked(state: State | None, hint: str) -> None:
    status, value, note = found(state)
    assert (status, value) == ("not-stated", None)
    assert note.endswith(f"`joining` = {hint}")


def test_without_a_shoulder_nothing_is_asked() -> None:
    assert tuple(joining_checks(Rocket("r", (Item("nose", (0.0,), nose_part()),)), ())) == ()


def test_a_plate_is_held_by_a_rod_and_what_it_closes_is_vented() -> None:
    fields: dict[str, Any] = {**SHOULDER, "joining": "held", "plate_seat": "ledge", "plate_thickness": "6 mm"}

    def said(**changes: Any) -> dict[str, str]:
        items = (Item("nose", (0.0,), nose_part(**{**fields, **changes})),)
        return {check.name: check.status for check in joining_checks(Rocket("r", items), ())}

    assert said() == {
        "nose: held or released": "pass",
        "nose: plate in its seat": "warn",
        "nose: closed inside": "warn",
    }
    assert set(said(solid_tip="60 mm", rod_size="M5", vent_hole_diameter="3 mm").values()) == {"pass"}
