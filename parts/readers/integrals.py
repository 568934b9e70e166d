"""Exact moments and areas of a shape, without the kernel.

Turned and flat solids by Green's theorem with Gauss rules that are exact for lines and Beziers; radial features in
curved walls by quadrature; whatever overlaps in other ways by meshing only what is shared, so that the error of the
mesh is scaled by the size of the feature and not of the part.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache, reduce

import numpy as np

from ..blade import as_plates
from ..curve import Arc, EllipseArc, Floats, Line, Piece, gauss
from ..shape import (
    Array,
    Blade,
    Cut,
    Fused,
    Loop,
    Meridian,
    Placed,
    Plate,
    RadialFeature,
    Revolved,
    Role,
    Ruled,
    Shape,
    instances,
    radial_prism,
)
from .moments import NOTHING, Moments
from .radial import apart, overlap

_EXACT = "exact boundary integral"
_ROUNDING = 1e-13
"""Relative error of a boundary integral: rounding alone [-]."""


def moments(shape: Shape) -> Moments:
    """Volume, first and second moments of a shape about the origin of its frame, with method and error."""
    return _moments(shape)


@lru_cache(maxsize=1024)  # behind a plain function, because a cached one forgets what it takes
def _moments(shape: Shape) -> Moments:
    match shape:
        case Revolved():
            return _revolved(shape.meridian)
        case Plate():
            return _plate(shape)
        case Blade():
            return moments(as_plates(shape))
        case Ruled():
            return _ruled(shape)
        case RadialFeature():
            return moments(radial_prism(shape))
        case Placed():
            return moments(shape.shape).placed(shape.placement)
        case Array():
            return _fused(instances(shape))
        case Fused():
            return _fused(shape.members)
        case Cut():
            return _cut(shape)


def area(meridian: Meridian, role: Role) -> float:
    """Area of the turned faces of one role [mm2]."""
    total = 0.0
    for piece in meridian.role(role):
        p, d, w = _samples(piece, fine=True)
        total += math.tau * float(w @ (p[:, 1] * np.hypot(d[:, 0], d[:, 1])))
    return total


def _samples(piece: Piece, fine: bool = False) -> tuple[Floats, Floats, Floats]:
    """Positions, slopes and weights of a Gauss rule along a piece.

    A line or Bezier of degree d gives integrands of degree at most 5 d - 1 in the moments, which (5 d + 1) / 2 points
    integrate exactly; arcs are cut to at most an eighth turn and converge to rounding in 16. Lengths and areas have
    roots in them and take the fine rule.
    """
    if isinstance(piece, Line):
        points, panels = 4, 1
    elif isinstance(piece, (Arc, EllipseArc)):
        points, panels = 16, max(1, math.ceil(abs(piece.sweep) / (math.pi / 4.0)))
    else:
        points, panels = (5 * piece.degree) // 2 + 1, 1
    if fine and not isinstance(piece, Line):
        points, panels = 24, max(panels, 12)
    nodes, weights = gauss(points)
    t = ((np.arange(panels)[:, None] + nodes) / panels).ravel()
    return piece.at(t), piece.slope(t), np.tile(weights, panels) / panels


def _revolved(meridian: Meridian) -> Moments:
    volume = first = along = across = 0.0
    for edge in meridian.edges:
        p, d, w = _samples(edge.piece)
        x, r = p[:, 0], p[:, 1]
        ring = w * d[:, 0] * r**2
        volume += float(ring.sum())
        first += float(ring @ x)
        along += float(ring @ x**2)
        across += float(ring @ r**2) / 4.0
    return Moments(
        math.pi * volume,
        (math.pi * first, 0.0, 0.0),
        (math.pi * along, math.pi * across, math.pi * across, 0.0, 0.0, 0.0),
        _EXACT,
        _ROUNDING,
    )


def _plate(plate: Plate) -> Moments:
    # y-z plane moments: a, sy, sz, yy, zz, yz
    flat = sum((_loop_moments(loop) for loop in plate.outline.loops), start=np.zeros(6))
    t = plate.thickness
    a, sy, sz, yy, zz, yz = (float(value) for value in flat)
    return Moments(
        a * t,
        (a * t**2 / 2.0, sy * t, sz * t),
        (a * t**3 / 3.0, yy * t, zz * t, sy * t**2 / 2.0, sz * t**2 / 2.0, yz * t),
        _EXACT,
        _ROUNDING,
    )


def _ruled(shape: Ruled) -> Moments:
    flat = sum((_loop_moments(loop) for loop in shape.section.loops), start=np.zeros(6))
    a, sx, sz, xx, zz, xz = (float(value) for value in flat)
    height = shape.to_y - shape.from_y
    # Every integrand is a polynomial of degree 4 in the way outboard, which three points integrate exactly.
    u, weights = gauss(3)
    k, shift, y = 1.0 + (shape.ratio - 1.0) * u, shape.sweep * u, shape.from_y + height * u
    w = weights * height * k**2
    return Moments(
        float(w.sum()) * a,
        (float(w @ (k * sx + shift * a)), float(w @ y) * a, float(w @ k) * sz),
        (
            float(w @ (k**2 * xx + 2.0 * k * shift * sx + shift**2 * a)),
            float(w @ y**2) * a,
            float(w @ k**2) * zz,
            float(w @ (y * (k * sx + shift * a))),
            float(w @ (k**2 * xz + k * shift * sz)),
            float(w @ (y * k)) * sz,
        ),
        _EXACT,
        _ROUNDING,
    )


def _loop_moments(loop: Loop) -> Floats:
    total = np.zeros(6)
    for edge in loop:
        p, d, weights = _samples(edge.piece)
        y, z = p[:, 0], p[:, 1]
        w = weights * d[:, 1]
        total += [w @ y, w @ y**2 / 2.0, w @ (y * z), w @ y**3 / 3.0, w @ (y * z**2), w @ (y**2 * z) / 2.0]
    return total


def _fused(members: tuple[Shape, ...]) -> Moments:
    base, features = members[0], _radial_features(members[1:])
    if isinstance(base, Revolved) and features is not None and apart(base.meridian, features, in_wall=False):
        extra = (moments(radial_prism(f)) - overlap(base.meridian, f) for f in features)
        return _total((_revolved(base.meridian), *extra))
    total = NOTHING
    for index, member in enumerate(members):
        shared = [_shared(member, (earlier,)) for earlier in members[:index] if _boxes_meet(member, earlier)]
        if len(shared) > 1:
            shared = [_shared(member, members[:index])]
        total = _total((total, moments(member)))
        for part in shared:
            total = total - part
    return total


def _cut(shape: Cut) -> Moments:
    features = _radial_features(shape.tools)
    if isinstance(shape.base, Revolved) and features is not None and apart(shape.base.meridian, features, in_wall=True):
        return reduce(
            lambda rest, f: rest - overlap(shape.base.meridian, f),  # type: ignore[union-attr]
            features,
            _revolved(shape.base.meridian),
        )
    return moments(shape.base) - _shared(shape.base, shape.tools)


def _total(parts: Iterable[Moments]) -> Moments:
    return reduce(lambda a, b: a + b if a is not NOTHING else b, parts, NOTHING)


def _radial_features(shapes: tuple[Shape, ...]) -> tuple[RadialFeature, ...] | None:
    """The radial features that the shapes consist of, or None if there is anything else among them."""
    found: list[RadialFeature] = []
    for shape in shapes:
        if isinstance(shape, RadialFeature):
            found.append(shape)
        elif isinstance(shape, Array) and isinstance(shape.shape, RadialFeature):
            one = shape.shape
            found.extend(
                RadialFeature(
                    one.station, one.roll + math.tau * i / shape.count, one.outline, one.from_radius, one.to_radius
                )
                for i in range(shape.count)
            )
        else:
            return None
    return tuple(found)


def _shared(base: Shape, tools: tuple[Shape, ...]) -> Moments:
    """Moments of what the tools share with the base, from a fine volume-true mesh of that alone."""
    from .mesh import shared_moments  # noqa: PLC0415  loads manifold3d, which plain parts do without

    return shared_moments(base, tools)


def _boxes_meet(a: Shape, b: Shape) -> bool:
    low_a, high_a = box(a)
    low_b, high_b = box(b)
    return bool(np.all(low_a < high_b - 1e-9) and np.all(low_b < high_a - 1e-9))


def box(shape: Shape) -> tuple[Floats, Floats]:
    """Corners (3,), (3,) of a box that holds the shape [mm]; tight for turned and flat solids in their own frame."""
    match shape:
        case Revolved():
            first, last, radius = shape.meridian.box()
            return np.array([first, -radius, -radius]), np.array([last, radius, radius])
        case Plate():
            y0, z0, y1, z1 = shape.outline.box()
            return np.array([0.0, y0, z0]), np.array([shape.thickness, y1, z1])
        case Blade():
            return box(as_plates(shape))
        case Ruled():
            return _ruled_box(shape)
        case RadialFeature():
            return box(radial_prism(shape))
        case Cut():
            return box(shape.base)
        case Placed(shape=Placed() as inner):
            # One turn after another would put a box round a box.
            return box(Placed(inner.shape, shape.placement.after(inner.placement)))
        case Placed():
            low, high = box(shape.shape)
            corners = np.array(np.meshgrid(*zip(low, high, strict=True))).reshape(3, -1).T
            after = shape.placement.apply(corners)
            return after.min(axis=0), after.max(axis=0)
        case Array():
            return _joint_box(instances(shape))
        case Fused():
            return _joint_box(shape.members)


def _ruled_box(shape: Ruled) -> tuple[Floats, Floats]:
    x0, z0, x1, z1 = shape.section.box()
    ends = np.array([[x0, x1, z0, z1], [x0, x1, z0, z1]]) * [[1.0], [shape.ratio]]
    ends[1, :2] += shape.sweep
    low: Floats = np.array([ends[:, 0].min(), shape.from_y, ends[:, 2].min()])
    high: Floats = np.array([ends[:, 1].max(), shape.to_y, ends[:, 3].max()])
    return low, high


def _joint_box(members: tuple[Shape, ...]) -> tuple[Floats, Floats]:
    boxes = [box(member) for member in members]
    lows: Floats = np.array([low for low, _ in boxes], dtype=np.float64)
    highs: Floats = np.array([high for _, high in boxes], dtype=np.float64)
    return np.asarray(lows.min(axis=0)), np.asarray(highs.max(axis=0))
