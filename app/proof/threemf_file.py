"""3MF: a zip archive whose model is XML (3MF Core Specification 1.3.0, chapters 2 to 4, from memory)."""

from __future__ import annotations

import io
import math
import zipfile
import zlib
from array import array
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from .findings import Findings, Listed, NotReadableError, plural
from .solids import Floats, Measured, solid, volume_held
from .solids import told as told_of_solids
from .xml_text import stream

_MODEL = "3D/3dmodel.model"
_NEEDED = ("[Content_Types].xml", "_rels/.rels", _MODEL)
_LARGEST_MODEL = 1 << 29
"""Longest model that is read [bytes]: a small archive may hold a huge one."""

_CHUNK = 1 << 20


@dataclass(slots=True)
class _Object:
    corners: array[float] = field(default_factory=lambda: array("d"))
    triangles: array[int] = field(default_factory=lambda: array("q"))


@dataclass(slots=True)
class _Model:
    """What the elements of a model tell, in their order."""

    unit: str = ""
    objects: dict[str, _Object] = field(default_factory=dict)
    items: list[tuple[str, str]] = field(default_factory=list)
    at: _Object | None = None

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """Take an element in.

        Raises:
            NotReadableError: a mesh is in no object, or two objects have one number.
        """
        if name in ("vertex", "triangle"):
            if self.at is None:
                raise NotReadableError(f"a {name} is part of no object")
            if name == "vertex":
                self.at.corners.extend(float(attributes[axis]) for axis in "xyz")
            else:
                self.at.triangles.extend(int(attributes[corner]) for corner in ("v1", "v2", "v3"))
        elif name == "model":
            self.unit = attributes.get("unit", "millimeter")
        elif name == "object":
            if attributes["id"] in self.objects:
                raise NotReadableError(f"two objects have the number {attributes['id'][:20]}")
            self.at = self.objects[attributes["id"]] = _Object()
        elif name == "item":
            self.items.append((attributes["objectid"], attributes.get("transform", "1 0 0 0 1 0 0 0 1 0 0 0")))

    def end(self, name: str) -> None:
        """Leave an element."""
        if name == "object":
            self.at = None


def prove(data: bytes, listed: Listed, found: Findings) -> None:
    """Hold a file to be a plate in millimetres of closed solids, rigidly placed, of the volume that is listed.

    Raises:
        NotReadableError: it is not a whole 3MF package.
    """
    model = _Model()
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            missing = [name for name in _NEEDED if name not in package.namelist()]
            if missing:
                raise NotReadableError(f"not a 3MF package: there is no {missing[0]} in it")
            if package.getinfo(_MODEL).file_size > _LARGEST_MODEL:
                raise NotReadableError("its model would unpack to more than 512 MiB; not read")
            stream(_chunks(package), model.start, model.end)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError) as error:
        raise NotReadableError(f"not a whole zip archive: {error}") from None
    except (KeyError, ValueError, OverflowError) as error:
        raise NotReadableError(f"not a 3MF model: {error}") from None
    _held(model, listed, found)


def _chunks(package: zipfile.ZipFile) -> Iterator[bytes]:
    with package.open(_MODEL) as text:
        while chunk := text.read(_CHUNK):
            yield chunk


def _held(model: _Model, listed: Listed, found: Findings) -> None:
    found.hold(model.unit == "millimeter", f"its unit is {model.unit[:20]}, not millimetres")
    measured: dict[str, Measured | None] = {}
    corners: dict[str, Floats] = {}
    triangles = 0
    for number, one in model.objects.items():
        numbers = np.array(one.triangles, dtype=np.int64).reshape(-1, 3)
        corners[number] = np.array(one.corners, dtype=np.float64).reshape(-1, 3)
        triangles += len(numbers)
        name = f"object {number[:20]}" if len(model.objects) > 1 else ""
        inside = bool(np.all((numbers >= 0) & (numbers < len(corners[number]))))
        found.hold(inside, f"{name or 'the mesh'}: a triangle has a corner that is not there")
        measured[number] = solid(corners[number], numbers, found, name) if inside else None
    found.counted(listed, "triangles", triangles, "triangles")
    found.counted(listed, "items", len(model.items), "parts on the plate")
    placed = [_placed(number, text, corners, found) for number, text in model.items]
    sound = {number: one for number, one in measured.items() if one is not None}
    if all(placed) and len(sound) == len(measured):
        volume_held([sound[number] for number, _ in model.items], listed, found)


def _placed(number: str, text: str, corners: dict[str, Floats], found: Findings) -> bool:
    """Whether an item lies rigidly and on the plate."""
    if not found.hold(number in corners, f"a part on the plate is of object {number[:20]}, which is not there"):
        return False
    try:
        values = [float(word) for word in text.split()]
    except ValueError:
        values = []
    if not found.hold(len(values) == 12 and all(map(math.isfinite, values)), "a transform is not twelve numbers"):
        return False
    turn, move = np.array(values[:9]).reshape(3, 3), np.array(values[9:])
    rigid = bool(np.abs(turn @ turn.T - np.eye(3)).max() < 1e-6 and np.linalg.det(turn) > 0.0)
    found.hold(rigid, "a part on the plate is stretched or mirrored")
    if len(corners[number]):
        low = float((corners[number] @ turn + move)[:, 2].min())
        found.hold(low >= -1e-3, f"a part lies {-low:.3g} mm below the plate")
    return rigid


def told(found: Findings) -> str:
    """The proof of the files, in words."""
    return f"{plural(found.totals['items'], 'part')} in mm, placed rigidly; {told_of_solids(found)}"
