"""What a flight costs, warm: at most 5 ms upright on a machine of the year 2020 with nothing else to do.

Run: pytest tests/bench/test_flight.py --benchmark-enable. Invented data.
"""

from __future__ import annotations

import numpy as np
import pytest
from flight_samples import BODY, DEMO, ROCKET, flown
from pytest_benchmark.fixture import BenchmarkFixture

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.flight.result import Flight
from ferrule.analysis.flight.tilted import TiltedFlight, fly_tilted
from ferrule.analysis.flight.vehicle import Vehicle
from ferrule.analysis.motor import Thrust

_TIMES = np.linspace(0.0, 1.6, 33)
FINE = Thrust(tuple(_TIMES.tolist()), tuple(np.interp(_TIMES, DEMO.times, DEMO.thrusts).tolist()))
"""The same curve in 33 points, as some tables have."""

CASES = {"8 points": ROCKET, "33 points": Vehicle(1225.0, 90.0, FINE, BODY, 1415.0, 2015.0)}

AT_MOST = 5e-3
"""Longest time of one flight of the demo's kind, the best of many [s]."""


@pytest.mark.benchmark(group="flight")
@pytest.mark.parametrize("case", CASES)
def test_upright(case: str, benchmark: BenchmarkFixture) -> None:
    flight = benchmark(flown, CASES[case], Atmosphere())
    assert isinstance(flight, Flight)
    benchmark.extra_info["steps"] = len(flight.times)
    if benchmark.stats is not None:
        assert benchmark.stats.stats.min <= AT_MOST


@pytest.mark.benchmark(group="flight")
def test_in_a_wind(benchmark: BenchmarkFixture) -> None:
    found = benchmark(fly_tilted, flown(ROCKET, Atmosphere()), 4.0)
    assert isinstance(found, TiltedFlight)


@pytest.mark.benchmark(group="flight")
def test_with_the_fall(benchmark: BenchmarkFixture) -> None:
    def late() -> tuple[float, float]:
        flight = flown(ROCKET, Atmosphere())
        return flight.height_speed_at(flight.apogee.time + 2.0)

    height, speed = benchmark(late)
    assert height > 0.0 > speed
