"""3MF in millimetres: a plate of named parts with shared vertices and materials, read back before it counts.

3MF Core Specification 1.3.0 (chapters and sections from memory): the package in chapter 2, the coordinate space in 3.1,
the model with its unit, metadata, resources and build items in 3.4, meshes in 4.1, base materials in 5.1.
Nothing of the extensions is used, so every reader of the core specification reads the whole file.
"""

from __future__ import annotations

import itertools
import math
import re
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from ..curve import Floats
from ..errors import PartError, WriteError
from ..plate import Bed, edge, laid_out, plates
from ..readers.mesh import GRID, Mesh, edge_faults, welded
from .files import replace

_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_MODEL = "3D/3dmodel.model"
_DECLARATION = '<?xml version="1.0" encoding="UTF-8"?>\n'

_CONTENT_TYPES = (
    f'{_DECLARATION}<Types xmlns="{_PACKAGE}/content-types">\n'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>\n'
    '<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>\n'
    "</Types>\n"
)
_RELATIONSHIPS = (
    f'{_DECLARATION}<Relationships xmlns="{_PACKAGE}/relationships">\n'
    f'<Relationship Target="/{_MODEL}" Id="model" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>\n'
    "</Relationships>\n"
)

_STAMP = (1980, 1, 1, 0, 0, 0)
"""The earliest time that a zip archive can hold: the same plate gives the same bytes."""

_COMPRESSION = 6
_READABLE = 0o644 << 16
_UNIX = 3

_GREY = "#B8B8B8"
"""Every material has it: the format asks for a colour, and none of them means anything here."""

_GAP = 5.0
"""Clear distance between parts on the plate [mm], room for brims on both (common practice)."""

_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What XML cannot hold, not even escaped: production [2] Char of XML 1.0."""


@dataclass(frozen=True, slots=True)
class PrintObject:
    """One part to print.

    Attributes:
        name: name of the part.
        mesh: the part, turned to the pose in which it is printed.
        material: name of its material; None where it is not stated.
        count: how many of it lie on the plate [-].
    """

    name: str
    mesh: Mesh
    material: str | None = None
    count: int = 1


@dataclass(frozen=True, slots=True)
class ThreemfProof:
    """What was read back from the file.

    Attributes:
        objects: distinct parts [-].
        items: parts on the plate [-].
        triangles: triangles of the distinct parts [-].
        volume: volume of all that lies on the plate [mm3].
    """

    objects: int
    items: int
    triangles: int
    volume: float


@dataclass(frozen=True, slots=True)
class _Item:
    """A part on the plate: the number of its object, and how far it is moved [mm]."""

    number: int
    move: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class _Plate:
    """What stands in the model of a file."""

    title: str
    objects: tuple[PrintObject, ...]
    items: tuple[_Item, ...]


def write_3mf(path: Path, objects: Sequence[PrintObject], title: str, bed: Bed | None = None) -> ThreemfProof:
    """Write parts on one plate and prove the file by reading it back.

    The parts keep their turn and are moved: side by side in rows from the front left corner, lowest point on the bed.
    Without a bed the plate is as square as the parts allow; slicers move parts as wholes. On a given bed they lie as
    `plate.laid_out` says, its front left corner at the origin; `on_plates` says which go on one plate.

    Args:
        path: the file.
        objects: the parts, in the order in which they are to lie.
        title: words for the title.
        bed: the bed that they are to lie on; None for no printer's.

    Returns:
        What was read back.

    Raises:
        WriteError: there is nothing to write, a name cannot stand in XML, a mesh is not sound on the grid of 1e-6 mm,
            the parts do not go on the bed, or the file cannot be written or does not hold the parts.
    """
    plate = _arranged(path.name, objects, title, bed)
    text = _model(plate)
    proof: list[ThreemfProof] = []

    def check(written: Path) -> None:
        found = _read(written, path.name)
        proof.append(_proved(found, plate, path.name))
        if bed is not None:
            _check_on_bed(found, bed, path.name)

    replace(path, lambda target: _write(target, text), check)
    return proof[0]


def on_plates(objects: Sequence[PrintObject], bed: Bed) -> tuple[tuple[PrintObject, ...], ...]:
    """Parts sorted onto as many plates of a printer as they need, each plate to be written to its own file.

    Args:
        objects: the parts; one that is there several times may be parted over plates.
        bed: the bed.

    Raises:
        PartError: a part is larger than the bed.
    """
    numbers = [number for number, one in enumerate(objects) for _ in range(one.count)]
    sizes = [_footprint(one.mesh) for one in objects]
    found = plates([sizes[number] for number in numbers], bed, [objects[number].name for number in numbers])
    sorted_out: list[tuple[PrintObject, ...]] = []
    for plate in found:
        counts = Counter(numbers[place] for place in plate)
        kept = [(objects[number], counts[number]) for number in sorted(counts)]
        sorted_out.append(tuple(PrintObject(one.name, one.mesh, one.material, count) for one, count in kept))
    return tuple(sorted_out)


def _footprint(mesh: Mesh) -> tuple[float, float]:
    wide, deep, _ = (mesh.vertices.max(axis=0) - mesh.vertices.min(axis=0)).tolist()
    return wide, deep


def _arranged(file: str, objects: Sequence[PrintObject], title: str, bed: Bed | None) -> _Plate:
    """The parts on the grid and in their places.

    Raises:
        WriteError: they cannot stand in a file.
    """
    if not objects:
        raise WriteError(f"{file}: there is nothing to put on the plate")
    _check_text(file, "the title", title)
    for one in objects:
        _check_text(file, "the name of a part", one.name, needed=True)
        if one.material is not None:
            _check_text(file, f"the material of {one.name}", one.material, needed=True)
        if one.count < 1:
            raise WriteError(f"{file}: {one.name} must lie on the plate at least once, got {one.count}")
    fitted = tuple(PrintObject(one.name, _on_grid(file, one), one.material, one.count) for one in objects)
    return _Plate(title, fitted, _laid_out(fitted) if bed is None else _on_bed(file, fitted, bed))


def _check_text(file: str, what: str, text: str, *, needed: bool = False) -> None:
    if needed and not text.strip():
        raise WriteError(f"{file}: {what} is empty")
    found = _FORBIDDEN.search(text)
    if found:
        raise WriteError(f"{file}: {what} holds a character that XML does not allow: U+{ord(found[0]):04X} in {text!r}")


def _on_grid(file: str, one: PrintObject) -> Mesh:
    if not np.all(np.isfinite(one.mesh.vertices)):
        raise WriteError(f"{file}: the mesh of {one.name} is not sound: a coordinate is not a number")
    # As the text will be read, so that what is checked here is what a slicer gets.
    mesh = Mesh(np.round(one.mesh.vertices, 6) + 0.0, one.mesh.triangles)
    if mesh.faults():
        mesh = welded(mesh.vertices, mesh.triangles)
    faults = mesh.faults()
    if faults:
        raise WriteError(f"{file}: the mesh of {one.name} is not sound: {'; '.join(faults)}")
    return mesh


def _laid_out(objects: Sequence[PrintObject]) -> tuple[_Item, ...]:
    """Rows of parts, wrapped where the plate would become wider than deep."""
    boxes = [(one.mesh.vertices.min(axis=0), one.mesh.vertices.max(axis=0)) for one in objects]
    sizes = [high - low + _GAP for low, high in boxes]
    area = sum(one.count * float(size[0] * size[1]) for one, size in zip(objects, sizes, strict=True))
    widest = max(math.sqrt(area), *(float(size[0]) for size in sizes), 0.0)
    items: list[_Item] = []
    x, y, depth = 0.0, 0.0, 0.0
    for number, (one, (low, _), size) in enumerate(zip(objects, boxes, sizes, strict=True)):
        for _ in range(one.count):
            if x > 0.0 and x + float(size[0]) > widest:
                x, y, depth = 0.0, y + depth, 0.0
            move = np.round(np.array([x, y, 0.0]) - low, 6) + 0.0
            items.append(_Item(number, (float(move[0]), float(move[1]), float(move[2]))))
            x, depth = x + float(size[0]), max(depth, float(size[1]))
    return tuple(items)


def _on_bed(file: str, objects: Sequence[PrintObject], bed: Bed) -> tuple[_Item, ...]:
    """The parts in the middle of a bed.

    Raises:
        WriteError: they do not go on it together.
    """
    numbers = [number for number, one in enumerate(objects) for _ in range(one.count)]
    sizes = [_footprint(one.mesh) for one in objects]
    try:
        places = laid_out([sizes[number] for number in numbers], bed, [objects[number].name for number in numbers])
    except PartError as error:
        raise WriteError(f"{file}: {error}") from None
    items: list[_Item] = []
    for number, (x, y) in zip(numbers, places, strict=True):
        move = np.round(np.array([x, y, 0.0]) - objects[number].mesh.vertices.min(axis=0), 6) + 0.0
        items.append(_Item(number, (float(move[0]), float(move[1]), float(move[2]))))
    return tuple(items)


def _check_on_bed(plate: _Plate, bed: Bed, file: str) -> None:
    """Refuse a plate whose parts come over the edges of the bed, or near them where there are several.

    Raises:
        WriteError: one does.
    """
    clear = (edge() if len(plate.items) > 1 else 0.0) - 2.0 * GRID
    room = np.array([bed.width, bed.depth])
    for low, high in _boxes(plate):
        if np.any(low[:2] < clear) or np.any(high[:2] > room - clear):
            raise WriteError(f"{file} did not read back: a part lies over the edge of the bed of {bed.name}")


def _model(plate: _Plate) -> str:
    """The model part of the package."""
    # Object numbers are one above the materials' number, in the order of the parts.
    materials = sorted({one.material for one in plate.objects if one.material is not None})
    lines = [
        f'{_DECLARATION}<model unit="millimeter" xmlns="{_CORE}">',
        f'<metadata name="Title">{_escaped(plate.title)}</metadata>',
        '<metadata name="Application">Ferrule</metadata>',
        "<resources>",
    ]
    if materials:
        bases = (f'<base name={_quoted(name)} displaycolor="{_GREY}"/>' for name in materials)
        lines += ['<basematerials id="1">', *bases, "</basematerials>"]
    for number, one in enumerate(plate.objects, start=2):
        material = "" if one.material is None else f' pid="1" pindex="{materials.index(one.material)}"'
        lines += [f'<object id="{number}" type="model" name={_quoted(one.name)}{material}>', "<mesh>", "<vertices>"]
        lines += [
            f'<vertex x="{_number(x)}" y="{_number(y)}" z="{_number(z)}"/>' for x, y, z in one.mesh.vertices.tolist()
        ]
        lines += ["</vertices>", "<triangles>"]
        lines += [f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in one.mesh.triangles.tolist()]
        lines += ["</triangles>", "</mesh>", "</object>"]
    lines += ["</resources>", "<build>"]
    for item in plate.items:
        move = " ".join(_number(value) for value in item.move)
        lines.append(f'<item objectid="{item.number + 2}" transform="1 0 0 0 1 0 0 0 1 {move}"/>')
    return "\n".join((*lines, "</build>", "</model>", ""))


def _number(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")


_LINE_ENDS = {"\r": "&#13;", "\n": "&#10;", "\t": "&#9;"}
"""Escaped, or a reader would make other white space of them."""


def _escaped(text: str) -> str:
    return escape(text, _LINE_ENDS)


def _quoted(text: str) -> str:
    return quoteattr(text, _LINE_ENDS)


def _write(target: Path, model: str) -> None:
    with zipfile.ZipFile(target, "w") as package:
        for name, text in (("[Content_Types].xml", _CONTENT_TYPES), ("_rels/.rels", _RELATIONSHIPS), (_MODEL, model)):
            entry = zipfile.ZipInfo(name, _STAMP)
            entry.create_system = _UNIX
            entry.external_attr = _READABLE
            package.writestr(entry, text.encode("utf-8"), zipfile.ZIP_DEFLATED, _COMPRESSION)


def _read(path: Path, file: str) -> _Plate:
    """The plate that a file holds.

    Raises:
        WriteError: it is not a whole 3MF package in millimetres.
    """
    try:
        with zipfile.ZipFile(path) as package:
            for name, text in (("[Content_Types].xml", _CONTENT_TYPES), ("_rels/.rels", _RELATIONSHIPS)):
                if package.read(name) != text.encode("utf-8"):
                    raise WriteError(f"{file} did not read back as 3MF: {name} is not what was written")
            root = ElementTree.fromstring(package.read(_MODEL))  # noqa: S314  no stranger's file: written a moment ago
        if root.tag != _tag("model") or root.get("unit") != "millimeter":
            raise WriteError(f"{file} did not read back in millimetres")
        titles = [item.text or "" for item in root.iter(_tag("metadata")) if item.get("name") == "Title"]
        materials = [item.attrib["name"] for item in root.iter(_tag("base"))]
        found = {item.attrib["id"]: _object(item, materials) for item in root.iter(_tag("object"))}
        numbers = {number: index for index, number in enumerate(found)}
        items = tuple(
            _Item(numbers[item.attrib["objectid"]], _move(item.attrib["transform"])) for item in root.iter(_tag("item"))
        )
    except (KeyError, IndexError, ValueError, zipfile.BadZipFile, zlib.error, ElementTree.ParseError) as error:
        raise WriteError(f"{file} did not read back as 3MF: {error}") from error
    return _Plate("".join(titles), tuple(found.values()), items)


def _tag(name: str) -> str:
    return f"{{{_CORE}}}{name}"


def _object(item: ElementTree.Element, materials: Sequence[str]) -> PrintObject:
    vertices = np.array([[float(one.attrib[axis]) for axis in "xyz"] for one in item.iter(_tag("vertex"))])
    corners = ("v1", "v2", "v3")
    triangles = np.array([[int(one.attrib[corner]) for corner in corners] for one in item.iter(_tag("triangle"))])
    index = item.get("pindex")
    return PrintObject(item.attrib["name"], Mesh(vertices, triangles), None if index is None else materials[int(index)])


def _move(transform: str) -> tuple[float, float, float]:
    values = [float(value) for value in transform.split()]
    if len(values) != 12 or values[:9] != [1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0]:
        raise ValueError(f"an item is turned: {transform}")
    return values[9], values[10], values[11]


def _proved(found: _Plate, plate: _Plate, file: str) -> ThreemfProof:
    """The proof that what was read back is what was written.

    Raises:
        WriteError: it is not.
    """
    if [(one.name, one.material) for one in found.objects] != [(one.name, one.material) for one in plate.objects]:
        raise WriteError(f"{file} did not read back under the names and materials of its parts")
    if found.title != plate.title or found.items != plate.items:
        raise WriteError(f"{file} did not read back with its title and its parts in their places")
    for after, before in zip(found.objects, plate.objects, strict=True):
        if not _same(after.mesh, before.mesh):
            raise WriteError(f"{file} did not read back: the mesh of {before.name} is another one")
        faults = edge_faults(after.mesh.vertices, after.mesh.triangles)
        if faults:
            raise WriteError(f"{file} did not read back: the mesh of {before.name}: {'; '.join(faults)}")
    boxes = list(_boxes(found))
    for (low, high), (other_low, other_high) in itertools.combinations(boxes, 2):
        if not np.any((high[:2] <= other_low[:2]) | (other_high[:2] <= low[:2])):
            raise WriteError(f"{file} did not read back: two parts lie on one spot of the plate")
    if any(low.min() < -GRID for low, _ in boxes):
        raise WriteError(f"{file} did not read back: a part lies beside the plate or below it")
    volumes = [one.mesh.moments().volume for one in found.objects]
    return ThreemfProof(
        objects=len(found.objects),
        items=len(found.items),
        triangles=sum(len(one.mesh.triangles) for one in found.objects),
        volume=sum(volumes[item.number] for item in found.items),
    )


def _same(found: Mesh, mesh: Mesh) -> bool:
    return (
        found.vertices.shape == mesh.vertices.shape
        and np.array_equal(found.triangles, mesh.triangles)
        and bool(np.abs(found.vertices - mesh.vertices).max() <= GRID)
    )


def _boxes(plate: _Plate) -> Iterator[tuple[Floats, Floats]]:
    """Smallest and largest coordinates (3,), (3,) of every part on the plate [mm]."""
    for item in plate.items:
        vertices = plate.objects[item.number].mesh.vertices
        yield vertices.min(axis=0) + item.move, vertices.max(axis=0) + item.move
