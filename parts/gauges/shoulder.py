"""Slices of the design's own shoulders: an hour at the printer before the fourteen of the whole nose."""

from __future__ import annotations

from ..errors import PartError
from ..shape import Role
from .collars import slice_of
from .gauge import STEP, Gauge, Printed, Reading, ladder

HEIGHT = 18.0
"""Height of a slice [mm]: 15 to 20 mm are enough to feel a fit (common practice)."""


def shoulder_slices(
    name: str,
    of: str,
    outside: float,
    wall: float,
    length: float,
    number: int,
    material: str | None,
    bore_role: Role = "",
    step: float = STEP,
    count: int = 3,
) -> Gauge:
    """Slices of one shoulder or sleeve, one as it is drawn and others smaller and larger.

    Args:
        name: what files and results call the set.
        of: what it is a slice of, in words.
        outside: outside diameter of the shoulder [mm].
        wall: its wall on the radius [mm].
        length: its length [mm]; a shorter one gives a lower slice.
        number: number of the set, which every slice carries under its size [-].
        material: what the part is printed of; None where it is not stated.
        bore_role: role of the bore's face in the part.
        step: from one size to the next [mm].
        count: how many sizes [-].

    Raises:
        PartError: the shoulder is too short or too small for a slice.
    """
    height = min(HEIGHT, length)
    steps = ladder(outside, count, step)
    try:
        printed = tuple(
            Printed(label, slice_of(size, wall, height, (label, str(number)), bore_role)) for label, size in steps
        )
    except PartError as error:
        raise PartError(f"{name}: {error}") from None
    sizes = ", ".join(label for label, _ in steps)
    return Gauge(
        name,
        f"slice of the {of}",
        f"Print {count} slices, {sizes} mm outside, all marked {number}; of the material, with the settings and "
        "standing the way that the part itself is printed. No support, no brim.",
        "Let them cool. Try each with the end that was on top, the one away from the number, in both ends of the real "
        "tube, with the wraps of tape that the fit asks for. It shall slide under the push of one finger and not rock.",
        "The number on the slice that fits best; `tight` or `loose` where all are.",
        printed,
        (),
        steps,
        Reading("plug", "best", outside, step),
        material,
    )
