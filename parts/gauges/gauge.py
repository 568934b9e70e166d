"""What a gauge is: pieces of known sizes, made on one's own machine, that are tried on the real thing before a part is.

Sizes are as drawn, for a perfect machine; the faces that decide have the role `fit`, so that what is done to a part for
a machine is done to its gauge as well.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ..errors import PartError
from ..lettering import width
from ..part import CutPiece
from ..shape import Outline, Shape

STEP = 0.1
"""From one size of a set to the next, for a machine of which nothing is known yet [mm]."""

FINE_STEP = 0.05
"""The same for a machine that a set has been tried on already [mm]; paper tubes are not rounder than that."""

RAISED = 0.6
"""How far numbers stand out of a print [mm]: three layers of 0.2 mm (common practice)."""

Sort = Literal["plug", "opening"]
"""Whether the pieces of a set go into something, or over it."""

Rule = Literal["limit", "best"]
"""What is noted: the last plug that goes in or the first opening that goes over, or the piece that fits best."""


@dataclass(frozen=True, slots=True)
class Printed:
    """One piece to print, in the frame of a plate: it lies on the bed with x = 0 and its numbers look up.

    Attributes:
        label: the number that it carries.
        shape: the piece as it shall be.
    """

    label: str
    shape: Shape


@dataclass(frozen=True, slots=True)
class Sheeted:
    """One piece to cut from sheet.

    Attributes:
        piece: what to cut, with what its paper shows.
        letters: letters to engrave, in the outline's coordinates [mm].
    """

    piece: CutPiece
    letters: tuple[Outline, ...]


@dataclass(frozen=True, slots=True)
class Reading:
    """What a set says of the machine that made it.

    Attributes:
        sort: whether its pieces are plugs or openings.
        rule: what is noted of it.
        wanted: size of what it is tried on, or that the part shall have [mm].
        step: from one size to the next [mm].
    """

    sort: Sort
    rule: Rule
    wanted: float
    step: float


@dataclass(frozen=True, slots=True)
class Gauge:
    """A gauge or coupon.

    Attributes:
        name: what files and results call it.
        title: what it is, in words.
        make: what to make, in sentences for the bench.
        trial: how to try it.
        note: what to write down.
        printed: the pieces to print; none for what is cut alone.
        cut: the pieces to cut from sheet; none for what is printed alone.
        steps: number on each piece or place, and its size [mm].
        reading: what it says of the machine; None for what says nothing of it, or says it without a set.
        material: what it is to be printed of; None where any will do.
        as_drawn: True for what must be cut along the drawn lines whatever the machine is.
    """

    name: str
    title: str
    make: str
    trial: str
    note: str
    printed: tuple[Printed, ...]
    cut: tuple[Sheeted, ...]
    steps: tuple[tuple[str, float], ...]
    reading: Reading | None = None
    material: str | None = None
    as_drawn: bool = False


def label(size: float) -> str:
    """A size as it stands on a gauge."""
    return f"{size:.2f}"


def ladder(middle: float, count: int, step: float) -> tuple[tuple[str, float], ...]:
    """Sizes round a middle with their numbers, the smallest first [mm].

    The sizes are those that the numbers say, so the middle is rounded to 0.01 mm.

    Args:
        middle: the wanted size [mm].
        count: how many; an odd number has the wanted size in its middle [-].
        step: from one size to the next [mm], a multiple of 0.01.

    Raises:
        PartError: fewer than 2 sizes, a step that the numbers cannot show, or a smallest size that is not above 0.
    """
    if count < 2:
        raise PartError(f"steps: a set has at least 2 sizes, got {count}")
    if not 0.01 <= step < math.inf or abs(step * 100.0 - round(step * 100.0)) > 1e-6:
        raise PartError(f"step: {step:g} mm is not a multiple of 0.01 mm, which is as fine as the numbers are")
    # The first is rounded, not the middle: an even number has none.
    first = round(middle - step * (count - 1) / 2.0, 2)
    if not 0.0 < first < math.inf:
        raise PartError(f"steps: {count} sizes in steps of {step:g} mm round {middle:g} mm begin at {first:g} mm")
    sizes = tuple(round(first + index * step, 2) for index in range(count))
    return tuple((label(size), size) for size in sizes)


def letter_height(words: str, room: float, high: float, largest: float = 6.0) -> float:
    """Height of capitals with which words go into a room [mm].

    Args:
        words: one line.
        room: length for them [mm].
        high: height for them [mm].
        largest: height that is not exceeded [mm].

    Raises:
        PartError: there is no room that a nozzle of 0.4 mm could write in.
    """
    height = math.floor(min(largest, high, room / width(words, 1.0)) * 10.0 + 1e-6) / 10.0
    if height < LEAST:
        raise PartError(
            f"numbers: {words!r} would be {max(height, 0.0):g} mm high; below {LEAST:g} mm nobody reads what a nozzle "
            "of 0.4 mm makes of them"
        )
    return height


LEAST = 2.5
"""Height of the smallest capitals that are raised or engraved [mm] (common practice)."""
