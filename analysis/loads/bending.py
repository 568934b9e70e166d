"""Bending of the airframe by a gust from the side at the greatest dynamic pressure.

The gust meets the whole rocket at once, as an angle of attack atan(gust / speed); nothing of it is lost while the
rocket turns, and nothing is added because it comes suddenly. Forces are those of the methods for the centre of
pressure, each along its item: of the body after NACA Report 1048, of fins with the factor of the 1966 report, at speed
by the rule of Prandtl and Glauert. The couple of a skin that swells and narrows again is left out. The rocket is a free
body (`free_body`), with the motor burnt out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from ...parts.curve import Floats
from ..aero.at_angle import HIGHEST_ANGLE
from ..aero.compressibility import HIGHEST_MACH, at_mach
from ..aero.cross_flow import CrossFlow
from ..air_stream import AirStream
from ..demands import Demands
from ..limits import Check, Limit
from ..mass import mass_properties
from ..motor import Motor
from ..outer_skin import outer_skin
from ..rocket import Item, Rocket
from ..wind_at_exit import HIGHEST_WIND
from .free_body import FreeBody, Spread, spread
from .walls import Wall, walls

SOURCE = "free beam under the air's forces and its own inertia; thin ring, M R / I (any mechanics textbook)"

FORMULA = "stress = M / Z + N / A, Z = pi (R^4 - r^4) / (4 R), A = pi (R^2 - r^2)"

LEFT_OUT = (
    "the gust is met by the whole rocket at once; how suddenly it comes, how the rocket turns out of it, play in the "
    "joints, and slots and holes in the walls are left out"
)


@dataclass(frozen=True, slots=True)
class Gust:
    """A gust square to the flight path.

    Attributes:
        speed: its speed [m/s], from 0.
        source: why this one.
    """

    speed: float = HIGHEST_WIND
    source: str = "20 mph, the greatest wind that 19 CCR 1036 lets fly"


def masses(rocket: Rocket, motor: Motor | None) -> tuple[Spread, ...]:
    """Everything that has mass along the axis, with the motor burnt out.

    Items whose mass is not stated are left out; `massless` names them.

    Args:
        rocket: the parts in place, without a motor.
        motor: the motor in it; None without one.
    """
    found = [one for item in rocket.items for one in _of_item(item)]
    if motor is not None:
        inside = motor.properties(loaded=False)
        found.append(spread(motor.name, motor.forward_end, motor.aft_end, inside.mass, inside.cg[0]))
    return tuple(found)


def massless(rocket: Rocket) -> tuple[str, ...]:
    """Names of the items whose mass is not stated."""
    return tuple(item.name for item in rocket.items if mass_properties(item) is None)


def _of_item(item: Item) -> Iterator[Spread]:
    """An item, copies along the axis apart."""
    first, last = item.part.extent() if item.part else (0.0, 0.0)
    for station in item.stations:
        share = None if item.stated_mass is None else item.stated_mass / len(item.stations)
        own = mass_properties(replace(item, stations=(station,), stated_mass=share))
        if own is not None and own.mass > 0.0:
            yield spread(item.name, station + first, station + last, own.mass, own.cg[0])


def side_forces(rocket: Rocket, air: AirStream, angle: float, pressure: float, mach: float = 0.0) -> tuple[Spread, ...]:
    """Forces of the air across the rocket at an angle of attack [N].

    Args:
        rocket: the parts in place.
        air: what the air meets of them.
        angle: angle of attack [rad], from 0 to 15 deg.
        pressure: dynamic pressure [Pa].
        mach: Mach number, up to 0.8 [-].
    """
    scale = pressure * 1e-6 * air.reference_area * math.sin(angle)
    flow = CrossFlow()
    found: list[Spread] = []
    slender = math.cos(angle) * math.cos(angle / 2.0)
    for stretch, force in zip(outer_skin(rocket), air.body, strict=True):
        name, skin = stretch.item.name, stretch.skin
        first, last = skin.station + skin.chain[0].start[0], skin.station + skin.chain[-1].end[0]
        if force.station is not None:
            found.append(spread(name, first, last, scale * slender * force.slope, force.station))
        area, middle = skin.planform()
        across = flow.length_factor * flow.drag * area * math.sin(angle) ** 2 * pressure * 1e-6
        found.append(spread(f"{name}, flow across", first, last, across, skin.station + middle))
    for fins, placed in zip(air.fins, rocket.fin_sets, strict=True):
        force = at_mach(fins.force, fins.planform, mach) or fins.force
        if force.station is not None:
            total = scale * math.cos(angle) * force.slope
            found.append(spread(fins.name, placed.station, placed.root_end, total, force.station))
    return tuple(one for one in found if one.total)


@dataclass(frozen=True, slots=True)
class Bent:
    """The rocket in a gust.

    Attributes:
        body: the free body, with the motor in it.
        hung: the masses without the motor [g].
        angle: angle of attack [rad].
        stations: where the moment was looked at (n,) [mm].
        moments: bending moment there (n,) [N mm].
    """

    body: FreeBody
    hung: tuple[Spread, ...]
    angle: float
    stations: tuple[float, ...]
    moments: tuple[float, ...]

    @property
    def greatest(self) -> tuple[float, float]:
        """Greatest bending moment [N mm], whichever way it bends, and its station [mm]."""
        return max((abs(moment), station) for station, moment in zip(self.stations, self.moments, strict=True))

    def pushed(self, stations: Floats, demands: Demands) -> Floats:
        """Greatest compression along the axis at stations (n,) [N]: what hangs on each from ahead, sped up, and drag.

        The motor pushes where it sits, and its own mass hangs on nothing ahead of it. That all of the drag at burnout
        acts ahead, and that the greatest acceleration comes with it, is careful.
        """
        ahead = sum((one.before(stations) for one in self.hung), np.zeros(len(stations)))
        return np.asarray(ahead * 1e-3 * max(demands.acceleration, 0.0) + max(demands.drag_at_burnout, 0.0))

    def worst(self, wall: Wall, demands: Demands) -> Worst:
        """The place of a wall that bending and compression together press hardest."""
        inside = np.array([wall.first, *(x for x in self.stations if wall.first < x < wall.last), wall.last])
        moments, along = np.abs(self.body.moment(inside)), self.pushed(inside, demands)
        place = int(np.argmax(moments / wall.modulus + along / wall.area))
        return Worst(float(inside[place]), float(moments[place]), float(along[place]))


@dataclass(frozen=True, slots=True)
class Worst:
    """What presses a wall where it is pressed hardest.

    Attributes:
        station: where [mm].
        moment: bending moment there [N mm].
        along: compression along the axis there [N].
    """

    station: float
    moment: float
    along: float


def gust_angle(gust: Gust, demands: Demands) -> float:
    """Angle of attack by a gust at the greatest speed [rad]."""
    return math.atan2(gust.speed, demands.speed)


def bent(rocket: Rocket, air: AirStream, motor: Motor | None, demands: Demands, gust: Gust = Gust()) -> Bent | None:
    """The rocket in a gust; None where `reason_for_none` says why."""
    if reason_for_none(rocket, demands, gust) is not None:
        return None
    angle, mach = gust_angle(gust, demands), demands.speed / demands.sound
    body = FreeBody(masses(rocket, motor), side_forces(rocket, air, angle, demands.dynamic_pressure, mach))
    stations = body.stations()
    return Bent(body, masses(rocket, None), angle, tuple(stations.tolist()), tuple(body.moment(stations).tolist()))


def reason_for_none(rocket: Rocket, demands: Demands, gust: Gust) -> str | None:
    """Why the rocket in a gust is not stated, with what to enter; None where it is.

    Not stated are an angle beyond 15 deg, a speed above Mach 0.8 and a rocket with a mass that is not stated.
    """
    if without := massless(rocket):
        return f"enter the mass or the material of {', '.join(without)}"
    if len({one.station for one in masses(rocket, None)}) < _LEAST_MASSES:
        return "needs mass at more than one station"
    if demands.speed / demands.sound > HIGHEST_MACH:
        return f"above Mach {HIGHEST_MACH:g} the forces of the air are not stated"
    angle = gust_angle(gust, demands)
    if angle > HIGHEST_ANGLE:
        return f"the gust makes an angle of attack of {math.degrees(angle):.1f} deg; beyond 15 deg nothing is stated"
    return None


_LEAST_MASSES = 2


def bending_checks(
    rocket: Rocket,
    air: AirStream,
    motor: Motor | None,
    demands: Demands,
    rules: Mapping[str, Limit],
    gust: Gust = Gust(),
) -> Iterator[Check]:
    """Stress in every wall of the airframe where it carries alone: tubes, couplers and shoulders.

    Args:
        rocket: the parts in place, without a motor.
        air: what the air meets of them.
        motor: the motor in it; None without one.
        demands: the greatest values of the flight.
        rules: limits by name; `airframe_strength` is used.
        gust: the gust from the side.
    """
    limit = rules["airframe_strength"]
    found, why = bent(rocket, air, motor, demands, gust), reason_for_none(rocket, demands, gust) or ""
    for wall in walls(rocket):
        name = f"{wall.name}: bending and crushing, {demands.motor}"
        bears = wall.bears
        if found is None or bears is None:
            note = why or wall.unknown("strength in bending, compression and tension")
            yield Check(name, "not-stated", None, limit.words(), f"{limit.source}; {SOURCE}", note, FORMULA)
            continue
        yield _stress(name, wall, bears, found, demands, gust, limit)


def _stress(
    name: str,
    wall: Wall,
    bears: float,
    found: Bent,
    demands: Demands,
    gust: Gust,
    limit: Limit,
) -> Check:
    worst = found.worst(wall, demands)
    stress = worst.moment / wall.modulus + worst.along / wall.area
    times = bears / stress if stress > 0.0 else math.inf
    row = wall.strength
    greatest, place = found.greatest
    return Check(
        name,
        limit.status(times),
        f"{worst.moment / 1000.0:.2f} N m and {worst.along:.0f} N at {worst.station:.0f} mm, {stress:.2f} MPa of "
        f"{bears:g} MPa: {times:.1f} times",
        limit.words(),
        f"{limit.source}; {SOURCE}",
        LEFT_OUT,
        FORMULA,
        (
            f"gust {gust.speed:.2f} m/s ({gust.source}) over {demands.speed:.1f} m/s: angle of attack "
            f"{math.degrees(found.angle):.2f} deg",
            f"dynamic pressure {demands.dynamic_pressure:.0f} Pa; greatest moment of the whole rocket "
            f"{greatest / 1000.0:.2f} N m at {place:.0f} mm",
            f"free body: {found.body.mass:.0f} g with the motor burnt out, sideways {found.body.sideways:.2f} m/s2, "
            f"turning {found.body.turning:.2f} rad/s2",
            f"compression N {worst.along:.1f} N: mass ahead times {demands.acceleration:.1f} m/s2, and all of the "
            f"drag, {demands.drag_at_burnout:.1f} N",
            wall.words,
            f"{wall.material}: the least of bending, compression and tension, {bears:g} MPa "
            f"({row.mark if row else ''})",
        ),
    )
