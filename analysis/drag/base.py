"""Suction on the aft end of the body, with the motor burning and without."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .flow import Flow
from .term import DragTerm

SOURCE = (
    "S. F. Hoerner, Fluid-Dynamic Drag, 1965, chapter 3: 0.029 / sqrt(CfB), CfB the body's friction on the area of the "
    "base; of a body that is drawn in aft the same as 0.029 (db/d)^3 / sqrt(Cf) of the DATCOM (both from memory)"
)
RANGE = "streamlined bodies with a blunt base, up to Mach 0.8; MIL-HDBK-762 (from memory) draws 0.16"


def base_coefficient(friction: float) -> float:
    """Suction on a blunt base over dynamic pressure [-].

    Args:
        friction: drag of the forebody by friction, on the area of the base [-], above 0.
    """
    return 0.029 / math.sqrt(friction)


@dataclass(frozen=True, slots=True)
class Base:
    """The aft end of the body.

    Attributes:
        item: name of the aftmost item.
        station: its aft end [mm].
        end_area: area of the aft end [mm2].
        separated_area: area of the boat tail ahead of it along which the stream has left the skin [mm2].
        motor_area: area that the jet fills while the motor burns [mm2].
    """

    item: str
    station: float
    end_area: float
    separated_area: float
    motor_area: float

    def acting_area(self, burning: bool) -> float:
        """Area that the suction acts on [mm2]."""
        whole = self.end_area + self.separated_area
        return max(whole - self.motor_area, 0.0) if burning else whole

    def area(self, flow: Flow, friction_area: float, burning: bool) -> float:
        """Drag over dynamic pressure [mm2].

        Args:
            flow: the stream.
            friction_area: the same of friction on the body [mm2].
            burning: whether the motor burns.
        """
        whole, acting = self.acting_area(burning=False), self.acting_area(burning)
        if acting <= 0.0:
            return 0.0
        return flow.on_suction * base_coefficient(friction_area / whole) * acting

    def term(self, flow: Flow, friction_area: float, burning: bool, reference_area: float) -> DragTerm:
        """The term."""
        acting, boat_tail = self.acting_area(burning), ""
        if self.separated_area > 0.0:
            boat_tail = f", {self.separated_area:.0f} mm2 of them on a boat tail that is too steep for the stream"
        jet = f", less {self.motor_area:.0f} mm2 that the jet of the motor fills" if burning else ""
        return DragTerm(
            "base, motor burning" if burning else "base",
            self.item,
            self.area(flow, friction_area, burning) / reference_area,
            f"0.029 / sqrt(CfB) on {acting:.0f} mm2{boat_tail}{jet}",
            SOURCE,
            RANGE,
            self.station,
            flow.notes(),
        )
