"""Letters against the font itself, as fontTools draws it, and against the widths that the sheets use.

Sources: the regular face that reportlab brings along, read by fontTools (paths, areas, advances); shapely for regions.
"""

from __future__ import annotations

import csv
import io
import math
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import reportlab
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.svgLib.path import parse_path
from fontTools.ttLib import TTFont
from shapely.geometry import Polygon
from shapely.ops import unary_union

import ferrule.parts
from ferrule.parts.curve import Bezier, Line
from ferrule.parts.errors import PartError
from ferrule.parts.lettering import arc_letters, letters, width
from ferrule.parts.shape import Loop, Outline, signed_area
from ferrule.parts.sheets import letters as sheets

UNIT = 3.0 / 1493.0
"""[mm] A unit of the font where capitals are 3 mm high: its H is 1493 units high."""

HOOKED = "ÇçŞş"
"""Letters whose two contours overlap in the font and are one here."""

DATA = files(ferrule.parts).joinpath("data", "font")
ROWS = {
    chr(int(row["code"], 16)): row
    for row in csv.DictReader(io.StringIO(DATA.joinpath("outlines.csv").read_text(encoding="utf-8")))
}
LETTERS = "".join(ROWS)


@cache
def font() -> TTFont:
    return TTFont(Path(reportlab.__file__).parent / "fonts" / "Vera.ttf")


def drawn(letter: str, pen: Any) -> Any:
    font().getGlyphSet()[font().getBestCmap()[ord(letter)]].draw(pen)
    return pen


def own_path(letter: str) -> str:
    return str(drawn(letter, SVGPathPen(font().getGlyphSet())).getCommands())


def own_area(letter: str) -> float:
    """By the font's own pen; outer contours of TrueType run clockwise, which it counts as negative."""
    return -float(drawn(letter, AreaPen(font().getGlyphSet())).value)


def chords(loop: Loop, number: int = 65) -> np.ndarray:
    t = np.linspace(0.0, 1.0, number)[:-1]
    return np.vstack([edge.piece.at(t[:1] if isinstance(edge.piece, Line) else t) for edge in loop])


def region(outline: Outline, number: int = 65) -> Polygon:
    return Polygon(chords(outline.outer, number), [chords(hole, number) for hole in outline.holes])


def area(shapes: tuple[Outline, ...]) -> float:
    return sum(signed_area(loop) for shape in shapes for loop in shape.loops)


def test_the_letters_that_are_there() -> None:
    assert set(map(chr, range(0x20, 0x7F))) <= set(LETTERS)
    assert set(map(chr, range(0xA1, 0x100))) - {"\xad"} <= set(LETTERS)
    assert {"°", "×", "ß", "Ø"} <= set(LETTERS)


def test_the_data_is_what_the_font_draws() -> None:
    for letter, row in ROWS.items():
        assert int(row["advance"]) == font()["hmtx"][font().getBestCmap()[ord(letter)]][0], letter
        if letter not in HOOKED:
            assert row["path"] == own_path(letter), letter
    capital = font()["glyf"]["H"]
    assert (capital.yMin, capital.yMax) == (0, 1493)


def test_the_hooked_letters_are_the_union_of_what_the_font_lays_over_each_other() -> None:
    for letter in HOOKED:
        contours = [part + "Z" for part in own_path(letter).split("Z") if part]
        assert len(contours) == 2
        union = unary_union([flattened(contour) for contour in contours])
        (shape,) = letters(letter, 1493.0)
        ours = region(shape, 257)
        # Points to 1/1000 unit along some 8000 units of rim, and chords on both sides.
        assert ours.symmetric_difference(union).area < 8.0
        assert area((shape,)) < own_area(letter) - 1000.0


def flattened(path: str) -> Polygon:
    """A contour as a polygon, by fontTools' own reader of paths."""
    points: list[tuple[float, float]] = []

    class Flat:
        def moveTo(self, point: Any) -> None:  # noqa: N802  the protocol of pens
            points.append(point)

        lineTo = moveTo  # noqa: N815

        def qCurveTo(self, *poles: Any) -> None:  # noqa: N802
            (x0, y0), (x1, y1), (x2, y2) = points[-1], *poles
            for t in np.linspace(0.0, 1.0, 257)[1:].tolist():
                a, b, c = (1.0 - t) ** 2, 2.0 * t * (1.0 - t), t * t
                points.append((a * x0 + b * x1 + c * x2, a * y0 + b * y1 + c * y2))

        def closePath(self) -> None:  # noqa: N802
            pass

        endPath = closePath  # noqa: N815

    parse_path(path, Flat())
    return Polygon(points)


def test_areas_are_those_of_the_font() -> None:
    for letter in LETTERS:
        if letter not in HOOKED:
            assert area(letters(letter, 3.0)) == pytest.approx(own_area(letter) * UNIT**2, rel=1e-9, abs=1e-12), letter


def test_every_letter_is_made_of_valid_regions_that_stay_apart() -> None:
    for letter in LETTERS:
        shapes = [region(shape) for shape in letters(letter, 3.0)]
        assert all(shape.is_valid for shape in shapes), letter
        assert unary_union(shapes).area == pytest.approx(sum(shape.area for shape in shapes), rel=1e-9), letter
        assert all(a.disjoint(b) for i, a in enumerate(shapes) for b in shapes[:i]), letter


@pytest.mark.parametrize(
    ("letter", "holes"),
    [
        ("0", [1]),
        ("8", [2]),
        ("A", [1]),
        ("B", [2]),
        ("I", [0]),
        ("%", [0, 1, 1]),
        ("i", [0, 0]),
        ("j", [0, 0]),
        ("=", [0, 0]),
        ("ä", [0, 0, 1]),
        ("Å", [2]),
        ("©", [0, 1]),
        ("Ç", [0]),
        (" ", []),
    ],
)
def test_shapes_and_holes_of_a_letter(letter: str, holes: list[int]) -> None:
    assert sorted(len(shape.holes) for shape in letters(letter, 3.0)) == holes


def test_curves_are_the_parabolas_of_the_font_and_not_chords() -> None:
    (shape,) = letters("O", 3.0)
    assert all(isinstance(edge.piece, Bezier) and edge.piece.degree == 2 for loop in shape.loops for edge in loop)
    assert own_path("O").count("Q") == sum(len(loop) for loop in shape.loops)


def test_capitals_have_the_height_and_stand_on_the_line() -> None:
    (shape,) = letters("H", 5.0)
    assert shape.box()[1::2] == pytest.approx((0.0, 5.0), abs=1e-12)
    (first, second) = letters("HH", 5.0)
    assert second.box()[0] - first.box()[0] == pytest.approx(width("H", 5.0))
    assert letters("g", 5.0)[0].box()[1] < -1.0


def test_widths_are_those_of_the_sheets() -> None:
    words = "MARRAM R2 0123456789 Åß×° 38 % jig"
    size = 2048.0 / 1493.0 * 3.0 / sheets.POINT
    assert width(words, 3.0) == pytest.approx(sheets.width(words, size), rel=1e-12)
    for letter in LETTERS:
        assert width(letter, 3.0) == pytest.approx(sheets.width(letter, size), rel=1e-12)


@pytest.mark.parametrize("inside", [False, True])
def test_letters_on_an_arc_stand_on_it_and_keep_their_shape(inside: bool) -> None:
    words, radius, middle = "RING 8 i", 24.0, 2.0
    straight, bent = letters(words, 3.0), arc_letters(words, 3.0, radius, middle, inside)
    assert [region(shape).area for shape in bent] == pytest.approx([region(shape).area for shape in straight])
    assert unary_union([region(shape) for shape in bent]).area == pytest.approx(area(straight), rel=1e-4)
    radii = np.concatenate([np.hypot(*chords(shape.outer).T) for shape in bent])
    if inside:
        assert radii.max() == pytest.approx(radius, abs=0.08)
        # The dot of an i reaches 1556 units where capitals have 1493.
        assert radii.min() == pytest.approx(radius - 3.0, abs=0.15)
    else:
        assert radii.min() == pytest.approx(radius, abs=0.08)
        assert radii.max() == pytest.approx(radius + 3.0, abs=0.15)
    centres = [region(shape).centroid for shape in bent]
    angles = np.unwrap([math.atan2(centre.y, centre.x) for centre in centres])
    assert (angles[-1] - angles[0] > 0.0) == inside


@pytest.mark.parametrize(("inside", "narrowest"), [(False, 24.0), (True, 21.0)])
def test_letters_on_an_arc_keep_their_distance_where_they_are_narrowest(inside: bool, narrowest: float) -> None:
    centres = [region(shape).centroid for shape in arc_letters("HHHHH", 3.0, 24.0, 2.0, inside)]
    angles = np.unwrap([math.atan2(centre.y, centre.x) for centre in centres])
    step = width("H", 3.0) / narrowest * (1.0 if inside else -1.0)
    # An H is as wide to the left of its middle as to the right.
    assert angles == pytest.approx(2.0 + step * np.arange(-2, 3), abs=1e-9)


def test_words_on_an_arc_are_upright_at_its_top_and_at_its_foot() -> None:
    for angle, inside in ((math.pi / 2.0, False), (-math.pi / 2.0, True)):
        (shape,) = arc_letters("H", 3.0, 20.0, angle, inside)
        (plain,) = letters("H", 3.0)
        left, low, right, high = plain.box()
        level = 20.0 if not inside else -20.0
        middle = (left + right) / 2.0
        assert shape.box() == pytest.approx((left - middle, level + low, right - middle, level + high), abs=0.01)


def test_refusals() -> None:
    with pytest.raises(PartError, match=r"'MARRAM Ω' has the letter 'Ω', which the lettering does not have"):
        letters("MARRAM Ω", 3.0)
    with pytest.raises(PartError, match="has the letter '\\\\n'"):
        width("two\nlines", 3.0)
    for height in (0.0, -1.0, math.nan, math.inf):
        with pytest.raises(PartError, match="height: "):
            letters("A", height)
    with pytest.raises(PartError, match="do not go on a circle of 5 mm radius"):
        arc_letters("A LONG LINE OF WORDS", 3.0, 5.0, 0.0, False)
    with pytest.raises(PartError, match="do not go on a circle"):
        arc_letters("A", 3.0, 3.0, 0.0, True)


def test_a_letter_and_its_accent_may_come_apart() -> None:
    """Unicode normalisation form C: a combining ring is the letter Å."""
    assert letters("A\u030a", 3.0) == letters("Å", 3.0)


def test_the_licence_goes_with_the_data() -> None:
    licence = " ".join(DATA.joinpath("LICENSE.txt").read_text(encoding="utf-8").split())
    original = (Path(reportlab.__file__).parent / "fonts" / "bitstream-vera-license.txt").read_text(encoding="utf-8")
    assert licence.startswith("Bitstream Vera Fonts Copyright")
    assert licence in " ".join(original.split())
    assert "The above copyright and trademark notices and this permission notice shall be included" in licence
    assert "fonts at gnome dot org" in licence
