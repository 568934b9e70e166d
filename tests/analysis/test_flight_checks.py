"""Checks of a flight in each of their answers; the figures themselves are held by the tests of each module."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.drag_curve import stated_drag
from ferrule.analysis.flight.bands import flight_bands
from ferrule.analysis.flight.canopy import Canopy
from ferrule.analysis.flight.checks import Flown, Site, flight_checks
from ferrule.analysis.flight.deployment import COUNTED
from ferrule.analysis.flight.fly import fly
from ferrule.analysis.flight.result import Flight, Greatest, NotFlown
from ferrule.analysis.flight.vehicle import Vehicle
from ferrule.analysis.launch import Launch
from ferrule.analysis.limits import Check, limits
from ferrule.analysis.motor import Thrust

MAIN = Canopy("main", 900.0, 0.78, "constructed")
AIR = Atmosphere()


def flight(thrust: float = 270.0, burn: float = 0.9, mass: float = 1450.0) -> Flight:
    curve = Thrust((0.0, 0.05, burn - 0.05, burn), (0.0, thrust, thrust, 0.0))
    found = fly(Vehicle(mass, 0.08 * mass, curve, stated_drag(0.6, 3421.0, "invented")), Launch(), AIR)
    assert isinstance(found, Flight)
    return found


FLIGHT = flight()
WANTED = FLIGHT.coast_time
FLOWN = Flown("H", FLIGHT, (6.0, round(WANTED, 1)), 1.0, 1330.0, 800.0, sideways=2.0, before=(5.0, 10.0, 15.0, 20.0))
SITE = Site(Launch(ceiling=2000.0), AIR, (MAIN,), None, 1200.0, 66.0, 3000.0)


def site(**changed: Any) -> Site:
    return replace(SITE, **changed)


def check(name: str, one: Flown = FLOWN, place: Site = SITE) -> Check:
    (found,) = (found for found in flight_checks([one], place, limits()) if found.name.startswith(name))
    return found


NAMES = (
    "apogee",
    "greatest Mach number",
    "delay",
    "speed at deployment",
    "height at deployment",
    "descent rate at the ground",
    "drift",
    "may leave sight",
)


def test_all_checks_stand_for_each_motor_in_one_order_and_tell_how() -> None:
    found = list(flight_checks([FLOWN, replace(FLOWN, motor="I")], SITE, limits()))
    assert [one.name for one in found] == [f"{name}, {motor}" for motor in ("H", "I") for name in NAMES]
    for one in found:
        assert one.limit
        assert one.source
        assert one.formula
        assert one.inputs
        assert one.value
    assert list(flight_checks([], SITE, limits())) == []


def test_a_sound_flight_passes_with_words() -> None:
    """Nothing is a bare tick: every value has its unit."""
    low = site(length=1500.0, diameter=150.0)
    statuses = {name: check(name, place=low).status for name in NAMES}
    assert set(statuses.values()) == {"pass"}, statuses


def test_without_a_flight_only_the_descent_rate_is_known() -> None:
    unflown = replace(FLOWN, flight=NotFlown("enter the `thrust` of the motor"))
    for name in NAMES:
        found = check(name, unflown)
        if name == "descent rate at the ground":
            assert found.status == "pass"
            assert found.value is not None
            assert "apogee" not in found.value
        else:
            assert (found.status, found.value) == ("not-stated", None)
            assert "enter the `thrust` of the motor" in found.note


@pytest.mark.parametrize("name", ["delay", "speed at deployment", "height at deployment"])
@pytest.mark.parametrize("one", [FLOWN, replace(FLOWN, delays=()), replace(FLOWN, flight=NotFlown("no thrust"))])
def test_wherever_delays_are_told_it_says_from_when_they_count(name: str, one: Flown) -> None:
    assert check(name, one).note.endswith(COUNTED)


def test_apogee_against_the_ceiling() -> None:
    height = FLIGHT.apogee.height
    assert check("apogee", place=site(launch=Launch())).status == "not-stated"
    assert "not stated" in check("apogee", place=site(launch=Launch())).limit
    assert f"{height:.0f} m above the ground" in (check("apogee", place=site(launch=Launch())).value or "")
    assert check("apogee", place=site(launch=Launch(ceiling=height + 1.0))).status == "pass"
    assert check("apogee", place=site(launch=Launch(ceiling=height - 1.0))).status == "fail"
    banded = replace(FLOWN, bands=flight_bands(FLIGHT, (1400.0, 1500.0)))
    close = check("apogee", banded, site(launch=Launch(ceiling=height + 1.0)))
    assert close.status == "warn"
    assert any("thrust 10 % either way" in line and "common practice" in line for line in close.inputs)
    assert check("apogee", banded, site(launch=Launch(ceiling=height * 1.5))).status == "pass"
    assert check("apogee", banded, site(launch=Launch(ceiling=height - 1.0))).status == "fail"


@pytest.mark.parametrize(("mach", "status"), [(0.79, "pass"), (0.81, "warn"), (1.2, "warn")])
def test_mach_against_the_methods(mach: float, status: str) -> None:
    fast = replace(FLIGHT, greatest_mach=Greatest(mach, 1.0, 100.0, 340.0 * mach))
    found = check("greatest Mach number", replace(FLOWN, flight=fast))
    assert found.status == status
    assert found.value == f"Mach {mach:.2f}, {340.0 * mach:.0f} m/s at 100 m"
    assert bool(found.note) == (status != "pass")


@pytest.mark.parametrize(
    ("late", "status"),
    [(0.0, "pass"), (0.9, "pass"), (1.1, "warn"), (4.1, "fail"), (-0.9, "pass"), (-1.1, "warn"), (-4.1, "fail")],
)
def test_delay_against_the_one_that_is_wanted(late: float, status: str) -> None:
    found = check("delay", replace(FLOWN, delays=(WANTED + late,)))
    assert found.status == status
    assert found.value is not None
    assert f"{abs(late):.1f} s {'late' if late >= 0.0 else 'early'}" in found.value
    assert f"{WANTED:.1f} s wanted" in found.value
    assert "keep it within 20 m/s" in found.note


def test_a_delay_that_is_not_stated_is_asked_for() -> None:
    found = check("delay", replace(FLOWN, delays=()))
    assert found.status == "not-stated"
    assert "enter the `delays`" in found.note
    assert found.value == f"{WANTED:.1f} s wanted"
    across = check("delay", replace(FLOWN, sideways=25.0))
    assert "no delay keeps it within 20 m/s" in across.note


def test_a_motor_that_burns_past_the_apogee_has_no_delay() -> None:
    feeble = Thrust((0.0, 0.5, 0.6, 3.0), (60.0, 60.0, 2.0, 0.0))
    found = fly(Vehicle(1450.0, 50.0, feeble, stated_drag(0.6, 3421.0, "invented")), Launch(), AIR)
    assert isinstance(found, Flight)
    assert found.coast_time < 0.0
    one = check("delay", replace(FLOWN, flight=found))
    assert (one.status, one.value) == ("fail", "the motor still burns at the apogee")
    for name in ("speed at deployment", "height at deployment"):
        after = check(name, replace(FLOWN, flight=found))
        assert (after.status, after.value) == ("not-stated", None)
        assert "still burns at the apogee" in after.note


@pytest.mark.parametrize(
    ("late", "tolerance", "status"),
    [
        (0.0, 1.0, "pass"),
        (0.0, 2.5, "warn"),
        (1.7, 0.1, "warn"),
        (-1.7, 0.1, "warn"),
        (2.5, 0.1, "fail"),
        (-2.5, 0.1, "fail"),
    ],
)
def test_speed_at_deployment(late: float, tolerance: float, status: str) -> None:
    """Free fall: 15 m/s are 1.53 s, 20 m/s 2.04 s from the apogee, a little more on the way down."""
    one = replace(FLOWN, delays=(WANTED + late,), delay_tolerance=tolerance, sideways=None)
    found = check("speed at deployment", one)
    assert found.status == status
    assert "speed across is not counted" in found.formula
    assert found.value is not None
    assert "m/s" in found.value
    if status != "pass" and late:
        assert found.note.startswith("it falls fast" if late > 0.0 else "it still climbs fast")


def test_speed_and_height_without_a_delay_are_those_of_the_wanted_one() -> None:
    one = replace(FLOWN, delays=(), delay_tolerance=None)
    for name in ("speed at deployment", "height at deployment"):
        found = check(name, one)
        assert found.status == "not-stated"
        assert f"{FLIGHT.apogee.height:.0f} m" in (found.value or "")
        assert "the wanted delay, because none is stated" in found.note
        assert any("common practice" in line for line in found.inputs)


def test_height_at_deployment() -> None:
    low = flight(thrust=60.0, burn=1.2)
    assert low.apogee.height < 100.0
    near = replace(FLOWN, flight=low, delays=(low.coast_time,), delay_tolerance=0.2)
    assert check("height at deployment", near).status == "warn"
    late = replace(near, delays=(low.coast_time + 30.0,))
    assert check("height at deployment", late).status == "fail"
    assert check("speed at deployment", late).status == "fail"
    # High enough at the delay, and at the end of its tolerance no more.
    late_by = next(t / 10.0 for t in range(300) if FLIGHT.height_speed_at(FLIGHT.apogee.time + t / 10.0)[0] < 90.0)
    assert check("height at deployment", replace(FLOWN, delays=(WANTED,), delay_tolerance=late_by)).status == "warn"
    # Not down yet at the delay, but at the end of its tolerance.
    assert check("height at deployment", replace(near, delay_tolerance=30.0)).status == "fail"
    assert check("height at deployment").status == "pass"


@pytest.mark.parametrize(("diameter", "status"), [(2000.0, "warn"), (900.0, "pass"), (700.0, "warn"), (500.0, "fail")])
def test_descent_rate(diameter: float, status: str) -> None:
    """1.33 kg, C_D 0.78: 3 m/s, 6.6, 8.4 and 11.8 m/s (v goes with 1 / D)."""
    found = check("descent rate at the ground", place=site(canopies=(Canopy("main", diameter, 0.78, "constructed"),)))
    assert found.status == status
    assert found.value is not None
    assert " J of the heaviest section" in found.value
    if status != "pass":
        assert "4.5 m/s needs" in found.note
        assert "7.5 m/s needs" in found.note


def test_descent_rate_that_is_wanted_gives_a_size() -> None:
    """D = 900 mm x v / 6 m/s, since v goes with 1 / D."""
    found = check("descent rate at the ground", place=site(wanted_descent=6.0))
    speed = float((found.value or "").split()[0])
    (size,) = (part for part in found.note.split("; ") if part.startswith("6 m/s needs"))
    assert float(size.split()[3]) == pytest.approx(900.0 * speed / 6.0, abs=1.5)


def test_descent_rate_of_a_coefficient_that_no_canopy_has_warns() -> None:
    found = check("descent rate at the ground", place=site(canopies=(Canopy("main", 650.0, 1.5, "constructed"),)))
    assert found.status == "warn"
    assert "may refer to the projected area" in found.note
    fine = check("descent rate at the ground", place=site(canopies=(Canopy("main", 650.0, 1.5, "projected"),)))
    assert fine.status == "pass"


@pytest.mark.parametrize(
    ("canopies", "mass", "words"),
    [
        ((), 1330.0, "[[parachute]]"),
        ((Canopy("main", None, 0.8, "constructed"),), 1330.0, "`diameter` of main"),
        ((Canopy("main", 900.0, None, "constructed"),), 1330.0, "`drag_coefficient` of main"),
        ((MAIN,), None, "the mass of every item"),
    ],
)
def test_what_the_way_down_needs_is_asked_for(canopies: tuple[Canopy, ...], mass: float | None, words: str) -> None:
    one, place = replace(FLOWN, descending=mass), site(canopies=canopies)
    for name in ("descent rate at the ground", "drift"):
        found = check(name, one, place)
        assert (found.status, found.value) == ("not-stated", None)
        assert words in found.note


def test_an_area_that_is_not_stated_shows_its_figure_and_does_not_pass() -> None:
    place = site(canopies=(Canopy("main", 900.0, 0.78),))
    for name in ("descent rate at the ground", "drift"):
        found = check(name, place=place)
        assert found.status == "not-stated"
        assert found.value is not None
        assert "`drag_area`" in found.note


def test_the_band_of_the_descent_rate_is_told() -> None:
    bands = flight_bands(FLIGHT, canopies=(MAIN,), descending=1330.0)
    found = check("descent rate at the ground", replace(FLOWN, bands=bands))
    assert "with the spread of its inputs" in (found.value or "")


def test_drift_against_the_field() -> None:
    """Radius = wind x time + way before, from the figures that the check tells itself."""
    shown = check("drift", place=site(field=None))
    assert shown.status == "not-stated"
    assert "measure the field" in shown.note
    time = float((shown.value or "").split("; ")[1].split()[0])
    radii = [float(part.split()[0]) for part in (shown.value or "").split("; ")[0].split(", ")]
    # The time is told to the second, so half a second times the wind is left.
    for wind, way, radius in zip((2.0, 4.0, 6.0, 8.0), (5.0, 10.0, 15.0, 20.0), radii, strict=True):
        assert radius == pytest.approx(wind * time + way, abs=wind / 2.0 + 0.5)
    assert check("drift", place=site(field=radii[-1] + 1.0)).status == "pass"
    some = check("drift", place=site(field=radii[1] + 1.0))
    assert some.status == "warn"
    assert some.note.startswith("it stays inside up to 4 m/s")
    assert check("drift", place=site(field=radii[0] - 1.0)).status == "fail"
    assert "boost" in check("drift", replace(FLOWN, before=None)).note
    assert check("drift", replace(FLOWN, before=None), site(launch=Launch(winds=()))).status == "not-stated"


def test_sight() -> None:
    small = check("may leave sight", place=site(length=600.0, diameter=40.0))
    assert small.status == "warn"
    assert small.note.startswith("the rocket side on at the apogee in still air may leave sight")
    gale = site(length=3000.0, diameter=300.0, launch=Launch(winds=(30.0,)))
    far = check("may leave sight", replace(FLOWN, before=None), gale)
    assert far.status == "warn"
    assert far.note.startswith("the open parachute as it lands in 30 m/s may leave sight")
    assert check("may leave sight", place=site(length=3000.0, diameter=300.0)).status == "pass"
    assert check("may leave sight", place=site(length=None)).status == "not-stated"
    # The larger canopy, open to 0.67 of its 900 mm, where the check of the drift says that it lands.
    two = site(canopies=(Canopy("small", 300.0, 0.78, "constructed"), MAIN), launch=Launch(winds=(8.0,)))
    one = replace(FLOWN, before=None)
    radius = float((check("drift", one, two).value or "").split()[0])
    told = (check("may leave sight", one, two).value or "").split("in 8 m/s ")[1].split()
    assert float(told[-2]) == radius
    assert float(told[0]) == pytest.approx(0.603 / radius * 180.0 / math.pi * 60.0, abs=0.06)
    alone = check("may leave sight", place=site(canopies=(), length=3000.0, diameter=300.0))
    assert alone.status == "pass"
    assert "parachute" not in (alone.value or "")


def test_the_limits_have_their_marks() -> None:
    rules = limits()
    assert (rules["descent_rate"].warn_below, rules["descent_rate"].warn_above) == (4.5, 7.5)
    assert (rules["deployment_speed"].warn_above, rules["deployment_speed"].fail_above) == (15.0, 20.0)
    assert rules["greatest_mach"].warn_above == 0.8
    for name in ("delay_error", "deployment_height", "angular_size"):
        assert "common practice" in rules[name].source


@pytest.mark.search
@given(
    mass=st.floats(100.0, 20_000.0),
    thrust=st.floats(1.0, 5_000.0),
    burn=st.floats(0.2, 6.0),
    drag=st.floats(0.0, 3.0),
    diameter=st.floats(10.0, 5_000.0),
    delay=st.floats(0.1, 60.0),
    sideways=st.floats(0.0, 60.0),
    altitude=st.floats(-500.0, 5_000.0),
)
@example(1450.0, 60.0, 0.3, 0.0, 900.0, 5.0, 0.0, 0.0)
def test_no_flight_gives_a_figure_that_is_none(
    mass: float,
    thrust: float,
    burn: float,
    drag: float,
    diameter: float,
    delay: float,
    sideways: float,
    altitude: float,
) -> None:
    air = Atmosphere(altitude)
    curve = Thrust((0.0, 0.1 * burn, burn), (0.0, thrust, 0.0))
    vehicle = Vehicle(mass, 0.1 * mass, curve, stated_drag(drag, 3421.0, "invented"), 1500.0)
    found = fly(vehicle, Launch(altitude), air)
    bands = None if isinstance(found, NotFlown) else flight_bands(found, (0.9 * mass, 1.1 * mass))
    one = Flown("M", found, (delay,), None, 0.9 * mass, None, bands, sideways)
    place = Site(Launch(altitude), air, (Canopy("main", diameter, 0.8, "constructed"),), None, 1000.0, 66.0)
    checks = list(flight_checks([one], place, limits()))
    assert len(checks) == len(NAMES)
    for told in checks:
        assert told.status in ("pass", "warn", "fail", "not-stated")
        text = " ".join((told.value or "", told.note, told.formula, *told.inputs))
        assert not re.search(r"\b(nan|inf)\b", text), text
