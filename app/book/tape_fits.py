"""Joints that tape makes fit: how many wraps leave play by the tube as measured, and what one more does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ...analysis.rocket import Item
from ...parts.fit import FitChoice, MeasuredTube, Surroundings, clearance_for
from ...parts.kinds import Coupler, NoseCone, Transition
from ...parts.tape import Wraps, wraps
from ..design import Design

_TAPE = "tape"


@dataclass(frozen=True, slots=True)
class TapeFit:
    """One joint.

    Attributes:
        part: what goes in.
        tube: what it goes into.
        wraps: full wraps of tape in its clearance.
        releases: whether it opens in flight.
    """

    part: str
    tube: str
    wraps: Wraps
    releases: bool

    @property
    def words(self) -> str:
        """What goes into what."""
        return f"{self.part} in {self.tube}"


def tape_fits(design: Design) -> tuple[TapeFit, ...]:
    """Every shoulder and coupler whose fit is tape, by the fit that it was derived with or by what its joint says."""
    found = [fit for item in design.rocket.items for fit in _of_item(design, item)]
    # The joint that opens is tried first at the field.
    return tuple(sorted(found, key=lambda one: not one.releases))


def _of_item(design: Design, item: Item) -> Iterator[TapeFit]:
    part, near = item.part, design.fits.get(item.name, Surroundings())
    if isinstance(part, NoseCone):
        yield from _shoulder(design, item.name, near.fits, part.shoulder_diameter, near.choice)
    elif isinstance(part, Transition):
        around = None if near.around_use == "motor" else near.around
        yield from _shoulder(design, item.name, near.fits, part.forward_shoulder_diameter, near.choice)
        yield from _shoulder(design, item.name, around, part.aft_shoulder_diameter, near.choice)
    elif isinstance(part, Coupler):
        for tube in design.tubes.values():
            yield from _coupler(design, item.name, tube, part.outside_diameter, near.choice)


def _shoulder(
    design: Design, name: str, tube: MeasuredTube | None, diameter: float | None, choice: FitChoice
) -> Iterator[TapeFit]:
    if tube is None or diameter is None:
        return
    by, releases = _joint(design, name, tube.name)
    if clearance_for("shoulder-tape", choice, tube.smallest_inside).fit == _TAPE or _TAPE in by:
        yield TapeFit(name, tube.name, wraps(tube.smallest_inside - diameter), releases)


def _coupler(design: Design, name: str, tube: MeasuredTube, diameter: float, choice: FitChoice) -> Iterator[TapeFit]:
    """A coupler has tape in a tube only where its joint with that tube says so, or opens with a fit of tape."""
    by, releases = _joint(design, name, tube.name)
    if _TAPE in by or (releases and choice.fit == _TAPE):
        yield TapeFit(name, tube.name, wraps(tube.smallest_inside - diameter), releases)


def _joint(design: Design, *names: str) -> tuple[str, bool]:
    """What is said of the joint of two things, and whether it releases."""
    joint = next((one for one in design.recovery.joints if set(one.between) == set(names)), None)
    return ("", False) if joint is None else ((joint.by or "").lower(), joint.state == "releases")
