"""What each item adds to mass, centre of gravity, normal force and centre of pressure.

Moments about the nose tip are what adds up: mass times station, and slope times station. Divided by the mass or the
slope of the whole they are each item's share of the station of the sum. What an item moves is told by the whole less
the whole without it. Closed forms; J. S. and J. A. Barrowman 1966, equations 79 and 80, for the air.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from .aero.normal_force import ROUNDING, NormalForce, combined
from .mass import MassProperties, combine, mass_properties
from .motor import Motor
from .rocket import Rocket
from .stability import normal_forces

OTHERS = "others"
"""Start of the name of the row that stands for several."""


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one item adds; None where it cannot be said: a mass is not stated, or the forces cancel.

    Attributes:
        name: name of the item.
        mass: mass of all its pieces [g].
        mass_share: the part of all mass that it is [-].
        cg: station of its own centre of gravity [mm].
        cg_share: its moment about the nose tip over the mass of everything [mm]; all add up to the centre of gravity.
        cg_shift: by how much it brings the centre of gravity aft [mm]; below zero forward.
        slope: its normal-force slope CN_alpha [1/rad]; zero for what the air does not meet.
        slope_share: the part of the whole slope that it is [-].
        cp_share: its moment over the slope of everything [mm]; all add up to the centre of pressure.
        cp_shift: by how much its force brings the centre of pressure aft [mm]; below zero forward.
    """

    name: str
    mass: float | None
    mass_share: float | None
    cg: float | None
    cg_share: float | None
    cg_shift: float | None
    slope: float
    slope_share: float | None
    cp_share: float | None
    cp_shift: float | None

    @property
    def margin_shift(self) -> float | None:
        """The margin less the margin without it [mm]; None where either shift is not stated."""
        if self.cg_shift is None or self.cp_shift is None:
            return None
        return self.cp_shift - self.cg_shift


@dataclass(frozen=True, slots=True)
class Contributions:
    """All items of a rocket in one state.

    Attributes:
        motor: name of the motor that is in it, loaded; None without one.
        mass: mass of everything [g]; None while one is not stated.
        cg: station of the centre of gravity [mm].
        slope: normal-force slope of everything [1/rad].
        cp: station of the centre of pressure [mm]; None where nothing acts.
        reference_diameter: diameter that a calibre is [mm]; None without a body.
        rows: one for each item, in the order of the design, and the motor last.
    """

    motor: str | None
    mass: float | None
    cg: float | None
    slope: float
    cp: float | None
    reference_diameter: float | None
    rows: tuple[Contribution, ...]


def contributions(rocket: Rocket, motor: Motor | None = None) -> Contributions:
    """What each item adds to the figures of a rocket.

    Left out, an item leaves its neighbours as they are: a step in the skin that it makes goes with it, and no new one
    appears. So a nose that is left out takes only its own force away.

    Args:
        rocket: the parts in place.
        motor: a motor in it as it lifts off; None without one.

    Returns:
        A row for each item. Where the forces of what is left cancel, no shift of the centre of pressure is stated.
    """
    forces = normal_forces(rocket)
    things = [_Thing(item.name, mass_properties(item), forces.get(item.name, NOTHING)) for item in rocket.items]
    if motor is not None:
        things.append(_Thing(motor.name, motor.properties(loaded=True), NOTHING))
    return _of(things, motor.name if motor else None, rocket.reference_diameter)


def gathered(found: Contributions, most: int) -> tuple[Contribution, ...]:
    """At most so many rows: the least of them together in the last one, so that nothing is lost from the sums.

    An item counts as much as the larger of its parts of mass and slope.

    Args:
        found: all of them.
        most: rows that there is room for, 2 or more [-].
    """
    if len(found.rows) <= most:
        return found.rows
    ranked = sorted(range(len(found.rows)), key=lambda index: -_weight(found.rows[index]))
    kept = set(ranked[: most - 1])
    few = [row for index, row in enumerate(found.rows) if index not in kept]
    mass, mass_share, cg_share = (
        _sum(getattr(row, field) for row in few) for field in ("mass", "mass_share", "cg_share")
    )
    slope_share, cp_share = (_sum(getattr(row, field) for row in few) for field in ("slope_share", "cp_share"))
    rest = Contribution(
        f"{OTHERS} ({len(few)})",
        mass,
        mass_share,
        cg_share / mass_share if cg_share is not None and mass_share else None,
        cg_share,
        _shift(found.cg, mass_share, cg_share),
        sum(row.slope for row in few),
        slope_share,
        cp_share,
        _shift(found.cp, slope_share, cp_share),
    )
    return (*(row for index, row in enumerate(found.rows) if index in kept), rest)


NOTHING = NormalForce(0.0, None, "no skin and no fins")
"""Force of what the air does not meet."""


@dataclass(frozen=True, slots=True)
class _Thing:
    name: str
    weight: MassProperties | None
    force: NormalForce


def _of(things: list[_Thing], motor: str | None, diameter: float | None) -> Contributions:
    weights = [one.weight for one in things if one.weight is not None]
    heavy = combine(tuple(weights)) if weights and len(weights) == len(things) else None
    air = combined(one.force for one in things)
    rows = tuple(_row(one, heavy, air) for one in things)
    return Contributions(
        motor, heavy.mass if heavy else None, heavy.cg[0] if heavy else None, air.slope, air.station, diameter, rows
    )


def _row(one: _Thing, heavy: MassProperties | None, air: NormalForce) -> Contribution:
    mass, cg = (one.weight.mass, one.weight.cg[0]) if one.weight else (None, None)
    mass_share = cg_share = slope_share = cp_share = None
    if heavy is not None and mass is not None and cg is not None:
        mass_share, cg_share = mass / heavy.mass, mass * cg / heavy.mass
    if air.station is not None:
        slope_share, cp_share = one.force.slope / air.slope, one.force.moment / air.slope
    return Contribution(
        one.name,
        mass,
        mass_share,
        cg,
        cg_share,
        _shift(heavy.cg[0] if heavy else None, mass_share, cg_share),
        one.force.slope,
        slope_share,
        cp_share,
        _shift(air.station, slope_share, cp_share),
    )


def _shift(station: float | None, share: float | None, part: float | None) -> float | None:
    """The station of a whole less that of what is left without a share of its weight, which has a part in it [mm]."""
    if station is None or share is None or part is None:
        return None
    left = 1.0 - share
    # What rounding leaves of everything is nothing, and has no station.
    return None if abs(left) <= ROUNDING * (1.0 + abs(share)) else (part - share * station) / left


def _weight(row: Contribution) -> float:
    return max(row.mass_share or 0.0, abs(row.slope_share or 0.0))


def _sum(values: Iterable[float | None]) -> float | None:
    found = list(values)
    known = [value for value in found if value is not None]
    return sum(known) if len(known) == len(found) else None
