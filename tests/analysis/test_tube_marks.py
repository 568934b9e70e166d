"""What is to be marked on tubes: stations by hand from the frames of the design, slot sizes of common practice.

Sources: a slot is 0.4 to 0.8 mm wider than the fin and 1 mm longer than the tab (common practice); ISO 273, medium
series: an M3 screw clears 3.4 mm.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from rocket_samples import coupler_part, fin_part, nose_part, ring_part, rocket, tube_part, two_sections

from ferrule.analysis.loading import loadings
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.tube_marks import TubeMark, TubeMarks, balance_points, tube_marks
from ferrule.parts.errors import PartError
from ferrule.parts.kinds import MotorMount, RailButton, Transition

TABBED = {"tab_length": "60 mm", "tab_depth": "10 mm", "tab_position": "20 mm"}
PINS = {
    "separates": "aft",
    "screw_count": "3",
    "shear_pin_count": "2",
    "shear_pin_diameter": "2 mm",
    "vent_diameter": "4 mm",
    "vent_distance": "50 mm",
}


def of(tubes: tuple[TubeMarks, ...], name: str) -> TubeMarks:
    (found,) = [one for one in tubes if one.name == name]
    return found


def marks(tube: TubeMarks, what: str) -> list[TubeMark]:
    return [mark for mark in tube.marks if mark.what == what]


def test_every_airframe_tube_is_there_and_no_other() -> None:
    found = tube_marks(two_sections())
    assert [(one.name, one.station, one.length, one.diameter) for one in found] == [
        ("payload tube", 200.0, 200.0, 66.0),
        ("booster tube", 400.0, 600.0, 66.0),
    ]


@pytest.mark.parametrize("count", [1, 2, 3, 4, 6])
def test_fins_stand_evenly_with_the_rail_line_mid_way(count: int) -> None:
    (tube,) = tube_marks(rocket(count))
    assert tube.fin_rolls == pytest.approx([math.tau * (index + 0.5) / count for index in range(count)])


def test_fins_are_lined_on_the_tube_that_they_stand_on() -> None:
    found = tube_marks(two_sections())
    assert of(found, "payload tube").fin_rolls == ()
    assert len(of(found, "booster tube").fin_rolls) == 3


def test_a_slot_is_wider_than_the_fin_and_longer_than_the_tab() -> None:
    """Fins at 870 with a tab from 890 to 950 on a tube from 400: the slot runs from 489.5 to 550.5 mm."""
    tube = of(tube_marks(two_sections(fins=fin_part(**TABBED))), "booster tube")
    slots = marks(tube, "slot")
    assert len(slots) == 3
    for slot, roll in zip(slots, (60.0, 180.0, 300.0), strict=True):
        assert (slot.first, slot.last) == pytest.approx((489.5, 550.5))
        assert slot.last - slot.first == pytest.approx(60.0 + 1.0)
        assert 0.4 <= slot.size - 3.0 <= 0.8
        assert slot.roll == pytest.approx(math.radians(roll))
    wide = of(tube_marks(two_sections(fins=fin_part(**TABBED)), slot_clearance=0.8), "booster tube")
    assert {mark.size for mark in marks(wide, "slot")} == {3.8}


@pytest.mark.parametrize("clearance", [-0.1, 2.5, math.nan])
def test_a_clearance_out_of_range_is_refused(clearance: float) -> None:
    with pytest.raises(PartError, match=f"slot_clearance: {clearance:g} mm over the fin's thickness"):
        tube_marks(rocket(), slot_clearance=clearance)


def test_a_slot_ends_where_the_tube_ends() -> None:
    """A tab that runs to the aft end of a tube from 200 to 900: the slot is open there."""
    whole = rocket()
    fins = replace(whole.fins[0], part=fin_part(tab_length="100 mm", tab_depth="10 mm", tab_position="20 mm"))
    (tube,) = tube_marks(Rocket("open", tuple(fins if item is whole.fins[0] else item for item in whole.items)))
    assert {(mark.first, mark.last) for mark in marks(tube, "slot")} == {(599.5, 700.0)}


def test_fins_without_a_tab_have_their_roots_marked() -> None:
    (tube,) = tube_marks(rocket(4))
    assert marks(tube, "slot") == []
    assert [(mark.first, mark.last) for mark in marks(tube, "root")] == [(580.0, 700.0)] * 4


def test_rings_are_marked_by_both_faces_also_those_of_a_mount() -> None:
    tube = of(tube_marks(two_sections()), "booster tube")
    assert [(mark.name, mark.first, mark.last, mark.roll) for mark in marks(tube, "ring")] == [
        ("rings", 450.0, 456.0, None),
        ("rings", 580.0, 586.0, None),
    ]
    mount = MotorMount.build(**MotorMount.example)
    items = tuple(item for item in two_sections().items if not isinstance(item.part, type(ring_part())))
    other = of(tube_marks(Rocket("mount", (*items, Item("mount", (840.0,), mount)))), "booster tube")
    wanted = sorted(440.0 + place for place in mount.ring_positions)
    assert [mark.first for mark in marks(other, "ring")] == pytest.approx(wanted)
    thick = [mark.last - mark.first for mark in marks(other, "ring")]
    assert thick == pytest.approx([mount.ring_thickness] * len(wanted))


def test_screws_of_a_shoulder_go_through_the_tube_at_their_rolls() -> None:
    """A shoulder from 200 to 260 with three screws at its middle, the first 60 degrees off the rail line."""
    tube = of(tube_marks(two_sections()), "payload tube")
    screws = [mark for mark in marks(tube, "screw") if mark.name == "nose"]
    assert [(mark.first, mark.last) for mark in screws] == [(30.0, 30.0)] * 3
    assert sorted(mark.roll or 0.0 for mark in screws) == pytest.approx([math.radians(x) for x in (60, 180, 300)])


def test_the_hole_in_the_tube_clears_the_screw_not_the_insert() -> None:
    nose = nose_part(
        shoulder_length="60 mm",
        shoulder_diameter="63.5 mm",
        body="hollow",
        shoulder_wall="2.4 mm",
        joining="held",
        screw_size="M3",
        screw_into="insert",
    )
    assert nose.screw_hole > 3.4, "the hole for the insert is wider"
    tube = of(tube_marks(two_sections(nose=nose)), "payload tube")
    assert {mark.size for mark in marks(tube, "screw") if mark.name == "nose"} == {3.4}


def test_screws_pins_and_vents_of_a_coupler_are_told_from_each_other() -> None:
    """A coupler from 340 to 460: screws in the side that stays, pins in the one that separates, a vent between."""
    found = tube_marks(two_sections(coupler=coupler_part(**PINS)))
    ahead, behind = of(found, "payload tube"), of(found, "booster tube")
    assert [(mark.first, mark.size) for mark in marks(ahead, "screw") if mark.name == "coupler"] == [(170.0, 3.4)] * 3
    pins = marks(behind, "shear pin")
    assert [(mark.first, mark.size) for mark in pins] == [(30.0, 2.0)] * 2
    assert abs((pins[0].roll or 0.0) - (pins[1].roll or 0.0)) == pytest.approx(math.pi)
    assert [(mark.first, mark.size, mark.roll) for mark in marks(ahead, "vent")] == [(190.0, 4.0, 0.0)]
    assert marks(behind, "screw") == []


@pytest.mark.parametrize(("forward", "aft"), [("64 mm", "50 mm"), ("50 mm", "64 mm")])
def test_screws_in_both_shoulders_of_a_transition_go_through_their_tubes(forward: str, aft: str) -> None:
    """A transition from 400 to 460 with shoulders of 40 mm: screws in their middles, at 380 and at 480."""
    joint = Transition.build(
        forward_diameter=forward,
        aft_diameter=aft,
        length="60 mm",
        forward_shoulder_length="40 mm",
        forward_shoulder_diameter="46 mm",
        aft_shoulder_length="40 mm",
        aft_shoulder_diameter="46 mm",
        forward_screw_count="3",
        aft_screw_count="2",
        vent_hole_diameter="3 mm",
    )
    tubes = (Item("ahead", (200.0,), tube_part(length="200 mm")), Item("behind", (460.0,), tube_part(length="300 mm")))
    found = tube_marks(Rocket("both", (*tubes, Item("transition", (400.0,), joint))))
    assert [(mark.what, mark.first, mark.size) for mark in of(found, "ahead").marks] == [("screw", 180.0, 3.4)] * 3
    assert [(mark.what, mark.first, mark.size) for mark in of(found, "behind").marks] == [("screw", 20.0, 3.4)] * 2


def test_vents_and_buttons_are_marked_with_their_diameters() -> None:
    tube = tube_part(length="600 mm", hole_diameter="5 mm", hole_positions=["80 mm", "120 mm"], hole_roll="90 deg")
    button = RailButton.build(**RailButton.example)
    whole = two_sections(booster_tube=tube)
    items = (*whole.items, Item("button", (420.0, 985.0), button, radius=33.0))
    found = of(tube_marks(Rocket("vents", items)), "booster tube")
    assert [(mark.first, mark.size, mark.roll) for mark in marks(found, "vent")] == [
        (80.0, 5.0, math.pi / 2.0),
        (120.0, 5.0, math.pi / 2.0),
    ]
    assert [(mark.first, mark.size, mark.roll) for mark in marks(found, "button")] == [
        (20.0, 4.5, 0.0),
        (585.0, 4.5, 0.0),
    ]


def test_the_holes_of_a_motor_tube_are_none_of_the_airframe() -> None:
    inner = tube_part(
        outside_diameter="42 mm",
        inside_diameter="40 mm",
        length="150 mm",
        use="motor",
        hole_diameter="5 mm",
        hole_positions=["30 mm"],
    )
    found = of(tube_marks(two_sections(motor_tube=inner)), "booster tube")
    assert not [mark for mark in found.marks if mark.name == "motor tube"]


def test_centres_of_gravity_and_pressure_lie_on_their_tubes() -> None:
    states = loadings(rocket(), ())
    assert states[0].mass is not None
    named = dict(balance_points(states))
    assert named == {"CG without motor": states[0].mass.cg[0], "CP": states[0].centre_of_pressure}
    (tube,) = tube_marks(rocket(), states)
    on = {mark.name: mark.first for mark in marks(tube, "balance")}
    assert on == {name: pytest.approx(station - 200.0) for name, station in named.items()}


def test_without_masses_there_is_no_centre_of_gravity_to_mark() -> None:
    assert [name for name, _ in balance_points(loadings(rocket(masses=(None,) * 4), ()))] == ["CP"]


def test_marks_come_from_forward_to_aft_and_lie_on_their_tube() -> None:
    for tube in tube_marks(two_sections(fins=fin_part(**TABBED), coupler=coupler_part(**PINS))):
        assert [mark.first for mark in tube.marks] == sorted(mark.first for mark in tube.marks)
        assert all(0.0 <= mark.first <= mark.last <= tube.length for mark in tube.marks)
        assert all(mark.roll is None or 0.0 <= mark.roll < math.tau for mark in tube.marks)


@pytest.mark.parametrize("cant", ["2 deg", "-2 deg", "5 deg", "-5 deg"])
def test_a_canted_slot_lies_where_the_plane_of_its_fin_passes_the_tube(cant: str) -> None:
    """The fin's own placement, taken to the surface of the tube along the fin: another way than the arc sine."""
    fins = Item("fins", (870.0,), fin_part(**TABBED, cant=cant), 3, 33.0)
    tube = of(tube_marks(two_sections(fins=fins.part)), "booster tube")
    slots = marks(tube, "slot")
    assert len(slots) == 3
    for slot, placement in zip(sorted(slots, key=lambda one: one.roll or 0.0), fins.placements(), strict=True):
        ends = []
        # The tab from 20 to 80 mm of the root, half a millimetre longer at each end.
        for along in (19.5, 80.5):
            u, c = along - 60.0, math.sin(math.radians(float(cant.split()[0])))
            height = math.sqrt(33.0**2 - (u * c) ** 2) - 33.0
            x, y, z = placement.apply(np.array([[along, height, 0.0]]))[0]
            assert math.hypot(y, z) == pytest.approx(33.0, abs=1e-12)
            ends.append((x - 400.0, math.atan2(-z, y) % math.tau))
        (first, ahead), (last, behind) = ends
        assert (slot.first, slot.last) == pytest.approx((first, last), abs=1e-9)
        assert slot.lean == pytest.approx(ahead - behind, abs=1e-12)
        assert slot.roll == pytest.approx((ahead + behind) / 2.0, abs=1e-12)
        assert (slot.lean > 0.0) == (not cant.startswith("-"))


@pytest.mark.parametrize(("length", "radius"), [(240.0, 33.0), (120.0, 33.0), (60.0, 14.5), (200.0, 50.0)])
def test_a_canted_slot_is_straight_to_within_what_is_said(length: float, radius: float) -> None:
    """The trace of the plane on the unrolled tube against the straight line between its ends, at 5 deg."""
    reach = length / 2.0 * math.sin(math.radians(5.0))
    v = np.linspace(-reach, reach, 2001)
    trace, straight = radius * np.arcsin(v / radius), radius * math.asin(reach / radius) * v / reach
    bound = reach**3 / (9.0 * math.sqrt(3.0) * radius**2)
    # The next term of the arc sine adds a share of the order of (v/R)^2.
    assert float(np.abs(trace - straight).max()) <= bound * (1.0 + 2.0 * (reach / radius) ** 2)
    if (length, radius) == (240.0, 33.0):
        assert bound == pytest.approx(0.07, abs=0.005)


def test_a_canted_root_without_a_tab_leans_too() -> None:
    whole = rocket()
    fins = replace(whole.fins[0], part=fin_part(cant="1 deg"))
    (tube,) = tube_marks(Rocket("lean", tuple(fins if item is whole.fins[0] else item for item in whole.items)))
    for root in marks(tube, "root"):
        assert 33.0 * root.lean == pytest.approx(120.0 * math.sin(math.radians(1.0)), rel=1e-3)
        assert root.last - root.first == pytest.approx(120.0 * math.cos(math.radians(1.0)))


def test_straight_fins_do_not_lean() -> None:
    tube = of(tube_marks(two_sections(fins=fin_part(**TABBED))), "booster tube")
    assert {mark.lean for mark in tube.marks} == {0.0}


def test_the_slot_of_an_aerofoil_is_that_of_its_tab() -> None:
    fin = fin_part(
        **TABBED, section="naca-four-digit", thickness="8 mm", tab_thickness="4 mm", material="petg", tip_chord="60 mm"
    )
    tube = of(tube_marks(two_sections(fins=fin)), "booster tube")
    assert {mark.size for mark in marks(tube, "slot")} == {4.5}
