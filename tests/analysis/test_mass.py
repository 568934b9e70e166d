"""Mass, centre of gravity and inertia against sums by hand.

Sources: moments of inertia of cylinder, tube and point and the parallel-axis theorem as in any mechanics handbook;
volume and centroid of the tangent ogive from its integral (derived).
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from rocket_samples import fin_part, nose_part, ring_part, rocket, tube_part

from ferrule.analysis.mass import MassProperties, Tensor, Vector, combine, mass_properties, total
from ferrule.analysis.rocket import Item, Rocket
from ferrule.parts.kinds import MotorMount

EXACT = 1e-10
"""Relative: sums of a few dozen terms in rounding of 1e-16, some of them differences of large moments."""

NONE: Tensor = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))


def point(mass: float, place: Vector, basis: str = "stated") -> MassProperties:
    return MassProperties(mass, place, NONE, "a point", basis)


def found_for(item: Item) -> MassProperties:
    found = mass_properties(item)
    assert found is not None
    return found


def annulus(outer: float, inner: float, length: float, mass: float) -> tuple[float, float]:
    """Inertia [g mm2] of a hollow cylinder along and across its axis, about its middle."""
    square = outer**2 + inner**2
    return mass * square / 2.0, mass * (3.0 * square + length**2) / 12.0


def test_assembly_of_nose_tube_rings_and_payload() -> None:
    """Everything from its density; ogive volume 367753.262168 mm3, centroid 137.13601364 mm (derived)."""
    rho = 1.2e-3
    items = (
        Item("nose", (0.0,), nose_part(density="1200 kg/m3")),
        Item("tube", (200.0,), tube_part(density="1200 kg/m3")),
        Item("rings", (600.0, 880.0), ring_part(density="1200 kg/m3")),
        Item("payload", (300.0,), stated_mass=250.0),
    )
    found = total(Rocket("assembly", items))
    assert found is not None
    nose = rho * 367753.262168
    tube = rho * math.pi * (33.0**2 - 32.0**2) * 700.0
    ring = rho * math.pi * (32.0**2 - 21.0**2) * 6.0
    rows = [
        # mass, station of its middle, inertia along and across; of the ogive at unit density 152883764.99 and
        # 746412583.79 mm5 (derived, printed to 11 digits)
        (nose, 137.13601364, rho * 152883764.99, rho * 746412583.79),
        (tube, 550.0, *annulus(33.0, 32.0, 700.0, tube)),
        (ring, 603.0, *annulus(32.0, 21.0, 6.0, ring)),
        (ring, 883.0, *annulus(32.0, 21.0, 6.0, ring)),
        (250.0, 300.0, 0.0, 0.0),
    ]
    mass = sum(row[0] for row in rows)
    cg = sum(row[0] * row[1] for row in rows) / mass
    assert found.mass == pytest.approx(mass, rel=EXACT)
    assert found.cg == pytest.approx((cg, 0.0, 0.0), rel=EXACT, abs=1e-9)
    along = sum(row[2] for row in rows)
    across = sum(row[3] + row[0] * (row[1] - cg) ** 2 for row in rows)
    assert np.diag(found.inertia) == pytest.approx([along, across, across], rel=EXACT * 10)
    assert found.basis == "estimated"


@pytest.mark.parametrize("count", [3, 4, 5, 6, 8])
def test_a_set_of_fins_is_balanced_about_the_axis(count: int) -> None:
    found = found_for(Item("fins", (780.0,), fin_part(density="1850 kg/m3"), count, 33.0))
    assert found.mass == pytest.approx(count * 6300.0 * 3.0 * 1.85e-3, rel=EXACT)
    assert found.cg[1:] == pytest.approx((0.0, 0.0), abs=1e-9)
    inertia = np.array(found.inertia)
    # Three or more evenly spaced: every direction across is a principal axis.
    assert inertia[1, 1] == pytest.approx(inertia[2, 2], rel=EXACT)
    assert inertia - np.diag(np.diag(inertia)) == pytest.approx(np.zeros((3, 3)), abs=1e-9 * inertia[0, 0])


def test_two_fins_are_not_alike_in_all_directions() -> None:
    inertia = np.array(found_for(Item("fins", (0.0,), fin_part(density="1850 kg/m3"), 2, 33.0)).inertia)
    assert inertia[1, 1] > 1.5 * inertia[2, 2], "at roll 90 and 270 degrees they stretch along z"


def test_two_points_make_a_dumb_bell() -> None:
    """Their inertia is the reduced mass times the square of their distance, and none along the line."""
    found = combine((point(3.0, (10.0, 0.0, 0.0)), point(5.0, (50.0, 0.0, 0.0))))
    assert found.mass == 8.0
    assert found.cg == pytest.approx((35.0, 0.0, 0.0))
    across = 3.0 * 5.0 / 8.0 * 40.0**2
    assert np.array(found.inertia) == pytest.approx(np.diag([0.0, across, across]), abs=1e-9)


def test_parallel_axis_of_every_component() -> None:
    """Two points of 2 g at (0, 3, 4) and (0, -3, -4): Ixx 100, Iyy 64, Izz 36, Iyz -48 g mm2."""
    found = combine((point(2.0, (0.0, 3.0, 4.0)), point(2.0, (0.0, -3.0, -4.0))))
    expected = [[100.0, 0.0, 0.0], [0.0, 64.0, -48.0], [0.0, -48.0, 36.0]]
    assert np.array(found.inertia) == pytest.approx(np.array(expected), abs=1e-9)


def test_the_order_and_the_grouping_of_the_sum_do_not_matter() -> None:
    a, b, c = (
        point(2.0, (0.0, 3.0, 4.0)),
        found_for(Item("tube", (200.0,), tube_part(density="1 g/cm3"))),
        found_for(Item("fins", (780.0,), fin_part(density="1 g/cm3"), 3, 33.0)),
    )
    together, grouped, turned = combine((a, b, c)), combine((combine((a, b)), c)), combine((c, a, b))
    for other in (grouped, turned):
        assert other.mass == pytest.approx(together.mass, rel=EXACT)
        assert other.cg == pytest.approx(together.cg, rel=EXACT, abs=1e-9)
        scale = together.inertia[1][1]
        assert np.array(other.inertia) == pytest.approx(np.array(together.inertia), rel=EXACT, abs=EXACT * scale)


def test_a_tube_in_two_pieces_is_the_same_tube() -> None:
    whole = found_for(Item("tube", (200.0,), tube_part(density="750 kg/m3")))
    front, aft = tube_part(length="300 mm", density="750 kg/m3"), tube_part(length="400 mm", density="750 kg/m3")
    halves = combine((found_for(Item("front", (200.0,), front)), found_for(Item("aft", (500.0,), aft))))
    assert halves.mass == pytest.approx(whole.mass, rel=EXACT)
    assert halves.cg == pytest.approx(whole.cg, rel=EXACT, abs=1e-9)
    assert np.diag(halves.inertia) == pytest.approx(np.diag(whole.inertia), rel=EXACT)


def test_moving_everything_moves_the_centre_of_gravity_and_nothing_else() -> None:
    here = total(rocket())
    moved = total(
        Rocket("moved", tuple(replace(i, stations=tuple(s + 125.0 for s in i.stations)) for i in rocket().items))
    )
    assert here is not None
    assert moved is not None
    assert moved.cg[0] == pytest.approx(here.cg[0] + 125.0, rel=EXACT)
    assert np.diag(moved.inertia) == pytest.approx(np.diag(here.inertia), rel=EXACT)


def test_a_stated_mass_goes_before_the_material_and_is_of_all_copies_together() -> None:
    plain = Item("rings", (600.0, 700.0), ring_part(material="birch-plywood"))
    estimated = found_for(plain)
    weighed = found_for(replace(plain, stated_mass=31.0, weighed=True))
    stated = found_for(replace(plain, stated_mass=31.0))
    assert (estimated.basis, weighed.basis, stated.basis) == ("estimated", "weighed", "stated")
    assert weighed.mass == stated.mass == 31.0
    assert estimated.mass == pytest.approx(2.0 * math.pi * (32.0**2 - 21.0**2) * 6.0 * 680e-6, rel=EXACT)
    # It spreads as the shape does.
    assert weighed.cg == estimated.cg == pytest.approx((653.0, 0.0, 0.0), abs=1e-9)
    ratio = 31.0 / estimated.mass
    assert np.diag(weighed.inertia) == pytest.approx(np.diag(estimated.inertia) * ratio, rel=EXACT)
    assert "mass as given" in weighed.method
    assert "volume x density" in estimated.method


def test_a_density_goes_before_the_material() -> None:
    found = found_for(Item("ring", (0.0,), ring_part(material="birch-plywood", density="700 kg/m3")))
    assert found.mass == pytest.approx(math.pi * (32.0**2 - 21.0**2) * 6.0 * 700e-6, rel=EXACT)


def test_a_mass_needs_no_material() -> None:
    assert found_for(Item("ring", (0.0,), ring_part(), stated_mass=12.0)).mass == 12.0


@pytest.mark.parametrize("missing", range(4))
def test_one_mass_that_is_not_stated_leaves_the_total_not_stated(missing: int) -> None:
    masses: list[float | None] = [100.0, 200.0, 105.0, 500.0]
    assert total(rocket(masses=tuple(masses))) is not None
    masses[missing] = None
    open_one = rocket(masses=tuple(masses))
    assert mass_properties(open_one.items[missing]) is None
    assert total(open_one) is None


def test_an_empty_rocket_has_no_mass() -> None:
    assert total(Rocket("empty")) is None


def test_a_sum_is_weighed_only_if_everything_in_it_is() -> None:
    scale, table = point(1.0, (0.0, 0.0, 0.0), "weighed"), point(1.0, (9.0, 0.0, 0.0), "estimated")
    word = point(1.0, (5.0, 0.0, 0.0), "stated")
    assert combine((scale, scale)).basis == "weighed"
    assert combine((scale, table)).basis == "estimated"
    assert combine((scale, word)).basis == "stated"
    assert combine((scale, word, table)).basis == "estimated"


def test_a_weighed_rocket_with_a_stated_payload_is_not_estimated() -> None:
    found = total(rocket())
    assert found is not None
    assert found.basis == "stated"


def test_where_the_mass_at_a_place_comes_from() -> None:
    bases = [
        found_for(Item("mass", (5.0,), stated_mass=3.0, weighed=weighed, estimate=estimate)).basis
        for weighed, estimate in ((False, False), (True, False), (False, True))
    ]
    assert bases == ["stated", "weighed", "estimated"]


def test_masses_alike_along_the_axis_share_what_is_stated() -> None:
    """Two buttons of 3 g each at 100 and 300 mm: a dumb-bell of 6 g about 200 mm."""
    found = found_for(Item("buttons", (100.0, 300.0), stated_mass=6.0))
    assert found.mass == 6.0
    assert found.cg == pytest.approx((200.0, 0.0, 0.0))
    assert np.array(found.inertia) == pytest.approx(np.diag([0.0, 60000.0, 60000.0]), abs=1e-9)
    assert found.basis == "stated"


def mount(**changes: object) -> MotorMount:
    """Kraft tube 42/40 x 150 mm with plywood rings 64 x 6 mm at 10 and 120 mm."""
    fields: dict[str, Any] = {
        "tube_outside_diameter": "42 mm",
        "tube_inside_diameter": "40 mm",
        "tube_length": "150 mm",
        "ring_diameter": "64 mm",
        "ring_thickness": "6 mm",
        "ring_positions": ("10 mm", "120 mm"),
        "density": "750 kg/m3",
        "ring_density": "680 kg/m3",
    }
    return MotorMount.build(**{name: value for name, value in {**fields, **changes}.items() if value is not None})


MOUNT_TUBE = (math.pi * (21.0**2 - 20.0**2) * 150.0, 75.0, 0.750e-3)
MOUNT_RINGS = tuple((math.pi * (32.0**2 - 21.0**2) * 6.0, at + 3.0, 0.680e-3) for at in (10.0, 120.0))
"""Volume [mm3], middle [mm] and density [g/mm3] of each stretch, by hand."""


def test_a_part_of_two_materials_weighs_what_they_weigh() -> None:
    rows = (MOUNT_TUBE, *MOUNT_RINGS)
    mass = sum(volume * density for volume, _, density in rows)
    cg = sum(volume * density * middle for volume, middle, density in rows) / mass
    found = found_for(Item("mount", (800.0,), mount()))
    assert found.basis == "estimated"
    assert found.mass == pytest.approx(mass, rel=EXACT)
    assert found.cg == pytest.approx((800.0 + cg, 0.0, 0.0), rel=EXACT, abs=1e-9)
    shapes = ((21.0, 20.0, 150.0), (32.0, 21.0, 6.0), (32.0, 21.0, 6.0))
    turns = [annulus(*shape, row[0] * row[2]) for shape, row in zip(shapes, rows, strict=True)]
    across = sum(turn[1] + row[0] * row[2] * (row[1] - cg) ** 2 for turn, row in zip(turns, rows, strict=True))
    along = sum(turn[0] for turn in turns)
    assert np.diag(found.inertia) == pytest.approx([along, across, across], rel=EXACT)


def test_a_stated_mass_spreads_as_the_materials_do_where_they_are_known() -> None:
    estimated = found_for(Item("mount", (800.0,), mount()))
    weighed = found_for(Item("mount", (800.0,), mount(), stated_mass=100.0, weighed=True))
    assert (weighed.mass, weighed.basis) == (100.0, "weighed")
    assert weighed.cg == pytest.approx(estimated.cg, rel=EXACT)
    ratio = 100.0 / estimated.mass
    assert np.array(weighed.inertia) == pytest.approx(np.array(estimated.inertia) * ratio, rel=EXACT, abs=1e-6)
    assert "spread as volume x density" in weighed.method


def test_a_stated_mass_spreads_as_the_shape_does_where_a_material_is_missing() -> None:
    rows = (MOUNT_TUBE, *MOUNT_RINGS)
    open_one = mount(ring_density=None)
    assert mass_properties(Item("mount", (800.0,), open_one)) is None
    found = found_for(Item("mount", (800.0,), open_one, stated_mass=100.0))
    cg = sum(volume * middle for volume, middle, _ in rows) / sum(volume for volume, *_ in rows)
    assert found.cg[0] == pytest.approx(800.0 + cg, rel=EXACT)
    assert found.basis == "stated"
    assert "as if all of one material" in found.method
