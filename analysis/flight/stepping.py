"""SciPy's Dormand-Prince steps, one at a time, and an end to flights that would take too many."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

import numpy as np

from ...parts.errors import PartError
from ..rail_exit import GRAVITY

MOST_STEPS = 3000
"""Most steps of one flight, which takes some twenty or thirty; more means drag that stops it within a moment."""

Slopes = Callable[[float, np.ndarray], Sequence[float]]


class TooManyStepsError(PartError):
    """The flight cannot be followed in a sensible number of steps."""

    def __init__(self) -> None:
        super().__init__(f"drag: so great beside the mass that the flight takes more than {MOST_STEPS} steps")


class Steps:
    """Counts the steps of one flight, over all its stretches.

    Args:
        rtol: relative tolerance of a step [-]; the absolute one is a hundredth of it, in metres and metres a second.
    """

    def __init__(self, rtol: float) -> None:
        self.rtol = rtol
        self.left = MOST_STEPS

    def follow(
        self, slopes: Slopes, start: float, state: Sequence[float], end: float, speed: float
    ) -> Iterator[tuple[float, list[float], list[float]]]:
        """Time, state and its rate of change at the start and after each step, to the end or as long as is asked.

        Args:
            slopes: rate of change of the state.
            start: when it begins [s].
            state: the state there.
            end: where it ends [s]; may be infinite, and then the caller stops it.
            speed: speed upward there [m/s], by which a coast of unknown length chooses its steps.

        Raises:
            TooManyStepsError: the steps of the flight are used up, or become too short to tell.
        """
        from scipy.integrate import RK45

        if not start < end:
            return
        # An overflow within a step that is tried makes it a rejected step, and no matter for a warning.
        with np.errstate(all="ignore"):
            # A stretch of the burn is mostly one step; of a coast, none is so long that what lies within is coarse.
            longest = end - start if math.isfinite(end) else 0.1 * abs(speed) / GRAVITY + 0.5
            first = longest if math.isfinite(end) else longest / 4.0
            solver = RK45(slopes, start, state, end, longest, rtol=self.rtol, atol=self.rtol / 100.0, first_step=first)
        yield start, list(state), solver.f.tolist()
        while solver.status == "running":
            self.left -= 1
            with np.errstate(all="ignore"):
                solver.step()
            now = solver.y.tolist()
            if self.left < 0 or solver.status == "failed" or not all(map(math.isfinite, now)):
                raise TooManyStepsError
            yield float(solver.t), now, solver.f.tolist()
