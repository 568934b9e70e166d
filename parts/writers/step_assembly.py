"""STEP of a whole rocket in millimetres: every part once, under its name, and placed as often as it is there.

Application protocol 214 (ISO 10303-214): a product for each distinct part and a usage occurrence for each place; the
text of the file by ISO 10303-21. The parts stay apart, so that whoever opens the file can hide, measure or replace one.
"""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from ..curve import Floats
from ..errors import WriteError
from ..readers import brep, integrals
from ..readers.brep import Handle, Solid
from ..readers.moments import Moments
from ..shape import Placement, Shape
from .files import replace, write_bytes
from .step import SETTINGS, check_millimetres, kernel_settings, spelled, under_own_header

_SETTINGS = {**SETTINGS, "write.step.assembly": "On"}

_PRODUCT = re.compile(r"PRODUCT\('ferrule-product-(\d+)',\s*'ferrule-product-\1',\s*''")
_USAGE = re.compile(
    r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\(\s*'\d+'\s*,\s*'ferrule-instance-(\d+)'\s*,\s*''\s*,"
    r"\s*(#\d+)\s*,\s*(#\d+)\s*,\s*\$\s*\)\s*;"
)
"""Labels that stand for the names until the kernel is done: it would write letters beyond ASCII raw. Its own numbers of
the occurrences go on counting from one file to the next, and where it breaks their lines depends on how long they are.
"""

_VOLUME = 1e-6
"""Largest relative difference between a part read back and its integrals [-]."""

_PLACE = 1e-7
"""Largest difference of a turn [-] and of a move per mm of its size and 1 mm [-] read back."""


@dataclass(frozen=True, slots=True)
class AssemblyPart:
    """One part of an assembly.

    Attributes:
        name: name of the product; no two products of a file share one.
        shape: the part in its own frame.
        placements: one motion from the part's frame to the assembly's for each time that it is there.
        description: words for the product, such as the fingerprint.
    """

    name: str
    shape: Shape
    placements: tuple[Placement, ...] = (Placement(),)
    description: str = ""


@dataclass(frozen=True, slots=True)
class AssemblyProof:
    """What was read back from the file.

    Attributes:
        products: distinct parts [-].
        instances: parts as placed [-].
        solids: solids in them [-]; a part may be of several that do not touch.
        volume: volume of all that is placed [mm3].
    """

    products: int
    instances: int
    solids: int
    volume: float


@dataclass(frozen=True, slots=True)
class _Instance:
    """One placed part as it was read back: the names of the product and the occurrence, and the whole motion."""

    product: str
    name: str
    matrix: Floats
    body: Solid


def write_step_assembly(
    path: Path, name: str, parts: Sequence[AssemblyPart], *, description: str = ""
) -> AssemblyProof:
    """Write parts as one STEP assembly and prove the file by reading it back.

    Args:
        path: the file.
        name: name of the assembly's product.
        parts: what it is made of.
        description: words for the header and the assembly, such as the fingerprint.

    Returns:
        What was read back.

    Raises:
        PartError: the kernel cannot build a part.
        WriteError: there is nothing to write, names are missing or used twice, a placement is not rigid, or the file
            cannot be written or does not hold the parts.
    """
    _check(path.name, name, parts)
    bodies = [brep.solid(part.shape, part.name) for part in parts]
    data = _text(bodies, name, parts, description).encode("ascii")
    proof: list[AssemblyProof] = []

    def check(written: Path) -> None:
        title, found = _read(written, path.name)
        if title != name:
            raise WriteError(f"{path.name} did not read back as the assembly {name!r}, but as {title!r}")
        proof.append(_proved(found, bodies, parts, path.name))

    replace(path, lambda target: write_bytes(target, data), check)
    return proof[0]


def _check(file: str, name: str, parts: Sequence[AssemblyPart]) -> None:
    if not any(part.placements for part in parts):
        raise WriteError(f"{file}: there is nothing in the assembly")
    names = [name, *(part.name for part in parts)]
    for one in names:
        if not one.strip():
            raise WriteError(f"{file}: every product needs a name")
        if names.count(one) > 1:
            raise WriteError(f"{file}: two products are called {one!r}; every product needs its own name")
    for part in parts:
        if not part.placements:
            raise WriteError(f"{file}: {part.name} has no place in the assembly")
        for placement in part.placements:
            if not _is_rigid(placement):
                raise WriteError(f"{file}: a placement of {part.name} is not a rigid motion")


def _is_rigid(placement: Placement) -> bool:
    """True where a placement neither stretches nor mirrors and its numbers are finite."""
    turn = placement.matrix
    if not (np.all(np.isfinite(turn)) and np.all(np.isfinite(placement.move))):
        return False
    return bool(np.abs(turn @ turn.T - np.eye(3)).max() < 1e-9 and np.linalg.det(turn) > 0.0)


def _occurrences(parts: Sequence[AssemblyPart]) -> list[str]:
    """Name of every occurrence in order: that of the part, numbered from 1 where it is there several times."""
    return [
        part.name if len(part.placements) == 1 else f"{part.name} {index + 1}"
        for part in parts
        for index in range(len(part.placements))
    ]


def _text(bodies: Sequence[Solid], name: str, parts: Sequence[AssemblyPart], description: str) -> str:
    """The whole file.

    Raises:
        WriteError: the kernel cannot put the assembly into STEP.
    """
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_AsIs

    with kernel_settings(_SETTINGS):
        document, stream = _document(bodies, parts), io.BytesIO()
        writer = STEPCAFControl_Writer()
        writer.SetNameMode(True)
        writer.SetColorMode(False)
        writer.SetLayerMode(False)
        done = writer.Transfer(document, STEPControl_AsIs)
        if not done or writer.ChangeWriter().WriteStream(stream) != IFSelect_RetDone:
            raise WriteError(f"{name}: the kernel cannot put the assembly into STEP")
    products = [(name, description), *((part.name, part.description) for part in parts)]
    occurrences = _occurrences(parts)

    def product(found: re.Match[str]) -> str:
        label, words = products[int(found[1])]
        return f"PRODUCT({spelled(label)},{spelled(label)},{spelled(words)}"

    def usage(found: re.Match[str]) -> str:
        number = int(found[1])
        return (
            f"NEXT_ASSEMBLY_USAGE_OCCURRENCE('{number}',{spelled(occurrences[number - 1])},'',{found[2]},{found[3]},$);"
        )

    text, made = _PRODUCT.subn(product, under_own_header(stream.getvalue(), name, description))
    text, used = _USAGE.subn(usage, text)
    if made != len(products) or used != len(occurrences):
        raise WriteError(f"{name}: the kernel made {made} products and {used} occurrences of the assembly")
    return text


def _document(bodies: Sequence[Solid], parts: Sequence[AssemblyPart]) -> Handle:
    """The assembly as the kernel wants it, under labels that stand for the names."""
    from OCP.gp import gp_Trsf
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())

    def labelled(item: Handle, label: str) -> Handle:
        TDataStd_Name.Set_s(item, TCollection_ExtendedString(label))
        return item

    root, instance = labelled(tool.NewShape(), "ferrule-product-0"), 0
    for number, (part, body) in enumerate(zip(parts, bodies, strict=True), start=1):
        product = labelled(tool.AddShape(body.kernel, False), f"ferrule-product-{number}")
        for placement in part.placements:
            instance += 1
            a, b, c, d, e, f, g, h, i = placement.turn
            x, y, z = placement.move
            motion = gp_Trsf()
            motion.SetValues(a, b, c, x, d, e, f, y, g, h, i, z)
            labelled(tool.AddComponent(root, product, TopLoc_Location(motion)), f"ferrule-instance-{instance}")
    tool.UpdateAssemblies()
    return document


def _read(path: Path, name: str) -> tuple[str, list[_Instance]]:
    """Name of the assembly that a file holds, and what is placed in it.

    Raises:
        WriteError: it is not STEP, not in millimetres, or not one assembly.
    """
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDF import TDF_Label, TDF_LabelSequence
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    with kernel_settings({"xstep.cascade.unit": "MM"}):
        reader = STEPCAFControl_Reader()
        reader.SetNameMode(True)
        done = reader.ReadStream(name, io.BytesIO(path.read_bytes())) == IFSelect_RetDone
        if not done or not reader.Transfer(document):
            raise WriteError(f"{name} did not read back as STEP")
        check_millimetres(reader.ChangeReader(), name)
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    roots, components = TDF_LabelSequence(), TDF_LabelSequence()
    tool.GetFreeShapes(roots)
    if roots.Length() != 1 or not tool.GetComponents_s(roots.Value(1), components):
        raise WriteError(f"{name} did not read back as one assembly")
    found: list[_Instance] = []
    for index in range(1, components.Length() + 1):
        component, product = components.Value(index), TDF_Label()
        tool.GetReferredShape_s(component, product)
        motion = tool.GetLocation_s(component).Transformation()
        matrix = np.array([[motion.Value(row, column) for column in (1, 2, 3, 4)] for row in (1, 2, 3)])
        body = Solid(tool.GetShape_s(product), joined=True)
        found.append(_Instance(_name(product), _name(component), matrix, body))
    return _name(roots.Value(1)), found


def _name(label: Handle) -> str:
    from OCP.TDataStd import TDataStd_Name

    name = TDataStd_Name()
    return str(name.Get().ToExtString()) if label.FindAttribute(TDataStd_Name.GetID_s(), name) else ""


def _proved(
    found: Sequence[_Instance], bodies: Sequence[Solid], parts: Sequence[AssemblyPart], file: str
) -> AssemblyProof:
    """The proof that what was read back is what was written.

    Raises:
        WriteError: it is not.
    """
    wanted = [
        (part, body, placement) for part, body in zip(parts, bodies, strict=True) for placement in part.placements
    ]
    if len(found) != len(wanted):
        raise WriteError(f"{file} did not read back as the assembly: {len(found)} placed parts for {len(wanted)}")
    measured: dict[str, Moments] = {}
    solids, volume, exact = 0, 0.0, 0.0
    for one, (part, body, placement), occurrence in zip(found, wanted, _occurrences(parts), strict=True):
        if (one.product, one.name) != (part.name, occurrence):
            raise WriteError(f"{file} did not read back as the assembly: {one.name!r} for {occurrence!r}")
        integral = integrals.moments(part.shape)
        if part.name not in measured:
            measured[part.name] = _moments_of_product(one.body, body, integral, f"{file}: {part.name}")
        after, before = measured[part.name], integral
        motion = np.column_stack([placement.matrix, placement.move])
        size = 1.0 + before.volume ** (1.0 / 3.0) + float(np.abs(placement.move).max())
        if np.abs(one.matrix - motion).max() > _PLACE * size:
            raise WriteError(f"{file} did not read back as the assembly: {occurrence} lies in another place")
        solids += brep.bodies(one.body)
        volume += after.volume
        exact += before.volume
    if abs(volume / exact - 1.0) > _VOLUME:
        raise WriteError(f"{file} did not read back as the assembly: volume {volume:.10g} mm3 for {exact:.10g} mm3")
    return AssemblyProof(len(parts), len(found), solids, volume)


def _moments_of_product(found: Solid, body: Solid, exact: Moments, what: str) -> Moments:
    """Moments of a product as it was read back, in the part's own frame.

    Raises:
        WriteError: it is not the part.
    """
    if not brep.is_valid(found):
        raise WriteError(f"{what} did not read back as a sound solid")
    if brep.bodies(found) != brep.bodies(body):
        raise WriteError(f"{what} did not read back: {brep.bodies(found)} solids for {brep.bodies(body)}")
    after = brep.moments(found)
    if abs(after.volume / exact.volume - 1.0) > _VOLUME:
        raise WriteError(f"{what} did not read back: volume {after.volume:.10g} mm3 for {exact.volume:.10g} mm3")
    size = exact.volume ** (1.0 / 3.0)
    if np.abs(np.array(after.centroid) - np.array(exact.centroid)).max() > 1e-4 * size:
        raise WriteError(f"{what} did not read back: it lies in another place")
    return after
