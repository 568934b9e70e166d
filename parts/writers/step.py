"""STEP in millimetres: the exact solid under its name, the same bytes every time, read back before it counts.

Application protocol 214 (ISO 10303-214); the text of the file by ISO 10303-21.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from ..errors import WriteError
from ..readers import brep, integrals
from ..readers.brep import Handle, Solid
from ..shape import Placed, Placement, Shape
from .files import replace, write_bytes

_STAMP = "2000-01-01T00:00:00"
"""A fixed time in the header: the same part gives the same bytes. Dates belong to the design file."""

_LABEL = "ferrule-product"
"""Stands for the name until the kernel is done: it would write letters beyond ASCII raw, and count products up."""

_PRODUCT = re.compile(rf"PRODUCT\('{_LABEL}[^']*',\s*'{_LABEL}[^']*',\s*''")

SETTINGS = {
    "write.step.schema": "AP214IS",
    "write.step.unit": "MM",
    "xstep.cascade.unit": "MM",
    "write.step.product.name": _LABEL,
    "write.step.assembly": "Off",
    "write.surfacecurve.mode": "On",
    "write.precision.mode": "Average",
}
"""What the bytes of a file depend on; without curves on surfaces a bored tip does not read back sound."""

_AGAINST_INTEGRAL = 1e-6
_AGAINST_WRITTEN = 1e-9
_AGAINST_WRITTEN_JOINED = 1e-6
"""Largest relative differences of the volume read back [-]. Where a solid is bored, the file holds fitted curves."""


@dataclass(frozen=True, slots=True)
class StepProof:
    """What was read back from the file.

    Attributes:
        volume: volume [mm3].
        faces: number of faces [-].
    """

    volume: float
    faces: int


def write_step(
    path: Path, shape: Shape, *, name: str, placement: Placement = Placement(), description: str = ""
) -> StepProof:
    """Write a shape as one STEP product and prove the file by reading it back.

    Args:
        path: the file.
        shape: what to write.
        name: name of the product.
        placement: motion to the pose in which the part is made.
        description: words for the header and the product, such as the fingerprint.

    Returns:
        What was read back.

    Raises:
        PartError: the kernel cannot build the part.
        WriteError: the file cannot be written or does not hold the part.
    """
    body = brep.solid(Placed(shape, placement), name)
    data = _text(body, name, description).encode("ascii")
    proof: list[StepProof] = []

    def check(written: Path) -> None:
        proof.append(_proved(_read(written, path.name), body, integrals.moments(shape).volume, path.name))

    replace(path, lambda target: write_bytes(target, data), check)
    return proof[0]


def _proved(found: Solid, body: Solid, exact: float, name: str) -> StepProof:
    """The proof that what was read back is what was written.

    Raises:
        WriteError: it is not.
    """
    before, after = brep.moments(body), brep.moments(found)
    tolerance = _AGAINST_WRITTEN_JOINED if body.joined else _AGAINST_WRITTEN
    size = before.volume ** (1.0 / 3.0)
    for wrong, what in (
        (not brep.is_valid(found), "it is not a sound solid"),
        (brep.bodies(found) != brep.bodies(body), f"{brep.bodies(found)} solids for {brep.bodies(body)}"),
        (
            abs(after.volume / before.volume - 1.0) > tolerance or abs(after.volume / exact - 1.0) > _AGAINST_INTEGRAL,
            f"volume {after.volume:.10g} mm3 for {exact:.10g} mm3",
        ),
        (math.dist(after.centroid, before.centroid) > 1e-4 * size, "it lies in another place"),
    ):
        if wrong:
            raise WriteError(f"{name} did not read back as the part: {what}")
    return StepProof(after.volume, brep.faces(found))


def _text(body: Solid, name: str, description: str) -> str:
    """The whole file.

    Raises:
        WriteError: the kernel cannot put the solid into STEP.
    """
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    with kernel_settings(SETTINGS):
        writer = STEPControl_Writer()
        stream = io.BytesIO()
        done = writer.Transfer(body.kernel, STEPControl_AsIs) == IFSelect_RetDone
        if not done or writer.WriteStream(stream) != IFSelect_RetDone:
            raise WriteError(f"{name}: the kernel cannot put the part into STEP")
    label, words = spelled(name), spelled(description)
    product = f"PRODUCT({label},{label},{words}"
    text, count = _PRODUCT.subn(lambda _: product, under_own_header(stream.getvalue(), name, description))
    if count != 1:
        raise WriteError(f"{name}: the kernel made {count} products of the part")
    return text


def under_own_header(data: bytes, name: str, description: str) -> str:
    """What the kernel wrote, with a header that holds neither the hour nor the machine's names.

    Args:
        data: the whole file as the kernel wrote it, ASCII.
        name: words for the header's file name.
        description: words for the header's description.
    """
    head, body = data.decode("ascii").split("ENDSEC;", 1)
    schema = head[head.index("FILE_SCHEMA") :].strip()
    header = (
        f"FILE_DESCRIPTION(({spelled(description)}),'2;1');",
        f"FILE_NAME({spelled(name)},'{_STAMP}',(''),(''),'ferrule','ferrule','');",
        schema,
    )
    return "\n".join(("ISO-10303-21;", "HEADER;", *header, "ENDSEC;")) + body


def spelled(text: str) -> str:
    r"""A string as ISO 10303-21 spells it: quotes and backslashes doubled, other letters by their Unicode numbers.

    >>> print(spelled("nose 'A' 1°"))
    'nose ''A'' 1\X2\00B0\X0\'

    Raises:
        WriteError: the text holds half of a surrogate pair, which is no letter.
    """
    written: list[str] = []
    for letter in text:
        if letter in "'\\":
            written.append(letter * 2)
        elif " " <= letter <= "~":
            written.append(letter)
        elif "\ud800" <= letter <= "\udfff":
            raise WriteError(f"a name holds half a character: {text!r}")
        else:
            number = ord(letter)
            written.append(f"\\X2\\{number:04X}\\X0\\" if number < 0x10000 else f"\\X4\\{number:08X}\\X0\\")
    return f"'{''.join(written)}'"


def _read(path: Path, name: str) -> Solid:
    """The solid that a file holds.

    Raises:
        WriteError: it is not STEP, or not in millimetres.
    """
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_Reader

    with kernel_settings({"xstep.cascade.unit": "MM"}):
        reader = STEPControl_Reader()
        if reader.ReadStream(name, io.BytesIO(path.read_bytes())) != IFSelect_RetDone or reader.TransferRoots() < 1:
            raise WriteError(f"{name} did not read back as STEP")
        check_millimetres(reader, name)
        return Solid(reader.OneShape(), joined=True)


def check_millimetres(reader: Handle, name: str) -> None:
    """The file that the kernel's reader has read says that its lengths are in millimetres.

    Raises:
        WriteError: it says something else, or nothing.
    """
    from OCP.TColStd import TColStd_SequenceOfAsciiString

    lengths, angles, solid_angles = (TColStd_SequenceOfAsciiString() for _ in range(3))
    reader.FileUnits(lengths, angles, solid_angles)
    units = {lengths.Value(index + 1).ToCString() for index in range(lengths.Length())}
    if units != {"millimetre"}:
        found = ", ".join(sorted(units)) or "no unit"
        raise WriteError(f"{name} did not read back in millimetres, but in {found}")


@contextmanager
def kernel_settings(settings: Mapping[str, str]) -> Iterator[None]:
    """The kernel with these settings and silent; whoever else uses it in this process gets back what was set.

    It tells its progress on standard output, which is for figures.
    """
    from OCP.Interface import Interface_Static
    from OCP.Message import Message
    from OCP.STEPControl import STEPControl_Controller

    STEPControl_Controller.Init_s()  # before the first one the settings do not exist
    printers = Message.DefaultMessenger_s().ChangePrinters()
    heard = [printers.Value(index + 1) for index in range(printers.Length())]
    before = {key: Interface_Static.CVal_s(key) for key in settings}
    printers.Clear()
    try:
        for key, value in settings.items():
            Interface_Static.SetCVal_s(key, value)
        yield
    finally:
        for key, value in before.items():
            Interface_Static.SetCVal_s(key, value)
        for printer in heard:
            printers.Append(printer)
