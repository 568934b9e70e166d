"""Normal force of turned bodies by slender-body theory, from their exact meridian.

Source: J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966: equations 12 to 15
(slopes) and 29 (station). Each is the slender-body integral of dA/dx, so they hold for any profile: CN_alpha is
2 (A_aft - A_forward) / A_ref, and the station follows from the volume under the skin.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ...parts.chain import Chain
from ...parts.curve import Floats, Piece, gauss
from .normal_force import ROUNDING, NormalForce

METHOD = "slender-body theory from the exact meridian (J. S. and J. A. Barrowman 1966, eq. 12-15, 29)"


@dataclass(frozen=True, slots=True)
class Skin:
    """A stretch of turned skin at its station.

    Attributes:
        chain: the skin in the (x, r) plane of its part [mm].
        station: where x = 0 of the chain lies [mm].
    """

    chain: Chain
    station: float = 0.0

    @property
    def forward_area(self) -> float:
        """Cross-section area at the forward end [mm2]."""
        return math.pi * self.chain[0].start[1] ** 2

    @property
    def aft_area(self) -> float:
        """Cross-section area at the aft end [mm2]."""
        return math.pi * self.chain[-1].end[1] ** 2

    def volume(self) -> float:
        """Volume under the skin [mm3]."""
        return sum(_integral(piece, lambda p, d: math.pi * p[:, 1] ** 2 * d[:, 0]) for piece in self.chain)

    def planform(self) -> tuple[float, float]:
        """Side-view area [mm2] and its centroid [mm] from the station."""
        area = sum(_integral(piece, lambda p, d: 2.0 * p[:, 1] * d[:, 0]) for piece in self.chain)
        moment = sum(_integral(piece, lambda p, d: 2.0 * p[:, 1] * p[:, 0] * d[:, 0]) for piece in self.chain)
        return area, moment / area

    def wetted(self) -> tuple[float, float]:
        """Area of the turned skin [mm2] and its centroid [mm] from the station."""
        area = sum(_integral(piece, lambda p, d: math.tau * p[:, 1] * np.hypot(*d.T)) for piece in self.chain)
        moment = sum(
            _integral(piece, lambda p, d: math.tau * p[:, 1] * p[:, 0] * np.hypot(*d.T)) for piece in self.chain
        )
        return area, moment / area


def body_normal_force(skin: Skin, ahead: Skin | None, reference_area: float) -> NormalForce:
    """Normal force of one stretch of skin, with the step from the skin ahead of it.

    Args:
        skin: the stretch.
        ahead: the stretch ahead of it, or None for the foremost.
        reference_area: area that the coefficient refers to [mm2].

    Returns:
        Slope and station; where the changes of area cancel, a slope of zero and their couple. Range: slender, small
        angles, subsonic below the compressible range, no flow separation.
    """
    first, last = skin.chain[0].start[0], skin.chain[-1].end[0]
    change = skin.aft_area - skin.forward_area
    moment = last * skin.aft_area - first * skin.forward_area - skin.volume()
    # A step changes the area at once, where the two stretches meet.
    step = skin.forward_area - ahead.aft_area if ahead else 0.0
    total = change + step
    # A tip is a point but for rounding.
    is_open = not ahead and skin.forward_area > ROUNDING * max(skin.aft_area, skin.forward_area)
    notes = ("the body starts with an open end; a nose is expected ahead of it",) if is_open else ()
    turning = moment + step * first
    largest = max(skin.aft_area, skin.forward_area)
    # What is left of two equal areas is rounding, not a step; so is what is left of a straight tube's couple.
    if abs(total) <= ROUNDING * largest:
        couple = 0.0 if abs(turning) <= ROUNDING * largest * (last - first) else 2.0 * turning / reference_area
        return NormalForce(0.0, None, METHOD, notes, couple)
    return NormalForce(2.0 * total / reference_area, skin.station + turning / total, METHOD, notes)


def _integral(piece: Piece, integrand: Callable[[Floats, Floats], Floats]) -> float:
    nodes, weights = gauss(24)
    t: Floats = ((np.arange(2)[:, None] + nodes) / 2.0).ravel()
    return float(integrand(piece.at(t), piece.slope(t)) @ np.tile(weights, 2)) / 2.0
