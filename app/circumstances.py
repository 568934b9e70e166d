"""What the entries of a design say of the room that fittings, screws and the packed parachute take."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..analysis.envelopes import Envelope, nuts
from ..analysis.packing import Packing
from ..analysis.rocket import Rocket
from ..parts.errors import FerruleError
from ..parts.hardware import HexNut, Washer, hardware, sized
from .entries import AnchorEntry, Entry, JointEntry, ParachuteEntry

_THREAD = 2.0
"""How far a thread stands out of its nut [mm]: two turns or so (common practice)."""

Entries = Mapping[str, tuple[Entry, ...]]


def packing(entries: Entries) -> Packing:
    """The packed parachute, and the screws of each part that is screwed."""
    lengths = [one.packed_length for one in entries.get("parachute", ()) if isinstance(one, ParachuteEntry)]
    stated = [length for length in lengths if length is not None]
    screws = {
        name: one.screw_length
        for one in entries.get("joint", ())
        if isinstance(one, JointEntry) and one.screw_length is not None
        for name in one.between
    }
    return Packing(sum(stated) if stated and len(stated) == len(lengths) else None, None, screws)


def envelopes(rocket: Rocket, entries: Entries) -> tuple[Envelope, ...]:
    """Washers and nuts of every anchor that is named by the hardware tables."""
    return tuple(one for entry in entries.get("anchor", ()) for one in _of_anchor(rocket, entry))


def _of_anchor(rocket: Rocket, entry: Entry) -> Iterator[Envelope]:
    if not isinstance(entry, AnchorEntry) or entry.item is None:
        return
    item = next((one for one in rocket.items if one.name == entry.on), None)
    size = hardware(entry.item).size
    try:
        washer, nut = sized(Washer, size), sized(HexNut, size)
    except FerruleError:
        return  # a size that the tables have no washer and nut for
    if item is not None:
        height = washer.thickness + nut.height + _THREAD
        yield from nuts(entry.name, item, washer.outside_diameter, height)
