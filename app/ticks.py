"""Round numbers along an axis: steps of 1, 2 or 5 times a power of ten."""

from __future__ import annotations

import math
from dataclasses import dataclass

_STEPS = (1.0, 2.0, 5.0)
_NEAR = 1e-9
"""By how much of a step a value may miss a round number and still count as one [-]."""


@dataclass(frozen=True, slots=True)
class Axis:
    """A scale from one value to another with round numbers on it.

    Attributes:
        low: its first value.
        high: its last value, above the first.
        step: distance of the round numbers.
    """

    low: float
    high: float
    step: float

    @property
    def marks(self) -> tuple[float, ...]:
        """The round numbers on it, rising."""
        first, last = math.ceil(self.low / self.step - _NEAR), math.floor(self.high / self.step + _NEAR)
        return tuple(number * self.step for number in range(first, last + 1))

    def share(self, value: float) -> float:
        """How far along the axis a value lies, from 0 to 1 [-]."""
        return (value - self.low) / (self.high - self.low)

    def words(self, mark: float) -> str:
        """A round number with as many decimals as the steps need."""
        digits = max(0, -math.floor(math.log10(self.step) + _NEAR))
        # Nothing is added to turn a zero with a minus into one without.
        return f"{round(mark, digits) + 0.0:,.{digits}f}"


def within(low: float, high: float, most: int) -> Axis:
    """An axis that ends where the values do, with at most so many steps between its round numbers.

    Args:
        low: first value.
        high: last value; an axis of some length is made where it is not above the first.
        most: most steps, 1 or more [-].

    Example:
        >>> within(0.0, 7.3, 8).marks
        (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0)
    """
    high = _above(low, high)
    return Axis(low, high, _step(high - low, most))


def around(low: float, high: float, most: int) -> Axis:
    """An axis from one round number to another that holds all values between.

    Args:
        low: least value.
        high: greatest value; an axis of some length is made where it is not above the least.
        most: most steps, 2 or more [-].

    Example:
        >>> around(-3.0, 91.0, 6).marks
        (-20.0, 0.0, 20.0, 40.0, 60.0, 80.0, 100.0)
    """
    high = _above(low, high)
    step = _step(high - low, most)
    while True:
        first, last = math.floor(low / step + _NEAR), math.ceil(high / step - _NEAR)
        if last - first <= most:
            return Axis(first * step, max(last, first + 1) * step, step)
        step = _step(step * most * 1.01, most)


def _above(low: float, high: float) -> float:
    """The last value, or one above the first where it is not."""
    least = max(1e-9 * abs(low), 1e-9)
    return high if high - low > least else low + max(abs(low), 1.0)


def _step(length: float, most: int) -> float:
    """Smallest round step that divides a length into at most so many."""
    power = 10.0 ** math.floor(math.log10(length / most))
    return next(step for step in (*(one * power for one in _STEPS), 10.0 * power) if length / step <= most + _NEAR)
