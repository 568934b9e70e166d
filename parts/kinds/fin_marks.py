"""What the paper template of a fin says: its sides, its grain, what is worked, drilled and glued, and its sizes.

Marks that must lie where they are come first; everything else is a choice of places, in the order of what matters
most, because only the sheet knows what has room on a fin of 40 mm and what on one of 400.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

import numpy as np

from ..chain import Chain
from ..curve import Line, Point
from ..marks import (
    SIDE_A,
    Area,
    Arrow,
    CentreMark,
    Choice,
    Diameter,
    Dimension,
    Guide,
    Label,
    Mark,
    Note,
    Pen,
    PlainMark,
)
from ..quantity import inches_64, millimetres
from ..rim import closed, inside
from ..shape import Bevelled
from .fin_end_view import end_views
from .fin_face import (
    along,
    centre_of_area,
    followed,
    glue_area,
    places_on,
    places_round,
    spread,
    stepped,
)

if TYPE_CHECKING:
    from .fin import Fin
    from .fin_edges import WorkedEdge

_FIRST = 8.0
"""Distance of the nearest dimension line from what it measures [mm]."""

_ROW = 10.0
"""Distance of dimension lines one beyond the other: two rows of type and some air [mm]."""

_SHORT_TAB = 22.0
"""Length of a tab that has room for its own figures [mm]."""

_HANG = 24.0
"""How far down the figures of a shorter one reach [mm]."""

_CENTRE = 1.5
"""Half the side of the square round the centre of area [mm]; its arms reach twice as far."""

_LEVEL = 1e-6
"""Heights that differ by less are the same [mm]."""

_NEAREST = 40
"""Places for the end of a leader that are tried where more than one point can be led from, or little matters [-]."""

_MOST_POINTS = 8
"""Most corners of a drawn outline whose places are printed [-]: more would be a table, not a template."""


@lru_cache(maxsize=16)
def fin_marks(fin: Fin) -> tuple[Mark, ...]:
    """All marks of a fin's template, in its own coordinates [mm]."""
    return tuple(_FinMarks(fin).all())


class _FinMarks:
    """The marks of one fin, and what several of them need."""

    def __init__(self, fin: Fin) -> None:
        self.fin = fin
        exposed = fin.exposed()
        self.tab = fin.tab()
        sides = fin.sides()
        # Sides run from the root leading edge on; an outline runs the other way round, its material on the left.
        self.rim = {side.name: tuple(piece.reversed() for piece in reversed(side.pieces)) for side in sides}
        self.first, self.last = self.rim[sides[0].name], self.rim[sides[-1].name]
        if len(sides) == 1:
            pieces = tuple(half for piece in self.first for half in (piece.part(0.0, 0.5), piece.part(0.5, 1.0)))
            middle = len(pieces) // 2
            self.first, self.last = pieces[middle:], pieces[:middle]
        self.face = followed(exposed.outer)
        self.middle = centre_of_area(exposed.outer)
        left, low, right, self.span = exposed.box()
        self.depth = fin.tab_depth if self.tab else 0.0
        self.box = (left, min(low, -self.depth), right, self.span)
        # Points that follow a curve may all lie a little below its top.
        highest = float(self.face[:, 1].max())
        tops = [(x, y) for x, y in self.face.tolist() if y > highest - _LEVEL]
        self.tip_front, self.tip_rear = min(tops), max(tops)
        self.on_it = places_on(self.face, self.middle)
        self.worked = fin.worked()

    def all(self) -> Iterator[Mark]:
        """Fixed marks, then choices by what matters."""
        yield from self.areas()
        yield from self.lines()
        yield from self.dimensions()
        yield from self.edge_names()
        yield from self.limit_words()
        yield from self.pins()
        yield from self.notches()
        yield self.side()
        yield self.grain()
        yield self.forward()
        yield self.root_words()
        yield self.centre_words()
        yield from self.end_view()
        yield from self.points()

    def areas(self) -> Iterator[Mark]:
        fin = self.fin
        area = glue_area(fin.outline(), fin.root_chord, fin.fillet_radius or 0.0, fin.pin_holes())
        if area:
            yield Area(area)

    def lines(self) -> Iterator[Mark]:
        """Lines on the part: where the tube's surface lies, where the flat face ends, pins, the centre of area."""
        if self.tab:
            yield Guide((Line(self.tab[0], self.tab[-1]),))
        for one in self.worked:
            yield Guide((one.limit,), Pen.LIMIT)
            # A bevel that stops short of a corner stops square to its edge.
            for stop, end, at in (
                (one.clearance_start, one.limit.start, one.clearance_start),
                (one.clearance_end, one.limit.end, one.piece.length() - one.clearance_end),
            ):
                if stop > 0.0:
                    x, y = one.piece.at(np.array([at / one.piece.length()]))[0].tolist()
                    yield Guide((Line(end, (x, y)),), Pen.LIMIT)
        yield from (CentreMark(middle, radius + 2.0) for middle, radius in self.fin.pin_holes())
        x, y = self.middle
        a, b = _CENTRE, 2.0 * _CENTRE
        corners = ((x - a, y - a), (x + a, y - a), (x + a, y + a), (x - a, y + a))
        yield Guide(tuple(Line(p, q) for p, q in zip(corners, (*corners[1:], corners[0]), strict=True)), Pen.VIEW)
        yield Guide((Line((x - b, y), (x + b, y)),), Pen.VIEW)
        yield Guide((Line((x, y - b), (x, y + b)),), Pen.VIEW)

    def dimensions(self) -> Iterator[Mark]:
        """Sizes that a ruler can check: root, tab, span, tip, sweep, and the whole length where it is more."""
        fin, (left, low, right, _) = self.fin, self.box
        front, rear = (0.0, 0.0), (fin.root_chord, 0.0)
        below = -low
        # The figures of a short tab hang down from their line.
        short = bool(self.tab) and fin.tab_length < _SHORT_TAB
        yield Dimension(
            front, rear, -(below + _FIRST + (_ROW if self.tab else 0.0) + (_HANG if short else 0.0)), "root"
        )
        if self.tab:
            yield self.length_of_tab()
        aways = (10.0, 18.0, 26.0, 36.0)
        behind = [(Dimension(rear, self.tip_rear, fin.root_chord - right - away, "semi-span", "up"),) for away in aways]
        ahead = [(Dimension(front, self.tip_front, away - left, "semi-span", "up"),) for away in aways]
        yield Choice((*behind, *ahead), must=True)
        above = [self.span + _FIRST + _ROW * k for k in range(5)]
        if self.tip_rear[0] - self.tip_front[0] > _LEVEL:
            yield _sized(self.tip_front, self.tip_rear, "tip", [height - self.span for height in above])
        sweep = self.tip_front[0]
        if fin.planform == "trapezoid" and abs(sweep) > _LEVEL:
            # Its long extension line keeps off the face: over the leading edge, or below it where it runs forward.
            level = above if sweep > 0.0 else [below + _FIRST + _ROW * k for k in range(3)]
            yield _sized(front, self.tip_front, "sweep", level, "across")
        if self.tab:
            yield self.depth_of_tab()
        if left < -_LEVEL or right > fin.root_chord + _LEVEL:
            start, end = (left, 0.0), (right, 0.0)
            yield _sized(start, end, "overall", [-(below + _FIRST + _ROW * k) for k in (2, 3, 4)], "across", must=False)

    def length_of_tab(self) -> Mark:
        """The length of the tab, below it or beside it."""
        front, rear = self.tab[1], self.tab[-2]
        ways = [(Dimension(front, rear, -away, "tab"),) for away in (_FIRST, _FIRST + 2.0 * _ROW)]
        middle = ((front[0] + rear[0]) / 2.0, front[1])
        words = f"tab {millimetres(rear[0] - front[0])}", inches_64(rear[0] - front[0])
        return Choice((*ways, *self.led(middle, *words)), must=True)

    def depth_of_tab(self) -> Mark:
        """The depth of the tab, before it, behind it, or in it."""
        (left, _, right, _), chord = self.box, self.fin.root_chord
        foot_front, foot_rear = self.tab[1], self.tab[-2]
        # Figures that have no room beside the tab stand clear of the root's own extension lines.
        ways: list[tuple[PlainMark, ...]] = [
            (Dimension(foot, corner, sign * away, words, "up"),)
            for words in ("tab depth", "depth")
            for foot, corner, sign, clear in (
                (foot_front, self.tab[0], 1.0, (foot_front[0], foot_front[0] - left)),
                (foot_rear, self.tab[-1], -1.0, (chord - foot_rear[0], right - foot_rear[0])),
            )
            for away in (8.0, *(max(8.0, reach + off) for reach in clear for off in (2.0, 8.0)), -8.0)
        ]
        words = f"tab depth {millimetres(self.depth)}", inches_64(self.depth)
        for foot, corner in ((foot_front, self.tab[0]), (foot_rear, self.tab[-1])):
            ways += self.led(((foot[0] + corner[0]) / 2.0, foot[1] / 2.0), *words)
        return Choice(tuple(ways), must=True)

    def edge_names(self) -> Iterator[Mark]:
        """Names along the first and the last edge, along a tip, and of edges that only have a number and are worked."""
        yield self.named("LEADING EDGE", self.first)
        yield self.named("TRAILING EDGE", self.last)
        if "tip" in self.rim:
            yield self.named("TIP", self.rim["tip"], must=False)
        for one in self.worked:
            pieces = self.rim[one.name]
            if one.name.startswith("edge") and pieces not in (self.first, self.last):
                yield self.named(one.name.upper(), pieces)

    def named(self, words: str, pieces: Chain, must: bool = True) -> Choice:
        """Words along an edge: inside it where they fit, else outside, else at a leader."""
        ways: list[tuple[PlainMark, ...]] = []
        for sign in (-1.0, 1.0):
            for off in (3.2, 4.4, 6.0, 8.0):
                for piece in sorted(pieces, key=lambda piece: -piece.length()):
                    for share in spread():
                        place, out, turn = along(piece, share)
                        ways.append((Label(words, stepped(place, out, sign * off), turn),))
        return Choice((*ways, *self.led(along(pieces[len(pieces) // 2], 0.5)[0], words)), must)

    def led(self, target: Point, above: str, below: str = "") -> Iterator[tuple[PlainMark, ...]]:
        """Leaders from a point: to places round the fin, the nearest first."""
        for place in places_round(self.box, target):
            yield (Note(target, place, above, below),)

    def limit_words(self) -> Iterator[Mark]:
        """What is worked up to each limit, said once for edges that are worked alike."""
        for words in dict.fromkeys(_limit_words(one) for one in self.worked):
            alike = [one.limit for one in self.worked if _limit_words(one) == words]
            ways: list[tuple[PlainMark, ...]] = []
            for text in words[:2]:
                for off in (2.6, -2.6, 4.0):
                    for limit in alike:
                        for share in spread():
                            place, out, turn = along(limit, share)
                            ways.append((Label(text, stepped(place, out, -off), turn),))
            for limit in alike:
                for number, share in enumerate(spread()):
                    led = list(self.led(along(limit, share)[0], *words[2:]))
                    # From its middle to wherever there is room, from elsewhere only to what is near.
                    ways += led[:_NEAREST] if number else led
            yield Choice(tuple(ways), must=True)

    def pins(self) -> Iterator[Mark]:
        """The drill of the pins that hold fins in a stack, said once."""
        holes = self.fin.pin_holes()
        if holes:
            words = f"{len(holes)} pin holes" if len(holes) > 1 else "pin hole"
            turns = [math.radians(degrees) for degrees in (45, 135, -45, -135, 20, 160, -20, -160, 80, 100, -80, -100)]
            ways = [
                (Diameter(middle, radius, turn, reach, words),)
                for reach in (5.0, 8.0, 12.0, 18.0, 26.0, 36.0, 50.0, 70.0, 100.0)
                for middle, radius in holes
                for turn in turns
            ]
            yield Choice(tuple(ways), must=True)

    def notches(self) -> Iterator[Mark]:
        """The size of the notches for rings, said once."""
        fin = self.fin
        if fin.notch_positions and fin.notch_length is not None and fin.notch_depth is not None:
            number = len(fin.notch_positions)
            above = f"{number} notches" if number > 1 else "notch"
            above += f" {fin.notch_length:g} x {fin.notch_depth:g} mm"
            below = f"{inches_64(fin.notch_length).removesuffix(' in')} x {inches_64(fin.notch_depth)}"
            ways: list[tuple[PlainMark, ...]] = []
            for start in sorted(fin.notch_positions):
                ways += self.led((start + fin.notch_length / 2.0, fin.notch_depth - self.depth), above, below)
            yield Choice(tuple(ways), must=True)

    def side(self) -> Mark:
        """The side that is seen, as large as it fits near the middle; on a fin with no room for it, beside it."""
        sizes = [size for size in (32.0, 24.0, 20.0, 17.0, 14.0, 12.0, 10.0) if size < 32.0 or self.span > 100.0]
        ways: list[tuple[PlainMark, ...]] = [
            (Label(SIDE_A, place, 0.0, size, bold=True),) for size in sizes for place in self.on_it
        ]
        ways += [(Label(SIDE_A, place, 0.0, 12.0, bold=True),) for place in places_round(self.box, self.middle, 9.0)]
        return Choice(tuple(ways), must=True)

    def grain(self) -> Mark:
        """The way of the face grain: along the leading edge, or where that is curved along its chord to the tip."""
        edge = self.first[-1]
        straight = len(self.first) == 1 and isinstance(edge, Line)
        start, end = (edge.end, edge.start) if straight else ((0.0, 0.0), self.tip_front)
        turn = math.atan2(end[1] - start[1], end[0] - start[0])
        way = (math.cos(turn), math.sin(turn))
        ways: list[tuple[PlainMark, ...]] = []
        for half in (0.3 * self.span, 0.22 * self.span, 8.0):
            if half >= 7.0:
                clear = [place for place in self.on_it if _past(self.middle, place, way) > 3.0 * _CENTRE]
                ways += [_both_ways(place, way, min(half, 40.0)) for place in clear]
        front = stepped(start, way, math.dist(start, end) / 2.0)
        for off in (6.0, 11.0, 16.0, 24.0, 34.0, 46.0):
            for lengthwise in (0.0, 12.0, -12.0, 24.0, -24.0):
                place = stepped(stepped(front, way, lengthwise), (-way[1], way[0]), off)
                ways.append(_both_ways(place, way, 8.0))
        return Choice(tuple(ways), must=True)

    def forward(self) -> Mark:
        """Which way is forward: in the tab, on the face, or beside the fin."""
        ways: list[tuple[PlainMark, ...]] = []
        for long in (34.0, 24.0):
            if self.tab:
                # Above notches, whose edges no arrow crosses.
                height = self.depth - (self.fin.notch_depth or 0.0)
                middle = ((self.tab[0][0] + self.tab[-1][0]) / 2.0, -height / 2.0 - 1.5)
                if height >= 11.0 and self.tab[-1][0] - self.tab[0][0] >= long + 8.0:
                    ways.append((_to_the_left(middle, long),))
            ways += [
                (_to_the_left(place, long),)
                for place in sorted(self.on_it, key=lambda p: p[1])
                if inside(closed(self.face), np.add(place, ((-long / 2.0, 0.0), (long / 2.0, 0.0)))).all()
            ]
        ways += [(_to_the_left(place, 20.0),) for place in places_round(self.box, (self.box[0], 0.0), 12.0)]
        return Choice(tuple(ways), must=True)

    def root_words(self) -> Mark:
        """What the line of the root is."""
        chord, ways = self.fin.root_chord, list[tuple[PlainMark, ...]]()
        for words in ("ROOT, at the tube's surface", "ROOT"):
            for off in (2.6, -2.6, 5.0, -5.0):
                ways += [(Label(words, (chord * share, off)),) for share in spread()]
        return Choice((*ways, *self.led((chord / 2.0, 0.0), "ROOT")), must=False)

    def centre_words(self) -> Mark:
        """Where the centre of area is: aft of the root leading edge, and out from the tube's surface."""
        x, y = self.middle
        names = ("centre of area without tab", "centre of area, no tab") if self.tab else ("centre of area",)
        below = f"x {x:.1f}, y {y:.1f} mm"
        near: list[tuple[PlainMark, ...]] = []
        for above in names:
            for reach in (4.0, 8.0, 14.0, 22.0):
                for degrees in (0, 180, 30, 150, -30, -150, 60, 120, -60, -120):
                    way = (math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))
                    near.append((Note(stepped((x, y), way, 2.2), stepped((x, y), way, 2.2 + reach), above, below),))
        return Choice((*near, *self.led((x, y), names[0], below)), must=True)

    def end_view(self) -> Iterator[Mark]:
        """The fin on its tube, seen from the end, or how thick its sheet is where the tube is not stated."""
        views = end_views(self.fin, self.box)
        if views:
            yield Choice(views, apart=True)

    def points(self) -> Iterator[Mark]:
        """Places of the corners of a drawn outline, each beside its corner."""
        corners = [pieces[0].start for pieces in self.rim.values()][:-1]
        if self.fin.planform not in ("polygon", "curved") or len(corners) > _MOST_POINTS:
            return
        for x, y in corners:
            words = f"x {x:.4g}, y {y:.4g}"
            ways: list[tuple[PlainMark, ...]] = [
                (Label(words, (x + side * reach, y + up)),)
                for reach, up in ((12.0, 0.0), (12.0, 3.0), (0.0, 3.0), (12.0, -3.0), (14.0, 6.0), (0.0, 6.0))
                for side in ((1.0, -1.0) if x > self.middle[0] else (-1.0, 1.0))
            ]
            yield Choice((*ways, *list(self.led((x, y), words))[:_NEAREST]))


def _sized(
    start: Point,
    end: Point,
    words: str,
    aways: Iterable[float],
    way: Literal["own", "across"] = "own",
    must: bool = True,
) -> Choice:
    """A dimension at the first of some distances where its figures have room."""
    return Choice(tuple((Dimension(start, end, away, words, way),) for away in aways), must)


def _both_ways(middle: Point, way: Point, half: float) -> tuple[PlainMark, ...]:
    return (Arrow("GRAIN", stepped(middle, way, -half), stepped(middle, way, half), 2),)


def _past(point: Point, place: Point, way: Point) -> float:
    """How far a point lies beside a line through a place along a direction [mm]."""
    return abs((point[0] - place[0]) * way[1] - (point[1] - place[1]) * way[0])


def _to_the_left(middle: Point, long: float) -> Arrow:
    return Arrow("FORWARD", (middle[0] + long / 2.0, middle[1]), (middle[0] - long / 2.0, middle[1]))


def _limit_words(one: WorkedEdge) -> tuple[str, str, str, str]:
    """What begins at a limit: in full, short, and on two rows of which the second has inches too."""
    name, depth = "bevel" if isinstance(one.form, Bevelled) else "round", f"{round(one.depth, 2):g} mm"
    side = "side A only" if one.sides == 1 else "both sides"
    return (
        f"{name} starts here, {depth}, {side}",
        f"{name} {depth}, {side}",
        f"{name} starts here, {side}",
        f"{depth}, {inches_64(one.depth)}",
    )
