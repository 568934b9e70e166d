"""The part of the report that holds the rocket as it was balanced against the sum of its parts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .lengths import Lengths
from .markdown_table import length, number, table


def balance_section(figures: Mapping[str, Any], lengths: Lengths) -> str:
    """Every balance test beside what was predicted for it; nothing where there is none.

    Args:
        figures: the summary of a design.
        lengths: how lengths are printed.
    """
    tests = figures["balances"]
    if not tests:
        return ""
    unit = lengths.first
    rows = [
        (
            test["state"],
            number(test["mass_g"], 0),
            number(test["predicted_mass_g"], 0),
            length(lengths, test["cg_mm"], 0),
            length(lengths, test["predicted_cg_mm"], 0),
            # What an older rocket had and this one has not is nothing that is unexplained.
            test["words"] if test["used"] else "",
            _for_which(test),
        )
        for test in tests
    ]
    head = (
        "State",
        "Mass, measured [g]",
        "Mass, predicted [g]",
        f"CG, measured [{unit}]",
        f"CG, predicted [{unit}]",
        "What the parts do not explain",
        "Balanced for",
    )
    words = "Where the rocket was balanced as it is now, the measured mass and CG count for its margin."
    motors = "\n".join(f"- {motor['words']}." for motor in figures["motors_by_balance"])
    return "\n\n".join(filter(None, ("## Balanced on an edge", table(head, rows), words, motors)))


def _for_which(test: Mapping[str, Any]) -> str:
    if test["measured_for"] is None:
        return "a state that is not stated; used"
    return "this rocket; used" if test["used"] else "an older rocket; not used"
