"""What a person measures on flat round discs: their section along the axis, and the face with its hole circles."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import groupby

from ..curve import Arc
from ..flat_view import FlatView
from ..marks import Mark
from ..measures import AxialLength, DiameterAt, Measure
from ..shape import Cut, Fused, Meridian, Placed, Plate, Revolved, Shape, moved, polygon
from .disc_features import MIDDLE, Disc, Feature, Notch, Opening, Round, Slot, filled, from_behind
from .disc_marks import Circle, disc_marks

_PAST = 1.0
"""How far a hole runs past the faces [mm]."""

_SAME = 0.05
"""Hole circles whose radii differ by less are one [mm]."""


_MOST_CIRCLES = 2
"""So many hole circles are named on the face [-]; more are told in words, because leaders would cross."""


def disc_section(stack: Sequence[tuple[Disc, float]]) -> Shape:
    """Discs face to face as turned bodies, with what is cut along the axis; one of those that are alike stands for all.

    Args:
        stack: each disc with its thickness [mm], the forward one first.
    """
    bodies: list[Shape] = []
    tools: dict[tuple[str, float], Shape] = {}
    whole, at = sum(thickness for _, thickness in stack), 0.0
    for disc, thickness in stack:
        bore = _bore(disc)[1]
        corners = ((0.0, disc.rim), (thickness, disc.rim), (thickness, bore), (0.0, bore))
        body = Revolved(Meridian(polygon(corners)))
        bodies.append(Placed(body, moved(at)) if at else body)
        at += thickness
        for item in (*disc.openings, *disc.notches):
            if _in_the_middle(item) or (isinstance(item, Notch) and item.vee):
                continue
            outline = item.beyond(_PAST) if isinstance(item, Notch) else filled(item)
            prism = Plate(from_behind(outline), whole + 2.0 * _PAST)
            tools.setdefault((item.name.word, item.radius), Placed(prism, moved(-_PAST)))
    base = bodies[0] if len(bodies) == 1 else Fused(tuple(bodies))
    return Cut(base, tuple(tools.values())) if tools else base


def disc_measures(
    stack: Sequence[tuple[str, Disc, float]], rim_word: str = "disc", bore_word: str = "bore"
) -> tuple[Measure, ...]:
    """Diameters and thicknesses of discs face to face.

    Args:
        stack: what each disc is called, the disc and its thickness [mm], the forward one first.
        rim_word: what the edge of one alone is called.
        bore_word: what the bore in its middle is called, where it is for a motor tube.
    """
    found: list[Measure] = []
    at = 0.0
    for word, disc, thickness in stack:
        # Off the joint of two discs the smaller one would have the larger one in the way.
        face = at if at == 0.0 else at + thickness
        found.append(DiameterAt((face, disc.rim), word or rim_word))
        found.append(AxialLength((at, disc.rim), (at + thickness, disc.rim), word or "thickness"))
        at += thickness
    if len(stack) > 1:
        found.append(AxialLength((0.0, stack[0][1].rim), (at, stack[-1][1].rim), "overall"))
    opening, bore = _bore(stack[0][1])
    if bore:
        found.append(DiameterAt((0.0, bore), opening or bore_word))
    return tuple(found)


def disc_view(
    word: str,
    disc: Disc,
    thickness: float,
    words: tuple[str, str],
    seats: tuple[Circle, ...] = (),
    notes: tuple[str, ...] = (),
    material: str = "",
    count: int = 1,
) -> FlatView:
    """The face of a disc seen from behind, with its hole circles, beside its section.

    Args:
        word: what of the part it is; empty where it is the whole part.
        disc: the disc.
        thickness: its thickness [mm].
        words: what its edge and the bore in its middle are called.
        seats: what else is marked on it.
        notes: sentences about it.
        material: what it is made of, in words; empty where that is the part's own.
        count: how many of it are in one part [-].
    """
    circles = tuple(_hole_circles(disc))
    return FlatView(
        word,
        disc.outline(),
        partial(_marks, disc, words, (*(circles if len(circles) <= _MOST_CIRCLES else ()), *seats)),
        disc_section(((disc, thickness),)),
        # A small hole in the middle is said on the face.
        disc_measures((("", disc, thickness),), *words)[: 3 if disc.bore else 2],
        "section, forward to the left",
        (*_places(disc), *notes),
        material,
        count,
    )


def _marks(disc: Disc, words: tuple[str, str], circles: tuple[Circle, ...], scale: float) -> tuple[Mark, ...]:
    drawn = tuple(Circle(one.words, one.radius * scale) for one in circles)
    return disc_marks(scaled_disc(disc, scale), *words, drawn, scale=scale)


def scaled_disc(disc: Disc, by: float) -> Disc:
    """A disc drawn larger or smaller about its middle."""
    return Disc(
        disc.rim * by,
        disc.bore * by,
        tuple(_scaled(one, by) for one in disc.openings),
        tuple(replace(one, half=one.half * by, floor=one.floor * by, edge=one.edge * by) for one in disc.notches),
        tuple(_scaled_round(one, by) for one in disc.washers),
    )


def _scaled(one: Opening, by: float) -> Opening:
    if isinstance(one, Round):
        return _scaled_round(one, by)
    arc = one.arc
    return replace(one, arc=Arc(MIDDLE, arc.radius * by, arc.start_angle, arc.sweep), radius=one.radius * by)


def _scaled_round(one: Round, by: float) -> Round:
    return replace(one, centre=(one.centre[0] * by, one.centre[1] * by), radius=one.radius * by)


def _bore(disc: Disc) -> tuple[str, float]:
    """What the opening in the middle is called where it is a hole like others, and its radius [mm]; 0 for none."""
    if disc.bore:
        return "", disc.bore
    middle = next((one for one in disc.openings if _in_the_middle(one)), None)
    return (middle.name.word, middle.radius) if isinstance(middle, Round) else ("", 0.0)


def _in_the_middle(item: Feature) -> bool:
    return isinstance(item, Round) and item.centre == MIDDLE


def _hole_circles(disc: Disc) -> Iterator[Circle]:
    """The circles about the middle that holes stand on, each once."""
    taken: list[float] = []
    for one in disc.openings:
        radius = _distance(one)
        if radius > _SAME and not any(abs(radius - other) < _SAME for other in taken):
            taken.append(radius)
            yield Circle("hole circle" if isinstance(one, Round) else "slot circle", radius)


def _places(disc: Disc) -> tuple[str, ...]:
    """Where openings and notches are round the axis, in one sentence."""
    found = []
    for word, group in groupby((*disc.openings, *disc.notches), key=lambda one: one.name.word):
        alike = [one for one in group if not _in_the_middle(one)]
        if alike:
            across = 2.0 * _distance(alike[0])
            circle = "" if isinstance(alike[0], Notch) else f" on Ø{across:.4g} mm"
            found.append(f"{word}{circle} at {_listed(_roll(one) for one in alike)} deg")
    return (f"Rolls from the rail line, clockwise seen from behind: {'; '.join(found)}.",) if found else ()


def _distance(item: Opening | Notch) -> float:
    """From the axis to the middle of an opening, or to the floor of a notch [mm]."""
    if isinstance(item, Notch):
        return item.floor
    return item.arc.radius if isinstance(item, Slot) else math.hypot(*item.centre)


def _roll(item: Feature) -> float:
    """Where the middle of a feature is [rad]."""
    if isinstance(item, Notch):
        return item.roll % math.tau
    x, y = item.middle if isinstance(item, Slot) else item.centre
    return math.atan2(x, y) % math.tau


def _listed(rolls: Iterable[float]) -> str:
    return ", ".join(f"{math.degrees(roll) % 360.0:.1f}".removesuffix(".0") for roll in rolls)
