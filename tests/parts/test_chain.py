"""Chains of pieces: the fit stays within what was asked, offsets are true normal offsets, cuts and crossings are exact.

Sources: elementary analytic geometry; the parallel of an ellipse has no closed form and is taken point by point from
its own normal.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from geometry_samples import CURVES, chain_points, distances
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import betainc

from ferrule.parts.chain import (
    FIT_TOLERANCE,
    Chain,
    Flat,
    crossings,
    cut,
    end_of,
    fit,
    gaps,
    offset,
    reverse,
)
from ferrule.parts.curve import Arc, Bezier, EllipseArc, Floats, Line

CHAIN: Chain = (
    Line((0.0, 0.0), (4.0, 3.0)),
    Arc((7.0, 3.0), 3.0, math.pi, -math.pi),
    Bezier(((10.0, 3.0), (10.0, -2.0), (14.0, -4.0), (18.0, 1.0))),
)
"""Line, half circle over the top, cubic; each starts where the one before ends."""


def wave(amplitude: float, turns: float) -> object:
    def curve(s: Floats) -> Floats:
        return np.column_stack([20.0 * s, amplitude * np.sin(turns * math.tau * s)])

    return curve


@given(st.floats(0.0, 30.0), st.floats(0.1, 4.0), st.sampled_from([1e-3, 1e-5, FIT_TOLERANCE, 1e-8]))
def test_a_fit_lies_within_its_tolerance_of_the_curve(amplitude: float, turns: float, tolerance: float) -> None:
    curve = wave(amplitude, turns)
    chain = fit(curve, 0.0, 1.0, tolerance)
    # A chord over a step h errs by at most h^2/8 of the second derivative.
    slack = amplitude * (turns * math.tau) ** 2 / 8.0 / 20_000**2 + 1e-12
    away = distances(chain_points(chain, 97), curve(np.linspace(0.0, 1.0, 20_001)))
    assert away.max() <= tolerance * 1.05 + slack  # 1.05: the fit looks at 101 places only


@given(st.floats(0.0, 30.0), st.floats(0.1, 4.0))
def test_a_fit_is_joined_and_keeps_both_ends(amplitude: float, turns: float) -> None:
    curve = wave(amplitude, turns)
    chain = fit(curve, 0.2, 0.9)
    ends = curve(np.array([0.2, 0.9]))
    assert gaps(chain, closed=False) == 0.0
    assert chain[0].start == pytest.approx(ends[0], abs=1e-12)
    assert chain[-1].end == pytest.approx(ends[1], abs=1e-12)


def test_a_polynomial_of_degree_9_is_fitted_by_one_piece_to_rounding() -> None:
    poles = tuple((float(k), math.sin(2.0 * k)) for k in range(10))
    exact = Bezier(poles)
    (piece,) = fit(exact.at, 0.0, 1.0)
    np.testing.assert_allclose(piece.poles, poles, atol=1e-10)  # least squares over 25 nodes: condition about 1e4


@pytest.mark.parametrize(("start", "end"), [(Flat(3, 2), Flat()), (Flat(), Flat(1, 2)), (Flat(2, 1), Flat(0, 1))])
def test_flat_ends_have_their_poles_exactly_on_the_end_point(start: Flat, end: Flat) -> None:
    def curve(s: Floats) -> Floats:
        # The incomplete beta function I(a, b) rises from 0 to 1 with a - 1 and b - 1 vanishing derivatives at its ends.
        return np.column_stack([betainc(start.x + 1, end.x + 1, s) + 5.0, betainc(start.y + 1, end.y + 1, s) + 7.0])

    chain = fit(curve, 0.0, 1.0, start=start, end=end)
    first, last = chain[0], chain[-1]
    assert isinstance(first, Bezier)
    assert isinstance(last, Bezier)
    assert {pole[0] for pole in first.poles[: start.x + 1]} == {first.start[0]}
    assert {pole[1] for pole in first.poles[: start.y + 1]} == {first.start[1]}
    assert {pole[0] for pole in last.poles[len(last.poles) - 1 - end.x :]} == {last.end[0]}
    assert {pole[1] for pole in last.poles[len(last.poles) - 1 - end.y :]} == {last.end[1]}
    assert distances(chain_points(chain), curve(np.linspace(0.0, 1.0, 40_001))).max() < FIT_TOLERANCE


def test_a_curve_that_jumps_is_refused_instead_of_followed() -> None:
    def jump(s: Floats) -> Floats:
        return np.column_stack([s, np.where(s > 1.0 / 3.0, 1.0, 0.0)])

    with pytest.raises(ValueError, match="too rough"):
        fit(jump, 0.0, 1.0)


def test_the_offset_of_lines_and_arcs_is_lines_and_arcs() -> None:
    moved = offset(CHAIN[:2], 0.5)
    assert moved == (CHAIN[0].offset(0.5), Arc((7.0, 3.0), 3.5, math.pi, -math.pi))  # type: ignore[union-attr]


@pytest.mark.parametrize("distance", [-1.5, -0.2, 0.3, 2.0])
@pytest.mark.parametrize("name", ["ellipse arc", "tilted ellipse arc", "parabola"])
def test_every_point_of_an_offset_lies_at_the_distance_from_the_curve(name: str, distance: float) -> None:
    piece = CURVES[name]
    # All radii of curvature: above 16/9 mm (b^2/a) for the ellipses and 5 mm for the parabola, so 1.5 mm does not fold.
    if distance == 2.0:
        distance = 1.7
    moved = offset((piece,), distance)
    inner = distances(chain_points(moved), piece.at(np.linspace(-0.05, 1.05, 60_001)))
    # The fit is good to FIT_TOLERANCE; 60,000 chords of 20 mm are good to 1e-8 mm.
    np.testing.assert_allclose(inner, abs(distance), rtol=0.0, atol=FIT_TOLERANCE + 1e-7)


def test_an_offset_lies_on_the_left() -> None:
    (moved,) = offset((Line((0.0, 0.0), (10.0, 0.0)),), 2.0)
    assert moved == Line((0.0, 2.0), (10.0, 2.0))


def test_a_reversed_chain_runs_back_through_the_same_points() -> None:
    back = reverse(CHAIN)
    assert back[0].start == pytest.approx(CHAIN[-1].end, abs=1e-15)
    np.testing.assert_allclose(chain_points(back), chain_points(CHAIN)[::-1], atol=1e-14)
    assert gaps(back, closed=False) < 1e-14


@given(st.floats(-3.9, 5.9))
def test_crossings_of_a_level_are_on_the_level_in_order_and_none_is_missed(level: float) -> None:
    found = crossings(CHAIN, lambda points: points[:, 1] - level)
    heights = [float(CHAIN[i].at(np.array([t]))[0, 1]) for i, t in found]
    np.testing.assert_allclose(heights, level, rtol=0.0, atol=1e-12)
    assert found == sorted(found)
    dense = chain_points(CHAIN, 20_001)[:, 1] - level
    assert len(found) == np.count_nonzero((dense[:-1] < 0.0) != (dense[1:] < 0.0))


def test_a_line_crosses_a_circle_where_pythagoras_says() -> None:
    circle = (Arc((0.0, 0.0), 5.0, 0.0, math.tau),)
    found = crossings(circle, lambda points: points[:, 1] - 3.0)
    points = [circle[0].at(np.array([t]))[0] for _, t in found]
    np.testing.assert_allclose(points, [[4.0, 3.0], [-4.0, 3.0]], atol=1e-13)


def test_a_chain_that_only_touches_a_level_from_above_does_not_cross_it() -> None:
    assert crossings(CHAIN, lambda points: points[:, 1] + 100.0) == []


@given(st.integers(0, 2), st.floats(0.01, 0.99), st.integers(0, 2), st.floats(0.01, 0.99))
def test_a_cut_chain_runs_between_the_two_places(i: int, s: float, j: int, e: float) -> None:
    first, last = sorted([(i, s), (j, e)])
    piece = cut(CHAIN, first, last)
    assert piece[0].start == pytest.approx(CHAIN[first[0]].at(np.array([first[1]]))[0], abs=1e-12)
    assert piece[-1].end == pytest.approx(CHAIN[last[0]].at(np.array([last[1]]))[0], abs=1e-12)
    assert gaps(piece, closed=False) < 1e-12
    whole = sum(part.length() for part in CHAIN)
    before, after = cut(CHAIN, None, first), cut(CHAIN, last, None)
    cut_length = sum(part.length() for chain in (before, piece, after) for part in chain)
    assert cut_length == pytest.approx(whole, rel=1e-9)  # Bezier lengths by quadrature are good to 1e-10


def test_a_cut_without_places_is_the_whole_chain() -> None:
    assert cut(CHAIN, None, None) == CHAIN


def test_the_gap_of_a_chain_is_its_largest_step() -> None:
    broken = (Line((0.0, 0.0), (1.0, 0.0)), Line((1.0, 0.25), (2.0, 0.0)), Line((2.0, 0.1), (0.0, 1.0)))
    assert gaps(broken, closed=False) == 0.25
    assert gaps(broken, closed=True) == 1.0
    assert gaps((), closed=False) == 0.0


def test_the_end_of_a_chain_is_the_end_of_its_last_piece() -> None:
    assert end_of(CHAIN) == (18.0, 1.0)


def test_an_ellipse_offset_inwards_by_less_than_its_smallest_radius_stays_convex() -> None:
    # Smallest radius of curvature of an ellipse: b^2 / a at the ends of the long axis.
    piece = EllipseArc((0.0, 0.0), 9.0, 4.0, -math.pi / 2.0, math.pi)
    moved = offset((piece,), 16.0 / 9.0 - 0.05)
    steps = np.diff(chain_points(moved, 400), axis=0)
    steps = steps[np.hypot(*steps.T) > 1e-9]
    assert np.all(steps[:-1, 0] * steps[1:, 1] - steps[:-1, 1] * steps[1:, 0] > -1e-9)
