"""What reaches too far, or not far enough, on hand-made rockets; the bounds are common practice, the lengths sums.

The rocket of `two_sections` from forward to aft [mm]: nose 0 to 200 and its shoulder to 260, payload tube 200 to 400,
coupler 340 to 460 with a bulkhead of 6 at 400, booster tube 400 to 1000, rings of 6 at 850 and 980, motor tube 845 to
995, fins from 870. Bores: tubes 64, coupler 60, shoulder 58.7, motor tube 40.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from rocket_samples import bulkhead_part, coupler_part, fin_part, nose_part, two_sections

import ferrule
from ferrule.analysis.circumstances import Circumstances
from ferrule.analysis.limits import Check
from ferrule.analysis.motor import Motor
from ferrule.analysis.packing import Packing
from ferrule.analysis.reach import HAND, OVERHANG, SCREW_TO_FACE, parachute_bay, reach_checks
from ferrule.analysis.recovery import Anchor, Harness, Joint, Parachute, Recovery
from ferrule.analysis.rocket import Item, Rocket
from ferrule.app.design_file import load
from ferrule.parts.kinds import RailButton, Transition

HERE = Path(str(ferrule.__file__)).parent
RECOVERY = Recovery(
    joints=(
        Joint(("nose", "payload tube"), "screwed"),
        Joint(("payload tube", "coupler"), "screwed"),
        Joint(("coupler", "booster tube"), "releases"),
        Joint(("coupler", "bulkhead"), "glued"),
    ),
    anchors=(Anchor("eyebolt", "bulkhead", True), Anchor("U-bolt", "rings", True)),
    harnesses=(Harness("harness", ("eyebolt", "U-bolt")),),
    parachutes=(Parachute("parachute", "harness"),),
)
MOTOR = Motor("M-40", 38.0, 140.0, 400.0, 200.0, 1000.0)


def run(rocket: Rocket | None = None, packing: Packing = Packing(), **around: Any) -> dict[str, Check]:
    told = Circumstances(**{"recovery": RECOVERY, "motors": (MOTOR,), "packing": packing, **around})
    found = list(reach_checks(rocket or two_sections(), told))
    names = [check.name for check in found]
    assert len(set(names)) == len(names), "names are unique in a report"
    return {check.name: check for check in found}


def with_items(*items: Item, without: str = "") -> Rocket:
    base = two_sections()
    return replace(base, items=tuple(item for item in base.items if item.name != without) + items)


def test_a_sound_rocket_reaches_as_it_must() -> None:
    found = run(packing=Packing(packed_length=300.0))
    wrong = {name: check.status for name, check in found.items() if check.status != "pass"}
    assert wrong == {}
    assert found["nose: shoulder in payload tube to coupler"].limit.endswith("140.00 mm to coupler")


@pytest.mark.parametrize("design", ["examples/marram/marram.toml", "app/data/starter.toml"])
def test_nothing_fails_in_the_designs_that_come_with_it(design: str) -> None:
    found = load(HERE / design)
    around = Circumstances(
        tubes=found.tubes, motors=found.motors, motor_tubes=found.motor_tubes, recovery=found.recovery
    )
    checks = list(reach_checks(found.rocket, around))
    assert len(checks) > 3
    assert [check.name for check in checks if check.status == "fail"] == []


# --- what slides into a tube ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("length", "status"), [("140 mm", "pass"), ("140.04 mm", "pass"), ("145 mm", "fail")])
def test_a_shoulder_up_to_the_coupler(length: str, status: str) -> None:
    """Base at 200 mm, coupler at 340."""
    nose = nose_part(shoulder_length=length, shoulder_diameter="63.5 mm", body="hollow")
    found = run(two_sections(nose=nose))["nose: shoulder in payload tube to coupler"]
    assert (found.status, found.note.startswith("it is 5.00 mm too long")) == (status, status == "fail")


def test_what_is_slimmer_than_its_bore_goes_into_a_shoulder() -> None:
    """A stick of 50 mm goes past the wall of the shoulder, a disc of 60 does not."""
    nose = nose_part(shoulder_length="60 mm", shoulder_diameter="63.5 mm", body="hollow")
    slim = Item("disc", (250.0,), bulkhead_part(outside_diameter="50 mm"))
    wide = Item("disc", (250.0,), bulkhead_part())
    base = two_sections(nose=nose)
    assert "nose: shoulder in payload tube to coupler" in run(replace(base, items=(*base.items, slim)))
    found = run(replace(base, items=(*base.items, wide)))["nose: shoulder in payload tube to disc"]
    assert (found.status, found.value) == ("fail", "60.00 mm")
    assert "50.00 mm to disc" in found.limit
    solid = nose_part(shoulder_length="60 mm", shoulder_diameter="63.5 mm", body="solid")
    base = two_sections(nose=solid)
    assert run(replace(base, items=(*base.items, slim)))["nose: shoulder in payload tube to disc"].status == "fail"


@pytest.mark.parametrize(("station", "status"), [(460.0, "pass"), (455.0, "fail")])
def test_a_coupler_up_to_a_ring(station: float, status: str) -> None:
    """The coupler ends at 460 mm, 60 mm into the booster tube; the bulkhead in it goes with it."""
    found = run(with_items(Item("block", (station,), bulkhead_part(outside_diameter="64 mm"))))
    check = found["coupler: aft end in booster tube to block"]
    assert (check.status, check.value) == (status, "60.00 mm")


def test_what_is_fixed_to_the_end_of_a_coupler_goes_in_with_it() -> None:
    """A disc of 64 mm glued on the coupler's end at 460 reaches 66 mm deep; a ring at 463 is 63 mm deep."""
    disc = Item("bulkhead", (460.0,), bulkhead_part(outside_diameter="63.5 mm"))
    ring = Item("block", (463.0,), bulkhead_part(outside_diameter="64 mm"))
    base = with_items(disc, ring, without="bulkhead")
    found = run(base)["coupler: aft end in booster tube to block"]
    assert (found.status, found.value) == ("fail", "66.00 mm")
    free = run(base, recovery=replace(RECOVERY, joints=RECOVERY.joints[:3]))
    assert "coupler: aft end in booster tube to bulkhead" in free, "what is not fixed to it is in its way"


def test_a_coupler_up_to_a_tab() -> None:
    tabbed = fin_part(tab_length="90 mm", tab_depth="11 mm", tab_position="15 mm")
    found = run(two_sections(coupler=coupler_part(length="560 mm", screw_count=0), fins=tabbed))
    assert found["coupler: aft end in booster tube to rings"].status == "fail", "500 mm into 450 mm"
    # Without rings the tab at 885 mm is the first thing.
    base = two_sections(coupler=coupler_part(length="560 mm", screw_count=0), fins=tabbed)
    bare = replace(base, items=tuple(item for item in base.items if item.name != "rings"))
    found = run(bare)
    assert found["coupler: aft end in booster tube to fins"].limit.endswith("485.00 mm to fins")


def test_both_shoulders_of_a_transition() -> None:
    """Its aft shoulder of 40 mm is in a tube of 30 mm; the forward one, of 50, has 100 mm to a disc."""
    part = Transition.build(
        forward_diameter="66 mm",
        aft_diameter="50 mm",
        length="80 mm",
        forward_shoulder_length="50 mm",
        forward_shoulder_diameter="63.5 mm",
        aft_shoulder_length="40 mm",
        aft_shoulder_diameter="47.5 mm",
    )
    tube = two_sections().items[1].part
    assert tube is not None
    small = tube.build(outside_diameter="50 mm", inside_diameter="48 mm", length="30 mm")
    items = (
        Item("front", (0.0,), tube.build(outside_diameter="66 mm", inside_diameter="64 mm", length="300 mm")),
        Item("disc", (194.0,), bulkhead_part()),
        Item("change", (300.0,), part),
        Item("rear", (380.0,), small),
    )
    found = run(Rocket("changed", items), motors=(), recovery=Recovery())
    ahead = found["change: forward shoulder in front to disc"]
    assert (ahead.status, ahead.value) == ("pass", "50.00 mm")
    assert "100.00 mm to disc" in ahead.limit
    assert found["change: shoulder in rear to the end of rear"].status == "fail"


# --- screws -----------------------------------------------------------------------------------------------------------


def button(**changes: object) -> RailButton:
    return RailButton.build(**{**RailButton.example, **changes})


@pytest.mark.parametrize(
    ("station", "status", "value"),
    [
        (853.0, "pass", "3.00 mm to the nearest face, in a ring"),
        (851.5, "warn", "1.50 mm to the nearest face"),
        (850.0, "warn", "0.00 mm to the nearest face"),
        (848.5, "warn", "1.50 mm to the nearest face"),
        (848.0, "pass", "2.00 mm to the nearest face"),
        (857.9, "warn", "1.90 mm to the nearest face"),
        (900.0, "pass", "44.00 mm to the nearest face"),
    ],
)
def test_the_screw_of_a_button_and_a_ring(station: float, status: str, value: str) -> None:
    found = run(with_items(Item("button", (station,), button(), 1, 33.0)))
    check = found[f"button at {station:g} mm: screw and rings"]
    assert (check.status, check.value) == (status, value)
    assert SCREW_TO_FACE == 2.0


@pytest.mark.parametrize(("length", "status"), [(None, "not-stated"), (9.5, "pass"), (10.0, "warn")])
def test_screws_in_the_parachute_bay(length: float | None, status: str) -> None:
    """A button of 2 + 3.2 + 2.4 mm on a wall of 1 mm: a screw of 8.6 mm ends flush inside."""
    rocket = with_items(Item("button", (600.0,), button(foot_height="2.9 mm"), 1, 33.0))
    packing = Packing(screw_lengths={"button": length} if length else {})
    found = run(rocket, packing)["button: screws at 600 mm in the parachute bay"]
    assert found.status == status
    assert "9.50 mm" in found.limit, "2.9 + 3.2 + 2.4 + 1"
    assert ("0.50 mm" in found.note) == (status == "warn")


def test_screws_of_a_coupler_are_asked_for_where_the_parachute_is() -> None:
    """At 370 mm they are ahead of the disc at 400; with the disc at 345 they are in the bay: wall 1 and sleeve 2 mm."""
    assert not [name for name in run() if "screws at" in name]
    moved = tuple(
        replace(item, stations=(341.0,)) if item.name == "bulkhead" else item for item in two_sections().items
    )
    found = run(Rocket("moved", moved), Packing(screw_lengths={"coupler": 4.0}))
    check = next(check for name, check in found.items() if name.startswith("coupler: screws at"))
    assert check.status == "warn"
    assert "3.00 mm" in check.limit


# --- the motor --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("length", "status"), [(594.0, "pass"), (594.04, "pass"), (600.0, "fail")])
def test_a_motor_up_to_a_bulkhead(length: float, status: str) -> None:
    """The disc ends at 406 mm; the motor's aft end is at 1000."""
    found = run(motors=(replace(MOTOR, length=length),))["M-40: room ahead"]
    assert found.status == status
    assert found.value is not None
    assert found.value.endswith("to bulkhead")


@pytest.mark.parametrize(
    ("aft", "status", "word"),
    [(994.9, "warn", "inside the tube"), (995.0, "pass", ""), (1015.0, "pass", ""), (1015.1, "warn", "stands far out")],
)
def test_how_far_a_motor_stands_out(aft: float, status: str, word: str) -> None:
    """The motor tube ends at 995 mm."""
    found = run(motors=(replace(MOTOR, aft_end=aft),))["M-40: aft end behind motor tube"]
    assert (found.status, word in found.note) == (status, True)
    assert OVERHANG == 20.0


def test_a_motor_longer_than_its_tube() -> None:
    assert "M-40: forward end in motor tube" not in run()
    found = run(motors=(replace(MOTOR, length=170.0),))["M-40: forward end in motor tube"]
    assert (found.status, found.value) == ("warn", "15.00 mm ahead of it")


# --- the parachute and the hand ---------------------------------------------------------------------------------------


def test_the_parachute_bay_by_hand() -> None:
    """From the disc at 406 mm to the motor tube at 845; through the coupler, whose bore is 60 mm."""
    found = parachute_bay(two_sections(), RECOVERY)
    assert found is not None
    assert (found.first, found.last, found.bore) == (406.0, 845.0, 60.0)
    assert found.volume == pytest.approx(math.pi * 30.0**2 * 439.0)
    assert parachute_bay(two_sections(), Recovery()) is None
    open_end = replace(two_sections(), items=tuple(one for one in two_sections().items if one.name != "bulkhead"))
    assert parachute_bay(open_end, RECOVERY) is None


@pytest.mark.parametrize(
    ("packing", "name", "status"),
    [
        (Packing(), "parachute bay: room", "not-stated"),
        (Packing(packed_length=439.0), "parachute bay: length", "pass"),
        (Packing(packed_length=440.0), "parachute bay: length", "fail"),
        (Packing(packed_volume=1.24e6), "parachute bay: volume", "pass"),
        (Packing(packed_volume=1.25e6), "parachute bay: volume", "fail"),
    ],
)
def test_the_packed_parachute(packing: Packing, name: str, status: str) -> None:
    """439 mm of 60 mm bore are 1,241 cm3."""
    found = {key: check for key, check in run(packing=packing).items() if key.startswith("parachute bay")}
    assert list(found) == [name]
    assert found[name].status == status


def test_a_bay_without_ends_is_said_to_be_missing() -> None:
    found = run(recovery=replace(RECOVERY, joints=()))["parachute bay: room"]
    assert (found.status, found.value) == ("not-stated", None)
    assert not [name for name in run(recovery=Recovery()) if "parachute" in name or "in reach" in name]


@pytest.mark.parametrize(("station", "status"), [(700.0, "pass"), (701.0, "warn")])
def test_the_nearest_anchor_of_a_harness_in_reach_of_a_hand(station: float, status: str) -> None:
    """The booster tube opens at 400 mm; the anchor's own station counts before that of the ring."""
    only = replace(RECOVERY, harnesses=(Harness("harness", ("U-bolt",)),))
    found = run(with_items(Item("U-bolt", (station,), what="anchor")), recovery=only)["harness: in reach"]
    assert found.status == status
    assert HAND == 300.0


def test_what_no_hand_reaches_is_tied_on_the_bench() -> None:
    """The eyebolt's disc lies at 400 mm, the coupler ends at 460; the U-bolt lies 450 mm deep in the booster."""
    found = run()["harness: in reach"]
    assert (found.status, found.value) == ("pass", "eyebolt, 60 mm from the edge")
    assert found.note == "tie the harness to U-bolt before it goes in"


@pytest.mark.parametrize(("sweep", "status"), [("70 mm", "pass"), ("71 mm", "warn")])
def test_fins_that_the_rocket_lands_on(sweep: str, status: str) -> None:
    """Root from 870 mm, tip chord 60, airframe to 1000: a sweep of 70 ends flush."""
    check = run(two_sections(fins=fin_part(sweep_length=sweep)))["fins: aft of the airframe"]
    assert check.status == status


def test_a_motor_that_stands_into_the_bay_takes_room_from_the_parachute() -> None:
    """The bay starts behind the bulkhead at 406 mm; the motor tube ends it at 845, this motor at 600."""
    long_motor = Motor("long", 38.0, 400.0, 400.0, 200.0, 1000.0)
    plain = parachute_bay(two_sections(), RECOVERY)
    taken = parachute_bay(two_sections(), RECOVERY, (long_motor,))
    assert plain is not None
    assert taken is not None
    assert (plain.last, taken.last) == (845.0, 600.0)
    found = run(packing=Packing(packed_length=220.0), motors=(long_motor,))["parachute bay: length"]
    assert found.status == "fail"
