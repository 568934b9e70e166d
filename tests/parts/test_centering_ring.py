"""Centering rings against areas by hand (elementary geometry) and against shapely, an independent library of the plane.

A notch of half width h in a circle of radius R, its floor at radius f, takes 2 h (c - f) up to the chord at
c = sqrt(R2 - h2), and beside it the segment R2 (a - sin a cos a) with sin a = h / R: of the rim more, of a bore less.
"""

from __future__ import annotations

import math
from itertools import combinations
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from ferrule.parts.curve import Arc, Line
from ferrule.parts.errors import DesignError
from ferrule.parts.fit import FitChoice, MeasuredTube, Surroundings, ring_bore, ring_outside
from ferrule.parts.kinds import CenteringRing
from ferrule.parts.kinds.disc_features import Name, Notch, Round, Slot, web_between
from ferrule.parts.kinds.disc_gaps import Bone, gap
from ferrule.parts.marks import Diameter, Guide, Label
from ferrule.parts.readers.integrals import moments
from ferrule.parts.shape import signed_area
from ferrule.parts.sheets.drawing import draw
from ferrule.parts.sheets.space import WORDS, Space

RING: dict[str, Any] = {"outside_diameter": "66 mm", "inside_diameter": "31 mm", "thickness": "6 mm"}
NOTCHES: dict[str, Any] = {"notch_count": 4, "notch_width": "4 mm", "notch_depth": "10 mm", "notch_from": "rim"}
U_BOLT: dict[str, Any] = {"u_bolt_width": "20 mm", "u_bolt_hole_diameter": "5.5 mm"}
SLOT: dict[str, Any] = {"harness_slot_width": "4 mm", "harness_slot_length": "15 mm", "harness_slot_roll": "180 deg"}
VENTS: dict[str, Any] = {"vent_hole_count": 2, "vent_hole_diameter": "4 mm", "vent_circle_diameter": "48 mm"}
RETENTION: dict[str, Any] = {
    "retention_hole_count": 3,
    "retention_hole_diameter": "4 mm",
    "retention_circle_diameter": "50 mm",
}
VEE: dict[str, Any] = {"alignment_notch_width": "3 mm", "alignment_notch_depth": "2 mm"}
CLUSTER: dict[str, Any] = {
    "outside_diameter": "98.8 mm",
    "inside_diameter": "31.2 mm",
    "thickness": "6 mm",
    "motor_tube_count": 3,
    "motor_tube_circle_diameter": "56 mm",
}
EVERYTHING: dict[str, Any] = {
    **{"outside_diameter": "98.8 mm", "inside_diameter": "41.6 mm", "thickness": "6 mm"},
    **{**U_BOLT, "u_bolt_roll": "90 deg", "washer_diameter": "12 mm"},
    **{**SLOT, "harness_slot_roll": "-90 deg"},
    **{**NOTCHES, "notch_depth": "12 mm"},
    **{**RETENTION, "retention_circle_diameter": "55 mm", "retention_roll": "60 deg"},
    **{**VENTS, "vent_circle_diameter": "70 mm"},
    **VEE,
}


def ring(**fields: Any) -> CenteringRing:
    return CenteringRing.build(**{**RING, **fields})


def area(part: CenteringRing) -> float:
    return moments(part.shape()).volume / part.thickness


def segment(radius: float, half: float) -> float:
    turn = math.asin(half / radius)
    return radius**2 * (turn - math.sin(turn) * math.cos(turn))


PLAIN = math.pi * (33.0**2 - 15.5**2)


def test_a_notch_in_the_rim_takes_a_rectangle_and_a_segment() -> None:
    one = 4.0 * (math.sqrt(33.0**2 - 2.0**2) - 23.0) + segment(33.0, 2.0)
    assert area(ring(**NOTCHES)) == pytest.approx(PLAIN - 4.0 * one, rel=1e-12)


def test_a_notch_in_the_bore_takes_a_rectangle_less_a_segment() -> None:
    one = 4.0 * (24.0 - math.sqrt(15.5**2 - 2.0**2)) - segment(15.5, 2.0)
    part = ring(**{**NOTCHES, "notch_from": "bore", "notch_depth": "8.5 mm"})
    assert area(part) == pytest.approx(PLAIN - 4.0 * one, rel=1e-12)
    assert len(part.template().holes) == 1


def test_a_vee_takes_a_triangle_and_a_segment() -> None:
    one = 1.5 * (math.sqrt(33.0**2 - 1.5**2) - 31.0) + segment(33.0, 1.5)
    assert area(ring(**VEE)) == pytest.approx(PLAIN - one, rel=1e-12)


def test_a_slot_takes_its_width_along_its_arc_and_a_circle_for_both_ends() -> None:
    """By Pappus: the width times the way of its middle, here 11 mm between the centres of the ends."""
    assert area(ring(**SLOT)) == pytest.approx(PLAIN - 4.0 * 11.0 - math.pi * 2.0**2, rel=1e-12)


def test_round_holes_take_their_circles() -> None:
    part = ring(**{**U_BOLT, "u_bolt_roll": "30 deg"}, **{**RETENTION, "retention_roll": "80 deg"}, **VEE)
    vee = 1.5 * (math.sqrt(33.0**2 - 1.5**2) - 31.0) + segment(33.0, 1.5)
    assert area(part) == pytest.approx(PLAIN - math.pi * (2 * 2.75**2 + 3 * 2.0**2) - vee, rel=1e-12)


@pytest.mark.parametrize("centre", [None, 20.0])
def test_a_cluster_has_a_bore_for_each_tube(centre: float | None) -> None:
    fields = {"motor_tube_circle_diameter": "60 mm", "central_bore_diameter": f"{centre} mm"} if centre else {}
    part = CenteringRing.build(**{**CLUSTER, **fields})
    by_hand = math.pi * (49.4**2 - 3 * 15.6**2 - ((centre or 0.0) / 2.0) ** 2)
    assert area(part) == pytest.approx(by_hand, rel=1e-12)
    assert moments(part.shape()).centroid[1:] == pytest.approx((0.0, 0.0), abs=1e-9)


def test_the_tubes_of_a_cluster_are_where_their_rolls_say() -> None:
    """Rolls run clockwise from the rail line, which is upwards."""
    assert ring().tube_middles() == ((0.0, 0.0),)
    part = CenteringRing.build(**CLUSTER, motor_tube_roll="30 deg", central_bore_diameter="22 mm")
    by_hand = [(0.0, 0.0), *((28.0 * math.sin(a), 28.0 * math.cos(a)) for a in np.radians([30.0, 150.0, 270.0]))]
    assert np.allclose(part.tube_middles(), by_hand, atol=1e-12)
    assert np.allclose([loop[0].piece.centre for loop in part.template().holes], by_hand, atol=1e-12)


def as_polygon(part: CenteringRing) -> Polygon:
    """The outline through shapely, which knows only chords: 20,000 of them in a turn."""

    def dots(loop: Any) -> np.ndarray:
        rows = [
            edge.piece.at(np.linspace(0.0, 1.0, 2 if isinstance(edge.piece, Line) else 20001)[:-1]) for edge in loop
        ]
        return np.vstack(rows)

    outline = part.template()
    return Polygon(dots(outline.outer), [dots(loop) for loop in outline.holes])


def test_all_features_together_have_the_area_that_shapely_finds() -> None:
    """Built there from its own circles, boxes and buffers, which share nothing with the outline."""
    fine = 4096
    expected = Point(0, 0).buffer(49.4, quad_segs=fine) - Point(0, 0).buffer(20.8, quad_segs=fine)

    def at(radius: float, roll: float) -> Point:
        return Point(radius * math.sin(math.radians(roll)), radius * math.cos(math.radians(roll)))

    mid = (49.4 + 20.8) / 2.0
    half = math.degrees(math.asin(10.0 / mid))
    for radius, roll, size in (
        (mid, 90.0 - half, 2.75),
        (mid, 90.0 + half, 2.75),
        *((27.5, 60.0 + 120.0 * i, 2.0) for i in range(3)),
        (35.0, 0.0, 2.0),
        (35.0, 180.0, 2.0),
    ):
        expected -= at(radius, roll).buffer(size, quad_segs=fine)
    reach = math.degrees(11.0 / 2.0 / mid)
    expected -= LineString([at(mid, -90.0 + s) for s in np.linspace(-reach, reach, 4001)]).buffer(2.0, quad_segs=fine)
    for turn in (45.0, 135.0, 225.0, 315.0):
        notch = Polygon([(-2, 37.4), (2, 37.4), (2, 60), (-2, 60)])
        expected -= shapely.affinity.rotate(notch, turn, origin=(0, 0))
    mouth = math.sqrt(49.4**2 - 1.5**2)
    expected -= Polygon([(0, 47.4), (1.5, mouth), (1.5, 60), (-1.5, 60), (-1.5, mouth)])
    part = CenteringRing.build(**EVERYTHING)
    assert area(part) == pytest.approx(expected.area, rel=1e-6)
    found = as_polygon(part)
    assert found.is_valid
    # Seen from behind the rolls run clockwise, so both figures must also lie on each other.
    assert found.symmetric_difference(expected).area == pytest.approx(0.0, abs=0.01)


def test_faces_that_fit_are_marked_so() -> None:
    outline = CenteringRing.build(**EVERYTHING).template()
    assert {edge.role for edge in outline.outer} == {"fit"}
    slots = [loop for loop in outline.holes if len(loop) == 4]
    assert [{edge.role for edge in loop} for loop in slots] == [{""}]
    assert all(signed_area(loop) < 0.0 for loop in outline.holes)


def test_the_legs_of_a_u_bolt_stand_on_the_middle_of_the_web_square_to_its_roll() -> None:
    part = ring(**U_BOLT, u_bolt_roll="90 deg")
    first, second = (loop[0].piece.centre for loop in part.template().holes[1:])
    assert math.dist(first, second) == pytest.approx(20.0, abs=1e-9)
    assert [math.hypot(*one) for one in (first, second)] == pytest.approx([24.25, 24.25], abs=1e-9)
    assert first[0] == pytest.approx(second[0], abs=1e-9), "both as far to the right: the bolt runs upwards"
    assert first[0] > 0.0


def test_the_rail_line_is_mid_way_between_two_notches_unless_their_roll_is_stated() -> None:
    for fields, roll in (({}, 45.0), ({"notch_roll": "10 deg"}, 10.0)):
        outer = ring(**NOTCHES, **fields).template().outer
        floors = [edge.piece for edge in outer if isinstance(edge.piece, Line) and math.hypot(*edge.piece.start) < 23.5]
        middles = [np.mean([piece.start, piece.end], axis=0) for piece in floors]
        middles = [middle for middle in middles if math.hypot(*middle) == pytest.approx(23.0, abs=1e-9)]
        rolls = sorted(math.degrees(math.atan2(x, y)) % 360.0 for x, y in middles)
        assert rolls == pytest.approx([roll + 90.0 * i for i in range(4)], abs=1e-9)


def test_layers_are_cut_alike_from_thinner_sheet() -> None:
    (piece,) = ring(layers=3, **NOTCHES).cut_pieces()
    assert (piece.count, piece.thickness) == (3, 2.0)
    assert ring(layers=3).shape() == ring().shape()


def test_rim_and_bore_follow_from_the_tubes_and_the_fit_that_is_chosen() -> None:
    airframe, motor = MeasuredTube("airframe", (68.4,), (65.9,)), MeasuredTube("motor tube", (31.0,), (29.2,))
    choice = FitChoice(clearance=0.35)
    found = CenteringRing.derived(frozenset(), Surroundings(airframe, motor, choice))
    assert found == {"outside_diameter": ring_outside(airframe, choice), "inside_diameter": ring_bore(motor, choice)}
    assert [found[name].value for name in ("outside_diameter", "inside_diameter")] == pytest.approx([65.55, 31.35])


def test_a_washer_is_marked_and_not_cut() -> None:
    plain, covered = ring(**U_BOLT), ring(**U_BOLT, washer_diameter="10 mm")
    assert plain.template() == covered.template()
    circles = [
        mark.pieces[0]
        for mark in covered.marks()
        if isinstance(mark, Guide) and isinstance(mark.pieces[0], Arc) and mark.pieces[0].radius == 5.0
    ]
    assert [circle.centre for circle in circles] == [loop[0].piece.centre for loop in covered.template().holes[1:]]


REFUSALS: dict[str, tuple[dict[str, Any], str, str]] = {
    "bore too large": ({"inside_diameter": "66 mm"}, "inside_diameter", "not smaller than the outside, 66 mm"),
    "hole at the rim": (
        {"hole_rolls": ("10 deg",), "hole_diameter": "5 mm", "hole_circle_diameter": "59.4 mm"},
        "hole_circle_diameter",
        "the hole at 10 deg and the rim leave 0.8 mm between them; at least 1 mm must stay",
    ),
    "hole at the bore": (
        {"hole_rolls": ("10 deg",), "hole_diameter": "5 mm", "hole_circle_diameter": "37 mm"},
        "hole_circle_diameter",
        "the hole at 10 deg and the bore leave 0.5 mm between them; at least 1 mm must stay",
    ),
    "holes on each other": (
        {"hole_rolls": ("0 deg", "360 deg"), "hole_diameter": "5 mm", "hole_circle_diameter": "48 mm"},
        "hole_rolls",
        "the hole at 0 deg and the hole at 0 deg run into each other; at least 1 mm must stay",
    ),
    "cluster without circle": (
        {"motor_tube_count": 3},
        "motor_tube_circle_diameter",
        "is needed for several motor tubes and not stated",
    ),
    "circle without cluster": (
        {"motor_tube_circle_diameter": "30 mm"},
        "motor_tube_circle_diameter",
        "is for several motor tubes, and motor_tube_count is 1",
    ),
    "middle without cluster": (
        {"central_bore_diameter": "30 mm"},
        "central_bore_diameter",
        "is for several motor tubes, and motor_tube_count is 1",
    ),
    "tubes too near": (
        {**CLUSTER, "motor_tube_circle_diameter": "37 mm"},
        "motor_tube_count",
        # 37 sin 60 deg - 31.2
        "the motor tube bore at 120 deg and the motor tube bore at 0 deg leave 0.843 mm between them",
    ),
    "tubes at the rim": (
        {**CLUSTER, "motor_tube_circle_diameter": "66 mm"},
        "motor_tube_circle_diameter",
        "the motor tube bore at 0 deg and the rim leave 0.8 mm between them",
    ),
    "tubes at the middle one": (
        {**CLUSTER, "central_bore_diameter": "24 mm"},
        "motor_tube_circle_diameter",
        "the motor tube bore at 0 deg and the bore leave 0.4 mm between them",
    ),
    "U-bolt in a cluster": (
        {**CLUSTER, **U_BOLT},
        "u_bolt_circle_diameter",
        "is needed with several motor tubes and not stated",
    ),
    "slot in a cluster": (
        {**CLUSTER, **SLOT},
        "harness_slot_circle_diameter",
        "is needed with several motor tubes and not stated",
    ),
    "U-bolt half stated": (
        {"u_bolt_width": "20 mm"},
        "u_bolt_hole_diameter",
        "is needed for the U-bolt and not stated",
    ),
    "U-bolt circle alone": ({"u_bolt_circle_diameter": "40 mm"}, "u_bolt_width", "is needed for the U-bolt"),
    "U-bolt too wide": (
        {**U_BOLT, "u_bolt_width": "50 mm"},
        "u_bolt_width",
        "50 mm is more than the circle on which the legs stand, 48.5 mm",
    ),
    "U-bolt too narrow": (
        {**U_BOLT, "u_bolt_width": "6 mm"},
        "u_bolt_width",
        "leave 0.5 mm between them; at least 1 mm must stay",
    ),
    "washer without bolt": ({"washer_diameter": "10 mm"}, "washer_diameter", "there is no bolt"),
    "washer too small": (
        {**U_BOLT, "washer_diameter": "5.5 mm"},
        "washer_diameter",
        "5.5 mm is not larger than the U-bolt hole at",
    ),
    "washer at the motor tube": (
        # The web is 17.5 mm wide: 8.75 to the bore, of which the washer takes 7.
        {**U_BOLT, "washer_diameter": "14 mm"},
        "washer_diameter",
        "and the bore leave 1.75 mm between them; at least 2 mm must stay",
    ),
    "washer over the rim": (
        {**U_BOLT, "washer_diameter": "8 mm", "u_bolt_circle_diameter": "58.2 mm"},
        "washer_diameter",
        "and the rim run into each other; they must not overlap",
    ),
    "washers on each other": (
        {**U_BOLT, "u_bolt_width": "10 mm", "washer_diameter": "11 mm"},
        "washer_diameter",
        "run into each other; they must not overlap",
    ),
    "washer over a notch": (
        {**NOTCHES, "notch_depth": "11 mm", **U_BOLT, "u_bolt_roll": "84.35 deg", "washer_diameter": "10 mm"},
        "washer_diameter",
        "and the notch at 45 deg run into each other; they must not overlap",
    ),
    "washer over a hole": (
        {**U_BOLT, "u_bolt_roll": "39.6 deg", **VENTS, "washer_diameter": "10 mm"},
        "washer_diameter",
        "and the vent hole at 0 deg run into each other; they must not overlap",
    ),
    "slot half stated": (
        {"harness_slot_width": "4 mm"},
        "harness_slot_length",
        "is needed for the harness slot and not stated",
    ),
    "slot not long": (
        {**SLOT, "harness_slot_length": "4 mm"},
        "harness_slot_length",
        "4 mm is not more than the width, 4 mm",
    ),
    "slot too long": (
        {**SLOT, "harness_slot_length": "77 mm"},
        "harness_slot_length",
        "77 mm is more than half the circle, 76.18 mm",
    ),
    "slot too wide": (
        {**SLOT, "harness_slot_width": "17 mm", "harness_slot_length": "30 mm"},
        "harness_slot_width",
        "the harness slot and the rim leave 0.25 mm between them; at least 1 mm must stay",
    ),
    "slot over a hole": (
        {**SLOT, **VENTS},
        "vent_circle_diameter",
        "the vent hole at 180 deg and the harness slot run into each other",
    ),
    "notches half stated": (
        {"notch_count": 3, "notch_width": "4 mm", "notch_depth": "8 mm"},
        "notch_from",
        "is needed for the notches and not stated",
    ),
    "notches of no number": (
        {"notch_width": "4 mm", "notch_depth": "8 mm", "notch_from": "rim"},
        "notch_count",
        "is needed for the notches and not stated",
    ),
    "notch to the bore": (
        {**NOTCHES, "notch_depth": "12.6 mm"},
        "notch_depth",
        "the notch at 45 deg and the bore leave 4.9 mm between them; at least 5 mm must stay",
    ),
    "notch to the rim": (
        # The corners of the floor are farther out than its middle: hypot(28, 2).
        {**NOTCHES, "notch_depth": "12.5 mm", "notch_from": "bore"},
        "notch_depth",
        "the notch at 45 deg and the rim leave 4.93 mm between them; at least 5 mm must stay",
    ),
    "notch wider than the bore": (
        {**NOTCHES, "notch_from": "bore", "inside_diameter": "4 mm"},
        "notch_width",
        "4 mm is not less than the diameter that it opens, 4 mm",
    ),
    "notch shallower than the rim bulges": (
        {**NOTCHES, "notch_width": "20 mm", "notch_depth": "1.5 mm"},
        "notch_depth",
        "1.5 mm is not more than the 1.55 mm by which the rim bulges over a width of 20 mm",
    ),
    "notch through the middle": ({**NOTCHES, "notch_depth": "33 mm"}, "notch_depth", "33 mm reaches the middle"),
    "notches into each other": (
        {**NOTCHES, "notch_count": 12, "notch_width": "12 mm"},
        "notch_width",
        # Between the corners of the floors: 2 (23 sin 15 deg - 6 cos 15 deg).
        "the notch at 45 deg and the notch at 15 deg leave 0.315 mm between them; at least 1 mm must stay",
    ),
    "notch from the bore of a cluster": (
        {**CLUSTER, **NOTCHES, "notch_from": "bore"},
        "notch_from",
        "there is no bore in the middle that a notch could open",
    ),
    "notch to a tube of a cluster": (
        {**CLUSTER, **NOTCHES, "notch_roll": "0 deg"},
        "notch_depth",
        "the notch at 0 deg and the motor tube bore at 0 deg run into each other; at least 5 mm must stay",
    ),
    "hole in a notch": (
        {**NOTCHES, "notch_width": "8 mm", **VENTS, "vent_circle_diameter": "56 mm", "vent_roll": "45 deg"},
        "notch_depth",
        "the notch at 45 deg and the vent hole at 45 deg run into each other",
    ),
    "vee in a notch": (
        {**NOTCHES, "notch_roll": "0 deg", **VEE},
        "alignment_notch_depth",
        "the alignment notch and the notch at 0 deg run into each other",
    ),
    "vee half stated": (
        {"alignment_notch_width": "3 mm"},
        "alignment_notch_depth",
        "is needed for the alignment notch and not stated",
    ),
    "vents half stated": (
        {"vent_hole_count": 2, "vent_circle_diameter": "48 mm"},
        "vent_hole_diameter",
        "is needed for the vent holes and not stated",
    ),
    "vents of no number": ({**VENTS, "vent_hole_count": 0}, "vent_hole_count", "is needed for the vent holes"),
    "vents into each other": (
        {**VENTS, "vent_hole_count": 38},
        "vent_hole_count",
        # 48 sin(pi / 38) is 3.96 mm, less than a hole.
        "run into each other; at least 1 mm must stay",
    ),
    "retention at the bore": (
        {**RETENTION, "retention_circle_diameter": "36 mm"},
        "retention_circle_diameter",
        "the retention hole at 0 deg and the bore leave 0.5 mm between them",
    ),
}


@pytest.mark.parametrize("name", REFUSALS)
def test_what_leaves_too_little_is_refused_by_both_names(name: str) -> None:
    fields, field, words = REFUSALS[name]
    with pytest.raises(DesignError) as caught:
        ring(**fields)
    (problem,) = caught.value.problems
    assert problem.field == field
    assert words in problem.message


LIMITS: dict[str, dict[str, Any]] = {
    "hole": {"hole_rolls": ("10 deg",), "hole_diameter": "5 mm", "hole_circle_diameter": "59 mm"},
    "notch to the bore": {**NOTCHES, "notch_depth": "12.5 mm"},
    "washer": {**U_BOLT, "washer_diameter": "13.5 mm"},
    "slot": {**SLOT, "harness_slot_width": "15.5 mm", "harness_slot_length": "30 mm"},
}


@pytest.mark.parametrize("name", LIMITS)
def test_what_leaves_just_enough_is_made(name: str) -> None:
    assert ring(**LIMITS[name]).template().outer


NAME = Name("hole", "", "hole_diameter", "hole_rolls")
places = st.floats(-30.0, 30.0)
bones = st.one_of(
    st.tuples(places, places),
    st.builds(lambda a, b, c, d: Line((a, b), (c + 31.0, d)), places, places, places, places),
    st.builds(
        lambda r, a, s: Arc((0.0, 0.0), r, a, s), st.floats(1.0, 30.0), st.floats(-7.0, 7.0), st.floats(0.05, 3.1)
    ),
)


def in_shapely(bone: Bone) -> shapely.Geometry:
    if isinstance(bone, Line):
        return LineString([bone.start, bone.end])
    if isinstance(bone, Arc):
        return LineString(bone.at(np.linspace(0.0, 1.0, 4001)))
    return Point(bone)


@settings(max_examples=400, deadline=None)
@given(bones, bones)
def test_gaps_are_the_distances_that_shapely_finds(first: Bone, second: Bone) -> None:
    """Within what 4,000 chords depart from an arc of 30 mm over 3.1 rad: 30 (3.1 / 4000)2 / 8, twice."""
    assert gap(first, second) == pytest.approx(in_shapely(first).distance(in_shapely(second)), abs=1e-5)
    assert gap(first, second) == gap(second, first)


def test_what_lies_inside_a_notch_leaves_nothing() -> None:
    notch = Notch(NAME, 0.0, 5.0, 20.0, 33.0)
    assert web_between(notch, Round(NAME, (0.0, 28.0), 1.0)) < 0.0
    assert web_between(notch, Round(NAME, (0.0, 14.0), 1.0)) == pytest.approx(5.0)
    slot = Slot(NAME, Arc((0.0, 0.0), 28.0, 1.5, 0.1), 1.0)
    assert web_between(slot, notch) < 0.0


SHOWN: dict[str, dict[str, Any]] = {
    "everything": EVERYTHING,
    "cluster": {**CLUSTER, **VEE, "hole_rolls": ("60 deg",), "hole_diameter": "5 mm", "hole_circle_diameter": "70 mm"},
    "wide": {
        **{**NOTCHES, "notch_depth": "20 mm"},
        **{**RETENTION, "retention_hole_count": 8, "retention_circle_diameter": "96 mm"},
        **{**U_BOLT, "u_bolt_width": "30 mm", "u_bolt_roll": "90 deg", "washer_diameter": "16 mm"},
        **{"outside_diameter": "150 mm", "inside_diameter": "79.6 mm"},
    },
    "narrow": {"outside_diameter": "18 mm", "inside_diameter": "10 mm"},
}


@pytest.mark.parametrize("name", SHOWN)
def test_no_words_on_the_template_lie_on_others(name: str) -> None:
    part = ring(**SHOWN[name])
    drawn = [draw(mark, 0.0) for mark in part.marks()]
    texts = [text for item in drawn for text in item.words]
    assert not [(a, b) for a, b in combinations(texts, 2) if a.box().meets(b.box())]
    # Nor on a line to cut.
    space = Space(part.template(), [])
    assert all(space.hits_of(text) < WORDS for text in texts)
    assert sum(space.hits_of(text) for text in texts) == 0


def test_the_template_names_all_that_is_cut() -> None:
    marks = CenteringRing.build(**EVERYTHING).marks()
    sizes = {mark.words: 2.0 * mark.radius for mark in marks if isinstance(mark, Diameter)}
    assert sizes == pytest.approx(
        {
            "rim": 98.8,
            "bore": 41.6,
            "2 U-bolt holes": 5.5,
            "3 retention holes": 4.0,
            "2 vent holes": 4.0,
            "2 washers": 12.0,
        }
    )
    labels = {mark.words for mark in marks if isinstance(mark, Label)}
    assert {"RAIL LINE", "THIS FACE AFT"} <= labels
    # 4 mm is 10/64 in, 15 mm 38/64, 12 mm 30/64 and 3 mm 8/64, to the nearest 64th.
    assert {"harness slot 4 x 15 mm", "5/32 x 19/32 in", "4 notches 4 x 12 mm", "5/32 x 15/32 in"} <= labels
    assert {"alignment notch 3 x 2 mm", "1/8 x 5/64 in"} <= labels
