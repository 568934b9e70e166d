"""Nesting from a design file: tables, files, the manifest, what an earlier nest left, and the command line."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import ezdxf
import pdfplumber
import pytest
from lxml import etree
from shapely import Polygon
from typer.testing import CliRunner

from ferrule.app.cli import app
from ferrule.app.design_file import parse
from ferrule.app.make_design import jobs_of, make_design
from ferrule.app.nest import NO_SHEET, write_nest
from ferrule.app.nest_sheets import ToNest, nested, to_nest
from ferrule.parts.errors import DesignError, FerruleError
from ferrule.parts.nesting import bottom_left
from ferrule.parts.part import CutPiece
from ferrule.parts.shape import Outline, circle, hole

HEAD = """
format = 1
name = "Marram"
[settings]
revision = "B"
"""

TUBES = """
[[tube]]
name = "booster"
outside_mm = [68.4]
inside_mm = [65.9]
length = "620 mm"
station = "0 mm"
material = "kraft-tube"
[[tube]]
name = "motor tube"
use = "motor"
outside_mm = [31.0]
inside_mm = [29.2]
length = "250 mm"
station = "370 mm"
material = "kraft-tube"
"""

RING = """
[[part]]
name = "fin ring"
kind = "centering-ring"
fits = "booster"
around = "motor tube"
stations = ["380 mm", "600 mm"]
thickness = "6 mm"
material = "birch-plywood"
"""

FIN = """
[[part]]
name = "fin"
kind = "fin"
fits = "booster"
station = "480 mm"
count = 3
root_chord = "120 mm"
tip_chord = "60 mm"
sweep_length = "50 mm"
semi_span = "58 mm"
thickness = "4 mm"
material = "birch-plywood"
"""

SIX = """
[[sheet]]
name = "ply 6"
material = "birch-plywood"
thickness = "6 mm"
width = "150 mm"
length = "200 mm"
"""

FOUR = """
[[sheet]]
name = "ply 4"
material = "birch-plywood"
thickness = "4 mm"
width = "8 in"
length = "12 in"
grain = "length"
margin = "6 mm"
gap = "3 mm"
quantity = 2
"""

LASER = '[cutter.laser]\nwidth = "600 mm"\ndepth = "300 mm"\nkerf = "0.2 mm"\n'
BENCH = '[printer.bench]\nwidth = "220 mm"\ndepth = "220 mm"\nheight = "220 mm"\n'
WHOLE = HEAD + TUBES + RING + FIN + SIX + FOUR


@pytest.fixture(autouse=True)
def few_orders(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bottom_left, "WORK", 100)


@pytest.fixture
def unmarked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing engraved, where that is not what is looked at: its place takes longer to find than all the rest."""
    monkeypatch.setattr("ferrule.app.make.engraved", lambda *_: ())
    monkeypatch.setattr("ferrule.app.nest_sheets.engraving", lambda *_: ((), False))


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("nested")
    outcome = write_nest(parse(WHOLE), folder)
    assert not outcome.missing
    return folder


def manifest(folder: Path) -> dict[str, dict[str, Any]]:
    found = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    return {entry["file"]: entry for entry in found["files"]}


def test_each_sheet_has_its_files_and_its_figures(made: Path) -> None:
    names = {f"marram-sheet-{name}-1-of-1.{kind}" for name in ("ply-6", "ply-4") for kind in ("dxf", "svg", "pdf")}
    assert {path.name for path in made.iterdir()} == names | {"manifest.json"}
    found = manifest(made)
    assert found.keys() == names
    # Two rings of 65.7 and 31.2 mm by the readings and the usual fit; by hand from the radii in the file itself.
    proof = found["marram-sheet-ply-6-1-of-1.dxf"]["self_check"]
    document = ezdxf.readfile(made / "marram-sheet-ply-6-1-of-1.dxf")
    circles = [one.dxf.radius for one in document.modelspace() if one.dxf.layer == "CUT"]
    area = math.pi * 2.0 * (max(circles) ** 2 - min(circles) ** 2)
    assert (len(circles), proof["contours"], proof["pieces"]) == (4, 4, 2)
    assert max(circles) == pytest.approx(32.85, abs=0.2)
    assert proof["area_mm2"] == pytest.approx(area, rel=1e-9)
    assert proof["utilisation"] == pytest.approx(area / 30000.0, abs=1e-4)
    assert {found[name]["part"] for name in names} == {None}
    assert {found[name]["sizes"] for name in names} == {"nominal"}


def test_fins_lie_along_the_grain_of_the_sheet_and_in_inches_it_is_as_large(made: Path) -> None:
    """12 x 8 in is 304.8 x 203.2 mm; the leading edge runs from (0, 0) to (50, 58) mm of the fin."""
    document = ezdxf.readfile(made / "marram-sheet-ply-4-1-of-1.dxf")
    fins = [one.get_points("xy") for one in document.modelspace() if one.dxf.layer == "CUT"]
    assert len(fins) == 3
    wanted = (120.0 + 60.0) / 2.0 * 58.0
    for fin in fins:
        assert Polygon(fin).area == pytest.approx(wanted, rel=1e-9)
        edges = list(zip(fin, (*fin[1:], fin[0]), strict=True))
        (leading,) = [pair for pair in edges if abs(math.dist(*pair) - math.hypot(50.0, 58.0)) < 1e-6]
        assert leading[0][1] == pytest.approx(leading[1][1], abs=1e-6)
        assert all(6.0 - 1e-6 <= x <= 304.8 - 6.0 and 6.0 - 1e-6 <= y <= 203.2 - 6.0 for x, y in fin)
    reference = [one for one in document.modelspace() if one.dxf.layer == "REFERENCE"]
    _, rim = [one.get_points("xy") for one in reference if one.dxftype() == "LWPOLYLINE"]
    assert rim[2] == pytest.approx((304.8, 203.2))


def test_pieces_are_marked_with_name_number_and_fingerprint(made: Path) -> None:
    for name in ("ply-6", "ply-4"):
        root = etree.parse(made / f"marram-sheet-{name}-1-of-1.svg").getroot()
        layers = {group.get("id"): list(group) for group in root.iter("{http://www.w3.org/2000/svg}g")}
        # More strokes than a fingerprint alone for each of two rings or three fins.
        assert len(layers["ENGRAVE"]) > 2 * 25
        words = [shape.text for shape in layers["REFERENCE"] if shape.text]
        assert any("revision B" in text for text in words)
        assert any("nominal size" in text for text in words)


def test_the_page_says_its_scale_and_that_it_is_no_template(made: Path) -> None:
    with pdfplumber.open(made / "marram-sheet-ply-4-1-of-1.pdf") as document:
        (page,) = document.pages
        text = page.extract_text()
        assert "Not 1:1: cut from the DXF or SVG file" in text
        assert "Not a clearance to fly" in text
        assert "scale 1:2" in text
        assert "GRAIN" in text
        assert "1 3 fin" in text  # number, pieces, part
        # The rim of 304.8 x 203.2 mm at half its size.
        across = max(abs(line["x1"] - line["x0"]) for line in page.lines) * 25.4 / 72.0
        boxes = [(c["x1"] - c["x0"], c["bottom"] - c["top"]) for c in (*page.curves, *page.rects)]
        sizes = [(wide * 25.4 / 72.0, high * 25.4 / 72.0) for wide, high in boxes]
        assert across == pytest.approx(190.0, abs=0.01)  # the line under the heads of the table
        assert any(size == pytest.approx((152.4, 101.6), abs=0.01) for size in sizes)


def test_the_same_design_gives_the_same_bytes(made: Path, tmp_path: Path) -> None:
    write_nest(parse(WHOLE), tmp_path)
    for path in made.iterdir():
        assert (tmp_path / path.name).read_bytes() == path.read_bytes()


@pytest.mark.usefixtures("unmarked")
def test_a_cutter_is_in_names_sizes_and_contours(tmp_path: Path) -> None:
    outcome = write_nest(parse(WHOLE + LASER), tmp_path, cutter="laser")
    assert all("-for-laser." in name for name in outcome.files)
    entry = manifest(tmp_path)["marram-sheet-ply-6-1-of-1-for-laser.dxf"]
    assert "compensated for laser" in entry["sizes"]
    document = ezdxf.readfile(tmp_path / "marram-sheet-ply-6-1-of-1-for-laser.dxf")
    rings = [one for one in document.modelspace() if one.dxf.layer == "CUT"]
    radii = sorted({round(one.dxf.radius, 6) for one in rings})
    texts = " ".join(one.dxf.text for one in document.modelspace() if one.dxftype() == "TEXT")
    assert "compensated for laser" in texts
    assert "nominal size" not in texts
    nominal = parse(WHOLE)
    (ring,) = [job.part.template() for job in jobs_of(nominal) if job.name == "fin ring"]
    assert ring is not None
    outside = ring.box()[2]
    assert radii[1] == pytest.approx(outside + 0.1, abs=1e-6)
    # The gap counts from the path of the beam.
    rims = [one.dxf.center for one in rings if one.dxf.radius > 30.0]
    assert math.dist(rims[0], rims[1]) >= 2.0 * radii[1] + 4.0


def test_there_is_no_such_cutter(tmp_path: Path) -> None:
    with pytest.raises(FerruleError, match="--cutter: the design names no cutter 'lazer'; did you mean 'laser'"):
        write_nest(parse(WHOLE + LASER), tmp_path / "out", cutter="lazer")
    assert not (tmp_path / "out").exists()


def test_what_is_printed_lies_on_no_sheet() -> None:
    design = parse(WHOLE.replace('name = "fin ring"', 'name = "fin ring"\nmade_on = "bench"') + BENCH)
    assert [one.name for one in to_nest(jobs_of(design))] == ["fin"]


def test_pieces_that_are_of_no_part_can_lie_beside_them() -> None:
    """A plate for a jig, of its own outline, name and letters."""
    design = parse(WHOLE)
    plate = CutPiece("", Outline(circle(10.0), (hole(2.0),)), (), 6.0, 2)
    jig = ToNest("alignment plate", plate, "birch-plywood", 2, "0000-0000-0000")
    found = nested(design, (*to_nest(jobs_of(design)), jig))
    names = [laid.piece.name for sheet in found.sheets for laid in sheet.laid]
    assert names.count("alignment plate") == 2
    # Of 20 mm, they go into the holes of 31 mm of the rings and are cut before those.
    assert names[:2] == ["alignment plate"] * 2


# With the other files of the design


@pytest.mark.usefixtures("unmarked")
def test_make_nests_too_and_takes_away_what_an_earlier_nest_left(tmp_path: Path) -> None:
    first = make_design(parse(WHOLE), tmp_path, (), ("dxf", "pdf"))
    sheets = {name for name in first.files if "-sheet-" in name}
    assert sheets == {f"marram-sheet-{name}-1-of-1.{kind}" for name in ("ply-6", "ply-4") for kind in ("dxf", "pdf")}
    assert "marram-fin.dxf" in first.files
    # Of smaller sheets it takes two: no file of the old nest may lie beside the new ones.
    two = parse(WHOLE.replace('length = "200 mm"', 'length = "80 mm"').replace('"150 mm"', '"80 mm"'))
    outcome = write_nest(two, tmp_path)
    assert "marram-sheet-ply-6-1-of-1.dxf" in outcome.removed
    assert {"marram-sheet-ply-6-1-of-2.dxf", "marram-sheet-ply-6-2-of-2.dxf"} <= set(outcome.files)
    left = {path.name for path in tmp_path.iterdir()}
    assert "marram-sheet-ply-6-1-of-1.pdf" not in left
    assert "marram-fin.dxf" in left


@pytest.mark.usefixtures("unmarked")
def test_one_part_alone_is_not_nested_and_leaves_the_sheets(tmp_path: Path) -> None:
    write_nest(parse(WHOLE), tmp_path)
    outcome = make_design(parse(WHOLE), tmp_path, ("fin",), ("dxf",))
    assert not [name for name in outcome.files if "-sheet-" in name]
    assert outcome.removed == ()
    assert (tmp_path / "marram-sheet-ply-6-1-of-1.dxf").exists()
    changed = make_design(parse(WHOLE.replace('revision = "B"', 'revision = "C"')), tmp_path, ("fin",), ("dxf",))
    assert "marram-sheet-ply-6-1-of-1.dxf" in changed.removed


@pytest.mark.usefixtures("unmarked")
def test_another_cutter_makes_another_nest(tmp_path: Path) -> None:
    write_nest(parse(WHOLE + LASER), tmp_path)
    outcome = write_nest(parse(WHOLE + LASER), tmp_path, cutter="laser")
    assert "marram-sheet-ply-4-1-of-1.dxf" in outcome.removed
    assert all("-for-laser" in path.name for path in tmp_path.iterdir() if path.suffix != ".json")


@pytest.mark.usefixtures("unmarked")
def test_without_a_sheet_make_is_as_it_was(tmp_path: Path) -> None:
    outcome = make_design(parse(HEAD + TUBES + RING), tmp_path, (), ("dxf",))
    assert not [name for name in outcome.files if "-sheet-" in name]
    assert outcome.notes == ()


# The command


def file(tmp_path: Path, text: str) -> str:
    path = tmp_path / "marram.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


@pytest.mark.usefixtures("unmarked")
def test_the_command_prints_a_table(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["nest", file(tmp_path, WHOLE + LASER), "--out", str(tmp_path / "out")])
    assert done.exit_code == 0, done.output
    lines = done.stdout.splitlines()
    assert lines[0].split() == ["sheet", "size", "pieces", "of", "the", "sheet", "of", "the", "strip", "rest", "laid"]
    assert lines[1].startswith("ply 6, 1 of 1  200 x 150 mm      2       ")
    assert lines[2].startswith("ply 4, 1 of 1  304.8 x 203.2 mm  3       ")
    assert "6 files and manifest.json in " in done.stdout


@pytest.mark.usefixtures("unmarked")
def test_what_finds_no_sheet_is_told_and_the_rest_is_made(tmp_path: Path) -> None:
    out = tmp_path / "out"
    small = FOUR.replace("8 in", "60 mm")
    done = CliRunner().invoke(app, ["nest", file(tmp_path, HEAD + TUBES + RING + FIN + small), "--out", str(out)])
    assert done.exit_code == 1
    assert "not placed: fin ring x 2: no [[sheet]] of birch-plywood 6 mm; it needs at least 76 x 76 mm" in done.stdout
    assert "not placed: fin x 3: it is larger than any [[sheet]] of birch-plywood 4 mm; it needs" in done.stdout
    done = CliRunner().invoke(app, ["nest", file(tmp_path, WHOLE.replace(SIX, "")), "--out", str(out)])
    assert done.exit_code == 1
    assert (out / "marram-sheet-ply-4-1-of-1.dxf").exists()


@pytest.mark.usefixtures("unmarked")
def test_a_bed_that_is_smaller_than_the_sheet_is_told(tmp_path: Path) -> None:
    small = LASER.replace("600 mm", "180 mm") + '[settings]\ncutter = "laser"\n'
    design = parse(WHOLE.replace('[settings]\nrevision = "B"\n', "") + small)
    lines = " ".join(write_nest(design, tmp_path).lines)
    assert "ply 6: the sheet of 200 x 150 mm is larger than the bed of laser, 180 x 300 mm; cut it first" in lines


def test_a_design_without_sheets_or_without_anything_to_cut(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["nest", file(tmp_path, HEAD + TUBES + RING)])
    assert (done.exit_code, NO_SHEET in done.stderr) == (2, True)
    done = CliRunner().invoke(app, ["nest", file(tmp_path, HEAD + TUBES + SIX)])
    assert (done.exit_code, "nothing of the design is cut from sheet" in done.stderr) == (2, True)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('thickness = "6 mm"\nwidth', "thickness = 6\nwidth", "sheet[1].thickness: "),
        ('width = "150 mm"', 'width = "0 mm"', "sheet[1].width: must be above 0 mm"),
        ('length = "200 mm"', 'length = "6 m"', "sheet[1].length: must be at most 5000 mm, got 6 m"),
        ('grain = "length"', 'grain = "lengthwise"', "sheet[2].grain: "),
        ('margin = "6 mm"', 'margin = "102 mm"', "sheet[2].margin: must be at most 100 mm"),
        ('width = "8 in"', 'width = "11 mm"', "sheet[2].margin: 6 mm on every side leaves nothing of 304.8 x 11 mm"),
        ("quantity = 2", "quantity = 0", "sheet[2].quantity: must be at least 1"),
        ('name = "ply 4"', 'name = "Ply-6"', "sheet[2].name: 'Ply-6' and 'ply 6' would have the same file name"),
        ('name = "ply 4"', 'name = "+++"', "sheet[2].name: '+++' holds no letter or digit to name files by"),
        ('gap = "3 mm"', 'gab = "3 mm"', "sheet[2].gab: there is no such field; did you mean 'gap'?"),
        ('name = "ply 6"\nmaterial = "birch-plywood"', 'name = "ply 6"\nmaterial = "birch"', "sheet[1].material: "),
    ],
)
def test_a_slip_in_a_sheet_is_refused_at_its_line(old: str, new: str, message: str) -> None:
    assert WHOLE.count(old) == 1
    with pytest.raises(DesignError) as caught:
        parse(WHOLE.replace(old, new), "demo.toml")
    assert message in str(caught.value)
    assert str(caught.value).startswith("demo.toml:")


# Jigs


def test_the_plates_of_jigs_lie_on_the_sheet_that_is_named(tmp_path: Path) -> None:
    """Both alignment plates, two saddles and two strips, of the thickness of that sheet."""
    large = WHOLE.replace('width = "8 in"\nlength = "12 in"', 'width = "300 mm"\nlength = "450 mm"')
    outcome = write_nest(parse(large), tmp_path, jigs_on="ply 4")
    assert not outcome.missing
    pages = "".join(text_of(path) for path in sorted(tmp_path.glob("*ply-4*.pdf")))
    for plate in ("fin-plates-fin forward plate", "fin-plates-fin aft plate", "stand-booster saddle"):
        assert plate in pages
    assert sum(
        entry["self_check"]["pieces"] for entry in manifest(tmp_path).values() if entry["kind"] == "nested dxf"
    ) == (2 + 3 + 2 + 2 + 2)


@pytest.mark.parametrize(
    ("name", "old", "new", "message"),
    [
        ("ply4", "", "", "--jigs: the design states no sheet 'ply4'; did you mean 'ply 4'?"),
        (
            "ply 4",
            'thickness = "4 mm"\nwidth = "8 in"',
            'thickness = "1 mm"\nwidth = "8 in"',
            "--jigs: must be at least 2 mm",
        ),
    ],
)
def test_a_sheet_that_no_jig_is_cut_from(name: str, old: str, new: str, message: str, tmp_path: Path) -> None:
    design = parse(WHOLE.replace(old, new) if old else WHOLE)
    with pytest.raises(FerruleError, match=message.replace("?", r"\?")):
        write_nest(design, tmp_path, jigs_on=name)
    assert list(tmp_path.iterdir()) == []


def text_of(path: Path) -> str:
    with pdfplumber.open(path) as pages:
        return "\n".join(page.extract_text() for page in pages.pages)
