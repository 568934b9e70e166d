"""Planforms of fins against closed forms and independent libraries.

Sources: elementary geometry for trapezoid, triangle, ellipse and circle segment; shapely for the area of polygons and
for whether one crosses itself; scipy's CubicSpline with natural ends for the smooth curve.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline
from shapely.geometry import Polygon

from ferrule.parts.curve import Arc, Bezier, EllipseArc, Line
from ferrule.parts.errors import DesignError
from ferrule.parts.kinds import Fin
from ferrule.parts.kinds.fin_planform import Stretch, read_stretch, smooth
from ferrule.parts.readers.brep import measure, solid
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import mesh
from ferrule.parts.shape import signed_area

ROOT, THICK = 120.0, 4.0


def fin(**fields: Any) -> Fin:
    return Fin.build(**{"root_chord": f"{ROOT} mm", "thickness": f"{THICK} mm", **fields})


TRAPEZOID = {"tip_chord": "60 mm", "semi_span": "58 mm", "sweep_length": "50 mm"}
POLYGON = {"planform": "polygon", "points": ("30 mm, 40 mm", "55 mm, 58 mm", "100 mm, 58 mm", "112 mm, 30 mm")}
CURVED = {
    "planform": "curved",
    "points": (
        "40 mm, 50 mm",
        "arc through 70 mm, 65 mm to 100 mm, 50 mm",
        "spline through 112 mm, 40 mm; 124 mm, 22 mm to root",
    ),
}


# --- sizes ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fields", "exact"),
    [
        (TRAPEZOID, (ROOT + 60.0) / 2.0 * 58.0),
        ({**TRAPEZOID, "sweep_length": "-80 mm"}, (ROOT + 60.0) / 2.0 * 58.0),
        ({**TRAPEZOID, "tip_chord": "0 mm"}, ROOT / 2.0 * 58.0),
        ({"planform": "elliptic", "semi_span": "70 mm"}, math.pi / 2.0 * (ROOT / 2.0) * 70.0),
        ({"planform": "elliptic", "semi_span": "20 mm"}, math.pi / 2.0 * (ROOT / 2.0) * 20.0),
        # A half circle on the root.
        ({"planform": "curved", "points": ("arc through 60 mm, 60 mm to root",)}, math.pi / 2.0 * 60.0**2),
        # A square of 120 less the quarter circle of 60 about its upper aft corner, which an inward arc takes off.
        (
            {
                "planform": "curved",
                "points": (
                    "0 mm, 120 mm",
                    "60 mm, 120 mm",
                    f"arc through {120 - 60 * math.sqrt(0.5)} mm, {120 - 60 * math.sqrt(0.5)} mm to 120 mm, 60 mm",
                ),
            },
            ROOT**2 - math.pi / 4.0 * 60.0**2,
        ),
    ],
)
def test_an_outline_has_the_area_of_its_closed_form(fields: dict[str, Any], exact: float) -> None:
    found = fin(**fields)
    assert signed_area(found.exposed().outer) == pytest.approx(exact, rel=1e-12)
    assert moments(found.shape()).volume == pytest.approx(exact * THICK, rel=1e-12)


def test_a_polygon_has_the_area_of_its_corners() -> None:
    corners = [(0, 0), (ROOT, 0), (112, 30), (100, 58), (55, 58), (30, 40)]
    assert signed_area(fin(**POLYGON).exposed().outer) == pytest.approx(Polygon(corners).area, rel=1e-13)
    assert fin(**POLYGON).span == 58.0


def test_spans_and_ends_are_those_of_the_curve_and_not_of_its_points() -> None:
    circle = fin(planform="curved", points=("arc through 120 mm, 60 mm to root",))
    # Through (0, 0), (120, 60), (120, 0): the circle about (60, 30).
    radius = math.hypot(60.0, 30.0)
    assert circle.span == pytest.approx(30.0 + radius, rel=1e-12)
    assert circle.extent() == pytest.approx((60.0 - radius, 60.0 + radius), rel=1e-12)
    assert fin(planform="elliptic", semi_span="70 mm").span == pytest.approx(70.0, rel=1e-14)
    assert fin(**{**TRAPEZOID, "sweep_length": "-80 mm"}).extent() == (-80.0, ROOT)


def test_pieces_and_names_are_those_of_the_planform() -> None:
    def kinds(found: Fin) -> list[tuple[str, list[type]]]:
        return [(side.name, [type(piece) for piece in side.pieces]) for side in found.sides()]

    assert kinds(fin(**TRAPEZOID)) == [("leading edge", [Line]), ("tip", [Line]), ("trailing edge", [Line])]
    assert [name for name, _ in kinds(fin(**{**TRAPEZOID, "tip_chord": "0 mm"}))] == ["leading edge", "trailing edge"]
    assert kinds(fin(planform="elliptic", semi_span="70 mm")) == [
        ("leading edge", [EllipseArc]),
        ("trailing edge", [EllipseArc]),
    ]
    assert kinds(fin(**CURVED)) == [("edge 1", [Line]), ("edge 2", [Arc]), ("edge 3", [Bezier] * 3)]
    assert [name for name, _ in kinds(fin(**POLYGON))] == [f"edge {n}" for n in range(1, 6)]


def test_the_exposed_outline_stands_on_its_root() -> None:
    for fields in (TRAPEZOID, POLYGON, CURVED, {"planform": "elliptic", "semi_span": "70 mm"}):
        outline = fin(**fields, tab_length="60 mm", tab_depth="10 mm", tab_position="20 mm").exposed()
        assert outline.outer[0].piece == Line((0.0, 0.0), (ROOT, 0.0))
        assert [edge.role for edge in outline.outer] == ["seat"] + ["wetted"] * (len(outline.outer) - 1)
        assert outline.box()[1] == pytest.approx(0.0, abs=1e-12)


# --- the smooth curve -------------------------------------------------------------------------------------------------

PLACES = ((0.0, 0.0), (20.0, 40.0), (50.0, 60.0), (90.0, 66.0), (110.0, 60.0))


def test_the_smooth_curve_is_the_natural_spline_of_an_independent_library() -> None:
    chain = smooth(PLACES)
    p = np.array(PLACES)
    knots = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
    other = CubicSpline(knots, p, bc_type="natural")
    t = np.linspace(0.0, 1.0, 33)
    for piece, (first, last) in zip(chain, pairwise(knots), strict=True):
        assert np.allclose(piece.at(t), other(first + t * (last - first)), rtol=0.0, atol=1e-11)


def test_the_smooth_curve_runs_through_its_points_without_a_kink() -> None:
    chain = smooth(PLACES)
    assert [chain[0].start, *(piece.end for piece in chain)] == list(PLACES)
    for before, after in pairwise(chain):
        leaving, entering = before.slope(np.array([1.0]))[0], after.slope(np.array([0.0]))[0]
        assert abs(leaving[0] * entering[1] - leaving[1] * entering[0]) < 1e-9 * np.hypot(*leaving) * np.hypot(
            *entering
        )
        assert leaving @ entering > 0.0


# --- texts ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "stretch"),
    [
        ("50 mm, 58 mm", Stretch("straight", (), (50.0, 58.0))),
        ("2 in, 5.8 cm", Stretch("straight", (), (50.8, 58.0))),
        ("-5mm,2 1/4 in", Stretch("straight", (), (-5.0, 57.15))),
        ("arc through 70 mm, 65 mm to 100 mm, 50 mm", Stretch("arc", ((70.0, 65.0),), (100.0, 50.0))),
        ("Arc  through 1 in, 2 in TO root", Stretch("arc", ((25.4, 50.8),), None)),
        (
            "spline through 1 mm, 2 mm; 3 mm, 4 mm to 5 mm, 6 mm",
            Stretch("spline", ((1.0, 2.0), (3.0, 4.0)), (5.0, 6.0)),
        ),
    ],
)
def test_a_stretch_is_read_from_its_text_and_written_back(text: str, stretch: Stretch) -> None:
    assert read_stretch(text) == stretch
    assert read_stretch(stretch.exactly()) == stretch
    assert read_stretch(str(stretch)) == stretch


def test_a_drawn_fin_round_trips_whatever_units_it_was_written_in() -> None:
    for fields in (POLYGON, CURVED, {**POLYGON, "points": ("2 in, 2 1/3 in", "4.1 in, 0.1 ft")}):
        found = fin(**fields)
        again = Fin(**found.model_dump())
        assert again == found
        assert again.fingerprint() == found.fingerprint()
    inches, millimetres = (fin(**{**POLYGON, "points": (text,)}) for text in ("2 in, 2 in", "50.8 mm, 50.8 mm"))
    assert inches.fingerprint() == millimetres.fingerprint()


# --- what cannot be cut -----------------------------------------------------------------------------------------------


def polygon(*points: str) -> dict[str, Any]:
    return {"planform": "polygon", "points": points}


def curved(*points: str) -> dict[str, Any]:
    return {"planform": "curved", "points": points}


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({}, "tip_chord", "a trapezoid needs it, and semi_span and sweep_length too, and it is not stated"),
        ({"tip_chord": "9 mm", "sweep_length": "0 mm"}, "semi_span", "a trapezoid needs it, and it is not stated"),
        ({"planform": "elliptic"}, "semi_span", "an elliptic fin needs it"),
        ({"planform": "polygon"}, "points", "a polygon needs it"),
        ({"planform": "curved"}, "points", "a curved fin needs it"),
        (
            {"planform": "elliptic", "semi_span": "9 mm", "sweep_length": "9 mm"},
            "sweep_length",
            "an elliptic fin has its outline from root_chord and semi_span; leave it out",
        ),
        ({**POLYGON, "semi_span": "9 mm"}, "semi_span", "a polygon has its outline from root_chord and points"),
        (
            {**TRAPEZOID, "points": ("9 mm, 9 mm",)},
            "points",
            "a trapezoid has its outline from root_chord and tip_chord",
        ),
        (polygon("arc through 9 mm, 9 mm to root"), "points", "entry 1 is a curve, and a polygon has none"),
        # Crossing: which edges, and where (the middle of a bow tie).
        (
            polygon("120 mm, 60 mm", "0 mm, 60 mm"),
            "points",
            "edge 1 and edge 3 cross at 60, 30 mm; list the points from the root leading edge round to the root "
            "trailing edge: these run the other way",
        ),
        (
            polygon("90 mm, 30 mm", "30 mm, 30 mm", "30 mm, 50 mm", "60 mm, 10 mm"),
            "points",
            "edge 1 and edge 4 cross at 54, 18 mm",
        ),
        (polygon("60 mm, 60 mm", "40 mm, 40 mm"), "points", "the outline turns back on itself at 60, 60 mm"),
        (
            polygon("30 mm, 60 mm", "60 mm, 30 mm", "90 mm, 60 mm", "60 mm, 30 mm"),
            "points",
            "point 4 at 60, 30 mm lies on point 2",
        ),
        (
            polygon("30 mm, 60 mm", "90 mm, 60 mm", "90 mm, 30 mm", "15 mm, 30 mm", "60 mm, 10 mm"),
            "points",
            "cross at 15, 30 mm",
        ),
        (polygon("0 mm, 0 mm", "60 mm, 60 mm"), "points", "point 1 at 0, 0 mm lies on the tube's surface"),
        (polygon("60 mm, 0 mm", "60 mm, 60 mm"), "points", "point 1 at 60, 0 mm lies on the tube's surface"),
        (polygon("60 mm, 50 mm", "70 mm, -3 mm"), "points", "point 2 at 70, -3 mm lies below the tube's surface"),
        (polygon("60 mm, 60 mm", "60.001 mm, 60 mm"), "points", "point 2 at 60, 60 mm lies on point 1"),
        (polygon(*(f"{i} mm, {40 + i % 2} mm" for i in range(1, 62))), "points", "takes at most 60 values, got 61"),
        (
            curved(f"spline through {'; '.join(f'{i} mm, {40 + i % 3} mm' for i in range(1, 62))} to root"),
            "points",
            "at most 60 points make an outline, got 61",
        ),
        (
            curved("arc through 30 mm, 30 mm to 60 mm, 60 mm"),
            "points",
            "the arc of edge 1 runs through three points on a line",
        ),
        (
            curved("arc through 60 mm, 60 mm to root", "50 mm, 20 mm"),
            "points",
            "entry 1 ends at the root, and 1 follow it",
        ),
        # A circle about (80, 42.7) with a radius of 43.6.
        (
            curved("40 mm, 60 mm", "arc through 60 mm, 4 mm to 120 mm, 60 mm"),
            "points",
            "edge 2 comes down to the tube's surface at x = 80 mm (y = -0.86",
        ),
        (
            curved("spline through 100 mm, 50 mm; 110 mm, 80 mm; 60 mm, 90 mm; 90 mm, 40 mm to 119 mm, 20 mm"),
            "points",
            "edge 1 crosses itself at",
        ),
    ],
)
def test_an_outline_that_cannot_be_cut_is_refused_by_name(fields: dict[str, Any], field: str, words: str) -> None:
    with pytest.raises(DesignError) as caught:
        fin(**fields)
    (problem,) = caught.value.problems
    assert problem.field == field
    assert words in problem.message


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("50, 58", "'50' has a number without a unit"),
        ("50 mm", "'50 mm' is not a point; write x and y with their units"),
        ("50 mm, 58 mm, 3 mm", "is not a point"),
        ("1,5 mm, 3 mm", "is not a point"),
        ("50 mm, 58 g", "'58 g' is a mass"),
        ("4 m, 58 mm", "lies more than 3000 mm away from the root leading edge"),
        ("arc to 9 mm, 9 mm", "cannot be read; write 'arc through x, y to x, y'"),
        ("spline through 9 mm, 9 mm", "cannot be read; write 'arc through x, y to x, y'"),
        ("arc through 1 mm, 2 mm; 3 mm, 4 mm to root", "an arc runs through one point, a spline through several"),
        (7, "7 is not a text; write it in quotes"),
    ],
)
def test_a_stretch_that_cannot_be_read_is_refused_by_its_place_in_the_list(text: object, words: str) -> None:
    with pytest.raises(DesignError) as caught:
        fin(planform="curved", points=("20 mm, 30 mm", text))
    (problem,) = caught.value.problems
    assert problem.field == "points[2]"
    assert words in problem.message


# --- random outlines --------------------------------------------------------------------------------------------------

places = st.tuples(st.integers(-40, 160), st.integers(1, 120))


@settings(max_examples=80)
@given(st.lists(places, min_size=1, max_size=6, unique=True))
def test_a_polygon_is_refused_just_when_it_crosses_itself(corners: list[tuple[int, int]]) -> None:
    outline = Polygon([(0, 0), *corners, (ROOT, 0)])
    try:
        found = fin(planform="polygon", points=tuple(f"{x} mm, {y} mm" for x, y in corners))
    except DesignError as refusal:
        message = refusal.problems[0].message
        if "turns back" in message:
            way = np.diff(np.array([(0, 0), *corners, (ROOT, 0)], dtype=float), axis=0)
            way /= np.hypot(*way.T)[:, None]
            assert np.einsum("ij,ij->i", way[:-1], way[1:]).min() < -math.cos(math.radians(0.51))
        else:
            # What comes within a hundredth of a millimetre of itself is as good as crossing.
            assert not outline.is_valid or shapely.minimum_clearance(outline) < 0.011, message
    else:
        assert outline.is_valid
        assert signed_area(found.exposed().outer) == pytest.approx(outline.area, rel=1e-12)


@st.composite
def stars(draw: st.DrawFn) -> dict[str, Any]:
    """A fin whose corners lie round the middle of its root in order, straight, by arcs that bulge, and smooth."""
    count = draw(st.integers(2, 6))
    angles = [math.pi * (1.0 - (i + draw(st.floats(0.2, 0.8))) / count) for i in range(count)]
    corners = [(60.0 + r * math.cos(a), r * math.sin(a)) for a in angles for r in [draw(st.floats(40.0, 80.0))]]
    texts = [f"{x!r} mm, {y!r} mm" for x, y in corners]
    match draw(st.sampled_from(["polygon", "spline", "arc"])):
        case "polygon":
            return {"planform": "polygon", "points": tuple(texts)}
        case "spline":
            return {"planform": "curved", "points": (f"spline through {'; '.join(texts)} to root",)}
        case _:
            middle, last = texts[0], texts[1]
            return {"planform": "curved", "points": (f"arc through {middle} to {last}", *texts[2:])}


@settings(max_examples=25)
@given(stars())
def test_a_random_outline_has_the_area_of_its_dense_polygon(fields: dict[str, Any]) -> None:
    try:
        found = fin(**fields)
    except DesignError as refusal:
        assert refusal.problems[0].field == "points"
        return
    dense = Polygon(np.vstack([edge.piece.at(np.linspace(0.0, 1.0, 2001)[:-1]) for edge in found.exposed().outer]))
    assert dense.is_valid
    assert moments(found.shape()).volume == pytest.approx(dense.area * THICK, rel=1e-5)


@settings(max_examples=3)
@given(stars())
def test_a_random_outline_is_sound_for_kernel_and_mesh(fields: dict[str, Any]) -> None:
    try:
        found = fin(**fields)
    except DesignError:
        return
    agree(found)


@pytest.mark.parametrize("fields", [POLYGON, CURVED, {"planform": "elliptic", "semi_span": "70 mm"}])
def test_kernel_integral_and_mesh_agree_on_each_planform(fields: dict[str, Any]) -> None:
    agree(fin(**fields, tab_length="60 mm", tab_depth="10 mm", tab_position="20 mm"))


def agree(found: Fin) -> None:
    exact, kernel, facets = moments(found.shape()), measure(solid(found.shape())), mesh(found.shape())
    assert kernel.valid
    assert kernel.bodies == 1
    assert kernel.moments.volume == pytest.approx(exact.volume, rel=1e-10)
    assert facets.faults() == ()
    assert facets.moments().volume == pytest.approx(exact.volume, rel=1e-6)
