"""Whether triangles close round a solid, and its volume, from corners and numbers alone."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from .findings import Findings, Listed

Floats: TypeAlias = NDArray[np.float64]
Numbers: TypeAlias = NDArray[np.int64]

_AS_LISTED = 1e-6
"""Largest relative difference of a volume from the one that was found when the file was made [-]."""

_BOUNDS = 1e-3
"""How far a box may be off the one that is listed [mm]: an STL has single precision."""

_DEVIATION = 0.01
"""Largest distance of a mesh from the exact surface [mm], which the files promise.

So the volume can be off the exact one by no more than this times the area of the surface.
"""


@dataclass(frozen=True, slots=True)
class Measured:
    """Volume [mm3] and area of the surface [mm2] of something closed."""

    volume: float
    area: float


def welded(corners: Floats, triangles: Numbers) -> tuple[Floats, Numbers]:
    """The same triangles with equal corners under one number.

    Args:
        corners: positions (n, 3).
        triangles: three numbers of corners each (m, 3).
    """
    found = np.ascontiguousarray(corners + 0.0)  # no -0, which would be another pattern of bits
    keys = found.view(np.dtype((np.void, found.dtype.itemsize * 3))).reshape(-1)
    _, first, number = np.unique(keys, return_index=True, return_inverse=True)
    return found[first], number.reshape(-1)[triangles].astype(np.int64)


def solid(corners: Floats, triangles: Numbers, found: Findings, name: str = "") -> Measured | None:
    """Hold a mesh to be finite, closed, oriented, without flat triangles and not inside out.

    Args:
        corners: positions (n, 3) [mm].
        triangles: three numbers of corners each (m, 3), each from 0 to n - 1.
        found: where to put what was found.
        name: what faults call it; empty for the file itself.

    Returns:
        What it measures; None where it is not closed, for then it has no inside.
    """
    of = f"{name}: " if name else ""
    if not found.hold(len(triangles) > 0, f"{of}no triangles"):
        return None
    if not found.hold(bool(np.all(np.isfinite(corners))), f"{of}a coordinate is not a number"):
        return None
    a, b, c = (corners[triangles[:, k]] - corners[triangles[0, 0]] for k in range(3))
    across = np.cross(b - a, c - a)
    sizes = np.linalg.norm(across, axis=1)
    flat = int(np.count_nonzero(sizes <= 0.0))
    found.hold(not flat, f"{of}{flat} triangles have no area")
    if not _closed(triangles, len(corners), found, of):
        return None
    # The divergence theorem: a closed surface holds the sum of the tetrahedra from any point to its triangles.
    volume = float(np.einsum("ij,ij->", a, across)) / 6.0
    if not found.hold(volume > 0.0, f"{of}the surface is inside out"):
        return None
    return Measured(volume, float(sizes.sum()) / 2.0)


def _closed(triangles: Numbers, count: int, found: Findings, of: str) -> bool:
    """Every edge is there once each way."""
    ends = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    low, high = ends.min(axis=1), ends.max(axis=1)
    sides = np.unique(low * count + high, return_counts=True)[1]
    open_edges = int(np.count_nonzero(sides == 1))
    twice = len(ends) - len(np.unique(ends[:, 0] * count + ends[:, 1]))
    closed = found.hold(not open_edges, f"{of}{open_edges} edges have a triangle on one side alone: not closed")
    return found.hold(not twice, f"{of}{twice} edges are run twice the same way: not oriented") and closed


def volume_held(parts: Iterable[Measured], listed: Listed, found: Findings) -> None:
    """Hold the volume of all that is in a file against the manifest and, through it, against the exact integral.

    Args:
        parts: what is in the file, each as often as it is there.
        listed: the file as the manifest lists it.
        found: where to put what was found.
    """
    measured = tuple(parts)
    volume, area = sum(one.volume for one in measured), sum(one.area for one in measured)
    exact = exact_volume(volume, listed, found)
    if exact is None:
        return
    off = abs(volume - exact)
    found.hold(
        off <= _DEVIATION * area + _AS_LISTED * exact,
        f"volume {volume:.7g} mm3 is {off:.3g} mm3 off the exact {exact:.7g} mm3: more than {_DEVIATION:g} mm all over "
        "its surface",
    )
    found.most("off", off / exact)


def bounds_held(points: np.ndarray, listed: Listed, found: Findings) -> None:
    """Hold the box round points [mm] to the one that the manifest lists, where it lists one.

    Args:
        points: positions (n, 3) [mm].
        listed: the file as the manifest lists it.
        found: where to put what was found.
    """
    stated = listed.check.get("bounds_mm")
    if stated is None:
        return
    box = [*points.min(axis=0).tolist(), *points.max(axis=0).tolist()]
    right = isinstance(stated, list) and len(stated) == len(box) and all(isinstance(one, int | float) for one in stated)
    off = max(abs(a - b) for a, b in zip(box, stated, strict=True)) if right else math.inf
    found.hold(off <= _BOUNDS, f"its box is off the one that the manifest lists by {off:.3g} mm")


def exact_volume(volume: float, listed: Listed, found: Findings) -> float | None:
    """Hold a volume [mm3] against the one listed; gives the exact integral [mm3] where the manifest tells it."""
    stated, apart = listed.number("volume_mm3"), listed.number("volume_against_integral")
    if stated is None or stated <= 0.0:
        found.hold(False, "the manifest lists no volume to hold it against")
        return None
    as_listed = abs(volume / stated - 1.0) <= _AS_LISTED
    found.hold(as_listed, f"volume {volume:.7g} mm3 where the manifest lists {stated:.7g} mm3")
    return stated / (1.0 + apart) if as_listed and apart is not None and apart > -0.5 else None


def told(found: Findings) -> str:
    """The proof of files of meshes, in words."""
    off = found.largest.get("off")
    exact = "" if off is None else f"; volumes within {100.0 * off:.2f} % of the exact integrals"
    return f"{found.totals['triangles']:,} triangles, closed, oriented, none flat{exact}"
