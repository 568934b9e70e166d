"""`ferrule nest`: lays what is cut from sheet on the sheets that the design states, and writes a file of each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..parts.errors import FerruleError
from ..parts.machine import Cutter
from ..parts.params import near
from .design import Design
from .jigs_of import jigs_of
from .make_design import jobs_of, states_of
from .manifest import Heading
from .nest_sheets import SHEET_KINDS, ToNest, nested, sheet_files, sheets_of, to_nest, told_beside
from .progress import progress
from .run_folder import one_run
from .summary import failed_checks, summary

if TYPE_CHECKING:
    from ..parts.nesting.pieces import Nest, NestedSheet

NO_SHEET = (
    "the design states no sheet to cut from; add for each, with its measured sizes: [[sheet]] name, material, "
    "thickness, length (along the machine's bed), width and, for fins, grain"
)
"""What to do where there is nothing to nest on."""

FORMATS = tuple(SHEET_KINDS)


@dataclass(frozen=True, slots=True)
class NestOutcome:
    """What a run laid and wrote.

    Attributes:
        lines: the table of the sheets, and what lies on none of them.
        files: names of the files.
        removed: names of files of an earlier run that are of another state or another nest of the design.
        missing: whether a piece lies on no sheet.
        failed: names of the checks that fail.
    """

    lines: tuple[str, ...]
    files: tuple[str, ...]
    removed: tuple[str, ...]
    missing: bool
    failed: tuple[str, ...]


def write_nest(
    design: Design, out: Path, dense: bool = False, cutter: str | None = None, jigs_on: str | None = None
) -> NestOutcome:
    """Nest a design and write its sheets.

    Args:
        design: the design.
        out: folder for the files.
        dense: whether `spyrrow` looks for denser places too.
        cutter: name of the cutter that everything is cut on; that of each part where it is not stated.
        jigs_on: name of the sheet that the plates of jigs are cut from; no jigs where it is not stated.

    Raises:
        FerruleError: no sheet is stated, there is no such cutter or sheet, no jig can be cut from that sheet, `spyrrow`
            is not installed, or a file could not be made; nothing is written then.
    """
    if not sheets_of(design):
        raise FerruleError(NO_SHEET)
    on = _cutter(design, cutter)
    pieces = (*to_nest(jobs_of(design), on), *(_jigs(design, jigs_on, on) if jigs_on is not None else ()))
    if not pieces:
        raise FerruleError("nothing of the design is cut from sheet")
    figures = summary(design)
    failed = failed_checks(figures)
    found = nested(design, pieces, dense)
    with one_run(out, design.name) as folder, progress(len(found.sheets)) as told:
        made = sheet_files(design, found, pieces, folder.workshop, FORMATS, failed, told.say)
        states = states_of(design, failed, nested_anew=True)
        folder.publish(made, Heading(design.name, figures["fingerprint"], failed), states)
    return NestOutcome(
        (*table(found), *told_beside(design, found)),
        tuple(item.file for item in made),
        tuple(folder.removed),
        bool(found.not_placed),
        failed,
    )


def _cutter(design: Design, name: str | None) -> Cutter | None:
    if name is None:
        return None
    if name not in design.cutters:
        known = ", ".join(design.cutters) or "none"
        raise FerruleError(
            f"--cutter: the design names no cutter {name!r}{near(name, design.cutters)}; cutters: {known}"
        )
    return design.cutters[name]


def _jigs(design: Design, name: str, cutter: Cutter | None) -> Iterator[ToNest]:
    """The plates of the jigs of a design, of the material and the thickness of one of its sheets.

    Raises:
        FerruleError: there is no such sheet, or no jig can be cut from it.
    """
    stocks = {one.name: one for one in sheets_of(design)}
    if name not in stocks:
        raise FerruleError(
            f"--jigs: the design states no sheet {name!r}{near(name, stocks)}; sheets: {', '.join(stocks)}"
        )
    stock = stocks[name]
    try:
        jigs = jigs_of(design, None, stock.thickness)
    except FerruleError as error:
        raise FerruleError(f"--jigs: {str(error).removeprefix('--thickness: ')}") from None
    for jig in jigs.made:
        for one in jig.cut:
            title = " ".join(filter(None, (jig.name, one.piece.word)))
            yield ToNest(title, one.piece, stock.material, one.piece.count, jig.mark, cutter, letters=one.letters)


def table(nest: Nest) -> tuple[str, ...]:
    """The sheets as lines of a table."""
    heads = ("sheet", "size", "pieces", "of the sheet", "of the strip", "rest", "laid")
    rows = [heads, *(_row(sheet) for sheet in nest.sheets)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(heads))]
    lines = ("  ".join(cell.ljust(wide) for cell, wide in zip(row, widths, strict=True)).rstrip() for row in rows)
    return tuple(lines) if nest.sheets else ()


def _row(sheet: NestedSheet) -> tuple[str, ...]:
    rest = sheet.rest
    for_cutter = f" for {sheet.batch}" if sheet.batch else ""
    return (
        f"{sheet.stock.name}, {sheet.number} of {sheet.count}{for_cutter}",
        f"{sheet.stock.length:g} x {sheet.stock.width:g} mm",
        str(len(sheet.laid)),
        f"{100.0 * sheet.utilisation:.0f} %",
        f"{100.0 * sheet.strip_utilisation:.0f} %",
        f"{rest[0]:.0f} x {rest[1]:.0f} mm",
        sheet.method,
    )
