"""Mass, centre of gravity and inertia of an assembly against hand sums (derived in closed form)."""

from __future__ import annotations

import pytest

from ferrule.analysis.mass import mass_properties, total
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.kinds import CenteringRing, Fin, NoseCone, Tube
from ferrule.parts.readers.integrals import moments

EXACT = 1e-9


def test_cone_tube_ring_and_a_mass() -> None:
    """Solid cone, tube, ring at 650 mm, 0.5 kg at 850 mm: closed forms and the parallel-axis theorem."""
    nose = NoseCone.build(
        profile="cone", tip="sharp", length="200 mm", base_diameter="66 mm", body="solid", density="1240 kg/m3"
    )
    tube = Tube.build(outside_diameter="66 mm", inside_diameter="64 mm", length="700 mm", density="1 g/cm3")
    ring = CenteringRing.build(outside_diameter="64 mm", inside_diameter="42 mm", thickness="6 mm", density="680 kg/m3")
    rocket = Rocket(
        "assembly",
        (
            Item("nose", (0.0,), nose),
            Item("tube", (200.0,), tube),
            Item("ring", (650.0,), ring),
            Item("mass", (850.0,), stated_mass=500.0),
        ),
    )
    found = total(rocket)
    assert found is not None
    assert found.mass == pytest.approx(933.233920735, rel=EXACT)
    assert found.cg[0] == pytest.approx(590.335219599, rel=EXACT)
    assert found.inertia[0][0] == pytest.approx(248889.362344, rel=EXACT)
    assert found.inertia[1][1] == pytest.approx(95197482.3413, rel=EXACT)


def test_ring_with_four_holes() -> None:
    ring = CenteringRing.build(
        outside_diameter="98 mm",
        inside_diameter="38.6 mm",
        thickness="6 mm",
        hole_diameter="12 mm",
        hole_circle_diameter="68.3 mm",
        hole_rolls=("0 deg", "90 deg", "180 deg", "270 deg"),
    )
    found = moments(ring.shape())
    assert found.volume == pytest.approx(35522.1766297, rel=EXACT)
    # Polar second moment of the area, from the inertia about the axis over the thickness.
    assert found.inertia()[0, 0] / 6.0 == pytest.approx(8301652.49226, rel=EXACT)


def test_three_fins() -> None:
    fin = Fin.build(
        root_chord="120 mm",
        tip_chord="60 mm",
        semi_span="70 mm",
        sweep_length="50 mm",
        thickness="3 mm",
        density="1850 kg/m3",
    )
    found = mass_properties(Item("fins", (0.0,), fin, 3, 33.0))
    assert found is not None
    assert found.mass == pytest.approx(104.895, rel=EXACT)
    assert found.cg[0] == pytest.approx(68.888888889, rel=EXACT)
    assert found.inertia[0][0] == pytest.approx(472467.47625, rel=EXACT)
    assert found.inertia[1][1] == pytest.approx(318271.988125, rel=EXACT)


def test_a_mass_that_is_not_stated_leaves_the_total_open() -> None:
    ring = CenteringRing.build(outside_diameter="64 mm", inside_diameter="42 mm", thickness="6 mm")
    assert mass_properties(Item("ring", (0.0,), ring)) is None
    assert total(Rocket("open", (Item("ring", (0.0,), ring), Item("mass", (1.0,), stated_mass=5.0)))) is None


def test_a_weighed_mass_wins_and_spreads_as_the_shape_does() -> None:
    ring = CenteringRing.build(
        outside_diameter="64 mm", inside_diameter="42 mm", thickness="6 mm", material="birch-plywood"
    )
    plain, weighed = Item("ring", (10.0,), ring), Item("ring", (10.0,), ring, stated_mass=20.0, weighed=True)
    estimated, measured = mass_properties(plain), mass_properties(weighed)
    assert estimated is not None
    assert measured is not None
    assert (estimated.basis, measured.basis) == ("estimated", "weighed")
    assert measured.mass == 20.0
    assert measured.cg == pytest.approx(estimated.cg)
    assert measured.inertia[0][0] / estimated.inertia[0][0] == pytest.approx(20.0 / estimated.mass)
