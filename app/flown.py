"""What the entries of a design say of its flights, for the analysis."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..analysis.drag_curve import DragCurve, stated_drag
from ..analysis.flight.payload import PayloadBay
from ..analysis.flight.rocket_flights import Conditions
from ..analysis.loads.bending import Gust
from ..analysis.loads.vents import Compartment, compartments
from ..analysis.rocket import Item, Rocket
from ..parts.kinds import Tube
from .circumstances import canopies, drag_of, field_of, launch_of, loads_of, rails
from .entries import Entry, ParachuteEntry, PayloadEntry

Entries = Mapping[str, tuple[Entry, ...]]


def conditions_of(entries: Entries, mass_bands: Sequence[tuple[float, float, float]] = ()) -> Conditions:
    """Everything that flights depend on beside the rocket and its motors.

    Args:
        entries: the tables as they were read.
        mass_bands: mass, least and greatest of each item that is only estimated [g].
    """
    drag = drag_of(entries)
    wanted = [one.descent for one in entries.get("parachute", ()) if isinstance(one, ParachuteEntry) and one.descent]
    return Conditions(
        launch_of(entries),
        rails(entries),
        canopies(entries),
        _known_drag(entries),
        None if drag.roughness is None else drag.roughness * 1000.0,
        _share(drag.spread),
        _share(drag.thrust_spread),
        _share(drag.mass_spread),
        tuple(mass_bands),
        wanted[0] if len(wanted) == 1 else None,
        field_of(entries),
    )


def gust_of(entries: Entries) -> Gust:
    """The gust from the side that walls are held to: as stated, or the usual one."""
    stated = loads_of(entries).gust
    return Gust() if stated is None else Gust(stated, "stated in the design file")


def payload_bays(rocket: Rocket, entries: Entries) -> tuple[PayloadBay, ...]:
    """Every payload that says something of its size or its limit, with the bay that it lies in."""
    bays = compartments(rocket)
    return tuple(_bay(rocket, bays, one) for one in _payloads(entries))


def _payloads(entries: Entries) -> Iterator[PayloadEntry]:
    for one in entries.get("payload", ()):
        if isinstance(one, PayloadEntry) and (one.length or one.diameter or one.greatest_g):
            yield one


def _bay(rocket: Rocket, bays: Sequence[Compartment], one: PayloadEntry) -> PayloadBay:
    """The bay is the closed stretch in which it lies, as far as its tube reaches."""
    bay = next((bay for bay in bays if bay.first <= one.station <= bay.last), None)
    tube = next(
        (
            item
            for item in rocket.body
            if item.kind == "tube" and item.skin_range()[0] <= one.station <= item.skin_range()[1]
        ),
        None,
    )
    free = bore = None
    if tube is not None and isinstance(tube.part, Tube):
        first, last = tube.skin_range()
        if bay is not None:
            first, last = max(first, bay.first), min(last, bay.last)
        inside = [item.skin_extent() for item in rocket.items if item.name != tube.name and _fills_the_bore(item)]
        for start, end in inside:
            if start < one.station and end > first and end < one.station:
                first = max(first, end)
            elif end > one.station and start < last and start > one.station:
                last = min(last, start)
        free, bore = max(last - first, 0.0) or None, tube.part.inside_diameter
    return PayloadBay(one.name, free, bore, one.length, one.diameter, one.mass, one.greatest_g)


def _fills_the_bore(item: Item) -> bool:
    """Whether an item takes room from a payload beside it: a shoulder, a coupler, a disc."""
    kinds = ("nose-cone", "transition", "coupler", "bulkhead", "centering-ring")
    return item.part is not None and item.kind in kinds


def _known_drag(entries: Entries) -> DragCurve | None:
    drag = drag_of(entries)
    if drag.coefficient is None or drag.area is None:
        return None
    return stated_drag(drag.coefficient, drag.area, f"{drag.source} (stated in the design file)")


def _share(percent: float | None) -> float | None:
    return None if percent is None else percent / 100.0
