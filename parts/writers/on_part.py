"""Which marks of a template, and which letters, lie on the part itself, so that a machine may engrave them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ..chain import Chain
from ..curve import Floats, Line, Piece
from ..marks import Guide, Label, Mark
from ..rim import chords, distances, inside
from ..shape import Outline
from ..sheets.settling import settle
from ..sheets.sheet import Text
from .contours import open_chain

_ON_THE_CUT = 0.05
"""Distance from the rim within which a line is the cut itself [mm]."""

_SAMPLE_STEP = 0.5
"""Distance of the points at which a line is looked at [mm]."""


def lying_on_part(outline: Outline, marks: Sequence[Mark]) -> tuple[tuple[Text, ...], tuple[Chain, ...]]:
    """Words and lines of the marks that lie on the part, whatever their pen on paper, which a beam does not have.

    A dimension, a leader or hatching has no business on plywood.
    """
    rim = rim_chords(outline)
    words: list[Text] = []
    lines: list[Chain] = []
    for one in settle(outline, marks, 0.0):
        mark = one.mark
        if not isinstance(mark, (Guide, Label)):
            continue
        for text in one.drawn.words:
            if text not in words and _words_lie_on_it(rim, text):
                words.append(text)
        if isinstance(mark, Guide):
            chain = open_chain(mark.pieces)
            if chain and chain not in lines and all(_on_material(rim, piece) for piece in chain):
                lines.append(chain)
    return tuple(words), tuple(lines)


def off_part(outline: Outline, letters: Sequence[Outline], margin: float = _ON_THE_CUT) -> Outline | None:
    """The first of some letters that does not lie wholly on the material, or None if all do.

    Args:
        outline: the part.
        letters: the letters, in its coordinates.
        margin: least distance of a letter from every edge of the part [mm].
    """
    rim = rim_chords(outline)
    low, high = rim.min(axis=1), rim.max(axis=1)
    on_it = inside(rim, np.array([letter.outer[0].piece.start for letter in letters]).reshape(-1, 2))
    for letter, lies_on_it in zip(letters, on_it, strict=True):
        left, foot, right, head = letter.box()
        near = rim[np.all((high > (left - margin, foot - margin)) & (low < (right + margin, head + margin)), axis=1)]
        if not lies_on_it or (len(near) and _too_close(near, rim_chords(letter, 17), margin)):
            return letter
    return None


def _too_close(rim: Floats, own: Floats, margin: float) -> bool:
    """Whether two sets of chords cross or come within a margin [mm], or a part of the rim lies in the letter."""
    return (
        _nearest(rim, own[:, 0]) <= margin
        or _nearest(own, rim.reshape(-1, 2)) <= margin
        or bool(np.any(inside(own, rim[:, 0])))
        or _cross(rim, own)
    )


def _cross(some: Floats, others: Floats) -> bool:
    """Whether any chord of one set, shape (n, 2, 2), crosses one of another set, shape (m, 2, 2)."""

    def sides(chords: Floats, points: Floats) -> Floats:
        """On which side of each chord each point lies, shape (chords, points)."""
        along = chords[:, 1] - chords[:, 0]
        away = points[None, :, :] - chords[:, None, 0]
        return np.asarray(np.sign(along[:, None, 0] * away[:, :, 1] - along[:, None, 1] * away[:, :, 0]))

    apart = sides(some, others[:, 0]) * sides(some, others[:, 1]) < 0.0
    across = sides(others, some[:, 0]) * sides(others, some[:, 1]) < 0.0
    return bool(np.any(apart & across.T))


def _words_lie_on_it(rim: Floats, text: Text) -> bool:
    corners = text.corners()
    return all(_on_material(rim, Line(a, b)) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True))


def _on_material(rim: Floats, piece: Piece) -> bool:
    """Whether a line lies on the part. It may end on the rim but not run along it: that is cut already."""
    number = min(max(math.ceil(piece.length() / _SAMPLE_STEP), 49), 2000)
    points = piece.at(np.linspace(0.02, 0.98, number))
    middle = points[number // 8 : -(number // 8)]
    return bool(np.all(inside(rim, points))) and _nearest(rim, middle) > _ON_THE_CUT


def rim_chords(outline: Outline, points: int = 513) -> Floats:
    """Short chords round all loops, shape (n, 2, 2) [mm]; with 513 points a curve within some micrometres of it."""
    return chords(outline.loops, points)


def _nearest(rim: Floats, points: Floats) -> float:
    """Smallest distance [mm] of points (n, 2) from the rim."""
    return float(distances(rim, points).min(initial=math.inf))
