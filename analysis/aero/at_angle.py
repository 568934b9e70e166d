"""Normal force at an angle of attack that need not be small, so that forces which grow unlike each other add up."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from ...parts.errors import PartError

HIGHEST_ANGLE = math.radians(15.0)
"""Angle of attack up to which fins are taken not to stall (common practice) [rad]."""

BEYOND = "outside the method, not stated: beyond about 15 deg fins stall and vortices leave the body"
"""Note of a force that is not stated for its angle."""

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class ForceAtAngle:
    """Normal force at one angle of attack.

    Attributes:
        angle: angle of attack [rad].
        slope: coefficient over the sine of the angle; at no angle, the slope CN_alpha [1/rad]. None where the method
            does not state it.
        moment: the same of coefficient times station, about station 0 [mm/rad].
        method: name and source of the method.
        notes: what limits it here.
    """

    angle: float
    slope: float | None
    moment: float | None
    method: str
    notes: tuple[str, ...] = ()

    @property
    def coefficient(self) -> float | None:
        """Normal-force coefficient CN [-]; None where it is not stated."""
        return None if self.slope is None else self.slope * math.sin(self.angle)

    @property
    def station(self) -> float | None:
        """Centre of pressure [mm]; None where it is not stated or nothing acts."""
        return None if not self.slope or self.moment is None else self.moment / self.slope


def within(angle: float) -> bool:
    """Whether the methods state anything at an angle of attack [rad].

    Raises:
        PartError: an angle below 0, above a right angle or not a number.
    """
    if not 0.0 <= angle <= math.pi / 2.0:
        raise PartError(f"angle: must be from 0 to 90 deg, got {math.degrees(angle):g} deg")
    return angle <= HIGHEST_ANGLE + _ROUNDING


def not_stated(angle: float, method: str, notes: tuple[str, ...] = (BEYOND,)) -> ForceAtAngle:
    """A force that the method does not state, and why."""
    return ForceAtAngle(angle, None, None, method, notes)


def added(angle: float, parts: Iterable[ForceAtAngle], method: str) -> ForceAtAngle:
    """Forces at the same angle [rad] together; not stated where one of them is not."""
    parts = tuple(parts)
    notes = tuple(dict.fromkeys(note for part in parts for note in part.notes))
    slopes = [part.slope for part in parts if part.slope is not None]
    moments = [part.moment for part in parts if part.moment is not None]
    if len(slopes) < len(parts) or len(moments) < len(parts):
        return not_stated(angle, method, notes)
    return ForceAtAngle(angle, sum(slopes), sum(moments), method, notes)
