"""The sleeve: the wrap of a tube laid in card and glued along its overlap, with a window to draw through at each slot.

It slides off the tube and on to the next one. Its windows have the size of the slots, flat as they are cut; round the
tube their inner face is narrower by the thickness over the diameter, 0.05 mm of 4.5 mm for 0.3 mm on 29 mm (elementary
geometry, neutral layer). They are closed all round: towards both edges a web is left that holds the sleeve together,
also where a slot runs out of the end of its tube, beyond which the card then goes on.
"""

from __future__ import annotations

import math
from dataclasses import replace

from ..errors import PartError
from .marked_tube import MarkedTube
from .pattern import Pattern, figure
from .tube_wrap import OVERLAP, Laid, Stretch, position_words, stretches, tube_wrap

CARD = 0.3
"""Thickness of card for a sleeve [mm]: that of about 200 to 250 g/m2 (common practice)."""

WEB = 8.0
"""Least width of card between a window and an edge across the tube [mm]; a stretch leaves more for its words."""

LEAST_GLUED = 4.0
"""Narrowest overlap that holds when it is glued [mm] (common practice)."""

_CLEAR = 1.0
_UNDER = ("glue: under the first line", "glue")


def tube_sleeves(tube: MarkedTube, whole: bool = False) -> tuple[Pattern, ...]:
    """The sleeves of a tube, from forward to aft: one for each stretch that holds slots; none for a tube without.

    Args:
        tube: the tube and its marks; its `thickness` is that of the card.
        whole: whether one sleeve covers all of it.

    Raises:
        PartError: a letter of the name cannot be printed, the slots leave no place for the overlap, or two of them
            run into each other.
    """
    if not tube.slots:
        return ()
    laid = Laid("card", glued_overlap(tube), _UNDER)
    drawn = [(one, tube_wrap(tube, one, "sleeve", laid)) for one in stretches(tube, whole)]
    found = [(one, pattern) for one, pattern in drawn if pattern.outline.holes]
    windows = {_middle(one, pattern, index) for one, pattern in found for index in range(len(pattern.outline.holes))}
    for slot in tube.slots:
        place = (tube.across(slot.roll), (slot.first + slot.last) / 2.0)
        if not any(math.dist(place, window) < 1e-6 for window in windows):
            raise PartError(
                f"{tube.name}: the slot from {slot.first:g} to {slot.last:g} mm runs into another one, and a sleeve "
                "cannot have a window for each; use the wrap without windows for it"
            )
    many = len(found)
    return tuple(
        _worded(tube, one, pattern if many == 1 else tube_wrap(tube, one, f"sleeve {number} of {many}", laid))
        for number, (one, pattern) in enumerate(found, 1)
    )


def glued_overlap(tube: MarkedTube) -> float:
    """How far a sleeve runs on beyond its butt line [mm]: as a wrap does, or less where a window lies near.

    The overlap lies under the first stretch of the card: it must not show in a window.

    Args:
        tube: the tube and its slots.

    Raises:
        PartError: there are less than 4 mm for it between the windows.
    """
    near = [OVERLAP]
    for slot in tube.slots:
        lean, along = abs(tube.around(slot.lean)), slot.last - slot.first
        half = lean / 2.0 + slot.width / 2.0 * along / math.hypot(lean, along)
        near.append(tube.across(slot.roll) - half - _CLEAR)
    if min(near) < LEAST_GLUED:
        raise PartError(
            f"{tube.name}: the slots leave {max(min(near), 0.0):.1f} mm for the overlap of a sleeve, and it needs "
            f"{LEAST_GLUED:g} mm to be glued; use the wrap, which is not glued"
        )
    return min(near)


def _middle(stretch: Stretch, pattern: Pattern, index: int) -> tuple[float, float]:
    """Where the middle of a window lies: from the first line, and from the tube's forward end [mm]."""
    xs, ys = zip(*(edge.piece.start for edge in pattern.outline.holes[index]), strict=True)
    return (min(xs) + max(xs)) / 2.0, stretch.last - (min(ys) + max(ys)) / 2.0


def _worded(tube: MarkedTube, stretch: Stretch, pattern: Pattern) -> Pattern:
    """A sleeve with the sentences that say how it is made and used."""
    again = (
        f"All lines are divided by the {figure(tube.strip)} that were read: use the same printer, card and settings."
        if tube.strip is not None
        else "Else read the number under the first line and print again with `strip` set to it: same printer, card and "
        "settings."
    )
    web = f"Fore and aft of each window at least {WEB:g} mm of card is left"
    beyond = any(end < WEB for slot in tube.slots for end in (slot.first, tube.length - slot.last))
    notes = (
        f"Sleeve: card of {tube.thickness:.2f} mm, cut out the windows, glue the overlap, slide it on to the station "
        f"line ({position_words(tube, stretch)}), rail line on rail line, draw round the inside of each window.",
        "Roll it round the tube, printed side out, and glue it to itself alone, the first line on the butt line within "
        f"0.5 mm. {again}",
        f"{web}, beyond the tube where its end is nearer." if beyond else f"{web}.",
    )
    # What the wrap says of its marks goes for the sleeve too; how it is laid and printed again does not.
    return replace(pattern, notes=(*notes, *pattern.notes[2:]))
