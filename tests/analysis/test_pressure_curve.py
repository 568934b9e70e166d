"""The whole rocket at angles of attack and at speed.

The rocket of 66 mm with the ogive of 200 mm, worked by hand from the equations: body after NACA Report 1048 (from
memory), fins after the 1966 report in attached flow (NASA TN D-3767), speed by the form of the thesis of 1967 (from
memory); the numbers of each alone are in tests/validation.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from rocket_samples import fin_part, nose_part, rocket, tube_part

from ferrule.analysis.aero.at_angle import BEYOND as STEEP
from ferrule.analysis.aero.compressibility import BEYOND as FAST
from ferrule.analysis.aero.cross_flow import CrossFlow
from ferrule.analysis.aero.normal_force import combined
from ferrule.analysis.air_stream import AirStream, air_stream, with_carry_over
from ferrule.analysis.pressure_curve import ANGLES, MACHS, force_at, pressure_curve
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.stability import normal_forces, stability
from ferrule.parts.errors import PartError


def air_of(design: Rocket, reference_diameter: float | None = None) -> AirStream:
    found = air_stream(design, reference_diameter)
    assert found is not None
    return found


def stated(value: float | None) -> float:
    assert value is not None
    return value


AIR = air_of(rocket())
FIVE = math.radians(5.0)


def two_sets() -> Rocket:
    """Two sets of fins, a step and a tube in two pieces."""
    nose, tube, fins, payload = rocket().items
    wide = tube_part(outside_diameter="70 mm", inside_diameter="66 mm", length="300 mm")
    return Rocket(
        "two sets",
        (
            nose,
            replace(tube, part=tube_part(length="400 mm")),
            Item("booster", (600.0,), wide),
            replace(fins, name="canards", stations=(300.0,)),
            replace(fins, radius=35.0),
            payload,
        ),
    )


@pytest.mark.parametrize("design", [rocket(), rocket(4), two_sets()], ids=["three", "four", "two sets"])
def test_at_no_angle_it_is_the_static_margin(design: Rocket) -> None:
    found, margin = force_at(air_of(design), 0.0), stability(design)
    assert margin is not None
    assert found.slope == pytest.approx(margin.normal_force.slope, rel=1e-12)
    assert found.station == pytest.approx(margin.normal_force.station, rel=1e-12)
    assert found.coefficient == 0.0


def test_body_and_fins_apart_are_the_items_together() -> None:
    design = two_sets()
    air, items = air_of(design), normal_forces(design)
    assert combined(air.body).moment == pytest.approx(
        sum(items[name].moment for name in ("nose", "tube", "booster")), rel=1e-12
    )
    assert [one.name for one in air.fins] == ["canards", "fins"]
    assert [one.force for one in air.fins] == [items["canards"], items["fins"]]
    assert combined(air.forces).station == pytest.approx(combined(items.values()).station, rel=1e-12)


def test_at_five_degrees_by_hand() -> None:
    """Body 0.17348290308 at 92.5073470849 mm and 0.14666785324 at its middle; fins 7.796077349041 x sin a cos a."""
    middle = (8847.7313116 * 124.72765316 + 46200.0 * 550.0) / (8847.7313116 + 46200.0)
    terms = (
        (0.17348290307908, 92.5073470849),
        (0.14666785323777, middle),
        (7.796077349041 * math.sin(2.0 * FIVE) / 2.0, 780.0 + 45.5555555556),
    )
    found = force_at(AIR, FIVE)
    whole = sum(value for value, _ in terms)
    assert found.coefficient == pytest.approx(whole, rel=1e-9)
    assert found.station == pytest.approx(sum(value * place for value, place in terms) / whole, rel=1e-9)


def test_at_speed_by_hand() -> None:
    """Mach 0.5: fins 8.02510287598 for 7.796077349041 (from memory), the body as it is."""
    found = force_at(AIR, 0.0, 0.5)
    assert found.slope == pytest.approx(2.0 + 8.02510287598, rel=1e-9)
    assert found.station == pytest.approx(
        (2.0 * 92.5073470849 + 8.02510287598 * 825.555555556) / (2.0 + 8.02510287598), rel=1e-9
    )


def test_the_curve_runs_over_all_angles_and_speeds() -> None:
    curve = pressure_curve(AIR)
    assert [(point.mach, point.force.angle) for point in curve.points] == [(m, a) for m in MACHS for a in ANGLES]
    assert math.degrees(ANGLES[-1]) == pytest.approx(15.0)
    assert (MACHS[0], MACHS[-1]) == (0.0, 0.8)
    assert all(point.force.station is not None for point in curve.points)
    for point in curve.points:
        assert point.force == force_at(AIR, point.force.angle, point.mach)
        assert set(point.force.notes) <= set(curve.notes)


def test_the_centre_of_pressure_goes_forward_with_the_angle_and_aft_with_the_speed() -> None:
    by_angle = [stated(force_at(AIR, angle).station) for angle in ANGLES]
    assert by_angle == sorted(by_angle, reverse=True)
    by_speed = [stated(force_at(AIR, FIVE, mach).station) for mach in MACHS]
    assert by_speed == sorted(by_speed)


def test_the_body_s_share_of_the_fins_puts_it_aft() -> None:
    carried = with_carry_over(AIR)
    assert force_at(carried, 0.0).slope == pytest.approx(12.2938497036, rel=1e-9)  # NACA Report 1307 (derived)
    for angle in ANGLES:
        assert stated(force_at(carried, angle).station) > stated(force_at(AIR, angle).station)
    assert carried.body == AIR.body


def test_less_flow_across_leaves_it_aft() -> None:
    part = force_at(AIR, FIVE, flow=CrossFlow(length_factor=0.7))
    assert stated(part.station) > stated(force_at(AIR, FIVE).station)
    assert part.slope == pytest.approx(stated(force_at(AIR, FIVE).slope) - 0.3 * 0.14666785323777 / math.sin(FIVE))


@pytest.mark.parametrize("diameter", [50.0, 80.0])
def test_the_reference_diameter_moves_nothing(diameter: float) -> None:
    other = air_of(rocket(), diameter)
    for angle in (0.0, FIVE, ANGLES[-1]):
        assert force_at(other, angle, 0.4).station == pytest.approx(force_at(AIR, angle, 0.4).station, rel=1e-12)


def test_outside_the_range_nothing_is_stated() -> None:
    curve = pressure_curve(AIR, (FIVE, math.radians(16.0)), (0.3, 0.9))
    stations = [point.force.station for point in curve.points]
    assert stations[0] is not None
    assert stations[1:] == [None, None, None]
    assert {STEEP, FAST} <= set(curve.notes)
    assert STEEP in curve.points[1].force.notes
    assert curve.points[2].force.notes == (FAST,)


def test_a_body_without_fins_is_not_stated_beyond_either() -> None:
    bare = air_of(Rocket("bare", (Item("nose", (0.0,), nose_part()), Item("tube", (200.0,), tube_part()))))
    assert force_at(bare, FIVE, 0.3).station is not None
    assert force_at(bare, FIVE, 0.9).station is None


def test_no_body_no_air() -> None:
    assert air_stream(Rocket("empty")) is None
    assert air_stream(Rocket("fins only", (Item("fins", (0.0,), fin_part(), 3, 33.0),))) is None


@pytest.mark.parametrize(
    ("angle", "mach", "words"), [(-0.1, 0.0, "angle"), (0.1, -0.2, "mach"), (0.1, math.nan, "mach")]
)
def test_no_such_flight(angle: float, mach: float, words: str) -> None:
    with pytest.raises(PartError, match=f"{words}: must be"):
        force_at(AIR, angle, mach)
