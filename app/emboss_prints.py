"""Words sunk into what is printed: which state of the part this is, so that two revisions cannot be mixed.

The letters go where they touch nothing: into the bore of a shoulder or a coupler, near its aft edge, on the
rail line. The exact solid stays plain; only the mesh that is printed has them.
"""

from __future__ import annotations

from ..parts.emboss import OnWall, embossed
from ..parts.errors import PartError
from ..parts.kinds import Coupler, NoseCone, Transition
from ..parts.part import Part
from ..parts.shape import Shape
from ..parts.tables import material

HEIGHT = 4.0
"""Height of the capitals [mm]: legible in a print of 0.2 mm layers (common practice)."""

DEPTH = 0.4
"""How deep the letters go in [mm]: two layers or lines (common practice)."""

_EDGE = 3.0
"""From the aft edge to the letters, clear of its chamfer [mm]."""


def with_words(part: Part, words: str) -> tuple[Shape, str]:
    """The shape to print, and the words that are sunk into it; plain and no words where there is no room.

    Args:
        part: the part.
        words: what it is to say.
    """
    shape, place = part.shape(), _place(part)
    if place is None or not _printed(part):
        return shape, ""
    try:
        return embossed(shape, words, place, DEPTH, raised=False), words
    except PartError:
        return shape, ""  # the letters are too large for the curve or the wall


def _printed(part: Part) -> bool:
    return part.material is None or material(part.material).family == "polymer"


def _place(part: Part) -> OnWall | None:
    """Where the words go; None for parts without a bore that is theirs to mark."""
    if isinstance(part, NoseCone) and part.body == "hollow" and part.shoulder_diameter:
        bore, wall = part.shoulder_diameter / 2.0 - part.shoulder_wall, part.shoulder_wall
        end, length = part.length + part.shoulder_length, part.shoulder_length
    elif isinstance(part, Transition) and part.body == "hollow" and part.aft_shoulder_diameter:
        bore, wall = part.aft_shoulder_diameter / 2.0 - part.shoulder_wall, part.shoulder_wall
        end, length = part.length + part.aft_shoulder_length, part.aft_shoulder_length
    elif isinstance(part, Coupler) and part.seat_station is None and part.vent_diameter is None:
        bore, wall, end, length = part.inside_diameter / 2.0, part.wall, part.length, part.length / 4.0
    else:
        return None
    clear = 2.0 * (HEIGHT + _EDGE)
    return OnWall(bore, wall, HEIGHT, end - _EDGE - HEIGHT / 2.0, inside=True) if length > clear else None
