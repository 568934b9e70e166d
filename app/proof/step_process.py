"""Measures the solids of STEP files: run as a process of its own, which may die without harm to the caller.

The CAD kernel ends its process by a segmentation fault over some files that were written to mislead. The process reads
files from its input, each after its length in 8 bytes, and answers each with one line of JSON.
"""

from __future__ import annotations

import io
import json
import os
import sys
from typing import Any

LENGTH = 8
"""Bytes of the length before each file, little end first."""

_FINE = 1e-12
"""Tolerance of the kernel's integration [-], without which it is not exact about bores."""


def main() -> None:
    """Answer one file after the other until there are no more."""
    # The kernel tells its progress on standard output, which is for the answers.
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    while head := sys.stdin.buffer.read(LENGTH):
        data = sys.stdin.buffer.read(int.from_bytes(head, "little"))
        answers.write(json.dumps(_answer(data)) + "\n")
        answers.flush()


def _answer(data: bytes) -> dict[str, Any]:
    try:
        return measured(data)
    except ImportError:
        return {"fault": "the CAD kernel cannot be loaded"}
    except Exception as error:
        # The kernel's errors have no common parent but the module that they come from.
        if type(error).__module__.startswith("OCP") or type(error) is RuntimeError:
            return {"fault": "the CAD kernel cannot read it"}
        raise


def measured(data: bytes) -> dict[str, Any]:
    """What a file holds: its units of length, how many solids, how many of them unsound, their volume [mm3]."""
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_Reader
    from OCP.TColStd import TColStd_SequenceOfAsciiString
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer

    reader = STEPControl_Reader()
    if reader.ReadStream("listed.step", io.BytesIO(data)) != IFSelect_RetDone or reader.TransferRoots() < 1:
        return {"fault": "the CAD kernel cannot read it"}
    lengths, angles, solid_angles = (TColStd_SequenceOfAsciiString() for _ in range(3))
    reader.FileUnits(lengths, angles, solid_angles)
    solids = []
    explorer = TopExp_Explorer(reader.OneShape(), TopAbs_ShapeEnum.TopAbs_SOLID)
    while explorer.More():
        solids.append(explorer.Current())
        explorer.Next()
    return {
        "units": sorted({lengths.Value(index + 1).ToCString() for index in range(lengths.Length())}),
        "solids": len(solids),
        "unsound": sum(not BRepCheck_Analyzer(one).IsValid() for one in solids),
        "volume": _volume(solids),
    }


def _volume(solids: list[Any]) -> float:
    """Volume of all solids [mm3], each form measured once however often it is placed."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    known: list[tuple[Any, float]] = []
    total = 0.0
    for one in solids:
        volume = next((volume for other, volume in known if one.IsPartner(other)), None)
        if volume is None:
            properties = GProp_GProps()
            BRepGProp.VolumeProperties_s(one, properties, _FINE)
            volume = float(properties.Mass())
            known.append((one, volume))
        total += volume
    return total


if __name__ == "__main__":
    main()
