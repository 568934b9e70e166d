"""Joints, sections, anchors and the gas bay of hand-made rockets; what is asked of them is common practice.

The graph of the joints is checked against networkx.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rocket_samples import bulkhead_part, coupler_part, nose_part, ring_part, tube_part, two_sections

from ferrule.analysis.joints import airframe, groups, sections
from ferrule.analysis.limits import Check
from ferrule.analysis.recovery import Anchor, Harness, Joint, Parachute, Recovery, State, locked, recovery_checks
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.kinds import MotorMount, Transition

SOUND = Recovery(
    joints=(
        Joint(("nose", "payload tube"), "screwed", "3 x M3"),
        Joint(("coupler", "payload tube"), "screwed", "3 x M3"),
        Joint(("coupler", "booster tube"), "releases", "tape fit"),
    ),
    anchors=(Anchor("eyebolt", "bulkhead", True, "steel"), Anchor("U-bolt", "rings", True, "steel")),
    harnesses=(Harness("harness", ("eyebolt", "U-bolt")),),
    parachutes=(Parachute("parachute", "harness"),),
)

FORWARD, AFT = "anchor on nose, payload tube and coupler", "anchor on booster tube"
CLOSED, HOLES = "gas bay closed", "gas bay: unsealed holes"


def run(design: Rocket | None = None, recovery: Recovery = SOUND) -> dict[str, Check]:
    found = list(recovery_checks(design or two_sections(), recovery))
    assert len({check.name for check in found}) == len(found), "every check has a name of its own"
    for check in found:
        assert check.source
        assert check.status == "pass" or check.note, f"{check.name} says what to do"
    return {check.name: check for check in found}


def joined(*states: State) -> tuple[Joint, ...]:
    """The three joints of the sample with other states."""
    return tuple(replace(joint, state=state) for joint, state in zip(SOUND.joints, states, strict=True))


# --- the graph ---------------------------------------------------------------------------------------------------


@st.composite
def graphs(draw: st.DrawFn) -> tuple[list[str], list[tuple[str, str]]]:
    names = [f"item {index}" for index in range(draw(st.integers(1, 12)))]
    one = st.sampled_from(names)
    return names, draw(st.lists(st.tuples(one, one), max_size=20))


@given(graphs())
def test_groups_are_the_connected_components(graph: tuple[list[str], list[tuple[str, str]]]) -> None:
    names, pairs = graph
    reference = nx.Graph()
    reference.add_nodes_from(names)
    reference.add_edges_from(pairs)
    found = groups(names, pairs)
    assert {frozenset(group) for group in found} == {frozenset(group) for group in nx.connected_components(reference)}
    for group in found:
        assert list(group) == sorted(group, key=names.index), "in the order of the names"
    assert [group[0] for group in found] == sorted((group[0] for group in found), key=names.index)


@given(st.lists(st.sampled_from(["glued", "screwed", "releases"]), min_size=1, max_size=8))
def test_a_chain_of_tubes_comes_apart_where_it_releases(states: list[State]) -> None:
    names = [f"tube {index}" for index in range(len(states) + 1)]
    items = tuple(Item(name, (700.0 * index,), tube_part()) for index, name in enumerate(names))
    chain = [Joint((names[i], names[i + 1]), state) for i, state in enumerate(states)]
    found = sections(Rocket("chain", items), chain)
    assert len(found) == 1 + states.count("releases")
    assert [name for section in found for name in section] == names
    reference = nx.path_graph(names)
    reference.remove_edges_from(joint.between for joint in chain if joint.state == "releases")
    assert {frozenset(section) for section in found} == {frozenset(part) for part in nx.connected_components(reference)}
    checks = {check.name: check for check in recovery_checks(Rocket("chain", items), Recovery(tuple(chain)))}
    one = checks["one joint releases"]
    assert one.status == ("pass" if states.count("releases") == 1 else "fail")


def test_what_no_joint_names_goes_with_what_holds_it() -> None:
    """The bulkhead lies in the coupler and in the booster tube: it belongs to the inner one."""
    payload = Item("logger", (300.0,), stated_mass=85.0)
    design = two_sections()
    found = sections(Rocket("sample", (*design.items, payload)), SOUND.joints)
    assert [set(section) for section in found] == [
        {"nose", "payload tube", "coupler", "bulkhead", "logger"},
        {"booster tube", "rings", "motor tube", "fins"},
    ]


def test_a_bulkhead_glued_into_the_booster_tube_stays_there() -> None:
    glued = (*SOUND.joints, Joint(("bulkhead", "booster tube"), "glued"))
    assert "bulkhead" in sections(two_sections(), glued)[1]


def test_fins_stand_on_a_skin_and_never_on_a_coupler() -> None:
    """Fins from 380 to 500 mm, most of them on the booster tube, which starts at 400 mm over the coupler."""
    moved = tuple(replace(i, stations=(380.0,)) if i.name == "fins" else i for i in two_sections().items)
    assert "fins" in sections(Rocket("forward", moved), SOUND.joints)[1]


def test_the_airframe_is_skins_and_couplers_from_forward_to_aft() -> None:
    assert [item.name for item in airframe(two_sections())] == ["nose", "payload tube", "coupler", "booster tube"]
    sleeve = tube_part(outside_diameter="64 mm", inside_diameter="61 mm", length="120 mm", use="coupler")
    assert [item.name for item in airframe(two_sections(coupler=sleeve))][2] == "coupler"


# --- locked ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("nose", ["glued", "screwed"])
@pytest.mark.parametrize("aft", ["glued", "screwed"])
def test_a_fixed_nose_and_a_coupler_fixed_at_both_ends_are_locked(nose: State, aft: State) -> None:
    reason = locked(two_sections(), joined(nose, "screwed", aft))
    assert reason is not None
    assert reason.startswith(f"nothing can open: nose is {nose} to payload tube by 3 x M3, and coupler is screwed")
    assert f"coupler is {aft} to booster tube" in reason
    assert "the parachute cannot come out" in reason
    assert reason.endswith("let one of two joints release: nose to payload tube, or coupler to booster tube")


@pytest.mark.parametrize("at", range(3))
def test_what_releases_somewhere_is_not_locked(at: int) -> None:
    states: list[State] = ["screwed", "screwed", "screwed"]
    states[at] = "releases"
    assert locked(two_sections(), joined(*states)) is None


@pytest.mark.parametrize("missing", range(3))
def test_what_is_not_stated_yet_is_not_locked(missing: int) -> None:
    stated = joined("glued", "glued", "glued")
    assert locked(two_sections(), stated[:missing] + stated[missing + 1 :]) is None
    assert locked(two_sections(), ()) is None


def test_a_second_tube_without_a_joint_is_not_locked() -> None:
    design = two_sections()
    tail = Item("tail", (1000.0,), tube_part(length="100 mm"))
    assert locked(Rocket("longer", (*design.items, tail)), joined("glued", "glued", "glued")) is None


def test_a_coupler_glued_to_its_bulkhead_is_not_held_at_both_ends() -> None:
    two = (*joined("glued", "glued", "glued")[:2], Joint(("coupler", "bulkhead"), "glued"))
    assert locked(two_sections(), two) is None


# --- joints ------------------------------------------------------------------------------------------------------


def test_a_sound_rocket_passes_everything() -> None:
    found = run()
    assert list(found) == ["one joint releases", FORWARD, AFT, "parachute on one harness", CLOSED, HOLES]
    assert {name for name, check in found.items() if check.status != "pass"} == {HOLES}, "it has no vent"
    assert found["one joint releases"].value == "coupler to booster tube"
    assert found[FORWARD].value == "eyebolt on bulkhead, harness"
    # The bulkhead ends at 406 mm and the foremost ring starts at 850 mm.
    assert found[CLOSED].value == "bulkhead at 406.00 mm to rings at 850.00 mm: 444.00 mm"
    assert (found[HOLES].status, found[HOLES].value) == ("warn", "none")
    assert "a bay has one vent" in found[HOLES].note


def test_nothing_stated() -> None:
    found = run(recovery=Recovery())
    assert found
    assert {check.status for check in found.values()} == {"not-stated"}


def test_a_part_alone_is_asked_nothing() -> None:
    assert run(Rocket("nose", (Item("nose", (0.0,), nose_part()),)), Recovery()) == {}


def test_none_releases() -> None:
    stated = joined("screwed", "screwed", "glued")
    found = run(recovery=replace(SOUND, joints=stated))
    assert found["one joint releases"].status == "fail"
    assert found["one joint releases"].note == locked(two_sections(), stated)
    assert found["anchor on each section"].status == found[CLOSED].status == found[HOLES].status == "not-stated"


def test_two_release() -> None:
    found = run(recovery=replace(SOUND, joints=joined("releases", "screwed", "releases")))
    check = found["one joint releases"]
    assert check.status == "fail"
    assert check.value == "2: nose to payload tube, coupler to booster tube"
    assert found["anchor on nose"].status == "fail", "three sections, of which two have an anchor"
    assert found["anchor on payload tube and coupler"].status == "pass"


def test_a_joint_that_something_else_bridges_does_not_part() -> None:
    found = run(recovery=replace(SOUND, joints=(*SOUND.joints, Joint(("payload tube", "booster tube"), "glued"))))
    assert found["joint coupler to booster tube parts"].status == "fail"
    assert found[CLOSED].status == "not-stated"


def test_a_joint_of_things_that_do_not_touch() -> None:
    wrong = (replace(SOUND.joints[0], between=("nose", "booster tube")), *SOUND.joints[1:])
    found = run(recovery=replace(SOUND, joints=wrong))
    check = found["joint nose to booster tube"]
    # The nose's shoulder ends at 260 mm, the booster tube starts at 400 mm.
    assert (check.status, check.value) == ("fail", "140.00 mm apart")


@pytest.mark.parametrize(("start", "apart"), [(460.4, False), (460.6, True)])
def test_half_a_millimetre_still_meets(start: float, apart: bool) -> None:
    design = two_sections()
    moved = tuple(replace(i, stations=(start,)) if i.name == "booster tube" else i for i in design.items)
    assert ("joint coupler to booster tube" in run(Rocket("moved", moved))) is apart


def test_what_no_joint_names_is_asked_for() -> None:
    found = run(recovery=replace(SOUND, joints=SOUND.joints[1:]))
    assert found["nose: joint"].status == "not-stated"
    assert "anchor on nose" not in found, "whether it comes apart is not known"
    assert found["anchor on payload tube and coupler"].status == "pass"
    front = run(recovery=replace(SOUND, joints=(SOUND.joints[0], SOUND.joints[2])))
    assert front["nose and payload tube: joint"].status == "not-stated"


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"joints": (*SOUND.joints, Joint(("nose", "booster"), "glued"))}, "joint nose to booster"),
        ({"joints": (*SOUND.joints, Joint(("nose", "nose"), "glued"))}, "joint nose to nose"),
        ({"anchors": (*SOUND.anchors, Anchor("hook", "lid", True))}, "hook: what it is on"),
        ({"harnesses": (Harness("harness", ("eyebolt", "U-bolt", "hook")),)}, "harness: tied to hook"),
        ({"parachutes": (*SOUND.parachutes, Parachute("second", "line"))}, "second: on its harness"),
    ],
)
def test_a_name_that_names_nothing(change: dict[str, Any], name: str) -> None:
    assert run(recovery=replace(SOUND, **change))[name].status == "fail"


# --- anchors -----------------------------------------------------------------------------------------------------


def test_a_missing_anchor() -> None:
    found = run(recovery=replace(SOUND, anchors=SOUND.anchors[:1]))
    assert found[FORWARD].status == "pass"
    assert found[AFT].status == "fail"
    assert "no anchor is on this section" in found[AFT].note


def test_a_printed_loop_is_no_anchor() -> None:
    loop = Anchor("loop", "nose", False, "petg")
    tied = (Harness("harness", ("loop", "U-bolt")),)
    found = run(recovery=replace(SOUND, anchors=(loop, SOUND.anchors[1]), harnesses=tied))
    assert found[FORWARD].status == "fail"
    assert found[FORWARD].value == "loop of petg on nose"
    assert "not metal" in found[FORWARD].note
    # A metal one beside it is enough.
    both = replace(
        SOUND, anchors=(loop, *SOUND.anchors), harnesses=(Harness("harness", ("loop", "eyebolt", "U-bolt")),)
    )
    assert run(recovery=both)[FORWARD].status == "pass"


def test_anchors_on_two_harnesses() -> None:
    two = (Harness("long", ("U-bolt",)), Harness("short", ("eyebolt",)))
    found = run(recovery=replace(SOUND, harnesses=two, parachutes=(Parachute("parachute", "long"),)))
    assert found[AFT].status == "pass"
    assert found[FORWARD].status == "fail"
    assert "it is on short, and the parachute on long" in found[FORWARD].note


def test_an_anchor_on_no_harness() -> None:
    found = run(recovery=replace(SOUND, harnesses=(Harness("harness", ("U-bolt",)),)))
    assert found[FORWARD].status == "fail"
    assert "harness is not tied to it" in found[FORWARD].note


def test_a_parachute_on_no_harness() -> None:
    found = run(recovery=replace(SOUND, parachutes=(Parachute("parachute"),)))
    assert found["parachute on one harness"].status == "fail"
    assert found[FORWARD].status == found[AFT].status == "fail"


def test_a_parachute_that_is_not_stated() -> None:
    found = run(recovery=replace(SOUND, parachutes=()))
    assert found["parachute on one harness"].status == "not-stated"
    assert found[FORWARD].status == found[AFT].status == "not-stated"


def test_of_two_parachutes_the_one_that_holds_the_least_is_named() -> None:
    two = replace(
        SOUND,
        harnesses=(Harness("line", ("eyebolt",)), *SOUND.harnesses),
        parachutes=(*SOUND.parachutes, Parachute("small", "line")),
    )
    found = run(recovery=two)
    assert found[FORWARD].status == found[AFT].status == "pass"
    assert found["parachute: on one harness"].status == "pass"
    assert found["small: on one harness"].status == "fail"


def test_recovery_not_stated_beside_stated_joints() -> None:
    found = run(recovery=Recovery(SOUND.joints))
    assert found["one joint releases"].status == "pass"
    assert found[FORWARD].status == found[AFT].status == "not-stated"
    assert "enter the anchors" in found[FORWARD].note


# --- the gas bay -------------------------------------------------------------------------------------------------


def without(*names: str) -> Rocket:
    design = two_sections()
    return Rocket("less", tuple(item for item in design.items if item.name not in names))


def test_no_bulkhead() -> None:
    """A hollow nose far from the joint does not close the bay: the payload would be in it."""
    found = run(
        without("bulkhead"), replace(SOUND, anchors=(replace(SOUND.anchors[0], on="coupler"), SOUND.anchors[1]))
    )
    assert found[CLOSED].status == "fail"
    assert "no disc ahead of" in found[CLOSED].note
    assert found[HOLES].status == "not-stated"


def test_of_several_discs_the_nearest_to_the_joint_closes() -> None:
    design = two_sections()
    more = (*design.items, Item("lid", (345.0,), bulkhead_part()), Item("stop", (700.0,), bulkhead_part()))
    found = run(Rocket("more", more))
    assert found[CLOSED].value == "bulkhead at 406.00 mm to stop at 700.00 mm: 294.00 mm"


def test_a_ring_without_a_motor_tube_is_open() -> None:
    found = run(without("motor tube"))
    assert found[CLOSED].status == "fail"
    assert "no disc behind" in found[CLOSED].note
    both = run(without("motor tube", "bulkhead"), replace(SOUND, anchors=SOUND.anchors[1:]))
    assert "ahead of or behind" in both[CLOSED].note


def test_a_motor_tube_too_wide_for_the_bore_is_not_in_it() -> None:
    assert run(two_sections(rings=ring_part(inside_diameter="41.9 mm")))[CLOSED].status == "fail"


def test_a_motor_mount_closes_at_its_foremost_ring() -> None:
    mount = MotorMount.build(
        tube_outside_diameter="42 mm",
        tube_inside_diameter="40 mm",
        tube_length="150 mm",
        ring_diameter="63.8 mm",
        ring_thickness="6 mm",
        ring_positions=("20 mm", "130 mm"),
        hole_diameter="5.5 mm",
        hole_circle_diameter="53 mm",
        hole_rolls=("20 deg", "70 deg"),
    )
    design = without("motor tube", "rings")
    items = (*design.items, Item("mount", (845.0,), mount))
    anchored = replace(SOUND, anchors=(SOUND.anchors[0], replace(SOUND.anchors[1], on="mount")))
    found = run(Rocket("mount", items), anchored)
    assert found[CLOSED].value == "bulkhead at 406.00 mm to mount at 865.00 mm: 459.00 mm"
    assert found[HOLES].value == "none"
    assert "2 holes of 5.5 mm in mount counted as filled by what is anchored there" in found[HOLES].note
    bare = run(Rocket("mount", items), replace(SOUND, anchors=SOUND.anchors[:1]))
    assert (bare[HOLES].status, bare[HOLES].value) == ("warn", "2 holes of 5.5 mm in mount")


@pytest.mark.parametrize(("body", "end"), [("hollow", None), ("solid", 260.0)])
def test_a_nose_that_comes_off_closes_the_bay_behind_it(body: str, end: float | None) -> None:
    nose = nose_part(profile="cone", body=body, shoulder_length="60 mm", shoulder_diameter="63.5 mm")
    design = two_sections(nose=nose)
    found = run(design, replace(SOUND, joints=joined("releases", "screwed", "screwed")))
    if end is None:
        # A cone of half angle atan(33 / 200) and wall 1.6 mm is hollow from 1.6 / sin(half angle) on.
        end = 1.6 * (200.0**2 + 33.0**2) ** 0.5 / 33.0
    assert found[CLOSED].value == f"nose at {end:.2f} mm to bulkhead at 400.00 mm: {400.0 - end:.2f} mm"


@pytest.mark.parametrize(("body", "status"), [("solid", "pass"), ("hollow", "fail")])
def test_a_solid_transition_closes_and_a_hollow_one_does_not(body: str, status: str) -> None:
    part = Transition.build(forward_diameter="66 mm", aft_diameter="54 mm", length="50 mm", body=body)
    design = without("motor tube")
    items = (*design.items, Item("boat tail", (1000.0,), part))
    recovery = replace(SOUND, joints=(*SOUND.joints, Joint(("boat tail", "booster tube"), "glued")))
    found = run(Rocket("tail", items), recovery)
    assert found[CLOSED].status == status
    if status == "pass":
        assert found[CLOSED].value == "bulkhead at 406.00 mm to boat tail at 1000.00 mm: 594.00 mm"


def test_discs_that_leave_no_room() -> None:
    design = two_sections()
    moved = tuple(replace(i, stations=(854.0,)) if i.name == "bulkhead" else i for i in design.items)
    glued = replace(SOUND, joints=(*SOUND.joints, Joint(("bulkhead", "coupler"), "glued")))
    found = run(Rocket("moved", moved), glued)
    assert found[CLOSED].status == "fail"
    assert "no room between them" in found[CLOSED].note


@pytest.mark.parametrize(
    ("positions", "status", "value"),
    [
        (("100 mm",), "pass", "1 hole of 4 mm in booster tube at 500.00 mm"),
        (
            ("100 mm", "200 mm"),
            "warn",
            "1 hole of 4 mm in booster tube at 500.00 mm; 1 hole of 4 mm in booster tube at 600.00 mm",
        ),
        (("500 mm",), "warn", "none"),  # at 900 mm, behind the foremost ring
        (("4 mm",), "warn", "none"),  # from 402 to 406 mm, where the bulkhead is
        (("5 mm",), "pass", "1 hole of 4 mm in booster tube at 405.00 mm"),  # reaches past the bulkhead
    ],
)
def test_one_vent_is_right_and_two_are_listed(positions: tuple[str, ...], status: str, value: str) -> None:
    vented = tube_part(length="600 mm", hole_diameter="4 mm", hole_positions=positions)
    found = run(two_sections(booster_tube=vented))[HOLES]
    assert (found.status, found.value) == (status, value)


def test_screw_holes_in_the_bay_are_listed() -> None:
    """The coupler's own lie ahead of the bulkhead; put behind it, they lead out of the bay."""
    found = run(two_sections(coupler=coupler_part(screw_distance="90 mm")))[HOLES]
    assert (found.status, found.value) == ("warn", "3 holes of 3.4 mm in coupler at 430.00 mm")
    assert "close each" in found.note
    off = run(recovery=replace(SOUND, joints=joined("releases", "screwed", "screwed")))[HOLES]
    assert (off.status, off.value) == (
        "warn",
        "3 holes of 4 mm in nose at 230.00 mm; 3 holes of 3.4 mm in coupler at 370.00 mm",
    )


DRILLED = {"hole_diameter": "3 mm", "hole_circle_diameter": "44 mm"}


@pytest.mark.parametrize(
    ("fields", "anchored", "status", "value"),
    [
        ({"centre_hole_diameter": "6.4 mm"}, True, "warn", "none"),
        ({"centre_hole_diameter": "6.4 mm"}, False, "warn", "1 hole of 6.4 mm in bulkhead"),
        ({**DRILLED, "hole_rolls": ("90 deg", "270 deg")}, True, "warn", "none"),
        ({**DRILLED, "hole_rolls": ("0 deg", "90 deg", "270 deg")}, True, "warn", "1 hole of 3 mm in bulkhead"),
        ({**DRILLED, "hole_rolls": ("90 deg", "270 deg")}, False, "warn", "2 holes of 3 mm in bulkhead"),
        (
            {
                "centre_hole_diameter": "6.4 mm",
                "step_diameter": "50 mm",
                "step_thickness": "4 mm",
                "step_faces": "forward",
            },
            False,
            "warn",
            "1 hole of 6.4 mm in bulkhead",
        ),
    ],
)
def test_holes_in_a_disc(fields: dict[str, Any], anchored: bool, status: str, value: str) -> None:
    on = "bulkhead" if anchored else "coupler"
    anchors = (replace(SOUND.anchors[0], on=on), SOUND.anchors[1])
    found = run(two_sections(bulkhead=bulkhead_part(**fields)), replace(SOUND, anchors=anchors))[HOLES]
    assert (found.status, found.value) == (status, value)
    assert ("counted as filled" in found.note) is anchored


def test_the_bore_of_a_ring_is_the_motor_tubes_and_its_holes_are_not() -> None:
    drilled = ring_part(hole_diameter="5 mm", hole_circle_diameter="53 mm", hole_rolls=("0 deg", "120 deg", "240 deg"))
    found = run(two_sections(rings=drilled))[HOLES]
    assert (found.status, found.value) == ("warn", "1 hole of 5 mm in rings"), "the U-bolt takes two of three"


def test_an_anchor_of_a_material_that_is_not_stated_is_asked_for() -> None:
    anchors = (replace(SOUND.anchors[0], metal=False, material=None), SOUND.anchors[1])
    found = run(recovery=replace(SOUND, anchors=anchors))[FORWARD]
    assert found.status == "not-stated"
    assert "enter the `material` of eyebolt" in found.note
