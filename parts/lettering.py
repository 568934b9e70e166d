"""Letters as exact outlines, for engraving and for raised or sunk words: the glyphs of one open font that is bundled.

The curves of the font are parabolas, which a Bezier of degree 2 holds exactly, so a letter is as exact as any other
edge of a part and depends on no font of the computer. Letters are set by their advances alone, without kerning.
See data/font/README.md for the font, its licence and how the data was made.
"""

from __future__ import annotations

import csv
import math
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import numpy as np

from .curve import Bezier, Floats, Line, Piece, Point
from .errors import PartError
from .shape import Edge, Loop, Outline, signed_area

_CAPITALS = 1493.0
"""Height of the capitals in the units of the font [-]."""


@dataclass(frozen=True, slots=True)
class Glyph:
    """One letter of a line of letters, in its own frame: +x along the line, +y up.

    Attributes:
        shapes: its connected shapes, their origin on the baseline in the middle of the letter's advance [mm]; none for
            a blank.
        middle: where that origin lies along the line [mm].
        advance: length of the line that the letter takes up [mm].
    """

    shapes: tuple[Outline, ...]
    middle: float
    advance: float


def has_letters(words: str) -> bool:
    """Whether the lettering has every letter of the words."""
    return all(letter in _table() for letter in unicodedata.normalize("NFC", words))


def glyphs(words: str, height: float) -> tuple[Glyph, ...]:
    """The letters of a line that starts at the origin, each with its place.

    Args:
        words: ASCII and Latin-1 letters, and some of other Latin alphabets.
        height: height of the capitals [mm], above 0.

    Raises:
        PartError: a letter is not there, or the height is none.
    """
    if not 0.0 < height < math.inf:
        raise PartError(f"height: letters of {height:g} mm; it must be above 0 mm")
    found: list[Glyph] = []
    start = 0.0
    for letter in unicodedata.normalize("NFC", words):
        if letter not in _table():
            raise PartError(f"letters: {words!r} has the letter {letter!r}, which the lettering does not have")
        advance = _table()[letter][0] * height / _CAPITALS
        found.append(Glyph(_shapes(letter, height), start + advance / 2.0, advance))
        start += advance
    return tuple(found)


def letters(words: str, height: float) -> tuple[Outline, ...]:
    """Outlines of words on the line from the origin along +x, one for each connected shape, with its holes.

    Args:
        words: as for `glyphs`.
        height: height of the capitals [mm], above 0.

    Raises:
        PartError: a letter is not there, or the height is none.
    """
    return tuple(shape.placed(glyph.middle, 0.0) for glyph in glyphs(words, height) for shape in glyph.shapes)


def width(words: str, height: float) -> float:
    """Length of the line that words take up [mm], for capitals of a height [mm].

    Raises:
        PartError: a letter is not there, or the height is none.
    """
    return sum(glyph.advance for glyph in glyphs(words, height))


def arc_letters(words: str, height: float, radius: float, middle_angle: float, inside: bool) -> tuple[Outline, ...]:
    """Outlines of words along a circle about the origin, every letter turned as a whole.

    Letters are spaced where they are narrowest on the arc, at their feet outside and at their heads inside, so that
    they come no closer than on a straight line.

    Args:
        words: as for `glyphs`.
        height: height of the capitals [mm], above 0.
        radius: the circle that the letters stand on [mm].
        middle_angle: direction of the middle of the words [rad], anticlockwise from +x.
        inside: True if their heads point to the middle of the circle and they run anticlockwise, as is upright at the
            foot of a ring; False if their heads point outwards and they run clockwise, as is upright at its top.

    Raises:
        PartError: a letter is not there, or the words do not go on the circle.
    """
    return tuple(
        shape.placed(x, y, turn)
        for glyph, x, y, turn in arc_places(words, height, radius, middle_angle, inside)
        for shape in glyph.shapes
    )


def arc_places(
    words: str, height: float, radius: float, middle_angle: float, inside: bool
) -> tuple[tuple[Glyph, float, float, float], ...]:
    """Each letter with the place (x, y) [mm] and turn [rad] that `arc_letters` gives it.

    Raises:
        PartError: a letter is not there, or the words do not go on the circle.
    """
    line = glyphs(words, height)
    length = sum(glyph.advance for glyph in line)
    narrowest = radius - height if inside else radius
    if not 0.0 < narrowest < math.inf or length > math.tau * narrowest:
        raise PartError(
            f"letters: {words!r}, {length:.4g} mm long and {height:g} mm high, do not go on a circle of {radius:g} mm "
            "radius"
        )
    way = 1.0 if inside else -1.0
    angles = [middle_angle + way * (glyph.middle - length / 2.0) / narrowest for glyph in line]
    return tuple(
        (glyph, radius * math.cos(angle), radius * math.sin(angle), angle + way * math.pi / 2.0)
        for glyph, angle in zip(line, angles, strict=True)
    )


@lru_cache(maxsize=1)
def _table() -> dict[str, tuple[float, str]]:
    """Advance and path of every letter, in units of the font."""
    text = files(__package__).joinpath("data", "font", "outlines.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return {chr(int(row["code"], 16)): (float(row["advance"]), row["path"]) for row in rows}


@lru_cache(maxsize=1024)
def _shapes(letter: str, height: float) -> tuple[Outline, ...]:
    advance, path = _table()[letter]
    scale = height / _CAPITALS

    def place(point: Point) -> Point:
        return ((point[0] - advance / 2.0) * scale, point[1] * scale)

    return _regions(
        [tuple(Edge(_piece([place(p) for p in poles])) for poles in poles_of) for poles_of in _contours(path)]
    )


def _piece(poles: list[Point]) -> Piece:
    return Line(poles[0], poles[1]) if len(poles) == 2 else Bezier(tuple(poles))


def _contours(path: str) -> Iterator[list[tuple[Point, ...]]]:
    """The poles of every piece of every closed contour, outer ones anticlockwise: the font's own run the other way."""
    found: list[tuple[Point, ...]] = []
    start = at = (0.0, 0.0)
    for command, text in re.findall(r"([MLHVQZ])([^MLHVQZ]*)", path):
        numbers = [float(number) for number in text.split()]
        if command == "M":
            start = at = (numbers[0], numbers[1])
            # What follows the first point of a contour are lines.
            numbers = numbers[2:]
        for poles in _steps(command, numbers, at) if command != "Z" else [(start,)]:
            if poles[-1] != at:
                found.append((*reversed(poles), at))
                at = poles[-1]
        if command == "Z":
            yield found[::-1]
            found = []


def _steps(command: str, numbers: list[float], at: Point) -> Iterator[tuple[Point, ...]]:
    """The points that each step of a command adds to the one before it."""
    if command == "H":
        yield from (((x, at[1]),) for x in numbers)
    elif command == "V":
        yield from (((at[0], y),) for y in numbers)
    else:
        points = list(zip(numbers[0::2], numbers[1::2], strict=True))
        size = 2 if command == "Q" else 1
        yield from (tuple(points[i : i + size]) for i in range(0, len(points), size))


def _regions(loops: list[Loop]) -> tuple[Outline, ...]:
    """Loops as regions: each hole belongs to the smallest outer loop round it."""
    areas = [signed_area(loop) for loop in loops]
    outer = sorted((area, index) for index, area in enumerate(areas) if area > 0.0)
    holes: dict[int, list[Loop]] = {index: [] for _, index in outer}
    for loop, area in zip(loops, areas, strict=True):
        if area < 0.0:
            holes[next(index for _, index in outer if _is_round(loops[index], loop[0].piece.start))].append(loop)
    return tuple(Outline(loops[index], tuple(holes[index])) for index in sorted(holes))


def _is_round(loop: Loop, point: Point) -> bool:
    """Whether a loop runs round a point, by the angle that it turns through as seen from there."""
    t: Floats = np.linspace(0.0, 1.0, 9)[:-1]
    away = np.vstack([edge.piece.at(t) for edge in loop]) - np.asarray(point)
    seen = away[:, 0] + 1j * away[:, 1]
    return abs(float(np.angle(np.roll(seen, -1) / seen).sum())) > math.pi
