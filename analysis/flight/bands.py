"""What the spread of mass, drag and thrust leaves open of a flight's figures.

Each is taken low and high by itself and the rocket is flown again; the effects are held for independent of each other
and add up as the root of the sum of their squares. No confidence is claimed: a band is as good as the spreads put in.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from ...parts.errors import PartError
from ..motor import Thrust
from .canopy import Canopy, whole_effective_area
from .descent import descent_rate
from .fly import fly
from .result import Flight, NotFlown
from .vehicle import Vehicle

DRAG_SPREAD = 0.2
"""By which part a computed drag coefficient may be off, either way (common practice) [-]."""

THRUST_SPREAD = 0.1
"""By which part a motor's thrust may be off its maker's table, either way (common practice) [-]."""

CANOPY_SPREAD = 0.2
"""By which part a canopy's drag coefficient may be off, either way (common practice) [-]."""

FORMULA = "band = sqrt(sum of squares of the single effects), downward and upward by themselves"

SOURCE = "the flight computed again with each input low and high; spreads stated, or common practice"


@dataclass(frozen=True, slots=True)
class Effect:
    """What one input does to one figure.

    Attributes:
        cause: the input, in words.
        at_low: change of the figure with the input low, in the figure's unit; None where nothing flies then.
        at_high: the same with the input high.
    """

    cause: str
    at_low: float | None
    at_high: float | None


@dataclass(frozen=True, slots=True)
class BandRow:
    """One figure and its band.

    Attributes:
        quantity: what it is.
        unit: its unit.
        value: the figure itself.
        effects: what each input does.
        below: how far it may be less [same unit]; None where nothing flies at one end of an input.
        above: how far it may be more.
    """

    quantity: str
    unit: str
    value: float
    effects: tuple[Effect, ...]
    below: float | None
    above: float | None

    @property
    def least(self) -> float | None:
        """Lower end of the band; None where it is not known."""
        return None if self.below is None else self.value - self.below

    @property
    def greatest(self) -> float | None:
        """Upper end of the band; None where it is not known."""
        return None if self.above is None else self.value + self.above


@dataclass(frozen=True, slots=True)
class FlightBands:
    """Bands of a flight's figures.

    Attributes:
        rows: one for each figure.
        notes: what is not in them.
    """

    rows: tuple[BandRow, ...]
    notes: tuple[str, ...] = ()

    def row(self, quantity: str) -> BandRow | None:
        """The row of a figure; None where there is none."""
        return next((row for row in self.rows if row.quantity == quantity), None)


APOGEE, SPEED, COAST, EXIT, DESCENT = "apogee", "greatest speed", "coast time", "rail exit speed", "descent rate"

_FIGURES: tuple[tuple[str, str, Callable[[Flight], float | None]], ...] = (
    (APOGEE, "m", lambda flight: flight.apogee.height),
    (SPEED, "m/s", lambda flight: flight.greatest_speed.value),
    (COAST, "s", lambda flight: flight.coast_time),
    (EXIT, "m/s", lambda flight: None if flight.exit is None else flight.exit.speed),
)


@dataclass(frozen=True, slots=True)
class _Cause:
    words: str
    low: Flight | NotFlown
    high: Flight | NotFlown


def mass_band(mass: float, spreads: Sequence[tuple[float, float, float]]) -> tuple[float, float]:
    """Least and greatest mass of the whole where every estimate is low, or high, at once [g].

    Careful rather than likely: parts of one material are light together, but not all materials are.

    Args:
        mass: mass of the whole as it counts [g].
        spreads: for each estimated item its mass as it counts, the least and the greatest that are usual [g].
    """
    return mass - sum(own - low for own, low, _ in spreads), mass + sum(high - own for own, _, high in spreads)


def flight_bands(
    flight: Flight,
    mass: tuple[float, float] | None = None,
    drag_spread: float = DRAG_SPREAD,
    thrust_spread: float = THRUST_SPREAD,
    canopies: Sequence[Canopy] = (),
    descending: float | None = None,
    canopy_spread: float = CANOPY_SPREAD,
) -> FlightBands:
    """Bands of apogee, greatest speed, coast time, speed off the rail and descent rate.

    Args:
        flight: the flight as computed.
        mass: least and greatest liftoff mass [g]; None where its spread is not known, which is noted.
        drag_spread: by which part the drag coefficient may be off [-], from 0 to below 1.
        thrust_spread: by which part the thrust may be off [-], from 0 to below 1; burn time and propellant stay.
        canopies: the canopies, for the descent rate.
        descending: everything that comes down [g]; None leaves the descent rate out.
        canopy_spread: by which part the canopies' drag may be off [-], from 0 to below 1.

    Raises:
        PartError: a spread out of its range, or masses that are not around the flight's own.
    """
    for field, spread in (
        ("drag_spread", drag_spread),
        ("thrust_spread", thrust_spread),
        ("canopy_spread", canopy_spread),
    ):
        if not 0.0 <= spread < 1.0:
            raise PartError(f"{field}: must be from 0 to below 1, got {spread:g}")
    own = flight.vehicle.mass
    if mass is not None and not 0.0 < mass[0] <= own + 1e-6 <= mass[1] + 2e-6:
        raise PartError(f"mass: must be a least and a greatest around {own:g} g, got {mass[0]:g} and {mass[1]:g} g")
    causes = tuple(_causes(flight, mass, drag_spread, thrust_spread))
    rows = [row for name, unit, figure in _FIGURES if (row := _row(name, unit, figure, flight, causes)) is not None]
    area = whole_effective_area(canopies)
    if area is not None and descending is not None:
        rows.append(_descent_row(flight, mass, area, descending, canopy_spread))
    notes = () if mass is not None else ("the spread of the mass is not stated and is in none of the bands",)
    return FlightBands(tuple(rows), notes)


def _causes(
    flight: Flight, mass: tuple[float, float] | None, drag_spread: float, thrust_spread: float
) -> Iterator[_Cause]:
    vehicle = flight.vehicle

    def flown(other: Vehicle) -> Flight | NotFlown:
        return fly(other, flight.launch, flight.atmosphere)

    if mass is not None:
        low, high = (replace(vehicle, mass=one) for one in mass)
        yield _Cause(f"mass {mass[0]:.0f} to {mass[1]:.0f} g", flown(low), flown(high))
    low, high = (replace(vehicle, drag=vehicle.drag.scaled(1.0 + way * drag_spread)) for way in (-1.0, 1.0))
    yield _Cause(f"C_D {_either_way(drag_spread)}", flown(low), flown(high))
    low, high = (replace(vehicle, thrust=_scaled(vehicle.thrust, 1.0 + way * thrust_spread)) for way in (-1.0, 1.0))
    yield _Cause(f"thrust {_either_way(thrust_spread)}", flown(low), flown(high))


def _either_way(spread: float) -> str:
    return f"{100.0 * spread:g} % either way"


def _scaled(thrust: Thrust, factor: float) -> Thrust:
    return Thrust(thrust.times, tuple(factor * value for value in thrust.thrusts))


def _row(
    quantity: str,
    unit: str,
    figure: Callable[[Flight], float | None],
    flight: Flight,
    causes: Sequence[_Cause],
) -> BandRow | None:
    value = figure(flight)
    if value is None:
        return None

    def change(other: Flight | NotFlown) -> float | None:
        found = None if isinstance(other, NotFlown) else figure(other)
        return None if found is None else found - value

    effects = tuple(Effect(cause.words, change(cause.low), change(cause.high)) for cause in causes)
    return BandRow(quantity, unit, value, effects, *_band(effects))


def _descent_row(
    flight: Flight, mass: tuple[float, float] | None, area: float, descending: float, spread: float
) -> BandRow:
    density = flight.atmosphere.density_and_sound(0.0)[0]
    value = descent_rate(descending, area, density)
    effects: list[Effect] = []
    if mass is not None:
        low, high = (descent_rate(descending + one - flight.vehicle.mass, area, density) for one in mass)
        effects.append(Effect(f"mass {mass[0]:.0f} to {mass[1]:.0f} g at liftoff", low - value, high - value))
    low, high = (descent_rate(descending, area * (1.0 + way * spread), density) for way in (-1.0, 1.0))
    effects.append(Effect(f"canopy's C_D {_either_way(spread)}", low - value, high - value))
    return BandRow(DESCENT, "m/s", value, tuple(effects), *_band(effects))


def _band(effects: Sequence[Effect]) -> tuple[float | None, float | None]:
    """How far the figure may be less and more; not known where something does not fly."""
    squares = [0.0, 0.0]
    for effect in effects:
        if effect.at_low is None or effect.at_high is None:
            return None, None
        squares[0] += min(effect.at_low, effect.at_high, 0.0) ** 2
        squares[1] += max(effect.at_low, effect.at_high, 0.0) ** 2
    return math.sqrt(squares[0]), math.sqrt(squares[1])
