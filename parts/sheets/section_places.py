"""Where the views of a section drawing go on a page: the whole part first, details in what is left free."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ..curve import Point
from ..marks import Pen
from .section_dimensions import View
from .sheet import Box, Item, Trace, centred
from .space import dotted

BETWEEN = 4.0
"""Least distance of a detail from everything else [mm]."""

_CAPTION, _CAPTION_SIZE = 7.0, 11.0
"""Height of the row for the words over a detail [mm], and their type size [pt]."""

_SHARES = ((0.5, 0.5), (0.5, 1.0), (0.5, 0.0), (0.0, 0.5), (0.0, 1.0), (0.0, 0.0), (1.0, 0.5), (1.0, 1.0), (1.0, 0.0))
"""Where the whole part may stand in the window, from left to right and from the foot up [-]; the first that will do."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A view, the words over it, and of a detail its middle (x, r) on the part [mm]."""

    view: View
    caption: str = ""
    centre: Point = (0.0, 0.0)

    def box(self) -> Box:
        """Rectangle round the view and its words [mm]."""
        box = self.view.box()
        if not self.caption:
            return box
        words = self._words().box()
        return Box(min(box.left, words.left), box.low, max(box.right, words.right), words.high)

    def size(self) -> tuple[float, float]:
        """Width and height of that [mm]."""
        box = self.box()
        return box.right - box.left, box.high - box.low

    def _words(self) -> Item:
        box = self.view.box()
        middle = ((box.left + box.right) / 2.0, box.high + _CAPTION / 2.0)
        return centred(self.caption, middle, _CAPTION_SIZE, bold=True)

    def items(self, left: float, low: float) -> tuple[Item, ...]:
        """Everything, with the lower left corner of the box at a place [mm]."""
        box = self.box()
        items = (*self.view.items(), *((self._words(),) if self.caption else ()))
        return tuple(item.placed(left - box.left, low - box.low) for item in items)


Placed: TypeAlias = tuple[Shown, float, float]
"""A view and where the lower left corner of its box stands [mm]."""


def arranged(whole: Shown, details: Sequence[Shown], window: Box) -> tuple[Placed, ...] | None:
    """Place the views in a window.

    Args:
        whole: the whole part, which stands in the middle where that leaves room for the details.
        details: its details, each as near to its place on the part as there is room.
        window: what they must stay in [mm].

    Returns:
        Each view with its place, or None where they do not go together.
    """
    wide, high = whole.size()
    spare = (window.right - window.left - wide, window.high - window.low - high)
    if min(spare) < 0.0:
        return None
    if not details:
        return ((whole, window.left + spare[0] / 2.0, window.low + spare[1] / 2.0),)
    taken = _taken(whole)
    for across, up in _SHARES:
        # Whole millimetres, so that what the whole part takes stays on the squares of the page.
        column, row = math.floor(across * spare[0]), math.floor(up * spare[1])
        page = np.zeros((math.floor(wide + spare[0]) + 1, math.floor(high + spare[1]) + 1), dtype=bool)
        page[column : column + taken.shape[0], row : row + taken.shape[1]] |= taken[
            : page.shape[0] - column, : page.shape[1] - row
        ]
        if found := _beside(whole, details, window, page[:-1, :-1], (column, row)):
            return ((whole, window.left + column, window.low + row), *found)
    return None


def _beside(
    whole: Shown, details: Sequence[Shown], window: Box, taken: NDArray[np.bool_], corner: tuple[int, int]
) -> list[Placed]:
    """Places for the details beside the whole part, which stands at a corner [mm]; none where one has no place."""
    box = whole.box()
    placed: list[Placed] = []
    for one in details:
        wide, high = (math.ceil(side) for side in one.size())
        free = _free(taken, wide, high)
        if not len(free):
            return []
        ring = np.array(one.centre) * whole.view.scale - np.array([box.left, box.low]) + np.array(corner)
        away = np.hypot(*(free + np.array([wide, high]) / 2.0 - ring).T)
        column, row = (int(number) for number in free[int(np.argmin(away))])
        placed.append((one, window.left + column, window.low + row))
        taken[column : column + wide, row : row + high] = True
    return placed


def _taken(whole: Shown) -> NDArray[np.bool_]:
    """Square millimetres of its box, by column and row, that the whole part and its dimensions take."""
    box = whole.box()
    taken = np.zeros((math.ceil(box.right - box.left) + 1, math.ceil(box.high - box.low) + 1), dtype=bool)

    def cells(left: float, low: float, right: float, high: float) -> tuple[slice, slice]:
        columns = slice(math.floor(left - box.left), math.floor(right - box.left) + 1)
        return columns, slice(math.floor(low - box.low), math.floor(high - box.low) + 1)

    for item in whole.view.items(hatching=False):
        if not isinstance(item, Trace):
            taken[cells(*item.box())] = True
            continue
        for x, y in dotted(item.pieces).tolist():
            # The inside of the part is no place for a detail, wide as it may be.
            foot = 0.0 if item.pen == Pen.CUT else y
            taken[cells(x, min(y, foot), x, max(y, foot))] = True
    return taken


def _free(taken: NDArray[np.bool_], wide: int, high: int) -> NDArray[np.intp]:
    """Lower left corners (n, 2) at which so many columns and rows are free, with room round them."""
    gap = math.ceil(BETWEEN)
    padded = np.pad(taken, gap)
    sums = np.pad(padded.astype(int).cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))
    w, h = wide + 2 * gap, high + 2 * gap
    if w > padded.shape[0] or h > padded.shape[1]:
        return np.empty((0, 2), dtype=np.intp)
    held = sums[w:, h:] - sums[:-w, h:] - sums[w:, :-h] + sums[:-w, :-h]
    return np.argwhere(held == 0)
