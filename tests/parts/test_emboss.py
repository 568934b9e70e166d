"""Raised and sunk words: sound meshes, the right volume, the right way round, and never on a wall too curved for them.

Sources: elementary geometry of a circle and its tangent (sagitta), areas of the letters (tests/parts/test_lettering.py
holds them to the font), trimesh and shapely as readers that are not ours.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from shapely.geometry import Polygon
from shapely.ops import unary_union

from ferrule.parts.emboss import LARGEST_SAGITTA, OnPlate, OnWall, embossed, sagitta
from ferrule.parts.errors import PartError
from ferrule.parts.kinds.coupler import Coupler
from ferrule.parts.kinds.straight import straight_tube
from ferrule.parts.lettering import letters
from ferrule.parts.readers.facets import Fineness
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import mesh
from ferrule.parts.readers.moments import Moments
from ferrule.parts.readers.radial import overlap
from ferrule.parts.shape import (
    Array,
    Cut,
    Fused,
    Outline,
    Placed,
    Plate,
    Shape,
    circle,
    hole,
    rolled,
    signed_area,
)
from ferrule.parts.writers.stl import write_stl

OUTER, BORE, LENGTH = 32.75, 30.35, 60.0
WALL = OUTER - BORE
WORDS = "MARRAM R2 8%g"
BODY = straight_tube(OUTER, BORE, LENGTH)
PLATE = Plate(Outline(circle(25.0), (hole(8.0),)), 4.0)

WALLS = {
    "round the outside": OnWall(OUTER, WALL, 3.0, 30.0, 0.5),
    "along the outside": OnWall(OUTER, WALL, 3.0, 30.0, 0.5, along=True),
    "round the bore": OnWall(BORE, WALL, 3.0, 30.0, 0.5, inside=True),
    "along the bore": OnWall(BORE, WALL, 3.0, 30.0, 0.5, along=True, inside=True),
}


def letter_area(words: str, height: float) -> float:
    return sum(signed_area(loop) for shape in letters(words, height) for loop in shape.loops)


def tools(shape: Shape) -> tuple[Shape, ...]:
    found = shape.tools[0] if isinstance(shape, Cut) else shape.members[1] if isinstance(shape, Fused) else None
    assert isinstance(found, Fused)
    return found.members


def solid(found: Any) -> trimesh.Trimesh:
    return trimesh.Trimesh(found.vertices, found.triangles, process=False)


@pytest.mark.parametrize("raised", [False, True])
@pytest.mark.parametrize("name", WALLS)
def test_words_on_a_wall_are_sound_and_have_the_area_times_the_depth(name: str, raised: bool) -> None:
    """Less at most the sagitta of the largest letter, which is at most a fifth of the depth."""
    depth = 0.4
    shape = embossed(BODY, WORDS, WALLS[name], depth, raised)
    found = mesh(shape)
    assert found.faults() == ()
    assert solid(found).is_volume
    assert len(solid(found).split(only_watertight=False)) == 1
    sign, area = (1.0 if raised else -1.0), letter_area(WORDS, 3.0)
    half = max(max(map(abs, tool.outline.box()[1::2])) for tool in tools(shape))  # type: ignore[union-attr]
    least = depth - sagitta(WALLS[name].radius, half)
    assert (1.0 - LARGEST_SAGITTA) * depth <= least < depth
    by_integrals = sign * (moments(shape).volume - moments(BODY).volume)
    assert area * least * 0.999 < by_integrals < area * depth * 1.001
    # The mesh may lie 0.02 mm from the wall, on the facets of the fit faces to one side of it.
    by_mesh = sign * (found.moments().volume - mesh(BODY).moments().volume)
    assert by_mesh == pytest.approx(by_integrals, abs=0.02 * area)


@pytest.mark.parametrize("name", WALLS)
def test_moments_agree_with_the_quadrature_for_letters_with_holes(name: str) -> None:
    """The mesh of what is shared and the quadrature of radial features, which know nothing of each other."""
    shape = embossed(BODY, "B8%", WALLS[name], 0.4, raised=False)
    by_mesh = moments(BODY) - moments(shape)
    by_quadrature: Moments | None = None
    for tool in tools(shape):
        one = overlap(BODY.meridian, tool)  # type: ignore[arg-type]
        by_quadrature = one if by_quadrature is None else by_quadrature + one
    assert by_quadrature is not None
    assert by_mesh.volume == pytest.approx(by_quadrature.volume, rel=2e-4)
    assert by_mesh.first == pytest.approx(by_quadrature.first, rel=5e-4, abs=2e-3)
    assert by_mesh.second == pytest.approx(by_quadrature.second, rel=1e-3, abs=0.2)


@pytest.mark.parametrize("raised", [False, True])
@pytest.mark.parametrize("face", ["aft", "forward"])
def test_words_on_a_plate_have_the_area_times_the_depth(face: Any, raised: bool) -> None:
    shape = embossed(PLATE, "65.7 Å8", OnPlate(4.0, 4.0, (0.0, 14.0), 0.1, face), 0.6, raised)
    found = mesh(shape)
    assert found.faults() == ()
    assert solid(found).is_volume
    wanted = letter_area("65.7 Å8", 4.0) * 0.6 * (1.0 if raised else -1.0)
    assert moments(shape).volume - moments(PLATE).volume == pytest.approx(wanted, rel=1e-3)
    assert found.moments().volume - mesh(PLATE).moments().volume == pytest.approx(wanted, rel=2e-3)
    low, high = solid(found).bounds[:, 0]
    raise_by = 0.6 if raised else 0.0
    assert (low, high) == pytest.approx((-raise_by, 4.0) if face == "forward" else (0.0, 4.0 + raise_by), abs=1e-6)


def seen(found: Any, origin: Any, normal: Any, right: Any, up: Any) -> Any:
    """Section of a mesh with a plane, in the coordinates of who looks against the normal."""
    assert np.cross(right, up) == pytest.approx(np.asarray(normal, dtype=float))
    section = solid(found).section(plane_origin=origin, plane_normal=normal)
    assert section is not None
    rings = [Polygon(np.column_stack([path @ right, path @ up])) for path in section.discrete]
    region = rings[0]
    for ring in rings[1:]:
        region = region.symmetric_difference(ring)
    return region


def flat(words: str, height: float) -> Any:
    t = np.linspace(0.0, 1.0, 33)[:-1]
    shapes = []
    for shape in letters(words, height):
        loops = [np.vstack([edge.piece.at(t) for edge in loop]) for loop in shape.loops]
        shapes.append(Polygon(loops[0], loops[1:]))
    return unary_union(shapes)


def difference(one: Any, other: Any) -> float:
    """Share of one region that differs from another one laid onto it by its middle."""
    a, b = one.centroid, other.centroid
    moved = Polygon() if other.is_empty else translated(other, a.x - b.x, a.y - b.y)
    return float(one.symmetric_difference(moved).area / one.area)


def translated(region: Any, dx: float, dy: float) -> Any:
    from shapely.affinity import translate

    return translate(region, dx, dy)


@pytest.mark.parametrize(
    ("face", "x", "normal", "right"),
    [("aft", 4.3, (1, 0, 0), (0, 1, 0)), ("forward", -0.3, (-1, 0, 0), (0, -1, 0))],
)
def test_words_on_a_plate_read_from_left_to_right(face: Any, x: float, normal: Any, right: Any) -> None:
    shape = embossed(PLATE, "FR 2", OnPlate(4.0, 4.0, (0.0, 14.0), face=face), 0.6, raised=True)
    assert difference(seen(mesh(shape), (x, 0, 0), normal, right, (0, 0, 1)), flat("FR 2", 4.0)) < 0.03


@pytest.mark.parametrize("inside", [False, True])
@pytest.mark.parametrize("along", [False, True])
def test_a_letter_on_a_wall_reads_as_it_should(along: bool, inside: bool) -> None:
    """Heads forward where words run round. Roll 0 is +y, which who looks at the outside has towards himself."""
    where = OnWall(BORE if inside else OUTER, WALL, 4.0, 30.0, 0.0, along=along, inside=inside)
    shape = embossed(BODY, "R", where, 0.5, raised=True)
    only = mesh(Fused(tools(shape)))
    height = BORE - 0.2 if inside else OUTER + 0.2
    normal = (0, -1, 0) if inside else (0, 1, 0)
    forward = (-1, 0, 0)
    across = tuple(np.cross(forward, normal).tolist())
    right, up = ((1, 0, 0), tuple(np.cross(normal, (1, 0, 0)).tolist())) if along else (across, forward)
    assert difference(seen(only, (30.0, height, 0.0), normal, right, up), flat("R", 4.0)) < 0.03


@pytest.mark.parametrize(("inside", "sign"), [(False, 1.0), (True, -1.0)])
def test_words_that_run_round_are_placed_by_arc_length(inside: bool, sign: float) -> None:
    radius = BORE if inside else OUTER
    shape = embossed(BODY, "HHH", OnWall(radius, WALL, 3.0, 20.0, 0.7, inside=inside), 0.4, raised=False)
    rolls = [tool.roll for tool in tools(shape)]  # type: ignore[union-attr]
    step = 3.0 / 1493.0 * 1540.0  # advance of the font's H
    assert rolls == pytest.approx([0.7 - sign * step / radius, 0.7, 0.7 + sign * step / radius])


def test_heights_over_a_wall_stay_within_the_depth() -> None:
    """Every vertex beyond the wall, by its radius and by its height over the tangent plane."""
    for raised in (False, True):
        found = mesh(embossed(BODY, "MW", WALLS["round the outside"], 0.4, raised), Fineness(deviation=0.002))
        radii = np.hypot(found.vertices[:, 1], found.vertices[:, 2])
        if raised:
            assert OUTER + 0.8 * 0.4 < radii.max() <= OUTER + 0.4 + 1e-3
        else:
            inner = radii[(radii < OUTER - 0.1) & (radii > BORE + 0.1)]
            assert inner.min() >= OUTER - 0.4 - 1e-3


def test_a_coupler_with_holes_and_words_is_printed(tmp_path: Path) -> None:
    coupler = Coupler.build(**Coupler.example)
    radius = coupler.outside_diameter / 2.0
    shape = embossed(coupler.shape(), "MARRAM R2 3f9c", OnWall(radius, coupler.wall, 3.0, 80.0), 0.4, raised=False)
    write_stl(tmp_path / "coupler.stl", mesh(shape), "coupler (invented)")
    read = trimesh.load_mesh(tmp_path / "coupler.stl")
    assert read.is_volume
    wanted = moments(coupler.shape()).volume - moments(shape).volume
    assert mesh(coupler.shape()).moments().volume - read.volume == pytest.approx(wanted, rel=0.06)
    area = letter_area("MARRAM R2 3f9c", 3.0)
    assert 0.8 * 0.4 * area < wanted < 0.4 * area


def test_words_stay_when_the_part_is_placed_or_repeated() -> None:
    shape = embossed(BODY, "A1", WALLS["round the outside"], 0.4, raised=True)
    assert moments(Placed(shape, rolled(1.0))).volume == pytest.approx(moments(shape).volume)
    assert solid(mesh(Array(shape, 2))).is_volume


# Refusals


def test_letters_too_large_for_the_wall_are_refused_with_the_size_that_goes() -> None:
    """The sagitta is w^2 / 2 R nearly: a wall of 10 mm radius and a depth of 0.4 mm let letters be 2 x 1.26 mm wide."""
    with pytest.raises(
        PartError, match=r"height: letters of 5 mm are too large .* 20% of the depth .* at most"
    ) as error:
        embossed(BODY, "M", OnWall(10.0, 2.0, 5.0, 30.0), 0.4, raised=False)
    largest = float(str(error.value).rsplit("at most ", 1)[1].removesuffix(" mm"))
    # The M of the font is 1767 - 2 x 201 units wide between its stems' outer sides.
    assert largest == pytest.approx(2.0 * math.sqrt(0.08 * (20.0 - 0.08)) * 1493.0 / (1767.0 - 2.0 * 201.0), abs=0.02)
    embossed(BODY, "M", OnWall(10.0, 2.0, largest, 30.0), 0.4, raised=False)
    with pytest.raises(PartError, match="too large"):
        embossed(BODY, "M", OnWall(10.0, 2.0, largest + 0.02, 30.0), 0.4, raised=False)


def test_refusals() -> None:
    where = WALLS["round the outside"]
    with pytest.raises(PartError, match=r"depth: words sunk 1.3 mm leave less than half .* 2.4 mm"):
        embossed(BODY, "A", where, 1.3, raised=False)
    for depth in (0.0, -0.4, math.nan, math.inf):
        with pytest.raises(PartError, match="depth: "):
            embossed(BODY, "A", where, depth, raised=True)
    with pytest.raises(PartError, match="no letter to print"):
        embossed(BODY, "  ", where, 0.4, raised=True)
    with pytest.raises(PartError, match="which the lettering does not have"):
        embossed(BODY, "Ω", where, 0.4, raised=True)
    with pytest.raises(PartError, match=r"do not go round a wall of 32\.75 mm radius"):
        embossed(BODY, "MARRAM " * 20, where, 0.4, raised=True)
