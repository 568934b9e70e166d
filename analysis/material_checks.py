"""Checks whether a material may be where it is: nothing that softens in a parked car holds a motor."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..parts.kinds import Bulkhead, CenteringRing, Coupler, Fin, MotorMount, Transition, Tube
from ..parts.tables import Softening, material, softening
from .limits import Check
from .motor import Motor
from .recovery import Anchor
from .rocket import Item, Rocket

NEAR = 20.0
"""How far from the motor, along the axis, a part still gets warm by it [mm] (common practice)."""

REFUSED_BELOW = 65.0
"""Softening below this is refused beside a motor [°C]: a parked car alone reaches it (common practice)."""

_LIMIT = f"nothing that softens below {REFUSED_BELOW:g} °C within {NEAR:g} mm of the motor"
_BESIDE_WORDS = ": material beside "
_BESIDE = (Tube, Coupler, CenteringRing, MotorMount, Bulkhead, Fin, Transition)


def material_checks(rocket: Rocket, motors: Iterable[Motor]) -> Iterator[Check]:
    """Each part of a plastic beside a motor: tubes, couplers, rings, mount, fins, fin can and tail cone."""
    motors = tuple(motors)
    for item in rocket.items:
        plastics = [softening()[name] for name in _materials(item) if name in softening()]
        if not plastics or not (isinstance(item.part, _BESIDE) or item.fin_sets()):
            continue
        beside = [motor for motor in motors if _is_beside(item, motor)]
        if beside:
            yield _check(item, min(plastics, key=lambda row: row.temperature), beside[0])


def refusals(checks: Iterable[Check]) -> dict[str, str]:
    """Why a part must not be made of its material, by the part's name: those of these checks that fail."""
    return {
        check.name.partition(_BESIDE_WORDS)[0]: f"{check.value}: {check.note}"
        for check in checks
        if check.status == "fail" and _BESIDE_WORDS in check.name
    }


def anchor_checks(rocket: Rocket, anchors: Iterable[Anchor]) -> Iterator[Check]:
    """Each anchor that goes through a plastic: the load goes from metal into plywood."""
    for anchor in anchors:
        item = next((one for one in rocket.items if one.name == anchor.on), None)
        plastics = [name for name in _materials(item) if material(name).is_plastic] if item else []
        if plastics:
            yield Check(
                f"{anchor.name}: on {anchor.on}",
                "warn",
                plastics[0],
                "metal through plywood, with a washer",
                "common practice",
                "a print splits along its layers under the pull; put a plywood plate behind it",
            )


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
    name = f"{item.name}{_BESIDE_WORDS}{motor.name}"
    if row.temperature < REFUSED_BELOW:
        note = "take plywood, or a plastic that stands more heat"
        return Check(name, "fail", value, _LIMIT, "common practice", note)
    note = "the motor maker's sheet says how hot its case gets; plywood is the usual choice"
    return Check(name, "warn", value, _LIMIT, "common practice", note)
