"""Lays pieces on the sheets of their material and thickness, and says what lies on none and why."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from shapely import Point, Polygon

from ..errors import PartError
from .bottom_left import Filling, Nester, Spot
from .dense import check_installed, denser
from .forms import forms
from .pieces import Laid, Nest, NestedSheet, NestPiece, NotPlaced, SheetStock

BOTTOM_LEFT, DENSE = "piece by piece", "by spyrrow"
"""How places were found, in words."""


def nest(pieces: Sequence[NestPiece], sheets: Sequence[SheetStock], dense: bool = False) -> Nest:
    """Lay pieces on sheets.

    A piece goes on sheets of its material whose thickness is its own. No piece comes nearer to another than the gap of
    the sheet, nor to its rim than its margin. One with a grain lies along that of the sheet, or along the sheet's
    length where the sheet's own is not stated. The same input gives the same places.

    Args:
        pieces: what is to be cut.
        sheets: what there is, in the order in which it is taken.
        dense: whether `spyrrow` looks for denser places too; the better of both is taken.

    Raises:
        PartError: two pieces or two sheets have one name, or an outline crosses itself.
        FerruleError: `spyrrow` is asked for and not installed.
    """
    for what, names in (("pieces", [one.name for one in pieces]), ("sheets", [one.name for one in sheets])):
        name, times = max(Counter(names).items(), key=lambda one: one[1], default=("", 0))
        if times > 1:
            raise PartError(f"name: two {what} are called {name!r}")
    if dense:
        check_installed()
    laid: list[NestedSheet] = []
    missing: list[NotPlaced] = []
    taken: Counter[str] = Counter()
    for group in _groups(pieces, sheets):
        reasons = {piece.name: _unplaceable(piece, sheets) for piece in group}
        missing += [NotPlaced(piece, piece.count, reason) for piece in group if (reason := reasons[piece.name])]
        found, full = _laid([piece for piece in group if not reasons[piece.name]], sheets, taken, dense)
        laid += found
        missing += full
        taken.update(sheet.stock.name for sheet in found)
    places = {piece.name: place for place, piece in enumerate(pieces)}
    missing.sort(key=lambda one: places[one.piece.name])
    return Nest(_numbered(laid, sheets), tuple(missing))


def _groups(pieces: Sequence[NestPiece], sheets: Sequence[SheetStock]) -> list[list[NestPiece]]:
    """Pieces of one batch that share sheets, directly or by others between them."""
    groups: list[tuple[str, frozenset[str], list[NestPiece]]] = []
    for piece in pieces:
        names = frozenset(sheet.name for sheet in sheets if sheet.serves(piece))
        joined = [one for one in groups if one[0] == piece.batch and one[1] & names]
        groups = [one for one in groups if one not in joined]
        members = [member for _, _, some in joined for member in some]
        groups.append((piece.batch, names.union(*(one[1] for one in joined)), [*members, piece]))
    return [members for _, _, members in groups]


def _laid(
    pieces: Sequence[NestPiece], sheets: Sequence[SheetStock], taken: Counter[str], dense: bool
) -> tuple[list[NestedSheet], list[NotPlaced]]:
    """The sheets of one group, and what found no room on as many as there are."""
    stocks = [
        stock if stock.quantity is None else replace(stock, quantity=stock.quantity - taken[stock.name])
        for stock in sheets
        if any(stock.serves(piece) for piece in pieces)
        if stock.quantity is None or stock.quantity > taken[stock.name]
    ]
    each = [piece for piece in pieces for _ in range(piece.count)]
    filling, methods = Filling((), tuple(range(len(each)))), list[str]()
    if stocks:
        nester = Nester(each, stocks)
        filling = nester.best()
        methods = [BOTTOM_LEFT] * len(filling.sheets)
        if dense:
            filling, tightened = denser(nester, filling)
            methods = [DENSE if one else BOTTOM_LEFT for one in tightened]
    own = {sheet.name: sheet for sheet in sheets}
    numbers: Counter[str] = Counter()
    found = []
    for sheet, method in zip(filling.sheets, methods, strict=True):
        stock = own[stocks[sheet.stock].name]
        places = []
        for spot in _in_cutting_order(sheet.spots):
            piece = each[spot.index]
            numbers[piece.name] += 1
            places.append(Laid(piece, numbers[piece.name], spot.x, spot.y, spot.form.turn))
        used = min(sheet.right + stock.margin, stock.length)
        found.append(NestedSheet(stock, pieces[0].batch, 1, 1, tuple(places), used, method))
    left = Counter(each[index].name for index in filling.left)
    return found, [NotPlaced(piece, left[piece.name], _full(piece, sheets)) for piece in pieces if left[piece.name]]


def _in_cutting_order(spots: Sequence[Spot]) -> list[Spot]:
    """What lies in a hole of another piece first, for the hole drops out with all that is in it; then from the left."""
    solid = [Polygon(spot.form.at(spot.x, spot.y).exterior) for spot in spots]

    def depth(spot: Spot) -> int:
        inner = Point(spot.x + spot.form.inner[0], spot.y + spot.form.inner[1])
        return sum(other.contains(inner) for other in solid)

    return sorted(
        spots, key=lambda spot: (-depth(spot), round(spot.x + spot.form.box[0], 3), round(spot.y + spot.form.box[1], 3))
    )


def _numbered(laid: Iterable[NestedSheet], sheets: Sequence[SheetStock]) -> tuple[NestedSheet, ...]:
    """Sheets in the order of their stock, each with its number among those of its stock and batch."""
    order = {sheet.name: place for place, sheet in enumerate(sheets)}
    laid = sorted(laid, key=lambda one: (order[one.stock.name], one.batch))
    counts = Counter((one.stock.name, one.batch) for one in laid)
    numbers: Counter[tuple[str, str]] = Counter()
    found = []
    for one in laid:
        key = (one.stock.name, one.batch)
        numbers[key] += 1
        found.append(replace(one, number=numbers[key], count=counts[key]))
    return tuple(found)


# --- what lies on no sheet --------------------------------------------------------------------------------------------


def _unplaceable(piece: NestPiece, sheets: Sequence[SheetStock]) -> str | None:
    """Why a piece goes on no sheet, however empty; None where it goes on one."""
    if piece.material is None:
        return "its material is not stated"
    what = f"{piece.material} {piece.thickness:g} mm"
    serving = [sheet for sheet in sheets if sheet.serves(piece)]
    if not serving:
        return f"no [[sheet]] of {what}; it needs at least {_smallest(piece)}"
    if any(_fits(piece, sheet) for sheet in serving):
        return None
    return f"it is larger than any [[sheet]] of {what}; it needs at least {_smallest(piece, serving[0])}"


def _fits(piece: NestPiece, sheet: SheetStock) -> bool:
    room = (sheet.length - 2.0 * sheet.margin, sheet.width - 2.0 * sheet.margin)
    return any(wide <= room[0] and high <= room[1] for wide, high in _sizes(piece, sheet))


def _sizes(piece: NestPiece, sheet: SheetStock) -> list[tuple[float, float]]:
    """Width and height of a piece in every way in which it may lie on a sheet [mm]."""
    boxes = [form.box for form in forms(piece, sheet)]
    return [(right - left, high - low) for left, low, right, high in boxes]


def _smallest(piece: NestPiece, like: SheetStock | None = None) -> str:
    """The smallest sheet that takes a piece alone, in words."""
    sheet = like or SheetStock("", piece.material or "", piece.thickness, 1000.0, 1000.0, "length")
    whole = [tuple(math.ceil(size + 2.0 * sheet.margin - 1e-9) for size in sizes) for sizes in _sizes(piece, sheet)]
    wide, high = min(whole, key=math.prod)
    if piece.grain is None:
        return f"{wide} x {high} mm"
    return f"{wide} x {high} mm, its grain along {'the second' if sheet.grain == 'width' else 'the first'}"


def _full(piece: NestPiece, sheets: Sequence[SheetStock]) -> str:
    serving = ", ".join(f"{sheet.quantity} of {sheet.name!r}" for sheet in sheets if sheet.serves(piece))
    return f"no room is left on the sheets that there are: {serving}; one more is needed"
