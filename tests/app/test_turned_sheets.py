"""Drawings and papers of what is turned: which there are of which part, that each is true, and how they are listed."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.bbox
import pdfplumber
import pytest
from lxml import etree

from ferrule.app.design_file import parse
from ferrule.app.job import TURNING_TABLE, Job
from ferrule.app.make import make_part
from ferrule.app.make_design import make_design
from ferrule.app.manifest import Heading, Made
from ferrule.app.run_folder import one_run
from ferrule.parts.errors import FerruleError
from ferrule.parts.kinds import CenteringRing, Coupler, NoseCone, Transition, Tube
from ferrule.parts.part import Part

PAPERS = ("dxf", "svg", "pdf")
OGIVE: dict[str, Any] = {
    "profile": "tangent-ogive",
    "length": "120 mm",
    "base_diameter": "40 mm",
    "shoulder_length": "30 mm",
    "shoulder_diameter": "38 mm",
    "material": "petg",
}
CONE: dict[str, Any] = {**OGIVE, "profile": "cone"}
SOLID: dict[str, Any] = {**OGIVE, "body": "solid", "material": None, "density": "160 kg/m3"}
TAIL: dict[str, Any] = {"forward_diameter": "40 mm", "aft_diameter": "30 mm", "length": "50 mm", "material": "petg"}


def nose(**fields: Any) -> NoseCone:
    return NoseCone.build(**{key: value for key, value in fields.items() if value is not None})


def made(part: Part, folder: Path, formats: tuple[str, ...] = PAPERS, failed: tuple[str, ...] = ()) -> dict[str, Made]:
    job = Job(part, "piece", "demo", revision="B", notes=("Invented.",))
    return {item.file: item for item in make_part(job, folder, formats, failed, str)}


def of(*words: str, section: bool = True) -> set[str]:
    """Names of all files of the papers with these words, and of the section drawing."""
    found = {f"demo-piece-{word}{end}" for word in words for end in (".dxf", ".svg", "-a4.pdf", "-letter.pdf")}
    if section:
        found |= {f"demo-piece-section{end}" for end in (".svg", "-a4.pdf", "-letter.pdf")}
    return found


@pytest.mark.parametrize(
    ("part", "wanted"),
    [
        (nose(**OGIVE), of("profile-gauge")),
        (nose(**CONE), of("profile-gauge", "wrap")),
        (nose(**SOLID), of("profile-gauge", "turning-template") | {"demo-piece-turning-table.csv"}),
        (
            nose(**{**SOLID, "profile": "cone"}),
            of("profile-gauge", "wrap", "turning-template") | {"demo-piece-turning-table.csv"},
        ),
        (Transition.build(**TAIL), of("profile-gauge", "wrap")),
        (Transition.build(**TAIL, profile="ogive"), of("profile-gauge")),
        (
            Transition.build(**TAIL, body="solid"),
            of("profile-gauge", "wrap", "turning-template") | {"demo-piece-turning-table.csv"},
        ),
    ],
    ids=["ogive", "cone", "solid-ogive", "solid-cone", "conical-tail", "ogive-tail", "solid-tail"],
)
def test_every_turned_part_has_its_papers_and_no_other(part: Part, wanted: set[str], tmp_path: Path) -> None:
    assert set(made(part, tmp_path)) == wanted
    assert {path.name for path in tmp_path.iterdir()} == wanted


def test_a_tube_is_measured_and_not_made(tmp_path: Path) -> None:
    assert made(Tube.build(**Tube.example), tmp_path) == {}


def test_a_coupler_has_its_section_and_no_papers(tmp_path: Path) -> None:
    assert set(made(Coupler.build(**Coupler.example), tmp_path)) == of()


def test_a_ring_has_its_template_and_nothing_else(tmp_path: Path) -> None:
    ring = CenteringRing.build(**CenteringRing.example)
    assert {name.removeprefix("demo-piece") for name in made(ring, tmp_path)} == {
        *(".dxf", ".svg", "-a4.pdf", "-letter.pdf"),
    }


@pytest.mark.parametrize(
    ("formats", "ends"),
    [(("dxf",), {".dxf"}), (("svg",), {".svg"}), (("pdf",), {"-a4.pdf", "-letter.pdf"}), (("stl",), set())],
    ids=lambda formats: "-".join(formats) if isinstance(formats, tuple) else "",
)
def test_only_the_formats_that_were_asked_for_are_made(
    formats: tuple[str, ...], ends: set[str], tmp_path: Path
) -> None:
    wanted = {f"demo-piece-{word}{end}" for word in ("profile-gauge", "wrap") for end in ends}
    wanted |= {f"demo-piece-section{end}" for end in ends - {".dxf"}}
    names = set(made(nose(**CONE), tmp_path, formats))
    papers = {name for name in names if any(word in name for word in ("gauge", "wrap", "section", "turning"))}
    assert papers == wanted


@pytest.fixture(scope="module")
def cone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cone")


@pytest.fixture(scope="module", autouse=True)
def files(cone: Path) -> dict[str, Made]:
    return made(nose(**CONE), cone, failed=("static margin",))


@pytest.mark.parametrize(("word", "width"), [("a4", 210.0), ("letter", 215.9)])
@pytest.mark.parametrize("paper", ["section", "profile-gauge", "wrap"])
def test_every_sheet_is_of_its_paper_says_its_state_and_has_its_check_bars(
    paper: str, word: str, width: float, cone: Path
) -> None:
    """A4 is 210 mm wide (ISO 216), Letter 8.5 in; the bars are 100 mm and 4 in."""
    with pdfplumber.open(cone / f"demo-piece-{paper}-{word}.pdf") as document:
        assert document.pages
        for page in document.pages:
            sides = sorted((float(page.width) * 25.4 / 72.0, float(page.height) * 25.4 / 72.0))
            assert sides[0] == pytest.approx(width, abs=0.01)
            text = " ".join(page.extract_text().split())
            assert "CHECK FAILED" in text
            assert "static margin" in text
            assert Job(nose(**CONE), "piece").fingerprint in text
        first = document.pages[0]
        lengths = {
            round(max(abs(line["x1"] - line["x0"]), abs(line["top"] - line["bottom"])) * 25.4 / 72.0, 2)
            for line in first.lines
        }
        assert {100.0, 101.6} <= lengths


def test_the_section_drawing_has_the_sizes_that_a_person_measures(cone: Path) -> None:
    words = set(etree.parse(cone / "demo-piece-section.svg").getroot().itertext())
    stated = {"length 120.0 mm", "base Ø40.0 mm", "shoulder 30.0 mm", "shoulder Ø38.0 mm"}
    # 120 and 30 mm; the wall and the tip are those that a nose has where nothing is stated.
    followed = {"overall 150.0 mm", "wall 1.6 mm", "shoulder wall 2.4 mm", "tip R2.0 mm"}
    assert stated | followed <= words


def test_the_gauge_is_the_same_outline_in_both_cut_files(cone: Path, files: dict[str, Made]) -> None:
    """By ezdxf and lxml, and by what each writer read back."""
    document = ezdxf.readfile(cone / "demo-piece-profile-gauge.dxf")
    assert not document.audit().errors
    cut = [entity for entity in document.modelspace() if entity.dxf.layer == "CUT"]
    box = ezdxf.bbox.extents(cut)
    # The gauge is as long as the skin at least, and deeper than the radius.
    assert box.size.x >= 120.0
    assert box.size.y >= 20.0
    shapes = etree.parse(cone / "demo-piece-profile-gauge.svg").getroot().iter("{http://www.w3.org/2000/svg}g")
    assert [len(group) for group in shapes if group.get("id") == "CUT"] == [1]
    areas = [files[f"demo-piece-profile-gauge.{kind}"].self_check["area_mm2"] for kind in ("dxf", "svg")]
    assert areas[0] == pytest.approx(areas[1], rel=1e-6)
    # A rectangle less half of a cone's section of 120 x 40 mm, whose round tip of 2 mm fills less than 2 mm2 of it.
    assert areas[0] < box.size.x * box.size.y - 120.0 * 20.0 / 2.0 + 1.0
    words = " ".join(entity.dxf.text for entity in document.modelspace() if entity.dxftype() == "TEXT")
    assert "CHECK FAILED: static margin" in words
    assert "piece, profile gauge" in words
    assert "revision B" in words


def test_the_turning_table_is_that_of_the_ogive(tmp_path: Path) -> None:
    """Tangent ogive of a sharp tip: r = sqrt(rho^2 - (L - x)^2) + R - rho, rho = (R^2 + L^2) / (2 R)."""
    found = made(nose(**SOLID, tip="sharp"), tmp_path, ("pdf",))
    table = found["demo-piece-turning-table.csv"]
    lines = (tmp_path / table.file).read_text(encoding="utf-8").splitlines()
    rows = list(csv.DictReader(lines))
    assert (table.kind, table.self_check) == (TURNING_TABLE, {"rows": len(lines) - 1})
    length, radius = 120.0, 20.0
    rho = (radius**2 + length**2) / (2.0 * radius)
    skin = [row for row in rows if row["place"] in ("tip", "skin", "base")]
    assert [float(row["station_mm"]) for row in skin] == [10.0 * number for number in range(13)]
    for row in skin:
        r = (rho**2 - (length - float(row["station_mm"])) ** 2) ** 0.5 + radius - rho
        assert float(row["radius_mm"]) == pytest.approx(r, abs=6e-4)
        assert float(row["diameter_mm"]) == pytest.approx(2.0 * r, abs=6e-4)
    shoulder = [(row["station_mm"], row["diameter_mm"]) for row in rows if row["place"] == "shoulder"]
    assert shoulder == [("120.000", "38.000"), ("150.000", "38.000")]


@pytest.mark.parametrize(
    ("name", "formats", "file"),
    [
        ("nose section", "pdf", "nose-section-a4.pdf"),
        ("nose wrap", "dxf", "nose-wrap.dxf"),
        ("Nose, profile gauge", "svg", "nose-profile-gauge.svg"),
    ],
)
def test_two_parts_never_make_one_file(name: str, formats: str, file: str, tmp_path: Path) -> None:
    text = (
        'format = 1\nname = "Demo"\n[[part]]\nname = "nose"\nkind = "nose-cone"\nprofile = "cone"\n'
        'length = "120 mm"\nbase_diameter = "40 mm"\n'
        f'[[part]]\nname = "{name}"\nkind = "centering-ring"\nstation = "300 mm"\noutside_diameter = "38 mm"\n'
        'inside_diameter = "20 mm"\nthickness = "3 mm"\n'
    )
    out = tmp_path / "out"
    with pytest.raises(FerruleError) as caught:
        make_design(parse(text), out, (), (formats,))
    assert (
        str(caught.value) == f"'nose' and '{name}' would both make the file demo-{file}; give one of them another name"
    )
    assert not out.exists()


def test_the_manifest_lists_each_with_its_kind_part_and_proof(tmp_path: Path) -> None:
    job = Job(nose(**{**SOLID, "profile": "cone"}), "piece", "demo")
    with one_run(tmp_path, "demo") as found:
        found.publish(make_part(job, found.workshop, PAPERS, (), str), Heading("demo", "1a2b", ()), {})
    entries = {
        entry["file"]: entry for entry in json.loads((tmp_path / "manifest.json").read_text(encoding="utf-8"))["files"]
    }
    assert set(entries) == {path.name for path in tmp_path.iterdir()} - {"manifest.json"}
    for name, entry in entries.items():
        assert (entry["design"], entry["part"], entry["sizes"]) == ("demo", "piece", "nominal")
        assert entry["kind"] == {"csv": TURNING_TABLE}.get(name.rpartition(".")[2], name.rpartition(".")[2])
    assert entries["demo-piece-wrap-a4.pdf"]["self_check"]["check_bar_mm"] == 100.0
    assert entries["demo-piece-wrap.dxf"]["self_check"]["contours"] == 1
    # One and the same outline, read back from both.
    areas = [entries[f"demo-piece-wrap.{kind}"]["self_check"]["area_mm2"] for kind in ("dxf", "svg")]
    assert areas[0] == pytest.approx(areas[1], rel=1e-6)
