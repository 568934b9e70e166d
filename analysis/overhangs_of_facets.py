"""Faces of any print that look down, from its facets."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..parts.readers.mesh import Mesh
from .overhang import NUDGE, SAME, Form, Overhang, Side, in_order

_FACET_SLACK = math.radians(0.5)
"""Facets may lean further than the limit by this [rad], for they lean a little differently from their face."""

_SMALLEST = 0.05
"""Stretches of facets smaller than this are left out [mm2]."""

_LEVEL = 1e-4
"""Heights that differ by no more than this [mm] are the same: the mesh is rounded to 1e-6 mm."""


def of_facets(found: Mesh, limit: float) -> tuple[Overhang, ...]:
    """Overhangs of a mesh, those that are alike counted together.

    Args:
        found: the mesh in the bed's frame, z up; its lowest point counts as the bed.
        limit: largest lean from the vertical [rad].
    """
    vertices, triangles = found.vertices, found.triangles
    heights = vertices[:, 2] - vertices[:, 2].min()
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    square = np.cross(b - a, c - a)
    size = np.linalg.norm(square, axis=1)
    lean = -square[:, 2] / size
    on_bed = heights[triangles].max(axis=1) <= _LEVEL
    chosen = np.flatnonzero((lean > math.sin(limit + _FACET_SLACK)) & ~on_bed)
    if not len(chosen):
        return ()
    groups = _connected(triangles[chosen])
    stretches: list[Overhang] = []
    for name in np.unique(groups):
        mine = chosen[groups == name]
        area = float(size[mine].sum()) / 2.0
        if area < _SMALLEST:
            continue
        levels = heights[triangles[mine]]
        low, high = float(levels.min()), float(levels.max())
        flat = high - low <= _LEVEL
        form, across = _form(found, mine, float((lean * size)[mine].sum()) / 2.0, flat)
        angle = math.asin(min(float(lean[mine].max()), 1.0))
        largest = mine[int(np.argmax(size[mine]))]
        stretches.append(Overhang(_side_of_facet(found, int(largest)), form, low, high, angle, across))
    return _alike(stretches)


def _connected(triangles: NDArray[np.int64]) -> NDArray[np.int64]:
    """A number for each triangle, the same for those that hang together by their edges."""
    ends = np.sort(np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1)
    _, edge = np.unique(ends, axis=0, return_inverse=True)
    owner = np.tile(np.arange(len(triangles)), 3)
    order = np.argsort(edge.reshape(-1), kind="stable")
    edge, owner = edge.reshape(-1)[order], owner[order]
    same = np.flatnonzero(edge[:-1] == edge[1:])
    first, second = owner[same], owner[same + 1]
    label = np.arange(len(triangles))
    while True:
        low = np.minimum(label[first], label[second])
        after = label.copy()
        np.minimum.at(after, first, low)
        np.minimum.at(after, second, low)
        after = after[after]
        if np.array_equal(after, label):
            return label
        label = after


def _form(found: Mesh, mine: NDArray[np.int64], area: float, flat: bool) -> tuple[Form, float]:
    """The form of a stretch and how wide it is seen from below: twice its area over its rim, of a roof four times.

    A stretch hangs on the walls that go down from its rim; one that has them all round is a roof.
    """
    triangles = found.triangles
    ends = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    third = np.concatenate([triangles[:, 2], triangles[:, 0], triangles[:, 1]])
    is_mine = np.tile(np.isin(np.arange(len(triangles)), mine), 3)
    count = len(found.vertices)
    key = ends[:, 0] * count + ends[:, 1]
    back = ends[:, 1] * count + ends[:, 0]
    rim = np.flatnonzero(is_mine & ~np.isin(key, back[is_mine]))
    order = np.argsort(key)
    beyond = order[np.searchsorted(key[order], back[rim])]
    run = np.linalg.norm(found.vertices[ends[rim, 0], :2] - found.vertices[ends[rim, 1], :2], axis=1)
    width = 2.0 * area / float(run.sum())
    heights = found.vertices[:, 2]
    rises = heights[third[beyond]] > np.minimum(heights[ends[rim, 0]], heights[ends[rim, 1]]) + _LEVEL
    if float(run[rises].sum()) < 0.01 * float(run.sum()):
        return "roof", 2.0 * width
    return ("ledge" if flat else "leaning"), width


def _side_of_facet(found: Mesh, number: int) -> Side:
    """Whether a level ray outwards from below a facet meets material again."""
    corners = found.vertices[found.triangles[number]]
    square = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    origin = corners.mean(axis=0) + NUDGE * square / np.linalg.norm(square)
    middle = (found.vertices.min(axis=0) + found.vertices.max(axis=0)) / 2.0
    out = origin - middle
    out[2] = 0.0
    out = out / np.linalg.norm(out) if np.linalg.norm(out) > SAME else np.array([1.0, 0.0, 0.0])
    # A ray that runs exactly along a facet's edge could slip through.
    turn = 1e-4
    out = np.array([out[0] - turn * out[1], out[1] + turn * out[0], 0.0])
    a, b, c = (found.vertices[found.triangles[:, k]] for k in range(3))
    ab, ac = b - a, c - a
    p = np.cross(out, ac)
    det = np.einsum("ij,ij->i", ab, p)
    hit = np.abs(det) > 1e-12
    inverse = 1.0 / np.where(hit, det, 1.0)
    s = origin - a
    u = np.einsum("ij,ij->i", s, p) * inverse
    q = np.cross(s, ab)
    v = q @ out * inverse
    t = np.einsum("ij,ij->i", ac, q) * inverse
    return "inside" if bool(np.any(hit & (u >= 0.0) & (v >= 0.0) & (u + v <= 1.0) & (t > SAME))) else "outside"


def _alike(stretches: Iterable[Overhang]) -> tuple[Overhang, ...]:
    """Stretches that differ by less than a tenth of a millimetre and a degree, counted as one."""
    found: dict[tuple[object, ...], Overhang] = {}
    for one in stretches:
        key = (
            one.side,
            one.form,
            *(round(value, 1) for value in (one.low, one.high, one.across)),
            round(math.degrees(one.angle)),
        )
        found[key] = replace(found[key], count=found[key].count + 1) if key in found else one
    return in_order(found.values())
