"""GLB in metres, nose up: a rocket of named parts to look at, read back before it counts.

glTF 2.0 (Khronos; ISO/IEC 12113:2022; sections from memory): units and axes in 3.4, accessors and their alignment in
3.6.2, meshes in 3.7, materials in 3.9, the binary container in 4. Nothing of the extensions is used.
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from ..curve import Floats
from ..errors import WriteError
from ..readers.facets import Fineness
from ..readers.mesh import Mesh, welded
from ..shape import Placement
from .files import replace, write_bytes
from .normals import smooth_normals

Json: TypeAlias = dict[str, Any]

_MAGIC = 0x46546C67
_JSON_CHUNK = 0x4E4F534A
_BINARY_CHUNK = 0x004E4942
_FLOAT, _UNSIGNED_INT = 5126, 5125
_VERTICES, _INDICES = 34962, 34963
_TYPES: Mapping[int, str] = {_FLOAT: "<f4", _UNSIGNED_INT: "<u4"}
_WIDTHS: Mapping[str, int] = {"SCALAR": 1, "VEC3": 3}

_AXES = np.array([[0.0, 0.0, -1.0], [-1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
"""From the rocket's axes (x aft, +y the rail line) to the format's: forward is +Y, up; the rail line is +Z, front."""

_MM_PER_M = 1000.0

_GREY = (0.5, 0.5, 0.5, 1.0)
"""Linear reflectance and opacity of every material [-]: colours mean nothing here."""

_NOT_STATED = "not stated"
"""Name of the material where there is none, so that a viewer does not fall back on bare metal."""

_VOLUME = 1e-3
"""Largest relative difference between the volume of a mesh and of what single precision makes of it [-]."""


@dataclass(frozen=True, slots=True)
class Node:
    """One part as it stands in the rocket.

    Attributes:
        name: name of the part.
        mesh: the part in its own frame; nodes with equal meshes share one in the file.
        placement: motion from the part's frame to the rocket's.
        material: name of its material; None where it is not stated.
        fingerprint: fingerprint of the part; empty where there is none.
    """

    name: str
    mesh: Mesh
    placement: Placement = field(default_factory=Placement)
    material: str | None = None
    fingerprint: str = ""


@dataclass(frozen=True, slots=True)
class GlbProof:
    """What was read back from the file.

    Attributes:
        nodes: parts as placed [-].
        meshes: distinct meshes [-].
        triangles: triangles of the distinct meshes [-].
        volume: volume of all that is placed [mm3].
        low: smallest X, Y, Z in the file [m].
        high: largest X, Y, Z in the file [m].
    """

    nodes: int
    meshes: int
    triangles: int
    volume: float
    low: tuple[float, float, float]
    high: tuple[float, float, float]


def write_glb(path: Path, nodes: Sequence[Node], title: str, *, fineness: Fineness = Fineness()) -> GlbProof:
    """Write parts as one scene and prove the file by reading it back.

    Args:
        path: the file.
        nodes: the parts, in the rocket's frame once placed: +x aft, nose tip forward.
        title: name of the scene.
        fineness: what the meshes were made with; tells curved faces, shaded smoothly, from edges, which stay sharp.

    Returns:
        What was read back.

    Raises:
        WriteError: there is nothing to write, a name is empty or cannot be written, a placement is not rigid, a mesh is
            not sound in the file's single precision, or the file cannot be written or does not hold the parts.
    """
    _check_names(path.name, nodes, title)
    scene = _Scene(path.name, fineness)
    for node in nodes:
        scene.add(node)
    data = _container(scene.document(title), b"".join(scene.chunks))
    proof: list[GlbProof] = []

    def check(written: Path) -> None:
        proof.append(_proved(_read(written, path.name), nodes, title, path.name))

    replace(path, lambda target: write_bytes(target, data), check)
    return proof[0]


def _check_names(file: str, nodes: Sequence[Node], title: str) -> None:
    if not nodes:
        raise WriteError(f"{file}: there is nothing in the scene")
    for text in (title, *(text for node in nodes for text in (node.name, node.material or "", node.fingerprint))):
        try:
            text.encode("utf-8")
        except UnicodeEncodeError:
            raise WriteError(f"{file}: a name holds half a character: {text!r}") from None
    if not all(node.name.strip() for node in nodes):
        raise WriteError(f"{file}: every part needs a name")


class _Scene:
    """Collects what the file is made of; equal meshes and materials once."""

    def __init__(self, file: str, fineness: Fineness) -> None:
        self.file, self.fineness = file, fineness
        self.chunks: list[bytes] = []
        self.views: list[Json] = []
        self.accessors: list[Json] = []
        self.geometry: dict[tuple[bytes, bytes], tuple[int, int, int]] = {}
        self.meshes: dict[tuple[tuple[int, int, int], int], tuple[int, str]] = {}
        self.materials: dict[str, int] = {}
        self.nodes: list[Json] = []

    def add(self, node: Node) -> None:
        material = self.materials.setdefault(node.material or _NOT_STATED, len(self.materials))
        key = (node.mesh.vertices.tobytes(), node.mesh.triangles.tobytes())
        if key not in self.geometry:
            self.geometry[key] = self._geometry(node)
        mesh, _ = self.meshes.setdefault((self.geometry[key], material), (len(self.meshes), node.name))
        entry: Json = {"name": node.name, "mesh": mesh, **_motion(self.file, node)}
        if node.fingerprint:
            entry["extras"] = {"fingerprint": node.fingerprint}
        self.nodes.append(entry)

    def document(self, title: str) -> Json:
        """The JSON of the file."""
        return {
            "asset": {"version": "2.0", "generator": "Ferrule"},
            "scene": 0,
            "scenes": [{"name": title, "nodes": list(range(len(self.nodes)))}],
            "nodes": self.nodes,
            "meshes": [
                {
                    "name": name,
                    "primitives": [
                        {
                            "attributes": {"POSITION": position, "NORMAL": normal},
                            "indices": indices,
                            "material": material,
                        }
                    ],
                }
                for ((position, normal, indices), material), (_, name) in self.meshes.items()
            ],
            "materials": [
                {
                    "name": name,
                    "pbrMetallicRoughness": {
                        "baseColorFactor": list(_GREY),
                        "metallicFactor": 0.0,
                        "roughnessFactor": 0.8,
                    },
                }
                for name in self.materials
            ],
            "accessors": self.accessors,
            "bufferViews": self.views,
            "buffers": [{"byteLength": sum(len(chunk) for chunk in self.chunks)}],
        }

    def _geometry(self, node: Node) -> tuple[int, int, int]:
        """Numbers of the accessors of a mesh: positions, normals and indices."""
        mesh = _in_metres(self.file, node)
        normals = smooth_normals(mesh, self.fineness.deviation / _MM_PER_M)
        # A vertex of the file is a place with one normal: at an edge, the same place stands there once for each side.
        corners = np.hstack([mesh.vertices[mesh.triangles.ravel()], normals.reshape(-1, 3)]).astype("<f4") + np.float32(
            0
        )
        unique, indices = np.unique(corners, axis=0, return_inverse=True)
        positions, upright = np.ascontiguousarray(unique[:, :3]), np.ascontiguousarray(unique[:, 3:])
        bounds = {"min": positions.min(axis=0).tolist(), "max": positions.max(axis=0).tolist()}
        return (
            self._accessor(positions, _FLOAT, "VEC3", _VERTICES, bounds),
            self._accessor(upright, _FLOAT, "VEC3", _VERTICES, {}),
            self._accessor(indices.reshape(-1).astype("<u4"), _UNSIGNED_INT, "SCALAR", _INDICES, {}),
        )

    def _accessor(self, values: NDArray[Any], component: int, kind: str, target: int, bounds: Json) -> int:
        # Every component is four bytes wide, so every view starts where the format wants it, at a multiple of four.
        data = values.tobytes()
        start = sum(len(chunk) for chunk in self.chunks)
        self.chunks.append(data)
        self.views.append({"buffer": 0, "byteOffset": start, "byteLength": len(data), "target": target})
        view = {"bufferView": len(self.views) - 1, "componentType": component, "count": len(values), "type": kind}
        self.accessors.append({**view, **bounds})
        return len(self.accessors) - 1


def _in_metres(file: str, node: Node) -> Mesh:
    """The mesh along the format's axes, as single precision leaves it.

    Raises:
        WriteError: it is not sound any more, or was not.
    """
    turned = (node.mesh.vertices @ _AXES.T / _MM_PER_M).astype(np.float32).astype(np.float64) + 0.0
    if not np.all(np.isfinite(turned)):
        raise WriteError(f"{file}: the mesh of {node.name} is not sound: a coordinate is not a number")
    found = welded(turned, node.mesh.triangles)
    faults = found.faults()
    if faults:
        raise WriteError(f"{file}: the mesh of {node.name} is not sound: {'; '.join(faults)}")
    return found


def _motion(file: str, node: Node) -> Json:
    """Rotation (a unit quaternion x, y, z, w) and translation [m] of a node; what does nothing is left out.

    Raises:
        WriteError: the placement is not rigid.
    """
    turn, move = node.placement.matrix, np.array(node.placement.move, dtype=float)
    if not (np.all(np.isfinite(turn)) and np.all(np.isfinite(move))):
        raise WriteError(f"{file}: the placement of {node.name} is not a rigid motion")
    quaternion = _quaternion(_AXES @ turn @ _AXES.T)
    if np.abs(_rotation(quaternion) - _AXES @ turn @ _AXES.T).max() > 1e-9:
        raise WriteError(f"{file}: the placement of {node.name} is not a rigid motion")
    motion: Json = {}
    if np.abs(quaternion[:3]).max() > 0.0:
        motion["rotation"] = quaternion.tolist()
    if np.abs(move).max() > 0.0:
        motion["translation"] = (np.round(_AXES @ move / _MM_PER_M, 12) + 0.0).tolist()
    return motion


def _quaternion(turn: Floats) -> Floats:
    """Quaternion (4,) as x, y, z, w of a rotation matrix (3, 3), by the largest of its four components [-]."""
    a, b, c = (float(turn[k, k]) for k in range(3))
    squares = np.array([1.0 + a - b - c, 1.0 - a + b - c, 1.0 - a - b + c, 1.0 + a + b + c])
    products = np.array(
        [
            [0.0, turn[1, 0] + turn[0, 1], turn[0, 2] + turn[2, 0], turn[2, 1] - turn[1, 2]],
            [turn[1, 0] + turn[0, 1], 0.0, turn[2, 1] + turn[1, 2], turn[0, 2] - turn[2, 0]],
            [turn[0, 2] + turn[2, 0], turn[2, 1] + turn[1, 2], 0.0, turn[1, 0] - turn[0, 1]],
            [turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1], 0.0],
        ]
    )
    largest = int(np.argmax(squares))
    found = products[largest].copy()
    found[largest] = squares[largest]
    size = math.sqrt(float(found @ found)) or 1.0
    rounded = np.round(found / size, 15) + 0.0
    return np.asarray(-rounded + 0.0 if rounded[3] < 0.0 else rounded)


def _rotation(quaternion: Floats) -> Floats:
    """Rotation matrix (3, 3) of a quaternion x, y, z, w [-]."""
    x, y, z, w = quaternion.tolist()
    return np.array(
        [
            [1.0 - 2.0 * (y * y + z * z), 2.0 * (x * y - z * w), 2.0 * (x * z + y * w)],
            [2.0 * (x * y + z * w), 1.0 - 2.0 * (x * x + z * z), 2.0 * (y * z - x * w)],
            [2.0 * (x * z - y * w), 2.0 * (y * z + x * w), 1.0 - 2.0 * (x * x + y * y)],
        ]
    )


def _container(document: Json, binary: bytes) -> bytes:
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode("utf-8")
    text += b" " * (-len(text) % 4)
    binary += b"\0" * (-len(binary) % 4)
    body = struct.pack("<2I", len(text), _JSON_CHUNK) + text + struct.pack("<2I", len(binary), _BINARY_CHUNK) + binary
    return struct.pack("<3I", _MAGIC, 2, 12 + len(body)) + body


@dataclass(frozen=True, slots=True)
class _Placed:
    """A node of a file: its name, the number of its mesh, and its motion along the format's axes [-] and [m]."""

    name: str
    mesh: int
    rotation: Floats
    translation: Floats


@dataclass(frozen=True, slots=True)
class _Found:
    """What a file holds: its title, its nodes, and each of its meshes, along the format's axes [m]."""

    title: str
    nodes: tuple[_Placed, ...]
    materials: tuple[str, ...]
    meshes: tuple[Mesh, ...]


def _read(path: Path, file: str) -> _Found:
    """The scene that a file holds, equal corners welded.

    Raises:
        WriteError: it is not a whole GLB file.
    """
    data = path.read_bytes()
    try:
        magic, version, length, size, kind = struct.unpack_from("<5I", data)
        binary_size, binary_kind = struct.unpack_from("<2I", data, 20 + size)
        whole = length == len(data) == 28 + size + binary_size
        if (magic, version, kind, binary_kind) != (_MAGIC, 2, _JSON_CHUNK, _BINARY_CHUNK) or not whole:
            raise WriteError(f"{file} is not a whole GLB file")
        document: Json = json.loads(data[20 : 20 + size].decode("utf-8"))
        binary = data[28 + size :]
        primitives = [mesh["primitives"][0] for mesh in document["meshes"]]
        names = [material["name"] for material in document["materials"]]
        meshes = tuple(
            welded(
                _values(document, binary, primitive["attributes"]["POSITION"]).astype(np.float64),
                _values(document, binary, primitive["indices"]).astype(np.int64).reshape(-1, 3),
            )
            for primitive in primitives
        )
        materials = tuple(names[primitive["material"]] for primitive in primitives)
        scene = document["scenes"][document["scene"]]
        nodes = tuple(_node(document["nodes"][index], len(meshes)) for index in scene["nodes"])
    except (struct.error, KeyError, IndexError, ValueError) as error:
        raise WriteError(f"{file} is not a whole GLB file: {error}") from error
    return _Found(scene["name"], nodes, materials, meshes)


def _node(entry: Json, meshes: int) -> _Placed:
    number = int(entry["mesh"])
    if not 0 <= number < meshes:
        raise IndexError(f"there is no mesh {number}")
    turn = np.array(entry.get("rotation", (0.0, 0.0, 0.0, 1.0)), dtype=float)
    return _Placed(entry["name"], number, turn, np.array(entry.get("translation", (0.0, 0.0, 0.0)), dtype=float))


def _values(document: Json, binary: bytes, index: int) -> NDArray[Any]:
    accessor = document["accessors"][index]
    view = document["bufferViews"][accessor["bufferView"]]
    kind, width = _TYPES[accessor["componentType"]], _WIDTHS[accessor["type"]]
    found = np.frombuffer(binary, kind, accessor["count"] * width, view["byteOffset"])
    return found.reshape(-1, width)


def _proved(found: _Found, nodes: Sequence[Node], title: str, file: str) -> GlbProof:
    """The proof that what was read back is what was written.

    Raises:
        WriteError: it is not.
    """
    if found.title != title or [node.name for node in found.nodes] != [node.name for node in nodes]:
        raise WriteError(f"{file} did not read back under the names of its parts")
    faults = [fault for mesh in found.meshes for fault in mesh.faults()]
    if faults:
        raise WriteError(f"{file} did not read back as sound meshes: {'; '.join(faults)}")
    volumes = [mesh.moments().volume * _MM_PER_M**3 for mesh in found.meshes]
    lows: list[Floats] = []
    highs: list[Floats] = []
    for entry, node in zip(found.nodes, nodes, strict=True):
        number = entry.mesh
        if found.materials[number] != (node.material or _NOT_STATED):
            raise WriteError(f"{file} did not read back: {node.name} is of {found.materials[number]}")
        exact = node.mesh.moments().volume
        if abs(volumes[number] / exact - 1.0) > _VOLUME:
            raise WriteError(f"{file} did not read back: {node.name} has {volumes[number]:.7g} mm3 for {exact:.7g} mm3")
        placed = found.meshes[number].vertices @ _rotation(entry.rotation).T + entry.translation
        wanted = node.placement.apply(node.mesh.vertices) @ _AXES.T / _MM_PER_M
        low, high = placed.min(axis=0), placed.max(axis=0)
        # Single precision rounds to a part in 2^24 of the largest coordinate of the mesh.
        size = float(np.abs(found.meshes[number].vertices).max())
        apart = max(np.abs(low - wanted.min(axis=0)).max(), np.abs(high - wanted.max(axis=0)).max())
        if apart > 2.0**-22 * size + 1e-9:
            raise WriteError(f"{file} did not read back: {node.name} lies {apart * _MM_PER_M:.3g} mm from its place")
        lows.append(low)
        highs.append(high)
    return GlbProof(
        nodes=len(found.nodes),
        meshes=len(found.meshes),
        triangles=sum(len(mesh.triangles) for mesh in found.meshes),
        volume=sum(volumes[node.mesh] for node in found.nodes),
        low=_triple(np.min(lows, axis=0)),
        high=_triple(np.max(highs, axis=0)),
    )


def _triple(values: Floats) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in values)
    return x, y, z
