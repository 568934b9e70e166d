"""What each set of fins of a rocket says to its drag: faces, edges as they are worked, roots."""

from __future__ import annotations

from collections.abc import Iterator

from ...parts.kinds import Fin, FinCan
from ...parts.kinds.fin_section import USUAL_TRAILING
from ...parts.shape import Blade, Shape
from ..aero.planform import planform
from ..rocket import FinsInPlace, Item, Rocket
from .fin_edges import FinEdge, LeadingEdges, TrailingEdges, leading_face, square_spans, trailing_wake
from .fin_friction import FinFriction, FinJunctions
from .term import Element

_ON_ROOT = 1e-6
"""Edges that reach no further above the surface lie within the body or on it [mm]."""


def fin_elements(rocket: Rocket) -> Iterator[Element]:
    """Everything of all sets of fins that the air drags on.

    Raises:
        PartError: fins without an area.
    """
    for item in rocket.items:
        for fins in item.fin_sets():
            yield from _elements(item, fins)


def fin_edges(item: Item, fins: FinsInPlace) -> tuple[FinEdge, ...]:
    """The edges of one fin outside the body, as they are worked; as cut where the kind says nothing of them."""
    blade = _blade(item)
    if blade is None:
        return tuple(
            FinEdge(edge.piece) for edge in fins.planform.outer if _is_outside(edge.piece.start, edge.piece.end)
        )
    forms = {form.edge: form for form in blade.forms}
    found = []
    for number, edge in enumerate(blade.planform.outer):
        if not _is_outside(edge.piece.start, edge.piece.end):
            continue
        form = forms.get(number)
        if form is None:
            found.append(FinEdge(edge.piece))
            continue
        worked = 1.0 - (form.clearance_start + form.clearance_end) / edge.piece.length()
        found.append(FinEdge(edge.piece, form.form, worked))
    return tuple(found)


def _is_outside(start: tuple[float, float], end: tuple[float, float]) -> bool:
    return max(start[1], end[1]) > _ON_ROOT


def _blade(item: Item) -> Blade | None:
    """The solid of one flat fin, which knows how its edges are worked."""
    shape: Shape | None = None
    if isinstance(item.part, Fin):
        shape = item.part.shape()
    elif isinstance(item.part, FinCan):
        shape = item.part.fin().shape
    return shape if isinstance(shape, Blade) else None


def _aerofoil_trailing(item: Item) -> float | None:
    """Thickness of an aerofoil's trailing edge at its root [mm]; None for flat fins."""
    part = item.part
    if not isinstance(part, Fin | FinCan) or part.section == "flat":
        return None
    return USUAL_TRAILING if part.trailing_edge_thickness is None else part.trailing_edge_thickness


def _elements(item: Item, fins: FinsInPlace) -> Iterator[Element]:
    shape = planform(fins.planform)
    centroid, count, chord, thickness = fins.station + shape.centroid, fins.count, shape.mean_chord, fins.thickness
    edges, trailing = fin_edges(item, fins), _aerofoil_trailing(item)
    # A flat fin is one sheet; an aerofoil thins towards the tip with its chord.
    share = thickness / (chord if trailing is None else fins.root_chord)
    yield FinFriction(fins.name, centroid, count, shape.area, chord, share, fins.cant)
    if trailing is None:
        yield LeadingEdges(fins.name, centroid, count, *leading_face(edges, thickness))
        wake, height = trailing_wake(edges, thickness)
    else:
        height = trailing * shape.area / (fins.root_chord * shape.semi_span)
        wake = height * sum(square_spans(edge.piece)[1] for edge in edges)
    yield TrailingEdges(fins.name, centroid, count, wake, height, chord)
    yield FinJunctions(fins.name, fins.station + fins.root_chord / 2.0, count, thickness, fins.root_chord)
