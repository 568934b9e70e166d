"""What a person measures on a rail button, for its section drawing: turned about x, its foot at the left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..measures import AxialLength, DiameterAt, Measure

if TYPE_CHECKING:
    from .rail_button import RailButton


def rail_button_measures(part: RailButton) -> tuple[Measure, ...]:
    """Every size of a button that calipers reach."""
    return tuple(_sizes(part))


def _sizes(part: RailButton) -> Iterator[Measure]:
    foot, waist = part.foot_diameter / 2.0, part.waist_diameter / 2.0
    head, screw = part.head_diameter / 2.0, part.screw_diameter / 2.0
    low = part.rail_face()
    high, top = low + part.waist_height, part.extent_outwards()
    yield AxialLength((0.0, foot), (low, foot), "foot with its boss" if part.standoff else "foot")
    yield AxialLength((low, foot), (high, head), "waist")
    yield AxialLength((high, head), (top, head), "head")
    yield AxialLength((0.0, foot), (top, head), "overall")
    yield DiameterAt((0.0, foot), "foot")
    yield DiameterAt(((low + high) / 2.0, waist), "waist")
    yield DiameterAt((top, head), "head")
    yield DiameterAt((top, screw), "screw hole")
