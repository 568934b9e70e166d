"""The command line from outside: what it prints, its exit codes, and what it leaves in a folder.

Most commands run in the process of the tests, which has loaded everything; those that prove what a process does by
itself have one of their own.
"""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
import trimesh
from typer.testing import CliRunner

from ferrule.app.cli import app
from ferrule.app.design_file import load
from ferrule.parts.kinds import NoseCone

ROOT = Path(__file__).resolve().parents[2]
MARRAM = ROOT / "examples" / "marram" / "marram.toml"
NOSE_ONLY = ROOT / "examples" / "nose-only" / "nose.toml"
PART = ("part", "nose-cone", "--profile", "cone", "--length", "250 mm", "--base-diameter", "66 mm")


@dataclass(frozen=True)
class Done:
    """How a command ended."""

    returncode: int
    stdout: str
    stderr: str


def ferrule(*arguments: str | Path) -> Done:
    result = CliRunner().invoke(app, [str(argument) for argument in arguments], env={"COLUMNS": "200"})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return Done(result.exit_code, result.stdout, result.stderr)


def process(*arguments: str | Path) -> Done:
    """The same in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "ferrule", *map(str, arguments)],
        env={**os.environ, "PYTHONIOENCODING": "utf-8", "COLUMNS": "200"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    return Done(done.returncode, done.stdout, done.stderr)


@pytest.fixture(scope="module")
def figures() -> Any:
    """What is said of the large example, for programs."""
    done = ferrule("check", MARRAM, "--json")
    assert done.returncode == 0
    return json.loads(done.stdout)


def marram() -> str:
    """The large example, to be written into any folder."""
    return MARRAM.read_text(encoding="utf-8").replace('"demo-29.csv"', f"'{MARRAM.parent / 'demo-29.csv'}'")


def with_a_thick_shoulder() -> str:
    """The small example with a nose that cannot enter its tube."""
    return NOSE_ONLY.read_text(encoding="utf-8").replace(
        'shoulder_length = "65 mm"', 'shoulder_length = "65 mm"\nshoulder_diameter = "65.4 mm"'
    )


def write(folder: Path, text: str | bytes) -> Path:
    path = folder / "design.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return path


def test_kinds_are_listed_in_bench_order_and_shown_one_by_one() -> None:
    done = ferrule("kinds")
    assert done.returncode == 0
    names = [line.split()[0] for line in done.stdout.splitlines()]
    # From what lies on the bench already to what goes on last.
    assert names == [
        *("tube", "centering-ring", "bulkhead", "coupler", "nose-cone", "fin", "fillet", "fin-can", "transition"),
        *("motor-mount", "rail-button"),
    ]
    one = ferrule("kinds", "fin")
    assert "semi_span" in one.stdout
    assert "tube surface to tip" in one.stdout
    unknown = ferrule("kinds", "finn")
    assert unknown.returncode == 2
    assert "did you mean 'fin'?" in unknown.stderr


def test_a_process_of_its_own_says_the_same_and_ends_the_same(tmp_path: Path) -> None:
    """A command that does its work, one that finds a failed check, one that refuses, and one that is not understood."""
    failing = write(tmp_path, with_a_thick_shoulder())
    for arguments, code in (
        (("kinds", "fin"), 0),
        (("check", failing), 1),
        ((*PART, "--wall", "2"), 2),
        (("chek", MARRAM), 2),
    ):
        alone = process(*arguments)
        assert alone.returncode == code
        assert replace(alone, stderr=alone.stderr.replace("python -m ferrule", "ferrule")) == ferrule(*arguments)


def test_check_prints_json_with_units_in_its_keys(figures: Any) -> None:
    assert figures["schema"] == "ferrule/check/3"
    wanted = {"mass_g", "cg_mm", "inertia_g_mm2", "cn_alpha_per_rad", "cp_mm"}
    assert all(wanted <= item.keys() for item in figures["items"])
    assert {"length_mm", "reference_diameter_mm", "cn_alpha_per_rad", "cp_mm"} <= figures["body"].keys()
    keys = {"name", "motor", "mass_g", "cg_mm", "cp_mm", "margin_mm", "margin_cal", "margin_percent_of_length"}
    assert all(keys <= loading.keys() for loading in figures["loadings"])
    assert all({"name", "status", "value", "limit", "source"} <= check.keys() for check in figures["checks"])


def test_the_figures_of_the_large_example_are_those_worked_by_hand(figures: Any) -> None:
    loadings = {(one["motor"], one["name"]): one for one in figures["loadings"]}
    assert list(loadings) == [(None, "without motor"), ("DEMO-29", "liftoff"), ("DEMO-29", "burnout")]
    liftoff = loadings["DEMO-29", "liftoff"]
    # Worked by hand from the 1966 report's equations; the tubes there are 68.4 mm, here as read with the calipers, and
    # the tip is sharp, here rounded to 2 mm.
    assert figures["body"]["cp_mm"] == pytest.approx(859.65, abs=0.3)
    # By hand from rough masses: liftoff 1,151 g at 715 mm, about 2.1 calibres. Nose, coupler and glue weigh more in the
    # demo's real parts than in that list: 74 g, of which the nose, with its joint and its inserts, has the most.
    assert liftoff["mass_g"] == pytest.approx(1151.0 + 74.0, rel=0.005)
    assert liftoff["cg_mm"][0] == pytest.approx(715.0, abs=10.0)
    assert liftoff["margin_cal"] == pytest.approx(2.1, abs=0.15)
    # Golden numbers.
    masses = [loadings[key]["mass_g"] for key in loadings]
    assert masses == pytest.approx([1035.0, 1225.0, 1135.0], abs=0.5)
    assert [loadings[key]["cg_mm"][0] for key in loadings] == pytest.approx([648.2, 710.2, 683.5], abs=0.1)
    assert [loadings[key]["margin_cal"] for key in loadings] == pytest.approx([3.09, 2.18, 2.57], abs=0.01)
    # The motor by hand: 190 g and 100 g at the middle of its 220 mm, its aft end at 1158 mm.
    bare = loadings[None, "without motor"]
    for name, mass in (("liftoff", 190.0), ("burnout", 100.0)):
        found, whole = loadings["DEMO-29", name], bare["mass_g"] + mass
        assert found["mass_g"] == pytest.approx(whole, rel=1e-12)
        moment = bare["mass_g"] * bare["cg_mm"][0] + mass * (1158.0 - 110.0)
        assert found["cg_mm"][0] == pytest.approx(moment / whole, rel=1e-12)
        calibres = (figures["body"]["cp_mm"] - found["cg_mm"][0]) / figures["body"]["reference_diameter_mm"]
        assert found["margin_cal"] == pytest.approx(calibres, rel=1e-12)
    (motor,) = figures["motors"]
    # Trapezoids of demo-29.csv by hand: 2.5 + 21.04 + 52.8 + 46.4 + 29.1 + 13.8 + 2.5 N s.
    assert motor["total_impulse_ns"] == pytest.approx(168.14, abs=1e-9)
    assert motor["burn_time_s"] == pytest.approx(1.6, abs=1e-12)
    assert motor["mean_thrust_n"] == pytest.approx(168.14 / 1.6, rel=1e-12)
    assert motor["greatest_thrust_n"] == 138.0
    # What nobody has entered and no table knows: what glue bears on a printed coupler.
    assert figures["next"].startswith("glue line, bulkhead in coupler: ")


@pytest.fixture(scope="module")
def made(demo: Path) -> Path:
    return demo


def test_the_manifest_is_true_and_complete(made: Path) -> None:
    manifest = json.loads((made / "manifest.json").read_text(encoding="utf-8"))
    listed = {entry["file"] for entry in manifest["files"]}
    assert listed == {path.name for path in made.iterdir()} - {"manifest.json"}
    for entry in manifest["files"]:
        data = (made / entry["file"]).read_bytes()
        assert len(data) == entry["bytes"]
        assert hashlib.sha256(data).hexdigest() == entry["sha256"]
        assert entry["sizes"] == "nominal"
    solids = [entry for entry in manifest["files"] if entry["kind"] == "step"]
    assert solids
    assert all(abs(entry["self_check"]["volume_against_integral"]) < 1e-6 for entry in solids)


def test_each_section_of_the_nose_is_one_sound_solid_standing_on_the_bed(made: Path) -> None:
    heights = []
    for number in (1, 2):
        section = trimesh.load(made / f"marram-nose-{number}-of-2.stl")
        assert section.is_volume
        assert section.body_count == 1
        assert section.bounds[0][2] == pytest.approx(0.0, abs=1e-4)
        heights.append(section.bounds[1][2])
    # The printer's 220 mm less the 10 mm that stay free.
    assert max(heights) <= 210.0 + 1e-3
    # Together 250 mm, the shoulder of 68 mm, and the spigot of the joint, which is in the other section's socket.
    design = json.loads((made / "manifest.json").read_text(encoding="utf-8"))
    assert {"marram-nose-1-of-2.3mf", "marram-nose.3mf"} <= {entry["file"] for entry in design["files"]}
    (nose,) = [item.part for item in load(MARRAM).rocket.items if isinstance(item.part, NoseCone)]
    (joint,) = nose.built().joints
    assert sum(heights) == pytest.approx(318.0 + nose.spigot_length, abs=0.05)
    assert heights[0] == pytest.approx(joint.station, abs=0.05)


def test_the_fin_template_measures_true_on_both_papers(made: Path) -> None:
    for paper, width in (("a4", 210.0), ("letter", 215.9)):
        with pdfplumber.open(made / f"marram-fin-{paper}.pdf") as document:
            page = document.pages[0]
            assert float(page.width) * 25.4 / 72 == pytest.approx(width, abs=0.01)
            text = page.extract_text()
            assert "make 4" in text
            assert "100 mm" in text
            lengths = {
                round(max(abs(x["x1"] - x["x0"]), abs(x["top"] - x["bottom"])) * 25.4 / 72, 3) for x in page.lines
            }
            assert 100.0 in lengths
            assert 101.6 in lengths


def test_the_report_names_methods_and_cautions(made: Path) -> None:
    text = (made / "report.md").read_text(encoding="utf-8")
    for words in ("CG not measured", "Not a clearance to fly", "slender-body theory", "eq. 57", "common practice"):
        assert words in text


def test_two_runs_give_the_same_bytes(made: Path, tmp_path: Path) -> None:
    """One in this process; the other in one of its own, in another folder, time zone and language."""
    assert ferrule("make", MARRAM, "--out", tmp_path).returncode == 0
    again = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert again == {path.name: path.read_bytes() for path in made.iterdir()}


def test_only_makes_one_part_and_keeps_what_the_manifest_had(tmp_path: Path) -> None:
    first = ferrule("make", MARRAM, "--out", tmp_path, "--only", "fin", "--formats", "stl,pdf")
    assert first.returncode == 0
    second = ferrule("make", MARRAM, "--out", tmp_path, "--only", "nose", "--formats", "stl")
    assert second.returncode == 0
    files = {entry["file"] for entry in json.loads((tmp_path / "manifest.json").read_text())["files"]}
    assert files == {
        *("marram-fin.stl", "marram-fin-a4.pdf", "marram-fin-letter.pdf", "report.md", "build-order.md"),
        *("marram-nose-1-of-2.stl", "marram-nose-2-of-2.stl", "marram-nose-print-notes.md"),
    }
    unknown = ferrule("make", MARRAM, "--out", tmp_path, "--only", "nos")
    assert unknown.returncode == 2
    assert "did you mean 'nose'?" in unknown.stderr


def test_a_nose_in_one_line_reads_a_length_with_and_without_a_space(tmp_path: Path) -> None:
    written = []
    for index, length in enumerate(("250mm", "250 mm")):
        folder = tmp_path / str(index)
        done = ferrule(
            *("part", "nose-cone", "--profile", "tangent-ogive", "--length", length, "--base-diameter", "2.6 in"),
            *("--formats", "stl", "--out", folder),
        )
        assert done.returncode == 0, done.stderr
        assert "(default)" in done.stdout
        written.append((folder / "nose-cone.stl").read_bytes())
    assert written[0] == written[1]


def test_a_failed_check_makes_the_files_says_so_on_them_and_exits_1(tmp_path: Path) -> None:
    text = marram().replace('semi_span = "58 mm"', 'semi_span = "20 mm"')
    done = ferrule("make", write(tmp_path, text), "--out", tmp_path / "out", "--only", "fin", "--formats", "stl,pdf")
    assert done.returncode == 1
    # With less drag it is faster where the parachute comes out in a wind, and opens with more than its ring bears.
    failed = ["static margin, DEMO-29 at liftoff", "static margin, DEMO-29 at burnout", "forward ring bent by U-bolt"]
    assert f"CHECK FAILED: {', '.join(failed)}" in done.stdout
    assert f"CHECK FAILED: {', '.join(failed)}" in (tmp_path / "out" / "report.md").read_text(encoding="utf-8")
    with pdfplumber.open(tmp_path / "out" / "marram-fin-a4.pdf") as document:
        words = [" ".join(page.extract_text().split()) for page in document.pages]
    assert words
    assert all("CHECK FAILED" in page and name in page for page in words for name in failed)
    assert json.loads((tmp_path / "out" / "manifest.json").read_text())["failed_checks"] == failed


def test_a_shoulder_that_cannot_enter_its_tube_fails_its_check(tmp_path: Path) -> None:
    done = ferrule("check", write(tmp_path, with_a_thick_shoulder()))
    assert done.returncode == 1
    assert "fail        nose: shoulder in tube: -0.40 mm; it cannot go in" in done.stdout


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("part", "nose", "--length", "1 mm"), "No such command 'nose'"),
        ((*PART, "--lenght", "1 mm"), "No such option: --lenght"),
        ((*PART, "--wall", "2"), "wall: '2' has a number without a unit"),
        ((*PART, "--wall", "3 oz"), "wall: '3 oz' is a mass, expected a length"),
        ((*PART, "--wall", "0 mm"), "wall: must be above 0 mm, got 0 mm"),
        ((*PART, "--wall=-2 mm"), "wall: must be above 0 mm, got -2 mm"),
        ((*PART, "--wall", "nan mm"), "wall: 'nan mm' cannot be read as a length"),
        ((*PART, "--wall", "1e400 mm"), "wall: "),
        ((*PART, "--wall", "40 mm"), "wall: 40 mm is not less than the radius of the base, 33 mm"),
        ((*PART, "--power-exponent", "0.5"), "power_exponent: the profile cone has no such constant"),
        ((*PART, "--shoulder-length", "60 mm", "--shoulder-diameter", "67 mm"), "cannot enter the tube"),
        (
            ("part", "centering-ring", "--outside-diameter", "60mm", "--inside-diameter", "70mm", "--thickness", "6mm"),
            "inside_diameter: the bore of 70 mm is not smaller than the outside, 60 mm",
        ),
        ((*PART, "--formats", "dxg"), "formats: dxg is not among step, stl, 3mf, glb, dxf, svg, pdf"),
    ],
)
def test_a_bad_part_is_refused_in_one_message_and_nothing_is_written(
    arguments: tuple[str, ...], message: str, tmp_path: Path
) -> None:
    done = ferrule(*arguments, "--out", tmp_path / "out")
    assert done.returncode == 2
    assert message in done.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "format: is needed and not stated"),
        ("format = 1\nname = [", "is not TOML"),
        (b'format = 1\nname = "\xff"', "design.toml:2: byte 20 is not UTF-8 text"),
        ('format = 2\nname = "x"', "design.toml:1:1: format: must be at most 1, got 2"),
        (
            'format = 1\nname = "x"\n[[part]]\nname = "a"\nkind = "fim"\n',
            "design.toml:5:1: part[1].kind: there is no kind",
        ),
        ('format = 1\nname = "x"\n[[part]]\nname = "a"\nkind = "fin"\nspam = 1\nfits = "q"\n', "there is no tube 'q'"),
        (
            'format = 1\nname = "x"\n[[mass]]\nname = "a"\nmass = "3 mm"\nstation = 4\n',
            "'3 mm' is a length, expected a mass",
        ),
        (
            'format = 1\nname = "x"\n[[tube]]\nname = "t"\noutside_mm = [66.0]\ninside_mm = [66.2]\nlength = "1 m"\n'
            'station = "0 mm"\n',
            "design.toml:6:1: tube[1].inside_mm: a reading of 66.2 mm is not below the outside reading of 66 mm",
        ),
        ('format = 1\nname = "../x"\n[[mass]]\nname = "日本"\nmass = "3 g"\nstation = "4 mm"\n', "no letter or digit"),
        (
            'format = 1\nname = "x"\n[[mass]]\nname = "A"\nmass = "3 g"\nstation = "4 mm"\n'
            '[[mass]]\nname = "a"\nmass = "3 g"\nstation = "4 mm"\n',
            "would have the same file name",
        ),
        ('format = 1\nname = "x"\n[part]\nname = "a"\n', "headed [[part]]"),
    ],
)
def test_a_bad_design_is_refused_with_its_place_and_nothing_is_written(
    text: str | bytes, message: str, tmp_path: Path
) -> None:
    done = ferrule("make", write(tmp_path, text), "--out", tmp_path / "out")
    assert done.returncode == 2
    assert message in done.stderr
    assert not (tmp_path / "out").exists()


def test_all_errors_come_at_once_in_the_order_of_the_file(tmp_path: Path) -> None:
    text = marram().replace('\nthickness = "6 mm"', '\nthickness = "6 kg"')
    text = text.replace('profile = "von-karman"', 'profile = "von-karmen"')
    done = ferrule("check", write(tmp_path, text))
    assert done.returncode == 2
    lines = done.stderr.splitlines()
    assert len(lines) == 5  # nose, bulkhead, the two tables of rings and a sheet
    assert "did you mean 'von-karman'?" in lines[0]
    assert all("'6 kg' is a mass, expected a length" in line for line in lines[1:])


def test_a_missing_file_a_folder_and_a_folder_that_cannot_be_made_are_named(tmp_path: Path) -> None:
    assert "there is no such design file" in ferrule("check", tmp_path / "none.toml").stderr
    assert "this is a folder" in ferrule("check", tmp_path).stderr
    (tmp_path / "file").write_text("")
    done = ferrule(*PART, "--formats", "stl", "--out", tmp_path / "file" / "out")
    assert done.returncode == 2
    assert "cannot be made" in done.stderr


def test_a_half_written_design_says_what_is_not_stated(tmp_path: Path) -> None:
    text = NOSE_ONLY.read_text(encoding="utf-8").replace('material = "asa"', "")
    done = ferrule("check", write(tmp_path, text))
    assert done.returncode == 0
    assert "weigh it and enter `mass`, or enter `material` for nose" in done.stdout
    assert "not stated  static margin: enter the motor as [[motor]]" in done.stdout
    assert "next: enter the fins" in done.stdout


def test_a_part_made_into_a_designs_folder_leaves_the_designs_heading(tmp_path: Path) -> None:
    assert ferrule("make", MARRAM, "--out", tmp_path, "--only", "fin", "--formats", "stl").returncode == 0
    before = json.loads((tmp_path / "manifest.json").read_text())
    assert ferrule(*PART, "--formats", "stl", "--out", tmp_path).returncode == 0
    after = json.loads((tmp_path / "manifest.json").read_text())
    assert (after["design"], after["fingerprint"]) == (before["design"], before["fingerprint"])
    assert {entry["file"] for entry in after["files"]} == {entry["file"] for entry in before["files"]} | {
        "nose-cone.stl",
        "nose-cone-print-notes.md",
    }


LOADED = """
import json, sys
from ferrule.app.cli import app
loaded = []
for arguments in json.loads(sys.argv[1]):
    try:
        app(arguments)
    except SystemExit as end:
        assert end.code in (0, None), end.code
    loaded.append(sorted({module.partition(".")[0] for module in sys.modules}))
print(json.dumps(loaded))
"""
KERNEL = {"OCP", "cadquery", "vtkmodules"}
FILES = {"ezdxf", "manifold3d", "reportlab"}


def loaded_by(*commands: tuple[str | Path, ...]) -> list[set[str]]:
    """Every library that is loaded after each of some commands, one after the other in one new process."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED, json.dumps([[str(word) for word in command] for command in commands])],
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return [set(names) for names in json.loads(done.stdout.splitlines()[-1])]


def test_each_format_loads_what_it_needs_and_nothing_else(tmp_path: Path) -> None:
    """What is loaded stays: a library that is not there after a command was loaded by none of those before it."""
    out = tmp_path / "out"
    new, check, template, meshes = loaded_by(
        ("new", tmp_path / "new.toml"),
        ("check", MARRAM),
        ("template", MARRAM, "--out", tmp_path / "papers"),
        ("make", NOSE_ONLY, "--out", out, "--formats", "stl,3mf,glb"),
    )
    (cut,) = loaded_by(("make", MARRAM, "--out", tmp_path / "cut", "--only", "fin", "--formats", "dxf,svg"))
    assert (new | check) & (KERNEL | FILES) == set()
    assert template & (KERNEL | FILES) == {"reportlab"}
    assert meshes & (KERNEL | FILES) == {"reportlab", "manifold3d"}
    assert cut & (KERNEL | FILES) == {"ezdxf"}


def test_only_exact_solids_load_the_geometry_kernel(tmp_path: Path) -> None:
    """With every kind of part and page that the large example has."""
    (found,) = loaded_by(("make", MARRAM, "--out", tmp_path, "--formats", "stl,3mf,glb,dxf,svg,pdf"))
    assert found & (KERNEL | FILES) == FILES


def test_the_kernel_is_noticed_where_it_is_loaded(tmp_path: Path) -> None:
    """The test above can fail."""
    (found,) = loaded_by(("make", NOSE_ONLY, "--out", tmp_path, "--formats", "step"))
    assert "OCP" in found
