"""Friction on the body, with what its thickness adds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...parts.curve import Piece
from ..aero.body import Skin
from .flow import Flow
from .skin_friction import TURNS
from .term import DragTerm

SOURCE = (
    "S. F. Hoerner, Fluid-Dynamic Drag, 1965, chapter 6: 1 + 1.5 (d/L)^1.5 + 7 (d/L)^3 (from memory); friction after "
    "Schlichting (from memory); Mach number after Raymer 12.5.3 (from memory)"
)
RANGE = "L/d from 4 to 30; Re from 500,000 to 1,000,000,000; up to Mach 0.8"

_SAMPLES = 65
_UPRIGHT = 1e-9
"""A strip of the skin that is shorter along the axis stands upright [mm]."""

_STUBBY, _LONG = 4.0, 30.0
_MOST_REYNOLDS = 1.0e9


def form_factor(diameter: float, length: float) -> float:
    """Drag of a streamlined body over the friction of a plate of its length and area [-].

    Args:
        diameter: largest diameter [mm].
        length: length [mm].

    Source: Hoerner, Fluid-Dynamic Drag, 1965, chapter 6 (from memory). Range: L/d of 4 and more.
    """
    share = diameter / length
    return float(1.0 + 1.5 * share**1.5 + 7.0 * share**3)


@dataclass(frozen=True, slots=True)
class BodyFriction:
    """The wetted skin of the whole body.

    Attributes:
        start: foremost station of the skin [mm].
        length: its length along the axis [mm].
        diameter: its largest diameter [mm].
        stations: rising stations from its start to its end [mm].
        wetted: wetted area up to each of them [mm2].
    """

    start: float
    length: float
    diameter: float
    stations: tuple[float, ...]
    wetted: tuple[float, ...]

    @property
    def station(self) -> float:
        """Its aft end [mm]."""
        return self.start + self.length

    @property
    def form(self) -> float:
        """Form factor [-]."""
        return form_factor(self.diameter, self.length)

    def area(self, flow: Flow) -> float:
        """Drag over dynamic pressure [mm2]."""
        return flow.friction(self.length) * self.form * self.wetted[-1]

    def area_ahead(self, flow: Flow, station: float) -> float:
        """The same of what lies ahead of a station [mm2].

        A plate of length x rubs with x Cf(x), so that the friction at x is the slope of that: more ahead, where the
        layer is thin. Each strip of the skin has the friction of its place (derived).
        """
        places = np.array(self.stations) - self.start
        plates = np.array([place * flow.friction(place) if place > 0.0 else 0.0 for place in places])
        runs, rubs = np.diff(places), np.diff(plates)
        # An upright strip has no length along the stream; it counts as its neighbours ahead do on the mean.
        local = np.where(
            runs > _UPRIGHT, rubs / np.maximum(runs, _UPRIGHT), plates[1:] / np.maximum(places[1:], _UPRIGHT)
        )
        rubbed = np.concatenate([[0.0], np.cumsum(local * np.diff(self.wetted))])
        return self.area(flow) * float(np.interp(station, self.stations, rubbed) / rubbed[-1])

    def term(self, flow: Flow, reference_area: float) -> DragTerm:
        """The term."""
        reynolds, ratio = flow.per_length * self.length, self.length / self.diameter
        notes = []
        if not TURNS <= reynolds <= _MOST_REYNOLDS:
            notes.append(f"Re {reynolds:.3g} is outside of 500,000 to 1,000,000,000")
        if not _STUBBY <= ratio <= _LONG:
            notes.append(f"L/d {ratio:.1f} is outside of {_STUBBY:g} to {_LONG:g}")
        return DragTerm(
            "friction",
            "body",
            self.area(flow) / reference_area,
            f"Cf x form x wetted area {self.wetted[-1]:.0f} mm2, Cf {flow.friction(self.length):.5f} by "
            f"{flow.friction_law(self.length)}, form {self.form:.4f} of L {self.length:.0f} mm and d "
            f"{self.diameter:.1f} mm",
            SOURCE,
            RANGE,
            self.station,
            (*notes, *flow.notes()),
        )


def body_friction(skins: Sequence[Skin], diameter: float) -> BodyFriction:
    """The wetted skin of a body.

    Args:
        skins: its stretches from forward to aft, at least one.
        diameter: its largest diameter [mm].
    """
    stations, wetted = [skins[0].station + skins[0].chain[0].start[0]], [0.0]
    for skin in skins:
        areas = np.concatenate([_areas(piece) for piece in skin.chain])
        places = np.concatenate([piece.at(_places())[1:, 0] for piece in skin.chain])
        # The strips are for where the area lies; how much there is of it is exact.
        exact = skin.wetted()[0]
        shares = np.cumsum(areas) / areas.sum() * exact + wetted[-1]
        stations += (skin.station + places).tolist()
        wetted += shares.tolist()
    # Where two skins lie apart or over each other their ends need not be in order.
    ordered = np.maximum.accumulate(np.array(stations))
    start = float(ordered[0])
    return BodyFriction(start, float(ordered[-1]) - start, diameter, tuple(ordered.tolist()), tuple(wetted))


def _places() -> np.ndarray:
    return np.linspace(0.0, 1.0, _SAMPLES)


def _areas(piece: Piece) -> np.ndarray:
    """Areas of the strips between samples along a piece [mm2]."""
    points = piece.at(_places())
    steps = np.hypot(*np.diff(points, axis=0).T)
    return np.asarray(math.pi * (points[1:, 1] + points[:-1, 1]) * steps)
