"""Normal force of a set of trapezoid fins.

Source: J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966: equation 57 (one fin,
after Diederich's slope of finite wings), 58 and 59 (sets of four and three), 76 (station).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .interference import body_interference
from .normal_force import NormalForce

METHOD = "fins after J. S. and J. A. Barrowman 1966, eq. 57-59, 76, with body interference eq. 77"


@dataclass(frozen=True, slots=True)
class Trapezoid:
    """Planform of one fin outside the body.

    Attributes:
        root_chord: chord at the body [mm].
        tip_chord: chord at the tip [mm].
        semi_span: body surface to tip [mm].
        sweep_length: how far the tip's leading edge lies aft of the root's [mm].
    """

    root_chord: float
    tip_chord: float
    semi_span: float
    sweep_length: float

    @property
    def area(self) -> float:
        """Area [mm2]."""
        return (self.root_chord + self.tip_chord) / 2.0 * self.semi_span

    @property
    def mid_chord_length(self) -> float:
        """Length of the line through the middles of the chords, root to tip [mm]."""
        aft = self.sweep_length + (self.tip_chord - self.root_chord) / 2.0
        return math.hypot(self.semi_span, aft)

    @property
    def mean_chord(self) -> float:
        """Mean aerodynamic chord [mm]."""
        root, tip = self.root_chord, self.tip_chord
        return 2.0 / 3.0 * (root + tip - root * tip / (root + tip))

    @property
    def mean_chord_span(self) -> float:
        """Distance of the mean aerodynamic chord from the body [mm]."""
        root, tip = self.root_chord, self.tip_chord
        return self.semi_span / 3.0 * (root + 2.0 * tip) / (root + tip)

    @property
    def centre_of_pressure(self) -> float:
        """Station of the quarter point of the mean aerodynamic chord, from the root leading edge [mm]: eq. 76."""
        root, tip = self.root_chord, self.tip_chord
        return (
            self.sweep_length / 3.0 * (root + 2.0 * tip) / (root + tip) + (root + tip - root * tip / (root + tip)) / 6.0
        )


def one_fin_slope(fin: Trapezoid, reference_diameter: float) -> float:
    """CN_alpha of one fin alone on the reference area of a diameter [1/rad]: eq. 57."""
    aspect = 2.0 * fin.mid_chord_length / (fin.root_chord + fin.tip_chord)
    return 8.0 * (fin.semi_span / reference_diameter) ** 2 / (1.0 + math.sqrt(1.0 + aspect**2))


def fin_set(fin: Trapezoid, count: int, body_radius: float, station: float, reference_diameter: float) -> NormalForce:
    """Normal force of evenly spaced fins on a body.

    Args:
        fin: planform of one.
        count: number of fins [-].
        body_radius: radius of the body at the fins [mm].
        station: root leading edge [mm].
        reference_diameter: diameter of the reference area [mm].

    Returns:
        Slope and station. Range: 3 or 4 fins, thin, subsonic, small angles. The report's factor n/2 is exact for any
        evenly spaced set of three or more in potential flow; above four a note says that the report ends there.
        One or two fins act in one plane only and get none of the set's slope: a note says so.
    """
    notes: tuple[str, ...] = ()
    slope = one_fin_slope(fin, reference_diameter) * count / 2.0 * body_interference(body_radius, fin.semi_span)
    if count > 4:
        notes = (f"{count} fins: the report treats 3 and 4; fins that crowd each other lift less than n/2 of one",)
    elif count < 3:
        slope = 0.0
        notes = (f"{count} fins do not stabilise in every direction; their normal force is not counted",)
    place = station + fin.centre_of_pressure if slope else None
    return NormalForce(slope, place, METHOD, notes)
