"""What a piece of hardware weighs: as published, else by its shape."""

from __future__ import annotations

from ..parts.hardware import Hardware, Insert
from ..parts.hardware_shapes import hardware_shape
from ..parts.readers.integrals import moments
from ..parts.tables import material


def hardware_mass(item: Hardware) -> float:
    """Mass of one piece [g], as published in its row, else volume x density: steel, inserts of brass.

    Threads count as cylinders of the pitch diameter; within some per cent of a scale (see the tests of the shapes).

    Raises:
        PartError: the piece has no shape, such as a clearance hole, or needs a length.
    """
    published = getattr(item, "mass", None)
    if published is not None:
        return float(published)
    made_of = material("brass" if isinstance(item, Insert) else "steel")
    return moments(hardware_shape(item)).volume * made_of.density
