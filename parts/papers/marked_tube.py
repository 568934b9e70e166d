"""A tube with all that is marked on it, and how long a strip of paper is once round it.

Paper bends without stretch in its middle: a strip of thickness t once round a tube of diameter D is pi (D + t) long
(elementary geometry, neutral layer).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ..errors import PartError

PAPER = 0.1
"""Thickness of ordinary office paper of 80 g/m2 [mm] (common practice)."""

STRIP_WITHIN = 0.05
"""How far a length read off the strip may be from the reckoned one [-]: more is a slip, not a printer."""

_LEAST_SEAM = 8.0
_LEAST_ROOM = 2.0
_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Slot:
    """A slot for a fin's tab.

    Attributes:
        roll: roll of its middle [rad].
        first: tube's forward end to the slot's forward end [mm].
        last: tube's forward end to its aft end [mm].
        width: its width across [mm].
        lean: by how much the roll of its forward end is the greater one of its two ends [rad]; of a canted fin.
    """

    roll: float
    first: float
    last: float
    width: float
    lean: float = 0.0


@dataclass(frozen=True, slots=True)
class Root:
    """Where the root of a fin without a tab stands, from `first` to `last` from the tube's forward end [mm].

    `lean` [rad] is by how much the roll of its leading edge is the greater one of its two ends.
    """

    roll: float
    first: float
    last: float
    lean: float = 0.0


@dataclass(frozen=True, slots=True)
class Band:
    """What runs all round: the two faces of a ring, or one line.

    Attributes:
        words: what it is.
        first: tube's forward end to its forward face [mm].
        last: tube's forward end to its aft face [mm]; the same for one line.
    """

    words: str
    first: float
    last: float


@dataclass(frozen=True, slots=True)
class Hole:
    """A round hole.

    Attributes:
        words: what it is for.
        roll: roll of its middle [rad].
        station: tube's forward end to its middle [mm].
        diameter: its diameter [mm].
    """

    words: str
    roll: float
    station: float
    diameter: float


@dataclass(frozen=True, slots=True)
class MarkedTube:
    """A tube and all that is marked on it; rolls are 0 on the rail line, positive clockwise seen from behind.

    Attributes:
        name: name of the tube, written on the paper.
        diameter: mean outside diameter [mm].
        length: its length [mm].
        fins: rolls of the fins, from fin 1 [rad]; none for a tube without fins.
        slots: slots for tabs.
        roots: roots of fins that have no tab.
        bands: rings, and the centres of gravity and of pressure.
        holes: vents, and holes for screws and buttons.
        thickness: thickness of the paper [mm], 0 to 1.
        strip: length once round as read off a first print [mm]; None to reckon it from diameter and paper.

    Raises:
        PartError: a size is out of its range, or a mark lies beyond the tube.
    """

    name: str
    diameter: float
    length: float
    fins: tuple[float, ...] = ()
    slots: tuple[Slot, ...] = ()
    roots: tuple[Root, ...] = ()
    bands: tuple[Band, ...] = ()
    holes: tuple[Hole, ...] = ()
    thickness: float = PAPER
    strip: float | None = None

    def __post_init__(self) -> None:
        for field, value, most in (("diameter", self.diameter, 500.0), ("length", self.length, 5000.0)):
            if not 0.0 < value <= most:
                raise PartError(f"{field}: {value:g} mm of the tube must be above 0 and at most {most:g} mm")
        once = once_round(self.diameter, self.thickness)
        if self.strip is not None and not abs(self.strip / once - 1.0) <= STRIP_WITHIN:
            raise PartError(
                f"strip: {self.strip:g} mm is not within {100.0 * STRIP_WITHIN:g} % of {once:.1f} mm, which is "
                f"{self.diameter:g} mm diameter and the paper once round; read the number that the first line meets"
            )
        for first, last in spans(self):
            if not -_SAME <= first <= last <= self.length + _SAME:
                raise PartError(
                    f"{self.name}: a mark from {first:g} to {last:g} mm lies beyond the tube of {self.length:g} mm"
                )

    @property
    def round(self) -> float:
        """Length of the strip once round [mm]: from the first line to the butt line."""
        return once_round(self.diameter, self.thickness) if self.strip is None else self.strip

    @property
    def seam(self) -> float:
        """Roll of the first line [rad]: between two marks, as far from the rail line as those leave it.

        Raises:
            PartError: there is no free stretch between the marks all round.
        """
        halves: dict[float, float] = {}
        for roll, half in ((0.0, 0.0), *((roll, 0.0) for roll in self.fins), *self._sizes()):
            place = round(roll, 9) % round(math.tau, 9)
            halves[place] = max(half, halves.get(place, 0.0))
        taken = sorted(halves.items())
        free: list[tuple[float, float]] = []
        for index, (roll, half) in enumerate(taken):
            after, other = taken[(index + 1) % len(taken)]
            start, end = roll + half, after - other + (math.tau if index + 1 == len(taken) else 0.0)
            free.append((end - start, ((start + end) / 2.0) % math.tau))
        wide = [one for one in free if one[0] * self.diameter / 2.0 >= 2.0 * _LEAST_SEAM] or [max(free)]
        if max(wide)[0] * self.diameter / 2.0 < _LEAST_ROOM:
            raise PartError(f"{self.name}: marks all round it leave no place for the wrap's first line")
        return min((round(abs(roll - math.pi), 9), roll) for _, roll in wide)[1]

    def _sizes(self) -> Iterator[tuple[float, float]]:
        """Roll and half angle of what has a width round the tube [rad]."""
        yield from ((slot.roll, slot.width / self.diameter + abs(slot.lean) / 2.0) for slot in self.slots)
        yield from ((hole.roll, hole.diameter / self.diameter) for hole in self.holes)
        yield from ((root.roll, abs(root.lean) / 2.0) for root in self.roots)

    def around(self, angle: float) -> float:
        """How long an angle round the tube [rad] is on the paper [mm]."""
        return angle / math.tau * self.round

    def across(self, roll: float) -> float:
        """Where a roll [rad] lies on the paper, from the first line [mm]."""
        part = ((roll - self.seam) / math.tau) % 1.0
        return (0.0 if part > 1.0 - _SAME else part) * self.round


def once_round(diameter: float, thickness: float = PAPER) -> float:
    """Length of paper once round a tube [mm]: the circumference of the paper's middle.

    Args:
        diameter: mean outside diameter of the tube [mm].
        thickness: thickness of the paper [mm], 0 to 1.

    Raises:
        PartError: the paper is too thick to be paper.
    """
    if not 0.0 <= thickness <= 1.0:
        raise PartError(f"thickness: {thickness:g} mm of the paper of a wrap must be from 0 to 1 mm")
    return math.pi * (diameter + thickness)


def spans(tube: MarkedTube) -> Iterator[tuple[float, float]]:
    """What must lie whole on one paper, from the tube's forward end [mm]."""
    for some in (tube.slots, tube.bands):
        yield from ((one.first, one.last) for one in some)
    for root in tube.roots:
        yield root.first, root.first
        yield root.last, root.last
    for hole in tube.holes:
        yield hole.station, hole.station
