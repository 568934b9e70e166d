"""Faces of a turned part that look down, from its exact section."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from ..parts.chain import crossings
from ..parts.curve import Floats, Line, Piece, bisect, normals
from ..parts.shape import Meridian
from .overhang import NUDGE, SAME, Form, Overhang, Side

_SLACK = 1e-4
"""An exact face may lean further than the limit by this [rad]: a flank drawn at the limit keeps to it."""


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A part of one piece of a section that leans out too far: piece, parameters, and the sine of its worst lean."""

    number: int
    piece: Piece
    first: float
    last: float
    worst: float

    @property
    def is_flat(self) -> bool:
        return isinstance(self.piece, Line) and abs(self.piece.end[0] - self.piece.start[0]) <= SAME

    def points(self) -> Floats:
        return self.piece.at(np.linspace(self.first, self.last, 65))


def of_section(meridian: Meridian, up: float, bed: float, limit: float) -> Iterator[Overhang]:
    """Overhangs of a turned part that stands on end.

    Args:
        meridian: its section.
        up: 1 where +x points up, -1 where it points down.
        bed: station on which it stands [mm].
        limit: largest lean from the vertical [rad].
    """
    pieces = tuple(edge.piece for edge in meridian.edges)
    stretches = [
        stretch
        for number, piece in enumerate(pieces)
        if max(piece.start[1], piece.end[1]) > SAME and piece.length() > SAME
        for stretch in _leaning(number, piece, up, limit)
    ]
    for group in _runs(stretches):
        points = np.vstack([stretch.points() for stretch in group])
        heights = (points[:, 0] - bed) * up
        low, high = float(heights.min()), float(heights.max())
        widest, narrowest = float(points[:, 1].max()), float(points[:, 1].min())
        flat = group[0].is_flat
        if flat and high <= SAME:
            continue
        side = _side(pieces, group[len(group) // 2])
        form: Form = "roof" if narrowest <= SAME and side == "inside" else "ledge" if flat else "leaning"
        across = 2.0 * widest if form == "roof" else widest - narrowest
        angle = math.asin(min(max(stretch.worst for stretch in group), 1.0))
        yield Overhang(side, form, max(low, 0.0), max(high, 0.0), angle, across)


def _leaning(number: int, piece: Piece, up: float, limit: float) -> Iterator[_Stretch]:
    """The parts of a piece that look down and lean out too far."""
    floor = math.sin(limit + _SLACK)
    if isinstance(piece, Line):
        lean = float(_lean(piece, up, np.array([0.5]))[0])
        if lean > floor:
            yield _Stretch(number, piece, 0.0, 1.0, lean)
        return
    t = (1.0 - np.cos(np.pi * np.linspace(0.0, 1.0, 513))) / 2.0
    over = _lean(piece, up, t) > floor
    beyond = partial(_beyond, piece, up, floor)
    changes = [bisect(beyond, float(t[i]), float(t[i + 1])) for i in np.flatnonzero(over[:-1] != over[1:])]
    places = [*([0.0] if over[0] else []), *changes, *([1.0] if over[-1] else [])]
    for first, last in zip(places[::2], places[1::2], strict=True):
        worst = float(_lean(piece, up, np.linspace(first, last, 257)).max())
        yield _Stretch(number, piece, first, last, worst)


def _lean(piece: Piece, up: float, t: Floats) -> Floats:
    """Sine of the lean from the vertical (n,) [-]; above 0 where the face looks down.

    The outside runs aft, so the material lies to the right of the travel.
    """
    return np.asarray(-up * normals(piece, t)[:, 0])


def _beyond(piece: Piece, up: float, floor: float, t: float) -> float:
    return float(_lean(piece, up, np.array([t]))[0]) - floor


def _runs(stretches: list[_Stretch]) -> Iterator[list[_Stretch]]:
    """Stretches that run on into each other; flat ones stand alone."""
    group: list[_Stretch] = []
    for one in stretches:
        before = group[-1] if group else None
        joined = (
            before is not None
            and not (before.is_flat or one.is_flat)
            and one.number == before.number + 1
            and one.first == 0.0
            and before.last == 1.0
        )
        if group and not joined:
            yield group
            group = []
        group.append(one)
    if group:
        yield group


def _side(pieces: tuple[Piece, ...], stretch: _Stretch) -> Side:
    t = np.array([(stretch.first + stretch.last) / 2.0])
    x, r = (stretch.piece.at(t) + NUDGE * normals(stretch.piece, t))[0].tolist()
    for piece in pieces:
        for _, place in crossings((piece,), partial(_ahead, x)):
            if piece.at(np.array([place]))[0, 1] > r:
                return "inside"
    return "outside"


def _ahead(x: float, points: Floats) -> Floats:
    return np.asarray(points[:, 0] - x)
