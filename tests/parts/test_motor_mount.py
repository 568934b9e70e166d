"""Motor mounts against tube and annuli by hand (elementary geometry), and the rings that are cut for them."""

from __future__ import annotations

import math
from typing import Any

import pytest

from ferrule.parts.errors import DesignError, PartError
from ferrule.parts.kinds import CenteringRing, MotorMount
from ferrule.parts.kinds.motor_mount import positions_for_tab
from ferrule.parts.marks import Label
from ferrule.parts.readers.brep import measure, solid
from ferrule.parts.readers.integrals import moments
from ferrule.parts.shape import Cut, Revolved
from ferrule.parts.tables import material

MOUNT: dict[str, Any] = {
    "tube_outside_diameter": "31 mm",
    "tube_inside_diameter": "29.2 mm",
    "tube_length": "150 mm",
    "ring_diameter": "65.7 mm",
    "ring_thickness": "6 mm",
}
HOLES: dict[str, Any] = {"hole_diameter": "5 mm", "hole_circle_diameter": "48 mm", "hole_rolls": ("0 deg", "90 deg")}
TUBE = math.pi * (15.5**2 - 14.6**2) * 150.0
RING = math.pi * (32.85**2 - 15.5**2) * 6.0
HOLE = math.pi * 2.5**2 * 6.0

POSITIONS: dict[str, tuple[float, ...]] = {
    "between": (10.0, 46.0, 142.7),
    "flush": (0.0, 144.0),
    "out of order": (100.0, 20.0),
    "face to face": (10.0, 16.0, 100.0),
    "all of it": tuple(6.0 * i for i in range(12)),
    "one": (0.0,),
}


def mount(*positions: float, **fields: Any) -> MotorMount:
    return MotorMount.build(**MOUNT, ring_positions=tuple(f"{one} mm" for one in positions), **fields)


@pytest.mark.parametrize("name", POSITIONS)
def test_tube_and_rings_weigh_what_they_weigh_by_hand(name: str) -> None:
    positions = POSITIONS[name]
    part = mount(*positions)
    assert isinstance(part.shape(), Revolved)
    found = moments(part.shape())
    volume = TUBE + len(positions) * RING
    assert found.volume == pytest.approx(volume, rel=1e-12)
    first = TUBE * 75.0 + RING * sum(one + 3.0 for one in positions)
    assert found.centroid[0] == pytest.approx(first / volume, rel=1e-12)
    kernel = measure(solid(part.shape()))
    assert kernel.valid
    assert kernel.bodies == 1


def test_each_body_has_its_own_density() -> None:
    """The tube by its material, the rings by theirs; a stated density goes before the table's."""
    part = mount(10.0, 100.0, material="kraft-tube", ring_material="birch-plywood")
    kraft, birch = material("kraft-tube").density, material("birch-plywood").density
    assert [body.density for body in part.bodies()] == [kraft, birch, birch]
    assert [moments(body.shape).volume for body in part.bodies()] == pytest.approx([TUBE, RING, RING], rel=1e-12)
    stated = mount(10.0, density="900 kg/m3", ring_material="birch-plywood", ring_density="600 kg/m3")
    assert [body.density for body in stated.bodies()] == pytest.approx([9e-4, 6e-4], rel=1e-12)
    assert [body.density for body in mount(10.0).bodies()] == [None, None]


def test_each_ring_field_changes_the_fingerprint() -> None:
    parts = [
        mount(10.0),
        mount(10.0, ring_material="birch-plywood"),
        mount(10.0, ring_density="700 kg/m3"),
        mount(10.0, ring_inside_diameter="31.4 mm"),
        mount(11.0),
    ]
    assert len({part.fingerprint() for part in parts}) == len(parts)


@pytest.mark.parametrize(
    ("name", "drilled"),
    [("between", 1), ("flush", 1), ("out of order", 1), ("face to face", 2), ("all of it", 12), ("one", 1)],
)
def test_anchor_holes_go_through_the_foremost_ring_and_what_is_glued_to_it(name: str, drilled: int) -> None:
    positions = POSITIONS[name]
    part = mount(*positions, **HOLES)
    assert isinstance(part.shape(), Cut)
    volume = TUBE + len(positions) * RING - 2 * drilled * HOLE
    assert moments(part.shape()).volume == pytest.approx(volume, rel=1e-7)
    assert sum(moments(body.shape).volume for body in part.bodies()) == pytest.approx(volume, rel=1e-12)
    kernel = measure(solid(part.shape()))
    assert kernel.valid
    assert kernel.moments.volume == pytest.approx(volume, rel=1e-7)
    pieces = {piece.word: piece.count for piece in part.cut_pieces()}
    plain = len(positions) - drilled
    assert pieces == {"anchor ring": drilled, **({"ring": plain} if plain else {})}


def test_a_ring_close_behind_is_not_scratched() -> None:
    """0.1 mm behind the foremost ring, where a hole's tool must not reach into the next."""
    part = mount(10.0, 16.1, **HOLES)
    assert moments(part.shape()).volume == pytest.approx(TUBE + 2 * RING - 2 * HOLE, rel=1e-7)


def test_the_pieces_to_cut_are_centering_rings_that_go_over_the_tube() -> None:
    """0.2 mm over the tube's outside, common practice; else what is stated."""
    ring: dict[str, Any] = {"outside_diameter": "65.7 mm", "inside_diameter": "31.2 mm", "thickness": "6 mm"}
    anchor, plain = mount(10.0, 46.0, 142.0, **HOLES).cut_pieces()
    assert (anchor.count, plain.count) == (1, 2)
    for piece, fields in ((anchor, {**ring, **HOLES}), (plain, ring)):
        alone = CenteringRing.build(**fields)
        assert piece.outline == alone.template()
        assert piece.marks == alone.marks()
        assert piece.thickness == 6.0
    (wide,) = mount(10.0, ring_inside_diameter="31.5 mm").cut_pieces()
    assert wide.outline == CenteringRing.build(**{**ring, "inside_diameter": "31.5 mm"}).template()
    assert moments(mount(10.0, ring_inside_diameter="31.5 mm").shape()).volume == pytest.approx(TUBE + RING, rel=1e-12)


U_BOLT: dict[str, Any] = {
    "u_bolt_width": "20 mm",
    "u_bolt_hole_diameter": "5.5 mm",
    "u_bolt_roll": "90 deg",
    "washer_diameter": "10 mm",
}
SLOT: dict[str, Any] = {"harness_slot_width": "4 mm", "harness_slot_length": "14 mm", "harness_slot_roll": "-90 deg"}
VENTS: dict[str, Any] = {"vent_hole_count": 2, "vent_hole_diameter": "4 mm", "vent_circle_diameter": "46 mm"}
RETENTION: dict[str, Any] = {
    "retention_hole_count": 2,
    "retention_hole_diameter": "3 mm",
    "retention_circle_diameter": "52 mm",
    "retention_roll": "90 deg",
}
NOTCHES: dict[str, Any] = {"notch_count": 4, "notch_width": "4 mm", "notch_depth": "9 mm"}
VEE: dict[str, Any] = {"alignment_notch_width": "3 mm", "alignment_notch_depth": "1.5 mm"}

RIM = 32.85
BOLT, BAND = math.pi * 2.75**2 * 6.0, (4.0 * 10.0 + math.pi * 2.0**2) * 6.0
VENT, SCREW = math.pi * 2.0**2 * 6.0, math.pi * 1.5**2 * 6.0


def bite(half: float, floor: float, vee: bool = False) -> float:
    """Volume of a notch in the rim: a rectangle or a triangle up to the chord, and the segment beyond it."""
    turn, mouth = math.asin(half / RIM), math.sqrt(RIM**2 - half**2)
    flat = (mouth - floor) * half * (1.0 if vee else 2.0)
    return (flat + RIM**2 * (turn - math.sin(turn) * math.cos(turn))) * 6.0


NOTCH, NICK = bite(2.0, RIM - 9.0), bite(1.5, RIM - 1.5, vee=True)


def test_each_feature_is_in_the_rings_that_it_belongs_to() -> None:
    """Four rings, of which the first two and the last two lie face to face."""
    part = mount(
        10.0, 16.0, 138.0, 144.0, **U_BOLT, **SLOT, **VENTS, **RETENTION, **NOTCHES, **VEE, notched_rings=(2, 3)
    )
    volume = TUBE + 4 * (RING - 2 * VENT - NICK) - 2 * (2 * BOLT + BAND) - 2 * 2 * SCREW - 2 * 4 * NOTCH
    bodies = [moments(body.shape).volume for body in part.bodies()]
    ends, middle = RING - 2 * VENT - NICK, RING - 2 * VENT - NICK - 4 * NOTCH
    front, back = 2 * BOLT + BAND, 2 * SCREW
    assert bodies == pytest.approx([TUBE, ends - front, middle - front, middle - back, ends - back], rel=1e-12)
    assert moments(part.shape()).volume == pytest.approx(volume, rel=1e-6)
    kernel = measure(solid(part.shape()))
    assert (kernel.valid, kernel.bodies) == (True, 1)
    assert kernel.moments.volume == pytest.approx(volume, rel=1e-6)
    assert [(piece.word, piece.count) for piece in part.cut_pieces()] == [
        ("anchor ring", 1),
        ("notched anchor ring", 1),
        ("notched aft ring", 1),
        ("aft ring", 1),
    ]


def test_its_rings_are_centering_rings_with_the_same_features() -> None:
    front: dict[str, Any] = {**U_BOLT, **SLOT, **VEE}
    first, last = mount(10.0, 100.0, **front, **RETENTION).cut_pieces()
    ring: dict[str, Any] = {"outside_diameter": "65.7 mm", "inside_diameter": "31.2 mm", "thickness": "6 mm"}
    for piece, fields in ((first, front), (last, {**RETENTION, **VEE})):
        alone = CenteringRing.build(**ring, **fields)
        assert (piece.outline, piece.marks) == (alone.template(), alone.marks())


def test_a_vee_takes_the_uppermost_point_of_every_rim() -> None:
    part = mount(10.0, 100.0, **VEE)
    kernel = measure(solid(part.shape()))
    # The corners of the vee are the highest that is left.
    assert kernel.high[1] == pytest.approx(math.sqrt(RIM**2 - 1.5**2), abs=1e-6)
    assert kernel.low[1] == pytest.approx(-RIM, abs=1e-6)


def test_the_notes_on_the_rings_say_what_the_retention_needs() -> None:
    part = mount(10.0, 136.5, retainer_overhang="7 mm", motor_overhang="12 mm", thrust_by="thrust-ring")
    assert part.overhang == pytest.approx(7.5, abs=1e-12)
    (piece,) = part.cut_pieces()
    words = [mark.words for mark in piece.marks if isinstance(mark, Label)]
    assert words[-3:] == [
        "tube stands 7.5 mm out of the last ring, for the retainer",
        "motor stands 12 mm out of the tube",
        "thrust by the thrust ring",
    ]
    assert part.shape() == mount(10.0, 136.5).shape()


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        (
            {"retainer_overhang": "8 mm"},
            "retainer_overhang",
            "the tube ends 7.5 mm aft of the last ring; the retainer needs 8 mm",
        ),
        (NOTCHES, "notched_rings", "is needed for the notches and not stated"),
        ({"notched_rings": (1,)}, "notch_count", "is needed for the notches and not stated"),
        ({**NOTCHES, "notched_rings": (3,)}, "notched_rings", "there is no ring 3; there are 2"),
        ({**NOTCHES, "notched_rings": (0,)}, "notched_rings", "there is no ring 0; there are 2"),
        (
            # The bore that is cut is 0.2 mm wider than the tube: 32.85 less 12.4 and 15.6.
            {**NOTCHES, "notch_depth": "12.4 mm", "notched_rings": (2,)},
            "notch_depth",
            "the notch at 45 deg and the bore leave 4.85 mm between them; at least 5 mm must stay",
        ),
        (
            {**RETENTION, "retention_circle_diameter": "35 mm"},
            "retention_circle_diameter",
            "the retention hole at 90 deg and the bore leave 0.4 mm between them",
        ),
    ],
)
def test_a_feature_that_its_ring_has_no_room_for_is_refused(fields: dict[str, Any], field: str, words: str) -> None:
    with pytest.raises(DesignError) as caught:
        mount(10.0, 136.5, **fields)
    (problem,) = caught.value.problems
    assert (problem.field, words in problem.message) == (field, True), str(problem)


def test_features_of_different_rings_do_not_meet() -> None:
    """Anchors and retention on the same places: in two rings they may, in one they may not."""
    both = {**HOLES, **RETENTION, "retention_circle_diameter": "48 mm"}
    assert len(mount(10.0, 100.0, **both).cut_pieces()) == 2
    with pytest.raises(DesignError, match="the retention hole at 90 deg and the hole at 90 deg run into each other"):
        mount(10.0, **both)


def test_rings_that_locate_a_fin_tab_leave_it_its_gap() -> None:
    first, second = positions_for_tab(40.0, 90.0, 0.7, 6.0)
    assert (first, second - (first + 6.0)) == pytest.approx((40.0, 90.7), abs=1e-12)
    assert mount(first, second).shape()
    for values, word in (
        ((-1.0, 90.0, 0.7, 6.0), "first"),
        ((0.0, 0.0, 0.7, 6.0), "tab_length"),
        ((0.0, 90.0, -0.1, 6.0), "gap"),
        ((0.0, 90.0, 0.7, 0.0), "thickness"),
    ):
        with pytest.raises(PartError, match=word):
            positions_for_tab(*values)
