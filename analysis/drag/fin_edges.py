"""Pressure on the leading edges of fins and suction behind their trailing edges, as they are worked.

Of the stream only what runs square to a swept edge makes pressure, cos^2 of the sweep of it (simple sweep theory). An
edge as cut is a flat face. A round of a quarter of the thickness or more takes nothing: half of a slender body without
an end has no drag (d'Alembert); below it a share (own interpolation; Hoerner draws so that small rounds do most of it,
from memory). A bevel is its land as a flat face, and its slope by the square of its sine (see `slopes`). Behind a
trailing edge as cut or round the stream is off the whole thickness, behind a bevel off its land, and off its slope as
off a boat tail.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ...parts.curve import Piece, gauss, monotone_parts
from ...parts.shape import Bevelled, Rounded
from .flow import Flow
from .slopes import FLAT_FACE, separated_share
from .term import DragTerm

LEADING_SOURCE = (
    "0.8 of a flat face: S. F. Hoerner, Fluid-Dynamic Drag, 1965, chapter 3 (from memory); cos^2 of the sweep: simple "
    "sweep theory; rounds and bevels between (own interpolation)"
)
TRAILING_SOURCE = (
    "S. F. Hoerner, Fluid-Dynamic Drag, 1965, chapter 3: 0.135 / CfB^(1/3), CfB the friction of both faces on the area "
    "of the edge (from memory); cos^2 of the sweep: simple sweep theory"
)

FULL_ROUND = 0.25
"""Round over thickness from which a leading edge takes no pressure [-] (from memory)."""

EdgeShape = Rounded | Bevelled | None
"""How an edge is worked; None as it was cut."""


@dataclass(frozen=True, slots=True)
class FinEdge:
    """One edge of a fin outside the body.

    Attributes:
        piece: the edge as it runs in the outline, the fin on its left [mm].
        shape: how it is worked.
        worked: share of its length that is worked so; the rest is as cut [-].
    """

    piece: Piece
    shape: EdgeShape = None
    worked: float = 1.0


def face_share(shape: EdgeShape, thickness: float) -> float:
    """Pressure drag of a leading edge on thickness times length, square to the stream [-].

    Args:
        shape: how it is worked.
        thickness: thickness of the fin [mm].
    """
    if shape is None:
        return FLAT_FACE
    if isinstance(shape, Rounded):
        return FLAT_FACE * max(1.0 - shape.radius / thickness / FULL_ROUND, 0.0)
    land = shape.land / thickness
    return FLAT_FACE * (land + (1.0 - land) * math.sin(_slope(shape, thickness)) ** 2)


def wake_height(shape: EdgeShape, thickness: float) -> float:
    """Height behind a trailing edge that the stream is off [mm].

    Args:
        shape: how it is worked.
        thickness: thickness of the fin [mm].
    """
    if isinstance(shape, Bevelled):
        return shape.land + (thickness - shape.land) * separated_share(_slope(shape, thickness))
    return thickness


def _slope(shape: Bevelled, thickness: float) -> float:
    return math.atan2((thickness - shape.land) / shape.sides, shape.depth)


def square_spans(piece: Piece) -> tuple[float, float]:
    """Height that an edge spans times cos^2 of its sweep [mm]: of what faces forward, and of what faces aft.

    Outlines run anticlockwise, so that what runs inwards faces forward.
    """
    nodes, weights = gauss(24)
    forward = aft = 0.0
    for part in monotone_parts(piece):
        dx, dy = part.slope(np.asarray(nodes)).T
        length = dx * dx + dy * dy
        span = float(weights @ np.where(length > 0.0, np.abs(dy) * dy * dy / np.where(length > 0.0, length, 1.0), 0.0))
        if part.end[1] < part.start[1]:
            forward += span
        else:
            aft += span
    return forward, aft


@dataclass(frozen=True, slots=True)
class LeadingEdges:
    """The leading edges of a set of fins.

    Attributes:
        item: name of the item.
        station: centroid of a fin's area [mm].
        count: fins [-].
        face: area of one fin's edges, each times its coefficient and cos^2 of its sweep [mm2].
        frontal: area of one fin's edges as seen from ahead [mm2].
    """

    item: str
    station: float
    count: int
    face: float
    frontal: float

    def area(self, flow: Flow) -> float:
        """Drag over dynamic pressure [mm2]."""
        return flow.on_faces * self.count * self.face

    def term(self, flow: Flow, reference_area: float) -> DragTerm:
        """The term."""
        mean = self.face / self.frontal if self.frontal > 0.0 else 0.0
        return DragTerm(
            "leading edges",
            self.item,
            self.area(flow) / reference_area,
            f"{mean:.3f} of pressure by their working and sweep on {self.count} x {self.frontal:.1f} mm2 from ahead",
            LEADING_SOURCE,
            "thickness below a fifth of the chord, up to Mach 0.8",
            self.station,
            flow.notes(),
        )


@dataclass(frozen=True, slots=True)
class TrailingEdges:
    """The trailing edges of a set of fins.

    Attributes:
        item: name of the item.
        station: centroid of a fin's area [mm].
        count: fins [-].
        wake: area behind one fin that the stream is off, times cos^2 of the sweep [mm2].
        height: mean height of it [mm].
        chord: mean aerodynamic chord [mm].
    """

    item: str
    station: float
    count: int
    wake: float
    height: float
    chord: float

    def coefficient(self, flow: Flow) -> float:
        """Suction over dynamic pressure [-]."""
        return trailing_coefficient(2.0 * flow.friction(self.chord) * self.chord / self.height)

    def area(self, flow: Flow) -> float:
        """Drag over dynamic pressure [mm2]."""
        return flow.on_suction * self.coefficient(flow) * self.count * self.wake if self.height > 0.0 else 0.0

    def term(self, flow: Flow, reference_area: float) -> DragTerm:
        """The term."""
        return DragTerm(
            "trailing edges",
            self.item,
            self.area(flow) / reference_area,
            (
                f"{self.coefficient(flow):.3f} of suction on {self.count} x {self.wake:.1f} mm2, edges "
                f"{self.height:.2f} mm thick, times cos^2 of their sweep"
                if self.height > 0.0
                else "sharp: none"
            ),
            TRAILING_SOURCE,
            "edges thinner than a tenth of the chord, up to Mach 0.8",
            self.station,
            (*(("edges thicker than a tenth of the chord",) if self.height > 0.1 * self.chord else ()), *flow.notes()),
        )


def trailing_coefficient(friction: float) -> float:
    """Suction behind the blunt trailing edge of a plate over dynamic pressure [-].

    Args:
        friction: friction of both faces on the area of the edge [-], above 0.

    Source: Hoerner, 1965, chapter 3: 0.135 / CfB^(1/3) (from memory).
    """
    return float(0.135 / friction ** (1.0 / 3.0))


def leading_face(edges: Iterable[FinEdge], thickness: float) -> tuple[float, float]:
    """Area of a fin's leading edges times coefficient and cos^2 of sweep, and as seen from ahead [mm2]."""
    face = frontal = 0.0
    for edge in edges:
        forward, _ = square_spans(edge.piece)
        mixed = edge.worked * face_share(edge.shape, thickness) + (1.0 - edge.worked) * FLAT_FACE
        face += mixed * forward * thickness
        frontal += thickness * sum(
            part.start[1] - part.end[1] for part in monotone_parts(edge.piece) if part.end[1] < part.start[1]
        )
    return face, frontal


def trailing_wake(edges: Sequence[FinEdge], thickness: float) -> tuple[float, float]:
    """Area behind a fin's trailing edges that the stream is off times cos^2 of sweep [mm2], and mean height [mm]."""
    wake = total = 0.0
    for edge in edges:
        _, aft = square_spans(edge.piece)
        wake += aft * (edge.worked * wake_height(edge.shape, thickness) + (1.0 - edge.worked) * thickness)
        total += aft
    return wake, wake / total if total > 0.0 else 0.0
