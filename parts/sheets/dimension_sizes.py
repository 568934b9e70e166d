"""Sizes that the dimensions of a section drawing share, on paper (common practice)."""

from __future__ import annotations

from ..marks import SMALLEST_TYPE
from .letters import POINT

GAP = 1.0
"""From a point of the part to the start of its extension line [mm]."""

PAST = 1.5
"""How far an extension line runs past its dimension line [mm]."""

CLEAR = 1.0
"""Room kept between words and what stands beside them [mm]."""

BESIDE = 0.45 + SMALLEST_TYPE * POINT / 2.0
"""From a line to the middle of the words above or below it [mm]."""

ROW = 2.0 * SMALLEST_TYPE * POINT + 2.8
"""Height of a line with a row of words above it and one below [mm]."""
