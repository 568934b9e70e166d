"""Binary STL: a header of 80 bytes, a count, and 50 bytes a triangle (the format's own description, from memory)."""

from __future__ import annotations

import numpy as np

from .findings import Findings, Listed, NotReadableError
from .solids import bounds_held, solid, told, volume_held, welded

__all__ = ["prove", "told"]

_HEAD, _RECORD = 84, 50


def prove(data: bytes, listed: Listed, found: Findings) -> None:
    """Hold a file to be one closed solid in millimetres of the volume that is listed.

    Raises:
        NotReadableError: it is not a whole binary STL.
    """
    count = int.from_bytes(data[80:_HEAD], "little") if len(data) >= _HEAD else -1
    if count < 0 or len(data) != _HEAD + _RECORD * count:
        raise NotReadableError("not a whole binary STL: its length is not what its count of triangles says")
    records = np.frombuffer(data, np.uint8, _RECORD * count, _HEAD).reshape(count, _RECORD)
    numbers = np.ascontiguousarray(records[:, :48]).view("<f4").astype(np.float64)
    corners = numbers[:, 3:].reshape(-1, 3)
    found.counted(listed, "triangles", count, "triangles")
    measured = solid(*welded(corners, np.arange(3 * count).reshape(-1, 3)), found)
    if measured is None:
        return
    a, b, c = (numbers[:, first : first + 3] for first in (3, 6, 9))
    outward = np.einsum("ij,ij->i", numbers[:, :3], np.cross(b - a, c - a)) > 0.0
    found.hold(bool(np.all(outward)), f"{int(np.count_nonzero(~outward))} normals do not point outward")
    volume_held((measured,), listed, found)
    bounds_held(corners, listed, found)
