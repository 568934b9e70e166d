"""Whole processes side by side: what a command costs beside loading the CAD kernel alone.

Run: pytest tests/bench --benchmark-enable. Read the ratios, not the seconds.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml"

COMMANDS = {
    "import cadquery": ("-c", "import cadquery"),
    "ferrule --help": ("-m", "ferrule", "--help"),
    "ferrule check": ("-m", "ferrule", "check", str(MARRAM)),
    "ferrule make, STL and PDF": ("-m", "ferrule", "make", str(MARRAM), "--formats", "stl,pdf", "--out"),
    "ferrule make, all formats": ("-m", "ferrule", "make", str(MARRAM), "--out"),
}

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
