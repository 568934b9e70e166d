"""Normal force of thin fins at an angle of attack.

Source: E. C. Polhamus, A Concept of the Vortex Lift of Sharp-Edge Delta Wings, NASA TN D-3767, 1966: the normal force
of attached flow goes with sin a cos a (from memory). What vortices over the edges add to it, with sin^2 a, is left out:
on fins at the tail it acts behind the centre of gravity, so leaving it off is careful.
"""

from __future__ import annotations

import math

from .at_angle import ForceAtAngle, not_stated, within
from .normal_force import NormalForce

METHOD = "fins at angle of attack, attached flow as E. C. Polhamus has it, NASA TN D-3767, 1966"


def fins_at_angle(force: NormalForce, angle: float) -> ForceAtAngle:
    """A set of fins at an angle of attack, at its own station.

    Args:
        force: the set at small angles.
        angle: angle of attack [rad], from 0; above 15 deg nothing is stated.

    Raises:
        PartError: an angle below 0 or above 90 deg.
    """
    if not within(angle):
        return not_stated(angle, METHOD)
    share = math.cos(angle)
    return ForceAtAngle(angle, force.slope * share, force.moment * share, METHOD, force.notes)
