"""DXF cut files, read by ezdxf's own audit and by the CAD kernel's importer; areas from first principles."""

from __future__ import annotations

import hashlib
import math
import os
import subprocess
import sys
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
from cut_samples import AREAS, LEAF_POLES, SAMPLES, backwards, moved, outlines, slot
from hypothesis import HealthCheck, given, settings
from scipy.interpolate import BSpline
from shapely import Polygon

from ferrule.parts.curve import Arc, Bezier, EllipseArc, Line, Point, bernstein
from ferrule.parts.errors import PartError, WriteError
from ferrule.parts.kinds.centering_ring import CenteringRing
from ferrule.parts.kinds.fin import Fin
from ferrule.parts.lettering import letters
from ferrule.parts.marks import Arrow, CentreMark, Dimension, Guide, Label
from ferrule.parts.shape import Outline, circle, edges, hole, polygon, signed_area
from ferrule.parts.writers import dxf
from ferrule.parts.writers.dxf import DxfProof, read_back, write_dxf
from ferrule.parts.writers.layers import NOMINAL, SQUARE_WORDS, CutPlan, cut_plan

MEETS = 1e-9
"""Ends of one contour are the same point [mm]; what a chain joins a machine cuts in one go."""


def written(folder: Path, outline: Outline, **more: Any) -> Any:
    """The document as read back by ezdxf, audited."""
    path = folder / "part.dxf"
    write_dxf(path, outline, **({"title": "Marram (invented): plate"} | more))
    return opened(path)


def opened(path: Path) -> Any:
    document = ezdxf.readfile(path)
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    return document


def on(document: Any, layer: str) -> list[Any]:
    return [entity for entity in document.modelspace() if entity.dxf.layer == layer]


def kinds(entities: Sequence[Any]) -> list[str]:
    return [entity.dxftype() for entity in entities]


def ends(entity: Any) -> tuple[Point, Point]:
    if entity.dxftype() == "LINE":
        first, last = entity.dxf.start, entity.dxf.end
    elif entity.dxftype() == "SPLINE":
        first, last = entity.control_points[0], entity.control_points[-1]
    else:
        first, last = entity.start_point, entity.end_point
    return (float(first[0]), float(first[1])), (float(last[0]), float(last[1]))


def dots(entity: Any) -> list[Point]:
    """Points along an entity, by ezdxf's own flattening to 2 nm; a spline by scipy, from its knots and poles."""
    if entity.dxftype() == "SPLINE":
        knots, poles = np.array(entity.knots), np.array(entity.control_points)[:, :2]
        spline = BSpline(knots, poles, entity.dxf.degree)
        return [(x, y) for x, y in spline(np.linspace(knots[0], knots[-1], 20001)).tolist()]
    if entity.dxftype() == "LINE":
        return list(ends(entity))
    return [(point[0], point[1]) for point in entity.flattening(2e-6)]


def contours(entities: Sequence[Any]) -> list[list[Point]]:
    """Closed rings of points, put together from the entities in their order; every joint is held to `MEETS`."""
    rings: list[list[Point]] = []
    run: list[Point] = []
    alone = False
    for part in entities:
        if part.dxftype() == "LWPOLYLINE":
            assert part.closed
            rings += contours(list(part.virtual_entities()))
            continue
        points = dots(part)
        if part.dxftype() == "CIRCLE" or math.dist(points[0], points[-1]) <= MEETS:
            rings.append(points)
            continue
        # DXF runs arcs one way only: the first of a run turns round where that is what meets the second.
        if alone and min(math.dist(run[-1], points[0]), math.dist(run[-1], points[-1])) > MEETS:
            run = run[::-1]
        if run and math.dist(run[-1], points[0]) > MEETS:
            points = points[::-1]
        alone = not run
        assert not run or math.dist(run[-1], points[0]) <= MEETS
        run = [*run, *points]
        if math.dist(run[0], run[-1]) <= MEETS:
            rings.append(run)
            run = []
    assert not run, "a contour is open"
    return rings


def area(points: Sequence[Point]) -> float:
    return float(Polygon(points).area)


def exact_area(outline: Outline) -> float:
    """By a fine polygon along the pieces themselves, extrapolated from two step sizes (Richardson)."""

    def by(count: int) -> float:
        t = np.linspace(0.0, 1.0, count + 1)[:-1]
        rings = [np.vstack([edge.piece.at(t) for edge in loop]) for loop in outline.loops]
        return sum(
            float(np.sum(ring[:, 0] * np.roll(ring[:, 1], -1) - np.roll(ring[:, 0], -1) * ring[:, 1])) / 2.0
            for ring in rings
        )

    coarse, fine = by(2000), by(4000)
    return fine + (fine - coarse) / 3.0


# The contours


@pytest.mark.parametrize("name", AREAS)
def test_contours_enclose_the_area_of_first_principles(tmp_path: Path, name: str) -> None:
    outline = SAMPLES[name]
    proof = write_dxf(tmp_path / "part.dxf", outline, title=name)
    assert proof.area == pytest.approx(AREAS[name], rel=1e-9)
    assert proof.contours == len(outline.loops)
    rings = contours(on(opened(tmp_path / "part.dxf"), "CUT"))
    assert len(rings) == len(outline.loops)
    # The polygons' sagitta of 2 nm along some 500 mm.
    assert area(rings[-1]) - sum(map(area, rings[:-1])) == pytest.approx(AREAS[name], abs=2e-3)


@pytest.mark.parametrize("name", SAMPLES)
def test_the_cad_kernel_reads_the_contours_as_the_part(tmp_path: Path, name: str) -> None:
    """An importer and an area of others: every contour a face of the kernel's own making."""
    cadquery = pytest.importorskip("cadquery")
    write_dxf(tmp_path / "part.dxf", SAMPLES[name], title=name)
    faces = cadquery.importers.importDXF(str(tmp_path / "part.dxf"), tol=1e-6, include=["CUT"]).faces().vals()
    # The leaf's rim of degree 5 is followed within half a micrometre, along some 290 mm.
    tolerance = 5e-4 * 290.0 if name == "leaf" else 1e-6
    assert sum(face.Area() for face in faces) == pytest.approx(exact_area(SAMPLES[name]), abs=tolerance, rel=1e-9)
    assert sum(1 + len(face.innerWires()) for face in faces) == len(SAMPLES[name].loops)


def test_holes_come_before_the_rim_and_a_circle_stays_one(tmp_path: Path) -> None:
    cut = on(written(tmp_path, SAMPLES["ring"]), "CUT")
    assert kinds(cut) == ["CIRCLE"] * 4
    assert [entity.dxf.radius for entity in cut] == [15.6, 2.75, 2.75, 32.85]
    assert (cut[2].dxf.center.x, cut[2].dxf.center.y) == (20.0, -13.0)


def test_a_circle_of_two_halves_is_one_circle(tmp_path: Path) -> None:
    halves = edges((Arc((1.0, 2.0), 20.0, 0.3, math.pi), Arc((1.0, 2.0), 20.0, 0.3 + math.pi, math.pi)))
    (found,) = on(written(tmp_path, Outline(halves)), "CUT")
    assert (found.dxftype(), found.dxf.radius) == ("CIRCLE", 20.0)


def test_lines_and_arcs_are_one_closed_polyline_with_bulges(tmp_path: Path) -> None:
    """The bulge is the tangent of a quarter of the arc's angle (DXF reference, LWPOLYLINE group 42)."""
    slotted, rim = on(written(tmp_path, SAMPLES["slotted"]), "CUT")
    assert kinds([slotted, rim]) == ["LWPOLYLINE"] * 2
    assert rim.get_points("xyb") == [(0.0, 0.0, 0.0), (120.0, 0.0, 0.0), (90.0, 60.0, 0.0), (20.0, 60.0, 0.0)]
    assert sorted(bulge for *_, bulge in slotted.get_points("xyb")) == pytest.approx([-1.0, -1.0, 0.0, 0.0])
    assert sorted(kinds(list(slotted.virtual_entities()))) == ["ARC", "ARC", "LINE", "LINE"]
    assert {round(arc.dxf.radius, 9) for arc in slotted.virtual_entities() if arc.dxftype() == "ARC"} == {3.0}


def test_an_arc_of_more_than_half_a_turn_is_cut_in_two_of_its_own_circle(tmp_path: Path) -> None:
    shafted, _ = on(written(tmp_path, SAMPLES["shafted"]), "CUT")
    arcs = [part for part in shafted.virtual_entities() if part.dxftype() == "ARC"]
    assert len(arcs) == 2
    assert [arc.dxf.radius for arc in arcs] == pytest.approx([10.0, 10.0], abs=1e-9)
    angles = sum(math.radians((arc.dxf.end_angle - arc.dxf.start_angle) % 360.0) for arc in arcs)
    assert angles == pytest.approx(math.tau - 2.0 * math.acos(0.7), abs=1e-9)


def test_ellipse_arcs_stay_ellipses(tmp_path: Path) -> None:
    found = on(written(tmp_path, SAMPLES["elliptic"]), "CUT")
    assert sorted(kinds(found)) == ["ELLIPSE", "ELLIPSE", "LINE", "LINE"]
    sizes = sorted(
        (e.dxf.major_axis.magnitude, e.dxf.major_axis.magnitude * e.dxf.ratio)
        for e in found
        if e.dxftype() == "ELLIPSE"
    )
    assert sizes == [pytest.approx((25.0, 10.0)), pytest.approx((70.0, 40.0))]
    whole = on(written(tmp_path, SAMPLES["oval"]), "CUT")
    assert kinds(whole) == ["ELLIPSE", "ELLIPSE"]
    assert [(e.dxf.start_param, e.dxf.end_param) for e in whole] == [(0.0, math.tau)] * 2


def test_beziers_are_cubic_splines_within_half_a_micrometre(tmp_path: Path) -> None:
    found = on(written(tmp_path, SAMPLES["leaf"]), "CUT")
    (spline,) = [entity for entity in found if entity.dxftype() == "SPLINE"]
    assert spline.dxf.degree == 3
    assert not spline.weights
    curve = bernstein(5, np.linspace(0.0, 1.0, 40001)) @ np.array(LEAF_POLES)
    for point in dots(spline)[::97]:
        i = int(np.argmin(np.hypot(*(curve - np.array(point)).T)))
        a, b = curve[max(i - 1, 0)], curve[min(i + 1, len(curve) - 1)]
        along = (b - a) / np.hypot(*(b - a))
        assert abs(along[0] * (point[1] - a[1]) - along[1] * (point[0] - a[0])) <= 5.1e-4


def test_a_parabola_is_exact(tmp_path: Path) -> None:
    _, spline = on(written(tmp_path, SAMPLES["parabola"]), "CUT")
    x, y = np.array(dots(spline)).T
    assert y == pytest.approx(60.0 * (1.0 - ((x - 45.0) / 45.0) ** 2), abs=1e-9)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(outline=outlines(("line", "arc")))
def test_random_plates_of_lines_and_arcs(tmp_path: Path, outline: Outline) -> None:
    document = written(tmp_path, outline)
    cut = on(document, "CUT")
    assert kinds(cut) == ["CIRCLE", "LWPOLYLINE", "LWPOLYLINE"]
    wanted = [edge.piece.radius for edge in outline.outer if isinstance(edge.piece, Arc)]
    arcs = [part.dxf.radius for part in cut[-1].virtual_entities() if part.dxftype() == "ARC"]
    assert arcs == pytest.approx(wanted, rel=1e-9)
    check_area(cut, outline)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(outline=outlines())
def test_random_plates_of_every_kind_of_edge(tmp_path: Path, outline: Outline) -> None:
    cut = on(written(tmp_path, outline), "CUT")
    ellipses = [edge.piece for edge in outline.outer if isinstance(edge.piece, EllipseArc)]
    uneven = sum(not math.isclose(piece.semi_x, piece.semi_y, rel_tol=1e-12) for piece in ellipses)
    assert kinds(cut).count("ELLIPSE") == uneven
    check_area(cut, outline)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(outline=outlines(gap=3e-8))
def test_an_outline_that_misses_itself_by_nothing_is_closed_in_the_file(tmp_path: Path, outline: Outline) -> None:
    check_area(on(written(tmp_path, outline), "CUT"), outline)


def check_area(cut: list[Any], outline: Outline) -> None:
    rings = contours(cut)
    assert len(rings) == len(outline.loops)
    beziers = sum(edge.piece.length() for edge in outline.outer if isinstance(edge.piece, Bezier))
    rim = sum(edge.piece.length() for edge in outline.outer)

    def shoelace(points: list[Point]) -> float:
        x, y = np.array(points).T
        return abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))) / 2.0

    found = shoelace(rings[-1]) - sum(map(shoelace, rings[:-1]))
    # Half a micrometre along the Beziers, and the 2 nm of the flattening all round.
    assert found == pytest.approx(exact_area(outline), rel=1e-6, abs=5e-4 * beziers + 2e-6 * rim)


def test_a_step_of_nothing_is_left_out(tmp_path: Path) -> None:
    corners = ((0.0, 0.0), (50.0, 0.0), (50.0, 5e-8), (50.0, 30.0), (0.0, 30.0))
    (found,) = on(written(tmp_path, Outline(polygon(corners))), "CUT")
    points = found.get_points("xy")
    assert len(points) == 4
    assert min(math.dist(a, b) for a, b in pairwise([*points, points[0]])) > 1.0


# The drawing


def test_it_is_an_r2010_drawing_in_millimetres(tmp_path: Path) -> None:
    """AC1024, $INSUNITS 4 and $MEASUREMENT 1: DXF reference, header section."""
    document = written(tmp_path, SAMPLES["ring"])
    assert document.dxfversion == "AC1024"
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    text = (tmp_path / "part.dxf").read_text(encoding="utf-8")
    assert "$ACADVER\n  1\nAC1024\n" in text
    assert {entity.dxf.layer for entity in document.modelspace()} <= {"CUT", "ENGRAVE", "REFERENCE"}
    assert document.layers.get("CUT").dxf.linetype == "Continuous"
    assert document.layers.get("REFERENCE").dxf.linetype == "REFERENCE"
    assert document.layers.get("CUT").dxf.lineweight > document.layers.get("ENGRAVE").dxf.lineweight


@pytest.mark.parametrize("name", SAMPLES)
def test_the_reference_square_is_100_mm_and_clear_of_the_part(tmp_path: Path, name: str) -> None:
    document = written(tmp_path, SAMPLES[name])
    (square,) = [entity for entity in on(document, "REFERENCE") if entity.dxftype() == "LWPOLYLINE"]
    assert square.closed
    points = square.get_points("xy")
    assert len(points) == 4
    for (x0, y0), (x1, y1) in pairwise([*points, points[0]]):
        assert sorted((abs(x1 - x0), abs(y1 - y0))) == pytest.approx([0.0, 100.0], abs=1e-9)
    rim = Polygon(contours(on(document, "CUT"))[-1])
    assert rim.distance(Polygon(points)) >= 9.99


def test_the_words(tmp_path: Path) -> None:
    document = written(
        tmp_path,
        SAMPLES["ring"],
        words=("birch plywood, 6.0 mm, measured", "fingerprint 99aa-3c4d-5e6f"),
        failed_checks=("least margin", "fin flutter"),
    )
    words = {
        entity.plain_text(): entity.dxf.height for entity in on(document, "REFERENCE") if entity.dxftype() == "TEXT"
    }
    assert set(words) == {
        "CHECK FAILED: least margin",
        "CHECK FAILED: fin flutter",
        "Marram (invented): plate",
        "birch plywood, 6.0 mm, measured",
        "fingerprint 99aa-3c4d-5e6f",
        NOMINAL,
        SQUARE_WORDS,
    }
    assert max(words, key=lambda text: words[text]).startswith("CHECK FAILED")
    assert not [entity for layer in ("CUT", "ENGRAVE") for entity in on(document, layer) if entity.dxftype() == "TEXT"]


def test_words_that_mean_something_to_the_format_come_through(tmp_path: Path) -> None:
    document = written(tmp_path, SAMPLES["ring"], title="großer Ring ^J 50 %%d Ø", size_words="cut size: kerf 0.2 mm")
    words = [entity.plain_text() for entity in on(document, "REFERENCE") if entity.dxftype() == "TEXT"]
    assert "großer Ring ^J 50 % %d Ø" in words
    assert "cut size: kerf 0.2 mm" in words
    assert NOMINAL not in words


def test_many_words_stand_below_the_square_and_stay_apart(tmp_path: Path) -> None:
    document = written(tmp_path, SAMPLES["ring"], words=tuple(f"line {number} of many" for number in range(40)))
    places = sorted(
        (entity.dxf.insert.y, entity.dxf.height) for entity in on(document, "REFERENCE") if entity.dxftype() == "TEXT"
    )
    assert len(places) == 43
    for (low, height), (above, _) in pairwise(places):
        assert above - low > height
    low = -32.85
    assert sum(y + height < low for y, height in places) == 42


# Marks


def test_lines_on_the_part_are_engraved_and_nothing_else(tmp_path: Path) -> None:
    ring = SAMPLES["ring"]
    tick = Line((-15.6, 0.0), (-32.85, 0.0))
    marks = (
        Guide((tick,), words="RAIL LINE"),
        Guide((tick,)),
        Guide((Line((0.0, 33.0), (0.0, 40.0)),)),
        Guide((Line((-30.0, 0.0), (30.0, 0.0)),)),
        Guide((Line((-10.0, 24.0), (10.0, 24.0)),)),
        Guide((Arc((0.0, 0.0), 32.85, 0.0, 1.0),)),
        Guide((Arc((0.0, 0.0), 20.0, 2.0, 1.0),)),
        CentreMark((0.0, 0.0), 37.0),
        Dimension((-24.0, 3.0), (-18.0, 3.0)),
        Arrow("GRAIN", (-24.0, 3.0), (-18.0, 3.0)),
        Label("AFT", (-24.0, -6.0)),
        Label("RAIL", (0.0, 40.0)),
        Label("BORE", (0.0, 0.0)),
    )
    document = written(tmp_path, ring, marks=marks)
    line, arc = on(document, "ENGRAVE")
    assert ends(line) == (tick.start, tick.end)
    assert (arc.dxftype(), arc.dxf.radius) == ("ARC", 20.0)
    assert (arc.dxf.start_angle, arc.dxf.end_angle) == pytest.approx((math.degrees(2.0), math.degrees(3.0)))
    words = [entity.plain_text() for entity in on(document, "REFERENCE") if entity.dxftype() == "TEXT"]
    assert "AFT" in words
    assert not {"RAIL", "BORE", "GRAIN"} & set(words)


@pytest.mark.parametrize("kind", [CenteringRing, Fin])
def test_parts_as_their_kinds_give_them(tmp_path: Path, kind: Any) -> None:
    (piece,) = kind.build(**kind.example).cut_pieces()
    document = written(tmp_path, piece.outline, marks=piece.marks)
    engraved, *more = on(document, "ENGRAVE")
    if kind is CenteringRing:
        assert ends(engraved) == ((0.0, 15.6), (0.0, 32.85))
        assert not more
    else:
        assert ends(engraved) == ((15.0, 0.0), (105.0, 0.0))
        # The four sides and the two lines that mark the centre of area; no hatching.
        assert len(more) == 6
        words = [entity.plain_text() for entity in on(document, "REFERENCE") if entity.dxftype() == "TEXT"]
        assert {"LEADING EDGE", "TRAILING EDGE"} <= set(words)


def test_a_label_is_turned_as_on_the_template(tmp_path: Path) -> None:
    document = written(tmp_path, SAMPLES["slotted"], marks=(Label("AFT", (80.0, 45.0), math.radians(30.0)),))
    (label,) = [e for e in on(document, "REFERENCE") if e.dxftype() == "TEXT" and e.plain_text() == "AFT"]
    assert label.dxf.rotation == pytest.approx(30.0)
    assert math.dist(label.dxf.insert.vec2, (80.0, 45.0)) < 6.0


# Letters to engrave

LETTERS = tuple(shape.placed(-6.0, -26.0) for shape in letters("R8 i", 4.0))


def test_letters_are_engraved_as_closed_contours(tmp_path: Path) -> None:
    """The area of each, by ezdxf's own flattening and shapely, against the letters' own."""
    ring, tick = SAMPLES["ring"], Guide((Line((-15.6, 0.0), (-32.85, 0.0)),))
    document = written(tmp_path, ring, marks=(tick,), engrave=LETTERS)
    line, *engraved = on(document, "ENGRAVE")
    assert ends(line) == ((-15.6, 0.0), (-32.85, 0.0))
    assert set(kinds(engraved)) == {"LWPOLYLINE", "LINE", "SPLINE"}
    rings = contours(engraved)
    loops = [loop for letter in LETTERS for loop in letter.loops]
    assert [area(found) for found in rings] == pytest.approx([abs(signed_area(loop)) for loop in loops], rel=1e-5)
    assert [kinds(engraved)[-2:], len(rings)] == [["LWPOLYLINE"] * 2, 7]
    assert kinds(on(document, "CUT")) == ["CIRCLE"] * 4


def test_letters_that_are_not_on_the_part_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "part.dxf"
    for dx, dy in ((0.0, 12.0), (20.0, 11.0), (60.0, 0.0)):
        off = tuple(letter.placed(dx, dy) for letter in LETTERS)
        with pytest.raises(PartError, match=r"engrave: the letter from \(.*\) mm does not lie wholly on the part"):
            write_dxf(path, SAMPLES["ring"], title="ring", engrave=off)
    with pytest.raises(PartError, match="two edges lie on each other"):
        write_dxf(path, SAMPLES["ring"], title="ring", engrave=LETTERS[:1] * 2)
    assert list(tmp_path.iterdir()) == []


def test_a_file_whose_letters_are_not_those_written_is_refused(tmp_path: Path) -> None:
    path, ring = tmp_path / "part.dxf", SAMPLES["ring"]
    write_dxf(path, ring, title="ring", engrave=LETTERS)

    def plan(engrave: tuple[Outline, ...]) -> Any:
        return cut_plan(ring, title="ring", marks=(), words=(), failed_checks=(), size_words=NOMINAL, engrave=engrave)

    read_back(path, plan(LETTERS), path.name)
    with pytest.raises(WriteError, match="has 7 contours of letters instead of 6"):
        read_back(path, plan(LETTERS[:-1]), path.name)
    other = (*LETTERS[:-1], *(shape.placed(5.0, -26.0) for shape in letters(".", 4.3)))
    with pytest.raises(WriteError, match="a letter to engrave encloses"):
        read_back(path, plan(other), path.name)


# Refusals


def test_what_cannot_be_cut_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "part.dxf"
    twice = Outline(circle(30.0), (hole(5.0), hole(5.0)))
    with pytest.raises(PartError, match="two edges lie on each other"):
        write_dxf(path, twice, title="twice")
    slots = tuple(moved(backwards(slot(4.0, 10.0)), dx, 0.0) for dx in (0.0, 1e-8))
    with pytest.raises(PartError, match="two edges lie on each other"):
        write_dxf(path, Outline(circle(30.0), slots), title="twice")
    spike = ((0.0, 0.0), (40.0, 0.0), (60.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0))
    with pytest.raises(PartError, match="two edges lie on each other"):
        write_dxf(path, Outline(polygon(spike)), title="spike")
    with pytest.raises(PartError, match="a coordinate that is not a number"):
        write_dxf(path, Outline(circle(math.nan)), title="nowhere")
    for more in ({"title": "\x00"}, {"title": "Ring", "words": ("手",)}, {"title": "Ring", "failed_checks": ("手",)}):
        with pytest.raises(PartError, match="cannot print"):
            write_dxf(path, SAMPLES["ring"], **more)  # type: ignore[arg-type]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("error", [KeyboardInterrupt, MemoryError])
@pytest.mark.parametrize("stage", ["write_bytes", "read_back"])
def test_an_interruption_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: type[BaseException], stage: str
) -> None:
    path = tmp_path / "part.dxf"
    path.write_text("old")

    def stop(*_: Any) -> None:
        raise error

    monkeypatch.setattr(dxf, stage, stop)
    with pytest.raises(error):
        write_dxf(path, SAMPLES["ring"], title="ring")
    assert path.read_text() == "old"
    assert [item.name for item in tmp_path.iterdir()] == ["part.dxf"]


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(WriteError, match="a file is in its place"):
        write_dxf(tmp_path / "file" / "part.dxf", SAMPLES["ring"], title="ring")


def plan_of(outline: Outline) -> CutPlan:
    marks = (Guide((Line((30.0, 10.0), (50.0, 10.0)),)),)
    return cut_plan(outline, title="Plate", marks=marks, words=(), failed_checks=(), size_words=NOMINAL)


def spoil_open(document: Any) -> None:
    on(document, "CUT")[-1].closed = False


def spoil_corner(document: Any) -> None:
    rim = on(document, "CUT")[-1]
    with rim.points("xyb") as points:
        points[1] = (120.01, 0.0, 0.0)


def spoil_bulge(document: Any) -> None:
    hole_ = on(document, "CUT")[0]
    with hole_.points("xyb") as points:
        points[:] = [(x, y, bulge * 1.0001) for x, y, bulge in points]


def spoil_hole(document: Any) -> None:
    document.modelspace().delete_entity(on(document, "CUT")[0])


def spoil_twice(document: Any) -> None:
    document.modelspace().add_entity(on(document, "CUT")[0].copy())


def spoil_units(document: Any) -> None:
    document.header["$INSUNITS"] = 1


def spoil_square(document: Any) -> None:
    (square,) = [entity for entity in on(document, "REFERENCE") if entity.dxftype() == "LWPOLYLINE"]
    square.scale(0.97, 0.97, 1.0)


def spoil_words(document: Any) -> None:
    text = next(entity for entity in on(document, "REFERENCE") if entity.dxftype() == "TEXT")
    text.dxf.text = "100 in square"


def spoil_engraving(document: Any) -> None:
    on(document, "ENGRAVE")[0].dxf.layer = "REFERENCE"


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (spoil_open, "a contour is open by"),
        (spoil_corner, "a contour encloses 5700.3 mm2 instead of 5700 mm2"),
        (spoil_bulge, "a contour encloses"),
        (spoil_hole, "it has 1 closed contours instead of 2"),
        (spoil_twice, "it has 3 closed contours instead of 2"),
        (spoil_units, "it is not an R2010 drawing in millimetres"),
        (spoil_square, "it has no reference square of 100 mm"),
        (spoil_words, "its words are not those written"),
        (spoil_engraving, "lines to engrave are missing"),
    ],
)
def test_a_file_that_does_not_hold_the_part_is_refused(tmp_path: Path, spoil: Any, message: str) -> None:
    outline = SAMPLES["slotted"]
    plan = plan_of(outline)
    path = tmp_path / "part.dxf"
    write_dxf(path, outline, title="Plate", marks=(Guide((Line((30.0, 10.0), (50.0, 10.0)),)),))
    assert isinstance(read_back(path, plan, path.name), DxfProof)
    document = ezdxf.readfile(path)
    spoil(document)
    document.saveas(path)
    with pytest.raises(WriteError, match=message):
        read_back(path, plan, path.name)


def test_a_chain_that_does_not_meet_is_refused(tmp_path: Path) -> None:
    outline = SAMPLES["leaf"]
    plan = cut_plan(outline, title="Leaf", marks=(), words=(), failed_checks=(), size_words=NOMINAL)
    path = tmp_path / "part.dxf"
    write_dxf(path, outline, title="Leaf")
    read_back(path, plan, path.name)
    document = ezdxf.readfile(path)
    line = next(entity for entity in on(document, "CUT") if entity.dxftype() == "LINE")
    line.dxf.end = (line.dxf.end.x, line.dxf.end.y + 2e-9)
    document.saveas(path)
    with pytest.raises(WriteError, match="a contour is open by 2e-09 mm"):
        read_back(path, plan, path.name)


def test_a_torn_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "part.dxf"
    write_dxf(path, SAMPLES["slotted"], title="Plate")
    data = path.read_bytes()
    for part in (data[:3000], data[: len(data) // 2], b"", b"\xff\xfe\x00 no drawing"):
        path.write_bytes(part)
        with pytest.raises(WriteError, match=r"part\.dxf d(oes|id) not read back"):
            read_back(path, plan_of(SAMPLES["slotted"]), path.name)


# Bytes


def test_bytes_are_the_same_again_and_in_another_process(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from cut_samples import SAMPLES; "
        "from ferrule.parts.writers.dxf import write_dxf; "
        "[write_dxf(Path(sys.argv[1]) / f'{n}.dxf', o, title=n, failed_checks=('margin',)) for n, o in SAMPLES.items()]"
    )
    digests = set()
    # The library orders a set of names by its hashes: differently for the seeds 0 and 4.
    for seed, zone in (("0", "Asia/Tokyo"), ("4", "America/Lima"), ("7", "UTC")):
        folder = tmp_path / seed
        environment = {
            **os.environ,
            "PYTHONPATH": os.pathsep.join(sys.path),
            "PYTHONHASHSEED": seed,
            "TZ": zone,
            "USER": "somebody",
            "LOGNAME": "somebody",
        }
        subprocess.run([sys.executable, "-c", code, str(folder)], check=True, env=environment)
        digests.add(tuple(hashlib.sha256((folder / f"{name}.dxf").read_bytes()).hexdigest() for name in SAMPLES))
    for _ in range(2):
        for name, outline in SAMPLES.items():
            write_dxf(tmp_path / f"{name}.dxf", outline, title=name, failed_checks=("margin",))
        digests.add(tuple(hashlib.sha256((tmp_path / f"{name}.dxf").read_bytes()).hexdigest() for name in SAMPLES))
    assert len(digests) == 1
    text = (tmp_path / "ring.dxf").read_text(encoding="utf-8")
    assert "somebody" not in text
    assert str(tmp_path) not in text
    assert "\r" not in text


def test_the_library_is_left_as_it_was(tmp_path: Path) -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    write_dxf(tmp_path / "part.dxf", SAMPLES["ring"], title="ring")
    assert ezdxf.options.write_fixed_meta_data_for_testing is before
