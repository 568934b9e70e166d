"""Couplers and drilled tubes against volumes by hand; a drilled wall by the mean of its chord (elementary geometry)."""

from __future__ import annotations

import math
from typing import Any

import pytest
from scipy.integrate import quad

from ferrule.parts.kinds import Coupler, Tube
from ferrule.parts.readers.integrals import moments

COUPLER: dict[str, Any] = {"outside_diameter": "65.5 mm", "wall": "2.4 mm", "length": "136 mm"}


def wall_behind_a_hole(outside: float, inside: float, radius: float) -> float:
    """Volume of a round tube's wall within a cylinder that crosses its axis at right angles, on one side [mm3]."""
    found, _ = quad(
        lambda w: 2.0 * math.sqrt(radius**2 - w**2) * (math.sqrt(outside**2 - w**2) - math.sqrt(inside**2 - w**2)),
        -radius,
        radius,
        epsabs=1e-10,
        epsrel=1e-10,
    )
    return float(found)


def test_a_plain_coupler_is_a_sleeve() -> None:
    coupler = Coupler.build(**COUPLER)
    assert coupler.inside_diameter == pytest.approx(60.7, abs=1e-12)
    volume = math.pi * (32.75**2 - 30.35**2) * 136.0
    assert moments(coupler.shape()).volume == pytest.approx(volume, rel=1e-12)


@pytest.mark.parametrize(("distance", "middle"), [({}, 34.0), ({"screw_distance": "20 mm"}, 20.0)])
def test_screw_holes_take_their_share_of_the_wall_where_they_are(distance: dict[str, str], middle: float) -> None:
    coupler = Coupler.build(**COUPLER, screw_count=3, screw_diameter="3.4 mm", **distance)
    sleeve = math.pi * (32.75**2 - 30.35**2) * 136.0
    holes = 3.0 * wall_behind_a_hole(32.75, 30.35, 1.7)
    found = moments(coupler.shape())
    assert found.volume == pytest.approx(sleeve - holes, rel=1e-9)
    assert found.centroid[0] == pytest.approx((sleeve * 68.0 - holes * middle) / (sleeve - holes), rel=1e-9)
    assert found.centroid[1:] == pytest.approx((0.0, 0.0), abs=1e-9)


def test_vents_go_through_one_wall_of_a_tube_at_their_roll() -> None:
    """Drilled on the rail line, mass is missing at +y; at roll 90 deg, clockwise from behind, at -z."""
    for roll, side in (("0 deg", (-1.0, 0.0)), ("90 deg", (0.0, 1.0))):
        tube = Tube.build(**Tube.example, hole_diameter="4 mm", hole_positions=("40 mm", "200 mm"), hole_roll=roll)
        plain = math.pi * (34.2**2 - 32.95**2) * 280.0
        hole = wall_behind_a_hole(34.2, 32.95, 2.0)
        found = moments(tube.shape())
        assert found.volume == pytest.approx(plain - 2.0 * hole, rel=1e-9)
        assert found.centroid[0] == pytest.approx((plain * 140.0 - hole * 240.0) / (plain - 2.0 * hole), rel=1e-9)
        # The wall of a small hole lies between the radii, so that its first moment is known to a few per cent.
        y, z = found.first[1:]
        assert (y, z) == pytest.approx(tuple(2.0 * hole * 33.57 * one for one in side), rel=2e-3, abs=1e-6)


def test_a_tube_without_holes_is_as_it_was() -> None:
    tube = Tube.build(**Tube.example)
    assert moments(tube.shape()).volume == pytest.approx(math.pi * (34.2**2 - 32.95**2) * 280.0, rel=1e-12)
    assert tube.skin() == Tube.build(**Tube.example, hole_diameter="4 mm", hole_positions=("40 mm",)).skin()
