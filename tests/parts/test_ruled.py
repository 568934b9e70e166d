"""Ruled solids of any section: moments in closed form, the kernel's solid, the mesh, and what is done with them."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from geometry_samples import closed_polyline, distances, facet_points
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.parts.aerofoil import four_digit
from ferrule.parts.compensate import compensated, scaled
from ferrule.parts.curve import Arc, EllipseArc, Line
from ferrule.parts.errors import PartError
from ferrule.parts.fingerprint import canonical
from ferrule.parts.machine import Printer
from ferrule.parts.readers import brep
from ferrule.parts.readers.facets import Fineness
from ferrule.parts.readers.integrals import box, moments
from ferrule.parts.readers.mesh import GRID, Mesh, mesh, shared_moments
from ferrule.parts.shape import Array, Edge, Outline, Placed, Placement, Ruled, circle, hole, moved, polygon, rolled
from ferrule.parts.writers.step import write_step

RECTANGLE = Outline(polygon(((0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (0.0, 5.0))))

SECTIONS = {
    "rectangle": RECTANGLE,
    "circle": Outline(circle(10.0, (3.0, 2.0))),
    "ring": Outline(circle(10.0), (hole(6.0),)),
    "half disc": Outline((Edge(Arc((0.0, 0.0), 5.0, 0.0, math.pi)), Edge(Line((-5.0, 0.0), (5.0, 0.0))))),
    "ellipse": Outline((Edge(EllipseArc((5.0, 0.0), 5.0, 1.0, 0.0, math.tau)),)),
    "aerofoil": four_digit(80.0, 9.6, 0.8),
}

SOLIDS = {
    f"{name} {ratio:g}": Ruled(section, -4.0, 30.0, ratio, 7.0)
    for name, section in SECTIONS.items()
    for ratio in (1.0, 0.3, 2.5, 0.0)
    if ratio or not section.holes
}


# --- moments ----------------------------------------------------------------------------------------------------------


@given(st.floats(1.0, 50.0), st.floats(0.02, 5.0) | st.just(0.0), st.floats(1.0, 100.0), st.floats(-50.0, 50.0))
@settings(max_examples=50)
def test_a_cone_frustum_leaning_aft_has_its_textbook_moments(r: float, ratio: float, h: float, sweep: float) -> None:
    """V = pi h (R^2 + R r + r^2) / 3; sections keep their height, so that leaning moves x by its share of the sweep."""
    small = ratio * r
    found = moments(Ruled(Outline(circle(r)), 0.0, h, ratio, sweep))
    volume = math.pi * h * (r * r + r * small + small * small) / 3.0
    height = math.pi * h**2 * (r * r + 2.0 * r * small + 3.0 * small * small) / 12.0
    across = math.pi * h * (r**4 + r**3 * small + r**2 * small**2 + r * small**3 + small**4) / 20.0
    assert found.volume == pytest.approx(volume, rel=1e-12)
    assert found.first == pytest.approx((height * sweep / h, height, 0.0), rel=1e-12, abs=1e-9 * volume)
    assert found.second[2] == pytest.approx(across, rel=1e-12)
    along = found.second[0] - (sweep / h) ** 2 * found.second[1]
    assert along == pytest.approx(across, rel=1e-9, abs=1e-12 * found.second[0])


def test_a_pyramid_beside_its_axis_is_the_sum_of_its_slices() -> None:
    """Section 10 x 5 from its corner, to a point 9 mm up and 4 mm aft: integrals over u of powers of k = 1 - u."""
    found = moments(Ruled(RECTANGLE, 1.0, 10.0, 0.0, 4.0))
    # Integrals of k^n u^m over 0 to 1 are n! m! / (n + m + 1)!.
    assert found.volume == pytest.approx(50.0 * 9.0 / 3.0, rel=1e-13)
    assert found.first[0] == pytest.approx(9.0 * (250.0 / 4.0 + 4.0 * 50.0 / 12.0), rel=1e-13)
    assert found.first[1] == pytest.approx(9.0 * 50.0 * (1.0 / 3.0 + 9.0 / 12.0), rel=1e-13)
    assert found.first[2] == pytest.approx(9.0 * 125.0 / 4.0, rel=1e-13)
    xx, _, zz, _, xz, yz = found.second
    assert xx == pytest.approx(9.0 * (5000.0 / 3.0 / 5.0 + 2.0 * 4.0 * 250.0 / 20.0 + 16.0 * 50.0 / 30.0), rel=1e-13)
    assert zz == pytest.approx(9.0 * 1250.0 / 3.0 / 5.0, rel=1e-13)
    assert xz == pytest.approx(9.0 * (625.0 / 5.0 + 4.0 * 125.0 / 20.0), rel=1e-13)
    assert yz == pytest.approx(9.0 * 125.0 * (1.0 / 4.0 + 9.0 / 20.0), rel=1e-13)


# --- the kernel's solid -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("shape", SOLIDS.values(), ids=SOLIDS)
def test_kernel_and_file_hold_the_same_solid(shape: Ruled, tmp_path: Path) -> None:
    exact, found = moments(shape), brep.measure(brep.solid(shape))
    assert (found.valid, found.bodies) == (True, 1)
    assert found.moments.volume == pytest.approx(exact.volume, rel=1e-9)
    np.testing.assert_allclose(found.moments.first, exact.first, atol=1e-9 * max(map(abs, exact.first)))
    np.testing.assert_allclose(found.moments.second, exact.second, atol=1e-9 * max(exact.second))
    low, high = box(shape)
    np.testing.assert_allclose((found.low, found.high), (low, high), atol=2e-7)
    assert write_step(tmp_path / "solid.step", shape, name="solid").volume == pytest.approx(exact.volume, rel=1e-9)


# --- the mesh ---------------------------------------------------------------------------------------------------------


def sides_only(found: Mesh) -> Mesh:
    """The facets between the two ends."""
    y = found.vertices[found.triangles][:, :, 1]
    return Mesh(found.vertices, found.triangles[np.ptp(y, axis=1) > 1e-3])


@pytest.mark.parametrize("deviation", [0.02, 0.1])
@pytest.mark.parametrize("shape", SOLIDS.values(), ids=SOLIDS)
def test_a_mesh_is_sound_true_in_volume_and_within_its_deviation(shape: Ruled, deviation: float) -> None:
    found, exact = mesh(shape, Fineness(deviation, deviation)), moments(shape)
    assert found.faults() == ()
    assert found.moments().volume == pytest.approx(exact.volume, rel=1e-8, abs=0.6 * GRID * sum(faces_of(shape)))
    points = facet_points(sides_only(found), 3)
    way = (points[:, 1] - shape.from_y) / (shape.to_y - shape.from_y)
    size = 1.0 + (shape.ratio - 1.0) * way
    kept = size > 0.05
    flat = (points[kept][:, [0, 2]] - np.column_stack([shape.sweep * way, 0.0 * way])[kept]) / size[kept, None]
    off = np.full(len(flat), np.inf)
    for loop in shape.section.loops:
        off = np.minimum(off, distances(flat, closed_polyline(tuple(edge.piece for edge in loop))))
    # In the plane of the section, where a facet is no nearer to the surface than square to it.
    assert (off * size[kept]).max() <= deviation + 20.0 * GRID
    low, high = box(shape)
    np.testing.assert_allclose(found.vertices.min(axis=0), low, atol=deviation)
    np.testing.assert_allclose(found.vertices.max(axis=0), high, atol=deviation)


def faces_of(shape: Ruled) -> tuple[float, ...]:
    return brep.face_areas(brep.solid(shape))


def test_flat_faced_solids_share_exactly_what_they_share() -> None:
    """The lower half of a pyramid of 10 x 5 and 9 mm: seven eighths of its volume, its mesh being itself."""
    found = shared_moments(Ruled(RECTANGLE, 0.0, 9.0, 0.0), (Ruled(RECTANGLE, 0.0, 4.5, 1.0),))
    assert found.volume == pytest.approx(150.0 * 7.0 / 8.0, rel=1e-9)
    assert found.method == "exact moments of flat facets"


# --- what is done with it ---------------------------------------------------------------------------------------------


def test_a_placed_solid_keeps_its_moments_about_itself() -> None:
    shape = SOLIDS["aerofoil 0.3"]
    turned = Placement(turn=(0.0, 1.0, 0.0, -1.0, 0.0, 0.0, 0.0, 0.0, 1.0), move=(5.0, -3.0, 2.0))
    found, body = moments(Placed(shape, turned)), brep.moments(brep.solid(Placed(shape, turned)))
    assert found.centroid == pytest.approx(body.centroid, rel=1e-9)
    low, high = box(Placed(shape, turned))
    inside, outside = mesh(Placed(shape, turned)).vertices.min(axis=0), mesh(Placed(shape, turned)).vertices.max(axis=0)
    assert np.all(low <= inside + 0.02)
    assert np.all(outside <= high + 0.02)


def test_turning_there_and_back_leaves_the_box_tight() -> None:
    shape = SOLIDS["rectangle 0.3"]
    there_and_back = Placed(Placed(shape, rolled(0.7)), rolled(-0.7))
    np.testing.assert_allclose(box(there_and_back), box(shape), atol=1e-12)
    low, high = box(Array(Placed(shape, rolled(math.pi / 4.0)), 4))
    # The box of one is 5 mm thick at its outer end too, whose corner goes furthest.
    assert high[1] == pytest.approx((30.0 + 5.0) / math.sqrt(2.0), rel=1e-12), "a box's corner, and no larger box's"
    assert low[1] == pytest.approx(-high[1], rel=1e-12)


def test_a_printer_changes_its_size_and_no_face_of_it() -> None:
    shape = SOLIDS["aerofoil 0.3"]
    fits_only = Printer("tall", 250, 250, 340, outside=0.1, hole=0.15)
    assert compensated(shape, fits_only, None) == shape
    shrinking = Printer("tall", 250, 250, 340, shrinkage={"petg": 0.01})
    grown = compensated(shape, shrinking, "petg")
    assert moments(grown).volume == pytest.approx(moments(shape).volume / 0.99**3, rel=1e-12)


def test_a_scaled_solid_is_scaled_in_every_way() -> None:
    shape = SOLIDS["aerofoil 0.3"]
    low, high = box(scaled(shape, 2.0))
    np.testing.assert_allclose((low, high), 2.0 * np.array(box(shape)), rtol=1e-12)
    assert moments(scaled(shape, 2.0)).second == pytest.approx(
        tuple(32.0 * value for value in moments(shape).second), rel=1e-12, abs=1e-6
    )


def test_every_field_is_in_the_fingerprint() -> None:
    base = Ruled(RECTANGLE, 0.0, 9.0, 0.5, 1.0)
    others = (
        Ruled(SECTIONS["circle"], 0.0, 9.0, 0.5, 1.0),
        Ruled(RECTANGLE, 0.5, 9.0, 0.5, 1.0),
        Ruled(RECTANGLE, 0.0, 8.0, 0.5, 1.0),
        Ruled(RECTANGLE, 0.0, 9.0, 0.6, 1.0),
        Ruled(RECTANGLE, 0.0, 9.0, 0.5, 2.0),
    )
    assert len({canonical(shape) for shape in (base, *others)}) == 6
    assert canonical(base) == canonical(Ruled(RECTANGLE, 0.0, 9.0, 0.5, 1.0))
    assert hash(Placed(base, moved(x=1.0))) == hash(Placed(Ruled(RECTANGLE, 0.0, 9.0, 0.5, 1.0), moved(x=1.0)))


@pytest.mark.parametrize(
    ("section", "from_y", "to_y", "ratio", "sweep", "message"),
    [
        (RECTANGLE, 5.0, 5.0, 1.0, 0.0, "runs outboard, got 5 to 5 mm"),
        (RECTANGLE, 0.0, math.inf, 1.0, 0.0, "runs outboard, got 0 to inf mm"),
        (RECTANGLE, 0.0, 5.0, 0.01, 0.0, "ratio: 0.01 of a ruled solid must be 0 or from 0.02 to 50"),
        (RECTANGLE, 0.0, 5.0, -1.0, 0.0, "ratio: -1 of a ruled solid"),
        (RECTANGLE, 0.0, 5.0, math.nan, 0.0, "ratio: nan of a ruled solid"),
        (RECTANGLE, 0.0, 5.0, 1.0, math.nan, "sweep: nan mm of a ruled solid must be finite"),
        (SECTIONS["ring"], 0.0, 5.0, 0.0, 0.0, "a ruled solid with a hole cannot end in a point"),
        (Outline(circle(3.0, role="fit")), 0.0, 5.0, 1.0, 0.0, "no face of a ruled solid can be of role fit"),
    ],
)
def test_what_cannot_be_ruled_is_refused(
    section: Outline, from_y: float, to_y: float, ratio: float, sweep: float, message: str
) -> None:
    with pytest.raises(PartError, match=message):
        Ruled(section, from_y, to_y, ratio, sweep)
