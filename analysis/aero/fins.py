"""Normal force of a set of fins.

Source: J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966: equation 57 (one fin,
after Diederich's slope of finite wings), 58 and 59 (sets of four and three), 76 (station). The report writes them for
trapezoids, with the chords; written with the area and the sweep of the mid-chord line they are Diederich's and hold for
any planform.
"""

from __future__ import annotations

import math

from .interference import body_interference
from .normal_force import NormalForce
from .planform import Planform

METHOD = "fins after J. S. and J. A. Barrowman 1966, eq. 57-59, 76, with body interference eq. 77"

CANTED = 1e-9
"""Fins turned by more than this [rad] are canted."""


def one_fin_slope(fin: Planform, reference_diameter: float) -> float:
    """CN_alpha of one fin alone on the reference area of a diameter [1/rad]: eq. 57."""
    aspect = fin.mid_chord_length * fin.semi_span / fin.area
    return 8.0 * (fin.semi_span / reference_diameter) ** 2 / (1.0 + math.sqrt(1.0 + aspect**2))


def fin_set(
    fin: Planform, count: int, body_radius: float, station: float, reference_diameter: float, cant: float = 0.0
) -> NormalForce:
    """Normal force of evenly spaced fins on a body.

    Args:
        fin: planform of one.
        count: number of fins [-].
        body_radius: radius of the body at the fins [mm].
        station: root leading edge [mm].
        reference_diameter: diameter of the reference area [mm].
        cant: turn of each fin about its radius [rad], small; it makes the rocket roll and leaves the slope, which
            lessens only by its cosine.

    Returns:
        Slope and station. Range: 3 or 4 fins, thin, subsonic, small angles. The report's factor n/2 is exact for any
        evenly spaced set of three or more in potential flow; above four a note says that the report ends there.
        One or two fins act in one plane only and get none of the set's slope: a note says so.
    """
    notes = list(fin.notes)
    slope = one_fin_slope(fin, reference_diameter) * count / 2.0 * body_interference(body_radius, fin.semi_span)
    if count > 4:
        notes.append(f"{count} fins: the report treats 3 and 4; fins that crowd each other lift less than n/2 of one")
    elif count < 3:
        slope = 0.0
        notes.append(f"{count} fins do not stabilise in every direction; their normal force is not counted")
    if abs(cant) > CANTED:
        notes.append(f"fins canted by {math.degrees(cant):.3g} deg make it roll; the roll is not reckoned here")
    place = station + fin.centre_of_pressure if slope else None
    return NormalForce(slope, place, METHOD, tuple(notes))
