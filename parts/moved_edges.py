"""Single edges of a loop moved square to themselves, their neighbours drawn out or cut back to meet them again."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from .chain import Chain, cut, fit, offset_curve
from .curve import Arc, Line, Piece, Point
from .errors import PartError
from .meetings import meetings
from .shape import Edge, Loop, Outline

_SAME = 1e-8
"""Ends this near [mm] are the same point."""

_Place: TypeAlias = tuple[int, float]
"""A place in a chain: the number of the piece, and the parameter in it [-]."""

_REACH = 8.0
"""How far a corner may wander, in the larger of the two distances [-]: beyond, a step joins the two edges."""


@dataclass(frozen=True, slots=True)
class MovedLoop:
    """A loop whose edges have moved.

    Attributes:
        loop: the loop.
        places: for each edge of the loop that it was, the number of its first piece in the loop that it is.
    """

    loop: Loop
    places: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class MovedOutline:
    """An outline whose edges have moved, and where those of its outer loop are in it."""

    outline: Outline
    places: tuple[int, ...]


def moved_outline(outline: Outline, away: Sequence[Sequence[float]]) -> MovedOutline:
    """An outline with each edge moved by its own distance away from the material.

    Args:
        outline: outer loop and holes.
        away: for each loop, for each edge, how far [mm]; below 0 into the material.

    Raises:
        PartError: an edge vanishes, or the loops meet.
    """
    loops = [moved_loop(loop, distances) for loop, distances in zip(outline.loops, away, strict=True)]
    return MovedOutline(Outline(loops[0].loop, tuple(one.loop for one in loops[1:])), loops[0].places)


def moved_loop(loop: Loop, right: Sequence[float]) -> MovedLoop:
    """A loop with each edge moved by its own distance to the right of its travel.

    Where two neighbours have moved apart or across each other they are drawn out (lines straight on, arcs round on,
    other curves along their tangent) or cut back to where they meet; where that is not near, as between edges that
    run on into each other, a straight step joins them.

    Args:
        loop: closed loop.
        right: for each edge, how far [mm]; below 0 to the left.

    Raises:
        PartError: an edge vanishes or folds, or the loop crosses itself.
    """
    if not any(right):
        return MovedLoop(loop, tuple(range(len(loop))))
    chains = [_moved(edge.piece, distance) for edge, distance in zip(loop, right, strict=True)]
    if len(loop) == 1 and math.dist(chains[0][0].start, chains[0][-1].end) <= _SAME:
        return MovedLoop(tuple(Edge(piece, loop[0].role) for piece in chains[0]), (0,))
    count = len(loop)
    far = [max(abs(right[i - 1]), abs(right[i]), abs(right[(i + 1) % count])) for i in range(count)]
    drawn = [_drawn_out(chain, _REACH * reach) for chain, reach in zip(chains, far, strict=True)]
    joints = [_joint(drawn[i - 1], drawn[i], loop[i].piece.start, _REACH * far[i]) for i in range(count)]
    edges: list[Edge] = []
    places: list[int] = []
    for i, edge in enumerate(loop):
        here, after = joints[i], joints[(i + 1) % count]
        chain = _between(drawn[i], here, after)
        if not chain:
            raise PartError(f"an edge of {edge.piece.length():.4g} mm vanishes between its neighbours")
        if here is None and math.dist(drawn[i - 1].chain[-1].end, chain[0].start) > _SAME:
            edges.append(Edge(Line(drawn[i - 1].chain[-1].end, chain[0].start)))
        places.append(len(edges))
        edges += [Edge(piece, edge.role) for piece in chain]
    _check_simple(edges)
    return MovedLoop(tuple(edges), tuple(places))


def _moved(piece: Piece, right: float) -> Chain:
    if right == 0.0:
        return (piece,)
    if isinstance(piece, Line):
        return (piece.offset(-right),)
    if isinstance(piece, Arc):
        try:
            return (piece.offset(-right),)
        except ValueError:
            raise PartError(f"a rounding of {piece.radius:.4g} mm radius vanishes") from None
    t = np.linspace(0.0, 1.0, 201)
    curve = offset_curve(piece, -right)
    ahead = np.einsum("ij,ij->i", np.diff(curve(t), axis=0), np.diff(piece.at(t), axis=0))
    if bool(np.any(ahead <= 0.0)):
        raise PartError(f"a curve of {piece.length():.4g} mm bends more sharply than {abs(right):.4g} mm allows")
    return fit(curve, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A moved edge run on beyond both of its ends.

    Attributes:
        chain: the edge itself.
        out: the same run on: a line or an arc as one piece, another curve with a straight piece before and behind it.
        first: where the edge itself starts, as piece and parameter.
        last: where it ends.
    """

    chain: Chain
    out: Chain
    first: _Place
    last: _Place


@dataclass(frozen=True, slots=True)
class _Joint:
    """Where two drawn-out edges meet: the point, and its place in each."""

    point: Point
    before: _Place
    after: _Place


def _drawn_out(chain: Chain, reach: float) -> _Drawn:
    only = chain[0] if len(chain) == 1 else None
    if reach == 0.0:
        return _Drawn(chain, chain, (0, 0.0), (len(chain) - 1, 1.0))
    if isinstance(only, Line):
        share = reach / only.length()
        (ax, ay), (bx, by) = only.start, only.end
        dx, dy = (bx - ax) * share, (by - ay) * share
        total = 1.0 + 2.0 * share
        return _Drawn(
            chain, (Line((ax - dx, ay - dy), (bx + dx, by + dy)),), (0, share / total), (0, 1.0 - share / total)
        )
    if isinstance(only, Arc):
        more = math.copysign(min(reach / only.radius, (math.tau - abs(only.sweep)) / 2.0 * (1.0 - 1e-9)), only.sweep)
        share = more / (only.sweep + 2.0 * more)
        out = Arc(only.centre, only.radius, only.start_angle - more, only.sweep + 2.0 * more)
        return _Drawn(chain, (out,), (0, share), (0, 1.0 - share))
    tail = _tangent(chain[-1], reach)
    head = _tangent(chain[0].reversed(), reach).reversed()
    return _Drawn(chain, (head, *chain, tail), (1, 0.0), (len(chain), 1.0))


def _tangent(piece: Piece, reach: float) -> Line:
    """The straight piece that goes on from the end of a curve."""
    step = piece.at(np.array([1.0]))[0] - piece.at(np.array([1.0 - 1e-7]))[0]
    dx, dy = (step / np.hypot(*step) * reach).tolist()
    return Line(piece.end, (piece.end[0] + dx, piece.end[1] + dy))


def _joint(before: _Drawn, after: _Drawn, corner: Point, reach: float) -> _Joint | None:
    """Where two neighbours meet beside the corner that they had; None where they still do, or nowhere near."""
    if math.dist(before.chain[-1].end, after.chain[0].start) <= _SAME:
        return None
    found: list[tuple[float, _Joint]] = []
    for i, first in enumerate(before.out):
        for j, second in enumerate(after.out):
            for t, s in meetings(first, second):
                x, y = first.at(np.array([t]))[0].tolist()
                found.append((math.dist((x, y), corner), _Joint((x, y), (i, t), (j, s))))
    near = min(found, key=lambda one: one[0], default=None)
    return near[1] if near and near[0] <= reach else None


def _between(drawn: _Drawn, here: _Joint | None, after: _Joint | None) -> Chain:
    """What is left of a moved edge between its two corners; nothing where they have passed each other."""
    if here is None and after is None:
        return drawn.chain
    first, last = here.after if here else drawn.first, after.before if after else drawn.last
    start = here.point if here else drawn.chain[0].start
    end = after.point if after else drawn.chain[-1].end
    if first >= last or math.dist(start, end) <= _SAME:
        return ()
    if len(drawn.out) == 1 and isinstance(drawn.out[0], Line):
        return (Line(start, end),)
    kept = [piece for piece in cut(drawn.out, first, last) if piece.length() > _SAME]
    for place, point in ((0, start), (-1, end)):
        if kept and isinstance(kept[place], Line):
            line = kept[place]
            kept[place] = Line(point, line.end) if place == 0 else Line(line.start, point)
    return tuple(kept)


def _check_simple(edges: Sequence[Edge]) -> None:
    """Refuse a loop that crosses itself.

    Raises:
        PartError: it does.
    """
    for i, edge in enumerate(edges):
        for j in range(i):
            for t, _ in meetings(edge.piece, edges[j].piece):
                x, y = edge.piece.at(np.array([t]))[0].tolist()
                ends = (edge.piece.start, edge.piece.end), (edges[j].piece.start, edges[j].piece.end)
                shared = all(min(math.dist((x, y), end) for end in pair) <= 1e-6 for pair in ends)
                if not shared:
                    raise PartError(f"the section crosses itself at {x:.4g}, {y:.4g} mm: no material is left there")
