"""The side on which a coupler separates, and the rail's way past the body; sums of sizes and stations."""

from __future__ import annotations

from typing import Any

import pytest
from rocket_samples import fin_part, nose_part, ring_part, tube_part

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


TABBED = {"tab_length": "60 mm", "tab_depth": "10 mm", "tab_position": "20 mm"}
NOSE, TUBE = Item("nose", (0.0,), nose_part()), Item("tube", (200.0,), tube_part())


def finned(*sets: Item) -> dict[str, Check]:
    return found((NOSE, TUBE, *sets))


def test_slots_that_run_into_each_other_are_named() -> None:
    """Eight fins of 26 mm on a tube of 66 mm need 8 x 26.5 = 212 mm of its 207.3 mm circumference; of 25 mm 204 mm."""
    wide, slim = (
        Item("fins", (700.0,), fin_part(**TABBED, thickness=thickness), 8, 33.0) for thickness in ("26 mm", "25 mm")
    )
    check = finned(wide)["tube: slots of fins 1 and fins 2"]
    assert check.status == "fail"
    assert check.value == "they share the wall from 719.50 to 780.50 mm"
    assert not [name for name in finned(slim) if "slots of" in name]


def test_slots_of_two_sets_at_one_place_share_the_wall_unless_they_stand_apart() -> None:
    """Fins of three stand at 60, 180 and 300 deg, of four at 45 and so on, 15 deg off; two sets of three coincide."""
    three, other = (
        Item("fins", (700.0,), fin_part(**TABBED), 3, 33.0),
        Item("aft", (740.0,), fin_part(**TABBED), 3, 33.0),
    )
    assert "tube: slots of fins 1 and aft 1" in finned(three, other)
    four = Item("four", (740.0,), fin_part(**TABBED), 4, 33.0)
    assert not [name for name in finned(three, four) if "slots of" in name]
    behind = Item("aft", (770.0,), fin_part(**TABBED), 3, 33.0)
    assert not [name for name in finned(three, behind) if "slots of" in name]


def test_canted_slots_may_cross_where_straight_ones_do_not() -> None:
    """Two sets at one station, five and six: the nearest two stand 6 deg apart, 3.46 mm, their slots are 1.5 mm."""
    five, six = (
        Item(name, (700.0,), fin_part(**TABBED, thickness="1 mm"), n, 33.0) for name, n in (("a", 5), ("b", 6))
    )
    assert not [name for name in finned(five, six) if "slots of" in name]
    crossing = Item("b", (700.0,), fin_part(**TABBED, thickness="1 mm", cant="5 deg"), 6, 33.0)
    assert [name for name in finned(five, crossing) if "slots of" in name]


@pytest.mark.parametrize(("cant", "status"), [("1 deg", "pass"), ("5 deg", "pass"), ("-1 deg", "pass")])
def test_a_canted_root_stands_off_its_tube_at_both_ends(cant: str, status: str) -> None:
    """R - sqrt(R^2 - (c/2 sin cant)^2): 0.02 mm at 1 deg and 0.42 mm at 5 deg for 120 mm on 66 mm."""
    check = finned(Item("fins", (700.0,), fin_part(cant=cant), 3, 33.0))["fins: canted root on the body"]
    assert check.status == status
    assert check.value == ("0.42 mm off it at both ends" if cant == "5 deg" else "0.02 mm off it at both ends")


def test_a_canted_root_that_leaves_its_tube_says_so() -> None:
    """200 mm at 5 deg reach 8.72 mm to the side: 1.17 mm off a tube of 66 mm, and beside one of 16 mm."""
    long = fin_part(root_chord="200 mm", cant="5 deg")
    checks = [
        finned(Item("fins", (700.0,), long, 3, radius))["fins: canted root on the body"] for radius in (33.0, 8.0)
    ]
    assert [check.status for check in checks] == ["warn", "fail"]
    assert checks[0].value == "1.17 mm off it at both ends"
    assert "fins: canted root on the body" not in finned(Item("fins", (700.0,), fin_part(), 3, 33.0))


def test_a_ring_in_a_notch_of_the_tab_is_where_it_belongs() -> None:
    notched = {"tab_length": "80 mm", "tab_depth": "10 mm", "tab_position": "20 mm"}
    notched |= {"notch_length": "6.4 mm", "notch_depth": "5 mm"}
    rings = Item("rings", (713.0, 740.2, 801.0), ring_part())
    whole, cut = (
        Item("fins", (700.0,), fin_part(**fields), 3, 33.0)
        for fields in ({**TABBED, "tab_length": "80 mm"}, {**notched, "notch_positions": ("40 mm",)})
    )
    assert finned(whole, rings)["fins: tab between rings"].status == "fail"
    assert finned(cut, rings)["fins: tab between rings"].value == "2.00 mm"
