"""Short pieces of tube with a tab that carries their number: slices of a shoulder, plugs and rings.

Printed with the tab on the bed: nothing hangs over, and the end that is tried, the upper one, has no spread first
layer. The tab hangs on the wall in one place alone, so that it does not pull the piece out of round.
"""

from __future__ import annotations

import math

from ..curve import Arc, Line
from ..emboss import OnPlate, embossed
from ..errors import PartError
from ..lettering import width
from ..shape import Edge, Fused, Outline, Plate, Role, Shape, circle, hole, polygon
from .gauge import LEAST, RAISED, letter_height

TAB = 2.0
"""Thickness of a tab [mm]."""

_MARGIN = 1.2
_BETWEEN = 1.0
_SECOND = 0.8
"""Height of the second line of a tab as a part of the first [-]."""


def slice_of(outside: float, wall: float, height: float, words: tuple[str, ...], bore_role: Role = "") -> Shape:
    """A slice of a sleeve that goes into a tube, numbered on a tab in its bore.

    Args:
        outside: outside diameter, which decides [mm].
        wall: wall on the radius [mm].
        height: height of the slice [mm].
        words: one or two lines for the tab, the outer one first.
        bore_role: role of the bore's face in the part itself.

    Raises:
        PartError: no bore, no height over the tab, or no room for the number.
    """
    outer, inner = outside / 2.0, outside / 2.0 - wall
    if inner <= 0.0:
        raise PartError(f"wall: {wall:g} mm is not less than the outside radius, {outer:g} mm")
    _check_height(height)
    # The upper corners of the words lie off the bore, whatever its size.
    half_room = inner * 0.8
    lines = 1.0 + (_SECOND if len(words) > 1 else 0.0)
    deep = inner * 1.2 - 2.0 * _MARGIN - (_BETWEEN if len(words) > 1 else 0.0)
    first = letter_height(words[0], 2.0 * (half_room - _MARGIN), deep / lines)
    heights = (first, *(max(first * _SECOND, LEAST) for _ in words[1:]))
    half = max(width(line, high) for line, high in zip(words, heights, strict=True)) / 2.0 + _MARGIN
    # The arc that ends the tab lies in the middle of the wall.
    end = inner + wall / 2.0
    top = math.sqrt(inner**2 - half**2) - _MARGIN
    foot = top - sum(heights) - _BETWEEN * (len(words) - 1) - _MARGIN
    turn = math.asin(half / end)
    right, left = (half, end * math.cos(turn)), (-half, end * math.cos(turn))
    outline = Outline(
        (
            Edge(Line(left, (-half, foot))),
            Edge(Line((-half, foot), (half, foot))),
            Edge(Line((half, foot), right)),
            Edge(Arc((0.0, 0.0), end, math.pi / 2.0 - turn, 2.0 * turn)),
        )
    )
    tab = _written(Plate(outline, TAB), words, heights, top)
    ring = Plate(Outline(circle(outer, role="fit"), (hole(inner, role=bore_role),)), height)
    return Fused((ring, tab))


def ring_over(bore: float, wall: float, height: float, words: tuple[str, ...]) -> Shape:
    """A ring that goes over a tube, numbered on a tab outside.

    Args:
        bore: diameter of the bore, which decides [mm].
        wall: wall on the radius [mm].
        height: height of the ring [mm].
        words: one or two lines for the tab, the upper one first.

    Raises:
        PartError: a size is not above 0, or no height over the tab.
    """
    if bore <= 0.0 or wall <= 0.0:
        raise PartError(f"bore: {bore:g} mm with a wall of {wall:g} mm; both must be above 0 mm")
    _check_height(height)
    inner, outer = bore / 2.0, bore / 2.0 + wall
    # A tab wider than the ring is no longer one; on small rings it is as wide as they are.
    first = letter_height(words[0], 2.0 * (outer - _MARGIN), 6.0)
    heights = (first, *(max(first * _SECOND, LEAST) for _ in words[1:]))
    half = max(width(line, high) for line, high in zip(words, heights, strict=True)) / 2.0 + _MARGIN
    start = inner + wall / 2.0
    half = min(half, start * 0.95)
    top = -outer - _MARGIN
    foot = top - sum(heights) - _BETWEEN * (len(words) - 1) - _MARGIN
    turn = math.asin(half / start)
    low = -start * math.cos(turn)
    outline = Outline(
        (
            Edge(Line((-half, foot), (half, foot))),
            Edge(Line((half, foot), (half, low))),
            # Clockwise along the middle of the wall, round its foot.
            Edge(Arc((0.0, 0.0), start, turn - math.pi / 2.0, -2.0 * turn)),
            Edge(Line((-half, low), (-half, foot))),
        )
    )
    tab = _written(Plate(outline, TAB), words, heights, top)
    ring = Plate(Outline(circle(outer), (hole(inner, role="fit"),)), height)
    return Fused((ring, tab))


def _check_height(height: float) -> None:
    if not 3.0 * TAB <= height < math.inf:
        raise PartError(f"height: {height:g} mm; over the tab of {TAB:g} mm a piece is at least {3.0 * TAB:g} mm high")


def _written(tab: Plate, words: tuple[str, ...], heights: tuple[float, ...], top: float) -> Shape:
    """A tab with its lines, the first just below `top`."""
    found: Shape = tab
    for line, high in zip(words, heights, strict=True):
        found = embossed(found, line, OnPlate(TAB, high, (0.0, top - high / 2.0)), RAISED, raised=True)
        top -= high + _BETWEEN
    return found


def rectangle(width_: float, height: float) -> Outline:
    """A rectangle from the origin [mm]."""
    return Outline(polygon(((0.0, 0.0), (width_, 0.0), (width_, height), (0.0, height))))
