"""Friction on both faces of the fins, with what their thickness adds, and what their roots add to the body."""

from __future__ import annotations

from dataclasses import dataclass

from .flow import Flow
from .skin_friction import TURNS
from .term import DragTerm

SOURCE = (
    "S. F. Hoerner, Fluid-Dynamic Drag, 1965, as S. Gudmundsson, General Aviation Aircraft Design, equation 16-123, "
    "has it: 1 + 2 t/c + 60 (t/c)^4; friction after Schlichting (from memory)"
)
RANGE = "t/c up to 0.21; Re from 500,000, below it turbulent friction is a bound from above; up to Mach 0.8"

JUNCTION_SOURCE = (
    "S. F. Hoerner, Fluid-Dynamic Drag, 1965, chapter 8: 0.8 (t/c)^3 - 0.0003 on the square of the root chord for each "
    "junction with a wall, none below t/c 0.072 (from memory)"
)

_THICKEST = 0.21


def thickness_factor(share: float) -> float:
    """Drag of a thin section over the friction of a plate [-].

    Args:
        share: thickness over chord [-].

    Source: Hoerner, 1965, in Gudmundsson's equation 16-123. Range: up to 0.21.
    """
    return 1.0 + 2.0 * share + 60.0 * share**4


def junction_area(thickness: float, chord: float) -> float:
    """Drag over dynamic pressure that one root in a wall adds [mm2], without that of fin and wall by themselves.

    Args:
        thickness: thickness of the root [mm].
        chord: chord of the root [mm], above 0.

    Source: Hoerner, 1965, chapter 8 (from memory). Below t/c 0.072 his figure is less than nothing, the friction that
    the root covers; nothing is taken off here.
    """
    return max(0.8 * (thickness / chord) ** 3 - 0.0003, 0.0) * chord**2


@dataclass(frozen=True, slots=True)
class FinFriction:
    """The faces of a set of fins.

    Attributes:
        item: name of the item.
        station: centroid of a fin's area [mm].
        count: fins [-].
        face: area of one face of one fin [mm2].
        chord: mean aerodynamic chord [mm].
        thickness: thickness over chord [-].
        cant: turn of the fins [rad].
    """

    item: str
    station: float
    count: int
    face: float
    chord: float
    thickness: float
    cant: float

    def area(self, flow: Flow) -> float:
        """Drag over dynamic pressure [mm2]."""
        return 2.0 * self.count * self.face * flow.friction(self.chord) * thickness_factor(self.thickness)

    def term(self, flow: Flow, reference_area: float) -> DragTerm:
        """The term."""
        reynolds, notes = flow.per_length * self.chord, []
        if reynolds < TURNS:
            notes.append(f"Re {reynolds:.3g} is below 500,000: part of the layer may be laminar, and friction less")
        if self.thickness > _THICKEST:
            notes.append(f"t/c {self.thickness:.2f} is above {_THICKEST:g}")
        if self.cant:
            notes.append("what the cant adds while the rocket does not spin yet is left out")
        return DragTerm(
            "friction",
            self.item,
            self.area(flow) / reference_area,
            f"Cf x {thickness_factor(self.thickness):.4f} for t/c {self.thickness:.4f}, both faces of {self.count} x "
            f"{self.face:.0f} mm2, Cf {flow.friction(self.chord):.5f} by {flow.friction_law(self.chord)}",
            SOURCE,
            RANGE,
            self.station,
            (*notes, *flow.notes()),
        )


@dataclass(frozen=True, slots=True)
class FinJunctions:
    """Where the roots of a set of fins meet the body.

    Attributes:
        item: name of the item.
        station: middle of the root [mm].
        count: fins [-].
        thickness: thickness of a root [mm].
        chord: length of a root [mm].
    """

    item: str
    station: float
    count: int
    thickness: float
    chord: float

    def area(self, flow: Flow) -> float:  # noqa: ARG002  as every element; it is the same at all speeds
        """Drag over dynamic pressure [mm2]."""
        return self.count * junction_area(self.thickness, self.chord)

    def term(self, flow: Flow, reference_area: float) -> DragTerm:
        """The term."""
        return DragTerm(
            "junctions with the body",
            self.item,
            self.area(flow) / reference_area,
            f"0.8 (t/c)^3 - 0.0003 and no less than 0, t/c {self.thickness / self.chord:.4f}, on {self.count} x "
            f"({self.chord:.1f} mm)^2",
            JUNCTION_SOURCE,
            "t/c up to 0.4, roots without fillets; up to Mach 0.8",
            self.station,
            flow.notes(),
        )
