"""Pieces as cubic Beziers, which is what pages know besides straight lines.

A cubic cannot follow a circle or a Bezier of higher degree exactly; each is cut until it is within `NEAR` of the piece.
"""

from __future__ import annotations

import math
from typing import TypeAlias

import numpy as np

from ..curve import Arc, Bezier, EllipseArc, Floats, Line, Piece, Point

NEAR = 5e-4
"""Largest distance [mm] of the cubics from the piece that they stand for: half a micrometre."""

LONGEST_ARC = math.pi / 6.0
"""Longest part of a circle [rad] drawn as one cubic."""

_ARC_ERROR = 3.8e-7 / LONGEST_ARC**6
"""Radial error of the usual cubic for a circle of radius 1, by the sixth power of its angle; 3.8e-7 at 30 degrees."""

Cubic: TypeAlias = tuple[Point, Point, Point, Point]


def cubics(piece: Piece) -> tuple[Cubic, ...]:
    """Cubic poles [mm] that follow a piece within `NEAR`; of a line the poles lie on it at its thirds."""
    if isinstance(piece, Line):
        return (_poles(np.asarray(piece.start), np.asarray(piece.end), np.subtract(piece.end, piece.start)),)
    if isinstance(piece, Bezier):
        return tuple(_bezier(piece, 0.0, 1.0, 20))
    return _arc(piece)


def _arc(piece: Arc | EllipseArc) -> tuple[Cubic, ...]:
    """The usual cubics, tangents of length 4/3 tan(angle / 4); an ellipse is the same ones of a circle, stretched."""
    largest = piece.radius if isinstance(piece, Arc) else max(piece.semi_x, piece.semi_y)
    longest = min(LONGEST_ARC, (NEAR / (_ARC_ERROR * largest)) ** (1.0 / 6.0))
    number = math.ceil(abs(piece.sweep) / longest - 1e-9)
    t = np.linspace(0.0, 1.0, number + 1)
    points, slopes = piece.at(t), piece.slope(t)
    points[0], points[-1] = piece.start, piece.end
    angle = abs(piece.sweep) / number
    reach = 4.0 / 3.0 * math.tan(angle / 4.0) / abs(piece.sweep)
    return tuple(
        _poles(points[i], points[i + 1], slopes[i] * reach * 3.0, slopes[i + 1] * reach * 3.0) for i in range(number)
    )


def _bezier(piece: Bezier, first: float, last: float, depth: int) -> list[Cubic]:
    """Hermite cubics; the distance at equal parameters bounds the true one from above."""
    part = piece.part(first, last) if (first, last) != (0.0, 1.0) else piece
    ends = part.slope(np.array([0.0, 1.0]))
    cubic = _poles(np.asarray(part.start), np.asarray(part.end), ends[0], ends[1])
    t = np.linspace(0.0, 1.0, 33)
    away = Bezier(cubic).at(t) - part.at(t)
    if depth == 0 or float(np.hypot(away[:, 0], away[:, 1]).max()) <= NEAR:
        return [cubic]
    middle = (first + last) / 2.0
    return [*_bezier(piece, first, middle, depth - 1), *_bezier(piece, middle, last, depth - 1)]


def _poles(start: Floats, end: Floats, leaving: Floats, arriving: Floats | None = None) -> Cubic:
    """Poles of the cubic with given ends and derivatives there [mm]."""
    arriving = leaving if arriving is None else arriving
    first, last = start + leaving / 3.0, end - arriving / 3.0
    a, b, c, d = ((float(x), float(y)) for x, y in (start, first, last, end))
    return a, b, c, d
