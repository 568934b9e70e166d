"""Makes all files of a design in one run: parts, whole rocket, report, manifest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..analysis.material_checks import refusals
from ..parts.errors import FerruleError
from ..parts.machine import Printer
from ..parts.params import near
from ..parts.writers.files import write_text
from .build_sheet import build_sheet
from .contribution_chart import CHART_KIND, make_chart
from .design import Design
from .job import FORMATS, PAPER, PRINT_NOTES, TURNING_TABLE, Job
from .make import make_part
from .manifest import Heading, Made, listed
from .nest_sheets import SHEET_KINDS, make_sheets
from .paper_choice import USUAL, PaperChoice
from .progress import progress
from .report import report
from .run_folder import one_run
from .summary import failed_checks, summary
from .whole import KINDS, make_whole, origin_of
from .wrap import wrap_states

REPORT, REPORT_KIND = "report.md", "report"
BUILD, BUILD_KIND = "build-order.md", "build order"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a run made.

    Attributes:
        figures: the summary of the design.
        files: names of the files that were made.
        removed: names of files of an earlier run that were of another state of the design.
        sizes: for each machine that files were made for, what was done to them.
        failed: names of the checks that fail.
        notes: what else is to be told, such as what lies on none of the sheets.
    """

    figures: dict[str, Any]
    files: tuple[str, ...]
    removed: tuple[str, ...]
    sizes: tuple[str, ...]
    failed: tuple[str, ...]
    notes: tuple[str, ...] = ()


def make_design(
    design: Design, out: Path, only: Sequence[str], formats: tuple[str, ...], paper: PaperChoice = USUAL
) -> Outcome:
    """Make the files of a design.

    Args:
        design: the design.
        out: folder for the files.
        only: names of the parts to make; all, and the whole rocket, where there is none.
        formats: formats to make.
        paper: how the sheets are printed.

    Raises:
        FerruleError: there is no such part, nothing of it can be mirrored that was to be, or a file could not be made;
            nothing is written then.
    """
    jobs, figures = jobs_of(design, only), summary(design)
    failed = failed_checks(figures)
    paper_alone = set(formats) <= set(PAPER)
    with one_run(out, design.name) as folder, progress(len(jobs) + 1) as told:
        made: list[Made] = []
        for job in jobs:
            made += make_part(job, folder.workshop, formats, failed, told.say, paper)
            told.step()
        if paper.mirrored and not made:
            raise FerruleError("--mirrored: nothing of it is cut from sheet, and there is no template to mirror")
        notes: tuple[str, ...] = ()
        if not only:
            made += make_whole(design, figures, folder.workshop, formats, failed, told.say)
            made += make_chart(design, figures, folder.workshop, formats, failed, told.say)
            sheets, notes = make_sheets(design, jobs, folder.workshop, formats, failed, told.say)
            made += sheets
        if not paper_alone:
            files = (*(item.file for item in made), BUILD)
            for name, kind, text in (
                (BUILD, BUILD_KIND, build_sheet(design, failed)),
                (REPORT, REPORT_KIND, report(design, figures, files)),
            ):
                write_text(folder.workshop / name, text)
                made.append(listed(folder.workshop / name, kind, origin_of(design, failed), {"read_back": True}))
        _each_once(made)
        states = states_of(design, failed, any(item.kind in SHEET_KINDS.values() for item in made))
        folder.publish(made, Heading(design.name, figures["fingerprint"], failed), states)
    return Outcome(figures, tuple(item.file for item in made), tuple(folder.removed), _sizes(made), failed, notes)


def _each_once(made: Sequence[Made]) -> None:
    """No two parts may write one file: a part called `nose wrap` would take the place of the wrap of a `nose`.

    Raises:
        FerruleError: they would.
    """
    owners: dict[str, str | None] = {}
    for item in made:
        other = owners.setdefault(item.file, item.part)
        if other != item.part:
            raise FerruleError(
                f"{other!r} and {item.part!r} would both make the file {item.file}; give one of them another name"
            )


def _sizes(made: Sequence[Made]) -> tuple[str, ...]:
    """What was done to sizes, each once."""
    return tuple(dict.fromkeys(item.sizes for item in made if item.sizes != "nominal"))


def states_of(design: Design, failed: tuple[str, ...], nested_anew: bool = False) -> dict[tuple[str | None, str], str]:
    """The state in which each kind of file of each part, and of the whole design, would be made now.

    Args:
        design: the design.
        failed: names of failed checks.
        nested_anew: whether this run nests: no sheet of an earlier nest stays, or its parts would be cut twice.
    """
    states: dict[tuple[str | None, str], str] = {
        (job.name, kind): job.origin(kind, failed).state
        for job in jobs_of(design)
        for kind in (*FORMATS, PRINT_NOTES, TURNING_TABLE)
    }
    whole = origin_of(design, failed).state
    states |= wrap_states(design, failed)
    states |= {(None, kind): "" if nested_anew else whole for kind in SHEET_KINDS.values()}
    return states | {(None, kind): whole for kind in (*KINDS, CHART_KIND, REPORT_KIND, BUILD_KIND)}


def jobs_of(design: Design, only: Sequence[str] = ()) -> list[Job]:
    """The parts to make: all that are not tubes, which lie on the bench already, and not laid there, as fillets are.

    Raises:
        FerruleError: there is no part of a name.
    """
    made = {
        item.name: item
        for item in design.rocket.items
        if item.part is not None and item.kind != "tube" and not item.part.laid_at_the_bench
    }
    unknown = [name for name in only if name not in made]
    if unknown:
        known = ", ".join(made) or "none"
        raise FerruleError(f"--only: there is no part {unknown[0]!r} to make{near(unknown[0], made)}; parts: {known}")
    notes = (design.head.note,) if design.head.note else ()
    tallest = max(design.printers.values(), key=lambda one: one.height, default=None)
    refused = refusals(design.checks)
    return [
        Job(
            item.part,
            name,
            design.name,
            item.quantity,
            design.settings.revision,
            design.settings.date,
            notes,
            machine,
            printer=machine if isinstance(machine, Printer) else tallest,
            weighed=item.stated_mass / item.quantity if item.weighed and item.stated_mass is not None else None,
            refused=refused.get(name),
            units=design.settings.units,
        )
        for name, item in made.items()
        for machine in (design.made_on.get(name),)
        if item.part is not None and (not only or name in only)
    ]
