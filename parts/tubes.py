"""A tube by what was measured on it, and what follows from the readings alone."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from .errors import PartError
from .tables import readings

Side = Literal["outside", "inside"]
End = Literal["forward", "aft"]
ENDS: tuple[End, ...] = ("forward", "aft")

_THINNEST = 0.05
"""Thinnest wall that a tube may have [mm]: less is a slip of the pen."""


@dataclass(frozen=True, slots=True)
class MeasuredTube:
    """A tube by its readings.

    Readings of a diameter come with the end at which they were taken, each in two directions at right angles, or
    without; either is enough. What is not measured is left empty.

    Attributes:
        name: what the design calls it.
        outside: outside diameters without a stated end [mm].
        inside: inside diameters without a stated end [mm].
        outside_forward: outside diameters at the forward end [mm].
        outside_aft: outside diameters at the aft end [mm].
        inside_forward: inside diameters at the forward end [mm].
        inside_aft: inside diameters at the aft end [mm].
        wall: thicknesses of the wall [mm].
        strip: lengths once round of a paper strip laid about the tube [mm].
        strip_thickness: thickness of that strip [mm]; None for that of ordinary paper.
        length: length end to end [mm]; None where it is not stated.
        mass: mass as weighed [g]; None where it is not stated.

    Raises:
        PartError: no reading of a side, a reading that is not above 0, or two readings that contradict each other so
            that no tube can have both; both are named.
    """

    name: str
    outside: tuple[float, ...] = ()
    inside: tuple[float, ...] = ()
    outside_forward: tuple[float, ...] = ()
    outside_aft: tuple[float, ...] = ()
    inside_forward: tuple[float, ...] = ()
    inside_aft: tuple[float, ...] = ()
    wall: tuple[float, ...] = ()
    strip: tuple[float, ...] = ()
    strip_thickness: float | None = None
    length: float | None = None
    mass: float | None = None

    def __post_init__(self) -> None:
        for field, what in (("outside", self.all_outside), ("inside", self.all_inside)):
            if not what:
                raise PartError(f"{field}: at least one reading is needed and none is stated")
        for field in ("outside", "inside", "wall", "strip"):
            if (least := min(self._all(field), default=1.0)) <= 0.0:
                raise PartError(f"{field}: a reading must be above 0 mm, got {least:g} mm")
        if self.strip_thickness is not None and self.strip_thickness < 0.0:
            raise PartError(f"strip_thickness: must be at least 0 mm, got {self.strip_thickness:g} mm")
        for field, amount, unit in (("length", self.length, "mm"), ("mass", self.mass, "g")):
            if amount is not None and amount <= 0.0:
                raise PartError(f"{field}: must be above 0 {unit}, got {amount:g} {unit}")
        self._possible()

    def _possible(self) -> None:
        # A tube that is out of round may read more inside one way than outside the other; in no direction is it
        # without a wall.
        for insides, outsides in (
            (self.all_inside, self.all_outside),
            *((self.at("inside", end), self.at("outside", end)) for end in ENDS),
        ):
            for pick in (max, min) if insides and outsides else ():
                inside, outside = pick(insides), pick(outsides)
                if outside - inside < 2.0 * _THINNEST:
                    outside = min(outsides) if inside >= min(outsides) else outside
                    at = self._where("inside", inside), self._where("outside", outside)
                    raise PartError(
                        f"inside: a reading of {inside:g} mm{at[0]} is not below the outside reading of "
                        f"{outside:g} mm{at[1]}"
                    )
        outside = self.smallest_outside
        if self.wall and 2.0 * max(self.wall) >= self.smallest_outside:
            raise PartError(
                f"wall: a reading of {max(self.wall):g} mm is not below half the outside reading of {outside:g} mm"
            )
        honest = self.strip_outside
        if honest is not None and honest <= self.smallest_inside:
            raise PartError(
                f"strip: a mean of {_mean(self.strip):g} mm once round is {honest:.2f} mm across, not above the "
                f"inside reading of {self.smallest_inside:g} mm"
            )

    def at(self, side: Side, end: End) -> tuple[float, ...]:
        """Readings of one side at one end [mm]; none where no reading names the end."""
        by_end = {
            ("outside", "forward"): self.outside_forward,
            ("outside", "aft"): self.outside_aft,
            ("inside", "forward"): self.inside_forward,
            ("inside", "aft"): self.inside_aft,
        }
        return by_end[side, end]

    def _all(self, field: str) -> tuple[float, ...]:
        if field == "outside":
            return self.all_outside
        return self.all_inside if field == "inside" else self.wall if field == "wall" else self.strip

    def _where(self, side: Side, reading: float) -> str:
        return next((f" at the {end} end" for end in ENDS if reading in self.at(side, end)), "")

    @property
    def all_outside(self) -> tuple[float, ...]:
        """All outside readings [mm], those with an end last."""
        return (*self.outside, *self.outside_forward, *self.outside_aft)

    @property
    def all_inside(self) -> tuple[float, ...]:
        """All inside readings [mm], those with an end last."""
        return (*self.inside, *self.inside_forward, *self.inside_aft)

    @property
    def mean_outside(self) -> float:
        """Mean outside diameter [mm] by the calipers."""
        return _mean(self.all_outside)

    @property
    def mean_inside(self) -> float:
        """Mean inside diameter [mm]."""
        return _mean(self.all_inside)

    @property
    def smallest_outside(self) -> float:
        """Smallest outside reading [mm]."""
        return min(self.all_outside)

    @property
    def largest_outside(self) -> float:
        """Largest outside reading [mm]: what must slide over has to pass it."""
        return max(self.all_outside)

    @property
    def smallest_inside(self) -> float:
        """Smallest inside reading [mm]: what must slide in has to pass it."""
        return min(self.all_inside)

    @property
    def largest_inside(self) -> float:
        """Largest inside reading [mm]."""
        return max(self.all_inside)

    def ovality(self, side: Side, end: End | None = None) -> float | None:
        """Largest less smallest reading of a side [mm], at one end or in all; None for fewer than two readings."""
        found = self.at(side, end) if end else self.all_outside if side == "outside" else self.all_inside
        return max(found) - min(found) if len(found) > 1 else None

    def taper(self, side: Side) -> float | None:
        """Mean at the aft end less mean at the forward end [mm]; None where an end has no reading."""
        forward, aft = self.at(side, "forward"), self.at(side, "aft")
        return _mean(aft) - _mean(forward) if forward and aft else None

    @property
    def wall_by_diameters(self) -> float:
        """Half the difference of the mean diameters [mm]."""
        return (self.mean_outside - self.mean_inside) / 2.0

    @property
    def mean_wall(self) -> float:
        """Thickness of the wall [mm]: mean of its readings, else half the difference of the mean diameters."""
        return _mean(self.wall) if self.wall else self.wall_by_diameters

    @property
    def strip_outside(self) -> float | None:
        """Honest mean outside diameter of an oval tube [mm]: C / pi less the strip's thickness; None without a strip.

        The middle of the paper lies half its thickness off the tube all round, so C = pi (D + t).
        """
        if not self.strip:
            return None
        thickness = readings()["strip-thickness"].amount if self.strip_thickness is None else self.strip_thickness
        return _mean(self.strip) / math.pi - thickness

    @property
    def linear_density(self) -> float | None:
        """Mass of a metre of tube [g/m]; None where length or mass is not stated."""
        return None if self.mass is None or self.length is None else self.mass / (self.length * 1e-3)

    def spread(self, side: Side) -> float:
        """Largest less smallest of the readings that name no end [mm], which should be of the same thing."""
        found = self.outside if side == "outside" else self.inside
        return max(found) - min(found) if found else 0.0

    def within_tolerance(self, side: Side) -> bool:
        """Whether those readings agree as well as calipers can be read on a paper tube (`data/reading.csv`)."""
        return self.spread(side) <= readings()["caliper"].amount + 1e-9


def _mean(values: tuple[float, ...]) -> float:
    # Newer Pythons add numbers up more carefully than older ones; this is the same in all of them.
    return math.fsum(values) / len(values)
