"""A flat face of a part as its dimensioned drawing shows it, beside the same piece cut square to that face."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from .chain import Chain
from .marks import Mark
from .measures import Measure
from .shape import Outline, Shape


@dataclass(frozen=True, slots=True)
class FlatView:
    """One face.

    Attributes:
        word: what of the part it is, such as `small disc`; empty where it is the whole part.
        outline: the face, at its own size.
        marks: the marks on it, in the coordinates of the face drawn at a scale, mm drawn for one of the part [-]; their
            figures are the part's.
        section: a turned body cut along its axis, or the closed loop of a cut across something flat, its thickness
            about y = 0; None where there is none to show.
        measures: what is measured on that section.
        section_words: what the section is.
        notes: sentences with the sizes that no line of the drawing says.
        material: what it is made of, in words; empty where that is the part's own.
        count: how many of it are in one part [-].
    """

    word: str
    outline: Outline
    marks: Callable[[float], tuple[Mark, ...]]
    section: Shape | Chain | None = None
    measures: tuple[Measure, ...] = ()
    section_words: str = "section"
    notes: tuple[str, ...] = ()
    material: str = ""
    count: int = 1
