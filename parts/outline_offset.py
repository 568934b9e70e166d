"""Parallel outlines: every edge moved square to itself by one distance, arcs staying arcs, as a beam's middle runs."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from .chain import JOIN_TOLERANCE, fit, offset_curve
from .curve import Arc, Bezier, EllipseArc, Floats, Line, Piece, Point, bisect, bounds, normals
from .errors import PartError
from .meetings import distance as distance_to
from .meetings import meetings
from .moved_edges import moved_outline
from .shape import Edge, Loop, Outline, Role, signed_area

_SHORTEST = 1e-7
"""Shorter stretches [mm] are the rounding of a crossing."""

_FIT = 1e-8
"""Tolerance of a fitted parallel [mm]: finer than that of a shape, for what is dropped is judged by its distance."""

_SNAP = 1e-6
"""Ends this near [mm] are the same point."""


def offset_outline(outline: Outline, distance: float, roles: Collection[Role] | None = None) -> Outline:
    """The outline with its edges moved away from the material, or into it where the distance is below 0.

    All edges: this is the path of the middle of a round tool of that radius that touches the outline all round. A
    growing outline's outer corners become arcs about the corner itself: the tool rolls round the corner, whose point
    stays on its rim, so that the part comes out with the corner sharp and at size, as with a mitred path, but without
    the mitre's long point. In an inner corner the tool cannot reach the point: the paths meet, and the part keeps a
    fillet of the tool's radius there. Holes get smaller when the outline grows.

    Lines and arcs give lines and arcs, exactly; ellipses and Beziers are fitted within 1e-6 mm.

    Edges of some roles alone: those are moved, the others stay, and they are joined as in `moved_edges`, corners sharp.

    Args:
        outline: what to move.
        distance: away from the material [mm].
        roles: move the edges of these roles alone; None moves all.

    Raises:
        PartError: a hole or slot closes, an edge's neighbours no longer meet, the shape vanishes or falls apart, or a
            curve turns round within some micrometres.
    """
    if not math.isfinite(distance):
        raise PartError(f"distance: {distance} mm is not a finite number")
    if distance == 0.0:
        return outline
    if roles is not None:
        return moved_outline(
            outline,
            tuple(tuple(distance if edge.role in roles else 0.0 for edge in loop) for loop in outline.loops),
        ).outline
    outer = _offset_loop(outline.outer, distance, "the outline")
    holes = tuple(_offset_loop(hole, distance, "the hole") for hole in outline.holes)
    check_apart((outer, *holes))
    return Outline(outer, holes)


def check_apart(loops: Sequence[Loop]) -> None:
    """Refuse loops that meet, or holes that are not inside the outer loop and outside each other.

    Raises:
        PartError: the web between two of them is gone.
    """
    polygons = [np.vstack([edge.piece.at(np.linspace(0.0, 1.0, 65)) for edge in loop]) for loop in loops]
    for index, loop in enumerate(loops):
        for other in range(index):
            crossing = any(meetings(a.piece, b.piece) for a in loop for b in loops[other])
            inside = _winds(polygons[other], loop[0].piece.start)
            swallowed = _winds(polygons[index], loops[other][0].piece.start)
            if crossing or swallowed or inside != (other == 0):
                rim = "the rim" if other == 0 else f"the hole of {size(loops[other])}"
                raise PartError(f"the hole of {size(loop)} runs into {rim}: no web is left between them")


def size(loop: Loop) -> str:
    """Width and height of a loop in words, such as `4 x 30 mm`, or `3.4 mm diameter` of a circle."""
    piece = loop[0].piece
    if len(loop) == 1 and isinstance(piece, Arc):
        return f"{2.0 * piece.radius:.4g} mm diameter"
    boxes = np.array([bounds(edge.piece) for edge in loop])
    wide, high = boxes[:, 2].max() - boxes[:, 0].min(), boxes[:, 3].max() - boxes[:, 1].min()
    return f"{wide:.4g} x {high:.4g} mm"


def _winds(polygon: Floats, point: Point) -> bool:
    """Whether a closed polyline goes round a point."""
    x, y = polygon[:, 0] - point[0], polygon[:, 1] - point[1]
    after_x, after_y = np.roll(x, -1), np.roll(y, -1)
    turn = np.arctan2(x * after_y - y * after_x, x * after_x + y * after_y)
    return abs(float(turn.sum())) > math.pi


def _offset_loop(loop: Loop, distance: float, what: str) -> Loop:
    """One loop moved to the right of its travel, on which side there is no material.

    Every parallel is cut where it meets another, and what lies nearer to the loop than the distance is dropped: that
    leaves the true parallel, whatever edges have vanished from it.

    Raises:
        PartError: nothing is left, or more than one loop.
    """
    loop = tuple(Edge(_settled(edge.piece), edge.role) for edge in loop)
    try:
        raw = _parallels(loop, distance)
    except ValueError as error:
        raise PartError(f"{what} of {size(loop)} has no parallel that can be cut: {error}") from None
    exact = all(isinstance(edge.piece, (Line, Arc)) for edge in loop)
    reach = abs(distance) - (1e-9 if exact else 3.0 * _FIT)
    kept = _without_stubs([piece for piece in _parted(raw) if _clear(piece.piece, loop, reach)])
    loops = [found for found in _followed(kept) if abs(signed_area(found)) > _SHORTEST]
    side = f"{abs(distance):.4g} mm {'away from' if distance > 0.0 else 'into'} the material"
    if not loops:
        verb = "closes" if what == "the hole" else "vanishes"
        raise PartError(f"{what} of {size(loop)} {verb} when its edges move {side}")
    if len(loops) > 1:
        sizes = " and ".join(size(found) for found in loops[:3])
        raise PartError(f"{what} of {size(loop)} does not stay one when its edges move {side}: it leaves {sizes}")
    found = loops[0]
    if (signed_area(found) > 0.0) != (signed_area(loop) > 0.0):
        raise PartError(f"{what} of {size(loop)} turns inside out when its edges move {side}")
    return found


def _settled(piece: Piece) -> Piece:
    """A Bezier whose outermost poles differ by rounding alone, with them equal: its ends then have a direction."""
    if not isinstance(piece, Bezier):
        return piece
    poles = [piece.start if math.dist(pole, piece.start) < _SNAP else pole for pole in piece.poles]
    return Bezier(tuple(piece.end if math.dist(pole, piece.end) < _SNAP else pole for pole in poles))


def _parallels(loop: Loop, distance: float) -> list[Edge]:
    """The parallel of every edge, and the arc round every corner that leaves a gap."""
    found: list[Edge] = []
    for index, edge in enumerate(loop):
        before = loop[index - 1]
        arc = _round_corner(before.piece, edge.piece, distance) if len(loop) > 1 or _kinked(edge.piece) else None
        if arc:
            found.append(Edge(arc, edge.role if edge.role == before.role else ""))
        found += [Edge(piece, edge.role) for piece in _parallel(edge.piece, distance)]
    return found


def _kinked(piece: Piece) -> bool:
    """Whether a piece that is a whole loop has a corner where its ends meet."""
    if isinstance(piece, (Arc, EllipseArc)):
        return False
    n = normals(piece, np.array([0.0, 1.0]))
    return float(np.hypot(*(n[1] - n[0]))) > 1e-9


def _round_corner(before: Piece, after: Piece, distance: float) -> Arc | None:
    leaving, entering = -normals(before, np.array([1.0]))[0], -normals(after, np.array([0.0]))[0]
    turn = math.atan2(
        float(leaving[0] * entering[1] - leaving[1] * entering[0]),
        float(leaving @ entering),
    )
    if abs(turn) * abs(distance) < JOIN_TOLERANCE * 100.0:
        return None
    if abs(abs(turn) - math.pi) < 1e-9:
        turn = math.pi  # a needle: the tool goes round its point
    # A corner gapes on the side to which it bulges.
    if (turn > 0.0) != (distance > 0.0):
        return None
    start = math.atan2(float(leaving[1]), float(leaving[0])) + (0.0 if distance > 0.0 else math.pi)
    return Arc(after.start, abs(distance), start, turn)


def _parallel(piece: Piece, distance: float) -> list[Piece]:
    """The parallel to the right, without what folds, all of which lies nearer than the distance anyway."""
    if isinstance(piece, Line):
        return [piece.offset(-distance)]
    if isinstance(piece, Arc):
        radius = piece.radius + math.copysign(distance, distance * piece.sweep)
        return [piece.offset(-distance)] if radius > _SHORTEST else []

    def forward(t: Floats) -> Floats:
        """Speed of the parallel over that of the piece [-], below 0 where it folds."""
        step = 1e-5
        low, high = np.clip(t - step, 0.0, 1.0), np.clip(t + step, 0.0, 1.0)
        curve = offset_curve(piece, -distance)
        moved, along = curve(high) - curve(low), piece.at(high) - piece.at(low)
        return np.asarray(np.einsum("ij,ij->i", moved, along) / np.maximum(np.einsum("ij,ij->i", along, along), 1e-300))

    def at(t: float) -> float:
        return float(forward(np.array([t]))[0])

    t = np.linspace(0.0, 1.0, 257)
    ahead = forward(t) > 0.0
    stops = [0.0]
    stops += [bisect(at, float(t[i]), float(t[i + 1])) for i in np.flatnonzero(ahead[:-1] != ahead[1:])]
    stops.append(1.0)
    found: list[Piece] = []
    for first, last in pairwise(stops):
        if last - first > 1e-9 and at((first + last) / 2.0) > 0.0:
            found += fit(offset_curve(piece, -distance), first, last, _FIT)
    return found


def _parted(raw: list[Edge]) -> list[Edge]:
    """The pieces cut wherever one meets another."""
    stops: list[set[float]] = [{0.0, 1.0} for _ in raw]
    for i, first in enumerate(raw):
        for j in range(i):
            for t, s in meetings(first.piece, raw[j].piece):
                stops[i].add(t)
                stops[j].add(s)
    found: list[Edge] = []
    for edge, places in zip(raw, stops, strict=True):
        length = edge.piece.length()
        ordered = [0.0]
        for t in sorted(places)[1:-1]:
            if (t - ordered[-1]) * length > _SHORTEST and (1.0 - t) * length > _SHORTEST:
                ordered.append(t)
        whole = len(ordered) == 1
        parts = [edge.piece] if whole else [edge.piece.part(a, b) for a, b in pairwise([*ordered, 1.0])]
        found += [Edge(part, edge.role) for part in parts if part.length() > _SHORTEST]
    return found


def _clear(piece: Piece, loop: Loop, reach: float) -> bool:
    x, y = piece.at(np.array([0.5]))[0].tolist()
    return all(distance_to((x, y), edge.piece) >= reach for edge in loop)


def _without_stubs(kept: list[Edge]) -> list[Edge]:
    """The pieces without those that lead nowhere.

    At a corner that hardly turns, what two parallels leave beyond their meeting is nearer than the distance by less
    than can be told.
    """
    while True:
        starts = np.array([edge.piece.start for edge in kept]).reshape(-1, 2)
        ends = np.array([edge.piece.end for edge in kept]).reshape(-1, 2)
        near = np.hypot(*(ends[:, None, :] - starts[None, :, :]).transpose(2, 0, 1)) <= 2.0 * _SNAP
        through = near.any(axis=1) & near.any(axis=0)
        if through.all():
            return kept
        kept = [edge for edge, leads in zip(kept, through, strict=True) if leads]


@dataclass(frozen=True, slots=True)
class _Next:
    """The piece that goes on from an end, and how far its start is from it [mm]."""

    index: int
    gap: float


def _followed(kept: list[Edge]) -> list[Loop]:
    """The pieces put end to end as loops; stubs that lead nowhere are left out."""
    left = set(range(len(kept)))
    found: list[Loop] = []
    while left:
        first = min(left)
        chain = [first]
        left.discard(first)
        while True:
            end = kept[chain[-1]].piece.end
            home = math.dist(end, kept[first].piece.start)
            near = min(
                (_Next(index, math.dist(end, kept[index].piece.start)) for index in sorted(left)),
                key=lambda one: one.gap,
                default=_Next(-1, math.inf),
            )
            if home <= 2.0 * _SNAP and home <= near.gap:
                found.append(_welded([kept[index] for index in chain]))
                break
            if near.gap > 2.0 * _SNAP:
                break
            chain.append(near.index)
            left.discard(near.index)
    return found


def _welded(edges: list[Edge]) -> Loop:
    """Ends that differ by rounding or by the tolerance of a fit drawn together."""
    pieces = [edge.piece for edge in edges]
    for index in range(len(pieces)):
        if len(pieces) == 1 and isinstance(pieces[0], (Arc, EllipseArc)):
            break
        before, after = pieces[index - 1], pieces[index]
        if before.end == after.start:
            continue
        if isinstance(after, (Line, Bezier)):
            pieces[index] = _starting(after, before.end)
        elif isinstance(before, (Line, Bezier)):
            pieces[index - 1] = _starting(before.reversed(), after.start).reversed()
    return tuple(Edge(piece, edge.role) for piece, edge in zip(pieces, edges, strict=True))


def _starting(piece: Line | Bezier, point: Point) -> Line | Bezier:
    if isinstance(piece, Line):
        return Line(point, piece.end)
    return Bezier((point, *piece.poles[1:]))
