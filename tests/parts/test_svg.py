"""SVG cut files and drawings, read by lxml and svgpathtools; areas and lengths from first principles."""

from __future__ import annotations

import dataclasses
import hashlib
import math
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from cut_samples import AREAS, RING, SAMPLES, outlines
from hypothesis import HealthCheck, given, settings
from lxml import etree
from svgpathtools import Arc as SvgArc
from svgpathtools import CubicBezier, parse_path
from svgpathtools import Line as SvgLine
from template_samples import sheets

from ferrule.parts.curve import Arc, Bezier, EllipseArc, Line
from ferrule.parts.errors import PartError, WriteError
from ferrule.parts.lettering import letters
from ferrule.parts.marks import Guide, Label, Pen
from ferrule.parts.shape import Edge, Outline, circle, edges, hole, signed_area
from ferrule.parts.sheets.paper import A4
from ferrule.parts.sheets.sheet import CutLine, Item, Solid, Text, Trace, line
from ferrule.parts.writers import svg
from ferrule.parts.writers.layers import NOMINAL, SQUARE_WORDS, cut_plan
from ferrule.parts.writers.svg import read_back, read_back_drawing, write_drawing_svg, write_svg

SPACE = "{http://www.w3.org/2000/svg}"
NODES, WEIGHTS = np.polynomial.legendre.leggauss(24)


def written(folder: Path, outline: Outline, **more: Any) -> Any:
    """The root of the file; lxml refuses what is not well-formed."""
    write_svg(folder / "part.svg", outline, **({"title": "Marram (invented): plate"} | more))
    return etree.parse(folder / "part.svg").getroot()


def layer(root: Any, name: str) -> list[Any]:
    (group,) = [group for group in root.iter(f"{SPACE}g") if group.get("id") == name]
    return list(group)


def area(shape: Any) -> float:
    """Signed area in the file's own frame, by quadrature along svgpathtools' own curves."""
    if shape.tag == f"{SPACE}circle":
        return math.pi * float(shape.get("r")) ** 2
    total = 0.0
    for part in parse_path(shape.get("d")):
        for node, weight in zip((NODES + 1.0) / 2.0, WEIGHTS / 2.0, strict=True):
            p, d = part.point(node), part.derivative(node)
            total += float(weight) * (p.real * d.imag - p.imag * d.real) / 2.0
    return total


def exact_length(outline: Outline) -> list[float]:
    return [sum(edge.piece.length() for edge in loop) for loop in (*outline.holes, outline.outer)]


def length(shape: Any) -> float:
    if shape.tag == f"{SPACE}circle":
        return math.tau * float(shape.get("r"))
    total = 0.0
    for part in parse_path(shape.get("d")):
        if isinstance(part, SvgArc) and part.radius.real == part.radius.imag:
            total += part.radius.real * abs(math.radians(part.delta))
        else:
            total += sum(
                float(weight) * abs(part.derivative(node))
                for node, weight in zip((NODES + 1.0) / 2.0, WEIGHTS / 2.0, strict=True)
            )
    return total


def exact_area(outline: Outline) -> float:
    """By a fine polygon along the pieces themselves, extrapolated from two step sizes (Richardson)."""

    def by(count: int) -> float:
        t = np.linspace(0.0, 1.0, count + 1)[:-1]
        rings = [np.vstack([edge.piece.at(t) for edge in loop]) for loop in outline.loops]
        return sum(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2.0 for x, y in (r.T for r in rings))

    coarse, fine = by(2000), by(4000)
    return fine + (fine - coarse) / 3.0


# Contours


@pytest.mark.parametrize("name", AREAS)
def test_contours_enclose_the_area_of_first_principles(tmp_path: Path, name: str) -> None:
    proof = write_svg(tmp_path / "part.svg", SAMPLES[name], title=name)
    assert proof.area == pytest.approx(AREAS[name], rel=1e-9)
    cut = layer(etree.parse(tmp_path / "part.svg").getroot(), "CUT")
    assert len(cut) == proof.contours == len(SAMPLES[name].loops)
    areas = [abs(area(shape)) for shape in cut]
    assert areas[-1] - sum(areas[:-1]) == pytest.approx(AREAS[name], rel=1e-8)


@pytest.mark.parametrize("name", SAMPLES)
def test_lengths_are_those_of_the_pieces(tmp_path: Path, name: str) -> None:
    found = [length(shape) for shape in layer(written(tmp_path, SAMPLES[name]), "CUT")]
    assert found == pytest.approx(exact_length(SAMPLES[name]), rel=1e-7)


def check_random(folder: Path, outline: Outline) -> None:
    cut = layer(written(folder, outline), "CUT")
    assert len(cut) == len(outline.loops)
    assert all(shape.tag == f"{SPACE}circle" or shape.get("d").count("M") == 1 for shape in cut)
    assert all(shape.tag == f"{SPACE}circle" or shape.get("d").endswith(" Z") for shape in cut)
    areas = [abs(area(shape)) for shape in cut]
    beziers = sum(edge.piece.length() for edge in outline.outer if isinstance(edge.piece, Bezier))
    assert areas[-1] - sum(areas[:-1]) == pytest.approx(exact_area(outline), rel=1e-7, abs=5e-4 * beziers)
    assert [length(shape) for shape in cut] == pytest.approx(exact_length(outline), rel=1e-6)
    for shape in cut:
        if shape.tag == f"{SPACE}path":
            parts = parse_path(shape.get("d"))
            assert parts.isclosed()
            assert min(abs(part.end - part.start) for part in parts) > 1e-6
    rim = parse_path(cut[-1].get("d"))
    lines = sum(isinstance(edge.piece, Line) for edge in outline.outer)
    lines += sum(isinstance(edge.piece, Bezier) and edge.piece.degree == 1 for edge in outline.outer)
    assert sum(isinstance(part, SvgLine) for part in rim) == lines
    bent = [edge.piece for edge in outline.outer if isinstance(edge.piece, (Arc, EllipseArc))]
    assert sum(isinstance(part, SvgArc) for part in rim) == sum(
        math.ceil(abs(piece.sweep) / (math.tau / 3.0) - 1e-9) for piece in bent
    )
    assert any(isinstance(part, CubicBezier) for part in rim) == (beziers > 0.0)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(outline=outlines(("line", "arc")))
def test_random_plates_of_lines_and_arcs(tmp_path: Path, outline: Outline) -> None:
    check_random(tmp_path, outline)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(outline=outlines())
def test_random_plates_of_every_kind_of_edge(tmp_path: Path, outline: Outline) -> None:
    check_random(tmp_path, outline)


def test_circles_stay_circles_and_holes_come_first(tmp_path: Path) -> None:
    cut = layer(written(tmp_path, RING), "CUT")
    assert [shape.tag for shape in cut] == [f"{SPACE}circle"] * 4
    assert [float(shape.get("r")) for shape in cut] == [15.6, 2.75, 2.75, 32.85]


def test_arcs_keep_their_radii_and_no_arc_is_so_long_that_its_centre_is_lost(tmp_path: Path) -> None:
    for name, radii in (("slotted", (3.0, 3.0)), ("shafted", (10.0, 10.0))):
        shape = layer(written(tmp_path, SAMPLES[name]), "CUT")[0]
        arcs = [part for part in parse_path(shape.get("d")) if isinstance(part, SvgArc)]
        assert {(arc.radius.real, arc.radius.imag) for arc in arcs} == {radii}
        assert max(abs(arc.delta) for arc in arcs) <= 120.001
        assert not any(arc.large_arc for arc in arcs)
    x, y = (float(number) for number in re.findall(r"[ML] (\S+) (\S+)", shape.get("d"))[0])
    # The flat at x = 7 begins sqrt(100 - 49) from the middle; with that the arcs' centre lies where the shaft's did.
    for arc in arcs:
        assert abs(arc.center - complex(x - 7.0, y + math.copysign(math.sqrt(51.0), arc.center.imag - y))) < 1e-7


def test_the_part_reads_as_on_the_template(tmp_path: Path) -> None:
    """SVG counts y downwards: what was above is at smaller y, and nothing is mirrored."""
    outline = Outline(circle(50.0), (hole(4.0, (30.0, 0.0)), hole(6.0, (0.0, 30.0))))
    aft, up, rim = layer(written(tmp_path, outline), "CUT")
    middle = complex(float(rim.get("cx")), float(rim.get("cy")))
    assert complex(float(aft.get("cx")), float(aft.get("cy"))) - middle == pytest.approx(30.0)
    assert complex(float(up.get("cx")), float(up.get("cy"))) - middle == pytest.approx(-30.0j)
    # An anticlockwise rim has a negative area where y runs down.
    *_, rim = layer(written(tmp_path, SAMPLES["slotted"]), "CUT")
    assert area(rim) == pytest.approx(-5700.0)


# The file


@pytest.mark.parametrize("name", SAMPLES)
def test_a_unit_is_a_millimetre_and_all_lies_on_the_page(tmp_path: Path, name: str) -> None:
    root = written(tmp_path, SAMPLES[name])
    wide, high = (re.fullmatch(r"([\d.]+)mm", root.get(key)) for key in ("width", "height"))
    assert wide
    assert high
    assert root.get("viewBox") == f"0 0 {wide[1]} {high[1]}"
    for shape in [shape for group in root.iter(f"{SPACE}g") for shape in group if shape.tag == f"{SPACE}path"]:
        left, right, top, foot = parse_path(shape.get("d")).bbox()
        assert 4.999 <= left < right <= float(wide[1]) - 4.999
        assert 4.999 <= top < foot <= float(high[1]) - 4.999


@pytest.mark.parametrize("name", SAMPLES)
def test_the_reference_square_is_100_mm_and_clear_of_the_part(tmp_path: Path, name: str) -> None:
    root = written(tmp_path, SAMPLES[name])
    square = layer(root, "REFERENCE")[0]
    sides = list(parse_path(square.get("d")))
    assert len(sides) == 4
    for side in sides:
        way = side.end - side.start
        assert sorted((abs(way.real), abs(way.imag))) == pytest.approx([0.0, 100.0], abs=1e-9)
    rim = layer(root, "CUT")[-1]
    right = float(rim.get("cx")) + float(rim.get("r")) if rim.get("d") is None else parse_path(rim.get("d")).bbox()[1]
    assert min(side.start.real for side in sides) >= right + 9.99


def test_layers_can_be_told_apart_without_colour(tmp_path: Path) -> None:
    root = written(tmp_path, RING)
    groups = {group.get("id"): group for group in root.iter(f"{SPACE}g")}
    assert list(groups) == ["CUT", "ENGRAVE", "REFERENCE"]
    assert all(group.get("fill") == "none" for group in groups.values())
    widths = {name: float(group.get("stroke-width")) for name, group in groups.items()}
    assert widths["CUT"] > widths["ENGRAVE"]
    assert [name for name, group in groups.items() if group.get("stroke-dasharray")] == ["REFERENCE"]
    assert not list(root.iter("{*}text")) or all(t.getparent().get("id") == "REFERENCE" for t in root.iter("{*}text"))
    assert b"transform" not in (tmp_path / "part.svg").read_bytes()


def test_the_words(tmp_path: Path) -> None:
    root = written(
        tmp_path,
        RING,
        title='Ring <1> & "2"',
        words=("birch plywood, 6.0 mm, measured",),
        failed_checks=("least margin",),
        marks=(Guide((Line((-15.6, 0.0), (-32.85, 0.0)),)), Label("AFT", (-24.0, -6.0)), Label("BORE", (0.0, 0.0))),
    )
    assert root.find(f"{SPACE}title").text == 'Ring <1> & "2"'
    words = [shape.text for shape in layer(root, "REFERENCE") if shape.tag == f"{SPACE}text"]
    assert sorted(words) == sorted(
        [
            "AFT",
            SQUARE_WORDS,
            "CHECK FAILED: least margin",
            'Ring <1> & "2"',
            "birch plywood, 6.0 mm, measured",
            NOMINAL,
        ]
    )
    (tick,) = layer(root, "ENGRAVE")
    assert parse_path(tick.get("d")).length() == pytest.approx(32.85 - 15.6)
    assert "Z" not in tick.get("d")


# Letters to engrave

LETTERS = tuple(shape.placed(-6.0, -26.0) for shape in letters("R8 i", 4.0))


def test_letters_are_engraved_as_closed_contours(tmp_path: Path) -> None:
    tick = Guide((Line((-15.6, 0.0), (-32.85, 0.0)),))
    root = written(tmp_path, RING, marks=(tick,), engrave=LETTERS)
    line, *engraved = layer(root, "ENGRAVE")
    assert parse_path(line.get("d")).length() == pytest.approx(32.85 - 15.6)
    loops = [loop for letter in LETTERS for loop in letter.loops]
    assert [abs(area(shape)) for shape in engraved] == pytest.approx(
        [abs(signed_area(loop)) for loop in loops], rel=1e-6
    )
    assert all(parse_path(shape.get("d")).isclosed() and shape.get("d").endswith(" Z") for shape in engraved)
    assert [shape.tag for shape in layer(root, "CUT")] == [f"{SPACE}circle"] * 4
    # Heads upwards: an i's dot, the last contour, is above its stem, at smaller y.
    stem, dot = (parse_path(shape.get("d")).bbox() for shape in engraved[-2:])
    assert dot[3] < stem[2]


def test_letters_that_are_not_on_the_part_are_refused(tmp_path: Path) -> None:
    for dx, dy in ((0.0, 12.0), (20.0, 11.0), (60.0, 0.0)):
        off = tuple(letter.placed(dx, dy) for letter in LETTERS)
        with pytest.raises(PartError, match=r"engrave: the letter from .* does not lie wholly on the part"):
            write_svg(tmp_path / "part.svg", RING, title="ring", engrave=off)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (r'(<g id="ENGRAVE"[^>]*>\n)<path[^>]*>\n', r"\1", "it has 6 contours of letters instead of 7"),
        (r'(<g id="ENGRAVE"[^>]*>\n<path d="M [^"L]*)L \S+ \S+ ', r"\1", "a letter to engrave encloses"),
        (r'(<g id="ENGRAVE"[^>]*>\n<path [^>]*) Z"', r'\1"', "not one closed path"),
    ],
)
def test_a_file_that_does_not_hold_the_letters_is_refused(tmp_path: Path, old: str, new: str, message: str) -> None:
    plan = cut_plan(RING, title="r", marks=(), words=(), failed_checks=(), size_words=NOMINAL, engrave=LETTERS[1:])
    more = cut_plan(RING, title="r", marks=(), words=(), failed_checks=(), size_words=NOMINAL, engrave=LETTERS)
    path = tmp_path / "part.svg"
    write_svg(path, RING, title="r", engrave=LETTERS)
    read_back(path, more, path.name)
    with pytest.raises(WriteError, match="contours of letters"):
        read_back(path, plan, path.name)
    text, count = re.subn(old, new, path.read_text(encoding="utf-8"))
    assert count == 1
    path.write_text(text, encoding="utf-8")
    with pytest.raises(WriteError, match=message):
        read_back(path, more, path.name)


# Refusals


def test_what_cannot_be_cut_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "part.svg"
    with pytest.raises(PartError, match="two edges lie on each other"):
        write_svg(path, Outline(circle(30.0), (hole(5.0), hole(5.0))), title="twice")
    with pytest.raises(PartError, match="a coordinate that is not a number"):
        write_svg(path, Outline(circle(30.0, (math.nan, 0.0))), title="nowhere")
    with pytest.raises(PartError, match="cannot print"):
        write_svg(path, RING, title="\x0b\x01")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("error", [KeyboardInterrupt, MemoryError])
@pytest.mark.parametrize("stage", ["write_bytes", "read_back"])
def test_an_interruption_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: type[BaseException], stage: str
) -> None:
    path = tmp_path / "part.svg"
    path.write_text("old")

    def stop(*_: Any) -> None:
        raise error

    monkeypatch.setattr(svg, stage, stop)
    with pytest.raises(error):
        write_svg(path, RING, title="ring")
    assert path.read_text() == "old"
    assert [item.name for item in tmp_path.iterdir()] == ["part.svg"]


SLOTTED = SAMPLES["slotted"]
TICK = (Guide((Line((30.0, 10.0), (50.0, 10.0)),)),)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (r"L 125 105", "L 125.01 105", "a contour encloses"),
        (r" A 3 3 ", " A 3.001 3.001 ", "a contour encloses"),
        (r" 0 0 1 ", " 0 0 0 ", "a contour encloses"),
        (r" Z", "", "not one closed path"),
        (r'<path d="M [^"]* A [^>]*/>\n', "", "it has 1 closed contours instead of 2"),
        (r'<g id="ENGRAVE"([^>]*)>\n<path[^>]*>', r'<g id="ENGRAVE"\1>', "lines to engrave are missing"),
        (r"nominal size", "size", "words are missing"),
        (r'mm" height', 'in" height', "in units of a millimetre"),
        (r'viewBox="0 0 ', 'viewBox="0 0 1', "in units of a millimetre"),
        (r"L 235 5 L", "L 234 5 L", "no reference square of 100 mm"),
        (r"</svg>", "", "does not read back as an SVG"),
    ],
)
def test_a_file_that_does_not_hold_the_part_is_refused(tmp_path: Path, old: str, new: str, message: str) -> None:
    plan = cut_plan(SLOTTED, title="Plate", marks=TICK, words=(), failed_checks=(), size_words=NOMINAL)
    path = tmp_path / "part.svg"
    write_svg(path, SLOTTED, title="Plate", marks=TICK)
    read_back(path, plan, path.name)
    text, count = re.subn(old, new, path.read_text(encoding="utf-8"))
    assert count, path.read_text(encoding="utf-8")
    path.write_text(text, encoding="utf-8")
    with pytest.raises(WriteError, match=message):
        read_back(path, plan, path.name)


def test_bytes_are_the_same_again_and_in_another_process(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from cut_samples import SAMPLES; "
        "from ferrule.parts.writers.svg import write_svg; "
        "[write_svg(Path(sys.argv[1]) / f'{n}.svg', o, title=n, failed_checks=('margin',)) for n, o in SAMPLES.items()]"
    )
    digests = set()
    for seed, zone in (("0", "Asia/Tokyo"), ("4", "America/Lima")):
        environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path), "PYTHONHASHSEED": seed, "TZ": zone}
        subprocess.run([sys.executable, "-c", code, str(tmp_path / seed)], check=True, env=environment)
    for name, outline in SAMPLES.items():
        write_svg(tmp_path / f"{name}.svg", outline, title=name, failed_checks=("margin",))
    for folder in (tmp_path / "0", tmp_path / "4", tmp_path):
        digests.add(tuple(hashlib.sha256((folder / f"{name}.svg").read_bytes()).hexdigest() for name in SAMPLES))
    assert len(digests) == 1
    assert b"\r" not in (tmp_path / "ring.svg").read_bytes()


# Drawings

WAVE = Bezier(((10.0, 10.0), (20.0, 30.0), (30.0, 10.0)))
ITEMS: tuple[Item, ...] = (
    CutLine(RING.placed(60.0, 50.0)),
    Trace((Line((10.0, 10.0), (110.0, 10.0)),), Pen.CENTRE_LINE),
    Trace((WAVE, Arc((30.0, 15.0), 5.0, -math.pi / 2.0, math.pi)), Pen.REFERENCE),
    Trace((Arc((60.0, 50.0), 40.0, 0.0, math.tau),), Pen.SEAM),
    Solid(((10.0, 80.0), (20.0, 80.0), (15.0, 90.0))),
    Text("CG & CP <at rest>", (30.0, 90.0), 12.0, bold=True),
    Text("upright", (5.0, 20.0), turn=math.pi / 2.0),
)


def drawn(folder: Path, items: tuple[Item, ...] = ITEMS, title: str = "Side view & figures") -> Any:
    write_drawing_svg(folder / "view.svg", items, 120.0, 100.0, title)
    return etree.parse(folder / "view.svg").getroot()


def test_a_drawing_has_a_shape_for_each_item_on_white(tmp_path: Path) -> None:
    root = drawn(tmp_path)
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("120mm", "100mm", "0 0 120 100")
    assert root.find(f"{SPACE}title").text == "Side view & figures"
    ground = root[1]
    assert [ground.tag, *(ground.get(key) for key in ("width", "height", "fill"))] == [
        f"{SPACE}rect",
        "120",
        "100",
        "#ffffff",
    ]
    tags = [shape.tag.removeprefix(SPACE) for shape in layer(root, "drawing")]
    assert tags == ["path", "path", "path", "circle", "polygon", "text", "text"]


def test_positions_are_turned_over(tmp_path: Path) -> None:
    _, axis, wave, ring, head, words, upright = layer(drawn(tmp_path), "drawing")
    assert axis.get("d") == "M 10 90 L 110 90"
    assert head.get("points") == "10,20 20,20 15,10"
    assert (ring.get("cx"), ring.get("cy"), ring.get("r")) == ("60", "50", "40")
    assert (words.get("x"), words.get("y")) == ("30", "10")
    assert upright.get("transform") == "rotate(-90 5 80)"
    cubic, *arcs = parse_path(wave.get("d"))
    # The parabola's middle, and the half circle that bulges aft.
    assert cubic.point(0.5) == pytest.approx(20.0 + 80.0j)
    assert arcs[-1].end == pytest.approx(30.0 + 80.0j)
    assert max(arc.point(t).real for arc in arcs for t in np.linspace(0.0, 1.0, 101)) == pytest.approx(35.0, abs=1e-3)


def test_pens_have_the_widths_and_dashes_of_the_sheets(tmp_path: Path) -> None:
    """ISO 128-2: widths of the 0.13, 0.18, 0.25, 0.35 series."""
    outline, axis, wave, ring, *_ = layer(drawn(tmp_path), "drawing")
    assert (axis.get("stroke-width"), axis.get("stroke-dasharray")) == ("0.13", "6 1.2 1.2 1.2")
    assert (wave.get("stroke-width"), wave.get("stroke-dasharray")) == ("0.18", "2.4 1.2")
    assert (ring.get("stroke-width"), ring.get("stroke-dasharray")) == ("0.18", "6 1 0.6 1 0.6 1")
    # 0.35 mm of it lie on the part: the clip takes the outer half away.
    assert (outline.get("stroke-width"), outline.get("clip-path")) == ("0.7", "url(#part-1)")


def test_a_cut_line_is_clipped_to_the_part(tmp_path: Path) -> None:
    root = drawn(tmp_path)
    (clip,) = root.iter(f"{SPACE}clipPath")
    assert clip.get("id") == "part-1"
    (path,) = clip
    assert path.get("clip-rule") == "evenodd"
    assert path.get("d") == layer(root, "drawing")[0].get("d")
    loops = parse_path(path.get("d")).continuous_subpaths()
    assert len(loops) == 4


def test_words_keep_their_width(tmp_path: Path) -> None:
    """Widths of Bitstream Vera Sans Bold, 12 pt, by reportlab's own metrics of that type."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    words = layer(drawn(tmp_path), "drawing")[5]
    pdfmetrics.registerFont(TTFont("Width", "VeraBd.ttf"))
    wide = pdfmetrics.stringWidth("CG & CP <at rest>", "Width", 12.0) * 25.4 / 72.0
    assert float(words.get("textLength")) == pytest.approx(wide, rel=2e-3)
    assert float(words.get("font-size")) == pytest.approx(12.0 * 25.4 / 72.0)
    assert (words.get("font-family"), words.get("font-weight"), words.get("stroke")) == ("sans-serif", "bold", "none")
    assert words.text == "CG & CP <at rest>"


def test_a_whole_page_can_be_drawn(tmp_path: Path) -> None:
    page = sheets("ring", A4)[0]
    items = (*page.art, *page.furniture)
    write_drawing_svg(tmp_path / "page.svg", items, A4.width, A4.height, "Page")
    found = layer(etree.parse(tmp_path / "page.svg").getroot(), "drawing")
    assert len(found) == len(items) > 50
    texts = [shape.text for shape in found if shape.tag == f"{SPACE}text"]
    assert texts == [item.words for item in items if isinstance(item, Text)]


@pytest.mark.parametrize(
    ("items", "size", "message"),
    [
        (ITEMS, (0.0, 100.0), "width: 0 mm of the drawing must be above 0 mm"),
        (ITEMS, (120.0, math.nan), "height: nan mm of the drawing must be above 0 mm"),
        (ITEMS, (math.inf, 100.0), "width: inf mm"),
        ((Text("手", (0.0, 0.0)),), (120.0, 100.0), "cannot print"),
        ((line((0.0, math.nan), (1.0, 0.0), Pen.BAR),), (120.0, 100.0), "a trace of the drawing has a coordinate"),
    ],
)
def test_what_cannot_be_drawn_is_refused(
    tmp_path: Path, items: tuple[Item, ...], size: tuple[float, float], message: str
) -> None:
    with pytest.raises(PartError, match=message):
        write_drawing_svg(tmp_path / "view.svg", items, *size, "View")
    assert list(tmp_path.iterdir()) == []


def test_a_drawing_that_lost_something_is_refused(tmp_path: Path) -> None:
    drawn(tmp_path)
    path = tmp_path / "view.svg"
    read_back_drawing(path, ITEMS, "view.svg")
    with pytest.raises(WriteError, match=r"view\.svg reads back with 7 shapes instead of 6"):
        read_back_drawing(path, ITEMS[:-1], "view.svg")
    with pytest.raises(WriteError, match="reads back with 'upright' where 'aft' was written"):
        read_back_drawing(path, (*ITEMS[:-1], Text("aft", (0.0, 0.0))), "view.svg")
    path.write_bytes(path.read_bytes()[:-10])
    with pytest.raises(WriteError, match="does not read back as an SVG"):
        read_back_drawing(path, ITEMS, "view.svg")


def test_an_interrupted_drawing_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "view.svg").write_text("old")

    def stop(*_: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(svg, "read_back_drawing", stop)
    with pytest.raises(KeyboardInterrupt):
        drawn(tmp_path)
    assert (tmp_path / "view.svg").read_text() == "old"
    assert len(list(tmp_path.iterdir())) == 1


def test_a_drawing_is_the_same_again(tmp_path: Path) -> None:
    drawn(tmp_path)
    first = (tmp_path / "view.svg").read_bytes()
    drawn(tmp_path, tuple(dataclasses.replace(item) for item in ITEMS))
    assert (tmp_path / "view.svg").read_bytes() == first


def test_a_tilted_ellipse_keeps_its_place(tmp_path: Path) -> None:
    """Every point that svgpathtools finds on the arcs fulfils the ellipse's equation."""
    arc = EllipseArc((60.0, 50.0), 40.0, 15.0, 0.4, 2.6, 0.7)
    outline = Outline((Edge(arc), *edges((Line(arc.end, arc.start),))))
    (shape,) = layer(drawn(tmp_path, (Trace((arc,), Pen.CUT),)), "drawing")
    (cut,) = layer(written(tmp_path, outline), "CUT")
    assert abs(area(cut)) == pytest.approx(600.0 * (2.6 - math.sin(2.6)) / 2.0, rel=1e-8)
    for part in parse_path(shape.get("d")):
        for t in np.linspace(0.0, 1.0, 21):
            x, y = part.point(t).real - 60.0, (100.0 - part.point(t).imag) - 50.0
            u = (math.cos(0.7) * x + math.sin(0.7) * y) / 40.0
            v = (math.cos(0.7) * y - math.sin(0.7) * x) / 15.0
            assert math.hypot(u, v) == pytest.approx(1.0, abs=1e-7)
