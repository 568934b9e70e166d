"""The core of a solid print: what lies deeper than its shell of perimeters and of top and bottom layers.

A solid part is printed as a shell of full density round a core that is filled in part. Shell and core are two bodies
that do not overlap and together are the part, so that its mass, centre of gravity and inertia follow from both.
"""

from __future__ import annotations

import math
from functools import partial
from itertools import pairwise

import numpy as np

from .chain import Chain, crossings, cut, offset, reverse
from .curve import Bezier, Floats, Line, Piece, Point, bounds
from .errors import PartError
from .inner_profile import inner_profile
from .shape import Cut, Edge, Meridian, Revolved, edges

_SAME = 1e-9
"""Lengths below this [mm] are none."""

_CORNER = 1e-3
"""Pieces of a smooth skin have parallels that meet within this [mm]; wider gaps are corners."""


def core(skin: Chain, shell: float, rear: Chain, caps: float, front: Chain = (), bore: Chain = ()) -> Meridian | None:
    """Section of the core of a solid turned part.

    The core lies `shell` deep, square to the outside: under a skin by its true normal offset, under straight faces by
    their parallels, which meet in corners. Under faces square to the axis, which print flat, it lies `caps` deep, so
    under the disc of a flat tip. A round tip is skin: the layers over its top count as thick as the perimeters.

    Args:
        skin: outside from its forward end aft, smooth; it may start on the axis, as a nose does.
        shell: thickness of the perimeters together [mm], above 0.
        rear: straight faces from the aft end of the skin on to the axis, or to the rim of the bore.
        caps: thickness of the top and bottom layers together, each side [mm], at least 0.
        front: straight faces from the axis to the forward end of the skin; none where that lies on the axis.
        bore: straight faces of a hole on the axis that is open to the rear, from its forward end aft; it is no narrower
            aft than it is forward, and has a shell round it too.

    Returns:
        The section, its stretch of the axis as its last edge if it touches that; None where the shell leaves no core.

    Raises:
        PartError: the shell is thicker than the skin's own curvature allows, or the faces are no solid's.
    """
    if not 0.0 < shell < math.inf or not 0.0 <= caps < math.inf:
        raise PartError(f"the shell must be thicker than 0 mm and its flat layers at least 0, got {shell:g}, {caps:g}")
    _check_solid(skin, rear, front, bore)
    if not front and _is_disc(skin[0]) and len(skin) > 1:
        skin, front = skin[1:], skin[:1]
    inner = _parallel(skin, shell)
    if not inner:
        return None
    behind = _cut_back(inner, rear, shell, caps, -1.0)
    if not behind:
        return None
    whole = behind
    if front:
        ahead = _cut_back(reverse(behind), reverse(front), shell, caps, 1.0)
        if not ahead:
            return None
        whole = reverse(ahead)
    if whole[-1].end[0] - whole[0].start[0] <= _SAME:
        return None
    if bore:
        whole = _clear_of(whole, _round_bore(bore, shell, caps))
        if not whole:
            return None
    try:
        return Meridian((*edges(whole), Edge(Line(whole[-1].end, whole[0].start))))
    except PartError:
        # What is left has turned inside out: the shells of its ends meet.
        return None


def around(solid: Meridian, inside: Meridian) -> Revolved | Cut:
    """The shell: a solid less its core.

    Args:
        solid: section of the part, with its stretch of the axis as one edge.
        inside: section of its core, as `core` gives it.

    Returns:
        The body between both; a cut where the core goes round a bore and does not touch the axis.

    Raises:
        PartError: the solid is not closed along its axis.
    """
    if not _on_axis(inside.edges[-1].piece):
        return Cut(Revolved(solid), (Revolved(inside),))
    number = next((i for i, edge in enumerate(solid.edges) if _on_axis(edge.piece)), None)
    if number is None:
        raise PartError("the section has no edge along its axis: only a solid part has a core")
    axis = solid.edges[number].piece
    wall = reverse(tuple(edge.piece for edge in inside.edges[:-1]))
    joined = (Line(axis.start, wall[0].start), *wall, Line(wall[-1].end, axis.end))
    return Revolved(Meridian((*solid.edges[:number], *edges(joined), *solid.edges[number + 1 :])))


def _on_axis(piece: Piece) -> bool:
    return isinstance(piece, Line) and max(abs(piece.start[1]), abs(piece.end[1])) <= _SAME


def _is_disc(piece: Piece) -> bool:
    """True for a flat face square to the axis that starts on it."""
    flat = isinstance(piece, Line) and abs(piece.end[0] - piece.start[0]) <= _SAME
    return flat and abs(piece.start[1]) <= _SAME


def _check_solid(skin: Chain, rear: Chain, front: Chain, bore: Chain) -> None:
    back = reverse(bore)
    chain = (*front, *skin, *rear, *back)
    on_axis = chain and abs(chain[0].start[1]) <= _SAME and abs(chain[-1].end[1]) <= _SAME
    joined = all(math.dist(a.end, b.start) <= 1e-7 for a, b in pairwise(chain))
    if not (skin and rear and on_axis and joined):
        raise PartError("the outside of a solid part runs from the axis to the axis without a gap")
    if not all(isinstance(piece, Line) for piece in (*front, *rear, *bore)):
        raise PartError("the faces before, behind and in the bore must be straight")
    if any(piece.end[1] < piece.start[1] - _SAME or piece.end[0] < piece.start[0] - _SAME for piece in bore):
        raise PartError("a bore that is open to the rear must be no narrower there than ahead")


def _parallel(skin: Chain, shell: float) -> Chain:
    """The inside of the shell under the skin; empty where it leaves no room.

    Raises:
        PartError: it folds.
    """
    if shell >= max(bounds(piece)[3] for piece in skin):
        return ()
    if abs(skin[0].start[1]) <= _SAME:
        try:
            return inner_profile(skin, shell)
        except PartError as error:
            if "no room" in str(error):
                return ()
            raise PartError(f"a shell of {shell:g} mm: {error}") from None
    try:
        pieces = list(offset(skin, -shell))
    except ValueError as error:
        raise PartError(f"a shell of {shell:g} mm: {error}") from None
    for index in range(1, len(pieces)):
        before, after = pieces[index - 1], pieces[index]
        gap = math.dist(before.end, after.start)
        if gap > _CORNER:
            raise PartError(f"a shell of {shell:g} mm: the skin has a corner, where its parallel parts by {gap:.3g} mm")
        if isinstance(after, Bezier):
            pieces[index] = Bezier((before.end, *after.poles[1:]))
        elif isinstance(before, Bezier):
            pieces[index - 1] = Bezier((*before.poles[:-1], after.start))
        elif isinstance(after, Line):
            pieces[index] = Line(before.end, after.end)
        elif isinstance(before, Line):
            pieces[index - 1] = Line(before.start, after.start)
    return tuple(pieces)


def _cut_back(inner: Chain, faces: Chain, shell: float, caps: float, side: float) -> Chain:
    """The parallel of the skin and of the faces behind it, as far as the axis.

    Args:
        inner: parallel of the skin, running towards the faces.
        faces: straight faces from the skin to the axis.
        shell: depth under faces along or oblique to the axis [mm].
        caps: depth under faces square to it [mm].
        side: +1 where the material lies to the left of the travel, -1 to the right.
    """
    limits = [_moved(face, shell, caps, side) for face in faces if isinstance(face, Line) and face.length() > _SAME]
    reach = 8.0 * (shell + caps)
    end = inner[-1].end
    # A fitted piece may end with a vanishing slope, whose direction is rounding alone.
    step = np.subtract(end, inner[-1].at(np.array([1.0 - 1e-4]))[0])
    ahead = step / math.hypot(*step) * reach
    # Run on, so that it meets a face that leans away from it.
    run = (*inner, Line(end, (end[0] + float(ahead[0]), end[1] + float(ahead[1]))))
    # Where the skin's own parallel comes down to the axis, what lies behind limits nothing.
    down = [place for place in crossings(run, _radii) if _falls(run, place)]
    if down:
        run = cut(run, None, down[0])
    while limits:
        found = crossings(run, partial(_beside, limits[0]))
        if not found:
            return run if down else ()
        kept = cut(run, None, max((place for place in found if place[0] < len(inner)), default=found[0]))
        corners = [kept[-1].end if kept else run[0].start]
        for before, after in pairwise(limits):
            corners.append(_meeting(before, after) or corners[-1])
        corners.append(_to_axis(limits[-1]) or corners[-1])
        gone = _vanished(limits, corners)
        if gone is None:
            return _to_the_axis((*kept, *(Line(a, b) for a, b in pairwise(corners) if math.dist(a, b) > _SAME)))
        del limits[gone]
    return ()


def _radii(points: Floats) -> Floats:
    return np.asarray(points[:, 1])


def _falls(chain: Chain, place: tuple[int, float]) -> bool:
    """True where a chain comes down to the axis."""
    before = (place[0], place[1] - 1e-6) if place[1] > 1e-6 else (place[0] - 1, 1.0 - 1e-6)
    return before[0] >= 0 and float(chain[before[0]].at(np.array([before[1]]))[0, 1]) > 0.0


def _moved(face: Line, shell: float, caps: float, side: float) -> Line:
    flat = abs(face.end[0] - face.start[0]) <= _SAME
    return face.offset(side * (caps if flat else shell))


def _beside(line: Line, points: Floats) -> Floats:
    """How far points (n, 2) lie to the left of a line [mm]."""
    (ax, ay), (bx, by) = line.start, line.end
    return np.asarray(((bx - ax) * (points[:, 1] - ay) - (by - ay) * (points[:, 0] - ax)) / line.length())


def _meeting(first: Line, second: Line) -> Point | None:
    """Where two lines meet that run on without end; None where they are parallel."""
    (ax, ay), (bx, by) = first.start, first.end
    (cx, cy), (dx, dy) = second.start, second.end
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    turn = ux * vy - uy * vx
    if abs(turn) <= 1e-12 * math.hypot(ux, uy) * math.hypot(vx, vy):
        return None
    t = ((cx - ax) * vy - (cy - ay) * vx) / turn
    return ax + t * ux, ay + t * uy


def _to_axis(line: Line) -> Point | None:
    found = _meeting(line, Line((0.0, 0.0), (1.0, 0.0)))
    return None if found is None else (found[0], 0.0)


def _vanished(limits: list[Line], corners: list[Point]) -> int | None:
    """Number of the first limit that has no length left between its corners, or runs backwards; None if all stay."""
    for number, (line, (start, end)) in enumerate(zip(limits, pairwise(corners), strict=True)):
        along = (end[0] - start[0]) * (line.end[0] - line.start[0]) + (end[1] - start[1]) * (
            line.end[1] - line.start[1]
        )
        if along <= 0.0 and start[1] > 0.0 and len(limits) > 1:
            return number
    return None


def _to_the_axis(chain: Chain) -> Chain:
    """The chain up to where it first comes down to the axis."""
    for number, piece in enumerate(chain):
        (x0, r0), (x1, r1) = piece.start, piece.end
        if isinstance(piece, Line) and r0 > 0.0 >= r1:
            x = x0 + (x1 - x0) * r0 / (r0 - r1)
            return (*chain[:number], Line(piece.start, (x, 0.0)))
    return ()


def _round_bore(bore: Chain, shell: float, caps: float) -> tuple[Point, ...]:
    """Corners of the outside of the shell round a bore, from the axis aft to its last corner [mm].

    Beyond the last corner it runs on along the axis.
    """
    limits = [_moved(face, shell, caps, 1.0) for face in bore if isinstance(face, Line) and face.length() > _SAME]
    while True:
        corners = [_to_axis(limits[0]) or (limits[0].start[0] - caps, limits[0].start[1])]
        for before, after in pairwise(limits):
            corners.append(_meeting(before, after) or corners[-1])
        corners.append(limits[-1].end)
        gone = _vanished(limits, corners)
        if gone is None:
            return tuple(corners)
        del limits[gone]


def _clear_of(outside: Chain, bore: tuple[Point, ...]) -> Chain:
    """What of a core is clear of the shell round a bore: from where it begins, round its outside and back to the axis.

    Args:
        outside: outside of the core, from the axis to the axis.
        bore: corners of the outside of that shell, on the axis first.
    """
    over = partial(_over, np.array(bore))
    places = crossings(outside, over)
    if not places:
        return outside if outside[-1].end[0] <= bore[0][0] else ()
    ahead = outside[0].start[0] < bore[0][0] - _SAME
    if ahead and len(places) > 1:
        # The bore's shell meets the outside near the tip: what is ahead of it is a sliver beside the ring behind it.
        places, ahead = places[1:], False
    first = None if ahead else places[0]
    last = places[0] if ahead else places[-1]
    kept = cut(outside, first, last)
    start, end = kept[0].start, kept[-1].end
    corners = [
        point for point in reversed(bore) if (ahead or point[0] > start[0] + _SAME) and point[0] < end[0] - _SAME
    ]
    points = [end, *corners, *([] if ahead else [start])]
    wall = tuple(Line(a, b) for a, b in pairwise(points) if math.dist(a, b) > _SAME)
    if ahead:
        return (*kept, *wall)
    # The ring is closed by the last line of the wall, which the caller draws.
    return (*kept, *wall[:-1])


def _over(bore: Floats, points: Floats) -> Floats:
    """How far points (n, 2) lie outside the shell round a bore [mm]; ahead of it the axis is as far as need be."""
    x, r = points[:, 0], points[:, 1]
    return np.asarray(np.where(x < bore[0, 0], r + 1.0, r - np.interp(x, bore[:, 0], bore[:, 1])))
