"""How much room a piece takes as it lies on the bed."""

from __future__ import annotations

import numpy as np

from ..parts.readers.mesh import mesh
from ..parts.shape import Array, Cut, Fused, Placed, Placement, RadialFeature, Revolved, Shape


def printed_size(shape: Shape, pose: Placement) -> tuple[float, float, float, bool]:
    """Width, depth and height of a piece as it lies [mm], and whether it is round and on end."""
    while isinstance(shape, Placed):
        pose, shape = pose.after(shape.placement), shape.shape
    body = _outermost(shape)
    if body is not None and abs(abs(float(pose.matrix[2, 0])) - 1.0) < 1e-9:
        first, last, radius = body.meridian.box()
        return 2.0 * radius, 2.0 * radius, last - first, True
    posed = mesh(shape).placed(pose).vertices
    wide, deep, high = (posed.max(axis=0) - posed.min(axis=0)).tolist()
    return wide, deep, high, False


def _outermost(shape: Shape) -> Revolved | None:
    """The turned body that is as large as the shape, where what is cut from it or added to it leaves its box alone."""
    match shape:
        case Revolved():
            return shape
        case Cut(base=base, tools=tools):
            body = _outermost(base)
            only_holes = all(
                isinstance(tool.shape if isinstance(tool, Array) else tool, RadialFeature) for tool in tools
            )
            return body if body is not None and (only_holes or _same_box(shape, body)) else None
        case Fused(members=members):
            body = _outermost(members[0]) if members else None
            return body if body is not None and _same_box(shape, body) else None
        case _:
            return None


def _same_box(shape: Shape, body: Revolved) -> bool:
    first, last, radius = body.meridian.box()
    vertices = mesh(shape).vertices
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    # Facets of a round face lie within 0.02 mm of it.
    far = float(np.hypot(vertices[:, 1], vertices[:, 2]).max())
    return bool(abs(low[0] - first) < 1e-4 and abs(high[0] - last) < 1e-4 and abs(far - radius) < 0.05)
