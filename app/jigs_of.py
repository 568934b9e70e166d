"""The jigs that belong to a design: for its fins, its tubes and the holes in them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TypeAlias

import numpy as np

from ..analysis.rocket import Item
from ..analysis.tube_marks import TubeMarks, tube_marks
from ..parts.errors import FerruleError, PartError
from ..parts.fin_set import FinSet
from ..parts.fingerprint import fingerprint, short
from ..parts.jigs.drill_guide import Row, drill_guide
from ..parts.jigs.fin_plates import fin_plates, outer_box
from ..parts.jigs.jig import Jig, TubeInHand
from ..parts.jigs.marking_ring import marking_ring
from ..parts.jigs.stand import stand
from ..parts.machine import Cutter, Printer
from ..parts.params import near
from ..parts.shape import Cut
from .design import Design
from .gauges_of import Sourced
from .names import slug

THICKNESS = 4.0
"""Thickness of the sheet for plates and stands where none is stated [mm] (common practice)."""

THICKNESSES = (2.0, 12.0)
"""Sheet that stands by itself and that a jigsaw still cuts [mm] (common practice)."""

_ALIKE = 0.1
"""Tubes whose outsides differ by no more share one marking ring [mm]."""

_HOLES = {"vent": "vent", "screw": "screw", "shear pin": "shear pin", "hole": "drilled", "button": "rail button"}

_Build: TypeAlias = Callable[[], Jig]


@dataclass(frozen=True, slots=True)
class Jigs:
    """The jigs of a design.

    Attributes:
        made: those that can be made.
        refused: by name, why one cannot.
    """

    made: tuple[Jig, ...]
    refused: Mapping[str, str]


def jigs_of(design: Design, machine: Sourced | None, thickness: float = THICKNESS, only: Sequence[str] = ()) -> Jigs:
    """The jigs of a design that a machine can make; of a machine that is not named, all.

    Args:
        design: the design.
        machine: what they are made on.
        thickness: thickness of the sheet for plates and stands, as measured [mm].
        only: names of those that are wanted; all where there is none.

    Raises:
        FerruleError: the thickness is out of its range, the design has nothing that a jig is for, or what is wanted by
            its name is not there or cannot be made.
    """
    least, most = THICKNESSES
    if not least <= thickness <= most:
        raise FerruleError(
            f"--thickness: must be at least {least:g} mm and at most {most:g} mm, so that plates stand by themselves "
            f"and can be cut by hand; got {thickness:g} mm"
        )
    builds = dict(_all(design, thickness))
    if not builds:
        raise FerruleError(
            "the design has no airframe tube with a station, and nothing that a jig would hold or guide; give a "
            "[[tube]] its station, and fins or a rail button to put on it"
        )
    for name in only:
        if name not in builds:
            listed = ", ".join(builds)
            raise FerruleError(f"--only: there is no jig {name!r}{near(name, builds)}; jigs: {listed}")
    made: list[Jig] = []
    refused: dict[str, str] = {}
    for name, build in builds.items():
        if only and name not in only:
            continue
        try:
            made += _on(machine, build(), design)
        except PartError as error:
            refused[name] = str(error)
        if only and name in refused:
            raise FerruleError(f"--only: {name} cannot be made: {refused[name]}")
    if not made and not refused:
        where = machine.machine.name if machine else "no machine"
        raise FerruleError(f"{where}: what is wanted is printed, not cut from sheet; name a printer")
    return Jigs(tuple(made), refused)


def _on(machine: Sourced | None, jig: Jig, design: Design) -> tuple[Jig, ...]:
    """A jig as it is made on a machine; nothing where it is not what the machine makes.

    Raises:
        PartError: it is too large for it.
    """
    if machine is None:
        return (_without_large_prints(jig, design),)
    maker = machine.machine
    if not (jig.cut if isinstance(maker, Cutter) else jig.printed):
        return ()
    if why := _too_large(jig, maker):
        raise PartError(why)
    return (jig,)


# --- what the design has ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Fins:
    """A set of fins and the tube that it stands on."""

    item: Item
    fins: FinSet
    count: int
    tube: str | None


def _all(design: Design, thickness: float) -> Iterator[tuple[str, _Build]]:
    """Each jig by its name, and how it is made."""
    marked = tube_marks(design.rocket)
    tubes = {one.name: _in_hand(design, one) for one in marked}
    sets = tuple(_fins(design, marked))
    feet: dict[str, float] = {}
    for one in sets:
        if one.tube is not None:
            foot = -outer_box(one.fins, one.count, tubes[one.tube], thickness)[1]
            feet[one.tube] = max(foot, feet.get(one.tube, 0.0))
    for one in sets:
        name = f"fin-plates-{slug(one.item.name)}"
        yield name, partial(_plates, name, design, one, tubes, thickness, feet)
    standing = [tubes[name] for name in feet] or sorted(tubes.values(), key=lambda tube: -tube.length)[:1]
    for tube in standing:
        name, axis = f"stand-{slug(tube.name)}", feet.get(tube.name)
        yield name, partial(stand, name, tube, axis, thickness, _words(design, name, tube, axis, thickness))
    for one_tube in marked:
        yield from _drills(design, one_tube, tubes[one_tube.name])
    ringed: list[float] = []
    for one_tube in sorted(marked, key=lambda one: not one.fin_rolls):
        tube = tubes[one_tube.name]
        if one_tube.fin_rolls or all(abs(tube.outside - other) > _ALIKE for other in ringed):
            ringed.append(tube.outside)
            name = f"marking-ring-{slug(tube.name)}"
            words = _words(design, name, tube, one_tube.fin_rolls)
            yield name, partial(marking_ring, name, tube, one_tube.fin_rolls, words)


def _in_hand(design: Design, marked: TubeMarks) -> TubeInHand:
    measured = design.tubes.get(marked.name)
    readings = (measured.smallest_outside, measured.largest_outside) if measured else None
    return TubeInHand(marked.name, marked.diameter, readings, marked.length)


def _fins(design: Design, marked: Sequence[TubeMarks]) -> Iterator[_Fins]:
    for item in design.rocket.items:
        fins = item.part.fin_set() if item.part is not None else None
        if fins is None:
            continue
        first = min(item.stations) + fins.position
        last = first + fins.root_chord
        shares = {one.name: min(last, one.station + one.length) - max(first, one.station) for one in marked}
        tube = max(shares, key=lambda name: shares[name], default=None)
        on_it = tube is not None and shares[tube] > 0.0
        yield _Fins(item, fins, fins.count or item.count, tube if on_it else None)


def _plates(
    name: str, design: Design, one: _Fins, tubes: Mapping[str, TubeInHand], thickness: float, feet: Mapping[str, float]
) -> Jig:
    if one.fins.count is not None:
        raise PartError(f"{one.item.name}: its fins come in one piece, which holds them in line by itself")
    if one.tube is None:
        raise PartError(f"{one.item.name}: its roots lie on no airframe tube, which is what plates slide on")
    tube, foot = tubes[one.tube], feet[one.tube]
    words = _words(design, name, tube, one.fins, one.count, thickness, foot)
    return fin_plates(name, one.item.name, one.fins, one.count, tube, thickness, words, foot)


def _words(design: Design, *made_from: object) -> tuple[str, str]:
    """What a jig says of where it is from: the design, and the fingerprint of what it is made from."""
    return design.name, short(fingerprint([design.name, *made_from]))


def _drills(design: Design, marked: TubeMarks, tube: TubeInHand) -> Iterator[tuple[str, _Build]]:
    """A guide for every row of holes; rows that are alike share one."""
    rows: dict[tuple[str, str, float, float], list[float]] = {}
    for mark in marked.marks:
        if mark.what in _HOLES and mark.size > 0.0 and mark.roll is not None:
            rows.setdefault((mark.what, mark.name, mark.size, mark.first), []).append(mark.roll)
    alike: dict[tuple[str, str, float, tuple[float, ...]], list[float]] = {}
    for (what, item, size, place), around in rows.items():
        alike.setdefault((what, item, size, tuple(sorted(around))), []).append(place)
    seen: set[str] = set()
    for (what, item, size, rolls), places in alike.items():
        of = "" if item == tube.name or slug(item) == slug(_HOLES[what]) else slug(item)
        name = plain = "-".join(filter(None, ("drill", slug(tube.name), slug(_HOLES[what]), of)))
        number = 1
        while name in seen:
            number += 1
            name = f"{plain}-{number}"
        seen.add(name)
        row = Row(_HOLES[what], size, rolls, tuple(places))
        yield name, partial(drill_guide, name, tube, row, _words(design, name, tube, row))


# --- what the machine has ---------------------------------------------------------------------------------------------


def _too_large(jig: Jig, maker: Printer | Cutter) -> str:
    """Why a jig does not go on a machine; empty where it does."""
    if isinstance(maker, Cutter):
        for one in jig.cut:
            left, low, right, high = one.piece.outline.box()
            if not _goes((right - left, high - low), (maker.width, maker.depth)):
                return (
                    f"the {one.piece.word} is {right - left:.4g} x {high - low:.4g} mm, larger than what {maker.name} "
                    f"cuts, {maker.width:g} x {maker.depth:g} mm; cut it by hand from its paper"
                )
        return ""
    for word, (wide, deep, high) in _footprints(jig):
        if not _goes((wide, deep), (maker.width, maker.depth)) or high > maker.height:
            other = "; cut it from sheet" if jig.cut else ""
            return (
                f"the {word or 'print'} is {wide:.4g} x {deep:.4g} x {high:.4g} mm, larger than the room of "
                f"{maker.name}, {maker.width:g} x {maker.depth:g} x {maker.height:g} mm{other}"
            )
    return ""


def _without_large_prints(jig: Jig, design: Design) -> Jig:
    """A jig of sheet without its print files where no printer of the design has room for them."""
    if not (jig.cut and jig.printed and design.printers):
        return jig
    if not all(_too_large(jig, printer) for printer in design.printers.values()):
        return jig
    known = ", ".join(sorted(design.printers))
    return replace(
        jig, printed=(), make=f"{jig.make} No print file: it is larger than the bed of every printer here ({known})."
    )


def _goes(size: tuple[float, float], room: tuple[float, float]) -> bool:
    return min(size) <= min(room) and max(size) <= max(room)


def _footprints(jig: Jig) -> Iterator[tuple[str, tuple[float, float, float]]]:
    from ..parts.readers.mesh import mesh  # noqa: PLC0415  loads manifold3d only where a printer's room is asked for

    for piece in jig.printed:
        whole = piece.shape
        while isinstance(whole, Cut):
            # What is cut out makes nothing larger, and letters take long.
            whole = whole.base
        wide, deep, high = np.ptp(mesh(whole).placed(piece.pose).vertices, axis=0).tolist()
        yield piece.word, (wide, deep, high)
