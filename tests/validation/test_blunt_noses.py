"""Blunted noses against closed forms of the tangency, and against the two conditions solved in 40 digits.

Sources: the ball in cone and tangent ogive is a circle about a point of the axis that touches a line or an arc,
elementary geometry; each row of the table names its own. For the half-ellipsoid and the paraboloid (power law with
n = 1/2) the finished length follows from the sharp one in closed form, derived beside the check. The others are solved
with mpmath from the families' formulas and their derivatives, written here a second time.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import mpmath
import numpy as np
import pytest
from geometry_samples import turned
from published import as_published, by_row, rows

from ferrule.parts.blunting import Blunt, Tip, blunted
from ferrule.parts.curve import Arc
from ferrule.parts.profiles import Family
from ferrule.parts.readers.integrals import area, moments

ROWS = rows("blunt_noses.json")
LENGTH = {row["family"]: row["value"] for row in ROWS if row["quantity"] == "length"}


@lru_cache(maxsize=2)
def nose(family: Family) -> Blunt:
    """Made from its finished length, so that all other values of the table are found again."""
    return blunted(family, LENGTH[family], 33.0, None, Tip("round", 5.0))


def ball(blunt: Blunt) -> Arc:
    front = blunt.chain[0]
    assert isinstance(front, Arc)
    return front


READ = {
    "sphere_centre_x": lambda blunt: blunt.cut + ball(blunt).centre[0],
    "tangency_x": lambda blunt: blunt.cut + blunt.meets[0],
    "tangency_r": lambda blunt: blunt.meets[1],
    "apex_x": lambda blunt: blunt.cut,
    "length": lambda blunt: blunt.profile.length - blunt.cut,
    "volume": lambda blunt: moments(turned(blunt.chain)).volume,
}


def test_every_row_of_the_table_is_read() -> None:
    assert len(ROWS) == 12
    assert {row["quantity"] for row in ROWS} == set(READ)
    assert {(row["sharp_length_mm"], row["base_radius_mm"], row["ball_radius_mm"]) for row in ROWS} == {(200, 33, 5)}


@by_row(ROWS)
def test_a_ball_in_a_sharp_nose_of_200_mm(row: dict[str, Any]) -> None:
    assert READ[row["quantity"]](nose(row["family"])) == as_published(row)


@pytest.mark.parametrize("family", ["cone", "tangent-ogive"])
def test_the_sharp_length_is_found_again(family: Family) -> None:
    assert nose(family).profile.length == pytest.approx(200.0, rel=1e-12)


@pytest.mark.parametrize(("length", "radius"), [(100.0, 12.0), (660.0, 2.0), (33.0, 33.0 * 0.949), (200.0, 31.0)])
def test_the_half_ellipsoid_has_a_closed_form(length: float, radius: float) -> None:
    """Normal R sqrt(1 - cos^2 e^2) = a at the eccentric angle, centre L - cos (L - R^2/L), with e^2 = 1 - R^2/L^2.

    Together: finished length = a + sqrt((1 - a^2/R^2) (L^2 - R^2)).
    """
    base = 33.0
    if radius <= base**2 / length:
        length = 2.0 * base**2 / radius
    found = blunted("half-ellipsoid", length, base, None, Tip("round", radius))
    sharp = math.sqrt(base**2 + (length - radius) ** 2 / (1.0 - radius**2 / base**2))
    assert found.profile.length == pytest.approx(sharp, rel=1e-12)


@pytest.mark.parametrize(("length", "radius"), [(100.0, 12.0), (660.0, 2.0), (200.0, 31.0), (66.0, 9.0)])
def test_the_paraboloid_has_a_closed_form(length: float, radius: float) -> None:
    """r^2 = R^2 x/L has the constant subnormal s = R^2/2L, so x_t = L (a^2 - s^2)/R^2 and the centre is x_t + s.

    Finished length = L (1 - a^2/R^2) - R^2/4L + a, a quadratic for L.
    """
    base = 33.0
    found = blunted("power-law", length, base, 0.5, Tip("round", radius))
    share, rest = 1.0 - radius**2 / base**2, length - radius
    sharp = (rest + math.sqrt(rest**2 + share * base**2)) / (2.0 * share)
    assert found.profile.length == pytest.approx(sharp, rel=1e-12)


def square_of_radius(family: Family, constant: float, u: Any) -> Any:
    """Square of the radius on unit length and base, and its derivative by the station."""
    mp = mpmath.mp
    k = mp.mpf(constant)
    if family == "parabola":
        f = (2 * u - k * u**2) / (2 - k)
        return f**2, 2 * f * (2 - 2 * k * u) / (2 - k)
    if family == "power-law":
        return u ** (2 * k), 2 * k * u ** (2 * k - 1)
    theta = mp.acos(1 - 2 * u)
    slope = (1 - mp.cos(2 * theta) + 3 * k * mp.sin(theta) ** 2 * mp.cos(theta)) / mp.pi * 2 / mp.sin(theta)
    return (theta - mp.sin(2 * theta) / 2 + k * mp.sin(theta) ** 3) / mp.pi, slope


@pytest.mark.parametrize(
    ("family", "constant"),
    [
        ("parabola", 0.6),
        ("parabola", 1.0),
        ("power-law", 0.6),
        ("power-law", 0.9),
        ("haack", 0.0),
        ("haack", 1.0 / 3.0),
    ],
)
@pytest.mark.parametrize(("length", "radius"), [(33.0, 4.0), (200.0, 2.0), (200.0, 25.0), (660.0, 8.0)])
def test_the_solved_families_agree_with_40_digits(
    family: Family, constant: float, length: float, radius: float
) -> None:
    base = 33.0
    own: tuple[Family, float | None] = ("von-karman", None) if constant == 0.0 else (family, constant)
    found = blunted(own[0], length, base, own[1], Tip("round", radius))
    with mpmath.workdps(40):

        def conditions(u: Any, sharp: Any) -> list[Any]:
            square, slope = square_of_radius(family, constant, u)
            r2, subnormal = base**2 * square, base**2 * slope / 2 / sharp
            # The normal down to the axis is the ball's radius; the apex is the finished length in front of the base.
            return [(r2 + subnormal**2) / radius**2 - 1, (sharp * (1 - u) - subnormal + radius) / length - 1]

        start = ((found.meets[0] + found.cut) / found.profile.length, found.profile.length)
        # Off by a tenth of a per cent: the solver has to find it by itself.
        u, sharp = mpmath.findroot(conditions, (start[0] * 1.001, start[1] * 0.999))
        square, _ = square_of_radius(family, constant, u)
        apex = sharp - length
        assert found.profile.length == pytest.approx(float(sharp), rel=2e-12)
        assert found.meets[0] == pytest.approx(float(sharp * u - apex), rel=1e-10, abs=1e-10)
        assert found.meets[1] == pytest.approx(float(base * mpmath.sqrt(square)), rel=1e-10)


def test_a_flat_face_takes_a_small_cone_off_a_cone() -> None:
    length, base, face = 180.0, 33.0, 6.0
    found = blunted("cone", length, base, None, Tip("flat", face))
    assert found.profile.length == pytest.approx(length * base / (base - face), rel=1e-14)
    shape = turned(found.chain, "wetted")
    frustum = math.pi * length / 3.0 * (base**2 + base * face + face**2)
    assert moments(shape).volume == pytest.approx(frustum, rel=1e-13)
    slant = math.pi * (base + face) * math.hypot(length, base - face)
    assert area(shape.meridian, "wetted") == pytest.approx(slant + math.pi * face**2, rel=1e-12)


def test_a_flat_face_on_a_half_ellipsoid_sits_where_the_ellipse_is_that_high() -> None:
    found = blunted("half-ellipsoid", 100.0, 30.0, None, Tip("flat", 18.0))
    # r = R sqrt(1 - (1 - u)^2) is 0.6 R at u = 0.2, so the sharp nose is 100 mm / 0.8.
    assert found.profile.length == pytest.approx(125.0, rel=1e-14)
    # Its volume is that of the ellipsoid between z = 0 and z = 0.8 of the half-axis: pi R^2 (z - z^3/3) L.
    volume = math.pi * 30.0**2 * 125.0 * (0.8 - 0.8**3 / 3.0)
    assert moments(turned(found.chain)).volume == pytest.approx(volume, rel=1e-12)


def test_a_ball_adds_the_area_of_its_cap() -> None:
    blunt = nose("cone")
    front = ball(blunt)
    cap = area(turned(blunt.chain[:1], "wetted").meridian, "wetted")
    # Archimedes: 2 pi a h, h the height of the cap.
    assert cap == pytest.approx(math.tau * front.radius * blunt.meets[0], rel=1e-12)
    assert np.allclose(front.start, (0.0, 0.0), atol=0.0)
