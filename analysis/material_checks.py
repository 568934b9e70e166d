"""Checks whether a material may be where it is: nothing that softens in a parked car holds a motor."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..parts.kinds import Bulkhead, CenteringRing, Fin, MotorMount, RailButton, Transition
from ..parts.tables import Softening, softening
from .limits import Check
from .motor import Motor
from .rocket import Item, Rocket

NEAR = 20.0
"""How far from the motor, along the axis, a part still gets warm by it [mm] (common practice)."""

REFUSED_BELOW = 65.0
"""Softening below this is refused beside a motor [°C]: a parked car alone reaches it (common practice)."""

_LIMIT = f"nothing that softens below {REFUSED_BELOW:g} °C within {NEAR:g} mm of the motor"
_BESIDE = (CenteringRing, MotorMount, Bulkhead, Fin, Transition)


def material_checks(rocket: Rocket, motors: Iterable[Motor]) -> Iterator[Check]:
    """Each part of a plastic beside a motor: rings, mount, fins and tail cone."""
    motors = tuple(motors)
    for item in rocket.items:
        plastics = [softening()[name] for name in _materials(item) if name in softening()]
        if not plastics or isinstance(item.part, RailButton) or not isinstance(item.part, _BESIDE):
            continue
        beside = [motor for motor in motors if _is_beside(item, motor)]
        if beside:
            yield _check(item, min(plastics, key=lambda row: row.temperature), beside[0])


def _materials(item: Item) -> Iterator[str]:
    """Every material of a part."""
    for name in ("material", "ring_material"):
        found = getattr(item.part, name, None)
        if found:
            yield found


def _is_beside(item: Item, motor: Motor) -> bool:
    first, last = item.skin_extent()
    return last > motor.forward_end - NEAR and first < motor.aft_end + NEAR


def _check(item: Item, row: Softening, motor: Motor) -> Check:
    value = f"{row.name} softens near {row.temperature:g} °C ({row.source}; {row.mark})"
    name = f"{item.name}: material beside {motor.name}"
    if row.temperature < REFUSED_BELOW:
        note = "take plywood, or a plastic that stands more heat"
        return Check(name, "fail", value, _LIMIT, "common practice", note)
    note = "the motor maker's sheet says how hot its case gets; plywood is the usual choice"
    return Check(name, "warn", value, _LIMIT, "common practice", note)
