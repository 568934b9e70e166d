"""Normal force and centre of pressure of the whole rocket against angle of attack and Mach number."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .aero.at_angle import ForceAtAngle, added, not_stated
from .aero.compressibility import BEYOND, at_mach, within
from .aero.cross_flow import CrossFlow, body_at_angle
from .aero.fins_at_angle import fins_at_angle
from .air_stream import AirStream

METHOD = (
    "J. S. and J. A. Barrowman 1966 at small angles; body lift in the form of NACA Report 1048, fins in attached flow "
    "after NASA TN D-3767, Prandtl-Glauert rule on the fins"
)

ANGLES = tuple(math.radians(degrees) for degrees in range(16))
"""Angles of attack of the curve [rad]: each degree up to 15."""

MACHS = (0.0, 0.2, 0.4, 0.6, 0.8)
"""Mach numbers of the curve [-]."""


@dataclass(frozen=True, slots=True)
class PressurePoint:
    """The whole rocket at one Mach number and angle of attack.

    Attributes:
        mach: Mach number [-].
        force: what acts; not stated outside the range of the methods.
    """

    mach: float
    force: ForceAtAngle


@dataclass(frozen=True, slots=True)
class PressureCurve:
    """Normal force and centre of pressure against angle of attack, for several Mach numbers.

    Attributes:
        reference_diameter: diameter of the reference area [mm].
        flow: what the flow across the body does in it.
        points: by Mach number, then by angle, in the order that was asked for.
        notes: what limits any of them, each once.
    """

    reference_diameter: float
    flow: CrossFlow
    points: tuple[PressurePoint, ...]
    notes: tuple[str, ...]
    method: str = METHOD


def force_at(air: AirStream, angle: float, mach: float = 0.0, flow: CrossFlow = CrossFlow()) -> ForceAtAngle:
    """Normal force of the whole rocket.

    Args:
        air: what the air meets, by the 1966 report or with the factors of NACA Report 1307.
        angle: angle of attack [rad], from 0; above 15 deg nothing is stated.
        mach: Mach number [-], from 0; above 0.8 nothing is stated.
        flow: what the flow across the body does.

    Returns:
        Coefficient and station; at no angle the slope and station of the static margin. Range: subsonic, slender,
        3 or 4 thin fins, one plane of attack at any roll.

    Raises:
        PartError: an angle below 0 or above 90 deg, or a Mach number below 0.
    """
    body = body_at_angle(air.body, air.side, air.reference_area, angle, flow)
    if not within(mach):
        return not_stated(angle, METHOD, (BEYOND,))
    forces = (at_mach(fins.force, fins.planform, mach) for fins in air.fins)
    fins = [fins_at_angle(force, angle) for force in forces if force]
    return added(angle, (body, *fins), METHOD)


def pressure_curve(
    air: AirStream,
    angles: tuple[float, ...] = ANGLES,
    machs: tuple[float, ...] = MACHS,
    flow: CrossFlow = CrossFlow(),
) -> PressureCurve:
    """Normal force and centre of pressure at every angle and Mach number; as `force_at`.

    Raises:
        PartError: an angle below 0 or above 90 deg, or a Mach number below 0.
    """
    points = tuple(PressurePoint(mach, force_at(air, angle, mach, flow)) for mach in machs for angle in angles)
    notes = tuple(dict.fromkeys(note for point in points for note in point.force.notes))
    return PressureCurve(air.reference_diameter, flow, points, notes)
