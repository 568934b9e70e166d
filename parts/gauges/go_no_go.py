"""Rings over the outside of a tube and plugs into its inside, in small steps: one size goes and the next does not."""

from __future__ import annotations

import math

from ..errors import PartError
from ..lettering import arc_letters, letters, width
from ..marks import Diameter, Label, Mark
from ..part import CutPiece
from ..shape import Outline, circle, hole
from .collars import ring_over, slice_of
from .gauge import STEP, Gauge, Printed, Reading, Sheeted, ladder, letter_height

COUNT = 5
"""Sizes of a set [-]."""

HEIGHT = 12.0
"""Height of a printed ring or plug [mm]: enough not to tilt."""

WALL = 2.4
"""Wall of a printed plug [mm], as a shoulder's."""

_RING_WALL = 4.0
_BAND = 12.0
_SHEET = 3.0
_LETTERS = 5.0
_FINGER = 5.0
"""Radius of the smallest hole that a finger gets hold of [mm] (common practice)."""
_HOOK = 2.0
_EDGE = 2.5
"""From letters to an edge of a cut piece [mm]."""


def rings(
    name: str, tube: str, outside: float, material: str | None = None, step: float = STEP, count: int = COUNT
) -> Gauge:
    """Rings for the outside of a tube.

    Args:
        name: what files and results call the set.
        tube: name of the tube.
        outside: its largest outside diameter as measured [mm].
        material: what the rings are printed of; None where it is not stated.
        step: from one size to the next [mm].
        count: how many sizes [-].

    Raises:
        PartError: the tube is too small for a ring with its number.
    """
    steps = ladder(outside, count, step)
    try:
        printed = tuple(Printed(label, ring_over(size, _RING_WALL, HEIGHT, (label,))) for label, size in steps)
        cut = tuple(_cut_ring(label, size) for label, size in steps)
    except PartError as error:
        raise PartError(f"{name}: {error}") from None
    return Gauge(
        name,
        f"rings over the outside of the {tube}",
        _made("ring", "bore", steps),
        f"Push each ring squarely over both ends of the {tube}, printed ones with the end that was on top first, and "
        "turn it there: an oval tube lets a ring on in one place alone.",
        "The number on the smallest ring that goes over both ends; `none` where not even the largest goes.",
        printed,
        cut,
        steps,
        Reading("opening", "limit", outside, step),
        material,
    )


def plugs(
    name: str, tube: str, inside: float, material: str | None = None, step: float = STEP, count: int = COUNT
) -> Gauge:
    """Plugs for the inside of a tube.

    Args:
        name: what files and results call the set.
        tube: name of the tube.
        inside: its smallest inside diameter as measured [mm].
        material: what the plugs are printed of; None where it is not stated.
        step: from one size to the next [mm].
        count: how many sizes [-].

    Raises:
        PartError: the tube is too small for a plug with its number.
    """
    steps = ladder(inside, count, step)
    try:
        printed = tuple(Printed(label, slice_of(size, WALL, HEIGHT, (label,))) for label, size in steps)
        cut = tuple(_cut_plug(label, size) for label, size in steps)
    except PartError as error:
        raise PartError(f"{name}: {error}") from None
    return Gauge(
        name,
        f"plugs into the inside of the {tube}",
        _made("plug", "outside", steps),
        f"Push each plug squarely into both ends of the {tube}, printed ones with the end that was on top first; pull "
        "it out by its tab or its hole. No force: paper gives way.",
        "The number on the largest plug that goes into both ends; `none` where not even the smallest goes.",
        printed,
        cut,
        steps,
        Reading("plug", "limit", inside, step),
        material,
    )


def _made(word: str, side: str, steps: tuple[tuple[str, float], ...]) -> str:
    return (
        f"Make {len(steps)} {word}s, {steps[0][0]} to {steps[-1][0]} mm {side}: print them, tab on the bed, no support "
        f"and no brim, or cut them from any flat scrap of about {_SHEET:g} mm. They measure the tube when the machine "
        "is known to be true, and the machine when the tube is."
    )


def _cut_ring(label: str, bore: float) -> Sheeted:
    """A flat ring with its number at the foot of its band."""
    inner, outer = bore / 2.0, bore / 2.0 + _BAND
    outline = Outline(circle(outer), (hole(inner, role="fit"),))
    feet = outer - _EDGE
    high = _LETTERS
    engraved = arc_letters(label, high, feet, -math.pi / 2.0, inside=True)
    marks: tuple[Mark, ...] = (
        Label(label, (0.0, -(inner + outer) / 2.0)),
        Diameter((0.0, 0.0), inner, math.pi / 4.0, _BAND + 6.0, "bore"),
    )
    return Sheeted(CutPiece(label, outline, marks, _SHEET), engraved)


def _cut_plug(label: str, outside: float) -> Sheeted:
    """A flat disc with its number across its lower half and, where there is room, a hole to pull it out by."""
    outer = outside / 2.0
    high = letter_height(label, outer * 1.2, outer * 0.35, _LETTERS)
    # The corners of the number stay off the edge.
    half = width(label, high) / 2.0
    foot = -(math.sqrt((outer - _EDGE) ** 2 - half**2))
    finger = min(9.0, outer - 2.0 * _EDGE - high - _EDGE, -(foot + high) - _EDGE)
    holes = (hole(finger),) if finger >= _FINGER else ()
    if not holes:
        foot = -high / 2.0
        # On a small disc, a hole for a hook above the number.
        level = (outer + high / 2.0) / 2.0
        holes = (hole(_HOOK, (0.0, level)),) if outer - high / 2.0 >= 4.0 * _HOOK else ()
    engraved = tuple(shape.placed(-half, foot) for shape in letters(label, high))
    marks: tuple[Mark, ...] = (
        Label(label, (0.0, foot + high / 2.0)),
        Diameter((0.0, 0.0), outer, math.pi / 4.0, 8.0, "outside"),
    )
    return Sheeted(CutPiece(label, Outline(circle(outer, role="fit"), holes), marks, _SHEET), engraved)
