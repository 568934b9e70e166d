"""Cut files of several parts on one sheet, read by ezdxf and svgpathtools; areas from first principles.

Also what a shop asks of every cut file: one closed contour for each feature, nothing twice, nothing of no length.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.path
import pytest
from cut_samples import AREAS, SAMPLES
from lxml import etree
from shapely import Polygon
from svgpathtools import parse_path

from ferrule.parts.curve import Arc, Bezier, EllipseArc, Line, Point
from ferrule.parts.errors import PartError, WriteError
from ferrule.parts.lettering import letters
from ferrule.parts.marks import Guide, Label
from ferrule.parts.shape import Outline, circle, edges, hole, polygon
from ferrule.parts.writers.dxf import read_back as read_back_dxf
from ferrule.parts.writers.dxf import write_dxf, write_dxf_plan
from ferrule.parts.writers.layers import NOMINAL, CutPlan, PlacedPart, sheet_plan
from ferrule.parts.writers.svg import read_back as read_back_svg
from ferrule.parts.writers.svg import write_svg, write_svg_plan

SPACE = "{http://www.w3.org/2000/svg}"
CLOSED = 1e-6
"""How far a contour may be open [mm]."""

ELLIPTIC_FIN = Outline(
    edges(
        (
            Line((0.0, 0.0), (15.0, 0.0)),
            Line((15.0, 0.0), (15.0, -18.0)),
            Line((15.0, -18.0), (105.0, -18.0)),
            Line((105.0, -18.0), (105.0, 0.0)),
            Line((105.0, 0.0), (120.0, 0.0)),
            EllipseArc((60.0, 0.0), 60.0, 70.0, 0.0, math.pi),
        )
    ),
    (hole(4.0, (60.0, 30.0)),),
)
"""A tab of 90 x 18 mm under half an ellipse, and a hole of 8 mm."""

SPLINE_FIN = Outline(edges((Line((0.0, 0.0), (90.0, 0.0)), Bezier(((90.0, 0.0), (45.0, 120.0), (0.0, 0.0))))))
"""A root of 90 mm under a parabola 60 mm high."""

RING = Outline(circle(50.0), (hole(35.0),))
DISC = Outline(circle(20.0), (hole(2.75),))

AREA = (
    math.pi * 60.0 * 70.0 / 2.0 + 90.0 * 18.0 - math.pi * 16.0  # pi a b / 2, the tab, the hole
    + 2.0 / 3.0 * 90.0 * 60.0  # Archimedes
    + math.pi * (2500.0 - 1225.0)
    + math.pi * (400.0 - 2.75**2)
)  # fmt: skip

PARTS = (
    PlacedPart(DISC, 55.0, 60.0, name="disc 1"),
    PlacedPart(RING, 55.0, 58.0),
    PlacedPart(ELLIPTIC_FIN, 240.0, 100.0, 0.7, "fin 1", (Guide((Line((15.0, 0.0), (105.0, 0.0)),), words="ROOT"),)),
    PlacedPart(SPLINE_FIN, 120.0, 200.0, math.pi / 2.0),
)
NAMED = replace(PARTS[2], engrave=tuple(one.placed(30.0, 5.0) for one in letters("fin 1 b43a", 5.0)), name="")


def planned(parts: Sequence[PlacedPart] = PARTS, **more: Any) -> CutPlan:
    fields = {
        "length": 400.0,
        "width": 300.0,
        "title": "ply, sheet 1 of 1",
        "words": ("birch-plywood, thickness 4 mm",),
    }
    return sheet_plan(parts, **(fields | {"failed_checks": (), "size_words": NOMINAL} | more))


def opened(path: Path) -> Any:
    document = ezdxf.readfile(path)
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    return document


def on(document: Any, layer: str) -> list[Any]:
    return [entity for entity in document.modelspace() if entity.dxf.layer == layer]


def dots(entity: Any) -> list[Point]:
    """Points along an entity, by ezdxf's own flattening to 2e-5 mm; what it has none for is a line or a cubic."""
    if hasattr(entity, "flattening") and entity.dxftype() in ("CIRCLE", "ARC", "ELLIPSE"):
        return [(p[0], p[1]) for p in entity.flattening(2e-5)]
    return [(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(2e-5)]


def dxf_rings(entities: Sequence[Any]) -> list[list[Point]]:
    """Closed contours as points, in the order of the file; what is open fails."""
    rings: list[list[Point]] = []
    run: list[Point] = []
    for number, entity in enumerate(entities):
        if entity.dxftype() == "LWPOLYLINE":
            assert entity.closed
            rings += dxf_rings(list(entity.virtual_entities()))
            continue
        points = dots(entity)
        if not run and math.dist(points[0], points[-1]) <= CLOSED:
            rings.append(points)
            continue
        if not run:
            # DXF runs arcs one way only: the first of a contour turns round where that is what meets the second.
            follow = dots(entities[number + 1])
            if min(math.dist(points[-1], end) for end in (follow[0], follow[-1])) > CLOSED:
                points = points[::-1]
        elif math.dist(run[-1], points[0]) > CLOSED:
            points = points[::-1]
        assert not run or math.dist(run[-1], points[0]) <= CLOSED
        run += points
        if math.dist(run[0], run[-1]) <= CLOSED:
            rings.append(run)
            run = []
    assert not run, "a contour is open"
    return rings


def svg_rings(path: Path, layer: str) -> list[Any]:
    """Closed paths of svgpathtools; circles as such paths of two arcs."""
    (group,) = [g for g in etree.parse(path).getroot().iter(f"{SPACE}g") if g.get("id") == layer]
    found = []
    for shape in group:
        if shape.tag == f"{SPACE}circle":
            x, y, r = (float(shape.get(key)) for key in ("cx", "cy", "r"))
            found.append(parse_path(f"M {x + r} {y} A {r} {r} 0 0 0 {x - r} {y} A {r} {r} 0 0 0 {x + r} {y} Z"))
        elif shape.tag == f"{SPACE}path":
            found.append((shape.get("d"), parse_path(shape.get("d")))[1])
    return found


def svg_area(path: Any) -> float:
    """Area of the polygon through 500 points of each segment [mm2]; 3e-6 of a third of a circle is missing."""
    points = [segment.point(k / 500.0) for segment in path for k in range(500)]
    return Polygon([(point.real, point.imag) for point in points]).area


def nothing_twice(entities: Sequence[Any]) -> None:
    """No entity lies where another does, and none has no length."""
    seen: Counter[tuple[float, ...]] = Counter()
    for entity in entities:
        parts = entity.virtual_entities() if entity.dxftype() == "LWPOLYLINE" else (entity,)
        for part in parts:
            points = dots(part)
            assert sum(math.dist(a, b) for a, b in pairwise(points)) > 1e-6
            ends = sorted((round(x, 6), round(y, 6)) for x, y in (points[0], points[-1], points[len(points) // 2]))
            seen[tuple(value for end in ends for value in end)] += 1
    assert [key for key, times in seen.items() if times > 1] == []


# A sheet with several parts


def test_the_dxf_holds_every_part_once_and_closed(tmp_path: Path) -> None:
    proof = write_dxf_plan(tmp_path / "sheet.dxf", planned())
    assert proof.contours == 7
    assert proof.area == pytest.approx(AREA, rel=1e-9)
    document = opened(tmp_path / "sheet.dxf")
    assert document.dxfversion == "AC1024"  # R2010
    assert document.header["$INSUNITS"] == 4  # millimetres
    cut = on(document, "CUT")
    nothing_twice(cut)
    rings = dxf_rings(cut)
    assert len(rings) == 7
    signs = (-1, 1, -1, 1, -1, 1, 1)
    found = sum(sign * Polygon(ring).area for sign, ring in zip(signs, rings, strict=True))
    assert found == pytest.approx(AREA, abs=0.02)  # a sagitta of 2e-5 mm along some 1,100 mm
    assert Counter(entity.dxftype() for entity in cut)["ELLIPSE"] == 1
    assert Counter(entity.dxftype() for entity in cut)["SPLINE"] == 1


def test_inner_contours_come_before_outer_ones_and_parts_in_their_order(tmp_path: Path) -> None:
    write_dxf_plan(tmp_path / "sheet.dxf", planned())
    rings = [Polygon(ring) for ring in dxf_rings(on(opened(tmp_path / "sheet.dxf"), "CUT"))]
    # Hole of the disc, disc, hole of the ring that the disc lies in, ring: each lies in all that follow.
    for inner, outer in ((0, 1), (1, 2), (2, 3), (4, 5)):
        assert rings[outer].contains(rings[inner])
    assert [round(one.area) for one in rings[:4]] == [round(math.pi * r * r) for r in (2.75, 20.0, 35.0, 50.0)]


def test_the_svg_holds_the_same_and_every_path_ends_with_z(tmp_path: Path) -> None:
    path = tmp_path / "sheet.svg"
    proof = write_svg_plan(path, planned(), "ply, sheet 1 of 1")
    assert (proof.contours, proof.area) == (7, pytest.approx(AREA, rel=1e-9))
    cut = svg_rings(path, "CUT")
    assert all(one.isclosed() for one in cut)
    signs = (-1, 1, -1, 1, -1, 1, 1)
    found = sum(sign * svg_area(one) for sign, one in zip(signs, cut, strict=True))
    assert found == pytest.approx(AREA, rel=1e-5)
    root = etree.parse(path).getroot()
    paths = [shape.get("d") for group in root.iter(f"{SPACE}g") if group.get("id") == "CUT" for shape in group]
    assert all(d.endswith(" Z") for d in paths if d)
    assert (root.get("width"), root.get("height")) == ("520mm", "310mm")  # 5 mm round the sheet and the square
    assert root.get("viewBox") == "0 0 520 310"


def test_parts_lie_where_they_were_placed(tmp_path: Path) -> None:
    """The tip of the elliptic fin, by hand: (60, 70) turned by 0.7 rad about the origin and moved."""
    write_dxf_plan(tmp_path / "sheet.dxf", planned())
    fin = Polygon(dxf_rings(on(opened(tmp_path / "sheet.dxf"), "CUT"))[5])
    c, s = math.cos(0.7), math.sin(0.7)
    tip = (240.0 + c * 60.0 - s * 70.0, 100.0 + s * 60.0 + c * 70.0)
    assert min(math.dist(tip, point) for point in fin.exterior.coords) < 0.1
    (root,) = [one for one in on(opened(tmp_path / "sheet.dxf"), "ENGRAVE") if one.dxftype() == "LINE"]
    start = (240.0 + c * 15.0, 100.0 + s * 15.0)
    assert (root.dxf.start.x, root.dxf.start.y) == pytest.approx(start, abs=1e-9)


def test_rim_of_the_sheet_square_and_names_are_for_reference(tmp_path: Path) -> None:
    write_dxf_plan(tmp_path / "sheet.dxf", planned())
    reference = on(opened(tmp_path / "sheet.dxf"), "REFERENCE")
    square, rim = (one for one in reference if one.dxftype() == "LWPOLYLINE")
    assert rim.get_points("xy") == [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)]
    corners = square.get_points("xy")
    assert all(x > 400.0 for x, _ in corners)
    assert {math.dist(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)} == {100.0}
    words = {one.dxf.text: one.dxf.insert for one in reference if one.dxftype() == "TEXT"}
    assert {"disc 1", "fin 1", NOMINAL, "ply, sheet 1 of 1"} <= words.keys()
    # The name stands on its disc, the rest in the square.
    assert math.dist((words["disc 1"].x, words["disc 1"].y), (55.0, 60.0)) < 10.0
    assert all(words[text].x > 400.0 for text in (NOMINAL, "ply, sheet 1 of 1"))
    layers = {entity.dxf.layer for entity in opened(tmp_path / "sheet.dxf").modelspace()}
    assert layers == {"CUT", "ENGRAVE", "REFERENCE"}
    assert [one for one in on(opened(tmp_path / "sheet.dxf"), "CUT") if one.dxftype() == "TEXT"] == []


def test_letters_are_outlines_on_their_part(tmp_path: Path) -> None:
    parts = (*PARTS[:2], NAMED, PARTS[3])
    write_dxf_plan(tmp_path / "sheet.dxf", planned(parts))
    write_svg_plan(tmp_path / "sheet.svg", planned(parts), "sheet")
    document = opened(tmp_path / "sheet.dxf")
    engraved = [one for one in on(document, "ENGRAVE") if one.dxftype() != "LINE" or not _is_root(one)]
    rings = [Polygon(ring) for ring in dxf_rings(engraved)]
    fin = Polygon(dxf_rings(on(document, "CUT"))[5])
    wanted = sum(len(one.loops) for one in NAMED.engrave)
    assert len(rings) == wanted > 10
    assert all(fin.contains(ring) for ring in rings)
    assert len(svg_rings(tmp_path / "sheet.svg", "ENGRAVE")) == wanted + 1


def _is_root(line: Any) -> bool:
    return math.dist(line.dxf.start, line.dxf.end) == pytest.approx(90.0, abs=1e-6)


def test_failed_checks_and_kerf_are_said(tmp_path: Path) -> None:
    plan = planned(failed_checks=("recovery",), size_words="compensated for laser: outside +0.10 mm")
    write_dxf_plan(tmp_path / "sheet.dxf", plan)
    words = [one.dxf.text for one in on(opened(tmp_path / "sheet.dxf"), "REFERENCE") if one.dxftype() == "TEXT"]
    assert "CHECK FAILED: recovery" in words
    assert any("compensated for laser" in text for text in words)
    assert NOMINAL not in words


@pytest.mark.parametrize(
    ("parts", "more", "message"),
    [
        ((), {}, "parts: a sheet needs at least one"),
        (PARTS, {"length": 0.0}, "length: 0 mm of the sheet must be above 0 mm"),
        (PARTS, {"width": 150.0}, "does not lie on the sheet of 400 x 150 mm"),
        ((replace(PARTS[0], x=math.nan),), {}, "does not lie on the sheet"),
        ((PARTS[0], PARTS[0]), {}, "two edges lie on each other"),
        ((replace(NAMED, engrave=tuple(one.placed(0.0, 60.0) for one in NAMED.engrave)),), {}, "engrave: the letter"),
        ((replace(PARTS[0], name="disc \N{SNOWMAN}"),), {}, "name of a part: "),
    ],
)
def test_a_wrong_sheet_is_refused(parts: Sequence[PlacedPart], more: dict[str, Any], message: str) -> None:
    with pytest.raises(PartError, match=message):
        planned(parts, **more)


def test_a_file_without_the_rim_of_its_sheet_is_refused(tmp_path: Path) -> None:
    bare = replace(planned(), shown=())
    write_dxf_plan(tmp_path / "sheet.dxf", bare)
    write_svg_plan(tmp_path / "sheet.svg", bare, "sheet")
    with pytest.raises(WriteError, match="a line to be seen is not as it was written"):
        read_back_dxf(tmp_path / "sheet.dxf", planned(), "sheet.dxf")
    with pytest.raises(WriteError, match=r"it is not 520\.000 by 310\.000 mm"):
        read_back_svg(tmp_path / "sheet.svg", planned(), "sheet.svg")
    write_svg_plan(tmp_path / "sheet.svg", planned(), "sheet")
    text = (tmp_path / "sheet.svg").read_text(encoding="utf-8")
    rim = "M 5 305 L 405 305 L 405 5 L 5 5 L 5 305 Z"
    assert text.count(rim) == 1
    (tmp_path / "sheet.svg").write_text(text.replace(rim, rim.replace("405", "404")), encoding="utf-8")
    with pytest.raises(WriteError, match="a line to be seen is not as it was written"):
        read_back_svg(tmp_path / "sheet.svg", planned(), "sheet.svg")


def test_a_file_that_lost_a_part_is_refused(tmp_path: Path) -> None:
    write_dxf_plan(tmp_path / "sheet.dxf", planned(PARTS[:3]))
    with pytest.raises(WriteError, match="closed contours instead of 7"):
        read_back_dxf(tmp_path / "sheet.dxf", planned(), "sheet.dxf")


def test_bytes_are_the_same_again(tmp_path: Path) -> None:
    for name in ("a", "b"):
        write_dxf_plan(tmp_path / f"{name}.dxf", planned())
        write_svg_plan(tmp_path / f"{name}.svg", planned(), "sheet")
    assert (tmp_path / "a.dxf").read_bytes() == (tmp_path / "b.dxf").read_bytes()
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()


# Every cut file


FINS = {"elliptic fin": ELLIPTIC_FIN, "spline fin": SPLINE_FIN, "ring": RING}
FIN_AREAS = {
    "elliptic fin": math.pi * 60.0 * 70.0 / 2.0 + 90.0 * 18.0 - math.pi * 16.0,
    "spline fin": 2.0 / 3.0 * 90.0 * 60.0,
    "ring": math.pi * (2500.0 - 1225.0),
}


@pytest.mark.parametrize("name", [*SAMPLES, *FINS])
def test_one_part_is_closed_contours_with_nothing_twice(name: str, tmp_path: Path) -> None:
    outline = {**SAMPLES, **FINS}[name]
    write_dxf(tmp_path / "part.dxf", outline, title=name)
    write_svg(tmp_path / "part.svg", outline, title=name)
    cut = on(opened(tmp_path / "part.dxf"), "CUT")
    nothing_twice(cut)
    rings = dxf_rings(cut)
    assert len(rings) == len(outline.loops)
    paths = svg_rings(tmp_path / "part.svg", "CUT")
    assert len(paths) == len(outline.loops)
    assert all(one.isclosed() for one in paths)
    area = {**AREAS, **FIN_AREAS}.get(name)
    if area is not None:
        assert Polygon(rings[-1]).area - sum(Polygon(one).area for one in rings[:-1]) == pytest.approx(area, abs=0.02)
    bent = Counter(type(edge.piece) for loop in outline.loops for edge in loop)
    kinds = Counter(entity.dxftype() for entity in cut)
    assert kinds["ELLIPSE"] == bent[EllipseArc]
    assert (kinds["SPLINE"] > 0) == (bent[Bezier] > 0)
    # No curve of the part became a row of short lines.
    assert kinds["LINE"] <= bent[Line]
    vertices = sum(len(one) for one in cut if one.dxftype() == "LWPOLYLINE")
    assert vertices <= bent[Line] + 2 * bent[Arc]


def test_an_engraved_label_lies_on_the_layer_for_it_and_no_words_are_cut(tmp_path: Path) -> None:
    write_dxf(
        tmp_path / "part.dxf",
        Outline(polygon(((0.0, 0.0), (80.0, 0.0), (80.0, 40.0), (0.0, 40.0)))),
        title="plate",
        marks=(Label("GRAIN", (40.0, 30.0)),),
        engrave=tuple(one.placed(10.0, 10.0) for one in letters("AFT", 6.0)),
    )
    document = opened(tmp_path / "part.dxf")
    assert {entity.dxf.layer for entity in document.modelspace() if entity.dxftype() == "TEXT"} == {"REFERENCE"}
    assert len(dxf_rings(on(document, "ENGRAVE"))) == 4  # A has a counter
