"""What the air meets of a rocket, body and fins apart, for the methods that treat them unlike each other."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from .aero.body import Skin, body_normal_force
from .aero.carry_over import fins_on_body
from .aero.cross_flow import SideView, side_view
from .aero.fins import fin_set
from .aero.normal_force import NormalForce
from .aero.planform import Planform, planform
from .outer_skin import outer_skin
from .rocket import Rocket


@dataclass(frozen=True, slots=True)
class FinsInAir:
    """A set of fins.

    Attributes:
        name: name of the item that they belong to.
        planform: one of them.
        radius: radius of the surface that they stand on [mm].
        force: normal force of the set at small angles and low speed.
    """

    name: str
    planform: Planform
    radius: float
    force: NormalForce


@dataclass(frozen=True, slots=True)
class AirStream:
    """Body and fins of a rocket in the air.

    Attributes:
        reference_diameter: diameter of the reference area [mm].
        length: overall length [mm].
        body: normal force of each stretch of skin, from forward to aft.
        side: side view of the body, without fins.
        fins: the sets of fins, from forward to aft.
        stretches: name of the item that each stretch of skin belongs to.
    """

    reference_diameter: float
    length: float
    body: tuple[NormalForce, ...]
    side: SideView
    fins: tuple[FinsInAir, ...]
    stretches: tuple[str, ...]

    @property
    def reference_area(self) -> float:
        """Area that coefficients refer to [mm2]."""
        return math.pi * self.reference_diameter**2 / 4.0

    @property
    def forces(self) -> tuple[NormalForce, ...]:
        """Normal force of everything at small angles and low speed."""
        return (*self.body, *(one.force for one in self.fins))


def air_stream(rocket: Rocket, reference_diameter: float | None = None) -> AirStream | None:
    """Body and fins of a rocket by the methods of the 1966 report; None without a body.

    Args:
        rocket: the parts in place.
        reference_diameter: diameter of the reference area [mm]; the rocket's own, its largest, if not stated.
    """
    diameter, length = reference_diameter or rocket.reference_diameter, rocket.length
    if diameter is None or length is None:
        return None
    area = math.pi * diameter**2 / 4.0
    stretches = outer_skin(rocket)
    skins = tuple(stretch.skin for stretch in stretches)
    ahead: tuple[Skin | None, ...] = (None, *skins)
    body = tuple(body_normal_force(skin, before, area) for skin, before in zip(skins, ahead, strict=False))
    fins = []
    for one in rocket.fin_sets:
        shape = planform(one.planform)
        force = fin_set(shape, one.count, one.radius, one.station, diameter, one.cant)
        fins.append(FinsInAir(one.name, shape, one.radius, force))
    names = tuple(stretch.item.name for stretch in stretches)
    return AirStream(diameter, length, body, side_view(skins), tuple(fins), names)


def with_carry_over(air: AirStream) -> AirStream:
    """The same with the factors of NACA Report 1307 on every set of fins, in the place of the 1966 report's.

    Raises:
        PartError: fins without a span.
    """
    fins = tuple(
        replace(one, force=fins_on_body(one.force, one.radius, one.planform.semi_span).both) for one in air.fins
    )
    return replace(air, fins=fins)
