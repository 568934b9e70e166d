"""The bay that the motor's gas fills to open the rocket: what closes its ends, and which holes lead out of it.

It lists what is there. Whether it is right is for the motor's instructions and someone who knows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ..parts.curve import Point, bounds
from ..parts.kinds import Bulkhead, CenteringRing, MotorMount, NoseCone, Transition, Tube
from ..parts.shape import Cut, Fused, Meridian, Outline, RadialFeature, Revolved, Shape
from .joints import Joint, Section, airframe, holder
from .limits import Check
from .rocket import Item, Rocket
from .wall_holes import cut_through, diameter_of, diameter_of_loop, middle_of

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
    forward = max(discs(rocket, ahead, joint), key=lambda disc: disc.last, default=None)
    aft = min(discs(rocket, behind, joint), key=lambda disc: disc.first, default=None)
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


def discs(rocket: Rocket, section: Section, joint: Joint) -> Iterator[Disc]:
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
    if isinstance(part, NoseCone) and part.plate_seat is not None and part.plate_thickness is not None:
        return part.rear - part.plate_thickness, part.rear
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
        is_vent = isinstance(item.part, Tube) and item.part.use == "airframe" and diameter_of(feature) is not None
        vents += count if is_vent else 0
        others += 0 if is_vent else count
        found.append(
            f"{_holes(count, diameter_of(feature))} in {item.name} at {item.stations[0] + middle_of(feature):.2f} mm"
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
    notes = [
        *(["close each, or know why it is open"] if others or vents > 1 else []),
        *(["air that is shut in pushes the rocket apart as it climbs; a bay has one vent"] if not vents else []),
        *filled,
    ]
    return Check(
        HOLES,
        "warn" if others or vents != 1 else "pass",
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
        for feature, count in cut_through(item.part.shape()) if item.part else ():
            x0, _, x1, _ = feature.outline.box()
            station = item.stations[0] + feature.station
            if station + x1 > first and station + x0 < last:
                yield item, feature, count


def _through(item: Item) -> list[float | None]:
    """Diameters of the holes that go through a disc; motor tubes fill the bores of a ring."""
    part = item.part
    outlines = part.outlines() if isinstance(part, Bulkhead) else list(part.cut_outlines()) if part else []
    # The foremost rings of a motor mount come first: a hole in the others leads nowhere.
    outlines = list(outlines[:1] if isinstance(part, MotorMount) else outlines)
    if not outlines:
        return []
    shared = set.intersection(*(set(_holes_of(outline, _tube_middles(item))) for outline in outlines))
    # A rim that is no whole circle is notched, and lets gas past as a hole does.
    notched = [None] if all(diameter_of_loop(outline.outer) is None for outline in outlines) else []
    return [*(diameter for _, _, diameter in sorted(shared, key=lambda found: (found[2] or 0.0, found))), *notched]


def _tube_middles(item: Item) -> tuple[Point, ...]:
    """Where motor tubes fill a disc, in the plane of its outline."""
    if isinstance(item.part, CenteringRing):
        return item.part.tube_middles()
    return ((0.0, 0.0),) if isinstance(item.part, MotorMount) else ()


def _holes_of(outline: Outline, filled: tuple[Point, ...]) -> list[tuple[float, float, float | None]]:
    """Middle and diameter of each hole that no tube fills, rounded to what no saw can tell apart."""
    found: list[tuple[float, float, float | None]] = []
    for loop in outline.holes:
        boxes = [bounds(edge.piece) for edge in loop]
        left, low = min(box[0] for box in boxes), min(box[1] for box in boxes)
        right, high = max(box[2] for box in boxes), max(box[3] for box in boxes)
        if any(left < x < right and low < y < high for x, y in filled):
            continue
        diameter = diameter_of_loop(loop)
        x, y = (left + right) / 2.0, (low + high) / 2.0
        found.append((round(x, 6), round(y, 6), None if diameter is None else round(diameter, 6)))
    return found
