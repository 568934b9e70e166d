"""Between which bounds a size is good: those of its fit on the tube beside it, else the general tolerances.

General tolerances are those of ISO 2768-1, class m, for lengths (from memory): usual for what is sawn, printed or cut
with care. A size that meets a tube is held to its clearance instead, as the checks hold it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

from ...parts.errors import PartError
from ...parts.fit import FitChoice, MeasuredTube, Surroundings, clearance_for
from ...parts.part import Part
from ...parts.tables import clearances

_GENERAL = (
    (0.5, 0.0),
    (6.0, 0.1),
    (30.0, 0.2),
    (120.0, 0.3),
    (400.0, 0.5),
    (1000.0, 0.8),
    (2000.0, 1.2),
    (4000.0, 2.0),
)
"""Largest length and what it may be off to both sides [mm]; below 0.5 mm nothing is laid down."""


Reading = Literal["smallest_inside", "largest_outside", "mean_outside"]
"""Which of a tube's sizes counts."""


@dataclass(frozen=True, slots=True)
class SizeBounds:
    """Between what a size is good.

    Attributes:
        least: smallest [mm].
        most: largest [mm].
        why: the play [mm], on diameter, that the tube beside it leaves, or the general tolerances.
    """

    least: float
    most: float
    why: str


@dataclass(frozen=True, slots=True)
class _Meets:
    """What a size meets: the place of the table of fits, the tube, which of its sizes, and which side it is on."""

    usage: str
    tube: Literal["fits", "around"]
    reading: Reading
    is_bore: bool = False


_INSIDE: Final = "smallest_inside"

_MEETS: Mapping[tuple[str, str], _Meets] = {
    ("nose-cone", "shoulder_diameter"): _Meets("shoulder-tape", "fits", _INSIDE),
    ("nose-cone", "base_diameter"): _Meets("nose-base", "fits", "mean_outside"),
    ("transition", "forward_shoulder_diameter"): _Meets("shoulder-tape", "fits", _INSIDE),
    ("transition", "forward_diameter"): _Meets("nose-base", "fits", "mean_outside"),
    ("transition", "aft_shoulder_diameter"): _Meets("shoulder-tape", "around", _INSIDE),
    ("transition", "aft_diameter"): _Meets("nose-base", "around", "mean_outside"),
    ("coupler", "outside_diameter"): _Meets("coupler", "fits", _INSIDE),
    ("bulkhead", "step_diameter"): _Meets("bulkhead", "fits", _INSIDE),
    ("bulkhead", "outside_diameter"): _Meets("bulkhead", "fits", _INSIDE),
    ("centering-ring", "outside_diameter"): _Meets("ring-outside", "fits", _INSIDE),
    ("centering-ring", "inside_diameter"): _Meets("ring-bore", "around", "largest_outside", is_bore=True),
    ("motor-mount", "ring_diameter"): _Meets("ring-outside", "fits", _INSIDE),
    ("motor-mount", "ring_inside_diameter"): _Meets("ring-bore", "around", "largest_outside", is_bore=True),
    ("fin-can", "bore_diameter"): _Meets("ring-bore", "fits", "largest_outside", is_bore=True),
}

_SLIDES = _Meets("bulkhead-slide", "around", _INSIDE)
"""The large disc of a stepped bulkhead."""


def bounds_of(part: Part, field: str, near: Surroundings) -> SizeBounds | None:
    """Between what a size of a part is good; None where nothing is laid down for it.

    Args:
        part: the part.
        field: name of the field.
        near: the tubes beside it, and how it is to fit.
    """
    value: float = getattr(part, field)
    if part.kind == "tube" and field != "length":
        return SizeBounds(value, value, "as measured")
    if part.kind == "fin" and field == "tab_depth" and near.fits and near.around:
        row = clearance_for("tab-depth", near.choice)
        gap = (near.fits.mean_outside - near.around.largest_outside) / 2.0
        return SizeBounds(gap - row.most, gap - row.least, f"short by {row.least:g} to {row.most:g}")
    met = _MEETS.get((part.kind, field))
    if part.kind == "bulkhead" and field == "outside_diameter" and getattr(part, "step_diameter", None) is not None:
        met = _SLIDES
    tube: MeasuredTube | None = getattr(near, met.tube) if met else None
    if met is None or tube is None:
        return _general(value)
    return _fitted(part, met, tube, near.choice)


def _fitted(part: Part, met: _Meets, tube: MeasuredTube, choice: FitChoice) -> SizeBounds:
    size: float = getattr(tube, met.reading)
    if part.kind == "fin-can":
        choice = replace(choice, fit=choice.fit or "slip", process=choice.process or "printed")
    try:
        row = clearance_for(met.usage, choice, size)
    except PartError:
        # A class of the other side of the fit: the place is held to its usual row, as in the checks.
        row = clearances()[met.usage]
    why = f"play {row.least:g} to {row.most:g}"
    if met.is_bore:
        return SizeBounds(size + row.least, size + row.most, why)
    return SizeBounds(size - row.most, size - row.least, why)


def _general(value: float) -> SizeBounds | None:
    off = next((off for largest, off in _GENERAL if value <= largest), 0.0)
    return SizeBounds(value - off, value + off, "general") if off else None
