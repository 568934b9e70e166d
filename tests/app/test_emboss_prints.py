"""What is sunk into a print: where it goes, how much it takes away, and that the exact solid stays plain."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import trimesh

from ferrule.app.emboss_prints import DEPTH, HEIGHT, with_words
from ferrule.app.make import Job, make_part
from ferrule.parts.compensate import compensated
from ferrule.parts.kinds import Coupler, Fin, NoseCone, Transition
from ferrule.parts.lettering import letters
from ferrule.parts.machine import Printer
from ferrule.parts.part import Part
from ferrule.parts.readers.integrals import moments
from ferrule.parts.readers.mesh import mesh
from ferrule.parts.shape import Plate

WORDS = "A f2b9-4a2a"
COUPLER: dict[str, Any] = {"outside_diameter": "65.5 mm", "wall": "2.4 mm", "length": "140 mm", "material": "petg"}
TAIL: dict[str, Any] = {
    "forward_diameter": "66 mm",
    "aft_diameter": "50 mm",
    "length": "60 mm",
    "wall": "2 mm",
    "aft_shoulder_length": "40 mm",
    "aft_shoulder_diameter": "47.5 mm",
    "shoulder_wall": "2.4 mm",
    "material": "asa",
}
MARKED = [NoseCone.build(**NoseCone.example), Coupler.build(**COUPLER), Transition.build(**TAIL)]
PLAIN = [
    Fin.build(**Fin.example),
    NoseCone.build(profile="cone", length="200 mm", base_diameter="66 mm", material="petg"),  # no shoulder
    NoseCone.build(**{**NoseCone.example, "shoulder_length": "6 mm", "screw_count": "0"}),  # no room
    Coupler.build(**{**COUPLER, "wall": "0.6 mm"}),  # the letters would go through
    Coupler.build(**{**COUPLER, "material": "kraft-tube"}),  # cut, not printed
]


@pytest.mark.parametrize("part", MARKED, ids=lambda part: part.kind)
def test_letters_take_away_their_area_times_their_depth(part: Part) -> None:
    """On the curved wall a letter is short of its depth by at most the sagitta, a fifth of it."""
    shape, sunk = with_words(part, WORDS)
    assert sunk == WORDS
    taken = moments(part.shape()).volume - moments(shape).volume
    area = sum(moments(Plate(outline, 1.0)).volume for outline in letters(WORDS, HEIGHT))
    assert 0.8 * area * DEPTH <= taken <= area * DEPTH * 1.001


@pytest.mark.parametrize("part", PLAIN, ids=["fin", "no-shoulder", "no-room", "thin", "kraft"])
def test_where_there_is_no_room_the_print_stays_plain(part: Part) -> None:
    assert with_words(part, WORDS) == (part.shape(), "")


def test_the_print_has_the_words_and_the_exact_solid_has_not(tmp_path: Path) -> None:
    job = Job(Coupler.build(**COUPLER), "coupler", "demo", revision="A")
    made = {item.file: item for item in make_part(job, tmp_path, ("step", "stl", "3mf"), (), str)}
    assert made["demo-coupler.stl"].self_check["sunk_words"] == f"A {job.fingerprint[:9]}"
    assert made["demo-coupler.3mf"].self_check["sunk_words"] == f"A {job.fingerprint[:9]}"
    assert "sunk_words" not in made["demo-coupler.step"].self_check
    found = trimesh.load(tmp_path / "demo-coupler.stl")
    assert found.is_volume
    assert made["demo-coupler.step"].self_check["volume_mm3"] > found.volume


def test_another_revision_is_another_print() -> None:
    job = {letter: Job(MARKED[1], "coupler", "demo", revision=letter) for letter in "AB"}
    assert job["A"].origin("stl", ()).state != job["B"].origin("stl", ()).state
    assert job["A"].origin("step", ()).state == job["B"].origin("step", ()).state
    assert Job(MARKED[1], "coupler", "demo", revision="火").mark == job["A"].fingerprint[:9]


@pytest.mark.parametrize("hole", [0.0, 0.2, 0.45])
@pytest.mark.parametrize("outside", [0.0, 0.2])
def test_letters_are_as_deep_in_a_compensated_print(hole: float, outside: float) -> None:
    """The faces move first; scaled by 1 / (1 - 0.004), a volume grows by its cube."""
    printer = Printer("tall", 250.0, 250.0, 340.0, outside=outside, hole=hole, shrinkage={"petg": 0.004})
    for part in MARKED[:2]:
        marked, sunk = with_words(part, WORDS, printer)
        assert sunk == WORDS
        plain = compensated(part.shape(), printer, part.material, part.pose())
        taken = mesh(plain).moments().volume - mesh(marked).moments().volume
        area = sum(moments(Plate(outline, 1.0)).volume for outline in letters(WORDS, HEIGHT))
        scale = 1.0 if part.material != "petg" else 1.0 / (1.0 - 0.004) ** 3
        assert 0.75 * area * DEPTH <= taken / scale <= area * DEPTH * 1.05


def test_letters_never_go_through_what_a_compensation_leaves_of_a_wall() -> None:
    thin = Coupler.build(**{**COUPLER, "wall": "0.8 mm"})
    printer = Printer("tall", 250.0, 250.0, 340.0, outside=0.1)
    assert with_words(thin, WORDS)[1] == WORDS
    assert with_words(thin, WORDS, printer)[1] == ""
