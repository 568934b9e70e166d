"""What is already drawn where, so that words and crosses can keep off it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from copy import copy

import numpy as np

from ..curve import Floats, Piece
from ..shape import Outline
from .drawing import Drawn
from .sheet import Box, Text, Trace

WORDS = 1000
"""What words weigh in `Space.hits` [-]: more than all the dots of a line that crosses them."""

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
        self._points = dotted(edge.piece for loop in outline.loops for edge in loop)
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
        x, y = self._points[:, 0], self._points[:, 1]
        part = copy(self)
        part._points = self._points[(x > box.left) & (x < box.right) & (y > box.low) & (y < box.high)]
        return part

    def take(self, *boxes: Box) -> None:
        """Mark rectangles [mm] as taken."""
        self._boxes += boxes

    def hits(self, box: Box) -> int:
        """How much lies within a rectangle [mm]: dots of lines, and words that weigh as much as many dots [-]."""
        x, y = self._points[:, 0], self._points[:, 1]
        dots = np.count_nonzero((x > box.left) & (x < box.right) & (y > box.low) & (y < box.high))
        return int(dots) + WORDS * sum(box.meets(other) for other in self._boxes)

    def hits_of(self, text: Text) -> int:
        """How much lies under words, which may be slanted [-]."""
        return sum(self.hits(box) for box in _slices(text))


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
