"""The pieces of a design on the sheets that it states, and the files of those sheets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from ..parts.compensate import cut_compensated
from ..parts.compensate import words as machine_words
from ..parts.errors import PartError
from ..parts.fingerprint import short
from ..parts.machine import Cutter, Printer
from ..parts.marks import Arrow, Choice
from ..parts.part import CutPiece
from ..parts.shape import Outline
from .design import Design
from .engrave import engraving
from .entries import SheetEntry
from .job import Job, Proof, Say
from .manifest import Made, listed
from .names import slug
from .whole import origin_of

if TYPE_CHECKING:
    from ..parts.nesting.pieces import Laid, Nest, NestedSheet
    from ..parts.writers.layers import PlacedPart

SHEET_KINDS = {"dxf": "nested dxf", "svg": "nested svg", "pdf": "nested pdf"}
"""What the manifest calls the files of a nested sheet, by format."""

GRAIN = "GRAIN"
"""Words of the arrow that says how the grain of a piece runs."""


@dataclass(frozen=True, slots=True)
class ToNest:
    """One kind of piece that is to lie on a sheet.

    Attributes:
        name: what it is called; unique among those of one design.
        piece: what is cut.
        material: what it is cut from; None where it is not stated.
        count: how many of it [-].
        fingerprint: printed form of the fingerprint of its part.
        cutter: the cutter that it is cut on; None for nominal sizes.
        job: the part that it is of; None for what is of none, such as a jig.
        letters: letters to engrave on what is of no part, in the outline's coordinates [mm].
    """

    name: str
    piece: CutPiece
    material: str | None
    count: int
    fingerprint: str
    cutter: Cutter | None = None
    job: Job | None = None
    letters: tuple[Outline, ...] = ()

    @property
    def grain(self) -> float | None:
        """Direction of its grain [rad], from the arrow on its template; None where it has none."""
        for mark in self.piece.marks:
            # Of several places for one arrow, all of which point the same way, the first one tells the direction.
            for one in mark.ways[0] if isinstance(mark, Choice) else (mark,):
                if isinstance(one, Arrow) and one.words.startswith(GRAIN):
                    return math.atan2(one.end[1] - one.start[1], one.end[0] - one.start[0])
        return None

    @property
    def outline(self) -> Outline:
        """The outline as it is cut, with half the kerf in it where that is known.

        Raises:
            PartError: the beam does not go into a hole or a slot.
        """
        if self.cutter is None:
            return self.piece.outline
        return cut_compensated(self.piece.outline, self.cutter, self.material)


def sheets_of(design: Design) -> tuple[SheetEntry, ...]:
    """The sheets that a design states."""
    return tuple(entry for entry in design.entries.get("sheet", ()) if isinstance(entry, SheetEntry))


def to_nest(jobs: Sequence[Job], cutter: Cutter | None = None) -> tuple[ToNest, ...]:
    """The pieces of parts that are cut from sheet; what is made on a printer is none of them.

    Args:
        jobs: the parts.
        cutter: the cutter for all of them; that of each part where it is not stated.
    """
    return tuple(
        ToNest(
            ", ".join(filter(None, (job.name, piece.word))),
            piece,
            job.part.material,
            job.quantity * piece.count,
            job.fingerprint,
            cutter or (job.machine if isinstance(job.machine, Cutter) else None),
            job,
        )
        for job in jobs
        if not isinstance(job.machine, Printer)
        for piece in job.part.cut_pieces()
    )


def nested(design: Design, pieces: Sequence[ToNest], dense: bool = False) -> Nest:
    """The pieces laid on the sheets of a design.

    Args:
        design: the design with its sheets.
        pieces: what is to lie on them.
        dense: whether `spyrrow` looks for denser places too.

    Raises:
        PartError: two pieces have one name, or a beam does not go into a hole.
        FerruleError: `spyrrow` is asked for and not installed.
    """
    from ..parts.nesting.nest import nest  # noqa: PLC0415  loads shapely only where something is nested
    from ..parts.nesting.pieces import NestPiece, SheetStock  # noqa: PLC0415

    stocks = [
        SheetStock(
            one.name,
            one.material,
            one.thickness,
            one.width,
            one.length,
            one.grain,
            one.margin,
            one.gap,
            one.quantity,
        )
        for one in sheets_of(design)
    ]
    found = []
    for one in pieces:
        try:
            outline = one.outline
        except PartError as error:
            raise PartError(f"{one.name}: {error}") from None
        batch = one.cutter.name if one.cutter else ""
        found.append(NestPiece(one.name, outline, one.material, one.piece.thickness, one.count, one.grain, batch))
    return nest(found, stocks, dense)


def sheet_files(
    design: Design,
    nest: Nest,
    pieces: Sequence[ToNest],
    folder: Path,
    formats: Sequence[str],
    failed: tuple[str, ...],
    say: Say,
) -> list[Made]:
    """Write the files of nested sheets: DXF and SVG to cut, and a page that shows each.

    Args:
        design: the design.
        nest: the sheets.
        pieces: what was laid on them.
        folder: where to.
        formats: of these, `dxf`, `svg` and `pdf` are made.
        failed: names of failed checks, stamped on every sheet.
        say: told about each file.

    Raises:
        FerruleError: a file could not be made.
    """
    known = {one.name: one for one in pieces}
    made: list[Made] = []
    for sheet in nest.sheets:
        one = _SheetFiles(design, sheet, known, failed)
        for kind, path, proof in one.written(folder, formats):
            made.append(listed(path, SHEET_KINDS[kind], origin_of(design, failed), proof, one.sizes))
            say(f"sheet {sheet.stock.name}: {path.name}")
    return made


def make_sheets(
    design: Design, jobs: Sequence[Job], folder: Path, formats: Sequence[str], failed: tuple[str, ...], say: Say
) -> tuple[list[Made], tuple[str, ...]]:
    """Nest what is cut from sheet and write its sheets, where the design states any and a cut file is wanted.

    Args:
        design: the design.
        jobs: its parts.
        folder: where to.
        formats: formats that are wanted.
        failed: names of failed checks, stamped on every sheet.
        say: told about each file.

    Returns:
        The files, and sentences such as what lies on no sheet.

    Raises:
        FerruleError: a file could not be made.
    """
    pieces = to_nest(jobs) if sheets_of(design) and {"dxf", "svg"} & set(formats) else ()
    if not pieces:
        return [], ()
    found = nested(design, pieces)
    return sheet_files(design, found, pieces, folder, formats, failed, say), told_beside(design, found)


def told_beside(design: Design, nest: Nest) -> tuple[str, ...]:
    """What lies on no sheet and why, and which sheets are larger than the bed of their cutter."""
    found = [
        f"not placed: {one.piece.name}{f' x {one.count}' if one.count > 1 else ''}: {one.reason}"
        for one in nest.not_placed
    ]
    for sheet in nest.sheets:
        cutter, stock = design.cutters.get(sheet.batch), sheet.stock
        if cutter and (stock.length > cutter.width or stock.width > cutter.depth):
            found.append(
                f"{stock.name}: the sheet of {stock.length:g} x {stock.width:g} mm is larger than the bed of "
                f"{cutter.name}, {cutter.width:g} x {cutter.depth:g} mm; cut it first, and state what is left of it"
            )
    return tuple(dict.fromkeys(found))


class _SheetFiles:
    """Writes the files of one nested sheet."""

    def __init__(self, design: Design, sheet: NestedSheet, known: dict[str, ToNest], failed: tuple[str, ...]) -> None:
        self.design, self.sheet, self.known, self.failed = design, sheet, known, failed
        self.cutter = known[sheet.laid[0].piece.name].cutter
        stock = sheet.stock
        self.sizes = machine_words(self.cutter, stock.material) if self.cutter else "nominal"
        self.title = f"{stock.name}, sheet {sheet.number} of {sheet.count}"
        end = f"-for-{slug(self.cutter.name)}" if self.cutter else ""
        self.stem = f"{slug(design.name)}-sheet-{slug(stock.name)}-{sheet.number}-of-{sheet.count}{end}"

    def written(self, folder: Path, formats: Sequence[str]) -> list[tuple[str, Path, Proof]]:
        found: list[tuple[str, Path, Proof]] = []
        if {"dxf", "svg"} & set(formats):
            found += self._cut(folder, formats)
        if "pdf" in formats:
            found.append(self._page(folder))
        return found

    def _cut(self, folder: Path, formats: Sequence[str]) -> list[tuple[str, Path, Proof]]:
        from ..parts.writers.dxf import write_dxf_plan  # noqa: PLC0415  only where something is cut
        from ..parts.writers.layers import NOMINAL, sheet_plan  # noqa: PLC0415
        from ..parts.writers.svg import write_svg_plan  # noqa: PLC0415

        stock = self.sheet.stock
        plan = sheet_plan(
            [self._placed(one) for one in self.sheet.laid],
            length=stock.length,
            width=stock.width,
            title=self.title,
            words=(f"{self.design.name}: nested sheet", *self._words()),
            failed_checks=self.failed,
            size_words=self.sizes if self.cutter else NOMINAL,
        )
        found: list[tuple[str, Path, Proof]] = []
        if "dxf" in formats:
            path = folder / f"{self.stem}.dxf"
            dxf = write_dxf_plan(path, plan)
            found.append(("dxf", path, self._proof(dxf.contours, dxf.area)))
        if "svg" in formats:
            path = folder / f"{self.stem}.svg"
            svg = write_svg_plan(path, plan, f"{self.design.name}: {self.title}")
            found.append(("svg", path, self._proof(svg.contours, svg.area)))
        return found

    def _proof(self, contours: int, area: float) -> Proof:
        return {"contours": contours, "area_mm2": area, "reference_square_mm": 100.0, **self._figures()}

    def _figures(self) -> Proof:
        sheet = self.sheet
        return {
            "pieces": len(sheet.laid),
            "utilisation": round(sheet.utilisation, 4),
            "utilisation_of_the_strip": round(sheet.strip_utilisation, 4),
            "rest_mm": [round(side, 3) for side in sheet.rest],
            "laid": sheet.method,
        }

    def _words(self) -> tuple[str, ...]:
        sheet, stock = self.sheet, self.sheet.stock
        settings = self.design.settings
        rest = sheet.rest
        return (
            f"{stock.material}, thickness {stock.thickness:g} mm",
            f"{stock.length:g} mm along x, {stock.width:g} mm along y, grain {grain_words(sheet)}",
            f"margin {stock.margin:g} mm, gap {stock.gap:g} mm, laid {sheet.method}",
            f"{len(sheet.laid)} pieces on {100.0 * sheet.utilisation:.0f} % of the sheet, "
            f"{100.0 * sheet.strip_utilisation:.0f} % of the strip used",
            f"rest {rest[0]:.0f} x {rest[1]:.0f} mm at the right",
            f"fingerprint {short(self.design.fingerprint)}",
            *((f"revision {settings.revision}",) if settings.revision else ()),
            *((settings.date,) if settings.date else ()),
        )

    def _placed(self, laid: Laid) -> PlacedPart:
        from ..parts.writers.layers import PlacedPart  # noqa: PLC0415

        one = self.known[laid.piece.name]
        found, full = _letters(one, laid.number)
        name = "" if full else f"{one.name} {laid.number} {one.fingerprint[:9]}"
        return PlacedPart(laid.piece.outline, laid.x, laid.y, laid.turn, name, one.piece.marks, found)

    def _page(self, folder: Path) -> tuple[str, Path, Proof]:
        from ..parts.nesting.around import containing  # noqa: PLC0415
        from ..parts.sheets.nested import Row, Shown, overview  # noqa: PLC0415
        from ..parts.writers.pdf import write_pdf  # noqa: PLC0415

        stock = self.sheet.stock
        names = list(dict.fromkeys(one.piece.name for one in self.sheet.laid))
        shown = []
        for one in self.sheet.laid:
            outline = one.outline()
            inner = containing(outline).representative_point()
            shown.append(Shown(outline, names.index(one.piece.name) + 1, (inner.x, inner.y)))
        rows = [
            Row(sum(one.piece.name == name for one in self.sheet.laid), name, self.known[name].fingerprint)
            for name in names
        ]
        sizes = "nominal sizes: no kerf in them" if self.cutter is None else self.sizes
        page = overview(
            length=stock.length,
            width_up=stock.width,
            grain=stock.grain,
            title=f"{self.design.name}: {self.title}",
            shown=shown,
            rows=rows,
            words=(*self._words(), sizes),
            failed_checks=self.failed,
        )
        path = folder / f"{self.stem}.pdf"
        write_pdf(path, [page], f"{self.design.name}: {self.title}")
        return "pdf", path, {"pages": 1, "paper": page.paper.words, **self._figures()}


def grain_words(sheet: NestedSheet) -> str:
    """How the grain of a sheet runs, in words; where it is not stated, how the sheet has to lie."""
    if sheet.stock.grain is not None:
        return f"along its {sheet.stock.grain}"
    if any(one.piece.grain is not None for one in sheet.laid):
        return "not stated: lay the sheet with its grain along x"
    return "not stated"


def _letters(one: ToNest, number: int) -> tuple[tuple[Outline, ...], bool]:
    """Letters to engrave on one piece, and whether they tell its name."""
    if one.job is None:
        return one.letters, bool(one.letters)
    named = f"{' '.join(filter(None, (one.job.name, one.piece.word)))} {number}"
    return engraving(replace(one.job, name=named), one.piece)
