"""What a person measures on a fin: its drawing from the side with a cut across it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..flat_view import FlatView
from ..shape import Fused, Ruled
from .fin_tab import Tab
from .fin_view import FaceSizes, fin_view

if TYPE_CHECKING:
    from .fin import Fin

_MOST_CORNERS = 12
"""So many corners of a drawn outline are told [-]; of more, take its template."""


def fin_views(fin: Fin, tab: Tab | None) -> tuple[FlatView, ...]:
    """The fin with its tab and holes."""
    corners = tuple(side.pieces[0].start for side in fin.sides()[1:]) if fin.points else ()
    told = corners[:_MOST_CORNERS]
    sizes = FaceSizes(fin.exposed(), fin.root_chord, fin.thickness, tab, fin.pin_holes(), told)
    shape = fin.shape()
    skin = shape.members[0] if isinstance(shape, Fused) else shape
    aerofoil = skin.section if isinstance(skin, Ruled) else None
    return (fin_view("", sizes, fin.worked(), aerofoil, (*_corners(told), *_notes(fin)), fin.outline()),)


def _corners(corners: tuple[tuple[float, float], ...]) -> tuple[str, ...]:
    if not corners:
        return ()
    listed = "; ".join(f"{number}: {x:.4g}, {y:.4g}" for number, (x, y) in enumerate(corners, 1))
    return (f"Corners from the root leading edge, aft and out [mm]: {listed}.",)


def _notes(fin: Fin) -> tuple[str, ...]:
    found = []
    if fin.notch_positions and fin.tab():
        at = ", ".join(f"{place:.4g}" for place in fin.notch_positions)
        size = f"{fin.notch_length or 0.0:.4g} long, {fin.notch_depth or 0.0:.4g} deep"
        found.append(f"Notches in the tab from the root leading edge [mm]: {at}; {size}.")
    if fin.pin_holes():
        at = "; ".join(f"{x:.4g}, {y:.4g}" for (x, y), _ in fin.pin_holes())
        found.append(f"Pins, aft and out from the root leading edge [mm]: {at}.")
    if fin.section != "flat" and fin.tab():
        found.append(f"Tab {fin.through_thickness():.4g} mm thick.")
    return tuple(found)
