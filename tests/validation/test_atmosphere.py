"""The air against the defining equations of the standard, printed rows, and two independent libraries.

Source: U.S. Standard Atmosphere, 1976; its figures as worked from the defining equations, as printed in handbooks, and
as the packages `fluids` and `ambiance` have them. Tolerances: the rows' own; `fluids` uses the same constants, so that
rounding is left; `ambiance` takes the gas constant of air as 287.05287, which is 7e-7 off, and at great heights the
pressure gathers that over many scale heights.
"""

from __future__ import annotations

import math
from typing import Any

import ambiance
import fluids
import pytest
from published import as_published, by_row, rows

from ferrule.analysis.atmosphere import GRAVITY, HIGHEST, LOWEST, Air, Atmosphere
from ferrule.parts.errors import PartError

ROWS = rows("atmosphere.json")
SLUG_PER_CUBIC_FOOT = 0.45359237 * 9.80665 / 0.3048 / 0.3048**3
"""One slug, a pound-force second squared per foot, in a cubic foot [kg/m3] (exact: international foot and pound)."""

LIBRARY_HEIGHTS = (-400.0, 0.0, 1234.0, 5000.0, 10_990.0, 11_100.0, 19_900.0, 20_100.0, 31_000.0, 47_500.0, 79_000.0)


@by_row(ROWS)
def test_each_row_of_the_table(row: dict[str, Any]) -> None:
    value = getattr(Atmosphere().at(row["height"]), row["field"])
    assert value / (SLUG_PER_CUBIC_FOOT if row["units"] == "slug/ft3" else 1.0) == as_published(row)


@pytest.mark.parametrize("height", LIBRARY_HEIGHTS)
def test_fluids_has_the_same_air(height: float) -> None:
    found, expected = Atmosphere().at(height), fluids.ATMOSPHERE_1976(height)
    assert found.temperature == pytest.approx(expected.T, rel=1e-12)
    assert found.pressure == pytest.approx(expected.P, rel=1e-12)
    assert found.density == pytest.approx(expected.rho, rel=1e-12)
    assert found.sound == pytest.approx(expected.v_sonic, rel=1e-12)
    assert found.viscosity == pytest.approx(expected.mu, rel=1e-12)


@pytest.mark.parametrize("height", LIBRARY_HEIGHTS)
def test_ambiance_has_the_same_air(height: float) -> None:
    found, expected = Atmosphere().at(height), ambiance.Atmosphere(height)
    low = height <= 5000.0
    assert found.temperature == pytest.approx(float(expected.temperature[0]), rel=1e-9)
    assert found.pressure == pytest.approx(float(expected.pressure[0]), rel=5e-7 if low else 1e-5)
    assert found.density == pytest.approx(float(expected.density[0]), rel=8e-7 if low else 1e-5)
    assert found.sound == pytest.approx(float(expected.speed_of_sound[0]), rel=1e-6)
    assert found.viscosity == pytest.approx(float(expected.dynamic_viscosity[0]), rel=1e-9)


@pytest.mark.parametrize("height", [0.0, 3000.0, 12_000.0, 30_000.0, 60_000.0])
def test_the_pressure_carries_the_air_above_it(height: float) -> None:
    """Hydrostatics: dp/dz = -rho g with gravity as it falls off with the square of the distance (derived)."""
    step, air = 1.0, Atmosphere()
    fall = (air.at(height - step).pressure - air.at(height + step).pressure) / (2.0 * step)
    gravity = GRAVITY * (6_356_766.0 / (6_356_766.0 + height)) ** 2
    assert fall == pytest.approx(air.at(height).density * gravity, rel=1e-6)


def test_heights_count_from_the_ground() -> None:
    assert Atmosphere(1200.0).at(800.0) == Atmosphere().at(2000.0)


def test_a_warm_day_shifts_the_temperature_and_leaves_the_pressure() -> None:
    """303.15 K at sea level is 15 K more than the standard at every height; the gas law gives the density (derived)."""
    warm, standard = Atmosphere(0.0, 303.15), Atmosphere()
    for height in (0.0, 700.0, 15_000.0):
        found, usual = warm.at(height), standard.at(height)
        assert found.temperature - usual.temperature == pytest.approx(15.0)
        assert found.pressure == usual.pressure
        assert found.density == pytest.approx(usual.density * usual.temperature / found.temperature, rel=1e-12)
        assert found.sound == pytest.approx(math.sqrt(1.4 * found.pressure / found.density), rel=1e-12)
        assert found.viscosity > usual.viscosity


def test_the_standards_own_temperature_is_the_standard() -> None:
    assert Atmosphere(500.0, Atmosphere(500.0).at(0.0).temperature).at(900.0) == Atmosphere(500.0).at(900.0)


@pytest.mark.parametrize("height", [0.0, 512.3, 11_019.0, 25_000.0, 71_802.0])
def test_a_flight_gets_the_same_figures(height: float) -> None:
    air = Atmosphere(300.0, 290.0)
    full = air.at(height)
    assert air.density_and_sound(height) == (full.density, full.sound)


def test_beyond_the_standard_a_flight_gets_the_nearest_and_a_person_a_message() -> None:
    air = Atmosphere()
    assert air.density_and_sound(1e6) == air.density_and_sound(HIGHEST)
    assert air.density_and_sound(-1e6) == air.density_and_sound(LOWEST)
    for height in (HIGHEST + 1.0, LOWEST - 1.0, math.nan):
        with pytest.raises(PartError, match="altitude: must be from -5000 to 80000 m"):
            air.at(height)


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ((-501.0, None), "altitude: must be from -500 to 10000 m, got -501 m"),
        ((math.nan, None), "altitude: must be from -500 to 10000 m, got nan m"),
        ((0.0, 15.0), "temperature: must be from 200 to 340 K, got 15 K"),
    ],
)
def test_what_is_no_launch_site_is_refused(values: tuple[float, float | None], message: str) -> None:
    with pytest.raises(PartError, match=message):
        Atmosphere(*values)


def test_every_layer_goes_on_from_the_one_below() -> None:
    """No step of temperature or pressure where two laws meet."""
    for geopotential in (11_000.0, 20_000.0, 32_000.0, 47_000.0, 51_000.0, 71_000.0):
        height = 6_356_766.0 * geopotential / (6_356_766.0 - geopotential)
        below, above = Atmosphere().at(height - 1e-3), Atmosphere().at(height + 1e-3)
        assert below.temperature == pytest.approx(above.temperature, abs=1e-5)
        assert below.pressure == pytest.approx(above.pressure, rel=1e-6)
        assert isinstance(below, Air)
