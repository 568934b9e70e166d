"""The exact solid: the pieces of a shape revolved, extruded and joined by the CAD kernel.

Only this module and the STEP writer import the kernel, and only inside functions: everything but making solids starts
without it. The kernel has no types, so `Any` stays behind the fence of this module.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np

from ..blade import as_plates
from ..curve import Arc, Bezier, EllipseArc, Floats, Line, Piece, Point
from ..errors import PartError
from ..shape import (
    Array,
    Blade,
    Cut,
    Fused,
    Loop,
    Meridian,
    Placed,
    Placement,
    Plate,
    RadialFeature,
    Revolved,
    Ruled,
    Shape,
    instances,
    radial_prism,
)
from .moments import Moments, from_arrays

Handle: TypeAlias = Any
"""Something of the kernel's own; the kernel has no types."""

Triple: TypeAlias = tuple[float, float, float]

_ON_AXIS = 1e-7
"""A radius below this [mm] is on the axis: the kernel refuses to revolve a section that ends a hair beside it."""

_NEARLY_PARALLEL = (1e-9, 1e-6)
"""A line that leans [mm] by more than the first, yet is longer than its run along the axis by less than the second.

The kernel revolves a line into a cylinder where that excess is below its own tolerance of 1e-7 mm: over 80 mm it drops
a change of radius of 0.004 mm, and with it 6e-4 of the volume of a thin wall.
"""

_WIDEST_ARC = 2.0 * math.pi / 3.0 + 1e-9
"""Sweep of a wider rational arc [rad] would need a weight near zero; the arc is drawn in parts."""

_JOINED_TOLERANCE = 1e-14
"""Relative tolerance [-] for integrals over joined solids.

Without one the kernel misses the wavy edge of a bore by 1e-5 of the part. With one it stops as soon as the volume holds
still, which leaves 1e-5 in the inertia of a blunt nose. Faces as revolved or extruded are good to rounding without one.
"""


@dataclass(frozen=True, slots=True, eq=False)
class Solid:
    """A solid, or several that do not touch, held by the kernel.

    Attributes:
        kernel: the kernel's own shape.
        joined: made by joining or cutting, so that some edges are the kernel's fitted intersection curves.
    """

    kernel: Handle
    joined: bool = False


@dataclass(frozen=True, slots=True)
class Measure:
    """What the kernel says about a solid.

    Attributes:
        moments: volume, first and second moments about the origin.
        low: smallest x, y, z [mm].
        high: largest x, y, z [mm].
        bodies: solids that do not touch [-].
        faces: faces [-].
        valid: the kernel's own check of the solid.
    """

    moments: Moments
    low: Triple
    high: Triple
    bodies: int
    faces: int
    valid: bool

    @property
    def inertia(self) -> Floats:
        """Inertia tensor (3, 3) about the axes through the origin, at unit density [mm5]."""
        second = self.moments.second_matrix
        return np.asarray(np.trace(second) * np.eye(3) - second)


def solid(shape: Shape, what: str = "the part") -> Solid:
    """The shape as an exact solid.

    Args:
        shape: what to build.
        what: name of the part for messages.

    Raises:
        PartError: the kernel cannot build it, or nothing is left of it.
    """
    try:
        return Solid(_build(shape), _is_joined(shape))
    except PartError as error:
        raise PartError(f"{what}: {error}") from error


def measure(body: Solid) -> Measure:
    """Volume, moments, exact bounds and soundness of a solid.

    The kernel pads the bounds of curved faces by 1e-7 mm.

    Raises:
        PartError: the kernel cannot measure it.
    """
    with _kernel("measure the solid"):
        low, high = _box(body.kernel, exact=True)
        return Measure(moments(body), low, high, bodies(body), faces(body), is_valid(body))


def moments(body: Solid) -> Moments:
    """Volume, first and second moments about the origin, by the kernel's own integrals.

    Raises:
        PartError: the kernel cannot measure it.
    """
    with _kernel("measure the solid"):
        found = _properties(body.kernel, _JOINED_TOLERANCE if body.joined else None)
        volume, centre, tensor = float(found.Mass()), found.CentreOfMass(), found.MatrixOfInertia()
        c = np.array([centre.X(), centre.Y(), centre.Z()])
        about = np.array([[tensor.Value(i, j) for j in (1, 2, 3)] for i in (1, 2, 3)])
    second = np.trace(about) / 2.0 * np.eye(3) - about + volume * np.outer(c, c)
    return from_arrays(volume, volume * c, second, "CAD kernel", 1e-6 if body.joined else 1e-11)


def is_valid(body: Solid) -> bool:
    """The kernel's own check of the solid: closed, faces within their edges, nothing through itself at a face."""
    from OCP.BRepCheck import BRepCheck_Analyzer

    return bool(BRepCheck_Analyzer(body.kernel).IsValid())


def bodies(body: Solid) -> int:
    """Number of solids that do not touch [-]."""
    return len(_parts(body.kernel, "SOLID"))


def faces(body: Solid) -> int:
    """Number of faces [-]."""
    return len(_parts(body.kernel, "FACE"))


def face_areas(body: Solid) -> tuple[float, ...]:
    """Area of every face [mm2], in the kernel's order."""
    tolerance = _JOINED_TOLERANCE if body.joined else None
    return tuple(_area(face, tolerance) for face in _parts(body.kernel, "FACE"))


def section_area(body: Solid, x: float) -> float:
    """Area of the plane section at one station [mm2].

    Args:
        body: the solid.
        x: station [mm]; not that of a flat face, where the area is not defined.

    Raises:
        PartError: the kernel cannot cut it.
    """
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.gp import gp_Dir, gp_Pln, gp_Pnt

    with _kernel(f"cut the solid at x = {x:g} mm"):
        low, high = _box(body.kernel, exact=False)
        reach = 1.0 + max(abs(value) for value in (*low[1:], *high[1:]))
        plane = gp_Pln(gp_Pnt(x, 0.0, 0.0), gp_Dir(1.0, 0.0, 0.0))
        sheet = BRepBuilderAPI_MakeFace(plane, -reach, reach, -reach, reach).Face()
        common = _operate(BRepAlgoAPI_Common(), [body.kernel], [sheet])
        return sum(_area(face, _JOINED_TOLERANCE) for face in _parts(common, "FACE"))


def _build(shape: Shape) -> Handle:
    match shape:
        case Revolved():
            return _revolve(shape.meridian)
        case Plate():
            return _extrude(shape)
        case Blade():
            return _build(as_plates(shape))
        case Ruled():
            outer, *holes = (_rule(loop, shape) for loop in shape.section.loops)
            return _subtract(outer, holes)
        case RadialFeature():
            with _naming(f"the radial feature at station {shape.station:g} mm"):
                return _build(radial_prism(shape))
        case Placed():
            return _move(_build(shape.shape), shape.placement)
        case Array() | Fused():
            return _fuse(_members(shape))
        case Cut():
            return _subtract(_build(shape.base), [item for tool in shape.tools for item in _members(tool)])


def _members(shape: Shape) -> list[Handle]:
    """Solids whose union is the shape: one operation on all of them is quicker and sounder than one after another."""
    match shape:
        case Array():
            made = _members(shape.shape)
            return [_move(one, place.placement) for place in instances(shape) for one in made]
        case Fused():
            return [one for member in shape.members for one in _members(member)]
        case _:
            return [_build(shape)]


def _is_joined(shape: Shape) -> bool:
    match shape:
        case Revolved() | Plate() | RadialFeature():
            return False
        case Placed():
            return _is_joined(shape.shape)
        case Blade():
            return bool(shape.forms)
        case Ruled():
            return True  # not joined, but a section of high degree needs the tolerance too: 1e-6 of the inertia
        case _:
            return True


def _revolve(meridian: Meridian) -> Handle:
    # Not the usual front end of the sweep: that one looks for curves that touch the axis before their end, and takes
    # the first micrometre of a blunt tip for one. A meridian is known to keep to its side.
    from OCP.BRepSweep import BRepSweep_Revol
    from OCP.gp import gp, gp_Dir, gp_Pln, gp_Pnt

    first, last, radius = meridian.box()
    with _kernel(f"revolve the section from x = {first:g} to {last:g} mm with its largest radius {radius:g} mm"):
        plane = gp_Pln(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(0.0, 0.0, -1.0))
        face = _face([_to_revolve(edge.piece for edge in meridian.edges)], plane)
        return _outward(BRepSweep_Revol(face, gp.OX_s(), True).Shape())


def _extrude(plate: Plate) -> Handle:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Dir, gp_Pln, gp_Pnt, gp_Vec

    with _kernel(f"extrude the outline by {plate.thickness:g} mm"):
        plane = gp_Pln(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(0.0, 0.0, 1.0))
        face = _face([[_Drawn.of(edge.piece) for edge in loop] for loop in plate.outline.loops], plane)
        prism = BRepPrimAPI_MakePrism(face, gp_Vec(0.0, 0.0, plate.thickness)).Shape()
        # Drawn in x-y and thick along z; a plate lies in y-z and is thick along x.
        return _outward(_move(prism, _UPRIGHT))


def _rule(loop: Loop, shape: Ruled) -> Handle:
    """The solid inside one loop of a section: a face ruled between each edge and its like at the other end."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
    from OCP.BRepOffsetAPI import BRepOffsetAPI_ThruSections
    from OCP.gp import gp_Pnt

    with _kernel(f"rule the section from y = {shape.from_y:g} to {shape.to_y:g} mm"):
        as_solid, straight = True, True
        maker = BRepOffsetAPI_ThruSections(as_solid, straight)
        # Both wires are alike, edge by edge; left to itself the kernel would look for cuts that make them so.
        maker.CheckCompatibility(False)
        wire = _wire([_Drawn.of(edge.piece) for edge in loop])
        maker.AddWire(_stood(wire, 1.0, 0.0, shape.from_y))
        if shape.ratio == 0.0:
            maker.AddVertex(BRepBuilderAPI_MakeVertex(gp_Pnt(shape.sweep, shape.to_y, 0.0)).Vertex())
        else:
            maker.AddWire(_stood(wire, shape.ratio, shape.sweep, shape.to_y))
        maker.Build()
        return _outward(maker.Shape())


def _stood(wire: Handle, size: float, x: float, y: float) -> Handle:
    """A wire drawn in the x-y plane, scaled about the origin, stood up into the x-z plane and moved to (x, y, 0)."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Trsf
    from OCP.TopoDS import TopoDS

    motion = gp_Trsf()
    motion.SetValues(size, 0.0, 0.0, x, 0.0, 0.0, -size, y, 0.0, size, 0.0, 0.0)
    return TopoDS.Wire_s(BRepBuilderAPI_Transform(wire, motion, True).Shape())


_UPRIGHT = Placement(turn=(0.0, 0.0, 1.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0))


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A piece as it is drawn for the kernel: where it starts and ends to the last bit, and by which curve.

    Attributes:
        piece: the piece.
        start: its first point [mm].
        end: its last point [mm].
        rational: an arc is drawn as a rational Bezier, which ends where the arc ends, and not on its whole circle.
        backwards: the curve is drawn from the end to the start.
        leaning: a line is drawn as a Bezier, so that the kernel does not take it for parallel to the axis.
    """

    piece: Piece
    start: Point
    end: Point
    rational: bool = False
    backwards: bool = False
    leaning: bool = False

    @classmethod
    def of(cls, piece: Piece) -> _Drawn:
        return cls(piece, piece.start, piece.end)

    def reversed(self) -> _Drawn:
        return _Drawn(self.piece.reversed(), self.end, self.start, self.rational, leaning=self.leaning)


def _to_revolve(pieces: Iterable[Piece]) -> list[_Drawn]:
    """The pieces of a section, with what is meant to lie on the axis there to the last bit.

    An arc whose whole circle crosses the axis would be revolved into a surface that passes through itself; a part of
    that surface is sound here but comes back from a file as another part of it. A small cap whose meridian ends on the
    axis is lost by the healing that goes with reading a file, and one whose meridian starts there is kept.
    """

    def snapped(point: Point) -> Point:
        return (point[0], 0.0 if abs(point[1]) < _ON_AXIS else point[1])

    drawn: list[_Drawn] = []
    for piece in pieces:
        crosses = isinstance(piece, (Arc, EllipseArc)) and _whole_crosses_axis(piece)
        count = math.ceil(abs(piece.sweep) / _WIDEST_ARC) if crosses and isinstance(piece, (Arc, EllipseArc)) else 1
        parts = [piece.part(index / count, (index + 1) / count) for index in range(count)] if count > 1 else [piece]
        for part in parts:
            start, end = snapped(part.start), snapped(part.end)
            drawn.append(_Drawn(part, start, end, crosses, end[1] == 0.0, _nearly_parallel(start, end)))
    return drawn


def _nearly_parallel(start: Point, end: Point) -> bool:
    """True for a line of a section that the kernel would revolve into a cylinder, although it leans."""
    run, lean = abs(end[0] - start[0]), abs(end[1] - start[1])
    shortest, excess = _NEARLY_PARALLEL
    return run > 0.0 and lean > shortest and math.hypot(run, lean) - run < excess


def _whole_crosses_axis(piece: Arc | EllipseArc) -> bool:
    if isinstance(piece, Arc):
        # A circle about a point on the axis makes a sphere, which every reader knows.
        return _ON_AXIS < abs(piece.centre[1]) <= piece.radius
    return abs(piece.centre[1]) <= max(piece.semi_x, piece.semi_y)


def _face(loops: list[list[_Drawn]], plane: Handle) -> Handle:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace

    maker = BRepBuilderAPI_MakeFace(plane, _wire(loops[0]), True)
    for inner in loops[1:]:
        maker.Add(_wire(inner))
    return maker.Face()


def _wire(loop: list[_Drawn]) -> Handle:
    """The loop in the x-y plane; neighbours share one vertex each."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex, BRepBuilderAPI_MakeWire
    from OCP.gp import gp_Pnt

    vertices = [BRepBuilderAPI_MakeVertex(gp_Pnt(*item.start, 0.0)).Vertex() for item in loop]
    maker = BRepBuilderAPI_MakeWire()
    for item, after, first, last in zip(
        loop, (*loop[1:], loop[0]), vertices, (*vertices[1:], vertices[0]), strict=True
    ):
        maker.Add(_edge(replace(item, end=after.start), first, last))
    return maker.Wire()


def _edge(drawn: _Drawn, first: Handle, last: Handle) -> Handle:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
    from OCP.TopoDS import TopoDS

    piece = drawn.piece
    if drawn.backwards:
        return TopoDS.Edge_s(_edge(drawn.reversed(), last, first).Reversed())
    if isinstance(piece, Line) and not drawn.leaning:
        return BRepBuilderAPI_MakeEdge(first, last).Edge()
    if isinstance(piece, Line):
        curve = _bezier((drawn.start, drawn.end))
        return BRepBuilderAPI_MakeEdge(curve, first, last, 0.0, 1.0).Edge()
    if isinstance(piece, Bezier):
        curve = _bezier((drawn.start, *piece.poles[1:-1], drawn.end))
        return BRepBuilderAPI_MakeEdge(curve, first, last, 0.0, 1.0).Edge()
    if drawn.rational:
        # Exact: an arc is a conic whose middle pole is where the tangents at its ends meet.
        weight = math.cos(piece.sweep / 2.0)
        x, y = piece.at(np.array([0.5]))[0].tolist()
        middle = tuple(centre + (value - centre) / weight for centre, value in zip(piece.centre, (x, y), strict=True))
        curve = _bezier((drawn.start, (middle[0], middle[1]), drawn.end), (1.0, weight, 1.0))
        return BRepBuilderAPI_MakeEdge(curve, first, last, 0.0, 1.0).Edge()
    curve, from_angle = _round_curve(piece)
    return BRepBuilderAPI_MakeEdge(curve, first, last, from_angle, from_angle + abs(piece.sweep)).Edge()


def _bezier(points: tuple[Point, ...], weights: tuple[float, ...] = ()) -> Handle:
    from OCP.Geom import Geom_BezierCurve
    from OCP.gp import gp_Pnt
    from OCP.TColgp import TColgp_Array1OfPnt
    from OCP.TColStd import TColStd_Array1OfReal

    poles = TColgp_Array1OfPnt(1, len(points))
    for index, (x, y) in enumerate(points):
        poles.SetValue(index + 1, gp_Pnt(x, y, 0.0))
    if not weights:
        return Geom_BezierCurve(poles)
    weighted = TColStd_Array1OfReal(1, len(weights))
    for index, weight in enumerate(weights):
        weighted.SetValue(index + 1, weight)
    return Geom_BezierCurve(poles, weighted)


def _round_curve(piece: Arc | EllipseArc) -> tuple[Handle, float]:
    """The whole circle or ellipse run the way of the piece, and the angle at which the piece starts on it.

    A clockwise piece is run on a curve that faces away; an ellipse that is higher than wide starts a quarter turn
    later, because the kernel wants its longer axis first.
    """
    from OCP.Geom import Geom_Circle, Geom_Ellipse
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    side = math.copysign(1.0, piece.sweep)
    angle, tilt, major, minor = side * piece.start_angle, 0.0, 0.0, 0.0
    if isinstance(piece, EllipseArc):
        tilt, major, minor = piece.tilt, piece.semi_x, piece.semi_y
        if major < minor:
            major, minor = minor, major
            tilt += side * math.pi / 2.0
            angle -= math.pi / 2.0
    centre = gp_Pnt(piece.centre[0], piece.centre[1], 0.0)
    axes = gp_Ax2(centre, gp_Dir(0.0, 0.0, side), gp_Dir(math.cos(tilt), math.sin(tilt), 0.0))
    curve = Geom_Circle(axes, piece.radius) if isinstance(piece, Arc) else Geom_Ellipse(axes, major, minor)
    return curve, angle % math.tau


def _move(body: Handle, placement: Placement) -> Handle:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
    from OCP.gp import gp_Trsf

    a, b, c, d, e, f, g, h, i = placement.turn
    x, y, z = placement.move
    motion = gp_Trsf()
    motion.SetValues(a, b, c, x, d, e, f, y, g, h, i, z)
    with _kernel("move the solid"):
        return BRepBuilderAPI_Transform(body, motion, True).Shape()


def _fuse(members: list[Handle]) -> Handle:
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse

    with _kernel(f"fuse {len(members)} solids"):
        return _unwrapped(_operate(BRepAlgoAPI_Fuse(), members[:1], members[1:])) if members[1:] else members[0]


def _subtract(base: Handle, tools: list[Handle]) -> Handle:
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut

    with _kernel(f"cut {len(tools)} tools from the solid"):
        return _unwrapped(_operate(BRepAlgoAPI_Cut(), [base], tools)) if tools else base


def _operate(operation: Handle, arguments: list[Handle], tools: list[Handle]) -> Handle:
    from OCP.TopTools import TopTools_ListOfShape

    for items, take in ((arguments, operation.SetArguments), (tools, operation.SetTools)):
        listed = TopTools_ListOfShape()
        for item in items:
            listed.Append(item)
        take(listed)
    # One thread: the order of the faces, and with it the bytes of a file, must not depend on timing.
    operation.SetRunParallel(False)
    operation.Build()
    if not operation.IsDone():
        raise RuntimeError("the operation has no result")
    return operation.Shape()


def _unwrapped(result: Handle) -> Handle:
    """The one solid of a result, or a compound of its several.

    Raises:
        PartError: there is none.
    """
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound

    bodies = _parts(result, "SOLID")
    if not bodies:
        raise PartError("nothing is left of the solid")
    if len(bodies) == 1:
        return bodies[0]
    compound, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(compound)
    for body in bodies:
        builder.Add(compound, body)
    return compound


def _outward(body: Handle) -> Handle:
    """The solid with its faces turned outwards."""
    return body if _properties(body).Mass() > 0.0 else body.Reversed()


def _box(body: Handle, exact: bool) -> tuple[Triple, Triple]:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    if exact:
        BRepBndLib.AddOptimal_s(body, box, False, False)
    else:
        BRepBndLib.Add_s(body, box)
    x0, y0, z0, x1, y1, z1 = box.Get()
    return (x0, y0, z0), (x1, y1, z1)


def _parts(body: Handle, kind: str) -> list[Handle]:
    from OCP import TopAbs
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(body, getattr(TopAbs.TopAbs_ShapeEnum, f"TopAbs_{kind}"), found)
    return [found.FindKey(index) for index in range(1, found.Extent() + 1)]


def _properties(body: Handle, tolerance: float | None = None) -> Handle:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(body, found, *(() if tolerance is None else (tolerance,)))
    return found


def _area(face: Handle, tolerance: float | None) -> float:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    found = GProp_GProps()
    BRepGProp.SurfaceProperties_s(face, found, *(() if tolerance is None else (tolerance,)))
    return float(found.Mass())


@contextmanager
def _kernel(doing: str) -> Iterator[None]:
    """Turns a failure of the kernel into a message that says what it was doing.

    Raises:
        PartError: the kernel failed.
    """
    try:
        yield
    except Exception as error:
        # The kernel's errors have no common parent but the module that they come from.
        if type(error).__module__.startswith("OCP") or type(error) is RuntimeError:
            reason = str(error).strip() or type(error).__name__
            raise PartError(f"the CAD kernel could not {doing} ({reason})") from error
        raise


@contextmanager
def _naming(what: str) -> Iterator[None]:
    try:
        yield
    except PartError as error:
        raise PartError(f"{what}: {error}") from error
