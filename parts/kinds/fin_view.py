"""The dimensioned drawing of a fin: its face with the sizes that a rule reaches, and a cut across it half-way out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from ..chain import Chain, crossings
from ..curve import EllipseArc, Floats, Line, Piece, Point
from ..flat_view import FlatView
from ..marks import Arrow, CentreMark, Choice, Diameter, Dimension, Guide, Label, Mark, Pen
from ..measures import AxialLength, DiameterAt, Measure, Remark
from ..shape import Bevelled, Outline, Rounded
from .fin_edges import WorkedEdge
from .fin_tab import Tab

_FIRST, _ROW = 9.0, 10.5
"""From the fin to the nearest dimension line, and from one to the next beyond it [mm on paper]."""

_NARROW = 34.0
"""A length shorter than this on paper [mm] has its figures beyond its line."""

_LETTER = 1.9
"""Usual width of a letter at the smallest type [mm]."""

_HANGS, _BESIDE = 30.0, 9.0
"""How far figures beyond their line reach, and how far such lengths stand apart in one row [mm]."""

_LEAST_TIP = 0.5
"""Shortest tip that is measured [mm on paper]."""

_LEVEL = 1e-6
"""Heights that differ by less are the same [mm]."""

_PAST = 4.0
"""How far the line of the cut runs past the fin [mm on paper]."""

_LONG_TAB, _INSIDE = 60.0, 8.0
"""A tab longer than this has room for its depth in it, and how far in that stands [mm on paper]."""

_DEEP_TAB = 10.5
"""A tab that is less deep than this on paper [mm] has no room for figures in it."""

_OFF = 4.0
"""How far the number of a corner stands off it [mm on paper]."""

_MIDDLE = 0.5
"""Where the fin is cut, from its root to its tip [-]."""


@dataclass(frozen=True, slots=True)
class FaceSizes:
    """A fin as it is drawn.

    Attributes:
        exposed: the fin outside the body, root leading edge at the origin.
        root: root chord [mm].
        thickness: of its sheet, or of an aerofoil its largest at the root [mm].
        tab: its tab; None for none.
        pins: middle and radius of each hole for a pin [mm].
        corners: corners that are numbered, of an outline that was drawn [mm].
    """

    exposed: Outline
    root: float
    thickness: float
    tab: Tab | None = None
    pins: tuple[tuple[Point, float], ...] = ()
    corners: tuple[Point, ...] = ()


def fin_view(
    word: str,
    sizes: FaceSizes,
    worked: tuple[WorkedEdge, ...],
    aerofoil: Outline | None = None,
    notes: tuple[str, ...] = (),
    outline: Outline | None = None,
) -> FlatView:
    """A fin from the side, and cut across.

    Args:
        word: what of the part it is; empty where it is the whole part.
        sizes: the fin.
        worked: its rounded and bevelled edges.
        aerofoil: its section at the root; None for a flat one.
        notes: sentences about it.
        outline: all that is drawn, with its tab and holes; the fin outside the body if not stated.
    """
    height = sizes.exposed.box()[3] * _MIDDLE
    if aerofoil is not None:
        loop, measures = tuple(edge.piece for edge in aerofoil.outer), _of_aerofoil(sizes)
    else:
        loop, measures = _cut_across(sizes, worked, height)
    return FlatView(
        word,
        outline or sizes.exposed,
        partial(_marks, sizes, worked, None if aerofoil else height),
        loop,
        measures,
        "section at the root" if aerofoil else "section A-A, half-way out, leading edge to the left",
        (*(() if aerofoil else _words(worked)), *notes),
    )


def _words(worked: Sequence[WorkedEdge]) -> tuple[str, ...]:
    """How each edge is worked, in one sentence."""
    found = []
    for edge in worked:
        if isinstance(edge.form, Rounded):
            found.append(f"{edge.name} R{edge.form.radius:.4g} mm on both corners")
        else:
            sides = "both sides" if edge.form.sides == 2 else "one side"
            found.append(
                f"{edge.name} bevelled {edge.form.depth:.4g} mm square to it, land {edge.form.land:.4g} mm, {sides}"
            )
    return (f"Edges: {'; '.join(found)}. Dotted: where that begins.",) if found else ("Edges square, as cut.",)


# --- the face ---------------------------------------------------------------------------------------------------------


def _marks(sizes: FaceSizes, worked: Sequence[WorkedEdge], cut: float | None, scale: float) -> tuple[Mark, ...]:
    """All marks of the face drawn at a scale, mm drawn for one of the fin [-]."""
    return (*_dimensions(sizes, scale), *_lines(sizes, worked, cut, scale), *_holes(sizes, scale))


def _dimensions(sizes: FaceSizes, s: float) -> Iterator[Mark]:
    _, _, last, span = (side * s for side in sizes.exposed.box())
    root, tab = sizes.root * s, sizes.tab
    deep = (tab.depth if tab else 0.0) * s
    highest = _tops(sizes.exposed)
    front, rear = ((x * s, span) for x, _ in (min(highest), max(highest)))
    below, above = [_Length((0.0, 0.0), (root, 0.0), "root", 1 if tab else 0)], list[_Length]()
    if tab:
        below.append(_Length((tab.first * s, -deep), (tab.last * s, -deep), "tab", 0))
        yield _tab_depth(tab, deep, last, s)
        if tab.first > 0.0:
            words = "" if tab.first * s < _NARROW else "to tab"
            below.append(_Length((0.0, 0.0), (tab.first * s, -deep), words, 2))
    if rear[0] - front[0] > _LEAST_TIP:
        above.append(_Length(front, rear, "tip", 0))
    is_straight = all(isinstance(edge.piece, Line) for edge in sizes.exposed.outer)
    if abs(front[0]) > _LEVEL and is_straight and not sizes.corners:
        # A tip that lies ahead of the root has its sweep beside the root: its lines are free of the tip's there.
        if front[0] > 0.0:
            above.append(_Length((0.0, 0.0), front, "sweep", 0))
        else:
            below.append(_Length(front, (0.0, 0.0), "sweep", 2))
    ahead, behind = ((x * s, y * s) for x, y in _extremes(sizes.exposed))
    # Of a fin that is swept back it follows from sweep and tip.
    sticks_out = ahead[0] < -_LEVEL or behind[0] > root + _LEVEL
    if sticks_out and (sizes.corners or not is_straight or front[0] < 0.0):
        above.append(_Length(ahead, behind, "overall", 1))
    if any(one.words == "tab" and one.is_narrow for one in below):
        # Its lines would run through the figures of the root.
        above.append(replace(below.pop(0), row=2))
    yield from _rows(below, -deep, -1.0, s)
    yield from _rows(above, span, 1.0, s)
    yield Dimension((root, 0.0), rear, -(last - root + _FIRST + _ROW), "semi-span", "up", s)


@dataclass(frozen=True, slots=True)
class _Length:
    """A length along the root: its ends on paper [mm], the front one first, its words, and its row if it is wide."""

    start: Point
    end: Point
    words: str
    row: int

    @property
    def middle(self) -> float:
        """Middle along the root [mm]."""
        return (self.start[0] + self.end[0]) / 2.0

    @property
    def is_narrow(self) -> bool:
        """Whether its figures hang beyond its line, about."""
        return self.end[0] - self.start[0] < _LETTER * (len(self.words) + 10)


def _rows(several: Sequence[_Length], edge: float, way: float, s: float) -> Iterator[Dimension]:
    """Lengths in rows above or below the fin; narrow ones outermost, where nothing is beyond their figures."""
    narrow = sorted((one for one in several if one.is_narrow), key=lambda one: one.middle)
    wide = [one for one in several if not one.is_narrow]
    used = sorted({one.row for one in wide})
    placed = [(one, used.index(one.row) * _ROW) for one in wide]
    beyond, before = len(used) * _ROW, -math.inf
    for one in narrow:
        if one.middle - before < _BESIDE:
            beyond += _HANGS
        placed.append((one, beyond))
        before = one.middle
    for one, off in placed:
        level = edge + way * (_FIRST + off)
        yield Dimension(one.start, one.end, level - one.start[1], one.words, "across", s)


def _tab_depth(tab: Tab, deep: float, last: float, s: float) -> Mark:
    """The depth of the tab, inside a long one, where it takes no width from the fin; else beside it."""
    inside = (tab.first * s + _INSIDE, (tab.first + tab.last) * s / 2.0)
    is_long = (tab.last - tab.first) * s > _LONG_TAB and deep > _DEEP_TAB
    ways = [((x, -deep), (x, 0.0), -0.0) for x in inside] if is_long else []
    ways.append(((tab.last * s, -deep), (tab.last * s, 0.0), -(last - tab.last * s + _FIRST)))
    ways.append(((tab.first * s, -deep), (tab.first * s, 0.0), tab.first * s + _FIRST))
    return Choice(tuple((Dimension(*way, "tab depth", "up", s),) for way in ways), must=True)


def _tops(exposed: Outline) -> list[Point]:
    """The outermost corners, or the outermost point of what is curved [mm]."""
    points, highest = _points(exposed), exposed.box()[3]
    return [one for one in points if one[1] > highest - 1e-3] or [max(points, key=lambda one: one[1])]


def _extremes(exposed: Outline) -> tuple[Point, Point]:
    """Foremost and aftmost point [mm]."""
    points = _points(exposed)
    return min(points), max(points)


def _points(exposed: Outline) -> list[Point]:
    return [(x, y) for edge in exposed.outer for x, y in edge.piece.at(np.linspace(0.0, 1.0, 65)).tolist()]


def _lines(sizes: FaceSizes, worked: Sequence[WorkedEdge], cut: float | None, s: float) -> Iterator[Mark]:
    root = sizes.root * s
    if sizes.tab:
        yield Guide((Line((0.0, 0.0), (root, 0.0)),), Pen.REFERENCE)
    for edge in worked:
        (x0, y0), (x1, y1) = edge.limit.start, edge.limit.end
        yield Guide((Line((x0 * s, y0 * s), (x1 * s, y1 * s)),), Pen.LIMIT)
    if cut is not None:
        ends = _ends_at(sizes.exposed, cut)
        left, right = ends[0] * s - _PAST, ends[1] * s + _PAST
        yield Guide((Line((left, cut * s), (right, cut * s)),), Pen.CENTRE_LINE)
        for end, way in ((left, -1.0), (right, 1.0)):
            # Past the end of its line, else above or below it.
            places = [(end + way * off, cut * s) for off in (2.0, 5.0, 8.0)]
            places += [
                (end - way * off, cut * s + up) for off in (0.0, 3.0, -3.0, 8.0, 13.0, -8.0) for up in (2.6, -2.6)
            ]
            yield Choice(tuple((Label("A", place, bold=True),) for place in places), must=True)
    yield from _forward(sizes.exposed, s)
    for number, (x, y) in enumerate(sizes.corners, 1):
        home = math.atan2(y - sizes.exposed.box()[3] / 2.0, x - sizes.root / 2.0)
        places = [
            (x * s + off * math.cos(home + turn), y * s + off * math.sin(home + turn))
            for off in (_OFF, 1.5 * _OFF)
            for turn in (0.0, 0.6, -0.6, 1.2, -1.2, math.pi)
        ]
        yield Choice(tuple((Label(str(number), place, bold=True),) for place in places), must=True)


def _forward(exposed: Outline, s: float) -> Iterator[Mark]:
    """The arrow that points forward, where there is room for it on the fin."""
    ways: list[tuple[Arrow]] = []
    for long, words in ((20.0, "FORWARD"), (10.0, "")):
        for share in (0.25, 0.35, 0.7, 0.15, 0.85):
            height = share * exposed.box()[3]
            first, last = _ends_at(exposed, height)
            middle = (first + last) * s / 2.0
            if (last - first) * s > 2.0 * long:
                ways.append((Arrow(words, (middle + long / 2.0, height * s), (middle - long / 2.0, height * s)),))
    if ways:
        yield Choice(tuple(ways))


def _holes(sizes: FaceSizes, s: float) -> Iterator[Mark]:
    for (x, y), radius in sizes.pins:
        yield CentreMark((x * s, y * s), radius * s + 1.5)
    if sizes.pins:
        yield Choice(
            tuple(
                (Diameter((x * s, y * s), radius * s, math.radians(turn), reach, "pin", s),)
                for (x, y), radius in sizes.pins
                for reach in (7.0, 12.0)
                for turn in (60.0, 120.0, 30.0, 150.0, -60.0, -120.0, -30.0, -150.0)
            ),
            must=True,
        )


# --- the cut across ---------------------------------------------------------------------------------------------------


def _ends_at(exposed: Outline, height: float) -> tuple[float, float]:
    """Foremost and aftmost point of a fin at a height [mm]."""
    pieces = [edge.piece for edge in exposed.outer]
    found = [float(pieces[i].at(np.array([t]))[0, 0]) for i, t in crossings(pieces, partial(_above, height))]
    return min(found), max(found)


def _above(height: float, points: Floats) -> Floats:
    return np.asarray(points[:, 1] - height)


def _cut_across(sizes: FaceSizes, worked: Sequence[WorkedEdge], height: float) -> tuple[Chain, tuple[Measure, ...]]:
    """The loop of a flat fin cut along the air at a height, side A up, and what is measured on it."""
    first, last = _ends_at(sizes.exposed, height)
    half = sizes.thickness / 2.0
    found: list[Measure] = []
    ends = [_end(x, half, worked, height, found) for x in (first, last)]
    (low_front, front, high_front), (low_rear, rear, high_rear) = ends
    # Round it anticlockwise: along the lower face aft, up the trailing edge, back along the upper face, down again.
    foot = (_far(low_front, (first, -half)), _far(low_rear, (last, -half)))
    head = (_far(high_rear, (last, half)), _far(high_front, (first, half)))
    pieces: list[Piece] = [Line(*foot), *(piece.reversed() for piece in low_rear[::-1])]
    pieces += [*rear, *high_rear, Line(*head), *(piece.reversed() for piece in high_front[::-1])]
    pieces += [*(piece.reversed() for piece in front), *low_front]
    middle = ((foot[0][0] + foot[1][0]) / 2.0, half)
    return tuple(pieces), (DiameterAt(middle, "thickness", is_round=False), *found)


def _far(pieces: Sequence[Piece], otherwise: Point) -> Point:
    return pieces[-1].end if pieces else otherwise


def _end(
    x: float, half: float, worked: Sequence[WorkedEdge], height: float, found: list[Measure]
) -> tuple[list[Piece], list[Piece], list[Piece]]:
    """One edge of the cut: from the rim along the lower face, up the rim, from the rim along the upper face."""
    for edge in worked:
        rim, limit = _crossing(edge.piece, height), _crossing(edge.limit, height)
        if rim is None or limit is None or abs(rim - x) > 1e-3:
            continue
        if isinstance(edge.form, Rounded):
            return _rounded(x, limit, half, edge.form.radius)
        return _bevelled(x, limit, half, edge.form, found)
    return [], [Line((x, -half), (x, half))], []


def _crossing(line: Line, height: float) -> float | None:
    """Where a straight line passes a height [mm]; None where it does not."""
    (x0, y0), (x1, y1) = line.start, line.end
    if not min(y0, y1) <= height <= max(y0, y1) or abs(y1 - y0) < _LEVEL:
        return None
    return x0 + (x1 - x0) * (height - y0) / (y1 - y0)


def _rounded(x: float, limit: float, half: float, radius: float) -> tuple[list[Piece], list[Piece], list[Piece]]:
    long, level = abs(limit - x), half - radius
    start = math.pi if x < limit else 0.0
    turn = -math.pi / 2.0 if x < limit else math.pi / 2.0
    upper: list[Piece] = [EllipseArc((limit, level), long, radius, start, turn)]
    lower: list[Piece] = [EllipseArc((limit, -level), long, radius, start, -turn)]
    rim: list[Piece] = [Line((x, -level), (x, level))] if level > _LEVEL else []
    return lower, rim, upper


def _bevelled(
    x: float, limit: float, half: float, form: Bevelled, found: list[Measure]
) -> tuple[list[Piece], list[Piece], list[Piece]]:
    one_sided = form.sides == 1
    low, high = (-half, form.land - half) if one_sided else (-form.land / 2.0, form.land / 2.0)
    upper: list[Piece] = [Line((x, high), (limit, half))]
    lower: list[Piece] = [] if one_sided else [Line((x, low), (limit, -half))]
    rim: list[Piece] = [Line((x, low), (x, high))] if form.land > _LEVEL else []
    found.append(AxialLength((x, half), (limit, half), "bevel"))
    if one_sided:
        found.append(Remark((x, high), f"land {form.land:.4g} mm"))
    elif form.land > _LEVEL:
        found.append(DiameterAt((x, high), "land", is_round=False))
    return lower, rim, upper


def _of_aerofoil(sizes: FaceSizes) -> tuple[Measure, ...]:
    half = sizes.thickness / 2.0
    # The four-digit law is thickest at 0.3 of the chord (NACA Report 460).
    return (
        AxialLength((0.0, half), (sizes.root, 0.0), "root chord"),
        DiameterAt((0.3 * sizes.root, half), "thickest", is_round=False),
    )
