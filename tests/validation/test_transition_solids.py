"""Curved transitions against closed forms and quadrature in 40 digits.

Sources, all derived from elementary geometry: an ogive is an arc of radius rho about a centre at the radius c = R - rho
in the plane of the larger end, so with L the length and theta = asin(L/rho)

    V = pi [c^2 L + c (L sqrt(rho^2 - L^2) + rho^2 theta) + rho^2 L - L^3/3],    A = 2 pi rho (c theta + L)

and of a quarter ellipse on a cylinder of radius r, h high and L long

    V = pi L [r^2 + pi r h/2 + 2 h^2/3],    V x = pi L^2 [r^2/2 + 2 r h (pi/4 - 1/3) + 5 h^2/12] from the smaller end

The slender-body station is equation 29 of The Theoretical Prediction of the Center of Pressure, 1966. Both skins are
exact pieces, so the tolerance is that of rounding, 1e-11; areas are by a Gauss rule that is good to 1e-9 where an
ellipse stands upright.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import mpmath
import pytest

from ferrule.analysis.aero.body import Skin, body_normal_force
from ferrule.parts.kinds import Transition
from ferrule.parts.quantity import mm
from ferrule.parts.readers.brep import measure, solid
from ferrule.parts.readers.integrals import area, moments
from ferrule.parts.shape import Revolved

SIZES = [(51.0, 35.0, 110.0), (34.0, 25.0, 80.0), (40.0, 39.2, 30.0), (70.0, 19.0, 55.0)]
"""Larger radius, smaller radius, length [mm]."""

each_size = pytest.mark.parametrize(("large", "small", "length"), SIZES)
each_way = pytest.mark.parametrize("narrows", [True, False], ids=["boat-tail", "widening"])


def built(profile: str, large: float, small: float, length: float, narrows: bool) -> Transition:
    ends = (large, small) if narrows else (small, large)
    fields: dict[str, Any] = dict(zip(("forward_diameter", "aft_diameter"), (mm(2.0 * r) for r in ends), strict=True))
    return Transition.build(**fields, length=mm(length), profile=profile, body="solid")


def revolved(part: Transition) -> Revolved:
    shape = part.shape()
    assert isinstance(shape, Revolved)
    return shape


def radius_of_ogive(large: float, small: float, length: float) -> Callable[[Any], Any]:
    h = mpmath.mpf(large) - small
    rho = (h**2 + mpmath.mpf(length) ** 2) / (2 * h)
    return lambda x: large - rho + mpmath.sqrt(rho**2 - (length - x) ** 2)


def radius_of_ellipse(large: float, small: float, length: float) -> Callable[[Any], Any]:
    return lambda x: small + (mpmath.mpf(large) - small) * mpmath.sqrt(1 - (1 - x / mpmath.mpf(length)) ** 2)


def turned(radius: Callable[[Any], Any], length: float) -> tuple[float, float]:
    """Volume [mm3] and centre of volume from the smaller end [mm]."""
    with mpmath.workdps(40):
        volume = mpmath.pi * mpmath.quad(lambda x: radius(x) ** 2, [0, length / 8, length])
        first = mpmath.pi * mpmath.quad(lambda x: x * radius(x) ** 2, [0, length / 8, length])
        return float(volume), float(first / volume)


@each_way
@each_size
def test_an_ogive_is_its_closed_form_and_its_quadrature(
    large: float, small: float, length: float, narrows: bool
) -> None:
    part = built("ogive", large, small, length, narrows)
    h = large - small
    rho = (h**2 + length**2) / (2.0 * h)
    c, theta = large - rho, math.asin(length / rho)
    if length > h:
        by_hand = c**2 * length + c * (length * (rho - h) + rho**2 * theta) + rho**2 * length - length**3 / 3.0
        # Differences of an arc's radius squared: up to 1e-16 rho^3 is lost in the closed form itself.
        lost = 1e-14 * rho**2 * length
        assert moments(part.shape()).volume == pytest.approx(math.pi * by_hand, rel=1e-11, abs=lost)
        by_hand = math.tau * rho * (c * theta + length)
        assert area(revolved(part).meridian, "wetted") == pytest.approx(by_hand, rel=1e-9)
    volume, centre = turned(radius_of_ogive(large, small, length), length)
    found = moments(part.shape())
    assert found.volume == pytest.approx(volume, rel=1e-11)
    assert found.centroid[0] == pytest.approx(length - centre if narrows else centre, rel=1e-10)


@each_way
@each_size
def test_an_ellipse_is_its_closed_form_and_its_quadrature(
    large: float, small: float, length: float, narrows: bool
) -> None:
    part, h = built("elliptic", large, small, length, narrows), large - small
    volume = math.pi * length * (small**2 + math.pi * small * h / 2.0 + 2.0 * h**2 / 3.0)
    first = small**2 / 2.0 + 2.0 * small * h * (math.pi / 4.0 - 1.0 / 3.0) + 5.0 * h**2 / 12.0
    centre = math.pi * length**2 * first / volume
    found = moments(part.shape())
    assert found.volume == pytest.approx(volume, rel=1e-12)
    assert found.centroid[0] == pytest.approx(length - centre if narrows else centre, rel=1e-11)
    assert turned(radius_of_ellipse(large, small, length), length) == pytest.approx((volume, centre), rel=1e-11)
    with mpmath.workdps(30):
        # By the eccentric angle, in which the arc is smooth.
        skin = mpmath.quad(
            lambda a: (
                2
                * mpmath.pi
                * (small + h * mpmath.sin(a))
                * mpmath.sqrt((length * mpmath.sin(a)) ** 2 + (h * mpmath.cos(a)) ** 2)
            ),
            [0, mpmath.pi / 2],
        )
    assert area(revolved(part).meridian, "wetted") == pytest.approx(float(skin), rel=1e-9)


@each_way
@pytest.mark.parametrize("profile", ["conical", "ogive", "elliptic"])
def test_the_normal_force_of_a_curved_skin_is_that_of_its_areas_and_volume(profile: str, narrows: bool) -> None:
    """Slope 2 (A_aft - A_forward) / A_ref whatever lies between; station (L A_aft - V) / (A_aft - A_forward)."""
    large, small, length = SIZES[0]
    part = built(profile, large, small, length, narrows)
    reference = math.pi * large**2
    radii = (large, small) if narrows else (small, large)
    forward, aft = (math.pi * r**2 for r in radii)
    alone = body_normal_force(Skin(part.skin(), 500.0), ahead=None, reference_area=reference)
    volume = moments(part.shape()).volume
    moment = length * aft - volume
    assert alone.slope == pytest.approx(2.0 * (aft - forward) / reference, rel=1e-12)
    assert alone.station == pytest.approx(500.0 + moment / (aft - forward), rel=1e-11)


@each_way
def test_the_kernel_reads_the_same_skins(narrows: bool) -> None:
    for profile in ("ogive", "elliptic"):
        part = built(profile, *SIZES[0], narrows)
        found = measure(solid(part.shape()))
        assert found.valid
        assert found.moments.volume == pytest.approx(moments(part.shape()).volume, rel=1e-12)
        # Skin and two discs.
        assert found.faces == 3
