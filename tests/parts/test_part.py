"""What all kinds have in common: they round-trip, they are frozen, and rules over several fields give one message."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from ferrule.parts.errors import DesignError
from ferrule.parts.fit import MeasuredTube
from ferrule.parts.kinds import CenteringRing, Fin, NoseCone, Tube, in_bench_order
from ferrule.parts.part import Part
from ferrule.parts.tables import material

KINDS = pytest.mark.parametrize("kind", in_bench_order(), ids=lambda kind: kind.kind)
NOSE: dict[str, Any] = {"profile": "cone", "length": "200 mm", "base_diameter": "66 mm"}
SHOULDER = {**NOSE, "shoulder_length": "60 mm", "shoulder_diameter": "64 mm"}
RING: dict[str, Any] = {"outside_diameter": "66 mm", "inside_diameter": "31 mm", "thickness": "6 mm"}
FIN = {key: value for key, value in Fin.example.items() if not key.startswith("tab_")}
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
            "leave 0.45 mm to the nearer edge; at least 1 mm",
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
            "two holes leave -5 mm between them",
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
            {**SHOULDER, "screw_count": 3, "screw_distance": "59 mm"},
            "screw_distance",
            "is not wholly in the shoulder of 60 mm",
        ),
        (
            NoseCone,
            {**SHOULDER, "screw_count": 24, "screw_diameter": "6 mm"},
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
        (Fin, {"tab_length"}, {"tab_depth": 18.4}),
        (Fin, set(), {}),
        (Fin, {"tab_length", "tab_depth"}, {}),
        (Tube, set(), {}),
    ],
)
def test_sizes_that_are_not_stated_follow_from_the_tubes(
    kind: type[Part], stated: set[str], derived: dict[str, float]
) -> None:
    found = kind.derived(frozenset(stated), TUBE, MOTOR_TUBE)
    assert {name: size.value for name, size in found.items()} == pytest.approx(derived, abs=1e-9)
    assert kind.derived(frozenset(stated), None, None) == {}
