"""The own nester and `spyrrow` side by side: how dense, and how long it takes.

Run: pytest tests/bench/test_nesting.py --benchmark-enable -s. Read the ratios, not the seconds. Invented pieces.
"""

from __future__ import annotations

import math
import time

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from ferrule.parts.nesting.nest import nest
from ferrule.parts.nesting.pieces import NestPiece, SheetStock
from ferrule.parts.shape import Outline, circle, hole, polygon

SIZES = ((98.0, 54.0), (98.0, 54.0), (98.0, 38.0), (75.0, 38.0), (75.0, 29.0), (54.0, 29.0), (54.0, 24.0))
FIN = Outline(polygon(((0.0, 0.0), (200.0, 0.0), (150.0, 90.0), (90.0, 90.0))))
SHEET = SheetStock("ply", "birch-plywood", 6.0, 300.0, 600.0, "length", 2.0, 2.0)


def pieces(grain: float | None) -> list[NestPiece]:
    rings = [
        NestPiece(f"ring {number}", Outline(circle(outside / 2.0), (hole(inside / 2.0),)), "birch-plywood", 6.0)
        for number, (outside, inside) in enumerate(SIZES, 1)
    ]
    return [*rings, NestPiece("fin", FIN, "birch-plywood", 6.0, 4, grain)]


CASES = {"any way": None, "along the grain": math.atan2(90.0, 90.0)}


@pytest.mark.benchmark(group="nesting")
@pytest.mark.parametrize("case", CASES)
def test_seven_rings_and_four_fins(case: str, benchmark: BenchmarkFixture) -> None:
    found = benchmark.pedantic(lambda: nest(pieces(CASES[case]), [SHEET]), rounds=3)
    (sheet,) = found.sheets
    benchmark.extra_info["used_mm"] = round(sheet.used, 1)
    benchmark.extra_info["of_the_strip"] = round(sheet.strip_utilisation, 3)
    assert not found.not_placed
    # By bounding boxes alone the same pieces take 586 mm (measured with a packer of rectangles).
    assert sheet.used < 586.0


@pytest.mark.parametrize("case", CASES)
def test_beside_the_denser_one(case: str) -> None:
    pytest.importorskip("spyrrow", reason="the extra `nest` is not installed")
    took, used = {}, {}
    for name, dense in (("own", False), ("dense", True)):
        start = time.perf_counter()
        (sheet,) = nest(pieces(CASES[case]), [SHEET], dense).sheets
        took[name], used[name] = time.perf_counter() - start, sheet.used
    print(f"\n{case}: " + ", ".join(f"{name} {used[name]:.1f} mm in {took[name]:.1f} s" for name in used))  # noqa: T201
    assert used["dense"] <= used["own"] <= 1.15 * used["dense"]
    assert took["own"] < took["dense"]
