"""The flutter screen against numbers worked from its formula.

Source: D. J. Martin, Summary of Flutter Experiences as a Guide to the Preliminary Design of Lifting Surfaces on
Missiles, NACA TN 4197, 1958, appendix (from memory; the report was not read). The constant is derived a second way, as
24 e k / pi, which the formula's own derivation gives with e = 0.25 and k = 1.4.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from published import as_published, rows

from ferrule.analysis.loads.flutter import CONSTANT, Panel, flutter_speed

TABLE = {row["id"]: row for row in rows("flutter.json")}

PANEL = Panel(150.0, 80.0, 9000.0, 3.0)
"""Root 150, tip 75, semi-span 80: (150 + 75) / 2 x 80 = 9000 mm2."""

GROUND = (101325.0, 340.294)

THEORY = 24.0 * 0.25 * 1.4 / math.pi


def by_theory(pressure: float, sound: float) -> float:
    """Our speed with the constant of theory in the place of the report's three digits."""
    return flutter_speed(PANEL, 2600.0, pressure, sound) * math.sqrt(CONSTANT / THEORY)


def test_the_panel_is_that_of_the_published_case() -> None:
    # Inputs of the published case: A = 0.7111111, taper 0.5, t/c = 0.02.
    assert pytest.approx(0.7111111, rel=1e-7) == PANEL.aspect_ratio
    assert pytest.approx(0.5, rel=1e-12) == PANEL.taper
    assert pytest.approx(0.02, rel=1e-12) == PANEL.thickness_ratio


def test_speed_as_published() -> None:
    assert flutter_speed(PANEL, 2600.0, *GROUND) == as_published(TABLE["flutter.v"])


def test_the_constant_is_the_one_that_theory_gives() -> None:
    assert as_published(TABLE["flutter.const"]) == THEORY
    # 39.3 has three digits: the two agree within half of its last one.
    assert pytest.approx(THEORY, abs=0.05 / 14.696) == CONSTANT
    assert by_theory(*GROUND) == as_published(TABLE["flutter.v_alt"])


def test_speed_at_a_kilometre_as_published() -> None:
    # 1 km geopotential: T = 281.65 K, p = p0 (T0 / T)^(g M / (R L)), a = sqrt(1.4 R T / M), in closed form.
    pressure = 101325.0 * (281.65 / 288.15) ** (9.80665 * 28.9644 / (8314.32 * 0.0065))
    sound = math.sqrt(1.4 * 8314.32 / 28.9644 * 281.65)
    assert by_theory(pressure, sound) == as_published(TABLE["flutter.v_1000"])


def test_the_form_with_half_the_constant_is_faster_and_not_used() -> None:
    ratio = math.sqrt(2.0)
    assert ratio == as_published(TABLE["flutter.ratio"])
    assert by_theory(*GROUND) * ratio == as_published(TABLE["flutter.half"])
    assert flutter_speed(PANEL, 2600.0, *GROUND) < TABLE["flutter.half"]["value"] / 1.4


def test_twice_the_thickness() -> None:
    thick = flutter_speed(replace(PANEL, thickness=6.0), 2600.0, *GROUND)
    assert thick / flutter_speed(PANEL, 2600.0, *GROUND) == as_published(TABLE["flutter.scaling"])
