"""Each term of the drag against values worked by hand from the formula that it names, and what all of them keep."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from rocket_samples import fin_part, nose_part, rocket, tube_part

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.drag.body import DragBody, drag_body
from ferrule.analysis.drag.buttons import stub_coefficient
from ferrule.analysis.drag.compressibility import BEYOND, face_factor, friction_factor, suction_factor
from ferrule.analysis.drag.fin_edges import square_spans
from ferrule.analysis.drag.fin_friction import junction_area
from ferrule.analysis.drag.fin_parts import fin_edges
from ferrule.analysis.drag.flow import flow_at
from ferrule.analysis.drag.skin_friction import (
    LOWEST_REYNOLDS,
    ROUGHNESSES,
    TURNS,
    USUAL_ROUGHNESS,
    laminar,
    rough,
    transition,
    turbulent,
)
from ferrule.analysis.drag.slopes import separated_share
from ferrule.analysis.drag.term import DragTerm
from ferrule.analysis.drag.terms import drag_coefficients, drag_terms
from ferrule.analysis.rocket import FinsInPlace, Item, Rocket
from ferrule.parts.curve import Arc, Line
from ferrule.parts.errors import PartError
from ferrule.parts.kinds import Fin, FinCan, RailButton, Transition
from ferrule.parts.part import Part

AIR = Atmosphere().at(0.0)
SLOW = 40.0
"""A speed at which what the Mach number does is below 2 % [m/s]."""


def of(what: Rocket, roughness: float = 0.0, motor: float | None = None, reference: float | None = None) -> DragBody:
    found = drag_body(what, roughness, motor, reference)
    assert found is not None
    return found


def terms(body: DragBody, speed: float = SLOW, burning: bool = False) -> dict[tuple[str, str], DragTerm]:
    found = drag_terms(body, speed, AIR, burning)
    named = {(term.item, term.name): term for term in found}
    assert len(named) == len(found)
    return named


def total(body: DragBody, speed: float = SLOW) -> float:
    return drag_coefficients(body, speed, AIR)[1]


def body_of(*parts: Part) -> Rocket:
    """Parts with a skin, one behind the other."""
    items, at = [], 0.0
    for number, part in enumerate(parts):
        items.append(Item(f"part {number}", (at,), part))
        at += part.skin()[-1].end[0]
    return Rocket("body", tuple(items))


def transition_part(forward: float, aft: float, length: float, **changes: Any) -> Transition:
    fields = {"forward_diameter": f"{forward} mm", "aft_diameter": f"{aft} mm", "length": f"{length} mm"}
    return Transition.build(**{**fields, "body": "solid", **changes})


def with_fins(part: Part, count: int = 3) -> Rocket:
    nose, tube, *_ = rocket().items
    return Rocket("finned", (nose, tube, Item("fins", (760.0,), part, count, 33.0)))


def button_part(**changes: str) -> RailButton:
    return RailButton.build(**{**RailButton.example, **changes})


# --- friction ---------------------------------------------------------------------------------------------------------


def test_friction_by_hand() -> None:
    """Re by 900 mm at 40 m/s, standard air: 40 x 0.9 x 1.225 / 1.7894e-5 = 2.4645e6; lg 6.39173; Cf 0.0037976.

    0.455 / 6.39173^2.58 = 0.455 / exp(2.58 x 1.855005) = 0.455 / 119.811; with M 0.1175 less by the factor 0.9987.
    """
    found = terms(of(rocket()))["body", "friction"]
    expected = 0.455 / 119.811 * 0.99871 * 1.032549 * 173236.3 / (math.pi * 33.0**2)
    assert found.coefficient == pytest.approx(expected, rel=2e-5)
    assert "turbulent from the front" in found.formula
    assert found.notes == ()


def test_rough_surfaces_set_the_friction_once_their_grains_reach_out_of_the_layer() -> None:
    """l/k = 900 / 0.1 = 9,000: (1.89 + 1.62 x 3.954243)^-2.5 = 8.295873^-2.5 = 0.0050450."""
    found = terms(of(rocket(), 100.0))["body", "friction"]
    assert "rough plate" in found.formula
    expected = 0.0050450 * friction_factor(SLOW / AIR.sound) * 1.032549 * 173236.3 / (math.pi * 33.0**2)
    assert found.coefficient == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("speed", [5.0, 30.0, 100.0, 250.0])
def test_rougher_is_never_less(speed: float) -> None:
    bodies = [of(rocket(), height) for height in (0.0, 1.0, 5.0, 20.0, 50.0, 200.0, 1000.0)]
    frictions = [terms(body, speed)["body", "friction"].coefficient for body in bodies]
    totals = [total(body, speed) for body in bodies]
    assert frictions == sorted(frictions)
    assert totals == sorted(totals)
    assert frictions[-1] > 1.5 * frictions[0]


def test_laminar_is_a_bound_from_below_and_turbulent_one_from_above() -> None:
    """From the least Reynolds number of any of the laws to the greatest of a hobby rocket."""
    for exponent in range(17, 37):
        reynolds = 10.0 ** (exponent / 4.0)
        assert laminar(reynolds) <= transition(reynolds) * (1.0 + 1e-12)
        if reynolds >= 2.0 * LOWEST_REYNOLDS:
            assert transition(reynolds) < turbulent(reynolds)
    assert transition(TURNS / 2.0) == laminar(TURNS / 2.0)
    assert transition(1e9) == pytest.approx(turbulent(1e9), rel=0.002)


def test_a_smooth_plate_has_no_limit_by_roughness_and_the_usual_one_is_in_the_table() -> None:
    assert rough(100.0, 0.0) == 0.0
    assert USUAL_ROUGHNESS in ROUGHNESSES.values()
    assert list(ROUGHNESSES.values()) == sorted(ROUGHNESSES.values())


def test_below_the_lowest_reynolds_number_the_coefficient_stays() -> None:
    """10,000 by 900 mm is 0.16 m/s, and 10,000 by the fins' 93 mm is 1.57 m/s."""
    body = of(rocket())
    assert total(body, 0.0) == pytest.approx(total(body, 0.1), rel=1e-6)
    assert flow_at(0.0, AIR, 0.0).friction(900.0) == pytest.approx(turbulent(LOWEST_REYNOLDS), rel=1e-12)
    assert total(body, 1.0) > total(body, 2.0) > total(body, 20.0)


# --- base -------------------------------------------------------------------------------------------------------------


def test_base_by_hand_with_thrust_and_without() -> None:
    """0.029 / sqrt(0.19897) = 0.065014; a motor of 38 mm leaves 1 - (38/66)^2 = 0.668503 of the base."""
    body = of(rocket(), motor=38.0)
    friction = terms(body)["body", "friction"].coefficient
    coasting, burning = terms(body)["tube", "base"], terms(body, burning=True)["tube", "base, motor burning"]
    assert coasting.coefficient == pytest.approx(0.029 / math.sqrt(friction) * suction_factor(SLOW / AIR.sound))
    assert burning.coefficient == pytest.approx(0.668503 * coasting.coefficient, rel=1e-6)
    powered, unpowered = drag_coefficients(body, SLOW, AIR)
    assert unpowered - powered == pytest.approx(coasting.coefficient - burning.coefficient, rel=1e-9)


def test_a_motor_as_wide_as_the_base_leaves_nothing_of_it() -> None:
    assert terms(of(rocket(), motor=80.0), burning=True)["tube", "base, motor burning"].coefficient == 0.0


def test_without_a_motor_the_jet_fills_nothing_and_a_note_says_so() -> None:
    body = of(rocket())
    assert len(set(drag_coefficients(body, SLOW, AIR))) == 1
    assert any("no motor is stated" in note for note in body.notes)


def test_a_slender_boat_tail_makes_the_base_less_by_the_cube_of_its_diameter() -> None:
    """0.029 (db/d)^3 / sqrt(Cf) of the DATCOM, Cf on the largest cross-section; 66 to 50 mm over 80 mm: 5.7 degrees."""
    body = of(body_of(nose_part(), tube_part(), transition_part(66.0, 50.0, 80.0)))
    found = terms(body)
    assert set(found) == {("body", "friction"), ("part 2", "base")}
    friction = found["body", "friction"].coefficient
    expected = 0.029 * (50.0 / 66.0) ** 3 / math.sqrt(friction) * suction_factor(SLOW / AIR.sound)
    assert found["part 2", "base"].coefficient == pytest.approx(expected, rel=1e-9)


def test_a_steep_boat_tail_is_as_if_it_were_cut_off_at_its_forward_end() -> None:
    """66 to 40 mm over 20 mm is 33 degrees: the base is the whole cross-section, with the friction of all skin."""
    tail = of(body_of(nose_part(), tube_part(), transition_part(66.0, 40.0, 20.0)))
    assert tail.base.acting_area(burning=False) == pytest.approx(math.pi * 33.0**2, rel=1e-12)
    friction = terms(tail)["body", "friction"].coefficient
    expected = 0.029 / math.sqrt(friction) * suction_factor(SLOW / AIR.sound)
    assert terms(tail)["part 2", "base"].coefficient == pytest.approx(expected, rel=1e-9)


def test_between_the_two_slopes_a_share_of_a_boat_tail_counts() -> None:
    found = [separated_share(math.radians(angle)) for angle in (-5.0, 0.0, 8.0, 12.0, 16.0, 90.0)]
    assert found == pytest.approx([0.0, 0.0, 0.0, 0.5, 1.0, 1.0])


def test_a_body_that_ends_in_a_point_has_no_base() -> None:
    """A nose the other way round: its base radius is nothing but rounding."""
    pointed = of(body_of(nose_part(), tube_part(), transition_part(66.0, 1e-3, 400.0)))
    assert terms(pointed)["part 2", "base"].coefficient < 1e-9


# --- slopes and steps -------------------------------------------------------------------------------------------------


def test_a_cone_meets_its_tube_in_a_corner() -> None:
    """atan(33 / 200) = 9.3690 degrees; 0.8 sin^2 = 0.021202, on the whole cross-section."""
    found = terms(of(body_of(nose_part(profile="cone"), tube_part())))["part 0", "pressure on a slope"]
    assert found.coefficient == pytest.approx(0.021202 * face_factor(SLOW / AIR.sound), rel=1e-4)
    assert found.station == 200.0


@pytest.mark.parametrize("profile", ["tangent-ogive", "von-karman", "half-ellipsoid"])
def test_a_nose_that_ends_level_takes_no_pressure(profile: str) -> None:
    assert not [term for term in terms(of(body_of(nose_part(profile=profile), tube_part()))) if "slope" in term[1]]


def test_a_tube_without_a_nose_is_a_flat_face() -> None:
    found = terms(of(body_of(tube_part())))["part 0", "pressure on a slope"]
    assert found.coefficient == pytest.approx(0.8 * face_factor(SLOW / AIR.sound), rel=1e-9)
    assert found.station == 0.0


def test_a_transition_that_widens_takes_pressure_on_its_ring() -> None:
    """50 to 66 mm over 40 mm: atan(8 / 40), sin^2 = 64 / 1664; ring 1 - (50/66)^2 of the reference area."""
    nose, tube = nose_part(base_diameter="50 mm"), tube_part(outside_diameter="50 mm", inside_diameter="48 mm")
    body = of(body_of(nose, tube, transition_part(50.0, 66.0, 40.0), tube_part()))
    found = terms(body)["part 2", "pressure on a slope"]
    expected = 0.8 * 64.0 / 1664.0 * (1.0 - (50.0 / 66.0) ** 2) * face_factor(SLOW / AIR.sound)
    assert found.coefficient == pytest.approx(expected, rel=1e-6)


def test_a_transition_that_narrows_within_the_body_takes_suction_only_where_it_is_steep() -> None:
    """66 to 50 mm over 10 mm is 38.7 degrees: 0.2 on all of the ring; over 80 mm it is 5.7 degrees and takes none."""
    narrow = tube_part(outside_diameter="50 mm", inside_diameter="48 mm")
    steep = of(body_of(nose_part(), tube_part(), transition_part(66.0, 50.0, 10.0), narrow))
    slender = of(body_of(nose_part(), tube_part(), transition_part(66.0, 50.0, 80.0), narrow))
    found = terms(steep)["part 2", "suction on a slope"]
    expected = 0.2 * (1.0 - (50.0 / 66.0) ** 2) * suction_factor(SLOW / AIR.sound)
    assert found.coefficient == pytest.approx(expected, rel=1e-9)
    assert found.station == 900.0
    assert ("part 2", "suction on a slope") not in terms(slender)


def test_a_nose_base_a_little_under_its_tube_by_hand() -> None:
    """65.8 on 66 mm: 0.1 mm at 200 mm from the tip at 40 m/s.

    Re 547,700, layer 0.37 x 200 / 14.058 = 5.264 mm, mean pressure 7/9 (0.1 / 5.264)^(2/7) = 0.25038; ring 20.70 mm2.
    """
    found = terms(of(body_of(nose_part(base_diameter="65.8 mm"), tube_part())))
    step = found["part 0, part 1", "step that faces forward"]
    expected = 0.4 * 0.25038 * 20.704 / (math.pi * 33.0**2) * face_factor(SLOW / AIR.sound)
    assert step.coefficient == pytest.approx(expected, rel=1e-3)
    assert step.notes == ()


def test_a_nose_base_over_its_tube_faces_aft_and_takes_half_as_much() -> None:
    smaller = terms(of(body_of(nose_part(base_diameter="65.8 mm"), tube_part()), reference=66.0))
    larger = terms(of(body_of(nose_part(base_diameter="66.2 mm"), tube_part()), reference=66.0))
    forward, aft = smaller["part 0, part 1", "step that faces forward"], larger["part 0, part 1", "step that faces aft"]
    # The rings of 65.8 to 66 and of 66 to 66.2 mm are alike within 0.3 %, and so are the Mach factors.
    assert forward.coefficient == pytest.approx(2.0 * aft.coefficient, rel=0.01)


def test_a_step_higher_than_the_boundary_layer_is_noted() -> None:
    found = terms(of(body_of(nose_part(base_diameter="40 mm"), tube_part())))[
        "part 0, part 1", "step that faces forward"
    ]
    assert found.notes == ("the step is higher than the boundary layer there",)
    assert 0.0 < found.coefficient < 0.4


def test_the_layer_goes_on_without_a_jump_where_a_step_grows_out_of_it() -> None:
    flow = flow_at(50.0, AIR, 0.0)
    layer = 0.37 * 500.0 / flow.reynolds(500.0) ** 0.2
    assert flow.in_layer(layer * (1.0 - 1e-9), 500.0) == pytest.approx(7.0 / 9.0, rel=1e-6)
    assert flow.in_layer(layer * (1.0 + 1e-9), 500.0) == pytest.approx(7.0 / 9.0, rel=1e-6)
    assert flow.in_layer(1.0, 0.0) == 1.0


# --- fins -------------------------------------------------------------------------------------------------------------


def test_fin_friction_by_hand() -> None:
    """Root 120, tip 60, span 70 mm: 6,300 mm2, mean chord 93.333 mm, t/c 3 / 93.333 = 0.0321429, factor 1.0643498.

    Re by 93.333 mm at 100 m/s: 638,955; lg 5.805470; Cf 0.455 / 93.4761 = 0.00486756.
    """
    found = terms(of(rocket()), 100.0)["fins", "friction"]
    expected = 3 * 2 * 6300.0 * 0.00486756 * 1.0643498 * friction_factor(100.0 / AIR.sound) / (math.pi * 33.0**2)
    assert found.coefficient == pytest.approx(expected, rel=2e-5)
    assert found.notes == ()


def test_slow_fins_say_that_their_layer_may_be_laminar() -> None:
    assert any("laminar" in note for note in terms(of(rocket()), 20.0)["fins", "friction"].notes)


def test_edges_as_cut_by_hand() -> None:
    """Leading edge 50 back over 70 mm: cos^2 = 4900 / 7400; trailing edge 10 over 70: 4900 / 5000; 3 mm thick.

    Ahead 0.8 x 210 mm2 x 0.662162 = 111.2432 mm2 a fin. Behind 210 x 0.98 = 205.8 mm2 with 0.135 / CfB^(1/3).
    """
    body = of(rocket())
    flow = flow_at(SLOW, AIR, 0.0)
    ahead, behind = terms(body)["fins", "leading edges"], terms(body)["fins", "trailing edges"]
    area = math.pi * 33.0**2
    assert ahead.coefficient == pytest.approx(3 * 111.24324 * flow.on_faces / area, rel=1e-6)
    suction = 0.135 / (2.0 * flow.friction(280.0 / 3.0) * 280.0 / 3.0 / 3.0) ** (1.0 / 3.0)
    assert behind.coefficient == pytest.approx(3 * 205.8 * suction * flow.on_suction / area, rel=1e-6)


def test_a_round_leading_edge_takes_only_what_is_left_as_cut_at_its_root() -> None:
    """The round stops 5 mm above the tube square to the edge, so that its inner corner is there; about 7 of 86 mm."""
    plain, worked = (of(with_fins(fin_part(leading_edge=how))) for how in ("as cut", "round"))
    share = terms(worked)["fins", "leading edges"].coefficient / terms(plain)["fins", "leading edges"].coefficient
    assert 0.05 < share < 0.12
    # A small round does a part of it: 0.3 of 3 mm is 0.4 of a quarter of the thickness.
    small = terms(of(with_fins(fin_part(leading_edge="round 0.3 mm"))))["fins", "leading edges"].coefficient
    assert small / terms(plain)["fins", "leading edges"].coefficient == pytest.approx(0.6, abs=0.04)


def test_a_bevel_behind_leaves_its_land_and_ahead_its_land_and_slope() -> None:
    """12 mm to a land of 1 mm on both sides: atan(1 / 12) = 4.76 degrees, so that the stream stays on behind."""
    how = "bevel 12 mm, land 1 mm"
    plain, worked = of(with_fins(fin_part())), of(with_fins(fin_part(leading_edge=how, trailing_edge=how)))
    ahead = [terms(one)["fins", "leading edges"].coefficient for one in (plain, worked)]
    bevelled = 1.0 / 3.0 + 2.0 / 3.0 * math.sin(math.atan(1.0 / 12.0)) ** 2
    assert bevelled < ahead[1] / ahead[0] < bevelled + 0.12
    behind = [terms(one)["fins", "trailing edges"].coefficient for one in (plain, worked)]
    # Height times its cube root: (1/3)^(4/3) = 0.231 if it were worked all along.
    assert 0.231 < behind[1] / behind[0] < 0.231 + 0.12


def test_a_steep_bevel_behind_is_as_good_as_none() -> None:
    steep = of(with_fins(fin_part(trailing_edge="bevel 2 mm, land 1 mm")))
    plain = of(with_fins(fin_part()))
    found = [terms(one)["fins", "trailing edges"].coefficient for one in (steep, plain)]
    assert found[0] == pytest.approx(found[1], rel=1e-9)


def test_an_aerofoil_has_no_flat_edge_ahead_and_its_own_behind() -> None:
    """0.8 mm at the root of 120 mm; its mean over the span is 0.8 x 90 / 120 = 0.6 mm."""
    part = fin_part(section="naca-four-digit", trailing_edge_thickness="0.8 mm", thickness="9 mm", material="petg")
    found = terms(of(with_fins(part)))
    assert ("fins", "leading edges") not in found
    assert "edges 0.60 mm thick" in found["fins", "trailing edges"].formula
    assert "t/c 0.0750" in found["fins", "friction"].formula


def test_a_fin_can_is_read_as_its_fins_and_its_sleeve() -> None:
    """The sleeve makes a step at its rim; half-rounded fins take less ahead than as cut."""
    nose, tube, *_ = rocket().items

    def can(how: str) -> DragBody:
        part = FinCan.build(**{**FinCan.example, "bore_diameter": "66.4 mm", "leading_edge": how})
        return of(Rocket("can", (nose, tube, Item("can", (780.0,), part))))

    plain, worked = terms(can("as cut")), terms(can("round"))
    assert ("tube, can", "step that faces forward") in plain
    assert 0.0 < worked["can", "leading edges"].coefficient < 0.3 * plain["can", "leading edges"].coefficient
    assert worked["can", "friction"].coefficient == plain["can", "friction"].coefficient


def test_a_swept_edge_is_less_by_the_square_of_the_cosine_and_a_round_one_by_its_integral() -> None:
    """A quarter circle of radius r from level to upright: integral of cos^3 is 2/3, so that r becomes 2/3 r."""
    assert square_spans(Line((0.0, 0.0), (0.0, 30.0))) == pytest.approx((0.0, 30.0))
    assert square_spans(Line((30.0, 30.0), (0.0, 0.0))) == pytest.approx((15.0, 0.0))
    assert square_spans(Line((60.0, 30.0), (0.0, 30.0))) == (0.0, 0.0)
    assert square_spans(Arc((0.0, 0.0), 30.0, 0.0, math.pi / 2.0)) == pytest.approx((0.0, 20.0), rel=1e-9)
    assert square_spans(Arc((0.0, 0.0), 30.0, 0.0, math.pi)) == pytest.approx((20.0, 20.0), rel=1e-9)


def test_edges_of_any_outline_are_read_as_they_are_worked() -> None:
    """Each by hand from its corners: forward 30 over 60 mm and upright 20 mm, aft upright 80 mm; one bevel on all.

    cos^2 is 3600 / 4500 on the first and 1 on the others: 0.8 x 3 mm x (60 x 0.8 + 20) = 163.2 mm2 a fin.
    """
    drawn: dict[str, Any] = {
        "planform": "polygon",
        "root_chord": "100 mm",
        "thickness": "3 mm",
        "points": ["30 mm, 60 mm", "30 mm, 80 mm", "100 mm, 80 mm"],
    }
    plain, worked = (of(with_fins(Fin.build(**drawn, **more))) for more in ({}, {"edges": ["bevel 6 mm, land 1 mm"]}))
    flow, area = flow_at(SLOW, AIR, 0.0), math.pi * 33.0**2
    before, after = terms(plain), terms(worked)
    assert before["fins", "leading edges"].coefficient == pytest.approx(3 * 163.2 * flow.on_faces / area, rel=1e-9)
    assert "of suction on 3 x 240.0 mm2" in before["fins", "trailing edges"].formula
    for name in ("leading edges", "trailing edges"):
        assert 0.2 < after["fins", name].coefficient / before["fins", name].coefficient < 0.6


def test_an_elliptic_fin_is_ahead_as_far_as_it_is_behind() -> None:
    """Forward and aft half are mirror images: 0.8 of what faces forward, and as much span for the wake."""
    part = Fin.build(planform="elliptic", root_chord="120 mm", semi_span="60 mm", thickness="3 mm")
    edges = fin_edges(*_finned(part))
    ahead, behind = (sum(square_spans(edge.piece)[side] for edge in edges) for side in (0, 1))
    assert ahead == pytest.approx(behind, rel=1e-9)
    # A half circle, for the root is twice the span: 2/3 of the radius each.
    assert ahead == pytest.approx(2.0 / 3.0 * 60.0, rel=1e-6)


def _finned(part: Fin) -> tuple[Item, FinsInPlace]:
    item = Item("fins", (760.0,), part, 3, 33.0)
    return item, item.fin_sets()[0]


def test_thin_roots_add_nothing_and_thick_ones_by_hand() -> None:
    """0.8 x 0.1^3 - 0.0003 = 0.0005, on 120^2 mm2: 7.2 mm2; none at t/c 0.025."""
    assert junction_area(12.0, 120.0) == pytest.approx(7.2)
    assert junction_area(3.0, 120.0) == 0.0
    assert terms(of(rocket()))["fins", "junctions with the body"].coefficient == 0.0


def test_cant_is_noted() -> None:
    canted = of(with_fins(fin_part(cant="2 deg")))
    assert any("cant" in note for note in terms(canted)["fins", "friction"].notes)


def test_more_fins_take_more_in_proportion() -> None:
    three, six = (terms(of(rocket(count))) for count in (3, 6))
    for name in ("friction", "leading edges", "trailing edges"):
        assert six["fins", name].coefficient == pytest.approx(2.0 * three["fins", name].coefficient, rel=1e-12)


# --- rail buttons -----------------------------------------------------------------------------------------------------


def test_a_rail_button_by_hand() -> None:
    """Foot 10 x 2, waist 5.6 x 3.2, head 10 x 2.4 mm: 61.92 mm2 on a height of 7.6 mm, mean diameter 8.1474 mm.

    2 h / d = 1.86563: 0.64 + 0.86563 x 0.04 = 0.674625. At 800 mm and 40 m/s: Re 2,190,660, layer 0.37 x 800 / 18.545 =
    15.961 mm, mean pressure 7/9 (7.6 / 15.961)^(2/7) = 0.62914.
    """
    base = rocket()
    body = of(replace(base, items=(*base.items, Item("button", (500.0, 800.0), button_part(), radius=33.0))))
    forward, aft = (term for term in drag_terms(body, SLOW, AIR, burning=False) if term.item == "button")
    assert (forward.station, aft.station) == (500.0, 800.0)
    expected = 0.674625 * 0.62914 * 61.92 / (math.pi * 33.0**2) * face_factor(SLOW / AIR.sound)
    assert aft.coefficient == pytest.approx(expected, rel=1e-3)
    assert aft.coefficient < forward.coefficient < 1.3 * aft.coefficient


def test_stubs_follow_the_table_and_stay_level_outside_of_it() -> None:
    assert [stub_coefficient(slenderness) for slenderness in (0.1, 1.0, 1.5, 4.0, 40.0, 1e4)] == pytest.approx(
        [0.64, 0.64, 0.66, 0.73, 0.98, 0.98]
    )


# --- what all of them keep --------------------------------------------------------------------------------------------


def test_the_terms_add_up_to_the_coefficient() -> None:
    body = of(rocket(), 20.0, 38.0)
    for speed in (0.0, 3.0, 70.0, 200.0):
        found = drag_coefficients(body, speed, AIR)
        for burning, value in zip((True, False), found, strict=True):
            assert sum(term.coefficient for term in drag_terms(body, speed, AIR, burning)) == pytest.approx(value)


def test_another_reference_area_leaves_coefficient_times_area() -> None:
    usual, other = (of(rocket(), 20.0, 38.0, diameter) for diameter in (None, 54.0))
    assert other.reference_area == pytest.approx(math.pi * 27.0**2)
    for one, two in zip(drag_terms(usual, 90.0, AIR, True), drag_terms(other, 90.0, AIR, True), strict=True):
        assert two.coefficient * other.reference_area == pytest.approx(one.coefficient * usual.reference_area)


def test_twice_the_rocket_at_half_the_speed_with_twice_the_grains_has_the_same_friction() -> None:
    """Reynolds number, l/k and all shapes are the same; only the Mach number is not, and is small here."""
    small = of(body_of(nose_part(), tube_part()), 20.0)
    big = of(
        body_of(
            nose_part(length="400 mm", base_diameter="132 mm"),
            tube_part(outside_diameter="132 mm", inside_diameter="128 mm", length="1400 mm"),
        ),
        40.0,
    )
    assert total(small, 20.0) == pytest.approx(total(big, 10.0), rel=1e-3)


def test_every_term_says_what_it_is() -> None:
    body = of(rocket(), 20.0, 38.0)
    for term in drag_terms(body, 100.0, AIR, burning=True):
        for words in (term.name, term.item, term.formula, term.source, term.range):
            assert words
        assert 0.0 <= term.coefficient < math.inf
        assert 0.0 <= term.station <= 900.0


def test_beyond_mach_0_8_every_term_stays_level_and_says_so() -> None:
    body = of(rocket(), 20.0)
    at, beyond = (drag_terms(body, mach * AIR.sound, AIR, burning=False) for mach in (0.8, 1.4))
    for one, two in zip(at, beyond, strict=True):
        assert two.coefficient == pytest.approx(one.coefficient, rel=1e-12)
        assert BEYOND not in one.notes
        assert BEYOND in two.notes


def test_the_mach_number_in_figures() -> None:
    """M 0.6: 1.05184^-0.65 = 0.967682; (1.072^3.5 - 1) / 0.252 = 1.093269; 1 / 0.8 = 1.25. At rest all are 1."""
    assert friction_factor(0.6) == pytest.approx(0.967682, rel=1e-5)
    assert face_factor(0.6) == pytest.approx(1.093269, rel=1e-5)
    assert suction_factor(0.6) == pytest.approx(1.25)
    assert friction_factor(0.0) == face_factor(0.0) == suction_factor(0.0) == 1.0
    assert face_factor(0.0009999) == pytest.approx(face_factor(0.0010001), abs=1e-9)


def test_a_rocket_without_a_body_has_no_drag_to_tell_of() -> None:
    assert drag_body(Rocket("nothing"), 20.0) is None
    assert drag_body(Rocket("mass", (Item("mass", (10.0,), stated_mass=5.0),)), 20.0) is None


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ((-1.0, None, None), "roughness: must be from 0 to 1000 um, got -1 um"),
        ((math.nan, None, None), "roughness: must be from 0 to 1000 um, got nan um"),
        ((20.0, 0.0, None), "motor_diameter: must be above 0 mm, got 0 mm"),
        ((20.0, 29.0, math.inf), "reference_diameter: must be above 0 mm, got inf mm"),
    ],
)
def test_values_out_of_range_are_refused(values: tuple[float, float | None, float | None], message: str) -> None:
    with pytest.raises(PartError, match=message):
        drag_body(rocket(), *values)


@pytest.mark.parametrize("speed", [-1.0, math.nan, math.inf])
def test_a_speed_that_is_none_is_refused(speed: float) -> None:
    with pytest.raises(PartError, match="speed: must be 0 m/s or more"):
        drag_terms(of(rocket()), speed, AIR, burning=False)
