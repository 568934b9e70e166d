"""The edges of a fin that are rounded or bevelled, and where their working ends on its flat face."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ..curve import Floats, Line, Point, normals
from ..errors import PartError
from ..meetings import meetings
from ..rim import chords, inside
from ..shape import Bevelled, EdgeForm, Outline, Rounded
from .fin_edge_work import EdgeWork
from .fin_planform import Side

_NOTHING = 1e-9
"""A share of an edge, or a turn at a corner [-], that is none."""

_LEVEL = 0.01
"""An edge that rises by less than this share of its length [-] runs along the tube."""

_HOLLOW = 1.0
"""How far the working stops short of a hollow corner, into which no file and no wheel reaches [mm] (from memory)."""

_LEAST_RUN = 1e-6
"""Shortest stretch of an edge that is worked [mm]."""

_HALVINGS = 16
"""How often a depth is halved to find what would go [-]."""

_SAMPLES = 65
"""Points on a curved piece of the rim [-]."""

_FAR = 100.0
"""How far a limit is drawn out to meet its neighbour's, in its own lengths [-]."""


@dataclass(frozen=True, slots=True)
class WorkedEdge:
    """One edge of a fin that is rounded or bevelled.

    Attributes:
        name: what the edge is called.
        place: its number among the sides of the fin, from the root leading edge, counted from 0 [-].
        piece: the edge itself, as it runs in the outline (anticlockwise) [mm].
        form: what is worked on it.
        limit: where the working begins on the flat face, from its first end to its last as the edge runs [mm].
        clearance_start: from the edge's first end to where the working begins [mm].
        clearance_end: from where the working ends to the edge's last end [mm].
    """

    name: str
    place: int
    piece: Line
    form: Rounded | Bevelled
    limit: Line
    clearance_start: float = 0.0
    clearance_end: float = 0.0

    @property
    def sides(self) -> Literal[1, 2]:
        """Faces that are worked [-]."""
        return 2 if isinstance(self.form, Rounded) else self.form.sides

    @property
    def depth(self) -> float:
        """How far it reaches in from the edge, square to it [mm]."""
        return depth_of(self.form)

    def edge_form(self, number: int) -> EdgeForm:
        """The same for the shape, where the edge has this number in the outline."""
        return EdgeForm(number, self.form, self.clearance_start, self.clearance_end)


def depth_of(form: Rounded | Bevelled) -> float:
    """How far a worked edge reaches in from the rim, square to it [mm]."""
    return form.radius if isinstance(form, Rounded) else form.depth


@dataclass(frozen=True, slots=True)
class Asked:
    """One side of a fin and what is to be done to it.

    Attributes:
        side: the side.
        field: the field that says so, for messages.
        work: what it says.
        of_all: True where it says so of all sides at once: one that has no room for it then stays as cut.
    """

    side: Side
    field: str
    work: EdgeWork
    of_all: bool = False


def worked_edges(
    asked: Sequence[Asked], exposed: Outline, thickness: float, clearance: float
) -> tuple[WorkedEdge, ...]:
    """The edges that are worked, each held to what the fin has room for.

    Args:
        asked: every side of the fin, from the root leading edge on.
        exposed: the fin outside the body.
        thickness: of the sheet [mm].
        clearance: height above the tube's surface below which no edge is worked [mm].

    Raises:
        PartError: a curved edge, sizes that the thickness does not allow, a bevel that is deeper than the fin is wide
            there, or two that meet inside.
    """
    forms: list[Rounded | Bevelled | None] = []
    for one in asked:
        try:
            form = one.work.form(thickness)
        except PartError as error:
            raise PartError(f"{one.field}: {error}") from None
        if form is not None and not isinstance(one.side.pieces[0], Line):
            raise PartError(
                f"{one.field}: the {one.side.name} is curved, and only a straight edge can be worked in the model; "
                "leave it as cut and round it by hand"
            )
        forms.append(form)
    try:
        return _held(asked, forms, exposed, clearance)
    except _NoRoomError as error:
        raise PartError(f"{error}{_would_fit(error.place, asked, forms, exposed, clearance)}") from None


class _NoRoomError(PartError):
    """A worked edge has not the room for its depth."""

    def __init__(self, place: int, message: str) -> None:
        """Keep which side of the fin it is."""
        super().__init__(message)
        self.place = place


def _would_fit(
    place: int,
    asked: Sequence[Asked],
    forms: Sequence[Rounded | Bevelled | None],
    exposed: Outline,
    clearance: float,
) -> str:
    """Words for the greatest depth that goes there, all else as it is; empty where none does."""

    def goes(depth: float) -> bool:
        tried = [
            form if form is None or (number != place and not asked[place].of_all) else _as_deep(form, depth)
            for number, form in enumerate(forms)
        ]
        try:
            worked = _held(asked, tried, exposed, clearance)
        except PartError:
            return False
        return any(one.place == place for one in worked)

    form = forms[place]
    assert form is not None  # noqa: S101  only a worked edge can have no room
    low, high = 0.0, depth_of(form)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if goes(middle) else (low, middle)
    most = math.floor(low * 10.0) / 10.0
    return f"; at most {most:g} mm would go" if most > 0.0 and goes(most) else ""


def _as_deep(form: Rounded | Bevelled, depth: float) -> Rounded | Bevelled:
    return Rounded(depth) if isinstance(form, Rounded) else Bevelled(depth, form.land, form.sides)


def _held(
    asked: Sequence[Asked], wanted: Sequence[Rounded | Bevelled | None], exposed: Outline, clearance: float
) -> tuple[WorkedEdge, ...]:
    """The worked edges with their limits.

    Raises:
        _NoRoomError: one of them has no room.
    """
    forms = list(wanted)
    found: list[WorkedEdge] = []
    for place, (one, form) in enumerate(zip(asked, forms, strict=True)):
        piece = one.side.pieces[0].reversed()
        if form is None or not isinstance(piece, Line):
            continue
        start, end = _span(piece, form, clearance)
        start = max(start, _short_of_hollow(piece, asked, place + 1, 0))
        end = max(end, _short_of_hollow(piece, asked, place - 1, 1))
        if start + end >= piece.length() - _LEAST_RUN:
            if one.of_all:
                forms[place] = None
                continue
            raise _NoRoomError(
                place,
                f"{one.field}: {_what(form)} that stops {clearance:g} mm above the tube leaves nothing to work on the "
                f"{one.side.name} of {piece.length():.4g} mm",
            )
        limit = _limit(_Worked(place, piece, form, start, end), asked, forms, exposed)
        if limit is None:
            raise _NoRoomError(
                place, f"{one.field}: {_what(form)} is deeper than the fin is wide at its {one.side.name}"
            )
        found.append(WorkedEdge(one.side.name, place, piece, form, limit, start, end))
    _check_room(found, {edge.place: asked[edge.place].field for edge in found}, exposed, clearance)
    return tuple(found)


def _what(form: Rounded | Bevelled) -> str:
    return f"a {'round' if isinstance(form, Rounded) else 'bevel'} of {depth_of(form):.4g} mm"


def _span(line: Line, form: Rounded | Bevelled, clearance: float) -> tuple[float, float]:
    """How far the working stops short of the edge's first and last end [mm], so that it stays above the clearance.

    The tool stops square to the edge, so that on a swept edge its inner corner lies nearer the root than its outer.
    """
    length = line.length()
    along = ((line.end[0] - line.start[0]) / length, (line.end[1] - line.start[1]) / length)
    found = [0.0, 0.0]
    for k, (foot, way) in enumerate(((line.start, 1.0), (line.end, -1.0))):
        # Inwards lies to the left of the way that the edge runs.
        rise, lean = way * along[1], min(along[0], 0.0)
        if rise > _LEVEL:
            found[k] = max(0.0, (clearance - foot[1] - depth_of(form) * lean) / rise)
    return found[0], found[1]


@dataclass(frozen=True, slots=True)
class _Worked:
    """An edge whose limit is looked for; the fields as in `WorkedEdge`."""

    place: int
    piece: Line
    form: Rounded | Bevelled
    clearance_start: float
    clearance_end: float


def _limit(
    one: _Worked, asked: Sequence[Asked], forms: Sequence[Rounded | Bevelled | None], exposed: Outline
) -> Line | None:
    """Where the working begins on the flat face: from rim to rim, from a clearance, or from a neighbour's mitre.

    None where the fin is nowhere as wide as it is deep.
    """
    inner, length = one.piece.offset(depth_of(one.form)), one.piece.length()
    low, high = one.clearance_start / length, 1.0 - one.clearance_end / length
    shares = np.linspace(low, high, 101)[1:-1]
    rim = chords((exposed.outer,), _SAMPLES)
    on_it = shares[inside(rim, inner.at(shares))]
    if not len(on_it):
        return None
    # From where the edge is surely worked: beside its clearance, or in the middle.
    wanted = low if one.clearance_start else high if one.clearance_end else 0.5
    middle = float(on_it[np.argmin(np.abs(on_it - wanted))])
    drawn_out = inner.part(-_FAR, 1.0 + _FAR)
    stops = [
        ((1.0 + 2.0 * _FAR) * t - _FAR, edge.piece)
        for edge in exposed.outer
        if edge.piece != one.piece
        for t, _ in meetings(drawn_out, edge.piece)
    ]
    foremost = max((stop for stop in stops if stop[0] < middle), key=lambda stop: stop[0], default=(low, None))
    aftmost = min((stop for stop in stops if stop[0] > middle), key=lambda stop: stop[0], default=(high, None))
    first = low if one.clearance_start else foremost[0]
    last = high if one.clearance_end else aftmost[0]
    # From leading edge to trailing edge, over what lies between them: there it is deeper than the fin is wide.
    opposite = {0: len(asked) - 1, len(asked) - 1: 0}.get(one.place)
    if opposite is not None and abs(opposite - one.place) > 1:
        reached = aftmost[1] if one.clearance_start else foremost[1]
        if reached in [piece.reversed() for piece in asked[opposite].side.pieces]:
            return None
    if not one.clearance_start:
        first = max(first, _beside(inner, asked, forms, one.place + 1, 0))
    if not one.clearance_end:
        last = min(last, _beside(inner, asked, forms, one.place - 1, 1))
    return inner.part(first, last) if last - first > _NOTHING else None


def _short_of_hollow(piece: Line, asked: Sequence[Asked], beside: int, corner: Literal[0, 1]) -> float:
    """How far the working stops short of a hollow corner [mm]; 0 of any other."""
    turn = _turn(piece, asked, beside, corner)
    return min(_HOLLOW, piece.length() / 4.0) if turn is not None and turn < -_NOTHING else 0.0


def _turn(piece: Line, asked: Sequence[Asked], beside: int, corner: Literal[0, 1]) -> float | None:
    """Sine of the turn at one end of an edge, below 0 at a hollow corner [-]; None where it ends at the root."""
    if not 0 <= beside < len(asked):
        return None
    # The sides are numbered from the root leading edge; the outline runs from the trailing edge.
    other = asked[beside].side.pieces[-corner].reversed()
    leaving, entering = normals(piece, np.array([float(corner)]))[0], normals(other, np.array([1.0 - corner]))[0]
    return float(leaving[0] * entering[1] - leaving[1] * entering[0]) * (1.0 if corner else -1.0)


def _beside(
    inner: Line, asked: Sequence[Asked], forms: Sequence[Rounded | Bevelled | None], beside: int, corner: Literal[0, 1]
) -> float:
    """Parameter [-] at which a neighbour ends a limit: at the mitre with its own, or where it runs straight on."""
    turn, nothing = _turn(inner, asked, beside, corner), math.inf if corner else -math.inf
    if turn is None:
        return nothing
    if turn <= _NOTHING:
        return float(corner)
    other, form = asked[beside].side.pieces[-corner].reversed(), forms[beside]
    if form is None or not isinstance(other, Line):
        return nothing
    mitre = meetings(inner.part(-_FAR, 1.0 + _FAR), other.offset(depth_of(form)).part(-_FAR, 1.0 + _FAR))
    return (1.0 + 2.0 * _FAR) * mitre[0][0] - _FAR if mitre else nothing


def _check_room(found: Sequence[WorkedEdge], fields: dict[int, str], exposed: Outline, clearance: float) -> None:
    """Refuse a worked edge whose limit leaves the fin, comes down to the root, or lies in what another works.

    Raises:
        _NoRoomError: one does.
    """
    rim = chords((exposed.outer,), _SAMPLES)
    for one in found:
        places = one.limit.at(np.linspace(0.02, 0.98, 49))
        outside = ~inside(rim, places)
        crossed = any(0.001 < t < 0.999 for edge in exposed.outer for t, _ in meetings(one.limit, edge.piece))
        if outside.any() or crossed:
            raise _NoRoomError(
                one.place, f"{fields[one.place]}: {_what(one.form)} is deeper than the fin is wide at its {one.name}"
            )
        lowest = min(one.limit.start[1], one.limit.end[1])
        if lowest < clearance - 1e-6:
            raise _NoRoomError(
                one.place,
                f"{fields[one.place]}: {_what(one.form)} reaches down to {lowest:.4g} mm above the tube's surface, and "
                f"edges stay as cut up to {clearance:g} mm (edge_clearance)",
            )
        for other in found:
            if other.place != one.place and (meets := _in_what_is_worked(places, other)) is not None:
                raise _NoRoomError(
                    one.place,
                    f"{fields[one.place]}: {_what(one.form)} on the {one.name} and {_what(other.form)} on the "
                    f"{other.name} meet inside the fin at {meets[0]:.4g}, {meets[1]:.4g} mm; together they are deeper "
                    "than the fin is wide there",
                )


def _in_what_is_worked(places: Floats, other: WorkedEdge) -> Point | None:
    """The first of the places that lies between another worked edge and its limit."""
    start, length = np.array(other.piece.start), other.piece.length()
    along = (np.array(other.piece.end) - start) / length
    offsets = places - start
    far, deep = offsets @ along, along[0] * offsets[:, 1] - along[1] * offsets[:, 0]
    within = (far > other.clearance_start) & (far < length - other.clearance_end)
    hit = np.flatnonzero(within & (deep > -1e-9) & (deep < other.depth - 1e-6))
    if not len(hit):
        return None
    x, y = places[hit[0]].tolist()
    return x, y
