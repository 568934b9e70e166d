"""Joints that release: pins, drag separation, air shut in and the lift by the nose, against sums by hand.

Source: statics; US Standard Atmosphere 1976 by the library `fluids`; the leak of a vented bay against its differential
equation by scipy. Forces of nylon pins are common practice.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from fluids import ATMOSPHERE_1976
from hypothesis import given
from hypothesis import strategies as st
from loaded_samples import RECOVERY, RELEASES, flight, loaded_rocket
from rocket_samples import tube_part
from scipy.integrate import solve_ivp

from ferrule.analysis.demands import Demands
from ferrule.analysis.limits import Check
from ferrule.analysis.loads.parting import partings
from ferrule.analysis.loads.recovery_loads import structure_checks
from ferrule.analysis.loads.separation import separation_force
from ferrule.analysis.loads.stated import Force, Pins, StatedLoads
from ferrule.analysis.loads.trapped_air import DISCHARGE, bay_at, vented_pressure
from ferrule.analysis.rocket import Rocket

GRAVITY = 9.80665
JOINT = "coupler to booster tube"


def run(rocket: Rocket | None = None, at: Demands | None = None, **stated: Any) -> dict[str, Check]:
    found = structure_checks(rocket or loaded_rocket(), RECOVERY, [at or flight()], StatedLoads(**stated))
    return {check.name.removeprefix(f"joint {JOINT}: "): check for check in found if JOINT in check.name}


def pinned(size: str = "#2-56", count: int = 3) -> dict[str, Pins]:
    return {JOINT: Pins(size, count)}


# --- pins -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("count", "status"), [(1, "fail"), (2, "warn"), (3, "pass"), (4, "pass")])
def test_never_one_pin(count: int, status: str) -> None:
    check = run(pins=pinned(count=count))["shear pins"]
    assert check.status == status
    assert check.value == f"{count} x #2-56: hold {85 * count} N at least, may take {150 * count} N to open"


def test_both_forces_of_a_pin_are_shown() -> None:
    found = run(pins=pinned())
    both = "85 N each for what must hold, 150 N each for what must open"
    for name in ("shear pins", "lifted by the nose", "drag separation", "opens"):
        assert both in " ".join(found[name].inputs), name


def test_a_size_that_the_table_does_not_have_is_not_stated() -> None:
    found = run(pins=pinned("M3"), opening_force={JOINT: Force(900.0, "the maker's sheet")})
    assert {found[name].status for name in ("shear pins", "lifted by the nose", "opens")} == {"not-stated"}
    assert "#2-56, #4-40, #6-32" in found["shear pins"].note


def test_without_pins_there_is_no_count() -> None:
    assert "shear pins" not in run()


# --- lifted by the nose -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("holds", "status"), [(None, "not-stated"), (17.0, "fail"), (18.0, "pass")])
def test_it_holds_twice_the_weight_below(holds: float | None, status: str) -> None:
    """1,200 g less 320 g ahead: 880 g, 8.63 N, twice 17.26 N."""
    check = run(holding_force={} if holds is None else {JOINT: holds})["lifted by the nose"]
    assert check.status == status
    if holds is None:
        assert check.value == "load 8.63 N, what is borne is not stated"
        assert check.note.startswith("lift the rocket by its nose: the joint holds, twice its weight below, 17.3 N")
    else:
        assert check.value == f"load 8.63 N against {holds:.3g} N borne, {holds / (0.88 * GRAVITY):.3g} times"


def test_pins_hold_and_friction_does_not_count_beside_them() -> None:
    check = run(pins=pinned(), holding_force={JOINT: 20.0})["lifted by the nose"]
    assert "against 255 N borne" in str(check.value)


# --- opening ----------------------------------------------------------------------------------------------------------


def test_what_opens_it_is_not_stated_unless_somebody_stands_for_it() -> None:
    for stated in ({}, {"opening_force": {JOINT: Force(900.0, "  ")}}):
        check = run(pins=pinned(), **stated)["opens"]
        assert (check.status, check.value) == ("not-stated", None)
        assert "the motor's maker states, or that a test run by a mentor has shown" in check.note
        assert "pins alone may take 450 N" in check.note


@pytest.mark.parametrize(("force", "status"), [(400.0, "fail"), (700.0, "warn"), (1000.0, "pass")])
def test_a_stated_force_against_pins_and_friction(force: float, status: str) -> None:
    """3 x 150 N and 20 N of friction."""
    stated = {"pins": pinned(), "holding_force": {JOINT: 20.0}}
    check = run(opening_force={JOINT: Force(force, "test run by a mentor")}, **stated)["opens"]
    assert (check.status, check.value) == (
        status,
        f"load 470 N against {force:.0f} N that opens it, {force / 470.0:.3g} times",
    )
    assert f"{force:.0f} N opens it (test run by a mentor)" in check.inputs
    assert "test run by a mentor" in check.source
    assert any("retainer must hold more" in one for one in check.inputs)


@pytest.mark.parametrize(("force", "status"), [(400.0, "fail"), (600.0, "warn"), (1000.0, "not-stated")])
def test_pins_without_the_friction_of_the_joint_never_pass(force: float, status: str) -> None:
    """450 N of pins alone: what they do not bear is told, but nothing passes."""
    check = run(pins=pinned(), opening_force={JOINT: Force(force, "test run by a mentor")})["opens"]
    assert check.status == status
    if status == "not-stated":
        assert check.note.startswith("enter the friction of the joint: the force at which it slides without its pins")


def test_a_tape_fit_needs_its_friction() -> None:
    force = {JOINT: Force(100.0, "the maker's sheet")}
    assert run(opening_force=force)["opens"].status == "not-stated"
    assert run(opening_force=force, holding_force={JOINT: 20.0})["opens"].status == "pass"


# --- drag separation --------------------------------------------------------------------------------------------------


@given(
    st.floats(0.0, 1e3),
    st.floats(1.0, 1e4),
    st.floats(1.0, 1e4),
    st.floats(0.0, 1.0),
)
def test_both_sides_of_the_joint_slow_down_alike(drag: float, ahead: float, behind: float, share: float) -> None:
    """Newton's second law of each side with the force that was found: the same deceleration."""
    pull = separation_force(drag, ahead, ahead + behind, share)
    assert (share * drag + pull) / ahead == pytest.approx(((1.0 - share) * drag - pull) / behind, rel=1e-9, abs=1e-9)


def test_drag_separation_by_hand() -> None:
    """320 g ahead and the parachute's 100 g, which runs forward: 9 N x (420 / 1100 - 0.2) = 1.64 N."""
    check = run(holding_force={JOINT: 20.0})["drag separation"]
    assert check.value == f"load 1.64 N against 20 N borne, {20.0 / (9.0 * (420.0 / 1100.0 - 0.2)):.3g} times"
    assert "100 g loose behind it that run forward onto it: parachute" in check.inputs
    assert "20 % of the drag acts ahead of the joint" in check.inputs
    assert run()["drag separation"].status == "not-stated"


def test_a_share_that_is_not_known_is_taken_as_none() -> None:
    check = run(at=flight(nose_drag_share=None), holding_force={JOINT: 4.0})["drag separation"]
    assert (check.status, check.value) == (
        "warn",
        f"load 3.44 N against 4 N borne, {4.0 / (9.0 * 420.0 / 1100.0):.3g} times",
    )
    assert any("taken as none" in one for one in check.inputs)
    assert run(at=flight(nose_drag_share=None), holding_force={JOINT: 2.0})["drag separation"].status == "fail"


def test_a_blunt_nose_is_pushed_on() -> None:
    check = run(at=flight(nose_drag_share=0.5))["drag separation"]
    assert (check.status, check.value) == ("pass", "pushed together by 1.06 N")


def test_what_lies_loose_pushes_a_joint_open_that_drag_alone_would_close() -> None:
    """9 N x (320 / 1100 - 0.35) is a push of 0.53 N; with the parachute it is a pull of 0.29 N."""
    assert separation_force(9.0, 320.0, 1100.0, 0.35) < 0.0
    check = run(at=flight(nose_drag_share=0.35), holding_force={JOINT: 4.0})["drag separation"]
    assert str(check.value).startswith("load 0.286 N")


def test_a_disc_stops_what_is_loose_behind_it() -> None:
    """Behind the foremost ring at 850 mm the parachute runs onto that ring, and closes the joint no less."""
    rocket = loaded_rocket()
    items = tuple(replace(one, stations=(900.0,)) if one.name == "parachute" else one for one in rocket.items)
    check = run(Rocket("", items), holding_force={JOINT: 4.0})["drag separation"]
    assert str(check.value).startswith("load 0.818 N")
    assert "0 g loose behind it that run forward onto it: nothing" in check.inputs


def test_what_is_loose_must_be_weighed() -> None:
    rocket = loaded_rocket()
    items = tuple(replace(one, stated_mass=None) if one.name == "parachute" else one for one in rocket.items)
    check = run(Rocket("", items), at=flight(nose_drag_share=0.5))["drag separation"]
    assert (check.status, check.note) == (
        "not-stated",
        "enter the mass of parachute, which runs forward and pushes the joint open",
    )


def test_a_second_joint_that_releases_carries_all_that_is_ahead_of_it() -> None:
    joints = tuple(
        replace(one, state="releases") if one.between == ("nose", "payload tube") else one for one in RECOVERY.joints
    )
    nose, booster = partings(loaded_rocket(), replace(RECOVERY, joints=joints), flight())
    assert (nose.mass_ahead, nose.mass_loose, nose.loose) == (100.0, 80.0, ("payload",))
    assert (booster.mass_ahead, booster.mass_loose, booster.loose) == (320.0, 100.0, ("parachute",))


# --- air shut in ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("height", "force"), [(300.0, 16.0), (600.0, 32.0), (900.0, 47.0)])
def test_a_bay_without_a_vent_keeps_the_pressure_of_the_ground(height: float, force: float) -> None:
    """76 mm bore, standard atmosphere: 16, 32 and 47 N as the trade quotes them (common practice), to 1 N."""
    tube = tube_part(outside_diameter="78.7 mm", inside_diameter="76.2 mm", length="600 mm")
    at = flight(ground_pressure=ATMOSPHERE_1976(0.0).P, apogee_pressure=ATMOSPHERE_1976(height).P, apogee=height)
    check = run(loaded_rocket(booster_tube=tube), at)["air shut in"]
    assert check.status == "not-stated"
    value = float(str(check.value).split()[1])
    assert value == pytest.approx(force, abs=1.0)
    # Pressure times area, to the three figures that are shown.
    drop = at.ground_pressure - at.apogee_pressure
    assert value == pytest.approx(drop * math.pi / 4.0 * 0.0762**2, rel=5e-3)
    assert check.note.startswith("drill a vent")


@pytest.mark.parametrize(("holds", "status"), [(10.0, "fail"), (30.0, "warn"), (50.0, "pass")])
def test_what_the_joint_holds_against_it(holds: float, status: str) -> None:
    """6,325 Pa on 64 mm: 20.3 N."""
    check = run(holding_force={JOINT: holds})["air shut in"]
    assert check.status == status
    assert str(check.value).startswith("load 20.3 N")


def vented() -> Rocket:
    rocket = loaded_rocket()
    drilled = tube_part(length="600 mm", hole_positions=("100 mm",), hole_diameter="4 mm")
    items = tuple(replace(one, part=drilled) if one.name == "booster tube" else one for one in rocket.items)
    return Rocket("", items)


def test_with_a_vent_it_equalises() -> None:
    """Between the bulkhead's aft face at 406 and the foremost ring at 850 mm; 4 mm are 12.6 mm2."""
    (parting,) = partings(vented(), RECOVERY, flight())
    bay = bay_at(vented(), RECOVERY, parting)
    assert bay is not None
    assert (bay.length, bay.vents, bay.bore) == (444.0, (4.0,), 64.0)
    check = run(vented())["air shut in"]
    assert check.status == "pass"
    assert str(check.value).endswith("below 1 N: negligible, whatever the joint holds")
    assert any("1 vent of 12.6 mm2 in all" in one and "equalises" in one for one in check.inputs)


def test_what_air_shut_in_needs_the_joint_to_hold_is_not_assumed() -> None:
    """The load of a leak goes with the speed squared: ten times as fast it is 1.5 N, and a joint not pulled unknown."""
    check = run(vented(), flight(speed=1250.0))["air shut in"]
    assert (check.status, check.value) == ("not-stated", "load 1.54 N, what is borne is not stated")
    assert check.note.startswith("enter the force that the joint holds, as pulled with a scale, at least 3.09 N")
    assert run(vented(), flight(speed=1250.0), holding_force={JOINT: 4.0})["air shut in"].status == "pass"


def test_the_leak_of_a_bay_solves_its_equation() -> None:
    """A bay of one litre with a hole of 1 mm2 that climbs at 100 m/s through air of one temperature.

    dm/dt = -C_d a sqrt(2 rho dp), p = m R T / V; settled after 4 s within 3 %: pressure and density of the air outside
    have changed by as much while it lags behind.
    """
    gas, temperature, volume, area, speed = 287.05, 288.15, 1e-3, 1e-6, 100.0

    def outside(t: float) -> float:
        return 101_325.0 * math.exp(-GRAVITY * speed * t / (gas * temperature))

    def leak(t: float, mass: Any) -> Any:
        over = np.maximum(mass * gas * temperature / volume - outside(t), 0.0)
        return -DISCHARGE * area * np.sqrt(2.0 * outside(t) / (gas * temperature) * over)

    start = 101_325.0 * volume / (gas * temperature)
    solved = solve_ivp(leak, (0.0, 4.0), [start], rtol=1e-10, atol=1e-14, method="LSODA")
    over = float(solved.y[0, -1]) * gas * temperature / volume - outside(4.0)
    density = outside(4.0) / (gas * temperature)
    assert vented_pressure(volume, area, speed, outside(4.0), density) == pytest.approx(over, rel=0.03)


def test_a_vented_bay_that_is_open_at_an_end_is_not_stated() -> None:
    rocket = vented()
    items = tuple(one for one in rocket.items if one.name not in ("bulkhead", "eyebolt"))
    joints = tuple(one for one in RECOVERY.joints if "bulkhead" not in one.between)
    recovery = replace(RECOVERY, joints=joints, anchors=RECOVERY.anchors[1:])
    found = {check.name: check for check in structure_checks(Rocket("", items), recovery, [flight()])}
    check = found[f"joint {JOINT}: air shut in"]
    assert check.status == "not-stated"
    assert "no discs close the bay" in check.note


def test_the_joint_is_the_samples() -> None:
    assert RELEASES.words == JOINT
