"""What a figure does when one thing of a design becomes more or less, found by working the design out anew."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

Figure = Callable[[float], float | str]
"""The figure at a value of what is changed; a text where there is no such design, which says why."""


@dataclass(frozen=True, slots=True)
class BothWays:
    """What a figure gains when one value becomes more, and when it becomes less.

    Attributes:
        step: by how much the value was changed either way, in its own unit.
        more: gain of the figure with so much more; None where there is no such design.
        less: gain of the figure with so much less; None where there is no such design.
        reasons: why there is none.
    """

    step: float
    more: float | None
    less: float | None
    reasons: tuple[str, ...] = ()

    @property
    def largest(self) -> float:
        """The larger of the two gains, without its sign; 0 where there is neither."""
        return max((abs(gain) for gain in (self.more, self.less) if gain is not None), default=0.0)


def both_ways(figure: Figure, now: float, step: float, base: float, least: float | None = None) -> BothWays:
    """The change of a figure for a step up and a step down, each worked out by itself: the two need not be alike.

    Args:
        figure: gives the figure at a value.
        now: the value as it stands.
        step: by how much it is changed either way, above 0, in the same unit.
        base: the figure as it stands.
        least: the least value that has a meaning, such as 0 of a mass that is not there yet; below it nothing is tried.
    """
    gains: list[float | None] = []
    reasons: list[str] = []
    for value in (now + step, now - step):
        if least is not None and value < least:
            gains.append(None)
            continue
        found = figure(value)
        if isinstance(found, str):
            gains.append(None)
            reasons.append(found)
        else:
            gains.append(found - base)
    return BothWays(step, gains[0], gains[1], tuple(dict.fromkeys(reasons)))
