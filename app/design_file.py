"""Reads a design file: measured tubes, parts that fit them, motors, joints, masses; all errors at once, with lines."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from ..analysis.checks import Fits
from ..analysis.hardware_mass import hardware_mass
from ..analysis.motor import Motor
from ..analysis.recovery import locked
from ..analysis.rocket import Item, Rocket
from ..parts.errors import DesignError, FerruleError, PartError
from ..parts.fit import Derived, FitChoice, MeasuredTube, Surroundings, check_fit
from ..parts.hardware import hardware
from ..parts.kinds import Coupler, Fillet, FinCan, NoseCone, Transition, Tube, in_bench_order
from ..parts.machine import Cutter, Printer
from ..parts.params import near
from ..parts.part import Part
from ..parts.quantity import mm, read
from ..parts.tables import material, materials
from .allowance_items import whole_rocket
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
    MarginEntry,
    MassEntry,
    ParachuteEntry,
    PayloadEntry,
    PlacedMass,
    PlaceEntry,
    RailEntry,
    SettingsEntry,
    TubeEntry,
    WeighedEntry,
)
from .flight_entries import DragEntry, LaunchEntry, LoadsEntry
from .list_units import as_written, with_units
from .machine_choice import makers, own_machines, used_machines
from .machine_file import Machines, merged
from .motor_entry import read_motor
from .names import slug
from .reading import E, Path_, Reading
from .recovery_entries import read_joint, recovery_of
from .stock_entries import read_sheet, read_stock
from .toml_text import located, tables_of, text_of
from .weighings import balance_tests, weighed_rocket

K = TypeVar("K", bound=Part)

_PLACED: Mapping[str, type[PlacedMass]] = {
    "anchor": AnchorEntry,
    "harness": HarnessEntry,
    "parachute": ParachuteEntry,
    "payload": PayloadEntry,
    "hardware": HardwareEntry,
    "mass": MassEntry,
}
"""The tables of things that have mass and a place and are no parts."""

PIECES = 4_000
"""Most pieces of all parts together [-]: what is in the place of what is found for every two of them."""

_LISTS = ("tube", "part", *_PLACED, "motor", "joint", "stock", "sheet", "weighed", "balance")
_MACHINES = ("printer", "cutter")
_STATED: Mapping[str, type[Entry]] = {"rail": RailEntry, "launch": LaunchEntry, "drag": DragEntry, "loads": LoadsEntry}
"""Tables that stand once, and take part in the fingerprint where they do."""


def load(path: Path, personal: Machines | None = None) -> Design:
    """Read a design file, and the thrust tables that it names.

    Args:
        path: the file.
        personal: the machines of who works with it; none if not stated.

    Raises:
        DesignError: a file cannot be read or is wrong; it holds every problem, with line and column.
    """
    return parse(text_of(path), path.name, path.parent, personal)


def parse(
    text: str, file: str = "design", folder: Path = Path(), personal: Machines | None = None, compare: bool = True
) -> Design:
    """Read a design from the text of a design file.

    Args:
        text: TOML, format 1.
        file: name of the file for messages.
        folder: where the thrust tables lie that it names.
        personal: the machines of who works with it; none if not stated.
        compare: whether a motor must agree with its file where both state the same; not for a variant of a design, in
            which a value is moved to see what that does.

    Raises:
        DesignError: the text is wrong; it holds every problem, with line and column.
    """
    reading = _DesignReading(tables_of(text, file), folder, file, personal or Machines(), compare)
    design = reading.design()
    if reading.faults or reading.elsewhere or design is None:
        raise DesignError((*located(reading.faults, text, file), *reading.elsewhere))
    return design


class _DesignReading(Reading):
    """Goes through the tables of a file and makes the design of them."""

    def __init__(self, data: Mapping[str, Any], folder: Path, file: str, personal: Machines, compare: bool) -> None:
        super().__init__(data, folder, file)
        self.personal, self.compare = personal, compare
        self.tubes: dict[str, MeasuredTube] = {}
        self.fits: Fits = {}
        self.uses: dict[str, str] = {}
        self.derived: dict[str, Mapping[str, Derived]] = {}
        self.motor_tubes: dict[str, MeasuredTube] = {}
        self.joined: dict[frozenset[str], int] = {}
        self.sheets: dict[str, str] = {}
        self.made_on: dict[str, tuple[str, Path_]] = {}
        self.usual_printer: str | None = None
        self.own_machines = Machines()

    def design(self) -> Design | None:
        lists = {name: self.tables(name) for name in _LISTS}
        settings = self.single("settings", SettingsEntry)
        allowances = self.single("allowances", AllowancesEntry)
        for name, model in _STATED.items():
            self.single(name, model, usual=False)
        self._margin()
        own = own_machines(self)
        self.usual_printer, self.own_machines = settings.printer if settings else None, own
        head = self._head()
        items: list[Item] = []
        for index, entry in lists["tube"]:
            items += self._tube(entry, ("tube", index))
        for index, entry in _couplers_first(lists["part"]):
            items += self._part(entry, ("part", index))
        for name, placed in _PLACED.items():
            for index, entry in lists[name]:
                items += self._placed(name, placed, entry, (name, index))
        motors = [self._motor(entry, ("motor", index)) for index, entry in lists["motor"]]
        for index, entry in lists["joint"]:
            read_joint(self, entry, ("joint", index), self._parts(), self.joined)
        for index, entry in lists["stock"]:
            read_stock(self, entry, ("stock", index), self.tubes)
        for index, entry in lists["sheet"]:
            read_sheet(self, entry, ("sheet", index), self.sheets)
        weighed = self._measured("weighed", WeighedEntry, lists["weighed"])
        balanced = self._measured("balance", BalanceEntry, lists["balance"])
        recovery = recovery_of(self, self._parts())
        machines = used_machines(self, own, self.personal, settings, self.made_on)
        if head is None or settings is None or allowances is None:
            return None
        if not slug(head.name):
            self.fault(("name",), f"{head.name!r} holds no letter or digit to name files by")
        if not items and not self.tubes and not self.faults:
            self.fault((), "the design holds no tube, part or mass")
        pieces = sum(item.quantity for item in items if item.part is not None)
        if pieces > PIECES:
            self.fault(("part",), f"are {pieces} pieces in all, and a design holds at most {PIECES}")
            return None
        rocket = whole_rocket(self, head.name, items, allowances, recovery.joints)
        rocket = weighed_rocket(rocket, weighed, self.known, self.fault)
        self._weigh_tubes(rocket)
        flown = tuple(motor for motor in motors if motor)
        balances = balance_tests(rocket, flown, balanced, self.known, self.fault)
        reason = None if self.faults else locked(rocket, recovery.joints)
        if reason:
            self.fault(("joint", 0), reason)
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
            makers(self, rocket, settings, machines, self.made_on),
            {name: tuple(entry for _, entry in found) for name, found in self.entries.items()},
            balances,
        )

    # --- tables -------------------------------------------------------------------------------------------------------

    def _head(self) -> HeadEntry | None:
        """What stands at the top; by now nothing else is left but what no design has."""
        known = (*HeadEntry.model_fields, *_LISTS, *_MACHINES, "settings", "allowances", "margin", *_STATED)
        for key in [key for key in self.data if key not in HeadEntry.model_fields]:
            del self.data[key]
            self.fault((key,), f"there is no such field or table{near(key, known)}")
        return self.model(HeadEntry, self.data, ())

    def _margin(self) -> None:
        """Limits of the design's own for the margin, where they are stated."""
        own = self.single("margin", MarginEntry, usual=False)
        if own is None:
            return
        low, wanted, high = own.fail_below, own.warn_below, own.warn_above
        if wanted is not None and wanted < low:
            self.fault(("margin", "warn_below"), f"{wanted:g} calibres is below `fail_below`, {low:g}")
        if high is not None and high <= max(low, wanted or 0.0):
            self.fault(("margin", "warn_above"), f"{high:g} calibres is not above {max(low, wanted or 0.0):g}")

    # --- tubes and parts ----------------------------------------------------------------------------------------------

    def _tube(self, data: dict[str, Any], path: Path_) -> list[Item]:
        written, data = data, with_units(data, (TubeEntry,))
        entry = self.model(TubeEntry, data, path, written)
        if entry is None or not self.named(entry.name, path):
            self.refused.add(str(data.get("name")))
            return []
        try:
            measured = entry.measured()
        except PartError as error:
            field, _, rule = str(error).partition(": ")
            self.fault((*path, *as_written((field,), written)), rule)
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
                    self.fault((*path, name), "says how the vents are, and none are stated; give `vents`")
            return {}
        if entry.station is None:
            self.fault((*path, *as_written(("vents",), written)), "are stations, and the tube itself has none")
            return {}
        if entry.vent_diameter is None:
            self.fault((*path, *as_written(("vents",), written)), "need a `vent_diameter`, and it is not stated")
            return {}
        first, last = entry.station, entry.station + entry.length
        for index, vent in enumerate(entry.vents):
            if not first < vent < last:
                where = (*path, *as_written(("vents",), written), index)
                self.fault(where, f"{vent:g} mm is not on the tube, which reaches from {first:g} to {last:g} mm")
                return {}
        return {
            "hole_diameter": mm(entry.vent_diameter),
            "hole_positions": [mm(vent - first) for vent in entry.vents],
            **({} if entry.vent_roll is None else {"hole_roll": f"{entry.vent_roll!r} rad"}),
        }

    def _part(self, data: dict[str, Any], path: Path_) -> list[Item]:
        data = with_units(data, (PlaceEntry, *in_bench_order()))
        kinds = {kind.kind: kind for kind in in_bench_order()}
        place = self.model(PlaceEntry, {key: data[key] for key in data if key in PlaceEntry.model_fields}, path)
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
            self.fault(
                (*path, "kind"), f"there is no kind {place.kind!r}{near(place.kind, kinds)}; see `ferrule kinds`"
            )
            return []
        named = self.named(place.name, path)
        fits, around = self._tube_named(place.fits, (*path, "fits")), self._tube_named(place.around, (*path, "around"))
        try:
            use = self.uses.get(place.around or "")
            beside = Surroundings(fits, around, self._choice(place, stated), use)
            derived = kind.derived(frozenset(stated), beside)
        except PartError as error:
            field, _, rule = str(error).partition(": ")
            self.fault((*path, field), rule)
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
            self.fault((*path, "fits"), f"is needed and not stated (the tube that the {kind.kind} stands on)")
        if kind.on_surface:
            for field in ("fit", "process", "clearance"):
                if getattr(place, field) is not None:
                    self.fault((*path, field), f"is for what goes into or over a tube; a {kind.kind} stands on it")
        if not kind.spaced_round and place.count != 1:
            self.fault((*path, "count"), "counts the fins of a set; for several parts along the axis give `stations`")
        self.fits[place.name] = beside
        if place.made_on is not None:
            self.made_on[place.name] = (place.made_on, (*path, "made_on"))
            if kind.laid_at_the_bench:
                self.fault((*path, "made_on"), f"a {kind.kind} is laid at the bench, and made on no machine")
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
            if self.named(name, path):
                places = tuple(station + one.station for station in item.stations)
                mass = one.mass * len(places)
                found.append(Item(name, places, None, len(places), stated_mass=mass, what="hardware", estimate=True))
        return found

    def _companions(self, item: Item, path: Path_) -> list[Item]:
        """Parts that come with a part, as items of their own: a weighed part was weighed without them."""
        found: list[Item] = []
        for one in item.part.companions() if item.part else ():
            name = f"{item.name} {one.word}"
            if self.named(name, path):
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
            self.fault(
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
            self.fault((*path, "stations"), "give either station or stations")
        if len(place.stations) > 1 and kind in (NoseCone, Tube, Transition, Coupler, FinCan):
            self.fault(
                (*path, "stations"), "several alike are for parts inside or on the airframe; give each its own table"
            )
        if place.stations:
            return place.stations
        if place.station is not None:
            return (place.station,)
        if kind.kind == "nose-cone":
            return (0.0,)
        self.fault((*path, "station"), "is needed and not stated (nose tip to the part's forward end)")
        return ()

    def _tube_named(self, name: str | None, path: Path_) -> MeasuredTube | None:
        if name is not None:
            self.known(name, self.tubes, "tube", path)
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
                self.fault((*path, *fault.path), message)
            return None

    # --- masses and motors --------------------------------------------------------------------------------------------

    def _placed(self, name: str, model: type[PlacedMass], data: dict[str, Any], path: Path_) -> list[Item]:
        entry = self.entry(name, model, data, path)
        if entry is None or not self.named(entry.name, path):
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
            self.fault((*path, "item"), str(error))
            return None

    def _weigh_tubes(self, rocket: Rocket) -> None:
        """A tube has a mass for each metre, which its weighing gives as well as its own table."""
        for item in rocket.items:
            if item.weighing is not None and item.weighing.is_current and isinstance(item.part, Tube):
                self.tubes[item.name] = replace(self.tubes[item.name], mass=item.stated_mass)

    def _measured(self, name: str, model: type[E], tables: list[tuple[int, dict[str, Any]]]) -> list[tuple[int, E]]:
        """What was measured after building; it is put to the rocket once that is whole."""
        read = [(index, self.entry(name, model, data, (name, index))) for index, data in tables]
        return [(index, entry) for index, entry in read if entry is not None]

    def _motor(self, data: dict[str, Any], path: Path_) -> Motor | None:
        found = read_motor(self, data, path, self.compare)
        if found is None:
            return None
        entry, motor = found
        self.named(entry.name, path)
        tube = self._tube_named(entry.fits, (*path, "fits"))
        if tube:
            self.motor_tubes[entry.name] = tube
        return motor

    def _parts(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys((*self.tubes, *self.fits)))


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


def _couplers_first(parts: list[tuple[int, dict[str, Any]]]) -> list[tuple[int, dict[str, Any]]]:
    """The parts in an order in which what fits a coupler comes after it, wherever it stands in the file."""
    couplers = {str(entry.get("name")) for _, entry in parts if entry.get("kind") == Coupler.kind}

    def rank(one: tuple[int, dict[str, Any]]) -> int:
        _, entry = one
        return 2 if entry.get("kind") != Coupler.kind else int(str(entry.get("fits")) in couplers)

    return sorted(parts, key=rank)


_STAND_IN = MeasuredTube("", (2.0,), (1.0,))
