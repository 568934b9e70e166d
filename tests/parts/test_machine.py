"""Machines: their bounds, what they do to a part, and gauges that find a machine's hidden errors."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ferrule.parts.errors import PartError
from ferrule.parts.fingerprint import canonical
from ferrule.parts.machine import Amount, Compensation, Cutter, Printer, compensation, fed_back, typical
from ferrule.parts.tables import materials

BED = {"width": 250.0, "depth": 250.0, "height": 340.0}


def test_nothing_is_assumed() -> None:
    printer, cutter = Printer("tall", **BED), Cutter("laser", 600.0, 300.0)
    assert compensation(printer, "petg") == Compensation("tall", "petg", 0.0, 0.0, None)
    assert compensation(printer, "petg").nothing
    assert compensation(cutter, "petg").nothing


def test_what_is_done_undoes_what_the_machine_does() -> None:
    printer = Printer("tall", **BED, outside=0.1, hole=0.15, shrinkage={"petg": 0.003})
    assert compensation(printer, "petg") == Compensation("tall", "petg", -0.1, 0.15, 0.003)
    assert compensation(printer, "pla") == Compensation("tall", "pla", -0.1, 0.15, None)
    cutter = Cutter("laser", 600.0, 300.0, 0.2, {"birch-plywood": 0.15})
    assert compensation(cutter, "birch-plywood") == Compensation("laser", "birch-plywood", 0.075, -0.075, kerf=0.15)
    assert compensation(cutter, None) == Compensation("laser", None, 0.1, -0.1, kerf=0.2)


def test_equal_machines_are_one_value() -> None:
    first = Printer("tall", **BED, shrinkage={"petg": 0.003, "abs": 0.006})
    second = Printer("tall", **BED, shrinkage={"abs": 0.006, "petg": 0.003})
    assert first == second
    assert hash(first) == hash(second)
    assert canonical(first) == canonical(second)
    assert canonical(compensation(first, "petg")) != canonical(compensation(first, "abs"))


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"width": 0.0}, "width: of tall must be above 0 mm, at most 5000 mm, got 0 mm"),
        ({"height": 6000.0}, "height: .* at most 5000 mm, got 6000 mm"),
        ({"depth": math.nan}, "depth: "),
        ({"nozzle": 0.0}, "nozzle: .* above 0 mm"),
        ({"outside": 1.2}, "outside: .* at least -1 mm, at most 1 mm, got 1.2 mm"),
        ({"hole": -1.2}, "hole: "),
        ({"shrinkage": {"petg": 0.3}}, "shrinkage.petg: of tall must be at least -0.02, at most 0.05, got 0.3"),
    ],
)
def test_bounds_of_a_printer(values: dict[str, Any], message: str) -> None:
    with pytest.raises(PartError, match=message):
        Printer("tall", **{**BED, **values})


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"width": -1.0}, "width: of laser"),
        ({"kerf": -0.1}, "kerf: of laser must be at least 0 mm"),
        ({"kerf_for": {"acrylic": 9.0}}, "kerf_for.acrylic: "),
    ],
)
def test_bounds_of_a_cutter(values: dict[str, Any], message: str) -> None:
    with pytest.raises(PartError, match=message):
        Cutter("laser", **{"width": 600.0, "depth": 300.0, **values})


def test_typical_values_are_within_the_bounds_and_marked() -> None:
    rows = typical()
    assert {row.field for row in rows} == {"shrinkage", "hole", "kerf"}
    for row in rows:
        assert 0.0 < row.low <= row.high
        assert row.mark == "common practice"
        if row.field == "shrinkage":
            assert row.of in materials()
            Printer("tall", **BED, shrinkage={row.of: row.high})
        elif row.field == "hole":
            Printer("tall", **BED, hole=row.high)
        else:
            Cutter("laser", 600.0, 300.0, row.high)


# --- gauges -----------------------------------------------------------------------------------------------------------

MACHINES: dict[tuple[Amount, str], float] = {
    ("outside", "plug"): 2.0,
    ("hole", "opening"): -2.0,
    ("kerf", "plug"): -1.0,
    ("kerf", "opening"): 1.0,
}


def tried(amount: Amount, gauge: str, true: float, now: float, wanted: float) -> float:
    """The size that fits, of a set made by a machine of a hidden error.

    A plug printed with faces `true` too far out and drawn with them `now` further in is 2 (true - now) too large; an
    opening is as much too small; a plug cut by a beam is narrower by what the beam is wider than thought, an opening
    wider.
    """
    set_ = [round(wanted + 0.1 * k, 6) for k in range(-30, 31)]
    made = {size: size + MACHINES[amount, gauge] * (true - now) for size in set_}
    if gauge == "plug":
        return max(size for size in set_ if made[size] <= wanted)
    return min(size for size in set_ if made[size] >= wanted)


@given(st.sampled_from(tuple(MACHINES)), st.floats(-0.45, 0.45), st.floats(8.0, 80.0))
def test_two_rounds_find_a_hidden_error(kind: tuple[Amount, str], error: float, wanted: float) -> None:
    amount, gauge = kind
    true = abs(error) if amount == "kerf" else error
    # A kerf is shared by two sides, so its own error may be twice that of a side.
    near = 0.04 if amount == "kerf" else 0.02
    now, known = 0.0, None
    for _ in range(2):
        fitted = tried(amount, gauge, true, now, wanted)
        found = fed_back(amount, now, wanted, fitted, gauge if amount == "kerf" else None, known=known)  # type: ignore[arg-type]
        assert found.low - 1e-9 <= true <= found.high + 1e-9
        now, known = found.value, (found.low, found.high)
    assert abs(now - true) <= near + 1e-9
    assert found.within <= near + 1e-9


@given(st.sampled_from(tuple(MACHINES)), st.floats(0.0, 0.45), st.floats(8.0, 80.0))
def test_one_round_halves_a_step(kind: tuple[Amount, str], true: float, wanted: float) -> None:
    amount, gauge = kind
    found = fed_back(amount, 0.0, wanted, tried(amount, gauge, true, 0.0, wanted), gauge)  # type: ignore[arg-type]
    assert abs(found.value - true) <= (0.055 if amount == "kerf" else 0.03) + 1e-9
    assert found.value == round(found.value, 2)


def test_a_machine_that_has_changed_is_measured_anew() -> None:
    found = fed_back("outside", 0.1, 20.0, 19.6, known=(0.08, 0.12))
    assert (found.low, found.high) == pytest.approx((0.25, 0.3))


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"amount": "kerf"}, "gauge: kerf needs to know whether plugs or openings were cut"),
        ({"amount": "hole", "gauge": "plug"}, "gauge: hole is measured with openings"),
        ({"amount": "outside", "gauge": "opening"}, "gauge: outside is measured with plugs"),
        ({"wanted": 0.0}, "wanted: must be above 0 mm"),
        ({"fitted": -1.0}, "fitted: must be above 0 mm"),
        ({"step": math.inf}, "step: must be above 0 mm"),
        ({"fitted": 12.0}, "outside: the gauge of 12 mm for 20 mm makes it 3.95 to 4 mm, which is not from -1 to 1 mm"),
    ],
)
def test_bad_gauges(values: dict[str, Any], message: str) -> None:
    with pytest.raises(PartError, match=message):
        fed_back(**{"amount": "outside", "now": 0.0, "wanted": 20.0, "fitted": 20.0, **values})
