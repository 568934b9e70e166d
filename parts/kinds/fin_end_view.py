"""The end view beside a fin's template: its flat root on the round tube, with tab, motor tube and fillets, to size.

A flat root stands on a round tube with its middle alone. The gap at its faces is nothing to glue, but who sees it drawn
does not sand the root hollow.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from ..curve import Arc, Line, Piece, Point
from ..marks import Guide, Label, Pen, PlainMark
from ..quantity import inches_64
from ..rim import closed, inside
from .fin_face import followed

if TYPE_CHECKING:
    from .fin import Fin

_STUB = 9.0
"""How much of the fin is drawn above the tube, at most [mm]."""

_DEEPEST = 45.0
"""Deepest tab that is drawn with the motor tube under it [mm]."""

_SHORT = 10.0
"""How much of a tab is drawn where all of it has no room [mm]."""

_HALF = 8.0
"""Half the width of tube that is drawn, at least [mm]."""

_ROW = 4.0
"""Distance of two rows of words [mm]."""

_WORDS = 21.0
"""Half the width of the widest row, about [mm]."""

_DIMENSIONS = (18.0, 23.0, 26.0, 13.5)
"""Room that the dimensions of a fin take to its left, below it, to its right and above it, about [mm]."""


def end_views(fin: Fin, box: tuple[float, float, float, float]) -> tuple[tuple[PlainMark, ...], ...]:
    """The end view in each place beside the fin where it might go; none where the tube is not stated.

    Args:
        fin: the fin.
        box: left, low, right and high side of it and its tab [mm].
    """
    gap = fin.root_gap()
    if fin.body_diameter is None or gap is None:
        return ()
    radius, half = fin.body_diameter / 2.0, fin.thickness / 2.0
    rows = ["end view: flat root", "on a round tube,", f"gap {gap:.2f} mm at the faces"]
    at_tab = fin.tab_gap()
    if at_tab is not None:
        rows.append(f"and {at_tab:.2f} mm at the tab's end")
    rows.append(f"sheet {fin.thickness:g} mm, {inches_64(fin.thickness)}")
    if fin.fillet_radius:
        rows.append(f"fillets r {fin.fillet_radius:g} mm, {inches_64(fin.fillet_radius)}")
    found: list[tuple[PlainMark, ...]] = []
    depth = fin.tab_depth if fin.tab() else 0.0
    motor = fin.motor_tube_diameter / 2.0 if fin.motor_tube_diameter else None
    whole = depth <= _DEEPEST
    stub = min(_STUB, fin.span)
    for deep, inner in ((depth, motor), (min(depth, _SHORT), None)) if whole else ((_SHORT, None),):
        lines = _lines(radius, half, stub, deep, deep < depth, inner, fin.fillet_radius)
        if fin.body_inside_diameter and deep:
            lines.append((_arc(radius, fin.body_inside_diameter / 2.0, _width(radius, half, fin.fillet_radius)),))
        found += _placed(fin, box, lines, rows)
    return tuple(found)


def _placed(
    fin: Fin, box: tuple[float, float, float, float], lines: list[tuple[Piece, ...]], rows: Sequence[str]
) -> Iterator[tuple[PlainMark, ...]]:
    """A view in each place where it might go, with its words below it or to its right."""
    corners = [point for chain in lines for piece in chain for point in (piece.start, piece.end)]
    half, foot, high = max(x for x, _ in corners), min(y for _, y in corners), max(y for _, y in corners)
    tall = _ROW * len(rows)
    for below in (True, False):
        wide, deep = (2.0 * _WORDS, high - foot + 1.0 + tall) if below else (2.0 * (half + _WORDS) + 1.0, high - foot)
        # Middle of the first row from the top of the tube, in the middle of the view.
        row_x, row_y = (0.0, foot - 1.0) if below else (half + 1.0 + _WORDS, (high + foot + tall) / 2.0)
        for x, y in _places(fin, box, (wide, max(deep, tall))):
            dx = x if below else x - wide / 2.0 + half
            dy = y - (high + foot - (1.0 + tall if below else 0.0)) / 2.0
            yield (
                *(Guide(tuple(piece.placed(dx, dy) for piece in chain), Pen.VIEW) for chain in lines),
                *(Label(row, (dx + row_x, dy + row_y - _ROW * (k + 0.5))) for k, row in enumerate(rows)),
            )


def _places(
    fin: Fin, box: tuple[float, float, float, float], size: tuple[float, float]
) -> Iterator[tuple[float, float]]:
    """Middles of a picture beside the fin, those first that make the whole drawing least larger [mm]."""
    face = followed(fin.outline().outer)
    (left, low, right, high), (wide, tall) = box, size
    west, south, east, north = _DIMENSIONS
    whole = (left - west, low - south, right + east, high + north)

    def growth(x: float, y: float) -> tuple[float, float]:
        wider = max(0.0, whole[0] - (x - wide / 2.0)) + max(0.0, x + wide / 2.0 - whole[2])
        taller = max(0.0, whole[1] - (y - tall / 2.0)) + max(0.0, y + tall / 2.0 - whole[3])
        return wider + taller, math.dist((x, y), ((left + right) / 2.0, low))

    def reach(first: float, last: float) -> Iterator[float]:
        number = max(2, math.ceil((last - first) / 10.0))
        return (first + (last - first) * k / number for k in range(number + 1))

    xs = np.array(list(reach(whole[0] - wide / 2.0, whole[2] + wide / 2.0)))
    ys = np.array(list(reach(whole[1] - tall / 2.0, whole[3] + tall / 2.0)))
    spots = np.array(np.meshgrid(xs, ys)).reshape(2, -1).T
    offs = np.array([(0, 0), (-1, -1), (-1, 1), (1, -1), (1, 1)]) * (wide / 2.0, tall / 2.0)
    on_it = inside(closed(face), (spots[:, None, :] + offs).reshape(-1, 2)).reshape(len(spots), len(offs)).any(axis=1)
    free: list[Point] = [(x, y) for x, y in spots[~on_it].tolist()]
    yield from sorted(free, key=lambda spot: growth(*spot))


def _lines(
    radius: float,
    half: float,
    stub: float,
    depth: float,
    broken: bool,
    motor: float | None,
    fillet: float | None,
) -> list[tuple[Piece, ...]]:
    """Lines of the view: the tube's top at the origin, across to the right, out of the tube upwards [mm].

    Args:
        radius: of the tube's outside [mm].
        half: half the fin's thickness [mm].
        stub: how much of the fin is drawn above the tube [mm].
        depth: how much of its tab is drawn below [mm]; 0 without.
        broken: whether the tab goes on.
        motor: radius of the motor tube [mm]; None for none.
        fillet: radius of the fillets [mm]; None or 0 for none.
    """
    wide, fillet = _width(radius, half, fillet), fillet or 0.0
    found: list[tuple[Piece, ...]] = [(_arc(radius, radius, wide),)]
    top, foot = max(stub, 1.3 * fillet), -depth
    found += [(Line((side * half, foot), (side * half, top)),) for side in (-1.0, 1.0)]
    found.append((Line((-half, 0.0), (half, 0.0)),))
    found.append(_break(half, top))
    if depth:
        found.append(_break(half, foot) if broken else (Line((-half, foot), (half, foot)),))
    if motor:
        found.append((_arc(radius, motor, wide),))
    if fillet:
        found += [(_fillet(radius, half, fillet, side),) for side in (-1.0, 1.0)]
    return found


def _width(radius: float, half: float, fillet: float | None) -> float:
    """Half the width of tube that is drawn [mm]."""
    return min(max(_HALF, half + (fillet or 0.0) + 4.0), 0.8 * radius)


def _arc(outside: float, radius: float, wide: float) -> Arc:
    """The top of a tube of a radius on the axis of one whose top is the origin, so far to both sides [mm]."""
    turn = math.asin(min(wide / radius, 0.9))
    return Arc((0.0, -outside), radius, math.pi / 2.0 + turn, -2.0 * turn)


def _fillet(radius: float, half: float, fillet: float, side: float) -> Arc:
    """The hollow arc that touches a face of the fin and the tube."""
    x = half + fillet
    y = math.sqrt((radius + fillet) ** 2 - x**2) - radius
    # From the face, level with its middle, down to the tube, on the line to the tube's axis.
    last = math.atan2(-radius - y, -x)
    sweep = math.remainder(last - math.pi, math.tau)
    arc = Arc((x, y), fillet, math.pi, sweep)
    if side > 0.0:
        return arc
    return Arc((-x, y), fillet, 0.0, -sweep)


def _break(half: float, level: float) -> tuple[Piece, ...]:
    """A break line across the fin at a level [mm]."""
    corners: tuple[Point, ...] = (
        (-half - 1.0, level),
        (-half / 3.0, level),
        (-half / 6.0, level + 1.0),
        (half / 6.0, level - 1.0),
        (half / 3.0, level),
        (half + 1.0, level),
    )
    return tuple(Line(a, b) for a, b in pairwise(corners))
