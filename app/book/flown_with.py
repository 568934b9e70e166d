"""What several sheets tell of the rocket with one motor, in words, and which of it was measured."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ...analysis.flight.deployment import COUNTED
from ...analysis.loading import BURNOUT, LIFTOFF, MEASURED, PREDICTED
from ...parts.quantity import convert
from ..lengths import NOT_STATED, Lengths
from .about import About

COUNTS = f"Delay: {COUNTED}."
"""Stands on every page that tells a delay."""

BY_BALANCE = "from a balance"
"""A mass or a balance point that follows from a balance test of another state and the motor's table."""


@dataclass(frozen=True)
class FlownWith:
    """A rocket with one motor.

    Attributes:
        motor: the motor's figures.
        liftoff: the loading at liftoff.
        burnout: the loading at burnout.
        flight: its flight.
        delays: what the parachute meets at each delay.
        descent: the way down.
        drift: drift in each wind.
        in_wind: the flight in each wind.
        bands: what spreads leave open; None where it does not fly.
        exits: how it leaves each rail that the checks hold it to.
        lengths: how lengths are printed.
    """

    motor: Mapping[str, Any]
    liftoff: Mapping[str, Any]
    burnout: Mapping[str, Any]
    flight: Mapping[str, Any]
    delays: Mapping[str, Any]
    descent: Mapping[str, Any]
    drift: Mapping[str, Any]
    in_wind: Mapping[str, Any]
    bands: Mapping[str, Any] | None
    exits: Sequence[Mapping[str, Any]]
    lengths: Lengths

    @property
    def name(self) -> str:
        """Name of the motor."""
        return str(self.motor["name"])

    @property
    def basis(self) -> str:
        """Whether mass and balance point were measured; in capitals where they were not."""
        return basis(self.liftoff)

    @property
    def mass(self) -> str:
        """Mass at liftoff."""
        return number(self.liftoff["mass_g"], 0, "g")

    @property
    def cg(self) -> str:
        """Balance point at liftoff, in both units."""
        return balance_point(self.liftoff, self.lengths)

    @property
    def margins(self) -> str:
        """Margin at liftoff and at burnout."""
        both = [number(one["margin_cal"], 2) for one in (self.liftoff, self.burnout)]
        if NOT_STATED in both:
            return NOT_STATED if both[0] == both[1] else f"{both[0]} at liftoff, {both[1]} at burnout"
        return f"{both[0]}, {both[1]} calibres"

    @property
    def mean_ratio(self) -> str:
        """Mean thrust over weight at liftoff."""
        return number(self.exits[0]["mean_thrust_to_weight"] if self.exits else None, 1)

    @property
    def exit_speeds(self) -> str:
        """Speed at the end of each rail that the checks hold it to."""
        told = [number(one["exit_speed_m_per_s"], 1) for one in self.exits]
        if set(told) <= {NOT_STATED}:
            return NOT_STATED
        return ", ".join(told) + ("" if NOT_STATED in told else " m/s")

    @property
    def rails(self) -> str:
        """Lengths of those rails."""
        told = ", ".join(f"{one['rail_length_mm'] / 1000.0:g}" for one in self.exits)
        return f"{told} m" if told else ""

    @property
    def apogee(self) -> str:
        """Height of the apogee above the ground, in both units."""
        return height(self.flight["apogee_height_m"])

    @property
    def delay_wanted(self) -> str:
        """The coast from burnout to the apogee."""
        return number(self.flight["delay_wanted_s"], 1, "s")

    @property
    def delays_stated(self) -> str:
        """Delays that the motor is to be had with."""
        some = [f"{row['delay_s']:g}" for row in self.delays["rows"] if row["stated"]]
        return f"{', '.join(some)} s" if some else NOT_STATED

    @property
    def descent_rate(self) -> str:
        """Descent rate at the ground."""
        return number(self.descent["speed_m_per_s"], 1, "m/s")


def flown_with(about: About) -> tuple[FlownWith, ...]:
    """Every motor of a design, in its order; none where none is stated."""
    return tuple(_flown_with(about))


def _flown_with(about: About) -> Iterator[FlownWith]:
    figures = about.figures
    by_name = {
        table: {one["motor"]: one for one in figures[table]}
        for table in ("flights", "delays", "descent", "drift", "in_wind", "bands")
    }
    states = {(one["motor"], one["name"]): one for one in figures["loadings"]}
    for motor in figures["motors"]:
        name = motor["name"]
        flights, delays, descent, drift, in_wind = (
            by_name[table][name] for table in ("flights", "delays", "descent", "drift", "in_wind")
        )
        exits = tuple(one for one in figures["rail_exits"] if one["motor"] == name)
        ends = (states[name, LIFTOFF], states[name, BURNOUT])
        bands = by_name["bands"].get(name)
        yield FlownWith(motor, *ends, flights, delays, descent, drift, in_wind, bands, exits, about.lengths)


def basis(loading: Mapping[str, Any]) -> str:
    """Whether the mass and the balance point of a state were measured, in one word or few."""
    found = loading["cg_basis"]
    return "PREDICTED" if found == PREDICTED else "measured" if found == MEASURED else BY_BALANCE


def balance_point(loading: Mapping[str, Any], lengths: Lengths) -> str:
    """Balance point of a state from the nose tip, in both units."""
    return lengths.both(loading["cg_mm"][0] if loading["cg_mm"] else None)


def state_words(loading: Mapping[str, Any]) -> str:
    """A state in words, such as `DEMO-29 at liftoff`."""
    return " at ".join(filter(None, (loading["motor"], loading["name"])))


def spoken(words: str) -> str:
    """Words of a message with the names of fields in quotes, as paper has them."""
    return words.replace("`", "'")


def number(value: float | None, digits: int, unit: str = "") -> str:
    """A figure with its unit, or that it is not stated."""
    if value is None:
        return NOT_STATED
    return f"{value:,.{digits}f} {unit}".rstrip()


def height(metres: float | None) -> str:
    """A height in both units."""
    if metres is None:
        return NOT_STATED
    return f"{metres:,.0f} m ({convert(metres * 1000.0, 'length', 'ft'):,.0f} ft)"
