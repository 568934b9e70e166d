"""Each check of a design passes, warns, fails, or says what is not stated; the bounds are common practice.

Bounds of the fits are those of the table of clearances, written here a second time so that a changed row shows.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from rocket_samples import AIRFRAME, MOTOR_TUBE, fin_part, nose_part, ring_part, rocket, tube_part

from ferrule.analysis.aero.normal_force import NormalForce
from ferrule.analysis.checks import Circumstances, Fits, checks
from ferrule.analysis.limits import Check, Limit, limits
from ferrule.analysis.loading import BURNOUT, LIFTOFF, WITHOUT_MOTOR, Loading, loadings
from ferrule.analysis.mass import MassProperties
from ferrule.analysis.motor import Motor
from ferrule.analysis.rocket import Item, Rocket
from ferrule.analysis.stability import Stability
from ferrule.parts.fit import Surroundings

NO_INERTIA = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))


def check_of(name: str, items: tuple[Item, ...], fits: Fits | None = None, loaded: tuple[Loading, ...] = ()) -> Check:
    """The one check of a name; the name must be there once."""
    hits = [check for check in checks(Rocket("sample", items), loaded, Circumstances(fits or {})) if check.name == name]
    assert len(hits) == 1, name
    return hits[0]


def names(items: tuple[Item, ...], fits: Fits | None = None) -> list[str]:
    return [check.name for check in checks(Rocket("sample", items), (), Circumstances(fits or {}))]


RIMS = [(0.05, "warn", "tight"), (0.1, "pass", ""), (0.2, "pass", ""), (0.5, "pass", ""), (0.6, "warn", "loose")]


@pytest.mark.parametrize(("play", "status", "note"), [(-0.05, "fail", "it cannot go in"), *RIMS])
def test_the_rim_of_a_ring_in_its_tube(play: float, status: str, note: str) -> None:
    """Play against the smallest inside reading, 65.9 mm."""
    ring = Item("ring", (650.0,), ring_part(outside_diameter=f"{65.9 - play:.6f} mm", inside_diameter="31.3 mm"))
    found = check_of("ring: rim in airframe", (ring,), {"ring": Surroundings(AIRFRAME, None)})
    assert (found.status, found.note) == (status, note)
    assert found.value == f"{play:.2f} mm"
    assert found.limit.startswith("0.1 to 0.5 mm")
    assert found.source == "common practice"


@pytest.mark.parametrize(("play", "status", "note"), [(-0.05, "fail", "it cannot go in"), *RIMS])
def test_the_bore_of_a_ring_over_the_motor_tube(play: float, status: str, note: str) -> None:
    """Play against the largest outside reading, 31.1 mm."""
    ring = Item("ring", (650.0,), ring_part(inside_diameter=f"{31.1 + play:.6f} mm"))
    found = check_of("ring: bore over motor tube", (ring,), {"ring": Surroundings(None, MOTOR_TUBE)})
    assert (found.status, found.note) == (status, note)


@pytest.mark.parametrize(
    ("diameter", "status", "note"),
    [
        ("66 mm", "fail", "it cannot go in"),
        ("65.8 mm", "warn", "tight"),
        ("65.7 mm", "pass", ""),
        ("64.9 mm", "pass", ""),
        ("64.8 mm", "warn", "loose"),
    ],
)
def test_a_shoulder_in_its_tube(diameter: str, status: str, note: str) -> None:
    """The mean inside would let 66 mm in; the smallest reading of 65.9 mm does not."""
    nose = nose_part(base_diameter="68.2 mm", shoulder_length="66 mm", shoulder_diameter=diameter)
    found = check_of(
        "nose: shoulder in airframe", (Item("nose", (0.0,), nose),), {"nose": Surroundings(AIRFRAME, None)}
    )
    assert (found.status, found.note) == (status, note)


@pytest.mark.parametrize(("length", "status"), [("49 mm", "warn"), ("49.5 mm", "pass"), ("66 mm", "pass")])
def test_the_length_of_a_shoulder(length: str, status: str) -> None:
    """Three quarters of the mean inside diameter, 66 mm, are 49.5 mm."""
    nose = nose_part(base_diameter="68.2 mm", shoulder_length=length, shoulder_diameter="65.4 mm")
    found = check_of("nose: shoulder length", (Item("nose", (0.0,), nose),), {"nose": Surroundings(AIRFRAME, None)})
    assert found.status == status
    assert "tube diameters" in found.limit


@pytest.mark.parametrize(
    ("base", "status", "note"),
    [("68.4 mm", "warn", "tight"), ("68.3 mm", "pass", ""), ("68 mm", "pass", ""), ("67.9 mm", "warn", "loose")],
)
def test_the_base_of_a_nose_on_its_tube(base: str, status: str, note: str) -> None:
    """A base that stands proud of the mean outside, 68.3 mm, is no more than a step in the skin."""
    nose = Item("nose", (0.0,), nose_part(base_diameter=base))
    found = check_of("nose: base on airframe", (nose,), {"nose": Surroundings(AIRFRAME, None)})
    assert (found.status, found.note) == (status, note)
    assert "nose: shoulder in airframe" not in names((nose,), {"nose": Surroundings(AIRFRAME, None)}), (
        "it has no shoulder"
    )


@pytest.mark.parametrize(
    ("depth", "status", "note"),
    [
        (18.7, "fail", "the tab is longer than the way to the motor tube"),
        (18.5, "warn", "tight"),
        (18.4, "pass", ""),
        (18.3, "pass", ""),
        (18.1, "pass", ""),
        (18.0, "warn", "loose"),
    ],
)
def test_the_depth_of_a_tab(depth: float, status: str, note: str) -> None:
    """From the mean outside, 68.3, to the largest reading of the motor tube, 31.1: 18.6 mm on the radius."""
    fins = Item("fins", (780.0,), fin_part(tab_length="90 mm", tab_depth=f"{depth} mm"), 3, 34.15)
    found = check_of("fins: tab to motor tube", (fins,), {"fins": Surroundings(AIRFRAME, MOTOR_TUBE)})
    assert (found.status, found.note) == (status, note)


def test_nothing_is_checked_against_a_tube_that_is_not_named() -> None:
    nose = nose_part(shoulder_length="66 mm", shoulder_diameter="63 mm")
    fins = Item("fins", (780.0,), fin_part(tab_length="90 mm", tab_depth="18 mm"), 3, 34.15)
    items = (Item("nose", (0.0,), nose), Item("ring", (650.0,), ring_part()), fins)
    assert [name for name in names(items) if " in " in name or " over " in name or " to " in name] == []
    assert "fins: tab to airframe" not in names(items, {"fins": Surroundings(AIRFRAME, None)})


def tab_items(*rings: float) -> tuple[Item, ...]:
    """Fins whose tab reaches from 795 to 885 mm, and rings of 6 mm at the stations."""
    fin = fin_part(tab_length="90 mm", tab_depth="18 mm", tab_position="15 mm")
    return Item("rings", rings, ring_part()), Item("fins", (780.0,), fin, 3, 34.15)


@pytest.mark.parametrize(
    ("rings", "status", "value"),
    [
        ((788.65, 885.35), "pass", "0.70 mm"),
        ((788.5, 885.0), "pass", "0.50 mm"),  # both bounds hold; one ring touches the tab
        ((788.0, 885.0), "pass", "1.00 mm"),
        ((788.8, 885.2), "warn", "0.40 mm"),
        ((788.0, 885.2), "warn", "1.20 mm"),
        ((600.0, 788.65, 885.35), "pass", "0.70 mm"),  # a ring further off does not matter
        ((789.5, 885.35), "fail", "overlap"),
        ((788.65, 884.5), "fail", "overlap"),
        ((700.0, 840.0, 885.35), "fail", "overlap"),
    ],
)
def test_a_tab_between_rings(rings: tuple[float, ...], status: str, value: str) -> None:
    found = check_of("fins: tab between rings", tab_items(*rings))
    assert (found.status, found.value) == (status, value)
    assert found.limit.startswith("0.5 to 1 mm")


def test_an_overlap_says_where() -> None:
    found = check_of("fins: tab between rings", tab_items(700.0, 840.0, 885.35))
    assert found.note == "the ring at 840.00 to 846.00 mm is where the tab is (795.00 to 885.00 mm)"


def test_fins_without_a_tab_and_tabs_without_rings_are_not_checked_for_rings() -> None:
    rings, fins = tab_items(788.65, 885.35)
    assert "fins: tab between rings" not in names((fins,))
    assert "fins: tab between rings" not in names((rings, replace(fins, part=fin_part())))


def test_a_mass_that_is_not_stated_is_named_with_what_to_do() -> None:
    items = (Item("ring", (650.0,), ring_part()), Item("weighed ring", (700.0,), ring_part(), stated_mass=12.0))
    found = check_of("ring: mass", items)
    assert found.status == "not-stated"
    assert found.value is None
    assert "enter `mass`" in found.note
    assert "material" in found.note
    assert "weighed ring: mass" not in names(items)
    assert "ring: mass" not in names((Item("ring", (650.0,), ring_part(material="birch-plywood")),))


def with_margin(calibres: float) -> Stability:
    """Centre of pressure 1000 mm from the tip of a 2 m rocket of 100 mm, the centre of gravity ahead of it."""
    mass = MassProperties(1000.0, (1000.0 - 100.0 * calibres, 0.0, 0.0), NO_INERTIA, "invented", "weighed")
    return Stability(100.0, 2000.0, NormalForce(10.0, 1000.0, "invented"), mass, ())


def loaded(found: Stability, state: str) -> Loading:
    """One loading with a motor called M."""
    return Loading(state, "M", found.mass, found)


SMALL = Motor("small", 24.0, 70.0, 1.0, 0.5, 900.0)
"""A motor so light that it moves nothing by more than a thousandth."""


@pytest.mark.parametrize(
    ("calibres", "status"),
    [
        (-0.5, "fail"),
        (0.0, "fail"),
        (0.99, "fail"),
        (1.0, "warn"),
        (1.49, "warn"),
        (1.5, "pass"),
        (3.0, "pass"),
        (3.01, "warn"),
    ],
)
def test_the_static_margin(calibres: float, status: str) -> None:
    for state in (LIFTOFF, BURNOUT):
        found = check_of(f"static margin, M at {state}", (), loaded=(loaded(with_margin(calibres), state),))
        assert found.status == status
        assert found.value == f"{calibres:.2f} calibres"
        assert found.limit == "fails below 1, warns below 1.5, warns above 3 calibres"


@pytest.mark.parametrize(("payload", "status"), [(800.0, "fail"), (100.0, "warn"), (440.0, "pass")])
def test_where_the_payload_sits_decides_the_margin_of_a_rocket(payload: float, status: str) -> None:
    *rest, mass = rocket().items
    items = (*rest, replace(mass, stations=(payload,)))
    found = loadings(Rocket("sample", items), (SMALL,))
    assert check_of("static margin, small at liftoff", items, loaded=found).status == status


def test_a_margin_that_cannot_be_found_is_not_stated() -> None:
    without_mass = rocket(masses=(None, 200.0, 105.0, 500.0))
    for made in (without_mass, Rocket("empty", ())):
        check = check_of("static margin, small at liftoff", made.items, loaded=loadings(made, (SMALL,)))
        assert (check.status, check.value) == ("not-stated", None)


def test_a_margin_without_a_motor_is_no_margin_to_fly_with() -> None:
    """A motor lies aft of the balance, so the margin without it is larger than the one that flies."""
    sample = rocket()
    check = check_of("static margin", sample.items, loaded=loadings(sample, ()))
    assert (check.status, check.value) == ("not-stated", None)
    assert "[[motor]]" in check.note
    bare, liftoff, burnout = (one.margin_calibres or 0.0 for one in loadings(sample, (SMALL,)))
    assert bare > burnout > liftoff
    assert loaded(with_margin(2.0), WITHOUT_MOTOR).margin_calibres == pytest.approx(2.0)


def test_the_measured_centre_of_gravity_is_always_asked_for() -> None:
    found = check_of("centre of gravity measured", rocket().items, loaded=(loaded(with_margin(2.0), LIFTOFF),))
    assert found.status == "not-stated"
    assert "predicted" in found.note


def test_a_sound_design_raises_nothing_and_every_check_has_its_own_name_and_source() -> None:
    nose = nose_part(
        base_diameter="68.2 mm",
        shoulder_length="66 mm",
        shoulder_diameter="65.4 mm",
        joining="released",
        material="petg",
    )
    airframe: dict[str, Any] = {"outside_diameter": "68.3 mm", "inside_diameter": "66 mm", "material": "kraft-tube"}
    ring = ring_part(outside_diameter="65.7 mm", inside_diameter="31.3 mm", material="birch-plywood")
    fin = fin_part(tab_length="90 mm", tab_depth="18.3 mm", tab_position="15 mm", material="birch-plywood")
    items = (
        Item("nose", (0.0,), nose),
        Item("airframe", (200.0,), tube_part(**airframe)),
        Item("rings", (788.65, 885.35), ring),
        Item("fins", (780.0,), fin, 3, 34.15),
    )
    fits: Fits = dict.fromkeys(("rings", "fins"), Surroundings(AIRFRAME, MOTOR_TUBE)) | {
        "nose": Surroundings(AIRFRAME, None)
    }
    design = Rocket("sound", items)
    found = checks(design, loadings(design, ()), Circumstances(fits))
    assert [check.name for check in found] == [
        "nose: shoulder in airframe",
        "nose: shoulder length",
        "nose: base on airframe",
        "rings: rim in airframe",
        "rings: bore over motor tube",
        "fins: tab to motor tube",
        "fins: tab between rings",
        "nose: held or released",
        "room for everything",
        "nose: shoulder in airframe to rings",
        "fins: aft of the airframe",
        "one joint releases",
        "anchor on each section",
        "gas bay closed",
        "gas bay: unsealed holes",
        "static margin",
        "centre of gravity measured",
    ]
    assert {check.status for check in found[:11]} == {"pass"}
    assert {check.status for check in found[11:]} == {"not-stated"}
    assert all(check.source and check.limit for check in found)


def test_every_limit_has_a_source_a_unit_and_a_bound() -> None:
    assert set(limits()) >= {"static_margin", "shoulder_length"}
    for name, limit in limits().items():
        assert limit.source, name
        assert limit.unit, name
        assert {limit.fail_below, limit.warn_below, limit.warn_above} != {None}, name


def test_a_limit_without_a_bound_on_one_side_is_open_there() -> None:
    least = Limit("thickness", "mm", "invented", warn_below=2.0)
    assert [least.status(value) for value in (1.9, 2.0, 1e9)] == ["warn", "pass", "pass"]
    assert least.words() == "warns below 2 mm"
