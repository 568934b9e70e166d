"""Areas that the two parts of a glued joint share, against closed forms (areas of cylinders, rings and rectangles)."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from rocket_samples import coupler_part, fin_part, nose_part, ring_part, rocket, tube_part

from ferrule.analysis.allowances import glue_items, glue_name, painted_faces, painted_skin
from ferrule.analysis.bonded_area import BondedJoint, bonded_joints
from ferrule.analysis.joints import Joint, State
from ferrule.analysis.mass import MassProperties, combine, inertia_about, mass_properties, total
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.errors import PartError
from ferrule.parts.kinds import Bulkhead, FinCan, MotorMount, RailButton, Transition
from ferrule.parts.part import Part

EXACT = 1e-10


def bonded(first: Item, second: Item, state: State = "glued") -> tuple[BondedJoint, ...]:
    return bonded_joints(Rocket("glued", (first, second)), [Joint((first.name, second.name), state)])


def one(first: Item, second: Item) -> BondedJoint:
    found = bonded(first, second)
    # Which of the two a joint names first is nobody's business.
    turned = bonded(second, first)
    assert found[0].faces == turned[0].faces
    assert found[0].words == turned[0].words or not found[0].faces
    return found[0]


def item(name: str, part: Part, *stations: float, **more: Any) -> Item:
    return Item(name, stations, part, **more)


AIRFRAME = item("tube", tube_part(outside_diameter="68.4 mm", inside_diameter="65.9 mm"), 200.0)
MOTOR_TUBE = item("motor tube", tube_part(outside_diameter="31 mm", inside_diameter="29 mm", use="motor"), 600.0)
RING: dict[str, Any] = {"outside_diameter": "65.7 mm", "inside_diameter": "31.2 mm"}


# --- cylinders --------------------------------------------------------------------------------------------------------


def test_a_ring_shares_the_bore_of_its_tube_over_its_thickness() -> None:
    """Pi x 65.9 x 6: the bore around the joint counts, for that is what the glue fills up to."""
    found = one(item("ring", ring_part(**RING), 700.0), AIRFRAME)
    assert (found.area, found.station) == pytest.approx((math.pi * 65.9 * 6.0, 703.0), rel=EXACT)
    assert (found.words, found.sum) == ("ring in tube", "pi x 65.90 x 6.00")


def test_a_ring_on_its_motor_tube() -> None:
    found = one(item("ring", ring_part(**RING), 700.0), MOTOR_TUBE)
    assert (found.area, found.words) == (pytest.approx(math.pi * 31.2 * 6.0, rel=EXACT), "ring on motor tube")


def test_several_rings_and_one_that_sticks_out() -> None:
    """The tube ends at 900 mm: of the ring from 896 mm on 4 mm are in it. Centroid by moments."""
    found = one(item("rings", ring_part(**RING), 700.0, 800.0, 896.0), AIRFRAME)
    assert found.area == pytest.approx(math.pi * 65.9 * (6.0 + 6.0 + 4.0), rel=EXACT)
    assert found.station == pytest.approx((6.0 * 703.0 + 6.0 * 803.0 + 4.0 * 898.0) / 16.0, rel=EXACT)
    assert found.sum == "2 x (pi x 65.90 x 6.00) + pi x 65.90 x 4.00"


@pytest.mark.parametrize(("edge", "diameter"), [("rim", 65.9), ("bore", 31.2)])
def test_notches_take_their_share_of_the_circle(edge: str, diameter: float) -> None:
    """A notch as wide as w takes 2 asin(w / 2R) of a rim of radius R, each of three."""
    notches = {"notch_count": "3", "notch_width": "4.4 mm", "notch_depth": "5 mm", "notch_from": edge}
    ring = item("ring", ring_part(**RING, **notches), 700.0)
    radius = 65.7 / 2.0 if edge == "rim" else 31.2 / 2.0
    left = 1.0 - 3.0 * math.asin(2.2 / radius) / math.pi
    found = one(ring, AIRFRAME if edge == "rim" else MOTOR_TUBE)
    assert found.area == pytest.approx(math.pi * diameter * 6.0 * left, rel=1e-9)
    assert f"x {left:.3f}, less notches" in found.sum


def test_holes_for_bolts_are_no_bore() -> None:
    holes = {"hole_diameter": "5.5 mm", "hole_circle_diameter": "48.4 mm", "hole_rolls": ("20 deg", "70 deg")}
    plain, bolted = (one(item("ring", ring_part(**RING, **some), 700.0), MOTOR_TUBE) for some in ({}, holes))
    assert plain.area == bolted.area


def test_a_coupler_only_as_far_as_it_is_in_the_tube() -> None:
    coupler = item("coupler", coupler_part(outside_diameter="65.5 mm"), 830.0)
    assert one(coupler, AIRFRAME).area == pytest.approx(math.pi * 65.9 * 70.0, rel=EXACT)


def test_a_tube_as_coupler_in_a_tube() -> None:
    inner = tube_part(outside_diameter="65.6 mm", inside_diameter="63 mm", length="100 mm", use="coupler")
    found = one(item("inner", inner, 850.0), AIRFRAME)
    assert (found.area, found.words) == (pytest.approx(math.pi * 65.9 * 50.0, rel=EXACT), "inner in tube")


def test_the_shoulder_of_a_nose_without_its_chamfer() -> None:
    nose = nose_part(
        base_diameter="68.3 mm", shoulder_length="60 mm", shoulder_diameter="65.4 mm", body="hollow", bed_chamfer="0 mm"
    )
    found = one(item("nose", nose, 0.0), AIRFRAME)
    assert (found.area, found.station) == pytest.approx((math.pi * 65.9 * 60.0, 230.0), rel=1e-9)


def test_a_tail_cone_has_its_shoulder_in_the_tube_and_its_bore_on_the_motor_tube() -> None:
    tail = item(
        "tail",
        Transition.build(
            forward_diameter="68.3 mm",
            aft_diameter="45 mm",
            length="60 mm",
            forward_shoulder_length="40 mm",
            forward_shoulder_diameter="65.4 mm",
            motor_bore_diameter="31.2 mm",
            bed_chamfer="0 mm",
            body="solid",
        ),
        900.0,
    )
    assert one(tail, AIRFRAME).area == pytest.approx(math.pi * 65.9 * 40.0, rel=EXACT)
    long_tube = item("motor tube", tube_part(outside_diameter="31 mm", inside_diameter="29 mm", use="motor"), 300.0)
    found = one(tail, long_tube)
    # The bore runs from 860 to 960 mm, the tube from 300 to 1000 mm.
    assert (found.area, found.words) == (pytest.approx(math.pi * 31.2 * 100.0, rel=EXACT), "tail on motor tube")


def test_the_bore_of_a_fin_can_on_its_tube() -> None:
    can = item("can", FinCan.build(**{**FinCan.example, "bore_diameter": "68.7 mm"}), 760.0)
    found = one(can, AIRFRAME)
    assert (found.area, found.station) == pytest.approx((math.pi * 68.7 * 120.0, 820.0), rel=EXACT)
    assert found.words == "can on tube"


@pytest.mark.parametrize("notches", [0, 3])
def test_the_rings_of_a_mount(notches: int) -> None:
    more = {"notch_count": str(notches), "notch_width": "4.4 mm", "notch_depth": "5 mm"} if notches else {}
    more |= {"notched_rings": ("2",)} if notches else {}
    mount = item("mount", MotorMount.build(**{**MotorMount.example, **more}), 740.0)
    found, left = one(mount, AIRFRAME), 1.0 - notches * math.asin(2.2 / 32.85) / math.pi
    assert found.area == pytest.approx(math.pi * 65.9 * 6.0 * (2.0 + left), rel=1e-9)
    assert found.words == "mount in tube"


@pytest.mark.parametrize("forward", [True, False])
def test_a_stepped_bulkhead_also_seats_on_the_end(forward: bool) -> None:
    """Small disc in the bore of 60 mm, large one on the wall from 60 to 64 mm diameter: pi / 4 (64^2 - 60^2)."""
    part = Bulkhead.build(
        outside_diameter="64.5 mm",
        thickness="6 mm",
        step_diameter="59.8 mm",
        step_thickness="5 mm",
        step_faces="forward" if forward else "aft",
    )
    coupler = item("coupler", coupler_part(), 500.0)
    found = one(item("bulkhead", part, 615.0 if forward else 494.0), coupler)
    seat, rim = math.pi / 4.0 * (64.0**2 - 60.0**2), math.pi * 60.0 * 5.0
    assert found.area == pytest.approx(seat + rim, rel=EXACT)
    end, middle = (620.0, 617.5) if forward else (500.0, 502.5)
    assert found.station == pytest.approx((seat * end + rim * middle) / (seat + rim), rel=EXACT)
    assert found.words == "bulkhead in coupler"


# --- what stands on a tube --------------------------------------------------------------------------------------------

TABBED = {"tab_length": "90 mm", "tab_depth": "18.5 mm", "tab_position": "15 mm"}


def test_a_tab_through_the_wall_has_two_sides_and_the_root_its_ends() -> None:
    """Wall 1.25 mm, tab 90 mm, root 120 mm, 3 mm thick, four fins."""
    fins = item("fin", fin_part(**TABBED), 770.0, count=4, radius=34.2)
    found = one(fins, AIRFRAME)
    assert found.area == pytest.approx(4.0 * (2.0 * 90.0 * 1.25 + 30.0 * 3.0), rel=1e-9)
    # Sides about 770 + 15 + 45; the rest of the root, 15 mm each side, about the middle of the root, 770 + 60.
    assert (found.station, found.words) == (pytest.approx(830.0, rel=1e-9), "fin in tube")


def test_a_root_without_a_tab() -> None:
    found = one(item("fin", fin_part(), 770.0, count=3, radius=34.2), AIRFRAME)
    assert (found.area, found.station) == pytest.approx((3.0 * 120.0 * 3.0, 830.0), rel=1e-9)
    assert found.words == "fin on tube"


def test_what_overhangs_the_end_of_the_tube_holds_nothing() -> None:
    """Root from 820 to 940 mm, tab from 835 to 925 mm, the tube ends at 900 mm."""
    found = one(item("fin", fin_part(**TABBED), 820.0, count=3, radius=34.2), AIRFRAME)
    sides, root = 3.0 * 2.0 * 65.0 * 1.25, 3.0 * 15.0 * 3.0
    assert found.area == pytest.approx(sides + root, rel=1e-9)
    assert found.station == pytest.approx((sides * 867.5 + root * 827.5) / (sides + root), rel=1e-9)


def test_the_end_of_a_tab_on_the_motor_tube_between_its_notches() -> None:
    plain = item("fin", fin_part(**TABBED), 770.0, count=4, radius=34.2)
    found = one(plain, MOTOR_TUBE)
    assert (found.area, found.words) == (pytest.approx(4.0 * 90.0 * 3.0, rel=1e-9), "fin on motor tube")
    cut = {"notch_positions": ("40 mm",), "notch_length": "6.4 mm", "notch_depth": "6 mm"}
    notched = item("fin", fin_part(**TABBED, **cut), 770.0, count=4, radius=34.2)
    area = 4.0 * 3.0 * (90.0 - 6.4)
    found = one(notched, MOTOR_TUBE)
    assert found.area == pytest.approx(area, rel=1e-9)
    assert found.station == pytest.approx((90.0 * 830.0 - 6.4 * 813.2) / 83.6, rel=1e-9)


def test_a_tab_that_misses_the_motor_tube_holds_nothing_there() -> None:
    short = fin_part(**{**TABBED, "tab_depth": "10 mm"})
    assert one(item("fin", short, 770.0, count=4, radius=34.2), MOTOR_TUBE).faces == ()


def test_the_feet_of_rail_buttons() -> None:
    """Pi / 4 (10^2 - 4.5^2) each."""
    # The third would stand behind the end of the tube.
    button = item("button", RailButton.build(**RailButton.example), 700.0, 850.0, 950.0, radius=34.2)
    found = one(button, AIRFRAME)
    assert (found.area, found.station) == pytest.approx((2.0 * math.pi / 4.0 * (100.0 - 20.25), 775.0), rel=EXACT)


# --- what holds no glue -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("state", ["screwed", "releases"])
def test_joints_that_open_hold_no_glue(state: State) -> None:
    assert bonded(item("ring", ring_part(**RING), 700.0), AIRFRAME, state) == ()


def test_no_face_is_shared_by_what_is_apart() -> None:
    """Apart along the axis, a gap too wide to fill, two ends of tube butted, and one that is not there."""
    apart = item("ring", ring_part(**RING), 1000.0)
    loose = item("ring", ring_part(**{**RING, "outside_diameter": "63 mm"}), 700.0)
    butted = item("next", tube_part(outside_diameter="68.4 mm", inside_diameter="65.9 mm"), 900.0)
    for other in (apart, loose, butted):
        found = one(other, AIRFRAME)
        assert (found.faces, found.area, found.station) == ((), 0.0, None)
    (missing,) = bonded_joints(Rocket("one", (AIRFRAME,)), [Joint(("tube", "stranger"), "glued")])
    assert (missing.faces, missing.words) == ((), "tube to stranger")


# --- glue and paint ---------------------------------------------------------------------------------------------------


def test_a_film_weighs_its_area_times_its_areal_mass() -> None:
    """150 g/m2 on a square metre is 150 g: pi x 65.9 x 6 mm2 carry 0.1863 g."""
    found = bonded(item("ring", ring_part(**RING), 700.0), AIRFRAME)
    (glue,) = glue_items(found, 150.0)
    assert (glue.name, glue.kind, glue.estimate) == ("glue: ring in tube", "allowance", True)
    assert glue.name == glue_name(found[0])
    assert (glue.stated_mass, glue.stations[0]) == pytest.approx((math.pi * 65.9e-3 * 6e-3 * 150.0, 703.0), rel=EXACT)


@pytest.mark.parametrize("areal_mass", [0.0, -1.0, math.inf, math.nan])
def test_a_film_without_mass_is_refused(areal_mass: float) -> None:
    with pytest.raises(PartError, match="areal_mass: must be above 0 g/m2"):
        glue_items((), areal_mass)


def test_the_painted_faces_are_the_painted_skin() -> None:
    faces, found = painted_faces(rocket(count=4)), painted_skin(rocket(count=4))
    assert found is not None
    assert [(face.name, face.what) for face in faces] == [("nose", "skin"), ("tube", "skin"), ("fins", "4 fins")]
    assert sum(face.area for face in faces) == pytest.approx(found[0], rel=1e-15)
    assert faces[1].area == pytest.approx(math.tau * 33.0 * 700.0, rel=EXACT)


# --- inertia ----------------------------------------------------------------------------------------------------------


def test_a_solid_cylinder_about_any_point() -> None:
    """M R^2 / 2 and M (3 R^2 + L^2) / 12 about its middle; parallel axes by the textbook."""
    mass, radius, long = 100.0, 10.0, 60.0
    across = mass * (3.0 * radius**2 + long**2) / 12.0
    disc = Bulkhead.build(outside_diameter="20 mm", thickness="60 mm")
    found = mass_properties(Item("disc", (40.0,), disc, stated_mass=mass))
    assert found is not None
    own = np.diag([mass * radius**2 / 2.0, across, across])
    assert np.array(inertia_about(found, found.cg)) == pytest.approx(own, rel=1e-12, abs=1e-6)
    # The centre is at (70, 0, 0): from (50, 30, -20) it is (20, -30, 20) away.
    away = np.array([20.0, -30.0, 20.0])
    moved = own + mass * (away @ away * np.eye(3) - np.outer(away, away))
    about = np.array(inertia_about(found, (50.0, 30.0, -20.0)))
    assert about == pytest.approx(moved, rel=1e-12)
    # Off the diagonal stands minus the product of inertia.
    assert about[0, 1] == pytest.approx(mass * 20.0 * 30.0, rel=1e-12)


def test_items_about_the_centre_of_gravity_of_the_whole_add_up_to_it() -> None:
    design = rocket(count=3)
    whole = total(design)
    assert whole is not None
    own = [found for found in map(mass_properties, design.items) if found is not None]
    summed = np.sum([np.array(inertia_about(found, whole.cg)) for found in own], axis=0)
    size = float(np.abs(np.array(whole.inertia)).max())
    assert summed == pytest.approx(np.array(whole.inertia), rel=1e-9, abs=1e-9 * size)


def test_two_points_about_their_middle() -> None:
    """Two masses m, each d from the middle: 2 m d^2 about any line square to theirs, nothing about theirs."""
    none = ((0.0, 0.0, 0.0),) * 3
    points = tuple(MassProperties(50.0, (x, 0.0, 0.0), none, "point", "stated") for x in (90.0, 110.0))
    both = combine(points)
    assert both.inertia == pytest.approx(np.diag([0.0, 2 * 50.0 * 100.0, 2 * 50.0 * 100.0]))
