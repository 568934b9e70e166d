"""What hangs over nothing: closed forms of elementary bodies, and facets against exact sections.

Of a sphere's inside the face at the polar angle q from the top leans 90 degrees - q from the vertical; of a cone of
radius R and length L standing on its tip the flank leans atan(R / L). 45 degrees as the limit: common practice.
"""

from __future__ import annotations

import math

import pytest
from geometry_samples import bore_through, section, tube

from ferrule.analysis.overhangs import Overhang, overhangs
from ferrule.parts.curve import Arc, Bezier, Line, Point
from ferrule.parts.kinds import CenteringRing, Fin, NoseCone
from ferrule.parts.poses import FLAT, STANDING
from ferrule.parts.shape import (
    FLAT_TO_PLATE,
    Array,
    Cut,
    Fused,
    Outline,
    Placed,
    Placement,
    Plate,
    RadialFeature,
    Revolved,
    moved,
    polygon,
    rolled,
)

TAIL_UP = Placement(turn=(0.0, 0.0, -1.0, 0.0, 1.0, 0.0, 1.0, 0.0, 0.0))
"""The forward end on the bed, which the part's +x leaves upwards."""


def corners(*points: Point) -> Revolved:
    """A turned solid with straight sides through the points."""
    return section((tuple(Line(a, b) for a, b in zip(points, (*points[1:], points[0]), strict=True)), ""))


def only(found: tuple[Overhang, ...]) -> Overhang:
    (one,) = found
    return one


def dome(radius: float, wall: float) -> Revolved:
    """Half of a hollow ball, closed at its forward end."""
    outer = radius + wall
    return section(
        ((Arc((outer, 0.0), outer, math.pi, -math.pi / 2.0),), ""),
        ((Line((outer, outer), (outer, radius)),), ""),
        ((Arc((outer, 0.0), radius, math.pi / 2.0, math.pi / 2.0),), ""),
        ((Line((wall, 0.0), (0.0, 0.0)),), ""),
    )


def test_a_solid_cone_tip_up_hangs_over_nothing() -> None:
    assert overhangs(corners((0, 0), (80, 20), (80, 0)), STANDING.at(80.0)).stretches == ()


@pytest.mark.parametrize(("radius", "hangs"), [(59.9, False), (60.0, False), (60.1, True), (90.0, True)])
def test_a_cone_on_its_tip_leans_by_its_half_angle(radius: float, hangs: bool) -> None:
    found = overhangs(corners((0, 0), (60.0, radius), (60.0, 0)), TAIL_UP).stretches
    assert bool(found) is hangs
    if hangs:
        one = only(found)
        assert (one.side, one.form, one.low, one.high) == ("outside", "leaning", 0.0, 60.0)
        assert one.angle == pytest.approx(math.atan(radius / 60.0), abs=1e-12)
        assert one.across == pytest.approx(radius)


def test_the_inside_of_a_dome_closes_from_45_degrees_on() -> None:
    one = only(overhangs(dome(30.0, 2.0), STANDING.at(32.0)).stretches)
    assert (one.side, one.form) == ("inside", "roof")
    assert one.low == pytest.approx(30.0 * math.cos(math.pi / 4.0), abs=0.01)
    assert one.high == pytest.approx(30.0, abs=1e-9)
    assert one.across == pytest.approx(2.0 * 30.0 * math.sin(math.pi / 4.0), abs=0.01)
    assert one.angle == pytest.approx(math.pi / 2.0, abs=1e-6)


@pytest.mark.parametrize("limit", [30.0, 60.0, 75.0])
def test_another_limit_may_be_asked_for(limit: float) -> None:
    found = overhangs(dome(30.0, 2.0), STANDING.at(32.0), math.radians(limit))
    assert found.limit == math.radians(limit)
    assert only(found.stretches).low == pytest.approx(30.0 * math.sin(math.radians(limit)), abs=0.01)


def test_the_step_of_a_shoulder_is_a_ledge_outside() -> None:
    cone = corners((0, 0), (250.0, 34.15), (250.0, 32.65), (318.0, 32.65), (318.0, 0))
    found = overhangs(cone, STANDING.at(318.0))
    ledge = only(found.stretches)
    assert found.method == "exact section"
    assert (ledge.side, ledge.form, ledge.low, ledge.high) == ("outside", "ledge", 68.0, 68.0)
    assert ledge.across == pytest.approx(1.5)
    assert ledge.angle == pytest.approx(math.pi / 2.0)


def test_a_bore_that_narrows_upwards_has_a_ledge_inside_or_a_roof() -> None:
    """Standing forward end up, the bore of the aft 40 mm is wider than that of the forward 20 mm."""
    stepped = corners((0, 10), (0, 30), (60, 30), (60, 25), (20, 25), (20, 10))
    ledge = only(overhangs(stepped, STANDING.at(60.0)).stretches)
    assert (ledge.side, ledge.form, ledge.low, ledge.across) == ("inside", "ledge", 40.0, 15.0)
    cup = corners((0, 0), (0, 30), (60, 30), (60, 25), (20, 25), (20, 0))
    roof = only(overhangs(cup, STANDING.at(60.0)).stretches)
    assert (roof.side, roof.form, roof.low, roof.across) == ("inside", "roof", 40.0, 50.0)
    assert overhangs(cup, TAIL_UP).stretches == ()


@pytest.mark.parametrize(("rise", "count"), [(14.0, 1), (15.0, 0), (15.001, 0), (19.0, 0)])
def test_a_flank_at_the_limit_keeps_to_it(rise: float, count: int) -> None:
    flared = corners((0, 10), (0, 30), (60, 30), (60, 25), (20, 25), (20.0 - rise, 10))
    found = overhangs(flared, STANDING.at(60.0)).stretches
    assert len(found) == count
    if count:
        one = only(found)
        assert (one.form, one.side) == ("leaning", "inside")
        assert one.angle == pytest.approx(math.atan2(15.0, rise))
        assert (one.low, one.high, one.across) == (40.0, 40.0 + rise, 15.0)


def test_pieces_that_run_on_are_one_stretch() -> None:
    flank = (Line((40.0, 10.0), (30.0, 26.0)), Line((30.0, 26.0), (25.0, 40.0)))
    whole = section(
        (flank, ""),
        ((Line((25.0, 40.0), (80.0, 40.0)),), ""),
        ((Line((80.0, 40.0), (80.0, 10.0)),), ""),
        ((Line((80.0, 10.0), (40.0, 10.0)),), ""),
    )
    one = only(overhangs(whole, Placement(TAIL_UP.turn, (0.0, 0.0, -25.0))).stretches)
    assert (one.low, one.high) == (0.0, 15.0)
    assert one.angle == pytest.approx(math.atan2(14.0, 5.0)), "the flatter of the two"


def test_a_curve_is_split_where_it_passes_the_limit() -> None:
    """A flare r = 10 + z^2 / 40 leans past 45 degrees where its slope z / 20 is above 1: from z = 20 on."""
    flare = Bezier(((0.0, 10.0), (20.0, 10.0), (40.0, 50.0)))
    body = section(
        ((flare,), ""),
        ((Line((40.0, 50.0), (42.0, 50.0)),), ""),
        ((Line((42.0, 50.0), (42.0, 5.0)),), ""),
        ((Line((42.0, 5.0), (0.0, 5.0)),), ""),
        ((Line((0.0, 5.0), (0.0, 10.0)),), ""),
    )
    one = only(overhangs(body, TAIL_UP).stretches)
    assert (one.form, one.side) == ("leaning", "outside")
    assert one.low == pytest.approx(20.0, abs=0.01)
    assert one.high == pytest.approx(40.0)
    assert one.angle == pytest.approx(math.atan(2.0))


def test_holes_are_listed_and_not_counted_as_overhangs() -> None:
    wall = tube(30.0, 28.0, 100.0)
    hexagon = polygon(tuple((3.0 * math.cos(k * math.pi / 3.0), 3.0 * math.sin(k * math.pi / 3.0)) for k in range(6)))
    pocket = RadialFeature(80.0, 0.3, Outline(hexagon), 20.0, 40.0)
    drilled = Cut(Cut(wall, (Array(bore_through(1.7, 30.0, 40.0), 3),)), (pocket, bore_through(1.7, 30.0, 40.0, 0.5)))
    found = overhangs(drilled, STANDING.at(100.0))
    assert found.stretches == ()
    assert [(hole.count, hole.height) for hole in found.holes] == [(1, 20.0), (4, 70.0)]
    assert [hole.width for hole in found.holes] == pytest.approx([6.0 * math.sin(math.pi / 3.0), 3.4])


def test_a_slot_that_is_open_upwards_bridges_nothing() -> None:
    slot = RadialFeature(0.0, 0.0, Outline(polygon(((-1.0, -2.0), (8.0, -2.0), (8.0, 2.0), (-1.0, 2.0)))), 20.0, 40.0)
    slotted = Cut(tube(30.0, 28.0, 100.0), (Array(slot, 3),))
    assert overhangs(slotted, STANDING.at(100.0)).holes == ()
    (hole,) = overhangs(slotted, TAIL_UP).holes
    assert (hole.count, hole.width, hole.height) == (3, 4.0, 3.5)


@pytest.mark.parametrize(
    ("shape", "pose"),
    [
        (dome(30.0, 2.0), STANDING.at(32.0)),
        (corners((0, 10), (0, 30), (60, 30), (60, 25), (20, 25), (20, 10)), STANDING.at(60.0)),
        (corners((0, 0), (0, 30), (60, 30), (60, 25), (20, 25), (20, 0)), STANDING.at(60.0)),
        (corners((0, 10), (0, 30), (60, 30), (60, 25), (20, 25), (8, 10)), STANDING.at(60.0)),
        (corners((0, 5), (0, 10), (30, 45), (32, 45), (32, 5)), TAIL_UP),
    ],
    ids=["dome", "inner ledge", "roof", "inner flare", "outer flare"],
)
def test_facets_say_the_same_as_the_section(shape: Revolved, pose: Placement) -> None:
    """A part of several members is judged by its facets.

    Their chord error of 0.02 mm makes those of the dome 1.5 mm long: a stretch may begin that much later.
    """
    exact, facets = overhangs(shape, pose), overhangs(Fused((shape,)), pose)
    assert (exact.method, facets.method) == ("exact section", "facets")
    a, b = only(exact.stretches), only(facets.stretches)
    assert (a.side, a.form, a.high) == (b.side, b.form, pytest.approx(b.high, abs=0.03))
    assert b.low == pytest.approx(a.low, abs=0.7)
    assert b.angle == pytest.approx(a.angle, abs=math.radians(3.0))
    assert b.across == pytest.approx(a.across, abs=1.5)


def box(x: float, y: float, z: float, at: Point = (0.0, 0.0), low: float = 0.0) -> Placed:
    """A block of three sizes with its lowest corner at a place [mm], its z upwards."""
    block = Plate(Outline(polygon(((0.0, 0.0), (x, 0.0), (x, y), (0.0, y)))), z)
    return Placed(Placed(block, FLAT_TO_PLATE), moved(at[0], at[1], low))


def test_a_beam_with_a_wider_head_has_two_ledges() -> None:
    """A ledge of a x b has 2 A / rim = a b / (a + b) across: its width a, where b is long."""
    beam = Fused((box(400.0, 10.0, 20.0), box(400.0, 16.0, 5.0, (0.0, -3.0), 20.0)))
    one = only(overhangs(beam, Placement()).stretches)
    assert (one.form, one.count, one.side) == ("ledge", 2, "outside")
    assert (one.low, one.high) == pytest.approx((20.0, 20.0))
    assert one.across == pytest.approx(400.0 * 3.0 / 403.0)


def test_a_pocket_from_below_has_a_roof() -> None:
    """4 A / rim of a square is its side."""
    lid = Cut(box(40.0, 40.0, 20.0), (box(24.0, 24.0, 12.0, (8.0, 8.0), -2.0),))
    one = only(overhangs(lid, Placement()).stretches)
    assert (one.form, one.side, one.low) == ("roof", "inside", pytest.approx(10.0))
    assert one.across == pytest.approx(24.0)


def test_a_turned_part_on_its_side_is_judged_by_its_facets() -> None:
    """Of a bar on its side the lower quarter turn looks down by more than 45 degrees."""
    found = overhangs(tube(20.0, 0.0, 60.0), moved(0.0, 0.0, 20.0))
    assert found.method == "facets"
    one = only(found.stretches)
    assert one.side == "outside"
    assert one.high == pytest.approx(20.0 * (1.0 - math.cos(math.pi / 4.0)), abs=1.0)


def test_what_lies_flat_hangs_over_nothing() -> None:
    ring, fin = CenteringRing.build(**CenteringRing.example), Fin.build(**Fin.example)
    assert overhangs(ring.shape(), ring.pose()).stretches == ()
    assert overhangs(fin.shape(), fin.pose()).stretches == ()


def test_a_placed_shape_is_the_shape_in_another_pose() -> None:
    shape = dome(30.0, 2.0)
    there = Placed(Placed(shape, rolled(0.4)), moved(7.0))
    assert overhangs(there, STANDING.at(39.0)) == overhangs(shape, STANDING.at(32.0))
    assert overhangs(shape, FLAT) == overhangs(shape, TAIL_UP)


def test_a_hole_right_across_is_a_sideways_hole() -> None:
    """As for a dowel through the tip of a nose: its round top bridges like that of a radial hole."""
    nose = NoseCone.build(
        profile="cone",
        length="200 mm",
        base_diameter="66 mm",
        solid_tip="60 mm",
        dowel_diameter="3 mm",
        dowel_distances=("45 mm",),
    )
    (hole,) = overhangs(nose.shape(), nose.pose()).holes
    assert (hole.width, hole.height, hole.count) == (3.0, 155.0, 1)
