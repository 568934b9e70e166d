"""What a payload feels as the parachute opens, and the gust that walls are held to, with the flights of the demo.

Source: Newton's second law; the whole opening load counts on each section (common practice).
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ferrule.analysis.flight.payload import PayloadBay
from ferrule.analysis.flown_checks import Flights, flown_checks
from ferrule.analysis.limits import Check, limits
from ferrule.analysis.loads.bending import Gust
from ferrule.app.design import Design
from ferrule.app.design_file import load

DEMO = Path(__file__).parents[2] / "examples" / "marram" / "marram.toml"
GRAVITY = 9.80665


@pytest.fixture(scope="module")
def demo() -> Design:
    return load(DEMO)


def run(demo: Design, wind: float = 8.0, gust: Gust = Gust(), payload: str = "") -> dict[str, Check]:
    site = replace(demo.site, launch=replace(demo.site.launch, winds=(2.0, 4.0, 6.0, wind)))
    payloads = (PayloadBay(payload, bears=100.0),) if payload else ()
    flights = Flights(site, demo.flights, demo.air, gust=gust, payloads=payloads)
    return {check.name: check for check in flown_checks(demo.rocket, demo.recovery, flights, limits())}


def test_the_section_of_a_payload_is_slowed_alone(demo: Design) -> None:
    """50 times the weight after burnout, on everything ahead of the joint that releases and what is in it."""
    found = run(demo, payload="humidity logger")
    demands = demo.flights[0].demands
    assert demands is not None
    check = found[f"humidity logger: g as the parachute opens, {demands.motor}"]
    parting = next(check for name, check in found.items() if name.endswith("drag separation"))
    ahead = next(float(one.split(" g ")[0]) for one in parting.inputs if "g ahead of the joint" in one)
    felt = 50.0 * demands.burnout_mass / ahead
    assert float(str(check.value).split(" g")[0]) == pytest.approx(felt, rel=2e-3)
    assert felt > 100.0
    assert check.status == "fail"
    assert any(one.endswith(f"on {ahead:.0f} g, the section that it is in") for one in check.inputs)
    assert not any("section" in one for one in found[f"humidity logger: g in boost, {demands.motor}"].inputs)


def test_a_payload_that_is_nowhere_shares_the_whole_mass_and_says_so(demo: Design) -> None:
    check = next(check for name, check in run(demo, payload="ghost").items() if "ghost: g as the" in name)
    assert str(check.value).startswith("50.0 g")
    assert any("g after burnout: no section is known for ghost" in one for one in check.inputs)


@pytest.mark.parametrize(
    ("wind", "gust", "words"),
    [
        (8.0, Gust(), "20 mph"),
        (12.0, Gust(), "gust 12.00 m/s (the greatest wind of the launch, more than 8.94 m/s)"),
        (12.0, Gust(14.0, "a forecast"), "a forecast"),
        (12.0, Gust(3.0, "a forecast"), "the greatest wind of the launch, more than 3.00 m/s"),
    ],
)
def test_the_gust_is_no_less_than_the_greatest_wind_of_the_launch(
    demo: Design, wind: float, gust: Gust, words: str
) -> None:
    bent = next(check for name, check in run(demo, wind, gust).items() if "bending and crushing" in name)
    assert any(words in one for one in bent.inputs), bent.inputs
