"""A tail cone round a motor tube, and the screws of a transition, on hand-made rockets; lengths are sums by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from ferrule.analysis.aero.body import Skin
from ferrule.analysis.allowances import paint_item
from ferrule.analysis.bands import bands
from ferrule.analysis.build_order import build_steps
from ferrule.analysis.circumstances import Circumstances
from ferrule.analysis.fit_checks import fit_checks
from ferrule.analysis.limits import Check
from ferrule.analysis.reach import _screws, reach_checks
from ferrule.analysis.recovery import Joint, Recovery
from ferrule.analysis.rocket import Item, Rocket
from ferrule.app.side_view import outlines
from ferrule.parts.fit import MeasuredTube, Surroundings
from ferrule.parts.kinds import CenteringRing, MotorMount, Transition, Tube
from ferrule.parts.marks import Pen

BODY = MeasuredTube("body", (66.0,), (64.0,))
MOTOR = MeasuredTube("motor tube", (41.2,), (38.6,))
TAIL: dict[str, Any] = {
    "profile": "ogive",
    "forward_diameter": "66 mm",
    "aft_diameter": "50 mm",
    "length": "60 mm",
    "forward_shoulder_length": "50 mm",
    "forward_shoulder_diameter": "63.5 mm",
    "motor_bore_diameter": "41.4 mm",
}


def tail(**changes: object) -> Transition:
    return Transition.build(**{**TAIL, **changes})


def tube(of: MeasuredTube, use: str, length: str) -> Tube:
    outside, inside = f"{of.mean_outside} mm", f"{of.mean_inside} mm"
    return Tube.build(outside_diameter=outside, inside_diameter=inside, length=length, use=use)


def rocket(part: Transition, motor_from: float = 450.0) -> Rocket:
    """Airframe 0 to 500 mm, the tail's skin from 500, a motor tube of 110 mm from 450."""
    items = (
        Item("body", (0.0,), tube(BODY, "airframe", "500 mm")),
        Item("motor tube", (motor_from,), tube(MOTOR, "motor", "110 mm")),
        Item("tail", (500.0,), part),
    )
    return Rocket("tailed", items)


def run(part: Transition, around: MeasuredTube | None = MOTOR, **places: float) -> dict[str, Check]:
    use = "motor" if around is MOTOR else "airframe"
    told = Circumstances(
        fits={"tail": Surroundings(BODY, around, around_use=use)}, tubes={"body": BODY, "motor tube": MOTOR}
    )
    return {check.name: check for check in fit_checks(rocket(part, **places), told)}


@pytest.mark.parametrize(("bore", "status", "value"), [("41.4 mm", "pass", "0.20 mm"), ("41.1 mm", "fail", "-0.10 mm")])
def test_the_bore_goes_over_the_motor_tube_as_measured(bore: str, status: str, value: str) -> None:
    check = run(tail(motor_bore_diameter=bore))["tail: bore over motor tube"]
    assert (check.status, check.value) == (status, value)


def test_a_motor_tube_is_no_tube_behind() -> None:
    """Named by `around` it is gone around; any other tube named so is met by the aft end."""
    assert "tail: aft end at motor tube" not in run(tail())
    behind = MeasuredTube("behind", (50.0,), (48.0,))
    assert "tail: aft end at behind" in run(tail(), around=behind)


def test_a_bore_that_reaches_over_no_motor_tube_is_not_judged() -> None:
    assert not [name for name in run(tail(), motor_from=100.0) if "bore over" in name]
    assert not [name for name in run(tail(motor_bore_diameter=None)) if "bore over" in name]


def test_the_tube_of_a_motor_mount_counts_as_well() -> None:
    mount = MotorMount.build(**{**MotorMount.example, "tube_outside_diameter": "31 mm"})
    items = (Item("mount", (400.0,), mount), Item("tail", (450.0,), tail(motor_bore_diameter="31.2 mm")))
    checks = {check.name: check for check in fit_checks(Rocket("mounted", items), Circumstances())}
    assert checks["tail: bore over the tube of mount"].value == "0.20 mm"


def test_the_grip_of_its_screws_is_tube_and_shoulder_and_not_the_sleeve() -> None:
    """Airframe 66 mm over all, bore of the shoulder 63.5 - 4.8 = 58.7: 3.65 mm; in the middle of 450 to 500 mm."""
    part = tail(forward_screw_count=3, vent_hole_diameter="3.4 mm")
    ((station, grip),) = _screws(rocket(part), rocket(part).items[-1])
    assert (station, grip) == (475.0, pytest.approx(3.65, abs=1e-6))


def test_its_shoulder_goes_in_over_a_motor_tube_that_is_there_already() -> None:
    """50 mm of shoulder, up to a ring whose aft face is at 440 mm: 60 mm of free bore."""
    ring = CenteringRing.build(outside_diameter="63.8 mm", inside_diameter="41.4 mm", thickness="6 mm")
    base = rocket(tail())
    tailed = Rocket("tailed", (*base.items, Item("ring", (434.0,), ring)))
    told = Circumstances(tubes={"body": BODY, "motor tube": MOTOR})
    checks = {check.name: check for check in reach_checks(tailed, told)}
    check = checks["tail: forward shoulder in body to ring"]
    assert (check.status, check.value) == ("pass", "50.00 mm")
    assert "60.00 mm to ring" in check.limit


def test_its_material_lies_in_rings() -> None:
    """By hand pi (ro^2 - ri^2) l over the rings is the part's volume; half way down there are two, sleeve and skin."""
    part = tail()
    found = bands(part.shape()) or ()
    middle = [band for band in found if band.first <= 30.0 < band.last]
    assert len(middle) == 2
    assert min(middle, key=lambda band: band.outer[0]).at(30.0) == pytest.approx((20.7, 20.7 + 1.6), abs=1e-9)


def test_paint_lies_on_the_curved_skin() -> None:
    """Area of an arc of radius rho turned about the axis, by Pappus: 2 pi rho (c theta + L); 100 g/m2 of paint."""
    part = tail()
    rho = (8.0**2 + 60.0**2) / 16.0
    area = math.tau * rho * ((33.0 - rho) * math.asin(60.0 / rho) + 60.0)
    assert Skin(part.skin()).wetted()[0] == pytest.approx(area, rel=1e-9)
    painted = paint_item(Rocket("tail alone", (Item("tail", (0.0,), part),)), 100.0)
    assert painted is not None
    assert painted.stated_mass == pytest.approx(area * 1e-6 * 100.0, rel=1e-9)


def test_the_side_view_shows_the_curved_skin_on_both_sides() -> None:
    """Every solid line between the ends of the skin lies on the arc, or closes an end."""
    part = tail()
    drawn = [points for points, pen in outlines(Item("tail", (500.0,), part)) if pen is Pen.CUT]
    curves = [points for points in drawn if len(points) > 2]
    assert sorted(float(np.sign(points[:, 1].mean())) for points in curves) == [-1.0, 1.0]
    for points in curves:
        assert points[[0, -1], 0] == pytest.approx([500.0, 560.0], abs=1e-9)
        assert np.abs(points[:, 1]) == pytest.approx(part.outside().radius(points[:, 0] - 500.0), abs=1e-9)


@pytest.mark.parametrize(("bore", "told"), [("41.4 mm", True), (None, False)])
def test_it_is_glued_along_the_motor_tube_too(bore: str | None, told: bool) -> None:
    part = tail(motor_bore_diameter=bore)
    joints = Recovery(joints=(Joint(("body", "tail"), "glued"),))
    (step,) = (step for step in build_steps(rocket(part), joints) if "tail" in step.title)
    assert "the shoulder over 50.00 mm" in step.glue
    assert ("the bore along the motor tube" in step.glue) == told
