"""Checks of a whole design: does it fit together, can it open, and does it fly straight as far as figures can say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from .circumstances import Circumstances, Fits
from .fit_checks import fit_checks
from .limits import Check, limits
from .loading import WITHOUT_MOTOR, Loading
from .mass import mass_properties
from .material_checks import material_checks
from .place_checks import place_checks
from .recovery import recovery_checks
from .rocket import Rocket
from .room_checks import room_checks
from .stability import NO_FINS

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
        *fit_checks(rocket, around),
        *place_checks(rocket),
        *room_checks(rocket, around),
        *material_checks(rocket, around.motors),
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
