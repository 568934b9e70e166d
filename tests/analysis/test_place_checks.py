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


@pytest.mark.parametrize(("screws", "held"), [("30 mm", False), ("64 mm", False), ("66 mm", True), ("100 mm", True)])
def test_screws_in_the_half_that_opens_hold_it_shut(screws: str, held: bool) -> None:
    """The coupler lies from 335 to 465 mm, the booster tube starts at 400: 65 mm of it slide out."""
    items = (FORWARD, AFT, coupler(screw_count="3", screw_distance=screws))
    joints = (Joint(("coupler", "booster"), "releases"), Joint(("payload tube", "coupler"), "screwed"))
    fails = [name for name, check in found(items, joints).items() if "clear of the joint that opens" in name]
    assert bool(fails) is held


@pytest.mark.parametrize(("station", "held"), [(399.0, False), (430.0, True), (466.0, False)])
def test_a_button_screwed_through_the_joint_that_opens_holds_it_shut(station: float, held: bool) -> None:
    button = Item("button", (station,), RailButton.build(**RailButton.example), radius=33.0)
    joints = (Joint(("coupler", "booster"), "releases"),)
    fails = [one for name, one in found((FORWARD, AFT, coupler(), button), joints).items() if "opens" in name]
    assert [one.status for one in fails] == (["fail"] if held else [])


@pytest.mark.parametrize(
    ("item", "status"),
    [
        (Item("payload", (1150.0,), stated_mass=10.0), None),  # the body ends at 1100; a retainer may stand out
        (Item("payload", (1161.0,), stated_mass=10.0), "warn"),
        (Item("button", (1161.0,), RailButton.build(**RailButton.example), radius=33.0), "fail"),
    ],
)
def test_what_lies_beyond_the_body_is_noticed(item: Item, status: str | None) -> None:
    checks = [one for name, one in found((FORWARD, AFT, item)).items() if name.endswith("on the rocket")]
    assert [one.status for one in checks] == ([status] if status else [])
