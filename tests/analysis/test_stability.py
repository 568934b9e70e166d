"""Centre of pressure and margin of whole rockets: what must hold for any rocket, and one worked by hand.

Source of the method: J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966; what the
rules below follow from is its equations 12 to 15, 29, 57 to 59 and 76 to 80.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from rocket_samples import fin_part, nose_part, rocket, tube_part

from ferrule.analysis.aero.body import Skin, body_normal_force
from ferrule.analysis.aero.normal_force import NormalForce, combined
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.stability import Stability, normal_forces, stability
from ferrule.parts.curve import Line

EXACT = 1e-10
"""Relative: the same few sums in another order."""


def found_for(design: Rocket) -> Stability:
    found = stability(design)
    assert found is not None
    return found


def station(found: NormalForce) -> float:
    assert found.station is not None
    return found.station


def test_a_rocket_worked_by_hand() -> None:
    """Centre of pressure 675.89397524098 mm and slope 9.796077349041 (derived from the report in exact arithmetic).

    Centre of gravity by hand: centroids of the ogive 137.13601364, tube 550, fins 780 + 68.8888888889 mm.
    """
    found = found_for(rocket())
    assert found.normal_force.slope == pytest.approx(9.796077349041, rel=1e-9)
    assert station(found.normal_force) == pytest.approx(675.89397524098, rel=1e-9)
    fins = 780.0 + 68.888888888889
    cg = (100.0 * 137.13601364 + 200.0 * 550.0 + 105.0 * fins + 500.0 * 800.0) / 905.0
    assert found.mass is not None
    assert found.mass.cg[0] == pytest.approx(cg, rel=1e-9)
    assert found.margin == pytest.approx(675.89397524098 - cg, rel=1e-8)
    assert found.margin_calibres == pytest.approx((675.89397524098 - cg) / 66.0, rel=1e-8)
    assert found.margin_percent == pytest.approx((675.89397524098 - cg) / 9.0, rel=1e-8)
    assert found.notes == ()


def test_a_rocket_twice_as_large_is_as_stable() -> None:
    small = found_for(rocket())
    large = found_for(
        Rocket(
            "large",
            (
                Item("nose", (0.0,), nose_part(length="400 mm", base_diameter="132 mm"), stated_mass=100.0),
                Item(
                    "tube",
                    (400.0,),
                    tube_part(outside_diameter="132 mm", inside_diameter="128 mm", length="1400 mm"),
                    stated_mass=200.0,
                ),
                Item(
                    "fins",
                    (1560.0,),
                    fin_part(root_chord="240 mm", tip_chord="120 mm", semi_span="140 mm", sweep_length="100 mm"),
                    3,
                    66.0,
                    stated_mass=105.0,
                ),
                Item("payload", (1600.0,), stated_mass=500.0),
            ),
        )
    )
    assert large.normal_force.slope == pytest.approx(small.normal_force.slope, rel=EXACT)
    assert station(large.normal_force) == pytest.approx(2.0 * station(small.normal_force), rel=EXACT)
    assert large.margin_calibres == pytest.approx(small.margin_calibres, rel=1e-8)


def test_moving_everything_aft_moves_both_centres_alike() -> None:
    here = found_for(rocket())
    moved = found_for(
        Rocket("moved", tuple(replace(i, stations=tuple(s + 125.0 for s in i.stations)) for i in rocket().items))
    )
    assert station(moved.normal_force) == pytest.approx(station(here.normal_force) + 125.0, rel=EXACT)
    assert moved.margin == pytest.approx(here.margin, rel=1e-8)


def test_the_whole_is_the_sum_of_its_items() -> None:
    forces = normal_forces(rocket())
    assert set(forces) == {"nose", "tube", "fins"}, "a mass inside meets no air"
    whole = found_for(rocket()).normal_force
    assert whole.slope == pytest.approx(sum(force.slope for force in forces.values()), rel=EXACT)
    moment = sum(force.slope * force.station for force in forces.values() if force.station is not None)
    assert whole.slope * station(whole) == pytest.approx(moment, rel=EXACT)


def test_a_tube_in_two_pieces_changes_nothing() -> None:
    nose, tube, fins, payload = rocket().items
    halves = (
        replace(tube, name="front", part=tube_part(length="300 mm")),
        replace(tube, name="aft", stations=(500.0,), part=tube_part(length="400 mm")),
    )
    split = found_for(Rocket("split", (nose, *halves, fins, payload))).normal_force
    whole = found_for(rocket()).normal_force
    assert split.slope == pytest.approx(whole.slope, rel=EXACT)
    assert station(split) == pytest.approx(station(whole), rel=EXACT)


def test_a_cone_cut_in_two_has_the_force_of_the_cone() -> None:
    area = math.pi * 33.0**2
    whole = body_normal_force(Skin((Line((0.0, 0.0), (200.0, 33.0)),)), None, area)
    tip = Skin((Line((0.0, 0.0), (80.0, 13.2)),))
    rest = Skin((Line((0.0, 13.2), (120.0, 33.0)),), 80.0)
    parts = combined((body_normal_force(tip, None, area), body_normal_force(rest, tip, area)))
    assert parts.slope == pytest.approx(whole.slope, rel=EXACT)
    assert station(parts) == pytest.approx(station(whole), rel=EXACT)


def test_it_does_not_matter_where_a_skin_has_its_origin() -> None:
    """A stepped boat tail written from 0 at 700 mm, and from 40 at 660 mm, is the same boat tail."""
    area = math.pi * 33.0**2
    ahead = Skin((Line((0.0, 33.0), (700.0, 33.0)),))
    here = body_normal_force(Skin((Line((0.0, 30.0), (50.0, 20.0)),), 700.0), ahead, area)
    there = body_normal_force(Skin((Line((40.0, 30.0), (90.0, 20.0)),), 660.0), ahead, area)
    assert there.slope == pytest.approx(here.slope, rel=EXACT)
    assert station(there) == pytest.approx(station(here), rel=EXACT)


WAIST = ((0.0, 33.0), (60.0, 25.0), (120.0, 33.0))
BULGE = ((0.0, 33.0), (60.0, 40.0), (120.0, 33.0))
TRIMMED = ((0.0, 30.0), (60.0, 40.0), (120.0, 33.0))


def chain(points: tuple[tuple[float, float], ...]) -> tuple[Line, ...]:
    return tuple(Line(a, b) for a, b in pairwise(points))


@pytest.mark.parametrize("points", [WAIST, BULGE, TRIMMED])
@pytest.mark.parametrize("tube_radius", [33.0, 30.0])
def test_a_skin_in_one_piece_has_the_force_of_its_pieces(
    points: tuple[tuple[float, float], ...], tube_radius: float
) -> None:
    """Changes of area that cancel leave no force and a couple, with a step at the front or without."""
    area = math.pi * 33.0**2
    ahead = Skin((Line((0.0, tube_radius), (500.0, tube_radius)),))
    whole = body_normal_force(Skin(chain(points), 500.0), ahead, area)
    front, rear = Skin(chain(points)[:1], 500.0), Skin(chain(points)[1:], 500.0)
    parts = (body_normal_force(front, ahead, area), body_normal_force(rear, front, area))
    both = combined(parts)
    assert whole.slope == pytest.approx(both.slope, abs=1e-12)
    assert whole.moment == pytest.approx(both.moment, rel=EXACT)
    assert whole.moment == pytest.approx(sum(part.slope * station(part) for part in parts), rel=EXACT)
    nose = NormalForce(2.0, 90.0, "invented")
    assert station(combined((nose, whole))) == pytest.approx(station(combined((nose, *parts))), rel=EXACT)


def test_a_couple_is_the_volume_that_the_body_swells_by() -> None:
    """Slender bodies: the moment of dA/dx is minus what the volume has beyond the straight tube (derived)."""
    area = math.pi * 33.0**2
    ahead = Skin((Line((0.0, 33.0), (500.0, 33.0)),))
    found = body_normal_force(Skin(chain(BULGE), 500.0), ahead, area)
    swell = 2.0 * (math.pi * 60.0 / 3.0 * (33.0**2 + 33.0 * 40.0 + 40.0**2)) - area * 120.0
    assert found.slope == 0.0
    assert found.station is None
    assert found.couple == pytest.approx(-2.0 * swell / area, rel=EXACT)


def test_a_straight_tube_has_no_couple() -> None:
    tube = Skin((Line((0.0, 33.0), (700.0, 33.0)),), 1000.0)
    assert body_normal_force(tube, tube, math.pi * 33.0**2).moment == 0.0


def test_forces_that_cancel_have_no_place_and_a_couple() -> None:
    pair = (NormalForce(0.1 + 0.2, 100.0, "invented"), NormalForce(-0.3, 400.0, "invented"))
    found = combined(pair)
    assert found.slope == 0.0
    assert found.station is None
    assert found.moment == found.couple == pytest.approx(-90.0)
    third = NormalForce(3.0, 200.0, "invented")
    assert station(combined((found, third))) == pytest.approx(170.0)
    assert station(combined((*pair, third))) == pytest.approx(170.0)


def test_two_sets_of_fins_add() -> None:
    nose, tube, fins, payload = rocket().items
    both = normal_forces(Rocket("canards", (nose, tube, replace(fins, stations=(300.0, 780.0)), payload)))["fins"]
    single = normal_forces(rocket())["fins"]
    assert both.slope == pytest.approx(2.0 * single.slope, rel=EXACT)
    assert station(both) == pytest.approx(station(single) - 240.0, rel=EXACT)


def test_four_fins_have_four_thirds_of_the_force_at_the_same_place() -> None:
    three, four = (normal_forces(rocket(count))["fins"] for count in (3, 4))
    assert four.slope / three.slope == pytest.approx(4.0 / 3.0, rel=EXACT)
    assert station(four) == pytest.approx(station(three), rel=EXACT)
    assert three.notes == four.notes == ()
    assert station(found_for(rocket(4)).normal_force) > station(found_for(rocket(3)).normal_force)


@pytest.mark.parametrize("change", [{"semi_span": "90 mm"}, {"root_chord": "140 mm", "tip_chord": "80 mm"}])
def test_more_fin_aft_puts_the_centre_of_pressure_aft(change: dict[str, str]) -> None:
    nose, tube, fins, payload = rocket().items
    more = found_for(Rocket("more", (nose, tube, replace(fins, part=fin_part(**change)), payload)))
    assert station(more.normal_force) > station(found_for(rocket()).normal_force)


def test_a_tab_inside_the_body_lifts_nothing() -> None:
    nose, tube, fins, payload = rocket().items
    tabbed = replace(fins, part=fin_part(tab_length="80 mm", tab_depth="17 mm", tab_position="20 mm"))
    assert normal_forces(Rocket("tabbed", (nose, tube, tabbed, payload))) == normal_forces(rocket())


@pytest.mark.parametrize("tube_diameter", [60.0, 66.0, 72.0])
def test_a_step_from_nose_to_tube_counts_where_they_meet(tube_diameter: float) -> None:
    """Equations 14 and 15 at no length: the change of area over the reference area, at the joint."""
    tube = tube_part(outside_diameter=f"{tube_diameter} mm", inside_diameter="58 mm")
    forces = normal_forces(Rocket("step", (Item("nose", (0.0,), nose_part()), Item("tube", (200.0,), tube))))
    reference = max(66.0, tube_diameter)
    expected = 2.0 * (tube_diameter**2 - 66.0**2) / reference**2
    assert forces["tube"].slope == pytest.approx(expected, abs=1e-12)
    assert forces["tube"].station == (None if tube_diameter == 66.0 else pytest.approx(200.0))
    # However the areas change on the way, the body as a whole has 2 on its own aft area (equation 12).
    assert sum(force.slope for force in forces.values()) == pytest.approx(2.0 * (tube_diameter / reference) ** 2)


@pytest.mark.parametrize("count", [1, 2])
def test_one_or_two_fins_are_not_counted_and_say_so(count: int) -> None:
    found = found_for(rocket(count))
    assert any(note.startswith(f"{count} fins do not stabilise") for note in found.notes)
    assert found.normal_force.slope == pytest.approx(2.0, rel=EXACT), "the nose alone"


@pytest.mark.parametrize("count", [5, 6, 8])
def test_more_than_four_fins_are_counted_and_say_so(count: int) -> None:
    found = found_for(rocket(count))
    assert any(note.startswith(f"{count} fins: the report treats 3 and 4") for note in found.notes)
    single = normal_forces(rocket(3))["fins"].slope / 3.0
    assert normal_forces(rocket(count))["fins"].slope == pytest.approx(count * single, rel=EXACT)


@pytest.mark.parametrize(("length", "short"), [(459.0, True), (461.0, False)])
def test_a_body_below_ten_diameters_says_so(length: float, short: bool) -> None:
    """10 diameters of 66 mm are 660 mm, of which the nose has 200 (the bound is common practice)."""
    nose, _, fins, payload = rocket().items
    tube = Item("tube", (200.0,), tube_part(length=f"{length} mm"), stated_mass=200.0)
    fins = replace(fins, stations=(200.0 + length - 120.0,))
    found = found_for(Rocket("short", (nose, tube, fins, payload)))
    assert any("below 10" in note for note in found.notes) is short


def test_a_body_without_a_nose_or_without_fins_says_so() -> None:
    nose, tube, fins, payload = rocket().items
    assert any("open end" in note for note in found_for(Rocket("open", (tube, fins, payload))).notes)
    assert "no fins are stated" in found_for(Rocket("bare", (nose, tube, payload))).notes


def test_a_mass_that_is_not_stated_leaves_the_margin_open_but_not_the_centre_of_pressure() -> None:
    found = found_for(rocket(masses=(100.0, None, 105.0, 500.0)))
    assert found.mass is None
    assert found.margin is found.margin_calibres is found.margin_percent is None
    assert station(found.normal_force) == pytest.approx(675.89397524098, rel=1e-9)


def test_a_tube_alone_has_no_centre_of_pressure() -> None:
    found = found_for(Rocket("tube", (Item("tube", (0.0,), tube_part(), stated_mass=200.0),)))
    assert found.normal_force.slope == 0.0
    assert found.normal_force.station is None
    assert found.mass is not None
    assert found.margin is None


def test_without_a_body_there_is_nothing_to_find() -> None:
    *_, fins, payload = rocket().items
    assert stability(Rocket("fins", (fins, payload))) is None
    assert stability(Rocket("empty")) is None


@pytest.mark.parametrize("length", ["240 mm", "240.4 mm", "200 mm", "313.7 mm"])
def test_a_tip_is_no_open_end_whatever_its_rounding(length: str) -> None:
    nose = Item("nose", (0.0,), nose_part(length=length, base_diameter="68.31 mm"))
    assert normal_forces(Rocket("tip", (nose,)))["nose"].notes == ()
