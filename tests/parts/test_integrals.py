"""Moments and areas of shapes against closed forms and against independent quadrature.

Sources: volumes and moments of inertia of the elementary bodies (cylinder, cone, sphere, torus, box, triangle) are
those of any mechanics handbook, derived from their integrals; two equal cylinders that cross share 16 r^3 / 3
(Archimedes, Steinmetz). What a radial bore takes out of a wall is integrated a second time with scipy's adaptive
quadrature in Cartesian coordinates, split where the integrand has corners; nothing of the code under test is used.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from geometry_samples import bore_through, hollow, profile, profiles, section, tube, turned
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from ferrule.parts.curve import Arc, Bezier, EllipseArc, Line
from ferrule.parts.readers.integrals import area, box, moments
from ferrule.parts.readers.mesh import Fineness, mesh
from ferrule.parts.readers.moments import NOTHING, Moments, of_triangles
from ferrule.parts.shape import (
    FLAT_TO_PLATE,
    Array,
    Blade,
    Cut,
    Edge,
    Fused,
    Meridian,
    Outline,
    Placed,
    Plate,
    RadialFeature,
    Revolved,
    Shape,
    circle,
    edges,
    hole,
    moved,
    polygon,
    rolled,
)

EXACT = 1e-12
"""Relative: a few hundred roundings of 1e-16, some of them differences."""


def exactly(value: float, scale: float | None = None) -> Any:
    return pytest.approx(value, rel=EXACT, abs=EXACT * (abs(value) if scale is None else scale))


def check(found: Moments, volume: float, centroid: Sequence[float], axial: float, across: float) -> None:
    """Volume, centroid and the inertia about the centroid along x and across it."""
    size = float(np.abs(found.second).max() / volume) ** 0.5
    assert found.volume == exactly(volume)
    np.testing.assert_allclose(found.centroid, centroid, rtol=0.0, atol=EXACT * size * 10)
    inertia = found.inertia()
    np.testing.assert_allclose(np.diag(inertia), [axial, across, across], rtol=EXACT * 100)
    np.testing.assert_allclose(inertia - np.diag(np.diag(inertia)), 0.0, atol=EXACT * axial)
    assert found.error <= 1e-12


# ---- closed forms of turned solids


def test_a_cylinder() -> None:
    r, length = 7.0, 40.0
    v = math.pi * r**2 * length
    check(moments(tube(r, 0.0, length)), v, (length / 2, 0, 0), v * r**2 / 2, v * (3 * r**2 + length**2) / 12)


def test_a_tube() -> None:
    outside, bore, length = 33.0, 31.5, 300.0
    v = math.pi * (outside**2 - bore**2) * length
    square = outside**2 + bore**2
    check(
        moments(tube(outside, bore, length)), v, (length / 2, 0, 0), v * square / 2, v * (3 * square + length**2) / 12
    )


def test_a_cone() -> None:
    r, length = 33.0, 200.0
    v = math.pi * r**2 * length / 3.0
    found = moments(turned((Line((0.0, 0.0), (length, r)),)))
    check(found, v, (0.75 * length, 0, 0), 0.3 * v * r**2, 3 * v * (4 * r**2 + length**2) / 80)


def test_a_sphere() -> None:
    r = 20.0
    ball = Revolved(Meridian((Edge(Arc((r, 0.0), r, math.pi, -math.pi)), Edge(Line((2 * r, 0.0), (0.0, 0.0))))))
    v = 4.0 * math.pi * r**3 / 3.0
    check(moments(ball), v, (r, 0, 0), 0.4 * v * r**2, 0.4 * v * r**2)


def test_half_an_ellipsoid() -> None:
    r, length = 33.0, 200.0
    v = 2.0 * math.pi * r**2 * length / 3.0
    found = moments(turned(profile("half-ellipsoid", None, length / (2 * r), r).chain()))
    # About the base's centre the inertia across is v (L^2 + R^2) / 5; moved by Steiner's theorem over 3/8 L.
    check(found, v, (5 * length / 8, 0, 0), 0.4 * v * r**2, v * (length**2 + r**2) / 5 - v * (3 * length / 8) ** 2)


def test_a_torus() -> None:
    # Volume by Pappus; inertia V (R^2 + 3 a^2/4) along the axis and V (R^2/2 + 5 a^2/8) across it.
    middle, a = 30.0, 4.0
    ring = Revolved(Meridian(hole(a, (50.0, middle))))
    v = 2.0 * math.pi**2 * middle * a**2
    check(moments(ring), v, (50, 0, 0), v * (middle**2 + 0.75 * a**2), v * (middle**2 / 2 + 5 * a**2 / 8))


def test_a_paraboloid_is_half_its_cylinder() -> None:
    r, length = 33.0, 200.0
    v = math.pi * r**2 * length / 2.0
    found = moments(turned(profile("power-law", 0.5, length / (2 * r), r).chain()))
    check(found, v, (2 * length / 3, 0, 0), v * r**2 / 3, v * r**2 / 6 + v * length**2 / 18)


@given(profiles())
def test_a_profile_fills_what_pappus_says_of_its_formula(p: Any) -> None:
    exact, _ = quad(
        lambda s: math.pi * float(p.radius(np.array([p.length * s**4]))[0]) ** 2 * p.length * 4.0 * s**3,
        0.0,
        1.0,
        epsabs=0.0,
        epsrel=1e-11,
        limit=200,
    )
    # A fit strays from its formula by up to 1e-6 mm over skins of radii from 4 mm up: 1e-6 * 2 / 4.
    assert moments(turned(p.chain())).volume == pytest.approx(exact, rel=5e-7)


# ---- closed forms of flat solids


def test_a_box() -> None:
    found = moments(Plate(Outline(polygon(((1.0, 2.0), (9.0, 2.0), (9.0, 7.0), (1.0, 7.0)))), 3.0))
    v = 8.0 * 5.0 * 3.0
    assert found.volume == exactly(v)
    assert found.centroid == pytest.approx((1.5, 5.0, 4.5), rel=EXACT)
    np.testing.assert_allclose(
        found.inertia(), np.diag([v * (64 + 25) / 12, v * (9 + 25) / 12, v * (9 + 64) / 12]), rtol=1e-11, atol=1e-9
    )


def test_a_right_triangle_has_the_product_of_inertia_of_the_handbook() -> None:
    b, h, t = 12.0, 5.0, 2.0
    found = moments(Plate(Outline(polygon(((0.0, 0.0), (b, 0.0), (0.0, h)))), t))
    assert found.centroid == pytest.approx((t / 2, b / 3, h / 3), rel=EXACT)
    xx, yy, zz, xy, xz, yz = found.second
    assert yy == exactly(t * h * b**3 / 12)
    assert zz == exactly(t * b * h**3 / 12)
    assert yz == exactly(t * b**2 * h**2 / 24)
    assert xx == exactly(b * h / 2 * t**3 / 3)
    assert (xy, xz) == pytest.approx((t**2 / 2 * b**2 * h / 6, t**2 / 2 * b * h**2 / 6), rel=EXACT)


def test_a_washer() -> None:
    outside, bore, t = 49.0, 19.3, 6.0
    found = moments(Plate(Outline(circle(outside), (hole(bore),)), t))
    v = math.pi * (outside**2 - bore**2) * t
    square = outside**2 + bore**2
    check(found, v, (t / 2, 0, 0), v * square / 2, v * (3 * square + t**2) / 12)


def test_an_ellipse_tilted_in_its_plane() -> None:
    a, b, tilt, t = 9.0, 4.0, 0.6, 2.5
    found = moments(Plate(Outline((Edge(EllipseArc((0.0, 0.0), a, b, 0.2, math.tau, tilt)),)), t))
    v = math.pi * a * b * t
    c, s = math.cos(tilt), math.sin(tilt)
    assert found.volume == exactly(v)
    assert found.second[1:3] == pytest.approx(
        (v * (a * a * c * c + b * b * s * s) / 4, v * (a * a * s * s + b * b * c * c) / 4), rel=EXACT
    )
    assert found.second[5] == exactly(v * (a * a - b * b) * c * s / 4)


def test_a_parabolic_plate() -> None:
    # Under y = h (1 - (x/b)^2): area 4 b h / 3, centroid 2 h / 5 up.
    b, h = 6.0, 8.0
    loop = edges((Line((-b, 0.0), (b, 0.0)), Bezier(((b, 0.0), (0.0, 2.0 * h), (-b, 0.0)))))
    found = moments(Plate(Outline(loop), 1.0))
    assert found.volume == exactly(4.0 * b * h / 3.0)
    assert found.centroid == pytest.approx((0.5, 0.0, 0.4 * h), abs=1e-13)


def test_a_trapezoidal_blade_stands_in_the_fin_frame() -> None:
    root, tip, span, sweep, t = 120.0, 60.0, 70.0, 50.0, 3.0
    found = moments(Blade(Outline(polygon(((0.0, 0.0), (root, 0.0), (sweep + tip, span), (sweep, span)))), t))
    flat = (root + tip) / 2.0 * span
    # Trapezium: centroid span (root + 2 tip) / (3 (root + tip)) out; along x the mean of the two triangles it consists
    # of, (0, root, sweep) and (root, sweep + tip, sweep), by their areas root and tip.
    x = (root * (root + sweep) / 3.0 + tip * (root + 2.0 * sweep + tip) / 3.0) / (root + tip)
    assert found.volume == exactly(flat * t)
    assert found.centroid == pytest.approx((x, span * (root + 2 * tip) / (3 * (root + tip)), 0.0), abs=1e-11)
    assert found.second[2] == exactly(flat * t**3 / 12)
    assert found.second[4:] == pytest.approx((0.0, 0.0), abs=1e-6)


# ---- areas of turned faces


@pytest.mark.parametrize(
    ("chain", "exact"),
    [
        ((Line((0.0, 0.0), (200.0, 33.0)),), math.pi * 33.0 * math.hypot(200.0, 33.0)),
        ((Line((0.0, 27.0), (60.0, 37.5)),), math.pi * (27.0 + 37.5) * math.hypot(60.0, 10.5)),
        ((Line((5.0, 0.0), (5.0, 8.0)),), math.pi * 64.0),
        ((Arc((20.0, 0.0), 20.0, math.pi, -math.pi / 2.0),), 2.0 * math.pi * 400.0),
        ((Arc((0.0, 30.0), 4.0, 0.0, math.tau),), 4.0 * math.pi**2 * 30.0 * 4.0),
        (
            # Paraboloid: pi R ((R^2 + 4 L^2)^1.5 - R^3) / (6 L^2).
            profile("power-law", 0.5, 200.0 / 66.0).chain(),
            math.pi * 33.0 * ((33.0**2 + 4 * 200.0**2) ** 1.5 - 33.0**3) / (6 * 200.0**2),
        ),
        (
            # Half a prolate spheroid without its base: pi R^2 + pi R L asin(e) / e.
            profile("half-ellipsoid", None, 200.0 / 66.0).chain(),
            math.pi * 33.0**2
            + math.pi * 33.0 * 200.0 * math.asin(math.sqrt(1 - (33 / 200) ** 2)) / math.sqrt(1 - (33 / 200) ** 2),
        ),
    ],
    ids=["cone", "frustum", "disc", "hemisphere", "torus", "paraboloid", "spheroid"],
)
def test_turned_areas_are_their_closed_forms(chain: tuple[Any, ...], exact: float) -> None:
    class Section:
        """Lets `area` read one open stretch."""

        @staticmethod
        def role(_role: str) -> tuple[Any, ...]:
            return chain

    assert area(Section(), "wetted") == pytest.approx(exact, rel=1e-12)  # type: ignore[arg-type]


def test_only_the_faces_of_the_role_count() -> None:
    meridian = tube(33.0, 31.5, 100.0, "wetted", "fit").meridian
    assert area(meridian, "wetted") == exactly(math.tau * 33.0 * 100.0)
    assert area(meridian, "fit") == exactly(math.tau * 31.5 * 100.0)
    assert area(meridian, "seat") == 0.0


# ---- motion, size and sums


def sample_shapes() -> dict[str, Shape]:
    pipe = tube(33.0, 31.5, 100.0)
    return {
        "tube": pipe,
        "hollow nose": hollow(profile("von-karman", None), 1.6),
        "plate": Plate(Outline(polygon(((0.0, 0.0), (30.0, 0.0), (4.0, 20.0)))), 2.0),
        "tube with a hole": Cut(pipe, (bore_through(4.0, 40.0, 40.0, 0.7),)),
        "tube with a boss": Fused((pipe, bore_through(4.0, 40.0, 38.0, 0.7, 32.0))),
    }


every_sample = pytest.mark.parametrize("name", sample_shapes())


@every_sample
@pytest.mark.parametrize("placement", [rolled(0.8), moved(3.0, -40.0, 7.0), moved(1.0, 2.0, 3.0).after(FLAT_TO_PLATE)])
def test_a_rigid_motion_moves_the_centroid_and_turns_the_inertia(name: str, placement: Any) -> None:
    shape = sample_shapes()[name]
    still, after = moments(shape), moments(Placed(shape, placement))
    turn = placement.matrix
    inertia = still.inertia()
    assert after.volume == still.volume
    np.testing.assert_allclose(after.centroid, placement.apply(np.array([still.centroid]))[0], atol=1e-10)
    np.testing.assert_allclose(after.inertia(), turn @ inertia @ turn.T, atol=1e-10 * np.abs(inertia).max())


def scaled(piece: Any, by: float) -> Any:
    def point(p: tuple[float, float]) -> tuple[float, float]:
        return (p[0] * by, p[1] * by)

    match piece:
        case Line():
            return Line(point(piece.start), point(piece.end))
        case Arc():
            return Arc(point(piece.centre), piece.radius * by, piece.start_angle, piece.sweep)
        case Bezier():
            return Bezier(tuple(point(pole) for pole in piece.poles))
    raise AssertionError(piece)


@given(profiles().filter(lambda p: p.family != "half-ellipsoid"), st.floats(0.1, 20.0))
def test_volume_goes_with_the_cube_and_inertia_with_the_fifth_power_of_size(p: Any, by: float) -> None:
    small = turned(p.chain()).meridian
    large = Meridian(tuple(Edge(scaled(edge.piece, by), edge.role) for edge in small.edges))
    one, other = moments(Revolved(small)), moments(Revolved(large))
    assert other.volume == pytest.approx(one.volume * by**3, rel=1e-11)
    assert other.centroid[0] == pytest.approx(one.centroid[0] * by, rel=1e-11)
    np.testing.assert_allclose(other.inertia(), one.inertia() * by**5, rtol=1e-9, atol=1e-9 * by**5)


def test_parts_that_only_touch_add_up() -> None:
    front, rear = tube(33.0, 31.5, 100.0), Placed(tube(33.0, 31.5, 50.0), moved(100.0))
    fused, whole = moments(Fused((front, rear))), moments(tube(33.0, 31.5, 150.0))
    assert fused.volume == exactly(whole.volume)
    np.testing.assert_allclose(fused.second, whole.second, rtol=1e-11, atol=1e-6)


def test_what_a_cut_takes_and_what_it_leaves_add_up() -> None:
    pipe, feature = tube(33.0, 31.5, 100.0), bore_through(4.0, 40.0, 40.0, 0.7)
    prism = moments(feature)
    joined, left = moments(Fused((pipe, feature))), moments(Cut(pipe, (feature,)))
    # Fused counts the shared material once: |A + B| + |A and B| = |A| + |B|, and |A| - |A and B| = |A - B|.
    shared = moments(pipe).volume - left.volume
    assert joined.volume == exactly(moments(pipe).volume + prism.volume - shared)


def test_members_that_overlap_count_once() -> None:
    one = Plate(Outline(polygon(((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)))), 4.0)
    found = moments(Fused((one, Placed(one, moved(y=4.0)), Placed(one, moved(y=2.0, z=2.0)))))
    # 14 x 10 and 10 x 10 shifted by (2, 2): together 140 + 100 - 10 * 8 square millimetres, 4 thick.
    assert found.volume == pytest.approx(160.0 * 4.0, rel=1e-9)  # facets on a grid of 1e-6 mm
    assert "flat facets" in found.method


def test_a_flat_hole_in_a_flat_plate_is_exact() -> None:
    plate = Plate(Outline(polygon(((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)))), 4.0)
    tool = Placed(Plate(Outline(polygon(((2.0, 3.0), (5.0, 3.0), (5.0, 7.0), (2.0, 7.0)))), 6.0), moved(-1.0))
    found = moments(Cut(plate, (tool,)))
    assert found.volume == pytest.approx((100.0 - 12.0) * 4.0, rel=1e-9)
    assert found.centroid[1] == pytest.approx((100.0 * 5.0 - 12.0 * 3.5) / 88.0, rel=1e-9)


def test_a_plate_that_is_nowhere_near_changes_nothing() -> None:
    pipe = tube(33.0, 31.5, 100.0)
    far = Placed(tube(5.0, 0.0, 10.0), moved(500.0))
    assert moments(Cut(pipe, (far,))).volume == moments(pipe).volume
    assert moments(Cut(pipe, (bore_through(3.0, 200.0, 40.0),))).volume == moments(pipe).volume


def test_moments_subtract_back_to_nothing() -> None:
    found = moments(tube(33.0, 31.5, 100.0))
    rest = found - found
    assert rest.volume == 0.0
    assert set(rest.second) == {0.0}
    assert (NOTHING + found).volume == found.volume


def test_the_moments_of_a_tetrahedron_of_triangles_are_exact() -> None:
    corners = np.array([[0.0, 0.0, 0.0], [6.0, 0.0, 0.0], [0.0, 4.0, 0.0], [0.0, 0.0, 3.0]]) + np.array(
        [100.0, 0.0, 0.0]
    )
    faces = np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]])
    found = of_triangles(corners, faces, "by hand", 0.0)
    # Corner tetrahedron with legs a, b, c: volume a b c / 6, integral of y^2 a b^3 c / 60, of y z a b^2 c^2 / 120.
    assert found.volume == exactly(12.0)
    assert found.centroid == pytest.approx((101.5, 1.0, 0.75), rel=1e-12)
    assert found.second[1] == exactly(6.0 * 64.0 * 3.0 / 60.0, 100.0)
    assert found.second[5] == exactly(6.0 * 16.0 * 9.0 / 120.0, 100.0)


# ---- radial features in curved walls


@dataclass(frozen=True)
class Wall:
    """A wall for the reference quadrature: radii as functions of the station, and its corners."""

    outer: Callable[[float], float]
    inner: Callable[[float], float]
    corners: tuple[float, ...] = ()


def reference(
    wall: Wall,
    radius: float,
    station: float,
    start: float = 0.0,
    stop: float = 1e9,
    aside: float = 0.0,
    splits: Sequence[float] = (),
    beyond: bool = False,
) -> np.ndarray:
    """Integrals of 1, x, t, xx, tt, ww of what a round radial feature shares with a wall [mm3 to mm5].

    With `beyond` what lies outside the wall, up to the flat end, instead. Adaptive quadrature over x and w in
    Cartesian coordinates; `splits` are further stations at which the inner integral has a corner.
    """

    def stretch(x: float, w: float) -> tuple[float, float]:
        top = math.sqrt(max(wall.outer(x) ** 2 - w * w, 0.0))
        low = max(math.sqrt(max(wall.inner(x) ** 2 - w * w, 0.0)), start)
        return (min(max(top, start), stop), stop) if beyond else (low, max(min(top, stop), low))

    def line(x: float, power_t: int, power_w: int) -> float:
        half = math.sqrt(max(radius**2 - (x - station) ** 2, 0.0))
        a, b = aside - half, aside + half
        corners = [
            sign * math.sqrt(r * r - flat * flat)
            for r in (wall.outer(x), wall.inner(x))
            for flat in (0.0, start, stop)
            for sign in (1, -1)
            if r > flat
        ]
        ends = [a, *sorted(c for c in corners if a < c < b), b]

        def height(w: float) -> float:
            low, high = stretch(x, w)
            return (high ** (power_t + 1) - low ** (power_t + 1)) / (power_t + 1) * w**power_w

        # w = m + h sin(angle) takes the square roots at the ends of each stretch.
        total = 0.0
        for p, q in itertools.pairwise(ends):
            m, h = (p + q) / 2.0, (q - p) / 2.0
            total += quad(
                lambda s, m=m, h=h: height(m + h * math.sin(s)) * h * math.cos(s),
                -math.pi / 2,
                math.pi / 2,
                epsabs=1e-12,
                epsrel=1e-12,
            )[0]
        return total

    inside = [c for c in (*wall.corners, *splits) if abs(c - station) < radius]
    ends = [station - radius, *sorted(inside), station + radius]
    found = []
    for power_x, power_t, power_w in ((0, 0, 0), (1, 0, 0), (0, 1, 0), (2, 0, 0), (0, 2, 0), (0, 0, 2)):
        total = 0.0
        for p, q in itertools.pairwise(ends):
            m, h = (p + q) / 2.0, (q - p) / 2.0

            def row(s: float, m: float = m, h: float = h) -> float:
                x = m + h * math.sin(s)
                return x**power_x * line(x, power_t, power_w) * h * math.cos(s)  # noqa: B023  used at once

            total += quad(row, -math.pi / 2, math.pi / 2, epsabs=1e-9, epsrel=1e-11)[0]
        found.append(total)
    return np.array(found)


def at_roll_zero(found: Moments) -> np.ndarray:
    """The same six integrals of moments whose feature stands at roll 0: t is y and w is -z."""
    return np.array([found.volume, found.first[0], found.first[1], *found.second[:3]])


STEPPED = section(
    (
        (
            Line((0.0, 30.0), (50.0, 30.0)),
            Line((50.0, 30.0), (50.0, 33.0)),
            Line((50.0, 33.0), (100.0, 33.0)),
            Line((100.0, 33.0), (100.0, 28.0)),
            Line((100.0, 28.0), (0.0, 28.0)),
            Line((0.0, 28.0), (0.0, 30.0)),
        ),
        "",
    )
)
STEPPED_WALL = Wall(lambda x: 30.0 if x < 50.0 else 33.0, lambda _x: 28.0, (50.0,))

BOATTAIL = section(
    (
        (
            Line((0.0, 30.0), (50.0, 30.0)),
            Line((50.0, 30.0), (100.0, 20.0)),
            Line((100.0, 20.0), (100.0, 18.0)),
            Line((100.0, 18.0), (52.0, 28.0)),
            Line((52.0, 28.0), (0.0, 28.0)),
            Line((0.0, 28.0), (0.0, 30.0)),
        ),
        "",
    )
)
BOATTAIL_WALL = Wall(
    lambda x: 30.0 - 0.2 * max(x - 50.0, 0.0), lambda x: 28.0 - 10.0 / 48.0 * max(x - 52.0, 0.0), (50.0, 52.0)
)


def plain(outside: float, bore: float) -> tuple[Revolved, Wall]:
    return tube(outside, bore, 100.0), Wall(lambda _x: outside, lambda _x: bore)


def same_as_reference(found: np.ndarray, exact: np.ndarray) -> None:
    # Moments scale with the distance of the feature from the origin; the reference itself is good to 1e-11.
    size = np.array([1.0, 50.0, 30.0, 2500.0, 900.0, 900.0]) * exact[0]
    np.testing.assert_allclose(found / size, exact / size, rtol=0.0, atol=1e-10)


def test_a_bore_as_wide_as_its_bar_takes_half_of_what_two_cylinders_share() -> None:
    r = 12.0
    bar = tube(r, 0.0, 60.0)
    left = moments(Cut(bar, (bore_through(r, 30.0, 2.0 * r),)))
    # The hole just touches the side of the bar all along one line, which is where the rule converges slowest.
    assert moments(bar).volume - left.volume == pytest.approx(8.0 * r**3 / 3.0, rel=1e-8)


@pytest.mark.parametrize("half", [3.0, 10.0, 20.0])
def test_a_square_bore_through_a_bar_takes_its_closed_form(half: float) -> None:
    # Over |w| < h a bar of radius R is sqrt(R^2 - w^2) deep: h sqrt(R^2 - h^2) + R^2 asin(h/R) to one side.
    r = 30.0
    square = Outline(polygon(((-5.0, -half), (5.0, -half), (5.0, half), (-5.0, half))))
    bar = tube(r, 0.0, 60.0)
    left = moments(Cut(bar, (RadialFeature(30.0, 1.1, square, 0.0, 50.0),)))
    exact = 10.0 * (half * math.sqrt(r * r - half * half) + r * r * math.asin(half / r))
    assert moments(bar).volume - left.volume == pytest.approx(exact, rel=1e-11)


@pytest.mark.parametrize(
    ("outside", "bore", "radius"),
    [(33.0, 32.4, 2.0), (33.0, 31.5, 12.0), (33.0, 0.0, 5.0), (33.0, 20.0, 19.0), (300.0, 299.9, 1.0)],
)
def test_a_round_hole_takes_what_quadrature_says(outside: float, bore: float, radius: float) -> None:
    solid, wall = plain(outside, bore)
    taken = moments(solid) - moments(Cut(solid, (bore_through(radius, 40.0, 2.0 * outside),)))
    exact = reference(wall, radius, 40.0)
    # The difference of two tubes loses the digits of their ratio.
    size = np.array([1.0, 50.0, outside, 2500.0, outside**2, outside**2]) * moments(solid).volume
    np.testing.assert_allclose(at_roll_zero(taken) / size, exact / size, rtol=0.0, atol=1e-12)


@pytest.mark.parametrize(("solid", "wall"), [(STEPPED, STEPPED_WALL), (BOATTAIL, BOATTAIL_WALL)], ids=["step", "cone"])
@pytest.mark.parametrize("station", [47.0, 50.0, 53.5])
def test_a_hole_across_a_corner_of_the_section_is_as_exact(solid: Revolved, wall: Wall, station: float) -> None:
    taken = moments(solid) - moments(Cut(solid, (bore_through(4.0, station, 60.0),)))
    same_as_reference(at_roll_zero(taken), reference(wall, 4.0, station))


@pytest.mark.parametrize("radius", [28.5, 29.9])
def test_a_hole_that_runs_past_the_side_of_the_bore_is_as_exact(radius: float) -> None:
    solid, wall = plain(30.0, 28.0)
    reach = math.sqrt(radius**2 - 28.0**2)
    taken = moments(solid) - moments(Cut(solid, (bore_through(radius, 50.0, 60.0),)))
    same_as_reference(at_roll_zero(taken), reference(wall, radius, 50.0, splits=(50.0 - reach, 50.0 + reach)))


def test_a_hole_set_aside_from_the_radius_is_as_exact() -> None:
    solid, wall = plain(30.0, 20.0)
    aside, radius = 18.0, 6.0
    feature = RadialFeature(50.0, 0.0, Outline(circle(radius, (0.0, aside))), 0.0, 60.0)
    taken = moments(solid) - moments(Cut(solid, (feature,)))
    reach = math.sqrt(radius**2 - (20.0 - aside) ** 2)
    same_as_reference(
        at_roll_zero(taken), reference(wall, radius, 50.0, aside=aside, splits=(50.0 - reach, 50.0 + reach))
    )
    # Set aside by +w at roll 0 the hole lies on the -z side.
    assert taken.first[2] < 0.0


@pytest.mark.parametrize(("start", "stop"), [(28.5, 35.0), (27.0, 30.0), (0.0, 31.0)])
def test_a_boss_that_ends_flat_adds_what_lies_beyond_the_wall(start: float, stop: float) -> None:
    solid, wall = plain(30.0, 28.0)
    boss = bore_through(4.0, 50.0, stop, 0.0, start)
    added = moments(Fused((solid, boss))) - moments(solid)
    shared = reference(wall, 4.0, 50.0, start, stop)
    prism = at_roll_zero(moments(boss))
    assert prism[0] == exactly(math.pi * 16.0 * (stop - start))
    same_as_reference(at_roll_zero(added), prism - shared)


def test_a_boss_that_starts_in_the_wall_adds_only_outside() -> None:
    solid, wall = plain(30.0, 28.0)
    added = moments(Fused((solid, bore_through(4.0, 50.0, 36.0, 0.0, 28.5)))) - moments(solid)
    same_as_reference(at_roll_zero(added), reference(wall, 4.0, 50.0, 28.5, 36.0, beyond=True))


def test_a_pocket_that_ends_inside_the_wall_is_as_exact() -> None:
    solid, wall = plain(30.0, 20.0)
    taken = moments(solid) - moments(Cut(solid, (bore_through(7.0, 50.0, 40.0, 0.0, 29.5),)))
    # The flat floor at 29.5 mm meets the wall's outside at w = sqrt(30^2 - 29.5^2) = 5.45 mm, inside the hole.
    reach = math.sqrt(7.0**2 - (30.0**2 - 29.5**2))
    exact = reference(wall, 7.0, 50.0, 29.5, 1e9, splits=(50.0 - reach, 50.0 + reach))
    same_as_reference(at_roll_zero(taken), exact)


@given(st.floats(-7.0, 7.0), st.integers(2, 6))
def test_evenly_spaced_holes_leave_the_balance_as_it_was(roll: float, count: int) -> None:
    left = moments(Cut(tube(33.0, 31.5, 100.0), (Array(bore_through(4.0, 40.0, 40.0, roll), count),)))
    one = moments(Cut(tube(33.0, 31.5, 100.0), (bore_through(4.0, 40.0, 40.0),)))
    whole = moments(tube(33.0, 31.5, 100.0))
    assert whole.volume - left.volume == pytest.approx(count * (whole.volume - one.volume), rel=1e-10)
    assert left.centroid[1:] == pytest.approx((0.0, 0.0), abs=1e-11)
    if count > 2:
        assert left.second[1] == pytest.approx(left.second[2], rel=1e-12)


# ---- what overlaps otherwise is meshed, and the error says so


@pytest.mark.parametrize(
    ("shape", "exact"),
    [
        # The same hole twice, and a hole that lies in another: each removes what the larger one removes alone.
        (
            Cut(tube(33.0, 31.5, 100.0), (bore_through(4.0, 40.0, 50.0), bore_through(4.0, 40.0, 50.0))),
            Cut(tube(33.0, 31.5, 100.0), (bore_through(4.0, 40.0, 50.0),)),
        ),
        (
            Cut(tube(33.0, 31.5, 100.0), (bore_through(2.0, 41.0, 50.0), bore_through(4.0, 40.0, 50.0))),
            Cut(tube(33.0, 31.5, 100.0), (bore_through(4.0, 40.0, 50.0),)),
        ),
        (
            Fused((tube(33.0, 31.5, 100.0), bore_through(2.0, 41.0, 39.0), bore_through(4.0, 40.0, 40.0))),
            Fused((tube(33.0, 31.5, 100.0), bore_through(4.0, 40.0, 40.0))),
        ),
    ],
    ids=["twice", "one in another", "boss in a boss"],
)
def test_features_that_overlap_fall_back_to_a_mesh_whose_error_is_stated(shape: Shape, exact: Shape) -> None:
    found, right = moments(shape), moments(exact)
    assert "mesh of the shared material" in found.method
    assert "quadrature" in right.method
    assert 1e-12 < found.error < 1e-5
    assert found.volume == pytest.approx(right.volume, rel=found.error)


def test_spokes_that_meet_on_the_axis_count_once() -> None:
    # A closed form for the union: n spokes of half width h reach from the axis; the regular n-gon of inradius h in the
    # middle is covered by all of them. Two opposite spokes are one plank.
    pipe = tube(30.0, 28.0, 100.0)
    spoke = RadialFeature(50.0, 0.0, Outline(polygon(((-3.0, -2.0), (3.0, -2.0), (3.0, 2.0), (-3.0, 2.0)))), 0.0, 29.0)
    added = moments(Fused((pipe, Array(spoke, 2)))).volume - moments(pipe).volume
    # Across the bore: 2 (h sqrt(r^2 - h^2) + r^2 asin(h/r)) for h = 2, r = 28, times 6 mm.
    assert added == pytest.approx(12.0 * (2.0 * math.sqrt(28.0**2 - 4.0) + 28.0**2 * math.asin(2.0 / 28.0)), rel=1e-5)
    four = moments(Fused((pipe, Array(spoke, 4)))).volume - moments(pipe).volume
    # Two planks that cross share a square of 4 mm.
    assert four == pytest.approx(2.0 * added - 16.0 * 6.0, rel=1e-5)


def test_a_fin_root_sunk_into_a_wall_counts_once() -> None:
    pipe = tube(33.0, 30.0, 200.0)
    root, span, t, sunk = 100.0, 40.0, 4.0, 31.0
    fin = Blade(Outline(polygon(((0.0, 0.0), (root, 0.0), (root, span), (0.0, span)))), t)
    found = moments(Fused((pipe, Array(Placed(fin, moved(50.0, sunk)), 3))))
    # Over |w| < t/2 the wall outside of the root's plane is sqrt(R^2 - w^2) - 31 deep.
    h, r = t / 2.0, 33.0
    shared = root * (h * math.sqrt(r * r - h * h) + r * r * math.asin(h / r) - t * sunk)
    exact = moments(pipe).volume + 3.0 * (root * span * t - shared)
    assert found.error < 1e-5
    assert found.volume == pytest.approx(exact, rel=found.error)


@pytest.mark.parametrize("name", sample_shapes())
def test_a_fine_mesh_has_the_same_moments(name: str) -> None:
    shape = sample_shapes()[name]
    exact, meshed = moments(shape), mesh(shape, Fineness(0.005, 0.005, hold_fit=False)).moments()
    size = float(np.abs(exact.second).max())
    assert meshed.volume == pytest.approx(exact.volume, rel=1e-6)
    np.testing.assert_allclose(meshed.centroid, exact.centroid, atol=1e-3)
    # Vertices that keep the volume overstate second moments by the square of their deviation over the size.
    np.testing.assert_allclose(np.array(meshed.second) / size, np.array(exact.second) / size, atol=1e-5)


# ---- boxes


@pytest.mark.parametrize("name", sample_shapes())
def test_a_box_holds_every_vertex(name: str) -> None:
    shape = Placed(sample_shapes()[name], moved(1.0, 2.0, 3.0).after(rolled(0.4)))
    low, high = box(shape)
    vertices = mesh(shape).vertices
    assert np.all(vertices >= low - 0.02)  # the mesh may stand out by its deviation
    assert np.all(vertices <= high + 0.02)


def test_the_box_of_a_turned_and_of_a_flat_solid_is_tight() -> None:
    low, high = box(tube(33.0, 31.5, 100.0))
    assert (*low, *high) == (0.0, -33.0, -33.0, 100.0, 33.0, 33.0)
    low, high = box(Placed(Plate(Outline(circle(5.0, (1.0, 2.0))), 3.0), moved(10.0)))
    assert (*low, *high) == pytest.approx((10.0, -4.0, -3.0, 13.0, 6.0, 7.0), abs=1e-12)
