"""Fin: a flat trapezoid with a tab through the tube's wall."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar

from pydantic import Field

from ..curve import Line, Point
from ..errors import PartError
from ..fit import Derived, Surroundings, tab_depth
from ..marks import Arrow, Dimension, Guide, Label, Mark
from ..params import Length
from ..part import Part, register
from ..shape import Blade, Edge, Outline, Placement, Role, moved


@register
class Fin(Part):
    r"""A trapezoid fin, root leading edge at the origin.

    ::

                    <-sweep_length->__________   tip_chord  ^
         forward   .                /          \            |
                 .                 /            \           | semi_span: tube surface to tip
               .                  /              \          |
              /__________________/________________\         v
              <- tab_position ->|  tab_length  |   root_chord (on the tube's surface)
                                |______________|  v tab_depth (below the surface)
    """

    kind: ClassVar[str] = "fin"
    bench_order: ClassVar[int] = 60
    on_surface: ClassVar[bool] = True
    origin: ClassVar[str] = "the root leading edge"
    example: ClassVar[dict[str, str]] = {
        "root_chord": "120 mm",
        "tip_chord": "60 mm",
        "semi_span": "58 mm",
        "sweep_length": "50 mm",
        "thickness": "4 mm",
        "tab_length": "90 mm",
        "tab_depth": "18.4 mm",
        "tab_position": "15 mm",
        "material": "birch-plywood",
    }

    root_chord: Annotated[Length, Field(gt=0, le=3000, description="chord at the tube's surface")]
    tip_chord: Annotated[Length, Field(ge=0, le=3000, description="chord at the tip; 0 makes a triangle")]
    semi_span: Annotated[Length, Field(gt=0, le=1500, description="tube surface to tip, of one fin")]
    sweep_length: Annotated[
        Length, Field(ge=-3000, le=3000, description="how far the tip's leading edge lies aft of the root's")
    ]
    thickness: Annotated[Length, Field(gt=0, le=50, description="thickness of the sheet, as measured")]
    tab_length: Annotated[Length, Field(ge=0, le=3000, description="length of the tab along the root; 0 for none")] = (
        0.0
    )
    tab_depth: Annotated[Length, Field(ge=0, le=250, description="depth of the tab below the tube's surface")] = 0.0
    tab_position: Annotated[Length, Field(ge=0, le=3000, description="root leading edge to the tab's forward end")] = (
        0.0
    )

    @classmethod
    def derived(cls, stated: frozenset[str], near: Surroundings) -> dict[str, Derived]:
        """Tab depth from the airframe's outside to the motor tube."""
        found = super().derived(stated, near)
        fits, around = near.fits, near.around
        if fits and around and "tab_length" in stated and "tab_depth" not in stated:
            found["tab_depth"] = tab_depth(fits, around)
        return found

    def corners(self) -> tuple[Point, Point, Point, Point]:
        """Root leading edge, root trailing edge, tip trailing edge, tip leading edge [mm]; +x aft, +y outboard."""
        tip = self.sweep_length + self.tip_chord
        return (0.0, 0.0), (self.root_chord, 0.0), (tip, self.semi_span), (self.sweep_length, self.semi_span)

    def tab(self) -> tuple[Point, ...]:
        """Corners of the tab from its forward end, or nothing without a tab [mm].

        Raises:
            PartError: the tab is half stated, or not under the root.
        """
        if self.tab_length == 0.0 and self.tab_depth == 0.0:
            return ()
        if self.tab_length == 0.0 or self.tab_depth == 0.0:
            name = "tab_length" if self.tab_length == 0.0 else "tab_depth"
            raise PartError(f"{name}: a tab needs both a length and a depth; {name} is not stated")
        # An edge shorter than any file can hold is none.
        first = self.tab_position if self.tab_position > _SHORTEST else 0.0
        last = first + self.tab_length
        last = self.root_chord if abs(last - self.root_chord) <= _SHORTEST else last
        if last > self.root_chord:
            raise PartError(
                f"tab_position: the tab ends {last:g} mm aft of the root leading edge, beyond the root chord of "
                f"{self.root_chord:g} mm"
            )
        return (first, 0.0), (first, -self.tab_depth), (last, -self.tab_depth), (last, 0.0)

    def template(self) -> Outline:
        """The fin with its tab, forward to the left, tip upwards."""
        front, rear, tip_rear, tip_front = self.corners()
        tab = self.tab()
        root: list[tuple[Point, Role]] = [(front, "seat")]
        root += [(tab[0], "fit"), (tab[1], "fit"), (tab[2], "fit"), (tab[3], "seat")] if tab else []
        rim: list[tuple[Point, Role]] = [*root, (rear, "wetted"), (tip_rear, "wetted"), (tip_front, "wetted")]
        ends = [point for point, _ in rim[1:]] + [front]
        return Outline(
            tuple(Edge(Line(start, end), role) for (start, role), end in zip(rim, ends, strict=True) if start != end)
        )

    def shape(self) -> Blade:
        """The fin in its own frame, edges as cut."""
        return Blade(self.template(), self.thickness)

    def pose(self) -> Placement:
        """Flat on the table."""
        return moved(z=self.thickness / 2.0)

    def extent(self) -> tuple[float, float]:
        """Foremost and aftmost station of the fin from its root leading edge."""
        return min(0.0, self.sweep_length), max(self.root_chord, self.sweep_length + self.tip_chord)

    def sheet_thickness(self) -> float:
        """Thickness of the sheet [mm]."""
        return self.thickness

    def marks(self) -> tuple[Mark, ...]:
        """Names of the edges, the root line, the grain, and the sizes that a ruler can check."""
        front, rear, tip_rear, tip_front = self.corners()
        grain = math.atan2(self.semi_span, self.sweep_length)
        middle = ((front[0] + rear[0] + tip_rear[0] + tip_front[0]) / 4.0, self.semi_span * 0.42)
        half = min(self.semi_span * 0.3, (self.root_chord + self.tip_chord) / 6.0)
        along = (math.cos(grain) * half, math.sin(grain) * half)
        found: list[Mark] = [
            Label("LEADING EDGE", _beside(front, tip_front, 6.0), grain),
            Label(
                "TRAILING EDGE", _beside(tip_rear, rear, 6.0), math.atan2(rear[1] - tip_rear[1], rear[0] - tip_rear[0])
            ),
            Arrow(
                "GRAIN", (middle[0] - along[0], middle[1] - along[1]), (middle[0] + along[0], middle[1] + along[1]), 2
            ),
            Dimension(front, rear, -(self.tab_depth + 16.0), "root"),
            Dimension(tip_front, tip_rear, 8.0, "tip"),
            Dimension(rear, tip_rear, -14.0, "semi-span", "up"),
        ]
        tab = self.tab()
        if tab and self.tab_depth >= _ROOM and self.tab_length >= 3.0 * _ROOM:
            found.append(_forward(tab))
        if tab:
            found.append(Guide((Line(tab[0], tab[3]),), words="ROOT, at the tube's surface"))
            found.append(Dimension(tab[1], tab[2], -7.0, "tab"))
            found.append(Dimension(tab[1], tab[0], 10.0, "tab depth", "up"))
        return tuple(found)


_SHORTEST = 1e-6
"""Shortest edge of an outline [mm]."""

_ROOM = 12.0
"""Depth of a tab that has room for an arrow with its word [mm]."""


def _forward(tab: tuple[Point, ...]) -> Arrow:
    """Arrow inside the tab: forward is to the left."""
    first, last, middle = tab[0][0], tab[3][0], tab[1][1] / 2.0 - 2.0
    return Arrow("FORWARD", (first + 0.7 * (last - first), middle), (first + 0.3 * (last - first), middle))


def _beside(start: Point, end: Point, inwards: float) -> Point:
    """Middle of an edge, moved to the right of its way from start to end [mm]."""
    length = math.dist(start, end)
    return (
        (start[0] + end[0]) / 2.0 + (end[1] - start[1]) / length * inwards,
        (start[1] + end[1]) / 2.0 - (end[0] - start[0]) / length * inwards,
    )
