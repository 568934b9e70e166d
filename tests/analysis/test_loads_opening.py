"""The opening load, and harness and anchors under it, against sums by hand and published values.

Source: T. W. Knacke's opening force (from memory) with the number of `validation/test_plate_values.py`; DIN 580 for the
rated loads; 30 and 50 times the weight are common practice.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from loaded_samples import RECOVERY, flight, loaded_rocket
from rocket_samples import bulkhead_part, ring_part

from ferrule.analysis.limits import Check, limits
from ferrule.analysis.loads.anchors import anchor_checks, seat_of
from ferrule.analysis.loads.harness import harness_checks
from ferrule.analysis.loads.opening import Opening, opening_check, opening_load
from ferrule.analysis.loads.stated import Canopy, StatedLoads
from ferrule.analysis.recovery import Anchor, Recovery
from ferrule.analysis.rocket import Item
from ferrule.parts.kinds import Bulkhead, MotorMount

GRAVITY = 9.80665
WEIGHT = 1.1 * GRAVITY
PLYWOOD = {"material": "birch-plywood"}
BEARS_BENDING, BEARS_SHEAR = 29.0, 3.0
"""The plywood of the table [MPa]."""


def opening(**stated: float) -> Opening:
    return opening_load(flight(), StatedLoads(opening_factor=stated.get("factor")))


def anchors(stated: StatedLoads, load: Opening | None = None) -> dict[str, Check]:
    rocket = loaded_rocket(bulkhead=bulkhead_part(**PLYWOOD), rings=ring_part(**PLYWOOD))
    found = anchor_checks(rocket, RECOVERY, load or opening(), stated, limits())
    return {check.name: check for check in found}


# --- the load ---------------------------------------------------------------------------------------------------------


def test_nothing_stated_takes_the_larger_usual_factor_and_shows_both() -> None:
    load = opening()
    assert load.force == pytest.approx(50.0 * WEIGHT, rel=1e-12)
    told = " ".join(load.found.inputs)
    assert "30 times the weight: 324 N, 50 times the weight: 539 N (common practice)" in told
    check = opening_check("opening load", load)
    assert (check.status, check.value) == ("not-stated", "539 N assumed")


def test_a_stated_factor_takes_their_place() -> None:
    load = opening(factor=20.0)
    assert load.force == pytest.approx(20.0 * WEIGHT, rel=1e-12)
    assert "20 times the weight, as stated: 216 N" in load.found.inputs


def test_the_canopys_formula_counts_where_it_is_larger() -> None:
    """205.13 N at 20 m/s (the published form), against 15 times 10.79 N."""
    at = flight(deployment_speed=20.0, deployment_density=1.225)
    stated = StatedLoads(opening_factor=15.0, canopies={"parachute": Canopy(914.4, 0.75)})
    load = opening_load(at, stated)
    assert (load.force, load.canopy) == pytest.approx((205.13444242287, 205.13444242287), rel=1e-9)
    check = opening_check("opening load", load)
    assert (check.status, check.value) == ("warn", "205 N by the canopy against 162 N assumed, as stated")
    assert "NWC TP 6575" in check.source
    assert any("C_x 1.7" in one and "from memory" in one for one in check.inputs)
    assert any(one.startswith("X1 1") for one in check.inputs)
    # 50 times the weight is 539 N: only the stated factor is low.
    assert check.note == "parts are held to what the canopy gives"
    fast = opening_check("opening load", opening_load(replace(at, deployment_speed=40.0), stated))
    assert (fast.status, fast.note[:40]) == ("warn", "it comes out fast: look at the delay and")
    slow = opening_check("opening load", opening_load(replace(at, deployment_speed=15.0), stated))
    assert slow.status == "pass"


def test_a_delay_that_nobody_states_does_not_pass() -> None:
    stated = StatedLoads(canopies={"parachute": Canopy(914.4, 0.75)})
    for speed, status in ((20.0, "not-stated"), (40.0, "warn")):
        at = flight(deployment_speed=speed, deployment_assumed=True)
        check = opening_check("opening load", opening_load(at, stated))
        assert check.status == status
        assert "the delay that is wanted is assumed, because the motor has none stated" in check.inputs
        assert "the delay that is wanted is assumed" in check.note
        assert check.value is not None
        assert "N by the canopy against 539 N assumed" in check.value


@pytest.mark.parametrize(("speed", "canopies"), [(None, True), (20.0, False)])
def test_without_speed_or_canopy_there_is_no_formula(speed: float | None, canopies: bool) -> None:
    stated = StatedLoads(canopies={"parachute": Canopy(914.4, 0.75)} if canopies else {})
    assert opening_load(flight(deployment_speed=speed), stated).canopy is None


def test_a_second_parachute_that_is_not_stated_leaves_the_formula_out() -> None:
    stated = StatedLoads(canopies={"one": Canopy(900.0, 0.75)})
    assert opening_load(flight(), stated, ["one", "other"]).canopy is None
    both = StatedLoads(canopies={"one": Canopy(900.0, 0.75), "other": Canopy(900.0, 0.75)})
    one, two = (opening_load(flight(), given, given.canopies.keys()).canopy for given in (stated, both))
    assert one is not None
    assert two == pytest.approx(2.0 * one, rel=1e-12)


# --- the harness ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("strength", "status", "by_weight"),
    [(None, "not-stated", None), (400.0, "fail", "warn"), (900.0, "warn", "warn"), (1500.0, "pass", "pass")],
)
def test_a_harness(strength: float | None, status: str, by_weight: str | None) -> None:
    """539 N, twice that 1,079 N; 100 times the weight at liftoff, 1,200 g, is 1,177 N."""
    stated = StatedLoads(harness_strength={} if strength is None else {"harness": strength})
    found = list(harness_checks(RECOVERY, opening(), flight(), stated, limits()))
    assert [check.status for check in found] == ([status] if by_weight is None else [status, by_weight])
    if strength is None:
        assert "1079 N" in found[0].note
        assert "1177 N" in found[0].note
    else:
        assert found[0].value == f"load 539 N against {strength:.0f} N borne, {strength / (50.0 * WEIGHT):.3g} times"


# --- anchors ----------------------------------------------------------------------------------------------------------


def test_an_eye_of_din_580_is_rated() -> None:
    """M8: 140 kg along its shank, 1,373 N."""
    check = anchors(StatedLoads(anchor_sizes={"eyebolt": "M8 eyebolt"}))["eyebolt under the opening load"]
    assert (check.status, check.value) == ("pass", "load 539 N against 1373 N borne, 2.55 times")
    assert "safety factor 6" in " ".join(check.inputs)


@pytest.mark.parametrize("size", ["M5 eyebolt", "M6 eyebolt", "M6 U-bolt"])
def test_what_no_standard_rates_is_not_stated(size: str) -> None:
    check = anchors(StatedLoads(anchor_sizes={"eyebolt": size}))["eyebolt under the opening load"]
    assert check.status == "not-stated"
    assert check.note.startswith(
        f"{size} has no rated load: enter the load that its maker rates it for, at least 539 N"
    )


def test_a_rating_that_is_stated_counts() -> None:
    for rated, status in ((500.0, "fail"), (600.0, "pass")):
        found = anchors(StatedLoads(anchor_ratings={"eyebolt": rated}, anchor_sizes={"eyebolt": "M5 eyebolt"}))
        assert found["eyebolt under the opening load"].status == status


def test_what_an_anchor_is_must_be_stated() -> None:
    found = anchors(StatedLoads())
    assert "it is not stated what eyebolt is" in found["eyebolt under the opening load"].note
    assert "washer_diameter" in found["bulkhead bent by eyebolt"].note
    assert {check.status for check in found.values()} == {"not-stated"}


def test_a_bulkhead_under_its_eye_by_hand() -> None:
    """M6 washer of 12 mm in a disc of radius 30 and 6 mm: c/a = 0.2; the free rim gives the larger stress."""
    found = anchors(StatedLoads(anchor_sizes={"eyebolt": "M6 eyebolt"}))
    moment = 50.0 * WEIGHT / (4.0 * math.pi) * (1.3 * math.log(5.0) + 1.0 - 0.7 * 0.04 / 4.0)
    stress = 6.0 * moment / 36.0
    check = found["bulkhead bent by eyebolt"]
    times = BEARS_BENDING / stress
    assert check.value == f"load 539 N against {50.0 * WEIGHT * times:.0f} N borne, {times:.3g} times"
    assert check.status == "warn"
    assert any(one.startswith(f"stress {stress:.1f} MPa supported") for one in check.inputs)
    # Pulled through: pi x 12 x 6 mm2 at 3 MPa.
    through = found["eyebolt pulled through bulkhead"]
    borne = math.pi * 12.0 * 6.0 * BEARS_SHEAR
    assert through.value == f"load 539 N against {borne:.0f} N borne, {borne / (50.0 * WEIGHT):.3g} times"
    assert through.status == "warn"


def test_a_ring_under_a_u_bolt_by_hand() -> None:
    """Two legs, washers of 10 mm on a web of (64 - 42) / 2: M = F / 2 x 11 / 4, W = 10 x 36 / 6."""
    found = anchors(StatedLoads(anchor_sizes={"U-bolt": "M5 U-bolt"}))
    stress = 50.0 * WEIGHT / 2.0 * 11.0 / 4.0 / 60.0
    assert any(one.startswith(f"stress {stress:.1f} MPa supported") for one in found["rings bent by U-bolt"].inputs)
    assert any("no hole allowed for" in one for one in found["rings bent by U-bolt"].inputs)
    borne = 2.0 * math.pi * 10.0 * 6.0 * BEARS_SHEAR
    assert f"against {borne:.0f} N borne" in str(found["U-bolt pulled through rings"].value)


def test_a_heavy_load_fails() -> None:
    found = anchors(StatedLoads(anchor_sizes={"eyebolt": "M6 eyebolt"}), opening(factor=200.0))
    assert found["bulkhead bent by eyebolt"].status == "fail"
    assert "thicker plywood" in found["bulkhead bent by eyebolt"].note


def test_the_seat_of_each_kind() -> None:
    sizes = {"outside_diameter": "64 mm", "thickness": "4 mm", "step_diameter": "60 mm", "step_thickness": "6 mm"}
    stepped = seat_of(Item("b", (0.0,), Bulkhead.build(**sizes, step_faces="forward")), "M6 eyebolt")
    assert stepped is not None
    assert (stepped.radius, stepped.thicknesses, stepped.washer, stepped.legs) == (30.0, (4.0, 6.0), 12.0, 1)
    mount = seat_of(Item("m", (0.0,), MotorMount.build(**MotorMount.example)), "M6 U-bolt")
    assert mount is not None
    assert (mount.radius, mount.material, mount.legs) == (32.85, "birch-plywood", 2)
    stated = seat_of(Item("b", (0.0,), bulkhead_part(washer_diameter="18 mm", centre_hole_diameter="6 mm")), None)
    assert stated is not None
    assert (stated.washer, stated.washer_from) == (18.0, "as stated")


def test_an_anchor_through_a_wall_is_not_stated() -> None:
    recovery = Recovery(anchors=(Anchor("eyebolt", "nose", True, "steel"),))
    found = list(anchor_checks(loaded_rocket(), recovery, opening(), StatedLoads(), limits()))
    assert [check.status for check in found] == ["not-stated", "not-stated"]
    assert "plywood" in found[1].note
