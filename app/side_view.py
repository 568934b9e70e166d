"""The side view of the whole rocket to scale, with its stations, where it balances, and where the air pushes.

The rocket lies with its nose to the left and its rail line up, in orthographic projection: what the air meets in solid
lines, what lies inside in dashed ones. It is held up where it balances, on a knife edge lettered CG; the air pushes
from the side at the arrow lettered CP.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ..analysis.motor import Motor
from ..analysis.rocket import Item, Rocket
from ..parts.curve import Floats, Line, Piece, Point
from ..parts.kinds import Tube
from ..parts.marks import SMALLEST_TYPE, Pen
from ..parts.readers.integrals import box
from ..parts.shape import (
    Array,
    Blade,
    Cut,
    Fused,
    Placed,
    Placement,
    Plate,
    RadialFeature,
    Revolved,
    Ruled,
    Shape,
    instances,
)
from ..parts.sheets import sheet
from ..parts.sheets.drawing import arrowhead
from ..parts.sheets.letters import cut_to_fit, plain, width
from ..parts.sheets.sheet import Text, Trace, centred, line

WIDTH, HEIGHT = 297.0, 210.0
"""The sheet [mm]: ISO A4, lying."""

SCALES = (1, 2, 5, 10, 20, 50)
"""Reductions of ISO 5455 [-]."""

_EDGE = 14.0
_ROOM = WIDTH - 2.0 * _EDGE
_TOP = 46.0
"""Height of the head with its words [mm]."""
_BELOW = 108.0
"""Height of the balance, the ruler and the names below it [mm]."""
_STAMP = 5.5
"""Height of a row of stamps [mm]."""
_STAMP_ROWS = 4
"""Most rows of stamps [-]."""
_ARROW = 12.0
"""Length of the arrow of the air [mm]."""
_ARROW_WORDS = 10.0
"""Height of the words on it [mm]."""
_STEP = 4.2
"""Least distance of two names that stand beside each other [mm]."""
_WORDS_OFF = 11.0
"""From the line of a balance to its words, behind the letters CG [mm]."""
_EDGE_HIGH = 6.0
"""Height of the knife edge [mm]."""


@dataclass(frozen=True, slots=True)
class Balance:
    """One place where the rocket balances: its station [mm] and the loading that it holds for."""

    station: float
    words: str


@dataclass(frozen=True, slots=True)
class SideView:
    """What is drawn.

    Attributes:
        rocket: what is drawn.
        motors: motors; the first one is drawn.
        balances: where it balances.
        cp: centre of pressure [mm], or None.
        title: the design's name.
        lines: words under the title.
        stamps: words that nobody may overlook, such as failed checks.
        unit: which unit stations are printed in.
    """

    rocket: Rocket
    motors: tuple[Motor, ...]
    balances: tuple[Balance, ...]
    cp: float | None
    title: str
    lines: tuple[str, ...]
    stamps: tuple[str, ...]
    unit: str = "mm"

    def scale(self) -> int:
        """How many millimetres of the rocket are one on paper [-]."""
        long, _ = self._extent()
        scales: tuple[int, ...] = (*SCALES, *range(SCALES[-1] + 10, 100_000, 10))
        room = self._room()
        return next(one for one in scales if long / one <= _ROOM and sum(self._heights(one)) <= room)

    def _extent(self) -> tuple[float, float]:
        ends = [item.skin_extent()[1] for item in self.rocket.items]
        ends += [station for item in self.rocket.items for station in item.stations]
        ends += [motor.aft_end for motor in self.motors[:1]]
        return max(self.rocket.length or 1.0, *ends, 1.0), max(self._reach(), 1.0)

    def _heights(self, scale: int) -> tuple[float, float]:
        """What stands above and below the axis on paper [mm], with the arrow of the air."""
        reach = self._extent()[1] / scale
        arrow = 0.0 if self.cp is None else self._radius_at(self.cp) / scale + _ARROW + _ARROW_WORDS
        return max(reach, arrow), reach

    def _room(self) -> float:
        """Height between the words of the head and what stands below [mm]."""
        words = _EDGE + 11.0 + 4.2 * len(self.lines) + _STAMP * len(self._stamp_rows()) + 1.0
        return HEIGHT - max(_TOP, words) - _BELOW

    def _reach(self) -> float:
        """How far anything lies from the axis in this view [mm]."""
        heights = [float(np.abs(points[:, 1]).max()) for item in self.rocket.items for points, _ in outlines(item)]
        return max(heights, default=0.0)

    def items(self) -> tuple[sheet.Item, ...]:
        """Everything on the sheet, in [mm] from its lower left corner."""
        scale = self.scale()
        above, below = self._heights(scale)
        spare = (self._room() - above - below) / 2.0
        paper = _Paper(scale, _EDGE + (_ROOM - self._extent()[0] / scale) / 2.0, _BELOW + spare + below)
        drawn: list[sheet.Item] = [*self._head(scale)]
        for item in self.rocket.items:
            drawn += [Trace(paper.pieces(points), pen) for points, pen in outlines(item)]
        for motor in self.motors[:1]:
            drawn.append(Trace(paper.pieces(_motor_outline(motor)), Pen.REFERENCE))
        long, _ = self._extent()
        drawn.append(line(paper.at((-20.0, 0.0)), paper.at((long + 20.0, 0.0)), Pen.CENTRE_LINE))
        drawn += self._pressure(paper)
        drawn += self._balances(paper)
        drawn += self._ruler(paper, long)
        return tuple(drawn)

    def _head(self, scale: int) -> Iterator[sheet.Item]:
        top = HEIGHT - _EDGE
        words = f"side view, scale 1:{scale}"
        title = cut_to_fit(plain(self.title), _ROOM - width(words, SMALLEST_TYPE) - 5.0, 16.0, True)
        yield Text(title, (_EDGE, top - 5.0), 16.0, bold=True)
        yield Text(words, (WIDTH - _EDGE - width(words, SMALLEST_TYPE), top - 5.0))
        for index, words in enumerate(self.lines):
            yield Text(cut_to_fit(plain(words), _ROOM, SMALLEST_TYPE), (_EDGE, top - 11.0 - 4.2 * index))
        for index, row in enumerate(self._stamp_rows()):
            place = top - 11.0 - 4.2 * len(self.lines) - _STAMP * (index + 0.5)
            yield from (Text(words, (left, place), 12.0, bold=True) for left, words in row)

    def _stamp_rows(self) -> list[list[tuple[float, str]]]:
        """The stamps side by side in rows, each with its left end [mm]; of many, how many more there are."""
        rows: list[list[tuple[float, str]]] = []
        right = WIDTH
        for index, stamp in enumerate(self.stamps):
            words = cut_to_fit(plain(stamp), _ROOM, 12.0, True)
            if right + width(words, 12.0, True) > WIDTH - _EDGE:
                if len(rows) == _STAMP_ROWS - 1 and index < len(self.stamps) - 1:
                    rows.append([(_EDGE, f"CHECK FAILED: {len(self.stamps) - index} more, in the report")])
                    break
                rows.append([])
                right = _EDGE
            rows[-1].append((right, words))
            right += width(words, 12.0, True) + 6.0
        return rows

    def _radius_at(self, station: float) -> float:
        """Radius of the hull at a station [mm]."""
        found = 0.0
        for item in self.rocket.body:
            for piece in item.part.skin() if item.part else ():
                points = piece.at(np.linspace(0.0, 1.0, 65)) + np.array([item.stations[0], 0.0])
                if points[0, 0] - 1e-9 <= station <= points[-1, 0] + 1e-9:
                    found = max(found, float(np.interp(station, points[:, 0], points[:, 1])))
        return found

    def _pressure(self, paper: _Paper) -> Iterator[sheet.Item]:
        if self.cp is None:
            return
        tip = paper.at((self.cp, self._radius_at(self.cp)))
        tail = (tip[0], tip[1] + _ARROW)
        yield line(tail, (tip[0], tip[1] + 2.0), Pen.BAR)
        yield arrowhead(tip, (0.0, -1.0))
        yield centred("CP", (tip[0], tail[1] + 7.0), 12.0, bold=True)
        yield centred(self._station(self.cp), (tip[0], tail[1] + 2.4))

    def _balances(self, paper: _Paper) -> Iterator[sheet.Item]:
        """A knife edge under the hull for each, and its words clear of the fins.

        Words stand aft of their line, or forward of it where the sheet ends. The aftmost comes first, or the foremost
        where words stand forward, so that no line of one crosses the words of another.
        """
        clear = paper.axis - self._reach() / paper.scale - _EDGE_HIGH - 5.0
        words = {one: plain(f"{self._station(one.station)}, {one.words}") for one in self.balances}
        before = {
            one: paper.x(one.station) > WIDTH / 2.0
            and paper.x(one.station) + _WORDS_OFF + width(words[one], SMALLEST_TYPE) > WIDTH - _EDGE
            for one in self.balances
        }
        aft_first = not any(before.values())
        for index, balance in enumerate(sorted(self.balances, key=lambda one: one.station, reverse=aft_first)):
            tip = paper.at((balance.station, -self._radius_at(balance.station)))
            foot = tip[1] - _EDGE_HIGH
            corners = ((tip[0] - 2.6, foot), (tip[0] + 2.6, foot), tip)
            edges = zip(corners, (*corners[1:], corners[0]), strict=True)
            yield Trace(tuple(Line(a, b) for a, b in edges), Pen.BAR)
            low, side = clear - 5.0 * index, -1.0 if before[balance] else 1.0
            yield line((tip[0], foot), (tip[0], low), Pen.DIMENSION)
            yield line((tip[0], low), (tip[0] + 2.0 * side, low), Pen.DIMENSION)
            room = tip[0] - _WORDS_OFF - _EDGE if before[balance] else WIDTH - _EDGE - tip[0] - _WORDS_OFF
            shown = cut_to_fit(words[balance], room, SMALLEST_TYPE)
            left = tip[0] - _WORDS_OFF - width(shown, SMALLEST_TYPE) if before[balance] else tip[0] + 3.0
            yield Text("CG", (left, low - 1.4), 12.0, bold=True)
            yield Text(shown, (left + _WORDS_OFF - 3.0, low - 1.2))

    def _station(self, value: float) -> str:
        return f"{value / 25.4:.2f} in" if self.unit == "in" else f"{value:.0f} mm"

    def _ruler(self, paper: _Paper, long: float) -> Iterator[sheet.Item]:
        """A ruler under the rocket, and under it the name of everything at its station."""
        base = _BELOW - 26.0
        yield line((paper.x(0.0), base), (paper.x(long), base), Pen.BAR)
        unit, step = (25.4, 5.0) if self.unit == "in" else (1.0, 100.0)
        while step * unit / paper.scale < 14.0:
            step *= 2.0
        for index in range(int(long / (step * unit)) + 1):
            x = paper.x(index * step * unit)
            yield line((x, base), (x, base + 2.0), Pen.BAR)
            yield centred(f"{index * step:g}", (x, base + 4.6))
        named = sorted(self._named())
        places = spread([paper.x(station) for station, _ in named], _STEP, _EDGE, WIDTH - _EDGE)
        for (station, words), x in zip(named, places, strict=True):
            yield line((paper.x(station), base), (paper.x(station), base - 2.5), Pen.DIMENSION)
            yield line((paper.x(station), base - 2.5), (x, base - 8.0), Pen.DIMENSION)
            shown = cut_to_fit(plain(f"{self._station(station)}: {words}"), base - 9.0 - 4.0, SMALLEST_TYPE)
            low = base - 9.0 - width(shown, SMALLEST_TYPE)
            yield Text(shown, (x + 1.1, low), turn=math.pi / 2.0)

    def _named(self) -> Iterator[tuple[float, str]]:
        for item in self.rocket.items:
            if item.part is not None and item.part.laid_at_the_bench:
                continue
            several = f" ({item.count})" if item.count > 1 else ""
            for station in item.stations:
                yield station, f"{item.name}{several}"
        for item in self.rocket.items:
            if isinstance(item.part, Tube):
                yield from (
                    (item.stations[0] + place, f"vent in the {item.name}") for place in item.part.hole_positions
                )
        if self.rocket.body:
            yield max(item.skin_range()[1] for item in self.rocket.body), "aft end of the body"
        for motor in self.motors[:1]:
            yield motor.aft_end, f"aft end of {motor.name}"


@dataclass(frozen=True, slots=True)
class _Paper:
    """From the rocket to the sheet: a scale, where the tip lies [mm] and where the axis lies [mm]."""

    scale: int
    tip: float
    axis: float

    def x(self, station: float) -> float:
        return self.tip + station / self.scale

    def at(self, point: Point) -> Point:
        return self.x(point[0]), self.axis + point[1] / self.scale

    def pieces(self, points: Floats) -> tuple[Piece, ...]:
        """The points joined by lines, without those that fall together on paper."""
        placed = [self.at((float(x), float(y))) for x, y in points]
        kept = placed[:1]
        for point in placed[1:]:
            if math.dist(point, kept[-1]) > 0.01:
                kept.append(point)
        if len(kept) == 1:
            kept.append(placed[-1] if placed[-1] != kept[0] else (kept[0][0] + 0.01, kept[0][1]))
        return tuple(Line(a, b) for a, b in pairwise(kept))


def spread(wanted: Sequence[float], least: float, low: float, high: float) -> list[float]:
    """Places near the wanted ones, in the same order, at least `least` apart and between `low` and `high` [mm].

    Where there is not enough room for all, they share it evenly.
    """
    if not wanted:
        return []
    least = min(least, (high - low) / max(len(wanted) - 1, 1))
    groups: list[tuple[float, int]] = []  # middle and number of names that stand shoulder to shoulder
    for place in wanted:
        middle, count = min(max(place, low), high), 1
        while groups and groups[-1][0] + (groups[-1][1] + count) / 2.0 * least > middle - 1e-12:
            before, number = groups.pop()
            middle, count = (before * number + middle * count) / (number + count), number + count
            reach = (count - 1) / 2.0 * least
            middle = min(max(middle, low + reach), high - reach)
        reach = (count - 1) / 2.0 * least
        groups.append((min(max(middle, low + reach), high - reach), count))
    return [middle + (index - (count - 1) / 2.0) * least for middle, count in groups for index in range(count)]


def outlines(item: Item) -> list[tuple[Floats, Pen]]:
    """What is seen of an item: chains of points (n, 2) of station and height [mm], with the pen for them.

    Of glue nothing: fillets would hide the roots that they lie along.
    """
    if item.part is None or item.part.laid_at_the_bench:
        return []
    seen = item.part.on_surface or bool(item.part.skin())
    found: list[tuple[Floats, Pen]] = []
    for placement in item.placements():
        for points, outside in _projected(item.part.shape(), placement):
            found.append((points, Pen.CUT if seen and outside else Pen.REFERENCE))
    return found


def _projected(shape: Shape, placement: Placement) -> Iterator[tuple[Floats, bool]]:
    match shape:
        case Placed():
            yield from _projected(shape.shape, placement.after(shape.placement))
        case Cut():
            yield from _projected(shape.base, placement)
        case Fused():
            for member in shape.members:
                yield from _projected(member, placement)
        case Array() if _is_fin(shape.shape):
            for one in instances(shape):
                yield from _projected(one, placement)
        case Array() | RadialFeature():
            return  # holes and bosses are too small to be told apart at this scale
        case Blade():
            yield from _fin(shape, placement)
        case Ruled():
            yield from _tapered(shape, placement)
        case Revolved():
            yield from _turned(shape, placement)
        case Plate():
            yield from _slab(shape, placement)


def _is_fin(shape: Shape) -> bool:
    match shape:
        case Blade() | Ruled():
            return True
        case Placed():
            return _is_fin(shape.shape)
        case Cut():
            return _is_fin(shape.base)
        case Fused():
            return _is_fin(shape.members[0])
        case _:
            return False


def _fin(blade: Blade, placement: Placement) -> Iterator[tuple[Floats, bool]]:
    """The rim of a fin and its openings; a tab, and a root sunk into a wall, lie below the root line and so inside."""
    for edge in (edge for loop in blade.planform.loops for edge in loop):
        points = edge.piece.at(np.linspace(0.0, 1.0, 2 if isinstance(edge.piece, Line) else 33))
        flat = np.column_stack([points, np.zeros(len(points))])
        sunk = points[:, 1].max() <= 0.0 and points[:, 1].min() < 0.0
        yield placement.apply(flat)[:, :2], edge.role != "fit" and not sunk


def _tapered(shape: Ruled, placement: Placement) -> Iterator[tuple[Floats, bool]]:
    """The rim of a fin of one section; what lies below its root, at y = 0, is sunk into a wall."""
    heights = sorted({shape.from_y, shape.to_y, min(max(0.0, shape.from_y), shape.to_y)})
    x0, _, x1, _ = shape.section.box()
    for y0, y1 in pairwise(heights):
        rim: list[tuple[float, float, float]] = []
        for y, ends in ((y0, (x0, x1)), (y1, (x1, x0))):
            way = (y - shape.from_y) / (shape.to_y - shape.from_y)
            rim += [(shape.sweep * way + (1.0 + (shape.ratio - 1.0) * way) * x, y, 0.0) for x in ends]
        yield placement.apply(np.array([*rim, rim[0]]))[:, :2], y0 >= 0.0


def _turned(shape: Revolved, placement: Placement) -> Iterator[tuple[Floats, bool]]:
    """The section's lines on both sides of the axis, in the plane of the axis and the view."""
    axis = placement.matrix[:, 0]
    across = np.array([-axis[1], axis[0], 0.0])
    length = float(np.linalg.norm(across))
    if length < 1e-9:
        return
    origin = np.asarray(placement.move)
    for edge in shape.meridian.edges:
        section = edge.piece.at(np.linspace(0.0, 1.0, 2 if isinstance(edge.piece, Line) else 65))
        if float(np.abs(section[:, 1]).max()) < 1e-9:
            continue
        for side in (1.0, -1.0):
            points = origin + section[:, :1] * axis + side * section[:, 1:] * across / length
            yield np.asarray(points[:, :2]), edge.role in ("wetted", "seat", "joint") or axis[0] < 0.5
    for x, radius in _ends(shape):
        corners = np.array([origin + x * axis + side * radius * across / length for side in (1.0, -1.0)])
        yield corners[:, :2], bool(shape.meridian.role("wetted")) or axis[0] < 0.5


def _ends(shape: Revolved) -> Iterator[tuple[float, float]]:
    """Ends of the skin, or of a part that has none, where a flat end closes the view: station and radius [mm]."""
    pieces = shape.meridian.role("wetted") or tuple(edge.piece for edge in shape.meridian.edges)
    ends = np.array([point for piece in pieces for point in (piece.start, piece.end)])
    for x in (ends[:, 0].min(), ends[:, 0].max()):
        radius = float(ends[np.abs(ends[:, 0] - x) < 1e-6, 1].max())
        if radius > 1e-6:
            yield float(x), radius


def _slab(plate: Plate, placement: Placement) -> Iterator[tuple[Floats, bool]]:
    low, high = box(plate)
    corners = np.array(np.meshgrid(*zip(low, high, strict=True))).reshape(3, -1).T
    seen = placement.apply(corners)[:, :2]
    (x0, y0), (x1, y1) = seen.min(axis=0), seen.max(axis=0)
    yield np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]]), True


def _motor_outline(motor: Motor) -> Floats:
    front, radius = motor.aft_end - motor.length, motor.diameter / 2.0
    return np.array(
        [[front, -radius], [motor.aft_end, -radius], [motor.aft_end, radius], [front, radius], [front, -radius]]
    )
