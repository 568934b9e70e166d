"""Checks of a whole design: does it fit together, can it open, and does it fly straight as far as figures can say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from .balance_test import balance_checks
from .circumstances import Circumstances, Fits
from .fit_checks import fit_checks
from .flown_checks import flown_checks
from .interference import LEAST, interference_checks
from .joining_checks import joining_checks
from .launch_checks import launch_checks
from .leaving_the_rail import leaving_the_rail
from .limits import Check, Limit, limits
from .loading import WITHOUT_MOTOR, Loading
from .mass import mass_properties
from .material_checks import anchor_checks, material_checks
from .place_checks import place_checks
from .rail_checks import rail_checks
from .reach import reach_checks
from .recovery import recovery_checks
from .rocket import Rocket
from .room_checks import room_checks
from .stability import NO_FINS
from .tube_checks import tube_checks
from .weighed_items import weighing_checks

__all__ = ["Circumstances", "Fits", "checks"]


def checks(
    rocket: Rocket,
    loaded: Sequence[Loading] = (),
    around: Circumstances = Circumstances(),
    rules: Mapping[str, Limit] | None = None,
) -> tuple[Check, ...]:
    """All checks of a design, in the order of the work: fit, then recovery, then balance, then the flights.

    Args:
        rocket: the parts in place.
        loaded: the rocket without a motor and with each.
        around: everything else that the design says.
        rules: limits that the margin and the rail's exit are held to; those of common practice where none are stated.
    """
    held_to = limits() if rules is None else rules
    return (
        *(check for tube in around.measured for check in tube_checks(tube)),
        *fit_checks(rocket, around),
        *place_checks(rocket, around.recovery.joints),
        *joining_checks(rocket, around.recovery.joints),
        *room_checks(rocket, around),
        *material_checks(rocket, around.motors),
        *anchor_checks(rocket, around.recovery.anchors),
        *_clashes(rocket, around),
        *reach_checks(rocket, around),
        *recovery_checks(rocket, around.recovery),
        *_masses(rocket),
        *_margins(loaded, held_to),
        *rail_checks(rocket, loaded, around.motors, around.rails, held_to),
        *_launch(rocket, loaded, around, held_to),
        *flown_checks(rocket, around.recovery, around.flights, held_to),
        *weighing_checks(rocket),
        *balance_checks(rocket, around.motors, around.balances),
    )


def _launch(
    rocket: Rocket, loaded: Sequence[Loading], around: Circumstances, rules: Mapping[str, Limit]
) -> Iterator[Check]:
    if around.flights is not None and around.motors:
        leaving = leaving_the_rail(rocket, loaded, around.motors, around.rails)
        yield from launch_checks(around.flights.site.launch, around.flights.air, loaded, leaving, rules)


def _clashes(rocket: Rocket, around: Circumstances) -> Iterator[Check]:
    """What occupies the same place, or that nothing does: a reader shall see that it was looked at."""
    found = tuple(interference_checks(rocket, around))
    yield from found
    parts = sum(item.quantity for item in rocket.items if item.part) + len(around.motors) + len(around.envelopes)
    if not found and parts > 1:
        limit = f"no two overlap by more than {LEAST:g} mm"
        yield Check("room for everything", "pass", f"{parts} solids", limit, "sizes and stations of the design")


def _masses(rocket: Rocket) -> Iterator[Check]:
    for item in rocket.items:
        if mass_properties(item) is None:
            yield Check(
                f"{item.name}: mass",
                "not-stated",
                None,
                "a mass, a material or a density for every part",
                "needed for the balance",
                f"weigh it and enter `mass`, or enter `material` for {item.name}"
                if item.part
                else f"weigh it and enter `mass` for {item.name}",
            )


def _margins(loaded: Sequence[Loading], rules: Mapping[str, Limit]) -> Iterator[Check]:
    """The margin at both ends of the burn; in between it is never less than at both (see `through_burn`)."""
    limit, of_length = rules["static_margin"], rules.get("static_margin_percent")
    flown = [loading for loading in loaded if loading.name != WITHOUT_MOTOR]
    if not flown:
        note = "enter the motor as [[motor]]; the margin without one is larger than the one that flies"
        yield Check("static margin", "not-stated", None, limit.words(), limit.source, note)
    for loading in flown:
        name = f"static margin, {loading.motor} at {loading.name}"
        yield _margin(name, loading, loading.margin_calibres, limit, "{:.2f} calibres")
        if of_length is not None:
            yield _margin(f"{name}, by length", loading, loading.margin_percent, of_length, "{:.1f} % of length")


def _margin(name: str, loading: Loading, value: float | None, limit: Limit, words: str) -> Check:
    # A body without fins is a design half written, not one that fails.
    if value is None or loading.stability is None or NO_FINS in loading.stability.notes:
        note = "needs a body, fins and the mass of every item"
        return Check(name, "not-stated", None, limit.words(), limit.source, note)
    return Check(name, limit.status(value), words.format(value), limit.words(), limit.source)
