"""A drag coefficient against speed, with the motor burning and without, on one stated reference area."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from ..parts.errors import PartError


@dataclass(frozen=True, slots=True)
class DragCurve:
    """Straight lines between stated speeds, level before the first and after the last.

    Attributes:
        reference_area: area that the coefficients refer to [mm2].
        speeds: rising speeds [m/s].
        powered: coefficient at each speed while the motor burns [-].
        coasting: coefficient at each speed after burnout [-].
        source: where the coefficients come from, in words.
        notes: what is outside a stated range.

    Raises:
        PartError: an area that is not above 0, speeds that do not rise, or a coefficient below 0 or not finite.
    """

    reference_area: float
    speeds: tuple[float, ...]
    powered: tuple[float, ...]
    coasting: tuple[float, ...]
    source: str
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not 0.0 < self.reference_area < math.inf:
            raise PartError(f"reference_area: must be above 0 mm2, got {self.reference_area:g} mm2")
        if not self.speeds or not len(self.speeds) == len(self.powered) == len(self.coasting):
            raise PartError("speeds: each speed needs a coefficient with and without thrust")
        if any(not first < second for first, second in zip(self.speeds, self.speeds[1:], strict=False)):
            raise PartError("speeds: must rise")
        for value in (*self.powered, *self.coasting):
            if not 0.0 <= value < math.inf:
                raise PartError(f"drag coefficient: must be 0 or more, got {value:g}")

    def coefficient(self, speed: float, burning: bool) -> float:
        """Drag coefficient at a speed [-].

        Args:
            speed: speed through the air [m/s], 0 or more.
            burning: whether the motor burns.
        """
        return _between(self.speeds, self.powered if burning else self.coasting, speed)

    def scaled(self, factor: float) -> DragCurve:
        """The curve with all coefficients times a factor, for bands.

        Raises:
            PartError: a factor below 0.
        """
        powered, coasting = ([factor * value for value in some] for some in (self.powered, self.coasting))
        return DragCurve(self.reference_area, self.speeds, tuple(powered), tuple(coasting), self.source, self.notes)


def stated_drag(coefficient: float, reference_area: float, source: str) -> DragCurve:
    """A measured or known coefficient, the same at every speed, with thrust and without.

    Args:
        coefficient: drag coefficient [-], 0 or more.
        reference_area: area that it refers to [mm2], above 0.
        source: who says so.

    Raises:
        PartError: a value out of its range.
    """
    return DragCurve(reference_area, (0.0,), (coefficient,), (coefficient,), source)


def _between(places: Sequence[float], values: Sequence[float], at: float) -> float:
    """Plain floats, because a flight asks for thousands of them one at a time."""
    index = bisect_right(places, at)
    if index == 0:
        return values[0]
    if index == len(places):
        return values[-1]
    share = (at - places[index - 1]) / (places[index] - places[index - 1])
    return values[index - 1] + share * (values[index] - values[index - 1])
