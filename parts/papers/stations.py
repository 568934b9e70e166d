"""Radii of a turned part at its stations, from its own pieces, and its shoulders."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..chain import Chain
from ..curve import Piece, parameters_at
from ..errors import PartError
from ..quantity import inches_64

STEP = 10.0
"""From one station to the next [mm]."""

_SHORTEST_STEP = 0.5
"""Shortest step [mm]: nobody turns closer, and the table stays readable (common practice)."""

_SAME = 1e-9
"""Lengths below this [mm] are none."""


@dataclass(frozen=True, slots=True)
class Shoulder:
    """A plain shoulder at one end of a skin.

    Attributes:
        length: how far it reaches beyond the skin [mm].
        radius: its outside radius [mm].
    """

    length: float
    radius: float


@dataclass(frozen=True, slots=True)
class Turned:
    """The outside of a turned part.

    Attributes:
        skin: from forward to aft in the (x, r) plane, never running back [mm].
        forward_shoulder: the shoulder ahead of it, or None.
        aft_shoulder: the shoulder behind it, or None.

    Raises:
        PartError: there is no skin, it runs back, or a shoulder has no size.
    """

    skin: Chain
    forward_shoulder: Shoulder | None = None
    aft_shoulder: Shoulder | None = None

    def __post_init__(self) -> None:
        check_runs_aft(self.skin)
        for shoulder in (self.forward_shoulder, self.aft_shoulder):
            if shoulder and not (0.0 < shoulder.length < math.inf and 0.0 < shoulder.radius < math.inf):
                raise PartError(
                    f"shoulder: {shoulder.length:g} mm long, radius {shoulder.radius:g} mm; both must be above 0 mm"
                )

    @property
    def first(self) -> float:
        """Station of the skin's forward end [mm]."""
        return self.skin[0].start[0]

    @property
    def last(self) -> float:
        """Station of the skin's aft end [mm]."""
        return self.skin[-1].end[0]


@dataclass(frozen=True, slots=True)
class Row:
    """One station of a turning table.

    Attributes:
        station: from the skin's own station 0, a nose's tip [mm].
        radius: radius of the outside there [mm].
        place: what is there: `skin`, an end of it, or a shoulder.
    """

    station: float
    radius: float
    place: str

    @property
    def diameter(self) -> float:
        """Diameter there [mm]."""
        return 2.0 * self.radius

    @property
    def diameter_in_64(self) -> str:
        """Diameter there to the nearest 1/64 in, without the unit."""
        return inches_64(self.diameter).removesuffix(" in")


COLUMNS = ("station_mm", "radius_mm", "diameter_mm", "diameter_in_64", "place")
"""Titles of the columns of a turning table."""


def turning_table(turned: Turned, step: float = STEP) -> tuple[Row, ...]:
    """Radii at every whole step along the skin, at both its ends and at both ends of each shoulder.

    Args:
        turned: the outside of the part.
        step: from one station to the next [mm], at least 0.5.

    Raises:
        PartError: the step is too short.
    """
    if not _SHORTEST_STEP <= step < math.inf:
        raise PartError(f"step: {step:g} mm from station to station; it must be at least {_SHORTEST_STEP:g} mm")
    rows: list[Row] = []
    ahead, behind = turned.forward_shoulder, turned.aft_shoulder
    if ahead:
        ends = (turned.first - ahead.length, turned.first)
        rows += [Row(x, ahead.radius, "forward shoulder") for x in ends]
    from_tip = turned.skin[0].start[1] < _SAME
    rows.append(Row(turned.first, radius_at(turned.skin, turned.first), "tip" if from_tip else "forward end"))
    rows += [Row(x, radius_at(turned.skin, x), "skin") for x in whole_steps(turned.first, turned.last, step)]
    rows.append(Row(turned.last, turned.skin[-1].end[1], "base" if from_tip else "aft end"))
    if behind:
        ends = (turned.last, turned.last + behind.length)
        rows += [Row(x, behind.radius, "shoulder" if from_tip else "aft shoulder") for x in ends]
    return tuple(rows)


def table_csv(rows: tuple[Row, ...]) -> str:
    """A turning table as CSV, with its titles; lengths to a thousandth of a millimetre."""
    lines = [",".join(COLUMNS)]
    lines += [
        f"{round(r.station, 3) + 0.0:.3f},{r.radius:.3f},{r.diameter:.3f},{r.diameter_in_64},{r.place}" for r in rows
    ]
    return "\n".join(lines) + "\n"


def whole_steps(first: float, last: float, step: float) -> tuple[float, ...]:
    """Multiples of a step strictly between two stations [mm]."""
    found = (number * step for number in range(math.floor(first / step), math.ceil(last / step) + 1))
    return tuple(x for x in found if first + 1e-6 < x < last - 1e-6)


def check_runs_aft(skin: Chain) -> None:
    """Hold a skin to what a table of radii needs.

    Raises:
        PartError: there is no skin, or a piece of it runs back.
    """
    if not skin or not skin[0].start[0] < skin[-1].end[0]:
        raise PartError("skin: there is none that runs from forward to aft")
    t = np.linspace(0.0, 1.0, 65)
    if any(bool(np.any(np.diff(piece.at(t)[:, 0]) < -1e-7)) for piece in skin):
        raise PartError("skin: it runs back on itself along the axis, so that it has no one radius there")


def radius_at(skin: Chain, station: float) -> float:
    """Radius [mm] of a skin at a station [mm] within it; of a face across the axis, such as a flat tip, its rim."""
    return widest(skin, station, station)


def widest(skin: Chain, first: float, last: float) -> float:
    """Largest radius [mm] between two stations [mm], beyond its ends that of the ends; within 0.1 mm."""
    low, high = skin[0].start[0], skin[-1].end[0]
    first, last = min(max(first, low), high), min(max(last, low), high)
    reached = (piece for piece in skin if piece.start[0] - _SAME <= last and piece.end[0] + _SAME >= first)
    return max(_widest(piece, first, last) for piece in reached)


def _widest(piece: Piece, first: float, last: float) -> float:
    if piece.end[0] - piece.start[0] <= _SAME:
        return max(piece.start[1], piece.end[1])
    x = np.linspace(max(first, piece.start[0]), min(last, piece.end[0]), 1 if first == last else 9)
    return float(piece.at(parameters_at(piece, np.clip(x, piece.start[0], piece.end[0])))[:, 1].max())


def largest_radius(skin: Chain) -> float:
    """Largest radius of a skin at its pieces' ends and between them [mm], within 0.1 mm."""
    t = np.linspace(0.0, 1.0, 129)
    return float(max(piece.at(t)[:, 1].max() for piece in skin))
