"""GLB: a JSON chunk and a binary one (glTF 2.0, sections 3.4, 3.5, 3.6, 3.7 and 4, from memory), in metres."""

from __future__ import annotations

import json
import math
import struct
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from .findings import Findings, Listed, NotReadableError
from .solids import Floats, Measured, Numbers, solid, told, volume_held, welded

__all__ = ["prove", "told"]

Json: TypeAlias = dict[str, Any]

_MAGIC, _JSON, _BINARY = 0x46546C67, 0x4E4F534A, 0x004E4942
_TRIANGLES = 4
_TYPES = {5121: "<u1", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
_WIDTHS = {"SCALAR": 1, "VEC3": 3}
_MM_PER_M = 1000.0
_DEEPEST = 100


def prove(data: bytes, listed: Listed, found: Findings) -> None:
    """Hold a file to be a scene of closed solids, rigidly placed, of the volume that is listed.

    Raises:
        NotReadableError: it is not a whole GLB file.
    """
    document, binary = _chunks(data)
    try:
        meshes = [_mesh(document, binary, one) for one in document["meshes"]]
        nodes = list(_walked(document))
    except (KeyError, IndexError, TypeError, ValueError, OverflowError, AttributeError) as error:
        raise NotReadableError(f"not a glTF scene: {type(error).__name__} {error}") from None
    found.counted(listed, "triangles", sum(len(triangles) for _, triangles in meshes), "triangles")
    found.counted(listed, "nodes", len(nodes), "placed parts")
    found.hold(listed.check.get("unit", "m") == "m", "the manifest lists another unit than metres, which glTF has")
    measured: list[Measured | None] = []
    for number, (corners, triangles) in enumerate(meshes):
        measured.append(solid(*welded(corners * _MM_PER_M, triangles), found, f"mesh {number}"))
    placed: list[Measured] = []
    for mesh, turn in nodes:
        one = measured[mesh]
        rigid = bool(np.all(np.isfinite(turn)) and np.abs(turn @ turn.T - np.eye(3)).max() < 1e-5)
        rigid = rigid and float(np.linalg.det(turn)) > 0.0
        if found.hold(rigid, f"a part of mesh {mesh} is stretched or mirrored") and one is not None:
            placed.append(one)
    if len(placed) == len(nodes) > 0:
        volume_held(placed, listed, found)


def _chunks(data: bytes) -> tuple[Json, bytes]:
    """The two chunks.

    Raises:
        NotReadableError: they are not there, or not whole.
    """
    try:
        magic, version, length, size, kind = struct.unpack_from("<5I", data)
        binary_size, binary_kind = struct.unpack_from("<2I", data, 20 + size)
        document = json.loads(data[20 : 20 + size].decode("utf-8"))
    except (struct.error, ValueError, RecursionError) as error:
        raise NotReadableError(f"not a whole GLB file: {error}") from None
    whole = length == len(data) == 28 + size + binary_size
    if not whole or (magic, version, kind, binary_kind) != (_MAGIC, 2, _JSON, _BINARY):
        raise NotReadableError("not a whole GLB file of version 2")
    if not isinstance(document, dict):
        raise NotReadableError("not a glTF scene")
    return document, data[28 + size :]


def _mesh(document: Json, binary: bytes, mesh: Json) -> tuple[Floats, Numbers]:
    """Corners [m] and triangles of a mesh, its pieces one after the other.

    Raises:
        NotReadableError: something else than triangles is drawn.
    """
    corners: list[Floats] = []
    triangles: list[Numbers] = []
    count = 0
    for primitive in mesh["primitives"]:
        if primitive.get("mode", _TRIANGLES) != _TRIANGLES:
            raise NotReadableError("something else than triangles is drawn")
        points = _values(document, binary, primitive["attributes"]["POSITION"]).astype(np.float64)
        numbers = _values(document, binary, primitive["indices"]).astype(np.int64).reshape(-1, 3)
        if points.shape[1] != 3 or (len(numbers) and int(numbers.max()) >= len(points)):
            raise NotReadableError("a triangle has a corner that is not there")
        corners.append(points)
        triangles.append(numbers + count)
        count += len(points)
    return np.concatenate(corners), np.concatenate(triangles)


def _values(document: Json, binary: bytes, index: int) -> NDArray[Any]:
    """What an accessor shows of the binary chunk.

    Raises:
        ValueError: it reaches beyond it, or is laid out in a way that is not read here.
    """
    accessor = document["accessors"][index]
    view = document["bufferViews"][accessor["bufferView"]]
    kind, width = np.dtype(_TYPES[accessor["componentType"]]), _WIDTHS[accessor["type"]]
    if view.get("byteStride", kind.itemsize * width) != kind.itemsize * width or "sparse" in accessor:
        raise ValueError("an accessor is laid out in a way that is not read here")
    offset, within = int(view.get("byteOffset", 0)), int(accessor.get("byteOffset", 0))
    count = int(accessor["count"]) * width
    if min(offset, within, count) < 0 or within + count * kind.itemsize > int(view["byteLength"]):
        raise ValueError("an accessor reaches beyond its view")
    return np.frombuffer(binary, kind, count, offset + within).reshape(-1, width)


def _walked(document: Json) -> list[tuple[int, Floats]]:
    """The mesh and the whole turn (3, 3) of every node of the scene that has one.

    Raises:
        ValueError: nodes hold each other in a ring, or one is there twice.
    """
    nodes = document["nodes"]
    found: list[tuple[int, Floats]] = []
    waiting = [(int(root), np.eye(3), 0) for root in document["scenes"][document.get("scene", 0)]["nodes"]]
    seen: set[int] = set()
    while waiting:
        number, outer, depth = waiting.pop()
        if number in seen or depth > _DEEPEST or number < 0:
            raise ValueError("a node is there twice, or nodes lie in each other without end")
        seen.add(number)
        node = nodes[number]
        turn = outer @ _turn(node)
        if "mesh" in node:
            mesh = int(node["mesh"])
            if not 0 <= mesh < len(document["meshes"]):
                raise ValueError(f"there is no mesh {mesh}")
            found.append((mesh, turn))
        waiting += [(int(child), turn, depth + 1) for child in node.get("children", ())]
    return found


def _turn(node: Json) -> Floats:
    """Turn and stretch (3, 3) of one node; where it lies is not needed for its volume.

    Raises:
        ValueError: it is not of as many numbers as it should be.
    """
    if "matrix" in node:
        return np.array(node["matrix"], dtype=np.float64).reshape(4, 4).T[:3, :3]
    x, y, z, w = (float(value) for value in node.get("rotation", (0.0, 0.0, 0.0, 1.0)))
    size = math.sqrt(x * x + y * y + z * z + w * w) or math.nan
    x, y, z, w = x / size, y / size, z / size, w / size
    turn = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )
    scale = np.array(node.get("scale", (1.0, 1.0, 1.0)), dtype=np.float64)
    if scale.shape != (3,):
        raise ValueError("a scale is not three numbers")
    return np.asarray(turn * scale)
