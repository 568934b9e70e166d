"""Air that is shut in at the pad pushes a joint apart as the air outside thins out.

Without a vent the bay keeps the pressure of the ground, so that at apogee F = (p_ground - p_apogee) A. With one the air
leaks out as fast as the rocket climbs: in still air dp/dt = rho g v, the bay loses the mass V rho / p dp/dt (at one
temperature), and an orifice passes C_d a sqrt(2 rho dp), so that dp = V2 rho3 g2 v2 / (2 p2 C_d2 a2). No drag acts at
apogee and little pressure is built up at burnout: this load and drag separation do not add up.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ...parts.kinds import Tube
from ..demands import Demands
from ..gas_bay import discs
from ..joints import airframe, sections
from ..limits import Check, Limit
from ..rail_exit import GRAVITY
from ..recovery import Recovery
from ..rocket import Rocket
from ..wall_holes import cut_through, diameter_of, middle_of
from .held import STATICS, Sum, held, newtons, not_stated
from .parting import Parting, holding
from .stated import StatedLoads

DISCHARGE = 0.6
"""Discharge coefficient of a drilled hole [-] (sharp-edged orifice, from memory)."""

NEGLIGIBLE = 1.0
"""Force below which air shut in opens no joint that a rocket can be carried by [N] (common practice)."""

HEAT_RATIO = 1.4
"""Ratio of the specific heats of air [-], to find its density from pressure and speed of sound."""


@dataclass(frozen=True, slots=True)
class Bay:
    """The bay that a joint opens.

    Attributes:
        bore: its inside diameter [mm].
        length: its length [mm]; None where no discs close it.
        vents: diameter of each vent [mm].
    """

    bore: float
    length: float | None
    vents: tuple[float, ...]

    @property
    def area(self) -> float:
        """Area that the pressure acts on [mm2]."""
        return math.pi / 4.0 * self.bore**2

    @property
    def vent_area(self) -> float:
        """Area of all its vents [mm2]."""
        return sum(math.pi / 4.0 * one**2 for one in self.vents)


def bay_at(rocket: Rocket, recovery: Recovery, parting: Parting) -> Bay | None:
    """The bay that a joint opens; None where no tube of the airframe meets there.

    Args:
        rocket: the parts in place.
        recovery: the joints.
        parting: the joint.
    """
    joint = parting.joint
    tubes = [
        item
        for item in airframe(rocket)
        if item.name in joint.between and isinstance(item.part, Tube) and item.part.use == "airframe"
    ]
    bores = [item.part.inside_diameter for item in tubes if isinstance(item.part, Tube)]
    if not bores:
        return None
    names = {item.name for item in rocket.items}
    joints = [one for one in recovery.joints if names.issuperset(one.between)]
    parted = sections(rocket, joints)
    other = next(name for name in joint.between if name != parting.ahead)
    ahead, behind = (next(one for one in parted if name in one) for name in (parting.ahead, other))
    first = max((disc.last for disc in discs(rocket, ahead, joint)), default=None)
    last = min((disc.first for disc in discs(rocket, behind, joint)), default=None)
    if ahead == behind or first is None or last is None or last <= first:
        # What is open at an end has no length to go by; the vents of the tubes at the joint still count.
        return Bay(max(bores), None, _vents(rocket, -math.inf, math.inf, {item.name for item in tubes}))
    return Bay(max(bores), last - first, _vents(rocket, first, last, {item.name for item in airframe(rocket)}))


def _vents(rocket: Rocket, first: float, last: float, names: set[str]) -> tuple[float, ...]:
    """Diameters of the drilled holes of airframe tubes between two stations [mm]."""
    found: list[float] = []
    for item in airframe(rocket):
        if item.name not in names or not isinstance(item.part, Tube) or item.part.use != "airframe":
            continue
        for feature, count in cut_through(item.part.shape()):
            diameter = diameter_of(feature)
            if diameter is not None and first < item.stations[0] + middle_of(feature) < last:
                found += [diameter] * count
    return tuple(found)


def vented_pressure(volume: float, area: float, speed: float, pressure: float, density: float) -> float:
    """Pressure in a vented bay over that outside while the rocket climbs [Pa].

    Args:
        volume: volume of the bay [m3].
        area: area of its vents [m2], above 0.
        speed: speed of the climb [m/s].
        pressure: pressure outside [Pa].
        density: density outside [kg/m3].
    """
    flow = volume * density**2 * GRAVITY * speed / pressure
    return (flow / (DISCHARGE * area)) ** 2 / (2.0 * density)


def trapped_air_check(
    rocket: Rocket,
    recovery: Recovery,
    parting: Parting,
    demands: Demands,
    stated: StatedLoads,
    rules: Mapping[str, Limit],
    after: str = "",
) -> Check:
    """Whether the joint holds against the air that is shut in behind it.

    Args:
        rocket: the parts in place.
        recovery: the joints.
        parting: the joint.
        demands: what the flight asks.
        stated: what holds the joint.
        rules: limits by name.
        after: what the name ends in.
    """
    limit, name = rules["hold_margin"], f"joint {parting.joint.words}: air shut in{after}"
    bay = bay_at(rocket, recovery, parting)
    if bay is None:
        note = "no tube of the airframe meets at this joint: its bore is not known"
        return not_stated(name, None, limit, Sum("(p_ground - p_apogee) A", ()), note)
    drop = demands.ground_pressure - demands.apogee_pressure
    sealed = drop * bay.area * 1e-6
    bears = holding(stated, parting.joint)
    common = (
        f"bore {bay.bore:.2f} mm: {bay.area:.0f} mm2",
        f"{demands.ground_pressure:.0f} Pa at the ground, {demands.apogee_pressure:.0f} Pa at {demands.apogee:.0f} m",
    )
    if not bay.vents:
        inputs = ("no vent in this bay", *bears.words, *common)
        found = Sum("(p_ground - p_apogee) A", inputs, STATICS)
        note = "drill a vent into the bay, clear of shoulder and coupler; without one the joint can pop on the way up"
        if bears.force is None:
            return not_stated(name, sealed, limit, found, f"{note}; or enter the force that the joint holds")
        return held(name, sealed, bears.force, limit, found, note)
    number = len(bay.vents)
    vents = f"{number} {'vent' if number == 1 else 'vents'} of {bay.vent_area:.1f} mm2 in all"
    if bay.length is None:
        found = Sum("(p_ground - p_apogee) A without the vent", (vents, *common), STATICS)
        note = f"the air gets out by {vents}; the bay's volume is not known, for no discs close the bay at both ends"
        return not_stated(name, None, limit, found, note)
    volume = bay.area * bay.length * 1e-9
    density = HEAT_RATIO * demands.pressure / demands.sound**2
    over = vented_pressure(volume, bay.vent_area * 1e-6, demands.speed, demands.pressure, density)
    load = over * bay.area * 1e-6
    inputs = (
        f"{vents}: the bay is {over:.2g} Pa over the air outside, and equalises as it climbs",
        *bears.words,
        *common,
        f"bay {bay.length:.0f} mm long, taken as empty: {volume * 1e6:.0f} cm3",
        f"{demands.speed:.0f} m/s at {demands.speed_height:.0f} m in air of {density:.3f} kg/m3, the greatest speed",
        f"discharge coefficient {DISCHARGE:g} (from memory), the air outside the vent taken as still",
        f"without a vent it would be {newtons(sealed)} at apogee",
    )
    found = Sum("dp = (V rho2 g v / p / C_d a)2 / 2 rho; F = dp A", inputs, "quasi-steady flow through an orifice")
    if bears.force is not None:
        return held(name, load, bears.force, limit, found, "drill a larger vent")
    if load >= NEGLIGIBLE:
        note = f"enter the force that the joint holds, as pulled with a scale, at least {newtons(2.0 * load)}"
        return not_stated(name, load, limit, found, f"{note}; or drill a larger vent")
    value = f"load {newtons(load)}, below {newtons(NEGLIGIBLE)}: negligible, whatever the joint holds"
    return Check(name, "pass", value, limit.words(), f"{limit.source}; {found.source}", "", found.formula, found.inputs)
