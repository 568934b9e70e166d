"""Whole rockets, put together from parts, against the 1966 report's equations worked in exact arithmetic.

Source: J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966; NACA Report 1307 for the
sum of both interference factors. Each row of the table names its own. The tolerance is the row's, 1e-9; where the von
Karman nose has a part in it, 1e-7: its fitted chain follows the formula within 1e-6 mm, of a radius of 27 mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from published import by_row, rows

from ferrule.analysis.aero.interference import body_interference
from ferrule.analysis.aero.normal_force import NormalForce, combined
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.stability import Stability, normal_forces, stability
from ferrule.parts.kinds import Fin, NoseCone, Transition, Tube

ROCKETS = rows("rockets.json")
EXACT = 1e-9


def tube(diameter: float, length: float, density: str = "1 g/cm3") -> Tube:
    return Tube.build(
        outside_diameter=f"{diameter} mm",
        inside_diameter=f"{diameter - 2.0} mm",
        length=f"{length} mm",
        density=density,
    )


def fin(root: float, tip: float, semi_span: float, sweep: float) -> Fin:
    return Fin.build(
        root_chord=f"{root} mm",
        tip_chord=f"{tip} mm",
        semi_span=f"{semi_span} mm",
        sweep_length=f"{sweep} mm",
        thickness="3 mm",
        density="680 kg/m3",
    )


def cone(forward: float, aft: float, length: float) -> Transition:
    return Transition.build(
        forward_diameter=f"{forward} mm", aft_diameter=f"{aft} mm", length=f"{length} mm", density="1240 kg/m3"
    )


ROCKET_A = Rocket(
    "A",
    (
        Item(
            "nose", (0.0,), NoseCone.build(profile="tangent-ogive", tip="sharp", length="200 mm", base_diameter="66 mm")
        ),
        Item("tube", (200.0,), tube(66.0, 700.0)),
        Item("fins", (780.0,), fin(120.0, 60.0, 70.0, 50.0), 3, 33.0),
    ),
)

ROCKET_B = Rocket(
    "B",
    (
        Item(
            "nose",
            (0.0,),
            NoseCone.build(
                profile="von-karman", tip="sharp", length="300 mm", base_diameter="54 mm", density="1240 kg/m3"
            ),
        ),
        Item("forward tube", (300.0,), tube(54.0, 200.0)),
        Item("transition", (500.0,), cone(54.0, 75.0, 60.0)),
        Item("aft tube", (560.0,), tube(75.0, 540.0)),
        Item("boat tail", (1100.0,), cone(75.0, 60.0, 50.0)),
        Item("fins", (940.0,), fin(150.0, 75.0, 90.0, 60.0), 4, 37.5),
    ),
)


@cache
def whole(design: Rocket, diameter: float | None = None) -> Stability:
    found = stability(design, diameter)
    assert found is not None
    return found


def station(force: NormalForce) -> float:
    assert force.station is not None
    return force.station


def with_printed_ogive() -> NormalForce:
    """Rocket A with the nose's force at the report's rounded 0.466 L."""
    fins = normal_forces(ROCKET_A)["fins"]
    return combined((NormalForce(2.0, 0.466 * 200.0, "equation 39 as printed"), fins))


def with_carry_over() -> float:
    """Slope of rocket A with what the fins induce on the body, which the report leaves out: (1 + tau)^2 for 1 + tau."""
    forces, factor = normal_forces(ROCKET_A), body_interference(33.0, 70.0)
    return forces["nose"].slope + forces["fins"].slope / factor * factor**2


READ: dict[str, Callable[[], float]] = {
    "cp_transition_cn": lambda: normal_forces(ROCKET_B, 54.0)["transition"].slope,
    "cp_transition_x": lambda: station(normal_forces(ROCKET_B, 54.0)["transition"]),
    "cp_transition_cn_boat": lambda: normal_forces(ROCKET_B, 54.0)["boat tail"].slope,
    "cp_transition_x_boat": lambda: station(normal_forces(ROCKET_B, 54.0)["boat tail"]),
    "rocketA_cna": lambda: whole(ROCKET_A).normal_force.slope,
    "rocketA_xcp": lambda: station(whole(ROCKET_A).normal_force),
    "rocketA_xcp466": lambda: station(with_printed_ogive()),
    "rocketA_cna_1307": with_carry_over,
    "rocketB_cna_dref54": lambda: whole(ROCKET_B, 54.0).normal_force.slope,
    "rocketB_xcp_dref54": lambda: station(whole(ROCKET_B, 54.0).normal_force),
    "rocketB_cna_dref75": lambda: whole(ROCKET_B).normal_force.slope,
    "rocketB_xcp_dref75": lambda: station(whole(ROCKET_B).normal_force),
    "rocketB_fins_cna": lambda: normal_forces(ROCKET_B, 54.0)["fins"].slope,
}
FITTED = {"rocketB_xcp_dref54", "rocketB_xcp_dref75"}


def test_every_row_of_the_table_is_read() -> None:
    assert [row["id"] for row in ROCKETS] == list(READ)


@by_row(ROCKETS)
def test_a_rocket_of_parts_is_the_worked_one(row: dict[str, Any]) -> None:
    tolerance = 1e-7 if row["id"] in FITTED else row["tolerance"]["rel"]
    assert READ[row["id"]]() == pytest.approx(row["value"], rel=tolerance)


@pytest.mark.parametrize(("forward", "aft"), [(54.0, 75.0), (75.0, 54.0), (66.0, 40.0), (40.0, 66.0)])
@pytest.mark.parametrize("length", [5.0, 60.0, 300.0])
def test_a_transition_has_the_reports_slope_and_station(forward: float, aft: float, length: float) -> None:
    """Equations 14 and 15, and 44: X = L/3 (1 + (1 - d1/d2) / (1 - (d1/d2)^2))."""
    ahead = Item("ahead", (0.0,), tube(forward, 200.0))
    found = normal_forces(Rocket("t", (ahead, Item("cone", (200.0,), cone(forward, aft, length)))), 66.0)["cone"]
    ratio = forward / aft
    assert found.slope == pytest.approx(2.0 * (aft**2 - forward**2) / 66.0**2, rel=EXACT)
    expected = 200.0 + length / 3.0 * (1.0 + (1.0 - ratio) / (1.0 - ratio**2))
    assert station(found) == pytest.approx(expected, rel=EXACT)


@pytest.mark.parametrize("diameter", [10.0, 54.0, 60.0, 150.0])
def test_the_reference_diameter_moves_neither_the_centre_of_pressure_nor_the_margin(diameter: float) -> None:
    own, other = whole(ROCKET_B), whole(ROCKET_B, diameter)
    assert own.reference_diameter == 75.0
    assert other.reference_diameter == diameter
    assert station(other.normal_force) == pytest.approx(station(own.normal_force), rel=1e-12)
    assert other.margin == pytest.approx(own.margin, rel=1e-12)
    assert other.margin_percent == pytest.approx(own.margin_percent, rel=1e-12)
    assert own.margin_calibres is not None
    # Calibres and coefficients are what it is for.
    assert other.margin_calibres == pytest.approx(own.margin_calibres * 75.0 / diameter, rel=1e-12)
    assert other.normal_force.slope == pytest.approx(own.normal_force.slope * (75.0 / diameter) ** 2, rel=1e-12)
    assert other.notes == own.notes


def test_a_waist_keeps_its_couple() -> None:
    """A waist in rocket A, 66 to 50 mm and back over 60 mm each, by the report's equations for its two cones.

    Their forces cancel, 2 (d1^2 - d2^2) / d^2, and turn the body: the first acts downwards at its own station ahead of
    the second, which moves the centre of pressure aft by slope times the distance over the slope of the whole.
    """
    nose, _, fins = ROCKET_A.items
    front, rear = Item("front", (200.0,), tube(66.0, 300.0)), Item("rear", (620.0,), tube(66.0, 280.0))
    down, up = Item("down", (500.0,), cone(66.0, 50.0, 60.0)), Item("up", (560.0,), cone(50.0, 66.0, 60.0))
    found = whole(Rocket("waist", (nose, front, down, up, rear, fins)))
    slope = 2.0 * (66.0**2 - 50.0**2) / 66.0**2
    ratio = 50.0 / 66.0
    centre = 20.0 * (1.0 + (1.0 - ratio) / (1.0 - ratio**2))  # from the small end, equation 44
    # The two stations lie as far apart as twice their distance from the waist's middle.
    apart = 2.0 * centre
    plain = whole(ROCKET_A).normal_force
    assert found.normal_force.slope == pytest.approx(plain.slope, rel=EXACT)
    assert station(found.normal_force) == pytest.approx(station(plain) + slope * apart / plain.slope, rel=EXACT)


def test_the_margin_is_the_centre_of_pressure_behind_the_centre_of_gravity() -> None:
    """Rocket B's centre of gravity from the moments of the same parts, item by item."""
    found = whole(ROCKET_B)
    moment = mass = 0.0
    for item in ROCKET_B.items:
        assert item.part is not None
        moments = item.volume_moments()
        density = item.part.density_in_use()
        assert density is not None
        mass += moments.volume * density
        moment += moments.first[0] * density
    assert found.mass is not None
    assert found.mass.mass == pytest.approx(mass, rel=1e-12)
    assert found.margin == pytest.approx(896.54323025888 - moment / mass, abs=1e-3)
    assert found.mass.basis == "estimated"
    assert math.isclose(found.length, 1150.0)


def test_a_payload_moves_the_margin_by_its_lever() -> None:
    """500 g at the nose tip and the same at the tail: the margins differ by mass times distance over the whole mass."""
    bare = whole(ROCKET_B)
    assert bare.mass is not None
    margins = []
    for place in (0.0, 1150.0):
        loaded = whole(replace(ROCKET_B, items=(*ROCKET_B.items, Item("payload", (place,), stated_mass=500.0))))
        assert loaded.margin is not None
        margins.append(loaded.margin)
    assert margins[0] - margins[1] == pytest.approx(500.0 * 1150.0 / (bare.mass.mass + 500.0), rel=EXACT)
