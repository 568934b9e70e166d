"""What the pictures of a design show: every part as its mesh, in place, cut open, pulled apart, or by itself."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..analysis.motor import Motor
from ..analysis.rocket import Item
from ..parts.curve import Floats, bounds
from ..parts.errors import FerruleError
from ..parts.part import Part
from ..parts.readers.facets import Fineness
from ..parts.readers.mesh import Mesh, beyond_plane, mesh
from ..parts.shape import Outline, Placed, Plate, circle, moved
from ..parts.sheets.sheet import Box, around
from ..parts.tables import UnknownMaterialError, material
from ..parts.writers.picture import Body, Colour, Cut, Picture, View, cut_faces, lying, upright
from .design import Design

COLOURS: Mapping[str, Colour] = {
    "": (246, 246, 244),
    "wood": (230, 204, 158),
    "paper": (205, 160, 116),
    "polymer": (118, 148, 186),
    "composite": (108, 134, 96),
    "resin": (214, 186, 96),
    "metal": (102, 102, 108),
}
"""Colour of each family of materials, calm and told apart in grey as well; first where the material is not stated."""

CUT_DARKER = 0.62
"""Cut faces have the colour of their material, darker by this [-]."""

MOTOR: Colour = (104, 100, 100)
"""Colour of a motor: a plain cylinder of the stated size."""

FINENESS = Fineness(deviation=0.04, fit_deviation=0.04, hold_fit=False)
"""Of meshes that are looked at: their facets are far below a pixel."""

WHOLE = lying((0.42, 0.38, 1.0))
EXPLODED = lying((0.75, 0.42, 1.0))
CUTAWAY = lying((0.16, 0.22, 1.0))
"""The views: the nose to the left, seen from the side, a little from behind and from above."""

_PLANE = (0.0, 0.0, -1.0)
"""Normal of the cut, away from the eye: the plane holds the axis and the rail line."""

_GAP = 0.32
"""Gap between parts that are pulled apart, over the largest diameter [-]."""

_ALONE = 25.0
"""Radius that stands for the body where there is none [mm]."""

_SLENDER = 2.2
"""A part that is longer than this many times its height lies across the corners of its picture."""

_DASHES = (0.26, 0.14)
"""Dash and gap of the axis, over the gap between parts [-]."""


@dataclass(frozen=True, eq=False, slots=True)
class Named:
    """A thing in a picture, what it is called, and where a line to its name starts in the view [mm]."""

    name: str
    body: Body
    point: tuple[float, float]
    station: float | None = None


def colour_of(part: Part) -> Colour:
    """The colour of a part's material."""
    try:
        return COLOURS[material(part.material).family if part.material else ""]
    except (UnknownMaterialError, KeyError):
        return COLOURS[""]


def shown(design: Design) -> tuple[Item, ...]:
    """The items that have a shape to show.

    Raises:
        FerruleError: there is none.
    """
    found = tuple(item for item in design.rocket.items if item.part is not None)
    if not found:
        raise FerruleError("the design has no part with a shape, and nothing to show")
    return found


def whole(design: Design) -> tuple[Body, ...]:
    """Every part in place."""
    return tuple(Body(one, colour_of(item.part)) for item in shown(design) if item.part for one in _copies(item))


def cut_open(design: Design) -> tuple[Named, ...]:
    """Every part in place, with the half towards the eye taken away; the first motor as a plain cylinder, not cut."""
    found: list[Named] = []
    for item in shown(design):
        if item.part is None:
            continue
        colour = colour_of(item.part)
        cut = Cut(_PLANE, 0.0, _darker(colour))
        halves = [half for one in _copies(item) if (half := beyond_plane(one, _PLANE, 0.0)) is not None]
        bodies = [Body(half, colour, cut=cut) for half in halves]
        name = "" if item.part.laid_at_the_bench else _counted(item)
        found += [
            Named("" if index else name, body, _cut_point(body), item.stations[0]) for index, body in enumerate(bodies)
        ]
    for motor in design.motors[:1]:
        body = Body(_motor(motor), MOTOR)
        middle = CUTAWAY.of(np.array([[motor.aft_end - motor.length / 3.0, 0.0, motor.diameter / 2.0]]))[0]
        found.append(Named(motor.name, body, (float(middle[0]), float(middle[1])), motor.aft_end - motor.length))
    return tuple(found)


def by_itself(item: Item) -> tuple[tuple[Body, ...], View]:
    """One part, and the view in which it shows most.

    Raises:
        FerruleError: it has no shape.
    """
    if item.part is None:
        raise FerruleError(f"{item.name} has no shape to show")
    one = mesh(item.part.shape(), FINENESS)
    size = one.vertices.max(axis=0) - one.vertices.min(axis=0)
    if size[0] < 0.5 * size[1] and size[0] < 0.5 * size[2]:
        view = lying((1.0, 0.5, 0.8))  # a disc shows its face
    elif size[2] < 0.2 * size[1]:
        view = lying((0.3, 0.3, 1.0))  # so does a fin
    elif item.part.on_surface:
        view = upright((0.55, 0.5, 1.0))  # what stands on a tube stands in its picture
    else:
        view = lying((0.6, 0.45, 1.0), math.radians(38.0) if size[0] > _SLENDER * max(size[1], size[2]) else 0.0)
    return (Body(one, colour_of(item.part)),), view


@dataclass(frozen=True, eq=False, slots=True)
class Row:
    """Parts beside each other on one line.

    Attributes:
        pieces: the parts, in place on the line: the axis at height 0, the first one from the left at 0 [mm].
        strokes: the axis as dashes (n, 2, 3) in the view [mm].
        box: rectangle round all of it [mm].
    """

    pieces: tuple[Named, ...]
    strokes: Floats
    box: Box


def pulled_apart(design: Design) -> tuple[tuple[tuple[Named, ...], ...], float]:
    """The parts on the axis from forward to aft, each with what stands on it; and the gap between them [mm]."""
    items = shown(design)
    on_axis = [item for item in items if item.part and not item.part.on_surface]
    round_it = [item for item in items if item.part and item.part.on_surface and not item.part.laid_at_the_bench]
    pieces: list[tuple[float, Item, int, Mesh]] = []
    for item in on_axis:
        for index, one in enumerate(_copies(item)):
            low, high = one.vertices[:, 0].min(), one.vertices[:, 0].max()
            pieces.append((float(low + high) / 2.0, item, index, one))
    pieces.sort(key=lambda piece: piece[0])
    wide = [float(np.abs(one.vertices[:, 1:]).max()) for *_, one in pieces]
    largest = design.rocket.reference_diameter or 2.0 * max(wide, default=_ALONE)
    groups: list[tuple[Named, ...]] = []
    hosts = {id(item): _host(item, on_axis) for item in round_it}
    for _, item, index, one in pieces:
        group = [_named(_names(item, len(item.stations))[index], Body(one, _colour(item)), _station(item, index))]
        for standing in round_it:
            if hosts[id(standing)] is item and index == 0:
                group += _pulled_out(standing, largest)
        groups.append(tuple(group))
    alone = [one for item in round_it if hosts[id(item)] is None for one in _pulled_out(item, largest)]
    if alone:
        groups.append(tuple(alone))
    return tuple(groups), _GAP * largest


def in_rows(groups: Sequence[Sequence[Named]], gap: float, count: int) -> tuple[Row, ...]:
    """Groups of parts laid out on as many lines, as even as their order allows.

    Args:
        groups: what stays together, from forward to aft.
        gap: between two groups [mm].
        count: how many lines at most [-].
    """
    widths = [_box(group).right - _box(group).left + gap for group in groups]
    return tuple(_row(groups[first:last], gap) for first, last in _shares(widths, count))


def _shares(widths: Sequence[float], count: int) -> list[tuple[int, int]]:
    """Where to break a line into at most so many that the longest is shortest."""
    lowest, highest = max(widths), sum(widths)
    for _ in range(60):
        limit = (lowest + highest) / 2.0
        if len(_broken(widths, limit)) <= count:
            highest = limit
        else:
            lowest = limit
    return _broken(widths, highest)


def _broken(widths: Sequence[float], limit: float) -> list[tuple[int, int]]:
    breaks, total = [0], 0.0
    for index, width in enumerate(widths):
        if total and total + width > limit + 1e-9:
            breaks.append(index)
            total = 0.0
        total += width
    return list(zip(breaks, [*breaks[1:], len(widths)], strict=True))


def _row(groups: Sequence[Sequence[Named]], gap: float) -> Row:
    along = EXPLODED.of(np.array([[1.0, 0.0, 0.0]]))[0]  # the axis in the view: across and away, never up
    edge = 0.0
    placed: list[Named] = []
    for group in groups:
        box = _box(group)
        shift = along * (edge - box.left) / along[0]
        placed += [_shifted(one, shift) for one in group]
        edge += box.right - box.left + gap
    end = edge - gap
    left, right = -0.5 * gap, end + 0.5 * gap
    dash, space = (gap * one for one in _DASHES)
    starts = np.arange(left, right, dash + space)
    ends = np.minimum(starts + dash, right)
    strokes = np.stack([np.outer(starts, along), np.outer(ends, along)], axis=1) / along[0]
    box = around([_box(placed), Box(left, 0.0, right, 0.0)])
    return Row(tuple(placed), strokes, box)


def framed(bodies: Sequence[Body], view: View, width: int, margin: float, square: bool = False) -> Picture:
    """A picture of things with some room round them.

    Args:
        bodies: the things.
        view: from where.
        width: across [pixels].
        margin: room on each side, over the larger side [-].
        square: as high as it is wide.
    """
    box = around([body.box(view) for body in bodies])
    wide, tall = box.right - box.left, box.high - box.low
    box = box.grown(margin * max(wide, tall))
    if square:
        half = max(box.right - box.left, box.high - box.low) / 2.0
        x, y = (box.left + box.right) / 2.0, (box.low + box.high) / 2.0
        box = Box(x - half, y - half, x + half, y + half)
    return Picture(tuple(bodies), view, box, width, FINENESS.deviation)


def _copies(item: Item) -> Iterator[Mesh]:
    if item.part is not None:
        one = mesh(item.part.shape(), FINENESS)
        for placement in item.placements():
            yield one.placed(placement)


def _colour(item: Item) -> Colour:
    return colour_of(item.part) if item.part else COLOURS[""]


def _darker(colour: Colour) -> Colour:
    red, green, blue = (round(one * CUT_DARKER) for one in colour)
    return red, green, blue


def _counted(item: Item) -> str:
    return f"{item.name}, {item.quantity}" if item.quantity > 1 else item.name


def _names(item: Item, count: int) -> list[str]:
    return [item.name] if count == 1 else [f"{item.name} {index + 1}" for index in range(count)]


def _station(item: Item, index: int) -> float:
    return item.stations[min(index, len(item.stations) - 1)]


def _cut_point(body: Body) -> tuple[float, float]:
    """The middle of the largest facet that was cut, below the axis where there is one; else of the body."""
    found = body.mesh.vertices[body.mesh.triangles]
    if body.cut is not None:
        faces = found[cut_faces(body.mesh, body.cut)]
        found = faces if len(faces) else found
    middles = found.mean(axis=1)
    areas = np.linalg.norm(np.cross(found[:, 1] - found[:, 0], found[:, 2] - found[:, 0]), axis=1)
    above = areas * np.where(middles[:, 1] > 0.0, 1.0, 1e-3)
    x, y, _ = CUTAWAY.of(middles[int(np.argmax(above))][None, :])[0].tolist()
    return x, y


def _motor(motor: Motor) -> Mesh:
    cylinder = Plate(Outline(circle(motor.diameter / 2.0)), motor.length)
    return mesh(Placed(cylinder, moved(motor.aft_end - motor.length)), FINENESS)


def _host(item: Item, on_axis: Sequence[Item]) -> Item | None:
    """The part that something stands on: whose skin is nearest to the radius at its middle."""
    first, last = item.skin_extent()
    middle = (first + last) / 2.0
    found: list[tuple[float, int, Item]] = []
    for other in on_axis:
        start, end = other.skin_range()
        skin = other.part.skin() if other.part else ()
        if skin and start - 1.0 <= middle <= end + 1.0:
            found.append((abs(max(bounds(piece)[3] for piece in skin) - item.radius), len(found), other))
    return min(found, key=lambda one: one[:2])[2] if found else None


def _pulled_out(item: Item, largest: float) -> list[Named]:
    """Every copy of what stands on a tube, pulled away from the axis until it is clear of it."""
    if item.part is None:
        return []
    one = mesh(item.part.shape(), FINENESS)
    out = max(0.0, -float(one.vertices[:, 1].min())) + 0.25 * largest
    radius = replace(item, radius=item.radius + out)
    owner = item.beside
    moved_item = replace(radius, beside=replace(owner, radius=owner.radius + out)) if owner else radius
    found: list[Named] = []
    for index, placement in enumerate(moved_item.placements()):
        name = "" if index else _counted(item)
        found.append(_named(name, Body(one.placed(placement), _colour(item)), item.stations[0]))
    return found


def _named(name: str, body: Body, station: float | None) -> Named:
    """A line to its name starts on its upper edge."""
    box = body.box(EXPLODED)
    middle = (box.left + box.right) / 2.0
    start = body.points(EXPLODED)[body.mesh.triangles][:, :, :2]
    end = np.roll(start, -1, axis=1)
    crossing = (start[:, :, 0] <= middle) & (end[:, :, 0] > middle)
    a, b = start[crossing], end[crossing]
    heights = a[:, 1] + (b[:, 1] - a[:, 1]) * (middle - a[:, 0]) / (b[:, 0] - a[:, 0])
    return Named(name, body, (middle, float(heights.max())), station)


def _shifted(one: Named, shift: Floats) -> Named:
    x, y, z = (float(value) for value in shift)
    return replace(one, body=replace(one.body, shift=(x, y, z)), point=(one.point[0] + x, one.point[1] + y))


def _box(group: Sequence[Named]) -> Box:
    return around([one.body.box(EXPLODED) for one in group])
