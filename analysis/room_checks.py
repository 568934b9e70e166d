"""Checks whether a part has room on the machine that makes it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..parts.kinds import FinCan
from ..parts.part import Part
from ..parts.readers.integrals import box
from ..parts.shape import Placed
from .circumstances import Circumstances
from .limits import Check
from .printed_size import printed_size
from .rocket import Rocket

_SOURCE = "the machines in the design file"


def room_checks(rocket: Rocket, around: Circumstances) -> Iterator[Check]:
    """Each printed part on the printers, each cut piece on the cutters; nothing where no machine is stated.

    A part whose files are made for one machine is held to that one.
    """
    for item in rocket.items:
        part = item.part
        if part is None or item.kind == "tube" or part.laid_at_the_bench:
            continue
        outlines, own = part.cut_outlines(), around.made_on.get(item.name, "")
        printers = {own: around.printers[own]} if own in around.printers else around.printers
        cutters = {own: around.cutters[own]} if own in around.cutters else around.cutters
        if printers and (not outlines or own in around.printers):
            yield _room(f"{item.name}: on a printer", _standing(part), printers)
        elif outlines and cutters:
            yield _room(f"{item.name}: on a cutter", [_spread(outline.box()) for outline in outlines], cutters)


def _standing(part: Part) -> list[tuple[float, ...]]:
    """Size of each piece in the pose in which it is printed [mm]."""
    pieces = part.printed_pieces()
    if isinstance(part, FinCan) and len(pieces) > 1:
        # Cut out of the whole round: what is left is smaller than any box that its shape tells of.
        return [printed_size(piece.shape, piece.pose)[:3] for piece in pieces]
    boxes = (box(Placed(piece.shape, piece.pose)) for piece in pieces)
    return [tuple((high - low).tolist()) for low, high in boxes]


def _spread(outline: tuple[float, float, float, float]) -> tuple[float, float]:
    return outline[2] - outline[0], outline[3] - outline[1]


def _room(name: str, sizes: Sequence[tuple[float, ...]], machines: Mapping[str, tuple[float, ...]]) -> Check:
    """Whether one of the machines holds each of the sizes; a part may be turned on the bed, not laid down."""
    holds = [machine for machine, room in machines.items() if all(_fits(size, room) for size in sizes)]
    limit = "; ".join(f"{machine} {_words(room)}" for machine, room in machines.items())
    value = ", ".join(dict.fromkeys(_words(size) for size in sizes))
    if holds:
        return Check(name, "pass", f"{value}, on {holds[0]}", limit, _SOURCE)
    note = "the machine has not that much room" if len(machines) == 1 else "no machine of the design has so much room"
    return Check(name, "warn", value, limit, _SOURCE, note)


def _fits(size: tuple[float, ...], room: tuple[float, ...]) -> bool:
    flat, bed = sorted(size[:2]), sorted(room[:2])
    return flat[0] <= bed[0] and flat[1] <= bed[1] and size[2:] <= room[2:]


def _words(size: tuple[float, ...]) -> str:
    return " x ".join(f"{value:.0f}" for value in size) + " mm"
