"""Vents: the quasi-steady difference against the gas itself, flowing through the hole in small steps of time.

Sources: gas that keeps its temperature, and orifice flow (any textbook); the air falls as density times g times height.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from airframe_samples import DEMANDS, airframe_rocket, with_part
from rocket_samples import tube_part

from ferrule.analysis.limits import Check, limits
from ferrule.analysis.loads.vents import (
    Air,
    air_of,
    compartments,
    hole_for,
    pressure_difference,
    vent_checks,
)
from ferrule.analysis.rocket import Rocket
from ferrule.parts.errors import PartError

AIR = Air(100129.0, 1.2134, 120.0)


def checked(rocket: Rocket) -> tuple[Check, ...]:
    return tuple(vent_checks(rocket, DEMANDS, limits()))


def vented(place: str = "250 mm", diameter: str = "4 mm") -> Rocket:
    """A hole in the payload tube, and one in the booster tube between bulkhead and ring."""
    rocket = airframe_rocket()
    first = tube_part(length="250 mm", material="kraft-tube", hole_diameter=diameter, hole_positions=["100 mm"])
    second = tube_part(length="450 mm", material="kraft-tube", hole_diameter=diameter, hole_positions=[place])
    return with_part(with_part(rocket, "payload tube", first), "booster tube", second)


def test_the_density_is_that_of_the_gas() -> None:
    # Ideal gas: rho = 1.4 p / a^2; the standard atmosphere at 0 m has 1.225 kg/m3.
    air = air_of(replace(DEMANDS, pressure=101325.0, sound=340.29411))
    assert air.density == pytest.approx(1.2249992, rel=1e-6)
    assert air.climb == 120.0


@pytest.mark.parametrize("diameter", [0.8, 1.5, 4.0])
def test_the_difference_against_the_gas_in_steps_of_time(diameter: float) -> None:
    """Mass leaves by C A sqrt(2 rho dp) while the air outside falls: the difference comes up to ours from below."""
    volume, area = 1.2e-3, math.pi * (diameter * 1e-3) ** 2 / 4.0
    gas = AIR.pressure / AIR.density
    outside, mass, step, found = AIR.pressure, AIR.pressure * volume / gas, 1e-4, 0.0
    for _ in range(10000):
        outside -= AIR.density * 9.80665 * AIR.climb * step
        inside = mass * gas / volume
        found = max(found, inside - outside)
        mass -= 0.6 * area * math.sqrt(2.0 * AIR.density * max(inside - outside, 0.0)) * step
    ours = pressure_difference(1.2e6, area * 1e6, AIR)
    # Within 3 per cent where it keeps up: the gas inside is denser by what the difference is of the whole.
    assert found <= ours * 1.03
    if diameter >= 1.5:
        assert found == pytest.approx(ours, rel=0.03)


def test_scaling() -> None:
    one = pressure_difference(1e6, 10.0, AIR)
    assert pressure_difference(2e6, 10.0, AIR) == pytest.approx(4.0 * one, rel=1e-12)
    assert pressure_difference(1e6, 20.0, AIR) == pytest.approx(one / 4.0, rel=1e-12)
    assert pressure_difference(1e6, 10.0, replace(AIR, climb=240.0)) == pytest.approx(4.0 * one, rel=1e-12)
    with pytest.raises(PartError, match="vent_area: must be above 0"):
        pressure_difference(1e6, 0.0, AIR)


def test_by_hand() -> None:
    """1.2 litres, a hole of 4 mm: 1.2e-3 x 1.2134 x 9.80665 x 120 / (100129 x 0.6 x 12.566e-6) = 2.2698 m/s."""
    speed = 1.2e-3 * 1.2134 * 9.80665 * 120.0 / (100129.0 * 0.6 * math.pi * 4e-6)
    assert speed == pytest.approx(2.2697, abs=2e-4)
    assert pressure_difference(1.2e6, math.pi * 4.0, AIR) == pytest.approx(1.2134 / 2.0 * speed**2, rel=1e-12)


def test_the_hole_asked_for_has_the_force_asked_for() -> None:
    bore = math.pi * 32.0**2
    diameter = hole_for(1.2e6, bore, 2.0, AIR)
    push = pressure_difference(1.2e6, math.pi * diameter**2 / 4.0, AIR) * bore * 1e-6
    assert push == pytest.approx(2.0, rel=1e-12)


def test_compartments_between_what_closes() -> None:
    first, second = compartments(vented())
    assert (first.name, second.name) == ("nose to bulkhead", "bulkhead to ring")
    # A sharp tip is a point but for rounding.
    assert (first.first, first.last, second.first, second.last) == pytest.approx((0.0, 500.0, 506.0, 790.0), abs=1e-9)
    assert first.vents == second.vents == (4.0,)
    assert second.volume == pytest.approx(math.pi * 32.0**2 * 284.0, rel=1e-12)
    # Bore from 200 to 500 mm, and the inside of the nose: more than nothing, less than 0.54 of a cylinder, which the
    # ogive's outside is, and the shoulder's.
    bore = math.pi * 32.0**2 * 300.0
    assert bore < first.volume < bore + 0.54 * math.pi * 33.0**2 * 200.0 + math.pi * 30.0**2 * 60.0


def test_vented_passes() -> None:
    found = checked(vented())
    assert [one.status for one in found] == ["pass", "pass"]
    assert all("holes as one of 4.00 mm" in (one.value or "") for one in found)
    assert all("keeps the force at 2 N" in one.note for one in found)


def test_without_a_hole_it_warns_and_says_which_would_do() -> None:
    found = checked(airframe_rocket())
    assert [(one.status, one.value) for one in found] == [("warn", "no hole")] * 2
    assert "drill one hole of 3 to 4 mm" in found[0].note


def test_a_hole_elsewhere_is_no_vent_of_the_compartment() -> None:
    # 60 mm into the booster tube is 510 mm, in the aft compartment; 20 mm is 470 mm, in the forward one.
    assert [len(one.vents) for one in compartments(vented("60 mm"))] == [1, 1]
    assert [len(one.vents) for one in compartments(vented("20 mm"))] == [2, 0]


@pytest.mark.parametrize(
    ("diameter", "status"), [("0.3 mm", "fail"), ("2 mm", "warn"), ("3 mm", "pass"), ("9 mm", "warn")]
)
def test_statuses(diameter: str, status: str) -> None:
    assert {one.status for one in checked(vented(diameter=diameter))} == {status}


def test_nothing_that_closes_is_not_stated() -> None:
    rocket = vented()
    open_ended = replace(rocket, items=tuple(one for one in rocket.items if one.name not in ("bulkhead", "ring")))
    (found,) = checked(open_ended)
    assert found.status == "not-stated"
    assert "bulkheads" in found.note
