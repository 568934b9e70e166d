"""A rocket: parts placed along one axis, with masses that are no part."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache

from ..parts.curve import bounds
from ..parts.fin_set import FinSet, rolls_of
from ..parts.kinds import Fin
from ..parts.part import Part
from ..parts.readers.integrals import moments
from ..parts.readers.moments import NOTHING, Moments
from ..parts.shape import Outline, Placement, canted, moved, rolled
from .weighing import Weighing

LYING_OVER = 0.5
"""How far two skins reach over each other before one lies over the other [mm]: the precision of a station."""


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
        beside: the item whose companion it is, which it turns with; None for what stands by itself.
        weighing: what the scale said piece by piece, where it did; the stated mass is by it while it is current.
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
    beside: Item | None = None
    weighing: Weighing | None = None

    def by_weighing(self, weighing: Weighing) -> Item:
        """The item with what the scale said of it: its mass where that is current, else beside the estimate."""
        if not weighing.is_current:
            return replace(self, weighing=weighing)
        mass = weighing.mean * self.quantity
        return replace(self, stated_mass=mass, weighed=True, estimate=False, weighing=weighing)

    def unweighed(self) -> Item:
        """The item as if no scale had been there: by shape and density, or as its own table states it."""
        if self.weighing is not None:
            before, guessed = self.weighing.before, self.weighing.estimated_before
            return replace(self, stated_mass=before, weighed=False, estimate=guessed, weighing=None)
        if self.weighed and self.part is not None:
            return replace(self, stated_mass=None, weighed=False)
        return self

    @property
    def balance(self) -> float | None:
        """Measured centre of gravity from the part's own origin [mm]; None where it was not balanced since."""
        return self.weighing.balance if self.weighing is not None and self.weighing.is_current else None

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
        return rolls_of(self.count) if self.part is not None and self.part.spaced_round else (0.0,)

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
        """Motion of each copy from the part's frame into the rocket's; none for a mass at a place.

        A canted fin is turned about the radius through the middle of its root, and what it brings along with it.
        """
        if self.part is None:
            return ()
        if not self.part.on_surface:
            return tuple(moved(station) for station in self.stations)
        cant, pivot = self._turn()
        turn = canted(cant, pivot) if cant else moved()
        return tuple(
            rolled(roll).after(moved(station, self.radius)).after(turn)
            for station in self.stations
            for roll in self.rolls()
        )

    def _turn(self) -> tuple[float, float]:
        """Cant [rad], and the own station of the radius that it turns about [mm]."""
        owner = self.beside or self
        fins = _fin_set(owner.part) if owner.part else None
        if fins is None or not fins.cant:
            return 0.0, 0.0
        return fins.cant, owner.stations[0] - self.stations[0] + fins.position + fins.root_chord / 2.0

    def fin_sets(self) -> tuple[FinsInPlace, ...]:
        """Its fins as the air meets them, one set for each station; none for a part without."""
        fins = _fin_set(self.part) if self.part else None
        if fins is None:
            return ()
        count = self.count if fins.count is None else fins.count
        return tuple(
            FinsInPlace(
                self.name,
                fins.planform,
                fins.thickness,
                count,
                station + fins.position,
                self.radius if fins.radius is None else fins.radius,
                fins.cant,
                fins.root_chord,
            )
            for station in self.stations
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
class FinsInPlace:
    """A set of fins on the rocket.

    Attributes:
        name: name of the item that they belong to.
        planform: one fin outside the body, its root leading edge at the origin [mm].
        thickness: largest thickness of one [mm].
        count: fins round the body [-].
        station: root leading edge [mm].
        radius: radius of the surface that they stand on [mm].
        cant: turn of each about the radius through the middle of its root [rad].
        root_chord: length of the root [mm].
    """

    name: str
    planform: Outline
    thickness: float
    count: int
    station: float
    radius: float
    cant: float
    root_chord: float

    @property
    def rolls(self) -> tuple[float, ...]:
        """Roll of each fin, from fin 1 [rad]."""
        return rolls_of(self.count)

    @property
    def root_end(self) -> float:
        """Root trailing edge [mm]."""
        return self.station + self.root_chord

    @property
    def aft_end(self) -> float:
        """Aftmost station of a fin [mm]."""
        return self.station + self.planform.box()[2]


@dataclass(frozen=True)
class Rocket:
    """Items in order from the nose; stations are [mm] from the real nose tip.

    What follows from the items is found once: checks ask for the body of every item anew.

    Attributes:
        name: name of the design.
        items: everything that has mass or meets the air.
    """

    name: str
    items: tuple[Item, ...] = field(default_factory=tuple)

    @cached_property
    def body(self) -> tuple[Item, ...]:
        """Items with a turned skin in the air stream, from forward to aft."""
        found = [item for item in self.items if item.part is not None and item.part.skin()]
        return tuple(sorted(found, key=lambda item: item.stations[0]))

    @cached_property
    def sleeves(self) -> tuple[Item, ...]:
        """Items of the body with fins whose skin lies over that of another, such as a fin can over a tube."""
        body = self.body
        return tuple(
            item
            for item in body
            if item.fin_sets() and any(_shared(item, other) > LYING_OVER for other in body if other is not item)
        )

    @cached_property
    def fins(self) -> tuple[Item, ...]:
        """Sets of fins that are parts by themselves, from forward to aft."""
        found = [item for item in self.items if isinstance(item.part, Fin)]
        return tuple(sorted(found, key=lambda item: item.stations[0]))

    @cached_property
    def fin_sets(self) -> tuple[FinsInPlace, ...]:
        """All sets of fins as the air meets them, also those that are one part with their sleeve, forward to aft."""
        found = [one for item in self.items for one in item.fin_sets()]
        return tuple(sorted(found, key=lambda one: one.station))

    @cached_property
    def reference_diameter(self) -> float | None:
        """Largest diameter of the body [mm], a sleeve over it included; None without a body."""
        radii = [bounds(piece)[3] for item in self.body if item.part for piece in item.part.skin()]
        return 2.0 * max(radii) if radii else None

    @cached_property
    def length(self) -> float | None:
        """Overall length [mm], nose tip to the aft end of skin and fins; None without either."""
        ends = [item.skin_range()[1] for item in self.body] + [fins.aft_end for fins in self.fin_sets]
        return max(ends, default=None)


def _shared(first: Item, second: Item) -> float:
    """Length over which the skins of two items lie at the same stations [mm]; below zero where they are apart."""
    (start, end), (other_start, other_end) = first.skin_range(), second.skin_range()
    return min(end, other_end) - max(start, other_start)


@lru_cache(maxsize=64)
def _fin_set(part: Part) -> FinSet | None:
    """The fins of a part; every figure and check asks for them, and a drawn outline takes a while to lay out."""
    return part.fin_set()
