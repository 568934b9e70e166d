"""Lines of a cut file joined to closed contours, in whatever order and direction they stand, and what they enclose.

Points are complex numbers [mm]. Areas are the integral of x dy - y dx along the very curve by Gauss-Legendre points,
which is exact for polynomials of degree 15 and to the last digits for an eighth of a turn of an arc.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from .findings import Findings, Listed, NotReadableError

Points: TypeAlias = NDArray[np.complex128]
Floats: TypeAlias = NDArray[np.float64]

MEET = 1e-6
"""Largest gap between two ends that meet [mm]: far below what any machine follows."""

SQUARE = 100.0
"""Side of the reference square [mm]."""

_SQUARE_TOLERANCE = 1e-3
_AREA = 1e-6
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)
_STEPS = np.linspace(0.0, 1.0, 9)[:-1]
_LARGEST = 1e6
"""Largest coordinate that is read [mm]: a kilometre of sheet is none."""


@dataclass(frozen=True, slots=True)
class Run:
    """A line or curve between two ends.

    Attributes:
        points: points along it, its ends first and last [mm].
        area: half the integral of x dy - y dx along it [mm2].
        straight: whether it is a straight line.
    """

    points: Points
    area: float
    straight: bool = False


@dataclass(frozen=True, slots=True)
class Loop:
    """A closed contour.

    Attributes:
        points: points along it [mm].
        area: what it encloses [mm2].
        corners: its corners where it is of straight lines alone [mm].
    """

    points: Points
    area: float
    corners: tuple[complex, ...] = ()

    def box(self) -> tuple[float, float, float, float]:
        """Smallest and largest coordinates [mm]."""
        x, y = self.points.real, self.points.imag
        return float(x.min()), float(y.min()), float(x.max()), float(y.max())


def straight(start: complex, end: complex) -> Run:
    """A straight line."""
    return Run(np.array([start, end]), (start.conjugate() * end).imag / 2.0, straight=True)


def curve(at: Callable[[Floats], Points], slope: Callable[[Floats], Points], breaks: Sequence[float]) -> Run:
    """A curve from its position and derivative, smooth between breaks of its parameter."""
    area, points = 0.0, []
    for first, last in itertools.pairwise(breaks):
        t = (first + last) / 2.0 + (last - first) / 2.0 * _NODES
        area += float(np.sum(_WEIGHTS * (np.conj(at(t)) * slope(t)).imag)) * (last - first) / 4.0
        points.append(at(first + (last - first) * _STEPS))
    points.append(at(np.array(breaks[-1:], dtype=float)))
    return Run(np.concatenate(points), area)


def arc(centre: complex, to_x: complex, to_y: complex, start: float, sweep: float) -> Run:
    """An arc of an ellipse or circle: `centre + to_x cos t + to_y sin t` from t = start over a sweep [rad].

    Raises:
        NotReadableError: a number of it is none, or it goes round more than once.
    """
    if not math.isfinite(start) or not abs(sweep) <= math.tau + 1e-9:
        raise NotReadableError("an arc has no angles")
    count = max(1, math.ceil(abs(sweep) / (math.pi / 4.0) - 1e-9))
    breaks = [start + sweep * step / count for step in range(count + 1)]
    return curve(
        lambda t: centre + to_x * np.cos(t) + to_y * np.sin(t), lambda t: to_y * np.cos(t) - to_x * np.sin(t), breaks
    )


def spline(degree: int, knots: Sequence[float], poles: Sequence[complex]) -> Run:
    """A B-spline by de Boor's algorithm, whatever its knots.

    Raises:
        NotReadableError: knots and poles do not go together.
    """
    rising = all(a <= b for a, b in itertools.pairwise(knots))
    if not 1 <= degree <= 15 or len(knots) != len(poles) + degree + 1 or len(poles) <= degree or not rising:
        raise NotReadableError("a spline whose knots and poles do not go together")
    pole, knot = np.array(poles), np.array(knots, dtype=float)
    width = knot[degree + 1 :][: len(pole) - 1] - knot[1 : len(pole)]
    with np.errstate(divide="ignore", invalid="ignore"):
        slopes = np.where(width > 0.0, degree * np.diff(pole) / width, 0.0)
    inner = [float(value) for value in np.unique(knot[degree : len(pole) + 1])]
    if len(inner) < 2:
        raise NotReadableError("a spline without length")
    return curve(
        lambda t: _de_boor(degree, knot, pole, t), lambda t: _de_boor(degree - 1, knot[1:-1], slopes, t), inner
    )


def _de_boor(degree: int, knot: Floats, pole: Points, t: Floats) -> Points:
    span = np.clip(np.searchsorted(knot, t, side="right") - 1, degree, len(pole) - 1)
    d = [pole[span - degree + j] for j in range(degree + 1)]
    for level in range(1, degree + 1):
        for j in range(degree, level - 1, -1):
            low, high = knot[span - degree + j], knot[span + 1 + j - level]
            part = (t - low) / (high - low)
            d[j] = (1.0 - part) * d[j - 1] + part * d[j]
    return np.asarray(d[degree], dtype=np.complex128)


def loop(runs: Sequence[Run]) -> Loop:
    """The contour of runs that follow each other.

    Raises:
        NotReadableError: a coordinate is no number.
    """
    points = np.concatenate([run.points for run in runs])
    if not bool(np.all(np.isfinite(points)) and np.abs(points).max() <= _LARGEST):
        raise NotReadableError("a coordinate is not a number, or a kilometre away")
    corners = tuple(complex(run.points[0]) for run in runs) if all(run.straight for run in runs) else ()
    return Loop(points, abs(sum(run.area for run in runs)), corners)


def joined(runs: Sequence[Run]) -> tuple[list[Loop], str]:
    """Contours of runs that stand in any order and direction, and what keeps others from closing, in words."""
    numbers = _Ends()
    ends = [(numbers.of(complex(run.points[0])), numbers.of(complex(run.points[-1]))) for run in runs]
    at: dict[int, list[int]] = defaultdict(list)
    for index, pair in enumerate(ends):
        for end in pair:
            at[end].append(index)
    for number, meeting in at.items():
        if len(meeting) != 2:
            place = numbers.places[number]
            how = "ends" if len(meeting) == 1 else "meets others"
            return [], f"not closed: a line {how} at ({place.real:.3f}, {place.imag:.3f}) mm"
    loops: list[Loop] = []
    left = set(range(len(runs)))
    while left:
        index = min(left)
        here, chain = ends[index][0], []
        while index in left:
            left.remove(index)
            forward = ends[index][0] == here
            run = runs[index]
            chain.append(run if forward else Run(run.points[::-1], -run.area, run.straight))
            here = ends[index][1 if forward else 0]
            index = next((other for other in at[here] if other in left), index)
        loops.append(loop(chain))
    return loops, ""


class _Ends:
    """Numbers of places: those within `MEET` of each other have one."""

    def __init__(self) -> None:
        self.places: list[complex] = []
        self._cells: dict[tuple[int, int], list[int]] = defaultdict(list)

    def of(self, place: complex) -> int:
        """The number of a place.

        Raises:
            NotReadableError: a coordinate is no number.
        """
        if not abs(place) <= _LARGEST:
            raise NotReadableError("a coordinate is not a number, or a kilometre away")
        x, y = math.floor(place.real / MEET), math.floor(place.imag / MEET)
        for cell in ((x + i, y + j) for i in (-1, 0, 1) for j in (-1, 0, 1)):
            for number in self._cells.get(cell, ()):
                if abs(self.places[number] - place) <= MEET:
                    return number
        self.places.append(place)
        self._cells[x, y].append(len(self.places) - 1)
        return len(self.places) - 1


def between(loops: Sequence[Loop]) -> float:
    """Area between rims and holes [mm2]: a contour in an odd number of others is a hole."""
    boxes = np.array([one.box() for one in loops]).reshape(-1, 4)
    total = 0.0
    for number, one in enumerate(loops):
        left, low, right, high = boxes[number]
        round_it = np.flatnonzero(
            (boxes[:, 0] <= left) & (boxes[:, 1] <= low) & (boxes[:, 2] >= right) & (boxes[:, 3] >= high)
        )
        depth = sum(_inside(one.points[0], loops[other].points) for other in round_it.tolist() if other != number)
        total += -one.area if depth % 2 else one.area
    return total


def _inside(point: complex, polygon: Points) -> bool:
    a, b = polygon, np.roll(polygon, -1)
    crosses = (a.imag > point.imag) != (b.imag > point.imag)
    with np.errstate(divide="ignore", invalid="ignore"):
        x = a.real + (point.imag - a.imag) * (b.real - a.real) / (b.imag - a.imag)
    return bool(np.count_nonzero(crosses & (x > point.real)) % 2)


def prove_contours(loops: Sequence[Loop], listed: Listed, found: Findings) -> None:
    """Hold closed contours to be as many as listed, none twice, with the listed area between rims and holes.

    Args:
        loops: the contours on the layer that is cut.
        listed: the file as the manifest lists it.
        found: where to put what was found.
    """
    found.hold(bool(loops), "nothing is cut")
    found.counted(listed, "contours", len(loops), "closed contours to cut")
    twice = _twice(loops)
    found.hold(twice is None, f"a contour is there twice, round {twice}: it would be cut twice")
    stated = listed.number("area_mm2")
    if not found.hold(stated is not None, "the manifest lists no area to hold it against") or stated is None:
        return
    area = between(loops)
    found.hold(
        twice is not None or abs(area - stated) <= _AREA * max(stated, 1.0),
        f"area {area:.8g} mm2 where the manifest lists {stated:.8g} mm2",
    )


def _twice(loops: Sequence[Loop]) -> str | None:
    """Where a contour lies that is there twice; None where there is none."""
    rows = sorted(((*one.box(), one.area) for one in loops), key=lambda row: row[0])
    for index, row in enumerate(rows):
        for other in rows[index + 1 :]:
            if other[0] - row[0] > MEET:
                break
            if all(abs(a - b) <= MEET for a, b in zip(row[:4], other[:4], strict=True)) and math.isclose(
                row[4], other[4], rel_tol=1e-9
            ):
                return f"({(row[0] + row[2]) / 2.0:.3f}, {(row[1] + row[3]) / 2.0:.3f}) mm"
    return None


def prove_square(loops: Iterable[Loop], found: Findings) -> None:
    """Hold one of the closed lines that are not cut to be the square of 100 mm."""
    sides = [
        [abs(b - a) for a, b in zip(one.corners, (*one.corners[1:], one.corners[0]), strict=True)]
        + [abs(one.corners[2] - one.corners[0]) / math.sqrt(2.0), abs(one.corners[3] - one.corners[1]) / math.sqrt(2.0)]
        for one in loops
        if len(one.corners) == 4
    ]
    if not found.hold(bool(sides), "there is no reference square"):
        return
    best = min(sides, key=lambda lengths: max(abs(length - SQUARE) for length in lengths))
    off = max(abs(length - SQUARE) for length in best)
    found.hold(off <= _SQUARE_TOLERANCE, f"the reference square is {best[0]:.2f} x {best[1]:.2f} mm, not 100.00 mm")
    found.most("square off", off)


def prove_fingerprint(lines: Iterable[str], listed: Listed, found: Findings) -> None:
    """Hold the fingerprint that a file shows to be the one listed."""
    for line in lines:
        word, _, words = line.strip().partition(" ")
        if word == "fingerprint":
            printed = words.partition(",")[0]
            found.hold(printed == listed.fingerprint, f"it shows the fingerprint {printed[:20]}, not the one listed")


def told(found: Findings) -> str:
    """The proof of cut files, in words."""
    return (
        f"{found.totals['contours']:,} contours closed, none twice, areas as listed; reference squares within "
        f"{found.largest.get('square off', 0.0):.4f} mm of 100 mm"
    )
