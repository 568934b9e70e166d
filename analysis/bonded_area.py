"""Where glue lies: the area that two parts share in each glued joint, from their faces and stations.

What is round shares a cylinder: the bore of the one around the other, over the length that both have there, less what
notches take out of a rim or a bore. A fin shares both faces of its tab with the wall of its slot and the rest of its
root with the skin; with the tube inside, the end of its tab.

Left out, because they are small or no film: fillets, which are items of their own, the ends of slots, what holes take
away, and the butted ends of tubes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ..parts.curve import Arc, Line
from ..parts.kinds import Bulkhead, Fin, MotorMount, RailButton, Tube
from ..parts.kinds.fin_tab import SHORT_OF_TUBE
from ..parts.shape import Cut, Fused, Loop, Placed, Plate, Revolved, Shape
from .joints import MEETING, Joint
from .rocket import Item, Rocket

WIDEST = 1.0
"""A gap on the radius that is wider than this [mm] is no joint that glue fills (common practice)."""

TIGHTEST = 0.5
"""How far the outside of what sits in a bore may be drawn larger than it, on the radius [mm]: a press fit."""


@dataclass(frozen=True, slots=True)
class Face:
    """One face that two parts share.

    Attributes:
        words: how its area is found.
        area: area [mm2].
        station: its middle along the axis [mm].
    """

    words: str
    area: float
    station: float


@dataclass(frozen=True, slots=True)
class BondedJoint:
    """A glued joint with the faces that it has.

    Attributes:
        between: names of the two, as the joint has them.
        words: which is in or on which, such as `ring in tube`.
        faces: the faces that the two share; none where none were found.
    """

    between: tuple[str, str]
    words: str
    faces: tuple[Face, ...]

    @property
    def area(self) -> float:
        """Area of all its faces [mm2]."""
        return sum(face.area for face in self.faces)

    @property
    def station(self) -> float | None:
        """Centroid of its faces along the axis [mm]; None without any."""
        area = self.area
        return sum(face.area * face.station for face in self.faces) / area if area else None

    @property
    def sum(self) -> str:
        """How the area is found, faces that are alike together."""
        words = [face.words for face in self.faces]
        alike = {one: words.count(one) for one in words}
        return " + ".join(one if number == 1 else f"{number} x ({one})" for one, number in alike.items())


def bonded_joints(rocket: Rocket, joints: Iterable[Joint]) -> tuple[BondedJoint, ...]:
    """Every glued joint with the faces that its two parts share, in the order of the joints.

    Args:
        rocket: the parts in place.
        joints: all joints; those that are screwed or release hold no glue.

    Returns:
        One for each glued joint, without faces where the two share none that is known: two that are not at the same
        place, a butt joint, or a tube that another part brings along.
    """
    items = {item.name: item for item in rocket.items}
    found = []
    for joint in joints:
        if joint.state == "glued":
            first, second = (items.get(name) for name in joint.between)
            words, faces = _shared(first, second) if first and second else ("", ())
            found.append(BondedJoint(joint.between, words or joint.words, faces))
    return tuple(found)


def _shared(first: Item, second: Item) -> tuple[str, tuple[Face, ...]]:
    """Which of two items is in or on the other, and the faces that they share."""
    for inner, outer in ((first, second), (second, first)):
        if isinstance(inner.part, Fin):
            through = inner.part.tab_length > 0.0 and any(_on_skin(inner, band) for band in _bands(outer))
            faces = tuple(_of_fins(inner, inner.part, outer))
            return f"{inner.name} {'in' if through else 'on'} {outer.name}", faces
        if isinstance(inner.part, RailButton):
            return f"{inner.name} on {outer.name}", tuple(_of_feet(inner, inner.part, outer))
    for inner, outer in ((first, second), (second, first)):
        faces = (*_round(inner, outer), *_on_the_end(inner, outer))
        if faces:
            around_tube = isinstance(inner.part, Tube) and not isinstance(outer.part, Tube)
            return f"{outer.name} on {inner.name}" if around_tube else f"{inner.name} in {outer.name}", faces
    return "", ()


# --- cylinders --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Band:
    """A cylinder about the axis, at the stations of the rocket; `whole` is the part of its circle that is there."""

    first: float
    last: float
    radius: float
    outwards: bool
    whole: float = 1.0


def _bands(item: Item) -> tuple[_Band, ...]:
    if item.part is None or item.part.on_surface:
        return ()
    # Only the rings of a mount one by one have their notches in their rims.
    shapes = [body.shape for body in item.part.bodies()] if isinstance(item.part, MotorMount) else [item.part.shape()]
    return tuple(band for station in item.stations for shape in shapes for band in _of_shape(shape, station))


def _of_shape(shape: Shape, at: float) -> Iterator[_Band]:
    match shape:
        case Revolved(meridian):
            for edge in meridian.edges:
                if isinstance(edge.piece, Line) and edge.role != "joint" and edge.piece.start[1] == edge.piece.end[1]:
                    (start, radius), (end, _) = edge.piece.start, edge.piece.end
                    # The section runs aft along its outside and forward along its bore.
                    yield _Band(at + min(start, end), at + max(start, end), radius, end > start)
        case Plate(outline, thickness):
            for loop in outline.loops:
                for radius, whole in _circles(loop).items():
                    yield _Band(at, at + thickness, radius, loop is outline.outer, whole)
        case Fused(members):
            for member in members:
                yield from _of_shape(member, at)
        case Cut(base, _):
            yield from _of_shape(base, at)
        case Placed(inside, placement) if placement.turn == (1, 0, 0, 0, 1, 0, 0, 0, 1):
            yield from _of_shape(inside, at + placement.move[0])
        case _:
            pass


def _circles(loop: Loop) -> dict[float, float]:
    """Radii of the arcs of a loop that are for a fit [mm], and the part of a circle that those of each are."""
    found: dict[float, float] = {}
    for edge in loop:
        if isinstance(edge.piece, Arc) and edge.role == "fit":
            radius = round(edge.piece.radius, 9)
            found[radius] = found.get(radius, 0.0) + abs(edge.piece.sweep) / math.tau
    return found


def _round(inner: Item, outer: Item) -> Iterator[Face]:
    bores = [band for band in _bands(outer) if not band.outwards]
    for rim in _bands(inner):
        for bore in bores if rim.outwards else ():
            first, last = max(rim.first, bore.first), min(rim.last, bore.last)
            if last - first > _NONE and -TIGHTEST <= bore.radius - rim.radius <= WIDEST:
                whole = min(rim.whole, bore.whole)
                words = f"pi x {2.0 * bore.radius:.2f} x {last - first:.2f}"
                words += f" x {whole:.3f}, less notches" if whole < 1.0 - _NONE else ""
                yield Face(words, math.tau * bore.radius * (last - first) * whole, (first + last) / 2.0)


def _on_the_end(disc: Item, home: Item) -> Iterator[Face]:
    """The end of a tube under the large disc of a bulkhead in two steps."""
    part = disc.part
    if not isinstance(part, Bulkhead) or not part.step_diameter or not part.step_thickness:
        return
    bands = _bands(home)
    if not bands:
        return
    forward = part.step_faces == "forward"
    for station in disc.stations:
        at = station + (part.step_thickness if forward else part.thickness)
        end = max(band.last for band in bands) if forward else min(band.first for band in bands)
        radii = [
            [band.radius for band in bands if band.outwards == outwards and _reaches(band, end)]
            for outwards in (True, False)
        ]
        if abs(at - end) > MEETING or not all(radii):
            continue
        most, least = min(max(radii[0]), part.outside_diameter / 2.0), max(min(radii[1]), part.step_diameter / 2.0)
        if most > least:
            words = f"pi / 4 x ({2.0 * most:.2f}^2 - {2.0 * least:.2f}^2)"
            yield Face(words, math.pi * (most**2 - least**2), end)


def _reaches(band: _Band, station: float) -> bool:
    return min(abs(band.first - station), abs(band.last - station)) <= MEETING


# --- what stands on a tube --------------------------------------------------------------------------------------------


def _of_fins(fins: Item, part: Fin, tube: Item) -> Iterator[Face]:
    """Root and sides of the tab on the tube that they stand on, or the end of the tab on the tube inside it."""
    bands = _bands(tube)
    for station in fins.stations:
        for band in bands:
            if not band.outwards:
                continue
            if _on_skin(fins, band):
                yield from _on_the_wall(fins, part, station, band, _bore_under(band, bands))
            elif part.tab_length and -TIGHTEST <= fins.radius - part.tab_depth - band.radius <= SHORT_OF_TUBE:
                yield from _tab_ends(fins, part, station, band)


def _on_skin(item: Item, band: _Band) -> bool:
    return band.outwards and abs(band.radius - item.radius) <= TIGHTEST


def _on_the_wall(fins: Item, part: Fin, station: float, skin: _Band, bore: float) -> Iterator[Face]:
    """Both sides of the tabs in their slots, and what is left of the roots, as thick as the fin is at most."""
    tab, middle = _stretch(station + part.tab_position, part.tab_length, skin)
    wall = min(skin.radius - bore, part.tab_depth)
    if tab > _NONE:
        yield Face(f"{fins.count} x 2 x {tab:.2f} x {wall:.2f}", 2.0 * fins.count * tab * wall, middle)
    root, of_root = _stretch(station, part.root_chord, skin)
    left = root - tab
    if left > _NONE:
        at = (root * of_root - tab * middle) / left
        yield Face(f"{fins.count} x {left:.2f} x {part.thickness:.2f}", fins.count * left * part.thickness, at)


def _tab_ends(fins: Item, part: Fin, station: float, band: _Band) -> Iterator[Face]:
    """The lower edges of the tabs, between their notches."""
    cuts = [_stretch(station + start, part.notch_length or 0.0, band) for start in part.notch_positions]
    whole, middle = _stretch(station + part.tab_position, part.tab_length, band)
    thick = part.thickness if part.tab_thickness is None else part.tab_thickness
    left = whole - sum(length for length, _ in cuts)
    if left > _NONE:
        at = (whole * middle - sum(length * place for length, place in cuts)) / left
        yield Face(f"{fins.count} x {left:.2f} x {thick:.2f}", fins.count * left * thick, at)


def _stretch(first: float, length: float, band: _Band) -> tuple[float, float]:
    """How much of a length from a station on lies on a band, and the middle of that [mm]."""
    start, end = max(first, band.first), min(first + length, band.last)
    return max(end - start, 0.0), (start + end) / 2.0


def _bore_under(skin: _Band, bands: tuple[_Band, ...]) -> float:
    """Radius of the bore under a skin [mm]: the widest; 0 where the tube is solid."""
    return max((band.radius for band in bands if not band.outwards and band.radius < skin.radius), default=0.0)


def _of_feet(buttons: Item, part: RailButton, tube: Item) -> Iterator[Face]:
    """The foot of each button, round its screw, as if the tube were flat."""
    skins = [band for band in _bands(tube) if _on_skin(buttons, band)]
    area = math.pi / 4.0 * (part.foot_diameter**2 - part.screw_diameter**2)
    for station in buttons.stations:
        if any(skin.first <= station <= skin.last for skin in skins):
            yield Face(f"pi / 4 x ({part.foot_diameter:.2f}^2 - {part.screw_diameter:.2f}^2)", area, station)


_NONE = 1e-9
"""Lengths shorter than this [mm] are none."""
