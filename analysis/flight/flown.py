"""What the checks of a flight are told, and how each says where its figures come from."""

from __future__ import annotations

from dataclasses import dataclass

from ..launch import Launch
from ..limits import Check, Status
from .bands import FlightBands
from .canopy import Canopy
from .deployment import Turned
from .result import Flight, NotFlown
from .vehicle import Column


@dataclass(frozen=True, slots=True)
class Flown:
    """A flight with one motor, and what is known of the way down; what is not known is None.

    Attributes:
        motor: name of the motor.
        flight: the flight, or why there is none.
        delays: delays that the motor is to be had with [s].
        delay_tolerance: tolerance of a delay by the motor's maker [s].
        descending: everything that comes down under the parachutes [g].
        heaviest: heaviest section of it [g].
        bands: what the spread of mass, drag and thrust leaves open.
        sideways: speed through the air at the apogee, which a wind or a leaning rail leaves it [m/s].
        before: way upwind until the parachute opens, for each of the launch's winds [m].
        leaning: the apogee from the leaning rail in still air; None from an upright one.
        in_wind: the apogee in each of the launch's winds, as far as it is known.
    """

    motor: str
    flight: Flight | NotFlown
    delays: tuple[float, ...] = ()
    delay_tolerance: float | None = None
    descending: float | None = None
    heaviest: float | None = None
    bands: FlightBands | None = None
    sideways: float | None = None
    before: tuple[float, ...] | None = None
    leaning: Turned | None = None
    in_wind: tuple[Turned, ...] = ()

    @property
    def strongest(self) -> Turned | None:
        """The apogee in the strongest wind; None where no wind is known, or only a calm."""
        found = max(self.in_wind, key=lambda one: one.wind, default=None)
        return found if found is not None and found.wind > 0.0 else None


@dataclass(frozen=True, slots=True)
class Site:
    """What is the same for all motors; what is not known is None.

    Attributes:
        launch: the launch.
        air: the air over the site.
        canopies: the parachutes, all open at once.
        wanted_descent: descent rate that is wanted [m/s].
        length: length of the rocket [mm].
        diameter: largest diameter of its body [mm].
        field: distance from the pad that it is to land within [m].
    """

    launch: Launch
    air: Column
    canopies: tuple[Canopy, ...] = ()
    wanted_descent: float | None = None
    length: float | None = None
    diameter: float | None = None
    field: float | None = None


@dataclass(frozen=True, slots=True)
class Told:
    """What stands in one check whatever its answer is.

    Attributes:
        name: as of a check.
        limit: as of a check.
        source: as of a check.
        formula: as of a check.
        inputs: as of a check.
    """

    name: str
    limit: str
    source: str
    formula: str
    inputs: tuple[str, ...]

    def check(self, status: Status, value: str | None, note: str = "") -> Check:
        """The check with an answer."""
        return Check(self.name, status, value, self.limit, self.source, note, self.formula, self.inputs)


def flown_inputs(flight: Flight | NotFlown) -> tuple[str, ...]:
    """What a flight was computed from, and where each comes from.

    Args:
        flight: the flight, or why there is none.
    """
    if isinstance(flight, NotFlown):
        return (f"flight: not stated ({flight.reason})",)
    vehicle, launch = flight.vehicle, flight.launch
    return (
        f"liftoff mass {vehicle.mass:.0f} g (the sum of the items, or as weighed)",
        f"propellant {vehicle.propellant:.0f} g, {vehicle.thrust.total_impulse:.0f} N s (the motor's data)",
        f"drag: {vehicle.drag.source}; reference area {vehicle.drag.reference_area:.0f} mm2",
        site_words(launch),
    )


def site_words(launch: Launch) -> str:
    """Ground and air of a launch in words.

    Args:
        launch: the launch.
    """
    if not launch.is_stated:
        return "launch not stated: sea level, standard atmosphere taken (US Standard Atmosphere 1976)"
    day = "as in the standard atmosphere" if launch.temperature is None else f"{launch.temperature - 273.15:.0f} deg C"
    return f"ground {launch.altitude:g} m above sea level, air there {day} (US Standard Atmosphere 1976)"


def wind_words(launch: Launch, wind: float) -> str:
    """A wind in words, with who says so.

    Args:
        launch: the launch.
        wind: one of its winds [m/s].
    """
    return f"{wind:g} m/s (the strongest of the {'usual winds' if launch.has_usual_winds else 'stated winds'})"
