"""Normal force of the body at an angle of attack: slender-body lift and the drag of the flow across it.

Source: H. J. Allen and E. W. Perkins, A Study of Effects of Viscosity on Flow over Slender Inclined Bodies of
Revolution, NACA Report 1048, 1951, in the form

    CN = (k2 - k1) (A_b / A) sin 2a cos(a/2) + eta C_dc (A_p / A) sin^2 a

with the base area A_b, the side-view area A_p and the reference area A. Its moments have the first term at the station
of slender-body theory and the second at the centroid of the side view (form and moments from memory). The first term is
written here as the slopes of the stretches of skin, which sum to 2 A_b / A, so that steps and transitions keep theirs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from ...parts.errors import PartError
from .at_angle import ForceAtAngle, added, not_stated, within
from .body import Skin
from .normal_force import NormalForce, combined

METHOD = "body lift at angle of attack, in the form of H. J. Allen and E. W. Perkins, NACA Report 1048, 1951"

APPARENT_MASS = (
    "k2 - k1 is taken as 1, that of a very slender body; a shorter one has less force on its nose, and the centre of "
    "pressure farther aft for it"
)


@dataclass(frozen=True, slots=True)
class CrossFlow:
    """What the flow across the body does.

    Attributes:
        drag: drag coefficient of a long cylinder across the flow, C_dc [-]; 1.2 below a Reynolds number of about 2e5
            on speed across and diameter, and a Mach number across of about 0.4 (common practice).
        length_factor: what a cylinder of the body's length has of it, eta [-], above 0 to 1; 1 leaves nothing off.

    Raises:
        PartError: a coefficient below 0 or above 2, or a factor outside 0 to 1.
    """

    drag: float = 1.2
    length_factor: float = 1.0

    def __post_init__(self) -> None:
        if not 0.0 <= self.drag <= 2.0:
            raise PartError(f"drag: must be from 0 to 2, got {self.drag:g}")
        if not 0.0 < self.length_factor <= 1.0:
            raise PartError(f"length_factor: must be above 0 and not above 1, got {self.length_factor:g}")

    @property
    def words(self) -> str:
        """What is assumed, in words."""
        return (
            f"flow across the body: drag coefficient {self.drag:g}, as below a Reynolds number across of about 2e5, "
            f"and factor for the length {self.length_factor:g}"
        )


@dataclass(frozen=True, slots=True)
class SideView:
    """The body as seen from the side.

    Attributes:
        area: its area [mm2].
        centroid: station of its centroid [mm].
    """

    area: float
    centroid: float


def side_view(skins: Iterable[Skin]) -> SideView:
    """Side-view area and centroid of the body from its exact meridian.

    Raises:
        PartError: there is no skin.
    """
    found = [(skin.station, *skin.planform()) for skin in skins]
    area = sum(one for _, one, _ in found)
    if not area > 0.0:
        raise PartError("skins: a body has at least one stretch of skin")
    return SideView(area, sum(one * (station + place) for station, one, place in found) / area)


def slender_lift(body: Iterable[NormalForce], angle: float) -> ForceAtAngle:
    """First term: the body's slopes at an angle of attack.

    Args:
        body: normal force of each stretch of skin, as `body_normal_force` gives it.
        angle: angle of attack [rad], from 0; above 15 deg nothing is stated.

    Raises:
        PartError: an angle below 0 or above 90 deg.
    """
    if not within(angle):
        return not_stated(angle, METHOD)
    whole = combined(body)
    share = math.cos(angle) * math.cos(angle / 2.0)
    return ForceAtAngle(angle, whole.slope * share, whole.moment * share, METHOD, (*whole.notes, APPARENT_MASS))


def cross_flow(view: SideView, reference_area: float, angle: float, flow: CrossFlow = CrossFlow()) -> ForceAtAngle:
    """Second term: the drag of the flow across the body, at the centroid of its side view.

    Args:
        view: the body from the side.
        reference_area: area that the coefficient refers to [mm2].
        angle: angle of attack [rad], from 0; above 15 deg nothing is stated.
        flow: what the flow across does.

    Raises:
        PartError: an angle below 0 or above 90 deg.
    """
    if not within(angle):
        return not_stated(angle, METHOD)
    slope = flow.length_factor * flow.drag * view.area / reference_area * math.sin(angle)
    return ForceAtAngle(angle, slope, slope * view.centroid, METHOD, (flow.words,))


def body_at_angle(
    body: Iterable[NormalForce], view: SideView, reference_area: float, angle: float, flow: CrossFlow = CrossFlow()
) -> ForceAtAngle:
    """Both terms together; as `slender_lift` and `cross_flow`."""
    return added(angle, (slender_lift(body, angle), cross_flow(view, reference_area, angle, flow)), METHOD)
