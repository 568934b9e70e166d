"""What a fin's planform says to the air, for any outline: area, mean aerodynamic chord, quarter point, sweep.

The outline is cut into strips along the air stream and the strips are integrated between all heights at which an edge
starts, ends or turns, so that a trapezoid is exact and a curve good to rounding. Definitions: mean aerodynamic chord
1/S integral of c^2 dy, its height 1/S integral of c y dy, its quarter point 1/S integral of (x_le + c/4) c dy (any
aerodynamics handbook; for a trapezoid they are equation 76 of J. S. and J. A. Barrowman 1966).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from ...parts.curve import Floats, Piece, gauss, monotone_parts, parameters_at
from ...parts.errors import PartError
from ...parts.shape import Outline

NOTCHED = (
    "the planform goes back on itself: each chord is the sum of what is there, counted from its foremost edge, and "
    "what stands behind a gap lifts less than that"
)
"""Note of a fin whose chords have gaps."""

_POINTS = 32
_LEAST = 1e-9
"""Strips thinner than this, and chords with less of a gap, are rounding [mm]."""


@dataclass(frozen=True, slots=True)
class Planform:
    """Planform of one fin outside the body, all lengths from the root leading edge [mm].

    Attributes:
        area: area [mm2].
        semi_span: body surface to the outermost point [mm].
        mean_chord: mean aerodynamic chord [mm].
        mean_chord_span: height of the mean aerodynamic chord over the body [mm].
        centre_of_pressure: station of its quarter point [mm].
        centroid: station of the centroid of the area [mm].
        mid_chord_slope: how far aft the middles of the chords run for each unit of span [-]: of the straight line that
            is nearest to them by least squares, each weighed by its chord; exact where they lie on a line.
        notes: what limits the figures.
    """

    area: float
    semi_span: float
    mean_chord: float
    mean_chord_span: float
    centre_of_pressure: float
    centroid: float
    mid_chord_slope: float
    notes: tuple[str, ...] = ()

    @property
    def mid_chord_length(self) -> float:
        """Length of the line along the middles of the chords, root to tip [mm]."""
        return self.semi_span * math.hypot(1.0, self.mid_chord_slope)


@lru_cache(maxsize=64)
def planform(outline: Outline) -> Planform:
    """Reads the planform of a fin off its outline.

    Args:
        outline: the fin outside the body, root on y = 0, +x aft, +y outboard [mm]; its holes are taken for filled.

    Raises:
        PartError: nothing of the outline lies outboard of the root.
    """
    rows = np.concatenate(list(_strips(outline)) or [np.empty((0, 6))])
    if not len(rows):
        raise PartError("planform: nothing of it lies outboard of the root")
    y, front, chord, moment, middle, weight = rows.T
    area = float(weight @ chord)
    share = weight * chord / area
    height, middles = float(share @ y), float(share @ middle)
    spread = float(share @ (y - height) ** 2)
    lean = float(share @ ((y - height) * (middle - middles)))
    gaps = bool(np.any(2.0 * (middle - front) - chord > _LEAST * 100.0))
    return Planform(
        area,
        outline.box()[3],
        float(share @ chord),
        height,
        float(share @ (front + chord / 4.0)),
        float(weight @ moment) / area,
        lean / spread,
        (NOTCHED,) if gaps else (),
    )


def _strips(outline: Outline) -> Iterator[Floats]:
    """Rows of height, foremost edge, chord, first moment of the chord, middle of the chord [mm], and weight in height.

    Heights crowd towards both ends of each panel as the cosine of even angles, which takes the square root out of an
    edge that turns level there, as that of an ellipse does.
    """
    edges = [part for edge in outline.outer for part in monotone_parts(edge.piece)]
    edges = [part for part in edges if abs(part.end[1] - part.start[1]) > _LEAST]
    heights = sorted({max(height, 0.0) for part in edges for height in (part.start[1], part.end[1])})
    nodes, weights = gauss(_POINTS)
    shares, slopes = (1.0 - np.cos(np.pi * nodes)) / 2.0, np.pi / 2.0 * np.sin(np.pi * nodes)
    for low, high in pairwise(heights):
        if high - low <= _LEAST:
            continue
        y = low + (high - low) * shares
        crossing = [part for part in edges if _spans(part, (low + high) / 2.0)]
        x = np.sort(np.array([_crossings(part, y) for part in crossing]), axis=0)
        lengths, middles = x[1::2] - x[::2], (x[1::2] + x[::2]) / 2.0
        chord, moment = lengths.sum(axis=0), (lengths * middles).sum(axis=0)
        front = x[0]
        middle = (front + x[-1]) / 2.0
        yield np.column_stack([y, front, chord, moment, middle, weights * slopes * (high - low)])


def _spans(part: Piece, height: float) -> bool:
    return min(part.start[1], part.end[1]) < height < max(part.start[1], part.end[1])


def _crossings(part: Piece, y: Floats) -> Floats:
    """Where a piece that runs one way along y passes the heights `y` (n,) [mm]."""
    # A quarter turn lays its y along x.
    t = parameters_at(part.placed(0.0, 0.0, -math.pi / 2.0), y)
    return np.asarray(part.at(t)[:, 0])
