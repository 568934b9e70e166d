"""An outline too large for one page, cut into tiles that overlap.

Two neighbours share a strip 10 mm wide. Down its middle runs the seam: one tile is trimmed along it and laid over the
other, whose crosses then run on from the halves that are left on the trimmed edge. A dimension of 100 mm drawn across
the seam is measured before anything is glued.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..curve import Arc, Floats, Point, bounds
from ..errors import PartError
from ..marks import SMALLEST_TYPE, Pen
from ..shape import Outline
from .drawing import Drawn, measured
from .letters import POINT, width
from .sheet import Box, Item, Text, Trace, around, centred, line
from .space import Space, dotted

OVERLAP = 10.0
"""Width of the strip that two neighbouring tiles share [mm]."""

CHECK = 100.0
"""Distance that is measured across every seam [mm]."""

MOST_TILES = 60
"""Most pages that a template may take [-]: what is larger is marked out with a rule, not glued together."""

_CORNER = 14.0
_SHIFT = 1.0
_ARM = 4.0
_RING = 2.0
_CLEAR = 5.0

_ASIDE = CHECK / 4.0 + OVERLAP / 4.0
"""Middle of a seam to the middles of the figures of its check distance, which each of its tiles has [mm]."""


@dataclass(frozen=True, slots=True)
class Tile:
    """One page of a tiled outline.

    Attributes:
        name: row letter from the top and column number from the left, A1 first.
        window: the part of the outline that it shows, in the outline's coordinates [mm].
        row: row from the top, from 0 [-].
        column: column from the left, from 0 [-].
        own: the window less the strips that a neighbour shows too [mm].
    """

    name: str
    window: Box
    row: int
    column: int
    own: Box


@dataclass(frozen=True, slots=True)
class Seam:
    """What is drawn where two tiles meet, in the outline's coordinates.

    Attributes:
        first: the tile on the left or above, which is trimmed.
        second: the tile on the right or below.
        crosses: where the two registration crosses are [mm].
        check: the two ends of the check distance [mm].
        shared: lines that both tiles show.
        on_first: words for the first tile.
        on_second: words for the second tile.
    """

    first: Tile
    second: Tile
    crosses: tuple[Point, Point]
    check: tuple[Point, Point]
    shared: tuple[Item, ...]
    on_first: tuple[Text, ...]
    on_second: tuple[Text, ...]


def count(extent: float, page: float) -> int:
    """How many tiles `page` [mm] long cover an extent [mm] with overlaps."""
    return max(1, math.ceil((extent - OVERLAP) / (page - OVERLAP) - 1e-9))


def tiles(box: Box, outline: Outline, wide: float, high: float, keep_off: Sequence[Box] = ()) -> tuple[Tile, ...]:
    """The tiles, row by row from the top, that show a box of the drawing; tiles with nothing on them are left out.

    Args:
        box: what must be shown [mm].
        outline: the outline in it.
        wide: width of the window of a page [mm].
        high: height of it [mm].
        keep_off: what no seam runs through if it can be helped, besides the outline's own holes [mm].

    Raises:
        PartError: more tiles than anybody would glue together.
    """
    columns, rows = count(box.right - box.left, wide), count(box.high - box.low, high)
    if columns * rows > MOST_TILES:
        raise PartError(
            f"template: {box.right - box.left:.0f} x {box.high - box.low:.0f} mm would take {columns * rows} sheets; "
            f"the most is {MOST_TILES}"
        )
    holes = [around([Box(*bounds(edge.piece)) for edge in hole]) for hole in outline.holes]
    holes += keep_off
    left = _origin(box.left, box.right, wide, columns, [(hole.left, hole.right) for hole in holes])
    low = _origin(box.low, box.high, high, rows, [(hole.low, hole.high) for hole in holes])
    loops = [dotted(edge.piece for edge in loop) for loop in outline.loops]
    found = []
    for row in range(rows):
        for column in range(columns):
            x, y = left + column * (wide - OVERLAP), low + (rows - 1 - row) * (high - OVERLAP)
            window = Box(x, y, x + wide, y + high)
            own = Box(
                x + (OVERLAP if column else 0.0),
                y + (OVERLAP if row < rows - 1 else 0.0),
                x + wide - (OVERLAP if column < columns - 1 else 0.0),
                y + high - (OVERLAP if row else 0.0),
            )
            if _shows(window, loops):
                found.append(Tile(f"{_letter(row)}{column + 1}", window, row, column, own))
    return tuple(found)


def seams(grid: Sequence[Tile], space: Space) -> tuple[Seam, ...]:
    """The seams between all neighbours, drawn where there is room for them."""
    at = {(tile.row, tile.column): tile for tile in grid}
    found = []
    for tile in grid:
        for row, column in ((tile.row, tile.column + 1), (tile.row + 1, tile.column)):
            if (row, column) in at:
                found.append(_seam(tile, at[row, column], space))
    return tuple(found)


def slid(marks: Sequence[Drawn], grid: Sequence[Tile]) -> tuple[Drawn, ...]:
    """Marks whose words are slid along themselves until each stands on one tile alone, off every seam."""
    found = list(marks)
    stays = [not mark.words or any(tile.own.holds(_words_box(mark)) for tile in grid) for mark in marks]
    taken = [_words_box(mark) for mark, stay in zip(marks, stays, strict=True) if stay and mark.words]
    for index, mark in enumerate(marks):
        if not stays[index]:
            found[index] = _slid(mark, grid, taken)
            taken.append(_words_box(found[index]))
    return tuple(found)


def _words_box(mark: Drawn) -> Box:
    return around([text.box() for text in mark.words])


def _slid(drawn: Drawn, grid: Sequence[Tile], taken: Sequence[Box]) -> Drawn:
    box = _words_box(drawn)
    along = (math.cos(drawn.turn), math.sin(drawn.turn))
    for direction, furthest in ((along, 250), ((-along[1], along[0]), 30)):
        for step in range(2 * furthest + 1):
            by = (step + 1) // 2 * (1.0 if step % 2 else -1.0)
            dx, dy = direction[0] * by, direction[1] * by
            moved = Box(box.left + dx, box.low + dy, box.right + dx, box.high + dy)
            if any(tile.own.holds(moved) for tile in grid) and not any(moved.meets(other) for other in taken):
                return replace(drawn, words=tuple(text.placed(dx, dy) for text in drawn.words))
    return drawn


@dataclass(frozen=True, slots=True)
class _Run:
    """Where a seam runs, from `low` to `high` at `middle`; places are told by how far `across` and `along` it [mm]."""

    upright: bool
    middle: float
    low: float
    high: float

    @property
    def centre(self) -> float:
        return (self.low + self.high) / 2.0

    def place(self, across: float, along: float) -> Point:
        return (self.middle + across, along) if self.upright else (along, self.middle - across)

    def span(self, nearest: float, furthest: float, along: float, half: float) -> Box:
        (x0, y0), (x1, y1) = self.place(nearest, along - half), self.place(furthest, along + half)
        return Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))

    def box(self, across: float, along: float, half: float) -> Box:
        return self.span(-across, across, along, half)

    def places(self, from_end: float) -> list[float]:
        """Every millimetre along it, but for some [mm] at both ends."""
        return [float(along) for along in np.arange(self.low + from_end, self.high - from_end, 1.0)]


def _run(first: Tile, second: Tile) -> _Run:
    one, other = first.window, second.window
    if first.row == second.row:
        return _Run(True, (one.right + other.left) / 2.0, one.low, one.high)
    return _Run(False, (one.low + other.high) / 2.0, one.left, one.right)


def _seam(first: Tile, second: Tile, space: Space) -> Seam:
    run = _run(first, second)
    space = space.near(run.span(-CHECK / 2.0 - OVERLAP, CHECK / 2.0 + OVERLAP, run.centre, (run.high - run.low) / 2.0))
    crosses = _crosses(run, space)
    trim, lies = f"trim, lay over {second.name}", f"{first.name} lies over"
    what = f"check {first.name}-{second.name}"
    reach = max(width(trim, SMALLEST_TYPE), width(lies, SMALLEST_TYPE)) / 2.0 + 1.0
    level, spot = _level_and_spot(run, space, width(what, SMALLEST_TYPE) / 2.0 + 1.0, reach)
    start, end = run.place(-CHECK / 2.0, level), run.place(CHECK / 2.0, level)
    dimension = measured(start, end, f"{CHECK:.1f} mm", what)
    shift = (_ASIDE, 0.0) if run.upright else (0.0, _ASIDE)
    ends = [
        line(run.place(a, level - 3.0), run.place(a, level + 3.0), Pen.DIMENSION) for a in (-CHECK / 2.0, CHECK / 2.0)
    ]
    turn = math.pi / 2.0 if run.upright else 0.0
    off = SMALLEST_TYPE * POINT / 2.0 + 0.9
    sign = -1.0 if run.upright else 1.0
    return Seam(
        first,
        second,
        crosses,
        (start, end),
        (
            line(run.place(0.0, run.low), run.place(0.0, run.high), Pen.SEAM),
            *(item for point in crosses for item in _cross(point)),
            *ends,
            *dimension.lines,
        ),
        (
            centred(trim, run.place(-off, spot), turn=turn),
            *(text.placed(sign * shift[0], sign * shift[1]) for text in dimension.words),
        ),
        (
            centred(lies, run.place(off, spot), turn=turn),
            *(text.placed(-sign * shift[0], -sign * shift[1]) for text in dimension.words),
        ),
    )


def _crosses(run: _Run, space: Space) -> tuple[Point, Point]:
    """Middles of the two crosses on a seam, which take their places."""
    places = run.places(_CORNER)
    hits = {along: space.hits(run.box(_CLEAR, along, _CLEAR)) for along in places}
    lower = min((p for p in places if p < run.centre - 10.0), key=lambda p: (hits[p], p))
    upper = min((p for p in places if p > run.centre + 10.0), key=lambda p: (hits[p], -p))
    space.take(run.box(_CLEAR, lower, _CLEAR), run.box(_CLEAR, upper, _CLEAR))
    return run.place(0.0, lower), run.place(0.0, upper)


def _level_and_spot(run: _Run, space: Space, check_reach: float, reach: float) -> tuple[float, float]:
    """Where along a seam its check distance and its own words stand [mm]; both take their places.

    Args:
        run: where the seam runs.
        space: what is there already.
        check_reach: half the length of the check's figures [mm].
        reach: half the length of the words along the seam [mm].
    """
    places, spots = run.places(_CORNER), run.places(OVERLAP + reach)
    half = SMALLEST_TYPE * POINT + 1.5

    def spot_in(there: Space) -> tuple[float, float]:
        """What the words along the seam cover at best, and where that is."""
        found = min((there.covers(run.box(_CLEAR, p, reach)), abs(p - run.centre), p) for p in spots)
        return found[0], found[2]

    def level_in(there: Space) -> tuple[float, float]:
        """What the check distance covers at best, and where that is.

        The figures must be clear to read; that the line itself crosses the outline can often not be helped.
        """

        def words_at(along: float) -> int:
            sides = (run.span(side - check_reach, side + check_reach, along, half) for side in (-_ASIDE, _ASIDE))
            return sum(there.covers(side) for side in sides)

        found = min((words_at(p), there.hits(run.box(CHECK / 2.0, p, half)), abs(p - run.centre), p) for p in places)
        return found[0] + found[1], found[3]

    # Whichever has its choice first may leave the other none.
    covered, level = level_in(space)
    more, spot = spot_in(space.besides(run.box(CHECK / 2.0, level, half)))
    if covered + more > 0.0:
        other, its_spot = spot_in(space)
        rest, its_level = level_in(space.besides(run.box(_CLEAR, its_spot, reach)))
        if other + rest < covered + more:
            level, spot = its_level, its_spot
    space.take(run.box(CHECK / 2.0, level, half), run.box(_CLEAR, spot, reach))
    return level, spot


def _cross(point: Point) -> tuple[Item, ...]:
    x, y = point
    return (
        line((x - _ARM, y), (x + _ARM, y), Pen.BAR),
        line((x, y - _ARM), (x, y + _ARM), Pen.BAR),
        Trace((Arc(point, _RING, 0.0, math.tau),), Pen.BAR),
    )


def _origin(first: float, last: float, page: float, number: int, holes: Sequence[tuple[float, float]]) -> float:
    """Where the first page starts: near the middle of the play there is, where seams cut the fewest holes."""
    play = max(number * (page - OVERLAP) + OVERLAP - (last - first), 0.0)
    middle = first - play / 2.0
    best, fewest = middle, math.inf
    for step in range(int(play / _SHIFT) + 1):
        start = middle + (step + 1) // 2 * (_SHIFT if step % 2 else -_SHIFT)
        strips = [start + k * (page - OVERLAP) for k in range(1, number)]
        cut = sum(high > s and low < s + OVERLAP for low, high in holes for s in strips)
        if cut < fewest:
            best, fewest = start, cut
    return best


def _shows(window: Box, loops: Sequence[Floats]) -> bool:
    """Whether a window holds some of the part: its edge, or nothing but its inside."""
    for loop in loops:
        x, y = loop[:, 0], loop[:, 1]
        if np.any((x > window.left) & (x < window.right) & (y > window.low) & (y < window.high)):
            return True
    middle_x, middle_y = (window.left + window.right) / 2.0, (window.low + window.high) / 2.0
    crossings = 0
    for loop in loops:
        x, y = loop[:, 0], loop[:, 1]
        x_next, y_next = np.roll(x, -1), np.roll(y, -1)
        rising = (y > middle_y) != (y_next > middle_y)
        share = (middle_y - y[rising]) / (y_next[rising] - y[rising])
        crossings += int(np.count_nonzero(x[rising] + share * (x_next[rising] - x[rising]) > middle_x))
    return crossings % 2 == 1


def _letter(row: int) -> str:
    return chr(ord("A") + row)
