"""An invented rocket of stated materials, and an invented flight of it, that tests of loads share."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from rocket_samples import coupler_part, fin_part, nose_part, ring_part, tube_part

from ferrule.analysis.demands import Demands
from ferrule.analysis.limits import Check
from ferrule.analysis.motor import Motor
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.kinds import Bulkhead

MOTOR = Motor("small", 29.0, 120.0, 120.0, 60.0, 905.0)

DEMANDS = Demands(
    motor="small",
    liftoff_mass=1100.0,
    burnout_mass=1000.0,
    motor_liftoff_mass=120.0,
    thrust=120.0,
    acceleration=100.0,
    deceleration=30.0,
    speed=120.0,
    speed_height=100.0,
    pressure=100129.0,
    sound=339.9,
    dynamic_pressure=8700.0,
    burnout_speed=119.0,
    apogee=500.0,
    ground_pressure=101325.0,
    apogee_pressure=95461.0,
    deployment_speed=12.0,
    deployment_density=1.167,
    drag_at_burnout=15.0,
    descent_speed=6.0,
)


def nose(**changes: object) -> Item:
    """Hollow ogive 200 x 66 mm with a shoulder 60 mm long, of PETG."""
    fields: dict[str, Any] = {
        "body": "hollow",
        "wall": "1.6 mm",
        "shoulder_length": "60 mm",
        "shoulder_diameter": "63.6 mm",
        "material": "petg",
    }
    return Item("nose", (0.0,), nose_part(**{**fields, **changes}))


def airframe_rocket(**fin: object) -> Rocket:
    """Nose, payload tube to 450 mm, coupler, booster tube to 900 mm, three fins, a bulkhead and a ring."""
    plate = Bulkhead.build(outside_diameter="59.8 mm", thickness="6 mm", material="birch-plywood")
    fields: dict[str, Any] = {"material": "birch-plywood", **fin}
    return Rocket(
        "sample",
        (
            nose(),
            Item("payload tube", (200.0,), tube_part(length="250 mm", material="kraft-tube")),
            Item("coupler", (390.0,), coupler_part(material="petg")),
            Item("booster tube", (450.0,), tube_part(length="450 mm", material="kraft-tube")),
            Item("bulkhead", (500.0,), plate),
            Item("ring", (790.0,), ring_part(inside_diameter="31.2 mm", material="birch-plywood")),
            Item("motor tube", (785.0,), motor_tube()),
            Item("fins", (780.0,), fin_part(**fields), 3, 33.0),
            Item("payload", (300.0,), stated_mass=200.0),
        ),
    )


def motor_tube() -> Any:
    """Motor tube 31/29.3 x 120 mm."""
    return tube_part(
        outside_diameter="31 mm", inside_diameter="29.3 mm", length="120 mm", use="motor", material="kraft-tube"
    )


def with_part(rocket: Rocket, name: str, part: Any) -> Rocket:
    """The same rocket with another part under a name."""
    return replace(rocket, items=tuple(replace(one, part=part) if one.name == name else one for one in rocket.items))


def named(found: tuple[Check, ...], name: str) -> Check:
    """The check of a name, or of one that begins with it."""
    (one,) = (check for check in found if check.name == name or check.name.startswith(f"{name}, "))
    return one
