"""Everything that is checked of the flights: how it flies and lands, what parts bear, and what a payload feels."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from .air_stream import AirStream
from .demands import Demands
from .flight.checks import flight_checks
from .flight.flown import Site
from .flight.payload import PayloadBay, payload_checks, room_check
from .flight.rocket_flights import MotorFlight
from .limits import Check, Limit
from .loads.airframe_loads import airframe_checks
from .loads.bending import Gust
from .loads.held import newtons
from .loads.opening import opening_load
from .loads.recovery_loads import structure_checks
from .loads.sharing import spent_motor, web
from .loads.stated import StatedLoads
from .recovery import Recovery
from .rocket import Rocket


@dataclass(frozen=True)
class Flights:
    """The flights of a design, and what it states of loads.

    Attributes:
        site: what is the same for all motors.
        flown: the flight with each motor.
        air: what the air meets of the rocket; None without a body.
        stated: strengths and forces that somebody stands for.
        gust: the gust from the side at the greatest dynamic pressure.
        payloads: what the rocket carries, with the bay that it lies in.
    """

    site: Site
    flown: tuple[MotorFlight, ...] = ()
    air: AirStream | None = None
    stated: StatedLoads = field(default_factory=StatedLoads)
    gust: Gust = field(default_factory=Gust)
    payloads: tuple[PayloadBay, ...] = ()


def flown_checks(
    rocket: Rocket, recovery: Recovery, flights: Flights | None, rules: Mapping[str, Limit]
) -> Iterator[Check]:
    """All of them; nothing without a motor, which another check asks for.

    Args:
        rocket: the parts in place, without a motor.
        recovery: joints, anchors, harnesses and parachutes.
        flights: the flights.
        rules: limits by name.

    Raises:
        PartError: a mass, speed or tolerance out of its range.
    """
    if flights is None or not flights.flown:
        return
    yield from flight_checks([one.flown for one in flights.flown], flights.site, rules)
    demands = [one.demands for one in flights.flown if one.demands is not None]
    if demands:
        yield from structure_checks(rocket, recovery, demands, flights.stated, rules)
    for one in flights.flown:
        if one.demands is not None and flights.air is not None:
            yield from airframe_checks(rocket, flights.air, one.motor, one.demands, rules, _gust(flights))
    yield from _payloads(rocket, flights, recovery)


def _gust(flights: Flights) -> Gust:
    """The gust, or the greatest wind that the launch is told for where that is more."""
    wind = max(flights.site.launch.winds, default=0.0)
    if wind <= flights.gust.speed:
        return flights.gust
    return Gust(wind, f"the greatest wind of the launch, more than {flights.gust.speed:.2f} m/s")


def _payloads(rocket: Rocket, flights: Flights, recovery: Recovery) -> Iterator[Check]:
    names: Sequence[str] = [one.name for one in recovery.parachutes]
    for bay in flights.payloads:
        yield room_check(bay)
        for one in flights.flown:
            boost = opening = None
            told = "mass of its section not known"
            if one.demands is not None:
                boost = one.demands.acceleration
                force = opening_load(one.demands, flights.stated, names).force
                mass, told = _slowed(rocket, recovery, bay.name, one.demands)
                if mass > 0.0:
                    # N over g is km/s2.
                    opening = force / mass * 1000.0
                    told = f"whole opening load {newtons(force)} on {told}"
            in_boost, at_opening = payload_checks(bay, one.motor.name, boost, opening)
            yield in_boost
            yield replace(at_opening, inputs=(*at_opening.inputs, told))


def _slowed(rocket: Rocket, recovery: Recovery, name: str, demands: Demands) -> tuple[float, str]:
    """Mass that the opening load slows with a payload [g], its section alone, and that in words.

    A harness may come taut on one section first, so that the whole load counts on each.
    """
    if all(item.name != name for item in rocket.items):
        return demands.burnout_mass, f"{demands.burnout_mass:.0f} g after burnout: no section is known for {name}"
    opened = web(rocket, recovery, spent_motor(demands), opened=True)
    section = opened.part_of(name)
    mass, missing = opened.mass(section), opened.missing(section)
    without = f", without {missing}, whose mass is not known" if missing else ""
    return mass, f"{mass:.0f} g, the section that it is in{without}"
