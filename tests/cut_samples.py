"""Invented outlines for the tests of cut files, with sizes that follow from elementary geometry."""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable
from typing import Any

from hypothesis import strategies as st

from ferrule.parts.curve import Arc, Bezier, EllipseArc, Line, Piece, Point
from ferrule.parts.shape import Edge, Loop, Outline, circle, edges, hole, polygon, signed_area

Draw = Callable[..., Any]


def arc_between(start: Point, end: Point, sweep: float) -> Arc:
    """The arc between two points, by the turn about its centre c: end - c = (start - c) e^(i sweep)."""
    a, b, turn = complex(*start), complex(*end), cmath.exp(1j * sweep)
    centre = (b - a * turn) / (1.0 - turn)
    return Arc((centre.real, centre.imag), abs(a - centre), cmath.phase(a - centre), sweep)


def ellipse_between(start: Point, end: Point, sweep: float, ratio: float, tilt: float) -> EllipseArc:
    """The ellipse arc between two points: an arc of a circle in a frame that is turned and stretched."""

    def squeezed(point: Point) -> Point:
        flat = complex(*point) * cmath.exp(-1j * tilt)
        return (flat.real, flat.imag / ratio)

    arc = arc_between(squeezed(start), squeezed(end), sweep)
    centre = complex(arc.centre[0], arc.centre[1] * ratio) * cmath.exp(1j * tilt)
    return EllipseArc((centre.real, centre.imag), arc.radius, arc.radius * ratio, arc.start_angle, sweep, tilt)


def slot(width: float, length: float) -> Loop:
    """Two lines and two half circles about the origin, anticlockwise; its area is width length + pi width2 / 4."""
    r, h = width / 2.0, length / 2.0
    return edges(
        (
            Line((-h, -r), (h, -r)),
            Arc((h, 0.0), r, -math.pi / 2.0, math.pi),
            Line((h, r), (-h, r)),
            Arc((-h, 0.0), r, math.pi / 2.0, math.pi),
        )
    )


def backwards(loop: Loop) -> Loop:
    """The same loop run the other way."""
    return tuple(Edge(edge.piece.reversed(), edge.role) for edge in reversed(loop))


def moved(loop: Loop, dx: float, dy: float) -> Loop:
    return tuple(Edge(edge.piece.placed(dx, dy), edge.role) for edge in loop)


def shaft(radius: float, flat: float) -> Loop:
    """A circle with a flat at x = `flat`: one line and one arc of more than half a turn."""
    half = math.acos(flat / radius)
    high = radius * math.sin(half)
    return edges((Line((flat, -high), (flat, high)), Arc((0.0, 0.0), radius, half, math.tau - 2.0 * half)))


def half_ellipse(semi_x: float, semi_y: float, tilt: float = 0.0) -> Loop:
    arc = EllipseArc((0.0, 0.0), semi_x, semi_y, 0.0, math.pi, tilt)
    return edges((arc, Line(arc.end, arc.start)))


LEAF_POLES: tuple[Point, ...] = ((0.0, 0.0), (20.0, 40.0), (60.0, 55.0), (90.0, 40.0), (110.0, 25.0), (120.0, 0.0))


def leaf() -> Loop:
    """A straight root under a Bezier of degree 5."""
    return edges((Line((0.0, 0.0), (120.0, 0.0)), Bezier(LEAF_POLES[::-1])))


def parabola_fin() -> Loop:
    """A straight root of 90 mm under a parabola 60 mm high; its area is 2/3 of 90 x 60 (Archimedes)."""
    return edges((Line((0.0, 0.0), (90.0, 0.0)), Bezier(((90.0, 0.0), (45.0, 120.0), (0.0, 0.0)))))


RING = Outline(circle(32.85), (hole(15.6), hole(2.75, (0.0, 24.0)), hole(2.75, (20.0, -13.0))))
SLOTTED = Outline(
    polygon(((0.0, 0.0), (120.0, 0.0), (90.0, 60.0), (20.0, 60.0))), (moved(backwards(slot(6.0, 30.0)), 55.0, 30.0),)
)
SHAFTED = Outline(circle(30.0), (backwards(shaft(10.0, 7.0)),))
ELLIPTIC = Outline(half_ellipse(70.0, 40.0), (moved(backwards(half_ellipse(10.0, 25.0, math.pi / 2.0)), 20.0, 14.0),))
OVAL = Outline(
    edges((EllipseArc((3.0, 2.0), 30.0, 50.0, 0.7, math.tau, 0.4),)),
    (edges((EllipseArc((3.0, 2.0), 12.0, 8.0, 0.0, -math.tau, 1.0),)),),
)
LEAF = Outline(leaf(), (hole(4.0, (60.0, 15.0)),))
PARABOLA = Outline(parabola_fin())

SAMPLES: dict[str, Outline] = {
    "ring": RING,
    "slotted": SLOTTED,
    "shafted": SHAFTED,
    "elliptic": ELLIPTIC,
    "oval": OVAL,
    "leaf": LEAF,
    "parabola": PARABOLA,
}

AREAS = {
    "ring": math.pi * (32.85**2 - 15.6**2 - 2.0 * 2.75**2),
    "slotted": (120.0 + 70.0) / 2.0 * 60.0 - (6.0 * 30.0 + math.pi * 9.0),
    # A circle less the segment beyond the flat: r2 (a - sin a cos a), a the half angle.
    "shafted": math.pi * 900.0 - (math.pi * 100.0 - 100.0 * (math.acos(0.7) - math.sin(math.acos(0.7)) * 0.7)),
    "elliptic": math.pi / 2.0 * (70.0 * 40.0 - 10.0 * 25.0),
    "oval": math.pi * (30.0 * 50.0 - 12.0 * 8.0),
    "parabola": 2.0 / 3.0 * 90.0 * 60.0,
}
"""Area between rim and holes [mm2] from first principles."""


@st.composite
def outlines(draw: Draw, kinds: tuple[str, ...] = ("line", "arc", "ellipse", "bezier"), gap: float = 0.0) -> Outline:
    """A plate about the origin with three to eight edges of the given kinds, a round hole and a slot.

    Each edge stays near its chord, so that the loop keeps clear of the holes. With a `gap` [mm] every edge misses the
    next by about that much.
    """
    number = draw(st.integers(3, 8))
    corners = [
        cmath.rect(draw(st.floats(40.0, 160.0)), math.tau * (i + draw(st.floats(-0.2, 0.2))) / number)
        for i in range(number)
    ]
    found: list[Piece] = []
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        off = complex(draw(st.sampled_from((-gap, 0.0, gap))), draw(st.sampled_from((-gap, 0.0, gap))))
        start, end = ((a + off).real, (a + off).imag), (b.real, b.imag)
        kind = draw(st.sampled_from(kinds))
        # A wide range outwards; inwards an arc may not reach the holes.
        sweep = draw(st.one_of(st.floats(0.05, 3.0), st.floats(-0.6, -0.05)))
        if kind == "line":
            found.append(Line(start, end))
        elif kind == "arc":
            found.append(arc_between(start, end, sweep))
        elif kind == "ellipse":
            found.append(
                ellipse_between(start, end, sweep / 2.0, draw(st.floats(0.5, 2.0)), draw(st.floats(-3.0, 3.0)))
            )
        else:
            inner = [
                a + (b - a) * (k / 8.0) - 1j * (b - a) * draw(st.floats(-0.1, 0.2))
                for k in range(draw(st.integers(1, 7)))
            ]
            found.append(Bezier((start, *((p.real, p.imag) for p in inner), end)))
    loop = edges(tuple(found))
    assert signed_area(loop) > 0.0
    return Outline(loop, (hole(5.0, (3.0, 4.0)), moved(backwards(slot(2.0, 4.0)), -8.0, 2.0)))
