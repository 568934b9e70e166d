"""What is said of a section with a leader: walls, radii, angles, chamfers, holes, remarks, and crowded diameters."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import assert_never

from ..curve import Point
from ..marks import Pen
from ..measures import AngleToAxis, AxialLength, Chamfer, Detail, DiameterAt, Holes, Measure, RadiusOf, Remark, Wall
from ..quantity import inches_64, millimetres
from .drawing import arrowhead
from .leaders import Leader
from .letters import printable
from .section_scaling import scaled_point
from .sheet import line

_OUT = 4.5
"""How far a leader runs straight out from what it points at [mm]."""

_TAIL = 4.5
"""Length of the line behind the head that points at the inside of a wall [mm]."""


def said(words: str, figure: str) -> str:
    """Words and a figure in letters that can be printed.

    Raises:
        PartError: a letter cannot be.
    """
    return printable(f"{words} {figure}", "dimension of the drawing")


def leaders_of(measures: Sequence[Measure], scale: float) -> list[Leader]:
    """Words with leaders for those of some measures that have no dimension line of their own.

    Args:
        measures: what is measured.
        scale: mm on paper for one of the part [-].

    Raises:
        PartError: words that cannot be printed.
    """
    return [found for one in measures if (found := _leader(one, scale)) is not None]


def leader_to_diameter(one: DiameterAt, scale: float) -> Leader:
    """A diameter that has no room beside the view, said with a leader.

    Args:
        one: the diameter.
        scale: mm on paper for one of the part [-].

    Raises:
        PartError: words that cannot be printed.
    """
    tip = scaled_point(one.point, scale)
    return Leader(
        tip,
        said(one.words, f"{one.sign}{millimetres(one.value)}"),
        inches_64(one.value),
        (arrowhead(tip, (0.0, -1.0)),),
    )


def _leader(one: Measure, scale: float) -> Leader | None:
    """Words for whatever is too small for a dimension line of its own; None for all else."""
    match one:
        case Wall():
            return _wall(one, scale)
        case RadiusOf():
            (cx, cr), (x, r) = one.arc.centre, one.point
            out = ((x - cx) / one.value, (r - cr) / one.value)
            words = said(one.words, f"R{millimetres(one.value)}")
            return _pointed(scaled_point((x, r), scale), out, words, inches_64(one.value))
        case AngleToAxis():
            return _pointed(scaled_point(one.point, scale), (0.0, 1.0), said(one.words, degrees(one.value)), "")
        case Chamfer():
            middle = ((one.start[0] + one.end[0]) / 2.0, (one.start[1] + one.end[1]) / 2.0)
            words = said(one.words, f"{millimetres(one.value)} x {degrees(one.angle)}")
            return _pointed(scaled_point(middle, scale), (0.0, 1.0), words, inches_64(one.value))
        case Holes():
            return _holes(one, scale)
        case Remark():
            return _pointed(
                scaled_point(one.point, scale), (0.0, 1.0), printable(one.words, "remark on the drawing"), ""
            )
        case AxialLength() | DiameterAt() | Detail():
            return None
        case _:
            assert_never(one)


def degrees(angle: float) -> str:
    """An angle [rad] in degrees with at most one decimal."""
    return f"{math.degrees(angle):.1f}".removesuffix(".0") + " deg"


def _pointed(tip: Point, out: Point, above: str, below: str) -> Leader:
    """A leader with its head at a point [mm], which it leaves along a unit direction [-]."""
    start = (tip[0] + _OUT * out[0], tip[1] + _OUT * out[1])
    head = (arrowhead(tip, (-out[0], -out[1])), line(tip, start, Pen.DIMENSION))
    return Leader(start, above, below, head)


def _wall(one: Wall, scale: float) -> Leader:
    """Two heads that point at both faces of the wall, the leader on from the outer one."""
    outside, inside = scaled_point(one.outside, scale), scaled_point(one.inside, scale)
    long = math.dist(outside, inside)
    out = ((outside[0] - inside[0]) / long, (outside[1] - inside[1]) / long)
    led_on = _pointed(outside, out, said(one.words, millimetres(one.value)), inches_64(one.value))
    tail = (inside[0] - _TAIL * out[0], inside[1] - _TAIL * out[1])
    return Leader(
        led_on.point,
        led_on.above,
        led_on.below,
        (*led_on.head, arrowhead(inside, out), line(tail, inside, Pen.DIMENSION)),
    )


def _holes(one: Holes, scale: float) -> Leader:
    times = f"{one.count} x " if one.count > 1 else ""
    if one.diameter is not None:
        size, inches = f"Ø{millimetres(one.diameter)}", inches_64(one.diameter)
    else:
        long, wide = one.size
        size, inches = (
            f"{millimetres(long).removesuffix(' mm')} x {millimetres(wide)}",
            f"{inches_64(long)} x {inches_64(wide)}",
        )
    rolls = ", ".join(degrees(roll).removesuffix(" deg") for roll in one.rolls)
    tip = scaled_point((one.feature.station, one.surface), scale)
    return _pointed(tip, (0.0, 1.0), said(one.words, f"{times}{size}"), f"{inches}; at roll {rolls} deg")
