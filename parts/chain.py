"""Chains of pieces: fitting a smooth curve, true normal offset, cutting, and where a chain meets a line.

A chain is a tuple of pieces, each starting where the one before it ends.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, partial
from itertools import pairwise
from typing import Protocol, TypeAlias

import numpy as np

from .curve import HIGHEST_DEGREE, Arc, Bezier, Floats, Line, Piece, Point, bernstein, bisect, crowded, normals

Chain: TypeAlias = tuple[Piece, ...]

FIT_TOLERANCE = 1e-6
"""Largest distance [mm] of a fitted chain from the curve it stands for: 0.001 micrometres."""

JOIN_TOLERANCE = 1e-9
"""Two piece ends closer than this [mm] are the same point."""

_SAMPLES = crowded(401)
"""Crowded towards the ends: the offset of a Haack body leaves the plane of the base within micrometres of its end."""


@dataclass(frozen=True, slots=True)
class Flat:
    """How many derivatives of x and of y are known to vanish at one end of a curve [-].

    A profile that stands upright at its tip, run in its smooth parameter, starts with zero derivatives. An
    interpolation knows them only to rounding, and the kernel refuses to revolve a profile that leaves its own axis.
    """

    x: int = 0
    y: int = 0


def fit(
    function: Callable[[Floats], Floats],
    first: float,
    last: float,
    tolerance: float = FIT_TOLERANCE,
    start: Flat = Flat(),
    end: Flat = Flat(),
) -> Chain:
    """Bezier chain of degree 9 through a smooth parametric curve.

    Least squares at Chebyshev-Lobatto nodes with both ends held; the range is halved until the distance at equal
    parameters, which bounds the true distance from above, is within the tolerance.

    Args:
        function: positions [mm], shape (n, 2), for parameters (n,) [-].
        first: parameter at the start [-].
        last: parameter at the end [-].
        tolerance: largest distance from the curve [mm].
        start: derivatives that vanish at the start.
        end: derivatives that vanish at the end.

    Returns:
        The pieces, usually one to five.

    Raises:
        ValueError: the curve is too rough to follow in pieces of a 4,096th of its range.
    """
    return tuple(_fit(function, first, last, tolerance, start, end, 12))


def _fit(
    function: Callable[[Floats], Floats],
    first: float,
    last: float,
    tolerance: float,
    start: Flat,
    end: Flat,
    depth: int,
) -> list[Bezier]:
    values = function(first + (last - first) * _NODES)
    x = _poles(values[:, 0], start.x, end.x)
    y = _poles(values[:, 1], start.y, end.y)
    piece = Bezier(tuple(zip(x.tolist(), y.tolist(), strict=True)))
    t = np.linspace(0.0, 1.0, 101)
    away = piece.at(t) - function(first + (last - first) * t)
    if float(np.hypot(away[:, 0], away[:, 1]).max()) <= tolerance:
        return [piece]
    if depth == 0:
        raise ValueError("the curve is too rough to follow with Bezier pieces")
    middle = (first + last) / 2.0
    return [
        *_fit(function, first, middle, tolerance, start, Flat(), depth - 1),
        *_fit(function, middle, last, tolerance, Flat(), end, depth - 1),
    ]


_NODES = crowded(25)


@cache
def _solver(flat_start: int, flat_end: int) -> tuple[Floats, Floats, Floats]:
    """Weights of the held poles at each end, and the matrix that solves for the free ones."""
    basis = bernstein(HIGHEST_DEGREE, _NODES)
    low, high = flat_start + 1, HIGHEST_DEGREE - flat_end
    return (
        np.asarray(basis[:, :low].sum(axis=1)),
        np.asarray(basis[:, high:].sum(axis=1)),
        np.asarray(np.linalg.pinv(basis[:, low:high]), dtype=np.float64),
    )


def _poles(values: Floats, flat_start: int, flat_end: int) -> Floats:
    at_start, at_end, solve = _solver(flat_start, flat_end)
    # Rounded to 1e-9 mm: the last bits of a linear solver differ between its releases, and files shall not.
    free = np.round(solve @ (values - at_start * values[0] - at_end * values[-1]), 9)
    return np.concatenate([np.full(flat_start + 1, values[0]), free, np.full(flat_end + 1, values[-1])])


def offset(chain: Chain, distance: float, tolerance: float = FIT_TOLERANCE) -> Chain:
    """True normal offset of every piece, `distance` [mm] to the left of the direction of travel.

    Lines and arcs give lines and arcs; the others are fitted anew. The pieces keep their order; a corner of the chain
    leaves a gap that the caller closes.

    Raises:
        ValueError: a piece folds.
    """
    pieces: list[Piece] = []
    for piece in chain:
        if isinstance(piece, (Line, Arc)):
            pieces.append(piece.offset(distance))
        else:
            pieces.extend(fit(offset_curve(piece, distance), 0.0, 1.0, tolerance))
    return tuple(pieces)


def offset_curve(piece: Piece, distance: float) -> Callable[[Floats], Floats]:
    """Position by parameter of a piece's true normal offset, `distance` [mm] to the left of its travel."""
    return lambda t: piece.at(t) + distance * normals(piece, t)


def started_at(piece: Piece, point: Point) -> Piece:
    """A piece with its first point set to what it is known to be, where it is free to move by rounding."""
    if isinstance(piece, Line):
        return Line(point, piece.end)
    if isinstance(piece, Bezier):
        return Bezier((point, *piece.poles[1:]))
    return piece


def reverse(chain: Chain) -> Chain:
    """The chain run the other way."""
    return tuple(piece.reversed() for piece in reversed(chain))


class Sampled(Protocol):
    """Whatever has a position for each parameter."""

    def at(self, t: Floats) -> Floats:
        """Positions (n, 2) [mm] at the parameters `t` (n,) [-]."""
        ...


def crossings(chain: Sequence[Sampled], height: Callable[[Floats], Floats]) -> list[tuple[int, float]]:
    """Where a chain passes through zero of a function of position.

    Args:
        chain: the pieces.
        height: signed distance (n,) for positions (n, 2) [mm].

    Returns:
        (index of the piece, parameter in it) in order along the chain.
    """
    found: list[tuple[int, float]] = []
    t = _SAMPLES
    for index, piece in enumerate(chain):
        values = height(piece.at(t))
        for i in np.flatnonzero((values[:-1] < 0.0) != (values[1:] < 0.0)):
            found.append((index, bisect(partial(_height_at, piece, height), float(t[i]), float(t[i + 1]))))
    return found


def _height_at(piece: Sampled, height: Callable[[Floats], Floats], t: float) -> float:
    return float(height(piece.at(np.array([t])))[0])


def cut(chain: Chain, first: tuple[int, float] | None, last: tuple[int, float] | None) -> Chain:
    """The chain between two places as `crossings` names them; None means its own end."""
    i, s = first if first else (0, 0.0)
    j, e = last if last else (len(chain) - 1, 1.0)
    if i == j:
        return (chain[i].part(s, e),)
    pieces = [chain[i].part(s, 1.0) if s < 1.0 else None, *chain[i + 1 : j], chain[j].part(0.0, e) if e > 0.0 else None]
    return tuple(piece for piece in pieces if piece is not None)


def gaps(chain: Sequence[Piece], closed: bool) -> float:
    """Largest distance [mm] between the end of a piece and the start of the next."""
    pairs = list(pairwise(chain))
    if closed:
        pairs.append((chain[-1], chain[0]))
    return max((math.dist(a.end, b.start) for a, b in pairs), default=0.0)


def end_of(chain: Chain) -> Point:
    """Last point of a chain [mm]."""
    return chain[-1].end
