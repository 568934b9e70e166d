"""A card with half a profile cut out of it, to be held against a printed or turned nose or transition."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..chain import Chain
from ..curve import Line
from ..marks import Arrow, Dimension, Guide, Label, Mark, Pen
from ..shape import Outline, edges
from .pattern import TYPE_HEIGHT, Pattern, figure, long, longest_that_fits
from .stations import STEP, check_runs_aft, largest_radius, radius_at, whole_steps, widest

RUN = 15.0
"""How far the gauge edge runs on straight beyond the skin, along the tube or ahead of the tip [mm]."""

BODY = 25.0
"""Least height of the card over the largest radius [mm]: stiff enough to hold by."""

_ROUND = 5.0
"""The back edge stands a whole multiple of this from the axis [mm], to be checked with a ruler."""

_TICK = 2.4
"""Length of a tick over the highest place of the edge beside it [mm]."""

_HALF_NUMBER = 4.5
"""Half the width of the widest number beside a tick [mm], with its room."""

_NEAR_END = 7.0
"""Ticks nearer to an end of the skin than this [mm] are left out: the end has words of its own."""

_BESIDE = 3.0
"""Room kept between the card's words and the lines at the ends of the skin [mm]."""


def profile_gauge(name: str, skin: Chain) -> Pattern:
    """The gauge of a skin at 1:1: its lower edge is the skin, its back edge is parallel to the axis.

    Coordinates: x is the station, y the distance from the axis [mm].

    Args:
        name: name of the part, written on the card.
        skin: from forward to aft in the (x, r) plane, never running back [mm].

    Raises:
        PartError: the skin runs back, or a letter of the name cannot be printed.
    """
    check_runs_aft(skin)
    (first, low), (last, high) = skin[0].start, skin[-1].end
    back = math.ceil((largest_radius(skin) + BODY) / _ROUND) * _ROUND
    left, right = first - RUN, last + RUN
    outline = Outline(
        edges(
            (
                Line((left, low), (first, low)),
                *skin,
                Line((last, high), (right, high)),
                Line((right, high), (right, back)),
                Line((right, back), (left, back)),
                Line((left, back), (left, low)),
            )
        )
    )
    is_nose = low < 1e-9
    ticks, numbers = _scale(skin)
    return Pattern(
        "profile gauge",
        outline,
        (*ticks, *_marks(name, skin, back)),
        _notes(back, is_nose),
        "stiff card",
        numbers,
    )


def _scale(skin: Chain) -> tuple[tuple[Guide, ...], tuple[Label, ...]]:
    """Ticks on the gauge edge and the stations that they stand for, off the ends that have words of their own."""
    first, last = skin[0].start[0], skin[-1].end[0]
    stations = [x for x in whole_steps(first, last, STEP) if min(x - first, last - x) > _NEAR_END]
    tops = [widest(skin, x - _HALF_NUMBER, x + _HALF_NUMBER) + _TICK for x in stations]
    ticks = tuple(Guide((Line((x, radius_at(skin, x)), (x, top)),)) for x, top in zip(stations, tops, strict=True))
    numbers = (Label(f"{x:g}", (x, top + TYPE_HEIGHT / 2.0 + 0.5)) for x, top in zip(stations, tops, strict=True))
    return ticks, tuple(numbers)


def _marks(name: str, skin: Chain, back: float) -> Iterator[Mark]:
    (first, low), (last, high) = skin[0].start, skin[-1].end
    is_nose = low < 1e-9
    yield Guide((Line((first, low), (first, back)),), words="tip" if is_nose else "forward end")
    yield Guide((Line((last, back), (last, high)),), words="base" if is_nose else "aft end")
    yield Dimension((first, back), (last, back), away=8.0)
    if is_nose:
        yield Guide((Line((last + RUN, 0.0), (first, 0.0)),), Pen.CENTRE_LINE, "centre line (axis)")
        yield Dimension((last + RUN, 0.0), (last + RUN, high), away=-8.0)
        yield Dimension((last + RUN, 0.0), (last + RUN, back), away=-16.0)
    else:
        yield Dimension((last + RUN, high), (last + RUN, back), away=-8.0)
        yield Dimension((first - RUN, low), (first - RUN, back), away=8.0)
    yield from _words(name, skin, back)


def _words(name: str, skin: Chain, back: float) -> Iterator[Mark]:
    """Under the back edge, well off the middle, where a seam is likely: the name, and which edge is the gauge."""
    first, last = skin[0].start[0], skin[-1].end[0]
    room = last - first - 2.0 * _BESIDE
    level = back - 5.0
    for choices in ((f"{name}: profile gauge", name), ("GAUGE EDGE: hold it against the skin", "GAUGE EDGE")):
        words = longest_that_fits(choices, room)
        if words:
            middle = first + max(long(words) / 2.0 + _BESIDE, 0.25 * (last - first))
            yield Label(words, (middle, level))
            level -= 5.0
    x = (math.floor((first + 0.25 * (last - first)) / STEP) + 0.5) * STEP
    yield Arrow("", (x, level + TYPE_HEIGHT / 2.0), (x, radius_at(skin, min(max(x, first), last)) + 0.5))


def _notes(back: float, is_nose: bool) -> tuple[str, ...]:
    where = "runs ahead of the tip along the axis, follows the skin," if is_nose else "follows the skin"
    straight = f"runs on straight for {RUN:g} mm along the tube"
    straight += "" if is_nose else " at both ends"
    return (
        f"The gauge edge is the lower one: it {where} and {straight}. Stations are in mm from "
        f"{'the tip' if is_nose else 'the forward end of the skin'}.",
        f"The back edge is straight, parallel to the axis and {figure(back)} from it: check it with a ruler.",
        "Glue the sheet to stiff card, cut, and hold the card in a plane through the axis; light under the edge shows "
        "where material is missing.",
    )
