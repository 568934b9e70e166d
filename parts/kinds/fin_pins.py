"""Two holes through every fin of a set, for the pins that hold them together while their edges are worked alike."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ..curve import Point
from ..errors import PartError
from ..rim import chords, distances, inside
from ..shape import Outline
from .fin_edges import WorkedEdge
from .fin_tab import Tab

EDGE_DISTANCE = 2.0
"""Middle of a pin hole to any edge, in its diameters [-] (common practice for holes in sheet)."""

_SPACING = 4.0
"""Middle to middle of the two, at least, in their diameters [-]."""

_HEIGHTS = (0.15, 0.2, 0.25, 0.3, 0.4, 0.5)
"""Heights above the root that are tried, as shares of the span [-]."""

_SAMPLES = 65
"""Points on a curved piece of the rim [-]."""


def pin_places(diameter: float, exposed: Outline, found: Tab | None, worked: Sequence[WorkedEdge]) -> tuple[Point, ...]:
    """Middles of the two holes [mm], on whole millimetres where they go through the face.

    In the tab, where the tube hides them, if it has the room; else in the face of the fin.

    Args:
        diameter: of the pins [mm].
        exposed: the fin outside the body.
        found: its tab; None for none.
        worked: its edges that are not as cut.

    Raises:
        PartError: there is no room for two holes anywhere.
    """
    clear = EDGE_DISTANCE * diameter
    if found is not None:
        # Above the notches, below the surface.
        height = found.depth - found.notch_depth
        first, last = found.first + clear, found.last - clear
        if height >= 2.0 * clear and last - first >= _SPACING * diameter:
            return (first, -height / 2.0), (last, -height / 2.0)
    best: tuple[Point, ...] = ()
    for share in _HEIGHTS:
        row = _row(round(share * exposed.box()[3]), exposed, worked, clear)
        if len(row) > 1 and (not best or row[-1] - row[0] > best[1][0] - best[0][0] + 1e-9):
            y = float(round(share * exposed.box()[3]))
            best = ((row[0], y), (row[-1], y))
    if not best or best[1][0] - best[0][0] < _SPACING * diameter:
        raise PartError(
            f"pin_hole_diameter: there is no room for two holes of {diameter:g} mm that keep {clear:g} mm from every "
            f"edge and {_SPACING * diameter:g} mm from each other"
        )
    return best


def _row(height: int, exposed: Outline, worked: Sequence[WorkedEdge], clear: float) -> list[float]:
    """Stations at one height that keep clear of every edge and of what is worked [mm]."""
    low, _, high, _ = exposed.box()
    x = np.arange(math.ceil(low), math.floor(high) + 1, dtype=float)
    places = np.column_stack([x, np.full(len(x), float(height))])
    rim = chords((exposed.outer,), _SAMPLES)
    limits = (edge.limit for edge in worked)
    kept_off = np.concatenate([rim, *(np.array([[line.start, line.end]]) for line in limits)])
    free = inside(rim, places) & (distances(kept_off, places) >= clear)
    for edge in worked:
        free &= distances(np.array([[edge.piece.start, edge.piece.end]]), places) >= clear + edge.depth
    return [float(value) for value in x[free]]
