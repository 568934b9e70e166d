"""A profile from a table of stations and radii, as measured from a part or taken from a drawing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from .chain import Chain
from .curve import Bezier, Line, Piece
from .errors import PartError

CLOSEST_STATIONS = 0.01
"""Least distance of two stations [mm]; nearer ones are two readings of one place."""


@dataclass(frozen=True, slots=True)
class TableProfile:
    """A nose profile through points, from the tip to the base.

    Between the points runs the monotone cubic of Fritsch and Carlson: it passes through every point without a corner
    and never leaves the range of radii of its two neighbours, so that it makes no bulge that the table does not have.
    The slope at an inner point is the weighted harmonic mean of the slopes on its two sides, 0 where one of them is 0;
    at an end it is that of the parabola through three points, held to the sign of the first side. F. N. Fritsch and
    R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238; F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5
    (1984) 300 (from memory).

    A cubic y(x) has a finite slope everywhere, so a tip of radius 0 comes out pointed: for a round tip give points
    that crowd towards it, or a flat one by a first radius above 0, which becomes a face square to the axis.

    Attributes:
        stations: distance of each point from the tip [mm]; the first is 0, each at least 0.01 mm after the one before.
        radii: radius at each point [mm]; never smaller than the one before, the last above 0.

    Raises:
        PartError: the table is no profile; the message names the field and the row, counted from 1.
    """

    stations: tuple[float, ...]
    radii: tuple[float, ...]

    def __post_init__(self) -> None:
        _check_counts(self.stations, self.radii)
        _check_stations(self.stations)
        _check_radii(self.stations, self.radii)

    @property
    def length(self) -> float:
        """Tip to base [mm]."""
        return self.stations[-1]

    @property
    def base_radius(self) -> float:
        """Radius at the base [mm]."""
        return self.radii[-1]

    def chain(self) -> Chain:
        """The profile as pieces from (0, 0) to the base: a flat face, if it has one, and one piece an interval."""
        return _chain_of(self)


@lru_cache(maxsize=64)
def _chain_of(table: TableProfile) -> Chain:
    x, r = table.stations, table.radii
    slope = slopes(x, r)
    pieces: list[Piece] = [Line((0.0, 0.0), (0.0, r[0]))] if r[0] > 0.0 else []
    for k in range(len(x) - 1):
        third = (x[k + 1] - x[k]) / 3.0
        chord = (r[k + 1] - r[k]) / (x[k + 1] - x[k])
        start, end = (x[k], r[k]), (x[k + 1], r[k + 1])
        if max(abs(slope[k] - chord), abs(slope[k + 1] - chord)) <= 1e-13 * chord:
            pieces.append(Line(start, end))
        else:
            pole, last_pole = (
                (x[k] + third, r[k] + third * slope[k]),
                (x[k + 1] - third, r[k + 1] - third * slope[k + 1]),
            )
            pieces.append(Bezier((start, pole, last_pole, end)))
    return tuple(pieces)


def slopes(stations: tuple[float, ...], radii: tuple[float, ...]) -> tuple[float, ...]:
    """Slopes dr/dx [-] of the monotone cubic at three points or more."""
    h = [b - a for a, b in pairwise(stations)]
    chord = [(b - a) / step for (a, b), step in zip(pairwise(radii), h, strict=True)]
    inner = [_inner_slope(h[k], h[k + 1], chord[k], chord[k + 1]) for k in range(len(h) - 1)]
    first = _end_slope(h[0], h[1], chord[0], chord[1])
    return (first, *inner, _end_slope(h[-1], h[-2], chord[-1], chord[-2]))


def _inner_slope(before: float, after: float, chord: float, next_chord: float) -> float:
    if chord * next_chord <= 0.0:
        return 0.0
    near, far = 2.0 * after + before, after + 2.0 * before
    return (near + far) / (near / chord + far / next_chord)


def _end_slope(near: float, far: float, chord: float, next_chord: float) -> float:
    """Slope at an end whose nearest interval is `near` long; radii never fall, so neither chord is below 0."""
    return max(((2.0 * near + far) * chord - near * next_chord) / (near + far), 0.0)


def _check_counts(stations: tuple[float, ...], radii: tuple[float, ...]) -> None:
    if len(stations) != len(radii):
        raise PartError(
            f"point_radii: {len(radii)} of them and {len(stations)} point_stations; each point needs one of each"
        )
    if len(stations) < 3:
        raise PartError(f"point_stations: {len(stations)} points are too few for a profile; give 3 or more")
    for field, values in (("point_stations", stations), ("point_radii", radii)):
        for row, value in enumerate(values, start=1):
            if not math.isfinite(value):
                raise PartError(f"{field}: row {row}: {value} mm is not a finite number")


def _check_stations(stations: tuple[float, ...]) -> None:
    if stations[0] != 0.0:
        raise PartError(f"point_stations: row 1: {stations[0]:g} mm must be 0 mm, the tip")
    for row, (before, here) in enumerate(pairwise(stations), start=2):
        # Decimal steps of just that distance pass, whatever their rounding.
        if here - before < CLOSEST_STATIONS * (1.0 - 1e-6):
            raise PartError(
                f"point_stations: row {row}: {here:g} mm must be at least {CLOSEST_STATIONS:g} mm behind row "
                f"{row - 1}, {before:g} mm"
            )


def _check_radii(stations: tuple[float, ...], radii: tuple[float, ...]) -> None:
    if radii[0] < 0.0:
        raise PartError(f"point_radii: row 1: {radii[0]:g} mm must be at least 0 mm")
    for row, (before, here) in enumerate(pairwise(radii), start=2):
        if here < before:
            raise PartError(
                f"point_radii: row {row}: {here:g} mm is below row {row - 1}, {before:g} mm; a nose does not narrow "
                "towards its base"
            )
        if here == 0.0:
            raise PartError(f"point_radii: row {row}: 0 mm must be above 0 mm; only the tip may lie on the axis")
    if radii[0] == 0.0 and slopes(stations, radii)[0] == 0.0:
        raise PartError(
            f"point_radii: row 2: {radii[1]:g} mm is so little that the tip would be a needle along the axis; "
            "give it more, or give row 1 a radius, which makes a flat tip"
        )
    if stations[-1] < radii[-1]:
        raise PartError(
            f"point_stations: row {len(stations)}: {stations[-1]:g} mm is shorter than half the base diameter "
            f"({radii[-1]:g} mm); a profile needs a fineness ratio of at least 0.5"
        )
