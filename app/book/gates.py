"""Mentor gates: points of the work at which somebody else looks before it can no longer be seen or changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ...parts.sheets.blocks import Block, Heading, Table, Words
from .about import About


@dataclass(frozen=True, slots=True)
class Gate:
    """One gate.

    Attributes:
        title: after what.
        looks: what the mentor looks at.
    """

    title: str
    looks: str


def gates(about: About) -> Iterator[Gate]:
    """The gates that a design has, in the order of the work."""
    design = about.design
    tubes = ", ".join(tube.name for tube in design.measured_tubes)
    if tubes:
        yield Gate(
            "Tubes measured",
            f"Card filled in for {tubes}: inside and outside, both ends, two directions; the design file holds these "
            "readings.",
        )
    if any(
        one.part is not None and one.kind != "tube" and not one.part.laid_at_the_bench for one in design.rocket.items
    ):
        yield Gate(
            "Coupons tried",
            "Shoulder slice, slot gauge and kerf comb made on the machines that will make the parts, and their results "
            "fed back.",
        )
    yield Gate(
        "Dry fit",
        "All parts together without glue: rings square, tabs down to the motor tube, fins straight in the jig, joint "
        "slides by hand, rail buttons in line.",
    )
    if any(one.kind in ("centering-ring", "motor-mount") for one in design.rocket.items):
        anchors = ", ".join(one.name for one in design.recovery.anchors) or "the anchor"
        yield Gate(
            "Before the motor mount is closed",
            f"Locked: {anchors}. Harness tied and pulled; fillets inside made; photographs taken; nothing loose.",
        )
    yield Gate(
        "Before the first flight",
        "Weighed and balanced as it will fly; margin, rail speed, descent and delay read from this book with measured "
        "values; checks that fail or are not stated talked through; the range safety officer still decides.",
    )


def mentor_gates(about: About) -> tuple[Block, ...]:
    """The chapter."""
    rows = tuple((str(number), f"{one.title}\n{one.looks}", "", "") for number, one in enumerate(gates(about), 1))
    return (
        Heading("Mentor gates", 1),
        Words(
            "Stop at each gate and let a mentor look. Initials say that somebody looked, not that it will fly: the "
            "range safety officer decides, and the flyer stays responsible."
        ),
        Table(("", "Gate", "Initials", "Date"), rows, shares=(0.05, 0.6, 0.17, 0.18), high=22.0),
    )
