"""How near two features of a round disc lie: exact gaps between points, straight lines and arcs about its middle."""

from __future__ import annotations

import math
from typing import TypeAlias

from ..curve import Arc, Line, Point

Bone: TypeAlias = Point | Line | Arc
"""What a feature is drawn round: a point, a straight line, or an anticlockwise arc about the middle of the disc."""


def gap(first: Bone, second: Bone) -> float:
    """Shortest distance between two bones [mm]; 0 where they cross."""
    near = min(
        *(_from_point(end, second) for end in ends(first)),
        *(_from_point(end, first) for end in ends(second)),
    )
    if isinstance(first, Line) and isinstance(second, Line):
        return 0.0 if _cross(first, second) else near
    if isinstance(first, Line) and isinstance(second, Arc):
        return min(near, _within(first, second))
    if isinstance(first, Arc) and isinstance(second, Line):
        return min(near, _within(second, first))
    # Of two arcs about one middle that overlap, an end of one faces the other.
    return near


def ends(bone: Bone) -> tuple[Point, ...]:
    """Both ends of a line or arc; a point alone."""
    return (bone.start, bone.end) if isinstance(bone, Line | Arc) else (bone,)


def farthest(bone: Bone) -> float:
    """Largest distance of a bone from the middle of the disc [mm]."""
    return max(math.hypot(x, y) for x, y in ends(bone))


def _from_point(point: Point, bone: Bone) -> float:
    if isinstance(bone, Line):
        return math.dist(point, _on(bone, min(max(_share(point, bone), 0.0), 1.0)))
    if isinstance(bone, Arc) and _faces(point, bone):
        return abs(math.hypot(*point) - bone.radius)
    return min(math.dist(point, end) for end in ends(bone))


def _share(point: Point, line: Line) -> float:
    """Where along a line the foot of a point lies, 0 at its start and 1 at its end [-]."""
    dx, dy = line.end[0] - line.start[0], line.end[1] - line.start[1]
    return ((point[0] - line.start[0]) * dx + (point[1] - line.start[1]) * dy) / (dx * dx + dy * dy)


def _on(line: Line, share: float) -> Point:
    (x0, y0), (x1, y1) = line.start, line.end
    return x0 + (x1 - x0) * share, y0 + (y1 - y0) * share


def _faces(point: Point, arc: Arc) -> bool:
    """True for a point in the directions that an arc spans, seen from the middle."""
    return (math.atan2(point[1], point[0]) - arc.start_angle) % math.tau <= arc.sweep


def _cross(first: Line, second: Line) -> bool:
    def side(line: Line, point: Point) -> float:
        dx, dy = line.end[0] - line.start[0], line.end[1] - line.start[1]
        return dx * (point[1] - line.start[1]) - dy * (point[0] - line.start[0])

    return (
        side(first, second.start) * side(first, second.end) < 0.0
        and side(second, first.start) * side(second, first.end) < 0.0
    )


def _within(line: Line, arc: Arc) -> float:
    """Distance from an arc to the inner points of a line that can be nearest to it, infinite without any [mm]."""
    share = _share((0.0, 0.0), line)
    foot = _on(line, share)
    found = [share]
    if math.hypot(*foot) < arc.radius:
        half = math.sqrt(arc.radius**2 - math.hypot(*foot) ** 2) / line.length()
        found += [share - half, share + half]
    return min((_from_point(_on(line, one), arc) for one in found if 0.0 < one < 1.0), default=math.inf)
