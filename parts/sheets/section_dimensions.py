"""One view of a section with its dimensions: which measure becomes what, and where it stands.

Over the view stand words with leaders, under it lengths, beside it diameters. Each has its zone, so that no dimension
can land on another; nothing but leaders and extension lines runs into the view.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, assert_never

from ..curve import Arc, Line, Piece, Point
from ..marks import Pen
from ..measures import (
    AngleToAxis,
    AxialLength,
    Chamfer,
    Detail,
    DiameterAt,
    Holes,
    Measure,
    RadiusOf,
    Remark,
    Wall,
)
from ..quantity import inches_64, millimetres
from .diameters import Across, beside
from .drawing import Drawn
from .hatch import ANGLE, Circle, hatched
from .leaders import Leader, led
from .lengths import Span, tiered
from .letters import printable
from .section_leaders import leader_to_diameter, leaders_of, said
from .section_scaling import clipped, enlarged, scaled, scaled_point
from .section_view import Section
from .sheet import Box, Item, Trace, around, line

THINNEST = 1.5
"""Walls thinner than this on paper [mm] are drawn once more in a detail."""

_DETAIL_RISE = 2.0
"""Height over a detail in which lines lean to their ports [mm]; less than over the whole, for a detail is small."""

_SAME = 1e-6
"""A length of no more than this [mm] is none."""

_BESIDE = 0.01
"""How far beside a point it is looked for material on the way to an end of the view [mm]."""

_PAST_END = 3.0
"""How far the centre line runs past both ends of the view [mm]."""

_WITHIN = 0.98
"""A measure stands in a detail when its points lie within this share of the circle's radius [-]."""


@dataclass(frozen=True, slots=True)
class View:
    """A view on its own paper, the axis at y = 0, before any line of it is drawn.

    Attributes:
        section: what is drawn.
        scale: mm on paper for one of the part [-].
        clip: what a detail shows; None for the whole.
        rings: circles round what is drawn in details [mm on paper].
        drawn: the dimensions.
    """

    section: Section
    scale: float
    clip: Circle | None
    rings: tuple[Circle, ...]
    drawn: tuple[Drawn, ...]

    def items(self, hatching: bool = True) -> tuple[Item, ...]:
        """Everything, lines of the part first."""
        art = _art(self.section, self.scale, self.clip, hatching)
        art += [_ring(circle) for circle in (*self.rings, *((self.clip,) if self.clip else ()))]
        if self.clip is None:
            left, _, right, _ = (side * self.scale for side in self.section.box())
            art.append(line((left - _PAST_END, 0.0), (right + _PAST_END, 0.0), Pen.CENTRE_LINE))
        return (*art, *(item for one in self.drawn for item in (*one.lines, *one.words)))

    def box(self) -> Box:
        """Rectangle round everything [mm]."""
        left, low, right, high = (side * self.scale for side in self.section.box())
        boxes = [_round(self.clip)] if self.clip else [Box(left - _PAST_END, low, right + _PAST_END, high)]
        return around([*boxes, *(_round(circle) for circle in self.rings), *(one.box() for one in self.drawn)])


def _round(circle: Circle) -> Box:
    return Box(*circle.centre, *circle.centre).grown(circle.radius)


def main_view(
    section: Section, measures: Sequence[Measure], scale: float, room: float, details: Sequence[tuple[str, Detail]]
) -> View | None:
    """The whole section.

    Args:
        section: what is drawn.
        measures: what is measured.
        scale: mm on paper for one of the part [-].
        room: width of the paper [mm].
        details: details that are drawn elsewhere, by their letters.

    Returns:
        The view, or None where it and the diameters beside it are wider than the paper.
    """
    taken = {id(one) for _, detail in details for one in of_detail(measures, detail)}
    here = [one for one in measures if id(one) not in taken]
    left, low, right, high = (side * scale for side in section.box())
    diameters = sorted((one for one in here if isinstance(one, DiameterAt)), key=lambda one: -one.value)
    found = [(one, beside_it) for one in diameters if (beside_it := _across(one, section, scale)) is not None]
    # Where the paper is too narrow for all of them beside the view, the small ones are said with leaders.
    for shown in (found[:number] for number in range(len(found), -1, -1)):
        across = beside([one for _, one in shown], left, right)
        ends = around([Box(left - _PAST_END, 0.0, right + _PAST_END, 0.0), *(one.box() for one in across)])
        if ends.right - ends.left <= room:
            break
    else:
        return None
    upright = {id(one) for one, _ in shown}
    spare = (room - ends.right + ends.left) / 2.0
    limits = (ends.left - spare, ends.right + spare)
    circles = [Circle(scaled_point(detail.centre, scale), detail.reach * scale) for _, detail in details]
    leaders = leaders_of(here, scale)
    leaders += [leader_to_diameter(one, scale) for one in diameters if id(one) not in upright]
    for circle, (letter, _) in zip(circles, details, strict=True):
        leaders.append(Leader((circle.centre[0], circle.centre[1] + circle.radius), letter, bold=True))
    spans = [_span(one, scale, -1.0) for one in here if isinstance(one, AxialLength) and one.value > _SAME]
    top = max([high, *(circle.centre[1] + circle.radius for circle in circles)])
    drawn = (*across, *led(leaders, top, *limits), *tiered(spans, low, *limits))
    return View(section, scale, None, tuple(circles), drawn)


def detail_view(section: Section, measures: Sequence[Measure], scale: float, room: float, detail: Detail) -> View:
    """One part of the section, larger, with the dimensions that lie in it.

    Args:
        section: the whole.
        measures: what is measured of the whole.
        scale: mm on paper for one of the part [-].
        room: width of the paper [mm].
        detail: what it shows.
    """
    here = of_detail(measures, detail)
    circle = Circle(scaled_point(detail.centre, scale), detail.reach * scale)
    (x, y), reach = circle.centre, circle.radius
    limits = (x - room / 2.0, x + room / 2.0)
    leaders = leaders_of(here, scale)
    spans = [_span(one, scale, 1.0) for one in here if isinstance(one, AxialLength) and one.value > _SAME]
    drawn = [*led(leaders, y + reach, *limits, _DETAIL_RISE), *tiered(spans, y - reach, *limits)]
    return View(section, scale, circle, (), tuple(drawn))


def of_detail(measures: Sequence[Measure], detail: Detail) -> tuple[Measure, ...]:
    """The measures that stand in a detail: those of its walls and steps that lie wholly in its circle."""
    circle = Circle(detail.centre, detail.reach * _WITHIN)
    return tuple(one for one in measures if (points := _in_detail(one)) and all(circle.holds(p) for p in points))


def needs_details(measures: Sequence[Measure], scale: float) -> bool:
    """Whether a wall is too thin to see at a scale [-]."""
    return any(one.value * scale < THINNEST for one in measures if isinstance(one, Wall))


def _in_detail(one: Measure) -> tuple[Point, ...]:
    match one:
        case Wall():
            return (one.outside, one.inside)
        case Chamfer() | AxialLength():
            return (one.start, one.end)
        case RadiusOf() | Remark():
            return (one.point,)
        case DiameterAt() | AngleToAxis() | Holes() | Detail():
            return ()
        case _:
            assert_never(one)


def _art(section: Section, scale: float, clip: Circle | None, hatching: bool) -> list[Item]:
    def traces(pieces: Sequence[Piece], pen: Pen) -> list[Item]:
        return [Trace((part,), pen) for piece in pieces for part in clipped(scaled(piece, scale), clip)]

    art = traces(section.beyond, Pen.DIMENSION)
    spacing = _spacing(section, scale)
    for number, faces in enumerate(section.faces if hatching else ()):
        regions, angle = [enlarged(face, scale) for face in faces], -ANGLE if number % 2 else ANGLE
        art += [Trace((one,), Pen.DIMENSION) for one in hatched(regions, spacing, clip, angle)]
    art += traces(section.outlines, Pen.CUT)
    for axis in section.hole_axes:
        (x, low), (_, high) = scaled_point(axis.start, scale), scaled_point(axis.end, scale)
        art += [Trace((part,), Pen.CENTRE_LINE) for part in clipped(Line((x, low - 1.5), (x, high + 1.5)), clip)]
    for axis in section.bore_axes:
        (first, y), (last, _) = scaled_point(axis.start, scale), scaled_point(axis.end, scale)
        art += [Trace((part,), Pen.CENTRE_LINE) for part in clipped(Line((first - 1.5, y), (last + 1.5, y)), clip)]
    if clip:
        (x, _), reach = clip.centre, clip.radius
        art += [Trace((part,), Pen.CENTRE_LINE) for part in clipped(Line((x - reach, 0.0), (x + reach, 0.0)), clip)]
    return art


def _spacing(section: Section, scale: float) -> float:
    """Distance of the hatching [mm]: about as wide as the walls, between 1.2 and 3 mm."""
    return min(3.0, max(1.2, section.thickness * scale))


def _ring(circle: Circle) -> Trace:
    x, y = circle.centre
    return Trace(
        (Arc((x, y), circle.radius, 0.0, math.pi), Arc((x, y), circle.radius, math.pi, math.pi)), Pen.DIMENSION
    )


def _span(one: AxialLength, scale: float, side: float) -> Span:
    """A length, its extension lines starting at the lower half of the part where `side` is negative."""
    (x0, r0), (x1, r1) = sorted((one.start, one.end))
    start, end = (x0 * scale, side * r0 * scale), (x1 * scale, side * r1 * scale)
    return Span(start, end, said(one.words, millimetres(one.value)), inches_64(one.value))


def _across(one: DiameterAt, section: Section, scale: float) -> Across | None:
    """A diameter beside the view; None where the part is in the way of its extension lines, or its words too long."""
    x = one.point[0]
    x0, _, x1, _ = section.box()
    sides: list[tuple[float, Literal["left", "right"]]] = [(x1 - x, "right"), (x - x0, "left")]
    for _, side in sorted(sides, key=lambda pair: pair[0]):
        if not _is_free(section, one.point, side):
            continue
        words = printable(one.words, "dimension of the drawing")
        found = Across(
            scaled_point(one.point, scale), words, f"{one.sign}{millimetres(one.value)}", inches_64(one.value), side
        )
        return found if found.has_room else None
    return None


def _is_free(section: Section, point: Point, side: str) -> bool:
    """Whether a line from a point to one end of the view runs beside the material and not through it."""
    x, r = point
    for beside_it in (r + _BESIDE, r - _BESIDE):
        spans = section.upper.spans((x, beside_it), (1.0, 0.0))
        if not any(b > _BESIDE if side == "right" else a < -_BESIDE for a, b in spans):
            return True
    return False
