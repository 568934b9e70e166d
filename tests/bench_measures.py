"""What a whole process uses, and designs of any number of parts, for tests/bench. Invented data."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

MARRAM = Path(__file__).resolve().parents[1] / "examples" / "marram"
"""The demo."""


@dataclass(frozen=True)
class Used:
    """What a process used: processor time [s], which other work changes little, and peak memory [MiB]."""

    seconds: float
    memory: float


_MEASURE = """
import os, subprocess, sys
process = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL)
_, status, usage = os.wait4(process.pid, 0)
process.returncode = os.waitstatus_to_exitcode(status)
print(process.returncode, usage.ru_utime + usage.ru_stime, usage.ru_maxrss)
"""
"""Runs a command from a small process: the system counts the memory of who starts a process as that of the process."""


def used(*command: str) -> Used:
    """What `python` with these arguments uses, in a process of its own.

    Raises:
        RuntimeError: it ended with an error.
    """
    # Without byte-code every process would compile what it imports, and that would be measured.
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    whole = [sys.executable, "-S", "-c", _MEASURE, sys.executable, *command]
    done = subprocess.run(whole, capture_output=True, text=True, errors="replace", env=environment, check=True)
    code, seconds, memory = done.stdout.split()
    if code != "0":
        raise RuntimeError(f"{' '.join(command)} ended with {code}: {done.stderr[-500:]}")
    return Used(float(seconds), float(memory) / 1024.0)


def make(file: Path, out: Path, formats: str, *more: str) -> tuple[str, ...]:
    """Arguments of `python` to make a design."""
    return ("-m", "ferrule", "make", str(file), "--out", str(out), "--formats", formats, *more)


def change_one_part(file: Path) -> None:
    """Give the nose of a copy of the demo another wall."""
    text = file.read_text(encoding="utf-8")
    assert text.count('\nwall = "1.6 mm"') == 1
    file.write_text(text.replace('\nwall = "1.6 mm"', '\nwall = "1.7 mm"'), encoding="utf-8")


def grown(parts: int) -> str:
    """A design of so many bulkheads, each in its own place in one long tube."""
    head = """format = 1
name = "Grown"
[[tube]]
name = "tube"
outside_mm = [68.4]
inside_mm = [65.9]
length = "5000 mm"
station = "0 mm"
material = "kraft-tube"
"""
    pitch = 4900.0 / parts
    return head + "".join(
        f"""[[part]]
name = "bulkhead {number}"
kind = "bulkhead"
fits = "tube"
station = "{10.0 + pitch * number:.2f} mm"
thickness = "3 mm"
material = "birch-plywood"
"""
        for number in range(parts)
    )


def grown_make(parts: int, folder: Path, formats: str) -> Used:
    """What `make` of such a design into a new folder uses."""
    folder.mkdir(parents=True)
    file = folder / "grown.toml"
    file.write_text(grown(parts), encoding="utf-8")
    return used(*make(file, folder / "out", formats))


def exponent(sizes: Sequence[float], amounts: Sequence[float]) -> float:
    """Slope of a line through the logarithms [-]: 1 where twice the size takes twice the amount."""
    x, y = [math.log(one) for one in sizes], [math.log(one) for one in amounts]
    middle = (sum(x) / len(x), sum(y) / len(y))
    return sum((a - middle[0]) * (b - middle[1]) for a, b in zip(x, y, strict=True)) / sum(
        (a - middle[0]) ** 2 for a in x
    )
