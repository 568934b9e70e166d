"""A blade as plates: the flat cut to its planform, less one straight prism for each worked edge."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from .curve import Arc, Line, Piece, Point, normals
from .shape import (
    FLAT_TO_PLATE,
    Bevelled,
    Blade,
    Cut,
    Edge,
    EdgeForm,
    Loop,
    Outline,
    Placed,
    Placement,
    Plate,
    Rounded,
    Shape,
    moved,
    polygon,
)

_OVERSHOOT = 1.0
"""How far a tool reaches past the faces it cuts [mm], so that no tool face lies on a face of the blade."""

_PAST = 0.01
"""How far a tool runs past a corner [mm]: as little as keeps its end off the face beyond, for a tab may stand there."""

_FARTHEST = 1000.0
"""How far a tool runs over a corner that hardly turns, in its depths [-]: no blade goes on for longer beyond one."""


def as_plates(blade: Blade) -> Shape:
    """The blade in terms of plates, for the readers.

    A tool that stops at a clearance ends square there; one that does not runs on past the corner.
    """
    flat = Placed(Plate(blade.planform, blade.thickness), moved(z=-blade.thickness / 2.0).after(FLAT_TO_PLATE))
    tools = tuple(tool for form in blade.forms for tool in _tools(blade, form))
    return Cut(flat, tools) if tools else flat


def _tools(blade: Blade, item: EdgeForm) -> tuple[Placed, ...]:
    piece = blade.planform.outer[item.edge].piece
    assert isinstance(piece, Line)  # noqa: S101  Blade refuses forms on curved edges; this tells the type checker
    length = piece.length()
    outer, count = blade.planform.outer, len(blade.planform.outer)
    onwards = [outer[(item.edge + k) % count].piece for k in range(1, count)]
    back = [piece.reversed() for piece in reversed(onwards)]
    depth = _depth(item)
    start = item.clearance_start or -max(
        _run_on(outer[item.edge - 1].piece, piece, depth), _hollow_beyond(back, piece.reversed(), -depth)
    )
    past_end = -item.clearance_end or max(_run_on(piece, onwards[0], depth), _hollow_beyond(onwards, piece, depth))
    end = length + past_end
    ux, uy = (piece.end[0] - piece.start[0]) / length, (piece.end[1] - piece.start[1]) / length
    # Tool frame: x along the edge, y into the blade, z through its thickness.
    seat = Placement(
        turn=(ux, -uy, 0.0, uy, ux, 0.0, 0.0, 0.0, 1.0),
        move=(piece.start[0] + ux * start, piece.start[1] + uy * start, 0.0),
    )
    return tuple(Placed(Plate(Outline(loop), end - start), seat) for loop in _sections(blade.thickness, item))


def _run_on(before: Piece, after: Piece, depth: float) -> float:
    """How far a tool runs past a corner [mm]: over all of the blade beyond a wide one, nowhere at a hollow one.

    A blade that goes on past a hollow corner (the tab of a fin) is not to be cut.
    """
    leaving, entering = normals(before, np.array([1.0]))[0], normals(after, np.array([0.0]))[0]
    turn = _turn(before, after)
    if turn <= 1e-9:
        return _PAST if turn > -1e-9 else 0.0
    return _PAST + min(max(0.0, depth * float(leaving @ entering) / turn), _FARTHEST * depth)


def _turn(before: Piece, after: Piece) -> float:
    """Sine of the turn from one piece to the next, to the left above 0 [-]."""
    leaving, entering = normals(before, np.array([1.0]))[0], normals(after, np.array([0.0]))[0]
    return float(leaving[0] * entering[1] - leaving[1] * entering[0])


def _hollow_beyond(rim: Sequence[Piece], edge: Line, depth: float) -> float:
    """How far a rim that starts where an edge ends goes on along it, within a depth to its left or, below 0, right.

    One that bends outwards again lies further on than its direction at the corner says. What lies past a hollow corner,
    such as the tab of a fin, is not to be cut.
    """
    length, reach, way = edge.length(), 0.0, math.copysign(1.0, depth)
    along = np.subtract(edge.end, edge.start) / length
    for place, piece in enumerate(rim):
        if place and _turn(rim[place - 1], piece) * way < -1e-6:
            break
        from_corner = piece.at(np.linspace(0.0, 1.0, 257)) - np.asarray(edge.end)
        deep = (along[0] * from_corner[:, 1] - along[1] * from_corner[:, 0]) * way
        left = np.flatnonzero((deep[1:] < 0.0) | (deep[1:] > abs(depth)))
        if place == 0 and (deep[1] <= 0.0 or (isinstance(piece, Line) and len(left))):
            return 0.0  # a hollow corner, over which no tool runs, or one whose direction says all
        within = from_corner[: left[0] + 2] if len(left) else from_corner
        reach = max(reach, float((within @ along).max()))
        if len(left):
            break
    return _PAST + reach


def _depth(item: EdgeForm) -> float:
    return item.form.radius if isinstance(item.form, Rounded) else item.form.depth


def _sections(thickness: float, item: EdgeForm) -> tuple[Loop, ...]:
    """Sections of the tools in (depth into the blade, z), anticlockwise."""
    if isinstance(item.form, Rounded):
        return _round_sections(thickness, item.form)
    return _bevel_sections(thickness, item.form)


def _round_sections(thickness: float, form: Rounded) -> tuple[Loop, ...]:
    radius, top = form.radius, thickness / 2.0
    out, over = -_OVERSHOOT, top + _OVERSHOOT
    corner: Loop = (
        Edge(Arc((radius, top - radius), radius, math.pi, -math.pi / 2.0)),
        Edge(Line((radius, top), (radius, over))),
        Edge(Line((radius, over), (out, over))),
        Edge(Line((out, over), (out, top - radius))),
        Edge(Line((out, top - radius), (0.0, top - radius))),
    )
    return corner, _below(corner)


def _bevel_sections(thickness: float, form: Bevelled) -> tuple[Loop, ...]:
    top = thickness / 2.0
    # A one-sided bevel leaves its land on the far face, a two-sided one in the middle.
    rim = form.land / 2.0 if form.sides == 2 else form.land - top
    slope = (top - rim) / form.depth

    def at(depth: float) -> Point:
        return (depth, rim + slope * depth)

    low, high = at(-_OVERSHOOT), at(form.depth + _OVERSHOOT / slope)
    upper = polygon((low, high, (low[0], high[1])))
    return (upper, _below(upper)) if form.sides == 2 else (upper,)


def _below(loop: Loop) -> Loop:
    """The same section mirrored to the other face, run anticlockwise again."""
    return tuple(Edge(edge.piece.mirrored().reversed(), edge.role) for edge in reversed(loop))
