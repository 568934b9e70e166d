"""Dimensioned drawings of every part, and with each few of them what each size came from and what it may be off."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ...parts.fit import Surroundings
from ...parts.part import Part
from ...parts.sheets.blocks import Block, Bullets, Heading, SheetPage, Table, Together, Words
from ...parts.sheets.sheet import Sheet
from ..job import Job
from ..lengths import NOT_STATED
from ..make_design import jobs_of
from ..turned_sheets import drawing_pages
from .about import About
from .size_bounds import bounds_of

_TOGETHER = 3
"""So many parts have their drawings one after the other before their notes [-]."""

_MOST = 6
"""So many sizes of a part are to be measured at the most [-]."""

_MATTER: Mapping[str, tuple[str, ...]] = {
    "tube": ("outside_diameter", "inside_diameter", "length"),
    "nose-cone": ("base_diameter", "shoulder_diameter", "length", "shoulder_length", "wall", "shoulder_wall"),
    "transition": (
        "forward_diameter",
        "aft_diameter",
        "forward_shoulder_diameter",
        "aft_shoulder_diameter",
        "length",
        "wall",
    ),
    "coupler": ("outside_diameter", "length", "wall", "screw_distance"),
    "bulkhead": ("outside_diameter", "step_diameter", "thickness", "step_thickness", "centre_hole_diameter"),
    "centering-ring": ("outside_diameter", "inside_diameter", "thickness", "hole_diameter", "hole_circle_diameter"),
    "motor-mount": (
        "tube_length",
        "tube_outside_diameter",
        "ring_diameter",
        "ring_inside_diameter",
        "ring_thickness",
    ),
    "fin": ("root_chord", "tip_chord", "semi_span", "thickness", "tab_length", "tab_depth"),
    "fin-can": ("bore_diameter", "length", "wall", "root_chord", "semi_span", "thickness"),
    "rail-button": ("foot_diameter", "waist_diameter", "waist_height", "head_diameter", "head_height"),
}
"""The sizes that decide whether a part fits and flies true, by kind, the first the most."""


def drawings(about: About) -> tuple[Block, ...]:
    """The chapter: how to read it, then the drawings of each few parts and their notes."""
    lengths = about.lengths
    both = "inches with mm beside" if lengths.first == "in" else "mm with inches beside"
    found: list[Block] = []
    rows: list[tuple[str, ...]] = []
    jobs = tuple(_jobs(about))
    for few in (jobs[at : at + _TOGETHER] for at in range(0, len(jobs), _TOGETHER)):
        for job in few:
            sheets = drawing_pages(job, about.paper, about.failed)
            found += [SheetPage(sheet) for sheet in sheets]
            rows.append((job.name, job.part.kind.replace("-", " "), _scales(sheets), str(len(sheets))))
        found.append(Heading(f"Sizes and fits: {', '.join(job.name for job in few)}", 2))
        found += [_notes(about, job) for job in few]
    return (
        Heading("Dimensioned drawings", 1),
        Words(
            "Drawings: mm above each line, inches to the nearest 1/64 below it. The tables after them have "
            f"{both}. Take sizes from the figures, not from the paper; all are nominal."
        ),
        Words(
            "Good from, to: a size that meets a tube is held to the play that it leaves there, on diameter; every "
            "other to general tolerances, ISO 2768-1, class m (from memory): up to 6 mm 0.1 mm to both sides, up to "
            "30 mm 0.2, up to 120 mm 0.3, up to 400 mm 0.5, up to 1000 mm 0.8. Measure each round size twice, a "
            "quarter turn apart, and write down what calipers say."
        ),
        Table(("Part", "Kind", "Scale", "Pages"), tuple(rows), right=(3,)),
        *found,
    )


def _jobs(about: About) -> Iterator[Job]:
    """Every part that has a shape to draw, tubes with them; what is laid at the bench, as fillets, is not drawn."""
    design = about.design
    made = {job.name: job for job in jobs_of(design)}
    notes = (design.head.note,) if design.head.note else ()
    for item in design.rocket.items:
        if item.part is None or item.part.laid_at_the_bench:
            continue
        yield made.get(item.name) or Job(
            item.part,
            item.name,
            design.name,
            item.quantity,
            design.settings.revision,
            design.settings.date,
            notes,
            units=design.settings.units,
        )


def _scales(sheets: tuple[Sheet, ...]) -> str:
    """The scales that the sheets state."""
    said = [text.words.removeprefix("scale ") for one in sheets for text in one.texts() if _is_scale(text.words)]
    return ", ".join(dict.fromkeys(said))


def _is_scale(words: str) -> bool:
    return words.startswith("scale ") and words[6:7].isdigit()


def _notes(about: About, job: Job) -> Block:
    lengths, part = about.lengths, job.part
    near = about.design.fits.get(job.name, Surroundings())
    rows = []
    for field in _fields(part):
        value: float = getattr(part, field)
        found = bounds_of(part, field, near)
        if found is None:
            good, why = "", ""
        elif found.why == "as measured":
            good, why = "", found.why
        else:
            good, why = f"{lengths.number(found.least, 2)} to {lengths.number(found.most, 2)}", found.why
        rows.append((_words(field), lengths.both(value, 2), good, why, ""))
    head = ("Size", "Drawn", f"Good from, to [{lengths.first}]", "Held to [mm]", "As built")
    table = Table(head, tuple(rows), shares=(0.2, 0.24, 0.19, 0.22, 0.15), high=8.0)
    sums = tuple(f"{_words(name)}: {one.sum}" for name, one in about.design.derived.get(job.name, {}).items())
    many = f", make {job.quantity}" if job.quantity > 1 and part.kind != "tube" else ""
    made = f"{job.name}: {part.material or 'material ' + NOT_STATED}{many}"
    return Together(
        (
            Heading(made, 3),
            table,
            *((Words("Where sizes come from:", "small"), Bullets(sums)) if sums else ()),
        )
    )


def _fields(part: Part) -> tuple[str, ...]:
    """The sizes to measure that the part has."""

    def has(name: str) -> bool:
        value: Any = getattr(part, name, None)
        return isinstance(value, float) and value > 0.0

    return tuple(name for name in _MATTER.get(part.kind, ()) if has(name))[:_MOST]


def _words(field: str) -> str:
    return field.replace("_", " ")
