"""What a balance test of the rocket found and no part explains, kept in a rocket that is changed on paper."""

from __future__ import annotations

from dataclasses import replace

from ..analysis.balance_test import BalanceTest, predicted_properties
from .design import Design


def with_unexplained(design: Design, before: Design) -> Design:
    """A changed design, as if it had been balanced: as the one before it, plus what the change does by the parts.

    Without this a change of a measured rocket would be told with the step from measured to predicted in it.

    Args:
        design: the design with a change.
        before: the design that it was made from, whose balance tests count.

    Returns:
        The design itself where the one before was not balanced, or its mass by the parts is not known.

    Raises:
        PartError: less than nothing would be left of it.
    """
    used = [test for test in before.balances if test.is_current]
    moved = [found for test in used if (found := _moved(test, design, before)) is not None]
    return replace(design, balances=tuple(moved)) if moved else design


def _moved(test: BalanceTest, design: Design, before: Design) -> BalanceTest | None:
    old, new = (
        predicted_properties(one.rocket, next((motor for motor in one.motors if motor.name == test.motor), None))
        for one in (before, design)
    )
    if old is None or new is None:
        return None
    mass = test.mass + new.mass - old.mass
    moment = test.mass * test.cg + new.mass * new.cg[0] - old.mass * old.cg[0]
    return BalanceTest(mass, moment / mass if mass else 0.0, test.motor)
