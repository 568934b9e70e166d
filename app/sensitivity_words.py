"""What moves the margin of a design, and what came of `ferrule solve`, in plain words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from ..analysis.limits import Limit
from ..analysis.sensitivity import BothWays, both_ways
from ..parts.errors import FerruleError
from ..parts.kinds import Fin, FinCan
from .cautions import NOT_A_CLEARANCE
from .check_text import table
from .design import Design
from .entries import MotorEntry, PayloadEntry
from .lengths import NOT_STATED, Lengths
from .machine_file import Machines
from .names import slug
from .solve import Solution, lines_to_change
from .summary import METHOD
from .targets import Target
from .toml_text import text_of
from .unexplained import with_unexplained
from .variables import BALLAST, Variable, ballast, case_mass, names_in, unweighed, variables
from .variants import Edit, Variants, why_not

_SIZES = ("semi_span", "root_chord", "tip_chord", "sweep_length", "station", "fin_position")
"""What of fins moves the margin most."""

LENGTH, MASS = 10.0, 10.0
"""By how much each is changed [mm] and [g]: a change that one can picture."""


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What the least margin does when one thing becomes more or less, all else as it stands.

    Attributes:
        name: what changes; that of a variable, or `ballast`.
        words: by how much, in words, such as `10 mm` or `10 g at the nose tip`.
        gain: change of the margin both ways [calibres].
    """

    name: str
    words: str
    gain: BothWays

    def __str__(self) -> str:
        """One line, such as `fin.semi_span, 10 mm more / less: +0.31 / -0.34 calibres`."""
        if self.gain.less is None and not self.gain.reasons:
            return f"{self.name}, {self.words} more: {_signed(self.gain.more)} calibres"
        return f"{self.name}, {self.words} more / less: {_signed(self.gain.more)} / {_signed(self.gain.less)} calibres"


def sensitivities(file: Path, personal: Machines | None = None) -> tuple[Sensitivity, ...]:
    """What moves the least margin of a design, each worked out anew up and down, what moves it most first.

    Args:
        file: the design file.
        personal: the machines of who works with it.

    Raises:
        FerruleError: the file is wrong, or its margin is not known.
    """
    variants = Variants(text_of(file), file.name, file.parent, personal or Machines())
    return _all(variants, variants.design())


def _all(variants: Variants, design: Design) -> tuple[Sensitivity, ...]:
    base = _LEAST.value(design)
    found = []
    for variable, step, words, least in _levers(variants, design):
        weighed = unweighed(variants, design, variable)

        def figure(value: float, variable: Variable = variable, weighed: tuple[Edit, ...] = weighed) -> float | str:
            try:
                changed = variants.design((*weighed, *variable.changes(value)))
                return _LEAST.value(with_unexplained(changed, design))
            except FerruleError as error:
                return why_not(error, variants)

        found.append(Sensitivity(variable.name, words, both_ways(figure, variable.axis.now, step, base, least)))
    return tuple(sorted(found, key=lambda one: (-one.gain.largest, one.name)))


_LEAST = Target("margin", ">=", 0.0)


def _levers(variants: Variants, design: Design) -> Iterator[tuple[Variable, float, str, float | None]]:
    """What may be changed of most designs: each with a step, its words, and the least value that means anything."""
    lengths = Lengths(design.settings.units)
    length = f"{LENGTH:g} mm" if lengths.first == "mm" else lengths.both(LENGTH)
    mass = f"{MASS:g} g"
    names = variables(variants, design)
    if f"{BALLAST}.mass" in names:
        yield names[f"{BALLAST}.mass"], MASS, mass, 1.0
    elif not any(slug(one) == BALLAST for one in names_in(variants.tables)):
        yield ballast(variants, design, 0.0), MASS, f"{mass} at the nose tip", 0.0
    for item in design.rocket.items:
        if isinstance(item.part, Fin | FinCan):
            for size in _SIZES:
                if f"{slug(item.name)}.{size}" in names:
                    yield names[f"{slug(item.name)}.{size}"], LENGTH, length, 0.0 if size != "sweep_length" else None
    for entry in design.entries.get("payload", ()):
        if isinstance(entry, PayloadEntry):
            head = slug(entry.name)
            yield names[f"{head}.station"], LENGTH, length, 0.0
            if f"{head}.mass" in names:
                yield names[f"{head}.mass"], MASS, mass, 1.0
    for number, motor in enumerate(design.entries.get("motor", ())):
        if isinstance(motor, MotorEntry):
            yield case_mass(variants.tables, number, motor), MASS, mass, MASS
            if f"{slug(motor.name)}.aft_end" in names:
                yield names[f"{slug(motor.name)}.aft_end"], LENGTH, length, 0.0


def sensitivity_text(file: Path, personal: Machines | None = None) -> str:
    """The list of what moves the margin, for the command line.

    Args:
        file: the design file.
        personal: the machines of who works with it.

    Raises:
        FerruleError: the file is wrong, or its margin is not known.
    """
    variants = Variants(text_of(file), file.name, file.parent, personal or Machines())
    design = variants.design()
    base = _LEAST.value(design)
    rows = [("", "change", "margin if more", "margin if less")]
    reasons: list[str] = []
    for one in _all(variants, design):
        less = "" if one.gain.less is None and not one.gain.reasons else _signed(one.gain.less)
        rows.append((one.name, one.words, _signed(one.gain.more), less))
        reasons += [f"  {one.name}: not possible: {reason}" for reason in one.gain.reasons]
    lines = [
        f"{design.name}: margin {base:.2f} calibres, {_which(_LEAST, design)}",
        "What moves it, in calibres; each is worked out anew, up and down, with all else as it stands:",
        "",
        *table(rows, left=(0, 1)),
        *reasons,
        "",
        f"  {METHOD}",
        "  Changed sizes need the checks anew; to be told how much of one it takes:",
        f'  ferrule solve {file} --target "{_example(base, design.rules)}" --vary '
        f"{rows[1][0] if len(rows) > 1 else 'NAME'}",
    ]
    return "\n".join([*lines, "", NOT_A_CLEARANCE])


def _example(margin: float, rules: Mapping[str, Limit]) -> str:
    """A target that asks for something: back into the usual range, or a little more."""
    limit = rules["static_margin"]
    if limit.warn_above is not None and margin > limit.warn_above:
        return f"margin <= {limit.warn_above:g}"
    return f"margin >= {max(limit.warn_below or 0.0, round(margin + 0.2, 1)):g}"


def _signed(value: float | None) -> str:
    return "not possible" if value is None else f"{value:+z.2f}"


def _which(target: Target, design: Design) -> str:
    names = [" at ".join(filter(None, (one.motor, one.name))) for one in target.states(design)]
    if len(names) == 1:
        return names[0]
    least = target.relation == ">=" or (target.figure == "margin" and target.relation == "=")
    return f"the {'least' if least else 'most'} of {', '.join(names)}"


# --- what came of it --------------------------------------------------------------------------------------------------


def solution_text(solution: Solution, file: Path, written: bool = False) -> str:
    """What came of a search, in words.

    Args:
        solution: what came of it.
        file: the design file.
        written: whether it was written into it.
    """
    lengths = Lengths(solution.before.settings.units)
    lines = [
        f"target: {one.words(lengths)}, {_which(one, solution.before)}; it is "
        f"{one.shown(one.value(solution.before), lengths)} now"
        for one in solution.targets
    ]
    moved = [_moved(variable, value) for variable, value in _pairs(solution) if value != variable.axis.now]
    if solution.met and not moved:
        return "\n".join([*lines, "it is met as it stands; nothing to change", "", NOT_A_CLEARANCE])
    if solution.met:
        lines += [f"change: {one}" for one in moved]
        still = [variable.name for variable, value in _pairs(solution) if value == variable.axis.now]
        lines += [f"as it is: {', '.join(still)}"] if still else []
    else:
        reached = ", ".join(
            f"{one.figure} {one.shown(one.value(solution.carried), lengths)}" for one in solution.targets
        )
        lines += [f"CANNOT BE MET: the nearest that was found is {reached}, because:"]
        lines += [f"  {reason}" for reason in solution.stops]
    lines += ["", *table(_states(solution, lengths), left=(0,)), *_else(solution, lengths)]
    if solution.met:
        lines += ["", f"in {file}:", *(f"  {line}" for line in lines_to_change(solution))]
        lines.append(
            "written; make its files anew" if written else "nothing is written; add --write to have it written"
        )
    lines.append(f"({solution.found.trials} designs were worked out)")
    return "\n".join([*lines, "", NOT_A_CLEARANCE])


def _pairs(solution: Solution) -> Iterator[tuple[Variable, float]]:
    yield from zip(solution.variables, solution.values, strict=True)


def _moved(variable: Variable, value: float) -> str:
    """What becomes of a value, and by how much that is more or less."""
    now = variable.axis.now
    if variable.path is None:
        return f"{variable.name}: {variable.shown(value)} at {variable.station:g} mm from the nose tip"
    words = f"{variable.name}: {variable.shown(now)} to {variable.shown(value)}"
    if not now or variable.axis.whole:
        return words
    share = "" if variable.is_place else f" ({100.0 * (value - now) / abs(now):+.0f} %)"
    return f"{words}, {variable.shown(round(abs(value - now), 6))} {'more' if value > now else 'less'}{share}"


def _states(solution: Solution, lengths: Lengths) -> list[tuple[str, ...]]:
    unit = lengths.first
    rows: list[tuple[str, ...]] = [
        ("", "mass [g]", "", f"CG [{unit}]", "", f"CP [{unit}]", "", "margin [calibres]", "")
    ]
    rows.append(("", *("before", "after") * 4))
    for old, new in zip(solution.before.loadings, solution.carried.loadings, strict=True):
        cells: list[str] = []
        for number, digits in ((0, 0), (1, -1), (2, -1), (3, 2)):
            for one in (old, new):
                mass = one.mass
                value = (
                    mass.mass if mass else None,
                    mass.cg[0] if mass else None,
                    one.centre_of_pressure,
                    one.margin_calibres,
                )[number]
                if value is None:
                    cells.append(NOT_STATED)
                else:
                    cells.append(lengths.number(value) if digits < 0 else f"{value:.{digits}f}")
        rows.append((" at ".join(filter(None, (old.motor, old.name))), *cells))
    return rows


def _else(solution: Solution, lengths: Lengths) -> Iterator[str]:
    """What else changed with it."""
    if solution.before.is_balanced:
        yield "  before: as balanced; after: the same and what the change does by the parts, not measured"
    for item in solution.after.rocket.items:
        for one in item.part.carried() if item.part else ():
            if any(variable.of_part == item.name for variable in solution.variables):
                yield f"  {item.name} carries {one.description}: {one.mass:.0f} g"
    for part, field, old, new in solution.followed():
        yield f"  {part}: {field} follows: {lengths.one(old, 2)} to {lengths.one(new, 2)}"
    worse = solution.worse()
    for check in worse:
        told = "; ".join(filter(None, (check.value, check.note or check.limit)))
        yield f"  {'CHECK NEWLY FAILS' if check.status == 'fail' else 'newly warns'}: {check.name}: {told}"
    if solution.met and not worse:
        yield "  no check fails or warns that did not before"
