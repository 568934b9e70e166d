"""Words raised from a face or sunk into it, for prints; the exact solid of a part stays plain.

On a curved wall every letter is a straight prism along the radius through its own middle, with a flat end. The wall
falls away from that end by the sagitta of the letter, so a letter is nowhere higher or deeper than stated, and nowhere
less than that by more than the sagitta, which is held to a fifth of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

from .errors import PartError
from .lettering import glyphs
from .shape import (
    Cut,
    Edge,
    Fused,
    Loop,
    Outline,
    Placed,
    Placement,
    Plate,
    RadialFeature,
    Shape,
    moved,
)

LARGEST_SAGITTA = 0.2
"""Largest sagitta of a letter as a part of its depth [-]."""

_ROOT = 0.1
"""How far a raised letter reaches into what it stands on, and a sunk one out of it [mm], so that no two faces lie on
each other."""


@dataclass(frozen=True, slots=True)
class OnPlate:
    """A face of a plate, which lies square to the x axis.

    Attributes:
        thickness: thickness of the plate [mm].
        height: height of the capitals [mm].
        middle: (y, z) of the middle of the words [mm].
        turn: turn of the words [rad], anticlockwise for who looks at the face; without it their heads are towards +z,
            and they run towards +y on the aft face, towards -y on the forward one.
        face: the face, `aft` at x = thickness or `forward` at x = 0.
    """

    thickness: float
    height: float
    middle: tuple[float, float] = (0.0, 0.0)
    turn: float = 0.0
    face: Literal["aft", "forward"] = "aft"


@dataclass(frozen=True, slots=True)
class OnWall:
    """A round wall about the x axis.

    Attributes:
        radius: radius of the face that carries the words [mm].
        wall: thickness of the wall there [mm].
        height: height of the capitals [mm].
        station: station of the middle of the words [mm].
        roll: roll of their middle [rad], counted as in `RadialFeature`.
        along: True for words that run aft, along the axis; False for words that run round it, their heads forward.
        inside: True for the bore, False for the outside.
    """

    radius: float
    wall: float
    height: float
    station: float
    roll: float = 0.0
    along: bool = False
    inside: bool = False


Where: TypeAlias = OnPlate | OnWall


def embossed(shape: Shape, words: str, where: Where, depth: float, raised: bool) -> Shape:
    """A shape with words on one of its faces, to be printed.

    The words must lie on the face that is named, clear of its edges and of what else is cut into it; nothing here
    knows what those are.

    Args:
        shape: the plain shape, in its own frame.
        words: one line of letters, see `lettering.glyphs`.
        where: face, place and size of the words.
        depth: how far they stand out or go in [mm], above 0; sunk at most half of the thickness.
        raised: True for raised words, False for sunk ones.

    Raises:
        PartError: there is nothing to write, a letter is not there, the words go too deep, or they are too large for
            the curve of the wall.
    """
    thickness = where.thickness if isinstance(where, OnPlate) else where.wall
    if not 0.0 < depth < math.inf:
        raise PartError(f"depth: {depth:g} mm of the words must be above 0 mm")
    if not raised and depth > thickness / 2.0:
        raise PartError(
            f"depth: words sunk {depth:g} mm leave less than half of what they are cut into, {thickness:g} mm"
        )
    tools: tuple[Shape, ...] = tuple(
        _on_plate(words, where, depth, raised) if isinstance(where, OnPlate) else _on_wall(words, where, depth, raised)
    )
    if not tools:
        raise PartError(f"letters: {words!r} has no letter to print")
    # One tool of all letters: they are joined with each other first, which costs little, and with the part once.
    return Fused((shape, Fused(tools))) if raised else Cut(shape, (Fused(tools),))


def sagitta(radius: float, half_width: float) -> float:
    """How far a round wall falls away from its tangent plane [mm].

    Args:
        radius: radius of the wall [mm].
        half_width: distance from the line of contact, measured in the plane [mm], at most the radius.
    """
    return radius - math.sqrt(radius**2 - half_width**2)


def _on_plate(words: str, where: OnPlate, depth: float, raised: bool) -> Iterator[Placed]:
    line = glyphs(words, where.height)
    length = sum(glyph.advance for glyph in line)
    low, high = (-_ROOT, depth) if raised else (-depth, _ROOT)
    if where.face == "aft":
        on_face = Placement(move=(where.thickness, *where.middle))
    else:
        on_face = Placement(turn=(-1.0, 0.0, 0.0, 0.0, -1.0, 0.0, 0.0, 0.0, 1.0), move=(0.0, *where.middle))
    for glyph in line:
        for shape in glyph.shapes:
            centred = shape.placed(glyph.middle - length / 2.0, -where.height / 2.0).placed(0.0, 0.0, where.turn)
            yield Placed(Plate(centred, high - low), on_face.after(moved(low)))


def _on_wall(words: str, where: OnWall, depth: float, raised: bool) -> Iterator[RadialFeature]:
    """The prisms of words on a round wall.

    Raises:
        PartError: the words are too long or too large for it.
    """
    line = glyphs(words, where.height)
    length = sum(glyph.advance for glyph in line)
    if not where.along and length > math.tau * where.radius:
        raise PartError(
            f"letters: {words!r}, {length:.4g} mm long, do not go round a wall of {where.radius:g} mm radius"
        )
    boxes = [shape.box() for glyph in line for shape in glyph.shapes]
    level = (min(box[1] for box in boxes) + max(box[3] for box in boxes)) / 2.0 if boxes else 0.0
    for glyph in line:
        away = glyph.middle - length / 2.0
        for shape in glyph.shapes:
            if where.along:
                # The wall falls away from heads and feet alike.
                yield _prism(shape.placed(away, -level), where, where.roll, depth, raised)
            else:
                upright = shape.placed(0.0, -where.height / 2.0).placed(0.0, 0.0, math.pi / 2.0)
                # Who looks into a bore, forward end up, has the increasing rolls on the left.
                roll = where.roll + (-away if where.inside else away) / where.radius
                yield _prism(upright, where, roll, depth, raised)


def _prism(outline: Outline, where: OnWall, roll: float, depth: float, raised: bool) -> RadialFeature:
    """One shape of a letter, its outline as seen by who looks at the wall from its free side.

    Raises:
        PartError: the wall is too curved for it.
    """
    radius = where.radius
    _, low, _, high = outline.box()
    half = max(-low, high)
    allowed = LARGEST_SAGITTA * depth
    widest = math.sqrt(allowed * (2.0 * radius - allowed)) if radius > allowed else 0.0
    if half > widest:
        raise PartError(
            f"height: letters of {where.height:g} mm are too large for a wall of {radius:g} mm radius, which falls "
            f"away from them by more than {LARGEST_SAGITTA:.0%} of the depth of {depth:g} mm; at most "
            f"{math.floor(where.height * widest / half * 100.0) / 100.0:g} mm"
        )
    away = sagitta(radius, half)
    if where.inside:
        start, end = (radius - depth, radius + _ROOT) if raised else (radius - away - _ROOT, radius + depth - away)
        outline = _mirrored(outline)
    else:
        start, end = (radius - away - _ROOT, radius + depth - away) if raised else (radius - depth, radius + _ROOT)
    return RadialFeature(where.station, roll, outline, start, end)


def _mirrored(outline: Outline) -> Outline:
    """Mirrored in the first axis; the loops are run the other way so that the outer one is anticlockwise again."""

    def turn_over(loop: Loop) -> Loop:
        return tuple(Edge(edge.piece.mirrored().reversed(), edge.role) for edge in reversed(loop))

    return Outline(turn_over(outline.outer), tuple(turn_over(hole) for hole in outline.holes))
