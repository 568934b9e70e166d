"""The closed contours of a cut file: the pieces of an outline joined so that a machine cuts each in one go."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Sequence

import numpy as np

from ..chain import JOIN_TOLERANCE, Chain
from ..curve import Arc, Bezier, EllipseArc, Line, Piece, Point
from ..errors import PartError
from ..shape import Loop
from .cubic import cubics

SHORTEST = 1e-7
"""A piece no longer than this [mm] is a rounding step, which a machine would stop at; it is left out."""


def contour(loop: Loop) -> Chain:
    """The pieces of a closed loop as files want them: no steps of nothing, ends that meet within 1e-9 mm.

    An outline may be open by some 1e-7 mm, which is nothing in plywood and a missing corner to a machine. Lines and
    Beziers are moved to meet their neighbours, an arc is laid through both ends with its own sweep; an ellipse arc
    keeps its place and only where it misses another one becomes cubics that meet it.
    """
    pieces = tuple(simple for edge in loop if (simple := _simple(edge.piece)).length() > SHORTEST)
    circle = _whole_circle(pieces)
    if circle:
        return (circle,)
    pieces = tuple(part for piece in pieces for part in _half_turns(piece))
    corners = [
        before.end if isinstance(before, EllipseArc) and not isinstance(piece, EllipseArc) else piece.start
        for before, piece in zip((pieces[-1], *pieces[:-1]), pieces, strict=True)
    ]
    ends = (*corners[1:], corners[0])
    return tuple(
        part for piece, start, end in zip(pieces, corners, ends, strict=True) for part in _between(piece, start, end)
    )


def open_chain(pieces: Sequence[Piece]) -> Chain:
    """The pieces of a line to engrave, without steps of nothing."""
    return tuple(simple for piece in pieces if (simple := _simple(piece)).length() > SHORTEST)


def _simple(piece: Piece) -> Piece:
    """A round ellipse arc as an arc, a straight Bezier of two poles as a line."""
    if isinstance(piece, EllipseArc) and abs(piece.semi_x - piece.semi_y) <= 1e-12 * piece.semi_x:
        return Arc(piece.centre, piece.semi_x, piece.start_angle + piece.tilt, piece.sweep)
    if isinstance(piece, Bezier) and piece.degree == 1:
        return Line(piece.start, piece.end)
    return piece


def _whole_circle(pieces: Chain) -> Arc | None:
    first = pieces[0]
    if not isinstance(first, Arc):
        return None
    sweep = 0.0
    for piece in pieces:
        same = (
            isinstance(piece, Arc)
            and math.dist(piece.centre, first.centre) <= JOIN_TOLERANCE
            and abs(piece.radius - first.radius) <= JOIN_TOLERANCE
            and piece.sweep * first.sweep > 0.0
        )
        if not same:
            return None
        sweep += piece.sweep if isinstance(piece, Arc) else 0.0
    if abs(abs(sweep) - math.tau) * first.radius > SHORTEST:
        return None
    return Arc(first.centre, first.radius, first.start_angle, math.copysign(math.tau, sweep))


def _half_turns(piece: Piece) -> Chain:
    """An arc in parts of at most half a turn: beyond that its ends come close and no longer say where its centre is."""
    return split(piece, math.pi) if isinstance(piece, Arc) else (piece,)


def split(arc: Arc, longest: float) -> tuple[Arc, ...]:
    """An arc in equal parts of at most `longest` [rad]."""
    number = max(1, math.ceil(abs(arc.sweep) / longest - 1e-9))
    return tuple(arc.part(i / number, (i + 1) / number) for i in range(number)) if number > 1 else (arc,)


def _between(piece: Piece, start: Point, end: Point) -> Chain:
    """The piece moved by next to nothing so that it runs from one corner to the next."""
    if isinstance(piece, Line):
        return (Line(start, end),)
    if isinstance(piece, Bezier):
        return (Bezier((start, *piece.poles[1:-1], end)),)
    if max(math.dist(piece.start, start), math.dist(piece.end, end)) <= JOIN_TOLERANCE / 4.0:
        return (piece,)
    if isinstance(piece, Arc):
        return (_arc_through(start, end, piece.sweep),)
    poles = list(cubics(piece))
    poles[0] = (start, *poles[0][1:])
    poles[-1] = (*poles[-1][:3], end)
    return tuple(Bezier(cubic) for cubic in poles)


def _arc_through(start: Point, end: Point, sweep: float) -> Arc:
    """The circular arc of a given sweep [rad] between two points [mm]."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    away = 0.5 / math.tan(sweep / 2.0)
    centre = ((start[0] + end[0]) / 2.0 - dy * away, (start[1] + end[1]) / 2.0 + dx * away)
    radius = math.hypot(dx, dy) / 2.0 / abs(math.sin(sweep / 2.0))
    return Arc(centre, radius, math.atan2(start[1] - centre[1], start[0] - centre[0]), sweep)


def check_finite(pieces: Iterable[Piece]) -> None:
    """Every coordinate is a number.

    Raises:
        PartError: one is not.
    """
    for piece in pieces:
        numbers = np.hstack([np.ravel(value) for value in dataclasses.astuple(piece)])
        if not np.all(np.isfinite(numbers)):
            raise PartError(f"outline: a {type(piece).__name__.lower()} of it has a coordinate that is not a number")


def check_single(contours: Sequence[Chain]) -> None:
    """A line that is in the file twice is cut twice, and charred.

    Raises:
        PartError: two edges lie on each other.
    """
    seen: set[tuple[object, ...]] = set()
    for chain in contours:
        for piece in chain:
            if len(chain) == 1 and isinstance(piece, Arc):
                key: tuple[object, ...] = (_micro(piece.centre), round(piece.radius, 6))
            else:
                x, y = piece.at(np.array([0.5]))[0].tolist()
                key = (_micro((x, y)), frozenset((_micro(piece.start), _micro(piece.end))))
            if key in seen:
                raise PartError(
                    f"outline: two edges lie on each other at ({piece.start[0]:.3f}, {piece.start[1]:.3f}) mm; a "
                    "line is cut once"
                )
            seen.add(key)


def _micro(point: Point) -> Point:
    """A point to a millionth of a millimetre, without negative zeros, which differ in no set but in print."""
    return (round(point[0], 6) + 0.0, round(point[1], 6) + 0.0)
