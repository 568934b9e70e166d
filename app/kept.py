"""Which files of an earlier run are what this run would make: those are kept, and not made again.

A recipe is all that goes into some files that are made in one go. The entry of such a file in the manifest bears a seal
over the recipe, the program and the entry itself, so that a file is kept only where all of these are as they were, and
the file is as the entry says.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, fields, replace
from typing import Any

from ..parts.fingerprint import fingerprint
from .design import Design
from .job import PRINT_NOTES, PRINTED, Job
from .made_with import made_with
from .manifest import Made
from .paper_choice import PaperChoice

_BY_THE_MESH = ("name", "design", "quantity", "revision", "machine", "printer")
_BY_THE_SOLID = ("name", "design")


class Kept:
    """What a folder holds that need not be made again.

    Attributes:
        names: names of the files that are kept.
    """

    def __init__(self, entries: Iterable[Mapping[str, Any]]) -> None:
        """Look through the entries whose files are still as they say; none of them to make everything anew."""
        self.names: list[str] = []
        self._by_part: dict[object, list[Mapping[str, Any]]] = {}
        for entry in entries:
            self._by_part.setdefault(str(entry.get("part")), []).append(entry)

    def of(self, part: str | None, recipe: object) -> list[Made]:
        """The files of a recipe, by name; none where one of them is missing.

        Args:
            part: name of the part; None for what is of the whole design.
            recipe: all that goes into them.
        """
        told = _recipe(recipe)
        found = [one for entry in self._by_part.get(str(part), ()) if (one := _sealed_entry(entry, told)) is not None]
        return found if found and len(found) == found[0].together else []

    def keep(self, found: Iterable[Made]) -> None:
        """Take files as they are."""
        self.names += [item.file for item in found]

    def or_made(self, part: str | None, recipe: object, make: Callable[[], list[Made]]) -> list[Made]:
        """The files of a recipe, by name: kept where they are all there, else made.

        Args:
            part: name of the part; None for what is of the whole design.
            recipe: all that goes into them.
            make: makes them.
        """
        found = self.of(part, recipe)
        self.keep(found)
        return found or sealed(make(), recipe)


def sealed(made: Iterable[Made], recipe: object) -> list[Made]:
    """Files that were made in one go, by name, each with its seal."""
    found, told = sorted(made, key=lambda item: item.file), _recipe(recipe)
    whole = [replace(item, made_with=made_with()["id"], together=len(found)) for item in found]
    return [replace(item, seal=_seal(asdict(item), told)) for item in whole]


def part_recipes(job: Job, formats: Iterable[str], failed: tuple[str, ...], paper: PaperChoice) -> dict[str, object]:
    """For each kind of file of a part all that goes into it: of a solid and a mesh only what they show.

    Args:
        job: the part.
        formats: formats that are wanted.
        failed: names of failed checks.
        paper: how the sheets are printed.
    """
    wanted, part = set(formats), job.part.fingerprint()
    everything = [item.name for item in fields(job) if item.name != "part"]

    def told(kind: str) -> list[object]:
        names = _BY_THE_SOLID if kind in ("step", "glb") else _BY_THE_MESH if kind in PRINTED else everything
        return [kind, part, *(getattr(job, name) for name in names)]

    found: dict[str, object] = {kind: told(kind) for kind in ("step", "glb", *PRINTED) if kind in wanted}
    found |= {kind: [*told(kind), failed] for kind in ("dxf", "svg") if kind in wanted}
    if wanted & set(PRINTED):
        # The notes list the files that they were made with.
        found[PRINT_NOTES] = [*told(PRINT_NOTES), failed, sorted(wanted & set(PRINTED))]
    if "pdf" in wanted:
        found["pdf"] = [*told("pdf"), failed, paper]
    return found


def design_recipe(design: Design, failed: tuple[str, ...]) -> str:
    """All that goes into files of the whole design, in the file's own order, which is that on charts and sheets."""
    told = {name: [one.model_dump() for one in some] for name, some in design.entries.items()}
    return fingerprint([design.name, design.fingerprint, told, failed])


def _recipe(recipe: object) -> str:
    return fingerprint([made_with(), recipe])


def _seal(entry: Mapping[str, Any], recipe: str) -> str:
    return fingerprint([recipe, {name: value for name, value in entry.items() if name != "seal"}])


def _sealed_entry(entry: Mapping[str, Any], recipe: str) -> Made | None:
    """An entry that is of a recipe and as it was sealed; None of any other, whatever stands in it."""
    try:
        return Made(**entry) if entry.get("seal") == _seal(entry, recipe) else None
    except (TypeError, ValueError, RecursionError):
        return None
