"""`ferrule weigh`: takes masses and balance points into the design file, and says what they change of the margin."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TypeVar

from ..analysis.balance_test import ALLOWANCES, predicted_properties, rocket_state
from ..analysis.loading import Loading
from ..analysis.motor import Motor
from ..analysis.rocket import Item
from ..analysis.weighed_items import compared, piece_state
from ..parts.errors import DesignError, FerruleError, QuantityError
from ..parts.params import near
from ..parts.quantity import Dimension, parse
from .design import Design
from .design_file import parse as parse_design
from .lengths import Lengths
from .machine_file import load_machines
from .measured_tables import Table, save, with_table
from .summary import failed_checks, summary
from .toml_text import text_of

Ask = Callable[[str], str]
"""Shows words and gives back what a person answers."""
Say = Callable[[str], None]

Made = TypeVar("Made")

WHOLE = "mass=600 g, CG=450 mm, motor=NAME"
"""How a balance test is given."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """What became of a design by weighing.

    Attributes:
        lines: what was taken and what it changes, in words.
        failed: names of the checks that fail now.
    """

    lines: tuple[str, ...]
    failed: tuple[str, ...]


def weigh(
    file: Path,
    sets: Sequence[str],
    balances: Sequence[str],
    date: str | None = None,
    ask: Ask | None = None,
    say: Say = print,
) -> Weighed:
    """Take measurements into a design file; its comments and everything else in it stay.

    Args:
        file: the design file.
        sets: each `NAME=MASS`, of several alike `NAME=MASS, MASS, MASS`, with `CG=LENGTH` behind it where the part was
            balanced.
        balances: each `mass=MASS, CG=LENGTH` of the whole rocket, with `motor=NAME` where a loaded one was in it.
        date: written beside each, as it shall be printed.
        ask: asks for what is not measured yet, where neither is given; None where nobody is there to answer.
        say: told what is asked for, and what is wrong with an answer.

    Raises:
        FerruleError: a value is wrong, there is nothing to ask at, or the file cannot be changed; it stays as it is.
    """
    text = text_of(file)
    bench = _Bench(file, text, date)
    if sets or balances:
        for table in _told(bench, sets, balances):
            bench.take(table)
    elif ask is None:
        raise FerruleError(
            "there is no terminal to ask at: give what was measured as --set 'NAME=12.3 g' or as "
            f"--balance '{WHOLE.removesuffix(', motor=NAME')}'"
        )
    else:
        _Walk(bench, ask, say).run()
    if not bench.taken:
        return Weighed((f"Nothing was entered; {file} stays as it is.",), ())
    after = bench.read()
    save(file, text, bench.text)
    lines = [*_taken(bench, after), *_changed(bench.before, after), f"Written into {file}."]
    return Weighed(tuple(lines), failed_checks(summary(after)))


class _Bench:
    """The design file with what was measured so far; nothing is written."""

    def __init__(self, file: Path, text: str, date: str | None) -> None:
        self.file, self.text, self.date = file, text, date
        self.personal = load_machines()
        self.before = self.read()
        self.taken: list[Table] = []

    def read(self) -> Design:
        """The design as its text stands now."""
        return parse_design(self.text, self.file.name, self.file.parent, self.personal)

    def take(self, table: Table) -> None:
        """Put one measurement into the text.

        Raises:
            FerruleError: the file would not load with it; the text stays as it was.
        """
        old = self.text
        try:
            self.text = with_table(self.text, table, self.file.name)
            self.read()
        except DesignError as error:
            self.text = old
            # Lines of a text that is not in the file yet would lead nowhere.
            words = "; ".join(": ".join(filter(None, (one.field, one.message))) for one in error.problems)
            raise FerruleError(f"{words}; {self.file} stays as it is") from None
        self.taken.append(table)

    @property
    def items(self) -> Mapping[str, Item]:
        return {item.name: item for item in self.before.rocket.items}

    @property
    def motors(self) -> Mapping[str, Motor]:
        return {motor.name: motor for motor in self.before.motors}

    def of_item(self, name: str, masses: Sequence[str], balance: str | None) -> Table:
        """The table of an item on the scale.

        Raises:
            FerruleError: a value cannot be read, or there is no such item.
        """
        if name not in self.items:
            raise FerruleError(
                f"there is nothing called {name!r} that has a mass{near(name, self.items)}; there are "
                f"{', '.join(self.items)}"
            )
        item = self.items[name]
        if _states_its_mass(item):
            raise FerruleError(f"{name}: its own table states its `mass` as weighed; change it there, or take it out")
        for mass in masses:
            _above_zero(name, mass, "mass")
        if not masses:
            raise FerruleError(f"{name}: needs a mass, such as {name}=12.3 g")
        if balance is not None:
            _read(name, balance, "length")
        values: dict[str, str | list[str]] = {"mass": masses[0]} if len(masses) == 1 else {"masses": list(masses)}
        if balance is not None:
            values["balance"] = balance
        return Table("weighed", {"part": name}, values, piece_state(item), self.date)

    def of_rocket(self, mass: str, cg: str, motor: str | None) -> Table:
        """The table of the whole rocket on the scale and on an edge.

        Raises:
            FerruleError: a value cannot be read, or there is no such motor.
        """
        if motor is not None and motor not in self.motors:
            there = ", ".join(self.motors) or "none"
            raise FerruleError(f"there is no motor {motor!r}{near(motor, self.motors)}; there are {there}")
        _above_zero("mass", mass, "mass")
        _read("CG", cg, "length")
        state = rocket_state(self.before.rocket, self.motors.get(motor or ""))
        return Table("balance", {} if motor is None else {"motor": motor}, {"mass": mass, "cg": cg}, state, self.date)


def _read(name: str, value: str, dimension: Dimension) -> float:
    try:
        return parse(value, dimension)
    except QuantityError as error:
        raise FerruleError(f"{name}: {error}") from None


def _above_zero(name: str, value: str, dimension: Dimension) -> None:
    if _read(name, value, dimension) <= 0.0:
        raise FerruleError(f"{name}: must be above 0, got {value}")


def _pieces(name: str, values: str) -> list[str]:
    """Values with commas between them.

    Raises:
        FerruleError: a comma that may be a decimal one.
    """
    if re.search(r"[0-9],[0-9]", values):
        raise FerruleError(f"{name}: {values!r} has a comma between digits; write 12.3 with a point, 12.3 g, 12.4 g")
    return [piece.strip() for piece in values.split(",") if piece.strip()]


# --- as options -------------------------------------------------------------------------------------------------------


def _told(bench: _Bench, sets: Sequence[str], balances: Sequence[str]) -> Iterator[Table]:
    seen: set[str] = set()
    for option in sets:
        name, equals, values = (piece.strip() for piece in option.partition("="))
        if not equals or not name:
            raise FerruleError(f"--set: {option!r} is not NAME=MASS, such as 'nose=91 g' or 'fin=12.3 g, 12.4 g'")
        if name in seen:
            raise FerruleError(
                f"--set: {name} is given twice; give its masses at once, such as '{name}=12.3 g, 12.4 g'"
            )
        seen.add(name)
        pieces = _named("--set", partial(_pieces, name, values))
        points = [piece.partition("=")[2].strip() for piece in pieces if re.match(r"cg\s*=", piece, re.IGNORECASE)]
        masses = [piece for piece in pieces if not re.match(r"cg\s*=", piece, re.IGNORECASE)]
        if len(points) > 1:
            raise FerruleError(f"--set: {name}: CG is given twice")
        yield _named("--set", partial(bench.of_item, name, masses, points[0] if points else None))
    states: set[str | None] = set()
    for option in balances:
        found = _fields(option)
        motor = found.get("motor")
        if motor in states:
            what = "without a motor" if motor is None else f"with {motor}"
            raise FerruleError(f"--balance: the rocket {what} is given twice")
        states.add(motor)
        yield _named("--balance", partial(bench.of_rocket, found["mass"], found["cg"], motor))


def _named(option: str, make: Callable[[], Made]) -> Made:
    """What is made, with the option before any message.

    Raises:
        FerruleError: it cannot be made.
    """
    try:
        return make()
    except FerruleError as error:
        raise FerruleError(f"{option}: {error}") from None


def _fields(option: str) -> dict[str, str]:
    """`mass=..., CG=..., motor=...` by field; a motor's name may hold a comma.

    Raises:
        FerruleError: a field is missing, unknown or given twice.
    """
    found: dict[str, str] = {}
    for piece in re.split(r",\s*(?=\w+\s*=)", option):
        name, equals, value = (one.strip() for one in piece.partition("="))
        field = name.lower()
        if not equals or not value or field not in ("mass", "cg", "motor"):
            raise FerruleError(f"--balance: {piece.strip()!r} is none of mass=, CG= and motor=; write '{WHOLE}'")
        if field in found:
            raise FerruleError(f"--balance: {name} is given twice")
        found[field] = value
    for field, shown in (("mass", "mass"), ("cg", "CG")):
        if field not in found:
            raise FerruleError(f"--balance: {shown}= is needed and not stated; write '{WHOLE}'")
    return found


# --- by asking --------------------------------------------------------------------------------------------------------


class _Walk:
    """Goes through what is not measured yet and asks for it."""

    def __init__(self, bench: _Bench, ask: Ask, say: Say) -> None:
        self.bench, self.ask, self.say = bench, ask, say
        self.lengths = Lengths(bench.before.settings.units)

    def run(self) -> None:
        items = [item for item in self.bench.before.rocket.items if _is_open(item)]
        self.say(
            "Values with units, such as 91.5 g or 3.2 oz; an empty answer skips. Nothing is written before the end."
        )
        if not items:
            self.say("Every part is weighed as it is now.")
        for item in items:
            self.say(f"\n{self.words_of(item)}")
            self.until_right(partial(self.item, item))
        fresh = {test.motor for test in self.bench.before.balances if test.is_current and test.made_for is not None}
        for motor in (None, *self.bench.motors):
            if motor not in fresh:
                self.say(f"\n{self.words_of_rocket(motor)}")
                self.until_right(partial(self.rocket, motor))

    def until_right(self, question: Callable[[], Table | None]) -> None:
        while True:
            try:
                table = question()
                if table is not None:
                    self.bench.take(table)
            except FerruleError as error:
                self.say(f"  {error}")
            else:
                return

    def item(self, item: Item) -> Table | None:
        several = item.quantity > 1
        answer = self.ask("  masses, with commas between (empty: skip)" if several else "  mass (empty: skip)").strip()
        masses = _pieces(item.name, answer)
        if not masses:
            return None
        self.bench.of_item(item.name, masses, None)  # what cannot be read is said before the next question
        point = ""
        if item.part is not None:
            point = self.ask(
                f"  where {'one' if several else 'it'} balances, from {item.part.origin} (empty: skip)"
            ).strip()
        return self.bench.of_item(item.name, masses, point or None)

    def rocket(self, motor: str | None) -> Table | None:
        mass = self.ask("  mass (empty: skip)").strip()
        if not mass:
            return None
        point = self.ask("  where it balances, from the nose tip").strip()
        return self.bench.of_rocket(mass, point, motor) if point else None

    def words_of(self, item: Item) -> str:
        found, count = compared(item), item.quantity
        words = f"{item.name} ({item.kind}{f', {count} pieces' if count > 1 else ''})"
        each = " each" if count > 1 else ""
        if found.estimated is None:
            words += ": no estimate"
        else:
            words += f": estimated {found.estimated / count:.1f} g{each}"
            if found.low is not None and found.high is not None:
                words += f", usually {found.low / count:.1f} to {found.high / count:.1f} g"
        if item.weighing is not None:
            shape = "an older shape" if not item.weighing.is_current else "a shape that is not stated"
            words += f"; {item.weighing.mean:.1f} g{each} was weighed for {shape}"
        how = "Weigh each by itself" if count > 1 else "Weigh it by itself"
        brings = item.part is not None and (item.part.carried() or item.part.companions())
        return f"{words}. {how}{', without what is listed by a name of its own' if brings else ''}."

    def words_of_rocket(self, motor: str | None) -> str:
        state = "without a motor" if motor is None else f"with {motor} loaded"
        found = predicted_properties(self.bench.before.rocket, self.bench.motors.get(motor or ""))
        words = f"The whole rocket {state}"
        if found is not None:
            words += f": predicted {found.mass:.0f} g, CG {self.lengths.both(found.cg[0], 0)} from the nose tip"
        return f"{words}. Weigh it, then balance it on an edge, packed as it flies."


def _is_open(item: Item) -> bool:
    """Whether a builder is asked for it: not for glue and paint, and not for what is weighed or stated by hand."""
    if item.part is None:
        asked = item.what not in ALLOWANCES and (item.unweighed().stated_mass is None or item.unweighed().estimate)
    else:
        asked = not item.part.laid_at_the_bench and not _states_its_mass(item)
    weighing = item.weighing
    return asked and (weighing is None or weighing.made_for is None or not weighing.is_current)


def _states_its_mass(item: Item) -> bool:
    """Whether a part's own table says what the scale said."""
    return item.part is not None and item.weighed and item.stated_mass is not None and item.weighing is None


# --- what it changes --------------------------------------------------------------------------------------------------


def _taken(bench: _Bench, after: Design) -> Iterator[str]:
    names = [table.key.get("part") for table in bench.taken]
    for item in after.rocket.items:
        if item.name not in names:
            continue
        found = compared(item)
        estimated = "no estimate" if found.estimated is None else f"estimated {found.estimated:.1f} g"
        difference = "" if found.difference is None else f" ({found.difference:+.1f} %)"
        words = "; ".join((f"{estimated}, measured {found.measured:.1f} g{difference}", *found.flags))
        yield f"{item.name}: {words}"
    states = [table.key.get("motor") for table in bench.taken if table.name == "balance"]
    for one in summary(after)["balances"]:
        if one["motor"] in states:
            yield f"{one['state']}: {one['words']}"
    for motor in after.motors_by_balance:
        if states:
            yield motor.words


def _changed(before: Design, after: Design) -> Iterator[str]:
    """Mass, balance and margin of every state before and after."""
    lengths = Lengths(after.settings.units)
    for old, new in zip(before.loadings, after.loadings, strict=True):
        name = " at ".join(filter(None, (new.motor, new.name)))
        yield (
            f"{name}: mass {_mass(old)} -> {_mass(new)}, CG {_cg(old, lengths)} -> {_cg(new, lengths)}, "
            f"margin {_margin(old)} -> {_margin(new)}"
        )


def _mass(one: Loading) -> str:
    return "not stated" if one.mass is None else f"{one.mass.mass:.0f} g"


def _cg(one: Loading, lengths: Lengths) -> str:
    return "not stated" if one.mass is None else lengths.one(one.mass.cg[0])


def _margin(one: Loading) -> str:
    return "not stated" if one.margin_calibres is None else f"{one.margin_calibres:.2f} calibres"
