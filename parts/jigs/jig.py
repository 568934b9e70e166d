"""What a jig is: pieces that hold or guide at the bench, made from the measured tube and the fins of a design.

Sizes are as drawn, for a perfect machine; the faces that decide have the role `fit`, as those of gauges have.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from ..curve import Point
from ..emboss import OnPlate, embossed
from ..gauges.gauge import Sheeted
from ..lettering import has_letters, letters, width
from ..marks import Label, Mark
from ..part import CutPiece
from ..poses import FLAT
from ..shape import Outline, Placement, Plate, Shape

HOLE_OVER_TUBE = 0.4
"""How much wider a hole or bore is than the tube, on diameter [mm]: 0.3 to 0.5 (common practice)."""

SUNK = 0.4
"""How deep words are sunk into a print [mm]: two layers of 0.2 mm (common practice)."""


@dataclass(frozen=True, slots=True)
class TubeInHand:
    """The tube that a jig is for.

    Attributes:
        name: what the design calls it.
        outside: its mean outside diameter [mm].
        readings: smallest and largest outside reading [mm]; None where it was not measured.
        length: its length [mm].
    """

    name: str
    outside: float
    readings: tuple[float, float] | None
    length: float

    @property
    def hole(self) -> float:
        """Diameter of a hole that slides over it [mm]."""
        return self.outside + HOLE_OVER_TUBE

    def hole_words(self) -> str:
        """The hole with its sum and reason."""
        read = f", readings {self.readings[0]:.2f} to {self.readings[1]:.2f} mm" if self.readings else ""
        tight = ""
        if self.readings and self.readings[1] > self.hole:
            tight = (
                f". The tube is oval: its widest reading, {self.readings[1]:.2f} mm, is wider than the hole. Press it "
                "round as you slide the jig on, or sand the hole"
            )
        return (
            f"{self.hole:.2f} mm: {self.outside:.2f} mm, the mean outside of the {self.name}{read}, and "
            f"{HOLE_OVER_TUBE:.2f} mm to slide{tight}"
        )


@dataclass(frozen=True, slots=True)
class ToPrint:
    """One piece to print.

    Attributes:
        word: which piece it is, such as `saddle`; empty where it is all there is.
        shape: the piece.
        pose: motion to the pose in which it is printed.
        count: how many of it [-].
    """

    word: str
    shape: Shape
    pose: Placement
    count: int = 1


@dataclass(frozen=True, slots=True)
class Jig:
    """A jig.

    Attributes:
        name: what files and the command line call it.
        title: what it is, in words.
        make: what to make, in sentences for the bench.
        trial: how to use it.
        note: what to check and to write down.
        sizes: what has which size, with its sum and reason.
        printed: the pieces to print; none for what is cut alone.
        cut: the pieces to cut from sheet; none for what is printed alone.
        mark: fingerprint of what it is made from, in its printed form, which it carries itself.
    """

    name: str
    title: str
    make: str
    trial: str
    note: str
    sizes: tuple[tuple[str, str], ...]
    printed: tuple[ToPrint, ...]
    cut: tuple[Sheeted, ...]
    mark: str


@dataclass(frozen=True, slots=True)
class Inscription:
    """One line of words on a plate.

    Attributes:
        words: what it says.
        middle: where its middle lies [mm].
        height: height of its capitals [mm].
        turn: turn of the line [rad], anticlockwise.
    """

    words: str
    middle: Point
    height: float
    turn: float = 0.0

    def letters(self) -> tuple[Outline, ...]:
        """The letters as closed outlines, to engrave."""
        half = length(self.words, self.height) / 2.0
        return tuple(
            shape.placed(-half, -self.height / 2.0).placed(*self.middle, self.turn)
            for shape in letters(self.words, self.height)
        )

    def corners(self, room: float = 0.0) -> tuple[Point, ...]:
        """Corners of the rectangle round it and some room [mm]."""
        half, up = length(self.words, self.height) / 2.0 + room, self.height / 2.0 + room
        c, s = math.cos(self.turn), math.sin(self.turn)
        return tuple(
            (self.middle[0] + x * c - y * s, self.middle[1] + x * s + y * c)
            for x, y in ((-half, -up), (half, -up), (half, up), (-half, up))
        )


def length(words: str, height: float) -> float:
    """Length of a line of words [mm], which grows with the height of its capitals [mm]."""
    return width(words, 1.0) * height


def upright(turn: float) -> float:
    """The turn of a line of words [rad], a half turn on where it would stand on its head."""
    turn = (turn + math.pi) % math.tau - math.pi
    if turn > math.pi / 2.0 + 1e-9:
        return turn - math.pi
    return turn + math.pi if turn <= -math.pi / 2.0 + 1e-9 else turn


def writable(words: Iterable[str]) -> tuple[str, ...]:
    """Those of some words that the lettering can write; a name in letters that it does not have is left out."""
    return tuple(one for one in words if one.strip() and has_letters(one))


def sheeted(
    word: str,
    outline: Outline,
    marks: tuple[Mark, ...],
    words: tuple[Inscription, ...],
    thickness: float,
    count: int = 1,
) -> Sheeted:
    """A piece to cut from sheet with its words: on paper as labels, for a machine as letters to engrave."""
    labels = tuple(Label(one.words, one.middle, one.turn) for one in words)
    piece = CutPiece(word, outline, (*marks, *labels), thickness, count)
    return Sheeted(piece, tuple(letter for one in words for letter in one.letters()))


def flat_print(
    word: str, outline: Outline, words: tuple[Inscription, ...], thickness: float, count: int = 1
) -> ToPrint:
    """The same piece to print, its words sunk into the face that is up on the bed."""
    shape: Shape = Plate(outline, thickness)
    deep = min(SUNK, thickness / 2.0)
    for one in words:
        shape = embossed(shape, one.words, OnPlate(thickness, one.height, one.middle, one.turn), deep, raised=False)
    return ToPrint(word, shape, FLAT, count)
