"""What a person measures on a motor mount, for its section drawing: the tube, and where each ring stands on it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING

from ..measures import AxialLength, DiameterAt, Measure, wall_at
from ..shape import Cut, Fused, Meridian, Placed, Revolved, Shape, moved, polygon
from .straight import straight_tube

if TYPE_CHECKING:
    from .motor_mount import MotorMount


def motor_mount_section(part: MotorMount) -> Shape:
    """Tube and rings as bodies of their own, so that each has its own hatching; the glue gap is closed."""
    tube = _tube(part)
    outside, rim, thick = part.tube_outside_diameter / 2.0, part.ring_diameter / 2.0, part.ring_thickness
    ring = Revolved(Meridian(polygon(((0.0, rim), (thick, rim), (thick, outside), (0.0, outside)))))
    rings = tuple(Placed(ring, moved(position)) for position in sorted(part.ring_positions))
    base = Fused((tube, *rings))
    shape = part.shape()
    return Cut(base, shape.tools) if isinstance(shape, Cut) else base


def motor_mount_measures(part: MotorMount) -> tuple[Measure, ...]:
    """Every size of a motor mount that calipers and a rule reach."""
    return (*_along(part), *_across(part))


def _along(part: MotorMount) -> Iterator[Measure]:
    outside, rim, thick = part.tube_outside_diameter / 2.0, part.ring_diameter / 2.0, part.ring_thickness
    positions, length = sorted(part.ring_positions), part.tube_length
    yield AxialLength((0.0, outside), (length, outside), "tube")
    for number, position in enumerate(positions, 1):
        yield AxialLength((0.0, outside), (position, rim), f"ring {number} at")
    yield AxialLength((positions[0], rim), (positions[0] + thick, rim), "ring")
    yield AxialLength((positions[-1] + thick, rim), (length, outside), "tube aft of it")


def _across(part: MotorMount) -> Iterator[Measure]:
    outside, inside, length = part.tube_outside_diameter / 2.0, part.tube_inside_diameter / 2.0, part.tube_length
    positions = sorted(part.ring_positions)
    yield DiameterAt((positions[0] or part.ring_thickness, part.ring_diameter / 2.0), "rings")
    yield DiameterAt((length, outside), "tube outside")
    yield DiameterAt((length, inside), "tube inside")
    ends = [0.0, *(place for one in positions for place in (one, one + part.ring_thickness)), length]
    first, last = max(pairwise(ends), key=lambda pair: pair[1] - pair[0])
    yield wall_at(_tube(part).meridian, (first + last) / 2.0, "tube's wall")


def _tube(part: MotorMount) -> Revolved:
    return straight_tube(part.tube_outside_diameter / 2.0, part.tube_inside_diameter / 2.0, part.tube_length)
