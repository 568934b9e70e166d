"""A motor as its maker states it: sizes, masses and the thrust curve; nothing about what is in it."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, TypeAlias

import numpy as np

from ..parts.errors import DesignError, PartError, Problem
from .mass import MassProperties

LONGEST = 1000.0
"""Longest burn that a thrust curve may have [s]: anything above is a slip of the unit."""

STRONGEST = 1e6
"""Greatest thrust that a thrust curve may have [N]: anything above is a slip of the unit."""

HEADER = ("time_s", "thrust_N")
"""First line of a table with a thrust curve."""

LONGEST_DELAY = 60.0
"""Longest delay that a motor may have [s]: anything above is a slip of the unit."""

MotorData: TypeAlias = Literal["invented", "measured", "maker"]
"""Where the data of a motor come from: made up to try things, measured by a test, or the maker's sheet."""


@dataclass(frozen=True, slots=True)
class Thrust:
    """A thrust curve: straight lines between its points, nothing before and after them.

    Attributes:
        times: time of each point after ignition [s], rising.
        thrusts: thrust at each point [N].

    Raises:
        PartError: fewer than two points, times that do not rise, a thrust below zero, or no thrust at all.
    """

    times: tuple[float, ...]
    thrusts: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.times) != len(self.thrusts):
            raise PartError(
                f"thrust: each time needs a thrust, got {len(self.times)} times and {len(self.thrusts)} thrusts"
            )
        faults = [message for _, message in _point_faults(self.times, self.thrusts)] + _curve_faults(self.thrusts)
        if faults:
            raise PartError(f"thrust: {faults[0]}")

    @property
    def total_impulse(self) -> float:
        """Area under the curve [N s]; exact for straight lines between the points."""
        return float(np.trapezoid(self.thrusts, self.times))

    @property
    def burn_time(self) -> float:
        """From the first moment with thrust to the last [s]; zeros that only pad the table do not count."""
        steps = [step for step in zip(pairwise(self.times), pairwise(self.thrusts), strict=True) if any(step[1])]
        return steps[-1][0][1] - steps[0][0][0]

    @property
    def mean(self) -> float:
        """Mean thrust over the burn time [N]."""
        return self.total_impulse / self.burn_time

    @property
    def greatest(self) -> float:
        """Greatest thrust [N]."""
        return max(self.thrusts)


@dataclass(frozen=True, slots=True)
class Motor:
    """A motor in its place.

    Attributes:
        name: what the design calls it.
        diameter: outside diameter [mm].
        length: length [mm].
        loaded_mass: mass as it is put into the rocket [g].
        empty_mass: mass after the burn [g].
        aft_end: station of its aft end [mm].
        thrust: thrust curve, or None where it is not stated.
        loaded_cg: its forward end to its centre of gravity when loaded [mm]; None where it is not stated.
        empty_cg: the same after the burn [mm].
        delays: delays that it is to be had with, from burnout to its charge [s], rising; none where not stated.
        delay_tolerance: by how much a delay may be off, to either side [s]; None where it is not stated.
        data: where its data come from; None where it is not stated.

    Raises:
        PartError: a size or mass that no motor has.
    """

    name: str
    diameter: float
    length: float
    loaded_mass: float
    empty_mass: float
    aft_end: float
    thrust: Thrust | None = None
    loaded_cg: float | None = None
    empty_cg: float | None = None
    delays: tuple[float, ...] = ()
    delay_tolerance: float | None = None
    data: MotorData | None = None

    def __post_init__(self) -> None:
        for field, unit in (("diameter", "mm"), ("length", "mm"), ("loaded_mass", "g"), ("empty_mass", "g")):
            value = getattr(self, field)
            if not 0.0 < value < math.inf:
                raise PartError(f"{field}: must be above 0 {unit}, got {value:g} {unit}")
        if not math.isfinite(self.aft_end):
            raise PartError(f"aft_end: must be a station, got {self.aft_end:g} mm")
        if self.empty_mass >= self.loaded_mass:
            raise PartError(
                f"empty_mass: {self.empty_mass:g} g is not less than the loaded mass, {self.loaded_mass:g} g"
            )
        for field in ("loaded_cg", "empty_cg"):
            place = getattr(self, field)
            if place is not None and not 0.0 <= place <= self.length:
                raise PartError(f"{field}: {place:g} mm is not within the motor's length, {self.length:g} mm")
        if any(not 0.0 < delay <= LONGEST_DELAY for delay in self.delays):
            told = ", ".join(f"{delay:g}" for delay in self.delays)
            raise PartError(f"delays: each must be above 0 and at most {LONGEST_DELAY:g} s, got {told} s")
        if any(first >= second for first, second in pairwise(self.delays)):
            raise PartError(f"delays: must rise, got {', '.join(f'{delay:g}' for delay in self.delays)} s")
        if self.delay_tolerance is not None and not 0.0 < self.delay_tolerance < math.inf:
            raise PartError(f"delay_tolerance: must be above 0 s, got {self.delay_tolerance:g} s")

    @property
    def propellant(self) -> float:
        """What it burns: loaded mass less that after the burn [g]."""
        return self.loaded_mass - self.empty_mass

    @property
    def identity(self) -> tuple[object, ...]:
        """What a fingerprint takes of it.

        Fields that came later are in it only where they are stated, so that older designs keep theirs.
        """
        whole = (
            type(self).__name__,
            *(self.name, self.diameter, self.length, self.loaded_mass, self.empty_mass, self.aft_end, self.thrust),
            *(self.loaded_cg, self.empty_cg),
        )
        later = (self.delays, self.delay_tolerance, self.data)
        return whole if later == ((), None, None) else (*whole, *later)

    @property
    def forward_end(self) -> float:
        """Station of its forward end [mm]."""
        return self.aft_end - self.length

    def properties(self, loaded: bool) -> MassProperties:
        """Mass properties in the rocket's frame, loaded or after the burn.

        The inertia is that of a uniform solid cylinder of the motor's size about its centre of gravity: a motor's own
        inertia is a small part of a rocket's, and no maker states it.
        """
        mass = self.loaded_mass if loaded else self.empty_mass
        place = self.loaded_cg if loaded else self.empty_cg
        along = mass * self.diameter**2 / 8.0
        across = mass * (self.diameter**2 / 16.0 + self.length**2 / 12.0)
        where = "CG not stated: middle of its length" if place is None else "CG as given"
        return MassProperties(
            mass,
            (self.forward_end + (self.length / 2.0 if place is None else place), 0.0, 0.0),
            ((along, 0.0, 0.0), (0.0, across, 0.0), (0.0, 0.0, across)),
            f"uniform solid cylinder, mass as given, {where}",
            "stated",
        )


def read_thrust(text: str) -> Thrust:
    r"""A thrust curve from the text of a CSV file.

    The first line is `time_s,thrust_N`, each further line one point, the last of them at 0 N. Lines that are blank or
    start with # are left out, and so are empty cells with which a spreadsheet fills a line up. What stands above that
    first line is not the curve's: it is read by whoever knows it.

    Raises:
        DesignError: one problem for each line that is wrong, with its number.

    Example:
        >>> read_thrust("time_s,thrust_N\n0,0\n0.1,50\n1.1,0\n").total_impulse
        27.5
    """
    rows = table_rows(text)
    above = next((index for index, (_, cells) in enumerate(rows) if cells == HEADER), 0)
    rows = rows[above:]
    if not rows:
        raise DesignError([Problem(f"the thrust curve is empty; its first line is {','.join(HEADER)}")])
    first, *rest = rows
    problems: list[Problem] = []
    if first[1] != HEADER:
        problems.append(Problem(f"the first line must be {','.join(HEADER)}, got {_shown(first[1])}", line=first[0]))
        # A file without the line starts with a point, which counts as one.
        rest = rows if _point(first[1]) else rest
    points: list[tuple[int, float, float]] = []
    for number, fields in rest:
        point = _point(fields)
        if point is None:
            problems.append(Problem(f"needs a time [s], a comma and a thrust [N], got {_shown(fields)}", line=number))
        else:
            points.append((number, *point))
    times, thrusts = tuple(point[1] for point in points), tuple(point[2] for point in points)
    problems += [Problem(message, line=points[index][0]) for index, message in _point_faults(times, thrusts)]
    if not problems:
        problems += [Problem(message) for message in _curve_faults(thrusts)]
    if not problems and thrusts[-1] != 0.0:
        end = f"the curve must end at 0 N, got {thrusts[-1]:g} N at {times[-1]:g} s"
        problems.append(Problem(f"{end}; add the point at which the thrust is gone", line=points[-1][0]))
    if problems:
        raise DesignError(sorted(problems, key=lambda problem: problem.line or 0))
    return Thrust(times, thrusts)


def table_rows(text: str) -> list[tuple[int, tuple[str, ...]]]:
    """The lines of a table that say something, each with its number from 1 and its cells."""
    found: list[tuple[int, tuple[str, ...]]] = []
    for number, line in enumerate(text.removeprefix("\ufeff").splitlines(), 1):
        if not line.strip(" ,\t") or line.lstrip().startswith("#"):
            continue
        cells = [cell.strip() for cell in line.split(",")]
        while len(cells) > len(HEADER) and not cells[-1]:
            cells.pop()
        found.append((number, tuple(cells)))
    return found


_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")


def _point(fields: tuple[str, ...]) -> tuple[float, float] | None:
    if len(fields) != len(HEADER) or not all(_NUMBER.fullmatch(field) for field in fields):
        return None
    return float(fields[0]), float(fields[1])


def _shown(fields: tuple[str, ...]) -> str:
    text = ",".join(fields)
    return repr(text if len(text) <= 60 else f"{text[:60]}...")


def _point_faults(times: tuple[float, ...], thrusts: tuple[float, ...]) -> list[tuple[int, str]]:
    """Index and message of each point that is wrong."""
    found: list[tuple[int, str]] = []
    latest = -math.inf
    for index, (time, thrust) in enumerate(zip(times, thrusts, strict=True)):
        if not 0.0 <= time <= LONGEST:
            found.append((index, f"a time must be from 0 to {LONGEST:g} s, got {time:g} s"))
        elif time <= latest:
            found.append((index, f"times must rise, got {time:g} s after {latest:g} s"))
        else:
            latest = time
        if not 0.0 <= thrust <= STRONGEST:
            found.append((index, f"a thrust must be from 0 to {STRONGEST:g} N, got {thrust:g} N"))
    return found


def _curve_faults(thrusts: tuple[float, ...]) -> list[str]:
    if len(thrusts) < 2:
        return [f"a thrust curve needs at least two points, got {len(thrusts)}"]
    return [] if any(thrusts) else ["no point has any thrust"]
