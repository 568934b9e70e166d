"""The drag of a rocket term by term, as a curve over speed, and what of it acts ahead of a joint."""

from __future__ import annotations

from ..aero.compressibility import HIGHEST_MACH
from ..atmosphere import Air, Atmosphere
from ..drag_curve import DragCurve
from .body import DragBody
from .flow import Flow, flow_at
from .skin_friction import ROUGHNESSES
from .slopes import Narrowing
from .steps import Step
from .term import DragTerm, Element

ALTITUDE_NOTE = "worked out in the air at the ground; higher up it is thinner, and friction a little more"
MACH_NOTE = "above Mach 0.8 the coefficient stays level, where in truth shocks let it rise steeply: not modelled"
SOURCE = (
    "from the geometry: friction, form, base, fins, edges, junctions, steps and rail buttons, after Hoerner and "
    "Schlichting for the most part"
)

CLOSENESS = 4e-4
"""How near a straight line between two speeds of the curve lies to the coefficient half-way, relative [-]."""

_FIRST_SPEEDS = (0.0, 1.0, 2.0, 4.0, 8.0, 15.0, 30.0, 50.0, 75.0, 100.0, 130.0, 160.0, 190.0, 220.0)
_HALVINGS = 8


def drag_terms(body: DragBody, speed: float, air: Air, burning: bool) -> tuple[DragTerm, ...]:
    """Every term of the drag at one speed, friction and base of the body first, then from forward to aft.

    Args:
        body: the rocket.
        speed: speed through the air [m/s], 0 or more; above Mach 0.8 each term is that at Mach 0.8, with a note.
        air: the air.
        burning: whether the motor burns.

    Raises:
        PartError: a speed out of its range.
    """
    flow, area = _flow(body, speed, air), body.reference_area
    return (
        body.friction.term(flow, area),
        body.base.term(flow, body.friction.area(flow), burning, area),
        *(element.term(flow, area) for element in body.elements),
    )


def drag_coefficients(body: DragBody, speed: float, air: Air) -> tuple[float, float]:
    """Sum of all terms at one speed, with the motor burning and coasting [-].

    Args:
        body: the rocket.
        speed: speed through the air [m/s], 0 or more.
        air: the air.

    Raises:
        PartError: a speed out of its range.
    """
    flow = _flow(body, speed, air)
    friction = body.friction.area(flow)
    rest = friction + sum(element.area(flow) for element in body.elements)
    burning, coasting = (rest + body.base.area(flow, friction, burns) for burns in (True, False))
    return burning / body.reference_area, coasting / body.reference_area


def drag_curve(body: DragBody, atmosphere: Atmosphere) -> DragCurve:
    """The sum of all terms over speed up to Mach 0.8, in the air at the ground; straight lines are good to 0.1 %.

    Args:
        body: the rocket.
        atmosphere: the air over the site.
    """
    air = atmosphere.at(0.0)
    last = HIGHEST_MACH * air.sound
    speeds = [speed for speed in _FIRST_SPEEDS if speed < last] + [last]
    rows = [(speed, drag_coefficients(body, speed, air)) for speed in speeds]
    filled = rows[:1]
    for row in rows[1:]:
        filled += _between(body, air, filled[-1], row, _HALVINGS)
    return DragCurve(
        body.reference_area,
        tuple(speed for speed, _ in filled),
        tuple(both[0] for _, both in filled),
        tuple(both[1] for _, both in filled),
        f"{SOURCE}; surfaces of {_rough(body.roughness)}; on the area of {body.reference_diameter:.2f} mm diameter",
        (*body.notes, ALTITUDE_NOTE, MACH_NOTE),
    )


def _rough(height: float) -> str:
    """A roughness [micrometres] with the surface that it is usual for."""
    surface = next((words for words, usual in ROUGHNESSES.items() if usual == height), None)
    return f"{height:g} um" + (f", {surface} (from memory)" if surface else "")


_Row = tuple[float, tuple[float, float]]


def _between(body: DragBody, air: Air, first: _Row, last: _Row, halvings: int) -> list[_Row]:
    """Rows after the first up to the last, near enough for straight lines between them."""
    speed = (first[0] + last[0]) / 2.0
    middle = (speed, drag_coefficients(body, speed, air))
    off = max(abs((a + b) / 2.0 - m) - CLOSENESS * m for a, b, m in zip(first[1], last[1], middle[1], strict=True))
    if off <= 0.0 or halvings == 0:
        return [middle, last]
    return [*_between(body, air, first, middle, halvings - 1), *_between(body, air, middle, last, halvings - 1)]


def share_ahead(body: DragBody, station: float, speed: float, air: Air) -> float:
    """Share of the coasting drag that acts ahead of a station, such as that of a joint that releases [-].

    Friction is more where the layer is thin, near the nose. The face of a step belongs to the part that it is of:
    one that faces forward to what is behind, one that faces aft to what is ahead.

    Args:
        body: the rocket.
        station: where the two parts meet [mm from the nose tip].
        speed: speed through the air [m/s], 0 or more.
        air: the air.

    Raises:
        PartError: a speed out of its range.
    """
    flow = _flow(body, speed, air)
    friction = body.friction.area(flow)
    whole = friction + body.base.area(flow, friction, burning=False)
    ahead = body.friction.area_ahead(flow, station)
    if body.base.station < station:
        ahead += whole - friction
    for element in body.elements:
        area = element.area(flow)
        whole += area
        ahead += area if _is_ahead(element, station) else 0.0
    return ahead / whole


def _is_ahead(element: Element, station: float) -> bool:
    """Whether what the air drags on belongs to the part ahead of a station."""
    if abs(element.station - station) <= _AT:
        if isinstance(element, Step):
            return not element.faces_forward
        return not isinstance(element, Narrowing)
    return element.station < station


_AT = 1e-6
"""How near to a joint something is at it [mm]."""


def _flow(body: DragBody, speed: float, air: Air) -> Flow:
    return flow_at(speed, air, body.roughness / 1000.0)
