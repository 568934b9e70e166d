"""Checks whether a part has room on the machine that makes it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..parts.part import Part
from ..parts.readers.integrals import box
from ..parts.shape import Placed
from .circumstances import Circumstances
from .limits import Check
from .rocket import Rocket

_SOURCE = "the machines in the design file"


def room_checks(rocket: Rocket, around: Circumstances) -> Iterator[Check]:
    """Each printed part on the printers, each cut piece on the cutters; nothing where no machine is stated."""
    for item in rocket.items:
        part = item.part
        if part is None or item.kind == "tube":
            continue
        pieces = part.cut_pieces()
        if not pieces and around.printers:
            yield _room(f"{item.name}: on a printer", _standing(part), around.printers)
        if pieces and around.cutters:
            sizes = [_spread(piece.outline.box()) for piece in pieces]
            yield _room(
                f"{item.name}: on a cutter", (max(s[0] for s in sizes), max(s[1] for s in sizes)), around.cutters
            )


def _standing(part: Part) -> tuple[float, float, float]:
    """Size of a part in the pose in which it is made [mm]."""
    low, high = box(Placed(part.shape(), part.pose()))
    x, y, z = (float(value) for value in high - low)
    return x, y, z


def _spread(outline: tuple[float, float, float, float]) -> tuple[float, float]:
    return outline[2] - outline[0], outline[3] - outline[1]


def _room(name: str, size: tuple[float, ...], machines: Mapping[str, tuple[float, ...]]) -> Check:
    """Whether one of the machines holds the size; a part may be turned on the bed, not laid down."""
    holds = [machine for machine, room in machines.items() if _fits(size, room)]
    limit = "; ".join(f"{machine} {_words(room)}" for machine, room in machines.items())
    if holds:
        return Check(name, "pass", f"{_words(size)}, on {holds[0]}", limit, _SOURCE)
    return Check(name, "warn", _words(size), limit, _SOURCE, "no machine of the design has that much room")


def _fits(size: tuple[float, ...], room: tuple[float, ...]) -> bool:
    flat, bed = sorted(size[:2]), sorted(room[:2])
    return flat[0] <= bed[0] and flat[1] <= bed[1] and size[2:] <= room[2:]


def _words(size: tuple[float, ...]) -> str:
    return " x ".join(f"{value:.0f}" for value in size) + " mm"
