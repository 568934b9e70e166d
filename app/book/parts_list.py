"""Parts with pictures, hardware, what is cut from which tube or sheet, and what is printed on what."""

from __future__ import annotations

from collections.abc import Iterator

from ...analysis.cut_list import cut_list
from ...analysis.print_notes import PrintedMass
from ...analysis.rocket import Item
from ...parts.part import Part
from ...parts.sheets.blocks import Block, Cell, Heading, Picture, Table, Together, Words
from ..entries import AnchorEntry, HardwareEntry, HarnessEntry, JointEntry, ParachuteEntry, PayloadEntry, StockEntry
from ..job import Job
from ..lengths import NOT_STATED
from ..make_design import jobs_of
from ..print_text import orientation, piece_notes
from .about import About

_PICTURE = 26.0
"""Width and height of a part's picture [mm]."""


def parts_list(about: About) -> tuple[Block, ...]:
    """The chapter."""
    jobs = {job.name: job for job in jobs_of(about.design)}
    return (
        Heading("Parts, hardware, cut list, print list", 1),
        *((Words(f"No pictures: {about.no_pictures}.", "small"),) if about.no_pictures else ()),
        _parts(about, jobs),
        *_hardware(about),
        *_tubes(about),
        *_sheets(about, jobs),
        *_prints(about, jobs),
    )


# --- parts ------------------------------------------------------------------------------------------------------------


def _parts(about: About, jobs: dict[str, Job]) -> Table:
    items = {item.name: item for item in about.design.rocket.items if item.part is not None}
    figures = {one["name"]: one for one in about.figures["items"]}
    pictured = bool(about.pictures)
    rows = tuple(_part_row(about, item, jobs.get(name), figures[name], pictured) for name, item in items.items())
    head = (
        *(("Picture",) if pictured else ()),
        "Part",
        "Material",
        "How it is made",
        "Files begin with",
        "Pieces",
        "Mass of one [g]",
    )
    first = 1 if pictured else 0
    shares = (*((0.15,) if pictured else ()), 0.15, 0.145, 0.17, 0.235, 0.09, 0.11)
    return Table(head, rows, shares=shares, right=(first + 4, first + 5))


def _part_row(
    about: About, item: Item, job: Job | None, figures: dict[str, float | None], pictured: bool
) -> tuple[Cell, ...]:
    part = item.part
    picture: tuple[Cell, ...] = ()
    if pictured:
        found = about.pictures.get(item.name)
        picture = (Picture(found, _PICTURE, _PICTURE) if found else "",)
    mass = figures["mass_g"]
    return (
        *picture,
        item.name,
        (part.material if part else None) or NOT_STATED,
        made_how(part) if part else "",
        job.stem if job else "-",
        str(item.quantity),
        NOT_STATED if mass is None else f"{mass / item.quantity:.1f}",
    )


def made_how(part: Part) -> str:
    """How a part comes to be, in few words."""
    if part.kind == "tube":
        return "cut to length"
    if part.laid_at_the_bench:
        return "laid at the bench"
    if part.cut_pieces():
        pieces = sum(piece.count for piece in part.cut_pieces())
        return "cut from sheet" + (f", glued up from {pieces}" if pieces > 1 else "")
    pieces = len(part.printed_pieces())
    return "printed" + (f" in {pieces} pieces" if pieces > 1 else "") if part.may_be_printed else "turned or bought"


# --- hardware ---------------------------------------------------------------------------------------------------------


def _hardware(about: About) -> Iterator[Block]:
    rows = tuple(_hardware_rows(about))
    if rows:
        head = ("Hardware and what is bought", "Size", "Pieces", "Mass in all [g]", "Where it goes")
        yield Together((Heading("Hardware list", 2), Table(head, rows, right=(2, 3))))


def _hardware_rows(about: About) -> Iterator[tuple[str, ...]]:
    masses = {one["name"]: one["mass_g"] for one in about.figures["items"]}

    def mass(name: str) -> str:
        found = masses.get(name)
        return NOT_STATED if found is None else f"{found:.1f}"

    lengths = about.lengths
    for table in ("hardware", "anchor", "harness", "parachute", "payload"):
        for one in about.design.entries.get(table, ()):
            if isinstance(one, HardwareEntry):
                at = f"at {lengths.one(one.station, 0)}"
                yield one.name, one.item or NOT_STATED, str(one.count), mass(one.name), at
            elif isinstance(one, AnchorEntry):
                yield one.name, one.item or NOT_STATED, "1", mass(one.name), f"through {one.on}"
            elif isinstance(one, HarnessEntry):
                size = NOT_STATED if one.length is None else f"{lengths.both(one.length, 0)} long"
                yield one.name, size, "1", mass(one.name), f"tied to {', '.join(one.anchors)}"
            elif isinstance(one, ParachuteEntry):
                size = NOT_STATED if one.diameter is None else f"{lengths.both(one.diameter, 0)} diameter"
                yield one.name, size, "1", mass(one.name), f"on {one.harness or NOT_STATED}"
            elif isinstance(one, PayloadEntry):
                yield one.name, "", "1", mass(one.name), f"at {lengths.one(one.station, 0)}"
    for one in about.design.entries.get("joint", ()):
        if isinstance(one, JointEntry) and one.state == "screwed":
            long = "" if one.screw_length is None else f", {lengths.one(one.screw_length, 0)} under the head"
            yield "screws", f"{one.by or NOT_STATED}{long}", "", "", f"{one.between[0]} to {one.between[1]}"
    for job in jobs_of(about.design):
        for carried in job.part.carried():
            yield f"{carried.word} of {job.name}", carried.description, "1", f"{carried.mass:.1f}", job.name


# --- what is cut ------------------------------------------------------------------------------------------------------


def _tubes(about: About) -> Iterator[Block]:
    lengths, rows = about.lengths, []
    for entry in about.design.entries.get("stock", ()):
        if not isinstance(entry, StockEntry):
            continue
        pieces = {name: about.design.tubes[name].length or 0.0 for name in entry.pieces}
        for stock in cut_list(pieces, entry.lengths, entry.kerf).stocks:
            cuts = ", ".join(f"{name} {lengths.both(length)}" for name, length in stock.pieces)
            rows.append((entry.name, lengths.both(stock.length, 0), cuts))
    cut = {
        name
        for entry in about.design.entries.get("stock", ())
        if isinstance(entry, StockEntry)
        for name in entry.pieces
    }
    for tube in about.design.measured_tubes:
        if tube.name not in cut and tube.length is not None:
            rows.append((NOT_STATED, NOT_STATED, f"{tube.name} {lengths.both(tube.length)}"))
    if rows:
        table = Table(("Stock", "Length", "Pieces, from one end"), tuple(rows), shares=(0.22, 0.22, 0.56))
        yield Together((Heading("Cut list: tube", 2), table))


def _sheets(about: About, jobs: dict[str, Job]) -> Iterator[Block]:
    rows = tuple(
        (
            " ".join(filter(None, (job.name, piece.word))),
            job.part.material or NOT_STATED,
            about.lengths.both(piece.thickness, 2),
            str(job.quantity * piece.count),
            f"{about.lengths.number(right - left)} x {about.lengths.number(high - low)}",
        )
        for job in jobs.values()
        for piece in job.part.cut_pieces()
        for left, low, right, high in (piece.outline.box(),)
    )
    if rows:
        head = ("Piece", "Sheet", "Thickness", "Cut", f"Size [{about.lengths.first}]")
        words = Words(
            "Measure the sheet in hand: it is seldom its nominal thickness. How they lie on it: ferrule nest."
        )
        yield Together((Heading("Cut list: sheet", 2), words, Table(head, rows, right=(3,))))


# --- what is printed --------------------------------------------------------------------------------------------------


def _prints(about: About, jobs: dict[str, Job]) -> Iterator[Block]:
    printed = [job for job in jobs.values() if job.part.may_be_printed and not job.part.cut_pieces()]
    rows = tuple(row for job in printed for row in _print_rows(about, job))
    if not rows:
        return
    head = (
        "Piece",
        "Material, printer",
        f"On the bed [{about.lengths.first}]",
        "Pieces",
        "Mass of one [g]",
        "Time",
        "Start, end, initials",
    )
    shares = (0.17, 0.19, 0.17, 0.08, 0.13, 0.1, 0.16)
    yield Together((Heading("Print list", 2), Table(head, rows, shares=shares, right=(3, 4), high=11.0)))
    notes = tuple((job.name, orientation(job.part)) for job in printed)
    words = Words("Times are left blank: they are the slicer's to say. Each part has its own sheet of print notes.")
    yield Together((words, Table(("Part", "How it stands on the bed"), notes, shares=(0.2, 0.8))))


def _print_rows(about: About, job: Job) -> Iterator[tuple[str, ...]]:
    for one in piece_notes(job):
        name = job.name if one.name == job.name else f"{job.name} {one.name}"
        where = f", {job.printer.name}" if job.printer else ", printer not stated"
        size = " x ".join(about.lengths.number(side, 0) for side in (one.width, one.depth, one.height))
        yield name, f"{one.material or NOT_STATED}{where}", size, str(job.quantity), _expected(one.mass), "", ""


def _expected(mass: PrintedMass | None) -> str:
    if mass is None:
        return NOT_STATED
    amount, low, high = (f"{one:.{0 if mass.amount >= 10.0 else 1}f}" for one in (mass.amount, mass.low, mass.high))
    return f"{amount} ({low} to {high})"
