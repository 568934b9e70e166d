"""Nose profiles: the chain that is the shape against the formula of its family, and the inside of a constant wall.

Sources: the families' definitions as elementary geometry, written a second time in `geometry_samples`; the series of
the Haack bodies from memory; parallels of cone, circle and ellipse by analytic geometry, derived in the tests.
The promise is 1e-3 mm from the formula; the fits aim at FIT_TOLERANCE and are held here to 1e-5 mm.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import pytest
from geometry_samples import (
    FINENESS_RATIOS,
    PROFILE_CASES,
    chain_points,
    distances,
    formula_points,
    formula_radius,
    hollow,
    profile,
    profiles,
    smallest_arc,
)
from hypothesis import given
from hypothesis import strategies as st

from ferrule.parts.chain import FIT_TOLERANCE, gaps
from ferrule.parts.curve import Arc, Bezier, EllipseArc, Floats, Line, normals
from ferrule.parts.errors import PartError
from ferrule.parts.profiles import CONSTANTS, FAMILIES, Family, Profile, inner_profile

AIM = 1e-5
"""[mm] a hundredth of what is promised; the formula's own polyline is good to 5e-8 mm."""

every_case = pytest.mark.parametrize(("family", "constant"), PROFILE_CASES)
every_fineness = pytest.mark.parametrize("fineness", FINENESS_RATIOS)


@lru_cache(maxsize=200)
def formula(p: Profile) -> Floats:
    return formula_points(p)


def test_every_family_is_sampled() -> None:
    assert {family for family, _ in PROFILE_CASES} == set(FAMILIES)
    assert {family for family, constant in PROFILE_CASES if constant is not None} == set(CONSTANTS)


@every_fineness
@every_case
def test_the_radius_is_that_of_the_definition(family: Family, constant: float | None, fineness: float) -> None:
    p = profile(family, constant, fineness)
    x = p.length * np.linspace(0.0, 1.0, 201) ** 2
    # The definitions are differences of large numbers near the tip: about 1e-16 of an arc radius of up to 20 m, and
    # for Haack bodies the square root of 1e-16 of R^2 within the first micrometre.
    np.testing.assert_allclose(p.radius(x[1:]), formula_radius(p, x[1:]), rtol=1e-9, atol=2e-10)
    assert p.radius(np.array([0.0])) == pytest.approx(0.0, abs=1e-12)
    assert p.radius(np.array([p.length])) == pytest.approx(p.base_radius, rel=1e-14)


@every_fineness
@every_case
def test_the_chain_lies_on_the_formula(family: Family, constant: float | None, fineness: float) -> None:
    p = profile(family, constant, fineness)
    away = distances(chain_points(p.chain(), 301), formula(p))
    assert away.max() <= AIM


@given(profiles())
def test_the_chain_of_any_profile_lies_on_the_formula(p: Profile) -> None:
    assert distances(chain_points(p.chain(), 101), formula_points(p)).max() <= AIM


@given(profiles())
def test_a_chain_runs_from_the_tip_to_the_rim_without_a_gap(p: Profile) -> None:
    chain = p.chain()
    # Arcs find their ends from an angle: 1e-16 of arc radii of up to 30 m, and of 3 km for an almost straight one.
    slack = 1e-15 * max(abs(piece.radius) if isinstance(piece, Arc) else p.length for piece in chain) + 1e-13
    assert chain[0].start == pytest.approx((0.0, 0.0), abs=slack)
    assert chain[-1].end == pytest.approx((p.length, p.base_radius), abs=slack)
    assert gaps(chain, closed=False) == 0.0


@given(profiles())
def test_a_profile_runs_aft_and_stays_off_the_axis(p: Profile) -> None:
    points = chain_points(p.chain(), 101)
    # A fit may undulate by its tolerance where a profile is flat, as a power law below 1/2 is at its tip.
    assert np.all(np.diff(points[:, 0]) >= -FIT_TOLERANCE)
    assert np.all(points[1:, 1] > 0.0)


@every_case
def test_a_profile_takes_few_pieces(family: Family, constant: float | None) -> None:
    # Every piece is a face in the exact solid; a family that needs more has lost its smooth parameter.
    assert max(len(profile(family, constant, fineness).chain()) for fineness in FINENESS_RATIOS) <= 6


def test_the_families_with_an_exact_form_have_it() -> None:
    exact: dict[tuple[Family, float | None], tuple[type, int]] = {
        ("cone", None): (Line, 1),
        ("tangent-ogive", None): (Arc, 0),
        ("secant-ogive", 1.5): (Arc, 0),
        ("half-ellipsoid", None): (EllipseArc, 0),
        ("parabola", 0.0): (Line, 1),
        ("parabola", 0.6): (Bezier, 2),
        ("power-law", 0.5): (Bezier, 2),
        ("power-law", 0.75): (Bezier, 4),
        ("power-law", 1.0): (Line, 1),
    }
    for (family, constant), (kind, degree) in exact.items():
        (piece,) = profile(family, constant).chain()
        assert type(piece) is kind, family
        assert not isinstance(piece, Bezier) or piece.degree == degree


@pytest.mark.parametrize(
    ("family", "constant"),
    [
        (f, c)
        for f, c in PROFILE_CASES
        if f in ("half-ellipsoid", "von-karman", "haack") or (f, c) == ("power-law", 0.5)
    ],
)
def test_a_blunt_tip_leaves_the_axis_exactly_square(family: Family, constant: float | None) -> None:
    first = profile(family, constant).chain()[0]
    np.testing.assert_allclose(normals(first, np.array([0.0])), [[-1.0, 0.0]], rtol=0.0, atol=1e-15)
    if isinstance(first, Bezier):
        assert first.poles[1][0] == 0.0


@pytest.mark.parametrize(
    ("family", "constant"),
    [
        ("tangent-ogive", None),
        ("half-ellipsoid", None),
        ("parabola", 1.0),
        ("von-karman", None),
        ("haack", 1.0 / 3.0),
        ("haack", 2.0 / 3.0),
    ],
)
def test_profiles_that_are_tangent_to_the_tube_leave_no_corner_at_the_base(
    family: Family, constant: float | None
) -> None:
    # Their slope vanishes at x = L by definition (Haack: d(r^2)/dtheta has a factor sin^2, dx/dtheta a factor sin).
    last = profile(family, constant).chain()[-1]
    np.testing.assert_allclose(normals(last, np.array([1.0])), [[0.0, 1.0]], rtol=0.0, atol=1e-12)


@every_case
def test_the_formula_scales_with_its_size(family: Family, constant: float | None) -> None:
    small, large = profile(family, constant, 3.0, 10.0), profile(family, constant, 3.0, 30.0)
    x = np.linspace(0.0, small.length, 33)
    np.testing.assert_allclose(3.0 * small.radius(x), large.radius(3.0 * x), rtol=1e-12, atol=1e-12)


@pytest.mark.parametrize(
    ("same", "as_this"),
    [
        (Profile("haack", 200.0, 33.0, 0.0), Profile("von-karman", 200.0, 33.0)),
        (Profile("parabola", 200.0, 33.0, 0.0), Profile("cone", 200.0, 33.0)),
        (Profile("power-law", 200.0, 33.0, 1.0), Profile("cone", 200.0, 33.0)),
        (Profile("half-ellipsoid", 33.0, 33.0), Profile("tangent-ogive", 33.0, 33.0)),
    ],
)
def test_families_that_coincide_by_definition_do(same: Profile, as_this: Profile) -> None:
    x = np.linspace(0.0, same.length, 101)
    np.testing.assert_allclose(same.radius(x), as_this.radius(x), rtol=1e-12, atol=1e-12)
    assert distances(chain_points(same.chain()), formula(as_this)).max() <= AIM


def test_a_secant_ogive_with_the_tangent_radius_is_the_tangent_ogive() -> None:
    tangent = Profile("tangent-ogive", 200.0, 33.0)
    secant = Profile("secant-ogive", 200.0, 33.0, tangent.tangent_arc_radius)
    x = np.linspace(0.0, 200.0, 101)
    # Near the tangent radius the centre of the secant arc is the difference of nearly equal squares: 1e-16 * 620^2.
    np.testing.assert_allclose(secant.radius(x), tangent.radius(x), rtol=0.0, atol=1e-9)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("cone", 32.9, 33.0), "length: 32.9 mm is shorter"),
        (("cone", 200.0, 33.0, 1.0), "cone has no constant"),
        (("von-karman", 200.0, 33.0, 0.0), "von-karman has no constant"),
        (("secant-ogive", 200.0, 33.0), "arc_radius: the profile secant-ogive needs it"),
        (("parabola", 200.0, 33.0), "parabola_constant: the profile parabola needs it"),
        (("power-law", 200.0, 33.0), "power_exponent: the profile power-law needs it"),
        (("haack", 200.0, 33.0), "haack_constant: the profile haack needs it"),
        (("secant-ogive", 200.0, 33.0, 102.7), r"arc_radius: 102.7 mm is below 102.722 mm"),
    ],
)
def test_a_profile_that_cannot_be_is_refused_by_name(arguments: tuple[object, ...], words: str) -> None:
    with pytest.raises(PartError, match=words):
        Profile(*arguments)  # type: ignore[arg-type]


def test_the_smallest_arc_radius_of_a_secant_ogive_is_allowed_and_stands_upright() -> None:
    p = Profile("secant-ogive", 200.0, 33.0, smallest_arc(200.0, 33.0))
    assert normals(p.chain()[0], np.array([0.0]))[0] == pytest.approx((-1.0, 0.0), abs=1e-7)  # square root of rounding
    assert distances(chain_points(p.chain()), formula(p)).max() <= AIM


# ---- the inside of a wall


def check_inside(p: Profile, wall: float) -> float:
    """Hold the inside to its wall everywhere and return the largest error [mm]."""
    inside = inner_profile(p.chain(), wall)
    assert inside[0].start == pytest.approx((inside[0].start[0], 0.0), abs=1e-10 * p.length), "apex on the axis"
    assert inside[-1].end[0] == pytest.approx(p.length, abs=1e-11 * p.length + 1e-12), "ends in the base plane"
    assert gaps(inside, closed=False) <= 1e-9
    # Past a rim that narrows, the inside runs on along its tangent, where the skin has no say.
    kept = inside[:-1] if p.family == "secant-ogive" and len(inside) > 1 else inside
    points = chain_points(kept, 101)
    assert points[:, 1].min() >= -1e-9
    return float(np.abs(distances(points, formula(p)) - wall).max())


@pytest.mark.parametrize("wall", [0.02, 0.8, 3.0, 12.0])
@every_fineness
@every_case
def test_the_inside_of_a_wall_is_everywhere_the_wall_away_from_the_skin(
    family: Family, constant: float | None, fineness: float, wall: float
) -> None:
    p = profile(family, constant, fineness)
    assert check_inside(p, wall) <= AIM


@given(profiles(), st.floats(0.002, 0.999))
def test_the_inside_of_any_wall_is_sound_or_refused_in_words(p: Profile, share: float) -> None:
    wall = share * p.base_radius
    try:
        error = check_inside(p, wall)
    except PartError as refusal:
        assert str(refusal).startswith(f"wall: {wall:g} mm")
        assert "leaves no room" in str(refusal)
        # There is none: no place on the axis is a wall away. An ogive like an onion may be closed by it at its rim.
        axis = np.column_stack([np.linspace(0.0, p.length, 401), np.zeros(401)])
        assert p.family == "secant-ogive" or distances(axis, formula(p)).max() <= wall + AIM, refusal
    else:
        assert error <= AIM


@given(profiles(), st.floats(1.0, 3.0))
def test_a_wall_of_the_base_radius_or_more_leaves_no_room(p: Profile, share: float) -> None:
    wall = share * p.base_radius * (1.0 + 1e-9)
    with pytest.raises(PartError, match=r"^wall: .* mm"):
        inner_profile(p.chain(), wall)


@given(profiles(), st.floats(0.01, 0.3))
def test_a_hollow_nose_is_a_closed_section(p: Profile, share: float) -> None:
    try:
        shape = hollow(p, share * p.base_radius)
    except PartError as refusal:
        # An ogive that bulges like an onion may be closed by the wall at its narrow rim.
        assert p.family == "secant-ogive", refusal
    else:
        assert shape.meridian.box()[0] == pytest.approx(0.0, abs=FIT_TOLERANCE)


def test_the_inside_of_a_cone_is_a_cone_with_its_apex_at_wall_over_sine() -> None:
    length, base, wall = 200.0, 33.0, 1.6
    slant = math.hypot(length, base)
    (inside,) = inner_profile(Profile("cone", length, base).chain(), wall)
    assert isinstance(inside, Line)
    assert inside.start == pytest.approx((wall * slant / base, 0.0), rel=1e-13)
    assert inside.end == pytest.approx((length, base - wall * slant / length), rel=1e-13)


def test_the_inside_of_a_tangent_ogive_is_the_concentric_arc() -> None:
    p, wall = Profile("tangent-ogive", 200.0, 33.0), 1.6
    arc = p.tangent_arc_radius
    (inside,) = inner_profile(p.chain(), wall)
    assert isinstance(inside, Arc)
    assert inside.radius == arc - wall
    apex = 200.0 - math.sqrt((arc - wall) ** 2 - (arc - 33.0) ** 2)
    assert inside.start == pytest.approx((apex, 0.0), abs=1e-11)
    assert inside.end == pytest.approx((200.0, 33.0 - wall), rel=1e-14)


@pytest.mark.parametrize("wall", [6.0, 12.0, 25.0])
def test_the_inner_apex_of_a_folding_half_ellipsoid_is_where_two_normals_meet_on_the_axis(wall: float) -> None:
    # Walls above R^2/L = 5.445 mm fold. With the foot at eccentric angle phi, w = R^2 sqrt(cos^2/L^2 + sin^2/R^2)
    # and the apex is L - cos(phi) (L - R^2/L).
    length, base = 200.0, 33.0
    cosine = math.sqrt((base**-2 - wall**2 / base**4) / (base**-2 - length**-2))
    inside = inner_profile(Profile("half-ellipsoid", length, base).chain(), wall)
    assert inside[0].start[0] == pytest.approx(length - cosine * (length - base**2 / length), abs=AIM)


@pytest.mark.parametrize("wall", [0.5, 2.0, 5.4])
def test_a_wall_thinner_than_the_tip_is_round_sits_straight_behind_the_tip(wall: float) -> None:
    inside = inner_profile(Profile("half-ellipsoid", 200.0, 33.0).chain(), wall)
    assert inside[0].start == pytest.approx((wall, 0.0), abs=AIM)


def test_the_inside_of_a_bulging_ogive_runs_on_along_its_tangent() -> None:
    p = profile("secant-ogive", 0.75, 200.0 / 66.0)
    *_, arc, line = inner_profile(p.chain(), 1.6)
    assert isinstance(arc, Arc)
    assert isinstance(line, Line)
    before = arc.slope(np.array([1.0]))[0]
    after = line.slope(np.array([0.0]))[0]
    assert before[0] * after[1] - before[1] * after[0] == pytest.approx(0.0, abs=1e-10 * np.hypot(*before))
    assert line.length() < 1.0


def test_the_parallel_of_a_flat_tip_keeps_to_the_wall_where_it_crosses_itself() -> None:
    # r = R (x/L)^0.3 is flat at its tip, then sharply curved: the parallel of its side crosses the axis 7.63 mm behind
    # the tip, and before that the parallel of the tip itself, which is 8 mm behind it.
    p = Profile("power-law", 660.0, 33.0, 0.3)
    assert check_inside(p, 8.0) <= AIM
    inside = inner_profile(p.chain(), 8.0)
    assert inside[0].start == pytest.approx((8.0, 0.0), abs=AIM)
    ends = np.vstack([normals(piece, np.array([1.0])) for piece in inside[:-1]])
    starts = np.vstack([normals(piece, np.array([0.0])) for piece in inside[1:]])
    assert np.hypot(*(starts - ends).T).max() > 0.1, "a corner where the two cross"
