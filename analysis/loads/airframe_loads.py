"""Every check of what the air and a landing do to the airframe, for one motor."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..air_stream import AirStream
from ..demands import Demands
from ..limits import Check, Limit
from ..motor import Motor
from ..rocket import Rocket
from .bending import Gust, bending_checks
from .buckling import buckling_checks
from .divergence import divergence_checks
from .flutter import flutter_checks
from .landing import landing_checks
from .vents import vent_checks


def airframe_checks(
    rocket: Rocket,
    air: AirStream,
    motor: Motor | None,
    demands: Demands,
    rules: Mapping[str, Limit],
    gust: Gust = Gust(),
) -> Iterator[Check]:
    """Fins, walls, vents and landing.

    Args:
        rocket: the parts in place, without a motor.
        air: what the air meets of them.
        motor: the motor that the demands are of, for its place and mass; None leaves it out.
        demands: the greatest values of the flight.
        rules: limits by name.
        gust: the gust from the side at the greatest dynamic pressure.
    """
    yield from flutter_checks(rocket, demands, rules)
    yield from divergence_checks(rocket, demands, rules)
    yield from bending_checks(rocket, air, motor, demands, rules, gust)
    yield from buckling_checks(rocket, air, motor, demands, rules, gust)
    yield from vent_checks(rocket, demands, rules)
    yield from landing_checks(rocket, demands, rules)
