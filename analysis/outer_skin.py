"""What the air meets of the turned body: each stretch once, where a sleeve lies over a tube the sleeve."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ..parts.chain import Chain
from ..parts.curve import Piece, monotone_parts, parameters_at
from .aero.body import Skin
from .rocket import LYING_OVER, Item, Rocket


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of skin and the item that it is of."""

    item: Item
    skin: Skin


def outer_skin(rocket: Rocket) -> tuple[Stretch, ...]:
    """The skin of the body from forward to aft, without what sleeves hide.

    A sleeve is a part with fins of its own whose skin lies over another's. The body steps up to it and behind it down
    again, where skin goes on. Other skins that overlap are a fault of the design, which a check names, and stay whole.
    """
    over = rocket.sleeves
    hidden = [item.skin_range() for item in over]
    found = [Stretch(item, skin) for item in rocket.body for skin in _left(item, [] if item in over else hidden)]
    return tuple(sorted(found, key=lambda one: one.skin.station + one.skin.chain[0].start[0]))


def _whole(item: Item) -> Skin:
    return Skin(item.part.skin() if item.part else (), item.stations[0])


def _left(item: Item, hidden: list[tuple[float, float]]) -> Iterator[Skin]:
    """What is left of a skin in front of, between and behind the stations that are hidden."""
    start, end = item.skin_range()
    taken = [(low, high) for low, high in hidden if min(high, end) - max(low, start) > LYING_OVER]
    if not taken:
        yield _whole(item)
        return
    at = start
    for low, high in (*sorted(taken), (end, end)):
        # A sleeve that ends within the precision of a station beside the end of the tube ends with it.
        if low - at > LYING_OVER:
            yield Skin(_between(_whole(item).chain, at - item.stations[0], low - item.stations[0]), item.stations[0])
        at = max(at, high)


def _between(chain: Chain, low: float, high: float) -> Chain:
    """The pieces of a chain between two places along the axis [mm]."""
    pieces = [part for piece in chain for part in monotone_parts(piece)]
    return tuple(part for piece in pieces for part in _cut(piece, low, high))


def _cut(piece: Piece, low: float, high: float) -> Iterator[Piece]:
    first, last = piece.start[0], piece.end[0]
    if last <= low or first >= high or last <= first:
        return
    a, b = parameters_at(piece, np.array([max(low, first), min(high, last)])).tolist()
    yield piece.part(0.0 if first >= low else a, 1.0 if last <= high else b)
