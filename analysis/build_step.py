"""One step of the work at the bench."""

from __future__ import annotations

from dataclasses import dataclass

NO_GLUE = "no glue"
"""What a step says that is dry."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step on the bench.

    Attributes:
        title: what to do, in a few words.
        what: names of the items that it is about; the first goes into or onto the last.
        where: stations [mm] from the nose tip, and a length that a rule can measure.
        glue: where glue goes, with its length [mm] or area [cm2]; `no glue` for a dry step.
        keep_dry: what no glue may reach.
        check: what to measure before the glue, or before going on.
        caution: what goes wrong here.
        number: place in the order, from 1.
        photograph: what to photograph before the step hides it; empty where nothing is hidden.
    """

    title: str
    what: tuple[str, ...]
    where: str
    glue: str = NO_GLUE
    keep_dry: tuple[str, ...] = ()
    check: str = ""
    caution: str = ""
    number: int = 0
    photograph: str = ""
