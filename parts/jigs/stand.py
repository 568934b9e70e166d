"""A stand for a tube: two saddles of sheet, halved into two strips, that hold it level over the table."""

from __future__ import annotations

import math
from itertools import pairwise

from ..curve import Arc, Line, Point
from ..errors import PartError
from ..marks import Diameter, Dimension, Label, Mark
from ..shape import Edge, Outline, Role
from .jig import Inscription, Jig, TubeInHand, flat_print, sheeted, writable

SEAT_OVER_TUBE = 0.5
"""How much larger the seat's radius is than the tube's [mm] (common practice)."""

WRAP = math.radians(120.0)
"""How much of the tube a seat goes round [rad] (common practice)."""

HALVING_OVER_SHEET = 0.15
"""How much wider the slots of the halved joints are than the sheet is thick [mm] (common practice)."""

UNDER = 25.0
"""Tube to table where no fin asks for more [mm]."""

_HORN = 12.0
_STRIP = 40.0
_CLEAR = 5.0
_END = 20.0
_LETTERS = 5.0


def stand(name: str, tube: TubeInHand, axis: float | None, thickness: float, words: tuple[str, str]) -> Jig:
    """The stand for one tube.

    Args:
        name: what files call it.
        tube: the tube.
        axis: height of the tube's axis over the table [mm], that of the fin plates; None where there are none.
        thickness: thickness of the sheet [mm].
        words: what is written on it: the design and the fingerprint.

    Raises:
        PartError: the thickness is out of range, or the axis too low for a saddle.
    """
    if not 0.0 < thickness <= 12.0:
        raise PartError(f"thickness: a stand is of a sheet above 0 and at most 12 mm thick, got {thickness:g} mm")
    radius = tube.outside / 2.0
    high = axis if axis is not None else math.ceil(radius + UNDER)
    strip_high = min(_STRIP, high - radius - _CLEAR)
    if strip_high < 10.0:
        raise PartError(
            f"axis: {high:g} mm over the table leaves {high - radius:.3g} mm under a tube of {tube.outside:g} mm; a "
            f"stand needs {10.0 + _CLEAR:g} mm"
        )
    slot, half = thickness + HALVING_OVER_SHEET, strip_high / 2.0
    saddle, wide = _saddle(radius, high, slot, half)
    long = round(min(250.0, max(100.0, 0.35 * tube.length)))
    strip = _comb(long, strip_high, ((_END + slot / 2.0), (long - _END - slot / 2.0)), slot, half)
    room = min(high - radius - SEAT_OVER_TUBE, strip_high) - half - 4.0
    lines = _named(words, (0.0, half + 2.0 + room / 2.0), wide - 8.0, room)
    on_strip = _named(words, (long / 2.0, half / 2.0 + 1.0), long - 60.0, half - 3.0)
    seat = radius + SEAT_OVER_TUBE
    saddle_marks: tuple[Mark, ...] = (
        Dimension((-wide / 2.0, 0.0), (wide / 2.0, 0.0), -8.0),
        Dimension((wide / 2.0, 0.0), (wide / 2.0, high), -10.0, "axis", "up"),
        Diameter((0.0, high + SEAT_OVER_TUBE), seat, -math.pi / 3.0, -0.35 * seat, "seat"),
        Label(f"slots {slot:.2f} mm", (0.0, half / 2.0)),
    )
    strip_marks: tuple[Mark, ...] = (
        Dimension((0.0, 0.0), (long, 0.0), -8.0),
        Dimension((0.0, 0.0), (0.0, strip_high), 8.0, "", "up"),
        Label(f"slots {slot:.2f} mm", (long / 2.0, strip_high - 4.0)),
    )
    return Jig(
        name,
        f"stand for the {tube.name}",
        f"Two saddles and two strips of flat sheet, {thickness:g} mm as measured; or print all four flat, no support. "
        "Push the saddles down into the slots of the strips, 90 degrees to them, and all feet onto a flat table; a "
        "drop of glue in each joint is enough.",
        f"Lay the tube into both seats: its axis is {high:g} mm over the table and parallel to it"
        + (", as high as the fin plates hold it." if axis is not None else ".")
        + " Put the stand under the part of the tube that carries no fin. Line the seats with thin tape where the tube "
        "is painted. Hold the tube down by hand or with a rubber band: the seats keep it from rolling away, not from "
        "turning. Take it out to drill.",
        "Before use lay a level or a ruler on the tube and measure from the table to its top at both ends; the same "
        f"figure, {high + radius:.1f} mm, at both.",
        (
            (
                "seat",
                f"radius {seat:.2f} mm: half of {tube.outside:.2f} mm, the mean outside of the {tube.name}, and "
                f"{SEAT_OVER_TUBE:g} mm; {math.degrees(WRAP):g}° of the tube",
            ),
            ("axis over the table", f"{high:g} mm" + (": that of the fin plates" if axis is not None else "")),
            ("slots of the joints", f"{slot:.2f} mm: the sheet, {thickness:g} mm, and {HALVING_OVER_SHEET:g} mm"),
            ("saddle", f"{wide:.1f} mm wide; make 2"),
            ("strip", f"{long:g} x {strip_high:.1f} mm; make 2"),
        ),
        (
            flat_print("saddle", saddle, lines, thickness, 2),
            flat_print("strip", strip, on_strip, thickness, 2),
        ),
        (
            sheeted("saddle", saddle, saddle_marks, lines, thickness, 2),
            sheeted("strip", strip, strip_marks, on_strip, thickness, 2),
        ),
        words[-1],
    )


def _saddle(radius: float, axis: float, slot: float, half: float) -> tuple[Outline, float]:
    """A saddle with its foot on y = 0 and its middle on x = 0, and its width [mm]."""
    seat = radius + SEAT_OVER_TUBE
    # The tube lies in the bottom of the wider seat.
    centre = axis + SEAT_OVER_TUBE
    reach, top = seat * math.sin(WRAP / 2.0), centre - seat * math.cos(WRAP / 2.0)
    out = max(reach + _HORN, 0.45 * axis)
    leg = out / 2.0
    corners: list[tuple[Point, Role]] = []
    for middle in (-leg, leg):
        left, right = middle - slot / 2.0, middle + slot / 2.0
        corners += [((left, 0.0), "fit"), ((left, half), ""), ((right, half), "fit"), ((right, 0.0), "")]
    corners += [((out, 0.0), ""), ((out, top), ""), ((reach, top), "")]
    edges = [Edge(Line(start, end), role) for (start, role), (end, _) in pairwise(corners)]
    edges.append(Edge(Arc((0.0, centre), seat, WRAP / 2.0 - math.pi / 2.0, -WRAP), "fit"))
    edges += [
        Edge(Line((-reach, top), (-out, top))),
        Edge(Line((-out, top), (-out, 0.0))),
        Edge(Line((-out, 0.0), corners[0][0])),
    ]
    return Outline(tuple(edges)), 2.0 * out


def _comb(long: float, high: float, middles: tuple[float, float], slot: float, half: float) -> Outline:
    """A strip with two slots from above."""
    corners: list[tuple[Point, Role]] = [((0.0, 0.0), ""), ((long, 0.0), ""), ((long, high), "")]
    floor = high - half
    for middle in reversed(middles):
        left, right = middle - slot / 2.0, middle + slot / 2.0
        corners += [((right, high), "fit"), ((right, floor), ""), ((left, floor), "fit"), ((left, high), "")]
    corners.append(((0.0, high), ""))
    ends = [point for point, _ in corners[1:]] + [corners[0][0]]
    return Outline(tuple(Edge(Line(start, end), role) for (start, role), end in zip(corners, ends, strict=True)))


def _named(words: tuple[str, str], middle: Point, long: float, high: float) -> tuple[Inscription, ...]:
    """The words in one line as large as a room allows; none where they would be too small to read."""
    for text in writable((" ".join(words),)):
        for height in (_LETTERS, 4.0, 3.5, 3.0, 2.5):
            one = Inscription(text, middle, height)
            (left, low), (right, _), (_, top), _ = one.corners()
            if right - left <= long and top - low <= high:
                return (one,)
    return ()
