"""`ferrule gauge`: files of the right size with their sheet, and results that bring a machine to its true values.

Machines are simulated from what they are told to make: sizes read off the written meshes and cut files by trimesh and
ezdxf, shrunk and moved by hidden amounts (common practice for a printer: every outside too far out, every hole too
small, all lengths shorter by a share).
"""

from __future__ import annotations

import json
import shlex
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import trimesh
from shapely.geometry import LinearRing, Point

from ferrule.app.design_file import load
from ferrule.app.gauge import take_result, write_gauges
from ferrule.app.machine_file import VARIABLE, load_machines
from ferrule.app.make_design import make_design
from ferrule.parts.errors import DesignError, FerruleError, WriteError
from ferrule.parts.writers import files

DESIGN = """format = 1
name = "Demo"

[[tube]]
name = "tube"
outside_mm = [68.4, 68.44]
inside_mm = [65.9, 65.86]
length = "600 mm"
station = "150 mm"

[[tube]]
name = "motor tube"
use = "motor"
outside_mm = [31.0]
inside_mm = [29.2]
length = "250 mm"
station = "500 mm"

[[part]]
name = "nose"
kind = "nose-cone"
fits = "tube"
profile = "cone"
length = "150 mm"
shoulder_length = "66 mm"
screw_count = 3
material = "petg"

[[part]]
name = "boat tail"
kind = "transition"
fits = "tube"
station = "750 mm"
length = "60 mm"
aft_diameter = "50 mm"
forward_shoulder_length = "40 mm"
material = "petg"

[[part]]
name = "fin"
kind = "fin"
fits = "tube"
around = "motor tube"
count = 3
station = "600 mm"
root_chord = "120 mm"
tip_chord = "60 mm"
semi_span = "58 mm"
sweep_length = "50 mm"
thickness = "4 mm"
material = "birch-plywood"

[printer.tall]
width = "250 mm"
depth = "250 mm"
height = "340 mm"

[cutter.laser]
width = "600 mm"
depth = "300 mm"
"""

MACHINES = """# My workshop.
[printer.tall] # beside the window
shrinkage = { petg = 0.003 } # the last spool

[printer.unfinished] # bed to be measured
nozzle = "0.6 mm"
"""

ALL = (
    "shoulder-nose",
    "shoulder-boat-tail-forward",
    "rings-motor-tube",
    "plugs-motor-tube",
    "rings-tube",
    "plugs-tube",
    "slots-fin",
    "kerf-comb",
    "insert-m3",
)


@pytest.fixture
def design(tmp_path: Path) -> Path:
    path = tmp_path / "demo.toml"
    path.write_text(DESIGN, encoding="utf-8")
    return path


@pytest.fixture(autouse=True)
def machine_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "machines.toml"
    path.write_text(MACHINES, encoding="utf-8")
    monkeypatch.setenv(VARIABLE, str(path))
    return path


def drawn(path: Path, inside: bool) -> float:
    """Diameter of a printed set's face as its file has it, over its tab: through a bore, or over the outside."""
    solid = trimesh.load(path)
    assert solid.is_volume
    cut = solid.section(plane_origin=[0.0, 0.0, solid.bounds[1][2] - 1.0], plane_normal=[0.0, 0.0, 1.0])
    # The middle of the round wall is the origin of the file.
    bore, rim = sorted((LinearRing(line[:, :2]) for line in cut.discrete), key=lambda ring: ring.length)
    return 2.0 * (bore.distance(Point(0.0, 0.0)) if inside else rim.hausdorff_distance(Point(0.0, 0.0)))


def names_for(design: Path, out: Path, machine: str | None, *only: str) -> set[str]:
    return set(write_gauges(design, out, machine, only))


def test_every_gauge_has_its_files_and_its_place_on_the_sheet(design: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    found = names_for(design, out, None)
    for name in ALL:
        printed, cut = name not in ("kerf-comb",), name.partition("-")[0] in ("rings", "plugs", "slots", "kerf")
        mine = {one for one in found if one.startswith(f"demo-gauge-{name}")}
        assert {Path(one).suffix for one in mine} == {
            *((".stl", ".3mf") if printed else ()),
            *((".dxf", ".pdf") if cut else ()),
        }, name
    assert {one.name for one in out.iterdir()} == found | {"manifest.json"}
    sheet = (out / "demo-gauge.md").read_text(encoding="utf-8")
    assert [line.split(":")[0][3:] for line in sheet.splitlines() if line.startswith("## ")] == [
        *ALL,
        "Feeding back",
        "Cautions",
    ]
    for line in ("Make", "Try", "Write down", "Files"):
        assert sheet.count(f"- **{line}:** ") == len(ALL)
    assert "--result" not in sheet
    assert all(one in sheet for one in found if not one.endswith(".md"))
    manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    assert {entry["file"] for entry in manifest["files"]} == found
    assert {(entry["design"], entry["sizes"]) for entry in manifest["files"]} == {(None, "nominal")}


def test_gauges_leave_the_files_of_a_design_alone(design: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    made = make_design(load(design), out, ["nose"], ("stl",)).files
    first = names_for(design, out, None, "slots-fin")
    assert all((out / name).exists() for name in made)
    manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["design"] == "Demo"
    assert {entry["file"] for entry in manifest["files"]} == {*made, *first}
    # And the design's next run leaves the gauges.
    make_design(load(design), out, ["nose"], ("stl",))
    assert all((out / name).exists() for name in first)


def test_the_same_gauges_are_the_same_bytes(design: Path, tmp_path: Path) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    found = names_for(design, one, "tall", "shoulder-nose")
    assert names_for(design, other, "tall", "shoulder-nose") == found
    assert all((one / name).read_bytes() == (other / name).read_bytes() for name in found)


def test_a_printer_gets_what_is_printed_and_a_cutter_what_is_cut(design: Path, tmp_path: Path) -> None:
    printed, cut = names_for(design, tmp_path / "p", "tall"), names_for(design, tmp_path / "c", "laser")
    assert {Path(name).suffix for name in printed} == {".stl", ".3mf", ".md"}
    assert {Path(name).suffix for name in cut} == {".dxf", ".pdf", ".md"}
    assert all(Path(name).stem.endswith("-for-tall") for name in printed)
    assert all(Path(name).stem.endswith("-for-laser") for name in cut)


def test_files_are_of_the_size_that_the_machine_needs(design: Path, tmp_path: Path, machine_file: Path) -> None:
    text = MACHINES.replace("shrinkage", 'outside = "0.06 mm"\nhole = "0.11 mm"\nshrinkage')
    machine_file.write_text(f'{text}\n[cutter.laser]\nkerf = "0.2 mm"\n', encoding="utf-8")
    write_gauges(design, tmp_path, "tall", ("plugs-tube", "rings-tube"))
    # Smallest inside 65.86, largest outside 68.44; what is stated already is looked at in steps of 0.05 mm.
    for size in (65.76, 65.81, 65.86, 65.91, 65.96):
        word = f"{size:.2f}".replace(".", "-")
        found = drawn(tmp_path / f"demo-gauge-plugs-tube-{word}-for-tall.stl", inside=False)
        assert found == pytest.approx((size - 0.12) / 0.997, abs=1e-5)
    found = drawn(tmp_path / "demo-gauge-rings-tube-68-44-for-tall.stl", inside=True)
    assert found == pytest.approx((68.44 + 0.22) / 0.997, abs=1e-5)
    write_gauges(design, tmp_path, "laser", ("plugs-tube", "kerf-comb"))
    space = ezdxf.readfile(tmp_path / "demo-gauge-plugs-tube-65-86-for-laser.dxf").modelspace()
    circles = [one.dxf.radius for one in space.query('CIRCLE[layer=="CUT"]')]
    assert max(circles) == pytest.approx(65.86 / 2.0 + 0.1, abs=1e-9)
    manifest = json.loads((tmp_path / "manifest.json").read_text(encoding="utf-8"))
    sizes = {entry["file"]: entry["sizes"] for entry in manifest["files"]}
    assert sizes["demo-gauge-plugs-tube-65-86-for-laser.dxf"].startswith("compensated for laser")
    # The comb measures the beam only along the lines as they are drawn: strips of 10 mm, whatever is stated.
    space = ezdxf.readfile(tmp_path / "demo-gauge-kerf-comb-for-laser.dxf").modelspace()
    widths = sorted(
        float(np.ptp([x for x, _ in line.get_points("xy")])) for line in space.query('LWPOLYLINE[layer=="CUT"]')
    )
    assert widths[:10] == pytest.approx([10.0] * 10)
    assert sizes["demo-gauge-kerf-comb-for-laser.dxf"] == "nominal: cut as drawn"


# --- feeding back -----------------------------------------------------------------------------------------------------

SHRINKAGE = 0.003
"""What the material does and the machine file knows."""


def made(path: Path, inside: bool, hidden: float) -> float:
    """Diameter that a printer makes of a file: all shorter by the shrinkage, faces off by a hidden amount per side."""
    off = -2.0 * hidden if inside else 2.0 * hidden
    return drawn(path, inside) * (1.0 - SHRINKAGE) + off


def pieces(out: Path, name: str) -> dict[str, Path]:
    """The files of a set by the number on each piece."""
    start, end = f"demo-gauge-{name}-", "-for-tall.stl"
    return {path.name[len(start) : -len(end)].replace("-", "."): path for path in sorted(out.glob(f"{start}*{end}"))}


def largest_in(out: Path, name: str, tube: float, hidden: float) -> str:
    going = [number for number, path in pieces(out, name).items() if made(path, False, hidden) <= tube]
    return max(going, key=float, default="none")


def smallest_over(out: Path, name: str, tube: float, hidden: float) -> str:
    going = [number for number, path in pieces(out, name).items() if made(path, True, hidden) >= tube]
    return min(going, key=float, default="none")


def best(out: Path, name: str, wanted: float, hidden: float) -> str:
    off = {number: abs(made(path, False, hidden) - wanted) for number, path in pieces(out, name).items()}
    return min(off, key=lambda number: off[number])


@pytest.mark.parametrize("hidden", [-0.043, 0.0, 0.0766])
def test_two_rounds_of_slices_find_the_hidden_error(design: Path, tmp_path: Path, hidden: float) -> None:
    for number in range(2):
        out = tmp_path / str(number)
        write_gauges(design, out, "tall", ("shoulder-nose",))
        # 65.86 less the 0.5 mm of a shoulder with tape.
        take_result(design, "tall", [f"shoulder-nose={best(out, 'shoulder-nose', 65.36, hidden)}"])
    value = load_machines().printers["tall"].outside
    assert value == pytest.approx(hidden, abs=0.02)


@pytest.mark.parametrize(("outside", "hole"), [(0.0849, 0.0166), (-0.06, 0.0525)])
def test_two_rounds_of_plugs_and_rings_find_both_hidden_errors(
    design: Path, tmp_path: Path, outside: float, hole: float
) -> None:
    for number in range(2):
        out = tmp_path / str(number)
        write_gauges(design, out, "tall", ("plugs-tube", "rings-tube"))
        results = [
            f"plugs-tube={largest_in(out, 'plugs-tube', 65.86, outside)}",
            f"rings-tube={smallest_over(out, 'rings-tube', 68.44, hole)}",
        ]
        take_result(design, "tall", results)
    tall = load_machines().printers["tall"]
    assert tall.outside == pytest.approx(outside, abs=0.02)
    assert tall.hole == pytest.approx(hole, abs=0.02)


@pytest.mark.parametrize("hidden", [0.19, -0.15])
def test_an_error_beyond_the_set_is_said_and_found_in_the_end(design: Path, tmp_path: Path, hidden: float) -> None:
    said: list[str] = []
    for number in range(4):
        out = tmp_path / str(number)
        write_gauges(design, out, "tall", ("plugs-tube",))
        said.append(take_result(design, "tall", [f"plugs-tube={largest_in(out, 'plugs-tube', 65.86, hidden)}"]))
    assert "may lie beyond" in said[0]
    assert "may lie beyond" not in said[-1]
    assert load_machines().printers["tall"].outside == pytest.approx(hidden, abs=0.02)


def test_the_comb_sets_the_kerf_of_its_material(design: Path, machine_file: Path) -> None:
    said = take_result(design, "laser", ["kerf.birch-plywood=0.16 mm"])
    assert "kerf_for.birch-plywood: not stated -> 0.16 mm wide" in said
    assert load_machines().cutters["laser"].kerf_for == {"birch-plywood": 0.16}
    said = take_result(design, "laser", ["kerf.birch plywood=0.17 mm", "kerf = 0.2 mm"])
    assert "0.16 mm -> 0.17 mm" in said
    laser = load_machines().cutters["laser"]
    assert (laser.kerf_for, laser.kerf) == ({"birch-plywood": 0.17}, 0.2)
    assert machine_file.read_text(encoding="utf-8").startswith(MACHINES)


@pytest.mark.parametrize("kerf", [0.08, 0.24])
def test_cut_plugs_find_a_kerf_within_half_a_step(design: Path, tmp_path: Path, kerf: float) -> None:
    """A plug loses half the beam all round: as made it is its path less the kerf."""
    for number in range(2):
        out = tmp_path / str(number)
        write_gauges(design, out, "laser", ("plugs-tube",))
        going = []
        for path in out.glob("*.dxf"):
            circles = ezdxf.readfile(path).modelspace().query('CIRCLE[layer=="CUT"]')
            if 2.0 * max(one.dxf.radius for one in circles) - kerf <= 65.86:
                going.append(path.name.removeprefix("demo-gauge-plugs-tube-").removesuffix("-for-laser.dxf"))
        take_result(design, "laser", [f"plugs-tube={max(going, default='none').replace('-', '.')}"])
    assert load_machines().cutters["laser"].kerf == pytest.approx(kerf, abs=0.05 / 2.0 + 0.006)


def test_what_was_changed_is_said_and_comments_stay(design: Path, machine_file: Path) -> None:
    said = take_result(design, "tall", ["shoulder-nose=65.46"])
    # One step down from 65.36 made of 65.46 too much is 0.05 mm per side too little.
    assert "printer tall, outside: not stated -> -0.05 mm per side (from shoulder-nose 65.46" in said
    assert str(machine_file) in said
    text = machine_file.read_text(encoding="utf-8")
    for comment in ("# My workshop.", "# beside the window", "# the last spool", "# bed to be measured"):
        assert comment in text
    said = take_result(design, "tall", ["outside=0.07 mm"])
    assert "-0.05 mm -> 0.07 mm per side" in said


def test_results_that_agree_narrow_each_other(design: Path) -> None:
    """Of -0.05 to 0 mm by the plugs and -0.025 to 0.025 mm by the slices, both are true from -0.025 to 0 mm."""
    take_result(design, "tall", ["plugs-tube=65.86", "shoulder-nose=65.36"])
    assert load_machines().printers["tall"].outside == pytest.approx(-0.0125, abs=0.0051)


def test_the_commands_on_the_sheet_work_as_they_stand(design: Path, tmp_path: Path) -> None:
    for machine, values in (
        ("tall", {"shoulder-nose": "65.36", "insert-m3": "4.10"}),
        ("laser", {"kerf-comb": "0.16"}),
    ):
        write_gauges(design, tmp_path / machine, machine, tuple(values))
        sheet = (tmp_path / machine / f"demo-gauge-for-{machine}.md").read_text(encoding="utf-8")
        commands = [line.split("`")[1] for line in sheet.splitlines() if line.startswith("- **Feed back:**")]
        assert len(commands) == len(values)
        words = [
            shlex.split(command.replace("NUMBER", number))
            for command, number in zip(commands, values.values(), strict=True)
        ]
        assert all(one[:5] == ["ferrule", "gauge", "demo.toml", "--machine", machine] for one in words)
        results, codes = (
            [one[one.index("--result") + 1] for one in words],
            {one[one.index("--made") + 1] for one in words},
        )
        (code,) = codes
        assert "->" in take_result(design, machine, results, code)
        # The machine is another now, and what was made for the old one says nothing of it.
        with pytest.raises(FerruleError, match="make them again"):
            take_result(design, machine, results, code)


BAD: dict[str, tuple[str, tuple[str, ...], str]] = {
    "no machine": ("tal", ("outside=0.1 mm",), "no machine 'tal'; did you mean 'tall'"),
    "bed not stated": ("unfinished", ("outside=0.1 mm",), "printer.unfinished.width: is needed"),
    "nothing": ("tall", (), "--result: give at least one"),
    "no number": ("tall", ("shoulder-nose",), "is not GAUGE=NUMBER"),
    "no such gauge": ("tall", ("shoulder-nos=65.36",), "did you mean 'shoulder-nose'"),
    "of the other machine": ("tall", ("kerf=0.2 mm",), "no gauge or value 'kerf'"),
    "no such number": ("tall", ("shoulder-nose=65.37",), "no piece is marked '65.37'; give one of 65.26, 65.36, 65.46"),
    "no number at all": ("tall", ("plugs-tube=fine",), "no piece is marked 'fine'"),
    "best of none": ("tall", ("shoulder-nose=none",), "65.46, tight, loose"),
    "nothing of a machine": ("tall", ("slots-fin=4.40",), "slots-fin is not fed back by a number of its own"),
    "comb by its name": ("laser", ("kerf-comb=1.76",), "kerf-comb is not fed back"),
    "no unit": ("laser", ("kerf=0.16",), "mm"),
    "out of range": ("laser", ("kerf=9 mm",), "at most 5 mm, got 9 mm"),
    "no such material": ("laser", ("kerf.birch=0.16 mm",), "birch"),
    "contradiction": (
        "tall",
        ("plugs-tube=65.66", "shoulder-nose=65.46"),
        "outside: the results contradict each other",
    ),
    "of an earlier state": ("tall", ("shoulder-nose=65.36",), "--made: 00000000"),
}


@pytest.mark.parametrize(("machine", "results", "words"), BAD.values(), ids=BAD)
def test_a_wrong_result_is_said_clearly_and_changes_nothing(
    design: Path, machine_file: Path, machine: str, results: tuple[str, ...], words: str
) -> None:
    with pytest.raises((FerruleError, DesignError)) as caught:
        take_result(design, machine, results, "00000000" if "--made" in words else None)
    assert words in str(caught.value)
    assert machine_file.read_text(encoding="utf-8") == MACHINES


def test_a_value_of_the_design_itself_is_not_hidden(design: Path, machine_file: Path) -> None:
    design.write_text(DESIGN.replace('height = "340 mm"', 'height = "340 mm"\noutside = "0.02 mm"'), encoding="utf-8")
    with pytest.raises(FerruleError, match=r"printer\.tall\.outside: is stated in demo\.toml.*write 0\.07 mm there"):
        take_result(design, "tall", ["outside=0.07 mm"])
    assert machine_file.read_text(encoding="utf-8") == MACHINES


def test_gauges_that_are_not_there_are_named(design: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    with pytest.raises(FerruleError, match="no gauge 'rings-tub'; did you mean 'rings-tube'"):
        write_gauges(design, out, None, ("rings-tub",))
    with pytest.raises(FerruleError, match="no gauge 'kerf-comb' for tall"):
        write_gauges(design, out, "tall", ("kerf-comb",))
    with pytest.raises(FerruleError, match="there is no machine 'small'"):
        write_gauges(design, out, "small", ())
    assert not out.exists()


def test_a_run_that_fails_leaves_nothing(design: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "replace", full)
    with pytest.raises(WriteError):
        write_gauges(design, tmp_path / "out", None, ("slots-fin",))
    assert not (tmp_path / "out").exists()


def test_a_tube_too_small_for_a_number_is_not_in_the_way(design: Path, tmp_path: Path) -> None:
    small = DESIGN.replace("outside_mm = [31.0]\ninside_mm = [29.2]", "outside_mm = [8.0]\ninside_mm = [7.0]")
    design.write_text(small, encoding="utf-8")
    found = write_gauges(design, tmp_path / "out", "laser", ())  # what is cut alone, which is quicker than meshes
    assert not [name for name in found if "plugs-motor-tube" in name]
    sheet = (tmp_path / "out" / "demo-gauge-for-laser.md").read_text(encoding="utf-8")
    assert "## plugs-motor-tube: not made\n\nnumbers: '6.80' would be" in sheet
    with pytest.raises(FerruleError, match="plugs-motor-tube cannot be made: numbers"):
        write_gauges(design, tmp_path / "other", None, ("plugs-motor-tube",))


def test_a_design_without_printed_shoulders_or_sheet_has_gauges_for_its_tubes(tmp_path: Path) -> None:
    path = tmp_path / "tubes.toml"
    path.write_text(DESIGN.partition("[[part]]")[0].replace('"Demo"', '"Tubes"'), encoding="utf-8")
    found = {name.partition("-gauge-")[2].partition(".")[0] for name in write_gauges(path, tmp_path / "out", None, ())}
    kinds = {name.split("-")[0] for name in found} - {""}
    assert kinds == {"rings", "plugs", "kerf"}
    # Five sizes, and the paper in two formats.
    assert len([name for name in found if name.startswith("rings-tube-")]) == 7
