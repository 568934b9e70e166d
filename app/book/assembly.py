"""Assembly: the steps in order with glue points, dry marks, and the photographs to take before joints are closed."""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.build_order import build_steps
from ...analysis.build_step import Step
from ...parts.sheets.blocks import Block, Bullets, Heading, Table, Together, Words
from .about import About


def assembly(about: About) -> tuple[Block, ...]:
    """The chapter."""
    design = about.design
    steps = build_steps(design.rocket, design.recovery, design.motors)
    photographs = tuple(f"Step {step.number}: {step.photograph}." for step in steps if step.photograph)
    return (
        Heading("Assembly in order", 1),
        Words(
            "Dry fit everything before any glue is mixed. Stations count from the nose tip. Weigh before and after "
            "gluing: the difference is the glue. Eye protection, gloves, fresh air."
        ),
        *(block for step in steps for block in _step(step)),
        Heading("Photographs, before joints are closed", 2),
        Words("Nobody sees these places again, and an inspector may ask. A rule in each picture."),
        Bullets(photographs or ("None: nothing is closed.",), "box"),
    )


def _step(step: Step) -> Iterator[Block]:
    rows = [("Where", step.where), ("Glue", step.glue)]
    rows += [("Keep dry", ", ".join(step.keep_dry))] if step.keep_dry else []
    rows += [("First measure", step.check)] if step.check else []
    rows += [("Caution", step.caution)] if step.caution else []
    boxes = (*(("photograph taken",) if step.photograph else ()), "done; initials and date:")
    yield Together(
        (
            Heading(f"{step.number}. {step.title}", 3),
            Table((), tuple(rows), shares=(0.16, 0.84)),
            Bullets(boxes, "box"),
        )
    )
