"""What the entries of a design say of the room that fittings take, and of the rail that it flies from."""

from __future__ import annotations

from collections.abc import Mapping

from ..analysis.envelopes import Envelope, Place, bolt_places, nuts
from ..analysis.packing import Packing
from ..analysis.rail_exit import Rail, usual_rails
from ..analysis.rocket import Item, Rocket
from ..parts.errors import FerruleError
from ..parts.hardware import HexNut, UBolt, Washer, hardware, sized
from .entries import AnchorEntry, Entry, JointEntry, ParachuteEntry, RailEntry

_THREAD = 2.0
"""How far a thread stands out of its nut [mm]: two turns or so (common practice)."""

Entries = Mapping[str, tuple[Entry, ...]]


def packing(entries: Entries) -> Packing:
    """The packed parachute, and the screws of each part that is screwed."""
    lengths = [one.packed_length for one in entries.get("parachute", ()) if isinstance(one, ParachuteEntry)]
    stated = [length for length in lengths if length is not None]
    screws: dict[str, float] = {}
    for one in entries.get("joint", ()):
        if isinstance(one, JointEntry) and one.screw_length is not None:
            for name in one.between:
                # A part that is screwed on both sides is held to the longer screws: those reach farther in.
                screws[name] = max(one.screw_length, screws.get(name, 0.0))
    return Packing(sum(stated) if stated and len(stated) == len(lengths) else None, None, screws)


def rails(entries: Entries) -> tuple[Rail, ...]:
    """The rail that the design states, or the usual ones while it states no length."""
    stated = next((one for one in entries.get("rail", ()) if isinstance(one, RailEntry)), RailEntry())
    if stated.length is None:
        return usual_rails(stated.stand_off)
    return (Rail(stated.length, stated.stand_off, is_stated=True),)


def envelopes(rocket: Rocket, entries: Entries) -> tuple[Envelope, ...]:
    """Washers and nuts of the anchors that the hardware tables name, where their part has holes for them.

    Anchors on one part share its holes in the order of the file: a U-bolt takes two, any other one.
    """
    found: list[Envelope] = []
    free: dict[str, list[Place]] = {}
    for entry in entries.get("anchor", ()):
        item = next((one for one in rocket.items if isinstance(entry, AnchorEntry) and one.name == entry.on), None)
        if not isinstance(entry, AnchorEntry) or entry.item is None or item is None:
            continue
        bolt = hardware(entry.item)
        holes = free.setdefault(item.name, list(bolt_places(item)))
        legs = 2 if isinstance(bolt, UBolt) else 1
        # A U-bolt's legs stand beside each other, so a hole in the middle is none of theirs.
        own = [place for place in holes if legs == 1 or place[0] > 0.0][:legs]
        free[item.name] = [place for place in holes if place not in own]
        found += _nuts(entry.name, item, bolt.size, tuple(own))
    return tuple(found)


def _nuts(name: str, item: Item, size: str, places: tuple[Place, ...]) -> tuple[Envelope, ...]:
    try:
        washer, nut = sized(Washer, size), sized(HexNut, size)
    except FerruleError:
        return ()  # a size that the tables have no washer and nut for
    return nuts(name, item, washer.outside_diameter, washer.thickness + nut.height + _THREAD, places)
