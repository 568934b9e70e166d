"""Denser places by `spyrrow`, which packs a strip tighter than piece after piece can; an extra of the package.

It knows no holes, so what lies in a hole stays there with its host. It is seeded and runs on one thread, but it stops
by the clock: two runs may differ a little. What it gives is held to gap and margins before it counts, and is taken only
where it is better.
"""

from __future__ import annotations

import importlib.util
import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING

from shapely import Point, Polygon

from ..errors import FerruleError
from .bottom_left import Filled, Filling, Nester, Spot
from .forms import SLACK, Form
from .pieces import SheetStock

if TYPE_CHECKING:
    from spyrrow import PlacedItem

SECONDS = 10
"""How long one sheet is packed [s]."""

_KEPT = 1e-6
"""By how much rounding may come short of a gap or a margin [mm]."""


def check_installed() -> None:
    """See that the library is there.

    Raises:
        FerruleError: it is not.
    """
    if importlib.util.find_spec("spyrrow") is None:
        raise FerruleError("--dense: needs the package spyrrow, which is not installed: pip install 'ferrule[nest]'")


def denser(nester: Nester, own: Filling) -> tuple[Filling, tuple[bool, ...]]:
    """Sheet after sheet packed tighter, and what then finds room on it moved there from those behind.

    Args:
        nester: the pieces and their sheets.
        own: what the own nester came to.

    Returns:
        The better of both, and for each of its sheets whether it was packed tighter.
    """
    sheets: list[Filled] = []
    tight: list[bool] = []
    rest = own
    while rest.sheets:
        first = rest.sheets[0]
        spots = _packed(first.spots, nester.stocks[first.stock])
        sheet = Filled(first.stock)
        for spot in first.spots if spots is None else spots:
            sheet.add(spot)
        sheets.append(sheet)
        tight.append(spots is not None)
        behind = sorted(
            (spot.index for other in rest.sheets[1:] for spot in other.spots), key=lambda i: (-nester.size(i)[0], i)
        )
        waiting = [index for index in (*behind, *rest.left) if not nester.joins(index, sheet)]
        if len(waiting) == len(behind) + len(rest.left):
            # Nothing moved, so that the sheets behind are what they were.
            rest = Filling(rest.sheets[1:], rest.left)
        else:
            rest = nester.best(waiting, sheets)
    found = Filling(tuple(sheets), rest.left)
    if nester.cost(found) < nester.cost(own):
        return found, tuple(tight)
    return own, (False,) * len(own.sheets)


def _packed(spots: Sequence[Spot], stock: SheetStock) -> list[Spot] | None:
    """The same forms packed as a strip; None where that is not shorter, or not as it has to be."""
    import spyrrow

    hosts = [_host(spot, spots) for spot in spots]
    free = [spot for spot, host in zip(spots, hosts, strict=True) if host is None]
    items = []
    for number, spot in enumerate(free):
        corners = [(float(x), float(y)) for x, y in spot.form.polygon.exterior.coords[:-1]]
        turns = [math.degrees(form.turn - spot.form.turn) % 360.0 for form in _turnable(spot, spots, hosts)]
        items.append(spyrrow.Item(str(number), corners, 1, turns))
    high = stock.width - 2.0 * stock.margin
    config = spyrrow.StripPackingConfig(
        early_termination=True,
        total_computation_time=SECONDS,
        num_workers=1,
        seed=1,
        min_items_separation=stock.gap + 2.0 * SLACK,
    )
    try:
        solved = spyrrow.StripPackingInstance("sheet", high, items).solve(config)
    except ValueError:
        return None
    if solved.width + stock.margin >= max(spot.right for spot in spots) - _KEPT:
        return None
    moved: dict[int, Spot] = {}
    for placed in solved.placed_items:
        spot = free[int(placed.id)]
        moved[spots.index(spot)] = _moved(spot, placed, _turnable(spot, spots, hosts), stock.margin)
    for place, (spot, host) in enumerate(zip(spots, hosts, strict=True)):
        if host is not None:
            outermost = _outermost(host, hosts)
            dx, dy = (getattr(moved[outermost], axis) - getattr(spots[outermost], axis) for axis in ("x", "y"))
            moved[place] = replace(spot, x=spot.x + dx, y=spot.y + dy)
    found = [moved[place] for place in range(len(spots))]
    return found if _holds(found, stock) else None


def _host(spot: Spot, spots: Sequence[Spot]) -> int | None:
    """The place in the list of the piece in whose hole a piece lies; None for one that lies free."""
    inner = Point(spot.x + spot.form.inner[0], spot.y + spot.form.inner[1])
    for place, other in enumerate(spots):
        if other is not spot and Polygon(other.form.at(other.x, other.y).exterior).contains(inner):
            return place
    return None


def _outermost(place: int, hosts: Sequence[int | None]) -> int:
    host = hosts[place]
    return place if host is None else _outermost(host, hosts)


def _turnable(spot: Spot, spots: Sequence[Spot], hosts: Sequence[int | None]) -> tuple[Form, ...]:
    """The forms that a free piece may take: only its own where something lies in its hole, which stays as it is."""
    if any(host is not None and spots[_outermost(host, hosts)] is spot for host in hosts):
        return (spot.form,)
    return spot.others or (spot.form,)


def _moved(spot: Spot, placed: PlacedItem, shapes: Sequence[Form], margin: float) -> Spot:
    turned = math.radians(placed.rotation)
    form = min(shapes, key=lambda one: abs(math.remainder(one.turn - spot.form.turn - turned, math.tau)))
    x, y = placed.translation
    return replace(spot, form=form, x=x + margin, y=y + margin)


def _holds(spots: Sequence[Spot], stock: SheetStock) -> bool:
    """Whether pieces keep to gap and margins."""
    for spot in spots:
        left, foot, right, head = spot.form.box
        if (
            min(spot.x + left, spot.y + foot) < stock.margin - _KEPT
            or spot.x + right > stock.length - stock.margin + _KEPT
            or spot.y + head > stock.width - stock.margin + _KEPT
        ):
            return False
    polygons = [spot.form.at(spot.x, spot.y) for spot in spots]
    return all(one.distance(other) >= stock.gap - _KEPT for one, other in combinations(polygons, 2))
