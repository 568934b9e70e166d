"""What a person measures on a fin can: the section of its sleeve, and one fin from the side."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..flat_view import FlatView
from ..measures import AxialLength, Detail, DiameterAt, Measure, holes_of, wall_at
from ..shape import Cut, Ruled, Shape
from .fin_view import FaceSizes, fin_view

if TYPE_CHECKING:
    from .fin_can import FinCan


def fin_can_section(part: FinCan) -> Shape:
    """The sleeve without its fins, with its screw holes."""
    holes = part.screws()
    return Cut(part.sleeve(), (holes,)) if holes else part.sleeve()


def fin_can_measures(part: FinCan) -> tuple[Measure, ...]:
    """Every size of the sleeve that calipers reach, and where the fins stand on it."""
    return tuple(_sleeve(part))


def _sleeve(part: FinCan) -> Iterator[Measure]:
    bore, outside, length, taper = part.bore_radius, part.sleeve_radius, part.length, part.taper
    yield AxialLength((0.0, bore), (length, outside), "length")
    yield DiameterAt((length, outside), "sleeve")
    yield DiameterAt((length, bore), "bore")
    if taper:
        yield AxialLength((0.0, bore + part.rim), (taper, outside), "taper")
        yield DiameterAt((0.0, bore + part.rim), "forward end")
    yield wall_at(part.sleeve().meridian, max(length - 3.0, 0.8 * length))
    yield Detail((length, (bore + outside) / 2.0), 7.0, "aft end")
    root = part.root_position
    yield AxialLength((0.0, bore), (root, outside), "to the fins' roots")
    yield AxialLength((root, outside), (root + part.root_chord, outside), "root")
    holes = part.screws()
    if holes is not None:
        measured = holes_of(holes, outside, "screws" if part.screw_count > 1 else "screw")
        yield measured
        yield AxialLength((0.0, bore), (measured.feature.station, outside), "to screw")


def fin_can_views(part: FinCan) -> tuple[FlatView, ...]:
    """One of its fins from the side, as far as it stands out of the sleeve."""
    root = f"Fillets of {part.fillet:g} mm along both sides of the root. " if part.fillet else ""
    sizes = FaceSizes(part.planform(), part.root_chord, part.thickness)
    skin = part.fin().shape
    aerofoil = skin.section if isinstance(skin, Ruled) else None
    note = f"{root}{part.fin_count} fins in one with the sleeve, evenly round it, the rail line mid-way between two."
    return (fin_view("fin", sizes, part.worked_fin_edges(), aerofoil, (note,)),)
