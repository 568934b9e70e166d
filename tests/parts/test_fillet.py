"""Glue fillets against the closed form of their section: a polygon, a sector and a segment (elementary geometry)."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from ferrule.parts.curve import normals
from ferrule.parts.errors import DesignError
from ferrule.parts.kinds import Fillet
from ferrule.parts.readers.integrals import box, moments


def fillet(radius: float, diameter: float, thickness: float = 4.8, side: str = "outside") -> Fillet:
    return Fillet.build(
        radius=f"{radius!r} mm",
        length="250 mm",
        fin_thickness=f"{thickness!r} mm",
        surface_diameter=f"{diameter!r} mm",
        side=side,
    )


def area(one: Fillet) -> float:
    """Of one fillet [mm2]: what both of them fill, over their length and their number."""
    return moments(one.shape()).volume / one.length / 2.0


def closed_form(r: float, diameter: float, thickness: float, way: float) -> float:
    """The polygon root corner, fin, centre of the free face, tube; less the sector, and the segment under the tube."""
    tube, half = diameter / 2.0, thickness / 2.0
    root = (math.sqrt(tube**2 - half**2), half)
    centre = (math.sqrt((tube + way * r) ** 2 - (half + r) ** 2), half + r)
    on_fin = (centre[0], half)
    on_tube = tuple(tube / (tube + way * r) * value for value in centre)
    corners = np.array([root, on_fin, centre, on_tube])
    rolled = np.roll(corners, -1, axis=0)
    polygon = abs(float(np.sum(corners[:, 0] * rolled[:, 1] - corners[:, 1] * rolled[:, 0]))) / 2.0
    lean = math.atan2(centre[1], centre[0])
    seen = lean - math.asin(half / tube)
    segment = tube**2 / 2.0 * (seen - math.sin(seen))
    sector = r**2 / 2.0 * (math.pi / 2.0 - way * lean)
    return polygon - sector - way * segment


@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize("diameter", [29.0, 54.3, 78.7, 157.0])
@pytest.mark.parametrize("radius", [1.0, 5.0, 5.9])
def test_its_section_has_the_closed_form(side: str, diameter: float, radius: float) -> None:
    expected = closed_form(radius, diameter, 4.8, 1.0 if side == "outside" else -1.0)
    assert area(fillet(radius, diameter, side=side)) == pytest.approx(expected, rel=1e-11)


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_on_a_wide_tube_it_tends_to_the_corner_of_two_planes(side: str) -> None:
    """r^2 (1 - pi/4); what is left of the difference goes with r over the tube's radius."""
    flat = 3.0**2 * (1.0 - math.pi / 4.0)
    off = [area(fillet(3.0, diameter, 1.0, side)) / flat - 1.0 for diameter in (250.0, 500.0, 1000.0)]
    assert abs(off[2]) < 0.03
    for wide, wider in pairwise(off):
        assert wide / wider == pytest.approx(2.0, rel=0.03)


@pytest.mark.parametrize(("radius", "grams"), [(5.0, 6.0), (8.0, 16.0), (10.0, 25.0), (12.0, 36.0), (15.0, 56.0)])
def test_a_metre_of_it_weighs_what_builders_reckon_with(radius: float, grams: float) -> None:
    """Epoxy of 1.15 g/cm3 between two planes (common practice, rounded to whole grams); a wide tube comes near it."""
    wide = [fillet(radius, 1000.0, 1.0, side) for side in ("outside", "inside")]
    density = wide[0].density_in_use()
    assert density == pytest.approx(1.15e-3)
    mean = sum(area(one) for one in wide) / 2.0
    assert 1000.0 * mean * density == pytest.approx(grams, abs=0.55)


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_its_free_face_is_tangent_to_the_fin_and_to_the_tube(side: str) -> None:
    one = fillet(8.0, 78.7, side=side)
    tube, half, ends = 78.7 / 2.0, 2.4, np.array([0.0, 1.0])
    free, on_tube, on_fin = (edge.piece for edge in sorted(one.section(), key=lambda edge: edge.role == "seat"))
    if side == "inside":
        on_tube, on_fin = on_fin, on_tube
    assert free.radius == 8.0
    touching, across = free.at(ends), normals(free, ends)
    by_height = np.argsort(touching[:, 1])
    fin, foot = touching[by_height]
    assert fin[1] == pytest.approx(half, abs=1e-12)
    assert abs(across[by_height[0]] @ (0.0, 1.0)) == pytest.approx(1.0, abs=1e-12)
    middle = np.array([-tube, 0.0])
    radial = (foot - middle) / tube
    assert np.hypot(*radial) == pytest.approx(1.0, abs=1e-12)
    assert abs(across[by_height[1]] @ radial) == pytest.approx(1.0, abs=1e-12)
    # The fin is on the axis side of the surface for the inside, else outside it.
    assert (fin[0] > 0.0) == (side == "outside")
    assert np.allclose(np.hypot(*(on_tube.at(np.linspace(0.0, 1.0, 9)) - middle).T), tube, rtol=0.0, atol=1e-12)
    assert np.allclose(on_fin.at(ends)[:, 1], half, rtol=0.0, atol=1e-12)


def test_the_two_are_mirrored_and_stand_along_the_root() -> None:
    one = fillet(8.0, 78.7)
    found = moments(one.shape())
    assert found.centroid[0] == pytest.approx(125.0, rel=1e-12)
    assert found.centroid[2] == pytest.approx(0.0, abs=1e-12)
    low, high = box(one.shape())
    assert (low[0], high[0]) == (0.0, 250.0) == one.extent()
    assert low[2] == pytest.approx(-high[2], abs=1e-12)
    assert one.on_surface
    assert one.laid_at_the_bench
    assert one.cut_pieces() == ()


def test_it_says_how_far_along_the_fin_it_reaches() -> None:
    """Outside the highest point of its section; inside the lowest."""
    outside, inside = fillet(8.0, 78.7), fillet(8.0, 78.7, side="inside")
    assert outside.reach == pytest.approx(box(outside.shape())[1][1])
    assert inside.reach == pytest.approx(-box(inside.shape())[0][1])
    assert outside.reach < 8.0 < inside.reach


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"radius": "20 mm", "side": "inside"}, "radius: fillets of 20 mm do not go into a bore of 66 mm"),
        ({"fin_thickness": "40 mm", "surface_diameter": "38 mm"}, "fin_thickness: 40 mm must be below the diameter"),
        ({"radius": "0 mm"}, "radius: must be above 0 mm"),
    ],
)
def test_what_cannot_be_is_refused(fields: dict[str, str], message: str) -> None:
    plain = {"radius": "6 mm", "length": "100 mm", "fin_thickness": "4 mm", "surface_diameter": "66 mm"}
    with pytest.raises(DesignError, match=message):
        Fillet.build(**{**plain, **fields})


def test_the_largest_that_goes_into_a_bore_is_named() -> None:
    with pytest.raises(DesignError, match=r"below 15\.5 mm they do"):
        fillet(16.0, 66.0, 4.0, "inside")
    assert area(fillet(15.499, 66.0, 4.0, "inside")) > 0.0
