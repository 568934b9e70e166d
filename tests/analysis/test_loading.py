"""Loading cases against sums by hand (moments about the nose tip)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rocket_samples import rocket

from ferrule.analysis import stability as stability_module
from ferrule.analysis.loading import loadings
from ferrule.analysis.motor import Motor
from ferrule.analysis.rocket import Rocket
from ferrule.analysis.stability import stability

SMALL = Motor("small", 29.0, 120.0, 120.0, 60.0, 905.0)
LARGE = Motor("large", 29.0, 220.0, 190.0, 100.0, 905.0, loaded_cg=100.0, empty_cg=90.0)


def test_the_states_come_in_order() -> None:
    found = loadings(rocket(), (SMALL, LARGE))
    assert [(case.name, case.motor) for case in found] == [
        ("without motor", None),
        ("liftoff", "small"),
        ("burnout", "small"),
        ("liftoff", "large"),
        ("burnout", "large"),
    ]
    assert [case.name for case in loadings(rocket(), ())] == ["without motor"]


def test_masses_and_margins_by_hand() -> None:
    bare, _, _, liftoff, burnout = loadings(rocket(), (SMALL, LARGE))
    whole = stability(rocket())
    assert whole is not None
    assert whole.mass is not None
    assert bare.mass == whole.mass
    assert bare.margin == whole.margin
    for case, mass, place in ((liftoff, 190.0, 785.0), (burnout, 100.0, 775.0)):
        assert case.mass is not None
        cg = (905.0 * whole.mass.cg[0] + mass * place) / (905.0 + mass)
        assert case.mass.mass == pytest.approx(905.0 + mass)
        assert case.mass.cg[0] == pytest.approx(cg, rel=1e-12)
        # Centre of pressure and length of this rocket: 675.89397524098 mm (derived from the 1966 report) and 900 mm.
        assert case.centre_of_pressure == pytest.approx(675.89397524098, rel=1e-9)
        assert case.margin == pytest.approx(675.89397524098 - cg, rel=1e-8)
        assert case.margin_calibres == pytest.approx((675.89397524098 - cg) / 66.0, rel=1e-8)
        assert case.margin_percent == pytest.approx((675.89397524098 - cg) / 9.0, rel=1e-8)


def test_a_burnt_out_motor_leaves_the_rocket_more_stable_than_a_full_one_aft() -> None:
    bare, liftoff, burnout = loadings(rocket(), (SMALL,))
    assert bare.margin is not None
    assert liftoff.margin is not None
    assert burnout.margin is not None
    assert bare.margin > burnout.margin > liftoff.margin


def test_inertia_by_the_parallel_axis_theorem() -> None:
    bare, liftoff, _ = loadings(rocket(), (SMALL,))
    motor = SMALL.properties(True)
    assert bare.mass is not None
    assert liftoff.mass is not None
    apart = motor.cg[0] - bare.mass.cg[0]
    reduced = 905.0 * 120.0 / (905.0 + 120.0)
    expected = bare.mass.inertia[1][1] + motor.inertia[1][1] + reduced * apart**2
    assert liftoff.mass.inertia[1][1] == pytest.approx(expected, rel=1e-12)
    assert liftoff.mass.inertia[0][0] == pytest.approx(bare.mass.inertia[0][0] + motor.inertia[0][0], rel=1e-12)


def test_a_mass_that_is_not_stated_leaves_margins_open_in_every_state() -> None:
    for case in loadings(rocket(masses=(100.0, None, 105.0, 500.0)), (SMALL,)):
        assert case.mass is case.margin is case.margin_calibres is case.margin_percent is None
        assert case.centre_of_pressure == pytest.approx(675.89397524098, rel=1e-9)


def test_without_a_body_there_is_a_mass_and_no_margin() -> None:
    *_, payload = rocket().items
    bare, liftoff, _ = loadings(Rocket("payload", (replace(payload, weighed=True),)), (SMALL,))
    assert bare.mass is not None
    assert bare.mass.basis == "weighed"
    assert liftoff.mass is not None
    assert liftoff.mass.mass == 620.0
    assert liftoff.mass.basis == "stated"
    assert liftoff.centre_of_pressure is liftoff.margin is liftoff.margin_calibres is liftoff.margin_percent is None


def test_the_normal_force_is_found_once(monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[str] = []
    original = stability_module.normal_forces

    def counted(*arguments: object) -> object:
        calls.append("found")
        return original(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(stability_module, "normal_forces", counted)
    assert len(loadings(rocket(), (SMALL, LARGE))) == 5
    assert calls == ["found"]
