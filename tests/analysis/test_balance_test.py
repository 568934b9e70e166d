"""The rocket on an edge: what the parts do not explain, by hand, and which state has which balance.

Every figure follows from the moments about the nose tip (statics, any textbook); the arithmetic stands beside it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rocket_samples import fin_part, ring_part, rocket

from ferrule.analysis.balance_test import (
    BalanceTest,
    aft_end,
    balance_checks,
    measured_properties,
    motor_found,
    motors_found,
    predicted_properties,
    reconciled,
    rocket_state,
)
from ferrule.analysis.loading import FOLLOWS_BARE, FOLLOWS_LOADED, MEASURED, PREDICTED, loadings
from ferrule.analysis.mass import total
from ferrule.analysis.motor import Motor
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.weighed_items import piece_state
from ferrule.analysis.weighing import Weighing
from ferrule.parts.errors import PartError

POINTS = Rocket("points", (Item("a", (100.0,), stated_mass=200.0), Item("b", (600.0,), stated_mass=300.0)))
"""500 g, CG (200 x 100 + 300 x 600) / 500 = 400 mm."""

MOTOR = Motor("M", 29.0, 100.0, 150.0, 90.0, 900.0)
"""Forward end 800 mm; 150 g loaded and 90 g empty, both taken at 850 mm."""


def test_the_unexplained_mass_is_where_the_moments_say() -> None:
    # 520 g at 410 mm: 20 g more, and (520 x 410 - 500 x 400) / 20 = (213200 - 200000) / 20 = 660 mm.
    found = reconciled(BalanceTest(520.0, 410.0), total(POINTS), 900.0)
    assert found is not None
    assert (found.mass, found.station, found.cg_shift) == (
        pytest.approx(20.0),
        pytest.approx(660.0),
        pytest.approx(10.0),
    )
    assert found.is_possible
    assert found.words == "20.0 g that no part explains, at 660 mm"


def test_a_missing_mass_has_a_place_too() -> None:
    # 480 g at 405 mm: 20 g less, and (480 x 405 - 500 x 400) / -20 = (194400 - 200000) / -20 = 280 mm.
    found = reconciled(BalanceTest(480.0, 405.0), total(POINTS), 900.0)
    assert found is not None
    assert (found.mass, found.station) == (pytest.approx(-20.0), pytest.approx(280.0))
    assert found.words == "20.0 g less than the sum of the parts, missing at 280 mm"


@pytest.mark.parametrize("cg", [425.0, 380.0])  # 1050 mm and -120 mm
def test_a_mass_outside_the_rocket_is_a_wrong_reading(cg: float) -> None:
    found = reconciled(BalanceTest(520.0, cg), total(POINTS), 900.0)
    assert found is not None
    assert found.station == pytest.approx((520.0 * cg - 200_000.0) / 20.0)
    assert not found.is_possible
    assert "a mass outside the rocket would be needed: one of the readings or stations is wrong" in found.words


def test_too_small_a_mass_has_no_place() -> None:
    near, far = (reconciled(BalanceTest(500.9, cg), total(POINTS), 900.0) for cg in (401.0, 390.0))
    assert near is not None
    assert far is not None
    assert (near.station, far.station) == (None, None)
    assert "another station" not in near.words
    assert "10.0 mm forward of the predicted one: something sits at another station" in far.words
    assert reconciled(BalanceTest(500.0, 400.0), None, 900.0) is None


@settings(max_examples=50)
@given(st.floats(5.0, 300.0), st.floats(0.0, 900.0))
def test_a_mass_that_was_left_out_is_found_again(mass: float, station: float) -> None:
    """Whatever is put on the rocket and not into the file is what is reported, and where it was put."""
    full = total(Rocket("full", (*POINTS.items, Item("left out", (station,), stated_mass=mass))))
    assert full is not None
    found = reconciled(BalanceTest(full.mass, full.cg[0]), total(POINTS), 900.0)
    assert found is not None
    assert (found.mass, found.station) == (pytest.approx(mass), pytest.approx(station, abs=1e-6))


def test_two_tests_have_the_motor_between_them() -> None:
    # Bare 500 g at 400; loaded 660 g at 510: 160 g, (660 x 510 - 500 x 400) / 160 = 136600 / 160 = 853.75, so 53.75
    # behind its forward end; 1 mm in each reading is (660 + 500) / 160 = 7.25 mm.
    bare, loaded = BalanceTest(500.0, 400.0), BalanceTest(660.0, 510.0, "M")
    found = motor_found(bare, loaded, MOTOR)
    assert found is not None
    assert (found.mass, found.cg, found.within) == (pytest.approx(160.0), pytest.approx(53.75), pytest.approx(7.25))
    assert found.is_sound
    assert "middle of its length 50 mm: enter `loaded_cg`" in found.words
    apart = motor_found(bare, loaded, replace(MOTOR, loaded_cg=40.0))
    near = motor_found(bare, loaded, replace(MOTOR, loaded_cg=47.0))
    assert [one.is_sound for one in (apart, near) if one] == [False, True]
    assert motor_found(bare, BalanceTest(490.0, 400.0, "M"), MOTOR) is None
    outside = motor_found(bare, BalanceTest(660.0, 540.0, "M"), MOTOR)  # 977.5, 177.5 behind its forward end
    assert outside is not None
    assert "outside the motor" in outside.words
    assert motors_found((bare, loaded), (MOTOR,)) == (found,)
    assert motors_found((loaded,), (MOTOR,)) == ()


def test_a_motor_of_another_mass_is_noticed() -> None:
    found = motor_found(BalanceTest(500.0, 400.0), BalanceTest(670.0, 512.0, "M"), MOTOR)
    assert found is not None
    assert not found.is_sound
    assert "mass differs by +13.3 %" in found.words  # 170 g against 150 g


def test_what_was_balanced_has_its_measured_margin_and_the_rest_follows() -> None:
    sample = rocket()
    motor = Motor("M", 29.0, 100.0, 150.0, 90.0, sample.length or 0.0)
    plain = loadings(sample, (motor,))
    bare = plain[0].mass
    assert bare is not None
    mass, cg = bare.mass + 50.0, bare.cg[0] + 12.0
    found = loadings(sample, (motor,), (BalanceTest(mass, cg),))
    assert [one.basis for one in found] == [MEASURED, FOLLOWS_BARE, FOLLOWS_BARE]
    assert [one.predicted for one in found] == [one.mass for one in plain]
    for one, inside in zip(found, (0.0, 150.0, 90.0), strict=True):
        assert one.mass is not None
        assert one.mass.mass == pytest.approx(mass + inside)
        place = motor.aft_end - 50.0
        assert one.mass.cg[0] == pytest.approx((mass * cg + inside * place) / (mass + inside))
        assert one.margin == pytest.approx((one.centre_of_pressure or 0.0) - one.mass.cg[0])
    assert found[0].mass is not None
    scaled = np.array(bare.inertia) * (mass / bare.mass)
    assert np.array(found[0].mass.inertia) == pytest.approx(scaled, rel=1e-12)


def test_a_loaded_test_gives_its_burnout_and_no_other_motor() -> None:
    sample = rocket()
    aft = sample.length or 0.0
    motors = (Motor("M", 29.0, 100.0, 150.0, 90.0, aft), Motor("N", 29.0, 120.0, 190.0, 100.0, aft))
    found = loadings(sample, motors, (BalanceTest(1500.0, 700.0, "M"),))
    assert [one.basis for one in found] == [PREDICTED, MEASURED, FOLLOWS_LOADED, PREDICTED, PREDICTED]
    assert found[2].mass is not None
    # The 60 g that burn away at the middle of the motor.
    assert found[2].mass.mass == pytest.approx(1440.0)
    assert found[2].mass.cg[0] == pytest.approx((1500.0 * 700.0 - 60.0 * (aft - 50.0)) / 1440.0)
    both = loadings(sample, motors, (BalanceTest(1500.0, 700.0, "M"), BalanceTest(1360.0, 660.0)))
    assert [one.basis for one in both] == [MEASURED, MEASURED, FOLLOWS_BARE, FOLLOWS_BARE, FOLLOWS_BARE]


def test_an_older_test_changes_nothing() -> None:
    old = BalanceTest(1500.0, 700.0, None, "0000-0000-0000", rocket_state(rocket()))
    assert loadings(rocket(), (), (old,)) == loadings(rocket(), ())


def test_a_rocket_with_an_unknown_mass_still_has_its_measured_margin() -> None:
    sample = rocket(masses=(100.0, None, 105.0, 500.0))
    assert total(sample) is None
    (found,) = loadings(sample, (), (BalanceTest(1200.0, 650.0),))
    assert found.mass is not None
    assert (found.mass.mass, found.mass.cg[0], found.predicted) == (1200.0, 650.0, None)
    assert "whose mass is known" in found.mass.method
    nothing = Rocket("nothing", (Item("ring", (0.0,), ring_part()),))
    assert measured_properties(BalanceTest(1.0, 0.0), nothing) is None


def test_the_state_is_of_the_rocket_and_not_of_what_a_scale_said() -> None:
    ring = Item("ring", (650.0,), ring_part(material="birch-plywood"))
    base = Rocket("one", (ring, Item("payload", (300.0,), stated_mass=85.0, what="payload")))
    state = rocket_state(base)
    weighing = Weighing((9.0,), None, piece_state(ring), piece_state(ring))
    glue = Item("glue", (700.0,), stated_mass=20.0, estimate=True, what="allowance")
    same = (
        replace(base, items=(replace(ring, stated_mass=9.0, weighed=True), base.items[1])),
        replace(base, items=(ring.by_weighing(weighing), base.items[1])),
        replace(base, items=base.items[::-1]),
        replace(base, items=(*base.items, glue)),
        replace(base, items=(ring, base.items[1].by_weighing(Weighing((90.0,), before=85.0)))),
    )
    assert {rocket_state(one) for one in same} == {state}
    other = (
        replace(base, items=(replace(ring, stations=(651.0,)), base.items[1])),
        replace(base, items=(replace(ring, part=ring_part(thickness="5 mm")), base.items[1])),
        replace(base, items=(ring, replace(base.items[1], stated_mass=86.0))),
        replace(base, items=(*base.items, Item("fins", (700.0,), fin_part(), 3, 33.0))),
    )
    assert len({state, *(rocket_state(one) for one in other)}) == 1 + len(other)
    states = {rocket_state(base, one) for one in (None, MOTOR, replace(MOTOR, aft_end=910.0))}
    assert len(states) == 3
    # The maker's sheet read again is no other rocket.
    assert rocket_state(base, replace(MOTOR, loaded_mass=155.0)) == rocket_state(base, MOTOR)


def status_of(tests: tuple[BalanceTest, ...], motors: tuple[Motor, ...] = (MOTOR,)) -> dict[str, tuple[str, str]]:
    return {one.name: (one.status, one.note) for one in balance_checks(POINTS, motors, tests)}


def test_the_check_says_what_was_measured_and_what_is_still_to_do() -> None:
    name = "centre of gravity measured"
    now, loaded_now = rocket_state(POINTS), rocket_state(POINTS, MOTOR)
    bare, loaded = (
        BalanceTest(500.0, 401.0, None, now, now),
        BalanceTest(650.0, 505.0, "M", loaded_now, loaded_now),
    )
    assert status_of(()) == {name: ("not-stated", "CG not measured: every figure here is predicted")}
    assert status_of((bare,))[name] == ("warn", "balance it loaded as well, as it will fly")
    assert status_of((loaded,))[name] == ("pass", "")
    assert status_of((bare, loaded))[name] == ("pass", "")
    assert "not balanced with N" in status_of((loaded,), (MOTOR, replace(MOTOR, name="N")))[name][1]
    assert "not stated" in status_of((replace(loaded, made_for=None),))[name][1]
    old = status_of((replace(loaded, made_for="0000-0000-0000"),))
    assert old[name][0] == "warn"
    assert "older rocket" in old[name][1]
    assert set(old) == {name}
    (value,) = (one.value for one in balance_checks(POINTS, (MOTOR,), (loaded,)) if one.name == name)
    # 500 g at 400 and 150 g at 850: 650 g, 327500 / 650 = 503.8 mm.
    assert value == "loaded with M: 650 g, CG 505 mm (predicted 650 g, 504 mm)"


@pytest.mark.parametrize(("mass", "status"), [(540.0, "pass"), (560.0, "warn")])
def test_more_than_a_tenth_that_no_part_explains_is_warned_of(mass: float, status: str) -> None:
    # Of 540 g, 40 g are 7.4 %; of 560 g, 60 g are 10.7 %.
    assert status_of((BalanceTest(mass, 410.0),))["unexplained mass, without motor"][0] == status


def test_the_end_of_the_rocket_is_that_of_its_motor_where_it_stands_out() -> None:
    sample = rocket()
    length = sample.length or 0.0
    assert aft_end(sample) == length
    assert aft_end(sample, replace(MOTOR, aft_end=length + 10.0)) == length + 10.0
    assert aft_end(Rocket("none", ())) is None
    found = predicted_properties(POINTS, MOTOR)
    assert found is not None
    assert found.cg[0] == pytest.approx(327_500.0 / 650.0)


@pytest.mark.parametrize(
    ("mass", "cg", "message"), [(0.0, 1.0, "mass:"), (float("nan"), 1.0, "mass:"), (1.0, -1.0, "cg:")]
)
def test_what_no_rocket_shows_is_refused(mass: float, cg: float, message: str) -> None:
    with pytest.raises(PartError, match=message):
        BalanceTest(mass, cg)
