"""Holes through a round wall, read off the shape itself."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..parts.curve import Arc
from ..parts.shape import Array, Cut, Fused, Loop, RadialFeature, Shape


def cut_through(shape: Shape) -> Iterator[tuple[RadialFeature, int]]:
    """Radial holes of a shape, with how many of each there are."""
    if isinstance(shape, Fused):
        for member in shape.members:
            yield from cut_through(member)
    if not isinstance(shape, Cut):
        return
    yield from cut_through(shape.base)
    for tool in shape.tools:
        if isinstance(tool, RadialFeature):
            yield tool, 1
        elif isinstance(tool, Array) and isinstance(tool.shape, RadialFeature):
            yield tool.shape, tool.count


def diameter_of(feature: RadialFeature) -> float | None:
    """Diameter of a round hole [mm]; None for any other."""
    return diameter_of_loop(feature.outline.outer)


def diameter_of_loop(loop: Loop) -> float | None:
    """Diameter of a loop that is one whole circle [mm]; None for any other."""
    arcs = [edge.piece for edge in loop if isinstance(edge.piece, Arc)]
    turned = sum(abs(arc.sweep) for arc in arcs)
    alike = {(arc.centre, arc.radius) for arc in arcs}
    whole = len(arcs) == len(loop) and len(alike) == 1 and abs(turned - math.tau) < 1e-9
    return 2.0 * arcs[0].radius if whole else None


def middle_of(feature: RadialFeature) -> float:
    """Station of the middle of a hole, in its part's frame [mm]."""
    x0, _, x1, _ = feature.outline.box()
    return feature.station + (x0 + x1) / 2.0
