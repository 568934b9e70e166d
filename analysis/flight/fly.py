"""An upright flight in still air from the pad to the apogee, in pieces between the corners of the thrust table.

The rocket is a point mass; its propellant burns in proportion to the thrust; drag is that of its curve on the density
of the air at its height. It stands until the thrust exceeds the weight. The rail holds it upright and takes nothing.
"""

from __future__ import annotations

import numpy as np

from ...parts.errors import PartError
from ..atmosphere import HIGHEST
from ..launch import Launch
from ..leaving_the_rail import NO_LIFTOFF, STOPS
from ..rail_exit import MOST_PROPELLANT
from .burn import from_liftoff, stretches
from .events import AFT_LEAVES, APOGEE, BURNOUT, FORWARD_LEAVES, GREATEST_SPEED, LEAVES_PAD, Event
from .fall import Fall
from .line import run
from .path import Path
from .result import Flight, NotFlown
from .stepping import Steps, TooManyStepsError
from .tops import Tops
from .vehicle import Column, Vehicle

METHOD = (
    "upright point mass in still air, mass falling with the impulse delivered; Dormand-Prince steps of order 5 (SciPy) "
    "in pieces between the corners of the thrust table"
)

LEFT_OUT = (
    "left out: friction of the rail, wind, turning into it, roll, angle of attack, and gravity's fall with height "
    "(0.03 % in 1000 m)"
)

UPRIGHT = "flown upright: what the tilt of the rail and a wind take is told apart"

BURNS_ON = "still burns at the apogee: it turns over with its motor burning, and what follows is not stated"

NOT_GUIDED = "the forward button is above the end of the rail, so that nothing guides it"

MOSTLY_PROPELLANT = "the mass as balanced is less than the propellant"

TOO_LIGHT = "its drag is so great beside its mass that the flight cannot be followed"

FALLS_BACK = "falls back to the ground before burnout"


def fly(vehicle: Vehicle, launch: Launch, atmosphere: Column, rtol: float = 1e-6) -> Flight | NotFlown:
    """An upright flight in still air.

    Args:
        vehicle: what flies.
        launch: from where.
        atmosphere: the air over that place.
        rtol: relative tolerance of a step [-], from 1e-12 to 1e-2; 1e-6 is good to some 1e-5 of the apogee and better.

    Returns:
        The flight; or why there is none: it does not lift off, stops on the rail, falls back before burnout, or
        leaves what the methods hold for.

    Raises:
        PartError: a tolerance out of its range.
    """
    if not 1e-12 <= rtol <= 1e-2:
        raise PartError(f"rtol: must be from 1e-12 to 0.01, got {rtol:g}")
    if vehicle.propellant > MOST_PROPELLANT * vehicle.mass:
        return NotFlown(MOSTLY_PROPELLANT)
    burn = stretches(vehicle)
    rising = from_liftoff(burn)
    if not rising:
        return NotFlown(NO_LIFTOFF, is_held=True)
    try:
        trace = run(rising, vehicle, atmosphere, Steps(rtol), (0.0, 0.0), lambda now: now[1])
        path = trace.path()
        apogee = Event(APOGEE, path.times[-1], path.ways[-1], 0.0)
        burnt_out = burn[-1].start
        late = Fall(vehicle, atmosphere, apogee.time, apogee.height, rtol) if burnt_out > apogee.time else None
    except TooManyStepsError:
        return NotFlown(TOO_LIGHT)
    if vehicle.travel_forward is not None and apogee.height < vehicle.travel_forward / 1000.0:
        return NotFlown(STOPS, is_held=True)
    if late is not None and late.end < burnt_out:
        return NotFlown(TOO_LIGHT) if late.floats else NotFlown(FALLS_BACK, is_held=True)
    if apogee.height + launch.altitude > HIGHEST:
        return NotFlown(f"climbs above {HIGHEST / 1000.0:g} km, where nothing here holds")
    burnout = Event(BURNOUT, burnt_out, *(late or path).at(burnt_out))
    forward, aft = (
        _release(path, name, travel)
        for name, travel in ((FORWARD_LEAVES, vehicle.travel_forward), (AFT_LEAVES, vehicle.travel_aft))
    )
    tops = Tops(path, atmosphere)
    fastest = tops.speed()
    events = [
        Event(LEAVES_PAD, path.times[0], 0.0, 0.0),
        *(one for one in (forward, aft) if one is not None),
        Event(GREATEST_SPEED, fastest.time, fastest.height, fastest.value),
        burnout,
        apogee,
    ]
    pad = [(one.start, 0.0, 0.0, 0.0, one.thrust) for one in burn if one.start < path.times[0]]
    liftoff = (path.times[0], 0.0, 0.0, 0.0, trace.rows[0][4])
    columns = [np.array(column) for column in zip(*pad, liftoff, *trace.rows, strict=True)]
    for column in columns:
        column.setflags(write=False)
    times, heights, speeds, accelerations, thrusts = columns
    return Flight(
        vehicle,
        launch,
        atmosphere,
        times,
        heights,
        speeds,
        accelerations,
        thrusts,
        tuple(sorted(events, key=lambda event: event.time)),
        fastest,
        tops.mach(),
        tops.acceleration(),
        tops.deceleration(),
        tops.dynamic_pressure(),
        burnout,
        apogee,
        forward,
        METHOD,
        _notes(vehicle, launch, late),
    )


def _release(path: Path, name: str, travel: float | None) -> Event | None:
    """A button's release; None where it is not on the rail or does not come so far."""
    moment = None if travel is None or travel <= 0.0 else path.arrival(travel / 1000.0)
    return None if moment is None else Event(name, moment, *path.at(moment))


def _notes(vehicle: Vehicle, launch: Launch, late: Fall | None) -> tuple[str, ...]:
    found = [LEFT_OUT, *vehicle.drag.notes]
    if launch.tilt:
        found.append(UPRIGHT)
    if vehicle.travel_forward is not None and vehicle.travel_forward <= 0.0:
        found.append(NOT_GUIDED)
    if late is not None:
        found.append(BURNS_ON)
    return tuple(found)
