"""Where parts lie on the bed of a printer, and how many plates they need."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .errors import PartError
from .print_defaults import print_defaults

Footprint = tuple[float, float]
"""Width and depth of the box round a part as it lies on the bed [mm]; of a round one both are its diameter."""

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Bed:
    """The bed of a printer.

    Attributes:
        width: usable width [mm].
        depth: usable depth [mm].
        name: what the printer is called, for messages.
    """

    width: float
    depth: float
    name: str = "the printer"

    def __post_init__(self) -> None:
        for word, value in (("width", self.width), ("depth", self.depth)):
            if not 0.0 < value < math.inf:
                raise PartError(f"{word}: of {self.name} must be above 0 mm, got {value:g} mm")


def gap() -> float:
    """Clear distance between parts on one plate [mm]."""
    return print_defaults()["bed-gap"].amount


def edge() -> float:
    """Clear distance of parts from the edges of the bed [mm]."""
    return print_defaults()["bed-edge"].amount


def plates(
    footprints: Sequence[Footprint], bed: Bed | tuple[float, float], names: Sequence[str] = ()
) -> tuple[tuple[int, ...], ...]:
    """Parts sorted onto as few plates as a plain rule gives: each goes on the first plate that still has room.

    Args:
        footprints: of each part.
        bed: the bed, or its width and depth [mm].
        names: of each part, for messages.

    Returns:
        For each plate, the numbers of its parts in the order given.

    Raises:
        PartError: a part is larger than the bed; the message names `width` or `depth` and what would do.
    """
    bed = _bed(bed)
    found: list[list[int]] = []
    for number, footprint in enumerate(footprints):
        _check_alone(footprint, bed, names[number] if names else f"part {number + 1}")
        for plate in found:
            if _rows([footprints[other] for other in (*plate, number)], bed) is not None:
                plate.append(number)
                break
        else:
            found.append([number])
    return tuple(tuple(plate) for plate in found)


def laid_out(
    footprints: Sequence[Footprint], bed: Bed | tuple[float, float], names: Sequence[str] = ()
) -> tuple[tuple[float, float], ...]:
    """Where the front left corner of each part's footprint lies on one plate [mm], the bed's own front left at (0, 0).

    In rows, deeper parts first, 5 mm clear of each other and of the edges (common practice), together in the middle of
    the bed. A part that is alone may come nearer to the edges than that, and lies in the middle.

    Args:
        footprints: of each part.
        bed: the bed, or its width and depth [mm].
        names: of each part, for messages.

    Raises:
        PartError: a part is larger than the bed, or they do not go on one plate together; the message names `width` or
            `depth` and what would do.
    """
    bed = _bed(bed)
    for number, footprint in enumerate(footprints):
        _check_alone(footprint, bed, names[number] if names else f"part {number + 1}")
    if len(footprints) == 1:
        ((wide, deep),) = footprints
        return (((bed.width - wide) / 2.0, (bed.depth - deep) / 2.0),)
    places = _rows(footprints, bed)
    if places is None:
        count = len(plates(footprints, bed, names))
        raise PartError(f"{_too_small(footprints, bed)}; or put them on {count} plates")
    return places


def _bed(bed: Bed | tuple[float, float]) -> Bed:
    return bed if isinstance(bed, Bed) else Bed(*bed)


def _check_alone(footprint: Footprint, bed: Bed, name: str) -> None:
    for word, size, room in (("width", footprint[0], bed.width), ("depth", footprint[1], bed.depth)):
        if not 0.0 < size < math.inf:
            raise PartError(f"{word}: of {name} must be above 0 mm, got {size:g} mm")
        if size > room + _ROUNDING:
            raise PartError(
                f"{word}: {bed.name} has {room:g} mm, and {name} needs {size:.6g} mm as it lies; a bed of at least "
                f"{size:.6g} mm {word} would do, or a part that is printed in smaller pieces"
            )


def _too_small(footprints: Sequence[Footprint], bed: Bed) -> str:
    """Which side of the bed is short, and what would do.

    One of the two sides does the more for the fewer millimetres: it is the one that is named.
    """
    ways: list[tuple[float, str]] = []
    for word in ("width", "depth"):
        have = bed.width if word == "width" else bed.depth
        low, high = have, have + sum(max(footprint) + gap() for footprint in footprints) + 2.0 * edge()
        if _rows(footprints, _grown(bed, word, high)) is None:
            continue
        for _ in range(40):
            middle = (low + high) / 2.0
            low, high = (low, middle) if _rows(footprints, _grown(bed, word, middle)) is not None else (middle, high)
        need = math.ceil(high - 1e-6)
        while _rows(footprints, _grown(bed, word, need)) is None:
            need += 1
        what = f"{word}: {bed.name} has {have:g} mm, too little for these {len(footprints)} parts on one plate"
        ways.append((need - have, f"{what}; {need} mm would do"))
    if not ways:
        return f"width, depth: {bed.name} has {bed.width:g} x {bed.depth:g} mm, too little for these parts on one plate"
    return min(ways)[1]


def _grown(bed: Bed, word: str, size: float) -> Bed:
    return Bed(size, bed.depth, bed.name) if word == "width" else Bed(bed.width, size, bed.name)


@dataclass(slots=True)
class _Row:
    """A row of parts: how wide it is so far, how deep its deepest part, and which parts stand where along it."""

    wide: float
    deep: float
    parts: list[tuple[int, float]]


def _rows(footprints: Sequence[Footprint], bed: Bed) -> tuple[tuple[float, float], ...] | None:
    """Places of the parts in rows; None where they do not go on the bed together."""
    if len(footprints) == 1:
        ((wide, deep),) = footprints
        return (((bed.width - wide) / 2.0, (bed.depth - deep) / 2.0),)
    room_wide, room_deep = bed.width - 2.0 * edge() + _ROUNDING, bed.depth - 2.0 * edge() + _ROUNDING
    rows: list[_Row] = []
    for number in sorted(range(len(footprints)), key=lambda n: (-footprints[n][1], -footprints[n][0], n)):
        wide, deep = footprints[number]
        for row in rows:
            if row.wide + gap() + wide <= room_wide:
                row.parts.append((number, row.wide + gap()))
                row.wide += gap() + wide
                break
        else:
            if wide > room_wide:
                return None
            rows.append(_Row(wide, deep, [(number, 0.0)]))
    depth = sum(row.deep for row in rows) + gap() * (len(rows) - 1)
    if depth > room_deep:
        return None
    places: dict[int, tuple[float, float]] = {}
    front = (bed.depth - depth) / 2.0
    for row in rows:
        left = (bed.width - row.wide) / 2.0
        places.update({number: (left + along, front) for number, along in row.parts})
        front += row.deep + gap()
    return tuple(places[number] for number in range(len(footprints)))
