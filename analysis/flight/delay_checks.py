"""Checks of the delay: which one is wanted, and how fast and how high the parachute comes out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from ..limits import Check, Limit, Status
from .bands import COAST
from .deployment import (
    COUNTED,
    FALLING,
    FORMULA,
    Deployment,
    Turned,
    deployment,
    expected,
    nearest,
    tolerance_of,
    wanted_delay,
    window,
)
from .flown import Flown, Told, flown_inputs, wind_words
from .result import Flight, NotFlown

BURNS_ON = "the motor still burns at the apogee"

NO_SPEED_ACROSS = "what a wind or a leaning rail leaves it of speed across is not counted"

WIND_IS_A_BOUND = "the figures in a wind are those of a rocket that turns into it at once: a bound"


def delay_checks(one: Flown, rules: Mapping[str, Limit]) -> Iterator[Check]:
    """The wanted delay against those stated, and speed and height as the parachute comes out.

    Args:
        one: the flight with one motor.
        rules: limits by name.

    Raises:
        PartError: a delay or a tolerance below 0.
    """
    yield _delay(one, rules["delay_error"], rules["deployment_speed"])
    yield _deployment_speed(one, rules["deployment_speed"])
    yield _deployment_height(one, rules["deployment_height"])


def _delay_inputs(one: Flown) -> tuple[str, ...]:
    if isinstance(one.flight, NotFlown):
        return flown_inputs(one.flight)
    flight = one.flight
    delays = ", ".join(f"{delay:g}" for delay in one.delays)
    return (
        f"burnout at {flight.burnout.time:.2f} s, apogee at {flight.apogee.time:.2f} s (the flight)",
        f"delays: {f'{delays} s (the motor)' if delays else 'not stated'}",
        "tolerance: "
        + (
            f"{one.delay_tolerance:g} s (the motor's maker)"
            if one.delay_tolerance is not None
            else f"not stated; {tolerance_of(0.0).mark}"
        ),
        f"speed across at the apogee: {'; '.join(_across(one, flight)) or 'not stated'}",
    )


def _across(one: Flown, flight: Flight) -> Iterator[str]:
    if one.leaning is not None:
        yield f"{one.leaning.air_speed:.1f} m/s in still air (the flight from the leaning rail)"
    elif one.sideways is not None:
        yield f"{one.sideways:.1f} m/s (the flight in wind)"
    if one.strongest is not None:
        yield f"{one.strongest.air_speed:.1f} m/s in {wind_words(flight.launch, one.strongest.wind)}, a bound"


def _delay(one: Flown, limit: Limit, speed: Limit) -> Check:
    formula = "delay wanted = time of the apogee less time of burnout"
    told = Told(f"delay, {one.motor}", limit.words(), limit.source, formula, _delay_inputs(one))
    flight = one.flight
    if isinstance(flight, NotFlown):
        return told.check("not-stated", None, f"{flight.reason}; {COUNTED}")
    wanted = wanted_delay(flight, one.leaning)
    if wanted < 0.0:
        note = f"no delay brings the parachute out at the apogee; {COUNTED}"
        return told.check("fail", BURNS_ON, note)
    value, notes = f"{wanted:.1f} s wanted", []
    if one.leaning is not None:
        value += f" from the leaning rail in still air ({flight.coast_time:.1f} s upright)"
    most = speed.fail_above if speed.fail_above is not None else speed.warn_above
    if most is not None:
        slow = window(flight, most, one.delay_tolerance, one.sideways or 0.0, one.leaning)
        notes.append(f"no delay keeps it within {most:g} m/s" if slow is None else slow.words)
        if slow is not None and one.strongest is not None and one.strongest.air_speed > most:
            notes.append(f"that is in still air, and no delay does in a wind of {one.strongest.wind:g} m/s (bound)")
    chosen = nearest(flight, one.delays, one.leaning)
    in_wind = f"; {one.strongest.coast:.1f} s wanted in {one.strongest.wind:g} m/s (bound)" if one.strongest else ""
    if chosen is None:
        value += in_wind
        notes.insert(0, "enter the `delays` of the motor")
        return told.check("not-stated", value, "; ".join([*notes, COUNTED]))
    error = chosen - wanted
    late = "late" if error >= 0.0 else "early"
    value += f"; of those stated {chosen:g} s is the nearest, {abs(error):.1f} s {late}{in_wind}"
    notes += _worst(one, flight, chosen)
    return told.check(limit.status(error), value, "; ".join([*notes, COUNTED]))


def _worst(one: Flown, flight: Flight, chosen: float) -> Iterator[str]:
    """How far the delay may be off at the ends of the spread of the coast time and of its own tolerance."""
    row = None if one.bands is None else one.bands.row(COAST)
    if row is None or row.below is None or row.above is None:
        return
    wanted, off = wanted_delay(flight, one.leaning), tolerance_of(chosen, one.delay_tolerance).seconds
    least, most = wanted - row.below, wanted + row.above
    ends = (chosen - off - most, chosen + off - least)
    early, late = (f"{abs(end):.1f} s {'late' if end >= 0.0 else 'early'}" for end in ends)
    yield (
        f"with the spread of the coast time ({least:.1f} to {most:.1f} s) and the tolerance of {off:.1f} s it comes "
        f"{early} to {late} at the worst"
    )


def _deployment_speed(one: Flown, limit: Limit) -> Check:
    """Held at the delay itself; what its tolerance adds only warns, and only above the upper bound.

    An apogee met to the second leaves 10 to 15 m/s at the ends of a usual tolerance, so the lower bound at those ends
    would warn of every motor alike.
    """
    return _at_opening(one, limit, f"speed at deployment, {one.motor}", _speed_words, _speed_status, _speed_in_wind)


def _speed_words(found: Deployment) -> str:
    early, late = (f"at {end.delay:.1f} s {end.words}" for end in (found.early, found.late))
    return f"at {found.nominal.delay:.1f} s {found.nominal.words}; within the tolerance {early}, and {late}"


def _speed_status(found: Deployment, limit: Limit) -> tuple[Status, str]:
    status = limit.status(found.nominal.speed)
    most = limit.fail_above if limit.fail_above is not None else limit.warn_above
    if status == "pass" and most is not None and found.fastest.speed > most:
        return "warn", f"above {most:g} m/s at an end of the tolerance"
    if found.nominal.on_the_ground:
        return "fail", "it has come down before the delay is over"
    if status == "pass":
        return status, ""
    return status, "it still climbs fast" if found.nominal.rising else "it falls fast by then"


def _speed_in_wind(wind: Turned, found: Deployment, limit: Limit) -> tuple[str, str]:
    """Only the speed across, which no delay takes away; the wanted delay in that wind is told by the delay's check."""
    del found
    most = limit.fail_above if limit.fail_above is not None else limit.warn_above
    value = f"in a wind of {wind.wind:g} m/s up to {wind.air_speed:.1f} m/s across (bound)"
    if most is None or wind.air_speed <= most:
        return value, ""
    return value, f"across above {most:g} m/s in a wind of {wind.wind:g} m/s, if it turns into it at once"


def _deployment_height(one: Flown, limit: Limit) -> Check:
    return _at_opening(one, limit, f"height at deployment, {one.motor}", _height_words, _height_status, _height_in_wind)


def _height_words(found: Deployment) -> str:
    return f"{found.nominal.height_words}; within the tolerance {found.early.height_words}, {found.late.height_words}"


def _height_status(found: Deployment, limit: Limit) -> tuple[Status, str]:
    if found.nominal.on_the_ground:
        return "fail", "it has come down before the delay is over"
    if found.late.on_the_ground:
        return "fail", "it has come down before the delay is over, late by its tolerance"
    status = limit.status(found.lowest.height)
    return status, "" if status == "pass" else "the parachute has little height to open in"


def _height_in_wind(wind: Turned, found: Deployment, limit: Limit) -> tuple[str, str]:
    lowest = found.lowest
    value = f"in a wind of {wind.wind:g} m/s {lowest.height_words} (bound)"
    if not lowest.on_the_ground and limit.status(lowest.height) == "pass":
        return value, ""
    return value, f"the parachute has little height to open in, in a wind of {wind.wind:g} m/s"


def _at_opening(
    one: Flown,
    limit: Limit,
    name: str,
    words: Callable[[Deployment], str],
    judged: Callable[[Deployment, Limit], tuple[Status, str]],
    windy: Callable[[Turned, Deployment, Limit], tuple[str, str]],
) -> Check:
    formula = f"{FORMULA}; {FALLING}"
    if one.strongest is not None:
        formula += f"; {WIND_IS_A_BOUND}"
    elif one.sideways is None and one.leaning is None:
        formula += f"; {NO_SPEED_ACROSS}"
    told = Told(name, limit.words(), limit.source, formula, _delay_inputs(one))
    if isinstance(one.flight, NotFlown):
        return told.check("not-stated", None, f"{one.flight.reason}; {COUNTED}")
    if wanted_delay(one.flight, one.leaning) < 0.0:
        return told.check("not-stated", None, f"{BURNS_ON}, and what follows is not known; {COUNTED}")
    found = expected(one.flight, one.delays, one.delay_tolerance, one.sideways or 0.0, one.leaning)
    value, why_windy = words(found), ""
    if one.strongest is not None:
        delay = found.nominal.delay
        in_wind = deployment(one.flight, delay, one.delay_tolerance, turned=one.strongest)
        told_of_wind, why_windy = windy(one.strongest, in_wind, limit)
        value += f"; {told_of_wind}"
    if not one.delays:
        note = f"the wanted delay, because none is stated: enter the `delays` of the motor; {COUNTED}"
        return told.check("not-stated", value, "; ".join(filter(None, (why_windy, note))))
    status, why = judged(found, limit)
    if status == "pass" and why_windy:
        status = "warn"
    return told.check(status, value, "; ".join(filter(None, (why, why_windy, COUNTED))))
