"""Checks of a whole design: does it fit together, can it open, and does it fly straight as far as figures can say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from .circumstances import Circumstances, Fits
from .fit_checks import fit_checks
from .interference import LEAST, interference_checks
from .joining_checks import joining_checks
from .limits import Check, limits
from .loading import WITHOUT_MOTOR, Loading
from .mass import mass_properties
from .material_checks import anchor_checks, material_checks
from .place_checks import place_checks
from .reach import reach_checks
from .recovery import recovery_checks
from .rocket import Rocket
from .room_checks import room_checks
from .stability import NO_FINS
from .tube_checks import tube_checks

__all__ = ["Circumstances", "Fits", "checks"]


def checks(
    rocket: Rocket, loaded: Sequence[Loading] = (), around: Circumstances = Circumstances()
) -> tuple[Check, ...]:
    """All checks of a design, in the order of the work: fit, then recovery, then balance.

    Args:
        rocket: the parts in place.
        loaded: the rocket without a motor and with each.
        around: everything else that the design says.
    """
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
        *_margins(loaded),
        Check(
            "centre of gravity measured",
            "not-stated",
            None,
            "balance the finished rocket, loaded as it will fly",
            "common practice",
            "CG not measured: every figure here is predicted",
        ),
    )


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


def _margins(loaded: Sequence[Loading]) -> Iterator[Check]:
    limit = limits()["static_margin"]
    flown = [loading for loading in loaded if loading.name != WITHOUT_MOTOR]
    if not flown:
        note = "enter the motor as [[motor]]; the margin without one is larger than the one that flies"
        yield Check("static margin", "not-stated", None, limit.words(), limit.source, note)
    for loading in flown:
        name = f"static margin, {loading.motor} at {loading.name}"
        value = loading.margin_calibres
        # A body without fins is a design half written, not one that fails.
        if value is None or loading.stability is None or NO_FINS in loading.stability.notes:
            note = "needs a body, fins and the mass of every item"
            yield Check(name, "not-stated", None, limit.words(), limit.source, note)
        else:
            yield Check(name, limit.status(value), f"{value:.2f} calibres", limit.words(), limit.source)
