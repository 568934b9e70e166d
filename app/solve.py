"""`ferrule solve`: the smallest change of named values with which a design comes to what is asked of it."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ..analysis.least_change import MOST_AXES, Found, Point, Shortfalls, least_change
from ..analysis.limits import Check
from ..parts.errors import DesignError, FerruleError, WriteError
from ..parts.quantity import read
from ..parts.writers.files import replace as replace_file
from ..parts.writers.files import write_bytes
from .design import Design
from .design_file import load
from .machine_file import Machines
from .targets import Target, motor_named, read_target
from .toml_text import text_of
from .unexplained import with_unexplained
from .variables import BALLAST, Variable, ballast, known, unweighed, variables
from .variants import Change, Edit, Variants, why_not


@dataclass(frozen=True)
class Solution:
    """What came of it.

    Attributes:
        targets: what was asked for.
        variables: what might change.
        values: the value of each at the end.
        found: how the search ended.
        before: the design as it stands.
        after: the design with those values.
        carried: the same, with what a balance test found and no part explains still in it; the targets are held to it.
        changes: what is to be written for them.
        variants: the text of the file.
        stops: what keeps it from being met, in words; empty where it is met.
    """

    targets: tuple[Target, ...]
    variables: tuple[Variable, ...]
    values: Point
    found: Found
    before: Design
    after: Design
    carried: Design
    changes: tuple[Change, ...]
    variants: Variants
    stops: tuple[str, ...]

    @property
    def met(self) -> bool:
        """Whether every target is met."""
        return self.found.met

    def worse(self) -> tuple[Check, ...]:
        """Checks that fail or warn now and did not before, or did so less."""
        rank = {"pass": 0, "not-stated": 0, "warn": 1, "fail": 2}
        before = {check.name: rank[check.status] for check in self.before.checks}
        return tuple(check for check in self.after.checks if rank[check.status] > before.get(check.name, 0))

    def followed(self) -> tuple[tuple[str, str, float, float], ...]:
        """Sizes that follow from others and changed too: part, field, before and after [mm]."""
        found = []
        for name, sizes in self.after.derived.items():
            old = self.before.derived.get(name, {})
            for field, size in sizes.items():
                if field in old and abs(old[field].value - size.value) > 1e-6:
                    found.append((name, field, old[field].value, size.value))
        return tuple(found)


def solve(
    file: Path,
    targets: Sequence[str],
    vary: Sequence[str],
    ballast_at: str | None = None,
    motor: str | None = None,
    personal: Machines | None = None,
) -> Solution:
    """The smallest change of the named values that meets the targets.

    Args:
        file: the design file.
        targets: one or more, such as `margin >= 1.5`.
        vary: names of what may change, each with bounds if the usual ones will not do: `fin.semi_span=40 mm..90 mm`.
        ballast_at: where new ballast would lie, from the nose tip; a text with its unit.
        motor: the motor that is meant; all, if not stated.
        personal: the machines of who works with it.

    Raises:
        FerruleError: the file is wrong, or a target or a name cannot be read.
    """
    variants = Variants(text_of(file), file.name, file.parent, personal or Machines())
    before = variants.design()
    named = motor_named(motor, before)
    asked = tuple(read_target(one, named) for one in targets)
    chosen = _chosen(vary, ballast_at, variants, before)
    for target in asked:
        target.value(before)
    weighed = [unweighed(variants, before, one) for one in chosen]
    refusals: dict[Point, str] = {}
    seen: set[Shortfalls] = set()

    def changes(point: Point) -> tuple[Change, ...]:
        moved = [
            (one, value, was) for one, value, was in zip(chosen, point, weighed, strict=True) if one.changes(value)
        ]
        own = tuple(change for one, value, _ in moved for change in one.changes(value))
        # One weighed part may have two sizes that change; its mass is taken out once.
        return (*dict.fromkeys(change for _, _, was in moved for change in was), *own)

    def find(point: Point) -> Shortfalls | None:
        try:
            design = variants.design(changes(point))
            carried = with_unexplained(design, before)
        except FerruleError as error:
            refusals[point] = why_not(error, variants)
            return None
        short = tuple(one for target in asked for one in target.shortfalls(carried))
        seen.add(tuple(round(one, 9) for one in short))
        return short

    found = least_change([one.axis for one in chosen], find)
    after = variants.design(changes(found.point))
    stops = () if found.met else tuple(_stops(chosen, asked, found, refusals))
    if not found.met and len(seen) == 1 and not refusals:
        stops = tuple(f"{one.name}: no value of it makes any difference" for one in chosen)
    carried = with_unexplained(after, before)
    return Solution(asked, chosen, found.point, found, before, after, carried, changes(found.point), variants, stops)


def _chosen(vary: Sequence[str], ballast_at: str | None, variants: Variants, design: Design) -> tuple[Variable, ...]:
    names = variables(variants, design)
    at = None if ballast_at is None else _length("--ballast-at", ballast_at)
    found: list[Variable] = []
    for one in vary:
        name, equals, bounds = one.partition("=")
        variable = ballast(variants, design, at) if name.strip() == BALLAST else known(name, names)
        found.append(variable.within(bounds) if equals else variable)
    if at is not None and not any(one.partition("=")[0].strip() == BALLAST for one in vary):
        raise FerruleError("--ballast-at: goes with --vary ballast")
    if at is not None and at < 0.0:
        raise FerruleError("--ballast-at: lies ahead of the nose tip; give 0 mm or more")
    length = design.rocket.length
    if at is not None and length is not None and at > length:
        raise FerruleError(f"--ballast-at: {at:g} mm lies behind the rocket, which ends at {length:g} mm")
    if not 1 <= len(found) <= MOST_AXES:
        raise FerruleError(
            f"--vary: takes 1 to {MOST_AXES} names, got {len(found)}; name what may change, {_some(names)}"
        )
    if len({one.path for one in found}) < len(found):
        raise FerruleError("--vary: the same value is named twice")
    for variable in found:
        # A value that stands where it cannot be changed alone is told before anything is tried.
        variants.with_changes(variable.changes(variable.axis.now + variable.axis.step))
    return tuple(found)


def _length(option: str, text: str) -> float:
    try:
        return read(text, "length")
    except ValueError as error:
        raise FerruleError(f"{option}: {error}") from None


def _some(names: dict[str, Variable]) -> str:
    usual = [name for end in (".semi_span", ".root_chord") for name in names if name.endswith(end)]
    places = [name for name in names if name.endswith(".station")]
    return f"such as {', '.join([*(usual or places)[:3], BALLAST])}"


def _stops(
    chosen: Sequence[Variable], targets: Sequence[Target], found: Found, refusals: dict[Point, str]
) -> list[str]:
    """What keeps the targets from being met: a bound, the end of what exists, or that more makes it worse."""
    lines = []
    for number, (variable, value) in enumerate(zip(chosen, found.point, strict=True)):
        axis = variable.axis
        edge = next((one for one in found.edges if one.axis == number and one.last == value), None)
        tidy = value if value == axis.now else round(value / axis.step, 1) * axis.step
        here = f"{variable.name}: at {variable.shown(tidy)}"
        if edge is not None:
            side = "above" if edge.first > edge.last else "below"
            reason = next((why for point, why in refusals.items() if point[number] == edge.first), "")
            lines.append(f"{here} there is no more to go: {side} it the design cannot be: {reason}")
        elif value != axis.now and min(abs(value - axis.low), abs(value - axis.high)) < axis.step / 100.0:
            lines.append(f"{here} its bound is reached")
        elif value == axis.now:
            lines.append(f"{here}, as it is now: what was tried instead was no nearer")
        else:
            lines.append(f"{here}: {'more and less are' if len(chosen) == 1 else 'what else was tried was'} no nearer")
    if not found.edges and refusals:
        lines.append(f"some of what was tried cannot be: {next(iter(refusals.values()))}")
    if any(target.relation == "=" for target in targets) and any(one.axis.whole for one in chosen):
        lines.append("a count has no values between; ask for at least or at most")
    if found.spent:
        lines.append(f"{found.trials} trials were made, and no more: narrow the bounds, or vary fewer values")
    return lines


# --- writing ----------------------------------------------------------------------------------------------------------


def write_solution(file: Path, solution: Solution, personal: Machines | None = None) -> None:
    """Write the changes into the design file; all else in it stays as it is.

    Args:
        file: the design file that was solved.
        solution: what came of it; one that is not met is not written.
        personal: the machines of who works with it.

    Raises:
        FerruleError: the file is another by now, or what was written does not read back as the design that was found.
        WriteError: it cannot be written; it stays as it is.
    """
    if not solution.met:
        raise FerruleError("nothing is written: the target is not met")
    # A link stays a link: the file that it leads to is the one that changes.
    target = file.resolve()
    old = target.read_bytes()
    if text_of(target) != solution.variants.text:
        raise WriteError(f"{file} was changed meanwhile; nothing is written")
    text = solution.variants.with_changes(solution.changes)
    if b"\r\n" in old:
        text = text.replace("\n", "\r\n")
    mark = b"\xef\xbb\xbf" if old.startswith(b"\xef\xbb\xbf") else b""

    def write(path: Path) -> None:
        write_bytes(path, mark + text.encode("utf-8"))
        shutil.copymode(target, path)

    def read_back(path: Path) -> None:
        try:
            found = load(path, personal)
        except DesignError as error:
            raise WriteError(f"{file} did not read back: {error}") from None
        if found.fingerprint != solution.after.fingerprint:
            raise WriteError(f"{file} did not read back as the design that was found")

    replace_file(target, write, read_back)


def lines_to_change(solution: Solution) -> tuple[str, ...]:
    """The changes as lines of the file, each with its number where it is there already."""
    found: list[str] = []
    for change in solution.changes:
        if not isinstance(change, Edit):
            found += ["a new table:", *(f"  {line}" for line in change.lines())]
            continue
        row = solution.variants.line_of(change)
        if change.value is None:
            found.append(f"line {row}: put a # before `{change.path[-1]}`, which was weighed on the part as it is")
            continue
        value = f'"{change.value}"' if isinstance(change.value, str) else f"{change.value!r}"
        table, number = change.path[0], int(change.path[1])
        name = solution.variants.tables[str(table)][number].get("name")
        words = f"{change.path[-1]} = {value}"
        why = ", by what was weighed" if change.path[-1] == "density" else ""
        found.append(f"line {row}: {words}" if row else f"a new line in [[{table}]] {name}{why}: {words}")
    return tuple(found)
