"""What is printed of a part: sections by name, what is sunk into each, plates that hold them all, notes beside them.

STL is read by trimesh, the plates by lib3mf in its strict mode, as an independent reader of each format.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import lib3mf
import pytest
import trimesh

from ferrule.app.design_file import parse
from ferrule.app.emboss_prints import DEPTH, HEIGHT
from ferrule.app.job import PRINT_NOTES
from ferrule.app.make import Job, make_part
from ferrule.app.make_design import Outcome, make_design
from ferrule.app.manifest import Made
from ferrule.app.print_files import print_files
from ferrule.parts.kinds import Fin, NoseCone, RailButton
from ferrule.parts.lettering import letters
from ferrule.parts.machine import Printer
from ferrule.parts.readers.integrals import moments
from ferrule.parts.shape import Plate

NOSE = NoseCone.build(
    profile="tangent-ogive",
    length="150 mm",
    base_diameter="60 mm",
    shoulder_length="30 mm",
    shoulder_diameter="57 mm",
    section_height="100 mm",
    material="petg",
)
"""180 mm high: two sections."""
JOB = Job(NOSE, "nose", "demo", revision="A")
MARK = f"A {JOB.fingerprint[:9]}"
SECTIONS = ("1 of 2", "2 of 2")


def made(job: Job, folder: Path, formats: tuple[str, ...] = ("stl", "3mf")) -> dict[str, Made]:
    return {item.file: item for item in make_part(job, folder, formats, (), str)}


def notes_of(job: Job, folder: Path) -> str:
    """Notes alone, without a mesh."""
    assert [kind for kind, _, _ in print_files(job, folder, set(), ())] == [PRINT_NOTES]
    return (folder / f"{job.stem}-print-notes.md").read_text(encoding="utf-8")


def on_the_bed(path: Path) -> dict[str, list[tuple[float, ...]]]:
    """Box of each thing on a plate: low x, y, z and high x, y, z [mm], by its name."""
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    assert reader.GetWarningCount() == 0
    found: dict[str, list[tuple[float, ...]]] = {}
    items = model.GetBuildItems()
    while items.MoveNext():
        item = items.GetCurrent()
        thing, move = item.GetObjectResource(), item.GetObjectTransform().Fields
        box = model.GetMeshObjectByID(thing.GetResourceID()).GetOutbox()
        low, high = (
            [side[axis] + move[3][axis] for axis in range(3)] for side in (box.MinCoordinate, box.MaxCoordinate)
        )
        found.setdefault(thing.GetName(), []).append((*low, *high))
    return found


# --- sections ---------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("sections")


@pytest.fixture(scope="module")
def files(folder: Path) -> dict[str, Made]:
    return made(JOB, folder)


def test_each_section_is_a_file_of_its_own_that_stands_on_the_bed(files: dict[str, Made], folder: Path) -> None:
    assert set(files) == {path.name for path in folder.iterdir()}
    assert set(files) == {
        *("demo-nose-1-of-2.stl", "demo-nose-1-of-2.3mf", "demo-nose-2-of-2.stl", "demo-nose-2-of-2.3mf"),
        *("demo-nose.3mf", "demo-nose-print-notes.md"),
    }
    (joint,) = NOSE.built().joints
    # The tip is rounded within the length; the first section ends at the joint, the second has the spigot too.
    for number, height in ((1, joint.station), (2, 180.0 - joint.station + NOSE.spigot_length)):
        found = trimesh.load(folder / f"demo-nose-{number}-of-2.stl")
        assert found.is_volume
        assert found.bounds[0][2] == pytest.approx(0.0, abs=1e-4)
        assert found.bounds[1][2] == pytest.approx(height, abs=0.02)
        assert height <= 100.0


def test_only_what_was_asked_for_is_made(tmp_path: Path) -> None:
    assert set(made(JOB, tmp_path, ("stl",))) == {
        *("demo-nose-1-of-2.stl", "demo-nose-2-of-2.stl", "demo-nose-print-notes.md"),
    }
    text = (tmp_path / "demo-nose-print-notes.md").read_text(encoding="utf-8")
    assert "Files: `demo-nose-1-of-2.stl`, `demo-nose-2-of-2.stl`\n" in text
    assert made(JOB, tmp_path, ("step", "svg")).keys().isdisjoint({"demo-nose-print-notes.md"})


def taken(file: Made, number: int) -> float:
    """What the letters take out of a section, by the exact integrals [mm3]."""
    exact = file.self_check["volume_mm3"] / (1.0 + file.self_check["volume_against_integral"])
    return moments(NOSE.printed_pieces()[number].shape).volume - float(exact)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("nose", f"nose {MARK} "),
        ("ogive Nº 2", f"ogive Nº 2 {MARK} "),
        ("nose 火", f"{MARK} "),  # no such letter
        ("nose of " + "the long " * 8 + "rocket", f"{MARK} "),  # longer than the round
    ],
    ids=["plain", "latin", "no-letter", "too-long"],
)
def test_a_section_says_of_which_part_it_is_where_there_is_room(name: str, said: str, tmp_path: Path) -> None:
    """On a curved wall a letter is short of its depth by at most the sagitta, a fifth of it."""
    job = replace(JOB, name=name)
    found = made(job, tmp_path, ("stl",))
    for number, section in enumerate(SECTIONS):
        stl = found[f"{job.stem}-{section.replace(' ', '-')}.stl"]
        assert stl.self_check["sunk_words"] == f"{said}{section}"
        area = sum(moments(Plate(outline, 1.0)).volume for outline in letters(said + section, HEIGHT))
        assert 0.8 * area * DEPTH <= taken(stl, number) <= area * DEPTH * 1.001


def test_a_plate_of_one_section_has_its_words_and_that_of_all_tells_of_none(files: dict[str, Made]) -> None:
    for section in SECTIONS:
        plate = files[f"demo-nose-{section.replace(' ', '-')}.3mf"]
        assert plate.self_check["sunk_words"] == f"nose {MARK} {section}"
    assert "sunk_words" not in files["demo-nose.3mf"].self_check


def test_a_section_too_narrow_for_letters_stays_plain_and_the_next_is_marked(tmp_path: Path) -> None:
    """At the joint the cone is 40 mm wide: letters of 4 mm fall away from so narrow a bore by more than a fifth."""
    found = made(replace(JOB, part=NOSE.model_copy(update={"profile": "cone"})), tmp_path, ("stl",))
    assert "sunk_words" not in found["demo-nose-1-of-2.stl"].self_check
    assert found["demo-nose-2-of-2.stl"].self_check["sunk_words"].endswith(" 2 of 2")


def test_a_part_in_one_piece_has_no_name_and_no_joining(tmp_path: Path) -> None:
    whole = replace(JOB, part=NOSE.model_copy(update={"section_height": None}))
    found = made(whole, tmp_path, ("stl",))
    assert set(found) == {"demo-nose.stl", "demo-nose-print-notes.md"}
    assert found["demo-nose.stl"].self_check["sunk_words"] == f"A {whole.fingerprint[:9]}"
    assert "## Joining" not in notes_of(whole, tmp_path)
    assert "## Joining" not in notes_of(Job(RailButton.build(**RailButton.example), "button"), tmp_path)
    assert "## Joining\n\n1. Dry fit" in notes_of(JOB, tmp_path)


def test_a_rod_clamps_the_sections_where_there_is_one_and_tape_where_not(tmp_path: Path) -> None:
    without = notes_of(JOB, tmp_path)
    assert "Tape across the joint" in without
    assert "rod through the stack" not in without
    rod = NOSE.model_copy(update={"solid_tip": 40.0, "rod_size": "M4"})
    text = notes_of(replace(JOB, part=rod), tmp_path)
    assert "rod through the stack" in text
    assert "Tape across the joint" not in text


def test_what_is_cut_from_sheet_has_no_print_notes(tmp_path: Path) -> None:
    assert set(made(Job(Fin.build(**Fin.example), "fin", "demo"), tmp_path)) == {"demo-fin.stl", "demo-fin.3mf"}


# --- plates -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("bed", "quantity"), [(None, 1), ((220.0, 220.0), 2)], ids=["no-printer", "two-of-each"])
def test_a_plate_holds_all_sections_clear_of_each_other(
    bed: tuple[float, float] | None, quantity: int, tmp_path: Path
) -> None:
    job = replace(JOB, quantity=quantity, printer=Printer("bench", *bed, 120.0) if bed else None)
    files = made(job, tmp_path, ("3mf",))
    assert files["demo-nose.3mf"].self_check["items"] == 2 * quantity
    found = on_the_bed(tmp_path / "demo-nose.3mf")
    assert {name: len(boxes) for name, boxes in found.items()} == {f"nose {word}": quantity for word in SECTIONS}
    boxes = [box for one in found.values() for box in one]
    for number, (x0, y0, z0, x1, y1, _) in enumerate(boxes):
        assert z0 == pytest.approx(0.0, abs=1e-4)
        for a0, b0, _, a1, b1, _ in boxes[:number]:
            assert a1 <= x0 or x1 <= a0 or b1 <= y0 or y1 <= b0
        if bed:
            assert 0.0 <= x0 < x1 <= bed[0]
            assert 0.0 <= y0 < y1 <= bed[1]


def test_sections_that_do_not_fit_one_bed_are_on_two_plates(tmp_path: Path) -> None:
    """Sections of more than 50 and of 60 mm diameter: no bed of 90 mm holds both."""
    files = made(replace(JOB, printer=Printer("small", 90.0, 90.0, 120.0)), tmp_path, ("3mf",))
    assert set(files) == {
        *("demo-nose-1-of-2.3mf", "demo-nose-2-of-2.3mf", "demo-nose-print-notes.md"),
        *("demo-nose-plate-1-of-2.3mf", "demo-nose-plate-2-of-2.3mf"),
    }
    names = [list(on_the_bed(tmp_path / f"demo-nose-plate-{number}-of-2.3mf")) for number in (1, 2)]
    assert sorted(names) == [["nose 1 of 2"], ["nose 2 of 2"]]
    for number in (1, 2):
        ((box,),) = on_the_bed(tmp_path / f"demo-nose-plate-{number}-of-2.3mf").values()
        assert all(low >= -1e-4 for low in box[:3])
        assert max(box[3:5]) <= 90.0


def test_a_section_wider_than_the_bed_is_made_all_the_same_and_the_notes_say_so(tmp_path: Path) -> None:
    job = replace(JOB, printer=Printer("tiny", 50.0, 50.0, 120.0))
    assert {"demo-nose.3mf", "demo-nose-2-of-2.3mf"} <= set(made(job, tmp_path, ("3mf",)))
    text = (tmp_path / "demo-nose-print-notes.md").read_text(encoding="utf-8")
    assert "**IT DOES NOT FIT: 10.0 mm of width, 10.0 mm of depth too little**" in text


def test_a_file_for_a_printer_says_so_in_every_name(tmp_path: Path) -> None:
    printer = Printer("bench", 220.0, 220.0, 120.0, shrinkage={"petg": 0.004})
    files = made(replace(JOB, machine=printer, printer=printer), tmp_path)
    ends = {f"-for-bench.{kind}" for kind in ("stl", "3mf")}
    assert {f"demo-nose-{word}{end}" for word in ("1-of-2", "2-of-2") for end in ends} <= set(files)
    assert set(files) - {name for name in files if "-for-bench." in name} == {"demo-nose-print-notes.md"}
    found = trimesh.load(tmp_path / "demo-nose-1-of-2-for-bench.stl")
    (joint,) = NOSE.built().joints
    # All grows by 1 / (1 - 0.004).
    assert found.bounds[1][2] == pytest.approx(joint.station / 0.996, abs=0.02)
    assert found.is_volume


# --- notes of a design ------------------------------------------------------------------------------------------------

DESIGN = """format = 1
name = "Demo"

[settings]
revision = "A"

[[tube]]
name = "tube"
outside_mm = [60.0]
inside_mm = [57.6]
length = "300 mm"
station = "150 mm"
mass = "60 g"

[[tube]]
name = "motor tube"
use = "motor"
outside_mm = [31.0]
inside_mm = [29.2]
length = "200 mm"
station = "310 mm"
mass = "14 g"

[[part]]
name = "nose"
kind = "nose-cone"
fits = "tube"
profile = "cone"
length = "150 mm"
shoulder_length = "30 mm"
material = "petg"

[[part]]
name = "tail"
kind = "transition"
station = "450 mm"
fits = "tube"
around = "motor tube"
aft_diameter = "40 mm"
length = "55 mm"
forward_shoulder_length = "40 mm"
material = "pla"

[[part]]
name = "button"
kind = "rail-button"
fits = "tube"
stations = ["320 mm", "420 mm"]
foot_diameter = "10 mm"
foot_height = "2 mm"
waist_diameter = "5.6 mm"
waist_height = "3.2 mm"
head_diameter = "10 mm"
head_height = "2.4 mm"
screw_diameter = "4.5 mm"
material = "pa12"

[[motor]]
name = "DEMO-29"
fits = "motor tube"
diameter = "29 mm"
length = "180 mm"
aft_end = "512 mm"
loaded_mass = "190 g"
empty_mass = "100 g"
"""


def run(
    folder: Path, *changes: tuple[str, str], only: tuple[str, ...] = (), formats: tuple[str, ...] = ("stl",)
) -> Outcome:
    text = DESIGN
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return make_design(parse(text, "demo.toml"), folder, only, formats)


def read(folder: Path, part: str) -> str:
    return (folder / f"demo-{part}-print-notes.md").read_text(encoding="utf-8")


def test_notes_refuse_what_the_check_of_materials_refuses(tmp_path: Path) -> None:
    """PLA softens near 59 degrees, less than a parked car reaches; PETG near 77 does not (published filament data)."""
    outcome = run(tmp_path, only=("nose", "tail"))
    assert "tail: material beside DEMO-29" in outcome.failed
    assert "**REFUSED: pla softens near 59 °C" in read(tmp_path, "tail")
    assert "REFUSED" not in read(tmp_path, "nose"), "it is of another material, and far from the motor"
    outcome = run(tmp_path, ('material = "pla"', 'material = "petg"'), only=("tail",))
    assert "tail: material beside DEMO-29" not in outcome.failed
    assert "REFUSED" not in read(tmp_path, "tail")


WEIGHED = ('screw_diameter = "4.5 mm"\n', 'screw_diameter = "4.5 mm"\nmass = "0.8 g"\n')


def mass_rows(text: str) -> dict[str, list[str]]:
    table = text.partition("## Mass")[2].partition("\n## ")[0]
    rows = [[cell.strip("* ") for cell in line.strip("|").split("|")] for line in table.splitlines() if line[:1] == "|"]
    return {row[0]: row[1:] for row in rows}


def test_the_mass_on_the_scale_stands_beside_the_estimate_and_is_of_one(tmp_path: Path) -> None:
    run(tmp_path, only=("button",))
    before = mass_rows(read(tmp_path, "button"))
    assert "weighed" not in before
    run(tmp_path, WEIGHED, only=("button",))
    rows = mass_rows(read(tmp_path, "button"))
    assert rows["weighed"][0] == "0.8 g"
    assert rows["button"] == before["button"]
    part = next(item.part for item in parse(DESIGN).rocket.items if item.name == "button")
    assert part is not None
    estimate = moments(part.shape()).volume * (part.density_in_use() or 0.0)
    assert float(rows["button"][0].removesuffix(" g")) == pytest.approx(estimate, rel=0.1, abs=0.05)


def test_notes_of_another_state_are_taken_away_and_made_anew(tmp_path: Path) -> None:
    notes = "demo-button-print-notes.md"
    run(tmp_path)
    assert (tmp_path / notes).exists()
    # The scale changes the notes and no print.
    outcome = run(tmp_path, WEIGHED, only=("nose",), formats=("svg",))
    assert outcome.removed == (notes,)
    assert not (tmp_path / notes).exists()
    run(tmp_path, WEIGHED)
    assert "0.8 g" in read(tmp_path, "button")
    before = read(tmp_path, "nose")
    # A printer's room is in every sheet, and on no print that lies there already.
    bench = (
        '[[tube]]\nname = "tube"',
        '[printer.bench]\nwidth = "220 mm"\ndepth = "220 mm"\nheight = "220 mm"\n\n[[tube]]\nname = "tube"',
    )
    outcome = run(tmp_path, WEIGHED, bench, only=("button",))
    assert outcome.removed == ("demo-nose-print-notes.md", "demo-tail-print-notes.md")
    outcome = run(tmp_path, WEIGHED, bench)
    assert outcome.removed == ()
    assert "Printer bench" in read(tmp_path, "nose")
    assert "Printer bench" not in before


def test_notes_of_the_same_state_are_kept(tmp_path: Path) -> None:
    run(tmp_path)
    before: dict[str, Any] = {path.name: path.read_bytes() for path in tmp_path.glob("*-print-notes.md")}
    assert set(before) == {f"demo-{name}-print-notes.md" for name in ("nose", "tail", "button")}
    assert run(tmp_path, only=("nose",), formats=("svg", "pdf")).removed == ()
    assert {path.name: path.read_bytes() for path in tmp_path.glob("*-print-notes.md")} == before
