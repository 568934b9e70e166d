"""Limits of size by ISO 286-1: a class such as `g6` or a fit such as `H7/g6` at a size up to 500 mm.

Source: ISO 286-1:2010, whose tables are rows of `data/iso286.csv`. They are read and not computed because the standard
rounds its own formulas by eye in every fifth cell; the tests hold each cell to its formula. What the standard derives
from the tables is derived here: the grades 12 to 16, the holes from the shafts, and the two symmetrical letters.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from .errors import PartError
from .params import near
from .tables import SizeStep, iso_steps

LARGEST = 500.0
"""Largest size [mm] of these tables."""

GRADES = range(5, 17)
"""Standard tolerance grades that are known [-]."""

SHAFTS = ("a", "b", "c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s")
"""Letters of shafts; those of holes are the same in capitals."""

_CLASS = re.compile(r"([A-Za-z]{1,2})(\d{1,2})")
_FINEST = GRADES.start
_OF_ABOVE = "abcdefg"
_MICROMETRE = 1e-3
_SMALLEST_STEP = 3.0


@dataclass(frozen=True, slots=True)
class Zone:
    """Where the sizes of one class lie.

    Attributes:
        name: the class, such as `g6`.
        lower: lower deviation from the basic size [mm].
        upper: upper deviation from the basic size [mm].
    """

    name: str
    lower: float
    upper: float

    @property
    def middle(self) -> float:
        """Middle of the zone [mm]."""
        return (self.lower + self.upper) / 2.0

    @property
    def is_hole(self) -> bool:
        """Whether the class is of a hole."""
        return self.name[0].isupper()

    def words(self) -> str:
        """The two deviations as the standard prints them, in micrometres."""
        lower, upper = (round(end / _MICROMETRE, 3) for end in (self.lower, self.upper))
        return f"{self.name} {lower:{'+g' if lower else 'g'}} to {upper:{'+g' if upper else 'g'}} um"


def looks_like_class(text: str) -> bool:
    """Whether a text is meant as a class or a pair of them and not as the name of a fit."""
    return all(_CLASS.fullmatch(part.strip()) for part in text.split("/"))


def zone(name: str, size: float) -> Zone:
    """The zone of one class.

    Args:
        name: a letter and a grade; holes in capitals.
        size: basic size [mm], above 0 and at most 500.

    Raises:
        PartError: no such letter or grade, a pair of them that the standard does not give, or a size out of range.
    """
    match = _CLASS.fullmatch(name.strip())
    if match is None:
        raise PartError(f"fit: {name!r} is not a class of ISO 286; write a letter and a grade, such as 'g6' or 'H7'")
    letter, grade = match[1], int(match[2])
    step = _step(size)
    if letter.lower() not in SHAFTS or letter not in (letter.lower(), letter.upper()):
        known = (*SHAFTS, *(word.upper() for word in SHAFTS))
        raise PartError(
            f"fit: {name!r}: there is no letter {letter!r}{near(letter, known)}; it has {', '.join(SHAFTS)}"
        )
    if grade not in GRADES:
        raise PartError(f"fit: {name!r}: grade {grade} is not one of {GRADES.start} to {GRADES.stop - 1}")
    tolerance = standard_tolerance(size, grade)
    if letter.lower() == "js":
        lower, upper = -tolerance / 2.0, tolerance / 2.0
    elif letter.islower():
        lower, upper = _shaft(letter, grade, step, tolerance)
    else:
        lower, upper = _hole(letter, grade, step, tolerance)
    return Zone(f"{letter}{grade}", lower * _MICROMETRE, upper * _MICROMETRE)


def pair(name: str, size: float) -> tuple[Zone, Zone]:
    """The zones of the hole and of the shaft of a fit such as `H7/g6`.

    Args:
        name: class of the hole, a stroke, class of the shaft.
        size: basic size of both [mm].

    Raises:
        PartError: a class that is not known, or the two the wrong way round.
    """
    words = name.split("/")
    if len(words) != 2:
        raise PartError(f"fit: {name!r} is not a pair of classes; write that of the hole first, such as 'H7/g6'")
    hole, shaft = zone(words[0], size), zone(words[1], size)
    if not hole.is_hole or shaft.is_hole:
        raise PartError(f"fit: {name!r}: the hole comes first, in capitals, then the shaft, such as 'H7/g6'")
    return hole, shaft


def standard_tolerance(size: float, grade: int) -> float:
    """Standard tolerance [um] of a grade at a basic size [mm]; from grade 12 on ten times that of five grades finer.

    Raises:
        PartError: the size is not above 0 and at most 500 mm.
    """
    times = 1.0
    while grade > 11:
        grade, times = grade - 5, times * 10.0
    return times * _step(size).grades[grade]


def _step(size: float) -> SizeStep:
    if not 0.0 < size <= LARGEST:
        raise PartError(f"fit: classes of ISO 286 are for sizes above 0 and at most {LARGEST:g} mm, got {size:g} mm")
    return next(step for step in iso_steps() if size <= step.to)


def _shaft(letter: str, grade: int, step: SizeStep, tolerance: float) -> tuple[float, float]:
    if letter == "h":
        return -tolerance, 0.0
    if letter in _OF_ABOVE:
        upper = -float(step.deviations[letter])
        return upper - tolerance, upper
    lower = 0.0 if letter == "k" and grade > 7 else float(step.deviations[letter])
    return lower, lower + tolerance


def _hole(letter: str, grade: int, step: SizeStep, tolerance: float) -> tuple[float, float]:
    """The shaft of the same letter mirrored; from K on moved up where hole and shaft are to be one grade apart.

    Raises:
        PartError: a grade of this letter that the standard, or its table here, does not give.
    """
    word = letter.lower()
    if word == "h":
        return 0.0, tolerance
    if word in _OF_ABOVE:
        lower = float(step.deviations[word])
        return lower, lower + tolerance
    if word == "k" and grade > 8:
        raise PartError(f"fit: '{letter}{grade}': ISO 286 gives K for holes only up to grade 8")
    small = step.to <= _SMALLEST_STEP
    if word == "n" and grade > 8 and not small:
        return -tolerance, 0.0
    moved = grade <= (8 if word in "kmn" else 7) and not small
    delta = step.grades[grade] - step.grades[grade - 1] if moved and grade > _FINEST else 0.0
    if moved and grade == _FINEST:
        raise PartError(
            f"fit: '{letter}{grade}': grade {_FINEST} of this letter needs grade 4, which is not known here"
        )
    upper = -float(step.deviations[word]) + delta
    if (letter, grade) == ("M", 6) and 250.0 <= step.over < 315.0:
        upper = -9.0  # the one cell in which the standard's table departs from its own rule
    return upper - tolerance, upper
