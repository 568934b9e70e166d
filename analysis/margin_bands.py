"""What the masses that are only estimated leave open of the margin.

A part that is not weighed may be as light or as heavy as is usual for its material; an allowance may be off by half.
The centre of gravity is a sum of moments over a sum of masses. With each mass free within its band it is furthest aft
where what lies behind that very station is heavy and all else light, which a few rounds find exactly (the method of
W. Dinkelbach for ratios, On Nonlinear Fractional Programming, 1967, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .contributions import Contribution, Contributions
from .rocket import Item, Rocket
from .weighed_items import mass_band

ALLOWANCE = 0.5
"""By which part an allowance for glue or paint may be off, either way (common practice) [-]."""

COUNTED = (
    "densities as is usual for each material, allowances within half; what is weighed or stated counts as exact, and "
    "a print with infill or a wall thinner than drawn is outside it"
)


@dataclass(frozen=True, slots=True)
class MarginBand:
    """What one estimated mass leaves open.

    Attributes:
        name: name of the item.
        mass: its mass as it counts [g].
        low: least mass that is usual [g].
        high: greatest such mass [g].
        share: the part of all bands together that this one is [-].
        at_low: what the margin gains with the least mass, all else as it is [mm].
        at_high: the same with the greatest.
    """

    name: str
    mass: float
    low: float
    high: float
    share: float
    at_low: float
    at_high: float


@dataclass(frozen=True, slots=True)
class MarginBands:
    """All estimated masses together.

    Attributes:
        rows: one for each, in the order of the design.
        least: margin where all masses are as bad for it as their bands allow [mm].
        greatest: margin where all are as good for it [mm].
    """

    rows: tuple[MarginBand, ...]
    least: float
    greatest: float


def margin_bands(rocket: Rocket, state: Contributions) -> MarginBands | None:
    """What estimated masses leave open of the margin; None while a mass or the centre of pressure is not stated.

    Args:
        rocket: the parts in place.
        state: what each item adds, in the state that is asked for.
    """
    if state.mass is None or state.cg is None or state.cp is None:
        return None
    items = {item.name: item for item in rocket.items}
    known = [(row, *_band(items.get(row.name), row)) for row in state.rows]
    total = sum(high - low for _, low, high in known)
    rows = tuple(
        MarginBand(
            row.name,
            row.mass or 0.0,
            low,
            high,
            (high - low) / total,
            *(_gain(state.mass, state.cg, row, mass) for mass in (low, high)),
        )
        for row, low, high in known
        if high > low
    )
    masses = [(row.cg or 0.0, low, high) for row, low, high in known]
    return MarginBands(rows, state.cp - _furthest(masses, 1.0), state.cp - _furthest(masses, -1.0))


def _band(item: Item | None, row: Contribution) -> tuple[float, float]:
    """Least and greatest mass of a row [g], both its own where it counts as exact."""
    mass = row.mass or 0.0
    if item is None or (item.weighed and item.stated_mass is not None):
        return mass, mass
    if item.estimate:
        return mass * (1.0 - ALLOWANCE), mass * (1.0 + ALLOWANCE)
    return (None if item.stated_mass is not None else mass_band(item)) or (mass, mass)


def _gain(whole: float, cg: float, row: Contribution, mass: float) -> float:
    """Margin with another mass of one row, less the margin as it is [mm]."""
    more = mass - (row.mass or 0.0)
    return -more * ((row.cg or 0.0) - cg) / (whole + more)


def _furthest(masses: Sequence[tuple[float, float, float]], way: float) -> float:
    """The centre of gravity furthest aft, or forward where `way` is -1, of stations with least and greatest mass."""
    found = sum(low * x for x, low, _ in masses) / sum(low for _, low, _ in masses)
    while True:
        chosen = [(high if way * (x - found) > 0.0 else low, x) for x, low, high in masses]
        better = sum(mass * x for mass, x in chosen) / sum(mass for mass, _ in chosen)
        if way * (better - found) <= 1e-9:
            return better
        found = better
