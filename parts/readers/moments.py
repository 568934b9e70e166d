"""Volume, first and second moments as one value that adds, subtracts and moves rigidly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..curve import Floats
from ..shape import Placement


@dataclass(frozen=True, slots=True)
class Moments:
    """Moments of a solid about the origin of its frame, at unit density.

    Attributes:
        volume: volume [mm3].
        first: integral of (x, y, z) [mm4].
        second: integrals of xx, yy, zz, xy, xz, yz [mm5].
        method: how they were found.
        error: estimated error, relative to the volume [-].
    """

    volume: float
    first: tuple[float, float, float]
    second: tuple[float, float, float, float, float, float]
    method: str
    error: float

    @property
    def centroid(self) -> tuple[float, float, float]:
        """Centroid [mm]."""
        x, y, z = (value / self.volume for value in self.first)
        return (x, y, z)

    @property
    def second_matrix(self) -> Floats:
        """Second moments as a symmetric matrix (3, 3) [mm5]."""
        xx, yy, zz, xy, xz, yz = self.second
        return np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])

    def inertia(self) -> Floats:
        """Inertia tensor (3, 3) about the centroid at unit density [mm5]."""
        c = np.array(self.centroid)
        about = self.second_matrix - self.volume * np.outer(c, c)
        return np.asarray(np.trace(about) * np.eye(3) - about)

    def placed(self, placement: Placement) -> Moments:
        """Moments after a rigid motion."""
        turn, move = placement.matrix, np.array(placement.move)
        first = turn @ np.array(self.first)
        second = turn @ self.second_matrix @ turn.T
        shifted = second + np.outer(first, move) + np.outer(move, first) + self.volume * np.outer(move, move)
        return from_arrays(self.volume, first + self.volume * move, shifted, self.method, self.error)

    def _with(self, other: Moments, sign: float) -> Moments:
        volume = self.volume + sign * other.volume
        error = (self.error * abs(self.volume) + other.error * abs(other.volume)) / max(abs(volume), 1e-300)
        method = self.method if other.method in self.method else f"{self.method}; {other.method}"
        return from_arrays(
            volume,
            np.array(self.first) + sign * np.array(other.first),
            self.second_matrix + sign * other.second_matrix,
            method,
            error,
        )

    def __add__(self, other: Moments) -> Moments:
        return self._with(other, 1.0)

    def __sub__(self, other: Moments) -> Moments:
        return self._with(other, -1.0)


def from_arrays(volume: float, first: Floats, second: Floats, method: str, error: float) -> Moments:
    """Moments from a volume [mm3], a vector (3,) [mm4] and a symmetric matrix (3, 3) [mm5]."""
    x, y, z = (float(value) for value in first)
    return Moments(
        float(volume),
        (x, y, z),
        (
            float(second[0, 0]),
            float(second[1, 1]),
            float(second[2, 2]),
            float(second[0, 1]),
            float(second[0, 2]),
            float(second[1, 2]),
        ),
        method,
        error,
    )


NOTHING = Moments(0.0, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0, 0.0, 0.0, 0.0), "", 0.0)
"""The moments of no material."""


def of_triangles(vertices: Floats, triangles: np.ndarray, method: str, error: float) -> Moments:
    """Exact moments of the solid inside a closed mesh, as signed tetrahedra from the origin.

    Args:
        vertices: positions (n, 3) [mm].
        triangles: vertex numbers (m, 3), anticlockwise seen from outside.
        method: text for the result.
        error: estimated relative error of the mesh itself [-].
    """
    # About the middle of the box first: tetrahedra from a far origin would lose digits.
    centre = (vertices.min(axis=0) + vertices.max(axis=0)) / 2.0
    a, b, c = (vertices[triangles[:, k]] - centre for k in range(3))
    six = np.einsum("ij,ij->i", a, np.cross(b, c))
    total = a + b + c
    first = six @ total / 24.0
    # Integral of x_i x_j over a tetrahedron with one vertex at the origin: V/20 (sum_k p_k p_k + s s), s = sum p_k.
    second = np.zeros((3, 3))
    for p in (a, b, c, total):
        second += np.einsum("n,ni,nj->ij", six, p, p)
    about = from_arrays(six.sum() / 6.0, first, second / 120.0, method, error)
    return about.placed(Placement(move=tuple(centre.tolist())))
