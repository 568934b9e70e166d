"""The smallest change of some values that meets conditions, found by trying: each trial works everything out anew.

The functions are smooth nearly everywhere, cost a tenth of a second a trial, and may have no value at all where a part
cannot exist. One value is scanned first, as no function here is taken to rise or fall throughout, and then closed in
on; several follow a chain of small linear programs. A general optimiser is a large library that the installed program
does without: a program of four values and a few conditions is solved by going through its corners.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ..parts.curve import Floats

Point = tuple[float, ...]
"""A value for each axis, in its own unit."""

Shortfalls = tuple[float, ...]
"""By how much each condition is missed [-]; one at or below 0 is met."""

Find = Callable[[Point], Shortfalls | None]
"""What is missed at a point; None where there is nothing at it."""

MOST_TRIALS = 60
"""Trials after which a search ends [-]."""

MOST_AXES = 4
"""Values that may change together [-]: beyond it the corners are too many, and the answer is no advice."""

_PARTS = 6
"""Stretches of a scan on each side of now [-]."""

_FINER = (1.0, 0.1, 0.01)
"""Steps to which values are rounded, coarse first, in those of the axis [-]."""

_NEARLY = 0.15
"""By how much two conditions may miss each other on a stretch of a scan, and still be looked for in it [-]."""

_DIGITS, _NOISE = 12, 1e-11
"""Digits behind the point that count, and the difference that is none, in the unit of the axis [-]."""

_NONE = 1e-9
"""Shortfalls below this are none [-]."""

_ROUNDS = 8
"""Linear programs in a row [-]."""


@dataclass(frozen=True, slots=True)
class Axis:
    """One value that may change.

    Attributes:
        now: the value as it stands, in its own unit.
        low: least value.
        high: greatest value.
        scale: a change of this much counts as 1 in the sum that is kept small.
        step: new values are whole multiples of it, or of a tenth or a hundredth where conditions ask for it.
        whole: True where nothing lies between two multiples, as with a count.
    """

    now: float
    low: float
    high: float
    scale: float
    step: float
    whole: bool = False

    def share(self, value: float) -> float:
        """How large a change to a value is, against the scale [-]."""
        return abs(value - self.now) / self.scale


@dataclass(frozen=True, slots=True)
class Edge:
    """Where on an axis things stop to exist.

    Attributes:
        axis: number of the axis [-].
        last: the last value at which there is something.
        first: the next one, at which there is nothing.
    """

    axis: int
    last: float
    first: float


@dataclass(frozen=True, slots=True)
class Found:
    """How a search ended.

    Attributes:
        point: the smallest change that was found to meet every condition; where none does, the point that misses least.
        met: whether every condition is met there.
        trials: how many points were worked out [-].
        edges: where things stop to exist, as far as the search came to it.
        spent: True where it ended for having tried enough.
    """

    point: Point
    met: bool
    trials: int
    edges: tuple[Edge, ...] = ()
    spent: bool = False


class _SpentError(Exception):
    """Enough has been tried."""


class _Trials:
    """Remembers every point that was tried."""

    def __init__(self, axes: Sequence[Axis], find: Find) -> None:
        self.axes, self.find = tuple(axes), find
        self.now: Point = tuple(axis.now for axis in axes)
        self.known: dict[Point, Shortfalls | None] = {}
        self.edges: list[Edge] = []
        self.answers: list[Point] = []

    def at(self, point: Point) -> Shortfalls | None:
        """What is missed at a point, counts rounded to whole ones first.

        Raises:
            _SpentError: enough has been tried.
        """
        key = tuple(_plain(value, axis) for value, axis in zip(point, self.axes, strict=True))
        if key not in self.known:
            if len(self.known) >= MOST_TRIALS:
                raise _SpentError
            self.known[key] = self.find(key)
        return self.known[key]

    def cost(self, point: Point) -> float:
        return sum(axis.share(value) for axis, value in zip(self.axes, point, strict=True))

    def result(self, spent: bool = False) -> Found:
        """The cheapest rounded point that meets all; else the one that misses least."""
        there = {point: short for point, short in self.known.items() if short is not None}
        if self.answers:
            return Found(min(self.answers, key=self.cost), True, len(self.known), tuple(self.edges), spent)
        best = min(there, key=lambda point: (round(_worst(there[point]), 9), self.cost(point)), default=self.now)
        return Found(best, False, len(self.known), tuple(self.edges), spent)


def least_change(axes: Sequence[Axis], find: Find) -> Found:
    """The smallest change that meets every condition: of several values, the least sum of their shares.

    Each axis has its present value within its bounds. What exists is taken to be in one piece round the present
    values, and a window narrower than a sixth of the way to a bound may be missed.

    Args:
        axes: the values that may change, 1 to 4.
        find: what is missed at a point.

    Raises:
        ValueError: there is nothing at the present values, or the number of axes is another.
    """
    if not 1 <= len(axes) <= MOST_AXES:
        raise ValueError(f"takes 1 to {MOST_AXES} values that may change, got {len(axes)}")
    trials = _Trials(axes, find)
    now = trials.at(trials.now)
    if now is None:
        raise ValueError("there is nothing at the present values")
    try:
        if _met(now):
            trials.answers.append(trials.now)
        elif len(axes) == 1:
            _along(trials, 0)
        else:
            _together(trials)
    except _SpentError:
        return trials.result(spent=True)
    return trials.result()


def _plain(value: float, axis: Axis) -> float:
    """A value without the noise of arithmetic; the present one stays exactly what it is."""
    if abs(value - axis.now) < _NOISE:
        return axis.now
    return round(value) if axis.whole else round(value, _DIGITS)


def _met(short: Shortfalls | None) -> bool:
    return short is not None and all(one <= _NONE for one in short)


def _worst(short: Shortfalls) -> float:
    return max(short, default=0.0)


# --- one value --------------------------------------------------------------------------------------------------------


def _along(trials: _Trials, number: int) -> None:
    """Scan one axis outwards on both sides, all else as it stands, and close in on the nearest value that meets all."""
    axis = trials.axes[number]

    def at(value: float) -> Shortfalls | None:
        return trials.at((*trials.now[:number], value, *trials.now[number + 1 :]))

    last = {1.0: axis.now, -1.0: axis.now}
    best = math.inf
    for part in range(1, _PARTS + 1):
        for side, bound in ((1.0, axis.high), (-1.0, axis.low)):
            before = last.get(side)
            if before is None or axis.share(before) >= best or bound == axis.now:
                continue
            value = bound if part == _PARTS else _inside(before, bound, part / _PARTS, axis)
            if value is None:
                continue
            if at(value) is None:
                edge = _edge(at, before, value, axis)
                trials.edges.append(Edge(number, *edge))
                value = edge[0]
                last.pop(side)
            else:
                last[side] = value
            found = _close_in(at, before, value, axis.step, 1.0 if axis.whole else _FINER[-1] * axis.step)
            if found is not None:
                best = min(best, axis.share(found))
                trials.answers.append((*trials.now[:number], found, *trials.now[number + 1 :]))
                last.pop(side, None)
    if math.isinf(best):
        _peak(trials, number)


def _inside(before: float, bound: float, share: float, axis: Axis) -> float | None:
    """A multiple of the step at a share of the way from now to a bound, beyond the one before."""
    value = _multiple(axis.now + share * (bound - axis.now), axis.step)
    return value if min(before, bound) < value < max(before, bound) else None


def _edge(at: Callable[[float], Shortfalls | None], there: float, gone: float, axis: Axis) -> tuple[float, float]:
    """The last value on the way at which there is something, and the next."""
    while (middle := _between(there, gone, (there + gone) / 2.0, axis.step)) is not None:
        if at(middle) is None:
            gone = middle
        else:
            there = middle
    return there, gone


def _close_in(
    at: Callable[[float], Shortfalls | None], start: float, end: float, step: float, finest: float
) -> float | None:
    """The value nearest to the start that meets all, between a start that does not and an end; None without one."""
    first, last = at(start), at(end)
    if first is None or last is None or start == end or _met(first):
        return None
    while not _met(last):
        window = _window(first, last)
        if window is None:
            return None
        value = _between(start, end, start + sum(window) / 2.0 * (end - start), step)
        if value is None:
            return _close_in(at, start, end, step / 10.0, finest) if step > finest * 1.5 else None
        short = at(value)
        if short is None or _same_side(short, first):
            start, first = value, short or first
        else:
            end, last = value, short
    halved = True
    while True:
        window = _window(first, last)
        share = 0.5 if window is None or not halved else window[0]
        guess = start + share * (end - start)
        if _between(start, end, guess, step) is None:
            return end
        # Rounded away from the start, so that a straight line is hit in one go.
        beyond = math.copysign(step / 2.0, end - start) if share != 0.5 else 0.0
        value = _between(start, end, guess + beyond, step)
        if value is None:
            return end
        length, short = abs(end - start), at(value)
        if short is not None and _met(short):
            end, last = value, short
        else:
            start, first = value, short or first
        halved = abs(end - start) <= length / 2.0


def _window(first: Shortfalls, last: Shortfalls) -> tuple[float, float] | None:
    """The shares of a stretch between which all conditions are met, were each straight along it; None for nowhere."""
    low, high = 0.0, 1.0
    for a, b in zip(first, last, strict=True):
        if a > 0.0 and b > 0.0:
            return None
        if a > 0.0:
            low = max(low, a / (a - b))
        elif b > 0.0:
            high = min(high, a / (a - b))
    return (low, high) if low <= high + _NEARLY else None


def _same_side(short: Shortfalls, other: Shortfalls) -> bool:
    return not _met(short) and all((a > 0.0) == (b > 0.0) for a, b in zip(short, other, strict=True))


def _multiple(value: float, step: float) -> float:
    return round(round(value / step) * step, _DIGITS)


def _between(start: float, end: float, guess: float, step: float) -> float | None:
    """The multiple of the step nearest to a guess that lies between two values, the ends left out; None for none."""
    low, high = min(start, end), max(start, end)
    least = math.floor(low / step + 1e-9) + 1
    most = math.ceil(high / step - 1e-9) - 1
    if least > most:
        return None
    return round(min(max(round(guess / step), least), most) * step, _DIGITS)


def _peak(trials: _Trials, number: int) -> None:
    """Look between the best point of a scan and its neighbours, where the best of a curved function lies."""
    axis = trials.axes[number]
    for _ in range(3):
        points = sorted((point[number], _worst(short)) for point, short in trials.known.items() if short is not None)
        best = min(range(len(points)), key=lambda index: points[index][1])
        if not 0 < best < len(points) - 1:
            return
        (a, fa), (b, fb), (c, fc) = points[best - 1 : best + 2]
        bend = (b - a) * (fb - fc) - (b - c) * (fb - fa)
        if abs(bend) < 1e-12:
            return
        guess = b - ((b - a) ** 2 * (fb - fc) - (b - c) ** 2 * (fb - fa)) / (2.0 * bend)
        value = _between(a, c, guess, axis.step)
        if value is None or abs(value - b) < axis.step / 2.0:
            return
        trials.at((*trials.now[:number], value, *trials.now[number + 1 :]))


# --- several values ---------------------------------------------------------------------------------------------------


def _together(trials: _Trials) -> None:
    """Follow linear programs from now, then round; where they lead nowhere, try each value by itself."""
    _follow(trials)
    if not trials.answers:
        for number in range(len(trials.axes)):
            _along(trials, number)


def _follow(trials: _Trials) -> None:
    """Points that come nearer to the least sum of shares, and the rounded one beside the last."""
    point, short = trials.now, trials.at(trials.now)
    slopes: Floats | None = None
    for _ in range(_ROUNDS):
        slopes = None if short is None else _slopes(trials, point, short)
        if short is None or slopes is None:
            return
        wanted = _cheapest(trials, point, short, slopes)
        step = _accepted(trials, point, short, wanted)
        if step is None:
            break
        moved = all(abs(a - b) <= axis.step / 2.0 for a, b, axis in zip(point, step[0], trials.axes, strict=True))
        point, short = step
        if moved:
            break
    if short is not None and slopes is not None:
        _round(trials, point, short, slopes)


def _accepted(trials: _Trials, point: Point, short: Shortfalls, wanted: Point) -> tuple[Point, Shortfalls] | None:
    """The wanted point, or one on the way there, that misses less or hardly anything."""
    for share in (1.0, 0.5, 0.25, 0.1):
        tried = tuple(a + share * (b - a) for a, b in zip(point, wanted, strict=True))
        found = trials.at(tried)
        if found is not None and _worst(found) < max(0.98 * _worst(short), 0.02):
            return tried, found
    return None


def _slopes(trials: _Trials, point: Point, short: Shortfalls) -> Floats | None:
    """Slope of each condition (rows) with each value (columns), from a small step; None where none can be made."""
    columns = []
    for number, axis in enumerate(trials.axes):
        step = max(1.0 if axis.whole else 0.0, 0.02 * (axis.high - axis.low), axis.step / 10.0)
        for change in (step, -step):
            value = point[number] + change
            if not axis.low <= value <= axis.high:
                continue
            found = trials.at((*point[:number], value, *point[number + 1 :]))
            if found is not None:
                columns.append([(b - a) / change for a, b in zip(short, found, strict=True)])
                break
        else:
            columns.append([0.0] * len(short))
    slopes = np.array(columns).T
    return slopes if np.any(slopes) else None


def _cheapest(trials: _Trials, point: Point, short: Shortfalls, slopes: Floats) -> Point:
    """The point of least cost that meets all conditions, were they straight; else the one that misses least.

    The corners of such a program have as many free values as conditions that just hold; each other value is as it is
    now or at a bound.
    """
    here, missed = np.array(point), np.array(short)

    def rank(corner: Point) -> tuple[float, float]:
        left = float(max(np.max(missed + slopes @ (np.array(corner) - here)), 0.0))
        return (0.0 if left < _NONE else left, trials.cost(corner))

    return min(_corners(trials, here, missed, slopes), key=rank)


def _corners(trials: _Trials, here: Floats, missed: Floats, slopes: Floats) -> Iterator[Point]:
    count = len(trials.axes)
    for size in range(min(count, len(missed)) + 1):
        for free in itertools.combinations(range(count), size):
            rest = [number for number in range(count) if number not in free]
            places = [(trials.axes[n].now, trials.axes[n].low, trials.axes[n].high) for n in rest]
            for values in itertools.product(*places):
                corner = here.copy()
                corner[rest] = values
                if not size:
                    yield tuple(corner.tolist())
                    continue
                for rows in itertools.combinations(range(len(missed)), size):
                    part = slopes[np.ix_(rows, free)]
                    if abs(np.linalg.det(part)) < 1e-14:
                        continue
                    others = missed[list(rows)] + slopes[np.ix_(rows, rest)] @ (corner - here)[rest]
                    solved = here[list(free)] - np.linalg.solve(part, others)
                    if all(
                        trials.axes[n].low - 1e-9 <= x <= trials.axes[n].high + 1e-9
                        for n, x in zip(free, solved, strict=True)
                    ):
                        whole = corner.copy()
                        whole[list(free)] = solved
                        yield tuple(
                            min(max(x, axis.low), axis.high)
                            for x, axis in zip(whole.tolist(), trials.axes, strict=True)
                        )


def _round(trials: _Trials, point: Point, short: Shortfalls, slopes: Floats) -> None:
    """Try the multiples of the steps round a point, those first that promise to meet all for the least."""
    here, missed = np.array(point), np.array(short)

    def rank(corner: Point) -> tuple[bool, float]:
        left = float(np.max(missed + slopes @ (np.array(corner) - here)))
        return left > _NONE, trials.cost(corner)

    for finer in _FINER:
        choices = [
            (axis.now,) if abs(value - axis.now) < axis.step * _FINER[-1] else _near(value, axis, finer)
            for value, axis in zip(point, trials.axes, strict=True)
        ]
        for corner in sorted(itertools.product(*choices), key=rank)[:4]:
            if _met(trials.at(corner)):
                trials.answers.append(corner)
                return
    if _met(short):
        trials.answers.append(tuple(_plain(value, axis) for value, axis in zip(point, trials.axes, strict=True)))


def _near(value: float, axis: Axis, finer: float) -> tuple[float, ...]:
    """Multiples of a step round a value, within the bounds.

    Two beyond the nearest on each side: between two conditions that pull apart the nearest may all miss.
    """
    step = axis.step if axis.whole else axis.step * finer
    low = math.floor(value / step + 1e-9)
    found = (round((low + number) * step, _DIGITS) for number in range(-2, 4))
    return tuple(sorted({min(max(one, axis.low), axis.high) for one in found}))
