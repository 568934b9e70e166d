"""A run into a folder of an earlier one ends in the same bytes as a run into an empty one, and keeps what it can.

The outside that is checked against is the clean run: every file and the manifest, byte for byte.
"""

from __future__ import annotations

import dataclasses
import json
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from ferrule.app import kept, made_with, manifest
from ferrule.app.cli import app
from ferrule.app.design_file import parse
from ferrule.app.job import FORMATS, PRINT_NOTES, TURNING_TABLE, Job
from ferrule.app.kept import part_recipes
from ferrule.app.make import make_part
from ferrule.app.make_design import Outcome, make_design
from ferrule.app.paper_choice import USUAL, choice_of
from ferrule.parts.kinds import CenteringRing, Coupler
from ferrule.parts.machine import Cutter, Printer

DESIGN = """format = 1
name = "Demo"

[settings]
revision = "A"

[printer.bench]
width = "220 mm"
depth = "220 mm"
height = "250 mm"

[[tube]]
name = "tube"
outside_mm = [68.4]
inside_mm = [65.9]
length = "600 mm"
station = "150 mm"
mass = "90 g"

[[tube]]
name = "motor tube"
use = "motor"
outside_mm = [31.0]
inside_mm = [29.2]
length = "250 mm"
station = "500 mm"
mass = "16 g"

[[part]]
name = "nose"
kind = "nose-cone"
fits = "tube"
profile = "cone"
length = "150 mm"
shoulder_length = "66 mm"
material = "pla"

[[part]]
name = "ring"
kind = "centering-ring"
fits = "tube"
around = "motor tube"
station = "520 mm"
thickness = "6 mm"
material = "birch-plywood"

[[sheet]]
name = "ply 6"
material = "birch-plywood"
thickness = "6 mm"
length = "200 mm"
width = "150 mm"
"""
QUICK = ("stl", "3mf", "glb", "svg")
PAPERLESS = ("stl", "3mf", "glb", "dxf", "svg")
ALL = tuple(word for word in FORMATS if word != "step")


def changed(*changes: tuple[str, str]) -> str:
    text = DESIGN
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return text


def made(text: str, folder: Path, formats: tuple[str, ...], only: tuple[str, ...] = (), **more: Any) -> Outcome:
    return make_design(parse(text, "demo.toml"), folder, only, formats, **more)


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def places(folder: Path) -> dict[str, tuple[int, int]]:
    """What tells a file that was written anew from one that was left."""
    return {path.name: (path.stat().st_ino, path.stat().st_mtime_ns) for path in folder.iterdir()}


@pytest.fixture(scope="module")
def clean(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The files of a run into an empty folder."""

    @cache
    def found(text: str, formats: tuple[str, ...]) -> dict[str, bytes]:
        folder = tmp_path_factory.mktemp("clean")
        made(text, folder, formats)
        return contents(folder)

    return found


def folder_of(files: dict[str, bytes], folder: Path) -> Path:
    for name, data in files.items():
        (folder / name).write_bytes(data)
    return folder


# --- the same bytes ---------------------------------------------------------------------------------------------------

CHANGES: dict[str, tuple[tuple[tuple[str, str], ...], tuple[str, ...], set[str]]] = {
    # Name: what changes, formats, and files that must have been kept.
    "nothing": ((), ALL, {"demo-nose.stl", "demo-ring-a4.pdf", "demo-side-view.svg", "demo.glb", "report.md"}),
    "one part": ((('profile = "cone"', 'profile = "tangent-ogive"'),), QUICK, {"demo-ring.stl", "demo-ring.svg"}),
    "a part that the cut sheets show": (
        (('around = "motor tube"', 'around = "motor tube"\ninside_diameter = "33 mm"'),),
        PAPERLESS,
        {"demo-nose.3mf"},
    ),
    "a reading of a tube": ((("outside_mm = [31.0]", "outside_mm = [31.1]"),), PAPERLESS, {"demo-nose.stl"}),
    "a check that fails": (
        (('shoulder_length = "66 mm"', 'shoulder_length = "66 mm"\nshoulder_diameter = "66 mm"'),),
        QUICK,
        {"demo-ring.stl", "demo-ring.3mf"},
    ),
    "the revision": ((('revision = "A"', 'revision = "B"'),), QUICK, set()),
    "a date": ((('revision = "A"', 'revision = "A"\ndate = "2026-01-02"'),), QUICK, {"demo-ring.stl", "demo-ring.3mf"}),
    "units": ((('revision = "A"', 'revision = "A"\nunits = "in"'),), QUICK, {"demo-ring.stl"}),
    "a place": ((('station = "520 mm"', 'station = "521 mm"'),), QUICK, {"demo-nose.stl", "demo-ring.svg"}),
    "a weighed part": (
        (('material = "pla"', 'material = "pla"\nmass = "61 g"'),),
        QUICK,
        {"demo-ring.stl", "demo-ring.svg"},
    ),
    "a bed that is too narrow": ((('width = "220 mm"', 'width = "50 mm"'),), QUICK, set()),
    "a machine": ((('material = "pla"', 'material = "pla"\nmade_on = "bench"'),), QUICK, {"demo-ring.svg"}),
    "a name": ((('name = "nose"', 'name = "tip"'),), QUICK, {"demo-ring.stl"}),
    "a sheet": ((('length = "200 mm"', 'length = "60 mm"'),), PAPERLESS, {"demo-ring.dxf", "demo-nose.stl"}),
    "no sheet any more": ((("[[sheet]]" + DESIGN.split("[[sheet]]")[1], ""),), PAPERLESS, {"demo-ring.dxf"}),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_ends_in_the_bytes_of_a_clean_run(name: str, clean: Any, tmp_path: Path) -> None:
    changes, formats, must_stay = CHANGES[name]
    new = changed(*changes)
    out = folder_of(clean(DESIGN, formats), tmp_path)
    before = places(out)
    outcome = made(new, out, formats)
    wanted = clean(new, formats)
    assert contents(out) == wanted
    after = places(out)
    left = {file for file in after.keys() & before.keys() if after[file] == before[file]}
    assert must_stay <= left
    assert len(left) == outcome.kept  # what was left was not even touched, and all else was written
    if not changes:
        assert left == wanted.keys() - {"manifest.json"}
    else:
        assert outcome.kept < len(outcome.files)
    if name == "the revision":
        # And back again.
        made(DESIGN, out, formats)
        assert contents(out) == clean(DESIGN, formats)


def test_with_solids_too(clean: Any, tmp_path: Path) -> None:
    out = folder_of(clean(DESIGN, ("step", "stl")), tmp_path)
    new = changed(('profile = "cone"', 'profile = "tangent-ogive"'))
    before = places(out)
    made(new, out, ("step", "stl"))
    assert contents(out) == clean(new, ("step", "stl"))
    assert places(out)["demo-ring.step"] == before["demo-ring.step"]
    assert places(out)["demo.step"] != before["demo.step"]


def test_some_formats_first_and_all_later(clean: Any, tmp_path: Path) -> None:
    for formats in (("stl",), ("svg",), ("pdf", "dxf")):
        made(DESIGN, tmp_path, formats)
    before = places(tmp_path)
    outcome = made(DESIGN, tmp_path, ALL)
    assert contents(tmp_path) == clean(DESIGN, ALL)
    after = places(tmp_path)
    assert after["demo-ring.svg"] == before["demo-ring.svg"]
    assert after["demo-ring-a4.pdf"] == before["demo-ring-a4.pdf"]
    assert 0 < outcome.kept < len(outcome.files)


def test_one_part_first_and_all_later(clean: Any, tmp_path: Path) -> None:
    made(DESIGN, tmp_path, PAPERLESS, ("ring",))
    before = places(tmp_path)
    made(DESIGN, tmp_path, PAPERLESS)
    assert contents(tmp_path) == clean(DESIGN, PAPERLESS)
    assert places(tmp_path)["demo-ring.dxf"] == before["demo-ring.dxf"]
    # One part again: its report lists its files alone, and everything else stays as it is.
    outcome = made(DESIGN, tmp_path, PAPERLESS, ("ring",))
    assert outcome.removed == ()
    assert {name for name, data in contents(tmp_path).items() if data != clean(DESIGN, PAPERLESS)[name]} == {
        "report.md",
        "manifest.json",
    }
    made(DESIGN, tmp_path, PAPERLESS)
    assert contents(tmp_path) == clean(DESIGN, PAPERLESS)


def test_other_paper_lies_beside_the_usual_and_neither_is_taken_for_the_other(tmp_path: Path) -> None:
    made(DESIGN, tmp_path, ("pdf",))
    usual = contents(tmp_path)
    for choice, end in ((choice_of(["a3"]), "a3"), (choice_of([], ("99.2 mm", "98.8 mm")), "a4-corrected")):
        first = made(DESIGN, tmp_path, ("pdf",), paper=choice)
        assert first.kept == 0
        again = made(DESIGN, tmp_path, ("pdf",), paper=choice)
        assert again.kept == len(again.files) > 0
        assert f"demo-ring-{end}.pdf" in again.files
        assert all(contents(tmp_path)[name] == data for name, data in usual.items() if name != "manifest.json")
    # Another correction has the same file names, and other pages.
    other = made(DESIGN, tmp_path, ("pdf",), paper=choice_of([], ("99.1 mm", "98.8 mm")))
    assert other.kept == 0
    outcome = made(DESIGN, tmp_path, ("pdf",), paper=USUAL)
    assert outcome.kept == len(outcome.files)
    (alone := tmp_path / "alone").mkdir()
    made(DESIGN, alone, ("pdf",), paper=choice_of([], ("99.1 mm", "98.8 mm")))
    assert (tmp_path / "demo-ring-a4-corrected.pdf").read_bytes() == (alone / "demo-ring-a4-corrected.pdf").read_bytes()


# --- what is not kept -------------------------------------------------------------------------------------------------


def test_a_file_that_somebody_changed_or_took_away_is_made_anew(clean: Any, tmp_path: Path) -> None:
    out = folder_of(clean(DESIGN, PAPERLESS), tmp_path)
    (out / "demo-ring.svg").write_bytes(b"with notes")
    (out / "demo-nose.stl").unlink()
    (out / "notes.txt").write_text("mine")
    before = places(out)
    made(DESIGN, out, PAPERLESS)
    assert contents(out) == {**clean(DESIGN, PAPERLESS), "notes.txt": b"mine"}
    assert places(out)["demo-ring.dxf"] == before["demo-ring.dxf"]
    assert places(out)["notes.txt"] == before["notes.txt"]


def test_a_file_of_several_that_are_made_together_is_missing(clean: Any, tmp_path: Path) -> None:
    """A drawing on one paper was taken away: both papers are made, though the other is there and true."""
    out = folder_of(clean(DESIGN, ("pdf",)), tmp_path)
    (out / "demo-ring-letter.pdf").unlink()
    outcome = made(DESIGN, out, ("pdf",))
    assert outcome.kept < len(outcome.files)
    assert contents(out) == clean(DESIGN, ("pdf",))


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("seal", ""),
        ("seal", None),
        ("self_check", {"area_mm2": 1.0}),
        ("self_check", float("nan")),
        ("together", 0),
        ("sizes", "as I like"),
        ("state", "0000-0000-0000"),
        ("made_with", "0000-0000-0000"),
        ("more", 1),
    ],
)
def test_an_entry_that_somebody_changed_keeps_no_file(name: str, value: object, clean: Any, tmp_path: Path) -> None:
    out = folder_of(clean(DESIGN, ("svg",)), tmp_path)
    found = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    for entry in found["files"]:
        entry[name] = value
    (out / "manifest.json").write_text(json.dumps(found), encoding="utf-8")
    assert made(DESIGN, out, ("svg",)).kept == 0
    assert contents(out) == clean(DESIGN, ("svg",))


def test_a_manifest_of_an_older_form_keeps_no_file(clean: Any, tmp_path: Path) -> None:
    out = folder_of(clean(DESIGN, ("svg",)), tmp_path)
    found = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    del found["made_with"]
    for entry in found["files"]:
        for name in ("made_with", "together", "seal"):
            del entry[name]
    (out / "manifest.json").write_text(json.dumps(found), encoding="utf-8")
    assert made(DESIGN, out, ("svg",)).kept == 0
    assert contents(out) == clean(DESIGN, ("svg",))


def test_another_program_keeps_no_file_and_says_which_it_was(
    clean: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = folder_of(clean(DESIGN, ("stl", "svg")), tmp_path)
    now = made_with.made_with()
    later = {**now, "id": "0000-0000-0000", "ferrule": "999"}
    for module in (kept, manifest):
        monkeypatch.setattr(module, "made_with", lambda: later)
    assert made(DESIGN, out, ("svg",)).kept == 0
    found = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    assert found["made_with"] == later
    # What that run did not make is still there, and bears the name of the program that made it.
    assert {entry["kind"]: entry["made_with"] for entry in found["files"] if entry["part"] == "ring"} == {
        "stl": now["id"],
        "svg": later["id"],
    }
    assert made(DESIGN, out, ("svg",)).kept > 0


def test_a_changed_source_or_data_file_is_another_program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "parts" / "data").mkdir(parents=True)
    (tmp_path / "parts" / "a.py").write_text("a = 1\n")
    (tmp_path / "parts" / "data" / "b.csv").write_text("1,2\n")
    (tmp_path / "tests").mkdir()
    monkeypatch.setattr(made_with, "_PACKAGE", tmp_path)

    def program() -> str:
        made_with.made_with.cache_clear()
        return str(made_with.made_with()["id"])

    found = [program()]
    for path, text in (("parts/a.py", "a = 2\n"), ("parts/data/b.csv", "1,3\n"), ("__init__.py", "")):
        (tmp_path / path).write_text(text)
        found.append(program())
    (tmp_path / "parts" / "data" / "b.csv").rename(tmp_path / "parts" / "data" / "c.csv")
    found.append(program())
    assert len(set(found)) == len(found)
    # What lies beside the sources changes no file that is made.
    (tmp_path / "tests" / "a.py").write_text("a = 3\n")
    (tmp_path / "parts" / "__pycache__").mkdir()
    (tmp_path / "parts" / "__pycache__" / "a.pyc").write_bytes(b"")
    (tmp_path / "parts" / ".a.py.swp").write_bytes(b"")
    assert program() == found[-1]
    made_with.made_with.cache_clear()


def test_every_library_that_is_needed_is_part_of_the_program() -> None:
    """All that `pyproject.toml` asks for, but what reads the command line and colours the console."""
    path = Path(__file__).resolve().parents[2] / "pyproject.toml"
    project = tomllib.loads(path.read_text(encoding="utf-8"))["project"]
    needed = {one.split(">")[0] for one in (*project["dependencies"], *project["optional-dependencies"]["nest"])}
    # What reads the design file decides about its values, which are in every fingerprint.
    assert needed - {"rich", "tomlkit", "typer"} == set(made_with.LIBRARIES) - {"cadquery-ocp"}
    assert set(made_with.made_with()["libraries"]) >= needed - {"rich", "tomlkit", "typer", "spyrrow"}


def test_all_anew_and_how_many_were_kept(clean: Any, tmp_path: Path) -> None:
    path, out = tmp_path / "demo.toml", tmp_path / "out"
    path.write_text(DESIGN, encoding="utf-8")
    (out).mkdir()
    folder_of(clean(DESIGN, QUICK), out)

    def run(*options: str) -> str:
        command = ["make", str(path), "--out", str(out), "--formats", ",".join(QUICK), *options]
        done = CliRunner().invoke(app, command, env={"COLUMNS": "300"})
        assert done.exit_code == 0, done.output
        assert contents(out) == clean(DESIGN, QUICK)
        return done.stdout.splitlines()[-1]

    number = len(clean(DESIGN, QUICK)) - 1
    before = places(out)
    assert run() == f"{number} files and manifest.json in {out}: 0 made, {number} kept as they were"
    assert {name for name, place in places(out).items() if place != before[name]} == {"manifest.json"}
    assert run("--anew") == f"{number} files and manifest.json in {out}"
    assert not places(out).items() & before.items()


@pytest.mark.parametrize("length", ["80 mm", "60 mm"])
def test_what_is_told_of_the_sheets_is_told_by_a_run_that_keeps_them(length: str, tmp_path: Path) -> None:
    """Of two rings one has room on the one sheet that there is, or none has on sheets that are too short."""
    small = changed(
        ('length = "200 mm"\nwidth = "150 mm"', f'length = "{length}"\nwidth = "80 mm"\nquantity = 1'),
        ('station = "520 mm"', 'stations = ["520 mm", "700 mm"]'),
    )
    first = made(small, tmp_path, ("dxf",))
    again = made(small, tmp_path, ("dxf",))
    assert again.kept == len(again.files)
    assert first.notes == again.notes
    assert any("not placed: ring" in words for words in first.notes)


# --- a recipe holds all that a file shows -----------------------------------------------------------------------------

BENCH = Printer("bench", 220.0, 220.0, 250.0, outside=0.1)
OTHERS: dict[str, list[Any]] = {
    "name": ["other"],
    "design": ["Other"],
    "quantity": [3],
    "revision": ["B", None],
    "date": ["2026-01-02"],
    "notes": [("Invented data.",)],
    "machine": [BENCH, dataclasses.replace(BENCH, name="other"), dataclasses.replace(BENCH, hole=0.1)],
    "printer": [BENCH, dataclasses.replace(BENCH, width=150.0), dataclasses.replace(BENCH, name="other")],
    "weighed": [12.0],
    "refused": ["too warm for it"],
    "units": ["in"],
}
CUT_ON = [Cutter("laser", 300.0, 200.0, kerf=0.2), Cutter("laser", 300.0, 200.0, kerf=0.3), Cutter("saw", 300.0, 200.0)]


@pytest.mark.parametrize("kind", [CenteringRing, Coupler])
def test_what_changes_a_byte_changes_the_recipe(kind: Any, tmp_path: Path) -> None:
    """Every field of what a part's files are made from, changed by itself, and the failed checks."""
    part = kind.build(**kind.example)
    plain = Job(part, "one", "Demo", revision="A")
    assert OTHERS.keys() == {field.name for field in dataclasses.fields(Job)} - {"part"}
    made_on = [*OTHERS["machine"], *(CUT_ON if kind is CenteringRing else ())]
    cases = [(dataclasses.replace(plain, **{name: value}), ()) for name, some in OTHERS.items() for value in some]
    cases += [(dataclasses.replace(plain, machine=one), ()) for one in made_on]
    cases += [(plain, ("static margin",))]
    formats = ("stl", "3mf", "svg", "pdf") if kind is CenteringRing else ("stl", "3mf")
    paper = choice_of(["a4"])

    def found(job: Job, failed: tuple[str, ...]) -> tuple[dict[str, list[tuple[str, bytes]]], dict[str, object]]:
        files: dict[str, list[tuple[str, bytes]]] = {}
        for item in make_part(job, tmp_path, formats, failed, str, paper):
            word = "pdf" if item.kind == TURNING_TABLE else item.kind
            files.setdefault(word, []).append((item.file, (tmp_path / item.file).read_bytes()))
        return files, part_recipes(job, formats, failed, paper)

    files, recipes = found(plain, ())
    assert files.keys() >= {"stl", "3mf"}
    differ = 0
    for job, failed in cases:
        other, other_recipes = found(job, failed)
        for word in files.keys() | other.keys():
            if other.get(word) != files.get(word):
                differ += 1
                assert other_recipes[word] != recipes[word], (word, job, failed)
    assert differ > len(cases)
    assert recipes.keys() == {*formats, PRINT_NOTES}
