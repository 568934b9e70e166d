"""Normals for shading a facet mesh: smooth along curved faces, sharp at edges."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ..curve import Floats
from ..readers.mesh import Mesh

_WIDEST_TURN = math.radians(40.0)
"""Two facets of one curved face meet at less than this [rad], however small the face: the coarsest fillets that the
mesh rules make turn by 30 degrees a facet."""

_SAGITTA = 2.0
"""A curve through two facets of one face rises above them by at most this many deviations [-]: their widths differ."""


def smooth_normals(mesh: Mesh, deviation: float) -> Floats:
    """Unit normals (m, 3, 3) of every corner of a closed mesh [-].

    An angle alone cannot tell a bevel of seven degrees, which is an edge, from a screw hole of twenty flat sides, which
    is round. What tells them apart is width: facets that stand for a curved face are so narrow that the curve through
    them stays within the mesh's deviation, and those beside an edge are not.

    Each corner takes the mean of the facets of its face around it, by area and angle, so that a wide flat face beside a
    rounded edge stays flat to the eye. At the tip of a cone, facets on the far side do not count.

    Args:
        mesh: a closed mesh.
        deviation: how far the mesh may lie from the surface, in the unit of its vertices.
    """
    corners = mesh.vertices[mesh.triangles]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    twice_area = np.linalg.norm(cross, axis=1)
    facet = cross / twice_area[:, None]
    weight = _angles(corners) * twice_area[:, None]
    face = _faces_at_corners(mesh, facet, twice_area, deviation)
    # Corners of one face at one vertex stand together; each looks at all of its group.
    order = np.argsort(face, kind="stable")
    _, start, count = np.unique(face[order], return_index=True, return_counts=True)
    total = np.zeros((len(face), 3))
    owner = order // 3
    pull = weight.ravel()[order, None] * facet[owner]
    for size in np.unique(count).tolist():
        members = start[count == size][:, None] + np.arange(size)
        here = facet[owner[members]]
        near = np.einsum("gic,gjc->gij", here, here) > math.cos(_WIDEST_TURN)
        total[order[members]] = np.einsum("gij,gjc->gic", near, pull[members])
    return np.asarray((total / np.linalg.norm(total, axis=1, keepdims=True)).reshape(-1, 3, 3))


def _angles(corners: Floats) -> Floats:
    """Angle of each corner (m, 3) [rad]."""
    forth = np.roll(corners, -1, axis=1) - corners
    back = np.roll(corners, 1, axis=1) - corners
    return np.asarray(np.arctan2(np.linalg.norm(np.cross(forth, back), axis=2), np.einsum("mkc,mkc->mk", forth, back)))


def _faces_at_corners(mesh: Mesh, facet: Floats, twice_area: Floats, deviation: float) -> NDArray[np.int64]:
    """A number for each corner (3 m,), equal where two lie at one vertex and one face goes on from facet to facet."""
    triangles, count = mesh.triangles, len(mesh.vertices)
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    forth, back = start * count + end, end * count + start
    mate = np.argsort(forth)[np.searchsorted(np.sort(forth), back)]
    # Side k of a triangle runs from its corner k to the next; its mate runs the other way in the neighbour.
    side = np.arange(3 * len(triangles))
    length = np.linalg.norm(mesh.vertices[end] - mesh.vertices[start], axis=1)
    width = twice_area[side // 3] / length
    one, other = facet[side // 3], facet[mate // 3]
    turn = np.arctan2(np.linalg.norm(np.cross(one, other), axis=1), np.einsum("ij,ij->i", one, other))
    sagitta = np.minimum(width, width[mate]) * turn / 8.0
    smooth = (turn < _WIDEST_TURN) & (sagitta < _SAGITTA * deviation)
    # The corner where a side starts is the corner where its mate ends.
    here = side[smooth]
    there = 3 * (mate[smooth] // 3) + (mate[smooth] + 1) % 3
    label = side.copy()
    while True:
        least = np.minimum(label[here], label[there])
        after = label.copy()
        np.minimum.at(after, here, least)
        np.minimum.at(after, there, least)
        after = after[after]
        if np.array_equal(after, label):
            return label
        label = after
