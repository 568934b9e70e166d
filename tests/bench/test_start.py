"""Whole processes side by side: what a command costs beside loading the CAD kernel alone.

Run: pytest tests/bench --benchmark-enable. Read the ratios, not the seconds.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml"

COMMANDS = {
    "import cadquery": ("-c", "import cadquery"),
    "ferrule --help": ("-m", "ferrule", "--help"),
    "ferrule check": ("-m", "ferrule", "check", str(MARRAM)),
    "ferrule template": ("-m", "ferrule", "template", str(MARRAM), "--out"),
    "ferrule make, STL and PDF": ("-m", "ferrule", "make", str(MARRAM), "--formats", "stl,pdf", "--out"),
    "ferrule make, all but STEP": (
        *("-m", "ferrule", "make", str(MARRAM), "--formats", "stl,3mf,glb,dxf,svg,pdf", "--out"),
    ),
    "ferrule make, all formats": ("-m", "ferrule", "make", str(MARRAM), "--out"),
}

KERNEL = "import cadquery"

AT_MOST = {"ferrule --help": 1.0 / 3.0, "ferrule check": 0.8}
"""Longest time of a command, as a part of that of loading the kernel [-].

A check flies the rocket with every motor, by the integrator of scipy, which alone takes a fifth of the kernel's time to
load.
"""

MEASURE = (
    "import resource, subprocess, sys; done = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, "
    "stderr=subprocess.DEVNULL); print(done.returncode, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss // 1024)"
)
"""Runs a command in a process of its own and prints its exit code and the peak of its memory [MiB]."""


@pytest.mark.benchmark(group="whole process")
@pytest.mark.parametrize("name", COMMANDS)
def test_whole_process(name: str, benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    command = [sys.executable, *COMMANDS[name]]
    if command[-1] == "--out":
        command.append(str(tmp_path))
    measured = [sys.executable, "-c", MEASURE, *command]

    def run() -> str:
        return subprocess.run(measured, capture_output=True, text=True, check=True).stdout

    code, peak = benchmark.pedantic(run, rounds=5, warmup_rounds=1).split()
    assert code == "0"
    benchmark.extra_info["peak_memory_mib"] = int(peak)
    assert int(peak) > 0


def seconds(name: str) -> float:
    """Time of one whole process [s]."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *COMMANDS[name]], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)
    return time.perf_counter() - start


def test_what_needs_no_kernel_is_much_faster_than_loading_it() -> None:
    """The best of seven runs of each, one after the other in turn, so that a busy moment meets all of them."""
    names = (KERNEL, *AT_MOST)
    for name in names:
        seconds(name)  # into the cache of the system
    rounds = [{name: seconds(name) for name in names} for _ in range(7)]
    best = {name: min(one[name] for one in rounds) for name in names}
    ratios = {name: best[name] / best[KERNEL] for name in AT_MOST}
    assert all(ratios[name] <= limit for name, limit in AT_MOST.items()), ratios
