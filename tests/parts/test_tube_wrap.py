"""Marking wraps against closed forms, a cylinder rolled up in space, and another reader's measure of the printed page.

Sources: elementary geometry (circumference, neutral layer, isometry of a cylinder); frames of the rocket: stations run
aft along +x, roll 0 is +y, positive clockwise seen from behind; 1 in is 25.4 mm. Overlap 10 to 15 mm, and 0.31 mm of
closing error for 0.1 mm of diameter: common practice.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, box
from shapely.geometry.base import BaseGeometry

from ferrule.parts.curve import Arc, Line
from ferrule.parts.errors import PartError
from ferrule.parts.marks import Arrow, CentreMark, Guide, Pen
from ferrule.parts.papers.marked_tube import PAPER, Band, Hole, MarkedTube, Root, Slot, once_round
from ferrule.parts.papers.pattern import Pattern, long
from ferrule.parts.papers.tube_wrap import (
    LONGEST,
    OVERLAP,
    SCALE,
    Stretch,
    stretches,
    tube_wrap,
    tube_wraps,
)
from ferrule.parts.shape import moved, rolled
from ferrule.parts.sheets.block import TemplateLabel
from ferrule.parts.sheets.paper import A4, PAPERS, Paper
from ferrule.parts.sheets.pattern import pattern_sheets
from ferrule.parts.writers.pdf import write_pdf

MM = 25.4 / 72.0
"""One point [mm]."""

CAP_HEIGHT = 0.73 * 9.0 * MM
"""Height of capitals of the smallest type [mm]."""


def rolls(count: int) -> tuple[float, ...]:
    """Fins evenly spaced with the rail line, roll 0, mid-way between two."""
    return tuple(math.tau * (index + 0.5) / count for index in range(count))


def tube(diameter: float = 68.4, count: int = 4, tab: float = 90.0, **changes: object) -> MarkedTube:
    """An invented booster tube of 620 mm with its fins, rings, buttons and vent."""
    first = 505.0 - max(tab - 90.0, 0.0)
    fields: dict[str, object] = {
        "fins": rolls(count),
        "slots": tuple(Slot(roll, first, first + tab + 1.0, 4.5) for roll in rolls(count)),
        "bands": (
            Band("fin ring", first - 6.0, first),
            Band("fin ring", first + tab + 1.0, first + tab + 7.0),
            Band("forward ring", 330.0, 336.0),
            Band("CP", 250.0, 250.0),
        ),
        "holes": (Hole("rail button", 0.0, 333.0, 4.5), Hole("vent", 0.0, 95.0, 4.0)),
    }
    return MarkedTube("booster tube", diameter, 620.0, **{**fields, **changes})  # type: ignore[arg-type]


TUBES = {
    "4 fins on 68.4 mm": tube(),
    "3 fins on 54 mm": tube(54.0, 3),
    "6 fins on 102 mm": tube(102.0, 6, 110.0),
    "8 fins on 29 mm": tube(29.0, 8, 40.0),
    "no fins": tube(fins=(), slots=()),
    "fins without tabs": tube(slots=(), roots=tuple(Root(roll, 480.0, 600.0) for roll in rolls(4))),
    "marks at both ends": tube(holes=(Hole("vent", 1.0, 5.0, 4.0),), bands=(Band("aft ring", 614.0, 620.0),)),
}
every_tube = pytest.mark.parametrize("name", TUBES)


def upright(pattern: Pattern, pen: Pen) -> set[float]:
    """Where lines along the tube lie, from the first line [mm]."""
    found = set()
    for mark in pattern.marks:
        if isinstance(mark, Guide) and mark.pen == pen:
            for piece in mark.pieces:
                if isinstance(piece, Line) and piece.start[0] == piece.end[0] and piece.length() > 4.5:
                    found.add(round(piece.start[0], 9))
    return found


def boxes(pattern: Pattern) -> list[tuple[float, float, float, float]]:
    """The slots cut out of a paper: left, low, right, high [mm]."""
    found = []
    for hole in pattern.outline.holes:
        points = np.array([edge.piece.start for edge in hole])
        found.append((*points.min(axis=0).tolist(), *points.max(axis=0).tolist()))
    return found


def with_slots(one: MarkedTube) -> tuple[Pattern, Stretch]:
    """The paper that holds the slots of a tube."""
    (found,) = [pair for pair in zip(tube_wraps(one), stretches(one), strict=True) if pair[0].outline.holes]
    return found


# Once round


def test_once_round_is_the_circumference_of_the_middle_of_the_paper() -> None:
    assert once_round(68.4, 0.1) == pytest.approx(math.tau * (68.4 / 2.0 + 0.1 / 2.0), rel=1e-12)
    assert once_round(68.4, 0.0) == pytest.approx(math.pi * 68.4, rel=1e-12)
    assert PAPER == 0.1
    # 0.1 mm error in diameter moves the closing line by 0.31 mm (common practice).
    assert once_round(68.5) - once_round(68.4) == pytest.approx(0.31, abs=0.005)


def test_the_paper_runs_on_beyond_the_butt_line() -> None:
    assert 10.0 <= OVERLAP <= 15.0
    for pattern in tube_wraps(tube()):
        left, low, right, _ = pattern.outline.box()
        assert (left, low) == (0.0, 0.0)
        assert right == pytest.approx(math.pi * 68.5 + OVERLAP, rel=1e-12)
        assert round(math.pi * 68.5, 9) in upright(pattern, Pen.REFERENCE), "the butt line is a line of its own"
        assert any("the lines meet here" in label.words for label in pattern.fixed)


# Lines along the tube


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 7, 8, 12])
def test_fin_lines_are_one_nth_of_the_round_apart_and_the_rail_line_is_mid_way(count: int) -> None:
    one = MarkedTube("t", 102.0, 150.0, rolls(count), holes=(Hole("vent", 0.0, 80.0, 4.0),))
    fins = sorted(one.across(roll) for roll in one.fins)
    step = one.round / count
    assert np.diff(fins) == pytest.approx(step, abs=1e-9)
    assert one.round - fins[-1] + fins[0] == pytest.approx(step, abs=1e-9), "also across the butt line"
    rail = one.across(0.0)
    gaps = sorted((rail - fin) % one.round for fin in fins)
    assert gaps[0] == pytest.approx(step / 2.0, abs=1e-9)
    assert one.round - gaps[-1] == pytest.approx(step / 2.0, abs=1e-9)
    (pattern,) = tube_wraps(one)
    assert sorted(upright(pattern, Pen.CENTRE_LINE)) == pytest.approx(sorted([*fins, rail]), abs=1e-8)
    names = {label.words.split(",")[0] for label in pattern.fixed}
    assert {f"fin {number}" for number in range(1, count + 1)} <= names
    assert names & {"rail line", "rail"}


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 7, 8, 12])
def test_the_first_line_lies_on_no_fin_and_no_slot(count: int) -> None:
    one = tube(102.0, count)
    away = [abs((one.seam - roll + math.pi) % math.tau - math.pi) for roll in (*one.fins, 0.0)]
    assert min(away) * 51.0 > 8.0
    for left, _, right, _ in boxes(with_slots(one)[0]):
        assert 5.0 < left < right < one.round - 5.0


def test_quarter_lines_are_a_quarter_of_the_round_apart() -> None:
    (pattern,) = tube_wraps(MarkedTube("t", 68.4, 150.0, rolls(3), holes=(Hole("vent", 0.0, 80.0, 4.0),)))
    named = {label.words: label for label in pattern.fixed}
    once = once_round(68.4)
    ticks = upright(pattern, Pen.REFERENCE)
    # The first line is at roll 120, so that a quarter, roll 270, lies 150 degrees on; roll 180 is fin 2.
    assert "90°" in named
    assert any(x == pytest.approx(once * 150.0 / 360.0, abs=1e-8) for x in ticks)
    assert any(x == pytest.approx(once * 330.0 / 360.0, abs=1e-8) for x in ticks)


# Rolled up


def on_tube(one: MarkedTube, stretch: Stretch, x: float, y: float) -> np.ndarray:
    """A point of the paper rolled round the tube with its middle in (x aft, roll 0 at +y, clockwise from behind)."""
    roll, radius = one.seam + math.tau * x / one.round, one.round / math.tau
    return np.array([stretch.last - y, radius * math.cos(roll), -radius * math.sin(roll)])


@every_tube
def test_rolled_up_lengths_and_angles_stay_and_the_print_is_outside(name: str) -> None:
    one = TUBES[name]
    for stretch in stretches(one):
        for x in (1.0, 0.4 * one.round, 0.8 * one.round):
            h = 1e-5
            across = (on_tube(one, stretch, x + h, 20.0) - on_tube(one, stretch, x - h, 20.0)) / (2.0 * h)
            forward = (on_tube(one, stretch, x, 20.0 + h) - on_tube(one, stretch, x, 20.0 - h)) / (2.0 * h)
            assert [across @ across, forward @ forward, across @ forward] == pytest.approx([1.0, 1.0, 0.0], abs=1e-6)
            outwards = np.array([0.0, *on_tube(one, stretch, x, 20.0)[1:]])
            assert np.cross(across, forward) @ outwards > 0.0, "seen from outside with the forward end up"
            assert forward[0] < 0.0, "forward is towards the nose"
        butt = on_tube(one, stretch, one.round, 20.0)
        assert butt == pytest.approx(on_tube(one, stretch, 0.0, 20.0), abs=1e-9)


@every_tube
def test_rolled_up_each_mark_lies_where_the_rocket_has_it(name: str) -> None:
    """Against the motion that the rest of the project turns fins by."""
    one = TUBES[name]
    seen = 0
    for pattern, stretch in zip(tube_wraps(one), stretches(one), strict=True):
        radius = one.round / math.tau
        wanted = {
            tuple(np.round(rolled(roll).after(moved(station, radius)).apply(np.zeros((1, 3)))[0], 6) + 0.0)
            for roll, station in (
                *((hole.roll, hole.station) for hole in one.holes),
                *((slot.roll, (slot.first + slot.last) / 2.0) for slot in one.slots),
            )
        }
        middles = [mark.centre for mark in pattern.marks if isinstance(mark, CentreMark)]
        middles += [((left + right) / 2.0, (low + high) / 2.0) for left, low, right, high in boxes(pattern)]
        for x, y in middles:
            assert tuple(np.round(on_tube(one, stretch, x, y), 6) + 0.0) in wanted
        seen += len(middles)
    assert seen == len(one.holes) + len(one.slots)


def test_roll_grows_to_the_right() -> None:
    one = tube()
    fins = [one.across(roll) - one.across(0.0) for roll in one.fins[:2]]
    assert fins == pytest.approx([one.round / 8.0, 3.0 * one.round / 8.0], abs=1e-9)


# Along the tube


@every_tube
def test_slots_have_their_size_and_stations(name: str) -> None:
    one = TUBES[name]
    if not one.slots:
        assert not any(pattern.outline.holes for pattern in tube_wraps(one))
        return
    pattern, stretch = with_slots(one)
    found = sorted(boxes(pattern))
    assert len(found) == len(one.slots)
    for left, low, right, high in found:
        assert right - left == pytest.approx(one.slots[0].width, abs=1e-9)
        assert stretch.last - low == pytest.approx(one.slots[0].last, abs=1e-9)
        assert stretch.last - high == pytest.approx(one.slots[0].first, abs=1e-9)


def level(pattern: Pattern) -> set[float]:
    """Heights of lines all round over the aft edge [mm]."""
    lines = [
        mark.pieces[0]
        for mark in pattern.marks
        if isinstance(mark, Guide) and len(mark.pieces) == 1 and isinstance(mark.pieces[0], Line)
    ]
    return {round(line.start[1], 6) for line in lines if line.start[1] == line.end[1] and line.length() > 9.0}


@every_tube
def test_ring_faces_and_balance_lines_lie_at_their_stations(name: str) -> None:
    one, found = TUBES[name], set[float]()
    for pattern, stretch in zip(tube_wraps(one), stretches(one), strict=True):
        found |= {round(stretch.last - y, 6) for y in level(pattern)}
    assert found >= {round(x, 6) for band in one.bands for x in (band.first, band.last)}


def test_stations_are_told_from_the_end_that_the_paper_is_nearer_to() -> None:
    """620 mm long: a ring 330 to 336 mm from forward is 284 to 290 mm from aft; a slot 505 to 596 is 24 to 115."""
    words = [label.words for pattern in tube_wraps(tube()) for label in pattern.fixed]
    assert any(text.startswith("24.0 to 115.0") and "aft" in text for text in words)
    assert any(text.startswith("vent Ø4.0: 95.0") and "forward end" in text for text in words)
    assert any(text.startswith("forward ring: 330.0 to 336.0") and "fwd" in text for text in words)
    assert "slot 4.5 x 91.0 mm" in words
    # On one paper over all of it each from its own nearer end.
    (whole,) = tube_wraps(tube(), whole=True)
    said = [label.words for label in whole.fixed]
    assert any(text.startswith("forward ring: 284.0 to 290.0") and "aft" in text for text in said)
    assert any(text.startswith("vent Ø4.0: 95.0") for text in said)


def test_a_hole_is_a_circle_of_its_diameter_with_a_cross() -> None:
    arcs = [
        piece
        for pattern in tube_wraps(tube())
        for mark in pattern.marks
        if isinstance(mark, Guide)
        for piece in mark.pieces
        if isinstance(piece, Arc)
    ]
    for radius in (2.0, 2.25):
        mine = [arc for arc in arcs if arc.radius == radius]
        assert sum(arc.length() for arc in mine) == pytest.approx(math.tau * radius, rel=1e-9)


# Papers


@every_tube
def test_every_mark_lies_whole_on_one_paper_in_reach_of_a_sheet(name: str) -> None:
    one = TUBES[name]
    papers = stretches(one)
    spans = [(part.first, part.last) for part in (*one.slots, *one.bands)]
    spans += [(hole.station, hole.station) for hole in one.holes]
    spans += [(end, end) for root in one.roots for end in (root.first, root.last)]
    for first, last in spans:
        assert any(paper.first < first and last < paper.last - SCALE for paper in papers)
    assert all(paper.height <= LONGEST for paper in papers)
    assert [paper.first for paper in papers] == sorted(paper.first for paper in papers)


def test_a_paper_says_where_it_goes() -> None:
    """Flush with an end that is near; beyond it, by a line, where marks are too close; else by its forward edge."""
    papers = dict(zip(stretches(tube()), tube_wraps(tube()), strict=True))
    (aft,) = [stretch for stretch in papers if stretch.last == 620.0]
    assert any("aft edge flush with the tube's aft end" in label.words for label in papers[aft].fixed)
    for stretch, pattern in papers.items():
        if stretch.first > 0.0 and stretch.last < 620.0:
            end, away = ("forward", stretch.first)
            if stretch.first + stretch.last > 620.0:
                end, away = "aft", 620.0 - stretch.first
            words = f"forward edge of paper at {away:.1f} mm from the tube's {end} end"
            assert any(words == label.words for label in pattern.fixed)
            assert words in pattern.notes[0]
    ends = tube_wraps(TUBES["marks at both ends"])
    assert any(label.words == "tube's forward end" for label in ends[0].fixed)
    assert any(label.words == "tube's aft end" for label in ends[-1].fixed)
    assert stretches(TUBES["marks at both ends"])[0].first < 0.0


def test_one_paper_covers_the_whole_tube_where_that_is_wanted() -> None:
    (paper,) = stretches(tube(), whole=True)
    assert (paper.first, paper.last) == (0.0, 620.0)
    (pattern,) = tube_wraps(tube(), whole=True)
    assert pattern.word == "wrap"
    assert len(boxes(pattern)) == 4
    assert {round(620.0 - y, 6) for y in level(pattern)} == {330.0, 336.0, 250.0, 499.0, 505.0, 596.0, 602.0}


def test_a_long_tube_with_nothing_on_it_has_no_paper_unless_it_is_asked_for() -> None:
    bare = MarkedTube("payload tube", 68.4, 280.0)
    assert tube_wraps(bare) == ()
    (pattern,) = tube_wraps(bare, whole=True)
    assert pattern.outline.box()[3] == pytest.approx(280.0)


@given(
    st.floats(20.0, 160.0),
    st.integers(1, 8),
    st.lists(st.floats(0.0, 900.0), min_size=1, max_size=9),
    st.booleans(),
)
@settings(max_examples=25)
def test_any_marks_are_all_drawn(diameter: float, count: int, places: list[float], whole: bool) -> None:
    bands = tuple(Band(f"ring {index}", at, min(at + 6.0, 900.0)) for index, at in enumerate(places))
    holes = tuple(Hole("vent", index * 0.7, at, 2.0) for index, at in enumerate(places))
    one = MarkedTube("any", diameter, 900.0, rolls(count), bands=bands, holes=holes)
    papers = list(zip(tube_wraps(one, whole), stretches(one, whole), strict=True))
    drawn = {round(s.last - m.centre[1], 6) for p, s in papers for m in p.marks if isinstance(m, CentreMark)}
    assert drawn == {round(at, 6) for at in places}
    for pattern, stretch in papers:
        assert whole or stretch.height <= LONGEST
        assert pattern.outline.box()[3] == pytest.approx(stretch.height)


# Divided anew


def test_divided_anew_all_lines_move_in_proportion_and_slots_keep_their_width() -> None:
    one, other = tube(), tube(strip=217.4)
    assert other.round == 217.4
    share = 217.4 / once_round(68.4)
    (first, stretch), (second, _) = with_slots(one), with_slots(other)
    assert stretch == with_slots(other)[1]
    old, new = sorted(upright(first, Pen.CENTRE_LINE)), sorted(upright(second, Pen.CENTRE_LINE))
    assert new == pytest.approx([share * x for x in old], abs=1e-6)
    assert second.outline.box()[2] == pytest.approx(217.4 + OVERLAP)
    for (a, _, b, _), (c, _, d, _) in zip(sorted(boxes(first)), sorted(boxes(second)), strict=True):
        assert d - c == pytest.approx(b - a, abs=1e-9)
        assert (c + d) / 2.0 == pytest.approx(share * (a + b) / 2.0, abs=1e-6)
    assert any("217.4 mm" in note and "same printer, paper and settings" in note for note in second.notes)


def test_the_scale_counts_from_the_first_line_to_beyond_the_butt_line() -> None:
    pattern, _ = with_slots(tube())
    short = {
        round(mark.pieces[0].start[0], 6)
        for mark in pattern.marks
        if isinstance(mark, Guide) and isinstance(mark.pieces[0], Line) and mark.pieces[0].start[1] == 0.0
    }
    once = math.pi * 68.5
    assert set(range(0, 225, 5)) <= short
    assert set(range(math.ceil(once - 10.0), math.floor(once + 10.0))) <= short, "each mm where it is read"
    numbers = {label.words: label.position for label in pattern.fixed if label.words.isdigit()}
    assert set(numbers) == {str(x) for x in range(10, 228, 10)}
    for words, (x, y) in numbers.items():
        assert x == float(words)
        assert 0.0 < y < SCALE


# Legible


def words_of(pattern: Pattern) -> Iterator[tuple[str, BaseGeometry]]:
    for label in pattern.fixed:
        half, tall = long(label.words) / 2.0, CAP_HEIGHT / 2.0
        wide, high = (tall, half) if label.turn else (half, tall)
        x, y = label.position
        yield label.words, box(x - wide, y - high, x + wide, y + high)


@every_tube
@pytest.mark.parametrize("whole", [False, True])
def test_words_lie_on_the_paper_clear_of_each_other_and_of_all_lines(name: str, whole: bool) -> None:
    for pattern in tube_wraps(TUBES[name], whole):
        left, low, right, high = pattern.outline.box()
        words = list(words_of(pattern))
        lines = [
            LineString([piece.start, piece.end])
            for mark in pattern.marks
            if isinstance(mark, Guide)
            for piece in mark.pieces
            if isinstance(piece, Line)
        ]
        lines += [LineString([(a, b), (a, d), (c, d), (c, b), (a, b)]) for a, b, c, d in boxes(pattern)]
        for index, (said, place) in enumerate(words):
            assert box(left, low, right, high).buffer(0.2).contains(place), said
            assert all(not place.intersects(other) for _, other in words[index + 1 :]), said
            assert all(not place.intersects(line) for line in lines), said
        assert not any("want of room" in note for note in pattern.notes)


@every_tube
def test_every_paper_says_what_it_is(name: str) -> None:
    one = TUBES[name]
    for pattern in tube_wraps(one):
        said = " ".join(label.words for label in pattern.fixed)
        for words in ("booster tube: wrap", f"D {one.diameter:.1f} mm", "paper 0.10 mm", "once round"):
            assert words in said
        (arrow,) = [mark for mark in pattern.marks if isinstance(mark, Arrow)]
        assert arrow.end[1] > arrow.start[1], "the forward end is up"
        assert arrow.words == "forward" or one.diameter < 30.0
        assert ("step round by one fin" in said) == (len(one.fins) > 1)
    inches = f"{math.pi * 68.5 / 25.4:.4f}"
    assert inches == "8.4724"
    # 8.4724 in is 8 30/64, written 8 15/32.
    assert any("215.2 mm (8 15/32 in)" in label.words for label in tube_wraps(tube())[0].fixed)


# Printed


def written(folder: Path, one: MarkedTube, paper: Paper) -> tuple[Path, Pattern, tuple[float, float]]:
    pattern, _ = with_slots(one)
    label = TemplateLabel("Sample", pattern.word, notes=pattern.notes, stock=pattern.stock)
    sheets = pattern_sheets(pattern.outline, label=label, paper=paper, marks=pattern.marks, fixed=pattern.fixed)
    write_pdf(folder / "wrap.pdf", sheets, "wrap")
    return folder / "wrap.pdf", pattern, sheets[0].art_shift


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_the_printed_page_has_true_sizes(tmp_path: Path, paper: Paper) -> None:
    """A wrap that fits on one sheet, by pdfplumber: outline, slots and fin lines, within 0.01 mm."""
    one = tube(29.0, 3, 60.0)
    path, pattern, shift = written(tmp_path, one, paper)
    with pdfplumber.open(path) as document:
        (page,) = document.pages
        cut = [item for item in page.rects if abs(item["linewidth"] * MM - 0.7) < 1e-3]
        sizes = sorted(((item["x1"] - item["x0"]) * MM, (item["bottom"] - item["top"]) * MM) for item in cut)
        lines = {round(line["x0"] * MM - paper.corner[0] - shift[0], 2) for line in page.lines if level_x(line)}
        letters = page.chars
    assert sizes == [
        *(pytest.approx((4.5, 61.0), abs=0.01) for _ in range(3)),
        pytest.approx((math.pi * 29.1 + OVERLAP, pattern.outline.box()[3]), abs=0.01),
    ]
    for x in (*(one.across(roll) for roll in one.fins), one.across(0.0), one.round):
        assert any(abs(x - found) < 0.011 for found in lines), x
    assert min(letter["size"] for letter in letters if letter["matrix"][1] == 0.0) >= 9.0 - 1e-6


def level_x(line: dict[str, float]) -> bool:
    return abs(line["x1"] - line["x0"]) < 1e-6


def test_a_strip_too_long_for_a_sheet_goes_on_two_with_whole_slots(tmp_path: Path) -> None:
    path, _, _ = written(tmp_path, tube(), A4)
    with pdfplumber.open(path) as document:
        assert len(document.pages) == 2
        said = [page.extract_text() for page in document.pages]
    assert all("Measure both bars" in text for text in said)


def test_slots_that_run_into_each_other_are_drawn_and_not_cut_out_twice() -> None:
    """Two sets of fins at the same rolls, one slot running into the other."""
    one = tube()
    more = tuple(Slot(slot.roll, 500.0, 520.0, 3.5) for slot in one.slots)
    both = tube(slots=(*one.slots, *more))
    pattern, stretch = with_slots(both)
    assert len(boxes(pattern)) == 4
    drawn = [mark for mark in pattern.marks if isinstance(mark, Guide) and len(mark.pieces) == 4]
    assert len(drawn) == 4
    for mark in drawn:
        across, along = zip(*(piece.start for piece in mark.pieces), strict=True)
        sizes = {round(max(ends) - min(ends), 6) for ends in (across, along)}
        assert sizes in ({3.5, 20.0}, {4.5, 91.0})
        assert stretch.last - max(along) in (500.0, 505.0)


# What cannot be


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"strip": 190.0}, "strip: 190 mm is not within 5 % of 215.2 mm"),
        ({"strip": math.nan}, "strip: nan mm is not within 5 %"),
        ({"thickness": 1.5}, "thickness: 1.5 mm of the paper of a wrap must be from 0 to 1 mm"),
        ({"thickness": -0.1}, "thickness: -0.1 mm"),
        ({"bands": (Band("ring", 618.0, 624.0),)}, "a mark from 618 to 624 mm lies beyond the tube of 620 mm"),
        ({"holes": (Hole("vent", 0.0, -1.0, 4.0),)}, "a mark from -1 to -1 mm lies beyond the tube"),
    ],
)
def test_what_cannot_be_is_refused_with_its_value(changes: dict[str, object], message: str) -> None:
    with pytest.raises(PartError) as caught:
        tube(**changes)
    assert message in str(caught.value)


def test_sizes_of_the_tube_are_held_to_their_range() -> None:
    for diameter, length, message in ((0.0, 100.0, "diameter: 0 mm"), (54.0, 6000.0, "length: 6000 mm")):
        with pytest.raises(PartError, match=message):
            MarkedTube("t", diameter, length)


def test_slots_all_round_leave_no_place_for_the_first_line() -> None:
    full = tube(29.0, 24, slots=tuple(Slot(roll, 500.0, 560.0, 3.6) for roll in (0.0, *rolls(24))))
    with pytest.raises(PartError, match="no place for the wrap's first line"):
        tube_wrap(full, stretches(full)[0])


# Canted fins


@pytest.mark.parametrize("cant", [2.0, -2.0, 5.0])
def test_rolled_up_a_canted_slot_runs_along_its_fin(cant: float) -> None:
    """The ends of its middle line against the plane of the fin: through the radius at roll r, turned by the cant."""
    c, radius, half = math.radians(cant), once_round(68.4) / math.tau, 45.5
    lean = 2.0 * math.asin(half * math.sin(c) / radius)
    reach = half * math.cos(c)
    slots = tuple(Slot(roll, 550.0 - reach, 550.0 + reach, 4.5, lean) for roll in rolls(4))
    one = tube(slots=slots)
    pattern, stretch = with_slots(one)
    assert len(pattern.outline.holes) == 4
    for hole in pattern.outline.holes:
        (a, b, e, f) = (np.array(edge.piece.start) for edge in hole)
        sides = sorted([float(np.hypot(*(b - a))), float(np.hypot(*(e - b)))])
        long_way = math.hypot(2.0 * reach, radius * lean)
        assert sides == pytest.approx([4.5, long_way], rel=1e-9), "a rectangle of the slot's size, turned"
        assert abs(float((b - a) @ (e - b))) < 1e-9
        ends = sorted(((p + q) / 2.0 for p, q in ((a, b), (b, e), (e, f), (f, a))), key=lambda point: point[1])
        for (x, y), way in ((ends[0], -1.0), (ends[-1], 1.0)):
            place = on_tube(one, stretch, float(x), float(y))
            roll = min(rolls(4), key=lambda one: abs(math.remainder(math.atan2(-place[2], place[1]) - one, math.tau)))
            onwards = np.array([0.0, -math.sin(roll), -math.cos(roll)])
            along = np.array([550.0 - place[0], 0.0, 0.0])[0]
            # Forward of the middle by as much as it is towards greater roll over the tangent of the cant.
            assert place @ onwards == pytest.approx(along * math.tan(c), abs=1e-9)
            assert along == pytest.approx(way * reach, abs=1e-9)
    words = [label.words for label in pattern.fixed]
    size = f"{2.0 * reach:.2f}".rstrip("0")
    assert f"slot 4.5 x {size} mm, leans {abs(radius * lean):.2f} mm" in words


def test_both_ends_of_a_canted_root_are_marked_where_they_are() -> None:
    lean = math.radians(4.0)
    one = tube(slots=(), roots=tuple(Root(roll, 480.0, 600.0, lean) for roll in rolls(4)))
    ticks = {
        (
            round((mark.pieces[0].start[0] + mark.pieces[0].end[0]) / 2.0, 6),
            round(stretch.last - mark.pieces[0].start[1], 6),
        )
        for pattern, stretch in zip(tube_wraps(one), stretches(one), strict=True)
        for mark in pattern.marks
        if isinstance(mark, Guide)
        and isinstance(mark.pieces[0], Line)
        and mark.pieces[0].length() == pytest.approx(8.0)
    }
    step = one.round * lean / math.tau / 2.0
    slanting = [
        (stretch.last - y0, x0, stretch.last - y1, x1)
        for pattern, stretch in zip(tube_wraps(one), stretches(one), strict=True)
        for mark in pattern.marks
        if isinstance(mark, Guide) and isinstance(mark.pieces[0], Line)
        for ((x0, y0), (x1, y1)) in [(mark.pieces[0].start, mark.pieces[0].end)]
        if x0 != x1 and y0 != y1
    ]
    assert len(slanting) >= 4
    for at, x, further, other in slanting:
        roll = min(rolls(4), key=lambda one_roll: abs(one.across(one_roll) - x))
        assert x == pytest.approx(one.across(roll) + step * (1.0 - (at - 480.0) / 60.0), abs=1e-9)
        assert other == pytest.approx(one.across(roll) + step * (1.0 - (further - 480.0) / 60.0), abs=1e-9)
    for roll in rolls(4):
        assert (round(one.across(roll) + step, 6), 480.0) in ticks
        assert (round(one.across(roll) - step, 6), 600.0) in ticks


def test_the_first_line_keeps_off_a_leaning_slot() -> None:
    """Twelve straight slots leave a place for it between two of them; where they lean over that place none is left."""
    straight = tuple(Slot(roll, 500.0, 600.0, 4.5) for roll in rolls(12))
    assert tube(68.4, 12, slots=straight).seam
    leaning = tuple(Slot(roll, 500.0, 600.0, 4.5, 0.4) for roll in rolls(12))
    with pytest.raises(PartError, match="leave no place for the wrap's first line"):
        assert tube(68.4, 12, slots=leaning).seam
