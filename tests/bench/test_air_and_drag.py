"""What a flight asks for most: the state of the air, and once the curve of the drag; warm.

Run: pytest tests/bench/test_air_and_drag.py --benchmark-enable. A flight takes a few hundred steps, each with several
looks at the air; the limits are for a machine of the year 2020 with nothing else to do.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.drag.body import drag_body
from ferrule.analysis.drag.terms import drag_curve
from ferrule.app.design_file import load

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml"

AIR_AT_MOST = 10e-6
"""Longest time of one look at the air, the best of many [s]."""
CURVE_AT_MOST = 10e-3
"""Longest time of a curve of the demo, the best of many [s]."""


@pytest.mark.benchmark(group="air and drag")
def test_the_state_of_the_air(benchmark: BenchmarkFixture) -> None:
    density, sound = benchmark(Atmosphere().density_and_sound, 812.0)
    assert 0.0 < density < 1.3
    assert 300.0 < sound < 345.0
    if benchmark.stats is not None:
        assert benchmark.stats.stats.min < AIR_AT_MOST


@pytest.mark.benchmark(group="air and drag")
def test_the_curve_of_the_demo(benchmark: BenchmarkFixture) -> None:
    design = load(MARRAM)
    body = drag_body(design.rocket, 20.0, design.motors[0].diameter)
    assert body is not None
    curve = benchmark(drag_curve, body, Atmosphere())
    assert curve.reference_area > 0.0
    if benchmark.stats is not None:
        assert benchmark.stats.stats.min < CURVE_AT_MOST
