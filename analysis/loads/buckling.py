"""Buckling of walls: of the nose under the air, and of every wall under thrust and inertia.

Cylinders: Buckling of Thin-Walled Circular Cylinders, NASA SP-8007, 1968 (from memory). Along the axis

    s = g E t / (R sqrt(3 (1 - v^2))),  g = 1 - 0.901 (1 - exp(-sqrt(R / t) / 16))

and in bending the same with 0.731 in the place of 0.901, for R / t up to 1500. Cones: Buckling of Thin-Walled Truncated
Cones, NASA SP-8019, 1968 (from memory). Along the axis

    P = g 2 pi E t^2 cos(a)^2 / sqrt(3 (1 - v^2)),  g at most 0.33

and under pressure all round, with the mean radius r = (r1 + r2) / (2 cos a) of a cone L long,

    p = 0.92 g E / ((L / r) (r / t)^(5/2)),  g = 0.75

A nose of any profile counts as the cone from its tip to its base, r1 = 0; its own skin is rounder and stiffer. g knocks
down what a perfect shell bears to what shells have borne in tests. R and r run to the middle of the wall.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from ...parts.kinds import NoseCone
from ..air_stream import AirStream
from ..demands import Demands
from ..limits import Check, Limit
from ..motor import Motor
from ..rocket import Rocket
from .bending import Bent, Gust, bent, reason_for_none
from .walls import Wall, walls

SOURCE_CYLINDER = "NASA SP-8007, Buckling of Thin-Walled Circular Cylinders, 1968 (from memory)"
SOURCE_CONE = "NASA SP-8019, Buckling of Thin-Walled Truncated Cones, 1968 (from memory)"

FORMULA_CYLINDER = "s = g E t / (R sqrt(3 (1 - v^2))), g = 1 - 0.901 (1 - exp(-sqrt(R / t) / 16))"
FORMULA_CONE = "p = 0.92 g E / ((L / r) (r / t)^2.5), r = R / (2 cos a), g = 0.75"

POISSON = 0.3
"""Poisson's ratio of every wall [-]; between 0.3 and 0.4 it moves the result by 4 per cent (common practice)."""

THINNEST = 1500.0
"""Radius over wall up to which the knock-down holds [-]."""

_CONE_AXIAL = 0.33
_CONE_PRESSURE = 0.75
_MPA = 1e6


def knock_down(radius_over_wall: float, bending: bool = False) -> float:
    """Share of the classical stress that thin cylinders have borne [-]."""
    depth = 0.731 if bending else 0.901
    return 1.0 - depth * (1.0 - math.exp(-math.sqrt(radius_over_wall) / 16.0))


def cylinder_stress(modulus: float, radius: float, thickness: float) -> float:
    """Stress along the axis at which a thin cylinder buckles, knocked down [MPa].

    Args:
        modulus: modulus of elasticity [MPa].
        radius: middle of the wall [mm].
        thickness: wall [mm].
    """
    classical = modulus * thickness / (radius * math.sqrt(3.0 * (1.0 - POISSON**2)))
    return knock_down(radius / thickness) * classical


def cone_force(modulus: float, radius: float, thickness: float, half_angle: float) -> float:
    """Force along the axis at which a thin cone buckles, knocked down [N].

    Args:
        modulus: modulus of elasticity [MPa].
        radius: middle of the wall at the larger end [mm].
        thickness: wall, square to the skin [mm].
        half_angle: half the angle of the cone [rad].
    """
    share = min(_CONE_AXIAL, knock_down(radius / math.cos(half_angle) / thickness))
    whole = math.tau * modulus * thickness**2 * math.cos(half_angle) ** 2
    return share * whole / math.sqrt(3.0 * (1.0 - POISSON**2))


def cone_pressure(modulus: float, radius: float, thickness: float, length: float) -> float:
    """Pressure all round at which a thin cone to a point buckles, knocked down [MPa].

    Args:
        modulus: modulus of elasticity [MPa].
        radius: middle of the wall at its base [mm].
        thickness: wall [mm].
        length: tip to base [mm].
    """
    mean = radius / (2.0 * math.cos(math.atan2(radius, length)))
    return float(0.92 * _CONE_PRESSURE * modulus / (length / mean * (mean / thickness) ** 2.5))


def buckling_checks(
    rocket: Rocket,
    air: AirStream,
    motor: Motor | None,
    demands: Demands,
    rules: Mapping[str, Limit],
    gust: Gust = Gust(),
) -> Iterator[Check]:
    """Every wall under compression and bending together, and the nose under the pressure of the air.

    Args:
        rocket: the parts in place, without a motor.
        air: what the air meets of them.
        motor: the motor in it; None without one.
        demands: the greatest values of the flight.
        rules: limits by name; `wall_buckling` is used.
        gust: the gust from the side.
    """
    limit = rules["wall_buckling"]
    found, why = bent(rocket, air, motor, demands, gust), reason_for_none(rocket, demands, gust) or ""
    carrying = walls(rocket)
    for wall in carrying:
        yield _along(wall, found, why, demands, limit)
    for item in rocket.items:
        if isinstance(item.part, NoseCone):
            wall = next(one for one in carrying if one.name == f"{item.name}, body")
            yield _pressed(item.name, wall, demands, limit)


def _along(wall: Wall, found: Bent | None, why: str, demands: Demands, limit: Limit) -> Check:
    name = f"{wall.name}: buckling, {demands.motor}"
    cone = wall.half_angle > 0.0
    source = f"{limit.source}; {SOURCE_CONE if cone else SOURCE_CYLINDER}"
    if not wall.inside:
        return Check(name, "pass", "solid", "a wall that is thin", source, "what is solid has no wall to buckle")
    modulus = wall.strength.modulus if wall.strength else None
    if found is None or modulus is None:
        return Check(name, "not-stated", None, limit.words(), source, why or wall.unknown("modulus"), FORMULA_CYLINDER)
    worst = found.worst(wall, demands)
    # A moment presses the edge of a ring as hard as a force of 2 M / R on all of it.
    load = worst.along + 2.0 * worst.moment / wall.middle
    if cone:
        bears = cone_force(modulus, wall.middle, wall.thickness, wall.half_angle)
    else:
        bears = cylinder_stress(modulus, wall.middle, wall.thickness) * math.tau * wall.middle * wall.thickness
    times = bears / load if load > 0.0 else math.inf
    thin = wall.middle / wall.thickness
    return Check(
        name,
        "warn" if thin > THINNEST else limit.status(times),
        f"{load:.0f} N of {bears:.0f} N: {times:.1f} times",
        limit.words(),
        source,
        f"radius over wall is {thin:.0f}, beyond the {THINNEST:g} that the knock-down is known for"
        if thin > THINNEST
        else "holes, seams and layers that part are left out",
        "P = g 2 pi E t^2 cos(a)^2 / sqrt(3 (1 - v^2)), g <= 0.33; load = N + 2 M / R" if cone else FORMULA_CYLINDER,
        (
            f"compression N {worst.along:.1f} N and bending moment M {worst.moment / 1000.0:.2f} N m at "
            f"{worst.station:.0f} mm: together N + 2 M / R",
            f"{wall.words}, R / t {thin:.1f}, g {_share(wall):.3f}, v {POISSON:g} (common practice)",
            _modulus_words(wall, modulus),
        ),
    )


def _share(wall: Wall) -> float:
    along = wall.middle / math.cos(wall.half_angle) / wall.thickness
    return min(_CONE_AXIAL, knock_down(along)) if wall.half_angle else knock_down(along)


def _pressed(item: str, wall: Wall, demands: Demands, limit: Limit) -> Check:
    name = f"{item}: buckling under the air's pressure, {demands.motor}"
    source = f"{limit.source}; {SOURCE_CONE}"
    if not wall.inside:
        return Check(name, "pass", "solid", "a wall that is thin", source, "what is solid has no wall to buckle")
    modulus = wall.strength.modulus if wall.strength else None
    if modulus is None:
        return Check(name, "not-stated", None, limit.words(), source, wall.unknown("modulus"), FORMULA_CONE)
    bears = cone_pressure(modulus, wall.middle, wall.thickness, wall.length) * _MPA
    pressure = demands.dynamic_pressure
    times = bears / pressure if pressure > 0.0 else math.inf
    return Check(
        name,
        limit.status(times),
        f"{pressure / 1000.0:.2f} kPa of {bears / 1000.0:.1f} kPa: {times:.1f} times",
        limit.words(),
        source,
        "the pressure at the very tip on all of the skin, and the air inside as outside: careful both",
        FORMULA_CONE,
        (
            f"dynamic pressure {pressure:.0f} Pa",
            f"tip to base L {wall.length:.1f} mm, base {wall.words}, as a cone",
            _modulus_words(wall, modulus),
        ),
    )


def _modulus_words(wall: Wall, modulus: float) -> str:
    row = wall.strength
    return f"modulus E of {wall.material} {modulus:g} MPa ({row.source if row else ''}; {row.mark if row else ''})"
