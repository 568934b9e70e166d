"""Landing on the tip of a fin: energy, cantilever and corner stress by hand.

Source: any textbook of strength of materials: deflection F s^3 / (3 E I) and stress 6 F s / (b h^2) of a cantilever.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from airframe_samples import DEMANDS, airframe_rocket

from ferrule.analysis.limits import Check, limits
from ferrule.analysis.loads.flutter import Panel
from ferrule.analysis.loads.landing import blow, landing_checks

SQUARE = Panel(100.0, 50.0, 5000.0, 4.0)
"""A rectangle: chord 100, span 50, 4 mm thick."""


def checked(**fin: object) -> Check:
    (found,) = landing_checks(airframe_rocket(**fin), DEMANDS, limits())
    return found


def test_energy_goes_into_ground_and_fin() -> None:
    found = blow(SQUARE, 9000.0, 1000.0, 6.0)
    assert found.energy == pytest.approx(18.0, rel=1e-12)
    inertia = 4.0 * 100.0**3 / 12.0
    give = found.force * 50.0**3 / (3.0 * 9000.0 * inertia)
    # 18 J are 18000 N mm: along the 30 mm of ground, and half of force times give of the fin.
    assert found.force * 30.0 + found.force * give / 2.0 == pytest.approx(18000.0, rel=1e-9)


def test_on_ground_that_does_not_give_the_fin_takes_it_all() -> None:
    """U = s^2 b h l / (18 E): the energy of a cantilever with a force at its tip, whichever way it stands."""
    found = blow(SQUARE, 9000.0, 1000.0, 6.0, ground=0.0)
    assert found.along**2 * (4.0 * 100.0 * 50.0) / (18.0 * 9000.0) == pytest.approx(18000.0, rel=1e-9)


def test_soft_ground_leaves_energy_over_way() -> None:
    found = blow(SQUARE, 9000.0, 1000.0, 6.0, ground=1000.0)
    # 18 J over a metre; the fin's own give is a thousandth of that.
    assert found.force == pytest.approx(18.0, rel=1e-3)


def test_stresses_of_a_rectangle() -> None:
    found = blow(SQUARE, 9000.0, 1000.0, 6.0)
    assert found.along == pytest.approx(6.0 * found.force * 50.0 / (4.0 * 100.0**2), rel=1e-12)
    assert found.across == pytest.approx(6.0 * found.force * 50.0 / (100.0 * 4.0**2), rel=1e-12)


def test_a_pointed_fin_is_bent_most_outboard() -> None:
    """A triangle: (1 - y) / (1 - y)^2 grows to ten times the root's at nine tenths."""
    found = blow(Panel(100.0, 50.0, 2500.0, 4.0), 9000.0, 1000.0, 6.0)
    assert found.along == pytest.approx(10.0 * 6.0 * found.force * 50.0 / (4.0 * 100.0**2), rel=1e-9)


def test_how_far_aside() -> None:
    found = blow(SQUARE, 9000.0, 1000.0, 6.0)
    aside = found.borne_aside(40.0)
    assert aside is not None
    assert 0.0 < aside < math.pi / 2.0
    assert found.along * math.cos(aside) + found.across * math.sin(aside) == pytest.approx(40.0, rel=1e-9)
    assert found.borne_aside(0.9 * found.along) is None
    assert found.borne_aside(2.0 * found.across) == math.pi / 2.0


def test_a_check_by_hand() -> None:
    # Root 120, tip 60, span 70, 3 mm of plywood: mean chord 90 mm, 9000 MPa, 29 MPa.
    stiff = 3.0 * 9000.0 * (3.0 * 90.0**3 / 12.0) / 70.0**3
    force = stiff * (math.sqrt(30.0**2 + 2.0 * 18000.0 / stiff) - 30.0)
    along = 6.0 * force * 70.0 / (3.0 * 120.0**2)
    found = checked()
    # A taper of one half bends its root most, and every place outboard a little less.
    assert (found.value or "").startswith(f"{force:.0f} N: {along:.1f} MPa of 29 MPa along the fin, borne up to ")
    assert found.status == "warn"
    assert any("18.0 J" in line for line in found.inputs)
    assert any("assumption" in line for line in found.inputs)
    assert "the glue at the root is not looked at" in found.inputs
    assert found.note.startswith("holds only with the face grain along the span")


@pytest.mark.parametrize(("thickness", "status"), [("6 mm", "pass"), ("3 mm", "warn"), ("0.4 mm", "fail")])
def test_statuses(thickness: str, status: str) -> None:
    assert checked(thickness=thickness).status == status


def test_without_a_descent_it_is_not_stated() -> None:
    (found,) = landing_checks(airframe_rocket(), replace(DEMANDS, descent_speed=None), limits())
    assert (found.status, found.value) == ("not-stated", None)
    assert "parachute" in found.note


@pytest.mark.parametrize(("material", "words"), [(None, "enter `material` for fins"), ("epoxy", "known for epoxy")])
def test_without_a_strength_it_is_not_stated(material: str | None, words: str) -> None:
    found = checked(material=material)
    assert found.status == "not-stated"
    assert words in found.note


def test_grain_is_of_wood_alone() -> None:
    assert "grain" not in checked(material="g10").note
