"""Checks of what goes into, onto and around a measured tube."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..parts.errors import PartError
from ..parts.fit import FitChoice, MeasuredTube, Surroundings, clearance_for
from ..parts.kinds import Bulkhead, CenteringRing, Coupler, Fin, FinCan, MotorMount, NoseCone, Transition, Tube
from ..parts.tables import Clearance, clearances
from .circumstances import Circumstances
from .limits import Check, Status, limits
from .rocket import Item, Rocket


def fit_checks(rocket: Rocket, around: Circumstances) -> Iterator[Check]:
    """Every clearance between a part and a tube as measured, every shoulder and coupler by its length."""
    for item in rocket.items:
        near = around.fits.get(item.name, Surroundings())
        if isinstance(item.part, Transition) and near.around_use == "motor":
            # A tail cone goes around it, and meets no tube behind.
            near = replace(near, around=None)
        yield from _of_part(item, near)
        if isinstance(item.part, Coupler):
            yield from _coupler(item, rocket, around, near.choice)
        if isinstance(item.part, Transition):
            yield from _motor_bore(item, rocket, around, near.choice)
    for motor in around.motors:
        tube = around.motor_tubes.get(motor.name)
        if tube:
            play = tube.smallest_inside - motor.diameter
            yield clearance(f"{motor.name}: in {tube.name}", play, clearances()["motor-in-tube"])


def _of_part(item: Item, near: Surroundings) -> Iterator[Check]:
    part, rows, fits, around = item.part, clearances(), near.fits, near.around
    if isinstance(part, NoseCone) and fits:
        if part.shoulder_diameter is not None:
            yield from _shoulder(item.name, "shoulder", part.shoulder_diameter, part.shoulder_length, fits, near.choice)
        yield clearance(f"{item.name}: base on {fits.name}", fits.mean_outside - part.base_diameter, rows["nose-base"])
    if isinstance(part, Transition):
        for word, tube, skin, diameter, length in (
            ("forward", fits, part.forward_diameter, part.forward_shoulder_diameter, part.forward_shoulder_length),
            ("aft", around, part.aft_diameter, part.aft_shoulder_diameter, part.aft_shoulder_length),
        ):
            if tube is None:
                continue
            if diameter is not None:
                yield from _shoulder(item.name, f"{word} shoulder", diameter, length, tube, near.choice)
            name = f"{item.name}: {word} end at {tube.name}"
            yield clearance(name, tube.mean_outside - skin, rows["nose-base"])
    if isinstance(part, CenteringRing):
        yield from _ring(item.name, part.outside_diameter, part.inside_diameter, near)
    if isinstance(part, MotorMount):
        yield from _ring(item.name, part.ring_diameter, None, near)
    if isinstance(part, Bulkhead):
        yield from _bulkhead(item.name, part, near)
    if isinstance(part, FinCan) and fits:
        slides = replace(near.choice, fit=near.choice.fit or "slip", process=near.choice.process or "printed")
        row = _row("ring-bore", slides, fits.largest_outside)
        yield clearance(f"{item.name}: bore over {fits.name}", part.bore_diameter - fits.largest_outside, row)
    if isinstance(part, Fin) and part.tab_depth and fits and around:
        gap = (fits.mean_outside - around.largest_outside) / 2.0 - part.tab_depth
        yield clearance(f"{item.name}: tab to {around.name}", gap, rows["tab-depth"])
    elif isinstance(part, Fin) and (short := part.tab_short_of()) is not None:
        # The motor tube is stated on the fin, and not named.
        yield clearance(f"{item.name}: tab to the motor tube", short, rows["tab-depth"])


def _shoulder(
    name: str, word: str, diameter: float, length: float, tube: MeasuredTube, choice: FitChoice
) -> Iterator[Check]:
    row = _row("shoulder-tape", choice, tube.smallest_inside)
    yield clearance(f"{name}: {word} in {tube.name}", tube.smallest_inside - diameter, row)
    yield _against("shoulder_length", f"{name}: {word} length", length / tube.mean_inside)


def _ring(name: str, rim: float, bore: float | None, near: Surroundings) -> Iterator[Check]:
    fits, around = near.fits, near.around
    if fits:
        row = _row("ring-outside", near.choice, fits.smallest_inside)
        yield clearance(f"{name}: rim in {fits.name}", fits.smallest_inside - rim, row)
    if around and bore is not None:
        row = _row("ring-bore", near.choice, around.largest_outside)
        yield clearance(f"{name}: bore over {around.name}", bore - around.largest_outside, row)


def _coupler(item: Item, rocket: Rocket, around: Circumstances, choice: FitChoice) -> Iterator[Check]:
    """A coupler in every airframe tube that it reaches into: whether it slides in, and far enough."""
    part = item.part
    if not isinstance(part, Coupler):
        return
    first, last = item.skin_extent()
    for other in rocket.items:
        tube = around.tubes.get(other.name)
        if tube is None or not isinstance(other.part, Tube) or other.part.use != "airframe":
            continue
        start, end = other.skin_extent()
        depth = min(last, end) - max(first, start)
        if depth > 0.0:
            row = _row("coupler", choice, tube.smallest_inside)
            yield clearance(f"{item.name}: in {tube.name}", tube.smallest_inside - part.outside_diameter, row)
            yield _against("coupler_insertion", f"{item.name}: depth in {tube.name}", depth / tube.mean_inside)


def _motor_bore(item: Item, rocket: Rocket, around: Circumstances, choice: FitChoice) -> Iterator[Check]:
    """The bore of a tail cone over every motor tube that it reaches over."""
    part = item.part
    if not isinstance(part, Transition) or part.motor_bore_diameter is None:
        return
    first, last = item.skin_extent()
    for other in rocket.items:
        for name, largest, start, end in _motor_tubes(other, around):
            if min(last, end) > max(first, start):
                row = _row("ring-bore", choice, largest)
                yield clearance(f"{item.name}: bore over {name}", part.motor_bore_diameter - largest, row)


def _motor_tubes(item: Item, around: Circumstances) -> Iterator[tuple[str, float, float, float]]:
    """Name, largest outside, first and last station of the motor tube of an item [mm]."""
    part, station = item.part, item.stations[0]
    if isinstance(part, Tube) and part.use == "motor":
        tube = around.tubes.get(item.name)
        yield item.name, tube.largest_outside if tube else part.outside_diameter, station, station + part.length
    elif isinstance(part, MotorMount):
        yield f"the tube of {item.name}", part.tube_outside_diameter, station, station + part.tube_length


def _bulkhead(name: str, part: Bulkhead, near: Surroundings) -> Iterator[Check]:
    fits, around = near.fits, near.around
    enters = part.outside_diameter if part.step_diameter is None else part.step_diameter
    if fits:
        row = _row("bulkhead", near.choice, fits.smallest_inside)
        yield clearance(f"{name}: in {fits.name}", fits.smallest_inside - enters, row)
    if around and part.step_diameter is not None:
        play = around.smallest_inside - part.outside_diameter
        yield clearance(f"{name}: large disc in {around.name}", play, clearances()["bulkhead-slide"])


def _against(limit: str, name: str, ratio: float) -> Check:
    found = limits()[limit]
    return Check(name, found.status(ratio), f"{ratio:.2f} {found.unit}", found.words(), found.source)


def _row(usage: str, choice: FitChoice, size: float) -> Clearance:
    """The row that a place is held to; that of the place itself where the choice is of another side of the fit."""
    try:
        return clearance_for(usage, choice, size)
    except PartError:
        return clearances()[usage]


def clearance(name: str, amount: float, row: Clearance) -> Check:
    """A clearance held to its row of the table.

    Args:
        name: name of the check.
        amount: clearance [mm].
        row: what it is held to.
    """
    # A press fit may be meant to be tighter than nothing.
    status: Status = "fail" if amount < min(0.0, row.least) - 1e-9 and row.name != "nose-base" else "pass"
    if status == "pass" and not row.least - 1e-9 <= amount <= row.most + 1e-9:
        status = "warn"
    note = {
        "fail": "it cannot go in" if row.name != "tab-depth" else "the tab is longer than the way to the motor tube",
        "warn": "tight" if amount < row.least else "loose",
    }.get(status, "")
    return Check(
        name,
        status,
        f"{amount:.3g} mm" if abs(amount) < 0.005 else f"{amount:.2f} mm",
        f"{row.least:g} to {row.most:g} mm ({row.reason})",
        row.mark,
        note,
    )
