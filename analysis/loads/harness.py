"""The harness under the opening load."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..demands import Demands
from ..limits import Check, Limit
from ..rail_exit import GRAVITY
from ..recovery import Recovery
from .held import Sum, held, newtons, not_stated
from .opening import Opening
from .stated import StatedLoads


def harness_checks(
    recovery: Recovery,
    opening: Opening,
    demands: Demands,
    stated: StatedLoads,
    rules: Mapping[str, Limit],
    after: str = "",
) -> Iterator[Check]:
    """Each harness against the opening load and against the weight of the rocket.

    Args:
        recovery: the harnesses.
        opening: the load as the parachute opens.
        demands: what the flight asks.
        stated: what each harness is sold to bear.
        rules: limits by name.
        after: what every name ends in.
    """
    weight = demands.liftoff_mass / 1000.0 * GRAVITY
    for harness in recovery.harnesses:
        name, limit = f"{harness.name} under the opening load{after}", rules["harness_margin"]
        strength = stated.harness_strength.get(harness.name)
        if strength is None:
            note = (
                f"enter what {harness.name} is sold to bear; twice the opening load is {newtons(2.0 * opening.force)}, "
                f"100 times the weight {newtons(100.0 * weight)}"
            )
            yield not_stated(name, opening.force, limit, Sum("strength / F", opening.short, "common practice"), note)
            continue
        sold = f"{harness.name} is sold to bear {newtons(strength)} (stated); a knot leaves about half of it"
        found = Sum("strength / F", (sold, *opening.short), "common practice")
        yield held(name, opening.force, strength, limit, found, "take a stronger harness, sewn at its loops")
        rule = rules["harness_weight"]
        yield Check(
            f"{harness.name} over the rocket's weight{after}",
            rule.status(strength / weight),
            f"{newtons(strength)} over {newtons(weight)}: {strength / weight:.3g} times",
            rule.words(),
            rule.source,
            "" if rule.status(strength / weight) == "pass" else "take a stronger harness",
            "strength / m g",
            (sold, f"{demands.liftoff_mass:.0f} g at liftoff"),
        )
