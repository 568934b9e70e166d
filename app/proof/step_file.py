"""STEP: a whole text by ISO 10303-21; with the CAD kernel its solids: sound, in millimetres, of the exact volume."""

from __future__ import annotations

import contextlib
import importlib.util
import json
import subprocess
import sys
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .findings import Findings, Listed, NotReadableError, plural
from .solids import exact_volume
from .step_process import LENGTH

_BEGIN, _END = b"ISO-10303-21;", b"END-ISO-10303-21;"

_VOLUME = 1e-6
"""Largest relative difference of a volume from the exact integral [-]."""

_LONGEST = 600.0
"""Time that the kernel may take over one file [s]."""


def prove_text(data: bytes, _: Listed, found: Findings) -> None:
    """Hold a file to be whole, as far as that is seen without the kernel.

    Raises:
        NotReadableError: it is not.
    """
    if not data.startswith(_BEGIN) or not data.rstrip().endswith(_END):
        raise NotReadableError("not a whole STEP file: it does not begin or end as one")
    found.hold(data.isascii() and b"\nDATA;" in data, "not a whole STEP file: it has no data")


def kernel_is_there() -> bool:
    """Whether the CAD kernel is installed."""
    return importlib.util.find_spec("OCP") is not None


@dataclass(slots=True)
class Kernel:
    """The CAD kernel in a process of its own, started with the first file; ended with the block that it is used in."""

    process: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Kernel:
        return self

    def __exit__(self, *_: object) -> None:
        self._end()

    def prove(self, data: bytes, listed: Listed, found: Findings) -> None:
        """Hold a file to be of sound solids in millimetres of the volume that is listed.

        Raises:
            NotReadableError: the kernel cannot read it.
        """
        prove_text(data, listed, found)
        answer = self._ask(data)
        if "fault" in answer:
            raise NotReadableError(str(answer["fault"]))
        units, solids, unsound = answer["units"], int(answer["solids"]), int(answer["unsound"])
        found.hold(units == ["millimetre"], f"it is not in millimetres, but in {', '.join(units) or 'no unit'}")
        if not found.hold(solids > 0, "there is no solid in it"):
            return
        found.hold(not unsound, f"{plural(unsound, 'solid is', 'solids are')} not sound")
        found.counted(listed, "solids", solids, "solids")
        volume = float(answer["volume"])
        exact = exact_volume(volume, listed, found)
        if exact is not None:
            off = abs(volume / exact - 1.0)
            found.hold(off <= _VOLUME, f"volume {volume:.10g} mm3 where the exact one is {exact:.10g} mm3")
            found.most("off", off)

    def _ask(self, data: bytes) -> dict[str, Any]:
        """What the kernel says of a file.

        Raises:
            NotReadableError: it breaks down over it.
        """
        if self.process is None:
            script = Path(__file__).with_name("step_process.py")
            self.process = subprocess.Popen(  # noqa: S603  our own script, and no shell
                [sys.executable, str(script)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
            )
        process = self.process
        limit = threading.Timer(_LONGEST, process.kill)
        limit.start()
        try:
            if process.stdin is None or process.stdout is None:
                raise NotReadableError("the CAD kernel cannot be asked")
            process.stdin.write(len(data).to_bytes(LENGTH, "little") + data)
            process.stdin.flush()
            answer = json.loads(process.stdout.readline())
        except (OSError, ValueError):
            self._end()
            raise NotReadableError("the CAD kernel breaks down over it") from None
        finally:
            limit.cancel()
        return dict(answer)

    def _end(self) -> None:
        if self.process is None:
            return
        self.process.kill()
        for stream in (self.process.stdin, self.process.stdout):
            if stream is not None:
                with contextlib.suppress(OSError):  # what it was to read is lost with it
                    stream.close()
        self.process.wait()
        self.process = None


def told(found: Findings) -> str:
    """The proof of the files, in words."""
    count = found.totals["solids"]
    if not count:
        return "whole as text"
    off = found.largest.get("off")
    exact = "" if off is None else f"; volumes within {off:.1e} of the exact integrals"
    return f"{plural(count, 'solid')} in mm, sound{exact}"
