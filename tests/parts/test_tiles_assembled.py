"""Tiles as somebody at a bench puts them together: each written page moved until its crosses lie on its neighbour's.

Nothing but what is printed is used: pdfplumber reads the words, the crosses, the border of the window and the cut line.
Sources: sizes of a rectangle, a circle and a strip once round a cylinder, pi (D + t), from first principles.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printed_pages import Floats, cut_loops, loops, segments
from shapely.affinity import translate
from shapely.geometry import LineString, MultiLineString, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union
from template_samples import fin

from ferrule.parts.curve import Line
from ferrule.parts.kinds.fin import Fin
from ferrule.parts.marks import CentreMark, Guide, Mark, Pen
from ferrule.parts.papers.marked_tube import Hole, MarkedTube, Slot
from ferrule.parts.papers.pattern import Pattern
from ferrule.parts.papers.tube_wrap import OVERLAP, tube_wraps
from ferrule.parts.shape import Outline, circle, hole, polygon
from ferrule.parts.sheets.block import TemplateLabel
from ferrule.parts.sheets.paper import A3, A4, Paper, Printed, corrected, lying
from ferrule.parts.sheets.pattern import pattern_sheets
from ferrule.parts.sheets.sheet import CutLine, Sheet, Text
from ferrule.parts.sheets.template import template_sheets
from ferrule.parts.writers.pdf import write_pdf

NEAR = 0.05
"""How near the assembled outline is to the true one [mm]."""

FRAME, BAR, REFERENCE = 0.13, 0.25, 0.18
"""Widths of the window's border, of the crosses, and of lines that are marked [mm], as ISO 128-2 has them."""


@dataclass(frozen=True)
class SeenPage:
    """What is seen on one page [mm] from its lower left corner."""

    name: str
    rings: Floats
    seen: MultiLineString
    marked: Floats


def on_page(page: pdfplumber.page.Page, paper: Paper) -> SeenPage:
    """The page as the printer prints it that it was made for: x and y as long as that makes them."""
    across, up = paper.scale
    printed = 1.0 / np.array([across, up])
    name = "".join(letter["text"] for letter in page.chars if abs(letter["size"] - 28.0 * up) < 0.05)
    assert re.fullmatch("[A-Z][0-9]+", name)
    rings = [path for path in loops(page, BAR, across) if abs(np.ptp(path[:, 0]) / across - 4.0) < 0.01]
    middles = np.array([(path.max(axis=0) + path.min(axis=0)) / 2.0 for path in rings]) * printed
    borders = [path for path in loops(page, FRAME, across) if np.ptp(path[:, 0]) > 100.0 and np.ptp(path[:, 1]) > 60.0]
    # The window is the largest border: the title block is lower.
    border = max(borders, key=lambda path: np.ptp(path[:, 1]))
    window = box(*(border * printed).min(axis=0), *(border * printed).max(axis=0))
    lines = [LineString(np.vstack([loop, loop[:1]]) * printed).intersection(window) for loop in cut_loops(page, across)]
    found = unary_union([line for line in lines if not line.is_empty])
    return SeenPage(name, middles, found, segments(page, REFERENCE, across) * np.tile(printed, 2))


def beside(one: SeenPage, other: SeenPage, below: bool) -> Floats:
    """How far a page is moved so that its crosses lie on those of the one to its left, or above it [mm]."""
    axis = 1 if below else 0
    order = one.rings[:, axis] if below else -one.rings[:, axis]
    first = one.rings[np.argsort(order)[:2]]
    order = -other.rings[:, axis] if below else other.rings[:, axis]
    second = other.rings[np.argsort(order)[:2]]
    moves = first[np.argsort(first[:, 1 - axis])] - second[np.argsort(second[:, 1 - axis])]
    # Two crosses on each page, as far apart on both: then the page is not turned either.
    assert np.hypot(*(moves[1] - moves[0])) < 0.01
    assert np.hypot(*(first[1] - first[0])) > 40.0
    return moves.mean(axis=0)  # type: ignore[no-any-return]


def assembled(sheets: tuple[Sheet, ...]) -> tuple[BaseGeometry, Floats]:
    """The cut line of all pages put together, and the ends of all marked lines [mm], in coordinates of the first."""
    with TemporaryDirectory() as folder:
        write_pdf(Path(folder) / "tiles.pdf", sheets, "tiles")
        with pdfplumber.open(Path(folder) / "tiles.pdf") as document:
            seen = [on_page(page, sheet.paper) for page, sheet in zip(document.pages, sheets, strict=True)]
    pages = {page.name: page for page in seen}
    places = {next(iter(pages)): np.zeros(2)}
    while len(places) < len(pages):
        before = len(places)
        for name, page in pages.items():
            row, column = name[0], int(name[1:])
            for neighbour, below in ((f"{row}{column - 1}", False), (f"{chr(ord(row) - 1)}{column}", True)):
                if neighbour in pages and neighbour in places and name not in places:
                    places[name] = places[neighbour] + beside(pages[neighbour], page, below)
                elif neighbour in pages and name in places and neighbour not in places:
                    places[neighbour] = places[name] - beside(pages[neighbour], page, below)
        assert len(places) > before, "every page lies beside another"
    together = unary_union([translate(page.seen, *places[name]) for name, page in pages.items()])
    marked = np.vstack([page.marked + np.tile(places[name], 2) for name, page in pages.items()])
    return together, marked


def laid(outline: Outline, sheets: tuple[Sheet, ...], found: BaseGeometry) -> MultiLineString:
    """The true outline, turned as it was printed, with the corner of its box on that of the found one."""
    (cut,) = [item for item in sheets[0].art if isinstance(item, CutLine)]
    left, _, right, _ = outline.box()
    turn = 0.0 if abs(cut.box().right - cut.box().left - right + left) < 1e-6 else math.pi / 2.0
    turned = outline.placed(0.0, 0.0, turn)
    x, y, *_ = turned.box()
    moved = turned.placed(found.bounds[0] - x, found.bounds[1] - y)
    return MultiLineString(
        [
            np.vstack(
                [edge.piece.at(np.linspace(0.0, 1.0, 2 if isinstance(edge.piece, Line) else 721)) for edge in loop]
            )
            for loop in moved.loops
        ]
    )


def wrap_160() -> Pattern:
    """The paper of a tube of 160 mm with six slots."""
    rolls = tuple(math.tau * (index + 0.5) / 6.0 for index in range(6))
    slots = tuple(Slot(roll, 80.0, 180.0, 6.5) for roll in rolls)
    (paper,) = tube_wraps(
        MarkedTube("booster tube", 160.0, 200.0, rolls, slots, holes=(Hole("vent", 0.2, 40.0, 5.0),)), True
    )
    return paper


@cache
def tiled(name: str, paper: Paper) -> tuple[Outline, tuple[Sheet, ...]]:
    label = TemplateLabel("Sample (invented)", name)
    if name == "wrap 160":
        pattern = wrap_160()
        return pattern.outline, pattern_sheets(
            pattern.outline, label=label, paper=paper, marks=pattern.marks, fixed=pattern.fixed
        )
    if name == "ring 300":
        ring = Outline(
            circle(150.0), (hole(52.0), *(hole(3.0, (130.0 * c, 130.0 * s)) for c, s in ((1, 0), (0, 1), (-1, 0))))
        )
        return ring, template_sheets(ring, label=label, paper=paper)
    outline, marks = fin(root=400.0, tip=160.0, span=282.0, sweep=200.0, tab=280.0, depth=18.0, tab_at=60.0)
    return outline, template_sheets(outline, label=label, paper=paper, marks=marks)


every_paper = pytest.mark.parametrize("paper", [A4, A3], ids=lambda paper: paper.name)


@pytest.mark.parametrize(
    ("name", "wide", "high"),
    [
        ("fin 400 x 300", 400.0, 300.0),
        ("ring 300", 300.0, 300.0),
        ("wrap 160", math.pi * 160.1 + OVERLAP, 200.0),
    ],
)
@every_paper
def test_pages_put_together_by_their_crosses_are_the_part(name: str, wide: float, high: float, paper: Paper) -> None:
    outline, sheets = tiled(name, paper)
    assert len(sheets) > 1
    found, _ = assembled(sheets)
    left, low, right, upper = found.bounds
    assert sorted((right - left, upper - low)) == pytest.approx(sorted((wide, high)), abs=NEAR)
    true = laid(outline, sheets, found)
    # Nothing that is not the outline, and all of the outline.
    assert found.hausdorff_distance(true) < NEAR
    assert true.difference(found.buffer(NEAR)).length < 1e-6


@every_paper
def test_a_wrap_of_160_mm_closes_when_it_is_put_together(paper: Paper) -> None:
    """First line to butt line, which are on different pages, is the strip once round."""
    _, sheets = tiled("wrap 160", paper)
    found, marked = assembled(sheets)
    left, low, right, _ = found.bounds
    upright = abs(right - left - 200.0) < 1.0
    # Long lines along the tube, by their distance from the first line, which is the edge of the paper.
    along = marked[:, [1, 3]] if upright else marked[:, [0, 2]]
    level = np.abs(along[:, 0] - along[:, 1]) < 1e-3
    away = along[level, 0] - (low if upright else left)
    assert np.abs(away - math.pi * 160.1).min() < 0.1


def test_corrected_tiles_fit_once_that_printer_has_printed_them() -> None:
    outline, sheets = tiled("ring 300", corrected(A4, Printed(99.0, 98.5)))
    x, y = 100.0 / 99.0, 100.0 / 98.5
    assert all(sheet.paper.scale == ((y, x) if sheet.paper.lies else (x, y)) for sheet in sheets)
    found, _ = assembled(sheets)
    assert found.hausdorff_distance(laid(outline, sheets, found)) < NEAR


# Seams


@pytest.mark.parametrize(("count", "paper"), [(3, A4), (5, A4), (8, corrected(A4, Printed(97.0, 97.0)))])
def test_no_seam_runs_through_a_slot_of_a_large_wrap(count: int, paper: Paper) -> None:
    rolls = tuple(math.tau * (index + 0.5) / count for index in range(count))
    tube = MarkedTube("t", 160.0, 140.0, rolls, tuple(Slot(roll, 40.0, 100.0, 6.5) for roll in rolls))
    (pattern,) = tube_wraps(tube, True)
    label = TemplateLabel("Sample", "wrap")
    sheets = pattern_sheets(pattern.outline, label=label, paper=paper, marks=pattern.marks, fixed=pattern.fixed)
    assert len(sheets) > 2
    for one, other in pairwise(sheets):
        (cut,) = [item for item in one.art if isinstance(item, CutLine)]
        strip = _shared(one, other)
        for loop in cut.outline.holes:
            points = np.array([edge.piece.start for edge in loop]) - np.array(one.art_shift)
            assert not box(*points.min(axis=0), *points.max(axis=0)).intersects(strip)


@pytest.mark.parametrize(
    "drilled",
    [
        (CentreMark((130.0, 50.0), 6.0),),
        (Guide(tuple(edge.piece for edge in polygon(((125.0, 30.0), (135.0, 30.0), (135.0, 70.0), (125.0, 70.0))))),),
    ],
    ids=["hole that is marked", "slot that is marked"],
)
def test_no_seam_runs_through_what_is_marked_to_be_cut(drilled: tuple[Mark, ...]) -> None:
    plate = Outline(polygon(((0.0, 0.0), (260.0, 0.0), (260.0, 100.0), (0.0, 100.0))))
    label = TemplateLabel("Sample", "plate")
    first, second = template_sheets(plate, label=label, paper=A4, marks=drilled)
    bare = template_sheets(plate, label=label, paper=A4)
    assert _shared(*bare).intersects(_place(drilled, bare[0])), "it would lie on the seam"
    assert not _shared(first, second).intersects(_place(drilled, first))


def _place(drilled: tuple[Mark, ...], sheet: Sheet) -> BaseGeometry:
    (cut,) = [item for item in sheet.art if isinstance(item, CutLine)]
    turned = cut.box().right - cut.box().left < 210.0
    place = box(125.0, 30.0, 135.0, 70.0) if isinstance(drilled[0], Guide) else box(124.0, 44.0, 136.0, 56.0)
    if not turned:
        return place
    left, low, right, high = place.bounds
    return box(-high, left, -low, right)


def _shared(one: Sheet, other: Sheet) -> BaseGeometry:
    """The strip that two pages share, in the coordinates of the drawing."""
    windows = [translate(box(*sheet.window), -sheet.art_shift[0], -sheet.art_shift[1]) for sheet in (one, other)]
    strip = windows[0].intersection(windows[1])
    left, low, right, high = strip.bounds
    assert min(right - left, high - low) == pytest.approx(10.0)
    return strip


# Closing


@given(st.floats(18.0, 160.0), st.integers(3, 8), st.floats(0.05, 0.3))
@settings(max_examples=40)
def test_a_wrap_of_any_tube_closes(diameter: float, count: int, thickness: float) -> None:
    """Fin lines are one n-th of pi (D + t) apart all round, also across the butt line, within 0.1 mm."""
    rolls = tuple(math.tau * (index + 0.5) / count for index in range(count))
    (pattern,) = tube_wraps(MarkedTube("t", diameter, 120.0, rolls, thickness=thickness), True)
    once = math.pi * (diameter + thickness)
    assert pattern.outline.box()[2] - OVERLAP == pytest.approx(once, abs=0.1)
    lines, along = (
        sorted(
            {
                round(piece.start[0], 6)
                for mark in pattern.marks
                if isinstance(mark, Guide) and mark.pen == pen
                for piece in mark.pieces
                if isinstance(piece, Line) and piece.start[0] == piece.end[0]
            }
        )
        for pen in (Pen.REFERENCE, Pen.CENTRE_LINE)
    )
    assert any(abs(x - once) < 0.1 for x in lines), "the butt line"
    # All but the rail line, which is mid-way between two.
    assert len(along) == count + 1
    fins = [[x for x in along if x != rail] for rail in along]
    gaps = [max(abs(gap - once / count) for gap in (*np.diff(some), once - some[-1] + some[0])) for some in fins]
    assert min(gaps) < 0.1
    rail = along[int(np.argmin(gaps))]
    away = sorted((x - rail) % once for x in along if x != rail)
    assert (away[0], once - away[-1]) == pytest.approx((once / count / 2.0, once / count / 2.0), abs=0.1)


@pytest.mark.parametrize(("diameter", "count"), [(18.0, 3), (54.0, 4), (66.0, 8)])
def test_a_printed_wrap_closes(diameter: float, count: int) -> None:
    """A wrap that goes on one page, as it stands there: butt line, and slots one n-th of the round apart."""
    rolls = tuple(math.tau * (index + 0.5) / count for index in range(count))
    tube = MarkedTube("t", diameter, 60.0, rolls, tuple(Slot(roll, 30.0, 42.0, 2.0) for roll in rolls))
    (pattern,) = tube_wraps(tube, True)
    label = TemplateLabel("Sample", "wrap")
    sheets = pattern_sheets(pattern.outline, label=label, paper=A4, marks=pattern.marks, fixed=pattern.fixed)
    (sheet,) = sheets
    with TemporaryDirectory() as folder:
        write_pdf(Path(folder) / "wrap.pdf", sheets, "wrap")
        with pdfplumber.open(Path(folder) / "wrap.pdf") as document:
            edge, *slots = cut_loops(document.pages[0])
            marked = segments(document.pages[0], REFERENCE)
    wide, tall = (float(np.ptp(edge[:, axis])) for axis in (0, 1))
    axis = 0 if (wide > tall) == (pattern.outline.box()[2] > pattern.outline.box()[3]) else 1
    once, first = math.pi * (diameter + 0.1), edge[:, axis].min()
    assert np.ptp(edge[:, axis]) == pytest.approx(once + OVERLAP, abs=0.01)
    middles = np.sort([(slot[:, axis].max() + slot[:, axis].min()) / 2.0 - first for slot in slots])
    assert len(middles) == count
    gaps = [*np.diff(middles), once - middles[-1] + middles[0]]
    assert gaps == pytest.approx([once / count] * count, abs=0.01)
    across = marked[np.abs(marked[:, axis] - marked[:, axis + 2]) < 1e-3, axis] - first
    assert np.abs(across - once).min() < 0.01
    assert sheet.paper in (A4, lying(A4))


@pytest.mark.parametrize("span", ["30 mm", "62 mm"])
def test_words_along_a_seam_hide_no_cut_line_of_a_long_thin_fin(span: str) -> None:
    part = Fin.build(
        root_chord="330 mm",
        tip_chord="300 mm",
        semi_span=span,
        sweep_length="80 mm",
        thickness="4 mm",
        tab_length="90 mm",
        tab_depth="18 mm",
        tab_position="220 mm",
    )
    label = TemplateLabel("Marram (invented)", "fin", 3)
    sheets = template_sheets(part.outline(), label=label, paper=A4, marks=part.marks())
    assert len(sheets) > 1
    seen = 0
    for sheet in sheets:
        (cut,) = [item for item in sheet.art if isinstance(item, CutLine)]
        lines = [LineString([edge.piece.start, edge.piece.end]) for edge in cut.outline.outer]
        for text in sheet.art:
            if isinstance(text, Text) and ("trim, lay over" in text.words or "lies over" in text.words):
                seen += 1
                frame = Polygon(text.corners())
                assert not any(line.intersects(frame) for line in lines), text.words
    assert seen == 2 * (len(sheets) - 1)
