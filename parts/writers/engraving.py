"""Where words go on a cut piece: as large as they may be, clear of every edge and hole.

The place is looked for with the box of each letter, and what is found is held to the letters themselves.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

import numpy as np

from ..curve import Floats
from ..lettering import arc_letters, glyphs, letters
from ..rim import inside
from ..shape import Loop, Outline, circle, hole
from .on_part import off_part, rim_chords

LEAST_HEIGHT = 3.0
"""Height of the smallest capitals to engrave [mm]; smaller ones burn together (common practice)."""

MARGIN = 1.5
"""Least distance of a letter from an edge, a hole or another line to engrave [mm] (common practice)."""

_HEIGHTS = (6.0, 5.0, 4.5, 4.0, 3.5, LEAST_HEIGHT)
"""Heights that are tried [mm], the largest first."""

_CIRCLES = 9
_PLACES = 31
_SLACK = 0.02
"""How much more than the margin is looked for [mm], for the points that stand for curves."""


def fitted_on_disc(
    words: str, rim_radius: float, bore_radius: float, avoid: Sequence[Loop] = ()
) -> tuple[Outline, ...] | None:
    """Words along an arc in the free web of a ring or disc about the origin, or None where there is no room.

    Words that run round no more than half a turn are read without turning the piece, so those are looked for first. Of
    all places the largest letters are taken, then those nearest to the middle of the web, then those that stand upright
    at the top (heads outwards) or at the foot (heads inwards), as near to it as may be.

    Args:
        words: one line of letters, see `lettering.glyphs`.
        rim_radius: radius of the edge [mm].
        bore_radius: radius of the opening in the middle [mm]; 0 for none.
        avoid: holes, and other lines on the web, as loops [mm]; those that are not closed may be given as well.

    Raises:
        PartError: a letter is not there.
    """
    if not len(_line(words)[1]):
        return None
    points = _points(avoid)
    radii, angles = np.hypot(*points.T), np.arctan2(points[:, 1], points[:, 0])
    disc = Outline(circle(rim_radius), (hole(bore_radius),) if bore_radius > 0.0 else ())
    margin = MARGIN + _SLACK
    web = np.linspace(bore_radius, rim_radius, _CIRCLES)
    web = web[np.argsort(np.abs(web - web.mean()), kind="stable")]
    for widest, height, middle_radius in product((math.pi / 2.0, math.pi), _HEIGHTS, web.tolist()):
        places: list[tuple[float, bool, float, float]] = []
        for heads_in in (False, True):
            band = _band(words, height, middle_radius, heads_in)
            if (
                band is None
                or band.half > widest
                or not bore_radius + margin <= band.low < band.high <= rim_radius - margin
            ):
                continue
            upright = -math.pi / 2.0 if heads_in else math.pi / 2.0
            taken = angles[(radii > band.low - margin) & (radii < band.high + margin)]
            angle = _free_angle(taken, band.half + math.asin(margin / band.low), upright)
            if angle is not None:
                places.append((abs(angle - upright), heads_in, band.radius, angle))
        if places:
            _, heads_in, radius, angle = min(places)
            found = arc_letters(words, height, radius, angle, heads_in)
            if off_part(disc, found, MARGIN) is None:
                return found
    return None


@dataclass(frozen=True, slots=True)
class _Band:
    """The part of a web that words along an arc take up: from and to a radius [mm], and half of its angle [rad].

    `radius` is that of the circle that they stand on [mm].
    """

    radius: float
    low: float
    high: float
    half: float


@lru_cache(maxsize=64)
def _line(words: str) -> tuple[float, Floats]:
    """For capitals of 1 mm: length of a line of words [mm], and rows (middle, left, foot, right, head) [mm]."""
    line = glyphs(words, 1.0)
    rows = [(glyph.middle, *_box(glyph.shapes)) for glyph in line if glyph.shapes]
    return sum(glyph.advance for glyph in line), np.array(rows).reshape(-1, 5)


def _band(words: str, height: float, middle_radius: float, heads_in: bool) -> _Band | None:
    """The band of words whose heads and feet are as far from a circle; None where they do not go on it."""
    length, rows = _line(words)
    length, (middle, left, foot, right, head) = length * height, rows.T * height
    lowest, highest = float(foot.min()), float(head.max())
    way = -1.0 if heads_in else 1.0
    radius = middle_radius - way * (lowest + highest) / 2.0
    low, high = (radius - highest, radius - lowest) if heads_in else (radius + lowest, radius + highest)
    narrowest = radius - height if heads_in else radius
    if low <= MARGIN + _SLACK or narrowest <= 0.0 or length > math.tau * narrowest:
        return None
    sides = np.maximum(-left, right)
    half = np.abs(middle - length / 2.0) / narrowest + np.arctan2(sides, low)
    return _Band(radius, low, math.hypot(high, float(sides.max())), float(half.max()))


def _box(shapes: Sequence[Outline]) -> tuple[float, float, float, float]:
    """Smallest x and y, largest x and y of some shapes [mm]."""
    boxes = np.array([shape.box() for shape in shapes])
    (left, foot), (right, head) = boxes[:, :2].min(axis=0).tolist(), boxes[:, 2:].max(axis=0).tolist()
    return left, foot, right, head


def _free_angle(taken: Floats, reach: float, wanted: float) -> float | None:
    """The direction nearest to a wanted one that is further than `reach` from all that are taken [rad].

    It is given within half a turn of the wanted one.
    """
    if reach >= math.pi:
        return None
    step = reach + 1e-9
    tried = np.concatenate([[wanted], taken + step, taken - step])
    free = tried[np.all(_between(tried[:, None], taken[None]) > reach, axis=1)]
    away = (free - wanted + math.pi) % math.tau - math.pi
    return wanted + float(away[np.argmin(np.abs(away))]) if len(free) else None


def _between(some: Floats, others: Floats | float) -> Floats:
    """Angles between directions [rad], 0 to half a turn."""
    return np.asarray(np.abs((some - others + math.pi) % math.tau - math.pi))


def fitted_on_fin(words: str, outline: Outline, avoid: Sequence[Loop] = ()) -> tuple[Outline, ...] | None:
    """Words on a straight line in a flat piece, or None where there is no room.

    Of all places the largest letters are taken, along x where they go there and else along y, as near to the middle of
    the piece as may be.

    Args:
        words: one line of letters, see `lettering.glyphs`.
        outline: the piece [mm].
        avoid: other lines on it, as loops [mm]; those that are not closed may be given as well.

    Raises:
        PartError: a letter is not there.
    """
    left, foot, right, head = outline.box()
    if not len(_line(words)[1]):
        return None
    rim = rim_chords(outline)
    middle = np.array([(left + right) / 2.0, (foot + head) / 2.0])
    points = _points((*outline.loops, *avoid))
    across, up = np.linspace(left, right, _PLACES), np.linspace(foot, head, _PLACES)
    columns, rows = (index.ravel() for index in np.meshgrid(np.arange(_PLACES), np.arange(_PLACES)))
    order = np.argsort(np.hypot(across[columns] - middle[0], up[rows] - middle[1]), kind="stable")
    columns, rows = columns[order], rows[order]
    places = np.column_stack([across[columns], up[rows]])
    for height in _HEIGHTS:
        line = letters(words, height)
        x0, y0, x1, y1 = _box(line)
        size = np.array([x1 - x0, y1 - y0]) / 2.0 + MARGIN + _SLACK
        for turn, half in ((0.0, size), (math.pi / 2.0, size[::-1])):
            # The places are a grid: how many points lie within reach of each is a product of two small tables.
            near_x = (np.abs(points[:, 0] - across[:, None]) < half[0]).astype(np.float32)
            near_y = (np.abs(points[:, 1] - up[:, None]) < half[1]).astype(np.float32)
            free = places[(near_x @ near_y.T)[columns, rows] == 0.0]
            centred = [letter.placed(-(x0 + x1) / 2.0, -(y0 + y1) / 2.0) for letter in line]
            for x, y in free[inside(rim, free)].tolist():
                found = tuple(letter.placed(x, y, turn) for letter in centred)
                if off_part(outline, found, MARGIN) is None:
                    return found
    return None


def _points(loops: Sequence[Loop]) -> Floats:
    """Points along loops, shape (n, 2) [mm], a fifth of the margin apart or closer."""
    found = [np.empty((0, 2))]
    for loop in loops:
        for edge in loop:
            number = max(2, math.ceil(edge.piece.length() / (MARGIN / 5.0)) + 1)
            found.append(edge.piece.at(np.linspace(0.0, 1.0, number)))
    return np.concatenate(found)
