"""Section drawings as someone with calipers reads them, measured on their pages and on the written files.

Sources: scales of ISO 5455; dimension lines, figures and extension lines after ISO 129-1, hatching at 45 degrees after
ISO 128-3 (both from memory); paper sizes as in test_sheets.py; 1 pt is 1/72 in, 1 in is 25.4 mm. The geometry beside
the drawing is measured by shapely, the pages by pdfplumber, the picture by svgpathtools.
"""

from __future__ import annotations

import dataclasses
import math
import re
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pdfplumber
import pytest
import svgpathtools
from drawing_faults import faults
from geometry_samples import hollow, profile, profiles, tube
from hypothesis import given, reject, settings
from hypothesis import strategies as st
from section_samples import LABEL, NOSES, PARTS, TRANSITIONS, many, measures_of, meridian_of, screwed, shape_of, slotted
from shapely.geometry import LineString, MultiLineString, Point, Polygon, box
from shapely.ops import unary_union

from ferrule.parts.curve import Arc, Line
from ferrule.parts.errors import DesignError, PartError
from ferrule.parts.kinds import NoseCone, Transition
from ferrule.parts.marks import Pen
from ferrule.parts.measures import (
    AngleToAxis,
    AxialLength,
    Chamfer,
    Detail,
    DiameterAt,
    Holes,
    Measure,
    Wall,
    holes_of,
    wall_at,
)
from ferrule.parts.quantity import millimetres
from ferrule.parts.shape import (
    Array,
    Cut,
    Meridian,
    Outline,
    Plate,
    RadialFeature,
    Revolved,
    Shape,
    circle,
    polygon,
)
from ferrule.parts.sheets.drawing import Drawn
from ferrule.parts.sheets.leaders import Leader, led
from ferrule.parts.sheets.lengths import Span, tiered
from ferrule.parts.sheets.paper import A4, PAPERS, Paper
from ferrule.parts.sheets.section import SCALES, scale_words, section_sheets
from ferrule.parts.sheets.section_block import area
from ferrule.parts.sheets.section_dimensions import main_view
from ferrule.parts.sheets.section_view import section_of
from ferrule.parts.sheets.sheet import Box, Sheet, Solid, Text, Trace
from ferrule.parts.sheets.space import dotted
from ferrule.parts.writers.drawing_svg import write_sheet_svg
from ferrule.parts.writers.pdf import write_pdf

MM = 25.4 / 72.0
"""One point [mm]."""

OUTLINE = 0.35
"""Width of an edge of the cut [mm]."""

NAMES = (*PARTS, "many")

every_part = pytest.mark.parametrize("name", NAMES)
every_page = pytest.mark.parametrize(
    ("name", "paper"), [(name, paper) for name in NAMES for paper in PAPERS], ids=lambda v: getattr(v, "name", v)
)


@cache
def drawn_from(name: str) -> tuple[Shape, tuple[Measure, ...]]:
    if name == "many":
        return many()
    shape = shape_of(name)
    return shape, measures_of(PARTS[name], shape)


@cache
def pages(name: str, paper: Paper = A4) -> tuple[Sheet, ...]:
    shape, measures = drawn_from(name)
    return section_sheets(shape, measures, label=LABEL, paper=paper)


def words(sheets: tuple[Sheet, ...]) -> list[str]:
    return [text.words for sheet in sheets for text in sheet.texts()]


def scale_of(sheet: Sheet) -> float:
    """The scale that the sheet states [-]."""
    (said,) = [text.words for text in sheet.texts() if text.words.startswith("scale ")]
    paper, part = said.removeprefix("scale ").split(":")
    return float(paper) / float(part)


# Layout


@every_page
def test_every_word_is_readable_on_the_page_and_off_words_and_lines(name: str, paper: Paper) -> None:
    for sheet in pages(name, paper):
        assert len(sheet.texts()) > 20
        assert faults(sheet) == []
        assert all(area(sheet.paper).holds(item.box()) for item in (*sheet.art, *sheet.furniture))
        bars = [Box(*bar.start, *bar.end).grown(1.0) for bar in sheet.bars]
        assert not any(item.box().meets(bar) for item in sheet.art for bar in bars)


@st.composite
def parts(draw: st.DrawFn) -> tuple[Shape, tuple[Measure, ...]]:
    """Noses and transitions of any proportion, with and without shoulders and screws."""
    base = draw(st.floats(20.0, 200.0))
    wall = draw(st.floats(0.8, base / 12.0))
    fit = {"wall": f"{wall} mm", "shoulder_wall": f"{wall * 1.4} mm"}
    try:
        if draw(st.booleans()):
            other = base * draw(st.floats(0.5, 1.4))
            ends = {"forward_diameter": f"{base} mm", "aft_diameter": f"{other} mm"}
            for end, size in (("forward", base), ("aft", other)):
                if draw(st.booleans()):
                    ends[f"{end}_shoulder_diameter"] = f"{size * 0.95} mm"
                    ends[f"{end}_shoulder_length"] = f"{size * 0.7} mm"
            part = Transition.build(length=f"{base * draw(st.floats(0.5, 3.0))} mm", **ends, **fit)
            return part.shape(), measures_of(part, part.shape())
        family = draw(st.sampled_from(("cone", "tangent-ogive", "half-ellipsoid", "von-karman")))
        length = f"{base * draw(st.floats(0.7, 6.0))} mm"
        shoulder = {}
        if draw(st.booleans()):
            shoulder = {"shoulder_diameter": f"{base * 0.95} mm", "shoulder_length": f"{base} mm"}
        nose = NoseCone.build(profile=family, length=length, base_diameter=f"{base} mm", **shoulder, **fit)
    except DesignError:
        reject()
    screws = draw(st.integers(0, 6)) if shoulder else 0
    shape = screwed(nose, screws, base / 20.0) if screws else nose.shape()
    return shape, measures_of(nose, shape)


@settings(max_examples=20)
@given(parts(), st.sampled_from(PAPERS))
def test_any_part_has_a_drawing_without_overlaps(part: tuple[Shape, tuple[Measure, ...]], paper: Paper) -> None:
    for sheet in section_sheets(*part, label=LABEL, paper=paper):
        assert faults(sheet) == []


@st.composite
def leaders(draw: st.DrawFn) -> list[Leader]:
    points = draw(st.lists(st.tuples(st.floats(0.0, 150.0), st.floats(-30.0, 0.0)), min_size=1, max_size=14))
    return [
        Leader(point, "x" * draw(st.integers(1, 20)), "y" * draw(st.integers(0, 25)))
        for point in dict.fromkeys((round(x, 1), round(y, 1)) for x, y in points)
    ]


def lines_of(one: Drawn) -> list[LineString]:
    return [LineString([p.start, p.end]) for item in one.lines if isinstance(item, Trace) for p in item.pieces]


@settings(max_examples=60)
@given(leaders())
def test_no_leader_crosses_words_or_another_leader(several: list[Leader]) -> None:
    drawn = led(several, 0.0, -50.0, 200.0)
    assert [one.words[0].words for one in drawn] == [one.above for one in several]
    boxes = [Polygon(text.corners()).buffer(-0.02) for one in drawn for text in one.words]
    assert not any(a.intersects(b) for a, b in combinations(boxes, 2))
    for one, other in combinations(drawn, 2):
        assert not any(a.crosses(b) for a in lines_of(one) for b in lines_of(other))
    for one in drawn:
        assert not any(a.intersects(b) for a in lines_of(one) for b in boxes)
        assert all(
            text.box().left >= -50.0 and text.box().right <= 200.0 and text.box().low > 0.0 for text in one.words
        )


@st.composite
def spans(draw: st.DrawFn) -> list[Span]:
    ends = draw(st.lists(st.tuples(st.integers(0, 30), st.integers(1, 30)), min_size=1, max_size=12, unique=True))
    return [
        Span((5.0 * a, -draw(st.floats(0.0, 20.0))), (5.0 * min(a + b, 31), -3.0), "x" * draw(st.integers(3, 20)), "yy")
        for a, b in ends
    ]


@settings(max_examples=60)
@given(spans())
def test_no_length_stands_on_another(several: list[Span]) -> None:
    drawn = tiered(several, -20.0, -80.0, 235.0)
    assert sorted(one.words[0].words for one in drawn) == sorted(one.above for one in several)
    boxes = [Polygon(text.corners()).buffer(-0.02) for one in drawn for text in one.words]
    assert not any(a.intersects(b) for a, b in combinations(boxes, 2))
    flat = []
    for one in drawn:
        assert not any(a.intersects(b) for a in lines_of(one) for b in boxes)
        flat += [a for a in lines_of(one) if a.coords[0][1] == a.coords[1][1]]
    assert len(flat) == len(several)
    assert not any(a.buffer(0.1).intersection(b).length > 0.3 for a, b in combinations(flat, 2))


def test_short_lengths_stand_nearer_than_those_that_hold_them() -> None:
    """ISO 129-1: extension lines shall not cross dimension lines where that can be avoided."""
    several = [Span((0.0, 0.0), (long, 0.0), f"{long:g}", "") for long in (150.0, 40.0, 90.0)]
    heights = {one.words[0].words: one.words[0].position[1] for one in tiered(several, -20.0, 0.0, 200.0)}
    assert heights["40"] > heights["90"] > heights["150"]


# Scale


def test_scales_are_those_of_the_standard() -> None:
    """ISO 5455: 1, 2 and 5 times powers of ten."""
    for scale in SCALES:
        mantissa = max(scale, 1.0 / scale)
        assert round(mantissa / 10.0 ** math.floor(math.log10(mantissa) + 1e-9), 9) in (1.0, 2.0, 5.0)
    assert [scale_words(scale) for scale in (5.0, 1.0, 0.5, 0.1)] == ["5:1", "1:1", "1:2", "1:10"]


def outlines(page: pdfplumber.page.Page) -> list[tuple[float, float, float, float]]:
    """Boxes of the edges of cut faces [mm], by the width of their pen."""
    items = [item for item in (*page.lines, *page.curves, *page.rects) if abs(item["linewidth"] * MM - OUTLINE) < 1e-3]
    return [(i["x0"] * MM, i["top"] * MM, i["x1"] * MM, i["bottom"] * MM) for i in items]


WIDEST = {"blunt": 66.0, "boat tail": 68.3, "solid": 41.0}
"""Largest diameter of the samples that are drawn without details [mm]."""


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
@pytest.mark.parametrize("name", ["blunt", "boat tail", "solid"])
def test_the_part_on_the_page_has_its_size_by_the_scale(tmp_path: Path, name: str, paper: Paper) -> None:
    (sheet,) = pages(name, paper)
    write_pdf(tmp_path / "section.pdf", (sheet,), "Section")
    with pdfplumber.open(tmp_path / "section.pdf") as document:
        (page,) = document.pages
        found = np.array(outlines(page))
        assert float(page.width) * MM == pytest.approx(sheet.paper.width, abs=1e-3)
        assert float(page.height) * MM == pytest.approx(sheet.paper.height, abs=1e-3)
    part = PARTS[name]
    first, last = part.extent()
    # The box of a Bezier's poles is not that of the curve; none of these has a pole outside of its part.
    scale = scale_of(sheet)
    assert found[:, 2].max() - found[:, 0].min() == pytest.approx((last - first) * scale, abs=0.005)
    assert found[:, 3].max() - found[:, 1].min() == pytest.approx(WIDEST[name] * scale, abs=0.005)


@pytest.mark.parametrize(("name", "length"), [("demo", 250.0), ("long", 500.0), ("two shoulders", 120.0)])
def test_a_dimension_line_on_the_page_is_as_long_as_it_says_by_the_scale(
    tmp_path: Path, name: str, length: float
) -> None:
    (sheet,) = pages(name)
    write_pdf(tmp_path / "section.pdf", (sheet,), "Section")
    with pdfplumber.open(tmp_path / "section.pdf") as document:
        lines = [i for i in document.pages[0].lines if i["top"] == i["bottom"] and i["linewidth"] * MM < 0.14]
    assert any(abs((i["x1"] - i["x0"]) * MM - length * scale_of(sheet)) < 0.005 for i in lines)


@pytest.mark.parametrize("name", ["blunt", "boat tail", "solid"])
def test_the_picture_has_the_part_at_its_scale(tmp_path: Path, name: str) -> None:
    (sheet,) = pages(name)
    write_sheet_svg(tmp_path / "section.svg", sheet, "Section")
    paths, attributes, svg = svgpathtools.svg2paths2(str(tmp_path / "section.svg"))
    assert (svg["width"], svg["height"]) == (f"{sheet.paper.width:g}mm", f"{sheet.paper.height:g}mm")
    thick = [p.bbox() for p, look in zip(paths, attributes, strict=True) if look.get("stroke-width") == f"{OUTLINE}"]
    left, right, top, foot = np.array(thick).T
    scale, (first, last) = scale_of(sheet), PARTS[name].extent()
    assert right.max() - left.min() == pytest.approx((last - first) * scale, abs=0.005)
    assert foot.max() - top.min() == pytest.approx(WIDEST[name] * scale, abs=0.005)


# Cut faces


def polygon_of(meridian: Meridian, scale: float = 1.0) -> Polygon:
    """The half section followed closely by points."""
    t = np.linspace(0.0, 1.0, 2000)
    points = np.vstack([e.piece.at(t[[0, -1]] if isinstance(e.piece, Line) else t)[:-1] for e in meridian.edges])
    return Polygon(points * scale)


def slots_of(shape: Shape) -> list[Polygon]:
    found = []
    if isinstance(shape, Cut):
        for tool in shape.tools:
            one = tool.shape if isinstance(tool, Array) else tool
            assert isinstance(one, RadialFeature)
            left, _, right, _ = one.outline.box()
            found.append(box(one.station + left, one.from_radius, one.station + right, one.to_radius))
    return found


def hatching(items: tuple, angles: tuple[float, ...] = (45.0,)) -> list[LineString]:  # type: ignore[type-arg]
    found = []
    for item in items:
        if isinstance(item, Trace) and item.pen == Pen.DIMENSION and len(item.pieces) == 1:
            (piece,) = item.pieces
            lean = math.degrees(math.atan2(piece.end[1] - piece.start[1], piece.end[0] - piece.start[0]))
            if isinstance(piece, Line) and any(abs(lean - angle) < 1e-6 for angle in angles):
                found.append(LineString([piece.start, piece.end]))
    return found


@pytest.mark.parametrize("name", list(PARTS))
def test_hatching_fills_the_cut_faces_and_nothing_else(name: str) -> None:
    shape, _ = drawn_from(name)
    scale = 0.5
    view = main_view(section_of(shape), (), scale, 1e4, ())
    assert view is not None
    lines = hatching(view.items())
    half = polygon_of(meridian_of(shape))
    lower = Polygon([(x, -y) for x, y in half.exterior.coords])
    faces = unary_union([half.difference(unary_union(slots_of(shape))), lower])
    faces = Polygon() if faces.is_empty else faces
    grown = faces.buffer(0.01 / scale)
    assert len(lines) > 15
    for line in lines:
        assert grown.covers(LineString([(x / scale, y / scale) for x, y in line.coords]))
    # Spacing times length is area; a face is missed by at most the spacing along its ends.
    offsets = sorted({round((a.coords[0][1] - a.coords[0][0]) / math.sqrt(2.0), 6) for a in lines})
    spacing = min(b - a for a, b in pairwise(offsets))
    assert 1.2 - 1e-6 <= spacing <= 3.0 + 1e-6
    assert MultiLineString(lines).length * spacing == pytest.approx(faces.area * scale**2, rel=0.04)


def test_sections_that_meet_are_told_apart_by_their_hatching() -> None:
    """ISO 128-3: adjacent parts lean the other way. The middle of the spigot is of the front one, over it the rear."""
    shape, _ = drawn_from("many")
    section = section_of(shape)
    view = main_view(section, (), 1.0, 1e4, ())
    assert view is not None
    one, other = (unary_union(hatching(view.items(), (angle,))) for angle in (45.0, -45.0))
    assert one.length > 200.0
    assert other.length > 200.0
    front, rear = Point(80.0, 10.0), Point(180.0, 27.0)
    assert one.distance(front) < 3.0 < other.distance(front)
    assert other.distance(rear) < 3.0 < one.distance(rear)
    joint = LineString([(110.0, 16.8), (110.0, 18.0)])
    edges = [LineString(dotted((piece,))) for piece in section.outlines]
    assert any(edge.intersection(joint.buffer(1e-3)).length > 0.5 for edge in edges)


def test_edges_beyond_the_cut_are_seen_where_nothing_hides_them() -> None:
    """A tube is closed by a line across its bore at both ends; its outer rim is hidden behind the cut wall."""
    section = section_of(tube(20.0, 18.0, 80.0))
    found = {(piece.start, piece.end) for piece in section.beyond if isinstance(piece, Line)}
    assert {((x, -18.0), (x, 18.0)) for x in (0.0, 80.0)} <= found
    assert section_of(tube(20.0, 0.0, 80.0)).faces[0][0].spans((40.0, 0.0), (0.0, 1.0)) == [(0.0, 20.0)]


def test_a_hole_is_cut_from_the_upper_half_with_its_rims_left_standing_beyond() -> None:
    section = section_of(slotted())
    assert np.array(section.upper.spans((0.0, 19.0), (1.0, 0.0))) == pytest.approx(
        np.array([(0.0, 32.0), (48.0, 80.0)])
    )
    assert np.array(section.lower.spans((0.0, -19.0), (1.0, 0.0))) == pytest.approx(np.array([(0.0, 80.0)]))
    rims = [p for p in section.beyond if isinstance(p, Line) and p.start[1] == p.end[1]]
    assert sorted((round(min(p.start[0], p.end[0]), 6), p.start[1]) for p in rims) == [(32.0, 18.0), (32.0, 20.0)]
    assert (section.turned, section.left_out) == (True, 1)
    (sheet,) = section_sheets(slotted(), (holes_of(RADIAL, 20.0, "slot"),), label=LABEL, paper=A4)
    said = " ".join(text.words for text in sheet.texts())
    assert "slot 16.0 x 4.0 mm" in said
    assert "1 feature that is neither turned nor radial" in said


RADIAL = RadialFeature(40.0, 0.0, Outline(polygon(((-8.0, -2.0), (8.0, -2.0), (8.0, 2.0), (-8.0, 2.0)))), 10.0, 30.0)


# Figures


def heads(one: Drawn) -> list[tuple[float, float]]:
    return [item.corners[0] for item in one.lines if isinstance(item, Solid)]


@every_part
@pytest.mark.parametrize("scale", [1.0, 0.5])
def test_every_figure_is_the_distance_of_its_arrowheads(name: str, scale: float) -> None:
    """Along the axis, across it, and of walls; the figures have two decimals."""
    shape, measures = drawn_from(name)
    view = main_view(section_of(shape), measures, scale, 1e4, ())
    assert view is not None
    held = 0
    for one in view.drawn:
        if len(tips := heads(one)) != 2:
            continue
        (figure,) = re.findall(r"([\d.]+) mm", " ".join(text.words for text in one.words))
        assert math.dist(*tips) / scale == pytest.approx(float(figure), abs=0.0051)
        held += 1
    two = (AxialLength, Wall)
    assert held >= sum(isinstance(one, two) for one in measures)


def test_the_nose_says_its_sizes_in_both_units() -> None:
    """Figures from the fields; inches by hand: 250/25.4 = 9.843 is 9 54/64, 68.42/25.4 = 2.694 is 2 44/64."""
    said = words(pages("demo"))
    for figure, inches in (
        ("finished length 250.0 mm", "9 27/32 in"),
        ("shoulder 68.0 mm", "2 43/64 in"),
        ("overall 318.0 mm", "12 33/64 in"),
        ("base Ø68.42 mm", "2 11/16 in"),
        ("bore Ø60.6 mm", "2 25/64 in"),
        ("wall 1.6 mm", "1/16 in"),
        ("shoulder wall 2.4 mm", "3/32 in"),
        ("screw holes 3 x Ø3.4 mm", "9/64 in; at roll 60, 180, 300 deg"),
        ("base to screws 34.0 mm", "1 11/32 in"),
    ):
        assert said[said.index(figure) + 1] == inches
    assert "Ø65.4 mm" in said


def test_whatever_a_printed_nose_may_have_is_said() -> None:
    said = words(pages("many"))
    for figure in (
        "tip radius R4.0 mm",
        "chamfer 1.0 mm x 45 deg",
        "rod hole Ø5.0 mm",
        "seat 14.0 mm",
        "spigot 12.0 mm",
        "vent Ø3.0 mm",
        "joint",
        "screw holes 3 x Ø4.2 mm",
        "depth from the rear 220.0 mm",
    ):
        assert figure in said, figure
    assert "1/8 in; at roll 180 deg" in said


@every_page
def test_no_dimension_is_missing(name: str, paper: Paper) -> None:
    """Every measure once, on whatever page."""
    _, measures = drawn_from(name)
    said = " ".join(words(pages(name, paper)))
    for one in measures:
        if isinstance(one, Detail):
            continue
        if isinstance(one, Holes):
            assert one.diameter is not None
            figure = f"Ø{millimetres(one.diameter)}"
        elif isinstance(one, AngleToAxis):
            figure = f"{math.degrees(one.value):.1f}".removesuffix(".0") + " deg"
        else:
            figure = millimetres(one.value) if not hasattr(one, "point") or isinstance(one, DiameterAt) else one.words
        assert figure in said, one
        assert one.words in said, one


def test_details_stand_only_where_walls_are_thin_on_paper() -> None:
    """1.6 mm at 1:2 is 0.8 mm; 2 mm at 1:1 can be seen."""
    assert "A (2:1) base step" in words(pages("demo"))
    assert not any("base step" in said for said in words(pages("blunt")))


@pytest.mark.parametrize("name", ["demo", "two shoulders"])
def test_a_detail_shows_its_part_of_the_section_alone(name: str) -> None:
    (sheet,) = pages(name)
    rings = [
        item.pieces[0]
        for item in sheet.art
        if isinstance(item, Trace) and item.pen == Pen.DIMENSION and isinstance(item.pieces[0], Arc)
    ]
    large = [ring for ring in rings if isinstance(ring, Arc) and ring.radius > 10.0]
    assert len(rings) == 2 * len(large) == 4
    for ring in large:
        inside = Point(ring.centre).buffer(ring.radius, 64)
        lines = [line for line in hatching(sheet.art) if inside.buffer(-0.5).intersects(line)]
        assert len(lines) > 5
        assert all(inside.buffer(0.05).covers(line) for line in lines)


# Walls


@pytest.mark.parametrize("family", ["cone", "tangent-ogive", "half-ellipsoid", "von-karman"])
@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_a_wall_is_found_square_to_the_skin(family: str, share: float) -> None:
    """By construction the inside is the parallel of the skin; the nearest point of it, by shapely, is as far."""
    p = profile(family, None)  # type: ignore[arg-type]
    meridian = hollow(p, 2.0).meridian
    found = wall_at(meridian, share * p.length)
    assert found.value == pytest.approx(2.0, abs=1e-4)
    assert found.outside[0] == pytest.approx(share * p.length, abs=1e-6)
    inside = LineString(np.vstack([e.piece.at(np.linspace(0, 1, 4000)) for e in meridian.edges if not e.role][1:-1]))
    assert Point(found.outside).distance(inside) == pytest.approx(found.value, abs=1e-3)


@settings(max_examples=20)
@given(profiles())
def test_the_wall_of_any_profile_is_the_one_it_was_made_with(p: object) -> None:
    from ferrule.parts.profiles import Profile

    assert isinstance(p, Profile)
    wall = 0.04 * p.base_radius
    found = wall_at(hollow(p, wall).meridian, 0.8 * p.length)
    assert found.value == pytest.approx(wall, rel=1e-4)


def test_there_is_no_wall_where_the_part_is_solid_or_is_not() -> None:
    solid = meridian_of(NOSES["solid"].shape())
    with pytest.raises(PartError, match="station: the part is solid at 50 mm"):
        wall_at(solid, 50.0)
    with pytest.raises(PartError, match="station: 500 mm is not between the ends"):
        wall_at(solid, 500.0)


def test_angles_and_chamfers_follow_from_their_points() -> None:
    """Closed forms: atan((68.3 - 49.9) / 2 / 80) = 6.56 deg; 3-4-5 triangle."""
    assert "angle to the axis 6.6 deg" in words(pages("boat tail"))
    assert math.degrees(Chamfer((4.0, 3.0), (0.0, 0.0)).angle) == pytest.approx(math.degrees(math.asin(0.6)))
    assert Chamfer((4.0, 3.0), (0.0, 0.0)).value == 4.0
    assert TRANSITIONS["boat tail"].length == 80.0


def test_rolls_of_holes_go_once_round() -> None:
    one = RadialFeature(10.0, math.radians(-30.0), Outline(circle(2.0)), 5.0, 9.0)
    assert [round(math.degrees(roll)) for roll in holes_of(Array(one, 4), 8.0).rolls] == [60, 150, 240, 330]
    assert holes_of(one, 8.0).diameter == 4.0
    plate = Plate(Outline(circle(2.0)), 1.0)
    with pytest.raises(PartError, match="no radial hole"):
        holes_of(Array(plate, 3), 8.0)


# Sheets


@every_page
def test_every_page_says_what_it_is(name: str, paper: Paper) -> None:
    sheets = pages(name, paper)
    for number, sheet in enumerate(sheets, 1):
        said = " ".join(text.words for text in sheet.texts())
        for what in (
            "Nose cone, section",
            "Marram (invented)",
            "petg",
            "1a2b-3c4d-5e6f",
            "A, 2026-11-25",
            f"{number} of {len(sheets)}",
            paper.words.split(",")[0],
            "mm above the line, inches to the nearest 1/64",
            "nominal",
            "Not a clearance to fly",
        ):
            assert what in said, what
        across, up, *_ = sheet.bars
        assert (across.length(), up.length()) == pytest.approx((100.0, 100.0))


def test_a_failed_check_is_stamped_on_every_page() -> None:
    shape, measures = drawn_from("many")
    sheets = section_sheets(shape, measures, label=LABEL, paper=A4, failed_checks=("shoulder in tube",))
    assert all("CHECK FAILED: shoulder in tube" in {t.words for t in sheet.texts()} for sheet in sheets)
    assert all(faults(sheet) == [] for sheet in sheets)


def test_a_part_without_measures_gets_its_length_and_its_largest_diameter() -> None:
    said = words(section_sheets(NOSES["blunt"].shape(), (), label=LABEL, paper=A4))
    assert "length 110.0 mm" in said
    assert "largest Ø66.0 mm" in said


def test_a_part_that_is_not_turned_is_refused() -> None:
    with pytest.raises(PartError, match="no turned body"):
        section_sheets(Plate(Outline(circle(20.0)), 4.0), (), label=LABEL, paper=A4)


def test_words_that_cannot_be_printed_are_refused() -> None:
    label = dataclasses.replace(LABEL, part="Нос")
    with pytest.raises(PartError, match=r"part name: .*Latin letters"):
        section_sheets(NOSES["solid"].shape(), (), label=label, paper=A4)


def test_notes_that_leave_no_room_for_the_part_are_refused() -> None:
    label = dataclasses.replace(LABEL, notes=("Sand the shoulder until it slides.",) * 40)
    with pytest.raises(PartError, match=r"notes: they take \d+ mm of the drawing.*shorten them"):
        section_sheets(NOSES["solid"].shape(), (), label=label, paper=A4)
    label = dataclasses.replace(LABEL, notes=("Sand the shoulder until it slides.",) * 6)
    shape, measures = drawn_from("demo")
    sheets = section_sheets(shape, measures, label=label, paper=A4)
    assert [faults(sheet) for sheet in sheets] == [[] for _ in sheets]


def test_a_very_large_part_is_drawn_small() -> None:
    """3 m of a nose and its shoulder go on a page at 1:20; 259 mm of lying paper less the check bars are 241 mm."""
    large = Revolved(Meridian(polygon(((0.0, 0.0), (3000.0, 250.0), (3000.0, 0.0)))))
    (sheet,) = section_sheets(large, (), label=LABEL, paper=A4)
    assert scale_of(sheet) == 0.05


def test_the_same_part_gives_the_same_items() -> None:
    shape, measures = drawn_from("demo")
    assert section_sheets(shape, measures, label=LABEL, paper=A4) == pages("demo")
    assert any(isinstance(item, Text) for item in pages("demo")[0].art)
