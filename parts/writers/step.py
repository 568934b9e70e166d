"""STEP in millimetres: the exact solid under its name, the same bytes every time, read back before it counts."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..errors import WriteError
from ..readers.brep import Solid, measure, solid
from ..readers.integrals import moments
from ..shape import Placed, Placement, Shape
from .files import replace

_STAMP = "2000-01-01T00:00:00"
"""A fixed time in the header: the same part gives the same bytes. Dates belong to the design file."""

_VOLUME_TOLERANCE = 1e-6
"""Largest relative difference between what was read back and the exact integral [-]."""


@dataclass(frozen=True, slots=True)
class StepProof:
    """What was read back from the file.

    Attributes:
        volume: volume [mm3].
        faces: number of faces [-].
    """

    volume: float
    faces: int


def write_step(path: Path, shape: Shape, *, name: str, placement: Placement, description: str) -> StepProof:
    """Write a shape as one STEP product (AP214) and prove the file by reading it back.

    Args:
        path: the file.
        shape: what to write.
        name: name of the product, ASCII.
        placement: motion to the pose in which the part is made.
        description: words for the header, such as the fingerprint.

    Returns:
        What was read back.

    Raises:
        WriteError: the file cannot be written or does not hold the part.
        PartError: the kernel cannot build the part.
    """
    body = solid(Placed(shape, placement), name)
    exact = moments(shape).volume
    proof: list[StepProof] = []

    def check(written: Path) -> None:
        found = measure(_read(written, path.name))
        volume = found.moments.volume
        if not found.valid or abs(volume / exact - 1.0) > _VOLUME_TOLERANCE:
            raise WriteError(
                f"{path.name} did not read back as the part: volume {volume:.6g} mm3 for {exact:.6g} mm3, "
                f"{'sound' if found.valid else 'not sound'}"
            )
        proof.append(StepProof(volume, found.faces))

    replace(path, lambda target: _write(target, body, name, description), check)
    return proof[0]


def _write(path: Path, body: Solid, name: str, description: str) -> None:
    from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
    from OCP.TCollection import TCollection_HAsciiString

    _quiet()
    writer = STEPControl_Writer()
    settings = {"write.step.unit": "MM", "write.step.schema": "AP214IS", "write.step.product.name": name}
    before = {key: Interface_Static.CVal_s(key) for key in settings}
    try:
        for key, value in settings.items():
            Interface_Static.SetCVal_s(key, value)
        if writer.Transfer(body.kernel, STEPControl_AsIs) != IFSelect_RetDone:
            raise WriteError(f"{name}: the kernel cannot put the part into STEP")
        header = APIHeaderSection_MakeHeader(writer.Model())
        header.SetTimeStamp(TCollection_HAsciiString(_STAMP))
        header.SetName(TCollection_HAsciiString(f"{name}.step"))
        header.SetDescriptionValue(1, TCollection_HAsciiString(description))
        header.SetAuthorValue(1, TCollection_HAsciiString(""))
        header.SetOrganizationValue(1, TCollection_HAsciiString(""))
        header.SetOriginatingSystem(TCollection_HAsciiString("ferrule"))
        if writer.Write(str(path)) != IFSelect_RetDone:
            raise WriteError(f"{path} cannot be written")
    finally:
        # The settings are the kernel's own globals; whoever else uses it in this process gets back what was set.
        for key, value in before.items():
            Interface_Static.SetCVal_s(key, value)
    _steady(path, name)


def _quiet() -> None:
    """Keep the kernel from telling its progress on standard output, which is for figures."""
    from OCP.Message import Message, Message_PrinterOStream

    Message.DefaultMessenger_s().RemovePrinters(Message_PrinterOStream.get_type_descriptor_s())


def _steady(path: Path, name: str) -> None:
    """Take out what counts up inside one process: the number that the kernel hangs on the name of a product."""
    text = path.read_text(encoding="latin-1")
    plain = re.sub(rf"PRODUCT\('{re.escape(name)}[^']*','{re.escape(name)}[^']*'", f"PRODUCT('{name}','{name}'", text)
    path.write_text(plain, encoding="latin-1", newline="\n")


def _read(path: Path, name: str) -> Solid:
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_Reader

    _quiet()
    reader: Any = STEPControl_Reader()
    if reader.ReadFile(str(path)) != IFSelect_RetDone or reader.TransferRoots() < 1:
        raise WriteError(f"{name} did not read back as STEP")
    return Solid(reader.OneShape(), joined=True)
