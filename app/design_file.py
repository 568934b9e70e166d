"""Reads a design file: measured tubes, parts that fit them, motors, joints, masses; all errors at once, with lines."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from ..analysis.allowances import glue_items, paint_item
from ..analysis.bonded_area import bonded_joints
from ..analysis.checks import Fits
from ..analysis.cut_list import cut_list
from ..analysis.hardware_mass import hardware_mass
from ..analysis.motor import Motor, Thrust, read_thrust
from ..analysis.recovery import Anchor, Harness, Joint, Parachute, Recovery, locked
from ..analysis.rocket import Item, Rocket
from ..parts.errors import DesignError, FerruleError, PartError, Problem
from ..parts.fit import Derived, FitChoice, MeasuredTube, Surroundings, check_fit
from ..parts.hardware import hardware
from ..parts.kinds import Coupler, Fillet, FinCan, NoseCone, Transition, Tube, in_bench_order
from ..parts.machine import Cutter, Printer
from ..parts.params import Fault, faults, near
from ..parts.part import Part
from ..parts.quantity import mm, read
from ..parts.tables import material, materials
from .design import Design
from .entries import (
    AllowancesEntry,
    AnchorEntry,
    BalanceEntry,
    Entry,
    FromTable,
    HardwareEntry,
    HarnessEntry,
    HeadEntry,
    JointEntry,
    MarginEntry,
    MassEntry,
    MotorEntry,
    ParachuteEntry,
    PayloadEntry,
    PlacedMass,
    PlaceEntry,
    RailEntry,
    SettingsEntry,
    SheetEntry,
    StockEntry,
    TubeEntry,
    WeighedEntry,
)
from .list_units import as_written, with_units
from .machine_file import CutterEntry, Machines, PrinterEntry, merged
from .names import slug
from .toml_text import located, tables_of, text_of
from .weighings import balance_tests, weighed_rocket

E = TypeVar("E", bound=Entry)
K = TypeVar("K", bound=Part)
Path_ = tuple[str | int, ...]

_PLACED: Mapping[str, type[PlacedMass]] = {
    "anchor": AnchorEntry,
    "harness": HarnessEntry,
    "parachute": ParachuteEntry,
    "payload": PayloadEntry,
    "hardware": HardwareEntry,
    "mass": MassEntry,
}
"""The tables of things that have mass and a place and are no parts."""

_LISTS = ("tube", "part", *_PLACED, "motor", "joint", "stock", "sheet", "weighed", "balance")
_MACHINES = ("printer", "cutter")


def load(path: Path, personal: Machines | None = None) -> Design:
    """Read a design file, and the thrust tables that it names.

    Args:
        path: the file.
        personal: the machines of who works with it; none if not stated.

    Raises:
        DesignError: a file cannot be read or is wrong; it holds every problem, with line and column.
    """
    return parse(text_of(path), path.name, path.parent, personal)


def parse(text: str, file: str = "design", folder: Path = Path(), personal: Machines | None = None) -> Design:
    """Read a design from the text of a design file.

    Args:
        text: TOML, format 1.
        file: name of the file for messages.
        folder: where the thrust tables lie that it names.
        personal: the machines of who works with it; none if not stated.

    Raises:
        DesignError: the text is wrong; it holds every problem, with line and column.
    """
    reading = _Reading(tables_of(text, file), folder, file, personal or Machines())
    design = reading.design()
    if reading.faults or reading.elsewhere or design is None:
        raise DesignError((*located(reading.faults, text, file), *reading.elsewhere))
    return design


class _Reading:
    """Goes through the tables of a file and collects what it finds, good and bad."""

    def __init__(self, data: Mapping[str, Any], folder: Path, file: str, personal: Machines) -> None:
        self.data, self.folder, self.file, self.personal = dict(data), folder, file, personal
        self.faults: list[Fault] = []
        self.elsewhere: list[Problem] = []
        self.tubes: dict[str, MeasuredTube] = {}
        self.fits: Fits = {}
        self.uses: dict[str, str] = {}
        self.derived: dict[str, Mapping[str, Derived]] = {}
        self.names: dict[str, str] = {}
        self.refused: set[str] = set()
        self.entries: dict[str, list[tuple[int, Entry]]] = {}
        self.motor_tubes: dict[str, MeasuredTube] = {}
        self.joined: dict[frozenset[str], int] = {}
        self.sheets: dict[str, str] = {}
        self.made_on: dict[str, tuple[str, Path_]] = {}
        self.usual_printer: str | None = None
        self.own_machines = Machines()

    def design(self) -> Design | None:
        lists = {name: self._tables(name) for name in _LISTS}
        settings = self._single("settings", SettingsEntry)
        allowances = self._single("allowances", AllowancesEntry)
        self._rail()
        self._margin()
        own = Machines(self.file, self._machines("printer", PrinterEntry), self._machines("cutter", CutterEntry))
        self.usual_printer, self.own_machines = settings.printer if settings else None, own
        head = self._head()
        items: list[Item] = []
        for index, entry in lists["tube"]:
            items += self._tube(entry, ("tube", index))
        for index, entry in _couplers_first(lists["part"]):
            items += self._part(entry, ("part", index))
        for name, model in _PLACED.items():
            for index, entry in lists[name]:
                items += self._placed(name, model, entry, (name, index))
        motors = [self._motor(entry, ("motor", index)) for index, entry in lists["motor"]]
        for index, entry in lists["joint"]:
            self._joint(entry, ("joint", index))
        for index, entry in lists["stock"]:
            self._stock(entry, ("stock", index))
        for index, entry in lists["sheet"]:
            self._sheet(entry, ("sheet", index))
        weighed = self._measured("weighed", WeighedEntry, lists["weighed"])
        balanced = self._measured("balance", BalanceEntry, lists["balance"])
        recovery = self._recovery()
        machines = self._used_machines(own, settings)
        if head is None or settings is None or allowances is None:
            return None
        if not slug(head.name):
            self._fault(("name",), f"{head.name!r} holds no letter or digit to name files by")
        if not items and not self.tubes and not self.faults:
            self._fault((), "the design holds no tube, part or mass")
        rocket = self._rocket(head.name, items, allowances, recovery.joints)
        rocket = weighed_rocket(rocket, weighed, self._known, self._fault)
        self._weigh_tubes(rocket)
        flown = tuple(motor for motor in motors if motor)
        balances = balance_tests(rocket, flown, balanced, self._known, self._fault)
        reason = None if self.faults else locked(rocket, recovery.joints)
        if reason:
            self._fault(("joint", 0), reason)
        return Design(
            head,
            settings,
            rocket,
            self.fits,
            self.tubes,
            self.derived,
            flown,
            self.motor_tubes,
            recovery,
            allowances,
            {name: one for name, one in machines.items() if isinstance(one, Printer)},
            {name: one for name, one in machines.items() if isinstance(one, Cutter)},
            self._makers(rocket, settings, machines),
            {name: tuple(entry for _, entry in found) for name, found in self.entries.items()},
            balances,
        )

    # --- tables -------------------------------------------------------------------------------------------------------

    def _tables(self, name: str) -> list[tuple[int, dict[str, Any]]]:
        found = self.data.pop(name, [])
        if not isinstance(found, list) or not all(isinstance(entry, dict) for entry in found):
            self._fault((name,), f"write each {name} as a table of its own, headed [[{name}]]")
            found = []
        return list(enumerate(found))

    def _head(self) -> HeadEntry | None:
        """What stands at the top; by now nothing else is left but what no design has."""
        known = (*HeadEntry.model_fields, *_LISTS, *_MACHINES, "settings", "allowances", "rail", "margin")
        for key in [key for key in self.data if key not in HeadEntry.model_fields]:
            del self.data[key]
            self._fault((key,), f"there is no such field or table{near(key, known)}")
        return self._model(HeadEntry, self.data, ())

    def _single(self, name: str, model: type[E]) -> E | None:
        found = self.data.pop(name, {})
        if not isinstance(found, dict):
            self._fault((name,), f"write the {name} as one table, headed [{name}]")
            return None
        return self._model(model, found, (name,))

    def _rail(self) -> None:
        """The rail, where one is stated; a design without it keeps its fingerprint."""
        stated = "rail" in self.data
        rail = self._single("rail", RailEntry)
        if stated and rail is not None:
            self.entries["rail"] = [(0, rail)]

    def _margin(self) -> None:
        """Limits of the design's own for the margin, where they are stated."""
        stated = "margin" in self.data
        own = self._single("margin", MarginEntry) if stated else None
        if own is None:
            return
        self.entries["margin"] = [(0, own)]
        low, wanted, high = own.fail_below, own.warn_below, own.warn_above
        if wanted is not None and wanted < low:
            self._fault(("margin", "warn_below"), f"{wanted:g} calibres is below `fail_below`, {low:g}")
        if high is not None and high <= max(low, wanted or 0.0):
            self._fault(("margin", "warn_above"), f"{high:g} calibres is not above {max(low, wanted or 0.0):g}")

    def _machines(self, name: str, model: type[E]) -> dict[str, E]:
        found = self.data.pop(name, {})
        if not isinstance(found, dict) or not all(isinstance(one, dict) for one in found.values()):
            self._fault((name,), f"write each {name} as a table with its name, headed [{name}.NAME]")
            return {}
        read = {key: self._model(model, one, (name, key)) for key, one in found.items()}
        return {key: one for key, one in read.items() if one is not None}

    def _used_machines(self, own: Machines, settings: SettingsEntry | None) -> dict[str, Printer | Cutter]:
        """The machines of the file, and of the personal ones those that it names; each with what both files say."""
        for name in set(own.printers) & set(own.cutters):
            self._fault(("cutter", name), f"{name!r} is a printer already; give each machine a name of its own")
        wanted = {name for name, _ in self.made_on.values()} | set(own.printers) | set(own.cutters)
        if settings:
            wanted |= {name for name in (settings.printer, settings.cutter) if name is not None}
        personal = Machines(
            self.personal.file,
            {name: one for name, one in self.personal.printers.items() if name in wanted},
            {name: one for name, one in self.personal.cutters.items() if name in wanted},
        )
        try:
            both = merged(personal, own)
        except DesignError as error:
            for problem in error.problems:
                self._fault(tuple((problem.field or "").split(".")), problem.message)
            return {}
        found: dict[str, Printer | Cutter] = {name: one.machine for name, one in both.printers.items()}
        return found | {name: one.machine for name, one in both.cutters.items()}

    def _makers(
        self, rocket: Rocket, settings: SettingsEntry, machines: Mapping[str, Printer | Cutter]
    ) -> dict[str, Printer | Cutter]:
        """The machine that each part's files are made for."""
        usual: dict[type, Printer | Cutter] = {}
        for field, kind, what in (("printer", Printer, "printer"), ("cutter", Cutter, "cutter")):
            name = getattr(settings, field)
            if name is not None:
                known = [one for one, machine in machines.items() if isinstance(machine, kind)]
                if self._known(name, known, what, ("settings", field)):
                    usual[kind] = machines[name]
        found: dict[str, Printer | Cutter] = {}
        for item in rocket.items:
            if item.part is None or item.kind == "tube" or item.part.laid_at_the_bench:
                continue
            kind = Cutter if item.part.cut_outlines() else Printer
            name, path = self.made_on.get(item.name, (None, ()))
            if name is None:
                if kind in usual:
                    found[item.name] = usual[kind]
            elif self._known(name, tuple(machines), "machine", path):
                if kind is Printer and isinstance(machines[name], Cutter):
                    self._fault(path, f"{name!r} is a cutter, and a {item.kind} of this form is not cut from sheet")
                found[item.name] = machines[name]
        return found

    def _fault(self, path: Path_, message: str) -> None:
        self.faults.append(Fault(path, message))

    def _model(
        self, model: type[E], data: Mapping[str, Any], path: Path_, written: Mapping[str, Any] | None = None
    ) -> E | None:
        try:
            return model(**{str(key): value for key, value in data.items()})
        except ValidationError as error:
            for fault in faults(error, model):
                self._fault((*path, *as_written(fault.path, data if written is None else written)), fault.message)
            return None

    def _entry(self, name: str, model: type[E], data: dict[str, Any], path: Path_) -> E | None:
        """An entry that takes part in no shape, kept for what is printed."""
        entry = self._model(model, with_units(data, (model,)), path, data)
        if entry is not None:
            self.entries.setdefault(name, []).append((int(path[-1]), entry))
        return entry

    def _named(self, name: str, path: Path_) -> bool:
        short = slug(name)
        if not short:
            self._fault((*path, "name"), f"{name!r} holds no letter or digit to name files by")
        elif short in _TAKEN:
            self._fault((*path, "name"), f"{name!r} is what another file of the design is called; take another name")
        elif short in self.names:
            self._fault((*path, "name"), f"{name!r} and {self.names[short]!r} would have the same file name")
        else:
            self.names[short] = name
            return True
        return False

    def _known(self, name: str, known: Collection[str], what: str, path: Path_) -> bool:
        """Whether a name is that of something in the file; what was refused is not said twice."""
        if name in known or name in self.refused:
            return True
        there = f"; there {'are' if len(known) > 1 else 'is'} {', '.join(known) or 'none'}"
        self._fault(path, f"there is no {what} {name!r}{near(name, known)}{there}")
        return False

    # --- tubes and parts ----------------------------------------------------------------------------------------------

    def _tube(self, data: dict[str, Any], path: Path_) -> list[Item]:
        written, data = data, with_units(data, (TubeEntry,))
        entry = self._model(TubeEntry, data, path, written)
        if entry is None or not self._named(entry.name, path):
            self.refused.add(str(data.get("name")))
            return []
        try:
            measured = entry.measured()
        except PartError as error:
            field, _, rule = str(error).partition(": ")
            self._fault((*path, *as_written((field,), written)), rule)
            self.refused.add(entry.name)
            return []
        self.tubes[entry.name], self.uses[entry.name] = measured, entry.use
        fields = {
            "outside_diameter": mm(measured.mean_outside),
            "inside_diameter": mm(measured.mean_inside),
            "length": mm(entry.length),
            "use": entry.use,
            **self._vents(entry, path, written),
        }
        fields |= {key: data[key] for key in ("material", "density") if key in data}
        part = self._built(Tube, fields, path)
        if part is None or entry.station is None:
            return []
        return [Item(entry.name, (entry.station,), part, 1, 0.0, entry.mass, True)]

    def _vents(self, entry: TubeEntry, path: Path_, written: Mapping[str, Any]) -> dict[str, Any]:
        """The drilled holes of a tube, by their distance from its forward end."""
        if not entry.vents:
            for name in ("vent_diameter", "vent_roll"):
                if getattr(entry, name) is not None:
                    self._fault((*path, name), "says how the vents are, and none are stated; give `vents`")
            return {}
        if entry.station is None:
            self._fault((*path, *as_written(("vents",), written)), "are stations, and the tube itself has none")
            return {}
        if entry.vent_diameter is None:
            self._fault((*path, *as_written(("vents",), written)), "need a `vent_diameter`, and it is not stated")
            return {}
        first, last = entry.station, entry.station + entry.length
        for index, vent in enumerate(entry.vents):
            if not first < vent < last:
                where = (*path, *as_written(("vents",), written), index)
                self._fault(where, f"{vent:g} mm is not on the tube, which reaches from {first:g} to {last:g} mm")
                return {}
        return {
            "hole_diameter": mm(entry.vent_diameter),
            "hole_positions": [mm(vent - first) for vent in entry.vents],
            **({} if entry.vent_roll is None else {"hole_roll": f"{entry.vent_roll!r} rad"}),
        }

    def _part(self, data: dict[str, Any], path: Path_) -> list[Item]:
        data = with_units(data, (PlaceEntry, *in_bench_order()))
        kinds = {kind.kind: kind for kind in in_bench_order()}
        place = self._model(PlaceEntry, {key: data[key] for key in data if key in PlaceEntry.model_fields}, path)
        stated = {key: value for key, value in data.items() if key not in PlaceEntry.model_fields}
        if place is None:
            self.refused.add(str(data.get("name")))
            # What is wrong with the fields of the kind is said in the same breath.
            known = kinds.get(str(data.get("kind")))
            if known:
                tubes = (_STAND_IN if "fits" in data else None, _STAND_IN if "around" in data else None)
                self._built(known, stated, path, True, known.derived(frozenset(stated), Surroundings(*tubes)))
            return []
        kind = kinds.get(place.kind)
        if kind is None:
            self.refused.add(place.name)
            self._fault(
                (*path, "kind"), f"there is no kind {place.kind!r}{near(place.kind, kinds)}; see `ferrule kinds`"
            )
            return []
        named = self._named(place.name, path)
        fits, around = self._tube_named(place.fits, (*path, "fits")), self._tube_named(place.around, (*path, "around"))
        try:
            use = self.uses.get(place.around or "")
            beside = Surroundings(fits, around, self._choice(place, stated), use)
            derived = kind.derived(frozenset(stated), beside)
        except PartError as error:
            field, _, rule = str(error).partition(": ")
            self._fault((*path, field), rule)
            self.refused.add(place.name)
            return []
        # What would follow from a tube that is named and not known is not missing: the tube is the fault.
        pending = set(
            kind.derived(
                frozenset(stated),
                Surroundings(_STAND_IN if place.fits else None, _STAND_IN if place.around else None, around_use=use),
            )
        ).difference(derived)
        fields = {**{key: mm(size.value) for key, size in derived.items()}, **stated}
        if kind is NoseCone:
            fields = dict(self._for_printer(place, fields, derived, path))
        elif kind is FinCan:
            fields = dict(self._in_pieces(self._printer(place), fields, derived))
        part = self._built(kind, fields, path, True, pending)
        stations = self._stations(place, kind, path)
        if part is None or not stations or not named:
            self.refused.add(place.name)
            return []
        radius = fits.mean_outside / 2.0 if fits and kind.on_surface else 0.0
        if isinstance(part, Fillet):
            radius = part.surface_diameter / 2.0
        if kind.on_surface and place.fits is None:
            self._fault((*path, "fits"), f"is needed and not stated (the tube that the {kind.kind} stands on)")
        if kind.on_surface:
            for field in ("fit", "process", "clearance"):
                if getattr(place, field) is not None:
                    self._fault((*path, field), f"is for what goes into or over a tube; a {kind.kind} stands on it")
        if not kind.spaced_round and place.count != 1:
            self._fault((*path, "count"), "counts the fins of a set; for several parts along the axis give `stations`")
        self.fits[place.name] = beside
        if place.made_on is not None:
            self.made_on[place.name] = (place.made_on, (*path, "made_on"))
            if kind.laid_at_the_bench:
                self._fault((*path, "made_on"), f"a {kind.kind} is laid at the bench, and made on no machine")
        if isinstance(part, Coupler):
            self.tubes[place.name] = MeasuredTube(place.name, (part.outside_diameter,), (part.inside_diameter,))
        self.derived[place.name] = derived
        mass = None if place.mass is None else place.mass * place.count * len(stations)
        whole = Item(place.name, stations, part, place.count, radius, mass, True)
        return [whole, *self._carried(whole, path), *self._companions(whole, path)]

    def _carried(self, item: Item, path: Path_) -> list[Item]:
        """What a part brings along, as items of their own: a weighed part was weighed without it."""
        found: list[Item] = []
        for one in item.part.carried() if item.part else ():
            name = f"{item.name} {one.word}"
            if self._named(name, path):
                places = tuple(station + one.station for station in item.stations)
                mass = one.mass * len(places)
                found.append(Item(name, places, None, len(places), stated_mass=mass, what="hardware", estimate=True))
        return found

    def _companions(self, item: Item, path: Path_) -> list[Item]:
        """Parts that come with a part, as items of their own: a weighed part was weighed without them."""
        found: list[Item] = []
        for one in item.part.companions() if item.part else ():
            name = f"{item.name} {one.word}"
            if self._named(name, path):
                places = tuple(station + one.position for station in item.stations)
                found.append(Item(name, places, one.part, item.count, one.radius, beside=item))
        return found

    def _for_printer(
        self, place: PlaceEntry, fields: Mapping[str, Any], derived: dict[str, Derived], path: Path_
    ) -> Mapping[str, Any]:
        """The fields of a nose, with the height of its sections where it is taller than its printer.

        The printer is the one that the part or the settings name, else the tallest of the file.
        """
        printer = self._printer(place)
        made_of = fields.get("material")
        cut = isinstance(made_of, str) and made_of in materials() and not material(made_of).is_plastic
        if printer is None or cut or "section_height" in fields or fields.get("joint_stations"):
            return fields
        base, tall = _length(fields, "base_diameter"), _length(fields, "length") + _length(fields, "shoulder_length")
        named = bool(place.made_on or self.usual_printer)
        if named and base > min(printer.width, printer.depth):
            self._fault(
                (*path, "base_diameter"),
                f"{base:g} mm does not stand on the bed of {printer.name}, {printer.width:g} x {printer.depth:g} mm; "
                "name a printer with a wider one",
            )
        usable = printer.height - HEADROOM
        if tall <= usable or usable <= 0.0:
            return fields
        in_sections = {**fields, "section_height": mm(usable)}
        if not named and not _can_be(NoseCone, in_sections):
            return fields  # nobody says that it is printed on that one; a check says that it has no room there
        derived["section_height"] = Derived(usable, _under_the_top(printer))
        return in_sections

    def _in_pieces(
        self, printer: Printer | None, fields: Mapping[str, Any], derived: dict[str, Derived]
    ) -> Mapping[str, Any]:
        """The fields of a fin can, in sectors where it is wider than the bed, in sections where it is too tall."""
        if printer is None or not _can_be(FinCan, fields):
            return fields
        can, found, sums = FinCan.build(**fields), dict(fields), dict[str, Derived]()
        count = can.sectors_for(printer.width, printer.depth)
        if "sectors" not in fields and count is not None and count > 1:
            bed = f"bed of the printer {printer.name}, {printer.width:g} x {printer.depth:g} mm"
            found["sectors"] = count
            sums["sectors"] = Derived(count, f"{bed}: {count} sectors are the fewest that go on it")
        first, last = can.extent()
        usable = printer.height - HEADROOM
        if "section_height" not in fields and 0.0 < usable < last - first:
            found["section_height"] = mm(usable)
            sums["section_height"] = Derived(usable, _under_the_top(printer))
        if not _can_be(FinCan, found):
            return fields  # a check says that it has no room there
        derived.update(sums)
        return found

    def _printer(self, place: PlaceEntry) -> Printer | None:
        """The printer that a part is printed on, as far as it is known by now."""
        name, own = place.made_on or self.usual_printer, self.own_machines
        wanted = {name} if name else set(own.printers)
        sides = (self.personal, own)
        personal, stated = (
            Machines(one.file, {key: entry for key, entry in one.printers.items() if key in wanted}, {})
            for one in sides
        )
        try:
            found = [one.machine for one in merged(personal, stated).printers.values()]
        except DesignError:
            return None  # what is wrong with the machine is said where the machines are read
        return max(found, key=lambda one: one.height, default=None)

    def _choice(self, place: PlaceEntry, stated: Mapping[str, Any]) -> FitChoice:
        """How a part is to fit; its material counts where it is known and the fit or the process is chosen."""
        check_fit(place.fit)
        named = stated.get("material")
        known = isinstance(named, str) and named in materials()
        chosen = known and (place.fit or place.process)
        return FitChoice(place.fit, place.process, place.clearance, str(named) if chosen else None)

    def _stations(self, place: PlaceEntry, kind: type[Part], path: Path_) -> tuple[float, ...]:
        if place.station is not None and place.stations:
            self._fault((*path, "stations"), "give either station or stations")
        if len(place.stations) > 1 and kind in (NoseCone, Tube, Transition, Coupler, FinCan):
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

    def _tube_named(self, name: str | None, path: Path_) -> MeasuredTube | None:
        if name is not None:
            self._known(name, self.tubes, "tube", path)
        return self.tubes.get(name or "")

    def _built(
        self,
        kind: type[K],
        fields: Mapping[str, Any],
        path: Path_,
        placed: bool = False,
        pending: Collection[str] = (),
    ) -> K | None:
        try:
            return kind(**{str(key): value for key, value in fields.items()})
        except ValidationError as error:
            for fault in kind.faults(error):
                message = fault.message
                if fault.field in pending or any(name in message for name in pending):
                    continue  # what is missing would follow from a tube, and that tube is the fault
                if message.startswith("there is no such field") and fault.path and placed:
                    known = (*kind.model_fields, *PlaceEntry.model_fields)
                    message = f"there is no such field{near(str(fault.path[-1]), known)}"
                self._fault((*path, *fault.path), message)
            return None

    def _rocket(self, name: str, items: list[Item], allowances: AllowancesEntry, joints: tuple[Joint, ...]) -> Rocket:
        """The items and the allowances in order from the nose; the order in the file changes nothing."""
        if (allowances.glue is None) != (allowances.glue_station is None):
            missing = "glue" if allowances.glue is None else "glue_station"
            self._fault(("allowances",), f"glue has a mass and a place: `{missing}` is not stated")
        elif allowances.glue is not None and allowances.glue_station is not None:
            place = (allowances.glue_station,)
            items.append(Item(self._free("glue"), place, stated_mass=allowances.glue, estimate=True, what="allowance"))
        if allowances.glue_film is not None:
            items += self._films(Rocket(name, tuple(items)), allowances.glue_film, joints)
        if allowances.paint is not None:
            self._free("paint")
            painted = paint_item(Rocket(name, tuple(items)), allowances.paint)
            if painted is None:
                self._fault(("allowances", "paint"), "there is no skin to paint: no nose, airframe tube or fins")
            else:
                items.append(painted)
        order = {item.name: item.stations[0] + (item.part.extent()[0] if item.part else 0.0) for item in items}
        return Rocket(name, tuple(sorted(items, key=lambda item: (order[item.name], item.name))))

    def _films(self, rocket: Rocket, film: float, joints: tuple[Joint, ...]) -> tuple[Item, ...]:
        """Glue on the faces of every glued joint."""
        bonded = bonded_joints(rocket, joints)
        found = glue_items(bonded, film)
        for item in found:
            self._free(item.name)
        # A joint that was refused is said where it stands.
        if not bonded and not self.faults:
            self._fault(
                ("allowances", "glue_film"),
                "no joint is glued, so there is no face for a film of glue; state each as a [[joint]] with state "
                '"glued", or leave it out',
            )
        elif not found and not self.faults:
            names = ", ".join(" to ".join(one.between) for one in bonded)
            self._fault(("allowances", "glue_film"), f"no face is found that the two of a glued joint share: {names}")
        return found

    def _free(self, name: str) -> str:
        """A name for an allowance, which must not be taken."""
        if slug(name) in self.names:
            self._fault(("allowances",), f"{name!r} is the name of something else in the design; call that otherwise")
        return name

    # --- masses, motors, recovery -------------------------------------------------------------------------------------

    def _placed(self, name: str, model: type[PlacedMass], data: dict[str, Any], path: Path_) -> list[Item]:
        entry = self._entry(name, model, data, path)
        if entry is None or not self._named(entry.name, path):
            self.refused.add(str(data.get("name")))
            return []
        count = entry.count if isinstance(entry, HardwareEntry) else 1
        tabled = self._tabled(entry, path) if isinstance(entry, FromTable) else None
        one = tabled if entry.mass is None else entry.mass
        mass = None if one is None else one * count
        estimate = entry.mass is None and mass is not None
        return [Item(entry.name, (entry.station,), None, count, stated_mass=mass, what=name, estimate=estimate)]

    def _tabled(self, entry: FromTable, path: Path_) -> float | None:
        """Mass of one piece by the hardware tables [g]; None where none is named, or where it is weighed."""
        if entry.item is None:
            return None
        try:
            found = hardware(entry.item)
            return hardware_mass(found) if entry.mass is None else None
        except FerruleError as error:
            self._fault((*path, "item"), str(error))
            return None

    def _weigh_tubes(self, rocket: Rocket) -> None:
        """A tube has a mass for each metre, which its weighing gives as well as its own table."""
        for item in rocket.items:
            if item.weighing is not None and item.weighing.is_current and isinstance(item.part, Tube):
                self.tubes[item.name] = replace(self.tubes[item.name], mass=item.stated_mass)

    def _measured(self, name: str, model: type[E], tables: list[tuple[int, dict[str, Any]]]) -> list[tuple[int, E]]:
        """What was measured after building; it is put to the rocket once that is whole."""
        read = [(index, self._entry(name, model, data, (name, index))) for index, data in tables]
        return [(index, entry) for index, entry in read if entry is not None]

    def _motor(self, data: dict[str, Any], path: Path_) -> Motor | None:
        entry = self._entry("motor", MotorEntry, data, path)
        if entry is None:
            return None
        self._named(entry.name, path)
        tube = self._tube_named(entry.fits, (*path, "fits"))
        if tube:
            self.motor_tubes[entry.name] = tube
        if entry.aft_end < entry.length:
            self._fault(
                (*path, "aft_end"),
                f"{entry.aft_end:g} mm leaves no room for a motor of {entry.length:g} mm behind the nose tip",
            )
        thrust = self._thrust(entry.thrust, (*path, "thrust"))
        try:
            return Motor(
                entry.name,
                entry.diameter,
                entry.length,
                entry.loaded_mass,
                entry.empty_mass,
                entry.aft_end,
                thrust,
                entry.loaded_cg,
                entry.empty_cg,
            )
        except PartError as error:
            field, _, rule = str(error).partition(": ")
            self._fault((*path, field), rule)
            return None

    def _thrust(self, file: str | None, path: Path_) -> Thrust | None:
        """The thrust table that a motor names; what is wrong in a line of it is said with its own line."""
        if file is None:
            return None
        try:
            return read_thrust(text_of(self.folder / file, "thrust table"))
        except DesignError as error:
            for one in error.problems:
                if one.line is None:
                    self._fault(path, f"{one.file or file}: {one.message}")
                else:
                    self.elsewhere.append(Problem(one.message, one.field, one.file or file, one.line, one.column))
        return None

    def _joint(self, data: dict[str, Any], path: Path_) -> None:
        entry = self._entry("joint", JointEntry, data, path)
        if entry is None:
            return
        for index, name in enumerate(entry.between):
            self._known(name, self._parts(), "tube or part", (*path, "between", index))
        if entry.between[0] == entry.between[1]:
            self._fault((*path, "between"), f"{entry.between[0]!r} is not joined to itself")
        if entry.state == "releases" and entry.screw_length is not None:
            self._fault(
                (*path, "screw_length"), "a joint that releases has no screws; leave it out, or state `screwed`"
            )
        before = self.joined.setdefault(frozenset(entry.between), int(path[-1]))
        if before != path[-1]:
            first, second = entry.between
            self._fault((*path, "between"), f"{first!r} and {second!r} are joined already, by joint[{before + 1}]")

    def _stock(self, data: dict[str, Any], path: Path_) -> None:
        entry = self._entry("stock", StockEntry, data, path)
        if entry is None:
            return
        pieces = {}
        for index, name in enumerate(entry.pieces):
            where = (*path, "pieces", index)
            if self._known(name, self.tubes, "tube", where) and name in self.tubes:
                length = self.tubes[name].length
                if length is None:
                    self._fault(where, f"{name!r} is a part and no tube to cut from stock")
                else:
                    pieces[name] = length
        if pieces and len(pieces) == len(entry.pieces):
            try:
                cut_list(pieces, entry.lengths, entry.kerf)
            except PartError as error:
                self._fault((*path, "lengths"), str(error))

    def _sheet(self, data: dict[str, Any], path: Path_) -> None:
        entry = self._entry("sheet", SheetEntry, data, path)
        if entry is None:
            return
        short = slug(entry.name)
        if not short:
            self._fault((*path, "name"), f"{entry.name!r} holds no letter or digit to name files by")
        elif short in self.sheets:
            self._fault((*path, "name"), f"{entry.name!r} and {self.sheets[short]!r} would have the same file name")
        self.sheets[short] = entry.name
        if 2.0 * entry.margin >= min(entry.width, entry.length):
            self._fault(
                (*path, "margin"),
                f"{entry.margin:g} mm on every side leaves nothing of {entry.length:g} x {entry.width:g} mm",
            )

    def _parts(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys((*self.tubes, *self.fits)))

    def _recovery(self) -> Recovery:
        """Joints, anchors, harnesses and parachutes, by names that are checked."""
        found = {name: self.entries.get(name, []) for name in ("joint", "anchor", "harness", "parachute")}
        anchors, harnesses = (
            [entry.name for _, entry in found[name] if isinstance(entry, PlacedMass)] for name in ("anchor", "harness")
        )
        for index, entry in found["anchor"]:
            if isinstance(entry, AnchorEntry):
                self._known(entry.on, self._parts(), "tube or part", ("anchor", index, "on"))
        for index, entry in found["harness"]:
            for place, name in enumerate(entry.anchors if isinstance(entry, HarnessEntry) else ()):
                self._known(name, anchors, "anchor", ("harness", index, "anchors", place))
        for index, entry in found["parachute"]:
            if isinstance(entry, ParachuteEntry) and entry.harness is not None:
                self._known(entry.harness, harnesses, "harness", ("parachute", index, "harness"))
        return Recovery(
            tuple(
                Joint((e.between[0], e.between[1]), e.state, e.by)
                for _, e in found["joint"]
                if isinstance(e, JointEntry)
            ),
            tuple(
                Anchor(e.name, e.on, bool(e.material) and material(e.material or "").family == "metal", e.material)
                for _, e in found["anchor"]
                if isinstance(e, AnchorEntry)
            ),
            tuple(Harness(e.name, e.anchors) for _, e in found["harness"] if isinstance(e, HarnessEntry)),
            tuple(Parachute(e.name, e.harness) for _, e in found["parachute"] if isinstance(e, ParachuteEntry)),
        )


def _under_the_top(printer: Printer) -> str:
    usable = printer.height - HEADROOM
    return f"height of the printer {printer.name} {printer.height:g} - {HEADROOM:g} (common practice) = {usable:g} mm"


def _can_be(kind: type[Part], fields: Mapping[str, Any]) -> bool:
    try:
        kind(**{str(key): value for key, value in fields.items()})
    except ValidationError:
        return False
    return True


def _length(fields: Mapping[str, Any], name: str) -> float:
    """A length as it was typed [mm]; 0 for one that is not stated or not one, which its field says by itself."""
    try:
        return float(read(fields[name], "length")) if name in fields else 0.0
    except (FerruleError, ValueError):
        return 0.0


HEADROOM = 10.0
"""What stays free under the top of a printer [mm] (common practice)."""

_TAKEN = ("side-view", "contributions", "measuring-card", "gauge")
"""Names of files that are not those of a part."""


def _couplers_first(parts: list[tuple[int, dict[str, Any]]]) -> list[tuple[int, dict[str, Any]]]:
    """The parts in an order in which what fits a coupler comes after it, wherever it stands in the file."""
    couplers = {str(entry.get("name")) for _, entry in parts if entry.get("kind") == Coupler.kind}

    def rank(one: tuple[int, dict[str, Any]]) -> int:
        _, entry = one
        return 2 if entry.get("kind") != Coupler.kind else int(str(entry.get("fits")) in couplers)

    return sorted(parts, key=rank)


_STAND_IN = MeasuredTube("", (2.0,), (1.0,))
