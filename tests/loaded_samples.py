"""A rocket with everything that loads are worked out from, and an invented flight of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from rocket_samples import two_sections

from ferrule.analysis.demands import Demands
from ferrule.analysis.recovery import Anchor, Harness, Joint, Parachute, Recovery
from ferrule.analysis.rocket import Item, Rocket

MASSES = {
    "nose": 100.0,
    "payload tube": 50.0,
    "coupler": 60.0,
    "bulkhead": 20.0,
    "booster tube": 150.0,
    "rings": 30.0,
    "motor tube": 20.0,
    "fins": 70.0,
}

LOOSE = (
    Item("payload", (300.0,), stated_mass=80.0, what="payload"),
    Item("eyebolt", (410.0,), stated_mass=10.0, what="anchor"),
    Item("parachute", (600.0,), stated_mass=100.0, what="parachute"),
)
"""The payload lies on the bulkhead in the burn, the parachute on the foremost ring."""

RELEASES = Joint(("coupler", "booster tube"), "releases", "tape fit")

RECOVERY = Recovery(
    joints=(
        Joint(("nose", "payload tube"), "screwed"),
        Joint(("coupler", "payload tube"), "screwed"),
        Joint(("coupler", "bulkhead"), "glued"),
        RELEASES,
        Joint(("booster tube", "rings"), "glued"),
        Joint(("motor tube", "rings"), "glued"),
        Joint(("booster tube", "fins"), "glued"),
    ),
    anchors=(Anchor("eyebolt", "bulkhead", True, "steel"), Anchor("U-bolt", "rings", True, "steel")),
    harnesses=(Harness("harness", ("eyebolt", "U-bolt")),),
    parachutes=(Parachute("parachute", "harness"),),
)


def loaded_rocket(**parts: Any) -> Rocket:
    """The two sections with invented masses: 320 g ahead of the joint that releases, 370 g behind it, less motor."""
    plain = two_sections(**parts)
    return replace(plain, items=(*(replace(one, stated_mass=MASSES[one.name]) for one in plain.items), *LOOSE))


def flight(**changes: Any) -> Demands:
    """An invented flight: 138 N, 110 m/s2, 125 m/s, 540 m, 15 m/s at deployment."""
    usual = Demands(
        motor="DEMO-29",
        liftoff_mass=1200.0,
        burnout_mass=1100.0,
        motor_liftoff_mass=200.0,
        thrust=138.0,
        acceleration=110.0,
        deceleration=20.0,
        speed=125.0,
        speed_height=120.0,
        pressure=99_890.0,
        sound=339.8,
        dynamic_pressure=9_460.0,
        burnout_speed=120.0,
        apogee=540.0,
        ground_pressure=101_325.0,
        apogee_pressure=95_000.0,
        deployment_speed=15.0,
        deployment_density=1.16,
        drag_at_burnout=9.0,
        nose_drag_share=0.2,
    )
    return replace(usual, **changes)
