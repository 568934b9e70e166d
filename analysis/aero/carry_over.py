"""Lift that fins and body give each other, after NACA Report 1307: an alternative to the 1966 report's one factor.

Source: W. C. Pitts, J. N. Nielsen and G. E. Kaattari, Lift and Center of Pressure of Wing-Body-Tail Combinations at
Subsonic, Transonic, and Supersonic Speeds, NACA Report 1307, 1957: the factors of slender-body theory. They are from
memory and checked by integrating the potential of that theory. Of the report its summary was read (looked up): it
claims the lift within 10 per cent and the station within 0.02 of the body's length.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ...parts.errors import PartError
from .interference import body_interference
from .normal_force import NormalForce, combined

METHOD = "fins after J. S. and J. A. Barrowman 1966, eq. 57-59, 76, with slender-body factors of NACA Report 1307"

LIFT_WITHIN = 0.10
"""Accuracy that the report claims for the lift, as a part of it (looked up, its summary) [-]."""

STATION_WITHIN = 0.02
"""Accuracy that the report claims for the centre of pressure, as a part of the length (looked up, its summary) [-]."""

SAME_STATION = (
    "the body's share is assumed to act where the fins' does; where it really does depends on planform and tube"
)
COUNTED = (
    "counts lift that the fins put on the body: with fins at the tail the centre of pressure is aft of the 1966 "
    "report's, the less careful figure of the two; a tube that ends with the fins carries less of it"
)


@dataclass(frozen=True, slots=True)
class CarryOver:
    """Factors on the lift of fins alone.

    Attributes:
        ratio: radius of the body over the distance from axis to tip, r / (r + s) [-].
        fins: lift on the fins beside the body, K_W(B) [-].
        body: lift on the body beside the fins, K_B(W) [-].
    """

    ratio: float
    fins: float
    body: float

    @property
    def total(self) -> float:
        """Both together [-]: (1 + ratio)^2."""
        return self.fins + self.body


@dataclass(frozen=True, slots=True)
class FinsOnBody:
    """A set of fins with what it makes the body carry.

    Attributes:
        factors: the factors that were used.
        fins: normal force on the fins.
        body: normal force that they put on the body.
        by_1966: the same set with the factor of the 1966 report.
    """

    factors: CarryOver
    fins: NormalForce
    body: NormalForce
    by_1966: NormalForce

    @property
    def both(self) -> NormalForce:
        """Fins and body together."""
        return replace(combined((self.fins, self.body)), method=METHOD)

    @property
    def gain(self) -> float:
        """Slope beyond that by the 1966 report [1/rad]."""
        return self.fins.slope + self.body.slope - self.by_1966.slope


def carry_over(body_radius: float, semi_span: float) -> CarryOver:
    """Factors K_W(B) and K_B(W) of slender-body theory for a pair of fins on a round body.

    Args:
        body_radius: radius of the body at the fins [mm], from 0.
        semi_span: body surface to tip [mm], above 0.

    Returns:
        Both factors: 1 and 0 without a body. Range: slender, subsonic, small angles; fins in pairs, so four; the 1966
        report's way of taking a pair's factor for three is followed.

    Raises:
        PartError: a radius below 0, or no span.
    """
    if not 0.0 <= body_radius < math.inf:
        raise PartError(f"body_radius: must be 0 mm or more, got {body_radius:g} mm")
    if not 0.0 < semi_span < math.inf:
        raise PartError(f"semi_span: must be above 0 mm, got {semi_span:g} mm")
    ratio = body_radius / (body_radius + semi_span)
    square = ratio**2
    # The report's 1/2 atan((1/t - t)/2) is pi/4 - atan(t); written so, nothing is divided by a radius of zero.
    bracket = math.pi / 2.0 * (1.0 + square**2) - (1.0 + square) ** 2 * math.atan(ratio) - ratio * (1.0 - square)
    fins = 2.0 / math.pi / (1.0 - ratio) ** 2 * bracket
    return CarryOver(ratio, fins, (1.0 + ratio) ** 2 - fins)


def fins_on_body(found: NormalForce, body_radius: float, semi_span: float) -> FinsOnBody:
    """A set of fins with these factors in the place of the 1966 report's.

    Args:
        found: the set as `fin_set` gives it, with the factor of the 1966 report in it.
        body_radius: radius of the body at the fins [mm].
        semi_span: body surface to tip [mm].

    Returns:
        The shares of fins and body, both at the station of the fins, which a note says.

    Raises:
        PartError: a radius below 0, or no span.
    """
    factors = carry_over(body_radius, semi_span)
    alone = found.slope / body_interference(body_radius, semi_span)
    fins = replace(found, slope=alone * factors.fins, method=METHOD)
    notes = (*found.notes, SAME_STATION, COUNTED) if found.slope else found.notes
    body = NormalForce(alone * factors.body, found.station, METHOD, notes)
    return FinsOnBody(factors, fins, body, found)
