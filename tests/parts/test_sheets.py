"""The layout of the paper templates, as numbers.

Sources: A4 is 210 x 297 mm (ISO 216); US Letter is 8.5 x 11 in (ASME Y14.1, size A); dimension figures read from the
bottom or from the right (ISO 129-1). Type of at least 9 pt, 10 mm margins, 10 mm overlap and two crosses at a seam are
common practice.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import reportlab
from reportlab.pdfbase.ttfonts import TTFont
from shapely.geometry import LineString, Polygon
from template_samples import LABELS, PARTS, fin, large_fin, sheets

from ferrule.parts.curve import Arc, Line
from ferrule.parts.errors import PartError
from ferrule.parts.marks import Arrow, Diameter, Dimension, Guide, Label, Pen
from ferrule.parts.quantity import millimetres
from ferrule.parts.shape import Outline, circle, hole, polygon
from ferrule.parts.sheets.block import TemplateLabel
from ferrule.parts.sheets.drawing import draw, upright
from ferrule.parts.sheets.letters import cut_to_fit, printable, size_to_fit, width, wrap
from ferrule.parts.sheets.paper import A4, AREA_HEIGHT, AREA_WIDTH, PAPERS, US_LETTER, Paper
from ferrule.parts.sheets.sheet import Box, CutLine, Sheet, Solid, Text, Trace
from ferrule.parts.sheets.space import dotted
from ferrule.parts.sheets.template import template_sheets
from ferrule.parts.sheets.tiling import OVERLAP

AREA = Box(0.0, 0.0, AREA_WIDTH, AREA_HEIGHT)
LABEL = TemplateLabel("Demo (invented)", "Part")
FAILED = ("static margin at liftoff", "ring to tab gap")

every_page = pytest.mark.parametrize(
    ("name", "paper", "failed"),
    [(name, paper, failed) for name in PARTS for paper in PAPERS for failed in ((), FAILED)],
    ids=lambda value: getattr(value, "name", "") or (value if isinstance(value, str) else f"{len(value)}-failed"),
)


def rectangle(wide: float, high: float) -> Outline:
    return Outline(polygon(((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))))


def words_of(sheet: Sheet) -> str:
    return " ".join(text.words for text in sheet.texts())


def window_in_art(sheet: Sheet) -> Box:
    """The window in the coordinates that all tiles of a template share."""
    dx, dy = sheet.art_shift
    return Box(sheet.window.left - dx, sheet.window.low - dy, sheet.window.right - dx, sheet.window.high - dy)


def crosses(sheet: Sheet) -> set[tuple[float, float]]:
    """Centres of the registration crosses in the shared coordinates, to a micrometre."""
    dx, dy = sheet.art_shift
    rings = [
        item.pieces[0]
        for item in sheet.art
        if isinstance(item, Trace) and item.pen == Pen.BAR and isinstance(item.pieces[0], Arc)
    ]
    return {(round(ring.centre[0] - dx, 3), round(ring.centre[1] - dy, 3)) for ring in rings if isinstance(ring, Arc)}


def straight(sheet: Sheet, length: float) -> set[tuple[float, float, float, float]]:
    """Dimension lines of a length [mm] by their ends in the shared coordinates, to a micrometre."""
    dx, dy = sheet.art_shift
    return {
        (
            round(piece.start[0] - dx, 3),
            round(piece.start[1] - dy, 3),
            round(piece.end[0] - dx, 3),
            round(piece.end[1] - dy, 3),
        )
        for item in sheet.art
        if isinstance(item, Trace) and item.pen == Pen.DIMENSION
        for piece in item.pieces
        if isinstance(piece, Line) and abs(piece.length() - length) < 1e-9
    }


def shared_strip(one: Box, other: Box) -> Box:
    return Box(
        max(one.left, other.left),
        max(one.low, other.low),
        min(one.right, other.right),
        min(one.high, other.high),
    )


# Paper and type


def test_paper_sizes_are_the_standards() -> None:
    assert (A4.width, A4.height) == (210.0, 297.0)
    assert (US_LETTER.width, US_LETTER.height) == pytest.approx((8.5 * 25.4, 11.0 * 25.4))


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_the_area_keeps_10_mm_margins_on_every_paper(paper: Paper) -> None:
    x, y = paper.corner
    assert x >= 10.0
    assert y >= 10.0
    assert x + AREA_WIDTH == pytest.approx(paper.width - x)
    assert y + AREA_HEIGHT == pytest.approx(paper.height - y)


@pytest.mark.parametrize(("bold", "file"), [(False, "Vera.ttf"), (True, "VeraBd.ttf")])
def test_widths_are_those_of_the_font_file(bold: bool, file: str) -> None:
    face = TTFont(file, str(Path(reportlab.__file__).parent / "fonts" / file)).face
    letters = [chr(code) for code in face.charWidths if code > 0x20]
    known = [letter for letter in letters if _is_printed_as_itself(letter)]
    assert len(known) > 200
    for letter in known:
        assert width(letter, 1000.0, bold) / (25.4 / 72.0) == pytest.approx(face.charWidths[ord(letter)]), letter


def _is_printed_as_itself(letter: str) -> bool:
    try:
        return printable(letter, "letter") == letter
    except PartError:
        return False


def test_rare_accents_are_dropped_and_other_scripts_refused() -> None:
    assert printable("  Łódź \n  ŵ 2 ", "design") == "Łódz w 2"
    with pytest.raises(PartError, match=r"design: .*Ж.*Latin letters"):
        printable("Журавль", "design")


def test_wrapped_lines_fit_and_lose_nothing() -> None:
    words = "Sand all fins as one stack, then bevel; averyveryverylongwordwithoutanyblankinit and more"
    lines = wrap(words, 40.0, 9.0)
    assert len(lines) > 3
    assert all(width(line, 9.0) <= 40.0 for line in lines)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")
    assert wrap("", 40.0, 9.0) == ()


def test_long_words_shrink_to_9_pt_and_are_then_cut_visibly() -> None:
    name = "Centring ring between the motor tube and the airframe, second from the aft end"
    assert size_to_fit("Fin", 100.0, 24.0, 9.0, bold=True) == 24.0
    assert size_to_fit(name, 100.0, 24.0, 9.0, bold=True) == 9.0
    cut = cut_to_fit(name, 100.0, 9.0, bold=True)
    assert cut.endswith("…")
    assert name.startswith(cut[:-1])
    assert width(cut, 9.0, bold=True) <= 100.0


# Every page


@every_page
def test_every_word_is_readable_inside_the_area_and_apart_from_the_others(
    name: str, paper: Paper, failed: tuple[str, ...]
) -> None:
    for sheet in sheets(name, paper, failed):
        texts = sheet.texts()
        assert len(texts) > 20
        boxes = [Polygon(text.corners()) for text in texts]
        for text in texts:
            assert text.size >= 9.0, text
            assert AREA.holds(text.box()), text
        for i, box in enumerate(boxes):
            for j in range(i):
                assert not box.intersects(boxes[j]), (texts[i].words, texts[j].words)


@every_page
def test_no_word_lies_on_the_cut_line(name: str, paper: Paper, failed: tuple[str, ...]) -> None:
    for sheet in sheets(name, paper, failed):
        (cut,) = [item for item in sheet.art if isinstance(item, CutLine)]
        lines = [LineString(dotted(edge.piece for edge in loop)) for loop in cut.outline.loops]
        assert not any(item.box().meets(sheet.window) for item in sheet.furniture if isinstance(item, Text))
        for text in (item for item in sheet.art if isinstance(item, Text)):
            for line in lines:
                assert not line.intersects(Polygon(text.corners())), text.words


@every_page
def test_check_bars_are_true_at_right_angles_and_beside_the_part(
    name: str, paper: Paper, failed: tuple[str, ...]
) -> None:
    for sheet in sheets(name, paper, failed):
        across, up, inch_across, inch_up = sheet.bars
        for bar, length, direction in (
            (across, 100.0, (1.0, 0.0)),
            (up, 100.0, (0.0, 1.0)),
            (inch_across, 101.6, (1.0, 0.0)),
            (inch_up, 101.6, (0.0, 1.0)),
        ):
            assert bar.end[0] - bar.start[0] == pytest.approx(length * direction[0], abs=1e-9)
            assert bar.end[1] - bar.start[1] == pytest.approx(length * direction[1], abs=1e-9)
            ends = Box(*bar.start, *bar.end)
            assert AREA.holds(ends.grown(1.0))
            assert not ends.grown(1.0).meets(sheet.window)
        assert across.start == up.start


@every_page
def test_every_page_says_what_it_is(name: str, paper: Paper, failed: tuple[str, ...]) -> None:
    pages = sheets(name, paper, failed)
    label = LABELS[name]
    for number, sheet in enumerate(pages, 1):
        words = words_of(sheet)
        for what in (
            label.part,
            label.design,
            label.material,
            label.fingerprint,
            f"make {label.quantity}",
            f"{number} of {len(pages)}",
            paper.words,
            "Measure both bars before cutting: 100.0 mm each. If not, print again at 100 % (actual size).",
            "the outer edge of the line is the size",
            "Not a clearance to fly",
            "Eye protection; dust mask for wood dust.",
            "never PVC, vinyl or G-10",
        ):
            assert what is not None
            assert what in words, what
        assert ("(in a hole, its inner edge)" in words) == (name == "ring")
        assert ("CHECK FAILED: static margin at liftoff, ring to tab gap" in words) == bool(failed)
        assert sheet.title.startswith(f"{label.part}, sheet {number} of {len(pages)}")


@pytest.mark.parametrize("name", PARTS)
def test_one_layout_fits_both_papers(name: str) -> None:
    for a4, letter in zip(sheets(name, A4), sheets(name, US_LETTER), strict=True):
        assert a4.art == letter.art
        assert [item for item in a4.furniture if item not in letter.furniture] == [
            text for text in a4.texts() if text.words == A4.words
        ]


def test_the_stamp_stands_clear_of_the_part_however_many_checks_fail() -> None:
    names = tuple(f"an invented check with a long name, number {number}" for number in range(40))
    (sheet,) = template_sheets(fin()[0], label=LABEL, paper=A4, failed_checks=names)
    stamp = [text for text in sheet.furniture if isinstance(text, Text) and text.box().low > sheet.window.high]
    assert stamp[0].words.startswith("CHECK FAILED: an invented check")
    assert stamp[-1].words == "and more: 40 checks failed in all"
    assert all(AREA.holds(text.box()) for text in stamp)


def test_a_part_without_figures_of_its_own_gets_its_width_and_height() -> None:
    words = words_of(template_sheets(rectangle(63.5, 20.05), label=LABEL, paper=A4)[0])
    assert "63.5 mm" in words
    assert "2 1/2 in" in words
    assert "20.05 mm" in words


@pytest.mark.parametrize(
    ("label", "words"),
    [
        (TemplateLabel("d", "p", thickness=4.0, thickness_measured=True), "4.0 mm (5/32 in), measured"),
        (TemplateLabel("d", "p", thickness=6.35), "6.35 mm (1/4 in), nominal"),
        (TemplateLabel("d", "p"), "not stated"),
    ],
)
def test_thickness_says_whether_it_was_measured(label: TemplateLabel, words: str) -> None:
    assert label.thickness_words() == words


def test_the_legend_explains_the_lines_that_are_there_and_no_others() -> None:
    plain = words_of(template_sheets(rectangle(50.0, 50.0), label=LABEL, paper=A4)[0])
    assert "centre line" not in plain
    assert "seam" not in plain
    assert "dimension: mm above, inches below" in plain
    assert "centre line" in words_of(sheets("ring", A4)[0])
    assert "seam: trim the paper here" in words_of(sheets("large fin", A4)[0])


def test_notes_are_printed_and_refused_when_they_crowd_out_the_part() -> None:
    def with_notes(count: int) -> TemplateLabel:
        return TemplateLabel("d", "p", notes=("Sand all fins as one stack so that they are the same.",) * count)

    (sheet,) = template_sheets(rectangle(50.0, 50.0), label=with_notes(3), paper=A4)
    assert words_of(sheet).count("Sand all fins") == 3
    with pytest.raises(PartError, match=r"notes: .* mm; shorten them"):
        template_sheets(rectangle(50.0, 50.0), label=with_notes(40), paper=A4)


def test_a_quantity_of_none_is_refused() -> None:
    with pytest.raises(PartError, match="quantity: 0 must be at least 1"):
        TemplateLabel("d", "p", quantity=0)


# Turning and tiling


def test_a_quarter_turn_is_taken_where_it_saves_pages() -> None:
    (sheet,) = template_sheets(rectangle(170.0, 100.0), label=LABEL, paper=A4)
    (cut,) = [item for item in sheet.art if isinstance(item, CutLine)]
    left, low, right, high = cut.outline.box()
    assert (right - left, high - low) == pytest.approx((100.0, 170.0))
    assert sheet.window.holds(Box(left, low, right, high))


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_a_part_that_fits_gets_one_page_with_all_its_figures(paper: Paper) -> None:
    (sheet,) = sheets("long fin", paper)
    words = words_of(sheet)
    for figure in ("root 165.0 mm", "tip 80.0 mm", "span 75.0 mm", "tab 110.0 mm", "depth 18.4 mm"):
        assert words.count(figure) == 1, figure
    for item in sheet.art:
        assert sheet.window.holds(item.box()), item
    assert len(template_sheets(rectangle(170.0, 187.0), label=LABEL, paper=paper)) == 1


def test_a_part_that_fits_is_not_turned() -> None:
    (sheet,) = template_sheets(rectangle(120.0, 150.0), label=LABEL, paper=A4)
    (cut,) = [item for item in sheet.art if isinstance(item, CutLine)]
    assert cut.box().right - cut.box().left == pytest.approx(120.0)


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_tiles_overlap_by_10_mm_and_cover_the_part(paper: Paper) -> None:
    pages = sheets("large fin", paper)
    assert [page.tile for page in pages] == ["A1", "A2", "A3", "B1", "B2", "B3"]
    windows = {page.tile: window_in_art(page) for page in pages}
    for row in "AB":
        for left, right in (("1", "2"), ("2", "3")):
            assert windows[row + left].right - windows[row + right].left == pytest.approx(OVERLAP)
            assert windows[row + left].low == pytest.approx(windows[row + right].low)
    for column in "123":
        assert windows["B" + column].high - windows["A" + column].low == pytest.approx(OVERLAP)
    left, low, right, high = large_fin()[0].box()
    assert min(w.left for w in windows.values()) < left
    assert max(w.right for w in windows.values()) > right
    assert min(w.low for w in windows.values()) < low
    assert max(w.high for w in windows.values()) > high


@pytest.mark.parametrize(
    ("first", "second"),
    [("A1", "A2"), ("A2", "A3"), ("B1", "B2"), ("B2", "B3"), ("A1", "B1"), ("A2", "B2"), ("A3", "B3")],
)
def test_every_seam_has_two_crosses_at_the_same_places_and_a_check_distance(first: str, second: str) -> None:
    pages = {page.tile: page for page in sheets("large fin", A4)}
    shared = crosses(pages[first]) & crosses(pages[second])
    assert len(shared) == 2
    one, other = shared
    assert math.dist(one, other) > 100.0
    strip = shared_strip(window_in_art(pages[first]), window_in_art(pages[second]))
    for x, y in shared:
        assert strip.holds(Box(x, y, x, y).grown(4.0))
    (check,) = straight(pages[first], 100.0) & straight(pages[second], 100.0)
    middle = ((check[0] + check[2]) / 2.0, (check[1] + check[3]) / 2.0)
    assert strip.holds(Box(*middle, *middle))
    for page in (pages[first], pages[second]):
        assert f"check {first}-{second}" in words_of(page)
    assert f"trim, lay over {second}" in words_of(pages[first])
    assert f"{first} lies over" in words_of(pages[second])


def test_words_of_the_part_stand_on_one_tile_alone() -> None:
    pages = sheets("large fin", A4)
    for words in ("root 420.0 mm", "span 260.0 mm", "LEADING EDGE", "TRAILING EDGE", "TIP", "grain", "forward"):
        assert sum(text.words == words for page in pages for text in page.texts()) == 1, words


def test_pages_with_nothing_on_them_are_left_out() -> None:
    triangle = Outline(polygon(((0.0, 0.0), (450.0, 0.0), (450.0, 450.0))))
    tiles = [page.tile for page in template_sheets(triangle, label=LABEL, paper=A4)]
    assert "A1" not in tiles
    assert "A3" in tiles


def test_a_page_inside_the_part_is_kept() -> None:
    disc = Outline(circle(300.0))
    tiles = {page.tile for page in template_sheets(disc, label=LABEL, paper=A4)}
    assert {"B2", "B3", "C2"} <= tiles


def test_seams_keep_off_holes_where_there_is_play() -> None:
    slotted = Outline(polygon(((0.0, 0.0), (260.0, 0.0), (260.0, 100.0), (0.0, 100.0))), (hole(3.0, (130.0, 50.0)),))
    pages = template_sheets(slotted, label=LABEL, paper=A4)
    assert len(pages) == 2
    first, second = (window_in_art(page) for page in pages)
    (cut,) = [item for item in pages[0].art if isinstance(item, CutLine)]
    (centre,) = {edge.piece.centre for edge in cut.outline.holes[0] if isinstance(edge.piece, Arc)}
    x, y = centre[0] - pages[0].art_shift[0], centre[1] - pages[0].art_shift[1]
    assert not shared_strip(first, second).meets(Box(x, y, x, y).grown(3.0))


def test_an_outline_that_nobody_would_glue_together_is_refused() -> None:
    with pytest.raises(PartError, match=r"template: \d+ x \d+ mm would take \d+ sheets; the most is 60"):
        template_sheets(rectangle(1e6, 1e6), label=LABEL, paper=A4)


# Marks


@pytest.mark.parametrize(
    ("value", "words"), [(120.0, "120.0 mm"), (65.65, "65.65 mm"), (18.4, "18.4 mm"), (7.999, "8.0 mm")]
)
def test_figures_show_the_second_decimal_only_where_it_counts(value: float, words: str) -> None:
    assert millimetres(value) == words


@pytest.mark.parametrize("degrees", range(-360, 361, 15))
def test_no_word_stands_on_its_head(degrees: int) -> None:
    angle = math.degrees(upright(math.radians(degrees)))
    assert -90.0 < angle <= 90.0 + 1e-9
    assert math.remainder(angle - degrees, 180.0) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("turn", [0.0, math.pi / 2.0], ids=["upright", "turned"])
def test_mm_stand_above_the_dimension_line_and_inches_below(turn: float) -> None:
    drawn = draw(Dimension((0.0, 0.0), (100.0, 0.0), away=10.0, words="root"), turn)
    mm_text, inch_text = drawn.words
    assert (mm_text.words, inch_text.words) == ("root 100.0 mm", "3 15/16 in")
    up = (-math.sin(mm_text.turn), math.cos(mm_text.turn))

    def height(text: Text) -> float:
        x = sum(corner[0] for corner in text.corners()) / 4.0
        y = sum(corner[1] for corner in text.corners()) / 4.0
        on_line = (0.0, 10.0) if turn == 0.0 else (-10.0, 0.0)
        return (x - on_line[0]) * up[0] + (y - on_line[1]) * up[1]

    assert height(mm_text) > 1.0
    assert height(inch_text) < -1.0


def test_a_short_dimension_has_its_figures_beside_it_and_its_heads_outside() -> None:
    drawn = draw(Dimension((0.0, 0.0), (0.0, 6.0), away=10.0, words="depth"), 0.0)
    line_box = Box(-10.0, 0.0, -10.0, 6.0)
    for text in drawn.words:
        assert text.box().right < line_box.left
        assert text.turn == pytest.approx(0.0)
    heads = [item for item in drawn.lines if isinstance(item, Solid)]
    assert all(head.box().low > 5.9 or head.box().high < 0.1 for head in heads)


def test_dimensions_measure_across_and_up() -> None:
    ends = ((0.0, 0.0), (30.0, 40.0))
    assert draw(Dimension(*ends), 0.0).words[0].words.strip() == "50.0 mm"
    assert draw(Dimension(*ends, along="across"), 0.0).words[0].words == "30.0 mm"
    assert draw(Dimension(*ends, along="up"), 0.0).words[0].words == "40.0 mm"


def test_a_length_of_nothing_is_not_drawn() -> None:
    for mark in (
        Dimension((5.0, 5.0), (5.0, 5.0)),
        Dimension((0.0, 5.0), (0.0, 9.0), along="across"),
        Arrow("grain", (1.0, 1.0), (1.0, 1.0)),
    ):
        drawn = draw(mark, 0.0)
        assert not drawn.lines
        assert not drawn.words
    marks = (Dimension((5.0, 5.0), (5.0, 5.0)), Label("A", (20.0, 20.0)))
    assert "A" in words_of(template_sheets(rectangle(50.0, 50.0), label=LABEL, paper=A4, marks=marks)[0])


@pytest.mark.parametrize("degrees", [0, 60, 135, 200, 270, 330])
def test_a_diameter_points_at_its_circle(degrees: int) -> None:
    drawn = draw(Diameter((3.0, 4.0), 10.0, math.radians(degrees), 12.0, "bore"), 0.0)
    head = next(item for item in drawn.lines if isinstance(item, Solid))
    assert math.dist(head.corners[0], (3.0, 4.0)) == pytest.approx(10.0)
    assert [text.words for text in drawn.words] == ["bore Ø20.0 mm", "25/32 in"]


def test_words_of_a_guide_stand_on_the_left_of_its_way() -> None:
    rising = draw(Guide((Line((0.0, 0.0), (50.0, 0.0)),), words="bevel limit"), 0.0)
    falling = draw(Guide((Line((50.0, 0.0), (0.0, 0.0)),), words="bevel limit"), 0.0)
    assert rising.words[0].box().low > 0.0
    assert falling.words[0].box().high < 0.0


def test_small_labels_are_refused() -> None:
    with pytest.raises(ValueError, match="needs 9 pt"):
        Label("tiny", (0.0, 0.0), size=6.0)
