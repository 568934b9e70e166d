"""The order of the work for the bench, with glue points, what stays dry, and what to cut from which stock tube."""

from __future__ import annotations

from collections.abc import Iterator

from ..analysis.build_order import build_steps
from ..analysis.cut_list import cut_list, strip_length
from ..parts.fingerprint import short
from .cautions import cautions
from .design import Design
from .entries import StockEntry
from .lengths import Lengths
from .names import slug

PAPER_THICKNESS = 0.1
"""Ordinary paper of 80 g/m2 [mm] (common practice)."""


def build_sheet(design: Design, failed: tuple[str, ...]) -> str:
    """The sheet as Markdown.

    Args:
        design: the design.
        failed: names of failed checks, which stand on top.
    """
    about = [f"Fingerprint {short(design.fingerprint)}"]
    about += [
        f"{word} {value}"
        for word, value in (("revision", design.settings.revision), ("date", design.settings.date))
        if value
    ]
    head = [
        f"# {design.name}: build order",
        *([f"**CHECK FAILED: {', '.join(failed)}**"] if failed else []),
        *([design.head.note] if design.head.note else []),
        f"{', '.join(about)}. Stations count from the nose tip. Dry fit everything before any glue is mixed.",
        f"![Side view with stations]({slug(design.name)}-side-view.svg)",
    ]
    sections = [*head, *_steps(design), *_tubes(design)]
    last = "## Cautions\n\n" + "\n".join(f"- {caution}" for caution in cautions(design.is_measured))
    return "\n\n".join([*sections, last]) + "\n"


def _steps(design: Design) -> Iterator[str]:
    for step in build_steps(design.rocket, design.recovery, design.motors):
        lines = [f"## {step.number}. {step.title}", "", f"- Parts: {', '.join(step.what)}.", f"- Where: {step.where}"]
        lines.append(f"- Glue: {step.glue}")
        if step.keep_dry:
            lines.append(f"- Keep dry: {', '.join(step.keep_dry)}.")
        if step.check:
            lines.append(f"- First measure: {step.check}")
        if step.caution:
            lines.append(f"- Caution: {step.caution}")
        if step.photograph:
            lines.append(f"- [ ] Photograph first: {step.photograph}.")
        lines.append("- [ ] done")
        yield "\n".join(lines)


def _tubes(design: Design) -> Iterator[str]:
    lengths = Lengths(design.settings.units)
    for entry in design.entries.get("stock", ()):
        if not isinstance(entry, StockEntry):
            continue
        pieces = {name: design.tubes[name].length or 0.0 for name in entry.pieces}
        plan = cut_list(pieces, entry.lengths, entry.kerf)
        rows = [
            f"| {lengths.both(stock.length, 0)} | "
            + ", ".join(f"{name} {lengths.one(length)}" for name, length in stock.pieces)
            + " |"
            for stock in plan.stocks
        ]
        yield "\n".join(
            [
                f"## Cut list: {entry.name}",
                "",
                "| Stock tube | Pieces, from one end |",
                "| --- | --- |",
                *rows,
                "",
                f"Kerf {lengths.one(plan.kerf)} a cut; waste in all {lengths.both(plan.waste, 0)}; {plan.method}.",
            ]
        )
    if design.measured_tubes:
        yield "\n".join(
            [
                "## Square cuts",
                "",
                "Lay a straight strip of paper once round the tube, edge on edge, and cut along it. "
                "Ends that meet show that it lies square.",
                "",
                *(
                    f"- {tube.name}: {lengths.both(strip_length(tube.mean_outside, PAPER_THICKNESS), 1)} once round, "
                    f"for paper of {PAPER_THICKNESS:g} mm."
                    for tube in design.measured_tubes
                ),
            ]
        )
