"""Planar pieces: line, circular arc, ellipse arc and Bezier, each with exact position, slope and length.

Every edge of a Ferrule part is one of these four, so that each reader can use the piece itself and no reader has to
agree with another about a polygon. Lengths are in [mm], angles in [rad], curve parameters run from 0 to 1 [-].
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache, partial
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Point: TypeAlias = tuple[float, float]
Floats: TypeAlias = NDArray[np.float64]

HIGHEST_DEGREE = 9
"""Highest Bezier degree [-]: every kernel and every exchange format reads it without raising or splitting it."""


def crowded(count: int) -> Floats:
    """Parameters from 0 to 1, crowded towards both ends as the cosine of evenly ruled angles, shape (count,) [-]."""
    return np.asarray((1.0 - np.cos(np.pi * np.arange(count) / (count - 1))) / 2.0)


@cache
def gauss(count: int) -> tuple[Floats, Floats]:
    """Gauss-Legendre nodes and weights on 0 to 1, shapes (count,) [-]."""
    nodes, weights = np.polynomial.legendre.leggauss(count)
    return (nodes + 1.0) / 2.0, weights / 2.0


@dataclass(frozen=True, slots=True)
class Line:
    """Straight piece from `start` to `end` [mm]."""

    start: Point
    end: Point

    def at(self, t: Floats) -> Floats:
        """Positions at the parameters `t` (n,) [-], shape (n, 2) [mm]."""
        t = np.asarray(t, dtype=float)[:, None]
        return np.asarray(self.start) * (1.0 - t) + np.asarray(self.end) * t

    def slope(self, t: Floats) -> Floats:
        """First derivative by the parameter, shape (n, 2) [mm]."""
        return np.broadcast_to(np.subtract(self.end, self.start), (len(t), 2)).astype(float)

    def length(self) -> float:
        """Length [mm]."""
        return math.dist(self.start, self.end)

    def reversed(self) -> Line:
        """The same piece run the other way."""
        return Line(self.end, self.start)

    def part(self, first: float, last: float) -> Line:
        """The piece between two parameters [-]."""
        a, b = self.at(np.array([first, last])).tolist()
        return Line(
            self.start if first == 0.0 else (a[0], a[1]),
            self.end if last == 1.0 else (b[0], b[1]),
        )

    def placed(self, dx: float, dy: float, turn: float = 0.0) -> Line:
        """Turned about the origin by `turn` [rad], then moved by (dx, dy) [mm]."""
        return Line(_place(self.start, dx, dy, turn), _place(self.end, dx, dy, turn))

    def mirrored(self) -> Line:
        """Mirrored in the x axis (y becomes -y)."""
        return Line((self.start[0], -self.start[1]), (self.end[0], -self.end[1]))

    def offset(self, distance: float) -> Line:
        """Parallel piece `distance` [mm] to the left of the direction of travel; exact."""
        length = self.length()
        dx = -(self.end[1] - self.start[1]) / length * distance
        dy = (self.end[0] - self.start[0]) / length * distance
        return self.placed(dx, dy)


@dataclass(frozen=True, slots=True)
class EllipseArc:
    """Arc of an ellipse whose axes lie along x and y after a turn by `tilt`.

    Position: centre + turn(tilt) (semi_x cos a, semi_y sin a), a = start_angle + sweep t; the angle is the ellipse's
    eccentric angle. A positive sweep runs anticlockwise.
    """

    centre: Point
    semi_x: float
    semi_y: float
    start_angle: float
    sweep: float
    tilt: float = 0.0

    @property
    def start(self) -> Point:
        """First point [mm]."""
        return self._point(self.start_angle)

    @property
    def end(self) -> Point:
        """Last point [mm]."""
        return self._point(self.start_angle + self.sweep)

    def _point(self, angle: float) -> Point:
        x, y = self.semi_x * _cos(angle), self.semi_y * _sin(angle)
        return _place((x, y), self.centre[0], self.centre[1], self.tilt)

    def at(self, t: Floats) -> Floats:
        """Positions at the parameters `t` (n,) [-], shape (n, 2) [mm]."""
        angle = self.start_angle + self.sweep * np.asarray(t, dtype=float)
        local = np.column_stack([self.semi_x * np.cos(angle), self.semi_y * np.sin(angle)])
        return np.asarray(local @ _turn_matrix(self.tilt).T + np.asarray(self.centre))

    def slope(self, t: Floats) -> Floats:
        """First derivative by the parameter, shape (n, 2) [mm]."""
        angle = self.start_angle + self.sweep * np.asarray(t, dtype=float)
        local = np.column_stack([-self.semi_x * np.sin(angle), self.semi_y * np.cos(angle)]) * self.sweep
        return np.asarray(local @ _turn_matrix(self.tilt).T)

    def length(self) -> float:
        """Length [mm], by Gauss quadrature good to about 1e-12 of itself for axis ratios down to 1/20."""
        return _length_by_quadrature(self, 16 * math.ceil(abs(self.sweep) / (math.pi / 2.0)))

    def reversed(self) -> EllipseArc:
        """The same piece run the other way."""
        return EllipseArc(self.centre, self.semi_x, self.semi_y, self.start_angle + self.sweep, -self.sweep, self.tilt)

    def part(self, first: float, last: float) -> EllipseArc:
        """The piece between two parameters [-]."""
        return EllipseArc(
            self.centre,
            self.semi_x,
            self.semi_y,
            self.start_angle + self.sweep * first,
            self.sweep * (last - first),
            self.tilt,
        )

    def placed(self, dx: float, dy: float, turn: float = 0.0) -> EllipseArc:
        """Turned about the origin by `turn` [rad], then moved by (dx, dy) [mm]."""
        return EllipseArc(
            _place(self.centre, dx, dy, turn),
            self.semi_x,
            self.semi_y,
            self.start_angle,
            self.sweep,
            self.tilt + turn,
        )

    def mirrored(self) -> EllipseArc:
        """Mirrored in the x axis (y becomes -y)."""
        return EllipseArc(
            (self.centre[0], -self.centre[1]),
            self.semi_x,
            self.semi_y,
            -self.start_angle,
            -self.sweep,
            -self.tilt,
        )


@dataclass(frozen=True, slots=True)
class Arc:
    """Circular arc; a positive `sweep` [rad] runs anticlockwise, up to a full turn either way."""

    centre: Point
    radius: float
    start_angle: float
    sweep: float

    @property
    def start(self) -> Point:
        """First point [mm]."""
        return self._point(self.start_angle)

    @property
    def end(self) -> Point:
        """Last point [mm]; of a full turn exactly the first."""
        if abs(self.sweep) == math.tau:
            return self.start
        return self._point(self.start_angle + self.sweep)

    def _point(self, angle: float) -> Point:
        return (self.centre[0] + self.radius * _cos(angle), self.centre[1] + self.radius * _sin(angle))

    def at(self, t: Floats) -> Floats:
        """Positions at the parameters `t` (n,) [-], shape (n, 2) [mm]."""
        angle = self.start_angle + self.sweep * np.asarray(t, dtype=float)
        return np.column_stack(
            [self.centre[0] + self.radius * np.cos(angle), self.centre[1] + self.radius * np.sin(angle)]
        )

    def slope(self, t: Floats) -> Floats:
        """First derivative by the parameter, shape (n, 2) [mm]."""
        angle = self.start_angle + self.sweep * np.asarray(t, dtype=float)
        return np.column_stack([-np.sin(angle), np.cos(angle)]) * (self.radius * self.sweep)

    def length(self) -> float:
        """Length [mm]."""
        return self.radius * abs(self.sweep)

    def reversed(self) -> Arc:
        """The same piece run the other way."""
        return Arc(self.centre, self.radius, self.start_angle + self.sweep, -self.sweep)

    def part(self, first: float, last: float) -> Arc:
        """The piece between two parameters [-]."""
        return Arc(self.centre, self.radius, self.start_angle + self.sweep * first, self.sweep * (last - first))

    def placed(self, dx: float, dy: float, turn: float = 0.0) -> Arc:
        """Turned about the origin by `turn` [rad], then moved by (dx, dy) [mm]."""
        return Arc(_place(self.centre, dx, dy, turn), self.radius, self.start_angle + turn, self.sweep)

    def mirrored(self) -> Arc:
        """Mirrored in the x axis (y becomes -y)."""
        return Arc((self.centre[0], -self.centre[1]), self.radius, -self.start_angle, -self.sweep)

    def offset(self, distance: float) -> Arc:
        """Concentric arc `distance` [mm] to the left of the direction of travel; exact.

        Raises:
            ValueError: the offset is beyond the centre, where the arc would fold.
        """
        radius = self.radius - math.copysign(distance, distance * self.sweep)
        if radius <= 0.0:
            raise ValueError(f"an arc of radius {self.radius:g} mm has no parallel {abs(distance):g} mm inside it")
        return Arc(self.centre, radius, self.start_angle, self.sweep)


@dataclass(frozen=True, slots=True)
class Bezier:
    """Bezier piece of degree 1 to 9 through its first and last pole [mm]."""

    poles: tuple[Point, ...]

    def __post_init__(self) -> None:
        if not 2 <= len(self.poles) <= HIGHEST_DEGREE + 1:
            raise ValueError(f"a Bezier piece has 2 to {HIGHEST_DEGREE + 1} poles, got {len(self.poles)}")

    @property
    def start(self) -> Point:
        """First point [mm]."""
        return self.poles[0]

    @property
    def end(self) -> Point:
        """Last point [mm]."""
        return self.poles[-1]

    @property
    def degree(self) -> int:
        """Polynomial degree [-]."""
        return len(self.poles) - 1

    def at(self, t: Floats) -> Floats:
        """Positions at the parameters `t` (n,) [-], shape (n, 2) [mm]."""
        return np.asarray(bernstein(self.degree, t) @ np.asarray(self.poles))

    def slope(self, t: Floats) -> Floats:
        """First derivative by the parameter, shape (n, 2) [mm]."""
        steps = np.diff(np.asarray(self.poles), axis=0) * self.degree
        return np.asarray(bernstein(self.degree - 1, t) @ steps)

    def length(self) -> float:
        """Length [mm], by Gauss quadrature good to about 1e-10 of itself."""
        return _length_by_quadrature(self, 16)

    def reversed(self) -> Bezier:
        """The same piece run the other way."""
        return Bezier(self.poles[::-1])

    def part(self, first: float, last: float) -> Bezier:
        """The piece between two parameters [-], by de Casteljau's subdivision."""
        poles = np.asarray(self.poles)
        if last != 1.0:
            poles = _left_half(poles, last)
        if first != 0.0:
            poles = _left_half(poles[::-1], 1.0 - first / last)[::-1]
        return Bezier(tuple((float(x), float(y)) for x, y in poles))

    def placed(self, dx: float, dy: float, turn: float = 0.0) -> Bezier:
        """Turned about the origin by `turn` [rad], then moved by (dx, dy) [mm]."""
        return Bezier(tuple(_place(pole, dx, dy, turn) for pole in self.poles))

    def mirrored(self) -> Bezier:
        """Mirrored in the x axis (y becomes -y)."""
        return Bezier(tuple((x, -y) for x, y in self.poles))


Piece: TypeAlias = Line | Arc | EllipseArc | Bezier


@cache
def _binomials(degree: int) -> Floats:
    return np.array([math.comb(degree, k) for k in range(degree + 1)], dtype=float)


def bernstein(degree: int, t: Floats) -> Floats:
    """Bernstein polynomials of one degree [-] at `t` (n,), shape (n, degree + 1) [-]."""
    t = np.asarray(t, dtype=float)[:, None]
    k = np.arange(degree + 1)
    return _binomials(degree) * t**k * (1.0 - t) ** (degree - k)


def normals(piece: Piece, t: Floats) -> Floats:
    """Unit normals to the left of the direction of travel, shape (n, 2) [-].

    Where a piece starts or ends with a vanishing derivative (a vertical tip run in its smooth parameter) the limit of
    the direction is used.
    """
    t = np.asarray(t, dtype=float)
    slope = piece.slope(t)
    size = np.hypot(slope[:, 0], slope[:, 1])
    if isinstance(piece, Bezier) and np.any(size == 0.0):
        poles = np.asarray(piece.poles)
        for index in np.flatnonzero(size == 0.0):
            ends = poles - poles[0] if t[index] < 0.5 else (poles[-1] - poles)[::-1]
            step = ends[np.flatnonzero(np.any(ends != 0.0, axis=1))[0]]
            slope[index], size[index] = step, math.hypot(*step)
    direction = slope / size[:, None]
    return np.column_stack([-direction[:, 1], direction[:, 0]])


@lru_cache(maxsize=8192)
def bounds(piece: Piece) -> tuple[float, float, float, float]:
    """Tight box (smallest x, smallest y, largest x, largest y) [mm]."""
    points = np.array([piece.start, piece.end])
    inner = turning_parameters(piece)
    if len(inner):
        points = np.vstack([points, piece.at(inner)])
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


_NEAR_AN_END = np.geomspace(1e-6, 1.0 / 64.0, 12)
_SAMPLES = np.unique(np.concatenate([_NEAR_AN_END, np.linspace(0.0, 1.0, 64), 1.0 - _NEAR_AN_END]))
"""Where slopes are looked at; close together at the ends, where one that starts at nothing may turn at once."""


def turning_parameters(piece: Piece) -> Floats:
    """Parameters strictly inside 0 to 1 at which x or y can be extreme."""
    if isinstance(piece, Line):
        return np.empty(0)
    if isinstance(piece, Bezier):
        if piece.degree <= 3:
            return _turning_of_cubic(piece)
        t = _SAMPLES
        found: list[float] = []
        for axis in (0, 1):
            values = piece.slope(t)[:, axis]
            for i in np.flatnonzero((values[:-1] < 0.0) != (values[1:] < 0.0)):
                found.append(bisect(partial(_slope_along, piece, axis), float(t[i]), float(t[i + 1])))
        return np.array([t for t in found if 0.0 < t < 1.0])
    if isinstance(piece, Arc):
        peaks: tuple[float, ...] = (0.0, math.pi / 2.0)
    else:
        x_peak = math.atan2(-piece.semi_y * math.sin(piece.tilt), piece.semi_x * math.cos(piece.tilt))
        y_peak = math.atan2(piece.semi_y * math.cos(piece.tilt), piece.semi_x * math.sin(piece.tilt))
        peaks = (x_peak, y_peak)
    # A piece that has been turned may start any number of turns away.
    half_turns = math.floor(piece.start_angle / math.pi) + np.arange(-4, 5)
    angles = np.concatenate([peak + half_turns * math.pi for peak in peaks])
    t = (angles - piece.start_angle) / piece.sweep
    return np.asarray(t[(t > 0.0) & (t < 1.0)])


def _turning_of_cubic(piece: Bezier) -> Floats:
    """The same for a Bezier of degree 3 or less, whose slope is at most a parabola: every letter is made of those."""
    found: list[float] = []
    for axis in (0, 1):
        steps = [b[axis] - a[axis] for a, b in pairwise(piece.poles)]
        # Slope over the degree: a t^2 + 2 b t + c.
        first, middle, last = steps[0], steps[len(steps) // 2], steps[-1]
        if len(steps) == 3:
            a, b, c = first - 2.0 * middle + last, middle - first, first
        else:
            a, b, c = 0.0, (last - first) / 2.0, first
        root = b * b - a * c
        if root > 0.0:
            # The root of larger size first: the difference of two like numbers is never taken.
            q = -(b + math.copysign(math.sqrt(root), b))
            found += [x / y for x, y in ((q, a), (c, q)) if y != 0.0]
    return np.array([t for t in found if 0.0 < t < 1.0])


def _slope_along(piece: Piece, axis: int, t: float) -> float:
    return float(piece.slope(np.array([t]))[0, axis])


def monotone_parts(piece: Piece) -> tuple[Piece, ...]:
    """The piece cut so that x and y each run one way in every part."""
    places = [0.0, *sorted(turning_parameters(piece).tolist()), 1.0]
    return tuple(piece.part(a, b) for a, b in pairwise(places) if b - a > 1e-12)


def parameters_at(piece: Piece, x: Floats) -> Floats:
    """Parameters (n,) [-] at which a piece that runs one way along x reaches the stations `x` (n,) [mm]."""
    if isinstance(piece, Line):
        return np.asarray((x - piece.start[0]) / (piece.end[0] - piece.start[0]))
    low, high = np.zeros_like(x), np.ones_like(x)
    rising = piece.end[0] > piece.start[0]
    for _ in range(54):
        middle = (low + high) / 2.0
        short = (piece.at(middle)[:, 0] < x) == rising
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return np.asarray((low + high) / 2.0)


def bisect(function: Callable[[float], float], low: float, high: float) -> float:
    """Parameter at which `function` (float to float) changes sign between `low` and `high`, to the last bit."""
    at_low = function(low)
    if at_low == 0.0:
        return low
    for _ in range(200):
        middle = (low + high) / 2.0
        if middle in (low, high):
            break
        value = function(middle)
        if value == 0.0:
            return middle
        if (value < 0.0) == (at_low < 0.0):
            low = middle
        else:
            high = middle
    return high


def _place(point: Point, dx: float, dy: float, turn: float) -> Point:
    if turn == 0.0:
        return (point[0] + dx, point[1] + dy)
    c, s = _cos(turn), _sin(turn)
    return (c * point[0] - s * point[1] + dx, s * point[0] + c * point[1] + dy)


def _turn_matrix(turn: float) -> Floats:
    return np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])


def _cos(angle: float) -> float:
    """Cosine that is exactly 0 at odd quarter turns, so that ends meet lines without a rounding step."""
    return 0.0 if abs(abs(angle) % math.pi - math.pi / 2.0) < 1e-15 else math.cos(angle)


def _sin(angle: float) -> float:
    return 0.0 if abs(angle) in (math.pi, math.tau) else math.sin(angle)


def _left_half(poles: Floats, t: float) -> Floats:
    kept = [poles[0]]
    while len(poles) > 1:
        poles = poles[:-1] * (1.0 - t) + poles[1:] * t
        kept.append(poles[0])
    return np.array(kept)


def _length_by_quadrature(piece: EllipseArc | Bezier, panels: int) -> float:
    nodes, weights = gauss(16)
    t = (np.arange(panels)[:, None] + nodes).ravel() / panels
    slope = piece.slope(t)
    return float(np.hypot(slope[:, 0], slope[:, 1]) @ np.tile(weights, panels) / panels)
