"""Checks of a tube's readings against each other, before anything is made to them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..parts.tables import readings
from ..parts.tubes import ENDS, MeasuredTube, Side
from .limits import Check, Limit, limits

_SIDES: tuple[Side, ...] = ("outside", "inside")

_NOTES = {
    "tube_ovality": "measure again without squeezing; if it stays, ease the tube round over a coupler, and fit to the "
    "smallest inside",
    "tube_taper": "see which end the part goes into, and make it to the readings of that end",
    "tube_wall": "measure wall and diameters again: jaws that squash the tube read less, a crushed rim more",
    "tube_strip": "lay the strip again, flat and square to the tube; if it stays, believe the strip and not the jaws",
    "tube_readings": "measure at both ends, each in two directions at right angles: one reading shows no ovality",
    "tube_scatter": "measure again, note which end and direction each reading is of, and look for a slip of the pen",
}


def tube_checks(tube: MeasuredTube) -> Iterator[Check]:
    """What the readings of a tube say about each other.

    Nothing is said of readings that were not taken, except that a diameter read once is not known to be round.

    Args:
        tube: the tube as measured.
    """
    for side in _SIDES:
        found = tube.all_outside if side == "outside" else tube.all_inside
        yield _held("tube_readings", f"{tube.name}: readings of the {side}", len(found), f"{len(found)}")
        if len(tube.outside if side == "outside" else tube.inside) > 1:
            yield _amount("tube_scatter", f"{tube.name}: scatter of the {side}", tube.spread(side))
        for end in ENDS:
            oval = tube.ovality(side, end)
            if oval is not None:
                yield _amount("tube_ovality", f"{tube.name}: {side} out of round, {end} end", oval)
        taper = tube.taper(side)
        if taper is not None:
            yield _amount("tube_taper", f"{tube.name}: {side}, aft end against forward", abs(taper), taper)
    if len(tube.wall) > 1:
        yield _amount("tube_scatter", f"{tube.name}: scatter of the wall", max(tube.wall) - min(tube.wall))
    if len(tube.strip) > 1:
        spread = (max(tube.strip) - min(tube.strip)) / math.pi
        yield _amount("tube_scatter", f"{tube.name}: scatter of the strip, on diameter", spread)
    if tube.wall:
        off = tube.wall_by_diameters - tube.mean_wall
        what = f"{tube.mean_wall:.2f} mm read, {tube.wall_by_diameters:.2f} mm by the diameters"
        yield _held("tube_wall", f"{tube.name}: wall", abs(off), what)
    if tube.strip_outside is not None:
        off = tube.strip_outside - tube.mean_outside
        what = f"{tube.strip_outside:.2f} mm by the strip, {tube.mean_outside:.2f} mm by the calipers"
        yield _held("tube_strip", f"{tube.name}: outside by the strip", abs(off), what)


def _amount(limit: str, name: str, amount: float, shown: float | None = None) -> Check:
    return _held(limit, name, amount, f"{amount:.2f} mm" if shown is None else f"{shown:+.2f} mm")


def _scatter() -> Limit:
    row = readings()["caliper"]
    return Limit("readings of one thing", "mm", f"{row.mark}: {row.source}", warn_above=row.amount)


def _held(limit: str, name: str, amount: float, shown: str) -> Check:
    bounds = _scatter() if limit == "tube_scatter" else limits()[limit]
    # Readings are decimals: 65.1 less 65.0 is a hair more than 0.1 in binary and must not warn for that.
    status = bounds.status(round(amount, 9))
    return Check(name, status, shown, bounds.words(), bounds.source, _NOTES[limit] if status == "warn" else "")
