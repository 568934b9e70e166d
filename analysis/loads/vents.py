r"""Vents: holes that let the air out of a compartment as the rocket climbs.

The air outside falls by p' = density g v at a climb of v. As much must leave a compartment of volume V to keep up,
V p' / p of its own air in a second where it keeps its temperature. A hole of area A lets C A sqrt(2 dp / density) of it
out (orifice flow, any textbook of hydraulics), so that

    dp = (density / 2) (V density g v / (p C A))^2.

This is the greatest difference of the climb: at the greatest climb, in the air at the height of the greatest speed, as
if it had lasted; the difference comes up to it from below. Air that cools as it spreads falls in pressure by itself,
and needs less. What the air stream does at the hole is left out: behind a step or a dent it adds or takes far more.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ...parts.chain import Chain
from ...parts.errors import PartError
from ...parts.kinds import CenteringRing, Coupler, MotorMount, NoseCone, Transition, Tube
from ..aero.body import Skin
from ..demands import Demands
from ..gas_bay import Disc, discs
from ..joints import Joint
from ..limits import Check, Limit, Status
from ..rail_exit import GRAVITY
from ..rocket import Item, Rocket

SOURCE = "orifice flow, derived in `vents`"

FORMULA = "dp = (density / 2) (V density g v / (p C A))^2, force = dp x area of the bore"

ORIFICE = 0.6
"""Discharge coefficient of a drilled hole [-] (common practice: 0.6 for a sharp edge)."""

_HEAT_RATIO = 1.4

RULES = (
    "common practice: one hole of 3 to 4 mm a section is usual, and 6.4 mm (1/4 in) is said to be enough for any; a "
    "bay with an instrument that reads pressure goes by that instrument's sheet, or by 6.4 mm for each 1640 cm3"
)


@dataclass(frozen=True, slots=True)
class Compartment:
    """A closed stretch of the airframe.

    Attributes:
        name: what closes it, from forward to aft.
        first: its forward end [mm].
        last: its aft end [mm].
        volume: bore times length, and the inside of a nose; nothing in it is taken off [mm3].
        bore: its widest bore [mm].
        vents: diameter of every hole that leads out of it [mm].
    """

    name: str
    first: float
    last: float
    volume: float
    bore: float
    vents: tuple[float, ...]

    @property
    def vent_area(self) -> float:
        """Area of all holes together [mm2]."""
        return sum(math.pi * one**2 / 4.0 for one in self.vents)

    @property
    def bore_area(self) -> float:
        """Area that the difference pushes on [mm2]."""
        return math.pi * self.bore**2 / 4.0


@dataclass(frozen=True, slots=True)
class Air:
    """The air that the rocket climbs through.

    Attributes:
        pressure: its pressure [Pa].
        density: its density [kg/m3].
        climb: how fast the rocket climbs [m/s].
    """

    pressure: float
    density: float
    climb: float


def air_of(demands: Demands) -> Air:
    """The air at the greatest speed, which counts as climb."""
    return Air(demands.pressure, _HEAT_RATIO * demands.pressure / demands.sound**2, demands.speed)


def pressure_difference(volume: float, vent_area: float, air: Air) -> float:
    """Greatest pressure inside over that outside [Pa].

    Args:
        volume: volume of the compartment [mm3].
        vent_area: area of its holes [mm2], above 0.
        air: the air and the climb.

    Raises:
        PartError: no area.
    """
    if not vent_area > 0.0:
        raise PartError(f"vent_area: must be above 0 mm2, got {vent_area:g} mm2")
    # mm3 over mm2 is mm.
    speed = volume * 1e-3 / vent_area * air.density * GRAVITY * air.climb / (air.pressure * ORIFICE)
    return air.density / 2.0 * speed**2


def hole_for(volume: float, bore_area: float, force: float, air: Air) -> float:
    """Diameter of the one hole that keeps the force on the bore at a value [mm].

    Args:
        volume: volume of the compartment [mm3].
        bore_area: area that the difference pushes on [mm2].
        force: the force [N].
        air: the air and the climb.
    """
    wanted = force / (bore_area * 1e-6)
    area = math.sqrt(pressure_difference(volume, 1.0, air) / wanted)
    return 2.0 * math.sqrt(area / math.pi)


def compartments(rocket: Rocket) -> tuple[Compartment, ...]:
    """Closed stretches of the airframe from the nose to the first ring or mount that holds the motor tube.

    What closes them are bulkheads, plates and solid ends; the nose's tip closes the foremost. Behind the foremost ring
    everything is glued, and air that stays there opens nothing.
    """
    closing = sorted(_closing(rocket), key=lambda disc: disc.first)
    found: list[Compartment] = []
    start, ahead = _tip(rocket)
    for disc in closing:
        if disc.first - start > _LEAST:
            found.append(_compartment(rocket, f"{ahead} to {disc.item.name}", start, disc.first))
        start, ahead = max(start, disc.last), disc.item.name
        if isinstance(disc.item.part, CenteringRing | MotorMount):
            break
    return tuple(one for one in found if one.volume > 0.0)


_LEAST = 1.0
"""Shortest room that counts as a compartment [mm]."""


def _tip(rocket: Rocket) -> tuple[float, str]:
    body = rocket.body
    return (body[0].skin_range()[0], body[0].name) if body else (0.0, "the forward end")


def _closing(rocket: Rocket) -> Iterator[Disc]:
    """Everything that closes the bore anywhere: no joint is looked at, so a hollow nose does not."""
    names = tuple(item.name for item in rocket.items)
    yield from discs(rocket, names, Joint(("", ""), "glued"))


def _compartment(rocket: Rocket, name: str, first: float, last: float) -> Compartment:
    volume = bore = 0.0
    vents: list[float] = []
    for item in rocket.body:
        if item in rocket.sleeves:
            continue
        own, wide = _room(item, first, last)
        volume, bore = volume + own, max(bore, wide)
        vents += [diameter for station, diameter in _vents(item) if first < station < last]
    for item in rocket.items:
        if isinstance(item.part, Coupler) and item not in rocket.body:
            vents += [diameter for station, diameter in _vents(item) if first < station < last]
    return Compartment(name, first, last, volume, bore, tuple(sorted(vents)))


def _room(item: Item, first: float, last: float) -> tuple[float, float]:
    """Volume [mm3] that an item has between two stations, and how wide its bore is [mm]."""
    start, end = item.skin_range()
    shared = min(end, last) - max(start, first)
    if shared <= 0.0:
        return 0.0, 0.0
    part = item.part
    if isinstance(part, NoseCone):
        if part.body == "solid":
            return 0.0, 0.0
        return _revolved(part.built().cavity), 2.0 * (part.shoulder_radius or part.base_radius) - 2.0 * _wall_of(part)
    if isinstance(part, Tube):
        bore = part.inside_diameter
    elif isinstance(part, Transition):
        # Its skin without the wall: more room than there is, which is careful.
        bore = 0.0 if part.body == "solid" else max(part.forward_diameter, part.aft_diameter) - 2.0 * part.wall
    elif isinstance(part, Coupler):
        bore = part.inside_diameter
    else:
        return 0.0, 0.0
    return math.pi * bore**2 / 4.0 * shared, bore


def _wall_of(part: NoseCone) -> float:
    return part.shoulder_wall if part.shoulder_length else part.wall


def _revolved(chain: Chain) -> float:
    return abs(Skin(chain).volume()) if chain else 0.0


def _vents(item: Item) -> Iterator[tuple[float, float]]:
    """Station and diameter of each hole of an item that is there to let air out [mm]."""
    part, station = item.part, item.stations[0]
    if isinstance(part, Tube) and part.use == "airframe" and part.hole_diameter is not None:
        for place in part.hole_positions:
            yield station + place, part.hole_diameter
    elif isinstance(part, NoseCone) and part.vent_hole_diameter is not None:
        yield station + part.length - part.vent_hole_distance, part.vent_hole_diameter
    elif isinstance(part, Coupler) and part.vent_diameter is not None and part.skin():
        place = part.length / 2.0 if part.vent_distance is None else part.vent_distance
        for _ in range(part.vent_count):
            yield station + place, part.vent_diameter
    elif isinstance(part, Transition) and part.vent_hole_diameter is not None:
        place = part.length / 2.0 if part.vent_hole_distance is None else part.vent_hole_distance
        yield station + place, part.vent_hole_diameter


def vent_checks(rocket: Rocket, demands: Demands, rules: Mapping[str, Limit]) -> Iterator[Check]:
    """For each compartment the force that its air has left, and whether its holes are of a usual size.

    Args:
        rocket: the parts in place.
        demands: the greatest values of the flight.
        rules: limits by name; `vent_force` and `vent_diameter` are used.
    """
    found = compartments(rocket)
    force, size = rules["vent_force"], rules["vent_diameter"]
    if not found:
        note = "needs something that closes the airframe: bulkheads, and a ring or a mount for the motor tube"
        yield Check(f"vents, {demands.motor}", "not-stated", None, force.words(), f"{force.source}; {SOURCE}", note)
    air = air_of(demands)
    for one in found:
        yield _check(one, air, demands, force, size)


def _check(one: Compartment, air: Air, demands: Demands, force: Limit, size: Limit) -> Check:
    name = f"vent of {one.name}, {demands.motor}"
    limit = f"{force.words()}; one hole that vents as much: {size.words()}"
    wanted = force.warn_above or force.fail_above
    needed = "" if wanted is None else f"{hole_for(one.volume, one.bore_area, wanted, air):.2f} mm"
    least = f"one hole of {needed} keeps the force at {wanted:g} N" if wanted is not None else ""
    inputs = (
        f"{one.first:.1f} to {one.last:.1f} mm, volume V {one.volume / 1000.0:.0f} cm3 with nothing in it, bore "
        f"{one.bore:.2f} mm",
        f"climb v {air.climb:.1f} m/s, the greatest speed; pressure p {air.pressure:.0f} Pa and density "
        f"{air.density:.4f} kg/m3 at {demands.speed_height:.0f} m",
        f"discharge coefficient C {ORIFICE:g} (common practice), g {GRAVITY:g} m/s2",
        "holes " + (", ".join(f"{diameter:g} mm" for diameter in one.vents) or "none"),
    )
    source = f"{force.source}; {size.source}; {SOURCE}"
    if not one.vents:
        note = "; ".join(part for part in ("drill one hole of 3 to 4 mm", least, RULES) if part)
        return Check(name, "warn", "no hole", limit, source, note, FORMULA, inputs)
    difference = pressure_difference(one.volume, one.vent_area, air)
    push = difference * one.bore_area * 1e-6
    alone = 2.0 * math.sqrt(one.vent_area / math.pi)
    status = _worse(force.status(push), size.status(round(alone, 6)))
    value = f"{push:.3f} N by {difference:.1f} Pa; holes as one of {alone:.2f} mm"
    note = "; ".join(part for part in (least, RULES) if part)
    return Check(name, status, value, limit, source, note, FORMULA, inputs)


def _worse(first: Status, second: Status) -> Status:
    order: tuple[Status, ...] = ("pass", "not-stated", "warn", "fail")
    return max(first, second, key=order.index)
