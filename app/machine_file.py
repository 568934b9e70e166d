"""The personal machine file: printers and cutters as they are in one workshop, for every design that is made there."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any, Literal, TypeAlias, TypeVar

import tomlkit
from pydantic import Field, ValidationError
from tomlkit.exceptions import TOMLKitError

from ..parts.errors import DesignError, Problem, WriteError
from ..parts.machine import BED, KERF, NOZZLE, PER_SIDE, SHRINKAGE, Cutter, Printer
from ..parts.params import Fault, Length, Ratio, dimension_of, faults, near
from ..parts.part import MaterialName
from ..parts.quantity import show
from ..parts.writers.files import write_text
from .entries import Entry
from .names import slug
from .toml_text import located, tables_of, text_of

VARIABLE = "FERRULE_MACHINES"
"""Environment variable that names the machine file, where it is not in the usual folder."""

Kind: TypeAlias = Literal["printer", "cutter"]

_PerSide = Annotated[Length, Field(ge=PER_SIDE[0], le=PER_SIDE[1])]
_Kerf = Annotated[Length, Field(ge=KERF[0], le=KERF[1])]
_Shrinkage = Annotated[Ratio, Field(ge=SHRINKAGE[0], le=SHRINKAGE[1])]


class PrinterEntry(Entry):
    """`[printer.NAME]`: a printer; what is not stated here may be stated in the other file."""

    width: Annotated[Length | None, Field(gt=BED[0], le=BED[1], description="usable width of the bed")] = None
    depth: Annotated[Length | None, Field(gt=BED[0], le=BED[1], description="usable depth of the bed")] = None
    height: Annotated[Length | None, Field(gt=BED[0], le=BED[1], description="usable height over the bed")] = None
    nozzle: Annotated[Length | None, Field(gt=NOZZLE[0], le=NOZZLE[1], description="diameter of the nozzle")] = None
    outside: Annotated[_PerSide | None, Field(description="by how much outsides come out too large, per side")] = None
    hole: Annotated[_PerSide | None, Field(description="by how much holes come out too small, per side")] = None
    shrinkage: Annotated[
        dict[MaterialName, _Shrinkage],
        Field(
            default_factory=dict,
            max_length=50,
            description="by material, the share of its length that a part loses: 0.003 is 0.3 %",
        ),
    ]


class CutterEntry(Entry):
    """`[cutter.NAME]`: a cutter; what is not stated here may be stated in the other file."""

    width: Annotated[Length | None, Field(gt=BED[0], le=BED[1], description="usable width")] = None
    depth: Annotated[Length | None, Field(gt=BED[0], le=BED[1], description="usable depth")] = None
    kerf: Annotated[_Kerf | None, Field(description="width of what the beam takes away")] = None
    kerf_for: Annotated[
        dict[MaterialName, _Kerf],
        Field(default_factory=dict, max_length=50, description="the same by material, where it differs"),
    ]


_MODELS: Mapping[Kind, type[PrinterEntry] | type[CutterEntry]] = {"printer": PrinterEntry, "cutter": CutterEntry}
_NEEDED: Mapping[Kind, tuple[str, ...]] = {"printer": ("width", "depth", "height"), "cutter": ("width", "depth")}


@dataclass(frozen=True, slots=True)
class Machines:
    """The machines of one file.

    Attributes:
        file: name of the file, for messages and for where a value comes from.
        printers: printers by name.
        cutters: cutters by name.
    """

    file: str = "machine file"
    printers: Mapping[str, PrinterEntry] = field(default_factory=dict)
    cutters: Mapping[str, CutterEntry] = field(default_factory=dict)


# --- reading ----------------------------------------------------------------------------------------------------------


def usual_path(environment: Mapping[str, str] = os.environ, system: str = sys.platform) -> Path:
    """Where the machine file is: what $FERRULE_MACHINES says, else `ferrule/machines.toml` in the user's settings.

    Args:
        environment: the environment's variables.
        system: name of the platform as `sys.platform` gives it.

    Raises:
        DesignError: nothing says where the user's settings are.
    """
    named = environment.get(VARIABLE)
    if named:
        return Path(named)
    try:
        if system == "win32":
            folder = Path(environment["APPDATA"]) if environment.get("APPDATA") else Path.home() / "AppData" / "Roaming"
        elif system == "darwin":
            folder = Path.home() / "Library" / "Application Support"
        else:
            stated = environment.get("XDG_CONFIG_HOME", "")
            # The XDG base directory specification says to ignore one that is not absolute.
            folder = Path(stated) if stated and Path(stated).is_absolute() else Path.home() / ".config"
    except RuntimeError:
        message = f"there is no home folder to look for the machine file in; name the file in ${VARIABLE}"
        raise DesignError((Problem(message),)) from None
    return folder / "ferrule" / "machines.toml"


def load_machines(path: Path | None = None) -> Machines:
    """Read the personal machine file.

    Args:
        path: the file; None for the usual one, which need not be there.

    Raises:
        DesignError: the file cannot be read or is wrong; it holds every problem, with line and column.
    """
    found = usual_path() if path is None else path
    if path is None and not found.exists():
        return Machines(found.name)
    return parse_machines(text_of(found, "machine file"), found.name)


def parse_machines(text: str, file: str = "machine file") -> Machines:
    """Read machines from the text of a machine file.

    Raises:
        DesignError: the text is wrong; it holds every problem, with line and column.
    """
    problems: list[Fault] = []
    data = tables_of(text, file)
    for key in data:
        if key not in _MODELS:
            problems.append(Fault((key,), f"there is no such table{near(key, _MODELS)}; a machine file has machines"))
    printers = _entries("printer", PrinterEntry, data, problems)
    cutters = _entries("cutter", CutterEntry, data, problems)
    if problems:
        raise DesignError(located(problems, text, file))
    return Machines(file, printers, cutters)


E = TypeVar("E", bound=Entry)


def _entries(kind: Kind, model: type[E], data: Mapping[str, Any], problems: list[Fault]) -> dict[str, E]:
    tables = data.get(kind, {})
    if not isinstance(tables, dict) or not all(isinstance(one, dict) for one in tables.values()):
        problems.append(Fault((kind,), f"write each {kind} as a table with its name, headed [{kind}.NAME]"))
        return {}
    found: dict[str, E] = {}
    shorts: dict[str, str] = {}
    for name, table in tables.items():
        short = slug(name)
        if not short:
            problems.append(Fault((kind, name), f"{name!r} holds no letter or digit to name files by"))
        elif short in shorts:
            problems.append(Fault((kind, name), f"{name!r} and {shorts[short]!r} would have the same file name"))
        shorts[short] = name
        problems += _twice(kind, name, table, model)
        try:
            found[name] = model(**table)
        except ValidationError as error:
            for fault in faults(error, model):
                path = tuple(step for step in fault.path if step != "[key]")
                problems.append(Fault((kind, name, *path), fault.message))
    return found


def _twice(kind: Kind, name: str, table: Mapping[str, Any], model: type[Entry]) -> list[Fault]:
    """A material that is written in two ways, of which the last would win unseen."""
    found: list[Fault] = []
    for key, values in table.items():
        if key not in model.model_fields or not isinstance(values, dict):
            continue
        seen: dict[str, str] = {}
        for material in values:
            plain = material.strip().lower().replace(" ", "-")
            if plain in seen:
                found.append(Fault((kind, name, key, material), f"is the same material as {seen[plain]!r}"))
            seen[plain] = material
    return found


# --- the design's own tables over it ----------------------------------------------------------------------------------

NOT_STATED = "not stated"
"""Where the value of a field comes from that neither file has."""


@dataclass(frozen=True, slots=True)
class SourcedPrinter:
    """A printer, and for each field the file that its value comes from; `shrinkage.petg` is a field of its own."""

    machine: Printer
    sources: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class SourcedCutter:
    """A cutter, and for each field the file that its value comes from; `kerf_for.acrylic` is a field of its own."""

    machine: Cutter
    sources: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class MergedMachines:
    """Every machine that either file has.

    Attributes:
        printers: printers by name.
        cutters: cutters by name.
    """

    printers: Mapping[str, SourcedPrinter]
    cutters: Mapping[str, SourcedCutter]


def merged(personal: Machines, design: Machines) -> MergedMachines:
    """The machines of both files, field by field: what the design's tables state wins.

    Args:
        personal: the personal machine file.
        design: the machines of a design file.

    Raises:
        DesignError: a machine's bed is stated in neither file.
    """
    problems: list[Problem] = []
    printers: dict[str, SourcedPrinter] = {}
    for name in sorted({*personal.printers, *design.printers}):
        entries = ((design, design.printers.get(name)), (personal, personal.printers.get(name)))
        values, sources = _chosen("printer", name, entries, problems)
        if values is not None:
            printers[name] = SourcedPrinter(Printer(name, **values), sources)
    cutters: dict[str, SourcedCutter] = {}
    for name in sorted({*personal.cutters, *design.cutters}):
        stated = ((design, design.cutters.get(name)), (personal, personal.cutters.get(name)))
        values, sources = _chosen("cutter", name, stated, problems)
        if values is not None:
            cutters[name] = SourcedCutter(Cutter(name, **values), sources)
    if problems:
        raise DesignError(problems)
    return MergedMachines(printers, cutters)


def _chosen(
    kind: Kind, name: str, entries: tuple[tuple[Machines, Entry | None], ...], problems: list[Problem]
) -> tuple[dict[str, Any] | None, dict[str, str]]:
    """Values for the machine and the file of each, the first file that states a field winning."""
    values: dict[str, Any] = {}
    sources: dict[str, str] = {}
    for key in _MODELS[kind].model_fields:
        for machines, entry in entries:
            value = getattr(entry, key, None)
            if isinstance(value, dict):
                for material, amount in value.items():
                    values.setdefault(key, {}).setdefault(material, amount)
                    sources.setdefault(f"{key}.{material}", machines.file)
            elif value is not None and key not in values:
                values[key], sources[key] = value, machines.file
        if key not in values:
            sources[key] = NOT_STATED
    missing = [key for key in _NEEDED[kind] if key not in values]
    files = " or ".join(dict.fromkeys(machines.file for machines, entry in entries if entry is not None))
    for key in missing:
        problems.append(Problem(f"is needed and not stated in {files}", field=f"{kind}.{name}.{key}"))
    return (None if missing else values), sources


# --- writing ----------------------------------------------------------------------------------------------------------

Change: TypeAlias = float | Mapping[str, float]
"""A new value [mm], or new values by material ([mm] or, of a shrinkage, [-])."""


def record(path: Path, kind: Kind, name: str, changes: Mapping[str, Change]) -> Machines:
    """Write new values of a machine into a machine file; all else in it, comments and order too, stays as it is.

    Args:
        path: the file; it is made where it is missing.
        kind: `printer` or `cutter`.
        name: name of the machine; its table is added where there is none.
        changes: new values by field; what is by material is changed for the materials given alone.

    Returns:
        What the file holds then.

    Raises:
        DesignError: the file as it is, or as it would be, is wrong; it stays as it is.
        WriteError: the file cannot be written; it stays as it is.
    """
    old = text_of(path, "machine file") if path.exists() else ""
    if old:
        parse_machines(old, path.name)
    new = _with(old, kind, name, changes, path.name)
    found = parse_machines(new, path.name)
    _check_kept(old, new, kind, name, found, changes, path)
    if old and b"\r\n" in path.read_bytes():
        new = new.replace("\n", "\r\n")
    write_text(path, new)
    return found


def _with(old: str, kind: Kind, name: str, changes: Mapping[str, Change], file: str) -> str:
    if name not in tables_of(old, file).get(kind, {}):
        old = f"{old.rstrip()}\n\n" if old.strip() else ""
        old += f"[{kind}.{tomlkit.key(name).as_string()}]\n"
    try:
        document: Any = tomlkit.parse(old)
        table = document[kind][name]
        for key, change in changes.items():
            if not isinstance(change, Mapping):
                table[key] = _written(kind, key, change)
                continue
            if key not in table:
                table[key] = tomlkit.inline_table()
            for material, value in change.items():
                table[key][_spelling(table[key], material)] = _written(kind, key, value)
        return str(tomlkit.dumps(document))
    except TOMLKitError as error:
        raise DesignError((Problem(f"cannot be changed: {error}", file=file),)) from None


def _spelling(table: Mapping[str, Any], material: str) -> str:
    """The material's name as the file has it."""
    plain = material.strip().lower().replace(" ", "-")
    return next((key for key in table if key.strip().lower().replace(" ", "-") == plain), plain)


def _written(kind: Kind, key: str, value: float) -> str | float:
    model_field = _MODELS[kind].model_fields.get(key)
    dimension = dimension_of(model_field) if model_field else None
    return show(value, dimension) if dimension else value


def _check_kept(
    old: str, new: str, kind: Kind, name: str, found: Machines, changes: Mapping[str, Change], path: Path
) -> None:
    """Refuse a text that changes more or less than was asked for.

    Raises:
        WriteError: it does.
    """
    before, after = tables_of(old, path.name), tables_of(new, path.name)
    for data in (before, after):
        table = data.get(kind, {}).get(name, {})
        for key in changes:
            table.pop(key, None)
    entry: Entry | None = (found.printers if kind == "printer" else found.cutters).get(name)
    kept = _without_empty(before) == _without_empty(after)
    if not kept or entry is None:
        raise WriteError(f"{path} cannot be changed without changing more than was asked for; edit it by hand")


def _without_empty(data: Mapping[str, Any]) -> dict[str, Any]:
    plain = {key: _without_empty(value) if isinstance(value, dict) else value for key, value in data.items()}
    return {key: value for key, value in plain.items() if value != {}}
