"""Which pieces of tube to cut from which stock tubes, and how long a strip of paper marks a square cut."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from ..parts.errors import PartError

SEARCHED = 10
"""Most pieces for which every way to share them out is tried."""

BY_SEARCH, FIRST_FIT = "every way tried", "longest first, each into the first tube with room"

_NONE = 1e-9
"""Lengths below this [mm] are none."""


@dataclass(frozen=True, slots=True)
class Stock:
    """One stock tube and what is cut from it.

    Attributes:
        length: its length [mm].
        pieces: name and length [mm] of each piece, in the order in which to cut them.
        cuts: saw cuts [-]; one less than pieces where the last piece ends at the end of the tube.
        offcut: what is left over in one piece [mm].
    """

    length: float
    pieces: tuple[tuple[str, float], ...]
    cuts: int
    offcut: float


@dataclass(frozen=True, slots=True)
class Plan:
    """What to cut from what.

    Attributes:
        stocks: the stock tubes, longest first.
        kerf: width of a cut [mm].
        method: how it was found; only a search is sure that nothing is better.
    """

    stocks: tuple[Stock, ...]
    kerf: float
    method: str

    @property
    def waste(self) -> float:
        """Stock that becomes no piece: offcuts and what the saw takes [mm]."""
        return sum(stock.length - sum(length for _, length in stock.pieces) for stock in self.stocks)


def cut_list(pieces: Mapping[str, float], stock_lengths: Sequence[float], kerf: float) -> Plan:
    """Pieces of one tube shared out over stock tubes: the fewest tubes, then the least waste.

    Up to `SEARCHED` pieces every way is tried. Beyond that the longest piece comes first, each goes into the first tube
    with room, and each tube is then as short as its pieces allow; that seldom wastes a tube, but it can.

    Args:
        pieces: length of each piece by name [mm].
        stock_lengths: lengths in which the tube is to be had, as many of each as it takes [mm].
        kerf: width of a cut [mm]; 0 for a knife.

    Raises:
        PartError: a length that none is, no stock, or a piece that is longer than every stock tube.
    """
    for name, length in pieces.items():
        if not 0.0 < length < math.inf:
            raise PartError(f"{name}: its length must be above 0 mm, got {length:g} mm")
    if not stock_lengths:
        raise PartError("stock_lengths: at least one length of stock is needed and none is stated")
    for length in stock_lengths:
        if not 0.0 < length < math.inf:
            raise PartError(f"stock_lengths: must be above 0 mm, got {length:g} mm")
    if not 0.0 <= kerf < math.inf:
        raise PartError(f"kerf: must be at least 0 mm, got {kerf:g} mm")
    stocks = sorted(set(stock_lengths))
    for name, length in pieces.items():
        if length > stocks[-1] + _NONE:
            raise PartError(f"{name}: {length:g} mm is longer than the longest stock tube, {stocks[-1]:g} mm")
    ordered = sorted(pieces.items(), key=lambda piece: (-piece[1], piece[0]))
    few = len(ordered) <= SEARCHED
    groups = _searched(ordered, stocks, kerf) if few else _first_fit(ordered, stocks[-1], kerf)
    cut = [
        _stock(group, _shortest(sum(length for _, length in group), len(group), stocks, kerf), kerf) for group in groups
    ]
    cut.sort(key=lambda stock: (-stock.length, [-length for _, length in stock.pieces], stock.pieces))
    return Plan(tuple(cut), kerf, BY_SEARCH if few else FIRST_FIT)


def strip_length(diameter: float, thickness: float) -> float:
    """Length of a strip whose ends meet round a tube, to mark a square cut along its edge [mm]: pi (D + t).

    The middle of the paper is bent without being stretched, and lies half its thickness off the tube.

    Args:
        diameter: outside diameter of the tube [mm], above 0.
        thickness: thickness of the paper [mm], at least 0.

    Raises:
        PartError: a size that none is.

    Example:
        >>> round(strip_length(68.4, 0.1), 2)
        215.2
    """
    if not 0.0 < diameter < math.inf:
        raise PartError(f"diameter: must be above 0 mm, got {diameter:g} mm")
    if not 0.0 <= thickness < math.inf:
        raise PartError(f"thickness: must be at least 0 mm, got {thickness:g} mm")
    return math.pi * (diameter + thickness)


Pieces = list[tuple[str, float]]


def _room(total: float, count: int, kerf: float) -> float:
    """Length that pieces take with the cuts between them [mm]; the cut behind the last may fall off the end."""
    return total + max(count - 1, 0) * kerf


def _shortest(total: float, count: int, stocks: Sequence[float], kerf: float) -> float:
    """Shortest stock that holds pieces of a total length [mm]; infinite where none does."""
    return next((stock for stock in stocks if _room(total, count, kerf) <= stock + _NONE), math.inf)


def _searched(pieces: Pieces, stocks: Sequence[float], kerf: float) -> list[Pieces]:
    """The best way over all ways to share the pieces out: each set of pieces is solved once."""
    count = len(pieces)
    need: list[float] = []
    for chosen in range(1 << count):
        members = [length for index, (_, length) in enumerate(pieces) if chosen >> index & 1]
        need.append(_shortest(sum(members), len(members), stocks, kerf))

    @cache
    def best(left: int) -> tuple[int, float, tuple[int, ...]]:
        """Number of tubes, their length together, and the sets, for the pieces that are left."""
        if not left:
            return 0, 0.0, ()
        first = left & -left
        rest = left ^ first
        found: tuple[int, float, tuple[int, ...]] | None = None
        others = rest
        while True:
            # The first piece that is left goes with every choice of the others.
            one = first | others
            if need[one] < math.inf:
                tubes, length, sets = best(left ^ one)
                candidate = (tubes + 1, length + need[one], (one, *sets))
                if found is None or (candidate[0], candidate[1] + _NONE) < (found[0], found[1]):
                    found = candidate
            if not others:
                break
            others = (others - 1) & rest
        assert found is not None  # noqa: S101  each piece alone fits; this tells the type checker
        return found

    sets = best((1 << count) - 1)[2]
    return [[piece for index, piece in enumerate(pieces) if one >> index & 1] for one in sets]


def _first_fit(pieces: Pieces, stock: float, kerf: float) -> list[Pieces]:
    groups: list[Pieces] = []
    for piece in pieces:
        for group in groups:
            if _room(sum(length for _, length in group) + piece[1], len(group) + 1, kerf) <= stock + _NONE:
                group.append(piece)
                break
        else:
            groups.append([piece])
    return groups


def _stock(group: Pieces, length: float, kerf: float) -> Stock:
    total = sum(piece for _, piece in group)
    left = length - _room(total, len(group), kerf)
    whole = left <= _NONE
    return Stock(length, tuple(group), len(group) - 1 if whole else len(group), 0.0 if whole else max(left - kerf, 0.0))
