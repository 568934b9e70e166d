"""Planforms of fins: the sides of one fin outside the body, as values of fields or drawn through points."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Annotated, Literal

import numpy as np
from pydantic import PlainSerializer, PlainValidator

from ..chain import Chain
from ..curve import Arc, Bezier, EllipseArc, Line, Piece, Point, bounds, monotone_parts, normals, turning_parameters
from ..errors import PartError
from ..meetings import distance, meetings
from ..quantity import exact, parse, show
from ..shape import Edge, Loop

SHORTEST = 1e-6
"""Shortest edge of an outline [mm]."""

APART = 0.01
"""Corners of a drawn outline lie at least this far from each other, from its other edges and from the tube [mm]."""

MOST_CORNERS = 60
"""Most points of a drawn outline, those that a curve runs through included [-]."""

_FARTHEST = 3000.0
"""Farthest that a point lies from the root leading edge, along or across [mm]."""

_FLATTEST = 1e5
"""Largest radius of an arc [mm]: a flatter one is a straight edge as far as anyone can cut."""

_NEEDLE = math.radians(0.5)
"""Least angle of a corner [rad]: below it the outline turns back on itself."""

_ROOT = "root"


@dataclass(frozen=True, slots=True)
class Stretch:
    """One stretch of a drawn outline, from where the last one ended.

    Attributes:
        way: straight on, along a circular arc, or along a smooth curve.
        through: points that it runs through [mm]: one of an arc, one or more of a spline, none of a straight stretch.
        end: where it ends [mm]; None for the root's trailing edge.
    """

    way: Literal["straight", "arc", "spline"]
    through: tuple[Point, ...]
    end: Point | None

    def __str__(self) -> str:
        """As a person would write it."""
        return self._written(lambda value: show(value, "length"))

    def exactly(self) -> str:
        """The text that reads back as the very same stretch."""
        return self._written(lambda value: exact(value, "length"))

    def _written(self, number: Callable[[float], str]) -> str:
        def pair(place: Point) -> str:
            return f"{number(place[0])}, {number(place[1])}"

        end = _ROOT if self.end is None else pair(self.end)
        if self.way == "straight":
            return end
        return f"{self.way} through {'; '.join(pair(place) for place in self.through)} to {end}"


_CURVE = re.compile(r"(arc|spline)\s+through\s+(.+?)\s+to\s+(.+)", re.IGNORECASE | re.DOTALL)
_HOW = "write x and y with their units, such as '50 mm, 58 mm'"


def read_stretch(value: object) -> Stretch:
    """A stretch from its text.

    `x, y` runs straight there; `arc through x, y to x, y` and `spline through x, y; x, y to x, y` run there along a
    curve; `to root` ends at the root's trailing edge.

    Raises:
        ValueError: it is not a text, or not one of those.
    """
    if isinstance(value, Stretch):
        return value
    if not isinstance(value, str):
        raise ValueError(f"{value!r} is not a text; write it in quotes: '50 mm, 58 mm'")
    found = _CURVE.fullmatch(value.strip())
    if found is None:
        if re.match(r"\s*(arc|spline)\b", value, re.IGNORECASE):
            raise ValueError(
                f"{value!r} cannot be read; write 'arc through x, y to x, y' or 'spline through x, y; x, y to x, y', "
                "each x and y with its unit; 'root' instead of the last ends it at the root's trailing edge"
            )
        return Stretch("straight", (), _place(value))
    way: Literal["arc", "spline"] = "arc" if found[1].lower() == "arc" else "spline"
    through = tuple(_place(text) for text in found[2].split(";"))
    if way == "arc" and len(through) != 1:
        raise ValueError(f"{value!r}: an arc runs through one point, a spline through several")
    return Stretch(way, through, None if found[3].strip().lower() == _ROOT else _place(found[3]))


def _place(text: str) -> Point:
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 2:
        raise ValueError(f"{text.strip()!r} is not a point; {_HOW}")
    x, y = (parse(part, "length") for part in parts)
    if max(abs(x), abs(y)) > _FARTHEST:
        raise ValueError(f"{text.strip()!r} lies more than {_FARTHEST:g} mm away from the root leading edge")
    return x, y


DrawnStretch = Annotated[
    Stretch, PlainValidator(read_stretch), PlainSerializer(lambda value: value.exactly(), return_type=str)
]
"""One entry of a drawn outline; a model with it round-trips."""


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a fin, running from the root leading edge towards the root trailing edge.

    Attributes:
        name: `leading edge`, `tip`, `trailing edge`, or `edge 3` of a drawn outline.
        pieces: its pieces [mm]; several where it is a smooth curve.
    """

    name: str
    pieces: Chain


def trapezoid(root_chord: float, tip_chord: float, semi_span: float, sweep_length: float) -> tuple[Side, ...]:
    """Leading edge, tip (none of a triangle), trailing edge."""
    front, rear = (sweep_length, semi_span), (sweep_length + tip_chord, semi_span)
    if tip_chord <= SHORTEST:
        rear = front
    sides = [Side("leading edge", (Line((0.0, 0.0), front),))]
    if rear != front:
        sides.append(Side("tip", (Line(front, rear),)))
    sides.append(Side("trailing edge", (Line(rear, (root_chord, 0.0)),)))
    return tuple(sides)


def ellipse(root_chord: float, semi_span: float) -> tuple[Side, ...]:
    """Leading and trailing edge, each a quarter of the ellipse about the middle of the root."""
    half = root_chord / 2.0

    def quarter(start_angle: float) -> EllipseArc:
        return EllipseArc((half, 0.0), half, semi_span, start_angle, -math.pi / 2.0)

    return Side("leading edge", (quarter(math.pi),)), Side("trailing edge", (quarter(math.pi / 2.0),))


@lru_cache(maxsize=64)
def drawn(root_chord: float, stretches: tuple[Stretch, ...]) -> tuple[Side, ...]:
    """The sides of an outline through points; a straight edge closes it where the last does not end at the root.

    Args:
        root_chord: root leading edge to root trailing edge [mm].
        stretches: from the root leading edge on; at least one.

    Raises:
        PartError: the outline crosses itself, touches itself or the tube, or a curve cannot be drawn.
    """
    rear = (root_chord, 0.0)
    for number, one in enumerate(stretches[:-1], 1):
        if one.end is None:
            raise PartError(f"points: entry {number} ends at the root, and {len(stretches) - number} follow it")
    if stretches[-1].end is not None:
        stretches = (*stretches, Stretch("straight", (), None))
    _check_corners(stretches)
    sides: list[Side] = []
    start: Point = (0.0, 0.0)
    for number, one in enumerate(stretches, 1):
        end = rear if one.end is None else one.end
        sides.append(Side(f"edge {number}", _pieces(one, start, end, number)))
        start = end
    _check_above(sides)
    try:
        _check_simple(sides)
    except PartError as crossing:
        raise PartError(f"{crossing}{_the_other_way_round(stretches, rear)}") from None
    return tuple(sides)


def _check_corners(stretches: Sequence[Stretch]) -> None:
    """Refuse points on each other, on or below the tube, or too many of them.

    Raises:
        PartError: of the first such point.
    """
    corners = [place for one in stretches for place in (*one.through, one.end) if place is not None]
    if len(corners) > MOST_CORNERS:
        raise PartError(f"points: at most {MOST_CORNERS} points make an outline, got {len(corners)}")
    for number, place in enumerate(corners, 1):
        if place[1] < APART:
            raise PartError(
                f"points: point {number} at {_at(place)} lies {'on' if abs(place[1]) < APART else 'below'} the tube's "
                "surface; every point between the ends of the root lies above it, y > 0"
            )
        for earlier, other in enumerate(corners[: number - 1], 1):
            if math.dist(place, other) < APART:
                raise PartError(f"points: point {number} at {_at(place)} lies on point {earlier}")


def _pieces(one: Stretch, start: Point, end: Point, number: int) -> Chain:
    if one.way == "straight":
        return (Line(start, end),)
    if one.way == "arc":
        return (_arc(start, one.through[0], end, number),)
    return smooth((start, *one.through, end))


def _arc(start: Point, middle: Point, end: Point, number: int) -> Arc:
    """The circular arc through three points.

    Raises:
        PartError: they lie on a line, or so nearly that no arc can be told from it.
    """
    bx, by = middle[0] - start[0], middle[1] - start[1]
    cx, cy = end[0] - start[0], end[1] - start[1]
    turn = bx * cy - by * cx
    b2, c2 = bx * bx + by * by, cx * cx + cy * cy
    radius = math.sqrt(b2 * c2) * math.dist(middle, end) / (2.0 * abs(turn)) if turn else math.inf
    if radius > _FLATTEST:
        raise PartError(
            f"points: the arc of edge {number} runs through three points on a line; write the last alone for a "
            "straight edge"
        )
    ux, uy = (cy * b2 - by * c2) / (2.0 * turn), (bx * c2 - cx * b2) / (2.0 * turn)
    first, last = math.atan2(-uy, -ux), math.atan2(cy - uy, cx - ux)
    sweep = (last - first) % math.tau if turn > 0.0 else -((first - last) % math.tau)
    return Arc((start[0] + ux, start[1] + uy), math.hypot(ux, uy), first, sweep)


def smooth(places: Sequence[Point]) -> Chain:
    """The natural cubic spline through points, by chord length, as Beziers: slope and bend are continuous.

    Args:
        places: three or more points, each apart from the next [mm].

    Source: C. de Boor, A Practical Guide to Splines, 1978, chapter IV (from memory); the ends are free, without bend.
    """
    p = np.array(places)
    h = np.hypot(*np.diff(p, axis=0).T)
    rise = np.diff(p, axis=0) / h[:, None]
    # Second derivatives m at the inner points: h0 m0 + 2 (h0 + h1) m1 + h1 m2 = 6 (rise1 - rise0), 0 at both ends.
    count = len(p)
    system, right = np.eye(count), np.zeros((count, 2))
    for i in range(1, count - 1):
        system[i, i - 1 : i + 2] = h[i - 1], 2.0 * (h[i - 1] + h[i]), h[i]
        right[i] = 6.0 * (rise[i] - rise[i - 1])
    m = np.linalg.solve(system, right)
    leaving = rise - h[:, None] * (2.0 * m[:-1] + m[1:]) / 6.0
    arriving = rise + h[:, None] * (m[:-1] + 2.0 * m[1:]) / 6.0
    second, third = p[:-1] + h[:, None] * leaving / 3.0, p[1:] - h[:, None] * arriving / 3.0
    return tuple(
        Bezier((places[i], (float(second[i, 0]), float(second[i, 1])), (float(third[i, 0]), float(third[i, 1])), end))
        for i, end in enumerate(places[1:])
    )


def _check_above(sides: Sequence[Side]) -> None:
    """Refuse a curve that dips to the tube's surface between its ends.

    Raises:
        PartError: one does.
    """
    for side in sides:
        for piece in side.pieces:
            inner = turning_parameters(piece)
            for x, y in piece.at(inner).tolist() if len(inner) else ():
                if y < APART:
                    raise PartError(
                        f"points: {side.name} comes down to the tube's surface at x = {x:.4g} mm (y = {y:.4g} mm) "
                        "between the ends of the root"
                    )


def _check_simple(sides: Sequence[Side]) -> None:
    """Refuse an outline that crosses itself, touches itself or turns back on itself.

    Raises:
        PartError: it does; the edges and the place are named.
    """
    pieces = [(side.name, piece) for side in sides for piece in side.pieces]
    for (_, before), (_, after) in pairwise(pieces):
        leaving, entering = normals(before, np.array([1.0]))[0], normals(after, np.array([0.0]))[0]
        if float(leaving @ entering) < -math.cos(_NEEDLE):
            raise PartError(f"points: the outline turns back on itself at {_at(after.start)}")
    # Cut so that none of them can cross itself.
    parts = [(name, part) for name, piece in pieces for part in monotone_parts(piece)]
    for j, (name, part) in enumerate(parts):
        for i, (earlier, other) in enumerate(parts[:j]):
            for t, _ in meetings(other, part):
                x, y = other.at(np.array([t]))[0].tolist()
                if i == j - 1 and math.dist((x, y), other.end) < APART / 2.0:
                    continue  # where the one follows the other
                who = f"{name} crosses itself" if earlier == name else f"{earlier} and {name} cross"
                raise PartError(f"points: {who} at {_at((x, y))}")
    # Straight edges that lie on each other along a stretch have no single meeting; a corner of one lies on the other.
    for k, (name, piece) in enumerate(pieces[:-1]):
        for i, (earlier, other) in enumerate(pieces):
            if i not in (k, k + 1) and _lies_on(piece.end, other):
                raise PartError(f"points: the end of {name} at {_at(piece.end)} lies on {earlier}")


def _lies_on(place: Point, piece: Piece) -> bool:
    low_x, low_y, high_x, high_y = bounds(piece)
    near = low_x - APART <= place[0] <= high_x + APART and low_y - APART <= place[1] <= high_y + APART
    return near and distance(place, piece) < APART


def _the_other_way_round(stretches: Sequence[Stretch], rear: Point) -> str:
    """A hint where the same points in reverse would not cross: they were listed from the trailing edge."""
    if any(one.way != "straight" for one in stretches):
        return ""
    corners = [one.end for one in reversed(stretches) if one.end is not None]
    chain = [(0.0, 0.0), *corners, rear]
    try:
        _check_simple([Side("", (Line(a, b),)) for a, b in pairwise(chain)])
    except PartError:
        return ""
    return "; list the points from the root leading edge round to the root trailing edge: these run the other way"


def _at(place: Point) -> str:
    return f"{place[0]:.4g}, {place[1]:.4g} mm"


def round_about(bottom: Loop, sides: Sequence[Side]) -> Loop:
    """The loop of a fin, anticlockwise: its bottom from the root leading edge aft, then the sides back again."""
    rim = tuple(Edge(piece.reversed(), "wetted") for side in reversed(sides) for piece in reversed(side.pieces))
    return (*bottom, *rim)
