"""The tables of what was measured after building, put to the rocket: weighed items, and the rocket balanced."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from ..analysis.balance_test import BalanceTest, aft_end, rocket_state
from ..analysis.motor import Motor
from ..analysis.rocket import Item, Rocket
from ..analysis.weighed_items import piece_state
from ..analysis.weighing import Weighing
from .entries import BalanceEntry, WeighedEntry

Path_ = tuple[str | int, ...]
Tell = Callable[[Path_, str], None]
"""Takes a fault with its path."""
Known = Callable[[str, Collection[str], str, Path_], bool]
"""Says whether a name is known, and tells the fault where it is not."""


def weighed_rocket(rocket: Rocket, entries: Sequence[tuple[int, WeighedEntry]], known: Known, tell: Tell) -> Rocket:
    """The rocket with what the scale said of its items.

    Args:
        rocket: everything in place, as its own tables have it.
        entries: the tables with their places in the file.
        known: checks a name.
        tell: told what is wrong.
    """
    items = {item.name: item for item in rocket.items}
    first: dict[str, int] = {}
    for index, entry in entries:
        path: Path_ = ("weighed", index)
        if not known(entry.part, items, "part, tube or thing with a mass", (*path, "part")) or entry.part not in items:
            continue
        before = first.setdefault(entry.part, index)
        if before != index:
            tell((*path, "part"), f"{entry.part!r} is weighed already, by weighed[{before + 1}]")
            continue
        item = items[entry.part]
        masses = entry.masses if entry.mass is None else (entry.mass,)
        fault = _fault(item, entry, masses)
        if fault:
            tell((*path, fault[0]) if fault[0] else path, fault[1])
            continue
        weighing = Weighing(
            masses, entry.balance, entry.fingerprint, piece_state(item), item.stated_mass, item.estimate
        )
        items[entry.part] = item.by_weighing(weighing)
    return Rocket(rocket.name, tuple(items[item.name] for item in rocket.items))


def _fault(item: Item, entry: WeighedEntry, masses: tuple[float, ...]) -> tuple[str, str] | None:
    """The field and what is wrong with it; None for a weighing that can be."""
    field = "masses" if entry.mass is None else "mass"
    part = item.part
    if entry.mass is not None and entry.masses:
        return "masses", "give either `mass` of one or `masses` of several"
    if not masses:
        return "", "needs the `mass` of one, or the `masses` of several, and neither is stated"
    if part is not None and item.weighed and item.stated_mass is not None:
        one = item.stated_mass / item.quantity
        return field, f"{item.name!r} has a `mass` as weighed of its own, {one:g} g, and this one; keep one of the two"
    if entry.fingerprint not in (None, piece_state(item)):
        return None  # it was true of another shape, which had more pieces or was longer
    if len(masses) > item.quantity:
        there = "is one piece" if item.quantity == 1 else f"are {item.quantity} pieces"
        return field, f"{len(masses)} masses, and of {item.name!r} there {there}; give those that fly"
    if entry.balance is None:
        return None
    if part is None:
        return "balance", f"{item.name!r} has no shape to measure from; put its centre of gravity into its `station`"
    low, high = part.extent()
    if not low <= entry.balance <= high:
        return "balance", (
            f"{entry.balance:g} mm is not on {item.name!r}, which reaches from {low:g} to {high:g} mm, counted from "
            f"{part.origin}"
        )
    return None


def balance_tests(
    rocket: Rocket,
    motors: Sequence[Motor],
    entries: Sequence[tuple[int, BalanceEntry]],
    known: Known,
    tell: Tell,
) -> tuple[BalanceTest, ...]:
    """The balance tests of the whole rocket.

    Args:
        rocket: everything in place, without a motor.
        motors: the motors to fly with.
        entries: the tables with their places in the file.
        known: checks a name.
        tell: told what is wrong.
    """
    by_name = {motor.name: motor for motor in motors}
    first: dict[str | None, int] = {}
    found: list[BalanceTest] = []
    for index, entry in entries:
        path: Path_ = ("balance", index)
        if entry.motor is not None and not known(entry.motor, by_name, "motor", (*path, "motor")):
            continue
        motor = by_name.get(entry.motor or "")
        if entry.motor is not None and motor is None:
            continue  # refused, which is said elsewhere
        before = first.setdefault(entry.motor, index)
        if before != index:
            what = "without a motor" if motor is None else f"with {motor.name!r}"
            tell(path, f"the rocket {what} is balanced already, by balance[{before + 1}]; keep one of the two")
            continue
        test = BalanceTest(entry.mass, entry.cg, entry.motor, entry.fingerprint, rocket_state(rocket, motor))
        end = aft_end(rocket, motor)
        if not test.is_current:
            found.append(test)  # what would be wrong of this rocket may have been right of that one
        elif end is not None and entry.cg > end:
            tell((*path, "cg"), f"{entry.cg:g} mm is behind the rocket, which ends at {end:g} mm")
        elif motor is not None and entry.mass <= motor.loaded_mass:
            tell((*path, "mass"), f"{entry.mass:g} g is not more than its motor alone, {motor.loaded_mass:g} g")
        else:
            found.append(test)
    return tuple(found)
