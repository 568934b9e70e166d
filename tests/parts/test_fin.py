"""What is special to fins: worked edges, tabs, pin holes, aerofoils, and what comes with them.

Sources: elementary geometry. A bevel of depth d that leaves a land l of a thickness t takes a triangle of d (t - l) / 2
in section, whether from one side or from both; a round of radius r leaves (1 - pi/4) r^2 less at each of two corners; a
flat edge of thickness t stands off a round tube at its faces by R - sqrt(R^2 - t^2/4). shapely measures distances.
"""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot
from typer.testing import CliRunner

from ferrule.app.cli import app
from ferrule.parts.curve import Line
from ferrule.parts.errors import DesignError
from ferrule.parts.fit import MeasuredTube, Surroundings
from ferrule.parts.kinds import Fin
from ferrule.parts.kinds.fin_edge_work import AS_CUT, EdgeWork, read_edge_work
from ferrule.parts.readers.brep import measure, solid
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import mesh
from ferrule.parts.shape import Bevelled, Blade, Fused, Rounded, signed_area

LENGTH, SPAN, THICK, CLEAR = 100.0, 40.0, 3.0, 5.0
RECTANGLE: dict[str, Any] = {
    "root_chord": "100 mm",
    "tip_chord": "100 mm",
    "semi_span": "40 mm",
    "sweep_length": "0 mm",
    "thickness": "3 mm",
}
SWEPT: dict[str, Any] = {**RECTANGLE, "tip_chord": "60 mm", "sweep_length": "50 mm"}
EXAMPLE: dict[str, Any] = dict(Fin.example)


def fin(base: dict[str, Any] = RECTANGLE, **fields: Any) -> Fin:
    return Fin.build(**{**base, **fields})


def taken(found: Fin) -> float:
    """What the worked edges take off the fin as cut [mm3]."""
    return signed_area(found.exposed().outer) * found.thickness - moments(found.shape()).volume


def refused(fields: dict[str, Any], base: dict[str, Any] = RECTANGLE) -> tuple[str | None, str]:
    with pytest.raises(DesignError) as caught:
        fin(base, **fields)
    (problem,) = caught.value.problems
    return problem.field, problem.message


# --- edges ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "work"),
    [
        ("as cut", AS_CUT),
        ("As Cut", AS_CUT),
        ("round", EdgeWork("round")),
        ("round 1.5 mm", EdgeWork("round", radius=1.5)),
        ("bevel 12 mm, land 1.3 mm", EdgeWork("bevel", depth=12.0, land=1.3)),
        ("bevel 1/2 in, land 0 mm", EdgeWork("bevel", depth=12.7, land=0.0)),
        ("bevel 12 mm, 8 deg", EdgeWork("bevel", depth=12.0, angle=math.radians(8.0))),
        ("bevel 8 deg, land 1.3 mm", EdgeWork("bevel", angle=math.radians(8.0), land=1.3)),
        ("bevel land 1.3 mm, 12 mm, one side", EdgeWork("bevel", depth=12.0, land=1.3, sides=1)),
        ("bevel 8°, land 1.3 mm, both sides", EdgeWork("bevel", angle=math.radians(8.0), land=1.3)),
    ],
)
def test_what_is_done_to_an_edge_is_read_from_its_text_and_written_back(text: str, work: EdgeWork) -> None:
    assert read_edge_work(text) == work
    assert read_edge_work(work.exactly()) == work
    assert str(read_edge_work(str(work))) == str(work)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("sharp", "'sharp' is nothing that is done to an edge; write 'as cut', 'round'"),
        ("bevel", "'bevel' states no size; write"),
        ("bevel 12 mm", "'bevel 12 mm' states depth; write"),
        ("bevel 12 mm, 8 deg, land 1 mm", "states depth and angle and land; write"),
        ("bevel 12 mm, 13 mm", "states its depth twice"),
        ("bevel 12 mm, 95 deg", "the angle of an edge must be above 0 deg and at most 80 deg, got 95 deg"),
        ("bevel 0 mm, land 1 mm", "the depth of an edge must be above 0 mm"),
        ("bevel 12, land 1 mm", "'12' has a number without a unit"),
        ("bevel 12 mm, land -1 mm", "the land of an edge must be at least 0 mm"),
        ("round 1 mm, 2 mm", "a round has one radius"),
        ("round 1 mm, one side", "a round is on both corners of an edge"),
        ("as cut, one side", "'as cut, one side': an edge as cut has no sizes"),
        (8, "8 is not a text; write it in quotes"),
    ],
)
def test_a_text_that_says_nothing_of_an_edge_is_refused(text: object, words: str) -> None:
    field, message = refused({"leading_edge": text})
    assert field == "leading_edge"
    assert words in message


@pytest.mark.parametrize("field", ["leading_edge", "trailing_edge"])
@pytest.mark.parametrize("sides", ["", ", one side"])
def test_a_bevel_takes_its_triangle_from_the_clearance_to_the_tip(field: str, sides: str) -> None:
    found = fin(**{field: f"bevel 8 mm, land 0.5 mm{sides}"})
    assert taken(found) == pytest.approx(8.0 * 2.5 / 2.0 * (SPAN - CLEAR), rel=1e-6)
    assert found.worked()[0].sides == (1 if sides else 2)
    nearer = fin(**{field: "bevel 8 mm, land 0.5 mm", "edge_clearance": "12 mm"})
    assert taken(nearer) == pytest.approx(8.0 * 2.5 / 2.0 * (SPAN - 12.0), rel=1e-6)


def test_edges_stay_as_cut_up_to_the_top_of_the_fillets() -> None:
    filleted = {"body_diameter": "60 mm", "fillet_radius": "11 mm", "leading_edge": "bevel 8 mm, land 0.5 mm"}
    # As a bevel of that clearance by hand: a triangle of 8 x 2.5 mm over what is left of the span.
    assert taken(fin(**filleted)) == pytest.approx(8.0 * 2.5 / 2.0 * (SPAN - 11.0), rel=1e-6)
    assert fin(**filleted).worked()[0].limit.start[1] == pytest.approx(11.0) or (
        fin(**filleted).worked()[0].limit.end[1] == pytest.approx(11.0)
    )
    small = fin(**{**filleted, "fillet_radius": "3 mm"})
    assert taken(small) == pytest.approx(8.0 * 2.5 / 2.0 * (SPAN - CLEAR), rel=1e-6)
    assert fin(fin(**filleted).model_dump()).worked() == fin(**filleted).worked()
    field, message = refused({**filleted, "edge_clearance": "6 mm"})
    assert field == "edge_clearance"
    assert (
        "6 mm lets edges be worked down into the fillets of 11 mm, which need the flat face; at least 11 mm" in message
    )
    # Edges as cut reach nowhere.
    assert fin(**{**filleted, "edge_clearance": "6 mm", "leading_edge": "as cut"}).worked() == ()


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"leading_edge": "bevel 62 mm, land 1 mm", "trailing_edge": "bevel 60 mm, land 1 mm"}, "leading_edge"),
        ({"tip_edge": "bevel 39 mm, land 1 mm"}, "tip_edge"),
        ({"edges": ("bevel 45 mm, land 1 mm",)}, "edges"),
    ],
)
def test_what_is_too_deep_says_how_deep_would_go(fields: dict[str, Any], field: str) -> None:
    found, message = refused(fields)
    most = re.search(r"; at most ([\d.]+) mm would go$", message)
    assert found == field
    assert most

    def as_deep(depth: float) -> dict[str, Any]:
        text = f"bevel {depth:.2f} mm, land 1 mm"
        return {**fields, field: (text,) if field == "edges" else text}

    assert fin(**as_deep(float(most[1]))).worked()
    refused(as_deep(float(most[1]) + 0.2))


def test_a_tab_length_of_0_is_no_tab_whatever_the_tubes_leave_for_one() -> None:
    without = fin(EXAMPLE, tab_length="0 mm", tab_depth="18.4 mm", tab_position="0 mm")
    assert without.tab() == ()
    assert without.outline().box()[1] == 0.0


def test_a_bevel_may_be_stated_by_its_angle() -> None:
    slope = math.tan(math.radians(5.0))
    by_land, by_depth = fin(tip_edge="bevel 5 deg, land 1 mm"), fin(tip_edge="bevel 10 mm, 5 deg")
    one_side = fin(tip_edge="bevel 5 deg, land 1 mm, one side")
    assert by_land.worked()[0].form == Bevelled(pytest.approx(1.0 / slope), 1.0, 2)
    assert by_depth.worked()[0].form == Bevelled(10.0, pytest.approx(THICK - 2.0 * 10.0 * slope), 2)
    assert one_side.worked()[0].form == Bevelled(pytest.approx(2.0 / slope), 1.0, 1)


def test_a_round_takes_two_corners() -> None:
    corner = (1.0 - math.pi / 4.0) * 1.5**2
    found = fin(tip_edge="round")
    assert found.worked()[0].form == Rounded(1.5)
    assert taken(found) == pytest.approx(2.0 * corner * LENGTH, rel=1e-4)
    assert taken(fin(leading_edge="round 1 mm")) == pytest.approx(
        2.0 * (1.0 - math.pi / 4.0) * (SPAN - CLEAR), rel=1e-3
    )


def test_a_bevel_on_a_swept_edge_stays_above_its_clearance_over_its_whole_depth() -> None:
    depth, land = 8.0, 0.5
    found = fin(SWEPT, leading_edge=f"bevel {depth} mm, land {land} mm")
    (edge,) = found.worked()
    lean = math.atan2(SPAN, 50.0)
    # The tool stops square: its inner corner lies at the clearance, its outer one higher.
    start = (CLEAR + depth * math.cos(lean)) / math.sin(lean)
    assert edge.clearance_end == pytest.approx(start, rel=1e-12)
    assert edge.limit.end[1] == pytest.approx(CLEAR, abs=1e-12)
    assert edge.limit.start[1] == pytest.approx(SPAN, abs=1e-12)
    line = Line((0.0, 0.0), (50.0, SPAN))
    for x, y in (edge.limit.start, edge.limit.end):
        assert abs(x * math.sin(lean) - y * math.cos(lean)) == pytest.approx(depth, rel=1e-12)
    # Integral of (t - l)(1 - s/d) over the depth s and the length there, which the tip cuts off at a slant.
    run, wider = line.length() - start, 1.0 / math.tan(lean)
    assert taken(found) == pytest.approx((THICK - land) * (run * depth / 2.0 + wider * depth**2 / 6.0), rel=1e-5)


def test_bevels_that_meet_at_the_tip_are_mitred() -> None:
    found = fin(leading_edge="bevel 8 mm, land 0.5 mm", tip_edge="bevel 6 mm, land 0.5 mm")
    lead, tip = found.worked()
    assert [edge.name for edge in (lead, tip)] == ["leading edge", "tip"]
    assert lead.limit.start == pytest.approx((8.0, SPAN - 6.0))
    assert tip.limit.end == pytest.approx((8.0, SPAN - 6.0))
    assert tip.limit.start == pytest.approx((LENGTH, SPAN - 6.0))
    both = 8.0 * 2.5 / 2.0 * (SPAN - CLEAR) + 6.0 * 2.5 / 2.0 * LENGTH
    # Over the corner of 8 x 6 each takes half the drop of 2.5 on the mean, together all of it; the deeper of the two,
    # which is what is taken, has a mean of two thirds.
    shared = 2.5 * 8.0 * 6.0 / 3.0
    assert taken(found) == pytest.approx(both - shared, rel=1e-5)


def test_edges_in_order_are_those_of_the_outline() -> None:
    polygon = {"root_chord": "100 mm", "thickness": "3 mm", "planform": "polygon"}
    corners = ("0 mm, 40 mm", "40 mm, 55 mm", "100 mm, 40 mm")
    found = fin(polygon, points=corners, edges=("as cut", "as cut", "round", "bevel 9 mm, land 1 mm"))
    assert [(edge.name, edge.place) for edge in found.worked()] == [("edge 3", 2), ("edge 4", 3)]
    assert found.worked()[0].piece == Line((100.0, 40.0), (40.0, 55.0))
    shape = found.shape()
    assert isinstance(shape, Blade)
    assert [shape.planform.outer[form.edge].piece for form in shape.forms] == [edge.piece for edge in found.worked()]
    assert taken(fin(polygon, points=corners, edges=("as cut", "as cut", "as cut", "bevel 9 mm, land 1 mm"))) > 0.0
    everywhere = fin(polygon, points=corners, edges=("round 1 mm",))
    assert [edge.name for edge in everywhere.worked()] == [f"edge {n}" for n in range(1, 5)]
    # The same fin as a trapezoid's values and as points, edges worked alike, is the same solid.
    drawn = fin(polygon, points=("50 mm, 40 mm", "110 mm, 40 mm"), edges=("round", "as cut", "bevel 9 mm, land 1 mm"))
    named = fin(SWEPT, leading_edge="round", trailing_edge="bevel 9 mm, land 1 mm")
    assert drawn.shape() == named.shape()


def test_every_facet_of_a_fine_outline_is_worked_but_those_within_the_clearance() -> None:
    """A half circle of 20 and of 40 facets, bevelled all round: as 10 mm of a cone, but for what is near the tube."""

    def facets(count: int) -> Fin:
        angles = [math.pi * i / count for i in range(1, count)]
        points = tuple(f"{60 - 60 * math.cos(a)!r} mm, {60 * math.sin(a)!r} mm" for a in angles)
        base = {"root_chord": "120 mm", "thickness": "3 mm", "planform": "polygon"}
        return fin(base, points=points, edges=("bevel 10 mm, land 1 mm",), edge_clearance="0.5 mm")

    coarse, fine = facets(20), facets(40)
    assert [len(one.worked()) for one in (coarse, fine)] == [20, 40]
    assert len(fin(fine.model_dump(), edge_clearance="9 mm").worked()) == 36
    # Integral of 2 (1 - s/10) over the depth s round the half circle of 60 - s.
    cone = math.pi * 2.0 * (60.0 * 10.0 / 2.0 - 10.0**2 / 6.0)
    assert taken(fine) == pytest.approx(cone, rel=0.02)
    assert abs(taken(fine) - cone) < abs(taken(coarse) - cone)


def test_the_working_stops_short_of_a_hollow_corner() -> None:
    base = {"root_chord": "20 mm", "thickness": "4 mm", "planform": "polygon"}
    points = ("-8.477590650225736 mm, 7.653668647301798 mm", "2.346331352698206 mm, 18.477590650225736 mm")
    points += ("13.034560030082549 mm, 7.326075980460594 mm", "28.477590650225736 mm, 7.653668647301796 mm")
    found = fin(base, points=points, edges=("bevel 0.625 mm, land 0.5 mm",))
    _, _, third, fourth, _ = found.worked()
    assert (third.clearance_start, fourth.clearance_end) == (1.0, 1.0)
    assert (third.clearance_end, fourth.clearance_start) == (0.0, 0.0)
    solid_mesh = mesh(found.shape())
    assert solid_mesh.faults() == ()
    assert solid_mesh.moments().volume == pytest.approx(moments(found.shape()).volume, rel=1e-6)


def test_an_edge_through_a_corner_that_does_not_turn_is_worked_as_one() -> None:
    base = {"root_chord": "100 mm", "thickness": "3 mm", "planform": "polygon"}
    corners = ("0 mm, 20 mm", "0 mm, 40 mm", "100 mm, 40 mm")
    found = fin(base, points=corners, edges=("bevel 8 mm, land 1 mm", "bevel 8 mm, land 1 mm", "as cut", "as cut"))
    assert mesh(found.shape()).faults() == ()
    assert taken(found) == pytest.approx(8.0 * 2.0 / 2.0 * (SPAN - CLEAR), rel=1e-4)


def test_a_straight_edge_beside_a_curved_one_is_worked_up_to_it() -> None:
    base = {"root_chord": "100 mm", "thickness": "3 mm", "planform": "curved"}
    texts = ("0 mm, 40 mm", "arc through 50 mm, 60 mm to 100 mm, 40 mm")
    found = fin(base, points=texts, edges=("bevel 8 mm, land 1 mm", "as cut", "round"))
    (lead, _) = found.worked()
    (arc,) = found.sides()[1].pieces
    radius, (x, y) = arc.radius, arc.centre
    assert math.hypot(lead.limit.start[0] - x, lead.limit.start[1] - y) == pytest.approx(radius, rel=1e-9)
    assert refused({"points": texts, "edges": ("round",)}, base) == (
        "edges",
        "the edge 2 is curved, and only a straight edge can be worked in the model; leave it as cut and round it by "
        "hand",
    )


@pytest.mark.parametrize(
    "tip",
    [
        "arc through 50 mm, 60 mm to 100 mm, 40 mm",  # bulges
        "arc through 50 mm, 25 mm to 100 mm, 40 mm",  # hollow: it goes on past the corner's own direction
        "spline through 20 mm, 30 mm; 70 mm, 50 mm to 100 mm, 40 mm",
        "100 mm, 60 mm",
    ],
)
def test_a_bevel_takes_the_same_from_every_strip_along_it(tip: str) -> None:
    """The thickness taken falls evenly with the depth; shapely says how long the fin is at each."""
    depth, drop, start = 30.0, 2.0, 12.0
    base = {"root_chord": "100 mm", "thickness": "3 mm", "planform": "curved", "edge_clearance": f"{start} mm"}
    found = fin(base, points=("0 mm, 40 mm", tip), edges=(f"bevel {depth} mm, land 1 mm", "as cut", "as cut"))
    rim = Polygon(np.vstack([edge.piece.at(np.linspace(0, 1, 2000)[:-1]) for edge in found.exposed().outer]))
    # The leading edge runs along x = 0, so that a strip is a line of one x.
    shares, weights = np.polynomial.legendre.leggauss(60)
    strips = (shares + 1.0) / 2.0 * depth
    lengths = [rim.intersection(LineString([(x, start), (x, 200.0)])).length for x in strips]
    exact = float(np.sum(weights / 2.0 * depth * drop * (1.0 - strips / depth) * lengths))
    assert taken(found) == pytest.approx(exact, rel=2e-3)


def test_worked_fins_agree_in_kernel_integral_and_mesh() -> None:
    found = fin(
        EXAMPLE, leading_edge="round", tip_edge="bevel 5 mm, land 1 mm, one side", trailing_edge="bevel 12 mm, 6 deg"
    )
    exact, kernel, facets = moments(found.shape()), measure(solid(found.shape())), mesh(found.shape())
    assert kernel.valid
    assert kernel.bodies == 1
    assert kernel.moments.volume == pytest.approx(exact.volume, rel=1e-6)
    assert facets.faults() == ()
    assert facets.moments().volume == pytest.approx(exact.volume, rel=1e-5)


def test_no_worked_edge_runs_onto_the_tab() -> None:
    flush = {**EXAMPLE, "tab_position": "0 mm", "tab_length": "120 mm"}
    plain = fin(flush)
    found = fin(flush, leading_edge="bevel 12 mm, land 1 mm", trailing_edge="bevel 12 mm, land 1 mm")
    shape = mesh(found.shape())
    below = shape.vertices[shape.vertices[:, 1] < CLEAR - 0.2]
    assert set(np.round(np.abs(below[:, 2]), 6)) == {2.0}
    assert moments(found.shape()).volume < moments(plain.shape()).volume


TRIANGLE = {**RECTANGLE, "tip_chord": "0 mm", "sweep_length": "50 mm"}
NARROW = {**RECTANGLE, "tip_chord": "10 mm", "sweep_length": "45 mm"}
DELTA = {**RECTANGLE, "tip_chord": "20 mm", "root_chord": "24 mm", "sweep_length": "2 mm"}


@pytest.mark.parametrize(
    ("base", "fields", "field", "words"),
    [
        (TRIANGLE, {"tip_edge": "round"}, "tip_edge", "a trapezoid without a tip chord has no edge at its tip"),
        (
            RECTANGLE,
            {"leading_edge": "round 1.6 mm"},
            "leading_edge",
            "a round of 1.6 mm is more than half the thickness of 3 mm",
        ),
        (RECTANGLE, {"tip_edge": "bevel 9 mm, land 3 mm"}, "tip_edge", "a land of 3 mm leaves nothing to bevel"),
        (
            RECTANGLE,
            {"tip_edge": "bevel 12 mm, 8 deg"},
            "tip_edge",
            "takes more than the thickness of 3 mm; at most 10.67 mm do not",
        ),
        # Two of 12 mm on a chord of 20 to 24 mm meet everywhere; two of 10.5 mm only towards the tip.
        (
            DELTA,
            {"leading_edge": "bevel 12 mm, land 1 mm", "trailing_edge": "bevel 12 mm, land 1 mm"},
            "leading_edge",
            "on the leading edge and a bevel of 12 mm on the trailing edge meet inside the fin at",
        ),
        (
            DELTA,
            {"leading_edge": "bevel 10.5 mm, land 1 mm", "trailing_edge": "bevel 10.5 mm, land 1 mm"},
            "leading_edge",
            "together they are deeper than the fin is wide there",
        ),
        (
            NARROW,
            {"leading_edge": "bevel 12 mm, land 1 mm"},
            "leading_edge",
            "a bevel of 12 mm is deeper than the fin is wide at its leading edge",
        ),
        (
            TRIANGLE,
            {"leading_edge": "bevel 40 mm, land 1 mm", "trailing_edge": "bevel 40 mm, land 1 mm"},
            "leading_edge",
            "deeper than the fin is wide at its leading edge",
        ),
        (
            RECTANGLE,
            {"tip_edge": "bevel 41 mm, land 1 mm"},
            "tip_edge",
            "a bevel of 41 mm is deeper than the fin is wide at its tip",
        ),
        (
            RECTANGLE,
            {"tip_edge": "bevel 36 mm, land 1 mm"},
            "tip_edge",
            "reaches down to 4 mm above the tube's surface, and edges stay as cut up to 5 mm",
        ),
        (
            RECTANGLE,
            {"leading_edge": "round", "edge_clearance": "40 mm"},
            "leading_edge",
            "leaves nothing to work on the leading edge of 40 mm",
        ),
        (
            RECTANGLE,
            {"edges": ("round", "round")},
            "edges",
            "the fin has 3 edges, and 2 are stated; one stands for all",
        ),
        (
            RECTANGLE,
            {"edges": ("round",), "tip_edge": "round"},
            "tip_edge",
            "edges says how every edge is worked; state one of the two",
        ),
        (
            {"root_chord": "99 mm", "thickness": "3 mm"},
            {"planform": "polygon", "points": ("9 mm, 50 mm",), "leading_edge": "round"},
            "leading_edge",
            "edges says how those of a polygon fin are worked, in order",
        ),
        (
            {"root_chord": "99 mm", "thickness": "3 mm"},
            {"planform": "elliptic", "semi_span": "50 mm", "leading_edge": "round"},
            "leading_edge",
            "the leading edge is curved, and only a straight edge can be worked in the model",
        ),
        (
            {"root_chord": "99 mm", "thickness": "3 mm"},
            {"planform": "elliptic", "semi_span": "50 mm", "tip_edge": "round"},
            "tip_edge",
            "an elliptic fin without a tip chord has no edge at its tip",
        ),
    ],
)
def test_an_edge_that_cannot_be_worked_is_refused_by_its_field(
    base: dict[str, Any], fields: dict[str, Any], field: str, words: str
) -> None:
    found, message = refused(fields, base)
    assert found == field
    assert words in message


def test_bevels_that_just_fit_are_made() -> None:
    """10 mm from each side of a chord of 20 mm at the tip leave nothing flat there, and are no deeper."""
    square = {**RECTANGLE, "root_chord": "20 mm", "tip_chord": "20 mm"}
    found = fin(square, leading_edge="bevel 10 mm, land 1 mm", trailing_edge="bevel 10 mm, land 1 mm")
    assert taken(found) == pytest.approx(2.0 * 10.0 * 2.0 / 2.0 * (SPAN - CLEAR), rel=1e-5)


# --- tab --------------------------------------------------------------------------------------------------------------

TAB: dict[str, Any] = {**RECTANGLE, "tab_length": "80 mm", "tab_depth": "18 mm", "tab_position": "10 mm"}
NOTCHES: dict[str, Any] = {
    "notch_positions": ("60 mm", "20 mm"),
    "notch_length": "6.5 mm",
    "notch_depth": "9 mm",
}


def test_notches_are_cut_out_of_the_bottom_of_the_tab() -> None:
    plain, found = fin(TAB), fin(TAB, **NOTCHES)
    less = moments(plain.shape()).volume - moments(found.shape()).volume
    assert less == pytest.approx(2.0 * 6.5 * 9.0 * THICK, rel=1e-10)
    outline = Polygon([edge.piece.start for edge in found.outline().outer])
    for x in (23.0, 63.0):
        assert outline.contains(Spot(x, -8.9))
        assert not outline.contains(Spot(x, -9.1))
    assert outline.contains(Spot(40.0, -17.9))
    assert found.tab() == plain.tab()
    assert len(found.outline().outer) == len(plain.outline().outer) + 8


def test_pin_holes_go_into_the_tab_where_it_has_the_room() -> None:
    found = fin(TAB, pin_hole_diameter="3 mm")
    assert found.pin_holes() == (((16.0, -9.0), 1.5), ((84.0, -9.0), 1.5))
    assert len(found.outline().holes) == 2
    assert all(signed_area(loop) == pytest.approx(-math.pi * 1.5**2, rel=1e-12) for loop in found.outline().holes)
    less = moments(fin(TAB).shape()).volume - moments(found.shape()).volume
    assert less == pytest.approx(2.0 * math.pi * 1.5**2 * THICK, rel=1e-9)
    assert found.exposed().holes == ()
    # Above the notches there are 9 mm: enough for 2 mm, too little for 3 mm.
    assert all(y == -4.5 for (_, y), _ in fin(TAB, **NOTCHES, pin_hole_diameter="2 mm").pin_holes())
    assert all(y > 0.0 for (_, y), _ in fin(TAB, **NOTCHES, pin_hole_diameter="3 mm").pin_holes())


@pytest.mark.parametrize(
    "fields",
    [
        SWEPT,
        {**SWEPT, "leading_edge": "bevel 12 mm, land 1 mm", "trailing_edge": "bevel 8 mm, land 1 mm"},
        {"root_chord": "100 mm", "thickness": "3 mm", "planform": "elliptic", "semi_span": "60 mm"},
    ],
)
def test_pin_holes_in_the_face_keep_clear_of_every_edge_and_of_what_is_worked(fields: dict[str, Any]) -> None:
    found = fin(fields, pin_hole_diameter="3 mm")
    rim = Polygon(np.vstack([edge.piece.at(np.linspace(0, 1, 200)[:-1]) for edge in found.exposed().outer]))
    for place, radius in found.pin_holes():
        assert radius == 1.5
        assert rim.contains(Spot(place))
        assert rim.exterior.distance(Spot(place)) >= 6.0 - 0.01
        for edge in found.worked():
            assert (
                Spot(place).distance(Polygon([edge.piece.start, edge.piece.end, *edge.limit.at(np.array([1.0, 0.0]))]))
                >= 6.0 - 1e-9
            )


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        (
            {"notch_positions": ("5 mm",)},
            "notch_positions",
            "from 5 to 11.5 mm does not lie within the tab, which runs from 10 to 90",
        ),
        ({"notch_positions": ("84 mm",)}, "notch_positions", "from 84 to 90.5 mm does not lie within the tab"),
        (
            {"notch_positions": ("20 mm", "27 mm")},
            "notch_positions",
            "the notches at 20 and 27 mm, each 6.5 mm long, leave less than 1 mm",
        ),
        ({"notch_depth": "18 mm"}, "notch_depth", "notches of 18 mm leave less than 1 mm of a tab of 18 mm"),
        ({"notch_depth": None}, "notch_depth", "is needed for the notches in the tab and not stated"),
        ({"notch_length": None}, "notch_length", "is needed for the notches in the tab and not stated"),
        ({"notch_positions": ()}, "notch_length", "is of notches in the tab, and notch_positions states none"),
        (
            {"tab_length": "0 mm", "tab_depth": "0 mm"},
            "notch_positions",
            "notches are cut into a tab, and the fin has none",
        ),
        (
            {"pin_hole_diameter": "11 mm"},
            "pin_hole_diameter",
            "there is no room for two holes of 11 mm that keep 22 mm from every edge",
        ),
    ],
)
def test_a_tab_that_cannot_be_cut_is_refused_by_its_field(fields: dict[str, Any], field: str, words: str) -> None:
    found, message = refused({**NOTCHES, **fields}, TAB)
    assert found == field
    assert words in message


def test_a_flat_edge_stands_off_a_round_tube() -> None:
    """4.8 mm of sheet: 0.07 mm at an airframe of 78.7 mm, 0.14 mm at a motor tube of 41.3 mm, to two places."""
    tubes = {"thickness": "4.8 mm", "body_diameter": "78.7 mm", "motor_tube_diameter": "41.3 mm"}
    found = fin(TAB, **tubes)
    root, tab = found.root_gap(), found.tab_gap()
    assert root is not None
    assert tab is not None
    assert (round(root, 2), round(tab, 2)) == (0.07, 0.14)
    assert root == pytest.approx(39.35 - math.sqrt(39.35**2 - 2.4**2), rel=1e-9)
    assert (fin(TAB).root_gap(), fin(TAB).tab_gap(), fin(tubes | RECTANGLE).tab_gap()) == (None, None, None)


def test_a_tab_is_held_against_the_room_between_the_tubes() -> None:
    tubes = {"body_diameter": "78.7 mm", "motor_tube_diameter": "41.3 mm"}
    # (78.7 - 41.3) / 2 = 18.7 mm.
    assert fin(TAB, **tubes).tab_short_of() is None
    assert fin(TAB, **tubes, tab_depth="16 mm").tab_short_of() == pytest.approx(2.7)
    assert fin(TAB, tab_depth="16 mm").tab_short_of() is None
    assert fin(TAB, **tubes, tab_depth="18.7 mm").tab_depth == 18.7
    field, message = refused({**tubes, "tab_depth": "18.8 mm"}, TAB)
    assert field == "tab_depth"
    assert "a tab of 18.8 mm does not fit between the body of 78.7 mm and the motor tube of 41.3 mm" in message
    assert "which leave 18.7 mm" in message
    field, message = refused({"body_diameter": "40 mm", "motor_tube_diameter": "41.3 mm"}, TAB)
    assert (field, message) == ("motor_tube_diameter", "41.3 mm is not inside a body of 40 mm")
    field, message = refused({"body_diameter": "40 mm", "body_inside_diameter": "40 mm"}, TAB)
    assert (field, message) == ("body_inside_diameter", "40 mm is not inside a body of 40 mm")
    assert refused({"body_diameter": "2.9 mm"})[0] == "thickness"


def test_diameters_follow_from_the_tubes_with_their_sums() -> None:
    airframe = MeasuredTube("airframe", (78.8, 78.6), (75.1,))
    motor = MeasuredTube("motor tube", (41.4, 41.2), (38.5,))
    found = Fin.derived(frozenset({"tab_length"}), Surroundings(airframe, motor))
    assert {name: size.value for name, size in found.items()} == pytest.approx(
        # (78.7 - 41.4) / 2 - 0.3: the table's play, common practice.
        {"tab_depth": 18.35, "body_diameter": 78.7, "body_inside_diameter": 75.1, "motor_tube_diameter": 41.3}
    )
    assert found["body_diameter"].sum == "mean outside of the airframe as measured = 78.70 mm"


def test_the_fin_set_is_the_fin_as_the_air_meets_it() -> None:
    found = fin(TAB, cant="2 deg").fin_set()
    assert found.cant == pytest.approx(math.radians(2.0))
    assert (found.semi_span, found.root_chord, found.thickness, found.position, found.count) == (
        40.0,
        100.0,
        3.0,
        0.0,
        None,
    )
    assert refused({"cant": "6 deg"}) == ("cant", "must be at most 5 deg, got 6 deg")


# --- what comes with it -----------------------------------------------------------------------------------------------

TUBES = {"body_diameter": "78.7 mm", "body_inside_diameter": "75.1 mm", "motor_tube_diameter": "41.3 mm"}


def test_fillets_come_with_the_fin() -> None:
    found = fin(TAB, **TUBES, fillet_radius="8 mm", inner_fillet_radius="5 mm").companions()
    assert [(one.word, one.position, one.radius) for one in found] == [
        ("fillets", 0.0, 39.35),
        ("inner fillets", 10.0, 37.55),
        ("motor tube fillets", 10.0, 20.65),
    ]
    assert [one.part.extent()[1] for one in found] == [100.0, 80.0, 80.0]
    assert [one.part.material for one in found] == ["epoxy"] * 3
    # On a tube as good as flat each has the section (1 - pi/4) r^2.
    flat = fin(TAB, body_diameter="1000 mm", fillet_radius="4 mm").companions()[0].part
    assert moments(flat.shape()).volume == pytest.approx(2.0 * (1.0 - math.pi / 4.0) * 16.0 * LENGTH, rel=0.02)
    assert fin(TAB, **TUBES).companions() == ()


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"fillet_radius": "8 mm"}, "fillet_radius", "needs body_diameter (or name the tube with fits)"),
        (
            {"inner_fillet_radius": "5 mm"},
            "inner_fillet_radius",
            "needs body_inside_diameter (or name the tube with fits)",
        ),
        (
            {"inner_fillet_radius": "5 mm", "body_inside_diameter": "75 mm"},
            "inner_fillet_radius",
            "needs motor_tube_diameter (or name the tube with around)",
        ),
        (
            {**TUBES, "inner_fillet_radius": "9 mm"},
            "inner_fillet_radius",
            "need 18 mm between the two, and there are 16.9 mm",
        ),
        (
            {**TUBES, "inner_fillet_radius": "5 mm", "tab_length": "0 mm", "tab_depth": "0 mm"},
            "inner_fillet_radius",
            "lie along the tab, and the fin has none",
        ),
        ({**TUBES, "fillet_material": "unobtainium"}, "fillet_material", "there is no material 'unobtainium'"),
    ],
)
def test_fillets_without_a_tube_or_room_are_refused(fields: dict[str, Any], field: str, words: str) -> None:
    found, message = refused(fields, TAB)
    assert found == field
    assert words in message


# --- aerofoils --------------------------------------------------------------------------------------------------------

AEROFOIL: dict[str, Any] = {**EXAMPLE, "section": "naca-four-digit", "material": "petg", "thickness": "9 mm"}
THIN_TAB: dict[str, Any] = {"tab_thickness": "4 mm", "tab_length": "70 mm"}


def test_an_aerofoil_is_printed_and_not_cut() -> None:
    found = fin(AEROFOIL, **THIN_TAB)
    assert isinstance(found.shape(), Fused)
    assert (found.template(), found.sheet_thickness(), found.cut_pieces(), found.marks()) == (None, None, (), ())
    assert found.through_thickness() == 4.0
    exact, kernel, facets = moments(found.shape()), measure(solid(found.shape())), mesh(found.shape())
    assert kernel.valid
    assert kernel.bodies == 1
    assert kernel.moments.volume == pytest.approx(exact.volume, rel=1e-6)
    assert facets.faults() == ()
    bed = facets.placed(found.pose()).vertices
    assert bed[:, 2].min() == pytest.approx(0.0, abs=1e-6)
    assert bed[:, 2].max() == pytest.approx(58.0 + 18.4, abs=1e-3)
    # The tab adds just what is below the tube's surface: its upper end lies within the section.
    tabless = fin({key: value for key, value in AEROFOIL.items() if not key.startswith("tab_")})
    assert exact.volume - moments(tabless.shape()).volume == pytest.approx(70.0 * 18.4 * 4.0, rel=1e-4)
    assert found.fin_set().planform == fin(EXAMPLE).fin_set().planform


def test_the_usual_trailing_edge_is_what_two_lines_of_a_nozzle_make() -> None:
    bare = {key: value for key, value in AEROFOIL.items() if not key.startswith("tab_")}
    assert fin(bare).shape() == fin(bare, trailing_edge_thickness="0.8 mm").shape()
    assert moments(fin(bare, trailing_edge_thickness="2 mm").shape()).volume > moments(fin(bare).shape()).volume


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"material": "birch-plywood"}, "section", "an aerofoil is printed, and birch-plywood is not a plastic"),
        (
            {"planform": "elliptic", "tip_chord": None, "sweep_length": None},
            "section",
            "an elliptic fin is flat; an aerofoil is made for a trapezoid",
        ),
        ({"tip_edge": "round"}, "tip_edge", "an aerofoil has its edges from its section; leave it as cut"),
        ({"pin_hole_diameter": "3 mm"}, "pin_hole_diameter", "pins hold flat fins stacked; an aerofoil is printed"),
        ({"tab_thickness": None}, "tab_thickness", "the tab of 9 mm is thicker than the section at its forward end"),
        (
            {"tab_length": "100 mm", "tab_position": "15 mm"},
            "tab_thickness",
            "the tab of 4 mm is thicker than the section at its aft end",
        ),
        ({"tab_length": "0 mm", "tab_depth": "0 mm"}, "tab_thickness", "is of a tab, and the fin has none"),
        ({"thickness": "40 mm"}, "thickness", "40 mm of an aerofoil must be from"),
        ({"trailing_edge_thickness": "6 mm"}, "trailing_edge_thickness", "6 mm must be 0 or from"),
        ({"section": "flat"}, "tab_thickness", "is of an aerofoil; the section is flat, of one sheet"),
        (
            {"section": "flat", "tab_thickness": None, "trailing_edge_thickness": "1 mm"},
            "trailing_edge_thickness",
            "is of an aerofoil",
        ),
    ],
)
def test_an_aerofoil_that_cannot_be_printed_is_refused(fields: dict[str, Any], field: str, words: str) -> None:
    found, message = refused({**THIN_TAB, **fields}, AEROFOIL)
    assert found == field
    assert words in message


# --- command line -----------------------------------------------------------------------------------------------------


def test_a_fin_is_drawn_and_worked_from_the_command_line(tmp_path: Path) -> None:
    options = ["--root-chord", "120 mm", "--thickness", "4 mm", "--planform", "polygon", "--out", str(tmp_path)]
    options += ["--points", "30 mm, 58 mm", "--points", "4 in, 58 mm", "--formats", "dxf"]
    options += ["--edges", "round", "--edges", "as cut", "--edges", "bevel 12 mm, land 1 mm"]
    result = CliRunner().invoke(app, ["part", "fin", *options])
    assert result.exit_code == 0, result.output
    assert "points               30 mm, 58 mm; 101.6 mm, 58 mm" in result.output
    assert "edges                round; as cut; bevel 12 mm, land 1 mm" in result.output
    assert list(tmp_path.glob("*.dxf"))
    crossing = CliRunner().invoke(
        app, ["part", "fin", *options, "--points", "20 mm, 20 mm", "--points", "50 mm, 90 mm"]
    )
    assert crossing.exit_code == 2
    assert "cross at" in crossing.output
