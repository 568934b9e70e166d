"""A nester of our own: piece after piece goes as far left on the sheet as it may, and there as low.

Where a piece may lie is found exactly (see `convex`), so that the best place is a corner of that region. A hole of a
piece that lies there already comes first, for it is waste otherwise. Several orders are tried, the large pieces first
in all of them, and the best result is kept; no clock takes part, so that the same pieces always lie the same way.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from shapely import Polygon
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from .forms import Form, forms
from .pieces import NestPiece, SheetStock

WORK = 5000
"""How many times a form is laid in all the orders that are tried [-]; large nests are tried in fewer orders."""

FEWEST, MOST = 8, 400
"""Orders that are tried in any case, and at most [-]."""

_GROWN = 1e-6
"""A piece as long as the room on the sheet has one place there; the room is made wider by this [mm] to find it."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A form of a piece in a place.

    Attributes:
        index: index of the piece [-].
        form: how it lies.
        x: place of its outline's origin [mm] ...
        y: ... in the sheet's coordinates [mm].
        in_hole: whether it lies in a hole of another piece.
        others: all forms that it may take there.
    """

    index: int
    form: Form
    x: float
    y: float
    in_hole: bool = False
    others: tuple[Form, ...] = ()

    @property
    def right(self) -> float:
        """Largest x [mm]."""
        return self.x + self.form.box[2]


@dataclass
class Filled:
    """One sheet as it fills up.

    Attributes:
        stock: index of its stock [-].
        spots: what lies on it.
    """

    stock: int
    spots: list[Spot] = field(default_factory=list)
    regions: dict[int, tuple[BaseGeometry, int]] = field(default_factory=dict)
    holes: BaseGeometry | None = None

    @property
    def right(self) -> float:
        """Right end of what lies on it [mm]."""
        return max((spot.right for spot in self.spots), default=0.0)

    def add(self, spot: Spot) -> None:
        """Lay a form down."""
        self.spots.append(spot)
        holes = [translate(hole, spot.x, spot.y) for hole in spot.form.holes]
        if holes:
            self.holes = shapely.union_all([*holes, *([self.holes] if self.holes is not None else [])])
            shapely.prepare(self.holes)

    def best(self, index: int, shapes: Sequence[Form], stock: SheetStock) -> Spot | None:
        """The best place for a piece; None where there is none."""
        found: list[tuple[tuple[float, ...], Spot]] = []
        for number, form in enumerate(shapes):
            region = self._region(form, stock)
            places = shapely.get_coordinates(region) if region is not None else np.empty((0, 2))
            if not len(places):
                continue
            low, high = _room(form, stock)
            places = np.clip(places, low, high)
            right, foot = np.round(places + np.array([form.box[2], form.box[1]]), 6).T
            outside = np.ones(len(places))
            if self.holes is not None:
                outside -= shapely.contains_xy(self.holes, *(places + form.inner).T)
            first = np.lexsort((foot, right, outside))[0]
            key = (float(outside[first]), float(right[first]), float(foot[first]), number)
            x, y = places[first].tolist()
            found.append((key, Spot(index, form, x, y, bool(outside[first] == 0.0))))
        return min(found, key=lambda one: one[0])[1] if found else None

    def _region(self, form: Form, stock: SheetStock) -> BaseGeometry | None:
        """Where the origin of a form may lie; None where it is larger than the room."""
        low, high = _room(form, stock)
        if high[0] < low[0] or high[1] < low[1]:
            return None
        region, known = self.regions.get(id(form), (None, 0))
        if region is None:
            region = shapely.box(low[0] - _GROWN, low[1] - _GROWN, high[0] + _GROWN, high[1] + _GROWN)
        for spot in self.spots[known:]:
            region = shapely.difference(region, translate(spot.form.closed_to(form, stock.gap), spot.x, spot.y))
        self.regions[id(form)] = (region, len(self.spots))
        return region


def _room(form: Form, stock: SheetStock) -> tuple[tuple[float, float], tuple[float, float]]:
    """Smallest and largest place of a form's origin on a sheet [mm]."""
    left, foot, right, head = form.box
    return (
        (stock.margin - left, stock.margin - foot),
        (stock.length - stock.margin - right, stock.width - stock.margin - head),
    )


@dataclass(frozen=True, slots=True)
class Filling:
    """What one order of pieces came to.

    Attributes:
        sheets: the sheets.
        left: indices of the pieces that found no place.
    """

    sheets: tuple[Filled, ...]
    left: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Plan:
    """An order of pieces, and by index the one form that some of them may take."""

    order: tuple[int, ...]
    turned: Mapping[int, int]


@dataclass(frozen=True, slots=True)
class _Tried:
    cost: tuple[float, ...]
    plan: _Plan
    filling: Filling


class Nester:
    """Lays pieces, each once, on sheets of one group.

    Attributes:
        pieces: the pieces.
        stocks: the sheets that there are.
        forms: by index of piece and of stock, how the piece may lie there.
    """

    def __init__(self, pieces: Sequence[NestPiece], stocks: Sequence[SheetStock]) -> None:
        self.pieces, self.stocks = tuple(pieces), tuple(stocks)
        known: dict[tuple[int, float], tuple[Form, ...]] = {}
        self.forms: dict[tuple[int, int], tuple[Form, ...]] = {}
        for number, stock in enumerate(self.stocks):
            for index, piece in enumerate(self.pieces):
                key = (id(piece), stock.grain_turn)
                if key not in known:
                    known[key] = forms(piece, stock)
                self.forms[index, number] = known[key] if stock.serves(piece) else ()
        self._sizes = [self._size(index) for index in range(len(self.pieces))]

    def _size(self, index: int) -> tuple[float, float]:
        form = next(shapes[0] for number in range(len(self.stocks)) if (shapes := self.forms[index, number]))
        left, foot, right, head = form.box
        return Polygon(form.polygon.exterior).area, max(right - left, head - foot)

    def size(self, index: int) -> tuple[float, float]:
        """Area of a piece with its holes filled in [mm2], and its longer side [mm]."""
        return self._sizes[index]

    def best(self, indices: Sequence[int] | None = None, begun: Sequence[Filled] = ()) -> Filling:
        """The best of all orders that are tried: some to begin with, then small changes of the best so far.

        Args:
            indices: indices of the pieces to lay; all where it is not stated.
            begun: sheets that are taken already, and take no more.
        """
        wanted = tuple(range(len(self.pieces))) if indices is None else tuple(indices)
        if not wanted:
            return Filling((), ())
        chance = random.Random(1)  # noqa: S311  a sequence that is the same every time, and no secret
        work = sum(max(len(self.forms[i, number]) for number in range(len(self.stocks))) for i in wanted)
        taken = Counter(sheet.stock for sheet in begun)
        best = min((self._tried(plan, taken) for plan in self._first(wanted, chance)), key=lambda one: one.cost)
        for _ in range(min(WORK // work, MOST) - FEWEST):
            other = self._tried(_changed(best.plan, chance), taken)
            # One as good is taken as well: it leads on to others.
            if other.cost <= best.cost:
                best = other
        return best.filling

    def _tried(self, plan: _Plan, taken: Counter[int]) -> _Tried:
        sheets: list[Filled] = []
        left = [index for index in plan.order if not self._lay(index, sheets, plan.turned.get(index), taken)]
        filling = Filling(tuple(sheets), tuple(left))
        return _Tried(self.cost(filling), plan, filling)

    def _first(self, wanted: Sequence[int], chance: random.Random) -> Iterator[_Plan]:
        """By area, by length, and by either with some chance in it."""
        for turn in range(FEWEST):
            weight = {i: self.size(i)[turn % 2] * (1.0 if turn < 2 else chance.uniform(0.5, 1.5)) for i in wanted}
            yield _Plan(tuple(sorted(wanted, key=lambda i: (-round(weight[i], 3), i))), {})

    def _lay(self, index: int, sheets: list[Filled], form: int | None, taken: Counter[int]) -> bool:
        """Lay a piece on the first sheet that has room for it."""
        if any(self.joins(index, sheet, form) for sheet in sheets):
            return True
        for number, stock in enumerate(self.stocks):
            there = taken[number] + sum(sheet.stock == number for sheet in sheets)
            sheet = Filled(number)
            if (stock.quantity is None or there < stock.quantity) and self.joins(index, sheet, form):
                sheets.append(sheet)
                return True
        return False

    def joins(self, index: int, sheet: Filled, form: int | None = None) -> bool:
        """Lay a piece on a sheet, where it has room for it.

        Args:
            index: index of the piece.
            sheet: the sheet.
            form: number of the only form that the piece may take, counted round; any where it is not stated.
        """
        shapes = self.forms[index, sheet.stock]
        if form is not None and shapes:
            shapes = (shapes[form % len(shapes)],)
        spot = sheet.best(index, shapes, self.stocks[sheet.stock])
        if spot is None:
            return False
        sheet.add(replace(spot, others=self.forms[index, sheet.stock]))
        return True

    def cost(self, filling: Filling) -> tuple[float, ...]:
        """What counts: all pieces placed, little sheet taken, of one sheet a short strip, and holes made use of."""
        left = sum(self.size(index)[0] for index in filling.left)
        taken = sum(self.stocks[sheet.stock].area for sheet in filling.sheets)
        strips = [sheet.right * self.stocks[sheet.stock].width for sheet in filling.sheets]
        free = sum(self.size(spot.index)[0] for sheet in filling.sheets for spot in sheet.spots if not spot.in_hole)
        costs = (left, taken, min(strips, default=0.0), sum(strips), free)
        return tuple(round(cost, 3) for cost in costs)


def _changed(plan: _Plan, chance: random.Random) -> _Plan:
    """Two pieces change places, one goes to another place in the order, or one is laid in one form alone."""
    order, turned = list(plan.order), dict(plan.turned)
    what = chance.random()
    first, second = chance.randrange(len(order)), chance.randrange(len(order))
    if what < 0.4:
        order[first], order[second] = order[second], order[first]
    elif what < 0.7:
        order.insert(second, order.pop(first))
    elif turned.pop(order[first], None) is None:
        turned[order[first]] = chance.randrange(8)
    return _Plan(tuple(order), turned)
