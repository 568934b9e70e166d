"""The marking wrap: a strip of paper laid once round a tube, with the lines along it and all that is cut and drilled.

The paper is seen from outside with its forward end up, so roll, positive clockwise seen from behind, grows to the
right. `x` [mm] counts from the first line, the left edge of the paper, `y` [mm] from its aft edge forwards. Beyond the
butt line, where the first line comes to lie, the paper overlaps itself.

A scale along the aft edge counts from the first line. The number that the first line meets there is what this printer
puts once round this tube with this paper; lines divided anew by that number are free of errors of all three.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ..curve import Arc, Line
from ..marks import SMALLEST_TYPE, CentreMark, Dimension, Guide, Mark
from ..quantity import millimetres
from ..shape import Loop, Outline, polygon
from ..sheets.letters import plain, wrap
from ..sheets.sheet import Box
from .marked_tube import Band, Hole, MarkedTube, Root, Slot, spans
from .pattern import TYPE_HEIGHT, Pattern, figure, long, longest_that_fits
from .strip_room import ONE_SHEET, StripRoom

OVERLAP = 12.0
"""How far the paper runs on beyond the butt line [mm]: 10 to 15 mm (common practice)."""

LONGEST = 165.0
"""Longest paper along the tube that goes across one sheet [mm]."""

SCALE = 9.0
"""Height of the scale with its numbers along the aft edge [mm]."""

_NAMES = 6.0
_LINE = 4.3
_ROOM = 6.0
_FLUSH = 22.0
_TICKS = ((10, 4.0), (5, 2.6), (1, 1.6))
_FINE = 12.0
_IN_BAND = TYPE_HEIGHT + 1.4
_QUARTER = 10.0
_DASH = 1.5
_HEADING = (70.0, 104.0)
_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Stretch:
    """What one paper covers of its tube, from `first` to `last` from the tube's forward end [mm].

    It may run on beyond an end where something is marked too close to it for words beside it.
    """

    first: float
    last: float

    @property
    def height(self) -> float:
        """Length of the paper along the tube [mm]."""
        return self.last - self.first


@dataclass(frozen=True, slots=True)
class Laid:
    """What the strip is made of and how it is closed.

    Attributes:
        stock: what it is, as its edge names it.
        overlap: how far it runs on beyond the butt line [mm].
        under: words on the overlap, from the fullest to the shortest.
    """

    stock: str = "paper"
    overlap: float = OVERLAP
    under: tuple[str, ...] = ("overlap: under the first line", "overlap")


def tube_wraps(tube: MarkedTube, whole: bool = False) -> tuple[Pattern, ...]:
    """The papers of a tube, from forward to aft: one for each stretch that holds marks, or one over its whole length.

    Args:
        tube: the tube and its marks.
        whole: whether one paper covers all of it.

    Raises:
        PartError: a letter of the name cannot be printed, or the marks leave no place for the first line.
    """
    found = stretches(tube, whole)
    many = len(found) > 1
    return tuple(
        tube_wrap(tube, one, f"wrap {number} of {len(found)}" if many else "wrap")
        for number, one in enumerate(found, 1)
    )


def stretches(tube: MarkedTube, whole: bool = False) -> tuple[Stretch, ...]:
    """What is covered by paper, from forward to aft: marks that one sheet's width holds together share a paper.

    A long tube on which nothing is marked but lines along it has none, unless one for its whole length is wanted.

    Args:
        tube: the tube and its marks.
        whole: whether one paper covers all of it.
    """
    marked = sorted(spans(tube))
    if not marked:
        return (Stretch(0.0, tube.length),) if whole or tube.length <= LONGEST else ()
    if whole:
        first, last = marked[0][0], max(span[1] for span in marked)
        return (Stretch(min(0.0, _edges(tube, first, last)[0]), max(tube.length, _edges(tube, first, last)[1])),)
    found: list[tuple[float, float]] = []
    for first, last in sorted(marked, key=lambda span: span[::-1], reverse=True):
        if found:
            low, high = _edges(tube, min(first, found[-1][0]), max(last, found[-1][1]))
            if high - low <= LONGEST or first >= found[-1][0]:
                found[-1] = (min(first, found[-1][0]), max(last, found[-1][1]))
                continue
        found.append((first, last))
    return tuple(Stretch(*_edges(tube, *one)) for one in reversed(found))


def _edges(tube: MarkedTube, first: float, last: float) -> tuple[float, float]:
    """Where the paper round some marks starts and ends: flush with an end of the tube that is near, else on a mm."""
    ahead, behind = float(math.ceil(_head(tube) + _ROOM)), float(math.ceil(SCALE + _ROOM))
    rest = tube.length - last
    # Marks too close to an end leave no room for words: the paper then runs on beyond it by all that it needs.
    low = -ahead if first < ahead else math.floor(first) - ahead
    high = tube.length + (behind if rest < behind else behind - math.floor(rest))
    if 0.0 < low <= _FLUSH and high <= LONGEST:
        low = 0.0
    if 0.0 < tube.length - high <= _FLUSH and tube.length - low <= LONGEST:
        high = tube.length
    return low, high


# What stands on the paper


def _head(tube: MarkedTube) -> float:
    """Height of what is written along the forward edge [mm]."""
    longest = f"forward edge of paper at {millimetres(tube.length + 0.01)} from the tube's forward end"
    return _NAMES + _LINE * len(_heading(tube, longest, "wrap 99 of 99")) + 1.0


def _heading(tube: MarkedTube, position: str, word: str, stock: str = "paper") -> tuple[str, ...]:
    """Lines of words along the forward edge."""
    once = f"once round {figure(tube.round)}"
    basis = (
        ", as read off a print" if tube.strip else f", D {millimetres(tube.diameter)}, {stock} {tube.thickness:.2f} mm"
    )
    found = [f"{tube.name}: {word}", position, once + basis]
    if len(tube.fins) > 1 and _is_even(tube.fins):
        found.append(f"check: step round by one fin, {millimetres(tube.round / len(tube.fins))}: the lines agree")
    widest = tube.round - 6.0
    if widest > ONE_SHEET:
        # To the left of the seam of a strip that takes two sheets.
        widest = min(max(tube.round / 2.0 - 4.0, _HEADING[0]), _HEADING[1])
    return tuple(line for words in found for line in wrap(plain(words), widest, SMALLEST_TYPE))


def _is_even(rolls: tuple[float, ...]) -> bool:
    step = math.tau / len(rolls)
    return all(abs((roll - rolls[0]) / step - index) < 1e-6 for index, roll in enumerate(sorted(rolls)))


def position_words(tube: MarkedTube, stretch: Stretch) -> str:
    """Where a paper goes on the tube, told from the end that it is nearer to.

    Args:
        tube: the tube and its marks.
        stretch: what the paper covers.
    """
    aft = _from_aft(tube, stretch)
    end = "aft" if aft else "forward"
    beyond = stretch.last > tube.length + _SAME if aft else stretch.first < -_SAME
    if beyond:
        return f"lay the line 'tube's {end} end' on that end"
    near = tube.length - stretch.last if aft else stretch.first
    if near <= _SAME:
        return f"{end} edge flush with the tube's {end} end"
    away = tube.length - stretch.first if aft else stretch.first
    return f"forward edge of paper at {millimetres(away)} from the tube's {end} end"


def _from_aft(tube: MarkedTube, stretch: Stretch) -> bool:
    return stretch.first + stretch.last > tube.length


def _stations(tube: MarkedTube, stretch: Stretch, first: float, last: float) -> tuple[str, ...]:
    """A station, or two, from the end of the tube that the paper is nearer to, in wordings ever shorter.

    On a paper that covers most of a tube each mark is told from the end that it is itself nearer to.
    """
    one_end = stretch.height <= tube.length / 2.0
    aft = _from_aft(tube, stretch) if one_end else first + last > tube.length
    ends = (tube.length - last, tube.length - first) if aft else (first, last)
    numbers = " to ".join(dict.fromkeys(_number(value) for value in ends))
    end, short = ("aft", "aft") if aft else ("forward", "fwd")
    return f"{numbers} mm from {end} end", f"{numbers} from {end} end", f"{numbers} {short}"


def _number(value: float) -> str:
    return millimetres(value + 0.0).removesuffix(" mm")


def tube_wrap(tube: MarkedTube, stretch: Stretch, word: str = "wrap", laid: Laid = Laid()) -> Pattern:
    """The paper of one stretch at 1:1, seen from outside with its forward end up.

    Args:
        tube: the tube and its marks.
        stretch: what it covers.
        word: what the paper is, at the end of its file's name.
        laid: what it is made of and how it is closed.

    Raises:
        PartError: a letter of the name cannot be printed, or the marks leave no place for the first line.
    """
    long_way, high = tube.round + laid.overlap, stretch.height
    page = _Page(tube, stretch, laid)
    page.write(word)
    rim = polygon(((0.0, 0.0), (long_way, 0.0), (long_way, high), (0.0, high)))
    outline = Outline(rim, tuple(page.slots))
    return Pattern(
        word,
        outline,
        page.marks(),
        _notes(tube, stretch, page.left_out),
        f"{laid.stock}, {tube.thickness:.2f} mm"
        if tube.strip is None
        else f"the same {laid.stock} as the strip that was read",
        tuple(page.room.labels),
    )


def _notes(tube: MarkedTube, stretch: Stretch, left_out: tuple[str, ...]) -> tuple[str, ...]:
    found = [
        f"Cut along the first line. Wrap it tight, printed side out, forward end up: {position_words(tube, stretch)}. "
        "The first line, laid over the overlap, must meet the butt line within 0.5 mm.",
        "The scale counts from the first line. Where they do not meet, read the number under the first line and print "
        "again with `strip` set to it: all lines are divided anew, free of errors of diameter, paper and printer. Same "
        "printer, paper and settings.",
    ]
    if tube.strip is not None:
        found[1] = (
            f"All lines are divided by the {figure(tube.strip)} that were read off a first print: use the same "
            "printer, paper and settings, or read again."
        )
    if left_out:
        found.append(f"Marked without words, for want of room: {'; '.join(left_out)}.")
    return tuple(found)


class _Page:
    """Lines and words of one paper."""

    def __init__(self, tube: MarkedTube, stretch: Stretch, laid: Laid) -> None:
        self.tube, self.stretch, self.laid = tube, stretch, laid
        self.round, self.height = tube.round, stretch.height
        self.room = StripRoom(tube.round, SCALE, stretch.height - _NAMES)
        self.slots: list[Loop] = []
        self.left_out: tuple[str, ...] = ()
        self._shapes: list[Mark] = []
        self._top = self.height - _NAMES

    def marks(self) -> tuple[Mark, ...]:
        """Everything but the words."""
        # None along the edges: it would take the sheet's width from the paper, and the scale says the same.
        end = self.round + self.laid.overlap
        return (Dimension((end, 0.0), (end, self.height), away=-8.0), *self.room.lines(), *self._shapes)

    def write(self, word: str) -> None:
        """Everything, from what has its place to what finds one."""
        self._scale()
        self._along()
        self._heading(word)
        tube, first, last = self.tube, self.stretch.first, self.stretch.last
        low, high = first + self.height - self._top, last - SCALE
        slots = [one for one in tube.slots if low <= one.first and one.last <= high]
        bands = [one for one in tube.bands if low <= one.first and one.last <= high]
        holes = [one for one in tube.holes if low <= one.station <= high]
        for slot in slots:
            self._slot(slot)
        missing = [words for root in tube.roots for words in self._root(root, low, high)]
        for hole in holes:
            self._hole(hole)
        for band in bands:
            self._band(band)
        for end, words, way in ((0.0, "forward", 1.0), (tube.length, "aft", -1.0)):
            if first + _SAME < end < last - _SAME:
                self._band(Band("", end, end))
                off = TYPE_HEIGHT / 2.0 + 0.7
                self.room.level((f"tube's {words} end",), [self._y(end) + way * off, self._y(end) - way * off])
        missing += [*self._band_words(bands), *self._hole_words(holes), *self._slot_words(slots)]
        self.left_out = tuple(dict.fromkeys(missing))
        self._shapes += self.room.arrow("forward", (0.8, 0.68, 0.9, 0.56, 0.44, 0.32, 0.2, 0.1))

    # Lines

    def _y(self, station: float) -> float:
        return self.stretch.last - station

    def _scale(self) -> None:
        """Ticks from the first line to beyond the butt line: each millimetre where the number is read."""
        end = self.round + self.laid.overlap
        for x in range(math.floor(end) + 1):
            tall = next(height for step, height in _TICKS if x % step == 0)
            if x % 5 and abs(x - self.round) > _FINE:
                continue
            self._shapes.append(Guide((Line((float(x), 0.0), (float(x), tall)),)))
            if x % 10 == 0 and 0.0 < x <= end - long(f"{x}") / 2.0:
                self.room.put(f"{x}", (float(x), _TICKS[0][1] + TYPE_HEIGHT / 2.0 + 0.4), 0.0)

    def _along(self) -> None:
        """The lines along the tube, each with its name along the forward edge."""
        tube = self.tube
        named: list[tuple[float, tuple[str, ...]]] = [(tube.across(0.0), ("rail line, 0°", "rail line", "rail", "0°"))]
        for number, roll in enumerate(tube.fins, 1):
            degrees = _degrees(roll)
            named.append((tube.across(roll), (f"fin {number}, {degrees}", f"fin {number}", f"{number}")))
        for x, _ in named:
            self.room.line((x, 0.0), (x, self.height), centre=True)
        for quarter in range(1, 4):
            x = tube.across(quarter * math.pi / 2.0)
            if all(abs(x - other) > 0.05 for other, _ in named) and 0.05 < x < self.round - 0.05:
                named.append((x, (f"{90 * quarter}°", "")))
                self.room.line((x, 0.0), (x, _QUARTER))
                self.room.line((x, self.height), (x, self.height - _NAMES))
        named.append((0.0, (f"first line, {_degrees(tube.seam)}: cut here", "first line: cut here", "first line", "")))
        named.sort()
        self.room.line((self.round, 0.0), (self.round, self.height))
        level = self.height - _NAMES / 2.0
        for (x, choices), (after, _) in zip(named, [*named[1:], (self.round, ("",))], strict=True):
            words = longest_that_fits(choices, after - x - 2.2)
            if words:
                self.room.put(words, (x + 1.0 + long(words) / 2.0, level), 0.0)
        self._overlap()

    def _overlap(self) -> None:
        room = self.height - SCALE - 4.0
        middle = SCALE + 1.0 + room / 2.0
        for off, choices in (
            (2.4, ("butt line: the lines meet here, first line on this line", "the lines meet here", "butt line")),
            (7.6, self.laid.under),
        ):
            words = longest_that_fits(choices, room)
            if words and off + TYPE_HEIGHT / 2.0 <= self.laid.overlap:
                self.room.put(words, (self.round + off, middle), math.pi / 2.0)

    def _heading(self, word: str) -> None:
        for line in _heading(self.tube, position_words(self.tube, self.stretch), word, self.laid.stock):
            self._top -= _LINE
            self.room.put(line, (3.0 + long(line) / 2.0, self._top + _LINE / 2.0), 0.0)

    def _slot(self, slot: Slot) -> None:
        x, half = self.tube.across(slot.roll), slot.width / 2.0
        low, high = self._y(slot.last), self._y(slot.first)
        lean = self.tube.around(slot.lean) / 2.0
        long_way = math.hypot(2.0 * lean, high - low)
        right, down = half * (high - low) / long_way, half * 2.0 * lean / long_way
        loop = polygon(
            (
                (x - lean - right, low + down),
                (x + lean - right, high + down),
                (x + lean + right, high - down),
                (x - lean + right, low - down),
            )
            if lean
            else ((x - half, low), (x - half, high), (x + half, high), (x + half, low))
        )
        wide, tall = abs(lean) + right, abs(down)
        if self.room.open_window(Box(x - wide, low - tall, x + wide, high + tall)):
            self.slots.append(loop)
        else:
            # Slots of two sets of fins that run into each other cannot both be cut out.
            self._shapes.append(Guide(tuple(edge.piece for edge in loop)))

    def _root(self, root: Root, low: float, high: float) -> Iterator[str]:
        """Both ends of a root that lie on the paper, of a canted one its line; what found no room for its words."""
        middle, lean = self.tube.across(root.roll), self.tube.around(root.lean) / 2.0
        first, last = max(root.first, low), min(root.last, high)
        if lean and first < last:
            way = 2.0 / (root.last - root.first)
            ends = ((middle + lean * (1.0 - way * (at - root.first)), self._y(at)) for at in (first, last))
            self._shapes.append(Guide((Line(*ends),)))
        for station, word, x in (
            (root.first, "leading", middle + lean),
            (root.last, "trailing", middle - lean),
        ):
            if low <= station <= high:
                y = self._y(station)
                self._shapes.append(Guide((Line((x - 4.0, y), (x + 4.0, y)),)))
                self.room.take(Box(x - 4.0, y, x + 4.0, y))
                where = _stations(self.tube, self.stretch, station, station)
                choices = (f"root {word} edge: {where[0]}", f"root {word} edge: {where[2]}", where[2])
                if not self.room.beside(choices, x, y, 4.0):
                    yield f"root {word} edge {where[2]}"

    def _hole(self, hole: Hole) -> None:
        x, y, radius = self.tube.across(hole.roll), self._y(hole.station), hole.diameter / 2.0
        # In arcs shorter than a dash, so that a small circle shows whole.
        count = math.ceil(math.tau * radius / _DASH)
        for index in range(count):
            self._shapes.append(Guide((Arc((x, y), radius, math.tau * index / count, math.tau / count),)))
        reach = radius + 2.0
        self._shapes.append(CentreMark((x, y), reach))
        self.room.take(Box(x - reach, y - reach, x + reach, y + reach))

    def _band(self, band: Band) -> None:
        for y in dict.fromkeys((self._y(band.first), self._y(band.last))):
            self.room.line((0.0, y), (self.round, y))

    # Words

    def _band_words(self, bands: list[Band]) -> Iterator[str]:
        """Between the faces of a ring where those are far enough apart, else beside a face; at the left if possible."""
        for band in bands:
            where = _stations(self.tube, self.stretch, band.first, band.last)
            choices = (f"{band.words}: {where[0]}", f"{band.words}: {where[1]}", f"{band.words}: {where[2]}", where[2])
            high, low = self._y(band.first), self._y(band.last)
            off = TYPE_HEIGHT / 2.0 + 0.7
            levels = [(high + low) / 2.0] if high - low >= _IN_BAND else []
            levels += [high + off, low - off]
            if not self.room.level(choices, levels):
                yield f"{band.words} {where[2]}"

    def _hole_words(self, holes: list[Hole]) -> Iterator[str]:
        for hole in holes:
            x, y, reach = self.tube.across(hole.roll), self._y(hole.station), hole.diameter / 2.0 + 2.0
            where = _stations(self.tube, self.stretch, hole.station, hole.station)
            size = f"Ø{_number(hole.diameter)}"
            name = f"{hole.words} {size}"
            # Across other lines rather than without its name, and without its name rather than without its station.
            groups = ((f"{name}: {where[0]}", f"{name}: {where[2]}"), (f"{size}: {where[2]}",), (name, size))
            if not any(self.room.beside(choices, x, y, reach) for choices in groups):
                yield f"{hole.words} {size} {where[2]}"

    def _slot_words(self, slots: list[Slot]) -> Iterator[str]:
        """Along both sides of each slot: its size, and where it lies."""
        missing, done = list[str](), set[str]()
        for slot in slots:
            x, half = self.tube.across(slot.roll), slot.width / 2.0
            low, high = self._y(slot.last), self._y(slot.first)
            where = _stations(self.tube, self.stretch, slot.first, slot.last)
            lean = abs(self.tube.around(slot.lean))
            size = f"{_number(slot.width)} x {_number(slot.last - slot.first)} mm"
            size += f", leans {_number(lean)} mm" if lean else ""
            off = half + lean / 2.0 + TYPE_HEIGHT / 2.0 + 1.0
            both = [
                self.room.upright(choices, x + side * off, low, high)
                for choices, side in ((where, -1.0), ((f"slot {size}", size), 1.0))
            ]
            (done.add if all(both) else missing.append)(f"slot {size} {where[2]}")
        # Of slots all alike one with its words is enough.
        yield from (words for words in missing if words not in done)


def _degrees(roll: float) -> str:
    return f"{math.degrees(roll):.1f}".removesuffix(".0") + "°"
