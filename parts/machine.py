"""The machines that parts are made on: the room that they have, and by how much what they make comes out off size.

Every amount is 0 until it is measured on the machine in hand: nothing is assumed. What is usual (`typical`) is there to
be shown beside an empty field, never to be applied by itself.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from typing import Literal

from .errors import PartError

Range = tuple[float, float]

BED: Range = (0.0, 5000.0)
"""Width, depth and height [mm], above the first."""
NOZZLE: Range = (0.0, 5.0)
"""Diameter of a nozzle [mm], above the first."""
PER_SIDE: Range = (-1.0, 1.0)
"""Outside and hole [mm per side]: more is a machine to be mended, not compensated."""
SHRINKAGE: Range = (-0.02, 0.05)
"""Shrinkage [-]; printed plastics lie between 0.001 and 0.01 (common practice)."""
KERF: Range = (0.0, 5.0)
"""Width of a beam or cutter [mm]."""


def _check(machine: str, name: str, value: float, limits: Range, unit: str = " mm", above: bool = False) -> None:
    low, high = limits
    if not math.isfinite(value) or not low <= value <= high or (above and value == low):
        word = f"above {low:g}" if above else f"at least {low:g}"
        raise PartError(f"{name}: of {machine} must be {word}{unit}, at most {high:g}{unit}, got {value:g}{unit}")


@dataclass(frozen=True, slots=True)
class Printer:
    """A printer.

    Attributes:
        name: what it is called.
        width: usable width of the bed [mm].
        depth: usable depth of the bed [mm].
        height: usable height over the bed [mm].
        nozzle: diameter of the nozzle [mm]; None where it is not stated.
        outside: by how much an outside face comes out too far out [mm per side].
        hole: by how much the face of a hole or bore comes out too far in [mm per side].
        shrinkage: by material, how much shorter a part is than it was drawn [-]; 0.003 is 0.3 %.

    Raises:
        PartError: a value is out of its range.
    """

    name: str
    width: float
    depth: float
    height: float
    nozzle: float | None = None
    outside: float = 0.0
    hole: float = 0.0
    shrinkage: Mapping[str, float] = field(default_factory=dict, hash=False)

    def __post_init__(self) -> None:
        for name in ("width", "depth", "height"):
            _check(self.name, name, getattr(self, name), BED, above=True)
        if self.nozzle is not None:
            _check(self.name, "nozzle", self.nozzle, NOZZLE, above=True)
        for name in ("outside", "hole"):
            _check(self.name, name, getattr(self, name), PER_SIDE)
        for material, ratio in self.shrinkage.items():
            _check(self.name, f"shrinkage.{material}", ratio, SHRINKAGE, unit="")
        object.__setattr__(self, "shrinkage", dict(sorted(self.shrinkage.items())))


@dataclass(frozen=True, slots=True)
class Cutter:
    """A laser or another cutter of sheet.

    Attributes:
        name: what it is called.
        width: usable width [mm].
        depth: usable depth [mm].
        kerf: width of what the beam takes away [mm], where the material has none of its own.
        kerf_for: the same by material [mm].

    Raises:
        PartError: a value is out of its range.
    """

    name: str
    width: float
    depth: float
    kerf: float = 0.0
    kerf_for: Mapping[str, float] = field(default_factory=dict, hash=False)

    def __post_init__(self) -> None:
        for name in ("width", "depth"):
            _check(self.name, name, getattr(self, name), BED, above=True)
        _check(self.name, "kerf", self.kerf, KERF)
        for material, kerf in self.kerf_for.items():
            _check(self.name, f"kerf_for.{material}", kerf, KERF)
        object.__setattr__(self, "kerf_for", dict(sorted(self.kerf_for.items())))


@dataclass(frozen=True, slots=True)
class Compensation:
    """What is done to one part for one machine; two parts of equal shape are made from equal files where it is equal.

    Attributes:
        machine: name of the machine.
        material: what the part is made of; None where it is not stated.
        outside: how far outside faces move out [mm per side]; below 0 they move in.
        hole: how far the faces of holes move, the hole growing [mm per side]; below 0 it gets smaller.
        shrinkage: what the part will shrink by [-]; None where it is not stated for the material.
        kerf: width of the beam [mm]; None for a printer.
    """

    machine: str
    material: str | None
    outside: float
    hole: float
    shrinkage: float | None = None
    kerf: float | None = None

    @property
    def nothing(self) -> bool:
        """True where the part is made as it is drawn."""
        return not (self.outside or self.hole or self.shrinkage)


def compensation(machine: Printer | Cutter, material: str | None) -> Compensation:
    """What is done to a part of a material for a machine.

    A printer: the faces of fits move back by what comes out too much. A cutter: half the beam's width round everything.
    """
    if isinstance(machine, Cutter):
        kerf = machine.kerf_for.get(material or "", machine.kerf)
        return Compensation(machine.name, material, kerf / 2.0, 0.0 - kerf / 2.0, kerf=kerf)
    shrinkage = machine.shrinkage.get(material or "")
    return Compensation(machine.name, material, 0.0 - machine.outside, machine.hole, shrinkage)


@dataclass(frozen=True, slots=True)
class Typical:
    """What is usual, as a help for who has not measured yet.

    Attributes:
        field: the field that it is for.
        of: material, or size of hole, that it is for.
        low: lowest usual value, in the field's unit.
        high: highest usual value.
        reason: where the row comes from, in words.
        mark: how far it may be trusted.
    """

    field: str
    of: str
    low: float
    high: float
    reason: str
    mark: str


@lru_cache(maxsize=1)
def typical() -> tuple[Typical, ...]:
    """Usual values of shrinkage [-], hole [mm per side] and kerf [mm]; never applied by themselves."""
    text = files(__package__).joinpath("data").joinpath("compensation.csv").read_text(encoding="utf-8")
    return tuple(
        Typical(row["field"], row["of"], float(row["low"]), float(row["high"]), row["reason"], row["mark"])
        for row in csv.DictReader(text.splitlines())
    )


Amount = Literal["outside", "hole", "kerf"]
"""A value that a gauge measures."""


@dataclass(frozen=True, slots=True)
class FedBack:
    """A value as a gauge shows it.

    Attributes:
        value: the new value, rounded to 0.01 mm.
        low: the true one is at least this [mm] ...
        high: ... and at most this [mm]; give both to the next round.
    """

    value: float
    low: float
    high: float

    @property
    def within(self) -> float:
        """The true value is at most this far from the new one [mm]."""
        return max(self.high - self.value, self.value - self.low)


def fed_back(
    amount: Amount,
    now: float,
    wanted: float,
    fitted: float,
    gauge: Literal["plug", "opening"] | None = None,
    step: float = 0.1,
    known: tuple[float, float] | None = None,
) -> FedBack:
    """The value of a machine from the size that fitted, out of a set of gauges.

    A set of plugs is tried in an opening of known size, and the largest that goes in counts; a set of openings is tried
    over a plug of known size, and the smallest that goes over counts. One size goes and the next does not, so the true
    value lies within a range as wide as the step (half of it, for a value per side); the middle of it is taken. What an
    earlier round has found narrows it: two rounds in steps of 0.1 mm come within 0.02 mm of an error per side.

    Args:
        amount: `outside` from plugs, `hole` from openings, `kerf` from either.
        now: the value with which the set was made [mm]; per side, of a kerf its whole width.
        wanted: diameter or width of what the set is tried in or over, as measured [mm].
        fitted: size of the set's member that fitted, as drawn [mm].
        gauge: what was made; needed for a kerf alone.
        step: from one size of the set to the next [mm].
        known: range that an earlier round has left [mm].

    Raises:
        PartError: a size is not above 0, the gauge does not go with the amount, or the value is beyond what a sound
            machine has.
    """
    for name, size in (("wanted", wanted), ("fitted", fitted), ("step", step)):
        if not 0.0 < size < math.inf:
            raise PartError(f"{name}: must be above 0 mm, got {size:g} mm")
    expected = {"outside": "plug", "hole": "opening"}.get(amount, gauge)
    if expected is None or gauge not in (None, expected):
        need = f"is measured with {expected}s" if expected else "needs to know whether plugs or openings were cut"
        raise PartError(f"gauge: {amount} {need}")
    # Size as made less size as drawn lies between these two: the fitting member is on one side of `wanted`, the next
    # one on the other.
    over = wanted - fitted
    low, high = (over - step, over) if expected == "plug" else (over, over + step)
    # What the value does to a size as made: d(size as made)/d(true value).
    gain = {("outside", "plug"): 2.0, ("hole", "opening"): -2.0, ("kerf", "plug"): -1.0}.get((amount, expected), 1.0)
    ends = sorted((now + low / gain, now + high / gain))
    if known is not None:
        narrowed = [max(ends[0], known[0]), min(ends[1], known[1])]
        # A machine that has changed since then makes the earlier round worthless.
        ends = narrowed if narrowed[0] <= narrowed[1] + 1e-9 else ends
    limits = KERF if amount == "kerf" else PER_SIDE
    low, high = max(ends[0], limits[0]), min(ends[1], limits[1])
    if low > high:
        raise PartError(
            f"{amount}: the gauge of {fitted:g} mm for {wanted:g} mm makes it {ends[0]:.3g} to {ends[1]:.3g} mm, which "
            f"is not from {limits[0]:g} to {limits[1]:g} mm; measure again, or see to the machine"
        )
    return FedBack(round((low + high) / 2.0, 2) + 0.0, low, high)
