"""Pieces and cut faces on paper: drawn larger or smaller than the part, and of a detail what lies in its circle."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from ..chain import crossings
from ..curve import Arc, Bezier, EllipseArc, Floats, Line, Piece, Point
from .hatch import Circle, Face, Joined, Less, Region, Shared


def scaled_point(point: Point, by: float) -> Point:
    """A point drawn further from the origin, or nearer to it."""
    return (point[0] * by, point[1] * by)


def scaled(piece: Piece, by: float) -> Piece:
    """A piece drawn larger or smaller about the origin."""
    match piece:
        case Line():
            return Line(scaled_point(piece.start, by), scaled_point(piece.end, by))
        case Arc():
            return Arc(scaled_point(piece.centre, by), piece.radius * by, piece.start_angle, piece.sweep)
        case EllipseArc():
            return EllipseArc(
                scaled_point(piece.centre, by),
                piece.semi_x * by,
                piece.semi_y * by,
                piece.start_angle,
                piece.sweep,
                piece.tilt,
            )
        case Bezier():
            return Bezier(tuple(scaled_point(pole, by) for pole in piece.poles))


def enlarged(region: Region, by: float) -> Region:
    """A region drawn larger or smaller about the origin."""
    match region:
        case Face():
            return Face(region.points * by)
        case Joined():
            return Joined(tuple(enlarged(member, by) for member in region.members))
        case Less():
            return Less(enlarged(region.base, by), tuple(enlarged(tool, by) for tool in region.tools))
        case Shared():
            return Shared(enlarged(region.one, by), enlarged(region.other, by))


def clipped(piece: Piece, circle: Circle | None) -> list[Piece]:
    """The parts of a piece that lie in a circle; all of it where there is none."""
    if circle is None:
        return [piece]

    def past(points: Floats) -> Floats:
        return np.asarray(np.hypot(points[:, 0] - circle.centre[0], points[:, 1] - circle.centre[1]) - circle.radius)

    stops = sorted({0.0, 1.0, *(t for _, t in crossings((piece,), past))})
    parts = [piece.part(a, b) for a, b in pairwise(stops) if b - a > 1e-9]
    middle = np.array([0.5])
    return [part for part in parts if float(past(part.at(middle))[0]) < 0.0]
