"""Checks of the speed at which a rocket leaves its rail, and of the thrust that gives it that speed.

Two usual rules contradict each other on a usual rail: five times the weight leaves 1.8 m of travel at 11.9 m/s
(derived, v = sqrt(2 (n - 1) g s)). Both are shown, and the ratio that the speed asks for stands beside the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from .leaving_the_rail import Leaving, leaving_the_rail
from .limits import Check, Limit, Status
from .loading import Loading
from .motor import Motor
from .rail_exit import FIRST_MOMENT, Rail, needed_ratio
from .rocket import Rocket


def rail_checks(
    rocket: Rocket,
    loaded: Sequence[Loading],
    motors: Sequence[Motor],
    rails: Sequence[Rail],
    rules: Mapping[str, Limit],
) -> Iterator[Check]:
    """Speed at the rail's exit and thrust over weight with each motor; nothing without a motor.

    Args:
        rocket: the parts in place.
        loaded: the rocket without a motor and with each.
        motors: the motors to fly with.
        rails: the rail of the design, or the usual ones.
        rules: limits by name.
    """
    found = leaving_the_rail(rocket, loaded, motors, rails)
    for motor, group in groupby(found, key=lambda one: one.motor):
        some = tuple(group)
        yield _speed(motor, some, rules["rail_exit_speed"])
        note = _speed_needs(some, rules["rail_exit_speed"])
        for name, value in (
            (f"mean thrust over weight, {motor}", some[0].mean_ratio),
            (f"thrust over weight in the first {FIRST_MOMENT:g} s, {motor}", some[0].first_ratio),
        ):
            yield _ratio(name, value, some[0], rules["thrust_to_weight"], note)


def _speed(motor: str, some: tuple[Leaving, ...], limit: Limit) -> Check:
    """Held to the design's rail; while none is stated it passes on all of the usual ones, and fails on none of them."""
    name = f"rail exit speed, {motor}"
    if any(one.reason is not None and not one.is_held for one in some):
        reasons = dict.fromkeys(one.reason for one in some if one.reason is not None)
        return Check(name, "not-stated", None, limit.words(), limit.source, "; ".join(reasons))
    statuses = {_status(one, limit) for one in some}
    status: Status = next(iter(statuses)) if len(statuses) == 1 else "warn"
    notes = [] if some[0].rail.is_stated else ["rails as usual; enter your own as `length` in [rail]"]
    if len(statuses) > 1:
        notes.append("it depends on the rail")
    value = ", ".join(_on_rail(one) for one in some)
    return Check(name, status, value, limit.words(), limit.source, "; ".join(notes))


def _status(one: Leaving, limit: Limit) -> Status:
    return "fail" if one.forward is None else limit.status(one.forward.speed)


def _on_rail(one: Leaving) -> str:
    rail = f"a rail of {one.rail.length / 1000.0:g} m"
    return f"{one.reason} ({rail})" if one.forward is None else f"{one.forward.speed:.1f} m/s from {rail}"


def _speed_needs(some: tuple[Leaving, ...], limit: Limit) -> str:
    """The ratio that the rule for the speed asks for on the same rails."""
    wanted = limit.warn_below
    ratios = [
        f"{needed_ratio(wanted, one.travel):.1f} on a rail of {one.rail.length / 1000.0:g} m"
        for one in some
        if wanted is not None and one.travel is not None and one.travel > 0.0
    ]
    return f"{wanted:g} m/s at the rail's exit needs a steady {', '.join(ratios)}" if ratios else ""


def _ratio(name: str, value: float | None, one: Leaving, limit: Limit, note: str) -> Check:
    if value is None:
        return Check(name, "not-stated", None, limit.words(), limit.source, one.reason or "")
    return Check(name, limit.status(value), f"{value:.1f} times", limit.words(), limit.source, note)
