"""What all kinds have in common: they round-trip, they are frozen, and rules over several fields give one message."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from ferrule.parts.errors import DesignError
from ferrule.parts.fit import MeasuredTube, Surroundings
from ferrule.parts.kinds import (
    Bulkhead,
    CenteringRing,
    Coupler,
    Fin,
    MotorMount,
    NoseCone,
    RailButton,
    Transition,
    Tube,
    in_bench_order,
)
from ferrule.parts.part import Part
from ferrule.parts.tables import material

KINDS = pytest.mark.parametrize("kind", in_bench_order(), ids=lambda kind: kind.kind)
NOSE: dict[str, Any] = {"profile": "cone", "length": "200 mm", "base_diameter": "66 mm"}
SHOULDER = {**NOSE, "shoulder_length": "60 mm", "shoulder_diameter": "64 mm"}
RING: dict[str, Any] = {"outside_diameter": "66 mm", "inside_diameter": "31 mm", "thickness": "6 mm"}
FIN = {key: value for key, value in Fin.example.items() if not key.startswith("tab_")}
FIN_TUBES = {"body_diameter": 68.4, "body_inside_diameter": 65.9, "motor_tube_diameter": 31.0}
"""Of the tubes below, as measured [mm]."""
DISC: dict[str, Any] = {"outside_diameter": "66 mm", "thickness": "6 mm"}
STEPPED = {**DISC, "step_diameter": "61 mm", "step_thickness": "5 mm", "step_faces": "aft"}
COUPLER: dict[str, Any] = {"outside_diameter": "66 mm", "wall": "2 mm", "length": "120 mm"}
CONE: dict[str, Any] = {"forward_diameter": "68 mm", "aft_diameter": "50 mm", "length": "80 mm", "wall": "2 mm"}
FORWARD = {**CONE, "forward_shoulder_length": "40 mm", "forward_shoulder_diameter": "65 mm"}
MOUNT = {key: value for key, value in MotorMount.example.items() if not key.startswith("hole_")}
HOLES: dict[str, Any] = {"hole_diameter": "4 mm", "hole_positions": ("40 mm",)}
TUBE = MeasuredTube("tube", (68.4,), (65.9,))
MOTOR_TUBE = MeasuredTube("motor tube", (31.0,), (29.2,))


@KINDS
def test_a_part_round_trips_through_its_fields_and_through_json(kind: type[Part]) -> None:
    part = kind.build(**kind.example)
    assert kind.build(**part.model_dump()) == part
    assert kind.build(**part.model_dump()).fingerprint() == part.fingerprint()
    assert kind.model_validate_json(part.model_dump_json()) == part


@KINDS
def test_a_part_cannot_be_changed(kind: type[Part]) -> None:
    part = kind.build(**kind.example)
    with pytest.raises(ValidationError):
        part.material = "pla"


@KINDS
def test_each_stated_field_changes_the_fingerprint(kind: type[Part]) -> None:
    part = kind.build(**kind.example)
    others = [kind.build(**{**kind.example, "density": "701 kg/m3"}), kind.build(**{**kind.example, "material": "abs"})]
    assert len({part.fingerprint(), *(other.fingerprint() for other in others)}) == 3


def test_the_words_for_a_material_and_the_unit_of_a_length_do_not_change_the_fingerprint() -> None:
    one = Tube.build(outside_diameter="76.2 mm", inside_diameter="74 mm", length="1 m", material="kraft-tube")
    same = Tube.build(outside_diameter="3 in", inside_diameter="7.4 cm", length="1000mm", material="Kraft Tube")
    assert one.fingerprint() == same.fingerprint()


def test_two_kinds_with_the_same_fields_differ_in_fingerprint() -> None:
    class Other(Tube):
        """The same under another name."""

        kind = "other"

    assert Other.build(**Tube.example).fingerprint() != Tube.build(**Tube.example).fingerprint()


def test_a_stated_density_goes_before_the_table_and_nothing_is_not_stated() -> None:
    assert Tube.build(**Tube.example).density_in_use() == material("kraft-tube").density
    assert Tube.build(**Tube.example, density="800 kg/m3").density_in_use() == pytest.approx(8e-4, rel=1e-15)
    bare = {key: value for key, value in Tube.example.items() if key != "material"}
    assert Tube.build(**bare).density_in_use() is None


@pytest.mark.parametrize(
    ("kind", "fields", "field", "words"),
    [
        (Tube, {**Tube.example, "inside_diameter": "68.4 mm"}, "inside_diameter", "68.4 mm is not smaller than"),
        (Tube, {**Tube.example, "hole_positions": ("40 mm",)}, "hole_diameter", "is needed for the holes"),
        (Tube, {**Tube.example, "hole_diameter": "4 mm"}, "hole_positions", "is needed for the holes"),
        (
            Tube,
            {**Tube.example, **HOLES, "hole_diameter": "33 mm"},
            "hole_diameter",
            "33 mm is more than half the inside diameter, 65.9 mm",
        ),
        (
            Tube,
            {**Tube.example, **HOLES, "hole_positions": ("2.5 mm",)},
            "hole_positions",
            "a hole of 4 mm at 2.5 mm leaves less than 1 mm to an end of the tube of 280 mm",
        ),
        (
            Tube,
            {**Tube.example, **HOLES, "hole_positions": ("40 mm", "278 mm")},
            "hole_positions",
            "a hole of 4 mm at 278 mm leaves less than 1 mm to an end",
        ),
        (
            Tube,
            {**Tube.example, **HOLES, "hole_positions": ("50 mm", "45.5 mm")},
            "hole_positions",
            "at 45.5 mm and 50 mm leave 0.5 mm between them; at least 1 mm",
        ),
        (CenteringRing, {**RING, "inside_diameter": "70 mm"}, "inside_diameter", "the bore of 70 mm is not smaller"),
        (CenteringRing, {**RING, "hole_rolls": ("0 deg",)}, "hole_diameter", "is needed for the holes"),
        (
            CenteringRing,
            {**RING, "hole_rolls": ("0 deg",), "hole_diameter": "5 mm"},
            "hole_circle_diameter",
            "is needed for the holes",
        ),
        (
            CenteringRing,
            {**RING, "hole_rolls": ("0 deg",), "hole_diameter": "5 mm", "hole_circle_diameter": "60.1 mm"},
            "hole_circle_diameter",
            "the hole at 0 deg and the rim leave 0.45 mm between them; at least 1 mm must stay",
        ),
        (
            CenteringRing,
            {
                **RING,
                "hole_rolls": ("0 deg", "360 deg"),
                "hole_diameter": "5 mm",
                "hole_circle_diameter": "48 mm",
            },
            "hole_rolls",
            "the hole at 0 deg and the hole at 0 deg run into each other",
        ),
        (Bulkhead, {**DISC, "step_diameter": "61 mm"}, "step_thickness", "is needed for the step and not stated"),
        (Bulkhead, {**DISC, "step_thickness": "5 mm"}, "step_diameter", "is needed for the step and not stated"),
        (Bulkhead, {**STEPPED, "step_faces": None}, "step_faces", "is needed for the step and not stated"),
        (
            Bulkhead,
            {**STEPPED, "step_diameter": "66 mm"},
            "step_diameter",
            "66 mm is not smaller than the large disc, 66 mm",
        ),
        (
            Bulkhead,
            {**STEPPED, "centre_hole_diameter": "59.5 mm"},
            "centre_hole_diameter",
            "59.5 mm in a disc of 61 mm leaves 0.75 mm to the edge; at least 1 mm",
        ),
        (
            # The small disc has the lesser room.
            Bulkhead,
            {**STEPPED, "hole_diameter": "5 mm", "hole_circle_diameter": "55 mm", "hole_rolls": ("0 deg",)},
            "hole_circle_diameter",
            "the hole at 0 deg and the rim leave 0.5 mm between them",
        ),
        (
            Bulkhead,
            {
                **DISC,
                "centre_hole_diameter": "20 mm",
                "hole_diameter": "5 mm",
                "hole_circle_diameter": "26 mm",
                "hole_rolls": ("0 deg",),
            },
            "hole_circle_diameter",
            "the hole at 0 deg and the eyebolt leave 0.5 mm between them",
        ),
        (Bulkhead, {**DISC, "hole_rolls": ("0 deg",)}, "hole_diameter", "is needed for the holes"),
        (
            Bulkhead,
            {**DISC, "hole_rolls": ("0 deg", "60 deg"), "hole_diameter": "5 mm", "hole_circle_diameter": "11 mm"},
            "hole_rolls",
            "the hole at 60 deg and the hole at 0 deg leave 0.5 mm between them",
        ),
        (Coupler, {**COUPLER, "wall": "33 mm"}, "wall", "33 mm is not less than the outside radius, 33 mm"),
        (
            Coupler,
            {**COUPLER, "screw_count": 3, "screw_distance": "119 mm"},
            "screw_distance",
            "a hole of 3.4 mm at 119 mm from the forward end is not wholly in the coupler of 120 mm",
        ),
        (
            Coupler,
            {**COUPLER, "screw_count": 24, "screw_diameter": "6 mm"},
            "screw_count",
            "do not leave half a hole between them round the coupler",
        ),
        (
            Transition,
            {**CONE, "wall": "24.9 mm"},
            "wall",
            "24.9 mm, square to the skin, leaves no opening at the aft end of 50 mm diameter",
        ),
        (
            Transition,
            {**CONE, "aft_diameter": "90 mm", "wall": "34 mm"},
            "wall",
            "leaves no opening at the forward end of 68 mm diameter; make the body solid",
        ),
        (
            Transition,
            {**CONE, "aft_shoulder_length": "40 mm"},
            "aft_shoulder_diameter",
            "is needed for a shoulder and not stated",
        ),
        (
            Transition,
            {**CONE, "forward_shoulder_diameter": "65 mm"},
            "forward_shoulder_length",
            "is needed for a shoulder and not stated",
        ),
        (
            Transition,
            {**FORWARD, "forward_shoulder_diameter": "68 mm"},
            "forward_shoulder_diameter",
            "68 mm is not smaller than the forward end of the skin, 68 mm",
        ),
        (
            Transition,
            {**FORWARD, "aft_shoulder_length": "40 mm", "aft_shoulder_diameter": "50.1 mm"},
            "aft_shoulder_diameter",
            "50.1 mm is not smaller than the aft end of the skin, 50 mm",
        ),
        (
            Transition,
            {**FORWARD, "shoulder_wall": "32.5 mm"},
            "shoulder_wall",
            "32.5 mm is not less than the forward shoulder's radius, 32.5 mm; make the body solid",
        ),
        (MotorMount, {**MOUNT, "tube_inside_diameter": "31 mm"}, "tube_inside_diameter", "31 mm is not smaller than"),
        (
            MotorMount,
            {**MOUNT, "ring_inside_diameter": "30.9 mm"},
            "ring_inside_diameter",
            "the bore of 30.9 mm does not go over the tube of 31 mm",
        ),
        (
            MotorMount,
            {**MOUNT, "ring_diameter": "31.2 mm"},
            "ring_diameter",
            "31.2 mm is not larger than the bore of the rings, 31.2 mm",
        ),
        (
            MotorMount,
            {**MOUNT, "ring_positions": ("0 mm", "144.1 mm")},
            "ring_positions",
            "a ring of 6 mm at 144.1 mm is not wholly on the tube of 150 mm",
        ),
        (
            MotorMount,
            {**MOUNT, "ring_positions": ("-0.5 mm",)},
            "ring_positions",
            "a ring of 6 mm at -0.5 mm is not wholly on the tube",
        ),
        (
            MotorMount,
            {**MOUNT, "ring_positions": ("15.9 mm", "10 mm")},
            "ring_positions",
            "the ring at 15.9 mm reaches into the one before it, which ends at 16 mm",
        ),
        (
            # The bore that is cut is 0.2 mm wider than the tube.
            MotorMount,
            {**MOUNT, "hole_diameter": "5 mm", "hole_circle_diameter": "38.1 mm", "hole_rolls": ("0 deg",)},
            "hole_circle_diameter",
            "the hole at 0 deg and the bore leave 0.95 mm between them",
        ),
        (RailButton, {**RailButton.example, "waist_diameter": "10 mm"}, "waist_diameter", "not smaller than the head"),
        (
            RailButton,
            {**RailButton.example, "foot_diameter": "5.6 mm"},
            "waist_diameter",
            "5.6 mm is not smaller than the foot, 5.6 mm",
        ),
        (
            RailButton,
            {**RailButton.example, "screw_diameter": "5.6 mm"},
            "screw_diameter",
            "5.6 mm is not smaller than the waist, 5.6 mm",
        ),
        (NoseCone, {**NOSE, "profile": "haack"}, "haack_constant", "is needed for the profile haack"),
        (NoseCone, {**NOSE, "haack_constant": 0.1}, "haack_constant", "the profile cone has no such constant"),
        (NoseCone, {**NOSE, "wall": "33 mm"}, "wall", "33 mm is not less than the radius of the base, 33 mm"),
        (NoseCone, {**NOSE, "shoulder_length": "60 mm"}, "shoulder_diameter", "is needed for a shoulder"),
        (NoseCone, {**NOSE, "shoulder_diameter": "60 mm"}, "shoulder_length", "is needed for a shoulder"),
        (
            NoseCone,
            {**SHOULDER, "shoulder_diameter": "66 mm"},
            "shoulder_diameter",
            "66 mm is not smaller than the base",
        ),
        (NoseCone, {**SHOULDER, "shoulder_wall": "32 mm"}, "shoulder_wall", "is not less than the shoulder's radius"),
        (NoseCone, {**NOSE, "screw_count": 3}, "screw_count", "the screws sit in the shoulder"),
        (
            NoseCone,
            {**SHOULDER, "screw_count": 3, "screw_into": "hole", "screw_distance": "59 mm"},
            "screw_distance",
            "is not wholly in the shoulder of 60 mm",
        ),
        (
            NoseCone,
            {**SHOULDER, "screw_count": 24, "screw_into": "hole", "screw_diameter": "6 mm"},
            "screw_count",
            "do not leave half a hole between them",
        ),
        (Fin, {**FIN, "tab_length": "90 mm"}, "tab_depth", "a tab needs both a length and a depth"),
        (Fin, {**FIN, "tab_depth": "9 mm"}, "tab_length", "a tab needs both a length and a depth"),
        (
            Fin,
            {**FIN, "tab_length": "90 mm", "tab_depth": "9 mm", "tab_position": "31 mm"},
            "tab_position",
            "ends 121 mm aft of the root leading edge, beyond the root chord of 120 mm",
        ),
    ],
)
def test_a_part_that_cannot_exist_is_refused_by_the_field_to_look_at(
    kind: type[Part], fields: dict[str, Any], field: str, words: str
) -> None:
    with pytest.raises(DesignError) as caught:
        kind.build(**fields)
    (problem,) = caught.value.problems
    assert problem.field == field
    assert words in problem.message


@pytest.mark.parametrize(
    ("kind", "stated", "derived"),
    [
        # Readings less the clearances of the table, by hand: common practice.
        (NoseCone, {"shoulder_length"}, {"base_diameter": 68.3, "shoulder_diameter": 65.4}),
        (NoseCone, set(), {"base_diameter": 68.3}),
        (NoseCone, {"base_diameter", "shoulder_length", "shoulder_diameter"}, {}),
        (CenteringRing, set(), {"outside_diameter": 65.7, "inside_diameter": 31.2}),
        (CenteringRing, {"inside_diameter"}, {"outside_diameter": 65.7}),
        (Fin, {"tab_length"}, {"tab_depth": 18.4, **FIN_TUBES}),
        (Fin, set(), FIN_TUBES),
        (Fin, {"tab_length", "tab_depth"}, FIN_TUBES),
        (Fin, {"body_diameter", "body_inside_diameter", "motor_tube_diameter"}, {}),
        (Tube, set(), {}),
        (Bulkhead, set(), {"outside_diameter": 65.7}),
        (Bulkhead, {"outside_diameter"}, {}),
        (Coupler, set(), {"outside_diameter": 65.5}),
        (Coupler, {"outside_diameter"}, {}),
        (Transition, set(), {"forward_diameter": 68.3, "aft_diameter": 30.9}),
        (
            Transition,
            {"forward_shoulder_length", "aft_shoulder_length"},
            {
                "forward_diameter": 68.3,
                "forward_shoulder_diameter": 65.4,
                "aft_diameter": 30.9,
                "aft_shoulder_diameter": 28.7,
            },
        ),
        (Transition, {"forward_diameter", "aft_diameter"}, {}),
        (
            MotorMount,
            {"tube_length"},
            {
                "tube_outside_diameter": 31.0,
                "tube_inside_diameter": 29.2,
                "ring_inside_diameter": 31.2,
                "ring_diameter": 65.7,
            },
        ),
        (
            MotorMount,
            {"tube_outside_diameter", "tube_inside_diameter", "ring_inside_diameter", "ring_diameter"},
            {},
        ),
        (RailButton, set(), {}),
    ],
)
def test_sizes_that_are_not_stated_follow_from_the_tubes(
    kind: type[Part], stated: set[str], derived: dict[str, float]
) -> None:
    found = kind.derived(frozenset(stated), Surroundings(TUBE, MOTOR_TUBE))
    assert {name: size.value for name, size in found.items()} == pytest.approx(derived, abs=1e-9)
    assert kind.derived(frozenset(stated), Surroundings(None, None)) == {}
