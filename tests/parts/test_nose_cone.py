"""The nose cone: what it is joined by, what it carries, how it is printed, and what cannot be.

Sizes of holes and nuts: ISO 273 medium and ISO 4032 as in the tables, which name their sources. Volumes of stacks and
pockets: elementary solids. Rules of the trade are marked where they stand.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from ferrule.parts.chain import reverse
from ferrule.parts.curve import Arc, Line
from ferrule.parts.envelope import lowest, radius_at
from ferrule.parts.errors import DesignError
from ferrule.parts.kinds import NoseCone
from ferrule.parts.kinds.nose_skin import SKINS
from ferrule.parts.readers.brep import face_areas, measure, solid
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import mesh
from ferrule.parts.shape import Array, Cut, Placed, RadialFeature, Revolved, edges
from ferrule.parts.split import gap_volume

OGIVE: dict[str, Any] = {
    "profile": "tangent-ogive",
    "length": "250 mm",
    "base_diameter": "68.3 mm",
    "shoulder_length": "68 mm",
    "shoulder_diameter": "65.3 mm",
    "material": "petg",
}
STEEL = 7.85e-3


def nose(**changes: Any) -> NoseCone:
    return NoseCone.build(**{**OGIVE, **changes})


def refusal(**changes: Any) -> str:
    with pytest.raises(DesignError) as refused:
        nose(**changes)
    return str(refused.value)


def volume(part: NoseCone) -> float:
    return moments(part.shape()).volume


def radial(part: NoseCone) -> list[tuple[RadialFeature, int]]:
    shape = part.shape()
    tools = shape.tools if isinstance(shape, Cut) else ()
    return [(t.shape, t.count) for t in tools if isinstance(t, Array) and isinstance(t.shape, RadialFeature)]


# --- tip --------------------------------------------------------------------------------------------------------------


def test_a_tip_is_round_unless_asked_otherwise() -> None:
    """2 mm prints cleanly (common practice); `length` stays the finished length."""
    tip = nose().skin()[0]
    assert isinstance(tip, Arc)
    assert tip.radius == 2.0
    assert tip.centre == pytest.approx((2.0, 0.0), abs=1e-9)
    assert nose(tip_radius="5 mm").skin()[0] == Arc(
        pytest.approx((5.0, 0.0)), 5.0, math.pi, pytest.approx(-1.24, abs=0.2)
    )
    assert nose(tip="flat", tip_radius="4 mm").skin()[0].end == pytest.approx((0.0, 4.0), abs=1e-9)
    assert len(nose(tip="sharp").skin()) == 1
    for part in (nose(), nose(tip_radius="5 mm"), nose(tip="flat", tip_radius="4 mm"), nose(tip="sharp")):
        assert part.skin()[-1].end == pytest.approx((250.0, 34.15), abs=1e-9)


def test_a_profile_that_is_rounder_than_the_usual_tip_keeps_its_own() -> None:
    """Half-ellipsoid: radius of curvature R^2/L = 4.66 mm at the tip (elementary geometry)."""
    part = nose(profile="half-ellipsoid")
    assert part.blunt() is None
    assert part.tip_radius_in_use() == pytest.approx(34.15**2 / 250.0)
    assert "tip_radius" in refusal(profile="half-ellipsoid", tip_radius="3 mm")
    assert nose(profile="half-ellipsoid", tip_radius="8 mm").tip_radius_in_use() == 8.0


def test_a_table_is_the_skin() -> None:
    cone = nose(
        profile="table", point_stations=("0 mm", "125 mm", "250 mm"), point_radii=("0 mm", "17.075 mm", "34.15 mm")
    )
    sharp = nose(profile="cone", tip="sharp")
    assert volume(cone) == pytest.approx(volume(sharp), rel=1e-9)


# --- wall -------------------------------------------------------------------------------------------------------------


def test_the_body_is_as_thick_as_the_shoulder_ahead_of_the_base() -> None:
    """First 20 mm above the shoulder as thick as it, opening at 45 degrees (common practice)."""
    inside, skin = nose().built().inside, nose().skin()
    for x, wall in ((235.0, 2.4), (243.0, 2.4), (150.0, 1.6)):
        # The wall is square to the skin, which leans by less than 0.12 here: its cosine is 1 to a per cent.
        assert radius_at(skin, x) - radius_at(inside, x) == pytest.approx(wall, rel=0.01)
    assert volume(nose(thick_length="0 mm")) < volume(nose()) < volume(nose(thick_length="60 mm"))


def test_a_solid_tip_ends_in_a_cone_that_prints() -> None:
    inside = nose(solid_tip="40 mm").built().inside
    assert inside[0].start == pytest.approx((40.0, 0.0))
    first = inside[0]
    assert math.atan2(first.end[1] - first.start[1], first.end[0] - first.start[0]) == pytest.approx(math.pi / 4.0)


def test_the_foot_on_the_bed_is_chamfered() -> None:
    """A ring of a triangle: 2 pi (r - c/3) c^2 / 2 (Pappus)."""
    taken = volume(nose(bed_chamfer="0 mm")) - volume(nose(bed_chamfer="0.8 mm"))
    assert taken == pytest.approx(math.tau * (32.65 - 0.8 / 3.0) * 0.32, rel=1e-9)


def test_a_vent_is_one_hole_through_the_skin() -> None:
    ((hole, count),) = radial(nose(vent_hole_diameter="3 mm", vent_hole_distance="40 mm", vent_hole_roll="90 deg"))
    assert (hole.station, hole.roll, count) == (210.0, pytest.approx(math.pi / 2.0), 1)
    taken = volume(nose()) - volume(nose(vent_hole_diameter="3 mm", vent_hole_distance="40 mm"))
    assert taken == pytest.approx(math.pi / 4.0 * 9.0 * 1.6, rel=0.02)


# --- joining ----------------------------------------------------------------------------------------------------------


def test_held_is_by_three_screws_at_mid_shoulder_off_the_rail_line() -> None:
    """ISO 273 medium for M3: 3.4 mm."""
    ((hole, count),) = radial(nose(joining="held", screw_into="hole"))
    assert count == 3
    assert hole.station == 250.0 + 34.0
    assert hole.outline.box()[2] == pytest.approx(1.7)
    rolls = [(hole.roll + math.tau * i / 3) % math.tau for i in range(3)]
    assert min(min(roll, math.tau - roll) for roll in rolls) >= math.radians(60.0) - 1e-9
    assert radial(nose(joining="held", screw_into="hole", screw_size="M4"))[0][0].outline.box()[2] == pytest.approx(
        2.25
    )


def test_an_insert_has_a_ring_as_deep_as_itself_and_half_a_millimetre() -> None:
    """Insert of the table, M3: hole 4.0 mm, 5.5 mm long; ring twice its body of 4.6 mm long (common practice)."""
    part = nose(joining="held")
    ((hole, _),) = radial(part)
    assert hole.outline.box()[2] == pytest.approx(2.0)
    inside = part.built().inside
    assert radius_at(inside, 284.0) == pytest.approx(32.65 - 6.0)
    assert radius_at(inside, 284.0 + 4.6) == pytest.approx(32.65 - 6.0)
    # Its flanks fall away at 45 degrees, which prints standing.
    assert radius_at(inside, 284.0 + 4.6 + 1.0) == pytest.approx(32.65 - 5.0)


def test_a_nut_sits_in_a_pocket_with_a_corner_up() -> None:
    """ISO 4032 M3: 5.5 mm across flats, 2.4 mm high; 0.2 mm play (common practice)."""
    (hole, _), (pocket, count) = radial(nose(joining="held", screw_into="nut"))
    left, low, right, high = pocket.outline.box()
    assert (high - low, right - left) == pytest.approx((5.7, 5.7 / math.cos(math.pi / 6.0)))
    assert (pocket.roll, count, pocket.station) == (hole.roll, 3, hole.station)
    assert pocket.to_radius == pytest.approx(32.65 - 2.4)
    assert radius_at(nose(joining="held", screw_into="nut").built().inside, 284.0) == pytest.approx(32.65 - 2.4 - 2.6)


def test_released_has_tape_or_pins_and_never_screws() -> None:
    assert radial(nose(joining="released")) == []
    ((pin, count),) = radial(nose(joining="released", shear_pin_count=2))
    assert (pin.outline.box()[2], count) == (1.0, 2)
    assert "would keep the parachute in" in refusal(joining="released", screw_count=3)
    assert "made to let go" in refusal(joining="held", shear_pin_count=2)
    assert "keep the parachute in" in refusal(screw_count=3, shear_pin_count=2)
    assert "shear_pin_count: one pin" in refusal(joining="released", shear_pin_count=1)


# --- what it carries --------------------------------------------------------------------------------------------------


def test_a_recess_and_a_ledge_take_a_plate() -> None:
    recess = nose(plate_seat="recess", plate_thickness="6 mm", seat_diameter="62.5 mm").built().inside
    assert recess[-1] == Line((312.0, 31.25), (318.0, 31.25))
    assert radius_at(recess, 311.9) == pytest.approx(30.25)
    ledge = nose(plate_seat="ledge", plate_thickness="6 mm", seat_width="2 mm").built().inside
    assert radius_at(ledge, 315.0) == pytest.approx(30.25)
    assert radius_at(ledge, 311.0) == pytest.approx(28.25)


def test_a_rod_is_bedded_in_the_solid_tip() -> None:
    """ISO 273 medium for M5: 5.5 mm; the rod weighs as a bar of its pitch diameter, 4.480 mm (ISO 724)."""
    part = nose(solid_tip="55 mm", rod_size="M5", rod_start="35 mm", rod_length="300 mm")
    # Its hole ends in a point of 45 degrees, as a drill leaves it.
    assert part.built().inside[0].start == (35.0 - 2.75, 0.0)
    (rod,) = part.carried()
    assert rod.mass == pytest.approx(math.pi / 4.0 * (5.0 - 0.649519 * 0.8) ** 2 * 300.0 * STEEL, rel=1e-9)
    assert rod.station == 185.0
    gone = volume(nose(solid_tip="55 mm")) - volume(part)
    # A cylinder to the roof of 45 degrees, less the cone of it that lies within, and with the like cone at its point.
    assert gone == pytest.approx(math.pi * 2.75**2 * (20.0 + 2.75), rel=1e-9)
    assert nose(solid_tip="50 mm", rod_size="1/4 in").rod_hole == pytest.approx(9 / 32 * 25.4)


def test_washers_are_a_stack_on_the_rod() -> None:
    """ISO 7089 M5: 5.3 x 10 x 1 mm; four ISO 4032 nuts, 8 mm across flats and 4.7 mm high, hold it."""
    part = nose(solid_tip="50 mm", rod_size="M5", washer_count=12, washer_distance="80 mm")
    washers = part.carried()[1]
    stack = 12.0 * math.pi / 4.0 * (100.0 - 5.3**2)
    nuts = 4.0 * 4.7 * (64.0 * math.sqrt(3.0) / 2.0 - math.pi / 4.0 * 25.0)
    assert washers.mass == pytest.approx((stack + nuts) * STEEL, rel=1e-9)
    assert washers.station == 86.0
    assert "12 M5 washers, 12 mm" in washers.description


def test_a_stack_is_held_has_room_for_its_nuts_and_can_be_put_in() -> None:
    rod: dict[str, Any] = {"solid_tip": "60 mm", "rod_size": "M5", "washer_count": 6}
    first = nose(**rod).carried()[1].station - 3.0
    # Two nuts of 4.7 mm ahead of it, 4.62 mm to their corners and 0.5 mm of play: the roof of 45 degrees from 60 mm.
    assert first - 9.4 >= 60.0 + 8.0 / math.sqrt(3.0) + 0.5 - 1e-6
    assert "is pulled through M12 washers" in refusal(**rod, washer_size="M12")
    assert "has no room there on the rod" in refusal(**rod, washer_distance="61 mm")
    assert "has no room there on the rod" in refusal(**rod, rod_length="30 mm")
    seat: dict[str, Any] = {"plate_seat": "ledge", "plate_thickness": "6 mm"}
    assert "has no room there on the rod" in refusal(**rod, **seat, washer_distance="303 mm")
    narrow = {"base_diameter": "40 mm", "shoulder_diameter": "38 mm", "solid_tip": "80 mm", "seat_width": "14 mm"}
    assert "the M5 rod, 5 mm wide, does not pass the opening" in refusal(**{**rod, **seat, **narrow})


def test_a_pocket_holds_no_more_than_lead() -> None:
    fields = {"solid_tip": "60 mm", "pocket_diameter": "18 mm", "pocket_length": "15 mm"}
    part = nose(**fields, ballast_mass="20 g")
    (ballast,) = part.carried()
    assert ballast.mass == 20.0
    # The pocket opens where the roof of 45 degrees is as wide: 60 + 9 mm.
    assert ballast.station == pytest.approx(69.0 - 7.5)
    room = math.pi / 4.0 * 18.0**2 * 15.0
    message = refusal(**fields, ballast_mass="100 g")
    assert f"{room * 11.35e-3:.0f} g" in message
    assert "ballast_mass" in message


def test_dowels_go_right_across_and_cross_each_other() -> None:
    fields: dict[str, Any] = {"solid_tip": "60 mm", "dowel_diameter": "3 mm", "dowel_distances": ("30 mm", "40 mm")}
    shape = nose(**fields).shape()
    assert isinstance(shape, Cut)
    bars = [tool for tool in shape.tools if isinstance(tool, Placed)]
    assert len(bars) == 2
    assert measure(solid(shape)).valid
    # By elementary solids: a bar as long as the nose is wide there, within the bend of its ends.
    wide = [2.0 * radius_at(nose().skin(), x) for x in (30.0, 40.0)]
    assert volume(nose(solid_tip="60 mm")) - volume(nose(**fields)) == pytest.approx(
        sum(wide) * math.pi / 4.0 * 9.0, rel=0.01
    )


# --- printed ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("body", ["hollow", "solid"])
@pytest.mark.parametrize("profile", ["von-karman", "tangent-ogive", "cone"])
def test_sections_are_the_whole_less_their_gaps(profile: str, body: str) -> None:
    part = nose(profile=profile, body=body, section_height="150 mm", joining="held")
    built, pieces = part.built(), part.printed_pieces()
    assert [piece.word for piece in pieces] == [f"{i + 1} of {len(pieces)}" for i in range(len(pieces))]
    gaps = gap_volume(built.joints, edges(reverse(built.inside)))
    assert gaps > 0.0
    found = sum(moments(piece.shape).volume for piece in pieces)
    assert found + gaps == pytest.approx(volume(part), rel=1e-6)
    for piece in pieces:
        printed = mesh(piece.shape).placed(piece.pose)
        assert printed.faults() == ()
        assert 0.0 <= printed.vertices[:, 2].min() < 1e-5
        assert printed.vertices[:, 2].max() <= 150.0 + 1e-6


def test_a_nose_that_is_low_enough_is_one_piece() -> None:
    (piece,) = nose(section_height="320 mm").printed_pieces()
    assert piece.word == ""
    assert nose(section_height="320 mm").built().joints == ()


def test_stated_joints_are_kept() -> None:
    joints = nose(joint_stations=("170 mm", "90 mm")).built().joints
    assert [joint.station for joint in joints] == [90.0, 170.0]


def test_dowels_lie_beside_the_rod() -> None:
    """Touching its thread, on one side and the other: (5 + 3) / 2 mm off the axis."""
    places = ("40 mm", "46 mm", "52 mm", "58 mm")
    shape = nose(solid_tip="70 mm", rod_size="M5", dowel_diameter="3 mm", dowel_distances=places).shape()
    assert isinstance(shape, Cut)
    moves = [tool.placement.move[1:] for tool in shape.tools if isinstance(tool, Placed)]
    assert [4.0 if 4.0 in map(abs, move) else 0.0 for move in moves] == [4.0] * 4
    assert sum(sum(x for x in move if abs(x) == 4.0) for move in moves) == 0.0
    assert measure(solid(shape)).valid


def test_a_rod_takes_little_of_the_core() -> None:
    """Its hole and the shell round it, at most pi r^2 along the nose (elementary solids)."""
    plain, bored = (
        moments(nose(body="solid", infill=0.15, **rod).bodies()[1].shape).volume for rod in ({}, {"rod_size": "M5"})
    )
    assert 0.0 < plain - bored < math.pi * (2.75 + 1.6) ** 2 * 318.0


def test_infill_weighs_its_share() -> None:
    """Shell and core together are the part; the core weighs its share of it."""
    full = nose(body="solid")
    part = nose(body="solid", infill=0.15)
    shell, core = part.bodies()
    volumes = [moments(body.shape).volume for body in (shell, core)]
    assert sum(volumes) == pytest.approx(volume(full), rel=1e-9)
    assert shell.density is not None
    assert core.density == pytest.approx(0.15 * shell.density)
    assert nose(body="solid", infill=0.15, perimeters=8).bodies()[1] != core
    thick = moments(nose(body="solid", infill=0.15, perimeters=8).bodies()[1].shape).volume
    assert thick < volumes[1]


# --- what cannot be ---------------------------------------------------------------------------------------------------

IMPOSSIBLE: dict[str, tuple[dict[str, Any], str]] = {
    "wall against radius": ({"wall": "40 mm"}, "wall: 40 mm is not less than the radius of the base, 34.15 mm"),
    "tip too large": ({"tip_radius": "40 mm"}, "tip_radius: 40 mm must be below the radius of the base"),
    "sharp with a radius": ({"tip": "sharp", "tip_radius": "3 mm"}, "tip_radius: a sharp tip has none"),
    "flat without one": ({"tip": "flat"}, "tip_radius: is needed for a flat tip"),
    "thin under a screw": (
        {"joining": "held", "screw_into": "hole", "shoulder_wall": "1 mm"},
        "need a wall of at least 1.2 mm",
    ),
    "ring too thick": (
        {"base_diameter": "18 mm", "shoulder_diameter": "16 mm", "joining": "held", "screw_into": "insert"},
        "screw_into: a M3 insert needs a ring 6 mm thick",
    ),
    "no insert of that size": (
        {"joining": "held", "screw_into": "insert", "screw_size": "M12"},
        "there is no M12 insert",
    ),
    "rod held by nothing": ({"rod_size": "M5"}, "give a solid_tip of"),
    "rod too near the skin": (
        {"solid_tip": "60 mm", "rod_size": "M8", "rod_start": "5 mm"},
        "rod_start: a hole of 9 mm whose point reaches to 0.5 mm",
    ),
    "dowel outside the solid": (
        {"solid_tip": "30 mm", "dowel_diameter": "3 mm", "dowel_distances": ("35 mm",)},
        "dowel_distances: a dowel of 3 mm at 35 mm is not wholly in the solid",
    ),
    "rod bedded in nothing": (
        {"solid_tip": "30 mm", "rod_size": "M5"},
        "solid_tip: a M5 rod must be bedded over 20 mm",
    ),
    "rod out of a flat tip": (
        {"tip": "flat", "tip_radius": "8 mm", "solid_tip": "60 mm", "rod_size": "M8", "rod_start": "4 mm"},
        "rod_start: a hole of 9 mm whose point reaches to -0.5 mm",
    ),
    "pocket out of the tip": (
        {
            "tip": "flat",
            "tip_radius": "14 mm",
            "solid_tip": "30 mm",
            "pocket_diameter": "14 mm",
            "pocket_length": "34 mm",
        },
        "pocket_length: a hole of 14 mm",
    ),
    "pocket through the shoulder": (
        {"body": "solid", "pocket_diameter": "64.9 mm", "pocket_length": "30 mm"},
        "pocket_diameter: ",
    ),
    "rod through plugs": (
        {"body": "solid", "rod_size": "M5", "section_height": "200 mm"},
        "section_height: the spigots of a solid nose are plugs",
    ),
    "nut in a solid": ({"body": "solid", "joining": "held", "screw_into": "nut"}, "take screw_into = insert"),
    "ring out of the shoulder": (
        {"joining": "held", "screw_distance": "3 mm"},
        "screw_distance: the ring for M3 inserts, 9.2 mm long, is not wholly in the shoulder",
    ),
    "insert wider than its ring": ({"joining": "held", "screw_diameter": "20 mm"}, "screw_diameter: 20 mm leaves no"),
    "size of no screws": ({"screw_distance": "20 mm"}, "screw_distance: there are no screws"),
    "screws in the seat": (
        {
            "joining": "held",
            "screw_into": "hole",
            "screw_distance": "60 mm",
            "plate_seat": "recess",
            "plate_thickness": "6 mm",
        },
        "plate_thickness: the seat of a plate of 6 mm",
    ),
    "plate on nothing": (
        {"plate_seat": "recess", "plate_thickness": "6 mm", "seat_diameter": "60.6 mm"},
        "seat_diameter: the plate must rest on 1 mm",
    ),
    "vent at the tube": (
        {"vent_hole_diameter": "3 mm", "vent_hole_distance": "2 mm"},
        "nearer to the tube than 2 mm",
    ),
    "a ball": ({"profile": "secant-ogive", "arc_radius": "130 mm"}, "arc_radius: 130 mm bulges to more than 1.5 times"),
    "washers without a rod": ({"washer_count": 3}, "rod_size: is needed for a stack of washers"),
    "too many washers": (
        {"solid_tip": "60 mm", "rod_size": "M8", "washer_count": 200},
        "washer_count: a stack of 200 M8 washers",
    ),
    "recess through the wall": (
        {"plate_seat": "recess", "plate_thickness": "6 mm", "seat_diameter": "65 mm"},
        "at least 62.5 mm, at most 62.9 mm; or take plate_seat = ledge",
    ),
    "seat in the screws": (
        {"plate_seat": "ledge", "plate_thickness": "30 mm", "joining": "held", "screw_into": "insert"},
        "take a thinner plate, a longer shoulder, or a smaller screw_distance",
    ),
    "chamfer of the whole wall": ({"bed_chamfer": "2.4 mm"}, "bed_chamfer: 2.4 mm leaves nothing"),
    "spigot longer than a section": (
        {"section_height": "14 mm"},
        "spigot_length: 15 mm is not less than section_height",
    ),
    "sections too low": ({"section_height": "60 mm"}, "section_height"),
    "joint in the base step": ({"joint_stations": ("245 mm",)}, "joint_stations: a joint at 245 mm"),
    "infill of a hollow body": ({"infill": 0.2}, "infill: a hollow body is printed as its wall says"),
    "solid tip of a solid": ({"body": "solid", "solid_tip": "20 mm"}, "solid_tip: the body is solid throughout"),
    "solid tip without a cavity": ({"solid_tip": "249.5 mm"}, "solid_tip: 249.5 mm leaves no cavity"),
    "vent in the tip": (
        {"vent_hole_diameter": "3 mm", "vent_hole_distance": "249 mm"},
        "vent_hole_distance: a hole of 3 mm at 249 mm",
    ),
    "table and formula": ({"point_radii": ("0 mm",)}, "point_radii: the profile tangent-ogive has its formula"),
    "table without points": ({"profile": "table"}, "point_stations: is needed for the profile table"),
    "constant of another": ({"power_exponent": 0.5}, "power_exponent: the profile tangent-ogive has no such constant"),
}


@pytest.mark.parametrize("case", IMPOSSIBLE)
def test_what_cannot_be_says_which_field_and_what_would_do(case: str) -> None:
    fields, words = IMPOSSIBLE[case]
    assert words in refusal(**fields)


# --- every combination ------------------------------------------------------------------------------------------------


@st.composite
def options(draw: st.DrawFn) -> dict[str, Any]:
    """Fields of a nose in every combination; most can be, some cannot."""
    base = draw(st.floats(38.0, 110.0))
    length = base * draw(st.floats(1.2, 5.5))
    profile = draw(st.sampled_from([skin for skin in SKINS if skin != "table"]))
    constants: dict[str, dict[str, Any]] = {
        "secant-ogive": {"arc_radius": f"{((base / 2) ** 2 + length**2) / base * draw(st.floats(0.95, 2.0)):.9g} mm"},
        "parabola": {"parabola_constant": draw(st.floats(0.0, 1.0))},
        "power-law": {"power_exponent": draw(st.floats(0.45, 1.0))},
        "haack": {"haack_constant": draw(st.floats(0.0, 0.66))},
    }
    shoulder = base - draw(st.floats(1.0, 4.0))
    fields: dict[str, Any] = {
        "profile": profile,
        **constants.get(profile, {}),
        "length": f"{length:.9g} mm",
        "base_diameter": f"{base:.9g} mm",
        "wall": f"{draw(st.floats(1.2, 2.8)):.6g} mm",
        "body": draw(st.sampled_from(["hollow", "hollow", "hollow", "solid"])),
        "shoulder_length": f"{base * draw(st.floats(0.6, 1.1)):.6g} mm",
        "shoulder_diameter": f"{shoulder:.9g} mm",
        "shoulder_wall": f"{draw(st.floats(1.6, 3.4)):.6g} mm",
        "thick_length": f"{draw(st.sampled_from([0.0, 20.0, 35.0]))} mm",
        "bed_chamfer": f"{draw(st.sampled_from([0.0, 0.6, 1.0]))} mm",
    }
    if draw(st.booleans()):
        fields["tip"] = draw(st.sampled_from(["round", "flat"]))
        fields["tip_radius"] = f"{base * draw(st.floats(0.03, 0.2)):.6g} mm"
    joined = draw(st.sampled_from(["", "hole", "insert", "nut", "pins"]))
    if joined == "pins":
        fields |= {"joining": "released", "shear_pin_count": draw(st.integers(2, 4))}
    elif joined:
        fields |= {"joining": "held", "screw_into": joined, "screw_size": draw(st.sampled_from(["M2", "M3", "M4"]))}
    if fields["body"] == "hollow":
        if draw(st.booleans()):
            fields |= {"plate_seat": draw(st.sampled_from(["recess", "ledge"])), "plate_thickness": "6 mm"}
        if draw(st.booleans()):
            fields["solid_tip"] = f"{length * draw(st.floats(0.2, 0.4)):.6g} mm"
        if draw(st.booleans()):
            fields["vent_hole_diameter"] = "3 mm"
    if draw(st.booleans()):
        fields["rod_size"] = draw(st.sampled_from(["M4", "M5", "M6"]))
    elif fields["body"] == "solid" and draw(st.booleans()):
        fields["infill"] = 0.15
    if draw(st.booleans()):
        fields["section_height"] = f"{(length + base) * draw(st.floats(0.4, 0.8)):.6g} mm"
    return fields


def built_or_assumed_away(fields: dict[str, Any]) -> NoseCone:
    """The nose; a combination that cannot be says which field is to blame.

    Raises:
        DesignError: never: the example is given up first.
    """
    try:
        return NoseCone.build(**fields)
    except DesignError as error:
        assert all(problem.field in NoseCone.model_fields for problem in error.problems), str(error)
        assume(False)
        raise


@settings(max_examples=8)
@given(options())
def test_every_combination_is_a_sound_solid(fields: dict[str, Any]) -> None:
    """Kernel-valid in one body, no sliver faces, as large as the integrals say, and a closed mesh of every piece."""
    part = built_or_assumed_away(fields)
    body = solid(part.shape())
    exact, kernel = moments(part.shape()), measure(body)
    assert kernel.valid
    assert kernel.bodies == 1
    # A few faces for each piece of the section and each hole, and none of them a sliver.
    assert kernel.faces <= 2 * len(part.built().body.meridian.edges) + 12 * len(part.built().tools) + 40
    assert min(face_areas(body)) > 1e-2
    assert kernel.moments.volume == pytest.approx(exact.volume, rel=1e-6)
    pieces = part.printed_pieces()
    for piece in pieces:
        assert mesh(piece.shape).faults() == ()
    if len(pieces) > 1:
        built = part.built()
        total = sum(moments(piece.shape).volume for piece in pieces)
        gaps = gap_volume(built.joints, edges(reverse(built.inside)))
        assert total + gaps == pytest.approx(exact.volume, rel=1e-6)


@settings(max_examples=20)
@given(options())
def test_every_section_is_a_sound_meridian(fields: dict[str, Any]) -> None:
    """The inside keeps a wall: nowhere is it nearer to the skin than the wall, to a hundredth of a millimetre."""
    part = built_or_assumed_away(fields)
    built = part.built()
    assert isinstance(built.body, Revolved)
    if not built.cavity:
        return
    skin = np.vstack([piece.at(np.linspace(0.0, 1.0, 400)) for piece in part.skin()])
    inner = np.vstack([piece.at(np.linspace(0.0, 1.0, 60)) for piece in built.cavity])
    inner = inner[inner[:, 0] < part.length - 2.0 * part.wall]
    if len(inner):
        away = np.hypot(inner[:, None, 0] - skin[None, :, 0], inner[:, None, 1] - skin[None, :, 1]).min(axis=1)
        assert away.min() > part.wall - 0.01


# --- envelope ---------------------------------------------------------------------------------------------------------


def test_the_lowest_of_two_lines_turns_where_they_cross() -> None:
    rising, falling = Line((0.0, 0.0), (10.0, 10.0)), Line((0.0, 6.0), (10.0, 2.0))
    found = lowest([(rising,), (falling,)])
    assert [piece.end for piece in found] == [pytest.approx((30.0 / 7.0, 30.0 / 7.0)), (10.0, 2.0)]


def test_a_limit_that_begins_beside_another_makes_a_step() -> None:
    found = lowest([(Line((0.0, 5.0), (10.0, 5.0)),), (Line((4.0, 3.0), (6.0, 3.0)),)])
    assert [(piece.start, piece.end) for piece in found] == [
        ((0.0, 5.0), (4.0, 5.0)),
        ((4.0, 5.0), (4.0, 3.0)),
        ((4.0, 3.0), (6.0, 3.0)),
        ((6.0, 3.0), (6.0, 5.0)),
        ((6.0, 5.0), (10.0, 5.0)),
    ]


@given(st.lists(st.tuples(st.floats(0.0, 30.0), st.floats(-2.0, 2.0)), min_size=1, max_size=6))
def test_the_lowest_is_nowhere_above_any(lines: list[tuple[float, float]]) -> None:
    chains = [(Line((0.0, r), (20.0, r + 20.0 * slope)),) for r, slope in lines]
    found = lowest(chains)
    for x in np.linspace(0.1, 19.9, 37):
        assert radius_at(found, float(x)) == pytest.approx(min(r + slope * x for r, slope in lines), abs=1e-5)
