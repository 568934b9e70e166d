"""Words over a view, each with a line down to what it means, so placed that no line and no words meet.

Every line runs from its point to a port over the view and from there straight up to a shelf with its words. Ports stand
in the order of the points, so that lines do not cross; shelves stand on rows, and lines reach through no words.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from ..curve import Point
from ..marks import SMALLEST_TYPE, Pen
from .dimension_sizes import BESIDE, ROW
from .drawing import Drawn
from .letters import POINT, width
from .sheet import Item, Text, line

_APART = 2.2
"""Least distance of two lines that stand side by side [mm]."""

_CLEAR = 1.2
"""Room kept between the words of one leader and the line or words of another [mm]."""

RISE = 6.0
"""Height over a view in which lines lean to their ports [mm]."""

_DROP = 0.26
"""Share of the type size by which the middle of letters lies above their base line [-]."""


@dataclass(frozen=True, slots=True)
class Leader:
    """What is said, and where.

    Attributes:
        point: where its line starts [mm].
        above: words above the shelf.
        below: words below it; empty for none.
        head: what is drawn at the start, such as an arrowhead and the line from there to `point`.
        bold: whether the words are bold.
    """

    point: Point
    above: str
    below: str = ""
    head: tuple[Item, ...] = ()
    bold: bool = False

    @property
    def width(self) -> float:
        """Width of the words and of the shelf [mm]."""
        return max(width(self.above, SMALLEST_TYPE, self.bold), width(self.below, SMALLEST_TYPE, self.bold)) + 1.0


@dataclass(frozen=True, slots=True)
class _Shelf:
    """A place for the words: its port, the ends of its shelf and its row."""

    port: float
    left: float
    right: float
    row: int


def led(leaders: Sequence[Leader], level: float, left: float, right: float, rise: float = RISE) -> tuple[Drawn, ...]:
    """Place words over a view.

    Args:
        leaders: what is said.
        level: height of the top of the view, over all points [mm].
        left: where words may begin [mm].
        right: where words must end [mm].
        rise: height over the level in which lines lean to their ports [mm].

    Returns:
        One drawn leader for each, in the order given.
    """
    if not leaders:
        return ()
    ways = (_way(leaders, split, level + rise, left, right) for split in (*range(len(leaders) + 1), None))
    order, shelves = min((way for way in ways if way is not None), key=lambda way: _cost(way, level + rise))
    drawn = {id(leader): _drawn(leader, shelf, level + rise) for leader, shelf in zip(order, shelves, strict=True)}
    return tuple(drawn[id(leader)] for leader in leaders)


def _way(
    leaders: Sequence[Leader], split: int | None, top: float, left: float, right: float
) -> tuple[list[Leader], list[_Shelf]] | None:
    """The leaders in the order of their ports, and their shelves; None where they have no room."""
    order = sorted(leaders, key=lambda one: (one.point[0], one.point[1]))
    # Lines that cross change their ports; together they are shorter then, so this comes to an end.
    for _ in range(len(order) ** 2):
        shelves = _laid(order, split, left, right)
        tangled = next(_tangles(order, shelves, top), None) if shelves else None
        if tangled is None:
            break
        i, j = tangled
        order[i], order[j] = order[j], order[i]
    shelves = _laid(order, split, left, right)
    return (order, shelves) if shelves else None


def _laid(order: Sequence[Leader], split: int | None, left: float, right: float) -> list[_Shelf] | None:
    return _stairs(order, left, right) if split is None else _shelves(order, split, left, right)


def _tangles(order: Sequence[Leader], shelves: Sequence[_Shelf], top: float) -> Iterator[tuple[int, int]]:
    """Pairs of leaders whose lines cross."""
    ends = [(one.point, (shelf.port, top)) for one, shelf in zip(order, shelves, strict=True)]
    for i, j in combinations(range(len(ends)), 2):
        if _cross(*ends[i], *ends[j]):
            yield i, j


def _cross(a: Point, b: Point, p: Point, q: Point) -> bool:
    def side(u: Point, v: Point, w: Point) -> float:
        return (v[0] - u[0]) * (w[1] - u[1]) - (v[1] - u[1]) * (w[0] - u[0])

    return side(a, b, p) * side(a, b, q) < 0.0 and side(p, q, a) * side(p, q, b) < 0.0


def _spread(wanted: Sequence[float]) -> list[float]:
    """Places in the same order, at least `_APART` from each other, near the wanted ones."""
    groups: list[tuple[float, int]] = []
    for place in wanted:
        middle, count = place, 1
        while groups and groups[-1][0] + (groups[-1][1] + count) / 2.0 * _APART > middle - 1e-12:
            before, number = groups.pop()
            middle, count = (before * number + middle * count) / (number + count), number + count
        groups.append((middle, count))
    return [middle + (index - (count - 1) / 2.0) * _APART for middle, count in groups for index in range(count)]


def _shelves(order: Sequence[Leader], split: int, left: float, right: float) -> list[_Shelf] | None:
    """Words right of their ports for the first `split`, left of them for the others; None where that has no room."""
    ports = _spread([one.point[0] for one in order])
    # A port moves away from an end of the paper far enough for its words, and pushes the others along.
    for i in reversed(range(split)):
        limit = right - order[i].width
        ports[i] = min(ports[i], limit, ports[i + 1] - _APART if i + 1 < len(order) else limit)
    for i in range(split, len(order)):
        limit = left + order[i].width
        ports[i] = max(ports[i], limit, ports[i - 1] + _APART if i else limit)
    if ports[0] < left or ports[-1] > right or any(b - a < _APART - 1e-9 for a, b in pairwise(ports)):
        return None
    shelves: dict[int, _Shelf] = {}
    for i in [*reversed(range(split)), *range(split, len(order))]:
        port, wide = ports[i], order[i].width
        ends = (port, port + wide) if i < split else (port - wide, port)
        row = next(
            (row for row in range(2 * len(order) + 1) if _is_free(_Shelf(port, *ends, row), shelves.values())), None
        )
        if row is None:
            return None
        shelves[i] = _Shelf(port, *ends, row)
    return [shelves[i] for i in range(len(order))]


def _is_free(new: _Shelf, taken: Iterable[_Shelf]) -> bool:
    for old in taken:
        overlap = new.left < old.right + _CLEAR and old.left < new.right + _CLEAR
        if new.row == old.row and overlap:
            return False
        if new.row > old.row and old.left - _CLEAR < new.port < old.right + _CLEAR:
            return False
        if new.row < old.row and new.left - _CLEAR < old.port < new.right + _CLEAR:
            return False
    return True


def _stairs(order: Sequence[Leader], left: float, right: float) -> list[_Shelf]:
    """A row for each, where nothing better fits: words to the right of ports that stand close together."""
    widest = max(one.width for one in order)
    last = max(right - widest, left)
    ports = [min(one.point[0], last - (len(order) - 1 - i) * _APART) for i, one in enumerate(order)]
    for i in range(1, len(ports)):
        ports[i] = max(ports[i], ports[i - 1] + _APART)
    rows_from_top = range(len(order) - 1, -1, -1)
    return [
        _Shelf(port, port, port + one.width, row) for one, port, row in zip(order, ports, rows_from_top, strict=True)
    ]


def _cost(way: tuple[list[Leader], list[_Shelf]], top: float) -> float:
    """Crossings first, then rows, then how far lines lean."""
    order, shelves = way
    lean = sum(abs(one.point[0] - shelf.port) for one, shelf in zip(order, shelves, strict=True))
    crossings = sum(1 for _ in _tangles(order, shelves, top))
    return 1e4 * crossings + 100.0 * max(shelf.row for shelf in shelves) + lean


def _drawn(leader: Leader, shelf: _Shelf, level: float) -> Drawn:
    height = level + ROW * (shelf.row + 0.5)
    knee = (shelf.port, level)
    lines = [*leader.head]
    lines += [line(leader.point, knee, Pen.DIMENSION), line(knee, (shelf.port, height), Pen.DIMENSION)]
    lines.append(line((shelf.left, height), (shelf.right, height), Pen.DIMENSION))
    drop = SMALLEST_TYPE * POINT * _DROP
    words = tuple(
        Text(text, (shelf.left + 0.5, height + by - drop), SMALLEST_TYPE, leader.bold)
        for text, by in ((leader.above, BESIDE), (leader.below, -BESIDE))
        if text
    )
    return Drawn(tuple(lines), words)
