"""Makes all files of a design in one run: parts, whole rocket, report, manifest."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any, TypeAlias

from ..analysis.material_checks import refusals
from ..parts.errors import FerruleError
from ..parts.machine import Printer
from ..parts.params import near
from ..parts.writers.files import write_text
from .book.about import BOOK_KIND
from .build_sheet import build_sheet
from .contribution_chart import CHART_KIND, make_chart
from .design import Design
from .flown_figures import stacks_of
from .job import FORMATS, PAPER, PRINT_NOTES, TURNING_TABLE, Job, Say
from .kept import Kept, design_recipe
from .make import make_or_keep
from .make_flight_charts import BURN_KIND, DRAG_KIND, FLIGHT_KIND, THRUST_KIND, make_flight_charts
from .manifest import Heading, Made, Origin, listed, still_true
from .nest_sheets import SHEET_KINDS, make_sheets
from .paper_choice import USUAL, PaperChoice
from .picture import picture_states
from .progress import progress
from .report import report
from .run_folder import one_run
from .summary import failed_checks, summary
from .whole import KINDS, make_whole, origin_of
from .wrap import wrap_states

REPORT, REPORT_KIND = "report.md", "report"
BUILD, BUILD_KIND = "build-order.md", "build order"
CHART_KINDS = (CHART_KIND, FLIGHT_KIND, THRUST_KIND, BURN_KIND, DRAG_KIND)
"""What the manifest calls the charts."""

_OF_PARTS = (*FORMATS, PRINT_NOTES, TURNING_TABLE)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a run made.

    Attributes:
        figures: the summary of the design.
        files: names of the files that were made or kept.
        removed: names of files of an earlier run that were of another state of the design.
        sizes: for each machine that files were made for, what was done to them.
        failed: names of the checks that fail.
        notes: what else is to be told, such as what lies on none of the sheets.
        kept: how many of the files were there already, and not made again [-].
    """

    figures: dict[str, Any]
    files: tuple[str, ...]
    removed: tuple[str, ...]
    sizes: tuple[str, ...]
    failed: tuple[str, ...]
    notes: tuple[str, ...] = ()
    kept: int = 0


def make_design(
    design: Design,
    out: Path,
    only: Sequence[str],
    formats: tuple[str, ...],
    paper: PaperChoice = USUAL,
    *,
    anew: bool = False,
) -> Outcome:
    """Make the files of a design, or keep those of an earlier run that are what would be made.

    Args:
        design: the design.
        out: folder for the files.
        only: names of the parts to make; all, and the whole rocket, where there is none.
        formats: formats to make.
        paper: how the sheets are printed.
        anew: whether to make all of them, also those that are there already.

    Raises:
        FerruleError: there is no such part, nothing of it can be mirrored that was to be, or a file could not be made;
            nothing is written then.
    """
    jobs, figures = jobs_of(design, only), summary(design)
    failed = failed_checks(figures)
    paper_alone = set(formats) <= set(PAPER)
    with one_run(out, design.name) as folder, progress(len(jobs) + 1) as told:
        kept = Kept(() if anew else still_true(out))
        made, notes = list[Made](), list[str]()
        for job in jobs:
            made += make_or_keep(job, folder.workshop, formats, failed, told.say, paper, kept)
            told.step()
        if paper.mirrored and not made:
            raise FerruleError("--mirrored: nothing of it is cut from sheet, and there is no template to mirror")
        if not only:
            made += _of_the_whole(design, figures, jobs, folder.workshop, formats, failed, told.say, kept, notes)
            notes += [words for item in made for words in item.self_check.get("told", ())]
        if not paper_alone:
            made += _texts(design, figures, [item.file for item in made], folder.workshop, failed, kept)
        _each_once(made)
        states = states_of(design, failed, any(item.kind in SHEET_KINDS.values() for item in made))
        folder.publish(made, Heading(design.name, figures["fingerprint"], failed), states, kept.names)
    files = tuple(item.file for item in made)
    return Outcome(
        figures, files, tuple(folder.removed), _sizes(made), failed, tuple(dict.fromkeys(notes)), len(kept.names)
    )


def _of_the_whole(
    design: Design,
    figures: dict[str, Any],
    jobs: Sequence[Job],
    folder: Path,
    formats: tuple[str, ...],
    failed: tuple[str, ...],
    say: Say,
    kept: Kept,
    notes: list[str],
) -> list[Made]:
    """The files of the whole rocket, its charts and its nested sheets; what is to be told of these goes to `notes`."""
    recipe, made = design_recipe(design, failed), list[Made]()

    def add(what: object, make: Callable[[], list[Made]]) -> None:
        made.extend(kept.or_made(None, [what, recipe], make))

    for word in formats:
        add(["whole", word], partial(make_whole, design, figures, folder, (word,), failed, say))
    if "svg" in formats:
        add("contributions", partial(make_chart, design, figures, folder, formats, failed, say))
    for word in ("svg", "png"):
        if word in formats:
            add(["flights", word], partial(_flight_charts, design, figures, folder, word, failed, say))
    if {"dxf", "svg"} & set(formats):
        on_sheets = sorted(set(SHEET_KINDS) & set(formats))
        add(["sheets", on_sheets], partial(_sheets, design, jobs, folder, formats, failed, say, notes))
    return made


def _flight_charts(
    design: Design, figures: dict[str, Any], folder: Path, word: str, failed: tuple[str, ...], say: Say
) -> list[Made]:
    flights = {one.motor.name: one.flight for one in design.flights}
    return make_flight_charts(design, figures, flights, folder, (word,), failed, say, terms=stacks_of(design))


def _sheets(
    design: Design,
    jobs: Sequence[Job],
    folder: Path,
    formats: tuple[str, ...],
    failed: tuple[str, ...],
    say: Say,
    notes: list[str],
) -> list[Made]:
    """The nested sheets; what is to be told of them stands in their entries too, for a run that keeps them."""
    made, told = make_sheets(design, jobs, folder, formats, failed, say)
    notes += told
    return [replace(item, self_check={**item.self_check, "told": list(told)}) for item in made] if told else made


def _texts(
    design: Design, figures: dict[str, Any], files: list[str], folder: Path, failed: tuple[str, ...], kept: Kept
) -> list[Made]:
    """Build order and report, which are written anew only where their words have changed."""
    made: list[Made] = []
    for name, kind, text in (
        (BUILD, BUILD_KIND, build_sheet(design, failed)),
        (REPORT, REPORT_KIND, report(design, figures, tuple(sorted([*files, BUILD])))),
    ):
        write = partial(_text, folder / name, kind, text, origin_of(design, failed))
        made += kept.or_made(None, [kind, design_recipe(design, failed), text], write)
    return made


def _text(path: Path, kind: str, text: str, origin: Origin) -> list[Made]:
    write_text(path, text)
    return [listed(path, kind, origin, {"read_back": True})]


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


Place: TypeAlias = tuple[str | None, str]
"""A part, None for the whole design, and a kind of file."""


class States(Mapping[Place, str]):
    """States by place; those of a part are found when they are asked for, which is never where all files are kept."""

    def __init__(self, jobs: Iterable[Job], failed: tuple[str, ...], others: Mapping[Place, str]) -> None:
        self._jobs, self._failed, self._others = {job.name: job for job in jobs}, failed, others

    def __getitem__(self, place: Place) -> str:
        part, kind = place
        if place in self._others:
            return self._others[place]
        if part is not None and kind in _OF_PARTS:
            return self._jobs[part].origin(kind, self._failed).state
        raise KeyError(place)

    def __iter__(self) -> Iterator[Place]:
        yield from self._others
        yield from (place for name in self._jobs for kind in _OF_PARTS if (place := (name, kind)) not in self._others)

    def __len__(self) -> int:
        return sum(1 for _ in self)


def states_of(design: Design, failed: tuple[str, ...], nested_anew: bool = False) -> States:
    """The state in which each kind of file of each part, and of the whole design, would be made now.

    Args:
        design: the design.
        failed: names of failed checks.
        nested_anew: whether this run nests: no sheet of an earlier nest stays, or its parts would be cut twice.
    """
    whole = origin_of(design, failed).state
    states: dict[Place, str] = {**wrap_states(design, failed)}
    states |= {(None, kind): "" if nested_anew else whole for kind in SHEET_KINDS.values()}
    states |= picture_states(design, failed)
    states |= {(None, kind): whole for kind in (*KINDS, *CHART_KINDS, BOOK_KIND, REPORT_KIND, BUILD_KIND)}
    return States(jobs_of(design), failed, states)


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
