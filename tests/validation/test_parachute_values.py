"""Parachutes against published and derived values.

Sources: T. W. Knacke, Parachute Recovery Systems Design Manual, NWC TP 6575, 1991 (chapter 4 read in a copy of its
text; table 5-1 from memory) and J. Potvin's page of round canopies (looked up), as in `data/parachutes.json`. The
descents are one formula with given numbers, hence 1e-9. What flyers report is marked `common practice`.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from published import as_published, by_row, rows

from ferrule.analysis.atmosphere import Atmosphere
from ferrule.analysis.flight.canopy import CANOPY_TYPES, INFLATED, Canopy
from ferrule.analysis.flight.descent import coefficient_for, descent_rate, diameter_for, touchdown_energy
from ferrule.analysis.rail_exit import GRAVITY

TABLE = rows("parachutes.json")
TYPES = {
    "flat_circular": "flat circular",
    "conical": "conical",
    "tri-conical": "tri-conical",
    "extended_skirt_10pct_flat": "extended skirt 10 % flat",
    "hemispherical": "hemispherical",
    "annular": "annular",
    "cross": "cross",
}
RANGES = [row for row in TABLE if row["id"].removeprefix("cd.") in TYPES]
DESCENTS = [row for row in TABLE if row["id"].startswith("v.")]
SEA_LEVEL = 1.225


def test_no_row_of_the_table_is_left_out() -> None:
    rest = {row["id"] for row in TABLE} - {row["id"] for row in (*RANGES, *DESCENTS)}
    assert rest == {"cd.solid", "opening"}
    assert {one.name for one in CANOPY_TYPES} == set(TYPES.values())


@by_row(RANGES)
def test_each_type_has_the_range_of_the_table(row: dict[str, Any]) -> None:
    (found,) = (one for one in CANOPY_TYPES if one.name == TYPES[row["id"].removeprefix("cd.")])
    assert [found.low, found.high] == row["value"]
    assert found.mark == row["mark"] == "from memory"


@by_row(DESCENTS)
def test_a_descent_rate(row: dict[str, Any]) -> None:
    canopy = Canopy("main", 1000.0 * row["D"], row["CD"], "constructed")
    assert canopy.effective_area is not None
    speed = descent_rate(1000.0 * row["m"], canopy.effective_area, row["rho"])
    assert speed == as_published(row)
    assert diameter_for(1000.0 * row["m"], row["value"], row["CD"], row["rho"]) == pytest.approx(1000.0 * row["D"])
    assert coefficient_for(1000.0 * row["m"], row["value"], 1000.0 * row["D"], row["rho"]) == pytest.approx(row["CD"])


def test_the_effective_area_is_that_of_the_opening_force() -> None:
    """Force of an infinite mass, C_D S q C_x, with C_x = 1.7 (both from memory): q is 245 Pa at 20 m/s."""
    (row,) = (row for row in TABLE if row["id"] == "opening")
    canopy = Canopy("main", 1000.0 * row["D"], row["CD"], "constructed")
    assert canopy.effective_area is not None
    assert canopy.effective_area * 0.5 * row["rho"] * row["v"] ** 2 * row["Cx"] == as_published(row)


def test_a_round_canopy_of_solid_cloth_is_a_flat_sheet() -> None:
    (row,) = (row for row in TABLE if row["id"] == "cd.solid")
    assert CANOPY_TYPES[0].low == as_published(row)
    assert Canopy("main", 900.0, row["value"], "constructed").notes() == ()


@pytest.mark.parametrize("mass", [1250.0, 1300.0, 1400.0])
def test_the_usual_descent_of_a_usual_canopy(mass: float) -> None:
    """Common practice, stated and not measured: 7.5 m/s under 0.76 m at 1.25 to 1.40 kg is a C_D of 0.75 to 0.90."""
    found = coefficient_for(mass, 7.5, 760.0, Atmosphere().at(0.0).density)
    assert 0.75 <= found <= 0.90


def test_sizes_for_six_metres_a_second() -> None:
    """D = sqrt(8 m g / (pi rho C_D v^2)) for 1.3 kg, to the millimetre: 991 mm with 0.75, 701 mm with 1.5 (worked)."""
    assert diameter_for(1300.0, 6.0, 0.75, SEA_LEVEL) == pytest.approx(991.0, abs=0.5)
    assert diameter_for(1300.0, 6.0, 1.5, SEA_LEVEL) == pytest.approx(701.0, abs=0.5)


@pytest.mark.parametrize(("speed", "energy"), [(4.5, 13.0), (6.0, 23.0), (7.5, 37.0)])
def test_energies_at_touchdown(speed: float, energy: float) -> None:
    """Half of m v^2 for 1.3 kg, to the joule (worked by hand)."""
    assert touchdown_energy(1300.0, speed) == pytest.approx(energy, abs=0.5)


def test_at_its_steady_speed_the_drag_is_the_weight() -> None:
    canopy = Canopy("main", 760.0, 0.8, "constructed")
    area = canopy.effective_area
    assert area == pytest.approx(0.8 * math.pi * 0.38**2, rel=1e-12)
    assert area is not None
    speed = descent_rate(1330.0, area, 1.1)
    assert 0.5 * 1.1 * speed**2 * area == pytest.approx(1.33 * GRAVITY, rel=1e-12)


def test_the_projected_area_gives_the_makers_larger_coefficients() -> None:
    """Knacke: a flat round canopy opens to 0.67 to 0.70 of its diameter (from memory), so 0.75 reads 1.53 to 1.67."""
    assert INFLATED == (0.67, 0.70)
    assert 0.75 / INFLATED[1] ** 2 == pytest.approx(1.53, abs=0.005)
    assert 0.75 / INFLATED[0] ** 2 == pytest.approx(1.67, abs=0.005)
    assert Canopy("main", 600.0, 1.6, "projected").notes() == ()
    assert "may refer to the projected area" in Canopy("main", 600.0, 1.6, "constructed").notes()[0]
