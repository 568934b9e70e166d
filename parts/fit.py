"""Measured tubes, and the sizes that follow from them, each shown as a sum with its reason."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .errors import PartError
from .tables import clearances


@dataclass(frozen=True, slots=True)
class MeasuredTube:
    """A tube by its caliper readings.

    Attributes:
        name: what the design calls it.
        outside: outside diameters [mm], at least one reading.
        inside: inside diameters [mm], at least one reading.

    Raises:
        PartError: an inside reading is not below every outside reading; both are named.
    """

    name: str
    outside: tuple[float, ...]
    inside: tuple[float, ...]

    def __post_init__(self) -> None:
        if max(self.inside) >= min(self.outside):
            raise PartError(
                f"inside: a reading of {max(self.inside):g} mm is not below the outside reading of "
                f"{min(self.outside):g} mm"
            )

    @property
    def mean_outside(self) -> float:
        """Mean outside diameter [mm]."""
        return sum(self.outside) / len(self.outside)

    @property
    def mean_inside(self) -> float:
        """Mean inside diameter [mm]."""
        return sum(self.inside) / len(self.inside)

    @property
    def smallest_inside(self) -> float:
        """Smallest inside reading [mm]: what must slide in has to pass it."""
        return min(self.inside)

    @property
    def largest_outside(self) -> float:
        """Largest outside reading [mm]: what must slide over has to pass it."""
        return max(self.outside)


@dataclass(frozen=True, slots=True)
class FitChoice:
    """How a part is to fit its tube, where the design says; what it does not say is the usual of the kind.

    Attributes:
        fit: name of the fit; None for the usual one of the part.
        process: how the part is made, which decides what clearance the fit needs; None where it is not stated.
        clearance: clearance on diameter set by hand [mm]; None for that of the table.
    """

    fit: str | None = None
    process: str | None = None
    clearance: float | None = None


@dataclass(frozen=True, slots=True)
class Surroundings:
    """The measured tubes beside a part, from which sizes follow.

    Attributes:
        fits: the tube that the part goes into or onto; None where none is named.
        around: the tube inside that, which the part goes around or reaches down to; None where none is named.
        choice: how it is to fit.
    """

    fits: MeasuredTube | None = None
    around: MeasuredTube | None = None
    choice: FitChoice = FitChoice()


@dataclass(frozen=True, slots=True)
class Derived:
    """A size that follows from a tube and a fit.

    Attributes:
        value: the size [mm].
        sum: how it came about, in words and numbers.
    """

    value: float
    sum: str


def _mm(value: float) -> str:
    return f"{value:.2f}"


def _less(what: str, start: float, clearance: str, sign: float = -1.0) -> Derived:
    row = clearances()[clearance]
    value = round(start + sign * row.amount, 6)
    word = "-" if sign < 0 else "+"
    return Derived(value, f"{what} {_mm(start)} {word} {_mm(row.amount)} ({row.reason}; {row.mark}) = {_mm(value)} mm")


def nose_base(tube: MeasuredTube) -> Derived:
    """Diameter of a nose base on a tube [mm]."""
    return _less(f"mean outside of the {tube.name}", tube.mean_outside, "nose-base")


def shoulder(tube: MeasuredTube) -> Derived:
    """Diameter of a shoulder in a tube, friction fit with tape [mm]."""
    return _less(f"smallest inside of the {tube.name}", tube.smallest_inside, "shoulder-tape")


def ring_outside(tube: MeasuredTube) -> Derived:
    """Diameter of a ring glued into a tube [mm]."""
    return _less(f"smallest inside of the {tube.name}", tube.smallest_inside, "ring-outside")


def ring_bore(tube: MeasuredTube) -> Derived:
    """Bore of a ring glued over a tube [mm]."""
    return _less(f"largest outside of the {tube.name}", tube.largest_outside, "ring-bore", 1.0)


def as_measured(tube: MeasuredTube, side: Literal["outside", "inside"]) -> Derived:
    """Mean outside or inside diameter of a tube, for a part that is the tube itself or ends flush with it [mm]."""
    value = round(tube.mean_outside if side == "outside" else tube.mean_inside, 6)
    return Derived(value, f"mean {side} of the {tube.name} as measured = {_mm(value)} mm")


def bulkhead(tube: MeasuredTube) -> Derived:
    """Diameter of a bulkhead glued into a tube, or of the small disc of a stepped one [mm]."""
    return _less(f"smallest inside of the {tube.name}", tube.smallest_inside, "bulkhead")


def large_disc(coupler_tube: MeasuredTube | None, airframe: MeasuredTube | None) -> Derived | None:
    """Diameter of the large disc of a stepped bulkhead [mm]: the coupler's outside, as far as the airframe lets it in.

    Returns:
        None where neither tube is known.
    """
    free = (
        _less(f"smallest inside of the {airframe.name}", airframe.smallest_inside, "bulkhead-slide")
        if airframe
        else None
    )
    if coupler_tube is None:
        return free
    flush = as_measured(coupler_tube, "outside")
    if free is None or flush.value <= free.value:
        return flush
    return Derived(
        free.value, f"{free.sum}, because the mean outside of the {coupler_tube.name}, {_mm(flush.value)} mm, is more"
    )


def coupler(tube: MeasuredTube) -> Derived:
    """Outside diameter of a coupler in a tube, sliding fit [mm]."""
    return _less(f"smallest inside of the {tube.name}", tube.smallest_inside, "coupler")


def tab_depth(airframe: MeasuredTube, motor_tube: MeasuredTube) -> Derived:
    """Depth of a fin tab from the surface of the airframe towards the motor tube [mm]."""
    row = clearances()["tab-depth"]
    gap = (airframe.mean_outside - motor_tube.largest_outside) / 2.0
    value = round(gap - row.amount, 6)
    return Derived(
        value,
        f"(mean outside of the {airframe.name} {_mm(airframe.mean_outside)} - largest outside of the "
        f"{motor_tube.name} {_mm(motor_tube.largest_outside)}) / 2 - {_mm(row.amount)} ({row.reason}; {row.mark}) = "
        f"{_mm(value)} mm",
    )
