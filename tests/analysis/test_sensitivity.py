"""What a figure gains both ways, and the smallest change that meets conditions, against closed forms.

Each search is over a function whose answer follows by hand: a line, a sine, a linear program of two values. Random
programs are compared with scipy's linear-programming solver, an independent one, which the package itself does without.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from ferrule.analysis.least_change import MOST_TRIALS, Axis, Find, Found, Point, Shortfalls, least_change
from ferrule.analysis.sensitivity import both_ways

SPAN = Axis(58.0, 29.0, 116.0, 58.0, 0.1)
CHORD = Axis(120.0, 60.0, 240.0, 120.0, 0.1)


def one(find: Callable[[float], Shortfalls | None], axis: Axis = SPAN) -> Found:
    return least_change([axis], lambda point: find(point[0]))


def test_both_ways_are_worked_out_by_themselves() -> None:
    """Of x squared at 3 with a step of 1: 16 - 9 and 4 - 9, which a slope of 6 would not give."""
    found = both_ways(lambda x: x**2, 3.0, 1.0, 9.0)
    assert (found.more, found.less) == (7.0, -5.0)
    assert found.largest == 7.0


def test_a_way_that_is_none_says_why_and_one_without_meaning_says_nothing() -> None:
    found = both_ways(lambda x: "wall: too thin" if x < 3.0 else x, 3.0, 1.0, 3.0)
    assert (found.more, found.less, found.reasons) == (1.0, None, ("wall: too thin",))
    assert both_ways(lambda x: x, 0.0, 1.0, 0.0, least=0.0).less is None
    assert both_ways(lambda x: x, 0.0, 1.0, 0.0, least=0.0).reasons == ()


def test_a_line_is_met_at_its_root_rounded_away_from_now() -> None:
    """2 + 0.03 (x - 58) >= 2.5 from x = 74.667 on; on tenths 74.7."""
    found = one(lambda x: (0.5 - 0.03 * (x - 58.0),))
    assert (found.point, found.met) == ((74.7,), True)
    assert found.trials <= 12


def test_what_is_met_already_stays_as_it_is() -> None:
    assert one(lambda x: (x - 60.0,)) == Found((58.0,), True, 1)


def test_the_nearer_of_two_ways_is_taken() -> None:
    """At most 50 or at least 70: 50 is 8 away and 70 is 12."""
    assert one(lambda x: (min(x - 50.0, 70.0 - x),)).point == (50.0,)


def test_equality_is_found_in_a_narrow_window_between_steps() -> None:
    """Sine of x/20 is 0.9 +- 0.0005 at 20 (pi - asin 0.9) = 40.436 +- 0.023, between two tenths."""
    root = 20.0 * (math.pi - math.asin(0.9))
    found = one(lambda x: (0.8995 - math.sin(x / 20.0), math.sin(x / 20.0) - 0.9005))
    assert found.met
    assert found.point[0] == pytest.approx(root, abs=0.024)
    assert found.trials <= 25


def test_where_things_end_is_told_and_the_best_before_it() -> None:
    found = one(lambda x: (100.0 - x,) if x < 72.03 else None)
    assert (found.met, found.point) == (False, (72.0,))
    assert [(edge.last, edge.first) for edge in found.edges] == [(72.0, 72.1)]


def test_an_answer_just_before_the_end_is_found() -> None:
    assert one(lambda x: (71.95 - x,) if x < 72.03 else None).point == (72.0,)


def test_a_bound_and_a_peak_are_the_best_where_nothing_meets() -> None:
    assert one(lambda x: (200.0 - x,)).point == (116.0,)
    assert one(lambda x: (1.0 + ((x - 80.0) / 20.0) ** 2,)).point[0] == pytest.approx(80.0, abs=0.1)


def test_a_count_stays_whole() -> None:
    assert one(lambda x: (17.2 - x,), Axis(3, 0, 40, 3, 1.0, whole=True)).point == (18,)


def test_the_value_that_gains_most_for_its_share_is_taken_first() -> None:
    """A whole of the span gains 1.74, of the chord 1.2: the span alone, to 58 + 1/0.03 = 91.33.

    Bounded, it goes to its bound of 80 and the chord makes up the rest: (1 - 0.66) / 0.01 = 34, to 154.
    """

    def find(point: Point) -> Shortfalls:
        return (1.0 - 0.03 * (point[0] - 58.0) - 0.01 * (point[1] - 120.0),)

    assert least_change([SPAN, CHORD], find).point == (91.4, 120.0)
    bounded = least_change([Axis(58.0, 29.0, 80.0, 58.0, 0.1), CHORD], find)
    assert bounded.point[0] == 80.0
    assert bounded.point[1] == pytest.approx(154.0, abs=0.11)


def test_two_conditions_that_pull_apart_are_met_together() -> None:
    """More span for the margin and thinner fins for the mass; each by itself meets one and misses the other."""

    def find(point: Point) -> Shortfalls:
        span, thick = point[0] - 58.0, point[1] - 4.0
        return (0.5 - 0.03 * span, 0.005 * span + 0.1 * thick)

    found = least_change([SPAN, Axis(4.0, 2.0, 8.0, 4.0, 0.1)], find)
    assert found.met
    # 0.5 / 0.03 = 16.67 of span; 0.005 x 16.67 / 0.1 = 0.83 less thick; rounded so that both hold.
    assert found.point == (pytest.approx(74.7, abs=0.11), pytest.approx(3.1, abs=0.11))


@settings(max_examples=40)
@given(st.data())
def test_linear_programs_cost_what_an_independent_solver_says(data: st.DataObject) -> None:
    count, rows = data.draw(st.integers(2, 3)), data.draw(st.integers(1, 2))
    number = st.floats(-1.0, 1.0).filter(lambda x: abs(x) > 0.05)
    slopes = np.array([[data.draw(number) for _ in range(count)] for _ in range(rows)])
    wanted = np.array([data.draw(st.floats(0.1, 1.0)) for _ in range(rows)])
    axes = [Axis(10.0, 5.0, 20.0, 10.0, 1e-3) for _ in range(count)]

    def find(point: Point) -> Shortfalls:
        return tuple((wanted - slopes @ (np.array(point) - 10.0)).tolist())

    # The change split into more and less, both counted; bounds as those of the axes.
    bounds = [(0.0, 10.0)] * count + [(0.0, 5.0)] * count
    exact = linprog(np.full(2 * count, 0.1), np.hstack([-slopes, slopes]), -wanted, bounds=bounds)
    found = least_change(axes, find)
    assert found.met == exact.success
    if found.met:
        cost = sum(axis.share(value) for axis, value in zip(axes, found.point, strict=True))
        # Rounding to a thousandth adds a thousandth over the scale of 10 for each value.
        assert cost == pytest.approx(exact.fun, abs=1.1e-4 * count * 3)


def test_a_search_ends() -> None:
    """A wild function, and nothing that meets it."""
    axes = [Axis(10.0, 5.0, 20.0, 10.0, 1e-3) for _ in range(4)]
    find: Find = lambda point: (1.5 + math.sin(1e4 * sum(point)), 1.2 + math.cos(3e3 * point[0]))  # noqa: E731
    found = least_change(axes, find)
    assert not found.met
    assert found.trials <= MOST_TRIALS


def test_what_is_no_search_is_refused() -> None:
    with pytest.raises(ValueError, match="1 to 4 values"):
        least_change([], lambda point: point)
    with pytest.raises(ValueError, match="nothing at the present values"):
        least_change([SPAN], lambda point: None if point else ())
