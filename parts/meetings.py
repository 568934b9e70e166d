"""Where two pieces meet, and how far a point is from one: closed forms for lines and arcs, samples for the rest."""

from __future__ import annotations

import math

import numpy as np

from .curve import Arc, Floats, Line, Piece, Point, bounds

_SAMPLES = np.linspace(0.0, 1.0, 129)
_END = 1e-12
"""A parameter this far [-] beyond an end is the end."""


def meetings(first: Piece, second: Piece) -> list[tuple[float, float]]:
    """Parameters (in the first, in the second) [-] of every point that two pieces share.

    Lines and arcs in closed form; pieces that lie on each other along a stretch have none. Two other curves that only
    graze each other may be missed.
    """
    if not _boxes_meet(first, second):
        return []
    match first, second:
        case Line(), Line():
            return _line_line(first, second)
        case Line(), Arc():
            return _line_arc(first, second)
        case Arc(), Line():
            return [(s, t) for t, s in _line_arc(second, first)]
        case Arc(), Arc():
            return _arc_arc(first, second)
        case _:
            return _sampled(first, second)


def distance(point: Point, piece: Piece) -> float:
    """Distance [mm] of a point from a piece; exact for lines and arcs, within 1e-9 mm for the others."""
    x, y = point
    if isinstance(piece, Line):
        (ax, ay), (bx, by) = piece.start, piece.end
        dx, dy = bx - ax, by - ay
        share = min(max(((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy), 0.0), 1.0)
        return math.hypot(ax + share * dx - x, ay + share * dy - y)
    if isinstance(piece, Arc):
        dx, dy = x - piece.centre[0], y - piece.centre[1]
        if _arc_parameter(piece, math.atan2(dy, dx)) is not None:
            return abs(math.hypot(dx, dy) - piece.radius)
        return min(math.dist(point, piece.start), math.dist(point, piece.end))
    low, high = 0.0, 1.0
    best = math.inf
    for _ in range(5):
        t = low + (high - low) * _SAMPLES
        away = np.hypot(*(piece.at(t) - np.asarray(point)).T)
        k = int(np.argmin(away))
        best = min(best, float(away[k]))
        low, high = float(t[max(k - 1, 0)]), float(t[min(k + 1, len(t) - 1)])
    return best


def _boxes_meet(first: Piece, second: Piece) -> bool:
    a, b, slack = bounds(first), bounds(second), 1e-9
    return a[0] <= b[2] + slack and b[0] <= a[2] + slack and a[1] <= b[3] + slack and b[1] <= a[3] + slack


def _held(t: float) -> float | None:
    """The parameter on the piece, or None beyond it."""
    return min(max(t, 0.0), 1.0) if -_END <= t <= 1.0 + _END else None


def _pairs(found: list[tuple[float | None, float | None]]) -> list[tuple[float, float]]:
    return [(t, s) for t, s in found if t is not None and s is not None]


def _line_line(first: Line, second: Line) -> list[tuple[float, float]]:
    (ax, ay), (bx, by) = first.start, first.end
    (cx, cy), (dx, dy) = second.start, second.end
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    turn = ux * vy - uy * vx
    if abs(turn) <= 1e-12 * math.hypot(ux, uy) * math.hypot(vx, vy):
        return []
    t = ((cx - ax) * vy - (cy - ay) * vx) / turn
    s = ((cx - ax) * uy - (cy - ay) * ux) / turn
    return _pairs([(_held(t), _held(s))])


def _line_arc(line: Line, arc: Arc) -> list[tuple[float, float]]:
    ax, ay = line.start[0] - arc.centre[0], line.start[1] - arc.centre[1]
    length = line.length()
    ux, uy = (line.end[0] - line.start[0]) / length, (line.end[1] - line.start[1]) / length
    middle, off = -(ax * ux + ay * uy), ax * uy - ay * ux
    square = arc.radius**2 - off**2
    if square < -1e-12 * arc.radius**2:
        return []
    half = math.sqrt(max(square, 0.0))
    places = {middle - half, middle + half}
    return _pairs(
        [(_held(p / length), _arc_parameter(arc, math.atan2(ay + p * uy, ax + p * ux))) for p in sorted(places)]
    )


def _arc_arc(first: Arc, second: Arc) -> list[tuple[float, float]]:
    dx, dy = second.centre[0] - first.centre[0], second.centre[1] - first.centre[1]
    apart = math.hypot(dx, dy)
    if apart <= 1e-12 * (first.radius + second.radius):
        return []
    along = (apart**2 + first.radius**2 - second.radius**2) / (2.0 * apart)
    square = first.radius**2 - along**2
    if square < -1e-12 * first.radius**2:
        return []
    half, lean = math.sqrt(max(square, 0.0)), math.atan2(dy, dx)
    found: list[tuple[float | None, float | None]] = []
    for side in sorted({half, -half}):
        x = first.centre[0] + along * math.cos(lean) - side * math.sin(lean)
        y = first.centre[1] + along * math.sin(lean) + side * math.cos(lean)
        found.append(
            (
                _arc_parameter(first, math.atan2(y - first.centre[1], x - first.centre[0])),
                _arc_parameter(second, math.atan2(y - second.centre[1], x - second.centre[0])),
            )
        )
    return _pairs(found)


def _arc_parameter(arc: Arc, angle: float) -> float | None:
    """Parameter [-] of an arc at a polar angle [rad] about its centre, or None where the arc does not reach."""
    turn = math.copysign(1.0, arc.sweep) * (angle - arc.start_angle) % math.tau
    if turn > math.tau - 1e-12:
        turn -= math.tau
    return _held(turn / abs(arc.sweep))


def _sampled(first: Piece, second: Piece) -> list[tuple[float, float]]:
    p, q = first.at(_SAMPLES), second.at(_SAMPLES)
    u, v = np.diff(p, axis=0)[:, None, :], np.diff(q, axis=0)[None, :, :]
    between = q[None, :-1, :] - p[:-1, None, :]
    turn = _cross(u, v)
    with np.errstate(divide="ignore", invalid="ignore"):
        t, s = _cross(between, v) / turn, _cross(between, u) / turn
    # A little over each chord's ends, for the curve lies beside its chords.
    over = 0.1
    near = (t > -over) & (t < 1.0 + over) & (s > -over) & (s < 1.0 + over)
    found: list[tuple[float, float]] = []
    steps = len(_SAMPLES) - 1
    for i, j in np.argwhere(near):
        place = _refined(first, second, (i + float(t[i, j])) / steps, (j + float(s[i, j])) / steps)
        if place and not any(abs(place[0] - a) + abs(place[1] - b) < 1e-9 for a, b in found):
            found.append(place)
    return sorted(found)


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def _refined(first: Piece, second: Piece, t: float, s: float) -> tuple[float, float] | None:
    """Newton's method from a near guess; None where it does not lead to a shared point."""
    for _ in range(30):
        a, b = np.array([t]), np.array([s])
        gap = (second.at(b) - first.at(a))[0]
        u, v = first.slope(a)[0], second.slope(b)[0]
        turn = float(u[0] * v[1] - u[1] * v[0])
        if turn == 0.0:
            return None
        dt, ds = float(gap[0] * v[1] - gap[1] * v[0]) / turn, float(gap[0] * u[1] - gap[1] * u[0]) / turn
        t, s = min(max(t + dt, -0.05), 1.05), min(max(s + ds, -0.05), 1.05)
        if abs(dt) + abs(ds) < 1e-14:
            break
    a, b = np.array([t]), np.array([s])
    if float(np.hypot(*(second.at(b) - first.at(a))[0])) > 1e-9:
        return None
    held = _pairs([(_held(t), _held(s))])
    return held[0] if held else None
