"""The files of the demo, each read by an independent reader of its format.

ezdxf audits the DXF, svgpathtools and lxml read the SVG, lib3mf in its strict mode the 3MF, trimesh STL and GLB, the
CAD kernel the STEP, pdfplumber the PDF. What each writer promises in general is tested in tests/parts.
"""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.bbox
import lib3mf
import numpy as np
import pdfplumber
import pytest
import trimesh
from lxml import etree
from svgpathtools import svg2paths2

from ferrule.app.design import Design
from ferrule.app.design_file import load
from ferrule.parts.poses import STANDING
from ferrule.parts.readers.integrals import moments

ROOT = Path(__file__).resolve().parents[2]
MARRAM = ROOT / "examples" / "marram" / "marram.toml"
SPACE = "{http://www.w3.org/2000/svg}"

CUT = ("bulkhead-large-disc", "bulkhead-small-disc", "fin", "fin-ring", "forward-ring")
SOLID = ("bulkhead", "coupler", "fin", "fin-ring", "forward-ring", "nose", "rail-button")
SECTIONS = ("nose-1-of-2", "nose-2-of-2")
"""The nose is taller than the demo's printer."""
PIECES = (*(name for name in SOLID if name != "nose"), *SECTIONS)
PRINTED = ("coupler", "nose", "rail-button")
QUANTITY = {"fin": 4, "fin-ring": 2, "nose": 2, "rail-button": 2}
FACETS = 5e-3
"""Facets keep fit faces clear by up to 0.01 mm: of the coupler's wall of 2.4 mm, on both faces, 0.4 % [-]."""

SHEETS = tuple(f"marram-sheet-{name}-1-of-1.{kind}" for name in ("ply-4", "ply-6") for kind in ("dxf", "svg", "pdf"))

CHARTS = (
    "marram-contributions.svg",
    *(f"marram-{what}-demo-29.svg" for what in ("drag", "flight", "margin", "thrust")),
)

LENGTH = 1150.0
"""Nose 250 mm, tubes 280 and 620 mm."""


@pytest.fixture(scope="module")
def design() -> Design:
    return load(MARRAM)


@pytest.fixture(scope="module")
def made(demo: Path) -> Path:
    return demo


def volume(design: Design, name: str) -> float:
    """Volume of one piece by the exact integrals [mm3]; of a part in sections that of its first one."""
    stem = re.sub("-[0-9]-of-[0-9]$", "", name)
    (part,) = [item.part for item in design.rocket.items if item.name.replace(" ", "-") == stem and item.part]
    return moments(part.printed_pieces()["-2-of-" in name].shape).volume


def whole(design: Design, name: str) -> float:
    """Volume of one part by the exact integrals, in one piece [mm3]."""
    (part,) = [item.part for item in design.rocket.items if item.name.replace(" ", "-") == name and item.part]
    return moments(part.shape()).volume


def test_every_file_is_there_and_no_other(made: Path) -> None:
    wanted = {f"marram-{name}.{kind}" for name in SOLID for kind in ("step", "3mf")}
    wanted |= {f"marram-{name}.stl" for name in PIECES} | {f"marram-{name}.3mf" for name in SECTIONS}
    wanted |= {f"marram-{name}-print-notes.md" for name in PRINTED}
    wanted |= {f"marram-nose-profile-gauge{end}" for end in (".dxf", ".svg", "-a4.pdf", "-letter.pdf")}
    wanted |= {f"marram-{name}-section-{word}.pdf" for name in PRINTED for word in ("a4", "letter")}
    wanted |= {f"marram-{name}-section.svg" for name in PRINTED if name != "nose"}
    wanted |= {path.name for path in made.glob("marram-nose-section*.svg")}
    wanted |= {f"marram-{name}{end}" for name in CUT for end in (".dxf", ".svg", "-a4.pdf", "-letter.pdf")}
    wanted |= set(SHEETS)
    wanted |= {"marram.step", "marram.glb", "marram-side-view.svg", *CHARTS}
    wanted |= {"report.md", "build-order.md", "manifest.json"}
    assert {path.name for path in made.iterdir()} == wanted


@pytest.mark.parametrize("name", CUT)
def test_dxf_files_pass_an_audit_and_hold_the_three_layers_in_millimetres(name: str, made: Path) -> None:
    document = ezdxf.readfile(made / f"marram-{name}.dxf")
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    assert document.header["$INSUNITS"] == 4  # millimetres, in the DXF reference
    layers = Counter(entity.dxf.layer for entity in document.modelspace())
    assert layers.keys() <= {"CUT", "ENGRAVE", "REFERENCE"}
    assert {"CUT", "ENGRAVE", "REFERENCE"} <= {layer.dxf.name for layer in document.layers}
    assert layers["CUT"] > 0
    words = [entity.dxf.text for entity in document.modelspace() if entity.dxftype() == "TEXT"]
    assert any("revision A" in text for text in words)
    assert any("fingerprint" in text for text in words)
    assert not any("CHECK FAILED" in text for text in words)


def shape_of(found: Any) -> set[tuple[str | None, ...]]:
    """What makes a shape: its path, or centre and radius, which svgpathtools turns into a path."""
    circle = tuple(found.get(key) for key in ("cx", "cy", "r"))
    return {circle} if circle[2] else {(found.get("d"),)}


def cut_shapes(path: Path) -> set[tuple[str | None, ...]]:
    """The shapes of the layer CUT; svgpathtools does not tell of groups itself."""
    groups = etree.parse(path).getroot().iter(f"{SPACE}g")
    return {one for group in groups if group.get("id") == "CUT" for shape in group for one in shape_of(shape)}


@pytest.mark.parametrize("name", CUT)
def test_cut_svg_files_are_read_at_their_true_size(name: str, made: Path) -> None:
    paths, attributes, head = svg2paths2(str(made / f"marram-{name}.svg"))
    assert len(paths) == len(attributes) > 0
    assert head["width"].endswith("mm")
    assert head["viewBox"].split()[2:] == [head["width"][:-2], head["height"][:-2]]
    groups = {group.get("id") for group in etree.parse(made / f"marram-{name}.svg").getroot().iter(f"{SPACE}g")}
    assert groups == {"CUT", "ENGRAVE", "REFERENCE"}
    document = ezdxf.readfile(made / f"marram-{name}.dxf")
    # The two cut files hold one and the same outline: its extents by two readers.
    box = ezdxf.bbox.extents(entity for entity in document.modelspace() if entity.dxf.layer == "CUT")
    cut = cut_shapes(made / f"marram-{name}.svg")
    red = [path for path, found in zip(paths, attributes, strict=True) if shape_of(found) & cut]
    assert len(red) == len(cut)
    spans = np.array([path.bbox() for path in red])
    assert spans[:, 1].max() - spans[:, 0].min() == pytest.approx(box.size.x, abs=1e-3)
    assert spans[:, 3].max() - spans[:, 2].min() == pytest.approx(box.size.y, abs=1e-3)


@pytest.mark.parametrize("name", [*SOLID, *SECTIONS])
def test_3mf_files_pass_the_strict_reader_without_a_warning(name: str, made: Path, design: Design) -> None:
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(made / f"marram-{name}.3mf"))
    assert [reader.GetWarning(index) for index in range(reader.GetWarningCount())] == []
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    items, count = model.GetBuildItems(), 0
    while items.MoveNext():
        count += 1
    assert count == QUANTITY.get(name, 1)
    objects = model.GetMeshObjects()
    assert objects.MoveNext()
    one = objects.GetCurrentMeshObject()
    assert one.IsManifoldAndOriented()
    corners = np.array([list(vertex.Coordinates) for vertex in one.GetVertices()])
    faces = np.array([list(triangle.Indices) for triangle in one.GetTriangleIndices()])
    assert trimesh.Trimesh(corners, faces).volume == pytest.approx(volume(design, name), rel=FACETS)


@pytest.mark.parametrize("name", PIECES)
def test_stl_files_are_one_sound_solid_on_the_bed(name: str, made: Path, design: Design) -> None:
    found = trimesh.load(made / f"marram-{name}.stl")
    assert found.is_volume
    assert found.volume == pytest.approx(volume(design, name), rel=FACETS)
    assert found.bounds[0][2] == pytest.approx(0.0, abs=1e-4)


def test_the_glb_is_the_whole_rocket_in_metres_with_its_nose_up(made: Path, design: Design) -> None:
    """Metres and +Y up: glTF 2.0, section 3.4 (Khronos; ISO/IEC 12113:2022)."""
    scene = trimesh.load(made / "marram.glb")
    low, high = scene.bounds
    assert (low[1], high[1]) == pytest.approx((0.0, LENGTH / 1000.0), abs=1e-6)
    # Four fins half-way between the axes: the outer corner of a tip at 34.2 + 58 mm, 2 mm off its middle.
    reach = (92.2 + 2.0) * math.sqrt(0.5) / 1000.0
    for axis in (0, 2):
        assert (low[axis], high[axis]) == pytest.approx((-reach, reach), abs=1e-5)
    names = Counter(re.sub(r" \d+$", "", str(scene.graph[node][1])) for node in scene.graph.nodes_geometry)
    assert names.total() == len(scene.graph.nodes_geometry)
    nodes = Counter(re.sub(r" \d+$", "", node) for node in scene.graph.nodes_geometry)
    wanted = {item.name: item.quantity for item in design.rocket.items if item.part is not None}
    assert nodes == wanted
    tops = {}
    for node in scene.graph.nodes_geometry:
        place, name = scene.graph[node]
        tops[node] = trimesh.transform_points(scene.geometry[name].vertices, place)[:, 1].max()
    assert max(tops, key=lambda node: tops[node]) == "nose"
    for mesh in scene.geometry.values():
        # Corners are split where the surface has an edge; merged, every mesh is one sound solid.
        merged = mesh.copy()
        merged.merge_vertices(merge_norm=True, merge_tex=True)
        assert merged.is_volume
    whole = sum(abs(scene.geometry[scene.graph[node][1]].volume) for node in scene.graph.nodes_geometry)
    exact = sum(item.volume_moments().volume for item in design.rocket.items if item.part is not None)
    assert whole * 1e9 == pytest.approx(exact, rel=FACETS)


def test_step_files_are_read_back_by_the_kernel(made: Path, design: Design) -> None:
    import cadquery

    for name in SOLID:
        solids = cadquery.importers.importStep(str(made / f"marram-{name}.step")).solids().vals()
        assert len(solids) == 1
        assert solids[0].isValid()
        # The kernel's default integration is not exact about bores.
        assert solids[0].Volume(1e-12) == pytest.approx(whole(design, name), rel=1e-6)
    solids = cadquery.importers.importStep(str(made / "marram.step")).solids().vals()
    placed = [item for item in design.rocket.items if item.part is not None]
    assert len(solids) == sum(item.quantity for item in placed)
    assert all(solid.isValid() for solid in solids)
    exact = sum(item.volume_moments().volume for item in placed)
    assert sum(solid.Volume(1e-12) for solid in solids) == pytest.approx(exact, rel=1e-6)
    boxes = [solid.BoundingBox() for solid in solids]
    assert min(box.zmin for box in boxes) == pytest.approx(0.0, abs=0.01)
    assert max(box.zmax for box in boxes) == pytest.approx(LENGTH, abs=0.01)
    # The centre of gravity of all solids is where the integrals have it, nose up.
    wanted = sum((item.volume_moments() for item in placed[1:]), start=placed[0].volume_moments())
    station = STANDING.at(LENGTH).apply(np.array([wanted.centroid]))[0][2]
    height = sum(solid.Center().z * solid.Volume() for solid in solids) / exact
    assert height == pytest.approx(station, abs=0.01)  # here the kernel's default integration


@pytest.mark.parametrize("name", CUT)
@pytest.mark.parametrize(("paper", "size"), [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_templates_have_their_paper_and_true_check_bars(
    name: str, paper: str, size: tuple[float, float], made: Path
) -> None:
    """ISO 216 A4; ANSI/ASME Y14.1 size A. Bars of 100 mm and 4 in, across and up."""
    with pdfplumber.open(made / f"marram-{name}-{paper}.pdf") as document:
        assert document.pages
        for page in document.pages:
            sides = sorted((float(page.width) * 25.4 / 72.0, float(page.height) * 25.4 / 72.0))
            assert sides == pytest.approx(sorted(size), abs=0.01)
            across = [abs(line["x1"] - line["x0"]) * 25.4 / 72.0 for line in page.lines]
            up = [abs(line["bottom"] - line["top"]) * 25.4 / 72.0 for line in page.lines]
            for lengths in (across, up):
                for bar in (100.0, 101.6):
                    assert any(length == pytest.approx(bar, abs=1e-3) for length in lengths)
            words = page.extract_text()
            assert re.search(r"Revision Paper Sheet\n[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4} A ", words)
            assert "CHECK FAILED" not in words


def test_the_manifest_proves_what_it_lists(made: Path, design: Design) -> None:
    found: dict[str, Any] = json.loads((made / "manifest.json").read_text(encoding="utf-8"))
    assert found["failed_checks"] == []
    for entry in found["files"]:
        proof = entry["self_check"]
        assert proof
        limit = {"step": 1e-6, "stl": FACETS, "3mf": FACETS, "glb": FACETS}.get(entry["kind"])
        if limit:
            assert abs(proof["volume_against_integral"]) < limit, entry["file"]
        if entry["part"]:
            assert proof.get("closed_and_oriented", True) is True
    whole = {entry["file"]: entry for entry in found["files"] if entry["part"] is None}
    drawn = {"marram.step", "marram.glb", "marram-side-view.svg", *CHARTS}
    assert whole.keys() == drawn | {"report.md", "build-order.md"} | set(SHEETS)
    assert sum(whole[name]["self_check"]["pieces"] for name in SHEETS if name.endswith("dxf")) == 9
    assert whole["marram-side-view.svg"]["self_check"]["scale"] == "1:5"
    assert {entry["design"] for entry in found["files"]} == {design.name}
