"""Nesting, held to shapely on fine polygons of the true outlines, and to sums that can be done by hand.

The polygons here follow the true outlines with many points; those that the nester works with hold them with few.
"""

from __future__ import annotations

import importlib.util
import math
import subprocess
import sys
from itertools import combinations

import numpy as np
import pytest
import shapely
import shapely.affinity
from cut_samples import SAMPLES, outlines
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from shapely import Polygon

from ferrule.parts.curve import EllipseArc, Line, Point
from ferrule.parts.errors import FerruleError, PartError
from ferrule.parts.nesting import bottom_left, dense
from ferrule.parts.nesting.around import NEAR, containing
from ferrule.parts.nesting.convex import convex_parts, convex_sum, disc, no_fit
from ferrule.parts.nesting.nest import nest
from ferrule.parts.nesting.pieces import Laid, Nest, NestedSheet, NestPiece, SheetStock
from ferrule.parts.shape import Outline, circle, edges, hole, polygon

PLY = "birch-plywood"
ROUNDING = 1e-6
"""What coordinates of hundreds of millimetres may come short of a gap [mm]."""


@pytest.fixture(autouse=True)
def few_orders(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whether places hold does not hang on how many orders are tried; how dense they are is for tests/bench."""
    monkeypatch.setattr(bottom_left, "WORK", 300)


def ring(outside: float, inside: float) -> Outline:
    return Outline(circle(outside / 2.0), (hole(inside / 2.0),))


def plate(long: float, high: float) -> Outline:
    return Outline(polygon(((0.0, 0.0), (long, 0.0), (long, high), (0.0, high))))


FIN = Outline(polygon(((0.0, 0.0), (15.0, 0.0), (15.0, -18.0), (105.0, -18.0), (105.0, 0.0), (120.0, 0.0),
                       (110.0, 58.0), (50.0, 58.0))))  # fmt: skip
FIN_GRAIN = math.atan2(58.0, 50.0)
"""Along the leading edge, from (0, 0) to (50, 58) mm."""

ELLIPTIC = Outline(edges((Line((0.0, 0.0), (120.0, 0.0)), EllipseArc((60.0, 0.0), 60.0, 70.0, 0.0, math.pi))))


def piece(name: str, outline: Outline, count: int = 1, grain: float | None = None, thickness: float = 6.0) -> NestPiece:
    return NestPiece(name, outline, PLY, thickness, count, grain)


def sheet(length: float = 300.0, width: float = 300.0, **more: object) -> SheetStock:
    return SheetStock(**{"name": "ply", "material": PLY, "thickness": 6.0, "width": width, "length": length} | more)  # type: ignore[arg-type]


def fine(outline: Outline) -> Polygon:
    """Four hundred points on each curve: a chord of a radius of 100 mm is off it by less than 0.001 mm."""

    def points(loop: object) -> np.ndarray:
        t = np.linspace(0.0, 1.0, 401)[:-1]
        return np.vstack([edge.piece.at(t[:1] if isinstance(edge.piece, Line) else t) for edge in loop])  # type: ignore[attr-defined]

    return Polygon(points(outline.outer), [points(one) for one in outline.holes])


def check(one: NestedSheet, slack: float = 2e-3) -> None:
    """Pieces lie on the sheet inside its margins and keep their gap, by fine polygons; `slack` is for their chords."""
    stock = one.stock
    room = shapely.box(stock.margin, stock.margin, stock.length - stock.margin, stock.width - stock.margin).buffer(
        ROUNDING
    )
    found = [fine(laid.outline()) for laid in one.laid]
    for polygon_ in found:
        assert room.covers(polygon_)
    for first, second in combinations(found, 2):
        assert first.distance(second) >= stock.gap - slack
    ends = max(polygon_.bounds[2] for polygon_ in found)
    assert one.used == pytest.approx(ends + stock.margin, abs=1e-3)


def check_all(found: Nest, pieces: list[NestPiece]) -> None:
    for one in found.sheets:
        check(one)
    laid: dict[str, list[int]] = {}
    for one in found.sheets:
        for place in one.laid:
            laid.setdefault(place.piece.name, []).append(place.number)
    missing = {one.piece.name: one.count for one in found.not_placed}
    for one_ in pieces:
        numbers = laid.get(one_.name, [])
        assert sorted(numbers) == list(range(1, one_.count - missing.get(one_.name, 0) + 1))


# Polygons that hold outlines


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("turn", [0.0, 0.7])
def test_the_polygon_holds_the_outline_and_is_near_it(name: str, turn: float) -> None:
    outline = SAMPLES[name].placed(0.0, 0.0, turn)
    found, true = containing(SAMPLES[name], turn), fine(outline)
    assert found.buffer(1e-9).covers(true)
    assert shapely.hausdorff_distance(found, true, 0.05) <= NEAR * 2.0  # a mitred corner of 60 degrees is twice as far
    assert found.area - true.area <= NEAR * true.length
    assert len(found.exterior.coords) < 250


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(outline=outlines())
def test_the_polygon_holds_random_outlines(outline: Outline) -> None:
    true = fine(outline)
    assume(true.is_valid)  # edges that bulge may cross their neighbours
    found = containing(outline)
    assert shapely.difference(true, found).area <= 1e-9
    assert found.area - true.area <= NEAR * true.length


def test_an_outline_that_crosses_itself_is_refused() -> None:
    bow = Outline(polygon(((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (20.0, -20.0))))
    with pytest.raises(PartError, match="bow: outline: it crosses or touches itself"):
        nest([piece("bow", bow)], [sheet()])


# Sums of polygons


@settings(max_examples=50, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=3, max_size=12),
    st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=3, max_size=12),
)
def test_the_sum_of_convex_polygons_is_the_hull_of_all_sums_of_corners(one: list[Point], other: list[Point]) -> None:
    """Which is what the Minkowski sum of convex sets is."""
    hulls = [shapely.orient_polygons(shapely.MultiPoint(points).convex_hull) for points in (one, other)]
    if any(hull.area < 1.0 for hull in hulls):
        return
    a, b = (np.array(hull.exterior.coords)[:-1] for hull in hulls)
    every = shapely.MultiPoint((a[:, None] + b[None]).reshape(-1, 2)).convex_hull
    found = Polygon(convex_sum(a, b))
    assert found.area == pytest.approx(every.area, rel=1e-9)
    assert shapely.symmetric_difference(found, every).area <= 1e-6 * every.area


@pytest.mark.parametrize("outline", [ring(98.0, 54.0), FIN, ELLIPTIC, SAMPLES["slotted"], SAMPLES["oval"]])
def test_convex_parts_are_convex_and_together_the_polygon(outline: Outline) -> None:
    whole = containing(outline)
    parts = [Polygon(points) for points in convex_parts(whole)]
    assert all(part.convex_hull.area == pytest.approx(part.area, rel=1e-6) for part in parts)
    assert sum(part.area for part in parts) == pytest.approx(whole.area, rel=1e-5)
    assert shapely.symmetric_difference(shapely.union_all(parts), whole).area <= 1e-5 * whole.area


def test_the_disc_of_a_gap_holds_it() -> None:
    found = Polygon(disc(4.0))
    assert found.covers(shapely.Point(0.0, 0.0).buffer(4.0, 256))
    assert max(math.hypot(x, y) for x, y in found.exterior.coords) <= 4.0 * 1.0087


def test_squares_keep_a_gap_by_hand() -> None:
    """A square of 10 mm beside one of 20 mm: their origins are 20 + 4 mm apart to the right, 10 + 4 mm to the left."""
    twenty, ten = (np.array([(0.0, 0.0), (s, 0.0), (s, s), (0.0, s)]) for s in (20.0, 10.0))
    closed = no_fit([twenty], [ten], 4.0)
    assert closed.bounds == pytest.approx((-14.0, -14.0, 24.0, 24.0), abs=0.04)
    assert closed.contains(shapely.Point(23.9, 5.0))
    assert not closed.contains(shapely.Point(24.1, 5.0))


# Nests


def test_rings_and_fins_keep_their_gap_on_as_many_sheets_as_it_takes() -> None:
    sizes = [(98, 54), (98, 54), (98, 38), (75, 38), (75, 29), (54, 29), (54, 24)]
    pieces = [piece(f"ring {number}", ring(*size)) for number, size in enumerate(sizes, 1)]
    pieces += [piece("fin", FIN, 4, FIN_GRAIN), piece("elliptic", ELLIPTIC, 2), piece("leaf", SAMPLES["leaf"])]
    found = nest(pieces, [sheet(grain="length")])
    check_all(found, pieces)
    assert not found.not_placed
    assert [(one.number, one.count) for one in found.sheets] == [(1, 2), (2, 2)]
    # Their areas by hand: rings pi (R2 - r2), the fin a trapezoid on a tab, half an ellipse.
    rings = sum(math.pi * (a * a - b * b) / 4.0 for a, b in sizes)
    fins = 4.0 * ((120.0 + 60.0) / 2.0 * 58.0 + 90.0 * 18.0) + 2.0 * math.pi * 60.0 * 70.0 / 2.0
    leaf = NestPiece("leaf", SAMPLES["leaf"], PLY, 6.0).area
    assert sum(one.area_of_parts for one in found.sheets) == pytest.approx(rings + fins + leaf, rel=1e-9)


def test_a_small_disc_goes_into_the_hole_of_a_ring_and_is_cut_first() -> None:
    pieces = [piece("ring", ring(100.0, 70.0)), piece("disc", Outline(circle(20.0)))]
    found = nest(pieces, [sheet()])
    (one,) = found.sheets
    check(one)
    inner, outer = one.laid
    assert (inner.piece.name, outer.piece.name) == ("disc", "ring")
    apart = math.dist((inner.x, inner.y), (outer.x, outer.y))
    assert 35.0 - 20.0 - apart >= 4.0
    assert one.used == pytest.approx(110.0, abs=1e-6)


def test_a_disc_that_does_not_go_into_the_hole_with_its_gap_lies_beside_the_ring() -> None:
    """A disc of 62.2 mm in a hole of 70 mm leaves 3.9 mm all round, and the gap is 4 mm."""
    found = nest([piece("ring", ring(100.0, 70.0)), piece("disc", Outline(circle(31.1)))], [sheet()])
    (one,) = found.sheets
    check(one)
    first, second = one.laid
    assert math.dist((first.x, first.y), (second.x, second.y)) >= 50.0 + 31.1 + 4.0


def direction(laid: Laid) -> float:
    """Direction of the leading edge on the sheet [rad], within half a turn, from the outline as it lies."""
    ends = [edge.piece for edge in laid.outline().outer][-1]
    return math.remainder(math.atan2(ends.end[1] - ends.start[1], ends.end[0] - ends.start[0]), math.pi)


@pytest.mark.parametrize(("grain", "along"), [("length", 0.0), ("width", math.pi / 2.0), (None, 0.0)])
def test_fins_lie_with_their_leading_edge_along_the_grain(grain: str | None, along: float) -> None:
    found = nest([piece("fin", FIN, 4, FIN_GRAIN)], [sheet(450.0, 300.0, grain=grain)])
    (one,) = found.sheets
    check(one)
    for laid in one.laid:
        assert abs(math.remainder(direction(laid) - along, math.pi)) <= 1e-9


def test_a_piece_as_large_as_the_room_lies_in_its_one_place() -> None:
    found = nest([piece("plate", plate(290.0, 190.0))], [sheet(300.0, 200.0)])
    (laid,) = found.sheets[0].laid
    assert laid.outline().box() == pytest.approx((5.0, 5.0, 295.0, 195.0), abs=1e-9)
    assert nest([piece("plate", plate(290.01, 190.0))], [sheet(300.0, 200.0)]).not_placed


def test_figures_by_hand() -> None:
    """100 x 50 mm upright in a corner of 200 x 120 mm with 5 mm margins: a strip of 60 mm is used."""
    (one,) = nest([piece("plate", plate(100.0, 50.0))], [sheet(200.0, 120.0)]).sheets
    assert one.used == pytest.approx(60.0, abs=1e-6)
    assert one.utilisation == pytest.approx(5000.0 / 24000.0)
    assert one.strip_utilisation == pytest.approx(5000.0 / (60.0 * 120.0))
    assert one.rest == pytest.approx((140.0, 120.0), abs=1e-6)


@settings(max_examples=5, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    some=st.lists(outlines(), min_size=2, max_size=3),
    gap=st.floats(0.0, 8.0),
    margin=st.floats(0.0, 12.0),
    grain=st.one_of(st.none(), st.floats(-4.0, 4.0)),
)
def test_random_plates_never_meet(some: list[Outline], gap: float, margin: float, grain: float | None) -> None:
    assume(all(fine(one).is_valid for one in some))  # edges that bulge may cross their neighbours
    pieces = [piece(f"plate {number}", one, 1, grain) for number, one in enumerate(some)]
    pieces.append(piece("disc", Outline(circle(1.5)), 3))
    found = nest(pieces, [sheet(500.0, 420.0, gap=gap, margin=margin)])
    check_all(found, pieces)


def places(found: Nest) -> list[tuple[str, int, float, float, float]]:
    return [(one.piece.name, one.number, one.x, one.y, one.turn) for each in found.sheets for one in each.laid]


MIXED = [piece("ring", ring(98.0, 54.0), 2), piece("disc", Outline(circle(12.0)), 2), piece("fin", FIN, 3, FIN_GRAIN)]


def test_the_same_pieces_lie_the_same_way_in_every_run() -> None:
    first = places(nest(MIXED, [sheet()]))
    assert places(nest(MIXED, [sheet()])) == first
    program = (
        "from ferrule.parts.nesting import bottom_left; bottom_left.WORK = 100; "
        "from ferrule.parts.nesting.nest import nest; from ferrule.parts.nesting.pieces import *; "
        "from ferrule.parts.shape import *; p = lambda n, o, c: NestPiece(n, o, 'ply', 6.0, c); "
        "found = nest([p('ring', Outline(circle(49.0), (hole(27.0),)), 3), p('disc', Outline(circle(12.0)), 2)], "
        "[SheetStock('s', 'ply', 6.0, 300.0, 300.0)]); "
        "print([(one.piece.name, one.x, one.y, one.turn) for each in found.sheets for one in each.laid])"
    )
    runs = {
        subprocess.run(
            [sys.executable, "-c", program],
            env={"PYTHONPATH": ":".join(sys.path), "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(runs) == 1


# Which sheet


def test_pieces_go_on_the_sheets_of_their_material_and_thickness() -> None:
    pieces = [piece("six", plate(50.0, 50.0)), piece("four", plate(50.0, 50.0), thickness=4.0)]
    stocks = [sheet(name="thick", thickness=6.04), sheet(name="thin", thickness=4.0)]
    found = nest(pieces, stocks)
    assert [(one.stock.name, one.laid[0].piece.name) for one in found.sheets] == [("thick", "six"), ("thin", "four")]
    (missing,) = nest(pieces[:1], [sheet(thickness=6.06)]).not_placed
    assert missing.reason == "no [[sheet]] of birch-plywood 6 mm; it needs at least 60 x 60 mm"


def test_what_is_on_no_sheet_is_named_with_the_sheet_that_would_take_it() -> None:
    pieces = [
        piece("ring", ring(58.6, 20.0), thickness=5.0),
        piece("disc", Outline(circle(200.0)), 2),
        NestPiece("guess", plate(10.0, 10.0), None, 6.0),
        piece("fin", FIN.placed(0.0, 0.0, -FIN_GRAIN), grain=0.0, thickness=6.0),
    ]
    found = nest(pieces, [sheet(200.0, 100.0, grain="length")])
    left, low, right, high = shapely.affinity.rotate(fine(FIN), -FIN_GRAIN, (0.0, 0.0), use_radians=True).bounds
    assert (math.ceil(right - left + 10.0), math.ceil(high - low + 10.0)) == (130, 102)
    assert {one.piece.name: (one.count, one.reason) for one in found.not_placed} == {
        "ring": (1, "no [[sheet]] of birch-plywood 5 mm; it needs at least 69 x 69 mm"),
        "disc": (2, "it is larger than any [[sheet]] of birch-plywood 6 mm; it needs at least 410 x 410 mm"),
        "guess": (1, "its material is not stated"),
        "fin": (
            1,
            "it is larger than any [[sheet]] of birch-plywood 6 mm; it needs at least 130 x 102 mm, its grain along "
            "the first",
        ),
    }
    # And such a sheet does take it, a millimetre less does not.
    assert not nest(pieces[:1], [sheet(69.0, 69.0, thickness=5.0)]).not_placed
    assert not nest(pieces[3:], [sheet(130.0, 102.0, grain="length")]).not_placed
    for smaller in (sheet(129.0, 102.0, grain="length"), sheet(130.0, 101.0, grain="length")):
        assert nest(pieces[3:], [smaller]).not_placed


def test_a_limited_stock_is_used_up_and_the_next_one_taken() -> None:
    plates = [piece("plate", plate(90.0, 90.0), 5)]
    small = sheet(100.0, 100.0, name="offcut", quantity=2)
    found = nest(plates, [small, sheet(100.0, 200.0, name="full", quantity=1)])
    assert [(one.stock.name, one.number, one.count, len(one.laid)) for one in found.sheets] == [
        ("offcut", 1, 2, 1),
        ("offcut", 2, 2, 1),
        ("full", 1, 1, 2),
    ]
    (missing,) = found.not_placed
    assert (missing.count, missing.reason) == (
        1,
        "no room is left on the sheets that there are: 2 of 'offcut', 1 of 'full'; one more is needed",
    )


def test_batches_share_no_sheet() -> None:
    apart = [NestPiece(f"plate {name}", plate(50.0, 50.0), PLY, 6.0, batch=name) for name in ("laser", "mill")]
    found = nest(apart, [sheet(quantity=2)])
    assert [(one.batch, one.number, one.count) for one in found.sheets] == [("laser", 1, 1), ("mill", 1, 1)]
    assert nest(apart, [sheet(quantity=1)]).not_placed[0].piece.batch == "mill"


def test_names_are_unique() -> None:
    with pytest.raises(PartError, match="two pieces are called 'plate'"):
        nest([piece("plate", plate(5.0, 5.0)), piece("plate", plate(6.0, 5.0))], [sheet()])
    with pytest.raises(PartError, match="two sheets are called 'ply'"):
        nest([], [sheet(), sheet()])


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"width": 0.0}, "width: of the sheet 'ply' must be above 0 mm"),
        ({"length": math.nan}, "length: of the sheet 'ply' must be above 0 mm"),
        ({"thickness": 6000.0}, "thickness: of the sheet 'ply' must be above 0 mm, at most 5000 mm"),
        ({"gap": -1.0}, "gap: of the sheet 'ply' must be at least 0 mm"),
        ({"margin": 150.0}, "margin: .*at most 100 mm, got 150 mm"),
        ({"margin": 50.0, "width": 100.0}, "margin: 50 mm on every side leaves nothing"),
        ({"quantity": 0}, "quantity: 0 of the sheet 'ply' must be at least 1"),
    ],
)
def test_a_wrong_sheet_is_refused(change: dict[str, object], message: str) -> None:
    with pytest.raises(PartError, match=message):
        sheet(**change)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"count": 0}, "count: 0 of 'p' must be at least 1"),
        ({"thickness": 0.0}, "thickness: 0 mm of 'p' must be above 0 mm"),
        ({"grain": math.inf}, "grain: of 'p' must be a number"),
    ],
)
def test_a_wrong_piece_is_refused(change: dict[str, object], message: str) -> None:
    fields = {"name": "p", "outline": plate(5.0, 5.0), "material": PLY, "thickness": 6.0}
    with pytest.raises(PartError, match=message):
        NestPiece(**(fields | change))  # type: ignore[arg-type]


# Denser


def test_dense_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: None)
    with pytest.raises(FerruleError, match=r"--dense: needs the package spyrrow.*pip install 'ferrule\[nest\]'"):
        nest(MIXED, [sheet()], dense=True)


def test_dense_keeps_gap_margin_and_grain_and_is_never_worse(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("spyrrow", reason="the extra `nest` is not installed")
    monkeypatch.setattr(dense, "SECONDS", 1)
    own, found = nest(MIXED, [sheet(grain="length")]), nest(MIXED, [sheet(grain="length")], dense=True)
    check_all(found, MIXED)
    assert len(found.sheets) == len(own.sheets) == 1
    assert found.sheets[0].used <= own.sheets[0].used + ROUNDING
    fins = [laid for laid in found.sheets[0].laid if laid.piece.name == "fin"]
    assert all(abs(math.remainder(direction(laid), math.pi)) <= 1e-9 for laid in fins)
