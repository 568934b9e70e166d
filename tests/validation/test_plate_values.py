"""Round plates, the bore of a ring and the opening load of a canopy against closed forms.

Source: thin-plate theory (S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells), statics, and the
opening force of T. W. Knacke (NWC TP 6575, from memory). Each row of the table names its own and its tolerance, 1e-9:
the sums are exact. The plate under a load over a circle is solved once more from its own differential equation.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from published import as_published, by_row, rows
from scipy.integrate import solve_bvp

from ferrule.analysis.loads.opening import canopy_force
from ferrule.analysis.loads.plates import even_strip, plug_shear, round_plate, round_plate_deflection, strip
from ferrule.analysis.loads.stated import Canopy

VALUES = rows("plate_values.json")
RADIUS, THICK, ELASTIC, PRESSURE = 33.0, 6.0, 9000.0, 0.1
FORCE = PRESSURE * math.pi * RADIUS**2

READ: dict[str, Callable[[], float]] = {
    "clamped_sigma": lambda: round_plate(FORCE, RADIUS, RADIUS, (THICK,)).clamped,
    "clamped_w": lambda: round_plate_deflection(FORCE, RADIUS, RADIUS, THICK, ELASTIC).clamped,
    "ss_sigma": lambda: round_plate(FORCE, RADIUS, RADIUS, (THICK,)).supported,
    "ss_w": lambda: round_plate_deflection(FORCE, RADIUS, RADIUS, THICK, ELASTIC).supported,
    "force": lambda: round_plate(FORCE, RADIUS, RADIUS, (THICK,)).clamped / 0.75 * THICK**2 * math.pi,
    "ring_shear": lambda: plug_shear(500.0, 38.6, 6.0),
    "opening": lambda: canopy_force(Canopy(914.4, 0.75), 20.0, 1.225),
}


def test_every_row_of_the_table_is_read() -> None:
    assert [row["id"] for row in VALUES] == list(READ)


@by_row(VALUES)
def test_it_is_the_closed_form(row: dict[str, Any]) -> None:
    assert READ[row["id"]]() == as_published(row)


@pytest.mark.parametrize("over", [5.0, 12.0, 30.0])
@pytest.mark.parametrize("clamped", [True, False])
def test_a_load_over_a_circle_solves_the_equation_of_the_plate(over: float, clamped: bool) -> None:
    """Slope f of the bent plate: f'' + f'/r - f/r2 = -Q/D, Q the shear (Timoshenko, equation of section 15).

    Moments D (f' + nu f / r) and D (f / r + nu f') by scipy's boundary-value solver, within its tolerance of 1e-8.
    """
    load, nu, stiffness = 500.0, 0.3, 1.0

    def shear(r: Any) -> Any:
        inside = load * r / (2.0 * math.pi * over**2)
        return np.where(r < over, inside, load / (2.0 * math.pi * r))

    def equations(r: Any, y: Any) -> Any:
        return np.vstack([y[1], -y[1] / r + y[0] / r**2 - shear(r) / stiffness])

    def ends(near: Any, far: Any) -> Any:
        rim = far[0] if clamped else far[1] + nu * far[0] / RADIUS
        # At the middle slope and curvature go together: f = f' r.
        return np.array([near[0] - near[1] * start, rim])

    start = 1e-4 * over
    mesh = np.unique(np.concatenate([np.geomspace(start, over, 400), np.linspace(over, RADIUS, 400)]))
    solved = solve_bvp(equations, ends, mesh, np.zeros((2, mesh.size)), tol=1e-8, max_nodes=200_000)
    assert solved.success
    r, (f, slope) = solved.x, solved.y
    radial, hoop = np.abs(slope + nu * f / r), np.abs(f / r + nu * slope)
    greatest = 6.0 * max(radial.max(), hoop.max()) / THICK**2
    found = round_plate(load, over, RADIUS, (THICK,))
    assert (found.clamped if clamped else found.supported) == pytest.approx(greatest, rel=1e-4)


def test_two_discs_that_slide_bear_twice_what_one_does() -> None:
    """Each takes half of the moment; as one of twice the thickness they would bear four times as much (statics)."""
    one, two = (round_plate(500.0, 5.0, RADIUS, discs).supported for discs in ((6.0,), (6.0, 6.0)))
    solid = round_plate(500.0, 5.0, RADIUS, (12.0,)).supported
    assert (two, solid) == pytest.approx((one / 2.0, one / 4.0), rel=1e-12)


def test_a_washer_as_large_as_the_disc_is_an_even_load() -> None:
    assert round_plate(500.0, 50.0, RADIUS, (6.0,)) == round_plate(500.0, RADIUS, RADIUS, (6.0,))


def test_a_strip_by_hand() -> None:
    """276 N on 17.2 mm, 10 mm wide and 6 mm thick: M = 276 x 17.2 / 4 = 1186.8, W = 10 x 36 / 6 = 60."""
    found = strip(276.0, 17.2, 10.0, 6.0)
    assert (found.supported, found.clamped) == pytest.approx((1186.8 / 60.0, 593.4 / 60.0), rel=1e-12)


def test_a_strip_under_an_even_pressure_by_hand() -> None:
    """0.01 MPa on 12 mm, each mm wide: M = 0.01 x 144 / 8 = 0.18 or / 12 = 0.12 N, W = 36 / 6 = 6."""
    found = even_strip(0.01, 12.0, 6.0)
    assert (found.supported, found.clamped) == pytest.approx((0.18 / 6.0, 0.12 / 6.0), rel=1e-12)
