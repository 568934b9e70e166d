"""The inside of a hollow nose: what lies under everything that limits it, and the holes on the axis ahead of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..chain import Chain, crossings, cut
from ..curve import Line, Point
from ..envelope import lowest
from ..errors import PartError
from .nose_recovery import Bore

_WIDE = 1000.0
"""Radius [mm] at which an opening at 45 degrees limits no nose any more."""


def opened_forward(limit: Chain) -> Chain:
    """A limit that opens at 45 degrees ahead of its first station, which prints without support."""
    x, r = limit[0].start
    return (Line((x - _WIDE, r + _WIDE), (x, r)), *limit)


def opened_both(limit: Chain) -> Chain:
    """A limit that opens at 45 degrees at both its ends."""
    x, r = limit[-1].end
    return (*opened_forward(limit), Line((x, r), (x + _WIDE, r + _WIDE)))


def ring(station: float, radius: float, half_length: float) -> Chain:
    """A ring inside that falls away at 45 degrees on both sides."""
    return opened_both((Line((station - half_length, radius), (station + half_length, radius)),))


def roof(station: float) -> Chain:
    """The end of a solid tip: a cone of 45 degrees from the axis, which prints without support."""
    return (Line((station, 0.0), (station + _WIDE, _WIDE)),)


def within(limits: Iterable[Chain], first: float, last: float) -> Chain:
    """The cavity between two stations: the lowest of the limits there."""
    kept = [part for limit in limits if (part := _clipped(limit, first, last))]
    return lowest(kept)


def bored(rear: float, bores: Sequence[Bore]) -> Chain:
    """Holes on the axis of a solid nose, open at its rear [mm]; empty where there are none."""
    if not bores:
        return ()
    widest = max(bores, key=lambda one: one.radius)
    corner = (widest.start, widest.radius)
    first = (Line((widest.start - widest.radius, 0.0), corner), Line(corner, (rear, widest.radius)))
    return with_bores(first, [bore for bore in bores if bore is not widest])


def with_bores(inside: Chain, bores: Sequence[Bore]) -> Chain:
    """The cavity with holes on the axis ahead of it, the widest one nearest to it.

    Args:
        inside: the cavity from its forward end on the axis aft.
        bores: the holes.

    Raises:
        PartError: one of them does not reach ahead of the other.
    """
    for bore in sorted(bores, key=lambda one: -one.radius):
        inside = _opened(inside, bore)
    return inside


def _opened(inside: Chain, bore: Bore) -> Chain:
    first: Point = inside[0].start
    if bore.start - bore.radius >= first[0]:
        raise PartError(
            f"rod_start: the rod's hole, from {bore.start:g} mm, does not reach ahead of the pocket, which begins at "
            f"{first[0]:.4g} mm; a smaller rod_start, or a shorter pocket_length"
        )
    start = ((bore.start - bore.radius, 0.0), (bore.start, bore.radius))
    found = crossings(inside, lambda points: points[:, 1] - bore.radius)
    lead = (Line(*start),)
    if first[1] >= bore.radius:
        return (*lead, Line(start[1], (first[0], bore.radius)), *_step((first[0], bore.radius), first), *inside)
    if not found:
        raise PartError(f"pocket_diameter: {2.0 * bore.radius:g} mm is wider than the cavity anywhere")
    kept = cut(inside, found[0], None)
    place = kept[0].start
    return (*lead, Line(start[1], (place[0], bore.radius)), *kept)


def _step(start: Point, end: Point) -> Chain:
    return (Line(start, end),) if abs(end[1] - start[1]) > 1e-9 else ()


def _clipped(limit: Chain, first: float, last: float) -> Chain:
    """The part of a limit between two stations; none where it lies wholly beyond them."""
    begin, end = limit[0].start[0], limit[-1].end[0]
    if end <= first or begin >= last:
        return ()
    start = _place(limit, first) if begin < first else None
    stop = _place(limit, last) if end > last else None
    return cut(limit, start, stop)


def _place(limit: Chain, station: float) -> tuple[int, float] | None:
    found = crossings(limit, lambda points: points[:, 0] - station)
    if found:
        return found[0]
    return None
