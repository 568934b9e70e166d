"""The side on which a coupler separates, and the rail's way past the body; sums of sizes and stations."""

from __future__ import annotations

from typing import Any

import pytest
from rocket_samples import nose_part, tube_part

from ferrule.analysis.joints import Joint
from ferrule.analysis.limits import Check
from ferrule.analysis.place_checks import place_checks
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.kinds import Coupler, RailButton, Transition

FORWARD, AFT = Item("payload tube", (200.0,), tube_part(length="200 mm")), Item("booster", (400.0,), tube_part())


def coupler(**fields: Any) -> Item:
    part = Coupler.build(outside_diameter="63.6 mm", wall="2 mm", length="130 mm", material="petg", **fields)
    return Item("coupler", (335.0,), part)


def found(items: tuple[Item, ...], joints: tuple[Joint, ...] = ()) -> dict[str, Check]:
    return {check.name: check for check in place_checks(Rocket("sample", items), joints)}


@pytest.mark.parametrize(
    ("separates", "releases", "status"),
    [
        ("aft", "booster", "pass"),
        ("forward", "booster", "fail"),
        ("forward", "payload tube", "pass"),
        ("aft", "payload tube", "fail"),
    ],
)
def test_a_coupler_separates_where_its_joint_does(separates: str, releases: str, status: str) -> None:
    items = (FORWARD, AFT, coupler(separates=separates))
    check = found(items, (Joint(("coupler", releases), "releases"),))["coupler: separating side"]
    assert check.status == status
    assert bool(check.note) == (status == "fail")


def test_nothing_is_said_of_a_coupler_that_does_not_say_or_is_held() -> None:
    joint = (Joint(("coupler", "booster"), "releases"),)
    assert "coupler: separating side" not in found((FORWARD, AFT, coupler()), joint)
    held = (Joint(("coupler", "booster"), "screwed"),)
    assert "coupler: separating side" not in found((FORWARD, AFT, coupler(separates="aft")), held)


@pytest.mark.parametrize(("standoff", "gap", "status"), [("0 mm", -3.0, "fail"), ("5 mm", 2.0, "pass")])
def test_the_rail_passes_the_widest_part_of_the_body(standoff: str, gap: float, status: str) -> None:
    """Tube 66 mm, foot 2 mm: the rail's face is 35 mm off the axis; a transition ahead of it is 76 mm wide."""
    button = RailButton.build(**{**RailButton.example, "foot_height": "2 mm", "standoff": standoff})
    wide = Transition.build(forward_diameter="76 mm", aft_diameter="66 mm", length="60 mm", wall="2 mm")
    items = (
        Item("nose", (0.0,), nose_part(base_diameter="76 mm")),
        Item("transition", (200.0,), wide),
        Item("tube", (260.0,), tube_part()),
        Item("button", (700.0,), button, radius=33.0),
    )
    check = found(items)["button: body clear of the rail"]
    assert (check.status, check.value) == (status, f"{gap:.2f} mm to transition") or "nose" in (check.value or "")
    assert check.status == status
    assert (check.value or "").startswith(f"{gap:.2f} mm")
