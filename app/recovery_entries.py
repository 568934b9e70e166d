"""Joints, anchors, harnesses and parachutes of a design file, by names that are checked."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from ..analysis.recovery import Anchor, Harness, Joint, Parachute, Recovery
from ..parts.tables import material
from .entries import AnchorEntry, HarnessEntry, JointEntry, ParachuteEntry, PlacedMass
from .reading import Path_, Reading


def read_joint(
    reading: Reading, data: Mapping[str, Any], path: Path_, parts: Collection[str], joined: dict[frozenset[str], int]
) -> None:
    """One `[[joint]]`.

    Args:
        reading: what is told of faults.
        data: the table.
        path: where it stands.
        parts: names of what can be joined.
        joined: the pairs that are joined already, with the numbers of their tables; this one is added.
    """
    entry = reading.entry("joint", JointEntry, data, path)
    if entry is None:
        return
    for index, name in enumerate(entry.between):
        reading.known(name, parts, "tube or part", (*path, "between", index))
    first, second = entry.between
    if first == second:
        reading.fault((*path, "between"), f"{first!r} is not joined to itself")
    before = joined.setdefault(frozenset(entry.between), int(path[-1]))
    if before != path[-1]:
        reading.fault((*path, "between"), f"{first!r} and {second!r} are joined already, by joint[{before + 1}]")


def recovery_of(reading: Reading, parts: Collection[str]) -> Recovery:
    """Everything that is stated of the recovery, once all its tables are read.

    Args:
        reading: the tables, and what is told of faults.
        parts: names of what an anchor can go through.
    """
    found = {name: reading.entries.get(name, []) for name in ("joint", "anchor", "harness", "parachute")}
    anchors, harnesses = (
        [entry.name for _, entry in found[name] if isinstance(entry, PlacedMass)] for name in ("anchor", "harness")
    )
    for index, entry in found["anchor"]:
        if isinstance(entry, AnchorEntry):
            reading.known(entry.on, parts, "tube or part", ("anchor", index, "on"))
    for index, entry in found["harness"]:
        for place, name in enumerate(entry.anchors if isinstance(entry, HarnessEntry) else ()):
            reading.known(name, anchors, "anchor", ("harness", index, "anchors", place))
    for index, entry in found["parachute"]:
        if isinstance(entry, ParachuteEntry) and entry.harness is not None:
            reading.known(entry.harness, harnesses, "harness", ("parachute", index, "harness"))
    return Recovery(
        tuple(
            Joint((e.between[0], e.between[1]), e.state, e.by) for _, e in found["joint"] if isinstance(e, JointEntry)
        ),
        tuple(
            Anchor(e.name, e.on, bool(e.material) and material(e.material or "").family == "metal", e.material)
            for _, e in found["anchor"]
            if isinstance(e, AnchorEntry)
        ),
        tuple(Harness(e.name, e.anchors) for _, e in found["harness"] if isinstance(e, HarnessEntry)),
        tuple(Parachute(e.name, e.harness) for _, e in found["parachute"] if isinstance(e, ParachuteEntry)),
    )
