"""Checks of a flight: how high and fast, which delay, how it comes down, where to, and whether it stays in sight.

They state figures and what they are held to; none of them clears a rocket to fly.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..limits import Check, Limit
from .bands import APOGEE
from .delay_checks import delay_checks
from .flown import Flown, Site, Told, flown_inputs
from .landing_checks import landing_checks
from .result import NotFlown

__all__ = ["Flown", "Site", "flight_checks"]

STILL_AIR = "an upright flight in still air"


def flight_checks(flown: Sequence[Flown], site: Site, rules: Mapping[str, Limit]) -> Iterator[Check]:
    """All checks of the flights, motor by motor; nothing without a motor.

    Args:
        flown: the flight with each motor.
        site: what is the same for all.
        rules: limits by name.

    Raises:
        PartError: a mass, speed or tolerance out of its range.
    """
    for one in flown:
        yield _apogee(one, site)
        yield _mach(one, rules["greatest_mach"])
        yield from delay_checks(one, rules)
        yield from landing_checks(one, site, rules)


def _apogee(one: Flown, site: Site) -> Check:
    ceiling = site.launch.ceiling
    limit = "below the ceiling, not stated" if ceiling is None else f"below the ceiling of {ceiling:g} m"
    flight = one.flight
    row = None if one.bands is None else one.bands.row(APOGEE)
    highest = None if row is None else row.greatest
    method = "not flown" if isinstance(flight, NotFlown) else flight.method
    inputs = flown_inputs(flight)
    if row is not None:
        inputs += (f"spreads: {', '.join(effect.cause for effect in row.effects)} (stated, or common practice)",)
    told = Told(f"apogee, {one.motor}", limit, "the launch as the design states it", method, inputs)
    if isinstance(flight, NotFlown):
        return told.check("not-stated", None, flight.reason)
    height = flight.apogee.height
    value = f"{height:.0f} m above the ground"
    if row is not None and row.least is not None and highest is not None:
        value += f", {row.least:.0f} to {highest:.0f} m with the spread of its inputs"
    if ceiling is None:
        return told.check("not-stated", value, "enter the `ceiling` of the launch; the field's own holds")
    if height > ceiling:
        return told.check("fail", value, "it passes the ceiling: take a smaller motor, or another field")
    if highest is not None and highest > ceiling:
        return told.check("warn", value, "it passes the ceiling if mass, drag and thrust turn out so")
    return told.check("pass", value, STILL_AIR)


def _mach(one: Flown, limit: Limit) -> Check:
    told = Told(
        f"greatest Mach number, {one.motor}",
        limit.words(),
        limit.source,
        "M = v / a, greatest over the flight",
        flown_inputs(one.flight),
    )
    if isinstance(one.flight, NotFlown):
        return told.check("not-stated", None, one.flight.reason)
    found = one.flight.greatest_mach
    value = f"Mach {found.value:.2f}, {found.speed:.0f} m/s at {found.height:.0f} m"
    status = limit.status(found.value)
    note = "" if status == "pass" else "no figure of this flight holds beyond that: the methods are for less"
    return told.check(status, value, note)
