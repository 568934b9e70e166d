"""A joint that releases: what is ahead of it and behind it, and what it holds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ...parts.nylon_pins import NylonPin, nylon_pins
from ..demands import Demands
from ..joints import Joint, Section
from ..recovery import Recovery
from ..rocket import Rocket
from .held import newtons
from .sharing import Web, runs_forward, web
from .stated import StatedLoads


@dataclass(frozen=True, slots=True)
class Parting:
    """One joint that releases.

    Attributes:
        joint: the joint.
        ahead: name of the one of the two that is ahead.
        mass_ahead: mass of everything ahead of it [g].
        unknown: items ahead of it whose mass is not known, in words; empty where all are.
        loose: names of what lies loose behind it, with no disc between, and runs forward as drag slows the rocket.
        mass_loose: mass of that [g].
        unknown_loose: those of it whose mass is not known, in words; empty where all are.
    """

    joint: Joint
    ahead: str
    mass_ahead: float
    unknown: str
    loose: tuple[str, ...] = ()
    mass_loose: float = 0.0
    unknown_loose: str = ""


@dataclass(frozen=True, slots=True)
class Holding:
    """What holds a joint until it shall open.

    Attributes:
        force: force that it holds [N]; None where it is not stated.
        words: where that comes from.
    """

    force: float | None
    words: tuple[str, ...]


def partings(rocket: Rocket, recovery: Recovery, demands: Demands) -> Iterator[Parting]:
    """Every joint that releases, between items of the rocket.

    Args:
        rocket: the parts in place, without a motor.
        recovery: the joints.
        demands: what the flight asks.
    """
    items = {item.name: item for item in rocket.items}
    whole = web(rocket, recovery, demands.motor_liftoff_mass, opened=False)
    for joint in recovery.joints:
        if joint.state == "releases" and set(joint.between) <= items.keys():
            ahead = min(joint.between, key=lambda name: items[name].skin_extent())
            section = _ahead(whole, joint, ahead)
            loose = runs_forward(rocket, section)
            yield Parting(
                joint,
                ahead,
                whole.mass(section),
                whole.missing(section),
                loose,
                whole.mass(loose),
                whole.missing(loose),
            )


def _ahead(whole: Web, joint: Joint, ahead: str) -> Section:
    """Everything that hangs on the forward side of a joint, other joints that release among it."""
    sides = whole.sides(joint.between, whole=True)
    return whole.part_of(ahead) if sides is None else next(side for side in sides if ahead in side)


def pin(stated: StatedLoads, joint: Joint) -> NylonPin | None:
    """The row of the pins of a joint; None where it has none, or of a size that the table does not have."""
    pins = stated.pins.get(joint.words)
    return None if pins is None else nylon_pins().get(pins.size)


def pin_words(row: NylonPin) -> str:
    """Both forces of a pin in words: the one for what must hold, the other for what must open."""
    return (
        f"{row.size} nylon: {row.hold:g} N each for what must hold, {row.open:g} N each for what must open "
        f"({row.source}; {row.mark})"
    )


def holding(stated: StatedLoads, joint: Joint) -> Holding:
    """What holds a joint: its pins, at the least that they may hold, else what was pulled with a scale.

    With pins friction does not count: it changes with the weather.
    """
    pins, row = stated.pins.get(joint.words), pin(stated, joint)
    if pins is not None and row is not None:
        return Holding(
            pins.count * row.hold, (f"{pins.count} pins hold {newtons(pins.count * row.hold)}", pin_words(row))
        )
    if pins is not None:
        return Holding(None, (f"no row for {pins.size} in the table of nylon pins: {', '.join(nylon_pins())}",))
    force = stated.holding_force.get(joint.words)
    if force is not None:
        return Holding(force, (f"holds {newtons(force)}, as pulled with a scale (stated)",))
    return Holding(None, ("what it holds is not stated",))
