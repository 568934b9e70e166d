"""Blunted tips of every family: the finished skin, its refusals, and the inside of a wall under it.

Sources: the families' formulas written a second time in `geometry_samples`; a ball touches a profile where their
directions agree, elementary geometry. Closed forms are in tests/validation/test_blunt_noses.py.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
import pytest
from geometry_samples import (
    PROFILE_CASES,
    chain_points,
    distances,
    formula_points,
    profile,
    profiles,
    section,
    turned,
)
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from ferrule.parts.blunting import LARGEST_SHARE, Blunt, Tip, TipForm, blunted, own_tip_is_rounder
from ferrule.parts.chain import FIT_TOLERANCE, Chain, gaps, reverse
from ferrule.parts.curve import Arc, Floats, Line, normals
from ferrule.parts.errors import PartError
from ferrule.parts.profiles import Family, Profile, inner_profile
from ferrule.parts.readers import brep, integrals
from ferrule.parts.shape import Revolved

AIM = 1e-5
"""[mm] a hundredth of the promised micrometre."""

SHARES = (0.03, 0.3, 0.9)
"""Radius of the tip over that of the base [-]."""

FORMS: tuple[TipForm, ...] = ("round", "flat")

every_case = pytest.mark.parametrize(("family", "constant"), PROFILE_CASES)
every_form = pytest.mark.parametrize("form", FORMS)


def blunt(p: Profile, form: TipForm, share: float) -> Blunt:
    return blunted(p.family, p.length, p.base_radius, p.constant, Tip(form, share * p.base_radius))


def can_be(p: Profile, form: TipForm, share: float) -> bool:
    """Whether such a tip goes on: not a ball on a rounder tip, not a face on an ogive that is upright before it."""
    if form == "round":
        return not own_tip_is_rounder(p, share * p.base_radius)
    if p.family != "secant-ogive":
        return True
    assert p.constant is not None
    middle = (p.length**2 + p.base_radius**2 * (1.0 - share**2)) / (2.0 * p.length)
    return p.constant >= math.hypot(middle, share * p.base_radius)


def away(points: Floats, chain: Chain) -> Floats:
    """Distance (n,) [mm] of points from a chain, found by trying ever closer parameters on every piece."""
    t = np.sin(np.pi / 2.0 * np.linspace(0.0, 1.0, 81)) ** 2
    t = np.unique(np.concatenate([t, t**3, 1.0 - t**3]))
    best = np.full(len(points), np.inf)
    for piece in chain:
        gap = piece.at(t)[None, :, :] - points[:, None, :]
        k = np.hypot(gap[..., 0], gap[..., 1]).argmin(axis=1)
        low, high = t[np.maximum(k - 1, 0)], t[np.minimum(k + 1, len(t) - 1)]
        row = np.arange(len(points))
        for _ in range(5):
            tries = low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, 11)
            gap = piece.at(tries.ravel()).reshape(*tries.shape, 2) - points[:, None, :]
            size = np.hypot(gap[..., 0], gap[..., 1])
            k = size.argmin(axis=1)
            best = np.minimum(best, size[row, k])
            low, high = tries[row, np.maximum(k - 1, 0)], tries[row, np.minimum(k + 1, 10)]
    return best


def check_skin(p: Profile, form: TipForm, share: float, count: int) -> None:
    found, radius = blunt(p, form, share), share * p.base_radius
    front, *rear = found.chain
    # Arcs find their ends from an angle, as in the sharp profiles.
    slack = 1e-15 * max(abs(piece.radius) if isinstance(piece, Arc) else p.length for piece in found.chain) + 1e-12
    assert front.start == (0.0, 0.0)
    assert found.chain[-1].end == pytest.approx((p.length, p.base_radius), abs=slack)
    assert gaps(found.chain, closed=False) <= 10.0 * slack
    assert found.cut > 0.0
    assert found.profile.length == pytest.approx(p.length + found.cut, rel=1e-14)
    assert (found.profile.family, found.profile.constant) == (p.family, p.constant)
    # Where the pieces are fitted, their directions decide where the ball touches them.
    assert front.end == pytest.approx(found.meets, abs=1e-4)
    points = chain_points(tuple(rear), count)
    assert np.all(np.diff(points[:, 0]) >= -FIT_TOLERANCE)
    assert points[:, 1].min() >= radius * (0.0099 if form == "round" else 1.0 - 1e-9)
    sharp, sharp_tip = formula_points(found.profile), np.array([found.cut, 0.0])
    assert distances(points + sharp_tip, sharp).max() <= AIM
    if form == "flat":
        assert front == Line((0.0, 0.0), front.end)
        assert front.end == pytest.approx((0.0, radius), abs=slack)
        return
    assert isinstance(front, Arc)
    ball = front.at(np.linspace(0.0, 1.0, 33))
    np.testing.assert_allclose(np.hypot(ball[:, 0] - radius, ball[:, 1]), radius, rtol=1e-14)
    # The directions of ball and profile agree where they meet.
    at_ball, at_profile = normals(front, np.array([1.0]))[0], normals(rear[0], np.array([0.0]))[0]
    assert float(np.hypot(*(at_ball - at_profile))) <= 1e-8
    # The ball stays inside the sharp nose.
    inside = ball[1:-1] + sharp_tip
    assert np.all(inside[:, 1] <= found.profile.radius(inside[:, 0]) + FIT_TOLERANCE)


@every_form
@every_case
def test_the_finished_skin_is_ball_or_face_and_then_the_formula(
    family: Family, constant: float | None, form: TipForm
) -> None:
    tried = 0
    for fineness in (0.5, 1.0, 3.0, 10.0):
        for share in SHARES:
            p = profile(family, constant, fineness)
            if can_be(p, form, share):
                check_skin(p, form, share, 61)
                tried += 1
    assert tried >= (0 if (family, constant, form) == ("power-law", 0.3, "round") else 5)


@settings(max_examples=60)
@given(profiles(), st.sampled_from(FORMS), st.floats(0.005, LARGEST_SHARE))
def test_any_blunted_skin_is_sound(p: Profile, form: TipForm, share: float) -> None:
    assume(share * p.base_radius >= 0.01 and can_be(p, form, share))
    check_skin(p, form, share, 41)


@every_form
@every_case
def test_a_blunted_nose_takes_one_piece_more_than_a_sharp_one(
    family: Family, constant: float | None, form: TipForm
) -> None:
    counts = [
        len(blunt(p, form, share).chain)
        for fineness in (0.5, 3.0, 10.0)
        for share in SHARES
        if can_be(p := profile(family, constant, fineness), form, share)
    ]
    assert max(counts, default=0) <= 7


@pytest.mark.parametrize(
    ("family", "constant", "length", "tip", "words"),
    [
        ("cone", None, 32.0, Tip("round", 2.0), "length: 32 mm is shorter than half the base diameter"),
        ("cone", None, 200.0, Tip("round", 33.0), r"tip_radius: 33 mm must be below .* 33 mm; at most 31.35 mm"),
        ("cone", None, 200.0, Tip("flat", 32.0), r"tip_radius: 32 mm leaves next to no profile .* at most 31.35 mm"),
        (
            "half-ellipsoid",
            None,
            132.0,
            Tip("round", 8.0),
            r"tip_radius: 8 mm: .* already rounder; .* at least 8.251 mm",
        ),
        ("power-law", 0.5, 132.0, Tip("round", 4.0), r"tip_radius: 4 mm: .* already rounder; .* at least 4.126 mm"),
        (
            "power-law",
            0.3,
            132.0,
            Tip("round", 9.0),
            r"tip_radius: 9 mm: .* below 0.5 \(0.3\) is flat .* a flat tip works",
        ),
        ("tangent-ogive", None, 33.0, Tip("round", 9.0), "tip_radius: 9 mm: .* than any ball that fits the base"),
        ("secant-ogive", 70.125, 132.0, Tip("round", 9.0), "tip_radius: 9 mm: .* already rounder"),
        ("secant-ogive", 70.2, 132.0, Tip("flat", 9.0), "arc_radius: 70.2 mm is below 70.3959 mm"),
        ("secant-ogive", 60.0, 132.0, Tip("round", 9.0), r"arc_radius: 60 mm is below 70.125 mm"),
    ],
)
def test_a_tip_that_cannot_be_is_refused_in_words(
    family: Family, constant: float | None, length: float, tip: Tip, words: str
) -> None:
    with pytest.raises(PartError, match=words):
        blunted(family, length, 33.0, constant, tip)


@pytest.mark.parametrize("radius", [0.0, -1.0, 0.0099, math.inf, math.nan])
@every_form
def test_a_tip_has_a_radius_that_can_be_made(form: TipForm, radius: float) -> None:
    with pytest.raises(PartError, match=r"tip_radius: .* mm must be above 0, and at least 0\.01 mm"):
        Tip(form, radius)


@pytest.mark.parametrize(
    ("family", "constant", "own"),
    [("half-ellipsoid", None, 33.0**2 / 132.0), ("power-law", 0.5, 33.0**2 / 264.0), ("power-law", 0.55, None)],
)
def test_the_number_in_the_refusal_works_and_is_the_least(
    family: Family, constant: float | None, own: float | None
) -> None:
    """Own radii of curvature at the tip: R^2/L of an ellipse, R^2/2L of the parabola r^2 = R^2 x/L."""
    with pytest.raises(PartError, match="at least") as refusal:
        blunted(family, 132.0, 33.0, constant, Tip("round", 0.02))
    least = float(str(refusal.value).rpartition("at least ")[2].removesuffix(" mm"))
    assert own is None or least == pytest.approx(own, rel=1e-3)
    blunted(family, 132.0, 33.0, constant, Tip("round", least))
    with pytest.raises(PartError, match="already rounder"):
        blunted(family, 132.0, 33.0, constant, Tip("round", 0.998 * least))


def test_ogives_keep_what_makes_them_one() -> None:
    secant = blunted("secant-ogive", 200.0, 33.0, 900.0, Tip("round", 4.0)).chain[1]
    assert isinstance(secant, Arc)
    assert secant.radius == 900.0
    tangent = blunted("tangent-ogive", 200.0, 33.0, None, Tip("round", 4.0)).chain[1]
    np.testing.assert_allclose(normals(tangent, np.array([1.0])), [[0.0, 1.0]], rtol=0.0, atol=1e-15)


def test_a_bulging_secant_ogive_keeps_its_bulge_behind_the_ball() -> None:
    p = profile("secant-ogive", 0.75, 200.0 / 66.0)
    found = blunt(p, "round", 0.2)
    points = chain_points(found.chain)
    assert points[:, 1].max() > p.base_radius + 0.5
    assert found.chain[0].end[1] < p.base_radius


def test_the_same_tip_is_solved_once() -> None:
    first = blunted("haack", 200.0, 33.0, 0.2, Tip("round", 3.0))
    assert blunted("haack", 200.0, 33.0, 0.2, Tip("round", 3.0)) is first


# ---- the inside of a wall


def check_inside(chain: Chain, wall: float, count: int = 25) -> Chain:
    """Hold the inside to its wall at many places, by brute force, and return it."""
    inside = inner_profile(chain, wall)
    length = chain[-1].end[0]
    assert inside[0].start[1] == pytest.approx(0.0, abs=1e-9)
    assert inside[-1].end[0] == pytest.approx(length, abs=1e-11 * length)
    assert gaps(inside, closed=False) <= 1e-9
    points = chain_points(inside, count)
    assert points[:, 1].min() >= -1e-9
    # Past a rim that narrows, the inside runs on along its tangent, farther from the skin than the wall.
    narrows = float(normals(chain[-1], np.array([1.0]))[0, 0]) > 1e-9
    error = away(points, chain) - wall
    assert error.min() >= -AIM
    assert error[: -count if narrows else None].max() <= AIM
    return inside


@every_form
@pytest.mark.parametrize(
    ("family", "constant"),
    [case for case in PROFILE_CASES if case[1] in (None, 0.75, 0.5, 0.3, 0.6, 2.0 / 3.0)],
)
def test_the_inside_is_everywhere_the_wall_away(family: Family, constant: float | None, form: TipForm) -> None:
    """Tips smaller and larger than the wall: 1, 4 and 16.5 mm under walls of 0.5 to 12 mm."""
    for fineness in (0.6, 3.0, 10.0):
        for share in (0.03, 0.12, 0.5):
            p = profile(family, constant, fineness)
            if not can_be(p, form, share):
                with pytest.raises(PartError, match=r"tip_radius|arc_radius"):
                    blunt(p, form, share)
                continue
            for wall in (0.5, 4.0, 12.0):
                check_inside(blunt(p, form, share).chain, wall)


@settings(max_examples=60)
@given(profiles(), st.sampled_from(FORMS), st.floats(0.01, 0.9), st.floats(0.005, 0.7))
def test_the_inside_of_any_blunted_skin_is_sound(p: Profile, form: TipForm, share: float, thick: float) -> None:
    assume(share * p.base_radius >= 0.01 and can_be(p, form, share))
    chain, wall = blunt(p, form, share).chain, thick * p.base_radius
    try:
        check_inside(chain, wall, 15)
    except PartError as refusal:
        assert "leaves no room" in str(refusal)
        # There is none: no place on the axis is a wall away. An ogive like an onion may be closed by it at its rim.
        axis = np.column_stack([np.linspace(0.0, p.length, 401), np.zeros(401)])
        assert p.family == "secant-ogive" or away(axis, chain).max() <= wall + AIM, refusal


@pytest.mark.parametrize("excess", [-1e-3, -1e-6, -1e-8, 0.0, 1e-8, 1e-6, 1e-3])
@pytest.mark.parametrize("family", ["cone", "tangent-ogive", "von-karman"])
def test_a_ball_of_about_the_wall_leaves_a_point_on_the_axis(family: Family, excess: float) -> None:
    chain = blunted(family, 200.0, 33.0, None, Tip("round", 3.0)).chain
    inside = check_inside(chain, 3.0 + excess)
    # The centre of the ball; a wall that is thicker by e ends behind it by less than e over the sine of the slope.
    assert inside[0].start[0] == pytest.approx(3.0 + excess, abs=abs(excess) * 10.0 + AIM)


def test_the_inside_of_a_ball_is_the_smaller_ball() -> None:
    front, *_ = inner_profile(blunted("cone", 200.0, 33.0, None, Tip("round", 5.0)).chain, 1.6)
    assert isinstance(front, Arc)
    assert front.centre == (5.0, 0.0)
    assert front.radius == 5.0 - 1.6


def test_the_inside_of_a_flat_face_is_a_smaller_one() -> None:
    length, base, face, wall = 200.0, 33.0, 8.0, 2.0
    chain = blunted("cone", length, base, None, Tip("flat", face)).chain
    front, side = inner_profile(chain, wall)
    # The parallel of the slant line, slope m, passes x = wall at r = face + m wall - wall sqrt(1 + m^2).
    slope = (base - face) / length
    corner = (wall, face + slope * wall - wall * math.hypot(1.0, slope))
    assert front == Line((wall, 0.0), front.end)
    assert front.end == pytest.approx(corner, rel=1e-12)
    assert side.start == front.end
    assert side.end == pytest.approx((length, base - wall * math.hypot(1.0, slope)), rel=1e-12)


def test_a_wall_thicker_than_a_flat_face_leaves_none_inside() -> None:
    length, base, face, wall = 200.0, 33.0, 1.0, 2.0
    (side,) = inner_profile(blunted("cone", length, base, None, Tip("flat", face)).chain, wall)
    slope = (base - face) / length
    assert side.start == pytest.approx(((wall * math.hypot(1.0, slope) - face) / slope, 0.0), rel=1e-12)


@pytest.mark.parametrize("body", ["solid", "hollow"])
@every_form
@pytest.mark.parametrize(
    ("family", "constant", "fineness", "share"),
    [
        ("cone", None, 0.5, 0.9),
        ("tangent-ogive", None, 3.0, 0.06),
        ("secant-ogive", 0.75, 3.0, 0.3),
        ("half-ellipsoid", None, 2.0, 0.5),
        ("parabola", 1.0, 10.0, 0.03),
        ("power-law", 0.6, 3.0, 0.1),
        ("power-law", 0.9, 5.0, 0.06),
        ("von-karman", None, 5.0, 0.06),
        ("haack", 1.0 / 3.0, 1.0, 0.7),
    ],
)
def test_the_kernel_makes_a_sound_solid_of_it(
    family: Family,
    constant: float | None,
    fineness: float,
    share: float,
    form: TipForm,
    body: Literal["solid", "hollow"],
) -> None:
    chain = blunt(profile(family, constant, fineness), form, share).chain
    shape = turned(chain) if body == "solid" else hollowed(chain, 2.0)
    found, exact = brep.measure(brep.solid(shape)), integrals.moments(shape)
    assert found.valid
    assert found.bodies == 1
    assert found.moments.volume == pytest.approx(exact.volume, rel=1e-10)
    scale = float(np.abs(exact.inertia()).max())
    assert np.allclose(found.moments.inertia(), exact.inertia(), rtol=0.0, atol=1e-10 * scale)
    off_axis = [e for e in shape.meridian.edges if max(e.piece.start[1], e.piece.end[1]) > 1e-7]
    assert found.faces == len(off_axis), "one face for each piece of the section"


def hollowed(chain: Chain, wall: float) -> Revolved:
    inside = inner_profile(chain, wall)
    return section(
        (chain, "wetted"),
        ((Line(chain[-1].end, inside[-1].end),), ""),
        (reverse(inside), ""),
        ((Line(inside[0].start, chain[0].start),), ""),
    )
