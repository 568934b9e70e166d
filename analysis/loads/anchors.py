"""Anchors under the opening load: their rating, the plate that they go through, and what is pulled through it.

The whole opening load counts on each anchor: a harness may come taut on one section first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ...parts.hardware import Eyebolt, Hardware, UBolt, UnknownHardwareError, Washer, every, hardware, sized
from ...parts.kinds import Bulkhead, CenteringRing, MotorMount
from ...parts.strengths import Strength, strength
from ..limits import Check, Limit
from ..rail_exit import GRAVITY
from ..recovery import Anchor, Recovery
from ..rocket import Item, Rocket
from .held import STATICS, TEXTBOOK, Sum, held, newtons, not_stated
from .opening import Opening
from .plates import POISSON, plug_shear, round_plate, strip
from .stated import StatedLoads


@dataclass(frozen=True, slots=True)
class Seat:
    """The plate that an anchor goes through.

    Attributes:
        name: name of the item.
        material: what it is made of; None where it is not stated.
        thicknesses: thickness of each disc [mm].
        radius: radius of a disc to its support [mm].
        bore: radius of a ring's bore [mm]; 0 for a disc.
        washer: diameter of a washer [mm]; None where none is known.
        washer_from: where that comes from, in words.
        legs: washers that share the load [-].
    """

    name: str
    material: str | None
    thicknesses: tuple[float, ...]
    radius: float
    bore: float
    washer: float | None
    washer_from: str
    legs: int

    @property
    def strength(self) -> Strength | None:
        """What its material bears; None where that is not known."""
        return strength(self.material)

    @property
    def lacking(self) -> str:
        """What is missing to look at it, as a sentence; empty where nothing is."""
        if self.washer is None:
            return f"enter what goes through {self.name} as `item`, such as M6 eyebolt, or its `washer_diameter`"
        if self.material is None:
            return f"enter the `material` of {self.name}"
        return f"the table of strengths has none for {self.material}" if self.strength is None else ""


def anchor_checks(
    rocket: Rocket,
    recovery: Recovery,
    opening: Opening,
    stated: StatedLoads,
    rules: Mapping[str, Limit],
    after: str = "",
) -> Iterator[Check]:
    """Each anchor and its plate under the opening load.

    Args:
        rocket: the parts in place.
        recovery: the anchors.
        opening: the load as the parachute opens.
        stated: sizes and ratings of the anchors.
        rules: limits by name.
        after: what every name ends in.
    """
    items = {item.name: item for item in rocket.items}
    for anchor in recovery.anchors:
        yield _rating(anchor, opening, stated, rules["anchor_rating"], after)
        if anchor.on not in items:
            continue
        seat = seat_of(items[anchor.on], stated.anchor_sizes.get(anchor.name))
        if seat is None:
            note = f"{anchor.on} is no disc or ring: what its wall bears is not known; take plywood and a washer"
            limit = rules["structure_margin"]
            yield not_stated(f"{anchor.on} under {anchor.name}{after}", opening.force, limit, _open(opening), note)
            continue
        yield _bending(anchor, seat, opening, rules["structure_margin"], after)
        yield _pulled_through(anchor, seat, opening, rules["structure_margin"], after)


def _piece(words: str | None) -> Hardware | None:
    try:
        return None if words is None else hardware(words)
    except UnknownHardwareError:
        return None


def _rating(anchor: Anchor, opening: Opening, stated: StatedLoads, limit: Limit, after: str) -> Check:
    name, words = f"{anchor.name} under the opening load{after}", stated.anchor_sizes.get(anchor.name)
    note = "take a larger anchor, or one that is rated for more"
    rated = stated.anchor_ratings.get(anchor.name)
    if rated is not None:
        inputs = (f"{anchor.name} is rated for {newtons(rated)} (stated)", *opening.short)
        return held(name, opening.force, rated, limit, Sum(_OVER, inputs, "common practice"), note)
    piece = _piece(words)
    if isinstance(piece, Eyebolt) and piece.rated_load is not None:
        rated = piece.rated_load / 1000.0 * GRAVITY
        row = f"{piece.name}: {piece.rating}, {newtons(rated)} ({piece.source}; {piece.mark})"
        pulled = "the load is taken along its shank; at an angle it bears less"
        inputs = (row, pulled, *opening.short)
        return held(name, opening.force, rated, limit, Sum(_OVER, inputs, "common practice"), note)
    what = f"{words} has no rated load" if piece else f"it is not stated what {anchor.name} is"
    ask = (
        f"{what}: enter the load that its maker rates it for, at least {newtons(opening.force)}, "
        "or take one with a rated load, from M8 up in DIN 580"
    )
    return not_stated(name, opening.force, limit, Sum(_OVER, opening.short, "common practice"), ask)


def seat_of(item: Item, size: str | None) -> Seat | None:
    """The plate that an anchor goes through; None where the item is neither disc nor ring.

    Args:
        item: what it goes through.
        size: what the anchor is, as the tables of hardware name it; None where that is not stated.
    """
    part, piece = item.part, _piece(size)
    if not isinstance(part, Bulkhead | CenteringRing | MotorMount):
        return None
    washer, words = part.washer_diameter, "as stated"
    if washer is None and piece is not None and piece.size in {row.size for row in every(Washer)}:
        washer, words = sized(Washer, piece.size).outside_diameter, f"{piece.size} washer of ISO 7089"
    legs = 2 if isinstance(piece, UBolt) else 1
    if isinstance(part, Bulkhead):
        stepped = part.step_diameter is not None and part.step_thickness is not None
        thick = (part.thickness, part.step_thickness or 0.0) if stepped else (part.thickness,)
        radius = ((part.step_diameter if stepped else None) or part.outside_diameter) / 2.0
        return Seat(item.name, part.material, thick, radius, 0.0, washer, words, legs)
    if isinstance(part, CenteringRing):
        rim, bore, thickness, made_of = part.outside_diameter, part.inside_diameter, part.thickness, part.material
    else:
        rim, thickness, made_of = part.ring_diameter, part.ring_thickness, part.ring_material
        bore = part.ring_inside_diameter or part.tube_outside_diameter
    return Seat(item.name, made_of, (thickness,), rim / 2.0, bore / 2.0, washer, words, legs)


def _bending(anchor: Anchor, seat: Seat, opening: Opening, limit: Limit, after: str) -> Check:
    name = f"{seat.name} bent by {anchor.name}{after}"
    bears = seat.strength.bending if seat.strength else None
    if seat.washer is None or bears is None:
        return not_stated(name, opening.force, limit, _open(opening), seat.lacking or _no_value(seat, "bending"))
    sheets = " and ".join(f"{one:g}" for one in seat.thicknesses)
    sizes = [f"washer {seat.washer:g} mm ({seat.washer_from})", f"thickness {sheets} mm"]
    if seat.bore:
        web = seat.radius - seat.bore
        bent = strip(opening.force / seat.legs, web, seat.washer, seat.thicknesses[0])
        formula = (
            "strip of ring as wide as the washer, from bore to rim: 6 M / w t2, M = F L / 4 supported, F L / 8 clamped"
        )
        sizes += [f"web {web:.1f} mm", f"{seat.legs} of them share the load"]
        sizes.append("no hole allowed for; the rest of the ring helps, and is left out")
        source = STATICS
    else:
        bent = round_plate(opening.force, seat.washer / 2.0, seat.radius, seat.thicknesses)
        formula = "round plate with the load over the washer in its middle: 6 M / t2, rim supported and clamped"
        sizes += [
            f"radius to the support {seat.radius:.1f} mm, no hole allowed for",
            f"Poisson's ratio {POISSON:g} (common practice)",
        ]
        if len(seat.thicknesses) > 1:
            sizes.append("discs share the load as if they were not glued to each other")
        source = TEXTBOOK
    inputs = (
        f"stress {bent.supported:.1f} MPa supported, which counts, {bent.clamped:.1f} MPa clamped",
        _bears(seat, f"{bears:g} MPa in bending"),
        *sizes,
        *opening.short,
    )
    found = Sum(formula, inputs, source)
    return held(name, opening.force, opening.force * bears / bent.supported, limit, found, _THICKER)


def _pulled_through(anchor: Anchor, seat: Seat, opening: Opening, limit: Limit, after: str) -> Check:
    name = f"{anchor.name} pulled through {seat.name}{after}"
    bears = seat.strength.shear if seat.strength else None
    if seat.washer is None or bears is None:
        return not_stated(name, opening.force, limit, _open(opening), seat.lacking or _no_value(seat, "shear"))
    thick = sum(seat.thicknesses)
    stress = plug_shear(opening.force / seat.legs, seat.washer, thick)
    inputs = (
        f"shear {stress:.2f} MPa",
        _bears(seat, f"{bears:g} MPa in shear through its thickness"),
        f"washer {seat.washer:g} mm ({seat.washer_from}), {seat.legs} of them",
        f"thickness {thick:g} mm",
        *opening.short,
    )
    found = Sum("F / (n pi d t) round the washer", inputs, STATICS)
    return held(name, opening.force, opening.force * bears / stress, limit, found, _THICKER)


_OVER = "rated load / F"
_THICKER = "take thicker plywood, or a larger washer"


def _bears(seat: Seat, words: str) -> str:
    row = seat.strength
    return f"{seat.material}: {words} ({row.source}; {row.mark})" if row else ""


def _no_value(seat: Seat, what: str) -> str:
    return f"the table of strengths has no value in {what} for {seat.material}"


def _open(opening: Opening) -> Sum:
    return Sum("strength / stress under F", opening.short)
