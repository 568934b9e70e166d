"""Invented rockets that the analysis tests share: 66 mm airframe, tangent ogive, three or more fins."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.fit import MeasuredTube
from ferrule.parts.kinds import Bulkhead, CenteringRing, Coupler, Fin, NoseCone, Tube
from ferrule.parts.shape import Outline, polygon

AIRFRAME = MeasuredTube("airframe", outside=(68.4, 68.2, 68.3), inside=(65.9, 66.1))
"""Mean outside 68.3, mean inside 66.0, smallest inside 65.9 [mm]."""

MOTOR_TUBE = MeasuredTube("motor tube", outside=(30.9, 31.1), inside=(29.3,))
"""Largest outside 31.1 [mm]."""


def nose_part(**changes: object) -> NoseCone:
    """Solid, sharp tangent ogive 200 x 66 mm; texts or other field values change it."""
    fields: dict[str, Any] = {
        "profile": "tangent-ogive",
        "tip": "sharp",
        "length": "200 mm",
        "base_diameter": "66 mm",
        "body": "solid",
    }
    return NoseCone.build(**{**fields, **changes})


def tube_part(**changes: object) -> Tube:
    """Airframe tube 66/64 x 700 mm."""
    fields: dict[str, Any] = {"outside_diameter": "66 mm", "inside_diameter": "64 mm", "length": "700 mm"}
    return Tube.build(**{**fields, **changes})


def ring_part(**changes: object) -> CenteringRing:
    """Ring 64/42 x 6 mm."""
    fields: dict[str, Any] = {"outside_diameter": "64 mm", "inside_diameter": "42 mm", "thickness": "6 mm"}
    return CenteringRing.build(**{**fields, **changes})


def fin_part(**changes: object) -> Fin:
    """Fin of root 120, tip 60, semi-span 70, sweep 50, thickness 3 mm, without a tab."""
    fields: dict[str, Any] = {
        "root_chord": "120 mm",
        "tip_chord": "60 mm",
        "semi_span": "70 mm",
        "sweep_length": "50 mm",
        "thickness": "3 mm",
    }
    return Fin.build(**{**fields, **changes})


def trapezoid(root_chord: float, tip_chord: float, semi_span: float, sweep_length: float) -> Outline:
    """Outline of a trapezoid fin outside the body [mm], root leading edge at the origin."""
    corners = ((0.0, 0.0), (root_chord, 0.0), (sweep_length + tip_chord, semi_span), (sweep_length, semi_span))
    return Outline(polygon(tuple(dict.fromkeys(corners))))


def rocket(count: int = 3, masses: tuple[float | None, ...] = (100.0, 200.0, 105.0, 500.0)) -> Rocket:
    """Nose, tube, fins at 780 mm and a mass at 800 mm, with weighed masses [g] in that order."""
    nose, tube, fins, payload = masses
    return Rocket(
        "sample",
        (
            Item("nose", (0.0,), nose_part(), stated_mass=nose, weighed=True),
            Item("tube", (200.0,), tube_part(), stated_mass=tube, weighed=True),
            Item("fins", (780.0,), fin_part(), count, 33.0, stated_mass=fins, weighed=True),
            Item("payload", (800.0,), stated_mass=payload),
        ),
    )


def coupler_part(**changes: object) -> Coupler:
    """Coupler 64/60 x 120 mm, three screws of 3.4 mm at 30 mm from its forward end."""
    fields: dict[str, Any] = {"outside_diameter": "64 mm", "wall": "2 mm", "length": "120 mm", "screw_count": "3"}
    return Coupler.build(**{**fields, **changes})


def bulkhead_part(**changes: object) -> Bulkhead:
    """Bulkhead 60 x 6 mm without a hole."""
    fields: dict[str, Any] = {"outside_diameter": "60 mm", "thickness": "6 mm"}
    return Bulkhead.build(**{**fields, **changes})


def two_sections(**parts: Any) -> Rocket:
    """Nose and payload tube with a coupler in it, which slides into a booster tube with motor tube, rings and fins.

    From forward to aft [mm]: nose 0 to 200 and its shoulder to 260, payload tube 200 to 400, coupler 340 to 460 with a
    bulkhead at 400, booster tube 400 to 1000, rings at 850 and 980, motor tube 845 to 995, fins from 870.

    Args:
        parts: parts to put in the place of those, by the name of their item; spaces are underscores.
    """
    shoulder = {"shoulder_length": "60 mm", "shoulder_diameter": "63.5 mm", "screw_count": "3", "body": "hollow"}
    motor_tube = {"outside_diameter": "42 mm", "inside_diameter": "40 mm", "length": "150 mm", "use": "motor"}
    items = (
        Item("nose", (0.0,), nose_part(**shoulder)),
        Item("payload tube", (200.0,), tube_part(length="200 mm")),
        Item("coupler", (340.0,), coupler_part()),
        Item("bulkhead", (400.0,), bulkhead_part()),
        Item("booster tube", (400.0,), tube_part(length="600 mm")),
        Item("rings", (850.0, 980.0), ring_part()),
        Item("motor tube", (845.0,), tube_part(**motor_tube)),
        Item("fins", (870.0,), fin_part(), 3, 33.0),
    )
    return Rocket(
        "two sections",
        tuple(replace(item, part=parts.get(item.name.replace(" ", "_"), item.part)) for item in items),
    )
