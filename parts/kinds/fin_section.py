"""Printed fins with an aerofoil section from root to tip, and the flat tab that goes through the wall below one."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from ..aerofoil import aerofoil_fin, four_digit
from ..curve import Line
from ..errors import PartError
from ..shape import Blade, Edge, Fused, Outline, Placement, Shape
from .fin_tab import Tab

USUAL_TRAILING = 0.8
"""Trailing edge of a printed aerofoil where none is stated [mm]: two lines of a nozzle of 0.4 mm (common practice)."""

_SINK = 1.0
"""How far the tab runs up into the fin [mm], so that the two are one body and do not merely touch."""


def aerofoil_shape(
    sizes: tuple[float, float, float, float],
    thickness: float,
    trailing: float,
    tab: Tab | None,
    tab_thickness: float,
) -> Shape:
    """A fin of one four-digit section in the blade's frame, with its tab.

    Args:
        sizes: root chord, tip chord, semi-span and sweep length [mm].
        thickness: largest thickness at the root [mm].
        trailing: thickness of the trailing edge at the root [mm].
        tab: its tab; None for none.
        tab_thickness: thickness of the tab [mm].

    Raises:
        PartError: the section cannot be made, or is thinner than its tab somewhere along it.
    """
    skin = aerofoil_fin(*sizes, thickness, trailing)
    if tab is None:
        return skin
    root, tip, span, sweep = sizes
    sink = min(_SINK, span / 10.0)
    size, ahead = 1.0 + (tip / root - 1.0) * sink / span, sweep * sink / span
    for scale, moved in ((1.0, 0.0), (size, ahead)):
        _check_inside((root * scale, thickness * scale, trailing * scale), moved, tab, tab_thickness)
    front, *low, rear = tab.rim()
    places = ((front[0], sink), *low, (rear[0], sink))
    sides = [Edge(Line(start, end), "fit") for start, end in pairwise(places)]
    top = Edge(Line(places[-1], places[0]))
    return Fused((skin, Blade(Outline((*sides, top)), tab_thickness)))


def _check_inside(section: tuple[float, float, float], moved: float, tab: Tab, tab_thickness: float) -> None:
    """Refuse a tab that is thicker than the section above it.

    Raises:
        PartError: it is; the end of it that shows is named.
    """
    chord, thickness, trailing = section
    # The law has no hollow, so that its two ends are the thinnest.
    upper = four_digit(chord, thickness, trailing).outer[-1].piece.reversed()
    for word, x in (("forward", tab.first), ("aft", tab.last)):
        share = (x - moved) / chord
        there = 2.0 * float(upper.at(np.array([math.sqrt(share)]))[0, 1]) if 0.0 <= share <= 1.0 else 0.0
        if there < tab_thickness:
            raise PartError(
                f"tab_thickness: the tab of {tab_thickness:g} mm is thicker than the section at its {word} end, "
                f"{there:.2f} mm at {x:g} mm aft of the root leading edge; make the tab thinner, or shorter"
            )


def on_its_root(lowest: float) -> Placement:
    """Standing on the bed with the root, or the tab below it, down: no side of the section needs support.

    Args:
        lowest: how far the lowest face lies below the root [mm].
    """
    return Placement(turn=(1.0, 0.0, 0.0, 0.0, 0.0, -1.0, 0.0, 1.0, 0.0), move=(0.0, 0.0, lowest))
