"""What is already drawn where, so that words and crosses can keep off it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from copy import copy

import numpy as np
from numpy.typing import NDArray

from ..curve import Floats, Piece
from ..shape import Outline
from .drawing import Drawn
from .sheet import Box, Text, Trace

WORDS = 1000
"""What words weigh in `Space.hits` [-]: more than all the dots of a line that crosses them."""

EDGE = 50
"""What a dot of the cut line weighs under words [-]: nobody saws along a line that he cannot see."""

_CUT = 200
"""The same in `Space.covers` [-]: words along a seam go across other lines before they hide the cut line."""

_STEP = 0.8


def dotted(pieces: Iterable[Piece]) -> Floats:
    """Points along pieces, less than a millimetre apart, shape (n, 2) [mm]."""
    rows = [piece.at(np.linspace(0.0, 1.0, int(piece.length() / _STEP) + 2)) for piece in pieces]
    return np.vstack(rows) if rows else np.empty((0, 2))


class Space:
    """The places taken by an outline, by its marks, and by whatever is added."""

    def __init__(self, outline: Outline, marks: Iterable[Drawn]) -> None:
        """Take the places of an outline and its marks."""
        self._boxes: list[Box] = []
        self._table: Floats = np.empty((0, 4))
        self._points = dotted(edge.piece for loop in outline.loops for edge in loop)
        self._edge = self._points
        for drawn in marks:
            self.add(drawn)

    def add(self, drawn: Drawn) -> None:
        """Take the places of another mark."""
        pieces = [piece for item in drawn.lines if isinstance(item, Trace) for piece in item.pieces]
        self._points = np.vstack([self._points, dotted(pieces)])
        for text in drawn.words:
            self._boxes += _slices(text)

    def near(self, box: Box) -> Space:
        """The same space, quicker to ask, for questions about a rectangle [mm]; what either takes, both know."""
        part = copy(self)
        part._points, part._edge = self._points[_within(box, self._points)], self._edge[_within(box, self._edge)]
        return part

    def take(self, *boxes: Box) -> None:
        """Mark rectangles [mm] as taken."""
        self._boxes += boxes

    def besides(self, box: Box) -> Space:
        """The same space with one more rectangle [mm] taken, of which this one knows nothing."""
        part = copy(self)
        part._boxes = [*self._boxes, box]
        return part

    def hits(self, box: Box) -> int:
        """How much lies within a rectangle [mm]: dots of lines, and words that weigh as much as many dots [-]."""
        dots = np.count_nonzero(_within(box, self._points))
        return int(dots) + WORDS * self._words(box)

    def _words(self, box: Box) -> int:
        """How many rectangles of words meet one [mm]: see `Box.meets`, which is too slow for hundreds of places."""
        if len(self._table) != len(self._boxes):
            self._table = np.array(self._boxes).reshape(-1, 4)
        left, low, right, high = self._table.T
        meets = (left < box.right) & (right > box.left) & (low < box.high) & (high > box.low)
        return int(np.count_nonzero(meets))

    def covers(self, box: Box) -> int:
        """The same for words that are to be read there and cut line that is to be seen, which weighs more [-]."""
        return self.hits(box) + _CUT * int(np.count_nonzero(_within(box, self._edge)))

    def hits_of(self, text: Text) -> int:
        """How much lies under words, which may be slanted [-]."""
        return sum(self.hits(box) for box in _slices(text))


def _within(box: Box, points: Floats) -> NDArray[np.bool_]:
    """Which of some points (n, 2) lie within a rectangle [mm]."""
    x, y = points[:, 0], points[:, 1]
    return np.asarray((x > box.left) & (x < box.right) & (y > box.low) & (y < box.high))


def _slices(text: Text) -> list[Box]:
    """Upright rectangles that cover words closely, also where they are slanted."""
    a, b, c, d = (np.array(corner) for corner in text.corners())
    number = max(1, math.ceil(text.width / float(np.hypot(*(d - a))))) if math.sin(2.0 * text.turn) else 1
    found = []
    for k in range(number):
        first, last = k / number, (k + 1) / number
        corners = np.array([a + (b - a) * first, a + (b - a) * last, d + (c - d) * first, d + (c - d) * last])
        (left, low), (right, high) = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
        found.append(Box(left, low, right, high))
    return found
