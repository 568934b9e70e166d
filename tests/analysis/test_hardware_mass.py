"""Masses of hardware: published ones win, others come from the shape; recalled catalogue masses bound them."""

from __future__ import annotations

import pytest

from ferrule.analysis.hardware_mass import hardware_mass
from ferrule.parts.errors import FerruleError
from ferrule.parts.hardware import hardware


def test_a_published_mass_wins() -> None:
    """DIN 580 M8: 0.06 kg (the table's own row)."""
    assert hardware_mass(hardware("M8 eyebolt")) == 60.0


@pytest.mark.parametrize(
    ("name", "mass", "near"),
    [
        ("M5 washer", 0.44, 0.02),  # ISO 7089, 0.44 kg per 1000 (from memory)
        ("M6 hex nut", 2.5, 0.15),  # DIN 934, 2.5 kg per 1000 (from memory)
        ("M3 insert", 0.5, 0.8),  # brass; makes differ by half
    ],
)
def test_what_is_not_published_comes_from_the_shape(name: str, mass: float, near: float) -> None:
    assert hardware_mass(hardware(name)) == pytest.approx(mass, rel=near)


def test_a_hole_weighs_nothing_that_could_be_told() -> None:
    with pytest.raises(FerruleError):
        hardware_mass(hardware("M5 clearance hole"))
