"""The flights of a rocket with each of its motors: up, down, in each wind, and what each asks of the parts."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ..atmosphere import Atmosphere
from ..balance_test import aft_end
from ..demands import Demands
from ..drag.body import DragBody, drag_body
from ..drag.skin_friction import USUAL_ROUGHNESS
from ..drag.terms import drag_curve, share_ahead
from ..drag_curve import DragCurve
from ..launch import Launch
from ..leaving_the_rail import button_stations
from ..limits import Limit
from ..loading import LIFTOFF, Loading
from ..loads.sharing import web
from ..motor import Motor
from ..rail_exit import Rail
from ..recovery import Recovery
from ..rocket import Rocket
from .bands import DRAG_SPREAD, THRUST_SPREAD, FlightBands, flight_bands, mass_band
from .canopy import Canopy
from .deployment import Deployment, Turned, Window, deployment, deployments, expected, wanted_delay, window
from .descent import Descent, descent
from .drift import DriftRow, drift
from .flown import Flown, Site
from .fly import fly
from .result import Flight, NotFlown
from .tilted import TiltedFlight, fly_tilted
from .vehicle import Vehicle

NO_THRUST = "needs the motor's thrust table as `thrust`"
NO_MASS = "needs the mass of every item"
NO_BODY = "needs a body: a nose and tubes with their stations"
MASS_BELOW = "the mass as balanced is less than the propellant"


@dataclass(frozen=True, slots=True)
class Conditions:
    """What a design says of its flights beside the rocket and its motors; what is not stated is None.

    Attributes:
        launch: where and how it is launched.
        rails: the rail of the design, or the usual ones; the first counts.
        canopies: the parachutes.
        known_drag: a drag coefficient that is known, in place of the one from the geometry.
        roughness: height of the skin's roughness [micrometres].
        drag_spread: by which part drag may be off [-].
        thrust_spread: by which part thrust may be off [-].
        mass_spread: by which part the mass may be off [-].
        mass_bands: mass, least and greatest of each item that is only estimated [g].
        wanted_descent: descent rate that is wanted [m/s].
        field: distance from the pad to the nearest edge of the field [m].
    """

    launch: Launch = dataclasses.field(default_factory=Launch)
    rails: tuple[Rail, ...] = ()
    canopies: tuple[Canopy, ...] = ()
    known_drag: DragCurve | None = None
    roughness: float | None = None
    drag_spread: float | None = None
    thrust_spread: float | None = None
    mass_spread: float | None = None
    mass_bands: tuple[tuple[float, float, float], ...] = ()
    wanted_descent: float | None = None
    field: float | None = None


@dataclass(frozen=True, eq=False)
class MotorFlight:
    """The flight with one motor and all that follows from it; what is not known is None or empty.

    Attributes:
        motor: the motor.
        rail: the rail that it flies from.
        flight: the flight, upright in still air, or why there is none.
        drag: the rocket as its drag sees it; None where a coefficient is stated.
        descending: everything that comes down under the parachutes [g].
        heaviest: heaviest section of it [g].
        descent: the way down from the apogee.
        deployments: what the parachute meets at each delay.
        window: delays that keep the speed at deployment within its limit.
        in_wind: the flight from the leaning rail in each wind of the launch.
        drift: drift in each wind.
        bands: what the spread of mass, drag and thrust leaves open.
        demands: what it asks of the parts.
        leaning: the apogee from the leaning rail in still air; None from an upright one.
    """

    motor: Motor
    rail: Rail | None
    flight: Flight | NotFlown
    drag: DragBody | None = None
    descending: float | None = None
    heaviest: float | None = None
    descent: Descent | None = None
    deployments: tuple[Deployment, ...] = ()
    window: Window | None = None
    in_wind: tuple[TiltedFlight | NotFlown, ...] = ()
    drift: tuple[DriftRow, ...] = ()
    bands: FlightBands | None = None
    demands: Demands | None = None
    leaning: Turned | None = None

    @property
    def wanted_delay(self) -> float | None:
        """The delay that ends at the apogee in still air, from the rail as it leans [s]; None without one."""
        wanted = -1.0 if isinstance(self.flight, NotFlown) else wanted_delay(self.flight, self.leaning)
        return wanted if wanted >= 0.0 else None

    @property
    def flown(self) -> Flown:
        """The flight as its checks take it."""
        return Flown(
            self.motor.name,
            self.flight,
            self.motor.delays,
            self.motor.delay_tolerance,
            self.descending,
            self.heaviest,
            self.bands,
            before=_ways(self.in_wind),
            leaning=self.leaning,
            in_wind=_turned(self.in_wind),
        )


def _ways(flights: Sequence[TiltedFlight | NotFlown]) -> tuple[float, ...] | None:
    """How far each is from the pad at its apogee [m]; None where not every one flies."""
    found = tuple(abs(one.downrange) for one in flights if isinstance(one, TiltedFlight))
    return found if found and len(found) == len(flights) else None


def _turned(flights: Iterable[TiltedFlight | NotFlown]) -> tuple[Turned, ...]:
    """Their apogees, where there is one after burnout."""
    return tuple(
        Turned(one.wind, coast, one.apogee.height, one.air_speed, abs(one.downrange))
        for one in flights
        if isinstance(one, TiltedFlight) and (coast := one.apogee.time - one.upright.burnout.time) >= 0.0
    )


def site_of(rocket: Rocket, conditions: Conditions) -> Site:
    """What is the same for all motors, as the checks of flights take it."""
    launch = conditions.launch
    return Site(
        launch,
        Atmosphere(launch.altitude, launch.temperature),
        conditions.canopies,
        conditions.wanted_descent,
        rocket.length,
        rocket.reference_diameter,
        conditions.field,
    )


def rocket_flights(
    rocket: Rocket,
    loaded: Iterable[Loading],
    motors: Sequence[Motor],
    recovery: Recovery,
    conditions: Conditions,
    rules: Mapping[str, Limit],
) -> tuple[MotorFlight, ...]:
    """The flight with each motor.

    Args:
        rocket: the parts in place, without a motor.
        loaded: its loadings, whose mass at liftoff counts.
        motors: the motors to fly with, one at a time.
        recovery: joints, for the sections that come down.
        conditions: everything else.
        rules: limits by name; the one of the speed at deployment gives the window of delays.

    Raises:
        PartError: a value of the conditions is out of its range.
    """
    masses = {one.motor: one.mass.mass for one in loaded if one.name == LIFTOFF and one.mass is not None}
    return tuple(_Pad(rocket, recovery, conditions, rules).fly(motor, masses.get(motor.name)) for motor in motors)


@dataclass(frozen=True, slots=True)
class _Pad:
    """One rocket under one set of conditions."""

    rocket: Rocket
    recovery: Recovery
    conditions: Conditions
    rules: Mapping[str, Limit]

    def fly(self, motor: Motor, mass: float | None) -> MotorFlight:
        rail = self.conditions.rails[0] if self.conditions.rails else None
        body = None if self.conditions.known_drag is not None else self._body(motor)
        found = self._vehicle(motor, mass, rail, body)
        if isinstance(found, NotFlown):
            return MotorFlight(motor, rail, found, body)
        flight = fly(found, self.conditions.launch, self._air)
        descending = found.mass - found.propellant
        if isinstance(flight, NotFlown):
            return MotorFlight(motor, rail, flight, body, descending)
        return self._followed(motor, rail, flight, body, descending)

    @property
    def _air(self) -> Atmosphere:
        return Atmosphere(self.conditions.launch.altitude, self.conditions.launch.temperature)

    def _body(self, motor: Motor) -> DragBody | None:
        roughness = USUAL_ROUGHNESS if self.conditions.roughness is None else self.conditions.roughness
        return drag_body(self.rocket, roughness, motor.diameter)

    def _vehicle(
        self, motor: Motor, mass: float | None, rail: Rail | None, body: DragBody | None
    ) -> Vehicle | NotFlown:
        if motor.thrust is None:
            return NotFlown(NO_THRUST)
        if mass is None:
            return NotFlown(NO_MASS)
        propellant = motor.loaded_mass - motor.empty_mass
        if propellant >= mass:
            return NotFlown(MASS_BELOW)
        drag = self.conditions.known_drag
        if drag is None:
            if body is None:
                return NotFlown(NO_BODY)
            drag = drag_curve(body, self._air)
        foot, buttons = aft_end(self.rocket, motor), button_stations(self.rocket)
        forward = aft = None
        if rail is not None and foot is not None and buttons:
            forward, aft = (rail.travel(foot - one) for one in (buttons[0], buttons[-1]))
        return Vehicle(mass, propellant, motor.thrust, drag, forward, aft)

    def _followed(
        self, motor: Motor, rail: Rail | None, flight: Flight, body: DragBody | None, descending: float
    ) -> MotorFlight:
        conditions, launch, air = self.conditions, self.conditions.launch, self._air
        down = descent(descending, conditions.canopies, flight.apogee.height, air) if conditions.canopies else None
        in_wind = tuple(fly_tilted(flight, wind) for wind in launch.winds)
        # Upright in still air nothing turns it, and the upright flight is the better figure.
        (leaning,) = (_turned((fly_tilted(flight),)) if launch.tilt > 0.0 else ()) or (None,)
        rows = drift(down.time, launch.winds, _ways(in_wind)) if down else ()
        limit = self.rules["deployment_speed"].fail_above
        tolerance = motor.delay_tolerance
        return MotorFlight(
            motor,
            rail,
            flight,
            body,
            descending,
            self._heaviest(motor),
            down,
            deployments(flight, motor.delays, tolerance, turned=leaning),
            None if limit is None else window(flight, limit, tolerance, turned=leaning),
            in_wind,
            rows,
            self._bands(flight, descending),
            self._demands(motor, flight, body, down, leaning, _turned(in_wind)),
            leaning,
        )

    def _bands(self, flight: Flight, descending: float) -> FlightBands:
        conditions, own = self.conditions, flight.vehicle.mass
        mass = None
        if conditions.mass_spread is not None:
            mass = (own * (1.0 - conditions.mass_spread), own * (1.0 + conditions.mass_spread))
        elif conditions.mass_bands:
            mass = mass_band(own, conditions.mass_bands)
        return flight_bands(
            flight,
            mass,
            DRAG_SPREAD if conditions.drag_spread is None else conditions.drag_spread,
            THRUST_SPREAD if conditions.thrust_spread is None else conditions.thrust_spread,
            conditions.canopies,
            descending,
        )

    def _heaviest(self, motor: Motor) -> float | None:
        """The heaviest section once the joints that release have come apart; None while a mass is not known."""
        opened = web(self.rocket, self.recovery, motor.empty_mass, opened=True)
        if opened.unknown or not any(joint.state == "releases" for joint in self.recovery.joints):
            return None
        return max((opened.mass(opened.part_of(name)) for name in opened.masses), default=None)

    def _demands(
        self,
        motor: Motor,
        flight: Flight,
        body: DragBody | None,
        down: Descent | None,
        leaning: Turned | None,
        in_wind: Sequence[Turned],
    ) -> Demands:
        air, fastest, top = self._air, flight.greatest_speed, flight.apogee.height
        there = air.at(fastest.height)
        out = expected(flight, motor.delays, motor.delay_tolerance, turned=leaning)
        blown = (deployment(flight, out.nominal.delay, motor.delay_tolerance, turned=one) for one in in_wind)
        moments = [moment for one in (out, *blown) for moment in one.in_the_air]
        opens = max(moments, key=lambda moment: moment.speed, default=None)
        burnout = flight.burnout
        coefficient = flight.vehicle.drag.coefficient(abs(burnout.speed), burning=False)
        thick = air.density_and_sound(max(burnout.height, 0.0))[0]
        drag = 0.5 * thick * burnout.speed**2 * coefficient * flight.vehicle.drag.reference_area * 1e-6
        return Demands(
            motor.name,
            flight.vehicle.mass,
            flight.vehicle.mass - flight.vehicle.propellant,
            motor.loaded_mass,
            flight.vehicle.thrust.greatest,
            flight.greatest_acceleration.value,
            flight.greatest_deceleration.value,
            fastest.value,
            fastest.height,
            there.pressure,
            there.sound,
            flight.greatest_dynamic_pressure.value,
            burnout.speed,
            top,
            air.at(0.0).pressure,
            air.at(top).pressure,
            None if opens is None else opens.speed,
            air.density_and_sound(0.0 if opens is None else opens.height)[0],
            drag,
            self._share_ahead(body, burnout.speed, burnout.height),
            None if flight.exit is None else flight.exit.speed,
            None if down is None else down.speed,
            deployment_assumed=not motor.delays,
        )

    def _share_ahead(self, body: DragBody | None, speed: float, height: float) -> float | None:
        """Part of the drag ahead of the one joint that releases; None without one, or where drag is only stated."""
        places = tuple(self._partings())
        if body is None or len(places) != 1 or speed <= 0.0:
            return None
        return share_ahead(body, places[0], speed, self._air.at(max(height, 0.0)))

    def _partings(self) -> Iterator[float]:
        """Stations at which the skin comes apart: where the tube of a joint that releases begins or ends [mm]."""
        items = {item.name: item for item in self.rocket.body}
        for joint in self.recovery.joints:
            if joint.state != "releases":
                continue
            skins = [items[name].skin_range() for name in joint.between if name in items]
            if len(skins) == 2:
                yield max(first for first, _ in skins)
            elif len(skins) == 1:
                # A coupler has no skin: it comes apart at the mouth of the tube that it slides in.
                names = [name for name in joint.between if name not in items]
                inside = next((one for one in self.rocket.items if one.name in names), None)
                first, last = skins[0]
                if inside is not None:
                    start, end = inside.skin_extent()
                    yield first if abs(first - (start + end) / 2.0) < abs(last - (start + end) / 2.0) else last
