"""A plate with open slots a little wider than a fin is thick: which one does the fin go into with glue to spare?"""

from __future__ import annotations

import math

from ..curve import Line, Point
from ..emboss import OnPlate, embossed
from ..errors import PartError
from ..lettering import letters, width
from ..marks import Label, Mark
from ..part import CutPiece
from ..shape import Edge, Outline, Plate, Role, Shape
from .gauge import RAISED, Gauge, Printed, Sheeted, label

OVER = (0.2, 0.4, 0.6, 0.8)
"""How much wider the slots are than the fin is thick [mm] (common practice)."""

_THICKNESS = 3.0
_DEPTH = 18.0
_MARGIN = 3.0
_LETTERS = 5.0
_WEB = 8.0


def slot_gauge(name: str, of: str, thickness: float, material: str | None = None) -> Gauge:
    """The slots for one thickness of sheet.

    Args:
        name: what files call it.
        of: what has the thickness, in words.
        thickness: thickness of the sheet as measured [mm].
        material: what the gauge is to be made of; None where any will do.

    Raises:
        PartError: the thickness is not above 0.
    """
    if not 0.0 < thickness < math.inf:
        raise PartError(f"thickness: {thickness:g} mm must be above 0 mm")
    steps = tuple((label(thickness + over), round(thickness + over, 2)) for over in OVER)
    words = width(steps[-1][0], _LETTERS)
    pitch = max(steps[-1][1] + _WEB, words + 4.0)
    left = _MARGIN + pitch / 2.0
    middles = tuple(left + index * pitch for index in range(len(steps)))
    high = _DEPTH + _LETTERS + 3.0 * _MARGIN
    outline = _comb(middles, tuple(size for _, size in steps), 2.0 * left + pitch * (len(steps) - 1), high)
    line = _MARGIN + _LETTERS / 2.0 + 1.0
    shape: Shape = Plate(outline, _THICKNESS)
    for middle, (text, _) in zip(middles, steps, strict=True):
        shape = embossed(shape, text, OnPlate(_THICKNESS, _LETTERS, (middle, line)), RAISED, raised=True)
    engraved = tuple(
        glyph.placed(middle - width(text, _LETTERS) / 2.0, line - _LETTERS / 2.0)
        for middle, (text, _) in zip(middles, steps, strict=True)
        for glyph in letters(text, _LETTERS)
    )
    marks: tuple[Mark, ...] = tuple(
        Label(text, (middle, line)) for middle, (text, _) in zip(middles, steps, strict=True)
    )
    widths = ", ".join(text for text, _ in steps)
    return Gauge(
        name,
        f"slots for the {of}, {label(thickness)} mm thick",
        "Cut it from scrap of the sheet that the slots will be in, or print it flat, numbers up, no support. Its "
        f"slots are {widths} mm wide.",
        "Push the edge of the sheet that the fins are cut from into each slot, in several places: plywood differs "
        "across a sheet.",
        "The number of the narrowest slot that it goes into by hand; a slot for gluing is one step wider. It goes into "
        "the design, as the width of the slots; no value of a machine follows from it.",
        (Printed(steps[0][0], shape),),
        (Sheeted(CutPiece("", outline, marks, _THICKNESS), engraved),),
        steps,
        material=material,
    )


def _comb(middles: tuple[float, ...], widths: tuple[float, ...], long: float, high: float) -> Outline:
    """A rectangle with slots in its upper edge, their sides of the role `fit`."""
    corners: list[tuple[Point, Role]] = [((0.0, 0.0), ""), ((long, 0.0), ""), ((long, high), "")]
    for middle, wide in zip(reversed(middles), reversed(widths), strict=True):
        right, left, floor = middle + wide / 2.0, middle - wide / 2.0, high - _DEPTH
        corners += [((right, high), "fit"), ((right, floor), ""), ((left, floor), "fit"), ((left, high), "")]
    corners.append(((0.0, high), ""))
    ends = [point for point, _ in corners[1:]] + [corners[0][0]]
    return Outline(tuple(Edge(Line(start, end), role) for (start, role), end in zip(corners, ends, strict=True)))
