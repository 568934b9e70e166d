"""The order on the bench of hand-made rockets: what is inside comes first, and joints say where the glue goes.

The order (anchor, forward ring, aft ring left off for the fillets inside, mount, fins, fillets, coupler, nose, buttons,
vents, balance) is common practice. Glue areas are cylinders by hand.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rocket_samples import bulkhead_part, coupler_part, fin_part, nose_part, ring_part, tube_part, two_sections

import ferrule
from ferrule.analysis.build_order import NO_GLUE, Step, build_steps
from ferrule.analysis.motor import Motor
from ferrule.analysis.recovery import Anchor, Harness, Joint, Parachute, Recovery, State
from ferrule.analysis.rocket import Item, Rocket
from ferrule.app.design_file import load
from ferrule.parts.kinds import MotorMount, RailButton

HERE = Path(str(ferrule.__file__)).parent
TABBED = fin_part(tab_length="100 mm", tab_depth="11 mm", tab_position="10 mm")
"""On the sample rocket the tab lies from 880 to 980 mm, where the aft ring starts."""


def recovery(front: State = "glued", rear: State = "releases") -> Recovery:
    return Recovery(
        joints=(
            Joint(("nose", "payload tube"), "screwed", "3 x M3"),
            Joint(("payload tube", "coupler"), front, "resin" if front == "glued" else None),
            Joint(("coupler", "booster tube"), rear, "tape fit" if rear == "releases" else None),
            Joint(("coupler", "bulkhead"), "glued"),
            Joint(("rings", "motor tube"), "glued"),
            Joint(("rings", "booster tube"), "glued"),
        ),
        anchors=(Anchor("eyebolt", "bulkhead", True), Anchor("U-bolt", "rings", True)),
        harnesses=(Harness("harness", ("eyebolt", "U-bolt")),),
        parachutes=(Parachute("parachute", "harness"),),
    )


def whole() -> Rocket:
    base = two_sections(
        fins=TABBED, payload_tube=tube_part(length="200 mm", hole_diameter="4 mm", hole_positions=("90 mm",))
    )
    button = RailButton.build(**RailButton.example)
    return replace(base, items=(*base.items, Item("buttons", (700.0, 900.0), button, 1, 33.0)))


def titles(rocket: Rocket, told: Recovery = recovery()) -> list[str]:
    return [step.title for step in build_steps(rocket, told)]


def step_of(start: str, rocket: Rocket | None = None, told: Recovery = recovery()) -> Step:
    hits = [step for step in build_steps(rocket or whole(), told) if step.title.startswith(start)]
    assert len(hits) == 1, (start, [step.title for step in hits])
    return hits[0]


def test_the_whole_order() -> None:
    assert titles(whole()) == [
        "Fit U-bolt to rings at 850.00 mm and tie harness to it",
        "Glue rings at 850.00 mm on motor tube",
        "Slide rings at 980.00 mm on motor tube without glue",
        "Put motor tube into booster tube",
        "Fit fins dry",
        "Tack fins",
        "Fillets inside, along the tabs of fins",
        "Glue rings at 980.00 mm in",
        "Fillets outside, along the roots of fins",
        "Fit eyebolt to bulkhead and tie harness to it",
        "Glue bulkhead in coupler",
        "Glue coupler in payload tube",
        "Fit coupler to slide in booster tube",
        "Melt 3 M3 inserts into nose",
        "Screw nose in payload tube",
        "Fix buttons on the rail line",
        "Drill the vent in payload tube",
        "Weigh and balance",
    ]
    steps = build_steps(whole(), recovery())
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    names = {item.name for item in whole().items} | {"U-bolt", "eyebolt", "harness"}
    assert all(names.issuperset(step.what) and step.what for step in steps)
    assert all(step.where and step.check and step.caution for step in steps)


@pytest.mark.parametrize("design", ["examples/marram/marram.toml", "app/data/starter.toml"])
def test_the_designs_that_come_with_it_have_every_part_in_a_step(design: str) -> None:
    found = load(HERE / design)
    steps = build_steps(found.rocket, found.recovery, found.motors)[:-1]
    placed = {name for step in steps for name in step.what}
    assert {item.name for item in found.rocket.items if item.part} <= placed
    in_order(found.rocket, found.recovery)


# --- each step says what it must --------------------------------------------------------------------------------------


def test_glue_areas_by_hand() -> None:
    """Ring of 6 mm on a tube of 42: pi 42 6 = 7.9 cm2; rim of 64: 12.1; a coupler of 64 over 60 mm: 120.6."""
    assert "7.9 cm2" in step_of("Glue rings at 850").glue
    assert math.pi * 42.0 * 6.0 / 100.0 == pytest.approx(7.92, abs=0.005)
    assert "12.1 cm2" in step_of("Put motor tube").glue
    assert "20.0 cm2" in step_of("Glue rings at 980").glue, "bore and rim"
    assert "resin: inside payload tube over 60.00 mm, 120.6 cm2" in step_of("Glue coupler").glue
    assert "11.3 cm2" in step_of("Glue bulkhead").glue, "pi 60 6"
    assert "600 mm on the tube" in step_of("Fillets inside").glue, "3 tabs of 100 mm, both sides"
    assert "720 mm in all" in step_of("Fillets outside").glue, "3 roots of 120 mm, both sides"


def test_what_stays_dry() -> None:
    assert "rings at 980.00 mm" in step_of("Slide rings at 980").keep_dry
    assert step_of("Slide rings at 980").glue == NO_GLUE
    assert any("rings at 980.00 mm" in word for word in step_of("Fillets inside").keep_dry)
    mount = step_of("Put motor tube").keep_dry
    assert "the wall of booster tube where coupler slides" in mount
    assert {"U-bolt", "harness", "the bore of motor tube"} <= set(mount)
    assert "the side of coupler that slides in booster tube" in step_of("Glue coupler").keep_dry
    slides = step_of("Fit coupler to slide")
    assert slides.glue == "no glue: tape fit"
    assert "coupler over its 60.00 mm" in slides.keep_dry


@pytest.mark.parametrize(
    ("front", "rear", "expected"),
    [
        ("glued", "releases", ["Glue coupler in payload tube", "Fit coupler to slide in booster tube"]),
        ("releases", "screwed", ["Screw coupler in booster tube", "Fit coupler to slide in payload tube"]),
        ("screwed", "glued", ["Glue coupler in booster tube", "Screw coupler in payload tube"]),
    ],
)
def test_the_side_of_the_coupler_that_is_fixed_comes_first(front: State, rear: State, expected: list[str]) -> None:
    found = [
        title for title in titles(whole(), recovery(front, rear)) if "coupler in" in title or "coupler to" in title
    ]
    assert found == expected


def test_joints_that_are_not_stated_are_not_made_up() -> None:
    steps = build_steps(whole(), Recovery())
    fixed = [step for step in steps if step.title.startswith(("Fix ", "Put "))]
    assert len(fixed) >= 5
    assert all(
        step.glue.startswith("none until the joint is stated, for one of them must open; if it is to be glued: ")
        for step in fixed
    )
    assert not any(step.title.startswith(("Glue ", "Screw ")) and "coupler" in step.title for step in steps)


def test_blocks_behind_the_wall_are_in_before_the_mount() -> None:
    """A button at 700 mm can be reached from the front; at 900 it lies behind the forward ring at 850."""
    check = step_of("Put motor tube").check
    assert "buttons at 900.00 mm are in first" in check
    assert "700" not in check


def test_where_the_motor_tube_ends() -> None:
    assert "995.00 mm, 5.00 mm inside the end of booster tube" in step_of("Put motor tube").where
    assert "stands out behind it by 9.00 mm" in step_of("Slide rings at 980").where, "ring to 986, tube to 995"


def test_a_motor_is_named_for_the_balance() -> None:
    motor = Motor("M-40", 38.0, 140.0, 400.0, 200.0, 1000.0)
    assert "M-40" in build_steps(whole(), recovery(), (motor,))[-1].where
    assert build_steps(Rocket("empty"), Recovery()) == ()


def test_fins_without_tabs_have_no_fillets_inside_and_no_ring_is_left_off() -> None:
    found = titles(two_sections(), replace(recovery(), anchors=(), harnesses=(), parachutes=()))
    assert found[:3] == [
        "Glue rings at 850.00 mm on motor tube",
        "Glue rings at 980.00 mm on motor tube",
        "Put motor tube into booster tube",
    ]
    assert not any("inside" in title for title in found)
    assert "Fillets outside, along the roots of fins" in found


def test_a_single_ring_behind_the_tabs_is_glued_at_once() -> None:
    items = tuple(replace(item, stations=(980.0,)) if item.name == "rings" else item for item in whole().items)
    assert "Glue rings on motor tube" in titles(Rocket("one ring", items))


def test_a_mount_in_one_has_the_same_steps() -> None:
    mount = MotorMount.build(
        tube_outside_diameter="42 mm",
        tube_inside_diameter="40 mm",
        tube_length="150 mm",
        ring_diameter="64 mm",
        ring_thickness="6 mm",
        ring_positions=("5 mm", "135 mm"),
    )
    kept = tuple(item for item in whole().items if item.name not in ("rings", "motor tube"))
    told = replace(recovery(), anchors=(Anchor("U-bolt", "mount", True),), harnesses=())
    found = titles(Rocket("mount", (*kept, Item("mount", (845.0,), mount))), told)
    assert found[:4] == [
        "Fit U-bolt to ring 1 of mount",
        "Glue ring 1 of mount on mount",
        "Slide ring 2 of mount on mount without glue",
        "Put mount into booster tube",
    ]
    assert "Glue ring 2 of mount in" in found


def test_a_disc_in_a_tube_goes_in_before_the_coupler_closes_it() -> None:
    disc = Item("stop", (600.0,), bulkhead_part(outside_diameter="63.8 mm"))
    rocket = replace(whole(), items=(*whole().items, disc))
    found = titles(rocket)
    assert found.index("Fix stop in booster tube") < found.index("Fit coupler to slide in booster tube")


def test_an_anchor_that_is_not_metal_is_said_to_be_none() -> None:
    told = replace(recovery(), anchors=(Anchor("loop", "nose", False),), harnesses=())
    assert "Fit loop to nose" in titles(whole(), told)
    told = replace(recovery(), anchors=(Anchor("loop", "bulkhead", False),), harnesses=())
    assert "metal" in step_of("Fit loop", told=told).caution


# --- the order --------------------------------------------------------------------------------------------------------


def inside_of(rocket: Rocket, told: Recovery) -> set[tuple[str, str]]:
    """Which item lies in which, from diameters and stations alone; an anchor lies in what it goes through."""
    found = {(anchor.name, anchor.on) for anchor in told.anchors}
    bored = [item for item in rocket.items if item.part is not None and hasattr(item.part, "inside_diameter")]
    for inner, outer in product(rocket.items, bored):
        if inner is outer or inner.part is None or not hasattr(inner.part, "outside_diameter"):
            continue
        assert outer.part is not None
        a, b = inner.part.extent(), outer.part.extent()
        meets = any(
            min(s + a[1], t + b[1]) - max(s + a[0], t + b[0]) > 0.5 for s in inner.stations for t in outer.stations
        )
        entering = getattr(inner.part, "step_diameter", None) or inner.part.outside_diameter
        if meets and entering <= outer.part.inside_diameter:  # type: ignore[attr-defined]
            found.add((inner.name, outer.name))
    return found


def in_order(rocket: Rocket, told: Recovery) -> None:
    """What lies in a thing is in it before that thing goes into the next, wherever both are steps."""
    steps = build_steps(rocket, told)[:-1]

    def first(*names: str) -> int | None:
        return next((step.number for step in steps if set(names) <= set(step.what)), None)

    pairs = inside_of(rocket, told)
    compared = 0
    for inner, middle in pairs:
        for again, outer in pairs:
            if again != middle or inner == outer:
                continue
            early, late = first(inner, middle), first(middle, outer)
            if early is not None and late is not None and (inner, outer) != (middle, outer):
                compared += 1
                assert early <= late, (inner, middle, outer)
                # One step may put a whole mount into its tube; then its parts were joined before.
                assert early < late or inner in steps[late - 1].what
    assert compared > 0


@given(st.permutations(range(9)), st.sets(st.sampled_from(range(9)), max_size=3), st.booleans())
def test_what_is_inside_comes_first_whatever_the_order_of_the_file(
    order: list[int], missing: set[int], joined: bool
) -> None:
    base = whole().items
    kept = tuple(base[index] for index in order if index not in missing)
    names = {item.name for item in kept}
    told = recovery() if joined else Recovery(anchors=recovery().anchors)
    told = replace(told, anchors=tuple(anchor for anchor in told.anchors if anchor.on in names))
    rocket = Rocket("shuffled", kept)
    pairs = inside_of(rocket, told)
    if any(middle == again for _, middle in pairs for again, _ in pairs):
        steps = build_steps(rocket, told)
        assert all(set(step.what) <= names | {"U-bolt", "eyebolt", "harness"} for step in steps)
        if {"rings", "motor tube", "booster tube"} <= names:
            in_order(rocket, told)


def test_the_order_of_the_file_changes_no_step() -> None:
    turned = Rocket("turned", tuple(reversed(whole().items)))
    assert titles(turned) == titles(whole())


def test_a_stiffening_ring_goes_into_its_coupler() -> None:
    ring = Item("stiffener", (395.0,), ring_part(outside_diameter="59.8 mm"))
    base = two_sections(coupler=coupler_part(screw_count=0), nose=nose_part())
    rocket = replace(base, items=(*(one for one in base.items if one.name != "bulkhead"), ring))
    found = titles(rocket)
    assert found.index("Fix stiffener in coupler") < found.index("Glue coupler in payload tube")
