"""Planar pieces against closed forms of analytic geometry and against plain numerical work.

Sources: elementary analytic geometry (chord, arc length, offset of line and circle, arc length of a parabola);
the perimeter of an ellipse is 4 a E(e^2), DLMF 19.9.9, taken here from scipy's `ellipe`.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from geometry_samples import CURVES
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ellipe

from ferrule.parts.chain import JOIN_TOLERANCE
from ferrule.parts.curve import (
    HIGHEST_DEGREE,
    Arc,
    Bezier,
    EllipseArc,
    Line,
    Piece,
    bernstein,
    bisect,
    bounds,
    gauss,
    monotone_parts,
    normals,
    parameters_at,
    turning_parameters,
)

every_curve = pytest.mark.parametrize("piece", CURVES.values(), ids=CURVES.keys())

ROUNDING = 1e-12
"""[mm] for pieces of about 10 mm: a few dozen roundings of 1e-15 of that."""

T = np.linspace(0.0, 1.0, 41)

coordinates = st.floats(-50.0, 50.0)
points = st.tuples(coordinates, coordinates)
angles = st.floats(-7.0, 7.0)
sweeps = st.floats(0.05, math.tau) | st.floats(-math.tau, -0.05)
lines = st.builds(Line, points, points).filter(lambda line: line.length() > 0.1)
arcs = st.builds(Arc, points, st.floats(0.1, 80.0), angles, sweeps)
ellipse_arcs = st.builds(EllipseArc, points, st.floats(0.5, 50.0), st.floats(0.5, 50.0), angles, sweeps, angles)
beziers = st.builds(Bezier, st.lists(points, min_size=2, max_size=10, unique=True).map(tuple))
pieces = st.one_of(lines, arcs, ellipse_arcs, beziers)


def turn(points: np.ndarray, angle: float) -> np.ndarray:
    return points @ np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])


def chord_length(piece: Piece, count: int = 200_000) -> float:
    return float(np.hypot(*np.diff(piece.at(np.linspace(0.0, 1.0, count + 1)), axis=0).T).sum())


@pytest.mark.parametrize("count", [1, 2, 5, 12, 16, 32])
def test_a_gauss_rule_of_n_points_is_exact_to_degree_2n_minus_1(count: int) -> None:
    nodes, weights = gauss(count)
    for degree in range(2 * count):
        assert weights @ nodes**degree == pytest.approx(1.0 / (degree + 1), rel=1e-12)  # rounding of numpy's nodes


@pytest.mark.parametrize("degree", range(1, HIGHEST_DEGREE + 1))
def test_bernstein_polynomials_are_a_partition_of_one_with_the_mean_at_t(degree: int) -> None:
    basis = bernstein(degree, T)
    np.testing.assert_allclose(basis.sum(axis=1), 1.0, rtol=1e-14)
    np.testing.assert_allclose(basis @ (np.arange(degree + 1) / degree), T, atol=1e-15)


@given(pieces)
def test_the_first_and_last_points_are_the_ends(piece: Piece) -> None:
    ends = piece.at(np.array([0.0, 1.0]))
    # The arcs' ends snap exact quarter turns, others differ by rounding of coordinates of up to 130 mm.
    np.testing.assert_allclose(ends, [piece.start, piece.end], rtol=0.0, atol=1e-12)


@every_curve
def test_the_slope_is_the_derivative_of_the_position(piece: Piece) -> None:
    step = 1e-5
    inner = np.linspace(0.02, 0.98, 25)
    central = (piece.at(inner + step) - piece.at(inner - step)) / (2.0 * step)
    # Central differences err by step^2/6 of the third derivative, here below 1e3 mm.
    np.testing.assert_allclose(piece.slope(inner), central, rtol=0.0, atol=1e-6)


def test_the_length_of_a_line_is_pythagoras() -> None:
    assert Line((1.0, 2.0), (4.0, 6.0)).length() == 5.0


def test_the_length_of_an_arc_is_radius_times_angle() -> None:
    assert Arc((9.0, 9.0), 4.0, 1.0, -1.5).length() == 6.0


@pytest.mark.parametrize("small", [10.0, 9.0, 5.0, 1.0, 0.5])
def test_the_length_of_a_full_ellipse_is_its_complete_elliptic_integral(small: float) -> None:
    exact = 4.0 * 10.0 * ellipe(1.0 - (small / 10.0) ** 2)
    # 1e-12 is what the method promises down to an axis ratio of 1/20.
    assert EllipseArc((3.0, 4.0), 10.0, small, 0.7, math.tau, 0.4).length() == pytest.approx(exact, rel=1e-12)


@pytest.mark.parametrize("height", [0.01, 1.0, 30.0])
def test_the_length_of_a_parabola_is_its_closed_form(height: float) -> None:
    # y = h (x/b)^2 from 0 to b: sqrt(b^2 + 4 h^2)/2 + b^2 asinh(2 h / b) / (4 h).
    width = 10.0
    piece = Bezier(((0.0, 0.0), (width / 2.0, 0.0), (width, height)))
    exact = math.hypot(width, 2.0 * height) / 2.0 + width**2 / (4.0 * height) * math.asinh(2.0 * height / width)
    assert piece.length() == pytest.approx(exact, rel=1e-12)


@every_curve
def test_a_length_is_that_of_many_chords(piece: Piece) -> None:
    # 200,000 chords of a smooth piece fall short by about 1e-11 of it; 1e-9 leaves room for the summation.
    assert piece.length() == pytest.approx(chord_length(piece), rel=1e-9)


@given(pieces, st.floats(0.0, 0.45), st.floats(0.55, 1.0))
def test_a_part_is_the_same_curve_between_the_two_parameters(piece: Piece, first: float, last: float) -> None:
    part = piece.part(first, last)
    assert type(part) is type(piece)
    # De Casteljau's subdivision of degree 9 loses one or two digits of coordinates of 130 mm.
    np.testing.assert_allclose(part.at(T), piece.at(first + (last - first) * T), rtol=0.0, atol=1e-11)


@given(pieces)
def test_the_part_from_0_to_1_is_the_piece(piece: Piece) -> None:
    assert piece.part(0.0, 1.0) == piece


@given(pieces)
def test_a_reversed_piece_runs_through_the_same_points_backwards(piece: Piece) -> None:
    back = piece.reversed()
    np.testing.assert_allclose(back.at(T), piece.at(1.0 - T), rtol=0.0, atol=1e-12)
    np.testing.assert_allclose(back.slope(T), -piece.slope(1.0 - T), rtol=0.0, atol=1e-10)
    assert back.start == pytest.approx(piece.end, abs=1e-12)
    assert back.end == pytest.approx(piece.start, abs=1e-12)


@given(pieces, coordinates, coordinates, angles)
def test_a_placed_piece_is_turned_about_the_origin_then_moved(piece: Piece, dx: float, dy: float, angle: float) -> None:
    placed = piece.placed(dx, dy, angle)
    np.testing.assert_allclose(placed.at(T), turn(piece.at(T), angle) + np.array([dx, dy]), rtol=0.0, atol=1e-11)
    assert placed.length() == pytest.approx(piece.length(), rel=1e-9)  # quadrature of a turned Bezier: rounding only


@given(pieces)
def test_a_mirrored_piece_has_its_y_negated(piece: Piece) -> None:
    np.testing.assert_allclose(piece.mirrored().at(T), piece.at(T) * [1.0, -1.0], rtol=0.0, atol=1e-11)
    assert piece.mirrored().mirrored() == piece


@pytest.mark.parametrize("turns", [0.25, 0.5, 0.75, 1.0, -0.25, -0.5, -1.0])
def test_quarter_turns_put_ends_exactly_on_the_axes(turns: float) -> None:
    placed = Line((0.0, 0.0), (7.0, 0.0)).placed(0.0, 0.0, turns * math.tau)
    exact = {0.25: (0, 7), 0.5: (-7, 0), 0.75: (0, -7), 1.0: (7, 0), -0.25: (0, -7), -0.5: (-7, 0), -1.0: (7, 0)}[turns]
    # Only the sine of 3/4 turns is not snapped to an exact 1: it is 1 anyway.
    assert placed.end == pytest.approx(exact, abs=2e-15)
    assert 0.0 in [abs(value) for value in placed.end]


def test_a_full_turn_ends_exactly_where_it_starts() -> None:
    for start in (0.0, 0.3, 1.1, -2.0):
        piece = Arc((1.0, 2.0), 3.3, start, -math.tau)
        assert piece.end == piece.start


@given(lines | arcs, st.floats(-0.09, 0.09))
def test_an_offset_lies_at_its_distance_along_the_left_normal(piece: Line | Arc, distance: float) -> None:
    moved = piece.offset(distance)
    tangent = piece.slope(T) / np.hypot(*piece.slope(T).T)[:, None]
    left = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    np.testing.assert_allclose(moved.at(T), piece.at(T) + distance * left, rtol=0.0, atol=1e-11)


@pytest.mark.parametrize("distance", [2.0, 2.5])
def test_an_arc_has_no_offset_at_or_beyond_its_centre(distance: float) -> None:
    with pytest.raises(ValueError, match="no parallel"):
        Arc((0.0, 0.0), 2.0, 0.0, 1.0).offset(distance)
    with pytest.raises(ValueError, match="no parallel"):
        Arc((0.0, 0.0), 2.0, 0.0, -1.0).offset(-distance)


@given(pieces)
def test_normals_are_of_unit_length_and_square_to_the_slope(piece: Piece) -> None:
    inner = np.linspace(0.1, 0.9, 9)
    inner = inner[np.hypot(*piece.slope(inner).T) > 1e-6]  # a Bezier may stop and turn back on its way
    slope, normal = piece.slope(inner), normals(piece, inner)
    tangent = slope / np.hypot(*slope.T)[:, None]
    np.testing.assert_allclose(np.hypot(*normal.T), 1.0, rtol=1e-12)
    np.testing.assert_allclose(np.einsum("ij,ij->i", tangent, normal), 0.0, atol=1e-12)
    assert np.all(tangent[:, 0] * normal[:, 1] - tangent[:, 1] * normal[:, 0] > 0.0), "they point to the left"


def test_the_normal_of_an_upright_tip_is_the_limit_of_the_normals_beside_it() -> None:
    tip = CURVES["bezier with an upright tip"]
    assert not np.any(tip.slope(np.array([0.0])))
    np.testing.assert_array_equal(normals(tip, np.array([0.0])), [[-1.0, 0.0]])
    np.testing.assert_array_equal(normals(tip.reversed(), np.array([1.0])), [[1.0, 0.0]])
    np.testing.assert_allclose(normals(tip, np.array([1e-6])), [[-1.0, 0.0]], atol=1e-5)


@example(Bezier(((0.0, 0.0), (0.0, 1.0), (0.0, 0.5), (0.03125, 0.0), (-6.0, 0.0))))  # turns right behind its start
@given(pieces)
def test_bounds_hold_the_piece_and_touch_it_on_every_side(piece: Piece) -> None:
    x0, y0, x1, y1 = bounds(piece)
    dense = piece.at(np.linspace(0.0, 1.0, 4001))
    low, high = dense.min(axis=0), dense.max(axis=0)
    assert x0 <= low[0] + 1e-11
    assert y0 <= low[1] + 1e-11
    assert x1 >= high[0] - 1e-11
    assert y1 >= high[1] - 1e-11
    # 4,000 chords miss a peak by at most the slope over a step, squared over the curvature: 3e-3 mm for degree 9.
    np.testing.assert_allclose([x0, y0, x1, y1], [*low, *high], rtol=0.0, atol=5e-3)


@pytest.mark.parametrize("turns", range(-12, 13))
def test_the_bounds_of_a_half_circle_do_not_depend_on_how_often_it_has_been_turned(turns: int) -> None:
    piece = Arc((0.0, 0.0), 2.0, 0.0, math.pi).placed(0.0, 0.0, turns * math.tau)
    assert bounds(piece) == pytest.approx((-2.0, 0.0, 2.0, 2.0), abs=1e-12)
    upright = EllipseArc((0.0, 0.0), 2.0, 1.0, turns * math.tau, math.pi)
    assert bounds(upright) == pytest.approx((-2.0, 0.0, 2.0, 1.0), abs=1e-12)


@pytest.mark.parametrize("place", [1.0 / 3.0, 1.0 / 9.0, 10.0 / 21.0])
def test_a_turning_place_that_falls_on_a_sampled_parameter_is_found(place: float) -> None:
    # A parabola with end slopes a and b turns at a / (a - b); the sampled parameters are whole 63rds.
    first = 1.0
    last = first - first / place
    piece = Bezier(((0.0, 0.0), (1.0, first / 2.0), (2.0, (first + last) / 2.0)))
    assert turning_parameters(piece).tolist() == pytest.approx([place])
    peak = first * place + (last - first) * place**2 / 2.0
    assert bounds(piece)[3] == pytest.approx(peak, rel=1e-12)


def test_the_bounds_of_a_tilted_ellipse_are_its_closed_form() -> None:
    # Half widths of an ellipse (a, b) tilted by t: sqrt(a^2 cos^2 t + b^2 sin^2 t), and with sin and cos swapped.
    a, b, tilt = 9.0, 4.0, 0.7
    wide = math.hypot(a * math.cos(tilt), b * math.sin(tilt))
    tall = math.hypot(a * math.sin(tilt), b * math.cos(tilt))
    found = bounds(EllipseArc((1.0, 2.0), a, b, 0.123, math.tau, tilt))
    assert found == pytest.approx((1.0 - wide, 2.0 - tall, 1.0 + wide, 2.0 + tall), rel=1e-13)


@given(pieces)
def test_monotone_parts_follow_one_another_and_each_runs_one_way(piece: Piece) -> None:
    parts = monotone_parts(piece)
    # Ends closer than JOIN_TOLERANCE are the same point; subdivision of a wild Bezier rounds at about 1e-10.
    assert parts[0].start == pytest.approx(piece.start, abs=JOIN_TOLERANCE)
    assert parts[-1].end == pytest.approx(piece.end, abs=JOIN_TOLERANCE)
    for before, after in itertools.pairwise(parts):
        assert before.end == pytest.approx(after.start, abs=JOIN_TOLERANCE)
    for part in parts:
        steps = np.diff(part.at(np.linspace(0.0, 1.0, 200)), axis=0)
        for axis in (0, 1):
            # A turn closer to the next than a 64th of the piece may be missed; such a wiggle is far below 0.01 mm.
            assert steps[:, axis].max() < 1e-2 or steps[:, axis].min() > -1e-2


@every_curve
def test_parameters_at_finds_the_stations_of_every_monotone_part(piece: Piece) -> None:
    for part in monotone_parts(piece):
        low, high = sorted((part.start[0], part.end[0]))
        stations = np.linspace(low, high, 23)[1:-1]
        t = parameters_at(part, stations)
        assert np.all((t >= 0.0) & (t <= 1.0))
        np.testing.assert_allclose(part.at(t)[:, 0], stations, rtol=0.0, atol=ROUNDING)


@pytest.mark.parametrize(("low", "high"), [(0.0, 2.0), (2.0, 0.0)])
def test_bisect_finds_a_root_to_the_last_bit(low: float, high: float) -> None:
    assert bisect(lambda x: x * x - 2.0, low, high) == pytest.approx(math.sqrt(2.0), rel=3e-16)


def test_bisect_returns_an_end_that_is_itself_the_root() -> None:
    assert bisect(lambda x: x, 0.0, 1.0) == 0.0
    assert bisect(lambda x: x - 1.0, 0.0, 1.0) == 1.0


@pytest.mark.parametrize("count", [1, HIGHEST_DEGREE + 2])
def test_a_bezier_of_too_few_or_too_many_poles_is_refused(count: int) -> None:
    with pytest.raises(ValueError, match=f"got {count}"):
        Bezier(tuple((float(i), 0.0) for i in range(count)))


def test_ellipse_arc_length_agrees_with_an_adaptive_integral_of_its_own_definition() -> None:
    piece = EllipseArc((0.0, 0.0), 200.0, 33.0, math.pi, -math.pi / 2.0)
    exact, _ = quad(
        lambda a: math.hypot(200.0 * math.sin(a), 33.0 * math.cos(a)), 0.0, math.pi / 2.0, epsabs=1e-12, epsrel=1e-13
    )
    assert piece.length() == pytest.approx(exact, rel=1e-12)
