"""What the contours of a cut file enclose, found from its entities alone, for the proof of the file."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ..chain import JOIN_TOLERANCE
from ..curve import Point


@dataclass(frozen=True, slots=True)
class Stretch:
    """One entity of a file by its ends [mm] and the area [mm2] that it adds to that of the polygon through such ends.

    Attributes:
        start: one end.
        end: the other end.
        bulge: area between the entity, run from start to end, and its chord; positive where that runs anticlockwise.
    """

    start: Point
    end: Point
    bulge: float = 0.0

    def reversed(self) -> Stretch:
        """The same entity run the other way."""
        return Stretch(self.end, self.start, -self.bulge)


def segment(angle: float, semi_x: float, semi_y: float) -> float:
    """Area [mm2] between an arc of an ellipse, of a circle where both semi-axes are equal, and its chord.

    A circle's segment is r2 (angle - sin angle) / 2; an ellipse is a circle stretched. Negative for a negative angle.
    """
    return semi_x * semi_y * (angle - math.sin(angle)) / 2.0


def cubic_segment(poles: Sequence[Point]) -> float:
    """Area [mm2] between a cubic Bezier and its chord.

    From the integral of x dy - y dx over the Bernstein polynomials of degree 3, with the first pole as origin.
    """
    (x0, y0), *rest = poles
    (x1, y1), (x2, y2), (x3, y3) = ((x - x0, y - y0) for x, y in rest)
    return 3.0 / 20.0 * ((x1 * y2 - x2 * y1) + (x1 * y3 - x3 * y1) + 2.0 * (x2 * y3 - x3 * y2))


def enclosed(stretches: Iterable[Stretch]) -> tuple[list[float], float]:
    """Follow entities in their order and close one contour after the other.

    Args:
        stretches: the entities, each run either way.

    Returns:
        Area of each contour [mm2], positive whichever way it runs, and the distance by which the last one is still
        open [mm], 0 where none is.
    """
    areas: list[float] = []
    run: list[Stretch] = []
    for stretch in stretches:
        if len(run) == 1 and _away(run[0].start, stretch) < _away(run[0].end, stretch):
            run[0] = run[0].reversed()
        if run:
            at = run[-1].end
            stretch = stretch if math.dist(at, stretch.start) <= math.dist(at, stretch.end) else stretch.reversed()
            if math.dist(at, stretch.start) > JOIN_TOLERANCE:
                return areas, math.dist(at, stretch.start)
        run.append(stretch)
        if math.dist(stretch.end, run[0].start) <= JOIN_TOLERANCE:
            areas.append(abs(_area(run)))
            run = []
    return areas, math.dist(run[-1].end, run[0].start) if run else 0.0


def _away(point: Point, stretch: Stretch) -> float:
    return min(math.dist(point, stretch.start), math.dist(point, stretch.end))


def _area(run: Sequence[Stretch]) -> float:
    x0, y0 = run[0].start
    corners = sum(((s.start[0] - x0) * (s.end[1] - y0) - (s.end[0] - x0) * (s.start[1] - y0)) / 2.0 for s in run)
    return corners + sum(stretch.bulge for stretch in run)
