"""The balance through the burn, against the sum of rocket, case and propellant at its own station by hand."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rocket_samples import rocket

from ferrule.analysis.loading import Loading, loadings
from ferrule.analysis.motor import Motor
from ferrule.analysis.through_burn import BurnStep, through_burn
from ferrule.parts.errors import PartError


def ends(motor: Motor, masses: tuple[float | None, ...] = (100.0, 200.0, 105.0, 500.0)) -> tuple[Loading, Loading]:
    _, liftoff, burnout = loadings(rocket(4, masses), (motor,))
    return liftoff, burnout


def test_the_sum_by_hand() -> None:
    """Case of 95 g with its middle at 805 mm; 85 g of propellant at (180 x 820 - 95 x 805) / 85 = 836.76 mm."""
    motor = Motor("M", 29.0, 200.0, 180.0, 95.0, 905.0, loaded_cg=115.0)
    steps = through_burn(*ends(motor), 5)
    propellant = (180.0 * 820.0 - 95.0 * 805.0) / 85.0
    bare = loadings(rocket(4), ())[0].mass
    assert bare is not None
    assert [step.burnt for step in steps] == pytest.approx([0.0, 0.2, 0.4, 0.6, 0.8, 1.0])
    for step in steps:
        left = 85.0 * (1.0 - step.burnt)
        mass = bare.mass + 95.0 + left
        assert step.mass == pytest.approx(mass, rel=1e-12)
        moment = bare.mass * bare.cg[0] + 95.0 * 805.0 + left * propellant
        assert step.cg == pytest.approx(moment / mass, rel=1e-12)


MOTORS = st.builds(
    lambda length, loaded, share, aft, first, second: Motor(
        "M", 29.0, length, loaded, loaded * share, aft, loaded_cg=first * length, empty_cg=second * length
    ),
    st.floats(50.0, 600.0),
    st.floats(10.0, 5000.0),
    st.floats(0.05, 0.95),
    st.floats(0.0, 1500.0),
    st.floats(0.0, 1.0),
    st.floats(0.0, 1.0),
)


@given(MOTORS, st.integers(1, 12))
def test_no_moment_of_the_burn_is_worse_than_both_its_ends(motor: Motor, count: int) -> None:
    """So the checks of both ends are checks of the whole burn, wherever the propellant lies, ahead of the rest too."""
    liftoff, burnout = ends(motor)
    steps = through_burn(liftoff, burnout, count)
    for step, loading in ((steps[0], liftoff), (steps[-1], burnout)):
        assert loading.mass is not None
        assert (step.mass, step.cg) == (pytest.approx(loading.mass.mass), pytest.approx(loading.mass.cg[0]))
        assert step.margin == pytest.approx(loading.margin)
        assert step.margin_calibres == pytest.approx(loading.margin_calibres)
        assert step.margin_percent == pytest.approx(loading.margin_percent)
    margins = [step.margin for step in steps if step.margin is not None]
    assert len(margins) == count + 1
    rises = [after - before for before, after in pairwise(margins)]
    assert all(rise >= -1e-9 for rise in rises) or all(rise <= 1e-9 for rise in rises)


def test_nothing_is_said_while_a_mass_is_not_stated() -> None:
    motor = Motor("M", 29.0, 200.0, 180.0, 95.0, 905.0)
    assert through_burn(*ends(motor, (100.0, None, 105.0, 500.0))) == ()


def test_a_rocket_without_a_body_balances_and_has_no_margin() -> None:
    motor = Motor("M", 29.0, 200.0, 180.0, 95.0, 905.0)
    bare = rocket()
    _, liftoff, burnout = loadings(type(bare)("weight", bare.items[3:]), (motor,))
    first: BurnStep = through_burn(liftoff, burnout)[0]
    assert (first.mass, first.margin, first.margin_calibres, first.margin_percent) == (680.0, None, None, None)


def test_no_step_is_refused() -> None:
    with pytest.raises(PartError, match="steps: must be 1 or more, got 0"):
        through_burn(*ends(Motor("M", 29.0, 200.0, 180.0, 95.0, 905.0)), 0)
