"""The bay that the motor's gas fills to open the rocket: what closes its ends, and which holes lead out of it.

It lists what is there. Whether it is right is for the motor's instructions and someone who knows.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ..parts.curve import Arc
from ..parts.kinds import Bulkhead, CenteringRing, MotorMount, NoseCone, Transition, Tube
from ..parts.shape import Array, Cut, Fused, Loop, Meridian, Outline, RadialFeature, Revolved, Shape
from .joints import Joint, Section, airframe, holder
from .limits import Check
from .rocket import Item, Rocket

CLOSED, HOLES = "gas bay closed", "gas bay: unsealed holes"

_HOLES_OF_AN_ANCHOR = 2
"""Most holes that one anchor goes through: a U-bolt's two legs [-]."""


@dataclass(frozen=True, slots=True)
class Disc:
    """Something that closes the bore.

    Attributes:
        item: the item that does it.
        first: station of its forward face [mm].
        last: station of its aft face [mm].
    """

    item: Item
    first: float
    last: float


def gas_bay_checks(
    rocket: Rocket, joint: Joint, parted: tuple[Section, ...], anchored: Iterable[str]
) -> Iterator[Check]:
    """What closes the bay around the joint that releases, and the holes in it.

    Args:
        rocket: the parts in place.
        joint: the one joint that releases.
        parted: the sections that it leaves.
        anchored: for each anchor the name of the item that it goes through.
    """
    two = sorted((item for item in rocket.items if item.name in joint.between), key=lambda item: item.skin_extent())
    ahead, behind = (next(section for section in parted if item.name in section) for item in two)
    forward = max(_discs(rocket, ahead, joint), key=lambda disc: disc.last, default=None)
    aft = min(_discs(rocket, behind, joint), key=lambda disc: disc.first, default=None)
    limit = f"a disc at each end of the bay around the joint {joint.words}"
    if forward is None or aft is None or forward.last >= aft.first:
        yield Check(CLOSED, "fail", None, limit, "common practice", _open_end(joint, forward, aft))
        yield Check(
            HOLES, "not-stated", None, "one vent and no other hole", "common practice", "needs a bay with two ends"
        )
        return
    yield Check(
        CLOSED,
        "pass",
        f"{forward.item.name} at {forward.last:.2f} mm to {aft.item.name} at {aft.first:.2f} mm: "
        f"{aft.first - forward.last:.2f} mm",
        limit,
        "common practice",
    )
    yield _holes_check(rocket, forward, aft, tuple(anchored))


def _open_end(joint: Joint, forward: Disc | None, aft: Disc | None) -> str:
    if forward and aft:
        return (
            f"{forward.item.name} ends at {forward.last:.2f} mm, aft of {aft.item.name} at {aft.first:.2f} mm: "
            "there is no room between them"
        )
    both = forward is None and aft is None
    end = "ahead of or behind" if both else "ahead of" if forward is None else "behind"
    parts = [
        *(["a bulkhead forward"] if forward is None else []),
        *(["a bulkhead, or a ring with the motor tube in it, aft"] if aft is None else []),
    ]
    return f"no disc {end} the joint {joint.words} closes the bay; enter {' and '.join(parts)}"


def _discs(rocket: Rocket, section: Section, joint: Joint) -> Iterator[Disc]:
    """Everything in a section that closes its bore."""
    for item in rocket.items:
        for station in item.stations:
            home = item.name if item.name in section else None
            if len(item.stations) > 1:
                # Copies of one item may sit in different sections.
                home = holder(rocket, item, station) or home
            face = _face(rocket, item, station, joint) if home in section else None
            if face:
                yield Disc(item, station + face[0], station + face[1])


def _face(rocket: Rocket, item: Item, station: float, joint: Joint) -> tuple[float, float] | None:
    """Forward and aft face of what closes the bore, from the part's own origin [mm]; None where it is open."""
    part = item.part
    if isinstance(part, Bulkhead):
        return part.extent()
    if isinstance(part, MotorMount):
        return min(part.ring_positions), part.tube_length
    if isinstance(part, CenteringRing):
        return part.extent() if _motor_tube_in(rocket, part, station) else None
    if not isinstance(part, NoseCone | Transition):
        return None
    on_axis = _on_axis(part.shape())
    # A hollow nose closes a bay that it opens by coming off; from farther away it would take in the payload.
    if on_axis and (on_axis[1] >= part.extent()[1] - 1e-6 or item.name in joint.between):
        return on_axis
    return None


def _motor_tube_in(rocket: Rocket, ring: CenteringRing, station: float) -> bool:
    return any(
        isinstance(item.part, Tube)
        and item.part.use == "motor"
        and item.part.outside_diameter <= ring.inside_diameter + 1e-6
        and any(start <= station + ring.thickness and station <= start + item.part.length for start in item.stations)
        for item in rocket.items
    )


def _on_axis(shape: Shape) -> tuple[float, float] | None:
    """Where the material of a turned part lies on its axis, first to last [mm]; None for an open one."""
    meridian = _meridian(shape)
    if meridian is None:
        return None
    places = [x for edge in meridian.edges for x, r in (edge.piece.start, edge.piece.end) if abs(r) <= 1e-9]
    return (min(places), max(places)) if len(places) > 1 and max(places) > min(places) else None


def _meridian(shape: Shape) -> Meridian | None:
    match shape:
        case Revolved():
            return shape.meridian
        case Cut():
            return _meridian(shape.base)
        case Fused():
            return _meridian(shape.members[0])
        case _:
            return None


def _holes_check(rocket: Rocket, forward: Disc, aft: Disc, anchored: tuple[str, ...]) -> Check:
    found: list[str] = []
    filled: list[str] = []
    vents = others = 0
    for item, feature, count in _radial_holes(rocket, forward.last, aft.first):
        is_vent = isinstance(item.part, Tube) and item.part.use == "airframe" and _diameter(feature) is not None
        vents += count if is_vent else 0
        others += 0 if is_vent else count
        found.append(
            f"{_holes(count, _diameter(feature))} in {item.name} at {item.stations[0] + _middle(feature):.2f} mm"
        )
    for disc in (forward, aft):
        diameters = _through(disc.item)
        taken = min(len(diameters), _HOLES_OF_AN_ANCHOR * anchored.count(disc.item.name))
        if taken:
            filled.append(
                f"{_holes(taken, diameters[0])} in {disc.item.name} counted as filled by what is anchored there"
            )
        for diameter in dict.fromkeys(diameters[taken:]):
            count = diameters[taken:].count(diameter)
            others += count
            found.append(f"{_holes(count, diameter)} in {disc.item.name}")
    notes = [*(["close each, or know why it is open"] if others or vents > 1 else []), *filled]
    return Check(
        HOLES,
        "warn" if others or vents > 1 else "pass",
        "; ".join(found) or "none",
        "one vent and no other hole",
        "common practice",
        "; ".join(notes),
    )


def _holes(count: int, diameter: float | None) -> str:
    kind = "opening" if diameter is None else f"hole of {diameter:.4g} mm"
    return f"1 {kind}" if count == 1 else f"{count} {kind.replace('hole', 'holes').replace('opening', 'openings')}"


def _radial_holes(rocket: Rocket, first: float, last: float) -> Iterator[tuple[Item, RadialFeature, int]]:
    """Holes in the walls of the airframe between two stations."""
    for item in airframe(rocket):
        for feature, count in _cut_through(item.part.shape()) if item.part else ():
            x0, _, x1, _ = feature.outline.box()
            station = item.stations[0] + feature.station
            if station + x1 > first and station + x0 < last:
                yield item, feature, count


def _cut_through(shape: Shape) -> Iterator[tuple[RadialFeature, int]]:
    """Radial holes of a shape, with how many of each there are."""
    if isinstance(shape, Fused):
        for member in shape.members:
            yield from _cut_through(member)
    if not isinstance(shape, Cut):
        return
    yield from _cut_through(shape.base)
    for tool in shape.tools:
        if isinstance(tool, RadialFeature):
            yield tool, 1
        elif isinstance(tool, Array) and isinstance(tool.shape, RadialFeature):
            yield tool.shape, tool.count


def _diameter(feature: RadialFeature) -> float | None:
    """Diameter of a round hole [mm]; None for any other."""
    return _round(feature.outline.outer)


def _round(loop: Loop) -> float | None:
    arcs = [edge.piece for edge in loop if isinstance(edge.piece, Arc)]
    turned = sum(abs(arc.sweep) for arc in arcs)
    alike = {(arc.centre, arc.radius) for arc in arcs}
    whole = len(arcs) == len(loop) and len(alike) == 1 and abs(turned - math.tau) < 1e-9
    return 2.0 * arcs[0].radius if whole else None


def _middle(feature: RadialFeature) -> float:
    x0, _, x1, _ = feature.outline.box()
    return feature.station + (x0 + x1) / 2.0


def _through(item: Item) -> list[float | None]:
    """Diameters of the holes that go through a disc; the motor tube fills the bore of a ring."""
    pieces = item.part.cut_pieces() if item.part else ()
    # The foremost rings of a motor mount come first: a hole in the others leads nowhere.
    outlines = [piece.outline for piece in (pieces[:1] if isinstance(item.part, MotorMount) else pieces)]
    shared = set.intersection(*(set(_holes_of(outline)) for outline in outlines)) if outlines else set()
    if not isinstance(item.part, Bulkhead):
        shared = {found for found in shared if math.hypot(found[0], found[1]) > 1e-6}
    return [diameter for _, _, diameter in sorted(shared, key=lambda found: (found[2] or 0.0, found))]


def _holes_of(outline: Outline) -> list[tuple[float, float, float | None]]:
    """Middle and diameter of each hole, rounded to what no saw can tell apart."""
    found: list[tuple[float, float, float | None]] = []
    for loop in outline.holes:
        points = [edge.piece.start for edge in loop]
        diameter, arc = _round(loop), loop[0].piece
        x, y = arc.centre if diameter is not None and isinstance(arc, Arc) else points[0]
        found.append((round(x, 6), round(y, 6), None if diameter is None else round(diameter, 6)))
    return found
