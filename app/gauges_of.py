"""The gauges that belong to a design, in the steps that suit what is known of the machine."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TypeAlias

from ..parts.errors import FerruleError, PartError
from ..parts.gauges.gauge import FINE_STEP, STEP, Gauge, Sort
from ..parts.gauges.go_no_go import plugs, rings
from ..parts.gauges.insert_bosses import insert_bosses
from ..parts.gauges.kerf_comb import kerf_comb
from ..parts.gauges.shoulder import shoulder_slices
from ..parts.gauges.slots import slot_gauge
from ..parts.hardware import ClearanceHole, Insert, UnknownHardwareError, every, hardware
from ..parts.kinds import Coupler, Fin, NoseCone
from ..parts.kinds.transition import Transition
from ..parts.machine import Cutter, Printer
from ..parts.params import near
from ..parts.shape import Role
from .design import Design
from .entries import HardwareEntry
from .machine_file import (
    NOT_STATED,
    CutterEntry,
    Machines,
    PrinterEntry,
    SourcedCutter,
    SourcedPrinter,
    merged,
)
from .names import slug
from .toml_text import tables_of, text_of

Sourced: TypeAlias = SourcedPrinter | SourcedCutter
"""A machine with where its values come from."""

_SCRAP = 3.0
"""Thickness of the sheet for a comb where the design has no sheet [mm]."""


def machine_named(name: str, file: Path, personal: Machines) -> Sourced:
    """One machine of a design file that reads, or of the personal machine file, field by field as both have it.

    Raises:
        FerruleError: there is no such machine, a printer and a cutter are both called so, or its bed is not stated.
    """
    data = tables_of(text_of(file), file.name)
    own = Machines(
        file.name,
        {key: PrinterEntry(**table) for key, table in data.get("printer", {}).items()},
        {key: CutterEntry(**table) for key, table in data.get("cutter", {}).items()},
    )
    known = [*own.printers, *own.cutters, *personal.printers, *personal.cutters]
    # Another machine, of which too little is stated, is not in the way of this one.
    found = merged(_only(personal, name), _only(own, name))
    kinds: tuple[Sourced, ...] = (*found.printers.values(), *found.cutters.values())
    if not kinds:
        listed = ", ".join(dict.fromkeys(known)) or "none; write one as [printer.NAME] or [cutter.NAME]"
        raise FerruleError(f"--machine: there is no machine {name!r}{near(name, known)}; machines: {listed}")
    if len(kinds) > 1:
        raise FerruleError(f"--machine: a printer and a cutter are both called {name!r}; give one another name")
    return kinds[0]


def _only(machines: Machines, name: str) -> Machines:
    return Machines(
        machines.file,
        {key: one for key, one in machines.printers.items() if key == name},
        {key: one for key, one in machines.cutters.items() if key == name},
    )


@dataclass(frozen=True, slots=True)
class _Shoulder:
    name: str
    words: str
    outside: float
    wall: float
    length: float
    material: str | None
    bore_role: Role = ""


@dataclass(frozen=True, slots=True)
class Gauges:
    """The gauges of a design.

    Attributes:
        made: those that can be made.
        refused: by name, why one cannot.
    """

    made: tuple[Gauge, ...]
    refused: Mapping[str, str]


def gauges_of(design: Design, machine: Sourced | None) -> Gauges:
    """Every gauge of a design that a machine can make; of a machine that is not named, all.

    A tube that is too small for its number is not in the way of the others.

    Args:
        design: the design.
        machine: what they are made on.
    """
    maker = machine.machine if machine else None
    made: list[Gauge] = []
    refused: dict[str, str] = {}
    for name, build in _all(design, machine):
        try:
            one = build()
        except PartError as error:
            refused[name] = str(error).removeprefix(f"{name}: ")
            continue
        if (one.printed or not isinstance(maker, Printer)) and (one.cut or not isinstance(maker, Cutter)):
            made.append(one)
    return Gauges(tuple(made), refused)


def chosen(gauges: Gauges, only: Sequence[str], machine: Sourced | None) -> tuple[Gauge, ...]:
    """The gauges of some names; all that can be made where none is named.

    Raises:
        FerruleError: there is no such gauge for the machine, or it cannot be made.
    """
    known = {one.name: one for one in gauges.made}
    for name in only:
        if name in gauges.refused:
            raise FerruleError(f"--only: {name} cannot be made: {gauges.refused[name]}")
        if name not in known:
            where = f" for {machine.machine.name}" if machine else ""
            listed = ", ".join(known) or "none"
            raise FerruleError(f"--only: there is no gauge {name!r}{where}{near(name, known)}; gauges: {listed}")
    return tuple(one for one in gauges.made if not only or one.name in only)


def step_of(sort: Sort, machine: Sourced | None) -> float:
    """Step of a set [mm]: the coarse one until the value that it measures is stated, then the fine one.

    One size goes and the next does not, so a set leaves half a step of doubt each way on diameter: after a coarse one
    the fine one round the same size finds the rest.
    """
    if machine is None:
        return STEP
    if isinstance(machine, SourcedCutter):
        stated = any(key.startswith("kerf") and source != NOT_STATED for key, source in machine.sources.items())
    else:
        stated = machine.sources.get("outside" if sort == "plug" else "hole", NOT_STATED) != NOT_STATED
    return FINE_STEP if stated else STEP


def _all(design: Design, machine: Sourced | None) -> Iterator[tuple[str, Callable[[], Gauge]]]:
    """Each gauge by its name, and how it is made."""
    plug, opening = step_of("plug", machine), step_of("opening", machine)
    shoulders = tuple(_shoulders(design))
    for number, one in enumerate(shoulders, 1):
        sizes = one.outside, one.wall, one.length
        yield (
            one.name,
            partial(shoulder_slices, one.name, one.words, *sizes, number, one.material, one.bore_role, plug),
        )
    sheets = tuple(_sheets(design))
    cutting = machine is not None and isinstance(machine.machine, Cutter)
    # A set for a tube is of what the rest is made of, where that is one material.
    stuffs = {name for name, _ in sheets} if cutting else {one.material for one in shoulders}
    stuff = next(iter(stuffs)) if len(stuffs) == 1 else None
    for tube in design.measured_tubes:
        name = slug(tube.name)
        yield f"rings-{name}", partial(rings, f"rings-{name}", tube.name, tube.largest_outside, stuff, opening)
        yield f"plugs-{name}", partial(plugs, f"plugs-{name}", tube.name, tube.smallest_inside, stuff, plug)
    seen: set[float] = set()
    for item in design.rocket.items:
        if isinstance(item.part, Fin) and (thick := item.part.through_thickness()) not in seen:
            seen.add(thick)
            name, sheet = f"slots-{slug(item.name)}", item.part.material if cutting else None
            yield name, partial(slot_gauge, name, item.name, thick, sheet)
    combs = tuple(dict.fromkeys(name for name, _ in sheets)) or (None,)
    for of in combs:
        # One comb for each material, as the machine file has one kerf for each: of its thickest sheet.
        thick = max((thickness for one, thickness in sheets if one == of), default=_SCRAP)
        name = f"kerf-comb-{slug(of or 'other')}" if len(combs) > 1 else "kerf-comb"
        yield name, partial(kerf_comb, name, of, thick)
    for insert in _inserts(design):
        name = f"insert-{slug(insert.size)}"
        yield name, partial(insert_bosses, name, insert, stuff if shoulders else None, opening)


def _shoulders(design: Design) -> Iterator[_Shoulder]:
    for item in design.rocket.items:
        part, name = item.part, item.name
        if part is None or not part.may_be_printed:
            continue
        short = f"shoulder-{slug(name)}"
        if isinstance(part, NoseCone) and part.shoulder_diameter is not None:
            yield _Shoulder(
                short,
                f"{name}'s shoulder",
                part.shoulder_diameter,
                part.shoulder_wall,
                part.shoulder_length,
                part.material,
            )
        elif isinstance(part, Coupler):
            yield _Shoulder(short, name, part.outside_diameter, part.wall, part.length, part.material, "fit")
        elif isinstance(part, Transition):
            for end, diameter, length in (
                ("forward", part.forward_shoulder_diameter, part.forward_shoulder_length),
                ("aft", part.aft_shoulder_diameter, part.aft_shoulder_length),
            ):
                if diameter is not None:
                    words = f"{name}'s {end} shoulder"
                    yield _Shoulder(f"{short}-{end}", words, diameter, part.shoulder_wall, length, part.material)


def _sheets(design: Design) -> Iterator[tuple[str | None, float]]:
    for item in design.rocket.items:
        if item.part is not None:
            for piece in item.part.cut_pieces():
                yield item.part.material, piece.thickness


def _inserts(design: Design) -> tuple[Insert, ...]:
    """The inserts that the design names, and those of the screws that hold its printed parts."""
    sizes: set[str] = set()
    for entry in design.entries.get("hardware", ()):
        if isinstance(entry, HardwareEntry) and entry.item is not None:
            try:
                piece = hardware(entry.item)
            except (UnknownHardwareError, PartError):
                continue
            if isinstance(piece, Insert):
                sizes.add(piece.size)
    for item in design.rocket.items:
        part = item.part
        if isinstance(part, (NoseCone, Coupler)) and part.screws and part.may_be_printed:
            if isinstance(part, NoseCone):
                sizes.add(part.screw_size)
            else:
                sizes |= {one.size for one in every(ClearanceHole) if abs(one.medium - part.screw_hole) < 1e-6}
    return tuple(one for one in every(Insert) if one.size in sizes)
