"""A rocket: parts placed along one axis, with masses that are no part."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from ..parts.curve import bounds
from ..parts.kinds import Fin
from ..parts.part import Part
from ..parts.readers.integrals import moments
from ..parts.readers.moments import NOTHING, Moments
from ..parts.shape import Placement, moved, rolled


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the mass table: a part (one or several alike) or a mass at a place.

    Attributes:
        name: what the design calls it.
        stations: where the part's own origin lies, one for each copy along the axis [mm].
        part: the part, or None for a mass at a place.
        count: copies round the axis, for fins [-].
        radius: radius of the surface that fins and buttons stand on [mm].
        stated_mass: mass of all copies together, where it is stated [g].
        weighed: True where the stated mass was read off a scale.
        estimate: True where the stated mass is an allowance for what is not weighed yet.
        what: what a mass at a place is, such as `motor`, `hardware` or `paint`.
    """

    name: str
    stations: tuple[float, ...]
    part: Part | None = None
    count: int = 1
    radius: float = 0.0
    stated_mass: float | None = None
    weighed: bool = False
    estimate: bool = False
    what: str = "mass"

    @property
    def kind(self) -> str:
        """The kind of part, or what the mass at a place is."""
        return self.part.kind if self.part else self.what

    @property
    def quantity(self) -> int:
        """Pieces to make [-]."""
        return self.count * len(self.stations)

    def rolls(self) -> tuple[float, ...]:
        """Roll of each copy [rad]: fins evenly spaced with the rail line, roll 0, mid-way between two; others on it."""
        if not isinstance(self.part, Fin):
            return (0.0,)
        return tuple(math.tau * (index + 0.5) / self.count for index in range(self.count))

    def volume_moments(self) -> Moments:
        """Moments of all copies at unit density in the rocket's frame."""
        if self.part is None:
            return NOTHING
        own = moments(self.part.shape())
        total = NOTHING
        for placement in self.placements():
            one = own.placed(placement)
            total = one if total is NOTHING else total + one
        return total

    def placements(self) -> tuple[Placement, ...]:
        """Motion of each copy from the part's frame into the rocket's; none for a mass at a place."""
        if self.part is None:
            return ()
        if not self.part.on_surface:
            return tuple(moved(station) for station in self.stations)
        return tuple(
            rolled(roll).after(moved(station, self.radius)) for station in self.stations for roll in self.rolls()
        )

    def skin_range(self) -> tuple[float, float]:
        """Stations of the forward and aft end of the item's turned skin [mm]; its own station without one."""
        skin = self.part.skin() if self.part else ()
        first, last = (skin[0].start[0], skin[-1].end[0]) if skin else (0.0, 0.0)
        return self.stations[0] + first, self.stations[0] + last

    def skin_extent(self) -> tuple[float, float]:
        """Foremost and aftmost station that the item reaches [mm]."""
        first, last = self.part.extent() if self.part else (0.0, 0.0)
        return min(self.stations) + first, max(self.stations) + last


@dataclass(frozen=True, slots=True)
class Rocket:
    """Items in order from the nose; stations are [mm] from the real nose tip.

    Attributes:
        name: name of the design.
        items: everything that has mass or meets the air.
    """

    name: str
    items: tuple[Item, ...] = field(default_factory=tuple)

    @property
    def body(self) -> tuple[Item, ...]:
        """Items with a turned skin in the air stream, from forward to aft."""
        found = [item for item in self.items if item.part is not None and item.part.skin()]
        return tuple(sorted(found, key=lambda item: item.stations[0]))

    @property
    def fins(self) -> tuple[Item, ...]:
        """Sets of fins, from forward to aft."""
        found = [item for item in self.items if isinstance(item.part, Fin)]
        return tuple(sorted(found, key=lambda item: item.stations[0]))

    @property
    def reference_diameter(self) -> float | None:
        """Largest diameter of the body [mm]; None without a body."""
        radii = [bounds(piece)[3] for item in self.body if item.part for piece in item.part.skin()]
        return 2.0 * max(radii) if radii else None

    @property
    def length(self) -> float | None:
        """Overall length [mm], nose tip to the aft end of skin and fins; None without either."""
        shown = (*self.body, *self.fins)
        return max(_skin_end(item) for item in shown) if shown else None


def _skin_end(item: Item) -> float:
    return item.skin_extent()[1] if isinstance(item.part, Fin) else item.skin_range()[1]
