"""What the scale said of one item: which mass counts, how far off it is, and how much alike the pieces are.

The relations are arithmetic; the limits of 10 % and 3 % are common practice.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from rocket_samples import fin_part, ring_part

from ferrule.analysis.limits import limits
from ferrule.analysis.mass import mass_properties
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.weighed_items import compared, mass_band, piece_state, weighing_checks
from ferrule.analysis.weighing import Weighing
from ferrule.parts.errors import PartError
from ferrule.parts.tables import material

RING = Item("ring", (650.0,), ring_part(material="birch-plywood"))
FINS = Item("fins", (700.0,), fin_part(material="birch-plywood"), 3, 33.0)


def estimate_of(item: Item) -> float:
    found = mass_properties(item)
    assert found is not None
    return found.mass


def on_scale(item: Item, *masses: float, made_for: str | None = None, balance: float | None = None) -> Item:
    state = piece_state(item) if made_for is None else made_for
    return item.by_weighing(Weighing(masses, balance, state, piece_state(item), item.stated_mass, item.estimate))


def test_a_fresh_weighing_counts_for_every_piece_and_an_old_one_for_none() -> None:
    fresh, old = on_scale(FINS, 12.0, 12.3), on_scale(FINS, 12.0, 12.3, made_for="0000-0000-0000")
    found = mass_properties(fresh)
    assert found is not None
    # Three fins, two of them weighed: three times their mean.
    assert (found.mass, found.basis) == (pytest.approx(3 * 12.15), "weighed")
    assert mass_properties(old) == mass_properties(FINS)
    assert compared(old).measured == pytest.approx(3 * 12.15)
    assert (compared(fresh).is_used, compared(old).is_used) == (True, False)
    assert compared(old).flags == ("weighed for an older shape, not used",)


def test_a_weighing_can_be_taken_back() -> None:
    bolt = Item("bolt", (10.0,), None, 2, stated_mass=6.0, estimate=True, what="hardware")
    for item in (RING, FINS, bolt):
        for weighed in (on_scale(item, 5.0), on_scale(item, 5.0, made_for="0000-0000-0000")):
            assert weighed.unweighed() == item
            assert piece_state(weighed) == piece_state(item)
    assert piece_state(replace(bolt, stated_mass=8.0)) != piece_state(bolt)


def test_without_a_fingerprint_it_counts_and_says_so() -> None:
    item = RING.by_weighing(Weighing((8.0,), None, None, piece_state(RING)))
    assert item.stated_mass == 8.0
    assert "for which shape is not stated" in compared(item).flags
    (check,) = weighing_checks(Rocket("one", (item,)))
    assert check.status == "warn"
    assert "for which shape is not stated" in check.note


def test_a_measured_balance_moves_the_centre_of_gravity_and_leaves_the_inertia_about_it() -> None:
    plain = mass_properties(FINS)
    found = mass_properties(on_scale(FINS, 12.0, balance=66.0))
    assert plain is not None
    assert found is not None
    # The root leading edges are at 700, so each fin balances at 766; across the axis nothing was measured.
    assert found.cg == (766.0, plain.cg[1], plain.cg[2])
    assert "as balanced" in found.method
    # Same spread of mass, scaled: I / m stays.
    assert np.array(found.inertia) / found.mass == pytest.approx(np.array(plain.inertia) / plain.mass, rel=1e-12)
    old = mass_properties(on_scale(FINS, 12.0, balance=66.0, made_for="0000-0000-0000"))
    assert old == plain


def test_several_along_the_axis_balance_each_at_its_own_place() -> None:
    two = Item("rings", (600.0, 700.0), ring_part(material="birch-plywood"))
    found = mass_properties(on_scale(two, 8.0, balance=2.0))
    assert found is not None
    assert (found.mass, found.cg[0]) == (16.0, 652.0)


@pytest.mark.parametrize(("share", "flagged"), [(1.099, False), (1.101, True), (0.901, False), (0.899, True)])
def test_more_than_a_tenth_off_the_estimate_is_flagged(share: float, flagged: bool) -> None:
    item = on_scale(RING, estimate_of(RING) * share)
    found = compared(item)
    assert found.difference == pytest.approx(100.0 * (share - 1.0))
    assert any("the estimate" in flag for flag in found.flags) is flagged
    (check,) = weighing_checks(Rocket("one", (item,)))
    assert check.status == ("warn" if flagged else "pass")


def test_the_band_is_that_of_the_density_in_the_table() -> None:
    row = material("birch-plywood")
    low, high = mass_band(RING) or (0.0, 0.0)
    volume = RING.volume_moments().volume
    assert (low, high) == (pytest.approx(volume * row.low), pytest.approx(volume * row.high))
    assert compared(on_scale(RING, low)).flags == ()
    assert any("usual for its material" in flag for flag in compared(on_scale(RING, low * 0.999)).flags)
    # A density that was stated is known better than the table's band, and without a material nobody knows.
    for part in (ring_part(material="birch-plywood", density="700 kg/m3"), ring_part()):
        assert mass_band(Item("ring", (0.0,), part)) is None


@pytest.mark.parametrize(("heavy", "status"), [(10.29, "pass"), (10.31, "warn")])
def test_pieces_that_differ_by_more_than_three_per_cent_are_flagged(heavy: float, status: str) -> None:
    # 10 and h differ by (h - 10) over their mean: 3 % of it where h = 10 x (1 + 0.015) / (1 - 0.015) = 10.305.
    item = on_scale(FINS, 10.0, heavy)
    found = next(check for check in weighing_checks(Rocket("one", (item,))) if check.name == "fins: pieces alike")
    assert found.status == status
    assert compared(item).spread == pytest.approx((heavy - 10.0) / ((heavy + 10.0) / 2.0))
    assert compared(on_scale(FINS, 10.0)).spread is None


def test_what_was_weighed_by_its_own_table_is_compared_too() -> None:
    item = replace(RING, stated_mass=9.0, weighed=True)
    found = compared(item)
    assert (found.measured, found.is_used, found.estimated) == (9.0, True, pytest.approx(estimate_of(RING)))
    assert list(weighing_checks(Rocket("one", (item,)))) == []
    stated = compared(Item("payload", (1.0,), stated_mass=85.0))
    assert (stated.estimated, stated.measured, stated.difference, stated.is_used) == (85.0, None, None, False)
    unknown = compared(Item("ring", (0.0,), ring_part()))
    assert (unknown.estimated, unknown.measured, unknown.flags) == (None, None, ())


def test_a_tube_that_is_not_weighed_is_not_called_measured() -> None:
    assert not compared(replace(RING, weighed=True)).is_used
    assert not compared(on_scale(replace(RING, weighed=True), 5.0, made_for="0000-0000-0000")).is_used


@pytest.mark.parametrize("masses", [(), (0.0,), (5.0, -1.0), (float("nan"),)])
def test_no_scale_shows_nothing_or_less(masses: tuple[float, ...]) -> None:
    with pytest.raises(PartError, match="masses:"):
        Weighing(masses)


def test_the_limits_have_their_sources() -> None:
    assert all("common practice" in limits()[name].source for name in ("weighed_difference", "mass_spread"))
