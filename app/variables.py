"""What can be varied in a design file, and what each is called: `fin.semi_span`, `logger.station`, `ballast`."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from ..analysis.least_change import Axis
from ..analysis.mass import mass_properties, total
from ..analysis.rocket import Item
from ..parts.errors import FerruleError
from ..parts.kinds import NoseCone
from ..parts.params import Bounds, bounds_of, dimension_of, near
from ..parts.part import Part
from ..parts.quantity import Dimension, read, show
from .design import Design
from .entries import MotorEntry, PlacedMass, PlaceEntry, Unit
from .names import slug
from .variants import Change, Edit, NewMass, TomlPath, Variants

BALLAST = "ballast"
"""Name of the variable, and of the mass that it adds."""

_PLACED = ("payload", "hardware", "mass", "anchor", "harness", "parachute")
_TURN, _SPREAD = read("10 deg", "angle"), 2.0
"""Usual bounds where half and twice say nothing: 10 degrees on a turn of 0, two body diameters on a place."""

_SMALL = 10.0
"""Values below so many steps are changed by tenths of them [-]."""

_HEAVY = 0.5
"""Usual most of new ballast, of the rocket without a motor [-]."""


@dataclass(frozen=True, slots=True)
class Variable:
    """One value of a design file that may change.

    Attributes:
        name: what it is called.
        axis: its present value, its usual bounds, and what counts as a change of 1.
        dimension: what it measures; None for a count or a ratio.
        unit: unit in which it is shown and written; None without a dimension.
        path: where it stands in the file; None for a mass that is not there yet.
        station: where a mass is added that is not there yet [mm].
        with_it: other values that change by the same amount, with what they are now.
        of_part: name of the part that it is a size of; None for a place or a mass.
    """

    name: str
    axis: Axis
    dimension: Dimension | None
    unit: str | None
    path: TomlPath | None
    station: float = 0.0
    with_it: tuple[tuple[TomlPath, float], ...] = ()
    of_part: str | None = None

    @property
    def is_place(self) -> bool:
        """True for a station, of which a share says nothing."""
        return self.path is not None and self.path[-1] in ("station", "aft_end")

    def shown(self, value: float) -> str:
        """A value with its unit."""
        if self.dimension is None:
            return f"{value:.9g}"
        return show(value, self.dimension, self.unit)

    def changes(self, value: float) -> tuple[Change, ...]:
        """What is to be written for a value; nothing for the present one."""
        if value == self.axis.now:
            return ()
        if self.path is None:
            return (NewMass(BALLAST, value, self.station),)
        found = [Edit(self.path, self._written(value))]
        found += [Edit(path, self._written(now + value - self.axis.now)) for path, now in self.with_it]
        return tuple(found)

    def _written(self, value: float) -> str | int | float:
        if self.dimension is not None:
            return show(value, self.dimension, self.unit)
        return round(value) if self.axis.whole else value

    def within(self, words: str) -> Variable:
        """The same with bounds such as `40 mm..90 mm`.

        Raises:
            FerruleError: they cannot be read, or the present value is not within them.
        """
        low, dots, high = words.partition("..")
        if not dots:
            raise FerruleError(f'--vary {self.name}: {words!r} are no bounds; write "LEAST..MOST", each with its unit')
        try:
            bounds = [read(one.strip(), self.dimension) if self.dimension else float(one) for one in (low, high)]
        except ValueError as error:
            raise FerruleError(f"--vary {self.name}: {error}") from None
        if not all(map(math.isfinite, bounds)):
            raise FerruleError(f"--vary {self.name}: {words!r} are no bounds; give two finite values")
        if not bounds[0] <= self.axis.now <= bounds[1]:
            raise FerruleError(
                f"--vary {self.name}: it is {self.shown(self.axis.now)} now, which is not within {words}; "
                "give bounds with the present value in them"
            )
        return replace(self, axis=replace(self.axis, low=bounds[0], high=bounds[1]))


def variables(variants: Variants, design: Design) -> dict[str, Variable]:
    """Everything that can be varied, by name, as the file has it.

    Args:
        variants: the file.
        design: the design as it stands.
    """
    found = (*_parts(variants.tables, design), *_placed(variants.tables, design), *_motors(variants.tables, design))
    return {one.name: one for one in found}


def known(name: str, names: Mapping[str, Variable]) -> Variable:
    """A variable by its name; that of its part may be written as in the file.

    Raises:
        FerruleError: there is none.
    """
    thing, dot, size = name.strip().rpartition(".")
    plain = f"{slug(thing)}.{size.strip().replace('-', '_')}" if dot else name.strip()
    if plain in names:
        return names[plain]
    close = near(plain, names)
    own = [one for one in names if one.startswith(f"{slug(thing)}.")] if dot else []
    if own:
        raise FerruleError(f"--vary: there is nothing called {name!r}{close}; of it may be varied: {', '.join(own)}")
    things = dict.fromkeys(one.partition(".")[0] for one in names)
    raise FerruleError(f"--vary: there is nothing called {name!r}{close}; write NAME.SIZE, of {', '.join(things)}")


def ballast(variants: Variants, design: Design, at: float | None = None) -> Variable:
    """The ballast of a design: what is there by that name, else what its nose has room for, else a new mass.

    Args:
        variants: the file.
        design: the design as it stands.
        at: where a new mass would lie, nose tip to its centre of gravity [mm]; None where the nose says it.

    Raises:
        FerruleError: nothing says where it would lie, or two things do.
    """
    named = [name for name in names_in(variants.tables) if slug(name) == BALLAST]
    there = variables(variants, design).get(f"{BALLAST}.mass")
    if at is not None and named:
        raise FerruleError("--ballast-at: there is ballast in the design already; leave this out, or vary its station")
    bare = total(design.rocket)
    most = float(round(_HEAVY * bare.mass)) if bare else 500.0
    scale = bare.mass if bare else 1000.0
    if there:
        return replace(there, axis=replace(there.axis, high=max(there.axis.high, most), scale=scale))
    if at is None:
        nose = next((item for item in design.rocket.items if isinstance(item.part, NoseCone)), None)
        if nose is None or not isinstance(nose.part, NoseCone):
            raise FerruleError(_NOWHERE)
        names = variables(variants, design)
        if nose.part.rod_size is not None:
            count = names[f"{slug(nose.name)}.washer_count"]
            most = _most(NoseCone, "washer_count", 200.0)
            return replace(count, axis=replace(count.axis, low=0.0, high=most, scale=20.0))
        if nose.part.pocket_diameter is None:
            raise FerruleError(_NOWHERE)
        path = _path_of(variants.tables, nose.name)
        now = nose.part.ballast_mass or 0.0
        return Variable(
            BALLAST, Axis(now, 0.0, most, scale, 1.0), "mass", "g", (*path, "ballast_mass"), of_part=nose.name
        )
    return Variable(BALLAST, Axis(0.0, 0.0, most, scale, 1.0), "mass", "g", None, at)


_NOWHERE = (
    'ballast: the nose states no rod and no pocket for it; say where it would lie, such as --ballast-at "120 mm" '
    "from the nose tip"
)


def case_mass(tables: Mapping[str, Any], number: int, entry: MotorEntry) -> Variable:
    """The mass of a motor, loaded and empty alike: a heavier case, or another maker's scale."""
    name = f"{slug(str(tables['motor'][number].get('name')))}.mass"
    axis = Axis(entry.loaded_mass, 0.0, 2.0 * entry.loaded_mass, entry.loaded_mass, 1.0)
    beside = ((("motor", number, "empty_mass"), entry.empty_mass),)
    return Variable(name, axis, "mass", "g", ("motor", number, "loaded_mass"), with_it=beside)


# --- by table ---------------------------------------------------------------------------------------------------------


def _parts(tables: Mapping[str, Any], design: Design) -> Iterator[Variable]:
    items = {item.name: item for item in design.rocket.items}
    for number, entry in enumerate(tables.get("part", ())):
        item = items.get(str(entry.get("name")))
        if item is None or item.part is None:
            continue
        path, head = ("part", number), slug(item.name)
        if "station" in entry:
            yield _place(f"{head}.station", item.stations[0], (*path, "station"), design)
        if item.part.spaced_round:
            yield Variable(f"{head}.count", _count(item.count, PlaceEntry, "count"), None, None, (*path, "count"))
        yield from _sizes(item, item.part, head, path, design)


def _sizes(item: Item, part: Part, head: str, path: TomlPath, design: Design) -> Iterator[Variable]:
    kind = type(part)
    for name, model_field in kind.model_fields.items():
        value = getattr(part, name)
        dimension = dimension_of(model_field)
        # What follows from the tubes is measured, and no one's to choose.
        if name == "density" or name in design.derived.get(item.name, {}):
            continue
        if isinstance(value, bool) or not isinstance(value, int | float):
            continue
        if isinstance(value, int):
            axis = _count(value, kind, name)
        else:
            axis = _axis(value, dimension, bounds_of(model_field), design)
        yield Variable(
            f"{head}.{name}", axis, dimension, _unit(dimension, design.settings.units), (*path, name), of_part=item.name
        )


def _placed(tables: Mapping[str, Any], design: Design) -> Iterator[Variable]:
    for table in _PLACED:
        entries = {one.name: one for one in design.entries.get(table, ()) if isinstance(one, PlacedMass)}
        for number, written in enumerate(tables.get(table, ())):
            entry = entries.get(str(written.get("name")))
            if entry is None:
                continue
            path, head = (table, number), slug(entry.name)
            yield _place(f"{head}.station", entry.station, (*path, "station"), design)
            if entry.mass is not None:
                axis = _axis(entry.mass, "mass", Bounds(above=0.0), design)
                yield Variable(f"{head}.mass", axis, "mass", "g", (*path, "mass"))


def _motors(tables: Mapping[str, Any], design: Design) -> Iterator[Variable]:
    for number, motor in enumerate(design.motors):
        if number < len(tables.get("motor", ())):
            yield _place(f"{slug(motor.name)}.aft_end", motor.aft_end, ("motor", number, "aft_end"), design)


def _place(name: str, now: float, path: TomlPath, design: Design) -> Variable:
    """A station: it counts against the body's diameter, since where the nose tip lies says nothing of a change."""
    wide = design.rocket.reference_diameter or 100.0
    axis = Axis(now, max(now - _SPREAD * wide, 0.0), now + _SPREAD * wide, wide, _step("length", design))
    return Variable(name, axis, "length", design.settings.units, path)


def _axis(now: float, dimension: Dimension | None, bounds: Bounds, design: Design) -> Axis:
    step = _step(dimension, design, now)
    if now:
        low, high, scale = *sorted((now / 2.0, 2.0 * now)), abs(now)
    else:
        wide = {"length": design.rocket.reference_diameter or 100.0, "angle": _TURN}.get(dimension or "", 1.0)
        low, high, scale = -wide, wide, wide
    least = [bounds.least, None if bounds.above is None else bounds.above + step / 10.0]
    most = [bounds.most, None if bounds.below is None else bounds.below - step / 10.0]
    low = max(low, *(one for one in least if one is not None), -float("inf"))
    high = min(high, *(one for one in most if one is not None), float("inf"))
    return Axis(now, min(low, now), max(high, now), scale, step)


def _count(now: int, model: type[Part | PlaceEntry], name: str) -> Axis:
    bounds = bounds_of(model.model_fields[name])
    low = max(now // 2, bounds.least or 0.0)
    return Axis(now, low, min(max(2 * now, now + 10), _most(model, name, 1e6)), max(now, 1), 1.0, whole=True)


def _most(model: type[Part | PlaceEntry], name: str, usual: float) -> float:
    most = bounds_of(model.model_fields[name]).most
    return usual if most is None else most


def _step(dimension: Dimension | None, design: Design, now: float = 100.0) -> float:
    """What a builder can make: a tenth of a millimetre or a hundredth of an inch, a gram, a tenth of a degree.

    A tenth of that for what is small itself, such as a gap of a quarter of a millimetre.
    """
    if dimension == "length":
        usual = read("0.1 mm" if design.settings.units == "mm" else "0.01 in", "length")
    else:
        usual = {"mass": 1.0, "angle": read("0.1 deg", "angle")}.get(dimension or "", 0.01)
    return usual if abs(now) >= _SMALL * usual or not now else usual / 10.0


def _unit(dimension: Dimension | None, units: Unit) -> str | None:
    return {"length": units, "mass": "g", "angle": "deg"}.get(dimension or "")


def names_in(tables: Mapping[str, Any]) -> Iterator[str]:
    """What the things in a design file are called."""
    for entries in tables.values():
        if isinstance(entries, list):
            yield from (str(one.get("name")) for one in entries if isinstance(one, dict))


def _path_of(tables: Mapping[str, Any], name: str) -> TomlPath:
    return next(("part", number) for number, one in enumerate(tables["part"]) if one.get("name") == name)


# --- what was weighed -------------------------------------------------------------------------------------------------


def unweighed(variants: Variants, design: Design, variable: Variable) -> tuple[Edit, ...]:
    """Changes that make a density of what a part weighed, where a variable changes its shape.

    What the scale said holds for the part as it is; one of another size weighs by its volume.

    Raises:
        FerruleError: its materials do not let it.
    """
    if variable.of_part is None or variable.path is None:
        return ()
    item = next(one for one in design.rocket.items if one.name == variable.of_part)
    table: TomlPath = variable.path[:-1]
    if not item.weighed or item.stated_mass is None or not _reshapes(variants, item, variable):
        return ()
    # A mass of `[[weighed]]` is none of the part's table; it leaves with the shape that it was weighed for.
    path: TomlPath = (*table, "mass")
    without = (Edit(path, None),) if path in variants.places else ()
    trial = variants.design((*without, Edit((*table, "density"), "1 g/cm3")))
    light = mass_properties(next(one for one in trial.rocket.items if one.name == item.name))
    if light is None:
        raise FerruleError(f"{item.name}: its mass was weighed, and no density follows from it; leave `mass` out")
    density = read("1 g/cm3", "density") * item.stated_mass / light.mass
    found = (*without, Edit((*table, "density"), show(density, "density")))
    again = mass_properties(next(one for one in variants.design(found).rocket.items if one.name == item.name))
    if again is None or abs(again.mass / item.stated_mass - 1.0) > 1e-3:
        raise FerruleError(f"{item.name}: its mass was weighed, and it is of several materials; leave `mass` out")
    return found


def _reshapes(variants: Variants, item: Item, variable: Variable) -> bool:
    """Whether the part has another shape with another value; what it carries changes none."""
    for value in (variable.axis.now + variable.axis.step, variable.axis.now - variable.axis.step):
        if variable.axis.low <= value <= variable.axis.high:
            try:
                other = variants.design(variable.changes(value))
            except FerruleError:
                continue
            changed = next(one for one in other.rocket.items if one.name == item.name)
            return bool(changed.part and item.part and changed.part.shape() != item.part.shape())
    return True
