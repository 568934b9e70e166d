"""Reads a design file: measured tubes, parts that fit them, masses; all errors at once, each with its line."""

from __future__ import annotations

import datetime
import re
import tomllib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal, TypeVar

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationError

from ..analysis.checks import Fits, checks
from ..analysis.limits import Check
from ..analysis.rocket import Item, Rocket
from ..analysis.stability import Stability, stability
from ..parts.errors import DesignError, PartError, Problem
from ..parts.fingerprint import fingerprint
from ..parts.fit import Derived, MeasuredTube
from ..parts.kinds import Fin, NoseCone, Tube, in_bench_order
from ..parts.params import Count, Density, Fault, Length, Mass, faults, is_list, near
from ..parts.part import MaterialName, Part
from ..parts.quantity import mm
from .names import slug
from .positions import nearest, positions

FORMAT = 1
"""The only format of design files so far [-]."""


def _one_line(value: str) -> str:
    if not value.isprintable():
        raise ValueError(f"{value!r} holds a character that cannot be printed; write it on one line")
    return value


def _date_as_text(value: object) -> object:
    """TOML has dates of its own; one written without quotes is as good as its text."""
    return str(value) if isinstance(value, datetime.date) else value


Line = Annotated[str, AfterValidator(_one_line)]
"""A text that is printed on one line."""

Name = Annotated[Line, Field(min_length=1, max_length=80, description="name, unique in the design")]
Reading = Annotated[Length, Field(gt=0, le=500)]
Station = Annotated[Length, Field(ge=0, le=20000)]


class _Entry(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


E = TypeVar("E", bound=_Entry)
K = TypeVar("K", bound=Part)


class TubeEntry(_Entry):
    """`[[tube]]`: a tube as measured."""

    name: Name
    outside: Annotated[tuple[Reading, ...], Field(min_length=1, description="caliper readings of the outside diameter")]
    inside: Annotated[tuple[Reading, ...], Field(min_length=1, description="caliper readings of the inside diameter")]
    length: Annotated[Length, Field(gt=0, le=5000, description="length, end to end")]
    station: Annotated[Station, Field(description="nose tip to the tube's forward end")]
    use: Annotated[Literal["airframe", "motor", "coupler"], Field(description="what the tube is for")] = "airframe"
    material: Annotated[MaterialName | None, Field(description="what it is made of")] = None
    density: Annotated[Density | None, Field(gt=0, le=2.5e-2, description="density, where it is known")] = None
    mass: Annotated[Mass | None, Field(gt=0, le=1e6, description="mass as weighed")] = None


class PlaceEntry(_Entry):
    """The part of a `[[part]]` that says where it goes; the rest are the fields of its kind."""

    name: Name
    kind: Annotated[str, Field(description="kind of part")]
    fits: Annotated[str | None, Field(description="name of the tube that it goes into or onto")] = None
    around: Annotated[str | None, Field(description="name of the tube that it goes around or reaches down to")] = None
    station: Annotated[Station | None, Field(description="nose tip to the part's forward end")] = None
    stations: Annotated[
        tuple[Station, ...], Field(max_length=100, description="the same for several alike along the axis")
    ] = ()
    count: Annotated[Count, Field(ge=1, le=12, description="fins in the set")] = 1
    mass: Annotated[Mass | None, Field(gt=0, le=1e6, description="mass of one piece as weighed")] = None


class MassEntry(_Entry):
    """`[[mass]]`: something that is no part but has mass."""

    name: Name
    mass: Annotated[Mass | None, Field(gt=0, le=1e6, description="mass")] = None
    station: Annotated[Station, Field(description="nose tip to its centre of gravity")]


class HeadEntry(_Entry):
    """What stands at the top of a design file."""

    format: Annotated[Count, Field(ge=FORMAT, le=FORMAT, description="format of the file: 1")]
    name: Name
    note: Annotated[Line | None, Field(max_length=500, description="a sentence for every report")] = None
    revision: Annotated[Line | None, Field(max_length=20, description="revision, such as A")] = None
    date: Annotated[
        Line | None, BeforeValidator(_date_as_text), Field(max_length=40, description="date, as it shall be printed")
    ] = None


@dataclass(frozen=True, slots=True)
class Design:
    """A design file that holds together.

    Attributes:
        head: what stands at its top.
        rocket: everything in place.
        fits: which tubes the items fit.
        derived: for each item, the fields that follow from tubes, with their sums.
    """

    head: HeadEntry
    rocket: Rocket
    fits: Fits
    derived: Mapping[str, Mapping[str, Derived]]

    @property
    def name(self) -> str:
        """Name of the design."""
        return self.head.name

    def stability(self) -> Stability | None:
        """Centre of pressure and margin, or None where there is nothing to find them for."""
        return stability(self.rocket)

    def checks(self) -> tuple[Check, ...]:
        """All checks."""
        return checks(self.rocket, self.stability(), self.fits)

    def fingerprint(self) -> str:
        """Fingerprint of everything that changes a part or a figure."""
        items = [
            [
                item.name,
                item.stations,
                item.count,
                item.radius,
                item.stated_mass,
                item.weighed,
                item.part.fingerprint() if item.part else None,
            ]
            for item in self.rocket.items
        ]
        # The readings change the checks even where a size is stated and does not follow from them.
        return fingerprint([FORMAT, self.head.model_dump(), items, self.fits])


def load(path: Path) -> Design:
    """Read a design file.

    Raises:
        DesignError: the file cannot be read or is wrong; it holds every problem, with line and column.
    """
    return parse(_text(path), path.name)


def parse(text: str, file: str = "design") -> Design:
    """Read a design from the text of a design file.

    Args:
        text: TOML, format 1.
        file: name of the file for messages.

    Raises:
        DesignError: the text is wrong; it holds every problem, with line and column.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DesignError((_syntax_problem(error, text, file),)) from None
    except (ValueError, RecursionError):
        raise DesignError((Problem(_OUTLANDISH, file=file),)) from None
    if _outlandish(data):
        raise DesignError((Problem(_OUTLANDISH, file=file),))
    reading = _Reading(data)
    design = reading.design()
    if reading.faults or design is None:
        raise DesignError(_located(reading.faults, text, file))
    return design


def _text(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        message = f"byte {error.start + 1} is not UTF-8 text; save the design file as UTF-8"
        raise DesignError((Problem(message, file=path.name, line=line),)) from None
    except FileNotFoundError:
        raise DesignError((Problem("there is no such design file", file=str(path)),)) from None
    except IsADirectoryError:
        raise DesignError((Problem("this is a folder; name the design file in it", file=str(path)),)) from None
    except (OSError, ValueError) as error:
        raise DesignError((Problem(f"cannot be read: {error}", file=str(path)),)) from None


def _syntax_problem(error: tomllib.TOMLDecodeError, text: str, file: str) -> Problem:
    message = str(error)
    message = f"is not TOML: {message[:1].lower()}{message[1:]}"
    place = re.search(r" \(at line (\d+), column (\d+)\)$", message)
    if not place:
        return Problem(message, file=file, line=text.count("\n") + 1)
    return Problem(message[: place.start()], None, file, int(place[1]), int(place[2]))


_DEEPEST = 20
_OUTLANDISH = f"is not a design: a whole number beyond 64 bits, or tables and lists nested more than {_DEEPEST} deep"


def _outlandish(data: object) -> bool:
    """True for what TOML lets a reader refuse and no message could show."""
    waiting = [(data, 0)]
    while waiting:
        value, depth = waiting.pop()
        if depth > _DEEPEST or (isinstance(value, int) and not -(2**63) <= value < 2**63):
            return True
        inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
        waiting += [(item, depth + 1) for item in inside]
    return False


def _located(found: list[Fault], text: str, file: str) -> tuple[Problem, ...]:
    places = positions(text)
    problems = [
        Problem(fault.message, fault.field or None, file, *(nearest(places, fault.path) or (1, 1))) for fault in found
    ]
    return tuple(sorted(problems, key=lambda problem: (problem.line or 0, problem.column or 0)))


class _Reading:
    """Goes through the tables of a file and collects what it finds, good and bad."""

    def __init__(self, data: Mapping[str, Any]) -> None:
        self.data = dict(data)
        self.faults: list[Fault] = []
        self.tubes: dict[str, MeasuredTube] = {}
        self.fits: Fits = {}
        self.derived: dict[str, Mapping[str, Derived]] = {}
        self.names: dict[str, str] = {}
        self.refused: set[str] = set()

    def design(self) -> Design | None:
        lists = {name: self._tables(name) for name in ("tube", "part", "mass")}
        head = self._model(HeadEntry, self.data, ())
        items: list[Item] = []
        for index, entry in lists["tube"]:
            items += self._tube(entry, ("tube", index))
        for index, entry in lists["part"]:
            items += self._part(entry, ("part", index))
        for index, entry in lists["mass"]:
            items += self._mass(entry, ("mass", index))
        if head is None:
            return None
        if not slug(head.name):
            self._fault(("name",), f"{head.name!r} holds no letter or digit to name files by")
        if not items and not self.faults:
            self._fault((), "the design holds no tube, part or mass")
        order = {item.name: item.stations[0] + (item.part.extent()[0] if item.part else 0.0) for item in items}
        return Design(
            head, Rocket(head.name, tuple(sorted(items, key=lambda item: order[item.name]))), self.fits, self.derived
        )

    def _tables(self, name: str) -> Iterator[tuple[int, dict[str, Any]]]:
        found = self.data.pop(name, [])
        if not isinstance(found, list) or not all(isinstance(entry, dict) for entry in found):
            self._fault((name,), f"write each {name} as a table of its own, headed [[{name}]]")
            found = []
        return iter(list(enumerate(found)))

    def _fault(self, path: tuple[str | int, ...], message: str) -> None:
        self.faults.append(Fault(path, message))

    def _model(
        self,
        model: type[E],
        data: Mapping[str, Any],
        path: tuple[str | int, ...],
        written: Mapping[str, Any] | None = None,
    ) -> E | None:
        try:
            return model(**{str(key): value for key, value in data.items()})
        except ValidationError as error:
            for fault in faults(error, model):
                self._fault((*path, *_as_written(fault.path, data if written is None else written)), fault.message)
            return None

    def _named(self, name: str, path: tuple[str | int, ...]) -> bool:
        short = slug(name)
        if not short:
            self._fault((*path, "name"), f"{name!r} holds no letter or digit to name files by")
        elif short in self.names:
            self._fault((*path, "name"), f"{name!r} and {self.names[short]!r} would have the same file name")
        else:
            self.names[short] = name
            return True
        return False

    def _tube(self, data: dict[str, Any], path: tuple[str | int, ...]) -> list[Item]:
        written, data = data, _with_units(data)
        entry = self._model(TubeEntry, data, path, written)
        if entry is None or not self._named(entry.name, path):
            self.refused.add(str(data.get("name")))
            return []
        try:
            measured = MeasuredTube(entry.name, entry.outside, entry.inside)
        except PartError as error:
            self._fault((*path, *_as_written(("inside",), written)), str(error).removeprefix("inside: "))
            self.refused.add(entry.name)
            return []
        self.tubes[entry.name] = measured
        fields = {
            "outside_diameter": mm(measured.mean_outside),
            "inside_diameter": mm(measured.mean_inside),
            "length": mm(entry.length),
            "use": entry.use,
        }
        fields |= {key: data[key] for key in ("material", "density") if key in data}
        part = self._built(Tube, fields, path)
        return [Item(entry.name, (entry.station,), part, 1, 0.0, entry.mass, True)] if part else []

    def _part(self, data: dict[str, Any], path: tuple[str | int, ...]) -> list[Item]:
        data = _with_units(data)
        kinds = {kind.kind: kind for kind in in_bench_order()}
        place = self._model(PlaceEntry, {key: data[key] for key in data if key in PlaceEntry.model_fields}, path)
        stated = {key: value for key, value in data.items() if key not in PlaceEntry.model_fields}
        if place is None:
            # What is wrong with the fields of the kind is said in the same breath.
            known = kinds.get(str(data.get("kind")))
            if known:
                tubes = (_STAND_IN if "fits" in data else None, _STAND_IN if "around" in data else None)
                self._built(known, stated, path, True, known.derived(frozenset(stated), *tubes))
            return []
        kind = kinds.get(place.kind)
        if kind is None:
            self._fault(
                (*path, "kind"), f"there is no kind {place.kind!r}{near(place.kind, kinds)}; see `ferrule kinds`"
            )
            return []
        named = self._named(place.name, path)
        fits, around = self._tube_named(place.fits, (*path, "fits")), self._tube_named(place.around, (*path, "around"))
        derived = kind.derived(frozenset(stated), fits, around)
        # What would follow from a tube that is named and not known is not missing: the tube is the fault.
        pending = set(
            kind.derived(frozenset(stated), _STAND_IN if place.fits else None, _STAND_IN if place.around else None)
        ).difference(derived)
        fields = {**{key: mm(size.value) for key, size in derived.items()}, **stated}
        part = self._built(kind, fields, path, True, pending)
        stations = self._stations(place, kind, path)
        if part is None or not stations or not named:
            return []
        radius = fits.mean_outside / 2.0 if fits and kind is Fin else 0.0
        if kind is Fin and place.fits is None:
            self._fault((*path, "fits"), "is needed and not stated (the tube that the fins stand on)")
        if kind is not Fin and place.count != 1:
            self._fault((*path, "count"), "counts the fins of a set; for several parts along the axis give `stations`")
        self.fits[place.name] = (fits, around)
        self.derived[place.name] = derived
        mass = None if place.mass is None else place.mass * place.count * len(stations)
        return [Item(place.name, stations, part, place.count, radius, mass, True)]

    def _stations(self, place: PlaceEntry, kind: type[Part], path: tuple[str | int, ...]) -> tuple[float, ...]:
        if place.station is not None and place.stations:
            self._fault((*path, "stations"), "give either station or stations")
        if len(place.stations) > 1 and kind in (NoseCone, Tube):
            self._fault(
                (*path, "stations"), "several alike are for parts inside or on the airframe; give each its own table"
            )
        if place.stations:
            return place.stations
        if place.station is not None:
            return (place.station,)
        if kind.kind == "nose-cone":
            return (0.0,)
        self._fault((*path, "station"), "is needed and not stated (nose tip to the part's forward end)")
        return ()

    def _tube_named(self, name: str | None, path: tuple[str | int, ...]) -> MeasuredTube | None:
        if name is None:
            return None
        if name not in self.tubes and name not in self.refused:
            known = tuple(self.tubes)
            self._fault(path, f"there is no tube {name!r}{near(name, known)}; tubes: {', '.join(known) or 'none'}")
        return self.tubes.get(name)

    def _built(
        self,
        kind: type[K],
        fields: Mapping[str, Any],
        path: tuple[str | int, ...],
        placed: bool = False,
        pending: Collection[str] = (),
    ) -> K | None:
        try:
            return kind(**{str(key): value for key, value in fields.items()})
        except ValidationError as error:
            for fault in kind.faults(error):
                message = fault.message
                if fault.field in pending and message.startswith("is needed"):
                    continue
                if message.startswith("there is no such field") and fault.path and placed:
                    known = (*kind.model_fields, *PlaceEntry.model_fields)
                    message = f"there is no such field{near(str(fault.path[-1]), known)}"
                self._fault((*path, *fault.path), message)
            return None

    def _mass(self, data: dict[str, Any], path: tuple[str | int, ...]) -> list[Item]:
        entry = self._model(MassEntry, data, path)
        if entry is None or not self._named(entry.name, path):
            return []
        return [Item(entry.name, (entry.station,), stated_mass=entry.mass)]


_STAND_IN = MeasuredTube("", (2.0,), (1.0,))

_MODELS: tuple[type[BaseModel], ...] = (TubeEntry, PlaceEntry, *in_bench_order())
_LISTS = {name for model in _MODELS for name, field in model.model_fields.items() if is_list(field)}
_LIST_UNITS = {"_mm": "mm", "_in": "in"}


def _with_units(data: Mapping[str, Any]) -> dict[str, Any]:
    """A table whose lists that carry their unit once in the key, such as `inside_mm`, carry it in every value."""
    found: dict[str, Any] = {}
    for key, value in data.items():
        unit, plain = _LIST_UNITS.get(key[-3:]), key[:-3]
        if unit and plain in _LISTS and plain not in data and not isinstance(value, list):
            found[plain] = value  # which says that a list is wanted
            continue
        if unit and isinstance(value, list) and plain not in data and plain not in found:
            found[plain] = [
                f"{item!r} {unit}" if isinstance(item, (int, float)) and not isinstance(item, bool) else item
                for item in value
            ]
        else:
            found[key] = value
    return found


def _as_written(path: tuple[str | int, ...], data: Mapping[str, Any]) -> tuple[str | int, ...]:
    """The path with a list's key as the file has it, with its unit."""
    if path and path[0] not in data:
        for suffix in _LIST_UNITS:
            if f"{path[0]}{suffix}" in data:
                return (f"{path[0]}{suffix}", *path[1:])
    return path
