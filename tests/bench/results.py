"""Measures everything side by side in one run and writes the table RESULTS.md beside this file.

Run: python tests/bench/results.py, with Ferrule installed in that Python. It takes some minutes, and nothing else
should be running. Figures are ratios of processor time, which hold on any machine; memory is in MiB.
"""

from __future__ import annotations

import importlib
import importlib.util
import os
import platform
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import ModuleType
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))

from bench_measures import MARRAM, Used, change_one_part, exponent, grown_make, make, used  # noqa: E402

ALL, NO_STEP = "step,stl,3mf,glb,dxf,svg,pdf", "stl,3mf,glb,dxf,svg,pdf"
KERNEL = ("-c", "import cadquery")
ROOM = 4096.0
"""Memory that a design is to stay in [MiB]."""

Row = tuple[str, ...]


def best(*commands: Sequence[str], rounds: int = 3) -> list[Used]:
    """The least that each command uses, one after the other in turn, so that a busy moment meets all of them."""
    found = [[used(*command) for command in commands] for _ in range(rounds)]
    return [
        Used(min(one.seconds for one in some), min(one.memory for one in some)) for some in zip(*found, strict=True)
    ]


def times(ratio: float) -> str:
    """A ratio with three figures."""
    return f"{ratio:.3g}"


def starting() -> Iterator[Row]:
    """Commands that need no kernel, beside loading it."""
    file = str(MARRAM / "marram.toml")
    used("-m", "ferrule", "check", file)  # compiled once and for all
    kernel, *others = best(KERNEL, ("-m", "ferrule", "--help"), ("-m", "ferrule", "check", file), rounds=3)
    yield "`import cadquery`", "1", f"{kernel.memory:.0f}"
    for name, one in zip(("`ferrule --help`", "`ferrule check` of the demo"), others, strict=True):
        yield name, times(one.seconds / kernel.seconds), f"{one.memory:.0f}"


def demo(folder: Path) -> Iterator[Row]:
    """`make` of the demo: into a new folder, again without and with a change."""
    first: float | None = None
    for number, (words, formats) in enumerate((("all formats", ALL), ("all but STEP", NO_STEP))):
        shutil.copytree(MARRAM, folder / str(number))
        file, out = folder / str(number) / "marram.toml", folder / f"out-{number}"
        used(*make(file, folder / "first", formats))  # compiled, and into the cache of the system
        whole = used(*make(file, out, formats))
        nothing = used(*make(file, out, formats))
        change_one_part(file)
        one_part = used(*make(file, out, formats))
        anew = used(*make(file, out, formats, "--anew"))
        first = first or whole.seconds
        for what, one in (
            ("a new folder", whole),
            ("again, nothing changed", nothing),
            ("again, the nose changed", one_part),
            ("again, `--anew`", anew),
        ):
            yield f"{words}: {what}", times(one.seconds / first), f"{one.memory:.0f}"


def fastest(run: Callable[[], Any], rounds: int = 3) -> float:
    """The best processor time of some runs in this process [s]."""
    found = []
    for _ in range(rounds):
        start = time.process_time()
        run()
        found.append(time.process_time() - start)
    return min(found)


def nose_mesh(folder: Path) -> Iterator[Row]:
    """One hollow nose as a mesh, ours beside the plain script for the CAD library, both at 0.02 mm."""
    bench = _beside("test_nose_mesh")
    ours, library = folder / "ours.stl", folder / "library.stl"
    both = [fastest(lambda: bench.with_ferrule(ours)), fastest(lambda: bench.with_the_library(library))]
    yield "processor time", "1", times(both[1] / both[0])
    yield "triangles", "1", times(bench.triangles(library) / bench.triangles(ours))
    yield "measured deviation [mm]", f"{bench.deviation(ours):.4f}", f"{bench.deviation(library):.4f}"


def mass_properties() -> Iterator[Row]:
    """Volume, centre and inertia of the demo's parts: our integrals beside building the solid and asking the kernel."""
    from ferrule import load
    from ferrule.parts.readers import brep
    from ferrule.parts.readers.integrals import moments

    design = load(MARRAM / "marram.toml")
    for item in design.rocket.items:
        if item.part is None:
            continue
        shape = item.part.shape()

        def exact(shape: Any = shape) -> Any:
            _forget()
            return moments(shape)

        ours, kernel = fastest(exact), fastest(lambda shape=shape: brep.moments(brep.solid(shape)))  # type: ignore[misc]
        off = exact().volume / brep.moments(brep.solid(shape)).volume - 1.0
        yield item.name, "1", times(kernel / ours), f"{abs(off):.0e}"


def growth(folder: Path, formats: str, sizes: Sequence[int]) -> Iterator[Row]:
    """`make` of designs of ever more parts."""
    found = {size: grown_make(size, folder / f"{formats}-{size}", formats) for size in sizes}
    first = found[sizes[0]]
    for size, one in found.items():
        per_part = "" if size == sizes[0] else times((one.seconds - first.seconds) / (size - 1) / first.seconds)
        yield f"{size:,}", times(one.seconds / first.seconds), per_part, f"{one.memory:.0f}"
    rest = sizes[1:]
    slope = exponent(rest, [found[size].seconds - first.seconds for size in rest])
    largest, last = sizes[-1], found[sizes[-1]]
    each = (last.memory - first.memory) / (largest - sizes[0])
    yield f"exponent of time from {rest[0]:,} to {largest:,}", times(slope), "", ""
    yield (
        f"parts in {ROOM / 1024:.0f} GiB, carried on in a straight line from {sizes[0]:,} and {largest:,}",
        f"about {float(f'{(ROOM - first.memory) / each:.1g}'):,.0f}",
        "",
        "",
    )


def _beside(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, HERE / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _forget() -> None:
    """What was worked out before must be worked out again."""
    for name in ("integrals", "mesh", "radial"):
        for one in vars(importlib.import_module(f"ferrule.parts.readers.{name}")).values():
            if hasattr(one, "cache_clear"):
                one.cache_clear()


def table(head: Row, rows: Iterator[Row]) -> str:
    """A table in Markdown; each row is also told at once."""
    lines = [f"| {' | '.join(head)} |", f"|{'---|' * len(head)}"]
    for row in rows:
        print(" | ".join(row), flush=True)  # noqa: T201
        lines.append(f"| {' | '.join(row)} |")
    return "\n".join(lines)


def main() -> None:
    """Measure and write."""
    load = os.getloadavg()[0]
    machine = (
        f"{platform.system()} {platform.machine()}, {os.cpu_count()} processors, Python {platform.python_version()}; "
        f"{load:.1f} other runs at once on average at the start"
    )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sections = (
            "# Measured",
            "Written by `python tests/bench/results.py`; do not edit. Ratios of processor time, measured side by side "
            f"in one run, and peak memory of whole processes.\n\nMachine: {machine}.",
            "## Start, beside the CAD kernel\n\n" + table(("command", "time", "memory [MiB]"), starting()),
            "## `make` of the demo\n\nThe first row is 1.\n\n"
            + table(("what", "time", "memory [MiB]"), demo(folder / "demo")),
            "## A hollow nose as a mesh\n\nBoth 0.02 mm from the exact surface, as measured on the files.\n\n"
            + table(("what", "Ferrule", "script for the CAD library"), nose_mesh(folder)),
            "## Mass properties of the demo's parts\n\nThe exact integrals beside building the solid and integrating "
            "it in the kernel; in the last column by how much the two volumes differ.\n\n"
            + table(("part", "Ferrule", "kernel", "difference [-]"), mass_properties()),
            "## Growth\n\nBulkheads in one tube, `--formats stl` into a new folder.\n\n"
            + table(("parts", "time", "each further part", "memory [MiB]"), growth(folder, "stl", (1, 10, 100, 1000))),
            "With solids, `--formats step`:\n\n"
            + table(("parts", "time", "each further part", "memory [MiB]"), growth(folder, "step", (1, 10, 100))),
        )
        (HERE / "RESULTS.md").write_text("\n\n".join(sections) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
