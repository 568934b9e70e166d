"""Class letter of a motor, or of all motors of a flight together, from the total impulse.

Source: each class reaches to twice the impulse of the one before it, from A, 1.26 to 2.50 N s, to O, 20,480.01 to
40,960 N s (encyclopedia, Model rocket motor classification, looked up). The fractions below A are from memory. Figures
to compare with a motor's own label; the label and the association's code decide.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..parts.errors import PartError

TABLE = "classes A to O, each twice the one before it (encyclopedia, looked up)"
FRACTIONS = "classes below A (from memory)"
ABOVE = "above class O, 40,960 N s: not stated; 14 CFR 101.22 (looked up) ends its class 2 there too"

_LETTERS = "ABCDEFGHIJKLMNO"
_FIRST = 2.5
_BELOW = (("micro", 0.0, 0.3125), ("1/4A", 0.3125, 0.625), ("1/2A", 0.625, 1.25))


@dataclass(frozen=True, slots=True)
class ImpulseClass:
    """A class of total impulse.

    Attributes:
        name: its letter, or a fraction of A.
        above: impulse that it lies above [N s].
        up_to: impulse that it reaches to, which is still in it [N s].
        source: where the bounds come from.
    """

    name: str
    above: float
    up_to: float
    source: str

    def share(self, total_impulse: float) -> float:
        """How far into the class an impulse [N s] lies, from 0 to 1 [-]."""
        return (total_impulse - self.above) / (self.up_to - self.above)


@dataclass(frozen=True, slots=True)
class CertificationBand:
    """Classes that flyers are certified for together; data, not a verdict: the association's current code decides.

    Attributes:
        name: what it is called.
        first: its first class.
        last: its last class.
        source: where it comes from.
        mark: how far it may be trusted.
        note: what else counts.
    """

    name: str
    first: str
    last: str
    source: str
    mark: str
    note: str = ""


CLASSES = (
    *(ImpulseClass(name, above, up_to, FRACTIONS) for name, above, up_to in _BELOW),
    *(
        ImpulseClass(letter, _FIRST * 2.0 ** (index - 1), _FIRST * 2.0**index, TABLE)
        for index, letter in enumerate(_LETTERS)
    ),
)
"""All classes from the weakest."""

BANDS = (
    CertificationBand(
        "below high power",
        "micro",
        "G",
        "association codes",
        "common practice",
        "more than 80 N of mean thrust or 62.5 g of propellant in one motor is high power all the same (from memory)",
    ),
    CertificationBand("level 1", "H", "I", "an association's level 1 text: up to 640 N s installed", "looked up"),
    CertificationBand("level 2", "J", "L", "association codes", "common practice"),
    CertificationBand("level 3", "M", "O", "association codes", "common practice"),
)
"""Bands of certification, weakest first."""


def impulse_class(total_impulse: float) -> ImpulseClass | None:
    """Class of a total impulse [N s], of all motors that burn in the flight together; None above class O.

    Raises:
        PartError: an impulse not above 0.

    Example:
        >>> impulse_class(168.1).name
        'H'
    """
    if not 0.0 < total_impulse < math.inf:
        raise PartError(f"total_impulse: must be above 0 N s, got {total_impulse:g} N s")
    return next((one for one in CLASSES if total_impulse <= one.up_to), None)


def certification_band(found: ImpulseClass) -> CertificationBand:
    """The band that a class lies in."""
    names = [one.name for one in CLASSES]
    place = names.index(found.name)
    return next(band for band in BANDS if names.index(band.first) <= place <= names.index(band.last))
