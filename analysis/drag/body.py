"""A rocket as its drag sees it: geometry alone, worked out once for all speeds."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ...parts.errors import PartError
from ...parts.kinds import RailButton
from ..outer_skin import Stretch, outer_skin
from ..rocket import Rocket
from .base import Base
from .body_friction import BodyFriction, body_friction
from .buttons import ButtonDrag
from .fin_parts import fin_elements
from .slopes import Widening, boat_tail, narrowings, widenings
from .steps import LEAST, Step
from .term import Element

MOST_ROUGHNESS = 1000.0
"""Roughest surface [micrometres]: twice raw wood."""

LEFT_OUT = (
    "screw heads, vents, tape, wear and whatever else stands out and is not a part of the design is left out",
    "the rocket flies straight: what wind, spin and lift add is left out",
    "glue fillets along fins and the strip of body under their roots are left out; they about cancel",
)
"""What no term has."""


@dataclass(frozen=True, slots=True)
class DragBody:
    """Geometry of a rocket for its drag.

    Attributes:
        reference_diameter: largest diameter of the body, or as stated, of the area that coefficients refer to [mm].
        roughness: height of the grains on all surfaces [micrometres].
        motor_diameter: diameter that the jet fills of the base [mm]; None where no motor is stated.
        friction: the wetted skin.
        base: the aft end.
        elements: everything else, from forward to aft.
        notes: what is left out or missing.
    """

    reference_diameter: float
    roughness: float
    motor_diameter: float | None
    friction: BodyFriction
    base: Base
    elements: tuple[Element, ...]
    notes: tuple[str, ...] = ()

    @property
    def reference_area(self) -> float:
        """Area that coefficients refer to [mm2]."""
        return math.pi * self.reference_diameter**2 / 4.0


def drag_body(
    rocket: Rocket,
    roughness_micrometres: float,
    motor_diameter: float | None = None,
    reference_diameter: float | None = None,
) -> DragBody | None:
    """A rocket as its drag sees it; None without a body.

    Args:
        rocket: the parts in place.
        roughness_micrometres: height of the sand grains that rub as much as its surface [micrometres], 0 to 1,000; see
            `skin_friction.ROUGHNESSES`.
        motor_diameter: outside diameter of the motor, which the jet is taken to fill of the base while it burns [mm];
            None takes nothing out.
        reference_diameter: diameter of the reference area [mm]; the body's largest if not stated.

    Raises:
        PartError: a value out of its range.
    """
    if not 0.0 <= roughness_micrometres <= MOST_ROUGHNESS:
        raise PartError(f"roughness: must be from 0 to {MOST_ROUGHNESS:g} um, got {roughness_micrometres:g} um")
    for name, value in (("motor_diameter", motor_diameter), ("reference_diameter", reference_diameter)):
        if value is not None and not 0.0 < value < math.inf:
            raise PartError(f"{name}: must be above 0 mm, got {value:g} mm")
    largest, stretches = rocket.reference_diameter, outer_skin(rocket)
    if largest is None or not stretches:
        return None
    friction = body_friction([one.skin for one in stretches], largest)
    elements: list[Element] = [
        *_faces(stretches),
        *_steps(stretches),
        *_narrowed(stretches, friction.station),
        *fin_elements(rocket),
        *_buttons(rocket),
    ]
    missing = () if motor_diameter else ("no motor is stated, so that the jet fills nothing of the base",)
    return DragBody(
        reference_diameter or largest,
        roughness_micrometres,
        motor_diameter,
        friction,
        _base(stretches, friction.station, motor_diameter),
        tuple(sorted(elements, key=lambda one: one.station)),
        (*missing, *LEFT_OUT),
    )


def _faces(stretches: Sequence[Stretch]) -> Iterator[Widening]:
    first = stretches[0]
    if first.skin.forward_area > LEAST:
        station = first.skin.station + first.skin.chain[0].start[0]
        yield Widening(first.item.name, station, first.skin.forward_area, math.pi / 2.0)
    for stretch in stretches:
        yield from widenings(stretch.item.name, stretch.skin)


def _steps(stretches: Sequence[Stretch]) -> Iterator[Step]:
    for ahead, behind in pairwise(stretches):
        first, second = ahead.skin.chain[-1].end[1], behind.skin.chain[0].start[1]
        if abs(second - first) > LEAST:
            station = behind.skin.station + behind.skin.chain[0].start[0]
            yield Step(f"{ahead.item.name}, {behind.item.name}", station, first, second)


def _narrowed(stretches: Sequence[Stretch], end: float) -> Iterator[Element]:
    for stretch in stretches:
        yield from narrowings(stretch.item.name, stretch.skin, end)


def _base(stretches: Sequence[Stretch], end: float, motor_diameter: float | None) -> Base:
    last = stretches[-1]
    jet = math.pi * motor_diameter**2 / 4.0 if motor_diameter else 0.0
    return Base(last.item.name, end, last.skin.aft_area, boat_tail(last.skin, end), jet)


def _buttons(rocket: Rocket) -> Iterator[ButtonDrag]:
    for item in rocket.items:
        part = item.part
        if isinstance(part, RailButton):
            frontal = (
                part.foot_diameter * part.rail_face()
                + part.waist_diameter * part.waist_height
                + part.head_diameter * part.head_height
            )
            for station in item.stations:
                yield ButtonDrag(item.name, station, part.extent_outwards(), frontal, item.count)
