"""What the checks of a rocket are told beside the rocket itself: tubes, motors, recovery and machines."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ..parts.fit import MeasuredTube
from .motor import Motor
from .recovery import Recovery

Fits = dict[str, tuple[MeasuredTube | None, MeasuredTube | None]]
"""For each item by name: the measured tube that it fits, and the one that it goes around."""


@dataclass(frozen=True, slots=True)
class Circumstances:
    """Everything that a design says and that is no part in its place.

    Attributes:
        fits: which tubes the items fit.
        tubes: every measured tube by name.
        motors: the motors to fly with.
        motor_tubes: the tube that each motor slides into, by the motor's name.
        recovery: joints, anchors, harnesses and parachutes.
        printers: usable width, depth and height of each printer [mm].
        cutters: usable width and depth of each cutter [mm].
    """

    fits: Fits = field(default_factory=dict)
    tubes: Mapping[str, MeasuredTube] = field(default_factory=dict)
    motors: tuple[Motor, ...] = ()
    motor_tubes: Mapping[str, MeasuredTube] = field(default_factory=dict)
    recovery: Recovery = field(default_factory=Recovery)
    printers: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    cutters: Mapping[str, tuple[float, float]] = field(default_factory=dict)
