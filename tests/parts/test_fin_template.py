"""What the template of a fin shows: names, grain, limits, pins, glue, the centre of area, and words that never meet.

Sources: the middle of half an ellipse lies 4 b / 3 pi above its chord (textbook geometry); a flat edge on a round tube
stands off by R - sqrt(R^2 - t^2 / 4) (elementary geometry). Areas and middles are held to shapely, which knows nothing
of this package; the printed lines are measured with pdfplumber. Type of at least 9 pt is common practice.
"""

from __future__ import annotations

import math
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pdfplumber
import pytest
from shapely.geometry import LineString, Point, Polygon, box

from ferrule.parts.curve import Arc, Line, Piece
from ferrule.parts.kinds.fin import Fin
from ferrule.parts.marks import (
    SIDE_A,
    SIDE_B,
    Area,
    Choice,
    Dimension,
    Guide,
    Label,
    Mark,
    Note,
    Pen,
)
from ferrule.parts.shape import Outline, hole, polygon
from ferrule.parts.sheets.block import TemplateLabel
from ferrule.parts.sheets.drawing import HATCH, draw
from ferrule.parts.sheets.letters import POINT
from ferrule.parts.sheets.paper import A4
from ferrule.parts.sheets.settling import settle, spared
from ferrule.parts.sheets.sheet import Box, CutLine, Sheet, Solid, Text, Trace
from ferrule.parts.sheets.template import template_sheets
from ferrule.parts.writers.on_part import lying_on_part
from ferrule.parts.writers.pdf import write_pdf

TUBES = {"body_diameter": "78.8 mm", "body_inside_diameter": "75.6 mm", "motor_tube_diameter": "42 mm"}
TAB = {"tab_length": "90 mm", "tab_depth": "18.4 mm", "tab_position": "15 mm"}
BEVELS = {"leading_edge": "bevel 12 mm, land 1 mm", "trailing_edge": "bevel 8 mm, land 1 mm, one side"}
TRAPEZOID = {"root_chord": "120 mm", "tip_chord": "60 mm", "semi_span": "58 mm", "sweep_length": "50 mm"}
SMALL = {
    "root_chord": "40 mm",
    "tip_chord": "20 mm",
    "semi_span": "25 mm",
    "sweep_length": "20 mm",
    "thickness": "2 mm",
}

FINS: dict[str, dict[str, Any]] = {
    "plain": {**TRAPEZOID, **TAB, "thickness": "4 mm"},
    "demo": {**TRAPEZOID, **TAB, **TUBES, "thickness": "4 mm"},
    "worked": {
        **TRAPEZOID,
        **TAB,
        **TUBES,
        **BEVELS,
        "thickness": "4 mm",
        "pin_hole_diameter": "3 mm",
        "fillet_radius": "8 mm",
        "edge_clearance": "9 mm",
    },
    "elliptic": {
        "planform": "elliptic",
        "root_chord": "120 mm",
        "semi_span": "70 mm",
        "thickness": "4 mm",
        "fillet_radius": "10 mm",
        **TAB,
        **TUBES,
    },
    "curved": {
        "planform": "curved",
        "root_chord": "130 mm",
        "points": [
            "spline through 40 mm, 25 mm to 90 mm, 70 mm",
            "arc through 115 mm, 74 mm to 140 mm, 70 mm",
            "spline through 125 mm, 30 mm to root",
        ],
        "thickness": "4.8 mm",
        **TAB,
        **TUBES,
        "tab_depth": "18.3 mm",
    },
    "polygon": {
        "planform": "polygon",
        "root_chord": "150 mm",
        "points": ["40 mm, 30 mm", "90 mm, 80 mm", "140 mm, 80 mm", "165 mm, 30 mm"],
        "edges": ["bevel 8 mm, land 1 mm"],
        "thickness": "4.8 mm",
        "notch_positions": ["50 mm"],
        "notch_length": "6.5 mm",
        "notch_depth": "8 mm",
        **TAB,
    },
    "small": {**SMALL, "tab_length": "24 mm", "tab_depth": "8 mm", "tab_position": "8 mm", "fillet_radius": "3 mm"}
    | {"body_diameter": "41 mm", "motor_tube_diameter": "25 mm"},
    "small worked": {
        **SMALL,
        "leading_edge": "bevel 4 mm, land 0.5 mm",
        "trailing_edge": "bevel 4 mm, land 0.5 mm",
        "pin_hole_diameter": "1 mm",
    },
    "forward": {**TRAPEZOID, **TAB, **TUBES, "thickness": "4 mm", "sweep_length": "-30 mm", "tip_chord": "80 mm"},
    "triangle": {**TRAPEZOID, **TAB, "thickness": "4 mm", "tip_chord": "0 mm", "sweep_length": "120 mm"},
    "large": {
        "root_chord": "400 mm",
        "tip_chord": "180 mm",
        "semi_span": "300 mm",
        "sweep_length": "200 mm",
        "thickness": "6.35 mm",
        "leading_edge": "bevel 20 mm, land 1 mm",
        **TUBES,
        "tab_length": "280 mm",
        "tab_depth": "18.4 mm",
        "tab_position": "60 mm",
    },
}
every_fin = pytest.mark.parametrize("name", FINS)


@cache
def fin(name: str) -> Fin:
    return Fin.build(**FINS[name])


@cache
def pages(name: str, mirrored: bool = False) -> tuple[Sheet, ...]:
    part = fin(name)
    label = TemplateLabel("Marram (invented)", f"{name} fin", 3, "birch plywood", part.thickness, True)
    return template_sheets(part.outline(), label=label, paper=A4, marks=part.marks(), mirrored=mirrored)


def said(name: str) -> list[str]:
    return [text.words for page in pages(name) for text in page.texts()]


def marks_of(name: str, sort: type[Any]) -> list[Any]:
    return [mark for mark in fin(name).marks() if isinstance(mark, sort)]


def ring(pieces: tuple[Piece, ...], steps: int = 400) -> Polygon:
    ends = [np.linspace(0.0, 1.0, 2 if isinstance(piece, Line) else steps) for piece in pieces]
    return Polygon(np.vstack([piece.at(t)[:-1] for piece, t in zip(pieces, ends, strict=True)]))


def flat(outline: Outline) -> Polygon:
    """An outline with its holes, for shapely."""
    whole = ring(tuple(edge.piece for edge in outline.outer))
    for loop in outline.holes:
        whole = whole.difference(ring(tuple(edge.piece for edge in loop)))
    return whole


def string(piece: Piece) -> LineString:
    return LineString(piece.at(np.linspace(0.0, 1.0, 2 if isinstance(piece, Line) else 100)))


# Nothing meets


@every_fin
def test_words_keep_off_each_other_off_the_cut_line_and_off_every_other_line(name: str) -> None:
    for page in pages(name):
        texts = page.texts()
        frames = [Polygon(text.corners()) for text in texts]
        for (one, frame), (other, other_frame) in combinations(zip(texts, frames, strict=True), 2):
            assert not frame.intersects(other_frame), (one.words, other.words)
        for text in (item for item in page.art if isinstance(item, Text)):
            assert text.size >= 9.0
            # The descent of a letter may reach a line on which its words stand.
            frame = Polygon(text.corners()).buffer(-0.3)
            for item in page.art:
                pieces: tuple[Piece, ...] = ()
                if isinstance(item, CutLine):
                    pieces = tuple(edge.piece for loop in item.outline.loops for edge in loop)
                elif isinstance(item, Trace):
                    pieces = item.pieces
                assert not any(string(piece).intersects(frame) for piece in pieces), (text.words, item)


@every_fin
def test_everything_lies_in_its_window(name: str) -> None:
    if len(pages(name)) == 1:
        (page,) = pages(name)
        assert all(page.window.holds(item.box()) for item in page.art)
    else:
        assert name == "large"


# What it says


@every_fin
def test_names_ways_and_sizes_are_there_once(name: str) -> None:
    words, part = said(name), fin(name)
    root = f"root {part.root_chord:.1f} mm"
    for needed in ("LEADING EDGE", "TRAILING EDGE", "GRAIN", "FORWARD", SIDE_A, root):
        assert words.count(needed) == 1, needed
    assert words.count(f"semi-span {part.span:.1f} mm") == 1
    assert "make 3" in words
    if part.tab():
        assert words.count(f"tab {part.tab_length:.1f} mm") == 1
        assert sum(text in words for text in (f"tab depth {part.tab_depth:.1f} mm", f"depth {part.tab_depth:.1f} mm"))
    if part.planform == "trapezoid" and part.tip_chord:
        assert words.count(f"tip {part.tip_chord:.1f} mm") == 1
        assert words.count(f"sweep {abs(part.sweep_length or 0.0):.1f} mm") == 1


def test_every_size_is_in_inches_too() -> None:
    # 120 mm is 4.7244 in, which is nearest to 4 46/64; 58 mm is 2.2835 in, nearest to 2 18/64.
    words = said("demo")
    assert {"4 23/32 in", "2 9/32 in"} <= set(words)


def test_a_drawn_outline_has_the_places_of_its_corners_and_names_of_worked_edges() -> None:
    words = said("polygon")
    assert {"x 40, y 30", "x 90, y 80", "x 140, y 80"} <= set(words)
    assert {"EDGE 2", "EDGE 3", "EDGE 4"} <= set(words)
    assert sum(text.startswith("bevel") for text in words) == 1
    assert "overall 165.0 mm" in words
    assert not any(text.startswith("EDGE") for text in said("curved"))


def test_grain_runs_along_the_leading_edge_or_along_its_chord_where_it_is_curved() -> None:
    def grain(name: str) -> float:
        (choice,) = [one for one in marks_of(name, Choice) if getattr(one.ways[0][0], "words", "") == "GRAIN"]
        turns = {
            round(math.atan2(arrow.end[1] - arrow.start[1], arrow.end[0] - arrow.start[0]), 9)
            for (arrow,) in choice.ways
        }
        (turn,) = turns
        assert all(arrow.heads == 2 for (arrow,) in choice.ways)
        return turn

    assert grain("demo") == pytest.approx(math.atan2(58.0, 50.0))
    assert grain("polygon") == pytest.approx(math.atan2(30.0, 40.0))
    # The outermost point of half an ellipse lies over the middle of its root.
    assert grain("elliptic") == pytest.approx(math.atan2(70.0, 60.0), abs=1e-4)


def test_the_mirrored_page_shows_side_b_and_still_says_on_which_side_a_bevel_is() -> None:
    words = [text.words for page in pages("worked", mirrored=True) for text in page.texts()]
    assert SIDE_B in words
    assert SIDE_A not in words
    assert any("8 mm, side A only" in text or text.endswith("side A only") for text in words)


def test_the_side_is_the_largest_word_of_the_face() -> None:
    for name, least in (("demo", 20.0), ("small", 9.0), ("large", 30.0)):
        (side,) = [text for page in pages(name) for text in page.art if isinstance(text, Text) and text.words == SIDE_A]
        assert side.bold
        assert side.size >= least


def test_the_legend_explains_the_pens_that_are_used() -> None:
    lines = {"limit: bevel or rounding starts here", "glue area: keep bare, no bevel, no paint"}
    assert lines <= set(said("worked"))
    assert not lines & set(said("triangle")) - {"glue area: keep bare, no bevel, no paint"}
    used = {item.pen for item in pages("worked")[0].art if isinstance(item, Trace)}
    assert {Pen.LIMIT, Pen.GLUE, Pen.VIEW, Pen.REFERENCE, Pen.CENTRE_LINE} <= used


# The centre of area


@pytest.mark.parametrize("name", ["demo", "curved", "polygon", "forward", "triangle"])
def test_the_centre_of_area_is_that_of_shapely(name: str) -> None:
    middle = flat(fin(name).exposed()).centroid
    x, y = centre(name)
    assert (x, y) == pytest.approx((middle.x, middle.y), abs=2e-3)
    assert any(f"x {x:.1f}, y {y:.1f} mm" == text for text in said(name))


def test_the_centre_of_area_of_half_an_ellipse() -> None:
    assert centre("elliptic") == pytest.approx((60.0, 4.0 * 70.0 / (3.0 * math.pi)), abs=1e-9)


def centre(name: str) -> tuple[float, float]:
    (square,) = [mark for mark in marks_of(name, Guide) if mark.pen == Pen.VIEW and len(mark.pieces) == 4]
    xs, ys = zip(*(piece.start for piece in square.pieces), strict=True)
    return sum(xs) / 4.0, sum(ys) / 4.0


# Limits


def test_the_printed_limit_is_as_far_from_its_edge_as_the_bevel_is_deep(tmp_path: Path) -> None:
    file = tmp_path / "fin.pdf"
    write_pdf(file, pages("worked"), "fin")
    (page,) = pages("worked")
    with pdfplumber.open(file) as document:
        paper = document.pages[0]
        lines = [
            [(float(x) * POINT, float(paper.height - down) * POINT) for x, down in line["pts"]]
            for line in paper.lines
            if abs(line["linewidth"] * POINT - 0.25) < 1e-3 and line["dash"][0]
        ]
    (cut,) = [item for item in page.art if isinstance(item, CutLine)]
    left, low = page.paper.corner
    sides = {
        depth: edge.piece
        for edge in cut.outline.outer
        for depth, length in ((12.0, math.hypot(50.0, 58.0)), (8.0, math.hypot(10.0, 58.0)))
        if isinstance(edge.piece, Line) and abs(edge.piece.length() - length) < 1e-6
    }
    for depth, side in sides.items():
        start = np.add(side.start, (left, low))
        along = (np.array(side.end) - np.array(side.start)) / side.length()
        found = []
        for a, b in lines:
            offs = [float(along[0] * (y - start[1]) - along[1] * (x - start[0])) for x, y in (a, b)]
            if abs(offs[0] - offs[1]) < 0.05 and math.dist(a, b) > 20.0:
                found.append(offs[0])
        assert any(abs(off - depth) < 0.02 for off in found), (depth, found)


def test_limits_say_what_is_worked_on_which_side() -> None:
    words = said("worked")
    assert "bevel starts here, 12 mm, both sides" in words
    assert any(text.startswith("bevel") and "side A only" in text for text in words)
    assert sum(text.startswith("bevel") for text in said("small worked")) == 1


# Glue


@pytest.mark.parametrize(("name", "fillet"), [("demo", 0.0), ("worked", 8.0), ("elliptic", 10.0), ("polygon", 0.0)])
def test_the_hatching_covers_the_tab_and_the_strip_under_the_fillets(name: str, fillet: float) -> None:
    part = fin(name)
    wanted = flat(part.outline()).intersection(box(0.0, -1000.0, part.root_chord, fillet))
    (area,) = marks_of(name, Area)
    assert flat(area.outline).area == pytest.approx(wanted.area, rel=2e-3)
    lines = [string(piece) for item in draw(area, 0.0).lines if isinstance(item, Trace) for piece in item.pieces]
    assert all(wanted.buffer(0.05).contains(line) for line in lines)
    assert sum(line.length for line in lines) * HATCH == pytest.approx(wanted.area, rel=0.05)


def test_without_a_tab_and_fillets_nothing_is_hatched() -> None:
    assert not marks_of("small worked", Area)
    assert not any(item.pen == Pen.GLUE for item in pages("small worked")[0].art if isinstance(item, Trace))


def test_hatching_is_broken_off_around_words() -> None:
    area = Area(Outline(polygon(((0.0, 0.0), (60.0, 0.0), (60.0, 30.0), (0.0, 30.0))), (hole(4.0, (50.0, 15.0)),)))
    words = draw(Label("KEEP BARE", (25.0, 15.0), 0.3), 0.0)
    hatching, _ = spared([draw(area, 0.0), words])
    frame = Polygon(words.words[0].corners())
    lines = [string(piece) for item in hatching.lines if isinstance(item, Trace) for piece in item.pieces]
    assert lines
    assert min(frame.distance(line) for line in lines) > 0.5
    assert min(Point(50.0, 15.0).distance(line) for line in lines) > 3.9


# Pins, notches, and the view from the end


def test_pin_holes_are_cut_marked_and_named() -> None:
    outline = fin("worked").outline()
    assert len(outline.holes) == 2
    assert "2 pin holes Ø3.0 mm" in said("worked")
    assert any(item.pen == Pen.CENTRE_LINE for item in pages("worked")[0].art if isinstance(item, Trace))


def test_notches_are_named_with_their_size() -> None:
    # 6.5 mm is 16.4 and 8 mm 20.2 sixty-fourths of an inch.
    assert "notch 6.5 x 8 mm" in said("polygon")
    assert "1/4 x 5/16 in" in said("polygon")


def test_the_end_view_is_true_to_size_and_says_the_gap() -> None:
    radius, half, fillet = 39.4, 2.0, 8.0
    (view,) = [one for one in marks_of("worked", Choice) if one.apart]
    guides = [mark for mark in view.ways[0] if isinstance(mark, Guide)]
    arcs = [piece for guide in guides for piece in guide.pieces if isinstance(piece, Arc)]
    assert all(guide.pen == Pen.VIEW for guide in guides)
    body = next(arc for arc in arcs if abs(arc.radius - radius) < 1e-9)
    assert {round(arc.radius, 6) for arc in arcs} == {radius, 37.8, 21.0, fillet}
    for arc in (one for one in arcs if one.radius == fillet):
        # A fillet touches the tube, and the face of the fin from outside.
        assert math.dist(arc.centre, body.centre) == pytest.approx(radius + fillet)
        assert abs(arc.centre[0] - body.centre[0]) == pytest.approx(half + fillet)
        assert abs(math.dist(arc.end, body.centre)) == pytest.approx(radius)
        assert abs(arc.start[0] - body.centre[0]) == pytest.approx(half)
    gap = radius - math.sqrt(radius**2 - half**2)
    rows = [mark.words for mark in view.ways[0] if isinstance(mark, Label)]
    assert f"gap {gap:.2f} mm at the faces" in rows
    assert rows[:2] == ["end view: flat root", "on a round tube,"]


def test_without_a_stated_tube_there_is_no_end_view() -> None:
    assert not [one for one in marks_of("plain", Choice) if one.apart]
    assert "end view: flat root" in said("demo")


# On the part itself


def test_what_is_engraved_are_plain_lines_on_the_part_and_no_hatching() -> None:
    part = fin("worked")
    words, lines = lying_on_part(part.outline(), part.marks())
    face = flat(part.outline()).buffer(1e-6)
    assert all(face.contains(string(piece)) for chain in lines for piece in chain)
    # Three limits' worth of lines (two limits, each with its square end), the root, and the centre of area's three.
    assert len(lines) == 2 * 2 + 1 + 3
    limits = [one.limit for one in part.worked()]
    for limit in limits:
        assert any(chain == (limit,) for chain in lines)
    assert {"LEADING EDGE", SIDE_A} <= {text.words for text in words}
    assert not any("end view" in text.words for text in words)


# Choices


SQUARE = Outline(polygon(((0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0))))


def drawn_words(*marks: Mark) -> list[tuple[str, float]]:
    found = settle(SQUARE, marks, 0.0)
    return [(text.words, round(text.box().low, 3)) for one in found for text in one.drawn.words]


def test_the_first_way_that_has_room_is_drawn() -> None:
    taken = Label("TAKEN", (30.0, 20.0))
    choice = Choice(((Label("HERE", (30.0, 20.0)),), (Label("HERE", (30.0, 38.0)),), (Label("THERE", (30.0, 10.0)),)))
    # The second way stands on the cut line.
    assert [words for words, _ in drawn_words(taken, choice)] == ["TAKEN", "THERE"]
    assert [words for words, _ in drawn_words(choice)] == ["HERE"]


def test_without_room_a_thing_is_left_out_unless_it_must_be_said() -> None:
    taken = Label("TAKEN BY THIS", (30.0, 20.0))
    ways = ((Label("HERE", (30.0, 20.0)),), (Label("HERE", (30.0, 39.0)),))
    assert [words for words, _ in drawn_words(taken, Choice(ways))] == ["TAKEN BY THIS"]
    # On the cut line alone it is easier to read than on other words.
    (_, (words, low)) = drawn_words(taken, Choice(ways, must=True))
    assert words == "HERE"
    assert low > 30.0


def test_lines_of_a_choice_keep_off_words_too() -> None:
    taken = Label("TAKEN", (30.0, 20.0))
    across, below = Guide((Line((5.0, 20.0), (55.0, 20.0)),)), Guide((Line((5.0, 10.0), (55.0, 10.0)),))
    found = settle(SQUARE, (taken, Choice(((across,), (below,)))), 0.0)
    assert [one.mark for one in found] == [taken, below]


def test_a_picture_apart_has_nothing_else_in_its_rectangle() -> None:
    cross = (Guide((Line((20.0, 10.0), (40.0, 30.0)),)), Guide((Line((20.0, 30.0), (40.0, 10.0)),)))
    beside = tuple(Guide(tuple(piece.placed(80.0, 0.0) for piece in guide.pieces)) for guide in cross)
    taken = Guide((Line((21.0, 19.0), (23.0, 21.0)),))
    assert len(settle(SQUARE, (taken, Choice((cross, beside))), 0.0)) == 3
    assert settle(SQUARE, (taken, Choice((cross, beside))), 0.0)[1].mark == cross[0]
    assert settle(SQUARE, (taken, Choice((cross, beside), apart=True)), 0.0)[1].mark == beside[0]


def test_a_choice_without_a_way_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a way"):
        Choice(())


@pytest.mark.parametrize("turn", [0.0, math.pi / 2.0])
def test_a_note_points_at_its_target_and_reads_level(turn: float) -> None:
    drawn = draw(Note((10.0, 5.0), (25.0, 20.0), "above", "below"), turn)
    c, s = math.cos(turn), math.sin(turn)
    (head,) = [item for item in drawn.lines if isinstance(item, Solid)]
    assert head.corners[0] == pytest.approx((c * 10.0 - s * 5.0, s * 10.0 + c * 5.0))
    above, below = drawn.words
    assert above.turn == below.turn == 0.0
    assert above.box().low > below.box().high
    elbow_x = c * 25.0 - s * 20.0
    side = math.copysign(1.0, elbow_x - head.corners[0][0])
    assert all(side * (x - elbow_x) > -1e-9 for text in drawn.words for x in (text.box().left, text.box().right))


def test_a_fin_too_wide_for_its_figures_still_takes_one_page() -> None:
    part = Fin.build(**{**FINS["demo"], "root_chord": "165 mm", "tip_chord": "80 mm", "sweep_length": "90 mm"})
    (page,) = template_sheets(part.outline(), label=TemplateLabel("d", "p"), paper=A4, marks=part.marks())
    assert all(page.window.holds(item.box()) for item in page.art)
    assert any(isinstance(mark, Dimension) for mark in part.marks())
    assert Box(*part.outline().box()).right == 170.0
