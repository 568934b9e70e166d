"""What speed does to each kind of drag, below the transonic range.

Sources, with M the Mach number:

    friction      (1 + 0.144 M^2)^-0.65                  of turbulent plates, smooth or at the limit of their roughness;
                                                         D. P. Raymer, Aircraft Design: A Conceptual Approach, 12.5.3
                                                         (from memory)
    faces         ((1 + 0.2 M^2)^3.5 - 1) / (0.7 M^2)    pressure where the stream is stopped over dynamic pressure
                                                         (derived: isentropic flow of air)
    suction       1 / sqrt(1 - M^2)                      the rule of Prandtl and Glauert, for bases and steps facing aft
                                                         (common practice; the rule itself is for slender shapes)
"""

from __future__ import annotations

import math

from ..aero.compressibility import HIGHEST_MACH

BEYOND = (
    f"above Mach {HIGHEST_MACH:g} drag rises steeply by shocks, which is not modelled; the figure is that of the limit"
)
"""Note of a figure beyond the range."""


def friction_factor(mach: float) -> float:
    """Friction at a Mach number over that at low speed [-]."""
    return float((1.0 + 0.144 * mach**2) ** -0.65)


def face_factor(mach: float) -> float:
    """Pressure of the stopped stream over dynamic pressure [-]: 1 at low speed."""
    if mach < 1e-3:
        return 1.0 + mach**2 / 4.0
    return float(((1.0 + 0.2 * mach**2) ** 3.5 - 1.0) / (0.7 * mach**2))


def suction_factor(mach: float) -> float:
    """Suction at a Mach number below 1 over that at low speed [-]."""
    return 1.0 / math.sqrt(1.0 - mach**2)
