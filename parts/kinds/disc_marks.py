"""What the template of a round disc says: names and sizes of what is cut, set round it with their leaders.

Words stand outside the rim, one below the other on both sides; each leader takes the way that crosses least.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from itertools import groupby
from typing import NamedTuple

from ..curve import Arc, Line, Point
from ..marks import Arrow, CentreMark, Diameter, Guide, Label, Mark, Pen
from ..quantity import inches_64
from .disc_features import MIDDLE, Disc, Feature, Notch, Round, Slot
from .disc_gaps import gap

_ROW = 9.5
"""Distance between words one below the other [mm]: two rows of type and some air."""

_OUT = 6.0
"""How far the words stay outside the rim [mm]."""

_CLEAR = 17.0
"""How far the words stay to the side of those above and below the disc [mm]."""

_PAGE = 79.0
"""Half the width of a page less its check bars [mm], within which the words stay if they can."""

_LETTER = 1.75
"""Usual width of a letter at the smallest type [mm]."""

_OFF_PAGE = 300.0
"""What words that reach over the edge of a page cost [mm]."""

_MORE = 24.0
"""How far above and below the disc words may stand [mm]."""

_CROSSING = 60.0
"""What a leader over a feature or over another leader costs [mm]."""

_WIDE = 24.0
"""Radius of a bore in which there is room for words [mm]."""

_NEAREST = 3
"""Of many alike, how many are tried as the one that the leader points at."""


@dataclass(frozen=True, slots=True)
class _Call:
    """Something to be named: where leaders may start, the radius of what is there, what it says.

    Attributes:
        words: name, with the number of them.
        targets: middles of circles, or points, of which one is named [mm].
        radius: radius of those circles [mm]; 0 for points.
        sizes: sizes in words where no diameter says them: in mm, then in inches.
        home: direction in which the words are wanted [rad]; None for wherever is nearest.
    """

    words: str
    targets: tuple[Point, ...]
    radius: float
    sizes: tuple[str, str] | None = None
    home: float | None = None

    @property
    def width(self) -> float:
        """Width of its words, about [mm]."""
        figures = self.sizes[0] if self.sizes else " O65.75 mm"
        return _LETTER * (len(self.words) + len(figures) + 1)


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle about the middle that is marked and not cut, such as the seat of another disc.

    Attributes:
        words: what it is.
        radius: half its diameter [mm].
    """

    words: str
    radius: float


def disc_marks(
    disc: Disc,
    rim_word: str,
    bore_word: str,
    circles: tuple[Circle, ...] = (),
    notes: tuple[str, ...] = (),
    scale: float = 1.0,
) -> tuple[Mark, ...]:
    """Centre lines, the rail line, the side that lies upwards, washers, and names and sizes of what is cut.

    Args:
        disc: the disc.
        rim_word: what its edge is called.
        bore_word: what the bore in its middle is called.
        circles: what else is marked.
        notes: short sentences below the disc.
        scale: mm drawn for one of the part [-]: the disc and the circles are given as they are drawn, and the figures
            are the part's.
    """
    rim, bore = disc.rim, disc.bore
    vee = any(notch.vee for notch in disc.notches)
    found: list[Mark] = [
        *_centre_lines(rim, bore),
        Label("RAIL LINE", (0.0, rim + 7.5)),
        Label("THIS FACE AFT", (0.0, -(rim + 7.5))),
        Guide((Line((0.0, bore), (0.0, min(n.floor for n in disc.notches if n.vee) if vee else rim)),)),
    ]
    found += [
        CentreMark(one.centre, one.radius + 2.0)
        for one in disc.openings
        if isinstance(one, Round) and one.centre != MIDDLE
    ]
    found += [Guide((Arc(one.centre, one.radius, 0.0, math.tau),)) for one in disc.washers]
    found += [Guide((Arc(MIDDLE, one.radius, 0.0, math.tau),)) for one in circles]
    calls = [_Call(rim_word, (MIDDLE,), rim, home=-math.pi / 4.0)]
    if bore:
        calls.append(_Call(bore_word, (MIDDLE,), bore, home=-3.0 * math.pi / 4.0))
    calls += [_Call(one.words, (MIDDLE,), one.radius, home=3.0 * math.pi / 4.0) for one in circles]
    calls += _calls((*disc.openings, *disc.notches, *disc.washers), scale)
    named, low = _placed(disc, calls, scale)
    low = min(low - 3.0, -(rim + 8.5))
    return (*found, *named, *(Label(note, (0.0, low - 5.0 * (row + 1))) for row, note in enumerate(notes)))


def _centre_lines(rim: float, bore: float) -> list[Mark]:
    """Lines across the disc; a wide bore keeps only a cross in its middle, so that there is room for words."""
    if bore < _WIDE:
        return [CentreMark(MIDDLE, rim + 4.0)]
    ways = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))
    first, last = bore - 3.0, rim + 4.0
    lines = [Line((x * first, y * first), (x * last, y * last)) for x, y in ways]
    return [CentreMark(MIDDLE, 2.0), *(Guide((line,), Pen.CENTRE_LINE) for line in lines)]


def _calls(features: Iterable[Feature], scale: float) -> list[_Call]:
    found = []
    for _, group in groupby(features, key=lambda one: (one.name.word, one.radius, isinstance(one, Notch))):
        alike = tuple(group)
        first, words = alike[0], alike[0].name.word
        words = f"{len(alike)} {words}s".replace("notchs", "notches") if len(alike) > 1 else words
        match first:
            case Round():
                centres = tuple(one.centre for one in alike if isinstance(one, Round))
                found.append(_Call(words, centres, first.radius))
            case Slot():
                length = first.arc.length() + 2.0 * first.radius
                found.append(_Call(words, (first.middle,), 0.0, _sizes(2.0 * first.radius / scale, length / scale)))
            case Notch():
                middles = tuple(
                    one.at((one.floor + one.mouth) / 2.0, one.half) for one in alike if isinstance(one, Notch)
                )
                deep = abs(first.edge - first.floor) / scale
                found.append(_Call(words, middles, 0.0, _sizes(2.0 * first.half / scale, deep)))
    return found


def _sizes(width: float, length: float) -> tuple[str, str]:
    return f"{width:.4g} x {length:.4g} mm", f"{inches_64(width).removesuffix(' in')} x {inches_64(length)}"


class _Place(NamedTuple):
    """Where words may stand: the elbow of their leader [mm], and whether they run on to the right or to the left."""

    elbow: Point
    way: float


def _placed(disc: Disc, calls: list[_Call], scale: float) -> tuple[list[Mark], float]:
    """Each name at the free place to which its leader crosses least, and the lowest place taken [mm]."""
    outside, lowest = _outside(disc.rim, len(calls)), 0.0
    above, below = disc.rim + 7.5, -(disc.rim + 7.5)
    taken = [(Line((-11.0, above), (11.0, above)), 2.0), (Line((-14.0, below), (14.0, below)), 2.0)]
    features, found = disc.features(), list[Mark]()
    for call in calls:
        inside = () if call.home is not None else _inside(disc.bore, call.width)
        best = min(
            (
                (_cost(call, target, spot, features, taken), spot, target)
                for spot in (*outside, *inside)
                for target in sorted(call.targets, key=partial(math.dist, spot.elbow))[:_NEAREST]
            ),
            key=lambda item: item[0],
        )
        _, spot, target = best
        if spot in outside:
            outside.remove(spot)
        lowest = min(lowest, spot.elbow[1])
        leader = _leader(call, target, spot.elbow)
        taken += [(leader, 1.5), (_shelf(call, spot), _ROW / 2.0 - 0.5)]
        found += _drawn(call, target, spot, leader, scale)
    return found, lowest


def _outside(rim: float, number: int) -> list[_Place]:
    """Places on both sides of the disc."""
    rows = max(math.ceil(number / 4), int((rim + _MORE) / _ROW))
    found: list[_Place] = []
    for row in range(-rows, rows + 1):
        y = row * _ROW
        reach, low = rim + _OUT, max(abs(y) - 5.0, 0.0)
        x = max(math.sqrt(reach**2 - low**2) if low < reach else 0.0, _CLEAR if abs(y) > 0.6 * rim else 0.0)
        found += [_Place((x, y), 1.0), _Place((-x, y), -1.0)]
    return found


def _inside(bore: float, wide: float) -> tuple[_Place, ...]:
    """Places in the middle of a wide bore, above and below its centre."""
    rows = [side * (7.0 + _ROW * row) for row in range(int(bore / _ROW)) for side in (1.0, -1.0)]
    fit = [y for y in rows if math.hypot(wide / 2.0 + 2.0, abs(y) + 5.0) < bore]
    return tuple(_Place((-way * wide / 2.0, y), way) for y in fit for way in (1.0, -1.0))


def _leader(call: _Call, target: Point, elbow: Point) -> Line:
    away = math.dist(target, elbow)
    share = call.radius / away
    touch = (target[0] + (elbow[0] - target[0]) * share, target[1] + (elbow[1] - target[1]) * share)
    return Line(touch, elbow)


def _shelf(call: _Call, spot: _Place) -> Line:
    """The line on which the words of a call stand."""
    (x, y), way = spot
    return Line((x, y), (x + way * call.width, y))


def _cost(
    call: _Call, target: Point, spot: _Place, features: tuple[Feature, ...], taken: list[tuple[Line, float]]
) -> float:
    """How bad it is to name a target from a place: the way of the leader, and what leader and words come near to."""
    elbow, way = spot
    leader, shelf = _leader(call, target, elbow), _shelf(call, spot)
    cost = leader.length() + (_OFF_PAGE if abs(shelf.end[0]) > _PAGE else 0.0)
    # A leader is bent outwards: its words run on in its own way.
    cost += 2.0 * _OFF_PAGE if (elbow[0] - target[0]) * way < 1e-6 else 0.0
    if call.home is not None:
        cost += 0.4 * math.hypot(*elbow) * abs(math.remainder(math.atan2(elbow[1], elbow[0]) - call.home, math.tau))
    for one in features:
        # The bore is in the way of what crosses it, and not of words that stand in it.
        within = isinstance(one, Round) and one.tube and math.dist(elbow, one.centre) < one.radius
        if within or math.dist(target, _near(one)) < 1e-6:
            continue
        clear = one.radius + 0.7
        if min(gap(leader, bone) for bone in one.bones) < clear:
            cost += _CROSSING
    for other, room in taken:
        beside = max(room, _ROW / 2.0 - 0.5)
        cost += 2.0 * _CROSSING if gap(leader, other) < room or gap(shelf, other) < beside else 0.0
    return cost


def _near(one: Feature) -> Point:
    match one:
        case Round():
            return one.centre
        case Slot():
            return one.middle
        case Notch():
            return one.at((one.floor + one.mouth) / 2.0, one.half)


def _drawn(call: _Call, target: Point, spot: _Place, leader: Line, scale: float) -> list[Mark]:
    (x, y), way = spot
    if call.sizes is None:
        turn = math.atan2(y - target[1], x - target[0])
        return [Diameter(target, call.radius, turn, leader.length(), call.words, scale)]
    middle = x + way * (call.width / 2.0 + 1.0)
    return [
        Arrow("", leader.end, leader.start),
        Label(f"{call.words} {call.sizes[0]}", (middle, y + 2.1)),
        Label(call.sizes[1], (middle, y - 2.1)),
    ]
