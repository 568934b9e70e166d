"""Glue lines, rings and bulkheads of a hand-made rocket against sums by hand (statics; strengths are stated here)."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from loaded_samples import RECOVERY, flight, loaded_rocket
from rocket_samples import bulkhead_part, ring_part, tube_part

from ferrule.analysis.bonded_area import bonded_joints
from ferrule.analysis.joints import Joint, State
from ferrule.analysis.limits import Check
from ferrule.analysis.loads.glue import cylinders, glue
from ferrule.analysis.loads.recovery_loads import structure_checks
from ferrule.analysis.loads.sharing import MOTOR, web
from ferrule.analysis.loads.stated import StatedLoads
from ferrule.analysis.loads.thrust_path import thrust_lines
from ferrule.analysis.recovery import Recovery
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.kinds import Bulkhead, MotorMount
from ferrule.parts.strengths import strength

GRAVITY = 9.80665
OPENING = 50.0 * 1.1 * GRAVITY
"""Opening load of the sample [N]: 50 times the weight of 1,100 g."""

PLYWOOD = {"material": "birch-plywood"}
SAMPLE = loaded_rocket()
NAMES = [item.name for item in SAMPLE.items]


def run(rocket: Rocket | None = None, recovery: Recovery = RECOVERY, **stated: Any) -> dict[str, Check]:
    found = list(structure_checks(rocket or loaded_rocket(), recovery, [flight()], StatedLoads(**stated)))
    assert len({check.name for check in found}) == len(found), "every check has a name of its own"
    for check in found:
        assert check.source
        assert check.status == "pass" or check.note, f"{check.name} says what to do"
        assert check.value is None or "nan" not in check.value
    return {check.name: check for check in found}


def words(load: float, borne: float) -> str:
    load_words, borne_words = (f"{one:.0f} N" if one >= 100.0 else f"{one:.3g} N" for one in (load, borne))
    return f"load {load_words} against {borne_words} borne, {borne / load:.3g} times"


# --- what hangs on what -----------------------------------------------------------------------------------------------


def test_what_lies_on_a_disc_in_the_burn_goes_with_the_airframe_at_opening() -> None:
    burn = web(loaded_rocket(), RECOVERY, 200.0, opened=False)
    opened = web(loaded_rocket(), RECOVERY, 100.0, opened=True)
    assert set(burn.alone("bulkhead", whole=True)[0]) == {"bulkhead", "eyebolt", "payload"}
    assert set(opened.alone("bulkhead", whole=False)[0]) == {"bulkhead", "eyebolt"}
    # 100 + 50 + 60 + 20 + 80 + 10 g ahead; 150 + 30 + 20 + 70 g and the motor behind.
    assert opened.mass(opened.part_of("nose")) == 320.0
    assert opened.mass(opened.part_of("fins")) == 370.0
    assert MOTOR in opened.part_of("fins")
    assert burn.sides(("coupler", "booster tube"), whole=True) is not None


def test_two_ways_round_are_no_bridge() -> None:
    """Fins glued to both tubes: cutting one of the joints leaves all together, and the fins alone count."""
    recovery = replace(RECOVERY, joints=(*RECOVERY.joints, Joint(("motor tube", "fins"), "glued")))
    found = web(loaded_rocket(), recovery, 200.0, opened=False)
    assert found.sides(("booster tube", "fins"), whole=True) is None
    assert found.alone("fins", whole=True)[0] == ("fins",)


# --- glue lines -------------------------------------------------------------------------------------------------------


def test_the_bulkheads_glue_bears_its_part_of_the_opening_load() -> None:
    """290 of 320 g hang on it; it shares pi x 60 x 6 mm2 with the coupler, at 2 MPa."""
    check = run()["glue line, bulkhead in coupler"]
    assert check.value == words(OPENING * 290.0 / 320.0, math.pi * 60.0 * 6.0 * 2.0)
    assert check.status == "pass"
    # 20 + 10 + 80 g at 110 m/s2.
    assert "12.1 N in the burn: 110 g hang on it, at 110 m/s2 as felt" in check.inputs
    assert any("2 MPa" in one and "common practice" in one for one in check.inputs)


def test_the_fins_glue() -> None:
    """70 g of 370 g; the root of 120 mm without a tab is 3 mm thick on each of three."""
    check = run()["glue line, fins on booster tube"]
    assert check.value == words(OPENING * 70.0 / 370.0, 3.0 * 120.0 * 3.0 * 2.0)


def test_the_ring_with_the_anchor_carries_the_opening_load_and_pushes_the_rest_in_the_burn() -> None:
    """In the burn all but motor, motor tube, rings and parachute: 100+50+60+20+80+10+150+70 g, on two rims."""
    check = run()["glue line, rings in booster tube"]
    assert f"{0.54 * 110.0:.3g} N in the burn: 540 g hang on it, at 110 m/s2 as felt" in check.inputs
    assert check.value == words(OPENING * 220.0 / 370.0, 2.0 * math.pi * 64.0 * 6.0 * 2.0)


@pytest.mark.parametrize(("shear", "status"), [(0.1, "fail"), (0.6, "warn"), (2.0, "pass")])
def test_weaker_glue_is_told_of(shear: float, status: str) -> None:
    check = run(glue_shear=shear)["glue line, bulkhead in coupler"]
    assert check.status == status
    assert f"glue line {shear:g} MPa in shear (stated)" in check.inputs


def test_a_seat_on_the_end_of_a_tube_is_left_out() -> None:
    """It may peel: of a stepped bulkhead only the rim of the small disc counts, pi x 60 x 6."""
    sizes = {"outside_diameter": "64 mm", "thickness": "6 mm", "step_diameter": "60 mm", "step_thickness": "6 mm"}
    stepped = Bulkhead.build(**sizes, step_faces="forward", **PLYWOOD)
    rocket = loaded_rocket()
    moved = tuple(
        replace(one, part=stepped, stations=(454.0,)) if one.name == "bulkhead" else one for one in rocket.items
    )
    joint = next(one for one in bonded_joints(Rocket("", moved), RECOVERY.joints) if "bulkhead" in one.between)
    assert cylinders(joint) == pytest.approx(math.pi * 60.0 * 6.0, rel=1e-10)
    assert joint.area > cylinders(joint) + 100.0


def test_a_joint_without_a_face_is_not_stated() -> None:
    check = run(loaded_rocket(bulkhead=bulkhead_part(outside_diameter="50 mm")))["glue line, coupler to bulkhead"]
    assert check.status == "not-stated"
    assert "no cylinder" in check.note


def test_a_mass_that_is_not_known_is_named() -> None:
    rocket = loaded_rocket()
    items = tuple(replace(one, stated_mass=None) if one.name == "payload tube" else one for one in rocket.items)
    found = run(Rocket("", items))
    assert found["glue line, bulkhead in coupler"].status == "pass"
    assert any(
        "the whole opening load, 539 N: the mass of payload tube" in one
        for one in found["glue line, bulkhead in coupler"].inputs
    )
    rings = found["glue line, rings in booster tube"]
    assert (rings.status, rings.note) == ("not-stated", "enter the mass of payload tube, which hangs on it in the burn")
    apart = found["joint coupler to booster tube: drag separation"]
    assert (apart.status, apart.note) == ("not-stated", "enter the mass of payload tube, which is ahead of the joint")


def test_what_a_bulkhead_carries_must_be_weighed() -> None:
    rocket = loaded_rocket(bulkhead=bulkhead_part(**PLYWOOD))
    items = tuple(replace(one, stated_mass=None) if one.name == "payload" else one for one in rocket.items)
    check = run(Rocket("", items))["bulkhead bent in the burn"]
    assert (check.status, check.note) == ("not-stated", "enter the mass of payload")


def test_no_anchor_no_opening_load() -> None:
    """In the burn 20 + 80 g at 110 m/s2: an eyebolt that nothing ties to the bulkhead goes with the tube round it."""
    found = run(recovery=Recovery(RECOVERY.joints))["glue line, bulkhead in coupler"]
    assert "opening load not known: no anchor is stated for its section" in found.inputs
    assert found.value == words(11.0, math.pi * 60.0 * 6.0 * 2.0)


def test_glue_on_prints_is_not_known() -> None:
    """Plastic takes glue as wood does not: without a stated shear it is to be pulled to twice its load."""
    printed = loaded_rocket(bulkhead=bulkhead_part(material="petg"), rings=ring_part(material="pla"))
    check = run(printed)["glue line, bulkhead in coupler"]
    load = OPENING * 290.0 / 320.0
    assert (check.status, check.value) == ("not-stated", f"load {load:.0f} N, what is borne is not stated")
    assert check.note.startswith(
        "glue on prints is not known (bulkhead): scuff it, and test it by pulling to "
        f"{2.0 * load:.0f} N, or bolt through"
    )
    assert not any("2 MPa" in one for one in check.inputs)
    for name in ("thrust through all rings", "thrust through one ring alone"):
        found = run(printed)[name]
        assert (found.status, found.note[:38]) == ("not-stated", "glue on prints is not known (rings): s"), name
    assert run(printed, glue_shear=2.0)["glue line, bulkhead in coupler"].status == "pass"
    assert run(printed, glue_shear=2.0)["thrust through all rings"].status == "pass"


def test_the_motors_pull_on_its_retainer_is_named_where_the_motor_is() -> None:
    found, words = run(), "what the motor pulls on its retainer at opening is not looked at"
    assert words in found["glue line, rings in booster tube"].inputs
    assert words not in found["glue line, bulkhead in coupler"].inputs


def test_glue_as_the_table_has_it() -> None:
    assert (glue(StatedLoads()).shear, glue(StatedLoads(glue_shear=5.0)).shear) == (2.0, 5.0)


# --- screws -----------------------------------------------------------------------------------------------------------


def test_screws_are_told_what_they_carry_and_nothing_is_said_of_what_they_bear() -> None:
    """Nose 100 g; nose, payload tube and payload 230 g; of a section of 320 g."""
    found = run()
    for name, mass in (("screws, nose to payload tube", 100.0), ("screws, coupler to payload tube", 230.0)):
        load = OPENING * mass / 320.0
        assert (found[name].status, found[name].value) == (
            "not-stated",
            f"load {load:.0f} N, what is borne is not stated",
        )
        assert f"{2.0 * load:.0f} N, twice the load" in found[name].note
    assert not any(name.startswith("screws") for name in run(recovery=Recovery(RECOVERY.joints)))


def test_a_bulkhead_that_is_screwed_in_is_told_too() -> None:
    joints = tuple(replace(one, state="screwed") if "bulkhead" in one.between else one for one in RECOVERY.joints)
    check = run(recovery=replace(RECOVERY, joints=joints))["screws, coupler to bulkhead"]
    assert check.value == f"load {OPENING * 290.0 / 320.0:.0f} N, what is borne is not stated"


# --- thrust -----------------------------------------------------------------------------------------------------------


def test_the_thrust_goes_through_all_rings_or_through_one() -> None:
    """Two rings of 6 mm on a motor tube of 42 mm: 2 x pi x 42 x 6 mm2 is less than 2 x pi x 64 x 6."""
    found = run(loaded_rocket(rings=ring_part(**PLYWOOD)))
    each = math.pi * 42.0 * 6.0
    assert found["thrust through all rings"].value == words(138.0, 2.0 * each * 2.0)
    assert found["thrust through one ring alone"].value == words(138.0, each * 2.0)
    row = strength("birch-plywood")
    assert row is not None
    assert row.shear is not None
    # The sheet itself, round the bore.
    assert found["ring sheared round the motor tube, one alone"].value == words(138.0, each * row.shear)


def test_a_ring_without_a_material_is_not_stated() -> None:
    check = run()["ring sheared round the motor tube, one alone"]
    assert (check.status, check.note[:30]) == ("not-stated", "enter the material of rings; t")


def test_thrust_without_glued_rings_is_not_stated() -> None:
    joints = tuple(one for one in RECOVERY.joints if "motor tube" not in one.between)
    found = run(recovery=replace(RECOVERY, joints=joints))
    assert found["thrust through all rings"].status == "not-stated"
    assert "as glued" in found["thrust through one ring alone"].note


def test_a_ring_glued_on_one_side_only_carries_nothing() -> None:
    rocket = loaded_rocket()
    loose = Item("spare ring", (900.0,), ring_part(), stated_mass=15.0)
    recovery = replace(RECOVERY, joints=(*RECOVERY.joints, Joint(("motor tube", "spare ring"), "glued")))
    found = run(replace(rocket, items=(*rocket.items, loose)), recovery)["thrust through all rings"]
    assert "not counted, glued on one side only: spare ring" in found.inputs
    assert "rings that carry it: rings x 2" in found.inputs


def test_a_motor_mount_has_its_glue_on_the_tube_inside() -> None:
    """Three rings of 6 mm: bore of the default 31.2 mm, rims in a bore of 65.9 mm."""
    mount = MotorMount.build(**{**MotorMount.example, "ring_inside_diameter": "31.2 mm"})
    tube = tube_part(outside_diameter="68.4 mm", inside_diameter="65.9 mm")
    rocket = Rocket("", (Item("tube", (200.0,), tube), Item("mount", (700.0,), mount)))
    (lines,) = thrust_lines(rocket, Recovery((Joint(("tube", "mount"), "glued"),)))
    assert lines.inner == pytest.approx((math.pi * 31.2 * 6.0,) * 3, rel=1e-10)
    assert lines.outer == pytest.approx((math.pi * 65.9 * 6.0,) * 3, rel=1e-10)
    assert lines.material == "birch-plywood"


# --- bulkheads in the burn --------------------------------------------------------------------------------------------


def test_a_bulkhead_in_the_burn() -> None:
    """110 g x 110 m/s2 = 12.1 N spread over radius 30: 3 (3 + 0.3) / 8 F / pi t2 against 29 MPa."""
    check = run(loaded_rocket(bulkhead=bulkhead_part(**PLYWOOD)))["bulkhead bent in the burn"]
    row = strength("birch-plywood")
    assert row is not None
    assert row.bending is not None
    stress = 3.0 * 3.3 / 8.0 * 12.1 / (math.pi * 36.0)
    assert check.value == words(12.1, 12.1 * row.bending / stress)
    assert "Theory of Plates and Shells" in check.source


def test_a_ring_on_which_something_lies() -> None:
    """Parachute 100 g on rings of 30 g; the motor pushes its own tube.

    Even load on pi (32^2 - 21^2) mm2, strips of 11 mm: M = p L2 / 8, W = 6.
    """
    check = run(loaded_rocket(rings=ring_part(**PLYWOOD)))["rings bent in the burn"]
    load = 0.13 * 110.0
    stress = load / (math.pi * (32.0**2 - 21.0**2)) * 11.0**2 / 8.0 / 6.0
    assert check.value == f"load {load:.3g} N against {load * 29.0 / stress:.0f} N borne, over 1000 times"
    assert "130 g: rings, parachute, all on one of them" in check.inputs


def test_a_bulkhead_without_a_material_is_not_stated() -> None:
    assert run()["bulkhead bent in the burn"].status == "not-stated"


# --- all of them ------------------------------------------------------------------------------------------------------


def test_with_several_motors_every_name_ends_in_the_motors() -> None:
    flights = [flight(), flight(motor="DEMO-38", thrust=300.0)]
    names = [check.name for check in structure_checks(loaded_rocket(), RECOVERY, flights)]
    assert len(set(names)) == len(names)
    assert {"thrust through all rings, DEMO-29", "thrust through all rings, DEMO-38"} <= set(names)
    assert sum("opens" in name for name in names) == 1, "what does not depend on the motor is told once"


def test_without_a_motor_it_says_what_to_enter() -> None:
    first = next(structure_checks(loaded_rocket(), RECOVERY, []))
    assert (first.name, first.status) == ("loads on the parts", "not-stated")
    assert "[[motor]]" in first.note


def test_a_design_half_written_has_no_loads_to_fail_at() -> None:
    empty = list(structure_checks(Rocket(""), Recovery(), [flight()]))
    assert {check.status for check in empty} == {"not-stated"}


@given(
    st.sets(st.sampled_from(NAMES)),
    st.lists(st.sampled_from(["glued", "screwed", "releases"]), min_size=7, max_size=7),
    st.sets(st.integers(0, 6)),
    st.sets(st.sampled_from(NAMES)),
    st.sampled_from([0.0, 1e-6, 1e4]),
)
@settings(max_examples=40)
def test_a_design_in_any_state_is_told_of(
    gone: set[str], states: list[State], open_ends: set[int], unweighed: set[str], thrust: float
) -> None:
    """Items, joints and masses missing, joints of any state: no error, a name for each, no number that is none."""
    items = tuple(
        replace(one, stated_mass=None) if one.name in unweighed else one for one in SAMPLE.items if one.name not in gone
    )
    joints = tuple(
        replace(joint, state=state)
        for index, (joint, state) in enumerate(zip(RECOVERY.joints, states, strict=True))
        if index not in open_ends
    )
    at = flight(thrust=thrust, acceleration=thrust, drag_at_burnout=thrust, deployment_speed=None)
    found = list(structure_checks(Rocket("", items), replace(RECOVERY, joints=joints), [at]))
    assert len({check.name for check in found}) == len(found)
    for check in found:
        assert check.status == "pass" or check.note, check
        assert not any(word in str(check.value) for word in ("nan", "inf"))
