"""The flat wrap of a cone or conical transition: cut out, rolled with its printed side out, closed over a tab."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from ..chain import Chain
from ..curve import Line, Point
from ..marks import Dimension, Label, Mark
from ..quantity import inches_64, millimetres
from ..shape import Outline, edges
from .development import Development, unrolled
from .pattern import TYPE_HEIGHT, Pattern, figure, longest_that_fits
from .room import Room

TAB = 10.0
"""Width of the tab beyond the butt line [mm]."""

PAPER = 0.1
"""Thickness of ordinary office paper of 80 g/m2 [mm] (common practice)."""

_NARROWEST_TAB = 2.0
"""A tab that would be narrower than this [mm] is left out: it holds no glue."""

_CLEAR = 2.0
"""Room kept between the tab and the other edge of a wide sector [mm]."""

_ALONGSIDE = 7.0
"""Distance of the slant's dimension line from the edge that it is of [mm]."""

_WIDE = math.radians(300.0)
"""From this sector on [rad] there is no room for a dimension between its two edges."""

_LINES = {
    0.5: ("roll 0: rail line", "roll 0", "0"),
    0.25: ("roll 270", "270"),
    0.75: ("roll 90", "90"),
    1.0: ("butt line: roll 180", "butt line", "180"),
}
"""Lines along the skin, by their place on the round, and what they are in words from the fullest to the shortest."""

_APART = 4.0
"""Lines along the skin start where they are this far from each other [mm]."""


def wrap(name: str, skin: Chain, thickness: float = PAPER) -> Pattern:
    """The wrap of a conical skin at 1:1, seen from outside with its forward end up.

    The line at roll 0 runs down its middle; it closes at roll 180 degrees, where its left edge comes to lie on the butt
    line. Of a cone with a blunt tip it covers the straight stretch.

    Args:
        name: name of the part, written on the paper.
        skin: from forward to aft in the (x, r) plane [mm].
        thickness: thickness of the paper [mm], 0 to 3.

    Raises:
        PartError: the skin is not conical, or a letter of the name cannot be printed.
    """
    flat = unrolled(skin, thickness)
    tab = _tab(flat)
    return Pattern(
        "wrap",
        _outline(flat, tab),
        (*_marks(name, flat, tab),),
        _notes(flat, bool(tab), covers_all=len(skin) == 1),
        f"paper or card, {thickness:.2f} mm",
    )


def _outline(flat: Development, tab: tuple[Point, ...]) -> Outline:
    """Anticlockwise: aft rim, tab, forward rim, cut edge."""
    aft, forward = flat.rim(flat.slant), flat.rim(0.0)
    lower_left, lower_right = (aft.start, aft.end) if aft else (flat.at(0.0, flat.slant),) * 2
    upper_left, upper_right = (forward.start, forward.end) if forward else (flat.at(0.0, 0.0),) * 2
    corners = (lower_right, *tab, upper_right)
    right = tuple(Line(a, b) for a, b in pairwise(corners))
    left = Line(upper_left, lower_left)
    return Outline(edges((*((aft,) if aft else ()), *right, *((forward.reversed(),) if forward else ()), left)))


def _tab(flat: Development) -> tuple[Point, ...]:
    """The two outer corners of the tab, from the aft one to the forward one; none where there is no room for it."""
    found = _tab_sizes(flat)
    if not found:
        return ()
    wide, at_forward, at_aft = found
    dx, dy = flat.forward(1.0)

    def beyond(v: float) -> Point:
        x, y = flat.at(1.0, v)
        return (x + dy * wide, y - dx * wide)

    return beyond(flat.slant - at_aft), beyond(at_forward)


def _tab_sizes(flat: Development) -> tuple[float, float, float] | None:
    """Width of the tab, and how far from the forward and from the aft rim it reaches that width [mm].

    It stays within a quarter of the turn, so that it does not run round a thin tip, and clear of the other edge of a
    wide sector.
    """
    girths = flat.forward_arc, flat.aft_arc
    wide = TAB
    while wide >= _NARROWEST_TAB:
        at_forward, at_aft = (
            wide if girth >= 4.0 * wide else max(wide, (4.0 * wide - girth) / max(other - girth, 1e-9) * flat.slant)
            for girth, other in (girths, girths[::-1])
        )
        if at_forward + at_aft <= 0.8 * flat.slant and _is_clear(flat, wide, at_forward, at_aft):
            return wide, at_forward, at_aft
        wide -= 0.5
    return None


def _is_clear(flat: Development, wide: float, at_forward: float, at_aft: float) -> bool:
    if flat.is_tube:
        return True
    nearest = min(flat.bend(at_forward), flat.bend(flat.slant - at_aft))
    gap = math.tau - flat.sweep - math.atan2(wide, nearest)
    return gap > 0.0 and math.hypot(nearest, wide) * math.sin(min(gap, math.pi / 2.0)) > _CLEAR


def _marks(name: str, flat: Development, tab: tuple[Point, ...]) -> Iterator[Mark]:
    room = Room(flat)
    ends = _where_apart(flat)
    if flat.is_tube or flat.sweep < _WIDE:
        # Beyond the tab: the drawing's middle, where a seam is likely, then lies well off the line at roll 0.
        at, away = 1.0, _ALONGSIDE + (TAB if tab else 0.0)
    else:
        # Inside, for outside the two edges of the sector look at each other.
        at, away = 0.0, _ALONGSIDE
        room.take(0.0, _ALONGSIDE + TYPE_HEIGHT + 1.5)
    yield Dimension(flat.at(at, 0.0), flat.at(at, flat.slant), away=away, words="slant")
    # All lines before any words, so that no words lie on a line.
    lines = {u: words for u, words in _LINES.items() if u < 1.0}
    yield from [room.line(u, ends) for u in lines]
    if tab:
        lines[1.0] = _LINES[1.0]
        yield room.line(1.0, (0.0, flat.slant))
    for u, words in lines.items():
        yield from room.beside(u, words)
    for word, arc in _arcs(flat):
        words = (f"{word} {millimetres(arc)}", inches_64(arc))
        yield from room.at_rim(words, word != "forward arc", (0.125, 0.875, 0.375, 0.625))
    yield from room.arrow("forward", (0.625, 0.875, 0.375, 0.125))
    yield from room.words((f"{name}: wrap", name), (0.375, 0.125, 0.625, 0.875))
    if tab:
        yield from room.beside(0.0, ("this edge to the butt line", "to butt line"), on_the_left=False)
        yield from _tab_words(flat, tab)


def _where_apart(flat: Development) -> tuple[float, float]:
    """Between which distances from the forward rim lines along the skin are apart from each other [mm]."""
    growth = flat.aft_arc - flat.forward_arc
    if min(flat.forward_arc, flat.aft_arc) >= 4.0 * _APART:
        return 0.0, flat.slant
    narrow = min(max((4.0 * _APART - flat.forward_arc) / growth if growth else 0.0, 0.0), 1.0) * flat.slant
    return (min(narrow, flat.slant / 2.0), flat.slant) if growth > 0.0 else (0.0, max(narrow, flat.slant / 2.0))


def _tab_words(flat: Development, tab: tuple[Point, ...]) -> Iterator[Label]:
    (x0, y0), (x1, y1) = tab
    dx, dy = flat.forward(1.0)
    wide = dy * (x0 - flat.at(1.0, 0.0)[0]) - dx * (y0 - flat.at(1.0, 0.0)[1])
    words = longest_that_fits(("tab: glue under the other edge", "tab: glue under", "tab"), math.dist(*tab) - 2.0)
    if words and wide >= TYPE_HEIGHT + 2.0:
        middle = ((x0 + x1 - dy * wide) / 2.0, (y0 + y1 + dx * wide) / 2.0)
        yield Label(words, middle, math.atan2(dy, dx))


def _arcs(flat: Development) -> tuple[tuple[str, float], ...]:
    """The rims that are no point, by name, and the lengths of their arcs [mm]."""
    if flat.is_tube:
        return (("round", flat.aft_arc),)
    both = (("aft arc", flat.aft_arc), ("forward arc", flat.forward_arc))
    return tuple((word, arc) for word, arc in both if arc > 0.0)


def _notes(flat: Development, has_tab: bool, covers_all: bool) -> tuple[str, ...]:
    arcs = _arcs(flat)
    sizes = f"Slant {figure(flat.slant)}; " + ", ".join(f"{word} {figure(arc)}" for word, arc in arcs)
    if not flat.is_tube:
        sizes += f"; sector {math.degrees(flat.sweep):.2f} degrees"
        radii = " and ".join(millimetres(arc / flat.sweep) for _, arc in arcs)
        sizes += f", struck with {radii} radius"
    reach = "" if covers_all else f" It covers the skin from station {flat.first:.1f} to {flat.last:.1f} mm."
    closing = (
        "lay the left edge, forward end up, over the tab on the butt line"
        if has_tab
        else "there is no room for a tab: butt the two edges over a strip of the same paper glued inside"
    )
    return (
        f"{sizes}.",
        f"Sized for paper {flat.thickness:.2f} mm thick on the outside of the finished skin; print again for another "
        f"thickness.{reach}",
        f"Printed side out; {closing}. Try it dry before you glue.",
    )
