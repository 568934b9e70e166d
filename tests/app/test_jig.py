"""`ferrule jig`: every jig has its files and its place on the sheet, in the sizes of its machine, or says why not."""

from __future__ import annotations

import json
import math
from pathlib import Path

import ezdxf
import pdfplumber
import pytest
import trimesh
from typer.testing import CliRunner

from ferrule.app.cli import app
from ferrule.app.design_file import load
from ferrule.app.jig import write_jigs
from ferrule.app.jigs_of import jigs_of
from ferrule.app.machine_file import VARIABLE
from ferrule.app.make_design import make_design
from ferrule.parts.errors import FerruleError

MARRAM = Path(__file__).resolve().parents[2] / "examples" / "marram" / "marram.toml"

DESIGN = """format = 1
name = "Demo"

[[tube]]
name = "tube"
outside_mm = [54.1, 54.3]
inside_mm = [51.8, 51.9]
length = "500 mm"
station = "150 mm"

{rest}

[printer.tall]
width = "250 mm"
depth = "250 mm"
height = "340 mm"
hole = "0.11 mm"

[printer.small]
width = "100 mm"
depth = "100 mm"
height = "100 mm"

[cutter.laser]
width = "600 mm"
depth = "300 mm"
kerf = "0.2 mm"

[cutter.scissors]
width = "60 mm"
depth = "60 mm"
"""

FIN = """
[[part]]
name = "fin"
kind = "fin"
fits = "tube"
count = 3
station = "540 mm"
root_chord = "100 mm"
tip_chord = "50 mm"
semi_span = "50 mm"
sweep_length = "40 mm"
thickness = "3.2 mm"
material = "birch-plywood"
"""

BUTTON = """
[[part]]
name = "rail button"
kind = "rail-button"
fits = "tube"
stations = ["400 mm", "620 mm"]
foot_diameter = "10 mm"
foot_height = "2 mm"
waist_diameter = "5.6 mm"
waist_height = "3.2 mm"
head_diameter = "10 mm"
head_height = "2.4 mm"
screw_diameter = "4.5 mm"
material = "pa12"
"""

ALL = ("fin-plates-fin", "stand-tube", "drill-tube-rail-button", "marking-ring-tube")


@pytest.fixture(autouse=True)
def no_machine_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, str(tmp_path / "none.toml"))


def design(folder: Path, rest: str = FIN + BUTTON) -> Path:
    path = folder / "demo.toml"
    path.write_text(DESIGN.replace("{rest}", rest), encoding="utf-8")
    return path


def test_every_jig_has_its_files_and_its_place_on_the_sheet(tmp_path: Path) -> None:
    out = tmp_path / "out"
    found = write_jigs(design(tmp_path), out)
    for name in ALL:
        mine = {Path(one).suffix for one in found if one.startswith(f"demo-jig-{name}")}
        cut = name.startswith(("fin", "stand"))
        assert mine == {".stl", ".3mf", *((".dxf", ".svg", ".pdf") if cut else ())}, name
    assert {one.name for one in out.iterdir()} == {*found, "manifest.json"}
    sheet = (out / "demo-jigs.md").read_text(encoding="utf-8")
    assert [line.split(":")[0][3:] for line in sheet.splitlines() if line.startswith("## ")] == [*ALL, "Cautions"]
    for line in ("Make", "Use", "Check", "Fingerprint", "Files"):
        assert sheet.count(f"- **{line}:** ") == len(ALL)
    # 54.2 is the mean of the readings; 54.2 + 0.4 and 3.2 + 0.25 mm with their reasons.
    assert "54.60 mm: 54.20 mm, the mean outside of the tube, readings 54.10 to 54.30 mm, and 0.40 mm" in sheet
    assert "3.45 mm: the fin, 3.20 mm, and 0.25 mm" in sheet
    assert all(f"`{one}`" in sheet for one in found if not one.endswith(".md"))
    manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    assert {entry["file"] for entry in manifest["files"]} == set(found)
    assert {entry["sizes"] for entry in manifest["files"]} == {"nominal"}
    with pdfplumber.open(out / "demo-jig-stand-tube-a4.pdf") as pages:
        assert all("make 2" in page.extract_text() for page in pages.pages)
    # The fingerprint on the paper is the one on the sheet, the cut file and in the manifest.
    mark = next(line.split()[-1] for line in sheet.splitlines() if line.startswith("- **Fingerprint:**"))
    marks = {entry["fingerprint"] for entry in manifest["files"] if "fin-plates" in entry["file"]}
    assert marks == {mark}
    space = ezdxf.readfile(out / "demo-jig-fin-plates-fin-aft-plate.dxf").modelspace()
    assert any(mark in one.dxf.text for one in space.query("TEXT"))


def test_a_printer_gets_what_is_printed_and_a_cutter_what_is_cut(tmp_path: Path) -> None:
    file = design(tmp_path)
    printed = write_jigs(file, tmp_path / "p", "tall", ("marking-ring-tube",))
    cut = write_jigs(file, tmp_path / "c", "laser", ("stand-tube",))
    assert {Path(name).suffix for name in printed} == {".stl", ".3mf", ".md"}
    assert {Path(name).suffix for name in cut} == {".dxf", ".svg", ".pdf", ".md"}
    assert all(Path(name).stem.endswith("-for-laser") for name in cut)
    # The bore grows by 0.11 mm per side; chords of a fit face lie on the true radius in their middles.
    solid = trimesh.load(tmp_path / "p" / "demo-jig-marking-ring-tube-for-tall.stl")
    loops = solid.section(plane_origin=[0, 0, 1.0], plane_normal=[0, 0, 1]).discrete
    bore = min(float(abs(line[:, :2] @ [1.0, 1.0j]).max()) for line in loops)
    assert bore == pytest.approx(27.1 + 0.2 + 0.11, abs=0.011)
    # A beam of 0.2 mm leaves the slot of 4.15 mm: its path is 3.95 mm wide.
    space = ezdxf.readfile(tmp_path / "c" / "demo-jig-stand-tube-saddle-for-laser.dxf").modelspace()
    (line,) = space.query('LWPOLYLINE[layer=="CUT"]')
    floors = sorted(x for x, y in line.get_points("xy") if 1.0 < y < 20.0)
    assert [floors[1] - floors[0], floors[3] - floors[2]] == pytest.approx([3.95, 3.95], abs=1e-6)


def test_what_does_not_go_on_the_bed_says_so(tmp_path: Path) -> None:
    file = design(tmp_path)
    with pytest.raises(FerruleError, match=r"fin-plates-fin cannot be made: .*larger than the room of small.*cut it"):
        write_jigs(file, tmp_path / "out", "small", ("fin-plates-fin",))
    # What can be made is made beside it, and here nothing can.
    found = write_jigs(file, tmp_path / "out", "scissors")
    sheet = (tmp_path / "out" / "demo-jigs-for-scissors.md").read_text(encoding="utf-8")
    assert found == ("demo-jigs-for-scissors.md",)
    assert "## fin-plates-fin: not made\n\nthe forward plate is " in sheet
    assert "cut it by hand from its paper" in sheet
    # Where no printer of the design has room, the print files are left out and the sheet says so.
    only_small = file.read_text(encoding="utf-8").replace('"250 mm"', '"100 mm"')
    file.write_text(only_small, encoding="utf-8")
    found = write_jigs(file, tmp_path / "none", None, ("fin-plates-fin",))
    assert {Path(name).suffix for name in found} == {".dxf", ".svg", ".pdf", ".md"}
    assert "every printer here (small, tall)" in (tmp_path / "none" / "demo-jigs.md").read_text(encoding="utf-8")


def test_the_same_jigs_are_the_same_bytes_and_leave_a_design_alone(tmp_path: Path) -> None:
    file, one, other = design(tmp_path), tmp_path / "one", tmp_path / "other"
    made = make_design(load(file), one, ["fin"], ("dxf",)).files
    found = write_jigs(file, one, None, ("marking-ring-tube",))
    assert write_jigs(file, other, None, ("marking-ring-tube",)) == found
    assert all((one / name).read_bytes() == (other / name).read_bytes() for name in found)
    make_design(load(file), one, ["fin"], ("dxf",))
    assert all((one / name).exists() for name in (*found, *made))
    # Another design's folder is not written into.
    file.write_text(file.read_text(encoding="utf-8").replace('"Demo"', '"Other"'), encoding="utf-8")
    with pytest.raises(FerruleError, match="holds the files of 'Demo'"):
        write_jigs(file, one)


def test_without_fins_only_what_makes_sense_is_made(tmp_path: Path) -> None:
    jigs = jigs_of(load(design(tmp_path, BUTTON)), None)
    assert [one.name for one in jigs.made] == ["stand-tube", "drill-tube-rail-button", "marking-ring-tube"]
    assert jigs.refused == {}
    plain = jigs_of(load(design(tmp_path, "")), None)
    assert [one.name for one in plain.made] == ["stand-tube", "marking-ring-tube"]
    file = design(tmp_path, "")
    file.write_text(file.read_text(encoding="utf-8").replace('station = "150 mm"\n', ""), encoding="utf-8")
    with pytest.raises(FerruleError, match="no airframe tube with a station"):
        write_jigs(file, tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_fins_that_no_plate_holds_are_explained_beside_the_rest(tmp_path: Path) -> None:
    jigs = jigs_of(load(design(tmp_path, FIN.replace("count = 3", "count = 2"))), None)
    assert "3 to 8 fins, and there are 2" in jigs.refused["fin-plates-fin"]
    assert [one.name for one in jigs.made] == ["stand-tube", "marking-ring-tube"]
    thick = FIN.replace("3.2 mm", "25 mm").replace("count = 3", "count = 6")
    assert "it would go with" in jigs_of(load(design(tmp_path, thick)), None).refused["fin-plates-fin"]


def test_fins_of_two_sets_on_one_tube_stand_at_one_height(tmp_path: Path) -> None:
    second = FIN.replace('"fin"\nkind', '"small fin"\nkind').replace('"50 mm"\nsweep', '"25 mm"\nsweep')
    second = second.replace('"540 mm"', '"300 mm"')
    jigs = {one.name: one for one in jigs_of(load(design(tmp_path, FIN + second)), None).made}
    feet = {name: jigs[name].cut[0].piece.outline.box()[1] for name in ("fin-plates-fin", "fin-plates-small-fin")}
    assert len(set(feet.values())) == 1
    assert f"axis is {-feet['fin-plates-fin']:g} mm over the table" in jigs["stand-tube"].trial


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--only", "fin-plate-fin"], "did you mean 'fin-plates-fin'?"),
        (["--machine", "tal"], "did you mean 'tall'?"),
        (["--thickness", "4"], "--thickness: "),
        (["--thickness", "1 mm"], "at least 2 mm and at most 12 mm"),
        (["--machine", "laser", "--only", "marking-ring-tube"], "laser: what is wanted is printed"),
    ],
)
def test_the_command_says_what_is_wrong(arguments: list[str], words: str, tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["jig", str(design(tmp_path)), "--out", str(tmp_path / "out"), *arguments])
    assert done.exit_code == 2
    assert words in " ".join(done.output.split())
    assert not (tmp_path / "out").exists()


def test_the_command_tells_what_it_made(tmp_path: Path) -> None:
    arguments = ["jig", str(design(tmp_path)), "--out", str(tmp_path), "--only", "stand-tube", "--machine", "laser"]
    done = CliRunner().invoke(app, [*arguments, "--thickness", "0.25 in"])
    assert done.exit_code == 0
    assert "demo-jigs-for-laser.md" in done.output
    assert "flat sheet, 6.35 mm as measured" in (tmp_path / "demo-jigs-for-laser.md").read_text(encoding="utf-8")


def test_the_large_example_has_its_plates_its_stand_its_guides_and_its_ring() -> None:
    jigs = jigs_of(load(MARRAM), None)
    assert jigs.refused == {}
    assert [one.name for one in jigs.made] == [
        "fin-plates-fin",
        "stand-booster-tube",
        "drill-payload-tube-screw-nose",
        "drill-payload-tube-vent",
        "drill-payload-tube-screw-coupler",
        "drill-booster-tube-vent",
        "drill-booster-tube-rail-button",
        "marking-ring-booster-tube",
    ]
    # (34.2 + 58 + 3) / sqrt 2 and half a slot of 4.25 mm across it, 15 mm beyond, in whole mm.
    reach = 34.2 + 58.0 + 3.0
    assert -jigs.made[0].cut[0].piece.outline.box()[1] == math.ceil((reach + 2.125) / math.sqrt(2.0) + 15.0)
