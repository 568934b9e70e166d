"""The machines of a design: those of its file, those of the personal file that it names, and what is made on which."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeAlias

from ..analysis.rocket import Rocket
from ..parts.errors import DesignError
from ..parts.machine import Cutter, Printer
from .entries import SettingsEntry
from .machine_file import CutterEntry, Machines, PrinterEntry, merged
from .reading import E, Path_, Reading

Machine: TypeAlias = Printer | Cutter


def own_machines(reading: Reading) -> Machines:
    """The machines that the design file itself states."""
    return Machines(reading.file, _tables(reading, "printer", PrinterEntry), _tables(reading, "cutter", CutterEntry))


def _tables(reading: Reading, name: str, model: type[E]) -> dict[str, E]:
    found = reading.data.pop(name, {})
    if not isinstance(found, dict) or not all(isinstance(one, dict) for one in found.values()):
        reading.fault((name,), f"write each {name} as a table with its name, headed [{name}.NAME]")
        return {}
    read = {key: reading.model(model, one, (name, key)) for key, one in found.items()}
    return {key: one for key, one in read.items() if one is not None}


def used_machines(
    reading: Reading,
    own: Machines,
    personal: Machines,
    settings: SettingsEntry | None,
    made_on: Mapping[str, tuple[str, Path_]],
) -> dict[str, Machine]:
    """The machines of the file, and of the personal ones those that it names; each with what both files say.

    Args:
        reading: what is told of faults.
        own: those of the file.
        personal: those of who works with it.
        settings: they name the usual ones.
        made_on: the machine that a part names, and where it does.
    """
    for name in set(own.printers) & set(own.cutters):
        reading.fault(("cutter", name), f"{name!r} is a printer already; give each machine a name of its own")
    wanted = {name for name, _ in made_on.values()} | set(own.printers) | set(own.cutters)
    if settings:
        wanted |= {name for name in (settings.printer, settings.cutter) if name is not None}
    named = Machines(
        personal.file,
        {name: one for name, one in personal.printers.items() if name in wanted},
        {name: one for name, one in personal.cutters.items() if name in wanted},
    )
    try:
        both = merged(named, own)
    except DesignError as error:
        for problem in error.problems:
            reading.fault(tuple((problem.field or "").split(".")), problem.message)
        return {}
    found: dict[str, Machine] = {name: one.machine for name, one in both.printers.items()}
    return found | {name: one.machine for name, one in both.cutters.items()}


def makers(
    reading: Reading,
    rocket: Rocket,
    settings: SettingsEntry,
    machines: Mapping[str, Machine],
    made_on: Mapping[str, tuple[str, Path_]],
) -> dict[str, Machine]:
    """The machine that each part's files are made for.

    Args:
        reading: what is told of faults.
        rocket: everything in place.
        settings: they name the usual ones.
        machines: those that there are.
        made_on: the machine that a part names, and where it does.
    """
    usual: dict[type, Machine] = {}
    for field, kind, what in (("printer", Printer, "printer"), ("cutter", Cutter, "cutter")):
        name = getattr(settings, field)
        if name is not None:
            known = [one for one, machine in machines.items() if isinstance(machine, kind)]
            if reading.known(name, known, what, ("settings", field)):
                usual[kind] = machines[name]
    found: dict[str, Machine] = {}
    for item in rocket.items:
        if item.part is None or item.kind == "tube" or item.part.laid_at_the_bench:
            continue
        kind = Cutter if item.part.cut_outlines() else Printer
        name, path = made_on.get(item.name, (None, ()))
        if name is None:
            if kind in usual:
                found[item.name] = usual[kind]
        elif reading.known(name, tuple(machines), "machine", path):
            if kind is Printer and isinstance(machines[name], Cutter):
                reading.fault(path, f"{name!r} is a cutter, and a {item.kind} of this form is not cut from sheet")
            found[item.name] = machines[name]
    return found
