"""Nothing that softens in a parked car holds a motor: refusals and remarks by material and place (common practice)."""

from __future__ import annotations

import pytest
from rocket_samples import bulkhead_part, coupler_part, fin_part, ring_part, tube_part

from ferrule.analysis.material_checks import anchor_checks, material_checks
from ferrule.analysis.motor import Motor
from ferrule.analysis.recovery import Anchor
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.kinds import MotorMount, RailButton
from ferrule.parts.tables import materials, softening

MOTOR = Motor("M", 38.0, 200.0, 300.0, 200.0, 900.0)
"""Between 700 and 900 mm."""


def statuses(*items: Item) -> dict[str, str]:
    return {check.name: check.status for check in material_checks(Rocket("sample", items), (MOTOR,))}


@pytest.mark.parametrize(
    ("material", "status"), [("pla", "fail"), ("petg", "warn"), ("abs", "warn"), ("birch-plywood", None), (None, None)]
)
def test_a_ring_beside_the_motor(material: str | None, status: str | None) -> None:
    found = statuses(Item("ring", (720.0,), ring_part(**({"material": material} if material else {}))))
    assert found == ({} if status is None else {"ring: material beside M": status})


@pytest.mark.parametrize(("station", "near"), [(670.0, False), (676.0, True), (919.0, True), (921.0, False)])
def test_only_what_is_near_counts(station: float, near: bool) -> None:
    """The ring is 6 mm thick; 20 mm on either side of the motor are near."""
    assert bool(statuses(Item("ring", (station,), ring_part(material="pla")))) is near


def test_fins_and_the_rings_of_a_mount_count_and_buttons_do_not() -> None:
    mount = MotorMount.build(**{**MotorMount.example, "ring_material": "pla"})
    button = RailButton.build(**{**RailButton.example, "material": "pla"})
    found = statuses(
        Item("fins", (780.0,), fin_part(material="pla"), 3, 33.0),
        Item("mount", (760.0,), mount),
        Item("button", (800.0,), button, radius=33.0),
    )
    assert found == {"fins: material beside M": "fail", "mount: material beside M": "fail"}


def test_tubes_and_couplers_round_a_motor_count() -> None:
    motor_tube = tube_part(use="motor", material="pla")
    found = statuses(Item("motor tube", (650.0,), motor_tube), Item("coupler", (700.0,), coupler_part(material="pla")))
    assert found == {"motor tube: material beside M": "fail", "coupler: material beside M": "fail"}


def test_an_anchor_goes_through_plywood() -> None:
    printed, ply = (Item(name, (400.0,), bulkhead_part(material=name)) for name in ("petg", "birch-plywood"))
    anchors = (Anchor("eyebolt", "petg", True, "steel"), Anchor("U-bolt", "birch-plywood", True, "steel"))
    (found,) = anchor_checks(Rocket("sample", (printed, ply)), anchors)
    assert (found.name, found.status) == ("eyebolt: on petg", "warn")


def test_nothing_is_said_without_a_motor() -> None:
    assert list(material_checks(Rocket("sample", (Item("ring", (720.0,), ring_part(material="pla")),)), ())) == []


def test_every_row_is_a_material_with_a_source() -> None:
    """PLA 59 °C, PETG 77 °C: published filament data."""
    assert set(softening()) <= set(materials())
    assert all(row.source and row.mark and 40.0 < row.temperature < 200.0 for row in softening().values())
    assert (softening()["pla"].temperature, softening()["petg"].temperature) == (59.0, 77.0)
