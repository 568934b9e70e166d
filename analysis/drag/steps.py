"""Steps of the skin at joints, such as a nose base that is a little smaller than its tube."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .flow import Flow
from .slopes import AFT_FACE
from .term import DragTerm

FORWARD_FACE = 0.4
"""Drag of a step that faces forward, on its area and the dynamic pressure there [-]: Hoerner, chapter 5 (from
memory)."""

SOURCE = (
    "S. F. Hoerner, Fluid-Dynamic Drag, 1965, chapter 5: 0.4 of steps that face forward, 0.2 aft (from memory); "
    "dynamic pressure of the turbulent layer by the seventh root (derived)"
)
RANGE = "steps no higher than the boundary layer, up to Mach 0.8"

LEAST = 1e-6
"""A smaller step is rounding [mm]."""


@dataclass(frozen=True, slots=True)
class Step:
    """A step from one stretch of skin to the next.

    Attributes:
        item: names of the two.
        station: where it is [mm].
        ahead: radius ahead of it [mm].
        behind: radius behind it [mm].
    """

    item: str
    station: float
    ahead: float
    behind: float

    @property
    def height(self) -> float:
        """Its height on the radius [mm]."""
        return abs(self.behind - self.ahead)

    @property
    def faces_forward(self) -> bool:
        """Whether the face is the front of what is behind; else it is the back of what is ahead."""
        return self.behind > self.ahead

    @property
    def ring_area(self) -> float:
        """Area of its face [mm2]."""
        return math.pi * abs(self.behind**2 - self.ahead**2)

    def area(self, flow: Flow) -> float:
        """Drag over dynamic pressure [mm2]."""
        local = flow.in_layer(self.height, self.station) * self.ring_area
        return local * (FORWARD_FACE * flow.on_faces if self.faces_forward else AFT_FACE * flow.on_suction)

    def term(self, flow: Flow, reference_area: float) -> DragTerm:
        """The term."""
        share = flow.in_layer(self.height, self.station)
        notes = ("the step is higher than the boundary layer there",) if share > 7.0 / 9.0 else ()
        return DragTerm(
            "step that faces forward" if self.faces_forward else "step that faces aft",
            self.item,
            self.area(flow) / reference_area,
            f"{FORWARD_FACE if self.faces_forward else AFT_FACE:g} x {share:.2f} of the stream's dynamic pressure on "
            f"{self.ring_area:.1f} mm2, a step of {self.height:.2f} mm",
            SOURCE,
            RANGE,
            self.station,
            (*notes, *flow.notes()),
        )
