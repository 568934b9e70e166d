"""What the entries of a design say of the room that fittings take, of its launch, its drag and its loads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TypeVar

from ..analysis.envelopes import Envelope, Place, bolt_places, nuts
from ..analysis.flight.canopy import Canopy
from ..analysis.launch import Launch
from ..analysis.loads.stated import Canopy as StatedCanopy
from ..analysis.loads.stated import Force, Pins, StatedLoads
from ..analysis.packing import Packing
from ..analysis.rail_exit import Rail, usual_rails
from ..analysis.rocket import Item, Rocket
from ..parts.errors import FerruleError
from ..parts.hardware import HexNut, UBolt, Washer, hardware, sized
from .entries import AnchorEntry, Entry, HarnessEntry, JointEntry, ParachuteEntry, RailEntry
from .flight_entries import DragEntry, LaunchEntry, LoadsEntry

_THREAD = 2.0
"""How far a thread stands out of its nut [mm]: two turns or so (common practice)."""

Entries = Mapping[str, tuple[Entry, ...]]
E = TypeVar("E", bound=Entry)


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


def launch_of(entries: Entries) -> Launch:
    """Where and how it is launched; what is not stated is as usual: at sea level, upright, in the usual winds."""
    entry = next(_all(entries, "launch", LaunchEntry), None)
    stated, usual = entry or LaunchEntry(), Launch()
    return Launch(
        stated.altitude / 1000.0,
        stated.temperature,
        stated.tilt,
        tuple(sorted(set(stated.winds))) or usual.winds,
        None if stated.ceiling is None else stated.ceiling / 1000.0,
        is_stated=entry is not None,
        winds_are_stated=bool(stated.winds),
    )


def field_of(entries: Entries) -> float | None:
    """Distance from the pad to the nearest edge of the field [m]; None where it is not stated."""
    stated = next(_all(entries, "launch", LaunchEntry), LaunchEntry()).field
    return None if stated is None else stated / 1000.0


def drag_of(entries: Entries) -> DragEntry:
    """What is stated of the drag; every field None where there is nothing."""
    return next(_all(entries, "drag", DragEntry), DragEntry())


def loads_of(entries: Entries) -> LoadsEntry:
    """What loads are reckoned with; every field None where there is nothing."""
    return next(_all(entries, "loads", LoadsEntry), LoadsEntry())


def canopies(entries: Entries) -> tuple[Canopy, ...]:
    """The parachutes, with the area that their coefficients refer to."""
    return tuple(
        Canopy(one.name, one.diameter, one.drag_coefficient, one.drag_area)
        for one in _all(entries, "parachute", ParachuteEntry)
    )


def stated_loads(entries: Entries) -> StatedLoads:
    """What is stated of loads and strengths."""
    joints = {" to ".join(one.between): one for one in _all(entries, "joint", JointEntry)}
    anchors = tuple(_all(entries, "anchor", AnchorEntry))
    loads = loads_of(entries)
    return StatedLoads(
        opening_factor=loads.opening_factor,
        harness_strength={
            one.name: one.strength for one in _all(entries, "harness", HarnessEntry) if one.strength is not None
        },
        anchor_ratings={one.name: one.rating for one in anchors if one.rating is not None},
        anchor_sizes={one.name: one.item for one in anchors if one.item is not None},
        pins={
            words: Pins(one.pin_size, one.pins)
            for words, one in joints.items()
            if one.pin_size is not None and one.pins is not None
        },
        holding_force={words: one.holding_force for words, one in joints.items() if one.holding_force is not None},
        opening_force={
            words: Force(one.opening_force, one.opening_force_from)
            for words, one in joints.items()
            if one.opening_force is not None and one.opening_force_from is not None
        },
        glue_shear=loads.glue_shear,
        canopies={
            one.name: StatedCanopy(one.diameter, one.drag_coefficient)
            for one in canopies(entries)
            if one.diameter is not None and one.drag_coefficient is not None and one.drag_area is not None
        },
    )


def _all(entries: Entries, name: str, model: type[E]) -> Iterator[E]:
    return (one for one in entries.get(name, ()) if isinstance(one, model))


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
