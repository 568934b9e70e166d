"""Sleeves against closed forms, shapely and another reader's measure of the cut file and the printed page.

Sources: elementary geometry (circumference of the middle of the card, area of a rectangle however it is turned).
Lengths of an overlap that is glued, 4 to 15 mm: common practice.
"""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
import numpy as np
import pdfplumber
import pytest
from shapely.affinity import rotate
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from ferrule.parts.errors import PartError
from ferrule.parts.marks import Arrow, Guide
from ferrule.parts.papers.marked_tube import Band, Hole, MarkedTube, Root, Slot
from ferrule.parts.papers.pattern import Pattern, long
from ferrule.parts.papers.sleeve import CARD, WEB, glued_overlap, tube_sleeves
from ferrule.parts.papers.tube_wrap import OVERLAP, SCALE, Stretch, stretches, tube_wraps
from ferrule.parts.sheets.block import TemplateLabel
from ferrule.parts.sheets.paper import PAPERS
from ferrule.parts.sheets.pattern import pattern_sheets
from ferrule.parts.writers.dxf import write_dxf
from ferrule.parts.writers.pdf import write_pdf

MM = 25.4 / 72.0
"""One point [mm]."""

CAP_HEIGHT = 0.73 * 9.0 * MM
"""Height of capitals of the smallest type [mm]."""


def rolls(count: int) -> tuple[float, ...]:
    """Fins evenly spaced with the rail line, roll 0, mid-way between two."""
    return tuple(math.tau * (index + 0.5) / count for index in range(count))


def tube(
    diameter: float = 68.4, count: int = 4, first: float = 505.0, last: float = 596.0, lean: float = 0.0, **more: object
) -> MarkedTube:
    """An invented booster tube of 620 mm, with slots of 4.5 mm."""
    fields: dict[str, object] = {
        "fins": rolls(count),
        "slots": tuple(Slot(roll, first, last, 4.5, lean) for roll in rolls(count)),
        "bands": (Band("fin ring", first - 6.0, first), Band("CP", 250.0, 250.0)),
        "holes": (Hole("vent", 0.0, 95.0, 4.0), Hole("rail button", 0.0, 560.0, 4.5)),
        "thickness": CARD,
    }
    return MarkedTube("booster tube", diameter, 620.0, **{**fields, **more})  # type: ignore[arg-type]


TUBES = {
    "4 fins on 68.4 mm": tube(),
    "3 fins on 54 mm": tube(54.0, 3),
    "6 fins on 102 mm": tube(102.0, 6, 480.0),
    "4 fins on 29 mm": tube(29.0, 4, 555.0),
    "canted": tube(lean=0.12),
    "canted the other way": tube(54.0, 3, lean=-0.15),
    "slots that run out of the aft end": tube(last=620.0),
    "slots at the forward end": tube(first=0.0, last=60.0, bands=()),
    "fins with and without tabs": tube(roots=tuple(Root(roll + 0.3, 480.0, 600.0) for roll in rolls(4))),
}
every_tube = pytest.mark.parametrize("name", TUBES)


def windows(pattern: Pattern) -> list[Polygon]:
    return [Polygon([edge.piece.start for edge in hole]) for hole in pattern.outline.holes]


def only(one: MarkedTube, whole: bool = False) -> tuple[Pattern, Stretch]:
    """The sleeve of a tube whose slots lie on one stretch, and what it covers."""
    (pattern,) = tube_sleeves(one, whole)
    first, last = one.slots[0].first, one.slots[0].last
    (stretch,) = [part for part in stretches(one, whole) if part.first < first and last < part.last]
    return pattern, stretch


# Windows


@every_tube
@pytest.mark.parametrize("whole", [False, True])
def test_each_slot_is_a_window_of_its_size_in_its_place(name: str, whole: bool) -> None:
    """Turned upright about its middle it is the slot: 4.5 mm wide and as long as from end to end on the card."""
    one = TUBES[name]
    pattern, stretch = only(one, whole)
    found = windows(pattern)
    assert len(found) == len(one.slots)
    once = math.pi * (one.diameter + 0.3)
    for slot in one.slots:
        middle = (((slot.roll - one.seam) / math.tau) % 1.0 * once, stretch.last - (slot.first + slot.last) / 2.0)
        (window,) = [shape for shape in found if np.hypot(*(np.array(shape.centroid.coords[0]) - middle)) < 1e-6]
        aside, along = slot.lean / math.tau * once, slot.last - slot.first
        length = math.hypot(aside, along)
        assert window.area == pytest.approx(4.5 * length, rel=1e-9)
        # The forward end of a slot with a lean lies at the greater roll, to the right.
        upright = rotate(window, math.degrees(math.atan2(aside, along)), origin="centroid")
        wanted = box(middle[0] - 2.25, middle[1] - length / 2.0, middle[0] + 2.25, middle[1] + length / 2.0)
        assert upright.symmetric_difference(wanted).area < 1e-6


@every_tube
@pytest.mark.parametrize("whole", [False, True])
def test_the_windows_are_closed_and_leave_a_web_to_both_edges(name: str, whole: bool) -> None:
    pattern, stretch = only(TUBES[name], whole)
    _, low, _, high = pattern.outline.box()
    sheet = Polygon([edge.piece.start for edge in pattern.outline.outer], [w.exterior.coords for w in windows(pattern)])
    assert sheet.is_valid
    for window in windows(pattern):
        assert window.bounds[1] - low >= WEB
        assert high - window.bounds[3] >= WEB
        assert window.bounds[2] < TUBES[name].round
    beyond = stretch.first < 0.0 or stretch.last > 620.0
    said = any("beyond the tube" in note for note in pattern.notes)
    assert said == any(min(slot.first, 620.0 - slot.last) < WEB for slot in TUBES[name].slots)
    assert beyond or not said


@every_tube
def test_the_overlap_lies_under_no_window(name: str) -> None:
    """Rolled up it lies from 0 to its own width, once round further on."""
    one = TUBES[name]
    pattern, _ = only(one)
    wide = pattern.outline.box()[2] - math.pi * (one.diameter + CARD)
    assert wide == pytest.approx(glued_overlap(one), abs=1e-9)
    assert 4.0 <= wide <= OVERLAP
    assert min(window.bounds[0] for window in windows(pattern)) >= wide + 1.0 - 1e-9


def test_a_window_near_the_first_line_shortens_the_overlap() -> None:
    """Four fins on 24 mm: 19.09 mm from slot to slot at the middle of the card, half of it less 2.25 and 1 mm."""
    one = tube(24.0, 4, 560.0)
    assert glued_overlap(one) == pytest.approx(math.pi * 24.3 / 8.0 - 2.25 - 1.0, abs=1e-7)
    (pattern,) = tube_sleeves(one)
    assert pattern.outline.box()[2] == pytest.approx(math.pi * 24.3 + glued_overlap(one), abs=1e-9)
    assert "glue: under the first line" not in {label.words for label in pattern.fixed}, "no room for it"


# Legible


def words_of(pattern: Pattern) -> list[tuple[str, BaseGeometry]]:
    found = []
    for label in pattern.fixed:
        half, tall = long(label.words) / 2.0, CAP_HEIGHT / 2.0
        wide, high = (tall, half) if label.turn else (half, tall)
        x, y = label.position
        found.append((label.words, box(x - wide, y - high, x + wide, y + high)))
    return found


@every_tube
@pytest.mark.parametrize("whole", [False, True])
def test_no_words_stand_in_a_window_or_off_the_card_and_no_line_crosses_one(name: str, whole: bool) -> None:
    pattern, _ = only(TUBES[name], whole)
    left, low, right, high = pattern.outline.box()
    for words, place in words_of(pattern):
        assert box(left, low, right, high).buffer(0.2).contains(place), words
        assert all(not place.intersects(window) for window in windows(pattern)), words
    (arrow,) = [mark for mark in pattern.marks if isinstance(mark, Arrow)]
    assert not any(LineString([arrow.start, arrow.end]).intersects(window) for window in windows(pattern))
    for mark in pattern.marks:
        for piece in mark.pieces if isinstance(mark, Guide) else ():
            line = LineString(piece.at(np.linspace(0.0, 1.0, 9)))
            assert all(line.intersection(window.buffer(-0.01)).length < 1e-6 for window in windows(pattern))


@every_tube
def test_a_sleeve_says_what_it_is_and_how_it_is_used(name: str) -> None:
    one = TUBES[name]
    pattern, _ = only(one)
    assert (pattern.word, pattern.stock) == ("sleeve", "card, 0.30 mm")
    said = " ".join(words for words, _ in words_of(pattern))
    for words in ("booster tube: sleeve", "card 0.30 mm", "once round"):
        assert words in said
    for words in ("card of 0.30 mm", "glue the overlap", "cut out the windows", "slide it on to the station line"):
        assert words in pattern.notes[0]
    assert "draw round the inside of each window" in pattern.notes[0]
    assert "paper" not in said.replace("forward edge of paper", "")


def test_a_sleeve_shows_the_lines_of_the_wrap_beside_its_windows() -> None:
    """Of the same thickness both have the same marks but for what is said on overlap and heading."""
    one = tube(thickness=0.1)
    (wrap,) = [pattern for pattern in tube_wraps(one) if pattern.outline.holes]
    pattern, _ = only(one)
    assert windows(pattern) == windows(wrap)
    missing = {label.words for label in wrap.fixed} - {label.words for label in pattern.fixed}
    assert all(any(word in text for word in ("wrap", "overlap", "paper")) for text in missing)


def test_divided_anew_by_what_was_read() -> None:
    pattern, _ = only(tube(strip=217.4))
    assert pattern.outline.box()[2] == pytest.approx(217.4 + OVERLAP)
    assert "217.4 mm" in pattern.notes[1]
    assert pattern.stock == "the same card as the strip that was read"


# Which tubes have one, and which cannot


def test_only_what_holds_slots_has_a_sleeve() -> None:
    assert tube_sleeves(tube(slots=())) == ()
    assert len(tube_wraps(tube())) == 3
    assert [pattern.word for pattern in tube_sleeves(tube())] == ["sleeve"]
    apart = tube(slots=(*tube().slots, *(Slot(roll, 150.0, 200.0, 3.0) for roll in rolls(4))))
    found = tube_sleeves(apart)
    assert [pattern.word for pattern in found] == ["sleeve 1 of 2", "sleeve 2 of 2"]
    assert [len(windows(pattern)) for pattern in found] == [4, 4]
    assert all(window.bounds[1] > SCALE for pattern in found for window in windows(pattern))


@pytest.mark.parametrize(
    ("one", "message"),
    [
        (tube(29.0, 8, 560.0), r"booster tube: the slots leave 2\.\d mm for the overlap of a sleeve, .* 4 mm"),
        (
            tube(slots=(*tube().slots, *(Slot(roll, 500.0, 520.0, 3.5) for roll in rolls(4)))),
            r"the slot from 5\d\d to 5\d\d mm runs into another one",
        ),
    ],
)
def test_what_cannot_be_a_sleeve_is_refused_with_its_reason(one: MarkedTube, message: str) -> None:
    with pytest.raises(PartError, match=message):
        tube_sleeves(one)


# Cut and printed


@pytest.mark.parametrize("name", ["4 fins on 68.4 mm", "canted"])
def test_the_cut_file_has_the_rim_and_each_window(tmp_path: Path, name: str) -> None:
    one = TUBES[name]
    pattern, _ = only(one)
    proof = write_dxf(tmp_path / "sleeve.dxf", pattern.outline, title="sleeve", marks=pattern.marks)
    shapes = [item for item in ezdxf.readfile(tmp_path / "sleeve.dxf").modelspace() if item.dxf.layer == "CUT"]
    areas = sorted(Polygon([point[:2] for point in item.get_points()]).area for item in shapes)
    assert len(areas) == proof.contours == 1 + len(one.slots)
    length = math.hypot(91.0, one.slots[0].lean * (one.diameter + CARD) / 2.0)
    assert areas[:-1] == pytest.approx([4.5 * length] * 4, rel=1e-6)
    assert areas[-1] == pytest.approx((one.round + OVERLAP) * pattern.outline.box()[3], rel=1e-6)


def test_the_windows_are_cut_lines_on_the_printed_page(tmp_path: Path) -> None:
    pattern, _ = only(TUBES["4 fins on 29 mm"])
    label = TemplateLabel("Sample", pattern.word, notes=pattern.notes, stock=pattern.stock)
    sheets = pattern_sheets(pattern.outline, label=label, paper=PAPERS[0], marks=pattern.marks, fixed=pattern.fixed)
    write_pdf(tmp_path / "sleeve.pdf", sheets, "sleeve")
    with pdfplumber.open(tmp_path / "sleeve.pdf") as document:
        (page,) = document.pages
        cut = [item for item in page.rects if abs(item["linewidth"] * MM - 0.7) < 1e-3]
        text = " ".join(page.extract_text().split())
    sizes = sorted(((item["x1"] - item["x0"]) * MM, (item["bottom"] - item["top"]) * MM) for item in cut)
    assert sizes[:-1] == [pytest.approx((4.5, 41.0), abs=0.01)] * 4
    assert "cut out the windows" in text
    assert "card, 0.30 mm" in text
