"""Wraps, profile gauges and turning templates against closed forms, the profiles' formulas, and other readers' files.

Sources: developable cone, elementary geometry (lateral area pi (R1 + R2) s, rims 2 pi R, sector angle 2 pi R / s);
isometry of a developable surface by its first fundamental form; the formulas of the profiles as in test_profiles.py;
areas by shapely and scipy; written pages by pdfplumber, cut files by ezdxf; 1 in is 25.4 mm.
"""

from __future__ import annotations

import csv
import io
import math
import os
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.path
import numpy as np
import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import quad
from shapely.geometry import LineString, Polygon, box

from ferrule.parts.blunting import Tip, blunted
from ferrule.parts.chain import Chain
from ferrule.parts.curve import Arc, Line, bernstein
from ferrule.parts.errors import PartError
from ferrule.parts.marks import Dimension, Guide, Label
from ferrule.parts.papers.development import Development, conical, unrolled
from ferrule.parts.papers.pattern import Pattern
from ferrule.parts.papers.profile_gauge import BODY, RUN, profile_gauge
from ferrule.parts.papers.stations import COLUMNS, Shoulder, Turned, table_csv, turning_table
from ferrule.parts.papers.turning import turning_template
from ferrule.parts.papers.wrap import TAB, wrap
from ferrule.parts.profiles import Family, Profile
from ferrule.parts.shape import Outline, signed_area
from ferrule.parts.sheets.block import TemplateLabel
from ferrule.parts.sheets.drawing import draw
from ferrule.parts.sheets.paper import A4, PAPERS, Paper
from ferrule.parts.sheets.pattern import pattern_sheets
from ferrule.parts.sheets.sheet import CutLine, Sheet, Text
from ferrule.parts.sheets.space import dotted
from ferrule.parts.writers.dxf import write_dxf
from ferrule.parts.writers.pdf import write_pdf
from ferrule.parts.writers.svg import write_svg

Floats = NDArray[np.float64]

MM = 25.4 / 72.0
"""One point [mm]."""

FAMILIES: dict[Family, float | None] = {
    "cone": None,
    "tangent-ogive": None,
    "secant-ogive": 600.0,
    "half-ellipsoid": None,
    "parabola": 0.75,
    "power-law": 0.6,
    "von-karman": None,
    "haack": 1.0 / 3.0,
}


SEARCHED = int(os.environ.get("FERRULE_EXAMPLES", "0"))


def frustum(forward: float, aft: float, length: float) -> Chain:
    return (Line((0.0, forward), (length, aft)),)


def nose(family: Family = "von-karman", length: float = 250.0, radius: float = 34.2) -> Profile:
    return Profile(family, length, radius, FAMILIES[family])


def polygon(outline: Outline) -> Polygon:
    """The outline in chords; the ends of its pieces, which agree to 1e-13 mm, made the same."""
    points = np.round(dotted(edge.piece for edge in outline.outer), 9)
    return Polygon(points[np.any(points != np.roll(points, 1, axis=0), axis=1)])


CONES = [(0.0, 33.0, 200.0), (34.15, 24.95, 80.0), (24.95, 34.15, 80.0), (0.0, 33.0, 33.0), (20.0, 50.0, 5.0)]
every_cone = pytest.mark.parametrize(("forward", "aft", "length"), CONES)


# The wrap of a cone


@every_cone
def test_the_rims_of_the_sector_are_as_long_as_those_of_the_cone(forward: float, aft: float, length: float) -> None:
    arcs = [edge.piece for edge in wrap("n", frustum(forward, aft, length), 0.0).outline.outer]
    found = sorted(arc.length() for arc in arcs if isinstance(arc, Arc))
    assert found == pytest.approx(sorted(math.tau * r for r in (forward, aft) if r), rel=1e-12)


@every_cone
def test_the_sector_has_the_angle_and_the_area_of_the_cone(forward: float, aft: float, length: float) -> None:
    slant = math.hypot(length, aft - forward)
    outline = wrap("n", frustum(forward, aft, length), 0.0).outline
    (angle,) = {abs(edge.piece.sweep) for edge in outline.outer if isinstance(edge.piece, Arc)}
    assert angle == pytest.approx(math.tau * abs(aft - forward) / slant, rel=1e-12)
    assert angle < math.tau
    assert signed_area(outline.outer) - tab_area(outline) == pytest.approx(math.pi * (forward + aft) * slant, rel=1e-12)


def right_run(outline: Outline) -> list[Line]:
    """The straight run from the aft rim to the forward rim, of one line or round a tab; the last line is the left."""
    return [edge.piece for edge in outline.outer[1:-1] if isinstance(edge.piece, Line)]


def tab_area(outline: Outline) -> float:
    lines = right_run(outline)
    return Polygon([lines[0].start, *(line.end for line in lines)]).area if len(lines) > 1 else 0.0


@every_cone
def test_rolled_up_again_the_sheet_is_the_cone(forward: float, aft: float, length: float) -> None:
    """Lengths and angles on the sheet are those on the skin, roll grows as on the part, and the print is outside."""
    flat = Development(0.0, length, forward, aft, 0.0)
    slant = math.hypot(length, aft - forward)

    def on_skin(u: float, v: float) -> Floats:
        radius, roll = forward + (aft - forward) * v / slant, math.tau * (u - 0.5)
        return np.array([length * v / slant, radius * math.cos(roll), -radius * math.sin(roll)])

    def slopes(at: Callable[[float, float], Any], u: float, v: float) -> Floats:
        h = 1e-6
        along_u = (np.asarray(at(u + h, v)) - np.asarray(at(u - h, v))) / (2.0 * h)
        along_v = (np.asarray(at(u, v + h)) - np.asarray(at(u, v - h))) / (2.0 * h)
        return np.column_stack([along_u, along_v])

    for u in (0.05, 0.3, 0.5, 0.77, 0.95):
        for v in (0.1 * slant, 0.5 * slant, 0.9 * slant):
            sheet, skin = slopes(flat.at, u, v), slopes(on_skin, u, v)
            assert sheet.T @ sheet == pytest.approx(skin.T @ skin, rel=1e-6, abs=1e-4)
            outwards = np.array([0.0, *on_skin(u, v)[1:]])
            assert np.linalg.det(sheet) * np.cross(skin[:, 0], skin[:, 1]) @ outwards > 0.0
    assert on_skin(0.0, slant / 2.0) == pytest.approx(on_skin(1.0, slant / 2.0), abs=1e-9)
    assert flat.at(0.5, 0.0)[1] > flat.at(0.5, slant)[1], "the forward end is up"


@every_cone
def test_every_corner_and_arc_of_the_outline_lies_on_a_rim(forward: float, aft: float, length: float) -> None:
    """On the sheet, distances from the apex are those along the cone from its own apex: R / sin(a)."""
    outline = wrap("n", frustum(forward, aft, length), 0.0).outline
    slope = math.hypot(length, aft - forward) / abs(aft - forward)
    rims = {round(forward * slope, 6), round(aft * slope, 6)}
    tab = {line.end for line in right_run(outline)[:-1]}
    for edge in outline.outer:
        if isinstance(edge.piece, Arc):
            away = np.hypot(*edge.piece.at(np.linspace(0.0, 1.0, 50)).T)
            assert away == pytest.approx(edge.piece.radius, rel=1e-12)
            assert round(edge.piece.radius, 6) in rims
        elif edge.piece.start not in tab:
            assert round(math.hypot(*edge.piece.start), 6) in rims


def test_paper_bends_in_its_middle() -> None:
    """Half a thickness square to the skin, by hand for a 3-4-5 cone: sin a = 0.6, cos a = 0.8."""
    flat = unrolled(frustum(30.0, 60.0, 40.0), 0.5)
    assert flat.sweep == pytest.approx(math.tau * 0.6, rel=1e-14)
    assert flat.slant == pytest.approx(50.0, rel=1e-14)
    assert flat.forward_arc == pytest.approx(math.tau * (30.0 + 0.25 * 0.8), rel=1e-14)
    assert flat.aft_arc == pytest.approx(math.tau * (60.0 + 0.25 * 0.8), rel=1e-14)
    # Of a pointed cone the paper's own apex lies 0.25 / tan(a) further along the skin.
    assert unrolled(frustum(0.0, 30.0, 40.0), 0.5).slant == pytest.approx(50.0 + 0.25 * 0.8 / 0.6, rel=1e-14)


def test_equal_ends_unroll_to_a_rectangle() -> None:
    pattern = wrap("Spacer", frustum(20.0, 20.0, 40.0), 0.2)
    left, low, right, high = pattern.outline.box()
    assert (right - left, high - low) == pytest.approx((math.tau * 20.1 + TAB, 40.0), rel=1e-12)
    nearly = wrap("Spacer", frustum(20.0, 20.006, 40.0), 0.2).outline
    assert signed_area(nearly.outer) == pytest.approx(signed_area(pattern.outline.outer), rel=1e-3)


def test_the_tab_lies_beyond_the_butt_line_and_is_left_out_where_the_sector_closes() -> None:
    outline = wrap("n", frustum(34.15, 24.95, 80.0)).outline
    lines = right_run(outline)
    butt = LineString([lines[0].start, lines[-1].end])
    assert [round(butt.distance(LineString([line.end, line.end])), 9) for line in lines[:-1]] == [TAB, TAB]
    closed = wrap("n", frustum(20.0, 50.0, 5.0))
    assert len(right_run(closed.outline)) == 1
    assert "no room for a tab" in " ".join(closed.notes)


def test_the_figures_of_the_wrap_are_printed_in_mm_and_inches() -> None:
    pattern = wrap("Transition", frustum(34.15, 24.95, 80.0), 0.1)
    # Slant sqrt(80^2 + 9.2^2) = 80.5273 mm; arcs 2 pi (R + 0.05 x 80 / 80.5273): 214.883 and 157.077 mm.
    assert pattern.notes[0].startswith(
        "Slant 80.53 mm (3 11/64 in); aft arc 157.08 mm (6 3/16 in), forward arc 214.88 mm (8 29/64 in); sector 41.13 "
    )
    assert "0.10 mm thick" in pattern.notes[1]
    assert pattern.stock == "paper or card, 0.10 mm"
    assert [(m.start, m.end) for m in pattern.marks if isinstance(m, Dimension)] == [
        (right_run(pattern.outline)[-1].end, right_run(pattern.outline)[0].start)
    ]


def test_the_quarter_lines_part_the_rims_in_four() -> None:
    pattern = wrap("Transition", frustum(34.15, 24.95, 80.0), 0.0)
    words = {mark.words for mark in pattern.marks if isinstance(mark, Label)}
    assert {"roll 0: rail line", "roll 90", "roll 270", "butt line: roll 180", "Transition: wrap"} <= words
    lines = [mark.pieces[0] for mark in pattern.marks if isinstance(mark, Guide)]
    assert len(lines) == 4
    angles = sorted(math.atan2(line.start[1], line.start[0]) for line in lines)
    step = math.tau * 9.2 / math.hypot(80.0, 9.2) / 4.0
    assert [b - a for a, b in pairwise(angles)] == pytest.approx([step] * 3, rel=1e-12)


def test_a_blunt_cone_is_covered_where_it_is_straight() -> None:
    tip = Arc((5.0, 0.0), 5.0, math.pi, -1.2)
    skin = (tip, Line(tip.end, (100.0, 30.0)))
    flat = unrolled(skin)
    assert (flat.first, flat.last, flat.aft_radius) == (tip.end[0], 100.0, 30.0)
    assert f"from station {tip.end[0]:.1f} to 100.0 mm" in wrap("n", skin).notes[1]


def test_what_does_not_unroll_is_refused() -> None:
    assert conical(nose("tangent-ogive").chain()) is None
    with pytest.raises(PartError, match="wrap: only a cone or a conical transition unrolls flat"):
        wrap("n", nose().chain())
    with pytest.raises(PartError, match=r"wrap: there is no cone .* radii 0 and 0 mm"):
        wrap("n", frustum(0.0, 0.0, 10.0))
    with pytest.raises(PartError, match=r"thickness: 5 mm .* must be from 0 to 3 mm"):
        wrap("n", frustum(10.0, 20.0, 10.0), 5.0)


radii = st.floats(0.0, 150.0).map(lambda r: 0.0 if r < 1.0 else r)


@settings(max_examples=SEARCHED or 60)
@given(forward=radii, aft=radii, length=st.floats(3.0, 500.0), thickness=st.floats(0.0, 0.5))
def test_any_wrap_is_one_sound_piece_with_its_words_on_it(
    forward: float, aft: float, length: float, thickness: float
) -> None:
    if max(forward, aft) == 0.0:
        forward = 20.0
    pattern = wrap("Invented part", frustum(forward, aft, length), thickness)
    piece = polygon(pattern.outline)
    assert piece.is_valid
    lines = [LineString([m.pieces[0].start, m.pieces[0].end]) for m in pattern.marks if isinstance(m, Guide)]
    words = [text for mark in pattern.marks if not isinstance(mark, Dimension) for text in draw(mark, 0.0).words]
    boxes = [Polygon(text.corners()) for text in words]
    for index, (text, found) in enumerate(zip(words, boxes, strict=True)):
        assert piece.contains(found), text.words
        assert not any(found.intersects(line) for line in lines), text.words
        assert not any(found.intersects(other) for other in boxes[:index]), text.words


# The profile gauge


@pytest.mark.parametrize("family", FAMILIES)
def test_the_gauge_edge_is_the_formula(family: Family) -> None:
    profile = nose(family)
    outline = profile_gauge("Nose", profile.chain()).outline
    skin = [edge.piece for edge in outline.outer[1:-4]]
    points = np.vstack([piece.at(np.linspace(0.0, 1.0, 200)) for piece in skin])
    assert (points[0].tolist(), points[-1].tolist()) == (
        pytest.approx([0.0, 0.0], abs=1e-9),
        pytest.approx([250.0, 34.2]),
    )
    x = np.clip(points[:, 0], 0.0, 250.0)
    # Fitted chains keep within a micrometre of their formulas (test_profiles.py); steep near an upright tip.
    steep = x > 1.0
    assert points[steep, 1] == pytest.approx(profile.radius(x[steep]), abs=1e-5)
    under, _ = quad(lambda at: float(profile.radius(np.array([at]))[0]), 0.0, 250.0, epsabs=1e-8, limit=200)
    assert signed_area(outline.outer) == pytest.approx(280.0 * outline.box()[3] - under - RUN * 34.2, abs=1e-4)


def test_the_gauge_runs_on_straight_and_its_back_stands_on_a_whole_figure() -> None:
    for skin, low in ((nose().chain(), 0.0), (frustum(34.15, 24.95, 80.0), 34.15)):
        outline = profile_gauge("Nose", skin).outline
        ends = [edge.piece for edge in outline.outer]
        first, last = skin[0].start, skin[-1].end
        assert ends[0] == Line((first[0] - RUN, low), first)
        assert ends[-4] == Line(last, (last[0] + RUN, last[1]))
        left, _, right, back = outline.box()
        assert (left, right) == pytest.approx((first[0] - RUN, last[0] + RUN))
        assert back % 5.0 == 0.0
        assert back >= max(first[1], last[1]) + BODY


def test_the_gauge_of_a_transition_is_held_at_both_ends() -> None:
    pattern = profile_gauge("Transition", frustum(34.15, 24.95, 80.0))
    words = " ".join(pattern.notes)
    assert "runs on straight for 15 mm along the tube at both ends" in words
    assert "60.0 mm (2 23/64 in)" in words
    assert [label.words for label in pattern.fixed] == ["10", "20", "30", "40", "50", "60", "70"]


@pytest.mark.parametrize("family", FAMILIES)
def test_ticks_start_on_the_edge_and_their_numbers_stand_on_the_card(family: Family) -> None:
    profile = nose(family, 100.0, 40.0) if family != "secant-ogive" else Profile(family, 100.0, 40.0, 160.0)
    pattern = profile_gauge("Nose", profile.chain())
    card = polygon(pattern.outline)
    ticks = {m.pieces[0].start[0]: m.pieces[0] for m in pattern.marks if isinstance(m, Guide)}
    for label in pattern.fixed:
        tick = ticks[float(label.words)]
        assert label.position[0] == tick.start[0] == tick.end[0]
        assert tick.start[1] == pytest.approx(float(profile.radius(np.array([tick.start[0]]))[0]), abs=1e-5)
        (text,) = draw(label, 0.0).words
        assert card.contains(Polygon(text.corners())), label.words
        assert 0.0 < text.box().low - tick.end[1] < 1.0


def test_a_skin_that_runs_back_has_no_gauge_and_no_table() -> None:
    back = (Arc((20.0, 0.0), 20.0, math.pi, -4.0),)
    for make in (lambda: profile_gauge("n", back), lambda: Turned(back)):
        with pytest.raises(PartError, match="skin: it runs back"):
            make()
    with pytest.raises(PartError, match="skin: there is none"):
        Turned(())


# The turning table and template


@pytest.mark.parametrize("family", FAMILIES)
def test_the_turning_table_is_the_formula(family: Family) -> None:
    profile = nose(family, 246.3)
    rows = turning_table(Turned(profile.chain(), None, Shoulder(65.0, 32.6)))
    skin = [row for row in rows if row.place == "skin"]
    assert [row.station for row in skin] == [10.0 * k for k in range(1, 25)]
    found = np.array([row.radius for row in skin])
    assert found == pytest.approx(profile.radius(np.array([row.station for row in skin])), abs=1e-6)
    ends = [(row.place, round(row.station, 9), round(row.radius, 9)) for row in rows if row.place != "skin"]
    assert ends == [("tip", 0.0, 0.0), ("base", 246.3, 34.2), ("shoulder", 246.3, 32.6), ("shoulder", 311.3, 32.6)]


def test_the_turning_table_of_a_half_ellipsoid_by_hand() -> None:
    """At half its length the radius is R sqrt(3) / 2."""
    rows = {row.station: row for row in turning_table(Turned(nose("half-ellipsoid", 100.0, 40.0).chain()), 25.0)}
    assert rows[50.0].radius == pytest.approx(40.0 * math.sqrt(3.0) / 2.0, rel=1e-12)
    assert rows[50.0].diameter == 2.0 * rows[50.0].radius
    # 69.282 mm is 2.7276 in, which is 174.57 sixty-fourths: 175 of them.
    assert rows[50.0].diameter_in_64 == "2 47/64"


def test_a_flat_tip_has_its_own_diameter() -> None:
    skin = (Line((0.0, 0.0), (0.0, 6.0)), Line((0.0, 6.0), (50.0, 20.0)))
    first = turning_table(Turned(skin))[0]
    assert (first.station, first.radius, first.place) == (0.0, 6.0, "tip")


def test_the_table_reads_as_csv() -> None:
    turned = Turned(frustum(34.15, 24.95, 80.0), Shoulder(50.0, 32.7), Shoulder(40.0, 23.5))
    rows = turning_table(turned)
    read = list(csv.DictReader(io.StringIO(table_csv(rows))))
    assert tuple(read[0]) == COLUMNS
    assert [row["place"] for row in read] == [
        *["forward shoulder"] * 2,
        "forward end",
        *["skin"] * 7,
        "aft end",
        *["aft shoulder"] * 2,
    ]
    for row, line in zip(rows, read, strict=True):
        assert float(line["station_mm"]) == pytest.approx(row.station, abs=5e-4)
        assert float(line["diameter_mm"]) == pytest.approx(2.0 * row.radius, abs=5e-4)
        whole, _, part = line["diameter_in_64"].rpartition(" ")
        top, _, bottom = part.partition("/")
        inches = float(whole or 0) + float(top) / float(bottom or 1)
        assert inches * 25.4 == pytest.approx(2.0 * row.radius, abs=25.4 / 128.0)


@pytest.mark.parametrize("step", [0.0, -10.0, 0.1, math.inf, math.nan])
def test_a_step_that_makes_no_table_is_refused(step: float) -> None:
    with pytest.raises(PartError, match=r"step: .* must be at least 0.5 mm"):
        turning_table(Turned(frustum(10.0, 20.0, 50.0)), step)


def test_a_shoulder_of_no_size_is_refused() -> None:
    with pytest.raises(PartError, match="shoulder: 0 mm long"):
        Turned(frustum(10.0, 20.0, 50.0), None, Shoulder(0.0, 9.0))


def test_the_turning_template_is_the_whole_outline() -> None:
    profile = nose()
    pattern = turning_template(Turned(profile.chain(), None, Shoulder(65.0, 32.6)))
    under, _ = quad(lambda at: float(profile.radius(np.array([at]))[0]), 0.0, 250.0, epsabs=1e-8, limit=200)
    assert signed_area(pattern.outline.outer) == pytest.approx(2.0 * under + 65.0 * 65.2, abs=1e-4)
    assert pattern.outline.box() == pytest.approx((0.0, -34.2, 315.0, 34.2), abs=1e-9)
    assert polygon(pattern.outline).is_valid
    lengths = [m.end[0] - m.start[0] for m in pattern.marks if isinstance(m, Dimension)]
    assert lengths == pytest.approx([250.0, 65.0])
    said = {label.words for label in pattern.fixed}
    x = np.arange(10.0, 250.0, 10.0)
    assert {f"Ø{2.0 * r:.1f}" for r in profile.radius(x)} | {f"{at:g}" for at in x} <= said
    assert {"0", "250", "315", "Ø68.4", "Ø65.2"} <= said
    assert "Base Ø68.4 mm (2 11/16 in); shoulder Ø65.2 mm (2 9/16 in)." in pattern.notes[0]


@st.composite
def skins(draw_from: st.DrawFn) -> Chain:
    """Noses of every family, sharp, round or flat at the tip, and conical transitions, of sizes that people build."""
    length, radius = draw_from(st.floats(20.0, 600.0)), draw_from(st.floats(5.0, 100.0))
    if draw_from(st.booleans()):
        return frustum(draw_from(st.floats(5.0, 100.0)), radius, length)
    family = draw_from(st.sampled_from(sorted(FAMILIES)))
    length = max(length, radius)
    constant = length * length / radius if family == "secant-ogive" else FAMILIES[family]
    tip = draw_from(st.sampled_from(["sharp", "round", "flat"]))
    if tip != "sharp" and family in ("cone", "tangent-ogive") and length > 3.0 * radius:
        share = radius * draw_from(st.floats(0.05, 0.3))
        return blunted(family, length, radius, constant, Tip(tip, share)).chain
    return Profile(family, length, radius, constant).chain()


@settings(max_examples=SEARCHED or 20)
@given(skin=skins(), shoulder=st.none() | st.floats(1.0, 120.0))
def test_gauge_and_template_of_any_skin_are_sound_and_no_word_lies_on_the_cut(
    skin: Chain, shoulder: float | None
) -> None:
    aft = Shoulder(shoulder, skin[-1].end[1] * 0.95) if shoulder else None
    for pattern in (profile_gauge("Invented part", skin), turning_template(Turned(skin, None, aft))):
        assert polygon(pattern.outline).is_valid
        cut = LineString(dotted(edge.piece for edge in pattern.outline.outer))
        texts = [text for label in pattern.fixed for text in draw(label, 0.0).words]
        boxes = [Polygon(text.corners()) for text in texts]
        for index, (text, found) in enumerate(zip(texts, boxes, strict=True)):
            assert not found.intersects(cut), text.words
            assert not any(found.intersects(other) for other in boxes[max(0, index - 6) : index]), text.words


# The pages


def samples() -> dict[str, Pattern]:
    cone, change = frustum(0.0, 33.0, 200.0), frustum(34.15, 24.95, 80.0)
    haack, slim = nose().chain(), nose("tangent-ogive", 90.0, 9.3).chain()
    return {
        "nose gauge": profile_gauge("Nose cone", haack),
        "nose turning": turning_template(Turned(haack, None, Shoulder(65.0, 32.6))),
        "cone wrap": wrap("Nose cone", cone),
        "cone gauge": profile_gauge("Nose cone", cone),
        "cone turning": turning_template(Turned(cone)),
        "transition wrap": wrap("Transition", change),
        "transition gauge": profile_gauge("Transition", change),
        "transition turning": turning_template(Turned(change, Shoulder(50.0, 32.7), Shoulder(40.0, 23.0))),
        "slim turning": turning_template(Turned(slim, None, Shoulder(20.0, 8.6))),
        "flat wrap": wrap("Shroud", frustum(20.0, 50.0, 5.0)),
    }


PATTERNS = samples()
every_pattern = pytest.mark.parametrize("name", PATTERNS)
every_paper = pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)


@cache
def pages(name: str, paper: Paper) -> tuple[Sheet, ...]:
    return printed(PATTERNS[name], name, paper)


def printed(pattern: Pattern, name: str, paper: Paper) -> tuple[Sheet, ...]:
    label = TemplateLabel(
        "Marram (invented)", name, 1, fingerprint="1a2b-3c4d-5e6f", notes=pattern.notes, stock=pattern.stock
    )
    return pattern_sheets(pattern.outline, label=label, paper=paper, marks=pattern.marks, fixed=pattern.fixed)


@pytest.mark.parametrize(
    ("name", "count"),
    [("nose gauge", 2), ("nose turning", 2), ("cone wrap", 3), ("transition wrap", 1), ("transition turning", 1)],
)
def test_papers_take_few_pages(name: str, count: int) -> None:
    assert {len(pages(name, paper)) for paper in PAPERS} == {count}


@every_pattern
def test_words_are_readable_apart_and_off_the_cut_line(name: str) -> None:
    """Words of fixed places may be cut by the edge of a window; then they are whole on the next page."""
    for sheet in pages(name, A4):
        (cut,) = [item for item in sheet.art if isinstance(item, CutLine)]
        line = LineString(dotted(edge.piece for edge in cut.outline.outer))
        texts = sheet.texts()
        assert all(text.size >= 9.0 for text in texts)
        boxes = [Polygon(text.corners()).intersection(box(*sheet.window)) for text in texts if text in sheet.art]
        for index, one in enumerate(boxes):
            assert not one.intersects(line)
            assert not any(one.buffer(-0.05).intersects(other) for other in boxes[:index])


@every_pattern
def test_fixed_words_are_whole_on_a_page_and_nowhere_else(name: str) -> None:
    pattern = PATTERNS[name]
    said = {label.words for label in pattern.fixed}
    found: dict[tuple[str, float, float], bool] = {}
    for sheet in pages(name, A4):
        turned = turn_of(sheet, pattern)
        for text in sheet.art:
            if not (isinstance(text, Text) and text.words in said):
                continue
            x, y = np.mean(text.corners(), axis=0) - np.array(sheet.art_shift)
            place = (y, -x) if turned else (x, y)
            key = (text.words, round(place[0], 6), round(place[1], 6))
            found[key] = found.get(key, False) or sheet.window.holds(text.box())
    wanted = {(label.words, round(label.position[0], 6), round(label.position[1], 6)) for label in pattern.fixed}
    assert {key for key, whole in found.items() if whole} == wanted
    assert set(found) == wanted


def turn_of(sheet: Sheet, pattern: Pattern) -> bool:
    """Whether the pattern was laid out by a quarter turn."""
    (cut,) = [item for item in sheet.art if isinstance(item, CutLine)]
    (x0, y0), (x1, y1) = (np.array(p) for p in (cut.outline.outer[0].piece.start, cut.outline.outer[0].piece.end))
    (a0, b0), (a1, b1) = pattern.outline.outer[0].piece.start, pattern.outline.outer[0].piece.end
    return bool(math.hypot(x1 - x0 - a1 + a0, y1 - y0 - b1 + b0) > 1e-6)


@every_pattern
def test_no_mark_of_the_layout_is_left_on_the_pages(name: str) -> None:
    """All lines of the pattern's own and no shorter than a millimetre but the ticks of a gauge and seams' crosses."""
    for sheet in pages(name, A4):
        lengths = [sum(p.length() for p in item.pieces) for item in sheet.art if hasattr(item, "pieces")]
        assert min(lengths) > 1.0


def test_a_paper_says_what_it_is_printed_on_instead_of_material_and_thickness() -> None:
    words = " ".join(text.words for text in pages("nose gauge", A4)[0].texts())
    assert "Print on, or glue to stiff card" in words
    assert "Thickness" not in words
    assert "Material" not in words


def test_letters_that_cannot_be_printed_are_refused() -> None:
    with pytest.raises(PartError, match="cannot print"):
        printed(wrap("\u7b52", frustum(20.0, 30.0, 80.0)), "wrap", A4)


def write(folder: Path, sheets: tuple[Sheet, ...]) -> Path:
    path = folder / "pattern.pdf"
    write_pdf(path, sheets, "pattern")
    return path


def cut_path(page: pdfplumber.page.Page) -> Floats:
    """Points along the cut line [mm] from the lower left corner of the page."""
    (item,) = [item for item in (*page.curves, *page.rects) if abs(item["linewidth"] * MM - 0.7) < 1e-3]
    points: list[tuple[float, float]] = []
    for command, *operands in item["path"]:
        if command in ("m", "l"):
            points.append(operands[0])
        elif command == "c":
            poles = np.array([points[-1], *operands])
            points += [(x, y) for x, y in (bernstein(3, np.linspace(0.0, 1.0, 60)) @ poles).tolist()]
    found = np.array(points)
    found[:, 1] = float(page.height) - found[:, 1]
    return found * MM


@every_paper
def test_the_printed_gauge_edge_is_the_formula(tmp_path: Path, paper: Paper) -> None:
    profile = nose()
    sheets = pages("nose gauge", paper)
    with pdfplumber.open(write(tmp_path, sheets)) as document:
        for page, sheet in zip(document.pages, sheets, strict=True):
            points = cut_path(page) - np.array(paper.corner) - np.array(sheet.art_shift)
            edge = points[(points[:, 0] > 0.5) & (points[:, 0] < 250.0) & (points[:, 1] < 40.0)]
            assert len(edge) > 100
            # Half a micrometre for the cubics, a micrometre for the file's own digits.
            assert edge[:, 1] == pytest.approx(profile.radius(edge[:, 0]), abs=0.003)


def level_words(page: pdfplumber.page.Page) -> list[tuple[str, float, float, float]]:
    """Words that stand level: what they say, their middle, their top and their foot from the top of the page [mm]."""
    level = [letter for letter in page.chars if letter["matrix"][1] == 0.0 and letter["text"].strip()]
    level.sort(key=lambda letter: (round(letter["matrix"][5], 2), letter["x0"]))
    groups: list[list[dict[str, Any]]] = []
    for letter in level:
        last = groups[-1][-1] if groups else None
        near = last and abs(last["matrix"][5] - letter["matrix"][5]) < 0.01 and letter["x0"] - last["x1"] < 1.0
        if near:
            groups[-1].append(letter)
        else:
            groups.append([letter])
    return [
        (
            "".join(letter["text"] for letter in group),
            (group[0]["x0"] + group[-1]["x1"]) / 2.0 * MM,
            group[0]["top"] * MM,
            group[0]["bottom"] * MM,
        )
        for group in groups
    ]


@every_paper
def test_printed_stations_stand_over_their_ticks_at_their_distance_from_the_tip(tmp_path: Path, paper: Paper) -> None:
    sheets = pages("nose gauge", paper)
    seen: list[str] = []
    with pdfplumber.open(write(tmp_path, sheets)) as document:
        for page, sheet in zip(document.pages, sheets, strict=True):
            top = paper.height - sheet.window.high - paper.corner[1]
            foot = paper.height - sheet.window.low - paper.corner[1]
            ticks = [(line["x0"] * MM, line["top"] * MM) for line in page.lines if abs(line["x0"] - line["x1"]) < 1e-6]
            for words, middle, high, low in level_words(page):
                if words.isdigit() and int(words) % 10 == 0 and top < high and low < foot:
                    station = middle - paper.corner[0] - sheet.art_shift[0]
                    assert station == pytest.approx(int(words), abs=0.1)
                    assert any(abs(x - middle) < 0.1 and -0.5 < y - low < 2.0 for x, y in ticks), words
                    seen.append(words)
    assert set(seen) == {str(station) for station in range(10, 250, 10)}


@every_paper
def test_the_printed_arcs_are_as_long_as_the_rims(tmp_path: Path, paper: Paper) -> None:
    """For no paper at all, 2 pi R; chords of the followed cubics lose less than a thousandth of a millimetre."""
    pattern = wrap("Transition", frustum(34.15, 24.95, 80.0), 0.0)
    sheets = printed(pattern, "wrap", paper)
    with pdfplumber.open(write(tmp_path, sheets)) as document:
        for page, sheet in zip(document.pages, sheets, strict=True):
            points = cut_path(page) - np.array(sheet.paper.corner) - np.array(sheet.art_shift)
            away = np.hypot(*points.T)
            for radius in (34.15, 24.95):
                on_rim = points[:-1][np.abs(away[:-1] - radius * math.hypot(80.0, 9.2) / 9.2) < 0.002]
                length = float(np.hypot(*np.diff(on_rim, axis=0).T).sum())
                assert length == pytest.approx(math.tau * radius, abs=0.003)


@every_pattern
def test_every_pattern_is_written_as_a_cut_file_of_one_contour(tmp_path: Path, name: str) -> None:
    pattern = PATTERNS[name]
    # Looking for each line's place on a curved rim takes seconds; those of a wrap are enough to see that they go in.
    marks = pattern.marks if name == "transition wrap" else ()
    for write_cut, suffix in ((write_dxf, "dxf"), (write_svg, "svg")):
        proof = write_cut(tmp_path / f"pattern.{suffix}", pattern.outline, title=name, marks=marks)
        assert proof.contours == 1
        assert proof.area == pytest.approx(polygon(pattern.outline).area, rel=1e-3)


def test_the_wrap_as_a_cut_file_keeps_its_area(tmp_path: Path) -> None:
    outline = wrap("Transition", frustum(34.15, 24.95, 80.0), 0.0).outline
    path = tmp_path / "wrap.dxf"
    write_dxf(path, outline, title="wrap")
    (entity,) = [item for item in ezdxf.readfile(path).modelspace() if item.dxf.layer == "CUT"]
    corners = [(x, y) for x, y, _ in ezdxf.path.make_path(entity).flattening(0.0005)]
    slant = math.hypot(80.0, 9.2)
    wanted = math.pi * (34.15 + 24.95) * slant + tab_area(outline)
    assert Polygon(corners).area == pytest.approx(wanted, abs=0.5)
