"""Centre of pressure against the report that the method comes from, and against closed forms derived from it.

Source: J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966. The table of tangent
ogives is as printed there (looked up, read in a transcription); worked vehicles are its equations in exact arithmetic
(derived).
"""

from __future__ import annotations

import math

import pytest
from rocket_samples import trapezoid

from ferrule.analysis.aero.body import Skin, body_normal_force
from ferrule.analysis.aero.fins import fin_set, one_fin_slope
from ferrule.analysis.aero.interference import body_interference
from ferrule.analysis.aero.normal_force import NormalForce, combined
from ferrule.analysis.aero.planform import planform
from ferrule.parts.curve import Line
from ferrule.parts.kinds import NoseCone
from ferrule.parts.profiles import Family, Profile

# Length over diameter, station over diameter as printed. The rows for 3 and 4 are left out: they carry slips of the
# print (1.307 for 1.387, 1.657 for 1.857).
PRINTED = ((1, 0.430), (2, 0.914), (5, 2.326), (6, 2.794), (7, 3.261), (8, 3.729), (9, 4.196), (10, 4.663))

EXACT = 1e-9
"""Derived values are printed to about 12 digits; what is left is rounding."""


def nose(profile: Profile, reference_area: float | None = None) -> NormalForce:
    area = math.pi * profile.base_radius**2 if reference_area is None else reference_area
    return body_normal_force(Skin(profile.chain()), None, area)


@pytest.mark.parametrize(("fineness", "printed"), PRINTED)
def test_tangent_ogive_table(fineness: float, printed: float) -> None:
    found = nose(Profile("tangent-ogive", fineness * 66.0, 33.0))
    assert found.slope == pytest.approx(2.0, rel=EXACT)
    assert found.station is not None
    assert found.station / 66.0 == pytest.approx(printed, abs=0.0005)  # printed to three decimals


@pytest.mark.parametrize(
    ("family", "constant", "fraction"),
    [
        ("cone", None, 2 / 3),
        ("secant-ogive", 1.5 * (33.0**2 + 200.0**2) / 66.0, 0.5387374054),  # 1 - V / (A L), V in closed form (derived)
        ("secant-ogive", 0.75 * (33.0**2 + 200.0**2) / 66.0, 0.3772665755),  # bulges past its base (derived)
        ("tangent-ogive", None, 0.4625367354),
        ("half-ellipsoid", None, 1 / 3),
        ("power-law", 0.5, 1 / 2),
        ("power-law", 0.75, 0.6),
        ("power-law", 0.6, 1.2 / 2.2),  # 2n / (2n + 1)
        ("parabola", 1.0, 7 / 15),
        ("parabola", 0.5, 1 - (4 / 3 - 0.5 + 0.25 / 5) / 1.5**2),
        ("von-karman", None, 1 / 2),
        ("haack", 1 / 3, 7 / 16),  # 1/2 - 3 C / 16
        ("haack", 2 / 3, 3 / 8),
    ],
)
def test_station_as_a_fraction_of_the_length(family: Family, constant: float | None, fraction: float) -> None:
    found = nose(Profile(family, 200.0, 33.0, constant))
    assert found.slope == pytest.approx(2.0, rel=EXACT)
    assert found.station is not None
    # Fitted chains are within 5e-6 mm of the formula: about 1e-7 of the radius, twice that in area.
    assert found.station / 200.0 == pytest.approx(fraction, rel=1e-6)


def test_the_skin_of_a_nose_cone_gives_the_force_of_its_profile() -> None:
    """The wall, the shoulder and the bore of the part are not in the air stream."""
    part = NoseCone.build(
        tip="sharp",
        profile="tangent-ogive",
        length="200 mm",
        base_diameter="66 mm",
        wall="2 mm",
        shoulder_length="60 mm",
        shoulder_diameter="63 mm",
    )
    found = body_normal_force(Skin(part.skin(), 40.0), None, math.pi * 33.0**2)
    assert found.slope == pytest.approx(2.0, rel=EXACT)
    assert found.station == pytest.approx(40.0 + 92.5073470849, rel=EXACT)  # L - V / A (derived), moved by 40 mm


FIN_A = planform(trapezoid(120.0, 60.0, 70.0, 50.0))


def test_fin_a() -> None:
    assert FIN_A.area == pytest.approx(6300.0)
    assert FIN_A.mean_chord == pytest.approx(93.33333333333, rel=EXACT)
    assert FIN_A.mean_chord_span == pytest.approx(31.11111111111, rel=EXACT)
    assert FIN_A.mid_chord_length == pytest.approx(72.80109889281, rel=EXACT)
    assert one_fin_slope(FIN_A, 66.0) == pytest.approx(3.936254739957, rel=EXACT)
    assert body_interference(33.0, 70.0) == pytest.approx(1.320388349515, rel=EXACT)
    assert FIN_A.centre_of_pressure == pytest.approx(45.55555555556, rel=EXACT)
    found = fin_set(FIN_A, 3, 33.0, 0.0, 66.0)
    assert found.slope == pytest.approx(7.796077349041, rel=EXACT)
    assert found.notes == ()


def test_rocket_a() -> None:
    forces = (nose(Profile("tangent-ogive", 200.0, 33.0)), fin_set(FIN_A, 3, 33.0, 780.0, 66.0))
    found = combined(forces)
    assert found.slope == pytest.approx(9.796077349041, rel=EXACT)
    assert found.station == pytest.approx(675.89397524098, rel=EXACT)


def rocket_b(reference_diameter: float) -> tuple[NormalForce, ...]:
    area = math.pi * reference_diameter**2 / 4.0
    front = Skin(Profile("von-karman", 300.0, 27.0).chain())
    tube = Skin((Line((0.0, 27.0), (200.0, 27.0)),), 300.0)
    transition = Skin((Line((0.0, 27.0), (60.0, 37.5)),), 500.0)
    wide = Skin((Line((0.0, 37.5), (540.0, 37.5)),), 560.0)
    boat_tail = Skin((Line((0.0, 37.5), (50.0, 30.0)),), 1100.0)
    skins = (front, tube, transition, wide, boat_tail)
    bodies = [body_normal_force(skin, ahead, area) for skin, ahead in zip(skins, (None, *skins), strict=False)]
    return (*bodies, fin_set(planform(trapezoid(150.0, 75.0, 90.0, 60.0)), 4, 37.5, 940.0, reference_diameter))


def test_rocket_b() -> None:
    front, tube, transition, wide, boat_tail, fins = rocket_b(54.0)
    assert tube.slope == wide.slope == 0.0
    assert front.station == pytest.approx(150.0, rel=1e-6)  # a fitted chain, see above
    assert transition.slope == pytest.approx(1.858024691358, rel=EXACT)
    assert transition.station == pytest.approx(531.6279069767, rel=EXACT)
    assert boat_tail.slope == pytest.approx(-1.388888888889, rel=EXACT)
    assert boat_tail.station == pytest.approx(1124.074074074, rel=EXACT)
    assert fins.slope == pytest.approx(25.04905449056, rel=EXACT)
    assert fins.station == pytest.approx(995.8333333333, rel=EXACT)
    whole = combined(rocket_b(54.0))
    assert whole.slope == pytest.approx(27.518190293029, rel=EXACT)
    assert whole.station == pytest.approx(896.54323025888, rel=1e-7)


def test_the_reference_diameter_moves_no_centre_of_pressure() -> None:
    small, large = combined(rocket_b(54.0)), combined(rocket_b(75.0))
    assert large.slope == pytest.approx(14.265429847906, rel=EXACT)
    assert large.station == pytest.approx(small.station, rel=1e-12)


def test_a_step_between_two_tubes_counts_where_it_is() -> None:
    ahead = Skin((Line((0.0, 27.0), (200.0, 27.0)),))
    found = body_normal_force(Skin((Line((0.0, 33.0), (100.0, 33.0)),), 200.0), ahead, math.pi * 33.0**2)
    assert found.slope == pytest.approx(2.0 * (1.0 - (27.0 / 33.0) ** 2))
    assert found.station == pytest.approx(200.0)


def test_fin_counts_outside_the_report_say_so() -> None:
    assert fin_set(FIN_A, 2, 33.0, 0.0, 66.0).slope == 0.0
    assert fin_set(FIN_A, 2, 33.0, 0.0, 66.0).notes
    assert "6 fins" in fin_set(FIN_A, 6, 33.0, 0.0, 66.0).notes[0]
    assert fin_set(FIN_A, 4, 33.0, 0.0, 66.0).notes == ()
