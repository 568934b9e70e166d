"""Flutter and divergence of fins: scaling, planforms, statuses.

Sources: D. J. Martin, NACA TN 4197, 1958, appendix (from memory); the scalings are algebra on its formula. Divergence
against the eigenvalue of a clamped plate that twists, found by finite differences.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from airframe_samples import DEMANDS, airframe_rocket
from rocket_samples import fin_part, trapezoid

from ferrule.analysis.aero.fins import one_fin_slope
from ferrule.analysis.aero.planform import planform
from ferrule.analysis.limits import limits
from ferrule.analysis.loads.divergence import divergence_checks, divergence_pressure, divergence_speed, lift_slope
from ferrule.analysis.loads.flutter import Panel, flutter_checks, flutter_speed, panel_of, thickness_for
from ferrule.analysis.rocket import Item
from ferrule.parts.errors import PartError
from ferrule.parts.strengths import strengths

PANEL = Panel(120.0, 70.0, 6300.0, 3.0)
AIR = (100129.0, 339.9)


def test_scaling() -> None:
    base = flutter_speed(PANEL, 300.0, *AIR)
    assert flutter_speed(PANEL, 1200.0, *AIR) == pytest.approx(2.0 * base, rel=1e-12)
    assert flutter_speed(replace(PANEL, thickness=12.0), 300.0, *AIR) == pytest.approx(8.0 * base, rel=1e-12)
    assert flutter_speed(PANEL, 300.0, AIR[0] / 4.0, AIR[1]) == pytest.approx(2.0 * base, rel=1e-12)
    assert flutter_speed(PANEL, 300.0, AIR[0], AIR[1] * 3.0) == pytest.approx(3.0 * base, rel=1e-12)


def test_the_same_fin_in_another_size() -> None:
    """Only ratios of lengths stand in the formula."""
    twice = Panel(240.0, 140.0, 4.0 * 6300.0, 6.0)
    assert flutter_speed(twice, 300.0, *AIR) == pytest.approx(flutter_speed(PANEL, 300.0, *AIR), rel=1e-12)


def test_the_thickness_asked_for_has_the_speed_asked_for() -> None:
    speed = flutter_speed(PANEL, 300.0, *AIR)
    thick = thickness_for(PANEL, speed, 1.5 * 120.0)
    assert flutter_speed(replace(PANEL, thickness=thick), 300.0, *AIR) == pytest.approx(180.0, rel=1e-12)


@pytest.mark.parametrize(
    ("planform", "taper"),
    [
        ({}, 0.5),
        ({"tip_chord": "0 mm"}, 0.0),
        # A quarter of an ellipse on each side: S = pi / 4 s c.
        ({"planform": "elliptic", "tip_chord": None, "sweep_length": None}, math.pi / 2.0 - 1.0),
    ],
)
def test_taper_of_every_planform(planform: dict[str, object], taper: float) -> None:
    fields: dict[str, object] = {"tip_chord": "60 mm", "sweep_length": "50 mm", **planform}
    part = fin_part(**fields)
    (fins,) = Item("fins", (780.0,), part, 3, 33.0).fin_sets()
    # The ellipse's area is integrated, not exact: 1e-9.
    assert panel_of(fins).taper == pytest.approx(taper, abs=1e-9)
    (found,) = flutter_checks(airframe_rocket(**fields), DEMANDS, limits())
    assert ("no trapezoid" in found.note) is (planform.get("planform") == "elliptic")


def test_a_check_says_what_it_is_made_of() -> None:
    """3 mm of the plywood's low modulus: 120 x 60 x 70 mm, by hand with A = 4900 / 6300."""
    (found,) = flutter_checks(airframe_rocket(), DEMANDS, limits())
    aspect, low, high = 4900.0 / 6300.0, 300e6, 620e6
    bracket = 39.3 / 14.696 * aspect**3 * 1.5 / (2.0 * (aspect + 2.0) * (3.0 / 120.0) ** 3)
    slow, fast = (339.9 * math.sqrt(one / (bracket * 100129.0)) for one in (low, high))
    assert (strengths()["birch-plywood"].shear_modulus_low, strengths()["birch-plywood"].shear_modulus_high) == (
        low / 1e6,
        high / 1e6,
    )
    assert found.name == "fins: flutter screen, small"
    assert found.value == f"{slow:.0f} to {fast:.0f} m/s, {slow / 120.0:.2f} times 120 m/s by the low one, screen only"
    assert found.status == "fail"
    assert "a screen only" in found.note
    assert "sqrt(2)" in found.note
    wanted = 3.0 * (1.5 * 120.0 / slow) ** (2.0 / 3.0)
    assert f"needs {wanted:.2f} mm" in found.note
    assert "TN 4197" in found.source
    assert any("300 to 620 MPa" in line and "from memory" in line for line in found.inputs)


@pytest.mark.parametrize(("times", "status"), [(1.2, "fail"), (1.4, "warn"), (1.6, "pass")])
def test_statuses_by_the_low_modulus(times: float, status: str) -> None:
    speed = flutter_speed(PANEL, 300.0, *AIR) / times
    (found,) = flutter_checks(airframe_rocket(), replace(DEMANDS, speed=speed), limits())
    assert found.status == status


def test_without_a_material_it_is_not_stated() -> None:
    (found,) = flutter_checks(airframe_rocket(material=None), DEMANDS, limits())
    assert (found.status, found.value) == ("not-stated", None)
    assert "enter `material` for fins" in found.note


def test_a_material_without_a_row_is_not_stated() -> None:
    (found,) = flutter_checks(airframe_rocket(material="epoxy"), DEMANDS, limits())
    assert found.status == "not-stated"
    assert "no shear modulus is known for epoxy" in found.note


def test_two_sets_of_one_item_have_names_of_their_own() -> None:
    rocket = airframe_rocket()
    items = tuple(replace(one, stations=(500.0, 780.0)) if one.name == "fins" else one for one in rocket.items)
    names = [one.name for one in flutter_checks(replace(rocket, items=items), DEMANDS, limits())]
    assert names == ["fins at 500 mm: flutter screen, small", "fins at 780 mm: flutter screen, small"]


def test_a_printed_fin_is_said_to_count_as_solid() -> None:
    (found,) = flutter_checks(airframe_rocket(material="petg"), DEMANDS, limits())
    assert "a print counts as solid" in found.note


@pytest.mark.parametrize("field", ["root_chord", "semi_span", "area", "thickness"])
def test_a_panel_has_sizes(field: str) -> None:
    with pytest.raises(PartError, match=f"{field}: must be above 0"):
        replace(PANEL, **{field: 0.0})


@pytest.mark.parametrize(("bad", "field"), [((0.0, 1e5, 340.0), "shear_modulus"), ((1.0, 0.0, 340.0), "pressure")])
def test_air_and_modulus_are_above_nothing(bad: tuple[float, float, float], field: str) -> None:
    with pytest.raises(PartError, match=f"{field}: must be above 0"):
        flutter_speed(PANEL, *bad)
    with pytest.raises(PartError, match="sound: must be above 0"):
        flutter_speed(PANEL, 300.0, 1e5, math.nan)


# --- divergence -------------------------------------------------------------------------------------------------------


def test_divergence_against_the_eigenvalue_of_a_plate_that_twists() -> None:
    """G J w'' + q c e k w = 0, clamped at the root and free at the tip, by finite differences."""
    modulus, chord, span, thick = 300.0, 90.0, 70.0, 3.0
    found = divergence_pressure(Panel(chord, span, chord * span, thick), modulus)
    # The free end is the middle of a plate twice as long that is clamped at both ends.
    step = 2.0 * span / 300
    second = (2.0 * np.eye(299) - np.eye(299, k=1) - np.eye(299, k=-1)) / step**2
    least = float(np.linalg.eigvalsh(second)[0])
    twist = modulus * chord * thick**3 / 3.0
    # Differences of second order with 300 steps: (pi / 300)^2 / 12 = 1e-5.
    # Diederich's slope without sweep, on the fin's own area: A = 2 x 70 / 90.
    slope = math.tau * (140.0 / 90.0) / (2.0 + math.sqrt(4.0 + (140.0 / 90.0) ** 2))
    assert found == pytest.approx(least * twist / (chord * chord / 4.0 * slope), rel=2e-5)


def test_the_slope_is_that_of_the_fins_in_the_air() -> None:
    """The same fin without sweep of its mid-chords, as the method for the centre of pressure has it."""
    shape = planform(trapezoid(120.0, 60.0, 70.0, 30.0))
    # That one is on the area of the body's diameter.
    own = one_fin_slope(shape, 66.0) * math.pi * 33.0**2 / shape.area
    assert lift_slope(Panel(120.0, 70.0, 6300.0, 3.0)) == pytest.approx(own, rel=1e-12)


def test_divergence_speed_has_that_dynamic_pressure() -> None:
    speed = divergence_speed(PANEL, 300.0, 1.2)
    assert 1.2 / 2.0 * speed**2 == pytest.approx(divergence_pressure(PANEL, 300.0) * 1e6, rel=1e-12)


def test_swept_back_does_not_diverge() -> None:
    (found,) = divergence_checks(airframe_rocket(), DEMANDS, limits())
    # Middles of the chords: 60 at the root, 50 + 30 at the tip, over 70 mm.
    assert found.value == f"swept back by {math.degrees(math.atan(20.0 / 70.0)):.1f} deg"
    assert found.status == "pass"
    assert "from memory" in found.source


def test_swept_forward_is_told() -> None:
    (found,) = divergence_checks(airframe_rocket(sweep_length="0 mm", thickness="6 mm"), DEMANDS, limits())
    assert found.status == "warn"
    assert found.value is not None
    assert found.value.startswith(f"swept forward by {math.degrees(math.atan(30.0 / 70.0)):.1f} deg")
    assert "sweep it back" in found.note


@pytest.mark.parametrize(("thickness", "status"), [("6 mm", "pass"), ("1 mm", "fail")])
def test_hardly_swept_goes_by_its_speed(thickness: str, status: str) -> None:
    (found,) = divergence_checks(airframe_rocket(sweep_length="35 mm", thickness=thickness), DEMANDS, limits())
    assert found.status == status
    assert "hardly swept" in found.note


def test_level_counts_as_swept_neither_way() -> None:
    # The middle of the tip chord, 30 + 30 mm, stands where that of the root does.
    (found,) = divergence_checks(airframe_rocket(sweep_length="30 mm", thickness="6 mm"), DEMANDS, limits())
    assert (found.value or "").startswith("swept back by 0.0 deg; without sweep")


def test_hardly_swept_of_nothing_known_is_not_stated() -> None:
    (found,) = divergence_checks(airframe_rocket(sweep_length="30 mm", material=None), DEMANDS, limits())
    assert found.status == "not-stated"
