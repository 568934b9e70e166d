"""Meshes: sound, within the deviation that was asked, on the right side of fit faces, and true in volume.

Sources: elementary geometry of polygons round circles; trimesh and manifold3d as readers that are not ours.
"""

from __future__ import annotations

import itertools
import math
from functools import lru_cache
from typing import Any

import numpy as np
import pytest
import trimesh
from geometry_samples import (
    FINENESS_RATIOS,
    PROFILE_CASES,
    bore_through,
    chain_points,
    closed_polyline,
    distances,
    facet_points,
    hollow,
    layer_area,
    profile,
    profiles,
    radial,
    section,
    tube,
    turned,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from ferrule.parts.curve import Arc, Bezier, EllipseArc, Floats, Line, monotone_parts, parameters_at
from ferrule.parts.errors import PartError
from ferrule.parts.profiles import Family
from ferrule.parts.readers.facets import (
    Fineness,
    area_factor,
    exact_swept_area,
    exact_turned_volume,
    outline_points,
    parameters,
    ring_count,
    swept_area,
    true_points,
    turned_volume,
)
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import GRID, Mesh, edge_faults, mesh, shared_moments
from ferrule.parts.shape import (
    Array,
    Blade,
    Cut,
    Edge,
    EdgeForm,
    Fused,
    Outline,
    Placed,
    Plate,
    RadialFeature,
    Revolved,
    Rounded,
    Shape,
    circle,
    edges,
    hole,
    moved,
    polygon,
    radial_prism,
    rolled,
)

GRID_SLACK = 2.0 * GRID
"""[mm] Every coordinate is rounded to the grid; two of them make a radius."""

fewer = settings(max_examples=max(settings.default.max_examples // 4, 1)) if settings.default else settings()
"""For properties whose every case builds solids."""


def shouldered_nose() -> Revolved:
    """A hollow ogive whose shoulder slides into a tube and is glued on the inside."""
    p = profile("tangent-ogive", None, 200.0 / 66.0)
    return section(
        (p.chain(), "wetted"),
        ((Line((200.0, 33.0), (200.0, 31.4)),), "seat"),
        ((Line((200.0, 31.4), (240.0, 31.4)),), "fit"),
        ((Line((240.0, 31.4), (240.0, 28.0)),), ""),
        ((Line((240.0, 28.0), (190.0, 28.0)),), "fit"),
        ((Line((190.0, 28.0), (60.0, 8.0)), Line((60.0, 8.0), (60.0, 0.0)), Line((60.0, 0.0), (0.0, 0.0))), ""),
    )


def fin_blade() -> Blade:
    outline = Outline(polygon(((0.0, 0.0), (120.0, 0.0), (110.0, 58.0), (50.0, 58.0))))
    return Blade(outline, 3.0, (EdgeForm(1, Rounded(1.5), 5.0, 0.0), EdgeForm(3, Rounded(1.0), 5.0, 3.0)))


@lru_cache(maxsize=1)
def solids() -> dict[str, Shape]:
    pipe = tube(33.0, 31.5, 200.0, "wetted", "fit")
    pin = bore_through(2.0, 50.0, 40.0, 0.3)
    slot = RadialFeature(
        100.0, 0.0, Outline(polygon(((-30.0, -1.5), (30.0, -1.5), (30.0, 1.5), (-30.0, 1.5)))), 0.0, 40.0
    )
    fin = Placed(fin_blade(), moved(60.0, 32.0))
    ring = Plate(Outline(circle(31.4, role="fit"), (hole(14.8, role="fit"), hole(2.5, (22.0, 0.0)))), 6.0)
    printed_in = Plate(Outline(circle(32.2), (hole(14.8, role="fit"),)), 6.0)
    return {
        "tube": pipe,
        "bar": tube(5.0, 0.0, 40.0),
        "nose with shoulder": shouldered_nose(),
        "hollow ellipsoid": hollow(profile("half-ellipsoid", None), 1.6),
        "ring": ring,
        "triangle": Plate(Outline(polygon(((0.0, 0.0), (30.0, 0.0), (4.0, 20.0)))), 2.0),
        "worked fin": fin_blade(),
        "tube with holes": Cut(pipe, (Array(pin, 3),)),
        "tube with slots": Cut(pipe, (Array(slot, 3), Array(pin, 4))),
        "tube with bosses": Fused((pipe, Array(bore_through(4.0, 50.0, 38.0, 0.0, 32.2), 3))),
        "fin can": Fused((pipe, Array(fin, 3))),
        "bulkhead in a tube": Fused((pipe, Placed(printed_in, moved(90.0)))),
        "drilled nose": Cut(shouldered_nose(), (Array(bore_through(1.6, 220.0, 40.0), 3),)),
        "placed": Placed(Placed(Cut(pipe, (pin,)), rolled(0.7)), moved(1.0, 2.0, 3.0)),
    }


every_solid = pytest.mark.parametrize("name", solids())


@lru_cache(maxsize=40)
def meshed(name: str) -> Mesh:
    return mesh(solids()[name])


def grid_allowance(found: Mesh) -> float:
    """What the volume may change by [mm3] when each vertex moves by at most half a step of the grid."""
    return GRID / 2.0 * float(trimesh.Trimesh(found.vertices, found.triangles, process=False).area)


# ---- soundness


@every_solid
def test_every_mesh_is_sound(name: str) -> None:
    assert meshed(name).faults() == ()


@every_solid
def test_trimesh_reads_every_mesh_as_one_solid(name: str) -> None:
    found = trimesh.Trimesh(meshed(name).vertices, meshed(name).triangles, process=False)
    assert found.is_volume
    assert found.body_count == 1
    assert found.volume == pytest.approx(meshed(name).moments().volume, rel=1e-9)
    assert found.center_mass == pytest.approx(meshed(name).moments().centroid, abs=1e-6)


@every_solid
def test_manifold_accepts_every_mesh(name: str) -> None:
    import manifold3d

    found = manifold3d.Manifold(
        manifold3d.Mesh64(meshed(name).vertices.astype(np.float64), meshed(name).triangles.astype(np.uint64))
    )
    assert found.status() == manifold3d.Error.NoError
    assert found.volume() == pytest.approx(meshed(name).moments().volume, rel=1e-9)


@every_solid
def test_coordinates_lie_on_the_grid(name: str) -> None:
    steps = meshed(name).vertices / GRID
    np.testing.assert_allclose(steps, np.round(steps), rtol=0.0, atol=1e-6)
    assert not np.any(np.signbit(meshed(name).vertices) & (meshed(name).vertices == 0.0)), "no minus zero"


@every_solid
def test_a_mesh_is_the_same_every_time(name: str) -> None:
    again = mesh(solids()[name])
    assert again.vertices.tobytes() == meshed(name).vertices.tobytes()
    assert again.triangles.tobytes() == meshed(name).triangles.tobytes()


@every_solid
def test_no_mesh_folds_into_itself(name: str) -> None:
    """A mesh that wraps a place twice has a larger signed layer area than the area it covers."""
    import manifold3d

    found = meshed(name)
    # manifold3d slices across z; a cyclic change of axes keeps the sense of the triangles.
    upright = np.ascontiguousarray(found.vertices[:, [1, 2, 0]])
    solid = manifold3d.Manifold(manifold3d.Mesh64(upright, found.triangles.astype(np.uint64)))
    low, high = found.vertices[:, 0].min(), found.vertices[:, 0].max()
    for height in low + (high - low) * (np.arange(50) + 0.5) / 50.0 + 1.37e-5:
        covered = float(solid.slice(float(height)).area())
        assert layer_area(found, float(height)) == pytest.approx(covered, rel=1e-7, abs=1e-6)


TURNED = [name for name, shape in solids().items() if isinstance(shape, Revolved)]


def exact_layer(solid: Revolved, x: float) -> float:
    """Area of the section of a turned solid at a station, from where its section crosses that station [mm2]."""
    radii = sorted(
        float(part.at(parameters_at(part, np.array([x])))[0, 1])
        for edge in solid.meridian.edges
        for part in monotone_parts(edge.piece)
        if min(part.start[0], part.end[0]) < x < max(part.start[0], part.end[0])
    )
    return math.pi * sum(outer**2 - inner**2 for inner, outer in zip(radii[::2], radii[1::2], strict=True))


@pytest.mark.parametrize("name", TURNED)
def test_layers_have_the_area_of_the_exact_section(name: str) -> None:
    solid = solids()[name]
    assert isinstance(solid, Revolved)
    found = mesh(solid)
    low, high, radius = solid.meridian.box()
    for x in low + (high - low) * (np.arange(50) + 0.5) / 50.0 + 1.37e-5:
        # A surface that is off by 0.02 mm all round both circles.
        slack = 0.02 * 2.0 * math.tau * radius
        assert layer_area(found, float(x)) == pytest.approx(exact_layer(solid, float(x)), abs=slack)


@pytest.mark.parametrize("name", ["tube with holes", "tube with slots"])
def test_layers_of_a_drilled_tube_miss_what_the_holes_take(name: str) -> None:
    found = meshed(name)
    whole = math.pi * (33.0**2 - 31.5**2)
    # At x = 50 the pins of 4 mm, at x = 110 the slots of 3 mm are cut: n (F(33, h) - F(31.5, h)), see test_integrals.
    height, count, half = (50.0, 3, 2.0) if name == "tube with holes" else (110.0, 3, 1.5)
    taken = count * sum(
        sign * (half * math.sqrt(r * r - half * half) + r * r * math.asin(half / r))
        for sign, r in ((1, 33.0), (-1, 31.5))
    )
    assert layer_area(found, 10.00001) == pytest.approx(whole, abs=0.02 * 2.0 * math.tau * 33.0)
    assert layer_area(found, 10.00001) - layer_area(found, height + 1e-5) == pytest.approx(taken, rel=0.02)


BOX = mesh(Plate(Outline(polygon(((0.0, 0.0), (3.0, 0.0), (3.0, 2.0), (0.0, 2.0)))), 1.0))


def test_a_missing_triangle_is_found() -> None:
    assert edge_faults(BOX.vertices, BOX.triangles[1:]) == ("an edge has only one triangle",)


def test_a_flipped_triangle_is_found() -> None:
    flipped = BOX.triangles.copy()
    flipped[0] = flipped[0][::-1]
    assert "an edge is used twice in the same direction" in edge_faults(BOX.vertices, flipped)


def test_a_mesh_turned_inside_out_is_found() -> None:
    assert edge_faults(BOX.vertices, BOX.triangles[:, ::-1]) == ("the surface is inside out",)


def test_a_triangle_without_area_is_found() -> None:
    flat = BOX.vertices.copy()
    a, b, c = BOX.triangles[0]
    flat[c] = (flat[a] + flat[b]) / 2.0
    assert "a triangle has no area" in edge_faults(flat, BOX.triangles)


def test_a_doubled_triangle_is_found() -> None:
    doubled = np.vstack([BOX.triangles, BOX.triangles[:1]])
    assert "an edge is used twice in the same direction" in edge_faults(BOX.vertices, doubled)


def test_a_hole_in_the_surface_is_found() -> None:
    pipe = mesh(tube(33.0, 31.5, 100.0))
    corner = pipe.triangles[0, 0]
    assert edge_faults(pipe.vertices, pipe.triangles[~np.any(pipe.triangles == corner, axis=1)]) == (
        "an edge has only one triangle",
    )


def test_a_mesh_without_triangles_is_found() -> None:
    assert edge_faults(BOX.vertices, BOX.triangles[:0]) == ("it has no triangles",)


def test_a_part_of_which_nothing_is_left_is_refused() -> None:
    with pytest.raises(PartError, match="the part is empty"):
        mesh(Cut(tube(5.0, 0.0, 10.0), (Placed(tube(9.0, 0.0, 30.0), moved(-5.0)),)))


@fewer
@given(st.data())
def test_drilled_and_joined_tubes_are_sound(data: st.DataObject) -> None:
    radius = data.draw(st.floats(8.0, 80.0), "radius")
    bore = radius - data.draw(st.floats(0.3, 3.0), "wall")
    length = data.draw(st.floats(20.0, 300.0), "length")
    roles = st.sampled_from(["fit", "wetted", ""])
    pipe = tube(radius, bore, length, data.draw(roles, "skin"), data.draw(roles, "bore"))
    pin = data.draw(st.floats(0.5, min(bore, length / 2.0) * 0.45), "pin")
    station = data.draw(st.floats(pin * 1.01, length - pin * 1.01), "station")
    roll = data.draw(st.floats(-7.0, 7.0), "roll")
    # Bosses stand in the wall: several that start on the axis touch along single lines, which no mesh can hold.
    drill, boss = (bore_through(pin, station, radius + 5.0, roll, start) for start in (0.0, (radius + bore) / 2.0))
    count = data.draw(st.integers(1, 3), "count")
    fin = Blade(Outline(polygon(((0.0, 0.0), (length / 2, 0.0), (length / 3, radius), (length / 4, radius)))), pin / 2)
    shape = data.draw(
        st.sampled_from(
            [
                Cut(pipe, (Array(drill, count),)),
                Fused((pipe, Array(boss, count))),
                Fused((pipe, Array(Placed(fin, rolled(roll).after(moved(1.0, (radius + bore) / 2))), count))),
                Cut(
                    Fused((pipe, Placed(Plate(Outline(circle((radius + bore) / 2)), 2.0), moved(length / 3)))),
                    (drill,),
                ),
            ]
        ),
        "shape",
    )
    found = mesh(shape)
    assert found.faults() == ()
    assert trimesh.Trimesh(found.vertices, found.triangles, process=False).is_volume


# ---- volume


@pytest.mark.parametrize(("family", "constant"), PROFILE_CASES)
def test_solids_without_fit_faces_have_their_exact_volume(family: Family, constant: float | None) -> None:
    for fineness in FINENESS_RATIOS:
        for solid in (turned(profile(family, constant, fineness).chain(), "wetted"),):
            found, exact = mesh(solid), moments(solid).volume
            assert found.moments().volume == pytest.approx(exact, abs=1e-8 * exact + grid_allowance(found))


@fewer
@given(profiles(), st.floats(0.005, 0.2))
def test_any_profile_meshed_at_any_deviation_keeps_its_volume(p: Any, deviation: float) -> None:
    solid = turned(p.chain(), "wetted")
    found = mesh(solid, Fineness(deviation, deviation))
    assert found.faults() == ()
    exact = moments(solid).volume
    assert found.moments().volume == pytest.approx(exact, abs=1e-8 * exact + grid_allowance(found))


def test_plates_without_fit_faces_have_their_exact_volume() -> None:
    outline = Outline(
        (
            Edge(Line((0.0, 0.0), (40.0, 0.0))),
            Edge(EllipseArc((20.0, 0.0), 20.0, 30.0, 0.0, math.pi)),
        ),
        (hole(5.0, (20.0, 12.0)),),
    )
    plate = Plate(outline, 6.0)
    assert mesh(plate).moments().volume == pytest.approx(moments(plate).volume, rel=1e-8)


def test_a_hollow_nose_keeps_the_volume_of_its_wall() -> None:
    solid = hollow(profile("von-karman", None), 1.6)
    # The wall is a 10th of the solid, so rounding to the grid weighs ten times as much.
    assert mesh(solid).moments().volume == pytest.approx(moments(solid).volume, rel=1e-7)


@pytest.mark.parametrize("count", [16, 64, 256])
def test_a_polygon_of_the_factor_holds_the_area_of_its_circle(count: int) -> None:
    angle = math.tau * np.arange(count + 1) / count
    corners = np.column_stack([np.cos(angle), np.sin(angle)]) * area_factor(count) ** -0.5
    assert swept_area(corners) == pytest.approx(math.pi, rel=1e-13)


@pytest.mark.parametrize(
    "piece",
    [
        Arc((2.0, 30.0), 9.0, 2.0, -1.5),
        EllipseArc((200.0, 0.0), 200.0, 33.0, math.pi, -math.pi / 2.0),
        Bezier(((0.0, 0.0), (0.0, 10.0), (40.0, 20.0))),
        Bezier(((0.0, 30.0), (20.0, 10.0), (40.0, 30.0))),
        Bezier(((0.0, 20.0), (20.0, 20.0), (20.0, 30.0), (40.0, 30.0))),
    ],
)
@pytest.mark.parametrize(("measure", "exact"), [(swept_area, exact_swept_area), (turned_volume, exact_turned_volume)])
def test_moved_points_give_the_exact_measure_and_stay_within_the_chord_error(
    piece: Any, measure: Any, exact: Any
) -> None:
    points, shift = true_points(piece, 0.01, measure, exact(piece))
    assert measure(points) == pytest.approx(exact(piece), rel=1e-10)
    assert tuple(points[0]) == piece.start
    assert tuple(points[-1]) == piece.end
    # A parabola under its chord: two thirds of the sag make the areas equal; four thirds where one point carries it.
    assert abs(shift) <= 0.01 * 4.0 / 3.0 + 1e-9
    dense = piece.at(np.linspace(0.0, 1.0, 40_001))
    middles = (points[:-1] + points[1:]) / 2.0
    assert distances(np.vstack([points, middles]), dense).max() <= 0.01 * 4.0 / 3.0 + 1e-6


def test_swept_areas_and_turned_volumes_are_their_closed_forms() -> None:
    assert exact_swept_area(Arc((0.0, 0.0), 3.0, 0.0, math.tau)) == pytest.approx(9.0 * math.pi, rel=1e-13)
    assert exact_turned_volume(Line((0.0, 0.0), (200.0, 33.0))) == pytest.approx(33.0**2 * 200.0 / 3.0, rel=1e-13)
    assert turned_volume(np.array([[0.0, 0.0], [200.0, 33.0]])) == pytest.approx(33.0**2 * 200.0 / 3.0, rel=1e-13)


# ---- deviation


def surface(solid: Revolved) -> Floats:
    """Dense section of a turned solid."""
    return closed_polyline(tuple(edge.piece for edge in solid.meridian.edges), 6001)


@pytest.mark.parametrize(("family", "constant"), PROFILE_CASES)
@pytest.mark.parametrize("fineness", FINENESS_RATIOS)
def test_no_facet_of_a_nose_is_further_from_the_surface_than_asked(
    family: Family, constant: float | None, fineness: float
) -> None:
    solid = turned(profile(family, constant, fineness).chain(), "wetted")
    points = radial(facet_points(mesh(solid), 4))
    points = np.unique(np.round(points, 7), axis=0)
    assert distances(points, surface(solid)).max() <= Fineness().deviation + GRID_SLACK


@pytest.mark.parametrize("deviation", [0.005, 0.02, 0.1, 0.5])
@pytest.mark.parametrize("family", ["tangent-ogive", "half-ellipsoid", "von-karman"])
def test_a_coarser_mesh_stays_within_what_was_asked(family: Family, deviation: float) -> None:
    solid = hollow(profile(family, None, 2.0, 20.0), 2.0)
    points = np.unique(np.round(radial(facet_points(mesh(solid, Fineness(deviation, deviation)), 4)), 7), axis=0)
    assert distances(points, surface(solid)).max() <= deviation + GRID_SLACK


@pytest.mark.parametrize("deviation", [0.005, 0.02, 0.1])
def test_a_finer_mesh_has_more_triangles(deviation: float) -> None:
    solid = turned(profile("tangent-ogive", None).chain())
    assert len(mesh(solid, Fineness(deviation / 2)).triangles) > len(mesh(solid, Fineness(deviation)).triangles)


@pytest.mark.parametrize("name", ["arc", "ellipse", "haack tip", "parabola"])
def test_chords_err_by_no_more_than_asked(name: str) -> None:
    piece = {
        "arc": Arc((0.0, 0.0), 30.0, 0.2, 2.0),
        "ellipse": EllipseArc((0.0, 0.0), 200.0, 33.0, 0.0, math.pi / 2.0),
        "haack tip": profile("haack", 1.0 / 3.0).chain()[0],
        "parabola": Bezier(((0.0, 0.0), (0.0, 10.0), (40.0, 20.0))),
    }[name]
    points = piece.at(parameters(piece, 0.01))
    middles = (points[:-1] + points[1:]) / 2.0
    away = distances(middles, piece.at(np.linspace(0.0, 1.0, 40_001)))
    # Spread evenly by the root of the curvature, no chord errs by more than asked where the curvature changes slowly;
    # within a chord that spans a strong change the estimate is good to a few per cent.
    assert away.max() <= 0.01 * 1.05
    assert np.median(away) >= 0.01 * 0.2, "and not many times finer than needed"


@given(st.floats(0.5, 200.0), st.floats(0.001, 0.5), st.floats(0.001, 0.5))
def test_the_ring_is_fine_enough_and_a_multiple_of_four(radius: float, deviation: float, fit: float) -> None:
    count = ring_count(radius, radius, Fineness(deviation, fit))
    assert count % 4 == 0
    assert count >= 16
    assert radius * (1.0 - math.cos(math.pi / count)) <= fit * (1.0 + 1e-12)
    corner = radius * (area_factor(count) ** -0.5 - 1.0)
    assert corner <= deviation / 2.0 * 1.05  # the estimate is the leading term of the series


# ---- the fit rule


def fit_facets(found: Mesh, low: float, high: float) -> Floats:
    """Facets with all corners between two radii (n, 3, 3) [mm]."""
    size = np.hypot(found.vertices[:, 1], found.vertices[:, 2])
    kept = (size[found.triangles] > low).all(axis=1) & (size[found.triangles] < high).all(axis=1)
    upright = np.ptp(found.vertices[found.triangles][:, :, 0], axis=1) > 1e-6
    return found.vertices[found.triangles[kept & upright]]


def least_radius(facets: Floats) -> Floats:
    """Least distance of each facet's edges from the axis, in y and z [mm]; a facet's own least lies on an edge."""
    least = []
    for i, j in ((0, 1), (1, 2), (2, 0)):
        a, d = facets[:, i, 1:], facets[:, j, 1:] - facets[:, i, 1:]
        share = -np.einsum("ij,ij->i", a, d) / np.maximum(np.einsum("ij,ij->i", d, d), 1e-300)
        least.append(np.hypot(*(a + d * np.clip(share, 0.0, 1.0)[:, None]).T))
    return np.min(least, axis=0)


@given(st.floats(3.0, 100.0), st.floats(0.002, 0.2))
def test_a_fit_shaft_never_stands_out_and_a_fit_bore_never_stands_in(radius: float, fit: float) -> None:
    shaft, bore = radius, radius * 0.9
    found = mesh(tube(shaft, bore, 50.0, "fit", "fit"), Fineness(0.02, fit))
    outside = fit_facets(found, (shaft + bore) / 2.0, math.inf)
    inside = fit_facets(found, 0.0, (shaft + bore) / 2.0)
    assert len(outside) >= 16 * 2
    assert len(inside) == len(outside)
    top = np.hypot(outside[:, :, 1], outside[:, :, 2])
    assert top.max() <= shaft + GRID_SLACK
    assert top.min() >= shaft - GRID_SLACK, "its vertices lie on the true radius"
    assert least_radius(outside).min() >= shaft - fit - GRID_SLACK
    low = least_radius(inside)
    assert low.min() >= bore - GRID_SLACK
    assert low.max() <= bore + GRID_SLACK, "the middles of its facets lie on the true radius"
    assert np.hypot(inside[:, :, 1], inside[:, :, 2]).max() <= bore + fit * 1.05 + GRID_SLACK


def test_a_fit_face_keeps_its_radius_at_a_corner_that_it_shares() -> None:
    found = mesh(shouldered_nose())
    points = radial(found.vertices)
    shoulder = points[(points[:, 0] >= 200.0 - 1e-9) & (points[:, 1] > 30.0) & (points[:, 1] < 32.0)]
    np.testing.assert_allclose(shoulder[:, 1], 31.4, rtol=0.0, atol=GRID_SLACK)
    facets = fit_facets(found, 27.9, 28.2)
    assert least_radius(facets).min() >= 28.0 - GRID_SLACK


def test_a_fit_ring_never_stands_out_of_its_tube_or_into_its_bore() -> None:
    ring = Plate(Outline(circle(31.4, role="fit"), (hole(14.8, role="fit"),)), 6.0)
    found = mesh(ring)
    outside, inside = fit_facets(found, 25.0, math.inf), fit_facets(found, 0.0, 25.0)
    assert np.hypot(outside[:, :, 1], outside[:, :, 2]).max() <= 31.4 + GRID_SLACK
    assert least_radius(outside).min() >= 31.4 - Fineness().fit_deviation - GRID_SLACK
    assert least_radius(inside).min() >= 14.8 - GRID_SLACK
    assert np.hypot(inside[:, :, 1], inside[:, :, 2]).max() <= 14.8 + Fineness().fit_deviation * 1.01 + GRID_SLACK


def segment_middles(points: Floats, shares: int = 9) -> Floats:
    share = np.linspace(0.0, 1.0, shares)[None, :, None]
    return np.asarray((points[:-1, None] * (1.0 - share) + points[1:, None] * share).reshape(-1, 2))


@given(st.floats(0.5, 60.0), st.floats(-7.0, 7.0), st.floats(0.1, 6.2), st.floats(0.002, 0.2))
def test_a_fit_arc_of_an_outline_never_takes_clearance(radius: float, start: float, sweep: float, fit: float) -> None:
    fineness = Fineness(0.02, fit)
    for piece in (Arc((0.0, 0.0), radius, start, sweep), Arc((0.0, 0.0), radius, start, -sweep)):
        points = np.vstack([outline_points(piece, True, fineness), [piece.end]])
        size = np.hypot(*segment_middles(points).T)
        # Material on the left: an anticlockwise arc is the outside of the part, a clockwise one the side of a hole.
        if piece.sweep > 0.0:
            assert size.max() <= radius * (1.0 + 1e-12)
            assert size.min() >= radius - fit * (1.0 + 1e-9)
        else:
            assert size.min() >= radius * (1.0 - 1e-12)
            assert size.max() <= radius + fit / math.cos(min(abs(sweep) / 4.0, 1.5)) + 1e-9
        assert tuple(points[0]) == pytest.approx(piece.start, abs=1e-12)


def test_a_fit_slot_with_round_ends_has_room_for_its_pin() -> None:
    slot = (
        Edge(Line((0.0, 3.0), (10.0, 3.0)), "fit"),
        Edge(Arc((10.0, 0.0), 3.0, math.pi / 2.0, -math.pi), "fit"),
        Edge(Line((10.0, -3.0), (0.0, -3.0)), "fit"),
        Edge(Arc((0.0, 0.0), 3.0, -math.pi / 2.0, -math.pi), "fit"),
    )
    found = mesh(Plate(Outline(circle(30.0), (slot,)), 4.0))
    assert found.faults() == ()
    walls = found.vertices[found.triangles]
    inner = walls[(np.hypot(walls[:, :, 1] - 5.0, walls[:, :, 2]) < 15.0).all(axis=1)]
    inner = inner[np.ptp(inner[:, :, 0], axis=1) > 1e-6]
    # The slot is everything within 3 mm of the line between the two centres.
    around = facet_points(Mesh(inner.reshape(-1, 3), np.arange(len(inner) * 3).reshape(-1, 3)), 8)[:, 1:]
    away = np.hypot(around[:, 0] - np.clip(around[:, 0], 0.0, 10.0), around[:, 1])
    assert away.min() >= 3.0 - GRID_SLACK
    assert away.max() <= 3.0 + Fineness().fit_deviation * 1.01 + GRID_SLACK


def test_without_the_fit_rule_fit_faces_are_true_in_volume_like_all_others() -> None:
    solid = tube(33.0, 31.5, 100.0, "fit", "fit")
    held, free = mesh(solid), mesh(solid, Fineness(hold_fit=False))
    exact = moments(solid).volume
    assert free.moments().volume == pytest.approx(exact, abs=1e-8 * exact + grid_allowance(free))
    assert held.moments().volume < exact * (1.0 - 1e-5), "a fit shaft and a fit bore both give up material"


# ---- pieces of the reader


def test_a_placed_mesh_is_the_mesh_of_the_placed_shape() -> None:
    pipe = tube(33.0, 31.5, 100.0)
    placement = moved(1.0, 2.0, 3.0).after(rolled(0.3))
    np.testing.assert_array_equal(mesh(Placed(pipe, placement)).vertices, mesh(pipe).placed(placement).vertices)


def test_a_radial_feature_meshes_as_the_prism_that_it_is() -> None:
    feature = bore_through(2.0, 50.0, 40.0, 0.3, 10.0)
    np.testing.assert_array_equal(mesh(feature).vertices, mesh(radial_prism(feature)).vertices)


def test_what_two_solids_share_is_measured() -> None:
    one = Plate(Outline(polygon(((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)))), 4.0)
    shared = shared_moments(one, (Placed(one, moved(1.0, 6.0, 7.0)),))
    assert shared.volume == pytest.approx(3.0 * 4.0 * 3.0, rel=1e-9)
    assert shared.method == "exact moments of flat facets"
    assert shared_moments(one, (Placed(one, moved(50.0)),)).volume == 0.0


def test_meshes_of_a_chain_with_its_own_corners_keep_them() -> None:
    boat = section(
        ((Line((0.0, 30.0), (50.0, 30.0)), Line((50.0, 30.0), (100.0, 20.0))), "wetted"),
        ((Line((100.0, 20.0), (100.0, 0.0)), Line((100.0, 0.0), (0.0, 0.0)), Line((0.0, 0.0), (0.0, 30.0))), ""),
    )
    stations = set(np.round(mesh(boat).vertices[:, 0], 6))
    assert stations == {0.0, 50.0, 100.0}


def test_every_pair_of_solids_differs() -> None:
    for one, other in itertools.combinations(solids(), 2):
        assert meshed(one).vertices.shape != meshed(other).vertices.shape or not np.array_equal(
            meshed(one).vertices, meshed(other).vertices
        )


def test_edges_of_a_fit_bore_in_a_plate_are_all_marked() -> None:
    assert {edge.role for edge in edges((Arc((0.0, 0.0), 1.0, 0.0, -math.tau),), "fit")} == {"fit"}


def test_points_of_a_profile_lie_within_its_chain() -> None:
    chain = profile("haack", 1.0 / 3.0).chain()
    points = np.vstack([piece.at(parameters(piece, 0.01)) for piece in chain])
    assert distances(points, chain_points(chain, 20_001)).max() < 1e-6
