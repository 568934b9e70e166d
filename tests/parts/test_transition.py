"""Transitions against the volumes and areas of cone frusta and cylinders by hand (elementary geometry)."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from ferrule.parts.curve import Line
from ferrule.parts.errors import DesignError
from ferrule.parts.kinds import Transition
from ferrule.parts.quantity import mm
from ferrule.parts.readers.brep import face_areas, measure, section_area, solid
from ferrule.parts.readers.integrals import area, box, moments
from ferrule.parts.readers.mesh import Fineness, mesh
from ferrule.parts.shape import Array, Cut, Meridian, RadialFeature, Revolved

CONE: dict[str, Any] = {
    "forward_diameter": "68 mm",
    "aft_diameter": "50 mm",
    "length": "80 mm",
    "wall": "2 mm",
    "bed_chamfer": "0 mm",
}
FORWARD: dict[str, Any] = {"forward_shoulder_length": "40 mm", "forward_shoulder_diameter": "65 mm"}
AFT: dict[str, Any] = {"aft_shoulder_length": "30 mm", "aft_shoulder_diameter": "47 mm"}


def frustum(first: float, last: float, length: float) -> float:
    """Volume between two radii [mm3]."""
    return math.pi * length * (first**2 + first * last + last**2) / 3.0


def meridian(part: Transition) -> Meridian:
    shape = part.shape()
    base = shape.base if isinstance(shape, Cut) else shape
    assert isinstance(base, Revolved)
    return base.meridian


@pytest.mark.parametrize(("forward", "aft"), [(68.0, 50.0), (50.0, 68.0), (68.0, 68.0), (160.0, 60.0)])
def test_a_shell_of_constant_wall_is_the_difference_of_two_frusta(forward: float, aft: float) -> None:
    """Square to the skin the wall is 2 mm, so along the radius it is 2 mm over the cosine of the half angle."""
    part = Transition.build(forward_diameter=mm(forward), aft_diameter=mm(aft), length="80 mm", wall="2 mm")
    drop = 2.0 * math.hypot(80.0, (aft - forward) / 2.0) / 80.0
    outer = frustum(forward / 2.0, aft / 2.0, 80.0)
    inner = frustum(forward / 2.0 - drop, aft / 2.0 - drop, 80.0)
    assert moments(part.shape()).volume == pytest.approx(outer - inner, rel=1e-12)


def test_a_solid_one_is_a_frustum_with_its_shoulders() -> None:
    part = Transition.build(**CONE, **FORWARD, **AFT, body="solid")
    volume = frustum(34.0, 25.0, 80.0) + math.pi * (32.5**2 * 40.0 + 23.5**2 * 30.0)
    assert moments(part.shape()).volume == pytest.approx(volume, rel=1e-12)
    assert part.extent() == (-40.0, 110.0)


def test_the_skin_has_the_area_of_a_cone() -> None:
    """By hand pi (R1 + R2) s, s the slant height; it is the wetted face of the solid, shoulders left out."""
    part = Transition.build(**CONE, **FORWARD, **AFT)
    by_hand = math.pi * (34.0 + 25.0) * math.hypot(80.0, 9.0)
    assert area(meridian(part), "wetted") == pytest.approx(by_hand, rel=1e-12)
    assert part.skin() == (Line((0.0, 34.0), (80.0, 25.0)),)
    assert meridian(part).role("wetted") == part.skin()


def opening(body: Any, x: float, outside: float) -> float:
    """Radius of the bore at a station from the kernel's section of a ring of known outside [mm]."""
    return math.sqrt(outside**2 - section_area(body, x) / math.pi)


def test_the_inside_is_bore_flare_and_wall_in_that_order() -> None:
    """By hand: bores 65/2 - 2.4 = 30.1 and 47/2 - 2.4 = 21.1, each kept up for 2.4 mm behind the step, then 45 degrees.

    The parallel of the skin starts at 34 - 2.0126 = 31.987 and ends at 22.987; it falls 0.1125 in a mm.
    """
    part = Transition.build(**CONE, **FORWARD, **AFT)
    body = solid(part.shape())
    drop = 2.0 * math.hypot(80.0, 9.0) / 80.0
    for x, outside, inside in (
        (-20.0, 32.5, 30.1),
        (1.2, 34.0 - 0.135, 30.1),
        (3.0, 34.0 - 0.3375, 30.1 + 0.6),
        (40.0, 29.5, 29.5 - drop),
        (77.0, 25.0 + 0.3375, 21.1 + 0.6),
        (79.0, 25.0 + 0.1125, 21.1),
        (95.0, 23.5, 21.1),
    ):
        assert opening(body, x, outside) == pytest.approx(inside, abs=1e-6), x


def test_a_bore_wider_than_the_body_narrows_to_it_where_it_stands_on_the_bed() -> None:
    """A thick body behind a thin shoulder: bore 65/2 - 0.8 = 31.7, body 34 - 6.04 = 27.96 at the same station.

    By hand a cone of 45 degrees between the two: 3.74 mm long in the shoulder.
    """
    part = Transition.build(**{**CONE, "wall": "6 mm"}, **FORWARD, shoulder_wall="0.8 mm")
    drop = 6.0 * math.hypot(80.0, 9.0) / 80.0
    body, cone = solid(part.shape()), 31.7 - (34.0 - drop)
    assert opening(body, -cone - 0.01, 32.5) == pytest.approx(31.7, abs=1e-6)
    assert opening(body, -0.5, 32.5) == pytest.approx(34.0 - drop + 0.5, abs=1e-6)
    shoulder = math.pi * (32.5**2 * 40.0 - 31.7**2 * (40.0 - cone)) - frustum(31.7, 34.0 - drop, cone)
    shell = frustum(34.0, 25.0, 80.0) - frustum(34.0 - drop, 25.0 - drop, 80.0)
    assert moments(part.shape()).volume == pytest.approx(shoulder + shell, rel=1e-9)


def test_at_the_upper_end_such_a_bore_ends_in_a_step() -> None:
    """It faces up on the bed: bore 47/2 - 0.8 = 22.7, body 25 - 6.04 = 18.96."""
    part = Transition.build(**{**CONE, "wall": "6 mm"}, **AFT, shoulder_wall="0.8 mm")
    drop = 6.0 * math.hypot(80.0, 9.0) / 80.0
    shoulder = math.pi * (23.5**2 - 22.7**2) * 30.0
    shell = frustum(34.0, 25.0, 80.0) - frustum(34.0 - drop, 25.0 - drop, 80.0)
    assert moments(part.shape()).volume == pytest.approx(shoulder + shell, rel=1e-9)


def turned_round(part: Transition) -> Transition:
    """The same part seen in a mirror across its axis."""
    fields = part.model_dump()
    swapped = {
        name.replace("forward", "#").replace("aft", "forward").replace("#", "aft"): value
        for name, value in fields.items()
    }
    return Transition.build(**swapped)


@settings(max_examples=100)
@given(
    st.floats(20.0, 160.0),
    st.floats(0.5, 2.0),
    st.floats(0.2, 3.0),
    st.floats(0.8, 3.0),
    st.floats(0.8, 3.0),
    st.sampled_from(["hollow", "solid"]),
    st.booleans(),
    st.booleans(),
)
def test_a_transition_and_its_mirror_image_weigh_the_same(
    forward: float, ratio: float, slender: float, wall: float, shoulder_wall: float, body: str, front: bool, rear: bool
) -> None:
    """Widening and narrowing are one rule: volume and inertia are equal, the centres mirror each other.

    One of equal ends stands on its aft end whichever way it is turned: its inside and its foot are not mirrored.
    """
    assume(ratio != 1.0)
    fields: dict[str, Any] = {
        "forward_diameter": mm(forward),
        "aft_diameter": mm(forward * ratio),
        "length": mm(forward * slender),
        "wall": mm(min(wall, forward * 0.05)),
        "shoulder_wall": mm(min(shoulder_wall, forward * 0.05)),
        "body": body,
    }
    if front:
        fields |= {"forward_shoulder_length": mm(30), "forward_shoulder_diameter": mm(forward * 0.95)}
    if rear:
        fields |= {"aft_shoulder_length": mm(20), "aft_shoulder_diameter": mm(forward * ratio * 0.97)}
    part = Transition.build(**fields)
    one, other = moments(part.shape()), moments(turned_round(part).shape())
    assert other.volume == pytest.approx(one.volume, rel=1e-9)
    assert part.length - other.centroid[0] == pytest.approx(one.centroid[0], rel=1e-9, abs=1e-7)
    assert other.inertia() == pytest.approx(one.inertia(), rel=1e-8, abs=1e-6 * float(np.abs(one.inertia()).max()))


@given(st.floats(20.0, 160.0), st.floats(0.5, 2.0), st.floats(0.2, 3.0), st.floats(0.8, 3.0), st.floats(0.8, 3.0))
def test_the_wall_is_nowhere_thinner_than_stated(
    forward: float, ratio: float, slender: float, wall: float, shoulder_wall: float
) -> None:
    """From each corner of the inside to the skin at least the wall, to the outside of a shoulder at least its own."""
    wall, shoulder_wall = min(wall, forward * 0.05), min(shoulder_wall, forward * 0.05)
    aft, length = forward * ratio, forward * slender
    part = Transition.build(
        forward_diameter=mm(forward),
        aft_diameter=mm(aft),
        length=mm(length),
        wall=mm(wall),
        shoulder_wall=mm(shoulder_wall),
        forward_shoulder_length=mm(30),
        forward_shoulder_diameter=mm(forward * 0.95),
        aft_shoulder_length=mm(20),
        aft_shoulder_diameter=mm(aft * 0.97),
    )
    lean = (aft - forward) / 2.0 / length
    # The inside is what runs forward; the rim of each shoulder's end stands upright.
    inner = [edge.piece for edge in meridian(part).edges if edge.piece.end[0] < edge.piece.start[0]]
    assert len(inner) >= 2
    for x, r in (point for piece in inner for point in (piece.start, piece.end)):
        if 1e-9 < x < length - 1e-9:
            assert (forward / 2.0 + lean * x - r) / math.hypot(1.0, lean) >= wall - 1e-6
        if x <= 0.0:
            assert forward * 0.475 - r >= shoulder_wall - 1e-6
        if x >= length:
            assert aft * 0.485 - r >= shoulder_wall - 1e-6


@pytest.mark.parametrize(
    ("aft", "bed"), [("50 mm", "forward"), ("90 mm", "aft"), ("68 mm", "aft")], ids=["narrowing", "widening", "equal"]
)
def test_it_stands_on_its_larger_end(aft: str, bed: str) -> None:
    part = Transition.build(**{**CONE, "aft_diameter": aft}, **FORWARD, **{**AFT, "aft_shoulder_diameter": "45 mm"})
    pose = part.pose()
    assert np.linalg.det(pose.matrix) == pytest.approx(1.0, abs=1e-12)
    ends = pose.apply(np.array([[-40.0, 0.0, 0.0], [110.0, 0.0, 0.0]]))[:, 2]
    assert ends.tolist() == pytest.approx([0.0, 150.0] if bed == "forward" else [150.0, 0.0], abs=1e-12)
    low, high = box(part.shape())
    corners = pose.apply(np.array([low, high]))
    assert corners[:, 2].min() == pytest.approx(0.0, abs=1e-12)
    (rail_side,) = pose.apply(np.array([[0.0, 10.0, 0.0]]))
    assert rail_side[1] == pytest.approx(10.0, abs=1e-12)


@pytest.mark.parametrize("change", [0.02, 0.005, 1e-3, 1e-4, 1e-5, 1e-7])
@pytest.mark.parametrize("length", [5.0, 80.0, 1000.0])
def test_a_cone_that_is_nearly_a_cylinder_stays_a_cone_in_the_kernel(change: float, length: float) -> None:
    """Left alone the kernel makes a cylinder of it and loses up to 6e-4 of the volume of a thin wall."""
    part = Transition.build(
        forward_diameter=mm(68.3), aft_diameter=mm(68.3 - change), length=mm(length), wall=mm(1.6), material="petg"
    )
    found, exact = measure(solid(part.shape())), moments(part.shape())
    assert found.valid
    assert found.moments.volume == pytest.approx(exact.volume, rel=1e-10)


# --- a tail cone on a motor tube --------------------------------------------------------------------------------------

TAIL: dict[str, Any] = {**CONE, **FORWARD, "shoulder_wall": "2.4 mm", "motor_bore_diameter": "30 mm"}
SLEEVE = 15.0 + 1.6
"""Radius of the outside of the sleeve [mm], with the wall that is usual."""


def holes(part: Transition) -> list[RadialFeature]:
    """One of each ring of holes."""
    shape = part.shape()
    found = [tool.shape if isinstance(tool, Array) else tool for tool in shape.tools] if isinstance(shape, Cut) else []
    return [hole for hole in found if isinstance(hole, RadialFeature)]


def test_a_solid_tail_with_a_bore_and_a_recess_is_the_frustum_less_two_cylinders() -> None:
    part = Transition.build(**{**TAIL, "body": "solid"}, retainer_recess_diameter="40 mm", retainer_recess_depth="6 mm")
    outside = frustum(34.0, 25.0, 80.0) + math.pi * 32.5**2 * 40.0
    inside = math.pi * (15.0**2 * 114.0 + 20.0**2 * 6.0)
    assert moments(part.shape()).volume == pytest.approx(outside - inside, rel=1e-12)
    bores = [
        edge.piece for edge in meridian(part).edges if edge.role == "fit" and edge.piece.end[0] < edge.piece.start[0]
    ]
    assert sorted((piece.start[1], piece.length()) for piece in bores) == [
        pytest.approx((15.0, 114.0)),
        pytest.approx((20.0, 6.0)),
    ]


def test_the_cavity_of_a_tail_is_open_forward_and_closes_at_45_degrees() -> None:
    """By hand, from the aft end: 3 mm solid; then from the sleeve at 45 degrees until it meets the wall of the skin.

    The wall's inside falls from 31.987 by 0.1125 in a mm and is 22.987 at the aft end, so the two meet where
    16.6 + (80 - 3 - x) = 31.987 - 0.1125 x, at x = 69.42.
    """
    part = Transition.build(**TAIL)
    body = solid(part.shape())
    drop = 2.0 * math.hypot(80.0, 9.0) / 80.0
    sleeve = math.pi * (SLEEVE**2 - 15.0**2)

    def ring(outside: float, inside: float) -> float:
        return math.pi * (outside**2 - inside**2)

    meet = (16.6 + 77.0 - (34.0 - drop)) / (1.0 - 9.0 / 80.0)
    assert meet == pytest.approx(69.42, abs=0.01)
    for x, outside, roof in (
        (-20.0, 32.5, 30.1),
        (40.0, 29.5, 29.5 - drop),
        (meet - 0.5, 34.0 - 0.1125 * (meet - 0.5), 34.0 - drop - 0.1125 * (meet - 0.5)),
        (meet + 0.5, 34.0 - 0.1125 * (meet + 0.5), 16.6 + 77.0 - meet - 0.5),
        (76.9, 34.0 - 0.1125 * 76.9, 16.7),
    ):
        assert section_area(body, x) == pytest.approx(ring(outside, roof) + sleeve, abs=1e-5), x
    for x in (77.1, 79.9):
        assert section_area(body, x) == pytest.approx(ring(34.0 - 0.1125 * x, 15.0), abs=1e-5), x


def test_a_gap_too_narrow_to_print_is_filled() -> None:
    """Inside of the skin 31.987 at the forward end: a sleeve of 31.0 leaves less than 1 mm, one of 30.9 more."""
    cone = {**CONE, "aft_diameter": "66 mm", "bore_wall": "1 mm"}
    drop = 2.0 * math.hypot(80.0, 1.0) / 80.0
    for bore, is_filled in ((60.1, True), (59.9, False)):
        part = Transition.build(**cone, motor_bore_diameter=mm(bore))
        full = frustum(34.0, 33.0, 80.0) - math.pi * (bore / 2.0) ** 2 * 80.0
        assert 34.0 - drop - (bore / 2.0 + 1.0) == pytest.approx(1.0, abs=0.06)
        assert (moments(part.shape()).volume == pytest.approx(full, rel=1e-12)) == is_filled


def test_the_recess_is_bedded_in_the_ring_at_the_aft_end() -> None:
    """8 mm of recess and 3 mm of ring: solid from 69 mm on, and at the last 8 mm wider."""
    part = Transition.build(**TAIL, retainer_recess_diameter="42 mm", retainer_recess_depth="8 mm")
    body = solid(part.shape())
    for x, inside in ((69.1, 15.0), (71.9, 15.0), (72.1, 21.0), (79.9, 21.0)):
        area_there = math.pi * ((34.0 - 0.1125 * x) ** 2 - inside**2)
        assert section_area(body, x) == pytest.approx(area_there, abs=1e-5), x


def test_a_chamfer_is_on_the_edge_that_stands_on_the_bed() -> None:
    """By Pappus: a triangle of 0.6 x 0.6 mm whose middle is 0.2 mm inside the outer edge."""
    for fields, radius in ((FORWARD, 32.5), (AFT, 0.0), ({}, 0.0)):
        sharp = Transition.build(**CONE, **fields)
        eased = Transition.build(**{**CONE, "bed_chamfer": "0.6 mm"}, **fields)
        taken = math.tau * (radius - 0.2) * 0.18 if radius else 0.0
        assert moments(sharp.shape()).volume - moments(eased.shape()).volume == pytest.approx(taken, abs=1e-6)
        assert eased.extent() == sharp.extent()
    usual = Transition.build(**{name: value for name, value in CONE.items() if name != "bed_chamfer"}, **FORWARD)
    assert usual == Transition.build(**{**CONE, "bed_chamfer": "0.6 mm"}, **FORWARD)


def test_screws_sit_in_the_middle_of_each_shoulder_and_leave_the_sleeve_whole() -> None:
    part = Transition.build(**TAIL, **AFT, forward_screw_count=3, aft_screw_count=4, screw_roll="30 deg")
    forward, aft = holes(part)
    assert (forward.station, aft.station) == (-20.0, 95.0)
    assert forward.roll == aft.roll == pytest.approx(math.radians(30.0))
    shape = part.shape()
    assert isinstance(shape, Cut)
    assert [tool.count for tool in shape.tools if isinstance(tool, Array)] == [3, 4]
    for hole, bore in ((forward, 30.1), (aft, 21.1)):
        assert SLEEVE < hole.from_radius < math.sqrt(bore**2 - 1.7**2)
    plain = Transition.build(**TAIL, **AFT)
    # Nearly a cylinder of 3.4 mm through 2.4 mm of wall; curvature adds less than 1 % at these radii.
    taken = moments(plain.shape()).volume - moments(part.shape()).volume
    assert taken == pytest.approx(7.0 * math.pi * 1.7**2 * 2.4, rel=0.01)


def test_screws_in_a_solid_ring_are_blind() -> None:
    """Aft shoulder 47 mm, bore 30 mm: the ring fills all of it, and 1.6 mm of it stay round the bore."""
    part = Transition.build(**TAIL, **AFT, bore_web="30 mm", aft_screw_count=3)
    (hole,) = holes(part)
    # Half the radius deep: 11.75; or four diameters, 13.6.
    assert hole.from_radius == pytest.approx(max(SLEEVE, 23.5 - 11.75), abs=1e-12)


@pytest.mark.parametrize("bore", [None, "30 mm"])
def test_a_vent_leads_through_one_wall(bore: str | None) -> None:
    """By hand nearly a cylinder of 4 mm through the wall along the radius, 2 mm over the cosine of the half angle."""
    part = Transition.build(**CONE, motor_bore_diameter=bore, vent_hole_diameter="4 mm", vent_hole_roll="90 deg")
    plain = Transition.build(**CONE, motor_bore_diameter=bore)
    (hole,) = holes(part)
    assert (hole.station, hole.roll) == (40.0, pytest.approx(math.pi / 2.0))
    taken = moments(plain.shape()).volume - moments(part.shape()).volume
    assert taken == pytest.approx(math.pi * 4.0 * 2.0 * math.hypot(80.0, 9.0) / 80.0, rel=0.01)
    # On the side of 90 degrees of roll, which is -z.
    first = np.subtract(moments(plain.shape()).first, moments(part.shape()).first)
    assert first[2] < -25.0 * taken
    assert abs(first[1]) < 1e-6 * taken


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"profile": "ogive", "aft_diameter": "68 mm"}, "profile", "take profile = conical, which is then a straight"),
        ({"profile": "ogive", "length": "8 mm"}, "length", "an ogive needs at least 9 mm"),
        ({"arc_radius": "900 mm"}, "arc_radius", "the profile conical has no arc; leave it out"),
        ({"profile": "ogive", "arc_radius": "300 mm"}, "arc_radius", "must be at least 360.056 mm"),
        ({"profile": "elliptic", "wall": "81 mm"}, "wall", "not less than the length of the skin, 80 mm"),
        ({"profile": "elliptic", "wall": "20 mm"}, "wall", "at the aft end of 50 mm.*take a wall of at most 17.67 mm"),
        ({"wall": "26 mm"}, "wall", "no opening at the aft end of 50 mm.*take a wall of at most 24.84 mm"),
        (
            {**FORWARD, "bed_chamfer": "2.3 mm"},
            "bed_chamfer",
            "does not leave 0.2 mm of the forward shoulder.*at most 2.2",
        ),
        ({"motor_bore_diameter": "48 mm"}, "motor_bore_diameter", "leaves 1 mm of the aft end, 50 mm.*at most 46.8 mm"),
        (
            {**AFT, "motor_bore_diameter": "44.5 mm"},
            "motor_bore_diameter",
            "of the aft shoulder, 47 mm.*at most 43.8 mm",
        ),
        (
            {"retainer_recess_depth": "5 mm"},
            "motor_bore_diameter",
            "is needed for the retainer's recess and not stated",
        ),
        ({**TAIL, "retainer_recess_depth": "5 mm"}, "retainer_recess_diameter", "is needed for the retainer's recess"),
        ({**TAIL, "retainer_recess_diameter": "40 mm"}, "retainer_recess_depth", "is needed for the retainer's recess"),
        (
            {**TAIL, "retainer_recess_diameter": "30 mm", "retainer_recess_depth": "5 mm"},
            "retainer_recess_diameter",
            "30 mm is not above motor_bore_diameter, 30 mm",
        ),
        (
            {**TAIL, "retainer_recess_diameter": "47 mm", "retainer_recess_depth": "5 mm"},
            "retainer_recess_diameter",
            "leaves 1.5 mm of the outside over its depth; with bore_wall 1.6 mm at most 46.8 mm",
        ),
        (
            {**TAIL, "retainer_recess_diameter": "40 mm", "retainer_recess_depth": "118 mm"},
            "retainer_recess_depth",
            "118 mm does not leave the 3 mm of bore_web ahead of it; at most 117 mm",
        ),
        (
            {
                "aft_diameter": "90 mm",
                "motor_bore_diameter": "30 mm",
                "retainer_recess_diameter": "40 mm",
                "retainer_recess_depth": "5 mm",
            },
            "retainer_recess_diameter",
            "the aft end is the larger one here.*make the body solid",
        ),
        ({"forward_screw_count": 3}, "forward_screw_count", "there is none; give forward_shoulder_length"),
        ({"aft_screw_count": 3}, "aft_screw_count", "there is none; give aft_shoulder_length"),
        (
            {**AFT, "aft_shoulder_length": "5 mm", "aft_screw_count": 3},
            "screw_diameter",
            "holes of 3.4 mm do not leave 1 mm on both sides in the aft shoulder of 5 mm; at most 3 mm",
        ),
        (
            {**FORWARD, "forward_screw_count": 24, "screw_diameter": "6 mm"},
            "forward_screw_count",
            "half a hole between",
        ),
        (
            {**TAIL, **AFT, "aft_screw_count": 3, "bore_web": "14 mm"},
            "aft_screw_count",
            "would not pass freely into the gap round the motor tube's sleeve; take a bore_web of at least 16.7 mm",
        ),
        (
            {**TAIL, **AFT, "aft_screw_count": 3, "motor_bore_diameter": "42.5 mm", "bore_web": "40 mm"},
            "aft_screw_count",
            "leaves 0.65 mm of the aft shoulder beside its wall for screws; at least 1 mm",
        ),
        ({"vent_hole_distance": "40 mm"}, "vent_hole_diameter", "is needed for the vent and not stated"),
        ({"body": "solid", "vent_hole_diameter": "4 mm"}, "vent_hole_diameter", "no cavity to vent"),
        ({"vent_hole_diameter": "4 mm", "vent_hole_distance": "2.9 mm"}, "vent_hole_distance", "from 3 to 77 mm"),
        (
            {"length": "5 mm", "vent_hole_diameter": "4 mm", "vent_hole_distance": "2.5 mm"},
            "vent_hole_distance",
            "take a smaller vent_hole_diameter",
        ),
        (
            {**TAIL, "vent_hole_diameter": "4 mm", "vent_hole_distance": "75 mm"},
            "vent_hole_distance",
            "does not lead into the cavity, which reaches from 0 to 77 mm and is narrow at its ends",
        ),
    ],
)
def test_what_cannot_be_made_names_the_field_and_what_works(fields: dict[str, Any], field: str, words: str) -> None:
    with pytest.raises(DesignError) as refusal:
        Transition.build(**{**CONE, **fields})
    (problem,) = refusal.value.problems
    assert problem.field == field
    assert re.search(words, problem.message), problem.message


@pytest.mark.parametrize(
    "fields",
    [
        {"profile": "ogive", "length": "9 mm", "wall": "1 mm"},
        {"profile": "elliptic", "wall": "17.67 mm"},
        {"wall": "24.84 mm"},
        {**FORWARD, "bed_chamfer": "2.2 mm"},
        {"motor_bore_diameter": "46.8 mm"},
        {**TAIL, "retainer_recess_diameter": "46.8 mm", "retainer_recess_depth": "5 mm"},
        {**TAIL, "body": "solid", "retainer_recess_diameter": "40 mm", "retainer_recess_depth": "117 mm"},
        {**AFT, "aft_shoulder_length": "5 mm", "aft_screw_count": 3, "screw_diameter": "3 mm"},
        {"vent_hole_diameter": "4 mm", "vent_hole_distance": "3 mm"},
        {**TAIL, **AFT, "aft_screw_count": 3, "bore_web": "16.7 mm"},
    ],
)
def test_the_number_of_a_refusal_works(fields: dict[str, Any]) -> None:
    part = Transition.build(**{**CONE, **fields})
    assert measure(solid(part.shape())).valid


# --- any of them ------------------------------------------------------------------------------------------------------


@st.composite
def any_fields(draw: Callable[..., Any]) -> dict[str, Any]:
    """Field values of a transition with any of its features; most can be made."""
    forward = draw(st.floats(18.0, 160.0))
    aft = forward * draw(st.floats(0.4, 2.2).filter(lambda ratio: abs(ratio - 1.0) > 1e-3))
    small, large = sorted((forward, aft))
    profile = draw(st.sampled_from(["conical", "ogive", "elliptic"]))
    slender = st.floats(0.51 if profile == "ogive" else 0.05, 3.0)
    length = (large - small) * draw(slender) + large * draw(st.floats(0.0, 2.0))
    fields: dict[str, Any] = {
        "forward_diameter": mm(forward),
        "aft_diameter": mm(aft),
        "length": mm(length),
        "profile": profile,
        "body": draw(st.sampled_from(["hollow", "hollow", "solid"])),
        "wall": mm(min(draw(st.floats(0.8, 4.0)), small * 0.1, length * 0.4)),
        "shoulder_wall": mm(draw(st.floats(0.8, 4.0))),
        "vent_hole_diameter": draw(st.sampled_from([None, "3 mm"])),
        "vent_hole_distance": mm(length * draw(st.floats(0.1, 0.9))),
    }
    if fields["vent_hole_diameter"] is None:
        del fields["vent_hole_distance"]
    for end, diameter in (("forward", forward), ("aft", aft)):
        if draw(st.booleans()):
            fields |= {
                f"{end}_shoulder_length": mm(diameter * draw(st.floats(0.2, 1.2))),
                f"{end}_shoulder_diameter": mm(diameter - draw(st.floats(0.8, 6.0))),
                f"{end}_screw_count": draw(st.integers(0, 4)),
            }
    if draw(st.booleans()):
        bore = small * draw(st.floats(0.2, 0.8))
        fields |= {"motor_bore_diameter": mm(bore), "bore_web": mm(draw(st.floats(1.0, 15.0)))}
        if draw(st.booleans()):
            fields |= {"retainer_recess_diameter": mm(bore + 3.0), "retainer_recess_depth": "5 mm"}
    return fields


def built(fields: dict[str, Any]) -> Transition:
    try:
        return Transition.build(**fields)
    except DesignError as refusal:
        # A refusal names a field of the kind and says why; such a draw is no part.
        assert all(problem.field in Transition.model_fields for problem in refusal.problems), str(refusal)
        assume(False)
        raise


@settings(max_examples=25, suppress_health_check=list(HealthCheck))
@given(any_fields())
def test_any_transition_is_sound_in_three_readers(fields: dict[str, Any]) -> None:
    """Kernel, integral and mesh agree; no face is a sliver, and there are no more than its features need."""
    part = built(fields)
    shape = part.shape()
    exact, found, printed = moments(shape), measure(solid(shape)), mesh(shape, Fineness(hold_fit=False))
    assert found.valid
    assert found.bodies == 1
    assert found.moments.volume == pytest.approx(exact.volume, rel=1e-6 if isinstance(shape, Cut) else 1e-10)
    assert printed.faults() == ()
    assert printed.moments().volume == pytest.approx(exact.volume, rel=1e-5)
    turned = Revolved(meridian(part))
    # Each end at most 5 faces, the skin 1, the inside 13, the bore 4.
    assert len(turned.meridian.edges) <= 28
    assert min(face_areas(solid(turned))) > 1e-3
    assert min(edge.piece.length() for edge in turned.meridian.edges) > 5e-6


@settings(max_examples=40, suppress_health_check=list(HealthCheck))
@given(any_fields())
def test_any_transition_and_its_mirror_image_weigh_the_same(fields: dict[str, Any]) -> None:
    fields = {name: value for name, value in fields.items() if not name.startswith(("retainer", "vent"))}
    part = built(fields)
    one, other = moments(part.shape()), moments(turned_round(part).shape())
    assert other.volume == pytest.approx(one.volume, rel=1e-9)
    assert part.length - other.centroid[0] == pytest.approx(one.centroid[0], rel=1e-8, abs=1e-6)
