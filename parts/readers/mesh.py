"""Print and preview meshes; the only file that imports manifold3d.

Turned and flat solids are built here, vertex by vertex, because the fit rule decides where a vertex goes; manifold3d
triangulates caps and does the booleans.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache, reduce
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..blade import as_plates
from ..curve import Floats, Line
from ..errors import PartError
from ..shape import (
    Array,
    Blade,
    Cut,
    Edge,
    Fused,
    Meridian,
    Outline,
    Placed,
    Placement,
    Plate,
    RadialFeature,
    Revolved,
    Ruled,
    Shape,
    instances,
    radial_prism,
)
from .facets import (
    Fineness,
    area_factor,
    exact_turned_volume,
    outline_points,
    parameters,
    ring_count,
    true_points,
    turned_volume,
)
from .moments import NOTHING, Moments, of_triangles

if TYPE_CHECKING:
    from manifold3d import Manifold

GRID = 1e-6
"""Coordinates are rounded to this [mm], so that the same part gives the same bytes on every machine."""

_SHORTEST = 10.0 * GRID
"""Shortest edge that a boolean leaves [mm]."""

_INTEGRAL_FINENESS = Fineness(deviation=0.001, fit_deviation=0.001, hold_fit=False)


@dataclass(frozen=True, eq=False, slots=True)
class Mesh:
    """A closed triangle mesh.

    Attributes:
        vertices: positions (n, 3) [mm].
        triangles: vertex numbers (m, 3), anticlockwise seen from outside.
    """

    vertices: Floats
    triangles: NDArray[np.int64]

    def moments(self) -> Moments:
        """Exact moments of the solid that the facets enclose."""
        return of_triangles(self.vertices, self.triangles, "mesh", 0.0)

    def placed(self, placement: Placement) -> Mesh:
        """The mesh after a rigid motion, on the grid again."""
        return Mesh(_on_grid(placement.apply(self.vertices)), self.triangles)

    def bounds(self) -> tuple[float, ...]:
        """Smallest x, y, z and largest x, y, z of it [mm]."""
        return tuple(float(edge) for edge in (*self.vertices.min(axis=0), *self.vertices.max(axis=0)))

    def faults(self) -> tuple[str, ...]:
        """What keeps the mesh from being one closed, oriented, two-sided surface; empty when it is sound."""
        return edge_faults(self.vertices, self.triangles)


def mesh(shape: Shape, fineness: Fineness = Fineness()) -> Mesh:
    """Watertight mesh of a shape within a deviation of its surface.

    Raises:
        PartError: the shape is empty or cannot be meshed.
    """
    match shape:
        case Revolved():
            return _turned(shape.meridian, fineness)
        case Plate():
            return _extruded(shape, fineness)
        case Placed():
            return mesh(shape.shape, fineness).placed(shape.placement)
        case RadialFeature():
            return mesh(radial_prism(shape), fineness)
        case Blade():
            return mesh(as_plates(shape), fineness)
        case Ruled():
            return _ruled(shape, fineness)
        case _:
            return _from_manifold(_solid(shape, fineness))


def edge_faults(vertices: Floats, triangles: NDArray[np.int64]) -> tuple[str, ...]:
    """Faults of a mesh: every directed edge must occur once, and its reverse once.

    Args:
        vertices: positions (n, 3) [mm].
        triangles: vertex numbers (m, 3).
    """
    faults: list[str] = []
    count = len(vertices)
    if not len(triangles):
        return ("it has no triangles",)
    ends = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    forth, back = ends[:, 0] * count + ends[:, 1], ends[:, 1] * count + ends[:, 0]
    if len(np.unique(forth)) != len(forth):
        faults.append("an edge is used twice in the same direction")
    if not np.array_equal(np.sort(forth), np.sort(back)):
        faults.append("an edge has only one triangle")
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    if bool(np.any(np.linalg.norm(np.cross(b - a, c - a), axis=1) <= 0.0)):
        faults.append("a triangle has no area")
    if of_triangles(vertices, triangles, "", 0.0).volume <= 0.0:
        faults.append("the surface is inside out")
    return tuple(faults)


def shared_moments(base: Shape, tools: tuple[Shape, ...]) -> Moments:
    """Moments of the material that a shape shares with any of some tools, from a fine volume-true mesh of that."""
    fineness = _INTEGRAL_FINENESS
    union = reduce(lambda a, b: a + b, (_solid(tool, fineness) for tool in tools))
    shared = _solid(base, fineness) ^ union
    if shared.is_empty():
        return NOTHING
    found = _from_manifold(shared)
    flat = all(_is_flat(shape) for shape in (base, *tools))
    return of_triangles(
        found.vertices,
        found.triangles,
        "exact moments of flat facets" if flat else "mesh of the shared material",
        1e-9 if flat else 1e-4,
    )


def beyond_plane(found: Mesh, normal: tuple[float, float, float], offset: float) -> Mesh | None:
    """What of a mesh lies beyond a plane, closed with faces in it; None where nothing does.

    Args:
        found: a closed mesh [mm].
        normal: unit normal of the plane [-], towards what is kept.
        offset: distance of the plane from the origin along the normal [mm].
    """
    kept = _to_manifold(found).trim_by_plane(normal, offset)
    return None if kept.is_empty() else _from_manifold(kept)


def shared_pieces(first: Shape, second: Shape) -> tuple[Mesh, ...]:
    """The separate pieces of the material that two shapes share, as fine volume-true meshes; none where they part."""
    shared = _kept_solid(first) ^ _kept_solid(second)
    pieces = [_from_manifold(piece) for piece in shared.decompose() if not piece.is_empty()]
    return tuple(piece for piece in pieces if len(piece.triangles))


@lru_cache(maxsize=32)
def _kept_solid(shape: Shape) -> Manifold:
    """A solid that is compared with several others, one after the other."""
    return _solid(shape, _INTEGRAL_FINENESS)


def _is_flat(shape: Shape) -> bool:
    """True where every face is flat, so that a mesh of the shape is exact."""
    match shape:
        case Plate():
            return _is_straight(shape.outline)
        case Ruled():
            return _is_straight(shape.section)
        case Placed():
            return _is_flat(shape.shape)
        case RadialFeature():
            return _is_flat(radial_prism(shape))
        case Blade():
            return _is_flat(as_plates(shape))
        case Array():
            return _is_flat(shape.shape)
        case Fused():
            return all(_is_flat(member) for member in shape.members)
        case Cut():
            return _is_flat(shape.base) and all(_is_flat(tool) for tool in shape.tools)
        case Revolved():
            return False


def _is_straight(outline: Outline) -> bool:
    return all(isinstance(edge.piece, Line) for loop in outline.loops for edge in loop)


def _on_grid(vertices: Floats) -> Floats:
    return np.asarray(np.round(vertices / GRID) * GRID + 0.0)


def _solid(shape: Shape, fineness: Fineness) -> Manifold:
    match shape:
        case Array():
            return reduce(lambda a, b: a + b, (_solid(one, fineness) for one in instances(shape)))
        case Fused():
            return reduce(lambda a, b: a + b, (_solid(one, fineness) for one in shape.members))
        case Cut():
            return reduce(lambda a, b: a - b, (_solid(t, fineness) for t in shape.tools), _solid(shape.base, fineness))
        case Placed() if isinstance(shape.shape, (Array, Fused, Cut, Blade, Placed)):
            turn, move = shape.placement.matrix, np.array(shape.placement.move)
            return _solid(shape.shape, fineness).transform(np.column_stack([turn, move]))
        case Blade():
            return _solid(as_plates(shape), fineness)
        case _:
            return _to_manifold(mesh(shape, fineness))


def _to_manifold(found: Mesh) -> Manifold:
    import manifold3d

    solid = manifold3d.Manifold(
        manifold3d.Mesh64(
            vert_properties=np.ascontiguousarray(found.vertices, dtype=np.float64),
            tri_verts=np.ascontiguousarray(found.triangles, dtype=np.uint64),
        )
    )
    if solid.status() != manifold3d.Error.NoError:
        raise PartError(f"the mesh of a solid is not sound: {solid.status().name}")
    return solid


def _from_manifold(solid: Manifold) -> Mesh:
    if solid.is_empty():
        raise PartError("the part is empty: its cuts remove all of it")
    # Edges too short for the grid would fold when their ends are rounded; the library takes them out soundly.
    found = solid.simplify(_SHORTEST).to_mesh64()
    vertices = _on_grid(np.asarray(found.vert_properties, dtype=np.float64)[:, :3])
    return welded(vertices, np.asarray(found.tri_verts, dtype=np.int64))


def welded(vertices: Floats, triangles: NDArray[np.int64]) -> Mesh:
    """Merge equal vertices and drop the triangles that this collapses."""
    # Sorted by hand: `np.unique` over rows gives the same and takes five times as long.
    order = np.lexsort(vertices.T[::-1])
    rows = vertices[order]
    is_new = np.ones(len(rows), dtype=bool)
    is_new[1:] = np.any(rows[1:] != rows[:-1], axis=1)
    number = np.empty(len(vertices), dtype=np.int64)
    number[order] = np.cumsum(is_new) - 1
    unique, triangles = rows[is_new], number[triangles]
    a, b, c = triangles.T
    triangles = triangles[(a != b) & (b != c) & (c != a)]
    triangles = _without_needles(unique, triangles)
    used, renumbered = np.unique(triangles, return_inverse=True)
    return Mesh(unique[used], renumbered.reshape(-1, 3).astype(np.int64))


def _without_needles(vertices: Floats, triangles: NDArray[np.int64]) -> NDArray[np.int64]:
    """Take out triangles whose corners lie in line, by parting the neighbour on the long side at the middle corner."""
    for _ in range(20):
        a, b, c = (vertices[triangles[:, k]] for k in range(3))
        needles = np.flatnonzero(np.linalg.norm(np.cross(b - a, c - a), axis=1) <= 0.0)
        if not len(needles):
            break
        one = triangles[needles[0]]
        sides = vertices[np.roll(one, -2)] - vertices[np.roll(one, -1)]
        middle = int(np.argmax(np.linalg.norm(sides, axis=1)))  # the corner opposite the longest side
        m, p, q = np.roll(one, -middle).tolist()
        beyond = np.flatnonzero(((triangles == q) & (np.roll(triangles, -1, axis=1) == p)).any(axis=1))
        if len(beyond) != 1:
            break
        neighbour = triangles[beyond[0]]
        x = int(neighbour[(neighbour != p) & (neighbour != q)][0])
        kept = np.delete(triangles, [needles[0], beyond[0]], axis=0)
        triangles = np.vstack([kept, [[q, m, x], [m, p, x]]])
    return triangles


def _extruded(plate: Plate, fineness: Fineness) -> Mesh:
    loops = _polygons(plate.outline, fineness)
    points = np.vstack(loops)
    low, high = (np.column_stack([np.full(len(points), x), points]) for x in (0.0, plate.thickness))
    return Mesh(_on_grid(np.vstack([low, high])), _between(loops))


def _ruled(shape: Ruled, fineness: Fineness) -> Mesh:
    """Both ends by the same polygon: between similar polygons every facet is flat, and as true as the polygon is."""
    largest = max(1.0, shape.ratio)
    finer = replace(fineness, deviation=fineness.deviation / largest, fit_deviation=fineness.fit_deviation / largest)
    loops = _polygons(shape.section, finer)
    x, z = np.vstack(loops).T
    low = np.column_stack([x, np.full(len(x), shape.from_y), z])
    high = np.column_stack([shape.sweep + shape.ratio * x, np.full(len(x), shape.to_y), shape.ratio * z])
    # The section's frame is turned over against that of a plate: x, z and the way outboard are left-handed.
    triangles = _between(loops)[:, ::-1]
    # At the small end neighbours can fall together on the grid, at a point all of them do.
    return welded(_on_grid(np.vstack([low, high])), triangles)


def _polygons(outline: Outline, fineness: Fineness) -> list[Floats]:
    loops = [
        np.vstack([outline_points(edge.piece, edge.role == "fit", fineness) for edge in loop]) for loop in outline.loops
    ]
    return [_without_repeats(_on_grid(loop)) for loop in loops]


def _between(loops: list[Floats]) -> NDArray[np.int64]:
    """Triangles of the solid between some polygons and the same again, all of whose points follow after."""
    import manifold3d

    flat = np.asarray(manifold3d.triangulate(loops), dtype=np.int64)
    count = sum(len(loop) for loop in loops)
    sides: list[NDArray[np.int64]] = []
    first = 0
    for loop in loops:
        here = np.arange(first, first + len(loop))
        after = np.roll(here, -1)
        sides += [np.column_stack([here, after, after + count]), np.column_stack([here, after + count, here + count])]
        first += len(loop)
    return np.vstack([flat[:, ::-1], flat + count, *sides]).astype(np.int64)


def _without_repeats(loop: Floats) -> Floats:
    return loop[np.any(np.abs(loop - np.roll(loop, 1, axis=0)) > GRID / 2.0, axis=1)]


def _turned(meridian: Meridian, fineness: Fineness) -> Mesh:
    fit_edges = [edge for edge in meridian.edges if edge.role == "fit" and fineness.hold_fit]
    fit_radius = max((max(e.piece.start[1], e.piece.end[1]) for e in fit_edges), default=0.0)
    count = ring_count(meridian.box()[2], fit_radius, fineness)
    nodes = _rounded_nodes(_section(meridian, count, fineness), count)
    return _rings(nodes, count)


def _section(meridian: Meridian, count: int, fineness: Fineness) -> Floats:
    """Nodes (n, 2) of the facetted section, each at the radius of its ring's vertices."""
    edges = meridian.edges
    rules = [_ring_factor(edge, count, fineness) for edge in edges]
    plain = area_factor(count) ** -0.5
    rows: list[Floats] = []
    for index, edge in enumerate(edges):
        held, before = rules[index], rules[index - 1]
        points = _edge_points(edge, held is not None, fineness)
        factors = np.full(len(points), plain if held is None else held)
        # A corner that a fit face shares keeps the fit face's radius.
        factors[0] = next((rule for rule in (held, before) if rule is not None), plain)
        rows.append(points * np.column_stack([np.ones(len(points)), factors]))
    return np.vstack(rows)


def _edge_points(edge: Edge, held: bool, fineness: Fineness) -> Floats:
    piece = edge.piece
    if held:
        return piece.at(np.array([0.0])) if isinstance(piece, Line) else _plain_points(edge, fineness)
    points, _ = true_points(piece, fineness.deviation / 2.0, turned_volume, exact_turned_volume(piece))
    return points[:-1]


def _plain_points(edge: Edge, fineness: Fineness) -> Floats:
    return edge.piece.at(parameters(edge.piece, fineness.fit_deviation / 2.0)[:-1])


def _ring_factor(edge: Edge, count: int, fineness: Fineness) -> float | None:
    """Radius of the ring's vertices over the true radius on a fit face, or None on any other [-]."""
    if edge.role != "fit" or not fineness.hold_fit:
        return None
    outside = edge.piece.end[0] > edge.piece.start[0]
    return 1.0 if outside else 1.0 / float(np.cos(np.pi / count))


def _rounded_nodes(nodes: Floats, count: int) -> Floats:
    """Nodes on the grid, without repeats; a radius below it is the axis.

    Beside a tip a ring can be so small that its vertices have no room on the grid; the tip itself then stands for it.
    """
    nodes = nodes.copy()
    nodes[np.abs(nodes[:, 1]) < GRID, 1] = 0.0
    if np.any(nodes[:, 1] == 0.0):
        nodes = nodes[(nodes[:, 1] == 0.0) | (nodes[:, 1] > count * _SHORTEST / np.pi)]
    keep = np.any(np.abs(nodes - np.roll(nodes, 1, axis=0)) > GRID / 2.0, axis=1)
    return nodes[keep]


def _rings(nodes: Floats, count: int) -> Mesh:
    angle = 2.0 * np.pi * np.arange(count) / count
    cosine, sine = np.cos(angle), np.sin(angle)
    vertices: list[Floats] = []
    rings: list[NDArray[np.int64]] = []
    first = 0
    for x, r in nodes.tolist():
        size = count if r > 0.0 else 1
        ring = np.column_stack([np.full(size, x), r * cosine[:size], r * sine[:size]])
        vertices.append(ring)
        rings.append(np.arange(first, first + size) if size > 1 else np.full(count, first))
        first += size
    triangles: list[NDArray[np.int64]] = []
    for here, after in zip(rings, (*rings[1:], rings[0]), strict=True):
        here_next, after_next = np.roll(here, -1), np.roll(after, -1)
        if here[0] != here[1]:
            triangles.append(np.column_stack([here, here_next, after]))
        if after[0] != after[1]:
            triangles.append(np.column_stack([here_next, after_next, after]))
    return Mesh(_on_grid(np.vstack(vertices)), np.vstack(triangles).astype(np.int64))
