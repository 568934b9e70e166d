"""Where a print hangs over nothing: faces that look down, from a turned part's exact section or from facets."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from ..parts.print_defaults import print_defaults
from ..parts.readers.mesh import mesh
from ..parts.shape import Array, Cut, Fused, Placed, Placement, Plate, RadialFeature, Revolved, Shape
from .overhang import SAME, Overhang, in_order
from .overhangs_of_facets import of_facets
from .overhangs_of_section import of_section

__all__ = ["Overhang", "Overhangs", "SideHole", "overhangs"]


@dataclass(frozen=True, slots=True)
class SideHole:
    """Holes through a standing wall, alike and at one height; their tops bridge.

    Attributes:
        width: how wide they are round the wall [mm]; the diameter of round ones.
        height: height of their middles on the bed [mm].
        count: how many [-].
    """

    width: float
    height: float
    count: int


@dataclass(frozen=True, slots=True)
class Overhangs:
    """What of a piece hangs over nothing.

    Attributes:
        stretches: from the bed upwards.
        holes: from the bed upwards.
        limit: leaning out further from the vertical than this was looked for [rad].
        method: how it was found.
    """

    stretches: tuple[Overhang, ...]
    holes: tuple[SideHole, ...]
    limit: float
    method: str


def overhangs(shape: Shape, pose: Placement, limit: float | None = None) -> Overhangs:
    """Overhangs of a piece as it stands on the bed.

    Of a turned part on end, radial holes or not, from its exact section; of anything else from its facets, where
    stretches below 0.05 mm2 and 0.5 degrees over the limit are left out. Faces on the bed are none.

    Args:
        shape: the piece.
        pose: motion to the bed's frame, z up; the lowest point counts as the bed.
        limit: from the vertical [rad], above 0, below a quarter turn; 45 degrees (common practice) if not given.
    """
    limit = math.radians(print_defaults()["overhang"].amount) if limit is None else limit
    while isinstance(shape, Placed):
        pose, shape = pose.after(shape.placement), shape.shape
    upward = float(pose.matrix[2, 0])
    if abs(abs(upward) - 1.0) > 1e-9:
        return Overhangs(of_facets(mesh(shape).placed(pose), limit), (), limit, "facets")
    up = math.copysign(1.0, upward)
    solid, features = _without_holes(shape)
    if isinstance(solid, Revolved):
        first, last, _ = solid.meridian.box()
        bed = first if up > 0.0 else last
        found = tuple(of_section(solid.meridian, up, bed, limit))
        method = "exact section"
    else:
        posed = mesh(solid).placed(pose)
        first, last = ((z - pose.move[2]) * up for z in (posed.vertices[:, 2].min(), posed.vertices[:, 2].max()))
        bed = float(first)
        found, method = of_facets(posed, limit), "facets"
    top = max((x - bed) * up for x in (first, last))
    return Overhangs(in_order(found), _side_holes(features, up, bed, top), limit, method)


def _without_holes(shape: Shape) -> tuple[Shape, tuple[tuple[RadialFeature, int], ...]]:
    """A shape before its radial holes are cut, and those, each with how many of it go round."""
    match shape:
        case Cut():
            solid, features = _without_holes(shape.base)
            holes = tuple((tool, _radial(tool)) for tool in shape.tools)
            rest = tuple(tool for tool, hole in holes if hole is None)
            found = tuple(hole for _, hole in holes if hole is not None)
            return (Cut(solid, rest) if rest else solid), (*features, *found)
        case Fused():
            members = [_without_holes(member) for member in shape.members]
            found = tuple(feature for _, features in members for feature in features)
            return Fused(tuple(solid for solid, _ in members)), found
        case _:
            return shape, ()


def _radial(tool: Shape) -> tuple[RadialFeature, int] | None:
    match tool:
        case RadialFeature():
            return tool, 1
        case Array(shape=RadialFeature() as feature, count=count):
            return feature, count
        case Placed(shape=Plate() as bar) if abs(tool.placement.matrix[0, 0]) < SAME:
            # A bar right across the axis, as for a dowel: one hole whose top bridges as that of a radial one does.
            return RadialFeature(tool.placement.move[0], 0.0, bar.outline, 0.0, bar.thickness), 1
        case _:
            return None


def _side_holes(
    features: Iterable[tuple[RadialFeature, int]], up: float, bed: float, top: float
) -> tuple[SideHole, ...]:
    """The holes that have a top: a slot that is open upwards has none."""
    counts: Counter[tuple[float, float]] = Counter()
    for feature, count in features:
        low_x, low_y, high_x, high_y = feature.outline.box()
        middle = (feature.station + (low_x + high_x) / 2.0 - bed) * up
        if middle + (high_x - low_x) / 2.0 >= top - SAME:
            continue
        counts[(round(middle, 6), round(high_y - low_y, 6))] += count
    return tuple(SideHole(width, height, count) for (height, width), count in sorted(counts.items()))
