"""Transitions against the volumes and areas of cone frusta by hand (elementary geometry)."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.parts.curve import Line
from ferrule.parts.kinds import Transition
from ferrule.parts.quantity import mm
from ferrule.parts.readers.brep import measure, section_area, solid
from ferrule.parts.readers.integrals import area, box, moments
from ferrule.parts.shape import Meridian

CONE: dict[str, Any] = {"forward_diameter": "68 mm", "aft_diameter": "50 mm", "length": "80 mm", "wall": "2 mm"}
FORWARD: dict[str, Any] = {"forward_shoulder_length": "40 mm", "forward_shoulder_diameter": "65 mm"}
AFT: dict[str, Any] = {"aft_shoulder_length": "30 mm", "aft_shoulder_diameter": "47 mm"}


def frustum(first: float, last: float, length: float) -> float:
    """Volume between two radii [mm3]."""
    return math.pi * length * (first**2 + first * last + last**2) / 3.0


def meridian(part: Transition) -> Meridian:
    return part.shape().meridian


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


def test_a_bore_wider_than_the_body_ends_in_a_step() -> None:
    """A thick body behind a thin shoulder: bore 65/2 - 0.8 = 31.7, body 34 - 6.04 = 27.96 at the same station."""
    part = Transition.build(**{**CONE, "wall": "6 mm"}, **FORWARD, shoulder_wall="0.8 mm")
    drop = 6.0 * math.hypot(80.0, 9.0) / 80.0
    body = solid(part.shape())
    assert opening(body, -0.01, 32.5) == pytest.approx(31.7, abs=1e-6)
    assert opening(body, 0.01, 34.0 - 0.01 * 9.0 / 80.0) == pytest.approx(34.0 - drop - 0.01 * 9.0 / 80.0, abs=1e-6)
    shoulder = math.pi * (32.5**2 - 31.7**2) * 40.0
    shell = frustum(34.0, 25.0, 80.0) - frustum(34.0 - drop, 25.0 - drop, 80.0)
    assert moments(part.shape()).volume == pytest.approx(shoulder + shell, rel=1e-12)


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
    """Widening and narrowing are one rule: volume and inertia are equal, the centres mirror each other."""
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
    assert len(inner) >= 3
    for x, r in (point for piece in inner for point in (piece.start, piece.end)):
        if 0.0 < x < length:
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
