"""Binary STL in millimetres: welded, sound, and read back as a slicer would read it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from ..errors import WriteError
from ..readers.mesh import Mesh, welded
from .files import replace

_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


@dataclass(frozen=True, slots=True)
class StlProof:
    """What the written file holds.

    Attributes:
        triangles: number of triangles [-].
        volume: volume inside them [mm3].
    """

    triangles: int
    volume: float


def write_stl(path: Path, mesh: Mesh, title: str) -> StlProof:
    """Write a mesh and prove the file by reading it back.

    Args:
        path: the file.
        mesh: what to write, in the pose in which it is to lie in the file.
        title: words for the header, cut to 80 ASCII letters; must not begin with `solid`.

    Returns:
        What was read back.

    Raises:
        WriteError: the mesh is not sound in the file's single precision, or the file cannot be written.
    """
    vertices = mesh.vertices.astype(np.float32).astype(np.float64)
    rounded = welded(vertices, mesh.triangles)
    faults = rounded.faults()
    if faults:
        raise WriteError(f"{path.name}: the mesh is not sound: {'; '.join(faults)}")
    proof: list[StlProof] = []

    def check(written: Path) -> None:
        again = read_stl(written)
        if again.faults() or len(again.triangles) != len(rounded.triangles):
            raise WriteError(f"{path.name} did not read back as a sound mesh: {'; '.join(again.faults())}")
        proof.append(StlProof(len(again.triangles), again.moments().volume))

    replace(path, lambda target: _write(target, rounded, title), check)
    return proof[0]


def read_stl(path: Path) -> Mesh:
    """Read a binary STL, equal corners welded.

    Raises:
        WriteError: the file is shorter or longer than its own count of triangles says.
    """
    data = path.read_bytes()
    count = int.from_bytes(data[80:84], "little") if len(data) >= 84 else -1
    if len(data) != 84 + count * _RECORD.itemsize:
        raise WriteError(f"{path.name} is not a whole binary STL")
    corners = np.frombuffer(data, dtype=_RECORD, offset=84)["corners"].astype(np.float64)
    return welded(corners.reshape(-1, 3), np.arange(3 * count, dtype=np.int64).reshape(-1, 3))


def _write(path: Path, mesh: Mesh, title: str) -> None:
    records = np.zeros(len(mesh.triangles), dtype=_RECORD)
    corners = mesh.vertices[mesh.triangles]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(normal, axis=1, keepdims=True)
    records["normal"] = normal / size
    records["corners"] = corners
    header = title.encode("ascii", "replace")[:80].ljust(80, b" ")
    path.write_bytes(header + len(records).to_bytes(4, "little") + records.tobytes())
