"""Descent under parachutes against closed forms (derived) and hand values; published ones in tests/validation."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.flight.canopy import (
    Canopy,
    inflated_to_constructed,
    is_unheard_of,
    usual_range,
    whole_effective_area,
)
from ferrule.analysis.flight.descent import (
    coefficient_for,
    descent,
    descent_rate,
    descent_time,
    diameter_for,
    touchdown_energy,
)
from ferrule.parts.errors import PartError

MASS, AREA = 1330.0, 0.36


@dataclass(frozen=True)
class Thinning:
    """Air whose density falls by e in each scale height [m]; none where it is infinite."""

    scale: float = math.inf

    def density_and_sound(self, height: float) -> tuple[float, float]:
        return 1.225 * math.exp(-height / self.scale), 340.0


def test_in_even_air_the_time_is_height_over_speed() -> None:
    """500 m at 6 m/s are 83.3 s, and in a wind of 4 m/s 333 m (by hand)."""
    area = 2.0 * 1.3 * 9.80665 / (1.225 * 6.0**2)
    assert descent_rate(1300.0, area, 1.225) == pytest.approx(6.0, rel=1e-12)
    assert descent_time(1300.0, area, 500.0, Thinning()) == pytest.approx(500.0 / 6.0, rel=1e-12)


@pytest.mark.parametrize("height", [0.0, 1.0, 400.0, 3000.0, 12_345.0])
def test_in_thinning_air_it_is_the_closed_form(height: float) -> None:
    """Speed v0 exp(h / 2H), so t = 2H (1 - exp(-h / 2H)) / v0 (derived); four points of Gauss a kilometre: 1e-10."""
    scale = 8500.0
    speed = descent_rate(MASS, AREA, 1.225)
    closed = 2.0 * scale * -math.expm1(-height / (2.0 * scale)) / speed
    assert descent_time(MASS, AREA, height, Thinning(scale)) == pytest.approx(closed, rel=1e-10, abs=1e-12)


def test_in_the_standard_atmosphere_it_is_the_closed_form() -> None:
    """Density goes with T^n, n = g M / (R L) - 1 = 4.25588 (US Standard Atmosphere 1976), over geopotential.

    The integral of (1 - L h / T0)^(n/2) is in closed form (derived); geometric height differs by 0.03 % in 2 km.
    """
    n, lapse, ground = 9.80665 * 28.9644 / (8314.32 * 0.0065) - 1.0, 0.0065, 288.15
    height, power = 2000.0, n / 2.0 + 1.0
    closed = ground / (lapse * power) * (1.0 - (1.0 - lapse * height / ground) ** power)
    closed /= descent_rate(MASS, AREA, 1.2249992)
    assert descent_time(MASS, AREA, height, Atmosphere()) == pytest.approx(closed, rel=1e-4)


def test_a_descent_says_all_of_it() -> None:
    canopies = (Canopy("main", 760.0, 0.8, "constructed"),)
    found = descent(MASS, canopies, 1000.0, Atmosphere())
    assert found is not None
    assert found.effective_area == pytest.approx(0.8 * math.pi * 0.76**2 / 4.0, rel=1e-12)
    assert found.speed == pytest.approx(descent_rate(MASS, found.effective_area, 1.2249992), rel=1e-7)
    assert found.energy == pytest.approx(0.5 * 1.33 * found.speed**2, rel=1e-12)
    # Thinner by 1.111659 / 1.2249992 at 1000 m (US Standard Atmosphere 1976).
    assert found.first_speed / found.speed == pytest.approx(math.sqrt(1.2249992 / 1.111659), rel=1e-6)
    assert 1000.0 / found.first_speed < found.time < 1000.0 / found.speed


def test_a_high_hot_field_lets_it_come_down_faster() -> None:
    """1500 m and 35 deg C: by the gas law 1.0581039 x 278.4023 / 308.15 kg/m3."""
    canopies = (Canopy("main", 760.0, 0.8, "constructed"),)
    sea, field = (descent(MASS, canopies, 300.0, air) for air in (Atmosphere(), Atmosphere(1500.0, 308.15)))
    assert sea is not None
    assert field is not None
    thinner = 1.2249992 / (1.0581039 * 278.4023 / 308.15)
    assert field.speed / sea.speed == pytest.approx(math.sqrt(thinner), rel=1e-6)


def test_parachutes_add_up() -> None:
    one = Canopy("one", 600.0, 0.8, "constructed")
    two = Canopy("two", 450.0, 1.6, "projected")
    assert whole_effective_area((one, two)) == pytest.approx(0.8 * math.pi * 0.3**2 + 1.6 * math.pi * 0.225**2)
    twice, once = descent(MASS, (one, one), 0.0, Thinning()), descent(MASS, (one,), 0.0, Thinning())
    assert twice is not None
    assert once is not None
    assert twice.speed == pytest.approx(once.speed / math.sqrt(2.0), rel=1e-12)


@pytest.mark.parametrize("canopy", [Canopy("main"), Canopy("main", 760.0), Canopy("main", None, 0.8, "constructed")])
def test_what_is_not_stated_is_not_made_up(canopy: Canopy) -> None:
    whole = Canopy("whole", 760.0, 0.8, "constructed")
    assert canopy.effective_area is None
    assert descent(MASS, (whole, canopy), 100.0, Thinning()) is None
    assert whole_effective_area((canopy,)) is whole_effective_area(()) is None
    assert canopy.missing
    assert "not stated" in canopy.words


def test_an_area_that_is_not_stated_is_asked_for() -> None:
    canopy = Canopy("main", 760.0, 0.8)
    assert canopy.missing == ("drag_area",)
    assert "`drag_area`" in canopy.notes()[0]
    assert canopy.effective_area == Canopy("main", 760.0, 0.8, "constructed").effective_area


@pytest.mark.parametrize(
    ("coefficient", "words"),
    [
        (0.75, None),
        (0.80, None),
        (0.85, "conical"),
        (0.65, "hemispherical"),
        (0.92, "annular"),
        (1.5, "may refer to the projected area"),
        (0.4, "less than any type"),
    ],
)
def test_a_coefficient_that_flat_sheets_do_not_have_says_so(coefficient: float, words: str | None) -> None:
    canopy = Canopy("main", 760.0, coefficient, "constructed")
    notes = canopy.notes()
    assert bool(notes) == (words is not None)
    if words is not None:
        assert words in notes[0]
        assert "0.75 to 0.80" in notes[0]
        assert "from memory" in notes[0]
    assert is_unheard_of(canopy) == (coefficient in (1.5, 0.4))


def test_on_the_projected_area_other_numbers_are_usual() -> None:
    assert usual_range("constructed") == (0.75, 0.80)
    low, high = usual_range("projected")
    assert (low, high) == (pytest.approx(0.75 / 0.49), pytest.approx(0.80 / 0.67**2))
    assert Canopy("main", 600.0, 0.75, "projected").notes()
    assert is_unheard_of(Canopy("main", 600.0, 0.75, "projected"))
    assert is_unheard_of(Canopy("main", 600.0, 2.9, "projected"))
    assert not is_unheard_of(Canopy("main", 600.0, 1.5, "projected"))
    # 2.05 is 0.92 to 1.00 on the constructed area, 1.3 is 0.58 to 0.64: each overlaps what some type has.
    assert not is_unheard_of(Canopy("main", 600.0, 2.05, "projected"))
    assert not is_unheard_of(Canopy("main", 600.0, 1.3, "projected"))
    assert Canopy("main", 600.0, 1.5, "projected").inflated_diameter == 600.0
    assert Canopy("main", 600.0, 0.8, "constructed").inflated_diameter == pytest.approx(402.0)
    assert inflated_to_constructed(670.0) == (pytest.approx(957.142857), pytest.approx(1000.0))


@given(
    mass=st.floats(50.0, 30_000.0),
    speed=st.floats(1.0, 40.0),
    coefficient=st.floats(0.3, 2.5),
    density=st.floats(0.6, 1.4),
)
def test_size_speed_and_coefficient_agree(mass: float, speed: float, coefficient: float, density: float) -> None:
    size = diameter_for(mass, speed, coefficient, density)
    area = Canopy("main", size, coefficient, "constructed").effective_area
    assert area is not None
    assert descent_rate(mass, area, density) == pytest.approx(speed, rel=1e-12)
    assert coefficient_for(mass, speed, size, density) == pytest.approx(coefficient, rel=1e-12)


def test_values_that_cannot_be_are_refused() -> None:
    with pytest.raises(PartError, match="mass: must be above 0 g, got -1 g"):
        descent_rate(-1.0, AREA, 1.2)
    with pytest.raises(PartError, match="density: must be above 0 kg/m3, got 0 kg/m3"):
        descent_rate(MASS, AREA, 0.0)
    with pytest.raises(PartError, match="effective_area: must be above 0 m2, got nan m2"):
        descent_rate(MASS, math.nan, 1.2)
    with pytest.raises(PartError, match="height: must be 0 m or more, got -1 m"):
        descent_time(MASS, AREA, -1.0, Thinning())
    with pytest.raises(PartError, match="speed: must be above 0 m/s"):
        diameter_for(MASS, 0.0, 0.8, 1.2)
    with pytest.raises(PartError, match=r"drag_coefficient: must be above 0, got 0$"):
        diameter_for(MASS, 6.0, 0.0, 1.2)
    with pytest.raises(PartError, match="diameter: must be above 0 mm"):
        coefficient_for(MASS, 6.0, 0.0, 1.2)
    with pytest.raises(PartError, match="diameter: must be above 0 mm, got 0 mm"):
        Canopy("main", 0.0)
    with pytest.raises(PartError, match="drag_coefficient: must be above 0, got inf"):
        Canopy("main", 760.0, math.inf)


def test_energy_grows_with_the_square_of_the_speed() -> None:
    assert touchdown_energy(2000.0, 3.0) == 9.0
    assert touchdown_energy(2000.0, 6.0) == 36.0
