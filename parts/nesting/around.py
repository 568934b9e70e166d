"""Outlines as polygons that hold them: what keeps clear of the polygon keeps clear of the outline.

The rim lies outside the true rim and every hole inside the true hole, by at most `NEAR`.
"""

from __future__ import annotations

import math

import numpy as np
from shapely import Polygon

from ..curve import Arc, Bezier, Floats, Line, Piece
from ..errors import PartError
from ..shape import Loop, Outline

NEAR = 0.05
"""Largest distance of a polygon from the outline that it stands for [mm]; at a sharp corner a few times that."""

_CHORD = 0.018
"""Largest distance of a chord from its curve [mm]; what the polygon is then grown by makes good for it."""

_GROWN = 0.02


def containing(outline: Outline, turn: float = 0.0) -> Polygon:
    """The polygon round an outline that is turned about its own origin.

    Args:
        outline: the outline [mm].
        turn: the turn [rad].

    Raises:
        PartError: the outline crosses itself.
    """
    turned = outline.placed(0.0, 0.0, turn) if turn else outline
    chords = Polygon(_ring(turned.outer), [_ring(hole) for hole in turned.holes])
    if not chords.is_valid:
        raise PartError("outline: it crosses or touches itself, and has no place on a sheet")
    found = chords.buffer(_GROWN, join_style="mitre")
    if not isinstance(found, Polygon):
        raise PartError("outline: it is not in one piece")
    return found


def _ring(loop: Loop) -> Floats:
    return np.vstack([edge.piece.at(np.linspace(0.0, 1.0, chords(edge.piece) + 1))[:-1] for edge in loop])


def chords(piece: Piece) -> int:
    """How many chords at even parameters keep within `_CHORD` of a piece [-]."""
    if isinstance(piece, Line) or (isinstance(piece, Bezier) and piece.degree == 1):
        return 1
    if isinstance(piece, Arc):
        # Sagitta of a chord over an angle: r (1 - cos(angle / 2)).
        widest = 2.0 * math.acos(max(1.0 - _CHORD / piece.radius, 0.0))
        return max(math.ceil(abs(piece.sweep) / widest), math.ceil(abs(piece.sweep) / (math.pi / 4.0)))
    number = 4
    while number < 4096 and _off(piece, number) > _CHORD:
        number *= 2
    return number


def _off(piece: Piece, number: int) -> float:
    """Largest distance of the piece from its chords [mm], looked at in seven places over each."""
    points = piece.at(np.linspace(0.0, 1.0, 8 * number + 1))
    start, end = points[:-1:8], points[8::8]
    along = end - start
    size = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-12)
    away = [points[k:-1:8] - start for k in range(1, 8)]
    return max(float(np.max(np.abs(along[:, 0] * d[:, 1] - along[:, 1] * d[:, 0]) / size)) for d in away)
