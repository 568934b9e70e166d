"""A turned part cut into sections for a printer: each joined to the next by a spigot in a socket.

The sections are drawn in the whole's frame, and together they are the whole less the gaps of their joints.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from .chain import crossings
from .curve import Floats, Line, Point, gauss
from .errors import PartError
from .joint import Joint, socket, spigot
from .joint_keys import keys, keys_volume, slots, slots_volume
from .shape import Array, Cut, Edge, Fused, Loop, Meridian, Placed, Plate, RadialFeature, Revolved, Shape

_SAME = 1e-7
"""Places closer than this [mm] are the same."""


@dataclass(frozen=True, slots=True)
class Section:
    """One of the pieces that a part is printed in.

    Attributes:
        number: from 1, the foremost [-].
        count: how many there are [-].
        shape: the section, in the frame of the whole.
        first: its foremost station [mm], spigot and all.
        last: its aftmost station [mm], on which it stands when it is printed.
        word: what it is called: `tip`, `middle` or `base`, several middle ones with a number; empty for one alone.
    """

    number: int
    count: int
    shape: Shape
    first: float
    last: float
    word: str


def sections(outer: Loop, inner: Loop, tools: tuple[Shape, ...], joints: tuple[Joint, ...]) -> tuple[Section, ...]:
    """The sections of a whole, the foremost first.

    Args:
        outer: section of the whole from the tip on the axis over the skin and the rear to its rear opening, or to the
            axis where it has none.
        inner: from the rear opening forward to where the inside ends on the axis; empty where there is none. At every
            joint it is limited by the joint's `collar`.
        tools: what else is cut from the whole; each must keep clear of the joints.
        joints: the foremost first.

    Raises:
        PartError: a joint is not where it can be, or a tool runs through one.
    """
    _check_order(joints)
    outers, inners = _outers(outer, joints), _inners(inner, joints)
    owners = [_owner(tool, joints) for tool in tools]
    count = len(joints) + 1
    found: list[Section] = []
    for index in range(count):
        ahead = joints[index - 1] if index else None
        behind = joints[index] if index < len(joints) else None
        body = Revolved(_meridian(outers[index], inners[index], ahead, behind))
        cuts = (
            *(slots(ahead) if ahead else ()),
            *(tool for tool, own in zip(tools, owners, strict=True) if own == index),
        )
        shape: Shape = Cut(body, cuts) if cuts else body
        if behind:
            shape = Fused((shape, keys(behind)))
        first, last, _ = body.meridian.box()
        first, last = ahead.first if ahead else first, behind.station if behind else last
        found.append(Section(index + 1, count, shape, first, last, _word(index, count)))
    return tuple(found)


def gap_volume(joints: tuple[Joint, ...], inner: Loop = ()) -> float:
    """Volume of the whole that is in none of its sections [mm3]: gaps, glue grooves, and clearances of the keys.

    Args:
        joints: the joints, the foremost first.
        inner: inside of the whole, as in `sections`.

    Raises:
        PartError: a joint is not where it can be.
    """
    total = 0.0
    for joint, ahead in zip(joints, _inners(inner, joints), strict=False):
        socketed = _socketed(ahead, joint)
        # What of the cavity ahead lies in the socket was no material of the whole. Both run forward.
        total += _swept(socketed.swallowed) - _swept(socketed.wall) - _swept(spigot(joint))
        total += slots_volume(joint) - keys_volume(joint)
    return total


def _swept(loop: Loop) -> float:
    """Volume between some edges and the axis [mm3], positive where they run aft."""
    nodes, weights = gauss(24)
    t = np.concatenate([nodes / 2.0, (1.0 + nodes) / 2.0])
    w = np.concatenate([weights, weights]) / 2.0
    total = 0.0
    for edge in loop:
        total += math.pi * float(w @ (edge.piece.at(t)[:, 1] ** 2 * edge.piece.slope(t)[:, 0]))
    return total


def _word(index: int, count: int) -> str:
    if count == 1:
        return ""
    if index in (0, count - 1):
        return "tip" if index == 0 else "base"
    return "middle" if count == 3 else f"middle {index}"


# --- checks -----------------------------------------------------------------------------------------------------------


def _check_order(joints: tuple[Joint, ...]) -> None:
    """Refuse joints that run into each other.

    Raises:
        PartError: they do.
    """
    for before, after in pairwise(joints):
        if after.reach < before.station + before.land:
            raise PartError(
                f"joint_stations: the joint at {after.station:g} mm reaches forward to {after.reach:g} mm, into the "
                f"one at {before.station:g} mm, which takes up to {before.station + before.land:g} mm"
            )


def _owner(tool: Shape, joints: tuple[Joint, ...]) -> int:
    """Number of the section that a tool cuts, from 0.

    Raises:
        PartError: it runs through a joint.
    """
    first, last = stations(tool)
    for joint in joints:
        if first < joint.station and last > joint.reach:
            raise PartError(
                f"joint_stations: the joint at {joint.station:g} mm reaches forward to {joint.reach:g} mm, through "
                f"what is cut from the part from {first:.4g} to {last:.4g} mm"
            )
    return sum(1 for joint in joints if first >= joint.station)


def stations(shape: Shape) -> tuple[float, float]:
    """First and last station of a shape along the axis [mm]; all but a flat plate must be turned about nothing else.

    Raises:
        PartError: it is a kind of shape that is not cut from a turned part.
    """
    match shape:
        case Revolved():
            first, last, _ = shape.meridian.box()
            return first, last
        case RadialFeature():
            low, _, high, _ = shape.outline.box()
            return shape.station + low, shape.station + high
        case Array():
            return stations(shape.shape)
        case Cut():
            return stations(shape.base)
        case Fused():
            spans = [stations(member) for member in shape.members]
            return min(span[0] for span in spans), max(span[1] for span in spans)
        case Placed(shape=Plate() as plate):
            y0, z0, y1, z1 = plate.outline.box()
            corners = np.array([[x, y, z] for x in (0.0, plate.thickness) for y in (y0, y1) for z in (z0, z1)])
            along = shape.placement.apply(corners)[:, 0]
            return float(along.min()), float(along.max())
        case Placed() if shape.placement.turn[0] == 1.0:
            first, last = stations(shape.shape)
            return first + shape.placement.move[0], last + shape.placement.move[0]
        case _:
            raise PartError(f"a {type(shape).__name__} cannot be cut from a part in sections")


# --- the section of each ----------------------------------------------------------------------------------------------


def _meridian(outer: Loop, inner: Loop, ahead: Joint | None, behind: Joint | None) -> Meridian:
    """Half section of one piece: its spigot, its skin, its socket, its inside."""
    loop = list(outer)
    if ahead:
        spigot_edges = spigot(ahead)
        loop = [*spigot_edges, _ring(spigot_edges[-1].piece.end, outer[0].piece.start), *loop]
    if behind:
        socketed = _socketed(inner, behind)
        loop += [_ring(outer[-1].piece.end, socketed.wall[0].piece.start), *socketed.wall]
        inner = socketed.kept
    loop += inner
    start, end = loop[0].piece.start, loop[-1].piece.end
    if math.dist(start, end) > _SAME:
        # Both ends lie on the axis.
        loop.append(Edge(Line(end, start)))
    return Meridian(tuple(loop))


def _ring(start: Point, end: Point) -> Edge:
    """The flat face in which two sections meet."""
    return Edge(Line(start, end), "joint")


@dataclass(frozen=True, slots=True)
class _Socketed:
    """The inside of a section with its socket; all three run forward.

    Attributes:
        wall: the socket from its mouth to where it passes into the inside, or to its roof on the axis.
        swallowed: what of the inside lies within the socket.
        kept: what of it lies ahead.
    """

    wall: Loop
    swallowed: Loop
    kept: Loop


def _socketed(ahead: Loop, joint: Joint) -> _Socketed:
    """The socket of a joint joined to the inside of the whole ahead of the spigot.

    Where that is narrower than the socket, or there is none, the socket is a little deeper than the spigot and closes
    at 45 degrees.
    """
    r = joint.socket_radius
    if ahead and ahead[0].piece.start[1] >= r - _SAME:
        wall = socket(joint, joint.front)
        x, radius = ahead[0].piece.start
        ledge = (Edge(Line((x, r), (x, radius))),) if radius > r + _SAME else ()
        return _Socketed((*wall, *ledge), (), ahead)

    def beyond(points: Floats) -> Floats:
        return np.asarray(points[:, 1] - r + np.maximum(joint.edge - points[:, 0], 0.0))

    found = crossings(tuple(edge.piece for edge in ahead), beyond)
    if not found:
        roof = Edge(Line((joint.edge, r), (joint.edge - r, 0.0)), "fit")
        return _Socketed((*socket(joint, joint.edge), roof), ahead, ())
    index, t = found[0]
    edge = ahead[index]
    swallowed = (*ahead[:index], Edge(edge.piece.part(0.0, t), edge.role))
    kept = (Edge(edge.piece.part(t, 1.0), edge.role), *ahead[index + 1 :])
    x, radius = kept[0].piece.start
    if x >= joint.edge:
        return _Socketed(socket(joint, x), swallowed, kept)
    roof = Edge(Line((joint.edge, r), (x, radius)), "fit")
    return _Socketed((*socket(joint, joint.edge), roof), swallowed, kept)


# --- cutting ----------------------------------------------------------------------------------------------------------


def _outers(outer: Loop, joints: tuple[Joint, ...]) -> list[Loop]:
    """The outside of each section, the foremost first.

    Raises:
        PartError: a joint is not on the skin.
    """
    found: list[Loop] = []
    rest = outer
    for joint in joints:
        ahead, rest = _parted(rest, joint.station)
        if not ahead or not rest or ahead[-1].role != "wetted":
            raise PartError(f"joint_stations: {joint.station:g} mm is not on the skin")
        found.append(ahead)
    return [*found, rest]


def _inners(inner: Loop, joints: tuple[Joint, ...]) -> list[Loop]:
    """The inside of each section, the foremost first, parted at the forward edges of the spigots; each runs forward.

    Raises:
        PartError: the inside is not that of a whole with these joints.
    """
    found: list[Loop] = []
    rest = inner
    for joint in reversed(joints):
        if joint.solid:
            if rest and rest[-1].piece.end[0] < joint.station + 1.0:
                raise PartError(
                    f"joint_stations: the solid spigot at {joint.station:g} mm needs 1 mm of solid part behind it, and "
                    f"the inside begins at {rest[-1].piece.end[0]:.4g} mm"
                )
            found.append(rest)
            rest = ()
            continue
        behind, rest = _parted(rest, joint.front) if rest else ((), ())
        if not behind or math.dist(behind[-1].piece.end, (joint.front, joint.bore)) > 1e-5:
            raise PartError(
                f"joint_stations: the inside of the spigot at {joint.station:g} mm is not the bore of "
                f"{2.0 * joint.bore:.4g} mm that it needs"
            )
        found.append(behind)
        while rest and abs(rest[0].piece.start[0] - joint.front) <= _SAME >= abs(rest[0].piece.end[0] - joint.front):
            rest = rest[1:]
    return [rest, *reversed(found)]


def _parted(loop: Loop, x: float) -> tuple[Loop, Loop]:
    """What of some edges comes before the first place at a station, and what comes after it."""
    side = math.copysign(1.0, loop[0].piece.start[0] - x)
    for index, edge in enumerate(loop):
        away = edge.piece.end[0] - x
        if abs(away) <= _SAME:
            return loop[: index + 1], loop[index + 1 :]
        if away * side < 0.0:
            _, t = crossings((edge.piece,), lambda points: points[:, 0] - x)[0]
            before, after = Edge(edge.piece.part(0.0, t), edge.role), Edge(edge.piece.part(t, 1.0), edge.role)
            return (*loop[:index], before), (after, *loop[index + 1 :])
    return loop, ()
