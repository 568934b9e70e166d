"""Dimensioned drawings of every kind: each stated figure against the model, and against its line in the written PDF.

Lines and heads are read by pdfplumber; figures come from the fields. Sources: scales of ISO 5455, dimension lines with
heads at both ends after ISO 129-1 (both from memory); 1 pt is 1/72 in.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pdfplumber
import pytest
from drawing_faults import faults
from printed_pages import MM, Floats, segments
from shapely.geometry import LineString, Polygon
from shapely.ops import polygonize, unary_union

from ferrule.parts.errors import PartError
from ferrule.parts.flat_view import FlatView
from ferrule.parts.kinds import KINDS
from ferrule.parts.measures import AxialLength, DiameterAt
from ferrule.parts.part import Part
from ferrule.parts.readers.mesh import mesh
from ferrule.parts.shape import Cut, Outline, Placed, Plate, circle, moved
from ferrule.parts.sheets.paper import A4, US_LETTER, Paper
from ferrule.parts.sheets.section import section_sheets
from ferrule.parts.sheets.section_block import SectionLabel
from ferrule.parts.sheets.section_flat import flat_sheets
from ferrule.parts.sheets.section_view import section_across, section_of
from ferrule.parts.sheets.sheet import Sheet
from ferrule.parts.sheets.space import dotted
from ferrule.parts.writers.pdf import write_pdf

LABEL = SectionLabel("Tern (invented)", "part", "petg", "1a2b-3c4d-5e6f")
DIMENSION = 0.13
"""Width of a dimension line [mm]."""


def build(kind: str, **more: Any) -> Part:
    fields = {key: value for key, value in (KINDS[kind].example | more).items() if value is not None}
    return KINDS[kind].build(**fields)


BEVELLED = build(
    "fin",
    leading_edge="bevel 10 mm, land 1 mm",
    trailing_edge="bevel 8 mm, land 1.2 mm, one side",
    tip_edge="round",
    pin_hole_diameter="3 mm",
)
PARTS: dict[str, Part] = {
    **{kind: build(kind) for kind in KINDS if not KINDS[kind].laid_at_the_bench},
    "bevelled fin": BEVELLED,
    "large fin": build(
        "fin",
        root_chord="320 mm",
        tip_chord="120 mm",
        semi_span="160 mm",
        sweep_length="180 mm",
        tab_length="250 mm",
        tab_position="40 mm",
        notch_positions=("120 mm",),
        notch_length="6.5 mm",
        notch_depth="10 mm",
    ),
    "forward-swept fin": build("fin", sweep_length="-20 mm", leading_edge="round", trailing_edge="round 1.5 mm"),
    "elliptic fin": build("fin", planform="elliptic", tip_chord=None, sweep_length=None),
    "drawn fin": build(
        "fin",
        planform="polygon",
        tip_chord=None,
        semi_span=None,
        sweep_length=None,
        points=("40 mm, 40 mm", "90 mm, 60 mm", "150 mm, 60 mm", "140 mm, 20 mm"),
    ),
    "aerofoil": build("fin", section="naca-four-digit", thickness="12 mm", material="petg", tab_thickness="3 mm"),
    "large ring": build(
        "centering-ring",
        outside_diameter="300 mm",
        inside_diameter="79 mm",
        thickness="12 mm",
        hole_diameter=None,
        hole_circle_diameter=None,
        hole_rolls=None,
        vent_hole_count=4,
        vent_hole_diameter="20 mm",
        vent_circle_diameter="230 mm",
        vent_roll="45 deg",
        notch_count=3,
        notch_width="6.5 mm",
        notch_depth="20 mm",
        notch_from="rim",
        harness_slot_width="10 mm",
        harness_slot_length="40 mm",
        harness_slot_roll="180 deg",
    ),
    "stepped bulkhead": build(
        "bulkhead",
        step_diameter="60.5 mm",
        step_thickness="5 mm",
        step_faces="forward",
        hole_diameter=None,
        hole_circle_diameter=None,
        hole_rolls=None,
    ),
    "drilled tube": build(
        "tube", length="900 mm", hole_diameter="5 mm", hole_positions=tuple(f"{100 + 20 * i} mm" for i in range(6))
    ),
    "full coupler": build(
        "coupler",
        length="200 mm",
        separates="aft",
        screw_count=4,
        screw_distance="25 mm",
        shear_pin_count=3,
        vent_diameter="4 mm",
        switch_band_length="30 mm",
        switch_band_diameter="68.4 mm",
        seat_station="50 mm",
        seat_depth="5 mm",
        seat_width="3 mm",
    ),
    "bevelled can": build("fin-can", leading_edge="bevel 8 mm, land 1 mm", forward_taper="0 mm", screw_count=0),
    "canted can": build("fin-can", section="naca-four-digit", thickness="9 mm", cant="1 deg", length="130 mm"),
    "button on a boss": build("rail-button", standoff="12 mm"),
}


@cache
def sheets(name: str, paper: Paper = A4) -> tuple[Sheet, ...]:
    """All drawings of a part."""
    part = PARTS[name]
    found: list[Sheet] = []
    if measures := part.measures():
        found += section_sheets(part.section_shape(), measures, label=LABEL, paper=paper)
    for view in part.flat_views():
        found += flat_sheets(view, label=LABEL, paper=paper)
    return tuple(found)


@pytest.mark.parametrize(
    ("name", "paper"),
    [*((name, A4) for name in PARTS), ("fin", US_LETTER), ("centering-ring", US_LETTER)],
    ids=lambda one: getattr(one, "name", one),
)
def test_every_kind_has_a_drawing_whose_words_stand_free(name: str, paper: Paper) -> None:
    """Both papers have one area (A4 and Letter less their margins), so that Letter needs two samples."""
    found = sheets(name, paper)
    assert found
    for sheet in found:
        assert faults(sheet) == []
        assert len(sheet.bars) == 4


def scales(sheet: Sheet) -> list[float]:
    """Every scale that a sheet states [-], that of its title block first."""
    words = [text.words for text in sheet.texts()]
    said = [one for text in words if text.startswith("scale ") for one in re.findall(r"(\d+):(\d+)", text)]
    said += [one for text in words if not text.startswith("scale ") for one in re.findall(r"\((\d+):(\d+)\)", text)]
    return [int(paper) / int(part) for paper, part in said]


def measured(sheet: Sheet, page: Any) -> Iterator[tuple[str, float, float]]:
    """Words and figure of each dimension line with two heads, and their distance on the paper [mm]."""
    lines = segments(page, DIMENSION)
    high = float(page.height)
    tips = np.array([[one["pts"][0][0], high - one["pts"][0][1]] for one in page.curves if one["fill"]])
    tips = tips.reshape(-1, 2) * MM
    dx, dy = sheet.paper.corner
    starts, runs = lines[:, :2], lines[:, 2:] - lines[:, :2]
    longs = np.maximum(np.hypot(runs[:, 0], runs[:, 1]), 1e-9)
    for text in sheet.texts():
        found = re.fullmatch(r"(?:(.*) )?(Ø?)([\d.]+) mm", text.words)
        if found is None:
            continue
        (a, _, c, _) = text.corners()
        middle = np.array([(a[0] + c[0]) / 2.0 + dx, (a[1] + c[1]) / 2.0 + dy])
        along = np.array([math.cos(text.turn), math.sin(text.turn)])
        # Lines along the words, beside which their middle stands.
        level = np.abs(runs @ along) > (1.0 - 1e-6) * longs
        aside = np.abs(along[0] * (middle[1] - starts[:, 1]) - along[1] * (middle[0] - starts[:, 0]))
        share = ((middle - starts) * runs).sum(axis=1) / longs**2
        for i in np.nonzero(level & (aside > 1.0) & (aside < 3.2) & (share > -0.01) & (share < 1.01))[0]:
            start, run = starts[i], runs[i]
            on_it = [float((tip - start) @ along) for tip in tips if abs(across(along, tip - start)) < 0.05]
            first, last = sorted((0.0, float(run @ along)))
            on_it = [one for one in on_it if first - 0.05 < one < last + 0.05]
            if len(on_it) >= 2:
                words = " ".join(filter(None, (found[1], found[2])))
                yield words, float(found[3]), max(on_it) - min(on_it)
                break


def across(along: Floats, away: Floats) -> float:
    """How far a point lies beside a line, by its unit direction and the way from it [mm]."""
    return float(along[0] * away[1] - along[1] * away[0])


def expected(name: str) -> dict[str, float]:
    """What must stand on a dimension line of the drawings, by its words, from the fields."""
    part: Any = PARTS[name]
    match part.kind:
        case "tube":
            return {"length": part.length}
        case "coupler":
            return {"length": part.length, "outside Ø": part.outside_diameter, "bore Ø": part.inside_diameter}
        case "rail-button":
            overall = part.standoff + part.foot_height + part.waist_height + part.head_height
            return {"overall": overall, "foot Ø": part.foot_diameter, "head Ø": part.head_diameter}
        case "motor-mount":
            ring = {"ring 2 at": part.ring_positions[1]}
            return {"tube": part.tube_length, "rings Ø": part.ring_diameter, "bore Ø": part._bore(), **ring}
        case "centering-ring":
            return {"rim Ø": part.outside_diameter, "thickness": part.thickness}
        case "bulkhead" if part.step_diameter is None:
            return {"disc Ø": part.outside_diameter, "thickness": part.thickness}
        case "bulkhead":
            sizes = {"small disc Ø": part.step_diameter, "large disc Ø": part.outside_diameter}
            return {**sizes, "overall": part.thickness + part.step_thickness, "small disc": part.step_thickness}
        case "fin-can":
            sleeve = {"length": part.length, "sleeve Ø": part.sleeve_radius * 2.0, "bore Ø": part.bore_diameter}
            return {**sleeve, "tip": part.tip_chord, "semi-span": part.semi_span, "sweep": part.sweep_length}
        case "fin":
            found = {"root": part.root_chord, "tab": part.tab_length}
            found |= {"tip": part.tip_chord} if part.tip_chord else {}
            found |= {"sweep": part.sweep_length} if (part.sweep_length or 0.0) > 0.0 else {}
            return found
    return {}


@pytest.mark.parametrize("name", [one for one in PARTS if one not in ("nose-cone", "transition")])
def test_every_figure_is_the_models_and_its_line_is_as_long(name: str, tmp_path: Path) -> None:
    """A figure has two decimals at most, so that it is within 0.005 mm; a line within 0.05 mm of it, at scale."""
    found: dict[str, float] = {}
    write_pdf(tmp_path / "d.pdf", sheets(name), "drawing")
    with pdfplumber.open(tmp_path / "d.pdf") as document:
        for sheet, page in zip(sheets(name), document.pages, strict=True):
            for words, figure, long in measured(sheet, page):
                off = min(abs(long / scale - figure) for scale in scales(sheet))
                assert off < 0.05 + 0.005, (sheet.title, words, figure, long)
                found.setdefault(words, figure)
    wanted = expected(name)
    assert {key: found.get(key) for key in wanted} == pytest.approx(wanted, abs=0.0051)


def test_a_large_fin_is_drawn_at_a_scale_of_the_standard_with_its_own_figures() -> None:
    (first, *_) = sheets("large fin")
    assert scales(first)[0] == 0.5
    said = {text.words for text in first.texts()}
    assert {"root 320.0 mm", "semi-span 160.0 mm", "tip 120.0 mm"} <= said
    assert "12 19/32 in" in said  # 320 / 25.4 = 12.598 in, and 12 38/64 is 12.594


def test_the_face_of_a_ring_says_where_its_holes_are() -> None:
    *_, sheet = sheets("centering-ring")
    said = " ".join(text.words for text in sheet.texts())
    assert "hole circle Ø48.4 mm" in said
    assert "hole on Ø48.4 mm at 20, 70 deg" in " ".join(said.split())


# --- sections ---------------------------------------------------------------------------------------------------------


def cut_of_mesh(part: Part, height: float) -> Polygon:
    """The meshed solid cut at a height y, in (x, z) [mm]: triangles by hand, put together by shapely."""
    solid = mesh(part.shape())
    lines = []
    for corners in solid.vertices[solid.triangles]:
        side = corners[:, 1] - height
        ends = [
            corners[i] + (corners[j] - corners[i]) * side[i] / (side[i] - side[j])
            for i, j in ((0, 1), (1, 2), (2, 0))
            if side[i] * side[j] < 0.0
        ]
        if len(ends) == 2:
            lines.append(LineString([np.round(end[[0, 2]], 6) for end in ends]))
    (found,) = polygonize(unary_union(lines))
    return found


@pytest.mark.parametrize("name", ["fin", "bevelled fin", "forward-swept fin"])
def test_the_section_of_a_fin_is_the_cut_of_its_solid(name: str) -> None:
    (view,) = PARTS[name].flat_views()
    assert isinstance(view.section, tuple)
    drawn = Polygon(dotted(view.section))
    # Just off the pins and off the vertices of the mesh.
    solid = cut_of_mesh(PARTS[name], view.outline.box()[3] / 2.0 + 1e-5)
    assert drawn.is_valid
    assert drawn.symmetric_difference(solid).area < 0.003 * solid.area


def test_the_section_of_an_aerofoil_is_the_one_at_its_root() -> None:
    """Four-digit law: thickest at 0.3 of the chord (NACA Report 460)."""
    (view,) = PARTS["aerofoil"].flat_views()
    assert isinstance(view.section, tuple)
    x0, low, x1, high = Polygon(dotted(view.section)).bounds
    assert (x1 - x0, high - low) == pytest.approx((120.0, 12.0), abs=0.01)
    upper = section_across(view.section).upper.spans((36.0, 0.0), (0.0, 1.0))
    assert upper[0] == pytest.approx((-6.0, 6.0), abs=0.01)


def test_a_hole_along_the_axis_is_cut_through_its_middle() -> None:
    """Hole of 6 mm at 20 mm from the axis: the wall is open from 17 to 23 mm above the axis and whole below."""
    ring = PARTS["stepped bulkhead"].section_shape()
    hole = Placed(Plate(Outline(circle(3.0, (12.0, 16.0))), 20.0), moved(-2.0))
    assert isinstance(ring, Cut) is False
    section = section_of(Cut(ring, (hole,)))
    spans = np.array(section.upper.spans((2.0, 0.0), (0.0, 1.0)))
    assert spans == pytest.approx(np.array([(3.2, 17.0), (23.0, 30.25)]), abs=0.01)
    below = [sorted(abs(y) for y in pair) for pair in section.lower.spans((2.0, 0.0), (0.0, 1.0))]
    assert below == [pytest.approx([3.2, 30.25])]
    assert section.bore_axes[0].start[1] == pytest.approx(20.0, abs=0.01)


def test_rings_of_a_mount_are_bodies_of_their_own() -> None:
    section = section_of(PARTS["motor-mount"].section_shape())
    assert len(section.faces) == 4
    assert section.left_out == 0


def test_a_thickness_has_no_sign_of_a_diameter() -> None:
    (view,) = BEVELLED.flat_views()
    signs = {one.words: one.sign for one in view.measures if isinstance(one, DiameterAt)}
    assert signs == {"thickness": "", "land": ""}
    assert DiameterAt((0.0, 3.0)).sign == "Ø"


def test_a_bevel_is_as_long_along_the_air_as_its_sweep_makes_it() -> None:
    """Leading edge 50 mm aft over 58 mm: a depth of 10 mm square to it is 10 sqrt(1 + (50/58)^2) along the air."""
    (view,) = BEVELLED.flat_views()
    first, *_ = [one for one in view.measures if isinstance(one, AxialLength)]
    assert first.value == pytest.approx(10.0 * math.hypot(1.0, 50.0 / 58.0), abs=1e-6)


def test_what_goes_on_no_page_is_refused() -> None:
    square = Outline(circle(20000.0))
    with pytest.raises(PartError, match="does not go on a page at 1:100"):
        flat_sheets(FlatView("", square, lambda _: ()), label=LABEL, paper=A4)
