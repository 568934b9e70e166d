"""The shape language: what a part is, as one frozen value that every reader reads.

Frames: the part's axis is +x pointing aft with the origin at the part's forward end, y and z across. A plate lies in
the y-z plane with its thickness along +x. A blade (fin) has its root leading edge at the origin, +x aft, +y outboard
and its thickness symmetric about the x-y plane. Roll 0 is the +y side (the rail line); positive roll is clockwise
seen from behind, looking forward, that is from +y towards -z. Lengths in [mm], angles in [rad].
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from .chain import JOIN_TOLERANCE, Chain, gaps
from .curve import Arc, Floats, Line, Piece, Point, bounds, gauss
from .errors import PartError

Role: TypeAlias = Literal["wetted", "fit", "joint", "seat", ""]
"""What a face is for: `wetted` skin in the air stream, `fit` slides or glues into another part, `joint` meets another
section of the same part, `seat` bears on another part, or nothing in particular."""


@dataclass(frozen=True, slots=True)
class Edge:
    """One piece of an outline or meridian and its role."""

    piece: Piece
    role: Role = ""


Loop: TypeAlias = tuple[Edge, ...]


def edges(chain: Chain, role: Role = "") -> Loop:
    """The pieces of a chain as edges of one role."""
    return tuple(Edge(piece, role) for piece in chain)


def signed_area(loop: Loop) -> float:
    """Area enclosed by a loop [mm2]; positive when it runs anticlockwise."""
    total = 0.0
    for edge in loop:
        for first, last in ((0.0, 0.5), (0.5, 1.0)):
            nodes, weights = gauss(12)
            t = first + (last - first) * nodes
            p, d = edge.piece.at(t), edge.piece.slope(t)
            total += float(weights @ (p[:, 0] * d[:, 1] - p[:, 1] * d[:, 0])) * (last - first) / 2.0
    return total


def _check_closed(loop: Loop, what: str) -> None:
    if not loop:
        raise PartError(f"{what} has no edges")
    gap = gaps(tuple(edge.piece for edge in loop), closed=True)
    if gap > JOIN_TOLERANCE * 100.0:
        raise PartError(f"{what} is open by {gap:.3g} mm")


@dataclass(frozen=True, slots=True)
class Outline:
    """A flat region: one outer loop anticlockwise, holes clockwise.

    Raises:
        PartError: a loop is open or runs the wrong way round.
    """

    outer: Loop
    holes: tuple[Loop, ...] = ()

    def __post_init__(self) -> None:
        _check_closed(self.outer, "the outline")
        if signed_area(self.outer) <= 0.0:
            raise PartError("the outline must run anticlockwise round some area")
        for hole in self.holes:
            _check_closed(hole, "a hole of the outline")
            if signed_area(hole) >= 0.0:
                raise PartError("a hole of the outline must run clockwise")

    @property
    def loops(self) -> tuple[Loop, ...]:
        """The outer loop, then the holes."""
        return (self.outer, *self.holes)

    def placed(self, dx: float, dy: float, turn: float = 0.0) -> Outline:
        """Turned about the origin by `turn` [rad], then moved by (dx, dy) [mm]."""

        def move(loop: Loop) -> Loop:
            return tuple(Edge(edge.piece.placed(dx, dy, turn), edge.role) for edge in loop)

        # A rigid motion opens no loop and turns none round, so the result is not checked anew: letters by the hundred.
        result = object.__new__(Outline)
        object.__setattr__(result, "outer", move(self.outer))
        object.__setattr__(result, "holes", tuple(move(hole) for hole in self.holes))
        return result

    def box(self) -> tuple[float, float, float, float]:
        """Smallest x and y, largest x and y [mm]."""
        boxes = np.array([bounds(edge.piece) for edge in self.outer])
        return (
            float(boxes[:, 0].min()),
            float(boxes[:, 1].min()),
            float(boxes[:, 2].max()),
            float(boxes[:, 3].max()),
        )


def backwards(loop: Loop) -> Loop:
    """The same loop run the other way, as a hole runs against an outside."""
    return tuple(Edge(edge.piece.reversed(), edge.role) for edge in reversed(loop))


def circle(radius: float, centre: Point = (0.0, 0.0), role: Role = "") -> Loop:
    """Full circle, anticlockwise, starting on the +x side."""
    return (Edge(Arc(centre, radius, 0.0, math.tau), role),)


def hole(radius: float, centre: Point = (0.0, 0.0), role: Role = "") -> Loop:
    """Full circle, clockwise, as a hole."""
    return (Edge(Arc(centre, radius, 0.0, -math.tau), role),)


def polygon(points: tuple[Point, ...], role: Role = "") -> Loop:
    """Closed loop of straight edges through the points [mm]."""
    pairs = zip(points, (*points[1:], points[0]), strict=True)
    return tuple(Edge(Line(a, b), role) for a, b in pairs)


@dataclass(frozen=True, slots=True)
class Meridian:
    """Half section of a turned solid in the (x, r) plane, r >= 0, its outside running aft.

    Raises:
        PartError: the section is open, leaves the axis side, or runs the wrong way round.
    """

    edges: Loop

    def __post_init__(self) -> None:
        _check_closed(self.edges, "the section")
        low = min(bounds(edge.piece)[1] for edge in self.edges)
        if low < -1e-7:
            raise PartError(f"the section crosses its own axis by {-low:.3g} mm")
        if signed_area(self.edges) >= 0.0:
            raise PartError("the section must run aft along its outside")

    def role(self, role: Role) -> tuple[Piece, ...]:
        """The pieces of one role, in order."""
        return tuple(edge.piece for edge in self.edges if edge.role == role)

    def box(self) -> tuple[float, float, float]:
        """Smallest x, largest x, largest radius [mm]."""
        boxes = np.array([bounds(edge.piece) for edge in self.edges])
        return float(boxes[:, 0].min()), float(boxes[:, 2].max()), float(boxes[:, 3].max())


@dataclass(frozen=True, slots=True)
class Placement:
    """Rigid motion: turn (rows of a rotation matrix [-]), then move [mm]."""

    turn: tuple[float, float, float, float, float, float, float, float, float] = (1, 0, 0, 0, 1, 0, 0, 0, 1)
    move: tuple[float, float, float] = (0.0, 0.0, 0.0)

    @property
    def matrix(self) -> Floats:
        """Rotation matrix (3, 3) [-]."""
        return np.array(self.turn, dtype=float).reshape(3, 3)

    def apply(self, points: Floats) -> Floats:
        """Points (n, 3) [mm] after the motion."""
        return np.asarray(points @ self.matrix.T + np.asarray(self.move))

    def after(self, first: Placement) -> Placement:
        """The motion that does `first`, then this one."""
        turn = self.matrix @ first.matrix
        move = self.apply(np.array([first.move]))[0]
        a, b, c, d, e, f, g, h, i = (float(value) for value in turn.ravel())
        x, y, z = (float(value) for value in move)
        return Placement((a, b, c, d, e, f, g, h, i), (x, y, z))


def moved(x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Placement:
    """Motion without a turn [mm]."""
    return Placement(move=(x, y, z))


def rolled(angle: float) -> Placement:
    """Turn about the axis by the roll angle [rad], clockwise seen from behind: from +y towards -z."""
    c, s = math.cos(angle), math.sin(angle)
    return Placement(turn=(1.0, 0.0, 0.0, 0.0, c, s, 0.0, -s, c))


def canted(angle: float, pivot: float) -> Placement:
    """Turn of a fin at roll 0 about the radius at x = `pivot` [mm]: by `angle` [rad], its leading edge to more roll."""
    c, s = math.cos(angle), math.sin(angle)
    about = Placement(turn=(c, 0.0, -s, 0.0, 1.0, 0.0, s, 0.0, c))
    return moved(pivot).after(about).after(moved(-pivot))


def between_rolls(one: float, other: float) -> float:
    """The lesser angle between two rolls [rad]."""
    return abs((one - other + math.pi) % math.tau - math.pi)


@dataclass(frozen=True, slots=True)
class Revolved:
    """Meridian turned once about the x axis."""

    meridian: Meridian


@dataclass(frozen=True, slots=True)
class Plate:
    """Outline in the y-z plane, thickness [mm] along +x."""

    outline: Outline
    thickness: float

    def __post_init__(self) -> None:
        if not 0.0 < self.thickness < math.inf:
            raise PartError(f"thickness: {self.thickness:g} mm must be above 0")


@dataclass(frozen=True, slots=True)
class Rounded:
    """Both corners of an edge rounded to `radius` [mm], at most half the thickness."""

    radius: float


@dataclass(frozen=True, slots=True)
class Bevelled:
    """Edge thinned over `depth` [mm] from the rim to a `land` [mm] left at the rim, from one side or both."""

    depth: float
    land: float
    sides: Literal[1, 2] = 2


@dataclass(frozen=True, slots=True)
class EdgeForm:
    """How one straight edge of a blade is worked, stopping square at a clearance [mm] from each of its ends."""

    edge: int
    form: Rounded | Bevelled
    clearance_start: float = 0.0
    clearance_end: float = 0.0


@dataclass(frozen=True, slots=True)
class Blade:
    """A fin: planform in the x-y plane, thickness [mm] symmetric about it, edges as cut unless a form is given.

    Raises:
        PartError: a form is on a curved edge, or larger than the blade allows.
    """

    planform: Outline
    thickness: float
    forms: tuple[EdgeForm, ...] = ()

    def __post_init__(self) -> None:
        for item in self.forms:
            if not 0 <= item.edge < len(self.planform.outer):
                raise PartError(f"the planform has no edge {item.edge}; it has {len(self.planform.outer)}")
            if isinstance(item.form, Bevelled) and item.form.depth <= 0.0:
                raise PartError(f"bevel depth: {item.form.depth:g} mm must be above 0")
            piece = self.planform.outer[item.edge].piece
            if not isinstance(piece, Line):
                raise PartError("only a straight edge of a fin can be rounded or bevelled; a curved one stays as cut")
            if item.clearance_start + item.clearance_end >= piece.length():
                raise PartError("the clearances at the ends of a worked fin edge leave nothing to work")
            if isinstance(item.form, Rounded) and not 0.0 < item.form.radius <= self.thickness / 2.0:
                raise PartError(
                    f"edge radius: {item.form.radius:g} mm must be above 0 and at most half the thickness, "
                    f"{self.thickness / 2.0:g} mm"
                )
            if isinstance(item.form, Bevelled) and not 0.0 <= item.form.land < self.thickness:
                raise PartError(
                    f"bevel land: {item.form.land:g} mm must be at least 0 and below the thickness, "
                    f"{self.thickness:g} mm"
                )


@dataclass(frozen=True, slots=True)
class Ruled:
    """A section ruled straight outwards to a similar one: a fin of one aerofoil, a cone or a rod of any section.

    The section lies in the x-z plane of the blade's frame, its first coordinate along +x (aft) and its second along
    +z. On its way from `from_y` to `to_y` it shrinks or grows about the point x = 0, z = 0 of its own, which moves aft
    in a straight line. No face of it can be of role `fit`: moved square to itself it would no longer be ruled between
    similar sections.

    Attributes:
        section: the section at `from_y`.
        from_y: where it starts [mm].
        to_y: where it ends, further outboard [mm].
        ratio: size of the section at `to_y` over that at `from_y` [-]; 0 makes a point.
        sweep: how far the origin of the section lies further aft at `to_y` [mm].

    Raises:
        PartError: it has no height, the ratio leaves no section that can be made, a hole ends in a point, or a face is
            of role `fit`.
    """

    section: Outline
    from_y: float
    to_y: float
    ratio: float = 1.0
    sweep: float = 0.0

    def __post_init__(self) -> None:
        if not -math.inf < self.from_y < self.to_y < math.inf:
            raise PartError(f"a ruled solid runs outboard, got {self.from_y:g} to {self.to_y:g} mm")
        if self.ratio != 0.0 and not SMALLEST_RATIO <= self.ratio <= 1.0 / SMALLEST_RATIO:
            raise PartError(
                f"ratio: {self.ratio:g} of a ruled solid must be 0 or from {SMALLEST_RATIO:g} to "
                f"{1.0 / SMALLEST_RATIO:g}"
            )
        if self.ratio == 0.0 and self.section.holes:
            raise PartError("a ruled solid with a hole cannot end in a point; its hole would end in the same one")
        if not math.isfinite(self.sweep):
            raise PartError(f"sweep: {self.sweep:g} mm of a ruled solid must be finite")
        if any(edge.role == "fit" for loop in self.section.loops for edge in loop):
            raise PartError("no face of a ruled solid can be of role fit")


SMALLEST_RATIO = 0.02
"""Smallest ratio of the ends of a ruled solid that is not a point [-]: below it a printed tip is a crumb."""


@dataclass(frozen=True, slots=True)
class RadialFeature:
    """A straight prism along a radius: hole, slot, boss or pocket in a curved wall.

    The outline lies in the plane square to the radius, its first coordinate along +x from `station`, its second
    tangential in the sense of increasing roll; it runs from the flat `from_radius` to the flat `to_radius`. Whether it
    adds or cuts is said by the `Fused` or `Cut` that holds it, so that it is said once.
    """

    station: float
    roll: float
    outline: Outline
    from_radius: float
    to_radius: float

    def __post_init__(self) -> None:
        if not 0.0 <= self.from_radius < self.to_radius < math.inf:
            raise PartError(
                f"a radial feature runs outwards from a radius of at least 0, got {self.from_radius:g} to "
                f"{self.to_radius:g} mm"
            )


@dataclass(frozen=True, slots=True)
class Array:
    """A shape repeated `count` times, evenly about the x axis."""

    shape: Shape
    count: int

    def __post_init__(self) -> None:
        if self.count < 1:
            raise PartError(f"a shape is repeated at least once, got {self.count}")


@dataclass(frozen=True, slots=True)
class Fused:
    """Union; members may overlap, and what they share counts once."""

    members: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """The base less its tools."""

    base: Shape
    tools: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """A shape after a rigid motion."""

    shape: Shape
    placement: Placement


Shape: TypeAlias = Revolved | Plate | Blade | Ruled | RadialFeature | Array | Fused | Cut | Placed

FLAT_TO_PLATE = Placement(turn=(0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 1.0, 0.0, 0.0))
"""Turns a plate (outline in y-z, thickness along x) so that its outline lies in x-y and its thickness along z."""


def instances(array: Array) -> tuple[Placed, ...]:
    """The members of an array, each rolled to its place."""
    return tuple(Placed(array.shape, rolled(math.tau * i / array.count)) for i in range(array.count))


def radial_prism(feature: RadialFeature) -> Placed:
    """A radial feature as a placed plate: outline (x, tangential), thickness outwards."""
    plate = Plate(feature.outline, feature.to_radius - feature.from_radius)
    # Plate x (thickness) -> radial, plate y -> rocket x, plate z -> tangential. At roll 0 the radius is +y and the
    # tangent in the sense of increasing roll is -z.
    upright = Placement(
        turn=(0.0, 1.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, -1.0), move=(feature.station, feature.from_radius, 0.0)
    )
    return Placed(plate, rolled(feature.roll).after(upright))
