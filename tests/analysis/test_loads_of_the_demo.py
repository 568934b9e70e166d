"""Loads on the parts of the demo with an invented flight: every check is told in words that a builder can act on."""

from __future__ import annotations

from pathlib import Path

import pytest
from loaded_samples import flight

from ferrule.analysis.limits import Check
from ferrule.analysis.loads.recovery_loads import structure_checks
from ferrule.analysis.loads.stated import Canopy, StatedLoads
from ferrule.app.design_file import load

DEMO = Path(__file__).parents[2] / "examples" / "marram" / "marram.toml"


@pytest.fixture(scope="module")
def found() -> dict[str, Check]:
    design = load(DEMO)
    names = [parachute.name for parachute in design.recovery.parachutes]
    stated = StatedLoads(
        anchor_sizes={"eyebolt": "M5 eyebolt", "U-bolt": "M5 U-bolt"},
        canopies={name: Canopy(900.0, 0.75) for name in names},
    )
    checks = list(structure_checks(design.rocket, design.recovery, [flight()], stated))
    assert len({check.name for check in checks}) == len(checks)
    return {check.name: check for check in checks}


def test_nothing_of_it_fails_and_what_is_missing_is_asked_for(found: dict[str, Check]) -> None:
    assert {check.status for check in found.values()} == {"pass", "warn", "not-stated"}
    # 29 MPa of plywood across its face grain: less than twice the load, by hand in the tests of anchors.
    assert {check.name for check in found.values() if check.status == "warn"} == {"forward ring bent by U-bolt"}
    for check in found.values():
        assert check.status == "pass" or check.note
        assert check.formula, check.name
        assert check.inputs, check.name
        assert not any(word in f"{check}" for word in ("None N", "nan", "inf "))


def test_what_is_not_stated_is_what_the_builder_has_to_find_out(found: dict[str, Check]) -> None:
    joint = "joint coupler to booster tube"
    assert {check.name for check in found.values() if check.status == "not-stated"} == {
        "eyebolt under the opening load",
        "U-bolt under the opening load",
        "harness under the opening load",
        "glue line, bulkhead in coupler",
        "screws, nose to payload tube",
        "screws, payload tube to coupler",
        f"{joint}: lifted by the nose",
        f"{joint}: drag separation",
        f"{joint}: opens",
    }


def test_thrust_and_opening_in_newtons(found: dict[str, Check]) -> None:
    """138 N on three glue lines of pi x 31.22 x 6 mm2 at 2 MPa; 50 times 1,100 g."""
    assert found["thrust through all rings"].value == "load 138 N against 3531 N borne, 25.6 times"
    assert found["opening load"].value == "106 N by the canopy against 539 N assumed, as usual"
