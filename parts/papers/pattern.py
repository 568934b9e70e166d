"""What a paper is before it is laid out on sheets, and how it words its figures."""

from __future__ import annotations

from dataclasses import dataclass

from ..marks import SMALLEST_TYPE, Label, Mark
from ..quantity import inches_64, millimetres
from ..shape import Outline
from ..sheets.letters import plain, width

TYPE_HEIGHT = 3.2
"""Height of a line of the smallest type with its ascenders and descenders [mm]."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """One paper at 1:1.

    Attributes:
        word: what it is, such as `wrap`; the end of its file's name.
        outline: what to cut out of the paper [mm].
        marks: lines and words on it, in the outline's coordinates.
        notes: sentences for its sheet.
        stock: what it is printed on or glued to.
        fixed: words that stand for their place, such as a number beside its tick; never slid.
    """

    word: str
    outline: Outline
    marks: tuple[Mark, ...]
    notes: tuple[str, ...]
    stock: str
    fixed: tuple[Label, ...] = ()


def figure(value: float) -> str:
    """A length [mm] in mm and in inches to the nearest 1/64."""
    return f"{millimetres(value)} ({inches_64(value)})"


def long(words: str) -> float:
    """Length of words in the smallest type [mm]."""
    return width(plain(words), SMALLEST_TYPE)


def longest_that_fits(choices: tuple[str, ...], room: float) -> str:
    """The first of some wordings, from the fullest to the shortest, that is no longer than `room` [mm]; or nothing."""
    return next((words for words in choices if words and long(words) <= room), "")
