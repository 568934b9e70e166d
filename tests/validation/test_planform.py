"""Planforms read off outlines against closed forms: the trapezoid's, the ellipse's, and plain geometry.

Sources: J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966, equations 57 and 76
(with the chords of a trapezoid); mean aerodynamic chord of an ellipse 8/(3 pi) of its root, at 4/(3 pi) of its span
(any aerodynamics handbook; derived here by the integrals that define them).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rocket_samples import trapezoid
from shapely.geometry import LineString, Polygon

from ferrule.analysis.aero.fins import fin_set, one_fin_slope
from ferrule.analysis.aero.planform import NOTCHED, planform
from ferrule.parts.curve import Arc, Bezier, EllipseArc, Line
from ferrule.parts.errors import PartError
from ferrule.parts.kinds import Fin
from ferrule.parts.shape import Edge, Outline, polygon

EXACT = 1e-12
"""What the strips leave of a closed form is rounding."""

FINS = [
    (120.0, 60.0, 70.0, 50.0),
    (120.0, 0.0, 70.0, 120.0),
    (150.0, 75.0, 90.0, 60.0),
    (100.0, 100.0, 40.0, 0.0),
    (60.0, 90.0, 55.0, 20.0),
    (80.0, 30.0, 120.0, -40.0),
    (2000.0, 1.0, 3.0, 1999.0),
]
"""Root chord, tip chord, semi-span, sweep length [mm]: swept, a triangle, a rectangle, widening, swept forward."""


@pytest.mark.parametrize(("root", "tip", "span", "sweep"), FINS)
def test_a_trapezoid_has_the_formulas_of_the_report(root: float, tip: float, span: float, sweep: float) -> None:
    found = planform(trapezoid(root, tip, span, sweep))
    assert found.area == pytest.approx((root + tip) / 2.0 * span, rel=EXACT)
    assert found.semi_span == span
    assert found.mean_chord == pytest.approx(2.0 / 3.0 * (root + tip - root * tip / (root + tip)), rel=EXACT)
    assert found.mean_chord_span == pytest.approx(span / 3.0 * (root + 2.0 * tip) / (root + tip), rel=EXACT)
    quarter = sweep / 3.0 * (root + 2.0 * tip) / (root + tip) + (root + tip - root * tip / (root + tip)) / 6.0
    assert found.centre_of_pressure == pytest.approx(quarter, rel=EXACT, abs=EXACT * root)
    mid_chord = math.hypot(span, sweep + (tip - root) / 2.0)
    assert found.mid_chord_length == pytest.approx(mid_chord, rel=EXACT)
    aspect = 2.0 * mid_chord / (root + tip)
    slope = 8.0 * (span / 66.0) ** 2 / (1.0 + math.sqrt(1.0 + aspect**2))
    assert one_fin_slope(found, 66.0) == pytest.approx(slope, rel=EXACT)
    assert found.notes == ()


def ellipse(root: float, span: float) -> Outline:
    half = root / 2.0
    rim = EllipseArc((half, 0.0), half, span, 0.0, math.pi)
    return Outline((Edge(Line((0.0, 0.0), (root, 0.0)), "seat"), Edge(rim, "wetted")))


@pytest.mark.parametrize(("root", "span"), [(120.0, 70.0), (120.0, 60.0), (40.0, 200.0), (300.0, 12.0)])
def test_an_ellipse_has_its_closed_forms(root: float, span: float) -> None:
    found = planform(ellipse(root, span))
    assert found.area == pytest.approx(math.pi * root * span / 4.0, rel=EXACT)
    assert found.mean_chord == pytest.approx(8.0 / (3.0 * math.pi) * root, rel=EXACT)
    assert found.mean_chord_span == pytest.approx(4.0 / (3.0 * math.pi) * span, rel=EXACT)
    # Quarter points lie a quarter of their chord ahead of the straight mid-chord line.
    assert found.centre_of_pressure == pytest.approx(root / 2.0 - found.mean_chord / 4.0, rel=EXACT)
    assert found.mid_chord_length == pytest.approx(span, rel=EXACT)
    assert found.centroid == pytest.approx(root / 2.0, rel=EXACT)


def test_a_half_circle_is_the_ellipse_of_equal_axes() -> None:
    rim = Arc((60.0, 0.0), 60.0, 0.0, math.pi)
    circle = planform(Outline((Edge(Line((0.0, 0.0), (120.0, 0.0))), Edge(rim))))
    other = planform(ellipse(120.0, 60.0))
    assert circle.mean_chord == pytest.approx(other.mean_chord, rel=EXACT)
    assert circle.centre_of_pressure == pytest.approx(other.centre_of_pressure, rel=EXACT)


def test_a_parabola_by_its_integrals() -> None:
    """A fin whose leading edge is a parabola.

    Leading edge x = a (y/s)^2 to a straight trailing edge at a: c = a (1 - (y/s)^2). Area 2/3 a s, integral of c^2
    8/15 a^2 s, so mean chord 4/5 a; integral of c y is a s^2/4, so 3/8 s; centre of pressure: front + c/4 is
    a (1/4 + 3/4 u^2), times c: a^2 s (1/4 * 2/3 + 3/4 (1/3 - 1/5)) = a^2 s (1/6 + 1/10), over the area 2/5 a (derived).
    """
    a, s = 90.0, 50.0
    leading = Bezier(((a, s), (0.0, s / 2.0), (0.0, 0.0)))
    outline = Outline((Edge(Line((0.0, 0.0), (a, 0.0))), Edge(Line((a, 0.0), (a, s))), Edge(leading)))
    found = planform(outline)
    assert found.area == pytest.approx(2.0 / 3.0 * a * s, rel=EXACT)
    assert found.mean_chord == pytest.approx(0.8 * a, rel=EXACT)
    assert found.mean_chord_span == pytest.approx(3.0 / 8.0 * s, rel=EXACT)
    assert found.centre_of_pressure == pytest.approx(0.4 * a, rel=EXACT)


def test_a_corner_on_a_straight_edge_changes_nothing() -> None:
    plain = planform(trapezoid(120.0, 60.0, 70.0, 50.0))
    points = ((0.0, 0.0), (50.0, 0.0), (120.0, 0.0), (115.0, 35.0), (110.0, 70.0), (50.0, 70.0), (25.0, 35.0))
    split = planform(Outline(polygon(points)))
    assert split.centre_of_pressure == pytest.approx(plain.centre_of_pressure, rel=EXACT)
    assert split.mid_chord_length == pytest.approx(plain.mid_chord_length, rel=EXACT)


def test_two_trapezoids_above_each_other_add_by_area() -> None:
    """A cranked fin: its quarter point is that of its panels weighed by area, as the definition says."""
    inner = planform(trapezoid(120.0, 80.0, 30.0, 40.0))
    outer = planform(trapezoid(80.0, 30.0, 50.0, 20.0))
    points = ((0.0, 0.0), (120.0, 0.0), (120.0, 30.0), (90.0, 80.0), (60.0, 80.0), (40.0, 30.0))
    found = planform(Outline(polygon(points)))
    area = inner.area + outer.area
    assert found.area == pytest.approx(area, rel=EXACT)
    moment = inner.area * inner.centre_of_pressure + outer.area * (40.0 + outer.centre_of_pressure)
    assert found.centre_of_pressure == pytest.approx(moment / area, rel=EXACT)
    chord = inner.area * inner.mean_chord + outer.area * outer.mean_chord
    assert found.mean_chord == pytest.approx(chord / area, rel=EXACT)


def test_the_middles_of_chords_that_bend_have_a_line_between_the_steepest_and_the_flattest() -> None:
    points = ((0.0, 0.0), (120.0, 0.0), (120.0, 30.0), (90.0, 80.0), (60.0, 80.0), (40.0, 30.0))
    found = planform(Outline(polygon(points)))
    inner, outer = 20.0 / 30.0, -5.0 / 50.0
    assert outer < found.mid_chord_slope < inner


def test_a_fin_with_a_gap_in_its_chords_counts_what_is_there_and_says_so() -> None:
    """A notch 20 mm wide and 40 deep from the tip of a rectangle of 100 x 60 mm: chords of 100, then of 80 mm."""
    points = ((0, 0), (100, 0), (100, 60), (60, 60), (60, 20), (40, 20), (40, 60), (0, 60))
    found = planform(Outline(polygon(tuple((float(x), float(y)) for x, y in points))))
    area = 100.0 * 20.0 + 80.0 * 40.0
    assert found.area == pytest.approx(area, rel=EXACT)
    assert found.mean_chord == pytest.approx((100.0**2 * 20.0 + 80.0**2 * 40.0) / area, rel=EXACT)
    assert found.centre_of_pressure == pytest.approx((25.0 * 2000.0 + 20.0 * 3200.0) / area, rel=EXACT)
    assert found.notes == (NOTCHED,)
    assert NOTCHED in fin_set(found, 3, 33.0, 0.0, 66.0).notes


def test_a_trailing_edge_that_goes_back_on_itself_leaves_a_gap() -> None:
    points = ((0.0, 0.0), (60.0, 0.0), (90.0, 30.0), (120.0, 20.0), (140.0, 60.0), (70.0, 60.0))
    found = planform(Outline(polygon(points)))
    assert found.notes == (NOTCHED,)
    plain = ((0.0, 0.0), (60.0, 0.0), (140.0, 60.0), (70.0, 60.0))
    assert planform(Outline(polygon(plain))).notes == ()


def test_cant_leaves_the_slope_and_says_that_it_rolls() -> None:
    fin = planform(trapezoid(120.0, 60.0, 70.0, 50.0))
    plain, canted = (fin_set(fin, 3, 33.0, 780.0, 66.0, cant) for cant in (0.0, math.radians(1.5)))
    assert canted.slope == plain.slope
    assert canted.station == plain.station
    assert plain.notes == ()
    assert "canted by 1.5 deg" in canted.notes[0]


def test_what_has_nothing_outboard_of_the_root_is_refused() -> None:
    with pytest.raises(PartError, match="planform"):
        planform(Outline(polygon(((0.0, -10.0), (50.0, -10.0), (50.0, 0.0), (0.0, 0.0)))))


def test_a_drawn_fin_against_another_reader() -> None:
    """Area and centroid by shapely; chords of its polygon at 800 heights for the means, a midpoint rule."""
    fin = Fin.build(
        planform="curved",
        root_chord="120 mm",
        points=[
            "spline through 15 mm, 20 mm; 45 mm, 45 mm to 70 mm, 60 mm",
            "arc through 100 mm, 66 mm to 125 mm, 55 mm",
        ],
        thickness="3 mm",
    )
    outline = fin.fin_set().planform
    found = planform(outline)
    rim = np.vstack([edge.piece.at(np.linspace(0.0, 1.0, 301))[:-1] for edge in outline.outer])
    polygon_of_it = Polygon(rim)
    assert found.area == pytest.approx(polygon_of_it.area, rel=2e-5)
    assert found.centroid == pytest.approx(polygon_of_it.centroid.x, rel=2e-5)
    low, high = 0.0, float(rim[:, 1].max())
    heights = low + (high - low) * (np.arange(800) + 0.5) / 800.0
    chords = [polygon_of_it.intersection(LineString([(-50.0, y), (250.0, y)])) for y in heights]
    front, rear = np.array([chord.bounds[0] for chord in chords]), np.array([chord.bounds[2] for chord in chords])
    c = rear - front
    assert np.array([chord.length for chord in chords]) == pytest.approx(c), "its chords have no gap"
    assert found.mean_chord == pytest.approx(float((c**2).sum() / c.sum()), rel=1e-4)
    assert found.mean_chord_span == pytest.approx(float((c * heights).sum() / c.sum()), rel=1e-4)
    assert found.centre_of_pressure == pytest.approx(float(((front + c / 4.0) * c).sum() / c.sum()), rel=1e-4)
    # numpy's weighted straight line takes the root of a weight.
    lean, _ = np.polyfit(heights, (front + rear) / 2.0, 1, w=np.sqrt(c))
    assert found.mid_chord_slope == pytest.approx(float(lean), rel=1e-3)


@given(st.data())
def test_any_polygon_has_the_area_and_the_centroid_that_another_reader_finds(data: st.DataObject) -> None:
    """Corners at rising angles about a point of the root, so that no two edges cross; many go back on themselves."""
    count = data.draw(st.integers(3, 7))
    turns = np.cumsum(data.draw(st.lists(st.floats(0.2, 1.0), min_size=count + 1, max_size=count + 1)))
    angles = math.pi * turns[:-1] / turns[-1]
    reach = data.draw(st.lists(st.floats(20.0, 120.0), min_size=count, max_size=count))
    corners = [(60.0 + r * math.cos(a), r * math.sin(a)) for a, r in zip(angles, reach, strict=True)]
    outline = ((0.0, 0.0), (120.0, 0.0), *((float(x), float(y)) for x, y in corners))
    found, other = planform(Outline(polygon(outline))), Polygon(outline)
    assert found.area == pytest.approx(other.area, rel=1e-10)
    assert found.centroid == pytest.approx(other.centroid.x, rel=1e-9, abs=1e-9)
    assert found.semi_span == pytest.approx(other.bounds[3])
    assert 0.0 < found.mean_chord_span < found.semi_span
    box = other.bounds
    assert box[0] <= found.centre_of_pressure <= box[2]
