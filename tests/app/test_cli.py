"""The command line as people type it: every command and option, what it prints, and how it refuses, in this process.

tests/app/test_commands.py starts the program itself; here the same commands run without a new process for each.
"""

from __future__ import annotations

import json
import shlex
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from typer.testing import CliRunner, Result

from ferrule import __version__
from ferrule.app.cli import app
from ferrule.parts.kinds import in_bench_order
from ferrule.parts.params import bounds_of, choices, dimension_of
from ferrule.parts.part import Part

ROOT = Path(__file__).resolve().parents[2]
MARRAM = ROOT / "examples" / "marram" / "marram.toml"
NOSE_ONLY = ROOT / "examples" / "nose-only" / "nose.toml"

KINDS = pytest.mark.parametrize("kind", in_bench_order(), ids=lambda kind: kind.kind)
RING = ("part", "centering-ring", "--outside-diameter", "60 mm", "--inside-diameter", "30 mm", "--thickness", "6 mm")
NOSE = ("part", "nose-cone", "--profile", "cone", "--length", "250 mm", "--base-diameter", "66 mm")


def run(*arguments: str | Path) -> Result:
    result = CliRunner().invoke(app, [str(argument) for argument in arguments], env={"COLUMNS": "300"})
    # Whatever is not an exit is an error that nobody put into words.
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert "Traceback" not in result.output
    return result


def example_options(kind: type[Part]) -> list[str]:
    return [
        word
        for name, value in kind.example.items()
        for one in (value if isinstance(value, tuple) else (value,))
        for word in (f"--{name.replace('_', '-')}", str(one))
    ]


def write(folder: Path, text: str) -> Path:
    path = folder / "design.toml"
    path.write_text(text, encoding="utf-8")
    return path


def marram(old: str, new: str) -> str:
    """The large example with a change, to be written beside any folder's name."""
    text = MARRAM.read_text(encoding="utf-8")
    assert old in text
    return text.replace(old, new).replace('"demo-29.csv"', f"'{MARRAM.parent / 'demo-29.csv'}'")


def files(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


# --- what it offers ---------------------------------------------------------------------------------------------------


def test_help_names_every_command_and_says_that_nothing_is_a_clearance() -> None:
    result = run("--help")
    assert result.exit_code == 0
    for word in ("new", "check", "make", "template", "kinds", "part", "Not a clearance to fly"):
        assert word in result.output


def test_the_version_is_shown() -> None:
    assert run("--version").output == f"ferrule {__version__}\n"


@KINDS
def test_help_of_a_kind_has_every_field_with_its_bounds_and_words(kind: type[Part]) -> None:
    described, options = run("kinds", kind.kind).output, run("part", kind.kind, "--help").output
    for name, field in kind.model_fields.items():
        (line,) = [
            line for line in described.partition("Fields:")[2].splitlines() if line.strip().split("  ")[0] == name
        ]
        for words in (str(field.description), bounds_of(field).text(dimension_of(field)), *choices(field)):
            assert words in line
        assert ("needed" in line) == field.is_required()
        assert f"--{name.replace('_', '-')}" in options
        assert str(field.description) in " ".join(options.split())


@KINDS
def test_the_example_shown_for_a_kind_works_as_it_is_printed(kind: type[Part], tmp_path: Path) -> None:
    shown = run("kinds", kind.kind).output.rstrip().splitlines()[-1]
    words = shlex.split(shown)
    assert words[:2] == ["ferrule", "part"]
    assert words[-2:] == ["--out", "out"]
    result = run(*words[1:-1], tmp_path / "out", "--formats", "stl")
    assert result.exit_code == 0, result.output
    # What is cut from sheet is not printed, and needs no notes for the printer; tubes are bought.
    part = kind.build(**kind.example)
    notes = {f"{kind.kind}-print-notes.md"} if part.may_be_printed and not part.cut_pieces() else set()
    assert bool(notes) == (kind.kind in ("coupler", "nose-cone", "fin-can", "transition", "rail-button"))
    assert files(tmp_path / "out") == {f"{kind.kind}.stl", "manifest.json"} | notes


# --- one part ---------------------------------------------------------------------------------------------------------


@KINDS
def test_a_part_prints_every_size_that_was_used_and_which_were_not_stated(kind: type[Part], tmp_path: Path) -> None:
    result = run("part", kind.kind, *example_options(kind), "--out", tmp_path, "--formats", "stl")
    assert result.exit_code == 0
    part = kind.build(**kind.example)
    lines = {line.split()[0]: line for line in result.output.splitlines() if line.startswith("  ")}
    for name in kind.model_fields:
        if getattr(part, name) not in (None, ()):
            assert ("(default)" in lines[name]) == (name not in kind.example)
    assert "volume x density" in lines["mass"]


def test_a_mass_without_a_material_is_not_stated(tmp_path: Path) -> None:
    result = run(*RING, "--out", tmp_path, "--formats", "pdf")
    assert "not stated; give --material or --density" in result.output


@pytest.mark.parametrize("order", [1, -1])
def test_options_come_in_any_order_with_or_without_an_equals_sign(order: int, tmp_path: Path) -> None:
    options = [
        "--profile=cone", "--length=250mm", "--base-diameter=66mm", f"--out={tmp_path}", "--formats=stl"
    ][::order]  # fmt: skip
    assert run("part", "nose-cone", *options).exit_code == 0
    assert files(tmp_path) == {"nose-cone.stl", "nose-cone-print-notes.md", "manifest.json"}


@pytest.mark.parametrize(
    ("name", "stem"),
    [("../x", "x"), ("/etc/passwd", "etc-passwd"), ("Fin Ring", "fin-ring"), ("é" * 90, "e" * 60), ("a\nb", "a-b")],
)
def test_whatever_a_part_is_called_its_files_stay_in_the_folder(name: str, stem: str, tmp_path: Path) -> None:
    result = run(*RING, "--name", name, "--out", tmp_path / "deep" / "out", "--formats", "stl,pdf")
    assert result.exit_code == 0
    assert files(tmp_path) == {
        f"deep/out/{file}" for file in (f"{stem}.stl", f"{stem}-a4.pdf", f"{stem}-letter.pdf", "manifest.json")
    }


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((*RING, "--name", "火"), "--name: '火' holds no letter or digit to name files by"),
        ((*RING, "--name", ""), "--name: '' holds no letter or digit to name files by"),
        ((*RING, "--material", "wood"), "material: there is no material 'wood' in the table"),
        ((*RING, "--material", "\udcff"), "material: there is no material"),
        ((*RING, "--hole-rolls", "20 deg", "--hole-rolls", "20"), "hole_rolls[2]: '20' has a number without a unit"),
        ((*RING, "--density", "2 mm"), "density: '2 mm' is a length, expected a density"),
        ((*NOSE, "--screw-count", "2.5"), "screw_count: '2.5' is not a whole number"),
        ((*NOSE, "--body", "holow"), "body: 'holow' is not one of hollow, solid; did you mean 'hollow'?"),
        ((*NOSE, "--wall", "2,5 mm"), "wall: '2,5 mm' has a comma; use a point: \"2.5 mm\""),
        ((*NOSE, "--wall", "2 milimetres"), "is not a unit of length; did you mean"),
        ((*NOSE, "--wall", "9" * 5000 + " mm"), "is too long to be a length"),
        ((*NOSE, "--wall", ""), "wall: a length is expected and the text is empty"),
        ((*NOSE, "--formats", ""), "formats: nothing is not among step, stl, 3mf, glb, dxf, svg, pdf"),
        (("part", "nose-cone", "--profile", "cone", "--length", "1 mm"), "base_diameter: is needed and not stated"),
    ],
)
def test_a_part_that_is_wrong_is_refused_in_one_line(arguments: tuple[str, ...], message: str, tmp_path: Path) -> None:
    result = run(*arguments, "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert message in result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert result.stdout == ""
    assert files(tmp_path) == set()


def test_all_that_is_wrong_with_a_part_is_said_at_once(tmp_path: Path) -> None:
    result = run(
        *("part", "centering-ring", "--outside-diameter", "60", "--thickness", "3 oz", "--hole-diameter", "0 mm"),
        *("--out", tmp_path / "out"),
    )
    assert result.exit_code == 2
    fields = [line.removeprefix("ferrule: ").partition(":")[0] for line in result.stderr.splitlines()]
    assert sorted(fields) == ["hole_diameter", "inside_diameter", "outside_diameter", "thickness"]


@pytest.mark.parametrize(
    "arguments",
    [
        ("prat",),
        ("part", "fins"),
        ("check",),
        ("make",),
        ("check", MARRAM, "more"),
        ("check", MARRAM, "--jason"),
        (*RING, "--colour", "red"),
    ],
)
def test_a_slip_in_the_command_is_a_usage_error(arguments: tuple[str, ...]) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert "Usage:" in result.stderr


def test_an_option_without_its_value_is_a_usage_error() -> None:
    result = run("make", MARRAM, "--out")
    assert result.exit_code == 2
    assert "'--out' requires an argument" in result.stderr


# --- a design ---------------------------------------------------------------------------------------------------------


def test_json_has_every_key_with_its_unit_and_null_for_what_is_not_stated(tmp_path: Path) -> None:
    text = NOSE_ONLY.read_text(encoding="utf-8").replace('material = "asa"', "")
    figures: dict[str, Any] = json.loads(run("check", write(tmp_path, text), "--json").stdout)
    assert list(figures) == [
        *("schema", "design", "note", "revision", "date", "units", "fingerprint"),
        *("tubes", "items", "inertia_about", "motors", "body", "loadings", "burns", "contributions", "margin_band"),
        *("pressure", "rail_exits", "flights", "compared", "delays", "descent", "drift", "in_wind", "bands"),
        *("drag_terms", "painted", "bonded", "limits", "balances", "motors_by_balance", "checks"),
        *("next", "caution"),
    ]
    nose = next(item for item in figures["items"] if item["name"] == "nose")
    assert [nose[key] for key in ("mass_g", "cg_mm", "inertia_g_mm2")] == [None, None, None]
    # The slope of a nose is 2 per radian on its base, whatever its form (slender-body theory).
    base = nose["cn_alpha_per_rad"] * figures["body"]["reference_diameter_mm"] ** 2
    assert base == pytest.approx(2.0 * (66.85 - 0.1) ** 2, rel=1e-9)
    assert [(one["name"], one["mass_g"], one["margin_cal"]) for one in figures["loadings"]] == [
        ("without motor", None, None)
    ]
    assert {check["status"] for check in figures["checks"]} <= {"pass", "warn", "fail", "not-stated"}
    assert all(check["limit"] and check["source"] for check in figures["checks"])


def test_the_inertia_of_everything_is_symmetric_and_no_axis_beats_the_other_two() -> None:
    """A tensor of inertia obeys the triangle inequality (any mechanics textbook)."""
    figures = json.loads(run("check", MARRAM, "--json").stdout)
    assert len(figures["loadings"]) == 3
    for found in (*figures["loadings"], *figures["items"]):
        rows = found["inertia_g_mm2"]
        assert all(rows[i][j] == pytest.approx(rows[j][i], abs=1e-6) for i in range(3) for j in range(3))
        whole = rows[0][0] + rows[1][1] + rows[2][2]
        assert all(rows[i][i] <= whole / 2.0 * (1.0 + 1e-12) for i in range(3))


def test_json_and_words_say_the_same() -> None:
    figures, words = json.loads(run("check", MARRAM, "--json").stdout), run("check", MARRAM).stdout
    assert figures["fingerprint"] in words
    cp = figures["body"]["cp_mm"]
    assert f"{cp:.1f} mm ({cp / 25.4:.3f} in) from the nose tip" in words
    rows = {
        line.split("  ")[1]: line.split()[-4:] for line in words.splitlines() if line[2:9] in ("without", "DEMO-29")
    }
    for one in figures["loadings"]:
        told = rows[" at ".join(filter(None, (one["motor"], one["name"])))]
        shown = (one["mass_g"], one["cg_mm"][0], one["margin_cal"], one["margin_percent_of_length"])
        # Half of the last digit shown.
        for text, value, half in zip(told, shown, (0.5, 0.05, 0.005, 0.05), strict=True):
            assert float(text) == pytest.approx(value, abs=half * 1.001)
    for check in figures["checks"]:
        assert f"{check['status'].replace('-', ' '):10}  {check['name']}:" in words


SMALL_MOTOR = """
[[motor]]
name = "small"
diameter = "18 mm"
length = "70 mm"
aft_end = "880 mm"
loaded_mass = "24 g"
empty_mass = "12 g"
"""

FAILING = NOSE_ONLY.read_text(encoding="utf-8").replace(
    'shoulder_length = "65 mm"', 'shoulder_length = "65 mm"\nshoulder_diameter = "65.4 mm"'
)


def test_a_failed_check_exits_1_with_the_files_written_and_the_check_named_everywhere(tmp_path: Path) -> None:
    ring = (
        '[[part]]\nname = "ring"\nkind = "centering-ring"\nfits = "tube"\nstation = "300 mm"\n'
        'outside_diameter = "66 mm"\ninside_diameter = "300 thou"\nthickness = "6 mm"\nmaterial = "birch-plywood"\n'
    )
    path, out = write(tmp_path, FAILING + ring), tmp_path / "out"
    result = run("make", path, "--out", out, "--formats", "stl,pdf")
    failed = json.loads((out / "manifest.json").read_text(encoding="utf-8"))["failed_checks"]
    # What is too large for its tube occupies the tube's own place as well.
    assert failed[:2] == ["nose: shoulder in tube", "ring: rim in tube"]
    assert all(name.endswith("same place") or "in tube to" in name for name in failed[2:])
    assert result.exit_code == 1
    assert f"**CHECK FAILED: {', '.join(failed)}**" in (out / "report.md").read_text(encoding="utf-8")
    pages = 0
    for file in out.glob("*.pdf"):
        with pdfplumber.open(file) as document:
            for page in document.pages:
                pages += 1
                words = " ".join(page.extract_text().split())
                assert "CHECK FAILED" in words
                assert all(name in words for name in failed)
    assert pages >= 2
    notes = (out / "dunlin-nose-nose-print-notes.md").read_text(encoding="utf-8")
    assert f"**CHECK FAILED: {', '.join(failed)}**" in notes.splitlines()
    assert files(out) == {
        *("dunlin-nose-nose-1-of-2.stl", "dunlin-nose-nose-2-of-2.stl", "dunlin-nose-nose-print-notes.md"),
        *(
            f"dunlin-nose-nose-{word}-{paper}.pdf"
            for word in ("section", "profile-gauge")
            for paper in ("a4", "letter")
        ),
        *("dunlin-nose-ring.stl", "dunlin-nose-ring-a4.pdf", "dunlin-nose-ring-letter.pdf"),
        *("report.md", "build-order.md", "manifest.json"),
    }
    checked = run("check", path, "--json")
    assert checked.exit_code == 1
    assert [check["name"] for check in json.loads(checked.stdout)["checks"] if check["status"] == "fail"] == failed


def test_a_body_without_fins_is_half_written_and_does_not_fail(tmp_path: Path) -> None:
    path = write(tmp_path, NOSE_ONLY.read_text(encoding="utf-8") + SMALL_MOTOR)
    for file, names in (
        (NOSE_ONLY, ["static margin"]),
        (path, ["static margin, small at liftoff", "static margin, small at burnout"]),
    ):
        result = run("check", file, "--json")
        assert result.exit_code == 0
        figures = json.loads(result.stdout)
        margins = [check for check in figures["checks"] if check["name"].startswith("static margin")]
        assert [margin["name"] for margin in margins] == names
        assert all((margin["status"], margin["value"]) == ("not-stated", None) for margin in margins)
        assert "no fins are stated" in figures["body"]["notes"]
        # The figures themselves are not hidden.
        assert all(one["margin_cal"] < 0.0 for one in figures["loadings"])


def test_a_path_like_design_name_makes_files_in_the_folder_only(tmp_path: Path) -> None:
    text = NOSE_ONLY.read_text(encoding="utf-8").replace('"Dunlin nose"', '"../../Dunlin"')
    result = run("make", write(tmp_path, text), "--out", tmp_path / "a" / "out", "--formats", "stl")
    assert result.exit_code == 0
    pieces = ("dunlin-nose-1-of-2.stl", "dunlin-nose-2-of-2.stl", "dunlin-nose-print-notes.md")
    made = (*pieces, "report.md", "build-order.md", "manifest.json")
    assert files(tmp_path / "a") == {f"out/{name}" for name in made}


@pytest.mark.parametrize("name", ["ring 火", "ring 🚀"])
def test_a_name_that_the_template_cannot_print_is_refused_and_nothing_is_written(name: str, tmp_path: Path) -> None:
    alone = run(*RING, "--name", name, "--out", tmp_path / "out", "--formats", "stl,pdf")
    path = write(tmp_path, marram('"fin ring"', f'"{name}"'))
    whole = run("make", path, "--out", tmp_path / "out", "--formats", "stl,pdf")
    for result in (alone, whole):
        assert result.exit_code == 2
        *before, last = result.stderr.splitlines()
        assert f"'{name}' has the letter '{name[-1]}', which the templates cannot print" in last
        # What stands before tells how far the run came.
        assert [line for line in before if line.startswith("ferrule")] == []
    assert [path.name for path in tmp_path.iterdir()] == ["design.toml"]
    assert run("make", path, "--out", tmp_path / "out", "--only", name, "--formats", "stl").exit_code == 0


@pytest.mark.parametrize("name", ["ring é", "ring | <b> & `x`", 'ring "*"', "r" * 80])
def test_odd_letters_in_a_name_get_through_every_file(name: str, tmp_path: Path) -> None:
    ring = (
        f'[[part]]\nname = \'{name}\'\nkind = "centering-ring"\nstation = "300 mm"\noutside_diameter = "60 mm"\n'
        'inside_diameter = "30 mm"\nthickness = "6 mm"\n'
    )
    path = write(tmp_path, f'format = 1\nname = "Demo"\n{ring}')
    result = run("make", path, "--out", tmp_path / "out", "--formats", "stl,pdf")
    assert result.exit_code == 0, result.output
    entries = json.loads((tmp_path / "out" / "manifest.json").read_text(encoding="utf-8"))["files"]
    assert {entry["part"] for entry in entries} == {name, None}
    rows = (tmp_path / "out" / "report.md").read_text(encoding="utf-8").splitlines()
    # A bar in a name must not make a new column.
    row = next(row for row in rows if row.startswith("| r"))
    assert row.replace("\\|", "").count("|") == 11


def test_tubes_are_not_made_and_only_says_which_parts_there_are(tmp_path: Path) -> None:
    result = run("make", NOSE_ONLY, "--out", tmp_path / "out", "--only", "tube")
    assert result.exit_code == 2
    assert "--only: there is no part 'tube' to make; parts: nose" in result.stderr
    assert files(tmp_path) == set()


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("check", "no\nsuch.toml"), "there is no such design file"),
        (("check", ""), "this is a folder"),
        (("check", "/proc/self/mem"), "cannot be read"),
        (("make", "none.toml"), "there is no such design file"),
        (("make", NOSE_ONLY, "--formats", "stl,dxg"), "formats: dxg is not among"),
        (("make", NOSE_ONLY, "--formats", "stl", "--out", "/proc/ferrule"), "the folder /proc/ferrule cannot be made"),
        (("make", NOSE_ONLY, "--formats", "stl", "--out", NOSE_ONLY), "cannot be made"),
        (("make", NOSE_ONLY, "--formats", "stl", "--out", "x" * 300), "cannot be made"),
    ],
)
def test_what_cannot_be_read_or_written_is_named(
    arguments: tuple[str | Path, ...], message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = run(*arguments)
    assert result.exit_code == 2
    assert message in result.stderr
    assert files(tmp_path) == set()
