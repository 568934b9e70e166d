"""Parallel outlines against shapely's buffer, against elementary geometry, and corner by corner.

shapely (GEOS) works on polylines: an outline sampled to within 1e-5 mm and a buffer of 128 chords to the quarter turn
(a chord error of d (1 - cos(pi/512)) = 2e-5 d) set the tolerances.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from cut_samples import OVAL, RING, SAMPLES, backwards, moved, outlines, slot
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Polygon

from ferrule.parts.curve import Arc, Bezier, EllipseArc, Line
from ferrule.parts.errors import PartError
from ferrule.parts.meetings import distance as distance_to
from ferrule.parts.outline_offset import offset_outline
from ferrule.parts.shape import Edge, Loop, Outline, circle, hole, polygon, signed_area

SQUARE = Outline(polygon(((0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0))))


def flat(outline: Outline, count: int = 400) -> Polygon:
    def points(loop: Loop) -> list[list[float]]:
        steps = {Line: 1}
        return [
            point
            for edge in loop
            for point in edge.piece.at(np.linspace(0.0, 1.0, steps.get(type(edge.piece), count) + 1)[:-1]).tolist()
        ]

    return Polygon(points(outline.outer), [points(one) for one in outline.holes])


def area(outline: Outline) -> float:
    return sum(signed_area(loop) for loop in outline.loops)


def kinds(outline: Outline) -> set[type]:
    return {type(edge.piece) for loop in outline.loops for edge in loop}


@pytest.mark.parametrize("distance", [-0.6, -0.1, 0.075, 0.5])
@pytest.mark.parametrize("name", SAMPLES)
def test_the_samples_are_offset_as_shapely_does(name: str, distance: float) -> None:
    outline = SAMPLES[name]
    found = offset_outline(outline, distance)
    expected = flat(outline).buffer(distance, quad_segs=128)
    assert expected.geom_type == "Polygon"
    assert len(found.holes) == len(expected.interiors)
    # Chords of 400 to the piece: 1e-3 mm at most on the largest; areas over a rim of up to 600 mm.
    assert area(found) == pytest.approx(expected.area, rel=1e-4)
    assert flat(found).hausdorff_distance(expected) < 2e-3


def lines_and_arcs() -> st.SearchStrategy[Outline]:
    return outlines(kinds=("line", "arc"))


def agrees(outline: Outline, distance: float, allowed: set[type]) -> None:
    """The offset is shapely's, or refused where shapely's is not one piece with as many holes."""
    plain = flat(outline, 150)
    assume(plain.is_valid and plain.geom_type == "Polygon" and abs(distance) > 1e-3)
    expected = plain.buffer(distance, quad_segs=32)
    sound = expected.geom_type == "Polygon" and len(expected.interiors) == len(outline.holes)
    try:
        found = offset_outline(outline, distance)
    except PartError:
        assert not sound
        return
    assert sound
    assert kinds(found) <= allowed
    # An edge of up to 300 mm in 150 chords, bulging half a turn, is up to 5e-3 mm off them; a Bezier runs unevenly.
    slack = 1.5e-2
    spots = [p for loop in found.loops for edge in loop for p in edge.piece.at(np.linspace(0.0, 1.0, 12)).tolist()]
    assert float(shapely.distance(shapely.points(spots), expected.boundary).max()) < slack
    assert abs(flat(found, 150).area - expected.area) < slack * expected.length


@given(lines_and_arcs(), st.floats(-1.5, 1.5))
def test_random_lines_and_arcs(outline: Outline, distance: float) -> None:
    agrees(outline, distance, {Line, Arc})


def no_hooks(outline: Outline) -> bool:
    """No edge that crosses its neighbour beside their corner, and no Bezier whose ends turn round in micrometres."""
    crowded = (1.0 - np.cos(np.pi * np.arange(600) / 600)) / 2.0
    rim = Polygon(np.vstack([edge.piece.at(crowded) for edge in outline.outer]))
    curves = [edge.piece.poles for edge in outline.outer if isinstance(edge.piece, Bezier)]
    return rim.is_valid and all(math.dist(*pair) > 1e-2 for poles in curves for pair in (poles[:2], poles[-2:]))


@settings(max_examples=settings().max_examples // 2)
@given(outlines(), st.floats(-0.5, 0.5))
def test_random_outlines_with_curves(outline: Outline, distance: float) -> None:
    assume(no_hooks(outline))
    agrees(outline, distance, {Line, Arc, EllipseArc, Bezier})


@given(lines_and_arcs(), st.floats(0.01, 0.3))
def test_the_tool_touches_the_part_everywhere_and_cuts_it_nowhere(outline: Outline, radius: float) -> None:
    """Every point of the path is the radius away from the outline: the rim of the tool is on it."""
    assume(flat(outline, 1000).is_valid)
    try:
        path = offset_outline(outline, radius)
    except PartError:
        assume(False)
    for loop, original in zip(path.loops, outline.loops, strict=True):
        for edge in loop:
            for point in edge.piece.at(np.array([0.1, 0.5, 0.9])).tolist():
                away = min(distance_to((point[0], point[1]), one.piece) for one in original)
                assert away == pytest.approx(radius, abs=1e-8)


@given(st.lists(st.floats(0.0, 6.2), min_size=3, max_size=9), st.floats(0.01, 3.0))
def test_steiners_formula(angles: list[float], distance: float) -> None:
    """The parallel body of a convex one has the area + perimeter d + pi d2 (J. Steiner, 1840)."""
    ordered = sorted(angles)
    assume(min(b - a for a, b in zip(ordered, (*ordered[1:], ordered[0] + math.tau), strict=True)) > 0.05)
    convex = Outline(polygon(tuple((50.0 * math.cos(a), 30.0 * math.sin(a)) for a in ordered)))
    rim = sum(edge.piece.length() for edge in convex.outer)
    expected = area(convex) + rim * distance + math.pi * distance**2
    assert area(offset_outline(convex, distance)) == pytest.approx(expected, rel=1e-11)


def test_a_square_gets_round_corners_about_its_own() -> None:
    found = offset_outline(SQUARE, 0.1)
    arcs = [edge.piece for edge in found.outer if isinstance(edge.piece, Arc)]
    assert {arc.centre for arc in arcs} == {(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)}
    assert {arc.radius for arc in arcs} == {0.1}
    assert [arc.sweep for arc in arcs] == pytest.approx([math.pi / 2.0] * 4)
    assert area(found) == pytest.approx(1200.0 + 140.0 * 0.1 + math.pi * 0.01, rel=1e-12)


def test_a_square_that_shrinks_keeps_its_corners() -> None:
    found = offset_outline(SQUARE, -2.0)
    assert kinds(found) == {Line}
    assert found.box() == pytest.approx((2.0, 2.0, 38.0, 28.0), abs=1e-12)
    assert len(found.outer) == 4


def test_a_square_hole_is_cut_by_a_path_with_sharp_corners() -> None:
    window = backwards(moved(SQUARE.outer, 10.0, 10.0))
    plate = Outline(polygon(((0.0, 0.0), (60.0, 0.0), (60.0, 50.0), (0.0, 50.0))), (window,))
    found = offset_outline(plate, 0.5)
    assert {type(edge.piece) for edge in found.holes[0]} == {Line}
    assert -signed_area(found.holes[0]) == pytest.approx(39.0 * 29.0, rel=1e-12)


def test_circles_stay_circles() -> None:
    found = offset_outline(RING, 0.075)
    radii = [edge.piece.radius for loop in found.loops for edge in loop if isinstance(edge.piece, Arc)]
    assert radii == pytest.approx([32.925, 15.525, 2.675, 2.675], abs=1e-12)


def test_there_and_back_again() -> None:
    for name in ("ring", "slotted", "oval"):
        outline = SAMPLES[name]
        again = offset_outline(offset_outline(outline, 0.4), -0.4)
        assert area(again) == pytest.approx(area(outline), rel=1e-7), name


def test_roles_stay_with_their_edges() -> None:
    loop = tuple(Edge(edge.piece, "fit" if index == 1 else "") for index, edge in enumerate(SQUARE.outer))
    found = offset_outline(Outline(loop), -0.5)
    fitting = [edge.piece for edge in found.outer if edge.role == "fit"]
    assert len(fitting) == 1
    assert fitting[0].start[0] == fitting[0].end[0] == pytest.approx(39.5)


def test_only_some_roles_move() -> None:
    loop = tuple(Edge(edge.piece, "fit" if index == 1 else "") for index, edge in enumerate(SQUARE.outer))
    found = offset_outline(Outline(loop), -0.5, roles=("fit",))
    assert found.box() == pytest.approx((0.0, 0.0, 39.5, 30.0), abs=1e-12)
    assert area(found) == pytest.approx(39.5 * 30.0)


def test_nothing_is_nothing() -> None:
    assert offset_outline(OVAL, 0.0) is OVAL


CLOSING = Outline(circle(20.0), (hole(0.4, (5.0, 0.0)),))
SLIT = Outline(circle(40.0), (backwards(slot(0.5, 20.0)),))
WAIST = Outline(
    polygon(((0.0, 0.0), (20.0, 0.0), (20.0, 9.0), (40.0, 9.0), (40.0, 0.0), (60.0, 0.0), (60.0, 20.0),
             (40.0, 20.0), (40.0, 11.0), (20.0, 11.0), (20.0, 20.0), (0.0, 20.0)))
)  # fmt: skip
MOUTH = Outline(
    polygon(((0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (31.0, 40.0), (31.0, 30.0), (50.0, 30.0), (50.0, 10.0),
             (10.0, 10.0), (10.0, 30.0), (29.0, 30.0), (29.0, 40.0), (0.0, 40.0)))
)  # fmt: skip
HOOKED = Outline(
    (
        Edge(Bezier(((92.0, 0.0), (92.00004, 9.2e-05), (0.0, 40.0)))),
        *(Edge(Line(a, b)) for a, b in (((0.0, 40.0), (-40.0, 0.0)), ((-40.0, 0.0), (92.0, 0.0)))),
    )
)
WEB = Outline(circle(20.0), (hole(5.0, (14.5, 0.0)),))


@pytest.mark.parametrize(
    ("outline", "distance", "message"),
    [
        (CLOSING, 0.5, "the hole of 0.8 mm diameter closes when its edges move 0.5 mm away from the material"),
        (SLIT, 0.3, "the hole of 20.5 x 0.5 mm closes"),
        (WAIST, -1.5, "the outline of 60 x 20 mm does not stay one .* into the material: it leaves 17.38 x 17 mm and"),
        (MOUTH, 1.5, "the outline of 60 x 40 mm does not stay one"),
        (WEB, -0.3, "the hole of 10.6 mm diameter runs into the rim"),
        (Outline(circle(3.0)), -3.5, "the outline of 6 mm diameter vanishes"),
        (SQUARE, -16.0, "the outline of 40 x 30 mm vanishes"),
        (SQUARE, math.inf, "not a finite number"),
        (Outline(circle(10.0), (hole(9.0),)), -2.0, "runs into the rim"),
        (HOOKED, 0.5, "has no parallel that can be cut"),
    ],
)
def test_what_cannot_be(outline: Outline, distance: float, message: str) -> None:
    with pytest.raises(PartError, match=message):
        offset_outline(outline, distance)


def test_short_edges_vanish_from_the_path() -> None:
    """A step of 0.05 mm in an inner corner is lost in a parallel of 0.5 mm; shapely says the same."""
    stepped = Outline(
        polygon(((0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (10.05, 10.0), (10.05, 10.05), (10.0, 10.05), (10.0, 20.0),
                 (0.0, 20.0)))
    )  # fmt: skip
    found = offset_outline(stepped, 0.5)
    expected = flat(stepped).buffer(0.5, quad_segs=256)
    assert area(found) == pytest.approx(expected.area, abs=1e-4)
    assert flat(found).hausdorff_distance(expected) < 1e-4
