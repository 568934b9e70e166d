"""What a polygon costs a round solid, and two readers of meshes that are not ours.

Source: a regular n-gon holds sin(2 pi/n) / (2 pi/n) of its circumscribed circle (algebra, derived). trimesh and
manifold3d are open libraries; they measure the same triangles independently.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import trimesh
from geometry_samples import profile, tube, turned
from published import as_published, by_row, rows

from ferrule.parts.readers.facets import Fineness, area_factor
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import Mesh, mesh

POLYGON = rows("mesh_polygon.json")
OGIVE = profile("tangent-ogive", None, 200.0 / 66.0)


def fit_bar(count: int) -> Mesh:
    """A bar whose fit skin takes `count` facets: the fit deviation is the sag of that polygon."""
    sag = 33.0 * (1.0 - math.cos(math.pi / count)) * (1.0 + 1e-9)
    return mesh(tube(33.0, 0.0, 50.0, "fit"), Fineness(10.0, sag))


def test_every_row_of_the_table_is_read() -> None:
    assert [row["id"] for row in POLYGON] == ["polygon_factor"]


@by_row(POLYGON)
def test_the_area_factor_is_the_one_of_algebra(row: dict[str, Any]) -> None:
    assert area_factor(64) == as_published(row)


@by_row(POLYGON)
def test_a_fit_bar_of_64_facets_is_light_by_the_factor(row: dict[str, Any]) -> None:
    found = fit_bar(64)
    assert len(found.vertices) == 2 * 64 + 2
    assert found.moments().volume / (math.pi * 33.0**2 * 50.0) == as_published(row)


@pytest.mark.parametrize("count", [64, 256])
def test_trimesh_turns_the_ogive_as_light_as_the_factor_says(count: int) -> None:
    x = np.linspace(0.0, OGIVE.length, 401)
    r = OGIVE.radius(x)
    r[0] = 0.0
    found = trimesh.creation.revolve(np.vstack([np.column_stack([r, x]), [0.0, OGIVE.length]]), sections=count)
    # Each of the 400 chords turns into a frustum, h (r^2 + r s + s^2) pi / 3; each frustum is light by the factor.
    frusta = math.pi / 3.0 * float(np.diff(x) @ (r[:-1] ** 2 + r[:-1] * r[1:] + r[1:] ** 2))
    assert abs(found.volume) == pytest.approx(frusta * area_factor(count), rel=1e-12)
    # The chords themselves miss the arc by 3e-6 of the volume.
    assert frusta == pytest.approx(moments(turned(OGIVE.chain())).volume, rel=5e-6)


def test_our_ogive_read_by_trimesh_has_the_exact_moments() -> None:
    ours = mesh(turned(OGIVE.chain(), "wetted"))
    found = trimesh.Trimesh(ours.vertices, ours.triangles, process=False)
    exact = moments(turned(OGIVE.chain()))
    assert found.is_volume
    assert found.volume == pytest.approx(exact.volume, rel=1e-8)
    # Vertices that keep the volume lie up to 0.02 mm off a surface of 33 mm by 200 mm.
    assert found.center_mass == pytest.approx(exact.centroid, abs=0.02)
    np.testing.assert_allclose(np.diag(found.moment_inertia), np.diag(exact.inertia()), rtol=1e-3)


def test_our_ogive_read_by_manifold_has_the_exact_volume_and_skin() -> None:
    import manifold3d

    ours = mesh(turned(OGIVE.chain(), "wetted"))
    found = manifold3d.Manifold(manifold3d.Mesh64(ours.vertices, ours.triangles.astype(np.uint64)))
    assert found.status() == manifold3d.Error.NoError
    assert found.volume() == pytest.approx(moments(turned(OGIVE.chain())).volume, rel=1e-8)
    assert found.genus() == 0
