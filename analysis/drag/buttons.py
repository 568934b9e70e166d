"""Rail buttons: stubs that stand in the boundary layer of the body."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from .flow import Flow
from .term import DragTerm

SOURCE = (
    "F. M. White, Fluid Mechanics, table 7.3, short cylinders across the stream, the wall as a mirror (from memory); "
    "dynamic pressure of the turbulent layer by the seventh root (derived)"
)
RANGE = "Re by their diameter from 1,000 to 200,000, up to Mach 0.8; one does not shelter the next"

_SHORT_CYLINDERS = ((1.0, 0.64), (2.0, 0.68), (3.0, 0.72), (5.0, 0.74), (10.0, 0.82), (20.0, 0.91), (40.0, 0.98))
_REYNOLDS = (1.0e3, 2.0e5)


def stub_coefficient(slenderness: float) -> float:
    """Drag of a short cylinder across the stream on its frontal area [-].

    Args:
        slenderness: length between two free ends over diameter [-]; of a stub on a wall twice its height over it.

    Source: White, Fluid Mechanics, table 7.3, laminar separation (from memory). Range: 1 to 40, level outside of it.
    """
    if slenderness <= _SHORT_CYLINDERS[0][0]:
        return _SHORT_CYLINDERS[0][1]
    for (low, first), (high, second) in pairwise(_SHORT_CYLINDERS):
        if slenderness <= high:
            return first + (second - first) * (slenderness - low) / (high - low)
    return _SHORT_CYLINDERS[-1][1]


@dataclass(frozen=True, slots=True)
class ButtonDrag:
    """One rail button.

    Attributes:
        item: name of the item.
        station: its middle [mm].
        height: how far it stands out [mm].
        frontal: its area as seen from ahead [mm2].
        count: as many stand there [-].
    """

    item: str
    station: float
    height: float
    frontal: float
    count: int = 1

    @property
    def diameter(self) -> float:
        """Its mean diameter [mm]."""
        return self.frontal / self.height

    def area(self, flow: Flow) -> float:
        """Drag over dynamic pressure [mm2]."""
        share = flow.in_layer(self.height, self.station)
        stub = stub_coefficient(2.0 * self.height / self.diameter)
        return flow.on_faces * stub * share * self.count * self.frontal

    def term(self, flow: Flow, reference_area: float) -> DragTerm:
        """The term."""
        share, reynolds = flow.in_layer(self.height, self.station), flow.per_length * self.diameter
        low, high = _REYNOLDS
        notes = () if low <= reynolds <= high else (f"Re {reynolds:.3g} is outside of {low:,.0f} to {high:,.0f}",)
        return DragTerm(
            "rail button",
            self.item,
            self.area(flow) / reference_area,
            f"{stub_coefficient(2.0 * self.height / self.diameter):.3f} x {share:.2f} of the stream's dynamic pressure "
            f"on {self.count} x {self.frontal:.1f} mm2 from ahead",
            SOURCE,
            RANGE,
            self.station,
            (*notes, *flow.notes()),
        )
