"""Transition profiles: the chain that is the shape against the formulas, and what a wall limits inside them.

Sources: the formulas as elementary geometry, written a second time here (circle through two points with a level end;
ellipse in its axes); distances to a polyline of the formula. Exact pieces are held to 1e-9 mm.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from ferrule.parts.chain import gaps
from ferrule.parts.curve import Arc, EllipseArc, Floats, Line
from ferrule.parts.envelope import lowest, radius_at
from ferrule.parts.errors import PartError
from ferrule.parts.transition_profiles import TRANSITION_FAMILIES, TransitionFamily, TransitionProfile, turned_round

every_family = pytest.mark.parametrize("family", TRANSITION_FAMILIES)
every_way = pytest.mark.parametrize(("forward", "aft"), [(34.0, 25.0), (25.0, 34.0)], ids=["narrowing", "widening"])
PIECES = {"conical": Line, "ogive": Arc, "elliptic": EllipseArc}


def by_definition(p: TransitionProfile, x: Floats) -> Floats:
    """Radius at stations from the smaller end, each family as it is defined."""
    r, h, length = p.small, p.change, p.length
    if p.family == "conical":
        return r + h * x / length
    if p.family == "elliptic":
        # (x - L)^2 / L^2 + (y - r)^2 / h^2 = 1
        return r + h * np.sqrt(np.maximum(1.0 - ((x - length) / length) ** 2, 0.0))
    rho = (h**2 + length**2) / (2.0 * h)
    # A circle whose highest point is the rim of the larger end.
    return np.asarray(p.large - rho + np.sqrt(rho**2 - (length - x) ** 2))


def points(p: TransitionProfile, count: int = 4001) -> Floats:
    """The skin as points from the smaller end, by an angle that crowds them where it is steep."""
    x = p.length * (1.0 - np.cos(np.linspace(0.0, math.pi / 2.0, count)))
    return np.column_stack([x, by_definition(p, x)])


def distance(p: Floats, polyline: Floats) -> float:
    """Least distance of a point (2,) from a polyline (n, 2) [mm]."""
    a, d = polyline[:-1], np.diff(polyline, axis=0)
    t = np.clip(np.einsum("ij,ij->i", p - a, d) / np.einsum("ij,ij->i", d, d), 0.0, 1.0)
    return float(np.hypot(*(a + t[:, None] * d - p).T).min())


@every_way
@every_family
def test_the_chain_is_the_formula(family: TransitionFamily, forward: float, aft: float) -> None:
    p = TransitionProfile(family, 80.0, forward, aft)
    (piece,) = p.chain()
    assert type(piece) is PIECES[family]
    assert piece.start == pytest.approx((0.0, forward), abs=1e-9)
    assert piece.end == pytest.approx((80.0, aft), abs=1e-9)
    along = piece.at(np.linspace(0.0, 1.0, 101))
    assert np.all(np.diff(along[:, 0]) > 0.0)
    from_small = 80.0 - along[:, 0] if p.narrows else along[:, 0]
    assert along[:, 1] == pytest.approx(by_definition(p, from_small), abs=1e-9)
    assert p.radius(along[:, 0]) == pytest.approx(along[:, 1], abs=1e-6 if family == "elliptic" else 1e-9)


@every_way
def test_curved_skins_are_level_where_they_meet_the_larger_tube(forward: float, aft: float) -> None:
    """And at the smaller an ellipse stands upright, an ogive leans by 2 atan(h/L) (tangent and chord of a circle)."""
    for family, angle in (("ogive", 2.0 * math.atan(9.0 / 80.0)), ("elliptic", math.pi / 2.0)):
        p = TransitionProfile(family, 80.0, forward, aft)  # type: ignore[arg-type]
        (piece,) = p.chain()
        dx, dr = np.abs(piece.slope(np.array([0.0, 1.0]))).T
        large, small = (0, 1) if p.narrows else (1, 0)
        assert dr[large] == pytest.approx(0.0, abs=1e-9)
        assert math.atan2(dr[small], dx[small]) == pytest.approx(angle, abs=1e-12)


def test_a_flatter_arc_passes_both_rims_with_its_own_radius() -> None:
    p = TransitionProfile("ogive", 80.0, 25.0, 34.0, 800.0)
    (arc,) = p.chain()
    assert isinstance(arc, Arc)
    assert arc.radius == 800.0
    for rim in ((0.0, 25.0), (80.0, 34.0)):
        assert math.dist(arc.centre, rim) == pytest.approx(800.0, abs=1e-9)
    assert arc.start == pytest.approx((0.0, 25.0), abs=1e-9)
    assert arc.end == pytest.approx((80.0, 34.0), abs=1e-9)


def test_the_least_arc_is_the_one_that_is_level() -> None:
    level = TransitionProfile("ogive", 80.0, 25.0, 34.0)
    least = TransitionProfile("ogive", 80.0, 25.0, 34.0, level.tangent_arc_radius)
    assert least.chain() == level.chain()
    assert level.tangent_arc_radius == pytest.approx((9.0**2 + 80.0**2) / 18.0, rel=1e-15)


@every_family
def test_turned_round_twice_is_the_same(family: TransitionFamily) -> None:
    chain = TransitionProfile(family, 80.0, 34.0, 25.0).chain()
    there = turned_round(chain, 80.0)
    assert there[0].start == pytest.approx((0.0, 25.0), abs=1e-9)
    back = turned_round(there, 80.0)
    t = np.linspace(0.0, 1.0, 11)
    assert back[0].at(t) == pytest.approx(chain[0].at(t), abs=1e-9)


@settings(max_examples=60)
@given(
    st.sampled_from(["ogive", "elliptic"]),
    st.floats(10.0, 80.0),
    st.floats(0.5, 80.0),
    st.floats(0.3, 8.0),
    st.floats(0.02, 0.3),
)
def test_the_inside_keeps_the_wall_and_no_more_than_it_must(
    family: TransitionFamily, small: float, change: float, slender: float, share: float
) -> None:
    """Nowhere nearer to the skin than the wall; where it is the parallel, exactly as near.

    Sampled on 4,001 points of the formula, whose chords lie within 1e-5 mm of it.
    """
    assume(family == "elliptic" or slender >= 1.0)
    p = TransitionProfile(family, change * slender, small, small + change)
    wall = share * min(p.length, small)
    limits = p.limits(wall)
    inside, skin = lowest(limits), points(p)
    assert gaps(inside, closed=False) < 1e-9
    # No step: where one limit ends another lies below it.
    assert all(piece.end[0] > piece.start[0] for piece in inside)
    assert inside[0].start[0] == 0.0
    assert inside[-1].end[0] == pytest.approx(p.length, abs=1e-9)
    for x in np.linspace(0.0, p.length, 12):
        r = radius_at(inside, float(x))
        away = distance(np.array([x, r]), skin)
        assert away >= wall - 2e-5, x
        if len(limits) == 2 and x > limits[0][0].start[0] and abs(radius_at(limits[0], float(x)) - r) < 1e-9:
            assert away == pytest.approx(wall, abs=2e-5)


@settings(max_examples=60)
@given(st.floats(0.5, 80.0), st.floats(0.2, 8.0), st.floats(0.02, 0.9))
def test_the_inside_prints_without_support(change: float, slender: float, share: float) -> None:
    """It rises by 45 degrees at most, or as steeply as the skin from end to end."""
    p = TransitionProfile("elliptic", change * slender, 30.0, 30.0 + change)
    for piece in lowest(p.limits(share * p.length)):
        steps = np.diff(piece.at(np.linspace(0.0, 1.0, 33)), axis=0)
        assert np.all(steps[:, 1] <= max(1.0, 1.0 / slender) * steps[:, 0] + 1e-6)


def test_a_spacer_is_conical() -> None:
    (piece,) = TransitionProfile("conical", 80.0, 34.0, 34.0).chain()
    assert piece == Line((0.0, 34.0), (80.0, 34.0))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        (("ogive", 80.0, 34.0, 34.0), "profile: both ends are 68 mm wide, and ogive is a way from one diameter to"),
        (("elliptic", 80.0, 34.0, 34.0), "take profile = conical, which is then a straight spacer"),
        (("ogive", 8.9, 34.0, 25.0), "length: 8.9 mm is less than half the change of diameter.*needs at least 9 mm"),
        (("ogive", 80.0, 34.0, 33.9999), "profile: the diameters differ by 0.0002 mm over 80 mm, which no arc"),
        (("conical", 80.0, 34.0, 25.0, 800.0), "arc_radius: the profile conical has no arc; leave it out"),
        (("ogive", 80.0, 34.0, 25.0, 360.0), r"arc_radius: 360 mm must be at least 360.056 mm, where the arc is level"),
        (("ogive", 80.0, 34.0, 25.0, 2e7), "and at most 10000000 mm; a larger one is nearer to a cone"),
        (("conical", 0.0, 34.0, 25.0), "length: the length and both radii of a transition must be above 0 mm"),
        (("conical", 80.0, -1.0, 25.0), "must be above 0 mm"),
    ],
)
def test_what_cannot_be_says_what_can(fields: tuple[Any, ...], words: str) -> None:
    with pytest.raises(PartError, match=words):
        TransitionProfile(*fields)


@pytest.mark.parametrize("family", ["ogive", "elliptic"])
def test_a_wall_as_thick_as_the_skin_is_long_would_fold(family: TransitionFamily) -> None:
    with pytest.raises(PartError, match="wall: 20 mm is not less than the length of the skin, 20 mm, so its inside"):
        TransitionProfile(family, 20.0, 60.0, 50.0).limits(20.0)
    assert TransitionProfile(family, 20.0, 60.0, 50.0).limits(19.9)


def test_what_was_found_at_least_is_taken() -> None:
    """The numbers of the messages work."""
    TransitionProfile("ogive", 9.0, 34.0, 25.0)
    TransitionProfile("ogive", 80.0, 34.0, 25.0, 360.056)
