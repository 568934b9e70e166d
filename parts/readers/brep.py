"""The exact solid: the pieces of a shape revolved, extruded and joined by the CAD kernel.

The only module that imports the kernel, and only inside functions: everything but making solids starts without it. The
kernel has no types, so `Any` stays behind the fence of this module.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
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
    Shape,
    instances,
    radial_prism,
)
from .moments import Moments, from_arrays

Handle: TypeAlias = Any
"""Something of the kernel's own; the kernel has no types."""

_ON_AXIS = 1e-7
"""A radius below this [mm] is on the axis: the kernel refuses to revolve a section that ends a hair beside it."""

_JOINED_TOLERANCE = 1e-12
"""Relative tolerance [-] where faces meet along fitted curves; faces as revolved or extruded integrate without one."""


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
    low: tuple[float, float, float]
    high: tuple[float, float, float]
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

    Raises:
        PartError: the kernel cannot measure it.
    """
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib
    from OCP.BRepCheck import BRepCheck_Analyzer

    with _kernel("measure the solid"):
        box = Bnd_Box()
        BRepBndLib.AddOptimal_s(body.kernel, box, False, False)
        x0, y0, z0, x1, y1, z1 = box.Get()
        return Measure(
            _moments(body),
            (x0, y0, z0),
            (x1, y1, z1),
            len(_parts(body.kernel, "SOLID")),
            len(_parts(body.kernel, "FACE")),
            bool(BRepCheck_Analyzer(body.kernel).IsValid()),
        )


def face_areas(body: Solid) -> tuple[float, ...]:
    """Area of every face [mm2], in the kernel's order."""
    return tuple(_area(face) for face in _parts(body.kernel, "FACE"))


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
        box = measure(body)
        reach = 1.0 + max(abs(value) for value in (*box.low[1:], *box.high[1:]))
        plane = gp_Pln(gp_Pnt(x, 0.0, 0.0), gp_Dir(1.0, 0.0, 0.0))
        sheet = BRepBuilderAPI_MakeFace(plane, -reach, reach, -reach, reach).Face()
        common = _operate(BRepAlgoAPI_Common(), [body.kernel], [sheet])
        return sum(_area(face) for face in _parts(common, "FACE"))


def _build(shape: Shape) -> Handle:
    match shape:
        case Revolved():
            return _revolve(shape.meridian)
        case Plate():
            return _extrude(shape)
        case Blade():
            return _build(as_plates(shape))
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
        case _:
            return True


def _revolve(meridian: Meridian) -> Handle:
    from OCP.BRepSweep import BRepSweep_Revol
    from OCP.gp import gp, gp_Dir, gp_Pln, gp_Pnt

    first, last, radius = meridian.box()
    with _kernel(f"revolve the section from x = {first:g} to {last:g} mm with its largest radius {radius:g} mm"):
        face = _face((meridian.edges,), gp_Pln(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(0.0, 0.0, -1.0)), on_axis=_ON_AXIS)
        return _outward(BRepSweep_Revol(face, gp.OX_s(), True).Shape())


def _extrude(plate: Plate) -> Handle:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Dir, gp_Pln, gp_Pnt, gp_Vec

    with _kernel(f"extrude the outline by {plate.thickness:g} mm"):
        face = _face(plate.outline.loops, gp_Pln(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(0.0, 0.0, 1.0)))
        prism = BRepPrimAPI_MakePrism(face, gp_Vec(0.0, 0.0, plate.thickness)).Shape()
        # Drawn in x-y and thick along z; a plate lies in y-z and is thick along x.
        upright = Placement(turn=(0.0, 0.0, 1.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0))
        return _outward(_move(prism, upright))


def _face(loops: tuple[Loop, ...], plane: Handle, on_axis: float = 0.0) -> Handle:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace

    maker = BRepBuilderAPI_MakeFace(plane, _wire(loops[0], on_axis), True)
    for inner in loops[1:]:
        maker.Add(_wire(inner, on_axis))
    return maker.Face()


def _wire(loop: Loop, on_axis: float) -> Handle:
    """The loop in the x-y plane; neighbours share one vertex each."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex, BRepBuilderAPI_MakeWire
    from OCP.gp import gp_Pnt

    points = [_snapped(edge.piece.start, on_axis) for edge in loop]
    vertices = [BRepBuilderAPI_MakeVertex(gp_Pnt(x, y, 0.0)).Vertex() for x, y in points]
    maker = BRepBuilderAPI_MakeWire()
    for index, edge in enumerate(loop):
        after = (index + 1) % len(loop)
        maker.Add(_edge(edge.piece, points[index], points[after], vertices[index], vertices[after], on_axis))
    return maker.Wire()


def _snapped(point: Point, on_axis: float) -> Point:
    return (point[0], 0.0 if abs(point[1]) < on_axis else point[1])


def _edge(piece: Piece, start: Point, end: Point, first: Handle, last: Handle, on_axis: float) -> Handle:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
    from OCP.Geom import Geom_BezierCurve
    from OCP.gp import gp_Pnt
    from OCP.TColgp import TColgp_Array1OfPnt
    from OCP.TopoDS import TopoDS

    if on_axis and end[1] == 0.0 and start[1] > 0.0:
        # Healing on import loses a small cap whose meridian ends on the axis; one that starts there it keeps.
        return TopoDS.Edge_s(_edge(piece.reversed(), end, start, last, first, on_axis).Reversed())
    match piece:
        case Line():
            return BRepBuilderAPI_MakeEdge(first, last).Edge()
        case Bezier():
            poles = TColgp_Array1OfPnt(1, len(piece.poles))
            for index, (x, y) in enumerate((start, *piece.poles[1:-1], end)):
                poles.SetValue(index + 1, gp_Pnt(x, y, 0.0))
            return BRepBuilderAPI_MakeEdge(Geom_BezierCurve(poles), first, last, 0.0, 1.0).Edge()
        case Arc() | EllipseArc() if on_axis and _spans_axis(piece):
            return BRepBuilderAPI_MakeEdge(_rational(piece, start, end), first, last, 0.0, 1.0).Edge()
        case Arc() | EllipseArc():
            curve, from_angle = _round_curve(piece)
            return BRepBuilderAPI_MakeEdge(curve, first, last, from_angle, from_angle + abs(piece.sweep)).Edge()


def _spans_axis(piece: Arc | EllipseArc) -> bool:
    """Whether the whole circle or ellipse passes through the axis, other than a circle about a point on it."""
    if isinstance(piece, Arc):
        return piece.centre[1] != 0.0 and abs(piece.centre[1]) < piece.radius
    return abs(piece.centre[1]) < max(piece.semi_x, piece.semi_y)


def _rational(piece: Arc | EllipseArc, start: Point, end: Point) -> Handle:
    from OCP.Geom import Geom_BezierCurve
    from OCP.gp import gp_Pnt
    from OCP.TColgp import TColgp_Array1OfPnt
    from OCP.TColStd import TColStd_Array1OfReal

    w = math.cos(piece.sweep / 2)
    m = piece.at(np.array([0.5]))[0]
    c = np.asarray(piece.centre)
    mid = c + (m - c) / w
    poles = TColgp_Array1OfPnt(1, 3)
    weights = TColStd_Array1OfReal(1, 3)
    for i, (x, y) in enumerate((start, mid, end)):
        poles.SetValue(i + 1, gp_Pnt(float(x), float(y), 0.0))
    for i, v in enumerate((1.0, w, 1.0)):
        weights.SetValue(i + 1, v)
    return Geom_BezierCurve(poles, weights)


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


def _parts(body: Handle, kind: str) -> list[Handle]:
    from OCP import TopAbs
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(body, getattr(TopAbs.TopAbs_ShapeEnum, f"TopAbs_{kind}"), found)
    return [found.FindKey(index) for index in range(1, found.Extent() + 1)]


def _moments(body: Solid) -> Moments:
    whole = _properties(body.kernel)
    if body.joined:
        volume = float(_properties(body.kernel, _JOINED_TOLERANCE).Mass())
        whole = _face_by_face(body.kernel, whole.CentreOfMass())
    else:
        volume = float(whole.Mass())
    centre, tensor = whole.CentreOfMass(), whole.MatrixOfInertia()
    c = np.array([centre.X(), centre.Y(), centre.Z()])
    about = np.array([[tensor.Value(i, j) for j in (1, 2, 3)] for i in (1, 2, 3)])
    second = np.trace(about) / 2.0 * np.eye(3) - about + volume * np.outer(c, c)
    return from_arrays(volume, volume * c, second, "CAD kernel", 1e-7 if body.joined else 1e-11)


def _properties(body: Handle, tolerance: float | None = None) -> Handle:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    found = GProp_GProps()
    if tolerance is None:
        BRepGProp.VolumeProperties_s(body, found)
    else:
        BRepGProp.VolumeProperties_s(body, found, tolerance)
    return found


def _face_by_face(body: Handle, centre: Handle) -> Handle:
    """Moments of a joined solid, each face by the rule that is good for it.

    The rule without a tolerance misses the wavy edge of a bore by 1e-5 of the part. The one with a tolerance stops as
    soon as the volume holds still: sound for the moments of flat, round and conical faces, whose integrands are all
    alike, and wrong by as much as 1e-5 on other profiles.
    """
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.BRepGProp import BRepGProp_Domain, BRepGProp_Face, BRepGProp_Vinert
    from OCP.GeomAbs import GeomAbs_SurfaceType
    from OCP.GProp import GProp_GProps
    from OCP.TopoDS import TopoDS

    simple = (
        GeomAbs_SurfaceType.GeomAbs_Plane,
        GeomAbs_SurfaceType.GeomAbs_Cylinder,
        GeomAbs_SurfaceType.GeomAbs_Cone,
    )
    found = GProp_GProps()
    for item in _parts(body, "FACE"):
        face = TopoDS.Face_s(item)
        rule = (_JOINED_TOLERANCE,) if BRepAdaptor_Surface(face).GetType() in simple else ()
        found.Add(BRepGProp_Vinert(BRepGProp_Face(face), BRepGProp_Domain(face), centre, *rule))
    return found


def _area(face: Handle) -> float:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    found = GProp_GProps()
    BRepGProp.SurfaceProperties_s(face, found)
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
